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

/* One wish at a time is let go, to say which stands in the way. */
static GlnStatus explain_none(const GlnEvent *event, const GlnGripQuery *query, GlnArena *arena,
                              GlnDiags *diags) {
  char name[GLN_SYMBOL_TEXT_MAX];
  chord_text(&event->chord, name);
  bool has = false;
  GlnGripQuery looser = *query;
  looser.bass_wish = GLN_BASS_ANY;
  if (event->has_top) {
    looser.top_midi = -1;
    looser.top_pitch_class = -1;
    GLN_TRY(has_grips(&looser, arena, &has));
    if (has) {
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
  }
  const char *advice = "leave out a tension, or write a simpler chord";
  const char *within = "";
  if (query->fret_low != 0 || query->fret_high != 0) {
    GlnGripQuery wider = looser;
    wider.fret_low = wider.fret_high = 0;
    GLN_TRY(has_grips(&wider, arena, &has));
    within = has ? " in this region of the neck" : within;
    advice = has ? "widen the region" : advice;
  }
  if (!has && query->textures != 0) {
    GlnGripQuery wider = looser;
    wider.textures = 0;
    GLN_TRY(has_grips(&wider, arena, &has));
    within = has ? " in the texture asked for" : within;
    advice = has ? "allow another texture" : advice;
  }
  if (!has && query->strings != 0) {
    GlnGripQuery wider = looser;
    wider.strings = 0;
    GLN_TRY(has_grips(&wider, arena, &has));
    within = has ? " on the strings asked for" : within;
    advice = has ? "allow more strings" : advice;
  }
  if (!has && query->open_wish != GLN_OPEN_ALLOWED) {
    GlnGripQuery wider = looser;
    wider.open_wish = GLN_OPEN_ALLOWED;
    GLN_TRY(has_grips(&wider, arena, &has));
    within = has ? " with the open strings as asked for" : within;
    advice = has ? "allow grips with and without open strings" : advice;
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
