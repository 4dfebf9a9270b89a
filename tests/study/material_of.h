/* Made-up material for tests: grips as shapes on frets, moves between grips that follow each other, bars. Invented data. */
#ifndef GLN_TESTS_MATERIAL_OF_H
#define GLN_TESTS_MATERIAL_OF_H

#include "study.h"

#include <math.h>
#include <string.h>

/* One number after another, the same on every run (xorshift). */
static inline uint32_t next_number(uint32_t *seed) {
  *seed ^= *seed << 13;
  *seed ^= *seed >> 17;
  *seed ^= *seed << 5;
  return *seed;
}

static inline GlnHandShape shape_of(const char *frets, const char *fingers) {
  GlnHandShape shape;
  memset(&shape, 0, sizeof shape);
  assert_int_equal(gln_frets_parse(gln_text(frets), &shape.frets, NULL), GLN_OK);
  for (size_t i = 0; fingers[i] != '\0'; i++)
    shape.finger[i] = (int8_t)(fingers[i] >= '1' && fingers[i] <= '4' ? fingers[i] - '0' : 0);
  return shape;
}

/* Grips with four fingers in places that no other has; so none look alike unless asked for. */
static inline GlnHandShape scattered_shape(size_t n) {
  GlnHandShape shape;
  memset(&shape, 0, sizeof shape);
  shape.frets.string_count = 6;
  for (int i = 0; i < GLN_STRINGS_MAX; i++)
    shape.frets.fret[i] = GLN_NOT_PLAYED;
  shape.frets.fret[0] = 0; /* an open string keeps the shape where it is */
  shape.frets.fret[1 + n % 5] = (int8_t)(1 + n / 5);
  shape.finger[1 + n % 5] = (int8_t)(1 + n % 4);
  return shape;
}

typedef struct MadeMaterial {
  GlnMaterial material;
  GlnText section;
} MadeMaterial;

/* A song of so many bars, each with one or two of the grips, every grip used; and all moves between neighbours. */
static inline GlnMaterial *make_material(GlnArena *arena, size_t grips, size_t bars, uint32_t seed) {
  MadeMaterial *made = GLN_NEW(arena, MadeMaterial, 1);
  GlnStudyItem *items = GLN_NEW(arena, GlnStudyItem, grips + 2 * bars);
  GlnStudyBar *song = GLN_NEW(arena, GlnStudyBar, bars);
  assert_true(made != NULL && items != NULL && song != NULL);
  GlnMaterial *material = &made->material;
  made->section = GLN_TEXT("A");
  *material = (GlnMaterial){.title = GLN_TEXT("Made up"),
                            .tempo = 120,
                            .items = items,
                            .item_count = grips,
                            .grip_count = grips,
                            .bars = song,
                            .bar_count = bars,
                            .sections = &made->section,
                            .section_count = 1};
  for (size_t g = 0; g < grips; g++) {
    char *key = GLN_NEW(arena, char, GLN_ITEM_KEY_MAX);
    assert_non_null(key);
    items[g] = (GlnStudyItem){.kind = GLN_ITEM_GRIP,
                              .name = GLN_TEXT("a grip"),
                              .shape = scattered_shape(g),
                              .difficulty = next_number(&seed) % 1000 / 1000.0,
                              .tempo = INFINITY};
    items[g].key = (GlnText){key, gln_grip_key(&items[g].shape, key)};
  }
  size_t last = grips;
  for (size_t b = 0; b < bars; b++) {
    uint32_t *list = GLN_NEW(arena, uint32_t, 4);
    assert_non_null(list);
    size_t count = 0, chords = 1 + next_number(&seed) % 2;
    for (size_t c = 0; c < chords; c++) {
      size_t grip = b < grips && c == 0 ? b : next_number(&seed) % grips;
      if (last < grips && last != grip) {
        size_t move = grips;
        while (move < material->item_count && (items[move].from != last || items[move].to != grip))
          move++;
        if (move == material->item_count)
          items[material->item_count++] = (GlnStudyItem){.kind = GLN_ITEM_MOVE,
                                                         .name = GLN_TEXT("a move"),
                                                         .from = last,
                                                         .to = grip,
                                                         .difficulty = next_number(&seed) % 1000 / 1000.0,
                                                         .tempo = 60 + next_number(&seed) % 120,
                                                         .slot = b};
        items[move].uses++;
        list[count++] = (uint32_t)move;
      }
      if (count == 0 || list[count - 1] != grip)
        list[count++] = (uint32_t)grip;
      items[grip].uses++;
      last = grip;
    }
    song[b] = (GlnStudyBar){.number = (uint32_t)b + 1, .items = list, .item_count = count};
  }
  return material;
}

#endif
