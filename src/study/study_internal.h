/* study, inside: the densest set of grips, and the days of a plan as they are filled. */
#ifndef GLN_STUDY_INTERNAL_H
#define GLN_STUDY_INTERNAL_H

#include "study.h"

/* ---- covering ---------------------------------------------------------------------------------------------------- */

/* Bars that need the same grips, counted. */
typedef struct GlnNeed {
  const uint32_t *grips; /* rising */
  size_t grip_count;
  int64_t bars;
} GlnNeed;

typedef struct GlnNeeds {
  GlnNeed *items;
  size_t count;
  size_t grip_count;
} GlnNeeds;

/* Of the grips that are neither learned nor excluded: the set with most bars unlocked for each grip, given those that are
 * learned. Exact, by minimum cuts. in: one flag a grip; true for those in the set. */
GLN_MUST_USE GlnStatus gln_densest_find(const GlnNeeds *needs, const bool *learned, GlnArena *arena,
                                        bool *in);

/* ---- filling days ------------------------------------------------------------------------------------------------ */

/* Where an item stands while days are filled. */
typedef struct GlnProgressing {
  GlnMemory memory;
  int due;    /* day, from 0 for the first of the plan, on which it is to be reviewed */
  bool begun; /* practised before, or in the plan */
  bool today; /* practised on the day being filled */
  uint32_t unlocks;
} GlnProgressing;

typedef struct GlnSort {
  double value;
  size_t item;
} GlnSort;

/* The days one after another, and what is chosen for the one being filled. */
typedef struct GlnFilling {
  const GlnMaterial *material;
  const GlnPlanOptions *options;
  const GlnUnlock *unlock;
  GlnProgressing *items;
  double gain;     /* that a practice is expected to give */
  int first, last; /* days with practice, from 0: the first and the last; last INT_MAX while looking ahead */
  int gap_low, gap_high; /* days from one practice of an item to the next */
  int rest;              /* weekday, -1 none */
  int returning;         /* sessions from this day on that are lighter after pain */
  /* the day: */
  int at;
  bool resting;
  int playing; /* seconds, without pauses */
  int pauses;  /* of GLN_PAUSE_SECONDS each */
  int warm_up; /* seconds */
  int song;    /* seconds for pieces of the song */
  size_t *reviews, review_count;
  size_t *fresh, fresh_count, fresh_grips; /* new: grips, then moves */
  int *seconds;                            /* one an item: of a review or something new on this day */
  GlnSort *sorted;                         /* room for all items */
} GlnFilling;

#define GLN_PAUSE_SECONDS 300  /* five minutes: performing-arts medicine advice, docs/plan.md */
#define GLN_STRETCH_MAX   1500 /* seconds of playing without a pause */
#define GLN_STEP_MAX      300  /* seconds of one step: design choice, longer ones are cut and interleaved */
#define GLN_TICK          30   /* seconds: times in a plan are multiples */

int gln_tick(double seconds); /* rounded, at least one */
bool gln_filling_rests(const GlnFilling *filling, int at);
GLN_MUST_USE GlnStatus gln_filling_open(const GlnMaterial *material, const GlnMemory *memories,
                                        const GlnPlanOptions *options, const GlnUnlock *unlock, double gain,
                                        bool endless, GlnArena *arena, GlnFilling *filling);
/* Chooses what is practised on day at. */
void gln_filling_choose(GlnFilling *filling, int at);
/* Practises it: memories move on as the gain says. */
void gln_filling_practise(GlnFilling *filling);
bool gln_filling_is_ready(const GlnFilling *filling);
bool gln_bar_is_open(const GlnFilling *filling, const GlnStudyBar *bar);
/* The tempo to go for, and the slow one it alternates with. */
void gln_step_tempo(const GlnFilling *filling, size_t item, int *slow, int *target);

/* A piece of the song, bars by index. */
typedef struct GlnSongPiece {
  GlnStepKind kind;
  size_t first, last;
} GlnSongPiece;
#define GLN_PIECES_MAX 8
size_t gln_song_pieces_find(const GlnFilling *filling, GlnSongPiece pieces[GLN_PIECES_MAX]);

/* The chosen day as steps. */
GLN_MUST_USE GlnStatus gln_session_make(GlnFilling *filling, GlnArena *arena, GlnPlanDay *day);

#endif
