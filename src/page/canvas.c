/* The canvas: a list of marks a page, each with the box of its ink. */
#include "page_internal.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* ---- shaped words are kept: the same finger numbers and names come again and again ---- */

#define SHAPE_SLOTS 4096 /* design choice: a power of two; the oldest of a slot gives way */

typedef struct ShapeSlot {
  GlnSegment segment;
  const GlnShaped *shaped; /* NULL: free */
} ShapeSlot;

struct GlnShapeCache {
  ShapeSlot slots[SHAPE_SLOTS];
};

static size_t shape_slot(const GlnSegment *segment) {
  uint64_t hash = 14695981039346656037U; /* FNV-1a */
  for (size_t i = 0; i < segment->text.length; i++)
    hash = (hash ^ (unsigned char)segment->text.at[i]) * 1099511628211U;
  hash = (hash ^ (uint64_t)segment->face) * 1099511628211U;
  hash = (hash ^ (uint64_t)(segment->size * 64)) * 1099511628211U;
  return (size_t)((hash ^ (hash >> 29)) % SHAPE_SLOTS);
}

static bool same(double a, double b) {
  return fabs(a - b) < 1e-9;
}

static bool segment_equal(const GlnSegment *a, const GlnSegment *b) {
  return a->face == b->face && same(a->size, b->size) && same(a->stretch, b->stretch) &&
         same(a->rise, b->rise) && gln_text_equal(a->text, b->text) && gln_text_equal(a->said, b->said);
}

/* ---- the canvas ---- */

void gln_canvas_fail(GlnCanvas *canvas, GlnStatus status) {
  if (canvas->status == GLN_OK)
    canvas->status = status;
}

/* items with room for one more, or NULL. */
static void *grown(GlnCanvas *canvas, void *items, size_t count, size_t *capacity, size_t size) {
  if (count < *capacity)
    return items;
  size_t more = *capacity ? *capacity * 2 : 16;
  void *bigger = gln_arena_alloc(canvas->arena, more, size);
  if (!bigger) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return NULL;
  }
  if (count)
    memcpy(bigger, items, count * size);
  *capacity = more;
  return bigger;
}

GlnStatus gln_canvas_open(GlnCanvas *canvas, GlnArena *arena, double width, double height, double margin) {
  *canvas = (GlnCanvas){.arena = arena, .width = width, .height = height, .margin = margin, .scale = 1};
  canvas->shapes = GLN_NEW(arena, struct GlnShapeCache, 1);
  if (!canvas->shapes)
    return GLN_MEMORY;
  GLN_TRY(gln_fonts_open(&canvas->fonts));
  gln_canvas_page(canvas);
  gln_canvas_block(canvas, "page", GLN_TEXT(""));
  return GLN_OK;
}

void gln_canvas_close(GlnCanvas *canvas) {
  gln_fonts_close(canvas->fonts);
  canvas->fonts = NULL;
}

void gln_canvas_page(GlnCanvas *canvas) {
  GlnCanvasPage *pages =
      grown(canvas, canvas->pages, canvas->page_count, &canvas->page_capacity, sizeof *canvas->pages);
  if (!pages)
    return;
  canvas->pages = pages;
  canvas->page = canvas->page_count++;
  canvas->pages[canvas->page] = (GlnCanvasPage){0};
}

void gln_canvas_block(GlnCanvas *canvas, const char *kind, GlnText words) {
  GlnBlock *blocks =
      grown(canvas, canvas->blocks, canvas->block_count, &canvas->block_capacity, sizeof *canvas->blocks);
  if (!blocks)
    return;
  canvas->blocks = blocks;
  canvas->block = canvas->block_count++;
  canvas->blocks[canvas->block] = (GlnBlock){.kind = kind, .words = words, .page = canvas->page};
}

void gln_canvas_bookmark(GlnCanvas *canvas, GlnText words, double y) {
  GlnBookmark *bookmarks = grown(canvas, canvas->bookmarks, canvas->bookmark_count,
                                 &canvas->bookmark_capacity, sizeof *canvas->bookmarks);
  char *copy = gln_text_copy(canvas->arena, words);
  if (!bookmarks || !copy) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return;
  }
  canvas->bookmarks = bookmarks;
  canvas->bookmarks[canvas->bookmark_count++] =
      (GlnBookmark){.words = {copy, words.length}, .page = canvas->page, .y = y};
}

static void mark_add(GlnCanvas *canvas, GlnMark mark, const GlnSpot *spots, size_t count) {
  if (canvas->status != GLN_OK)
    return;
  GlnCanvasPage *page = &canvas->pages[canvas->page];
  GlnMark *marks = grown(canvas, page->marks, page->count, &page->capacity, sizeof *page->marks);
  GlnSpot *kept = GLN_NEW(canvas->arena, GlnSpot, count);
  if (!marks || !kept) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return;
  }
  memcpy(kept, spots, count * sizeof *kept);
  mark.spots = kept;
  mark.spot_count = count;
  mark.block = canvas->block;
  page->marks = marks;
  page->marks[page->count++] = mark;
}

static GlnBox box_of(const GlnSpot *spots, size_t count) {
  GlnBox box = {spots[0].x, spots[0].y, spots[0].x, spots[0].y};
  for (size_t i = 1; i < count; i++) {
    box.left = fmin(box.left, spots[i].x);
    box.right = fmax(box.right, spots[i].x);
    box.top = fmin(box.top, spots[i].y);
    box.bottom = fmax(box.bottom, spots[i].y);
  }
  return box;
}

void gln_canvas_line(GlnCanvas *canvas, const GlnSpot *spots, size_t count, double width, double shade,
                     bool round_ends) {
  assert(count >= 2 && width > 0);
  GlnBox box = box_of(spots, count);
  /* Half the stroke: across the line alone where a straight line has flat ends, else on every side. */
  double wide = width / 2, high = width / 2;
  double length = hypot(spots[1].x - spots[0].x, spots[1].y - spots[0].y);
  if (count == 2 && !round_ends && length > 0) {
    wide *= fabs(spots[1].y - spots[0].y) / length;
    high *= fabs(spots[1].x - spots[0].x) / length;
  }
  box = (GlnBox){box.left - wide, box.top - high, box.right + wide, box.bottom + high};
  mark_add(
      canvas,
      (GlnMark){.kind = GLN_MARK_LINE, .box = box, .shade = shade, .width = width, .round_ends = round_ends},
      spots, count);
}

void gln_canvas_stroke(GlnCanvas *canvas, double x1, double y1, double x2, double y2, double width,
                       double shade) {
  GlnSpot spots[2] = {{x1, y1}, {x2, y2}};
  gln_canvas_line(canvas, spots, 2, width, shade, false);
}

void gln_canvas_area(GlnCanvas *canvas, GlnBox box, double radius, double width, double shade) {
  GlnSpot spots[2] = {{box.left, box.top}, {box.right, box.bottom}};
  double half = width / 2;
  GlnBox ink = {box.left - half, box.top - half, box.right + half, box.bottom + half};
  mark_add(canvas,
           (GlnMark){.kind = GLN_MARK_AREA, .box = ink, .shade = shade, .width = width, .radius = radius},
           spots, 2);
}

void gln_canvas_shape_fill(GlnCanvas *canvas, const GlnSpot *corners, size_t count, double shade) {
  mark_add(canvas, (GlnMark){.kind = GLN_MARK_SHAPE, .box = box_of(corners, count), .shade = shade}, corners,
           count);
}

void gln_canvas_disc(GlnCanvas *canvas, double x, double y, double radius, double width, double shade) {
  GlnSpot centre = {x, y};
  double reach = radius + width / 2;
  GlnBox ink = {x - reach, y - reach, x + reach, y + reach};
  mark_add(canvas,
           (GlnMark){.kind = GLN_MARK_DISC, .box = ink, .shade = shade, .width = width, .radius = radius},
           &centre, 1);
}

/* ---- text ---- */

GlnText gln_canvas_said(GlnCanvas *canvas, const GlnBuffer *words) {
  if (gln_buffer_status(words) != GLN_OK)
    gln_canvas_fail(canvas, gln_buffer_status(words));
  return gln_buffer_text(words);
}

static const GlnShaped nothing = {0};

const GlnShaped *gln_canvas_shape(GlnCanvas *canvas, const GlnSegment *segments, size_t count) {
  if (canvas->status != GLN_OK)
    return &nothing;
  ShapeSlot *slot = count == 1 ? &canvas->shapes->slots[shape_slot(segments)] : NULL;
  if (slot && slot->shaped && segment_equal(&slot->segment, segments))
    return slot->shaped;
  GlnShaped *shaped = GLN_NEW(canvas->arena, GlnShaped, 1);
  GlnStatus status =
      shaped ? gln_fonts_shape(canvas->fonts, canvas->arena, segments, count, shaped) : GLN_MEMORY;
  if (status != GLN_OK) {
    gln_canvas_fail(canvas, status);
    return &nothing;
  }
  if (slot) {
    /* The caller's text may be gone when the slot is looked at again: keep a copy of our own. */
    char *text = gln_text_copy(canvas->arena, segments->text),
         *said = gln_text_copy(canvas->arena, segments->said);
    if (!text || !said) {
      gln_canvas_fail(canvas, GLN_MEMORY);
      return &nothing;
    }
    *slot = (ShapeSlot){*segments, shaped};
    slot->segment.text.at = text;
    slot->segment.said.at = said;
  }
  return shaped;
}

void gln_canvas_text(GlnCanvas *canvas, const GlnShaped *text, double x, double baseline, double shade) {
  if (text->run_count == 0)
    return;
  GlnSpot origin = {x, baseline};
  GlnBox ink = {x + text->ink.left, baseline + text->ink.top, x + text->ink.right,
                baseline + text->ink.bottom};
  mark_add(canvas, (GlnMark){.kind = GLN_MARK_TEXT, .box = ink, .shade = shade, .text = text}, &origin, 1);
}

static const GlnShaped *shape_words(GlnCanvas *canvas, GlnText words, GlnFace face, double size) {
  GlnSegment segment = {.text = words, .face = face, .size = size, .stretch = 1};
  return gln_canvas_shape(canvas, &segment, 1);
}

double gln_canvas_measure(GlnCanvas *canvas, GlnText words, GlnFace face, double size) {
  return shape_words(canvas, words, face, size)->advance;
}

double gln_canvas_words(GlnCanvas *canvas, GlnText words, GlnFace face, double size, double x,
                        double baseline, GlnAlign align, double shade) {
  const GlnShaped *text = shape_words(canvas, words, face, size);
  double left = x;
  if (align == GLN_ALIGN_CENTRE)
    left = x - text->advance / 2;
  else if (align == GLN_ALIGN_RIGHT)
    left = x - text->advance;
  gln_canvas_text(canvas, text, left, baseline, shade);
  return text->advance;
}

GlnText gln_canvas_fit(GlnCanvas *canvas, GlnText words, GlnFace face, double size, double width) {
  size_t fits = 0, end = 0, last_blank = 0;
  /* Words one by one, then code points of a word that is too long by itself. */
  while (end < words.length) {
    size_t next = end + 1;
    while (next < words.length && !gln_is_blank(words.at[next]))
      next++;
    if (gln_canvas_measure(canvas, gln_text_slice(words, 0, next), face, size) > width)
      break;
    fits = last_blank = end = next;
  }
  if (last_blank > 0 || words.length == 0)
    return gln_text_slice(words, 0, fits);
  fits = gln_text_code_point(words, 0, NULL);
  for (size_t next = fits; next < words.length; fits = next) {
    next += gln_text_code_point(words, next, NULL);
    if (gln_canvas_measure(canvas, gln_text_slice(words, 0, next), face, size) > width)
      break;
  }
  return gln_text_slice(words, 0, fits);
}

/* ---- writing ---- */

static GlnStatus refuse(GlnDiags *diags, const char *problem, const char *advice) {
  gln_diags_add(diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
  return GLN_LIMIT;
}

GlnStatus gln_canvas_write(const GlnCanvas *canvas, const GlnPageOptions *options, GlnPageFormat format,
                           GlnBuffer *out, GlnDiags *diags) {
  GLN_TRY(canvas->status);
  size_t first = 0, count = canvas->page_count;
  if (options->page != 0) {
    if (options->page < 0 || (size_t)options->page > count)
      return refuse(diags, "there is no such page",
                    "count from 1, or leave the page out to have all of them");
    first = (size_t)options->page - 1;
    count = 1;
  }
  switch (format) {
  case GLN_PAGE_PDF:
    return gln_surface_pdf(canvas, first, count, out);
  case GLN_PAGE_SVG:
    return gln_surface_svg(canvas, first, count, out);
  case GLN_PAGE_PNG:
    break;
  }
  if (!(options->dpi >= GLN_DPI_MIN && options->dpi <= GLN_DPI_MAX))
    return refuse(diags, "the picture's dots an inch must lie between 20 and 600",
                  "150 is good for a screen");
  double scale = options->dpi / 72 * canvas->scale;
  if (ceil(canvas->width * scale) > GLN_PNG_SIDE_MAX ||
      ceil(canvas->height * scale * (double)count) > GLN_PNG_SIDE_MAX)
    return refuse(diags, "the picture would be longer than 30000 pixels",
                  "write a PDF, take one page, or ask for fewer dots an inch");
  return gln_surface_png(canvas, first, count, options->dpi, out);
}

GlnPageOptions gln_page_defaults(void) {
  return (GlnPageOptions){.paper = GLN_PAPER_A4, .dpi = 150};
}

GlnStatus gln_paper_parse(GlnText name, GlnPaper *paper) {
  if (gln_text_equal_ignoring_case(name, GLN_TEXT("a4")))
    *paper = GLN_PAPER_A4;
  else if (gln_text_equal_ignoring_case(name, GLN_TEXT("letter")))
    *paper = GLN_PAPER_LETTER;
  else
    return GLN_INPUT;
  return GLN_OK;
}

GlnStatus gln_page_format_parse(GlnText name, GlnPageFormat *format) {
  if (gln_text_equal_ignoring_case(name, GLN_TEXT("pdf")))
    *format = GLN_PAGE_PDF;
  else if (gln_text_equal_ignoring_case(name, GLN_TEXT("svg")))
    *format = GLN_PAGE_SVG;
  else if (gln_text_equal_ignoring_case(name, GLN_TEXT("png")))
    *format = GLN_PAGE_PNG;
  else
    return GLN_INPUT;
  return GLN_OK;
}
