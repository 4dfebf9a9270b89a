#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../failing_allocator.h"
#include "grip_test.h"

static unsigned bit(GlnTexture texture) {
  return 1u << texture;
}

static GlnGrip grip_of(const char *symbol, const char *shape) {
  GlnInstrument instrument = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnChord chord = chord_of(symbol);
  GlnGripQuery query = gln_grip_query_defaults(&chord, &instrument, &hand);
  GlnFrets frets = frets_of(shape);
  GlnGrip grip;
  GlnSymbolFault fault = {.problem = ""};
  GlnStatus status = gln_grip_of_frets(&query, &frets, &grip, &fault);
  if (status != GLN_OK)
    fail_msg("%s as %s: %s", shape, symbol, fault.problem);
  return grip;
}

typedef struct KnownGrip {
  const char *symbol, *shape;
} KnownGrip;

/* Grips every player knows: common practice, no published source. */
static const KnownGrip known[] = {
    {"C6/9", "x32233"}, {"D9", "x5455x"},    {"Dm9", "x5355x"},    {"Fmaj9", "x8798x"}, {"Fmaj7", "1x221x"},
    {"F13", "1x123x"},  {"G13", "3x345x"},   {"Gm7", "3x333x"},    {"F#7b5", "2x231x"}, {"Gb7b5", "2x231x"},
    {"Am", "x02210"},   {"G", "320003"},     {"E", "022100"},      {"E7#9", "x7678x"},  {"C", "x32010"},
    {"F", "133211"},    {"Bm", "x24432"},    {"D", "xx0232"},      {"Cmaj7", "xx5557"}, {"D/F#", "2x023x"},
    {"G7", "320001"},   {"Bm7b5", "x2323x"}, {"C#dim7", "x4535x"}, {"A5", "x022xx"},
};

static bool listed(const GlnGripList *list, const GlnFrets *frets) {
  for (size_t i = 0; i < list->count; i++)
    if (gln_frets_equal(&list->grips[i].frets, frets))
      return true;
  return false;
}

static void test_known_grips_are_found(void **state) {
  (void)state;
  GlnInstrument instrument = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  for (size_t i = 0; i < GLN_COUNT_OF(known); i++) {
    GlnChord chord = chord_of(known[i].symbol);
    GlnGripQuery query = gln_grip_query_defaults(&chord, &instrument, &hand);
    if (strcmp(known[i].shape, "xx5557") == 0)
      query.bass_wish = GLN_BASS_ANY; /* G lies lowest in this drop 2 */
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnGripList list;
    assert_int_equal(gln_grip_search(&query, arena, &list), GLN_OK);
    GlnFrets frets = frets_of(known[i].shape);
    if (!listed(&list, &frets))
      fail_msg("%s is not among the grips of %s", known[i].shape, known[i].symbol);
    GlnGrip grip = grip_of(known[i].symbol, known[i].shape);
    assert_true(grip.fingering.difficulty < 0.7f);
    gln_arena_free(arena);
  }
}

static void test_what_a_grip_tells(void **state) {
  (void)state;
  GlnGrip grip = grip_of("Am", "x02210");
  static const int midi[] = {-1, 45, 52, 57, 60, 64}; /* A2 E3 A3 C4 E4 */
  for (int s = 0; s < 6; s++)
    assert_int_equal(grip.midi[s], midi[s]);
  static const int tones[] = {-1, 0, 2, 0, 1, 2};
  for (int s = 0; s < 6; s++)
    assert_int_equal(grip.tone[s], tones[s]);
  assert_int_equal(grip.tones, 7);
  assert_int_equal(grip.voices, 5);
  assert_int_equal(grip.bass_string, 1);
  assert_int_equal(grip.top_string, 5);
}

static void test_bass_is_the_lowest_pitch(void **state) {
  (void)state;
  GlnInstrument instrument = ukulele();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnChord chord = chord_of("C");
  GlnGripQuery query = gln_grip_query_defaults(&chord, &instrument, &hand);
  GlnFrets frets = frets_of("0003"); /* G4 C4 E4 C5 */
  GlnGrip grip;
  assert_int_equal(gln_grip_of_frets(&query, &frets, &grip, NULL), GLN_OK);
  assert_int_equal(grip.bass_string, 1);
  assert_int_equal(grip.top_string, 3);
  assert_true(grip.textures & bit(GLN_TEXTURE_FULL)); /* all strings of a four-string instrument */
}

/* Drop 2, drop 3: the second or third voice from the top down an octave. Cmaj7 close C4 E4 G4 B4: drop 2 G3 C4 E4 B4
 * = xx5557, drop 3 E3 C4 G4 B4. Standard arranging texts. */
static void test_textures(void **state) {
  (void)state;
  assert_int_equal(grip_of("Cmaj7", "xx5557").textures, bit(GLN_TEXTURE_FOUR_NOTE) | bit(GLN_TEXTURE_DROP2));
  GlnGrip drop3 = grip_of("Cmaj7", "x7x587"); /* E3 C4 G4 B4 */
  static const int midi[] = {-1, 52, -1, 60, 67, 71};
  for (int s = 0; s < 6; s++)
    assert_int_equal(drop3.midi[s], midi[s]);
  assert_int_equal(drop3.textures, bit(GLN_TEXTURE_FOUR_NOTE) | bit(GLN_TEXTURE_DROP3));
}

static void test_texture_of_close_and_shell(void **state) {
  (void)state;
  assert_true(grip_of("Am7", "x-12-10-9-8-x").textures & bit(GLN_TEXTURE_CLOSE)); /* A3 C4 E4 G4 */
  assert_int_equal(grip_of("G7", "3x34xx").textures, bit(GLN_TEXTURE_SHELL));
  assert_false(grip_of("G7", "3x343x").textures & bit(GLN_TEXTURE_SHELL));
  assert_true(grip_of("C9", "x7878x").textures & bit(GLN_TEXTURE_ROOTLESS)); /* E B♭ D G */
  assert_int_equal(grip_of("F", "133211").textures, bit(GLN_TEXTURE_FULL));
  for (int texture = 0; texture < GLN_TEXTURE_COUNT; texture++) {
    assert_true(strlen(gln_texture_key((GlnTexture)texture)) > 0);
    assert_true(strlen(gln_texture_words((GlnTexture)texture)) > 0);
  }
}

static void assert_not_the_chord(const char *symbol, const char *shape, const char *part_of_problem) {
  GlnInstrument instrument = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnChord chord = chord_of(symbol);
  GlnGripQuery query = gln_grip_query_defaults(&chord, &instrument, &hand);
  GlnFrets frets = frets_of(shape);
  GlnGrip grip;
  GlnSymbolFault fault = {.problem = ""};
  assert_int_equal(gln_grip_of_frets(&query, &frets, &grip, &fault), GLN_NO);
  if (strstr(fault.problem, part_of_problem) == NULL)
    fail_msg("%s as %s: %s", shape, symbol, fault.problem);
}

static void test_faults_are_named(void **state) {
  (void)state;
  assert_not_the_chord("C", "x32011", "string 1 sounds F");
  assert_not_the_chord("C7", "x32010", "B♭, the ♭7, does not sound");
  assert_not_the_chord("Cm", "x3x0xx", "E♭, the ♭3, does not sound");
  assert_not_the_chord("C", "x32", "number of strings");
  assert_not_the_chord("F", "1xx2xx", "too few");
  assert_not_the_chord("Bbmaj7", "1-x-x-7-x-x", "");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_known_grips_are_found),      cmocka_unit_test(test_what_a_grip_tells),
      cmocka_unit_test(test_bass_is_the_lowest_pitch),   cmocka_unit_test(test_textures),
      cmocka_unit_test(test_texture_of_close_and_shell), cmocka_unit_test(test_faults_are_named),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
