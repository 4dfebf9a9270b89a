/* Notes, pitches and degrees. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "theory_checks.h"

static GlnNote note(const char *name) {
  GlnNote read = {0, 0};
  size_t used = 0;
  assert_int_equal(gln_note_parse(gln_text(name), &read, &used), GLN_OK);
  assert_int_equal(used, strlen(name));
  return read;
}

static void reads_and_prints_notes(void **state) {
  (void)state;
  static const struct {
    const char *name;
    int8_t letter, accidental;
    int pitch_class;
    const char *ascii, *unicode;
  } NOTES[] = {
      {"C", 0, 0, 0, "C", "C"},        {"B", 6, 0, 11, "B", "B"},          {"Bb", 6, -1, 10, "Bb", "B♭"},
      {"B♭", 6, -1, 10, "Bb", "B♭"},   {"F#", 3, 1, 6, "F#", "F♯"},        {"F♯", 3, 1, 6, "F#", "F♯"},
      {"Ebb", 2, -2, 2, "Ebb", "E♭♭"}, {"E𝄫", 2, -2, 2, "Ebb", "E♭♭"},     {"Gx", 4, 2, 9, "G##", "G♯♯"},
      {"G𝄪", 4, 2, 9, "G##", "G♯♯"},   {"C##", 0, 2, 2, "C##", "C♯♯"},     {"Cb", 0, -1, 11, "Cb", "C♭"},
      {"B#", 6, 1, 0, "B#", "B♯"},     {"Abbb", 5, -3, 6, "Abbb", "A♭♭♭"}, {"F###", 3, 3, 8, "F###", "F♯♯♯"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(NOTES); i++) {
    GlnNote read = note(NOTES[i].name);
    char out[GLN_NOTE_TEXT_MAX];
    assert_int_equal(read.letter, NOTES[i].letter);
    assert_int_equal(read.accidental, NOTES[i].accidental);
    assert_int_equal(gln_note_pitch_class(read), NOTES[i].pitch_class);
    assert_int_equal(gln_note_print(read, GLN_SIGNS_ASCII, out), strlen(NOTES[i].ascii));
    assert_string_equal(out, NOTES[i].ascii);
    (void)gln_note_print(read, GLN_SIGNS_UNICODE, out);
    assert_string_equal(out, NOTES[i].unicode);
  }
}

static void refuses_what_is_no_note(void **state) {
  (void)state;
  static const char *const WRONG[] = {"", "H", "c", "b", "#", "7", "Cbbbb", "C####", "Cb#", "F#b", "♭"};
  for (size_t i = 0; i < GLN_COUNT_OF(WRONG); i++) {
    GlnNote read = {4, 1};
    size_t used = 99;
    assert_int_equal(gln_note_parse(gln_text(WRONG[i]), &read, &used), GLN_INPUT);
    assert_int_equal(used, 99);
    assert_int_equal(read.letter, 4);
  }
}

static void stops_at_the_end_of_the_note(void **state) {
  (void)state;
  GlnNote read;
  size_t used = 0;
  assert_int_equal(gln_note_parse(GLN_TEXT("Bbm7"), &read, &used), GLN_OK);
  assert_int_equal(used, 2);
  assert_int_equal(gln_note_parse((GlnText){"F##", 2}, &read, &used),
                   GLN_OK); /* the slice ends before the sign */
  assert_int_equal(used, 2);
  assert_int_equal(read.accidental, 1);
}

/* Open strings of the guitar: ISO 16 (A4 = 440 Hz), equal temperament; handbook values to 0.001 Hz. */
static void open_strings_sound_as_in_the_handbooks(void **state) {
  (void)state;
  static const struct {
    const char *name;
    int midi;
    double hertz;
  } STRINGS[] = {{"E2", 40, 82.407},  {"A2", 45, 110.0},   {"D3", 50, 146.832},
                 {"G3", 55, 195.998}, {"B3", 59, 246.942}, {"E4", 64, 329.628}};
  for (size_t i = 0; i < GLN_COUNT_OF(STRINGS); i++) {
    GlnPitch pitch;
    char out[GLN_NOTE_TEXT_MAX];
    assert_int_equal(gln_pitch_parse(gln_text(STRINGS[i].name), &pitch), GLN_OK);
    assert_int_equal(gln_pitch_midi(pitch), STRINGS[i].midi);
    double off = gln_pitch_hertz(STRINGS[i].midi) - STRINGS[i].hertz;
    assert_true(off < 0.0005 && off > -0.0005);
    (void)gln_pitch_print(pitch, GLN_SIGNS_ASCII, out);
    assert_string_equal(out, STRINGS[i].name);
  }
}

/* Scientific pitch notation: the octave goes with the letter. */
static void octaves_go_with_the_letter(void **state) {
  (void)state;
  static const struct {
    const char *name;
    int midi;
  } PITCHES[] = {{"C4", 60}, {"Cb4", 59}, {"B#3", 60}, {"B3", 59}, {"C-1", 0}, {"G9", 127}, {"Bb3", 58}};
  for (size_t i = 0; i < GLN_COUNT_OF(PITCHES); i++) {
    GlnPitch pitch;
    assert_int_equal(gln_pitch_parse(gln_text(PITCHES[i].name), &pitch), GLN_OK);
    assert_int_equal(gln_pitch_midi(pitch), PITCHES[i].midi);
    GlnPitch same = gln_pitch_at(pitch.note, PITCHES[i].midi);
    assert_int_equal(same.octave, pitch.octave);
  }
  static const char *const WRONG[] = {"", "E", "2", "E2x", "E 2", "H2", "E10", "e2"};
  for (size_t i = 0; i < GLN_COUNT_OF(WRONG); i++) {
    GlnPitch pitch;
    assert_int_equal(gln_pitch_parse(gln_text(WRONG[i]), &pitch), GLN_INPUT);
  }
}

static void every_pitch_has_its_place(void **state) {
  (void)state;
  for (int midi = 0; midi <= 127; midi++) {
    for (int letter = 0; letter < 7; letter++) {
      for (int accidental = -3; accidental <= 3; accidental++) {
        GlnNote name = {(int8_t)letter, (int8_t)accidental};
        if (gln_note_pitch_class(name) == midi % 12)
          assert_int_equal(gln_pitch_midi(gln_pitch_at(name, midi)), midi);
      }
    }
  }
}

static void reads_and_prints_degrees(void **state) {
  (void)state;
  static const struct {
    const char *name;
    int8_t number, alteration;
    int semitones;
    const char *unicode;
  } DEGREES[] = {{"1", 1, 0, 0, "1"},        {"b3", 3, -1, 3, "♭3"},   {"5", 5, 0, 7, "5"},
                 {"#5", 5, 1, 8, "♯5"},      {"bb7", 7, -2, 9, "♭♭7"}, {"9", 9, 0, 14, "9"},
                 {"#9", 9, 1, 15, "♯9"},     {"b9", 9, -1, 13, "♭9"},  {"#11", 11, 1, 18, "♯11"},
                 {"b13", 13, -1, 20, "♭13"}, {"15", 15, 0, 24, "15"},  {"8", 8, 0, 12, "8"}};
  for (size_t i = 0; i < GLN_COUNT_OF(DEGREES); i++) {
    GlnDegree degree;
    size_t used = 0;
    char out[GLN_DEGREE_TEXT_MAX];
    assert_int_equal(gln_degree_parse(gln_text(DEGREES[i].name), &degree, &used), GLN_OK);
    assert_int_equal(used, strlen(DEGREES[i].name));
    assert_int_equal(degree.number, DEGREES[i].number);
    assert_int_equal(degree.alteration, DEGREES[i].alteration);
    assert_int_equal(gln_degree_semitones(degree), DEGREES[i].semitones);
    (void)gln_degree_print(degree, GLN_SIGNS_ASCII, out);
    assert_string_equal(out, DEGREES[i].name);
    (void)gln_degree_print(degree, GLN_SIGNS_UNICODE, out);
    assert_string_equal(out, DEGREES[i].unicode);
  }
  static const char *const WRONG[] = {"", "b", "0", "16", "99", "bbbb3", "b#3", "x"};
  for (size_t i = 0; i < GLN_COUNT_OF(WRONG); i++) {
    GlnDegree degree;
    size_t used = 0;
    assert_int_equal(gln_degree_parse(gln_text(WRONG[i]), &degree, &used), GLN_INPUT);
  }
}

/* Spelling by letter: an interval keeps its number of letters. */
static void spells_intervals_by_letter(void **state) {
  (void)state;
  static const struct {
    const char *root;
    GlnDegree degree;
    const char *note;
  } ABOVE[] = {{"Gb", {7, -1}, "Fb"}, {"Gb", {5, -1}, "Dbb"}, {"C", {7, -2}, "Bbb"}, {"D#", {3, 0}, "F##"},
               {"B", {11, 1}, "E#"},  {"Eb", {9, -1}, "Fb"},  {"A", {13, 0}, "F#"},  {"Cb", {4, 0}, "Fb"}};
  for (size_t i = 0; i < GLN_COUNT_OF(ABOVE); i++) {
    GlnNote above = gln_note_above(note(ABOVE[i].root), ABOVE[i].degree);
    assert_true(gln_note_equal(above, note(ABOVE[i].note)));
  }
  for (int8_t root = 0; root < 7; root++) {
    for (int8_t sign = -2; sign <= 2; sign++) {
      for (int8_t number = 1; number <= 7; number++) {
        for (int8_t alteration = -2; alteration <= 2; alteration++) {
          GlnNote from = {root, sign};
          GlnNote to = gln_note_above(from, (GlnDegree){number, alteration});
          GlnDegree back = gln_degree_between(from, to);
          assert_int_equal(back.number, number);
          assert_int_equal(back.alteration, alteration);
          int semitones = gln_note_pitch_class(to) - gln_note_pitch_class(from) - gln_degree_semitones(back);
          assert_int_equal(semitones % 12, 0);
        }
      }
    }
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(reads_and_prints_notes),
      cmocka_unit_test(refuses_what_is_no_note),
      cmocka_unit_test(stops_at_the_end_of_the_note),
      cmocka_unit_test(open_strings_sound_as_in_the_handbooks),
      cmocka_unit_test(octaves_go_with_the_letter),
      cmocka_unit_test(every_pitch_has_its_place),
      cmocka_unit_test(reads_and_prints_degrees),
      cmocka_unit_test(spells_intervals_by_letter),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
