#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "audio_internal.h"

#include <math.h>

/* EBU Tech 3341, table 1: stereo sines of 1000 Hz with these peaks for these times must read so, to within 0.1 LU. Values
 * from memory. */
typedef struct Part {
  double dbfs, seconds;
} Part;

typedef struct Case {
  Part parts[6];
  double lufs;
} Case;

static const Case cases[] = {
    {{{-23, 20}}, -23},
    {{{-33, 20}}, -33},
    {{{-36, 10}, {-23, 60}, {-36, 10}}, -23},
    {{{-72, 10}, {-36, 10}, {-23, 60}, {-36, 10}, {-72, 10}}, -23},
    {{{-26, 20}, {-20, 20.1}, {-26, 20}}, -23},
};

static void measure_parts(const Part *parts, GlnArena *arena, GlnLoudness *loudness) {
  static float samples[2 * GLN_AUDIO_RATE / 10];
  size_t frames = 0, done = 0;
  for (int i = 0; i < 6; i++)
    frames += (size_t)lround(parts[i].seconds * GLN_AUDIO_RATE);
  assert_int_equal(gln_loudness_begin(loudness, (int64_t)frames, arena), GLN_OK);
  for (int i = 0; i < 6; i++) {
    size_t left = (size_t)lround(parts[i].seconds * GLN_AUDIO_RATE);
    double peak = pow(10, parts[i].dbfs / 20);
    while (left > 0) {
      size_t count = left < GLN_AUDIO_RATE / 10 ? left : GLN_AUDIO_RATE / 10;
      for (size_t k = 0; k < count; k++, done++)
        samples[2 * k] = samples[2 * k + 1] =
            (float)(peak * sin(2 * acos(-1) * 1000 * (double)done / GLN_AUDIO_RATE));
      gln_loudness_add(loudness, samples, count);
      left -= count;
    }
  }
}

static void test_tones_read_as_published(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(cases); i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnLoudness loudness;
    measure_parts(cases[i].parts, arena, &loudness);
    double lufs = gln_loudness_integrated(&loudness);
    if (fabs(lufs - cases[i].lufs) > 0.1)
      fail_msg("case %zu reads %d hundredths of a LUFS", i + 1, (int)lround(100 * lufs));
    gln_arena_free(arena);
  }
}

/* How strongly a filter of BS.1770-4 as printed, for 48 kHz, passes a tone: the square of its response. */
static double printed_power(const double b[3], const double a[2], double hertz) {
  double w = 2 * acos(-1) * hertz / 48000;
  double top_real = b[0] + b[1] * cos(w) + b[2] * cos(2 * w),
         top_imaginary = b[1] * sin(w) + b[2] * sin(2 * w);
  double low_real = 1 + a[0] * cos(w) + a[1] * cos(2 * w), low_imaginary = a[0] * sin(w) + a[1] * sin(2 * w);
  return (top_real * top_real + top_imaginary * top_imaginary) /
         (low_real * low_real + low_imaginary * low_imaginary);
}

/* Tables 1 and 2 of ITU-R BS.1770-4. A tone of amplitude A on two channels is -0.691 + 10 log10(A² K²) LUFS. */
static void test_weighting_is_the_printed_one(void **state) {
  (void)state;
  static const double shelf_b[3] = {1.53512485958697, -2.69169618940638, 1.19839281085285},
                      shelf_a[2] = {-1.69065929318241, 0.73248077421585}, high_b[3] = {1, -2, 1},
                      high_a[2] = {-1.99004745483398, 0.99007225036621};
  static const double hertz[] = {30, 60, 100, 250, 500, 1000, 1500, 2000, 4000, 8000, 12000, 16000};
  static float samples[2 * GLN_AUDIO_RATE];
  for (size_t i = 0; i < GLN_COUNT_OF(hertz); i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnLoudness loudness;
    assert_int_equal(gln_loudness_begin(&loudness, (int64_t)5 * GLN_AUDIO_RATE, arena), GLN_OK);
    for (int second = 0; second < 5; second++) { /* a whole number of periods in each */
      for (size_t k = 0; k < GLN_AUDIO_RATE; k++)
        samples[2 * k] = samples[2 * k + 1] =
            (float)(0.1 * sin(2 * acos(-1) * hertz[i] * (double)k / GLN_AUDIO_RATE));
      gln_loudness_add(&loudness, samples, GLN_AUDIO_RATE);
    }
    double power = printed_power(shelf_b, shelf_a, hertz[i]) * printed_power(high_b, high_a, hertz[i]);
    double wanted = -0.691 + 10 * log10(0.01 * power), read = gln_loudness_integrated(&loudness);
    if (fabs(read - wanted) > 0.02)
      fail_msg("%d Hz reads %d hundredths of a LU off", (int)hertz[i], (int)lround(100 * (read - wanted)));
    gln_arena_free(arena);
  }
}

static void test_silence_has_no_loudness(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnLoudness loudness;
  const Part quiet[6] = {{-90, 5}};
  measure_parts(quiet, arena, &loudness);
  assert_true(isinf(gln_loudness_integrated(&loudness)));
  assert_true(fabs(loudness.peak - pow(10, -4.5)) < 1e-6);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_tones_read_as_published),
      cmocka_unit_test(test_weighting_is_the_printed_one),
      cmocka_unit_test(test_silence_has_no_loudness),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
