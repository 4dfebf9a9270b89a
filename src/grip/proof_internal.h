/* What the files of proof-reading share. */
#ifndef GLN_PROOF_INTERNAL_H
#define GLN_PROOF_INTERNAL_H

#include "grip_internal.h"

/* The notes of a shape against a chord. */
typedef struct GlnHeard {
  uint16_t classes;
  uint8_t foreign_strings;
  int8_t bass_string; /* -1 when nothing sounds */
  int bass_class, voices;
  bool bass_free; /* no bass is asked for */
} GlnHeard;

/* How unlikely a slip is, and how unlikely a grip: larger is less likely (proof_tables.c). */
typedef struct GlnSlipCosts {
  float fret;                        /* one fret off */
  float ten;                         /* ten frets off (a 1 lost or added), or twelve */
  float digit, digit_per_fret;       /* another digit, and for each fret that it is off */
  float digit_lost, digit_added;     /* x typed for a fret; a fret typed for x */
  float swap, swap_apart;            /* neighbours in each other's place; strings farther apart */
  float note_over, shape_over;       /* a note, the shape, one string over */
  float position, position_per_fret; /* along the neck; for each fret */
  float reversed;

  float hard, strained;            /* the grip's difficulty; past this hand, for a wider one */
  float some_silent, inner_silent; /* any silent string; each between sounding ones */
  float silent_high;               /* each above the last that sounds */
  float thin;                      /* three strings or fewer */
  float open, open_far;  /* each open string beside stopped ones; under a shape that lies up the neck */
  float up_neck;         /* each fret up to the first finger */
  float span, wide_span; /* each fret between the outermost fingers; more of them than most grips have */
  float gap, wide_gap;   /* a step of more than a fifth from string to string; of more than an octave */
  float doubled,
      unison;     /* each further string with a tone that is neither root nor 5th; with the same pitch */
  float inverted; /* another tone than the root lies lowest */
  float rootless;
  float left_fifth, left_out; /* the 5th, each other tone of the chord that does not sound */
} GlnSlipCosts;

float gln_digit_cost(int from, int to); /* of a fret read, -1 for x, where another was meant */
/* How unlikely it is that this right grip was meant, the slip apart. */
float gln_likely_cost(const GlnChord *chord, const GlnInstrument *instrument, const GlnHeard *heard,
                      const GlnSuggestion *suggestion);

extern const GlnSlipCosts gln_slip_costs;

#endif
