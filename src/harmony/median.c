/* The p-median problem: Lagrangian bounds (Cornuejols, Fisher & Nemhauser, Management Science 23, 1977) inside branch and
 * bound, so that the answer is exact or comes with the bound that was reached. */
#include "fewer_chords.h"

#include <float.h>
#include <stdlib.h>

#define ROOT_ROUNDS 400 /* of the subgradient at the root; fewer below, where the prices start well */
#define NODE_ROUNDS 60
#define NODES_MAX   600   /* then the bound is what was proved. Design choice: a second at most */
#define CELLS_MAX   600e6 /* costs looked at in all; then likewise */
#define CLOSE       1e-9

typedef enum Side { FREE, IN, OUT } Side;

typedef struct Search {
  GlnMedian *median;
  double *price; /* of each item */
  double *gain;  /* of each choice at the prices: negative when it pays */
  Side *side;
  bool *open;
  double *low; /* prices at which a node's bound was best */
  size_t nodes;
  double cells; /* costs looked at */
  bool gave_up;
  double least_open; /* least bound of a node that was not looked into */
} Search;

static double cost(const GlnMedian *median, size_t item, size_t choice) {
  return median->cost[item * median->choices + choice];
}

/* Every item on its cheapest open choice; kept when that is the best so far. */
static double try_open(Search *search) {
  GlnMedian *median = search->median;
  double total = 0;
  for (size_t i = 0; i < median->items; i++) {
    double least = DBL_MAX;
    for (size_t c = 0; c < median->choices; c++)
      if (search->open[c] && cost(median, i, c) < least)
        least = cost(median, i, c);
    total += least;
  }
  if (total >= median->total - CLOSE)
    return total;
  median->total = total;
  for (size_t i = 0; i < median->items; i++) {
    size_t best = SIZE_MAX;
    for (size_t c = 0; c < median->choices; c++)
      if (search->open[c] && (best == SIZE_MAX || cost(median, i, c) < cost(median, i, best)))
        best = c;
    median->choice_of[i] = best;
  }
  return total;
}

/* Open are the choices that are in, then those of the best gain. Returns the bound at these prices. */
static double price_choices(Search *search) {
  const GlnMedian *median = search->median;
  double bound = 0;
  size_t count = 0;
  for (size_t i = 0; i < median->items; i++)
    bound += search->price[i];
  for (size_t c = 0; c < median->choices; c++) {
    search->gain[c] = 0;
    search->open[c] = search->side[c] == IN;
    if (search->side[c] == OUT)
      continue;
    for (size_t i = 0; i < median->items; i++) {
      double left = cost(median, i, c) - search->price[i];
      search->gain[c] += left < 0 ? left : 0;
    }
    if (search->side[c] == IN) {
      bound += search->gain[c];
      count++;
    }
  }
  for (; count < median->most; count++) {
    size_t best = SIZE_MAX;
    for (size_t c = 0; c < median->choices; c++)
      if (search->side[c] == FREE && !search->open[c] &&
          (best == SIZE_MAX || search->gain[c] < search->gain[best]))
        best = c;
    if (best == SIZE_MAX)
      break;
    search->open[best] = true;
    bound += search->gain[best];
  }
  return bound;
}

/* One step along the subgradient: an item that nobody serves pays more, one that several serve less. False when the
 * prices already are an answer. */
static bool move_prices(Search *search, double bound, double scale) {
  const GlnMedian *median = search->median;
  double square = 0;
  for (int pass = 0; pass < 2; pass++) {
    double step = pass == 1 ? scale * (median->total - bound + CLOSE) / square : 0;
    for (size_t i = 0; i < median->items; i++) {
      int served = 0;
      for (size_t c = 0; c < median->choices; c++)
        served += search->open[c] && cost(median, i, c) < search->price[i] ? 1 : 0;
      double off = 1 - served;
      if (pass == 0)
        square += off * off;
      else
        search->price[i] += step * off;
    }
    if (square < 0.5)
      return false;
  }
  return true;
}

static double find_bound(Search *search, int rounds) {
  const GlnMedian *median = search->median;
  double best = -DBL_MAX, scale = 1.5;
  int stale = 0;
  for (int round = 0; round < rounds; round++) {
    double bound = price_choices(search);
    (void)try_open(search);
    search->cells += 4.0 * (double)median->items * (double)median->choices;
    if (bound > best + CLOSE) {
      best = bound;
      stale = 0;
      for (size_t i = 0; i < median->items; i++)
        search->low[i] = search->price[i];
    } else if (++stale == 12) {
      stale = 0;
      scale /= 2;
    }
    if (best >= median->total - CLOSE || search->cells >= CELLS_MAX || !move_prices(search, bound, scale))
      break;
  }
  for (size_t i = 0; i < median->items; i++)
    search->price[i] = search->low[i];
  return best;
}

/* The free choice of the best gain at the node's best prices: with it, then without. */
static void look_into(Search *search, size_t in, int rounds) {
  const GlnMedian *median = search->median;
  double bound = find_bound(search, rounds);
  if (bound >= median->total - CLOSE || in >= median->most)
    return;
  if (search->nodes >= NODES_MAX || search->cells >= CELLS_MAX) {
    search->gave_up = true;
    search->least_open = bound < search->least_open ? bound : search->least_open;
    return;
  }
  search->nodes++;
  (void)price_choices(search);
  size_t best = SIZE_MAX;
  for (size_t c = 0; c < median->choices; c++)
    if (search->side[c] == FREE && (best == SIZE_MAX || search->gain[c] < search->gain[best]))
      best = c;
  if (best == SIZE_MAX)
    return;
  search->side[best] = IN;
  look_into(search, in + 1, NODE_ROUNDS);
  search->side[best] = OUT;
  look_into(search, in, NODE_ROUNDS);
  search->side[best] = FREE;
}

GlnStatus gln_median_solve(GlnMedian *median, GlnArena *arena) {
  Search search = {.median = median,
                   .price = GLN_NEW(arena, double, median->items),
                   .low = GLN_NEW(arena, double, median->items),
                   .gain = GLN_NEW(arena, double, median->choices),
                   .side = GLN_NEW(arena, Side, median->choices),
                   .open = GLN_NEW(arena, bool, median->choices),
                   .least_open = DBL_MAX};
  median->choice_of = GLN_NEW(arena, size_t, median->items);
  if (search.price == NULL || search.low == NULL || search.gain == NULL || search.side == NULL ||
      search.open == NULL || median->choice_of == NULL)
    return GLN_MEMORY;
  median->total = DBL_MAX;
  for (size_t i = 0; i < median->items; i++) { /* prices start at the second cheapest choice */
    double first = DBL_MAX, second = DBL_MAX;
    for (size_t c = 0; c < median->choices; c++) {
      double here = cost(median, i, c);
      if (here < first) {
        second = first;
        first = here;
      } else if (here < second) {
        second = here;
      }
    }
    search.price[i] = second < DBL_MAX ? second : first;
  }
  look_into(&search, 0, ROOT_ROUNDS);
  median->bound = search.gave_up && search.least_open < median->total ? search.least_open : median->total;
  median->bound = median->bound > 0 ? median->bound : 0;
  return GLN_OK;
}
