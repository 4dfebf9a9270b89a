/* All 33 kinds of MusicXML 4.0 (kind-value in its schema), with degrees: to a symbol and back. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "musicxml_internal.h"
#include "musicxml_test.h"

/* The schema's kind-value, in its order. */
static const char *const kinds[] = {
    "major",
    "minor",
    "augmented",
    "diminished",
    "dominant",
    "major-seventh",
    "minor-seventh",
    "diminished-seventh",
    "augmented-seventh",
    "half-diminished",
    "major-minor",
    "major-sixth",
    "minor-sixth",
    "dominant-ninth",
    "major-ninth",
    "minor-ninth",
    "dominant-11th",
    "major-11th",
    "minor-11th",
    "dominant-13th",
    "major-13th",
    "minor-13th",
    "suspended-second",
    "suspended-fourth",
    "Neapolitan",
    "Italian",
    "French",
    "German",
    "pedal",
    "power",
    "Tristan",
    "other",
    "none",
};

typedef struct Change {
  int value, alter;
  const char *type;
} Change;

/* The chord of the symbol that the reader writes for the first harmony of a bar. */
static GlnChord chord_of(const char *root, const char *kind, const Change *changes, size_t count,
                         char *symbol) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnBuffer text = gln_buffer(arena);
  gln_buffer_format(&text, "<harmony><root><root-step>%s</root-step></root><kind>%s</kind>", root, kind);
  for (size_t i = 0; i < count; i++)
    gln_buffer_format(&text,
                      "<degree><degree-value>%d</degree-value><degree-alter>%d</degree-alter><degree-type>%s"
                      "</degree-type></degree>",
                      changes[i].value, changes[i].alter, changes[i].type);
  gln_buffer_add_string(&text, "</harmony>" REST("8"));
  gln_buffer_add_byte(&text, '\0');
  Imported imported = import_bars(text.at, "");
  assert_int_equal(imported.status, GLN_OK);
  GlnDiags faults = gln_diags(imported.arena);
  GlnChart *chart = NULL;
  assert_int_equal(gln_chart_read(imported.import.chart, imported.arena, &faults, &chart), GLN_OK);
  const GlnEvent *event = &chart->sections[0].bars[0].events[0];
  GlnChord chord;
  assert_int_equal(gln_chord_parse(event->symbol, &chord, NULL), GLN_OK);
  memcpy(symbol, event->symbol.at, event->symbol.length);
  symbol[event->symbol.length] = '\0';
  drop(&imported);
  gln_arena_free(arena);
  return chord;
}

static void test_names(void **state) {
  (void)state;
  assert_int_equal(GLN_COUNT_OF(kinds), 33);
  assert_int_equal(gln_kind_count(), 33);
  for (size_t i = 0; i < GLN_COUNT_OF(kinds); i++) {
    bool found = false;
    for (size_t k = 0; k < gln_kind_count(); k++)
      found = found || strcmp(gln_kind_name(k), kinds[i]) == 0;
    assert_true(found);
  }
}

/* On every root that stands alone: kind, symbol, kind. "other" says nothing without degrees. The Neapolitan is one in its
 * key: the root is the lowered second there. */
static void test_identity(void **state) {
  (void)state;
  static const char *const roots[] = {"C", "D", "E", "F", "G", "A", "B"};
  static const Change cluster[] = {{2, -1, "add"}, {4, 1, "add"}, {7, 1, "add"}};
  for (size_t r = 0; r < GLN_COUNT_OF(roots); r++)
    for (size_t i = 0; i < GLN_COUNT_OF(kinds); i++) {
      char symbol[GLN_SYMBOL_TEXT_MAX];
      bool other = strcmp(kinds[i], "other") == 0;
      GlnChord chord = chord_of(roots[r], kinds[i], cluster, other ? GLN_COUNT_OF(cluster) : 0, symbol);
      GlnKey key = {gln_note_above(chord.root, (GlnDegree){7, 0}), false};
      GlnKindSpelling back = gln_kind_spell(&chord, strcmp(kinds[i], "Neapolitan") == 0 ? &key : NULL);
      if (strcmp(back.kind, kinds[i]) != 0)
        print_error("%s %s: %s is %s\n", roots[r], kinds[i], symbol, back.kind);
      assert_string_equal(back.kind, kinds[i]);
      assert_int_equal(back.degree_count, other ? 3 : 0);
    }
}

/* Kinds with degrees: the symbol that players write, and the same kind and degrees from it. */
static void test_degrees(void **state) {
  (void)state;
  static const struct {
    const char *kind;
    Change changes[4];
    size_t count;
    const char *symbol;
  } rows[] = {
      {"dominant", {{9, -1, "add"}}, 1, "C7b9"},
      {"dominant", {{9, 1, "add"}}, 1, "C7#9"},
      {"dominant", {{11, 1, "add"}}, 1, "C7#11"},
      {"dominant", {{13, -1, "add"}}, 1, "C7b13"},
      {"dominant", {{5, -1, "alter"}}, 1, "C7b5"},
      {"dominant", {{5, -1, "alter"}, {9, -1, "add"}}, 2, "C7(b5,b9)"},
      {"dominant", {{3, 0, "subtract"}}, 1, "C7(omit3)"},
      {"augmented-seventh", {{9, 1, "add"}}, 1, "C7(#5,#9)"},
      {"dominant-ninth", {{11, 1, "add"}}, 1, "C9#11"},
      {"dominant-13th", {{9, -1, "alter"}}, 1, "C13b9"},
      {"dominant-13th", {{11, 1, "add"}}, 1, "C13#11"},
      {"major", {{9, 0, "add"}}, 1, "Cadd9"},
      {"major", {{5, -1, "alter"}}, 1, "C(b5)"},
      {"minor", {{9, 0, "add"}}, 1, "Cm(add9)"},
      {"major-sixth", {{9, 0, "add"}}, 1, "C6/9"},
      {"minor-sixth", {{9, 0, "add"}}, 1, "Cm6/9"},
      {"major-seventh", {{11, 1, "add"}}, 1, "Cmaj7#11"},
      {"major-minor", {{9, 0, "add"}}, 1, "Cm(maj9)"},
      {"minor-seventh", {{11, 0, "add"}}, 1, "Cm7(11)"},
      {"half-diminished", {{9, 0, "add"}}, 1, "Cm9b5"},
      {"suspended-fourth", {{7, 0, "add"}}, 1, "C7sus4"},
      {"suspended-fourth", {{7, 0, "add"}, {9, 0, "add"}}, 2, "C9sus4"},
      {"suspended-second", {{7, 0, "add"}}, 1, "C7sus2"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    char symbol[GLN_SYMBOL_TEXT_MAX];
    GlnChord chord = chord_of("C", rows[i].kind, rows[i].changes, rows[i].count, symbol);
    assert_string_equal(symbol, rows[i].symbol);
    GlnKindSpelling back = gln_kind_spell(&chord, NULL);
    static const char *const types[] = {"add", "alter", "subtract"};
    if (strcmp(back.kind, rows[i].kind) != 0 || back.degree_count != (int)rows[i].count)
      print_error("%s is %s with %d degrees\n", symbol, back.kind, back.degree_count);
    assert_string_equal(back.kind, rows[i].kind);
    assert_int_equal(back.degree_count, rows[i].count);
    for (size_t d = 0; d < rows[i].count; d++) {
      assert_int_equal(back.degrees[d].degree.number, rows[i].changes[d].value);
      assert_int_equal(back.degrees[d].degree.alteration, rows[i].changes[d].alter);
      assert_string_equal(types[back.degrees[d].type], rows[i].changes[d].type);
    }
  }
}

/* Every chord of the table of qualities on every root, over its root and over each of its tones, written and read. */
static void test_qualities(void **state) {
  (void)state;
  static const char *const types[] = {"add", "alter", "subtract"};
  for (size_t q = 0; q < gln_quality_count(); q++)
    for (int8_t letter = 0; letter < 7; letter++)
      for (int8_t accidental = -1; accidental <= 1; accidental++) {
        GlnChord chord;
        GlnNote root = {letter, accidental};
        if (gln_chord_build(root, q, NULL, &chord) != GLN_OK)
          continue;
        GlnKindSpelling spelling = gln_kind_spell(&chord, NULL);
        Change changes[GLN_KIND_DEGREES_MAX];
        for (int d = 0; d < spelling.degree_count; d++)
          changes[d] = (Change){spelling.degrees[d].degree.number, spelling.degrees[d].degree.alteration,
                                types[spelling.degrees[d].type]};
        if (accidental != 0)
          continue; /* chord_of writes roots without accidentals; the degrees are the same */
        char symbol[GLN_SYMBOL_TEXT_MAX], name[GLN_NOTE_TEXT_MAX];
        (void)gln_note_print(root, GLN_SIGNS_ASCII, name);
        GlnChord read = chord_of(name, spelling.kind, changes, (size_t)spelling.degree_count, symbol);
        if (!gln_chord_equal(&read, &chord))
          print_error("%s%s comes back as %s\n", name, gln_quality_at(q)->suffix, symbol);
        assert_true(gln_chord_equal(&read, &chord));
      }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_names), cmocka_unit_test(test_identity),
                                     cmocka_unit_test(test_degrees), cmocka_unit_test(test_qualities)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
