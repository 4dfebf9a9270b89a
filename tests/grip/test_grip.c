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

/* Four strings tuned to the pitches and left open: what textures are these notes of this chord? */
static uint16_t textures_of(const GlnChord *chord, const int pitches[4]) {
  GlnInstrument instrument = gln_instrument_defaults();
  GlnFrets open = {.string_count = 4};
  instrument.string_count = 4;
  for (int s = 0; s < GLN_STRINGS_MAX; s++)
    open.fret[s] = s < 4 ? 0 : GLN_NOT_PLAYED;
  for (int s = 0; s < 4; s++)
    instrument.open_midi[s] = (int8_t)pitches[s];
  return gln_frets_textures(&instrument, chord, &open);
}

static void sort_pitches(int pitches[4]) {
  for (int i = 1; i < 4; i++)
    for (int j = i; j > 0 && pitches[j - 1] > pitches[j]; j--) {
      int higher = pitches[j - 1];
      pitches[j - 1] = pitches[j];
      pitches[j] = higher;
    }
}

/* The definition itself: a close position of a seventh chord, in every inversion, with these voices, counted from the top, an
 * octave down. */
static void check_drop(const char *symbol, unsigned dropped, GlnTexture texture) {
  static const GlnTexture spacings[] = {GLN_TEXTURE_CLOSE, GLN_TEXTURE_DROP2, GLN_TEXTURE_DROP3,
                                        GLN_TEXTURE_DROP24};
  GlnChord chord = chord_of(symbol);
  assert_int_equal(chord.own_count, 4);
  for (int inversion = 0; inversion < 4; inversion++) {
    int pitches[4];
    for (int v = 0; v < 4; v++)
      pitches[v] = 60 + chord.tones[v].pitch_class + (v < inversion ? 12 : 0);
    sort_pitches(pitches);
    for (int v = 0; v < 4; v++)
      pitches[3 - v] -= (dropped >> (v + 1) & 1) != 0 ? 12 : 0;
    sort_pitches(pitches);
    unsigned textures = textures_of(&chord, pitches);
    for (size_t i = 0; i < GLN_COUNT_OF(spacings); i++)
      if (((textures >> spacings[i] & 1) != 0) != (spacings[i] == texture))
        fail_msg("%s, inversion %d: %s", symbol, inversion, gln_texture_key(spacings[i]));
    /* Of these, dropping the second and the fourth voice alone skips a note in every gap. */
    assert_int_equal(textures >> GLN_TEXTURE_SPREAD & 1, texture == GLN_TEXTURE_DROP24);
  }
}

static void test_drops_by_their_definition(void **state) {
  (void)state;
  static const char *const sevenths[] = {"Cmaj7", "C7", "Cm7", "Cm7b5",  "Cdim7", "Cm(maj7)",
                                         "C7#5",  "C6", "Cm6", "C7sus4", "C7b5",  "Cmaj7#5"};
  for (size_t i = 0; i < GLN_COUNT_OF(sevenths); i++) {
    check_drop(sevenths[i], 0, GLN_TEXTURE_CLOSE);
    check_drop(sevenths[i], 1u << 2, GLN_TEXTURE_DROP2);
    check_drop(sevenths[i], 1u << 3, GLN_TEXTURE_DROP3);
    check_drop(sevenths[i], 1u << 2 | 1u << 4, GLN_TEXTURE_DROP24);
  }
}

static void test_spread_and_rootless_forms(void **state) {
  (void)state;
  assert_int_equal(grip_of("C", "x35x5x").textures,
                   bit(GLN_TEXTURE_SPREAD)); /* C3 G3 E4, a triad in open position */
  assert_int_equal(grip_of("C", "xx555x").textures & bit(GLN_TEXTURE_SPREAD), 0); /* G3 C4 E4, close */
  assert_int_equal(grip_of("C", "x35xx0").textures, bit(GLN_TEXTURE_SPREAD));
  assert_int_equal(grip_of("G7", "3x34xx").textures & bit(GLN_TEXTURE_SPREAD),
                   0); /* a shell has its own name */
  assert_int_equal(grip_of("Gmaj7", "x-10-12-x-12-14").textures,
                   bit(GLN_TEXTURE_FOUR_NOTE) | bit(GLN_TEXTURE_DROP24) |
                       bit(GLN_TEXTURE_SPREAD)); /* G3 D4 B4 F♯5 */
  const unsigned rootless = bit(GLN_TEXTURE_FOUR_NOTE) | bit(GLN_TEXTURE_ROOTLESS) | bit(GLN_TEXTURE_DROP2);
  assert_int_equal(grip_of("C9", "x7878x").textures, rootless | bit(GLN_TEXTURE_ROOTLESS_A));  /* 3 b7 9 5 */
  assert_int_equal(grip_of("C13", "x1223x").textures, rootless | bit(GLN_TEXTURE_ROOTLESS_B)); /* b7 3 13 9 */
  /* 5 9 3 b7, from the 5th up, is neither form. */
  unsigned from_fifth = grip_of("C9", "xx5756").textures;
  assert_int_equal(from_fifth & (bit(GLN_TEXTURE_ROOTLESS_A) | bit(GLN_TEXTURE_ROOTLESS_B)), 0);
  assert_true(from_fifth & bit(GLN_TEXTURE_ROOTLESS));
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
      cmocka_unit_test(test_texture_of_close_and_shell), cmocka_unit_test(test_drops_by_their_definition),
      cmocka_unit_test(test_spread_and_rootless_forms),  cmocka_unit_test(test_faults_are_named),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
