/* The arrangement as JSON comes back as it went: the same chart, the same grips, the same bytes. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "run_app.h"

static const char *const songs[] = {"examples/ferry-at-low-tide.chart",
                                    "examples/lanterns-on-the-canal.chart", "examples/late-tram-blues.chart"};

static char *arrange(const char *input, const char *file, const char *option) {
  char command[] = "arrange", program[] = "gripline", json[] = "--json", name[100], word[100];
  (void)snprintf(name, sizeof name, "%s", file);
  (void)snprintf(word, sizeof word, "%s", option);
  Ran ran = option[0] != '\0' ? RUN(80, false, input, program, command, name, json, word)
                              : RUN(80, false, input, program, command, name, json);
  assert_string_equal(ran.err, "");
  assert_int_equal(ran.status, 0);
  free(ran.err);
  return ran.out;
}

static void check(const char *song, const char *option, const char *again_option) {
  char *first = arrange("", song, option);
  char *again = arrange(first, "-", again_option);
  assert_string_equal(first, again);
  free(first);
  free(again);
}

static void test_same_bytes(void **state) {
  (void)state;
  for (size_t s = 0; s < GLN_COUNT_OF(songs); s++)
    check(songs[s], "", "");
}

/* What the call asked of the line is in the chart then; what it said of the hand is the caller's to say again. */
static void test_same_bytes_after_options(void **state) {
  (void)state;
  check(songs[0], "--texture=four-note", "");
  check(songs[1], "--capo=2", "");
  check(songs[2], "--tempo=90", "");
  check(songs[1], "--tuning=drop d", "");
  check(songs[0], "--frets=3-10", "");
  check(songs[2], "--hand=small", "--hand=small");
}

/* Held otherwise each time it comes: the chart is played through, so that it can say so. */
static void test_varied(void **state) {
  (void)state;
  const char *chart = "form: A A\n[A]\n| Cmaj7 | Am7 | Dm7 | G7 |\n";
  char *first = arrange(chart, "-", "--vary");
  assert_non_null(strstr(first, "[A (2)]"));
  char *again = arrange(first, "-", "");
  for (const char *a = first, *b = again;;) {
    a = strstr(a, "\"frets\": \"");
    b = strstr(b, "\"frets\": \"");
    assert_int_equal(a == NULL, b == NULL);
    if (a == NULL)
      break;
    size_t length = (size_t)(strchr(a + 10, '"') - a);
    assert_memory_equal(a, b, length);
    a += length;
    b += length;
  }
  free(first);
  free(again);
}

static void test_converted(void **state) {
  (void)state;
  Ran json = RUN(80, false, "title: Pier\n[A]\n| C@x35553 | G7 | % |\n", "gripline", "convert", "-", "-",
                 "--to", "json");
  assert_int_equal(json.status, 0);
  Ran chart = RUN(80, false, json.out, "gripline", "convert", "-", "-", "--to", "chart");
  assert_int_equal(chart.status, 0);
  assert_string_equal(chart.err, "");
  assert_non_null(strstr(chart.out, "title: Pier\n[A]\n| C@x35553 | G7@"));
  drop(&json);
  drop(&chart);
}

/* Frets that another program changed in the slots are the grips then. */
static void test_changed(void **state) {
  (void)state;
  Ran changed = RUN(80, false,
                    "{\"schema\": \"gripline/arrange/1\", \"chart\": \"| C@x32010 | Am |\\n\", \"slots\": "
                    "[{\"frets\": \"x35553\"}, {\"frets\": \"x02210\"}]}",
                    "gripline", "convert", "-", "-", "--to", "chart");
  assert_string_equal(changed.out, "| C@x35553 | Am@x02210 |\n");
  assert_int_equal(changed.status, 0);
  drop(&changed);
}

static void test_refused(void **state) {
  (void)state;
  static const struct {
    const char *bytes, *message;
  } cases[] = {{"{\"schema\": \"gripline/arrange/1\", \"chart\": \"| C |\"", "this is no JSON document"},
               {"{\"schema\": \"gripline/arrange/1\"}", "there is no chart in this document"},
               {"{\"schema\": \"other/1\", \"chart\": \"| C |\"}", "this JSON is none of gripline's"},
               {"{\"schema\": \"gripline/arrange/1\", \"chart\": \"| C |\", \"slots\": []}",
                "another number of slots"},
               {"{\"schema\": \"gripline/arrange/1\", \"chart\": \"| C |\", \"slots\": [{\"frets\": 7}]}",
                "slot 0 has no frets"},
               {"{\"schema\": \"gripline/arrange/1\", \"chart\": \"| C |\", \"chart\": \"| D |\"}",
                "duplicate object key"},
               {"{\"schema\": \"gripline/transpose/1\", \"chart\": \"| Hx9 |\"}",
                "standard input as a chart:1:3: error"}};
  for (size_t i = 0; i < GLN_COUNT_OF(cases); i++) {
    Ran ran =
        RUN(80, false, cases[i].bytes, "gripline", "convert", "-", "-", "--from", "json", "--to", "chart");
    assert_int_equal(ran.status, 3);
    assert_string_equal(ran.out, "");
    assert_non_null(strstr(ran.err, cases[i].message));
    drop(&ran);
  }
}

/* Every kind of file serves every command, from standard input too. */
static void test_from(void **state) {
  (void)state;
  Ran lab = RUN(80, false, "0 2 C:maj\n2 4 G:7\n", "gripline", "explain", "-", "--from", "lab");
  assert_int_equal(lab.status, 0);
  assert_non_null(strstr(lab.err, "counted as 4/4 at 120"));
  drop(&lab);
  Ran bars = RUN(80, false, "| C:maj | G:7 |\n", "gripline", "arrange", "-", "--from=bars");
  assert_int_equal(bars.status, 0);
  drop(&bars);
  Ran text = RUN(80, false, "Am7 5x555x\nD7 x5453x\n", "gripline", "proof", "-", "--from=text");
  assert_int_equal(text.status, 0);
  assert_non_null(strstr(text.out, "2 grips read"));
  drop(&text);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_same_bytes), cmocka_unit_test(test_same_bytes_after_options),
      cmocka_unit_test(test_varied),     cmocka_unit_test(test_converted),
      cmocka_unit_test(test_changed),    cmocka_unit_test(test_refused),
      cmocka_unit_test(test_from)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
