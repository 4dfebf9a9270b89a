/* Between the files of gripline standins. */
#ifndef GLN_STANDINS_INTERNAL_H
#define GLN_STANDINS_INTERNAL_H

#include "app_internal.h"

/* A stand-in with what the line knows of it. */
typedef struct Offer {
  GlnStandin standin;
  size_t order; /* in the table of rules */
  int leading;  /* semitones of voice leading from the old chord */
  int rank;     /* both distances, and what the note on top costs; lower first */
  bool has_top;
  GlnTopEffect top;
  bool shown;
  bool has_grip;
  GlnGrip grip; /* near the grips around it */
} Offer;

typedef struct Offers {
  Offer *items;
  size_t count;
} Offers;

/* A chord tried in a place: the line before and after. */
typedef struct Trial {
  bool made;
  size_t slot;      /* as played, the first of those that change */
  size_t places;    /* times the changed bar is played */
  GlnText symbols;  /* one chord, or two */
  GlnText reason;   /* of the rule that offers it; empty when none does */
  bool top_dropped; /* the note on top is no tone of it */
  GlnText old_symbol;
  GlnLine *before, *after;
  size_t added; /* slots that a changed bar has more */
} Trial;

typedef struct Report {
  GlnText title;
  const GlnSong *song; /* NULL for one chord alone */
  const GlnLine *line;
  GlnLineOptions options;
  GlnReadings read;
  size_t step_count;
  GlnFamilies families;
  Offers *offers; /* by step; filled for the members of families */
  Trial trial;
} Report;

/* What may stand in for the chord of a step, best first; without grips. report needs its steps and readings. */
GLN_MUST_USE GlnStatus gln_offers_find(const Report *report, size_t step, const GlnEvent *event, bool all,
                                       GlnArena *arena, Offers *offers);
/* SLOT=CHORD, or SLOT="CHORD CHORD": fills report->trial. */
GLN_MUST_USE GlnStatus gln_standins_try(GlnJob *job, const GlnArrangement *arrangement, GlnText wish,
                                        Report *report);
GLN_MUST_USE GlnStatus gln_standins_print(GlnJob *job, const Report *report);
GLN_MUST_USE GlnStatus gln_standins_print_json(GlnJob *job, const Report *report);

GLN_MUST_USE GlnStatus gln_job_chord(const GlnJob *job, const char *option, GlnText symbol, GlnChord *chord);

#endif
