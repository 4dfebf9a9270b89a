/* Voice leading against Tymoczko, Science 313 (2006), supplement, and against exhaustive search. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route.h"

#include <stdlib.h>

typedef struct Row {
  const char *words;
  int8_t from[4], to[4];
  size_t from_count, to_count;
  bool doubling;
  int semitones;
} Row;

/* Source of every value: Tymoczko, Science 313 (2006), supplement; pitch classes, C = 0. */
static const Row rows[] = {
    {"Cmaj7 to Emaj7, with doubling", {0, 4, 7, 11}, {4, 8, 11, 3}, 4, 4, true, 3},
    {"Cmaj7 to Emaj7, one to one", {0, 4, 7, 11}, {4, 8, 11, 3}, 4, 4, false, 4},
    {"C to F", {0, 4, 7}, {5, 9, 0}, 3, 3, true, 3},
    {"C to Am", {0, 4, 7}, {9, 0, 4}, 3, 3, true, 2},
    {"C to E", {0, 4, 7}, {4, 8, 11}, 3, 3, true, 2},
    {"C to F#", {0, 4, 7}, {6, 10, 1}, 3, 3, false, 6},
    {"Dm7 to G7", {2, 5, 9, 0}, {7, 11, 2, 5}, 4, 4, true, 3},
    {"G7 to Cmaj7", {7, 11, 2, 5}, {0, 4, 7, 11}, 4, 4, true, 3},
    {"G7 to Db7", {7, 11, 2, 5}, {1, 5, 8, 11}, 4, 4, true, 2},
};

static void test_published_values(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(rows); ++i) {
    const Row *row = &rows[i];
    int found = gln_voice_leading_classes(row->from, row->from_count, row->to, row->to_count, row->doubling);
    if (found != row->semitones)
      print_error("%s: %d instead of %d\n", row->words, found, row->semitones);
    assert_int_equal(found, row->semitones);
    int back = gln_voice_leading_classes(row->to, row->to_count, row->from, row->from_count, row->doubling);
    assert_int_equal(back, row->semitones);
  }
}

static int distance_of(int from, int to, bool circle) {
  int d = abs(from - to);
  return circle && 12 - d < d ? 12 - d : d;
}

/* Every relation that uses each voice of both sides. */
static int by_exhaustion(const int8_t *from, int n, const int8_t *to, int m, bool circle) {
  int best = 10000;
  for (unsigned relation = 1; relation < 1U << (n * m); ++relation) {
    unsigned left = 0, right = 0;
    int total = 0;
    for (int i = 0; i < n; ++i)
      for (int j = 0; j < m; ++j)
        if ((relation >> (i * m + j) & 1U) != 0) {
          left |= 1U << i;
          right |= 1U << j;
          total += distance_of(from[i], to[j], circle);
        }
    if (left == (1U << n) - 1U && right == (1U << m) - 1U && total < best)
      best = total;
  }
  return best;
}

static uint32_t next_random(uint32_t *seed) {
  *seed = *seed * 1664525U + 1013904223U; /* Numerical Recipes */
  return *seed >> 8;
}

static void test_every_relation(void **state) {
  (void)state;
  uint32_t seed = 7;
  for (int round = 0; round < 300; ++round) {
    int8_t a[4], b[4], low[4], high[4];
    int n = 1 + (int)(next_random(&seed) % 4), m = 1 + (int)(next_random(&seed) % 3);
    for (int i = 0; i < 4; ++i) {
      a[i] = (int8_t)(next_random(&seed) % 12);
      b[i] = (int8_t)(next_random(&seed) % 12);
      low[i] = (int8_t)(40 + next_random(&seed) % 36);
      high[i] = (int8_t)(40 + next_random(&seed) % 36);
    }
    assert_int_equal(gln_voice_leading_classes(a, (size_t)n, b, (size_t)m, true),
                     by_exhaustion(a, n, b, m, true));
    assert_int_equal(gln_voice_leading(low, (size_t)n, high, (size_t)m, true),
                     by_exhaustion(low, n, high, m, false));
  }
}

static void test_sounding_pitches(void **state) {
  (void)state;
  const int8_t d_minor_7[] = {50, 60, 65, 69}, g_7[] = {53, 59, 62, 67}, triad[] = {53, 57, 60};
  assert_int_equal(gln_voice_leading(d_minor_7, 4, d_minor_7, 4, false), 0);
  assert_int_equal(gln_voice_leading(d_minor_7, 4, g_7, 4, false), 3 + 1 + 3 + 2);
  assert_int_equal(gln_voice_leading(d_minor_7, 4, triad, 3, false), -1);
  assert_int_equal(gln_voice_leading(triad, 0, triad, 3, true), -1);
  assert_int_equal(gln_voice_leading_classes(triad, 3, d_minor_7, 4, false), -1);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_published_values),
      cmocka_unit_test(test_every_relation),
      cmocka_unit_test(test_sounding_pitches),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
