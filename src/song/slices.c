/* slices: small helpers on text and arrays that the song room shares. */
#include "song_internal.h"

#include <string.h>

size_t gln_blank_at(GlnText text, size_t offset) {
  if (offset >= text.length)
    return 0;
  if (text.at[offset] == ' ' || text.at[offset] == '\t' || text.at[offset] == '\r')
    return 1;
  /* U+00A0: what word processors and web pages leave between chords. */
  if (text.length - offset >= 2 && text.at[offset] == '\xC2' && text.at[offset + 1] == '\xA0')
    return 2;
  return 0;
}

GlnText gln_blank_trim(GlnText text) {
  for (;;) {
    text = gln_text_trim(text);
    GlnText no_break = GLN_TEXT("\xC2\xA0");
    if (gln_text_starts(text, no_break))
      text = gln_text_from(text, 2);
    else if (text.length >= 2 && gln_text_equal(gln_text_from(text, text.length - 2), no_break))
      text.length -= 2;
    else
      return text;
  }
}

GlnText gln_text_between(GlnText text, size_t from, size_t to) {
  return gln_text_slice(text, from, to > from ? to - from : 0);
}

bool gln_text_within(GlnText source, GlnText part) {
  uintptr_t start = (uintptr_t)source.at;
  uintptr_t at = (uintptr_t)part.at;
  return part.length > 0 && source.length > 0 && at >= start && at - start < source.length;
}

bool gln_text_near(GlnText wrong, GlnText right) {
  if (gln_text_equal_ignoring_case(wrong, right))
    return true;
  size_t distance = gln_text_distance(wrong, right);
  size_t length = wrong.length < right.length ? wrong.length : right.length;
  return length >= 3 &&
         distance <= (length + 2) / 4; /* one slip in three to five letters, two in six to nine */
}

bool gln_items_grow(GlnArena *arena, void **items, size_t *capacity, size_t count, size_t size) {
  if (count < *capacity)
    return true;
  size_t wider = *capacity ? *capacity * 2 : 8;
  void *grown = gln_arena_alloc(arena, wider, size);
  if (!grown)
    return false;
  if (count > 0)
    memcpy(grown, *items, count * size);
  *items = grown;
  *capacity = wider;
  return true;
}
