/* Symbols that do not read: the place, the words and the nearest reading. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "theory_checks.h"

static const struct {
  const char *symbol;
  size_t offset;
  const char *part;  /* what is pointed at */
  const char *words; /* a piece of the message */
  const char *nearest;
} FAULTS[] = {
    {"Cq", 1, "q", "“q” is not a part of a chord symbol", "C"},
    {"Cm7x", 3, "x", "“x” is not a part", "Cm7"},
    {"c7", 0, "c7", "A to G in capitals, not with “c7”", "C7"},
    {"bbm7", 0, "bbm7", "A to G in capitals", "Bbm7"},
    {"H7", 0, "H7", "A to G in capitals", "B7"},
    {"7", 0, "7", "A to G in capitals", ""},
    {"♭7", 0, "♭7", "A to G in capitals", ""},
    {"Cmja7", 3, "a7", "“a7” is not a part", "Cmaj7"},
    {"Cmaj77", 5, "7", "“7” cannot stand here", "Cmaj7"},
    {"C7m", 2, "m", "“m” cannot stand here", "Cm7"},
    {"Cm7(b5", 3, "(", "the bracket is not closed", "Cm7b5"},
    {"C7b9)", 4, ")", "this bracket was not opened", "C7b9"},
    {"C7()", 3, ")", "there is nothing in this place", "C7"},
    {"C7(b9,)", 6, ")", "there is nothing in this place", "C7(b9)"},
    {"C7/", 2, "/", "there is nothing in this place", "C7"},
    {"C/e", 2, "e", "a bass note in capitals after it, as in C/E, not “e”", "C/E"},
    {"C/H", 2, "H", "a bass note in capitals", "C/B"},
    {"C/E/G", 3, "/G", "nothing can follow the bass note, but here is “/G”", "C/E"},
    {"C/E7", 3, "7", "nothing can follow the bass note, but here is “7”", "C/E"},
    {"Cbbb", 0, "Cbbb", "more than two sharps or flats", ""},
    {"C/Ebbb", 2, "Ebbb", "more than two sharps or flats", "C/Ebb"},
    {"C7bbb9", 2, "bbb", "more than two sharps or flats", "C7bb9"},
    {"Cm4", 1, "m4", "“m4” names no chord in use", "Cm"},
    {"Cdim13", 1, "dim13", "“dim13” names no chord in use", "Cdim"},
    {"C7b", 2, "b", "“b” needs a chord tone after it", "C7"},
    {"C7(b14)", 3, "b14", "“b14” is not a tone that can be added or altered", NULL},
    {"C7(b3)", 3, "b3", "“b3” is not a tone", NULL},
    {"C7/3", 3, "3", "“3” is not a tone", "C7/13"},
    {"Cadd", 1, "add", "“add” needs a chord tone after it", "C"},
    {"Cno", 1, "no", "“no” needs a chord tone after it", "C"},
    {"C(omit1,omit3,omit5)", 0, "C(omit1,omit3,omit5)", "no tone is left in this chord", ""},
    {"Cbbdim7", 0, "Cbbdim7", "more than three sharps or flats; write a plainer root", ""},
    {"Cmaj7alt", 5, "alt", "“alt” cannot stand here", "Cmaj7"},
    {"C7 foo", 3, "foo", "“foo” is not a part", "C7"},
    {"", 0, "", "there is no chord here", ""},
};

static void says_what_is_wrong_and_where(void **state) {
  (void)state;
  int wrong = 0;
  for (size_t i = 0; i < GLN_COUNT_OF(FAULTS); i++) {
    GlnText symbol = gln_text(FAULTS[i].symbol);
    GlnSymbolFault fault;
    GlnChord chord = {.quality = 77};
    if (gln_chord_parse(symbol, &chord, &fault) != GLN_INPUT)
      fail_msg("%s reads", FAULTS[i].symbol);
    assert_int_equal(chord.quality, 77); /* untouched */
    GlnText part = gln_text_slice(symbol, fault.offset, fault.length);
    bool nearest_right = FAULTS[i].nearest == NULL || strcmp(fault.nearest, FAULTS[i].nearest) == 0;
    if (fault.offset != FAULTS[i].offset || !gln_text_equal(part, gln_text(FAULTS[i].part)) ||
        strstr(fault.problem, FAULTS[i].words) == NULL || !nearest_right) {
      print_error("%s: %zu “%.*s” %s; nearest %s\n", FAULTS[i].symbol, fault.offset, (int)part.length,
                  part.at, fault.problem, fault.nearest);
      wrong++;
    }
    if (fault.nearest[0] != '\0')
      assert_int_equal(gln_chord_parse(gln_text(fault.nearest), &chord, NULL), GLN_OK);
    assert_int_equal(gln_chord_parse(symbol, &chord, NULL), GLN_INPUT);
  }
  assert_int_equal(wrong, 0);
}

static void limits_are_named(void **state) {
  (void)state;
  char symbol[GLN_SYMBOL_TEXT_MAX + 1];
  GlnSymbolFault fault;
  GlnChord chord;
  memset(symbol, ' ', sizeof symbol);
  symbol[0] = 'C';
  assert_int_equal(gln_chord_parse((GlnText){symbol, GLN_SYMBOL_TEXT_MAX - 1}, &chord, &fault), GLN_OK);
  assert_int_equal(gln_chord_parse((GlnText){symbol, GLN_SYMBOL_TEXT_MAX}, &chord, &fault), GLN_INPUT);
  assert_non_null(strstr(fault.problem, "223 bytes are the limit"));
  assert_int_equal(gln_chord_parse_harte((GlnText){symbol, GLN_SYMBOL_TEXT_MAX}, &chord, &fault), GLN_INPUT);
  assert_non_null(strstr(fault.problem, "223 bytes are the limit"));
  const char *crowded = "C7(b9,9,#9,11,#11,b13,13,b5)";
  assert_int_equal(gln_chord_parse(gln_text(crowded), &chord, &fault), GLN_OK);
  assert_int_equal(chord.tone_count, 11);
  crowded = "C7(b9,9,#9,11,#11,b13,13,b5,#5)";
  assert_int_equal(gln_chord_parse(gln_text(crowded), &chord, &fault), GLN_INPUT);
  assert_non_null(strstr(fault.problem, "more than 11 different tones"));
}

/* A long part is cut at a whole letter, and the message always fits. */
static void long_parts_are_cut(void **state) {
  (void)state;
  char symbol[200] = "C7";
  for (size_t i = 2; i + 3 < sizeof symbol - 1; i += 3)
    memcpy(symbol + i, "♪", 4);
  GlnSymbolFault fault;
  GlnChord chord;
  assert_int_equal(gln_chord_parse(gln_text(symbol), &chord, &fault), GLN_INPUT);
  assert_int_equal(fault.offset, 2);
  assert_int_equal(gln_text_bad_utf8(gln_text(fault.problem)), strlen(fault.problem));
  assert_non_null(strstr(fault.problem, "…” is not a part of a chord symbol"));
}

static void harte_faults(void **state) {
  (void)state;
  static const struct {
    const char *label;
    size_t offset;
    const char *words;
  } LABELS[] = {
      {"X", 0, "the chord is unknown"},
      {"H:maj", 0, "A to G"},
      {"C:major", 2, "“major” is not a shorthand"},
      {"C:", 1, "nothing in this place"},
      {"C:maj(", 6, "from 1 to 13"},
      {"C:maj(9", 5, "not closed"},
      {"C:maj(14)", 6, "not “14”"},
      {"C:maj/", 6, "from 1 to 13"},
      {"C:maj/3/5", 7, "“/5” cannot follow"},
      {"C:maj(9)x", 8, "“x” cannot follow"},
      {"Cmaj", 1, "“maj” cannot follow"},
      {"C:maj(bbb7)", 6, "not “bbb7”"},
      {"C:maj(*1,*3,*5)", 0, "no tone is left"},
      {"", 0, "no chord here"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(LABELS); i++) {
    GlnSymbolFault fault;
    GlnChord chord = {.quality = 77};
    if (gln_chord_parse_harte(gln_text(LABELS[i].label), &chord, &fault) != GLN_INPUT)
      fail_msg("%s reads", LABELS[i].label);
    assert_int_equal(chord.quality, 77);
    if (fault.offset != LABELS[i].offset || strstr(fault.problem, LABELS[i].words) == NULL)
      fail_msg("%s: %zu %s", LABELS[i].label, fault.offset, fault.problem);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(says_what_is_wrong_and_where),
      cmocka_unit_test(limits_are_named),
      cmocka_unit_test(long_parts_are_cut),
      cmocka_unit_test(harte_faults),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
