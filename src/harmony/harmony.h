/* harmony: what each chord does in its place — keys, functions, Roman numerals, roles — and why.
 *
 * Needs base and theory. Pure: no I/O, clock or globals.
 * Knows no charts: the app hands it the chords of the played-through form as steps. */
#ifndef GLN_HARMONY_H
#define GLN_HARMONY_H

#include "base.h"
#include "theory.h"

/* One chord in its place. */
typedef struct GlnStep {
  const GlnChord *chord;    /* silent for N.C. */
  GlnRatio start, quarters; /* quarter notes from the song's start, and length */
  bool phrase_starts;       /* first chord of a section */
  bool bar_starts;          /* begins on a bar line */
} GlnStep;

/* ---- chord classes: what a quality can do, all spelling and colour left aside
 * ------------------------------ */

typedef enum GlnClass {
  GLN_CLASS_MAJOR,    /* major triad, sixth, add9: may be tonic, subdominant or dominant */
  GLN_CLASS_MAJOR7,   /* with a major seventh: never a dominant */
  GLN_CLASS_DOMINANT, /* major third (or sus) and minor seventh */
  GLN_CLASS_MINOR,
  GLN_CLASS_HALF_DIM, /* minor third, flat fifth, minor seventh */
  GLN_CLASS_DIM,
  GLN_CLASS_AUG,
  GLN_CLASS_SUS, /* sus without a seventh, and bare fifths: third left open */
  GLN_CLASS_COUNT
} GlnClass;

GlnClass gln_chord_class(const GlnChord *chord);

/* ---- functions and roles
 * -------------------------------------------------------------------------------------- */

typedef enum GlnFunction {
  GLN_FUNCTION_NONE,
  GLN_FUNCTION_TONIC,
  GLN_FUNCTION_SUBDOMINANT,
  GLN_FUNCTION_DOMINANT
} GlnFunction;
const char *gln_function_words(GlnFunction function); /* "tonic" */

/* X(name, key in JSON, words). What a chord is in its place. */
#define GLN_ROLE_IN_PLACE_LIST(X)                                                                            \
  X(GLN_PLACE_FOREIGN, "foreign", "outside the key")                                                         \
  X(GLN_PLACE_DIATONIC, "diatonic", "of the key")                                                            \
  X(GLN_PLACE_TWO_FIVE, "two-five", "half of a ii–V")                                                        \
  X(GLN_PLACE_SECONDARY_DOMINANT, "secondary-dominant", "secondary dominant")                                \
  X(GLN_PLACE_RELATED_II, "related-ii", "related ii")                                                        \
  X(GLN_PLACE_TRITONE_SUB, "tritone-substitute", "tritone substitute")                                       \
  X(GLN_PLACE_BACKDOOR, "backdoor-dominant", "backdoor dominant")                                            \
  X(GLN_PLACE_LEADING_DIM, "leading-diminished", "leading-note diminished")                                  \
  X(GLN_PLACE_PASSING_DIM, "passing-diminished", "passing diminished")                                       \
  X(GLN_PLACE_COMMON_TONE_DIM, "common-tone-diminished", "common-tone diminished")                           \
  X(GLN_PLACE_BORROWED, "borrowed", "borrowed from the parallel key")                                        \
  X(GLN_PLACE_BLUES, "blues", "blues seventh")                                                               \
  X(GLN_PLACE_TONICISED, "tonicised", "home for a moment")                                                   \
  X(GLN_PLACE_CHROMATIC, "chromatic-approach", "chromatic approach")                                         \
  X(GLN_PLACE_PEDAL, "pedal", "over a pedal")
typedef enum GlnPlaceRole {
#define GLN_PLACE_NAME(name, key, words) name,
  GLN_ROLE_IN_PLACE_LIST(GLN_PLACE_NAME)
#undef GLN_PLACE_NAME
      GLN_PLACE_COUNT
} GlnPlaceRole;
const char *gln_place_key(GlnPlaceRole role);
const char *gln_place_words(GlnPlaceRole role);

#define GLN_ROMAN_TEXT_MAX 48

/* A key that fits a stretch nearly as well. */
typedef struct GlnRival {
  GlnKey key;
  double score;
} GlnRival;
#define GLN_RIVALS_MAX 3

/* A stretch of steps heard in one key. */
typedef struct GlnRegion {
  GlnKey key;
  size_t first, count; /* steps */
  bool clear;          /* false: the evidence is too thin or too mixed to speak of a key */
  double score;        /* cost of hearing this stretch in this key, lower is stronger; docs/harmony.md */
  GlnRival alternatives[GLN_RIVALS_MAX]; /* strongest first */
  size_t alternative_count;
  size_t pivot; /* step that belongs to the last region's key as well; SIZE_MAX when none */
} GlnRegion;

typedef struct GlnReading {
  GlnKey key;
  GlnFunction function;
  GlnPlaceRole role;
  char roman[GLN_ROMAN_TEXT_MAX]; /* "V7/ii", Unicode accidentals */
  const char *reason;             /* a teacher's sentence; constant */
  double cost;                    /* how far from the plain key: 0 of it, 1 foreign */
} GlnReading;

typedef struct GlnAnalysis {
  GlnRegion *regions;
  size_t region_count;  /* at least 1 unless every step is silent */
  GlnReading *readings; /* one per step */
  size_t step_count;
} GlnAnalysis;

/* Keys by dynamic programming over all 24, then each step's reading in its key. stated: the key its author names,
 * light evidence for the opening that settles what the chords leave open; NULL when none. Where no key is clear the
 * region says so and its readings carry no numerals. Lives in the arena. */
GLN_MUST_USE GlnStatus gln_harmony_analyse(const GlnStep *steps, size_t count, const GlnKey *stated,
                                           GlnArena *arena, GlnAnalysis **analysis);

/* Each step's reading in a key that is given, one per step. */
GLN_MUST_USE GlnStatus gln_harmony_read(const GlnStep *steps, size_t count, GlnKey key, GlnArena *arena,
                                        GlnReading *readings);

/* The whole of text, a numeral as the readings write it ("♭VII7", "viiø7", "V7/ii"; b and # will do for ♭ and ♯), as
 * the chord it names in the key. Degrees count on the major scale in both modes; after a slash, from that degree.
 * GLN_INPUT when it is no numeral, or its root would need more accidentals than a symbol may have. */
GLN_MUST_USE GlnStatus gln_roman_parse(GlnText text, GlnKey key, GlnChord *chord);

/* ---- choosing between names --------------------------------------------------------------------------- */

#define GLN_CHOICES_MAX 8

/* A chord that may be the one, and what is against it besides harmony: on the scale of the rules (0 nothing, 1 as much
 * as a chord foreign to the key for a bar). */
typedef struct GlnChoice {
  const GlnChord *chord;
  double cost;
} GlnChoice;

/* A place of which the chord is not settled; step.chord is not looked at. */
typedef struct GlnOpenStep {
  GlnStep step;
  const GlnChoice *choices; /* none silent */
  size_t count;             /* 1..GLN_CHOICES_MAX */
} GlnOpenStep;

typedef struct GlnChosen {
  size_t choice; /* index into the step's choices */
  GlnKey key;    /* heard there */
} GlnChosen;

/* The cheapest choices and keys together, exact over every combination of choices × keys; a chord goes where the next
 * step goes, also when that has the same root. key NULL: any of the 24, and changes of key. chosen: one per step.
 * *total (may be NULL) gets the cost of the whole. Memory and time grow with the steps, and with the third and fourth
 * power of the choices. */
GLN_MUST_USE GlnStatus gln_harmony_choose(const GlnOpenStep *steps, size_t count, const GlnKey *key,
                                          GlnArena *arena, GlnChosen *chosen, double *total);

/* ---- remarks: what happens over several chords -------------------------------------------------------- */

/* X(name, key in JSON, words). */
#define GLN_REMARK_LIST(X)                                                                                   \
  X(GLN_REMARK_KEY_CHANGE, "key-change", "key change")                                                       \
  X(GLN_REMARK_VISIT, "passing-key", "passing key")                                                          \
  X(GLN_REMARK_BLUES, "blues", "blues form")                                                                 \
  X(GLN_REMARK_CADENCE, "cadence", "cadence")                                                                \
  X(GLN_REMARK_HALF_CLOSE, "half-close", "half close")                                                       \
  X(GLN_REMARK_TURNAROUND, "turnaround", "turnaround")                                                       \
  X(GLN_REMARK_LINE_CLICHE, "line-cliche", "line cliché")                                                    \
  X(GLN_REMARK_CHROMATIC_BASS, "chromatic-bass", "chromatic bass")                                           \
  X(GLN_REMARK_PEDAL, "pedal", "pedal")                                                                      \
  X(GLN_REMARK_GUIDE_TONES, "guide-tones", "guide-tone line")
typedef enum GlnRemarkKind {
#define GLN_REMARK_NAME(name, key, words) name,
  GLN_REMARK_LIST(GLN_REMARK_NAME)
#undef GLN_REMARK_NAME
      GLN_REMARK_KIND_COUNT
} GlnRemarkKind;
const char *gln_remark_key(GlnRemarkKind kind);
const char *gln_remark_words(GlnRemarkKind kind);

typedef struct GlnRemark {
  GlnRemarkKind kind;
  size_t first, last; /* steps */
  GlnText name;       /* "ii–V–I", empty when the kind says it all */
  GlnText text;       /* a teacher's sentence */
} GlnRemark;

typedef struct GlnRemarks {
  GlnRemark *items; /* by first step, then kind */
  size_t count;
} GlnRemarks;

/* Cadences, turnarounds, key changes and why they pass unnoticed, and the lines inside the chords. */
GLN_MUST_USE GlnStatus gln_harmony_remark(const GlnStep *steps, size_t count, const GlnAnalysis *analysis,
                                          GlnArena *arena, GlnRemarks *remarks);

/* ---- stand-ins ------------------------------------------------------------------------------------------- */

/* X(name, key in JSON, words). */
#define GLN_STANDIN_LIST(X)                                                                                  \
  X(GLN_STANDIN_RICHER, "richer", "richer")                                                                  \
  X(GLN_STANDIN_SIMPLER, "simpler", "simpler")                                                               \
  X(GLN_STANDIN_THIRD, "diatonic-third", "diatonic third")                                                   \
  X(GLN_STANDIN_RELATIVE, "relative", "relative")                                                            \
  X(GLN_STANDIN_TRITONE, "tritone-substitute", "tritone substitute")                                         \
  X(GLN_STANDIN_RELATED_II, "related-ii", "related ii")                                                      \
  X(GLN_STANDIN_SECONDARY, "secondary-dominant", "secondary dominant")                                       \
  X(GLN_STANDIN_DIMINISHED, "diminished", "diminished")                                                      \
  X(GLN_STANDIN_BACKDOOR, "backdoor", "backdoor")                                                            \
  X(GLN_STANDIN_BORROWED, "modal-interchange", "modal interchange")                                          \
  X(GLN_STANDIN_SUSPENDED, "suspended", "suspended")                                                         \
  X(GLN_STANDIN_PEDAL, "pedal", "pedal")                                                                     \
  X(GLN_STANDIN_SLASH, "slash", "slash reading")                                                             \
  X(GLN_STANDIN_CHROMATIC, "chromatic-approach", "chromatic approach")
typedef enum GlnStandinKind {
#define GLN_STANDIN_NAME(name, key, words) name,
  GLN_STANDIN_LIST(GLN_STANDIN_NAME)
#undef GLN_STANDIN_NAME
      GLN_STANDIN_KIND_COUNT
} GlnStandinKind;
const char *gln_standin_key(GlnStandinKind kind);
const char *gln_standin_words(GlnStandinKind kind);

/* Where the new chord sounds: for the whole slot, in its first half with the old chord after it, or in its second. */
typedef enum GlnStandinWhere { GLN_STANDIN_INSTEAD, GLN_STANDIN_BEFORE, GLN_STANDIN_AFTER } GlnStandinWhere;

/* A chord that wants stand-ins, in its place. */
typedef struct GlnStandinPlace {
  const GlnChord *chord; /* not silent */
  const GlnChord *last;  /* the chord before it, NULL for none */
  const GlnChord *next;  /* the next chord that has another root, NULL for none */
  GlnKey key;
  GlnFunction function;
} GlnStandinPlace;

typedef struct GlnStandin {
  GlnStandinKind kind;
  GlnStandinWhere where;
  GlnChord chord;
  GlnText reason;  /* a teacher's sentence, true of these very chords */
  int pitch_space; /* tonal pitch space, from the old chord to the new in the key of the place */
  uint32_t claims; /* what the sentence claims, of GlnStandinClaim */
} GlnStandin;

/* What a rule promises; a stand-in that breaks its promise is never offered. */
typedef enum GlnStandinClaim {
  GLN_CLAIM_KEEPS_ALL = 1 << 0,  /* every tone of the old chord */
  GLN_CLAIM_WITHIN = 1 << 1,     /* no tone that the old chord lacks */
  GLN_CLAIM_NEW_IN_KEY = 1 << 2, /* tones that the old chord lacks are of the key */
  GLN_CLAIM_IN_KEY = 1 << 3,     /* all tones of both chords are */
  GLN_CLAIM_GUIDES = 1 << 4,     /* both chords have the same third and seventh, as pitches */
  GLN_CLAIM_COMMON_1 = 1 << 5,   /* common tones, at least */
  GLN_CLAIM_COMMON_2 = 1 << 6,
  GLN_CLAIM_COMMON_3 = 1 << 7,
  GLN_CLAIM_SAME_ROOT = 1 << 8,
  GLN_CLAIM_SEMITONE_TO_NEXT = 1 << 9, /* the root goes a semitone to the next root */
  GLN_CLAIM_FIFTH_TO_NEXT = 1 << 10,   /* the root goes a fifth down to the next root */
  GLN_CLAIM_FIFTH_TO_OLD = 1 << 11,    /* or to the old root */
  GLN_CLAIM_SEMITONE_FROM_OLD = 1 << 12,
  GLN_CLAIM_KEEPS_GUIDES = 1 << 13, /* the old third and seventh are in the new chord */
  GLN_CLAIM_SAME_BASS = 1 << 14,
  GLN_CLAIM_BASS_ONLY = 1 << 15,    /* the old chord over another bass */
  GLN_CLAIM_TONE_TO_NEXT = 1 << 16, /* the root goes a whole tone up to the next root */
  GLN_CLAIM_NO_THIRD = 1 << 17      /* the fourth or second in place of the third */
} GlnStandinClaim;
bool gln_standin_claim_holds(const GlnStandinPlace *place, const GlnChord *chord, uint32_t claims);

typedef struct GlnStandins {
  GlnStandin *items; /* in the order of the table of rules; no chord twice in the same part of the slot */
  size_t count;
} GlnStandins;
GLN_MUST_USE GlnStatus gln_standins_find(const GlnStandinPlace *place, GlnArena *arena,
                                         GlnStandins *standins);

/* What a chord does to a note that is asked for on top. */
typedef enum GlnTopEffect {
  GLN_TOP_IN_CHORD, /* a tone of it */
  GLN_TOP_TENSION,  /* foreign, but no semitone above a tone */
  GLN_TOP_CLASH     /* a semitone above a tone; a dominant's flat ninth excepted */
} GlnTopEffect;
GlnTopEffect gln_top_effect(const GlnChord *chord, GlnNote top);

/* Chords of a song that do one job in place. */
typedef struct GlnChordFamily {
  GlnKey key;
  GlnFunction function;
  const char *target; /* numeral of the chord that it leads to, "" for the key's own tonic */
  size_t *members;    /* steps: the first place of each distinct chord that does this job */
  size_t member_count;
} GlnChordFamily;
typedef struct GlnFamilies {
  GlnChordFamily *items; /* by first member */
  size_t count;
  size_t *family; /* of each step; SIZE_MAX for silence */
} GlnFamilies;
/* One family: same function in the same key toward the same goal, and shared guide tones, two common tones or the same next
 * root. readings: one per step, as analysed or read in a key. */
GLN_MUST_USE GlnStatus gln_families_find(const GlnStep *steps, size_t count, const GlnReading *readings,
                                         GlnArena *arena, GlnFamilies *families);
/* The step with the next chord of another root, count when none. */
size_t gln_next_step(const GlnStep *steps, size_t count, size_t i);

/* ---- fewer chords ------------------------------------------------------------------------------------------ */

/* Which chords may be used besides the song's own. */
typedef enum GlnChordLevel {
  GLN_CHORDS_BEGINNER,     /* triads and dominant sevenths alone */
  GLN_CHORDS_INTERMEDIATE, /* no tensions and no slash basses */
  GLN_CHORDS_FULL          /* the song's own, and their plain forms */
} GlnChordLevel;

typedef struct GlnChordSong {
  const GlnStep *steps;
  const GlnReading *readings; /* one a step */
  size_t count;
  const uint32_t *groups; /* of each step: those of one group change alike; from 0 up */
  size_t group_count;
  const GlnNote *const *tops; /* of each step, the note asked for on top or NULL; NULL for none at all */
} GlnChordSong;

typedef struct GlnFewerChords {
  const GlnChord **chord_of; /* of each step; NULL for silence */
  double *points_of;         /* of each step, its part of the loss */
  size_t chord_count;
  double loss; /* points: docs/reduce.md */
  double
      bound; /* no choice of so few chords loses less; equal to loss where that is proved to be the least */
} GlnFewerChords;
/* The song on at most so many different chords (1 or more), with the least harmonic loss. GLN_INPUT when nothing
 * sounds. */
GLN_MUST_USE GlnStatus gln_chords_reduce(const GlnChordSong *song, size_t most, GlnChordLevel level,
                                         GlnArena *arena, GlnFewerChords *fewer);
/* A chord that only leads on, by its role: it may be left out. */
bool gln_chord_leads_on(const GlnReading *reading);
/* How a chord would read in the place of step i, in the key of that place. */
GLN_MUST_USE GlnStatus gln_reading_in_place(const GlnChordSong *song, size_t i, const GlnChord *chord,
                                            GlnArena *arena, GlnReading *reading);
/* Do both lead to the same chord, "ii" of "V7/ii", or to none in particular? */
bool gln_same_goal(const GlnReading *a, const GlnReading *b);

/* ---- openings, turnarounds, endings ---------------------------------------------------------------------- */

typedef enum GlnFrameKind {
  GLN_FRAME_OPENING,
  GLN_FRAME_TURNAROUND,
  GLN_FRAME_ENDING,
  GLN_FRAME_KIND_COUNT
} GlnFrameKind;

/* How full the tune's chords are. */
typedef enum GlnFrameStyle { GLN_FRAME_TRIADS, GLN_FRAME_WITH_SEVENTHS, GLN_FRAME_WITH_NINTHS } GlnFrameStyle;

/* What the tune is, and what a frame is joined to. Chords none silent; they must outlive the frames. */
typedef struct GlnFramePlace {
  GlnKey key;
  GlnFrameStyle style;
  bool blues;                    /* home and IV carry a seventh as colour */
  const GlnChord *before;        /* what sounds before it; NULL where it begins the music */
  const GlnChord *goal;          /* what it leads to; NULL where it ends the music */
  const GlnChord *const *phrase; /* the tune's last bars, for an opening made of them */
  const uint8_t *phrase_bar;     /* of each: bars from the tune's end, 1 the last; falling */
  size_t phrase_count;
  const GlnChord *const *there; /* what the chart has in this place */
  size_t there_count;
} GlnFramePlace;

typedef struct GlnFrameChord {
  GlnChord chord;
  uint16_t bar; /* of the frame, from 0 */
} GlnFrameChord;

typedef struct GlnFrame {
  GlnFrameKind kind;
  const char *name; /* "key-of-the-dominant" */
  GlnFrameChord *chords;
  size_t chord_count;
  uint16_t bar_count;
  GlnText reason;
  double cost;   /* how far from the plainest that joins best; ranks */
  bool in_chart; /* the chart has these roots there already */
} GlnFrame;

typedef struct GlnFrames {
  GlnFrame *items; /* best first */
  size_t count;
} GlnFrames;
GLN_MUST_USE GlnStatus gln_frames_find(GlnFrameKind kind, const GlnFramePlace *place, GlnArena *arena,
                                       GlnFrames *frames);
/* The style of chords, by the time they last. */
GlnFrameStyle gln_frame_style(const GlnStep *steps, size_t count);

/* ---- distance ------------------------------------------------------------------------------------------ */

/* Lerdahl's tonal pitch space distance from one chord in its key to another in its own: 0 for the same chord,
 * 5 from I to V. Neither chord silent. Source and the two extensions: pitch_space.c. */
int gln_pitch_space_distance(const GlnChord *from, GlnKey from_key, const GlnChord *to, GlnKey to_key);

/* How near two keys sound, from 1 (the same) to about -0.7 (a tritone apart): the correlation of their probe-tone
 * profiles (Krumhansl and Kessler 1982). */
double gln_key_nearness(GlnKey a, GlnKey b);

#endif
