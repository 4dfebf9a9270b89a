/* From chart text to its line: headers against wishes, faults in their places, and running out of memory. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "app.h"
#include "failing_allocator.h"

static GlnStatus arrange(GlnArena *arena, const char *chart, const GlnArrangementWish *wish, GlnDiags *diags,
                         GlnArrangement *arrangement) {
  GlnArrangementWish defaults = {.options = gln_line_defaults()};
  defaults.options.tempo = 0;
  *diags = gln_diags(arena);
  return gln_arrangement_make(GLN_TEXT("song.chart"), gln_text(chart), wish != NULL ? wish : &defaults, arena,
                              diags, arrangement);
}

static void test_chart_decides_where_the_caller_is_silent(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnDiags diags;
  GlnArrangement made;
  assert_int_equal(arrange(arena, "tempo: 96\ncapo: 3\nstrings: 7\n| Am | E7 |\n", NULL, &diags, &made),
                   GLN_OK);
  assert_int_equal(made.options.instrument.capo, 3);
  assert_int_equal(made.options.instrument.string_count, 7);
  assert_int_equal(made.options.instrument.open_midi[0], 35); /* B1: common practice, no published source */
  assert_true(made.options.tempo > 95.9 && made.options.tempo < 96.1);
  assert_int_equal(made.line->slot_count, 2);

  GlnArrangementWish wish = {.options = gln_line_defaults(), .has_tuning = true, .has_capo = true};
  wish.options.tempo = 60;
  assert_int_equal(arrange(arena, "tempo: 96\ncapo: 3\nstrings: 7\n| Am | E7 |\n", &wish, &diags, &made),
                   GLN_OK);
  assert_int_equal(made.options.instrument.capo, 0);
  assert_int_equal(made.options.instrument.string_count, 6);
  assert_true(made.options.tempo < 60.1);
  gln_arena_free(arena);
}

static void test_strings_that_may_sound(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnDiags diags;
  GlnArrangement made;
  GlnArrangementWish wish = {.options = gln_line_defaults(), .string_numbers = 0x0F}; /* strings 1 to 4 */
  assert_int_equal(arrange(arena, "| Dm | G | Am | F |\n", &wish, &diags, &made), GLN_OK);
  for (size_t i = 0; i < made.line->slot_count; i++) {
    assert_int_equal(made.line->slots[i].grip.frets.fret[0], GLN_NOT_PLAYED);
    assert_int_equal(made.line->slots[i].grip.frets.fret[1], GLN_NOT_PLAYED);
  }
  wish.string_numbers = 0x40; /* string 7 of six */
  assert_int_equal(arrange(arena, "| Dm |\n", &wish, &diags, &made), GLN_USAGE);
  assert_int_equal(diags.error_count, 1);
  gln_arena_free(arena);
}

static void test_faults_of_headers(void **state) {
  (void)state;
  static const struct {
    const char *chart;
    size_t offset;
  } rows[] = {{"title: X\ntuning: wobbly\n| C |\n", 17},
              {"strings: 4\n| C |\n", 9},
              {"tuning: standard\nstrings: 7\n| C |\n", 26}};
  for (size_t r = 0; r < GLN_COUNT_OF(rows); r++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnDiags diags;
    GlnArrangement made;
    assert_int_equal(arrange(arena, rows[r].chart, NULL, &diags, &made), GLN_INPUT);
    assert_int_equal(diags.error_count, 1);
    assert_true(diags.items[0].has_place);
    assert_int_equal(diags.items[0].offset, rows[r].offset);
    assert_true(diags.items[0].advice.length > 0);
    gln_arena_free(arena);
  }
}

static GlnStatus arrange_job(GlnArena *arena, void *context) {
  (void)context;
  GlnDiags diags;
  GlnArrangement made;
  return arrange(arena, "title: Small\n[A]\n|: Am / D7 / | G@320003 | C^E :|\n", NULL, &diags, &made);
}

static void test_out_of_memory(void **state) {
  (void)state;
  assert_true(failing_allocator_sweep(arrange_job, NULL, 10000) >= 1);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_chart_decides_where_the_caller_is_silent),
      cmocka_unit_test(test_strings_that_may_sound),
      cmocka_unit_test(test_faults_of_headers),
      cmocka_unit_test(test_out_of_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
