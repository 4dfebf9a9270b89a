/* Strings, frets and where a fingertip stands. */
#include "grip_internal.h"

#include <math.h>

GlnInstrument gln_instrument_defaults(void) {
  return (GlnInstrument){
      .string_count = 6,
      .open_midi = {40, 45, 50, 55, 59, 64}, /* E2 A2 D3 G3 B3 E4 */
      .scale_mm = 650,
      .nut_spacing_mm = 8.6, /* 43 mm over six strings on a 52 mm nut; common practice, no published source */
      .bridge_spacing_mm = 11.6, /* 58 mm over six strings; common practice, no published source */
      .capo = 0,
      .fret_count = 19,
  };
}

double gln_fret_mm(const GlnInstrument *instrument, double fret) {
  return instrument->scale_mm * (1.0 - exp2(-fret / 12.0)); /* equal temperament */
}

int gln_instrument_frets(const GlnInstrument *instrument) {
  int frets = instrument->fret_count - gln_frets_from(instrument);
  return frets < 0 ? 0 : frets > GLN_FRETS_MAX ? GLN_FRETS_MAX : frets;
}

GlnPoint gln_stop_point(const GlnInstrument *instrument, int string, int fret) {
  int from = gln_frets_from(instrument);
  double wire = gln_fret_mm(instrument, from + (fret > 0 ? fret : 0));
  double back = 0;
  if (fret > 0) {
    double space = wire - gln_fret_mm(instrument, from + fret - 1);
    back = fmin(gln_hold_weights.stop_back_mm, space / 2);
  }
  double along = wire - back;
  double spacing = instrument->nut_spacing_mm + (instrument->bridge_spacing_mm - instrument->nut_spacing_mm) *
                                                    along / instrument->scale_mm;
  double middle = (instrument->string_count - 1) / 2.0; /* strings fan out from the neck's middle line */
  return (GlnPoint){along, middle * instrument->nut_spacing_mm + (string - middle) * spacing};
}

int gln_string_number(const GlnInstrument *instrument, int string) {
  return instrument->string_count - string;
}
