/* The curve of fewer grips: what each number of grips, or of shapes, costs. Across, how many are allowed; up, the effort.
 * A disc for each line found, a bar down to what no line so small can be below, a level line for the best line of all. */
#include "page_internal.h"

#include <math.h>

#define PAGE_WIDTH  470.0
#define PAGE_HEIGHT 320.0
#define MARGIN      24.0
#define LABEL_SIZE  9.0
#define TITLE_SIZE  14.0
#define TICKS_MOST  7    /* on the axis of effort */
#define LABELS_MOST 24   /* numbers written under the axis */
#define BOX_LEFT    64.0 /* of the plot; words stand left of it and below */
#define BOX_TOP     84.0
#define BOX_BOTTOM  (PAGE_HEIGHT - 58.0)
#define BOX_RIGHT   (PAGE_WIDTH - MARGIN - 10.0)

typedef struct Plot {
  GlnCanvas *canvas;
  const GlnCurvePoint *points;
  size_t count;
  double top; /* effort at the upper edge */
} Plot;

static double x_of(const Plot *plot, size_t i) {
  double apart = (BOX_RIGHT - BOX_LEFT) / (double)(plot->count + 1);
  return BOX_LEFT + apart * (double)(i + 1);
}

static double y_of(const Plot *plot, double effort) {
  return BOX_BOTTOM - (BOX_BOTTOM - BOX_TOP) * effort / plot->top;
}

/* 1, 2 or 5 times a power of ten, so that there are few enough ticks. */
static double tick_step(double top) {
  static const double steps[] = {1, 2, 5};
  double power = 1;
  for (int i = 0; i < 3 * 12; ++i) {
    double step = steps[i % 3] * power;
    if (top / step <= TICKS_MOST)
      return step;
    power *= i % 3 == 2 ? 10 : 1;
  }
  return top;
}

static void draw_axes(const Plot *plot, bool shapes) {
  GlnCanvas *canvas = plot->canvas;
  gln_canvas_block(canvas, "axes", GLN_TEXT(""));
  double step = tick_step(plot->top);
  for (int t = 0; t * step <= plot->top; ++t) {
    GlnBuffer words = gln_buffer(canvas->arena);
    gln_buffer_add_number(&words, t * step, 0);
    double y = y_of(plot, t * step);
    gln_canvas_stroke(canvas, BOX_LEFT, y, BOX_RIGHT, y, t == 0 ? 1.0 : 0.3, GLN_INK_LINE);
    gln_canvas_words(canvas, gln_canvas_said(canvas, &words), GLN_FACE_TEXT, LABEL_SIZE, BOX_LEFT - 6, y + 3,
                     GLN_ALIGN_RIGHT, GLN_INK);
  }
  size_t apart = plot->count / LABELS_MOST + 1;
  for (size_t i = 0; i < plot->count; i += apart) {
    GlnBuffer words = gln_buffer(canvas->arena);
    gln_buffer_format(&words, "%u", (unsigned)plot->points[i].most);
    gln_canvas_words(canvas, gln_canvas_said(canvas, &words), GLN_FACE_TEXT, LABEL_SIZE, x_of(plot, i),
                     BOX_BOTTOM + 14, GLN_ALIGN_CENTRE, GLN_INK);
  }
  gln_canvas_words(canvas, shapes ? GLN_TEXT("shapes allowed") : GLN_TEXT("grips allowed"), GLN_FACE_TEXT,
                   LABEL_SIZE, (BOX_LEFT + BOX_RIGHT) / 2, BOX_BOTTOM + 32, GLN_ALIGN_CENTRE, GLN_INK_SOFT);
  gln_canvas_words(canvas, GLN_TEXT("effort"), GLN_FACE_TEXT, LABEL_SIZE, MARGIN, BOX_TOP - 14,
                   GLN_ALIGN_LEFT, GLN_INK_SOFT);
}

static void draw_best(const Plot *plot, double best) {
  GlnCanvas *canvas = plot->canvas;
  GlnBuffer words = gln_buffer(canvas->arena);
  double y = y_of(plot, best);
  gln_canvas_block(canvas, "best", GLN_TEXT(""));
  for (double x = BOX_LEFT; x + 4 <= BOX_RIGHT; x += 8)
    gln_canvas_stroke(canvas, x, y, x + 4, y, 0.8, GLN_INK);
  gln_buffer_add_string(&words, "best line of all: ");
  gln_buffer_add_number(&words, best, 1);
  gln_canvas_words(canvas, gln_canvas_said(canvas, &words), GLN_FACE_TEXT, LABEL_SIZE, BOX_LEFT + 6, y + 12,
                   GLN_ALIGN_LEFT, GLN_INK_SOFT);
}

static void draw_points(const Plot *plot) {
  GlnCanvas *canvas = plot->canvas;
  gln_canvas_block(canvas, "curve", GLN_TEXT(""));
  GlnSpot *spots = GLN_NEW(canvas->arena, GlnSpot, plot->count);
  if (spots == NULL) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return;
  }
  for (size_t i = 0; i < plot->count; ++i)
    spots[i] = (GlnSpot){x_of(plot, i), y_of(plot, plot->points[i].total)};
  if (plot->count > 1)
    gln_canvas_line(canvas, spots, plot->count, 1.2, GLN_INK, true);
  for (size_t i = 0; i < plot->count; ++i) {
    double bound = y_of(plot, plot->points[i].bound);
    gln_canvas_stroke(canvas, spots[i].x, spots[i].y, spots[i].x, bound, 3.0, GLN_INK_LINE);
    gln_canvas_disc(canvas, spots[i].x, spots[i].y, 3.2, 0, GLN_INK);
  }
}

static void draw_head(GlnCanvas *canvas, GlnText title, bool shapes) {
  gln_canvas_block(canvas, "head", GLN_TEXT(""));
  GlnText head = title.length > 0 ? title : GLN_TEXT("Fewer grips");
  gln_canvas_words(canvas, gln_canvas_fit(canvas, head, GLN_FACE_BOLD, TITLE_SIZE, PAGE_WIDTH - 2 * MARGIN),
                   GLN_FACE_BOLD, TITLE_SIZE, MARGIN, MARGIN + 12, GLN_ALIGN_LEFT, GLN_INK);
  gln_canvas_words(canvas,
                   shapes ? GLN_TEXT("what it costs to play it on fewer shapes; grey: how much less it "
                                     "could be at most")
                          : GLN_TEXT("what it costs to play it on fewer grips; grey: how much less it "
                                     "could be at most"),
                   GLN_FACE_TEXT, LABEL_SIZE, MARGIN, MARGIN + 26, GLN_ALIGN_LEFT, GLN_INK_SOFT);
}

GlnStatus gln_curve_write(const GlnCurvePoint *points, size_t count, bool shapes, double best, GlnText title,
                          const GlnPageOptions *options, GlnPageFormat format, GlnBuffer *out,
                          GlnDiags *diags) {
  GlnCanvas canvas;
  GlnStatus status = gln_canvas_open(&canvas, out->arena, PAGE_WIDTH, PAGE_HEIGHT, MARGIN);
  Plot plot = {.canvas = &canvas, .points = points, .count = count, .top = best};
  for (size_t i = 0; i < count; ++i)
    plot.top = points[i].total > plot.top ? points[i].total : plot.top;
  plot.top = plot.top > 0 ? 1.05 * plot.top : 1;
  if (status == GLN_OK) {
    canvas.title = title;
    draw_head(&canvas, title, shapes);
    draw_axes(&plot, shapes);
    draw_best(&plot, best);
    draw_points(&plot);
    status = canvas.status;
  }
  if (status == GLN_OK)
    status = gln_canvas_write(&canvas, options, format, out, diags);
  gln_canvas_close(&canvas);
  return status;
}
