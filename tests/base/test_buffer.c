#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "base.h"

#include <float.h>
#include <locale.h>

static int open_arena(void **state) {
  *state = gln_arena_new(NULL, 0);
  return *state != NULL ? 0 : -1;
}

static int close_arena(void **state) {
  gln_arena_free(*state);
  return 0;
}

static void assert_text(const GlnBuffer *buffer, const char *expected) {
  assert_int_equal(gln_buffer_status(buffer), GLN_OK);
  GlnText text = gln_buffer_text(buffer);
  assert_int_equal(text.length, gln_text(expected).length);
  assert_memory_equal(text.at, expected, text.length);
}

static void text_is_added(void **state) {
  GlnBuffer buffer = gln_buffer(*state);
  gln_buffer_add(&buffer, GLN_TEXT("Gm7"));
  gln_buffer_add_byte(&buffer, ' ');
  gln_buffer_add_repeated(&buffer, GLN_TEXT("/ "), 3);
  gln_buffer_add_string(&buffer, "C13");
  gln_buffer_add_string(&buffer, NULL);
  gln_buffer_add_integer(&buffer, -40);
  gln_buffer_format(&buffer, "%s-%d", "x", 8);
  assert_text(&buffer, "Gm7 / / / C13-40x-8");
}

static void it_grows(void **state) {
  GlnBuffer buffer = gln_buffer(*state);
  for (int i = 0; i < 100000; i++)
    gln_buffer_add_byte(&buffer, (char)('a' + i % 26));
  GlnText text = gln_buffer_text(&buffer);
  assert_int_equal(text.length, 100000);
  for (size_t i = 0; i < text.length; i++)
    assert_int_equal(text.at[i], 'a' + (int)(i % 26));
}

static void numbers_are_fixed_and_without_locale(void **state) {
  static const struct {
    double value;
    int decimals;
    const char *text;
  } cases[] = {
      {0, 0, "0"},
      {0.5, 0, "1"},
      {-0.5, 0, "-1"},
      {-0.4, 0, "0"},
      {-0.004, 2, "0.00"},
      {0.125, 2, "0.13"},
      {-0.125, 2, "-0.13"},
      {1.115, 2, "1.12"},
      {0.995, 2, "1.00"},
      {1.999, 2, "2.00"},
      {9.9999, 3, "10.000"},
      {98.25, 1, "98.3"},
      {1e15, 3, "1000000000000000.000"},
      {0.000000001, 9, "0.000000001"},
      {1e22, 1, "10000000000000000000000.0"},
      {-126, 0, "-126"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(cases); i++) {
    GlnBuffer buffer = gln_buffer(*state);
    gln_buffer_add_number(&buffer, cases[i].value, cases[i].decimals);
    assert_text(&buffer, cases[i].text);
  }
  GlnBuffer buffer = gln_buffer(*state);
  gln_buffer_add_number(&buffer, DBL_MAX, 9);
  assert_int_equal(gln_buffer_text(&buffer).length, 309 + 10);
}

/* What is written with enough decimals reads back as the same number. */
static void numbers_read_back(void **state) {
  for (int i = -5000; i <= 5000; i++) {
    double value = i / 1000.0;
    GlnBuffer buffer = gln_buffer(*state);
    gln_buffer_add_number(&buffer, value, 3);
    double read = 0;
    assert_int_equal(gln_text_number(gln_buffer_text(&buffer), &read), GLN_OK);
    assert_true(read >= value && read <= value);
  }
}

static void padding_counts_columns(void **state) {
  GlnBuffer buffer = gln_buffer(*state);
  gln_buffer_add_padded(&buffer, GLN_TEXT("B♭7"), 5);
  gln_buffer_add_padded(&buffer, GLN_TEXT("Cmaj7"), 2);
  gln_buffer_add_byte(&buffer, '.');
  assert_text(&buffer, "B♭7  Cmaj7.");
}

static void running_out_is_remembered(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 600);
  assert_non_null(arena);
  GlnBuffer buffer = gln_buffer(arena);
  gln_buffer_add_repeated(&buffer, GLN_TEXT("abcdefgh"), 1000000000);
  assert_int_equal(gln_buffer_status(&buffer), GLN_MEMORY);
  size_t length = gln_buffer_text(&buffer).length;
  gln_buffer_add_byte(&buffer, 'x');
  gln_buffer_format(&buffer, "%d", 1);
  assert_int_equal(gln_buffer_text(&buffer).length, length);
  gln_arena_free(arena);
}

static void status_texts_and_exits(void **state) {
  (void)state;
  assert_string_equal(gln_status_text(GLN_OK), "done");
  assert_int_equal(gln_status_exit(GLN_OK), 0);
  assert_int_equal(gln_status_exit(GLN_NO), 1);
  assert_int_equal(gln_status_exit(GLN_USAGE), 2);
  assert_int_equal(gln_status_exit(GLN_INPUT), 3);
  assert_int_equal(gln_status_exit(GLN_LIMIT), 3);
  assert_int_equal(gln_status_exit(GLN_MEMORY), 4);
  assert_int_equal(gln_status_exit(GLN_SYSTEM), 4);
}

int main(void) {
  /* A locale with a decimal comma, where the machine has one, must change nothing. */
  (void)setlocale(LC_ALL, "de_DE.UTF-8");
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(text_is_added),
      cmocka_unit_test(it_grows),
      cmocka_unit_test(numbers_are_fixed_and_without_locale),
      cmocka_unit_test(numbers_read_back),
      cmocka_unit_test(padding_counts_columns),
      cmocka_unit_test(running_out_is_remembered),
      cmocka_unit_test(status_texts_and_exits),
  };
  return cmocka_run_group_tests(tests, open_arena, close_arena);
}
