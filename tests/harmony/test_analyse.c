/* Textbook progressions read right in all twelve keys. Common practice, no published source, unless said. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#include "harmony/steps.h"

/* "V7/ii:secondary-dominant ..." for the chords of one progression, one chord a bar. */
typedef struct Progression {
  const char *name;
  const char *chords; /* written in C or C minor */
  bool minor;
  const char *numerals;
  const char *roles;
} Progression;

static const Progression progressions[] = {
    {"ii-V-I major", "Dm7 G7 Cmaj7 Cmaj7", false, "ii7 V7 Imaj7 Imaj7",
     "diatonic diatonic diatonic diatonic"},
    {"ii-V-i minor", "Dm7b5 G7 Cm7 Cm7", true, "iiø7 V7 i7 i7", "diatonic diatonic diatonic diatonic"},
    /* Turnarounds: standard jazz texts (values from memory). */
    {"turnaround I-vi-ii-V", "C Am7 Dm7 G7 C", false, "I vi7 ii7 V7 I",
     "diatonic diatonic diatonic diatonic diatonic"},
    {"turnaround I-VI7-ii7-V7", "C A7 D7 G7 C", false, "I V7/ii V7/V V7 I",
     "diatonic secondary-dominant secondary-dominant diatonic diatonic"},
    {"turnaround iii-VI-ii-V", "Em7 A7 Dm7 G7 C C", false, "iii7 V7/ii ii7 V7 I I",
     "diatonic secondary-dominant diatonic diatonic diatonic diatonic"},
    {"turnaround with passing diminished", "C C#dim7 Dm7 G7 C", false, "I vii°7/ii ii7 V7 I",
     "diatonic leading-diminished diatonic diatonic diatonic"},
    {"backdoor", "C Fm7 Bb7 C C", false, "I iv7 ♭VII7 I I",
     "diatonic borrowed backdoor-dominant diatonic diatonic"},
    {"tritone substitute", "Dm7 Db7 Cmaj7 Cmaj7", false, "ii7 ♭II7 Imaj7 Imaj7",
     "diatonic tritone-substitute diatonic diatonic"},
    {"related ii", "C Em7b5 A7 Dm7 G7 C", false, "I iiø7/ii V7/ii ii7 V7 I",
     "diatonic related-ii secondary-dominant diatonic diatonic diatonic"},
    {"twelve-bar blues", "C7 F7 C7 C7 F7 F7 C7 A7 Dm7 G7 C7 G7", false,
     "I7 IV7 I7 I7 IV7 IV7 I7 V7/ii ii7 V7 I7 V7",
     "blues blues blues blues blues blues blues secondary-dominant diatonic diatonic blues diatonic"},
};

static void expect_words(const char *what, const char *words, size_t index, const char *got) {
  const char *at = words;
  for (size_t i = 0; i < index; i++)
    at = strchr(at, ' ') + 1;
  size_t length = strcspn(at, " ");
  if (strlen(got) != length || strncmp(got, at, length) != 0)
    fail_msg("%s, chord %zu: expected %.*s, got %s", what, index, (int)length, at, got);
}

static void check_in_key(const Progression *progression, GlnNote tonic) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps(progression->chords, tonic, store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  char key[GLN_KEY_TEXT_MAX];
  gln_key_print(analysis->regions[0].key, GLN_SIGNS_ASCII, key);
  char what[96];
  (void)snprintf(what, sizeof what, "%s, heard in %s", progression->name, key);
  assert_int_equal(analysis->region_count, 1);
  assert_true(analysis->regions[0].clear);
  assert_int_equal(gln_note_pitch_class(analysis->regions[0].key.tonic), gln_note_pitch_class(tonic));
  assert_int_equal(analysis->regions[0].key.minor, progression->minor);
  for (size_t i = 0; i < count; i++) {
    expect_words(what, progression->numerals, i, analysis->readings[i].roman);
    expect_words(what, progression->roles, i, gln_place_key(analysis->readings[i].role));
  }
  gln_arena_free(arena);
}

static void textbook_progressions_read_right_in_all_keys(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(progressions); i++)
    for (int tonic = 0; tonic < 12; tonic++)
      check_in_key(&progressions[i], roots[tonic]);
}

static void one_chord_has_no_key(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps("C7 C7 C7 C7", roots[0], store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(analysis->region_count, 1);
  assert_false(analysis->regions[0].clear);
  assert_string_equal(analysis->readings[0].roman, "");
  gln_arena_free(arena);
}

static void silence_alone_has_no_region(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps("N.C. N.C.", roots[0], store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(analysis->region_count, 0);
  gln_arena_free(arena);
}

static void a_move_to_another_key_is_a_region_with_a_pivot(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps("Cmaj7 Am7 Dm7 G7 Cmaj7 Cmaj7 Fm7 Bb7 Ebmaj7 Ebmaj7 Abmaj7 Bb7 Ebmaj7 Ebmaj7",
                            roots[0], store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(analysis->region_count, 2);
  assert_int_equal(gln_note_pitch_class(analysis->regions[0].key.tonic), 0);
  assert_int_equal(gln_note_pitch_class(analysis->regions[1].key.tonic), 3);
  assert_int_equal(analysis->regions[1].first, 6);
  assert_string_equal(analysis->readings[6].roman, "ii7");
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(textbook_progressions_read_right_in_all_keys),
      cmocka_unit_test(one_chord_has_no_key),
      cmocka_unit_test(silence_alone_has_no_region),
      cmocka_unit_test(a_move_to_another_key_is_a_region_with_a_pivot),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
