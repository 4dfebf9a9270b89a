/* Inside the harmony room: choosing few chords for many places. */
#ifndef GLN_FEWER_CHORDS_H
#define GLN_FEWER_CHORDS_H

#include "harmony_internal.h"

#define GLN_CHORD_CHOICES_MAX 128

typedef struct GlnChordChoices {
  GlnChord chords[GLN_CHORD_CHOICES_MAX];
  size_t count;
} GlnChordChoices;

/* Items that each take one of the choices, at most so many different ones, at the least total cost: the p-median
 * problem. */
typedef struct GlnMedian {
  size_t items, choices, most;
  double *cost;        /* items × choices; none negative */
  size_t *choice_of;   /* out */
  double total, bound; /* out: no answer is cheaper than the bound */
} GlnMedian;
GLN_MUST_USE GlnStatus gln_median_solve(GlnMedian *median, GlnArena *arena);

#endif
