/* Budget: a best line on few grips, or few shapes, with a bound that is never above the true optimum.
 *
 * That a label may be taken only where its colour is open is let go at a price, one for every variable and colour; what
 * is left is the trellis with priced labels, solved exactly, and a choice of the most worthwhile colours. The sum is a
 * lower bound for any prices (Lagrangian relaxation; Erlenkotter, Operations Research 26, 1978, for places to open).
 * Prices are found by the volume algorithm (Barahona & Anbil, Mathematical Programming 87, 2000). Colours that cannot
 * be open in anything better are closed; what remains is branched on, the lowest bound first. */
#include "budget.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROOT_ROUNDS 260 /* of pricing before branching; design choice, tuned on examples/ and the bench */
#define NODE_ROUNDS 40  /* in every branch */
#define CELLS_MAX   (1U << 20) /* cells of all whole matrices together: 8 MB */

/* Limits on effort, counted in cells of matrices looked at, so that it is the same on every machine. Design choice:
 * about a second, and three. */
#define NEAR         0.02 /* a bound as near as this is near enough to stop early */
#define EFFORT_NEAR  (30U << 20)
#define EFFORT_MAX   (90U << 20)
#define EFFORT_WHOLE (2U << 20) /* of labels too many for matrices */

typedef enum Gate { GATE_FREE, GATE_OPEN, GATE_CLOSED } Gate;

/* One choice of gates still to be looked into. */
typedef struct Node {
  uint8_t *gates;
  double bound;
  struct Node *next;
} Node;

typedef struct Search {
  const GlnBudget *budget;
  GlnArena *arena;
  uint32_t variable_count;
  /* A cell is one variable with one colour; cell_of[v][k] for a label of the trellis. */
  uint32_t **cell_of, *cell_colour, *cell_variable;
  uint32_t cell_count;
  double *price, *best_price, *mean_taken; /* one a cell */
  double *worth, *mean_open;               /* one a colour */
  uint8_t *gates;                          /* one a colour: Gate */
  bool *open;                              /* colours chosen in this round */
  uint32_t *taken_cell;                    /* cell taken by each variable in this round */
  GlnRanked *ranked;
  const GlnCover *cover;
  uint32_t *group_apart; /* of a colour: which group of cover->apart it serves; UINT32_MAX when none */
  bool *apart_served;    /* in the round */
  double *worth_apart;   /* least worth of a colour that could be exchanged for another of its group apart */
  double worth_last;     /* least worth of a colour chosen beyond those of the groups apart */
  bool has_room;         /* fewer colours than allowed were chosen */
  /* The labels still in play, whole costs where they fit. */
  GlnTrellis work; /* of all that was in play at the root */
  bool at_root;
  double **unary;
  uint32_t **label; /* of work to those of the trellis */
  uint64_t live;    /* labels when work was made */
  uint32_t **live_label, *live_count;
  uint64_t effort, solve_effort; /* so far, and of one solution of work */
  uint32_t *labels, *found;
  double total; /* of the best answer, answer->labels */
  GlnBudgetAnswer *answer;
  uint8_t *pool; /* colours that rounds took */
} Search;

/* ---- making ------------------------------------------------------------------------------------------------------- */

/* Labels of v that the root has not closed: search->live_label[v][0..live_count[v]). */
static GlnStatus keep_live(Search *search) {
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t kept = 0;
    for (uint32_t i = 0; i < search->live_count[v]; ++i) {
      uint32_t k = search->live_label[v][i];
      if (search->gates[search->budget->colours[search->budget->group[v]][k]] != GATE_CLOSED)
        search->live_label[v][kept++] = k;
    }
    search->live_count[v] = kept;
    if (kept == 0)
      return GLN_NO;
  }
  return GLN_OK;
}

static uint32_t label_count(const Search *search, uint32_t v) {
  return search->budget->trellis->variables[v].label_count;
}

static uint32_t colour_of(const Search *search, uint32_t v, uint32_t k) {
  return search->budget->colours[search->budget->group[v]][k];
}

static GlnStatus make_cells(Search *search) {
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
  search->live_label = GLN_NEW(search->arena, uint32_t *, search->variable_count);
  search->live_count = GLN_NEW(search->arena, uint32_t, search->variable_count);
  if (search->live_label == NULL || search->live_count == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    search->live_count[v] = label_count(search, v);
    search->live_label[v] = GLN_NEW(search->arena, uint32_t, search->live_count[v]);
    if (search->live_label[v] == NULL)
      return GLN_MEMORY;
    for (uint32_t k = 0; k < search->live_count[v]; ++k)
      search->live_label[v][k] = k;
  }
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t first = search->cell_count;
    search->cell_of[v] = all;
    for (uint32_t k = 0; k < label_count(search, v); ++k) {
      uint32_t c = colour_of(search, v, k), cell = last[c];
      if (cell < first || cell >= search->cell_count || search->cell_colour[cell] != c) {
        cell = last[c] = search->cell_count++;
        search->cell_colour[cell] = c;
        search->cell_variable[cell] = v;
      }
      *all++ = cell;
    }
  }
  return GLN_OK;
}

static GlnStatus search_make(Search *search) {
  uint32_t n = search->variable_count, colours = search->budget->colour_count;
  GLN_TRY(make_cells(search));
  search->price = GLN_NEW(search->arena, double, search->cell_count);
  search->best_price = GLN_NEW(search->arena, double, search->cell_count);
  search->mean_taken = GLN_NEW(search->arena, double, search->cell_count);
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
  if (search->price == NULL || search->best_price == NULL || search->mean_taken == NULL ||
      search->worth == NULL || search->mean_open == NULL || search->gates == NULL || search->pool == NULL ||
      search->open == NULL || search->apart_served == NULL || search->worth_apart == NULL ||
      search->group_apart == NULL || search->ranked == NULL || search->taken_cell == NULL ||
      search->labels == NULL || search->found == NULL || search->unary == NULL || search->label == NULL)
    return GLN_MEMORY;
  return GLN_OK;
}

static void mark_apart(Search *search) {
  memset(search->group_apart, 0xff, search->budget->colour_count * sizeof *search->group_apart);
  for (uint32_t v = 0; v < search->variable_count; ++v)
    for (uint32_t a = 0; a < search->cover->apart_count; ++a)
      for (uint32_t k = 0; search->cover->apart[a] == search->budget->group[v] && k < label_count(search, v);
           ++k)
        search->group_apart[colour_of(search, v, k)] = a;
}

/* ---- a trellis of chosen labels -------------------------------------------------------------------------------------- */

typedef bool Chooses(const Search *search, uint32_t colour);

static bool is_open(const Search *search, uint32_t colour) {
  return search->open[colour];
}

static bool is_not_closed(const Search *search, uint32_t colour) {
  return search->gates[colour] != GATE_CLOSED;
}

/* The part of the trellis whose colours are chosen, with whole matrices. made is GLN_NO when a variable has no label
 * left, GLN_LIMIT when the matrices would be too large. */
static GlnStatus make_part(const Search *search, Chooses *chooses, GlnTrellis *part, double **unary,
                           uint32_t **label) {
  const GlnTrellis *trellis = search->budget->trellis;
  uint32_t n = search->variable_count;
  GlnVariable *variables = GLN_NEW(search->arena, GlnVariable, n);
  GlnEdge *edges = GLN_NEW(search->arena, GlnEdge, trellis->edge_count);
  if (variables == NULL || edges == NULL)
    return GLN_MEMORY;
  *part = *trellis;
  part->variables = variables;
  part->edges = edges;
  for (uint32_t v = 0; v < n; ++v) {
    uint32_t count = 0, live = search->live_count[v];
    const uint32_t *colours = search->budget->colours[search->budget->group[v]],
                   *from = search->live_label[v];
    for (uint32_t i = 0; i < live; ++i)
      count += chooses(search, colours[from[i]]) ? 1U : 0U;
    if (count == 0)
      return GLN_NO;
    unary[v] = GLN_NEW(search->arena, double, count);
    label[v] = GLN_NEW(search->arena, uint32_t, count);
    if (unary[v] == NULL || label[v] == NULL)
      return GLN_MEMORY;
    variables[v] = (GlnVariable){unary[v], count};
    count = 0;
    for (uint32_t i = 0; i < live; ++i)
      if (chooses(search, colours[from[i]])) {
        unary[v][count] = trellis->variables[v].unary[from[i]];
        label[v][count++] = from[i];
      }
  }
  uint64_t cells = 0;
  for (size_t e = 0; e < trellis->edge_count; ++e)
    cells += (uint64_t)variables[trellis->edges[e].low].label_count *
             variables[trellis->edges[e].high].label_count;
  if (cells > CELLS_MAX)
    return GLN_LIMIT;
  double *matrix = GLN_NEW(search->arena, double, cells);
  if (matrix == NULL)
    return GLN_MEMORY;
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    const GlnEdge *edge = &trellis->edges[e];
    edges[e] = *edge;
    edges[e].matrix = matrix;
    for (uint32_t l = 0; l < variables[edge->low].label_count; ++l)
      for (uint32_t h = 0; h < variables[edge->high].label_count; ++h)
        *matrix++ = gln_edge_cost(trellis, edge, label[edge->low][l], label[edge->high][h]);
  }
  return GLN_OK;
}

static uint64_t count_live(const Search *search) {
  uint64_t live = 0;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    for (uint32_t i = 0; i < search->live_count[v]; ++i)
      live += is_not_closed(search, colour_of(search, v, search->live_label[v][i])) ? 1U : 0U;
  return live;
}

/* Every label, closed ones without end in cost: while they are too many for whole matrices. */
static GlnStatus make_whole_work(Search *search) {
  const GlnTrellis *trellis = search->budget->trellis;
  GlnVariable *variables = GLN_NEW(search->arena, GlnVariable, search->variable_count);
  if (variables == NULL)
    return GLN_MEMORY;
  search->work = *trellis;
  search->work.variables = variables;
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t count = label_count(search, v);
    search->unary[v] = GLN_NEW(search->arena, double, count);
    search->label[v] = GLN_NEW(search->arena, uint32_t, count);
    if (search->unary[v] == NULL || search->label[v] == NULL)
      return GLN_MEMORY;
    for (uint32_t k = 0; k < count; ++k)
      search->label[v][k] = k;
    variables[v] = (GlnVariable){search->unary[v], count};
  }
  return GLN_OK;
}

static GlnStatus make_work(Search *search) {
  GLN_TRY(keep_live(search));
  GlnStatus status = make_part(search, is_not_closed, &search->work, search->unary, search->label);
  search->solve_effort = 0;
  for (size_t e = 0; status == GLN_OK && e < search->work.edge_count; ++e)
    search->solve_effort += (uint64_t)search->work.variables[search->work.edges[e].low].label_count *
                            search->work.variables[search->work.edges[e].high].label_count;
  if (status == GLN_LIMIT) {
    status = make_whole_work(search);
    search->solve_effort = EFFORT_WHOLE;
  }
  search->live = count_live(search);
  return status;
}

/* ---- answers --------------------------------------------------------------------------------------------------------- */

/* Is it time to give the bound reached with the answer? Sooner when that is near enough. */
static bool is_spent(const Search *search, double bound) {
  double gap = search->total - bound;
  uint64_t most = gap <= NEAR * search->total ? EFFORT_NEAR : EFFORT_MAX;
  return search->answer->solves >= GLN_BUDGET_SOLVES_MAX || search->effort > most;
}

static bool tell_apart(double lower, double upper) {
  return isinf(upper) ? lower < upper : lower < upper - 1e-9 * (1 + fabs(upper));
}

static void offer(Search *search, const uint32_t *labels, double total) {
  if (!tell_apart(total, search->total))
    return;
  search->total = total;
  memcpy(search->answer->labels, labels, search->variable_count * sizeof *labels);
}

/* The best assignment on the open colours: exact. INFINITY where they do not serve every variable. */
static GlnStatus solve_open(Search *search, double *total) {
  GlnArenaMark mark = gln_arena_mark(search->arena);
  double **unary = GLN_NEW(search->arena, double *, search->variable_count);
  uint32_t **label = GLN_NEW(search->arena, uint32_t *, search->variable_count);
  if (unary == NULL || label == NULL)
    return GLN_MEMORY;
  GlnTrellis part;
  *total = (double)INFINITY;
  GlnStatus status = make_part(search, is_open, &part, unary, label);
  if (status == GLN_OK)
    status = gln_trellis_solve(&part, search->arena, search->found, total);
  if (status == GLN_OK) {
    for (uint32_t v = 0; v < search->variable_count; ++v)
      search->found[v] = label[v][search->found[v]];
    offer(search, search->found, *total);
  }
  gln_arena_rewind(search->arena, mark);
  return status == GLN_NO || status == GLN_LIMIT ? GLN_OK : status;
}

static uint32_t open_colours_of(Search *search, const uint32_t *labels) {
  uint32_t count = 0;
  memset(search->open, 0, search->budget->colour_count * sizeof *search->open);
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t c = colour_of(search, v, labels[v]);
    count += search->open[c] ? 0U : 1U;
    search->open[c] = true;
  }
  return count;
}

/* Takes colours out of the open ones, each time that whose loss costs least, until they are few enough. False when
 * none can be spared. */
static GlnStatus spare(Search *search, uint32_t count, bool *enough) {
  while (count > search->budget->most) {
    uint32_t best = search->budget->colour_count;
    double least = (double)INFINITY, kept = search->total;
    for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
      if (!search->open[c])
        continue;
      double total = 0;
      search->open[c] = false;
      search->total = -(double)INFINITY; /* too many colours yet: not to be taken as an answer */
      GLN_TRY(solve_open(search, &total));
      search->total = kept;
      search->open[c] = true;
      if (total < least) {
        least = total;
        best = c;
      }
    }
    if (best == search->budget->colour_count) {
      *enough = false;
      return GLN_OK;
    }
    search->open[best] = false;
    --count;
  }
  *enough = true;
  double total = 0;
  return solve_open(search, &total);
}

/* Exchanges one open colour of the best answer for one of the pool, or adds one, while that betters it. */
static GlnStatus better(Search *search) {
  for (bool gained = true; gained;) {
    gained = false;
    uint32_t used = open_colours_of(search, search->answer->labels), *mine = search->labels, count = 0;
    uint32_t tries = used < search->budget->most ? 1 : used;
    for (uint32_t c = 0; c < search->budget->colour_count && count < search->variable_count; ++c)
      if (search->open[c])
        mine[count++] = c;
    double before = search->total;
    for (uint32_t i = 0; i < tries && !gained; ++i) {
      search->open[mine[i]] = used < search->budget->most;
      for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
        if (search->pool[c] == 0 || search->open[c] || c == mine[i])
          continue;
        double total = 0;
        search->open[c] = true;
        GLN_TRY(solve_open(search, &total));
        search->open[c] = false;
        gained = tell_apart(search->total, before);
      }
      search->open[mine[i]] = true;
    }
  }
  return GLN_OK;
}

/* ---- a round of prices ------------------------------------------------------------------------------------------------- */

/* Opens the most worthwhile colours: those fixed open, one for each of the groups apart, then the best of the rest. */
static double choose_open(Search *search) {
  uint32_t chosen = 0, live = 0;
  double sum = 0;
  bool *apart_served = search->apart_served;
  for (uint32_t a = 0; a < search->cover->apart_count; ++a)
    apart_served[a] = false;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
    search->open[c] = false;
    if (search->gates[c] != GATE_CLOSED)
      search->ranked[live++] =
          (GlnRanked){search->gates[c] == GATE_OPEN ? -(double)INFINITY : -search->worth[c], c};
  }
  qsort(search->ranked, live, sizeof *search->ranked, gln_ranked_compare);
  for (uint32_t i = 0; i < live; ++i) {
    uint32_t c = search->ranked[i].at, apart = search->group_apart[c];
    bool first = apart != UINT32_MAX && !apart_served[apart];
    if (first)
      apart_served[apart] = true;
    if (!first && search->gates[c] != GATE_OPEN)
      continue;
    search->open[c] = true;
    sum += search->worth[c];
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

static GlnStatus solve_priced(Search *search, double *total) {
  GlnArenaMark mark = gln_arena_mark(search->arena);
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    const double *plain = search->budget->trellis->variables[v].unary;
    for (uint32_t k = 0; k < search->work.variables[v].label_count; ++k) {
      uint32_t label = search->label[v][k];
      search->unary[v][k] = is_not_closed(search, colour_of(search, v, label))
                                ? plain[label] + search->price[search->cell_of[v][label]]
                                : (double)INFINITY;
    }
  }
  ++search->answer->solves;
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

/* Closes colours that no better answer has open: opening one in place of the least worthwhile would lift the bound to
 * the answer already known. */
static void close_gates(Search *search, double bound) {
  if (search->has_room)
    return;
  double *worth_apart = search->worth_apart;
  for (uint32_t a = 0; a < search->cover->apart_count; ++a)
    worth_apart[a] = (double)INFINITY;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
    uint32_t a = search->group_apart[c];
    if (search->open[c] && a != UINT32_MAX && search->gates[c] != GATE_OPEN &&
        search->worth[c] < worth_apart[a])
      worth_apart[a] = search->worth[c];
  }
  for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
    if (search->open[c] || search->gates[c] != GATE_FREE)
      continue;
    uint32_t a = search->group_apart[c];
    double least = search->worth_last;
    if (a != UINT32_MAX && worth_apart[a] < least)
      least = worth_apart[a];
    if (!tell_apart(bound + least - search->worth[c], search->total))
      search->gates[c] = GATE_CLOSED;
  }
}

/* Bound under the present prices. -INFINITY never; INFINITY when the gates admit nothing. */
static GlnStatus price_round(Search *search, double *bound) {
  memset(search->worth, 0, search->budget->colour_count * sizeof *search->worth);
  for (uint32_t cell = 0; cell < search->cell_count; ++cell)
    search->worth[search->cell_colour[cell]] += search->price[cell];
  double total = 0, worth = choose_open(search);
  GlnStatus status = isinf(worth) ? GLN_NO : solve_priced(search, &total);
  if (status == GLN_NO) {
    *bound = (double)INFINITY;
    return GLN_OK;
  }
  GLN_TRY(status);
  *bound = total - worth;
  return GLN_OK;
}

/* The colours chosen in the round, as an answer of their own. */
static GlnStatus offer_round(Search *search) {
  double total = 0;
  return solve_open(search, &total);
}

static void average(Search *search, double part) {
  for (uint32_t cell = 0; cell < search->cell_count; ++cell)
    search->mean_taken[cell] *= 1 - part;
  for (uint32_t v = 0; v < search->variable_count; ++v)
    search->mean_taken[search->taken_cell[v]] += part;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c)
    search->mean_open[c] = (1 - part) * search->mean_open[c] + (search->open[c] ? part : 0);
}

/* Steps from the best prices along the mean of what the rounds broke. False when nothing is broken. */
static bool step(Search *search, double bound, double scale) {
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

/* Raises the bound from the best prices known, under the gates as they are; closing gates where that is for good
 * everywhere below. */
static GlnStatus raise_bound(Search *search, int rounds, double *best) {
  double scale = 1.0, part = 1.0;
  int failed = 0;
  memcpy(search->price, search->best_price, search->cell_count * sizeof *search->price);
  for (int round = 0; round < rounds && !is_spent(search, *best); ++round) {
    double bound = 0;
    GLN_TRY(price_round(search, &bound));
    if (!tell_apart(bound, search->total)) {
      *best = bound > *best ? bound : *best;
      return GLN_OK;
    }
    close_gates(search, bound);
    average(search, part);
    part = 0.15;
    if (bound > *best) {
      scale *= bound - *best > 0.001 * (search->total - *best) ? 1.1 : 1;
      *best = bound;
      failed = 0;
      memcpy(search->best_price, search->price, search->cell_count * sizeof *search->price);
    } else if (++failed % 8 == 0) {
      scale *= 0.7;
    }
    if (round % 4 == 0)
      GLN_TRY(offer_round(search));
    if (scale < 1e-3 || !tell_apart(*best, search->total) || !step(search, *best, scale > 2 ? 2 : scale))
      break;
    if (search->at_root && count_live(search) * 3 < search->live * 2) {
      GlnStatus status = make_work(search);
      if (status == GLN_NO) {
        *best = (double)INFINITY;
        return GLN_OK;
      }
      GLN_TRY(status);
    }
  }
  return GLN_OK;
}

/* ---- branching ----------------------------------------------------------------------------------------------------------- */

/* The colour whose mean is least decided. */
static uint32_t undecided(const Search *search) {
  uint32_t best = search->budget->colour_count;
  double least = 1;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c) {
    double far = fabs(search->mean_open[c] - 0.5);
    if (search->gates[c] == GATE_FREE && far < least) {
      least = far;
      best = c;
    }
  }
  return best;
}

static GlnStatus push(Search *search, const uint8_t *gates, uint32_t colour, Gate gate, double bound,
                      Node **nodes) {
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

static uint32_t count_gates(const Search *search, Gate gate) {
  uint32_t count = 0;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c)
    count += search->gates[c] == (uint8_t)gate ? 1U : 0U;
  return count;
}

/* One node: bounded, then answered when its colours are settled, else split. */
static GlnStatus look_into(Search *search, const Node *node, Node **nodes) {
  memcpy(search->gates, node->gates, search->budget->colour_count);
  double bound = node->bound;
  GLN_TRY(raise_bound(search, NODE_ROUNDS, &bound));
  if (!tell_apart(bound, search->total))
    return GLN_OK;
  uint32_t open = count_gates(search, GATE_OPEN), maybe = count_gates(search, GATE_FREE);
  if (open + maybe <= search->budget->most) {
    double total = 0;
    for (uint32_t c = 0; c < search->budget->colour_count; ++c)
      search->open[c] = search->gates[c] != GATE_CLOSED;
    return solve_open(search, &total);
  }
  uint32_t colour = undecided(search);
  GLN_TRY(push(search, search->gates, colour, GATE_CLOSED, bound, nodes));
  return push(search, search->gates, colour, GATE_OPEN, bound, nodes);
}

static GlnStatus run_search(Search *search) {
  double bound = -(double)INFINITY;
  Node *nodes = NULL;
  GLN_TRY(gln_trellis_keep_below(search->budget->trellis, search->total, search->arena, search->live_label,
                                 search->live_count));
  GLN_TRY(make_work(search));
  search->at_root = true;
  GLN_TRY(raise_bound(search, ROOT_ROUNDS, &bound));
  search->at_root = false;
  GLN_TRY(better(search));
  GLN_TRY(push(search, search->gates, search->budget->colour_count, GATE_FREE, bound, &nodes));
  while (nodes != NULL && tell_apart(nodes->bound, search->total) && !is_spent(search, nodes->bound)) {
    const Node *node = nodes;
    nodes = nodes->next;
    GLN_TRY(look_into(search, node, &nodes));
  }
  bool open = nodes != NULL && tell_apart(nodes->bound, search->total);
  search->answer->bound = open ? nodes->bound : search->total;
  return GLN_OK;
}

/* A first answer: the colours of the free optimum and of the smallest cover, spared down; failing that, the cover
 * alone. */
static GlnStatus first_answer(Search *search, const uint32_t *free_labels) {
  uint32_t count = open_colours_of(search, free_labels);
  bool enough = false;
  for (uint32_t c = 0; c < search->budget->colour_count; ++c)
    search->pool[c] = search->open[c] ? 1 : 0;
  for (uint32_t i = 0; i < search->cover->count; ++i) {
    count += search->open[search->cover->colours[i]] ? 0U : 1U;
    search->open[search->cover->colours[i]] = true;
  }
  GLN_TRY(spare(search, count, &enough));
  double total = 0;
  if (!enough) {
    memset(search->open, 0, search->budget->colour_count * sizeof *search->open);
    for (uint32_t i = 0; i < search->cover->count; ++i)
      search->open[search->cover->colours[i]] = true;
    GLN_TRY(solve_open(search, &total));
  }
  return GLN_OK;
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
  answer->solves = 0;
  if (cover.count > budget->most)
    return GLN_NO;
  memcpy(answer->labels, free_labels, budget->trellis->variable_count * sizeof *free_labels);
  answer->total = answer->bound = gln_trellis_total(budget->trellis, free_labels);
  answer->used = count_used(budget, free_labels, seen);
  if (answer->used <= budget->most)
    return GLN_OK;
  Search search = {.budget = budget,
                   .arena = scratch,
                   .variable_count = (uint32_t)budget->trellis->variable_count,
                   .cover = &cover,
                   .total = (double)INFINITY,
                   .answer = answer};
  GLN_TRY(search_make(&search));
  mark_apart(&search);
  GLN_TRY(first_answer(&search, free_labels));
  GLN_TRY(run_search(&search));
  answer->total = search.total;
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
