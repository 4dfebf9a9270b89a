/* Names of grips: those every player knows, the cases people reported as named wrongly, and what has no name. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../failing_allocator.h"
#include "grip_test.h"

#include <string.h>

typedef struct Namer {
  GlnArena *arena;
  GlnNamer *namer;
  GlnInstrument instrument;
} Namer;

static int set_up(void **state) {
  static Namer made;
  made = (Namer){.arena = gln_arena_new(NULL, 0), .instrument = gln_instrument_defaults()};
  assert_non_null(made.arena);
  assert_int_equal(gln_namer_new(made.arena, &made.namer), GLN_OK);
  *state = &made;
  return 0;
}

static int tear_down(void **state) {
  gln_arena_free(((Namer *)*state)->arena);
  return 0;
}

typedef struct Heard {
  int8_t midi[12];
  size_t count;
  GlnName names[GLN_NAMES_MAX];
  size_t name_count;
} Heard;

static void find(const Namer *namer, Heard *heard, GlnNoteSet sounding) {
  heard->name_count = gln_namer_find(namer->namer, sounding, heard->names);
}

static Heard hear(const Namer *namer, const char *text) {
  GlnFrets frets;
  Heard heard = {.count = 0};
  assert_int_equal(gln_frets_parse(gln_text(text), &frets, NULL), GLN_OK);
  heard.count = (size_t)gln_frets_pitches(&namer->instrument, &frets, heard.midi);
  find(namer, &heard, gln_note_set_on(&namer->instrument, heard.midi, heard.count));
  return heard;
}

/* Notes upward from C3. */
static Heard hear_notes(const Namer *namer, const char *text) {
  Heard heard = {.count = 0};
  int lowest = 48;
  for (size_t at = 0, used = 0; text[at] != '\0'; at += used) {
    GlnNote note;
    used = 1;
    if (text[at] == ' ')
      continue;
    assert_int_equal(gln_note_parse(gln_text(text + at), &note, &used), GLN_OK);
    lowest += (gln_note_pitch_class(note) - lowest % 12 + 12) % 12;
    heard.midi[heard.count++] = (int8_t)lowest;
  }
  find(namer, &heard, gln_note_set_of(heard.midi, heard.count));
  return heard;
}

static const char *symbol_of(const Namer *namer, const Heard *heard, size_t index, const GlnKey *key) {
  static char symbol[GLN_SYMBOL_TEXT_MAX];
  GlnChord chord;
  assert_true(index < heard->name_count);
  assert_int_equal(gln_name_chord(namer->namer, &heard->names[index], key, &chord), GLN_OK);
  (void)gln_chord_print(&chord, GLN_SIGNS_ASCII, symbol);
  return symbol;
}

/* Where the symbol stands among the names, from 1; 0 when it does not. */
static size_t rank_of(const Namer *namer, const Heard *heard, const char *symbol) {
  for (size_t i = 0; i < heard->name_count; i++)
    if (strcmp(symbol_of(namer, heard, i, NULL), symbol) == 0)
      return i + 1;
  return 0;
}

static GlnKey key_of(const char *text) {
  GlnKey key;
  assert_int_equal(gln_key_parse(gln_text(text), &key), GLN_OK);
  return key;
}

/* Grips every player knows: common practice, no published source; the notes are computed. */
static void known_grips(void **state) {
  static const struct {
    const char *frets, *symbol;
  } known[] = {
      {"x32233", "C6/9"},  {"x5455x", "D9"},      {"x5355x", "Dm9"},   {"x8798x", "Fmaj9"},
      {"1x221x", "Fmaj7"}, {"1x123x", "F13"},     {"3x345x", "G13"},   {"3x333x", "Gm7"},
      {"2x231x", "F#7b5"}, {"x02210", "Am"},      {"320003", "G"},     {"022100", "E"},
      {"x7678x", "E7#9"},  {"xx5557", "Cmaj7/G"}, {"xx0232", "D"},     {"x3545x", "Cmaj7"},
      {"5x5555", "Am7"},   {"x32030", "Cadd9"},   {"x24432", "Bm"},    {"0x2000", "Em"},
      {"133211", "F"},     {"x32110", "C+"},      {"xx0101", "Ddim7"}, {"x3333x", "C9sus4"},
      {"3x443x", "Gmaj7"}, {"x2x231", "Bm7b5"},   {"3x344x", "G7#5"},  {"8x798x", "C6"},
      {"x35xxx", "C5"},    {"002200", "Esus4"},   {"x3243x", "Cmaj9"}, {"3x2010", "C/G"},
      {"200232", "D/F#"},  {"xx3211", "F"},       {"1x1213", "F9"},    {"x02013", "Am7"},
      {"020000", "Em7"},   {"x20202", "Bm7"},     {"xx0212", "D7"},    {"x03210", "Fmaj7/A"},
  };
  const Namer *namer = *state;
  for (size_t i = 0; i < GLN_COUNT_OF(known); i++) {
    Heard heard = hear(namer, known[i].frets);
    assert_string_equal(symbol_of(namer, &heard, 0, NULL), known[i].symbol);
  }
}

/* What every ukulele player calls these; common practice, no published source. Nothing sounds low enough for a bass, so
 * none is written. C9, Em7b5 and Gm6 are played alike there. */
static void small_instruments(void **state) {
  static const struct {
    const char *frets, *symbol, *other;
  } known[] = {{"2010", "F", NULL},      {"2000", "Am", NULL}, {"0232", "G", NULL},
               {"0003", "C", NULL},      {"2220", "D", NULL},  {"0432", "Em", NULL},
               {"2210", "Dm", NULL},     {"0212", "G7", NULL}, {"0000", "C6", "Am7"},
               {"0002", "Cmaj7", NULL},  {"2223", "D7", NULL}, {"0201", "Em7b5", "C9"},
               {"0201", "Em7b5", "Gm6"}, {"3211", "Bb", NULL}};
  Namer namer = *(const Namer *)*state;
  assert_int_equal(gln_instrument_tune(GLN_TEXT("ukulele"), &namer.instrument), GLN_OK);
  for (size_t i = 0; i < GLN_COUNT_OF(known); i++) {
    Heard heard = hear(&namer, known[i].frets);
    assert_string_equal(symbol_of(&namer, &heard, 0, NULL), known[i].symbol);
    if (known[i].other != NULL)
      assert_in_range(rank_of(&namer, &heard, known[i].other), 2, 5);
  }
}

/* The same pitch classes: Gb7b5 = C7b5; C6 = Am7; Cm6 = Am7b5; Csus4 = Fsus2 (computed). The bass says which comes
 * first, and the other is among the next. */
static void same_notes(void **state) {
  static const struct {
    const char *notes, *first, *other;
  } twins[] = {
      {"Gb C E Bb", "F#7b5", "C7b5/Gb"}, {"C E Gb Bb", "C7b5", "F#7b5/C"}, {"C E G A", "C6", "Am7/C"},
      {"A C E G", "Am7", "C6/A"},        {"C Eb G A", "Cm6", "Am7b5/C"},   {"A C Eb G", "Am7b5", "Cm6/A"},
      {"C F G", "Csus4", "Fsus2/C"},     {"F G C", "Fsus2", "Csus4/F"},
  };
  const Namer *namer = *state;
  for (size_t i = 0; i < GLN_COUNT_OF(twins); i++) {
    Heard heard = hear_notes(namer, twins[i].notes);
    assert_string_equal(symbol_of(namer, &heard, 0, NULL), twins[i].first);
    assert_in_range(rank_of(namer, &heard, twins[i].other), 2, 5);
  }
}

/* Chords that people found named wrongly by general-purpose libraries, with the right answer; the public thread stands
 * beside each. */
static void reported_cases(void **state) {
  static const struct {
    const char *notes, *symbol, *thread;
  } cases[] = {
      {"E G C", "C/E", "https://github.com/tonaljs/tonal/issues/242"},
      {"C E G#", "C+", "https://github.com/tonaljs/tonal/issues/204"},
      {"C E Gb", "C(b5)", "https://github.com/bspaans/python-mingus/issues/118"},
      {"C E G A", "C6", "https://github.com/cuthbertLab/music21/issues/604"},
      {"D F Ab C", "Dm7b5", "https://github.com/yuma-m/pychord/pull/95"},
      {"C Eb Gb Bb", "Cm7b5", "https://github.com/andreamust/harte-library/issues/27"},
      {"C E F G", "Cadd11", "https://github.com/no-chris/chord-symbol/issues/621"},
  };
  const Namer *namer = *state;
  for (size_t i = 0; i < GLN_COUNT_OF(cases); i++) {
    Heard heard = hear_notes(namer, cases[i].notes);
    assert_string_equal(symbol_of(namer, &heard, 0, NULL), cases[i].symbol);
  }
  /* E minor with a sharp fifth, and C7b5 with no seventh sounding, are what they must not be. */
  Heard first_inversion = hear_notes(namer, "E G C"), flat_fifth = hear_notes(namer, "C E Gb");
  assert_true(rank_of(namer, &first_inversion, "Em#5") != 1);
  assert_int_equal(rank_of(namer, &flat_fifth, "C7b5"), 0);
  /* Gadd9/A, A lowest, then G B D: https://github.com/tonaljs/tonal/issues/231 */
  Heard added = hear_notes(namer, "A G B D");
  assert_in_range(rank_of(namer, &added, "G/A"), 1, 3);
  assert_in_range(rank_of(namer, &added, "Gadd9/A"), 1, 5);
  /* Dmaj7/G sounds its bass too: https://github.com/no-chris/chord-symbol/issues/612 */
  Heard over = hear_notes(namer, "G D F# A C#");
  assert_in_range(rank_of(namer, &over, "Dmaj7/G"), 1, 3);
  /* A flat on the letter is the root's: https://github.com/tonaljs/tonal/issues/155 */
  const GlnKey g_flat = key_of("Gb");
  Heard suspended = hear_notes(namer, "B E Gb");
  assert_string_equal(symbol_of(namer, &suspended, 0, &g_flat), "Cbsus4");
}

/* Any of three, or four, may be the root: the bass is, and the others follow at once. */
static void even_chords(void **state) {
  const Namer *namer = *state;
  Heard augmented = hear_notes(namer, "C E G#"), diminished = hear_notes(namer, "C Eb Gb A");
  assert_string_equal(symbol_of(namer, &augmented, 0, NULL), "C+");
  assert_in_range(rank_of(namer, &augmented, "E+/C"), 2, 3);
  assert_in_range(rank_of(namer, &augmented, "Ab+/C"), 2, 3);
  assert_string_equal(symbol_of(namer, &diminished, 0, NULL), "Cdim7");
  assert_in_range(rank_of(namer, &diminished, "Adim7/C"), 2, 4);
  assert_in_range(rank_of(namer, &diminished, "D#dim7/C"), 2, 4);
  assert_in_range(rank_of(namer, &diminished, "F#dim7/C"), 2, 4);
}

/* Gb7b5 is Gb Bb Dbb Fb, Cdim7 is C Eb Gb Bbb: spelling by letter. */
static void spelling(void **state) {
  const Namer *namer = *state;
  const GlnKey f = key_of("F"), e = key_of("E"), c = key_of("C");
  Heard substitute = hear(namer, "2x231x");
  GlnChord chord;
  assert_string_equal(symbol_of(namer, &substitute, 0, &f), "Gb7b5");
  assert_string_equal(symbol_of(namer, &substitute, 0, &e), "F#7b5");
  assert_int_equal(gln_name_chord(namer->namer, &substitute.names[0], &f, &chord), GLN_OK);
  static const GlnNote notes[] = {{4, -1}, {6, -1}, {1, -2}, {3, -1}};
  assert_int_equal(chord.tone_count, GLN_COUNT_OF(notes));
  for (size_t t = 0; t < GLN_COUNT_OF(notes); t++)
    assert_true(gln_note_equal(chord.tones[t].note, notes[t]));
  Heard diminished = hear_notes(namer, "C# E G A#");
  assert_string_equal(symbol_of(namer, &diminished, 0, &c), "C#dim7");
  Heard dominant = hear_notes(namer, "C# F G# B");
  assert_string_equal(symbol_of(namer, &dominant, 0, &c), "Db7");
}

/* No name is better than a wrong one. */
static void nameless(void **state) {
  static const struct {
    const char *notes, *words;
  } rows[] = {
      {"C", "one note"},
      {"C E", "a major third"},
      {"C F#", "a tritone"},
      {"C Db D", "a cluster of neighbouring notes"},
  };
  const Namer *namer = *state;
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    Heard heard = hear_notes(namer, rows[i].notes);
    assert_int_equal(heard.name_count, 0);
    assert_string_equal(gln_pitches_words(heard.midi, heard.count), rows[i].words);
  }
  assert_int_equal(gln_namer_find(namer->namer, gln_note_set_of(NULL, 0), (GlnName[GLN_NAMES_MAX]){{0}}), 0);
  assert_null(gln_pitches_words(NULL, 0));
}

static void stacks(void **state) {
  const Namer *namer = *state;
  Heard fourths = hear(namer, "xx5566"), plain = hear(namer, "x32010");
  assert_string_equal(gln_pitches_words(fourths.midi, fourths.count), "a stack of fourths");
  assert_string_equal(symbol_of(namer, &fourths, 0, NULL), "Gm11");
  assert_in_range(rank_of(namer, &fourths, "C7sus4/G"), 1, 4);
  assert_null(gln_pitches_words(plain.midi, plain.count));
}

static void check_reason(const Namer *namer, const char *frets, size_t index, const char *key,
                         const char *wanted) {
  Heard heard = hear(namer, frets);
  GlnBuffer out = gln_buffer(namer->arena);
  GlnKey in = key_of(key);
  GlnChord chord;
  assert_int_equal(gln_name_chord(namer->namer, &heard.names[index], &in, &chord), GLN_OK);
  gln_name_reason(namer->namer, heard.names, heard.name_count, index, &chord,
                  gln_note_set_of(heard.midi, heard.count), &in, &out);
  gln_buffer_add_byte(&out, '\0');
  assert_string_equal(gln_buffer_text(&out).at, wanted);
}

static void reasons(void **state) {
  const Namer *namer = *state;
  check_reason(namer, "2x231x", 0, "F",
               "G♭ in the bass is the root of a dominant seventh with flat fifth, and all of it sounds. The "
               "same notes "
               "are also C7♭5/G♭, its tritone substitute.");
  check_reason(namer, "3x345x", 0, "C",
               "G in the bass is the root of a dominant thirteenth; the 5th and the 9th are left out.");
  check_reason(namer, "x03210", 0, "C", "A in the bass is the 3rd of Fmaj7. The same notes are also Am(♭6).");
  check_reason(namer, "xx0101", 0, "Am",
               "D in the bass is the root of a diminished seventh, and all of it sounds. It divides the "
               "octave evenly, so "
               "any of its four notes may be the root.");
  check_reason(namer, "x3333x", 1, "F", "B♭ over C, a bass that is not one of its notes.");
}

/* ---- shapes -------------------------------------------------------------------------------------------------------- */

static void check_shape(const Namer *namer, const char *text, const char *shape, bool movable) {
  GlnFrets frets;
  char printed[GLN_SHAPE_TEXT_MAX];
  assert_int_equal(gln_frets_parse(gln_text(text), &frets, NULL), GLN_OK);
  assert_int_equal(gln_shape_print(&namer->instrument, &frets, printed), strlen(shape));
  assert_string_equal(printed, shape);
  assert_int_equal(gln_shape_movable(&frets), movable);
}

/* One shape along the neck, and on other strings: drop 2 of a major seventh on two sets of strings. */
static void shapes(void **state) {
  const Namer *namer = *state;
  check_shape(namer, "3x443x", "0.x.11.16.19", true);
  check_shape(namer, "5x665x", "0.x.11.16.19", true);
  check_shape(namer, "x3545x", "0.7.11.16", true);
  check_shape(namer, "xx5777", "0.7.11.16", true);
  check_shape(namer, "x32010", "0.4.7.12.16", false);
  check_shape(namer, "x54232", "0.4.7.12.16", true);
  check_shape(namer, "24-24-24-24-24-x", "0.5.10.15.19", true);
}

/* ---- lines of grips -------------------------------------------------------------------------------------------------- */

static void lines(void **state) {
  const Namer *namer = *state;
  GlnFretsLine line;
  GlnSymbolFault fault = {0};
  assert_int_equal(
      gln_frets_line_parse(GLN_TEXT("| x32010 x02210 | xx0211\n320003 |"), namer->arena, &line, &fault),
      GLN_OK);
  assert_int_equal(line.count, 4);
  assert_int_equal(line.bar_count, 2);
  assert_int_equal(line.places[1].bar, 0);
  assert_int_equal(line.places[2].bar, 1);
  assert_int_equal(line.places[3].offset, 25);
  assert_int_equal(gln_frets_line_parse(GLN_TEXT("x32010 x-8-10-9-10-x"), namer->arena, &line, &fault),
                   GLN_OK);
  assert_int_equal(line.bar_count, 2);
  assert_int_equal(line.places[1].frets.fret[2], 10);
  assert_int_equal(gln_frets_line_parse(GLN_TEXT("x32010 | x3q010"), namer->arena, &line, &fault), GLN_INPUT);
  assert_int_equal(fault.offset, 11);
  assert_int_equal(gln_frets_line_parse(GLN_TEXT(" | | "), namer->arena, &line, &fault), GLN_INPUT);
  GlnBuffer many = gln_buffer(namer->arena);
  gln_buffer_add_repeated(&many, GLN_TEXT("x32010 "), GLN_FRETS_LINE_MAX + 1);
  assert_int_equal(gln_frets_line_parse(gln_buffer_text(&many), namer->arena, &line, &fault), GLN_LIMIT);
  assert_non_null(strstr(fault.problem, "512"));
}

/* ---- memory ------------------------------------------------------------------------------------------------------------ */

static void no_memory(void **state) {
  (void)state;
  GlnStatus status = GLN_MEMORY;
  size_t refused = 0;
  for (size_t limit = 1024; status != GLN_OK; limit *= 2) {
    GlnArena *arena = gln_arena_new(NULL, limit);
    GlnNamer *namer = NULL;
    status = arena != NULL ? gln_namer_new(arena, &namer) : GLN_MEMORY;
    assert_true(status == GLN_OK || status == GLN_MEMORY);
    refused += status == GLN_MEMORY;
    gln_arena_free(arena);
  }
  assert_true(refused > 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(known_grips, set_up, tear_down),
      cmocka_unit_test_setup_teardown(small_instruments, set_up, tear_down),
      cmocka_unit_test_setup_teardown(same_notes, set_up, tear_down),
      cmocka_unit_test_setup_teardown(reported_cases, set_up, tear_down),
      cmocka_unit_test_setup_teardown(even_chords, set_up, tear_down),
      cmocka_unit_test_setup_teardown(spelling, set_up, tear_down),
      cmocka_unit_test_setup_teardown(nameless, set_up, tear_down),
      cmocka_unit_test_setup_teardown(stacks, set_up, tear_down),
      cmocka_unit_test_setup_teardown(reasons, set_up, tear_down),
      cmocka_unit_test_setup_teardown(shapes, set_up, tear_down),
      cmocka_unit_test_setup_teardown(lines, set_up, tear_down),
      cmocka_unit_test(no_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
