/* line_job: a song as a trellis, shared by what solves it: the line, why, other lines, returns that vary. */
#ifndef GLN_ROUTE_LINE_JOB_H
#define GLN_ROUTE_LINE_JOB_H

#include "route_internal.h"

#define GLN_NO_VARIABLE UINT32_MAX

/* The chord that a candidate sounds, and the points for not being the one that is written. */
typedef struct GlnReading {
  const GlnChord *as;
  double points;
} GlnReading;

/* Candidates of all written chords that wish the same. */
typedef struct GlnLineSet {
  const GlnEvent *event; /* the first that wishes so */
  GlnSlotWish wish;
  const GlnChord *chord; /* as it is held: the event's, with the tune's note where that is foreign to it */
  GlnGripList list;
  GlnReading *readings; /* one per grip; NULL: all sound the chord as it is held */
  GlnFeature *features;
  double *hold, *sound, *bass; /* weighted, one per grip */
  bool failed;
  struct GlnLineWay *ways;
  struct GlnLineSet *next;
} GlnLineSet;

/* Changes from one set to another. */
typedef struct GlnLineWay {
  GlnPairs pairs;
  const GlnLineSet *to;
  struct GlnLineWay *next;
} GlnLineWay;

/* One change of the song as played. */
typedef struct GlnLineChange {
  uint32_t low, high; /* variables */
  bool up;
  double voices, haste, load;
} GlnLineChange;

typedef struct GlnLineJob {
  const GlnSong *song;
  const GlnLineOptions *options;
  GlnArena *arena;
  GlnDiags *diags;
  GlnCosting costing[GLN_BASS_LINE_COUNT];
  double tempo, quarter_s;
  bool plain;
  GlnLineSet *sets, **last_set;
  uint32_t *variable_of; /* slot to variable; GLN_NO_VARIABLE when silent */
  GlnLineSet **set_of;   /* variable to its candidates */
  uint32_t *times;       /* how often each variable is played */
  uint32_t variable_count;
  size_t first, end; /* slots that the trellis is about */
  GlnTrellis trellis;
} GlnLineJob;

/* Variables and candidates: everything that can be wrong with a song is said here. */
GLN_MUST_USE GlnStatus gln_line_job_begin(const GlnSong *song, const GlnLineOptions *options, GlnArena *arena,
                                          GlnDiags *diags, GlnLineJob *job);
/* readings.c: puts after the grips of every set those that may stand for them, pins aside. */
GLN_MUST_USE GlnStatus gln_line_job_readings(GlnLineJob *job);
/* Is a grip of these pitch classes over this bass fit to stand for the chord, and at what price? */
bool gln_reading_price(const GlnChord *chord, unsigned classes, int bass, bool any_bass, double *points);
/* The chord that candidate g of a set sounds. */
const GlnChord *gln_line_set_chord(const GlnLineSet *set, size_t g);
/* What every candidate costs by itself. */
GLN_MUST_USE GlnStatus gln_line_job_cost(GlnLineJob *job);
/* The trellis of the variables as they are set, over the slots from first up to end. */
GLN_MUST_USE GlnStatus gln_line_job_trellis(GlnLineJob *job);
/* The change into slot i from slot before. */
GlnLineChange gln_line_job_change(const GlnLineJob *job, size_t before, size_t i);
/* By the aim of the options; labels: room for one a variable. GLN_NO when nothing is allowed. */
GLN_MUST_USE GlnStatus gln_line_job_solve(GlnLineJob *job, uint32_t *labels, double *total);
/* A line without grips, and then its grips, costs and moves: labels[i] of slot i, among the candidates of its variable. */
GLN_MUST_USE GlnStatus gln_line_job_line(const GlnLineJob *job, GlnLine **made);
GLN_MUST_USE GlnStatus gln_line_job_fill(const GlnLineJob *job, const uint32_t *labels, GlnLine *made);
/* labels of variables as labels of slots. */
void gln_line_job_spread(const GlnLineJob *job, const uint32_t *of_variables, uint32_t *of_slots);
/* A status of the search as one for the caller, with its message. */
GlnStatus gln_line_job_end(GlnStatus status, GlnDiags *diags);

/* line_vary.c: labels of slots, of a line whose returns are alike, become those of one in which they vary where that is
 * asked for. */
GLN_MUST_USE GlnStatus gln_line_job_vary(const GlnLineJob *job, uint32_t *labels);

/* line_others.c: a player would notice that a chord is held otherwise; docs/line.md. Labels of one set. */
bool gln_labels_differ(const GlnLineSet *set, uint32_t a, uint32_t b);

/* The section asks for returns that vary. */
bool gln_slot_varies(const GlnLineOptions *options, size_t section);

#endif
