/* All songs of a table of progressions arranged: songs a second, peak memory, and every song without a line named.
 * bench_songs [TABLE]: tests/outside/data/progressions.tsv by default. Exit status 1 when a song has no line. */
#include "route.h"
#include "../tools/progressions.h"

#include <stdio.h>
#include <sys/resource.h>
#include <time.h>

#define LINE_BYTES_MAX 65536

typedef struct Tally {
  size_t songs, failed, slots, distinct;
  double slowest_s, all_s;
  char slowest[16];
} Tally;

static double now_s(void) {
  struct timespec time;
  (void)clock_gettime(CLOCK_MONOTONIC, &time);
  return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static GlnStatus arrange(GlnText text, GlnArena *arena, GlnDiags *diags, const GlnLineOptions *options,
                         Tally *tally) {
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GlnLine *line = NULL;
  GLN_TRY(gln_chart_read(text, arena, diags, &chart));
  GLN_TRY(gln_song_play(chart, arena, diags, &song));
  GLN_TRY(gln_line_solve(song, options, arena, diags, &line));
  tally->slots += line->slot_count;
  tally->distinct += line->distinct_count;
  return GLN_OK;
}

static void run_song(Progression *progression, const GlnLineOptions *options, Tally *tally) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  if (arena == NULL)
    return;
  GlnDiags diags = gln_diags(arena);
  GlnBuffer chart = gln_buffer(arena);
  double start = now_s();
  GlnStatus status = progression_write(progression, &chart);
  if (status == GLN_OK)
    status = arrange(gln_buffer_text(&chart), arena, &diags, options, tally);
  double taken = now_s() - start;
  tally->songs++;
  tally->all_s += taken;
  if (taken > tally->slowest_s) {
    tally->slowest_s = taken;
    (void)snprintf(tally->slowest, sizeof tally->slowest, "%.*s", (int)progression->id.length,
                   progression->id.at);
  }
  if (status != GLN_OK) {
    tally->failed++;
    GlnBuffer out = gln_buffer(arena);
    gln_diags_print(&diags, progression->id, gln_buffer_text(&chart), &out);
    GlnText words = gln_buffer_text(&out);
    printf("no line for %.*s: %s\n%.*s", (int)progression->id.length, progression->id.at,
           gln_status_text(status), (int)words.length, words.at);
  }
  gln_arena_free(arena);
}

int main(int argc, char **argv) {
  const char *path = argc > 1 ? argv[1] : "tests/outside/data/progressions.tsv";
  FILE *table = fopen(path, "rb");
  if (table == NULL) {
    perror(path);
    return 4;
  }
  GlnLineOptions options = gln_line_defaults();
  Tally tally = {0};
  static char line[LINE_BYTES_MAX];
  while (fgets(line, sizeof line, table) != NULL) {
    GlnText text = gln_text_trim(gln_text(line));
    Progression progression;
    if (text.length > 0 && !gln_text_starts(text, GLN_TEXT("id\t")) && progression_read(text, &progression))
      run_song(&progression, &options, &tally);
  }
  (void)fclose(table);
  struct rusage usage = {0};
  (void)getrusage(RUSAGE_SELF, &usage);
  printf("%zu songs, %zu without a line, %zu slots, %.1f distinct grips a song\n", tally.songs, tally.failed,
         tally.slots, tally.songs > 0 ? (double)tally.distinct / (double)tally.songs : 0.0);
  printf("%.1f songs a second; slowest %s in %.3f s; peak memory %ld KB\n",
         tally.all_s > 0 ? (double)tally.songs / tally.all_s : 0.0, tally.slowest, tally.slowest_s,
         usage.ru_maxrss);
  return tally.failed > 0 || tally.songs == 0;
}
