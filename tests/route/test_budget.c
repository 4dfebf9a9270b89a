/* Few colours against exhaustive search: the answer is the best, the bound never above it, and the fewest colours the
 * fewest. Random trellises shaped like songs. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../slow_build.h"
#include "budget.h"

#include <math.h>
#include <string.h>

#define VARIABLES_MAX 7
#define LABELS_MAX    4
#define EDGES_MAX     64

static uint32_t seed;
static uint32_t open_by; /* cases of cores whose bound did not close */

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
  uint32_t group[VARIABLES_MAX], colour[VARIABLES_MAX][LABELS_MAX];
  const uint32_t *colours[VARIABLES_MAX];
  uint32_t apart[VARIABLES_MAX];
  GlnBudget budget;
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

/* Groups of variables with the same labels, each label of one of so many colours. Colours are the more shared the fewer
 * there are. */
static void draw_colours(Case *made, uint32_t n) {
  uint32_t groups = 1 + draw(n), colours = 2 + draw(14), counts[VARIABLES_MAX];
  for (uint32_t g = 0; g < groups; ++g) {
    counts[g] = draw(6) == 0 ? 1 : 2 + draw(LABELS_MAX - 1);
    made->colours[g] = made->colour[g];
    for (uint32_t k = 0; k < counts[g]; ++k)
      made->colour[g][k] = draw(colours);
  }
  for (uint32_t v = 0; v < n; ++v) {
    made->group[v] = v < groups ? v : draw(groups);
    made->variables[v].unary = made->unary[v];
    made->variables[v].label_count = counts[made->group[v]];
  }
  made->budget = (GlnBudget){.trellis = &made->trellis,
                             .group = made->group,
                             .colours = made->colours,
                             .group_count = groups,
                             .colour_count = colours};
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
  draw_colours(made, n);
  for (uint32_t v = 0; v < n; ++v) {
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

static uint32_t colours_of(const Case *made, const uint32_t *labels) {
  uint32_t seen = 0, count = 0;
  for (size_t v = 0; v < made->trellis.variable_count; ++v)
    seen |= 1U << made->colour[made->group[v]][labels[v]];
  for (; seen != 0; seen &= seen - 1)
    ++count;
  return count;
}

/* least[n]: of all assignments on at most n colours. */
static void by_exhaustion(const Case *made, double least[VARIABLES_MAX + 1]) {
  uint32_t labels[VARIABLES_MAX] = {0};
  for (uint32_t n = 0; n <= VARIABLES_MAX; ++n)
    least[n] = (double)INFINITY;
  do {
    double total = gln_trellis_total(&made->trellis, labels);
    for (uint32_t n = colours_of(made, labels); n <= VARIABLES_MAX; ++n)
      least[n] = total < least[n] ? total : least[n];
  } while (next_labels(&made->trellis, labels));
}

/* cores: so few cells at a time that most labels lie outside; then the bound need not close, but it never lies. */
static void check(Case *made, uint32_t most, const double least[VARIABLES_MAX + 1], bool cores) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  uint32_t labels[VARIABLES_MAX], free_labels[VARIABLES_MAX];
  double total = 0;
  GlnBudgetAnswer answer = {.labels = labels, .apart = made->apart};
  assert_int_equal(gln_trellis_solve(&made->trellis, arena, free_labels, &total), GLN_OK);
  made->budget.most = most;
  made->budget.core_cells = cores ? 6 : 0;
  GlnStatus status = gln_budget_solve(&made->budget, free_labels, arena, &answer);
  if (isinf(least[most])) {
    assert_int_equal(status, GLN_NO);
    assert_true(answer.fewest > most && answer.fewest_is_exact);
    assert_true(isinf(least[answer.fewest - 1]) && !isinf(least[answer.fewest]));
    assert_true(answer.apart_count >= 1 && answer.apart_count <= answer.fewest);
  } else {
    assert_int_equal(status, GLN_OK);
    assert_true(answer.bound <= least[most] + 1e-6);
    assert_true(answer.total >= least[most] - 1e-6 && answer.bound <= answer.total + 1e-9);
    if (!cores) { /* small enough to be exact */
      assert_true(fabs(answer.total - least[most]) <= 1e-6);
      assert_true(fabs(answer.bound - answer.total) <= 1e-6);
    }
    open_by += cores && answer.bound < answer.total - 1e-6 ? 1U : 0U;
    assert_true(fabs(gln_trellis_total(&made->trellis, labels) - answer.total) <= 1e-9);
    assert_int_equal(answer.used, colours_of(made, labels));
    assert_true(answer.used <= most);
  }
  gln_arena_free(arena);
}

static void test_exact(void **state) {
  (void)state;
  static Case made;
  uint32_t refused = 0, bound_by = 0;
  for (uint32_t i = 0; i < SEEDED(1000); ++i) {
    double least[VARIABLES_MAX + 1];
    seed = i + 1;
    draw_case(&made);
    by_exhaustion(&made, least);
    for (uint32_t most = 1; most <= VARIABLES_MAX; ++most) {
      check(&made, most, least, false);
      check(&made, most, least, true);
      refused += isinf(least[most]) ? 1U : 0U;
      bound_by += least[most] > least[VARIABLES_MAX] + 1e-9 && !isinf(least[most]) ? 1U : 0U;
    }
  }
  assert_true(refused > SEEDED(300) && bound_by > SEEDED(300) &&
              open_by > SEEDED(100)); /* the test is about all of them */
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_exact),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
