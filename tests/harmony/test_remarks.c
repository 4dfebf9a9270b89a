/* Remarks over several chords, in all twelve keys. Common practice, no published source. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "harmony/steps.h"

typedef struct Expected {
  const char *chords;
  GlnRemarkKind kind;
  const char *name;
  size_t first, last;
} Expected;

static const Expected expected[] = {
    {"C Dm7 G7 Cmaj7", GLN_REMARK_CADENCE, "ii–V–I", 1, 3},
    {"Cm Dm7b5 G7 Cm6", GLN_REMARK_CADENCE, "ii–V–i", 1, 3},
    {"C Dm7 Db7 Cmaj7", GLN_REMARK_CADENCE, "ii–♭II7–I", 1, 3},
    {"C Fm7 Bb7 Cmaj7", GLN_REMARK_CADENCE, "iv–♭VII7–I", 1, 3},
    {"C F G7 Am F C", GLN_REMARK_CADENCE, "V–vi", 2, 3},
    /* Turnarounds: standard jazz texts (values from memory). */
    {"C Am7 Dm7 G7 C", GLN_REMARK_TURNAROUND, "I–vi–ii–V", 0, 3},
    {"C A7 D7 G7 C", GLN_REMARK_TURNAROUND, "I–VI7–II7–V7", 0, 3},
    {"C Em7 A7 Dm7 G7 C", GLN_REMARK_TURNAROUND, "iii–VI–ii–V", 1, 4},
    {"C C#dim7 Dm7 G7 C", GLN_REMARK_TURNAROUND, "I–♯I°–ii–V", 0, 3},
    {"C Eb7 Abmaj7 Db7 C G7 C", GLN_REMARK_TURNAROUND, "I–♭III–♭VI–♭II", 0, 3},
    {"C7 F7 C7 C7 F7 F7 C7 C7 G7 F7 C7 G7", GLN_REMARK_BLUES, "", 0, 11},
    {"Cmaj7 Dm7 G7 Cmaj7 Cm7 F7 Bbmaj7 Bbmaj7 Dm7 G7 Cmaj7 Cmaj7", GLN_REMARK_VISIT, "", 4, 7},
    {"Cm7 Fm7 Bb7 Ebmaj7 Abmaj7 Dm7b5 G7 Cm7", GLN_REMARK_VISIT, "", 1, 3},
    {"C F C G7", GLN_REMARK_HALF_CLOSE, "", 3, 3},
    {"C F G7 C C F G7 C", GLN_REMARK_CADENCE, "V–I", 2, 4},
    {"C F Dm F C G7 C F C", GLN_REMARK_CADENCE, "IV–I", 7, 8},
    {"Cm Fm G7 Ab Fm G7 Cm", GLN_REMARK_CADENCE, "V–♭VI", 2, 3},
    {"Cm Cm(maj7) Cm7 Cm6 Dm7b5 G7 Cm", GLN_REMARK_LINE_CLICHE, "", 0, 3},
    {"C G/B Gm/Bb A7 Dm7 G7 C", GLN_REMARK_CHROMATIC_BASS, "", 0, 3},
    {"C F/C G/C C G7 C", GLN_REMARK_PEDAL, "", 0, 3},
    {"Cmaj7 Fmaj7 Bm7b5 E7 Am7 D7 G7 Cmaj7", GLN_REMARK_GUIDE_TONES, "", 0, 7},
};

static bool found(const GlnRemarks *remarks, const Expected *wanted) {
  for (size_t i = 0; i < remarks->count; i++)
    if (remarks->items[i].kind == wanted->kind &&
        gln_text_equal(remarks->items[i].name, gln_text(wanted->name)) &&
        remarks->items[i].first == wanted->first && remarks->items[i].last == wanted->last)
      return true;
  return false;
}

static void each_is_remarked_in_all_keys(void **state) {
  (void)state;
  for (size_t e = 0; e < GLN_COUNT_OF(expected); e++)
    for (int tonic = 0; tonic < 12; tonic++) {
      GlnArena *arena = gln_arena_new(NULL, 0);
      GlnChord store[STEPS_MAX];
      GlnStep steps[STEPS_MAX];
      size_t count = read_steps(expected[e].chords, roots[tonic], store, steps);
      GlnAnalysis *analysis = NULL;
      GlnRemarks remarks;
      assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
      assert_int_equal(gln_harmony_remark(steps, count, analysis, arena, &remarks), GLN_OK);
      if (!found(&remarks, &expected[e]))
        fail_msg("%s in key %d: no such remark among %zu", expected[e].chords, tonic, remarks.count);
      gln_arena_free(arena);
    }
}

static void a_visit_to_the_dominant_is_a_long_five(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count =
      read_steps("Cmaj7 Am7 Dm7 G7 Cmaj7 Cmaj7 Am7 D7 Gmaj7 Em7 Am7 D7 Gmaj7 Gmaj7 Dm7 G7 Cmaj7 Am7 Dm7 G7 "
                 "Cmaj7 Cmaj7",
                 roots[0], store, steps);
  GlnAnalysis *analysis = NULL;
  GlnRemarks remarks;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(analysis->region_count, 3);
  assert_int_equal(gln_note_pitch_class(analysis->regions[1].key.tonic), 7);
  assert_int_equal(gln_harmony_remark(steps, count, analysis, arena, &remarks), GLN_OK);
  bool said = false;
  for (size_t i = 0; i < remarks.count; i++)
    said = said ||
           (remarks.items[i].kind == GLN_REMARK_KEY_CHANGE &&
            gln_text_find(remarks.items[i].text, GLN_TEXT("one long V"), 0) < remarks.items[i].text.length);
  assert_true(said);
  gln_arena_free(arena);
}

static void two_choruses_are_two_blues(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps("G7 C7 F7 C7 C7 F7 F7 C7 C7 G7 F7 C7 G7 C7 F7 C7 C7 F7 F7 C7 C7 G7 F7 C7 C7",
                            roots[0], store, steps);
  steps[0].bar_starts = false; /* a pick-up */
  GlnAnalysis *analysis = NULL;
  GlnRemarks remarks;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(gln_harmony_remark(steps, count, analysis, arena, &remarks), GLN_OK);
  size_t firsts[4], blues = 0;
  for (size_t i = 0; i < remarks.count && blues < 4; i++)
    if (remarks.items[i].kind == GLN_REMARK_BLUES)
      firsts[blues++] = remarks.items[i].first;
  assert_int_equal(blues, 2);
  assert_int_equal(firsts[0], 1);
  assert_int_equal(firsts[1], 13);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(each_is_remarked_in_all_keys),
      cmocka_unit_test(two_choruses_are_two_blues),
      cmocka_unit_test(a_visit_to_the_dominant_is_a_long_five),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
