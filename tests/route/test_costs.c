/* What the named parts of the cost say of pairs of grips and of grips alone. Common practice of jazz accompaniment, no
 * published source. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route_internal.h"
#include "song_of.h"

#include <math.h>

typedef struct Fixture {
  GlnArena *arena;
  GlnLineOptions options;
  GlnCosting costing;
} Fixture;

static Fixture fixture_new(void) {
  Fixture fixture = {.arena = gln_arena_new(NULL, 0), .options = gln_line_defaults()};
  assert_non_null(fixture.arena);
  fixture.costing = gln_costing(fixture.options.weight, false);
  return fixture;
}

static const GlnChord *chord_of(const Fixture *fixture, const char *symbol) {
  return &song_of(fixture->arena, symbol, 4, NULL)->slots[0].event->chord;
}

static GlnGrip grip_of(const Fixture *fixture, const GlnChord *chord, const char *text) {
  GlnGripQuery query = gln_grip_query_defaults(chord, &fixture->options.instrument, &fixture->options.hand);
  GlnFrets frets;
  GlnGrip grip;
  GlnSymbolFault fault;
  assert_int_equal(gln_frets_parse(gln_text(text), &frets, &fault), GLN_OK);
  assert_int_equal(gln_grip_of_frets(&query, &frets, &grip, &fault), GLN_OK);
  return grip;
}

/* A part of the change from one chord's grip to another's. */
static double part_of(const Fixture *fixture, GlnCost part, const char *from, const char *from_frets,
                      const char *to, const char *to_frets) {
  const GlnChord *a = chord_of(fixture, from), *b = chord_of(fixture, to);
  GlnGrip before = grip_of(fixture, a, from_frets), after = grip_of(fixture, b, to_frets);
  GlnFeature x, y;
  gln_feature_make(&fixture->options.instrument, a, &before, &x);
  gln_feature_make(&fixture->options.instrument, b, &after, &y);
  double parts[GLN_COST_COUNT] = {0};
  gln_change_parts(&fixture->costing, &x, &y, parts);
  return parts[part];
}

static double sound_of(const Fixture *fixture, const char *symbol, const char *frets) {
  const GlnChord *chord = chord_of(fixture, symbol);
  GlnGrip grip = grip_of(fixture, chord, frets);
  return gln_sound_cost(&fixture->options.instrument, chord, &grip, false);
}

/* The weight is a centimetre's; nothing within half a fret, nor where no finger is down before or after. */
static void test_travel(void **state) {
  (void)state;
  Fixture f = fixture_new();
  const GlnInstrument *guitar = &f.options.instrument;
  double past_mm = gln_fret_mm(guitar, 8) - gln_fret_mm(guitar, 3) - (double)f.costing.floor.free_mm;
  double far = part_of(&f, GLN_COST_TRAVEL, "Gm7", "3x333x", "Cm7", "8x888x");
  assert_true(fabs(far - f.options.weight[GLN_COST_TRAVEL] * past_mm / 10) < 1e-4);
  assert_true(part_of(&f, GLN_COST_TRAVEL, "Am", "x02210", "C", "x32010") <= 0);
  assert_true(part_of(&f, GLN_COST_TRAVEL, "Em7", "020000", "Em7", "020000") <= 0);
  gln_arena_free(f.arena);
}

/* From A to A flat the bass goes down a semitone for nothing; up a major seventh it pays. A fourth and a fifth are
 * alike. */
static void test_bass_goes_near(void **state) {
  (void)state;
  Fixture f = fixture_new();
  assert_true(part_of(&f, GLN_COST_BASS, "Am7", "5x555x", "Abdim7", "4x343x") <= 0);
  double weight = f.options.weight[GLN_COST_BASS];
  assert_true(fabs(part_of(&f, GLN_COST_BASS, "Am7", "5x555x", "Abdim7", "xx6767") - 8 * weight) < 1e-5);
  assert_true(part_of(&f, GLN_COST_BASS, "Dm7", "x5756x", "G7", "3x343x") <= 0);
  assert_true(part_of(&f, GLN_COST_BASS, "G7", "3x343x", "Dm7", "x5756x") <= 0);
  gln_arena_free(f.arena);
}

/* The guide tones stand on the bass and the colour on top of them. */
static void test_colour_on_top(void **state) {
  (void)state;
  Fixture f = fixture_new();
  assert_true(sound_of(&f, "Fmaj9", "x8798x") + 0.5 < sound_of(&f, "Fmaj9", "13-x-14-12-10-x"));
  assert_true(sound_of(&f, "C7b9", "x3232x") + 0.5 < sound_of(&f, "C7b9", "8x865x"));
  gln_arena_free(f.arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_travel),
      cmocka_unit_test(test_bass_goes_near),
      cmocka_unit_test(test_colour_on_top),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
