/* Every grip that the search offers for a chord is named back: all qualities on all roots. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "grip_test.h"

#include <stdio.h>

#define AMONG 3

static uint16_t own_notes(const GlnChord *chord) {
  unsigned notes = 0;
  for (int t = 0; t < chord->own_count; t++)
    notes |= 1u << chord->tones[t].pitch_class;
  return (uint16_t)notes;
}

/* The chord itself, or one of the same notes. */
static bool is_same(const GlnNamer *namer, const GlnName *name, const GlnChord *chord) {
  GlnChord named;
  char symbol[GLN_SYMBOL_TEXT_MAX], printed[GLN_SYMBOL_TEXT_MAX];
  assert_int_equal(gln_name_chord(namer, name, NULL, &named), GLN_OK);
  size_t length = gln_name_print(namer, name, NULL, GLN_SIGNS_UNICODE, symbol);
  assert_int_equal(length, gln_chord_print(&named, GLN_SIGNS_UNICODE, printed));
  assert_string_equal(symbol, printed);
  return gln_chord_pitch_classes(&named) == own_notes(chord);
}

/* Four notes of an altered dominant with one alteration are named by that one: C E Bb Db is C7b9. */
static bool has_silent_group(const GlnChord *chord, const GlnGrip *grip) {
  unsigned groups = 0, sounding = 0;
  for (int t = 0; t < chord->tone_count; t++) {
    groups |= chord->tones[t].group != 0 ? 1u << chord->tones[t].group : 0;
    sounding |= chord->tones[t].group != 0 && (grip->tones >> t & 1) != 0 ? 1u << chord->tones[t].group : 0;
  }
  return groups != sounding;
}

/* On the same root, and every note that sounds is in it. */
static bool is_kin(const GlnNamer *namer, const GlnName *name, const GlnChord *chord, const GlnGrip *grip) {
  GlnChord named;
  unsigned sounding = 0;
  assert_int_equal(gln_name_chord(namer, name, NULL, &named), GLN_OK);
  for (int t = 0; t < chord->tone_count; t++)
    sounding |= (grip->tones >> t & 1) != 0 ? 1u << chord->tones[t].pitch_class : 0;
  return gln_note_pitch_class(named.root) == gln_note_pitch_class(chord->root) &&
         (sounding & ~(unsigned)gln_chord_pitch_classes(&named)) == 0;
}

static size_t rank_of(const GlnNamer *namer, const GlnInstrument *instrument, const GlnGrip *grip,
                      const GlnChord *chord) {
  GlnName names[GLN_NAMES_MAX];
  int8_t midi[GLN_STRINGS_MAX];
  int voices = gln_frets_pitches(instrument, &grip->frets, midi);
  size_t count = gln_namer_find(namer, gln_note_set_on(instrument, midi, (size_t)voices), names);
  for (size_t i = 0; i < count; i++)
    if (is_same(namer, &names[i], chord) ||
        (has_silent_group(chord, grip) && is_kin(namer, &names[i], chord, grip)))
      return i + 1;
  return 0;
}

static void report(const GlnChord *chord, const GlnGrip *grip, size_t rank) {
  char symbol[GLN_SYMBOL_TEXT_MAX], frets[GLN_FRETS_TEXT_MAX];
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
  (void)gln_frets_print(&grip->frets, frets);
  print_message("%s at %s is named at rank %zu\n", symbol, frets, rank);
}

static size_t check_chord(const GlnNamer *namer, const GlnChord *chord, size_t *misses) {
  GlnInstrument instrument = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnGripQuery query = gln_grip_query_defaults(chord, &instrument, &hand);
  GlnGripList list;
  assert_int_equal(gln_grip_search(&query, arena, &list), GLN_OK);
  for (size_t i = 0; i < list.count; i++) {
    size_t rank = rank_of(namer, &instrument, &list.grips[i], chord);
    if (rank >= 1 && rank <= AMONG)
      continue;
    if ((*misses)++ < 20)
      report(chord, &list.grips[i], rank);
  }
  size_t count = list.count;
  gln_arena_free(arena);
  return count;
}

static void named_back(void **state) {
  (void)state;
  static const GlnNote roots[] = {{0, 0}, {1, -1}, {1, 0},  {2, -1}, {2, 0},  {3, 0},
                                  {3, 1}, {4, 0},  {5, -1}, {5, 0},  {6, -1}, {6, 0}};
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnNamer *namer = NULL;
  assert_int_equal(gln_namer_new(arena, &namer), GLN_OK);
  size_t grips = 0, misses = 0;
  for (size_t q = 0; q < gln_quality_count(); q++)
    for (size_t r = 0; r < GLN_COUNT_OF(roots); r++) {
      GlnChord chord;
      assert_int_equal(gln_chord_build(roots[r], q, NULL, &chord), GLN_OK);
      if (chord.tone_count == 1)
        continue; /* the root alone: one note is named a note, not a chord */
      grips += check_chord(namer, &chord, &misses);
    }
  print_message("%zu grips named back, %zu not\n", grips - misses, misses);
  assert_true(grips > 100000);
  assert_int_equal(misses, 0);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(named_back)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
