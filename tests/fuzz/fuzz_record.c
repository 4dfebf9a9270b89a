/* Any bytes as a student's record: read, and where it reads, written, read again and written the same. */
#include "interchange.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check(const GlnPractice *practices, size_t count, GlnArena *arena) {
  GlnBuffer once = gln_buffer(arena), twice = gln_buffer(arena);
  GlnDiags diags = gln_diags(arena);
  GlnText student = count > 0 ? practices[0].student : GLN_TEXT("Ann");
  if (gln_record_write_json(student, practices, count, &once) != GLN_OK)
    return;
  GlnPractice *again = NULL;
  size_t read = 0;
  GlnStatus status = gln_record_read_json(gln_buffer_text(&once), arena, &diags, &again, &read);
  if (status == GLN_MEMORY)
    return;
  if (status != GLN_OK || read != count || gln_record_write_json(student, again, read, &twice) != GLN_OK ||
      !gln_text_equal(gln_buffer_text(&once), gln_buffer_text(&twice)))
    abort();
  GlnProgress progress;
  if (gln_progress_make(NULL, practices, count, 20000, arena, &progress) == GLN_OK &&
      progress.item_count > count)
    abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnArena *arena = gln_arena_new(NULL, (size_t)64 * 1024 * 1024);
  if (!arena)
    return 0;
  GlnDiags diags = gln_diags(arena);
  GlnText source = {(const char *)data, size};
  GlnPractice *practices = NULL;
  size_t count = 0;
  if (gln_record_read_json(source, arena, &diags, &practices, &count) == GLN_OK) {
    check(practices, count, arena);
  } else {
    GlnBuffer out = gln_buffer(arena);
    gln_diags_print(&diags, GLN_TEXT("x.json"), source, &out);
  }
  gln_arena_free(arena);
  return 0;
}
