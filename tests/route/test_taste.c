/* Musical properties of whole lines, not their very grips: what a working guitarist would send back. Common practice of
 * jazz accompaniment, no published source; the bounds are those of a player in one position who moves by small steps. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route_internal.h"

#include <stdio.h>
#include <stdlib.h>

#define CHART_BYTES_MAX 8192

static const char *const files[] = {"examples/ferry-at-low-tide.chart", "examples/late-tram-blues.chart",
                                    "examples/lanterns-on-the-canal.chart"};

static const char *const charts[] = {
    "title: ballad in flats\ntempo: 66\nform: A A B A\n"
    "[A]\n| Dbmaj9 / Bbm7 / | Ebm9 / Ab13 / | Fm7 / Bb7b9 / | Ebm7 / Ab7b9 / |\n"
    "| Abm7 / Db7 / | Gbmaj7 / Gbm6 / | Fm7b5 / Bb7b9 / | Ebm9 / Ab7sus4 / |\n"
    "[B]\n| Gbmaj7 | Gbm7 / B13 / | Dbmaj7 / Fm7 / | Bb7#5 |\n| Ebm7 / F7b9 / | Bbm7 / Eb9 / | Ebm7 | Ab7alt "
    "|\n",
    "title: fast swing\ntempo: 208\nform: A A B A\n"
    "[A]\n| Bb6 / G7 / | Cm7 / F7 / | Dm7 / G7 / | Cm7 / F7 / |\n"
    "| Fm7 / Bb7 / | Ebmaj7 / Edim7 / | Bb6/F / G7 / | Cm7 / F7 / |\n"
    "[B]\n| D7 | D9 | G13 | G7 | C9 | C7 | F13 | F7#5 |\n",
    "title: bossa in minor\ntempo: 132\nform: A A B A\n"
    "[A]\n| Cm9 | Cm9 | Fm9 | Fm9 | Dm7b5 | G7b13 | Cm6/9 | Dm7b5 / G7b9 / |\n"
    "[B]\n| Ebm7 | Ab13 | Dbmaj9 | Dbmaj9 | Dm7b5 | G7alt | Cm7 | Dm7b5 / G7#5 / |\n",
    "title: blues of dominants\ntempo: 160\n"
    "[A]\n| F7 | Bb7 | F7 | F7 | Bb7 | Bb9 | F7 | D7 | G7 | C7 | F7 / D7 / | G7 / C7 / |\n",
    "title: waltz\nmeter: 3/4\ntempo: 150\n"
    "[A]\n| Ebmaj7 | Cm7 | Fm9 | Bb7 | Gm7 | C7b9 | Fm7 | Bb13 |\n"
    "| Bbm7 | Eb7 | Abmaj7 | Abm6 | Gm7 | Gbdim7 | Fm7 | Bb7sus4 / Bb7 |\n",
    "title: three chords\ntempo: 100\nform: v v c\n"
    "[v]\n| G | D/F# | Em | C | G | D | Cadd9 | Dsus4 / D / |\n[c]\n| C | G/B | Am | Em | C | D | G | G |\n",
};

static const GlnLine *line_of(GlnText source, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GlnLine *line = NULL;
  GlnLineOptions options = gln_line_defaults();
  assert_int_equal(gln_chart_read(source, arena, &diags, &chart), GLN_OK);
  assert_int_equal(gln_song_play(chart, arena, &diags, &song), GLN_OK);
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  return line;
}

static const GlnLine *line_of_file(const char *path, GlnArena *arena) {
  char *bytes = GLN_NEW(arena, char, CHART_BYTES_MAX);
  FILE *file = fopen(path, "rb");
  assert_non_null(bytes);
  assert_non_null(file);
  size_t length = fread(bytes, 1, CHART_BYTES_MAX, file);
  (void)fclose(file);
  assert_in_range(length, 1, CHART_BYTES_MAX - 1);
  return line_of((GlnText){bytes, length}, arena);
}

typedef struct Seen {
  size_t grips, usual, changes, travel;
} Seen;

static void fault(const GlnLine *line, size_t i, const char *words) {
  char frets[GLN_FRETS_TEXT_MAX];
  (void)gln_frets_print(&line->slots[i].grip.frets, frets);
  GlnText symbol = line->slots[i].slot->event->symbol, title = line->song->chart->title;
  print_error("%.*s, chord %zu, %.*s %s: %s\n", (int)title.length, title.at, i + 1, (int)symbol.length,
              symbol.at, frets, words);
  fail();
}

static void stopped_range(const GlnGrip *grip, int *lowest, int *highest, bool *open) {
  *lowest = GLN_FRETS_MAX;
  *highest = 0;
  *open = false;
  for (int s = 0; s < grip->frets.string_count; ++s) {
    int fret = grip->frets.fret[s];
    *open = *open || fret == 0;
    if (fret > 0) {
      *lowest = fret < *lowest ? fret : *lowest;
      *highest = fret > *highest ? fret : *highest;
    }
  }
}

/* Bass on string 6, 5 or 4, at most one string left out above it, then two to four notes side by side. */
static bool is_usual(const GlnGrip *grip) {
  int first = 0, second = 0, last = 0, sounding = 0;
  for (int s = 0; s < grip->frets.string_count; ++s) {
    if (grip->frets.fret[s] < 0)
      continue;
    ++sounding;
    first = sounding == 1 ? s : first;
    second = sounding == 2 ? s : second;
    last = s;
  }
  return first <= 2 && second - first <= 2 && last - second == sounding - 2 && sounding >= 3 && sounding <= 5;
}

static void check_jazz_grip(const GlnLine *line, size_t i, Seen *seen) {
  const GlnGrip *grip = &line->slots[i].grip;
  int lowest = 0, highest = 0, bass = grip->midi[grip->bass_string];
  bool open = false;
  stopped_range(grip, &lowest, &highest, &open);
  if (open && highest > 5)
    fault(line, i, "an open string rings against frets above the fifth");
  if (highest - lowest > 4)
    fault(line, i, "a stretch of more than four frets");
  if (bass < 40 || bass > 58) /* E2 to B flat 3, string 4 at fret 8 */
    fault(line, i, "the bass is out of its range");
  ++seen->grips;
  seen->usual += is_usual(grip);
}

static void check_changes(const GlnLine *line, Seen *seen) {
  for (size_t i = 1; i < line->slot_count; ++i) {
    if (line->slots[i].silent)
      continue;
    int shift = abs(line->slots[i].move.shift_frets);
    if (shift > 6)
      fault(line, i, "the hand jumps more than six frets");
    ++seen->changes;
    seen->travel += (size_t)shift;
  }
}

static void check_line(const GlnLine *line, bool jazz, Seen *seen) {
  for (size_t i = 0; jazz && i < line->slot_count; ++i)
    if (!line->slots[i].silent)
      check_jazz_grip(line, i, seen);
  check_changes(line, seen);
}

static void test_jazz_lines(void **state) {
  (void)state;
  Seen seen = {0};
  for (size_t i = 0; i < 2 + 5; ++i) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    assert_non_null(arena);
    check_line(i < 2 ? line_of_file(files[i], arena) : line_of(gln_text(charts[i - 2]), arena), true, &seen);
    gln_arena_free(arena);
  }
  print_message("usual sets of strings: %zu of %zu grips; the hand moves %.2f frets a change\n", seen.usual,
                seen.grips, (double)seen.travel / (double)seen.changes);
  assert_true(100 * seen.usual >= 98 * seen.grips);
  assert_true(seen.travel <= 2 * seen.changes);
}

/* Full shapes near the nut: the hand hardly moves. */
static void test_plain_lines(void **state) {
  (void)state;
  Seen seen = {0};
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  check_line(line_of_file(files[2], arena), false, &seen);
  check_line(line_of(gln_text(charts[5]), arena), false, &seen);
  gln_arena_free(arena);
  assert_true(seen.travel <= seen.changes);
}

/* Where a section begins again the hand goes no further than within it: no region of its own for each section. */
static void test_seams(void **state) {
  (void)state;
  for (size_t i = 0; i < 2 + 5; ++i) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    assert_non_null(arena);
    const GlnLine *line = i < 2 ? line_of_file(files[i], arena) : line_of(gln_text(charts[i - 2]), arena);
    for (size_t s = 1; s < line->slot_count; ++s) {
      bool seam = line->slots[s].slot->section != line->slots[s - 1].slot->section ||
                  line->slots[s].slot->section_pass != line->slots[s - 1].slot->section_pass;
      if (seam && abs(line->slots[s].move.shift_frets) > 5)
        fault(line, s, "the hand jumps at the seam of two sections");
    }
    gln_arena_free(arena);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_jazz_lines),
      cmocka_unit_test(test_plain_lines),
      cmocka_unit_test(test_seams),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
