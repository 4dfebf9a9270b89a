/* Lerdahl, Tonal Pitch Space (2001): the published distances. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "harmony.h"

#include <math.h>

static int distance(const char *from, const char *from_key, const char *to, const char *to_key) {
  GlnChord a, b;
  GlnKey key_a, key_b;
  assert_int_equal(gln_chord_parse(gln_text(from), &a, NULL), GLN_OK);
  assert_int_equal(gln_chord_parse(gln_text(to), &b, NULL), GLN_OK);
  assert_int_equal(gln_key_parse(gln_text(from_key), &key_a), GLN_OK);
  assert_int_equal(gln_key_parse(gln_text(to_key), &key_b), GLN_OK);
  return gln_pitch_space_distance(&a, key_a, &b, key_b);
}

static void from_the_tonic_within_a_key(void **state) {
  (void)state;
  static const struct {
    const char *chord;
    int distance;
  } published[] = {{"C", 0}, {"Dm", 8}, {"Em", 7}, {"F", 5}, {"G", 5}, {"Am", 7}, {"Bdim", 8}};
  for (size_t i = 0; i < GLN_COUNT_OF(published); i++)
    assert_int_equal(distance("C", "C", published[i].chord, "C"), published[i].distance);
}

static void from_the_tonic_to_near_tonics(void **state) {
  (void)state;
  assert_int_equal(distance("C", "C", "G", "G"), 7);
  assert_int_equal(distance("C", "C", "F", "F"), 7);
  assert_int_equal(distance("C", "C", "Am", "Am"), 7);
  assert_int_equal(distance("C", "C", "Cm", "Cm"), 7);
}

/* Krumhansl and Kessler (1982): the correlations of the key profiles. */
static void nearness_of_keys(void **state) {
  (void)state;
  static const struct {
    const char *key;
    double correlation;
  } published[] = {{"C", 1.0}, {"G", 0.591}, {"Am", 0.650}, {"Cm", 0.512}, {"F#", -0.683}};
  GlnKey home, other;
  assert_int_equal(gln_key_parse(GLN_TEXT("C"), &home), GLN_OK);
  for (size_t i = 0; i < GLN_COUNT_OF(published); i++) {
    assert_int_equal(gln_key_parse(gln_text(published[i].key), &other), GLN_OK);
    assert_true(fabs(gln_key_nearness(home, other) - published[i].correlation) < 0.0006);
    assert_true(fabs(gln_key_nearness(other, home) - gln_key_nearness(home, other)) < 1e-12);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(from_the_tonic_within_a_key),
      cmocka_unit_test(from_the_tonic_to_near_tonics),
      cmocka_unit_test(nearness_of_keys),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
