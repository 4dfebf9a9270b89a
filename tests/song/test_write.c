/* Writing charts: what was not changed stays byte for byte; what was changed is written around it. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "song_test.h"

#include <dirent.h>
#include <stdio.h>

static const char commented[] = "# Top remark\n"
                                "title:   Round Trip #1\n"
                                "colour: blue   # kept whole\n"
                                "key: F     # dark\n"
                                "\n"
                                "tempo: 126\n"
                                "form: A, B x2, A\n"
                                "   # before A\n"
                                "[A]    # the tune\n"
                                "|: Fmaj9  / F13 /   | G13      | % |1 Gm7 :|2 C7sus4 / C7b9 / ||   # ends\n"
                                "\n"
                                "|  3/4: Am7^E4 / D7b9@x5457x |\t%  |   / / Gm7 |\n"
                                "# between\n"
                                "[B] | Bb^D | C7 F#m7b5 |\n"
                                "| N.C. |\n"
                                "\n"
                                "# the end";

static void assert_same_music(GlnArena *arena, const GlnChart *chart, const char *text) {
  Read again = read_well(arena, text);
  assert_true(gln_chart_equal(chart, again.chart));
}

static void an_unchanged_chart_keeps_every_byte(void **state) {
  const char *sources[] = {commented,
                           "| C |",
                           "\xEF\xBB\xBFtitle: A\r\n\r\n[A]\r\n| C | \xC2\xA0 G |\r\n\r\n",
                           "\n\n\n| C |\n:| F",
                           "meter: 4/4\nform: A\nkey:F\ncapo:0\n[A]|C|",
                           "notes: a\n# x\nnotes: b\n| C |\n   ",
                           "| C |:\n\n# in the repeat\n| F :|\n"};
  for (size_t i = 0; i < GLN_COUNT_OF(sources); i++) {
    Read read = read_string(*state, sources[i]);
    if (read.status == GLN_OK)
      assert_same_music(*state, read.chart, sources[i]);
    assert_string_equal(written(read.chart, *state, false), sources[i]);
  }
}

static void a_tidy_chart_keeps_music_and_comments(void **state) {
  const char *source = commented;
  Read read = read_well(*state, source);
  const char *tidy = written(read.chart, *state, true);
  assert_string_equal(tidy, "# Top remark\n"
                            "title: Round Trip #1\n"
                            "colour: blue   # kept whole\n"
                            "key: F  # dark\n"
                            "\n"
                            "tempo: 126\n"
                            "form: A, B x2, A\n"
                            "# before A\n"
                            "[A]  # the tune\n"
                            "|: Fmaj9 F13 | G13 | % |1 Gm7 :|2 C7sus4 C7b9 ||  # ends\n"
                            "\n"
                            "| 3/4: Am7^E4 / D7b9@x5457x | % | / / Gm7 |\n"
                            "# between\n"
                            "[B]\n"
                            "| Bb^D | C7 F#m7b5 |\n"
                            "| N.C. |\n"
                            "\n"
                            "# the end\n");
  assert_same_music(*state, read.chart, tidy);
  Read again = read_well(*state, tidy);
  assert_string_equal(written(again.chart, *state, true), tidy);
}

static void set_chord(GlnEvent *event, const char *symbol) {
  assert_int_equal(gln_chord_parse(gln_text(symbol), &event->chord, NULL), GLN_OK);
}

static void a_changed_chord_changes_its_own_letters_alone(void **state) {
  Read read = read_well(
      *state, "key: C # home\n[A]  # a\n|  C   / F /  |Dm7|  # b\n# c\n| % | Em7^E@x7978x / A7 / |\n");
  GlnBar *bars = read.chart->sections[0].bars;
  set_chord(&bars[0].events[1], "Ab13");
  set_chord(&bars[1].events[0], "G7");
  set_chord(&bars[2].events[0], "G7");
  set_chord(&bars[3].events[0], "Bbm7");
  bars[3].events[1].has_top = true;
  bars[3].events[1].top = (GlnPitch){.note = {2, -1}, .octave = 5};
  bars[3].events[1].top_has_octave = true;
  read.chart->key = (GlnKey){.tonic = {6, -1}, .minor = true};
  const char *text = written(read.chart, *state, false);
  assert_string_equal(text, "key: Bbm # home\n[A]  # a\n|  C   / Ab13 /  |G7|  # b\n# c\n"
                            "| % | Bbm7@x7978x^E / A7^Eb5 / |\n");
  assert_same_music(*state, read.chart, text);
}

static void columns_stay_where_blanks_allow_it(void **state) {
  Read read = read_well(*state, "| C      / F      / |\n| Am7b5  / D7     / |\n");
  GlnBar *bars = read.chart->sections[0].bars;
  set_chord(&bars[0].events[0], "Ebmaj7");
  set_chord(&bars[1].events[0], "C");
  assert_string_equal(written(read.chart, *state, false), "| Ebmaj7 / F      / |\n| C      / D7     / |\n");
}

static void a_percent_whose_bars_part_is_written_out(void **state) {
  Read read = read_well(*state, "| C / F / | % | % |\n| / / G / |\n");
  GlnBar *bars = read.chart->sections[0].bars;
  set_chord(&bars[1].events[1], "Fm");
  set_chord(&bars[3].events[0], "Am");
  const char *text = written(read.chart, *state, false);
  assert_string_equal(text, "| C / F / | C Fm | C F |\n| Am G |\n");
  assert_same_music(*state, read.chart, text);
}

static void a_respelled_symbol_is_written_as_given(void **state) {
  Read read = read_well(*state, "| Cmaj7 | Dm7 |\n");
  read.chart->sections[0].bars[0].events[0].symbol = GLN_TEXT("CM7");
  read.chart->sections[0].bars[1].events[0].symbol = GLN_TEXT("G7"); /* not the chord: the chord wins */
  assert_string_equal(written(read.chart, *state, false), "| CM7 | Dm7 |\n");
}

static void a_capo_over_some_strings_is_written(void **state) {
  Read read = read_well(*state, "capo: 2:5-3 # three of them\n\n| C |\n");
  assert_string_equal(written(read.chart, *state, false), "capo: 2:5-3 # three of them\n\n| C |\n");
  read.chart->capo = 4;
  read.chart->capo_strings = GLN_TEXT("6,4");
  assert_string_equal(written(read.chart, *state, false), "capo: 4:6,4 # three of them\n\n| C |\n");
}

static void other_headers_come_and_go(void **state) {
  Read read = read_well(
      *state,
      "capo: 3 # for now\ntitle: Old\nnotes: one\nnotes: two\nmood: calm\n\n[A]\n| C |\n[B]\n| F |\n");
  GlnChart *chart = read.chart;
  chart->capo = 0;
  chart->title = GLN_TEXT("New\nName");
  chart->notes = GLN_TEXT("uno\ndue\ntre");
  chart->headers[4].value = GLN_TEXT("wild");
  chart->has_tempo = true;
  chart->tempo = 92.5;
  chart->has_key = true;
  chart->key = (GlnKey){.tonic = {3, 1}};
  uint16_t form[] = {0, 1, 0};
  chart->form = form;
  chart->form_count = 3;
  const char *text = written(chart, *state, false);
  assert_string_equal(
      text, "title: New Name\nnotes: uno\nnotes: due\nnotes: tre\nmood: wild\nkey: F#\ntempo: 92.5\n"
            "form: A B A\n\n[A]\n| C |\n[B]\n| F |\n");
}

static void bars_and_sections_may_be_added_and_taken_out(void **state) {
  Read read = read_well(
      *state, "form: A B\n# on A\n[A]\n| C | F |\n# on G\n| G | C |\n# on B\n[B]\n| Am | # b\n# end\n");
  GlnChart *chart = read.chart;
  GlnEvent event = chart->sections[0].bars[1].events[0];
  set_chord(&event, "Dm7");
  GlnBar fresh = {.events = &event, .event_count = 1, .meter = {4, 4}, .beats = {4, 1}};
  GlnBar bars[4] = {chart->sections[0].bars[0], chart->sections[0].bars[1], fresh,
                    chart->sections[0].bars[3]};
  GlnBar intro[6] = {fresh, fresh, fresh, fresh, fresh, fresh};
  intro[3].repeat_plays = 2;
  intro[1].repeat_starts = true;
  GlnSection sections[3] = {
      {.name = GLN_TEXT("opening"), .bars = intro, .bar_count = 6}, chart->sections[0], chart->sections[1]};
  sections[1].bars = bars;
  chart->sections = sections;
  chart->section_count = 3;
  uint16_t form[] = {0, 1, 2};
  chart->form = form;
  chart->form_count = 3;
  const char *text = written(chart, *state, false);
  assert_string_equal(
      text, "form: opening A B\n\n[opening]\n| Dm7 |: Dm7 | Dm7 | Dm7 :|\n| Dm7 | Dm7 |\n# on A\n[A]\n"
            "| C | F | Dm7 |\n# on G\n| C |\n# on B\n[B]\n| Am | # b\n# end\n");
  assert_same_music(*state, chart, text);
}

static void a_chart_that_was_made(void **state) {
  Read read = read_well(
      *state, "meter: 6/8\n[A]\n| / / / / / G7 | C | 3/4: F / G | % |\n|: C | F |1 G :|2 Am || C | D | E |\n"
              "| F ||\n| C G Am |\n");
  GlnChart chart = *read.chart;
  chart.typed = NULL;
  chart.source = (GlnText){0};
  chart.headers = NULL;
  chart.header_count = 0;
  const char *text = written(&chart, *state, false);
  assert_string_equal(text,
                      "meter: 6/8\n\n[A]\n| / / / / / G7 | C | 3/4: F / G | % |\n|: C | F |1 G :|2 Am ||\n"
                      "| C | D | E |\n| F ||\n| C G Am |\n");
  assert_same_music(*state, &chart, text);

  chart.sections[0].bars[2].events[0].beats = gln_ratio(1, 1);
  GlnBuffer out = gln_buffer(*state);
  assert_int_equal(gln_chart_write(&chart, &out), GLN_INPUT);
}

static void bar_lines_on_lines_of_their_own(void **state) {
  static const char source[] = "[A]\n|:  # go\n| C  | F |\n| G |\n:|x3  # back\n| Am |\n";
  Read read = read_well(*state, source);
  assert_string_equal(order_of(play_well(&read), *state), "C F G C F G C F G Am");
  assert_string_equal(written(read.chart, *state, false), source);
  assert_same_music(*state, read.chart, written(read.chart, *state, true));

  read.chart->sections[0].bars[0].repeat_starts = false;
  read.chart->sections[0].bars[2].repeat_plays = 0;
  const char *text = written(read.chart, *state, false);
  assert_string_equal(text, "[A]\n# go\n| C | F |\n| G |\n# back\n| Am |\n");
  assert_same_music(*state, read.chart, text);

  read = read_well(*state, "| C  |:\n| F  :|\n");
  read.chart->sections[0].bars[1].repeat_starts = false;
  read.chart->sections[0].bars[1].repeat_plays = 0;
  assert_string_equal(written(read.chart, *state, false), "| C |\n| F |\n");
}

/* An ending of several bars that no :| ends stays on its line, for the line ends it. */
static void a_long_last_ending_stays_on_one_line(void **state) {
  Read read = read_well(*state, "|: C |1 F :|2 G | Am | Em | Dm | C | G7 || C | F |\n");
  GlnChart chart = *read.chart;
  chart.typed = NULL;
  const char *text = written(&chart, *state, false);
  assert_string_equal(text, "meter: 4/4\n|: C |1 F :|2 G | Am | Em | Dm | C | G7 ||\n| C | F |\n");
  assert_same_music(*state, &chart, text);
}

static void tempo_follows_the_meter(void **state) {
  Read read = read_well(*state, "meter: 4/4\ntempo: 90\n| C |\n");
  GlnChart *chart = read.chart;
  chart->meter = (GlnMeter){6, 8};
  chart->sections[0].bars[0].meter = chart->meter;
  chart->sections[0].bars[0].beats = chart->sections[0].bars[0].events[0].beats = gln_ratio(6, 1);
  const char *text = written(chart, *state, false);
  assert_string_equal(text, "meter: 6/8\ntempo: 60\n| C |\n");
  assert_same_music(*state, chart, text);
}

/* Every chart of examples/ reads without a word, plays, and comes back byte for byte. */
static void the_examples(void **state) {
  DIR *folder = opendir("examples");
  assert_non_null(folder);
  size_t count = 0;
  for (struct dirent *entry = readdir(folder); entry; entry = readdir(folder)) {
    char path[512];
    if (!strstr(entry->d_name, ".chart"))
      continue;
    (void)snprintf(path, sizeof path, "examples/%s", entry->d_name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    char *source = GLN_NEW(*state, char, 65536);
    assert_non_null(source);
    size_t length = fread(source, 1, 65535, file);
    assert_int_equal(fclose(file), 0);
    Read read = read_text(*state, (GlnText){source, length});
    assert_string_equal(told(&read), "");
    assert_int_equal(read.status, GLN_OK);
    assert_true(play_well(&read)->slot_count >= 12);
    assert_string_equal(written(read.chart, *state, false), source);
    assert_same_music(*state, read.chart, written(read.chart, *state, true));
    count++;
  }
  assert_int_equal(closedir(folder), 0);
  assert_true(count >= 3);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      TEST(an_unchanged_chart_keeps_every_byte),
      TEST(a_tidy_chart_keeps_music_and_comments),
      TEST(a_changed_chord_changes_its_own_letters_alone),
      TEST(columns_stay_where_blanks_allow_it),
      TEST(a_percent_whose_bars_part_is_written_out),
      TEST(a_respelled_symbol_is_written_as_given),
      TEST(a_capo_over_some_strings_is_written),
      TEST(other_headers_come_and_go),
      TEST(bars_and_sections_may_be_added_and_taken_out),
      TEST(a_chart_that_was_made),
      TEST(a_long_last_ending_stays_on_one_line),
      TEST(bar_lines_on_lines_of_their_own),
      TEST(tempo_follows_the_meter),
      TEST(the_examples),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
