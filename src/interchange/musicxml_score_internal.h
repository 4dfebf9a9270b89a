/* Inside the score reader: its state, shared by the file that gathers bars and the one that reads a measure. */
#ifndef GLN_MUSICXML_SCORE_INTERNAL_H
#define GLN_MUSICXML_SCORE_INTERNAL_H

#include "musicxml_internal.h"

typedef struct Part {
  const GlnXmlNode **measures;
  size_t count, chord_count;
  /* What goes on from bar to bar. */
  double divisions; /* a quarter note */
  GlnMeter meter;
  GlnKey key;                    /* as it sounds */
  int steps, semitones, octaves; /* from what is written to what sounds */
} Part;

typedef struct ScoreReader {
  const GlnXmlNode *root;
  GlnArena *arena;
  GlnDiags *diags;
  GlnScore *score;
  Part *parts;
  size_t part_count, bar_count, chord_part;
  size_t chord_capacity, note_capacity; /* of the bar's arrays, for the chord part */
  int repeated_bars; /* a sign says to play so many bars again, from its bar on; 0: none does */
  bool opens_next;   /* a repeat opens at the right of this bar: the next begins it */
  bool told_divisions, told_durations;
  double last_tempo;
  size_t feels_tried;
} ScoreReader;

/* One measure of one part into its bar. */
GLN_MUST_USE GlnStatus gln_score_measure_read(ScoreReader *reader, size_t part, size_t bar);
/* Signs over and between bars: barlines, directions, sound. */
void gln_score_sign_read(ScoreReader *reader, const GlnXmlNode *node, size_t bar);

#endif
