/* The chord diagram: one routine for every page and picture.
 * Strings stand upright, the lowest on the left (on the right for a left-handed player); frets go down. */
#include "page_internal.h"

#include <math.h>
#include <string.h>

/* Parts of the gap between strings unless said otherwise; design choice, judged by eye at 100 % and 200 %. */
#define DOT_RADIUS    0.46
#define SIGN_RADIUS   0.26 /* of the ring over an open string */
#define HEAD_HEIGHT   0.95 /* room for the signs over the nut */
#define NUT_WIDTH     0.30
#define LINE_WIDTH    0.075
#define POSITION_SIZE 0.85 /* of the fret number beside the grid */
#define POSITION_GAP  0.3  /* from the outermost dot to it */
#define CAPO_HEIGHT   0.5  /* of a capo that covers some strings */
#define ROWS_MIN      4

GlnDiagramStyle gln_diagram_style(double string_gap, bool left_handed, const GlnInstrument *instrument) {
  return (GlnDiagramStyle){.string_gap = string_gap,
                           .fret_gap = string_gap * 1.24,
                           .finger_size = string_gap * 0.78,
                           .left_handed = left_handed,
                           .instrument = instrument};
}

/* The fret of a capo that covers some strings alone; 0 where there is none. */
static int partial_capo(const GlnDiagramStyle *style) {
  const GlnInstrument *instrument = style->instrument;
  return instrument && instrument->capo > 0 && instrument->capo_strings != 0 ? instrument->capo : 0;
}

static GlnText position_words(int fret, char out[16]) {
  size_t length = 0;
  if (fret >= 10)
    out[length++] = (char)('0' + fret / 10);
  out[length++] = (char)('0' + fret % 10);
  out[length++] = 'f';
  out[length++] = 'r';
  return (GlnText){out, length};
}

GlnDiagramSize gln_diagram_measure(GlnCanvas *canvas, const GlnGrip *grip, const GlnDiagramStyle *style) {
  int low = 0, high = 0;
  for (int s = 0; s < grip->frets.string_count; s++) {
    int fret = grip->frets.fret[s];
    if (fret <= 0)
      continue;
    low = low == 0 || fret < low ? fret : low;
    high = fret > high ? fret : high;
  }
  int capo = partial_capo(style);
  high = capo > high ? capo : high; /* it is always in the picture: frets count from the nut */
  low = capo > 0 && (low == 0 || capo < low) ? capo : low;
  GlnDiagramSize size = {.first_fret = high <= ROWS_MIN ? 1 : low};
  int rows = high - size.first_fret + 1;
  size.rows = rows < ROWS_MIN ? ROWS_MIN : rows;
  size.grid_width = style->string_gap * (grip->frets.string_count - 1);
  size.head = style->string_gap * HEAD_HEIGHT;
  size.height = size.head + style->fret_gap * size.rows + style->string_gap * LINE_WIDTH;
  size.left = style->string_gap * DOT_RADIUS;
  size.right = size.left;
  if (size.first_fret > 1) {
    char words[16];
    size.right += style->string_gap * POSITION_GAP +
                  gln_canvas_measure(canvas, position_words(size.first_fret, words), GLN_FACE_TEXT,
                                     style->string_gap * POSITION_SIZE);
  }
  return size;
}

/* Where the parts of one diagram lie. */
typedef struct Grid {
  GlnCanvas *canvas;
  const GlnGrip *grip;
  const GlnDiagramStyle *style;
  GlnDiagramSize size;
  double x, nut; /* of the first string drawn; of the grid's top line */
} Grid;

static double string_x(const Grid *grid, int string) {
  int place = grid->style->left_handed ? grid->grip->frets.string_count - 1 - string : string;
  return grid->x + place * grid->style->string_gap;
}

static double fret_y(const Grid *grid, int fret) {
  return grid->nut + (fret - grid->size.first_fret + 0.5) * grid->style->fret_gap;
}

static void draw_grid(const Grid *grid) {
  double gap = grid->style->string_gap, line = gap * LINE_WIDTH;
  double bottom = grid->nut + grid->size.rows * grid->style->fret_gap;
  double right = grid->x + grid->size.grid_width;
  for (int row = 0; row <= grid->size.rows; row++) {
    double y = grid->nut + row * grid->style->fret_gap;
    gln_canvas_stroke(grid->canvas, grid->x - line / 2, y, right + line / 2, y, line, GLN_INK_LINE);
  }
  for (int s = 0; s < grid->grip->frets.string_count; s++)
    gln_canvas_stroke(grid->canvas, grid->x + s * gap, grid->nut, grid->x + s * gap, bottom, line,
                      GLN_INK_LINE);
  if (grid->size.first_fret == 1) {
    GlnBox nut = {grid->x - line / 2, grid->nut - gap * NUT_WIDTH / 2, right + line / 2,
                  grid->nut + gap * NUT_WIDTH / 2};
    gln_canvas_area(grid->canvas, nut, 0, 0, GLN_INK);
  }
}

/* A bar behind the fret's wire over the strings that it covers. */
static void draw_capo(const Grid *grid) {
  int capo = partial_capo(grid->style), strings = grid->grip->frets.string_count;
  double left = 1e9, right = -1e9, gap = grid->style->string_gap;
  for (int s = 0; capo > 0 && s < strings; s++) {
    if ((grid->style->instrument->capo_strings >> (gln_string_number(grid->style->instrument, s) - 1) & 1) ==
        0)
      continue;
    left = fmin(left, string_x(grid, s));
    right = fmax(right, string_x(grid, s));
  }
  if (left > right)
    return;
  double wire = grid->nut + (capo - grid->size.first_fret + 1) * grid->style->fret_gap;
  GlnBox box = {left - gap * 0.32, wire - gap * CAPO_HEIGHT, right + gap * 0.32, wire - gap * LINE_WIDTH};
  gln_canvas_area(grid->canvas, box, gap * 0.12, 0, GLN_PAPER_WHITE);
  gln_canvas_area(grid->canvas, box, gap * 0.12, gap * 0.14, GLN_INK);
}

static void draw_signs(const Grid *grid) {
  double gap = grid->style->string_gap, r = gap * SIGN_RADIUS, width = gap * 0.1;
  double y = grid->nut - gap * (HEAD_HEIGHT - SIGN_RADIUS - 0.06);
  for (int s = 0; s < grid->grip->frets.string_count; s++) {
    double x = string_x(grid, s);
    if (grid->grip->frets.fret[s] == 0)
      gln_canvas_disc(grid->canvas, x, y, r, width, GLN_INK);
    if (grid->grip->frets.fret[s] != GLN_NOT_PLAYED)
      continue;
    double reach = r * 0.9;
    gln_canvas_stroke(grid->canvas, x - reach, y - reach, x + reach, y + reach, width, GLN_INK);
    gln_canvas_stroke(grid->canvas, x - reach, y + reach, x + reach, y - reach, width, GLN_INK);
  }
}

static void draw_finger(const Grid *grid, int finger, double x, double y) {
  static const char signs[] = "01234T";
  if (finger < 1 || finger > 5)
    return;
  double size = grid->style->finger_size;
  const GlnSegment segment = {.text = {&signs[finger], 1}, .face = GLN_FACE_BOLD, .size = size, .stretch = 1};
  const GlnShaped *text = gln_canvas_shape(grid->canvas, &segment, 1);
  /* Centred by its ink: digits have unequal side bearings. */
  gln_canvas_text(grid->canvas, text, x - (text->ink.left + text->ink.right) / 2,
                  y - (text->ink.top + text->ink.bottom) / 2, GLN_PAPER_WHITE);
}

static const GlnBarre *barre_over(const Grid *grid, int string) {
  const GlnFingering *fingering = &grid->grip->fingering;
  for (int b = 0; b < fingering->barre_count; b++) {
    const GlnBarre *barre = &fingering->barres[b];
    if (string >= barre->low_string && string <= barre->high_string &&
        grid->grip->frets.fret[string] == barre->fret)
      return barre;
  }
  return NULL;
}

static void draw_barres(const Grid *grid) {
  double r = grid->style->string_gap * DOT_RADIUS;
  for (int b = 0; b < grid->grip->fingering.barre_count; b++) {
    const GlnBarre *barre = &grid->grip->fingering.barres[b];
    double a = string_x(grid, barre->low_string), z = string_x(grid, barre->high_string),
           y = fret_y(grid, barre->fret);
    GlnBox box = {fmin(a, z) - r, y - r, fmax(a, z) + r, y + r};
    gln_canvas_area(grid->canvas, box, r, 0, GLN_INK);
    draw_finger(grid, barre->finger, (a + z) / 2, y);
  }
}

static void draw_dots(const Grid *grid) {
  for (int s = 0; s < grid->grip->frets.string_count; s++) {
    int fret = grid->grip->frets.fret[s];
    if (fret <= 0 || barre_over(grid, s))
      continue;
    gln_canvas_disc(grid->canvas, string_x(grid, s), fret_y(grid, fret), grid->style->string_gap * DOT_RADIUS,
                    0, GLN_INK);
    draw_finger(grid, grid->grip->fingering.finger[s], string_x(grid, s), fret_y(grid, fret));
  }
}

static void draw_position(const Grid *grid) {
  if (grid->size.first_fret == 1)
    return;
  char words[16];
  double gap = grid->style->string_gap, size = gap * POSITION_SIZE;
  double x = grid->x + grid->size.grid_width + gap * (DOT_RADIUS + POSITION_GAP);
  (void)gln_canvas_words(grid->canvas, position_words(grid->size.first_fret, words), GLN_FACE_TEXT, size, x,
                         fret_y(grid, grid->size.first_fret) + size * 0.36, GLN_ALIGN_LEFT, GLN_INK);
}

void gln_diagram_draw(GlnCanvas *canvas, const GlnGrip *grip, const GlnDiagramStyle *style, double x,
                      double top) {
  Grid grid = {.canvas = canvas, .grip = grip, .style = style, .x = x};
  grid.size = gln_diagram_measure(canvas, grip, style);
  grid.nut = top + grid.size.head;
  draw_grid(&grid);
  draw_capo(&grid);
  draw_signs(&grid);
  draw_barres(&grid);
  draw_dots(&grid);
  draw_position(&grid);
}

void gln_diagram_describe(const GlnGrip *grip, GlnText symbol, const GlnInstrument *instrument,
                          GlnBuffer *out) {
  if (symbol.length > 0) {
    gln_buffer_add(out, symbol);
    gln_buffer_add_string(out, ": ");
  }
  for (int s = 0; s < grip->frets.string_count; s++) {
    gln_buffer_format(out, "%sstring %d ", s == 0 ? "" : ", ", gln_string_number(instrument, s));
    int fret = grip->frets.fret[s], finger = grip->fingering.finger[s];
    if (fret == GLN_NOT_PLAYED)
      gln_buffer_add_string(out, "not played");
    else if (fret == 0)
      gln_buffer_add_string(out, "open");
    else
      gln_buffer_format(out, "fret %d", fret);
    if (fret > 0 && finger == 5)
      gln_buffer_add_string(out, " thumb");
    else if (fret > 0 && finger > 0)
      gln_buffer_format(out, " finger %d", finger);
  }
  for (int b = 0; b < grip->fingering.barre_count; b++) {
    const GlnBarre *barre = &grip->fingering.barres[b];
    gln_buffer_format(out, "; barre with finger %d at fret %d, strings %d to %d", barre->finger, barre->fret,
                      gln_string_number(instrument, barre->low_string),
                      gln_string_number(instrument, barre->high_string));
  }
  if (instrument->capo > 0) {
    bool all = gln_frets_from(instrument) > 0;
    gln_buffer_add_string(out, all ? "; frets counted from the capo at fret "
                                   : "; frets counted from the nut, capo at fret ");
    gln_capo_describe(instrument, out);
  }
}
