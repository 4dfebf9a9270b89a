/* Tables for spreadsheets against the rules of RFC 4180, and what the commands put into them. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "app_internal.h"

#include <math.h>
#include <string.h>

static GlnArena *arena;

static int set_up(void **state) {
  (void)state;
  arena = gln_arena_new(NULL, 0);
  return arena == NULL;
}

static int tear_down(void **state) {
  (void)state;
  gln_arena_free(arena);
  return 0;
}

static const char *text_of(const GlnBuffer *buffer) {
  const char *text = gln_text_copy(arena, gln_buffer_text(buffer));
  assert_non_null(text);
  return text;
}

/* RFC 4180, section 2: lines end in CRLF (1), fields are separated by commas (4), those with commas, quotes or line
 * ends stand between quotes (6), a quote inside is doubled (7). */
static void test_fields(void **state) {
  (void)state;
  GlnBuffer out = gln_buffer(arena);
  GlnCsv csv = gln_csv(&out);
  static const char *const heads[] = {"a", "b, c"};
  gln_csv_heads(&csv, heads, 2);
  gln_csv_text(&csv, GLN_TEXT("say \"so\""));
  gln_csv_text(&csv, GLN_TEXT("two\nlines"));
  gln_csv_end_row(&csv);
  gln_csv_text(&csv, GLN_TEXT(""));
  gln_csv_text(&csv, GLN_TEXT("B♭7"));
  gln_csv_end_row(&csv);
  assert_string_equal(text_of(&out), "a,\"b, c\"\r\n\"say \"\"so\"\"\",\"two\nlines\"\r\n,B♭7\r\n");
}

static void test_numbers(void **state) {
  (void)state;
  GlnBuffer out = gln_buffer(arena);
  GlnCsv csv = gln_csv(&out);
  gln_csv_integer(&csv, -7);
  gln_csv_number(&csv, 2.5, 4);
  gln_csv_number(&csv, 100, 2);
  gln_csv_number(&csv, 0, 3);
  gln_csv_number(&csv, 120, 0);
  gln_csv_number(&csv, (double)INFINITY, 3);
  gln_csv_number(&csv, (double)NAN, 3);
  gln_csv_end_row(&csv);
  assert_string_equal(text_of(&out), "-7,2.5,100,0,120,,\r\n");
}

static void test_grips(void **state) {
  (void)state;
  static const char *const frets[] = {"022100", "x-8-10-9-10-x"};
  static const char *const written[] = {"0 2 2 1 0 0,0 2 3 1 0 0", "x 8 10 9 10 x,x 1 3 2 4 x"};
  for (size_t i = 0; i < GLN_COUNT_OF(frets); i++) {
    const GlnInstrument instrument = gln_instrument_defaults();
    const GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
    GlnGrip grip = {0};
    GlnSymbolFault fault;
    assert_int_equal(gln_frets_parse(gln_text(frets[i]), &grip.frets, &fault), GLN_OK);
    assert_int_equal(gln_fingering_find(&instrument, &hand, &grip.frets, &grip.fingering), GLN_OK);
    GlnBuffer out = gln_buffer(arena);
    GlnCsv csv = gln_csv(&out);
    gln_csv_grip(&csv, &grip);
    assert_string_equal(text_of(&out), written[i]);
    /* What is written can be read again. */
    GlnFrets again;
    size_t comma = gln_text_find(gln_buffer_text(&out), GLN_TEXT(","), 0);
    assert_int_equal(gln_frets_parse(gln_text_slice(gln_buffer_text(&out), 0, comma), &again, &fault),
                     GLN_OK);
    assert_true(gln_frets_equal(&again, &grip.frets));
  }
  GlnBuffer out = gln_buffer(arena);
  GlnCsv csv = gln_csv(&out);
  gln_csv_grip(&csv, NULL);
  gln_csv_integer(&csv, 1);
  assert_string_equal(text_of(&out), ",,1");
}

#define CSV_TEST(function) cmocka_unit_test_setup_teardown(function, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {CSV_TEST(test_fields), CSV_TEST(test_numbers), CSV_TEST(test_grips)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
