/* How loud something is: ITU-R BS.1770-4, for stereo at 44.1 kHz. */
#include "audio_internal.h"

#include <math.h>

/* The two stages of the K-weighting, a shelf for the head and a high pass. Tables 1 and 2 of BS.1770-4 print them for
 * 48 kHz; these are the same analogue filters (1681.97 Hz, Q 0.70718, 3.99984 dB; 38.1355 Hz, Q 0.50033) by the same
 * bilinear transform at 44.1 kHz. The tests compare their response with that of the printed ones. */
typedef struct Biquad {
  double b0, b1, b2, a1, a2;
} Biquad;
static const Biquad shelf = {1.5308412300503478, -2.6509799951547297, 1.169079079921587, -1.6636551132560204,
                             0.7125954280732254};
static const Biquad high_pass = {1.0, -2.0, 1.0, -1.989169673629796, 0.9891990357870393};

/* Blocks of 400 ms that overlap by three quarters: four steps of 100 ms. */
#define STEP_FRAMES    4410.0 /* as a divisor */
#define STEPS_IN_BLOCK 4
#define ABSOLUTE_GATE  (-70.0) /* LUFS */
#define RELATIVE_GATE  (-10.0) /* LU under the mean of what passes the absolute gate */
#define OFFSET         (-0.691)

_Static_assert(GLN_AUDIO_RATE == 44100 && GLN_LOUDNESS_STEP_FRAMES == GLN_AUDIO_RATE / 10,
               "the filters and the steps are those of 44.1 kHz");

/* Transposed direct form II. */
static inline double filter(const Biquad *biquad, GlnFilterState *state, double in) {
  double out = biquad->b0 * in + state->z1;
  state->z1 = biquad->b1 * in - biquad->a1 * out + state->z2;
  state->z2 = biquad->b2 * in - biquad->a2 * out;
  return out;
}

GlnStatus gln_loudness_begin(GlnLoudness *loudness, int64_t frames, GlnArena *arena) {
  *loudness = (GlnLoudness){.step_capacity = (size_t)frames / GLN_LOUDNESS_STEP_FRAMES};
  loudness->steps = GLN_NEW(arena, double, loudness->step_capacity);
  return loudness->steps ? GLN_OK : GLN_MEMORY;
}

/* Frames of one step. What changes with every sample is kept out of memory: this is a tenth of all the work. */
static void add_frames(GlnLoudness *loudness, const float *samples, size_t frames) {
  GlnFilterState shelves[2] = {loudness->shelf[0], loudness->shelf[1]},
                 passes[2] = {loudness->high_pass[0], loudness->high_pass[1]};
  double sum = 0;
  float peak = 0;
  for (size_t i = 0; i < 2 * frames; i += 2) {
    float left = fabsf(samples[i]), right = fabsf(samples[i + 1]);
    peak = left > peak ? left : peak;
    peak = right > peak ? right : peak;
    double a = filter(&high_pass, &passes[0], filter(&shelf, &shelves[0], (double)samples[i]));
    double b = filter(&high_pass, &passes[1], filter(&shelf, &shelves[1], (double)samples[i + 1]));
    sum += a * a + b * b;
  }
  for (size_t channel = 0; channel < 2; channel++) {
    loudness->shelf[channel] = shelves[channel];
    loudness->high_pass[channel] = passes[channel];
  }
  loudness->sum += sum;
  loudness->peak = fmax(loudness->peak, (double)peak);
}

void gln_loudness_add(GlnLoudness *loudness, const float *samples, size_t frames) {
  while (frames > 0) {
    size_t left = GLN_LOUDNESS_STEP_FRAMES - loudness->frames_in_step, count = frames < left ? frames : left;
    add_frames(loudness, samples, count);
    samples += 2 * count;
    frames -= count;
    loudness->frames_in_step += count;
    if (count < left)
      continue;
    if (loudness->step_count < loudness->step_capacity)
      loudness->steps[loudness->step_count++] = loudness->sum / STEP_FRAMES;
    loudness->sum = 0;
    loudness->frames_in_step = 0;
  }
}

void gln_loudness_halve(GlnLoudness *first, int64_t frame, GlnLoudness *second) {
  size_t steps = (size_t)frame / GLN_LOUDNESS_STEP_FRAMES;
  *second = (GlnLoudness){.steps = first->steps + steps, .step_capacity = first->step_capacity - steps};
  first->step_capacity = steps;
}

void gln_loudness_join(GlnLoudness *first, const GlnLoudness *second) {
  first->step_count += second->step_count; /* side by side since they were halved */
  first->step_capacity += second->step_capacity;
  first->peak = fmax(first->peak, second->peak);
}

static double lufs(double mean_square) {
  return mean_square > 0 ? OFFSET + 10.0 * log10(mean_square) : (double)-INFINITY;
}

/* Mean square of the blocks that are louder than the gate; 0 when none is. */
static double gated(const GlnLoudness *loudness, double gate) {
  double sum = 0;
  size_t count = 0;
  for (size_t i = 0; i + STEPS_IN_BLOCK <= loudness->step_count; i++) {
    double block = 0;
    for (size_t step = 0; step < STEPS_IN_BLOCK; step++)
      block += loudness->steps[i + step] / STEPS_IN_BLOCK;
    if (lufs(block) <= gate)
      continue;
    sum += block;
    count++;
  }
  return count ? sum / (double)count : 0;
}

double gln_loudness_integrated(const GlnLoudness *loudness) {
  double above = lufs(gated(loudness, ABSOLUTE_GATE));
  double gate = fmax(ABSOLUTE_GATE, above + RELATIVE_GATE);
  return lufs(gated(loudness, gate));
}
