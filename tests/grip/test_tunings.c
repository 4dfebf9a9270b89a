#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "grip_test.h"

static GlnInstrument tuned(const char *tuning) {
  GlnInstrument instrument = gln_instrument_defaults();
  assert_int_equal(gln_instrument_tune(gln_text(tuning), &instrument), GLN_OK);
  return instrument;
}

static size_t count_grips(const GlnInstrument *instrument, const GlnHand *hand, const char *symbol,
                          GlnBassWish bass) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnChord chord = chord_of(symbol);
  GlnGripQuery query = gln_grip_query_defaults(&chord, instrument, hand);
  query.bass_wish = bass;
  if (instrument->string_count > 4) { /* few strings need the whole neck: two in unison hold no low D */
    query.fret_low = 1;
    query.fret_high = 7;
  }
  GlnGripList list;
  assert_int_equal(gln_grip_search(&query, arena, &list), GLN_OK);
  size_t count = list.count;
  gln_arena_free(arena);
  return count;
}

/* Every named tuning, and notes for three to eight strings, hold the chords of a first lesson. */
static void test_every_tuning_holds_common_chords(void **state) {
  (void)state;
  static const char *const chords[] = {"C", "G", "D", "Am", "Em", "F", "A7", "Dm7"};
  static const char *const by_notes[] = {"G2 D3 G3", "D3 G3 B3", "A1 D2 G2 C3 F3"};
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  for (size_t c = 0; c < GLN_COUNT_OF(chords); c++) {
    for (size_t i = 0; i < gln_tuning_count(); i++) {
      GlnInstrument instrument = tuned(gln_tuning_name(i));
      if (count_grips(&instrument, &hand, chords[c], GLN_BASS_ANY) == 0)
        fail_msg("no %s in %s", chords[c], gln_tuning_name(i));
    }
    for (size_t i = 0; i < GLN_COUNT_OF(by_notes); i++) {
      GlnInstrument instrument = tuned(by_notes[i]);
      assert_true(count_grips(&instrument, &hand, chords[c], GLN_BASS_ANY) > 0);
    }
  }
}

/* A tuning by notes is the instrument it belongs to; the scale is a soprano's. Common practice, no published source. */
static void test_tunings_bring_their_body(void **state) {
  (void)state;
  GlnInstrument by_name = tuned("ukulele"), by_notes = tuned("g4 c4 e4 a4"), guitar = tuned("drop d");
  assert_near(by_name.scale_mm, 345, 1e-9);
  assert_near(by_notes.scale_mm, 345, 1e-9);
  assert_near(guitar.scale_mm, 650, 1e-9);
  assert_true(gln_instrument_reentrant(&by_name));
  assert_false(gln_instrument_reentrant(&guitar));
  GlnInstrument strings = gln_instrument_defaults();
  assert_int_equal(gln_instrument_of_strings(7, &strings), GLN_OK);
  assert_int_equal(strings.open_midi[0], 35); /* B1 */
  assert_int_equal(gln_instrument_of_strings(4, &strings), GLN_NO);
  assert_int_equal(tuned("seven strings low c").open_midi[0], 36);
}

/* Shapes every ukulele player knows; common practice, no published source. */
static void test_ukulele_shapes(void **state) {
  (void)state;
  static const char *const rows[][2] = {{"C", "0003"},  {"F", "2010"},  {"G", "0232"},
                                        {"Am", "2000"}, {"G7", "0212"}, {"C/E", "0003"}};
  GlnInstrument ukulele = tuned("ukulele");
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    GlnChord chord = chord_of(rows[i][0]);
    GlnFrets frets = frets_of(rows[i][1]);
    GlnProof proof;
    assert_int_equal(gln_proof_read(&chord, &ukulele, &hand, true, &frets, arena, &proof), GLN_OK);
    assert_false(proof.inverted);
  }
  /* The lowest pitch of 2010 is on the third string: C, not the A of the fourth. */
  GlnChord chord = chord_of("F");
  GlnFrets frets = frets_of("2010");
  GlnProof proof;
  assert_int_equal(gln_proof_read(&chord, &ukulele, &hand, true, &frets, arena, &proof), GLN_OK);
  assert_int_equal(proof.bass_string, 1);
  gln_arena_free(arena);
}

static void test_limits_of_a_player(void **state) {
  (void)state;
  GlnInstrument guitar = gln_instrument_defaults();
  GlnFingering fingering;
  GlnFrets barre = frets_of("133211"), four = frets_of("x35453"), open_c = frets_of("x32010");
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  assert_int_equal(gln_fingering_find(&guitar, &hand, &barre, &fingering), GLN_OK);
  hand.barres = false;
  assert_int_equal(gln_fingering_find(&guitar, &hand, &barre, &fingering), GLN_NO);
  hand = gln_hand(GLN_HAND_MEDIUM);
  hand.at_once = 3;
  assert_int_equal(gln_fingering_find(&guitar, &hand, &open_c, &fingering), GLN_OK);
  assert_int_equal(gln_fingering_find(&guitar, &hand, &four, &fingering), GLN_NO);
  hand.at_once = 2;
  assert_int_equal(gln_fingering_find(&guitar, &hand, &open_c, &fingering), GLN_NO);
}

/* More limits never give more grips, and a longer reach never fewer. */
static void test_reach(void **state) {
  (void)state;
  GlnInstrument guitar = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM), measured;
  assert_int_equal(gln_hand_measured(GLN_TEXT("110"), &measured, NULL), GLN_OK);
  assert_near(measured.reach_mm[0][3], hand.reach_mm[0][3], 1e-9);
  assert_near(measured.reach_mm[1][2], hand.reach_mm[1][2], 1e-9);
  assert_int_equal(gln_hand_measured(GLN_TEXT("1-4=90, 2-3=40"), &measured, NULL), GLN_OK);
  assert_near(measured.reach_mm[0][3], 90, 1e-9);
  assert_near(measured.reach_mm[1][2], 40, 1e-9);
  assert_true(measured.reach_mm[0][2] <= 90 && measured.reach_mm[0][2] >= 40);
  size_t last = 0;
  for (const char *const *reach = (const char *const[]){"60", "80", "100", "120", NULL}; *reach != NULL;
       reach++) {
    assert_int_equal(gln_hand_measured(gln_text(*reach), &measured, NULL), GLN_OK);
    size_t count = count_grips(&guitar, &measured, "Cmaj9", GLN_BASS_OF_CHORD);
    assert_true(count >= last);
    last = count;
  }
  assert_true(last > 0);
}

static void test_bad_reach(void **state) {
  (void)state;
  static const char *const bad[] = {
      "", "wide", "5", "500", "1-4", "4-1=90", "1-5=90", "1-4=90,1-4=80", "1-4=60,1-2=70", "90,", "nan"};
  for (size_t i = 0; i < GLN_COUNT_OF(bad); i++) {
    GlnHand hand = gln_hand(GLN_HAND_SMALL);
    const char *why = NULL;
    assert_int_equal(gln_hand_measured(gln_text(bad[i]), &hand, &why), GLN_INPUT);
    assert_non_null(why);
    assert_string_equal(hand.name, "small");
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_every_tuning_holds_common_chords),
      cmocka_unit_test(test_tunings_bring_their_body),
      cmocka_unit_test(test_ukulele_shapes),
      cmocka_unit_test(test_limits_of_a_player),
      cmocka_unit_test(test_reach),
      cmocka_unit_test(test_bad_reach),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
