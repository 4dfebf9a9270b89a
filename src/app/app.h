/* app: what gripline does, command by command — the command table, files in and out, the use-cases.
 *
 * Needs every room below. Not pure: this is where files are read and written. The streams, the terminal's width and
 * its colours are handed in, so a test can drive a whole command and look at what it said. */
#ifndef GLN_APP_H
#define GLN_APP_H

#include <limits.h>
#include <stdio.h>
#include <sys/types.h>

#include "base.h"
#include "harmony.h"
#include "interchange.h"
#include "route.h"
#include "song.h"

/* ---- running a command ------------------------------------------------------------------------------------ */

typedef struct GlnApp {
  FILE *in;                /* what FILE "-" reads */
  FILE *out;               /* results */
  FILE *err;               /* messages */
  size_t columns;          /* width of the terminal behind out; GLN_COLUMNS where there is none */
  bool colour;             /* out shows bold and dim */
  int64_t now;             /* seconds since 1970-01-01 UTC */
  int32_t ahead;           /* seconds by which the clock on the wall is ahead of UTC */
  bool progress;           /* err is a terminal where a line may be written over */
  const char *data_folder; /* where the record is kept; NULL: nowhere */
  int (*key)(void);        /* one key from the terminal; NULL: lines are read from in */
} GlnApp;

#define GLN_COLUMNS 80

/* Runs the program as called and returns its exit status: 0 done, 1 the answer is no, 2 bad usage, 3 bad input,
 * 4 the system failed. Everything it has to say is in the streams by then. */
int gln_app_run(const GlnApp *app, int argc, char *const argv[]);

/* Memory one command may take: a song that needs more is refused with a message that names this limit. */
#define GLN_JOB_BYTES_MAX ((size_t)1024 * 1024 * 1024)

/* ---- files ------------------------------------------------------------------------------------------------- */

/* What went wrong with a file, in words for people. */
typedef struct GlnFileFault {
  char problem[200];
  char advice[200]; /* "" when there is none */
} GlnFileFault;

/* The whole of a file, in the arena. A file longer than limit_bytes is refused before it is read (GLN_LIMIT); one
 * that is missing, closed to us or a folder is GLN_INPUT; a failing device is GLN_SYSTEM. */
GLN_MUST_USE GlnStatus gln_file_read(const char *path, size_t limit_bytes, GlnArena *arena, GlnText *content,
                                     GlnFileFault *fault);
/* The same from an open stream, which has no length to ask for: at most limit_bytes + 1 bytes are read. */
GLN_MUST_USE GlnStatus gln_stream_read(FILE *stream, size_t limit_bytes, GlnArena *arena, GlnText *content,
                                       GlnFileFault *fault);
/* Writes a whole file: beside it, synced, then renamed over it, so that path holds the old content or the new and
 * never a part. A link is followed; a device or pipe is written straight. GLN_SYSTEM and *fault when it cannot. */
GLN_MUST_USE GlnStatus gln_file_write(const char *path, GlnText content, GlnFileFault *fault);
/* The same, bit by bit. What goes wrong on the way is remembered and comes back from gln_draft_keep. */
typedef struct GlnDraft {
  char path[PATH_MAX];
  char beside[PATH_MAX]; /* its name for now; "" while it has none */
  int descriptor, target;
  FILE *
      spool; /* behind descriptor when it goes to a device, a pipe or a stream: gathered first, for they cannot go back */
  FILE *stream; /* or NULL */
  mode_t mode;
  int error;
} GlnDraft;
GLN_MUST_USE GlnStatus gln_draft_open(const char *path, GlnDraft *draft, GlnFileFault *fault);
/* For a stream in place of a file. */
GLN_MUST_USE GlnStatus gln_draft_gather(FILE *stream, GlnDraft *draft, GlnFileFault *fault);
/* data: the GlnDraft. False when it cannot be done. */
bool gln_draft_write(void *data, const void *bytes, size_t count);
bool gln_draft_seek(void *data, int64_t place);
/* Puts the whole file in its place. Either way the draft is gone. */
GLN_MUST_USE GlnStatus gln_draft_keep(GlnDraft *draft, GlnFileFault *fault);
void gln_draft_drop(GlnDraft *draft); /* nothing was changed */
/* Writes to a stream and flushes it. */
GLN_MUST_USE GlnStatus gln_stream_write(FILE *stream, GlnText content, GlnFileFault *fault);

/* ---- use-cases ----------------------------------------------------------------------------------------------- */

/* A chart read, played through and given its line. */
typedef struct GlnArrangement {
  GlnText name; /* of the file, for messages */
  GlnChart *chart;
  GlnSong *song;
  GlnLine *line;
  GlnLineOptions
      options; /* as used: what the caller asked for, and the chart's headers where he was silent */
} GlnArrangement;

/* What the caller asks of an arrangement; a false has_… leaves the matter to the chart. */
typedef struct GlnArrangementWish {
  GlnLineOptions options;
  bool has_tuning;                                       /* options.instrument's strings are the caller's */
  bool has_capo;                                         /* options.instrument.capo is the caller's */
  bool has_textures, has_frets, has_bass_line, has_vary; /* options' are the caller's, in every section */
  bool has_scale;                                        /* options.instrument.scale_mm is the caller's */
  uint8_t string_numbers; /* strings that may sound, as players count them: bit 0 for string 1; 0: all */
} GlnArrangementWish;

/* From chart text to its line. name and source must outlive the result. Every fault is in diags, placed in source. */
GLN_MUST_USE GlnStatus gln_arrangement_make(GlnText name, GlnText source, const GlnArrangementWish *wish,
                                            GlnArena *arena, GlnDiags *diags, GlnArrangement *arrangement);

/* A chart read, played through and explained. Steps, readings and the song's slots go by one index. */
typedef struct GlnExplanation {
  GlnText name; /* of the file, for messages */
  GlnChart *chart;
  GlnSong *song;
  GlnStep *steps;
  GlnAnalysis *analysis;
  GlnRemarks remarks;
} GlnExplanation;

/* From chart text to its harmony; the chart's own key: is light evidence. name and source must outlive the result.
 * Every fault is in diags, placed in source. */
GLN_MUST_USE GlnStatus gln_explanation_make(GlnText name, GlnText source, GlnArena *arena, GlnDiags *diags,
                                            GlnExplanation *explanation);
/* The same of a song that is there; chart, song and name stay as they are. */
GLN_MUST_USE GlnStatus gln_song_explain(const GlnSong *song, GlnArena *arena, GlnExplanation *explanation);
/* Is some stretch heard in the key that the chart states? The chart must state one. */
bool gln_stated_key_is_heard(const GlnExplanation *explanation);
/* The chords of the played form as the harmony room takes them, one step a slot. */
GLN_MUST_USE GlnStatus gln_steps_of_song(const GlnSong *song, GlnArena *arena, GlnStep **steps);

/* A MIDI file as a chart to correct: the chords that are heard, named as one progression; remarks in the chart and a note in
 * diags say how sure that is. Errors as those of gln_midi_hear. */
GLN_MUST_USE GlnStatus gln_midi_read(GlnText bytes, GlnNamer *namer, GlnArena *arena, GlnDiags *diags,
                                     GlnImport *import);

/* A move from one key to another of the same mode. */
typedef struct GlnTransposition {
  GlnKey from, to; /* chords are spelled by the interval between the tonics */
  int semitones;   /* up or down, for pins and top notes */
  int fret_count;  /* frets a pin may use, from the capo */
} GlnTransposition;

/* The chart moved: chords in their author's dialect, key:, pins and top notes; the rest byte for byte. A pin that
 * cannot slide is left out with a warning, placed in source. source must read without errors; text lies in the
 * arena. */
GLN_MUST_USE GlnStatus gln_transposition_write(GlnText source, const GlnTransposition *move, GlnArena *arena,
                                               GlnDiags *diags, GlnText *text);
/* The tonic so many semitones from home's, named so that the key has the fewest signs. */
GlnNote gln_tonic_named(GlnKey home, int semitones);

#endif
