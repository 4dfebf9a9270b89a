/* Which grips come first: the order that unlocks the song's bars soonest.
 *
 * The bars that are still locked, summed over the steps, is what is to be least: jobs (bars) that each need some of the
 * grips before them, a grip taking one step. It is hard in general. Up to GLN_UNLOCK_EXACT_MAX grips every subset is looked
 * at. Beyond, the grips are cut into blocks by taking the densest set again and again; some best order keeps to such
 * blocks (Sidney 1975), so where every block is small enough the answer is still exact. A greater block is ordered
 * greedily, which is at most twice the least (Chekuri & Motwani 1999), and the bound says how far it can be off. */
#include "study_internal.h"

#include <stdlib.h>
#include <string.h>

typedef struct Work {
  const GlnMaterial *material;
  GlnArena *arena;
  GlnNeeds needs;
  bool *learned;  /* one flag a grip */
  int64_t locked; /* bars */
  GlnUnlock *unlock;
} Work;

/* ---- what bars need -------------------------------------------------------------------------------------------------- */

static int compare_grips(const void *a, const void *b) {
  const uint32_t *x = a, *y = b;
  return *x < *y ? -1 : *x > *y;
}

static int compare_needs(const void *a, const void *b) {
  const GlnNeed *x = a, *y = b;
  if (x->grip_count != y->grip_count)
    return x->grip_count < y->grip_count ? -1 : 1;
  for (size_t i = 0; i < x->grip_count; i++)
    if (x->grips[i] != y->grips[i])
      return x->grips[i] < y->grips[i] ? -1 : 1;
  return 0;
}

static GlnStatus need_of_bar(Work *work, const GlnStudyBar *bar, GlnNeed *need) {
  uint32_t *grips = GLN_NEW(work->arena, uint32_t, bar->item_count);
  if (grips == NULL)
    return GLN_MEMORY;
  size_t count = 0;
  for (size_t i = 0; i < bar->item_count; i++)
    if (bar->items[i] < work->material->grip_count && !work->learned[bar->items[i]])
      grips[count++] = bar->items[i];
  if (count > 1)
    qsort(grips, count, sizeof *grips, compare_grips);
  size_t kept = 0;
  for (size_t i = 0; i < count; i++)
    if (kept == 0 || grips[kept - 1] != grips[i])
      grips[kept++] = grips[i];
  *need = (GlnNeed){grips, kept, 1};
  return GLN_OK;
}

static GlnStatus gather(Work *work) {
  const GlnMaterial *material = work->material;
  GlnNeed *needs = GLN_NEW(work->arena, GlnNeed, material->bar_count);
  if (needs == NULL)
    return GLN_MEMORY;
  size_t count = 0;
  for (size_t i = 0; i < material->bar_count; i++) {
    GLN_TRY(need_of_bar(work, &material->bars[i], &needs[count]));
    count += needs[count].grip_count > 0 ? 1 : 0;
  }
  work->locked = (int64_t)count;
  if (count > 1)
    qsort(needs, count, sizeof *needs, compare_needs);
  size_t kept = 0;
  for (size_t i = 0; i < count; i++) {
    if (kept > 0 && compare_needs(&needs[kept - 1], &needs[i]) == 0)
      needs[kept - 1].bars++;
    else
      needs[kept++] = needs[i];
  }
  work->needs = (GlnNeeds){needs, kept, material->grip_count};
  return GLN_OK;
}

/* ---- learning one grip ------------------------------------------------------------------------------------------------- */

static bool is_locked(const GlnNeed *need, const bool *learned) {
  for (size_t i = 0; i < need->grip_count; i++)
    if (!learned[need->grips[i]])
      return true;
  return false;
}

static void learn(Work *work, uint32_t grip) {
  int64_t before = work->locked;
  for (size_t i = 0; i < work->needs.count; i++) {
    const GlnNeed *need = &work->needs.items[i];
    bool was = is_locked(need, work->learned);
    work->learned[grip] = true;
    if (was && !is_locked(need, work->learned))
      work->locked -= need->bars;
    work->learned[grip] = false;
  }
  work->learned[grip] = true;
  GlnUnlock *unlock = work->unlock;
  unlock->unlocks[unlock->count] = (uint32_t)(before - work->locked);
  unlock->order[unlock->count++] = grip;
  unlock->wait += work->locked;
}

/* ---- a block by looking at every subset ------------------------------------------------------------------------------------ */

/* Of two orders that wait alike the one that leaves the harder grips for later; in thousandths of difficulty. */
#define EASE_SCALE 1000.0
#define WAIT_SHIFT 32

/* Tables over the subsets of a block: bit n of a set is grip n of the block. */
typedef struct Subsets {
  const uint32_t *block;
  size_t count;
  int32_t *open;  /* bars of the block that a set unlocks */
  int64_t *least; /* least wait of a set's own orders, with effort below */
  uint8_t *last;  /* the grip that comes last in such an order */
  int64_t bars;   /* that the whole block unlocks */
} Subsets;

/* What a bar still needs of the block; false when it needs a grip outside, or nothing. */
static bool set_of_need(const Work *work, const Subsets *subsets, const GlnNeed *need, size_t *set) {
  *set = 0;
  for (size_t g = 0; g < need->grip_count; g++) {
    size_t at = 0;
    while (at < subsets->count && subsets->block[at] != need->grips[g])
      at++;
    if (at < subsets->count)
      *set |= (size_t)1 << at;
    else if (!work->learned[need->grips[g]])
      return false;
  }
  return *set != 0;
}

static void count_open(const Work *work, Subsets *subsets) {
  const size_t sets = (size_t)1 << subsets->count;
  for (size_t i = 0; i < work->needs.count; i++) {
    size_t set = 0;
    if (!set_of_need(work, subsets, &work->needs.items[i], &set))
      continue;
    subsets->open[set] += (int32_t)work->needs.items[i].bars;
    subsets->bars += work->needs.items[i].bars;
  }
  for (size_t bit = 0; bit < subsets->count; bit++) /* of every subset of a set: sums over subsets */
    for (size_t set = 0; set < sets; set++)
      if ((set >> bit & 1) != 0)
        subsets->open[set] += subsets->open[set ^ (size_t)1 << bit];
}

static void find_least(const Work *work, Subsets *subsets) {
  int64_t ease[GLN_UNLOCK_EXACT_MAX];
  for (size_t i = 0; i < subsets->count; i++)
    ease[i] = (int64_t)(work->material->items[subsets->block[i]].difficulty * EASE_SCALE);
  for (size_t set = 1; set < (size_t)1 << subsets->count; set++) {
    int64_t best = INT64_MAX, effort = 0;
    for (size_t bit = 0; bit < subsets->count; bit++) {
      if ((set >> bit & 1) == 0)
        continue;
      effort += ease[bit];
      if (subsets->least[set ^ (size_t)1 << bit] < best) {
        best = subsets->least[set ^ (size_t)1 << bit];
        subsets->last[set] = (uint8_t)bit;
      }
    }
    subsets->least[set] = best + ((subsets->bars - subsets->open[set]) << WAIT_SHIFT) + effort;
  }
}

static GlnStatus order_exactly(Work *work, const uint32_t *block, size_t count) {
  const size_t sets = (size_t)1 << count;
  GlnArenaMark mark = gln_arena_mark(work->arena);
  Subsets subsets = {.block = block,
                     .count = count,
                     .open = GLN_NEW(work->arena, int32_t, sets),
                     .least = GLN_NEW(work->arena, int64_t, sets),
                     .last = GLN_NEW(work->arena, uint8_t, sets)};
  if (subsets.open == NULL || subsets.least == NULL || subsets.last == NULL)
    return GLN_MEMORY;
  count_open(work, &subsets);
  find_least(work, &subsets);
  uint32_t order[GLN_UNLOCK_EXACT_MAX];
  size_t set = sets - 1;
  for (size_t at = count; at-- > 0;) {
    order[at] = block[subsets.last[set]];
    set ^= (size_t)1 << subsets.last[set];
  }
  gln_arena_rewind(work->arena, mark);
  for (size_t i = 0; i < count; i++)
    learn(work, order[i]);
  return GLN_OK;
}

/* ---- a greater block, greedily ----------------------------------------------------------------------------------------------- */

static const GlnNeed *best_need(const Work *work, const bool *in) {
  const GlnNeed *best = NULL;
  int64_t best_bars = 0, best_missing = 1;
  for (size_t i = 0; i < work->needs.count; i++) {
    const GlnNeed *need = &work->needs.items[i];
    int64_t missing = 0;
    bool inside = true;
    for (size_t g = 0; g < need->grip_count; g++) {
      missing += work->learned[need->grips[g]] ? 0 : 1;
      inside = inside && (work->learned[need->grips[g]] || in[need->grips[g]]);
    }
    if (!inside || missing == 0)
      continue;
    if (best == NULL || need->bars * best_missing > best_bars * missing) {
      best = need;
      best_bars = need->bars;
      best_missing = missing;
    }
  }
  return best;
}

static void order_greedily(Work *work, const bool *in) {
  for (const GlnNeed *need = best_need(work, in); need != NULL; need = best_need(work, in))
    for (;;) { /* the easiest that is missing */
      size_t at = need->grip_count;
      for (size_t g = 0; g < need->grip_count; g++)
        if (!work->learned[need->grips[g]] &&
            (at == need->grip_count || work->material->items[need->grips[g]].difficulty <
                                           work->material->items[need->grips[at]].difficulty))
          at = g;
      if (at == need->grip_count)
        break;
      learn(work, need->grips[at]);
    }
  for (uint32_t grip = 0; grip < work->needs.grip_count; grip++) /* those that no bar asks for */
    if (in[grip] && !work->learned[grip])
      learn(work, grip);
}

/* No order of this many grips opens more than its even share of the bars, for the block is the densest set. */
static int64_t bound_of_block(int64_t locked, int64_t bars, size_t grips) {
  int64_t sum = 0;
  for (size_t k = 1; k <= grips; k++)
    sum += locked - bars * (int64_t)k / (int64_t)grips;
  return sum;
}

/* ---- blocks --------------------------------------------------------------------------------------------------------------------- */

static GlnStatus order_block(Work *work, const uint32_t *block, size_t count, const bool *in) {
  int64_t locked = work->locked, waited = work->unlock->wait;
  if (count <= GLN_UNLOCK_EXACT_MAX) {
    GLN_TRY(order_exactly(work, block, count));
    work->unlock->bound += work->unlock->wait - waited;
    return GLN_OK;
  }
  order_greedily(work, in);
  int64_t bound = bound_of_block(locked, locked - work->locked, count);
  work->unlock->bound += bound;
  work->unlock->exact = work->unlock->exact && work->unlock->wait - waited == bound;
  return GLN_OK;
}

/* All that is left when that can be looked at whole, else the densest set. */
static GlnStatus choose_block(Work *work, size_t left, bool *in) {
  if (left <= GLN_UNLOCK_EXACT_MAX) {
    for (size_t i = 0; i < work->needs.grip_count; i++)
      in[i] = !work->learned[i];
    return GLN_OK;
  }
  GlnArenaMark mark = gln_arena_mark(work->arena);
  GLN_TRY(gln_densest_find(&work->needs, work->learned, work->arena, in));
  gln_arena_rewind(work->arena, mark);
  return GLN_OK;
}

static GlnStatus order_all(Work *work, size_t unknown) {
  bool *in = GLN_NEW(work->arena, bool, work->needs.grip_count);
  uint32_t *block = GLN_NEW(work->arena, uint32_t, work->needs.grip_count);
  if (in == NULL || block == NULL)
    return GLN_MEMORY;
  while (work->unlock->count < unknown) {
    GLN_TRY(choose_block(work, unknown - work->unlock->count, in));
    size_t count = 0;
    for (size_t i = 0; i < work->needs.grip_count; i++)
      if (in[i])
        block[count++] = (uint32_t)i;
    GLN_TRY(order_block(work, block, count, in));
  }
  return GLN_OK;
}

GlnStatus gln_unlock_find(const GlnMaterial *material, const bool *known, GlnArena *arena,
                          GlnUnlock *unlock) {
  *unlock = (GlnUnlock){.order = GLN_NEW(arena, uint32_t, material->grip_count),
                        .unlocks = GLN_NEW(arena, uint32_t, material->grip_count),
                        .exact = true};
  Work work = {.material = material,
               .arena = arena,
               .learned = GLN_NEW(arena, bool, material->grip_count),
               .unlock = unlock};
  if (unlock->order == NULL || unlock->unlocks == NULL || work.learned == NULL)
    return GLN_MEMORY;
  size_t unknown = 0;
  for (size_t i = 0; i < material->grip_count; i++) {
    work.learned[i] = known != NULL && known[i];
    unknown += work.learned[i] ? 0 : 1;
  }
  GLN_TRY(gather(&work));
  return order_all(&work, unknown);
}
