/* What a record says: memories replayed, strain, load. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "material_of.h"

static GlnPractice practice_of(const GlnMaterial *material, size_t item, GlnDay day, GlnRating rating,
                               double minutes) {
  return (GlnPractice){.kind = material->items[item].kind,
                       .key = material->items[item].key,
                       .name = material->items[item].name,
                       .difficulty = material->items[item].difficulty,
                       .day = day,
                       .rating = rating,
                       .tempo = 60 + day % 10,
                       .minutes = minutes};
}

static void test_replay(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnMaterial *material = make_material(arena, 6, 12, 5);
  size_t move = material->grip_count;
  material->items[move].key = GLN_TEXT("the move");
  size_t from = material->items[move].from, to = material->items[move].to;
  const GlnPractice practices[] = {practice_of(material, from, 100, GLN_RATING_GOOD, 2),
                                   practice_of(material, move, 103, GLN_RATING_GOOD, 2),
                                   practice_of(material, move, 106, GLN_RATING_AGAIN, 2)};
  GlnMemory *memories = GLN_NEW(arena, GlnMemory, material->item_count);
  gln_memories_replay(material, practices, 3, memories);
  assert_int_equal(memories[move].practised, 2);
  assert_int_equal(memories[from].practised,
                   2); /* taken along by the move that went well, not by the one that failed */
  assert_int_equal(memories[to].practised, 0); /* never begun by itself */
  assert_int_equal(memories[move].rating, GLN_RATING_AGAIN);
  gln_arena_free(arena);
}

static void test_strain(void **state) {
  (void)state;
  GlnPractice practices[4] = {{.day = 10}, {.day = 11}, {.day = 11}, {.day = 12}};
  assert_int_equal(gln_strain_of(practices, 4), GLN_STRAIN_NONE);
  practices[1].has_strain = practices[2].has_strain = true;
  practices[1].strain = GLN_STRAIN_PAIN;
  practices[2].strain = GLN_STRAIN_NONE; /* the same day's next item does not take pain back */
  assert_int_equal(gln_strain_of(practices, 4), GLN_STRAIN_PAIN);
  practices[3].has_strain = true; /* a later day does */
  assert_int_equal(gln_strain_of(practices, 4), GLN_STRAIN_NONE);
  assert_int_equal(gln_strain_of(practices, 0), GLN_STRAIN_NONE);
  /* One lighter session fewer with each day of practice since; pain told again begins anew. */
  static const struct {
    GlnDay day;
    GlnStrain strain;
    int returning;
  } told[] = {{100, GLN_STRAIN_NONE, 0}, {101, GLN_STRAIN_SOME, 0}, {102, GLN_STRAIN_PAIN, 4},
              {102, GLN_STRAIN_NONE, 4}, {140, GLN_STRAIN_NONE, 3}, {140, GLN_STRAIN_NONE, 3},
              {141, GLN_STRAIN_SOME, 2}, {139, GLN_STRAIN_NONE, 2}, {142, GLN_STRAIN_PAIN, 4},
              {143, GLN_STRAIN_NONE, 3}, {144, GLN_STRAIN_NONE, 2}, {145, GLN_STRAIN_NONE, 1},
              {146, GLN_STRAIN_NONE, 0}, {147, GLN_STRAIN_NONE, 0}};
  GlnPractice days[GLN_COUNT_OF(told)];
  for (size_t i = 0; i < GLN_COUNT_OF(told); i++) {
    days[i] = (GlnPractice){.day = told[i].day, .has_strain = true, .strain = told[i].strain};
    assert_int_equal(gln_returning_of(days, i + 1), told[i].returning);
  }
}

static GlnProgress progress_of(GlnArena *arena, const GlnMaterial *material, const double minutes[5],
                               GlnDay today) {
  static GlnPractice practices[5];
  for (int week = 0; week < 5; week++)
    practices[week] = practice_of(material, 0, today - 7 * (4 - week), GLN_RATING_GOOD, minutes[week]);
  GlnProgress progress;
  assert_int_equal(gln_progress_make(material, practices, 5, today, arena, &progress), GLN_OK);
  return progress;
}

static void test_load(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  const GlnMaterial *material = make_material(arena, 4, 8, 5);
  GlnProgress steady = progress_of(arena, material, (const double[]){100, 100, 100, 100, 120}, 20000);
  assert_false(steady.load_jumped);
  assert_true(fabs(steady.week - 120) < 1e-9 && fabs(steady.minutes - 520) < 1e-9);
  assert_true(progress_of(arena, material, (const double[]){100, 100, 100, 100, 260}, 20000).load_jumped);
  assert_false(
      progress_of(arena, material, (const double[]){5, 5, 5, 5, 40}, 20000).load_jumped); /* no load at all */
  gln_arena_free(arena);
}

/* Without a chart: every item that was ever practised, with its tempi. A clock set back gives nothing negative. */
static void test_items_of_record(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  const GlnMaterial *material = make_material(arena, 4, 8, 5);
  const GlnPractice practices[] = {practice_of(material, 2, 50, GLN_RATING_GOOD, 2),
                                   practice_of(material, 1, 51, GLN_RATING_EASY, 2),
                                   practice_of(material, 2, 53, GLN_RATING_HARD, 3)};
  GlnProgress progress;
  assert_int_equal(gln_progress_make(NULL, practices, 3, 40, arena, &progress), GLN_OK);
  assert_int_equal(progress.item_count, 2);
  assert_int_equal(progress.items[0].point_count, 2);
  assert_true(fabs(progress.items[0].minutes - 5) < 1e-9);
  assert_true(progress.items[0].recall <= 1 && progress.week >= 0 && progress.weeks_before >= 0);
  assert_int_equal(progress.standing[GLN_STANDING_SHAKY], 2);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_replay), cmocka_unit_test(test_strain),
                                     cmocka_unit_test(test_load), cmocka_unit_test(test_items_of_record)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
