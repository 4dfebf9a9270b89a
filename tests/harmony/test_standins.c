/* Stand-ins over all twelve keys: what the sentence claims holds, and what is written reads back. Tritone pairs are
 * computed facts; the rest is common practice, no published source. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "steps.h"

static GlnArena *arena;

static int set_up(void **state) {
  (void)state;
  arena = gln_arena_new(NULL, (size_t)16 << 20);
  return arena == NULL;
}

static int tear_down(void **state) {
  (void)state;
  gln_arena_free(arena);
  return 0;
}

static GlnStandins find(const char *chords, GlnNote tonic, bool minor, GlnChord *store,
                        GlnStandinPlace *place) {
  GlnStep steps[STEPS_MAX];
  GlnReading readings[STEPS_MAX];
  size_t count = read_steps(chords, tonic, store, steps);
  assert_int_equal(gln_harmony_read(steps, count, (GlnKey){tonic, minor}, arena, readings), GLN_OK);
  *place = (GlnStandinPlace){.chord = &store[0],
                             .next = count > 1 ? &store[1] : NULL,
                             .key = {tonic, minor},
                             .function = readings[0].function};
  GlnStandins standins;
  assert_int_equal(gln_standins_find(place, arena, &standins), GLN_OK);
  return standins;
}

static const GlnStandin *kind_of(const GlnStandins *standins, GlnStandinKind kind) {
  for (size_t i = 0; i < standins->count; i++)
    if (standins->items[i].kind == kind)
      return &standins->items[i];
  return NULL;
}

static unsigned guides(const GlnChord *chord) {
  unsigned bits = 0;
  for (int t = 0; t < chord->tone_count; t++)
    if (chord->tones[t].degree.number == 3 || chord->tones[t].degree.number == 7)
      bits |= 1u << chord->tones[t].pitch_class;
  return bits;
}

static const char *const pairs[] = {
    "Cmaj7 Am7", "Cmaj7 Dm7", "C F",        "Am7 Dm7",    "Dm7 G7",    "Fmaj7 G7", "G7 Cmaj7", "A7 Dm7",
    "D7 G7",     "E7 Am7",    "Em7 Ebdim7", "Ebdim7 Dm7", "Db7 Cmaj7", "C7 F7",    "F7 C7",    "Bm7b5 E7b9",
    "G13 C6/9",  "F C",       "Cadd9 G/B",  "G7sus4 G7",  "Gsus4 C",   "C+ F",     "Bb7 Cmaj7"};
static const char *const minor_pairs[] = {"Cm Fm",   "Cm7 Ab",       "Fm7 G7", "Dm7b5 G7b9",
                                          "G7b9 Cm", "Abmaj7 Dm7b5", "Eb Ab"};

static void check_all(const char *chords, bool minor) {
  for (int k = 0; k < 12; k++) {
    GlnChord store[STEPS_MAX];
    GlnStandinPlace place;
    GlnStandins standins = find(chords, roots[k], minor, store, &place);
    for (size_t i = 0; i < standins.count; i++) {
      const GlnStandin *standin = &standins.items[i];
      char symbol[GLN_SYMBOL_TEXT_MAX];
      GlnChord back;
      size_t length = gln_chord_print(&standin->chord, GLN_SIGNS_ASCII, symbol);
      assert_int_equal(gln_chord_parse((GlnText){symbol, length}, &back, NULL), GLN_OK);
      assert_true(gln_chord_equal(&back, &standin->chord));
      assert_in_range(standin->chord.root.accidental + 1, 0, 2);
      assert_true(standin->claims != 0);
      assert_true(gln_standin_claim_holds(&place, &standin->chord, standin->claims));
      assert_true(gln_text_find(standin->reason, gln_text("{"), 0) == standin->reason.length);
      assert_true(gln_text_find(standin->reason, gln_text(" ,"), 0) == standin->reason.length);
      assert_true(standin->pitch_space >= 0);
      if ((standin->claims & GLN_CLAIM_GUIDES) != 0)
        assert_int_equal(guides(place.chord), guides(&standin->chord));
    }
    if (standins.count == 0)
      fail_msg("%s", chords);
  }
}

static void test_claims_in_all_keys(void **state) {
  (void)state;
  for (size_t p = 0; p < GLN_COUNT_OF(pairs); p++)
    check_all(pairs[p], false);
  for (size_t p = 0; p < GLN_COUNT_OF(minor_pairs); p++)
    check_all(minor_pairs[p], true);
}

/* Every kind of the table is offered somewhere, and nothing richer adds nothing. */
static void test_every_kind(void **state) {
  (void)state;
  static const char *const more[] = {"F/A Bb", "Gm6/Bb A7", "C13/E F"};
  unsigned kinds = 0;
  for (size_t p = 0; p < GLN_COUNT_OF(pairs) + GLN_COUNT_OF(more); p++) {
    GlnChord store[STEPS_MAX];
    GlnStandinPlace place;
    const char *chords = p < GLN_COUNT_OF(pairs) ? pairs[p] : more[p - GLN_COUNT_OF(pairs)];
    GlnStandins standins = find(chords, roots[0], false, store, &place);
    for (size_t i = 0; i < standins.count; i++) {
      unsigned added = (unsigned)gln_chord_pitch_classes(&standins.items[i].chord) &
                       ~(unsigned)gln_chord_pitch_classes(place.chord);
      kinds |= 1u << standins.items[i].kind;
      assert_true(standins.items[i].kind != GLN_STANDIN_RICHER || added != 0);
    }
  }
  assert_int_equal(kinds, (1u << GLN_STANDIN_KIND_COUNT) - 1);
}

/* A7 and E♭7, G7 and D♭7 have the same guide tones: computed. */
static void test_tritone_pairs(void **state) {
  (void)state;
  const char *const told[][2] = {{"A7 Dm7", "Eb7"}, {"G7 Cmaj7", "Db7"}, {"Db7 Cmaj7", "G7"}};
  for (size_t i = 0; i < GLN_COUNT_OF(told); i++)
    for (int k = 0; k < 12; k++) {
      GlnChord store[STEPS_MAX], want;
      GlnStandinPlace place;
      GlnStandins standins = find(told[i][0], roots[k], false, store, &place);
      const GlnStandin *found = kind_of(&standins, GLN_STANDIN_TRITONE);
      assert_non_null(found);
      assert_int_equal(gln_chord_parse(gln_text(told[i][1]), &want, NULL), GLN_OK);
      want = gln_chord_transpose(&want, (GlnNote){0, 0}, roots[k]);
      assert_int_equal(gln_chord_pitch_classes(&found->chord), gln_chord_pitch_classes(&want));
    }
}

static void test_kinds(void **state) {
  (void)state;
  const struct {
    const char *chords;
    GlnStandinKind kind;
    const char *found;
  } told[] = {
      {"Cmaj7 Dm7", GLN_STANDIN_RELATIVE, "Am7"},      {"Cmaj7 Dm7", GLN_STANDIN_THIRD, "Em7"},
      {"G7 Cmaj7", GLN_STANDIN_RELATED_II, "Dm7"},     {"G7 Cmaj7", GLN_STANDIN_BACKDOOR, "Bb9"},
      {"Cmaj7 Dm7", GLN_STANDIN_DIMINISHED, "C#dim7"}, {"Em7 Dm7", GLN_STANDIN_DIMINISHED, "Ebdim7"},
      {"Cmaj7 Am7", GLN_STANDIN_SECONDARY, "E7b9"},    {"Fmaj7 Cmaj7", GLN_STANDIN_BORROWED, "Fm6"},
      {"G7 Cmaj7", GLN_STANDIN_SUSPENDED, "G9sus4"},   {"G7 Cmaj7", GLN_STANDIN_PEDAL, "G7/C"},
      {"Cmaj7 Dm7", GLN_STANDIN_SLASH, "Em/C"},        {"Cmaj7 Am7", GLN_STANDIN_CHROMATIC, "Bbm7"},
      {"F/A Bb", GLN_STANDIN_RICHER, "F6/A"},          {"F/A Bb", GLN_STANDIN_SIMPLER, "F"},
      {"Dm7 G7", GLN_STANDIN_SECONDARY, "D7"},         {"G7 Cmaj7", GLN_STANDIN_DIMINISHED, "Bdim7"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(told); i++) {
    GlnChord store[STEPS_MAX];
    GlnStandinPlace place;
    GlnStandins standins = find(told[i].chords, roots[0], false, store, &place);
    const GlnStandin *found = kind_of(&standins, told[i].kind);
    assert_non_null(found);
    char symbol[GLN_SYMBOL_TEXT_MAX];
    (void)gln_chord_print(&found->chord, GLN_SIGNS_ASCII, symbol);
    assert_string_equal(symbol, told[i].found);
  }
}

static void test_top(void **state) {
  (void)state;
  const struct {
    const char *chord;
    GlnNote top;
    GlnTopEffect effect;
  } told[] = {{"Am7", {2, 0}, GLN_TOP_IN_CHORD},
              {"C7", {0, 1}, GLN_TOP_TENSION},
              {"Cmaj7", {3, 0}, GLN_TOP_CLASH},
              {"C", {1, 0}, GLN_TOP_TENSION},
              {"Cmaj7", {1, -1}, GLN_TOP_CLASH}};
  for (size_t i = 0; i < GLN_COUNT_OF(told); i++) {
    GlnChord chord;
    assert_int_equal(gln_chord_parse(gln_text(told[i].chord), &chord, NULL), GLN_OK);
    assert_int_equal(gln_top_effect(&chord, told[i].top), told[i].effect);
  }
}

/* V7, its tritone substitute and the suspended V before one home are a family; so are I, vi and iii. */
static void test_families(void **state) {
  (void)state;
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  GlnReading readings[STEPS_MAX];
  for (int k = 0; k < 12; k++) {
    size_t count = read_steps("Cmaj7 Am7 Dm7 G7 Em7 A7 Dm7 Db7 Cmaj7", roots[k], store, steps);
    GlnKey key = {roots[k], false};
    GlnFamilies families;
    assert_int_equal(gln_harmony_read(steps, count, key, arena, readings), GLN_OK);
    assert_int_equal(gln_families_find(steps, count, readings, arena, &families), GLN_OK);
    assert_int_equal(families.family[0], families.family[8]);
    assert_int_equal(families.family[0], families.family[1]);
    assert_int_equal(families.family[3], families.family[7]);
    assert_int_equal(families.family[2], families.family[6]);
    assert_int_not_equal(families.family[3], families.family[5]);
    assert_int_not_equal(families.family[2], families.family[3]);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_claims_in_all_keys, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_every_kind, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_tritone_pairs, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_kinds, set_up, tear_down),
      cmocka_unit_test(test_top),
      cmocka_unit_test_setup_teardown(test_families, set_up, tear_down),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
