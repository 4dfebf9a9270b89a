/* Any bytes as gripline's JSON: what it hands out with GLN_OK reads as a chart, or is refused as one; never both unsaid. */
#include "interchange.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnArena *arena = gln_arena_new(NULL, (size_t)1 << 28);
  if (arena == NULL)
    return 0;
  GlnText bytes = {(const char *)data, size};
  GlnDiags diags = gln_diags(arena), more = gln_diags(arena);
  GlnImport import;
  (void)gln_arrangement_json_knows(bytes);
  GlnStatus status = gln_arrangement_json_read(bytes, arena, &diags, &import);
  must(status == GLN_OK || status == GLN_INPUT || status == GLN_LIMIT || status == GLN_MEMORY);
  must(status == GLN_OK || status == GLN_MEMORY || diags.error_count > 0);
  for (size_t i = 0; i < diags.count; i++)
    must(!diags.items[i].has_place || diags.items[i].offset <= size);
  if (status == GLN_OK) {
    GlnChart *chart = NULL;
    GlnStatus read = gln_chart_read(import.chart, arena, &more, &chart);
    must(read == GLN_OK || read == GLN_MEMORY || more.error_count > 0);
  }
  gln_arena_free(arena);
  return 0;
}
