/* What gripline plays, gripline hears: charts are arranged and played as MIDI files, and the chords found in those files are
 * compared with the charts' own, by root and quality.
 *
 * Sources: the songs of examples/ (inventions of our own), and progressions.tsv, McGill Billboard annotations (Burgoyne,
 * Wild, Fujinaga, ISMIR 2011; CC0). */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "app.h"

#include <stdlib.h>
#include <string.h>

typedef struct Score {
  size_t chords, right;
  double quarters, right_quarters;
  size_t files;
} Score;

static GlnText read_file(const char *path, GlnArena *arena) {
  GlnText content = {NULL, 0};
  GlnFileFault fault;
  assert_int_equal(gln_file_read(path, (size_t)1 << 24, arena, &content, &fault), GLN_OK);
  return content;
}

/* The chart played, as gripline convert does it, in a feel (NULL: its own). */
static GlnText play(GlnText chart, const char *feel, const char *texture, GlnArena *arena) {
  char *out_bytes = NULL, *err_bytes = NULL;
  size_t out_size = 0, err_size = 0;
  char *copy = gln_text_copy(arena, chart);
  assert_non_null(copy);
  FILE *in = fmemopen(copy, chart.length, "r");
  FILE *out = open_memstream(&out_bytes, &out_size), *err = open_memstream(&err_bytes, &err_size);
  assert_true(in != NULL && out != NULL && err != NULL);
  const GlnApp app = {.in = in, .out = out, .err = err, .columns = GLN_COLUMNS};
  char convert[] = "gripline", command[] = "convert", dash[] = "-", from[] = "--from=chart",
       to[] = "--to=midi", feel_option[64] = "--feel=", texture_option[64] = "--texture=";
  (void)strncat(feel_option, feel != NULL ? feel : "", 50);
  (void)strncat(texture_option, texture, 50);
  char *argv[] = {convert, command, dash, dash, from, to, texture_option, feel != NULL ? feel_option : NULL,
                  NULL};
  int status = gln_app_run(&app, feel != NULL ? 8 : 7, argv);
  (void)fclose(in);
  (void)fclose(out);
  (void)fclose(err);
  if (status != 0)
    fail_msg("%s", err_bytes);
  const char *kept = gln_text_copy(arena, (GlnText){out_bytes, out_size});
  assert_non_null(kept);
  free(out_bytes);
  free(err_bytes);
  return (GlnText){kept, out_size};
}

static GlnSong *song_of(GlnText chart, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  GlnChart *read = NULL;
  GlnSong *song = NULL;
  GlnStatus status = gln_chart_read(chart, arena, &diags, &read);
  if (status == GLN_OK)
    status = gln_song_play(read, arena, &diags, &song);
  if (status != GLN_OK) {
    GlnBuffer words = gln_buffer(arena);
    gln_diags_print(&diags, GLN_TEXT("chart"), chart, &words);
    fail_msg("%.*s", (int)words.length, words.at);
  }
  return song;
}

static size_t first_chord(const GlnSong *song) {
  size_t i = 0;
  while (i + 1 < song->slot_count && song->slots[i].event->chord.silent)
    i++;
  return i;
}

static bool same(const GlnChord *a, const GlnChord *b) {
  if (a->silent || b->silent)
    return a->silent == b->silent;
  return gln_note_pitch_class(a->root) == gln_note_pitch_class(b->root) && a->quality == b->quality;
}

static void compare(const GlnSong *own, const GlnSong *heard, Score *score) {
  double own_at = gln_ratio_value(own->slots[first_chord(own)].start);
  double heard_at = gln_ratio_value(heard->slots[first_chord(heard)].start);
  size_t h = 0;
  for (size_t i = first_chord(own); i < own->slot_count; i++) {
    const GlnSlot *slot = &own->slots[i];
    if (slot->event->chord.silent)
      continue;
    double quarters = gln_ratio_value(slot->quarters);
    double middle = gln_ratio_value(slot->start) - own_at + quarters / 2 + heard_at;
    while (h + 1 < heard->slot_count && gln_ratio_value(heard->slots[h + 1].start) <= middle)
      h++;
    bool right = same(&slot->event->chord, &heard->slots[h].event->chord);
    score->chords++;
    score->right += right;
    score->quarters += quarters;
    score->right_quarters += right ? quarters : 0;
  }
}

static void hear(GlnText chart, const char *feel, const char *texture, GlnArena *arena, Score *score) {
  GlnArenaMark mark = gln_arena_mark(arena);
  GlnText file = play(chart, feel, texture, arena);
  GlnDiags diags = gln_diags(arena);
  GlnImport import;
  GlnNamer *namer = NULL;
  assert_int_equal(gln_namer_new(arena, &namer), GLN_OK);
  assert_int_equal(gln_midi_read(file, namer, arena, &diags, &import), GLN_OK);
  compare(song_of(chart, arena), song_of(import.chart, arena), score);
  score->files++;
  gln_arena_rewind(arena, mark);
}

static double percent(const Score *score) {
  return 100.0 * (double)score->right / (double)score->chords;
}

static void print_score(const char *what, const Score *score) {
  print_message("%s: %zu files, %zu of %zu chords (%.1f %%), %.1f %% of the time\n", what, score->files,
                score->right, score->chords, percent(score), 100.0 * score->right_quarters / score->quarters);
}

/* Of a feel that breaks its chords, two beats hold three notes of a chord at most, and the others are nowhere in the file: those
 * chords cannot come back whole. */
typedef struct FeelCheck {
  const char *feel; /* NULL: each chart's own */
  double least;     /* percent */
} FeelCheck;

static void test_examples(void **state) {
  (void)state;
  static const char *const songs[] = {"examples/ferry-at-low-tide.chart", "examples/late-tram-blues.chart",
                                      "examples/lanterns-on-the-canal.chart"};
  static const FeelCheck feels[] = {{NULL, 95},         {"bossa", 95},      {"bossa ahead", 95},
                                    {"swing", 95},      {"swing four", 95}, {"ballad", 95},
                                    {"strum", 95},      {"held", 95},       {"samba", 95},
                                    {"charleston", 94}, {"arpeggio", 90},   {"bolero", 60}};
  Score all = {0};
  for (size_t f = 0; f < GLN_COUNT_OF(feels); f++) {
    Score score = {0};
    GlnArena *arena = gln_arena_new(NULL, 0);
    size_t count = feels[f].feel == NULL ? 3 : 2; /* the third is a waltz */
    for (size_t s = 0; s < count; s++)
      hear(read_file(songs[s], arena), feels[f].feel, "four-note", arena, &score);
    print_score(feels[f].feel != NULL ? feels[f].feel : "own feel", &score);
    assert_true(percent(&score) >= feels[f].least);
    all.chords += score.chords;
    all.right += score.right;
    all.quarters += score.quarters;
    all.right_quarters += score.right_quarters;
    all.files += score.files;
    gln_arena_free(arena);
  }
  print_score("examples", &all);
  assert_true(percent(&all) >= 95.0);
}

/* Every so many of the songs; all 739 take some minutes. */
#define EVERY 20

static void test_progressions(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnText rest = read_file("tests/outside/data/progressions.tsv", arena);
  Score score = {0};
  size_t count = 0;
  while (rest.length > 0) {
    size_t end = gln_text_find(rest, GLN_TEXT("\n"), 0);
    GlnText line = gln_text_slice(rest, 0, end), cell[4];
    rest = gln_text_from(rest, end + 1);
    if (count++ % EVERY != 1)
      continue;
    for (size_t i = 0; i < 4; i++) {
      size_t tab = gln_text_find(line, GLN_TEXT("\t"), 0);
      cell[i] = gln_text_slice(line, 0, tab);
      line = gln_text_from(line, tab + 1);
    }
    GlnBuffer list = gln_buffer(arena);
    gln_buffer_format(&list, "# metre: %.*s\n# tonic: %.*s\n%.*s\n", (int)cell[1].length, cell[1].at,
                      (int)cell[2].length, cell[2].at, (int)cell[3].length, cell[3].at);
    GlnDiags diags = gln_diags(arena);
    GlnImport import;
    if (gln_bar_list_read(gln_buffer_text(&list), arena, &diags, &import) != GLN_OK)
      continue;
    hear(import.chart, NULL, "four-note", arena, &score);
  }
  print_score("progressions", &score);
  assert_true(percent(&score) >= 95.0);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_examples), cmocka_unit_test(test_progressions)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
