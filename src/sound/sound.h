/* sound: the right hand's feels, and the performance — who sounds when.
 *
 * Needs base, theory, grip. Pure: a performance is a list in memory; MIDI and audio files are written from
 * it. Knows no songs: the app hands it grips with their times. */
#ifndef GLN_SOUND_H
#define GLN_SOUND_H

#include "base.h"
#include "grip.h"
#include "theory.h"

/* ---- feels ------------------------------------------------------------------------------------------- */

/* Limits of a .feel file, each named in its message and in docs/feels.md. */
#define GLN_FEEL_BYTES_MAX      ((size_t)64 * 1024)
#define GLN_FEEL_STEPS_MAX      96 /* in one bar */
#define GLN_FEEL_BARS_MAX       16
#define GLN_FEEL_VARIATIONS_MAX 4
#define GLN_METER_BEATS_MAX     64 /* upper number; the lower is 1, 2, 4, 8, 16, 32 or 64 */

typedef struct GlnFeel GlnFeel;
/* A feel from the text of a .feel file (docs/feels.md). Every fault goes to diags; GLN_INPUT when there was
 * an error, GLN_LIMIT when a limit was passed, GLN_MEMORY. Lives in the arena and borrows source. */
GLN_MUST_USE GlnStatus gln_feel_read(GlnText source, GlnArena *arena, GlnDiags *diags, GlnFeel **feel);
GlnText gln_feel_name(const GlnFeel *feel);  /* "bossa" */
GlnText gln_feel_words(const GlnFeel *feel); /* one line for people, may be empty */
void gln_feel_meter(const GlnFeel *feel, int16_t *beats, int16_t *unit);
/* How much longer the first of a pair is than the second: 1 straight. *pair: quarter notes of a pair of eighths or sixteenths. */
GlnRatio gln_feel_swing_of(const GlnFeel *feel, GlnRatio *pair);
/* The usual tempi, quarter notes a minute; false when the feel names none. */
bool gln_feel_tempo(const GlnFeel *feel, double *low, double *high);

/* The feels that are at hand: those that come with gripline, and those a user adds. */
typedef struct GlnFeelBook GlnFeelBook;
GLN_MUST_USE GlnStatus gln_feel_book_open(GlnArena *arena, GlnFeelBook **book);
/* A feel added later wins over an earlier one of the same name and meter. */
GLN_MUST_USE GlnStatus gln_feel_book_add(GlnFeelBook *book, const GlnFeel *feel);
size_t gln_feel_book_count(const GlnFeelBook *book);
const GlnFeel *gln_feel_book_at(const GlnFeelBook *book, size_t index);

typedef enum GlnFeelFit {
  GLN_FEEL_FITS,        /* the feel that was asked for, or none was */
  GLN_FEEL_OTHER_METER, /* there is such a feel, but not in this meter */
  GLN_FEEL_UNKNOWN      /* no feel of this name */
} GlnFeelFit;
/* The feel of this name (or another name it goes by, case ignored) in this meter; where there is none, the
 * plain feel of the meter, and *fit (may be NULL) says why. *nearest (may be NULL) gets the closest known
 * name for GLN_FEEL_UNKNOWN. Every meter within the limits has a plain feel; GLN_LIMIT for others,
 * GLN_MEMORY. */
GLN_MUST_USE GlnStatus gln_feel_choose(const GlnFeelBook *book, GlnText name, int16_t meter_beats,
                                       int16_t meter_unit, const GlnFeel **feel, GlnFeelFit *fit,
                                       GlnText *nearest);

/* ---- performance ------------------------------------------------------------------------------------- */

/* One grip held for a while, within one bar. */
typedef struct GlnHeld {
  const GlnGrip *grip;      /* NULL: silence */
  const GlnChord *chord;    /* NULL with silence */
  GlnRatio start, quarters; /* quarter notes from the song's start, and length */
  int16_t meter_beats, meter_unit;
  GlnRatio bar_start; /* start of the bar it lies in, quarter notes */
  int32_t section;    /* another number wherever a section of the form begins: feels vary over it */
  /* How long before its start the fingers that move to it leave their strings, quarter notes. At most half of a
   * note is lost that way; open strings ring until the change. */
  GlnRatio lift;
} GlnHeld;

/* X(name, word). */
#define GLN_PLAYER_LIST(X)                                                                                   \
  X(GLN_PLAYER_THUMB, "thumb")                                                                               \
  X(GLN_PLAYER_FINGERS, "fingers")                                                                           \
  X(GLN_PLAYER_CLICK, "click")                                                                               \
  X(GLN_PLAYER_PERCUSSION, "percussion")
typedef enum GlnPlayer {
#define GLN_PLAYER_NAME(name, word) name,
  GLN_PLAYER_LIST(GLN_PLAYER_NAME)
#undef GLN_PLAYER_NAME
      GLN_PLAYER_COUNT
} GlnPlayer;
const char *gln_player_words(GlnPlayer player);

/* X(name, word, key of the General MIDI percussion map): the light percussion; the key is maracas, side stick,
 * bass drum. */
#define GLN_PERCUSSION_LIST(X)                                                                               \
  X(GLN_PERCUSSION_SHAKER, "shaker", 70)                                                                     \
  X(GLN_PERCUSSION_RIM, "rim", 37)                                                                           \
  X(GLN_PERCUSSION_KICK, "kick", 36)
typedef enum GlnPercussion {
#define GLN_PERCUSSION_NAME(name, word, key) name,
  GLN_PERCUSSION_LIST(GLN_PERCUSSION_NAME)
#undef GLN_PERCUSSION_NAME
      GLN_PERCUSSION_COUNT
} GlnPercussion;

/* One sounding note of a performance. */
typedef struct GlnSounding {
  GlnRatio start, quarters; /* quarter notes */
  int8_t string;            /* string index; -1 for click and percussion */
  int8_t midi;  /* pitch 0..127; for click and percussion a key of the General MIDI percussion map */
  int8_t force; /* 1..127, as MIDI velocity */
  GlnPlayer player;
} GlnSounding;

/* A meter and where it begins. */
typedef struct GlnMeterStart {
  GlnRatio start; /* quarter notes */
  int16_t beats, unit;
} GlnMeterStart;

/* A tempo and where it begins. */
typedef struct GlnTempoStart {
  GlnRatio start; /* quarter notes */
  double tempo;   /* quarter notes a minute */
} GlnTempoStart;

typedef struct GlnPerformance {
  GlnSounding *notes; /* by start, then string */
  size_t count;
  GlnMeterStart *meters; /* by start; the first begins at 0 */
  size_t meter_count;
  double tempo;          /* quarter notes a minute, at the start */
  GlnTempoStart *tempos; /* changes of it, by start; NULL when there are none */
  size_t tempo_count;
  GlnRatio lead_in;  /* quarter notes of count-in: the song starts here */
  GlnRatio quarters; /* whole length, lead-in included */
  int8_t string_count;
} GlnPerformance;

#define GLN_TEMPO_MIN                10.0 /* quarter notes a minute */
#define GLN_TEMPO_MAX                600.0
#define GLN_COUNT_IN_MAX             4 /* bars */
#define GLN_PERFORMANCE_QUARTERS_MAX 1000000

typedef struct GlnPerformanceOptions {
  const GlnInstrument *instrument;
  const GlnHand *hand; /* decides which fifths the thumb can have */
  const GlnFeelBook *book;
  GlnText feel;                    /* name; empty: the plain feel of the meter */
  size_t feel_offset, feel_length; /* where the name stands in the chart, for warnings */
  double tempo;                    /* quarter notes a minute */
  int8_t count_in;                 /* bars of click before the song, 0 none */
  bool click;                      /* goes on through the song, a stroke on each felt beat */
  uint8_t percussion;              /* bit n: GlnPercussion n plays along */
  GlnRatio from,
      to;         /* this passage alone, quarter notes from the song's start; left out: from the start, all */
  int32_t rounds; /* how often it is played, one after the other; 0 is once */
} GlnPerformanceOptions;

#define GLN_ROUNDS_MAX 1000

/* The performance of held grips (by start, not overlapping). A string that is plucked again stops itself and
 * nothing else; a note ends at the latest when its grip no longer holds it. A feel that is not known or does
 * not fit a meter is warned of in diags, once each, and replaced by the plain one. GLN_LIMIT for a tempo,
 * meter or count-in out of bounds, with the reason in diags. */
GLN_MUST_USE GlnStatus gln_performance_make(const GlnPerformanceOptions *options, const GlnHeld *held,
                                            size_t count, GlnArena *arena, GlnDiags *diags,
                                            GlnPerformance **performance);

/* Performances one after the other, each with its own lead-in and tempo: the list of parts is not empty, and all have the
 * same strings. The result's lead-in is the first's. */
GLN_MUST_USE GlnStatus gln_performance_join(GlnPerformance *const *parts, size_t count, GlnArena *arena,
                                            GlnPerformance **joined);
/* Everything so many semitones higher, click and percussion apart. False, and nothing done, when a note would leave
 * MIDI's range. */
GLN_MUST_USE bool gln_performance_transpose(GlnPerformance *performance, int semitones);
/* Leaves the notes of these players alone: bit n for GlnPlayer n. */
void gln_performance_keep(GlnPerformance *performance, uint8_t players);
/* A hand is no machine: small shifts of time (at most GLN_HUMAN_MS_MAX) and force, the same for the same seed. Click and
 * percussion stay as they are; no note moves past another on its string. */
#define GLN_HUMAN_MS_MAX 15
GLN_MUST_USE GlnStatus gln_performance_humanise(GlnPerformance *performance, uint32_t seed, GlnArena *arena);

/* ---- a performance as players write it ------------------------------------------------------------------ */

typedef enum GlnVoice { GLN_VOICE_FINGERS, GLN_VOICE_THUMB, GLN_VOICE_COUNT } GlnVoice;

/* A length that one note or rest can have. */
typedef struct GlnNoteValue {
  GlnRatio quarters;
  const char *type; /* "eighth" */
  int unit;         /* 8 for an eighth; 0 for a breve */
  int dots;
  int actual, normal; /* 3 in the time of 2; 0 and 0: no tuplet */
} GlnNoteValue;

#define GLN_NOTE_VALUES_MAX 64
/* A length as the values that make it up, the longest first, as many as there are; what is shorter than a 256th is left
 * out. Returns how many. */
int gln_note_values(GlnRatio quarters, GlnNoteValue values[GLN_NOTE_VALUES_MAX]);

typedef struct GlnNotationNote {
  int8_t string, midi;
} GlnNotationNote;

/* One sign in a voice: notes struck together, or a rest. */
typedef struct GlnNotationPiece {
  const GlnNotationNote *notes; /* lowest string first */
  size_t count;                 /* 0: a rest */
  GlnRatio start;               /* quarter notes from the bar's start */
  GlnRatio struck;              /* quarter notes from the song's start: where the first of tied pieces lies */
  GlnNoteValue value;
  bool ties_back, ties_on;
} GlnNotationPiece;

typedef struct GlnNotationBar {
  GlnRatio start, quarters; /* quarter notes from the song's start, and length: given by the caller */
  int16_t beats, unit;      /* meter: given by the caller */
  GlnNotationPiece *pieces[GLN_VOICE_COUNT]; /* without gaps */
  size_t counts[GLN_VOICE_COUNT];
} GlnNotationBar;

/* Whether thirds of a beat are the meter's own: 6/8, 9/8, 12/8. */
bool gln_meter_is_compound(int16_t beats, int16_t unit);
/* Fills the bars, which lie end to end, with what is played in them: a roll or a strum is one chord, swung pairs are even,
 * and a note lasts until its voice goes on or until the beat after it has stopped. Notes and rests are split where readers
 * want to see a beat. swing, pair: of the feel, as gln_feel_swing_of says. */
GLN_MUST_USE GlnStatus gln_notation_make(const GlnPerformance *performance, GlnRatio swing, GlnRatio pair,
                                         GlnNotationBar *bars, size_t count, GlnArena *arena);

/* When it is so many quarter notes from the start, in seconds. */
double gln_performance_seconds(const GlnPerformance *performance, GlnRatio quarters);

/* The note that the thumb takes in turn with the grip's bass: string and fret (counted from the capo). */
typedef struct GlnThumbNote {
  int8_t string, fret;
  int8_t finger;     /* that stops it: 0 open, 1..4, 5 the left thumb */
  bool finger_moves; /* the finger leaves the bass string for it */
} GlnThumbNote;
/* The fifth for the thumb (the root where the fifth is the bass), preferably below the bass, where this grip
 * lets the hand reach it: a string that sounds it, a free open string, the barre, a finger that moves or an
 * idle one. GLN_NO when there is none: the thumb then stays on the bass. */
GLN_MUST_USE GlnStatus gln_thumb_fifth(const GlnInstrument *instrument, const GlnHand *hand,
                                       const GlnGrip *grip, const GlnChord *chord, GlnThumbNote *note);

#endif
