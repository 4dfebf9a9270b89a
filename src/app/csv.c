/* Tables for spreadsheets: RFC 4180, "Common Format and MIME Type for Comma-Separated Values (CSV) Files". */
#include "app_internal.h"

#include <math.h>

GlnCsv gln_csv(GlnBuffer *out) {
  return (GlnCsv){.out = out};
}

static void begin_field(GlnCsv *csv) {
  if (csv->row_begun)
    gln_buffer_add_byte(csv->out, ',');
  csv->row_begun = true;
}

static bool wants_quotes(GlnText text) {
  for (size_t i = 0; i < text.length; i++)
    if (text.at[i] == ',' || text.at[i] == '"' || text.at[i] == '\r' || text.at[i] == '\n')
      return true;
  return false;
}

void gln_csv_text(GlnCsv *csv, GlnText text) {
  begin_field(csv);
  if (!wants_quotes(text)) {
    gln_buffer_add(csv->out, text);
    return;
  }
  gln_buffer_add_byte(csv->out, '"');
  for (size_t i = 0; i < text.length; i++) {
    if (text.at[i] == '"')
      gln_buffer_add_byte(csv->out, '"');
    gln_buffer_add_byte(csv->out, text.at[i]);
  }
  gln_buffer_add_byte(csv->out, '"');
}

void gln_csv_integer(GlnCsv *csv, long long value) {
  begin_field(csv);
  gln_buffer_add_integer(csv->out, value);
}

void gln_csv_number(GlnCsv *csv, double value, int decimals) {
  begin_field(csv);
  if (!isfinite(value))
    return;
  gln_buffer_add_number(csv->out, value, decimals);
  size_t *length = &csv->out->length;
  const char *bytes = csv->out->at;
  while (decimals > 0 && *length > 0 && bytes[*length - 1] == '0')
    --*length;
  if (decimals > 0 && *length > 0 && bytes[*length - 1] == '.')
    --*length;
}

/* A printed grip is one sign a string, or fields with hyphens between. */
static void add_signs(GlnCsv *csv, const char *printed, size_t length, bool has_hyphens) {
  begin_field(csv);
  for (size_t i = 0; i < length; i++) {
    if (i > 0 && !has_hyphens)
      gln_buffer_add_byte(csv->out, ' ');
    gln_buffer_add_byte(csv->out, printed[i] == '-' ? ' ' : printed[i]);
  }
}

void gln_csv_grip(GlnCsv *csv, const GlnGrip *grip) {
  if (grip == NULL) {
    begin_field(csv);
    begin_field(csv);
    return;
  }
  char printed[GLN_FRETS_TEXT_MAX];
  size_t length = gln_frets_print(&grip->frets, printed);
  add_signs(csv, printed, length, length > (size_t)grip->frets.string_count);
  length = gln_fingers_print(&grip->frets, &grip->fingering, printed);
  add_signs(csv, printed, length, false);
}

void gln_csv_heads(GlnCsv *csv, const char *const *heads, size_t count) {
  for (size_t h = 0; h < count; h++)
    gln_csv_text(csv, gln_text(heads[h]));
  gln_csv_end_row(csv);
}

void gln_csv_end_row(GlnCsv *csv) {
  gln_buffer_add_string(csv->out, "\r\n");
  csv->row_begun = false;
}
