/* Degrees above a root, and sets of them. */
#include "theory_internal.h"

#include <assert.h>

/* Semitones of the white keys above a C, by letters up: two octaves of degrees above each of seven letters. */
static const int8_t WHITE_KEYS[GLN_DEGREE_NUMBER_MAX + 6] = {0,  2,  4,  5,  7,  9,  11, 12, 14, 16, 17,
                                                             19, 21, 23, 24, 26, 28, 29, 31, 33, 35};

int gln_degree_semitones(GlnDegree degree) {
  assert(degree.number >= 1 && degree.number <= GLN_DEGREE_NUMBER_MAX);
  return WHITE_KEYS[degree.number - 1] + degree.alteration;
}

size_t gln_degree_print(GlnDegree degree, GlnSigns signs, char out[GLN_DEGREE_TEXT_MAX]) {
  GlnWriter writer = gln_writer(out, GLN_DEGREE_TEXT_MAX);
  gln_write_degree(&writer, degree, signs);
  return writer.length;
}

GlnStatus gln_degree_parse(GlnText text, GlnDegree *degree, size_t *used) {
  int alteration = 0;
  int semitones = 0;
  size_t at = 0;
  for (size_t bytes; (bytes = gln_accidental_read(gln_text_from(text, at), &semitones)) > 0; at += bytes) {
    if (alteration * semitones < 0)
      return GLN_INPUT;
    alteration += semitones;
    if (alteration > GLN_ACCIDENTAL_MAX || alteration < -GLN_ACCIDENTAL_MAX)
      return GLN_INPUT;
  }
  int number = 0;
  size_t digits = at;
  for (; at < text.length && gln_is_digit(text.at[at]) && at - digits < 2; at++)
    number = 10 * number + (text.at[at] - '0');
  if (number < 1 || number > GLN_DEGREE_NUMBER_MAX || text.at[digits] == '0')
    return GLN_INPUT;
  *degree = (GlnDegree){(int8_t)number, (int8_t)alteration};
  *used = at;
  return GLN_OK;
}

GlnNote gln_note_above(GlnNote root, GlnDegree degree) {
  int letters = root.letter + degree.number - 1;
  int semitones = WHITE_KEYS[root.letter] + root.accidental + gln_degree_semitones(degree);
  return (GlnNote){(int8_t)(letters % 7), (int8_t)(semitones - WHITE_KEYS[letters])};
}

GlnDegree gln_degree_between(GlnNote root, GlnNote note) {
  int number = (note.letter - root.letter + 7) % 7 + 1;
  GlnNote natural = gln_note_above(root, (GlnDegree){(int8_t)number, 0});
  return (GlnDegree){(int8_t)number, (int8_t)(note.accidental - natural.accidental)};
}

/* ---- sets ---- */

static unsigned bit_of(int alteration) {
  assert(alteration >= -GLN_ACCIDENTAL_MAX && alteration <= GLN_ACCIDENTAL_MAX);
  return 1U << (unsigned)(alteration + GLN_ACCIDENTAL_MAX);
}

void gln_set_add(GlnDegreeSet *set, int number, int alteration) {
  set->of[number] = (uint8_t)(set->of[number] | bit_of(alteration));
}

void gln_set_remove(GlnDegreeSet *set, int number, int alteration) {
  set->of[number] = (uint8_t)(set->of[number] & ~bit_of(alteration));
}

bool gln_set_has(const GlnDegreeSet *set, int number, int alteration) {
  return (set->of[number] & bit_of(alteration)) != 0;
}

bool gln_set_has_number(const GlnDegreeSet *set, int number) {
  return set->of[number] != 0;
}

bool gln_set_next(const GlnDegreeSet *set, GlnDegree *degree) {
  int number = degree->number;
  int alteration = degree->alteration + 1;
  unsigned bits = (unsigned)set->of[number] >> (unsigned)(alteration + GLN_ACCIDENTAL_MAX);
  if (bits == 0) {
    do {
      if (++number > GLN_DEGREE_NUMBER_MAX)
        return false;
    } while (set->of[number] == 0);
    alteration = -GLN_ACCIDENTAL_MAX;
    bits = set->of[number];
  }
  unsigned flats = bit_of(0) - 1;
  if ((bits & flats) == 0) { /* nothing among the next three: most degrees are natural */
    bits >>= GLN_ACCIDENTAL_MAX;
    alteration += GLN_ACCIDENTAL_MAX;
  }
  for (; (bits & 1U) == 0; bits >>= 1)
    alteration++;
  *degree = (GlnDegree){(int8_t)number, (int8_t)alteration};
  return true;
}

int gln_set_count(const GlnDegreeSet *set) {
  int count = 0;
  for (int number = 1; number <= GLN_DEGREE_NUMBER_MAX; number++) {
    count += gln_bit_count(set->of[number]);
  }
  return count;
}

GlnDegreeSet gln_set_of(const char *degrees) {
  GlnDegreeSet set = {{0}};
  int alteration = 0;
  for (const char *at = degrees; *at != '\0'; at++) {
    if (*at == 'b') {
      alteration--;
    } else if (*at == '#') {
      alteration++;
    } else if (*at != ' ') {
      int number = *at - '0';
      if (gln_is_digit(at[1])) {
        at++;
        number = 10 * number + (*at - '0');
      }
      gln_set_add(&set, number, alteration);
      alteration = 0;
    }
  }
  return set;
}

GlnDegreeSet gln_set_without(const GlnDegreeSet *set, const GlnDegreeSet *other) {
  GlnDegreeSet rest;
  for (size_t i = 0; i < GLN_COUNT_OF(rest.of); i++)
    rest.of[i] = (uint8_t)(set->of[i] & ~other->of[i]);
  return rest;
}

GlnDegreeSet gln_set_with(const GlnDegreeSet *set, const GlnDegreeSet *other) {
  GlnDegreeSet both;
  for (size_t i = 0; i < GLN_COUNT_OF(both.of); i++)
    both.of[i] = (uint8_t)(set->of[i] | other->of[i]);
  return both;
}
