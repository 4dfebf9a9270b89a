/* The tune over the bars, and what sections wish: read, told where it is wrong, written as typed and anew. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "song_test.h"

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

static const char *tune_of(const GlnEvent *event) {
  static char text[GLN_NOTE_TEXT_MAX];
  if (!event->has_tune)
    return "none";
  (void)gln_pitch_print(event->tune, GLN_SIGNS_ASCII, text);
  return text;
}

static const GlnEvent *event_at(const Read *read, size_t bar, size_t event) {
  return &read->chart->sections[0].bars[bar].events[event];
}

/* Notes share their bar, or a note and a slash are a beat each; the nearest is meant where no octave stands. */
static void test_notes_where_chords_begin(void **state) {
  (void)state;
  Read read = read_well(arena, "[A]\n^ | E5 / D / | C B A G | / / - F# | - |   |\n"
                               "| Am7 / D7 / | G / / C | C / Am D | E | F |\n");
  static const char *const expected[][4] = {
      {"E5", "D5"}, {"C5", "G4"}, {"G4", "none", "F#4"}, {"none"}, {"none"}};
  for (size_t b = 0; b < 5; b++)
    for (size_t e = 0; e < read.chart->sections[0].bars[b].event_count; e++)
      assert_string_equal(tune_of(event_at(&read, b, e)), expected[b][e]);
  /* The note lies where it was typed: what holds it, where it is held. */
  const GlnEvent *held = event_at(&read, 2, 0);
  assert_int_equal(read.chart->source.at[held->tune_offset], '/');
  assert_int_equal(read.chart->source.at[event_at(&read, 0, 1)->tune_offset], 'D');
}

static void test_pickup_and_repeats(void **state) {
  (void)state;
  Read read = read_well(arena, "[A]\n^ | / / / G4 | C5 | E5 |\n| / / / G7 | C | % |\n");
  assert_string_equal(tune_of(event_at(&read, 0, 0)), "G4");
  assert_string_equal(tune_of(event_at(&read, 1, 0)), "C5");
  assert_string_equal(tune_of(event_at(&read, 2, 0)), "E5"); /* %: the same chord under another note */
}

static void test_faults(void **state) {
  (void)state;
  Read read = read_string(
      arena, "[A]\n^ | E5 | C |\n| C |\n^ E5\n| F |\n^ | Q7 | E5 / / |\n| G | C |\n^ | C5 |\n\n| C |\n");
  assert_string_equal(told(&read), "2:1 error the tune has 2 bars, the line below it has 1\n"
                                   "4:1 error a line of the tune starts with ^ and a bar line\n"
                                   "6:5 error \"Q7\" is no note of a tune\n"
                                   "6:9 error 3 beats of the tune in a bar of 4/4\n"
                                   "8:1 error a tune without bars\n");
  read = read_string(arena, "[A]\n^ | E |\n| C |\n^ | E0 |\n| F |\n");
  assert_string_equal(told(&read), "2:5 error the first note of a tune needs its octave\n"
                                   "4:5 error no tune on a guitar has this note\n");
}

static GlnText text_of(const GlnChart *chart, bool tidy) {
  GlnBuffer out = gln_buffer(arena);
  assert_int_equal(tidy ? gln_chart_write_tidy(chart, &out) : gln_chart_write(chart, &out), GLN_OK);
  return gln_buffer_text(&out);
}

static const char song[] = "texture: four-note\n\n[A]  # first\n frets:  3-9 # high\nvary: yes\n# above\n"
                           "  ^  |  E5 / D /|C|   # tune\n  | Am7 / D7 / | G |  # bars\n"
                           "^ | / / B4 A4 | - |\n| Em | Am |\n[B]\n| C |\n";

static void test_written_as_typed(void **state) {
  (void)state;
  Read read = read_well(arena, song);
  assert_true(gln_text_equal(text_of(read.chart, false), gln_text(song)));
  assert_int_equal(read.chart->sections[0].wish_count, 2);
  assert_true(gln_text_equal(read.chart->sections[0].wishes[0].value, GLN_TEXT("3-9")));
  Read tidy = read_text(arena, text_of(read.chart, true));
  assert_reads(&tidy);
  assert_true(gln_chart_equal(read.chart, tidy.chart));
  assert_true(gln_text_equal(text_of(tidy.chart, true), tidy.chart->source));
}

/* A changed note is written, the rest stays. */
static void test_written_anew(void **state) {
  (void)state;
  Read read = read_well(arena, song);
  GlnBar *bar = &read.chart->sections[0].bars[0];
  bar->tune[1].pitch = (GlnPitch){{2, 0}, 4}; /* E4 */
  GlnText text = text_of(read.chart, false);
  static const char expected[] =
      "^ | E5 E4 | C5 |   # tune\n  | Am7 / D7 / | G |  # bars\n^ | / / B4 A4 | - |\n";
  assert_true(gln_text_find(text, gln_text(expected), 0) < text.length);
  Read again = read_text(arena, text);
  assert_reads(&again);
  assert_true(gln_chart_equal(read.chart, again.chart));
  read.chart->sections[0].wishes[0].value = GLN_TEXT("5-12");
  text = text_of(read.chart, false);
  assert_true(gln_text_find(text, GLN_TEXT("\nfrets: 5-12 # high\nvary: yes\n# above\n"), 0) < text.length);
}

/* A chart that was made, not read. */
static void test_made(void **state) {
  (void)state;
  Read read = read_well(arena, song);
  GlnChart made = *read.chart;
  made.typed = NULL;
  made.source = GLN_TEXT("");
  for (size_t s = 0; s < made.section_count; s++)
    for (size_t b = 0; b < made.sections[s].bar_count; b++)
      made.sections[s].bars[b].length = 0;
  Read again = read_text(arena, text_of(&made, false));
  assert_reads(&again);
  assert_true(gln_chart_equal(&made, again.chart));
}

static void test_wishes_of_sections(void **state) {
  (void)state;
  Read read =
      read_string(arena, "[A]\nfrets: 1-4\nfrets: 2-5\nvary:\n| C |\ntexture: shell\n[B]\nkey: C\n| F |\n");
  assert_string_equal(told(&read), "3:1 error section A states frets twice\n"
                                   "4:1 error vary has no value\n"
                                   "6:1 error a header after the bars have begun\n"
                                   "8:1 error a header after the bars have begun\n");
}

#define TUNE_TEST(function) cmocka_unit_test_setup_teardown(function, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {
      TUNE_TEST(test_notes_where_chords_begin), TUNE_TEST(test_pickup_and_repeats), TUNE_TEST(test_faults),
      TUNE_TEST(test_written_as_typed),         TUNE_TEST(test_written_anew),       TUNE_TEST(test_made),
      TUNE_TEST(test_wishes_of_sections),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
