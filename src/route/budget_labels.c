/* Labels in play: cells, the labels that are not ruled out, and the part of the trellis that they make. */
#include "budget_internal.h"

#include <string.h>

#define SOLVE_EFFORT 1000 /* cells that a solution of the smallest trellis is worth */

uint32_t gln_budget_colour(const GlnBudgetSearch *search, uint32_t v, uint32_t k) {
  return search->budget->colours[search->budget->group[v]][k];
}

static uint32_t label_count(const GlnBudgetSearch *search, uint32_t v) {
  return search->budget->trellis->variables[v].label_count;
}

static GlnStatus list_cells(GlnBudgetSearch *search) {
  uint32_t colours = search->budget->colour_count;
  uint32_t *from = search->colour_from = GLN_NEW(search->arena, uint32_t, colours + 2);
  search->colour_cell = GLN_NEW(search->arena, uint32_t, search->cell_count);
  if (from == NULL || search->colour_cell == NULL)
    return GLN_MEMORY;
  for (uint32_t cell = 0; cell < search->cell_count; ++cell)
    ++from[search->cell_colour[cell] + 2];
  for (uint32_t c = 2; c < colours + 2; ++c)
    from[c] += from[c - 1];
  for (uint32_t cell = 0; cell < search->cell_count; ++cell)
    search->colour_cell[from[search->cell_colour[cell] + 1]++] = cell;
  return GLN_OK;
}

static GlnStatus make_cells(GlnBudgetSearch *search) {
  size_t labels = 0;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    labels += label_count(search, v);
  uint32_t *last = GLN_NEW(search->arena, uint32_t, search->budget->colour_count);
  uint32_t *all = GLN_NEW(search->arena, uint32_t, labels);
  search->cell_of = GLN_NEW(search->arena, uint32_t *, search->variable_count);
  search->cell_colour = GLN_NEW(search->arena, uint32_t, labels);
  search->cell_variable = GLN_NEW(search->arena, uint32_t, labels);
  if (last == NULL || all == NULL || search->cell_of == NULL || search->cell_colour == NULL ||
      search->cell_variable == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t first = search->cell_count;
    search->cell_of[v] = all;
    for (uint32_t k = 0; k < label_count(search, v); ++k) {
      uint32_t c = gln_budget_colour(search, v, k), cell = last[c];
      if (cell < first || cell >= search->cell_count || search->cell_colour[cell] != c) {
        cell = last[c] = search->cell_count++;
        search->cell_colour[cell] = c;
        search->cell_variable[cell] = v;
      }
      *all++ = cell;
    }
  }
  return list_cells(search);
}

static GlnStatus make_labels(GlnBudgetSearch *search) {
  uint32_t n = search->variable_count;
  search->all_label = GLN_NEW(search->arena, uint32_t *, n);
  search->live_label = GLN_NEW(search->arena, uint32_t *, n);
  search->all_count = GLN_NEW(search->arena, uint32_t, n);
  search->live_count = GLN_NEW(search->arena, uint32_t, n);
  search->rise = GLN_NEW(search->arena, double *, n);
  if (search->all_label == NULL || search->live_label == NULL || search->all_count == NULL ||
      search->live_count == NULL || search->rise == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < n; ++v) {
    uint32_t count = label_count(search, v);
    search->all_count[v] = search->live_count[v] = count;
    search->all_label[v] = GLN_NEW(search->arena, uint32_t, count);
    search->live_label[v] = GLN_NEW(search->arena, uint32_t, count);
    search->rise[v] = GLN_NEW(search->arena, double, count);
    if (search->all_label[v] == NULL || search->live_label[v] == NULL || search->rise[v] == NULL)
      return GLN_MEMORY;
    for (uint32_t k = 0; k < count; ++k)
      search->all_label[v][k] = search->live_label[v][k] = k;
  }
  return GLN_OK;
}

GlnStatus gln_budget_search_make(GlnBudgetSearch *search) {
  uint32_t n = search->variable_count, colours = search->budget->colour_count;
  GLN_TRY(make_labels(search));
  GLN_TRY(make_cells(search));
  search->price = GLN_NEW(search->arena, double, search->cell_count);
  search->best_price = GLN_NEW(search->arena, double, search->cell_count);
  search->whole_price = GLN_NEW(search->arena, double, search->cell_count);
  search->mean_taken = GLN_NEW(search->arena, double, search->cell_count);
  search->distance = GLN_NEW(search->arena, double, search->cell_count);
  search->multiplier = GLN_NEW(search->arena, double, n);
  search->worth = GLN_NEW(search->arena, double, colours);
  search->mean_open = GLN_NEW(search->arena, double, colours);
  search->gates = GLN_NEW(search->arena, uint8_t, colours);
  search->pool = GLN_NEW(search->arena, uint8_t, colours);
  search->open = GLN_NEW(search->arena, bool, colours);
  search->group_apart = GLN_NEW(search->arena, uint32_t, colours);
  search->apart_served = GLN_NEW(search->arena, bool, search->budget->group_count);
  search->worth_apart = GLN_NEW(search->arena, double, search->budget->group_count);
  search->ranked = GLN_NEW(search->arena, GlnRanked, colours);
  search->taken_cell = GLN_NEW(search->arena, uint32_t, n);
  search->labels = GLN_NEW(search->arena, uint32_t, n);
  search->found = GLN_NEW(search->arena, uint32_t, n);
  search->unary = GLN_NEW(search->arena, double *, n);
  search->label = GLN_NEW(search->arena, uint32_t *, n);
  if (search->price == NULL || search->whole_price == NULL || search->best_price == NULL ||
      search->mean_taken == NULL || search->distance == NULL || search->multiplier == NULL ||
      search->worth == NULL || search->mean_open == NULL || search->gates == NULL || search->pool == NULL ||
      search->open == NULL || search->apart_served == NULL || search->worth_apart == NULL ||
      search->group_apart == NULL || search->ranked == NULL || search->taken_cell == NULL ||
      search->labels == NULL || search->found == NULL || search->unary == NULL || search->label == NULL)
    return GLN_MEMORY;
  return GLN_OK;
}

/* ---- a trellis of chosen labels ------------------------------------------------------------------------------------- */

typedef bool Chooses(const GlnBudgetSearch *search, uint32_t colour);

static bool is_open(const GlnBudgetSearch *search, uint32_t colour) {
  return search->open[colour];
}

static bool is_not_closed(const GlnBudgetSearch *search, uint32_t colour) {
  return search->gates[colour] != GLN_GATE_CLOSED;
}

/* The live labels of v whose colours are chosen, and their unary costs. GLN_NO when there is none. */
static GlnStatus choose_labels(const GlnBudgetSearch *search, Chooses *chooses, uint32_t v,
                               GlnVariable *variable, double **unary, uint32_t **label) {
  const double *from = search->budget->trellis->variables[v].unary;
  uint32_t count = 0;
  for (uint32_t i = 0; i < search->live_count[v]; ++i)
    count += chooses(search, gln_budget_colour(search, v, search->live_label[v][i])) ? 1U : 0U;
  if (count == 0)
    return GLN_NO;
  *unary = GLN_NEW(search->arena, double, count);
  *label = GLN_NEW(search->arena, uint32_t, count);
  if (*unary == NULL || *label == NULL)
    return GLN_MEMORY;
  *variable = (GlnVariable){*unary, count};
  count = 0;
  for (uint32_t i = 0; i < search->live_count[v]; ++i) {
    uint32_t k = search->live_label[v][i];
    if (!chooses(search, gln_budget_colour(search, v, k)))
      continue;
    (*unary)[count] = from[k];
    (*label)[count++] = k;
  }
  return GLN_OK;
}

static void fill_matrix(const GlnTrellis *trellis, const GlnEdge *edge, const GlnTrellis *part,
                        uint32_t *const *label, double *matrix) {
  for (uint32_t l = 0; l < part->variables[edge->low].label_count; ++l)
    for (uint32_t h = 0; h < part->variables[edge->high].label_count; ++h)
      *matrix++ = gln_edge_cost(trellis, edge, label[edge->low][l], label[edge->high][h]);
}

static size_t cells_of(const GlnTrellis *part, const GlnEdge *edge) {
  return (size_t)part->variables[edge->low].label_count * part->variables[edge->high].label_count;
}

/* The part of the trellis whose colours are chosen, with whole matrices. GLN_NO when a variable has no label left. */
static GlnStatus make_part(const GlnBudgetSearch *search, Chooses *chooses, GlnTrellis *part, double **unary,
                           uint32_t **label) {
  const GlnTrellis *trellis = search->budget->trellis;
  *part = *trellis;
  part->variables = GLN_NEW(search->arena, GlnVariable, search->variable_count);
  part->edges = GLN_NEW(search->arena, GlnEdge, trellis->edge_count);
  if (part->variables == NULL || part->edges == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    GLN_TRY(choose_labels(search, chooses, v, &part->variables[v], &unary[v], &label[v]));
  size_t cells = 0;
  for (size_t e = 0; e < trellis->edge_count; ++e)
    cells += cells_of(part, &trellis->edges[e]);
  double *matrix = GLN_NEW(search->arena, double, cells);
  if (matrix == NULL)
    return GLN_MEMORY;
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    part->edges[e] = trellis->edges[e];
    part->edges[e].matrix = matrix;
    fill_matrix(trellis, &trellis->edges[e], part, label, matrix);
    matrix += cells_of(part, &trellis->edges[e]);
  }
  return GLN_OK;
}

uint64_t gln_budget_count_live(const GlnBudgetSearch *search) {
  uint64_t live = 0;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    for (uint32_t i = 0; i < search->live_count[v]; ++i)
      live += is_not_closed(search, gln_budget_colour(search, v, search->live_label[v][i])) ? 1U : 0U;
  return live;
}

/* Labels of v that the root has not closed: search->live_label[v][0..live_count[v]). */
static GlnStatus keep_live(GlnBudgetSearch *search) {
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t kept = 0;
    for (uint32_t i = 0; i < search->live_count[v]; ++i) {
      uint32_t k = search->live_label[v][i];
      if (search->gates[search->budget->colours[search->budget->group[v]][k]] != GLN_GATE_CLOSED)
        search->live_label[v][kept++] = k;
    }
    search->live_count[v] = kept;
    if (kept == 0)
      return GLN_NO;
  }
  return GLN_OK;
}

/* Prices of cells without a label in play would only weaken the bound. */
static GlnStatus clear_dead_cells(GlnBudgetSearch *search) {
  GlnArenaMark mark = gln_arena_mark(search->arena);
  bool *alive = GLN_NEW(search->arena, bool, search->cell_count);
  if (alive == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    for (uint32_t i = 0; i < search->live_count[v]; ++i)
      alive[search->cell_of[v][search->live_label[v][i]]] = true;
  for (uint32_t cell = 0; cell < search->cell_count; ++cell)
    if (!alive[cell])
      search->price[cell] = search->best_price[cell] = 0;
  gln_arena_rewind(search->arena, mark);
  return GLN_OK;
}

GlnStatus gln_budget_work_make(GlnBudgetSearch *search) {
  GLN_TRY(keep_live(search));
  GLN_TRY(clear_dead_cells(search));
  GLN_TRY(make_part(search, is_not_closed, &search->work, search->unary, search->label));
  search->solve_effort = SOLVE_EFFORT;
  for (size_t e = 0; e < search->work.edge_count; ++e)
    search->solve_effort += (uint64_t)search->work.variables[search->work.edges[e].low].label_count *
                            search->work.variables[search->work.edges[e].high].label_count;
  search->work_labels = gln_budget_count_live(search);
  return GLN_OK;
}

GlnStatus gln_budget_open_part(const GlnBudgetSearch *search, GlnTrellis *part, double **unary,
                               uint32_t **label) {
  return make_part(search, is_open, part, unary, label);
}
