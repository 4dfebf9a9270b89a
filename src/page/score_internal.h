/* Inside the page room: a performance as staff and tablature. Heights on the staff are steps: 0 the lowest line, 2 the next,
 * up; SPACE_STEP points each. */
#ifndef GLN_SCORE_INTERNAL_H
#define GLN_SCORE_INTERNAL_H

#include "page_internal.h"

#define GLN_STAFF_SPACE 5.0                   /* points between staff lines; design choice */
#define GLN_STAFF_STEP  (GLN_STAFF_SPACE / 2) /* points */
#define GLN_HEAD_WIDTH                                                                                       \
  (1.18 * GLN_STAFF_SPACE) /* of Bravura's black notehead: bravura_metadata.json, noteheadBlack */
#define GLN_STAFF_MIDDLE 4
#define GLN_STAFF_TOP    8
#define GLN_SIGN_SIZE    (4 * GLN_STAFF_SPACE) /* SMuFL: an em is four staff spaces */

typedef struct GlnScoreNote {
  int step, accidental;
  bool shows; /* its accidental */
  int string, fret;
  double shift;  /* of the head, points: seconds stand beside one another */
  size_t column; /* of the accidental, from the heads outward */
} GlnScoreNote;

typedef struct GlnScorePiece {
  const GlnNotationPiece *piece;
  GlnScoreNote *notes; /* from below */
  size_t count;
  size_t place;     /* column of the bar */
  double shift;     /* of the whole, points */
  size_t beam_last; /* index of the last piece of the beam that begins here; its own index: none begins */
  bool beamed;
  double stem_end; /* steps */
  double rest_step;
  bool hidden; /* a rest that the other voice shows */
} GlnScorePiece;

typedef struct GlnScoreColumn {
  GlnRatio at;           /* quarter notes from the bar's start */
  double left, right;    /* ink beside the heads' left edge, points */
  double wish;           /* room wished for up to the next column */
  double x;              /* of the heads' left edge */
  const GlnShaped *name; /* of the chord that begins here */
} GlnScoreColumn;

typedef struct GlnScoreBar {
  const GlnPlayedBar *played;
  const GlnNotationBar *written;
  GlnScorePiece *pieces[GLN_VOICE_COUNT];
  GlnScoreColumn *columns;
  size_t column_count;
  bool silent[GLN_VOICE_COUNT]; /* the voice rests throughout */
  bool meter;                   /* a time signature comes first */
  bool crowded;                 /* more than a line can hold: words stand in its place */
  bool slashes;                 /* rhythm alone: every head is a slash */
  double width, left;           /* wished for; where it begins */
} GlnScoreBar;

/* A tie that waits for its other end. */
typedef struct GlnScoreTie {
  double x; /* right edge of the heads */
  const GlnScorePiece *from;
} GlnScoreTie;

typedef struct GlnStaffPlace {
  GlnCanvas *canvas;
  double bottom; /* y of the lowest staff line */
  double tab_top, tab_gap;
  int strings;
} GlnStaffPlace;

double gln_staff_y(const GlnStaffPlace *place, double step);
void gln_staff_sign(const GlnStaffPlace *place, const char *sign, double x, double y);
bool gln_stems_up(int voice);
/* What a key signature says of each letter, C to B. */
void gln_key_accidentals(GlnKey key, int of_letter[7]);
const char *gln_accidental_sign(int accidental);

/* Fills pieces and columns. */
void gln_score_bar_prepare(GlnCanvas *canvas, const GlnSong *song, GlnKey key,
                           const GlnInstrument *instrument, GlnScoreBar *bar);
/* The same for the rhythm alone: each stroke is its voice's one head. */
void gln_score_bar_prepare_slashes(GlnCanvas *canvas, const GlnSong *song,
                                   const GlnScoreNote heads[GLN_VOICE_COUNT], GlnScoreBar *bar);
/* The rhythm of a bar of the chart, ready to be drawn; false where it has none or no room for it. */
bool gln_rhythm_prepare(const GlnSheet *sheet, const GlnPiece *piece, double string_gap, GlnScoreBar *bar);
/* Beams and stems, once the columns have their x. */
void gln_score_bar_stems(GlnScoreBar *bar);
void gln_score_bar_draw(const GlnStaffPlace *place, const GlnScoreBar *bar);
/* Ties of a line: they reach from bar to bar, and over the line's end. */
void gln_score_ties_draw(const GlnStaffPlace *place, const GlnScoreBar *bar,
                         GlnScoreTie ties[GLN_VOICE_COUNT], double line_left);
void gln_score_tie_end(const GlnStaffPlace *place, GlnScoreTie ties[GLN_VOICE_COUNT], double right);
/* Highest and lowest ink, steps. */
void gln_score_bar_reach(const GlnScoreBar *bar, double *high, double *low);

#endif
