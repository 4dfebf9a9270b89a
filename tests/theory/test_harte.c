/* Harte syntax: the paper's worked examples, and every label of an annotated corpus. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "theory_checks.h"

#include <stdio.h>

static GlnChord harte(const char *label) {
  GlnChord read;
  GlnSymbolFault fault;
  if (gln_chord_parse_harte(gln_text(label), &read, &fault) != GLN_OK)
    fail_msg("%s: %s", label, fault.problem);
  return read;
}

/* Harte, Sandler, Abdallah & Gómez, ISMIR 2005. */
static void the_papers_equivalences_hold(void **state) {
  (void)state;
  static const char *const PAIRS[][2] = {{"C:min7", "C:(b3,5,b7)"},
                                         {"C:min7(*5,11)", "C:(b3,b7,11)"},
                                         {"A/3", "A:maj/3"},
                                         {"C:maj(4)", "C:(3,4,5)"}};
  for (size_t i = 0; i < GLN_COUNT_OF(PAIRS); i++) {
    GlnChord a = harte(PAIRS[i][0]);
    GlnChord b = harte(PAIRS[i][1]);
    assert_true(gln_chord_equal(&a, &b));
  }
  char out[CHECK_TEXT_MAX];
  GlnChord thirds = harte("C:(3,5)");
  assert_string_equal(notes_of(&thirds, out), "E G");
  assert_int_equal(thirds.root_tone, -1);
}

static void labels_and_symbols_agree(void **state) {
  (void)state;
  static const struct {
    const char *label, *symbol, *notes, *printed;
  } LABELS[] = {
      {"C:hdim7", "Cm7b5", "C Eb Gb Bb", "C:hdim7"}, /* reported misread: harte-library issue 27 */
      {"N", "N.C.", "", "N"},
      {"C", "C", "C E G", "C:maj"},
      {"C:maj/b3", "C/Eb", "C E G Eb", "C:maj/b3"},
      {"C:maj(*3)", "C5", "C G", "C:5"},
      {"C:maj(*1)", "C(omit1)", "E G", "C:maj(*1)"},
      {"C:1", "C5(omit5)", "C", "C:1"},
      {"C:(1,5)", "C5", "C G", "C:5"},
      {"C:(1,3,5)", "C", "C E G", "C:maj"},
      {"F#:min7/b7", "F#m7/E", "F# A C# E", "F#:min7/b7"},
      {"G:maj/9", "G/A", "G B D A", "G:maj/2"},
      {"G:9/9", "G9/A", "G B D F A", "G:9/9"},
      {"B:maj/bb13", "B/Gb", "B D# F#", "B:maj/bb6"},
      {"Eb:maj7(#5)", "Ebmaj7(add#5)", "Eb G Bb B D", "Eb:maj7(#5)"},
      {"A:sus4(b7,9)", "A9sus4", "A D E G B", "A:sus4(b7,9)"},
      {"E:1(b5,b7,3)/b5", "E7b5/Bb", "E G# Bb D", "E:7(*5,b5)/b5"},
      {"C:9(13,#11)", "C13#11", "C E G Bb D F# A", "C:13(#11)"},
      {"D:aug(b7)", "D7#5", "D F# A# C", "D:aug(b7)"},
      {"C:maj6(9)", "C6/9", "C E G A D", "C:maj6(9)"},
      {"G:11", "G11", "G D F A C", "G:11"},
      {"C:7(b9,b13)", "C7(b9,b13)", "C E G Bb Db Ab", "C:7(b9,b13)"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(LABELS); i++) {
    char out[CHECK_TEXT_MAX];
    char text[GLN_SYMBOL_TEXT_MAX];
    GlnChord read = harte(LABELS[i].label);
    (void)gln_chord_print(&read, GLN_SIGNS_ASCII, text);
    if (strcmp(text, LABELS[i].symbol) != 0 || strcmp(notes_of(&read, out), LABELS[i].notes) != 0)
      fail_msg("%s: %s (%s)", LABELS[i].label, text, out);
    (void)gln_chord_print_harte(&read, text);
    if (strcmp(text, LABELS[i].printed) != 0)
      fail_msg("%s prints as %s", LABELS[i].label, text);
  }
}

/* The McGill Billboard annotations (Burgoyne, Wild & Fujinaga, ISMIR 2011): all 974 labels read, print and read back. */
static void every_label_of_the_corpus_reads(void **state) {
  (void)state;
  char line[128];
  int labels = 0;
  FILE *file = fopen("tests/outside/data/harte-labels.tsv", "r");
  assert_non_null(file);
  assert_non_null(fgets(line, sizeof line, file)); /* the heading */
  while (fgets(line, sizeof line, file) != NULL) {
    char text[GLN_SYMBOL_TEXT_MAX];
    GlnChord back;
    line[strcspn(line, "\t\r\n")] = '\0';
    GlnChord read = harte(line);
    labels++;
    (void)gln_chord_print(&read, GLN_SIGNS_UNICODE, text);
    if (gln_chord_parse(gln_text(text), &back, NULL) != GLN_OK || !gln_chord_equal(&read, &back))
      fail_msg("%s: %s does not read back", line, text);
    (void)gln_chord_print_harte(&read, text);
    if (gln_chord_parse_harte(gln_text(text), &back, NULL) != GLN_OK || !gln_chord_equal(&read, &back))
      fail_msg("%s: %s does not read back", line, text);
  }
  assert_int_equal(fclose(file), 0);
  assert_int_equal(labels, 974);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_papers_equivalences_hold),
      cmocka_unit_test(labels_and_symbols_agree),
      cmocka_unit_test(every_label_of_the_corpus_reads),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
