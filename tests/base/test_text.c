#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "base.h"

#include <limits.h>
#include <locale.h>

static void slices_are_clamped(void **state) {
  (void)state;
  GlnText text = GLN_TEXT("Ferry at Low Tide");
  assert_true(gln_text_equal(gln_text_slice(text, 6, 2), GLN_TEXT("at")));
  assert_true(gln_text_equal(gln_text_slice(text, 13, 99), GLN_TEXT("Tide")));
  assert_true(gln_text_equal(gln_text_slice(text, 99, 99), GLN_TEXT("")));
  assert_true(gln_text_equal(gln_text_from(text, 13), GLN_TEXT("Tide")));
  assert_true(gln_text_equal(gln_text_from((GlnText){0}, 5), (GlnText){0}));
  assert_int_equal(gln_text(NULL).length, 0);
  assert_true(gln_text_starts(text, GLN_TEXT("Ferry")));
  assert_true(gln_text_starts(text, GLN_TEXT("")));
  assert_false(gln_text_starts(GLN_TEXT("Fer"), GLN_TEXT("Ferry")));
  assert_true(gln_text_equal(gln_text_trim(GLN_TEXT(" \t a b\r\n")), GLN_TEXT("a b")));
  assert_int_equal(gln_text_trim(GLN_TEXT(" \n ")).length, 0);
}

static void comparing(void **state) {
  (void)state;
  assert_true(gln_text_equal_ignoring_case(GLN_TEXT("Key"), GLN_TEXT("kEY")));
  assert_false(gln_text_equal_ignoring_case(GLN_TEXT("é"), GLN_TEXT("É")));
  assert_false(gln_text_equal_ignoring_case(GLN_TEXT("["), GLN_TEXT("{")));
  assert_int_equal(gln_text_compare(GLN_TEXT("a"), GLN_TEXT("b")), -1);
  assert_int_equal(gln_text_compare(GLN_TEXT("b"), GLN_TEXT("ab")), 1);
  assert_int_equal(gln_text_compare(GLN_TEXT("a"), GLN_TEXT("ab")), -1);
  assert_int_equal(gln_text_compare(GLN_TEXT("\xE2\x99\xAD"), GLN_TEXT("z")), 1);
  assert_int_equal(gln_text_compare((GlnText){0}, GLN_TEXT("")), 0);
}

static void finding(void **state) {
  (void)state;
  GlnText text = GLN_TEXT("aab aaab");
  assert_int_equal(gln_text_find(text, GLN_TEXT("aab"), 0), 0);
  assert_int_equal(gln_text_find(text, GLN_TEXT("aab"), 1), 5);
  assert_int_equal(gln_text_find(text, GLN_TEXT("aab"), 6), text.length);
  assert_int_equal(gln_text_find(text, GLN_TEXT("b"), 7), 7);
  assert_int_equal(gln_text_find(text, GLN_TEXT("b"), 8), text.length);
  assert_int_equal(gln_text_find(text, GLN_TEXT(""), 3), 3);
  assert_int_equal(gln_text_find(text, GLN_TEXT(""), 99), text.length);
  assert_int_equal(gln_text_find((GlnText){0}, GLN_TEXT("a"), 0), 0);
}

static void character_classes_take_any_char(void **state) {
  (void)state;
  for (int c = CHAR_MIN; c <= CHAR_MAX; c++) {
    assert_int_equal(gln_is_digit((char)c), c >= '0' && c <= '9');
    assert_int_equal(gln_is_letter((char)c), (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'));
    assert_int_equal(gln_is_blank((char)c), c == ' ' || c == '\t' || c == '\n' || c == '\r');
  }
}

/* The Unicode Standard, table 3-7 and its examples of ill-formed sequences. */
static void utf8_is_checked_strictly(void **state) {
  (void)state;
  static const struct {
    GlnText text;
    size_t bad;
  } cases[] = {
      {GLN_TEXT_INIT("B\xE2\x99\xAD \xF0\x9D\x84\xAB"), 9},
      {GLN_TEXT_INIT("\xF4\x8F\xBF\xBF"), 4},
      {GLN_TEXT_INIT("a\0b"), 1},
      {GLN_TEXT_INIT("a\x80"), 1},
      {GLN_TEXT_INIT("\xC0\xAF"), 0},
      {GLN_TEXT_INIT("\xC1\xBF"), 0},
      {GLN_TEXT_INIT("\xE0\x9F\xBF"), 0},
      {GLN_TEXT_INIT("\xED\xA0\x80"), 0},
      {GLN_TEXT_INIT("\xF0\x8F\xBF\xBF"), 0},
      {GLN_TEXT_INIT("\xF4\x90\x80\x80"), 0},
      {GLN_TEXT_INIT("\xF5\x80\x80\x80"), 0},
      {GLN_TEXT_INIT("ab\xE2\x99"), 2},
      {GLN_TEXT_INIT("ab\xE2\x99z"), 2},
      {GLN_TEXT_INIT(""), 0},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(cases); i++)
    assert_int_equal(gln_text_bad_utf8(cases[i].text), cases[i].bad);
}

/* Every code point written by hand and read back; surrogates refused. */
static void every_code_point_reads_back(void **state) {
  (void)state;
  for (uint32_t c = 1; c <= 0x10FFFF; c++) {
    char bytes[4];
    size_t length = c < 0x80 ? 1 : c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
    static const unsigned char firsts[] = {0, 0x00, 0xC0, 0xE0, 0xF0};
    uint32_t rest = c;
    for (size_t i = length; i-- > 1; rest >>= 6)
      bytes[i] = (char)(0x80 | (rest & 0x3F));
    bytes[0] = (char)(firsts[length] | rest);
    GlnText text = {bytes, length};
    uint32_t read = 0;
    if (c >= 0xD800 && c <= 0xDFFF) {
      assert_int_equal(gln_text_bad_utf8(text), 0);
      assert_int_equal(gln_text_code_point(text, 0, &read), 1);
      assert_int_equal(read, 0xFFFD);
    } else {
      assert_int_equal(gln_text_bad_utf8(text), length);
      assert_int_equal(gln_text_code_point(text, 0, &read), length);
      assert_int_equal(read, c);
    }
  }
  assert_int_equal(gln_text_code_point(GLN_TEXT("a"), 1, NULL), 0);
}

static void columns_of_a_terminal(void **state) {
  (void)state;
  assert_int_equal(gln_text_columns(GLN_TEXT("Gb7b5")), 5);
  assert_int_equal(gln_text_columns(GLN_TEXT("G♭7♭5")), 5);
  assert_int_equal(gln_text_columns(GLN_TEXT("e\xCC\x81")), 1); /* e and a combining acute */
  assert_int_equal(gln_text_columns(GLN_TEXT("歌")), 2);
  assert_int_equal(gln_text_columns(GLN_TEXT("\xFF")), 1);
  assert_int_equal(gln_text_columns(GLN_TEXT("")), 0);
}

static void distance_counts_a_swap_as_one(void **state) {
  (void)state;
  assert_int_equal(gln_text_distance(GLN_TEXT("arrange"), GLN_TEXT("arrange")), 0);
  assert_int_equal(gln_text_distance(GLN_TEXT("arrnage"), GLN_TEXT("arrange")), 1);
  assert_int_equal(gln_text_distance(GLN_TEXT("arange"), GLN_TEXT("arrange")), 1);
  assert_int_equal(gln_text_distance(GLN_TEXT(""), GLN_TEXT("grips")), 5);
  assert_int_equal(gln_text_distance(GLN_TEXT("kitten"), GLN_TEXT("sitting")), 3);
  char long_text[65];
  for (size_t i = 0; i < sizeof long_text; i++)
    long_text[i] = 'a';
  assert_int_equal(gln_text_distance((GlnText){long_text, 65}, GLN_TEXT("a")), 64);
  assert_int_equal(gln_text_distance((GlnText){long_text, 64}, GLN_TEXT("a")), 63);
}

static void integers(void **state) {
  (void)state;
  long value = 7;
  assert_int_equal(gln_text_integer(GLN_TEXT("126"), 1, 400, &value), GLN_OK);
  assert_int_equal(value, 126);
  assert_int_equal(gln_text_integer(GLN_TEXT("-9223372036854775808"), LONG_MIN, LONG_MAX, &value), GLN_OK);
  assert_true(value == LONG_MIN);
  assert_int_equal(gln_text_integer(GLN_TEXT("9223372036854775807"), LONG_MIN, LONG_MAX, &value), GLN_OK);
  assert_true(value == LONG_MAX);
  static const GlnText bad[] = {GLN_TEXT_INIT(""),    GLN_TEXT_INIT("-"),
                                GLN_TEXT_INIT(" 1"),  GLN_TEXT_INIT("1 "),
                                GLN_TEXT_INIT("0x1"), GLN_TEXT_INIT("1.0"),
                                GLN_TEXT_INIT("401"), GLN_TEXT_INIT("-1"),
                                GLN_TEXT_INIT("--1"), GLN_TEXT_INIT("9223372036854775808"),
                                GLN_TEXT_INIT("+1"),  GLN_TEXT_INIT("1e2"),
                                GLN_TEXT_INIT("١")};
  for (size_t i = 0; i < GLN_COUNT_OF(bad); i++) {
    value = 7;
    assert_int_equal(gln_text_integer(bad[i], 0, 400, &value), GLN_INPUT);
    assert_int_equal(value, 7);
  }
}

static void numbers(void **state) {
  (void)state;
  static const struct {
    GlnText text;
    double value;
  } good[] = {
      {GLN_TEXT_INIT("126"), 126},
      {GLN_TEXT_INIT("0.5"), 0.5},
      {GLN_TEXT_INIT("-3.25"), -3.25},
      {GLN_TEXT_INIT(".5"), 0.5},
      {GLN_TEXT_INIT("0.1"), 0.1},
      {GLN_TEXT_INIT("647.7"), 647.7},
      {GLN_TEXT_INIT("123456789012345"), 123456789012345.0},
      {GLN_TEXT_INIT("0.333333333333333333333333333333"), 0.333333333333333},
      {GLN_TEXT_INIT("000000000000000000000001.5"), 1.5},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(good); i++) {
    double value = 0;
    assert_int_equal(gln_text_number(good[i].text, &value), GLN_OK);
    assert_true(value >= good[i].value && value <= good[i].value);
  }
  static const GlnText bad[] = {GLN_TEXT_INIT(""),
                                GLN_TEXT_INIT("."),
                                GLN_TEXT_INIT("-"),
                                GLN_TEXT_INIT("5."),
                                GLN_TEXT_INIT("1,5"),
                                GLN_TEXT_INIT("1e3"),
                                GLN_TEXT_INIT("inf"),
                                GLN_TEXT_INIT("nan"),
                                GLN_TEXT_INIT("0x1"),
                                GLN_TEXT_INIT("1.2.3"),
                                GLN_TEXT_INIT("1 "),
                                GLN_TEXT_INIT("-."),
                                GLN_TEXT_INIT("9999999999999999")};
  for (size_t i = 0; i < GLN_COUNT_OF(bad); i++) {
    double value = 0;
    assert_int_equal(gln_text_number(bad[i], &value), GLN_INPUT);
  }
}

int main(void) {
  /* A locale with a decimal comma, where the machine has one, must change nothing. */
  (void)setlocale(LC_ALL, "de_DE.UTF-8");
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(slices_are_clamped),
      cmocka_unit_test(comparing),
      cmocka_unit_test(finding),
      cmocka_unit_test(character_classes_take_any_char),
      cmocka_unit_test(utf8_is_checked_strictly),
      cmocka_unit_test(every_code_point_reads_back),
      cmocka_unit_test(columns_of_a_terminal),
      cmocka_unit_test(distance_counts_a_swap_as_one),
      cmocka_unit_test(integers),
      cmocka_unit_test(numbers),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
