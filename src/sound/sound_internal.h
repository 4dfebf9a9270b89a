/* What the files of the sound room share. */
#ifndef GLN_SOUND_INTERNAL_H
#define GLN_SOUND_INTERNAL_H

#include "sound.h"

/* The two of the hand first, then one for each percussion in its order. */
typedef enum GlnLane {
  GLN_LANE_THUMB,
  GLN_LANE_FINGERS,
  GLN_HAND_LANES,
  GLN_LANE_PERCUSSION = GLN_HAND_LANES,
  GLN_LANE_COUNT = GLN_LANE_PERCUSSION + GLN_PERCUSSION_COUNT
} GlnLane;

/* X(name, sign in a .feel file, lane it belongs to (GLN_LANE_COUNT: all; GLN_LANE_PERCUSSION: each of those), words). The one table of signs;
 * the capital of a letter is its accent. */
#define GLN_STROKE_LIST(X)                                                                                   \
  X(GLN_STROKE_REST, '.', GLN_LANE_COUNT, "rest: the strings are stopped")                                   \
  X(GLN_STROKE_RING, '-', GLN_LANE_COUNT, "rings on")                                                        \
  X(GLN_STROKE_BASS, 'b', GLN_LANE_THUMB, "the bass")                                                        \
  X(GLN_STROKE_FIFTH, 'f', GLN_LANE_THUMB, "the fifth, or the bass where no fifth is in reach")              \
  X(GLN_STROKE_PLUCK, 'o', GLN_LANE_FINGERS, "three fingers together")                                       \
  X(GLN_STROKE_ROLL, 'r', GLN_LANE_FINGERS, "three fingers one after the other, upward")                     \
  X(GLN_STROKE_INDEX, 'i', GLN_LANE_FINGERS, "index alone, the lowest of the three strings")                 \
  X(GLN_STROKE_MIDDLE, 'm', GLN_LANE_FINGERS, "middle alone")                                                \
  X(GLN_STROKE_RING_FINGER, 'a', GLN_LANE_FINGERS, "ring finger alone, the highest of the three strings")    \
  X(GLN_STROKE_DOWN, 'd', GLN_LANE_FINGERS, "strum down, all strings of the grip")                           \
  X(GLN_STROKE_UP, 'u', GLN_LANE_FINGERS, "strum up, the four highest strings of the grip")                  \
  X(GLN_STROKE_DAMPED, 'x', GLN_LANE_FINGERS, "damped stroke across the strings of the grip")                \
  X(GLN_STROKE_HIT, 'h', GLN_LANE_PERCUSSION, "a hit")

typedef enum GlnStrokeKind {
#define GLN_STROKE_NAME(name, sign, lane, words) name,
  GLN_STROKE_LIST(GLN_STROKE_NAME)
#undef GLN_STROKE_NAME
      GLN_STROKE_COUNT
} GlnStrokeKind;

typedef enum GlnWeight { GLN_WEIGHT_SOFT, GLN_WEIGHT_PLAIN, GLN_WEIGHT_ACCENT, GLN_WEIGHT_COUNT } GlnWeight;

/* What one hand does at one step. */
typedef struct GlnStroke {
  uint8_t kind;   /* GlnStrokeKind */
  uint8_t weight; /* GlnWeight */
  bool ahead;     /* takes the grip of the next beat */
} GlnStroke;

#define GLN_FEEL_ALSO_MAX 12

/* What takes the pattern's place now and then: its bars come before every so many bars of a section are over, or before
 * the section is. */
typedef struct GlnFeelVariation {
  int32_t every; /* bars, counted from the section's start; 0: at its end */
  int32_t bars;
  GlnStroke *lanes[GLN_LANE_COUNT]; /* bars × steps; NULL: as in the pattern */
} GlnFeelVariation;

struct GlnFeel {
  GlnText name;
  GlnText also[GLN_FEEL_ALSO_MAX]; /* other names it goes by */
  size_t also_count;
  GlnText words;
  int16_t beats, unit;
  int32_t steps; /* in a bar */
  int32_t bars;
  GlnRatio swing;                   /* length of the first half of a pair against the second: 1 straight */
  bool swings_sixteenths;           /* the pair is an eighth note, not a quarter */
  double tempo_low, tempo_high;     /* 0 when none is named */
  GlnStroke *lanes[GLN_LANE_COUNT]; /* bars × steps, NULL when this hand does nothing */
  GlnFeelVariation variations[GLN_FEEL_VARIATIONS_MAX];
  size_t variation_count;
};

/* The name of the plain feels, one for each meter. */
#define GLN_FEEL_PLAIN "straight"

bool gln_meter_valid(int64_t beats, int64_t unit);
GlnRatio gln_meter_quarters(int16_t beats, int16_t unit);
/* The felt beat in quarter notes: three units in 6/8, 9/8, 12/8 and their like, else one unit. */
GlnRatio gln_meter_beat(int16_t beats, int16_t unit);
/* When a step of the bar sounds, in quarter notes from its start, swing included; and where it is written. */
GlnRatio gln_feel_step_time(const GlnFeel *feel, int32_t step);
GlnRatio gln_feel_step_place(const GlnFeel *feel, int32_t step);
/* A plain feel for a meter that has no file: bass on one, the fingers on the other beats. NULL: no memory. */
GLN_MUST_USE GlnFeel *gln_feel_plain(int16_t beats, int16_t unit, GlnArena *arena);
/* Where a place of the bar (quarter notes from its start) sounds, swing included. */
GlnRatio gln_feel_swung(const GlnFeel *feel, GlnRatio place);
bool gln_feel_called(const GlnFeel *feel, GlnText name);

/* ---- the plan of a performance: what is held when, and which bar of which feel it falls in ----------- */

#define GLN_PLUCKING_FINGERS 3 /* index, middle, ring */

/* What the right hand does with one grip of one chord, worked out once. */
typedef struct GlnShape {
  const GlnGrip *grip; /* NULL: silence */
  const GlnChord *chord;
  bool has_fifth;
  GlnThumbNote fifth;
  int8_t fingers[GLN_PLUCKING_FINGERS]; /* strings, lowest-pitched first */
  int8_t finger_count;
} GlnShape;

typedef struct GlnSpan {
  GlnRatio start; /* moved forward by a stroke that comes ahead of its beat */
  size_t shape;
  GlnRatio lift;               /* the fingers that move leave their strings so long before */
  bool struck[GLN_HAND_LANES]; /* the feel has a stroke of this hand while it is held */
} GlnSpan;

typedef struct GlnPlayedBar {
  GlnRatio start, quarters; /* as played */
  GlnRatio skipped;         /* of a pick-up bar: what of the full bar is missing before it */
  int16_t beats, unit;
  const GlnFeel *feel;
  int32_t pattern_bar, section;
  const GlnFeelVariation *variation; /* that takes the pattern's place, or NULL */
  int32_t variation_bar;
} GlnPlayedBar;

/* What is written for this hand in this bar, a stroke for each step; NULL: nothing. */
const GlnStroke *gln_bar_strokes(const GlnPlayedBar *bar, GlnLane lane);

typedef struct GlnPlan {
  GlnShape *shapes;
  size_t shape_count;
  GlnSpan *spans; /* no gaps: silence is a span */
  size_t span_count;
  GlnPlayedBar *bars;
  size_t bar_count;
  GlnRatio end;
} GlnPlan;

GLN_MUST_USE GlnStatus gln_plan_make(const GlnPerformanceOptions *options, const GlnHeld *held, size_t count,
                                     GlnArena *arena, GlnDiags *diags, GlnPlan *plan);

/* Which bars are played by a variation of their feel: variation.c. */
void gln_plan_vary(GlnPlan *plan);

/* What of the plan lies in the passage, played so many times. GLN_LIMIT with a message when it is empty or too long. */
GLN_MUST_USE GlnStatus gln_plan_cut(const GlnPerformanceOptions *options, GlnArena *arena, GlnDiags *diags,
                                    GlnPlan *plan);

/* The meters of the bars, for a performance whose lead-in is known. */
GLN_MUST_USE GlnStatus gln_plan_meters(const GlnPlan *plan, GlnArena *arena, GlnPerformance *performance);

/* ---- notes while they are played ------------------------------------------------------------------------- */

typedef struct GlnNoteList {
  GlnArena *arena;
  GlnSounding *notes; /* while playing, quarters is where the note ends */
  size_t count, capacity;
  bool failed;
} GlnNoteList;
GlnSounding *gln_note_add(GlnNoteList *list); /* NULL when memory is out: remembered in failed */

/* ---- beside the guitar: performance_beat.c ---------------------------------------------------------------- */

/* Clicks for so many bars, and for what is missing before the first; returns how long that is. */
GlnRatio gln_play_count_in(const GlnPlan *plan, int count_in, GlnNoteList *list);
/* The click through the song, and the percussion that is asked for, both from the song's start. */
void gln_play_beside(const GlnPlan *plan, const GlnPerformanceOptions *options, GlnNoteList *list);

#endif
