/* Diagnostics: collected where a fault is met, printed for people in order of place. */
#include "base.h"

#include <string.h>

GlnDiags gln_diags(GlnArena *arena) {
  return (GlnDiags){.arena = arena};
}

static bool grow(GlnDiags *diags) {
  if (diags->count < diags->capacity)
    return true;
  size_t capacity = diags->capacity == 0 ? 16 : diags->capacity * 2;
  GlnDiag *items = GLN_NEW(diags->arena, GlnDiag, capacity);
  if (items == NULL)
    return false;
  if (diags->count > 0)
    memcpy(items, diags->items, diags->count * sizeof *items);
  diags->items = items;
  diags->capacity = capacity;
  return true;
}

void gln_diags_add(GlnDiags *diags, GlnDiag diag) {
  if (diag.severity == GLN_ERROR)
    diags->error_count++;
  if (diags->count == GLN_DIAGS_MAX || !grow(diags)) {
    diags->dropped++;
    return;
  }
  diags->items[diags->count++] = diag;
}

void gln_diags_format(GlnDiags *diags, GlnSeverity severity, size_t offset, size_t length, const char *advice,
                      const char *format, ...) {
  GlnDiag diag = {.severity = severity, .has_place = true, .offset = offset, .length = length};
  if (diags->count < GLN_DIAGS_MAX) {
    GlnBuffer problem = gln_buffer(diags->arena);
    va_list arguments;
    va_start(arguments, format);
    gln_buffer_format_list(&problem, format, arguments);
    va_end(arguments);
    GlnBuffer advice_copy = gln_buffer(diags->arena);
    gln_buffer_add_string(&advice_copy, advice);
    if (problem.failed || advice_copy.failed) {
      diags->error_count += severity == GLN_ERROR ? 1 : 0;
      diags->dropped++;
      return;
    }
    diag.problem = gln_buffer_text(&problem);
    diag.advice = gln_buffer_text(&advice_copy);
  }
  gln_diags_add(diags, diag);
}

GlnPlace gln_text_place(GlnText source, size_t offset) {
  size_t end = offset < source.length ? offset : source.length;
  GlnPlace place = {.line = 1, .column = 1};
  size_t line_start = 0;
  for (size_t i = 0; i < end; i++) {
    if (source.at[i] == '\n') {
      place.line++;
      line_start = i + 1;
    }
  }
  for (size_t i = line_start; i < end; i += gln_text_code_point(source, i, NULL))
    place.column++;
  size_t line_end = gln_text_find(source, GLN_TEXT("\n"), line_start);
  place.line_text = gln_text_slice(source, line_start, line_end - line_start);
  if (place.line_text.length > 0 && place.line_text.at[place.line_text.length - 1] == '\r')
    place.line_text.length--;
  return place;
}

/* Text as a terminal may safely show it: a tab is one blank, and no byte of a file can move the cursor,
 * change a colour or hide what follows. */
static void add_visible(GlnBuffer *out, GlnText text) {
  for (size_t i = 0; i < text.length;) {
    uint32_t code_point = 0;
    size_t bytes = gln_text_code_point(text, i, &code_point);
    if (code_point == '\t')
      gln_buffer_add_byte(out, ' ');
    else if (code_point < 0x20 || (code_point >= 0x7F && code_point < 0xA0) || code_point == 0xFFFD ||
             (code_point >= 0x202A && code_point <= 0x202E) || (code_point >= 0x2066 && code_point <= 0x2069))
      gln_buffer_add_string(out, "\xEF\xBF\xBD"); /* U+FFFD, one column */
    else
      gln_buffer_add(out, gln_text_slice(text, i, bytes));
    i += bytes;
  }
}

/* A very long line is shown around the fault alone, so many bytes to each side (design choice: two lines of a
 * usual terminal). */
#define SHOWN_BYTES ((size_t)80)

/* An offset moved back to the start of its code point. */
static size_t code_point_start(GlnText text, size_t offset) {
  for (size_t back = 0; back < 4 && back <= offset; back++)
    if (gln_text_code_point(text, offset - back, NULL) > back)
      return offset - back;
  return offset;
}

static void print_line(GlnBuffer *out, GlnText line, size_t start, size_t length) {
  start = start < line.length ? start : line.length;
  length = length < line.length - start ? length : line.length - start;
  length = length < SHOWN_BYTES ? length : SHOWN_BYTES;
  size_t first = start > SHOWN_BYTES ? code_point_start(line, start - SHOWN_BYTES) : 0;
  size_t last = code_point_start(line, start + length);
  size_t end = line.length - last > SHOWN_BYTES ? code_point_start(line, last + SHOWN_BYTES) : line.length;

  const char *cut_before = first > 0 ? "… " : "";
  GlnBuffer shown = gln_buffer(out->arena);
  gln_buffer_add_string(&shown, cut_before);
  add_visible(&shown, gln_text_slice(line, first, start - first));
  size_t indent = gln_text_columns(gln_buffer_text(&shown));
  add_visible(&shown, gln_text_slice(line, start, last - start));
  size_t underlined = gln_text_columns(gln_buffer_text(&shown)) - indent;
  add_visible(&shown, gln_text_slice(line, last, end - last));

  gln_buffer_add_string(out, "  ");
  gln_buffer_add(out, gln_buffer_text(&shown));
  gln_buffer_add_string(out, end < line.length ? " …\n  " : "\n  ");
  gln_buffer_add_repeated(out, GLN_TEXT(" "), indent);
  gln_buffer_add_byte(out, '^');
  if (underlined > 1)
    gln_buffer_add_repeated(out, GLN_TEXT("~"), underlined - 1);
  gln_buffer_add_byte(out, '\n');
  out->failed = out->failed || shown.failed;
}

static void print_diag(const GlnDiag *diag, GlnText file, GlnText source, GlnBuffer *out) {
  static const char *const severities[] = {
      [GLN_NOTE_SEVERITY] = "note", [GLN_WARNING] = "warning", [GLN_ERROR] = "error"};
  GlnPlace place = {0};
  add_visible(out, file);
  if (diag->has_place) {
    place = gln_text_place(source, diag->offset);
    gln_buffer_format(out, ":%zu:%zu", place.line, place.column);
  }
  gln_buffer_format(out, ": %s: ", severities[diag->severity]);
  add_visible(out, diag->problem);
  if (diag->advice.length > 0) {
    gln_buffer_add_string(out, "; ");
    add_visible(out, diag->advice);
  }
  gln_buffer_add_byte(out, '\n');
  if (diag->has_place && place.line_text.length > 0) {
    size_t offset = diag->offset < source.length ? diag->offset : source.length;
    print_line(out, place.line_text, offset - (size_t)(place.line_text.at - source.at), diag->length);
  }
}

/* About the whole file first, then by offset. */
static bool comes_before(const GlnDiag *a, const GlnDiag *b) {
  if (!a->has_place || !b->has_place)
    return !a->has_place && b->has_place;
  return a->offset < b->offset;
}

void gln_diags_print(const GlnDiags *diags, GlnText file, GlnText source, GlnBuffer *out) {
  const GlnDiag **order = GLN_NEW(out->arena, const GlnDiag *, diags->count);
  if (order == NULL) {
    out->failed = true;
    return;
  }
  for (size_t i = 0; i < diags->count; i++) {
    size_t j = i;
    for (; j > 0 && comes_before(&diags->items[i], order[j - 1]); j--)
      order[j] = order[j - 1];
    order[j] = &diags->items[i];
  }
  for (size_t i = 0; i < diags->count; i++)
    print_diag(order[i], file, source, out);
  if (diags->dropped > 0) {
    add_visible(out, file);
    gln_buffer_format(out, ": note: %zu more messages are not shown\n", diags->dropped);
  }
}
