/* Prices by the volume algorithm (Barahona & Anbil, Mathematical Programming 87, 2000): steps along the mean of what the
 * rounds broke, from the best prices known. */
#include "budget_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Colours that are worth anything, and those whose gate is open, the best first. */
static uint32_t rank_colours(GlnBudgetSearch *search) {
  uint32_t live = 0;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
    bool open = search->gates[c] == GLN_GATE_OPEN;
    search->open[c] = false;
    if (open || (search->gates[c] == GLN_GATE_FREE && search->worth[c] > 0))
      search->ranked[live++] = (GlnRanked){open ? -(double)INFINITY : -search->worth[c], c};
  }
  qsort(search->ranked, live, sizeof *search->ranked, gln_ranked_compare);
  return live;
}

double gln_budget_choose_open(GlnBudgetSearch *search) {
  uint32_t chosen = 0, live = rank_colours(search);
  double sum = 0;
  for (uint32_t a = 0; a < search->cover->apart_count; ++a) {
    search->apart_served[a] = false;
    search->worth_apart[a] = (double)INFINITY;
  }
  for (uint32_t i = 0; i < live; ++i) {
    uint32_t c = search->ranked[i].at, apart = search->group_apart[c];
    bool open = search->gates[c] == GLN_GATE_OPEN,
         first = apart != UINT32_MAX && !search->apart_served[apart];
    if (first)
      search->apart_served[apart] = true;
    if (!first && !open)
      continue;
    if (first && !open)
      search->worth_apart[apart] = search->worth[c];
    search->open[c] = true;
    sum += search->worth[c];
    ++chosen;
  }
  /* A group apart for which no colour is worth anything takes one all the same. */
  for (uint32_t a = 0; a < search->cover->apart_count; ++a)
    if (!search->apart_served[a]) {
      search->worth_apart[a] = 0;
      ++chosen;
    }
  search->worth_last = (double)INFINITY;
  for (uint32_t i = 0; i < live && chosen < search->budget->most; ++i) {
    uint32_t c = search->ranked[i].at;
    if (search->open[c])
      continue;
    search->open[c] = true;
    sum += search->worth[c];
    search->worth_last = search->worth[c];
    ++chosen;
  }
  search->has_room = chosen < search->budget->most;
  return chosen > search->budget->most ? -(double)INFINITY : sum;
}

double gln_budget_opening_rise(const GlnBudgetSearch *search, uint32_t colour) {
  if (search->open[colour] || search->has_room)
    return 0;
  uint32_t apart = search->group_apart[colour];
  double least = search->worth_last;
  if (apart != UINT32_MAX && search->worth_apart[apart] < least)
    least = search->worth_apart[apart];
  return least > search->worth[colour] ? least - search->worth[colour] : 0;
}

static void price_work(GlnBudgetSearch *search) {
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    const double *plain = search->budget->trellis->variables[v].unary;
    for (uint32_t k = 0; k < search->work.variables[v].label_count; ++k) {
      uint32_t label = search->label[v][k];
      search->unary[v][k] = search->gates[gln_budget_colour(search, v, label)] != GLN_GATE_CLOSED
                                ? plain[label] + search->price[search->cell_of[v][label]]
                                : (double)INFINITY;
    }
  }
}

GlnStatus gln_budget_solve_priced(GlnBudgetSearch *search, double *total) {
  GlnArenaMark mark = gln_arena_mark(search->arena);
  price_work(search);
  search->effort += search->solve_effort;
  GlnStatus status = gln_trellis_solve(&search->work, search->arena, search->found, total);
  gln_arena_rewind(search->arena, mark);
  if (status != GLN_OK)
    return status;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    search->found[v] = search->label[v][search->found[v]];
    search->taken_cell[v] = search->cell_of[v][search->found[v]];
    search->pool[search->cell_colour[search->taken_cell[v]]] = 1;
  }
  return GLN_OK;
}

void gln_budget_close_gates(GlnBudgetSearch *search, double bound) {
  for (uint32_t c = 0; c < search->budget->colour_count; ++c)
    if (search->gates[c] == GLN_GATE_FREE && !search->open[c] &&
        !gln_budget_tell_apart(bound + gln_budget_opening_rise(search, c), search->total))
      search->gates[c] = GLN_GATE_CLOSED;
}

double gln_budget_choose_by_price(GlnBudgetSearch *search) {
  memset(search->worth, 0, search->budget->colour_count * sizeof *search->worth);
  for (uint32_t cell = 0; cell < search->cell_count; ++cell)
    search->worth[search->cell_colour[cell]] += search->price[cell];
  return gln_budget_choose_open(search);
}

/* Bound under the present prices. -INFINITY never; INFINITY when the gates admit nothing. */
static GlnStatus price_round(GlnBudgetSearch *search, double *bound) {
  double total = 0, worth = gln_budget_choose_by_price(search);
  GlnStatus status = isinf(worth) ? GLN_NO : gln_budget_solve_priced(search, &total);
  if (status == GLN_NO) {
    *bound = (double)INFINITY;
    return GLN_OK;
  }
  GLN_TRY(status);
  *bound = total - worth;
  return GLN_OK;
}

static void average(GlnBudgetSearch *search, double part) {
  for (uint32_t cell = 0; cell < search->cell_count; ++cell)
    search->mean_taken[cell] *= 1 - part;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    search->mean_taken[search->taken_cell[v]] += part;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c)
    search->mean_open[c] = (1 - part) * search->mean_open[c] + (search->open[c] ? part : 0);
}

/* Steps from the best prices along the mean of what the rounds broke. False when nothing is broken. */
static bool step(GlnBudgetSearch *search, double bound, double scale) {
  double square = 0;
  for (uint32_t cell = 0; cell < search->cell_count; ++cell) {
    double broken = search->mean_taken[cell] - search->mean_open[search->cell_colour[cell]];
    if (broken > 0 || search->best_price[cell] > 0)
      square += broken * broken;
  }
  if (square < 1e-12)
    return false;
  double length = scale * (search->total - bound) / square;
  for (uint32_t cell = 0; cell < search->cell_count; ++cell) {
    double broken = search->mean_taken[cell] - search->mean_open[search->cell_colour[cell]];
    double price = search->best_price[cell] + length * broken;
    search->price[cell] = price > 0 ? price : 0;
  }
  return true;
}

/* Rules out labels whose bound under the best prices reaches the answer. GLN_NO when a variable has none left. */
static GlnStatus narrow(GlnBudgetSearch *search) {
  memcpy(search->price, search->best_price, search->cell_count * sizeof *search->price);
  double worth = gln_budget_choose_by_price(search);
  price_work(search);
  GlnArenaMark mark = gln_arena_mark(search->arena);
  uint32_t *counts = GLN_NEW(search->arena, uint32_t, search->variable_count);
  uint32_t **kept = GLN_NEW(search->arena, uint32_t *, search->variable_count);
  if (counts == NULL || kept == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    kept[v] = GLN_NEW(search->arena, uint32_t, search->work.variables[v].label_count);
    if (kept[v] == NULL)
      return GLN_MEMORY;
  }
  search->effort += 4 * search->solve_effort;
  GlnStatus status =
      gln_trellis_keep_below(&search->work, search->total + worth, search->arena, kept, counts);
  for (uint32_t v = 0; status == GLN_OK && v < search->variable_count; ++v) {
    search->live_count[v] = counts[v];
    for (uint32_t i = 0; i < counts[v]; ++i)
      search->live_label[v][i] = search->label[v][kept[v][i]];
  }
  gln_arena_rewind(search->arena, mark);
  return status == GLN_OK ? gln_budget_work_make(search) : status;
}

#define NARROW_ROUNDS 24 /* between two rulings out of labels. Design choice, as are the numbers of Pace */

/* How far the next step goes. */
typedef struct Pace {
  double scale; /* of the step that would reach the answer if the bound were a plane */
  double part;  /* of the last round in the mean */
  int failed;   /* rounds without a better bound */
} Pace;

static void take_bound(GlnBudgetSearch *search, double bound, double *best, Pace *pace) {
  average(search, pace->part);
  pace->part = 0.15;
  if (bound > *best) {
    pace->scale *= bound - *best > 0.001 * (search->total - *best) ? 1.1 : 1;
    pace->scale = pace->scale > 2 ? 2 : pace->scale;
    pace->failed = 0;
    *best = bound;
    memcpy(search->best_price, search->price, search->cell_count * sizeof *search->price);
  } else if (++pace->failed % 8 == 0) {
    pace->scale *= 0.7;
  }
}

/* One round; *more: another may help. GLN_NO when nothing better is left. */
static GlnStatus raise_once(GlnBudgetSearch *search, int round, GlnPricing pricing, double *best, Pace *pace,
                            bool *more) {
  double bound = 0, total = 0;
  GLN_TRY(price_round(search, &bound));
  *more = false;
  if (!gln_budget_tell_apart(bound, search->total)) {
    *best = bound > *best ? bound : *best;
    memcpy(search->best_price, search->price, search->cell_count * sizeof *search->price);
    return GLN_OK;
  }
  if (pricing != GLN_PRICING_CORE)
    gln_budget_close_gates(search, bound);
  take_bound(search, bound, best, pace);
  if (round % 4 == 0)
    GLN_TRY(gln_budget_answer_open(search, &total));
  if (pace->scale < 1e-3 || !gln_budget_tell_apart(*best, search->total))
    return GLN_OK;
  if (pricing == GLN_PRICING_ROOT && round % NARROW_ROUNDS == 0)
    GLN_TRY(narrow(search));
  *more = step(search, *best, pace->scale);
  return GLN_OK;
}

GlnStatus gln_budget_raise_bound(GlnBudgetSearch *search, int rounds, GlnPricing pricing, double *best) {
  Pace pace = {.scale = 0.3, .part = 1.0};
  bool more = true;
  memcpy(search->price, search->best_price, search->cell_count * sizeof *search->price);
  for (int round = 0; round < rounds && more && !gln_budget_is_spent(search, *best); ++round) {
    GlnStatus status = raise_once(search, round, pricing, best, &pace, &more);
    if (status == GLN_NO) {
      *best = (double)INFINITY;
      return GLN_OK;
    }
    GLN_TRY(status);
  }
  return GLN_OK;
}
