/* Which grips come first: against every order, and bounds and blocks of greater songs. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "material_of.h"
#include "study_internal.h"

#include "../failing_allocator.h"

/* Bars still locked, summed over the steps of an order. */
static int64_t wait_of(const GlnMaterial *material, const uint32_t *order, size_t count) {
  int64_t sum = 0;
  bool known[64] = {false};
  for (size_t k = 0; k < count; k++) {
    known[order[k]] = true;
    for (size_t b = 0; b < material->bar_count; b++) {
      bool open = true;
      for (size_t i = 0; i < material->bars[b].item_count; i++) {
        uint32_t item = material->bars[b].items[i];
        open = open && (item >= material->grip_count || known[item]);
      }
      sum += open ? 0 : 1;
    }
  }
  return sum;
}

static void try_orders(const GlnMaterial *material, uint32_t *order, size_t from, int64_t *least) {
  size_t count = material->grip_count;
  if (from == count) {
    int64_t wait = wait_of(material, order, count);
    *least = wait < *least ? wait : *least;
    return;
  }
  for (size_t i = from; i < count; i++) {
    uint32_t kept = order[from];
    order[from] = order[i];
    order[i] = kept;
    try_orders(material, order, from + 1, least);
    order[i] = order[from];
    order[from] = kept;
  }
}

static void test_against_every_order(void **state) {
  (void)state;
  for (uint32_t seed = 1; seed <= 40; seed++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    const GlnMaterial *material = make_material(arena, 3 + seed % 4, 8 + seed % 9, seed);
    uint32_t order[8] = {0, 1, 2, 3, 4, 5, 6, 7};
    int64_t least = INT64_MAX;
    try_orders(material, order, 0, &least);
    GlnUnlock unlock;
    assert_int_equal(gln_unlock_find(material, NULL, arena, &unlock), GLN_OK);
    assert_int_equal(unlock.count, material->grip_count);
    assert_true(unlock.exact);
    assert_int_equal(unlock.wait, least);
    assert_int_equal(unlock.bound, least);
    assert_int_equal(wait_of(material, unlock.order, unlock.count), least);
    gln_arena_free(arena);
  }
}

/* Bars of one grip each: those that come most come first, and of two that come alike the easier. */
static void test_ties_to_the_easier(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnMaterial *material = make_material(arena, 3, 3, 5);
  static const uint32_t single[] = {0, 1, 2, 2};
  static const double hard[] = {0.8, 0.3, 0.9};
  GlnStudyBar bars[4];
  for (size_t i = 0; i < 4; i++)
    bars[i] = (GlnStudyBar){.number = (uint32_t)i + 1, .items = &single[i], .item_count = 1};
  for (size_t i = 0; i < 3; i++)
    material->items[i].difficulty = hard[i];
  material->bars = bars;
  material->bar_count = 4;
  GlnUnlock unlock;
  assert_int_equal(gln_unlock_find(material, NULL, arena, &unlock), GLN_OK);
  assert_int_equal(unlock.order[0], 2);
  assert_int_equal(unlock.unlocks[0], 2);
  assert_int_equal(unlock.order[1], 1);
  assert_int_equal(unlock.order[2], 0);
  gln_arena_free(arena);
}

static void test_known_grips_are_left_out(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  const GlnMaterial *material = make_material(arena, 6, 12, 9);
  bool known[6] = {true, false, true, false, false, true};
  GlnUnlock unlock;
  assert_int_equal(gln_unlock_find(material, known, arena, &unlock), GLN_OK);
  assert_int_equal(unlock.count, 3);
  for (size_t i = 0; i < unlock.count; i++)
    assert_false(known[unlock.order[i]]);
  gln_arena_free(arena);
}

/* The densest set, against every set. */
static void test_densest(void **state) {
  (void)state;
  for (uint32_t seed = 1; seed <= 60; seed++) {
    enum { GRIPS = 7, NEEDS = 9 };
    uint32_t at = seed * 7919, lists[NEEDS][3];
    GlnNeed needs[NEEDS];
    for (size_t i = 0; i < NEEDS; i++) {
      size_t count = 0;
      for (uint32_t g = 0; g < GRIPS && count < 3; g++)
        if (next_number(&at) % 3 == 0)
          lists[i][count++] = g;
      if (count == 0)
        lists[i][count++] = next_number(&at) % GRIPS;
      needs[i] = (GlnNeed){lists[i], count, 1 + next_number(&at) % 5};
    }
    const GlnNeeds all = {needs, NEEDS, GRIPS};
    const bool learned[GRIPS] = {[3] = seed % 2 == 0};
    bool in[GRIPS];
    GlnArena *arena = gln_arena_new(NULL, 0);
    assert_int_equal(gln_densest_find(&all, learned, arena, in), GLN_OK);
    double best = 0, found = 0;
    unsigned found_set = 0;
    for (size_t g = 0; g < GRIPS; g++)
      found_set |= in[g] ? 1U << g : 0U;
    for (unsigned set = 1; set < 1U << GRIPS; set++) {
      int64_t bars = 0;
      int grips = 0;
      if (learned[3] && (set >> 3 & 1U) != 0)
        continue;
      for (size_t g = 0; g < GRIPS; g++)
        grips += (set >> g & 1U) != 0 ? 1 : 0;
      for (size_t i = 0; i < NEEDS; i++) {
        bool open = true, all_known = true;
        for (size_t k = 0; k < needs[i].grip_count; k++) {
          open = open && (learned[needs[i].grips[k]] || (set >> needs[i].grips[k] & 1U) != 0);
          all_known = all_known && learned[needs[i].grips[k]];
        }
        bars += open && !all_known ? needs[i].bars : 0;
      }
      double density = (double)bars / grips;
      best = fmax(best, density);
      found = set == found_set ? density : found;
    }
    assert_true(fabs(best - found) < 1e-12);
    gln_arena_free(arena);
  }
}

/* More grips than are looked at subset by subset: still whole, and the bound holds. */
static void test_greater_songs(void **state) {
  (void)state;
  for (uint32_t seed = 1; seed <= 6; seed++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    const GlnMaterial *material = make_material(arena, 24 + 4 * seed, 40 + 10 * seed, seed);
    GlnUnlock unlock;
    assert_int_equal(gln_unlock_find(material, NULL, arena, &unlock), GLN_OK);
    assert_int_equal(unlock.count, material->grip_count);
    assert_int_equal(wait_of(material, unlock.order, unlock.count), unlock.wait);
    assert_true(unlock.bound <= unlock.wait);
    assert_true(unlock.wait <=
                2 * unlock.bound); /* Chekuri & Motwani 1999: never more than twice the least */
    assert_true(!unlock.exact || unlock.bound == unlock.wait);
    gln_arena_free(arena);
  }
}

static GlnStatus find(GlnArena *arena, void *context) {
  GlnUnlock unlock;
  return gln_unlock_find(context, NULL, arena, &unlock);
}

static void test_memory_runs_out(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_true(failing_allocator_sweep(find, make_material(arena, 12, 30, 3), 1000) >= 1);
  assert_true(failing_allocator_sweep(find, make_material(arena, 30, 60, 3), 1000) >= 1);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_against_every_order),
                                     cmocka_unit_test(test_ties_to_the_easier),
                                     cmocka_unit_test(test_known_grips_are_left_out),
                                     cmocka_unit_test(test_densest),
                                     cmocka_unit_test(test_greater_songs),
                                     cmocka_unit_test(test_memory_runs_out)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
