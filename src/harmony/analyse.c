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

/* F/G and Dm7/G are heard as G9sus4: a major chord over the tone above it, a minor one over the fourth above. */
static bool is_sus_slash(const GlnChord *chord, GlnClass class) {
  int above = (gln_note_pitch_class(chord->bass) - gln_note_pitch_class(chord->root) + 12) % 12;
  if (!chord->has_bass || chord->bass_tone < chord->own_count)
    return false;
  return class == GLN_CLASS_MINOR ? above == 5
                                  : (class == GLN_CLASS_MAJOR || class == GLN_CLASS_MAJOR7) && above == 2;
}

static GlnSlice slice_of(const GlnStep *step, size_t index) {
  const GlnChord *chord = step->chord;
  GlnClass class = gln_chord_class(chord);
  bool sus_slash = is_sus_slash(chord, class);
  return (GlnSlice){.root = (int8_t)gln_note_pitch_class(sus_slash ? chord->bass : chord->root),
                    .bass = (int8_t)gln_note_pitch_class(chord->bass),
                    .sus_slash = sus_slash,
                    .class = sus_slash ? GLN_CLASS_DOMINANT : class,
                    .weight = slice_weight(step->quarters),
                    .step = index,
                    .phrase_starts = step->phrase_starts};
}

/* Chords over a bass that stays under at least so many of them. */
#define PEDAL_CHORDS 3

static void mark_pedals(GlnSlice *slices, size_t count) {
  for (size_t first = 0; first < count;) {
    size_t end = first + 1, chords = 1;
    for (; end < count && slices[end].bass == slices[first].bass; end++)
      chords += slices[end].root != slices[end - 1].root ? 1 : 0;
    for (size_t i = first; i < end; i++)
      slices[i].on_pedal = chords >= PEDAL_CHORDS && slices[i].root != slices[i].bass;
    first = end;
  }
}

size_t gln_slice_steps(const GlnStep *steps, size_t count, GlnSlice *slices) {
  size_t used = 0, bars = 0; /* bars begun in this section; a pick-up is none */
  for (size_t i = 0; i < count; i++) {
    if (steps[i].phrase_starts)
      bars = 0;
    bars += steps[i].bar_starts ? 1 : 0;
    if (steps[i].chord->silent)
      continue;
    slices[used] = slice_of(&steps[i], i);
    slices[used++].opens_four_bars = steps[i].bar_starts && bars % 4 == 1;
  }
  mark_pedals(slices, used);
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
    GlnKey written = {gln_slice_root(steps, &slices[i]), minor};
    int fifths = gln_key_fifths(written);
    if (fifths >= -7 && fifths <= 7)
      named = written;
    break;
  }
  return named;
}

static bool plain_in(const GlnSlice *slices, size_t count, size_t i, int8_t key) {
  const GlnRule *rule = gln_rule_find(slices, count, i, key % 12, key >= 12, GLN_PLACE_COUNT);
  return rule != NULL && (rule->role == GLN_PLACE_DIATONIC || rule->role == GLN_PLACE_TWO_FIVE);
}

static double region_cost(const GlnKeyWalk *walk, size_t first, size_t count, int key) {
  double cost = 0.0;
  for (size_t i = first; i < first + count; i++)
    cost += walk->cost[i][key];
  return cost;
}

/* A rival is worth showing while it costs at most this much more over the whole stretch; design choice. */
#define RIVAL_MARGIN 0.75

static void add_rival(GlnRegion *region, GlnRival rival) {
  size_t at = region->alternative_count;
  while (at > 0 && rival.score < region->alternatives[at - 1].score)
    at--;
  if (at == GLN_RIVALS_MAX)
    return;
  if (region->alternative_count < GLN_RIVALS_MAX)
    region->alternative_count++;
  for (size_t i = region->alternative_count - 1; i > at; i--)
    region->alternatives[i] = region->alternatives[i - 1];
  region->alternatives[at] = rival;
}

static void find_rivals(GlnRegion *region, const GlnKeyWalk *walk, const GlnStep *steps,
                        const GlnSlice *slices, size_t first, size_t count) {
  for (int8_t key = 0; key < GLN_KEYS; key++) {
    double score = region_cost(walk, first, count, key);
    if (key != walk->key[first] && score - region->score <= RIVAL_MARGIN)
      add_rival(region, (GlnRival){gln_key_named(steps, slices + first, count, key), score});
  }
}

static size_t find_pivot(const GlnKeyWalk *walk, const GlnSlice *slices, size_t count, size_t first) {
  int8_t before = walk->key[first - 1], after = walk->key[first];
  if (plain_in(slices, count, first, before))
    return slices[first].step;
  if (plain_in(slices, count, first - 1, after))
    return slices[first - 1].step;
  return SIZE_MAX;
}

/* Where at least half of the home chord's time carries a seventh, sevenths at rest are the language. Design choice. */
static bool is_blues(const GlnSlice *slices, size_t first, size_t end, int tonic) {
  double home = 0.0, seventh = 0.0;
  for (size_t i = first; i < end; i++) {
    if (slices[i].root != tonic)
      continue;
    home += slices[i].weight;
    seventh += slices[i].class == GLN_CLASS_DOMINANT ? slices[i].weight : 0.0;
  }
  return seventh > 0.0 && seventh >= home / 2.0;
}

static GlnReading read_slice(const GlnStep *steps, const GlnSlice *slices, size_t count, size_t i, GlnKey key,
                             bool blues) {
  GlnReading reading = {.key = key, .role = GLN_PLACE_FOREIGN, .reason = "", .cost = 1.0};
  int tonic = gln_note_pitch_class(key.tonic);
  const GlnRule *rule =
      gln_rule_find(slices, count, i, tonic, key.minor, blues ? GLN_PLACE_COUNT : GLN_PLACE_BLUES);
  if (rule == NULL) /* a seventh at rest outside the blues, for want of a better word */
    rule = gln_rule_find(slices, count, i, tonic, key.minor, GLN_PLACE_COUNT);
  if (rule != NULL) {
    reading.function = rule->function;
    reading.role = rule->role;
    reading.cost = (double)rule->cost;
    reading.reason = rule->reason;
  } else {
    reading.reason = "No job in this key: a colour of its own, heard against the chords around it.";
  }
  gln_roman_print(steps, slices, count, i, key, rule, reading.roman);
  if (slices[i].on_pedal) {
    reading.role = GLN_PLACE_PEDAL;
    reading.reason = "The bass holds its note while this chord moves over it, and gives way again.";
  }
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
                          .clear = gln_key_is_clear(walk, slices, count, first, end),
                          .score = region_cost(walk, first, end - first, walk->key[first]),
                          .pivot = SIZE_MAX};
    find_rivals(region, walk, steps, slices, first, end - first);
    if (first > 0)
      region->pivot = find_pivot(walk, slices, count, first);
    bool joins = analysis->region_count > 1 && !region->clear && !region[-1].clear;
    if (joins) { /* no key and again no key is one stretch without a key */
      region[-1].count = region->first + region->count - region[-1].first;
      region[-1].score += region->score;
      region[-1].alternative_count = 0;
      analysis->region_count--;
      region--;
    }
    bool blues = is_blues(slices, first, end, gln_note_pitch_class(region->key.tonic));
    for (size_t i = first; i < end; i++)
      analysis->readings[slices[i].step] =
          region->clear ? read_slice(steps, slices, count, i, region->key, blues)
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
  bool blues = is_blues(slices, 0, used, gln_note_pitch_class(key.tonic));
  for (size_t i = 0; i < used; i++)
    readings[slices[i].step] = read_slice(steps, slices, used, i, key, blues);
  return GLN_OK;
}
