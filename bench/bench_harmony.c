/* Time of the analysis and its remarks: charts of 1,024 to 8,192 bars, one chord a bar and two, which must grow linearly
 * and stay under 200 ms at 4,096 bars (best of 5). */
#include "harmony.h"

#include <stdio.h>
#include <time.h>

#define ROUNDS    5
#define STEPS_MAX 16384

static double now_ms(void) {
  struct timespec t;
  (void)clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static GlnChord chords[64];
static GlnStep steps[STEPS_MAX];

/* A song that changes key every 32 bars and never stays on one chord. */
static size_t make_steps(size_t bars, size_t each) {
  static const char *const symbols[] = {"Cmaj7", "A7",  "Dm7", "G7",    "Em7b5", "A7b9", "Dm7",     "Db7",
                                        "Cmaj7", "Gm7", "C7",  "Fmaj7", "Fm6",   "Bb7",  "Cmaj7/G", "F#dim7"};
  static const GlnNote tonics[] = {{0, 0}, {2, -1}, {4, 0}, {5, -1}};
  size_t count = GLN_COUNT_OF(symbols);
  for (size_t t = 0; t < GLN_COUNT_OF(tonics); t++)
    for (size_t i = 0; i < count; i++) {
      GlnChord chord;
      if (gln_chord_parse(gln_text(symbols[i]), &chord, NULL) != GLN_OK)
        return 0;
      chords[t * count + i] = gln_chord_transpose(&chord, tonics[0], tonics[t]);
    }
  for (size_t i = 0; i < bars * each; i++) {
    size_t bar = i / each;
    steps[i] = (GlnStep){.chord = &chords[(bar / 32 % GLN_COUNT_OF(tonics)) * count + i % count],
                         .start = gln_ratio((int64_t)(4 * i / each), 1),
                         .quarters = gln_ratio((int64_t)(4 / each), 1),
                         .phrase_starts = i % (32 * each) == 0,
                         .bar_starts = i % each == 0};
  }
  return bars * each;
}

static double measure(size_t count) {
  double best = 1e9;
  for (int round = 0; round < ROUNDS; round++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnAnalysis *analysis = NULL;
    GlnRemarks remarks;
    double start = now_ms();
    if (arena == NULL || gln_harmony_analyse(steps, count, NULL, arena, &analysis) != GLN_OK ||
        gln_harmony_remark(steps, count, analysis, arena, &remarks) != GLN_OK)
      return -1.0;
    double took = now_ms() - start;
    best = took < best ? took : best;
    gln_arena_free(arena);
  }
  return best;
}

int main(void) {
  for (size_t each = 1; each <= 2; each++)
    for (size_t bars = 1024; bars <= 8192; bars *= 2) {
      double ms = measure(make_steps(bars, each));
      (void)printf("%zu bars, %zu chord%s a bar: %.1f ms, %.2f µs a chord\n", bars, each, each > 1 ? "s" : "",
                   ms, 1e3 * ms / (double)(bars * each));
    }
  return 0;
}
