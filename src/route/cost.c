/* Costs: what a grip costs by itself and what a change from one grip to another costs. docs/line.md. */
#include "route_internal.h"

#include <math.h>
#include <stdlib.h>

#define COST_KEY(name, key, weight, words)   key,
#define COST_WORDS(name, key, weight, words) words,
static const char *const cost_keys[] = {GLN_COST_LIST(COST_KEY)};
static const char *const cost_words[] = {GLN_COST_LIST(COST_WORDS)};

const char *gln_cost_key(GlnCost cost) {
  return cost_keys[cost];
}

const char *gln_cost_words(GlnCost cost) {
  return cost_words[cost];
}

/* ---- changes ------------------------------------------------------------------------------------------------- */

/* Design choices, tuned on the lines of examples/ and of tests/route/test_textbook.c. */
#define TOP_FREE  4 /* semitones the top voice may go at no cost: a melody of steps and thirds */
#define BASS_FREE 7 /* a fifth: the strongest root motion there is */
#define GUIDE_SEMITONES                                                                                      \
  4 /* a guide tone that does not go on by step costs as this many semitones of leading */

GlnCosting gln_costing(const double weight[GLN_COST_COUNT]) {
  GlnCosting costing = {0};
  for (int c = 0; c < GLN_COST_COUNT; ++c)
    costing.weight[c] = weight[c];
  costing.lead = (float)weight[GLN_COST_LEAD];
  costing.guide = (float)(weight[GLN_COST_LEAD] * GUIDE_SEMITONES);
  costing.top_past = (float)weight[GLN_COST_TOP];
  costing.bass_past = (float)weight[GLN_COST_BASS];
  costing.top_free = TOP_FREE;
  costing.bass_free = BASS_FREE;
  costing.floor = gln_move_floor();
  return costing;
}

static float leap_cost(int from, int to, float past, int free) {
  int leap = abs(to - from);
  return leap > free ? past * (float)(leap - free) : 0.0F;
}

static float top_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  return leap_cost(from->top, to->top, costing->top_past, costing->top_free);
}

static float bass_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  return leap_cost(from->bass, to->bass, costing->bass_past, costing->bass_free);
}

static float lead_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  int semitones = gln_lead_sorted(from->upper, from->upper_count, to->upper, to->upper_count);
  int unresolved = 0;
  for (int g = 0; g < from->guide_count; ++g)
    unresolved += (to->pitches & from->guides[g]) == 0;
  return costing->lead * (float)semitones + costing->guide * (float)unresolved;
}

GlnChangeCost gln_change_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  GlnChangeCost cost;
  cost.voice = lead_cost(costing, from, to) + top_cost(costing, from, to) + bass_cost(costing, from, to);
  cost.seconds = gln_move_seconds(from, to);
  return cost;
}

void gln_change_parts(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to,
                      double parts[GLN_COST_COUNT]) {
  parts[GLN_COST_LEAD] = (double)lead_cost(costing, from, to);
  parts[GLN_COST_TOP] = (double)top_cost(costing, from, to);
  parts[GLN_COST_BASS] = (double)bass_cost(costing, from, to);
}

/* A change with EASE_S to spare weighs as it is; with half of it, twice; never past the clamps, so that a ballad still
 * likes small moves and a fast tune does not give up everything for them. Design choice. */
double gln_haste(double available_s) {
  const double ease_s = 0.4, least = 0.6, most = 4.0;
  double haste = available_s > 0 ? ease_s / available_s : most;
  return haste < least ? least : haste > most ? most : haste;
}

/* ---- sound --------------------------------------------------------------------------------------------------- */

/* Points for what a grip lacks. Design choices, tuned on the lines of examples/. */
static const struct {
  double colour_omitted; /* a tone that makes the chord's colour */
  double fifth_omitted;  /* left out of a chord with a seventh */
  double fifth_omitted_triad;
  double root_omitted;
  double guide_doubled;     /* 3rd, 7th or tension sounding twice in a chord with a seventh */
  double third_doubled;     /* in a triad */
  double minor_ninth;       /* between two voices, unless the chord has a flat ninth */
  double muddy;             /* a semitone below an interval's lowest usable place */
  double thin_plain;        /* each voice short of PLAIN_VOICES */
  double thin_jazz;         /* each voice short of JAZZ_VOICES */
  double thick_jazz;        /* each voice past JAZZ_VOICES + 1 */
  double odd_set;           /* no usual set of strings for comping */
  double open_jazz;         /* each open string in a chord with a seventh, in a song of such chords */
  double hole;              /* a string left out between sounding ones, above the bass */
  double high_bass;         /* each semitone of the bass above HIGH_BASS */
  double high_top, low_top; /* each semitone of the top voice outside LOW_TOP..HIGH_TOP */
} sound = {
    .colour_omitted = 0.35,
    .fifth_omitted = 0.03,
    .fifth_omitted_triad = 0.40,
    .root_omitted = 0.25,
    .guide_doubled = 0.15,
    .third_doubled = 0.03,
    .minor_ninth = 0.30,
    .muddy = 0.04,
    .thin_plain = 0.16,
    .thin_jazz = 0.20,
    .thick_jazz = 0.08,
    .odd_set = 0.15,
    .open_jazz = 0.06,
    .hole = 0.10,
    .high_bass = 0.03,
    .high_top = 0.03,
    .low_top = 0.03,
};
#define PLAIN_VOICES 5
#define JAZZ_VOICES  4
#define HIGH_BASS    55 /* G3 */
#define LOW_TOP      57 /* A3 */
#define HIGH_TOP     74 /* D5 */

/* Lowest usable lower note for an interval of so many semitones: arranging texts, which differ by two semitones either
 * way (values from memory); wider intervals are clear anywhere on a guitar. */
static const int8_t lowest_clear[] = {0, 52, 51, 48, 46, 46, 47, 34};

bool gln_chord_is_plain(const GlnChord *chord) {
  int count = 0;
  for (unsigned classes = gln_chord_pitch_classes(chord); classes != 0; classes &= classes - 1U)
    ++count;
  return count <= 3;
}

static double omitted_cost(const GlnChord *chord, const GlnGrip *grip, bool triad) {
  double cost = 0;
  unsigned classes = 0, groups = 0;
  for (int t = 0; t < chord->tone_count; ++t)
    if ((grip->tones >> t & 1) != 0) {
      classes |= 1U << chord->tones[t].pitch_class;
      groups |= chord->tones[t].group > 0 ? 1U << chord->tones[t].group : 0U;
    }
  for (int t = 0; t < chord->tone_count; ++t) {
    const GlnTone *tone = &chord->tones[t];
    if ((classes >> tone->pitch_class & 1U) != 0 || (tone->group > 0 && (groups >> tone->group & 1U) != 0))
      continue;
    if (t == chord->root_tone)
      cost += sound.root_omitted;
    else if (tone->role == GLN_ROLE_MAY_GO)
      cost += triad ? sound.fifth_omitted_triad : sound.fifth_omitted;
    else
      cost += sound.colour_omitted;
  }
  return cost;
}

static double doubled_cost(const GlnChord *chord, const GlnGrip *grip, bool triad) {
  int times[GLN_CHORD_TONES_MAX] = {0};
  for (int s = 0; s < grip->frets.string_count; ++s)
    if (grip->frets.fret[s] >= 0 && grip->tone[s] >= 0)
      ++times[grip->tone[s]];
  double cost = 0;
  for (int t = 0; t < chord->tone_count; ++t) {
    int number = chord->tones[t].degree.number;
    if (times[t] < 2 || number == 1 || number == 5)
      continue;
    cost += (triad ? sound.third_doubled : sound.guide_doubled) * (times[t] - 1);
  }
  return cost;
}

static bool has_flat_ninth(const GlnChord *chord) {
  for (int t = 0; t < chord->tone_count; ++t) {
    GlnDegree degree = chord->tones[t].degree;
    if ((degree.number == 9 || degree.number == 2) && degree.alteration == -1)
      return true;
  }
  return false;
}

static double clash_cost(const GlnChord *chord, const GlnGrip *grip) {
  bool flat_ninth = has_flat_ninth(chord);
  double cost = 0;
  for (int s = 0; s < grip->frets.string_count; ++s) {
    for (int r = 0; r < grip->frets.string_count; ++r) {
      if (grip->frets.fret[s] < 0 || grip->frets.fret[r] < 0)
        continue;
      int interval = grip->midi[r] - grip->midi[s];
      if (interval >= 1 && interval < (int)GLN_COUNT_OF(lowest_clear) &&
          grip->midi[s] < lowest_clear[interval])
        cost += sound.muddy * (lowest_clear[interval] - grip->midi[s]);
      if (interval == 13 && !flat_ninth)
        cost += sound.minor_ninth;
    }
  }
  return cost;
}

static double texture_cost(const GlnGrip *grip, bool full) {
  double cost = 0;
  if (full) {
    int missing = PLAIN_VOICES - grip->voices;
    cost += missing > 0 ? sound.thin_plain * missing : 0;
  } else {
    const unsigned usual = 1U << GLN_TEXTURE_SHELL | 1U << GLN_TEXTURE_FOUR_NOTE | 1U << GLN_TEXTURE_DROP2 |
                           1U << GLN_TEXTURE_DROP3;
    int missing = JAZZ_VOICES - grip->voices, many = grip->voices - JAZZ_VOICES - 1;
    cost += missing > 0 ? sound.thin_jazz * missing : 0;
    cost += many > 0 ? sound.thick_jazz * many : 0;
    cost += (grip->textures & usual) == 0 && missing >= 0 ? sound.odd_set : 0;
    for (int s = 0; s < grip->frets.string_count; ++s)
      cost += grip->frets.fret[s] == 0 ? sound.open_jazz : 0;
  }
  int last = -1, sounding = 0;
  for (int s = 0; s < grip->frets.string_count; ++s) {
    if (grip->frets.fret[s] < 0)
      continue;
    if (sounding > (full ? 0 : 1) && s > last + 1)
      cost += sound.hole * (s - last - 1);
    last = s;
    ++sounding;
  }
  return cost;
}

static double range_cost(const GlnGrip *grip) {
  int bass = grip->midi[grip->bass_string], top = grip->midi[grip->top_string];
  double cost = bass > HIGH_BASS ? sound.high_bass * (bass - HIGH_BASS) : 0;
  if (top > HIGH_TOP)
    cost += sound.high_top * (top - HIGH_TOP);
  if (top < LOW_TOP)
    cost += sound.low_top * (LOW_TOP - top);
  return cost;
}

double gln_sound_cost(const GlnChord *chord, const GlnGrip *grip, bool plain) {
  bool triad = gln_chord_is_plain(chord);
  return omitted_cost(chord, grip, triad) + doubled_cost(chord, grip, triad) + clash_cost(chord, grip) +
         texture_cost(grip, triad || plain) + range_cost(grip);
}
