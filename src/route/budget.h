/* budget: the best assignment of a trellis whose labels show at most so many colours in all. A colour is a grip, or a
 * shape, that labels of several variables share. Nothing here knows a song. */
#ifndef GLN_ROUTE_BUDGET_H
#define GLN_ROUTE_BUDGET_H

#include "route_internal.h"

typedef struct GlnBudget {
  const GlnTrellis *trellis;
  const uint32_t *group;          /* of each variable; variables of one group have the same labels */
  const uint32_t *const *colours; /* of each group: a colour for every label */
  uint32_t group_count, colour_count;
  uint32_t most;       /* colours */
  uint64_t core_cells; /* of matrices, priced at a time while labels are many; 0: as usual. For tests */
} GlnBudget;

typedef struct GlnBudgetAnswer {
  uint32_t *labels; /* one a variable; room given by the caller */
  double total;
  double bound;    /* no assignment on so few colours totals less; equal to total when that is proved best */
  uint32_t used;   /* colours */
  uint32_t fewest; /* colours without which no assignment is possible */
  bool fewest_is_exact; /* false: no assignment on that many is known either */
  uint32_t *apart;      /* groups of which no two share a colour; room for group_count */
  uint32_t apart_count;
} GlnBudgetAnswer;

/* Limits: docs/reduce.md. */
#define GLN_COVER_BRANCHES_MAX 100000 /* of the search for the fewest colours */

/* Exact where the search ends within its limits, else with a bound. free_labels: the optimum without a budget. GLN_NO
 * when most is too few: fewest and apart say why. */
GLN_MUST_USE GlnStatus gln_budget_solve(const GlnBudget *budget, const uint32_t *free_labels, GlnArena *arena,
                                        GlnBudgetAnswer *answer);

/* ---- the fewest colours that give every group a label -------------------------------------------------------- */

typedef struct GlnCover {
  uint32_t *colours; /* one smallest set found, count of them */
  uint32_t count;
  uint32_t least;  /* proved; equal to count when the search ended */
  uint32_t *apart; /* groups of which no two share a colour */
  uint32_t apart_count;
} GlnCover;
GLN_MUST_USE GlnStatus gln_cover_find(const GlnBudget *budget, GlnArena *arena, GlnCover *cover);

#endif
