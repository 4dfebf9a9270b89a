/* Fewer grips, measured: a song of 32 bars and fifteen chords on so many grips, in four-note texture and over every
 * grip, in processor time, with how far the answer can be from the best. */
#include "route.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static const char *const cycle[] = {"Cmaj9", "A7b9", "Dm9",   "G13",  "Em7", "A13", "Dm7",   "G7b9",
                                    "Gm9",   "C13",  "Fmaj9", "Bb13", "Em7", "A7",  "Dm7b5", "G7"};
#define BARS 32

static void *need(void *memory) {
  if (memory == NULL)
    exit(1);
  return memory;
}

static GlnSong *song_of(GlnArena *arena) {
  GlnSong *song = need(GLN_NEW(arena, GlnSong, 1));
  GlnChart *chart = need(GLN_NEW(arena, GlnChart, 1));
  GlnEvent *events = need(GLN_NEW(arena, GlnEvent, BARS));
  song->slots = need(GLN_NEW(arena, GlnSlot, BARS));
  for (size_t i = 0; i < BARS; ++i) {
    GlnSymbolFault fault;
    events[i].symbol = gln_text(cycle[i % GLN_COUNT_OF(cycle)]);
    if (gln_chord_parse(events[i].symbol, &events[i].chord, &fault) != GLN_OK)
      exit(1);
    song->slots[i].event = &events[i];
    song->slots[i].written = (uint32_t)i;
    song->slots[i].start = gln_ratio((int64_t)(4 * i), 1);
    song->slots[i].quarters = gln_ratio(4, 1);
  }
  chart->tempo = 126;
  song->chart = chart;
  song->slot_count = song->written_count = BARS;
  return song;
}

static void measure(const char *name, GlnLineOptions options) {
  GlnArena *arena = need(gln_arena_new(NULL, 0));
  const GlnSong *song = song_of(arena);
  GlnDiags diags = gln_diags(arena);
  GlnLine *line = NULL;
  clock_t start = clock();
  if (gln_line_solve(song, &options, arena, &diags, &line) != GLN_OK)
    exit(1);
  double seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
  (void)printf("%-34s %6.2f s, total %6.1f, at most %.2f %% above the best, %zu grips looked at\n", name,
               seconds, line->total, 100 * (line->total - line->bound) / line->bound, line->candidates);
  gln_arena_free(arena);
}

int main(void) {
  GlnLineOptions options = gln_line_defaults();
  options.simplify = true;
  options.grips_most = 6;
  options.textures = 1U << GLN_TEXTURE_FOUR_NOTE;
  measure("6 grips, four-note", options);
  options.textures = 0;
  measure("6 grips, every texture", options);
  options.grips_most = 3;
  measure("3 grips, every texture", options);
  options.grips_most = 0;
  options.shapes_most = 4;
  measure("4 shapes, every texture", options);
  options.shapes_most = 0;
  options.grips_most = 6;
  options.bass_wish = GLN_BASS_ANY;
  options.textures = 1U << GLN_TEXTURE_FOUR_NOTE;
  measure("6 grips, four-note, any bass", options);
  options.textures = 0;
  options.simplify = false;
  options.grips_most = 14;
  measure("14 grips as written, any bass", options);
  return 0;
}
