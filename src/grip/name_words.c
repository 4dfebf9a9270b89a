/* Why a name fits, in plain sentences. */
#include "name_internal.h"

static void add_note(GlnNote note, GlnBuffer *out) {
  char text[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(note, GLN_SIGNS_UNICODE, text);
  gln_buffer_add_string(out, text);
}

static void add_symbol(const GlnChord *chord, GlnBuffer *out) {
  char text[GLN_SYMBOL_TEXT_MAX];
  (void)gln_chord_print(chord, GLN_SIGNS_UNICODE, text);
  gln_buffer_add_string(out, text);
}

/* "the 3rd", "the ♭7": as players say degrees. */
static void add_degree(GlnDegree degree, GlnBuffer *out) {
  char text[GLN_DEGREE_TEXT_MAX];
  static const char *const endings[] = {"th", "st", "nd", "rd"};
  (void)gln_degree_print(degree, GLN_SIGNS_UNICODE, text);
  gln_buffer_format(out, "the %s", degree.number == 1 ? "root" : text);
  if (degree.alteration == 0 && degree.number != 1)
    gln_buffer_add_string(out, endings[degree.number < 4 ? degree.number : 0]);
}

/* "C", "C and E", "C, E and G": what stands before item n of count. */
static const char *between(int n, int count) {
  if (n == 0)
    return "";
  return n == count - 1 ? " and " : ", ";
}

static bool tone_sounds(const GlnChord *chord, int tone, GlnNoteSet sounding) {
  return (sounding.pitch_classes >> chord->tones[tone].pitch_class & 1) != 0;
}

static bool leaves_out(const GlnChord *chord, int tone, GlnNoteSet sounding) {
  return tone != chord->root_tone && tone < chord->own_count && !tone_sounds(chord, tone, sounding);
}

static int count_left_out(const GlnChord *chord, GlnNoteSet sounding) {
  int count = 0;
  for (int t = 0; t < chord->own_count; t++)
    count += leaves_out(chord, t, sounding);
  return count;
}

static void add_left_out(const GlnChord *chord, GlnNoteSet sounding, GlnBuffer *out) {
  int count = count_left_out(chord, sounding), n = 0;
  for (int t = 0; t < chord->own_count; t++) {
    if (!leaves_out(chord, t, sounding))
      continue;
    gln_buffer_add_string(out, between(n++, count));
    add_degree(chord->tones[t].degree, out);
  }
  gln_buffer_add_string(out, count == 1 ? " is left out" : " are left out");
}

/* "; the 5th is left out.", or the end of the sentence when all sounds. */
static void add_rest(const GlnChord *chord, GlnNoteSet sounding, GlnBuffer *out) {
  if (count_left_out(chord, sounding) > 0) {
    gln_buffer_add_string(out, "; ");
    add_left_out(chord, sounding, out);
  }
  gln_buffer_add_byte(out, '.');
}

static const char *quality_words(const GlnChord *chord) {
  return chord->quality >= 0 ? gln_quality_at((size_t)chord->quality)->words
                             : "chord with no name of its own";
}

static void add_plain(const GlnChord *chord, GlnNoteSet sounding, GlnBuffer *out) {
  add_note(chord->root, out);
  gln_buffer_format(out, sounding.few ? " is the root of a %s" : " in the bass is the root of a %s",
                    quality_words(chord));
  if (count_left_out(chord, sounding) == 0)
    gln_buffer_add_string(out, ", and all of it sounds");
  add_rest(chord, sounding, out);
}

static void add_inverted(const GlnChord *chord, GlnNoteSet sounding, GlnBuffer *out) {
  GlnChord upright = *chord;
  upright.has_bass = false;
  upright.bass = chord->root;
  add_note(chord->bass, out);
  gln_buffer_add_string(out, " in the bass is ");
  add_degree(chord->tones[chord->bass_tone].degree, out);
  gln_buffer_add_string(out, " of ");
  add_symbol(&upright, out);
  add_rest(chord, sounding, out);
}

static void add_slash(const GlnChord *chord, GlnNoteSet sounding, GlnBuffer *out) {
  GlnChord upper = *chord;
  upper.has_bass = false;
  upper.bass = chord->root;
  upper.tone_count = chord->own_count;
  add_symbol(&upper, out);
  gln_buffer_add_string(out, " over ");
  add_note(chord->bass, out);
  gln_buffer_add_string(out, ", a bass that is not one of its notes");
  add_rest(&upper, sounding, out);
}

static void add_rootless(const GlnChord *chord, GlnNoteSet sounding, GlnBuffer *out) {
  int count = 0, n = 0;
  for (int t = 0; t < chord->own_count; t++)
    count += tone_sounds(chord, t, sounding);
  gln_buffer_add_string(out, "The root ");
  add_note(chord->root, out);
  gln_buffer_add_string(out, " is left to a bass player: ");
  for (int t = 0; t < chord->own_count; t++) {
    if (!tone_sounds(chord, t, sounding))
      continue;
    gln_buffer_add_string(out, between(n++, count));
    add_note(chord->tones[t].note, out);
    gln_buffer_add_string(out, " is ");
    add_degree(chord->tones[t].degree, out);
  }
  add_rest(chord, sounding, out);
}

/* ---- other names of the same notes ----------------------------------------------------------------------------- */

static uint16_t notes_of(const GlnNamer *namer, const GlnName *name) {
  unsigned notes = gln_name_tones(namer, name);
  return (uint16_t)(name->kind == GLN_NAME_SLASH ? notes | 1u << name->bass : notes);
}

static int roots_of_same_notes(const GlnNamer *namer, const GlnName *names, size_t count, size_t index,
                               size_t *other) {
  uint16_t notes = notes_of(namer, &names[index]), roots = (uint16_t)(1u << names[index].root);
  int found = 1;
  for (size_t i = count; i-- > 0;) {
    if (notes_of(namer, &names[i]) != notes)
      continue;
    if (names[i].root != names[index].root)
      *other = i;
    found += (roots >> names[i].root & 1) == 0;
    roots |= (uint16_t)(1u << names[i].root);
  }
  return found;
}

static void add_same_notes(const GlnNamer *namer, const GlnName *names, size_t count, size_t index,
                           const GlnChord *chord, const GlnKey *key, GlnBuffer *out) {
  size_t other = index;
  int roots = roots_of_same_notes(namer, names, count, index, &other);
  GlnChord twin;
  if (roots == chord->own_count && roots > 2) {
    gln_buffer_format(out, " It divides the octave evenly, so any of its %s notes may be the root.",
                      roots == 3 ? "three" : "four");
    return;
  }
  if (other == index || gln_name_chord(namer, &names[other], key, &twin) != GLN_OK)
    return;
  gln_buffer_add_string(out, " The same notes are also ");
  add_symbol(&twin, out);
  bool tritone = (names[other].root - names[index].root + 12) % 12 == 6;
  gln_buffer_add_string(out, tritone ? ", its tritone substitute." : ".");
}

void gln_name_reason(const GlnNamer *namer, const GlnName *names, size_t count, size_t index,
                     const GlnChord *chord, GlnNoteSet sounding, const GlnKey *key, GlnBuffer *out) {
  switch (names[index].kind) {
  case GLN_NAME_PLAIN:
    add_plain(chord, sounding, out);
    break;
  case GLN_NAME_INVERTED:
    if (sounding.few)
      add_plain(chord, sounding, out);
    else
      add_inverted(chord, sounding, out);
    break;
  case GLN_NAME_SLASH:
    add_slash(chord, sounding, out);
    break;
  case GLN_NAME_ROOTLESS:
    add_rootless(chord, sounding, out);
    break;
  }
  add_same_notes(namer, names, count, index, chord, key, out);
}
