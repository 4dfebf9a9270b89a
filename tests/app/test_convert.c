/* convert: kinds of file by name, by content and by option; what every command loads goes the same way. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "run_app.h"

static void test_formats_by_name(void **state) {
  (void)state;
  assert_int_equal(gln_format_of_name(GLN_TEXT("tide.chart")), GLN_FORMAT_CHART);
  assert_int_equal(gln_format_of_name(GLN_TEXT("a.b/TIDE.MID")), GLN_FORMAT_MIDI);
  assert_int_equal(gln_format_of_name(GLN_TEXT("tide.midi")), GLN_FORMAT_MIDI);
  assert_int_equal(gln_format_of_name(GLN_TEXT("chart")), GLN_FORMAT_COUNT);
  assert_int_equal(gln_format_of_name(GLN_TEXT("a.chart/tide")), GLN_FORMAT_COUNT);
  assert_int_equal(gln_format_of_name(GLN_TEXT("tide.pdf")), GLN_FORMAT_COUNT);
}

/* Every row can do something, and what is read has a limit. */
static void test_table(void **state) {
  (void)state;
  for (int id = 0; id < GLN_FORMAT_COUNT; id++) {
    const GlnFormat *format = gln_format_at((GlnFormatId)id);
    assert_true(format->read != NULL || format->write != NULL);
    assert_true(format->read == NULL || format->bytes_max > 0);
    assert_true(format->endings[0] != '\0' && format->words[0] != '\0');
  }
}

static void test_chart_to_chart(void **state) {
  (void)state;
  Ran ran = RUN(80, false, "key:F\n# kept\n[A]\n|F|C7|\n", "gripline", "convert", "-", "-", "--to", "chart");
  assert_string_equal(ran.err, "");
  assert_int_equal(ran.status, 0);
  assert_string_equal(ran.out, "key: F\n# kept\n[A]\n| F | C7 |\n");
  drop(&ran);
}

static void test_chart_to_midi(void **state) {
  (void)state;
  Ran ran = RUN(80, false, "| C | G7 |\n", "gripline", "convert", "--to=midi", "-", "-");
  assert_int_equal(ran.status, 0);
  assert_memory_equal(ran.out, "MThd", 4);
  drop(&ran);
}

static void test_lists_and_pasted_text(void **state) {
  (void)state;
  Ran lab = RUN(80, false, "tempo: 120\n| C | G7 |\n", "gripline", "convert", "-", "-", "--to", "lab");
  assert_string_equal(lab.out, "0.000000\t2.000000\tC:maj\n2.000000\t4.000000\tG:7\n");
  drop(&lab);
  Ran bars = RUN(80, false, "| C | Dm7 G7 |\n", "gripline", "convert", "-", "-", "--to", "bars");
  assert_string_equal(bars.out, "# metre: 4/4\n| C:maj | D:min7 . G:7 . |\n");
  drop(&bars);
  Ran pasted = RUN(80, false, "C  Hm\n", "gripline", "convert", "-", "-", "--from", "text", "--to", "chart");
  assert_int_equal(pasted.status, 3); /* words, and no chord line */
  drop(&pasted);
  Ran text =
      RUN(80, false, "| C | Hm |\n", "gripline", "convert", "-", "-", "--from", "text", "--to", "chart");
  assert_int_equal(text.status, 0);
  assert_non_null(strstr(text.err, "standard input:1:7: warning: this is no chord that can be read"));
  drop(&text);
}

static void test_what_cannot_be(void **state) {
  (void)state;
  Ran unnamed = RUN(80, false, "| C |\n", "gripline", "convert", "-", "-");
  assert_int_equal(unnamed.status, 2);
  assert_non_null(strstr(unnamed.err, "does not say what kind of file to write; end OUT's name in .chart"));
  Ran one = RUN(80, false, "| C |\n", "gripline", "convert", "-");
  assert_int_equal(one.status, 2);
  assert_non_null(strstr(one.err, "convert needs IN OUT"));
  Ran three = RUN(80, false, "| C |\n", "gripline", "convert", "a", "b", "c");
  assert_int_equal(three.status, 2);
  assert_non_null(strstr(three.err, "\"c\" is one more"));
  Ran faulty = RUN(80, false, "| Hx9 |\n", "gripline", "convert", "-", "-", "--to", "chart");
  assert_int_equal(faulty.status, 3);
  assert_string_equal(faulty.out, "");
  assert_non_null(strstr(faulty.err, "standard input:1:3: error: "));
  drop(&unnamed);
  drop(&one);
  drop(&three);
  drop(&faulty);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_formats_by_name),       cmocka_unit_test(test_table),
      cmocka_unit_test(test_chart_to_chart),        cmocka_unit_test(test_chart_to_midi),
      cmocka_unit_test(test_lists_and_pasted_text), cmocka_unit_test(test_what_cannot_be),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
