/* Roman numerals read as chords, in the form that gln_roman_print writes. */
#include "harmony_internal.h"

#include <string.h>

/* Figures after a numeral, and the suffix of the chord symbol for a large and a small one; NULL: not with that one. */
static const struct {
  const char *figure, *large, *small;
} figures[] = {
    {"", "", "m"},
    {"6", "6", "m6"},
    {"7", "7", "m7"},
    {"maj7", "maj7", NULL},
    {"(maj7)", NULL, "m(maj7)"},
    {"+", "aug", NULL},
    {"+7", "7#5", NULL},
    {"7sus4", "7sus4", NULL},
    {"sus4", "sus4", NULL},
    {"sus2", "sus2", NULL},
    {"5", "5", NULL},
    {"°", NULL, "dim"},
    {"°7", NULL, "dim7"},
    {"ø7", NULL, "m7b5"},
};

/* Longest first, so that "vii" is not read as "vi". */
static const struct {
  const char *word;
  int8_t number;
} numerals[] = {{"VII", 7}, {"III", 3}, {"II", 2}, {"IV", 4}, {"VI", 6}, {"I", 1}, {"V", 5}};

typedef struct GlnNumeral {
  GlnDegree degree;
  bool small;
  size_t used; /* bytes */
} GlnNumeral;

static bool starts_as(GlnText text, const char *word, bool small) {
  for (size_t i = 0; word[i] != '\0'; i++)
    if (i >= text.length || text.at[i] != (small ? (char)(word[i] - 'A' + 'a') : word[i]))
      return false;
  return true;
}

static int8_t read_sign(GlnText text, size_t *used) {
  static const struct {
    const char *sign;
    int8_t alteration;
  } signs[] = {{"♭", -1}, {"b", -1}, {"♯", 1}, {"#", 1}};
  for (size_t i = 0; i < GLN_COUNT_OF(signs); i++)
    if (gln_text_starts(text, gln_text(signs[i].sign))) {
      *used = strlen(signs[i].sign);
      return signs[i].alteration;
    }
  *used = 0;
  return 0;
}

static bool read_numeral(GlnText text, GlnNumeral *numeral) {
  size_t sign = 0;
  int8_t alteration = read_sign(text, &sign);
  GlnText rest = gln_text_from(text, sign);
  for (size_t i = 0; i < GLN_COUNT_OF(numerals); i++)
    for (int small = 0; small < 2; small++)
      if (starts_as(rest, numerals[i].word, small != 0)) {
        *numeral =
            (GlnNumeral){{numerals[i].number, alteration}, small != 0, sign + strlen(numerals[i].word)};
        return true;
      }
  return false;
}

/* A numeral with its figure, counted from a tonic. */
static GlnStatus read_chord(GlnText text, GlnNote tonic, GlnChord *chord) {
  GlnNumeral numeral;
  if (!read_numeral(text, &numeral))
    return GLN_INPUT;
  GlnText figure = gln_text_from(text, numeral.used);
  for (size_t i = 0; i < GLN_COUNT_OF(figures); i++) {
    const char *suffix = numeral.small ? figures[i].small : figures[i].large;
    if (suffix == NULL || !gln_text_equal(figure, gln_text(figures[i].figure)))
      continue;
    char symbol[GLN_NOTE_TEXT_MAX + 16];
    size_t length = gln_note_print(gln_note_above(tonic, numeral.degree), GLN_SIGNS_ASCII, symbol);
    memcpy(symbol + length, suffix, strlen(suffix) + 1);
    return gln_chord_parse(gln_text(symbol), chord, NULL);
  }
  return GLN_INPUT;
}

GlnStatus gln_roman_parse(GlnText text, GlnKey key, GlnChord *chord) {
  text = gln_text_trim(text);
  size_t slash = gln_text_find(text, GLN_TEXT("/"), 0);
  if (slash == text.length)
    return read_chord(text, key.tonic, chord);
  GlnText goal = gln_text_from(text, slash + 1);
  GlnNumeral numeral;
  if (!read_numeral(goal, &numeral) || numeral.used != goal.length)
    return GLN_INPUT;
  return read_chord(gln_text_slice(text, 0, slash), gln_note_above(key.tonic, numeral.degree), chord);
}
