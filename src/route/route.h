/* route: the move from one grip to the next, and the line — the best way through all slots.
 *
 * Needs base, theory, grip, song. Pure: no I/O, clock or globals. */
#ifndef GLN_ROUTE_H
#define GLN_ROUTE_H

#include "base.h"
#include "grip.h"
#include "song.h"
#include "theory.h"

/* ---- moves --------------------------------------------------------------------------------------------- */

typedef enum GlnFingerMove {
  GLN_FINGER_IDLE,   /* stops nothing before or after */
  GLN_FINGER_STAYS,  /* same string, same fret */
  GLN_FINGER_SLIDES, /* same string, other fret: kept on the string as a guide */
  GLN_FINGER_SHIFTS, /* lifts and lands elsewhere */
  GLN_FINGER_LIFTS,  /* stops nothing after */
  GLN_FINGER_LANDS   /* stopped nothing before */
} GlnFingerMove;

typedef struct GlnMove {
  GlnFingerMove finger[5]; /* fingers 1..4, then the thumb */
  float travel_mm[5];      /* path of each fingertip */
  int8_t fret_change[5];   /* frets up (+) or down (-), for slides and shifts */
  float shift_mm;          /* of the hand as a whole along the neck, signed toward the bridge */
  int8_t shift_frets;      /* of the hand's position */
  bool parallel;           /* one shape kept and moved whole */
  bool barre_formed, barre_released;
  float seconds; /* time the change needs, by Fitts's law: docs/moves.md */
} GlnMove;

GlnMove gln_move_between(const GlnInstrument *instrument, const GlnGrip *from, const GlnGrip *to);
/* Words for people from the same data: "keep 1 and 4, slide 2 down two frets, 3 lands on string 3". */
void gln_move_describe(const GlnInstrument *instrument, const GlnGrip *from, const GlnGrip *to,
                       const GlnMove *move, GlnBuffer *out);

/* Highest tempo (quarter notes a minute) at which the change is comfortable when the grip before it lasts so many
 * quarter notes; INFINITY when nothing moves. */
double gln_move_tempo(const GlnMove *move, double quarters);

/* Smallest total of semitones between two sets of pitches, each voice of one going to some voice of the other:
 * Tymoczko, Science 313 (2006). With doubling every voice is used at least once; without, the sets must be of one
 * size and voices go one to one (-1 otherwise). */
int gln_voice_leading(const int8_t *from, size_t from_count, const int8_t *to, size_t to_count,
                      bool doubling);

/* The same between two sets of pitch classes 0..11, the short way round: C to F is 3. */
int gln_voice_leading_classes(const int8_t *from, size_t from_count, const int8_t *to, size_t to_count,
                              bool doubling);

/* ---- grips of one chord, ranked --------------------------------------------------------------------------- */

typedef struct GlnRankedGrip {
  const GlnGrip *grip; /* in the list that was ranked */
  double cost; /* as the line counts: holding, sound and, after a grip, the change with its voice leading */
  double move_seconds; /* of the change into it; 0 when there is none */
  double next_seconds; /* of the change out of it; 0 when there is none */
} GlnRankedGrip;

/* The grips of a list, best first: those that hold well and lack little; where after is not NULL, those that follow
 * it well. ranked gets list->count rows in the arena. */
GLN_MUST_USE GlnStatus gln_grips_rank(const GlnGripList *list, const GlnChord *chord,
                                      const GlnInstrument *instrument, const GlnGrip *after, GlnArena *arena,
                                      GlnRankedGrip **ranked);
/* The same between two grips, either of which may be NULL: both changes count. */
GLN_MUST_USE GlnStatus gln_grips_rank_between(const GlnGripList *list, const GlnChord *chord,
                                              const GlnInstrument *instrument, const GlnGrip *after,
                                              const GlnGrip *before, GlnArena *arena, GlnRankedGrip **ranked);

/* ---- the line ------------------------------------------------------------------------------------------- */

/* X(name, key in JSON, default weight, words). The one table of cost weights: points a unit, the unit being the one
 * named in the words. A point is about a second of hurry: docs/line.md says how they were chosen. */
#define GLN_COST_LIST(X)                                                                                     \
  X(GLN_COST_HOLD, "hold", 1.35, "how hard the grip is to hold, from 0 to 1")                                \
  X(GLN_COST_MOVE, "move", 1.3, "seconds the hand needs for the change, more when time is short")            \
  X(GLN_COST_TRAVEL, "travel", 0.09, "centimetres the hand goes along the neck past half a fret")            \
  X(GLN_COST_LEAD, "lead", 0.03, "semitones the upper voices go in all")                                     \
  X(GLN_COST_GUIDE, "guide", 0.3, "3rds and 7ths of seventh chords that do not go on by step or stay")       \
  X(GLN_COST_TOP, "top", 0.05, "semitones the top voice leaps past a third")                                 \
  X(GLN_COST_BASS, "bass", 0.05,                                                                             \
    "semitones the bass goes past the nearest place of its note, and past a fifth")                          \
  X(GLN_COST_SOUND, "sound", 1.25, "what the grip lacks: omitted, doubled, thin or muddy notes")
typedef enum GlnCost {
#define GLN_COST_NAME(name, key, weight, words) name,
  GLN_COST_LIST(GLN_COST_NAME)
#undef GLN_COST_NAME
      GLN_COST_COUNT
} GlnCost;
const char *gln_cost_key(GlnCost cost);
const char *gln_cost_words(GlnCost cost);

typedef enum GlnAim {
  GLN_AIM_SMOOTH, /* least total */
  GLN_AIM_EASY    /* least hardest move, then least total */
} GlnAim;

/* X(name, key, words). What the lowest voice of the line does. */
#define GLN_BASS_LINE_LIST(X)                                                                                \
  X(GLN_BASS_LINE_ROOTS, "roots", "each chord over its root, or over the bass that is written")              \
  X(GLN_BASS_LINE_CHROMATIC, "chromatic", "any root, 3rd, 5th or 7th, so that the bass goes by semitones")   \
  X(GLN_BASS_LINE_LOW, "low", "as roots, as low as the instrument goes")
typedef enum GlnBassLine {
#define GLN_BASS_LINE_NAME(name, key, words) name,
  GLN_BASS_LINE_LIST(GLN_BASS_LINE_NAME)
#undef GLN_BASS_LINE_NAME
      GLN_BASS_LINE_COUNT
} GlnBassLine;

/* What a section wishes otherwise than the rest of the line. */
typedef struct GlnSectionWish {
  bool has_textures, has_frets, has_bass_line, has_vary;
  uint16_t textures;
  int8_t fret_low, fret_high;
  GlnBassLine bass_line;
  bool vary;
} GlnSectionWish;

typedef struct GlnLineOptions {
  GlnInstrument instrument;
  GlnHand hand;
  GlnAim aim;
  uint16_t textures; /* as GlnGripQuery.textures; 0: any, and the sound weight prefers the usual ones */
  uint8_t strings;   /* as GlnGripQuery.strings */
  int8_t fret_low, fret_high; /* region of the neck; 0 and 0: all of it */
  GlnOpenWish open_wish;
  GlnRightHand right_hand;
  bool vary;    /* a chord that comes round again is held otherwise than before; not with grips_most */
  double tempo; /* quarter notes a minute; 0: the chart's */
  GlnBassWish bass_wish; /* GLN_BASS_ANY: a chord's own bass need not be the lowest note */
  GlnBassLine bass_line;
  const GlnSectionWish *sections; /* by the chart's sections, may be fewer or NULL */
  size_t section_count;
  uint32_t grips_most; /* distinct grips the line may have; 0: any number. Aim smooth alone: docs/reduce.md */
  uint32_t shapes_most; /* distinct shapes, as gln_same_shape tells them apart, when grips_most is 0 */
  bool simplify; /* a chord may be played on a grip that sounds a simpler or a related one: docs/reduce.md */
  double weight[GLN_COST_COUNT];
} GlnLineOptions;

/* One shape: the same strings, the same fingers, the same frets counted from the lowest stopped one. A grip with an
 * open string is a shape of its own, for it cannot be moved. */
bool gln_same_shape(const GlnGrip *a, const GlnGrip *b);

GlnLineOptions gln_line_defaults(void);

typedef struct GlnLineSlot {
  const GlnSlot *slot;
  bool silent; /* N.C.: no grip */
  GlnGrip grip;
  const GlnChord
      *chord;      /* as it is held: the written one, with the tune's note where that is foreign to it, or the
                      one that is played instead */
  bool simplified; /* another chord is played than is written */
  size_t distinct; /* index into GlnLine.distinct */
  double cost
      [GLN_COST_COUNT]; /* weighted; move, travel, lead, guide, top and bass are those of the change into this slot */
  GlnMove move;         /* into this slot from the last grip; all idle for the first */
  double load;          /* time the move needs, over the time there is for it: above 1 it is too hurried */
} GlnLineSlot;

typedef struct GlnLine {
  const GlnSong *song;
  GlnLineSlot *slots; /* one per song slot */
  size_t slot_count;
  double total;
  double
      bound; /* no line under the same wishes totals less; equal to total where the line is the exact optimum */
  size_t *distinct; /* for each distinct grip, the first slot that uses it */
  size_t distinct_count;
  size_t candidates;    /* grips considered, over all distinct chords */
  size_t pairs_costed;  /* changes costed: each at most once per distinct pair of chords */
  double tempo;         /* quarter notes a minute it was solved for */
  size_t hardest;       /* the slot with the greatest load; slot_count when no slot has a move */
  double highest_tempo; /* at which that move is still comfortable; INFINITY when there is none */
} GlnLine;

/* Limit, named in its message and in docs/line.md. */
#define GLN_LINE_SLOTS_MAX 50000

/* The exact optimum. Faults (no playable grip for a slot, a pin that does not fit or cannot be held, a top note that
 * cannot be had) go to diags, all of them, placed in the chart; GLN_INPUT then. A chord that no hand can hold over its
 * own bass gets any bass, with a warning. GLN_USAGE for a negative weight; GLN_LIMIT with a message past
 * GLN_LINE_SLOTS_MAX or when the search had to give up: never an answer that is only near the best. */
GLN_MUST_USE GlnStatus gln_line_solve(const GlnSong *song, const GlnLineOptions *options, GlnArena *arena,
                                      GlnDiags *diags, GlnLine **line);

/* ---- other lines ------------------------------------------------------------------------------------------ */

/* The best line in which the chord of a slot is held in any other way. */
typedef struct GlnRejected {
  bool found;                  /* false: there is no other grip for it, as where it is pinned */
  GlnGrip grip;                /* the other grip */
  double cost[GLN_COST_COUNT]; /* of the whole line, weighted */
  double total, highest_tempo;
  size_t also; /* other written chords that are held otherwise then, too */
} GlnRejected;

/* Of each slot (indices into the song's slots), what gln_line_solve rejected there and what it would have cost: exact.
 * The chord is held otherwise wherever it is played; options->vary does not matter. */
GLN_MUST_USE GlnStatus gln_line_rejected(const GlnSong *song, const GlnLineOptions *options,
                                         const size_t *slots, size_t count, GlnArena *arena, GlnDiags *diags,
                                         GlnRejected **rejected);

/* The best line, then lines that a player would notice to be different, each the cheapest of all that differ so from
 * those before it (docs/line.md), as long as they total at most the part within more than the best: at most so many.
 * options->vary does not matter. */
GLN_MUST_USE GlnStatus gln_line_alternatives(const GlnSong *song, const GlnLineOptions *options, size_t most,
                                             double within, GlnArena *arena, GlnDiags *diags,
                                             GlnLine ***lines, size_t *count);

/* The last slot before this one that has a grip; the slot itself when there is none. */
size_t gln_line_before(const GlnLine *line, size_t slot);
/* Highest tempo (quarter notes a minute) at which the change into this slot is comfortable in the time that the song
 * gives it; INFINITY where nothing moves. */
double gln_line_change_tempo(const GlnLine *line, size_t slot);

/* ---- fewer grips ----------------------------------------------------------------------------------------- */

typedef struct GlnCurvePoint {
  uint32_t most; /* grips, or shapes, allowed */
  uint32_t used;
  double total; /* of the line found */
  double bound; /* no line on so few totals less */
} GlnCurvePoint;

/* What every number of grips (shapes: of shapes) would cost, from the fewest there can be up to those of the best line
 * of all; grips_most and shapes_most of the options do not matter. Errors as gln_line_solve. */
GLN_MUST_USE GlnStatus gln_line_curve(const GlnSong *song, const GlnLineOptions *options, bool shapes,
                                      GlnArena *arena, GlnDiags *diags, GlnCurvePoint **points,
                                      size_t *count);

#endif
