/* Reading charts: headers, meters, beats, marks. Charts and figures are our own inventions, the beats counted by hand. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "song_test.h"

static void assert_text(GlnText text, const char *expected) {
  assert_int_equal(text.length, strlen(expected));
  assert_memory_equal(text.at, expected, text.length);
}

static void assert_ratio(GlnRatio ratio, int64_t num, int64_t den) {
  assert_int_equal(ratio.num, num);
  assert_int_equal(ratio.den, den);
}

static void headers_are_read(void **state) {
  Read read = read_well(*state, "title: Study #2 in Blue\n"
                                "By:  A. Nobody \n"
                                "key: Bbm # dark\n"
                                "meter: 3/4\n"
                                "tempo: 92.5\n"
                                "feel: waltz # slow\n"
                                "tuning: D A D F# A D\n"
                                "capo: 3\n"
                                "strings: 7\n"
                                "notes: first line\n"
                                "notes: second # line\n"
                                "\n| C |\n");
  const GlnChart *chart = read.chart;
  assert_text(chart->title, "Study #2 in Blue");
  assert_text(chart->by, "A. Nobody");
  assert_true(chart->has_key && chart->key.minor);
  assert_int_equal(chart->key.tonic.letter, 6);
  assert_int_equal(chart->key.tonic.accidental, -1);
  assert_int_equal(chart->meter.beats, 3);
  assert_int_equal(chart->meter.unit, 4);
  assert_true(chart->has_tempo);
  assert_true(chart->tempo > 92.49 && chart->tempo < 92.51);
  assert_text(chart->feel, "waltz");
  assert_text(chart->tuning, "D A D F# A D");
  assert_int_equal(chart->capo, 3);
  assert_int_equal(chart->strings, 7);
  assert_text(chart->notes, "first line\nsecond # line");
  assert_int_equal(read.diags.count, 0);
  assert_text(gln_chart_header(chart, GLN_TEXT("by")), "A. Nobody");
  assert_int_equal(gln_chart_header(chart, GLN_TEXT("colour")).length, 0);
}

static void a_capo_over_some_strings_is_read(void **state) {
  Read read = read_well(*state, "capo: 2 : 5-3 # three of them\n\n| C |\n");
  assert_int_equal(read.chart->capo, 2);
  assert_text(read.chart->capo_strings, "5-3");
  assert_int_equal(read.diags.count, 0);
}

static void an_absent_header_has_its_default(void **state) {
  Read read = read_well(*state, "| C |");
  assert_int_equal(read.chart->meter.beats, 4);
  assert_int_equal(read.chart->meter.unit, 4);
  assert_true(read.chart->tempo > 119.9 && read.chart->tempo < 120.1);
  assert_false(read.chart->has_tempo);
  assert_false(read.chart->has_key);
  assert_int_equal(read.chart->title.length, 0);
}

static void an_unknown_header_is_kept_and_warned_of(void **state) {
  Read read = read_well(*state, "tmepo: 90\ncomposer: Nobody\ncolour: blue # as it is\n| C |\n");
  assert_int_equal(read.chart->header_count, 3);
  assert_text(gln_chart_header(read.chart, GLN_TEXT("colour")), "blue # as it is");
  assert_string_equal(told(&read), "1:1 warning unknown header \"tmepo\"\n"
                                   "2:1 warning unknown header \"composer\"\n"
                                   "3:1 warning unknown header \"colour\"\n");
  assert_text(read.diags.items[0].advice, "did you mean tempo? It is kept as it is");
  assert_text(read.diags.items[1].advice, "did you mean by? It is kept as it is");
  assert_text(read.diags.items[2].advice, "it is kept, and has no effect");
}

static void tempo_counts_the_beat_of_the_meter(void **state) {
  static const struct {
    const char *source;
    double quarters;
  } rows[] = {{"meter: 4/4\ntempo: 120\n| C |", 120}, {"tempo: 60\nmeter: 6/8\n| C |", 90},
              {"meter: 12/8\ntempo: 60\n| C |", 90},  {"meter: 2/2\ntempo: 60\n| C |", 120},
              {"meter: 7/8\ntempo: 200\n| C |", 100}, {"meter: 3/8\ntempo: 100\n| C |", 50}};
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    Read read = read_well(*state, rows[i].source);
    assert_true(read.chart->tempo > rows[i].quarters - 1e-9 && read.chart->tempo < rows[i].quarters + 1e-9);
  }
}

static void beats_of_each_meter(void **state) {
  static const struct {
    const char *source, *played;
  } rows[] = {
      {"meter: 4/4\n| Fmaj9 / F13 / | C F | C / / F | C |",
       "1.1 Fmaj9*2 1.3 F13*2 2.1 C*2 2.3 F*2 3.1 C*3 3.4 F*1 4.1 C*4"},
      {"meter: 4/4\n| C F G | C F G A |",
       "1.1 C*4/3 1.7/3 F*4/3 1.11/3 G*4/3 2.1 C*1 2.2 F*1 2.3 G*1 2.4 A*1"},
      {"meter: 3/4\n| C / F | C F | C |", "1.1 C*2 1.3 F*1 2.1 C*3/2 2.5/2 F*3/2 3.1 C*3"},
      {"meter: 2/4\n| C F | C / |", "1.1 C*1 1.2 F*1 2.1 C*2"},
      {"meter: 6/8\n| C F | C / | C / / / / F |", "1.1 C*3 1.4 F*3 2.1 C*6 3.1 C*5 3.6 F*1"},
      {"meter: 12/8\n| C / F / | C F | C / / F |", "1.1 C*6 1.7 F*6 2.1 C*6 2.7 F*6 3.1 C*9 3.10 F*3"},
      {"meter: 9/8\n| C / F | C |", "1.1 C*6 1.7 F*3 2.1 C*9"},
      {"meter: 5/4\n| C / / F / | C F |", "1.1 C*3 1.4 F*2 2.1 C*5/2 2.7/2 F*5/2"},
      {"meter: 7/8\n| C / F / G / / |", "1.1 C*2 1.3 F*2 1.5 G*3"},
      {"meter: 2/2\n| C F | C / / F |", "1.1 C*1 1.2 F*1 2.1 C*3/2 2.5/2 F*1/2"},
      {"meter: 4/4\n| C / / / / / / F |", "1.1 C*7/2 1.9/2 F*1/2"},
      {"meter: 4/4\n| C /// | C // F |", "1.1 C*4 2.1 C*3 2.4 F*1"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    Read read = read_well(*state, rows[i].source);
    assert_string_equal(played(play_well(&read), *state), rows[i].played);
  }
}

static void a_meter_mark_holds_to_the_end_of_its_section(void **state) {
  Read read = read_well(*state, "[A]\n| C | 3/4: F / G | C | 4/4: G |\n| 2/4: G |\n[B]\n| C |\n");
  GlnSong *song = play_well(&read);
  assert_string_equal(played(song, *state), "1.1 C*4 2.1 F*2 2.3 G*1 3.1 C*3 4.1 G*4 5.1 G*2 6.1 C*4");
  assert_ratio(song->quarters, 4 + 3 + 3 + 4 + 2 + 4, 1);
  assert_int_equal(song->slots[1].meter.beats, 3);
  assert_ratio(song->slots[3].start, 7, 1);
}

static void quarters_follow_the_unit(void **state) {
  Read read = read_well(*state, "meter: 6/8\n| C F | 3/4: G | 2/2: C |\n");
  GlnSong *song = play_well(&read);
  assert_ratio(song->slots[1].start, 3, 2);
  assert_ratio(song->slots[1].quarters, 3, 2);
  assert_ratio(song->slots[2].start, 3, 1);
  assert_ratio(song->slots[3].start, 6, 1);
  assert_ratio(song->slots[3].quarters, 4, 1);
  assert_ratio(song->quarters, 10, 1);
}

static void percent_repeats_the_last_bar(void **state) {
  Read read = read_well(*state, "| C / F / | % | % |\n| % |\n");
  GlnSong *song = play_well(&read);
  assert_string_equal(order_of(song, *state), "C F C F C F C F");
  assert_int_equal(song->written_count, 2);
  for (size_t i = 0; i < song->slot_count; i++)
    assert_int_equal(song->slots[i].written, i % 2);
  assert_true(read.chart->sections[0].bars[1].same_as_last);
}

static void slashes_that_start_a_bar_hold_the_chord_before(void **state) {
  Read read = read_well(*state, "| Gm7 / / / | / / C7 / |\n| / / / / |\n");
  GlnSong *song = play_well(&read);
  assert_string_equal(played(song, *state), "1.1 Gm7*4 2.1 Gm7*2 2.3 C7*2 3.1 C7*4");
  assert_int_equal(song->written_count, 2);
  assert_int_equal(song->slots[1].written, 0);
  assert_int_equal(song->slots[3].written, 1);
}

static void a_pick_up_counts_from_its_first_chord(void **state) {
  Read read = read_well(*state, "[A]\n| / / / G7 | C | F |\n");
  GlnSong *song = play_well(&read);
  assert_true(gln_bar_is_pickup(&read.chart->sections[0].bars[0]));
  assert_string_equal(played(song, *state), "0.4 G7*1 1.1 C*4 2.1 F*4");
  assert_ratio(song->slots[0].start, 0, 1);
  assert_ratio(song->slots[1].start, 1, 1);
  assert_int_equal(song->bar_count, 2);
  assert_ratio(song->quarters, 9, 1);

  read = read_well(*state, "meter: 6/8\n[A]\n| / / / / D7 G7 | C |\n");
  assert_string_equal(played(play_well(&read), *state), "0.5 D7*1 0.6 G7*1 1.1 C*6");
}

static void a_pick_up_sounds_at_the_start_of_the_song_alone(void **state) {
  Read read = read_well(*state, "form: A A\n[A]\n| / / G7 / | C |\n");
  assert_string_equal(played(play_well(&read), *state), "0.3 G7*2 1.1 C*4 2.1 C*4");

  read = read_well(*state, "form: B A\n[A]\n| / / G7 / | C |\n[B]\n| F |\n");
  assert_string_equal(told(&read),
                      "3:3 warning this pick-up is never played: its section does not begin the song\n");
  assert_string_equal(order_of(play_well(&read), *state), "F C");
}

static void pins_and_top_notes(void **state) {
  Read read = read_well(*state, "| Fmaj9@x8798x | Am7^E4 / D7b9 / | C^Bb@x-3-10-9-10-x | N.C. |\n");
  const GlnBar *bars = read.chart->sections[0].bars;
  assert_text(bars[0].events[0].symbol, "Fmaj9");
  assert_text(bars[0].events[0].pin, "x8798x");
  assert_int_equal(bars[0].events[0].pin_offset, 8);
  assert_false(bars[0].events[0].has_top);
  assert_text(bars[1].events[0].symbol, "Am7");
  assert_true(bars[1].events[0].has_top && bars[1].events[0].top_has_octave);
  assert_int_equal(gln_pitch_midi(bars[1].events[0].top), 64);
  assert_false(bars[1].events[1].has_top);
  assert_text(bars[2].events[0].pin, "x-3-10-9-10-x");
  assert_true(bars[2].events[0].has_top);
  assert_false(bars[2].events[0].top_has_octave);
  assert_int_equal(gln_note_pitch_class(bars[2].events[0].top.note), 10);
  assert_true(bars[3].events[0].chord.silent);
  assert_false(bars[0].events[0].chord.silent);
}

static void a_sharp_is_no_comment(void **state) {
  Read read = read_well(*state, "# a remark | C |\n| F#m7 C#7 | # | G |\n| D/F# |# all D\n");
  assert_string_equal(order_of(play_well(&read), *state), "F#m7 C#7 D/F#");
}

static void a_symbol_may_hold_blanks_between_parentheses(void **state) {
  Read read = read_well(*state, "| C7(b9, 13) F | # (not this)\n");
  assert_string_equal(order_of(play_well(&read), *state), "C7(b9, 13) F");
}

static void line_ends_tabs_marks_and_blank_lines(void **state) {
  Read read = read_well(
      *state, "\xEF\xBB\xBFtitle: Over\r\n\r\n\t[A]\t\r\n|\tC\t|\xC2\xA0G7\xC2\xA0|\r\n \t \r\n| F |");
  assert_text(read.chart->title, "Over");
  assert_string_equal(order_of(play_well(&read), *state), "C G7 F");
  assert_int_equal(read.diags.count, 0);
}

static void bars_may_follow_a_section_on_its_line(void **state) {
  Read read = read_well(*state, "form: B, first part\n[first part] | C | F |\n| G |\n[B] | Am\n");
  assert_string_equal(order_of(play_well(&read), *state), "Am C F G");
}

static void form_with_names_counts_and_commas(void **state) {
  Read read = read_well(*state, "form: in A x2 B A out\n[in]\n|N.C.|\n[A]\n|C|\n[B]\n|F|\n[out]\n|G|\n");
  GlnSong *song = play_well(&read);
  assert_string_equal(order_of(song, *state), "N.C. C C F C G");
  assert_int_equal(song->slots[1].section_pass, 0);
  assert_int_equal(song->slots[2].section_pass, 1);
  assert_int_equal(song->slots[4].section_pass, 2);
  assert_int_equal(song->slots[4].section, 1);
  assert_int_equal(song->written_count, 4);

  read = read_well(*state, "form: the verse x2, B\n[the verse]\n|C|\n[B]\n|F|\n");
  assert_string_equal(order_of(play_well(&read), *state), "C C F");

  read = read_well(*state, "[B]\n|F|\n[A]\n|C|\n");
  assert_string_equal(order_of(play_well(&read), *state), "F C");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      TEST(headers_are_read),
      TEST(a_capo_over_some_strings_is_read),
      TEST(an_absent_header_has_its_default),
      TEST(an_unknown_header_is_kept_and_warned_of),
      TEST(tempo_counts_the_beat_of_the_meter),
      TEST(beats_of_each_meter),
      TEST(a_meter_mark_holds_to_the_end_of_its_section),
      TEST(quarters_follow_the_unit),
      TEST(percent_repeats_the_last_bar),
      TEST(slashes_that_start_a_bar_hold_the_chord_before),
      TEST(a_pick_up_counts_from_its_first_chord),
      TEST(a_pick_up_sounds_at_the_start_of_the_song_alone),
      TEST(pins_and_top_notes),
      TEST(a_sharp_is_no_comment),
      TEST(a_symbol_may_hold_blanks_between_parentheses),
      TEST(line_ends_tabs_marks_and_blank_lines),
      TEST(bars_may_follow_a_section_on_its_line),
      TEST(form_with_names_counts_and_commas),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
