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
  GLN_FINGER_IDLE,  /* stops nothing before or after */
  GLN_FINGER_STAYS, /* same string, same fret */
  GLN_FINGER_SLIDES, /* same string, other fret: kept on the string as a guide */
  GLN_FINGER_SHIFTS, /* lifts and lands elsewhere */
  GLN_FINGER_LIFTS, /* stops nothing after */
  GLN_FINGER_LANDS  /* stopped nothing before */
} GlnFingerMove;

typedef struct GlnMove {
  GlnFingerMove finger[5];  /* fingers 1..4, then the thumb */
  float travel_mm[5];       /* path of each fingertip */
  int8_t fret_change[5];    /* frets up (+) or down (-), for slides and shifts */
  float shift_mm;           /* of the hand as a whole along the neck, signed toward the bridge */
  int8_t shift_frets;       /* of the hand's position */
  bool parallel;            /* one shape kept and moved whole */
  bool barre_formed, barre_released;
  float seconds;            /* time the change needs, by Fitts's law: docs/moves.md */
} GlnMove;

GlnMove gln_move_between(const GlnInstrument *instrument, const GlnGrip *from, const GlnGrip *to);
/* Words for people from the same data: "keep 1 and 4, slide 2 down two frets, 3 lands on string 3". */
void gln_move_describe(const GlnInstrument *instrument, const GlnGrip *from, const GlnGrip *to,
                       const GlnMove *move, GlnBuffer *out);

/* Smallest total of semitones between two sets of pitches, each voice of one going to some voice of the other:
 * Tymoczko, Science 313 (2006). With doubling every voice is used at least once; without, the sets must be of one
 * size and voices go one to one (-1 otherwise). */
int gln_voice_leading(const int8_t *from, size_t from_count, const int8_t *to, size_t to_count, bool doubling);

/* ---- the line ------------------------------------------------------------------------------------------- */

/* X(name, key in JSON, default weight, words). The one table of cost weights. */
#define GLN_COST_LIST(X)                                                                                    \
  X(GLN_COST_HOLD, "hold", 1.0, "how hard the grip is to hold")                                             \
  X(GLN_COST_MOVE, "move", 1.0, "time the hand needs for the change")                                       \
  X(GLN_COST_LEAD, "lead", 1.0, "how far the voices go")                                                    \
  X(GLN_COST_TOP, "top", 1.0, "leaps of the top voice")                                                     \
  X(GLN_COST_BASS, "bass", 1.0, "leaps of the bass")                                                        \
  X(GLN_COST_SOUND, "sound", 1.0, "what the grip lacks: omitted, doubled or muddy notes")
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

typedef struct GlnLineOptions {
  GlnInstrument instrument;
  GlnHand hand;
  GlnAim aim;
  uint8_t textures;           /* as GlnGripQuery.textures */
  int8_t fret_low, fret_high; /* region of the neck; 0 and 0: all of it */
  GlnOpenWish open_wish;
  GlnRightHand right_hand;
  bool vary;                  /* a section that returns may be played another way */
  double tempo;               /* quarter notes a minute; 0: the chart's */
  double weight[GLN_COST_COUNT];
} GlnLineOptions;

GlnLineOptions gln_line_defaults(void);

typedef struct GlnLineSlot {
  const GlnSlot *slot;
  bool silent;     /* N.C.: no grip */
  GlnGrip grip;
  size_t distinct; /* index into GlnLine.distinct */
  double cost[GLN_COST_COUNT]; /* weighted; move, lead, top and bass are those of the change into this slot */
  GlnMove move;    /* into this slot from the last grip; all idle for the first */
} GlnLineSlot;

typedef struct GlnLine {
  const GlnSong *song;
  GlnLineSlot *slots; /* one per song slot */
  size_t slot_count;
  double total;
  size_t *distinct;   /* for each distinct grip, the first slot that uses it */
  size_t distinct_count;
  size_t pairs_costed; /* pair costs worked out: once per distinct pair of chords */
} GlnLine;

/* The exact optimum. Faults (no playable grip for a slot, a pin that does not fit or cannot be held, a top note that
 * cannot be had) go to diags, all of them, placed in the chart; GLN_INPUT then. */
GLN_MUST_USE GlnStatus gln_line_solve(const GlnSong *song, const GlnLineOptions *options, GlnArena *arena,
                                      GlnDiags *diags, GlnLine **line);

#endif
