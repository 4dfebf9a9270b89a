/* Any bytes through gln_bar_list_read: what it hands out is a chart that reads without errors. */
#include "interchange.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnArena *arena = gln_arena_new(NULL, (size_t)1 << 28);
  if (arena == NULL)
    abort();
  GlnDiags diags = gln_diags(arena), more = gln_diags(arena);
  GlnImport import;
  GlnStatus status = gln_bar_list_read((GlnText){(const char *)data, size}, arena, &diags, &import);
  if (status == GLN_OK) {
    GlnChart *chart = NULL;
    GlnStatus read = gln_chart_read(import.chart, arena, &more, &chart);
    if (read != GLN_OK && read != GLN_LIMIT && read != GLN_MEMORY)
      abort();
  } else if (status != GLN_MEMORY && diags.error_count == 0) {
    abort();
  }
  gln_arena_free(arena);
  return 0;
}
