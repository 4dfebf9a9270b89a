/* sound: the right hand's feels, and the performance — who sounds when.
 *
 * Needs base, theory, grip. Pure: a performance is a list in memory; MIDI and audio files are written from it.
 * Knows no songs: the app hands it grips with their times. */
#ifndef GLN_SOUND_H
#define GLN_SOUND_H

#include "base.h"
#include "grip.h"
#include "theory.h"

/* One grip held for a while. */
typedef struct GlnHeld {
  const GlnGrip *grip;        /* NULL: silence */
  const GlnChord *chord;      /* NULL with silence */
  GlnRatio start, quarters;   /* quarter notes from the song's start, and length */
  int16_t meter_beats, meter_unit;
  GlnRatio bar_start;         /* start of the bar it lies in, quarter notes */
} GlnHeld;

typedef enum GlnPlayer { GLN_PLAYER_THUMB, GLN_PLAYER_FINGERS, GLN_PLAYER_CLICK } GlnPlayer;

/* One sounding note of a performance. */
typedef struct GlnSounding {
  GlnRatio start, quarters; /* quarter notes */
  int8_t string;            /* string index; -1 for the click */
  int8_t midi;              /* pitch 0..127 */
  int8_t force;             /* 1..127, as MIDI velocity */
  GlnPlayer player;
} GlnSounding;

typedef struct GlnPerformance {
  GlnSounding *notes; /* by start, then string */
  size_t count;
  double tempo;       /* quarter notes a minute */
  GlnRatio quarters;  /* whole length */
} GlnPerformance;

typedef struct GlnFeel GlnFeel;
/* A feel from the text of a .feel file (docs/feels.md); faults go to diags. Lives in the arena. */
GLN_MUST_USE GlnStatus gln_feel_read(GlnText source, GlnArena *arena, GlnDiags *diags, GlnFeel **feel);
GlnText gln_feel_name(const GlnFeel *feel);

/* The performance of held grips with a feel. A string that is plucked again stops itself and nothing else. */
GLN_MUST_USE GlnStatus gln_performance_make(const GlnInstrument *instrument, const GlnHeld *held, size_t count,
                                            const GlnFeel *feel, double tempo, GlnArena *arena,
                                            GlnPerformance **performance);

#endif
