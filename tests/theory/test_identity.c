/* Printing a chord and reading it back gives the same chord, in both spellings, for everything the readers can produce. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "theory_checks.h"

static void expect_identity(const GlnChord *chord) {
  char text[GLN_SYMBOL_TEXT_MAX];
  char again[GLN_SYMBOL_TEXT_MAX];
  GlnChord read;
  for (int signs = GLN_SIGNS_ASCII; signs <= GLN_SIGNS_UNICODE; signs++) {
    size_t length = gln_chord_print(chord, (GlnSigns)signs, text);
    assert_int_equal(length, strlen(text));
    assert_true(length < GLN_SYMBOL_TEXT_MAX - 1); /* nothing was cut */
    if (gln_chord_parse((GlnText){text, length}, &read, NULL) != GLN_OK)
      fail_msg("%s is printed but does not read", text);
    if (!gln_chord_equal(chord, &read) || read.quality != chord->quality ||
        read.own_count != chord->own_count)
      fail_msg("%s reads as another chord", text);
    (void)gln_chord_print(&read, (GlnSigns)signs, again);
    assert_string_equal(again, text);
  }
  size_t length = gln_chord_print_harte(chord, text);
  if (gln_chord_parse_harte((GlnText){text, length}, &read, NULL) != GLN_OK)
    fail_msg("%s is printed but does not read", text);
  if (!gln_chord_equal(chord, &read))
    fail_msg("%s reads as another chord", text);
}

static GlnNote note_number(int index, int accidental_max) {
  return (GlnNote){(int8_t)(index % 7), (int8_t)(index / 7 - accidental_max)};
}

/* All qualities on all 35 roots over all 35 basses, or none. */
static void the_whole_table_reads_back(void **state) {
  (void)state;
  int chords = 0;
  for (size_t quality = 0; quality < gln_quality_count(); quality++) {
    for (int root = 0; root < 35; root++) {
      for (int bass = -1; bass < 35; bass++) {
        GlnNote low = note_number(bass < 0 ? 0 : bass, 2);
        GlnChord chord;
        if (gln_chord_build(note_number(root, 2), quality, bass < 0 ? NULL : &low, &chord) != GLN_OK)
          continue;
        expect_identity(&chord);
        chords++;
      }
    }
  }
  assert_true(chords > 80000); /* few are past three accidentals */
}

/* Roots with one accidental or none carry every quality. */
static void usual_roots_carry_every_quality(void **state) {
  (void)state;
  for (size_t quality = 0; quality < gln_quality_count(); quality++) {
    for (int root = 0; root < 21; root++) {
      GlnNote note = note_number(root, 1);
      GlnChord chord;
      assert_int_equal(gln_chord_build(note, quality, NULL, &chord), GLN_OK);
    }
  }
}

/* Sets of tones with no name: a fixed sequence of pseudo-random Harte lists (linear congruential, Numerical Recipes
 * constants), rootless ones and foreign basses among them. */
static void odd_tone_sets_read_back(void **state) {
  (void)state;
  uint32_t seed = 20;
  int rootless = 0;
  for (int round = 0; round < 20000; round++) {
    char label[GLN_SYMBOL_TEXT_MAX];
    size_t at = 0;
    label[at++] = "CDEFGAB"[round % 7];
    label[at++] = ':';
    label[at++] = '(';
    int count = 1 + round % 11;
    for (int i = 0; i < count; i++) {
      static const char *const SIGNS[] = {"", "", "", "b", "#", "b", "#", "bb", "##"};
      char degree[GLN_DEGREE_TEXT_MAX];
      seed = seed * 1664525U + 1013904223U;
      const char *sign = SIGNS[(seed >> 16) % GLN_COUNT_OF(SIGNS)];
      seed = seed * 1664525U + 1013904223U;
      size_t length =
          gln_degree_print((GlnDegree){(int8_t)(1 + (seed >> 16) % 13), 0}, GLN_SIGNS_ASCII, degree);
      if (i > 0)
        label[at++] = ',';
      memcpy(label + at, sign, strlen(sign));
      at += strlen(sign);
      memcpy(label + at, degree, length);
      at += length;
    }
    if (round % 3 == 0) {
      memcpy(label + at, ",*1", 3);
      at += 3;
    }
    label[at++] = ')';
    if (round % 4 == 0) {
      memcpy(label + at, "/b6", 3);
      at += 3;
    }
    GlnChord chord;
    GlnSymbolFault fault;
    if (gln_chord_parse_harte((GlnText){label, at}, &chord, &fault) != GLN_OK) {
      /* Only for what is said in the limits: no tone left, too many, too far. */
      bool limit = strstr(fault.problem, "no tone") != NULL || strstr(fault.problem, "more than") != NULL;
      assert_true(limit);
      continue;
    }
    rootless += chord.root_tone < 0 ? 1 : 0;
    expect_identity(&chord);
  }
  assert_true(rootless > 3000);
}

/* Eleven tones with double accidentals on a double-flat root: the longest symbol there is. */
static void the_longest_symbol_fits(void **state) {
  (void)state;
  GlnChord chord;
  GlnText label = GLN_TEXT("D##:(b2,bb3,bb4,b5,bb6,bb7,b8,bb9,bb10,bb11,bb13,*1)/bb2");
  assert_int_equal(gln_chord_parse_harte(label, &chord, NULL), GLN_OK);
  assert_int_equal(chord.own_count, 11);
  expect_identity(&chord);
}

static void silence_reads_back(void **state) {
  (void)state;
  GlnChord chord;
  assert_int_equal(gln_chord_parse(GLN_TEXT("N.C."), &chord, NULL), GLN_OK);
  assert_true(chord.silent);
  assert_int_equal(gln_chord_pitch_classes(&chord), 0);
  expect_identity(&chord);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_whole_table_reads_back), cmocka_unit_test(usual_roots_carry_every_quality),
      cmocka_unit_test(odd_tone_sets_read_back),    cmocka_unit_test(the_longest_symbol_fits),
      cmocka_unit_test(silence_reads_back),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
