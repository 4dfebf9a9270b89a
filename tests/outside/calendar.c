/* The calendar read back by libical (a general-purpose iCalendar parser), and its lines against RFC 5545. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "interchange.h"

#include <libical/ical.h>
#include <string.h>

static const char *const awkward[] = {
    "plain",
    "commas, semicolons; backslashes \\ and \\n that is no line end",
    "two\nlines\nand a third, long enough to fold: 01234567890123456789012345678901234567890123456789",
    "♭♯♩ Fähre bei Ebbe, ♭♯♩ Fähre bei Ebbe, ♭♯♩ Fähre bei Ebbe, ♭♯♩ Fähre bei Ebbe, ♭♯♩ Fähre bei Ebbe",
    "☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐☐",
    "𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞𝄞",
    "a tab\tinside",
};

static GlnDay day_of(const char *text) {
  GlnDay day = 0;
  assert_int_equal(gln_day_parse(gln_text(text), &day), GLN_OK);
  return day;
}

/* A null-terminated calendar of one event a text, from a day on. */
static char *write_calendar(GlnArena *arena, const char *start) {
  GlnCalendarEvent events[GLN_COUNT_OF(awkward)];
  for (size_t i = 0; i < GLN_COUNT_OF(awkward); i++)
    events[i] = (GlnCalendarEvent){.day = day_of(start) + (GlnDay)i,
                                   .uid = GLN_TEXT("2026-11-25-0123456789abcdef@gripline.invalid"),
                                   .summary = gln_text(awkward[i]),
                                   .description = gln_text(awkward[i])};
  const GlnCalendar calendar = {events, GLN_COUNT_OF(awkward), day_of(start), 3};
  GlnBuffer out = gln_buffer(arena);
  assert_int_equal(gln_calendar_write(&calendar, &out), GLN_OK);
  gln_buffer_add_byte(&out, '\0');
  return out.at;
}

/* Month end, leap day, the change of the clocks in Europe and in North America, the end of a year. */
static const char *const starts[] = {"2027-04-28", "2028-02-25", "2027-03-25", "2027-10-28",
                                     "2027-03-11", "2027-11-04", "2026-12-28"};

static void test_read_back(void **state) {
  (void)state;
  for (size_t s = 0; s < GLN_COUNT_OF(starts); s++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    icalcomponent *root = icalparser_parse_string(write_calendar(arena, starts[s]));
    assert_non_null(root);
    assert_int_equal(icalcomponent_count_errors(root), 0);
    assert_int_equal(icalcomponent_isa(root), ICAL_VCALENDAR_COMPONENT);
    assert_true(icalrestriction_check(root));
    size_t i = 0;
    for (icalcomponent *event = icalcomponent_get_first_component(root, ICAL_VEVENT_COMPONENT); event != NULL;
         event = icalcomponent_get_next_component(root, ICAL_VEVENT_COMPONENT), i++) {
      assert_in_range(i, 0, GLN_COUNT_OF(awkward) - 1);
      assert_string_equal(icalcomponent_get_summary(event), awkward[i]);
      assert_string_equal(icalcomponent_get_description(event), awkward[i]);
      assert_string_equal(icalcomponent_get_uid(event), "2026-11-25-0123456789abcdef@gripline.invalid");
      assert_int_equal(icalcomponent_get_sequence(event), 3);
      struct icaltimetype start = icalcomponent_get_dtstart(event), end = icalcomponent_get_dtend(event);
      assert_true(start.is_date && end.is_date);
      char text[GLN_DAY_TEXT_MAX];
      gln_day_print(day_of(starts[s]) + (GlnDay)i, text);
      assert_int_equal(start.year * 10000 + start.month * 100 + start.day,
                       (text[0] - '0') * 10000000 + (text[1] - '0') * 1000000 + (text[2] - '0') * 100000 +
                           (text[3] - '0') * 10000 + (text[5] - '0') * 1000 + (text[6] - '0') * 100 +
                           (text[8] - '0') * 10 + (text[9] - '0'));
      assert_int_equal(icaldurationtype_as_int(icaltime_subtract(end, start)), 86400);
      assert_false(icaltime_is_null_time(icalcomponent_get_dtstamp(event)));
      assert_true(icaltime_is_utc(icalcomponent_get_dtstamp(event)));
    }
    assert_int_equal(i, GLN_COUNT_OF(awkward));
    icalcomponent_free(root);
    gln_arena_free(arena);
  }
}

/* RFC 5545, 3.1: lines end in CRLF, hold at most 75 octets, and no character is cut in two. */
static void test_lines(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  const char *at = write_calendar(arena, "2026-11-25");
  size_t folded = 0;
  while (*at != '\0') {
    const char *end = strchr(at, '\r');
    assert_non_null(end);
    assert_int_equal(end[1], '\n');
    GlnText line = {at, (size_t)(end - at)};
    assert_true(line.length <= 75);
    assert_int_equal(gln_text_bad_utf8(line), line.length);
    folded += at[0] == ' ' ? 1 : 0;
    at = end + 2;
  }
  assert_true(folded >= 10);
  gln_arena_free(arena);
}

/* What no calendar may hold: control characters go, broken UTF-8 becomes U+FFFD. */
static void test_broken_text(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  const GlnCalendarEvent event = {.day = 20000,
                                  .uid = GLN_TEXT("u@gripline.invalid"),
                                  .summary = {"a\x01\x7f\r\xff"
                                              "b\xc3",
                                              7},
                                  .description = GLN_TEXT("")};
  const GlnCalendar calendar = {&event, 1, 20000, 0};
  GlnBuffer out = gln_buffer(arena);
  assert_int_equal(gln_calendar_write(&calendar, &out), GLN_OK);
  gln_buffer_add_byte(&out, '\0');
  assert_non_null(strstr(out.at, "SUMMARY:a\xEF\xBF\xBD"
                                 "b\xEF\xBF\xBD\r\n"));
  icalcomponent *root = icalparser_parse_string(out.at);
  assert_non_null(root);
  assert_int_equal(icalcomponent_count_errors(root), 0);
  icalcomponent_free(root);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_read_back), cmocka_unit_test(test_lines),
                                     cmocka_unit_test(test_broken_text)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
