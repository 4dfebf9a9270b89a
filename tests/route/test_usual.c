/* Shapes that every player knows come out where nothing speaks against them. Common practice, no published source:
 * the shapes of row 14 of the project's checks and the open shapes of every beginner's book. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route_internal.h"
#include "song_of.h"

/* How many grips of the chord cost less to hold and to hear than this one. */
static size_t rank_of(const char *symbol, const char *frets, bool plain) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  GlnLineOptions options = gln_line_defaults();
  const GlnEvent *event = song_of(arena, symbol, 4, NULL)->slots[0].event;
  GlnCandidates found;
  assert_int_equal(gln_candidates_find(event, gln_slot_wish(&options, 0), &options, arena, &diags, &found),
                   GLN_OK);
  const GlnGripList list = found.list;
  double own = -1;
  double *cost = GLN_NEW(arena, double, list.count);
  for (size_t g = 0; g < list.count; ++g) {
    const GlnGrip *grip = &list.grips[g];
    char text[GLN_FRETS_TEXT_MAX];
    (void)gln_frets_print(&grip->frets, text);
    cost[g] =
        options.weight[GLN_COST_HOLD] * (double)grip->fingering.difficulty +
        options.weight[GLN_COST_SOUND] * gln_sound_cost(&options.instrument, &event->chord, grip, plain);
    own = gln_text_equal(gln_text(text), gln_text(frets)) ? cost[g] : own;
  }
  assert_true(own >= 0); /* the search finds it */
  size_t better = 0;
  for (size_t g = 0; g < list.count; ++g)
    better += cost[g] < own;
  gln_arena_free(arena);
  return better;
}

static void check_rank(const char *symbol, const char *frets, bool plain, size_t most) {
  size_t rank = rank_of(symbol, frets, plain);
  if (rank >= most)
    print_error("%s: %zu grips come before %s\n", symbol, rank, frets);
  assert_true(rank < most);
}

static void test_open_shapes(void **state) {
  (void)state;
  static const char *const shapes[][2] = {
      {"C", "x32010"},  {"A", "x02220"},   {"G", "320003"},  {"E", "022100"},  {"D", "xx0232"},
      {"Am", "x02210"}, {"Em", "022000"},  {"Dm", "xx0231"}, {"E7", "020100"}, {"A7", "x02020"},
      {"D7", "xx0212"}, {"Am7", "x02010"}, {"B7", "x21202"}, {"G7", "320001"}, {"F", "xx3211"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(shapes); ++i)
    check_rank(shapes[i][0], shapes[i][1], true, 3);
}

static void test_comping_grips(void **state) {
  (void)state;
  static const char *const shapes[][2] = {
      {"D9", "x5455x"},    {"Fmaj9", "x8798x"}, {"F13", "1x123x"},   {"G13", "3x345x"}, {"Gm7", "3x333x"},
      {"Gb7b5", "2x231x"}, {"Dm7", "x5756x"},   {"Cmaj7", "x3545x"}, {"G7", "3x343x"},  {"Abdim7", "4x343x"},
      {"Bm7b5", "x2323x"}, {"C7b9", "x3232x"},  {"E7#9", "x7678x"},  {"Dm9", "x5355x"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(shapes); ++i)
    check_rank(shapes[i][0], shapes[i][1], false, 6);
}

/* A song of open chords stays in open position, on full shapes. */
static void test_open_song(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  GlnLineOptions options = gln_line_defaults();
  GlnLine *line = NULL;
  const GlnSong *song = song_of(arena, "C G Am Em F C D7 G7 E A D Em Dm", 4, NULL);
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  for (size_t i = 0; i < line->slot_count; ++i) {
    const GlnGrip *grip = &line->slots[i].grip;
    assert_true(grip->voices >= 4);
    for (int s = 0; s < grip->frets.string_count; ++s)
      assert_true(grip->frets.fret[s] <= 4);
  }
  gln_arena_free(arena);
}

/* The first positions of chords-db 0.5.1 (MIT) for the ukulele: all strings sound, the lowest one though it is tuned
 * above the next. */
static void test_ukulele_song(void **state) {
  (void)state;
  static const char *const frets[] = {"0003", "2000", "2210", "0212", "3211", "2010"};
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  GlnLineOptions options = gln_line_defaults();
  assert_int_equal(gln_instrument_tune(GLN_TEXT("ukulele"), &options.instrument), GLN_OK);
  GlnLine *line = NULL;
  const GlnSong *song = song_of(arena, "C Am Dm G7 Bb F", 4, NULL);
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  assert_int_equal(line->slot_count, GLN_COUNT_OF(frets));
  for (size_t i = 0; i < line->slot_count; ++i) {
    char text[GLN_FRETS_TEXT_MAX];
    (void)gln_frets_print(&line->slots[i].grip.frets, text);
    assert_string_equal(text, frets[i]);
  }
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_open_shapes),
      cmocka_unit_test(test_comping_grips),
      cmocka_unit_test(test_open_song),
      cmocka_unit_test(test_ukulele_song),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
