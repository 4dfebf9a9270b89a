/* song: the chart file in and out, and its form played through to slots.
 *
 * Needs base and theory. Pure: reads and writes text in memory; files are the app's.
 * A chart keeps everything its author typed, comments and unknown headers included. */
#ifndef GLN_SONG_H
#define GLN_SONG_H

#include "base.h"
#include "theory.h"

/* Limits, each named in its message and in docs/chart-file.md. */
#define GLN_CHART_BYTES_MAX       ((size_t)4 * 1024 * 1024)
#define GLN_CHART_HEADERS_MAX     1000
#define GLN_CHART_SECTIONS_MAX    1000
#define GLN_CHART_FORM_MAX        10000  /* sections named by form: */
#define GLN_CHART_BARS_MAX        20000  /* bars as written */
#define GLN_CHART_CHORDS_MAX      100000 /* chords as written, those that % repeats counted again */
#define GLN_PLAYED_BARS_MAX       100000 /* bars of the form played through */
#define GLN_PLAYED_SLOTS_MAX      200000 /* chords of the form played through */
#define GLN_BAR_CHORDS_MAX        64
#define GLN_BAR_MARKS_MAX         1024 /* chords and slashes of one bar */
#define GLN_REPEAT_PLAYS_MAX      99
#define GLN_ENDINGS_MAX           31 /* bits of GlnBar.endings */
#define GLN_CHART_METER_BEATS_MAX 32
#define GLN_METER_UNIT_MAX        32
#define GLN_CHART_TEMPO_MIN       20.0 /* of the number as written */
#define GLN_CHART_TEMPO_MAX       400.0
#define GLN_CHART_CAPO_MAX        12

/* ---- meter ------------------------------------------------------------------------------------------ */

typedef struct GlnMeter {
  int16_t beats; /* upper number */
  int16_t unit;  /* lower number */
} GlnMeter;

/* The whole of text as "3/4": 1 to 32 beats of a whole, half, quarter, eighth, 16th or 32nd; GLN_INPUT
 * otherwise. */
GLN_MUST_USE GlnStatus gln_meter_parse(GlnText text, GlnMeter *meter);
bool gln_meter_equal(GlnMeter a, GlnMeter b);
/* Beats a player counts in a bar, which is what a "/" and "tempo:" count: the upper number, and a third of it
 * in the compound meters, 6, 9, 12 … over 8 or 16. */
int gln_meter_counts(GlnMeter meter);
/* Length of such a beat in quarter notes: 1 in 4/4, 3/2 in 6/8, 2 in 2/2, 1/2 in 7/8. */
GlnRatio gln_meter_count_quarters(GlnMeter meter);

/* ---- chart ------------------------------------------------------------------------------------------- */

/* One chord as written in a bar. */
typedef struct GlnEvent {
  GlnText
      symbol; /* as typed, without pin and top note; where it no longer reads as chord, chord is written */
  GlnChord chord; /* silent for N.C. */
  GlnRatio beat;  /* offset from the bar's start, in beats of the meter's unit */
  GlnRatio beats; /* length */
  GlnText pin;    /* frets after '@', empty when none: read by the grip room */
  bool has_top;   /* a '^note' wish */
  bool top_has_octave;
  GlnPitch top;  /* octave valid when top_has_octave */
  bool has_tune; /* the line of the tune has a note where the chord begins */
  GlnPitch tune;
  size_t tune_offset, tune_length; /* in the source */
  bool continues; /* written as slashes at the start of its bar: the last chord of the bar before goes on */
  size_t offset, length; /* whole event in the source; in a bar written as %, of the chord it repeats */
  size_t pin_offset, top_offset; /* in the source */
} GlnEvent;

/* One note of the tune over a bar. */
typedef enum GlnTuneKind {
  GLN_TUNE_NOTE,
  GLN_TUNE_REST,
  GLN_TUNE_HOLD /* the last note of the bar before goes on */
} GlnTuneKind;

typedef struct GlnTuneNote {
  GlnTuneKind kind;
  GlnPitch pitch;        /* of a note */
  GlnRatio beat, beats;  /* from the start of a whole bar, in beats of the meter's unit */
  size_t offset, length; /* in the source */
} GlnTuneNote;

#define GLN_TUNE_NOTES_MAX 256 /* of one bar */
#define GLN_TUNE_MIDI_MIN  24  /* C1 */
#define GLN_TUNE_MIDI_MAX  108 /* C8 */

typedef struct GlnBar {
  GlnEvent *events; /* never empty in a chart that was read without errors */
  size_t event_count;
  GlnTuneNote *tune; /* the notes over it */
  size_t tune_count;
  GlnMeter meter;
  GlnRatio beats;     /* actual length: shorter than the meter in a pick-up bar */
  bool repeat_starts; /* |: before it */
  int16_t
      repeat_plays; /* :| after it: how many times the passage is played in all, 0 when no repeat ends here */
  uint32_t endings; /* bit n: belongs to ending n (1-based); 0 outside endings */
  bool same_as_last; /* written as %: events are copies of those of the bar before */
  bool line_starts;  /* a line of the chart starts with this bar */
  bool double_after; /* || after it */
  size_t offset,
      length; /* what stands between its bar lines; length 0 for a bar that was not read from source */
  size_t before_offset, after_offset; /* its bar lines; after_offset is the line's end where none was typed */
} GlnBar;

/* A pick-up: the first bar of a section, shorter than its meter. */
bool gln_bar_is_pickup(const GlnBar *bar);

typedef struct GlnHeader {
  GlnText name, value; /* as typed, trimmed */
  size_t offset, value_offset;
} GlnHeader;

typedef struct GlnSection {
  GlnText name;      /* "A"; empty for bars before any [NAME] */
  GlnHeader *wishes; /* "texture: shell" below [NAME]: their values are the route room's to read */
  size_t wish_count;
  GlnBar *bars;
  size_t bar_count;
  size_t offset; /* of its [, or of its first bar line */
} GlnSection;

typedef struct GlnChart {
  GlnText source;     /* what was read; owned by the caller of gln_chart_read, must outlive the chart */
  GlnHeader *headers; /* in order, unknown ones too */
  size_t header_count;
  GlnSection *sections;
  size_t section_count;
  uint16_t *form; /* section indices in playing order */
  size_t form_count;
  /* Known headers, read; defaults where absent. */
  GlnText title, by, feel, tuning, notes;
  GlnText texture, frets, bass_line, vary; /* wishes of the line: their values are the route room's to read */
  bool has_key;
  GlnKey key;
  GlnMeter meter; /* each section starts in it; 4/4 by default */
  double tempo;   /* quarter notes a minute, also where the header counts other beats; 120 by default */
  bool has_tempo;
  int capo, strings;    /* 0 when absent */
  GlnText capo_strings; /* after the colon of "2:5-3": the strings that the capo covers; empty: all */
  const struct GlnTyped
      *typed; /* how it was laid out when it was read; NULL for a chart that was made, not read */
} GlnChart;

/* Wishes of the line that the whole chart or a section may state, "texture", "frets", "bass-line", "vary": their names in
 * order, NULL past the last. */
const char *gln_chart_wish_name(size_t index);

/* Reads a chart. Every fault of the file goes to diags, warnings too; GLN_INPUT when there was an error (the
 * chart then holds what could be read), GLN_LIMIT when a limit was passed, GLN_MEMORY. Lives in the arena. */
GLN_MUST_USE GlnStatus gln_chart_read(GlnText source, GlnArena *arena, GlnDiags *diags, GlnChart **chart);
/* Writes the chart as a chart file. What was not changed since it was read stays byte for byte as it was
 * typed; only changed chords, bars, lines and headers are written anew, and comments stay where they were.
 * Who changes a chart changes its fields: events, bars, sections, form, and the known headers (the fields win
 * over the text in headers). New bars have length 0; a new section's name and a new header's name lie outside
 * the source. GLN_INPUT when a bar cannot be written (its lengths do not fill it, or need more than
 * GLN_BAR_MARKS_MAX marks). A chart that was read with errors is written as far as it was understood: write
 * only charts that read well. */
GLN_MUST_USE GlnStatus gln_chart_write(const GlnChart *chart, GlnBuffer *out);
/* The same with every line in gripline's own layout; comments and blank lines stay. */
GLN_MUST_USE GlnStatus gln_chart_write_tidy(const GlnChart *chart, GlnBuffer *out);
/* Same headers' values, sections, bars, chords, pins, top notes, repeats and form; layout and comments aside.
 */
bool gln_chart_equal(const GlnChart *a, const GlnChart *b);
/* The value of a header by name, empty when absent. */
GlnText gln_chart_header(const GlnChart *chart, GlnText name);

/* One chord at one place of the played-through form. */
typedef struct GlnSlot {
  uint16_t section;      /* index into the chart's sections */
  uint16_t section_pass; /* how many times this section has begun before: 0 the first time */
  uint32_t bar;          /* played bar, from 1; a pick-up bar is bar 0 */
  uint32_t written_bar;  /* index of the bar within its section */
  GlnRatio beat;  /* place in the bar, from 1, in beats of the meter's unit; in a pick-up counted so that the
                     next bar begins after the meter's last beat */
  GlnRatio beats; /* length, in beats of the meter's unit */
  GlnRatio start; /* quarter notes from the song's start */
  GlnRatio quarters; /* length in quarter notes */
  GlnMeter meter;
  /* Slots with the same number come from the same written chord: a repeat or a section that returns. From 0
   * up, without gaps. */
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

/* Plays the form through: sections in order, repeats and endings taken. A pick-up sounds at the song's start
 * alone. Faults (repeats that do not close, a limit) go to diags; GLN_INPUT or GLN_LIMIT then. */
GLN_MUST_USE GlnStatus gln_song_play(const GlnChart *chart, GlnArena *arena, GlnDiags *diags, GlnSong **song);

/* ---- played bars -------------------------------------------------------------------------------------- */

typedef struct GlnPlayedBar {
  GlnRatio start, quarters; /* quarter notes from the song's start, and length */
  GlnMeter meter;
  size_t first_slot, slot_count;
  bool pickup;
} GlnPlayedBar;

/* Every bar of the form, in playing order. */
GLN_MUST_USE GlnStatus gln_played_bars_find(const GlnSong *song, GlnArena *arena, GlnPlayedBar **bars,
                                            size_t *count);
/* The chord of the bar that sounds so many quarter notes from the song's start; NULL before its first. */
const GlnChord *gln_played_chord(const GlnSong *song, const GlnPlayedBar *bar, GlnRatio at);

/* ---- passages ----------------------------------------------------------------------------------------- */

/* Whole bars of the played form that are new, or that come back the same. */
typedef struct GlnPassage {
  size_t first, end; /* slots */
  bool begins_section;
  bool returns;
  size_t source_first, source_end; /* slots it returns from */
} GlnPassage;
/* same: whether two slots that come from one bar of the chart are shown the same way. */
GLN_MUST_USE GlnStatus gln_passages_find(const GlnSong *song,
                                         bool (*same)(const void *context, size_t a, size_t b),
                                         const void *context, GlnArena *arena, GlnPassage **passages,
                                         size_t *count);
/* "bar 3", "bars 3–8": those of the slots from first up to end. */
void gln_add_bars(const GlnSong *song, size_t first, size_t end, GlnBuffer *out);
/* Beats as players count: 1, 2, "2&" for the half. */
void gln_add_beat(GlnRatio beat, GlnBuffer *out);
/* The end of the section that begins at slot first. */
size_t gln_section_end(const GlnSong *song, size_t first);

#endif
