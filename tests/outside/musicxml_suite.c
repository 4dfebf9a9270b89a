/* Every file of the MusicXML test suite (MIT, data/musicxml/suite/): what it yields, against what was read from the files by
 * hand. Bars are counted as played through, repeats and endings taken. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "interchange.h"
#include "song.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER "tests/outside/data/musicxml/suite/"

typedef struct Expected {
  const char *file, *title;
  size_t bars;        /* played through; a pick-up is none */
  const char *keys;   /* the first, then those that it changes to */
  const char *meters; /* of the bars as written, where they change */
  size_t chords;      /* of the bars as written, N.C. not counted */
  const char *first_chords;
  size_t frames; /* that became pins */
} Expected;

static const Expected expected[] = {
    {"02c-Rests-MultiMeasureRests.xml", "", 31, "C", "4/4", 0, "", 0},
    {"03c-Rhythm-DivisionChange.xml", "", 2, "C", "4/4", 0, "", 0},
    {"11a-TimeSignatures.xml", "", 11, "C", "2/2 4/4 2/2 3/2 2/4 3/4 4/4 5/4 3/8 6/8 12/8", 0, "", 0},
    {"13a-KeySignatures.xml", "Different Key signatures", 30,
     "Cb Abm Gb Ebm Db Bbm Ab Fm Eb Cm Bb Gm F Dm C Am G Em D Bm A F#m E C#m B G#m F# D#m C# A#m", "2/4", 0,
     "", 0},
    {"45a-SimpleRepeat.xml", "", 6, "C", "4/4", 0, "", 0},
    {"45b-RepeatWithAlternatives.xml", "", 5, "C", "4/4", 0, "", 0},
    {"45c-RepeatMultipleTimes.xml", "", 24, "C", "4/4", 0, "", 0},
    {"45d-Repeats-Nested-Alternatives.xml", "", 16, "C", "4/4", 0, "", 0},
    {"46d-PickupMeasure-ImplicitMeasures.xml", "", 2, "C", "4/4 3/4", 0, "", 0},
    {"51d-EmptyTitle.xml", "Empty work-title, non-empty movement-title", 1, "", "4/4", 0, "", 0},
    {"71a-Chordnames.xml", "", 2, "C", "4/4", 8, "C Cmaj7#11 B7(#5,#9) Ebadd9 Gm D#maj7 Adim7 A+", 0},
    {"71c-ChordsFrets.xml", "", 2, "C", "4/4", 8,
     "C@032010 Cmaj7#11@035452 B7(#5,#9)@021233 Ebadd9@11-13-15-12-11-11 Gm@355333 D#maj7@001333 "
     "Adim7@001212 C",
     7},
    {"71f-AllChordTypes.xml", "All MusicXML chord names/types with <root>", 10, "C", "4/4 2/4", 38,
     "C Cm C+ Cdim C7 Cmaj7 Cm7 Cdim7 C7#5 Cm7b5 Cm(maj7) C6 Cm6 C9 Cmaj9 Cm9 C11 Cmaj11 Cm11 C13 Cmaj13 "
     "Cm13 Csus2 Csus4",
     0},
    {"90a-Compressed-MusicXML.mxl", "Compressed MusicXML file", 1, "A", "2/2", 0, "", 0},
};

typedef struct Score {
  GlnArena *arena;
  GlnDiags diags;
  GlnChart *chart;
  GlnSong *song;
} Score;

static GlnText read_file(const char *name, GlnArena *arena) {
  char path[256];
  assert_true(snprintf(path, sizeof path, FOLDER "%s", name) < (int)sizeof path);
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  GlnBuffer content = gln_buffer(arena);
  for (int c; (c = fgetc(file)) != EOF;)
    gln_buffer_add_byte(&content, (char)c);
  assert_int_equal(fclose(file), 0);
  return gln_buffer_text(&content);
}

static Score open_score(const Expected *wanted) {
  Score score = {.arena = gln_arena_new(NULL, 0)};
  assert_non_null(score.arena);
  score.diags = gln_diags(score.arena);
  const GlnMusicXmlWish wish = {.melody = false};
  GlnText bytes = read_file(wanted->file, score.arena);
  GlnImport import;
  bool packed = strstr(wanted->file, ".mxl") != NULL;
  assert_true(packed ? gln_mxl_knows(bytes) : gln_musicxml_knows(bytes));
  assert_int_equal(packed ? gln_mxl_read(bytes, &wish, score.arena, &score.diags, &import)
                          : gln_musicxml_read(bytes, &wish, score.arena, &score.diags, &import),
                   GLN_OK);
  GlnDiags faults = gln_diags(score.arena);
  assert_int_equal(gln_chart_read(import.chart, score.arena, &faults, &score.chart), GLN_OK);
  assert_int_equal(gln_song_play(score.chart, score.arena, &faults, &score.song), GLN_OK);
  assert_int_equal(faults.error_count, 0);
  return score;
}

/* The key of the chart, and those that the reader says it changes to. */
static GlnText keys_of(const Score *score) {
  static const char changes[] = "the key changes to ";
  GlnBuffer out = gln_buffer(score->arena);
  char text[GLN_KEY_TEXT_MAX];
  if (score->chart->has_key) {
    (void)gln_key_print(score->chart->key, GLN_SIGNS_ASCII, text);
    gln_buffer_add_string(&out, text);
  }
  for (size_t i = 0; i < score->diags.count; i++) {
    GlnText problem = score->diags.items[i].problem;
    if (!gln_text_starts(problem, gln_text(changes)))
      continue;
    problem = gln_text_from(problem, strlen(changes));
    gln_buffer_add_byte(&out, ' ');
    gln_buffer_add(&out, gln_text_slice(problem, 0, gln_text_find(problem, GLN_TEXT(" "), 0)));
  }
  return gln_buffer_text(&out);
}

static void add_word(GlnBuffer *out, GlnText word) {
  gln_buffer_add_string(out, out->length > 0 ? " " : "");
  gln_buffer_add(out, word);
}

static void check(const Expected *wanted) {
  Score score = open_score(wanted);
  GlnBuffer meters = gln_buffer(score.arena), chords = gln_buffer(score.arena);
  GlnMeter last = {0, 0};
  size_t chord_count = 0, pins = 0;
  for (size_t s = 0; s < score.chart->section_count; s++)
    for (size_t b = 0; b < score.chart->sections[s].bar_count; b++) {
      const GlnBar *bar = &score.chart->sections[s].bars[b];
      if (!gln_meter_equal(bar->meter, last)) {
        gln_buffer_format(&meters, "%s%d/%d", meters.length > 0 ? " " : "", bar->meter.beats,
                          bar->meter.unit);
        last = bar->meter;
      }
      for (size_t e = 0; e < bar->event_count; e++) {
        const GlnEvent *event = &bar->events[e];
        if (event->chord.silent)
          continue;
        chord_count++;
        pins += event->pin.length > 0;
        GlnBuffer word = gln_buffer(score.arena);
        gln_buffer_add(&word, event->symbol);
        gln_buffer_add_string(&word, event->pin.length > 0 ? "@" : "");
        gln_buffer_add(&word, event->pin);
        add_word(&chords, gln_buffer_text(&word));
      }
    }
  gln_buffer_add_byte(&meters, '\0');
  gln_buffer_add_byte(&chords, '\0');
  GlnBuffer keys = gln_buffer(score.arena);
  gln_buffer_add(&keys, keys_of(&score));
  gln_buffer_add_byte(&keys, '\0');
  assert_true(gln_text_equal(score.chart->title, gln_text(wanted->title)));
  assert_int_equal(score.song->bar_count, wanted->bars);
  assert_string_equal(keys.at, wanted->keys);
  assert_string_equal(meters.at, wanted->meters);
  assert_int_equal(chord_count, wanted->chords);
  assert_int_equal(pins, wanted->frames);
  assert_memory_equal(chords.at, wanted->first_chords, strlen(wanted->first_chords));
  gln_arena_free(score.arena);
}

static void test_suite(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(expected); i++) {
    print_message("%s\n", expected[i].file);
    check(&expected[i]);
  }
}

/* The three beats and a half before the first bar have not begun; the bar that is written as two is one. */
static void test_pickup(void **state) {
  (void)state;
  Score score = open_score(&expected[8]);
  assert_int_equal(score.chart->section_count, 1);
  const GlnSection *section = &score.chart->sections[0];
  assert_int_equal(section->bar_count, 3);
  assert_true(gln_bar_is_pickup(&section->bars[0]));
  assert_int_equal(gln_ratio_compare(section->bars[0].beats, gln_ratio(3, 2)), 0);
  assert_int_equal(gln_ratio_compare(score.song->quarters, gln_ratio(17, 2)), 0);
  gln_arena_free(score.arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_suite), cmocka_unit_test(test_pickup)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
