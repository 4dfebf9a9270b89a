/* How near two keys sound: the correlation of their probe-tone profiles, as published by Krumhansl and Kessler (1982).
 * The ratings are values from memory; tests/harmony/test_pitch_space.c checks the published correlations. */
#include "harmony_internal.h"

#include <math.h>

/* How well each note of the octave, from the tonic up, was heard to fit the key: 1 not at all, 7 very well. */
static const double profiles[2][12] = {
    {6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88},
    {6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17},
};

static double mean_of(const double profile[12]) {
  double sum = 0.0;
  for (int i = 0; i < 12; i++)
    sum += profile[i];
  return sum / 12.0;
}

double gln_key_nearness(GlnKey a, GlnKey b) {
  const double *of_a = profiles[a.minor], *of_b = profiles[b.minor];
  int tonic_a = gln_note_pitch_class(a.tonic), tonic_b = gln_note_pitch_class(b.tonic);
  double mean_a = mean_of(of_a), mean_b = mean_of(of_b), product = 0.0, square_a = 0.0, square_b = 0.0;
  for (int note = 0; note < 12; note++) {
    double off_a = of_a[(note - tonic_a + 12) % 12] - mean_a,
           off_b = of_b[(note - tonic_b + 12) % 12] - mean_b;
    product += off_a * off_b;
    square_a += off_a * off_a;
    square_b += off_b * off_b;
  }
  return product / sqrt(square_a * square_b);
}
