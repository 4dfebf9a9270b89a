/* Any bytes as a compressed score: refused with words, or read as a chart that reads without errors. */
#include "interchange.h"
#include "song.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  if (!arena)
    return 0;
  GlnText bytes = {(const char *)data, size};
  const GlnMusicXmlWish wish = {.melody = false};
  GlnDiags diags = gln_diags(arena);
  GlnImport import;
  (void)gln_mxl_knows(bytes);
  GlnStatus status = gln_mxl_read(bytes, &wish, arena, &diags, &import);
  must(status == GLN_OK || ((status == GLN_INPUT || status == GLN_LIMIT) && diags.error_count > 0));
  if (status == GLN_OK) {
    GlnDiags faults = gln_diags(arena);
    GlnChart *chart = NULL;
    must(gln_chart_read(import.chart, arena, &faults, &chart) == GLN_OK);
  }
  gln_arena_free(arena);
  return 0;
}
