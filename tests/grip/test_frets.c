#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "grip_test.h"

static void assert_reads(const char *text, int count, const int *frets, const char *printed) {
  GlnFrets out = frets_of(text);
  assert_int_equal(out.string_count, count);
  for (int s = 0; s < GLN_STRINGS_MAX; s++)
    assert_int_equal(out.fret[s], s < count ? frets[s] : GLN_NOT_PLAYED);
  char back[GLN_FRETS_TEXT_MAX];
  assert_int_equal(gln_frets_print(&out, back), strlen(printed));
  assert_string_equal(back, printed);
  GlnFrets again = frets_of(back);
  assert_true(gln_frets_equal(&out, &again));
}

static void test_reads_and_prints(void **state) {
  (void)state;
  static const int c69[] = {-1, 3, 2, 2, 3, 3}, high[] = {-1, 8, 10, 9, 10, -1}, uke[] = {0, 0, 0, 3};
  static const int eight[] = {-1, 24, -1, 0, 10, 11, 12, 24};
  assert_reads("x32233", 6, c69, "x32233");
  assert_reads("X32233", 6, c69, "x32233");
  assert_reads(" x 3 2 2 3 3 ", 6, c69, "x32233");
  assert_reads("x-3-2-2-3-3", 6, c69, "x32233");
  assert_reads("x-8-10-9-10-x", 6, high, "x-8-10-9-10-x");
  assert_reads("x 8 10 9 10 x", 6, high, "x-8-10-9-10-x");
  assert_reads("0003", 4, uke, "0003");
  assert_reads("x-24-x-0-10-11-12-24", 8, eight, "x-24-x-0-10-11-12-24");
}

static void assert_refused(const char *text, size_t offset) {
  GlnFrets frets = {.string_count = 77};
  GlnSymbolFault fault = {.problem = ""};
  assert_int_equal(gln_frets_parse(gln_text(text), &frets, &fault), GLN_INPUT);
  assert_int_equal(frets.string_count, 77); /* untouched */
  assert_int_equal(fault.offset, offset);
  assert_true(fault.problem[0] != '\0');
  assert_int_equal(gln_frets_parse(gln_text(text), &frets, NULL), GLN_INPUT);
}

static void test_faults_are_placed(void **state) {
  (void)state;
  assert_refused("", 0);
  assert_refused("x3", 0);
  assert_refused("xxxxxx", 0);
  assert_refused("x32y33", 3);
  assert_refused("x-8-25-9-10-x", 4);
  assert_refused("123456789", 8);
  assert_refused("x-8-100-9-10-x", 6);
  assert_refused("3-2-", 3);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_reads_and_prints),
      cmocka_unit_test(test_faults_are_placed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
