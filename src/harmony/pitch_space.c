/* Tonal pitch space: how far a chord in a key lies from another in another.
 * F. Lerdahl, Tonal Pitch Space (2001): distance = i + j + k.
 *   i: steps on the circle of fifths between the two diatonic collections;
 *   j: steps between the two roots on the circle of fifths of the goal's collection;
 *   k: pitch classes of the goal's basic space that are not in the start's, level by level.
 * Extended here (our choice): the chordal level holds every tone of the chord, not the triad alone; a root
 * outside the collection is counted on the chromatic circle of fifths. */
#include "harmony_internal.h"

#include <stdlib.h>

typedef struct GlnBasicSpace {
  uint16_t root, fifth, chord, scale; /* bits of pitch classes; each level holds the ones above it */
} GlnBasicSpace;

static int fifth_of(const GlnChord *chord) {
  for (int i = 0; i < chord->tone_count; i++)
    if (chord->tones[i].degree.number == 5)
      return chord->tones[i].pitch_class;
  return (gln_note_pitch_class(chord->root) + 7) % 12;
}

static GlnBasicSpace basic_space(const GlnChord *chord, GlnKey key) {
  GlnBasicSpace space;
  space.root = (uint16_t)(1u << gln_note_pitch_class(chord->root));
  space.fifth = (uint16_t)(space.root | 1u << fifth_of(chord));
  space.chord = (uint16_t)(space.fifth | gln_chord_pitch_classes(chord));
  space.scale = (uint16_t)(space.chord | gln_key_classes(key));
  return space;
}

static int new_in(uint16_t goal, uint16_t start) {
  return gln_bit_count((unsigned)(goal & ~start));
}

/* Sharps (+) or flats (-) of the key's collection, from the tonic's pitch class alone. */
static int collection_fifths(GlnKey key) {
  return (gln_note_pitch_class(key.tonic) + (key.minor ? 3 : 0)) * 7 % 12;
}

static int around(int from, int to, int size) {
  int up = ((to - from) % size + size) % size;
  return up <= size - up ? up : size - up;
}

/* Place of a pitch class on the collection's own circle of seven fifths, or -1 outside it. */
static int place_on_circle(int pitch_class, GlnKey key) {
  int place = ((pitch_class * 7 - collection_fifths(key)) % 12 + 12) % 12;
  /* Fifths above the collection's major tonic: -1 (its fourth) to +5 (its leading note). */
  if (place == 11)
    return 6;
  return place <= 5 ? place : -1;
}

static int root_steps(int from, int to, GlnKey key) {
  int a = place_on_circle(from, key), b = place_on_circle(to, key);
  if (a >= 0 && b >= 0)
    return around(a, b, 7);
  return around(from * 7 % 12, to * 7 % 12, 12);
}

int gln_pitch_space_distance(const GlnChord *from, GlnKey from_key, const GlnChord *to, GlnKey to_key) {
  GlnBasicSpace start = basic_space(from, from_key), goal = basic_space(to, to_key);
  int i = around(collection_fifths(from_key), collection_fifths(to_key), 12);
  int j = root_steps(gln_note_pitch_class(from->root), gln_note_pitch_class(to->root), to_key);
  int k = new_in(goal.root, start.root) + new_in(goal.fifth, start.fifth) + new_in(goal.chord, start.chord) +
          new_in(goal.scale, start.scale);
  return i + j + k;
}
