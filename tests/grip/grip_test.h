/* Helpers of the grip room's tests. Include after cmocka.h. */
#ifndef GRIP_TEST_H
#define GRIP_TEST_H

#include "grip.h"

#include <string.h>

static inline GlnFrets frets_of(const char *text) {
  GlnFrets frets;
  assert_int_equal(gln_frets_parse(gln_text(text), &frets, NULL), GLN_OK);
  return frets;
}

static inline GlnChord chord_of(const char *symbol) {
  GlnChord chord;
  assert_int_equal(gln_chord_parse(gln_text(symbol), &chord, NULL), GLN_OK);
  return chord;
}

static inline GlnInstrument ukulele(void) {
  GlnInstrument instrument = gln_instrument_defaults();
  assert_int_equal(gln_instrument_tune(GLN_TEXT("ukulele"), &instrument), GLN_OK);
  instrument.scale_mm = 345; /* soprano; common practice, no published source */
  instrument.nut_spacing_mm = 9;
  instrument.bridge_spacing_mm = 13;
  instrument.fret_count = 15;
  return instrument;
}

static inline void assert_near(double value, double expected, double tolerance) {
  if (!(value >= expected - tolerance && value <= expected + tolerance))
    fail_msg("%ld micro-units, expected %ld", (long)(value * 1e6), (long)(expected * 1e6));
}

#endif
