/* The line on whole songs: ties, pins, top notes, silence, both aims, faults, and exhaustive search. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "route_internal.h"
#include "song_of.h"

#include <math.h>
#include <stdlib.h>

static GlnArena *arena;
static GlnDiags diags;

static int set_up(void **state) {
  (void)state;
  arena = gln_arena_new(NULL, 0);
  diags = gln_diags(arena);
  return arena == NULL;
}

static int tear_down(void **state) {
  (void)state;
  gln_arena_free(arena);
  return 0;
}

static GlnLine *solve(const GlnSong *song, const GlnLineOptions *options) {
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song, options, arena, &diags, &line), GLN_OK);
  assert_non_null(line);
  return line;
}

static const char *frets_of(const GlnLineSlot *slot) {
  static char text[GLN_FRETS_TEXT_MAX];
  (void)gln_frets_print(&slot->grip.frets, text);
  return text;
}

/* A A B A: A is chords 0..2, B is 3..4. */
static const size_t aaba[][2] = {{0, 3}, {0, 3}, {3, 2}, {0, 3}, {0, 0}};

static void test_returns_alike(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  const GlnSong *song = song_of(arena, "Dm7 G7 Cmaj7 Em7 A7", 2, aaba);
  GlnLine *tied = solve(song, &options);
  for (size_t i = 0; i < tied->slot_count; ++i)
    for (size_t j = 0; j < i; ++j)
      if (song->slots[i].written == song->slots[j].written)
        assert_true(gln_frets_equal(&tied->slots[i].grip.frets, &tied->slots[j].grip.frets));
  assert_int_equal(tied->distinct_count, 5);
  options.vary = true;
  GlnLine *varied = solve(song, &options);
  for (size_t i = 0; i < varied->slot_count; ++i)
    for (size_t j = 0; j < i; ++j)
      if (song->slots[i].written == song->slots[j].written)
        assert_false(gln_frets_equal(&varied->slots[i].grip.frets, &varied->slots[j].grip.frets));
  /* The first time round is played as before. */
  for (size_t i = 0; i < 3; ++i)
    assert_true(gln_frets_equal(&varied->slots[i].grip.frets, &tied->slots[i].grip.frets));
}

static void test_costs_add_up(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  GlnLine *line = solve(song_of(arena, "Dm7 G7 N.C. Cmaj7 A7b9", 2, aaba), &options);
  double total = 0;
  for (size_t i = 0; i < line->slot_count; ++i)
    for (int c = 0; c < GLN_COST_COUNT; ++c)
      total += line->slots[i].cost[c];
  assert_true(fabs(total - line->total) < 1e-9);
  assert_true(line->slots[2].silent);
  /* Across silence the hand still moves, but no voice leads. */
  assert_true(line->slots[3].cost[GLN_COST_LEAD] <= 0);
  assert_true(line->slots[1].cost[GLN_COST_LEAD] > 0);
}

static void test_pin_is_kept(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  GlnLine *line =
      solve(song_of(arena, "Dm7 G7@3x343x Cmaj7@x-15-14-12-12-x Fmaj9@x8798x", 2, NULL), &options);
  assert_string_equal(frets_of(&line->slots[1]), "3x343x");
  assert_string_equal(frets_of(&line->slots[2]), "x-15-14-12-12-x");
  assert_string_equal(frets_of(&line->slots[3]), "x8798x");
}

static void test_top_note(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  GlnLine *line = solve(song_of(arena, "Am7^E4 D7^C Gmaj7", 2, NULL), &options);
  assert_int_equal(line->slots[0].grip.midi[line->slots[0].grip.top_string], 64);
  assert_int_equal(line->slots[1].grip.midi[line->slots[1].grip.top_string] % 12, 0);
}

static void test_faults_all_at_once(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  const GlnSong *song = song_of(arena, "Dm7@x32010 G7@3x3 Am7^C#4 Cmaj7@x3x9xx Fmaj7@q", 2, NULL);
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_INPUT);
  assert_null(line);
  assert_int_equal(diags.error_count, 5);
  for (size_t i = 0; i < diags.count; ++i) {
    const GlnDiag *diag = &diags.items[i];
    assert_true(diag->has_place);
    assert_true(diag->problem.length > 10);
    assert_true(diag->advice.length > 0);
    const GlnEvent *event = song->slots[i].event;
    assert_true(diag->offset >= event->offset && diag->offset < event->offset + event->length);
    assert_true(diag->offset + diag->length <= event->offset + event->length);
  }
}

static void test_region_without_grips(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  options.fret_low = 5;
  options.fret_high = 5;
  options.open_wish = GLN_OPEN_NEVER;
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song_of(arena, "C7b9", 2, NULL), &options, arena, &diags, &line),
                   GLN_INPUT);
  assert_int_equal(diags.error_count, 1);
  GlnText problem = diags.items[0].problem;
  assert_true(gln_text_find(problem, GLN_TEXT("C7b9"), 0) < problem.length);
  assert_true(gln_text_find(problem, GLN_TEXT("region"), 0) < problem.length);
}

static void test_bad_weight(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  options.weight[GLN_COST_LEAD] = -1;
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song_of(arena, "C", 2, NULL), &options, arena, &diags, &line), GLN_USAGE);
}

static void test_empty_and_silent(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  GlnLine *line = solve(song_of(arena, "N.C. N.C.", 2, NULL), &options);
  assert_int_equal(line->distinct_count, 0);
  assert_int_equal(line->hardest, line->slot_count);
  line = solve(song_of(arena, "C", 2, NULL), &options);
  assert_int_equal(line->distinct_count, 1);
  assert_true(isinf(line->highest_tempo));
}

static double greatest_load(const GlnLine *line) {
  double greatest = 0;
  for (size_t i = 0; i < line->slot_count; ++i)
    greatest = line->slots[i].load > greatest ? line->slots[i].load : greatest;
  return greatest;
}

static void test_easy_is_easier(void **state) {
  (void)state;
  static const char *const songs[] = {"Dm7 G7 Cmaj7 Em7 A7", "Fmaj9 Eb13 Dm9 C7b9 Gb7b5", "C G Am F Dm",
                                      "Bm7b5 E7b9 Am6 F7 Bb13"};
  for (size_t i = 0; i < GLN_COUNT_OF(songs); ++i) {
    const GlnSong *song = song_of(arena, songs[i], 2, aaba);
    GlnLineOptions options = gln_line_defaults();
    GlnLine *smooth = solve(song, &options);
    options.aim = GLN_AIM_EASY;
    GlnLine *easy = solve(song, &options);
    assert_true(greatest_load(easy) <= greatest_load(smooth) + 1e-12);
    assert_true(easy->total >= smooth->total - 1e-9);
    assert_true(fabs(easy->highest_tempo * greatest_load(easy) - easy->tempo) < 1e-6);
  }
}

static void test_same_answer_every_time(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  const GlnSong *song = song_of(arena, "Fmaj9 Eb13 Dm9 C7b9 Gb7b5", 2, aaba);
  GlnLine *a = solve(song, &options), *b = solve(song, &options);
  for (size_t i = 0; i < a->slot_count; ++i)
    assert_true(gln_frets_equal(&a->slots[i].grip.frets, &b->slots[i].grip.frets));
  assert_true(fabs(a->total - b->total) <= 0);
  assert_int_equal(a->pairs_costed, b->pairs_costed);
}

/* ---- against exhaustive search ------------------------------------------------------------------------------ */

#define CHORDS 5
typedef struct Exhaustive {
  const GlnSong *song;
  const GlnLineOptions *options;
  GlnCosting costing;
  GlnGripList lists[CHORDS];
  GlnFeature *features[CHORDS];
  double *unary[CHORDS];
  size_t taken[CHORDS];
} Exhaustive;

/* Total and greatest load of what is taken, summed slot by slot from the cost functions alone. */
static double total_of(const Exhaustive *all, double *load) {
  double total = 0;
  *load = 0;
  for (size_t i = 0; i < all->song->slot_count; ++i) {
    uint32_t w = all->song->slots[i].written;
    total += all->unary[w][all->taken[w]];
    if (i == 0)
      continue;
    uint32_t v = all->song->slots[i - 1].written;
    GlnChangeCost change =
        gln_change_cost(&all->costing, &all->features[v][all->taken[v]], &all->features[w][all->taken[w]]);
    double available = GLN_CHANGE_SHARE * 2 * 60 / all->song->chart->tempo;
    total += (double)change.voice +
             all->options->weight[GLN_COST_MOVE] * gln_haste(available) * (double)change.seconds;
    *load = fmax(*load, (double)change.seconds / available);
  }
  return total;
}

static bool next_taken(Exhaustive *all) {
  for (size_t w = 0; w < CHORDS; ++w) {
    if (++all->taken[w] < all->lists[w].count)
      return true;
    all->taken[w] = 0;
  }
  return false;
}

static void fill_exhaustive(Exhaustive *all) {
  for (size_t i = 0; i < all->song->slot_count; ++i) {
    uint32_t w = all->song->slots[i].written;
    const GlnEvent *event = all->song->slots[i].event;
    if (all->features[w] == NULL) {
      GlnCandidates found;
      assert_int_equal(
          gln_candidates_find(event, gln_slot_wish(all->options, 0), all->options, arena, &diags, &found),
          GLN_OK);
      all->lists[w] = found.list;
      all->features[w] = GLN_NEW(arena, GlnFeature, all->lists[w].count);
      all->unary[w] = GLN_NEW(arena, double, all->lists[w].count);
      for (size_t g = 0; g < all->lists[w].count; ++g) {
        const GlnGrip *grip = &all->lists[w].grips[g];
        gln_feature_make(&all->options->instrument, &event->chord, grip, &all->features[w][g]);
        all->unary[w][g] = all->options->weight[GLN_COST_HOLD] * (double)grip->fingering.difficulty +
                           all->options->weight[GLN_COST_SOUND] *
                               gln_sound_cost(&all->options->instrument, &event->chord, grip, false);
      }
    }
  }
}

/* A small region leaves so few grips that every way through can be tried. */
static void check_exhaustively(const char *chords, int8_t low, int8_t high, GlnAim aim) {
  GlnLineOptions options = gln_line_defaults();
  options.fret_low = low;
  options.fret_high = high;
  options.open_wish = GLN_OPEN_NEVER;
  options.textures = 1U << GLN_TEXTURE_FOUR_NOTE;
  options.aim = aim;
  Exhaustive all = {.song = song_of(arena, chords, 2, aaba), .options = &options};
  all.costing = gln_costing(options.weight, false);
  fill_exhaustive(&all);
  double best = INFINITY, least_load = INFINITY, ways = 1;
  for (size_t w = 0; w < CHORDS; ++w)
    ways *= (double)all.lists[w].count;
  assert_true(ways >= 8 && ways < 3e6);
  do {
    double load = 0, total = total_of(&all, &load);
    bool better = total < best;
    if (aim == GLN_AIM_EASY)
      better = load < least_load || (load <= least_load && total < best);
    if (better) {
      best = total;
      least_load = load;
    }
  } while (next_taken(&all));
  GlnLine *line = solve(all.song, &options);
  if (fabs(line->total - best) > 1e-6)
    print_error("%s: %g instead of %g\n", chords, line->total, best);
  assert_true(fabs(line->total - best) <= 1e-6);
  if (aim == GLN_AIM_EASY)
    assert_true(fabs(greatest_load(line) - least_load) <= 1e-9);
}

static void test_every_way_through(void **state) {
  (void)state;
  for (GlnAim aim = GLN_AIM_SMOOTH; aim <= GLN_AIM_EASY; ++aim) {
    check_exhaustively("Dm7 G7 Cmaj7 Em7 A7", 1, 5, aim);
    check_exhaustively("Gm7 C7 Fmaj7 Am7 D7", 3, 7, aim);
    check_exhaustively("Bbmaj7 G7 Cm7 F7 Dm7b5", 5, 10, aim);
    check_exhaustively("Am7 D9 Gmaj7 C#m7b5 F#7", 2, 7, aim);
  }
}

/* ---- floors -------------------------------------------------------------------------------------------------- */

/* A floor above a cost would lose optima: every pair of grips of some chords is looked at. */
static void test_floors_lie_below(void **state) {
  (void)state;
  static const char *const chords[] = {"Dm7", "G13", "C", "E7#9", "Bm7b5"};
  GlnLineOptions options = gln_line_defaults();
  GlnCosting costing = gln_costing(options.weight, false);
  GlnFeature *features[GLN_COUNT_OF(chords)];
  size_t counts[GLN_COUNT_OF(chords)], looked_at = 0;
  for (size_t c = 0; c < GLN_COUNT_OF(chords); ++c) {
    const GlnEvent *event = song_of(arena, chords[c], 4, NULL)->slots[0].event;
    GlnCandidates found;
    assert_int_equal(gln_candidates_find(event, gln_slot_wish(&options, 0), &options, arena, &diags, &found),
                     GLN_OK);
    const GlnGripList list = found.list;
    counts[c] = list.count;
    features[c] = GLN_NEW(arena, GlnFeature, list.count);
    for (size_t g = 0; g < list.count; ++g)
      gln_feature_make(&options.instrument, &event->chord, &list.grips[g], &features[c][g]);
  }
  for (size_t c = 0; c < GLN_COUNT_OF(chords); ++c) {
    GlnColumns columns;
    assert_int_equal(gln_columns_make(counts[c], arena, &columns), GLN_OK);
    for (size_t g = 0; g < counts[c]; ++g)
      gln_columns_set(&columns, g, &features[c][g]);
    for (size_t d = 0; d < GLN_COUNT_OF(chords); ++d)
      for (size_t one = 0; one < counts[d]; one += 3)
        for (size_t at = 0; at < counts[c]; at += GLN_BLOCK)
          for (int to = 0; to <= 1; ++to) {
            float voice[GLN_BLOCK], seconds[GLN_BLOCK];
            gln_floor_block(&costing, &columns, at, &features[d][one], to == 1, voice, seconds);
            for (size_t k = 0; k < GLN_BLOCK && at + k < counts[c]; ++k) {
              const GlnFeature *many = &features[c][at + k], *single = &features[d][one];
              GlnChangeCost cost = gln_change_cost(&costing, to ? many : single, to ? single : many);
              assert_true(voice[k] <= cost.voice && seconds[k] <= cost.seconds);
              ++looked_at;
            }
          }
  }
  assert_true(looked_at > 100000);
}

/* ---- running out of memory ----------------------------------------------------------------------------------- */

static void test_out_of_memory(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  const GlnSong *song = song_of(arena, "Dm7 G7 Cmaj7 Em7 A7@x0202x", 2, aaba);
  GlnStatus status = GLN_MEMORY;
  for (size_t limit = 1024; status == GLN_MEMORY; limit += limit / 4) {
    GlnArena *small = gln_arena_new(NULL, limit);
    GlnLine *line = NULL;
    if (small == NULL)
      continue;
    GlnDiags faults = gln_diags(small);
    status = gln_line_solve(song, &options, small, &faults, &line);
    assert_true(status == GLN_OK || status == GLN_MEMORY);
    gln_arena_free(small);
    assert_true(limit < (size_t)1 << 30);
  }
}

#define LINE_TEST(function) cmocka_unit_test_setup_teardown(function, set_up, tear_down)

int main(void) {
  const struct CMUnitTest tests[] = {
      LINE_TEST(test_returns_alike),      LINE_TEST(test_costs_add_up),
      LINE_TEST(test_pin_is_kept),        LINE_TEST(test_top_note),
      LINE_TEST(test_faults_all_at_once), LINE_TEST(test_region_without_grips),
      LINE_TEST(test_bad_weight),         LINE_TEST(test_empty_and_silent),
      LINE_TEST(test_easy_is_easier),     LINE_TEST(test_same_answer_every_time),
      LINE_TEST(test_every_way_through),  LINE_TEST(test_floors_lie_below),
      LINE_TEST(test_out_of_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
