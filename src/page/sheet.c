/* The sheet: head, chart, grips, foot. */
#include "page_internal.h"

#include <math.h>

/* Points; design choice, judged by eye on A4 and Letter. */
#define MARGIN         40.0
#define FOOT_HEIGHT    18.0 /* the page's foot inside the margin */
#define TITLE_SIZE     22.0
#define BY_SIZE        10.5
#define FACTS_SIZE     9.5
#define CONTENTS_SIZE  8.5
#define CONTENTS_GAP   16.0
#define FOOT_SIZE      7.5
#define HEADING_SIZE   13.0 /* of a part */
#define HEADING_HEIGHT 26.0
#define LARGE_PRINT    1.4  /* chord names of 21 points, running words of 13 */
#define LEADING        1.38 /* from baseline to baseline, of the size */

void gln_sheet_need(GlnSheet *sheet, double height) {
  if (sheet->y + height <= sheet->bottom + 1e-6 || sheet->y <= sheet->top)
    return;
  if (sheet->canvas->page_count >= GLN_SHEET_PAGES_MAX) {
    gln_canvas_fail(sheet->canvas, GLN_LIMIT);
    return;
  }
  gln_canvas_page(sheet->canvas);
  sheet->y = sheet->top;
}

/* At most so many code points; an ellipsis for the rest. */
static GlnText shortened(GlnCanvas *canvas, GlnText words, size_t longest) {
  size_t at = 0;
  for (size_t count = 0; at < words.length && count < longest; count++)
    at += gln_text_code_point(words, at, NULL);
  if (at >= words.length)
    return words;
  GlnBuffer cut = gln_buffer(canvas->arena);
  gln_buffer_add(&cut, gln_text_slice(words, 0, at));
  gln_buffer_add_string(&cut, "\u2026");
  return gln_canvas_said(canvas, &cut);
}

void gln_sheet_paragraph(GlnSheet *sheet, const char *kind, GlnText words, GlnFace face, double size,
                         double shade, size_t longest) {
  GlnCanvas *canvas = sheet->canvas;
  GlnText rest = gln_text_trim(shortened(canvas, words, longest));
  double leading = size * LEADING;
  while (rest.length > 0 && canvas->status == GLN_OK) {
    GlnText fits = gln_canvas_fit(canvas, rest, face, size, sheet->right - sheet->left);
    gln_sheet_need(sheet, leading);
    gln_canvas_block(canvas, kind, GLN_TEXT(""));
    (void)gln_canvas_words(canvas, gln_text_trim(fits), face, size, sheet->left, sheet->y + size,
                           GLN_ALIGN_LEFT, shade);
    sheet->y += leading;
    rest = gln_text_trim(gln_text_from(rest, fits.length));
  }
}

/* ---- head ---- */

static void add_fact(GlnBuffer *facts, GlnText fact) {
  if (fact.length == 0)
    return;
  if (facts->length > 0)
    gln_buffer_add_string(facts, "   \u00b7   ");
  gln_buffer_add(facts, fact);
}

static void add_key(GlnBuffer *facts, GlnKey key) {
  char tonic[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(key.tonic, GLN_SIGNS_UNICODE, tonic);
  gln_buffer_format(facts, "%s %s", tonic, key.minor ? "minor" : "major");
}

static GlnText facts_of(const GlnSheet *sheet) {
  const GlnChart *chart = sheet->chart;
  GlnBuffer facts = gln_buffer(sheet->canvas->arena);
  if (chart->has_key)
    add_key(&facts, chart->key);
  GlnBuffer fact = gln_buffer(sheet->canvas->arena);
  gln_buffer_format(&fact, "%d/%d", chart->meter.beats, chart->meter.unit);
  add_fact(&facts, gln_canvas_said(sheet->canvas, &fact));
  if (chart->has_tempo) {
    fact = gln_buffer(sheet->canvas->arena);
    gln_buffer_add_string(&fact, "\u2669 = ");
    int decimals = 0; /* as many as it has, two at most */
    for (double tenfold = chart->tempo; decimals < 2 && fabs(tenfold - round(tenfold)) > 0.005; tenfold *= 10)
      decimals++;
    gln_buffer_add_number(&fact, chart->tempo, decimals);
    add_fact(&facts, gln_canvas_said(sheet->canvas, &fact));
  }
  add_fact(&facts, chart->feel);
  if (sheet->instrument->capo > 0) {
    fact = gln_buffer(sheet->canvas->arena);
    gln_buffer_add_string(&fact, "capo at fret ");
    gln_capo_describe(sheet->instrument, &fact);
    add_fact(&facts, gln_canvas_said(sheet->canvas, &fact));
  }
  if (chart->tuning.length > 0) {
    fact = gln_buffer(sheet->canvas->arena);
    gln_buffer_add_string(&fact, "tuning ");
    gln_buffer_add(&fact, chart->tuning);
    add_fact(&facts, gln_canvas_said(sheet->canvas, &fact));
  }
  return gln_canvas_said(sheet->canvas, &facts);
}

static GlnText form_of(const GlnSheet *sheet) {
  const GlnChart *chart = sheet->chart;
  GlnBuffer form = gln_buffer(sheet->canvas->arena);
  if (chart->form_count < 2)
    return GLN_TEXT("");
  for (size_t i = 0; i < chart->form_count && form.length < (size_t)4 * GLN_SHEET_NOTES_MAX; i++) {
    GlnText name = chart->sections[chart->form[i]].name;
    gln_buffer_add_string(&form, i == 0 ? "Form:  " : " \u2013 ");
    gln_buffer_add(&form, name.length > 0 ? name : GLN_TEXT("(start)"));
  }
  return gln_canvas_said(sheet->canvas, &form);
}

/* ---- contents: each part after the first with its page ---- */

/* Headings of the parts; the chart needs none. */
static const char *const part_names[GLN_SHEET_PART_COUNT] = {
    [GLN_SHEET_GRIPS] = "The grips",           [GLN_SHEET_MOVES] = "The hardest changes",
    [GLN_SHEET_NECK] = "The neck path",        [GLN_SHEET_WHY] = "Why it works",
    [GLN_SHEET_SCORE] = "Staff and tablature",
};

void gln_sheet_part_heading(GlnSheet *sheet, double followed_by) {
  gln_sheet_heading(sheet, part_names[sheet->part], followed_by);
  sheet->part_page[sheet->part] = sheet->canvas->page + 1;
}

/* Draws them from a line down, or only measures; returns the height. */
static double lay_contents(const GlnSheet *sheet, const GlnPageOptions *options, double top, bool draw) {
  GlnCanvas *canvas = sheet->canvas;
  double x = sheet->left, y = top;
  size_t shown = 0;
  for (size_t part = GLN_SHEET_GRIPS; part < GLN_SHEET_PART_COUNT; part++) {
    if (options->parts != 0 && (options->parts >> part & 1U) == 0)
      continue;
    GlnBuffer words = gln_buffer(canvas->arena);
    gln_buffer_format(&words, "%s  %zu", part_names[part], draw ? sheet->part_page[part] : (size_t)1000);
    GlnText said = gln_canvas_said(canvas, &words);
    double wide = gln_canvas_measure(canvas, said, GLN_FACE_TEXT, CONTENTS_SIZE);
    if (x > sheet->left && x + wide > sheet->right) {
      x = sheet->left;
      y += CONTENTS_SIZE * LEADING;
    }
    if (draw && sheet->part_page[part] > 0) {
      gln_canvas_block(canvas, "contents", GLN_TEXT(""));
      (void)gln_canvas_words(canvas, said, GLN_FACE_TEXT, CONTENTS_SIZE, x, y + CONTENTS_SIZE, GLN_ALIGN_LEFT,
                             GLN_INK_SOFT);
    }
    if (!draw || sheet->part_page[part] > 0) {
      x += wide + CONTENTS_GAP;
      shown++;
    }
  }
  return shown > 1 ? y - top + CONTENTS_SIZE * LEADING : 0;
}

static void draw_contents(GlnSheet *sheet, const GlnPageOptions *options, double top, size_t page) {
  size_t last = sheet->canvas->page;
  sheet->canvas->page = page;
  (void)lay_contents(sheet, options, top, true);
  sheet->canvas->page = last;
}

static void draw_head(GlnSheet *sheet) {
  GlnCanvas *canvas = sheet->canvas;
  const GlnChart *chart = sheet->chart;
  gln_canvas_bookmark(canvas, canvas->title, sheet->top);
  gln_sheet_paragraph(sheet, "title", canvas->title, GLN_FACE_BOLD, TITLE_SIZE, GLN_INK, GLN_SHEET_TITLE_MAX);
  gln_sheet_paragraph(sheet, "by", chart->by, GLN_FACE_TEXT, BY_SIZE, GLN_INK, GLN_SHEET_TITLE_MAX);
  sheet->y += 4;
  gln_sheet_paragraph(sheet, "facts", facts_of(sheet), GLN_FACE_TEXT, FACTS_SIZE, GLN_INK_SOFT,
                      GLN_SHEET_NOTES_MAX);
  gln_sheet_paragraph(sheet, "form", form_of(sheet), GLN_FACE_TEXT, FACTS_SIZE, GLN_INK_SOFT,
                      GLN_SHEET_NOTES_MAX);
  if (chart->notes.length > 0) {
    sheet->y += 3;
    gln_sheet_paragraph(sheet, "notes", chart->notes, GLN_FACE_TEXT, FACTS_SIZE, GLN_INK,
                        GLN_SHEET_NOTES_MAX);
  }
}

static void draw_rule(GlnSheet *sheet) {
  sheet->y += 4;
  gln_canvas_block(sheet->canvas, "rule", GLN_TEXT(""));
  gln_canvas_stroke(sheet->canvas, sheet->left, sheet->y, sheet->right, sheet->y, 0.6, GLN_INK);
  sheet->y += 14;
}

/* ---- foot ---- */

#define HANDS                                                                                                \
  "Hands: warm up first; rest five minutes in every half hour; stop at pain, tingling, numbness or "         \
  "weakness, "                                                                                               \
  "and see a clinician if it does not pass. This sheet is no medical advice."
#define EARS                                                                                                 \
  "Ears: play along at a moderate level, and rest them too; ringing or dulled hearing means it was too "     \
  "loud."
#define RIGHTS                                                                                               \
  "Charts and melodies of others may be protected: copy and share them only where you have the right to."
static const char *const cautions[] = {HANDS, EARS, RIGHTS};

static double paragraph_height(const GlnSheet *sheet, GlnText words, GlnFace face, double size) {
  double height = 0;
  for (GlnText rest = words; rest.length > 0; height += size * LEADING) {
    GlnText fits = gln_canvas_fit(sheet->canvas, rest, face, size, sheet->right - sheet->left);
    rest = gln_text_trim(gln_text_from(rest, fits.length));
  }
  return height;
}

double gln_sheet_cautions_height(const GlnSheet *sheet) {
  double height = 0;
  for (size_t i = 0; i < GLN_COUNT_OF(cautions); i++)
    height += paragraph_height(sheet, gln_text(cautions[i]), GLN_FACE_TEXT, FOOT_SIZE);
  return height;
}

void gln_sheet_cautions(GlnSheet *sheet) {
  double height = gln_sheet_cautions_height(sheet);
  gln_sheet_need(sheet, height);
  sheet->y = sheet->bottom - height;
  for (size_t i = 0; i < GLN_COUNT_OF(cautions); i++)
    gln_sheet_paragraph(sheet, "caution", gln_text(cautions[i]), GLN_FACE_TEXT, FOOT_SIZE, GLN_INK_SOFT,
                        1000);
}

void gln_sheet_feet(GlnSheet *sheet) {
  GlnCanvas *canvas = sheet->canvas;
  double baseline = canvas->height - canvas->margin - 2;
  for (size_t page = 0; page < canvas->page_count; page++) {
    canvas->page = page;
    gln_canvas_block(canvas, "foot", GLN_TEXT(""));
    gln_canvas_stroke(canvas, sheet->left, baseline - FOOT_SIZE - 3, sheet->right, baseline - FOOT_SIZE - 3,
                      0.4, GLN_INK_LINE);
    GlnBuffer number = gln_buffer(canvas->arena);
    gln_buffer_format(&number, "%zu / %zu", page + 1, canvas->page_count);
    double wide = gln_canvas_words(canvas, gln_canvas_said(canvas, &number), GLN_FACE_TEXT, FOOT_SIZE,
                                   sheet->right, baseline, GLN_ALIGN_RIGHT, GLN_INK_SOFT);
    GlnText title = shortened(canvas, canvas->title, 80);
    title = gln_canvas_fit(canvas, title, GLN_FACE_TEXT, FOOT_SIZE, sheet->right - sheet->left - wide - 20);
    (void)gln_canvas_words(canvas, title, GLN_FACE_TEXT, FOOT_SIZE, sheet->left, baseline, GLN_ALIGN_LEFT,
                           GLN_INK_SOFT);
  }
}

/* ---- the whole ---- */

void gln_sheet_heading(GlnSheet *sheet, const char *words, double followed_by) {
  GlnCanvas *canvas = sheet->canvas;
  gln_sheet_need(sheet, HEADING_HEIGHT + followed_by);
  gln_canvas_bookmark(canvas, gln_text(words), sheet->y);
  gln_canvas_block(canvas, "heading", GLN_TEXT(""));
  (void)gln_canvas_words(canvas, gln_text(words), GLN_FACE_BOLD, HEADING_SIZE, sheet->left,
                         sheet->y + HEADING_SIZE - 1, GLN_ALIGN_LEFT, GLN_INK);
  sheet->y += HEADING_HEIGHT;
}

GlnSheet gln_sheet_on(GlnCanvas *canvas, const GlnLine *line, const GlnInstrument *instrument,
                      const GlnPageOptions *options) {
  return (GlnSheet){.canvas = canvas,
                    .line = line,
                    .instrument = instrument,
                    .left_handed = options->left_handed,
                    .left = canvas->margin,
                    .right = canvas->width - canvas->margin,
                    .top = canvas->margin,
                    .bottom = canvas->height - canvas->margin - FOOT_HEIGHT,
                    .y = canvas->margin};
}

/* The bars of the performance; false when memory is out. */
static bool notate(const GlnSheetMatter *matter, GlnArena *arena, GlnNotated *notated) {
  *notated = (GlnNotated){.swing = matter->swing, .pair = matter->pair};
  if (gln_played_bars_find(matter->line->song, arena, &notated->played, &notated->count) != GLN_OK)
    return false;
  notated->written = GLN_NEW(arena, GlnNotationBar, notated->count);
  for (size_t b = 0; notated->written && b < notated->count; b++)
    notated->written[b] = (GlnNotationBar){.start = notated->played[b].start,
                                           .quarters = notated->played[b].quarters,
                                           .beats = notated->played[b].meter.beats,
                                           .unit = notated->played[b].meter.unit};
  return notated->written && gln_notation_make(matter->performance, matter->swing, matter->pair,
                                               notated->written, notated->count, arena) == GLN_OK;
}

void gln_sheet_draw(GlnCanvas *canvas, const GlnSheetMatter *matter, const GlnPageOptions *options) {
  const GlnLine *line = matter->line;
  static void (*const parts[])(GlnSheet *) = {
      [GLN_SHEET_CHART] = gln_sheet_chart, [GLN_SHEET_GRIPS] = gln_sheet_grips,
      [GLN_SHEET_MOVES] = gln_sheet_moves, [GLN_SHEET_NECK] = gln_sheet_neck,
      [GLN_SHEET_WHY] = gln_sheet_why,     [GLN_SHEET_SCORE] = gln_sheet_score,
  };
  GlnHardChanges hard;
  GlnNotated notated;
  GlnSheet sheet = gln_sheet_on(canvas, line, matter->instrument, options);
  sheet.matter = matter;
  if (matter->performance && notate(matter, canvas->arena, &notated))
    sheet.notated = &notated;
  else if (matter->performance)
    gln_canvas_fail(canvas, GLN_MEMORY);
  sheet.chart = line->song->chart;
  sheet.hard = &hard;
  canvas->title = sheet.chart->title.length > 0 ? sheet.chart->title : GLN_TEXT("Untitled");
  canvas->author = sheet.chart->by;
  if (!gln_hard_changes_find(line, canvas->arena, &hard))
    gln_canvas_fail(canvas, GLN_MEMORY);
  draw_head(&sheet);
  double room = lay_contents(&sheet, options, 0, false), contents = sheet.y + 2;
  if (room > 0) {
    gln_sheet_need(&sheet, room + 2);
    contents = sheet.y + 2;
    sheet.y = contents + room;
  }
  size_t contents_page = canvas->page;
  draw_rule(&sheet);
  for (size_t part = 0; part < GLN_COUNT_OF(parts) && canvas->status == GLN_OK; part++) {
    sheet.part = (GlnSheetPart)part;
    if (options->parts == 0 || (options->parts >> part & 1U) != 0)
      parts[part](&sheet);
  }
  if (room > 0 && canvas->status == GLN_OK)
    draw_contents(&sheet, options, contents, contents_page);
  gln_sheet_cautions(&sheet);
  gln_sheet_feet(&sheet);
}

GlnStatus gln_sheet_open(GlnCanvas *canvas, GlnArena *arena, const GlnPageOptions *options) {
  /* ISO 216 A4 is 210 x 297 mm, Letter 8.5 x 11 in. */
  bool a4 = options->paper == GLN_PAPER_A4;
  double width = a4 ? 210 / 25.4 * 72 : 612, height = a4 ? 297 / 25.4 * 72 : 792;
  double scale = options->large ? LARGE_PRINT : 1;
  GlnStatus status = gln_canvas_open(canvas, arena, width / scale, height / scale, MARGIN / scale);
  canvas->scale = scale;
  return status;
}

GlnStatus gln_sheet_write(const GlnSheetMatter *matter, const GlnPageOptions *options, GlnPageFormat format,
                          GlnBuffer *out, GlnDiags *diags) {
  GlnCanvas canvas;
  GlnStatus status = gln_sheet_open(&canvas, out->arena, options);
  if (status == GLN_OK) {
    gln_sheet_draw(&canvas, matter, options);
    if (canvas.status == GLN_LIMIT)
      gln_diags_add(diags, (GlnDiag){.severity = GLN_ERROR,
                                     .problem = GLN_TEXT("the sheet would be longer than 2000 pages"),
                                     .advice = GLN_TEXT("print the chart in parts")});
    status = gln_canvas_write(&canvas, options, format, out, diags);
  }
  gln_canvas_close(&canvas);
  return status;
}
