/* The practice plan on paper: a box to tick for every step, and the day's new grips as diagrams. */
#include "page_internal.h"

#include <math.h>

/* Points; design choice, judged by eye on A4 and Letter. */
#define TITLE_SIZE  18.0
#define WORDS_SIZE  9.0
#define ROW_SIZE    7.8
#define ROW_LEADING 10.2
#define ROW_GAP     3.0
#define BOX_SIDE    7.0
#define DAY_SIZE    10.5
#define DAY_HEIGHT  17.0
#define DAY_GAP     9.0
#define STRING_GAP  6.0
#define NAME_SIZE   11.0
#define NAME_ROW    14.0
#define GRIP_GAP    16.0
#define LINES_MAX   12

/* Where the columns begin, and how wide they are, from the text area's left. */
typedef struct Column {
  double x, width;
} Column;
enum { MINUTES, KIND, SUBJECT, TEMPO, HOW, COLUMNS };

typedef struct Planner {
  GlnSheet *sheet;
  const GlnPlan *plan;
  GlnDiagramStyle style;
  Column columns[COLUMNS];
} Planner;

typedef struct Cell {
  GlnText lines[LINES_MAX];
  size_t count;
} Cell;

static Cell wrap(GlnCanvas *canvas, GlnText words, GlnFace face, double width) {
  Cell cell = {.count = 0};
  for (GlnText rest = gln_text_trim(words); rest.length > 0 && cell.count < LINES_MAX;) {
    GlnText fits = gln_canvas_fit(canvas, rest, face, ROW_SIZE, width);
    cell.lines[cell.count++] = gln_text_trim(fits);
    rest = gln_text_trim(gln_text_from(rest, fits.length));
  }
  return cell;
}

static GlnFace face_of(int column) {
  return column == SUBJECT ? GLN_FACE_BOLD : GLN_FACE_TEXT;
}

static double measure_row(const Planner *planner, const GlnPlanStep *step, Cell cells[COLUMNS]) {
  GlnCanvas *canvas = planner->sheet->canvas;
  GlnBuffer words[COLUMNS];
  for (int c = 0; c < COLUMNS; c++)
    words[c] = gln_buffer(canvas->arena);
  gln_add_minutes(step->seconds, &words[MINUTES]);
  gln_buffer_add_string(&words[KIND], gln_step_name(step));
  gln_add_step_subject(planner->plan, step, &words[SUBJECT]);
  if (step->target > 0) {
    gln_buffer_add_string(&words[TEMPO], "\u2669\u00A0=\u00A0");
    gln_add_step_tempo(step, &words[TEMPO]);
  }
  gln_add_step_how(planner->plan, step, &words[HOW]);
  size_t lines = 1;
  for (int c = 0; c < COLUMNS; c++) {
    cells[c] = wrap(canvas, gln_canvas_said(canvas, &words[c]), face_of(c), planner->columns[c].width);
    lines = cells[c].count > lines ? cells[c].count : lines;
  }
  return (double)lines * ROW_LEADING + ROW_GAP;
}

static void draw_row(const Planner *planner, const GlnPlanStep *step) {
  GlnSheet *sheet = planner->sheet;
  GlnCanvas *canvas = sheet->canvas;
  Cell cells[COLUMNS];
  double height = measure_row(planner, step, cells);
  gln_sheet_need(sheet, height);
  gln_canvas_block(canvas, "step", GLN_TEXT(""));
  if (step->kind != GLN_STEP_PAUSE) {
    double top = sheet->y + 1.5;
    gln_canvas_area(canvas, (GlnBox){sheet->left + 0.5, top, sheet->left + BOX_SIDE + 0.5, top + BOX_SIDE}, 1,
                    0.8, GLN_INK);
  }
  for (int c = 0; c < COLUMNS; c++)
    for (size_t i = 0; i < cells[c].count; i++)
      (void)gln_canvas_words(canvas, cells[c].lines[i], face_of(c), ROW_SIZE,
                             sheet->left + planner->columns[c].x,
                             sheet->y + ROW_SIZE + (double)i * ROW_LEADING, GLN_ALIGN_LEFT,
                             c == HOW || c == KIND ? GLN_INK_SOFT : GLN_INK);
  sheet->y += height;
}

/* ---- the day's new grips --------------------------------------------------------------------------------------------- */

static bool is_new_grip(const Planner *planner, const GlnPlanStep *step) {
  return step->kind == GLN_STEP_NEW && !step->again &&
         planner->plan->material->items[step->item].kind == GLN_ITEM_GRIP;
}

static double grips_height(const Planner *planner, const GlnPlanDay *day) {
  double height = 0;
  for (size_t s = 0; s < day->step_count; s++) {
    if (!is_new_grip(planner, &day->steps[s]))
      continue;
    const GlnStudyItem *item = &planner->plan->material->items[day->steps[s].item];
    GlnDiagramSize size = gln_diagram_measure(planner->sheet->canvas,
                                              &planner->sheet->line->slots[item->slot].grip, &planner->style);
    height = fmax(height, NAME_ROW + size.height + 6);
  }
  return height;
}

static void draw_grips(const Planner *planner, const GlnPlanDay *day, double height) {
  GlnSheet *sheet = planner->sheet;
  GlnCanvas *canvas = sheet->canvas;
  double x = sheet->left + planner->columns[MINUTES].x;
  for (size_t s = 0; s < day->step_count; s++) {
    if (!is_new_grip(planner, &day->steps[s]))
      continue;
    const GlnLineSlot *slot = &sheet->line->slots[planner->plan->material->items[day->steps[s].item].slot];
    const GlnEvent *event = slot->slot->event;
    GlnDiagramSize size = gln_diagram_measure(canvas, &slot->grip, &planner->style);
    GlnBuffer number = gln_buffer(canvas->arena), words = gln_buffer(canvas->arena);
    gln_buffer_format(&number, "%zu.", day->steps[s].item + 1);
    GlnText said = gln_canvas_said(canvas, &number);
    double beside = gln_canvas_measure(canvas, said, GLN_FACE_TEXT, ROW_SIZE) + 4;
    double room = fmax(size.left + size.grid_width + size.right, 46);
    if (x + beside + room > sheet->right)
      return; /* the rows name it all the same */
    gln_diagram_describe(&slot->grip, event->symbol, sheet->instrument, &words);
    gln_canvas_block(canvas, "diagram", gln_canvas_said(canvas, &words));
    (void)gln_canvas_words(canvas, said, GLN_FACE_TEXT, ROW_SIZE, x, sheet->y + NAME_ROW - 4, GLN_ALIGN_LEFT,
                           GLN_INK_SOFT);
    const GlnShaped *name = gln_chord_name_shape(canvas, event->symbol, &event->chord, NAME_SIZE, room);
    gln_canvas_text(canvas, name, x + beside, sheet->y + NAME_ROW - 4, GLN_INK);
    gln_diagram_draw(canvas, &slot->grip, &planner->style, x + beside + size.left, sheet->y + NAME_ROW);
    x += beside + room + GRIP_GAP;
  }
  sheet->y += height;
}

/* ---- days ------------------------------------------------------------------------------------------------------------ */

static void draw_day(const Planner *planner, const GlnPlanDay *day) {
  GlnSheet *sheet = planner->sheet;
  GlnCanvas *canvas = sheet->canvas;
  GlnBuffer date = gln_buffer(canvas->arena), words = gln_buffer(canvas->arena);
  gln_add_day(day->day, &date);
  gln_add_day_words(planner->plan, day, &words);
  double grips = grips_height(planner, day);
  gln_sheet_need(sheet, DAY_HEIGHT + grips + (day->rest ? 0 : 3 * (ROW_LEADING + ROW_GAP)));
  gln_canvas_bookmark(canvas, gln_canvas_said(canvas, &date), sheet->y);
  gln_canvas_block(canvas, "day", GLN_TEXT(""));
  double baseline = sheet->y + DAY_SIZE;
  double wide = gln_canvas_words(canvas, gln_canvas_said(canvas, &date), GLN_FACE_BOLD, DAY_SIZE, sheet->left,
                                 baseline, GLN_ALIGN_LEFT, GLN_INK);
  GlnText said = gln_canvas_said(canvas, &words);
  said = gln_canvas_fit(canvas, said, GLN_FACE_TEXT, ROW_SIZE, sheet->right - sheet->left - wide - 12);
  (void)gln_canvas_words(canvas, said, GLN_FACE_TEXT, ROW_SIZE, sheet->right, baseline, GLN_ALIGN_RIGHT,
                         GLN_INK_SOFT);
  gln_canvas_stroke(canvas, sheet->left, baseline + 3.5, sheet->right, baseline + 3.5, 0.5, GLN_INK_LINE);
  sheet->y += DAY_HEIGHT;
  if (grips > 0)
    draw_grips(planner, day, grips);
  for (size_t s = 0; s < day->step_count && canvas->status == GLN_OK; s++)
    draw_row(planner, &day->steps[s]);
  sheet->y += DAY_GAP;
}

static void draw_head(const Planner *planner) {
  GlnSheet *sheet = planner->sheet;
  GlnCanvas *canvas = sheet->canvas;
  const GlnPlan *plan = planner->plan;
  gln_sheet_paragraph(sheet, "title", canvas->title, GLN_FACE_BOLD, TITLE_SIZE, GLN_INK, GLN_SHEET_TITLE_MAX);
  GlnBuffer facts = gln_buffer(canvas->arena);
  gln_buffer_format(&facts, "Practice plan, %d minutes a day, the song at \u2669\u00A0=\u00A0",
                    plan->options.minutes);
  gln_buffer_add_number(&facts, plan->material->tempo, 0);
  gln_buffer_add_string(&facts, ". ");
  gln_add_order_words(&plan->unlock, &facts);
  sheet->y += 2;
  gln_sheet_paragraph(sheet, "facts", gln_canvas_said(canvas, &facts), GLN_FACE_TEXT, WORDS_SIZE,
                      GLN_INK_SOFT, GLN_SHEET_NOTES_MAX);
  const char *advice = gln_hands_advice(&plan->options);
  if (advice != NULL)
    gln_sheet_paragraph(sheet, "advice", gln_text(advice), GLN_FACE_BOLD, WORDS_SIZE, GLN_INK,
                        GLN_SHEET_NOTES_MAX);
  sheet->y += 8;
}

static void draw_end(const Planner *planner) {
  GlnCanvas *canvas = planner->sheet->canvas;
  GlnBuffer words = gln_buffer(canvas->arena);
  gln_add_forecast(planner->plan, &words);
  gln_buffer_add_byte(&words, ' ');
  gln_add_left(planner->plan, &words);
  gln_sheet_paragraph(planner->sheet, "forecast", gln_canvas_said(canvas, &words), GLN_FACE_TEXT, WORDS_SIZE,
                      GLN_INK, GLN_SHEET_NOTES_MAX);
}

GlnStatus gln_plan_sheet_write(const GlnPlan *plan, const GlnLine *line, const GlnInstrument *instrument,
                               const GlnPageOptions *options, GlnPageFormat format, GlnBuffer *out,
                               GlnDiags *diags) {
  GlnCanvas canvas;
  GlnStatus status = gln_sheet_open(&canvas, out->arena, options);
  if (status == GLN_OK) {
    GlnSheet sheet = gln_sheet_on(&canvas, line, instrument, options);
    sheet.chart = line->song->chart;
    Planner planner = {.sheet = &sheet,
                       .plan = plan,
                       .style = gln_diagram_style(STRING_GAP, options->left_handed, instrument)};
    static const Column left[] = {[MINUTES] = {14, 34},
                                  [KIND] = {50, 50},
                                  [SUBJECT] = {102, 138},
                                  [TEMPO] = {244, 58},
                                  [HOW] = {306, 0}};
    for (int c = 0; c < COLUMNS; c++)
      planner.columns[c] = left[c];
    planner.columns[HOW].width = sheet.right - sheet.left - left[HOW].x;
    canvas.title = plan->material->title.length > 0 ? plan->material->title : GLN_TEXT("Untitled");
    canvas.author = sheet.chart->by;
    draw_head(&planner);
    for (size_t d = 0; d < plan->day_count && canvas.status == GLN_OK; d++)
      draw_day(&planner, &plan->days[d]);
    draw_end(&planner);
    gln_sheet_cautions(&sheet);
    gln_sheet_feet(&sheet);
    status = gln_canvas_write(&canvas, options, format, out, diags);
  }
  gln_canvas_close(&canvas);
  return status;
}
