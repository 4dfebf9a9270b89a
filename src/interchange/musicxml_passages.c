/* Which bars of a score are repeated: from its repeat signs and endings, mended where they do not close. */
#include "musicxml_internal.h"

#define NESTED_MAX 16 /* repeats inside repeats; deeper ones are played once */

static int highest_ending(uint32_t endings) {
  int highest = 0;
  for (int n = 1; n <= GLN_ENDINGS_MAX; n++)
    if (endings >> n & 1)
      highest = n;
  return highest;
}

/* The last bar of the ending that starts here: where it stops, where a repeat closes, or before the next one starts. One
 * that is never closed is its first bar alone. */
static size_t ending_last(const GlnScore *score, size_t first) {
  for (size_t b = first; b < score->bar_count; b++) {
    if (score->bars[b].ending_stops || score->bars[b].plays > 0)
      return b;
    if (b + 1 < score->bar_count && (score->bars[b + 1].ending_starts || score->bars[b + 1].repeat_starts))
      return b;
  }
  return first;
}

/* Gives all bars of an ending its numbers; one without readable numbers follows the ending before it. */
static void mend_endings(GlnScore *score) {
  uint32_t before = 0;
  for (size_t b = 0; b < score->bar_count; b++) {
    GlnScoreBar *bar = &score->bars[b];
    if (!bar->ending_starts) {
      bar->endings = 0;
      before = 0;
      continue;
    }
    size_t last = ending_last(score, b);
    int next = highest_ending(before) + 1;
    uint32_t endings = bar->endings != 0 ? bar->endings : (uint32_t)1 << (next <= GLN_ENDINGS_MAX ? next : 1);
    for (size_t i = b; i <= last; i++)
      score->bars[i].endings = endings;
    before = endings;
    b = last;
  }
}

/* The last bar of the row of endings that this bar lies in, and their highest number. */
static size_t endings_last(const GlnScore *score, size_t bar, int *highest) {
  uint32_t seen = 0;
  size_t first = bar;
  while (first > 0 && score->bars[first - 1].endings != 0)
    first--;
  for (size_t b = first; b < score->bar_count && score->bars[b].endings != 0; b++) {
    const GlnScoreBar *at = &score->bars[b];
    if (b > bar && at->ending_starts && (seen & at->endings) != 0)
      return b - 1; /* numbers that begin anew belong to another repeat */
    seen |= at->endings;
    *highest = highest_ending(seen);
    if (b + 1 == score->bar_count || score->bars[b + 1].endings == 0)
      return b;
  }
  return bar;
}

static void add_passage(GlnScoreForm *form, const GlnScore *score, size_t first, size_t last) {
  int plays = score->bars[last].plays, highest = 0;
  size_t end = last;
  if (score->bars[last].endings != 0) {
    end = endings_last(score, last, &highest);
    plays = highest > plays || plays > GLN_ENDINGS_MAX ? highest : plays;
  }
  if (plays < 2)
    return;
  form->passages[form->passage_count++] = (GlnScorePassage){.first = (uint32_t)first,
                                                            .last = (uint32_t)end,
                                                            .plays = plays,
                                                            .parent = -1,
                                                            .after_jump = score->bars[last].after_jump};
}

/* Innermost passages first in time of closing: a passage that lies inside a later one has that as its parent. */
static void find_parents(GlnScoreForm *form, size_t bar_count) {
  for (size_t b = 0; b < bar_count; b++)
    form->inner[b] = -1;
  for (size_t p = form->passage_count; p-- > 0;) {
    GlnScorePassage *passage = &form->passages[p];
    passage->parent = form->inner[passage->first];
    if (passage->parent >= 0 && form->passages[passage->parent].last < passage->last) /* they cross */
      passage->plays = 1;
    for (size_t b = passage->first; b <= passage->last && passage->plays > 1; b++)
      form->inner[b] = (int)p;
  }
}

/* Repeat signs that are open, and where one without an opening sign goes back to. */
typedef struct Open {
  size_t at[NESTED_MAX], depth, floor;
} Open;

static void close_passage(GlnScoreForm *form, const GlnScore *score, size_t bar, Open *open) {
  const GlnScorePassage *last = form->passage_count > 0 ? &form->passages[form->passage_count - 1] : NULL;
  if (last != NULL && bar <= last->last && score->bars[bar].endings != 0)
    return; /* a later ending of the same repeat */
  size_t first = open->depth > 0 ? open->at[--open->depth] : open->floor;
  if (first <= bar)
    add_passage(form, score, first, bar);
  if (open->depth > 0)
    return;
  open->floor = bar + 1;
  last = form->passage_count > 0 ? &form->passages[form->passage_count - 1] : NULL;
  if (last != NULL && last->last >= open->floor)
    open->floor = last->last + (size_t)1;
}

GlnStatus gln_score_passages(GlnScore *score, GlnArena *arena, GlnScoreForm *form) {
  Open open = {.floor = gln_score_bar_is_pickup(score, 0) ? 1 : 0};
  form->passages = GLN_NEW(arena, GlnScorePassage, score->bar_count);
  form->inner = GLN_NEW(arena, int, score->bar_count);
  if (form->passages == NULL || form->inner == NULL)
    return GLN_MEMORY;
  mend_endings(score);
  for (size_t b = 0; b < score->bar_count; b++) {
    if (score->bars[b].repeat_starts && open.depth < NESTED_MAX)
      open.at[open.depth++] = b < open.floor ? open.floor : b;
    if (score->bars[b].plays > 0)
      close_passage(form, score, b, &open);
  }
  find_parents(form, score->bar_count);
  return GLN_OK;
}
