#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "base.h"

static void assert_ratio(GlnRatio ratio, int64_t num, int64_t den) {
  assert_int_equal(ratio.num, num);
  assert_int_equal(ratio.den, den);
}

static void ratios_are_in_lowest_terms(void **state) {
  (void)state;
  assert_ratio(gln_ratio(6, 4), 3, 2);
  assert_ratio(gln_ratio(6, -4), -3, 2);
  assert_ratio(gln_ratio(0, -7), 0, 1);
  assert_ratio(gln_ratio(INT64_MAX, INT64_MAX), 1, 1);
}

static void the_four_operations(void **state) {
  (void)state;
  assert_ratio(gln_ratio_add(gln_ratio(1, 3), gln_ratio(1, 6)), 1, 2);
  assert_ratio(gln_ratio_subtract(gln_ratio(1, 3), gln_ratio(1, 3)), 0, 1);
  assert_ratio(gln_ratio_multiply(gln_ratio(-2, 3), gln_ratio(9, 4)), -3, 2);
  assert_ratio(gln_ratio_divide(gln_ratio(1, 2), gln_ratio(-3, 4)), -2, 3);
  /* Large parts that cancel must not overflow on the way. */
  assert_ratio(gln_ratio_multiply(gln_ratio(INT64_C(1) << 60, 3), gln_ratio(3, INT64_C(1) << 60)), 1, 1);
}

/* The laws of a field over all small fractions. */
static void laws_hold(void **state) {
  (void)state;
  for (int64_t a = -6; a <= 6; a++)
    for (int64_t b = 1; b <= 6; b++)
      for (int64_t c = -6; c <= 6; c++)
        for (int64_t d = 1; d <= 6; d++) {
          GlnRatio x = gln_ratio(a, b);
          GlnRatio y = gln_ratio(c, d);
          GlnRatio sum = gln_ratio_add(x, y);
          assert_int_equal(sum.num * b * d, (a * d + c * b) * sum.den);
          assert_int_equal(gln_ratio_compare(gln_ratio_subtract(sum, y), x), 0);
          if (c != 0)
            assert_int_equal(gln_ratio_compare(gln_ratio_divide(gln_ratio_multiply(x, y), y), x), 0);
          assert_int_equal(gln_ratio_compare(x, y), (a * d > c * b) - (a * d < c * b));
        }
}

static void ratios_as_text_and_number(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnBuffer buffer = gln_buffer(arena);
  gln_buffer_add_ratio(&buffer, gln_ratio(3, 1));
  gln_buffer_add_byte(&buffer, ' ');
  gln_buffer_add_ratio(&buffer, gln_ratio(-7, 2));
  assert_string_equal(gln_text_copy(arena, gln_buffer_text(&buffer)), "3 -7/2");
  double value = gln_ratio_value(gln_ratio(7, 2));
  assert_true(value >= 3.5 && value <= 3.5);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(ratios_are_in_lowest_terms),
      cmocka_unit_test(the_four_operations),
      cmocka_unit_test(laws_hold),
      cmocka_unit_test(ratios_as_text_and_number),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
