/* Chord symbols: every dialect of one chord reads as that chord, and each decided case as docs/chord-symbols.md says.
 *
 * Spelling is by letter (the rule of every harmony text); which tones a symbol names is common practice, no published
 * source, and compared with three libraries in tests/outside/spelling.mjs. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "theory_checks.h"

static GlnChord chord(const char *symbol) {
  GlnChord read;
  GlnSymbolFault fault;
  if (gln_chord_parse(gln_text(symbol), &read, &fault) != GLN_OK)
    fail_msg("%s: %s", symbol, fault.problem);
  return read;
}

static void expect(const char *symbol, const char *notes, const char *printed) {
  char out[CHECK_TEXT_MAX];
  char name[GLN_SYMBOL_TEXT_MAX];
  GlnChord read = chord(symbol);
  (void)gln_chord_print(&read, GLN_SIGNS_ASCII, name);
  if (strcmp(notes_of(&read, out), notes) != 0 || (printed != NULL && strcmp(name, printed) != 0))
    fail_msg("%s: %s (%s), should be %s (%s)", symbol, out, name, notes, printed != NULL ? printed : name);
}

/* Blank between spellings. */
static const struct {
  const char *notes, *printed, *spellings;
} DIALECTS[] = {
    {"C E G", "C", "C CM Cmaj Cmajor Cma CMaj C(no7)"},
    {"C Eb G", "Cm", "Cm C- Cmin Cmi Cminor C− C– CMin"},
    {"C Eb Gb", "Cdim", "Cdim C° Co Cº Cdiminished Cm(b5) Cmb5 C-b5 Cm-5 Cm(5-) Cm(♭5)"},
    {"C E G#", "C+", "C+ Caug Caugmented C+5 C(#5) C(♯5) C(+5) C5+ C(5+) Caug5"},
    {"C E Gb", "C(b5)", "C(b5) C-5 C(-5) C5- C(5-) C(♭5) C[b5]"},
    {"C G", "C5", "C5 Cno3 C(no3) C(omit3) C5(no3)"},
    {"C F G", "Csus4", "Csus4 Csus C4 C(sus4) C(4) C(sus) Csuspended Cmsus4 Csus4(no3)"},
    {"C D G", "Csus2", "Csus2 C(sus2)"},
    {"C D F G", "Csus24", "Csus24 Csus2sus4 Csus2/4"},
    {"C E G D", "Cadd9", "Cadd9 C(add9) C2 C(9) C/9 C(2) Cadd2 C(add2) C[add9] Cadd 9 CAdd9"},
    {"C Eb G D", "Cm(add9)", "Cm(add9) Cmadd9 Cm2 C-add9 Cminadd9 Cm/9 Cm(9)"},
    {"C E F G", "Cadd4", "Cadd4 C(add4)"},
    {"C E G F", "Cadd11", "Cadd11 C(add11) C(11) C/11"},
    {"C E G A", "C6", "C6 CM6 Cmaj6 C(6) Cadd6 C(add6)"},
    {"C Eb G A", "Cm6", "Cm6 C-6 Cmin6 Cm(add6) Cm(6)"},
    {"C E G A D", "C6/9", "C6/9 C69 C6(9) C6add9 C6(add9) C(6,9) C(6/9) CM6/9 Cmaj69"},
    {"C Eb G A D", "Cm6/9", "Cm6/9 Cm69 C-6/9 Cm6(9) Cmin6add9"},
    {"C E G B", "Cmaj7",
     "Cmaj7 CM7 CΔ CΔ7 C∆ C△7 C7M Cma7 Cj7 Cj CMaj7 CMAJ7 C(maj7) C/maj7 "
     "Cmajor7 C7maj Cmaj(7)"},
    {"C E G B D", "Cmaj9", "Cmaj9 CM9 CΔ9 C9M Cma9 C7M(9) C7M/9 Cmaj7(9) Cmaj7/9 Cmaj7add9 Cj9 C(maj9)"},
    {"C E G B D A", "Cmaj13", "Cmaj13 CM13 CΔ13 Cma13 C7M(9,13) Cmaj9(13) C7M(9/13)"},
    {"C G B D F", "Cmaj11", "Cmaj11 CM11 Cma11"},
    {"C E G B F#", "Cmaj7#11",
     "Cmaj7#11 CM7#11 C7M(#11) CΔ#11 CΔ(#11) Cmaj7(♯11) Cmaj7(11+) Cmaj7+11 C7M/#11"},
    {"C E G B D F#", "Cmaj9#11", "Cmaj9#11 Cmaj9(#11) C7M(9,#11) CM9#11"},
    {"C E G# B", "Cmaj7#5", "Cmaj7#5 CM7#5 C7M(#5) CΔ#5 C+maj7 C+M7 Caugmaj7 Cmaj7+5 Cmaj7(5+) C+Δ"},
    {"C E Gb B", "Cmaj7b5", "Cmaj7b5 C7M(b5) Cmaj7-5 CM7b5"},
    {"C Eb G B", "Cm(maj7)",
     "Cm(maj7) CmMaj7 CmM7 C-Δ7 C-Δ Cm7M Cm/maj7 Cm(M7) Cmmaj7 Cmin(maj7) C-maj7 C-M7 Cm(7M) "
     "CmΔ Cm+7 Cm#7 Cm/M7"},
    {"C Eb G B D", "Cm(maj9)", "Cm(maj9) CmMaj9 CmM9 C-Δ9 Cm9(maj7) Cm7M(9) Cm(maj7)(9) Cm(maj7,9)"},
    {"C E G Bb", "C7", "C7 Cdom7 C(7) Cdominant7 C/7 Cdom C dom7"},
    {"C E G Bb D", "C9", "C9 C7(9) C7/9 C7add9 C7(add9) Cdom9"},
    {"C G Bb D F", "C11", "C11"},
    {"C E G Bb D A", "C13", "C13 C9(13) C7(9,13) C7/9/13 C9add13 C9/13"},
    {"C E G Bb A", "C7(13)", "C7(13) C7/13 C7add13 C7 13"},
    {"C Eb G Bb", "Cm7", "Cm7 C-7 Cmin7 Cmi7 Cminor7 CMI7 Cm(b7) Cm(7) C minor 7"},
    {"C Eb G Bb D", "Cm9", "Cm9 C-9 Cmin9 Cmi9 Cm7(9) Cm7/9"},
    {"C Eb G Bb D F", "Cm11", "Cm11 C-11 Cmin11 Cm9(11) Cm7(9,11) Cm7(9/11)"},
    {"C Eb G Bb D A", "Cm13", "Cm13 C-13 Cm9(13)"},
    {"C Eb G Bb F", "Cm7(11)", "Cm7(11) Cm7/11 Cm7add11 C-7(11) Cm7add 11"},
    {"C Eb Gb Bb", "Cm7b5",
     "Cm7b5 Cø Cø7 C-7b5 Chalfdim Chalfdim7 Cm7(b5) Cmin7b5 Cm7-5 C-7-5 CØ Chdim7 Ch7 "
     "Cm7(5-) Cmi7(♭5) Cm7/5- "
     "Chalf-diminished7 Cm7/b5"},
    {"C Eb Gb Bb D", "Cm9b5", "Cm9b5 Cø9 Cm9(b5) Cm7b5(9) Cm7(b5,9)"},
    {"C Eb Gb Bb D F", "Cm11b5", "Cm11b5 Cø11 Cm11(b5)"},
    {"C Eb Gb Bbb", "Cdim7", "Cdim7 C°7 Co7 Cº7 Cdim(7) Cdim(bb7) Cdim𝄫7"},
    {"C Eb Gb B", "Cdim(maj7)", "Cdim(maj7) C°maj7 C°M7 CoM7 Cdim7M C°Δ7 C°(maj7)"},
    {"C E G# Bb", "C7#5", "C7#5 C7+ C+7 Caug7 C7(#5) C7+5 C7(5+) C7aug C7(♯5) C7/5+"},
    {"C E G# Bb D", "C9#5", "C9#5 C9+ C+9 Caug9 C9(#5) C7#5(9)"},
    {"C E Gb Bb", "C7b5", "C7b5 C7-5 C7(b5) C7(5-) C7(♭5) C7/5-"},
    {"C E G Bb Db", "C7b9", "C7b9 C7(b9) C7-9 C7(-9) C7(9-) C7/9- C7/b9 C7♭9 C7[b9] C9b9 C7addb9 C7 b9"},
    {"C E G Bb D#", "C7#9", "C7#9 C7(#9) C7+9 C7(9+) C7/9+ C7♯9 C7/#9"},
    {"C E G Bb F#", "C7#11", "C7#11 C7(#11) C7+11 C7(11+) C7(♯11)"},
    {"C E G Bb D F#", "C9#11", "C9#11 C9(#11) C7(9,#11)"},
    {"C E G Bb Ab", "C7b13", "C7b13 C7(b13) C7(13-) C7-13"},
    {"C E G Bb Db Ab", "C7(b9,b13)",
     "C7b9b13 C7(b9,b13) C7(b13,b9) C7b13b9 C7(b9)(b13) C7(b9b13) C7(b9/b13) C7(b9 b13) C7b9(b13)"},
    {"C E G Bb Db A", "C13b9", "C13b9 C13(b9) C7(b9,13) C7(13,b9) C7(b9)(13) C7b9(13) C7(b9/13) C7b9add13"},
    {"C E G Bb D F# A", "C13#11", "C13#11 C13(#11) C9(#11,13)"},
    {"C E G# Bb D#", "C7(#5,#9)", "C7(#9#5) C7#5#9 C7#9#5 C7(#5,#9) C+7#9 C7+(#9) C7aug(#9) C7(5+,9+)"},
    {"C E G# Bb Db", "C7(#5,b9)", "C7#5b9 C7(b9#5) C+7b9 C7+(b9) C7+b9"},
    {"C E Gb Bb Db", "C7(b5,b9)", "C7b5b9 C7(b5,b9) C7b9b5 C7(b9b5)"},
    {"C E Gb Bb D#", "C7(b5,#9)", "C7b5#9 C7(#9,b5)"},
    {"C E Gb G# Bb Db D#", "C7alt", "C7alt Calt C7(alt) C7altered C7(b5,#5,b9,#9)"},
    {"C F G Bb", "C7sus4", "C7sus4 C7sus Csus7 C4/7 C7(sus4) C7/4 C7(4) Cm7sus4 C7suspended Csus4/7"},
    {"C F G Bb D", "C9sus4", "C9sus4 C9sus Csus9 C4/7(9) C4/7/9 C7sus4(9) C9(sus4) C7(4,9) C11sus"},
    {"C F G Bb D A", "C13sus4", "C13sus4 C13sus Csus13 C9sus4(13) C13(sus4)"},
    {"C F G Bb Db", "C7sus4(b9)", "C7sus4(b9) C7b9sus4 C7susb9 C7sus4b9 C7(b9)sus C7(sus4,b9)"},
    {"C G Bb", "C7(omit3)", "C7no3 C7(no3) C7omit3 C7(omit 3) C7(no 3)"},
    {"C E", "C(omit5)", "C(omit5) Cno5 C(no5)"},
    {"", "N.C.", "N.C. NC N.C n.c. nc"},
};

/* Spellings with a blank inside stand last in their row, one a row at most, from "Cadd 9" and the like. */
static void expect_each(const char *spellings, const char *notes, const char *printed) {
  const char *at = spellings;
  while (*at != '\0') {
    char symbol[64];
    size_t length = strcspn(at, " ");
    size_t end = length;
    /* A piece that does not start with C or N belongs to the one before: a blank inside a symbol. */
    while (at[end] == ' ' && at[end + 1] != 'C' && at[end + 1] != 'N' && at[end + 1] != 'n' &&
           at[end + 1] != '\0')
      end += 1 + strcspn(at + end + 1, " ");
    memcpy(symbol, at, end);
    symbol[end] = '\0';
    expect(symbol, notes, printed);
    at += end + (at[end] == ' ' ? 1 : 0);
  }
}

static void every_dialect_reads_alike(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(DIALECTS); i++)
    expect_each(DIALECTS[i].spellings, DIALECTS[i].notes, DIALECTS[i].printed);
}

/* Each row of the table of qualities reads to its own tones, in ASCII and Unicode. */
static void the_table_reads_as_itself(void **state) {
  (void)state;
  for (size_t i = 0; i < gln_quality_count(); i++) {
    char symbol[GLN_SYMBOL_TEXT_MAX] = "C";
    char out[CHECK_TEXT_MAX];
    strncat(symbol, gln_quality_at(i)->suffix, sizeof symbol - 2);
    GlnChord read = chord(symbol);
    assert_int_equal(read.quality, i);
    assert_string_equal(degrees_of(&read, out), gln_quality_at(i)->degrees);
    assert_true(strlen(gln_quality_at(i)->words) > 0);
    for (size_t j = 0; j < i; j++) {
      assert_string_not_equal(gln_quality_at(i)->suffix, gln_quality_at(j)->suffix);
      assert_string_not_equal(gln_quality_at(i)->degrees, gln_quality_at(j)->degrees);
      assert_string_not_equal(gln_quality_at(i)->words, gln_quality_at(j)->words);
    }
  }
}

static void spells_by_letter(void **state) {
  (void)state;
  expect("Gb7b5", "Gb Bb Dbb Fb", "Gb7b5");
  expect("G♭7♭5", "Gb Bb Dbb Fb", "Gb7b5");
  expect("C°7", "C Eb Gb Bbb", "Cdim7");
  expect("C#m7b5", "C# E G B", "C#m7b5");
  expect("D#7", "D# F## A# C#", "D#7");
  expect("Abm6/9", "Ab Cb Eb F Bb", "Abm6/9");
  expect("B7#9", "B D# F# A C##", "B7#9");
  expect("Fbmaj7", "Fb Ab Cb Eb", "Fbmaj7");
  expect("C##7", "C## E## G## B#", "C##7");
  expect("C𝄪7", "C## E## G## B#", "C##7");
  expect("Bbb", "Bbb Db Fb", "Bbb");
  expect("B𝄫m", "Bbb Dbb Fb", "Bbbm");
  expect("Ebdim7", "Eb Gb Bbb Dbb", "Ebdim7");
}

/* Same pitch classes under different names: computed by definition. */
static void enharmonic_pairs_sound_alike(void **state) {
  (void)state;
  static const char *const PAIRS[][2] = {
      {"Gb7b5", "C7b5"}, {"C6", "Am7"}, {"Cm6", "Am7b5"}, {"Csus4", "Fsus2"}};
  for (size_t i = 0; i < GLN_COUNT_OF(PAIRS); i++) {
    GlnChord a = chord(PAIRS[i][0]);
    GlnChord b = chord(PAIRS[i][1]);
    assert_int_equal(gln_chord_pitch_classes(&a), gln_chord_pitch_classes(&b));
    assert_false(gln_chord_equal(&a, &b));
  }
}

/* Symbols that general-purpose libraries were reported to read wrongly: public issue threads of tonal (155, 231),
 * chord-symbol (621, 612), music21 (1685, 604) and pychord (95). */
static void reported_traps(void **state) {
  (void)state;
  expect("Cb9sus", "Cb Fb Gb Bbb Db", "Cb9sus4");
  expect("C(b9)sus", "C F G Db", "Csus4(addb9)");
  expect("Gadd9/A", "G B D A", "Gadd9/A");
  expect("Cadd4", "C E F G", "Cadd4");
  expect("Dmaj7/G", "D F# A C# G", "Dmaj7/G");
  expect("Co omit5", "C Eb", "Cm(omit5)");
  expect("Coomit5", "C Eb", "Cm(omit5)");
  expect("Comit5", "C E", "C(omit5)");
  expect("C6", "C E G A", "C6");
  expect("Dm7b5", "D F Ab C", "Dm7b5");
}

static void accidentals_touching_the_letter_belong_to_the_root(void **state) {
  (void)state;
  expect("Cb5", "Cb Gb", "Cb5");
  expect("C(b5)", "C E Gb", "C(b5)");
  expect("Bb9", "Bb D F Ab C", "Bb9");
  expect("B(b9)", "B D# F# C", NULL);
  expect("Bbb5", "Bbb Fb", "Bbb5");
  expect("Bb(b5)", "Bb D Fb", "Bb(b5)");
  expect("F#11", "F# C# E G# B", "F#11");
  expect("F(#11)", "F A C B", NULL);
}

static void basses(void **state) {
  (void)state;
  static const struct {
    const char *symbol, *notes, *printed;
    int8_t bass_tone, own_count;
  } BASSES[] = {
      {"C/E", "C E G", "C/E", 1, 3},
      {"C/C", "C E G", "C/C", 0, 3},
      {"C/Bb", "C E G Bb", "C/Bb", 3, 3},
      {"C/A", "C E G A", "C/A", 3, 3},
      {"C6/A", "C E G A", "C6/A", 3, 4},
      {"C6/9/G", "C E G A D", "C6/9/G", 2, 5},
      {"Cm6/9/E♭", "C Eb G A D", "Cm6/9/Eb", 1, 5},
      {"C7/9/G", "C E G Bb D", "C9/G", 2, 5},
      {"C7(b9,13)/G", "C E G Bb Db A", "C13b9/G", 2, 6},
      {"Dmaj7/G", "D F# A C# G", "Dmaj7/G", 4, 4},
      {"Am7/G#", "A C E G G#", "Am7/G#", 4, 4},
      {"C7/A#", "C E G Bb", "C7/A#", 3, 4}, /* sounds the 7th: a name for the bass line, no new tone */
      {"F#/A#", "F# A# C#", "F#/A#", 1, 3},
      {"G7 / B", "G B D F", "G7/B", 1, 4},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(BASSES); i++) {
    expect(BASSES[i].symbol, BASSES[i].notes, BASSES[i].printed);
    GlnChord read = chord(BASSES[i].symbol);
    assert_true(read.has_bass);
    assert_int_equal(read.bass_tone, BASSES[i].bass_tone);
    assert_int_equal(read.own_count, BASSES[i].own_count);
    assert_int_equal(gln_note_pitch_class(read.bass), read.tones[read.bass_tone].pitch_class);
    assert_int_equal(read.tones[read.bass_tone].role, GLN_ROLE_MUST);
  }
  GlnChord plain = chord("Am7");
  assert_false(plain.has_bass);
  assert_int_equal(plain.bass_tone, 0);
  assert_true(gln_note_equal(plain.bass, plain.root));
}

static void chords_without_their_root(void **state) {
  (void)state;
  expect("C9(no root)", "E G Bb D", "C9(omit1)");
  expect("C9(omit1)", "E G Bb D", "C9(omit1)");
  expect("C9(omit1)/E", "E G Bb D", "C9(omit1)/E");
  GlnChord read = chord("C9(noroot)");
  assert_int_equal(read.root_tone, -1);
  assert_int_equal(read.bass_tone, -1);
  assert_int_equal(gln_chord_tone_of(&read, 0), -1);
  assert_int_equal(gln_chord_tone_of(&read, 4), 0);
}

/* What an added, altered or omitted tone does to the rest: docs/chord-symbols.md. */
static void decided_cases(void **state) {
  (void)state;
  expect("C13(b9)", "C E G Bb Db A", "C13b9");        /* takes the place of the 9 */
  expect("C13(addb9)", "C E G Bb Db D A", NULL);      /* stands beside it */
  expect("C7(b5,#5)", "C E Gb G# Bb", NULL);          /* two altered 5ths, no natural one */
  expect("C7b5(add5)", "C E Gb G Bb", NULL);          /* the natural one besides */
  expect("C7(11)", "C E G Bb F", NULL);               /* named by itself, the 11 leaves the 3rd */
  expect("C11(add3)", "C E G Bb D F", "C9(11)");      /* and so here */
  expect("Cm7b13", "C Eb G Bb Ab", "Cm7b13");         /* the 5th stays */
  expect("C7(add7)", "C E G Bb", "C7");               /* 7 is the minor seventh, as in C7 */
  expect("Cm7(maj7)", "C Eb G B", "Cm(maj7)");        /* one seventh */
  expect("Cm7(addmaj7)", "C Eb G Bb B", NULL);        /* two, if asked for */
  expect("C7sus4(omit5)", "C F Bb", "C7sus4(omit5)"); /* a stack of fourths by its tones */
  expect("Cm7(add11,omit5)", "C Eb Bb F", NULL);
}

static void transposes(void **state) {
  (void)state;
  static const struct {
    const char *symbol, *from, *to, *result;
  } MOVES[] = {
      {"Cmaj7", "C", "Eb", "Ebmaj7"}, {"Am7/G", "C", "D", "Bm7/A"},         {"F#dim7", "A", "C", "Adim7"},
      {"Gb7b5", "F", "E", "F7b5"},    {"Bb13", "Bb", "F#", "F#13"},         {"B#dim7", "C", "D", "Ddim7"},
      {"N.C.", "C", "D", "N.C."},     {"C9(omit1)", "C", "G", "G9(omit1)"}, {"Cbdim7", "C", "Cb", "Bbdim7"},
      {"B##m", "C", "C#", "Dm"},      {"Dmaj7/G", "D", "Db", "Dbmaj7/Gb"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(MOVES); i++) {
    GlnNote from;
    GlnNote to;
    size_t used = 0;
    char name[GLN_SYMBOL_TEXT_MAX];
    assert_int_equal(gln_note_parse(gln_text(MOVES[i].from), &from, &used), GLN_OK);
    assert_int_equal(gln_note_parse(gln_text(MOVES[i].to), &to, &used), GLN_OK);
    GlnChord read = chord(MOVES[i].symbol);
    GlnChord moved = gln_chord_transpose(&read, from, to);
    (void)gln_chord_print(&moved, GLN_SIGNS_ASCII, name);
    assert_string_equal(name, MOVES[i].result);
    GlnChord named = chord(name);
    assert_true(gln_chord_equal(&moved, &named));
  }
}

static void builds_from_the_table(void **state) {
  (void)state;
  GlnNote root = {4, 0};
  GlnNote bass = {6, 0};
  for (size_t i = 0; i < gln_quality_count(); i++) {
    GlnChord built;
    char symbol[GLN_SYMBOL_TEXT_MAX] = "G";
    strncat(symbol, gln_quality_at(i)->suffix, sizeof symbol - 2);
    assert_int_equal(gln_chord_build(root, i, NULL, &built), GLN_OK);
    GlnChord read = chord(symbol);
    assert_true(gln_chord_equal(&built, &read));
    strncat(symbol, "/B", sizeof symbol - strlen(symbol) - 1);
    assert_int_equal(gln_chord_build(root, i, &bass, &built), GLN_OK);
    read = chord(symbol);
    assert_true(gln_chord_equal(&built, &read));
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_dialect_reads_alike),
      cmocka_unit_test(the_table_reads_as_itself),
      cmocka_unit_test(spells_by_letter),
      cmocka_unit_test(enharmonic_pairs_sound_alike),
      cmocka_unit_test(reported_traps),
      cmocka_unit_test(accidentals_touching_the_letter_belong_to_the_root),
      cmocka_unit_test(basses),
      cmocka_unit_test(chords_without_their_root),
      cmocka_unit_test(decided_cases),
      cmocka_unit_test(transposes),
      cmocka_unit_test(builds_from_the_table),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
