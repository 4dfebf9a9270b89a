/* Few grips on real chords: the line keeps to its budget, the bounds are in order, and too few is said in words. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route.h"
#include "song_of.h"

static const char *const two_places = "C Am F G C Am Dm G7 C";

static GlnLineOptions near_the_nut(void) {
  GlnLineOptions options = gln_line_defaults();
  options.fret_low = 1;
  options.fret_high = 5;
  return options;
}

static void test_budget_is_kept(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  const GlnSong *song = song_of(arena, two_places, 4, NULL);
  GlnLineOptions options = near_the_nut();
  GlnLine *best = NULL, *few = NULL;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &best), GLN_OK);
  assert_true(best->bound >= best->total && best->bound <= best->total);
  options.grips_most = 6; /* C Am F G Dm G7: each in one way */
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &few), GLN_OK);
  assert_true(few->distinct_count <= 6);
  assert_true(few->total >= best->total - 1e-9);
  assert_true(few->bound >= best->total - 1e-6 && few->bound <= few->total);
  gln_arena_free(arena);
}

static void test_shapes_are_moved(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  const GlnSong *song = song_of(arena, "C D E F", 4, NULL);
  GlnLineOptions options = gln_line_defaults();
  options.shapes_most = 1;
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  for (size_t i = 1; i < line->slot_count; ++i)
    assert_true(gln_same_shape(&line->slots[0].grip, &line->slots[i].grip));
  assert_int_equal(line->distinct_count, 4);
  gln_arena_free(arena);
}

static void test_curve_falls(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  const GlnSong *song = song_of(arena, two_places, 4, NULL);
  GlnLineOptions options = near_the_nut();
  GlnLine *best = NULL;
  GlnCurvePoint *points = NULL;
  size_t count = 0;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &best), GLN_OK);
  assert_int_equal(gln_line_curve(song, &options, true, arena, &diags, &points, &count), GLN_OK);
  assert_true(count >= 2);
  for (size_t i = 0; i < count; ++i) {
    assert_true(points[i].bound <= points[i].total + 1e-9);
    if (i == 0)
      continue;
    assert_int_equal(points[i].most, points[i - 1].most + 1);
    assert_true(points[i].total <= points[i - 1].total + 1e-9);
    assert_true(points[i].bound <= points[i - 1].bound + 1e-9);
  }
  assert_true(points[count - 1].total <= best->total + 1e-6 && points[count - 1].total >= best->total - 1e-6);
  gln_arena_free(arena);
}

static void test_too_few(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  const GlnSong *song = song_of(arena, "C F G@320003 N.C. C", 4, NULL);
  GlnLineOptions options = gln_line_defaults();
  options.grips_most = 2;
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_INPUT);
  assert_int_equal(diags.error_count, 1);
  GlnText problem = diags.items[0].problem, advice = diags.items[0].advice;
  assert_true(gln_text_find(problem, GLN_TEXT("G@320003"), 0) < problem.length);
  assert_true(gln_text_find(advice, GLN_TEXT("--grips 3"), 0) < advice.length);
  song = song_of(arena, "N.C.", 4, NULL);
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_budget_is_kept),
      cmocka_unit_test(test_shapes_are_moved),
      cmocka_unit_test(test_curve_falls),
      cmocka_unit_test(test_too_few),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
