/* ii–V–I in all twelve keys: guide tones stay or move by step, the hand stays near. Common practice of jazz teaching,
 * no published source. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route.h"
#include "song_of.h"

#include <stdlib.h>

static const char *const progressions[] = {
    "Dm7 G7 Cmaj7",    "Ebm7 Ab7 Dbmaj7", "Em7 A7 Dmaj7",    "Fm7 Bb7 Ebmaj7",
    "F#m7 B7 Emaj7",   "Gm7 C7 Fmaj7",    "Abm7 Db7 Gbmaj7", "Am7 D7 Gmaj7",
    "Bbm7 Eb7 Abmaj7", "Bm7 E7 Amaj7",    "Cm7 F7 Bbmaj7",   "C#m7 F#7 Bmaj7",
};

/* Semitones from each sounding 3rd and 7th to the nearest pitch of the next grip. */
static int widest_guide_step(const GlnLineSlot *from, const GlnLineSlot *to) {
  const GlnChord *chord = &from->slot->event->chord;
  int widest = 0;
  for (int s = 0; s < from->grip.frets.string_count; ++s) {
    if (from->grip.frets.fret[s] < 0)
      continue;
    int number = chord->tones[from->grip.tone[s]].degree.number, nearest = 100;
    if (number != 3 && number != 7)
      continue;
    for (int r = 0; r < to->grip.frets.string_count; ++r)
      if (to->grip.frets.fret[r] >= 0 && abs(to->grip.midi[r] - from->grip.midi[s]) < nearest)
        nearest = abs(to->grip.midi[r] - from->grip.midi[s]);
    widest = nearest > widest ? nearest : widest;
  }
  return widest;
}

/* Which change goes far, and what holds the hand away. */
static void tell_shift(const char *progression, const GlnLine *line, size_t i) {
  char from[GLN_FRETS_TEXT_MAX], to[GLN_FRETS_TEXT_MAX];
  (void)gln_frets_print(&line->slots[i].grip.frets, from);
  (void)gln_frets_print(&line->slots[i + 1].grip.frets, to);
  print_message(
      "%s: the hand shifts %d frets from %s to %s: the next root lies no nearer on a string that leaves "
      "room for three notes above it\n",
      progression, line->slots[i + 1].move.shift_frets, from, to);
}

/* Which guide tones leap, and where their note goes instead. */
static void tell_leap(const char *progression, const GlnLine *line, size_t i) {
  char from[GLN_FRETS_TEXT_MAX], to[GLN_FRETS_TEXT_MAX];
  (void)gln_frets_print(&line->slots[i].grip.frets, from);
  (void)gln_frets_print(&line->slots[i + 1].grip.frets, to);
  print_message(
      "%s: from %s to %s a guide tone leaps %d semitones: the easier grips cost less than its leading\n",
      progression, from, to, widest_guide_step(&line->slots[i], &line->slots[i + 1]));
}

static void check_key(const char *progression, GlnAim aim, uint16_t textures, int *near_count) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnDiags diags = gln_diags(arena);
  GlnLineOptions options = gln_line_defaults();
  options.aim = aim;
  options.textures = textures;
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song_of(arena, progression, 4, NULL), &options, arena, &diags, &line),
                   GLN_OK);
  assert_int_equal(line->slot_count, 3);
  bool near = true;
  for (size_t i = 0; i + 1 < line->slot_count; ++i) {
    int step = widest_guide_step(&line->slots[i], &line->slots[i + 1]);
    if (aim == GLN_AIM_SMOOTH) {
      if (step > 2)
        print_error("%s: a guide tone leaves by %d semitones\n", progression, step);
      assert_true(step <= 2);
    }
    if (abs(line->slots[i + 1].move.shift_frets) <= 2)
      continue;
    near = false;
    tell_shift(progression, line, i);
  }
  *near_count += near;
  gln_arena_free(arena);
}

static void test_guide_tones(void **state) {
  (void)state;
  int near = 0;
  for (size_t i = 0; i < GLN_COUNT_OF(progressions); ++i)
    check_key(progressions[i], GLN_AIM_SMOOTH, 0, &near);
  assert_int_equal(near, GLN_COUNT_OF(progressions));
}

static void test_easy_stays_near(void **state) {
  (void)state;
  int near = 0;
  for (size_t i = 0; i < GLN_COUNT_OF(progressions); ++i)
    check_key(progressions[i], GLN_AIM_EASY, 0, &near);
  assert_int_equal(near, GLN_COUNT_OF(progressions));
}

/* Four-note grips: thumb and three fingers of the right hand. Guide tones go by step in all twelve keys; where the hand
 * goes further than two frets, the key is named, with why. */
static void test_four_notes(void **state) {
  (void)state;
  int near = 0, led = 0;
  for (size_t i = 0; i < GLN_COUNT_OF(progressions); ++i) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    assert_non_null(arena);
    GlnDiags diags = gln_diags(arena);
    GlnLineOptions options = gln_line_defaults();
    options.textures = 1U << GLN_TEXTURE_FOUR_NOTE;
    GlnLine *line = NULL;
    assert_int_equal(gln_line_solve(song_of(arena, progressions[i], 4, NULL), &options, arena, &diags, &line),
                     GLN_OK);
    bool stays = true, leads = true;
    for (size_t k = 0; k + 1 < line->slot_count; ++k) {
      if (widest_guide_step(&line->slots[k], &line->slots[k + 1]) > 2) {
        leads = false;
        tell_leap(progressions[i], line, k);
      }
      if (abs(line->slots[k + 1].move.shift_frets) > 2) {
        stays = false;
        tell_shift(progressions[i], line, k);
      }
    }
    near += stays;
    led += leads;
    gln_arena_free(arena);
  }
  print_message(
      "four-note texture: the hand stays within two frets in %d keys of 12, guide tones go by step in %d\n",
      near, led);
  assert_true(near >= 10);
  assert_int_equal(led, GLN_COUNT_OF(progressions));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_guide_tones),
      cmocka_unit_test(test_easy_stays_near),
      cmocka_unit_test(test_four_notes),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
