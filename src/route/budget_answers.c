/* Answers: the best assignment on given colours, and better ones by exchange. */
#include "budget_internal.h"

#include <math.h>
#include <string.h>

static void offer(GlnBudgetSearch *search, const uint32_t *labels, double total) {
  if (!gln_budget_tell_apart(total, search->total))
    return;
  search->total = total;
  memcpy(search->answer->labels, labels, search->variable_count * sizeof *labels);
}

/* The best assignment on the open colours: exact. INFINITY where they do not serve every variable. */
GlnStatus gln_budget_answer_open(GlnBudgetSearch *search, double *total) {
  GlnArenaMark mark = gln_arena_mark(search->arena);
  double **unary = GLN_NEW(search->arena, double *, search->variable_count);
  uint32_t **label = GLN_NEW(search->arena, uint32_t *, search->variable_count);
  if (unary == NULL || label == NULL)
    return GLN_MEMORY;
  GlnTrellis part;
  *total = (double)INFINITY;
  GlnStatus status = gln_budget_open_part(search, &part, unary, label);
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

uint32_t gln_budget_open_colours(GlnBudgetSearch *search, const uint32_t *labels) {
  uint32_t count = 0;
  memset(search->open, 0, search->budget->colour_count * sizeof *search->open);
  for (uint32_t v = 0; v < search->variable_count; ++v) {
    uint32_t c = gln_budget_colour(search, v, labels[v]);
    count += search->open[c] ? 0U : 1U;
    search->open[c] = true;
  }
  return count;
}

/* Opens colours of the pool one at a time beside the open ones, until that betters the answer. */
static GlnStatus try_pool(GlnBudgetSearch *search, uint32_t closed, bool *gained) {
  double before = search->total;
  for (uint32_t c = 0; c < search->budget->colour_count && !*gained; ++c) {
    if (search->pool[c] == 0 || search->open[c] || c == closed)
      continue;
    double total = 0;
    search->open[c] = true;
    GLN_TRY(gln_budget_answer_open(search, &total));
    search->open[c] = false;
    *gained = gln_budget_tell_apart(search->total, before);
  }
  return GLN_OK;
}

/* One better answer, if exchange finds any. */
static GlnStatus better_once(GlnBudgetSearch *search, bool *gained) {
  uint32_t used = gln_budget_open_colours(search, search->answer->labels), *mine = search->labels, count = 0;
  if (used < search->budget->most)
    return try_pool(search, search->budget->colour_count, gained);
  for (uint32_t c = 0; c < search->budget->colour_count && count < search->variable_count; ++c)
    if (search->open[c])
      mine[count++] = c;
  for (uint32_t i = 0; i < count && !*gained; ++i) {
    search->open[mine[i]] = false;
    GLN_TRY(try_pool(search, mine[i], gained));
    search->open[mine[i]] = true;
  }
  return GLN_OK;
}

GlnStatus gln_budget_better(GlnBudgetSearch *search) {
  for (bool gained = true; gained;) {
    gained = false;
    GLN_TRY(better_once(search, &gained));
  }
  return GLN_OK;
}
