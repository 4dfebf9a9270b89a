/* Charts as people paste them. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "interchange.h"

#include <stdio.h>
#include <string.h>

typedef struct Read {
  GlnArena *arena;
  GlnDiags diags;
  GlnImport import;
  GlnStatus status;
} Read;

static Read read_text(const char *bytes) {
  Read read = {.arena = gln_arena_new(NULL, 0)};
  assert_non_null(read.arena);
  read.diags = gln_diags(read.arena);
  read.status = gln_plain_text_read(gln_text(bytes), read.arena, &read.diags, &read.import);
  if (read.status == GLN_OK) { /* whatever was guessed, the chart reads */
    GlnChart *chart = NULL;
    GlnSong *song = NULL;
    GlnDiags diags = gln_diags(read.arena);
    assert_int_equal(gln_chart_read(read.import.chart, read.arena, &diags, &chart), GLN_OK);
    assert_int_equal(gln_song_play(chart, read.arena, &diags, &song), GLN_OK);
  }
  return read;
}

static void reads_as(const char *pasted, const char *expected) {
  Read read = read_text(pasted);
  assert_int_equal(read.status, GLN_OK);
  assert_string_equal(gln_text_copy(read.arena, read.import.chart), expected);
  gln_arena_free(read.arena);
}

static bool told(const Read *read, const char *words) {
  for (size_t i = 0; i < read->diags.count; i++)
    if (gln_text_find(read->diags.items[i].problem, gln_text(words), 0) < read->diags.items[i].problem.length)
      return true;
  return false;
}

static void tells(const char *pasted, const char *words) {
  Read read = read_text(pasted);
  if (!told(&read, words))
    printf("not told: %s\n", words);
  assert_true(told(&read, words));
  gln_arena_free(read.arena);
}

static void bars_between_lines(void **state) {
  (void)state;
  reads_as("Am7 | D7 . G7 . | % | C6/9 ||\n", "\n[song]\n| Am7 | D7 / G7 / | % | C6/9 |\n");
  reads_as("|: Cmaj7 | A7 :| x3\n| Dm7 G7 |\n", "\n[song]\n|: Cmaj7 | A7 :|x3 \n| Dm7 G7 |\n");
  reads_as("Time: 3/4\n| C / / | F - G |\n", "meter: 3/4\n\n[song]\n| C / / | F / G |\n");
}

static void chords_over_words(void **state) {
  (void)state;
  reads_as("Slow Boat Home\nby A. Nobody\nKey: G\nCapo 2\nTempo: 92 bpm\n\n[Verse]\n"
           "G        Em7          C       D7\nThe boats are in, the nets are dry\n\n"
           "Chorus:\nC      D      Bm7 E7      Am7\nso sing it\n\n[Verse]\n\nChorus\n",
           "title: Slow Boat Home\nby: A. Nobody\nkey: G\ncapo: 2\ntempo: 92\nform: Verse, Chorus, Verse, "
           "Chorus\n\n"
           "[Verse]\n| G | Em7 | C | D7 |\n# The boats are in, the nets are dry\n\n"
           "[Chorus]\n| C | D | Bm7 E7 | Am7 |\n# so sing it\n");
}

static void a_letter_above_bars_is_a_part(void **state) {
  (void)state;
  reads_as("A\n| C | F |\nB\n| G7 |\n", "\n[A]\n| C | F |\n\n[B]\n| G7 |\n");
  reads_as("A\nD\n", "\n[song]\n| A |\n| D |\n");
}

static void words_are_no_chords(void **state) {
  (void)state;
  reads_as("A day\nC F\nA bad day\nAm\n", "title: A day\n\n[song]\n| C | F |\n# A bad day\n| Am |\n");
}

static void guesses_are_told(void **state) {
  (void)state;
  tells("C F\nwords\n", "each is taken as one bar");
  tells("C F\nwords\n", "read as pasted text, 50 % sure");
  tells("| C | F |\n", "read as pasted text, 100 % sure");
  tells("| C | Hm7 |\n", "no chord that can be read");
  tells("| C / | F |\n", "do not fill it");
  tells("| C | F :|\n", "taken as a plain bar line");
  tells("|: C | F |\n[B]\n| G :|\n", "taken as a plain bar line");
  tells("| % | F |\n", "no bar before this one");
  tells("[A]\n| C |\n[A]\n| F |\n", "told apart by a number");
  tells("[A]\n| C |\n[Bridge]\n", "no bars follow this heading");
  tells("Key: Q\n| C |\n", "not understood");
  tells("One\nTwo\n| C |\n", "before the first chords");
}

static void no_chord_is_no_chart(void **state) {
  (void)state;
  Read read = read_text("nothing\nbut words\n");
  assert_int_equal(read.status, GLN_INPUT);
  assert_true(told(&read, "no chord in this text"));
  gln_arena_free(read.arena);
  Read empty = read_text("");
  assert_int_equal(empty.status, GLN_INPUT);
  gln_arena_free(empty.arena);
  Read broken = read_text("C\xff\n");
  assert_int_equal(broken.status, GLN_INPUT);
  gln_arena_free(broken.arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(bars_between_lines),
      cmocka_unit_test(chords_over_words),
      cmocka_unit_test(a_letter_above_bars_is_a_part),
      cmocka_unit_test(words_are_no_chords),
      cmocka_unit_test(guesses_are_told),
      cmocka_unit_test(no_chord_is_no_chart),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
