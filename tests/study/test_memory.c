/* Half-lives against the published formula, and what practice does to them. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "study.h"

#include <math.h>

/* p = 2^(-days / half-life): Settles & Meeder, ACL 2016. Values computed from the formula. */
static void test_published_formula(void **state) {
  (void)state;
  static const struct {
    double days, half_life, recall;
  } rows[] = {{3, 7, 0.7430}, {7, 7, 0.5},    {0, 7, 1},     {14, 7, 0.25},
              {1, 1, 0.5},    {2, 4, 0.7071}, {1, 3, 0.7937}};
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++)
    assert_true(fabs(gln_recall(rows[i].days, rows[i].half_life) - rows[i].recall) < 5e-5);
}

static void test_ratings_order(void **state) {
  (void)state;
  double before = 0;
  for (int r = 0; r < GLN_RATING_COUNT; r++) {
    GlnMemory memory = {.practised = 0};
    gln_memory_practise(&memory, 0.5, 100, (GlnRating)r, 80);
    double first = memory.half_life;
    gln_memory_practise(&memory, 0.5, 103, (GlnRating)r, 80);
    assert_true(memory.half_life > before);
    before = memory.half_life;
    assert_true(r == GLN_RATING_AGAIN ? memory.half_life < first : memory.half_life > first);
    assert_int_equal(memory.practised, 2);
    assert_true(r >= GLN_RATING_GOOD ? memory.tempo > 79 : memory.tempo < 1);
  }
}

/* What is spaced is kept: the same two practices give more with days between than at once (Cepeda et al. 2008). */
static void test_spacing(void **state) {
  (void)state;
  double before = 0;
  for (int gap = 0; gap <= 4; gap++) {
    GlnMemory memory = {.practised = 0};
    gln_memory_practise(&memory, 0.5, 0, GLN_RATING_GOOD, 0);
    double first = memory.half_life;
    gln_memory_practise(&memory, 0.5, gap, GLN_RATING_GOOD, 0);
    assert_true(memory.half_life >= before);
    if (gap == 0)
      assert_true(fabs(memory.half_life - first) < 1e-9);
    before = memory.half_life;
  }
}

static void test_harder_is_shorter(void **state) {
  (void)state;
  GlnMemory easy = {.practised = 0}, hard = {.practised = 0};
  gln_memory_practise(&easy, 0.1, 0, GLN_RATING_GOOD, 0);
  gln_memory_practise(&hard, 0.9, 0, GLN_RATING_GOOD, 0);
  assert_true(easy.half_life > hard.half_life);
}

/* A clock that was set back: no negative interval, no day counted twice, no recall above 1. */
static void test_clock_set_back(void **state) {
  (void)state;
  GlnMemory memory = {.practised = 0};
  gln_memory_practise(&memory, 0.5, 200, GLN_RATING_GOOD, 60);
  double half_life = memory.half_life;
  assert_true(fabs(gln_memory_recall(&memory, 150) - 1) < 1e-12);
  gln_memory_practise(&memory, 0.5, 150, GLN_RATING_GOOD, 60);
  assert_int_equal(memory.practised, 1);
  assert_int_equal(memory.last, 200);
  assert_true(fabs(memory.half_life - half_life) < 1e-12);
}

static void test_bounds(void **state) {
  (void)state;
  GlnMemory memory = {.practised = 0};
  for (GlnDay day = 0; day < 2000; day += 100)
    gln_memory_practise(&memory, 0, day, GLN_RATING_EASY, 0);
  assert_true(memory.half_life <= GLN_HALF_LIFE_MAX);
  for (GlnDay day = 2000; day < 2100; day++)
    gln_memory_practise(&memory, 0, day, GLN_RATING_AGAIN, 0);
  assert_true(memory.half_life >= GLN_HALF_LIFE_MIN);
}

static void test_standing(void **state) {
  (void)state;
  GlnMemory memory = {.practised = 0};
  assert_int_equal(gln_memory_standing(&memory, 0), GLN_STANDING_UNTOUCHED);
  gln_memory_practise(&memory, 0.3, 0, GLN_RATING_GOOD, 0);
  assert_int_equal(gln_memory_standing(&memory, 0), GLN_STANDING_SHAKY);
  gln_memory_practise(&memory, 0.3, 2, GLN_RATING_GOOD, 0);
  gln_memory_practise(&memory, 0.3, 4, GLN_RATING_GOOD, 0);
  assert_int_equal(gln_memory_standing(&memory, 4), GLN_STANDING_SOLID);
  assert_int_equal(gln_memory_standing(&memory, 60), GLN_STANDING_SHAKY);
  gln_memory_practise(&memory, 0.3, 5, GLN_RATING_AGAIN, 0);
  assert_int_equal(gln_memory_standing(&memory, 5), GLN_STANDING_SHAKY);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_published_formula), cmocka_unit_test(test_ratings_order),
      cmocka_unit_test(test_spacing),           cmocka_unit_test(test_harder_is_shorter),
      cmocka_unit_test(test_clock_set_back),    cmocka_unit_test(test_bounds),
      cmocka_unit_test(test_standing)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
