/* Any bytes as MusicXML: what is read is a chart that reads without errors, plays through, and is written tidy as it stands. */
#include "interchange.h"
#include "song.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

static void check_chart(GlnText text, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  must(gln_chart_read(text, arena, &diags, &chart) == GLN_OK);
  must(gln_song_play(chart, arena, &diags, &song) != GLN_INPUT);
  GlnBuffer tidy = gln_buffer(arena);
  must(gln_chart_write_tidy(chart, &tidy) == GLN_OK);
  GlnChart *again = NULL;
  must(gln_chart_read(gln_buffer_text(&tidy), arena, &diags, &again) == GLN_OK);
  must(gln_chart_equal(chart, again));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  if (!arena)
    return 0;
  GlnText bytes = {(const char *)data, size};
  (void)gln_musicxml_knows(bytes);
  for (int melody = 0; melody < 2; melody++) {
    const GlnMusicXmlWish wish = {.melody = melody == 1};
    GlnDiags diags = gln_diags(arena);
    GlnImport import;
    GlnStatus status = gln_musicxml_read(bytes, &wish, arena, &diags, &import);
    must(status == GLN_OK || diags.error_count > 0);
    must(status == GLN_OK || status == GLN_INPUT || status == GLN_LIMIT);
    for (size_t i = 0; i < diags.count; i++)
      must(!diags.items[i].has_place || diags.items[i].offset <= import.placed.length);
    if (status == GLN_OK)
      check_chart(import.chart, arena);
  }
  gln_arena_free(arena);
  return 0;
}
