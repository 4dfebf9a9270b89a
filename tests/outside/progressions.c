/* 739 real songs as charts: McGill Billboard annotations (Burgoyne, Wild & Fujinaga, ISMIR 2011), CC0; see data/README.md.
 * Each is turned into a chart, read without error, played, and holds the same chords as its Harte labels say. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../../tools/progressions.h"

#include <stdio.h>

/* What annotators write where no chord could be written down. */
static GlnText plain_label(GlnText label) {
  bool none = gln_text_equal(label, GLN_TEXT("&pause")) || gln_text_equal(label, GLN_TEXT("*"));
  return none ? GLN_TEXT("N") : label;
}

/* The labels of the table once more, in their own order, against the slots. */
static void assert_chords(const Progression *progression, const GlnSong *song) {
  GlnText rest = progression->bars;
  size_t slot = 0;
  size_t bars = 0;
  (void)progression_cut(&rest, '|');
  while (gln_text_trim(rest).length > 0) {
    GlnText bar = progression_cut(&rest, '|');
    bars++;
    while (bar.length > 0) {
      GlnText label = progression_cut(&bar, ' ');
      GlnChord chord;
      if (gln_text_equal(label, GLN_TEXT(".")))
        continue;
      assert_int_equal(gln_chord_parse_harte(plain_label(label), &chord, NULL), GLN_OK);
      assert_true(slot < song->slot_count);
      assert_int_equal(song->slots[slot].bar, bars);
      assert_int_equal(song->slots[slot].event->chord.silent, chord.silent);
      assert_true(chord.silent || gln_chord_equal(&song->slots[slot].event->chord, &chord));
      slot++;
    }
  }
  assert_int_equal(song->slot_count, slot);
  assert_int_equal(song->bar_count, bars);
}

static size_t check_line(GlnText line, GlnArena *arena) {
  Progression progression;
  GlnBuffer text = gln_buffer(arena);
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  assert_true(progression_read(line, &progression));
  assert_int_equal(progression_write(&progression, &text), GLN_OK);
  GlnStatus status = gln_chart_read(gln_buffer_text(&text), arena, &diags, &chart);
  for (size_t i = 0; status != GLN_OK && i < diags.count; i++)
    print_error("%.*s: %.*s\n", (int)progression.id.length, progression.id.at,
                (int)diags.items[i].problem.length, diags.items[i].problem.at);
  assert_int_equal(status, GLN_OK);
  assert_int_equal(gln_song_play(chart, arena, &diags, &song), GLN_OK);
  assert_chords(&progression, song);
  GlnBuffer again = gln_buffer(arena);
  assert_int_equal(gln_chart_write(chart, &again), GLN_OK);
  assert_true(gln_text_equal(gln_buffer_text(&again), gln_buffer_text(&text)));
  return song->bar_count;
}

static void every_song_is_read(void **state) {
  (void)state;
  static char line[65536];
  size_t songs = 0;
  size_t bars = 0;
  FILE *table = fopen("tests/outside/data/progressions.tsv", "rb");
  assert_non_null(table);
  while (fgets(line, sizeof line, table)) {
    GlnText text = gln_text_trim(gln_text(line));
    if (gln_text_starts(text, GLN_TEXT("id\t")))
      continue;
    GlnArena *arena = gln_arena_new(NULL, 0);
    assert_non_null(arena);
    bars += check_line(text, arena);
    gln_arena_free(arena);
    songs++;
  }
  assert_int_equal(fclose(table), 0);
  assert_int_equal(songs, 739);
  assert_int_equal(bars, 73359); /* 74,098 bar lines in the table, one more than bars in each song */
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(every_song_is_read)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
