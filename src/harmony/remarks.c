/* Remarks over several chords: patterns, blues form and key changes; the lines inside are in inner_lines.c. */
#include "remarks_internal.h"

#include <stdlib.h>
#include <string.h>

static const struct {
  const char *key, *words;
} remark_texts[] = {
#define GLN_REMARK_TEXT(name, key, words) {key, words},
    GLN_REMARK_LIST(GLN_REMARK_TEXT)
#undef GLN_REMARK_TEXT
};

const char *gln_remark_key(GlnRemarkKind kind) {
  return remark_texts[kind].key;
}

const char *gln_remark_words(GlnRemarkKind kind) {
  return remark_texts[kind].words;
}

void gln_remarker_add(GlnRemarker *remarker, GlnRemarkKind kind, size_t first, size_t last, const char *name,
                      GlnText text) {
  if (remarker->count == remarker->capacity) {
    size_t capacity = remarker->capacity == 0 ? 32 : remarker->capacity * 2;
    GlnRemark *items = GLN_NEW(remarker->arena, GlnRemark, capacity);
    if (items == NULL) {
      remarker->status = GLN_MEMORY;
      return;
    }
    if (remarker->count > 0)
      memcpy(items, remarker->items, remarker->count * sizeof *items);
    remarker->items = items;
    remarker->capacity = capacity;
  }
  remarker->items[remarker->count++] =
      (GlnRemark){.kind = kind, .first = first, .last = last, .name = gln_text(name), .text = text};
}

/* The steps as runs; regions say the key of each. */
static size_t make_runs(const GlnStep *steps, size_t count, const GlnAnalysis *analysis, GlnRun *runs) {
  size_t used = 0, region = 0;
  for (size_t i = 0; i < count; i++) {
    if (steps[i].chord->silent)
      continue;
    while (region + 1 < analysis->region_count && analysis->regions[region + 1].first <= i)
      region++;
    int8_t root = (int8_t)gln_note_pitch_class(steps[i].chord->root);
    uint16_t class = GLN_CLASS_BIT(gln_chord_class(steps[i].chord));
    if (used > 0 && runs[used - 1].root == root &&
        !(steps[i].phrase_starts && runs[used - 1].last + 1 == i)) {
      runs[used - 1].last = i;
      runs[used - 1].classes |= class;
      continue;
    }
    runs[used++] = (GlnRun){.first = i,
                            .last = i,
                            .root = root,
                            .bass = (int8_t)gln_note_pitch_class(steps[i].chord->bass),
                            .classes = class,
                            .key = analysis->regions[region].key,
                            .clear = analysis->regions[region].clear,
                            .phrase_starts = steps[i].phrase_starts};
  }
  return used;
}

static void remark_patterns(GlnRemarker *remarker, GlnRemarkKind kind) {
  size_t covered = 0;
  for (size_t at = 0; at < remarker->run_count; at++) {
    const GlnPattern *pattern = gln_pattern_find(kind, remarker->runs, remarker->run_count, at);
    if (pattern == NULL || at + (size_t)pattern->length <= covered)
      continue;
    size_t last = at + (size_t)pattern->length - 1;
    covered = last + 1;
    gln_remarker_add(remarker, kind, remarker->runs[at].first, remarker->runs[last].last, pattern->name,
                     gln_text(pattern->text));
  }
}

/* Twelve bars of I7 and IV7 with the IV on bar five: the blues. */
static void remark_blues(GlnRemarker *remarker) {
  size_t bars[12] = {0}, bar_count = 0;
  for (size_t i = 0; i < remarker->step_count; i++) {
    if (remarker->steps[i].phrase_starts)
      bar_count = 0;
    if (!remarker->steps[i].bar_starts)
      continue;
    if (bar_count < 12)
      bars[bar_count] = i;
    bar_count++;
    bool ends = i + 1 == remarker->step_count || remarker->steps[i + 1].phrase_starts;
    if (bar_count != 12 || !ends)
      continue;
    const GlnReading *first = &remarker->analysis->readings[bars[0]],
                     *fifth = &remarker->analysis->readings[bars[4]];
    if (first->function == GLN_FUNCTION_TONIC && fifth->function == GLN_FUNCTION_SUBDOMINANT &&
        first->role == GLN_PLACE_BLUES && fifth->role == GLN_PLACE_BLUES)
      gln_remarker_add(
          remarker, GLN_REMARK_BLUES, bars[0], i, "",
          GLN_TEXT("Twelve bars with IV7 in the fifth: the blues. Its sevenths are colour and need not "
                   "resolve."));
  }
}

static int tonic_above(GlnKey key, GlnKey other) {
  return (gln_note_pitch_class(key.tonic) - gln_note_pitch_class(other.tonic) + 12) % 12;
}

static const char *relation_words(GlnKey from, GlnKey to) {
  static const char *const by_interval[12] = {
      "the parallel key",           "the key a semitone up", "the key a tone up",
      "the key a minor third up",   "the key a third up",    "the subdominant's key",
      "the key a tritone away",     "the dominant's key",    "the key a third down",
      "the key a minor third down", "the key a tone down",   "the key a semitone down"};
  int above = tonic_above(to, from);
  if (!from.minor && to.minor && above == 9)
    return "the relative minor";
  if (from.minor && !to.minor && above == 3)
    return "the relative major";
  return by_interval[above];
}

static void add_key_name(GlnBuffer *out, GlnKey key) {
  char note[GLN_NOTE_TEXT_MAX];
  gln_note_print(key.tonic, GLN_SIGNS_UNICODE, note);
  gln_buffer_format(out, "%s %s", note, key.minor ? "minor" : "major");
}

static void add_chord_name(GlnBuffer *out, const GlnChord *chord) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  gln_chord_print(chord, GLN_SIGNS_UNICODE, symbol);
  gln_buffer_add_string(out, symbol);
}

/* Notes that the chords on both sides of the border share. */
static int shared_notes(const GlnStep *steps, size_t before, size_t after) {
  unsigned both =
      gln_chord_pitch_classes(steps[before].chord) & (unsigned)gln_chord_pitch_classes(steps[after].chord);
  int count = 0;
  for (; both != 0; both &= both - 1)
    count++;
  return count;
}

static void remark_key_change(GlnRemarker *remarker, size_t r) {
  const GlnRegion *last = &remarker->analysis->regions[r - 1], *region = &remarker->analysis->regions[r];
  if (!last->clear || !region->clear)
    return;
  GlnBuffer out = gln_buffer(remarker->arena);
  gln_buffer_add_string(&out, "To ");
  add_key_name(&out, region->key);
  gln_buffer_format(&out, ", %s. ", relation_words(last->key, region->key));
  if (region->pivot != SIZE_MAX) {
    add_chord_name(&out, remarker->steps[region->pivot].chord);
    gln_buffer_add_string(&out, " belongs to both keys, so the ear follows without noticing the door.");
  } else {
    size_t before = last->first + last->count - 1;
    int shared = shared_notes(remarker->steps, before, region->first);
    gln_buffer_format(&out, "No chord belongs to both keys; %s",
                      shared > 0 ? "the notes that stay carry the ear across."
                                 : "the step is meant to be heard.");
  }
  bool returns = r + 1 < remarker->analysis->region_count &&
                 tonic_above(remarker->analysis->regions[r + 1].key, last->key) == 0;
  if (returns && !region->key.minor && tonic_above(region->key, last->key) == 7)
    gln_buffer_add_string(&out, " As the song comes back, the whole passage is heard as one long V.");
  if (gln_buffer_status(&out) != GLN_OK)
    remarker->status = GLN_MEMORY;
  gln_remarker_add(remarker, GLN_REMARK_KEY_CHANGE, region->first, region->first + region->count - 1, "",
                   gln_buffer_text(&out));
}

static int compare_remarks(const void *left, const void *right) {
  const GlnRemark *a = left, *b = right;
  if (a->first != b->first)
    return a->first < b->first ? -1 : 1;
  if (a->kind != b->kind)
    return a->kind < b->kind ? -1 : 1;
  return a->last < b->last ? -1 : a->last > b->last;
}

GlnStatus gln_harmony_remark(const GlnStep *steps, size_t count, const GlnAnalysis *analysis, GlnArena *arena,
                             GlnRemarks *remarks) {
  *remarks = (GlnRemarks){0};
  if (analysis->region_count == 0)
    return GLN_OK;
  GlnRun *runs = GLN_NEW(arena, GlnRun, count);
  if (runs == NULL)
    return GLN_MEMORY;
  GlnRemarker remarker = {.steps = steps,
                          .step_count = count,
                          .analysis = analysis,
                          .runs = runs,
                          .run_count = make_runs(steps, count, analysis, runs),
                          .arena = arena,
                          .status = GLN_OK};
  remark_patterns(&remarker, GLN_REMARK_CADENCE);
  remark_patterns(&remarker, GLN_REMARK_TURNAROUND);
  remark_blues(&remarker);
  for (size_t r = 1; r < analysis->region_count; r++)
    remark_key_change(&remarker, r);
  gln_remark_lines(&remarker);
  if (remarker.status != GLN_OK)
    return remarker.status;
  if (remarker.count > 1)
    qsort(remarker.items, remarker.count, sizeof *remarker.items, compare_remarks);
  remarks->items = remarker.items;
  remarks->count = remarker.count;
  return GLN_OK;
}
