/* Candidates: for each distinct wish of a song (chord, pin, top note) every grip that may serve, and what is wrong
 * where there is none. */
#include "route_internal.h"

#include <string.h>

static void chord_text(const GlnChord *chord, char out[GLN_SYMBOL_TEXT_MAX]) {
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, out);
}

static GlnGripQuery query_of(const GlnEvent *event, const GlnLineOptions *options) {
  GlnGripQuery query = gln_grip_query_defaults(&event->chord, &options->instrument, &options->hand);
  query.textures = options->textures;
  query.strings = options->strings;
  query.fret_low = options->fret_low;
  query.fret_high = options->fret_high;
  query.open_wish = options->open_wish;
  query.right_hand = options->right_hand;
  query.bass_wish = options->bass_wish;
  if (event->has_top && event->top_has_octave)
    query.top_midi = (int16_t)gln_pitch_midi(event->top);
  else if (event->has_top)
    query.top_pitch_class = (int8_t)gln_note_pitch_class(event->top.note);
  return query;
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

static GlnStatus pinned_grip(const GlnEvent *event, const GlnLineOptions *options, GlnArena *arena,
                             GlnDiags *diags, GlnGripList *list) {
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
  list->count = 1;
  return GLN_OK;
}

/* ---- nothing found ----------------------------------------------------------------------------------------------- */

static GlnStatus has_grips(const GlnGripQuery *query, GlnArena *arena, bool *has) {
  GlnGripList list = {0};
  GLN_TRY(gln_grip_search(query, arena, &list));
  *has = list.count > 0;
  return GLN_OK;
}

static GlnStatus top_fault(const GlnEvent *event, const char *name, GlnDiags *diags) {
  char note[GLN_NOTE_TEXT_MAX];
  if (event->top_has_octave)
    (void)gln_pitch_print(event->top, GLN_SIGNS_ASCII, note);
  else
    (void)gln_note_print(event->top.note, GLN_SIGNS_ASCII, note);
  gln_diags_format(diags, GLN_ERROR, event->top_offset, event->offset + event->length - event->top_offset,
                   "ask for another top note, or another octave of it",
                   "no grip of %s that this hand can hold has %s on top", name, note);
  return GLN_OK;
}

/* The wishes that can be let go one at a time, to say which stands in the way. */
typedef enum Wish { WISH_REGION, WISH_TEXTURE, WISH_STRINGS, WISH_OPEN, WISH_COUNT } Wish;
static const char *const wish_words[WISH_COUNT][2] = {
    {" in this region of the neck", "widen the region"},
    {" in the texture asked for", "allow another texture"},
    {" on the strings asked for", "allow more strings"},
    {" with the open strings as asked for", "allow grips with and without open strings"},
};

static GlnGripQuery without(GlnGripQuery query, Wish wish) {
  if (wish == WISH_REGION)
    query.fret_low = query.fret_high = 0;
  if (wish == WISH_TEXTURE)
    query.textures = 0;
  if (wish == WISH_STRINGS)
    query.strings = 0;
  if (wish == WISH_OPEN)
    query.open_wish = GLN_OPEN_ALLOWED;
  return query;
}

static GlnStatus explain_none(const GlnEvent *event, const GlnGripQuery *query, GlnArena *arena,
                              GlnDiags *diags) {
  char name[GLN_SYMBOL_TEXT_MAX];
  chord_text(&event->chord, name);
  bool has = false;
  GlnGripQuery looser = *query;
  looser.top_midi = -1;
  looser.top_pitch_class = -1;
  if (event->has_top)
    GLN_TRY(has_grips(&looser, arena, &has));
  if (has)
    return top_fault(event, name, diags);
  const char *within = "", *advice = "leave out a tension, or write a simpler chord";
  for (int wish = 0; wish < WISH_COUNT && !has; ++wish) {
    GlnGripQuery freer = without(looser, (Wish)wish);
    GLN_TRY(has_grips(&freer, arena, &has));
    within = has ? wish_words[wish][0] : within;
    advice = has ? wish_words[wish][1] : advice;
  }
  gln_diags_format(diags, GLN_ERROR, event->offset, event->length, advice,
                   "no grip of %s that this hand can hold%s", name, within);
  return GLN_OK;
}

GlnStatus gln_candidates_find(const GlnEvent *event, const GlnLineOptions *options, GlnArena *arena,
                              GlnDiags *diags, GlnGripList *list) {
  *list = (GlnGripList){0};
  if (event->pin.length > 0)
    return pinned_grip(event, options, arena, diags, list);
  GlnGripQuery query = query_of(event, options);
  GLN_TRY(gln_grip_search(&query, arena, list));
  if (list->count > 0)
    return GLN_OK;
  query.bass_wish = GLN_BASS_ANY;
  GLN_TRY(gln_grip_search(&query, arena, list));
  if (list->count == 0) {
    GLN_TRY(explain_none(event, &query, arena, diags));
    return GLN_NO;
  }
  char name[GLN_SYMBOL_TEXT_MAX], bass[GLN_NOTE_TEXT_MAX];
  chord_text(&event->chord, name);
  (void)gln_note_print(event->chord.bass, GLN_SIGNS_ASCII, bass);
  gln_diags_format(diags, GLN_WARNING, event->offset, event->length, "",
                   "no grip of %s within the wishes has %s in the bass: another bass is played", name, bass);
  return GLN_OK;
}

bool gln_candidates_same(const GlnEvent *a, const GlnEvent *b) {
  if (!gln_chord_equal(&a->chord, &b->chord) || !gln_text_equal(a->pin, b->pin) || a->has_top != b->has_top)
    return false;
  return !a->has_top || (a->top_has_octave == b->top_has_octave && gln_note_equal(a->top.note, b->top.note) &&
                         (!a->top_has_octave || a->top.octave == b->top.octave));
}
