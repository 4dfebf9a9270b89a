/* The line, measured: a pair cost, the path against a bare min-plus kernel over the same matrices, growth with bars,
 * and whole songs with thousands of candidates. */
#include "route_internal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* Of the processor, so that other programs do not count. */
static double now_s(void) {
  struct timespec t;
  (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int by_size(const void *a, const void *b) {
  const double *x = a, *y = b;
  return *x < *y ? -1 : *x > *y;
}

#define RUNS 7
static double median(double *seconds) {
  qsort(seconds, RUNS, sizeof *seconds, by_size);
  return seconds[RUNS / 2];
}

static GlnChord chord_of(const char *symbol) {
  GlnChord chord;
  GlnSymbolFault fault;
  if (gln_chord_parse(gln_text(symbol), &chord, &fault) != GLN_OK)
    exit(1);
  return chord;
}

static void *need(void *memory) {
  if (memory == NULL)
    exit(1);
  return memory;
}

/* ---- one pair ------------------------------------------------------------------------------------------------- */

static GlnFeature *features_of(const char *symbol, GlnArena *arena, size_t *count) {
  GlnLineOptions options = gln_line_defaults();
  GlnChord chord = chord_of(symbol);
  GlnGripQuery query = gln_grip_query_defaults(&chord, &options.instrument, &options.hand);
  GlnGripList list;
  if (gln_grip_search(&query, arena, &list) != GLN_OK)
    exit(1);
  GlnFeature *features = need(GLN_NEW(arena, GlnFeature, list.count));
  for (size_t g = 0; g < list.count; ++g)
    gln_feature_make(&options.instrument, &chord, &list.grips[g], &features[g]);
  *count = list.count;
  return features;
}

static void measure_pairs(GlnArena *arena) {
  GlnLineOptions options = gln_line_defaults();
  GlnCosting costing = gln_costing(options.weight, false);
  size_t from_count = 0, to_count = 0;
  GlnFeature *from = features_of("Dm9", arena, &from_count), *to = features_of("G13", arena, &to_count);
  double seconds[RUNS], sum = 0;
  for (int run = 0; run < RUNS; ++run) {
    double start = now_s();
    for (size_t a = 0; a < from_count; ++a)
      for (size_t b = 0; b < to_count; ++b) {
        GlnChangeCost cost = gln_change_cost(&costing, &from[a], &to[b]);
        sum += (double)(cost.voice + cost.seconds);
      }
    seconds[run] = now_s() - start;
  }
  double each = median(seconds) / (double)(from_count * to_count);
  (void)printf("pair cost              %.1f ns  (%zu x %zu grips, check %.3f)\n", 1e9 * each, from_count,
               to_count, sum / RUNS);
}

/* ---- path and kernel ------------------------------------------------------------------------------------------ */

#define LABELS 100
typedef struct Chain {
  GlnTrellis trellis;
  double *matrices, *unary;
} Chain;

static Chain chain_of(size_t slots, GlnArena *arena) {
  Chain chain = {0};
  uint32_t seed = 1;
  chain.matrices = need(GLN_NEW(arena, double, slots *LABELS *LABELS));
  chain.unary = need(GLN_NEW(arena, double, slots *LABELS));
  for (size_t i = 0; i < slots * LABELS * LABELS; ++i)
    chain.matrices[i] = (double)((seed = seed * 1664525U + 1013904223U) >> 8) / (1 << 24);
  for (size_t i = 0; i < slots * LABELS; ++i)
    chain.unary[i] = (double)((seed = seed * 1664525U + 1013904223U) >> 8) / (1 << 24);
  GlnVariable *variables = need(GLN_NEW(arena, GlnVariable, slots));
  GlnEdge *edges = need(GLN_NEW(arena, GlnEdge, slots));
  for (size_t v = 0; v < slots; ++v) {
    variables[v] = (GlnVariable){chain.unary + v * LABELS, LABELS};
    edges[v] = (GlnEdge){
        .low = (uint32_t)v, .high = (uint32_t)v + 1, .matrix = chain.matrices + v * LABELS * LABELS};
  }
  chain.trellis = (GlnTrellis){.variables = variables,
                               .variable_count = slots,
                               .edges = edges,
                               .edge_count = slots - 1,
                               .load_limit = (double)INFINITY};
  return chain;
}

/* Nothing but the recurrence: no path is kept. */
static double bare_kernel(const Chain *chain, size_t slots) {
  double now[LABELS], next[LABELS];
  memcpy(now, chain->unary, sizeof now);
  for (size_t v = 1; v < slots; ++v) {
    const double *matrix = chain->matrices + (v - 1) * LABELS * LABELS;
    for (int j = 0; j < LABELS; ++j)
      next[j] = (double)INFINITY;
    for (int i = 0; i < LABELS; ++i) {
      const double *row = matrix + i * LABELS;
      for (int j = 0; j < LABELS; ++j) {
        double value = now[i] + row[j];
        next[j] = value < next[j] ? value : next[j];
      }
    }
    for (int j = 0; j < LABELS; ++j)
      now[j] = next[j] + chain->unary[v * LABELS + (size_t)j];
  }
  double best = now[0];
  for (int j = 1; j < LABELS; ++j)
    best = now[j] < best ? now[j] : best;
  return best;
}

static void measure_path(size_t slots) {
  GlnArena *arena = need(gln_arena_new(NULL, 0));
  Chain chain = chain_of(slots, arena);
  uint32_t *labels = need(GLN_NEW(arena, uint32_t, slots));
  double path[RUNS], kernel[RUNS], total = 0, best = 0;
  for (int run = 0; run < RUNS; ++run) {
    double start = now_s();
    best = bare_kernel(&chain, slots);
    kernel[run] = now_s() - start;
    GlnArenaMark mark = gln_arena_mark(arena);
    start = now_s();
    if (gln_trellis_solve(&chain.trellis, arena, labels, &total) != GLN_OK)
      exit(1);
    path[run] = now_s() - start;
    gln_arena_rewind(arena, mark);
  }
  double path_s = median(path), kernel_s = median(kernel);
  (void)printf("path, %4zu x %d        %.3f ms, kernel %.3f ms, ratio %.2f%s\n", slots, LABELS, 1e3 * path_s,
               1e3 * kernel_s, path_s / kernel_s, fabs(total - best) < 1e-9 ? "" : "  WRONG");
  gln_arena_free(arena);
}

/* ---- whole songs ---------------------------------------------------------------------------------------------- */

static const char *const cycle[] = {"Cmaj9", "A7b9", "Dm9",   "G13",  "Em7", "A13", "Dm7",   "G7b9",
                                    "Gm9",   "C13",  "Fmaj9", "Bb13", "Em7", "A7",  "Dm7b5", "G7"};

/* So many bars of one chord; chords differ as far as the cycle and its transpositions go. tied: A A B A. */
static GlnSong *song_of(size_t bars, bool tied, GlnArena *arena) {
  GlnSong *song = need(GLN_NEW(arena, GlnSong, 1));
  GlnChart *chart = need(GLN_NEW(arena, GlnChart, 1));
  GlnEvent *events = need(GLN_NEW(arena, GlnEvent, bars));
  song->slots = need(GLN_NEW(arena, GlnSlot, bars));
  size_t section = bars / 4;
  GlnNote c = {0, 0}, d = {1, 0};
  for (size_t i = 0; i < bars; ++i) {
    GlnChord chord = chord_of(cycle[i % GLN_COUNT_OF(cycle)]);
    events[i].chord = i / GLN_COUNT_OF(cycle) % 2 == 0 ? chord : gln_chord_transpose(&chord, c, d);
    events[i].symbol = gln_text(cycle[i % GLN_COUNT_OF(cycle)]);
    size_t written = i;
    if (tied)
      written = i / section == 2 ? section + i % section : i % section;
    song->slots[i].event = &events[written];
    song->slots[i].written = (uint32_t)written;
    song->slots[i].start = gln_ratio((int64_t)(4 * i), 1);
    song->slots[i].quarters = gln_ratio(4, 1);
  }
  chart->tempo = 126;
  song->chart = chart;
  song->slot_count = bars;
  song->written_count = tied ? 2 * section : bars;
  return song;
}

static void measure_song(size_t bars, bool tied, GlnAim aim) {
  GlnArena *arena = need(gln_arena_new(NULL, 0));
  GlnSong *song = song_of(bars, tied, arena);
  GlnLineOptions options = gln_line_defaults();
  options.aim = aim;
  GlnDiags diags = gln_diags(arena);
  double seconds[RUNS];
  GlnLine *line = NULL;
  for (int run = 0; run < RUNS; ++run) {
    GlnArenaMark mark = gln_arena_mark(arena);
    double start = now_s();
    if (gln_line_solve(song, &options, arena, &diags, &line) != GLN_OK)
      exit(1);
    seconds[run] = now_s() - start;
    if (run + 1 < RUNS)
      gln_arena_rewind(arena, mark);
  }
  double all = median(seconds);
  (void)printf("%s %s, %4zu bars    %.1f ms, %.3f ms a bar, %zu grips, %zu changes costed\n",
               tied ? "A A B A" : "through", aim == GLN_AIM_EASY ? "easy  " : "smooth", bars, 1e3 * all,
               1e3 * all / (double)bars, line->candidates, line->pairs_costed);
  gln_arena_free(arena);
}

/* ---- growth, and the bounds --------------------------------------------------------------------------------------- */

/* So many bars of the fifteen chords of the cycle, each written where it stands: what is asked of every song. */
static void measure_growth(size_t bars, GlnBassWish bass, uint16_t textures, const char *name) {
  GlnArena *arena = need(gln_arena_new(NULL, 0));
  GlnSong *song = song_of(bars, false, arena);
  for (size_t i = 0; i < bars; ++i)
    song->slots[i].event = song->slots[i % GLN_COUNT_OF(cycle)].event;
  GlnLineOptions options = gln_line_defaults();
  options.bass_wish = bass;
  options.textures = textures;
  GlnDiags diags = gln_diags(arena);
  GlnLine *line = NULL;
  clock_t start = clock();
  if (gln_line_solve(song, &options, arena, &diags, &line) != GLN_OK)
    exit(1);
  double seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
  double grips = (double)line->candidates / 15, pairs = 16 * grips * grips; /* changes of the cycle, about */
  (void)printf(
      "%s, %4zu bars  %.0f ms of processor, %.3f ms a bar, %zu grips, %zu changes costed of about %.0f: "
      "%.1f %% spared\n",
      name, bars, 1e3 * seconds, 1e3 * seconds / (double)bars, line->candidates, line->pairs_costed, pairs,
      100 * (1 - (double)line->pairs_costed / pairs));
  gln_arena_free(arena);
}

int main(void) {
  GlnArena *arena = need(gln_arena_new(NULL, 0));
  measure_pairs(arena);
  gln_arena_free(arena);
  for (size_t slots = 64; slots <= 1024; slots *= 2)
    measure_path(slots);
  for (size_t bars = 32; bars <= 512; bars *= 2)
    measure_song(bars, false, GLN_AIM_SMOOTH);
  measure_song(32, true, GLN_AIM_SMOOTH);
  measure_song(64, true, GLN_AIM_SMOOTH);
  measure_song(32, false, GLN_AIM_EASY);
  measure_song(32, true, GLN_AIM_EASY);
  const uint16_t four_note = 1U << GLN_TEXTURE_FOUR_NOTE;
  measure_growth(32, GLN_BASS_OF_CHORD, four_note, "four-note, root bass");
  for (size_t bars = 64; bars <= 4096; bars *= 4)
    measure_growth(bars, GLN_BASS_OF_CHORD, four_note, "four-note, root bass");
  measure_growth(32, GLN_BASS_ANY, four_note, "four-note, any bass ");
  measure_growth(32, GLN_BASS_ANY, 0, "any texture and bass");
  return 0;
}
