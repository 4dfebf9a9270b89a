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
      runs[used - 1].bass = (int8_t)gln_note_pitch_class(steps[i].chord->bass);
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

static bool is_blues_chord(const GlnReading *reading, GlnFunction function) {
  return reading->function == function && reading->role == GLN_PLACE_BLUES;
}

/* Twelve bars of I7 and IV7 with the IV on bar five, once or several times over: the blues. */
static void remark_blues(GlnRemarker *remarker) {
  const GlnReading *readings = remarker->analysis->readings;
  size_t bars[12] = {0}, begun = 0; /* bars of the section, in twelves */
  for (size_t i = 0; i < remarker->step_count; i++) {
    if (remarker->steps[i].phrase_starts)
      begun = 0;
    if (remarker->steps[i].bar_starts)
      bars[begun++ % 12] = i;
    bool bar_ends = i + 1 == remarker->step_count || remarker->steps[i + 1].bar_starts ||
                    remarker->steps[i + 1].phrase_starts;
    if (bar_ends && begun > 0 && begun % 12 == 0 && is_blues_chord(&readings[bars[0]], GLN_FUNCTION_TONIC) &&
        is_blues_chord(&readings[bars[4]], GLN_FUNCTION_SUBDOMINANT))
      gln_remarker_add(
          remarker, GLN_REMARK_BLUES, bars[0], i, "",
          GLN_TEXT("Twelve bars with IV7 in the fifth: the blues. Its sevenths are colour and need not "
                   "resolve."));
  }
}

/* A section that ends on the dominant. */
static void remark_half_closes(GlnRemarker *remarker) {
  for (size_t at = 0; at < remarker->run_count; at++) {
    const GlnRun *run = &remarker->runs[at];
    bool last = at + 1 == remarker->run_count;
    const uint16_t five =
        GLN_CLASS_BIT(GLN_CLASS_MAJOR) | GLN_CLASS_BIT(GLN_CLASS_DOMINANT) | GLN_CLASS_BIT(GLN_CLASS_AUG);
    if (!(last || run[1].phrase_starts) || !run->clear || (run->classes & five) == 0 ||
        (run->root - gln_note_pitch_class(run->key.tonic) + 12) % 12 != 7)
      continue;
    gln_remarker_add(
        remarker, GLN_REMARK_HALF_CLOSE, run->first, run->last, "",
        last ? GLN_TEXT("The song ends on its dominant: a question left open.")
             : GLN_TEXT("The section ends on the dominant, a question that the next one takes up."));
  }
}

static int tonic_above(GlnKey key, GlnKey other) {
  return (gln_note_pitch_class(key.tonic) - gln_note_pitch_class(other.tonic) + 12) % 12;
}

/* Keys that sound no nearer than this are called far: those a semitone and a tritone away. */
#define FAR_KEY (-0.3)

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
  return gln_bit_count(gln_chord_pitch_classes(steps[before].chord) &
                       (unsigned)gln_chord_pitch_classes(steps[after].chord));
}

/* Does the run go on as the ii of another dominant? */
static bool leads_on(const GlnRemarker *remarker, size_t at) {
  const GlnRun *run = &remarker->runs[at];
  return at + 1 < remarker->run_count && (run->classes & GLN_CLASS_BIT(GLN_CLASS_MINOR)) != 0 &&
         (run[1].root - run->root + 12) % 12 == 5 &&
         (run[1].classes & GLN_CLASS_BIT(GLN_CLASS_DOMINANT)) != 0;
}

/* A whole ii–V–I to another chord than the home chord: three runs from at. A goal that is at once the next ii is a
 * link of a chain, not a home. */
static void remark_visit(GlnRemarker *remarker, size_t at) {
  const GlnRun *run = &remarker->runs[at];
  const uint16_t two = GLN_CLASS_BIT(GLN_CLASS_MINOR) | GLN_CLASS_BIT(GLN_CLASS_HALF_DIM),
                 one = GLN_CLASS_BIT(GLN_CLASS_MAJOR) | GLN_CLASS_BIT(GLN_CLASS_MAJOR7) |
                       GLN_CLASS_BIT(GLN_CLASS_MINOR);
  int goal = run[2].root;
  if ((run[0].root - goal + 12) % 12 != 2 || (run[1].root - goal + 12) % 12 != 7 || !run[2].clear ||
      goal == gln_note_pitch_class(run[2].key.tonic) || (run[0].classes & two) == 0 ||
      (run[1].classes & GLN_CLASS_BIT(GLN_CLASS_DOMINANT)) == 0 || (run[2].classes & one) == 0 ||
      leads_on(remarker, at + 2))
    return;
  const GlnChord *chord = remarker->steps[run[2].first].chord;
  const GlnKey visited = {chord->root, (run[2].classes & GLN_CLASS_BIT(GLN_CLASS_MINOR)) != 0};
  GlnBuffer out = gln_buffer(remarker->arena);
  gln_buffer_add_string(&out, "A whole ii–V–I to ");
  add_key_name(&out, visited);
  gln_buffer_format(&out, ", which is %s here: home for a moment, while the key stays.",
                    remarker->analysis->readings[run[2].first].roman);
  if (gln_buffer_status(&out) != GLN_OK)
    remarker->status = GLN_MEMORY;
  size_t first = run[0].first; /* a home chord that turned minor begins the run, not the visit */
  while (first < run[0].last && (GLN_CLASS_BIT(gln_chord_class(remarker->steps[first].chord)) & two) == 0)
    first++;
  gln_remarker_add(remarker, GLN_REMARK_VISIT, first, run[2].last, "", gln_buffer_text(&out));
}

static void remark_key_change(GlnRemarker *remarker, size_t r) {
  const GlnRegion *last = &remarker->analysis->regions[r - 1], *region = &remarker->analysis->regions[r];
  if (!last->clear || !region->clear)
    return;
  GlnBuffer out = gln_buffer(remarker->arena);
  gln_buffer_add_string(&out, "To ");
  add_key_name(&out, region->key);
  gln_buffer_format(&out, ", %s%s. ", relation_words(last->key, region->key),
                    gln_key_nearness(last->key, region->key) <= FAR_KEY ? ", far from home" : "");
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
  remark_half_closes(&remarker);
  remark_blues(&remarker);
  for (size_t at = 0; at + 2 < remarker.run_count; at++)
    remark_visit(&remarker, at);
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
