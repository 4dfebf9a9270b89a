/* Every note a hand can reach, rendered and listened to: is it in tune? */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "audio_help.h"
#include "grip.h"

/* A scale of grips: every string from open to the twelfth fret, a note after the other. */
#define FRETS      13
#define NOTE_MS    700
#define SPACING_MS 1000
/* Listened to: after the pluck, before the note ends. */
#define FROM_MS   150
#define WINDOW_MS 400
#define CENTS_MAX 10.0

static double correlation(const float *samples, size_t count, size_t lag) {
  double product = 0, here = 0, there = 0;
  for (size_t i = 0; i + lag < count; i++) {
    double a = (double)samples[2 * i], b = (double)samples[2 * (i + lag)];
    product += a * b;
    here += a * a;
    there += b * b;
  }
  return here > 0 && there > 0 ? product / sqrt(here * there) : 0;
}

/* The lag of the peak near this one, between samples by a parabola. */
static double peak_near(const float *samples, size_t count, size_t lag, size_t reach) {
  size_t best = lag - reach;
  double highest = -1;
  for (size_t i = lag - reach; i <= lag + reach; i++) {
    double value = correlation(samples, count, i);
    if (value > highest) {
      highest = value;
      best = i;
    }
  }
  double before = correlation(samples, count, best - 1), after = correlation(samples, count, best + 1);
  double bend = before - 2 * highest + after;
  return (double)best + (bend < 0 ? 0.5 * (before - after) / bend : 0);
}

/* The fundamental by autocorrelation: the shortest lag that is nearly as good as the best, refined over as many periods
 * as half of the window holds, never as far as the peak beside. */
static double fundamental(const float *samples, size_t count) {
  enum { SHORTEST = 40, LONGEST = 800 };
  double values[LONGEST + 1], highest = 0;
  for (size_t lag = SHORTEST; lag <= LONGEST; lag++) {
    values[lag] = correlation(samples, count, lag);
    highest = fmax(highest, values[lag]);
  }
  size_t first = SHORTEST + 1;
  while (first < LONGEST && !(values[first] > 0.95 * highest && values[first] >= values[first - 1] &&
                              values[first] >= values[first + 1]))
    first++;
  double period = peak_near(samples, count, first, 1);
  for (size_t times = 2; (double)times * period < (double)count / 2; times *= 2)
    period = peak_near(samples, count, (size_t)lround(period * (double)times), 2 + first / 8) / (double)times;
  return GLN_AUDIO_RATE / period;
}

static void test_every_note_is_in_tune(void **state) {
  Made *made = *state;
  GlnInstrument instrument = gln_instrument_defaults();
  int at = 0;
  for (int string = 0; string < instrument.string_count; string++)
    for (int fret = 0; fret < FRETS; fret++, at += SPACING_MS)
      made_note(made, string, gln_sounding_midi(&instrument, string, fret), at, NOTE_MS, 80);
  Decoded decoded = render_decoded(made, &made->performance, GLN_AUDIO_WAV);
  double worst = 0;
  for (size_t i = 0; i < made->performance.count; i++) {
    int midi = made->notes[i].midi;
    /* ISO 16: A4 is 440 Hz; equal temperament. */
    double wanted = 440 * pow(2, (midi - 69) / 12.0);
    size_t from = (i * SPACING_MS + FROM_MS) * GLN_AUDIO_RATE / 1000;
    assert_true(from + WINDOW_MS * GLN_AUDIO_RATE / 1000 < decoded.frames);
    double heard = fundamental(decoded.samples + 2 * from, WINDOW_MS * GLN_AUDIO_RATE / 1000);
    double cents = 1200 * log2(heard / wanted);
    worst = fmax(worst, fabs(cents));
    if (fabs(cents) > CENTS_MAX)
      print_message("MIDI note %d is off by %d cents\n", midi, (int)lround(cents));
  }
  print_message("the worst of %zu notes is off by %d tenths of a cent\n", made->performance.count,
                (int)lround(10 * worst));
  assert_true(worst <= CENTS_MAX);
  free(decoded.samples);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_every_note_is_in_tune, made_setup, made_teardown),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
