/* Draws the chart's lines: chord names and diagrams over a strip of beats, under their section's heading. */
#include "score_internal.h"

#include <math.h>

/* Points; design choice, judged by eye on A4 and Letter. */
#define NAME_ROW       18.5
#define OVER_ROW       14.0 /* ending brackets and "3 times", where there are any */
#define DIAGRAM_GAP    3.0  /* under the names */
#define STRIP_GAP      6.0  /* under the diagrams */
#define STRIP_HEIGHT   14.0
#define LINE_GAP       15.0 /* between lines */
#define LINE_GAP_LEAST 7.0  /* where that saves a page */
#define HEADING_SIZE   11.0
#define HEADING_HEIGHT 24.0
#define METER_SIZE     16.0

typedef struct Chart {
  GlnSheet *sheet;
  GlnDiagramStyle style;
  double gap; /* between lines */
} Chart;

/* The first bars of the chart show the feel's rhythm. */
#define RHYTHM_BARS 2
typedef struct Rhythm {
  GlnScoreBar bars[RHYTHM_BARS];
  bool shown[RHYTHM_BARS];
} Rhythm;

/* Points above and below the strip for its stems. */
#define RHYTHM_ROOM (9.0 * GLN_STAFF_STEP - STRIP_HEIGHT / 2 + 4)

static double first_string(const Chart *chart, const GlnCell *cell) {
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
static void draw_beats(const Chart *chart, const GlnPiece *piece, size_t index, double middle) {
  GlnCanvas *canvas = chart->sheet->canvas;
  const GlnCell *cell = &piece->cells[index];
  double x = first_string(chart, cell);
  double end = index + 1 < piece->count
                   ? first_string(chart, &piece->cells[index + 1])
                   : piece->x + piece->width - gln_piece_right(piece) + GLN_BAR_PAD * 0.5;
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
  int digits[4] = {0}, count = 0;
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

static void draw_bar_start(GlnCanvas *canvas, const GlnPiece *piece, bool first_on_line, double top) {
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
  double centre = x + gln_piece_left(piece) - GLN_METER_ROOM / 2 - 2;
  draw_digits(canvas, piece->bar->meter.beats, centre, top + STRIP_HEIGHT / 2 - METER_SIZE * 0.26);
  draw_digits(canvas, piece->bar->meter.unit, centre, top + STRIP_HEIGHT / 2 + METER_SIZE * 0.26);
}

static void draw_bar_end(GlnCanvas *canvas, const GlnPiece *piece, const GlnPiece *next, bool last_of_all,
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

static void draw_simile(GlnCanvas *canvas, const GlnPiece *piece, double middle) {
  GlnSegment segment = {
      .text = GLN_TEXT("\uE500"), .said = GLN_TEXT("%"), .face = GLN_FACE_MUSIC, .size = 20, .stretch = 1};
  const GlnShaped *sign = gln_canvas_shape(canvas, &segment, 1);
  double centre =
      (piece->x + gln_piece_left(piece) - GLN_BAR_PAD + piece->x + piece->width - gln_piece_right(piece)) / 2;
  gln_canvas_text(canvas, sign, centre - (sign->ink.left + sign->ink.right) / 2,
                  middle - (sign->ink.top + sign->ink.bottom) / 2, GLN_INK);
}

static void draw_rhythm(const Chart *chart, const GlnScoreBar *bar, double middle) {
  const GlnStaffPlace place = {.canvas = chart->sheet->canvas,
                               .bottom = middle + GLN_STAFF_MIDDLE * GLN_STAFF_STEP};
  GlnScoreTie ties[GLN_VOICE_COUNT] = {{0}};
  gln_score_bar_draw(&place, bar);
  gln_score_ties_draw(&place, bar, ties, bar->columns[0].x - 6);
  gln_score_tie_end(&place, ties, bar->columns[bar->column_count - 1].x + 2.2 * GLN_HEAD_WIDTH);
}

static void draw_strip(const Chart *chart, const GlnPiece *pieces, size_t count, bool last_of_all,
                       const Rhythm *rhythm, double top) {
  GlnCanvas *canvas = chart->sheet->canvas;
  gln_canvas_block(canvas, "bars", GLN_TEXT(""));
  for (size_t p = 0; p < count; p++) {
    const GlnPiece *piece = &pieces[p];
    draw_bar_start(canvas, piece, p == 0, top);
    if (p < RHYTHM_BARS && rhythm->shown[p])
      draw_rhythm(chart, &rhythm->bars[p], top + STRIP_HEIGHT / 2);
    else if (piece->bar->same_as_last)
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
static void draw_over(const Chart *chart, const GlnPiece *pieces, size_t count, double top) {
  GlnCanvas *canvas = chart->sheet->canvas;
  for (size_t p = 0; p < count; p++) {
    const GlnPiece *piece = &pieces[p];
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
static bool comes_from_elsewhere(const GlnPiece *pieces, size_t at) {
  return at == 0 || pieces[at].bar->repeat_starts || pieces[at].bar->endings != pieces[at - 1].bar->endings;
}

/* A diagram is drawn where the hand changes: at each line's first chord and where the grip differs from the
 * last. */
static bool needs_diagram(const GlnCell *cell, const GlnCell *last) {
  if (!cell->slot || cell->slot->silent)
    return false;
  return !last || !last->slot || last->slot->silent || last->slot->distinct != cell->slot->distinct;
}

static void draw_chords(const Chart *chart, const GlnPiece *pieces, size_t count, double name_baseline,
                        double diagram_top) {
  GlnCanvas *canvas = chart->sheet->canvas;
  const GlnCell *last = NULL;
  for (size_t p = 0; p < count; p++) {
    if (comes_from_elsewhere(pieces, p))
      last = NULL;
    for (size_t i = 0; i < pieces[p].count && !pieces[p].bar->same_as_last; i++) {
      const GlnCell *cell = &pieces[p].cells[i];
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
  double over, diagrams, rhythm; /* rhythm: above the strip, and below it */
} Rows;

static Rows measure_rows(const GlnPiece *pieces, size_t count) {
  Rows rows = {0};
  const GlnCell *last = NULL;
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
  return rows.over + NAME_ROW + rows.diagrams + STRIP_GAP + STRIP_HEIGHT + 2 * rows.rhythm;
}

static Rhythm find_rhythm(const Chart *chart, const GlnPiece *pieces, size_t count) {
  Rhythm rhythm = {0};
  for (size_t p = 0; p < RHYTHM_BARS && p < count; p++)
    rhythm.shown[p] = gln_rhythm_prepare(chart->sheet, &pieces[p], chart->style.string_gap, &rhythm.bars[p]);
  return rhythm;
}

static void draw_line(const Chart *chart, const GlnPiece *pieces, size_t count, bool first_of_all,
                      bool last_of_all) {
  GlnSheet *sheet = chart->sheet;
  Rows rows = measure_rows(pieces, count);
  Rhythm rhythm = {0};
  if (first_of_all)
    rhythm = find_rhythm(chart, pieces, count);
  rows.rhythm = rhythm.shown[0] || rhythm.shown[1] ? RHYTHM_ROOM : 0;
  gln_sheet_need(sheet, line_height(rows));
  double names = sheet->y + rows.over, diagrams = names + NAME_ROW + DIAGRAM_GAP;
  double strip = names + NAME_ROW + rows.diagrams + STRIP_GAP + rows.rhythm;
  draw_over(chart, pieces, count, sheet->y + 1);
  draw_chords(chart, pieces, count, names + NAME_ROW - 4, diagrams);
  draw_strip(chart, pieces, count, last_of_all, &rhythm, strip);
  sheet->y = strip + STRIP_HEIGHT + rows.rhythm + chart->gap;
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

/* Pages that the chart goes on after this one, with so much between its lines. */
static size_t pages_more(const GlnSheet *sheet, const GlnChartLines *lines, double gap) {
  size_t pages = 0;
  double y = sheet->y;
  for (size_t i = 0; i < lines->count; i++) {
    const GlnChartLine *line = &lines->lines[i];
    double height = line_height(measure_rows(line->pieces, line->count)) +
                    (line->heading.length > 0 ? HEADING_HEIGHT : 0) +
                    (i == 0 && sheet->notated ? 2 * RHYTHM_ROOM : 0);
    if (y + height > sheet->bottom && y > sheet->top) {
      pages++;
      y = sheet->top;
    }
    y += height + gap;
  }
  return pages;
}

/* As much room between lines as there can be without a page more. */
static double choose_gap(const GlnSheet *sheet, const GlnChartLines *lines) {
  size_t fewest = pages_more(sheet, lines, LINE_GAP_LEAST);
  double gap = LINE_GAP;
  while (gap > LINE_GAP_LEAST && pages_more(sheet, lines, gap) > fewest)
    gap -= 1;
  return gap;
}

void gln_sheet_chart(GlnSheet *sheet) {
  GlnChartLines lines = gln_chart_lines(sheet);
  Chart chart = {.sheet = sheet, .style = lines.style, .gap = choose_gap(sheet, &lines)};
  for (size_t i = 0; i < lines.count && sheet->canvas->status == GLN_OK; i++) {
    const GlnChartLine *line = &lines.lines[i];
    if (line->heading.length > 0) { /* a heading stays with its first line */
      gln_sheet_need(sheet, HEADING_HEIGHT + line_height(measure_rows(line->pieces, line->count)) +
                                (i == 0 && sheet->notated ? 2 * RHYTHM_ROOM : 0));
      draw_heading(&chart, line->heading);
    }
    draw_line(&chart, line->pieces, line->count, i == 0, i + 1 == lines.count);
  }
}
