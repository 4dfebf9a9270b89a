/* budget, inside: one search for the best assignment on few colours.
 *
 * A cell is one variable with one colour. That a label may be taken only where its colour is open is let go at a price,
 * one for every cell: the trellis with priced labels and the choice of the colours worth most then come apart, and their
 * sum is a lower bound for any prices (Lagrangian relaxation). */
#ifndef GLN_ROUTE_BUDGET_INTERNAL_H
#define GLN_ROUTE_BUDGET_INTERNAL_H

#include "budget.h"

typedef enum GlnGate { GLN_GATE_FREE, GLN_GATE_OPEN, GLN_GATE_CLOSED } GlnGate;

typedef struct GlnBudgetSearch {
  const GlnBudget *budget;
  GlnArena *arena;
  uint32_t variable_count;
  const GlnCover *cover;
  GlnBudgetAnswer *answer;
  double total; /* of the best answer, answer->labels; INFINITY before there is one */
  /* Cells; cell_of[v][k] for a label of the trellis. */
  uint32_t **cell_of, *cell_colour, *cell_variable;
  uint32_t cell_count;
  uint32_t *colour_from,
      *colour_cell; /* cells of colour c: colour_cell[colour_from[c]] up to colour_from[c + 1] */
  double *distance,
      *multiplier; /* of the median, one a cell and one a variable: what it says of labels not at work */
  /* Prices of one round. */
  double *price, *best_price, *whole_price; /* one a cell; the last: of the best bound for all labels */
  double *worth;                            /* one a colour: the sum of its prices */
  bool *open;                               /* colours chosen */
  uint32_t *taken_cell;                     /* by each variable */
  double *mean_taken, *mean_open;
  double worth_last;   /* least worth of a colour chosen beyond those of the groups apart */
  double *worth_apart; /* least worth of a colour that could be exchanged for another of its group apart */
  bool has_room;       /* fewer colours of any worth than are allowed */
  GlnRanked *ranked;
  uint8_t *gates;        /* one a colour: GlnGate */
  uint32_t *group_apart; /* of a colour: which group of cover->apart it serves; UINT32_MAX when none */
  bool *apart_served;    /* in the round */
  uint8_t *pool;         /* colours that rounds took */
  /* Labels not ruled out for good: all_label[v][0..all_count[v]), and how far the bound rises when one must be taken, for
   * every label of the trellis. */
  uint32_t **all_label, *all_count;
  double **rise;
  /* Those at work now, all of them or a core: live_label[v][0..live_count[v]). work: the trellis of those whose gate is not closed,
   * its labels in label[v], its changes as whole matrices. */
  uint32_t **live_label, *live_count;
  GlnTrellis work;
  double **unary;
  uint32_t **label;
  uint64_t work_labels;          /* when work was made */
  uint64_t effort, solve_effort; /* cells of matrices: so far, and of one solution of work */
  uint32_t *labels, *found;      /* scratch: one a variable */
} GlnBudgetSearch;

bool gln_budget_tell_apart(double lower, double upper); /* by more than rounding */
bool gln_budget_is_spent(const GlnBudgetSearch *search, double bound);
uint32_t gln_budget_colour(const GlnBudgetSearch *search, uint32_t v, uint32_t label);

/* ---- labels in play: budget_labels.c ---------------------------------------------------------------------------- */

GLN_MUST_USE GlnStatus gln_budget_search_make(GlnBudgetSearch *search);
/* work from the live labels. GLN_NO when a variable has none. */
GLN_MUST_USE GlnStatus gln_budget_work_make(GlnBudgetSearch *search);
uint64_t gln_budget_count_live(const GlnBudgetSearch *search);
/* The part of the trellis on the open colours, with whole matrices; GLN_NO as above. */
GLN_MUST_USE GlnStatus gln_budget_open_part(const GlnBudgetSearch *search, GlnTrellis *part, double **unary,
                                            uint32_t **label);

/* ---- answers: budget_answers.c ----------------------------------------------------------------------------------- */

/* The best assignment on the open colours, exact, taken as the answer when it is better. INFINITY where they do not
 * serve every variable. */
GLN_MUST_USE GlnStatus gln_budget_answer_open(GlnBudgetSearch *search, double *total);
/* Opens the colours of an assignment alone; returns how many. */
uint32_t gln_budget_open_colours(GlnBudgetSearch *search, const uint32_t *labels);
/* Exchanges one colour of the best answer for one of the pool, or adds one, while that betters it. */
GLN_MUST_USE GlnStatus gln_budget_better(GlnBudgetSearch *search);

/* ---- prices: budget_prices.c -------------------------------------------------------------------------------------- */

/* Opens the colours worth most: those whose gate is open, one for each of the groups apart, then the best of the rest.
 * The sum of their worth; -INFINITY when more must be open than are allowed. */
double gln_budget_choose_open(GlnBudgetSearch *search);
/* Works out the worth of every colour from the prices, and chooses. */
double gln_budget_choose_by_price(GlnBudgetSearch *search);
/* The trellis of the labels at work under the prices. */
GLN_MUST_USE GlnStatus gln_budget_solve_priced(GlnBudgetSearch *search, double *total);
/* By how much the bound rises when this colour, not chosen now, must be open. */
double gln_budget_opening_rise(const GlnBudgetSearch *search, uint32_t colour);
/* Closes colours that no better answer has open, the bound under the present prices being so high. */
void gln_budget_close_gates(GlnBudgetSearch *search, double bound);
typedef enum GlnPricing {
  GLN_PRICING_CORE, /* prices alone: what is ruled out for the core need not be for all */
  GLN_PRICING_ROOT, /* gates are closed and labels ruled out for good on the way */
  GLN_PRICING_NODE  /* gates are closed for what is below */
} GlnPricing;
/* Raises *bound from the best prices known, in so many rounds at most, under the gates as they are. */
GLN_MUST_USE GlnStatus gln_budget_raise_bound(GlnBudgetSearch *search, int rounds, GlnPricing pricing,
                                              double *bound);

/* ---- a first bound and answer over every label: budget_median.c ---------------------------------------------------- */

GLN_MUST_USE GlnStatus gln_budget_median(GlnBudgetSearch *search, double *bound);

/* ---- a core of the labels: budget_core.c --------------------------------------------------------------------------- */

/* Puts the labels of least rise to work, as many as have room; all of them: *whole. */
GLN_MUST_USE GlnStatus gln_budget_core_choose(GlnBudgetSearch *search, bool *whole);
/* From prices that are good for the core to a bound for all labels, with labels ruled out by it. GLN_NO when a variable
 * has none left. */
GLN_MUST_USE GlnStatus gln_budget_core_complete(GlnBudgetSearch *search, double *bound);

#endif
