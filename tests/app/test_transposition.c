/* Charts in other keys: the chords by pitch class, the spelling, and what must stay as it was typed. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "app.h"

#include <string.h>

static GlnKey key_of(const char *text) {
  GlnKey key;
  assert_int_equal(gln_key_parse(gln_text(text), &key), GLN_OK);
  return key;
}

static GlnText moved(GlnArena *arena, const char *source, const char *from, const char *to, int semitones,
                     GlnDiags *diags) {
  const GlnTransposition move = {key_of(from), key_of(to), semitones, 19};
  GlnText text;
  assert_int_equal(gln_transposition_write(gln_text(source), &move, arena, diags, &text), GLN_OK);
  return text;
}

static void expect(const char *source, const char *from, const char *to, int semitones, const char *wanted,
                   size_t warnings) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnDiags diags = gln_diags(arena);
  GlnText text = moved(arena, source, from, to, semitones, &diags);
  const char *copy = gln_text_copy(arena, text);
  assert_string_equal(copy, wanted);
  assert_int_equal(diags.count, warnings);
  gln_arena_free(arena);
}

static void all_but_the_notes_stays(void **state) {
  (void)state;
  expect("# mine\ntitle: C\nkey: C\nmood: blue\n[A]\n|: C-7  F7(9) | % | N.C. / Bb/D / :|  # C here\n", "C",
         "D", 2, "# mine\ntitle: C\nkey: D\nmood: blue\n[A]\n|: D-7  G7(9) | % | N.C. / C/E / :|  # C here\n",
         0);
}

static void pins_slide_with_their_shape(void **state) {
  (void)state;
  expect("key: C\n| Cmaj7@x3545x | F@133211 |\n", "C", "D", 2, "key: D\n| Dmaj7@x5767x | G@355433 |\n", 0);
  /* Down a fifth there is no neck left: the shape goes up a fourth. */
  expect("key: C\n| Cmaj7@x3545x |\n", "C", "F", -7, "key: F\n| Fmaj7@x-8-10-9-10-x |\n", 0);
  /* An open string cannot slide. */
  expect("key: C\n| C@x32010 | Am7^E4 |\n", "C", "D", 2, "key: D\n| D | Bm7^F#4 |\n", 1);
  expect("key: C\n| C@x32010 |\n", "C", "C", 0, "key: C\n| C@x32010 |\n", 0);
}

static void chords_are_spelled_for_the_key(void **state) {
  (void)state;
  expect("key: F\n| Fmaj9 | Eb13 | Gb7b5 | C7/E |\n", "F", "Eb", -2,
         "key: Eb\n| Ebmaj9 | Db13 | E7b5 | Bb7/D |\n", 0);
  expect("key: C\n| C | F | E7 | Am |\n", "C", "Gb", 6, "key: Gb\n| Gb | Cb | Bb7 | Ebm |\n", 0);
  expect("key: C\n| C | F | E7 | Am |\n", "C", "F#", 6, "key: F#\n| F# | B | A#7 | D#m |\n", 0);
}

static void every_chord_moves_by_the_interval(void **state) {
  (void)state;
  static const char source[] =
      "key: C\n| Cmaj9 | Ebdim7 / Dm7b5 / | G7(b9,13) | C/E F#ø | Abmaj7#5 Bbsus4/F |\n";
  static const char *const keys[12] = {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"};
  for (int up = 0; up < 12; up++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnDiags diags = gln_diags(arena);
    GlnChart *before = NULL, *after = NULL;
    GlnText text = moved(arena, source, "C", keys[up], up, &diags);
    assert_int_equal(gln_chart_read(gln_text(source), arena, &diags, &before), GLN_OK);
    assert_int_equal(gln_chart_read(text, arena, &diags, &after), GLN_OK);
    assert_int_equal(after->sections[0].bar_count, 5);
    for (size_t b = 0; b < 5; b++)
      for (size_t e = 0; e < before->sections[0].bars[b].event_count; e++) {
        const GlnChord *from = &before->sections[0].bars[b].events[e].chord,
                       *to = &after->sections[0].bars[b].events[e].chord;
        unsigned wide = (unsigned)gln_chord_pitch_classes(from) << up;
        assert_int_equal(gln_chord_pitch_classes(to), (wide | wide >> 12) & 0xFFF);
        assert_int_equal(gln_note_pitch_class(to->bass), (gln_note_pitch_class(from->bass) + up) % 12);
      }
    gln_arena_free(arena);
  }
}

static void keys_have_few_signs(void **state) {
  (void)state;
  const struct {
    const char *home;
    int semitones;
    const char *named;
  } expected[] = {{"C", 1, "Db"},   {"C", 6, "F#"},   {"F", 1, "Gb"},   {"C", -1, "B"},  {"Am", 1, "Bbm"},
                  {"Am", 4, "C#m"}, {"Am", 6, "D#m"}, {"Dm", 1, "Ebm"}, {"Gb", 0, "Gb"}, {"Cb", 12, "Cb"}};
  for (size_t i = 0; i < GLN_COUNT_OF(expected); i++) {
    GlnKey home = key_of(expected[i].home), named = key_of(expected[i].named);
    assert_true(gln_note_equal(gln_tonic_named(home, expected[i].semitones), named.tonic));
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(all_but_the_notes_stays),
      cmocka_unit_test(pins_slide_with_their_shape),
      cmocka_unit_test(chords_are_spelled_for_the_key),
      cmocka_unit_test(every_chord_moves_by_the_interval),
      cmocka_unit_test(keys_have_few_signs),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
