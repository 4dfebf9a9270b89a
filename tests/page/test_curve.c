/* The curve of fewer grips as a picture: every kind of file, one page, the same bytes each time, also of one point. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "page.h"

#include <string.h>

static const GlnCurvePoint points[] = {
    {1, 1, 156.9, 150.2}, {2, 2, 118.3, 118.3}, {3, 3, 96.8, 95.9}, {4, 4, 80.4, 80.4}};

static GlnText picture(GlnArena *arena, size_t count, double best, GlnPageFormat format) {
  const GlnPageOptions options = gln_page_defaults();
  GlnBuffer out = gln_buffer(arena);
  GlnDiags diags = gln_diags(arena);
  assert_int_equal(
      gln_curve_write(points, count, true, best, GLN_TEXT("Late Tram Blues"), &options, format, &out, &diags),
      GLN_OK);
  assert_int_equal(gln_buffer_status(&out), GLN_OK);
  return gln_buffer_text(&out);
}

static size_t times(GlnText text, GlnText word) {
  size_t count = 0;
  for (size_t at = gln_text_find(text, word, 0); at < text.length; at = gln_text_find(text, word, at + 1))
    ++count;
  return count;
}

static void test_kinds(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnText pdf = picture(arena, 4, 42.6, GLN_PAGE_PDF), png = picture(arena, 4, 42.6, GLN_PAGE_PNG),
          svg = picture(arena, 4, 42.6, GLN_PAGE_SVG);
  assert_true(gln_text_starts(pdf, GLN_TEXT("%PDF-")));
  assert_memory_equal(png.at, "\x89PNG", 4);
  assert_true(gln_text_find(svg, GLN_TEXT("<svg"), 0) < svg.length);
  assert_true(gln_text_equal(svg, picture(arena, 4, 42.6, GLN_PAGE_SVG)));
  gln_arena_free(arena);
}

/* One disc more for each point more. */
static void test_points(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnText one = picture(arena, 1, 42.6, GLN_PAGE_SVG), four = picture(arena, 4, 42.6, GLN_PAGE_SVG);
  assert_int_equal(times(four, GLN_TEXT("<circle")), times(one, GLN_TEXT("<circle")) + 3);
  assert_true(times(one, GLN_TEXT("<circle")) == 1);
  assert_int_equal(times(picture(arena, 0, 0, GLN_PAGE_SVG), GLN_TEXT("<circle")), 0);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_kinds),
      cmocka_unit_test(test_points),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
