/* Tables for the terminal: columns as wide as they must be, the last one wrapped. */
#include "app_internal.h"

#include <assert.h>
#include <string.h>

#define GAP 2 /* blanks between columns */

GlnTable gln_table(GlnArena *arena, size_t column_count, const char *const *heads) {
  assert(column_count > 0 && column_count <= GLN_TABLE_COLUMNS_MAX);
  return (GlnTable){.arena = arena, .column_count = column_count, .heads = heads};
}

static GlnTableCell *next_cell(GlnTable *table) {
  if (table->cell_count == table->capacity) {
    size_t capacity = table->capacity == 0 ? 64 : table->capacity * 2;
    GlnTableCell *cells = GLN_NEW(table->arena, GlnTableCell, capacity);
    if (cells == NULL) {
      table->failed = true;
      return NULL;
    }
    if (table->cell_count > 0)
      memcpy(cells, table->cells, table->cell_count * sizeof *cells);
    table->cells = cells;
    table->capacity = capacity;
  }
  return &table->cells[table->cell_count++];
}

void gln_table_cell(GlnTable *table, const GlnBuffer *text) {
  GlnTableCell *cell = next_cell(table);
  if (cell != NULL)
    *cell = (GlnTableCell){.text = gln_buffer_text(text)};
  table->failed = table->failed || text->failed;
}

void gln_table_line(GlnTable *table, GlnStyle style, const GlnBuffer *text) {
  GlnTableCell *cell = next_cell(table);
  if (cell != NULL)
    *cell = (GlnTableCell){.text = gln_buffer_text(text), .is_line = true, .style = style};
  table->failed = table->failed || text->failed;
}

static void measure(const GlnTable *table, size_t widths[GLN_TABLE_COLUMNS_MAX]) {
  for (size_t c = 0; c < table->column_count; c++)
    widths[c] = gln_text_columns(gln_text(table->heads[c]));
  size_t column = 0;
  for (size_t i = 0; i < table->cell_count; i++) {
    if (table->cells[i].is_line)
      continue;
    size_t width = gln_text_columns(table->cells[i].text);
    widths[column] = width > widths[column] ? width : widths[column];
    column = column + 1 < table->column_count ? column + 1 : 0;
  }
}

static void add_row(const GlnJob *job, const GlnTable *table, const GlnText *row, const size_t *widths,
                    GlnStyle style, GlnBuffer *out) {
  GlnBuffer line = gln_buffer(table->arena);
  size_t at = 0;
  for (size_t c = 0; c + 1 < table->column_count; c++) {
    gln_buffer_add_padded(&line, row[c], widths[c] + GAP);
    at += widths[c] + GAP;
  }
  GlnText last = row[table->column_count - 1];
  gln_add_wrapped(&line, last, at, at, job->app->columns);
  GlnText text = gln_buffer_text(&line);
  while (text.length > 0 && text.at[text.length - 1] == ' ')
    text.length--;
  gln_add_styled(job, out, style, text);
  gln_buffer_add_byte(out, '\n');
  out->failed = out->failed || line.failed;
}

void gln_table_print(const GlnJob *job, const GlnTable *table, GlnBuffer *out) {
  size_t widths[GLN_TABLE_COLUMNS_MAX] = {0};
  GlnText row[GLN_TABLE_COLUMNS_MAX] = {{NULL, 0}};
  measure(table, widths);
  for (size_t c = 0; c < table->column_count; c++)
    row[c] = gln_text(table->heads[c]);
  add_row(job, table, row, widths, GLN_STYLE_DIM, out);
  size_t column = 0;
  for (size_t i = 0; i < table->cell_count; i++) {
    const GlnTableCell *cell = &table->cells[i];
    if (cell->is_line) {
      gln_add_styled(job, out, cell->style, cell->text);
      gln_buffer_add_byte(out, '\n');
      continue;
    }
    row[column++] = cell->text;
    if (column < table->column_count)
      continue;
    add_row(job, table, row, widths, GLN_STYLE_PLAIN, out);
    column = 0;
  }
  out->failed = out->failed || table->failed;
}
