/* A grip without its place: pitches, the shape that stays when the hand moves, and what shapes without a name are. */
#include "grip_internal.h"

#include <stdio.h>

int gln_frets_pitches(const GlnInstrument *instrument, const GlnFrets *frets, int8_t midi[GLN_STRINGS_MAX]) {
  int count = 0;
  for (int s = 0; s < frets->string_count && s < instrument->string_count; s++) {
    if (frets->fret[s] == GLN_NOT_PLAYED)
      continue;
    int8_t pitch = (int8_t)gln_sounding_midi(instrument, s, frets->fret[s]);
    int at = count++;
    for (; at > 0 && midi[at - 1] > pitch; at--)
      midi[at] = midi[at - 1];
    midi[at] = pitch;
  }
  return count;
}

/* midi: one a string, -1 not played. */
static size_t print_shape(const int8_t *midi, char out[GLN_SHAPE_TEXT_MAX]) {
  size_t length = 0;
  int first = -1, last = -1;
  for (int s = 0; s < GLN_STRINGS_MAX; s++) {
    if (midi[s] < 0)
      continue;
    first = first < 0 ? s : first;
    for (int skipped = last + 1; last >= 0 && skipped < s; skipped++)
      length += (size_t)snprintf(out + length, GLN_SHAPE_TEXT_MAX - length, ".x");
    length += (size_t)snprintf(out + length, GLN_SHAPE_TEXT_MAX - length, "%s%d", last >= 0 ? "." : "",
                               midi[s] - midi[first]);
    last = s;
  }
  out[length] = '\0';
  return length;
}

size_t gln_shape_print(const GlnInstrument *instrument, const GlnFrets *frets, char out[GLN_SHAPE_TEXT_MAX]) {
  int8_t midi[GLN_STRINGS_MAX];
  for (int s = 0; s < GLN_STRINGS_MAX; s++) {
    bool sounds = s < frets->string_count && frets->fret[s] != GLN_NOT_PLAYED;
    midi[s] = sounds ? (int8_t)gln_sounding_midi(instrument, s, frets->fret[s]) : -1;
  }
  return print_shape(midi, out);
}

size_t gln_grip_shape_print(const GlnGrip *grip, char out[GLN_SHAPE_TEXT_MAX]) {
  return print_shape(grip->midi, out);
}

uint16_t gln_frets_textures(const GlnInstrument *instrument, const GlnChord *chord, const GlnFrets *frets) {
  GlnToneNeeds needs = gln_tone_needs(chord);
  GlnGrip grip = {.voices = 0};
  gln_grip_fill(instrument, chord, &needs, frets, &grip);
  return grip.textures;
}

bool gln_shape_movable(const GlnFrets *frets) {
  for (int s = 0; s < frets->string_count; s++)
    if (frets->fret[s] == 0)
      return false;
  return true;
}

/* ---- words for what has no chord name ------------------------------------------------------------------------- */

static const char *interval_words(int semitones) {
  static const char *const words[12] = {
      "an octave", "a minor second", "a major second", "a minor third", "a major third",   "a fourth",
      "a tritone", "a fifth",        "a minor sixth",  "a major sixth", "a minor seventh", "a major seventh"};
  return words[semitones % 12];
}

/* Is every step between neighbouring pitches one of these numbers of semitones (bits)? */
static bool steps_are(const int8_t *midi, size_t count, unsigned semitones) {
  for (size_t i = 1; i < count; i++) {
    int step = midi[i] - midi[i - 1];
    if (step > 11 || (semitones >> step & 1) == 0)
      return false;
  }
  return true;
}

static size_t different(const int8_t *midi, size_t count, int *other) {
  unsigned classes = 0;
  size_t found = 0;
  for (size_t i = 0; i < count; i++) {
    unsigned bit = 1u << midi[i] % 12;
    found += (classes & bit) == 0;
    classes |= bit;
    if (midi[i] % 12 != midi[0] % 12)
      *other = midi[i];
  }
  return found;
}

const char *gln_pitches_words(const int8_t *midi, size_t count) {
  int other = 0;
  size_t notes = different(midi, count, &other);
  if (notes == 0)
    return NULL;
  if (notes == 1)
    return count == 1 ? "one note" : "one note and its octaves";
  if (notes == 2)
    return interval_words((other - midi[0]) % 12);
  if (steps_are(midi, count, 1u << 5))
    return "a stack of fourths";
  if (steps_are(midi, count, 1u << 5 | 1u << 6))
    return "a stack of perfect and augmented fourths";
  if (steps_are(midi, count, 1u << 7))
    return "a stack of fifths";
  if (steps_are(midi, count, 1u << 2))
    return "a stack of whole tones";
  if (steps_are(midi, count, 1u << 1 | 1u << 2))
    return "a cluster of neighbouring notes";
  return NULL;
}
