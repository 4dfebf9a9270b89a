/* A grip in text, lowest string first. */
#include "grip_internal.h"

#include <stdio.h>
#include <string.h>

static GlnStatus fail(GlnSymbolFault *fault, size_t offset, size_t length, const char *problem) {
  if (fault != NULL) {
    *fault = (GlnSymbolFault){.offset = offset, .length = length};
    (void)snprintf(fault->problem, sizeof fault->problem, "%s", problem);
  }
  return GLN_INPUT;
}

static bool is_separator(char c) {
  return c == '-' || c == ' ' || c == ',';
}

static bool is_silent(char c) {
  return c == 'x' || c == 'X';
}

/* One string's sign at the offset; spaced: a fret may have two digits. Returns its length, 0 for a fault. */
static size_t read_sign(GlnText text, size_t at, bool spaced, int8_t *fret) {
  if (is_silent(text.at[at])) {
    *fret = GLN_NOT_PLAYED;
    return 1;
  }
  size_t length = 0;
  int value = 0;
  size_t most = spaced ? 2 : 1;
  while (length < most && at + length < text.length && gln_is_digit(text.at[at + length])) {
    value = value * 10 + (text.at[at + length] - '0');
    length++;
  }
  *fret = (int8_t)value;
  return length;
}

/* What stands between two strings: nothing, or signs of which there must be one. Returns where the next string begins,
 * text.length when none does. */
static size_t skip_separators(GlnText text, size_t at, bool spaced) {
  size_t start = at;
  while (spaced && at < text.length && is_separator(text.at[at]))
    at++;
  return spaced && at == start ? text.length : at;
}

static GlnStatus read_strings(GlnText body, size_t from, bool spaced, GlnFrets *out, GlnSymbolFault *fault) {
  for (size_t at = from; at < body.length;) {
    size_t start = at;
    if (out->string_count > 0)
      at = skip_separators(body, at, spaced);
    if (at == body.length)
      return fail(fault, start, 1, "each string needs its own fret, as in x-8-10-9-10-x");
    if (out->string_count == GLN_STRINGS_MAX)
      return fail(fault, at, body.length - at, "more than eight strings");
    int8_t fret = 0;
    size_t length = read_sign(body, at, spaced, &fret);
    if (length == 0)
      return fail(fault, at, 1, "expected a fret number, 0 for an open string or x for one not played");
    if (fret > GLN_FRETS_MAX)
      return fail(fault, at, length, "no neck has a fret this high; the limit is 24");
    out->fret[out->string_count++] = fret;
    at += length;
  }
  return GLN_OK;
}

GlnStatus gln_frets_parse(GlnText text, GlnFrets *frets, GlnSymbolFault *fault) {
  GlnText trimmed = gln_text_trim(text);
  size_t from = trimmed.length > 0 ? (size_t)(trimmed.at - text.at) : 0;
  GlnText body = gln_text_slice(text, 0, from + trimmed.length);
  bool spaced = false;
  for (size_t i = from; i < body.length; i++)
    spaced = spaced || is_separator(body.at[i]);
  GlnFrets out = {.string_count = 0};
  for (int s = 0; s < GLN_STRINGS_MAX; s++)
    out.fret[s] = GLN_NOT_PLAYED;
  GLN_TRY(read_strings(body, from, spaced, &out, fault));
  bool sounds = false;
  for (int s = 0; s < out.string_count; s++)
    sounds = sounds || out.fret[s] >= 0;
  size_t length = trimmed.length > 0 ? trimmed.length : 1;
  if (out.string_count < GLN_STRINGS_MIN)
    return fail(fault, from, length, "fewer than three strings");
  if (!sounds)
    return fail(fault, from, length, "no string sounds");
  *frets = out;
  return GLN_OK;
}

size_t gln_frets_print(const GlnFrets *frets, char out[GLN_FRETS_TEXT_MAX]) {
  bool spaced = false;
  for (int s = 0; s < frets->string_count; s++)
    spaced = spaced || frets->fret[s] > 9;
  size_t length = 0;
  for (int s = 0; s < frets->string_count; s++) {
    int fret = frets->fret[s];
    if (spaced && s > 0)
      out[length++] = '-';
    if (fret < 0) {
      out[length++] = 'x';
      continue;
    }
    if (fret > 9)
      out[length++] = (char)('0' + fret / 10);
    out[length++] = (char)('0' + fret % 10);
  }
  out[length] = '\0';
  return length;
}

bool gln_frets_equal(const GlnFrets *a, const GlnFrets *b) {
  if (a->string_count != b->string_count)
    return false;
  for (int s = 0; s < a->string_count; s++)
    if (a->fret[s] != b->fret[s])
      return false;
  return true;
}
