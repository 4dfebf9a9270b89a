/* Inside the harmony room: the table of openings, turnarounds and endings. */
#ifndef GLN_FRAME_RULES_H
#define GLN_FRAME_RULES_H

#include "harmony_internal.h"

/* Chords as text, in C and in C minor; NULL where the idea does not exist in that mode. "|" between bars.
 *   Dm7     counted from the tune's key, and dressed as the tune is: triads, sevenths, ninths
 *   Db7!    taken as it is written
 *   >G7     counted from the chord that is joined to, as if that were C; before a minor chord >Dm7 is >Dm7b5
 *   (C)     left out where the chord before is that already
 *   @4      a bar of the tune: the fourth from its end */
typedef struct GlnFrameRule {
  GlnFrameKind kind;
  unsigned needs; /* GlnFrameNeed */
  float cost;     /* how far from the plainest; ranks. Design choice, tried on the examples */
  const char *name;
  const char *major, *minor;
  const char
      *reason; /* {first} {last} {goal} are filled in: of the frame, and the tune's chord that is joined */
} GlnFrameRule;

typedef enum GlnFrameNeed {
  GLN_FRAME_GOAL_MAJOR = 1 << 0, /* the chord that is joined to is major */
  GLN_FRAME_GOAL_HOME = 1 << 1,  /* and is the key's own tonic */
  GLN_FRAME_IN_BLUES = 1 << 2,
  GLN_FRAME_NOT_IN_BLUES = 1 << 4,
  GLN_FRAME_SEVENTHS = 1 << 3 /* out of place among triads: ranked down there */
} GlnFrameNeed;

extern const GlnFrameRule gln_frame_rules[];
extern const size_t gln_frame_rule_count;

/* How a plain suffix is dressed: the fullest of these whose new tones are of the key. */
typedef struct GlnDress {
  const char *plain, *triad, *blues;
  const char *ninths[3];
} GlnDress;
extern const GlnDress gln_dresses[];
extern const size_t gln_dress_count;

#endif
