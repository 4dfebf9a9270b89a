/* Search: the exact solution of a trellis with cycles (a section that returns ties its ends together).
 *
 * Lower bounds come from sequential tree-reweighted message passing (Kolmogorov, IEEE PAMI 28, 2006): the whole cost
 * is rewritten so that a part of it, never negative, can be left out. A label whose bound reaches the best whole
 * assignment found is deleted; no optimum is lost by it. What is left is branched on, one variable of a cycle at a
 * time, until only trees remain, and those are solved exactly. */
#include "route_internal.h"

#include <math.h>
#include <string.h>

#define ROUNDS_MAX 40         /* bounding rounds before branching; a round is a sweep there and one back */
#define CELLS_MAX  (1U << 21) /* cells of all whole matrices together: 16 MB */
#define LIKELY     12 /* labels of a variable that are tried when bounds rise no more; tuned on examples/ */
#define LIKELY_BRANCHES                                                                                      \
  200 /* of trying them: what they give is an assignment, whether or not it is their best */

typedef struct Bounds {
  GlnSolver *solver;
  double **up, **down; /* messages to the high and to the low end of every edge, one value per live label */
  double **kept;       /* theta of each variable when it was last passed */
  double *rest;        /* what each variable is sure to add to the bound */
  uint32_t *behind;    /* edges to variables not passed yet in this sweep, on the side the sweep comes from */
  double total_rest;
  double *window;       /* of every edge: gln_solver_message */
  double widened;       /* times the usual windows */
  double *const *value; /* of every label: its bound when it was last looked at; NULL: not asked for */
} Bounds;

static uint32_t other_end(const GlnEdge *edge, uint32_t v) {
  return edge->low == v ? edge->high : edge->low;
}

static GlnStatus bounds_make(GlnSolver *solver, Bounds *bounds) {
  const GlnTrellis *trellis = solver->trellis;
  size_t n = trellis->variable_count, m = trellis->edge_count;
  bounds->solver = solver;
  bounds->up = GLN_NEW(solver->arena, double *, m);
  bounds->down = GLN_NEW(solver->arena, double *, m);
  bounds->kept = GLN_NEW(solver->arena, double *, n);
  bounds->rest = GLN_NEW(solver->arena, double, n);
  bounds->behind = GLN_NEW(solver->arena, uint32_t, n);
  bounds->window = GLN_NEW(solver->arena, double, m);
  if (bounds->up == NULL || bounds->down == NULL || bounds->kept == NULL || bounds->rest == NULL ||
      bounds->behind == NULL || bounds->window == NULL)
    return GLN_MEMORY;
  for (size_t e = 0; e < m; ++e) {
    bounds->up[e] = GLN_NEW(solver->arena, double, trellis->variables[trellis->edges[e].high].label_count);
    bounds->down[e] = GLN_NEW(solver->arena, double, trellis->variables[trellis->edges[e].low].label_count);
    if (bounds->up[e] == NULL || bounds->down[e] == NULL)
      return GLN_MEMORY;
  }
  for (size_t v = 0; v < n; ++v) {
    bounds->kept[v] = GLN_NEW(solver->arena, double, trellis->variables[v].label_count);
    if (bounds->kept[v] == NULL)
      return GLN_MEMORY;
  }
  return GLN_OK;
}

/* No messages: every change is bounded by nothing. */
static void bounds_clear(Bounds *bounds) {
  const GlnSolver *solver = bounds->solver;
  const GlnTrellis *trellis = solver->trellis;
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    memset(bounds->up[e], 0, solver->count[trellis->edges[e].high] * sizeof(double));
    memset(bounds->down[e], 0, solver->count[trellis->edges[e].low] * sizeof(double));
  }
  for (size_t v = 0; v < trellis->variable_count; ++v)
    memset(bounds->kept[v], 0, solver->count[v] * sizeof(double));
}

static double *message_to(const Bounds *bounds, uint32_t e, uint32_t v) {
  return bounds->solver->trellis->edges[e].high == v ? bounds->up[e] : bounds->down[e];
}

/* theta of a variable: its unary costs and every message that has come in. */
static void sum_theta(const Bounds *bounds, uint32_t v) {
  const GlnSolver *solver = bounds->solver;
  double *theta = solver->theta[v];
  for (uint32_t k = 0; k < solver->count[v]; ++k)
    theta[k] = solver->trellis->variables[v].unary[solver->label[v][k]];
  for (uint32_t i = solver->edge_from[v]; i < solver->edge_from[v + 1]; ++i) {
    const double *message = message_to(bounds, solver->edge_list[i], v);
    for (uint32_t k = 0; k < solver->count[v]; ++k)
      theta[k] += message[k];
  }
}

/* Edges of v to variables that the sweep reaches later. */
static uint32_t edges_ahead(const GlnSolver *solver, uint32_t v, bool forward) {
  uint32_t ahead = 0;
  for (uint32_t i = solver->edge_from[v]; i < solver->edge_from[v + 1]; ++i)
    ahead += (solver->trellis->edges[solver->edge_list[i]].low == v) == forward;
  return ahead;
}

/* The part of theta that each edge of v on one side may draw on. */
static double share_of(const GlnSolver *solver, uint32_t v) {
  uint32_t low_side = edges_ahead(solver, v, true);
  uint32_t all = solver->edge_from[v + 1] - solver->edge_from[v];
  uint32_t most = low_side > all - low_side ? low_side : all - low_side;
  return most > 0 ? 1.0 / most : 1.0;
}

static double least_of(const double *a, const double *b, double factor, uint32_t count) {
  double best = (double)INFINITY;
  for (uint32_t k = 0; k < count; ++k) {
    double value = a[k] - factor * b[k];
    best = value < best ? value : best;
  }
  return best;
}

/* A variable still ahead of the sweep: its edges to others still ahead draw on theta as the last sweep left it. */
static void set_rest(Bounds *bounds, uint32_t v, double rest) {
  bounds->total_rest += rest - bounds->rest[v];
  bounds->rest[v] = rest;
}

static double rest_ahead(const Bounds *bounds, uint32_t v) {
  const GlnSolver *solver = bounds->solver;
  sum_theta(bounds, v);
  return least_of(solver->theta[v], bounds->kept[v], share_of(solver, v) * bounds->behind[v],
                  solver->count[v]);
}

/* Deletes the labels of v that can no longer be part of a better assignment. */
static void prune(Bounds *bounds, uint32_t v) {
  GlnSolver *solver = bounds->solver;
  double others = bounds->total_rest - bounds->rest[v];
  double least = solver->best_total > solver->keep_below ? solver->best_total : solver->keep_below;
  double limit = least - 1e-9 * (1.0 + fabs(least)); /* room for rounding */
  uint32_t kept = 0;
  for (uint32_t k = 0; k < solver->count[v]; ++k) {
    double bound = others + solver->theta[v][k];
    if (bounds->value != NULL)
      bounds->value[v][solver->label[v][k]] = bound;
    if (isinf(bound) || (!isinf(limit) && bound >= limit))
      continue;
    solver->label[v][kept] = solver->label[v][k];
    solver->theta[v][kept] = solver->theta[v][k];
    for (uint32_t i = solver->edge_from[v]; i < solver->edge_from[v + 1]; ++i) {
      double *message = message_to(bounds, solver->edge_list[i], v);
      message[kept] = message[k];
    }
    ++kept;
  }
  solver->count[v] = kept;
}

static void send_ahead(Bounds *bounds, uint32_t v, bool forward) {
  GlnSolver *solver = bounds->solver;
  double share = share_of(solver, v);
  for (uint32_t i = solver->edge_from[v]; i < solver->edge_from[v + 1]; ++i) {
    uint32_t e = solver->edge_list[i];
    const GlnEdge *edge = &solver->trellis->edges[e];
    if ((edge->low == v) != forward)
      continue;
    const double *back = message_to(bounds, e, v);
    for (uint32_t k = 0; k < solver->count[v]; ++k)
      solver->send[k] = share * bounds->kept[v][k] - back[k];
    uint32_t w = other_end(edge, v);
    double *message = message_to(bounds, e, w), *others = solver->receive;
    sum_theta(bounds, w);
    for (uint32_t k = 0; k < solver->count[w]; ++k)
      others[k] = solver->theta[w][k] - message[k];
    gln_solver_message(solver, edge, forward, solver->send, others, bounds->widened * bounds->window[e],
                       message);
    --bounds->behind[w];
    set_rest(bounds, w, rest_ahead(bounds, w));
  }
}

/* One sweep through the variables. False when no label of some variable is left: nothing better than the best found
 * exists. *bound gets the lower bound reached. */
static bool sweep(Bounds *bounds, bool forward, double *bound) {
  GlnSolver *solver = bounds->solver;
  uint32_t n = (uint32_t)solver->trellis->variable_count;
  bounds->total_rest = 0;
  for (uint32_t v = 0; v < n; ++v) {
    bounds->behind[v] = edges_ahead(solver, v, !forward);
    bounds->rest[v] = 0;
    double rest = rest_ahead(bounds, v);
    if (isinf(rest))
      return false;
    set_rest(bounds, v, rest);
  }
  for (uint32_t i = 0; i < n; ++i) {
    uint32_t v = forward ? i : n - 1 - i;
    sum_theta(bounds, v);
    prune(bounds, v);
    if (solver->count[v] == 0)
      return false;
    memcpy(bounds->kept[v], solver->theta[v], solver->count[v] * sizeof(double));
    double left = 1.0 - share_of(solver, v) * edges_ahead(solver, v, forward);
    send_ahead(bounds, v, forward);
    set_rest(bounds, v, least_of(bounds->kept[v], bounds->kept[v], 1.0 - left, solver->count[v]));
    if (isinf(bounds->total_rest) || isnan(bounds->total_rest))
      return false;
  }
  *bound = bounds->total_rest;
  return true;
}

/* ---- whole assignments -------------------------------------------------------------------------------------------- */

/* Cost of label at v: unary, the changes to neighbours that are taken, and for the others what they sent. */
static double cost_so_far(const Bounds *bounds, uint32_t v, uint32_t k, const uint32_t *taken, bool all_taken,
                          double stop) {
  const GlnSolver *solver = bounds->solver;
  const GlnTrellis *trellis = solver->trellis;
  uint32_t label = solver->label[v][k];
  double cost = trellis->variables[v].unary[label];
  for (uint32_t i = solver->edge_from[v]; i < solver->edge_from[v + 1] && cost < stop; ++i) {
    uint32_t e = solver->edge_list[i];
    const GlnEdge *edge = &trellis->edges[e];
    uint32_t w = other_end(edge, v);
    if (!all_taken && w > v)
      cost += message_to(bounds, e, v)[k];
    else
      cost += edge->low == v ? gln_edge_cost(trellis, edge, label, taken[w])
                             : gln_edge_cost(trellis, edge, taken[w], label);
  }
  return cost;
}

static bool take_best(const Bounds *bounds, uint32_t v, uint32_t *taken, bool all_taken) {
  const GlnSolver *solver = bounds->solver;
  double best = (double)INFINITY;
  uint32_t before = taken[v], label = solver->label[v][0];
  for (uint32_t k = 0; k < solver->count[v]; ++k) {
    double cost = cost_so_far(bounds, v, k, taken, all_taken, best);
    if (cost < best) {
      best = cost;
      label = solver->label[v][k];
    }
  }
  taken[v] = label;
  return label != before;
}

/* Takes labels one variable after the other by the messages of a sweep back, then betters each while that helps. */
static void decode(const Bounds *bounds, int betterings) {
  GlnSolver *solver = bounds->solver;
  uint32_t n = (uint32_t)solver->trellis->variable_count;
  for (uint32_t v = 0; v < n; ++v)
    take_best(bounds, v, solver->taken, false);
  if (isinf(gln_trellis_total(solver->trellis, solver->taken)))
    return; /* a forbidden change: bettering one at a time rarely gets out of it */
  gln_solver_offer(solver, solver->taken);
  for (int round = 0; round < betterings; ++round) {
    bool changed = false;
    for (uint32_t v = 0; v < n; ++v)
      changed = take_best(bounds, v, solver->taken, true) || changed;
    if (!changed)
      break;
  }
  gln_solver_offer(solver, solver->taken);
}

static uint64_t live_labels(const GlnSolver *solver) {
  uint64_t live = 0;
  for (size_t v = 0; v < solver->trellis->variable_count; ++v)
    live += solver->count[v];
  return live;
}

/* A label that costs more than the best by several times what a change costs there can hardly be the right one: its
 * bound may stay rough. */
static void set_windows(Bounds *bounds) {
  const GlnSolver *solver = bounds->solver;
  const GlnTrellis *trellis = solver->trellis;
  double sum = 0;
  bool known = !isinf(solver->best_total);
  double usual = trellis->usual_change > 0 ? trellis->usual_change : (double)INFINITY;
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    const GlnEdge *edge = &trellis->edges[e];
    bounds->window[e] =
        known ? gln_edge_cost(trellis, edge, solver->best[edge->low], solver->best[edge->high]) : usual;
    sum += bounds->window[e];
  }
  double mean = trellis->edge_count > 0 ? sum / (double)trellis->edge_count : 0;
  mean = known && !isinf(solver->keep_below) && solver->keep_below - solver->best_total > mean
             ? solver->keep_below - solver->best_total
             : mean;
  for (size_t e = 0; e < trellis->edge_count; ++e)
    bounds->window[e] = bounds->window[e] > mean ? bounds->window[e] : mean;
}

static bool is_costed(const GlnTrellis *trellis);
static void try_likely(const Bounds *bounds);

/* Sweeps until nothing more comes of it. False when the best assignment found is proved best. */
static bool bound_and_prune(Bounds *bounds) {
  GlnSolver *solver = bounds->solver;
  double last = -(double)INFINITY;
  uint64_t live = live_labels(solver);
  bool tried = is_costed(solver->trellis);
  bounds_clear(bounds);
  bounds->widened = 0.6;
  decode(bounds, 4);
  for (int round = 0; round < ROUNDS_MAX; ++round) {
    double bound = 0, best = solver->best_total;
    set_windows(bounds);
    if (!sweep(bounds, true, &bound) || !sweep(bounds, false, &bound))
      return false;
    decode(bounds, 4);
    uint64_t now = live_labels(solver);
    if (now == solver->trellis->variable_count)
      break;
    bool gained = bound - last > 0.01 * (solver->best_total - bound);
    if (!tried && !gained && solver->best_total >= best) {
      try_likely(bounds);
      tried = true;
    } else if (now == live && !gained && solver->best_total >= best) {
      if (bounds->widened > 10)
        break;
      bounds->widened *= 3;
    }
    live = now;
    last = bound;
  }
  return true;
}

/* ---- branching ---------------------------------------------------------------------------------------------------- */

/* The live labels of every variable at one depth of the search, to come back to. */
typedef struct Level {
  uint32_t *counts, *labels;
  struct Level *deeper;
} Level;

static GlnStatus branch(Bounds *bounds, Level **level);

static GlnStatus level_make(const GlnSolver *solver, Level **level) {
  if (*level != NULL)
    return GLN_OK;
  Level *made = GLN_NEW(solver->arena, Level, 1);
  size_t all = 0, n = solver->trellis->variable_count;
  for (size_t v = 0; v < n; ++v)
    all += solver->trellis->variables[v].label_count;
  if (made == NULL)
    return GLN_MEMORY;
  made->counts = GLN_NEW(solver->arena, uint32_t, n);
  made->labels = GLN_NEW(solver->arena, uint32_t, all);
  if (made->counts == NULL || made->labels == NULL)
    return GLN_MEMORY;
  *level = made;
  return GLN_OK;
}

static void level_save(const GlnSolver *solver, Level *level) {
  uint32_t *at = level->labels;
  for (size_t v = 0; v < solver->trellis->variable_count; ++v) {
    level->counts[v] = solver->count[v];
    memcpy(at, solver->label[v], solver->count[v] * sizeof *at);
    at += solver->count[v];
  }
}

/* Goes back to the level, with the one label left at the variable that is branched on. */
static void level_restore(GlnSolver *solver, const Level *level, uint32_t variable, uint32_t one) {
  const uint32_t *at = level->labels;
  for (uint32_t v = 0; v < solver->trellis->variable_count; ++v) {
    solver->count[v] = v == variable ? 1 : level->counts[v];
    memcpy(solver->label[v], v == variable ? at + one : at, solver->count[v] * sizeof *at);
    at += level->counts[v];
  }
}

static GlnStatus branch(Bounds *bounds, Level **level) {
  GlnSolver *solver = bounds->solver;
  if (++solver->branches > GLN_BRANCHES_MAX)
    return GLN_LIMIT;
  if (!bound_and_prune(bounds))
    return GLN_OK;
  uint32_t v = gln_solver_cycle_variable(solver);
  if (v == solver->trellis->variable_count) {
    gln_solver_forest(solver);
    return GLN_OK;
  }
  GLN_TRY(level_make(solver, level));
  level_save(solver, *level);
  for (uint32_t k = 0; k < (*level)->counts[v]; ++k) {
    level_restore(solver, *level, v, k);
    GLN_TRY(branch(bounds, &(*level)->deeper));
  }
  return GLN_OK;
}

/* The live part of a trellis as one of its own, with whole matrices, so that branching never costs a change twice.
 * False when it would be too large: then the search goes on without. */
static bool condense(const GlnSolver *solver, GlnTrellis *small) {
  const GlnTrellis *trellis = solver->trellis;
  uint64_t cells = 0;
  for (size_t e = 0; e < trellis->edge_count; ++e)
    cells += (uint64_t)solver->count[trellis->edges[e].low] * solver->count[trellis->edges[e].high];
  if (cells > CELLS_MAX)
    return false;
  *small = *trellis;
  small->variables = GLN_NEW(solver->arena, GlnVariable, trellis->variable_count);
  small->edges = GLN_NEW(solver->arena, GlnEdge, trellis->edge_count);
  double *matrix = GLN_NEW(solver->arena, double, cells);
  double *unary = GLN_NEW(solver->arena, double, live_labels(solver));
  if (small->variables == NULL || small->edges == NULL || matrix == NULL || unary == NULL)
    return false;
  for (size_t v = 0; v < trellis->variable_count; ++v) {
    small->variables[v] = (GlnVariable){unary, solver->count[v]};
    for (uint32_t k = 0; k < solver->count[v]; ++k)
      *unary++ = trellis->variables[v].unary[solver->label[v][k]];
  }
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    const GlnEdge *edge = &trellis->edges[e];
    small->edges[e] = *edge;
    small->edges[e].matrix = matrix;
    for (uint32_t l = 0; l < solver->count[edge->low]; ++l)
      for (uint32_t h = 0; h < solver->count[edge->high]; ++h)
        *matrix++ =
            gln_edge_cost_once(trellis, edge, solver->label[edge->low][l], solver->label[edge->high][h]);
  }
  return true;
}

/* Offers what the inner solver found in a condensed trellis. */
static void offer_condensed(GlnSolver *solver, const GlnSolver *inner) {
  if (inner->best_total >= solver->best_total)
    return;
  for (size_t v = 0; v < solver->trellis->variable_count; ++v)
    solver->taken[v] = solver->label[v][inner->best[v]];
  gln_solver_offer(solver, solver->taken);
}

/* The likeliest labels of every variable, by their bounds. */
static void keep_likely(const Bounds *bounds, GlnSolver *few) {
  const GlnSolver *solver = bounds->solver;
  for (uint32_t v = 0; v < solver->trellis->variable_count; ++v) {
    sum_theta(bounds, v);
    for (uint32_t k = 0; k < solver->count[v]; ++k)
      solver->ranked[k] = (GlnRanked){solver->theta[v][k], solver->label[v][k]};
    gln_ranked_sort(solver->ranked, solver->count[v], solver->spare);
    for (uint32_t k = 0; k < few->count[v]; ++k)
      few->label[v][k] = solver->ranked[k].at;
  }
}

static GlnStatus solve_few(GlnSolver *few) {
  GlnTrellis small;
  GlnSolver inner;
  Bounds within = {.value = NULL};
  Level *level = NULL;
  if (!condense(few, &small))
    return GLN_OK;
  GLN_TRY(gln_solver_make(&small, few->arena, &inner));
  GLN_TRY(bounds_make(&inner, &within));
  inner.best_total = few->best_total;
  inner.branches = GLN_BRANCHES_MAX - LIKELY_BRANCHES;
  GlnStatus status = branch(&within, &level);
  offer_condensed(few, &inner);
  return status;
}

/* Solves for the few likeliest labels of every variable and offers what comes out: where bounds are good but labels taken
 * one after the other are not, it is often the best, and then the bounds delete nearly all that is left. Without
 * memory it offers nothing, and what needs memory next says so. */
static void try_likely(const Bounds *bounds) {
  GlnSolver *solver = bounds->solver;
  const GlnTrellis *trellis = solver->trellis;
  size_t n = trellis->variable_count;
  GlnArenaMark mark = gln_arena_mark(solver->arena);
  GlnSolver few = *solver;
  few.count = GLN_NEW(solver->arena, uint32_t, n);
  few.label = GLN_NEW(solver->arena, uint32_t *, n);
  bool made = few.count != NULL && few.label != NULL;
  for (size_t v = 0; made && v < n; ++v) {
    few.count[v] = solver->count[v] < LIKELY ? solver->count[v] : LIKELY;
    few.label[v] = GLN_NEW(solver->arena, uint32_t, few.count[v]);
    made = few.label[v] != NULL;
  }
  if (made) {
    keep_likely(bounds, &few);
    (void)solve_few(&few); /* past its branches the best so far is offered all the same */
    solver->best_total = few.best_total;
  }
  gln_arena_rewind(solver->arena, mark);
}

static GlnStatus search_condensed(GlnSolver *solver) {
  GlnTrellis small;
  if (gln_solver_cycle_variable(solver) == solver->trellis->variable_count) {
    gln_solver_forest(solver);
    return GLN_OK;
  }
  if (!condense(solver, &small)) {
    Bounds bounds = {.value = NULL};
    Level *level = NULL;
    GLN_TRY(bounds_make(solver, &bounds));
    return branch(&bounds, &level);
  }
  GlnSolver inner;
  Bounds bounds = {.value = NULL};
  Level *level = NULL;
  GLN_TRY(gln_solver_make(&small, solver->arena, &inner));
  GLN_TRY(bounds_make(&inner, &bounds));
  inner.best_total = solver->best_total;
  GLN_TRY(branch(&bounds, &level));
  offer_condensed(solver, &inner);
  return GLN_OK;
}

/* All changes are whole matrices: a forest needs no bounds first. */
static bool is_costed(const GlnTrellis *trellis) {
  for (size_t e = 0; e < trellis->edge_count; ++e)
    if (trellis->edges[e].matrix == NULL)
      return false;
  return true;
}

GlnStatus gln_trellis_solve(const GlnTrellis *trellis, GlnArena *arena, uint32_t *labels, double *total) {
  GlnSolver solver;
  for (size_t v = 0; v < trellis->variable_count; ++v)
    if (trellis->variables[v].label_count == 0)
      return GLN_NO;
  GLN_TRY(gln_solver_make(trellis, arena, &solver));
  if (is_costed(trellis) && gln_solver_cycle_variable(&solver) == trellis->variable_count) {
    gln_solver_forest(&solver);
  } else {
    Bounds bounds = {.value = NULL};
    GLN_TRY(bounds_make(&solver, &bounds));
    if (bound_and_prune(&bounds))
      GLN_TRY(search_condensed(&solver));
  }
  if (isinf(solver.best_total))
    return GLN_NO;
  memcpy(labels, solver.best, trellis->variable_count * sizeof *labels);
  *total = solver.best_total;
  return GLN_OK;
}

GlnStatus gln_trellis_keep_below(const GlnTrellis *trellis, double total, GlnArena *arena,
                                 uint32_t *const *labels, uint32_t *counts) {
  GlnSolver solver;
  Bounds bounds = {.value = NULL};
  GLN_TRY(gln_solver_make(trellis, arena, &solver));
  GLN_TRY(bounds_make(&solver, &bounds));
  solver.keep_below = total + 1e-6 * (1.0 + fabs(total));
  (void)bound_and_prune(&bounds); /* however far it came, what it deleted is not needed */
  for (size_t v = 0; v < trellis->variable_count; ++v) {
    if (solver.count[v] == 0)
      return GLN_NO;
    counts[v] = solver.count[v];
    memcpy(labels[v], solver.label[v], solver.count[v] * sizeof *labels[v]);
  }
  return GLN_OK;
}

GlnStatus gln_trellis_bounds(const GlnTrellis *trellis, int rounds, GlnArena *arena, double *const *values) {
  GlnSolver solver;
  Bounds bounds = {.widened = 0.6, .value = values};
  GLN_TRY(gln_solver_make(trellis, arena, &solver));
  GLN_TRY(bounds_make(&solver, &bounds));
  solver.keep_below = (double)INFINITY;
  bounds_clear(&bounds);
  decode(&bounds, 4);
  for (int round = 0; round < rounds; ++round) {
    double bound = 0;
    set_windows(&bounds);
    if (!sweep(&bounds, true, &bound) || !sweep(&bounds, false, &bound))
      return GLN_NO;
    decode(&bounds, 4);
  }
  return GLN_OK;
}
