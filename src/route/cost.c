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
#define TOP_FREE        4 /* semitones the top voice may go at no cost: a tune of steps and thirds */
#define BASS_FREE       2 /* semitones past the nearest place of the next bass: a fifth in place of a fourth */
#define LEAD_PLAIN_PART 0.4 /* strummed full shapes have more voices, and nobody follows each of them */

GlnCosting gln_costing(const double weight[GLN_COST_COUNT], bool plain) {
  GlnCosting costing = {0};
  for (int c = 0; c < GLN_COST_COUNT; ++c)
    costing.weight[c] = weight[c];
  costing.travel = (float)(weight[GLN_COST_TRAVEL] / 10.0);
  double part = plain ? LEAD_PLAIN_PART : 1.0;
  costing.lead = (float)(weight[GLN_COST_LEAD] * part);
  costing.guide = (float)(weight[GLN_COST_GUIDE] * part);
  costing.top_past = (float)weight[GLN_COST_TOP];
  costing.bass_past = (float)weight[GLN_COST_BASS];
  costing.top_free = TOP_FREE;
  costing.bass_free = BASS_FREE;
  costing.floor = gln_move_floor();
  return costing;
}

/* A grip of open strings alone leaves the hand where it is. */
static float travel_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  float past_mm = fabsf(to->hand_mm - from->hand_mm) - costing->floor.free_mm;
  bool hands = from->fingers != 0 && to->fingers != 0;
  return hands && past_mm > 0.0F ? costing->travel * past_mm : 0.0F;
}

/* Where the bass shall go by semitones, each further one costs so many times what a semitone of leap costs in other
 * lines, and staying costs as one further one. Design choice, tuned on the lines of examples/. */
#define CHROMATIC_TIMES 5

GlnCosting gln_costing_for(const double weight[GLN_COST_COUNT], bool plain, GlnBassLine bass_line) {
  GlnCosting costing = gln_costing(weight, plain);
  if (bass_line == GLN_BASS_LINE_CHROMATIC) {
    costing.bass_past = 0; /* floors go without the bass then */
    costing.chromatic = (float)(CHROMATIC_TIMES * weight[GLN_COST_BASS]);
  }
  return costing;
}

/* The same notes again are one chord held on. */
static float chromatic_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  int step = abs(to->bass - from->bass);
  if (step == 0)
    return from->pitches == to->pitches ? 0.0F : costing->chromatic;
  return costing->chromatic * (float)(step - 1);
}

static float leap_cost(int from, int to, float past, int free) {
  int leap = abs(to - from);
  return leap > free ? past * (float)(leap - free) : 0.0F;
}

static float top_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  return leap_cost(from->top, to->top, costing->top_past, costing->top_free);
}

static float bass_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  if (costing->chromatic > 0)
    return chromatic_cost(costing, from, to);
  int leap = abs(to->bass - from->bass), nearest = leap % 12 > 6 ? 12 - leap % 12 : leap % 12;
  return leap > nearest + costing->bass_free
             ? costing->bass_past * (float)(leap - nearest - costing->bass_free)
             : 0.0F;
}

static float lead_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  return costing->lead * (float)gln_lead_sorted(from->upper, from->upper_count, to->upper, to->upper_count);
}

static float guide_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  int unresolved = 0;
  for (int g = 0; g < from->guide_count; ++g)
    unresolved += (to->pitches & from->guides[g]) == 0;
  return costing->guide * (float)unresolved;
}

GlnChangeCost gln_change_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to) {
  GlnChangeCost cost;
  cost.voice = travel_cost(costing, from, to) + lead_cost(costing, from, to) + guide_cost(costing, from, to) +
               top_cost(costing, from, to) + bass_cost(costing, from, to);
  cost.seconds = gln_move_seconds(from, to);
  return cost;
}

void gln_change_parts(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to,
                      double parts[GLN_COST_COUNT]) {
  parts[GLN_COST_TRAVEL] = (double)travel_cost(costing, from, to);
  parts[GLN_COST_LEAD] = (double)lead_cost(costing, from, to);
  parts[GLN_COST_GUIDE] = (double)guide_cost(costing, from, to);
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

/* Points for what a grip lacks. Design choices, tuned on the lines of examples/ and on the shapes every player knows
 * (tests/route/test_usual.c). A grip is a full shape in a song of three-note chords, else a comping grip. */
static const struct {
  double colour_omitted; /* a tone that makes the chord's colour */
  double
      spare_omitted; /* one that the trade leaves out of a chord with a seventh: more the later it should go */
  double fifth_omitted_triad;
  double root_omitted;
  double guide_doubled; /* 3rd, 7th or tension sounding twice */
  double third_doubled; /* the 3rd in a full shape */
  double unison;        /* two strings on one pitch */
  double minor_ninth;   /* between two voices, unless the chord has a flat ninth */
  double muddy_full,
      muddy;              /* a semitone below an interval's lowest usable place; in full shapes it is usual */
  double lost_full, lost; /* each string below the bass, from string 5 on: the bass wants string 6 or 5 */
  double thin_full;       /* each voice short of FULL_VOICES for other reasons */
  double thin, thick;     /* each voice short of, past COMPING_VOICES */
  double odd_set;         /* no usual set of strings for comping */
  double
      tension_under; /* each 3rd, sus tone, 6th or 7th that sounds above a tension, the root being the bass */
  double buried;     /* each string from the top voice up to string 2 in a comping grip of four voices */
  double open;       /* each open string above the bass in a comping grip: it rings on by itself */
  double open_bass;  /* the same for the bass */
  double open_apart_full, open_apart; /* each open string, for each fret that the hand is above OPEN_FRETS */
  double hole_full, hole; /* a string left out between sounding ones, save one above the bass in comping */
  double split;           /* the string that a drop 2 and 4 grip leaves out in its middle */
  double stretch;   /* each fret past STRETCH_FRETS between the outermost stopped frets in a comping grip */
  double crossing;  /* a string that sounds below a lower string */
  double high_bass; /* each semitone of the bass above HIGH_BASS */
  double high_top, low_top; /* each semitone of the top voice outside LOW_TOP..HIGH_TOP */
  double far_full, far;     /* each fret above FULL_FRETS, above COMPING_FRETS */
  double silent;            /* each silent string of an instrument that is strummed whole */
} sound = {
    .colour_omitted = 0.35,
    .spare_omitted = 0.03,
    .fifth_omitted_triad = 0.32,
    .root_omitted = 0.25,
    .guide_doubled = 0.15,
    .third_doubled = 0.02,
    .unison = 0.15,
    .minor_ninth = 0.30,
    .muddy_full = 0.01,
    .muddy = 0.04,
    .lost_full = 0.24,
    .lost = 0.12,
    .thin_full = 0.28,
    .thin = 0.40,
    .thick = 0.50,
    .odd_set = 0.35,
    .tension_under = 0.70,
    .buried = 0.90,
    .open = 0.60,
    .open_bass = 0.30,
    .open_apart_full = 0.032,
    .open_apart = 0.25,
    .hole_full = 0.16,
    .hole = 0.90,
    .split = 0.35,
    .stretch = 0.45,
    .crossing = 0.15,
    .high_bass = 0.10,
    .high_top = 0.03,
    .low_top = 0.03,
    .far_full = 0.024,
    .far = 0.08,
    .silent = 0.60,
};
#define FULL_VOICES    5
#define COMPING_VOICES 4
#define OPEN_FRETS     4
#define FULL_FRETS     4
#define STRETCH_FRETS  3 /* one finger a fret */
#define COMPING_FRETS  10
#define HIGH_BASS      54 /* F sharp 3 */
#define LOW_TOP        59 /* B3 */
#define HIGH_TOP       79 /* G5 */

/* Lowest usable lower note for an interval of so many semitones: arranging texts, which differ by two semitones either
 * way (values from memory); wider intervals are clear anywhere on a guitar. */
static const int8_t lowest_clear[] = {0, 52, 51, 48, 46, 46, 47, 34};

bool gln_chord_is_plain(const GlnChord *chord) {
  return gln_bit_count(gln_chord_pitch_classes(chord)) <= 3;
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
    else if (triad && tone->role == GLN_ROLE_MAY_GO)
      cost += sound.fifth_omitted_triad;
    else if (tone->leave_order > 0)
      cost += sound.spare_omitted * tone->leave_order;
    else
      cost += sound.colour_omitted;
  }
  return cost;
}

static double doubled_cost(const GlnChord *chord, const GlnGrip *grip, bool full) {
  int times[GLN_CHORD_TONES_MAX] = {0};
  for (int s = 0; s < grip->frets.string_count; ++s)
    if (grip->frets.fret[s] >= 0 && grip->tone[s] >= 0)
      ++times[grip->tone[s]];
  double cost = 0;
  for (int t = 0; t < chord->tone_count; ++t) {
    int number = chord->tones[t].degree.number;
    if (times[t] < 2 || number == 1 || number == 5)
      continue;
    cost += (full && number == 3 ? sound.third_doubled : sound.guide_doubled) * (times[t] - 1);
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

/* Of two sounding strings, s the lower one. */
static double interval_cost(const GlnGrip *grip, int s, int r, bool full, bool flat_ninth) {
  int interval = grip->midi[r] - grip->midi[s];
  if (interval == 0)
    return sound.unison;
  double cost = interval < 0 && r == s + 1 ? sound.crossing : 0;
  int low = interval < 0 ? grip->midi[r] : grip->midi[s], size = abs(interval);
  if (size < (int)GLN_COUNT_OF(lowest_clear) && low < lowest_clear[size])
    cost += (full ? sound.muddy_full : sound.muddy) * (lowest_clear[size] - low);
  return cost + (size == 13 && !flat_ninth ? sound.minor_ninth : 0);
}

static double clash_cost(const GlnChord *chord, const GlnGrip *grip, bool full) {
  bool flat_ninth = has_flat_ninth(chord);
  double cost = 0;
  for (int s = 0; s < grip->frets.string_count; ++s)
    for (int r = s + 1; r < grip->frets.string_count; ++r)
      if (grip->frets.fret[s] >= 0 && grip->frets.fret[r] >= 0)
        cost += interval_cost(grip, s, r, full, flat_ninth);
  return cost;
}

static bool is_guiding(int number) {
  return number == 2 || number == 3 || number == 4 || number == 6 || number == 7;
}

/* Over its root a comping grip is built of the guide tones first, with the colour on top of them. */
static double order_cost(const GlnChord *chord, const GlnGrip *grip) {
  if (grip->tone[grip->bass_string] != chord->root_tone)
    return 0;
  double cost = 0;
  for (int s = 0; s < grip->frets.string_count; ++s)
    for (int r = 0; r < grip->frets.string_count; ++r)
      if (grip->frets.fret[s] >= 0 && grip->frets.fret[r] >= 0 && grip->midi[s] < grip->midi[r] &&
          chord->tones[grip->tone[s]].degree.number > 7 &&
          is_guiding(chord->tones[grip->tone[r]].degree.number))
        cost += sound.tension_under;
  return cost;
}

static double voices_cost(const GlnGrip *grip, bool full) {
  int below =
      grip->bass_string > 1 ? grip->bass_string - 1 : 0; /* strings lost under a bass on string 4 or higher */
  if (full) {
    int missing = grip->frets.string_count - grip->bass_string - grip->voices;
    int few = COMPING_VOICES - grip->voices;
    return sound.lost_full * below + (missing > 0 ? sound.thin_full * missing : 0) +
           (few > 0 ? sound.thin * few : 0);
  }
  const unsigned usual = 1U << GLN_TEXTURE_SHELL | 1U << GLN_TEXTURE_FOUR_NOTE | 1U << GLN_TEXTURE_DROP2 |
                         1U << GLN_TEXTURE_DROP3;
  int missing = COMPING_VOICES - grip->voices;
  double cost = sound.lost * below + (missing > 0 ? sound.thin * missing : sound.thick * -missing);
  int below_second = grip->frets.string_count - 2 - grip->top_string;
  if (missing <= 0 && below_second > 0)
    cost += sound.buried * below_second;
  return cost + ((grip->textures & usual) == 0 && missing == 0 ? sound.odd_set : 0);
}

/* Stopped frets; both 0 where every string is open. */
static void fret_range(const GlnGrip *grip, int *lowest, int *highest) {
  *lowest = *highest = 0;
  for (int s = 0; s < grip->frets.string_count; ++s) {
    int fret = grip->frets.fret[s];
    if (fret <= 0)
      continue;
    *highest = fret > *highest ? fret : *highest;
    *lowest = *lowest == 0 || fret < *lowest ? fret : *lowest;
  }
}

static double past(int value, int limit, double each) {
  return value > limit ? each * (value - limit) : 0;
}

static double open_cost(const GlnGrip *grip, int s, int highest, bool full) {
  double apart = past(highest, OPEN_FRETS, full ? sound.open_apart_full : sound.open_apart);
  if (full)
    return apart;
  return apart + (s == grip->bass_string ? sound.open_bass : sound.open);
}

static double strings_cost(const GlnGrip *grip, bool full) {
  int lowest = 0, highest = 0, last = -1, sounding = 0;
  fret_range(grip, &lowest, &highest);
  bool split = (grip->textures >> GLN_TEXTURE_DROP24 & 1) != 0;
  double cost = full ? 0 : past(highest - lowest, STRETCH_FRETS, sound.stretch);
  for (int s = 0; s < grip->frets.string_count; ++s) {
    if (grip->frets.fret[s] < 0)
      continue;
    int holes =
        s - last - 1 - (sounding == 1 && !full ? 1 : 0); /* one string between bass and chord is usual */
    if (sounding > 0 && holes > 0)
      cost += (full ? sound.hole_full : split ? sound.split : sound.hole) * holes;
    if (grip->frets.fret[s] == 0)
      cost += open_cost(grip, s, highest, full);
    last = s;
    ++sounding;
  }
  return cost;
}

static double range_cost(const GlnGrip *grip, bool full) {
  int bass = grip->midi[grip->bass_string], top = grip->midi[grip->top_string], lowest = 0, highest = 0;
  fret_range(grip, &lowest, &highest);
  return past(bass, HIGH_BASS, sound.high_bass) + past(top, HIGH_TOP, sound.high_top) +
         past(LOW_TOP, top, sound.low_top) +
         (full ? past(highest, FULL_FRETS, sound.far_full) : past(highest, COMPING_FRETS, sound.far));
}

/* On an instrument that is strummed whole every string counts alike: no bass, no order of voices, and two strings on one
 * note are how it is tuned. Common practice, no published source. */
static double strummed_cost(const GlnChord *chord, const GlnGrip *grip) {
  int silent = grip->frets.string_count - grip->voices, lowest = 0, highest = 0;
  fret_range(grip, &lowest, &highest);
  return omitted_cost(chord, grip, gln_chord_is_plain(chord)) + doubled_cost(chord, grip, true) +
         sound.silent * silent + past(highest, FULL_FRETS, sound.far_full);
}

double gln_sound_cost(const GlnInstrument *instrument, const GlnChord *chord, const GlnGrip *grip,
                      bool plain) {
  if (gln_instrument_strummed_whole(instrument))
    return strummed_cost(chord, grip);
  bool triad = gln_chord_is_plain(chord), full = triad || plain;
  return omitted_cost(chord, grip, triad) + doubled_cost(chord, grip, full) + clash_cost(chord, grip, full) +
         (full ? 0 : order_cost(chord, grip)) + voices_cost(grip, full) + strings_cost(grip, full) +
         range_cost(grip, full);
}
