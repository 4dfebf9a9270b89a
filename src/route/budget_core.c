/* Core: while the labels are too many for whole matrices, those likeliest to matter are priced alone, and their prices
 * made good for all. A label outside gets the least price that keeps every assignment which uses it from totalling less
 * than the core's best, so that the bound holds for all labels; colours that this makes worth opening come into the next
 * core (column generation). */
#include "budget_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define CORE_CELLS   (1U << 18) /* of whole matrices: 2 MB. Design choice, tuned on examples/ and the bench */
#define WHOLE_TIMES  5 / 2      /* so many cores may go to work together, as the whole */
#define HALVINGS     3
#define LIFT_MOST    64.0
#define BOUND_ROUNDS 3 /* of messages over all labels */

/* Labels of v with a rise of at most so much; failing that, the one with the least. */
static uint32_t take_below(GlnBudgetSearch *search, uint32_t v, double most) {
  uint32_t count = 0, least = 0;
  for (uint32_t i = 0; i < search->all_count[v]; ++i) {
    uint32_t k = search->all_label[v][i];
    if (search->rise[v][k] <= most)
      search->live_label[v][count++] = k;
    least = search->rise[v][k] < search->rise[v][search->all_label[v][least]] ? i : least;
  }
  if (count == 0 && search->all_count[v] > 0)
    search->live_label[v][count++] = search->all_label[v][least];
  return count;
}

static uint64_t cells_below(GlnBudgetSearch *search, double most) {
  const GlnTrellis *trellis = search->budget->trellis;
  uint64_t cells = 0;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    search->live_count[v] = take_below(search, v, most);
  for (size_t e = 0; e < trellis->edge_count; ++e)
    cells += (uint64_t)search->live_count[trellis->edges[e].low] * search->live_count[trellis->edges[e].high];
  return cells;
}

static uint64_t core_cells(const GlnBudgetSearch *search) {
  return search->budget->core_cells > 0 ? search->budget->core_cells : CORE_CELLS;
}

GlnStatus gln_budget_core_choose(GlnBudgetSearch *search, bool *whole) {
  memset(search->gates, GLN_GATE_FREE, search->budget->colour_count);
  *whole = cells_below(search, (double)INFINITY) <= core_cells(search) * WHOLE_TIMES;
  if (*whole)
    return gln_budget_work_make(search);
  double low = 0, high = search->total; /* halving: forty times is finer than any difference that matters */
  for (int i = 0; i < 40; ++i) {
    double middle = (low + high) / 2;
    if (cells_below(search, middle) <= core_cells(search))
      low = middle;
    else
      high = middle;
  }
  (void)cells_below(search, low);
  return gln_budget_work_make(search);
}

/* ---- completing ----------------------------------------------------------------------------------------------------- */

/* The trellis of all labels not ruled out, priced for the core. */
static GlnStatus make_priced(const GlnBudgetSearch *search, GlnTrellis *priced, double ***values) {
  const GlnTrellis *trellis = search->budget->trellis;
  *priced = *trellis;
  priced->usual_change = 0;
  priced->variables = GLN_NEW(search->arena, GlnVariable, search->variable_count);
  *values = GLN_NEW(search->arena, double *, search->variable_count);
  if (priced->variables == NULL || *values == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t count = trellis->variables[v].label_count;
    double *unary = GLN_NEW(search->arena, double, count);
    (*values)[v] = GLN_NEW(search->arena, double, count);
    if (unary == NULL || (*values)[v] == NULL)
      return GLN_MEMORY;
    for (uint32_t k = 0; k < count; ++k)
      unary[k] = (double)INFINITY;
    for (uint32_t i = 0; i < search->all_count[v]; ++i) {
      uint32_t k = search->all_label[v][i];
      unary[k] = trellis->variables[v].unary[k] + search->price[search->cell_of[v][k]];
    }
    priced->variables[v] = (GlnVariable){unary, count};
  }
  return GLN_OK;
}

/* ---- prices outside the core ---------------------------------------------------------------------------------------- */

static double price_at(const GlnBudgetSearch *search, uint32_t cell, double lift) {
  double price = search->multiplier[search->cell_variable[cell]] + lift - search->distance[cell];
  return price > 0 ? price : 0;
}

static double worth_at(const GlnBudgetSearch *search, const bool *inside, uint32_t colour, double lift) {
  double worth = search->worth[colour];
  for (uint32_t at = search->colour_from[colour]; at < search->colour_from[colour + 1]; ++at) {
    uint32_t cell = search->colour_cell[at];
    worth += inside[cell] || isinf(search->distance[cell]) ? 0 : price_at(search, cell, lift);
  }
  return worth;
}

/* A colour that is not chosen may be worth as much as the last one that is: so much its cells outside the core may cost
 * without any harm to the bound, the more the nearer the median has them. */
static void price_outside(GlnBudgetSearch *search, const bool *inside) {
  for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
    if (search->open[c] || search->has_room)
      continue;
    double spare = search->worth[c] + gln_budget_opening_rise(search, c), low = -LIFT_MOST, high = LIFT_MOST;
    if (worth_at(search, inside, c, high) > spare)
      for (int i = 0; i < 30; ++i) {
        double middle = (low + high) / 2;
        *(worth_at(search, inside, c, middle) <= spare ? &low : &high) = middle;
      }
    else
      low = high;
    for (uint32_t at = search->colour_from[c]; at < search->colour_from[c + 1]; ++at) {
      uint32_t cell = search->colour_cell[at];
      if (!inside[cell] && !isinf(search->distance[cell]))
        search->price[cell] = price_at(search, cell, low);
    }
  }
}

/* Rules labels out by what every assignment with them totals under the prices, at least. */
static bool rule_out(GlnBudgetSearch *search, double bound, double least, double *const *values) {
  bool any = true;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t kept = 0;
    for (uint32_t i = 0; i < search->all_count[v]; ++i) {
      uint32_t k = search->all_label[v][i], cell = search->cell_of[v][k];
      double past = values[v][k] - least;
      double rise = (past > 0 ? past : 0) + gln_budget_opening_rise(search, search->cell_colour[cell]);
      search->rise[v][k] = rise;
      if (gln_budget_tell_apart(bound + rise, search->total))
        search->all_label[v][kept++] = k;
    }
    search->all_count[v] = kept;
    any = any && kept > 0;
  }
  return any;
}

/* Prices of the core alone; inside: its cells. */
static void take_inside(GlnBudgetSearch *search, bool *inside) {
  memset(search->price, 0, search->cell_count * sizeof *search->price);
  for (uint32_t v = 0; v < search->variable_count; ++v)
    for (uint32_t k = 0; k < search->work.variables[v].label_count; ++k) {
      uint32_t cell = search->cell_of[v][search->label[v][k]];
      search->price[cell] = search->best_price[cell];
      inside[cell] = true;
    }
}

/* The greatest of the bounds that the variables give. */
static double least_total(const GlnBudgetSearch *search, double *const *values) {
  double best = -(double)INFINITY;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    double least = (double)INFINITY;
    for (uint32_t i = 0; i < search->all_count[v]; ++i) {
      double value = values[v][search->all_label[v][i]];
      least = value < least ? value : least;
    }
    best = least > best ? least : best;
  }
  return best;
}

/* Bound for all labels under the prices; values and rises from it. */
static GlnStatus value_all(GlnBudgetSearch *search, double *value, bool *any) {
  GlnArenaMark mark = gln_arena_mark(search->arena);
  GlnTrellis priced;
  double **values = NULL;
  GLN_TRY(make_priced(search, &priced, &values));
  GlnStatus status = gln_trellis_bounds(&priced, BOUND_ROUNDS, search->arena, values);
  *any = status == GLN_OK;
  if (*any) {
    double least = least_total(search, values);
    *value = least - gln_budget_choose_by_price(search);
    *any = rule_out(search, *value, least, values);
  }
  gln_arena_rewind(search->arena, mark);
  return status == GLN_NO ? GLN_OK : status;
}

/* Where the prices of the core serve all labels badly, prices between them and the best known for all may serve well: the
 * bound is concave in the prices. */
GlnStatus gln_budget_core_complete(GlnBudgetSearch *search, double *bound) {
  memset(search->gates, GLN_GATE_FREE, search->budget->colour_count);
  GlnArenaMark mark = gln_arena_mark(search->arena);
  bool *inside = GLN_NEW(search->arena, bool, search->cell_count), any = true;
  if (inside == NULL)
    return GLN_MEMORY;
  take_inside(search, inside);
  (void)gln_budget_choose_by_price(search);
  price_outside(search, inside);
  double value = 0;
  for (int i = 0; i < HALVINGS && any; ++i) {
    for (uint32_t cell = 0; i > 0 && cell < search->cell_count; ++cell)
      search->price[cell] = (search->price[cell] + search->whole_price[cell]) / 2;
    GLN_TRY(value_all(search, &value, &any));
    if (value > *bound)
      break;
  }
  if (value > *bound) {
    *bound = value;
    memcpy(search->whole_price, search->price, search->cell_count * sizeof *search->price);
  }
  memcpy(search->best_price, search->whole_price, search->cell_count * sizeof *search->price);
  gln_arena_rewind(search->arena, mark);
  return any ? GLN_OK : GLN_NO;
}
