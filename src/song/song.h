/* song: the chart file in and out, and its form played through to slots.
 *
 * Needs base and theory. Pure: reads and writes text in memory; files are the app's.
 * A chart keeps everything its author typed, comments and unknown headers included. */
#ifndef GLN_SONG_H
#define GLN_SONG_H

#include "base.h"
#include "theory.h"

/* Limits, each named in its message and in docs/chart-file.md. */
#define GLN_CHART_BYTES_MAX ((size_t)4 * 1024 * 1024)
#define GLN_CHART_BARS_MAX 20000   /* bars as written */
#define GLN_PLAYED_BARS_MAX 100000 /* bars of the form played through */
#define GLN_BAR_CHORDS_MAX 64

typedef struct GlnMeter {
  int16_t beats; /* upper number */
  int16_t unit;  /* lower number */
} GlnMeter;

/* One chord as written in a bar. */
typedef struct GlnEvent {
  GlnText symbol;     /* as typed, without pin and top note */
  GlnChord chord;     /* silent for N.C. */
  GlnRatio beat;      /* offset from the bar's start, in beats of the meter's unit */
  GlnRatio beats;     /* length */
  GlnText pin;        /* frets after '@', empty when none: read by the grip room */
  bool has_top;       /* a '^note' wish */
  bool top_has_octave;
  GlnPitch top;       /* octave valid when top_has_octave */
  size_t offset, length;         /* whole event in the source */
  size_t pin_offset, top_offset; /* in the source */
} GlnEvent;

typedef struct GlnBar {
  GlnEvent *events; /* never empty in a chart that was read without errors */
  size_t event_count;
  GlnMeter meter;
  GlnRatio beats;        /* actual length: shorter than the meter in a pick-up bar */
  bool repeat_starts;    /* |: before it */
  int16_t repeat_plays;  /* :| after it: how many times the passage is played in all, 0 when no repeat ends here */
  uint32_t endings;      /* bit n: belongs to ending n (1-based); 0 outside endings */
  bool same_as_last;     /* written as % */
  size_t offset, length;
} GlnBar;

typedef struct GlnSection {
  GlnText name; /* "A"; empty for bars before any [NAME] */
  GlnBar *bars;
  size_t bar_count;
  size_t offset;
} GlnSection;

typedef struct GlnHeader {
  GlnText name, value; /* as typed, trimmed */
  size_t offset, value_offset;
} GlnHeader;

typedef struct GlnChart {
  GlnText source;       /* what was read; owned by the caller of gln_chart_read, must outlive the chart */
  GlnHeader *headers;   /* in order, unknown ones too */
  size_t header_count;
  GlnSection *sections;
  size_t section_count;
  uint16_t *form;       /* section indices in playing order */
  size_t form_count;
  /* Known headers, read; defaults where absent. */
  GlnText title, by, feel, tuning, notes;
  bool has_key;
  GlnKey key;
  GlnMeter meter;       /* of the first bar; 4/4 by default */
  double tempo;         /* quarter notes a minute unless docs/chart-file.md says otherwise; 120 by default */
  bool has_tempo;
  int capo, strings;    /* 0 when absent */
} GlnChart;

/* Reads a chart. Every fault of the file goes to diags, warnings too; GLN_INPUT when there was an error (the chart
 * then holds what could be read), GLN_LIMIT when a limit was passed, GLN_MEMORY. Lives in the arena. */
GLN_MUST_USE GlnStatus gln_chart_read(GlnText source, GlnArena *arena, GlnDiags *diags, GlnChart **chart);
/* Writes the chart as a chart file: same music, same comments, same headers. */
GLN_MUST_USE GlnStatus gln_chart_write(const GlnChart *chart, GlnBuffer *out);
/* The value of a header by name, empty when absent. */
GlnText gln_chart_header(const GlnChart *chart, GlnText name);

/* One chord at one place of the played-through form. */
typedef struct GlnSlot {
  uint16_t section;     /* index into the chart's sections */
  uint16_t section_pass; /* how many times this section has begun before: 0 the first time */
  uint32_t bar;         /* played bar, from 1; a pick-up bar is bar 0 */
  uint32_t written_bar; /* index of the bar within its section */
  GlnRatio beat;        /* place in the bar, from 1 as players count */
  GlnRatio beats;       /* length, in beats of the meter's unit */
  GlnRatio start;       /* quarter notes from the song's start */
  GlnRatio quarters;    /* length in quarter notes */
  GlnMeter meter;
  /* Slots with the same number come from the same written chord: a repeat or a section that returns. From 0 up,
   * without gaps. */
  uint32_t written;
  const GlnEvent *event;
} GlnSlot;

typedef struct GlnSong {
  const GlnChart *chart;
  GlnSlot *slots;
  size_t slot_count;
  size_t written_count; /* distinct values of GlnSlot.written */
  size_t bar_count;     /* played bars */
  GlnRatio quarters;    /* whole length */
} GlnSong;

/* Plays the form through: sections in order, repeats and endings taken. */
GLN_MUST_USE GlnStatus gln_song_play(const GlnChart *chart, GlnArena *arena, GlnDiags *diags, GlnSong **song);

#endif
