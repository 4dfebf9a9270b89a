/* The played form cut into passages: what is new, and what comes back as it was. */
#include "song.h"

typedef struct PlayedBar {
  size_t first, end; /* slots */
} PlayedBar;

/* What is compared: the song's slots, and when two of them are the same. */
typedef struct Comparison {
  const GlnSong *song;
  bool (*same)(const void *context, size_t a, size_t b);
  const void *context;
} Comparison;

static bool begins_bar(const GlnSong *song, size_t i) {
  return song->slots[i - 1].bar != song->slots[i].bar;
}

static bool begins_section(const GlnSong *song, size_t i) {
  if (i == 0)
    return true;
  const GlnSlot *a = &song->slots[i - 1], *b = &song->slots[i];
  return a->section != b->section || a->section_pass != b->section_pass;
}

static PlayedBar *find_bars(const GlnSong *song, GlnArena *arena, size_t *count) {
  PlayedBar *bars = GLN_NEW(arena, PlayedBar, song->slot_count);
  *count = 0;
  for (size_t i = 0; bars != NULL && i < song->slot_count; i++) {
    if (i == 0 || begins_bar(song, i))
      bars[(*count)++].first = i;
    bars[*count - 1].end = i + 1;
  }
  return bars;
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

static bool same_bar(const Comparison *comparison, PlayedBar a, PlayedBar b) {
  if (a.end - a.first != b.end - b.first)
    return false;
  for (size_t k = 0; k < a.end - a.first; k++)
    if (!comparison->same(comparison->context, a.first + k, b.first + k))
      return false;
  return true;
}

/* For each played bar the one, from 1, where the same bar of the chart was first met the same; 0: none. */
static GlnStatus find_returns(const Comparison *comparison, const PlayedBar *bars, size_t bar_count,
                              GlnArena *arena, size_t **returns) {
  size_t written_count = 0;
  const size_t *section_first = number_bars(comparison->song->chart, arena, &written_count);
  size_t *met = GLN_NEW(arena, size_t, written_count);
  *returns = GLN_NEW(arena, size_t, bar_count);
  if (section_first == NULL || met == NULL || *returns == NULL)
    return GLN_MEMORY;
  for (size_t b = 0; b < bar_count; b++) {
    const GlnSlot *slot = &comparison->song->slots[bars[b].first];
    size_t *first = &met[section_first[slot->section] + slot->written_bar];
    (*returns)[b] = *first != 0 && same_bar(comparison, bars[*first - 1], bars[b]) ? *first : 0;
    if (*first == 0)
      *first = b + 1;
  }
  return GLN_OK;
}

GlnStatus gln_passages_find(const GlnSong *song, bool (*same)(const void *context, size_t a, size_t b),
                            const void *context, GlnArena *arena, GlnPassage **passages, size_t *count) {
  const Comparison comparison = {song, same, context};
  size_t bar_count = 0;
  size_t *returns = NULL;
  *count = 0;
  PlayedBar *bars = find_bars(song, arena, &bar_count);
  *passages = GLN_NEW(arena, GlnPassage, bar_count);
  if (bars == NULL || *passages == NULL)
    return GLN_MEMORY;
  GLN_TRY(find_returns(&comparison, bars, bar_count, arena, &returns));
  for (size_t b = 0; b < bar_count; b++) {
    bool heading = begins_section(song, bars[b].first);
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

void gln_add_bars(const GlnSong *song, size_t first, size_t end, GlnBuffer *out) {
  unsigned from = (unsigned)song->slots[first].bar, to = (unsigned)song->slots[end - 1].bar;
  if (from == to)
    gln_buffer_format(out, "bar %u", from);
  else
    gln_buffer_format(out, "bars %u–%u", from, to);
}

void gln_add_beat(GlnRatio beat, GlnBuffer *out) {
  if (beat.den == 2)
    gln_buffer_format(out, "%lld&", (long long)(beat.num / 2));
  else
    gln_buffer_add_ratio(out, beat);
}

size_t gln_section_end(const GlnSong *song, size_t first) {
  size_t i = first;
  while (i < song->slot_count && song->slots[i].section == song->slots[first].section &&
         song->slots[i].section_pass == song->slots[first].section_pass)
    i++;
  return i;
}
