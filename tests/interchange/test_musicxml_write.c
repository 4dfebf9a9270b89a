/* Scores that gripline writes: read back they are the same music on the same grips; a performance has every note once.
 * Invented songs. The schema and a second reader check the same files in tests/outside/musicxml.mjs. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "musicxml_write_internal.h"
#include "musicxml_test.h"

#include <stdlib.h>

typedef struct Made {
  GlnArena *arena;
  GlnLine *line;
  GlnLineOptions options;
} Made;

static GlnLine *solve(GlnText source, const GlnLineOptions *options, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GlnLine *line = NULL;
  GlnStatus status = gln_chart_read(source, arena, &diags, &chart);
  if (status == GLN_OK)
    status = gln_song_play(chart, arena, &diags, &song);
  if (status == GLN_OK)
    status = gln_line_solve(song, options, arena, &diags, &line);
  for (size_t i = 0; i < diags.count && status != GLN_OK; i++)
    print_error("%.*s\n", (int)diags.items[i].problem.length, diags.items[i].problem.at);
  assert_int_equal(status, GLN_OK);
  return line;
}

static Made make(const char *chart) {
  Made made = {.arena = gln_arena_new(NULL, 0), .options = gln_line_defaults()};
  assert_non_null(made.arena);
  made.line = solve(gln_text(chart), &made.options, made.arena);
  return made;
}

static GlnText write_score(const Made *made, const GlnPerformance *performance, const GlnFeel *feel) {
  GlnMusicXmlOptions options = {.line = made->line,
                                .instrument = &made->options.instrument,
                                .performance = performance,
                                .swing = {1, 1},
                                .pair = {1, 1}};
  if (feel != NULL)
    options.swing = gln_feel_swing_of(feel, &options.pair);
  GlnBuffer out = gln_buffer(made->arena);
  assert_int_equal(gln_musicxml_write(&options, &out), GLN_OK);
  return gln_buffer_text(&out);
}

static GlnText read_score(const Made *made, GlnText score, bool melody) {
  const GlnMusicXmlWish wish = {.melody = melody};
  GlnDiags diags = gln_diags(made->arena);
  GlnImport import;
  assert_int_equal(gln_musicxml_read(score, &wish, made->arena, &diags, &import), GLN_OK);
  return import.chart;
}

static bool same_ratio(GlnRatio a, GlnRatio b) {
  return gln_ratio_compare(a, b) == 0;
}

/* Chord by chord: where, how long, what, on which grip. Chords that go on over a bar line may be one or two. */
static void assert_same_music(const GlnLine *a, const GlnLine *b) {
  assert_true(same_ratio(a->song->quarters, b->song->quarters));
  assert_int_equal(a->song->bar_count, b->song->bar_count);
  assert_int_equal(a->slot_count, b->slot_count);
  for (size_t i = 0; i < a->slot_count; i++) {
    const GlnSlot *x = a->slots[i].slot, *y = b->slots[i].slot;
    assert_true(same_ratio(x->start, y->start) && same_ratio(x->quarters, y->quarters));
    assert_int_equal(x->bar, y->bar);
    assert_int_equal(x->event->chord.silent, y->event->chord.silent);
    assert_true(x->event->chord.silent || gln_chord_equal(&x->event->chord, &y->event->chord));
    assert_int_equal(a->slots[i].silent, b->slots[i].silent);
    assert_true(a->slots[i].silent || gln_frets_equal(&a->slots[i].grip.frets, &b->slots[i].grip.frets));
    assert_true(a->slots[i].silent ||
                memcmp(a->slots[i].grip.fingering.finger, b->slots[i].grip.fingering.finger,
                       sizeof a->slots[i].grip.fingering.finger) == 0);
  }
}

static const char *const songs[] = {
    ("title: One & <two>\nby: \"nobody\"\nkey: Bb\ntempo: 92.5\nform: A A B A\n"
     "[A]\n| Bb6 / Gm7 / | Cm7 F7 | % | N.C. |\n[B]\n| Eb7 | % | / / Edim7 / | Bb/F |\n"),
    "key: F#m\nmeter: 6/8\n| / / / / / C#7 |: F#m | Bm E7 |1 C#7(b9) :|2 F#m || A |\n",
    "meter: 3/4\n| C / F | G7 / / | 4/4: Am7 | 5/8: Dm7 | 3/4: C F G |\n|: C :|x3\n",
    "| Cm7b5 Db7#9 | Gbmaj7#11/Bb E7alt | A13sus4 D6/9 | Fm(maj7) C5 | Baug Ebdim7 |\n",
    "tuning: D A D G A D\ncapo: 2\nkey: D\n|: D5 | Gmaj7 / A7sus4 / |1 D :|2 D |\n",
    "| C / / / / / / F | C Am Dm7 G7 |\n",
};

static void test_lead_sheets(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(songs); i++) {
    Made made = make(songs[i]);
    GlnText score = write_score(&made, NULL, NULL);
    GlnText chart = read_score(&made, score, false);
    GlnLineOptions options = made.options;
    assert_same_music(made.line, solve(chart, &options, made.arena));
    /* Once more: the same file, byte for byte. */
    Made again = {made.arena, solve(chart, &options, made.arena), options};
    GlnText twice = read_score(&made, write_score(&again, NULL, NULL), false);
    assert_true(gln_text_equal(chart, twice));
    gln_arena_free(made.arena);
  }
}

/* The same score in a zip file, the same bytes every time. */
static void test_packed(void **state) {
  (void)state;
  Made made = make(songs[0]);
  const GlnMusicXmlOptions options = {
      .line = made.line, .instrument = &made.options.instrument, .swing = {1, 1}};
  GlnBuffer once = gln_buffer(made.arena), twice = gln_buffer(made.arena);
  assert_int_equal(gln_mxl_write(&options, &once), GLN_OK);
  assert_int_equal(gln_mxl_write(&options, &twice), GLN_OK);
  assert_true(gln_text_equal(gln_buffer_text(&once), gln_buffer_text(&twice)));
  assert_true(gln_mxl_knows(gln_buffer_text(&once)));
  const GlnMusicXmlWish wish = {.melody = false};
  GlnDiags diags = gln_diags(made.arena);
  GlnImport import;
  assert_int_equal(gln_mxl_read(gln_buffer_text(&once), &wish, made.arena, &diags, &import), GLN_OK);
  assert_true(gln_text_equal(import.chart, read_score(&made, write_score(&made, NULL, NULL), false)));
  gln_arena_free(made.arena);
}

/* Sections that come back, repeats and their endings are kept as such. */
static void test_form_is_kept(void **state) {
  (void)state;
  Made made = make("form: A A B A\n[A]\n|: C | F |1 G7 :|2 C |\n[B]\n| Am | % |\n");
  GlnText chart = read_score(&made, write_score(&made, NULL, NULL), false);
  assert_true(gln_text_find(chart, GLN_TEXT("form: A A B A\n"), 0) < chart.length);
  assert_true(gln_text_find(chart, GLN_TEXT(":|\n"), 0) < chart.length ||
              gln_text_find(chart, GLN_TEXT(":|2 "), 0) < chart.length);
  assert_true(gln_text_find(chart, GLN_TEXT("%"), 0) < chart.length);
  gln_arena_free(made.arena);
}

static void assert_tune(const char *chart, const char *tune) {
  Made made = make(chart);
  GlnText read = read_score(&made, write_score(&made, NULL, NULL), true);
  if (gln_text_find(read, gln_text(tune), 0) == read.length)
    print_error("%.*s\n", (int)read.length, read.at);
  assert_true(gln_text_find(read, gln_text(tune), 0) < read.length);
  gln_arena_free(made.arena);
}

/* Wished top notes are notes too; a tune comes back note for note, held over a bar line or not. */
static void test_tunes(void **state) {
  (void)state;
  assert_tune("| C^G4 / Am^E4 / | F^F4 |\n", "^ | G4 - E4 - | F4 - / / |\n");
  assert_tune("^ | E4 / G4 / | / A4 - C5 |\n| C / Am / | F |\n", "^ | E4 G4 | / A4 - C5 |\n");
  assert_tune("^ | - / / G4 | E4 D4 C4 |\n| / / / G7 | C |\n", "| E4 D4 C4 |\n");
}

/* ---- performances --------------------------------------------------------------------------------------------------- */

static GlnPerformance *perform(const Made *made, const char *feel, const GlnFeel **chosen) {
  GlnFeelBook *book = NULL;
  GlnPerformance *performance = NULL;
  GlnDiags diags = gln_diags(made->arena);
  assert_int_equal(gln_feel_book_open(made->arena, &book), GLN_OK);
  GlnHeld *held = GLN_NEW(made->arena, GlnHeld, made->line->slot_count);
  for (size_t i = 0; i < made->line->slot_count; i++) {
    const GlnLineSlot *at = &made->line->slots[i];
    GlnRatio into = gln_ratio_multiply(at->slot->event->beat, gln_ratio(4, at->slot->meter.unit));
    held[i] = (GlnHeld){.grip = at->silent ? NULL : &at->grip,
                        .chord = at->silent ? NULL : &at->slot->event->chord,
                        .start = at->slot->start,
                        .quarters = at->slot->quarters,
                        .meter_beats = at->slot->meter.beats,
                        .meter_unit = at->slot->meter.unit,
                        .bar_start = gln_ratio_subtract(at->slot->start, into)};
  }
  const GlnPerformanceOptions options = {.instrument = &made->options.instrument,
                                         .hand = &made->options.hand,
                                         .book = book,
                                         .feel = gln_text(feel),
                                         .tempo = 120,
                                         .count_in = 1,
                                         .rounds = 1};
  GlnMeter meter = made->line->song->chart->meter;
  assert_int_equal(gln_feel_choose(book, gln_text(feel), meter.beats, meter.unit, chosen, NULL, NULL),
                   GLN_OK);
  assert_int_equal(
      gln_performance_make(&options, held, made->line->slot_count, made->arena, &diags, &performance),
      GLN_OK);
  return performance;
}

/* Notes of one staff, those that are tied on from before not counted; and that every measure of every voice is full. */
typedef struct Counted {
  size_t staff_notes, tablature_notes, harmonies, measures;
  size_t strings[GLN_STRINGS_MAX + 1];
} Counted;

static bool is_tied_on(const GlnXmlNode *note) {
  for (const GlnXmlNode *tie = gln_xml_child(note, GLN_ELEMENT_TIE); tie != NULL;
       tie = gln_xml_next(tie, GLN_ELEMENT_TIE))
    if (gln_text_equal(gln_xml_attribute(tie, GLN_ATTRIBUTE_TYPE), GLN_TEXT("stop")))
      return true;
  return false;
}

static void count_measure(const GlnXmlNode *measure, double *divisions, GlnRatio quarters, Counted *counted) {
  double length = 0;
  size_t lanes = 0;
  const double whole = gln_ratio_value(quarters);
  for (const GlnXmlNode *at = measure->first; at != NULL; at = at->next) {
    if (at->name == GLN_ELEMENT_ATTRIBUTES)
      *divisions = (double)gln_xml_integer(at, GLN_ELEMENT_DIVISIONS, 1, 1000000, (long)*divisions);
    counted->harmonies += at->name == GLN_ELEMENT_HARMONY;
    double duration = (double)gln_xml_integer(at, GLN_ELEMENT_DURATION, 1, 1000000, 0) / *divisions;
    if (at->name == GLN_ELEMENT_BACKUP) {
      assert_true(duration > whole - 1e-9 && duration < whole + 1e-9);
      assert_true(length > whole - 1e-9 && length < whole + 1e-9);
      length = 0;
      lanes++;
    }
    if (at->name != GLN_ELEMENT_NOTE)
      continue;
    if (gln_xml_child(at, GLN_ELEMENT_CHORD) == NULL)
      length += duration;
    bool sounds = gln_xml_child(at, GLN_ELEMENT_PITCH) != NULL && !is_tied_on(at);
    if (lanes < 2)
      counted->staff_notes += sounds;
    else
      counted->tablature_notes += sounds;
  }
  assert_int_equal(lanes, 3); /* fingers and thumb, on staff and tablature */
  assert_true(length > whole - 1e-9 && length < whole + 1e-9);
  counted->measures++;
}

static Counted count_score(const Made *made, GlnText score, const GlnRatio *bars, size_t bar_count) {
  GlnXmlDocument document;
  GlnDiags diags = gln_diags(made->arena);
  Counted counted = {0};
  double divisions = 1;
  assert_int_equal(gln_xml_read(score, true, made->arena, &diags, &document), GLN_OK);
  const GlnXmlNode *part = gln_xml_child(document.root, GLN_ELEMENT_PART);
  for (const GlnXmlNode *at = gln_xml_child(part, GLN_ELEMENT_MEASURE); at != NULL;
       at = gln_xml_next(at, GLN_ELEMENT_MEASURE)) {
    assert_true(counted.measures < bar_count);
    count_measure(at, &divisions, bars[counted.measures], &counted);
  }
  assert_int_equal(counted.measures, bar_count);
  return counted;
}

static size_t bars_of_song(const Made *made, GlnRatio *bars) {
  size_t count = 0;
  const GlnSlot *last = NULL;
  for (size_t i = 0; i < made->line->slot_count; i++) {
    const GlnSlot *slot = made->line->slots[i].slot;
    const GlnBar *bar = &made->line->song->chart->sections[slot->section].bars[slot->written_bar];
    if (last == NULL || last->bar != slot->bar)
      bars[count++] = gln_ratio_multiply(bar->beats, gln_ratio(4, bar->meter.unit));
    last = slot;
  }
  return count;
}

static void test_performances(void **state) {
  (void)state;
  static const char *const feels[] = {"bossa", "swing", "arpeggio", "strum", "waltz", "samba", "held"};
  for (size_t i = 0; i < GLN_COUNT_OF(songs); i++)
    for (size_t f = 0; f < GLN_COUNT_OF(feels); f++) {
      Made made = make(songs[i]);
      const GlnFeel *feel = NULL;
      GlnPerformance *performance = perform(&made, feels[f], &feel);
      GlnText score = write_score(&made, performance, feel);
      GlnRatio bars[100];
      size_t bar_count = bars_of_song(&made, bars), heard = 0;
      Counted counted = count_score(&made, score, bars, bar_count);
      for (size_t n = 0; n < performance->count; n++)
        heard += performance->notes[n].player != GLN_PLAYER_CLICK;
      assert_int_equal(counted.staff_notes, counted.tablature_notes);
      assert_int_equal(counted.staff_notes, heard);
      GlnLineOptions options = made.options;
      assert_same_music(made.line, solve(read_score(&made, score, false), &options, made.arena));
      gln_arena_free(made.arena);
    }
}

/* Swung eighths are eighths, under the word. */
static void test_swing(void **state) {
  (void)state;
  Made made = make("| C / / / / / / F | C |\n");
  const GlnFeel *feel = NULL;
  GlnPerformance *performance = perform(&made, "swing", &feel);
  GlnText score = write_score(&made, performance, feel);
  assert_true(gln_text_find(score, GLN_TEXT("<words>Swing</words>"), 0) < score.length);
  assert_true(gln_text_find(score, GLN_TEXT("<first>2</first>"), 0) < score.length);
  assert_true(gln_text_find(score, GLN_TEXT("<type>eighth</type>"), 0) < score.length);
  assert_int_equal(gln_text_find(score, GLN_TEXT("<time-modification>"), 0), score.length);
  gln_arena_free(made.arena);
}

/* ---- lengths ---------------------------------------------------------------------------------------------------------- */

static void test_values(void **state) {
  (void)state;
  GlnNoteValue values[GLN_NOTE_VALUES_MAX];
  for (int64_t num = 1; num <= 96; num++)
    for (int64_t den = 1; den <= 12; den++) {
      if (den == 11)
        continue; /* written too, but 96/11 needs finer values than there are */
      GlnRatio quarters = gln_ratio(num, den), sum = gln_ratio(0, 1);
      int count = gln_note_values(quarters, values);
      for (int i = 0; i < count; i++) {
        sum = gln_ratio_add(sum, values[i].quarters);
        assert_int_equal(values[i].actual != 0,
                         quarters.den % 3 == 0 || quarters.den % 5 == 0 || quarters.den % 7 == 0);
      }
      assert_true(same_ratio(sum, quarters));
    }
  assert_int_equal(gln_note_values(gln_ratio(1, 3), values), 1);
  assert_string_equal(values[0].type, "eighth");
  assert_int_equal(values[0].actual, 3);
  assert_int_equal(values[0].normal, 2);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_lead_sheets),  cmocka_unit_test(test_packed),
                                     cmocka_unit_test(test_form_is_kept), cmocka_unit_test(test_tunes),
                                     cmocka_unit_test(test_performances), cmocka_unit_test(test_swing),
                                     cmocka_unit_test(test_values)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
