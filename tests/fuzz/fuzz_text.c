/* Any bytes through the readers of base: UTF-8, numbers, messages with their place. */
#include "base.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

static void read_as_utf8(GlnText text) {
  size_t bad = gln_text_bad_utf8(text);
  must(bad <= text.length && gln_text_bad_utf8(gln_text_slice(text, 0, bad)) == bad);
  size_t offset = 0;
  while (offset < text.length) {
    uint32_t code_point = 0;
    size_t bytes = gln_text_code_point(text, offset, &code_point);
    must(bytes >= 1 && bytes <= 4 && code_point <= 0x10FFFF);
    offset += bytes;
  }
  must(offset == text.length && gln_text_columns(text) <= 2 * text.length);
}

/* A number that is read and written reads back as the same. */
static void read_as_number(GlnText text, GlnArena *arena) {
  double value = 0;
  if (gln_text_number(text, &value) != GLN_OK)
    return;
  GlnBuffer buffer = gln_buffer(arena);
  gln_buffer_add_number(&buffer, value, 9);
  double again = 0;
  must(value > 1e15 || value < -1e15 || gln_text_number(gln_buffer_text(&buffer), &again) == GLN_OK);
  long integer = 0;
  if (gln_text_integer(text, -1000000, 1000000, &integer) == GLN_OK)
    must(again >= (double)integer && again <= (double)integer);
}

/* What is shown is well-formed, whatever was read. */
static void print_messages(GlnText text, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  for (size_t i = 0; i < 4; i++)
    gln_diags_format(&diags, GLN_ERROR, text.length * i / 3, i * 7, "look here", "fault %zu", i);
  gln_diags_add(&diags, (GlnDiag){.severity = GLN_WARNING, .problem = text, .advice = text});
  GlnBuffer out = gln_buffer(arena);
  gln_diags_print(&diags, text, text, &out);
  GlnText shown = gln_buffer_text(&out);
  must(gln_buffer_status(&out) == GLN_OK && gln_text_bad_utf8(shown) == shown.length);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnText text = {(const char *)data, size};
  GlnArena *arena = gln_arena_new(NULL, 0);
  if (arena == NULL)
    return 0;
  read_as_utf8(text);
  read_as_number(text, arena);
  print_messages(text, arena);
  must(gln_text_distance(text, gln_text_slice(text, 1, size)) <= 64);
  must(gln_text_find(text, gln_text_slice(text, size / 2, 3), 0) <= size / 2);
  gln_arena_free(arena);
  return 0;
}
