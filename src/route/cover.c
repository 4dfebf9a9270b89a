/* Cover: the fewest grips, or shapes, that hold every chord of a song. Colours that serve the same groups are one
 * choice; the search branches on the group with fewest choices and is bounded by how many one choice can serve. */
#include "budget.h"

#include <stdlib.h>
#include <string.h>

#define WORD_BITS 64U

typedef struct Choice {
  uint64_t *serves; /* bit g: group g */
  uint32_t colour, size;
} Choice;

typedef struct Search {
  GlnArena *arena;
  uint32_t group_count, words;
  Choice *choices; /* largest first */
  uint32_t choice_count;
  uint32_t *taken, *best; /* colours */
  uint32_t best_count, branches;
  uint64_t **left; /* groups not served yet, at every depth */
} Search;

static uint32_t bits_in(const uint64_t *set, uint32_t words) {
  uint32_t count = 0;
  for (uint32_t w = 0; w < words; ++w)
    count += (uint32_t)gln_bit_count(set[w]);
  return count;
}

static uint32_t shared_bits(const uint64_t *a, const uint64_t *b, uint32_t words) {
  uint32_t count = 0;
  for (uint32_t w = 0; w < words; ++w)
    count += (uint32_t)gln_bit_count(a[w] & b[w]);
  return count;
}

static bool has_bit(const uint64_t *set, uint32_t bit) {
  return (set[bit / WORD_BITS] >> bit % WORD_BITS & 1) != 0;
}

static void set_bit(uint64_t *set, uint32_t bit) {
  set[bit / WORD_BITS] |= (uint64_t)1 << bit % WORD_BITS;
}

/* Choices that serve nothing another does not serve are left out: some smallest cover does without them. */
static bool is_within(const uint64_t *a, const uint64_t *b, uint32_t words) {
  for (uint32_t w = 0; w < words; ++w)
    if ((a[w] & ~b[w]) != 0)
      return false;
  return true;
}

static int by_size(const void *a, const void *b) {
  const Choice *x = a, *y = b;
  if (x->size != y->size)
    return x->size > y->size ? -1 : 1;
  return x->colour < y->colour ? -1 : x->colour > y->colour;
}

static GlnStatus find_choices(const GlnBudget *budget, Search *search) {
  uint32_t n = budget->colour_count, words = search->words, live = 0;
  uint64_t *serves = GLN_NEW(search->arena, uint64_t, (size_t)n * words);
  Choice *all = GLN_NEW(search->arena, Choice, n);
  bool *seen = GLN_NEW(search->arena, bool, budget->group_count);
  if (serves == NULL || all == NULL || seen == NULL)
    return GLN_MEMORY;
  for (size_t v = 0; v < budget->trellis->variable_count; ++v) {
    uint32_t g = budget->group[v];
    const GlnVariable *variable = &budget->trellis->variables[v];
    for (uint32_t k = 0; !seen[g] && k < variable->label_count; ++k)
      set_bit(&serves[(size_t)budget->colours[g][k] * words], g);
    seen[g] = true;
  }
  for (uint32_t c = 0; c < n; ++c) {
    uint64_t *set = &serves[(size_t)c * words];
    uint32_t size = bits_in(set, words);
    if (size > 0)
      all[live++] = (Choice){set, c, size};
  }
  qsort(all, live, sizeof *all, by_size);
  search->choices = all;
  for (uint32_t i = 0; i < live; ++i) {
    bool needed = true;
    for (uint32_t k = 0; needed && k < search->choice_count; ++k)
      needed = !is_within(all[i].serves, all[k].serves, words);
    if (needed)
      all[search->choice_count++] = all[i];
  }
  return GLN_OK;
}

/* The group not served yet that fewest choices serve; group_count when all are served. */
static uint32_t scarcest(const Search *search, const uint64_t *left) {
  uint32_t best = search->group_count, fewest = UINT32_MAX;
  for (uint32_t g = 0; g < search->group_count; ++g) {
    if (!has_bit(left, g))
      continue;
    uint32_t ways = 0;
    for (uint32_t i = 0; i < search->choice_count; ++i)
      ways += has_bit(search->choices[i].serves, g) ? 1U : 0U;
    if (ways < fewest) {
      fewest = ways;
      best = g;
    }
  }
  return best;
}

static uint32_t least_more(const Search *search, const uint64_t *left) {
  uint32_t open = bits_in(left, search->words), most = 1;
  for (uint32_t i = 0; i < search->choice_count && search->choices[i].size > most; ++i) {
    uint32_t shared = shared_bits(search->choices[i].serves, left, search->words);
    most = shared > most ? shared : most;
  }
  return (open + most - 1) / most;
}

static void branch(Search *search, uint32_t depth) {
  const uint64_t *left = search->left[depth];
  uint32_t g = scarcest(search, left);
  if (g == search->group_count) {
    if (depth < search->best_count) {
      search->best_count = depth;
      memcpy(search->best, search->taken, depth * sizeof *search->taken);
    }
    return;
  }
  if (depth + least_more(search, left) >= search->best_count || ++search->branches > GLN_COVER_BRANCHES_MAX)
    return;
  for (uint32_t i = 0; i < search->choice_count; ++i) {
    if (!has_bit(search->choices[i].serves, g))
      continue;
    search->taken[depth] = search->choices[i].colour;
    for (uint32_t w = 0; w < search->words; ++w)
      search->left[depth + 1][w] = left[w] & ~search->choices[i].serves[w];
    branch(search, depth + 1);
  }
}

/* The choice that serves most of what is left, again and again. */
static void cover_greedily(Search *search, uint64_t *left) {
  while (bits_in(left, search->words) > 0) {
    uint32_t best = 0, most = 0;
    for (uint32_t i = 0; i < search->choice_count; ++i) {
      uint32_t shared = shared_bits(search->choices[i].serves, left, search->words);
      if (shared > most) {
        most = shared;
        best = i;
      }
    }
    for (uint32_t w = 0; w < search->words; ++w)
      left[w] &= ~search->choices[best].serves[w];
    search->best[search->best_count++] = search->choices[best].colour;
  }
}

/* Of the groups left, the one whose choices serve the fewest; group_count when none is left. */
static uint32_t most_limited(const Search *search, const uint64_t *left) {
  uint32_t best = search->group_count, fewest = UINT32_MAX;
  for (uint32_t g = 0; g < search->group_count; ++g) {
    uint32_t reach = 0;
    if (!has_bit(left, g))
      continue;
    for (uint32_t i = 0; i < search->choice_count; ++i)
      if (has_bit(search->choices[i].serves, g))
        reach += search->choices[i].size;
    if (reach < fewest) {
      fewest = reach;
      best = g;
    }
  }
  return best;
}

/* Groups of which no two share a colour, those with most limited choices first: each needs a colour of its own. */
static GlnStatus find_apart(const Search *search, GlnCover *cover) {
  uint64_t *left = GLN_NEW(search->arena, uint64_t, search->words);
  cover->apart = GLN_NEW(search->arena, uint32_t, search->group_count);
  if (left == NULL || cover->apart == NULL)
    return GLN_MEMORY;
  for (uint32_t g = 0; g < search->group_count; ++g)
    set_bit(left, g);
  for (;;) {
    uint32_t best = most_limited(search, left);
    if (best == search->group_count)
      return GLN_OK;
    cover->apart[cover->apart_count++] = best;
    for (uint32_t i = 0; i < search->choice_count; ++i)
      for (uint32_t w = 0; has_bit(search->choices[i].serves, best) && w < search->words; ++w)
        left[w] &= ~search->choices[i].serves[w];
  }
}

GlnStatus gln_cover_find(const GlnBudget *budget, GlnArena *arena, GlnCover *cover) {
  Search search = {.arena = arena, .group_count = budget->group_count};
  search.words = (budget->group_count + WORD_BITS - 1) / WORD_BITS;
  *cover = (GlnCover){0};
  GLN_TRY(find_choices(budget, &search));
  search.taken = GLN_NEW(arena, uint32_t, budget->group_count + 1);
  search.best = GLN_NEW(arena, uint32_t, budget->group_count + 1);
  search.left = GLN_NEW(arena, uint64_t *, budget->group_count + 2);
  uint64_t *sets = GLN_NEW(arena, uint64_t, (size_t)(budget->group_count + 2) * (search.words + 1));
  if (search.taken == NULL || search.best == NULL || search.left == NULL || sets == NULL)
    return GLN_MEMORY;
  for (uint32_t d = 0; d < budget->group_count + 2; ++d)
    search.left[d] = sets + (size_t)d * search.words;
  for (uint32_t g = 0; g < budget->group_count; ++g) {
    set_bit(search.left[0], g);
    set_bit(search.left[1], g);
  }
  cover_greedily(&search, search.left[1]);
  GLN_TRY(find_apart(&search, cover));
  if (cover->apart_count < search.best_count)
    branch(&search, 0);
  cover->colours = search.best;
  cover->count = search.best_count;
  bool ended = search.branches <= GLN_COVER_BRANCHES_MAX;
  cover->least = ended ? cover->count : cover->apart_count;
  return GLN_OK;
}
