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
} GlnHeard;

/* How unlikely a slip is, and how unlikely a grip: larger is less likely (proof_tables.c). */
typedef struct GlnSlipCosts {
  float fret;                    /* one fret off */
  float ten;                     /* ten frets off (a 1 lost or added), or twelve */
  float digit, digit_per_fret;   /* another digit, and for each fret that it is off */
  float digit_lost, digit_added; /* x typed for a fret; a fret typed for x */
  float swap, swap_apart;        /* neighbours in each other's place; strings farther apart */
  float note_over, shape_over;   /* a note, the shape, one string over */
  float position, position_per_fret,
      position_open; /* along the neck; for each fret; with open strings in it */
  float reversed;
  float hard, strained;       /* the grip's difficulty; past this hand, for a wider one */
  float inner_silent, silent; /* each silent string between sounding ones; each silent string */
  float open_far;             /* open strings under a shape that lies up the neck */
  float inverted;             /* another tone than the root lies lowest */
  float rootless;
  float left_out; /* each tone of the chord that does not sound */
} GlnSlipCosts;

extern const GlnSlipCosts gln_slip_costs;

#endif
