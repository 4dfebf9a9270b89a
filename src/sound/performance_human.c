/* A hand is no machine: small shifts of time and force. All in whole numbers, so the same seed gives the same notes on
 * every machine. */
#include "sound_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Design choices, by the ear of no one and the size of what is measured in players: deviations of a few milliseconds that
 * drift together, as Hennig, Fleischmann & Geisel describe (Physics Today 65(7), 2012; value from memory). */
#define DRIFT_MS        4.0 /* of both hands, from stroke to stroke */
#define HAND_MS         4.0 /* of one hand's stroke */
#define STRING_MS       1.5 /* of one string in it */
#define DRIFT_HOLD      0.8 /* how much of the drift stays from stroke to stroke */
#define FORCE_SPREAD    5.0
#define TICKS_A_QUARTER 3840 /* times stay simple fractions */

/* SplitMix64: Steele, Lea & Flood 2014. */
static uint64_t draw(uint64_t *state) {
  uint64_t z = *state += 0x9E3779B97F4A7C15U;
  z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9U;
  z = (z ^ z >> 27) * 0x94D049BB133111EBU;
  return z ^ z >> 31;
}

/* From -1 to 1, mostly near 0: the mean of four even draws. */
static double draw_bell(uint64_t *state) {
  int64_t sum = 0;
  for (int i = 0; i < 4; i++)
    sum += (int64_t)(draw(state) >> 44) - (1 << 19);
  return (double)sum / (double)(1 << 21);
}

static double tempo_at(const GlnPerformance *performance, GlnRatio time) {
  double tempo = performance->tempo;
  for (size_t i = 0; i < performance->tempo_count; i++)
    if (gln_ratio_compare(performance->tempos[i].start, time) <= 0)
      tempo = performance->tempos[i].tempo;
  return tempo;
}

typedef struct Feeling {
  uint64_t state;
  double drift;
  GlnRatio time; /* of the stroke that is felt now */
  double hand[GLN_PLAYER_COUNT];
  bool begun;
} Feeling;

/* Both hands feel anew at every moment at which something is plucked. */
static void feel_moment(Feeling *feeling, GlnRatio time) {
  if (feeling->begun && gln_ratio_compare(feeling->time, time) == 0)
    return;
  feeling->begun = true;
  feeling->time = time;
  feeling->drift = DRIFT_HOLD * feeling->drift + (1 - DRIFT_HOLD) * 2.5 * draw_bell(&feeling->state);
  for (int i = 0; i < GLN_PLAYER_COUNT; i++)
    feeling->hand[i] = draw_bell(&feeling->state);
}

static GlnRatio shift_of(Feeling *feeling, const GlnSounding *note, double tempo) {
  double ms = DRIFT_MS * feeling->drift + HAND_MS * 2 * feeling->hand[note->player] +
              STRING_MS * draw_bell(&feeling->state);
  ms = fmax(-GLN_HUMAN_MS_MAX, fmin(GLN_HUMAN_MS_MAX, ms));
  return gln_ratio(lround(ms / 1000 * tempo / 60 * TICKS_A_QUARTER), TICKS_A_QUARTER);
}

static int8_t force_of(Feeling *feeling, int force) {
  long changed = force + lround(FORCE_SPREAD * 2 * draw_bell(&feeling->state));
  return (int8_t)(changed < 1 ? 1 : changed > INT8_MAX ? INT8_MAX : changed);
}

static GlnRatio end_of(const GlnSounding *note) {
  return gln_ratio_add(note->start, note->quarters);
}

/* Sets the note's start, if that leaves it between the note before on its string and its own end. */
static void move_start(GlnSounding *note, GlnSounding *before, GlnRatio shift) {
  GlnRatio start = gln_ratio_add(note->start, shift), end = end_of(note);
  if (start.num < 0 || gln_ratio_compare(start, end) >= 0)
    return;
  if (before) {
    if (gln_ratio_compare(start, before->start) <= 0)
      return;
    /* A note that the string's next pluck stopped is stopped by it still; none rings into it. */
    bool touched = gln_ratio_compare(end_of(before), note->start) == 0;
    if (touched || gln_ratio_compare(end_of(before), start) > 0)
      before->quarters = gln_ratio_subtract(start, before->start);
  }
  note->start = start;
  note->quarters = gln_ratio_subtract(end, start);
}

static int by_start(const void *left, const void *right) {
  const GlnSounding *a = left, *b = right;
  int order = gln_ratio_compare(a->start, b->start);
  order = order ? order : (int)a->string - (int)b->string;
  return order ? order : (int)a->midi - (int)b->midi;
}

GlnStatus gln_performance_humanise(GlnPerformance *performance, uint32_t seed, GlnArena *arena) {
  GlnSounding *notes = GLN_NEW(arena, GlnSounding, performance->count);
  if (!notes)
    return GLN_MEMORY;
  if (performance->count)
    memcpy(notes, performance->notes, performance->count * sizeof *notes);
  Feeling feeling = {.state = seed};
  GlnSounding *last[GLN_STRINGS_MAX] = {NULL};
  for (size_t i = 0; i < performance->count; i++) {
    GlnSounding *note = &notes[i];
    if (note->string < 0)
      continue;
    feel_moment(&feeling, performance->notes[i].start);
    note->force = force_of(&feeling, note->force);
    GlnRatio shift = shift_of(&feeling, note, tempo_at(performance, note->start));
    move_start(note, last[note->string], shift);
    last[note->string] = note;
  }
  if (performance->count)
    qsort(notes, performance->count, sizeof *notes, by_start);
  performance->notes = notes;
  return GLN_OK;
}
