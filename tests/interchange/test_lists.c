/* Chord labels with times, and lists of bars: read, written, and back again. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "interchange.h"

#include <string.h>

typedef struct Read {
  GlnArena *arena;
  GlnDiags diags;
  GlnImport import;
  GlnStatus status;
  GlnSong *song; /* of the chart */
} Read;

typedef GlnStatus Reader(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import);

static Read read_text(Reader *reader, const char *bytes) {
  Read read = {.arena = gln_arena_new(NULL, 0)};
  assert_non_null(read.arena);
  read.diags = gln_diags(read.arena);
  read.status = reader(gln_text(bytes), read.arena, &read.diags, &read.import);
  if (read.status != GLN_OK)
    return read;
  GlnChart *chart = NULL;
  GlnDiags diags = gln_diags(read.arena);
  assert_int_equal(gln_chart_read(read.import.chart, read.arena, &diags, &chart), GLN_OK);
  assert_int_equal(gln_song_play(chart, read.arena, &diags, &read.song), GLN_OK);
  return read;
}

static void chart_is(const Read *read, const char *expected) {
  assert_int_equal(read->status, GLN_OK);
  assert_true(strlen(expected) == read->import.chart.length);
  assert_memory_equal(read->import.chart.at, expected, strlen(expected));
}

static bool told(const Read *read, const char *words) {
  for (size_t i = 0; i < read->diags.count; i++)
    if (gln_text_find(read->diags.items[i].problem, gln_text(words), 0) < read->diags.items[i].problem.length)
      return true;
  return false;
}

/* At 120 a minute four beats are two seconds. */
static void times_become_bars(void **state) {
  (void)state;
  Read read = read_text(gln_lab_read, "0.0 2.0 C:maj\n2.0 3.0 A:min7\n3.0\t4.0\tD:7\r\n4.0 8.0 G:maj7\n");
  chart_is(&read, "meter: 4/4\ntempo: 120\n\n[song]\n| C | Am7 / D7 / | Gmaj7 | / / / / |\n");
  assert_true(told(&read, "counted as 4/4 at 120 beats a minute"));
  gln_arena_free(read.arena);
}

static void drifting_times_are_followed(void **state) {
  (void)state;
  /* Each bar two hundredths of a second longer than the one before. */
  Read read = read_text(gln_lab_read,
                        "0 2.00 C:maj\n2.00 4.02 F:maj\n4.02 6.06 G:7\n6.06 8.12 C:maj\n8.12 10.20 F:maj\n");
  assert_int_equal(read.status, GLN_OK);
  assert_int_equal(read.song->bar_count, 5);
  assert_int_equal(read.song->slot_count, 5);
  gln_arena_free(read.arena);
}

static void waltz_and_pickup(void **state) {
  (void)state;
  Read read = read_text(gln_lab_read, "0 0.5 D:7\n0.5 2 G:maj\n2 3.5 C:maj\n3.5 5 D:7\n5 6.5 G:maj\n");
  chart_is(&read, "meter: 3/4\ntempo: 120\n\n[song]\n| / / D7 | G | C | D7 |\n| G |\n");
  gln_arena_free(read.arena);
}

static void silences_of_the_recording_go(void **state) {
  (void)state;
  Read read = read_text(gln_lab_read,
                        "0 1.37 N\n1.37 3.37 C:maj\n3.37 5.37 N\n5.37 7.37 X\n7.37 9.37 F:maj\n9.37 12 N\n");
  chart_is(&read, "meter: 4/4\ntempo: 120\n\n[song]\n| C | N.C. | N.C. | F |\n");
  assert_true(told(&read, "the chord is not known here"));
  gln_arena_free(read.arena);
}

static void every_faulty_line_is_told(void **state) {
  (void)state;
  Read read =
      read_text(gln_lab_read,
                "0 2 C:maj\n2 x F:maj\n2 1 F:maj\n2 4 Hello\n1 4 F:maj\n2 4\n2 4 F:maj more\n-1 2 C:maj\n");
  assert_int_equal(read.status, GLN_INPUT);
  assert_int_equal(read.diags.error_count, 7);
  assert_true(told(&read, "no time in seconds"));
  assert_true(told(&read, "ends before it begins"));
  assert_true(told(&read, "begins before the one above it ends"));
  gln_arena_free(read.arena);
  Read empty = read_text(gln_lab_read, "# nothing\n0 1 N\n");
  assert_int_equal(empty.status, GLN_INPUT);
  assert_true(told(&empty, "no chord in this file"));
  gln_arena_free(empty.arena);
  Read broken = read_text(gln_lab_read, "0 1 C:maj\n\xff\n");
  assert_int_equal(broken.status, GLN_INPUT);
  gln_arena_free(broken.arena);
}

static void bars_become_a_chart(void **state) {
  (void)state;
  Read read =
      read_text(gln_bar_list_read,
                "# title: Two Rivers\n# metre: 4/4\n# tonic: A\n| A:min . . E:7 | A:min | D:min G:7 | "
                "C:maj . C:maj |\n| C:maj . | &pause | A:min | A:min |\n");
  chart_is(&read,
           "title: Two Rivers\nkey: Am\nmeter: 4/4\n\n[song]\n| Am / / E7 | Am | Dm G7 | 3/4: C / C |\n"
           "| 4/4: C | N.C. | Am | Am |\n");
  gln_arena_free(read.arena);
}

static void a_metre_may_change(void **state) {
  (void)state;
  Read read = read_text(gln_bar_list_read, "| C:maj |\n# metre: 2/4\n| G:7 |\n# metre: 4/4\n| C:maj |\n");
  chart_is(&read, "meter: 4/4\n\n[song]\n| C | 2/4: G7 | 4/4: C |\n");
  gln_arena_free(read.arena);
}

static void faulty_bars_are_told(void **state) {
  (void)state;
  Read read = read_text(gln_bar_list_read, "# metre: 4\n# key: H\n| C:maj | Q | C:mad |\n");
  assert_int_equal(read.status, GLN_INPUT);
  assert_int_equal(read.diags.error_count, 4);
  gln_arena_free(read.arena);
  Read empty = read_text(gln_bar_list_read, "# title: x\n||\n");
  assert_int_equal(empty.status, GLN_INPUT);
  gln_arena_free(empty.arena);
}

static GlnSong *play(const char *source, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  assert_int_equal(gln_chart_read(gln_text(source), arena, &diags, &chart), GLN_OK);
  assert_int_equal(gln_song_play(chart, arena, &diags, &song), GLN_OK);
  return song;
}

static void same_slots(const GlnSong *a, const GlnSong *b) {
  assert_int_equal(a->slot_count, b->slot_count);
  for (size_t i = 0; i < a->slot_count; i++) {
    assert_true(gln_chord_equal(&a->slots[i].event->chord, &b->slots[i].event->chord));
    assert_int_equal(gln_ratio_compare(a->slots[i].quarters, b->slots[i].quarters), 0);
  }
}

static const char *const SONGS[] = {
    "tempo: 96\nmeter: 3/4\n| Dm | Gm/Bb | C7 / F | A7(b9) |\n",
    "tempo: 126\n| / / / F7#9 | Bb13 | Eb9 Edim7 | Bb6/9 / / F7alt |\n| Cm7b5(11) | F7sus4 | Bb5 |\n",
    "| C / / / / / / F | G7 | C |\n", /* a chord on a half beat */
    "meter: 6/8\n| Am | F G | C |\n",
    "[A]\n| C | F |\n[B]\n| 2/4: G7 | 4/4: C |\n",
};

/* What is written as a list of bars reads back as the same chords for as long. */
static void bars_round(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(SONGS); i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    assert_non_null(arena);
    GlnSong *song = play(SONGS[i], arena);
    GlnDiags diags = gln_diags(arena);
    GlnBuffer out = gln_buffer(arena);
    assert_int_equal(gln_bar_list_write(song, &diags, &out), GLN_OK);
    Read read = read_text(gln_bar_list_read, gln_text_copy(arena, gln_buffer_text(&out)));
    assert_int_equal(read.status, GLN_OK);
    same_slots(song, read.song);
    gln_arena_free(read.arena);
    gln_arena_free(arena);
  }
}

static void times_round(void **state) {
  (void)state;
  for (size_t i = 0; i < 2; i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    assert_non_null(arena);
    GlnSong *song = play(SONGS[i], arena);
    GlnBuffer out = gln_buffer(arena);
    assert_int_equal(gln_lab_write(song, &out), GLN_OK);
    Read read = read_text(gln_lab_read, gln_text_copy(arena, gln_buffer_text(&out)));
    assert_int_equal(read.status, GLN_OK);
    same_slots(song, read.song);
    gln_arena_free(read.arena);
    gln_arena_free(arena);
  }
}

static void times_are_written_in_seconds(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnBuffer out = gln_buffer(arena);
  assert_int_equal(gln_lab_write(play("tempo: 90\n| C / / / | / / Bb7(b9)/D / |\n", arena), &out), GLN_OK);
  const char *expected = "0.000000\t4.000000\tC:maj\n4.000000\t5.333333\tBb:7(b9)/3\n";
  assert_string_equal(gln_text_copy(arena, gln_buffer_text(&out)), expected);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(times_become_bars),
      cmocka_unit_test(drifting_times_are_followed),
      cmocka_unit_test(waltz_and_pickup),
      cmocka_unit_test(silences_of_the_recording_go),
      cmocka_unit_test(every_faulty_line_is_told),
      cmocka_unit_test(bars_become_a_chart),
      cmocka_unit_test(a_metre_may_change),
      cmocka_unit_test(faulty_bars_are_told),
      cmocka_unit_test(bars_round),
      cmocka_unit_test(times_round),
      cmocka_unit_test(times_are_written_in_seconds),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
