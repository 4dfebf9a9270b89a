/* Key regions: the exact cheapest walk through the 24 keys, chord by chord. */
#include "harmony_internal.h"

#include <stdlib.h>
#include <string.h>

/* Design choices, tuned on the even-numbered songs of the McGill Billboard chords: docs/harmony.md. */
typedef struct GlnKeyWeights {
  double foreign;       /* a chord that no rule explains */
  double cadence;       /* dominant seventh to its tonic */
  double plain_cadence; /* V triad to its tonic */
  double prepared;      /* a ii or IV before that dominant */
  double plagal;        /* IV to I */
  double first, last;   /* the tonic opens, closes the song */
  double close;         /* times the cadence into the tonic on which the song ends */
  double phrase;        /* the tonic opens a section */
  double four_bars;     /* the tonic stands on the first of four bars counted from the section's start */
  double presence;      /* the tonic sounds, for each bar of it */
  double change;        /* leaving a key at all */
  double change_fifth;  /* for each fifth between the two key signatures */
  double at_phrase;     /* share of the change's cost where a section begins */
  double stated;        /* the key its author names, once, where the song begins */
  double unclear;       /* mean cost past which no key is claimed */
} GlnKeyWeights;

static const GlnKeyWeights weights = {.foreign = 1.00,
                                      .cadence = 0.35,
                                      .plain_cadence = 0.10,
                                      .prepared = 0.15,
                                      .plagal = 0.14,
                                      .first = 0.26,
                                      .last = 0.22,
                                      .close = 1.0,
                                      .phrase = 0.07,
                                      .four_bars = 0.24,
                                      .presence = 0.08,
                                      .change = 1.4,
                                      .change_fifth = 0.15,
                                      .at_phrase = 0.70,
                                      .stated = 0.60,
                                      .unclear = 0.55};

static int key_tonic(int key) {
  return key % 12;
}

static bool key_minor(int key) {
  return key >= 12;
}

static bool is_tonic(const GlnSlice *slice, int key) {
  uint16_t home = key_minor(key)
                      ? GLN_CLASS_BIT(GLN_CLASS_MINOR)
                      : (uint16_t)(GLN_CLASS_BIT(GLN_CLASS_MAJOR) | GLN_CLASS_BIT(GLN_CLASS_MAJOR7) |
                                   GLN_CLASS_BIT(GLN_CLASS_DOMINANT));
  home |= GLN_CLASS_BIT(GLN_CLASS_SUS);
  return slice->root == key_tonic(key) && (home & GLN_CLASS_BIT(slice->class)) != 0;
}

static int root_above(const GlnSlice *slice, int key) {
  return (slice->root - key_tonic(key) + 12) % 12;
}

/* A ii or IV before the dominant before slice i. */
static double prepared_evidence(const GlnSlice *slices, size_t i, int key) {
  if (i < 2)
    return 0.0;
  int prepared = root_above(&slices[i - 2], key);
  return prepared == 2 || prepared == 5 ? weights.prepared : 0.0;
}

/* What the arrival at the tonic says for the key: nothing, or a cadence of some strength. */
static double cadence_evidence(const GlnSlice *slices, size_t i, int key) {
  if (i == 0 || !is_tonic(&slices[i], key) || is_tonic(&slices[i - 1], key))
    return 0.0;
  const GlnSlice *before = &slices[i - 1];
  uint16_t dominant = GLN_CLASS_BIT(GLN_CLASS_DOMINANT) | GLN_CLASS_BIT(GLN_CLASS_AUG);
  int above = root_above(before, key);
  if (above == 5)
    return weights.plagal;
  if (above != 7)
    return 0.0;
  double evidence = 0.0;
  if (dominant & GLN_CLASS_BIT(before->class))
    evidence = weights.cadence;
  else if (before->class == GLN_CLASS_MAJOR || before->class == GLN_CLASS_SUS)
    evidence = weights.plain_cadence;
  return evidence > 0.0 ? evidence + prepared_evidence(slices, i, key) : 0.0;
}

double gln_substitute_evidence(const GlnSlice *slices, size_t i, int key) {
  if (i == 0 || !is_tonic(&slices[i], key) || root_above(&slices[i - 1], key) != 1 ||
      slices[i - 1].class != GLN_CLASS_DOMINANT)
    return 0.0;
  return -weights.cadence - prepared_evidence(slices, i, key);
}

double gln_slice_reading_cost(const GlnSlice *slices, size_t count, size_t i, int key) {
  const GlnRule *rule = gln_rule_find(slices, count, i, key_tonic(key), key_minor(key), GLN_PLACE_COUNT);
  return slices[i].weight * (rule == NULL ? weights.foreign : (double)rule->cost);
}

double gln_slice_evidence(const GlnSlice *slices, size_t count, size_t i, int key) {
  const GlnSlice *slice = &slices[i];
  double cost = -cadence_evidence(slices, i, key);
  if (is_tonic(slice, key)) {
    if (i == 0)
      cost -= weights.first;
    if (i + 1 == count)
      cost -= weights.last;
    if (slice->phrase_starts)
      cost -= weights.phrase;
    if (slice->opens_four_bars)
      cost -= weights.four_bars;
    cost -= weights.presence * slice->weight;
  }
  return cost;
}

/* Sharps (+) or flats (-) of the signature on the shorter side. */
static int signature(int key) {
  int major = key_minor(key) ? (key_tonic(key) + 3) % 12 : key_tonic(key);
  int fifths = major * 7 % 12;
  return fifths > 6 ? fifths - 12 : fifths;
}

double gln_key_change_cost(int from, int to, bool phrase_starts) {
  if (from == to)
    return 0.0;
  int apart = abs(signature(from) - signature(to));
  if (apart > 6)
    apart = 12 - apart;
  double cost = weights.change + weights.change_fifth * apart;
  return phrase_starts ? cost * weights.at_phrase : cost;
}

/* The cheapest way into the key from any key; *from gets the key it comes from. */
static double arrive(const double total[GLN_KEYS], int key, bool phrase_starts, int8_t *from) {
  double least = total[key]; /* staying costs nothing; of equals the key itself, then the lowest */
  int best = key;
  for (int other = 0; other < GLN_KEYS; other++) {
    double cost = total[other] + gln_key_change_cost(other, key, phrase_starts);
    if (cost < least) {
      least = cost;
      best = other;
    }
  }
  *from = (int8_t)best;
  return least;
}

/* Where the tonic is reached on which the song ends; count where it ends elsewhere. */
static size_t close_of(const GlnSlice *slices, size_t count, int key) {
  size_t at = count;
  while (at > 0 && is_tonic(&slices[at - 1], key))
    at--;
  return at;
}

GlnStatus gln_key_walk(const GlnSlice *slices, size_t count, const GlnKey *stated, GlnArena *arena,
                       GlnKeyWalk *walk) {
  double(*cost)[GLN_KEYS] = gln_arena_alloc(arena, count, sizeof *cost);
  int8_t(*from)[GLN_KEYS] = gln_arena_alloc(arena, count, sizeof *from);
  walk->key = GLN_NEW(arena, int8_t, count);
  if (cost == NULL || from == NULL || walk->key == NULL)
    return GLN_MEMORY;
  double total[GLN_KEYS] = {0};
  size_t close[GLN_KEYS];
  for (int key = 0; key < GLN_KEYS; key++)
    close[key] = close_of(slices, count, key);
  int named = stated == NULL ? -1 : gln_note_pitch_class(stated->tonic) + (stated->minor ? 12 : 0);
  for (size_t i = 0; i < count; i++) {
    double reached[GLN_KEYS];
    for (int key = 0; key < GLN_KEYS; key++) {
      cost[i][key] =
          gln_slice_reading_cost(slices, count, i, key) + gln_slice_evidence(slices, count, i, key);
      if (i == close[key])
        cost[i][key] -= weights.close * cadence_evidence(slices, i, key);
      double before = i == 0 ? 0.0 : arrive(total, key, slices[i].phrase_starts, &from[i][key]);
      reached[key] = before + cost[i][key] - (i == 0 && key == named ? weights.stated : 0.0);
    }
    memcpy(total, reached, sizeof total);
  }
  int best = 0;
  for (int key = 1; key < GLN_KEYS; key++)
    if (total[key] < total[best])
      best = key;
  for (size_t i = count; i-- > 0;) {
    walk->key[i] = (int8_t)best;
    best = from[i][best];
  }
  walk->cost = cost;
  return GLN_OK;
}

static bool is_plain(const GlnSlice *slices, size_t count, size_t i, int key) {
  const GlnRule *rule = gln_rule_find(slices, count, i, key_tonic(key), key_minor(key), GLN_PLACE_COUNT);
  return rule != NULL && (rule->role == GLN_PLACE_DIATONIC || rule->role == GLN_PLACE_TWO_FIVE);
}

/* The home chord, come to from a chord that leads there. */
static bool comes_home(const GlnSlice *slices, size_t count, size_t i, int key) {
  if (i == 0 || !is_tonic(&slices[i], key) || slices[i - 1].root == slices[i].root)
    return false;
  if (cadence_evidence(slices, i, key) > 0.0)
    return true;
  const GlnRule *rule = gln_rule_find(slices, count, i - 1, key_tonic(key), key_minor(key), GLN_PLACE_COUNT);
  return slices[i - 1].class != GLN_CLASS_DIM && rule != NULL && rule->function == GLN_FUNCTION_DOMINANT;
}

/* A key must cost little in the mean, and show itself: by coming home at least once, or by nearly all its chords. */
#define PLAIN_SHARE 0.75

bool gln_key_is_clear(const GlnKeyWalk *walk, const GlnSlice *slices, size_t count, size_t first,
                      size_t end) {
  double weight = 0.0, cost = 0.0, plain = 0.0;
  bool one_root = true, home = false;
  for (size_t i = first; i < end; i++) {
    int key = walk->key[i];
    weight += slices[i].weight;
    cost += walk->cost[i][key];
    plain += is_plain(slices, count, i, key) ? slices[i].weight : 0.0;
    one_root = one_root && slices[i].root == slices[first].root;
    home = home || comes_home(slices, count, i, key);
  }
  return !one_root && cost <= weights.unclear * weight && (home || plain >= PLAIN_SHARE * weight);
}
