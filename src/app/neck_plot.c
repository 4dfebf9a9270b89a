/* The hand along the neck, drawn in text: time runs to the right, frets go up. */
#include "app_internal.h"

#include <math.h>
#include <string.h>

#define BEAT_COLUMNS 2 /* for a quarter note: an eighth is the shortest that shows. Design choice */
#define MARGIN       5 /* columns for the frets' numbers */

typedef struct Plot {
  const GlnJob *job;
  const GlnLine *line;
  const size_t *slots; /* slots of the line, in order, those that return left out */
  size_t count;
} Plot;

/* The slot at place p of the plot. */
static const GlnLineSlot *at(const Plot *plot, size_t p) {
  return &plot->line->slots[plot->slots[p]];
}

static size_t columns_of(const GlnLineSlot *slot) {
  double columns = gln_ratio_value(slot->slot->quarters) * BEAT_COLUMNS;
  return columns < 1 ? 1 : (size_t)lround(columns);
}

static bool bar_begins(const Plot *plot, size_t p) {
  return p == 0 || at(plot, p - 1)->slot->bar != at(plot, p)->slot->bar;
}

static bool section_begins(const Plot *plot, size_t p) {
  if (p == 0)
    return true;
  const GlnSlot *a = at(plot, p - 1)->slot, *b = at(plot, p)->slot;
  return a->section != b->section || a->section_pass != b->section_pass;
}

/* Columns of the bar that begins at place p, its line included. */
static size_t bar_columns(const Plot *plot, size_t p) {
  size_t columns = 1 + columns_of(at(plot, p));
  for (p++; p < plot->count && !bar_begins(plot, p); p++)
    columns += columns_of(at(plot, p));
  return columns;
}

/* As many whole bars as fit one row, at least one. */
static size_t row_end(const Plot *plot, size_t first, size_t columns) {
  size_t width = MARGIN + 1;
  for (size_t p = first; p < plot->count; p++) {
    if (!bar_begins(plot, p))
      continue;
    width += bar_columns(plot, p);
    if (width > columns && p > first)
      return p;
  }
  return plot->count;
}

typedef struct FretSpan {
  int low, high; /* high 0: nothing is stopped */
} FretSpan;

static FretSpan stopped_frets(const GlnLineSlot *slot) {
  FretSpan span = {GLN_FRETS_MAX + 1, 0};
  for (int s = 0; !slot->silent && s < slot->grip.frets.string_count; s++) {
    int fret = slot->grip.frets.fret[s];
    if (fret < 1)
      continue;
    span.low = fret < span.low ? fret : span.low;
    span.high = fret > span.high ? fret : span.high;
  }
  return span;
}

static const char *cell(const GlnLineSlot *slot, int fret) {
  for (int s = 0; !slot->silent && s < slot->grip.frets.string_count; s++)
    if (slot->grip.frets.fret[s] == fret)
      return "█";
  FretSpan span = stopped_frets(slot);
  return span.low < fret && fret < span.high ? "░" : " ";
}

static GlnText trim_end(GlnText text) {
  while (text.length > 0 && text.at[text.length - 1] == ' ')
    text.length--;
  return text;
}

static void add_bar_numbers(const Plot *plot, size_t first, size_t end, GlnBuffer *out) {
  GlnBuffer row = gln_buffer(plot->job->arena);
  gln_buffer_add_padded(&row, GLN_TEXT("fret"), MARGIN);
  for (size_t p = first; p < end; p++) {
    if (!bar_begins(plot, p))
      continue;
    size_t width = bar_columns(plot, p);
    GlnBuffer words = gln_buffer(plot->job->arena);
    gln_buffer_format(&words, " %u", (unsigned)at(plot, p)->slot->bar);
    GlnText name = plot->line->song->chart->sections[at(plot, p)->slot->section].name;
    if (section_begins(plot, p) && name.length > 0 && words.length + 3 + gln_text_columns(name) < width) {
      gln_buffer_add_string(&words, " [");
      gln_buffer_add(&words, name);
      gln_buffer_add_byte(&words, ']');
    }
    gln_buffer_add_padded(&row, gln_buffer_text(&words), width);
  }
  gln_add_styled(plot->job, out, GLN_STYLE_DIM, trim_end(gln_buffer_text(&row)));
  gln_buffer_add_byte(out, '\n');
}

/* A double line where the bar before is not the one before in the song. */
static const char *bar_line(const Plot *plot, size_t p) {
  bool joins = p > 0 && plot->slots[p] == plot->slots[p - 1] + 1 && !section_begins(plot, p);
  return joins || p == 0 ? "│" : "║";
}

static void add_fret_row(const Plot *plot, size_t first, size_t end, int fret, GlnBuffer *out) {
  gln_buffer_format(out, "%3d  ", fret);
  for (size_t p = first; p < end; p++) {
    if (bar_begins(plot, p))
      gln_buffer_add_string(out, bar_line(plot, p));
    gln_buffer_add_repeated(out, gln_text(cell(at(plot, p), fret)), columns_of(at(plot, p)));
  }
  gln_buffer_add_string(out, "│\n");
}

/* The song gives this change less time than is comfortable. */
static bool is_hurried(const Plot *plot, size_t p) {
  return gln_line_change_tempo(plot->line, plot->slots[p]) < plot->line->tempo;
}

/* A mark under every hurried change of the row; no row where there is none. */
static void add_hurried(const Plot *plot, size_t first, size_t end, GlnBuffer *out) {
  GlnBuffer row = gln_buffer(plot->job->arena);
  bool any = false;
  gln_buffer_add_repeated(&row, GLN_TEXT(" "), MARGIN);
  for (size_t p = first; p < end; p++) {
    bool hurried = is_hurried(plot, p);
    any = any || hurried;
    if (bar_begins(plot, p))
      gln_buffer_add_byte(&row, ' ');
    gln_buffer_add_string(&row, hurried ? "▲" : " ");
    gln_buffer_add_repeated(&row, GLN_TEXT(" "), columns_of(at(plot, p)) - 1);
  }
  if (!any)
    return;
  gln_buffer_add(out, trim_end(gln_buffer_text(&row)));
  gln_buffer_add_byte(out, '\n');
}

static void add_row(const Plot *plot, size_t first, size_t end, GlnBuffer *out) {
  FretSpan shown = {GLN_FRETS_MAX + 1, 0};
  for (size_t p = first; p < end; p++) {
    FretSpan span = stopped_frets(at(plot, p));
    shown.low = span.low < shown.low ? span.low : shown.low;
    shown.high = span.high > shown.high ? span.high : shown.high;
  }
  if (shown.high == 0)
    return;
  add_bar_numbers(plot, first, end, out);
  for (int fret = shown.high; fret >= shown.low; fret--)
    add_fret_row(plot, first, end, fret, out);
  add_hurried(plot, first, end, out);
}

GlnStatus gln_add_neck_plot(const GlnJob *job, const GlnLine *line, const GlnPassage *passages, size_t count,
                            GlnBuffer *out) {
  size_t *slots = GLN_NEW(job->arena, size_t, line->slot_count);
  if (slots == NULL)
    return GLN_MEMORY;
  Plot plot = {.job = job, .line = line, .slots = slots};
  for (size_t k = 0; k < count; k++)
    for (size_t i = passages[k].first; !passages[k].returns && i < passages[k].end; i++)
      slots[plot.count++] = i;
  for (size_t first = 0; first < plot.count;) {
    size_t end = row_end(&plot, first, job->app->columns);
    add_row(&plot, first, end, out);
    first = end;
  }
  return GLN_OK;
}
