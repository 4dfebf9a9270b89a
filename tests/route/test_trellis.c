/* The search against exhaustive search: random trellises shaped like songs, both aims, pins and returns. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../slow_build.h"
#include "route_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define VARIABLES_MAX 8
#define LABELS_MAX    5
#define EDGES_MAX     64

static uint32_t seed;

static uint32_t draw(uint32_t below) {
  seed = seed * 1664525U + 1013904223U; /* Numerical Recipes */
  return (seed >> 8) % below;
}

/* Storage of one random trellis. */
typedef struct Case {
  GlnTrellis trellis;
  GlnVariable variables[VARIABLES_MAX];
  double unary[VARIABLES_MAX][LABELS_MAX];
  GlnEdge edges[EDGES_MAX];
  GlnPairs pairs[2 * EDGES_MAX];
  GlnChangeCost costs[2 * EDGES_MAX][LABELS_MAX * LABELS_MAX];
  size_t pair_count;
} Case;

static GlnPairs *draw_pairs(Case *made, size_t from_count, size_t to_count, uint32_t grain) {
  GlnPairs *pairs = &made->pairs[made->pair_count];
  GlnChangeCost *costs = made->costs[made->pair_count++];
  for (size_t i = 0; i < from_count * to_count; ++i)
    costs[i] = (GlnChangeCost){(float)draw(grain) / (float)grain, (float)draw(grain) / (float)grain};
  *pairs = (GlnPairs){.from_count = from_count, .to_count = to_count, .given = costs};
  return pairs;
}

static void add_change(Case *made, uint32_t from, uint32_t to, uint32_t grain) {
  if (from == to)
    return;
  uint32_t low = from < to ? from : to, high = from < to ? to : from;
  GlnEdge *edge = NULL;
  for (size_t e = 0; e < made->trellis.edge_count; ++e)
    if (made->edges[e].low == low && made->edges[e].high == high)
      edge = &made->edges[e];
  if (edge == NULL) {
    edge = &made->edges[made->trellis.edge_count++];
    *edge = (GlnEdge){.low = low, .high = high};
  }
  GlnTerm *term = from == low ? &edge->up : &edge->down;
  if (term->pairs == NULL)
    term->pairs = draw_pairs(made, made->variables[from].label_count, made->variables[to].label_count, grain);
  double haste = 0.5 + draw(4) * 0.5;
  term->voices += 1;
  term->haste += haste;
  term->load = haste > term->load ? haste : term->load;
}

/* Sections of one to four chords, played in a random form of up to six; one chord in six is pinned. A coarse grain
 * makes many ties. */
static void draw_case(Case *made) {
  memset(made, 0, sizeof *made);
  uint32_t n = 2 + draw(VARIABLES_MAX - 1), grain = draw(3) == 0 ? 4 : 1000;
  made->trellis = (GlnTrellis){.variables = made->variables,
                               .variable_count = n,
                               .edges = made->edges,
                               .load_limit = (double)INFINITY};
  for (uint32_t v = 0; v < n; ++v) {
    made->variables[v] = (GlnVariable){made->unary[v], draw(6) == 0 ? 1 : 2 + draw(LABELS_MAX - 1)};
    for (uint32_t k = 0; k < made->variables[v].label_count; ++k)
      made->unary[v][k] = (double)draw(grain) / grain;
  }
  uint32_t starts[VARIABLES_MAX + 1], sections = 0;
  for (uint32_t v = 0; v < n;) {
    starts[sections++] = v;
    v += 1 + draw(4);
  }
  starts[sections] = n;
  uint32_t form = 1 + draw(6), last = n;
  for (uint32_t f = 0; f < form; ++f) {
    uint32_t s = f == 0 ? 0 : draw(sections);
    for (uint32_t v = starts[s]; v < starts[s + 1]; ++v) {
      if (last < n)
        add_change(made, last, v, grain);
      last = v;
    }
  }
}

static bool next_labels(const GlnTrellis *trellis, uint32_t *labels) {
  for (size_t v = 0; v < trellis->variable_count; ++v) {
    if (++labels[v] < trellis->variables[v].label_count)
      return true;
    labels[v] = 0;
  }
  return false;
}

static void by_exhaustion(const GlnTrellis *trellis, bool easy, double *best_load, double *best_total) {
  uint32_t labels[VARIABLES_MAX] = {0};
  *best_load = *best_total = (double)INFINITY;
  do {
    double load = gln_trellis_load(trellis, labels), total = gln_trellis_total(trellis, labels);
    if ((easy && load < *best_load) || (total < *best_total && (!easy || load <= *best_load))) {
      *best_load = load;
      *best_total = total;
    }
  } while (next_labels(trellis, labels));
}

static void check(Case *made, bool easy, uint32_t from_seed) {
  uint32_t labels[VARIABLES_MAX];
  double load = 0, least = 0, total = 0;
  by_exhaustion(&made->trellis, easy, &load, &least);
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnStatus status = easy ? gln_trellis_solve_easy(&made->trellis, arena, labels, &total)
                          : gln_trellis_solve(&made->trellis, arena, labels, &total);
  assert_int_equal(status, GLN_OK);
  double reached = gln_trellis_total(&made->trellis, labels);
  if (fabs(reached - least) > 1e-6 || fabs(reached - total) > 1e-9)
    print_error("seed %u: %g instead of %g\n", from_seed, reached, least);
  assert_true(fabs(reached - least) <= 1e-6);
  assert_true(fabs(reached - total) <= 1e-9);
  if (easy)
    assert_true(fabs(gln_trellis_load(&made->trellis, labels) - load) <= 1e-12);
  gln_arena_free(arena);
}

static void test_smooth(void **state) {
  (void)state;
  static Case made;
  int cycles = 0;
  for (uint32_t i = 0; i < SEEDED(1500); ++i) {
    seed = i + 1;
    draw_case(&made);
    cycles += made.trellis.edge_count >= made.trellis.variable_count;
    check(&made, false, i + 1);
  }
  assert_true(cycles > SEEDED(300)); /* the test is about cycles */
}

static void test_easy(void **state) {
  (void)state;
  static Case made;
  for (uint32_t i = 0; i < SEEDED(1500); ++i) {
    seed = 100000 + i;
    draw_case(&made);
    check(&made, true, 100000 + i);
  }
}

/* Every variable tied to every other: as far from a song as can be. */
static void test_whole_graph(void **state) {
  (void)state;
  static Case made;
  for (uint32_t i = 0; i < SEEDED(150); ++i) {
    seed = 500000 + i;
    draw_case(&made);
    uint32_t n = made.trellis.variable_count < 6 ? (uint32_t)made.trellis.variable_count : 6;
    for (uint32_t a = 0; a < n; ++a)
      for (uint32_t b = 0; b < n; ++b)
        add_change(&made, a, b, 1000);
    check(&made, i % 2 == 1, seed);
  }
}

static void test_out_of_memory(void **state) {
  (void)state;
  static Case made;
  seed = 4;
  do {
    draw_case(&made);
  } while (made.trellis.edge_count < made.trellis.variable_count);
  uint32_t labels[VARIABLES_MAX];
  double total = 0;
  GlnStatus status = GLN_MEMORY;
  for (size_t limit = 64; status == GLN_MEMORY; limit += 64) {
    GlnArena *arena = gln_arena_new(NULL, limit);
    if (arena == NULL)
      continue;
    status = gln_trellis_solve(&made.trellis, arena, labels, &total);
    gln_arena_free(arena);
    assert_true(limit < 1000000);
  }
  assert_int_equal(status, GLN_OK);
}

/* The sort of the solver against the C library's, ties and infinities among the values. */
static void test_sort(void **state) {
  (void)state;
  enum { MOST = 300 };
  static GlnRanked ranked[MOST], expected[MOST], spare[MOST];
  uint32_t drawn = 5;
  for (size_t count = 0; count < MOST; count += count < 40 ? 1 : 37) {
    for (size_t i = 0; i < count; ++i) {
      drawn = drawn * 1664525U + 1013904223U;
      uint32_t value = (drawn >> 8) % 50;
      ranked[i] = (GlnRanked){value == 49 ? (double)INFINITY : (double)value / 4, (uint32_t)(count - i)};
    }
    memcpy(expected, ranked, sizeof expected);
    if (count > 0)
      qsort(expected, count, sizeof *expected, gln_ranked_compare);
    gln_ranked_sort(ranked, count, spare);
    for (size_t i = 0; i < count; ++i)
      assert_int_equal(ranked[i].at, expected[i].at);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_sort),        cmocka_unit_test(test_smooth),        cmocka_unit_test(test_easy),
      cmocka_unit_test(test_whole_graph), cmocka_unit_test(test_out_of_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
