/* interchange: files that other programs read and write — Standard MIDI File.
 *
 * Needs base, theory, grip, song, route, sound. Pure: bytes go into a buffer; files are the app's. */
#ifndef GLN_INTERCHANGE_H
#define GLN_INTERCHANGE_H

#include "base.h"
#include "sound.h"
#include "theory.h"

/* ---- Standard MIDI File 1.0, format 1 ---------------------------------------------------------------- */

#define GLN_MIDI_DIVISION 960 /* ticks a quarter note: exact for triplets, quintuplets and 64ths */

/* Words at a place of the song: a section's name, a chord's symbol. */
typedef struct GlnMidiMark {
  GlnRatio start; /* quarter notes from the song's start: the lead-in is added by the writer */
  GlnText text;   /* UTF-8, written as it is */
} GlnMidiMark;

typedef struct GlnMidiOptions {
  GlnText title; /* name of the first track */
  GlnText by;    /* a text event */
  bool has_key;
  GlnKey key;
  const GlnMidiMark *marks; /* by start; may be NULL */
  size_t mark_count;
} GlnMidiOptions;

/* The performance as a MIDI file: a track of tempo, meters, key and marks, then one track each for thumb,
 * fingers and click where they play. A string is a channel (string 1, the highest, is channel 1), so it stops
 * itself and nothing else; the click is on channel 10. Nylon guitar (General MIDI program 25, number 24 on
 * the wire). Times are rounded to ticks; a note shorter than half a tick is left out. GLN_LIMIT when a
 * silence is too long for the format or the tempo is out of bounds, GLN_MEMORY. */
GLN_MUST_USE GlnStatus gln_midi_write(const GlnPerformance *performance, const GlnMidiOptions *options,
                                      GlnBuffer *out);

#endif
