/* A song on few chords: what each chord costs the ear when another stands in its place, and the set of chords for which
 * that is least. */
#include "fewer_chords.h"

#include <float.h>
#include <string.h>

/* ---- what is lost -------------------------------------------------------------------------------------------------- */

/* Points for a bar. Design choices, tried on the examples: what is heard first costs most. */
#define OTHER_JOB  1.5
#define OTHER_GOAL 0.7 /* the same function toward another chord */
#define LOST_GUIDE 0.6 /* a third or seventh */
#define LOST_ROOT  0.4
#define LOST_FIFTH 0.05 /* a natural fifth; altered it is a colour */
#define LOST_TONE  0.15
#define NEW_OF_KEY 0.25
#define NEW_TONE   0.7
#define OTHER_BASS 0.5
#define TOP_LACKED 0.5 /* the note asked for on top is no tone of the new chord */
#define TOP_CLASH  2.0

/* Chords that only lead on: the chord before may go on through them, or the next begin early. */
static const struct Leaving {
  double cost;
  GlnPlaceRole role;
  bool to_last, to_next;
} leavings[] = {
    {0.5, GLN_PLACE_PASSING_DIM, true, true}, {0.4, GLN_PLACE_COMMON_TONE_DIM, true, true},
    {0.5, GLN_PLACE_CHROMATIC, true, true},   {0.6, GLN_PLACE_LEADING_DIM, true, true},
    {0.6, GLN_PLACE_RELATED_II, false, true}, {1.1, GLN_PLACE_SECONDARY_DOMINANT, true, false},
    {0.6, GLN_PLACE_PEDAL, true, true},
};

bool gln_chord_leads_on(const GlnReading *reading) {
  for (size_t l = 0; l < GLN_COUNT_OF(leavings); l++)
    if (leavings[l].role == reading->role)
      return true;
  return false;
}

static double cost_of_lost(const GlnTone *tone) {
  int number = tone->degree.number;
  if (number == 3 || number == 7)
    return LOST_GUIDE;
  if (number == 1)
    return LOST_ROOT;
  return number == 5 && tone->degree.alteration == 0 ? LOST_FIFTH : LOST_TONE;
}

/* Tones of the blues where the song plays it: they count as tones of the key. */
static unsigned find_blues_bits(const GlnChordSong *song) {
  unsigned bits = 0;
  for (size_t i = 0; i < song->count; i++)
    if (!song->steps[i].chord->silent && song->readings[i].role == GLN_PLACE_BLUES)
      bits |= gln_chord_pitch_classes(song->steps[i].chord);
  return bits;
}

static double cost_of_tones(const GlnChord *old, const GlnChord *new, unsigned key) {
  unsigned ours = gln_chord_pitch_classes(old), theirs = gln_chord_pitch_classes(new), seen = 0;
  double cost = 0;
  for (int t = 0; t < old->own_count; t++) {
    unsigned bit = 1u << old->tones[t].pitch_class;
    cost += (theirs & bit) == 0 && (seen & bit) == 0 ? cost_of_lost(&old->tones[t]) : 0;
    seen |= bit;
  }
  unsigned fresh = theirs & ~ours;
  cost += NEW_OF_KEY * gln_bit_count(fresh & key) + NEW_TONE * gln_bit_count(fresh & ~key & 0xFFFu);
  return cost + (gln_note_pitch_class(old->bass) != gln_note_pitch_class(new->bass) ? OTHER_BASS : 0);
}

#define AROUND 3 /* steps that a reading looks at, on either side */

GlnStatus gln_reading_in_place(const GlnChordSong *song, size_t i, const GlnChord *chord, GlnArena *arena,
                               GlnReading *reading) {
  GlnStep window[2 * AROUND + 1];
  GlnReading readings[2 * AROUND + 1];
  size_t first = i > AROUND ? i - AROUND : 0, end = i + AROUND + 1;
  end = end < song->count ? end : song->count;
  for (size_t k = first; k < end; k++)
    window[k - first] = song->steps[k];
  window[i - first].chord = chord;
  GLN_TRY(gln_harmony_read(window, end - first, song->readings[i].key, arena, readings));
  *reading = readings[i - first];
  return GLN_OK;
}

static GlnStatus find_place_cost(const GlnChordSong *song, size_t i, const GlnChord *chord, unsigned key,
                                 GlnArena *arena, double *cost) {
  const GlnReading *old = &song->readings[i];
  GlnReading new;
  GLN_TRY(gln_reading_in_place(song, i, chord, arena, &new));
  *cost = cost_of_tones(song->steps[i].chord, chord, key);
  if (old->function != new.function)
    *cost += OTHER_JOB;
  else if (!gln_same_goal(old, &new))
    *cost += OTHER_GOAL;
  return GLN_OK;
}

/* A chord that leads on is left out when its neighbour's stand-in sounds through it. */
static double cost_of_leaving(const GlnChordSong *song, size_t i, const GlnChord *chord, unsigned key) {
  double least = DBL_MAX;
  for (size_t l = 0; l < GLN_COUNT_OF(leavings); l++) {
    if (leavings[l].role != song->readings[i].role)
      continue;
    for (int side = 0; side < 2; side++) {
      bool there = side == 0 ? leavings[l].to_last && i > 0 : leavings[l].to_next && i + 1 < song->count;
      size_t beside = side == 0 ? i - 1 : i + 1;
      if (!there || song->steps[beside].chord->silent)
        continue;
      double cost = leavings[l].cost + cost_of_tones(song->steps[beside].chord, chord, key);
      least = cost < least ? cost : least;
    }
  }
  return least;
}

static double cost_of_top(const GlnNote *top, const GlnChord *chord) {
  if (top == NULL)
    return 0;
  GlnTopEffect effect = gln_top_effect(chord, *top);
  return effect == GLN_TOP_IN_CHORD ? 0 : effect == GLN_TOP_TENSION ? TOP_LACKED : TOP_CLASH;
}

/* Points of one bar of step i on another chord. */
static GlnStatus find_cost(const GlnChordSong *song, size_t i, const GlnChord *chord, unsigned key,
                           GlnArena *arena, double *cost) {
  *cost = 0;
  if (gln_chord_equal(song->steps[i].chord, chord))
    return GLN_OK;
  GLN_TRY(find_place_cost(song, i, chord, key, arena, cost));
  double left = cost_of_leaving(song, i, chord, key);
  *cost = left < *cost ? left : *cost;
  *cost += cost_of_top(song->tops != NULL ? song->tops[i] : NULL, chord);
  return GLN_OK;
}

/* ---- the chords there are to choose from ------------------------------------------------------------------------------ */

static bool is_allowed(const GlnChord *chord, GlnChordLevel level) {
  GlnClass class = gln_chord_class(chord);
  switch (level) {
  case GLN_CHORDS_FULL:
    return true;
  case GLN_CHORDS_INTERMEDIATE:
    return chord->own_count <= 4 && !chord->has_bass;
  case GLN_CHORDS_BEGINNER:
    return !chord->has_bass &&
           (chord->own_count <= 3 || (class == GLN_CLASS_DOMINANT && chord->own_count == 4));
  }
  return false;
}

static bool add_choice(GlnChordChoices *choices, const GlnChord *chord, GlnChordLevel level) {
  if (!is_allowed(chord, level))
    return true;
  for (size_t c = 0; c < choices->count; c++)
    if (gln_chord_equal(&choices->chords[c], chord))
      return true;
  if (choices->count == GLN_CHORD_CHOICES_MAX)
    return false;
  choices->chords[choices->count++] = *chord;
  return true;
}

/* A chord's plain seventh and triad by its class. */
static void add_plain(GlnChordChoices *choices, const GlnChord *chord, GlnChordLevel level) {
  static const char *const plain[GLN_CLASS_COUNT][2] = {
      [GLN_CLASS_MAJOR] = {"", ""},         [GLN_CLASS_MAJOR7] = {"maj7", ""},
      [GLN_CLASS_DOMINANT] = {"7", ""},     [GLN_CLASS_MINOR] = {"m7", "m"},
      [GLN_CLASS_HALF_DIM] = {"m7b5", "m"}, [GLN_CLASS_DIM] = {"dim7", "dim"},
      [GLN_CLASS_AUG] = {"7", ""},          [GLN_CLASS_SUS] = {"7", ""}};
  for (size_t p = 0; p < 2; p++) {
    GlnChord made;
    if (gln_rule_chord(chord->root, plain[gln_chord_class(chord)][p], NULL, &made))
      (void)add_choice(choices, &made, level);
  }
}

/* The song's own chords first, then their plain forms, as many as there is room for. */
static void find_choices(const GlnChordSong *song, GlnChordLevel level, GlnChordChoices *choices) {
  for (size_t i = 0; i < song->count; i++)
    if (!song->steps[i].chord->silent)
      (void)add_choice(choices, song->steps[i].chord, level);
  for (size_t i = 0; i < song->count; i++)
    if (!song->steps[i].chord->silent)
      add_plain(choices, song->steps[i].chord, level);
}

/* ---- the costs of every group on every choice ---------------------------------------------------------------------------- */

static bool same_context(const GlnChordSong *song, size_t a, size_t b) {
  const GlnStep *steps = song->steps;
  if (!gln_chord_equal(steps[a].chord, steps[b].chord) || (a == 0) != (b == 0) ||
      (a + 1 == song->count) != (b + 1 == song->count))
    return false;
  const GlnReading *one = &song->readings[a], *other = &song->readings[b];
  bool tops = song->tops == NULL || (song->tops[a] == NULL && song->tops[b] == NULL);
  return tops && one->role == other->role && one->function == other->function &&
         one->key.minor == other->key.minor && gln_note_equal(one->key.tonic, other->key.tonic) &&
         (a == 0 || gln_chord_equal(steps[a - 1].chord, steps[b - 1].chord)) &&
         (a + 1 == song->count || gln_chord_equal(steps[a + 1].chord, steps[b + 1].chord));
}

/* table: rows of one bar's costs, one for each context; row_of[i]: that of step i. */
static GlnStatus find_bar_costs(const GlnChordSong *song, const GlnChordChoices *choices, GlnArena *arena,
                                double **table, size_t *row_of) {
  size_t rows = 0, *first = GLN_NEW(arena, size_t, song->count);
  if (first == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < song->count; i++) {
    row_of[i] = SIZE_MAX;
    if (song->steps[i].chord->silent)
      continue;
    for (size_t r = 0; r < rows && row_of[i] == SIZE_MAX; r++)
      if (same_context(song, first[r], i))
        row_of[i] = r;
    if (row_of[i] == SIZE_MAX) {
      row_of[i] = rows;
      first[rows++] = i;
    }
  }
  *table = GLN_NEW(arena, double, rows * choices->count);
  GlnArena *scratch = gln_arena_beside(arena);
  if (*table == NULL || scratch == NULL) {
    gln_arena_free(scratch);
    return GLN_MEMORY;
  }
  GlnStatus status = GLN_OK;
  unsigned blues = find_blues_bits(song);
  for (size_t r = 0; r < rows; r++)
    for (size_t c = 0; c < choices->count && status == GLN_OK; c++) {
      GlnArenaMark mark = gln_arena_mark(scratch);
      status = find_cost(song, first[r], &choices->chords[c],
                         blues | gln_key_classes(song->readings[first[r]].key), scratch,
                         &(*table)[r * choices->count + c]);
      gln_arena_rewind(scratch, mark);
    }
  gln_arena_free(scratch);
  return status;
}

/* Quarters of a bar that points are counted by. */
#define BAR_QUARTERS 4

static double bars_of(const GlnStep *step) {
  return gln_ratio_value(step->quarters) / BAR_QUARTERS;
}

static GlnStatus find_costs(const GlnChordSong *song, const GlnChordChoices *choices, GlnArena *arena,
                            GlnMedian *median, double **table, size_t *row_of) {
  median->items = song->group_count;
  median->choices = choices->count;
  median->cost = GLN_NEW(arena, double, song->group_count * choices->count);
  if (median->cost == NULL)
    return GLN_MEMORY;
  GLN_TRY(find_bar_costs(song, choices, arena, table, row_of));
  for (size_t i = 0; i < song->count; i++) {
    if (row_of[i] == SIZE_MAX)
      continue;
    for (size_t c = 0; c < choices->count; c++)
      median->cost[song->groups[i] * choices->count + c] +=
          bars_of(&song->steps[i]) * (*table)[row_of[i] * choices->count + c];
  }
  return GLN_OK;
}

GlnStatus gln_chords_reduce(const GlnChordSong *song, size_t most, GlnChordLevel level, GlnArena *arena,
                            GlnFewerChords *fewer) {
  GlnChordChoices *choices = GLN_NEW(arena, GlnChordChoices, 1);
  GlnMedian median = {.most = most};
  double *table = NULL;
  size_t *row_of = GLN_NEW(arena, size_t, song->count);
  *fewer = (GlnFewerChords){.chord_of = GLN_NEW(arena, const GlnChord *, song->count),
                            .points_of = GLN_NEW(arena, double, song->count)};
  if (choices == NULL || row_of == NULL || fewer->chord_of == NULL || fewer->points_of == NULL)
    return GLN_MEMORY;
  find_choices(song, level, choices);
  if (choices->count == 0)
    return GLN_INPUT;
  GLN_TRY(find_costs(song, choices, arena, &median, &table, row_of));
  GLN_TRY(gln_median_solve(&median, arena));
  bool used[GLN_CHORD_CHOICES_MAX] = {false};
  for (size_t i = 0; i < song->count; i++) {
    if (song->steps[i].chord->silent)
      continue;
    size_t choice = median.choice_of[song->groups[i]];
    fewer->chord_of[i] = &choices->chords[choice];
    fewer->points_of[i] = bars_of(&song->steps[i]) * table[row_of[i] * choices->count + choice];
    fewer->chord_count += used[choice] ? 0 : 1;
    used[choice] = true;
  }
  fewer->loss = median.total;
  fewer->bound = median.bound;
  return GLN_OK;
}
