/* arrange --why, --alternatives, --vary, --bass-line, and what charts wish, as a user calls them. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "app.h"
#include "app_internal.h"

#include <stdlib.h>
#include <string.h>

typedef struct Ran {
  int status;
  char *out, *err;
} Ran;

static Ran run(const char *input, int argc, char *const argv[]) {
  Ran ran = {0};
  size_t out_size = 0, err_size = 0;
  char *copy = strdup(input);
  assert_non_null(copy);
  FILE *in = fmemopen(copy, strlen(copy), "r");
  FILE *out = open_memstream(&ran.out, &out_size), *err = open_memstream(&ran.err, &err_size);
  assert_true(in != NULL && out != NULL && err != NULL);
  const GlnApp app = {.in = in, .out = out, .err = err, .columns = 80};
  ran.status = gln_app_run(&app, argc, argv);
  (void)fclose(in);
  (void)fclose(out);
  (void)fclose(err);
  free(copy);
  return ran;
}

static void drop(Ran *ran) {
  free(ran->out);
  free(ran->err);
}

#define RUN(input, ...)                                                                                      \
  run(input, (int)(sizeof((char *const[]){__VA_ARGS__}) / sizeof(char *)), (char *const[]){__VA_ARGS__, NULL})

static void says(const char *text, const char *words) {
  if (strstr(text, words) == NULL)
    print_error("\"%s\" is not in:\n%s\n", words, text);
  assert_non_null(strstr(text, words));
}

static const char chart[] = "form: A A\n[A]\n| Dm7 / G7 / | Cmaj7@x3545x |\n";

static void test_why(void **state) {
  (void)state;
  Ran ran = RUN(chart, "gripline", "arrange", "-", "--why", "1.3");
  assert_int_equal(ran.status, 0);
  says(ran.out, "bar 1 beat 3: G7 ");
  says(ran.out, "best other grip ");
  says(ran.out, "the chord is played 2 times");
  says(ran.out, ": the whole line would cost ");
  assert_null(strstr(ran.out, "Dm7"));
  drop(&ran);
  ran = RUN(chart, "gripline", "arrange", "-", "--why", "all");
  says(ran.out, "bar 4 beat 1: Cmaj7 x3545x");
  says(ran.out, "pinned: no other grip was looked at");
  drop(&ran);
  ran = RUN(chart, "gripline", "arrange", "-", "--why", "2", "--json");
  says(ran.out, "\"rejected\": null");
  drop(&ran);
  static char *const wrong[] = {"9", "1.2", "x", "1.", ""};
  for (size_t i = 0; i < GLN_COUNT_OF(wrong); i++) {
    ran = RUN(chart, "gripline", "arrange", "-", "--why", wrong[i]);
    assert_int_equal(ran.status, 2);
    assert_int_equal(strlen(ran.out), 0);
    says(ran.err, "--why");
    drop(&ran);
  }
}

/* Each example has two further ways at least within what is looked at unasked. */
static void test_alternatives_of_examples(void **state) {
  (void)state;
  char songs[][40] = {"examples/ferry-at-low-tide.chart", "examples/lanterns-on-the-canal.chart",
                      "examples/late-tram-blues.chart"};
  for (size_t i = 0; i < GLN_COUNT_OF(songs); i++) {
    Ran ran = RUN("", "gripline", "arrange", songs[i], "--alternatives", "2");
    assert_int_equal(ran.status, 0);
    says(ran.out, "line 2: effort ");
    says(ran.out, "line 3: effort ");
    drop(&ran);
  }
}

static void test_alternatives(void **state) {
  (void)state;
  Ran ran = RUN(chart, "gripline", "arrange", "-", "--alternatives", "2", "--within", "400");
  assert_int_equal(ran.status, 0);
  says(ran.out, "line 1: effort ");
  says(ran.out, "line 2: effort ");
  says(ran.out, " % more");
  says(ran.out, "line 3");
  drop(&ran);
  ran = RUN(chart, "gripline", "arrange", "-", "--alternatives", "2", "--within", "0");
  assert_int_equal(ran.status, 0);
  says(ran.out, "no further line differs so within 0 % more effort");
  drop(&ran);
  ran = RUN(chart, "gripline", "arrange", "-", "--alternatives", "1", "--within", "400", "--json");
  says(ran.out, "\"alternatives\": [");
  says(ran.out, "\"more_percent\": ");
  drop(&ran);
  ran = RUN(chart, "gripline", "arrange", "-", "--alternatives", "1", "--vary");
  assert_int_equal(ran.status, 2);
  drop(&ran);
  ran = RUN(chart, "gripline", "arrange", "-", "--within", "20");
  assert_int_equal(ran.status, 2);
  says(ran.err, "--alternatives");
  drop(&ran);
  ran = RUN(chart, "gripline", "arrange", "-", "--csv", "--why", "all");
  assert_int_equal(ran.status, 2);
  drop(&ran);
}

/* The command line goes before a section's wish, and that before the chart's own. */
static void test_what_goes_before_what(void **state) {
  (void)state;
  const char *wishes = "frets: 1-5\n[A]\n| Dm7 |\n[B]\nfrets: 9-14\n| Dm7 |\n";
  Ran ran = RUN(wishes, "gripline", "arrange", "-", "--open", "no", "--csv");
  assert_int_equal(ran.status, 0);
  for (const char *at = ran.out; (at = strstr(at, "Dm7,x ")) != NULL; at++)
    assert_true(at[6] == 'x' || at[6] == '5' || at[6] == '1'); /* 5 in A; 10, 12 in B */
  drop(&ran);
  Ran whole = RUN("[A]\n| Dm7 |\n[B]\n| Dm7 |\n", "gripline", "arrange", "-", "--frets", "3-9");
  ran = RUN(wishes, "gripline", "arrange", "-", "--frets", "3-9");
  assert_string_equal(ran.out, whole.out);
  drop(&ran);
  drop(&whole);
}

static void test_wishes_that_cannot_be(void **state) {
  (void)state;
  static const struct {
    const char *chart, *says;
  } rows[] = {
      {"texture: shells\n[A]\n| C |\n", ":1:10: error: texture: \"shells\" cannot be wished"},
      {"[A]\nfrets: 9-3\n| C |\n", ":2:8: error: frets: \"9-3\" cannot be wished"},
      {"[A]\nbass-line: walking\n| C |\n", "choose one of roots, chromatic, low"},
      {"[A]\nvary: maybe\n| C |\n", "write yes or no"},
      {"[A]\nfrets: 1-4\n| Fmaj9@x8798x |\n",
       "the pinned grip x8798x collides with the region of frets 1-4; nearest that can be met: frets 1-9"},
      {"[A]\nfrets: 1-4\ntexture: four-note\n| Am7^C5 |\n", "the top note C5 and the region of frets 1-4"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    Ran ran = RUN(rows[i].chart, "gripline", "arrange", "-");
    assert_int_equal(ran.status, 3);
    assert_int_equal(strlen(ran.out), 0);
    says(ran.err, rows[i].says);
    drop(&ran);
  }
}

static void test_tune(void **state) {
  (void)state;
  const char *tune = "[A]\n^ | E5 / D5 / | B4 |\n| Am7 / D7 / | Gmaj7 |\n";
  Ran ran = RUN(tune, "gripline", "arrange", "-", "--json");
  assert_int_equal(ran.status, 0);
  assert_int_equal(strlen(ran.err), 0);
  says(ran.out, "\"E5\"\n");
  says(ran.out, "\"D5\"\n");
  says(ran.out, "\"B4\"\n");
  drop(&ran);
  ran = RUN(tune, "gripline", "transpose", "--by", "-2", "-");
  says(ran.out, "^ | D5 C5 | A4 |\n");
  drop(&ran);
  /* The tune gives the compass that a singer's range is set against. */
  ran = RUN(tune, "gripline", "transpose", "--range", "A3-E4", "-");
  assert_int_equal(ran.status, 0);
  drop(&ran);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_why),
      cmocka_unit_test(test_alternatives),
      cmocka_unit_test(test_alternatives_of_examples),
      cmocka_unit_test(test_what_goes_before_what),
      cmocka_unit_test(test_wishes_that_cannot_be),
      cmocka_unit_test(test_tune),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
