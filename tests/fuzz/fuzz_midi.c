/* Any bytes as a MIDI file: what it hands out is a chart that reads without errors and plays through. */
#include "app.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

/* Made once: it is asked by all. */
static GlnNamer *shared_namer(void) {
  static GlnArena *arena = NULL;
  static GlnNamer *namer = NULL;
  if (arena == NULL) {
    arena = gln_arena_new(NULL, 0);
    must(arena != NULL && gln_namer_new(arena, &namer) == GLN_OK);
  }
  return namer;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnArena *arena = gln_arena_new(NULL, (size_t)1 << 28);
  if (arena == NULL)
    return 0;
  GlnDiags diags = gln_diags(arena), more = gln_diags(arena);
  GlnImport import;
  GlnStatus status =
      gln_midi_read((GlnText){(const char *)data, size}, shared_namer(), arena, &diags, &import);
  must(status == GLN_OK || status == GLN_INPUT || status == GLN_LIMIT || status == GLN_MEMORY);
  must(status == GLN_OK || status == GLN_MEMORY || diags.error_count > 0);
  if (status == GLN_OK) {
    GlnChart *chart = NULL;
    GlnSong *song = NULL;
    must(diags.error_count == 0);
    GlnStatus read = gln_chart_read(import.chart, arena, &more, &chart);
    must(read == GLN_OK || read == GLN_LIMIT || read == GLN_MEMORY);
    must(read != GLN_OK || gln_song_play(chart, arena, &more, &song) != GLN_INPUT);
  }
  gln_arena_free(arena);
  return 0;
}
