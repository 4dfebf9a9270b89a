/* What the files of the grip room share. Never included from outside. */
#ifndef GLN_GRIP_INTERNAL_H
#define GLN_GRIP_INTERNAL_H

#include "grip.h"

#define GLN_FINGERS     4
#define GLN_THUMB       5
#define GLN_PRESSES_MAX 5

/* ---- the one table of constants that no publication gives (hand_tables.c)
 * ---------------------------------- */

typedef struct GlnHoldWeights {
  double stop_back_mm; /* a fingertip stands so far behind the wire, at most half of the fret's space */
  double crowd_limit;  /* two tips can be pressed together to this share of closest_mm */
  int8_t barre_width[GLN_FINGERS]; /* most strings a barre of this finger lies over */
  int8_t arch_width;        /* most strings a barre lies over while a string on its treble side rings free */
  int8_t thumb_barre_width; /* most strings a barre lies over while the thumb is round the neck */
  double thumb_behind_mm, thumb_ahead_mm; /* thumb against the lowest-numbered finger, along the neck */
  int8_t inner_silent_max;                /* most silent strings between sounding ones */

  float stretch;     /* a pair at full reach */
  float beyond_fret; /* neighbouring fingers, per fret that they are farther apart than finger-per-fret */
  float across;      /* neighbouring fingers, per string that they are farther apart than two */
  float span; /* outermost stopped frets as far apart as first and little finger reach; to the fourth power */
  float within_fret;             /* the same, per fret nearer */
  float same_fret;               /* per finger skipped between neighbours at one fret */
  float crowd;                   /* two tips at crowd_limit, per pair */
  float cross;                   /* second finger on the bass side of the first at one fret */
  float use[GLN_FINGERS + 1];    /* each finger at work, the thumb last */
  float barre[GLN_FINGERS];      /* a barre over two strings */
  float barre_wide[GLN_FINGERS]; /* each further string under it */
  float barre_ends;              /* a barre whose two ends alone sound */
  float barre_touch;             /* each silent string under it */
  float barre_low;               /* beside the nut: at the first fret, falling to nothing at the sixth */
  float barre_sound;             /* each string past three that must sound under a barre of finger 1 */
  float barre_pull; /* per fret past the second that a finger is ahead of a barre, and per string past two */
  float arch;       /* a free string on the treble side of a barre */
  float position;   /* per fret up the neck */
  float position_high;  /* ten frets past the ninth, rising evenly: body and narrow spaces */
  float silent_touched; /* an inner string kept silent by a finger that touches it */
  float silent_free;    /* an inner string that only the plucking hand leaves out */
} GlnHoldWeights;

extern const GlnHoldWeights gln_hold_weights;
/* Share of a pair's reach up to which it stands at ease; fingers a < b from 0. */
double gln_ease_share(int a, int b);

/* ---- the hand laid over one instrument
 * ------------------------------------------------------------------------ */

/* Everything the finger search asks about distances, worked out once per instrument and hand. */
typedef struct GlnHandMap {
  const GlnInstrument *instrument;
  const GlnHand *hand;
  const GlnHoldWeights *weights;
  int frets; /* highest fret, from the capo */
  double along_mm[GLN_FRETS_MAX + 1];
  double spacing_mm[GLN_FRETS_MAX + 1]; /* between neighbouring strings at this fret's stopping points */
  double window_mm;                     /* widest reach of any pair of this player's fingers */
  /* Cost of fingers a + 1 and b + 1 at these frets for their distance along the neck; negative past their reach. */
  float stretch[GLN_FINGERS][GLN_FINGERS][GLN_FRETS_MAX + 1][GLN_FRETS_MAX + 1];
} GlnHandMap;

void gln_hand_map_make(const GlnInstrument *instrument, const GlnHand *hand, const GlnHoldWeights *weights,
                       GlnHandMap *map);
int gln_instrument_frets(const GlnInstrument *instrument); /* highest fret, from the capo; 0..GLN_FRETS_MAX */

/* ---- holding
 * ------------------------------------------------------------------------------------------------------ */

/* One finger's press: a tip on one string, or a barre. */
typedef struct GlnPress {
  int8_t finger, fret, low, high;
} GlnPress;

/* The rules; NULL when the press, or the pair, obeys them, else a constant sentence. */
const char *gln_press_fault(const GlnHandMap *map, const GlnFrets *frets, const GlnPress *press);
/* Needs a.finger < b.finger, the thumb being the highest. */
const char *gln_press_pair_fault(const GlnHandMap *map, const GlnPress *a, const GlnPress *b);

/* What they cost, added to parts. Both need presses without a fault. */
float gln_press_cost(const GlnHandMap *map, const GlnFrets *frets, const GlnPress *press,
                     float parts[GLN_HOLD_PART_COUNT]);
/* neighbours: no finger between the two is at work. */
float gln_press_pair_cost(const GlnHandMap *map, const GlnPress *a, const GlnPress *b, bool neighbours,
                          float parts[GLN_HOLD_PART_COUNT]);
/* What the frets alone cost, whatever the fingers: place on the neck, and span along it. */
float gln_place_cost(const GlnHandMap *map, const GlnFrets *frets, float parts[GLN_HOLD_PART_COUNT]);
float gln_damping_cost(const GlnHandMap *map, const GlnFrets *frets, const GlnPress *presses, int count,
                       float parts[GLN_HOLD_PART_COUNT]);
/* True when every silent string between sounding ones is touched by a finger. */
bool gln_all_damped(const GlnFrets *frets, const GlnPress *presses, int count);

/* As gln_fingering_find, over a map; damped: only fingerings under which gln_all_damped holds. */
GLN_MUST_USE GlnStatus gln_hold_find(const GlnHandMap *map, const GlnFrets *frets, bool damped,
                                     GlnFingering *fingering);

/* ---- which sets of tones are the chord
 * ------------------------------------------------------------------------- */

typedef struct GlnToneNeeds {
  uint16_t pitch_classes;              /* of the chord: bit n, pitch class n */
  uint16_t must;                       /* pitch classes that must sound */
  uint16_t group[GLN_CHORD_TONES_MAX]; /* one of each must sound; of all together where few strings sound */
  int8_t group_count;
  uint16_t root; /* bit of the root's pitch class; 0 for a chord without its root */
  struct {
    uint16_t tone, higher; /* tone may be missing only when one of higher sounds */
  } colour[GLN_CHORD_TONES_MAX];
  int8_t colour_count;
  int8_t least;          /* different pitch classes that must sound */
  uint16_t tones_of[12]; /* pitch class to bits of tones */
} GlnToneNeeds;

GlnToneNeeds gln_tone_needs(const GlnChord *chord);
/* docs/hand-model.md, "What may be left out". voices: strings that sound; root_needed: the root must sound. */
bool gln_tones_admissible(const GlnToneNeeds *needs, uint16_t sounding, int voices, bool root_needed);
/* Most strings of a grip for which one tone of all the groups together is enough. */
#define GLN_GROUPS_JOIN_VOICES 4
/* Lets tones that must sound go, the least needed first, until so many strings have room for the rest: docs/hand-model.md.
 * Returns the tones let go, bit n for tone n; 0 when there is room. */
uint16_t gln_tones_make_room(const GlnChord *chord, int strings, bool root_needed, GlnToneNeeds *needs);

/* ---- grips
 * ------------------------------------------------------------------------------------------------------------
 */

/* Fills all but the fingering. Every sounding string must belong to the chord. */
void gln_grip_fill(const GlnInstrument *instrument, const GlnChord *chord, const GlnToneNeeds *needs,
                   const GlnFrets *frets, GlnGrip *grip);
uint16_t gln_textures_of(const GlnInstrument *instrument, const GlnChord *chord, const GlnGrip *grip);

#endif
