/* Passages and rounds, the click and percussion, joined tempi, the human feel, and fingers that lift early. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "performance_help.h"

#include <math.h>
#include <string.h>

static GlnPerformance *play_with(Song *song, const GlnPerformanceOptions *options) {
  GlnPerformance *performance = NULL;
  assert_int_equal(
      gln_performance_make(options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_OK);
  return performance;
}

static bool same(GlnRatio a, int64_t num, int64_t den) {
  return gln_ratio_compare(a, gln_ratio(num, den)) == 0;
}

static size_t count_of(const GlnPerformance *performance, GlnPlayer player, int midi) {
  size_t count = 0;
  for (size_t i = 0; i < performance->count; i++)
    count += performance->notes[i].player == player && (midi < 0 || performance->notes[i].midi == midi);
  return count;
}

static void hold_two(Song *song) {
  song_hold(song, "Am", "x02210", 4, 1);
  song_hold(song, "Dm7", "xx0211", 4, 1);
  song_hold(song, "C", "x32010", 4, 1);
  song_hold(song, "G", "320003", 4, 1);
}

/* ---- passages ------------------------------------------------------------------------------------------------ */

/* A passage is what the whole song has there, for a feel whose strokes do not reach over the bar line. */
static void a_passage_is_as_in_the_song(void **state) {
  Song *song = *state;
  hold_two(song);
  GlnPerformanceOptions options = song_options(song, "bossa");
  GlnPerformance *whole = play_with(song, &options);
  options.from = gln_ratio(4, 1);
  options.to = gln_ratio(12, 1);
  GlnPerformance *passage = play_with(song, &options);
  assert_true(same(passage->quarters, 8, 1));
  size_t found = 0;
  for (size_t i = 0; i < whole->count; i++) {
    GlnRatio start = gln_ratio_subtract(whole->notes[i].start, gln_ratio(4, 1));
    if (start.num < 0 || gln_ratio_compare(start, gln_ratio(8, 1)) >= 0)
      continue;
    assert_true(found < passage->count);
    assert_int_equal(gln_ratio_compare(passage->notes[found].start, start), 0);
    assert_int_equal(passage->notes[found].midi, whole->notes[i].midi);
    found++;
  }
  assert_int_equal(found, passage->count);
  assert_true(found > 8);
}

static void rounds_are_alike(void **state) {
  Song *song = *state;
  hold_two(song);
  GlnPerformanceOptions options = song_options(song, "bossa ahead");
  options.to = gln_ratio(8, 1);
  options.rounds = 4;
  GlnPerformance *rounds = play_with(song, &options);
  assert_true(same(rounds->quarters, 32, 1));
  /* The second and the third round are the same, shift by shift; their first chord comes before their bar line. */
  size_t second = 0, third = 0;
  for (size_t i = 0; i < rounds->count; i++) {
    second += gln_ratio_compare(rounds->notes[i].start, gln_ratio(8, 1)) < 0;
    third += gln_ratio_compare(rounds->notes[i].start, gln_ratio(16, 1)) < 0;
  }
  for (size_t i = 0; i < third - second; i++) {
    const GlnSounding *a = &rounds->notes[second + i], *b = &rounds->notes[third + i];
    assert_int_equal(gln_ratio_compare(gln_ratio_add(a->start, gln_ratio(8, 1)), b->start), 0);
    assert_int_equal(a->midi, b->midi);
    assert_int_equal(a->string, b->string);
  }
}

static void a_passage_may_begin_inside_a_bar(void **state) {
  Song *song = *state;
  song_hold(song, "Am", "x02210", 2, 1);
  song_hold(song, "Dm7", "xx0211", 2, 1);
  song_hold(song, "C", "x32010", 4, 1);
  GlnPerformanceOptions options = song_options(song, "straight");
  options.from = gln_ratio(2, 1);
  options.to = gln_ratio(6, 1);
  options.count_in = 1;
  GlnPerformance *passage = play_with(song, &options);
  assert_true(same(passage->lead_in, 6, 1)); /* a bar, and the half bar before the third beat */
  assert_int_equal(count_of(passage, GLN_PLAYER_CLICK, -1), 6);
  size_t first = 0;
  while (passage->notes[first].player == GLN_PLAYER_CLICK)
    first++;
  assert_true(same(passage->notes[first].start, 6, 1));
}

static void passages_that_are_none(void **state) {
  Song *song = *state;
  hold_two(song);
  GlnPerformanceOptions options = song_options(song, "");
  GlnPerformance *performance = NULL;
  options.from = options.to = gln_ratio(16, 1);
  assert_int_equal(
      gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_LIMIT);
  options = song_options(song, "");
  options.rounds = GLN_ROUNDS_MAX + 1;
  assert_int_equal(
      gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_LIMIT);
  assert_int_equal(song->diags.error_count, 2);
}

/* ---- beside the guitar ----------------------------------------------------------------------------------------- */

static void the_click_is_on_every_beat(void **state) {
  Song *song = *state;
  song_hold(song, "Am", "x02210", 4, 1);
  song_bar(song, 6, 8);
  song_hold(song, "Am", "x02210", 3, 1);
  GlnPerformanceOptions options = song_options(song, "");
  options.click = true;
  GlnPerformance *performance = play_with(song, &options);
  assert_int_equal(count_of(performance, GLN_PLAYER_CLICK, 76), 2); /* high wood block: General MIDI */
  assert_int_equal(count_of(performance, GLN_PLAYER_CLICK, 77), 4); /* 6/8 is felt in two */
}

/* Keys of the General MIDI percussion map: 70 maracas, 37 side stick, 36 bass drum 1. */
static void percussion_where_the_feel_has_none(void **state) {
  Song *song = *state;
  song_bar(song, 3, 4);
  song_hold(song, "Am", "x02210", 3, 1);
  GlnPerformanceOptions options = song_options(song, "jazz waltz");
  options.percussion = 1U << GLN_PERCUSSION_SHAKER | 1U << GLN_PERCUSSION_RIM | 1U << GLN_PERCUSSION_KICK;
  GlnPerformance *performance = play_with(song, &options);
  assert_int_equal(count_of(performance, GLN_PLAYER_PERCUSSION, 70), 6);
  assert_int_equal(count_of(performance, GLN_PLAYER_PERCUSSION, 37), 1);
  assert_int_equal(count_of(performance, GLN_PLAYER_PERCUSSION, 36), 2);
  size_t swung = 0;
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].midi == 70 && performance->notes[i].start.den == 3)
      swung++; /* the shaker's second eighths fall on the triplet's last note */
  assert_int_equal(swung, 3);
}

static const char drum_feel[] = "feel: drum\nmeter: 4/4\nsteps: 8\nthumb: | b - - - b - - - |\n"
                                "shaker: | h (h) h (h) H (h) h (h) |\nkick: | h - - h - - h - |\n";

static void percussion_as_the_feel_has_it(void **state) {
  Song *song = *state;
  GlnFeel *feel = NULL;
  assert_int_equal(gln_feel_read(gln_text(drum_feel), song->arena, &song->diags, &feel), GLN_OK);
  assert_int_equal(gln_feel_book_add(song->book, feel), GLN_OK);
  song_hold(song, "Am", "x02210", 4, 1);
  GlnPerformanceOptions options = song_options(song, "drum");
  assert_int_equal(count_of(play_with(song, &options), GLN_PLAYER_PERCUSSION, -1),
                   0); /* only when asked for */
  options.percussion = 1U << GLN_PERCUSSION_SHAKER | 1U << GLN_PERCUSSION_KICK;
  GlnPerformance *performance = play_with(song, &options);
  assert_int_equal(count_of(performance, GLN_PLAYER_PERCUSSION, 70), 8);
  assert_int_equal(count_of(performance, GLN_PLAYER_PERCUSSION, 36), 3);
  assert_int_equal(count_of(performance, GLN_PLAYER_PERCUSSION, 37), 0);
  int8_t soft = 127, loud = 0;
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].midi == 70) {
      soft = performance->notes[i].force < soft ? performance->notes[i].force : soft;
      loud = performance->notes[i].force > loud ? performance->notes[i].force : loud;
    }
  assert_true(soft < loud);
}

/* ---- swing ------------------------------------------------------------------------------------------------------- */

static GlnPerformance *play_feel(Song *song, const char *text) {
  GlnFeel *feel = NULL;
  assert_int_equal(gln_feel_read(gln_text(text), song->arena, &song->diags, &feel), GLN_OK);
  assert_int_equal(gln_feel_book_add(song->book, feel), GLN_OK);
  GlnPerformanceOptions options = song_options(song, "tried");
  return play_with(song, &options);
}

static void assert_starts(const GlnPerformance *performance, const GlnRatio *starts, size_t count) {
  assert_int_equal(performance->count, count);
  for (size_t i = 0; i < count; i++)
    if (gln_ratio_compare(performance->notes[i].start, starts[i]) != 0)
      fail_msg("stroke %zu at %d/%d", i, (int)performance->notes[i].start.num,
               (int)performance->notes[i].start.den);
}

#define HEAD "feel: tried\nmeter: 1/4\n"

/* Swing 2 is the triplet feel: the second eighth falls on the triplet's last note. Sixteenths divide both halves. */
static void sixteenths_in_swung_eighths(void **state) {
  Song *song = *state;
  song_bar(song, 1, 4);
  song_hold(song, "Am", "x02210", 1, 1);
  const GlnRatio starts[] = {{0, 1}, {1, 3}, {2, 3}, {5, 6}};
  assert_starts(play_feel(song, HEAD "steps: 4\nswing: 2\nthumb: | b b b b |\n"), starts, 4);
}

static void swung_sixteenths(void **state) {
  Song *song = *state;
  song_bar(song, 1, 4);
  song_hold(song, "Am", "x02210", 1, 1);
  const GlnRatio starts[] = {{0, 1}, {1, 3}, {1, 2}, {5, 6}};
  assert_starts(play_feel(song, HEAD "steps: 4\nswing: 2 sixteenths\nthumb: | b b b b |\n"), starts, 4);
}

static void triplets_stay_triplets(void **state) {
  Song *song = *state;
  song_bar(song, 1, 4);
  song_hold(song, "Am", "x02210", 1, 1);
  const GlnRatio starts[] = {{0, 1}, {1, 3}, {2, 3}};
  assert_starts(play_feel(song, HEAD "steps: 6\nswing: 2\nthumb: | b - b - b - |\n"), starts, 3);
}

/* ---- lifting ------------------------------------------------------------------------------------------------------ */

static void fingers_lift_before_a_change(void **state) {
  Song *song = *state;
  song_hold(song, "Am", "x02210", 4, 1);
  song_hold(song, "F", "133211", 4, 1);
  song->held[1].lift = gln_ratio(1, 8);
  GlnPerformance *performance = play_feel(song, "feel: tried\nmeter: 4/4\nsteps: 1\nfingers: | d |\n");
  size_t lifted = 0, open = 0;
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    GlnRatio end = gln_ratio_add(note->start, note->quarters);
    if (gln_ratio_compare(note->start, gln_ratio(4, 1)) >= 0)
      continue;
    /* Strings 5 and 1 are open in Am and stopped in F: they ring until the change. Strings 3 and 2 keep their frets. */
    bool is_open = note->string == 1 || note->string == 5;
    bool is_lifted = same(end, 31, 8), at_change = same(end, 4, 1);
    assert_true(is_open ? at_change : is_lifted || note->string == 3 || note->string == 4);
    lifted += is_lifted;
    open += is_open;
  }
  assert_true(lifted == 1 && open == 2);
}

static void half_of_a_note_is_left(void **state) {
  Song *song = *state;
  song_hold(song, "Am", "x02210", 4, 1);
  song_hold(song, "F", "133211", 4, 1);
  song->held[1].lift = gln_ratio(4, 1);
  GlnPerformance *performance = play_feel(song, "feel: tried\nmeter: 4/4\nsteps: 1\nfingers: | d |\n");
  size_t halved = 0;
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].string == 2 &&
        gln_ratio_compare(performance->notes[i].start, gln_ratio(4, 1)) < 0) {
      GlnRatio full = gln_ratio_subtract(gln_ratio(4, 1), performance->notes[i].start);
      assert_int_equal(
          gln_ratio_compare(performance->notes[i].quarters, gln_ratio_divide(full, gln_ratio(2, 1))), 0);
      halved++;
    }
  assert_int_equal(halved, 1);
}

/* ---- tempi, pitch, players ------------------------------------------------------------------------------------------ */

static void tempi_are_joined(void **state) {
  Song *song = *state;
  hold_two(song);
  GlnPerformanceOptions options = song_options(song, "bossa");
  options.count_in = 1;
  GlnPerformance *parts[3], *joined = NULL;
  static const double tempi[] = {60, 90, 120};
  for (size_t i = 0; i < 3; i++) {
    options.tempo = tempi[i];
    parts[i] = play_with(song, &options);
  }
  assert_int_equal(gln_performance_join(parts, 3, song->arena, &joined), GLN_OK);
  assert_int_equal(joined->count, 3 * parts[0]->count);
  assert_int_equal(joined->tempo_count, 2);
  assert_int_equal(joined->meter_count, 1);
  assert_true(same(joined->quarters, 60, 1));
  assert_true(fabs(gln_performance_seconds(joined, joined->quarters) - 20 * (1 + 60.0 / 90 + 0.5)) < 1e-9);
  assert_true(fabs(gln_performance_seconds(joined, gln_ratio(30, 1)) - (20 + 10 * 60.0 / 90)) < 1e-9);
}

static void transposing_leaves_the_click(void **state) {
  Song *song = *state;
  hold_two(song);
  GlnPerformanceOptions options = song_options(song, "bossa");
  options.count_in = 1;
  GlnPerformance *home = play_with(song, &options), *moved = play_with(song, &options);
  assert_true(gln_performance_transpose(moved, -3));
  for (size_t i = 0; i < home->count; i++)
    assert_int_equal(moved->notes[i].midi, home->notes[i].midi - (home->notes[i].string < 0 ? 0 : 3));
  assert_false(gln_performance_transpose(moved, 100));
  assert_int_equal(moved->notes[home->count - 1].midi, home->notes[home->count - 1].midi - 3);
}

static void players_alone(void **state) {
  Song *song = *state;
  hold_two(song);
  GlnPerformance *performance = song_play(song, "bossa");
  size_t thumb = count_of(performance, GLN_PLAYER_THUMB, -1);
  gln_performance_keep(performance, 1U << GLN_PLAYER_THUMB);
  assert_int_equal(performance->count, thumb);
  assert_int_equal(count_of(performance, GLN_PLAYER_THUMB, -1), thumb);
  gln_performance_keep(performance, 0);
  assert_int_equal(performance->count, 0);
}

/* ---- the human feel --------------------------------------------------------------------------------------------------- */

static GlnPerformance *humanise(Song *song, uint32_t seed) {
  GlnPerformanceOptions options = song_options(song, "bossa");
  options.rounds = 20;
  options.count_in = 1;
  GlnPerformance *performance = play_with(song, &options);
  assert_int_equal(gln_performance_humanise(performance, seed, song->arena), GLN_OK);
  return performance;
}

static void a_hand_is_nearly_even(void **state) {
  Song *song = *state;
  hold_two(song);
  GlnPerformanceOptions options = song_options(song, "bossa");
  options.rounds = 20;
  options.count_in = 1;
  GlnPerformance *even = play_with(song, &options), *human = humanise(song, 7);
  assert_int_equal(even->count, human->count);
  /* String by string the notes are the same, a little shifted, and never overlap. */
  double sum = 0, most = 0;
  size_t compared = 0;
  for (int string = -1; string < 6; string++) {
    size_t k = 0;
    GlnRatio free_from = {0, 1};
    for (size_t i = 0; i < even->count; i++) {
      if (even->notes[i].string != string)
        continue;
      while (human->notes[k].string != string)
        k++;
      const GlnSounding *a = &even->notes[i], *b = &human->notes[k++];
      assert_int_equal(a->midi, b->midi);
      double ms = (gln_ratio_value(b->start) - gln_ratio_value(a->start)) * 500;
      if (string < 0) {
        assert_int_equal(gln_ratio_compare(a->start, b->start), 0);
        continue;
      }
      assert_true(gln_ratio_compare(b->start, free_from) >= 0 && b->quarters.num > 0);
      free_from = gln_ratio_add(b->start, b->quarters);
      most = fmax(most, fabs(ms));
      sum += ms * ms;
      compared++;
    }
  }
  double spread = sqrt(sum / (double)compared);
  assert_true(most <= GLN_HUMAN_MS_MAX + 0.2); /* times are whole parts of a quarter */
  assert_true(spread > 1 && spread < 8);
}

static void the_seed_decides(void **state) {
  Song *song = *state;
  hold_two(song);
  GlnPerformance *once = humanise(song, 7), *again = humanise(song, 7), *other = humanise(song, 8);
  size_t differ = 0;
  for (size_t i = 0; i < once->count; i++) {
    assert_int_equal(gln_ratio_compare(once->notes[i].start, again->notes[i].start), 0);
    assert_int_equal(once->notes[i].force, again->notes[i].force);
    differ += gln_ratio_compare(once->notes[i].start, other->notes[i].start) != 0;
  }
  assert_true(differ > once->count / 2);
}

#define SONG_TEST(name) cmocka_unit_test_setup_teardown(name, song_setup, song_teardown)

int main(void) {
  const struct CMUnitTest tests[] = {
      SONG_TEST(a_passage_is_as_in_the_song),
      SONG_TEST(rounds_are_alike),
      SONG_TEST(a_passage_may_begin_inside_a_bar),
      SONG_TEST(passages_that_are_none),
      SONG_TEST(the_click_is_on_every_beat),
      SONG_TEST(percussion_where_the_feel_has_none),
      SONG_TEST(percussion_as_the_feel_has_it),
      SONG_TEST(sixteenths_in_swung_eighths),
      SONG_TEST(swung_sixteenths),
      SONG_TEST(triplets_stay_triplets),
      SONG_TEST(fingers_lift_before_a_change),
      SONG_TEST(half_of_a_note_is_left),
      SONG_TEST(tempi_are_joined),
      SONG_TEST(transposing_leaves_the_click),
      SONG_TEST(players_alone),
      SONG_TEST(a_hand_is_nearly_even),
      SONG_TEST(the_seed_decides),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
