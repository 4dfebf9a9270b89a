/* A MusicXML score of 1,000 bars, read and written, beside libxml2's bare parse of the same bytes in the same run; and the
 * same song through every other reader.
 * Goals: read in under 200 ms and 100 MB, written as fast. Processor time; medians of several rounds. */
#include "interchange.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#ifdef GRIPLINE_BENCH_XML2
#include <libxml/parser.h>
#endif

#define BARS   1000
#define ROUNDS 15

static double now(void) {
  struct timespec time;
  if (clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time) != 0)
    exit(1);
  return (double)time.tv_sec * 1e3 + (double)time.tv_nsec / 1e6;
}

static int compare(const void *left, const void *right) {
  const double *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

static double median(double *values) {
  qsort(values, ROUNDS, sizeof *values, compare);
  return values[ROUNDS / 2];
}

static GlnLine *solve(GlnArena *arena, const GlnLineOptions *options) {
  static const char *const bars[] = {"Fmaj9", "Bb13 / Bdim7 /", "Am7b5", "D7b9", "Gm9 / C13 /", "Am7",
                                     "Dm9",   "G7#11 / Gb7b5 /"};
  GlnBuffer text = gln_buffer(arena);
  gln_buffer_add_string(&text, "title: A long one\nkey: F\nfeel: bossa\n");
  for (int b = 0; b < BARS; b++)
    gln_buffer_format(&text, "| %s %s", bars[b * 5 % 8], b % 4 == 3 ? "|\n" : "");
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GlnLine *line = NULL;
  if (gln_chart_read(gln_buffer_text(&text), arena, &diags, &chart) != GLN_OK ||
      gln_song_play(chart, arena, &diags, &song) != GLN_OK ||
      gln_line_solve(song, options, arena, &diags, &line) != GLN_OK)
    exit(1);
  return line;
}

static GlnPerformance *perform(const GlnLine *line, const GlnLineOptions *options, GlnArena *arena) {
  GlnFeelBook *book = NULL;
  GlnPerformance *performance = NULL;
  GlnDiags diags = gln_diags(arena);
  GlnHeld *held = GLN_NEW(arena, GlnHeld, line->slot_count);
  if (held == NULL || gln_feel_book_open(arena, &book) != GLN_OK)
    exit(1);
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    held[i] = (GlnHeld){.grip = &line->slots[i].grip,
                        .chord = &slot->event->chord,
                        .start = slot->start,
                        .quarters = slot->quarters,
                        .meter_beats = 4,
                        .meter_unit = 4,
                        .bar_start = gln_ratio_subtract(slot->start, slot->event->beat)};
  }
  const GlnPerformanceOptions how = {.instrument = &options->instrument,
                                     .hand = &options->hand,
                                     .book = book,
                                     .feel = GLN_TEXT("bossa"),
                                     .tempo = 120,
                                     .rounds = 1};
  if (gln_performance_make(&how, held, line->slot_count, arena, &diags, &performance) != GLN_OK)
    exit(1);
  return performance;
}

static GlnText write_once(const GlnMusicXmlOptions *options, GlnArena *arena) {
  GlnBuffer out = gln_buffer(arena);
  if (gln_musicxml_write(options, &out) != GLN_OK)
    exit(1);
  return gln_buffer_text(&out);
}

static double time_of_writing(const GlnMusicXmlOptions *options) {
  double times[ROUNDS];
  for (int i = 0; i < ROUNDS; i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    double start = now();
    (void)write_once(options, arena);
    times[i] = now() - start;
    gln_arena_free(arena);
  }
  return median(times);
}

static double time_of_reading(GlnText score, size_t *bytes) {
  const GlnMusicXmlWish wish = {.melody = true};
  double times[ROUNDS];
  for (int i = 0; i < ROUNDS; i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnDiags diags = gln_diags(arena);
    GlnImport import;
    double start = now();
    if (gln_musicxml_read(score, &wish, arena, &diags, &import) != GLN_OK)
      exit(1);
    times[i] = now() - start;
    *bytes = gln_arena_used(arena);
    gln_arena_free(arena);
  }
  return median(times);
}

#ifdef GRIPLINE_BENCH_XML2
static double time_of_xml2(GlnText score) {
  double times[ROUNDS];
  for (int i = 0; i < ROUNDS; i++) {
    double start = now();
    xmlDocPtr document =
        xmlReadMemory(score.at, (int)score.length, NULL, NULL, XML_PARSE_NONET | XML_PARSE_NOERROR);
    times[i] = now() - start;
    if (document == NULL)
      exit(1);
    xmlFreeDoc(document);
  }
  return median(times);
}
#endif

static void measure(const char *name, const GlnMusicXmlOptions *options, GlnArena *arena) {
  GlnText score = write_once(options, arena);
  double megabytes = (double)score.length / 1e6;
  size_t bytes = 0;
  double writing = time_of_writing(options), reading = time_of_reading(score, &bytes);
  printf("%s: %d bars, %.2f MB\n", name, BARS, megabytes);
  printf("  written  %7.1f ms  %6.1f MB/s\n", writing, megabytes / writing * 1e3);
  printf("  read     %7.1f ms  %6.1f MB/s  %.1f MB of memory\n", reading, megabytes / reading * 1e3,
         (double)bytes / 1e6);
#ifdef GRIPLINE_BENCH_XML2
  double bare = time_of_xml2(score);
  printf("  libxml2's bare parse into its tree %.1f ms, %.1f MB/s: reading takes %.2f times as long\n", bare,
         megabytes / bare * 1e3, reading / bare);
#endif
}

/* ---- the other readers -------------------------------------------------------------------------------------------- */

typedef GlnStatus ReadFile(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import);

static GlnStatus hear_midi(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import) {
  GlnNamer *namer = NULL;
  GlnMidiSong *song = NULL;
  (void)import;
  return gln_namer_new(arena, &namer) == GLN_OK ? gln_midi_hear(bytes, namer, arena, diags, &song)
                                                : GLN_MEMORY;
}

static GlnStatus read_chart(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import) {
  GlnChart *chart = NULL;
  (void)import;
  return gln_chart_read(bytes, arena, diags, &chart);
}

static void measure_reader(const char *name, ReadFile *read, GlnText bytes) {
  double times[ROUNDS], megabytes = (double)bytes.length / 1e6;
  size_t used = 0;
  for (int i = 0; i < ROUNDS; i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnDiags diags = gln_diags(arena);
    GlnImport import;
    double start = now();
    if (read(bytes, arena, &diags, &import) != GLN_OK)
      exit(1);
    times[i] = now() - start;
    used = gln_arena_used(arena);
    gln_arena_free(arena);
  }
  double reading = median(times);
  printf("%-10s %.3f MB read in %6.1f ms  %6.1f MB/s  %.1f MB of memory\n", name, megabytes, reading,
         megabytes / reading * 1e3, (double)used / 1e6);
}

static void measure_readers(const GlnLine *line, const GlnPerformance *performance, GlnArena *arena) {
  GlnBuffer lab = gln_buffer(arena), bars = gln_buffer(arena), midi = gln_buffer(arena),
            json = gln_buffer(arena);
  GlnDiags diags = gln_diags(arena);
  const GlnMidiOptions how = {.title = GLN_TEXT("A long one")};
  GlnText chart = line->song->chart->source;
  GlnJson *document = gln_json_new(arena, "transpose");
  if (document == NULL)
    exit(1);
  gln_json_add_text(document, "chart", chart);
  if (gln_lab_write(line->song, &lab) != GLN_OK || gln_bar_list_write(line->song, &diags, &bars) != GLN_OK ||
      gln_midi_write(performance, &how, &midi) != GLN_OK || gln_json_write(document, &json) != GLN_OK)
    exit(1);
  gln_json_free(document);
  measure_reader("chart", read_chart, chart);
  measure_reader("text", gln_plain_text_read, chart);
  measure_reader("lab", gln_lab_read, gln_buffer_text(&lab));
  measure_reader("bars", gln_bar_list_read, gln_buffer_text(&bars));
  measure_reader("json", gln_arrangement_json_read, gln_buffer_text(&json));
  measure_reader("midi", hear_midi, gln_buffer_text(&midi));
}

int main(void) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  const GlnLineOptions options = gln_line_defaults();
  if (arena == NULL)
    return 1;
  GlnMusicXmlOptions score = {
      .line = solve(arena, &options), .instrument = &options.instrument, .swing = {1, 1}, .pair = {1, 1}};
  measure("lead sheet", &score, arena);
  score.performance = perform(score.line, &options, arena);
  measure("performance", &score, arena);
  measure_readers(score.line, score.performance, arena);
  struct rusage usage;
  if (getrusage(RUSAGE_SELF, &usage) == 0)
    printf("peak of the whole run: %.1f MB\n", (double)usage.ru_maxrss / 1e3);
  gln_arena_free(arena);
  return 0;
}
