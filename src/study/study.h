/* study: what to practise on which day, and why; how well a thing is remembered; what a record of
 * practice says.
 *
 * Needs base and grip. Pure: no files, no clock (days are passed in), no chance, no globals. What a song asks of a student comes in as material: grips and the moves
 * between them, and the bars that use them. */
#ifndef GLN_STUDY_H
#define GLN_STUDY_H

#include "base.h"
#include "grip.h"

/* ---- days --------------------------------------------------------------------------------------------------- */

typedef int32_t GlnDay; /* a day of the calendar, counted from 1970-01-01; no time of day, no time zone */

#define GLN_DAY_MIN      (-719162) /* 0001-01-01 */
#define GLN_DAY_MAX      2932896   /* 9999-12-31 */
#define GLN_DAY_TEXT_MAX 11
/* The whole of text as "2026-11-25", proleptic Gregorian (ISO 8601); GLN_INPUT when there is no such day. */
GLN_MUST_USE GlnStatus gln_day_parse(GlnText text, GlnDay *day);
void gln_day_print(GlnDay day, char out[GLN_DAY_TEXT_MAX]);
int gln_day_weekday(GlnDay day);           /* 0 Monday to 6 Sunday (ISO 8601, less one) */
const char *gln_weekday_name(int weekday); /* "Monday" */
/* The day at a moment: seconds since 1970-01-01 UTC, and how far the clock on the wall is ahead of UTC then. */
GlnDay gln_day_at(int64_t utc_seconds, int32_t ahead_seconds);

/* ---- how well a thing is remembered --------------------------------------------------------------------------- */

/* X(name, key, gain): what the player says of it after practising, and the powers of two that a well spaced practice
 * with this rating gives to the half-life. Gains are design choices: docs/plan.md. */
#define GLN_RATING_LIST(X)                                                                                   \
  X(GLN_RATING_AGAIN, "again", -1.0)                                                                         \
  X(GLN_RATING_HARD, "hard", 0.4)                                                                            \
  X(GLN_RATING_GOOD, "good", 1.0)                                                                            \
  X(GLN_RATING_EASY, "easy", 1.6)
typedef enum GlnRating {
#define GLN_RATING_NAME(name, key, gain) name,
  GLN_RATING_LIST(GLN_RATING_NAME)
#undef GLN_RATING_NAME
      GLN_RATING_COUNT
} GlnRating;
const char *gln_rating_key(GlnRating rating);
double gln_rating_gain(GlnRating rating);

typedef enum GlnStrain { GLN_STRAIN_NONE, GLN_STRAIN_SOME, GLN_STRAIN_PAIN } GlnStrain;
const char *gln_strain_key(GlnStrain strain);

#define GLN_HALF_LIFE_MIN 0.25  /* days */
#define GLN_HALF_LIFE_MAX 365.0 /* days */

/* Half-life regression: p = 2^(-days / half_life), Settles & Meeder, ACL 2016. Days below zero count as none: a
 * clock may have been set back. */
double gln_recall(double days, double half_life_days);

typedef struct GlnMemory {
  int practised;      /* days on which it was practised */
  GlnDay first, last; /* valid when practised > 0 */
  double half_life;   /* days */
  double tempo;       /* fastest that was rated good or easy, quarter notes a minute; 0 none */
  GlnRating rating;   /* the last one */
} GlnMemory;

/* One practice. difficulty is the item's, [0, 1]; tempo 0 when none was told. */
void gln_memory_practise(GlnMemory *memory, double difficulty, GlnDay day, GlnRating rating, double tempo);
/* The same with a gain in place of a rating, for looking ahead. */
void gln_memory_foresee(GlnMemory *memory, double difficulty, GlnDay day, double gain);
double gln_memory_recall(const GlnMemory *memory, GlnDay day); /* 0 when it was never practised */

/* X(name, key, words): where an item stands. */
#define GLN_STANDING_LIST(X)                                                                                 \
  X(GLN_STANDING_UNTOUCHED, "untouched", "not practised yet")                                                \
  X(GLN_STANDING_SHAKY, "shaky", "may be gone tomorrow")                                                     \
  X(GLN_STANDING_SOLID, "solid", "practised on three days or more, and likely to be there")
typedef enum GlnStanding {
#define GLN_STANDING_NAME(name, key, words) name,
  GLN_STANDING_LIST(GLN_STANDING_NAME)
#undef GLN_STANDING_NAME
      GLN_STANDING_COUNT
} GlnStanding;
const char *gln_standing_key(GlnStanding standing);
const char *gln_standing_words(GlnStanding standing);
GlnStanding gln_memory_standing(const GlnMemory *memory, GlnDay day);

/* ---- material: what a song asks of a student ------------------------------------------------------------------- */

typedef enum GlnItemKind { GLN_ITEM_GRIP, GLN_ITEM_MOVE } GlnItemKind;
const char *gln_item_kind_key(GlnItemKind kind); /* "grip", "move" */

/* How a hand holds strings. A shape without open strings is one wherever it lies along the neck. */
typedef struct GlnHandShape {
  GlnFrets frets;
  int8_t finger[GLN_STRINGS_MAX]; /* as in GlnFingering */
} GlnHandShape;

#define GLN_ITEM_KEY_MAX 144
/* The identity of a grip in every song and in the record: "x13331/x12341", moved down to the first fret where it can
 * be moved. */
size_t gln_grip_key(const GlnHandShape *shape, char out[GLN_ITEM_KEY_MAX]);
/* The identity of a move: both shapes, moved down together where neither has open strings. */
size_t gln_move_key(const GlnHandShape *from, const GlnHandShape *to, char out[GLN_ITEM_KEY_MAX]);

typedef struct GlnStudyItem {
  GlnItemKind kind;
  GlnText key;        /* gln_grip_key or gln_move_key */
  GlnText name;       /* for people: "Fmaj9 x8798x", "Fmaj9 to G13" */
  GlnText what;       /* what the fingers do; empty where there is nothing to add */
  GlnHandShape shape; /* of a grip */
  size_t from, to;    /* of a move: the grips, as items */
  double difficulty;  /* [0, 1]: of holding it; of a move, the share of the time there is for it, capped */
  double
      tempo; /* up to which a practised player finds it comfortable, quarter notes a minute; INFINITY: any */
  size_t slot;   /* the first of the line that uses it */
  uint32_t bar;  /* its bar, as played */
  int beat;      /* its beat there, from 1; 0 when it falls between beats */
  uint32_t uses; /* how often the song, played through, uses it */
} GlnStudyItem;

/* A bar as played, with the items it needs: its grips, and the moves into them. */
typedef struct GlnStudyBar {
  uint32_t number; /* as played */
  size_t section;  /* index of the section's name */
  uint32_t pass;   /* how many times that section has begun before */
  const uint32_t *items;
  size_t item_count;
} GlnStudyBar;

#define GLN_STUDY_ITEMS_MAX 4000 /* grips and moves of one song */

typedef struct GlnMaterial {
  GlnText title;
  double tempo;        /* quarter notes a minute */
  GlnStudyItem *items; /* grips first, in the order of the song; then the moves */
  size_t item_count, grip_count;
  GlnStudyBar *bars;
  size_t bar_count;
  const GlnText *sections;
  size_t section_count;
} GlnMaterial;

/* Two grips, or two moves, that the hand may take for one another: the same fingers but for one, here or on other
 * strings. An item is no look-alike of itself. */
bool gln_items_look_alike(const GlnMaterial *material, size_t a, size_t b);

/* ---- which grips come first ------------------------------------------------------------------------------------- */

#define GLN_UNLOCK_EXACT_MAX 20 /* grips of one block that are ordered by looking at every subset */

typedef struct GlnUnlock {
  uint32_t *order;   /* grips that are not known yet, the first to learn first */
  uint32_t *unlocks; /* bars as played that become playable with it */
  size_t count;
  int64_t wait;  /* bars still locked, summed over the steps: the smaller the sooner */
  int64_t bound; /* no order waits less */
  bool exact;    /* wait is the least there is */
} GlnUnlock;

/* The order of learning that unlocks bars soonest, ties to the easier grips first. known: one flag an item, or NULL. */
GLN_MUST_USE GlnStatus gln_unlock_find(const GlnMaterial *material, const bool *known, GlnArena *arena,
                                       GlnUnlock *unlock);

/* ---- the plan ------------------------------------------------------------------------------------------------------ */

#define GLN_PLAN_DAYS_MAX    366
#define GLN_PLAN_MINUTES_MIN 10
#define GLN_PLAN_MINUTES_MAX 240
#define GLN_FORECAST_DAYS    366 /* as far ahead as is looked */

/* X(name, key, new grips on the first day, on a later day at least, at most, part of the song's tempo to begin with) */
#define GLN_LEVEL_LIST(X)                                                                                    \
  X(GLN_LEVEL_BEGINNER, "beginner", 3, 2, 3, 0.5)                                                            \
  X(GLN_LEVEL_INTERMEDIATE, "intermediate", 4, 2, 4, 0.6)                                                    \
  X(GLN_LEVEL_ADVANCED, "advanced", 4, 3, 4, 0.7)
typedef enum GlnLevel {
#define GLN_LEVEL_NAME(name, key, first, least, most, part) name,
  GLN_LEVEL_LIST(GLN_LEVEL_NAME)
#undef GLN_LEVEL_NAME
      GLN_LEVEL_COUNT
} GlnLevel;

#define GLN_REST_AUTO (-1)
typedef struct GlnPlanOptions {
  GlnDay start;
  int days;
  int minutes; /* a day, pauses among them */
  GlnLevel level;
  int rest; /* weekday of rest, 0 Monday; GLN_REST_AUTO: one day in seven where the plan is as long as that */
  GlnStrain strain; /* the last that was told */
  int returning;    /* sessions that are still lighter than usual because pain was told; gln_returning_of */
  int rated;        /* practices on which gain rests */
  double gain;      /* mean of the player's ratings' gains; see gln_plan_defaults */
} GlnPlanOptions;
GlnPlanOptions gln_plan_defaults(GlnDay start);

/* X(name, key, words): the steps of a session, in the order in which they come. */
#define GLN_STEP_LIST(X)                                                                                     \
  X(GLN_STEP_WARM_UP, "warm-up", "warm up")                                                                  \
  X(GLN_STEP_REVIEW, "review", "review")                                                                     \
  X(GLN_STEP_NEW, "new", "new")                                                                              \
  X(GLN_STEP_PAUSE, "pause", "pause")                                                                        \
  X(GLN_STEP_BAR, "bar", "bar")                                                                              \
  X(GLN_STEP_PHRASE, "phrase", "phrase")                                                                     \
  X(GLN_STEP_SECTION, "section", "section")                                                                  \
  X(GLN_STEP_FORM, "form", "whole form")
typedef enum GlnStepKind {
#define GLN_STEP_NAME(name, key, words) name,
  GLN_STEP_LIST(GLN_STEP_NAME)
#undef GLN_STEP_NAME
} GlnStepKind;
const char *gln_step_key(GlnStepKind kind);

#define GLN_NO_ITEM SIZE_MAX
typedef struct GlnPlanStep {
  GlnStepKind kind;
  size_t item;                /* of a review or something new; else GLN_NO_ITEM */
  size_t first_bar, last_bar; /* of a piece of the song: indices of bars */
  int seconds;
  int slow, target; /* quarter notes a minute, in alternation; 0: no tempo */
  double recall;    /* of a review: how likely it is still there */
  int days_since;   /* of a review: since it was last practised */
  uint32_t unlocks; /* of a new grip: bars that become playable */
  bool again;       /* the second round of something new */
} GlnPlanStep;

typedef struct GlnPlanDay {
  GlnDay day;
  bool rest;
  int returning; /* as in the options, on this day: 0 for a usual one */
  GlnPlanStep *steps;
  size_t step_count;
  size_t new_grips, new_moves, reviews;
  size_t bars_open;     /* bars as played whose grips have all been begun by the end of the day */
  int playing, pausing; /* seconds */
} GlnPlanDay;

typedef struct GlnForecast {
  bool found; /* within GLN_FORECAST_DAYS */
  GlnDay likely;
  GlnDay early,
      late; /* about four in five students like this one fall between; late GLN_DAY_MAX: past the horizon */
} GlnForecast;

typedef struct GlnPlan {
  const GlnMaterial *material;
  GlnPlanOptions options;
  GlnPlanDay *days;
  size_t day_count;
  GlnUnlock unlock;
  size_t grips_left, moves_left; /* not begun by the end of the plan */
  GlnForecast forecast;
} GlnPlan;

/* The plan. memories: one an item, as the record has it by the start, or NULL when nothing is known. GLN_USAGE for
 * options out of their bounds. */
GLN_MUST_USE GlnStatus gln_study_plan_make(const GlnMaterial *material, const GlnMemory *memories,
                                           const GlnPlanOptions *options, GlnArena *arena, GlnPlan **plan);
/* What the hands need to hear, a sentence or more each; NULL past the last. */
const char *gln_caution(size_t index);
const char *gln_strain_advice(GlnStrain strain); /* NULL for none */
/* What a plan says of the hands first: the strain that was told, or pain that was told some sessions ago; NULL: nothing. */
const char *gln_hands_advice(const GlnPlanOptions *options);

/* X(tempo, minutes): the first sessions after pain, first to last, as parts of the usual. A graded return is common advice
 * in performing-arts medicine; the parts are design choices, and a clinician's word goes before them. */
#define GLN_RETURN_LIST(X)             X(0.6, 0.5) X(0.7, 0.65) X(0.8, 0.8) X(0.9, 0.9)
#define GLN_RETURN_ONE(tempo, minutes) +1
#define GLN_RETURN_SESSIONS            (GLN_RETURN_LIST(GLN_RETURN_ONE))
double gln_return_tempo(int returning);   /* part of the usual tempo; 1 when nothing is left to be lighter */
double gln_return_minutes(int returning); /* part of the usual minutes */

/* ---- a plan in words ------------------------------------------------------------------------------------------------ */

/* What play --change takes, "7.3": bar and beat of the move; nothing when it falls between beats. */
void gln_add_change(const GlnStudyItem *item, GlnBuffer *out);
void gln_add_day(GlnDay day, GlnBuffer *out);       /* "Wed 2026-11-25" */
void gln_add_minutes(int seconds, GlnBuffer *out);  /* "2½ min" */
const char *gln_step_name(const GlnPlanStep *step); /* "review", "new", "once more" */
/* What a step is about, its tempi, how it is done and why; each may be empty. */
void gln_add_step_subject(const GlnPlan *plan, const GlnPlanStep *step, GlnBuffer *out);
void gln_add_step_tempo(const GlnPlanStep *step, GlnBuffer *out);
void gln_add_step_how(const GlnPlan *plan, const GlnPlanStep *step, GlnBuffer *out);
/* "25 min and 5 min of pause; new: 4 grips, 4 moves; 17 of 40 bars can be played" */
void gln_add_day_words(const GlnPlan *plan, const GlnPlanDay *day, GlnBuffer *out);
/* Sentences: when the song is ready; what is not begun; how the grips were ordered. Empty where there is nothing to say. */
void gln_add_forecast(const GlnPlan *plan, GlnBuffer *out);
void gln_add_left(const GlnPlan *plan, GlnBuffer *out);
void gln_add_order_words(const GlnUnlock *unlock, GlnBuffer *out);

/* ---- what was practised ------------------------------------------------------------------------------------- */

#define GLN_PRACTICE_TEMPO_MAX   1000.0
#define GLN_PRACTICE_MINUTES_MAX 1440.0
#define GLN_STUDENT_MAX          100 /* bytes of a student's name */

/* One item, practised once. */
typedef struct GlnPractice {
  GlnText student;
  GlnItemKind kind;
  GlnText key, name; /* of the item */
  double difficulty;
  GlnText song; /* its title, or its file's name */
  int64_t at;   /* seconds since 1970-01-01 UTC */
  GlnDay day;   /* by the clock on the wall there and then */
  GlnRating rating;
  double tempo; /* quarter notes a minute; 0 when none was told */
  double minutes;
  bool has_strain; /* strain was told */
  GlnStrain strain;
} GlnPractice;

/* ---- progress: what a record says -------------------------------------------------------------------------------------- */

/* Memories of the material's items, one each, from a record in the order of days. A move takes its grips along. */
void gln_memories_replay(const GlnMaterial *material, const GlnPractice *practices, size_t count,
                         GlnMemory *memories);
/* The worst that was told on the last day on which anything was told. */
GlnStrain gln_strain_of(const GlnPractice *practices, size_t count);
/* Sessions that are still to be lighter: GLN_RETURN_SESSIONS after pain, one fewer with each day of practice since. */
int gln_returning_of(const GlnPractice *practices, size_t count);
/* Mean gain of the ratings; 0 of none. */
double gln_gain_of(const GlnPractice *practices, size_t count);

typedef struct GlnTempoPoint {
  GlnDay day;
  double tempo;
  GlnRating rating;
} GlnTempoPoint;

typedef struct GlnProgressItem {
  GlnItemKind kind;
  GlnText key, name;
  GlnMemory memory;
  GlnStanding standing;
  double recall;
  double minutes;        /* in all */
  GlnTempoPoint *points; /* practices with a tempo, in the order of days */
  size_t point_count;
} GlnProgressItem;

typedef struct GlnProgress {
  GlnText student, title;
  GlnDay today;
  GlnProgressItem *items; /* in the order of the material; without one, as they were first practised */
  size_t item_count;
  size_t standing[GLN_STANDING_COUNT]; /* how many items stand so */
  double minutes;                      /* in all */
  double week, weeks_before; /* minutes of the last seven days; of a week, on average over the four before */
  bool load_jumped;          /* the last seven days are a sudden jump */
  GlnStrain strain;
  size_t practices;
} GlnProgress;

/* material may be NULL: all items of the record. */
GLN_MUST_USE GlnStatus gln_progress_make(const GlnMaterial *material, const GlnPractice *practices,
                                         size_t count, GlnDay today, GlnArena *arena, GlnProgress *progress);
/* What is said when the load has jumped. */
const char *gln_load_advice(void);

#endif
