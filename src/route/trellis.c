/* Trellis: messages along edges, and the exact solution where no cycle is left. */
#include "route_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- making a solver ------------------------------------------------------------------------------------------ */

static GlnStatus list_edges(GlnSolver *solver) {
  const GlnTrellis *trellis = solver->trellis;
  size_t n = trellis->variable_count;
  solver->edge_from = GLN_NEW(solver->arena, uint32_t, n + 2);
  solver->edge_list = GLN_NEW(solver->arena, uint32_t, 2 * trellis->edge_count);
  if (solver->edge_from == NULL || solver->edge_list == NULL)
    return GLN_MEMORY;
  uint32_t *from = solver->edge_from;
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    ++from[trellis->edges[e].low + 2];
    ++from[trellis->edges[e].high + 2];
  }
  for (size_t v = 2; v <= n + 1; ++v)
    from[v] += from[v - 1];
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    solver->edge_list[from[trellis->edges[e].low + 1]++] = (uint32_t)e;
    solver->edge_list[from[trellis->edges[e].high + 1]++] = (uint32_t)e;
  }
  return GLN_OK;
}

GlnStatus gln_solver_make(const GlnTrellis *trellis, GlnArena *arena, GlnSolver *solver) {
  memset(solver, 0, sizeof *solver);
  solver->trellis = trellis;
  solver->arena = arena;
  solver->best_total = (double)INFINITY;
  size_t n = trellis->variable_count, longest = 0;
  solver->count = GLN_NEW(arena, uint32_t, n);
  solver->label = GLN_NEW(arena, uint32_t *, n);
  solver->theta = GLN_NEW(arena, double *, n);
  solver->best = GLN_NEW(arena, uint32_t, n);
  if (solver->count == NULL || solver->label == NULL || solver->theta == NULL || solver->best == NULL)
    return GLN_MEMORY;
  for (size_t v = 0; v < n; ++v) {
    uint32_t count = trellis->variables[v].label_count;
    solver->count[v] = count;
    solver->label[v] = GLN_NEW(arena, uint32_t, count);
    solver->theta[v] = GLN_NEW(arena, double, count);
    if (solver->label[v] == NULL || solver->theta[v] == NULL)
      return GLN_MEMORY;
    for (uint32_t k = 0; k < count; ++k)
      solver->label[v][k] = k;
    longest = count > longest ? count : longest;
  }
  solver->ranked = GLN_NEW(arena, GlnRanked, longest);
  solver->targets = GLN_NEW(arena, GlnRanked, longest);
  solver->spare = GLN_NEW(arena, GlnRanked, longest);
  solver->many = GLN_NEW(arena, uint32_t, longest);
  GLN_TRY(gln_columns_make(longest, arena, &solver->floors.columns));
  solver->send = GLN_NEW(arena, double, longest);
  solver->receive = GLN_NEW(arena, double, longest);
  if (solver->ranked == NULL || solver->targets == NULL || solver->spare == NULL || solver->many == NULL ||
      solver->send == NULL || solver->receive == NULL)
    return GLN_MEMORY;
  GlnPeeling *peeling = &solver->peeling;
  peeling->order = GLN_NEW(arena, uint32_t, n);
  peeling->parent = GLN_NEW(arena, uint32_t, n);
  peeling->degree = GLN_NEW(arena, uint32_t, n);
  peeling->gone = GLN_NEW(arena, bool, n);
  solver->taken = GLN_NEW(arena, uint32_t, n);
  if (peeling->order == NULL || peeling->parent == NULL || peeling->degree == NULL || peeling->gone == NULL ||
      solver->taken == NULL)
    return GLN_MEMORY;
  return list_edges(solver);
}

/* ---- messages ------------------------------------------------------------------------------------------------- */

static bool comes_before(const GlnRanked *a, const GlnRanked *b) {
  return a->value < b->value || (a->value <= b->value && a->at < b->at);
}

int gln_ranked_compare(const void *a, const void *b) {
  return comes_before(a, b) ? -1 : comes_before(b, a);
}

static void merge(const GlnRanked *from, size_t left, size_t middle, size_t right, GlnRanked *to) {
  size_t a = left, b = middle;
  for (size_t i = left; i < right; ++i)
    to[i] = b >= right || (a < middle && comes_before(&from[a], &from[b])) ? from[a++] : from[b++];
}

/* By merging, with the comparison in place: the sorts of a solve took a seventh of its time through qsort. */
void gln_ranked_sort(GlnRanked *ranked, size_t count, GlnRanked *spare) {
  const size_t run = 8;
  for (size_t start = 0; start < count; start += run)
    for (size_t i = start + 1; i < count && i < start + run; ++i) {
      GlnRanked taken = ranked[i];
      size_t at = i;
      for (; at > start && comes_before(&taken, &ranked[at - 1]); --at)
        ranked[at] = ranked[at - 1];
      ranked[at] = taken;
    }
  GlnRanked *from = ranked, *to = spare;
  for (size_t width = run; width < count; width *= 2) {
    for (size_t left = 0; left < count; left += 2 * width) {
      size_t middle = left + width < count ? left + width : count;
      size_t right = middle + width < count ? middle + width : count;
      merge(from, left, middle, right, to);
    }
    GlnRanked *other = from;
    from = to;
    to = other;
  }
  if (from != ranked)
    memcpy(ranked, from, count * sizeof *ranked);
}

/* The least of the sources' values and floors for one target. Sources come from the cheapest up: once a source alone
 * costs as much as the best found, none further can do better, for no change costs less than nothing. */
static double least_floor(const GlnSolver *solver, uint32_t target, size_t *source) {
  const GlnFloors *floors = &solver->floors;
  const GlnRanked *ranked = solver->ranked;
  double best = (double)INFINITY, floor[GLN_BLOCK];
  *source = 0;
  for (size_t at = 0; at < floors->count && ranked[at].value < best; at += GLN_BLOCK) {
    gln_floors_block(floors, at, target, false, floor);
    for (size_t k = 0; k < GLN_BLOCK && at + k < floors->count; ++k) {
      double value = ranked[at + k].value + floor[k];
      if (value < best) {
        best = value;
        *source = at + k;
      }
    }
  }
  return best;
}

static double cost_between(const GlnFloors *floors, size_t source, uint32_t target) {
  uint32_t a = floors->many[source];
  return gln_edge_cost(floors->trellis, floors->edge, floors->upward ? a : target,
                       floors->upward ? target : a);
}

/* The same with whole costs, asked for only where the floor leaves a chance. likely: the source to begin with. */
static double least_cost(const GlnSolver *solver, uint32_t target, size_t likely) {
  const GlnFloors *floors = &solver->floors;
  const GlnRanked *ranked = solver->ranked;
  double best = ranked[likely].value + cost_between(floors, likely, target), floor[GLN_BLOCK];
  for (size_t at = 0; at < floors->count && ranked[at].value < best; at += GLN_BLOCK) {
    gln_floors_block(floors, at, target, false, floor);
    for (size_t k = 0; k < GLN_BLOCK && at + k < floors->count; ++k) {
      if (ranked[at + k].value + floor[k] >= best)
        continue;
      double value = ranked[at + k].value + cost_between(floors, at + k, target);
      best = value < best ? value : best;
    }
  }
  return best;
}

static void rank_sources(GlnSolver *solver, const GlnEdge *edge, bool upward, const double *in) {
  uint32_t source = upward ? edge->low : edge->high, count = solver->count[source];
  for (uint32_t k = 0; k < count; ++k)
    solver->ranked[k] = (GlnRanked){in[k], k};
  gln_ranked_sort(solver->ranked, count, solver->spare);
  for (uint32_t k = 0; k < count; ++k)
    solver->many[k] = solver->label[source][solver->ranked[k].at];
  gln_floors_set(&solver->floors, solver->trellis, edge, upward, solver->many, count);
}

static void message_lazy(GlnSolver *solver, const GlnEdge *edge, bool upward, const double *in, double *out) {
  uint32_t target = upward ? edge->high : edge->low;
  rank_sources(solver, edge, upward, in);
  for (uint32_t t = 0; t < solver->count[target]; ++t) {
    size_t likely = 0;
    out[t] = least_floor(solver, solver->label[target][t], &likely);
    if (!isinf(out[t]))
      out[t] = least_cost(solver, solver->label[target][t], likely);
  }
}

/* Targets from the cheapest up, each by as good a bound as it deserves: the cheapest source alone, then floors, then
 * costs. */
static void message_windowed(GlnSolver *solver, const GlnEdge *edge, bool upward, const double *in,
                             const double *others, double window, double *out) {
  uint32_t target = upward ? edge->high : edge->low, count = solver->count[target];
  rank_sources(solver, edge, upward, in);
  double cheapest = solver->ranked[0].value, least = (double)INFINITY;
  for (uint32_t t = 0; t < count; ++t) {
    out[t] = cheapest;
    solver->targets[t] = (GlnRanked){others[t] + cheapest, t};
  }
  gln_ranked_sort(solver->targets, count, solver->spare);
  for (uint32_t i = 0; i < count && solver->targets[i].value <= least + window; ++i) {
    uint32_t t = solver->targets[i].at;
    size_t likely = 0;
    out[t] = least_floor(solver, solver->label[target][t], &likely);
    if (isinf(out[t]) || others[t] + out[t] > least + window)
      continue;
    out[t] = least_cost(solver, solver->label[target][t], likely);
    least = others[t] + out[t] < least ? others[t] + out[t] : least;
  }
}

static void message_up_whole(const double *restrict matrix, uint32_t lows, uint32_t highs,
                             const double *restrict in, double *restrict out) {
  for (uint32_t h = 0; h < highs; ++h)
    out[h] = (double)INFINITY;
  for (uint32_t l = 0; l < lows; ++l) {
    const double *row = matrix + (size_t)l * highs;
    double base = in[l];
    for (uint32_t h = 0; h < highs; ++h) {
      double value = base + row[h];
      out[h] = value < out[h] ? value : out[h];
    }
  }
}

/* Four running minima, so that one comparison need not wait for the last. */
static void message_down_whole(const double *restrict matrix, uint32_t lows, uint32_t highs,
                               const double *restrict in, double *restrict out) {
  for (uint32_t l = 0; l < lows; ++l) {
    const double *row = matrix + (size_t)l * highs;
    double best[4] = {(double)INFINITY, (double)INFINITY, (double)INFINITY, (double)INFINITY};
    for (uint32_t h = 0; h < highs; ++h) {
      double value = in[h] + row[h];
      best[h % 4] = value < best[h % 4] ? value : best[h % 4];
    }
    double first = best[0] < best[1] ? best[0] : best[1], second = best[2] < best[3] ? best[2] : best[3];
    out[l] = first < second ? first : second;
  }
}

static void message_matrix(GlnSolver *solver, const GlnEdge *edge, bool upward, const double *in,
                           double *out) {
  const uint32_t *lows = solver->label[edge->low], *highs = solver->label[edge->high];
  uint32_t low_count = solver->count[edge->low], high_count = solver->count[edge->high];
  uint32_t width = solver->trellis->variables[edge->high].label_count;
  if (high_count == width && low_count == solver->trellis->variables[edge->low].label_count) {
    if (upward)
      message_up_whole(edge->matrix, low_count, high_count, in, out);
    else
      message_down_whole(edge->matrix, low_count, high_count, in, out);
    return;
  }
  for (uint32_t t = 0; t < (upward ? high_count : low_count); ++t)
    out[t] = (double)INFINITY;
  for (uint32_t l = 0; l < low_count; ++l) {
    const double *row = edge->matrix + (size_t)lows[l] * width;
    for (uint32_t h = 0; h < high_count; ++h) {
      double value = in[upward ? l : h] + row[highs[h]];
      double *at = &out[upward ? h : l];
      *at = value < *at ? value : *at;
    }
  }
}

void gln_solver_message(GlnSolver *solver, const GlnEdge *edge, bool upward, const double *in,
                        const double *others, double window, double *out) {
  if (edge->matrix != NULL)
    message_matrix(solver, edge, upward, in, out);
  else if (others == NULL)
    message_lazy(solver, edge, upward, in, out);
  else
    message_windowed(solver, edge, upward, in, others, window, out);
}

void gln_solver_offer(GlnSolver *solver, const uint32_t *labels) {
  double total = gln_trellis_total(solver->trellis, labels);
  if (total < solver->best_total) {
    solver->best_total = total;
    memcpy(solver->best, labels, solver->trellis->variable_count * sizeof *labels);
  }
}

/* ---- leaves --------------------------------------------------------------------------------------------------- */

static uint32_t other_end(const GlnEdge *edge, uint32_t v) {
  return edge->low == v ? edge->high : edge->low;
}

/* Takes v off by its last edge, then the neighbour when that has become a leaf, and so on along a chain: one end of it
 * only, so that its messages all go one way through the matrices. */
static void take_leaves_from(GlnSolver *solver, uint32_t v) {
  const GlnTrellis *trellis = solver->trellis;
  GlnPeeling *peeling = &solver->peeling;
  for (bool more = true; more;) {
    more = false;
    peeling->order[peeling->count++] = v;
    peeling->gone[v] = true;
    peeling->parent[v] = (uint32_t)trellis->edge_count;
    for (uint32_t i = solver->edge_from[v]; i < solver->edge_from[v + 1]; ++i) {
      uint32_t e = solver->edge_list[i], w = other_end(&trellis->edges[e], v);
      if (peeling->gone[w])
        continue;
      peeling->parent[v] = e;
      more = --peeling->degree[w] <= 1;
      v = w;
      break;
    }
  }
}

static void peel(GlnSolver *solver) {
  const GlnTrellis *trellis = solver->trellis;
  GlnPeeling *peeling = &solver->peeling;
  uint32_t n = (uint32_t)trellis->variable_count;
  peeling->count = 0;
  memset(peeling->degree, 0, n * sizeof *peeling->degree);
  for (uint32_t v = 0; v < n; ++v)
    peeling->gone[v] = solver->count[v] <= 1;
  for (uint32_t e = 0; e < trellis->edge_count; ++e) {
    const GlnEdge *edge = &trellis->edges[e];
    if (peeling->gone[edge->low] || peeling->gone[edge->high])
      continue;
    ++peeling->degree[edge->low];
    ++peeling->degree[edge->high];
  }
  for (uint32_t v = 0; v < n; ++v)
    if (!peeling->gone[v] && peeling->degree[v] <= 1)
      take_leaves_from(solver, v);
}

uint32_t gln_solver_cycle_variable(GlnSolver *solver) {
  peel(solver);
  const uint32_t *degree = solver->peeling.degree;
  uint32_t n = (uint32_t)solver->trellis->variable_count, best = n;
  for (uint32_t v = 0; v < n; ++v) {
    if (solver->peeling.gone[v])
      continue;
    if (best == n || degree[v] > degree[best] ||
        (degree[v] == degree[best] && solver->count[v] < solver->count[best]))
      best = v;
  }
  return best;
}

/* theta = unary costs and the changes to neighbours that have one label left. */
static void fold_fixed(GlnSolver *solver, uint32_t v) {
  const GlnTrellis *trellis = solver->trellis;
  for (uint32_t k = 0; k < solver->count[v]; ++k)
    solver->theta[v][k] = trellis->variables[v].unary[solver->label[v][k]];
  for (uint32_t i = solver->edge_from[v]; i < solver->edge_from[v + 1]; ++i) {
    const GlnEdge *edge = &trellis->edges[solver->edge_list[i]];
    uint32_t w = other_end(edge, v);
    if (solver->count[w] != 1)
      continue;
    uint32_t fixed = solver->label[w][0];
    for (uint32_t k = 0; k < solver->count[v]; ++k) {
      uint32_t label = solver->label[v][k];
      solver->theta[v][k] += edge->low == v ? gln_edge_cost(trellis, edge, label, fixed)
                                            : gln_edge_cost(trellis, edge, fixed, label);
    }
  }
}

/* The live label of v that costs least, the change to the label taken by its parent included. */
static uint32_t pick(GlnSolver *solver, uint32_t v, uint32_t parent, const uint32_t *labels) {
  const GlnTrellis *trellis = solver->trellis;
  const GlnEdge *edge = parent < trellis->edge_count ? &trellis->edges[parent] : NULL;
  uint32_t taken = edge != NULL ? labels[other_end(edge, v)] : 0, best_label = solver->label[v][0];
  double best = (double)INFINITY;
  for (uint32_t k = 0; k < solver->count[v]; ++k) {
    uint32_t label = solver->label[v][k];
    double value = solver->theta[v][k];
    if (value >= best)
      continue;
    if (edge != NULL)
      value += edge->low == v ? gln_edge_cost(trellis, edge, label, taken)
                              : gln_edge_cost(trellis, edge, taken, label);
    if (value < best) {
      best = value;
      best_label = label;
    }
  }
  return best_label;
}

void gln_solver_forest(GlnSolver *solver) {
  const GlnTrellis *trellis = solver->trellis;
  const GlnPeeling *peeling = &solver->peeling;
  uint32_t n = (uint32_t)trellis->variable_count, *labels = solver->taken;
  peel(solver);
  for (uint32_t v = 0; v < n; ++v) {
    if (solver->count[v] == 1)
      labels[v] = solver->label[v][0];
    else
      fold_fixed(solver, v);
  }
  for (uint32_t i = 0; i < peeling->count; ++i) {
    uint32_t v = peeling->order[i];
    if (peeling->parent[v] == trellis->edge_count)
      continue;
    const GlnEdge *edge = &trellis->edges[peeling->parent[v]];
    uint32_t w = other_end(edge, v);
    gln_solver_message(solver, edge, edge->low == v, solver->theta[v], NULL, 0, solver->receive);
    for (uint32_t k = 0; k < solver->count[w]; ++k)
      solver->theta[w][k] += solver->receive[k];
  }
  for (uint32_t i = peeling->count; i > 0; --i) {
    uint32_t v = peeling->order[i - 1];
    labels[v] = pick(solver, v, peeling->parent[v], labels);
  }
  gln_solver_offer(solver, labels);
}
