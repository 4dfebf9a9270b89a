/* Median: a first bound and a first answer while all labels are in play.
 *
 * Messages along the edges move cost into the labels (max-product linear programming: Globerson & Jaakkola, NIPS 2007):
 * every change keeps a part that is not negative, so that the cheapest labels of all variables add up to a lower bound
 * whatever the messages. What is left is a median problem: so many colours, and every variable goes to the nearest. One
 * multiplier a variable bounds it (Cornuejols, Fisher & Nemhauser, Management Science 23, 1977) and gives the prices;
 * greedy choice and exchange (Whitaker, INFOR 21, 1983) answer it. Labels whose bound reaches the answer are ruled out. */
#include "budget_internal.h"

#include <math.h>
#include <string.h>

#define SWEEPS_MAX    4   /* of messages over all edges. Design choice, tuned on examples/ and the bench */
#define STEPS_MAX     160 /* of the multipliers between two sweeps */
#define STEPS_FAILED  10  /* before steps are made shorter */
#define FAR           1e7 /* points to a colour that does not serve the variable */
#define EXCHANGES_MAX 200

typedef struct Median {
  GlnBudgetSearch *search;
  GlnSolver solver;
  double **up, **down; /* messages to the high and to the low end of every edge, one a live label */
  double *from_low, *from_high, *to_low, *to_high; /* one edge at work, as long as the longest variable */
  double *distance; /* one a cell: the cheapest of its live labels; INFINITY when there is none */
  double *multiplier, *tried, *nearest, *slope;
  double bound;
  /* The median's answer. */
  double *first, *second; /* of each variable: to the nearest open colour, and the next */
  uint32_t *first_colour, *mine, mine_count;
  double *loss; /* one a colour of mine: when it is closed */
} Median;

static GlnStatus median_make(Median *median) {
  GlnBudgetSearch *search = median->search;
  const GlnTrellis *trellis = search->budget->trellis;
  GlnArena *arena = search->arena;
  uint32_t n = search->variable_count, longest = 0;
  GLN_TRY(gln_solver_make(trellis, arena, &median->solver));
  for (uint32_t v = 0; v < n; ++v)
    longest = trellis->variables[v].label_count > longest ? trellis->variables[v].label_count : longest;
  double **scratch[] = {&median->from_low, &median->from_high, &median->to_low, &median->to_high};
  for (size_t i = 0; i < GLN_COUNT_OF(scratch); ++i) {
    *scratch[i] = GLN_NEW(arena, double, longest);
    if (*scratch[i] == NULL)
      return GLN_MEMORY;
  }
  double **rows[] = {&median->multiplier, &median->tried, &median->nearest,
                     &median->slope,      &median->first, &median->second};
  for (size_t i = 0; i < GLN_COUNT_OF(rows); ++i) {
    *rows[i] = GLN_NEW(arena, double, n);
    if (*rows[i] == NULL)
      return GLN_MEMORY;
  }
  median->up = GLN_NEW(arena, double *, trellis->edge_count);
  median->down = GLN_NEW(arena, double *, trellis->edge_count);
  median->distance = GLN_NEW(arena, double, search->cell_count);
  median->first_colour = GLN_NEW(arena, uint32_t, n);
  median->mine = GLN_NEW(arena, uint32_t, n + 1);
  median->loss = GLN_NEW(arena, double, search->budget->colour_count);
  if (median->up == NULL || median->down == NULL || median->distance == NULL ||
      median->first_colour == NULL || median->mine == NULL || median->loss == NULL)
    return GLN_MEMORY;
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    median->up[e] = GLN_NEW(arena, double, trellis->variables[trellis->edges[e].high].label_count);
    median->down[e] = GLN_NEW(arena, double, trellis->variables[trellis->edges[e].low].label_count);
    if (median->up[e] == NULL || median->down[e] == NULL)
      return GLN_MEMORY;
  }
  for (uint32_t v = 0; v < n; ++v)
    memcpy(median->solver.theta[v], trellis->variables[v].unary,
           trellis->variables[v].label_count * sizeof **median->solver.theta);
  return GLN_OK;
}

/* ---- messages -------------------------------------------------------------------------------------------------- */

static double price_of(const Median *median, uint32_t v, uint32_t k) {
  uint32_t cell = median->search->cell_of[v][median->solver.label[v][k]];
  double price = median->multiplier[v] - median->distance[cell];
  return price > 0 ? price : 0;
}

/* What every label of v costs, prices included, without what this edge has sent. */
static void gather(const Median *median, uint32_t v, const double *message, double *out) {
  for (uint32_t k = 0; k < median->solver.count[v]; ++k)
    out[k] = median->solver.theta[v][k] + price_of(median, v, k) - message[k];
}

static void keep_half(const Median *median, uint32_t v, const double *from, const double *to,
                      double *message) {
  for (uint32_t k = 0; k < median->solver.count[v]; ++k) {
    double half = 0.5 * (to[k] - from[k]);
    median->solver.theta[v][k] += half - message[k];
    message[k] = half;
  }
}

static void pass_edge(Median *median, uint32_t e, double window) {
  const GlnEdge *edge = &median->search->budget->trellis->edges[e];
  gather(median, edge->low, median->down[e], median->from_low);
  gather(median, edge->high, median->up[e], median->from_high);
  gln_solver_message(&median->solver, edge, true, median->from_low, median->from_high, window,
                     median->to_high);
  gln_solver_message(&median->solver, edge, false, median->from_high, median->from_low, window,
                     median->to_low);
  keep_half(median, edge->low, median->from_low, median->to_low, median->down[e]);
  keep_half(median, edge->high, median->from_high, median->to_high, median->up[e]);
}

/* Over all edges there and back. Where a label costs more than the best by more than the window, its messages may be
 * rough. */
static void sweep(Median *median, double window) {
  uint32_t m = (uint32_t)median->search->budget->trellis->edge_count;
  for (uint32_t e = 0; e < m; ++e)
    pass_edge(median, e, window);
  for (uint32_t e = m; e > 0; --e)
    pass_edge(median, e - 1, window);
}

static void measure(Median *median) {
  const GlnBudgetSearch *search = median->search;
  for (uint32_t cell = 0; cell < search->cell_count; ++cell)
    median->distance[cell] = (double)INFINITY;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    median->nearest[v] = (double)INFINITY;
    for (uint32_t k = 0; k < median->solver.count[v]; ++k) {
      double theta = median->solver.theta[v][k];
      double *distance = &median->distance[search->cell_of[v][median->solver.label[v][k]]];
      *distance = theta < *distance ? theta : *distance;
      median->nearest[v] = theta < median->nearest[v] ? theta : median->nearest[v];
    }
  }
}

/* ---- an answer to the median ------------------------------------------------------------------------------------- */

static void find_nearest(Median *median) {
  const GlnBudgetSearch *search = median->search;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    median->first[v] = median->second[v] = FAR;
    median->first_colour[v] = 0;
  }
  for (uint32_t i = 0; i < median->mine_count; ++i) {
    uint32_t c = median->mine[i];
    for (uint32_t at = search->colour_from[c]; at < search->colour_from[c + 1]; ++at) {
      uint32_t cell = search->colour_cell[at], v = search->cell_variable[cell];
      double d = median->distance[cell];
      if (d < median->first[v]) {
        median->second[v] = median->first[v];
        median->first[v] = d;
        median->first_colour[v] = i;
      } else if (d < median->second[v]) {
        median->second[v] = d;
      }
    }
  }
}

static double answer_total(const Median *median) {
  double total = 0;
  for (uint32_t v = 0; v < median->search->variable_count; ++v)
    total += median->first[v];
  return total;
}

/* By how much opening c betters the answer; with a colour closed for it, by the most that any gives: *closed. */
static double gain_of(Median *median, uint32_t c, bool exchange, uint32_t *closed) {
  const GlnBudgetSearch *search = median->search;
  double gain = 0;
  if (exchange)
    memset(median->loss, 0, median->mine_count * sizeof *median->loss);
  for (uint32_t v = 0; exchange && v < search->variable_count; ++v)
    median->loss[median->first_colour[v]] += median->second[v] - median->first[v];
  for (uint32_t at = search->colour_from[c]; at < search->colour_from[c + 1]; ++at) {
    uint32_t cell = search->colour_cell[at], v = search->cell_variable[cell];
    double d = median->distance[cell];
    gain += d < median->first[v] ? median->first[v] - d : 0;
    double between = d < median->first[v] ? median->first[v] : d;
    if (exchange && between < median->second[v])
      median->loss[median->first_colour[v]] -= median->second[v] - between;
  }
  if (!exchange)
    return gain;
  *closed = 0;
  for (uint32_t i = 1; i < median->mine_count; ++i)
    *closed = median->loss[i] < median->loss[*closed] ? i : *closed;
  return gain - median->loss[*closed];
}

/* Opens or exchanges the colour that helps most. False when none helps. */
static bool better_by_one(Median *median) {
  const GlnBudgetSearch *search = median->search;
  bool exchange = median->mine_count == search->budget->most;
  double most = 1e-9;
  uint32_t best = search->budget->colour_count, out = 0;
  for (uint32_t i = 0; i < median->mine_count; ++i)
    search->open[median->mine[i]] = true;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
    uint32_t closed = 0;
    double gain = search->open[c] ? 0 : gain_of(median, c, exchange, &closed);
    if (gain > most) {
      most = gain;
      best = c;
      out = closed;
    }
  }
  for (uint32_t i = 0; i < median->mine_count; ++i)
    search->open[median->mine[i]] = false;
  if (best == search->budget->colour_count)
    return false;
  median->mine[exchange ? out : median->mine_count++] = best;
  find_nearest(median);
  return true;
}

/* Betters the colours of mine for the median, then solves the line on them. Returns the median's total. */
static GlnStatus answer_from(Median *median, double *median_total) {
  GlnBudgetSearch *search = median->search;
  memset(search->open, 0, search->budget->colour_count * sizeof *search->open);
  find_nearest(median);
  for (int i = 0; i < EXCHANGES_MAX && median->mine_count <= search->variable_count; ++i)
    if (!better_by_one(median))
      break;
  *median_total = answer_total(median);
  for (uint32_t i = 0; i < median->mine_count; ++i) {
    search->open[median->mine[i]] = true;
    search->pool[median->mine[i]] = 1;
  }
  double total = 0;
  return gln_budget_answer_open(search, &total);
}

static void take_cover(Median *median) {
  const GlnCover *cover = median->search->cover;
  memcpy(median->mine, cover->colours, cover->count * sizeof *median->mine);
  median->mine_count = cover->count;
}

/* ---- multipliers -------------------------------------------------------------------------------------------------- */

/* The bound under the multipliers, and the colours chosen for it. */
static double value_of(const Median *median, double *multiplier) {
  GlnBudgetSearch *search = median->search;
  double sum = 0;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    multiplier[v] = multiplier[v] > median->nearest[v] ? multiplier[v] : median->nearest[v];
    sum += multiplier[v];
  }
  memset(search->worth, 0, search->budget->colour_count * sizeof *search->worth);
  for (uint32_t cell = 0; cell < search->cell_count; ++cell) {
    double price = multiplier[search->cell_variable[cell]] - median->distance[cell];
    search->worth[search->cell_colour[cell]] += price > 0 ? price : 0;
  }
  return sum - gln_budget_choose_open(search);
}

/* How many open colours are nearer than the multiplier, less one, of every variable. The sum of squares. */
static double slope_of(const Median *median, const double *multiplier) {
  const GlnBudgetSearch *search = median->search;
  double square = 0;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    median->slope[v] = 1;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c)
    for (uint32_t at = search->colour_from[c]; search->open[c] && at < search->colour_from[c + 1]; ++at) {
      uint32_t cell = search->colour_cell[at], v = search->cell_variable[cell];
      median->slope[v] -= median->distance[cell] < multiplier[v] ? 1 : 0;
    }
  for (uint32_t v = 0; v < search->variable_count; ++v)
    square += median->slope[v] * median->slope[v];
  return square;
}

/* Raises the bound by steps of the multipliers toward the median's answer. */
static void raise_multipliers(Median *median, double target) {
  uint32_t n = median->search->variable_count;
  double scale = 1.0, *tried = median->tried;
  int failed = 0;
  median->bound = value_of(median, median->multiplier);
  memcpy(tried, median->multiplier, n * sizeof *tried);
  for (int step = 0; step < STEPS_MAX && scale > 1e-3; ++step) {
    double value = value_of(median, tried);
    if (value > median->bound) {
      median->bound = value;
      memcpy(median->multiplier, tried, n * sizeof *tried);
      failed = 0;
    } else if (++failed > STEPS_FAILED) {
      failed = 0;
      scale *= 0.6;
      memcpy(tried, median->multiplier, n * sizeof *tried);
      value = value_of(median, tried);
    }
    double square = slope_of(median, tried);
    if (square < 0.5 || !gln_budget_tell_apart(value, target))
      break;
    for (uint32_t v = 0; v < n; ++v)
      tried[v] += scale * (target - value) / square * median->slope[v];
  }
  median->bound = value_of(median, median->multiplier);
}

/* ---- labels ruled out ---------------------------------------------------------------------------------------------- */

static void move_label(Median *median, uint32_t v, uint32_t from, uint32_t to) {
  GlnSolver *solver = &median->solver;
  solver->label[v][to] = solver->label[v][from];
  solver->theta[v][to] = solver->theta[v][from];
  for (uint32_t i = solver->edge_from[v]; i < solver->edge_from[v + 1]; ++i) {
    uint32_t e = solver->edge_list[i];
    double *message = solver->trellis->edges[e].high == v ? median->up[e] : median->down[e];
    message[to] = message[from];
  }
}

/* Rules out labels whose bound reaches the answer. False when a variable has none left: the answer is the best. */
static bool prune(Median *median) {
  GlnBudgetSearch *search = median->search;
  bool any = true;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t kept = 0;
    for (uint32_t k = 0; k < median->solver.count[v]; ++k) {
      double past = median->solver.theta[v][k] + price_of(median, v, k) - median->multiplier[v];
      uint32_t label = median->solver.label[v][k], colour = gln_budget_colour(search, v, label);
      double rise = (past > 0 ? past : 0) + gln_budget_opening_rise(search, colour);
      search->rise[v][label] = rise;
      if (gln_budget_tell_apart(median->bound + rise, search->total))
        move_label(median, v, k, kept++);
    }
    median->solver.count[v] = kept;
    any = any && kept > 0;
  }
  return any;
}

static double usual_change(const GlnBudgetSearch *search) {
  const GlnTrellis *trellis = search->budget->trellis;
  double sum = 0;
  for (size_t e = 0; e < trellis->edge_count; ++e)
    sum += gln_edge_cost(trellis, &trellis->edges[e], search->answer->labels[trellis->edges[e].low],
                         search->answer->labels[trellis->edges[e].high]);
  return trellis->edge_count > 0 ? sum / (double)trellis->edge_count : 0;
}

/* Live labels and prices as the rounds of pricing go on from them. */
static void hand_over(const Median *median) {
  GlnBudgetSearch *search = median->search;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    search->all_count[v] = median->solver.count[v];
    memcpy(search->all_label[v], median->solver.label[v],
           median->solver.count[v] * sizeof **search->all_label);
  }
  for (uint32_t cell = 0; cell < search->cell_count; ++cell) {
    double price = median->multiplier[search->cell_variable[cell]] - median->distance[cell];
    search->best_price[cell] = search->whole_price[cell] = price > 0 ? price : 0;
  }
  memcpy(search->distance, median->distance, search->cell_count * sizeof *search->distance);
  memcpy(search->multiplier, median->multiplier, search->variable_count * sizeof *search->multiplier);
}

GlnStatus gln_budget_median(GlnBudgetSearch *search, double *bound) {
  Median median = {.search = search};
  GLN_TRY(median_make(&median));
  for (uint32_t v = 0; v < search->variable_count; ++v)
    median.multiplier[v] = -(double)INFINITY;
  measure(&median);
  take_cover(&median);
  double target = 0;
  GLN_TRY(answer_from(&median, &target));
  bool any = true;
  *bound = -(double)INFINITY;
  for (int i = 0; i < SWEEPS_MAX && any; ++i) {
    sweep(&median, 2 * usual_change(search));
    measure(&median);
    GLN_TRY(answer_from(&median, &target));
    raise_multipliers(&median, target);
    any = prune(&median);
    *bound = median.bound > *bound ? median.bound : *bound;
    measure(&median);
  }
  hand_over(&median);
  *bound = any ? *bound : search->total;
  return GLN_OK;
}
