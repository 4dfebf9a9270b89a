/* grip: the instrument, the hand, every grip of a chord, the fingers that hold it and how hard that is.
 *
 * Needs base and theory. Pure: no I/O, clock or globals.
 * Strings are numbered in arrays from the lowest-sounding string up (index 0 is the guitar's string 6); words
 * for people count as players do, string 1 being the highest: gln_string_number. Frets count from a capo that covers all
 * strings, else from the nut.
 */
#ifndef GLN_GRIP_H
#define GLN_GRIP_H

#include "base.h"
#include "theory.h"

#define GLN_STRINGS_MIN 3
#define GLN_STRINGS_MAX 8
#define GLN_FRETS_MAX   24
#define GLN_NOT_PLAYED  (-1)

/* ---- instrument ------------------------------------------------------------------------------------------
 */

typedef struct GlnInstrument {
  int8_t string_count;
  int8_t
      open_midi[GLN_STRINGS_MAX]; /* lowest string first, at the nut: without capo, as if none began later */
  double scale_mm;                /* nut to bridge */
  double nut_spacing_mm;          /* centre to centre of neighbouring strings at the nut */
  double bridge_spacing_mm;
  int8_t capo;                    /* fret it sits on; 0 none */
  uint8_t capo_strings;           /* bit n: it covers string number n + 1, as players count; 0: all */
  int8_t begins[GLN_STRINGS_MAX]; /* fret at which the neck begins for this string: 0, or 5 for a short one */
  int8_t fret_count;              /* highest fret, counted from the nut */
} GlnInstrument;

/* Scales from a sopranino ukulele's to a long bass's. */
#define GLN_SCALE_MM_MIN 250
#define GLN_SCALE_MM_MAX 1000

GlnInstrument gln_instrument_defaults(void); /* six strings, E2 A2 D3 G3 B3 E4, 650 mm, 19 frets */
/* Tuning by name or by notes ("standard", "D2 A2 D3 G3 B3 E4", "E A D G B E"): sets strings and pitches, and where they are
 * those of another instrument than the guitar also its scale, spacing and frets. */
GLN_MUST_USE GlnStatus gln_instrument_tune(GlnText tuning, GlnInstrument *instrument);
/* The usual tuning of so many strings; GLN_NO where there is no one usual tuning. */
GLN_MUST_USE GlnStatus gln_instrument_of_strings(int strings, GlnInstrument *instrument);
/* The table of named tunings, for help and docs. */
size_t gln_tuning_count(void);
const char *gln_tuning_name(size_t index);  /* "drop d"; hyphens, blanks and case do not matter when read */
const char *gln_tuning_notes(size_t index); /* "D2 A2 D3 G3 B3 E4" */
/* Distance of a fret from the nut, mm: x = L(1 - 2^(-n/12)); fret counted from the nut. */
double gln_fret_mm(const GlnInstrument *instrument, double fret);
/* Where a fingertip stands to stop this fret (counted from the capo): along from the nut and across from
 * string 6's side, mm. Just behind the fret wire; design choice in hand_tables.c. */
typedef struct GlnPoint {
  double along_mm, across_mm;
} GlnPoint;
GlnPoint gln_stop_point(const GlnInstrument *instrument, int string, int fret);
int gln_sounding_midi(const GlnInstrument *instrument, int string, int fret);
/* The fret that sounds it on the string, counted as grips count: 0 open. */
int gln_fret_of(const GlnInstrument *instrument, int string, int midi);
/* Fret of the nut's count that frets count from: the capo's when it covers all strings, else 0. */
int gln_frets_from(const GlnInstrument *instrument);
/* Lowest fret at which the string can be stopped: 1, or one past where it begins. */
int gln_first_fret(const GlnInstrument *instrument, int string);
int gln_string_number(const GlnInstrument *instrument, int string); /* index 0 of six strings is "string 6" */

/* Strings by number, "5-2" or "6,4,3,2", as bits: bit n, string number n + 1. GLN_INPUT, and *fault the part that is none. */
GLN_MUST_USE GlnStatus gln_string_numbers_parse(GlnText text, uint8_t *numbers, GlnText *fault);
/* Such numbers as bits of string indices; false when the instrument has fewer strings. */
bool gln_string_bits(const GlnInstrument *instrument, uint8_t numbers, uint8_t *bits);
/* A capo over all strings, "2", or over some, "2:5-3". GLN_INPUT when it is neither. */
#define GLN_CAPO_MAX 12
GLN_MUST_USE GlnStatus gln_capo_parse(GlnText text, GlnInstrument *instrument);
bool gln_capo_fits(const GlnInstrument *instrument); /* the instrument has the strings that it covers */
/* "2", or "2 on strings 5-3". */
void gln_capo_describe(const GlnInstrument *instrument, GlnBuffer *out);

/* ---- frets: a grip in text
 * ------------------------------------------------------------------------------------ */

typedef struct GlnFrets {
  int8_t
      fret[GLN_STRINGS_MAX]; /* GLN_NOT_PLAYED, 0 open, else the fret; strings past string_count not played */
  int8_t string_count;
} GlnFrets;

#define GLN_FRETS_TEXT_MAX 32
/* "x32233", "x-8-10-9-10-x", "x 8 10 9 10 x", X for x. string_count comes from the text. */
GLN_MUST_USE GlnStatus gln_frets_parse(GlnText text, GlnFrets *frets, GlnSymbolFault *fault);
size_t gln_frets_print(const GlnFrets *frets, char out[GLN_FRETS_TEXT_MAX]);
bool gln_frets_equal(const GlnFrets *a, const GlnFrets *b);
/* Why a string cannot be stopped where the frets say, a constant sentence, and the string; NULL when all can. */
const char *gln_frets_fault(const GlnInstrument *instrument, const GlnFrets *frets, int *string);

/* ---- hand
 * -------------------------------------------------------------------------------------------------------- */

typedef enum GlnHandSize { GLN_HAND_SMALL, GLN_HAND_MEDIUM, GLN_HAND_LARGE } GlnHandSize;
/* How far two fingertips go apart along the neck, mm, on finger pairs 1-2, 1-3, 1-4, 2-3, 2-4, 3-4: index
 * [a - 1][b - 1] with a < b. Comfortable up to ease_mm, impossible past reach_mm. */
typedef struct GlnHand {
  const char *name; /* "small"; "measured" */
  double closest_mm[4][4];
  double ease_mm[4][4];
  double reach_mm[4][4];
  double across_mm; /* widest reach across the strings for two fingers at one fret */
  bool thumb;       /* the thumb may stop the lowest string over the neck (finger 5, printed T) */
  bool barres;      /* false: this player takes no barre */
  int8_t fingers;   /* how many of the fingers 1..4 this player uses: 3 leaves out the little finger */
  int8_t at_once;   /* at most so many fingers on the strings together, the thumb among them */
} GlnHand;

GlnHand gln_hand(GlnHandSize size);
/* A hand by its player's own reach, mm between the fingertips: "95" from first to little finger, or pairs, "1-4=95, 2-3=45".
 * Pairs not measured follow those that were. docs/instruments.md says how to measure. GLN_INPUT and *why (may be NULL), a
 * constant sentence, when it cannot be. */
#define GLN_REACH_MM_MIN 15
#define GLN_REACH_MM_MAX 200
GLN_MUST_USE GlnStatus gln_hand_measured(GlnText reach, GlnHand *hand, const char **why);
/* A hand that reaches farther than any a player is likely to have, the thumb over the neck included: what it cannot hold
 * nobody holds. */
GlnHand gln_hand_widest(void);
GLN_MUST_USE GlnStatus gln_hand_parse(GlnText name, GlnHand *hand); /* "small", "medium", "large" */

/* ---- fingers
 * ------------------------------------------------------------------------------------------------------- */

#define GLN_BARRES_MAX 4
typedef struct GlnBarre {
  int8_t finger, fret;            /* finger 1..4 */
  int8_t low_string, high_string; /* string indices, low_string < high_string, both ends sound this fret */
} GlnBarre;

/* The parts of difficulty, each in [0, 1]; one table holds their weights (docs/hand-model.md). */
#define GLN_HOLD_PART_LIST(X)                                                                                \
  X(GLN_HOLD_SPREAD, "spread", "stretch against this hand's reach")                                          \
  X(GLN_HOLD_BARRE, "barre", "force of the barres")                                                          \
  X(GLN_HOLD_FINGERS, "fingers", "fingers at work")                                                          \
  X(GLN_HOLD_CRAMP, "cramp", "cramped or crossed fingers")                                                   \
  X(GLN_HOLD_POSITION, "position", "place on the neck")                                                      \
  X(GLN_HOLD_DAMPING, "damping", "strings to keep silent")
typedef enum GlnHoldPart {
#define GLN_HOLD_PART_NAME(name, key, words) name,
  GLN_HOLD_PART_LIST(GLN_HOLD_PART_NAME)
#undef GLN_HOLD_PART_NAME
      GLN_HOLD_PART_COUNT
} GlnHoldPart;
const char *gln_hold_part_key(GlnHoldPart part); /* "spread" */
const char *gln_hold_part_words(GlnHoldPart part);

typedef struct GlnFingering {
  int8_t finger[GLN_STRINGS_MAX]; /* 0 open or not played, 1..4, 5 the thumb */
  int8_t barre_count;
  GlnBarre barres[GLN_BARRES_MAX];
  float parts[GLN_HOLD_PART_COUNT]; /* weighted: they add up to difficulty before it is capped at 1 */
  float difficulty;                 /* [0, 1] */
  float span_mm;                    /* along the neck between the outermost stopping fingers */
} GlnFingering;

/* The easiest fingering of these frets. GLN_NO when this hand cannot hold them. */
GLN_MUST_USE GlnStatus gln_fingering_find(const GlnInstrument *instrument, const GlnHand *hand,
                                          const GlnFrets *frets, GlnFingering *fingering);
/* The same for fingers that are given (finger[] as in GlnFingering): difficulty of holding it so, GLN_NO when
 * no hand of this size can. *why (may be NULL) gets a constant sentence that says which rule forbids it. */
GLN_MUST_USE GlnStatus gln_fingering_judge(const GlnInstrument *instrument, const GlnHand *hand,
                                           const GlnFrets *frets, const int8_t finger[GLN_STRINGS_MAX],
                                           GlnFingering *fingering, const char **why);
size_t gln_fingers_print(
    const GlnFrets *frets, const GlnFingering *fingering,
    char out[GLN_FRETS_TEXT_MAX]); /* "x2134x": one sign a string, 0 open, x not played, T thumb */

/* ---- grips
 * ------------------------------------------------------------------------------------------------------------
 */

/* X(name, key on the command line, words). A grip may be of several textures. */
#define GLN_TEXTURE_LIST(X)                                                                                  \
  X(GLN_TEXTURE_SHELL, "shell", "root, 3rd and 7th")                                                         \
  X(GLN_TEXTURE_FOUR_NOTE, "four-note", "bass and three upper notes, thumb and three fingers")               \
  X(GLN_TEXTURE_ROOTLESS, "rootless", "the root left to the bass player")                                    \
  X(GLN_TEXTURE_FULL, "full", "five strings or more")                                                        \
  X(GLN_TEXTURE_CLOSE, "close", "four notes in close position")                                              \
  X(GLN_TEXTURE_DROP2, "drop2", "second voice from the top an octave down")                                  \
  X(GLN_TEXTURE_DROP3, "drop3", "third voice from the top an octave down")                                   \
  X(GLN_TEXTURE_DROP24, "drop24", "second and fourth voice from the top an octave down")                     \
  X(GLN_TEXTURE_SPREAD, "spread", "open position, a note skipped between any two neighbours; no shell")      \
  X(GLN_TEXTURE_ROOTLESS_A, "rootless-a", "four notes without the root, from the 3rd up")                    \
  X(GLN_TEXTURE_ROOTLESS_B, "rootless-b", "four notes without the root, from the 7th up")
typedef enum GlnTexture {
#define GLN_TEXTURE_NAME(name, key, words) name,
  GLN_TEXTURE_LIST(GLN_TEXTURE_NAME)
#undef GLN_TEXTURE_NAME
      GLN_TEXTURE_COUNT
} GlnTexture;
const char *gln_texture_key(GlnTexture texture);
const char *gln_texture_words(GlnTexture texture);

typedef enum GlnRightHand { GLN_RIGHT_FINGERS, GLN_RIGHT_PICK } GlnRightHand;

typedef struct GlnGrip {
  GlnFrets frets;
  GlnFingering fingering;
  int8_t midi[GLN_STRINGS_MAX];   /* sounding pitch a string, -1 not played */
  int8_t tone[GLN_STRINGS_MAX];   /* index into the chord's tones, -1 not played */
  uint16_t tones;                 /* bit n: tone n of the chord sounds */
  uint16_t textures;              /* bit n: texture n */
  int8_t voices;                  /* strings that sound */
  int8_t bass_string, top_string; /* lowest- and highest-PITCHED strings */
} GlnGrip;

typedef enum GlnBassWish {
  GLN_BASS_OF_CHORD, /* slash bass where written, else the root */
  GLN_BASS_ANY,
  GLN_BASS_NOTE
} GlnBassWish;
typedef enum GlnOpenWish { GLN_OPEN_ALLOWED, GLN_OPEN_NEVER, GLN_OPEN_WANTED } GlnOpenWish;

typedef struct GlnGripQuery {
  const GlnChord *chord; /* not silent */
  const GlnInstrument *instrument;
  const GlnHand *hand;
  uint16_t textures;          /* bits wanted, any of them; 0: any texture */
  uint8_t strings;            /* bit n: string index n may sound; 0: all */
  int8_t fret_low, fret_high; /* stopped frets allowed, from the capo; 0 and 0: the whole neck */
  GlnBassWish bass_wish;
  int8_t bass_pitch_class; /* for GLN_BASS_NOTE */
  int8_t top_pitch_class;  /* wanted on top, -1 none */
  int16_t top_midi;        /* exact pitch wanted on top, -1 none */
  GlnOpenWish open_wish;
  GlnRightHand right_hand;
} GlnGripQuery;

GlnGripQuery gln_grip_query_defaults(const GlnChord *chord, const GlnInstrument *instrument,
                                     const GlnHand *hand);

typedef struct GlnGripList {
  GlnGrip *grips; /* easiest first; ties by frets, so the order is always the same */
  size_t count;
  uint16_t
      let_go; /* bit n: tone n of the chord, which else must sound, may be silent here for want of strings */
  uint64_t looked_at; /* partial and whole fret combinations the search visited */
} GlnGripList;

#define GLN_GRIPS_MAX                                                                                        \
  100000 /* more than any six strings give; only rootless searches on seven or eight pass it */

/* Every playable grip that the query admits: complete over all fret combinations. Where the chord has more tones that must
 * sound than there are strings for, the least needed may be silent (docs/hand-model.md); so too, where nothing is asked
 * for but the chord and its bass, when no hand can hold them all. An empty list is GLN_OK. GLN_LIMIT when there are more
 * than GLN_GRIPS_MAX: narrow the textures, the strings or the frets. */
GLN_MUST_USE GlnStatus gln_grip_search(const GlnGripQuery *query, GlnArena *arena, GlnGripList *list);

/* Tones by their degrees, in words: "the b9 and the #11". */
void gln_tones_describe(const GlnChord *chord, uint16_t tones, GlnBuffer *out);

/* One given shape as a grip of the chord. GLN_NO, with what is wrong in *fault, when a note is foreign to the
 * chord, a tone that must sound is missing, or no hand of this size can hold it. */
GLN_MUST_USE GlnStatus gln_grip_of_frets(const GlnGripQuery *query, const GlnFrets *frets, GlnGrip *grip,
                                         GlnSymbolFault *fault);

/* ---- names ---------------------------------------------------------------------------------------------- */

/* What sounds, all that a name depends on. */
typedef struct GlnNoteSet {
  uint16_t pitch_classes; /* bit n: pitch class n */
  int8_t bass;            /* pitch class of the lowest pitch, -1 when nothing sounds */
  bool high;              /* nothing sounds low enough to be heard as a bass */
  bool
      few; /* nor can it, on the few strings of this instrument, which hold no more than four notes (ukulele) */
} GlnNoteSet;

/* Sounding pitches of a grip, the lowest first; returns how many. */
int gln_frets_pitches(const GlnInstrument *instrument, const GlnFrets *frets, int8_t midi[GLN_STRINGS_MAX]);
/* Pitches in any order, MIDI numbers. */
GlnNoteSet gln_note_set_of(const int8_t *midi, size_t count);
/* The same, held on an instrument. */
GlnNoteSet gln_note_set_on(const GlnInstrument *instrument, const int8_t *midi, size_t count);

typedef enum GlnNameKind {
  GLN_NAME_PLAIN,    /* the root in the bass */
  GLN_NAME_INVERTED, /* another tone of the chord in the bass */
  GLN_NAME_SLASH,    /* a triad or seventh chord over a bass that is foreign to it */
  GLN_NAME_ROOTLESS  /* the root is left to another player */
} GlnNameKind;

/* One reading of what sounds, as yet unspelled. */
typedef struct GlnName {
  GlnNameKind kind;
  int8_t root, bass; /* pitch classes; the root for a bass on few strings */
  int16_t formula;   /* index into the namer's formulas */
  float cost;        /* how far from the plainest name, from 0; docs/naming.md */
} GlnName;

#define GLN_NAMES_MAX 64 /* names of one sounding; the worst are dropped past it */

/* Every chord of the table of qualities, and those with one tension more, by the sets of tones that can stand for it:
 * made once, then asked as often as wanted. Lives in the arena. */
typedef struct GlnNamer GlnNamer;
GLN_MUST_USE GlnStatus gln_namer_new(GlnArena *arena, GlnNamer **namer);
/* Writes at most GLN_NAMES_MAX names and returns how many; 0 when no chord is in sight. Best first, but on few strings,
 * where one shape is many chords, readings unlike those told before come first. */
size_t gln_namer_find(const GlnNamer *namer, GlnNoteSet sounding, GlnName out[GLN_NAMES_MAX]);
/* The chord a name stands for, spelled as a musician in the key would, or with the fewest accidentals when key is
 * NULL; its bass is written unless it is the root or the root is left out. */
GLN_MUST_USE GlnStatus gln_name_chord(const GlnNamer *namer, const GlnName *name, const GlnKey *key,
                                      GlnChord *chord);
/* The same as text, as gln_chord_print would print the chord, but without building it; returns its length. */
size_t gln_name_print(const GlnNamer *namer, const GlnName *name, const GlnKey *key, GlnSigns signs,
                      char out[GLN_SYMBOL_TEXT_MAX]);
/* Plain sentences: why names[index], spelled as chord, is a name of what sounds; which of the others has the same notes,
 * spelled for the key (NULL: none). */
void gln_name_reason(const GlnNamer *namer, const GlnName *names, size_t count, size_t index,
                     const GlnChord *chord, GlnNoteSet sounding, const GlnKey *key, GlnBuffer *out);
/* What can be said of pitches (the lowest first) besides a name, or in place of one: "a stack of fourths", "a cluster",
 * "a major third"; NULL when there is nothing to say. */
const char *gln_pitches_words(const int8_t *midi, size_t count);

/* ---- a line of grips without symbols ---------------------------------------------------------------------- */

#define GLN_FRETS_LINE_MAX 512 /* grips of one line */

typedef struct GlnFretsPlace {
  GlnFrets frets;
  size_t bar;            /* from 0 */
  size_t offset, length; /* in the text */
} GlnFretsPlace;

typedef struct GlnFretsLine {
  GlnFretsPlace *places;
  size_t count;
  size_t bar_count;
} GlnFretsLine;

/* "x32010 x02210 | xx0211 320003": grips with blanks or line ends between, bar lines where the writer put any; without
 * a bar line every grip is a bar. GLN_INPUT, or GLN_LIMIT past GLN_FRETS_LINE_MAX, and *fault when it cannot. */
GLN_MUST_USE GlnStatus gln_frets_line_parse(GlnText text, GlnArena *arena, GlnFretsLine *line,
                                            GlnSymbolFault *fault);

/* ---- shapes: one identity along the neck and across string sets ------------------------------------------ */

#define GLN_SHAPE_TEXT_MAX 48
/* Semitones above the lowest string played, string by string, x for one that is skipped: 3x443x and 5x665x are both
 * "0.x.10.16.19", and so is the same shape on other strings, its frets shifted as the tuning asks. */
size_t gln_shape_print(const GlnInstrument *instrument, const GlnFrets *frets, char out[GLN_SHAPE_TEXT_MAX]);
size_t gln_grip_shape_print(const GlnGrip *grip, char out[GLN_SHAPE_TEXT_MAX]);
/* Textures of a shape taken as this chord, of which every sounding string must be a tone. */
uint16_t gln_frets_textures(const GlnInstrument *instrument, const GlnChord *chord, const GlnFrets *frets);
/* True when no open string sounds: the shape can be moved along the neck as it is. */
bool gln_shape_movable(const GlnFrets *frets);

/* ---- proof-reading ---------------------------------------------------------------------------------------
 * Does a grip sound the chord written over it, and if not, which slip of the pen explains it? docs/proof.md */

/* X(name, key, words). First the slips that a right grip explains, then what is wrong where none does. */
#define GLN_PROBLEM_LIST(X)                                                                                  \
  X(GLN_PROBLEM_FRET, "fret", "one fret off")                                                                \
  X(GLN_PROBLEM_SWAP, "swap", "two frets swapped")                                                           \
  X(GLN_PROBLEM_STRING, "string", "one string off")                                                          \
  X(GLN_PROBLEM_POSITION, "position", "right shape, wrong position")                                         \
  X(GLN_PROBLEM_REVERSED, "reversed", "written from the highest string")                                     \
  X(GLN_PROBLEM_FOREIGN, "foreign", "a note foreign to the chord")                                           \
  X(GLN_PROBLEM_MISSING, "missing", "a note is missing without which it is another chord")                   \
  X(GLN_PROBLEM_BASS, "bass", "the wrong bass")                                                              \
  X(GLN_PROBLEM_UNPLAYABLE, "unplayable", "no hand of this size can hold it")
typedef enum GlnProblem {
#define GLN_PROBLEM_NAME(name, key, words) name,
  GLN_PROBLEM_LIST(GLN_PROBLEM_NAME)
#undef GLN_PROBLEM_NAME
      GLN_PROBLEM_COUNT
} GlnProblem;
const char *gln_problem_key(GlnProblem problem);
const char *gln_problem_words(GlnProblem problem);

/* A right grip near the one that was read. */
typedef struct GlnSuggestion {
  GlnFrets frets;
  GlnFingering fingering;
  GlnProblem slip;           /* up to GLN_PROBLEM_REVERSED, or GLN_PROBLEM_COUNT: other digits differ */
  int8_t string_a, string_b; /* the string that changes; the two that change places; -1 for whole shapes */
  int8_t shift; /* strings upward, or frets toward the bridge, that take the read shape to this one */
  float cost;   /* how unlikely; smallest first */
} GlnSuggestion;

#define GLN_SUGGESTIONS_MAX 8

typedef struct GlnProof {
  GlnFrets frets;          /* as read */
  GlnProblem problem;      /* meaningful when there is a fault */
  uint8_t foreign_strings; /* bit n: string index n sounds a note foreign to the chord */
  uint16_t missing_tones;  /* bit n: tone n of the chord, which must sound, does not */
  bool bass_wrong;         /* the slash bass is not the lowest note */
  bool unplayable;
  /* Remarks, no faults: the root is left out; another chord tone than the root lies lowest; this hand is too small. */
  bool rootless, inverted, strained;
  int8_t bass_string;                             /* lowest-pitched string that sounds */
  GlnSuggestion suggestions[GLN_SUGGESTIONS_MAX]; /* likeliest first */
  int8_t suggestion_count;
} GlnProof;

/* Reads one grip. GLN_OK: it is right, remarks apart. GLN_NO: it has a fault; *proof says which. GLN_USAGE: the
 * frets do not fit the instrument (strings, highest fret). strict: what this hand cannot hold is a fault; otherwise what
 * no hand can. Where no slip explains a fault the nearest grip of the whole search is suggested; scratch memory comes
 * from the arena and is given back. */
GLN_MUST_USE GlnStatus gln_proof_read(const GlnChord *chord, const GlnInstrument *instrument,
                                      const GlnHand *hand, bool strict, const GlnFrets *frets,
                                      GlnArena *arena, GlnProof *proof);
/* Sentences: what is wrong ("string 3 sounds A♭, which is not in C6/9"), and what to do about it ("x32233: string 3: fret
 * 2 in place of fret 1"). */
void gln_proof_describe(const GlnProof *proof, const GlnChord *chord, const GlnInstrument *instrument,
                        GlnBuffer *out);
void gln_suggestion_describe(const GlnProof *proof, const GlnSuggestion *suggestion,
                             const GlnInstrument *instrument, GlnBuffer *out);
/* Strings are not tuned in rising order, so the lowest string need not sound the lowest note (ukulele). */
bool gln_instrument_reentrant(const GlnInstrument *instrument);
/* Re-entrant with four strings or fewer (ukulele): all of them are strummed. Common practice, no published source. */
bool gln_instrument_strummed_whole(const GlnInstrument *instrument);

/* ---- grips in plain text, as people paste them --------------------------------------------------------------- */

/* Limits, each named in its message and in docs/proof.md. */
#define GLN_PASTED_BYTES_MAX ((size_t)1024 * 1024)
#define GLN_PASTED_GRIPS_MAX 10000
#define GLN_PASTED_WORDS_MAX 256 /* chord names, frets and fingers on one line */

typedef struct GlnPastedGrip {
  GlnText symbol; /* in the source, like every text here */
  GlnChord chord;
  GlnText text; /* of the frets, as typed */
  GlnFrets frets;
  bool has_fingers;
  int8_t finger[GLN_STRINGS_MAX]; /* as in GlnFingering */
} GlnPastedGrip;

typedef struct GlnPasted {
  GlnPastedGrip *grips; /* in the order of the text */
  size_t count;
  size_t bare_count; /* chord names without frets, on lines of nothing but chord names */
} GlnPasted;

/* Reads lines of chord names and frets in any order, fingers beside them or not: docs/proof.md. Lines without frets are
 * passed over. source must outlive *pasted. Faults go to diags, all of them; GLN_INPUT then, or GLN_LIMIT. */
GLN_MUST_USE GlnStatus gln_pasted_read(GlnText source, int string_count, GlnArena *arena, GlnDiags *diags,
                                       GlnPasted *pasted);
/* Is this text rather a chart? Its bars stand between bar lines, and no frets stand there by themselves. */
bool gln_pasted_is_chart(GlnText source);

#endif
