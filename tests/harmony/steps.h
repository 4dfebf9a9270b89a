/* Chords in words as steps, one a bar, moved from C to any key. */
#ifndef GLN_TEST_STEPS_H
#define GLN_TEST_STEPS_H

#include <string.h>

#include "harmony.h"

#define STEPS_MAX 64

static const GlnNote roots[12] = {{0, 0}, {1, -1}, {1, 0},  {2, -1}, {2, 0},  {3, 0},
                                  {3, 1}, {4, 0},  {5, -1}, {5, 0},  {6, -1}, {6, 0}};

static size_t read_steps(const char *chords, GlnNote to, GlnChord *store, GlnStep *steps) {
  size_t count = 0;
  for (const char *at = chords; *at != '\0';) {
    size_t length = strcspn(at, " ");
    GlnChord chord;
    assert_int_equal(gln_chord_parse((GlnText){at, length}, &chord, NULL), GLN_OK);
    store[count] = gln_chord_transpose(&chord, (GlnNote){0, 0}, to);
    steps[count] = (GlnStep){.chord = &store[count],
                             .start = gln_ratio(4 * (int64_t)count, 1),
                             .quarters = gln_ratio(4, 1),
                             .phrase_starts = count == 0,
                             .bar_starts = true};
    count++;
    at += length;
    while (*at == ' ')
      at++;
  }
  return count;
}

#endif
