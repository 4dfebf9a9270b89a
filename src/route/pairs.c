/* Pairs: the changes between two sets of candidates, each costed at most once, and the edges that weigh them. */
#include "route_internal.h"

#include <math.h>

typedef struct GlnPairSlot {
  uint32_t key; /* from · to_count + to + 1; 0: empty */
  GlnChangeCost cost;
} GlnPairSlot;

static size_t place_of(const GlnPairs *pairs, uint32_t key) {
  size_t at = (size_t)(key * 2654435769U) & (pairs->slot_count - 1); /* Knuth's multiplicative hash */
  while (pairs->slots[at].key != 0 && pairs->slots[at].key != key)
    at = (at + 1) & (pairs->slot_count - 1);
  return at;
}

/* Out of memory only means that costs are worked out again. */
static bool make_room(GlnPairs *pairs) {
  if (pairs->slots != NULL && 2 * (pairs->costed + 1) < pairs->slot_count)
    return true;
  GlnPairs wider = *pairs;
  wider.slot_count = pairs->slots == NULL ? 256 : 4 * pairs->slot_count;
  wider.slots = GLN_NEW(pairs->arena, GlnPairSlot, wider.slot_count);
  if (wider.slots == NULL)
    return false;
  for (size_t i = 0; pairs->slots != NULL && i < pairs->slot_count; ++i)
    if (pairs->slots[i].key != 0)
      wider.slots[place_of(&wider, pairs->slots[i].key)] = pairs->slots[i];
  *pairs = wider;
  return true;
}

GlnChangeCost gln_pairs_cost(GlnPairs *pairs, uint32_t from, uint32_t to) {
  if (pairs->given != NULL)
    return pairs->given[from * pairs->to_count + to];
  if (!make_room(pairs))
    return gln_change_cost(pairs->costing, &pairs->from[from], &pairs->to[to]);
  uint32_t key = from * (uint32_t)pairs->to_count + to + 1;
  GlnPairSlot *slot = &pairs->slots[place_of(pairs, key)];
  if (slot->key == 0) {
    slot->key = key;
    slot->cost = gln_change_cost(pairs->costing, &pairs->from[from], &pairs->to[to]);
    ++pairs->costed;
  }
  return slot->cost;
}

double gln_trellis_fine(const GlnTrellis *trellis) {
  return trellis->load_fine > 0 ? trellis->load_fine : (double)INFINITY;
}

static double term_value(const GlnTrellis *trellis, const GlnTerm *term, GlnChangeCost cost) {
  double value = term->voices * (double)cost.voice + term->haste * (double)cost.seconds;
  bool hurried = term->load * (double)cost.seconds > trellis->load_limit;
  return hurried ? value + gln_trellis_fine(trellis) : value;
}

double gln_edge_cost(const GlnTrellis *trellis, const GlnEdge *edge, uint32_t low, uint32_t high) {
  if (edge->matrix != NULL)
    return edge->matrix[(size_t)low * trellis->variables[edge->high].label_count + high];
  double cost = 0;
  if (edge->up.pairs != NULL)
    cost += term_value(trellis, &edge->up, gln_pairs_cost(edge->up.pairs, low, high));
  if (edge->down.pairs != NULL)
    cost += term_value(trellis, &edge->down, gln_pairs_cost(edge->down.pairs, high, low));
  return cost;
}

/* Seconds alone are quicker worked out than remembered. */
static double seconds_between(const GlnPairs *pairs, uint32_t from, uint32_t to) {
  if (pairs->given != NULL)
    return (double)pairs->given[from * pairs->to_count + to].seconds;
  return (double)gln_move_seconds(&pairs->from[from], &pairs->to[to]);
}

/* Without looking for the cost or remembering it: for costs that are asked for once. A forbidden change stays uncosted. */
static double term_once(const GlnTrellis *trellis, const GlnTerm *term, uint32_t from, uint32_t to) {
  const GlnPairs *pairs = term->pairs;
  if (pairs == NULL)
    return 0;
  if (pairs->given != NULL)
    return term_value(trellis, term, pairs->given[from * pairs->to_count + to]);
  bool outright = !isinf(trellis->load_limit) && isinf(gln_trellis_fine(trellis));
  if (outright && term->load * seconds_between(pairs, from, to) > trellis->load_limit)
    return (double)INFINITY;
  return term_value(trellis, term, gln_change_cost(pairs->costing, &pairs->from[from], &pairs->to[to]));
}

double gln_edge_cost_once(const GlnTrellis *trellis, const GlnEdge *edge, uint32_t low, uint32_t high) {
  if (edge->matrix != NULL)
    return gln_edge_cost(trellis, edge, low, high);
  double cost = term_once(trellis, &edge->up, low, high);
  return isinf(cost) ? cost : cost + term_once(trellis, &edge->down, high, low);
}

static double greater(double a, double b) {
  return a > b ? a : b;
}

double gln_edge_load(const GlnEdge *edge, uint32_t low, uint32_t high) {
  double load = 0;
  if (edge->up.pairs != NULL)
    load = edge->up.load * seconds_between(edge->up.pairs, low, high);
  if (edge->down.pairs != NULL)
    load = greater(load, edge->down.load * seconds_between(edge->down.pairs, high, low));
  return load;
}

double gln_trellis_total(const GlnTrellis *trellis, const uint32_t *labels) {
  double total = 0;
  for (size_t v = 0; v < trellis->variable_count; ++v)
    total += trellis->variables[v].unary[labels[v]];
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    const GlnEdge *edge = &trellis->edges[e];
    total += gln_edge_cost(trellis, edge, labels[edge->low], labels[edge->high]);
  }
  return total;
}

double gln_trellis_load(const GlnTrellis *trellis, const uint32_t *labels) {
  double load = 0;
  for (size_t e = 0; e < trellis->edge_count; ++e) {
    const GlnEdge *edge = &trellis->edges[e];
    load = greater(load, gln_edge_load(edge, labels[edge->low], labels[edge->high]));
  }
  return load;
}
