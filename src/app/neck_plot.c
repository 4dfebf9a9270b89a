/* The hand along the neck, drawn in text: time runs to the right, frets go up. */
#include "app_internal.h"

#include <math.h>
#include <string.h>

#define BEAT_COLUMNS 2 /* for a quarter note: an eighth is the shortest that shows. Design choice */
#define MARGIN 5       /* columns for the frets' numbers */
#define PLOT_ROWS_MAX (GLN_FRETS_MAX + 1)

typedef struct Plot {
  const GlnJob *job;
  const GlnLine *line;
  int low, high; /* frets shown */
} Plot;

static void widen(Plot *plot, const GlnLineSlot *slot) {
  if (slot->silent)
    return;
  for (int s = 0; s < slot->grip.frets.string_count; s++) {
    int fret = slot->grip.frets.fret[s];
    if (fret < 1)
      continue;
    plot->low = fret < plot->low ? fret : plot->low;
    plot->high = fret > plot->high ? fret : plot->high;
  }
}

static size_t columns_of(const GlnLineSlot *slot) {
  double columns = gln_ratio_value(slot->slot->quarters) * BEAT_COLUMNS;
  return columns < 1 ? 1 : (size_t)lround(columns);
}

static bool bar_begins(const GlnLine *line, size_t first, size_t i) {
  return i == first || line->slots[i - 1].slot->bar != line->slots[i].slot->bar;
}

/* Columns of the bar that begins at slot i, its line included. */
static size_t bar_columns(const GlnLine *line, size_t i, size_t end) {
  uint32_t bar = line->slots[i].slot->bar;
  size_t columns = 1;
  for (; i < end && line->slots[i].slot->bar == bar; i++)
    columns += columns_of(&line->slots[i]);
  return columns;
}

/* As many whole bars as fit one row, at least one. */
static size_t row_end(const GlnLine *line, size_t first, size_t end, size_t columns) {
  size_t at = MARGIN;
  for (size_t i = first; i < end; i++) {
    if (!bar_begins(line, first, i))
      continue;
    at += bar_columns(line, i, end);
    if (at > columns && i > first)
      return i;
  }
  return end;
}

static const char *cell(const GlnLineSlot *slot, int fret) {
  int low = GLN_FRETS_MAX + 1, high = 0;
  bool stopped = false;
  for (int s = 0; !slot->silent && s < slot->grip.frets.string_count; s++) {
    int at = slot->grip.frets.fret[s];
    if (at < 1)
      continue;
    stopped = stopped || at == fret;
    low = at < low ? at : low;
    high = at > high ? at : high;
  }
  if (stopped)
    return "█";
  return low < fret && fret < high ? "░" : " ";
}

static void add_bar_numbers(const Plot *plot, size_t first, size_t end, GlnBuffer *out) {
  GlnBuffer row = gln_buffer(plot->job->arena);
  gln_buffer_add_padded(&row, GLN_TEXT("fret"), MARGIN);
  for (size_t i = first; i < end; i++) {
    if (!bar_begins(plot->line, first, i))
      continue;
    GlnBuffer number = gln_buffer(plot->job->arena);
    gln_buffer_format(&number, " %u", (unsigned)plot->line->slots[i].slot->bar);
    gln_buffer_add_padded(&row, gln_buffer_text(&number), bar_columns(plot->line, i, end));
  }
  gln_add_styled(plot->job, out, GLN_STYLE_DIM, gln_buffer_text(&row));
  gln_buffer_add_byte(out, '\n');
}

static void add_fret_row(const Plot *plot, size_t first, size_t end, int fret, GlnBuffer *out) {
  gln_buffer_format(out, "%3d  ", fret);
  for (size_t i = first; i < end; i++) {
    if (bar_begins(plot->line, first, i))
      gln_buffer_add_string(out, "│");
    gln_buffer_add_repeated(out, gln_text(cell(&plot->line->slots[i], fret)), columns_of(&plot->line->slots[i]));
  }
  gln_buffer_add_string(out, "│\n");
}

static void add_system(const Plot *plot, size_t first, size_t end, GlnBuffer *out) {
  Plot here = *plot;
  here.low = GLN_FRETS_MAX + 1;
  here.high = 0;
  for (size_t i = first; i < end; i++)
    widen(&here, &plot->line->slots[i]);
  if (here.high == 0)
    return;
  add_bar_numbers(&here, first, end, out);
  for (int fret = here.high; fret >= here.low; fret--)
    add_fret_row(&here, first, end, fret, out);
}

void gln_add_neck_plot(const GlnJob *job, const GlnLine *line, size_t first, size_t end, GlnBuffer *out) {
  const Plot plot = {.job = job, .line = line};
  while (first < end) {
    size_t stop = row_end(line, first, end, job->app->columns - 1);
    add_system(&plot, first, stop, out);
    first = stop;
  }
}
