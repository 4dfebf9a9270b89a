/* Days of the calendar: published dates, month ends, leap years, and every day against its neighbours. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "study.h"

#include <string.h>

static GlnDay day_of(const char *text) {
  GlnDay day = 0;
  assert_int_equal(gln_day_parse(gln_text(text), &day), GLN_OK);
  return day;
}

/* 1970-01-01 was a Thursday; 2000-01-01 is day 10957 (POSIX.1, seconds since the Epoch: 946684800 / 86400). */
static void test_known_days(void **state) {
  (void)state;
  assert_int_equal(day_of("1970-01-01"), 0);
  assert_int_equal(gln_day_weekday(0), 3);
  assert_int_equal(day_of("2000-01-01"), 10957);
  assert_int_equal(day_of("1969-12-31"), -1);
  assert_int_equal(gln_day_weekday(-1), 2);
  assert_int_equal(day_of("0001-01-01"), GLN_DAY_MIN);
  assert_int_equal(day_of("9999-12-31"), GLN_DAY_MAX);
  assert_string_equal(gln_weekday_name(gln_day_weekday(day_of("2026-11-25"))), "Wednesday");
}

/* Leap years of the Gregorian calendar: by four, not by a hundred, but by four hundred. */
static void test_leap_years(void **state) {
  (void)state;
  GlnDay day = 0;
  assert_int_equal(day_of("2028-03-01") - day_of("2028-02-28"), 2);
  assert_int_equal(day_of("2027-03-01") - day_of("2027-02-28"), 1);
  assert_int_equal(day_of("2000-03-01") - day_of("2000-02-28"), 2);
  assert_int_equal(day_of("2100-03-01") - day_of("2100-02-28"), 1);
  const char *const wrong[] = {"2027-02-29", "2100-02-29", "2027-04-31", "2027-13-01", "2027-00-10",
                               "2027-01-00", "2027-1-01",  "27-01-01",   "2027/01/01", "2027-01-32",
                               "-027-01-01", "2027-+1-01", "2027-01-1 ", "",           "2027-01-011"};
  for (size_t i = 0; i < GLN_COUNT_OF(wrong); i++)
    assert_int_equal(gln_day_parse(gln_text(wrong[i]), &day), GLN_INPUT);
}

/* A month of so many days, written out: common knowledge. */
static void test_every_day(void **state) {
  (void)state;
  static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  GlnDay expected = day_of("1896-01-01");
  for (int year = 1896; year <= 2105; year++) {
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    for (int month = 1; month <= 12; month++)
      for (int date = 1; date <= lengths[month - 1] + (month == 2 && leap ? 1 : 0); date++) {
        char text[GLN_DAY_TEXT_MAX];
        gln_day_print(expected, text);
        const char written[] = {(char)('0' + year / 1000),
                                (char)('0' + year / 100 % 10),
                                (char)('0' + year / 10 % 10),
                                (char)('0' + year % 10),
                                '-',
                                (char)('0' + month / 10),
                                (char)('0' + month % 10),
                                '-',
                                (char)('0' + date / 10),
                                (char)('0' + date % 10),
                                '\0'};
        assert_string_equal(text, written);
        assert_int_equal(day_of(text), expected);
        assert_int_equal(gln_day_weekday(expected + 1), (gln_day_weekday(expected) + 1) % 7);
        expected++;
      }
  }
}

/* The day by the clock on the wall. In Berlin the clocks go forward at 2027-03-28 01:00 UTC and back at 2027-10-31
 * 01:00 UTC (EU directive 2000/84/EC: last Sundays of March and October). */
static void test_clock_changes(void **state) {
  (void)state;
  const int64_t forward = (int64_t)day_of("2027-03-28") * 86400 + 3600;
  assert_int_equal(gln_day_at(forward - 1, 3600), day_of("2027-03-28"));
  assert_int_equal(gln_day_at(forward, 7200), day_of("2027-03-28"));
  assert_int_equal(gln_day_at((int64_t)day_of("2027-03-28") * 86400 - 3600, 3600), day_of("2027-03-28"));
  assert_int_equal(gln_day_at((int64_t)day_of("2027-03-28") * 86400 - 3601, 3600), day_of("2027-03-27"));
  assert_int_equal(gln_day_at((int64_t)day_of("2027-03-29") * 86400 - 7200, 7200), day_of("2027-03-29"));
  const int64_t back = (int64_t)day_of("2027-10-31") * 86400 + 3600;
  assert_int_equal(gln_day_at(back - 1, 7200), day_of("2027-10-31"));
  assert_int_equal(gln_day_at(back, 3600), day_of("2027-10-31"));
  assert_int_equal(gln_day_at(-1, 0), -1);
  assert_int_equal(gln_day_at(INT64_MIN / 2, 0), GLN_DAY_MIN);
  assert_int_equal(gln_day_at(INT64_MAX / 2, 0), GLN_DAY_MAX);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_known_days), cmocka_unit_test(test_leap_years),
                                     cmocka_unit_test(test_every_day), cmocka_unit_test(test_clock_changes)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
