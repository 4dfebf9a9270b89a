/* palette: the grips, or shapes, of a song as the colours of its trellis, and what to say when too few are allowed. */
#ifndef GLN_ROUTE_PALETTE_H
#define GLN_ROUTE_PALETTE_H

#include "route_internal.h"

typedef struct GlnPalette {
  const GlnTrellis *trellis;
  uint32_t *group;           /* of each variable: which wish it comes from */
  const GlnGripList **lists; /* of each group */
  const GlnEvent **events;   /* of each group: the first chord that wishes so */
  uint32_t group_count;
  bool shapes; /* colours are shapes, not grips */
  uint32_t most;
  bool any_bass, simplify; /* what the chords are free to do already */
} GlnPalette;

/* The best labels on at most so many colours, and the bound of it. GLN_NO, with the wishes that collide and the
 * nearest number in diags, when most is too few. */
GLN_MUST_USE GlnStatus gln_palette_solve(const GlnPalette *palette, GlnArena *arena, GlnDiags *diags,
                                         uint32_t *labels, double *bound);

/* What every number of colours would cost, the fewest first. points: room for one a variable. */
GLN_MUST_USE GlnStatus gln_palette_curve(const GlnPalette *palette, GlnArena *arena, GlnCurvePoint *points,
                                         size_t *count);

#endif
