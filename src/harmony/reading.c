/* How one chord reads in a key: the cheapest rule, and the Roman numeral it is written with. */
#include "harmony_internal.h"

#include <string.h>

uint16_t gln_scale_bits(bool minor) {
  return minor ? (uint16_t)(1u | 1u << 2 | 1u << 3 | 1u << 5 | 1u << 7 | 1u << 8 | 1u << 10)
               : (uint16_t)(1u | 1u << 2 | 1u << 4 | 1u << 5 | 1u << 7 | 1u << 9 | 1u << 11);
}

size_t gln_next_root(const GlnSlice *slices, size_t count, size_t i) {
  size_t next = i + 1;
  while (next < count && slices[next].root == slices[i].root)
    next++;
  return next;
}

static bool goes_there(const GlnRule *rule, const GlnSlice *slices, size_t count, size_t i, int tonic) {
  const GlnSlice *slice = &slices[i];
  if (rule->goes == GLN_GOES_NOWHERE_NEW)
    return (i + 1 < count && slices[i + 1].root == slice->root && slices[i + 1].class != slice->class) ||
           (i > 0 && slices[i - 1].root == slice->root && slices[i - 1].class != slice->class);
  static const int semitones[] = {[GLN_GOES_FIFTH_DOWN] = 5,
                                  [GLN_GOES_SEMITONE_DOWN] = 11,
                                  [GLN_GOES_SEMITONE_UP] = 1,
                                  [GLN_GOES_HOME] = 0};
  size_t next = gln_next_root(slices, count, i);
  if (next >= count || slices[next].root < 0)
    return false;
  int from = rule->goes == GLN_GOES_HOME ? tonic : slice->root;
  if ((slices[next].root - from + 12) % 12 != semitones[rule->goes])
    return false;
  return rule->next_classes == 0 || (rule->next_classes & GLN_CLASS_BIT(slices[next].class)) != 0;
}

static bool rule_fits(const GlnRule *rule, const GlnSlice *slices, size_t count, size_t i, int tonic,
                      bool minor) {
  const GlnSlice *slice = &slices[i];
  unsigned root = (unsigned)((slice->root - tonic + 12) % 12);
  if ((rule->modes & (minor ? 2 : 1)) == 0 || (rule->roots >> root & 1) == 0 ||
      (rule->classes & GLN_CLASS_BIT(slice->class)) == 0)
    return false;
  if (rule->goes == GLN_GOES_ANYWHERE)
    return true;
  if (!goes_there(rule, slices, count, i, tonic))
    return false;
  if (!rule->next_diatonic)
    return true;
  size_t next = gln_next_root(slices, count, i);
  unsigned target = (unsigned)((slices[next].root - tonic + 12) % 12);
  return (gln_scale_bits(minor) >> target & 1) != 0;
}

const GlnRule *gln_rule_find(const GlnSlice *slices, size_t count, size_t i, int tonic, bool minor) {
  const GlnRule *best = NULL;
  for (size_t r = 0; r < gln_rule_count; r++)
    if ((best == NULL || gln_rules[r].cost < best->cost) &&
        rule_fits(&gln_rules[r], slices, count, i, tonic, minor))
      best = &gln_rules[r];
  return best;
}
