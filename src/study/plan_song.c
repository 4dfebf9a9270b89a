/* The song in growing pieces: bar, phrase, section, form, of what the hands can already hold. */
#include "study_internal.h"

#define BARS_A_DAY     2
#define PHRASES_A_DAY  2
#define SECTIONS_A_DAY 2
#define PHRASE_BARS    4 /* common practice, no published source */

static bool same_place(const GlnStudyBar *a, const GlnStudyBar *b) {
  return a->section == b->section && a->pass == b->pass;
}

/* The end of the section that begins at this bar. */
static size_t section_end(const GlnMaterial *material, size_t first) {
  size_t end = first + 1;
  while (end < material->bar_count && same_place(&material->bars[first], &material->bars[end]))
    end++;
  return end;
}

static bool all_open(const GlnFilling *filling, size_t first, size_t end) {
  for (size_t i = first; i < end; i++)
    if (!gln_bar_is_open(filling, &filling->material->bars[i]))
      return false;
  return true;
}

/* How much of what is new today it holds, then how hard it is. */
static double worth(const GlnFilling *filling, size_t first, size_t end) {
  double fresh = 0, hardest = 0;
  for (size_t b = first; b < end; b++) {
    const GlnStudyBar *bar = &filling->material->bars[b];
    for (size_t i = 0; i < bar->item_count; i++) {
      for (size_t n = 0; n < filling->fresh_count; n++)
        fresh += filling->fresh[n] == bar->items[i] ? 1 : 0;
      double difficulty = filling->material->items[bar->items[i]].difficulty;
      hardest = difficulty > hardest ? difficulty : hardest;
    }
  }
  return fresh + hardest;
}

typedef struct Choice {
  GlnSongPiece pieces[2];
  double worths[2];
  size_t count, most;
} Choice;

/* Keeps the best few; pieces[0] is the best. */
static void offer(Choice *choice, GlnSongPiece piece, double value) {
  size_t at = choice->count;
  while (at > 0 && choice->worths[at - 1] < value)
    at--;
  if (at >= choice->most)
    return;
  if (choice->count < choice->most)
    choice->count++;
  for (size_t i = choice->count - 1; i > at; i--) {
    choice->pieces[i] = choice->pieces[i - 1];
    choice->worths[i] = choice->worths[i - 1];
  }
  choice->pieces[at] = piece;
  choice->worths[at] = value;
}

static bool same_items(const GlnStudyBar *a, const GlnStudyBar *b) {
  if (a->item_count != b->item_count)
    return false;
  for (size_t i = 0; i < a->item_count; i++)
    if (a->items[i] != b->items[i])
      return false;
  return true;
}

static bool chosen_already(const GlnMaterial *material, const Choice *choice, size_t bar) {
  for (size_t i = 0; i < choice->count; i++)
    if (same_items(&material->bars[choice->pieces[i].first], &material->bars[bar]))
      return true;
  return false;
}

static void take(const Choice *choice, GlnSongPiece *pieces, size_t *count) {
  for (size_t i = choice->count; i-- > 0;) /* what is worth most comes last and stays in the ear */
    pieces[(*count)++] = choice->pieces[i];
}

/* What was played yesterday gives way a little, so that pieces alternate from day to day. */
static double turn(const GlnFilling *filling, size_t n) {
  return (n + (size_t)filling->at) % 2 == 0 ? 0.25 : 0;
}

/* Open bars, runs of two to PHRASE_BARS open bars, and whole sections, each in the first pass of its section. */
static void offer_section(const GlnFilling *filling, size_t first, size_t end, Choice *bars, Choice *phrases,
                          Choice *sections) {
  const GlnMaterial *material = filling->material;
  for (size_t b = first; b < end; b++)
    if (gln_bar_is_open(filling, &material->bars[b]) && material->bars[b].item_count > 1 &&
        !chosen_already(material, bars, b))
      offer(bars, (GlnSongPiece){GLN_STEP_BAR, b, b}, worth(filling, b, b + 1));
  for (size_t group = first; group < end; group += PHRASE_BARS) {
    size_t stop = group + PHRASE_BARS < end ? group + PHRASE_BARS : end, run = group;
    for (size_t b = group; b <= stop; b++) {
      if (b < stop && gln_bar_is_open(filling, &material->bars[b]))
        continue;
      if (b - run >= 2)
        offer(phrases, (GlnSongPiece){GLN_STEP_PHRASE, run, b - 1},
              worth(filling, run, b) + turn(filling, group / PHRASE_BARS));
      run = b + 1;
    }
  }
  if (end - first > 1 && all_open(filling, first, end))
    offer(sections, (GlnSongPiece){GLN_STEP_SECTION, first, end - 1},
          worth(filling, first, end) / (double)(end - first) + turn(filling, material->bars[first].section));
}

size_t gln_song_pieces_find(const GlnFilling *filling, GlnSongPiece pieces[GLN_PIECES_MAX]) {
  const GlnMaterial *material = filling->material;
  Choice bars = {.most = BARS_A_DAY}, phrases = {.most = PHRASES_A_DAY}, sections = {.most = SECTIONS_A_DAY};
  size_t count = 0;
  for (size_t first = 0; first < material->bar_count;) {
    size_t end = section_end(material, first);
    if (material->bars[first].pass == 0)
      offer_section(filling, first, end, &bars, &phrases, &sections);
    first = end;
  }
  take(&bars, pieces, &count);
  take(&phrases, pieces, &count);
  take(&sections, pieces, &count);
  if (material->bar_count > 1 && all_open(filling, 0, material->bar_count))
    pieces[count++] = (GlnSongPiece){GLN_STEP_FORM, 0, material->bar_count - 1};
  return count;
}
