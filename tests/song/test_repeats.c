/* Repeats, endings and the order of play. Orders worked out by hand from the usual meaning of the signs. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "song_test.h"

static void repeats_are_taken(void **state) {
  static const struct {
    const char *source, *order;
  } rows[] = {
      {"|: C | F :|", "C F C F"},
      {"|: C :|x3 G |", "C C C G"},
      {"|: C :|\xC3\x97"
       "3",
       "C C C"},
      {"| A |: C | F :| G |", "A C F C F G"},
      {"|: C :|: F :| G |", "C C F F G"},
      {"|: C :||: F :|\n", "C C F F"},
      {"|: C :| |: F :|\n", "C C F F"},
      {"|: C |\n| F |\n| G :|\n| Am |", "C F G C F G Am"},
      {"|: C | F |1 G :|2 Am | D |", "C F G C F Am D"},
      {"|: C |1 F | G :|2 Am |\n| D |", "C F G C Am D"},
      {"|: C |1-2 F :|3 G || D |", "C F C F C G D"},
      {"|: C |1,3 F :|2,4 G :| D |", "C F C G C F C G D"},
      {"|: C |1 F :|2 G :|3 Am | D |", "C F C G C Am D"},
      {"|: C |1 F :|2 G |: D :|", "C F C G D D"},
      {"|: C |1\n| F :|2\n| G |", "C F C G"},
      {"| C |:\n| F :|", "C F F"},
      {"|: |1 C :|2 D | E |", "C D E"},
      {"|: C |\n:| F |", "C C F"},
      {"|: C | % |1 % :|2 F | % |", "C C C C C F F"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    Read read = read_well(*state, rows[i].source);
    assert_string_equal(order_of(play_well(&read), *state), rows[i].order);
    assert_int_equal(read.diags.count, 0);
  }
}

static void a_repeat_in_each_pass_of_a_section(void **state) {
  Read read = read_well(*state, "form: A A\n[A]\n|: C |1 F :|2 G |\n");
  GlnSong *song = play_well(&read);
  assert_string_equal(order_of(song, *state), "C F C G C F C G");
  static const uint32_t numbers[] = {0, 1, 0, 2, 0, 1, 0, 2};
  for (size_t i = 0; i < song->slot_count; i++) {
    assert_int_equal(song->slots[i].written, numbers[i]);
    assert_int_equal(song->slots[i].bar, i + 1);
    assert_int_equal(song->slots[i].section_pass, i / 4);
  }
  assert_int_equal(song->written_count, 3);
  assert_int_equal(song->bar_count, 8);
}

static void structure_of_endings(void **state) {
  Read read = read_well(*state, "|: C | F |1 G :|2 Am || D | E |\n");
  const GlnBar *bars = read.chart->sections[0].bars;
  assert_true(bars[0].repeat_starts);
  assert_false(bars[1].repeat_starts);
  assert_int_equal(bars[1].endings, 0);
  assert_int_equal(bars[2].endings, 2);
  assert_int_equal(bars[2].repeat_plays, 2);
  assert_int_equal(bars[3].endings, 4);
  assert_int_equal(bars[3].repeat_plays, 0);
  assert_true(bars[3].double_after);
  assert_int_equal(bars[4].endings, 0);
  assert_int_equal(bars[5].endings, 0);
}

static void faults_of_repeats(void **state) {
  static const struct {
    const char *source, *told;
  } rows[] = {
      {"| C | F :|", "1:9 error a repeat closes that was not opened\n"},
      {"|: C | F |", "1:1 error a repeat that never closes\n"},
      {"| C |: F |\n[B]\n| G |", "1:5 error a repeat that never closes\n"},
      {"|: C |: F :|", "1:6 error a repeat inside a repeat\n"},
      {"| C |1 F | G |", "1:5 error an ending outside a repeat\n"},
      {"|: C |1 F :| G |", "1:6 error a first ending without a second\n"},
      {"|: C |1 F :|3 G |", "1:6 error an ending is missing between the first and the last\n"},
      {"|: C |2 F :|3 G |", "1:6 error an ending is missing between the first and the last\n"},
      {"|: C |1 F :|1 G |", "1:6 error two endings have the same number\n"},
      {"|: C |0 F :|2 G |", "1:7 error \"0\" numbers no ending\n"},
      {"|: C |1 F |2 G |", "1:6 error this ending does not go back to the start of the repeat\n"},
      {"|: C :|x1", "1:8 error a repeat cannot be played so often\n"},
      {"|: C :|x100", "1:8 error a repeat cannot be played so often\n"},
      {"|: C |1 F :|x3 |2 G |", "1:11 error the numbers of the endings say how often this is played\n"},
      {"|: / / / G | C :|", "1:1 error a repeat cannot start with a pick-up\n"},
      {":| C |", "1:1 error a repeat closes that was not opened\n"},
      {"| C |:", "1:5 error a repeat that never closes\n"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    Read read = read_string(*state, rows[i].source);
    assert_int_equal(read.status, GLN_INPUT);
    assert_string_equal(told(&read), rows[i].told);
    GlnSong *song = NULL;
    GlnDiags diags = gln_diags(*state);
    GlnStatus status = gln_song_play(read.chart, *state, &diags, &song);
    assert_true(status == GLN_OK || (status == GLN_INPUT && diags.error_count > 0));
  }
}

static void the_player_refuses_what_the_reader_did_not_see(void **state) {
  Read read = read_well(*state, "|: C | F :| G |");
  read.chart->sections[0].bars[1].repeat_plays = 0;
  GlnSong *song = NULL;
  GlnDiags diags = gln_diags(*state);
  assert_int_equal(gln_song_play(read.chart, *state, &diags, &song), GLN_INPUT);
  assert_int_equal(diags.error_count, 1);
}

static void too_many_played_bars(void **state) {
  GlnBuffer source = gln_buffer(*state);
  gln_buffer_add_string(&source, "form:");
  for (int i = 0; i < 100; i++)
    gln_buffer_add_string(&source, " A");
  gln_buffer_add_string(&source, "\n[A]\n|: ");
  for (int i = 0; i < 20; i++)
    gln_buffer_add_string(&source, "C | ");
  gln_buffer_add_string(&source, " F :|x50\n");
  Read read = read_text(*state, gln_buffer_text(&source));
  assert_reads(&read);
  GlnSong *song = NULL;
  GlnDiags diags = gln_diags(*state);
  assert_int_equal(gln_song_play(read.chart, *state, &diags, &song), GLN_LIMIT);
  assert_int_equal(diags.count, 1);
  assert_true(gln_text_find(diags.items[0].problem, GLN_TEXT("100000"), 0) < diags.items[0].problem.length);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      TEST(repeats_are_taken),
      TEST(a_repeat_in_each_pass_of_a_section),
      TEST(structure_of_endings),
      TEST(faults_of_repeats),
      TEST(the_player_refuses_what_the_reader_did_not_see),
      TEST(too_many_played_bars),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
