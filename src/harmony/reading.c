/* How one chord reads in a key: the cheapest rule, and the Roman numeral it is written with. */
#include "harmony_internal.h"

#include <string.h>

uint16_t gln_scale_bits(bool minor) {
  return minor ? (uint16_t)(1u | 1u << 2 | 1u << 3 | 1u << 5 | 1u << 7 | 1u << 8 | 1u << 10)
               : (uint16_t)(1u | 1u << 2 | 1u << 4 | 1u << 5 | 1u << 7 | 1u << 9 | 1u << 11);
}

uint16_t gln_key_classes(GlnKey key) {
  return gln_classes_up(gln_scale_bits(key.minor), gln_note_pitch_class(key.tonic));
}

GlnNote gln_slice_root(const GlnStep *steps, const GlnSlice *slice) {
  const GlnChord *chord = steps[slice->step].chord;
  return slice->sus_slash ? chord->bass : chord->root;
}

size_t gln_next_root(const GlnSlice *slices, size_t count, size_t i) {
  size_t next = i + 1;
  while (next < count && slices[next].root == slices[i].root)
    next++;
  return next;
}

size_t gln_last_root(const GlnSlice *slices, size_t i) {
  for (size_t before = i; before-- > 0;)
    if (slices[before].root != slices[i].root)
      return before;
  return SIZE_MAX;
}

/* Does the last chord with another root lie a fifth above, and is it of one of these classes? */
static bool comes_by_fifth(const GlnSlice *slices, size_t i, uint16_t classes) {
  size_t before = gln_last_root(slices, i);
  return before != SIZE_MAX && (slices[before].root - slices[i].root + 12) % 12 == 7 &&
         (classes & GLN_CLASS_BIT(slices[before].class)) != 0;
}

/* What the rule asks of the chords before. */
static bool came_from_there(const GlnRule *rule, const GlnSlice *slices, size_t i) {
  if (rule->goes == GLN_GOES_AFTER_II || rule->goes == GLN_GOES_FIFTH_AFTER_II)
    return comes_by_fifth(slices, i, GLN_CLASS_BIT(GLN_CLASS_MINOR) | GLN_CLASS_BIT(GLN_CLASS_HALF_DIM));
  if (rule->goes == GLN_GOES_AFTER_V)
    return comes_by_fifth(slices, i, GLN_CLASS_BIT(GLN_CLASS_DOMINANT));
  return true;
}

/* Same root, other class, before or after. */
static bool neighbour_shares_root(const GlnSlice *slices, size_t count, size_t i) {
  const GlnSlice *slice = &slices[i];
  return (i + 1 < count && slices[i + 1].root == slice->root && slices[i + 1].class != slice->class) ||
         (i > 0 && slices[i - 1].root == slice->root && slices[i - 1].class != slice->class);
}

/* What it asks of the chords after. Bit n: the next root lies n semitones above. */
static bool goes_there(const GlnRule *rule, const GlnSlice *slices, size_t count, size_t i, int tonic) {
  static const uint16_t steps[] = {
      [GLN_GOES_FIFTH_DOWN] = 1u << 5,     [GLN_GOES_FIFTH_AFTER_II] = 1u << 5,
      [GLN_GOES_SEMITONE_DOWN] = 1u << 11, [GLN_GOES_SEMITONE_UP] = 1u << 1,
      [GLN_GOES_HOME] = 1u << 0,           [GLN_GOES_BELOW_LEADING] = 1u << 4 | 1u << 7 | 1u << 10};
  if (rule->goes == GLN_GOES_ANYWHERE || rule->goes == GLN_GOES_AFTER_II || rule->goes == GLN_GOES_AFTER_V)
    return true;
  if (rule->goes == GLN_GOES_NOWHERE_NEW)
    return neighbour_shares_root(slices, count, i);
  size_t next = gln_next_root(slices, count, i);
  if (next >= count || slices[next].root < 0)
    return false;
  int from = rule->goes == GLN_GOES_HOME ? tonic : slices[i].root;
  unsigned up = (unsigned)((slices[next].root - from + 12) % 12);
  if ((steps[rule->goes] >> up & 1) == 0)
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
  if (!came_from_there(rule, slices, i) || !goes_there(rule, slices, count, i, tonic))
    return false;
  if (!rule->next_diatonic)
    return true;
  size_t next = gln_next_root(slices, count, i);
  unsigned target = (unsigned)((slices[next].root - tonic + 12) % 12);
  return (gln_scale_bits(minor) >> target & 1) != 0;
}

const GlnRule *gln_rule_find(const GlnSlice *slices, size_t count, size_t i, int tonic, bool minor,
                             GlnPlaceRole without) {
  const GlnRule *best = NULL;
  for (size_t r = 0; r < gln_rule_count; r++)
    if ((best == NULL || gln_rules[r].cost < best->cost) && gln_rules[r].role != without &&
        rule_fits(&gln_rules[r], slices, count, i, tonic, minor))
      best = &gln_rules[r];
  return best;
}
