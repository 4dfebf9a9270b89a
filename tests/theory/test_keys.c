/* Keys: reading, printing, the circle of fifths, spelling. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "theory_checks.h"

static GlnKey key(const char *name) {
  GlnKey read = {{0, 0}, false};
  assert_int_equal(gln_key_parse(gln_text(name), &read), GLN_OK);
  return read;
}

static void reads_keys_as_people_write_them(void **state) {
  (void)state;
  static const struct {
    const char *name, *printed, *unicode;
  } KEYS[] = {
      {"F", "F", "F"},         {"Bb", "Bb", "B♭"},       {"F#m", "F#m", "F♯m"},    {"c minor", "Cm", "Cm"},
      {"A minor", "Am", "Am"}, {"E♭ major", "Eb", "E♭"}, {"Am", "Am", "Am"},       {"bb minor", "Bbm", "B♭m"},
      {"b minor", "Bm", "Bm"}, {"G maj", "G", "G"},      {"A-", "Am", "Am"},       {"CM", "C", "C"},
      {"  D  ", "D", "D"},     {"f#min", "F#m", "F♯m"},  {"Ab Major", "Ab", "A♭"}, {"C# MINOR", "C#m", "C♯m"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(KEYS); i++) {
    char out[GLN_KEY_TEXT_MAX];
    GlnKey read = key(KEYS[i].name);
    assert_int_equal(gln_key_print(read, GLN_SIGNS_ASCII, out), strlen(KEYS[i].printed));
    assert_string_equal(out, KEYS[i].printed);
    (void)gln_key_print(read, GLN_SIGNS_UNICODE, out);
    assert_string_equal(out, KEYS[i].unicode);
    GlnKey again = key(out);
    assert_true(gln_note_equal(again.tonic, read.tonic) && again.minor == read.minor);
  }
}

static void refuses_what_is_no_key(void **state) {
  (void)state;
  static const char *const WRONG[] = {"",
                                      "H",
                                      "c",
                                      "f",
                                      "C7",
                                      "Cmm",
                                      "minor",
                                      "C major minor",
                                      "Cbbb",
                                      "C dorian",
                                      "Am7",
                                      "C ma jor",
                                      "a very long key name indeed"};
  for (size_t i = 0; i < GLN_COUNT_OF(WRONG); i++) {
    GlnKey read;
    assert_int_equal(gln_key_parse(gln_text(WRONG[i]), &read), GLN_INPUT);
  }
}

/* Key signatures: the circle of fifths of every harmony text. */
static void knows_the_key_signatures(void **state) {
  (void)state;
  static const struct {
    const char *name;
    int fifths;
  } SIGNATURES[] = {{"C", 0},   {"G", 1},    {"D", 2},    {"A", 3},    {"E", 4},   {"B", 5},   {"F#", 6},
                    {"C#", 7},  {"F", -1},   {"Bb", -2},  {"Eb", -3},  {"Ab", -4}, {"Db", -5}, {"Gb", -6},
                    {"Cb", -7}, {"Am", 0},   {"Em", 1},   {"F#m", 3},  {"C#m", 4}, {"G#m", 5}, {"Dm", -1},
                    {"Gm", -2}, {"Bbm", -5}, {"Ebm", -6}, {"Abm", -7}, {"A#m", 7}, {"G#", 8},  {"Fb", -8}};
  for (size_t i = 0; i < GLN_COUNT_OF(SIGNATURES); i++)
    assert_int_equal(gln_key_fifths(key(SIGNATURES[i].name)), SIGNATURES[i].fifths);
}

/* Scales as in every harmony text; the notes between them: common practice, no published source. */
static void spells_pitches_as_the_key_does(void **state) {
  (void)state;
  static const struct {
    const char *name, *chromatic; /* from C upward */
  } SPELLINGS[] = {
      {"C", "C Db D Eb E F F# G Ab A Bb B"},    {"G", "C C# D Eb E F F# G Ab A Bb B"},
      {"E", "C C# D D# E F F# G G# A A# B"},    {"Db", "C Db D Eb Fb F Gb G Ab A Bb Cb"},
      {"Gb", "C Db D Eb Fb F Gb G Ab A Bb Cb"}, {"Am", "C C# D D# E F F# G G# A Bb B"},
      {"Dm", "C C# D Eb E F F# G G# A Bb B"},   {"G#m", "B# C# D D# E E# F# F## G# A A# B"},
      {"Cm", "C Db D Eb E F F# G Ab A Bb B"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(SPELLINGS); i++) {
    char line[CHECK_TEXT_MAX] = "";
    for (int pitch_class = 0; pitch_class < 12; pitch_class++) {
      char out[GLN_NOTE_TEXT_MAX];
      GlnNote spelled = gln_key_spell(key(SPELLINGS[i].name), pitch_class);
      assert_int_equal(gln_note_pitch_class(spelled), pitch_class);
      size_t length = gln_note_print(spelled, GLN_SIGNS_ASCII, out);
      size_t at = strlen(line);
      if (at > 0)
        line[at++] = ' ';
      memcpy(line + at, out, length + 1);
    }
    assert_string_equal(line, SPELLINGS[i].chromatic);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(reads_keys_as_people_write_them),
      cmocka_unit_test(refuses_what_is_no_key),
      cmocka_unit_test(knows_the_key_signatures),
      cmocka_unit_test(spells_pitches_as_the_key_does),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
