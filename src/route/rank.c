/* Grips of one chord in the order a player would try them: the line's own costs for a single slot. */
#include "route_internal.h"

#include <stdlib.h>
#include <string.h>

/* Every string from the bass up sounds: the shape of a strummed song. */
static bool is_full_shape(const GlnGrip *grip) {
  return grip->voices == grip->frets.string_count - grip->bass_string;
}

/* A chord alone does not say what song it is in: a grip is judged as the kind of song that suits it would. */
static double sound_cost(const GlnInstrument *instrument, const GlnChord *chord, const GlnGrip *grip) {
  double comping = gln_sound_cost(instrument, chord, grip, false);
  double full = gln_sound_cost(instrument, chord, grip, true);
  return is_full_shape(grip) && full < comping ? full : comping;
}

/* Best first; equals stay in the search's own order, which is the same on every run. */
static int by_cost(const void *left, const void *right) {
  const GlnRankedGrip *a = left, *b = right;
  if (a->cost < b->cost || a->cost > b->cost)
    return a->cost < b->cost ? -1 : 1;
  return a->grip < b->grip ? -1 : a->grip > b->grip;
}

/* What a change costs when there is time enough for it to weigh as it is; *seconds gets its time. */
static double change_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to,
                          double *seconds) {
  GlnChangeCost change = gln_change_cost(costing, from, to);
  *seconds = (double)change.seconds;
  return (double)change.voice + costing->weight[GLN_COST_MOVE] * *seconds;
}

GlnStatus gln_grips_rank_between(const GlnGripList *list, const GlnChord *chord,
                                 const GlnInstrument *instrument, const GlnGrip *after, const GlnGrip *before,
                                 GlnArena *arena, GlnRankedGrip **ranked) {
  const GlnLineOptions defaults = gln_line_defaults();
  const GlnCosting costing = gln_costing(defaults.weight, gln_chord_is_plain(chord));
  GlnFeature from = {0}, here = {0}, to = {0};
  *ranked = GLN_NEW(arena, GlnRankedGrip, list->count);
  if (*ranked == NULL)
    return GLN_MEMORY;
  if (after != NULL)
    gln_feature_make(instrument, NULL, after, &from);
  if (before != NULL)
    gln_feature_make(instrument, NULL, before, &to);
  for (size_t i = 0; i < list->count; ++i) {
    GlnRankedGrip *at = &(*ranked)[i];
    at->grip = &list->grips[i];
    at->cost = defaults.weight[GLN_COST_HOLD] * (double)at->grip->fingering.difficulty +
               defaults.weight[GLN_COST_SOUND] * sound_cost(instrument, chord, at->grip);
    gln_feature_make(instrument, chord, at->grip, &here);
    if (after != NULL)
      at->cost += change_cost(&costing, &from, &here, &at->move_seconds);
    if (before != NULL)
      at->cost += change_cost(&costing, &here, &to, &at->next_seconds);
  }
  if (list->count > 0)
    qsort(*ranked, list->count, sizeof **ranked, by_cost);
  return GLN_OK;
}

GlnStatus gln_grips_rank(const GlnGripList *list, const GlnChord *chord, const GlnInstrument *instrument,
                         const GlnGrip *after, GlnArena *arena, GlnRankedGrip **ranked) {
  return gln_grips_rank_between(list, chord, instrument, after, NULL, arena, ranked);
}
