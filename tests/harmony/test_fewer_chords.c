/* A song on few chords: the answer is the best there is (against every choice), costs grow as chords go, and what is plain
 * common practice comes out: a blues on three chords has I, IV and V. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "fewer_chords.h"
#include "steps.h"

#include <float.h>

static GlnArena *arena;

static int set_up(void **state) {
  (void)state;
  arena = gln_arena_new(NULL, (size_t)64 << 20);
  return arena == NULL;
}

static int tear_down(void **state) {
  (void)state;
  gln_arena_free(arena);
  return 0;
}

static uint32_t state_of_chance;

static uint32_t chance(uint32_t below) {
  state_of_chance = state_of_chance * 1664525u + 1013904223u;
  return (state_of_chance >> 8) % below;
}

/* The least total over every set of so many choices. */
static double try_every_set(const GlnMedian *median) {
  double least = DBL_MAX;
  for (unsigned set = 1; set < 1u << median->choices; set++) {
    size_t count = 0;
    for (unsigned bits = set; bits != 0; bits &= bits - 1)
      count++;
    if (count > median->most)
      continue;
    double total = 0;
    for (size_t i = 0; i < median->items; i++) {
      double best = DBL_MAX;
      for (size_t c = 0; c < median->choices; c++)
        if ((set >> c & 1) != 0 && median->cost[i * median->choices + c] < best)
          best = median->cost[i * median->choices + c];
      total += best;
    }
    least = total < least ? total : least;
  }
  return least;
}

static void test_median_against_every_set(void **state) {
  (void)state;
  size_t exact = 0, tried = 600;
  for (size_t round = 0; round < tried; round++) {
    GlnArenaMark mark = gln_arena_mark(arena);
    state_of_chance = (uint32_t)round;
    GlnMedian median = {.items = 1 + chance(14), .choices = 1 + chance(11)};
    median.most = 1 + chance((uint32_t)median.choices);
    median.cost = GLN_NEW(arena, double, median.items *median.choices);
    assert_non_null(median.cost);
    for (size_t c = 0; c < median.items * median.choices; c++)
      median.cost[c] = chance(5) == 0 ? 0 : chance(40) / 8.0;
    assert_int_equal(gln_median_solve(&median, arena), GLN_OK);
    double least = try_every_set(&median), total = 0;
    unsigned used = 0;
    for (size_t i = 0; i < median.items; i++) {
      total += median.cost[i * median.choices + median.choice_of[i]];
      used |= 1u << median.choice_of[i];
    }
    size_t count = 0;
    for (; used != 0; used &= used - 1)
      count++;
    assert_true(count <= median.most);
    assert_float_equal(total, median.total, 1e-6);
    assert_true(median.bound <= least + 1e-6);
    exact += median.bound >= median.total - 1e-6 ? 1 : 0;
    if (median.bound >= median.total - 1e-6)
      assert_float_equal(median.total, least, 1e-6);
    gln_arena_rewind(arena, mark);
  }
  assert_int_equal(exact, tried);
}

typedef struct Case {
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  GlnReading readings[STEPS_MAX];
  uint32_t groups[STEPS_MAX];
  GlnChordSong song;
} Case;

static void make_case(const char *chords, int k, Case *made) {
  size_t count = read_steps(chords, roots[k], made->store, made->steps);
  for (size_t i = 0; i < count; i++)
    made->groups[i] = (uint32_t)i;
  assert_int_equal(gln_harmony_read(made->steps, count, (GlnKey){roots[k], false}, arena, made->readings),
                   GLN_OK);
  made->song = (GlnChordSong){.steps = made->steps,
                              .readings = made->readings,
                              .count = count,
                              .groups = made->groups,
                              .group_count = count};
}

static GlnFewerChords reduce(const Case *made, size_t most, GlnChordLevel level) {
  GlnFewerChords fewer;
  assert_int_equal(gln_chords_reduce(&made->song, most, level, arena, &fewer), GLN_OK);
  return fewer;
}

/* roots: degrees in semitones above C, one a step. */
static void check_roots(const Case *made, const GlnFewerChords *fewer, int k, const int *wanted) {
  for (size_t i = 0; i < made->song.count; i++) {
    int degree = (gln_note_pitch_class(fewer->chord_of[i]->root) - gln_note_pitch_class(roots[k]) + 12) % 12;
    if (degree != wanted[i])
      fail_msg("step %zu: %d, not %d", i, degree, wanted[i]);
  }
}

/* Common practice, no published source. */
static void test_blues_on_three_chords(void **state) {
  (void)state;
  static Case made;
  const int wanted[] = {0, 5, 0, 0, 5, 5, 0, 0, 7, 5, 0, 7};
  for (int k = 0; k < 12; k++) {
    make_case("C7 F9 C13 C7 F7 F9 C7 C13 G9 F7 C7 G7", k, &made);
    GlnFewerChords fewer = reduce(&made, 3, GLN_CHORDS_FULL);
    assert_int_equal(fewer.chord_count, 3);
    check_roots(&made, &fewer, k, wanted);
  }
}

/* A passing diminished chord goes first, and a neighbour takes its place. */
static void test_passing_chords_go_first(void **state) {
  (void)state;
  static Case made;
  for (int k = 0; k < 12; k++) {
    make_case("C C#dim7 Dm7 G7 C F G7 C", k, &made);
    GlnFewerChords fewer = reduce(&made, 4, GLN_CHORDS_FULL);
    for (size_t i = 0; i < made.song.count; i++)
      if (i != 1)
        assert_true(gln_chord_equal(fewer.chord_of[i], &made.store[i]));
    assert_true(gln_chord_equal(fewer.chord_of[1], &made.store[0]) ||
                gln_chord_equal(fewer.chord_of[1], &made.store[2]));
    assert_true(gln_chord_leads_on(&made.readings[1]));
    assert_false(gln_chord_leads_on(&made.readings[0]));
  }
}

static void test_loss_grows_as_chords_go(void **state) {
  (void)state;
  static Case made;
  make_case("Cmaj9 Ebdim7 Dm9 Db7b5 Cmaj9 Bb13 Am9 D13 Dm9 G7sus4 G7b9 Em7 Ebdim7 Dm9 G13 C6/9", 0, &made);
  double last = DBL_MAX;
  for (size_t most = 1; most <= 16; most++) {
    GlnFewerChords fewer = reduce(&made, most, GLN_CHORDS_FULL);
    assert_true(fewer.chord_count <= most);
    assert_true(fewer.loss <= last + 1e-9);
    assert_true(fewer.bound <= fewer.loss + 1e-9);
    double sum = 0;
    for (size_t i = 0; i < made.song.count; i++)
      sum += fewer.points_of[i];
    assert_float_equal(sum, fewer.loss, 1e-6);
    last = fewer.loss;
  }
  assert_float_equal(last, 0, 1e-9);
}

static void test_levels(void **state) {
  (void)state;
  static Case made;
  make_case("Cmaj9 Ebdim7 Dm9/G Db7b5 Cmaj9 Bb13 Am9 D13 Dm9 G7sus4 G7b9 Em7", 0, &made);
  GlnFewerChords plain = reduce(&made, 12, GLN_CHORDS_BEGINNER),
                 middle = reduce(&made, 12, GLN_CHORDS_INTERMEDIATE);
  for (size_t i = 0; i < made.song.count; i++) {
    assert_false(plain.chord_of[i]->has_bass);
    assert_false(middle.chord_of[i]->has_bass);
    assert_true(middle.chord_of[i]->own_count <= 4);
    assert_true(plain.chord_of[i]->own_count <= 3 ||
                gln_chord_class(plain.chord_of[i]) == GLN_CLASS_DOMINANT);
  }
  assert_true(plain.loss >= middle.loss);
}

/* Places that are written once change alike, and a note on top holds a chord that has it. */
static void test_groups_and_tops(void **state) {
  (void)state;
  static Case made;
  make_case("Am7 Dm7 Am7 G7 C C C C", 0, &made);
  made.groups[2] = 0;
  GlnFewerChords fewer = reduce(&made, 2, GLN_CHORDS_FULL);
  assert_ptr_equal(fewer.chord_of[0], fewer.chord_of[2]);
  make_case("C Am7 C F G7 C", 0, &made);
  const GlnNote a = {5, 0};
  const GlnNote *tops[STEPS_MAX] = {[1] = &a};
  GlnFewerChords without = reduce(&made, 3, GLN_CHORDS_FULL);
  assert_true(gln_chord_tone_of(without.chord_of[1], 9) < 0);
  made.song.tops = tops;
  GlnFewerChords with = reduce(&made, 3, GLN_CHORDS_FULL);
  assert_true(with.loss > without.loss);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_median_against_every_set, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_blues_on_three_chords, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_passing_chords_go_first, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_loss_grows_as_chords_go, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_levels, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_groups_and_tops, set_up, tear_down),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
