#include "harmony_internal.h"

#define DEGREE_BIT(semitones) (1u << (semitones))

static unsigned tones_above_root(const GlnChord *chord) {
  unsigned bits = 0;
  for (int i = 0; i < chord->tone_count; i++) {
    int above = gln_degree_semitones(chord->tones[i].degree) % 12;
    bool foreign_bass = i == chord->bass_tone && chord->has_bass && i != chord->root_tone;
    if (!foreign_bass || i < chord->tone_count - 1)
      bits |= DEGREE_BIT((unsigned)((above + 12) % 12));
  }
  return bits;
}

static bool has_degree(const GlnChord *chord, int number, int alteration) {
  for (int i = 0; i < chord->tone_count; i++)
    if (chord->tones[i].degree.number == number && chord->tones[i].degree.alteration == alteration)
      return true;
  return false;
}

static GlnClass minor_class(const GlnChord *chord, unsigned bits) {
  bool flat_fifth = has_degree(chord, 5, -1) && (bits & DEGREE_BIT(7)) == 0;
  if (!flat_fifth)
    return GLN_CLASS_MINOR;
  return has_degree(chord, 7, -1) ? GLN_CLASS_HALF_DIM : GLN_CLASS_DIM;
}

GlnClass gln_chord_class(const GlnChord *chord) {
  unsigned bits = tones_above_root(chord);
  bool seventh = (bits & DEGREE_BIT(10)) != 0 && !has_degree(chord, 6, 1);
  if (has_degree(chord, 3, -1) && !has_degree(chord, 3, 0))
    return minor_class(chord, bits);
  if (has_degree(chord, 3, 0)) {
    if (seventh)
      return GLN_CLASS_DOMINANT;
    if (bits & DEGREE_BIT(11))
      return GLN_CLASS_MAJOR7;
    return has_degree(chord, 5, 1) ? GLN_CLASS_AUG : GLN_CLASS_MAJOR;
  }
  if (has_degree(chord, 5, -1) && !seventh)
    return GLN_CLASS_DIM;
  return seventh ? GLN_CLASS_DOMINANT : GLN_CLASS_SUS;
}
