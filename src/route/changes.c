/* The changes of a line that was solved, one by one. */
#include "route.h"

#include <math.h>

size_t gln_line_before(const GlnLine *line, size_t slot) {
  size_t before = slot;
  while (before > 0)
    if (!line->slots[--before].silent)
      return before;
  return slot;
}

double gln_line_change_tempo(const GlnLine *line, size_t slot) {
  const GlnLineSlot *at = &line->slots[slot];
  size_t before = gln_line_before(line, slot);
  if (at->silent || before == slot)
    return (double)INFINITY;
  GlnRatio time = gln_ratio_subtract(at->slot->start, line->slots[before].slot->start);
  return gln_move_tempo(&at->move, gln_ratio_value(time));
}
