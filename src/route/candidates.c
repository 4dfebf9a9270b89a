/* Candidates: for each distinct wish of a song (chord, pin, top note) every grip that may serve, and what is wrong
 * where there is none. */
#include "route_internal.h"

#include <string.h>

static void chord_text(const GlnChord *chord, char out[GLN_SYMBOL_TEXT_MAX]) {
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, out);
}

GlnGripQuery gln_candidates_query(const GlnEvent *event, GlnSlotWish wish, const GlnLineOptions *options) {
  GlnGripQuery query = gln_grip_query_defaults(&event->chord, &options->instrument, &options->hand);
  query.textures = wish.textures;
  query.strings = options->strings;
  query.fret_low = wish.fret_low;
  query.fret_high = wish.fret_high;
  query.open_wish = options->open_wish;
  query.right_hand = options->right_hand;
  query.bass_wish = options->bass_wish;
  if (wish.bass_line == GLN_BASS_LINE_CHROMATIC && !event->chord.has_bass)
    query.bass_wish = GLN_BASS_ANY;
  if (event->has_top && event->top_has_octave)
    query.top_midi = (int16_t)gln_pitch_midi(event->top);
  else if (event->has_top)
    query.top_pitch_class = (int8_t)gln_note_pitch_class(event->top.note);
  return query;
}

/* A bass that walks does so on roots, 3rds, 5ths and 7ths: a tension there would be another chord. */
static bool bass_may_walk(const GlnChord *chord, const GlnGrip *grip) {
  int number = chord->tones[grip->tone[grip->bass_string]].degree.number;
  return number % 2 == 1 && number <= 7;
}

static void keep_walking(const GlnChord *chord, GlnGripList *list) {
  size_t kept = 0;
  for (size_t g = 0; g < list->count; ++g)
    if (bass_may_walk(chord, &list->grips[g]))
      list->grips[kept++] = list->grips[g];
  list->count = kept;
}

/* The grips of a query, those alone over which the bass may walk where it shall. */
static GlnStatus search(const GlnEvent *event, GlnSlotWish wish, const GlnGripQuery *query, GlnArena *arena,
                        GlnGripList *list) {
  GLN_TRY(gln_grip_search(query, arena, list));
  if (wish.bass_line == GLN_BASS_LINE_CHROMATIC && !event->chord.has_bass)
    keep_walking(query->chord, list);
  return GLN_OK;
}

/* ---- pins ------------------------------------------------------------------------------------------------------ */

static void pin_fault(const GlnEvent *event, const GlnSymbolFault *fault, const char *advice,
                      GlnDiags *diags) {
  char name[GLN_SYMBOL_TEXT_MAX];
  chord_text(&event->chord, name);
  bool within = fault->length > 0 && fault->offset + fault->length <= event->pin.length;
  gln_diags_format(diags, GLN_ERROR, event->pin_offset + (within ? fault->offset : 0),
                   within ? fault->length : event->pin.length, advice, "the grip %.*s pinned for %s: %s",
                   (int)event->pin.length, event->pin.at, name, fault->problem);
}

static bool top_fits(const GlnEvent *event, const GlnGrip *grip) {
  int top = grip->midi[grip->top_string];
  if (event->top_has_octave)
    return top == gln_pitch_midi(event->top);
  return top % 12 == gln_note_pitch_class(event->top.note);
}

static GlnStatus pinned_grip(const GlnEvent *event, GlnSlotWish wish, const GlnLineOptions *options,
                             GlnArena *arena, GlnDiags *diags, GlnGripList *list) {
  GlnFrets frets;
  GlnSymbolFault fault = {0};
  if (gln_frets_parse(event->pin, &frets, &fault) != GLN_OK) {
    pin_fault(event, &fault, "write a fret, 0 or x for each string, lowest string first", diags);
    return GLN_NO;
  }
  if (frets.string_count != options->instrument.string_count) {
    gln_diags_format(diags, GLN_ERROR, event->pin_offset, event->pin.length,
                     "write a fret, 0 or x for each string, lowest string first",
                     "the pinned grip %.*s has %d strings, the instrument has %d", (int)event->pin.length,
                     event->pin.at, frets.string_count, options->instrument.string_count);
    return GLN_NO;
  }
  GlnGripQuery query = gln_grip_query_defaults(&event->chord, &options->instrument, &options->hand);
  query.bass_wish = GLN_BASS_ANY;
  query.right_hand = options->right_hand;
  list->grips = GLN_NEW(arena, GlnGrip, 1);
  if (list->grips == NULL)
    return GLN_MEMORY;
  GlnStatus status = gln_grip_of_frets(&query, &frets, list->grips, &fault);
  if (status == GLN_NO || status == GLN_INPUT) {
    pin_fault(event, &fault, "pin another grip or change the chord", diags);
    return GLN_NO;
  }
  GLN_TRY(status);
  if (event->has_top && !top_fits(event, list->grips)) {
    char note[GLN_NOTE_TEXT_MAX];
    (void)gln_note_print(event->top.note, GLN_SIGNS_ASCII, note);
    gln_diags_format(diags, GLN_ERROR, event->top_offset, event->offset + event->length - event->top_offset,
                     "take one of them away",
                     "the pinned grip %.*s does not have the top note %s that is asked for",
                     (int)event->pin.length, event->pin.at, note);
    return GLN_NO;
  }
  query = gln_candidates_query(event, wish, options);
  GLN_TRY(gln_pin_within(event, list->grips, &query, arena, diags));
  if (event->has_tune && list->grips[0].midi[list->grips[0].top_string] != gln_pitch_midi(event->tune)) {
    char note[GLN_NOTE_TEXT_MAX];
    (void)gln_pitch_print(event->tune, GLN_SIGNS_ASCII, note);
    gln_diags_format(diags, GLN_WARNING, event->tune_offset, event->tune_length, "",
                     "the grip %.*s pinned here does not have the tune's %s on top", (int)event->pin.length,
                     event->pin.at, note);
  }
  list->count = 1;
  return GLN_OK;
}

bool gln_candidates_top_fits(const GlnEvent *event, const GlnGrip *grip) {
  if (event->has_top)
    return top_fits(event, grip);
  return !event->has_tune || grip->midi[grip->top_string] == gln_pitch_midi(event->tune);
}

/* ---- the tune -------------------------------------------------------------------------------------------------- */

/* The chord with the tune's note as one tone more, a tension where it can be one. */
static const GlnChord *chord_under(const GlnEvent *event, GlnArena *arena) {
  const GlnChord *chord = &event->chord;
  int pitch_class = gln_note_pitch_class(event->tune.note);
  if (gln_chord_tone_of(chord, pitch_class) >= 0 || chord->tone_count == GLN_CHORD_TONES_MAX)
    return chord;
  GlnChord *under = GLN_NEW(arena, GlnChord, 1);
  if (under == NULL)
    return NULL;
  *under = *chord;
  GlnDegree degree = gln_degree_between(chord->root, event->tune.note);
  if (degree.number == 2 || degree.number == 4 || degree.number == 6)
    degree.number = (int8_t)(degree.number + 7);
  under->tones[under->tone_count++] = (GlnTone){.degree = degree,
                                                .note = event->tune.note,
                                                .pitch_class = (int8_t)pitch_class,
                                                .role = GLN_ROLE_MAY_GO,
                                                .leave_order = 1};
  return under;
}

/* Grips below the tune's note, which then sounds alone above them. */
static GlnStatus below_tune(const GlnEvent *event, GlnSlotWish wish, const GlnGripQuery *query,
                            GlnArena *arena, GlnGripList *list) {
  GLN_TRY(search(event, wish, query, arena, list));
  size_t below = 0;
  for (size_t g = 0; g < list->count; ++g)
    below += list->grips[g].midi[list->grips[g].top_string] < gln_pitch_midi(event->tune) ? 1U : 0U;
  size_t kept = 0;
  for (size_t g = 0; g < list->count && below > 0; ++g)
    if (list->grips[g].midi[list->grips[g].top_string] < gln_pitch_midi(event->tune))
      list->grips[kept++] = list->grips[g];
  list->count = below > 0 ? kept : list->count;
  return GLN_OK;
}

static GlnStatus tell_of_tune(const GlnEvent *event, const GlnGripQuery *query, GlnArena *arena,
                              GlnDiags *diags) {
  char name[GLN_SYMBOL_TEXT_MAX], note[GLN_NOTE_TEXT_MAX], other[GLN_NOTE_TEXT_MAX];
  chord_text(&event->chord, name);
  (void)gln_pitch_print(event->tune, GLN_SIGNS_ASCII, note);
  bool has = false;
  GlnPitch nearest;
  GLN_TRY(gln_nearest_top(query, gln_pitch_midi(event->tune), arena, &has, &nearest));
  GlnBuffer advice = gln_buffer(arena);
  gln_buffer_add_string(&advice, "it is left to sound alone");
  if (has) {
    (void)gln_pitch_print(nearest, GLN_SIGNS_ASCII, other);
    gln_buffer_format(&advice, "; the nearest note that can be on top is %s", other);
  }
  const char *words = gln_text_copy(arena, gln_buffer_text(&advice));
  gln_diags_format(diags, GLN_WARNING, event->tune_offset, event->tune_length, words != NULL ? words : "",
                   "no grip of %s within the wishes keeps the tune's %s on top", name, note);
  return GLN_OK;
}

/* Grips with the tune's note on top. An empty list when there is none: query is as without the tune then. */
static GlnStatus grips_under_tune(const GlnEvent *event, GlnSlotWish wish, const GlnGripQuery *query,
                                  GlnArena *arena, GlnCandidates *found) {
  GlnGripQuery under = *query;
  under.chord = chord_under(event, arena);
  if (under.chord == NULL)
    return GLN_MEMORY;
  under.top_midi = (int16_t)gln_pitch_midi(event->tune);
  GLN_TRY(search(event, wish, &under, arena, &found->list));
  if (found->list.count > 0)
    found->chord = under.chord;
  return GLN_OK;
}

/* ---- all of them ------------------------------------------------------------------------------------------------- */

static void tell_of_bass(const GlnEvent *event, GlnDiags *diags) {
  char name[GLN_SYMBOL_TEXT_MAX], bass[GLN_NOTE_TEXT_MAX];
  chord_text(&event->chord, name);
  (void)gln_note_print(event->chord.bass, GLN_SIGNS_ASCII, bass);
  gln_diags_format(diags, GLN_WARNING, event->offset, event->length, "",
                   "no grip of %s within the wishes has %s in the bass: another bass is played", name, bass);
}

/* Not where shells alone are asked for: they leave out by their nature. */
static void tell_of_room(const GlnEvent *event, GlnSlotWish wish, const GlnGripList *list, GlnArena *arena,
                         GlnDiags *diags) {
  if (list->let_go == 0 || wish.textures == 1U << GLN_TEXTURE_SHELL)
    return;
  char name[GLN_SYMBOL_TEXT_MAX];
  chord_text(&event->chord, name);
  GlnBuffer tones = gln_buffer(arena);
  gln_tones_describe(&event->chord, list->let_go, &tones);
  GlnText words = gln_buffer_text(&tones);
  gln_diags_format(diags, GLN_WARNING, event->offset, event->length, "",
                   "no grip of %s has room for all its tones: %.*s may be left out", name, (int)words.length,
                   words.at);
}

/* The two queries of a chord: with the bass as asked, and with any. */
typedef struct Queries {
  GlnGripQuery asked, any_bass;
} Queries;

/* With the tune on top: an empty list when no bass allows it. */
static GlnStatus find_under_tune(const GlnEvent *event, GlnSlotWish wish, const Queries *queries,
                                 GlnArena *arena, GlnDiags *diags, GlnCandidates *found) {
  GLN_TRY(grips_under_tune(event, wish, &queries->asked, arena, found));
  if (found->list.count > 0)
    return GLN_OK;
  GLN_TRY(grips_under_tune(event, wish, &queries->any_bass, arena, found));
  if (found->list.count > 0)
    tell_of_bass(event, diags);
  return GLN_OK;
}

/* Without the tune, below it where there is one. */
static GlnStatus find_plain(const GlnEvent *event, GlnSlotWish wish, const Queries *queries, GlnArena *arena,
                            GlnDiags *diags, GlnGripList *list) {
  bool tune = event->has_tune && !event->has_top;
  GLN_TRY(tune ? below_tune(event, wish, &queries->asked, arena, list)
               : search(event, wish, &queries->asked, arena, list));
  bool has_bass = list->count > 0;
  if (!has_bass)
    GLN_TRY(gln_grip_search(&queries->any_bass, arena, list));
  if (list->count == 0) {
    GLN_TRY(gln_wishes_collide(event, &queries->any_bass, arena, diags));
    return GLN_NO;
  }
  if (tune)
    GLN_TRY(tell_of_tune(event, &queries->any_bass, arena, diags));
  if (!has_bass)
    tell_of_bass(event, diags);
  tell_of_room(event, wish, list, arena, diags);
  return GLN_OK;
}

GlnStatus gln_candidates_find(const GlnEvent *event, GlnSlotWish wish, const GlnLineOptions *options,
                              GlnArena *arena, GlnDiags *diags, GlnCandidates *found) {
  *found = (GlnCandidates){.chord = &event->chord};
  if (event->pin.length > 0)
    return pinned_grip(event, wish, options, arena, diags, &found->list);
  Queries queries = {.asked = gln_candidates_query(event, wish, options)};
  queries.any_bass = queries.asked;
  queries.any_bass.bass_wish = GLN_BASS_ANY;
  if (event->has_tune && !event->has_top)
    GLN_TRY(find_under_tune(event, wish, &queries, arena, diags, found));
  return found->list.count > 0 ? GLN_OK : find_plain(event, wish, &queries, arena, diags, &found->list);
}

static bool same_pitch(GlnPitch a, GlnPitch b) {
  return gln_note_equal(a.note, b.note) && a.octave == b.octave;
}

bool gln_candidates_same(const GlnEvent *a, const GlnEvent *b) {
  if (!gln_chord_equal(&a->chord, &b->chord) || !gln_text_equal(a->pin, b->pin) || a->has_top != b->has_top ||
      a->has_tune != b->has_tune)
    return false;
  if (a->has_tune && !same_pitch(a->tune, b->tune))
    return false;
  return !a->has_top || (a->top_has_octave == b->top_has_octave && gln_note_equal(a->top.note, b->top.note) &&
                         (!a->top_has_octave || a->top.octave == b->top.octave));
}
