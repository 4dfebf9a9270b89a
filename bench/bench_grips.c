/* Time and work of the grip search over the table of qualities × 12 roots: six strings, 19 frets, root bass.
 * Prints the ratio to a naive enumeration of every fret combination, the median time, and the counts of grips. */
#include "grip.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define ROUNDS 5

static double now_ms(void) {
  struct timespec t;
  (void)clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static int compare_doubles(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

typedef struct Tally {
  double *ms;
  size_t count, most_grips, fewest_grips, grips;
  uint64_t most_looked;
} Tally;

static GlnStatus measure(const GlnGripQuery *query, GlnArena *arena, Tally *tally) {
  double best = 1e9;
  GlnGripList list = {.grips = NULL};
  for (int round = 0; round < ROUNDS; round++) {
    GlnArenaMark mark = gln_arena_mark(arena);
    double start = now_ms();
    GLN_TRY(gln_grip_search(query, arena, &list));
    double took = now_ms() - start;
    best = took < best ? took : best;
    gln_arena_rewind(arena, mark);
  }
  tally->ms[tally->count++] = best;
  tally->grips += list.count;
  if (list.count > tally->most_grips)
    tally->most_grips = list.count;
  if (list.count < tally->fewest_grips)
    tally->fewest_grips = list.count;
  if (list.looked_at > tally->most_looked)
    tally->most_looked = list.looked_at;
  return GLN_OK;
}

static double naive_count(const GlnInstrument *instrument) {
  double count = 1;
  for (int s = 0; s < instrument->string_count; s++)
    count *= instrument->fret_count + 2; /* not played, open, each fret */
  return count;
}

static GlnStatus measure_all(GlnArena *arena, uint16_t textures, const char *label) {
  static const char *const roots[] = {"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"};
  GlnInstrument instrument = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  Tally tally = {.ms = GLN_NEW(arena, double, gln_quality_count() * GLN_COUNT_OF(roots)),
                 .fewest_grips = SIZE_MAX};
  if (tally.ms == NULL)
    return GLN_MEMORY;
  for (size_t q = 0; q < gln_quality_count(); q++)
    for (size_t r = 0; r < GLN_COUNT_OF(roots); r++) {
      char symbol[64];
      (void)snprintf(symbol, sizeof symbol, "%s%s", roots[r], gln_quality_at(q)->suffix);
      GlnChord chord;
      GLN_TRY(gln_chord_parse(gln_text(symbol), &chord, NULL));
      GlnGripQuery query = gln_grip_query_defaults(&chord, &instrument, &hand);
      query.textures = textures;
      GLN_TRY(measure(&query, arena, &tally));
    }
  qsort(tally.ms, tally.count, sizeof *tally.ms, compare_doubles);
  double naive = naive_count(&instrument);
  (void)printf("%-10s %zu chords: median %.3f ms, slowest %.3f ms; grips %zu to %zu, mean %zu; most looked "
               "at %llu of %.0f "
               "(1 in %.0f)\n",
               label, tally.count, tally.ms[tally.count / 2], tally.ms[tally.count - 1], tally.fewest_grips,
               tally.most_grips, tally.grips / tally.count, (unsigned long long)tally.most_looked, naive,
               naive / (double)tally.most_looked);
  return GLN_OK;
}

int main(void) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  if (arena == NULL)
    return 4;
  GlnStatus status = measure_all(arena, 0, "any");
  for (int texture = 0; status == GLN_OK && texture < GLN_TEXTURE_COUNT; texture++)
    status = measure_all(arena, (uint16_t)(1u << texture), gln_texture_key((GlnTexture)texture));
  gln_arena_free(arena);
  return gln_status_exit(status);
}
