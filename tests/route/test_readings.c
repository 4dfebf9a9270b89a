/* What a chord may be played as when grips are few: the prices, who may stand for whom, and what stays as it is. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "line_job.h"
#include "song_of.h"

#include <math.h>

#define CLASS(n) (1U << (n))

static GlnChord chord_of(const char *symbol) {
  GlnChord chord;
  GlnSymbolFault fault;
  assert_int_equal(gln_chord_parse(gln_text(symbol), &chord, &fault), GLN_OK);
  return chord;
}

static bool price(const char *symbol, unsigned classes, int bass, bool any_bass, double *points) {
  const GlnChord chord = chord_of(symbol);
  return gln_reading_price(&chord, classes, bass, any_bass, points);
}

/* The points of docs/reduce.md. */
static void test_prices(void **state) {
  (void)state;
  const unsigned c_major = CLASS(0) | CLASS(4) | CLASS(7);
  double points = 0;
  /* Am7 has the notes of C6: nothing but the name, and the bass. */
  assert_true(price("C6", c_major | CLASS(9), 9, true, &points));
  assert_true(fabs(points - 1.0) < 1e-9);
  assert_true(price("C6", c_major | CLASS(9), 9, false, &points));
  assert_true(fabs(points - 1.5) < 1e-9);
  /* The triad for the major seventh loses a tone that must sound; for the ninth one of colour more. */
  assert_true(price("Cmaj7", c_major, 0, false, &points));
  assert_true(fabs(points - 1.8) < 1e-9);
  double ninth = 0;
  assert_true(price("Cmaj9", c_major, 0, false, &ninth));
  assert_true(ninth > points + 0.3);
  /* The fourth over a major third clashes; two clashes are too many (common practice, no published source). */
  assert_true(price("C", c_major | CLASS(5), 0, false, &points));
  assert_true(fabs(points - 2.4) < 1e-9);
  assert_false(price("C", c_major | CLASS(5) | CLASS(1), 0, false, &points));
  /* Another chord altogether. */
  assert_false(price("C", CLASS(1) | CLASS(6) | CLASS(10), 6, true, &points));
}

static void test_two_grips(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  const GlnSong *song = song_of(arena, "Dm9 G13 Cmaj9 A7b9 Dm9 G13", 4, NULL);
  GlnLineOptions options = gln_line_defaults();
  GlnLine *line = NULL;
  options.grips_most = 2;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_INPUT);
  GlnText advice = diags.items[0].advice;
  assert_true(gln_text_find(advice, GLN_TEXT("--as-written"), 0) < advice.length);
  options.simplify = true;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  assert_true(line->distinct_count <= 2 && line->bound <= line->total);
  size_t simplified = 0;
  for (size_t i = 0; i < line->slot_count; ++i) {
    const GlnLineSlot *slot = &line->slots[i];
    simplified += slot->simplified;
    /* Every sounding string is a tone of the chord that is said to be played. */
    for (int s = 0; s < slot->grip.frets.string_count; ++s)
      if (slot->grip.frets.fret[s] >= 0)
        assert_true(gln_chord_tone_of(slot->chord, slot->grip.midi[s] % 12) >= 0);
    assert_true(slot->simplified || gln_chord_equal(slot->chord, &slot->slot->event->chord));
  }
  assert_true(simplified >= 2);
  gln_arena_free(arena);
}

static void test_wishes_stay(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  const GlnSong *song = song_of(arena, "C G@320003 Am^E4 F C", 4, NULL);
  GlnLineOptions options = gln_line_defaults();
  options.simplify = true;
  options.grips_most = 3;
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  assert_false(line->slots[1].simplified);
  assert_int_equal(line->slots[1].grip.frets.fret[0], 3);
  assert_int_equal(line->slots[2].grip.midi[line->slots[2].grip.top_string], 64); /* E4 */
  gln_arena_free(arena);
}

/* Where every grip is allowed anyway, nothing is simplified to make it easier. */
static void test_no_need(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  const GlnSong *song = song_of(arena, "Dm9 G13 Cmaj9 A7b9", 4, NULL);
  GlnLineOptions options = gln_line_defaults();
  GlnLine *line = NULL, *plain = NULL;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &plain), GLN_OK);
  options.simplify = true;
  options.grips_most = 100;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  for (size_t i = 0; i < line->slot_count; ++i)
    assert_false(line->slots[i].simplified);
  assert_true(fabs(line->total - plain->total) < 1e-6);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_prices),
      cmocka_unit_test(test_two_grips),
      cmocka_unit_test(test_wishes_stay),
      cmocka_unit_test(test_no_need),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
