/* From steps to regions and readings. */
#include "harmony_internal.h"

static const char *const function_words[] = {"none", "tonic", "subdominant", "dominant"};

const char *gln_function_words(GlnFunction function) {
  return function_words[function];
}

typedef struct GlnPlaceText {
  const char *key, *words;
} GlnPlaceText;
static const GlnPlaceText place_texts[] = {
#define GLN_PLACE_TEXT(name, key, words) {key, words},
    GLN_ROLE_IN_PLACE_LIST(GLN_PLACE_TEXT)
#undef GLN_PLACE_TEXT
};

const char *gln_place_key(GlnPlaceRole role) {
  return place_texts[role].key;
}

const char *gln_place_words(GlnPlaceRole role) {
  return place_texts[role].words;
}

/* A long chord says more than a short one, but a vamp must not drown the song. Design choice. */
static double slice_weight(GlnRatio quarters) {
  double bars = gln_ratio_value(quarters) / 4.0;
  if (bars > 2.0)
    return 2.0;
  return bars < 0.25 ? 0.25 : bars;
}

size_t gln_slice_steps(const GlnStep *steps, size_t count, GlnSlice *slices) {
  size_t used = 0, bar = 0;
  for (size_t i = 0; i < count; i++) {
    if (steps[i].phrase_starts)
      bar = 0;
    else if (steps[i].bar_starts)
      bar++;
    if (steps[i].chord->silent)
      continue;
    slices[used++] = (GlnSlice){.root = (int8_t)gln_note_pitch_class(steps[i].chord->root),
                                .bass = (int8_t)gln_note_pitch_class(steps[i].chord->bass),
                                .class = gln_chord_class(steps[i].chord),
                                .weight = slice_weight(steps[i].quarters),
                                .step = i,
                                .phrase_starts = steps[i].phrase_starts,
                                .opens_four_bars = steps[i].bar_starts && bar % 4 == 0};
  }
  return used;
}

GlnKey gln_key_named(const GlnStep *steps, const GlnSlice *slices, size_t count, int key) {
  static const GlnNote plain[12] = {{0, 0}, {1, -1}, {1, 0},  {2, -1}, {2, 0},  {3, 0},
                                    {3, 1}, {4, 0},  {5, -1}, {5, 0},  {6, -1}, {6, 0}};
  static const GlnNote plain_minor[12] = {{0, 0}, {0, 1}, {1, 0}, {2, -1}, {2, 0},  {3, 0},
                                          {3, 1}, {4, 0}, {4, 1}, {5, 0},  {6, -1}, {6, 0}};
  bool minor = key >= 12;
  GlnKey named = {(minor ? plain_minor : plain)[key % 12], minor};
  for (size_t i = 0; i < count; i++) {
    if (slices[i].root != key % 12)
      continue;
    GlnKey written = {steps[slices[i].step].chord->root, minor};
    int fifths = gln_key_fifths(written);
    if (fifths >= -7 && fifths <= 7)
      named = written;
    break;
  }
  return named;
}

static bool plain_in(const GlnSlice *slices, size_t count, size_t i, int8_t key) {
  const GlnRule *rule = gln_rule_find(slices, count, i, key % 12, key >= 12);
  return rule != NULL && rule->role == GLN_PLACE_DIATONIC;
}

static double region_cost(const GlnKeyWalk *walk, size_t first, size_t count, int key) {
  double cost = 0.0;
  for (size_t i = first; i < first + count; i++)
    cost += walk->cost[i][key];
  return cost;
}

/* A rival is worth showing while it costs at most this much more per region; design choice. */
#define RIVAL_MARGIN 1.5

static void find_rival(GlnRegion *region, const GlnKeyWalk *walk, const GlnStep *steps,
                       const GlnSlice *slices, size_t first, size_t count) {
  int8_t own = walk->key[first];
  int best = -1;
  double best_cost = 0.0;
  for (int key = 0; key < GLN_KEYS; key++) {
    double cost = region_cost(walk, first, count, key);
    if (key != own && (best < 0 || cost < best_cost)) {
      best = key;
      best_cost = cost;
    }
  }
  region->has_alternative = best_cost - region->score <= RIVAL_MARGIN;
  region->alternative = gln_key_named(steps, slices + first, count, best);
  region->alternative_score = best_cost;
}

static size_t find_pivot(const GlnKeyWalk *walk, const GlnSlice *slices, size_t count, size_t first) {
  int8_t before = walk->key[first - 1], after = walk->key[first];
  if (plain_in(slices, count, first, before))
    return slices[first].step;
  if (plain_in(slices, count, first - 1, after))
    return slices[first - 1].step;
  return SIZE_MAX;
}

static GlnReading read_slice(const GlnStep *steps, const GlnSlice *slices, size_t count, size_t i,
                             GlnKey key) {
  GlnReading reading = {.key = key, .role = GLN_PLACE_FOREIGN, .reason = ""};
  const GlnRule *rule = gln_rule_find(slices, count, i, gln_note_pitch_class(key.tonic), key.minor);
  if (rule != NULL) {
    reading.function = rule->function;
    reading.role = rule->role;
    reading.reason = rule->reason;
  } else {
    reading.reason = "No job in this key: a colour of its own, heard against the chords around it.";
  }
  gln_roman_print(steps, slices, count, i, key, rule, reading.roman);
  return reading;
}

static void fill_regions(const GlnStep *steps, const GlnSlice *slices, size_t count, const GlnKeyWalk *walk,
                         GlnAnalysis *analysis) {
  size_t first = 0;
  while (first < count) {
    size_t end = first + 1;
    while (end < count && walk->key[end] == walk->key[first])
      end++;
    GlnRegion *region = &analysis->regions[analysis->region_count++];
    *region = (GlnRegion){.key = gln_key_named(steps, slices + first, end - first, walk->key[first]),
                          .first = slices[first].step,
                          .count = slices[end - 1].step - slices[first].step + 1,
                          .clear = gln_key_is_clear(walk, slices, first, end - first),
                          .score = region_cost(walk, first, end - first, walk->key[first]),
                          .pivot = SIZE_MAX};
    find_rival(region, walk, steps, slices, first, end - first);
    if (first > 0)
      region->pivot = find_pivot(walk, slices, count, first);
    for (size_t i = first; i < end; i++)
      analysis->readings[slices[i].step] =
          region->clear ? read_slice(steps, slices, count, i, region->key)
                        : (GlnReading){.key = region->key, .role = GLN_PLACE_FOREIGN, .reason = ""};
    first = end;
  }
}

GlnStatus gln_harmony_analyse(const GlnStep *steps, size_t count, const GlnKey *stated, GlnArena *arena,
                              GlnAnalysis **analysis) {
  GlnAnalysis *made = GLN_NEW(arena, GlnAnalysis, 1);
  GlnSlice *slices = GLN_NEW(arena, GlnSlice, count);
  if (made == NULL || slices == NULL)
    return GLN_MEMORY;
  size_t used = gln_slice_steps(steps, count, slices);
  GlnKeyWalk walk;
  GLN_TRY(gln_key_walk(slices, used, stated, arena, &walk));
  made->step_count = count;
  made->readings = GLN_NEW(arena, GlnReading, count);
  made->regions = GLN_NEW(arena, GlnRegion, used);
  if (made->readings == NULL || made->regions == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < count; i++)
    made->readings[i].reason = "";
  fill_regions(steps, slices, used, &walk, made);
  *analysis = made;
  return GLN_OK;
}

GlnStatus gln_harmony_read(const GlnStep *steps, size_t count, GlnKey key, GlnArena *arena,
                           GlnReading *readings) {
  GlnSlice *slices = GLN_NEW(arena, GlnSlice, count);
  if (slices == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < count; i++)
    readings[i] = (GlnReading){.key = key, .role = GLN_PLACE_FOREIGN, .reason = ""};
  size_t used = gln_slice_steps(steps, count, slices);
  for (size_t i = 0; i < used; i++)
    readings[slices[i].step] = read_slice(steps, slices, used, i, key);
  return GLN_OK;
}
