#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "grip_test.h"

/* x = L(1 - 2^(-n/12)), equal temperament: values worked out from the formula. */
static void test_fret_distances(void **state) {
  (void)state;
  static const struct {
    double scale_mm;
    int fret;
    double mm;
  } rows[] = {{650, 1, 36.482},   {650, 5, 163.050},  {650, 7, 216.177},
              {650, 12, 325.000}, {650, 19, 433.089}, {648, 1, 36.369}};
  GlnInstrument instrument = gln_instrument_defaults();
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    instrument.scale_mm = rows[i].scale_mm;
    assert_near(gln_fret_mm(&instrument, rows[i].fret), rows[i].mm, 0.0005);
  }
}

/* Luthiers' table for a scale of 25 inches: fret to bridge. */
static void test_fret_to_bridge(void **state) {
  (void)state;
  GlnInstrument instrument = gln_instrument_defaults();
  instrument.scale_mm = 635;
  assert_near(635 - gln_fret_mm(&instrument, 1), 599.360, 0.0005);
  assert_near(635 - gln_fret_mm(&instrument, 5), 475.712, 0.0005);
}

/* Worked out from the formula. */
static void test_width_of_four_frets(void **state) {
  (void)state;
  GlnInstrument instrument = gln_instrument_defaults();
  static const struct {
    int low, high;
    double mm;
  } rows[] = {{1, 4, 97.6}, {5, 8, 77.5}, {9, 12, 61.5}};
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++)
    assert_near(gln_fret_mm(&instrument, rows[i].high) - gln_fret_mm(&instrument, rows[i].low), rows[i].mm,
                0.05);
}

/* A4 = 440 Hz (ISO 16). */
static void test_open_strings(void **state) {
  (void)state;
  static const double hertz[] = {82.407, 110, 146.832, 195.998, 246.942, 329.628};
  static const int midi[] = {40, 45, 50, 55, 59, 64};
  GlnInstrument instrument = gln_instrument_defaults();
  for (int s = 0; s < 6; s++) {
    assert_int_equal(gln_sounding_midi(&instrument, s, 0), midi[s]);
    assert_near(gln_pitch_hertz(gln_sounding_midi(&instrument, s, 0)), hertz[s], 0.0005);
  }
}

/* Nut widths, 52 mm classical: common practice, no published source. */
static void test_strings_fit_the_nut(void **state) {
  (void)state;
  GlnInstrument instrument = gln_instrument_defaults();
  double strings = gln_stop_point(&instrument, 5, 0).across_mm - gln_stop_point(&instrument, 0, 0).across_mm;
  assert_true(strings > 40 && strings < 46); /* 52 mm less 3 to 6 mm beside each outer string */
}

static void test_stop_point(void **state) {
  (void)state;
  GlnInstrument instrument = gln_instrument_defaults();
  for (int fret = 1; fret <= instrument.fret_count; fret++) {
    GlnPoint point = gln_stop_point(&instrument, 2, fret);
    assert_true(point.along_mm < gln_fret_mm(&instrument, fret));
    assert_true(point.along_mm > gln_fret_mm(&instrument, fret - 1));
  }
  GlnPoint low = gln_stop_point(&instrument, 0, 12), high = gln_stop_point(&instrument, 5, 12);
  assert_near(high.across_mm - low.across_mm, 5 * (8.6 + 3.0 * low.along_mm / 650), 1e-9);
  assert_near((high.across_mm + low.across_mm) / 2, 2.5 * 8.6, 1e-9); /* strings fan out from the middle */
}

static void test_capo_over_some_strings(void **state) {
  (void)state;
  GlnInstrument plain = gln_instrument_defaults(), capo = plain;
  assert_int_equal(gln_capo_parse(GLN_TEXT("2:5-3"), &capo), GLN_OK);
  assert_true(gln_capo_fits(&capo));
  assert_int_equal(gln_frets_from(&capo), 0);
  for (int s = 0; s < 6; s++) { /* string 6 is index 0; strings 5, 4 and 3 are covered */
    bool covered = s >= 1 && s <= 3;
    assert_int_equal(gln_first_fret(&capo, s), covered ? 3 : 1);
    assert_int_equal(gln_sounding_midi(&capo, s, 0), gln_sounding_midi(&plain, s, covered ? 2 : 0));
    assert_int_equal(gln_sounding_midi(&capo, s, 5), gln_sounding_midi(&plain, s, 5));
    assert_near(gln_stop_point(&capo, s, 5).along_mm, gln_stop_point(&plain, s, 5).along_mm, 1e-12);
  }
  GlnFrets frets = {.fret = {0, 3, 2, 0, 0, 0, -1, -1}, .string_count = 6};
  int string = -1;
  assert_non_null(gln_frets_fault(&capo, &frets, &string));
  assert_int_equal(string, 2);
  frets.fret[2] = 3;
  assert_null(gln_frets_fault(&capo, &frets, &string));
  frets.fret[5] = 20;
  assert_non_null(gln_frets_fault(&capo, &frets, &string));
  assert_int_equal(string, 5);
}

static void test_capo_in_text(void **state) {
  (void)state;
  static const struct {
    const char *text, *described;
  } good[] = {{"0", "0"},
              {"3", "3"},
              {"2:5-3", "2 on strings 5-3"},
              {" 2 : 3-5 ", "2 on strings 5-3"},
              {"4:6", "4 on strings 6"},
              {"12:1,3-4,8", "12 on strings 8,4-3,1"}};
  static const char *const bad[] = {"", "13", "-1", "2:", "2:0", "2:9", "2:5-", "2:a", "0:3", "2:5-3,", ":3"};
  for (size_t i = 0; i < GLN_COUNT_OF(good); i++) {
    GlnInstrument instrument = gln_instrument_defaults();
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnBuffer words = gln_buffer(arena);
    assert_int_equal(gln_capo_parse(gln_text(good[i].text), &instrument), GLN_OK);
    gln_capo_describe(&instrument, &words);
    assert_true(gln_text_equal(gln_buffer_text(&words), gln_text(good[i].described)));
    assert_int_equal(gln_capo_fits(&instrument), i < 5);
    gln_arena_free(arena);
  }
  for (size_t i = 0; i < GLN_COUNT_OF(bad); i++) {
    GlnInstrument instrument = gln_instrument_defaults();
    assert_int_equal(gln_capo_parse(gln_text(bad[i]), &instrument), GLN_INPUT);
    assert_int_equal(instrument.capo, 0);
  }
}

/* The fifth string of a banjo begins at the fifth fret, g above the others; a capo at the second leaves it alone. Common
 * practice, no published source. */
static void test_short_string(void **state) {
  (void)state;
  GlnInstrument banjo = gln_instrument_defaults();
  assert_int_equal(gln_instrument_tune(GLN_TEXT("five-string banjo"), &banjo), GLN_OK);
  assert_int_equal(gln_sounding_midi(&banjo, 0, 0), 67);
  assert_int_equal(gln_first_fret(&banjo, 0), 6);
  assert_int_equal(gln_sounding_midi(&banjo, 0, 7), 69);
  assert_int_equal(gln_first_fret(&banjo, 1), 1);
  assert_true(gln_instrument_reentrant(&banjo));
  banjo.capo = 2;
  assert_int_equal(gln_sounding_midi(&banjo, 0, 0), 67);
  assert_int_equal(gln_first_fret(&banjo, 0), 4); /* counted from the capo */
  assert_int_equal(gln_sounding_midi(&banjo, 0, 4), 68);
  assert_int_equal(gln_sounding_midi(&banjo, 1, 0), 52);
}

static void test_capo_moves_everything(void **state) {
  (void)state;
  GlnInstrument plain = gln_instrument_defaults(), capo = plain;
  capo.capo = 3;
  assert_int_equal(gln_sounding_midi(&capo, 0, 2), gln_sounding_midi(&plain, 0, 5));
  assert_near(gln_stop_point(&capo, 1, 2).along_mm, gln_stop_point(&plain, 1, 5).along_mm, 1e-12);
}

static void test_string_numbers(void **state) {
  (void)state;
  GlnInstrument instrument = gln_instrument_defaults();
  assert_int_equal(gln_string_number(&instrument, 0), 6);
  assert_int_equal(gln_string_number(&instrument, 5), 1);
}

static void assert_tuned(const char *tuning, int count, const int *midi) {
  GlnInstrument instrument = gln_instrument_defaults();
  assert_int_equal(gln_instrument_tune(gln_text(tuning), &instrument), GLN_OK);
  assert_int_equal(instrument.string_count, count);
  for (int s = 0; s < count; s++)
    assert_int_equal(instrument.open_midi[s], midi[s]);
}

/* Common practice, no published source. */
static void test_tunings(void **state) {
  (void)state;
  static const int standard[] = {40, 45, 50, 55, 59, 64}, drop_d[] = {38, 45, 50, 55, 59, 64};
  static const int seven[] = {35, 40, 45, 50, 55, 59, 64}, eight[] = {30, 35, 40, 45, 50, 55, 59, 64};
  static const int uke[] = {67, 60, 64, 69}, bass[] = {28, 33, 38, 43}, fourths[] = {50, 55, 59};
  assert_tuned("standard", 6, standard);
  assert_tuned("E A D G B E", 6, standard);
  assert_tuned(" E2 A2 D3 G3 B3 E4 ", 6, standard);
  assert_tuned("e2,a2,d3,g3,b3,e4", 6, standard);
  assert_tuned("Drop-D", 6, drop_d);
  assert_tuned("D A D G B E", 6, drop_d);
  assert_tuned("B E A D G B E", 7, seven);
  assert_tuned("F# B E A D G B E", 8, eight);
  assert_tuned("ukulele", 4, uke);
  assert_tuned("bass", 4, bass);
  assert_tuned("D3 G3 B3", 3, fourths);
}

static void test_named_tunings_read(void **state) {
  (void)state;
  assert_true(gln_tuning_count() > 10);
  for (size_t i = 0; i < gln_tuning_count(); i++) {
    GlnInstrument by_name = gln_instrument_defaults(), by_notes = by_name;
    assert_int_equal(gln_instrument_tune(gln_text(gln_tuning_name(i)), &by_name), GLN_OK);
    assert_int_equal(gln_instrument_tune(gln_text(gln_tuning_notes(i)), &by_notes), GLN_OK);
    assert_memory_equal(&by_name.open_midi, &by_notes.open_midi, sizeof by_name.open_midi);
  }
}

static void test_bad_tunings(void **state) {
  (void)state;
  static const char *const bad[] = {
      "",         "E A",      "E A D G B H", "E2 A D G B E", "E2 A2 D3 G3 B3 E4 A4 D5 G5",
      "E9 A9 D9", "nonsense", "E-1 A2 D3"};
  for (size_t i = 0; i < GLN_COUNT_OF(bad); i++) {
    GlnInstrument instrument = gln_instrument_defaults(), before = instrument;
    assert_int_equal(gln_instrument_tune(gln_text(bad[i]), &instrument), GLN_INPUT);
    assert_memory_equal(instrument.open_midi, before.open_midi, sizeof before.open_midi);
    assert_int_equal(instrument.string_count, before.string_count);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_fret_distances),        cmocka_unit_test(test_fret_to_bridge),
      cmocka_unit_test(test_width_of_four_frets),   cmocka_unit_test(test_open_strings),
      cmocka_unit_test(test_strings_fit_the_nut),   cmocka_unit_test(test_stop_point),
      cmocka_unit_test(test_capo_moves_everything), cmocka_unit_test(test_capo_over_some_strings),
      cmocka_unit_test(test_capo_in_text),          cmocka_unit_test(test_short_string),
      cmocka_unit_test(test_string_numbers),        cmocka_unit_test(test_tunings),
      cmocka_unit_test(test_named_tunings_read),    cmocka_unit_test(test_bad_tunings),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
