/* interchange: files that other programs read and write — MusicXML, Standard MIDI File, iCalendar, JSON.
 *
 * Needs base, theory, grip, song, route, sound, study. Pure: bytes go into a buffer; files are the app's. */
#ifndef GLN_INTERCHANGE_H
#define GLN_INTERCHANGE_H

#include "base.h"
#include "grip.h"
#include "route.h"
#include "song.h"
#include "sound.h"
#include "study.h"
#include "theory.h"

/* ---- readers ------------------------------------------------------------------------------------------- */

/* What a reader makes of a file from elsewhere. A reader never prints: all it has to say goes to diags, notes of what a
 * chart has no place for included. */
typedef struct GlnImport {
  GlnText chart;  /* the text of a chart that reads without errors */
  GlnText placed; /* where the diags' offsets lie: the file itself, or what was unpacked from it */
} GlnImport;

/* ---- MusicXML 4.0 (W3C Community Group, 2021), and every version before it ------------------------------------------ */

/* Limits, each named in its message and in docs/interchange.md. */
#define GLN_MUSICXML_BYTES_MAX    ((size_t)32 * 1024 * 1024)
#define GLN_MUSICXML_ELEMENTS_MAX 2000000
#define GLN_MUSICXML_DEPTH_MAX    64
#define GLN_MUSICXML_TEXT_MAX     ((size_t)64 * 1024) /* letters in one element */
#define GLN_MUSICXML_PARTS_MAX    256

typedef struct GlnMusicXmlWish {
  bool melody; /* the highest notes of the staff become the tune */
} GlnMusicXmlWish;

/* Does it begin as MusicXML does? */
bool gln_musicxml_knows(GlnText bytes);
/* A score, partwise or timewise. What was not understood, or has no place in a chart, is counted in a note. */
GLN_MUST_USE GlnStatus gln_musicxml_read(GlnText bytes, const GlnMusicXmlWish *wish, GlnArena *arena,
                                         GlnDiags *diags, GlnImport *import);

/* The same in a zip file, .mxl: only META-INF/container.xml and the score it names are read, the score up to
 * GLN_MUSICXML_BYTES_MAX bytes whatever the file says of its length. */
bool gln_mxl_knows(GlnText bytes);
GLN_MUST_USE GlnStatus gln_mxl_read(GlnText bytes, const GlnMusicXmlWish *wish, GlnArena *arena,
                                    GlnDiags *diags, GlnImport *import);

typedef struct GlnMusicXmlOptions {
  const GlnLine *line; /* its song's chart is written, with its grips as diagrams */
  const GlnInstrument *instrument;
  /* NULL: a lead sheet of the chart; else what is played, exactly on its beats, as staff and tablature. */
  const GlnPerformance *performance;
  GlnRatio swing; /* the first of a pair against the second, where the performance is swung; else 1 */
  GlnRatio pair;  /* quarter notes of such a pair: 1 of eighths, 1/2 of sixteenths */
} GlnMusicXmlOptions;

/* MusicXML 4.0, partwise. A lead sheet has the chart's sections in playing order with their repeats and endings, chords with
 * diagrams (fingers and barres) over slashes, and wished top notes with their octave as notes. A performance has every bar as
 * played. */
GLN_MUST_USE GlnStatus gln_musicxml_write(const GlnMusicXmlOptions *options, GlnBuffer *out);

GLN_MUST_USE GlnStatus gln_mxl_write(const GlnMusicXmlOptions *options, GlnBuffer *out);

/* ---- chords with times, chords in bars ------------------------------------------------------------------ */

#define GLN_LAB_LINES_MAX   100000
#define GLN_LAB_SECONDS_MAX 86400.0 /* a day */

/* .lab: lines of start, end (seconds) and a label in Harte syntax. The beat and the meter are found from the times, and
 * told in a note. GLN_INPUT with every faulty line in diags, GLN_LIMIT, GLN_MEMORY. */
GLN_MUST_USE GlnStatus gln_lab_read(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import);
/* The song played through in its tempo, microseconds kept. */
GLN_MUST_USE GlnStatus gln_lab_write(const GlnSong *song, GlnBuffer *out);

/* Bars of labels in Harte syntax, "." for a beat on which the chord before goes on: "| C:maj . A:min7 . | F:maj |". A
 * line "# metre: 3/4" sets the meter; "# title:", "# artist:", "# tonic:", "# key:" and "# tempo:" are read as well. One
 * label fills its bar, two share it; a bar with any other number of beats than the meter has is one of its own meter.
 * Errors as above. */
GLN_MUST_USE GlnStatus gln_bar_list_read(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import);
/* The form played through, four bars a line; a bar with chords between its beats gets a metre in which they are beats
 * (8/8 for 4/4). GLN_INPUT with the bar's place in the chart when there is none. */
GLN_MUST_USE GlnStatus gln_bar_list_write(const GlnSong *song, GlnDiags *diags, GlnBuffer *out);

/* Pasted text: bars between |, or chords over the lines of a lyric, headings and headers as people write them. Words stay as
 * comments of the chart; guesses are told in diags, and a note says how sure the whole is. Errors as above, GLN_INPUT for a
 * text without a chord. */
GLN_MUST_USE GlnStatus gln_plain_text_read(GlnText bytes, GlnArena *arena, GlnDiags *diags,
                                           GlnImport *import);

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

/* Limits of reading, each named in its message and in docs/interchange.md; bars as those of a chart. */
#define GLN_MIDI_BYTES_MAX  ((size_t)16 * 1024 * 1024)
#define GLN_MIDI_TRACKS_MAX 256
#define GLN_MIDI_EVENTS_MAX 2000000

#define GLN_MIDI_HEARD_MAX 12 /* different notes of one chord */

/* A stretch over which one chord is heard, as yet without a name. */
typedef struct GlnMidiChord {
  size_t beat, beats;              /* counted from the song's first beat */
  int8_t midi[GLN_MIDI_HEARD_MAX]; /* its notes, the lowest first, each once */
  size_t count;                    /* 0: silence */
  uint16_t left_out; /* bit n: pitch class n sounds there too, but so little that it is taken for passing */
  double clear;      /* share of all that sounds which these notes are, 0 to 1 */
} GlnMidiChord;

typedef struct GlnMidiBar {
  GlnMeter meter;
  size_t beat;     /* its first, counted from the song's first beat */
  GlnText section; /* begins here; empty: none does */
} GlnMidiBar;

typedef struct GlnMidiSong {
  GlnText title;
  bool has_key;
  GlnKey key;
  double tempo;     /* quarter notes a minute */
  GlnMidiBar *bars; /* all whole, but for the first, which may be a pick-up: then its meter is the second's */
  size_t bar_count, beat_count;
  size_t pickup; /* beats of the first bar that do not exist */
  GlnMidiChord *chords;
  size_t chord_count;
  double on_beat; /* share of notes that begin near a half of a beat, 0 to 1 */
} GlnMidiSong;

/* Does it begin as a MIDI file does? */
bool gln_midi_knows(GlnText bytes);
/* Format 0 or 1 as chords in bars by its own tempo and meters; percussion (channel 10) is not listened to. What the file has
 * besides is counted in a note. GLN_INPUT with what is wrong in diags, also when no notes sound; GLN_LIMIT, GLN_MEMORY. */
GLN_MUST_USE GlnStatus gln_midi_hear(GlnText bytes, const GlnNamer *namer, GlnArena *arena, GlnDiags *diags,
                                     GlnMidiSong **song);

/* ---- iCalendar (RFC 5545) ------------------------------------------------------------------------------ */

/* One event a day, from midnight to midnight wherever the calendar is read. */
typedef struct GlnCalendarEvent {
  GlnDay day;  /* before GLN_DAY_MAX */
  GlnText uid; /* the same for the same day of the same plan, so that a new plan takes the old one's place */
  GlnText summary; /* UTF-8, like the description; line ends are "\n" */
  GlnText description;
} GlnCalendarEvent;

typedef struct GlnCalendar {
  const GlnCalendarEvent *events;
  size_t count;
  GlnDay stamp;     /* the day on which it was made (DTSTAMP): no clock is read */
  int64_t sequence; /* rises with every change of the plan (SEQUENCE) */
} GlnCalendar;

/* Lines end in CRLF and are folded at 75 octets, never inside a character. Broken UTF-8 becomes U+FFFD, control
 * characters are left out. */
GLN_MUST_USE GlnStatus gln_calendar_write(const GlnCalendar *calendar, GlnBuffer *out);

/* ---- a student's record as JSON ------------------------------------------------------------------------ */

/* Limits, each named in its message and in docs/plan.md. */
#define GLN_RECORD_BYTES_MAX     ((size_t)64 * 1024 * 1024)
#define GLN_RECORD_PRACTICES_MAX 200000
#define GLN_RECORD_TEXT_MAX      1000 /* bytes of a name */

GLN_MUST_USE GlnStatus gln_record_write_json(GlnText student, const GlnPractice *practices, size_t count,
                                             GlnBuffer *out);
/* What gln_record_write_json wrote. GLN_INPUT, or GLN_LIMIT past a limit above, with a message in diags. */
GLN_MUST_USE GlnStatus gln_record_read_json(GlnText source, GlnArena *arena, GlnDiags *diags,
                                            GlnPractice **practices, size_t *count);

/* ---- an arrangement as JSON, read back ------------------------------------------------------------------------ */

/* Limits, each named in its message and in docs/interchange.md; of the chart in it those of a chart. */
#define GLN_JSON_BYTES_MAX ((size_t)64 * 1024 * 1024)

/* Does it begin as gripline's JSON does? */
bool gln_arrangement_json_knows(GlnText bytes);
/* Any document of gripline that has key "chart"; of gripline/arrange/1 the frets of its slots are pinned in the chart. Keys
 * that are not known are passed over. GLN_INPUT or GLN_LIMIT with a message in diags, GLN_MEMORY. */
GLN_MUST_USE GlnStatus gln_arrangement_json_read(GlnText bytes, GlnArena *arena, GlnDiags *diags,
                                                 GlnImport *import);

/* ---- JSON (RFC 8259)
 * ------------------------------------------------------------------------------------------ */

/* One document, built in order: an object at the top, keys as they come. Inside an array the key is NULL.
 * Running out of memory is remembered and comes back from gln_json_write. Opening deeper than GLN_JSON_DEPTH_MAX,
 * or a key twice in one object, is the caller's mistake (assert). */
#define GLN_JSON_DEPTH_MAX 16
typedef struct GlnJson GlnJson;

/* Begins with "schema": "gripline/NAME/1". NULL when there is no memory. The caller frees it. */
GLN_MUST_USE GlnJson *gln_json_new(GlnArena *arena, const char *name);
void gln_json_free(GlnJson *json);
void gln_json_open_object(GlnJson *json, const char *key);
void gln_json_open_array(GlnJson *json, const char *key);
void gln_json_close(GlnJson *json);                                   /* the object or array opened last */
void gln_json_add_text(GlnJson *json, const char *key, GlnText text); /* broken UTF-8 becomes U+FFFD */
void gln_json_add_integer(GlnJson *json, const char *key, long long value);
/* Rounded to so many decimals (0 to 9); finite. */
void gln_json_add_number(GlnJson *json, const char *key, double value, int decimals);
/* Exact: a number when whole, else text "7/2". */
void gln_json_add_ratio(GlnJson *json, const char *key, GlnRatio value);
void gln_json_add_boolean(GlnJson *json, const char *key, bool value);
void gln_json_add_null(GlnJson *json, const char *key);
/* The document, indented by two blanks, with a line end after it. Every array or object must be closed. */
GLN_MUST_USE GlnStatus gln_json_write(const GlnJson *json, GlnBuffer *out);

#endif
