/* Whole commands, driven through their streams: what depends on the terminal, and the table behind all of it. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "run_app.h"

static size_t widest_line(const char *text) {
  size_t widest = 0;
  for (GlnText rest = gln_text(text); rest.length > 0;) {
    size_t end = gln_text_find(rest, GLN_TEXT("\n"), 0);
    size_t width = gln_text_columns(gln_text_slice(rest, 0, end));
    widest = width > widest ? width : widest;
    rest = gln_text_from(rest, end + 1);
  }
  return widest;
}

static void test_width(void **state) {
  (void)state;
  const size_t widths[] = {80, 100};
  for (size_t w = 0; w < GLN_COUNT_OF(widths); w++) {
    Ran help = RUN(widths[w], false, "", "gripline", "--help");
    Ran command = RUN(widths[w], false, "", "gripline", "arrange", "--help");
    Ran grips = RUN(widths[w], false, "", "gripline", "grips", "Am7");
    Ran standins = RUN(widths[w], false, "", "gripline", "standins", "--chord", "G7", "--key", "C");
    assert_int_equal(help.status, 0);
    assert_int_equal(command.status, 0);
    assert_int_equal(grips.status, 0);
    assert_int_equal(standins.status, 0);
    assert_true(widest_line(help.out) <= widths[w]);
    assert_true(widest_line(command.out) <= widths[w]);
    assert_true(widest_line(grips.out) <= widths[w]);
    drop(&help);
    drop(&command);
    assert_true(widest_line(standins.out) <= widths[w]);
    drop(&grips);
    drop(&standins);
  }
}

static void test_notes_tell_each_grip_once(void **state) {
  (void)state;
  const char *chart = "title: Short\ntempo: 120\n[A]\n| C@x32010 | Am@x02210 | C@x32010 | N.C. |\n";
  Ran plain = RUN(80, false, chart, "gripline", "notes", "-");
  assert_int_equal(plain.status, 0);
  assert_string_equal(plain.err, "");
  assert_memory_equal(plain.out, "Short\n\nC: x32010, fingers x32010\nAm: x02210, fingers x02310\n\nFrets ",
                      66);
  Ran timed = RUN(80, false, chart, "gripline", "notes", "--times", "-");
  assert_memory_equal(timed.out, "Short\n\n0:00 C: x32010, fingers x32010\n0:02 Am: ", 46);
  Ran spoken = RUN(80, false, chart, "gripline", "notes", "--spoken", "-");
  assert_non_null(strstr(spoken.out, "\nC: string 6 not played, string 5 fret 3 finger 3, "));
  assert_null(strstr(spoken.out, "x32010"));
  drop(&plain);
  drop(&timed);
  drop(&spoken);
}

static void test_colour_only_where_it_shows(void **state) {
  (void)state;
  Ran plain = RUN(80, false, "", "gripline", "grips", "C");
  Ran styled = RUN(80, true, "", "gripline", "grips", "C");
  assert_null(strchr(plain.out, '\x1b'));
  assert_non_null(strstr(styled.out, "\x1b[1mC\x1b[0m"));
  drop(&plain);
  drop(&styled);
}

/* A chart whose grips are all pinned: what is printed depends on no weight. */
static void test_sections_that_return(void **state) {
  (void)state;
  Ran ran =
      RUN(80, false,
          "form: A B A\n[A]\n| Am@x02210 | % |\n| Dm@xx0231 | E7@020100 |\n[B]\n| F@133211 / G@355433 / |\n",
          "gripline", "arrange", "-");
  assert_string_equal(ran.err, "");
  assert_int_equal(ran.status, 0);
  assert_non_null(strstr(ran.out, "[A] bars 1–4\n"));
  assert_non_null(strstr(ran.out, "[B] bar 5\n"));
  assert_non_null(strstr(ran.out, "[A] bars 6–9, as bars 1–4; into it: "));
  assert_non_null(strstr(ran.out, "same shape up 2"));
  assert_non_null(strstr(ran.out, "same grip"));
  assert_null(strstr(ran.out, "\n  6  1"));
  assert_non_null(strstr(ran.out, "10 chords on 5 grips"));
  assert_true(widest_line(ran.out) <= 80);
  drop(&ran);
}

static void test_repeats_and_endings(void **state) {
  (void)state;
  Ran ran =
      RUN(80, false, "|: Am@x02210 | Dm@xx0231 |1 E7@020100 :|2 Am@x02210 |\n", "gripline", "arrange", "-");
  assert_string_equal(ran.err, "");
  assert_non_null(strstr(ran.out, "\nbars 1–6\n"));
  assert_non_null(strstr(ran.out, "\nbars 4–5 as bars 1–2; into it: "));
  assert_non_null(strstr(ran.out, "\n  6  1     Am"));
  drop(&ran);
}

static void test_silence(void **state) {
  (void)state;
  Ran text = RUN(80, false, "| N.C. | C@x32010 / N.C. / |\n", "gripline", "arrange", "-");
  assert_int_equal(text.status, 0);
  assert_non_null(strstr(text.out, "N.C.\n"));
  Ran json = RUN(80, false, "| N.C. | C@x32010 / N.C. / |\n", "gripline", "arrange", "--json", "-");
  assert_int_equal(json.status, 0);
  assert_non_null(strstr(json.out, "\"frets\": null"));
  assert_non_null(strstr(json.out, "\"frets\": \"x32010\""));
  assert_non_null(strstr(json.out, "\"hardest\": null"));
  drop(&text);
  drop(&json);
}

/* A grip without a name does not keep the others of its line from theirs. */
static void test_name_of_a_line_with_a_nameless_grip(void **state) {
  (void)state;
  Ran text = RUN(80, false, "", "gripline", "name", "x32010 x32xxx 320001 x32010");
  assert_int_equal(text.status, 1);
  assert_non_null(strstr(text.out, "320001  G7     V7"));
  assert_non_null(strstr(text.out, "x32xxx  –"));
  assert_non_null(strstr(text.err, "x32xxx: no common name; the notes are C and E: a major third"));
  Ran json = RUN(80, false, "", "gripline", "name", "x32010 x32xxx 320001 x32010", "--json");
  assert_int_equal(json.status, 1);
  assert_non_null(strstr(json.out, "\"symbol\": \"G7\""));
  assert_non_null(strstr(json.out, "\"names\": []"));
  drop(&text);
  drop(&json);
}

/* The chart's own tuning and capo hold unless the call says otherwise. */
static void test_headers_and_options(void **state) {
  (void)state;
  Ran chart =
      RUN(80, false, "tuning: drop d\ncapo: 2\n| E5@000xxx |\n", "gripline", "arrange", "-", "--json");
  assert_string_equal(chart.err, "");
  assert_non_null(strstr(chart.out, "\"E2\""));
  Ran option =
      RUN(80, false, "tuning: drop d\ncapo: 2\n| E5@000xxx |\n", "gripline", "arrange", "-", "--capo", "0");
  assert_int_equal(option.status, 3);
  assert_non_null(strstr(option.err, "standard input:3:6: error: "));
  assert_non_null(strstr(option.err, "sounds D"));
  Ran some = RUN(80, false, "capo: 2:5-1\n| E@000454 |\n", "gripline", "arrange", "-", "--json");
  assert_string_equal(some.err, "");
  assert_non_null(strstr(some.out, "\"E2\""));
  assert_non_null(strstr(some.out, "\"G#4\""));
  Ran behind = RUN(80, false, "capo: 2:5-1\n| E@020454 |\n", "gripline", "arrange", "-");
  assert_int_equal(behind.status, 3);
  assert_non_null(strstr(behind.err, "the string begins above this fret"));
  drop(&some);
  drop(&behind);
  drop(&chart);
  drop(&option);
}

/* The handlers read words of the table by their place; this holds both together. */
static void test_words_of_the_table(void **state) {
  (void)state;
  const struct {
    GlnOptionId id;
    const char *words[4];
  } rows[] = {{GLN_OPT_AIM, {"smooth", "easy"}},
              {GLN_OPT_OPEN, {"yes", "no"}},
              {GLN_OPT_HAND, {"small", "medium", "large"}},
              {GLN_OPT_RIGHT_HAND, {"fingers", "pick"}},
              {GLN_OPT_PAPER, {"a4", "letter"}},
              {GLN_OPT_COMPLETION, {"bash", "zsh", "fish"}}};
  for (size_t r = 0; r < GLN_COUNT_OF(rows); r++) {
    size_t n = 0;
    for (; rows[r].words[n] != NULL; n++)
      assert_true(gln_text_equal(gln_option_word(gln_option_at(rows[r].id), n), gln_text(rows[r].words[n])));
    assert_int_equal(gln_option_word(gln_option_at(rows[r].id), n).length, 0);
  }
  for (int t = 0; t < GLN_TEXTURE_COUNT; t++)
    assert_true(gln_text_equal(gln_option_word(gln_option_at(GLN_OPT_TEXTURE), (size_t)t),
                               gln_text(gln_texture_key((GlnTexture)t))));
}

/* Every command has help, an example that begins with its own call, and a place in the man page. */
static void test_commands_are_documented(void **state) {
  (void)state;
  Ran man = RUN(80, false, "", "gripline", "--man");
  for (size_t c = 0; c < gln_command_count(); c++) {
    const GlnCommand *command = gln_command_at(c);
    assert_true(gln_command_takes(command, GLN_OPT_HELP));
    assert_true(gln_command_takes(command, GLN_OPT_OUTPUT) == (command->formats != NULL));
    char start[64];
    (void)snprintf(start, sizeof start, "gripline %s ", command->name);
    assert_true(gln_text_starts(gln_text(command->example), gln_text(start)));
    (void)snprintf(start, sizeof start, "\n.B %s ", command->name);
    assert_non_null(strstr(man.out, start));
    assert_ptr_equal(gln_command_find(gln_text(command->name)), command);
  }
  drop(&man);
}

/* Of the first grip that is listed: its cost is no more than that of any other way to get from one to the other. */
static void test_between(void **state) {
  (void)state;
  Ran ran = RUN(80, false, "", "gripline", "grips", "G7", "--between", "x5756x", "x3545x", "--texture",
                "four-note");
  assert_int_equal(ran.status, 0);
  assert_non_null(strstr(ran.out, "how well they follow x5756x and lead into x3545x"));
  assert_non_null(strstr(ran.out, "next"));
  drop(&ran);
  /* The words around it stay where they are: the chord may come last. */
  ran = RUN(80, false, "", "gripline", "grips", "--between", "x5756x", "x3545x", "--csv", "G7");
  assert_int_equal(ran.status, 0);
  assert_non_null(strstr(ran.out, "move_seconds,next_seconds\r\n1,G7,"));
  drop(&ran);
  ran = RUN(80, false, "", "gripline", "grips", "G7", "--between", "x5756x");
  assert_int_equal(ran.status, 2);
  assert_non_null(strstr(ran.err, "two values"));
  drop(&ran);
  ran = RUN(80, false, "", "gripline", "grips", "G7", "--between", "x5756x", "x35", "--json");
  assert_int_equal(ran.status, 2);
  assert_int_equal(strlen(ran.out), 0);
  drop(&ran);
  ran = RUN(80, false, "", "gripline", "grips", "G7", "--after", "x5756x", "--between", "x5756x", "x3545x");
  assert_int_equal(ran.status, 2);
  drop(&ran);
}

/* Each change once, the one with the lowest comfortable tempo first. */
static void test_moves(void **state) {
  (void)state;
  const char *chart = "tempo: 120\n[A]\n| C@x32010 | F@133211 | C@x32010 | F@133211 / / C@x32010 |\n";
  Ran ran = RUN(80, false, chart, "gripline", "moves", "--csv", "-");
  assert_int_equal(ran.status, 0);
  size_t rows = 0;
  double last = 0;
  for (GlnText rest = gln_text(ran.out); rest.length > 0; rows++) {
    size_t end = gln_text_find(rest, GLN_TEXT("\r\n"), 0);
    GlnText row = gln_text_slice(rest, 0, end);
    size_t first = gln_text_find(row, GLN_TEXT(","), 0),
           second = gln_text_find(row, GLN_TEXT(","), first + 1);
    double tempo = 0;
    if (rows > 0)
      assert_int_equal(gln_text_number(gln_text_slice(row, first + 1, second - first - 1), &tempo), GLN_OK);
    assert_true(tempo >= last);
    last = tempo;
    rest = gln_text_from(rest, end + 2);
  }
  assert_int_equal(rows, 1 + 2);
  assert_non_null(strstr(ran.out, ",2,\"2, 4\",C,x 3 2 0 1 0,x 3 2 0 1 0,F,1 3 3 2 1 1,"));
  assert_non_null(strstr(ran.out, "lay 1 flat across strings 6 to 1 at fret 1"));
  drop(&ran);
  ran = RUN(80, false, chart, "gripline", "moves", "-");
  assert_int_equal(ran.status, 0);
  assert_true(widest_line(ran.out) <= 80);
  drop(&ran);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_width),
      cmocka_unit_test(test_colour_only_where_it_shows),
      cmocka_unit_test(test_notes_tell_each_grip_once),
      cmocka_unit_test(test_sections_that_return),
      cmocka_unit_test(test_repeats_and_endings),
      cmocka_unit_test(test_silence),
      cmocka_unit_test(test_name_of_a_line_with_a_nameless_grip),
      cmocka_unit_test(test_headers_and_options),
      cmocka_unit_test(test_words_of_the_table),
      cmocka_unit_test(test_commands_are_documented),
      cmocka_unit_test(test_between),
      cmocka_unit_test(test_moves),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
