/* Names and keys chosen together, against every combination of choices tried one by one. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../failing_allocator.h"
#include "harmony.h"

#include <stdio.h>
#include <string.h>

#define STEPS_MAX 8

typedef struct Line {
  GlnChord chords[STEPS_MAX][GLN_CHOICES_MAX];
  GlnChoice choices[STEPS_MAX][GLN_CHOICES_MAX];
  GlnOpenStep steps[STEPS_MAX];
  size_t count;
} Line;

static GlnStep bar(size_t index) {
  return (GlnStep){.start = gln_ratio(4 * (int64_t)index, 1),
                   .quarters = gln_ratio(4, 1),
                   .phrase_starts = index == 0,
                   .bar_starts = true};
}

static void add_choice(Line *line, GlnText symbol, double cost) {
  GlnOpenStep *step = &line->steps[line->count];
  size_t at = step->count++;
  assert_int_equal(gln_chord_parse(symbol, &line->chords[line->count][at], NULL), GLN_OK);
  line->choices[line->count][at] = (GlnChoice){&line->chords[line->count][at], cost};
}

/* "C6:0 Am7:0.1 | G7:0": a step's choices with their costs, bars between steps. */
static void read_line(Line *line, const char *text) {
  GlnText rest = gln_text(text);
  *line = (Line){.count = 0};
  while (rest.length > 0) {
    size_t end = gln_text_find(rest, GLN_TEXT(" "), 0);
    GlnText word = gln_text_slice(rest, 0, end);
    rest = gln_text_from(rest, end + 1);
    if (gln_text_equal(word, GLN_TEXT("|"))) {
      line->count++;
      continue;
    }
    size_t colon = gln_text_find(word, GLN_TEXT(":"), 0);
    double cost = 0;
    assert_int_equal(gln_text_number(gln_text_from(word, colon + 1), &cost), GLN_OK);
    add_choice(line, gln_text_slice(word, 0, colon), cost);
  }
  line->count++;
  for (size_t i = 0; i < line->count; i++) {
    line->steps[i].step = bar(i);
    line->steps[i].choices = line->choices[i];
  }
}

static double total_of(const Line *line, const size_t *picked, const GlnKey *key, GlnArena *arena) {
  GlnOpenStep steps[STEPS_MAX];
  GlnChosen chosen[STEPS_MAX];
  double total = 0;
  for (size_t i = 0; i < line->count; i++) {
    steps[i] = line->steps[i];
    steps[i].choices = &line->choices[i][picked[i]];
    steps[i].count = 1;
  }
  GlnArenaMark mark = gln_arena_mark(arena);
  assert_int_equal(gln_harmony_choose(steps, line->count, key, arena, chosen, &total), GLN_OK);
  gln_arena_rewind(arena, mark);
  return total;
}

/* The least total over every combination. */
static double least(const Line *line, const GlnKey *key, GlnArena *arena) {
  size_t picked[STEPS_MAX] = {0};
  double best = 1e9;
  for (;;) {
    double total = total_of(line, picked, key, arena);
    best = total < best ? total : best;
    size_t at = 0;
    while (at < line->count && ++picked[at] == line->steps[at].count)
      picked[at++] = 0;
    if (at == line->count)
      return best;
  }
}

static const char *const lines[] = {
    "C6:0.12 Am7:0.55 | Dm7:0 F6:0.1 | G7:0.05 Dbmaj7:0.3 | C:0 Em7:0.2",
    "Gm7:0.05 Bb6:0.6 | Gb7b5:0.27 C7b5/Gb:0.85 | Fmaj7:0.08 Am/F:0.7",
    "Cdim7:0.14 Ebdim7:0.34 Gbdim7:0.34 Adim7:0.34 | Bb7:0.05 Fm6:0.5 | Eb:0 Cm7:0.4 | Ab6:0.1 Fm7:0.12",
    ("Em7:0 G6:0.1 | A7:0 C#dim:0.3 | Dm7:0 F6:0.2 | G7:0 Bdim:0.2 | Cmaj7:0 Em/C:0.1 | Bm7b5:0 Dm6:0.1 | "
     "E7:0"),
    "C+:0.2 E+:0.2 Ab+:0.2 | F:0 Dm:0.4 | Fm6:0.2 Dm7b5:0.2 Bb9:0.6 | C:0 Am:0.3",
    "Asus4:0.35 Dsus2:0.4 | D:0 Bm:0.3",
    "C:0 Am:0.4",
};

static void exact(void **state) {
  (void)state;
  const GlnKey c = {{0, 0}, false};
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  for (size_t i = 0; i < GLN_COUNT_OF(lines); i++) {
    Line line;
    read_line(&line, lines[i]);
    for (int given = 0; given < 2; given++) {
      const GlnKey *key = given ? &c : NULL;
      GlnChosen chosen[STEPS_MAX];
      size_t picked[STEPS_MAX];
      double total = 0;
      assert_int_equal(gln_harmony_choose(line.steps, line.count, key, arena, chosen, &total), GLN_OK);
      for (size_t s = 0; s < line.count; s++)
        picked[s] = chosen[s].choice;
      double of_chosen = total_of(&line, picked, key, arena), wanted = least(&line, key, arena);
      assert_true(total < wanted + 1e-9 && total > wanted - 1e-9);
      assert_true(of_chosen < total + 1e-9 && of_chosen > total - 1e-9);
    }
  }
  gln_arena_free(arena);
}

static void check_choice(const char *text, size_t step, const char *wanted) {
  Line line;
  GlnChosen chosen[STEPS_MAX];
  char symbol[GLN_SYMBOL_TEXT_MAX];
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  read_line(&line, text);
  assert_int_equal(gln_harmony_choose(line.steps, line.count, NULL, arena, chosen, NULL), GLN_OK);
  (void)gln_chord_print(&line.chords[step][chosen[step].choice], GLN_SIGNS_ASCII, symbol);
  assert_string_equal(symbol, wanted);
  gln_arena_free(arena);
}

/* Names of the same notes at the same cost: what stands around decides. Standard harmony: a diminished seventh on the
 * leading note rises a semitone and the chord it leads to shows which of its four roots it has. */
static void neighbours_decide(void **state) {
  (void)state;
  check_choice("C:0 | Bdim7:0 Ddim7:0 Fdim7:0 Abdim7:0 | C:0", 1, "Bdim7");
  check_choice("C:0 | C#dim7:0 Edim7:0 Gdim7:0 Bbdim7:0 | Dm:0 | G7:0 | C:0", 1, "C#dim7");

  check_choice("C7:0 | F6:0 Dm7:0 | C7:0 | F:0", 1, "F6");
}

static GlnStatus job(GlnArena *arena, void *context) {
  const Line *line = context;
  GlnChosen chosen[STEPS_MAX];
  return gln_harmony_choose(line->steps, line->count, NULL, arena, chosen, NULL);
}

static void no_memory(void **state) {
  (void)state;
  Line line;
  read_line(&line, lines[3]);
  assert_true(failing_allocator_sweep(job, &line, 1000) >= 2);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(exact), cmocka_unit_test(neighbours_decide),
                                     cmocka_unit_test(no_memory)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
