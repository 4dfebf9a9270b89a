/* Moves: what each finger does from one grip to the next, and the time the hand needs for it. docs/moves.md. */
#include "route_internal.h"

#include <math.h>
#include <string.h>

#define THUMB 4

/* Times of a change. Fitts (J. Exp. Psychology 47, 1954): time = a + b log2(2D/W). b from Langolf, Chaffin & Foulke
 * (J. Motor Behavior 8, 1976): about 10 bits a second for the arm, which shifts the hand, and 23 for the wrist, which
 * carries the fingers (values from memory). Everything else is a design choice, tuned on the changes of
 * tests/route/test_move.c: a shape kept and moved must beat any change of shape, a guide finger must beat none. */
static const struct {
  float arm_bit_s, wrist_bit_s; /* b, seconds a bit */
  float hand_width_mm;          /* W when the whole hand shifts: about a fret */
  float land_width_mm;          /* W when a finger lands: about a string's width of room */
  float slide_width_mm;         /* W when a finger stays on its string */
  float hover_mm;               /* a finger in the air is at least this far from where it lands */
  float hand_s;                 /* a of a shift of the hand */
  float land_s;                 /* a of a finger that lifts and lands, pressing included */
  float slide_s;                /* a of a slide */
  float slide_part;             /* of the time by Fitts: the string leads the finger */
  float parallel_part;          /* of the shift's time when the shape is kept whole */
  float guide_part;             /* of the shift's time when some finger keeps its string */
  float each_finger_s;          /* every further finger that lands */
  float each_slide_s;           /* every finger that slides, beyond the shift */
  float lift_s;                 /* letting go, once */
  float barre_s;                /* laying a finger flat */
  float barre_released_s;
} times = {
    .arm_bit_s = 0.10F,
    .wrist_bit_s = 0.045F,
    .hand_width_mm = 32.0F,
    .land_width_mm = 10.0F,
    .slide_width_mm = 12.0F,
    .hover_mm = 8.0F,
    .hand_s = 0.05F,
    .land_s = 0.05F,
    .slide_s = 0.02F,
    .slide_part = 0.6F,
    .parallel_part = 0.5F,
    .guide_part = 0.75F,
    .each_finger_s = 0.03F,
    .each_slide_s = 0.01F,
    .lift_s = 0.02F,
    .barre_s = 0.06F,
    .barre_released_s = 0.01F,
};

/* ---- features ------------------------------------------------------------------------------------------------- */

static uint64_t bit_of_pitch(int midi) {
  int at = midi - GLN_PITCH_BASE;
  at = at < 0 ? 0 : at > 63 ? 63 : at;
  return (uint64_t)1 << at;
}

/* Fingertips: of a barre, the tip lies on its lowest string. */
static void find_fingers(const GlnInstrument *instrument, const GlnGrip *grip, GlnFeature *feature) {
  int8_t last[GLN_FINGER_SLOTS];
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    feature->string[f] = feature->fret[f] = last[f] = -1;
  for (int8_t s = 0; s < grip->frets.string_count; ++s) {
    int f = grip->fingering.finger[s] - 1;
    if (f < 0 || f >= GLN_FINGER_SLOTS || grip->frets.fret[s] <= 0)
      continue;
    last[f] = s;
    if (feature->string[f] >= 0) {
      feature->barres = (uint8_t)(feature->barres | 1U << f);
      continue;
    }
    feature->string[f] = s;
    feature->fret[f] = grip->frets.fret[s];
    feature->fingers = (uint8_t)(feature->fingers | 1U << f);
    GlnPoint tip = gln_stop_point(instrument, s, grip->frets.fret[s]);
    feature->along_mm[f] = (float)tip.along_mm;
    feature->across_mm[f] = (float)tip.across_mm;
    if (feature->lowest_fret == 0 || feature->fret[f] < feature->lowest_fret)
      feature->lowest_fret = feature->fret[f];
  }
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    if (feature->string[f] >= 0) {
      uint64_t word = (uint64_t)(feature->string[f] + 1) << 8 | (uint64_t)(last[f] + 1) << 4 |
                      (uint64_t)(feature->fret[f] - feature->lowest_fret);
      feature->shape |= word << (12 * f);
    }
}

/* At ease each finger has a fret of its own: finger f of a hand at fret p rests over fret p + f - 1. */
static void place_hand(const GlnInstrument *instrument, GlnFeature *feature) {
  float sum = 0, across = 0;
  int count = 0, stopping = 0;
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f) {
    if (feature->string[f] < 0)
      continue;
    across += feature->across_mm[f];
    ++stopping;
    if (f == THUMB)
      continue;
    sum += (float)(feature->fret[f] - f);
    ++count;
  }
  if (stopping == 0)
    return;
  const int from = gln_frets_from(instrument);
  feature->middle_mm = across / (float)stopping;
  float place = count > 0 ? sum / (float)count : (float)feature->fret[THUMB];
  feature->hand_mm = (float)gln_fret_mm(instrument, (double)place + from);
  feature->hand_fret = (int8_t)lroundf(place < 1.0F ? 1.0F : place);
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    if (feature->string[f] >= 0) {
      double rest = (double)place + (f == THUMB ? 0 : f) + from;
      float along = (float)gln_fret_mm(instrument, (double)feature->fret[f] + from);
      feature->reach_mm[f] = fabsf(along - (float)gln_fret_mm(instrument, rest));
    }
}

static void find_pitches(const GlnGrip *grip, GlnFeature *feature) {
  int8_t all[GLN_STRINGS_MAX];
  int count = 0;
  for (int s = 0; s < grip->frets.string_count; ++s) {
    if (grip->frets.fret[s] < 0)
      continue;
    int at = count++;
    for (; at > 0 && all[at - 1] > grip->midi[s]; --at)
      all[at] = all[at - 1];
    all[at] = grip->midi[s];
    feature->pitches |= bit_of_pitch(grip->midi[s]);
  }
  if (count == 0)
    return;
  feature->bass = all[0];
  feature->top = all[count - 1];
  for (int i = 1; i < count; ++i)
    if (all[i] > feature->bass) /* a doubled bass in unison is not a voice of its own */
      feature->upper[feature->upper_count++] = all[i];
  if (feature->upper_count == 0)
    feature->upper[feature->upper_count++] = feature->top;
}

static bool is_guide(const GlnTone *tone) {
  return tone->degree.number == 3 || tone->degree.number == 7;
}

static void find_guides(const GlnChord *chord, const GlnGrip *grip, GlnFeature *feature) {
  for (int s = 0; s < grip->frets.string_count; ++s) {
    if (grip->frets.fret[s] < 0 || grip->tone[s] < 0 || feature->guide_count == GLN_GUIDES_MAX)
      continue;
    if (!is_guide(&chord->tones[grip->tone[s]]))
      continue;
    uint64_t near = 0;
    for (int step = -2; step <= 2; ++step)
      near |= bit_of_pitch(grip->midi[s] + step);
    feature->guides[feature->guide_count++] = near;
  }
}

void gln_feature_make(const GlnInstrument *instrument, const GlnChord *chord, const GlnGrip *grip,
                      GlnFeature *feature) {
  memset(feature, 0, sizeof *feature);
  find_fingers(instrument, grip, feature);
  place_hand(instrument, feature);
  find_pitches(grip, feature);
  /* Guide tones of a triad are free to leap in plain accompaniment: only chords with a seventh bind theirs. */
  if (chord != NULL && !gln_chord_is_plain(chord))
    find_guides(chord, grip, feature);
}

/* ---- seconds -------------------------------------------------------------------------------------------------- */

/* log2 of x >= 1 within 0.0002: arithmetic alone, so that every machine finds the same time. */
static float log2_of(float x) {
  uint32_t bits;
  memcpy(&bits, &x, sizeof bits);
  float exponent = (float)((int)(bits >> 23) - 127);
  bits = (bits & 0x007FFFFFU) | 0x3F800000U;
  float mantissa;
  memcpy(&mantissa, &bits, sizeof mantissa);
  float z = (mantissa - 1.0F) / (mantissa + 1.0F);
  float square = z * z;
  return exponent + 2.885390F * z * (1.0F + square * (0.3333333F + square * 0.2F));
}

/* log2(2D/W), none below D = W/2, from the square of D. */
static float fitts_bits(float square_mm2, float width_mm) {
  float ratio = square_mm2 * (4.0F / (width_mm * width_mm));
  return ratio <= 1.0F ? 0.0F : 0.5F * log2_of(ratio);
}

static float shift_seconds(float shift_mm) {
  float bits = fitts_bits(shift_mm * shift_mm, times.hand_width_mm);
  return bits > 0.0F ? times.hand_s + times.arm_bit_s * bits : 0.0F;
}

static float hand_shift(const GlnFeature *from, const GlnFeature *to) {
  return from->fingers != 0 && to->fingers != 0 ? to->hand_mm - from->hand_mm : 0.0F;
}

static float square(float x) {
  return x * x;
}

/* Furthest slide and furthest landing, squared mm, and how many fingers do which. */
typedef struct Doings {
  float slide, land;
  int slides, lands;
  bool keeps_a_string;
} Doings;

static Doings find_doings(const GlnFeature *from, const GlnFeature *to, float shift) {
  Doings doings = {0, square(times.hover_mm), 0, 0, false};
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f) {
    if (to->string[f] < 0)
      continue;
    float across = to->across_mm[f], along;
    if (from->string[f] == to->string[f]) {
      doings.keeps_a_string = true;
      if (from->fret[f] == to->fret[f])
        continue;
      along = square(to->along_mm[f] - from->along_mm[f] - shift);
      doings.slide = along > doings.slide ? along : doings.slide;
      ++doings.slides;
      continue;
    }
    if (from->string[f] >= 0) {
      along = to->along_mm[f] - from->along_mm[f] - shift;
      across -= from->across_mm[f];
    } else {
      along = to->reach_mm[f];
      across -= from->fingers != 0 ? from->middle_mm : to->middle_mm;
    }
    float distance = square(along) + square(across);
    doings.land = distance > doings.land ? distance : doings.land;
    ++doings.lands;
  }
  return doings;
}

float gln_move_seconds(const GlnFeature *from, const GlnFeature *to) {
  float shift = hand_shift(from, to);
  if (from->shape == to->shape) {
    if (from->lowest_fret == to->lowest_fret)
      return 0.0F;
    return times.slide_s + times.parallel_part * shift_seconds(shift);
  }
  Doings doings = find_doings(from, to, shift);
  float seconds = shift_seconds(shift) * (doings.keeps_a_string ? times.guide_part : 1.0F);
  float slide = 0.0F, land = 0.0F;
  if (doings.slides > 0)
    slide =
        times.slide_s + times.slide_part * times.wrist_bit_s * fitts_bits(doings.slide, times.slide_width_mm);
  if (doings.lands > 0)
    land = times.land_s + times.wrist_bit_s * fitts_bits(doings.land, times.land_width_mm);
  seconds += slide > land ? slide : land;
  seconds += times.each_slide_s * (float)doings.slides;
  if (doings.lands > 1)
    seconds += times.each_finger_s * (float)(doings.lands - 1);
  if ((from->fingers & ~to->fingers) != 0)
    seconds += times.lift_s;
  if ((to->barres & ~from->barres) != 0)
    seconds += times.barre_s;
  if ((from->barres & ~to->barres) != 0)
    seconds += times.barre_released_s;
  return seconds;
}

GlnMoveFloor gln_move_floor(void) {
  const float near_mm = 60.0F, far_mm = 800.0F;
  GlnMoveFloor floor = {.free_mm = times.hand_width_mm / 2,
                        .near_mm = near_mm,
                        .guide_part = times.guide_part,
                        .parallel_part = times.parallel_part,
                        .each_s = times.each_finger_s};
  floor.far_s = shift_seconds(near_mm);
  floor.most_s = shift_seconds(far_mm);
  floor.near_slope = floor.far_s / (near_mm - floor.free_mm);
  floor.far_slope = (floor.most_s - floor.far_s) / (far_mm - near_mm);
  floor.first_s = times.land_s + times.wrist_bit_s * fitts_bits(square(times.hover_mm), times.land_width_mm) -
                  times.each_finger_s;
  return floor;
}

/* ---- moves for people ----------------------------------------------------------------------------------------- */

static void set_finger(const GlnFeature *from, const GlnFeature *to, int f, GlnMove *move) {
  bool before = from->string[f] >= 0, after = to->string[f] >= 0;
  if (!before && !after) {
    move->finger[f] = GLN_FINGER_IDLE;
  } else if (!after) {
    move->finger[f] = GLN_FINGER_LIFTS;
    move->travel_mm[f] = times.hover_mm;
  } else if (!before) {
    move->finger[f] = GLN_FINGER_LANDS;
    float across = to->across_mm[f] - (from->fingers != 0 ? from->middle_mm : to->middle_mm);
    float distance = sqrtf(square(to->reach_mm[f]) + square(across));
    move->travel_mm[f] = distance > times.hover_mm ? distance : times.hover_mm;
  } else {
    move->fret_change[f] = (int8_t)(to->fret[f] - from->fret[f]);
    move->travel_mm[f] =
        sqrtf(square(to->along_mm[f] - from->along_mm[f]) + square(to->across_mm[f] - from->across_mm[f]));
    bool same_string = from->string[f] == to->string[f];
    move->finger[f] = !same_string                ? GLN_FINGER_SHIFTS
                      : move->fret_change[f] != 0 ? GLN_FINGER_SLIDES
                                                  : GLN_FINGER_STAYS;
  }
}

GlnMove gln_move_between(const GlnInstrument *instrument, const GlnGrip *from, const GlnGrip *to) {
  GlnFeature a, b;
  gln_feature_make(instrument, NULL, from, &a);
  gln_feature_make(instrument, NULL, to, &b);
  GlnMove move = {0};
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    set_finger(&a, &b, f, &move);
  if (a.fingers != 0 && b.fingers != 0) {
    move.shift_mm = hand_shift(&a, &b);
    move.shift_frets = (int8_t)(b.hand_fret - a.hand_fret);
  }
  move.parallel = a.fingers != 0 && a.shape == b.shape && a.lowest_fret != b.lowest_fret;
  move.barre_formed = (b.barres & ~a.barres) != 0;
  move.barre_released = (a.barres & ~b.barres) != 0;
  move.seconds = gln_move_seconds(&a, &b);
  return move;
}

double gln_move_tempo(const GlnMove *move, double quarters) {
  return move->seconds > 0.0F ? 60.0 * quarters * GLN_CHANGE_SHARE / (double)move->seconds : INFINITY;
}

/* ---- words ---------------------------------------------------------------------------------------------------- */

static const char *number_word(int number) {
  static const char *const words[] = {"no",    "one",   "two",  "three", "four",   "five",  "six",
                                      "seven", "eight", "nine", "ten",   "eleven", "twelve"};
  return number < (int)GLN_COUNT_OF(words) ? words[number] : "many";
}

static void add_frets(GlnBuffer *out, int change) {
  int size = change < 0 ? -change : change;
  gln_buffer_format(out, "%s %s fret%s", change < 0 ? "down" : "up", number_word(size), size == 1 ? "" : "s");
}

static void add_finger(GlnBuffer *out, int finger) {
  if (finger == THUMB)
    gln_buffer_add_string(out, "the thumb");
  else
    gln_buffer_add_integer(out, finger + 1);
}

static void add_comma(GlnBuffer *out, size_t start) {
  if (out->length > start)
    gln_buffer_add_string(out, ", ");
}

/* "1", "1 and 4", "1, 2 and 4" */
static void add_fingers(GlnBuffer *out, unsigned fingers) {
  for (int f = 0, first = 1; f < GLN_FINGER_SLOTS; ++f) {
    if ((fingers >> f & 1U) == 0)
      continue;
    unsigned rest = fingers >> f >> 1;
    if (!first)
      gln_buffer_add_string(out, rest != 0 ? ", " : " and ");
    add_finger(out, f);
    first = 0;
  }
}

/* Fingers that lie flat now and did not before: told as such, however they got there. */
static unsigned laid_flat(const GlnFeature *from, const GlnFeature *to) {
  return to->barres & ~(unsigned)from->barres & from->fingers;
}

static unsigned fingers_that(const GlnMove *move, GlnFingerMove what) {
  unsigned fingers = 0;
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    if (move->finger[f] == what)
      fingers |= 1U << f;
  return fingers;
}

/* Fingers that slide by the same number of frets are told together. */
static void add_slides(GlnBuffer *out, size_t start, const GlnMove *move, unsigned flat) {
  unsigned left = fingers_that(move, GLN_FINGER_SLIDES) & ~flat;
  while (left != 0) {
    int change = 0;
    unsigned together = 0;
    for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
      if ((left >> f & 1U) != 0 && (change == 0 || move->fret_change[f] == change)) {
        change = move->fret_change[f];
        together |= 1U << f;
      }
    left &= ~together;
    add_comma(out, start);
    gln_buffer_add_string(out, "slide ");
    add_fingers(out, together);
    gln_buffer_add_byte(out, ' ');
    add_frets(out, change);
  }
}

static void add_place(GlnBuffer *out, const GlnInstrument *instrument, const GlnGrip *to,
                      const GlnFeature *feature, int finger) {
  int string = feature->string[finger];
  if ((feature->barres >> finger & 1U) == 0) {
    gln_buffer_format(out, "string %d at fret %d", gln_string_number(instrument, string),
                      feature->fret[finger]);
    return;
  }
  int last = string;
  for (int s = string; s < to->frets.string_count; ++s)
    if (to->fingering.finger[s] == finger + 1)
      last = s;
  gln_buffer_format(out, "strings %d to %d at fret %d", gln_string_number(instrument, string),
                    gln_string_number(instrument, last), feature->fret[finger]);
}

static void add_landings(GlnBuffer *out, size_t start, const GlnInstrument *instrument, const GlnGrip *to,
                         const GlnFeature *from, const GlnFeature *feature, const GlnMove *move) {
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f) {
    bool lands = move->finger[f] == GLN_FINGER_LANDS, shifts = move->finger[f] == GLN_FINGER_SHIFTS;
    bool flat = (laid_flat(from, feature) >> f & 1U) != 0;
    if (!lands && !shifts && !flat)
      continue;
    add_comma(out, start);
    if (flat) {
      gln_buffer_add_string(out, "lay ");
      add_finger(out, f);
      gln_buffer_add_string(out, " flat across ");
    } else if (shifts) {
      gln_buffer_add_string(out, "move ");
      add_finger(out, f);
      gln_buffer_add_string(out, (feature->barres >> f & 1U) != 0 ? " and lay it flat across " : " to ");
    } else {
      add_finger(out, f);
      gln_buffer_add_string(out, (feature->barres >> f & 1U) != 0 ? " lands flat across " : " lands on ");
    }
    add_place(out, instrument, to, feature, f);
  }
}

void gln_move_describe(const GlnInstrument *instrument, const GlnGrip *from, const GlnGrip *to,
                       const GlnMove *move, GlnBuffer *out) {
  GlnFeature a, b;
  gln_feature_make(instrument, NULL, from, &a);
  gln_feature_make(instrument, NULL, to, &b);
  size_t start = out->length;
  if (move->parallel) {
    gln_buffer_add_string(out, "keep the shape and move it ");
    add_frets(out, b.lowest_fret - a.lowest_fret);
    return;
  }
  if (a.fingers == 0 && b.fingers == 0) {
    gln_buffer_add_string(out, "open strings: nothing to stop");
    return;
  }
  unsigned flat = laid_flat(&a, &b), lifts = fingers_that(move, GLN_FINGER_LIFTS);
  unsigned stays = fingers_that(move, GLN_FINGER_STAYS) & ~flat;
  if (a.shape == b.shape) {
    gln_buffer_add_string(out, "hold the same grip");
    return;
  }
  if (stays != 0) {
    gln_buffer_add_string(out, "keep ");
    add_fingers(out, stays);
    gln_buffer_add_string(out, (stays & (stays - 1U)) != 0 ? " where they are" : " where it is");
  }
  add_slides(out, start, move, flat);
  unsigned tips = a.barres & ~(unsigned)b.barres &
                  (fingers_that(move, GLN_FINGER_STAYS) | fingers_that(move, GLN_FINGER_SLIDES));
  if (tips != 0) {
    add_comma(out, start);
    gln_buffer_add_string(out, "roll ");
    add_fingers(out, tips);
    gln_buffer_add_string(out, (tips & (tips - 1U)) != 0 ? " up onto their tips" : " up onto its tip");
  }
  add_landings(out, start, instrument, to, &a, &b, move);
  if (lifts != 0) {
    add_comma(out, start);
    gln_buffer_add_string(out, "lift ");
    add_fingers(out, lifts);
  }
}
