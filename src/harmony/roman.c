/* Roman numerals in trade form: degrees counted on the major scale in both modes (♭III, ♭VI), small for
 * minor. */
#include "harmony_internal.h"

#include <string.h>

/* Degree and alteration a musician gives to a root so many semitones above the tonic. */
static const struct {
  int8_t number, alteration;
} degree_of[12] = {{1, 0}, {2, -1}, {2, 0},  {3, -1}, {3, 0},  {4, 0},
                   {4, 1}, {5, 0},  {6, -1}, {6, 0},  {7, -1}, {7, 0}};

static const char *const large[] = {"", "I", "II", "III", "IV", "V", "VI", "VII"};
static const char *const small[] = {"", "i", "ii", "iii", "iv", "v", "vi", "vii"};

typedef struct GlnRomanText {
  char *out;
  size_t length;
} GlnRomanText;

static void add(GlnRomanText *text, const char *part) {
  size_t length = strlen(part);
  if (text->length + length >= GLN_ROMAN_TEXT_MAX)
    return;
  memcpy(text->out + text->length, part, length + 1);
  text->length += length;
}

static bool is_small(GlnClass class) {
  return class == GLN_CLASS_MINOR || class == GLN_CLASS_HALF_DIM || class == GLN_CLASS_DIM;
}

/* A numeral for a root; spelled by letter where the letter gives a single accidental, else by the table. may_raise: a
 * diminished chord on the way up is ♯I or ♯V, everything else there ♭II or ♭VI. */
static void add_numeral(GlnRomanText *text, GlnNote tonic, GlnNote root, bool lower, bool may_raise) {
  GlnDegree degree = gln_degree_between(tonic, root);
  if (degree.alteration < -1 || degree.alteration > 1 ||
      (degree.alteration != 0 && (degree.number == 1 || degree.number == 5 || degree.number == 4)) ||
      degree.alteration == 1) {
    int above = (gln_note_pitch_class(root) - gln_note_pitch_class(tonic) + 12) % 12;
    bool raised = may_raise && degree.alteration == 1 && degree.number != 3 && degree.number != 7;
    if (!raised) {
      degree.number = degree_of[above].number;
      degree.alteration = degree_of[above].alteration;
    }
  }
  if (degree.alteration < 0)
    add(text, "♭");
  if (degree.alteration > 0)
    add(text, "♯");
  add(text, (lower ? small : large)[degree.number]);
}

static bool has(const GlnChord *chord, int number, int alteration) {
  for (int i = 0; i < chord->tone_count; i++)
    if (chord->tones[i].degree.number == number && chord->tones[i].degree.alteration == alteration)
      return true;
  return false;
}

static bool has_third(const GlnChord *chord) {
  return has(chord, 3, 0) || has(chord, 3, -1);
}

/* The figure after the numeral: the seventh and the third's state; tensions are colour and stay out. */
static const char *figure(const GlnChord *chord, const GlnSlice *slice) {
  if (slice->sus_slash)
    return "7sus4";
  switch (slice->class) {
  case GLN_CLASS_MAJOR:
    return has(chord, 6, 0) ? "6" : "";
  case GLN_CLASS_MAJOR7:
    return "maj7";
  case GLN_CLASS_DOMINANT:
    if (has_third(chord))
      return has(chord, 5, 1) && !has(chord, 5, -1) ? "+7" : "7"; /* alt has both fifths altered */
    return has(chord, 4, 0) || has(chord, 11, 0) ? "7sus4" : "7";
  case GLN_CLASS_MINOR:
    if (has(chord, 7, -1))
      return "7";
    if (has(chord, 7, 0))
      return "(maj7)";
    return has(chord, 6, 0) ? "6" : "";
  case GLN_CLASS_HALF_DIM:
    return "ø7";
  case GLN_CLASS_DIM:
    return has(chord, 7, -2) ? "°7" : "°";
  case GLN_CLASS_AUG:
    return "+";
  case GLN_CLASS_SUS:
    if (has(chord, 4, 0))
      return "sus4";
    return has(chord, 2, 0) ? "sus2" : "5";
  case GLN_CLASS_COUNT:
    break;
  }
  return "";
}

/* Roots, above the tonic, whose chord of the key is minor or diminished. */
static uint16_t small_degrees(bool minor) {
  return minor ? (uint16_t)(1u | 1u << 2 | 1u << 5 | 1u << 7)
               : (uint16_t)(1u << 2 | 1u << 4 | 1u << 9 | 1u << 11);
}

/* What the applied chord points at: the next chord, or past the dominant for a related ii. */
static void add_target(GlnRomanText *text, const GlnStep *steps, const GlnSlice *slices, size_t count,
                       size_t i, GlnKey key, bool past_dominant) {
  size_t next = gln_next_root(slices, count, i);
  if (past_dominant && next < count)
    next = gln_next_root(slices, count, next);
  int root = (slices[i].root + 10) % 12; /* of a related ii's goal: a whole tone below it */
  GlnNote target = gln_key_spell(key, root);
  bool lower = (small_degrees(key.minor) >> ((root - gln_note_pitch_class(key.tonic) + 12) % 12) & 1) != 0;
  if (next < count && (!past_dominant || slices[next].root == root)) {
    target = gln_slice_root(steps, &slices[next]);
    unsigned above = (unsigned)((slices[next].root - gln_note_pitch_class(key.tonic) + 12) % 12);
    bool of_key = (gln_scale_bits(key.minor) >> above & 1) != 0;
    /* A goal of the key is named as the key has it: A7 D7 G7 in C is V7/ii, V7/V, V7. The fifth degree of a minor
     * key has both. */
    if (key.minor && above == 7)
      of_key = false;
    lower = of_key ? (small_degrees(key.minor) >> above & 1) != 0 : is_small(slices[next].class);
  }
  if (gln_note_pitch_class(target) == gln_note_pitch_class(key.tonic))
    return;
  add(text, "/");
  add_numeral(text, key.tonic, target, lower, false);
}

/* Applied chords are counted in the key of the chord they point at. */
static const char *applied_numeral(GlnPlaceRole role) {
  if (role == GLN_PLACE_SECONDARY_DOMINANT)
    return "V";
  if (role == GLN_PLACE_TRITONE_SUB)
    return "♭II";
  if (role == GLN_PLACE_LEADING_DIM)
    return "vii";
  return "ii";
}

/* A dominant that falls by a semitone. */
static bool substitutes(const GlnSlice *slices, size_t count, size_t i) {
  size_t next = gln_next_root(slices, count, i);
  return next < count && (slices[i].root - slices[next].root + 12) % 12 == 1;
}

void gln_roman_print(const GlnStep *steps, const GlnSlice *slices, size_t count, size_t i, GlnKey key,
                     const GlnRule *rule, char out[GLN_ROMAN_TEXT_MAX]) {
  const GlnChord *chord = steps[slices[i].step].chord;
  GlnRomanText text = {out, 0};
  out[0] = '\0';
  bool applied = rule != NULL && rule->applied;
  /* The ii of a tritone substitute leads to no chord that it could be counted in. */
  if (applied && rule->role == GLN_PLACE_RELATED_II &&
      substitutes(slices, count, gln_next_root(slices, count, i)))
    applied = false;
  if (applied) {
    add(&text, applied_numeral(rule->role));
    add(&text, figure(chord, &slices[i]));
    add_target(&text, steps, slices, count, i, key, rule->role == GLN_PLACE_RELATED_II);
    return;
  }
  add_numeral(&text, key.tonic, gln_slice_root(steps, &slices[i]), is_small(slices[i].class),
              slices[i].class == GLN_CLASS_DIM);
  add(&text, figure(chord, &slices[i]));
}
