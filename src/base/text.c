/* Borrowed slices of bytes: comparing, cutting, finding. */
#include "base.h"

#include <string.h>

GlnText gln_text(const char *c_string) {
  return (GlnText){c_string, c_string != NULL ? strlen(c_string) : 0};
}

bool gln_text_equal(GlnText a, GlnText b) {
  return a.length == b.length && (a.length == 0 || memcmp(a.at, b.at, a.length) == 0);
}

static char lower(char c) {
  return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

bool gln_text_equal_ignoring_case(GlnText a, GlnText b) {
  if (a.length != b.length)
    return false;
  for (size_t i = 0; i < a.length; i++)
    if (lower(a.at[i]) != lower(b.at[i]))
      return false;
  return true;
}

int gln_text_compare(GlnText a, GlnText b) {
  size_t shared = a.length < b.length ? a.length : b.length;
  int order = shared == 0 ? 0 : memcmp(a.at, b.at, shared);
  if (order != 0)
    return order < 0 ? -1 : 1;
  return (a.length > b.length) - (a.length < b.length);
}

bool gln_text_starts(GlnText text, GlnText start) {
  return text.length >= start.length && gln_text_equal(gln_text_slice(text, 0, start.length), start);
}

bool gln_text_ends_ignoring_case(GlnText text, GlnText end) {
  return text.length >= end.length &&
         gln_text_equal_ignoring_case(gln_text_from(text, text.length - end.length), end);
}

GlnText gln_text_from(GlnText text, size_t offset) {
  return gln_text_slice(text, offset, text.length);
}

GlnText gln_text_slice(GlnText text, size_t offset, size_t length) {
  if (text.length == 0)
    return text;
  size_t start = offset < text.length ? offset : text.length;
  size_t rest = text.length - start;
  return (GlnText){text.at + start, length < rest ? length : rest};
}

GlnText gln_text_trim(GlnText text) {
  while (text.length > 0 && gln_is_blank(text.at[0]))
    text = gln_text_from(text, 1);
  while (text.length > 0 && gln_is_blank(text.at[text.length - 1]))
    text.length--;
  return text;
}

size_t gln_text_find(GlnText text, GlnText part, size_t from) {
  if (part.length == 0)
    return from < text.length ? from : text.length;
  for (size_t i = from; i < text.length && part.length <= text.length - i; i++) {
    const char *first = memchr(text.at + i, part.at[0], text.length - i);
    if (first == NULL)
      return text.length;
    i = (size_t)(first - text.at);
    if (part.length <= text.length - i && memcmp(first, part.at, part.length) == 0)
      return i;
  }
  return text.length;
}

char *gln_text_copy(GlnArena *arena, GlnText text) {
  if (text.length == SIZE_MAX)
    return NULL;
  char *copy = GLN_NEW(arena, char, text.length + 1);
  if (copy != NULL && text.length > 0)
    memcpy(copy, text.at, text.length);
  return copy;
}

bool gln_is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

bool gln_is_digit(char c) {
  return c >= '0' && c <= '9';
}

bool gln_is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

#define DISTANCE_MAX ((size_t)64)

static size_t least(size_t a, size_t b) {
  return a < b ? a : b;
}

/* Optimal string alignment: insert, delete, replace, and swap of two neighbours, each costing one. */
size_t gln_text_distance(GlnText a, GlnText b) {
  if (a.length > DISTANCE_MAX || b.length > DISTANCE_MAX)
    return DISTANCE_MAX;
  size_t rows[3][DISTANCE_MAX + 1];
  for (size_t j = 0; j <= b.length; j++)
    rows[0][j] = j;
  for (size_t i = 1; i <= a.length; i++) {
    size_t *row = rows[i % 3];
    const size_t *above = rows[(i + 2) % 3];
    const size_t *two_above = rows[(i + 1) % 3];
    row[0] = i;
    for (size_t j = 1; j <= b.length; j++) {
      size_t replaced = above[j - 1] + (a.at[i - 1] == b.at[j - 1] ? 0 : 1);
      row[j] = least(replaced, least(above[j], row[j - 1]) + 1);
      if (i > 1 && j > 1 && a.at[i - 1] == b.at[j - 2] && a.at[i - 2] == b.at[j - 1])
        row[j] = least(row[j], two_above[j - 2] + 1);
    }
  }
  return rows[a.length % 3][b.length];
}
