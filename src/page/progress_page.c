/* Progress as a picture: how likely each item is still there, and its tempo from practice to practice. */
#include "page_internal.h"

#include <math.h>

/* Points; design choice, judged by eye. */
#define TITLE_SIZE 18.0
#define WORDS_SIZE 9.0
#define ROW_SIZE   8.0
#define ROW_HEIGHT 19.0
#define HEAD_ROW   13.0
#define BAR_HEIGHT 7.0
#define CURVE_HIGH 12.0
#define DOT        1.5

typedef struct Column {
  double x, width;
} Column;
enum { NAME, STANDING, THERE, HALF_LIFE, CURVE };
static const Column columns[] = {[NAME] = {0, 168},
                                 [STANDING] = {172, 60},
                                 [THERE] = {234, 90},
                                 [HALF_LIFE] = {336, 56},
                                 [CURVE] = {400, 84}};

static void say(const GlnSheet *sheet, GlnText words, int column, double shade) {
  GlnCanvas *canvas = sheet->canvas;
  GlnText fits = gln_canvas_fit(canvas, words, GLN_FACE_TEXT, ROW_SIZE, columns[column].width);
  (void)gln_canvas_words(canvas, gln_text_trim(fits), GLN_FACE_TEXT, ROW_SIZE,
                         sheet->left + columns[column].x, sheet->y + ROW_HEIGHT / 2 + ROW_SIZE * 0.35,
                         GLN_ALIGN_LEFT, shade);
}

/* Black when solid, grey when shaky, an empty frame when untouched: tells on any printer. */
static void draw_bar(const GlnSheet *sheet, const GlnProgressItem *item) {
  GlnCanvas *canvas = sheet->canvas;
  double left = sheet->left + columns[THERE].x, top = sheet->y + (ROW_HEIGHT - BAR_HEIGHT) / 2;
  double right = left + columns[THERE].width;
  if (item->memory.practised > 0)
    gln_canvas_area(canvas,
                    (GlnBox){left, top, left + fmax((right - left) * item->recall, 1), top + BAR_HEIGHT}, 1,
                    0, item->standing == GLN_STANDING_SOLID ? GLN_INK : 0.6);
  gln_canvas_area(canvas, (GlnBox){left, top, right, top + BAR_HEIGHT}, 1, 0.6, GLN_INK_LINE);
}

static void draw_curve(const GlnSheet *sheet, const GlnProgressItem *item) {
  GlnCanvas *canvas = sheet->canvas;
  if (item->point_count == 0)
    return;
  double low = INFINITY, high = 0;
  for (size_t p = 0; p < item->point_count; p++) {
    low = fmin(low, item->points[p].tempo);
    high = fmax(high, item->points[p].tempo);
  }
  double span = fmax(high - low, 1),
         days = (double)(item->points[item->point_count - 1].day - item->points[0].day);
  double left = sheet->left + columns[CURVE].x, bottom = sheet->y + (ROW_HEIGHT + CURVE_HIGH) / 2;
  GlnSpot last = {0, 0};
  for (size_t p = 0; p < item->point_count; p++) {
    double along = days > 0 ? (double)(item->points[p].day - item->points[0].day) / days : 0;
    GlnSpot spot = {left + DOT + along * (columns[CURVE].width - 2 * DOT),
                    bottom - CURVE_HIGH * (item->points[p].tempo - low) / span};
    if (p > 0)
      gln_canvas_stroke(canvas, last.x, last.y, spot.x, spot.y, 0.8, GLN_INK);
    gln_canvas_disc(canvas, spot.x, spot.y, DOT, 0, GLN_INK);
    last = spot;
  }
  GlnBuffer words = gln_buffer(canvas->arena);
  gln_buffer_add_number(&words, item->points[item->point_count - 1].tempo, 0);
  (void)gln_canvas_words(canvas, gln_canvas_said(canvas, &words), GLN_FACE_TEXT, ROW_SIZE, sheet->right,
                         sheet->y + ROW_HEIGHT / 2 + ROW_SIZE * 0.35, GLN_ALIGN_RIGHT, GLN_INK);
}

static void draw_item(GlnSheet *sheet, const GlnProgressItem *item, size_t number) {
  GlnCanvas *canvas = sheet->canvas;
  GlnBuffer name = gln_buffer(canvas->arena), words = gln_buffer(canvas->arena),
            half = gln_buffer(canvas->arena);
  gln_buffer_format(&name, "%zu. ", number);
  gln_buffer_add(&name, item->name);
  gln_buffer_add(&words, gln_canvas_said(canvas, &name));
  gln_buffer_format(&words, ": %s, %d %% likely to be there", gln_standing_key(item->standing),
                    (int)round(item->recall * 100));
  if (item->memory.practised > 0) {
    gln_buffer_add_number(&half, item->memory.half_life, 1);
    gln_buffer_add_string(&half, " days");
  }
  gln_sheet_need(sheet, ROW_HEIGHT);
  gln_canvas_block(canvas, "item", gln_canvas_said(canvas, &words));
  say(sheet, gln_canvas_said(canvas, &name), NAME, GLN_INK);
  say(sheet, gln_text(gln_standing_key(item->standing)), STANDING, GLN_INK_SOFT);
  draw_bar(sheet, item);
  say(sheet, gln_canvas_said(canvas, &half), HALF_LIFE, GLN_INK);
  draw_curve(sheet, item);
  sheet->y += ROW_HEIGHT;
}

static void draw_head(GlnSheet *sheet, const GlnProgress *progress) {
  static const char *const heads[] = {"item", "stands", "likely to be there", "half-life", "tempo"};
  GlnCanvas *canvas = sheet->canvas;
  gln_sheet_paragraph(sheet, "title", canvas->title, GLN_FACE_BOLD, TITLE_SIZE, GLN_INK, GLN_SHEET_TITLE_MAX);
  GlnBuffer words = gln_buffer(canvas->arena);
  gln_add_day(progress->today, &words);
  for (int s = GLN_STANDING_COUNT - 1; s >= 0; s--)
    gln_buffer_format(&words, "%s%zu %s", s == GLN_STANDING_COUNT - 1 ? ": " : ", ", progress->standing[s],
                      gln_standing_key((GlnStanding)s));
  gln_buffer_add_string(&words, ". ");
  gln_buffer_add_number(&words, progress->minutes, 0);
  gln_buffer_add_string(&words, " minutes in all, ");
  gln_buffer_add_number(&words, progress->week, 0);
  gln_buffer_add_string(&words, " in the last seven days.");
  sheet->y += 2;
  gln_sheet_paragraph(sheet, "facts", gln_canvas_said(canvas, &words), GLN_FACE_TEXT, WORDS_SIZE,
                      GLN_INK_SOFT, GLN_SHEET_NOTES_MAX);
  const char *advice[] = {gln_strain_advice(progress->strain),
                          progress->load_jumped ? gln_load_advice() : NULL};
  for (size_t i = 0; i < GLN_COUNT_OF(advice); i++)
    if (advice[i] != NULL)
      gln_sheet_paragraph(sheet, "advice", gln_text(advice[i]), GLN_FACE_BOLD, WORDS_SIZE, GLN_INK,
                          GLN_SHEET_NOTES_MAX);
  sheet->y += 8;
  gln_canvas_block(canvas, "heads", GLN_TEXT(""));
  for (int c = NAME; c <= CURVE; c++)
    (void)gln_canvas_words(canvas, gln_text(heads[c]), GLN_FACE_TEXT, ROW_SIZE - 0.5,
                           sheet->left + columns[c].x, sheet->y + ROW_SIZE, GLN_ALIGN_LEFT, GLN_INK_SOFT);
  sheet->y += HEAD_ROW;
}

GlnStatus gln_progress_page_write(const GlnProgress *progress, const GlnPageOptions *options,
                                  GlnPageFormat format, GlnBuffer *out, GlnDiags *diags) {
  GlnCanvas canvas;
  GlnStatus status = gln_sheet_open(&canvas, out->arena, options);
  if (status == GLN_OK) {
    GlnSheet sheet = gln_sheet_on(&canvas, NULL, NULL, options);
    GlnBuffer title = gln_buffer(out->arena);
    gln_buffer_add_string(&title, "Progress");
    if (progress->title.length > 0) {
      gln_buffer_add_string(&title, ": ");
      gln_buffer_add(&title, progress->title);
    }
    canvas.title = gln_canvas_said(&canvas, &title);
    draw_head(&sheet, progress);
    for (size_t i = 0; i < progress->item_count && canvas.status == GLN_OK; i++)
      draw_item(&sheet, &progress->items[i], i + 1);
    gln_sheet_cautions(&sheet);
    gln_sheet_feet(&sheet);
    status = gln_canvas_write(&canvas, options, format, out, diags);
  }
  gln_canvas_close(&canvas);
  return status;
}
