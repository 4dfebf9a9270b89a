/* --aim easy: the least hardest change first, then the least total. Hori & Sagayama, ISMIR 2016, for the recurrence on
 * a chain; here it bounds the hardest change on any trellis, and the sum is then solved under that limit. */
#include "route_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SWEEPS_MAX 16 /* any number gives a true bound; on a chain two are exact */

/* value[v][k]: no assignment with label k at v has a greatest load below it. */
typedef struct Loads {
  const GlnTrellis *trellis;
  double **value;
  GlnRanked *ranked;
  uint32_t *many;
  GlnFloors floors;
} Loads;

/* The least greatest load by which one label at the other end can be reached; now: no less is of interest. */
static double least_load(const Loads *loads, uint32_t target, double now) {
  const GlnFloors *floors = &loads->floors;
  const GlnRanked *ranked = loads->ranked;
  double best = (double)INFINITY, floor[GLN_BLOCK];
  for (size_t at = 0; at < floors->count && ranked[at].value < best && best > now; at += GLN_BLOCK) {
    gln_floors_block(floors, at, target, true, floor);
    for (size_t k = 0; k < GLN_BLOCK && at + k < floors->count; ++k) {
      if (ranked[at + k].value >= best || floor[k] >= best)
        continue;
      uint32_t a = floors->many[at + k];
      double load = gln_edge_load(floors->edge, floors->upward ? a : target, floors->upward ? target : a);
      load = load > ranked[at + k].value ? load : ranked[at + k].value;
      best = load < best ? load : best;
    }
  }
  return best;
}

/* Raises the values at one end of an edge by what the other end can offer; true when something rose. */
static bool raise_values(Loads *loads, const GlnEdge *edge, bool upward) {
  uint32_t source = upward ? edge->low : edge->high, target = upward ? edge->high : edge->low;
  uint32_t sources = loads->trellis->variables[source].label_count;
  for (uint32_t k = 0; k < sources; ++k)
    loads->ranked[k] = (GlnRanked){loads->value[source][k], k};
  qsort(loads->ranked, sources, sizeof *loads->ranked, gln_ranked_compare);
  for (uint32_t k = 0; k < sources; ++k)
    loads->many[k] = loads->ranked[k].at;
  gln_floors_set(&loads->floors, loads->trellis, edge, upward, loads->many, sources);
  bool rose = false;
  for (uint32_t t = 0; t < loads->trellis->variables[target].label_count; ++t) {
    double now = loads->value[target][t], best = least_load(loads, t, now);
    if (best > now) {
      loads->value[target][t] = best;
      rose = true;
    }
  }
  return rose;
}

static GlnStatus loads_make(const GlnTrellis *trellis, GlnArena *arena, Loads *loads) {
  uint32_t longest = 0;
  loads->trellis = trellis;
  loads->value = GLN_NEW(arena, double *, trellis->variable_count);
  if (loads->value == NULL)
    return GLN_MEMORY;
  for (size_t v = 0; v < trellis->variable_count; ++v) {
    uint32_t count = trellis->variables[v].label_count;
    loads->value[v] = GLN_NEW(arena, double, count);
    if (loads->value[v] == NULL)
      return GLN_MEMORY;
    longest = count > longest ? count : longest;
  }
  loads->ranked = GLN_NEW(arena, GlnRanked, longest);
  loads->many = GLN_NEW(arena, uint32_t, longest);
  if (loads->ranked == NULL || loads->many == NULL)
    return GLN_MEMORY;
  return gln_columns_make(longest, arena, &loads->floors.columns);
}

GlnStatus gln_trellis_least_load(const GlnTrellis *trellis, GlnArena *arena, double *load) {
  Loads loads;
  GLN_TRY(loads_make(trellis, arena, &loads));
  bool rose = true;
  for (int i = 0; i < SWEEPS_MAX && rose; ++i) {
    rose = false;
    for (size_t e = 0; e < trellis->edge_count; ++e)
      rose =
          raise_values(&loads, &trellis->edges[i % 2 == 0 ? e : trellis->edge_count - 1 - e], i % 2 == 0) ||
          rose;
    for (size_t e = 0; e < trellis->edge_count && i % 2 == 1; ++e)
      rose = raise_values(&loads, &trellis->edges[e], true) || rose;
  }
  *load = 0;
  for (size_t v = 0; v < trellis->variable_count; ++v) {
    double least = (double)INFINITY;
    for (uint32_t k = 0; k < trellis->variables[v].label_count; ++k)
      least = loads.value[v][k] < least ? loads.value[v][k] : least;
    *load = least > *load ? least : *load;
  }
  return GLN_OK;
}

/* Loads are doubles that are not negative, so their bit patterns are in their own order: halving the distance between
 * two patterns reaches every load there is. */
static double halfway(double low, double high) {
  uint64_t a, b;
  memcpy(&a, &low, sizeof a);
  memcpy(&b, &high, sizeof b);
  a += (b - a) / 2;
  memcpy(&low, &a, sizeof low);
  return low;
}

GlnStatus gln_trellis_solve_easy(GlnTrellis *trellis, GlnArena *arena, uint32_t *labels, double *total) {
  double low = 0, limit = trellis->load_limit;
  GLN_TRY(gln_trellis_least_load(trellis, arena, &low));
  if (low > limit)
    return GLN_NO;
  trellis->load_limit = low;
  GlnStatus status = gln_trellis_solve(trellis, arena, labels, total);
  if (status != GLN_NO)
    return status;
  /* Cycles forbid the bound itself: the least load lies above it. */
  trellis->load_limit = limit;
  GLN_TRY(gln_trellis_solve(trellis, arena, labels, total));
  double high = gln_trellis_load(trellis, labels);
  while (low < high) {
    double middle = halfway(low, high);
    if (middle <= low)
      break;
    trellis->load_limit = middle;
    status = gln_trellis_solve(trellis, arena, labels, total);
    if (status == GLN_OK)
      high = gln_trellis_load(trellis, labels);
    else if (status == GLN_NO)
      low = middle;
    else
      return status;
  }
  /* labels hold the last solution found, the cheapest with no change harder than high. */
  trellis->load_limit = high;
  return GLN_OK;
}
