/* The played form cut into passages: what is new, and what comes back as it was. */
#include "app_internal.h"

typedef struct PlayedBar {
  size_t first, end; /* slots of the line */
} PlayedBar;

static bool begins_bar(const GlnLine *line, size_t i) {
  const GlnSlot *a = line->slots[i - 1].slot, *b = line->slots[i].slot;
  return a->bar != b->bar;
}

static bool begins_section(const GlnLine *line, size_t i) {
  if (i == 0)
    return true;
  const GlnSlot *a = line->slots[i - 1].slot, *b = line->slots[i].slot;
  return a->section != b->section || a->section_pass != b->section_pass;
}

static PlayedBar *find_bars(const GlnLine *line, GlnArena *arena, size_t *count) {
  PlayedBar *bars = GLN_NEW(arena, PlayedBar, line->slot_count);
  *count = 0;
  for (size_t i = 0; bars != NULL && i < line->slot_count; i++) {
    if (i == 0 || begins_bar(line, i))
      bars[(*count)++].first = i;
    bars[*count - 1].end = i + 1;
  }
  return bars;
}

static bool same_grip(const GlnLineSlot *a, const GlnLineSlot *b) {
  return a->silent == b->silent && (a->silent || a->distinct == b->distinct);
}

/* Places of the chart's bars in one row of numbers: where each section's begin. */
static size_t *number_bars(const GlnChart *chart, GlnArena *arena, size_t *total) {
  size_t *first = GLN_NEW(arena, size_t, chart->section_count);
  *total = 0;
  for (size_t s = 0; first != NULL && s < chart->section_count; s++) {
    first[s] = *total;
    *total += chart->sections[s].bar_count;
  }
  return first;
}

static bool same_bar(const GlnLine *line, PlayedBar a, PlayedBar b) {
  if (a.end - a.first != b.end - b.first)
    return false;
  for (size_t k = 0; k < a.end - a.first; k++)
    if (!same_grip(&line->slots[a.first + k], &line->slots[b.first + k]))
      return false;
  return true;
}

/* For each played bar the one, from 1, where the same bar of the chart was first met with the same grips; 0: none. */
static GlnStatus find_returns(const GlnLine *line, const PlayedBar *bars, size_t bar_count, GlnArena *arena,
                              size_t **returns) {
  size_t written_count = 0;
  const size_t *section_first = number_bars(line->song->chart, arena, &written_count);
  size_t *met = GLN_NEW(arena, size_t, written_count);
  *returns = GLN_NEW(arena, size_t, bar_count);
  if (section_first == NULL || met == NULL || *returns == NULL)
    return GLN_MEMORY;
  for (size_t b = 0; b < bar_count; b++) {
    const GlnSlot *slot = line->slots[bars[b].first].slot;
    size_t *first = &met[section_first[slot->section] + slot->written_bar];
    (*returns)[b] = *first != 0 && same_bar(line, bars[*first - 1], bars[b]) ? *first : 0;
    if (*first == 0)
      *first = b + 1;
  }
  return GLN_OK;
}

GlnStatus gln_passages_find(const GlnLine *line, GlnArena *arena, GlnPassage **passages, size_t *count) {
  size_t bar_count = 0;
  size_t *returns = NULL;
  *count = 0;
  PlayedBar *bars = find_bars(line, arena, &bar_count);
  *passages = GLN_NEW(arena, GlnPassage, bar_count);
  if (bars == NULL || *passages == NULL)
    return GLN_MEMORY;
  GLN_TRY(find_returns(line, bars, bar_count, arena, &returns));
  for (size_t b = 0; b < bar_count; b++) {
    bool heading = begins_section(line, bars[b].first);
    bool goes_on =
        b > 0 && !heading &&
        (returns[b] == 0 ? returns[b - 1] == 0 : returns[b - 1] != 0 && returns[b] == returns[b - 1] + 1);
    if (!goes_on) {
      size_t source = returns[b] == 0 ? 0 : bars[returns[b] - 1].first;
      (*passages)[(*count)++] = (GlnPassage){.first = bars[b].first,
                                             .begins_section = heading,
                                             .returns = returns[b] != 0,
                                             .source_first = source};
    }
    GlnPassage *passage = &(*passages)[*count - 1];
    passage->end = bars[b].end;
    passage->source_end = returns[b] == 0 ? 0 : bars[returns[b] - 1].end;
  }
  return GLN_OK;
}
