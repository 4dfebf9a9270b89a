/* route, inside: what a pair of grips costs, and the trellis that the line is solved on.
 *
 * A trellis has one variable per written chord; its labels are the candidate grips with their unary cost. An edge joins
 * two variables that follow each other somewhere in the song, with how often and how hurried the change is. Nothing
 * here knows a song. */
#ifndef GLN_ROUTE_INTERNAL_H
#define GLN_ROUTE_INTERNAL_H

#include "route.h"

#define GLN_FINGER_SLOTS 5 /* fingers 1..4, then the thumb */

/* ---- a grip as pair costs see it ------------------------------------------------------------------------- */

#define GLN_GUIDES_MAX 4
typedef struct GlnFeature {
  float along_mm[GLN_FINGER_SLOTS], across_mm[GLN_FINGER_SLOTS]; /* fingertips */
  float reach_mm
      [GLN_FINGER_SLOTS]; /* distance from where the finger hovers over this hand place, along the neck */
  float hand_mm;          /* where finger 1 rests when the hand is at ease with this grip */
  float middle_mm;        /* mean of the fingertips across the strings */
  int8_t string[GLN_FINGER_SLOTS], fret[GLN_FINGER_SLOTS]; /* -1 where the finger stops nothing */
  uint8_t fingers, barres;                                 /* bit f: finger f + 1 stops, lies flat */
  int8_t lowest_fret, hand_fret;
  uint64_t shape; /* strings and frets from the lowest, finger by finger: equal for one shape moved whole */
  int8_t upper[GLN_STRINGS_MAX]; /* pitches above the bass, rising */
  int8_t upper_count, top, bass;
  uint64_t pitches;                /* bit (midi - GLN_PITCH_BASE), clamped to the ends */
  uint64_t guides[GLN_GUIDES_MAX]; /* for each sounding guide tone: the pitches within a step of it */
  int8_t guide_count;
} GlnFeature;
#define GLN_PITCH_BASE 28 /* E1; 64 semitones reach past the 24th fret of a high E string */

/* chord may be NULL: no guide tones then. */
void gln_feature_make(const GlnInstrument *instrument, const GlnChord *chord, const GlnGrip *grip,
                      GlnFeature *feature);

/* Seconds from one grip to the next: docs/moves.md. */
float gln_move_seconds(const GlnFeature *from, const GlnFeature *to);

/* Numbers for a lower bound of gln_move_seconds by sums and products alone. The shift's time is concave in its length:
 * the two chords from free_mm over near_mm to far_mm, and the time at far_mm, lie nowhere above it. */
typedef struct GlnMoveFloor {
  float free_mm, near_mm, near_slope, far_s, far_slope, most_s; /* of the shift */
  float guide_part, parallel_part; /* of it, when a string or the shape is kept */
  float first_s, each_s;           /* for any landing finger, and for each */
} GlnMoveFloor;
GlnMoveFloor gln_move_floor(void);

/* ---- costs ------------------------------------------------------------------------------------------------ */

typedef struct GlnCosting {
  double weight[GLN_COST_COUNT];
  float travel;              /* weighted, a millimetre */
  float lead, guide;         /* weighted, a semitone, and an unresolved guide tone */
  float top_past, bass_past; /* weighted, a semitone past the free ones */
  float
      chromatic; /* weighted, a semitone past the first, in place of bass_past; 0: the bass need not go by semitones */
  int top_free, bass_free; /* semitones */
  GlnMoveFloor floor;
} GlnCosting;

/* With the bass line asked for. */
GlnCosting gln_costing_for(const double weight[GLN_COST_COUNT], bool plain, GlnBassLine bass_line);
GlnCosting gln_costing(const double weight[GLN_COST_COUNT], bool plain); /* plain: as for gln_sound_cost */

typedef struct GlnChangeCost {
  float voice;   /* travel, voice leading, guide tones, top and bass: weighted, the same at any tempo */
  float seconds; /* time the hand needs: weighted by haste on the edge */
} GlnChangeCost;
GlnChangeCost gln_change_cost(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to);
/* The voice part split: travel, lead, guide, top, bass of parts[] are set (weighted) and add up to voice. */
void gln_change_parts(const GlnCosting *costing, const GlnFeature *from, const GlnFeature *to,
                      double parts[GLN_COST_COUNT]);

/* Lower bounds of changes between one grip and blocks of others, set side by side. */
#define GLN_BLOCK 8
typedef struct GlnColumns {
  float *hand_mm, *has_hand, *top, *low, *bass, *several;
  int32_t *string[GLN_FINGER_SLOTS];
} GlnColumns;
GLN_MUST_USE GlnStatus gln_columns_make(size_t count, GlnArena *arena, GlnColumns *columns);
void gln_columns_set(GlnColumns *columns, size_t at, const GlnFeature *feature);
/* Between grips at..at + GLN_BLOCK - 1 of the columns and one; one_is_to: it is the one gone to. */
void gln_floor_block(const GlnCosting *costing, const GlnColumns *columns, size_t at, const GlnFeature *one,
                     bool one_is_to, float voice[GLN_BLOCK], float seconds[GLN_BLOCK]);

/* Order-preserving smallest voice leading of two rising rows, doubling allowed. */
int gln_lead_sorted(const int8_t *from, int from_count, const int8_t *to, int to_count);

/* What a grip lacks in sound, unweighted. plain: a song of mostly three-note chords, played on full shapes; an instrument
 * that is strummed whole knows no other. */
double gln_sound_cost(const GlnInstrument *instrument, const GlnChord *chord, const GlnGrip *grip,
                      bool plain);
bool gln_chord_is_plain(const GlnChord *chord); /* three pitch classes or fewer */

/* Of the time until a change, the part the hand may spend on it. Design choice, tuned on the tempi of docs/moves.md. */
#define GLN_CHANGE_SHARE 0.45
/* How many times a second's move weighs when it has available_s. */
double gln_haste(double available_s);

/* ---- candidates ------------------------------------------------------------------------------------------- */

/* What is asked of a chord besides what is written at it. */
typedef struct GlnSlotWish {
  uint16_t textures;
  int8_t fret_low, fret_high;
  GlnBassLine bass_line;
} GlnSlotWish;

/* What the options and the section ask of a slot. */
GlnSlotWish gln_slot_wish(const GlnLineOptions *options, size_t section);

typedef struct GlnCandidates {
  GlnGripList list;
  const GlnChord *chord; /* as it is held: the event's, with the tune's note where that is foreign to it */
} GlnCandidates;

/* Every grip that may serve a chord as written. GLN_NO when there is none, with the wishes that collide and the nearest
 * that can be met in diags. A tune's note that no hand can keep on top is let go with a warning. */
GLN_MUST_USE GlnStatus gln_candidates_find(const GlnEvent *event, GlnSlotWish wish,
                                           const GlnLineOptions *options, GlnArena *arena, GlnDiags *diags,
                                           GlnCandidates *found);
/* What the wishes ask of the grip search, pin and tune aside. */
GlnGripQuery gln_candidates_query(const GlnEvent *event, GlnSlotWish wish, const GlnLineOptions *options);
/* collide.c: says which wishes leave no grip, and what is nearest. */
GLN_MUST_USE GlnStatus gln_wishes_collide(const GlnEvent *event, const GlnGripQuery *query, GlnArena *arena,
                                          GlnDiags *diags);
/* The pin collides with the strings or the region asked for: false after saying so. */
GLN_MUST_USE GlnStatus gln_pin_within(const GlnEvent *event, const GlnGrip *pinned, const GlnGripQuery *query,
                                      GlnArena *arena, GlnDiags *diags);
/* The note nearest to a pitch that some grip of the query has on top, its own wish for the top aside; false: none. */
GLN_MUST_USE GlnStatus gln_nearest_top(const GlnGripQuery *query, int midi, GlnArena *arena, bool *found,
                                       GlnPitch *nearest);
bool gln_slot_wish_equal(GlnSlotWish a, GlnSlotWish b);
/* The grip has on top what is asked of it there, by ^ or by the tune. */
bool gln_candidates_top_fits(const GlnEvent *event, const GlnGrip *grip);
/* Both wish the same: chord, pin and top note. */
bool gln_candidates_same(const GlnEvent *a, const GlnEvent *b);

/* ---- trellis ---------------------------------------------------------------------------------------------- */

/* All changes from one set of candidates to another, costed when asked for and remembered. */
typedef struct GlnPairs {
  const GlnCosting *costing;
  const GlnFeature *from, *to;
  size_t from_count, to_count;
  const GlnChangeCost *given; /* from_count × to_count from outside (tests, bench); NULL: by features */
  struct GlnPairSlot *slots;  /* open hash of what has been costed */
  size_t slot_count, costed;
  GlnArena *arena;
} GlnPairs;

/* Costs of an edge in one direction: voices · voice + haste · seconds; load · seconds is what --aim easy looks at. */
typedef struct GlnTerm {
  GlnPairs *pairs; /* NULL: the song never goes this way */
  double voices, haste, load;
} GlnTerm;

typedef struct GlnEdge {
  uint32_t low, high;   /* variables, low < high */
  GlnTerm up, down;     /* low to high, high to low */
  const double *matrix; /* low labels × high labels, whole costs; replaces the terms when set */
} GlnEdge;

typedef struct GlnVariable {
  const double *unary; /* one per label, not negative; INFINITY: not to be taken */
  uint32_t label_count;
} GlnVariable;

typedef struct GlnTrellis {
  GlnVariable *variables;
  size_t variable_count;
  GlnEdge *edges; /* at most one for two variables */
  size_t edge_count;
  double load_limit; /* changes with a greater load are forbidden; INFINITY: none */
  double load_fine;  /* or cost so much more, where this is not 0 */
  double
      usual_change; /* what a change costs in an answer without the limit; 0: not known. Saves work, changes nothing */
} GlnTrellis;

/* Limit, named in its message and in docs/line.md: branches of the exact search before it gives up. */
#define GLN_BRANCHES_MAX 200000

/* The labels of least total, labels[variable_count]. GLN_NO when the load limit admits none; GLN_LIMIT past
 * GLN_BRANCHES_MAX. Exact: see docs/line.md. */
GLN_MUST_USE GlnStatus gln_trellis_solve(const GlnTrellis *trellis, GlnArena *arena, uint32_t *labels,
                                         double *total);
/* labels[v][0..counts[v]): those that an assignment of no more than total may use, and perhaps others; room for all. */
GLN_MUST_USE GlnStatus gln_trellis_keep_below(const GlnTrellis *trellis, double total, GlnArena *arena,
                                              uint32_t *const *labels, uint32_t *counts);
/* The labels of least greatest load, and among those of least total. Sets trellis->load_limit to that load. */
GLN_MUST_USE GlnStatus gln_trellis_solve_easy(GlnTrellis *trellis, GlnArena *arena, uint32_t *labels,
                                              double *total);
/* values[v][k]: no assignment with label k at v totals less. More rounds bring it nearer to the truth. */
GLN_MUST_USE GlnStatus gln_trellis_bounds(const GlnTrellis *trellis, int rounds, GlnArena *arena,
                                          double *const *values);
double gln_trellis_total(const GlnTrellis *trellis, const uint32_t *labels);
double gln_trellis_load(const GlnTrellis *trellis, const uint32_t *labels); /* greatest */

/* ---- inside the solver ------------------------------------------------------------------------------------- */

GlnChangeCost gln_pairs_cost(GlnPairs *pairs, uint32_t from, uint32_t to);

double gln_trellis_fine(const GlnTrellis *trellis); /* what a change past the load limit costs more */
/* Costs of one edge; INFINITY where the load limit forbids the change. A floor is never more than the cost. */
double gln_edge_cost(const GlnTrellis *trellis, const GlnEdge *edge, uint32_t low, uint32_t high);
double gln_edge_cost_once(const GlnTrellis *trellis, const GlnEdge *edge, uint32_t low, uint32_t high);
double gln_edge_load(const GlnEdge *edge, uint32_t low, uint32_t high);

/* Labels at one end of an edge, in some order, against one label at the other: floors of cost and of load. */
typedef struct GlnFloors {
  const GlnTrellis *trellis;
  const GlnEdge *edge;
  bool upward;          /* the many are at the low end */
  const uint32_t *many; /* their labels */
  size_t count;
  GlnColumns columns;
} GlnFloors;
/* Takes the labels of many in; floors->columns must hold as many, rounded up to whole blocks. */
void gln_floors_set(GlnFloors *floors, const GlnTrellis *trellis, const GlnEdge *edge, bool upward,
                    const uint32_t *many, size_t count);
/* of_load: of gln_edge_load instead of gln_edge_cost. */
void gln_floors_block(const GlnFloors *floors, size_t at, uint32_t one, bool of_load, double out[GLN_BLOCK]);

/* A label by the value it is taken in order of. */
typedef struct GlnRanked {
  double value;
  uint32_t at;
} GlnRanked;
int gln_ranked_compare(const void *a, const void *b); /* for qsort; ties by at */
/* The same order, quicker. spare: room for as many. */
void gln_ranked_sort(GlnRanked *ranked, size_t count, GlnRanked *spare);

/* The order in which variables with more than one live label come off as leaves, by which edge, and what is left:
 * the core, every variable of which has two neighbours or more in it. */
typedef struct GlnPeeling {
  uint32_t *order;  /* variables as they come off */
  uint32_t *parent; /* the edge each came off by; edge_count: none was left */
  uint32_t *degree; /* in what is left */
  uint32_t count;
  bool *gone; /* off, or fixed from the start */
} GlnPeeling;

typedef struct GlnSolver {
  const GlnTrellis *trellis;
  GlnArena *arena;
  uint32_t *edge_from; /* edges of variable v: edge_list[edge_from[v]] up to edge_from[v + 1] */
  uint32_t *edge_list;
  /* Labels still in play: label[v][0..count[v]). */
  uint32_t *count;
  uint32_t **label;
  double **theta; /* per variable and live label: working sums */
  GlnRanked *ranked, *targets, *spare;
  uint32_t *many; /* labels in the order of ranked */
  GlnFloors floors;
  double *send, *receive; /* one message, as long as the longest variable */
  GlnPeeling peeling;
  uint32_t *taken;   /* labels of the assignment being built */
  uint32_t *best;    /* labels of the best whole assignment so far */
  double best_total; /* INFINITY before there is one */
  double
      keep_below; /* labels of assignments that total less are kept, better than the best or not; mostly 0 */
  uint64_t branches;
} GlnSolver;

GLN_MUST_USE GlnStatus gln_solver_make(const GlnTrellis *trellis, GlnArena *arena, GlnSolver *solver);
/* out[t] = min over the live labels s of in[s] + cost(s, t), t live at the other end; upward: from low to high.
 * With others (what t costs besides, NULL for none) the message is exact only where others[t] + out[t] comes within
 * window of the least, and a lower bound elsewhere: enough for bounds, and most changes stay uncosted. */
void gln_solver_message(GlnSolver *solver, const GlnEdge *edge, bool upward, const double *in,
                        const double *others, double window, double *out);
/* Takes the assignment as the best so far when it is better. */
void gln_solver_offer(GlnSolver *solver, const uint32_t *labels);
/* A variable with more than one live label that lies on a cycle of such variables; variable_count when there is none.
 * Of those with most such neighbours, the one with fewest labels. */
uint32_t gln_solver_cycle_variable(GlnSolver *solver);
/* Exact where gln_solver_cycle_variable finds none: leaves are taken off one by one. Offers what it finds. */
void gln_solver_forest(GlnSolver *solver);

#endif
