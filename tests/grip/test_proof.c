#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "grip_test.h"

static int with_arena(void **state) {
  *state = gln_arena_new(NULL, 0);
  return *state == NULL;
}

static int drop_arena(void **state) {
  gln_arena_free(*state);
  return 0;
}

static GlnStatus read_grip(GlnArena *arena, const GlnInstrument *instrument, const char *symbol,
                           const char *frets, GlnProof *proof) {
  GlnChord chord = chord_of(symbol);
  GlnFrets read = frets_of(frets);
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  return gln_proof_read(&chord, instrument, &hand, false, &read, arena, proof);
}

/* Grips every player knows; common practice, no published source. */
static void test_known_grips_are_right(void **state) {
  static const char *const rows[][2] = {
      {"C6/9", "x32233"}, {"D9", "x5455x"},     {"Dm9", "x5355x"}, {"Fmaj9", "x8798x"}, {"Fmaj7", "1x221x"},
      {"F13", "1x123x"},  {"G13", "3x345x"},    {"Gm7", "3x333x"}, {"F#7b5", "2x231x"}, {"Gb7b5", "2x231x"},
      {"Am", "x02210"},   {"G", "320003"},      {"E", "022100"},   {"E7#9", "x7678x"},  {"C/E", "032010"},
      {"D/F#", "200232"}, {"A7sus4", "x02030"}, {"C5", "x355xx"},  {"Dsus2", "xx0230"}, {"Bm7b5", "x2323x"},
      {"C9", "xx2333"},   {"G7", "xx3433"},     {"C", "332010"},   {"C11", "x33333"},   {"C11", "x32331"}};
  GlnInstrument guitar = gln_instrument_defaults();
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    GlnProof proof;
    if (read_grip(*state, &guitar, rows[i][0], rows[i][1], &proof) != GLN_OK)
      fail_msg("%s %s is called wrong: %s", rows[i][0], rows[i][1], gln_problem_key(proof.problem));
    assert_int_equal(proof.problem, GLN_PROBLEM_COUNT);
    assert_int_equal(proof.suggestion_count, 0);
  }
}

/* What players leave to the bass, or turn over, is remarked on and no fault; common practice, no published source. */
static void test_remarks(void **state) {
  GlnInstrument guitar = gln_instrument_defaults();
  GlnProof proof;
  assert_int_equal(read_grip(*state, &guitar, "C9", "xx2333", &proof), GLN_OK); /* E B♭ D G: no root */
  assert_true(proof.rootless);
  assert_false(proof.inverted);
  assert_int_equal(read_grip(*state, &guitar, "C", "332010", &proof), GLN_OK); /* G lowest */
  assert_true(proof.inverted);
  assert_int_equal(read_grip(*state, &guitar, "C", "x32010", &proof), GLN_OK);
  assert_false(proof.inverted || proof.rootless || proof.strained);
}

typedef struct Slip {
  const char *symbol, *frets, *problem, *suggestion;
} Slip;

/* One slip of each kind in a grip every player knows. */
static void test_slips(void **state) {
  static const Slip rows[] = {
      {"C6/9", "x32133", "fret", "x32233"},  {"Am", "x02310", "fret", "x02210"},
      {"Am", "x02120", "swap", "x02210"},    {"D", "x0232x", "string", "xx0232"},
      {"C", "32010x", "string", "x32010"},   {"Gm7", "5x555x", "position", "3x333x"},
      {"C", "01023x", "reversed", "x32010"}, {"Dm7", "x-5-7-15-6-5", "foreign", "x57565"},
      {"G/B", "320003", "bass", "x20003"},   {"C", "x-3-14-12-13-12", "unplayable", "x-15-14-12-13-12"}};
  GlnInstrument guitar = gln_instrument_defaults();
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    GlnProof proof;
    assert_int_equal(read_grip(*state, &guitar, rows[i].symbol, rows[i].frets, &proof), GLN_NO);
    assert_true(proof.suggestion_count > 0);
    GlnFrets right = frets_of(rows[i].suggestion);
    char shown[GLN_FRETS_TEXT_MAX];
    (void)gln_frets_print(&proof.suggestions[0].frets, shown);
    if (!gln_frets_equal(&proof.suggestions[0].frets, &right) ||
        strcmp(gln_problem_key(proof.problem), rows[i].problem) != 0)
      fail_msg("%s %s: %s, %s", rows[i].symbol, rows[i].frets, gln_problem_key(proof.problem), shown);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_known_grips_are_right, with_arena, drop_arena),
      cmocka_unit_test_setup_teardown(test_remarks, with_arena, drop_arena),
      cmocka_unit_test_setup_teardown(test_slips, with_arena, drop_arena),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
