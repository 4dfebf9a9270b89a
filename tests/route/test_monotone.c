/* More allowed is never worse: a wider region of the neck, a hand that reaches farther, more grips, more shapes. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route.h"
#include "song_of.h"

#include <math.h>

static const char *const songs[] = {
    "Dm7 G7 Cmaj7 A7", "C Am F G", "Fmaj9 Abdim7 Gm9 C7b9", "Em7 A13 Dm9 G13", "Am7 D7 Gmaj7 E7b9",
};

static double total_of(GlnArena *arena, const char *text, const GlnLineOptions *options) {
  GlnArenaMark mark = gln_arena_mark(arena);
  GlnDiags diags = gln_diags(arena);
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song_of(arena, text, 4, NULL), options, arena, &diags, &line), GLN_OK);
  double total = line->total;
  gln_arena_rewind(arena, mark);
  return total;
}

static void test_more_frets(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  bool gained = false;
  for (size_t s = 0; s < GLN_COUNT_OF(songs); ++s) {
    double before = INFINITY;
    for (int high = 7; high <= 15; high += 2) {
      GlnLineOptions options = gln_line_defaults();
      options.fret_low = 3;
      options.fret_high = (int8_t)high;
      double total = total_of(arena, songs[s], &options);
      assert_true(total <= before + 1e-9);
      gained = gained || (high > 7 && total < before - 1e-6);
      before = total;
    }
  }
  assert_true(gained);
  gln_arena_free(arena);
}

/* A hand whose fingers go farther apart and lose nothing: what was in reach stays so, and is no more of a stretch. */
static void test_more_span(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  bool gained = false;
  for (size_t s = 0; s < GLN_COUNT_OF(songs); ++s) {
    double before = INFINITY;
    for (int step = 0; step < 4; ++step) {
      GlnLineOptions options = gln_line_defaults();
      for (int a = 0; a < 4; ++a)
        for (int b = 0; b < 4; ++b) {
          options.hand.ease_mm[a][b] *= 0.85 + 0.1 * step;
          options.hand.reach_mm[a][b] *= 0.85 + 0.1 * step;
        }
      double total = total_of(arena, songs[s], &options);
      assert_true(total <= before + 1e-6); /* difficulty is kept as float */
      gained = gained || (step > 0 && total < before - 1e-3);
      before = total;
    }
  }
  assert_true(gained);
  gln_arena_free(arena);
}

/* Also when chords may be simplified; and the bound of fewer is never below that of more. */
static void test_more_grips(void **state) {
  (void)state;
  for (size_t s = 0; s < GLN_COUNT_OF(songs); ++s)
    for (int shapes = 0; shapes < 2; ++shapes) {
      GlnArena *arena = gln_arena_new(NULL, 0);
      assert_non_null(arena);
      GlnDiags diags = gln_diags(arena);
      GlnLineOptions options = gln_line_defaults();
      options.fret_low = 3;
      options.fret_high = 8;
      options.simplify = true;
      GlnCurvePoint *points = NULL;
      size_t count = 0;
      const GlnSong *song = song_of(arena, songs[s], 4, NULL);
      assert_int_equal(gln_line_curve(song, &options, shapes == 1, arena, &diags, &points, &count), GLN_OK);
      assert_true(count >= 2);
      for (size_t i = 0; i < count; ++i) {
        assert_true(points[i].bound <= points[i].total + 1e-9 && points[i].used <= points[i].most);
        assert_true(i == 0 || points[i].total <= points[i - 1].total + 1e-9);
        assert_true(i == 0 || points[i].bound <= points[i - 1].bound + 1e-9);
      }
      gln_arena_free(arena);
    }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_more_frets),
      cmocka_unit_test(test_more_span),
      cmocka_unit_test(test_more_grips),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
