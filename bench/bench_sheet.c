/* The sheet, measured: from a line that is already solved to the bytes of a PDF, an SVG and a PNG.
 * Usage: bench_sheet CHART... (the examples when none is named) */
#include "page.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define RUNS 9

static double now_s(void) {
  struct timespec t;
  (void)clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int by_size(const void *a, const void *b) {
  const double *x = a, *y = b;
  return *x < *y ? -1 : *x > *y;
}

static GlnText read_file(const char *path, GlnArena *arena) {
  char *bytes = gln_arena_alloc(arena, GLN_CHART_BYTES_MAX, 1);
  FILE *file = fopen(path, "rb");
  if (!bytes || !file) {
    (void)fprintf(stderr, "%s: cannot be read\n", path);
    exit(1);
  }
  size_t length = fread(bytes, 1, GLN_CHART_BYTES_MAX, file);
  (void)fclose(file);
  return (GlnText){bytes, length};
}

static void need(GlnStatus status, const char *what) {
  if (status == GLN_OK)
    return;
  (void)fprintf(stderr, "%s: %s\n", what, gln_status_text(status));
  exit(1);
}

static void measure(const GlnLine *line, const GlnInstrument *instrument, GlnPageFormat format,
                    const char *name) {
  GlnPageOptions options = gln_page_defaults();
  const GlnSheetMatter matter = {.line = line, .instrument = instrument};
  double seconds[RUNS];
  size_t bytes = 0, used = 0;
  for (int run = 0; run < RUNS; run++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnBuffer out = gln_buffer(arena);
    GlnDiags diags = gln_diags(arena);
    double start = now_s();
    need(gln_sheet_write(&matter, &options, format, &out, &diags), name);
    seconds[run] = now_s() - start;
    bytes = out.length;
    used = gln_arena_used(arena);
    gln_arena_free(arena);
  }
  qsort(seconds, RUNS, sizeof *seconds, by_size);
  printf("  %-4s median %6.1f ms, most %6.1f ms, %6zu KB, %5zu KB of arena\n", name, seconds[RUNS / 2] * 1e3,
         seconds[RUNS - 1] * 1e3, bytes / 1024, used / 1024);
}

static void measure_chart(const char *path) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GlnLine *line = NULL;
  GlnLineOptions options = gln_line_defaults();
  need(gln_chart_read(read_file(path, arena), arena, &diags, &chart), path);
  need(gln_song_play(chart, arena, &diags, &song), path);
  need(gln_line_solve(song, &options, arena, &diags, &line), path);
  printf("%s: %zu chords, %zu grips\n", path, line->slot_count, line->distinct_count);
  measure(line, &options.instrument, GLN_PAGE_PDF, "PDF");
  measure(line, &options.instrument, GLN_PAGE_SVG, "SVG");
  measure(line, &options.instrument, GLN_PAGE_PNG, "PNG");
  gln_arena_free(arena);
}

int main(int count, char **arguments) {
  static const char *const examples[] = {"examples/ferry-at-low-tide.chart",
                                         "examples/lanterns-on-the-canal.chart",
                                         "examples/late-tram-blues.chart"};
  for (int i = 1; i < count; i++)
    measure_chart(arguments[i]);
  for (size_t i = 0; count == 1 && i < GLN_COUNT_OF(examples); i++)
    measure_chart(examples[i]);
  return 0;
}
