/* The chart on the sheet: lines of four bars, chord names and diagrams over a strip of beats.
 * A bar that does not fit beside its neighbours takes a line of two, then of one; a bar wider than the page
 * goes on in the next line. Where a chord's beat leaves too little room it moves right, and its slashes with
 * it. */
#include "page_internal.h"

#include <assert.h>
#include <math.h>

/* Points; design choice, judged by eye on A4 and Letter. */
#define STRING_GAP     7.4
#define NAME_SIZE      15.0
#define NAME_WIDEST    150.0
#define NAME_ROW       18.5
#define OVER_ROW       14.0 /* ending brackets and "3 times", where there are any */
#define DIAGRAM_GAP    3.0  /* under the names */
#define STRIP_GAP      6.0  /* under the diagrams */
#define STRIP_HEIGHT   14.0
#define LINE_GAP       15.0 /* between lines */
#define HEADING_SIZE   11.0
#define HEADING_HEIGHT 24.0
#define BARS_A_LINE    4
#define BAR_PAD        7.0
#define REPEAT_ROOM    9.0
#define METER_ROOM     14.0
#define METER_SIZE     16.0
#define CELL_GAP       6.0 /* least room between neighbours */

/* One chord with its diagram. */
typedef struct Cell {
  const GlnEvent *event;
  const GlnLineSlot *slot; /* NULL: never played */
  const GlnShaped *name;
  GlnDiagramSize size;
  double width, x;
} Cell;

/* A bar, or part of one that is wider than the page. */
typedef struct Piece {
  const GlnBar *bar;
  Cell *cells;
  size_t count;
  bool begins, ends; /* the bar begins, ends here */
  bool meter;        /* a time signature comes first */
  bool last;         /* of its section */
  bool ending;       /* an ending begins here */
  double need, x, width;
} Piece;

typedef struct Chart {
  GlnSheet *sheet;
  GlnDiagramStyle style;
  const GlnLineSlot *
      *slots;               /* for each written chord, in order of the chart, its first playing; NULL: none */
  const GlnLineSlot **next; /* of the next section's first chord */
} Chart;

/* ---- which grip belongs to which written chord
 * ------------------------------------------------------------------------ */

static void find_slots(Chart *found) {
  const GlnLine *line = found->sheet->line;
  const GlnChart *chart = found->sheet->chart;
  size_t total = 0, bars = 0;
  for (size_t s = 0; s < chart->section_count; s++) {
    bars += chart->sections[s].bar_count;
    for (size_t b = 0; b < chart->sections[s].bar_count; b++)
      total += chart->sections[s].bars[b].event_count;
  }
  found->slots = GLN_NEW(found->sheet->canvas->arena, const GlnLineSlot *, total);
  /* Where each section's bars begin, and each bar's events. */
  size_t *section_at = GLN_NEW(found->sheet->canvas->arena, size_t, chart->section_count);
  size_t *event_at = GLN_NEW(found->sheet->canvas->arena, size_t, bars);
  if (!found->slots || !section_at || !event_at) {
    gln_canvas_fail(found->sheet->canvas, GLN_MEMORY);
    return;
  }
  size_t bar_index = 0, event_index = 0;
  for (size_t s = 0; s < chart->section_count; s++) {
    section_at[s] = bar_index;
    for (size_t b = 0; b < chart->sections[s].bar_count; b++) {
      event_at[bar_index++] = event_index;
      event_index += chart->sections[s].bars[b].event_count;
    }
  }
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    const GlnBar *bar = &chart->sections[slot->section].bars[slot->written_bar];
    for (size_t e = 0; e < bar->event_count; e++) {
      size_t at = event_at[section_at[slot->section] + slot->written_bar] + e;
      if (&bar->events[e] == slot->event && !found->slots[at])
        found->slots[at] = &line->slots[i];
    }
  }
}

/* ---- measuring
 * -----------------------------------------------------------------------------------------------------------
 */

static void measure_cell(Chart *chart, Cell *cell) {
  GlnCanvas *canvas = chart->sheet->canvas;
  cell->name = gln_chord_name_shape(canvas, cell->event->symbol, &cell->event->chord, NAME_SIZE, NAME_WIDEST);
  cell->width = fmax(cell->name->advance, cell->name->ink.right);
  if (cell->slot && !cell->slot->silent) {
    cell->size = gln_diagram_measure(canvas, &cell->slot->grip, &chart->style);
    cell->width = fmax(cell->width, cell->size.left + cell->size.grid_width + cell->size.right);
  }
  cell->width += CELL_GAP;
}

static double left_room(const Piece *piece) {
  return BAR_PAD + (piece->begins && piece->bar->repeat_starts ? REPEAT_ROOM : 0) +
         (piece->meter ? METER_ROOM : 0);
}

static double right_room(const Piece *piece) {
  return piece->ends && piece->bar->repeat_plays > 0 ? REPEAT_ROOM : 0;
}

static void measure_piece(Piece *piece) {
  piece->need = left_room(piece) + right_room(piece);
  if (piece->bar->same_as_last)
    piece->need += 28;
  else
    for (size_t i = 0; i < piece->count; i++)
      piece->need += piece->cells[i].width;
}

/* Cuts a bar into pieces no wider than the page; returns how many. pieces has room for one each chord. */
static size_t cut_bar(const Piece *whole, double widest, Piece *pieces) {
  Piece piece = *whole;
  measure_piece(&piece);
  pieces[0] = piece;
  if (piece.need <= widest || whole->count <= 1)
    return 1;
  size_t count = 0;
  for (size_t at = 0; at < whole->count;) {
    piece = *whole;
    piece.cells = whole->cells + at;
    piece.begins = at == 0;
    piece.meter = whole->meter && at == 0;
    piece.ending = whole->ending && at == 0;
    piece.count = 0;
    do {
      piece.count++;
      piece.ends = at + piece.count == whole->count;
      measure_piece(&piece);
    } while (!piece.ends && piece.need + piece.cells[piece.count].width + REPEAT_ROOM <= widest);
    at += piece.count;
    pieces[count++] = piece;
  }
  return count;
}

static bool is_pick_up(const GlnBar *bar) {
  return gln_ratio_compare(bar->beats, gln_ratio(bar->meter.beats, 1)) < 0;
}

/* How many pieces from at go on one line; *placed counts the section's bars that are on earlier lines. */
static size_t take_line(const Piece *pieces, size_t count, size_t at, size_t placed, double width) {
  size_t wish = BARS_A_LINE - placed % BARS_A_LINE;
  if (at == 0 && is_pick_up(pieces[0].bar))
    wish++;
  for (;; wish = wish > 2 ? 2 : 1) {
    size_t taken = 0;
    double need = 0;
    while (taken < wish && at + taken < count && pieces[at + taken].begins && pieces[at + taken].ends)
      need += pieces[at + taken++].need;
    if (taken > 0 && need <= width)
      return taken;
    if (wish == 1 || taken == 0)
      return 1;
  }
}

/* ---- placing
 * -----------------------------------------------------------------------------------------------------------------
 */

/* Widths of a line's bars: equal where they can be, more for one that needs it. */
static void share_width(Piece *pieces, size_t count, double width) {
  double rest = width;
  size_t open = count;
  for (size_t i = 0; i < count; i++)
    pieces[i].width = 0;
  for (bool changed = true; changed && open > 0;) {
    changed = false;
    double share = rest / (double)open;
    for (size_t i = 0; i < count; i++)
      if (pieces[i].width <= 0 && pieces[i].need > share) {
        pieces[i].width = pieces[i].need;
        rest -= pieces[i].need;
        open--;
        changed = true;
        break;
      }
  }
  for (size_t i = 0; i < count; i++)
    if (pieces[i].width <= 0)
      pieces[i].width = rest / (double)open;
}

static void place_line(const Chart *chart, Piece *pieces, size_t count) {
  double width = chart->sheet->right - chart->sheet->left, narrow = width / BARS_A_LINE;
  bool fits_narrow = count < BARS_A_LINE && pieces[count - 1].last;
  for (size_t i = 0; i < count; i++)
    fits_narrow = fits_narrow && pieces[i].need <= narrow;
  share_width(pieces, count, fits_narrow ? narrow * (double)count : width);
  double x = chart->sheet->left;
  for (size_t i = 0; i < count; i++) {
    pieces[i].x = x;
    x += pieces[i].width;
  }
}

static void place_cells(Piece *piece) {
  double start = piece->x + left_room(piece), end = piece->x + piece->width - right_room(piece), rest = 0;
  const GlnEvent *first = piece->cells[0].event, *last = piece->cells[piece->count - 1].event;
  double from = gln_ratio_value(first->beat);
  double beats = gln_ratio_value(gln_ratio_add(last->beat, last->beats)) - from;
  for (size_t i = 0; i < piece->count; i++)
    rest += piece->cells[i].width;
  for (size_t i = 0; i < piece->count; i++) {
    Cell *cell = &piece->cells[i];
    double on_beat = start + (end - start) * (gln_ratio_value(cell->event->beat) - from) / beats;
    double after_last = i == 0 ? start : piece->cells[i - 1].x + piece->cells[i - 1].width;
    cell->x = fmin(fmax(on_beat, after_last), end - rest);
    rest -= cell->width;
  }
}

/* ---- drawing
 * ------------------------------------------------------------------------------------------------------------------
 */

static double first_string(const Chart *chart, const Cell *cell) {
  return cell->x + chart->style.string_gap * 0.5;
}

/* A slash, upright middle at x. */
static void draw_slash(GlnCanvas *canvas, double x, double middle, double size) {
  const GlnSpot spots[2] = {{x - size * 0.36, middle + size * 0.5}, {x + size * 0.36, middle - size * 0.5}};
  gln_canvas_line(canvas, spots, 2, 1.7, GLN_INK, false);
}

static void draw_rest(GlnCanvas *canvas, int unit, double x, double middle) {
  GlnText sign = unit <= 2 ? GLN_TEXT("\uE4E4") : unit == 4 ? GLN_TEXT("\uE4E5") : GLN_TEXT("\uE4E6");
  GlnSegment segment = {
      .text = sign, .said = GLN_TEXT(" "), .face = GLN_FACE_MUSIC, .size = 13, .stretch = 1};
  const GlnShaped *rest = gln_canvas_shape(canvas, &segment, 1);
  gln_canvas_text(canvas, rest, x - (rest->ink.left + rest->ink.right) / 2,
                  middle - (rest->ink.top + rest->ink.bottom) / 2, GLN_INK);
}

/* A slash for each beat of a chord; one that enters between beats gets a small one of its own. */
static void draw_beats(const Chart *chart, const Piece *piece, size_t index, double middle) {
  GlnCanvas *canvas = chart->sheet->canvas;
  const Cell *cell = &piece->cells[index];
  double x = first_string(chart, cell);
  double end = index + 1 < piece->count ? first_string(chart, &piece->cells[index + 1])
                                        : piece->x + piece->width - right_room(piece) + BAR_PAD * 0.5;
  double beat = gln_ratio_value(cell->event->beat), beats = gln_ratio_value(cell->event->beats);
  double each = (end - x) / beats;
  bool silent = cell->event->chord.silent;
  if (ceil(beat - 1e-9) - beat > 1e-9 && !silent)
    draw_slash(canvas, x, middle, 4.5);
  double least = 0; /* beats too near one another to be told apart are thinned out */
  for (double at = ceil(beat - 1e-9); at < beat + beats - 1e-9; at += 1) {
    double place = x + (at - beat) * each;
    if (place < least)
      continue;
    if (silent)
      draw_rest(canvas, piece->bar->meter.unit, place, middle);
    else
      draw_slash(canvas, place, middle, 8);
    least = place + 7;
  }
}

static void draw_digits(GlnCanvas *canvas, int number, double centre, double baseline) {
  char signs[16];
  size_t length = 0;
  int digits[4], count = 0;
  for (int rest = number; count < 4 && (rest > 0 || count == 0); rest /= 10)
    digits[count++] = rest % 10;
  while (count-- > 0) { /* SMuFL time-signature digits, U+E080..U+E089 */
    signs[length++] = '\xEE';
    signs[length++] = '\x82';
    signs[length++] = (char)(0x80 + digits[count]);
  }
  GlnBuffer said = gln_buffer(canvas->arena);
  gln_buffer_add_integer(&said, number);
  GlnSegment segment = {.text = {signs, length},
                        .said = gln_canvas_said(canvas, &said),
                        .face = GLN_FACE_MUSIC,
                        .size = METER_SIZE,
                        .stretch = 1};
  const GlnShaped *shaped = gln_canvas_shape(canvas, &segment, 1);
  gln_canvas_text(canvas, shaped, centre - shaped->advance / 2, baseline, GLN_INK);
}

static void draw_dots(GlnCanvas *canvas, double x, double middle) {
  gln_canvas_disc(canvas, x, middle - 2.4, 1.1, 0, GLN_INK);
  gln_canvas_disc(canvas, x, middle + 2.4, 1.1, 0, GLN_INK);
}

static void draw_bar_start(GlnCanvas *canvas, const Piece *piece, bool first_on_line, double top) {
  double x = piece->x, middle = top + STRIP_HEIGHT / 2;
  if (piece->begins && piece->bar->repeat_starts) {
    gln_canvas_stroke(canvas, x + 1.1, top, x + 1.1, top + STRIP_HEIGHT, 2.2, GLN_INK);
    gln_canvas_stroke(canvas, x + 4.2, top, x + 4.2, top + STRIP_HEIGHT, 0.7, GLN_INK);
    draw_dots(canvas, x + 7.4, middle);
  } else if (first_on_line && piece->begins) {
    gln_canvas_stroke(canvas, x + 0.35, top, x + 0.35, top + STRIP_HEIGHT, 0.7, GLN_INK);
  }
  if (!piece->meter)
    return;
  double centre = x + left_room(piece) - METER_ROOM / 2 - 2;
  draw_digits(canvas, piece->bar->meter.beats, centre, top + STRIP_HEIGHT / 2 - METER_SIZE * 0.26);
  draw_digits(canvas, piece->bar->meter.unit, centre, top + STRIP_HEIGHT / 2 + METER_SIZE * 0.26);
}

static void draw_bar_end(GlnCanvas *canvas, const Piece *piece, const Piece *next, bool last_of_all,
                         double top) {
  double x = piece->x + piece->width, bottom = top + STRIP_HEIGHT;
  if (!piece->ends)
    return;
  if (piece->bar->repeat_plays > 0) {
    draw_dots(canvas, x - 7.4, top + STRIP_HEIGHT / 2);
    gln_canvas_stroke(canvas, x - 4.2, top, x - 4.2, bottom, 0.7, GLN_INK);
    gln_canvas_stroke(canvas, x - 1.1, top, x - 1.1, bottom, 2.2, GLN_INK);
  } else if (last_of_all) {
    gln_canvas_stroke(canvas, x - 4.2, top, x - 4.2, bottom, 0.7, GLN_INK);
    gln_canvas_stroke(canvas, x - 1.1, top, x - 1.1, bottom, 2.2, GLN_INK);
  } else if (piece->last) {
    gln_canvas_stroke(canvas, x - 2.8, top, x - 2.8, bottom, 0.7, GLN_INK);
    gln_canvas_stroke(canvas, x - 0.35, top, x - 0.35, bottom, 0.7, GLN_INK);
  } else if (!next || !next->bar->repeat_starts) { /* a repeat's own line stands there */
    gln_canvas_stroke(canvas, x - 0.35, top, x - 0.35, bottom, 0.7, GLN_INK);
  }
}

static void draw_simile(GlnCanvas *canvas, const Piece *piece, double middle) {
  GlnSegment segment = {
      .text = GLN_TEXT("\uE500"), .said = GLN_TEXT("%"), .face = GLN_FACE_MUSIC, .size = 20, .stretch = 1};
  const GlnShaped *sign = gln_canvas_shape(canvas, &segment, 1);
  double centre = (piece->x + left_room(piece) - BAR_PAD + piece->x + piece->width - right_room(piece)) / 2;
  gln_canvas_text(canvas, sign, centre - (sign->ink.left + sign->ink.right) / 2,
                  middle - (sign->ink.top + sign->ink.bottom) / 2, GLN_INK);
}

static void draw_strip(const Chart *chart, const Piece *pieces, size_t count, bool last_of_all, double top) {
  GlnCanvas *canvas = chart->sheet->canvas;
  gln_canvas_block(canvas, "bars", GLN_TEXT(""));
  for (size_t p = 0; p < count; p++) {
    const Piece *piece = &pieces[p];
    draw_bar_start(canvas, piece, p == 0, top);
    if (piece->bar->same_as_last)
      draw_simile(canvas, piece, top + STRIP_HEIGHT / 2);
    else
      for (size_t i = 0; i < piece->count; i++)
        draw_beats(chart, piece, i, top + STRIP_HEIGHT / 2);
    draw_bar_end(canvas, piece, p + 1 < count ? piece + 1 : NULL, last_of_all && p + 1 == count, top);
  }
}

static GlnText ending_words(GlnCanvas *canvas, uint32_t endings) {
  GlnBuffer words = gln_buffer(canvas->arena);
  for (int n = 1; n < 32; n++)
    if (endings & (UINT32_C(1) << n))
      gln_buffer_format(&words, "%s%d.", words.length ? " " : "", n);
  return gln_canvas_said(canvas, &words);
}

/* Ending brackets and how often a repeat is played, over the names. */
static void draw_over(const Chart *chart, const Piece *pieces, size_t count, double top) {
  GlnCanvas *canvas = chart->sheet->canvas;
  for (size_t p = 0; p < count; p++) {
    const Piece *piece = &pieces[p];
    gln_canvas_block(canvas, "over", GLN_TEXT(""));
    uint32_t endings = piece->bar->endings;
    if (endings) {
      bool begins = piece->ending;
      double left = piece->x + (begins ? 1.5 : 0),
             right =
                 piece->x + piece->width - (p + 1 < count && pieces[p + 1].bar->endings == endings ? 0 : 1.5);
      gln_canvas_stroke(canvas, left, top, right, top, 0.6, GLN_INK);
      if (begins) {
        gln_canvas_stroke(canvas, left, top, left, top + 9, 0.6, GLN_INK);
        (void)gln_canvas_words(canvas, ending_words(canvas, endings), GLN_FACE_TEXT, 7.5, left + 3, top + 8.5,
                               GLN_ALIGN_LEFT, GLN_INK);
      }
      if (piece->ends && piece->bar->repeat_plays > 0)
        gln_canvas_stroke(canvas, right, top, right, top + 9, 0.6, GLN_INK);
    }
    if (piece->ends && piece->bar->repeat_plays > 2) {
      GlnBuffer words = gln_buffer(canvas->arena);
      gln_buffer_format(&words, "%d times", piece->bar->repeat_plays);
      (void)gln_canvas_words(canvas, gln_canvas_said(canvas, &words), GLN_FACE_TEXT, 7.5,
                             piece->x + piece->width - 4, top + 8.5, GLN_ALIGN_RIGHT, GLN_INK);
    }
  }
}

/* Whether the chord before this bar on paper may be another one in playing. */
static bool comes_from_elsewhere(const Piece *pieces, size_t at) {
  return at == 0 || pieces[at].bar->repeat_starts || pieces[at].bar->endings != pieces[at - 1].bar->endings;
}

/* A diagram is drawn where the hand changes: at each line's first chord and where the grip differs from the
 * last. */
static bool needs_diagram(const Cell *cell, const Cell *last) {
  if (!cell->slot || cell->slot->silent)
    return false;
  return !last || !last->slot || last->slot->silent || last->slot->distinct != cell->slot->distinct;
}

static void draw_chords(const Chart *chart, const Piece *pieces, size_t count, double name_baseline,
                        double diagram_top) {
  GlnCanvas *canvas = chart->sheet->canvas;
  const Cell *last = NULL;
  for (size_t p = 0; p < count; p++) {
    if (comes_from_elsewhere(pieces, p))
      last = NULL;
    for (size_t i = 0; i < pieces[p].count && !pieces[p].bar->same_as_last; i++) {
      const Cell *cell = &pieces[p].cells[i];
      gln_canvas_block(canvas, "name", GLN_TEXT(""));
      gln_canvas_text(canvas, cell->name, cell->x, name_baseline, GLN_INK);
      if (needs_diagram(cell, last)) {
        GlnBuffer words = gln_buffer(canvas->arena);
        gln_diagram_describe(&cell->slot->grip, cell->event->symbol, chart->sheet->instrument, &words);
        gln_canvas_block(canvas, "diagram", gln_canvas_said(canvas, &words));
        gln_diagram_draw(canvas, &cell->slot->grip, &chart->style, first_string(chart, cell), diagram_top);
      }
      last = cell;
    }
  }
}

/* Heights of a line's rows. */
typedef struct Rows {
  double over, diagrams;
} Rows;

static Rows measure_rows(const Piece *pieces, size_t count) {
  Rows rows = {0};
  const Cell *last = NULL;
  for (size_t p = 0; p < count; p++) {
    if (pieces[p].bar->endings || (pieces[p].ends && pieces[p].bar->repeat_plays > 2))
      rows.over = OVER_ROW;
    if (comes_from_elsewhere(pieces, p))
      last = NULL;
    for (size_t i = 0; i < pieces[p].count && !pieces[p].bar->same_as_last; i++) {
      if (needs_diagram(&pieces[p].cells[i], last))
        rows.diagrams = fmax(rows.diagrams, pieces[p].cells[i].size.height + DIAGRAM_GAP);
      last = &pieces[p].cells[i];
    }
  }
  return rows;
}

static double line_height(Rows rows) {
  return rows.over + NAME_ROW + rows.diagrams + STRIP_GAP + STRIP_HEIGHT;
}

static void draw_line(const Chart *chart, Piece *pieces, size_t count, bool last_of_all) {
  GlnSheet *sheet = chart->sheet;
  Rows rows = measure_rows(pieces, count);
  gln_sheet_need(sheet, line_height(rows));
  place_line(chart, pieces, count);
  for (size_t p = 0; p < count; p++)
    if (!pieces[p].bar->same_as_last && pieces[p].count > 0)
      place_cells(&pieces[p]);
  double names = sheet->y + rows.over, diagrams = names + NAME_ROW + DIAGRAM_GAP;
  double strip = names + NAME_ROW + rows.diagrams + STRIP_GAP;
  draw_over(chart, pieces, count, sheet->y + 1);
  draw_chords(chart, pieces, count, names + NAME_ROW - 4, diagrams);
  draw_strip(chart, pieces, count, last_of_all, strip);
  sheet->y = strip + STRIP_HEIGHT + LINE_GAP;
}

static void draw_heading(const Chart *chart, GlnText name) {
  GlnSheet *sheet = chart->sheet;
  GlnCanvas *canvas = sheet->canvas;
  GlnText fits =
      gln_canvas_fit(canvas, name, GLN_FACE_BOLD, HEADING_SIZE, (sheet->right - sheet->left) * 0.8);
  gln_canvas_bookmark(canvas, name, sheet->y);
  gln_canvas_block(canvas, "heading", GLN_TEXT(""));
  double wide = fmax(gln_canvas_measure(canvas, fits, GLN_FACE_BOLD, HEADING_SIZE), 8);
  double centre = sheet->left + 6 + wide / 2;
  (void)gln_canvas_words(canvas, fits, GLN_FACE_BOLD, HEADING_SIZE, centre, sheet->y + 12.6, GLN_ALIGN_CENTRE,
                         GLN_INK);
  gln_canvas_area(canvas,
                  (GlnBox){sheet->left + 0.5, sheet->y + 0.5, sheet->left + 11.5 + wide, sheet->y + 17}, 1.5,
                  0.8, GLN_INK);
  sheet->y += HEADING_HEIGHT;
}

/* ---- a section
 * ------------------------------------------------------------------------------------------------------------------
 */

/* All pieces of a section; *meter is that of the bar before it. NULL when memory is out. */
static Piece *cut_section(Chart *chart, size_t section_index, GlnMeter *meter, size_t *count) {
  const GlnSection *section = &chart->sheet->chart->sections[section_index];
  GlnArena *arena = chart->sheet->canvas->arena;
  size_t events = 0;
  for (size_t b = 0; b < section->bar_count; b++)
    events += section->bars[b].event_count + 1;
  Cell *cells = GLN_NEW(arena, Cell, events);
  Piece *pieces = GLN_NEW(arena, Piece, events);
  *count = 0;
  if (!cells || !pieces)
    return NULL;
  for (size_t b = 0; b < section->bar_count; b++) {
    const GlnBar *bar = &section->bars[b];
    Piece whole = {.bar = bar, .cells = cells, .count = bar->event_count, .begins = true, .ends = true};
    whole.meter = bar->meter.beats != meter->beats || bar->meter.unit != meter->unit;
    *meter = bar->meter;
    whole.ending = bar->endings && (b == 0 || section->bars[b - 1].endings != bar->endings);
    for (size_t e = 0; e < bar->event_count; e++) {
      cells[e] = (Cell){.event = &bar->events[e], .slot = chart->next[e]};
      measure_cell(chart, &cells[e]);
    }
    cells += bar->event_count;
    chart->next += bar->event_count;
    *count += cut_bar(&whole, chart->sheet->right - chart->sheet->left, pieces + *count);
  }
  if (*count > 0)
    pieces[*count - 1].last = true;
  return pieces;
}

static void draw_section(Chart *chart, size_t index, GlnMeter *meter) {
  GlnSheet *sheet = chart->sheet;
  const GlnSection *section = &sheet->chart->sections[index];
  size_t count, placed = 0;
  Piece *pieces = cut_section(chart, index, meter, &count);
  if (!pieces) {
    gln_canvas_fail(sheet->canvas, GLN_MEMORY);
    return;
  }
  bool last_section = index + 1 == sheet->chart->section_count;
  for (size_t at = 0; at < count && sheet->canvas->status == GLN_OK;) {
    size_t taken = take_line(pieces, count, at, placed, sheet->right - sheet->left);
    if (at == 0 && section->name.length > 0) { /* a heading stays with its first line */
      gln_sheet_need(sheet, HEADING_HEIGHT + line_height(measure_rows(pieces, taken)));
      draw_heading(chart, section->name);
    }
    draw_line(chart, pieces + at, taken, last_section && at + taken == count);
    for (size_t i = 0; i < taken; i++)
      placed += pieces[at + i].ends && !(at + i == 0 && is_pick_up(pieces[0].bar));
    at += taken;
  }
}

void gln_sheet_chart(GlnSheet *sheet) {
  Chart chart = {.sheet = sheet, .style = gln_diagram_style(STRING_GAP, sheet->left_handed)};
  find_slots(&chart);
  chart.next = chart.slots;
  GlnMeter meter = {0};
  for (size_t s = 0; s < sheet->chart->section_count && sheet->canvas->status == GLN_OK; s++)
    draw_section(&chart, s, &meter);
}
