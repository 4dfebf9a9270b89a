/* Shared by the tests of this room: chords as text. */
#ifndef GLN_TESTS_THEORY_CHECKS_H
#define GLN_TESTS_THEORY_CHECKS_H

#include "theory.h"

#include <string.h>

#define CHECK_TEXT_MAX 256

static inline const char *notes_of(const GlnChord *chord, char out[CHECK_TEXT_MAX]) {
  out[0] = '\0';
  for (int i = 0; i < chord->tone_count; i++) {
    char note[GLN_NOTE_TEXT_MAX];
    size_t at = strlen(out);
    size_t length = gln_note_print(chord->tones[i].note, GLN_SIGNS_ASCII, note);
    if (i > 0)
      out[at++] = ' ';
    memcpy(out + at, note, length + 1);
  }
  return out;
}

static inline const char *degrees_of(const GlnChord *chord, char out[CHECK_TEXT_MAX]) {
  out[0] = '\0';
  for (int i = 0; i < chord->tone_count; i++) {
    char degree[GLN_DEGREE_TEXT_MAX];
    size_t at = strlen(out);
    size_t length = gln_degree_print(chord->tones[i].degree, GLN_SIGNS_ASCII, degree);
    if (i > 0)
      out[at++] = ' ';
    memcpy(out + at, degree, length + 1);
  }
  return out;
}

#endif
