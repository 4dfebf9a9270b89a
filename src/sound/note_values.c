/* The lengths that notes can have. */
#include "sound.h"

static const struct {
  GlnRatio quarters;
  const char *type;
  int unit, dots;
} values_known[] = {
    {{8, 1}, "breve", 0, 0},   {{6, 1}, "whole", 1, 1},    {{4, 1}, "whole", 1, 0},
    {{3, 1}, "half", 2, 1},    {{2, 1}, "half", 2, 0},     {{3, 2}, "quarter", 4, 1},
    {{1, 1}, "quarter", 4, 0}, {{3, 4}, "eighth", 8, 1},   {{1, 2}, "eighth", 8, 0},
    {{3, 8}, "16th", 16, 1},   {{1, 4}, "16th", 16, 0},    {{1, 8}, "32nd", 32, 0},
    {{1, 16}, "64th", 64, 0},  {{1, 32}, "128th", 128, 0}, {{1, 64}, "256th", 256, 0},
};

int gln_note_values(GlnRatio quarters, GlnNoteValue values[GLN_NOTE_VALUES_MAX]) {
  int64_t odd = quarters.den;
  int count = 0, normal = 1;
  while (odd % 2 == 0)
    odd /= 2;
  while (odd > 1 && normal * 2 < odd)
    normal *= 2;
  GlnRatio stretch = gln_ratio(odd, odd > 1 ? normal : 1); /* to the values as they are written */
  GlnRatio left = gln_ratio_multiply(quarters, stretch);
  for (size_t i = 0; i < GLN_COUNT_OF(values_known) && count < GLN_NOTE_VALUES_MAX;) {
    if (gln_ratio_compare(values_known[i].quarters, left) > 0) {
      i++;
      continue;
    }
    values[count++] = (GlnNoteValue){.quarters = gln_ratio_divide(values_known[i].quarters, stretch),
                                     .type = values_known[i].type,
                                     .unit = values_known[i].unit,
                                     .dots = values_known[i].dots,
                                     .actual = odd > 1 ? (int)odd : 0,
                                     .normal = odd > 1 ? normal : 0};
    left = gln_ratio_subtract(left, values_known[i].quarters);
  }
  return count;
}
