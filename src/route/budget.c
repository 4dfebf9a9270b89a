/* Budget: a best line on few grips, or few shapes, with a bound that is never above the true optimum. A first bound and
 * answer over every label (budget_median.c), a better one over those that are left (budget_prices.c), then branching on
 * colours, the lowest bound first. docs/reduce.md */
#include "budget_internal.h"

#include <math.h>
#include <string.h>

#define ROOT_ROUNDS 260 /* of pricing before branching; design choice, tuned on examples/ and the bench */
#define NODE_ROUNDS 40  /* in every branch */
#define CORE_ROUNDS 80  /* of every core */
#define CORES_MAX   8
#define CORE_GAIN   0.02 /* of the gap: when two cores running close less of it, they are the last */

/* Limits on effort, counted in cells of matrices looked at, so that it is the same on every machine. Design choice: about
 * half a second, and two. */
#define NEAR        0.01 /* a bound as near as this is near enough to stop early */
#define EFFORT_NEAR (64U << 20)
#define EFFORT_MAX  (160U << 20)

bool gln_budget_tell_apart(double lower, double upper) {
  return isinf(upper) ? lower < upper : lower < upper - 1e-9 * (1 + fabs(upper));
}

/* Is it time to give the bound reached with the answer? Sooner when that is near enough. */
bool gln_budget_is_spent(const GlnBudgetSearch *search, double bound) {
  double gap = search->total - bound;
  uint64_t most = gap <= NEAR * bound ? EFFORT_NEAR : EFFORT_MAX;
  return search->effort > most;
}

/* ---- branching ----------------------------------------------------------------------------------------------------- */

/* One choice of gates still to be looked into. */
typedef struct Node {
  uint8_t *gates;
  double bound;
  struct Node *next;
} Node;

/* The colour whose mean is least decided. */
static uint32_t undecided(const GlnBudgetSearch *search) {
  uint32_t best = search->budget->colour_count;
  double least = 1;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
    double far = fabs(search->mean_open[c] - 0.5);
    if (search->gates[c] == GLN_GATE_FREE && far < least) {
      least = far;
      best = c;
    }
  }
  return best;
}

static GlnStatus push(GlnBudgetSearch *search, const uint8_t *gates, uint32_t colour, GlnGate gate,
                      double bound, Node **nodes) {
  Node *node = GLN_NEW(search->arena, Node, 1);
  uint32_t colours = search->budget->colour_count;
  if (node == NULL)
    return GLN_MEMORY;
  node->gates = GLN_NEW(search->arena, uint8_t, colours);
  if (node->gates == NULL)
    return GLN_MEMORY;
  memcpy(node->gates, gates, colours);
  if (colour < colours)
    node->gates[colour] = (uint8_t)gate;
  node->bound = bound;
  while (*nodes != NULL && (*nodes)->bound <= bound)
    nodes = &(*nodes)->next;
  node->next = *nodes;
  *nodes = node;
  return GLN_OK;
}

static uint32_t count_gates(const GlnBudgetSearch *search, GlnGate gate) {
  uint32_t count = 0;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c)
    count += search->gates[c] == (uint8_t)gate ? 1U : 0U;
  return count;
}

/* One node: bounded, then answered when its colours are settled, else split. */
static GlnStatus look_into(GlnBudgetSearch *search, const Node *node, Node **nodes) {
  memcpy(search->gates, node->gates, search->budget->colour_count);
  double bound = node->bound;
  GLN_TRY(gln_budget_raise_bound(search, NODE_ROUNDS, GLN_PRICING_NODE, &bound));
  if (!gln_budget_tell_apart(bound, search->total))
    return GLN_OK;
  uint32_t open = count_gates(search, GLN_GATE_OPEN), maybe = count_gates(search, GLN_GATE_FREE);
  if (open + maybe <= search->budget->most) {
    double total = 0;
    for (uint32_t c = 0; c < search->budget->colour_count; ++c)
      search->open[c] = search->gates[c] != GLN_GATE_CLOSED;
    return gln_budget_answer_open(search, &total);
  }
  uint32_t colour = undecided(search);
  GLN_TRY(push(search, search->gates, colour, GLN_GATE_CLOSED, bound, nodes));
  return push(search, search->gates, colour, GLN_GATE_OPEN, bound, nodes);
}

static GlnStatus branch(GlnBudgetSearch *search, double *bound) {
  Node *nodes = NULL;
  GLN_TRY(push(search, search->gates, search->budget->colour_count, GLN_GATE_FREE, *bound, &nodes));
  while (nodes != NULL && gln_budget_tell_apart(nodes->bound, search->total) &&
         !gln_budget_is_spent(search, nodes->bound)) {
    const Node *node = nodes;
    nodes = nodes->next;
    GLN_TRY(look_into(search, node, &nodes));
  }
  bool open = nodes != NULL && gln_budget_tell_apart(nodes->bound, search->total);
  *bound = open ? nodes->bound : search->total;
  return GLN_OK;
}

/* GLN_NO: nothing better is left. */
static GlnStatus price_core(GlnBudgetSearch *search, double *bound) {
  double core_bound = -(double)INFINITY;
  GLN_TRY(gln_budget_raise_bound(search, CORE_ROUNDS, GLN_PRICING_CORE, &core_bound));
  GLN_TRY(gln_budget_better(search));
  GLN_TRY(gln_budget_core_complete(search, bound));
  return gln_budget_tell_apart(*bound, search->total) ? GLN_OK : GLN_NO;
}

/* Prices core after core until all labels that are left have room together, or cores no longer help. */
static GlnStatus narrow_down(GlnBudgetSearch *search, double *bound, bool *whole) {
  int slow = 0;
  GLN_TRY(gln_budget_core_choose(search, whole));
  for (int i = 0; i < CORES_MAX && slow < 2; ++i) {
    if (*whole || gln_budget_is_spent(search, *bound))
      break;
    double before = *bound;
    GLN_TRY(price_core(search, bound));
    GLN_TRY(gln_budget_core_choose(search, whole));
    slow = *bound - before < CORE_GAIN * (search->total - before) ? slow + 1 : 0;
  }
  return GLN_OK;
}

/* The same. */
static GlnStatus run_search(GlnBudgetSearch *search, double *bound) {
  bool whole = false;
  GLN_TRY(gln_budget_median(search, bound));
  if (!gln_budget_tell_apart(*bound, search->total))
    return GLN_NO;
  GLN_TRY(narrow_down(search, bound, &whole));
  if (!whole)
    return GLN_OK;
  GLN_TRY(gln_budget_raise_bound(search, ROOT_ROUNDS, GLN_PRICING_ROOT, bound));
  GLN_TRY(gln_budget_better(search));
  if (!gln_budget_tell_apart(*bound, search->total))
    return GLN_NO;
  return branch(search, bound);
}

/* ---- the whole ------------------------------------------------------------------------------------------------------ */

static void mark_apart(GlnBudgetSearch *search) {
  memset(search->group_apart, 0xff, search->budget->colour_count * sizeof *search->group_apart);
  for (uint32_t v = 0; v < search->variable_count; ++v)
    for (uint32_t a = 0; a < search->cover->apart_count; ++a)
      for (uint32_t k = 0; search->cover->apart[a] == search->budget->group[v] &&
                           k < search->budget->trellis->variables[v].label_count;
           ++k)
        search->group_apart[gln_budget_colour(search, v, k)] = a;
}

static uint32_t count_used(const GlnBudget *budget, const uint32_t *labels, bool *seen) {
  uint32_t used = 0;
  for (size_t v = 0; v < budget->trellis->variable_count; ++v) {
    uint32_t c = budget->colours[budget->group[v]][labels[v]];
    used += seen[c] ? 0U : 1U;
    seen[c] = true;
  }
  return used;
}

static GlnStatus solve_with(const GlnBudget *budget, const uint32_t *free_labels, GlnArena *scratch,
                            GlnBudgetAnswer *answer) {
  GlnCover cover;
  bool *seen = GLN_NEW(scratch, bool, budget->colour_count);
  if (seen == NULL)
    return GLN_MEMORY;
  GLN_TRY(gln_cover_find(budget, scratch, &cover));
  answer->fewest = cover.count <= budget->most ? cover.least : cover.count;
  answer->fewest_is_exact = cover.least == cover.count;
  memcpy(answer->apart, cover.apart, cover.apart_count * sizeof *cover.apart);
  answer->apart_count = cover.apart_count;
  if (cover.count > budget->most)
    return GLN_NO;
  memcpy(answer->labels, free_labels, budget->trellis->variable_count * sizeof *free_labels);
  answer->total = answer->bound = gln_trellis_total(budget->trellis, free_labels);
  answer->used = count_used(budget, free_labels, seen);
  if (answer->used <= budget->most)
    return GLN_OK;
  GlnBudgetSearch search = {.budget = budget,
                            .arena = scratch,
                            .variable_count = (uint32_t)budget->trellis->variable_count,
                            .cover = &cover,
                            .total = (double)INFINITY,
                            .answer = answer};
  GLN_TRY(gln_budget_search_make(&search));
  mark_apart(&search);
  GlnStatus status = run_search(&search, &answer->bound);
  if (status != GLN_OK && status != GLN_NO)
    return status;
  answer->total = search.total;
  if (status == GLN_NO)
    answer->bound = answer->total;
  answer->bound = answer->bound < answer->total ? answer->bound : answer->total;
  memset(seen, 0, budget->colour_count * sizeof *seen);
  answer->used = count_used(budget, answer->labels, seen);
  return GLN_OK;
}

GlnStatus gln_budget_solve(const GlnBudget *budget, const uint32_t *free_labels, GlnArena *arena,
                           GlnBudgetAnswer *answer) {
  /* Not the arena itself: changes costed on the way stay there, so nothing may be given back in it. */
  GlnArena *scratch = gln_arena_beside(arena);
  if (scratch == NULL)
    return GLN_MEMORY;
  GlnStatus status = solve_with(budget, free_labels, scratch, answer);
  gln_arena_free(scratch);
  return status;
}
