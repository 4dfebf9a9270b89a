/* --aim easy: the least hardest change first, then the least total. Hori & Sagayama, ISMIR 2016, for the recurrence on
 * a chain; here it bounds the hardest change on any trellis, and the sum is then solved under that limit. */
#include "route_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SWEEPS_MAX 16 /* any number gives a true bound */
/* Of the load that is known to be enough: the first guess at the least, and from one guess to the next. Any numbers lead to
 * the same answer; tuned on examples/. */
#define GUESS_FIRST 0.4
#define GUESS_STEP  1.25
#define FINE_PART   8 /* the first fine is this part of the usual total; any number leads to the same answer */

/* value[v][k]: no assignment with label k at v has a greatest load below it. Loads of known or more are of no interest,
 * and neither is how far a value lies below least, which no assignment escapes. */
typedef struct Loads {
  const GlnTrellis *trellis;
  double **value;
  double least, known;
  GlnRanked *ranked, *spare;
  uint32_t *many;
  GlnFloors floors;
} Loads;

/* The least greatest load by which one label at the other end can be reached; enough: no less is of interest. */
static double least_load(const Loads *loads, uint32_t target, double enough) {
  const GlnFloors *floors = &loads->floors;
  const GlnRanked *ranked = loads->ranked;
  double best = loads->known, floor[GLN_BLOCK];
  for (size_t at = 0; at < floors->count && ranked[at].value < best && best > enough; at += GLN_BLOCK) {
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

static void rank_sources(Loads *loads, const GlnEdge *edge, bool upward) {
  uint32_t source = upward ? edge->low : edge->high, sources = loads->trellis->variables[source].label_count;
  for (uint32_t k = 0; k < sources; ++k)
    loads->ranked[k] = (GlnRanked){loads->value[source][k], k};
  gln_ranked_sort(loads->ranked, sources, loads->spare);
  for (uint32_t k = 0; k < sources; ++k)
    loads->many[k] = loads->ranked[k].at;
  gln_floors_set(&loads->floors, loads->trellis, edge, upward, loads->many, sources);
}

/* Raises the values at one end of an edge by what the other end can offer. */
static void raise_values(Loads *loads, const GlnEdge *edge, bool upward) {
  uint32_t target = upward ? edge->high : edge->low;
  rank_sources(loads, edge, upward);
  double lowest = (double)INFINITY;
  for (uint32_t t = 0; t < loads->trellis->variables[target].label_count; ++t) {
    double *now = &loads->value[target][t];
    if (*now < loads->known) {
      double best = least_load(loads, t, *now > loads->least ? *now : loads->least);
      *now = best > *now ? best : *now;
    }
    lowest = *now < lowest ? *now : lowest;
  }
  loads->least = lowest > loads->least ? lowest : loads->least;
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
  loads->spare = GLN_NEW(arena, GlnRanked, longest);
  loads->many = GLN_NEW(arena, uint32_t, longest);
  if (loads->ranked == NULL || loads->spare == NULL || loads->many == NULL)
    return GLN_MEMORY;
  return gln_columns_make(longest, arena, &loads->floors.columns);
}

/* Raises all values until the bound rises no more: there and back; on a chain the first way already reaches it. False when
 * the bound has come to known: every assignment has a load of that. */
static bool raise_all(Loads *loads) {
  const GlnTrellis *trellis = loads->trellis;
  double before = -1;
  loads->least = 0;
  for (size_t v = 0; v < trellis->variable_count; ++v)
    memset(loads->value[v], 0, trellis->variables[v].label_count * sizeof *loads->value[v]);
  for (int i = 0; i < SWEEPS_MAX && loads->least > before; ++i) {
    before = loads->least;
    for (size_t e = 0; e < trellis->edge_count && loads->least < loads->known; ++e)
      raise_values(loads, &trellis->edges[i % 2 == 0 ? e : trellis->edge_count - 1 - e], i % 2 == 0);
    if (loads->least >= loads->known)
      return false;
  }
  return true;
}

/* Bounds the greatest load: loads->least is what no assignment escapes, without cycles the true least. known: the greatest
 * load of some assignment. Guesses below it are tried first, for the less is of interest the sooner it is found. */
static GlnStatus find_loads(const GlnTrellis *trellis, GlnArena *arena, double known, Loads *loads) {
  GLN_TRY(loads_make(trellis, arena, loads));
  for (loads->known = known * GUESS_FIRST; loads->known < known; loads->known *= GUESS_STEP)
    if (raise_all(loads))
      return GLN_OK;
  loads->known = known;
  (void)raise_all(loads);
  return GLN_OK;
}

/* Loads are doubles that are not negative, so their bit patterns are in their own order: halving the distance between
 * two patterns reaches every load there is. */
static double halfway(double low, double high) {
  union {
    double load;
    uint64_t bits;
  } from = {.load = low}, to = {.load = high};
  from.bits += (to.bits - from.bits) / 2;
  return from.load;
}

/* Solves under the limit. Labels that no assignment under it can use are shut out beforehand: they cost without end. A
 * change past the limit is fined first: an answer without a fine is the best of all that keep the limit, and fines give the
 * search something to go by that a wall does not. usual: the total without the limit. */
static GlnStatus solve_under(const GlnTrellis *trellis, const Loads *loads, double limit, double usual,
                             GlnArena *arena, uint32_t *labels, double *total) {
  GlnTrellis limited = *trellis;
  limited.load_limit = limit;
  limited.variables = GLN_NEW(arena, GlnVariable, trellis->variable_count);
  if (limited.variables == NULL)
    return GLN_MEMORY;
  for (size_t v = 0; v < trellis->variable_count; ++v) {
    uint32_t count = trellis->variables[v].label_count;
    double *unary = GLN_NEW(arena, double, count);
    if (unary == NULL)
      return GLN_MEMORY;
    for (uint32_t k = 0; k < count; ++k)
      unary[k] = loads->value[v][k] > limit ? (double)INFINITY : trellis->variables[v].unary[k];
    limited.variables[v] = (GlnVariable){unary, count};
  }
  uint32_t *found = GLN_NEW(arena, uint32_t, trellis->variable_count);
  if (found == NULL)
    return GLN_MEMORY;
  limited.load_fine = usual / FINE_PART;
  for (;;) {
    double reached = 0;
    GLN_TRY(gln_trellis_solve(&limited, arena, found, &reached));
    bool keeps = gln_trellis_load(trellis, found) <= limit;
    if (keeps || limited.load_fine <= 0) {
      memcpy(labels, found, trellis->variable_count * sizeof *labels);
      *total = reached;
      return GLN_OK;
    }
    limited.load_fine = limited.load_fine < usual ? limited.load_fine * FINE_PART : 0; /* 0: a wall */
  }
}

static double usual_change(const GlnTrellis *trellis, const uint32_t *labels) {
  double changes = 0;
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    const GlnEdge *edge = &trellis->edges[e];
    changes += gln_edge_cost(trellis, edge, labels[edge->low], labels[edge->high]);
  }
  return trellis->edge_count > 0 ? changes / (double)trellis->edge_count : 0;
}

GlnStatus gln_trellis_solve_easy(GlnTrellis *trellis, GlnArena *arena, uint32_t *labels, double *total) {
  GLN_TRY(gln_trellis_solve(trellis, arena, labels, total));
  double high = gln_trellis_load(trellis, labels), usual = *total;
  trellis->usual_change = usual_change(trellis, labels);
  Loads loads;
  GLN_TRY(find_loads(trellis, arena, high, &loads));
  /* labels hold a solution with no change harder than high, the cheapest of them; below low there is none. The bound
   * itself is tried first, for it is mostly the answer. */
  double low = loads.least, limit = low;
  while (low < high) {
    GlnStatus status = solve_under(trellis, &loads, limit, usual, arena, labels, total);
    if (status == GLN_OK)
      high = gln_trellis_load(trellis, labels);
    else if (status == GLN_NO)
      low = limit;
    else
      return status;
    double middle = halfway(low, high);
    if (status == GLN_NO && middle <= low)
      break;
    limit = middle;
  }
  trellis->load_limit = high;
  return GLN_OK;
}
