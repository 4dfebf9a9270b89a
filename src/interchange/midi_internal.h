/* Inside the interchange room: a Standard MIDI File as it was read, before anybody listens to it. */
#ifndef GLN_MIDI_INTERNAL_H
#define GLN_MIDI_INTERNAL_H

#include "interchange.h"

#define GLN_MIDI_PERCUSSION 9 /* channel 10 by General MIDI level 1: no pitches */

typedef struct GlnMidiNote {
  int64_t start, end; /* ticks; end > start */
  uint16_t track;
  uint8_t channel, pitch;
} GlnMidiNote;

/* A meter or a text from a tick on. */
typedef struct GlnMidiMeter {
  int64_t tick;
  GlnMeter meter;
} GlnMidiMeter;

typedef struct GlnMidiText {
  int64_t tick;
  GlnText text;
} GlnMidiText;

typedef struct GlnMidiFile {
  double quarters_a_tick;
  int format;
  size_t track_count;
  GlnMidiNote *notes; /* by start, then pitch; none of percussion */
  size_t note_count;
  GlnMidiMeter *meters; /* by tick */
  size_t meter_count;
  GlnMidiText *markers; /* by tick; text in UTF-8 */
  size_t marker_count;
  GlnText title;
  double tempo; /* quarter notes a minute, the first that is told, else 120 */
  size_t tempo_changes;
  bool has_key; /* the first that is told */
  GlnKey key;
  size_t key_changes, percussion, texts, controls, bends; /* what was heard of, and has no place in a chart */
} GlnMidiFile;

/* Reads formats 0 and 1. What can be mended is, with a warning; GLN_INPUT for what is no such file, GLN_LIMIT, GLN_MEMORY.
 * Files are no text, so places are told in words: track and byte. */
GLN_MUST_USE GlnStatus gln_midi_file_read(GlnText bytes, GlnArena *arena, GlnDiags *diags,
                                          GlnMidiFile **file);

/* ---- listening ---- */

typedef struct GlnMidiBeat {
  double start, length; /* quarter notes */
  float weight[12];
  float late[12]; /* of it: of notes that begin in the beat's second half */
  uint16_t early; /* classes struck in its first half */
  float total;
  int8_t lowest[12]; /* lowest pitch of each class, 0 none */
  int8_t bass;       /* lowest pitch, 0: silence */
  uint16_t classes;
  bool block; /* three classes or more are struck together: a chord as it is meant, not a part of one */
  uint32_t bar;
  uint16_t in_bar, bar_beats;
} GlnMidiBeat;

typedef struct GlnMidiHearing {
  const GlnMidiFile *file;
  const GlnNamer *namer;
  GlnArena *arena;
  GlnDiags *diags;
  GlnMidiSong *song;
  GlnMidiBeat *beats;
  size_t beat_count;
  float *name_costs; /* by bass, set and whether it is high; 0 unknown, else the cost plus one */
  bool *is_tune;     /* by voice: track, or channel where there is one track */
} GlnMidiHearing;

/* An error about the whole file; returns status. */
GlnStatus gln_midi_refuse(const GlnMidiHearing *hearing, GlnStatus status, const char *problem,
                          const char *advice);
double gln_midi_quarters(const GlnMidiFile *file, int64_t tick);
/* The last beat that begins at or before the place; the first where none does. */
size_t gln_midi_beat_at(const GlnMidiHearing *hearing, double quarters);
/* Bars and beats of the file, with what sounds in each. GLN_LIMIT past GLN_CHART_BARS_MAX, GLN_MEMORY. */
GLN_MUST_USE GlnStatus gln_midi_beats_fill(GlnMidiHearing *hearing);
/* How many of the notes begin near a half or a third of a beat. */
double gln_midi_share_on_beat(const GlnMidiHearing *hearing);

#endif
