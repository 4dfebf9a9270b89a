/* The hardest changes: two diagrams, what each finger does between them, and the tempo up to which that is
 * comfortable. */
#include "page_internal.h"

#include <math.h>
#include <stdlib.h>

/* ---- which changes are hard ---- */

/* A change that is comfortable at so many times the song's tempo is not worth the paper, past the first few.
 * Design choices, judged on the songs of examples/. */
#define EASY_TIMES 2.0
#define AT_LEAST   3

typedef struct Timed {
  double tempo;
  size_t slot;
} Timed;

static int by_tempo(const void *a, const void *b) {
  const Timed *x = a, *y = b;
  if (x->tempo < y->tempo || x->tempo > y->tempo)
    return x->tempo < y->tempo ? -1 : 1;
  return x->slot < y->slot ? -1 : x->slot > y->slot;
}

/* Place of the change between these two grips among those found; count when it is new. */
static size_t find_pair(const GlnHardChanges *hard, const GlnLine *line, size_t from, size_t into) {
  size_t at = 0;
  while (at < hard->count && (line->slots[hard->items[at].from].distinct != line->slots[from].distinct ||
                              line->slots[hard->items[at].into].distinct != line->slots[into].distinct))
    at++;
  return at;
}

bool gln_hard_changes_find(const GlnLine *line, GlnArena *arena, GlnHardChanges *hard) {
  *hard = (GlnHardChanges){.number = GLN_NEW(arena, uint8_t, line->slot_count)};
  Timed *timed = GLN_NEW(arena, Timed, line->slot_count);
  if (!hard->number || !timed)
    return false;
  size_t count = 0;
  for (size_t i = 0; i < line->slot_count; i++) {
    double tempo = gln_line_change_tempo(line, i);
    if (isfinite(tempo))
      timed[count++] = (Timed){tempo, i};
  }
  qsort(timed, count, sizeof *timed, by_tempo);
  for (size_t i = 0; i < count; i++) {
    size_t into = timed[i].slot, from = gln_line_before(line, into);
    size_t at = find_pair(hard, line, from, into);
    bool easy = timed[i].tempo > EASY_TIMES * line->tempo && hard->count >= AT_LEAST;
    if (at == hard->count && at < GLN_HARD_CHANGES_MAX && !easy)
      hard->items[hard->count++] = (GlnHardChange){from, into, timed[i].tempo};
    /* The same change with more time for it is not hard there. */
    if (at < hard->count && timed[i].tempo <= hard->items[at].tempo * 1.01)
      hard->number[into] = (uint8_t)(at + 1);
  }
  return true;
}

void gln_hard_change_mark(GlnCanvas *canvas, size_t number, double x, double y) {
  GlnBuffer words = gln_buffer(canvas->arena);
  gln_buffer_format(&words, "%zu", number);
  double half = GLN_HARD_MARK_SIZE / 2, wide = number < 10 ? half : half * 1.35;
  gln_canvas_area(canvas, (GlnBox){x - wide, y - half, x + wide, y + half}, 1.5, 0, GLN_INK);
  GlnSegment segment = {
      .text = gln_canvas_said(canvas, &words), .face = GLN_FACE_BOLD, .size = 7, .stretch = 1};
  const GlnShaped *text = gln_canvas_shape(canvas, &segment, 1);
  gln_canvas_text(canvas, text, x - (text->ink.left + text->ink.right) / 2,
                  y - (text->ink.top + text->ink.bottom) / 2, GLN_PAPER_WHITE);
}

/* ---- on paper ---- */

/* Points; design choice, judged by eye. */
#define STRING_GAP   8.0
#define NAME_SIZE    13.0
#define NAME_ROW     17.0
#define NUMBER_ROOM  16.0 /* left of the first diagram */
#define ARROW_ROOM   22.0
#define TEXT_SIZE    7.5
#define LEADING      9.8
#define WORDS_GAP    10.0
#define ROW_GAP      12.0
#define COLUMN_LEAST 235.0 /* two columns where the page gives each so much */
#define COLUMN_GAP   14.0

typedef struct Lines {
  GlnText text[16];
  GlnFace face[16];
  size_t count;
} Lines;

/* One change, measured. */
typedef struct Entry {
  const GlnLineSlot *from, *into;
  GlnDiagramSize size_from, size_into;
  double step;    /* from the first grid to the second */
  double words_x; /* of the words, from the column's left */
  Lines lines;
  double height;
} Entry;

typedef struct Moves {
  GlnSheet *sheet;
  GlnDiagramStyle style;
  double column;
} Moves;

static void add_lines(GlnCanvas *canvas, GlnText words, GlnFace face, double width, Lines *lines) {
  for (GlnText rest = gln_text_trim(words); rest.length > 0 && lines->count < GLN_COUNT_OF(lines->text);) {
    GlnText fits = gln_canvas_fit(canvas, rest, face, TEXT_SIZE, width);
    lines->face[lines->count] = face;
    lines->text[lines->count++] = gln_text_trim(fits);
    rest = gln_text_trim(gln_text_from(rest, fits.length));
  }
}

/* No-break spaces keep sign and number together. */
static GlnText tempo_words(GlnSheet *sheet, double tempo) {
  GlnBuffer words = gln_buffer(sheet->canvas->arena);
  gln_buffer_format(&words, "up to \u2669\u00A0=\u00A0%d", (int)floor(tempo));
  return gln_canvas_said(sheet->canvas, &words);
}

/* "Bars 5, 13, 21": of the song as played. */
static GlnText place_words(GlnSheet *sheet, size_t number) {
  const GlnLine *line = sheet->line;
  GlnBuffer words = gln_buffer(sheet->canvas->arena);
  size_t told = 0, more = 0;
  uint32_t last = UINT32_MAX;
  for (size_t i = 0; i < line->slot_count; i++) {
    uint32_t bar = line->slots[i].slot->bar;
    if (sheet->hard->number[i] != number || bar == last)
      continue;
    last = bar;
    if (told < 8)
      gln_buffer_format(&words, "%s%u", told++ > 0 ? ", " : "", (unsigned)bar);
    else
      more++;
  }
  GlnBuffer whole = gln_buffer(sheet->canvas->arena);
  gln_buffer_add_string(&whole, told > 1 ? "Bars " : "Bar ");
  gln_buffer_add(&whole, gln_buffer_text(&words));
  if (more > 0)
    gln_buffer_format(&whole, " and %zu more", more);
  return gln_canvas_said(sheet->canvas, &whole);
}

static Entry measure(const Moves *moves, size_t index) {
  GlnSheet *sheet = moves->sheet;
  GlnCanvas *canvas = sheet->canvas;
  const GlnHardChange *change = &sheet->hard->items[index];
  Entry entry = {.from = &sheet->line->slots[change->from], .into = &sheet->line->slots[change->into]};
  entry.size_from = gln_diagram_measure(canvas, &entry.from->grip, &moves->style);
  entry.size_into = gln_diagram_measure(canvas, &entry.into->grip, &moves->style);
  entry.step = entry.size_from.grid_width + entry.size_from.right + ARROW_ROOM + entry.size_into.left;
  entry.words_x = NUMBER_ROOM + entry.size_from.left + entry.step + entry.size_into.grid_width +
                  entry.size_into.right + WORDS_GAP;
  GlnBuffer words = gln_buffer(canvas->arena);
  gln_move_describe(sheet->instrument, &entry.from->grip, &entry.into->grip, &entry.into->move, &words);
  GlnText said = gln_canvas_said(canvas, &words);
  if (said.length > 0 && said.at[0] >= 'a' && said.at[0] <= 'z')
    words.at[0] = (char)(said.at[0] - 'a' + 'A'); /* a sentence of its own here */
  gln_buffer_add_byte(&words, '.');
  double width = moves->column - entry.words_x;
  add_lines(canvas, tempo_words(sheet, change->tempo), GLN_FACE_BOLD, width, &entry.lines);
  add_lines(canvas, gln_canvas_said(canvas, &words), GLN_FACE_TEXT, width, &entry.lines);
  add_lines(canvas, place_words(sheet, index + 1), GLN_FACE_TEXT, width, &entry.lines);
  double diagrams = NAME_ROW + fmax(entry.size_from.height, entry.size_into.height);
  entry.height = fmax(diagrams, (double)entry.lines.count * LEADING + 2);
  return entry;
}

static void draw_grip(const Moves *moves, const GlnLineSlot *slot, double grid, double top, double room) {
  GlnCanvas *canvas = moves->sheet->canvas;
  const GlnEvent *event = slot->slot->event;
  const GlnShaped *name = gln_chord_name_shape(canvas, event->symbol, &event->chord, NAME_SIZE, room);
  gln_canvas_text(canvas, name, grid - moves->style.string_gap * 0.5, top + NAME_ROW - 4, GLN_INK);
  gln_diagram_draw(canvas, &slot->grip, &moves->style, grid, top + NAME_ROW);
}

static void draw_arrow(GlnCanvas *canvas, double left, double right, double y) {
  gln_canvas_stroke(canvas, left, y, right, y, 1.1, GLN_INK);
  const GlnSpot head[3] = {{right - 4, y - 3}, {right, y}, {right - 4, y + 3}};
  gln_canvas_line(canvas, head, 3, 1.1, GLN_INK, true);
}

/* The change in words, for those who do not see it. */
static GlnText describe(const Moves *moves, const Entry *entry) {
  GlnBuffer words = gln_buffer(moves->sheet->canvas->arena);
  gln_diagram_describe(&entry->from->grip, entry->from->slot->event->symbol, moves->sheet->instrument,
                       &words);
  gln_buffer_add_string(&words, "; then ");
  gln_diagram_describe(&entry->into->grip, entry->into->slot->event->symbol, moves->sheet->instrument,
                       &words);
  return gln_canvas_said(moves->sheet->canvas, &words);
}

static void draw(const Moves *moves, const Entry *entry, size_t index, double x, double top) {
  GlnCanvas *canvas = moves->sheet->canvas;
  gln_canvas_block(canvas, "move", describe(moves, entry));
  gln_hard_change_mark(canvas, index + 1, x + 6.5, top + NAME_ROW - 8);
  double grid = x + NUMBER_ROOM + entry->size_from.left, second = grid + entry->step;
  draw_grip(moves, entry->from, grid, top, entry->step - 4);
  draw_grip(moves, entry->into, second, top, entry->words_x - (second - x) - 2);
  double middle = top + NAME_ROW + fmin(entry->size_from.height, entry->size_into.height) / 2 + 4;
  double left = grid + entry->size_from.grid_width + entry->size_from.right;
  /* The fret number stands beside the first row: the arrow keeps clear of it by its height. */
  draw_arrow(canvas, left + 4, left + ARROW_ROOM - 5, middle);
  for (size_t i = 0; i < entry->lines.count; i++)
    (void)gln_canvas_words(canvas, entry->lines.text[i], entry->lines.face[i], TEXT_SIZE, x + entry->words_x,
                           top + (double)i * LEADING + 10, GLN_ALIGN_LEFT, GLN_INK);
}

static void draw_heading(GlnSheet *sheet, double followed_by) {
  gln_sheet_part_heading(sheet, followed_by + 24);
  GlnBuffer words = gln_buffer(sheet->canvas->arena);
  gln_buffer_add_string(
      &words, "Each with the tempo up to which it is comfortable; the song goes at \u2669\u00A0=\u00A0");
  gln_buffer_add_number(&words, sheet->line->tempo, 0);
  gln_buffer_add_string(&words, ". Bars are counted as played.");
  gln_sheet_paragraph(sheet, "legend", gln_canvas_said(sheet->canvas, &words), GLN_FACE_TEXT, 7.5,
                      GLN_INK_SOFT, 1000);
  sheet->y += 6;
}

void gln_sheet_moves(GlnSheet *sheet) {
  double width = sheet->right - sheet->left;
  size_t columns = width >= 2 * COLUMN_LEAST + COLUMN_GAP ? 2 : 1;
  Moves moves = {.sheet = sheet,
                 .style = gln_diagram_style(STRING_GAP, sheet->left_handed, sheet->instrument)};
  moves.column = (width - COLUMN_GAP * (double)(columns - 1)) / (double)columns;
  for (size_t at = 0; at < sheet->hard->count && sheet->canvas->status == GLN_OK; at += columns) {
    Entry entries[2];
    size_t count = 0;
    double height = 0;
    for (; count < columns && at + count < sheet->hard->count; count++) {
      entries[count] = measure(&moves, at + count);
      height = fmax(height, entries[count].height);
    }
    if (at == 0)
      draw_heading(sheet, height);
    gln_sheet_need(sheet, height);
    for (size_t i = 0; i < count; i++)
      draw(&moves, &entries[i], at + i, sheet->left + (double)i * (moves.column + COLUMN_GAP), sheet->y);
    sheet->y += height + ROW_GAP;
  }
}
