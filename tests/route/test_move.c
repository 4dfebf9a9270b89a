/* Moves on grips every player knows; expected finger moves are common practice, no published source. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route_internal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static GlnInstrument instrument;

/* A grip with given fingers: "x32010" held by "x32010". */
static GlnGrip grip_of(const char *frets, const char *fingers) {
  GlnGrip grip = {0};
  GlnSymbolFault fault;
  assert_int_equal(gln_frets_parse(gln_text(frets), &grip.frets, &fault), GLN_OK);
  for (int s = 0; s < grip.frets.string_count; ++s) {
    char finger = fingers[s];
    grip.fingering.finger[s] = (int8_t)(finger >= '1' && finger <= '4' ? finger - '0'
                                        : finger == 'T'                ? 5
                                                                       : 0);
    bool played = grip.frets.fret[s] >= 0;
    grip.midi[s] = (int8_t)(played ? gln_sounding_midi(&instrument, s, grip.frets.fret[s]) : -1);
    grip.tone[s] = -1;
    if (played) {
      grip.bass_string = grip.voices == 0 ? (int8_t)s : grip.bass_string;
      grip.top_string = (int8_t)s;
      ++grip.voices;
    }
  }
  return grip;
}

static GlnMove move_of(const char *from, const char *from_fingers, const char *to, const char *to_fingers) {
  GlnGrip a = grip_of(from, from_fingers), b = grip_of(to, to_fingers);
  return gln_move_between(&instrument, &a, &b);
}

static void check_words(const char *from, const char *from_fingers, const char *to, const char *to_fingers,
                        const char *words) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnGrip a = grip_of(from, from_fingers), b = grip_of(to, to_fingers);
  GlnMove move = gln_move_between(&instrument, &a, &b);
  GlnBuffer out = gln_buffer(arena);
  gln_move_describe(&instrument, &a, &b, &move, &out);
  gln_buffer_add_byte(&out, '\0');
  assert_int_equal(gln_buffer_status(&out), GLN_OK);
  assert_string_equal(out.at, words);
  gln_arena_free(arena);
}

static void test_same_grip(void **state) {
  (void)state;
  GlnMove move = move_of("x32010", "x32010", "x32010", "x32010");
  assert_int_equal(move.finger[0], GLN_FINGER_STAYS);
  assert_int_equal(move.finger[3], GLN_FINGER_IDLE);
  assert_true(move.seconds <= 0.0F);
  assert_false(move.parallel);
  assert_true(isinf(gln_move_tempo(&move, 2)));
}

static void test_fingers(void **state) {
  (void)state;
  /* C to Am: 1 and 2 stay, 3 goes over to string 3. */
  GlnMove move = move_of("x32010", "x32010", "x02210", "x02310");
  assert_int_equal(move.finger[0], GLN_FINGER_STAYS);
  assert_int_equal(move.finger[1], GLN_FINGER_STAYS);
  assert_int_equal(move.finger[2], GLN_FINGER_SHIFTS);
  assert_int_equal(move.fret_change[2], -1);
  /* G7 to Cmaj7: guide finger 2 stays on its string. */
  move = move_of("3x343x", "1x121x", "x3545x", "x1324x");
  assert_int_equal(move.finger[0], GLN_FINGER_SHIFTS);
  assert_int_equal(move.finger[1], GLN_FINGER_STAYS);
  assert_int_equal(move.finger[2], GLN_FINGER_LANDS);
  assert_int_equal(move.finger[3], GLN_FINGER_LANDS);
  assert_true(move.barre_released);
  /* A slide along one string, in millimetres of a 650 mm neck (equal temperament). */
  move = move_of("x-5-x-x-x-x", "x1xxxx", "x-7-x-x-x-x", "x1xxxx");
  assert_int_equal(move.finger[0], GLN_FINGER_SLIDES);
  assert_int_equal(move.fret_change[0], 2);
  double expected = gln_fret_mm(&instrument, 7) - gln_fret_mm(&instrument, 5);
  assert_true(fabs((double)move.shift_mm - expected) < 0.01);
  assert_int_equal(move.shift_frets, 2);
}

static void test_parallel(void **state) {
  (void)state;
  GlnMove move = move_of("3x345x", "1x123x", "5x567x", "1x123x");
  assert_true(move.parallel);
  assert_int_equal(move.shift_frets, 2);
  assert_false(move.barre_formed);
  move = move_of("x32010", "x32010", "x02210", "x02310");
  assert_false(move.parallel);
}

static void test_barres(void **state) {
  (void)state;
  GlnMove move = move_of("x02210", "x02310", "133211", "134211");
  assert_true(move.barre_formed);
  assert_false(move.barre_released);
  move = move_of("133211", "134211", "x32010", "x32010");
  assert_true(move.barre_released);
  move = move_of("133211", "134211", "355433", "134211");
  assert_true(move.parallel);
  assert_false(move.barre_formed || move.barre_released);
}

/* Fitts (1954): farther takes longer, and doubling the distance adds one bit. */
static void test_time_grows(void **state) {
  (void)state;
  char frets[32], fingers[] = "1x123x";
  float last = 0;
  for (int fret = 4; fret <= 12; ++fret) {
    (void)snprintf(frets, sizeof frets, "%d-x-%d-%d-%d-x", fret, fret, fret + 1, fret + 2);
    float seconds = move_of("3x345x", fingers, frets, fingers).seconds;
    assert_true(seconds > last);
    last = seconds;
  }
}

static void test_order_of_moves(void **state) {
  (void)state;
  float parallel = move_of("3x345x", "1x123x", "5x567x", "1x123x").seconds;
  float other_shape = move_of("3x345x", "1x123x", "x5657x", "x2134x").seconds;
  float guide = move_of("x5756x", "x1312x", "x4746x", "x1413x").seconds;
  assert_true(parallel < other_shape);
  /* One finger that slides is quicker than one that lifts and lands as far away. */
  float slide = move_of("x5xxxx", "x1xxxx", "x6xxxx", "x1xxxx").seconds;
  float shift = move_of("x5xxxx", "x1xxxx", "xx6xxx", "xx1xxx").seconds;
  assert_true(slide < shift);
  assert_true(guide > 0.0F);
  /* Two fingers kept beat none kept. */
  assert_true(move_of("x32010", "x32010", "x02210", "x02310").seconds <
              move_of("x32010", "x32010", "320003", "210003").seconds);
}

static void test_tempo(void **state) {
  (void)state;
  GlnMove move = move_of("x32010", "x32010", "320003", "210003");
  double half = gln_move_tempo(&move, 2), whole = gln_move_tempo(&move, 4);
  assert_true(fabs(whole - 2 * half) < 1e-9);
  assert_true(fabs(half * (double)move.seconds / (60.0 * 2 * GLN_CHANGE_SHARE) - 1) < 1e-6);
}

static double half_bar_tempo(const char *from, const char *from_fingers, const char *to,
                             const char *to_fingers) {
  GlnMove move = move_of(from, from_fingers, to, to_fingers);
  return gln_move_tempo(&move, 2);
}

/* Practised players change four-note grips every half bar at 160 to 200 where fingers stay or slide, and the hardest
 * leaps at 80 to 110; a kept shape beats a guide finger, and that a change of everything as far away. */
static void test_tempi_of_players(void **state) {
  (void)state;
  double kept = half_bar_tempo("6x678x", "1x234x", "7x789x", "1x234x");
  double stays = half_bar_tempo("6x678x", "1x234x", "x8688x", "x2134x");
  double slides = half_bar_tempo("x8688x", "x2134x", "6x677x", "1x234x");
  double lifts = half_bar_tempo("x-9-10-9-11-x", "x1213x", "x8798x", "x2143x");
  double leaps = half_bar_tempo("x-9-10-9-11-x", "x1213x", "x8688x", "x2134x");
  double leaps_far = half_bar_tempo("x3233x", "x2134x", "8x898x", "1x243x");
  assert_true(kept > stays && stays > slides && slides > lifts && lifts > leaps && leaps > leaps_far);
  assert_true(kept > 300);
  assert_true(stays > 160 && stays < 240 && slides > 160 && slides < 200);
  assert_true(leaps > 80 && leaps < 110 && leaps_far > 80 && leaps_far < 110);
}

static void test_words(void **state) {
  (void)state;
  check_words("x32010", "x32010", "x02210", "x02310",
              "keep 1 and 2 where they are, move 3 to string 3 at fret 2");
  check_words("3x345x", "1x123x", "5x567x", "1x123x", "keep the shape and move it up two frets");
  check_words("x02220", "x01230", "x02020", "x01020",
              "keep 1 where it is, move 2 to string 2 at fret 2, lift 3");
  check_words("x5756x", "x1312x", "x4746x", "x1413x",
              "slide 1 down one fret, move 3 to string 2 at fret 6, 4 lands on string 4 at fret 7, lift 2");
  check_words("022000", "023000", "x02210", "x02310",
              "1 lands on string 2 at fret 1, move 2 to string 4 at fret 2, move 3 to string 3 at fret 2");
  check_words("x32010", "x32010", "x32010", "x32010", "hold the same grip");
  check_words("000000", "000000", "000000", "000000", "open strings: nothing to stop");
  check_words("x02210", "x02310", "133211", "134211",
              "lay 1 flat across strings 6 to 1 at fret 1, move 2 to string 3 at fret 2, move 3 to string 5 "
              "at fret 3, 4 "
              "lands on string 4 at fret 3");
  check_words("133211", "134211", "13xxxx", "13xxxx",
              "keep 1 and 3 where they are, roll 1 up onto its tip, lift 2 and 4");
  check_words("xx0232", "xx0132", "xx0222", "xx0111",
              "lay 1 flat across strings 3 to 1 at fret 2, lift 2 and 3");
}

int main(void) {
  instrument = gln_instrument_defaults();
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_same_grip),  cmocka_unit_test(test_fingers),
      cmocka_unit_test(test_parallel),   cmocka_unit_test(test_barres),
      cmocka_unit_test(test_time_grows), cmocka_unit_test(test_order_of_moves),
      cmocka_unit_test(test_tempo),      cmocka_unit_test(test_tempi_of_players),
      cmocka_unit_test(test_words),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
