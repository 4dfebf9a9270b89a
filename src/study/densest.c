/* The densest set of grips: most bars unlocked for each grip learned. By Dinkelbach's iteration over minimum cuts:
 * source to a bar (its weight), bar to the grips it needs (no limit), grip to sink (the density asked for); what is on the
 * source's side of a minimum cut is the set that gains most over that density (Picard 1976). */
#include "study_internal.h"

#include <string.h>

typedef struct Arc {
  uint32_t to, next; /* next: of the node's arcs, NONE at the end */
  int64_t room;
} Arc;

#define NONE UINT32_MAX

typedef struct Network {
  Arc *arcs; /* an arc and its reverse stand side by side */
  uint32_t arc_count;
  uint32_t *first, *level, *at, *queue;
  uint32_t node_count;
} Network;

static void add_arc(Network *network, uint32_t from, uint32_t to, int64_t room) {
  network->arcs[network->arc_count] = (Arc){to, network->first[from], room};
  network->first[from] = network->arc_count++;
  network->arcs[network->arc_count] = (Arc){from, network->first[to], 0};
  network->first[to] = network->arc_count++;
}

/* Distances from the source in the residual network; false when the sink is out of reach. */
static bool level_nodes(Network *network, uint32_t source, uint32_t sink) {
  for (uint32_t i = 0; i < network->node_count; i++)
    network->level[i] = NONE;
  network->level[source] = 0;
  network->queue[0] = source;
  for (uint32_t head = 0, tail = 1; head < tail; head++) {
    uint32_t node = network->queue[head];
    for (uint32_t a = network->first[node]; a != NONE; a = network->arcs[a].next) {
      uint32_t to = network->arcs[a].to;
      if (network->arcs[a].room <= 0 || network->level[to] != NONE)
        continue;
      network->level[to] = network->level[node] + 1;
      network->queue[tail++] = to;
    }
  }
  return network->level[sink] != NONE;
}

/* Pushes along levels; depth is at most the levels of this network, which alternate between bars and grips. */
static int64_t push(Network *network, uint32_t node, uint32_t sink,
                    int64_t most) { /* NOLINT(misc-no-recursion) */
  if (node == sink)
    return most;
  for (uint32_t *a = &network->at[node]; *a != NONE; *a = network->arcs[*a].next) {
    Arc *arc = &network->arcs[*a];
    if (arc->room <= 0 || network->level[arc->to] != network->level[node] + 1)
      continue;
    int64_t sent = push(network, arc->to, sink, arc->room < most ? arc->room : most);
    if (sent > 0) {
      arc->room -= sent;
      network->arcs[*a ^ 1U].room += sent;
      return sent;
    }
  }
  return 0;
}

static void fill(Network *network, uint32_t source, uint32_t sink) {
  while (level_nodes(network, source, sink)) {
    memcpy(network->at, network->first, network->node_count * sizeof *network->at);
    while (push(network, source, sink, INT64_MAX) > 0) {
    }
  }
}

static GlnStatus open_network(const GlnNeeds *needs, GlnArena *arena, Network *network) {
  size_t arcs = needs->count + needs->grip_count;
  for (size_t i = 0; i < needs->count; i++)
    arcs += needs->items[i].grip_count;
  size_t nodes = needs->count + needs->grip_count + 2;
  *network = (Network){.arcs = GLN_NEW(arena, Arc, 2 * arcs),
                       .first = GLN_NEW(arena, uint32_t, nodes),
                       .level = GLN_NEW(arena, uint32_t, nodes),
                       .at = GLN_NEW(arena, uint32_t, nodes),
                       .queue = GLN_NEW(arena, uint32_t, nodes),
                       .node_count = (uint32_t)nodes};
  bool made = network->arcs != NULL && network->first != NULL && network->level != NULL &&
              network->at != NULL && network->queue != NULL;
  return made ? GLN_OK : GLN_MEMORY;
}

static bool is_open(const GlnNeed *need, const bool *learned, const bool *in) {
  for (size_t i = 0; i < need->grip_count; i++)
    if (!learned[need->grips[i]] && !in[need->grips[i]])
      return false;
  return true;
}

static bool all_learned(const GlnNeed *need, const bool *learned) {
  for (size_t i = 0; i < need->grip_count; i++)
    if (!learned[need->grips[i]])
      return false;
  return true;
}

/* The density of the set: bars over grips. */
static void weigh(const GlnNeeds *needs, const bool *learned, const bool *in, int64_t *bars, int64_t *grips) {
  *bars = *grips = 0;
  for (size_t i = 0; i < needs->grip_count; i++)
    *grips += in[i] ? 1 : 0;
  for (size_t i = 0; i < needs->count; i++)
    if (!all_learned(&needs->items[i], learned) && is_open(&needs->items[i], learned, in))
      *bars += needs->items[i].bars;
}

/* The network whose minimum cut is the set that gains most over a density of bars to grips. */
static void lay_network(Network *network, const GlnNeeds *needs, const bool *learned, int64_t bars,
                        int64_t grips) {
  const uint32_t source = (uint32_t)(needs->count + needs->grip_count), sink = source + 1;
  for (uint32_t i = 0; i < network->node_count; i++)
    network->first[i] = NONE;
  network->arc_count = 0;
  for (size_t i = 0; i < needs->count; i++) {
    const GlnNeed *need = &needs->items[i];
    if (all_learned(need, learned))
      continue;
    add_arc(network, source, (uint32_t)i, need->bars * grips);
    for (size_t g = 0; g < need->grip_count; g++)
      if (!learned[need->grips[g]])
        add_arc(network, (uint32_t)i, (uint32_t)needs->count + need->grips[g], INT64_MAX / 2);
  }
  for (size_t i = 0; i < needs->grip_count; i++)
    if (!learned[i])
      add_arc(network, (uint32_t)(needs->count + i), sink, bars);
}

GlnStatus gln_densest_find(const GlnNeeds *needs, const bool *learned, GlnArena *arena, bool *in) {
  Network network;
  GLN_TRY(open_network(needs, arena, &network));
  const uint32_t source = (uint32_t)(needs->count + needs->grip_count), sink = source + 1;
  for (size_t i = 0; i < needs->grip_count; i++)
    in[i] = !learned[i];
  for (;;) {
    int64_t bars = 0, grips = 0;
    weigh(needs, learned, in, &bars, &grips);
    lay_network(&network, needs, learned, bars, grips);
    fill(&network, source, sink);
    /* Grips on the source's side: none when no set is denser than the one at hand. */
    bool denser = false;
    for (size_t i = 0; i < needs->grip_count; i++)
      denser = denser || (!learned[i] && network.level[needs->count + i] != NONE);
    if (!denser)
      return GLN_OK;
    for (size_t i = 0; i < needs->grip_count; i++)
      in[i] = !learned[i] && network.level[needs->count + i] != NONE;
  }
}
