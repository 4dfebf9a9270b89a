/* Shaping, PDF and PNG: the one file that knows cairo, pango and fontconfig.
 *
 * Fontconfig and cairo take fonts by file name, and cairo keeps a process-wide cache by that name. So the
 * built-in fonts are put into memory files once per process and their names keep their meaning as long as it
 * lives: the one thing in this room that outlives a call. No font of the system can be found. Running out of
 * memory inside glib ends the program; inside cairo it is reported. */
#define _GNU_SOURCE /* memfd_create */
#include "page_internal.h"

#include <cairo-pdf.h>
#include <cairo.h>
#include <fontconfig/fontconfig.h>
#include <math.h>
#include <pango/pangocairo.h>
#include <pango/pangofc-font.h>
#include <pango/pangofc-fontmap.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

extern const char gln_font_text[], gln_font_text_end[], gln_font_bold[], gln_font_bold_end[],
    gln_font_music[], gln_font_music_end[];

/* ---- the built-in fonts, once per process ---- */

static struct {
  FcConfig *config; /* NULL when the fonts could not be opened */
  char path[GLN_FACE_COUNT][32];
} built_in;

static bool memory_file(const char *name, const char *start, const char *end, char path[32]) {
  int file = memfd_create(name, MFD_CLOEXEC);
  if (file < 0)
    return false;
  for (const char *at = start; at < end;) {
    ssize_t written = write(file, at, (size_t)(end - at));
    if (written <= 0) {
      (void)close(file);
      return false;
    }
    at += written;
  }
  (void)snprintf(path, 32, "/proc/self/fd/%d", file);
  return true;
}

static void open_built_in(void) {
  FcConfig *config = FcConfigCreate();
  if (!config)
    return;
  bool done =
      memory_file("gripline-text", gln_font_text, gln_font_text_end, built_in.path[GLN_FACE_TEXT]) &&
      memory_file("gripline-bold", gln_font_bold, gln_font_bold_end, built_in.path[GLN_FACE_BOLD]) &&
      memory_file("gripline-music", gln_font_music, gln_font_music_end, built_in.path[GLN_FACE_MUSIC]);
  for (size_t i = 0; done && i < GLN_FACE_COUNT; i++)
    done = FcConfigAppFontAddFile(config, (const FcChar8 *)built_in.path[i]);
  if (done)
    built_in.config = config;
  else
    FcConfigDestroy(config);
}

struct GlnFonts {
  PangoFontMap *map;
  PangoContext *context;
};

GlnStatus gln_fonts_open(GlnFonts **fonts) {
  static pthread_once_t once = PTHREAD_ONCE_INIT;
  if (pthread_once(&once, open_built_in) != 0 || !built_in.config)
    return GLN_SYSTEM;
  GlnFonts *opened = g_new0(GlnFonts, 1);
  opened->map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
  pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(opened->map), built_in.config);
  pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(opened->map), 72);
  opened->context = pango_font_map_create_context(opened->map);
  /* Nothing may depend on the locale or on a screen. */
  pango_context_set_language(opened->context, pango_language_from_string("en"));
  pango_context_set_base_dir(opened->context, PANGO_DIRECTION_LTR);
  pango_context_set_round_glyph_positions(opened->context, FALSE);
  cairo_font_options_t *options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(opened->context, options);
  cairo_font_options_destroy(options);
  *fonts = opened;
  return GLN_OK;
}

void gln_fonts_close(GlnFonts *fonts) {
  if (!fonts)
    return;
  g_object_unref(fonts->context);
  g_object_unref(fonts->map);
  g_free(fonts);
}

static PangoFontDescription *describe(GlnFace face, double size) {
  PangoFontDescription *font = pango_font_description_new();
  pango_font_description_set_family_static(font, face == GLN_FACE_MUSIC ? "Bravura" : "DejaVu Sans");
  pango_font_description_set_weight(font, face == GLN_FACE_BOLD ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font, size * PANGO_SCALE);
  return font;
}

/* The caller unrefs. */
static PangoFont *load(GlnFonts *fonts, GlnFace face, double size) {
  PangoFontDescription *description = describe(face, size);
  PangoFont *font = pango_font_map_load_font(fonts->map, fonts->context, description);
  pango_font_description_free(description);
  return font;
}

static GlnFace face_of(PangoFont *font, GlnFace wanted) {
  FcChar8 *file = NULL;
  if (FcPatternGetString(pango_fc_font_get_pattern(PANGO_FC_FONT(font)), FC_FILE, 0, &file) == FcResultMatch)
    for (int i = 0; i < GLN_FACE_COUNT; i++)
      if (strcmp((const char *)file, built_in.path[i]) == 0)
        return (GlnFace)i;
  return wanted;
}

/* ---- shaping ---- */

#define SIGN_GAP 0.35  /* points, beside a music sign; design choice, judged by eye */
#define TIGHTEN  0.012 /* of the size, between segments; design choice: the eye does not see it */

/* What a run of one segment is shaped with. */
typedef struct Shaper {
  GlnFonts *fonts;
  GlnArena *arena;
  const GlnSegment *segment;
  const char *text; /* the segment's drawn text */
  double x;         /* pen, points */
} Shaper;

/* Text that pango takes as one line: no control characters, no broken UTF-8. Same length. NULL: no memory. */
static char *clean(GlnArena *arena, GlnText text) {
  char *copy = gln_text_copy(arena, text);
  if (!copy)
    return NULL;
  for (size_t bad; (bad = gln_text_bad_utf8((GlnText){copy, text.length})) < text.length;)
    copy[bad] = '?';
  for (size_t i = 0; i < text.length; i++)
    if ((unsigned char)copy[i] < 0x20 || copy[i] == 0x7f)
      copy[i] = ' ';
  return copy;
}

/* The clusters of a run, and how many of its glyphs each keeps (empty glyphs are dropped). */
static GlnStatus add_clusters(Shaper *shaper, PangoGlyphItem *item, GlnRun *run) {
  run->clusters = GLN_NEW(shaper->arena, GlnCluster, (size_t)item->glyphs->num_glyphs);
  if (!run->clusters)
    return GLN_MEMORY;
  run->backward = item->item->analysis.level & 1;
  PangoGlyphItemIter at;
  for (gboolean more = pango_glyph_item_iter_init_start(&at, item, shaper->text); more;
       more = pango_glyph_item_iter_next_cluster(&at)) {
    int low = at.start_glyph < at.end_glyph ? at.start_glyph : at.end_glyph + 1;
    int high = at.start_glyph < at.end_glyph ? at.end_glyph : at.start_glyph + 1;
    GlnCluster cluster = {.bytes = at.end_index - at.start_index};
    for (int i = low; i < high; i++)
      cluster.glyphs += item->glyphs->glyphs[i].glyph != PANGO_GLYPH_EMPTY;
    run->clusters[run->cluster_count++] = cluster;
  }
  return GLN_OK;
}

static GlnStatus add_run(Shaper *shaper, PangoGlyphItem *item, GlnRun *run) {
  const GlnSegment *segment = shaper->segment;
  size_t count = (size_t)item->glyphs->num_glyphs;
  *run = (GlnRun){.face = face_of(item->item->analysis.font, segment->face),
                  .size = segment->size,
                  .stretch = segment->stretch,
                  .said = {shaper->text + item->item->offset, (size_t)item->item->length},
                  .glyphs = GLN_NEW(shaper->arena, GlnGlyph, count)};
  if (!run->glyphs)
    return GLN_MEMORY;
  for (size_t i = 0; i < count; i++) {
    const PangoGlyphInfo *glyph = &item->glyphs->glyphs[i];
    if (glyph->glyph != PANGO_GLYPH_EMPTY)
      run->glyphs[run->glyph_count++] = (GlnGlyph){
          /* Glyph 0 is the font's own sign for a character it does not have. */
          .index = glyph->glyph & PANGO_GLYPH_UNKNOWN_FLAG ? 0 : glyph->glyph,
          .x = shaper->x + pango_units_to_double(glyph->geometry.x_offset) * segment->stretch,
          .y = pango_units_to_double(glyph->geometry.y_offset) - segment->rise,
      };
    shaper->x += pango_units_to_double(glyph->geometry.width) * segment->stretch;
  }
  GLN_TRY(add_clusters(shaper, item, run));
  if (segment->said.length > 0) { /* the run as a whole means something else than its characters */
    run->said = segment->said;
    run->backward = false;
    run->cluster_count = 1;
    run->clusters[0] = (GlnCluster){(int)segment->said.length, (int)run->glyph_count};
  }
  return GLN_OK;
}

static void run_ink(GlnFonts *fonts, const GlnRun *run, GlnBox *ink) {
  PangoFont *font = load(fonts, run->face, run->size);
  cairo_scaled_font_t *scaled = pango_cairo_font_get_scaled_font(PANGO_CAIRO_FONT(font));
  for (size_t i = 0; i < run->glyph_count; i++) {
    cairo_glyph_t glyph = {.index = run->glyphs[i].index};
    cairo_text_extents_t extents;
    cairo_scaled_font_glyph_extents(scaled, &glyph, 1, &extents);
    if (extents.width <= 0 || extents.height <= 0)
      continue;
    double left = run->glyphs[i].x + extents.x_bearing * run->stretch,
           top = run->glyphs[i].y + extents.y_bearing;
    bool first = ink->right <= ink->left;
    ink->left = first ? left : fmin(ink->left, left);
    ink->top = first ? top : fmin(ink->top, top);
    double right = left + extents.width * run->stretch, bottom = top + extents.height;
    ink->right = first ? right : fmax(ink->right, right);
    ink->bottom = first ? bottom : fmax(ink->bottom, bottom);
  }
  g_object_unref(font);
}

/* Appends the runs of one segment; shaped->runs has room (see count_runs). */
static GlnStatus add_line(Shaper *shaper, PangoLayoutLine *line, GlnShaped *shaped) {
  size_t count = shaped->run_count + g_slist_length(line->runs);
  GlnRun *runs = GLN_NEW(shaper->arena, GlnRun, count);
  if (!runs)
    return GLN_MEMORY;
  if (shaped->run_count)
    memcpy(runs, shaped->runs, shaped->run_count * sizeof *runs);
  shaped->runs = runs;
  for (GSList *at = line->runs; at; at = at->next) {
    GlnRun *run = &shaped->runs[shaped->run_count];
    GLN_TRY(add_run(shaper, at->data, run));
    if (run->glyph_count == 0)
      continue;
    run_ink(shaper->fonts, run, &shaped->ink);
    shaped->run_count++;
  }
  return GLN_OK;
}

static GlnStatus add_segment(Shaper *shaper, const GlnSegment *segment, GlnShaped *shaped) {
  shaper->segment = segment;
  shaper->text = clean(shaper->arena, segment->text);
  if (!shaper->text)
    return GLN_MEMORY;
  PangoLayout *layout = pango_layout_new(shaper->fonts->context);
  pango_layout_set_single_paragraph_mode(layout, TRUE);
  pango_layout_set_auto_dir(layout, FALSE);
  PangoFontDescription *font = describe(segment->face, segment->size);
  pango_layout_set_font_description(layout, font);
  pango_font_description_free(font);
  pango_layout_set_text(layout, shaper->text, (int)segment->text.length);
  GlnStatus status = add_line(shaper, pango_layout_get_line_readonly(layout, 0), shaped);
  g_object_unref(layout);
  return status;
}

/* Points between two segments. Music signs have no room of their own. Letters are set a little tight: where neighbours
 * of one letter each do not touch, readers of PDF take uneven gaps for blanks between words. */
static double gap_between(const GlnSegment *before, const GlnSegment *after) {
  if (before->face == GLN_FACE_MUSIC || after->face == GLN_FACE_MUSIC)
    return fmin(SIGN_GAP,
                SIGN_GAP / 8 * after->size); /* less in small print, so that all of a name shrinks */
  return -TIGHTEN * after->size;
}

GlnStatus gln_fonts_shape(GlnFonts *fonts, GlnArena *arena, const GlnSegment *segments, size_t count,
                          GlnShaped *shaped) {
  Shaper shaper = {.fonts = fonts, .arena = arena};
  *shaped = (GlnShaped){0};
  for (size_t i = 0; i < count; i++) {
    if (segments[i].text.length == 0)
      continue;
    if (i > 0 && shaped->run_count > 0)
      shaper.x += gap_between(&segments[i - 1], &segments[i]);
    GLN_TRY(add_segment(&shaper, &segments[i], shaped));
  }
  shaped->advance = shaper.x;
  return GLN_OK;
}

/* ---- outlines for the SVG painter ---- */

static void add_spots(GlnBuffer *out, char command, const cairo_path_data_t *data, int count) {
  gln_buffer_add_byte(out, command);
  for (int i = 1; i <= count; i++) {
    if (i > 1)
      gln_buffer_add_byte(out, ' ');
    gln_buffer_add_number(out, data[i].point.x, 0);
    gln_buffer_add_byte(out, ' ');
    gln_buffer_add_number(out, data[i].point.y, 0);
  }
}

void gln_fonts_outline(GlnFonts *fonts, GlnFace face, uint32_t index, GlnBuffer *out) {
  cairo_surface_t *surface = cairo_recording_surface_create(CAIRO_CONTENT_ALPHA, NULL);
  cairo_t *cairo = cairo_create(surface);
  cairo_set_tolerance(cairo, 0.5);
  PangoFont *font = load(fonts, face, 1000);
  cairo_set_scaled_font(cairo, pango_cairo_font_get_scaled_font(PANGO_CAIRO_FONT(font)));
  cairo_glyph_t glyph = {.index = index};
  cairo_glyph_path(cairo, &glyph, 1);
  cairo_path_t *path = cairo_copy_path(cairo);
  for (int i = 0; i < path->num_data; i += path->data[i].header.length) {
    const cairo_path_data_t *data = &path->data[i];
    switch (data->header.type) {
    case CAIRO_PATH_MOVE_TO:
      if (i + data->header.length < path->num_data) /* cairo ends with a move that draws nothing */
        add_spots(out, 'M', data, 1);
      break;
    case CAIRO_PATH_LINE_TO:
      add_spots(out, 'L', data, 1);
      break;
    case CAIRO_PATH_CURVE_TO:
      add_spots(out, 'C', data, 3);
      break;
    case CAIRO_PATH_CLOSE_PATH:
      gln_buffer_add_byte(out, 'Z');
      break;
    }
  }
  cairo_path_destroy(path);
  g_object_unref(font);
  cairo_destroy(cairo);
  cairo_surface_destroy(surface);
}

/* ---- painting ---- */

typedef struct Painter {
  const GlnCanvas *canvas;
  cairo_t *cairo;
  GlnArena *arena;
  cairo_glyph_t *glyphs; /* scratch for one run; kept, for the painted bytes grow in the same arena */
  size_t glyph_room;
  cairo_text_cluster_t *clusters;
  size_t cluster_room;
} Painter;

static bool make_room(Painter *painter, const GlnRun *run) {
  if (run->glyph_count > painter->glyph_room) {
    painter->glyph_room = run->glyph_count * 2;
    painter->glyphs = GLN_NEW(painter->arena, cairo_glyph_t, painter->glyph_room);
  }
  if (run->cluster_count > painter->cluster_room) {
    painter->cluster_room = run->cluster_count * 2;
    painter->clusters = GLN_NEW(painter->arena, cairo_text_cluster_t, painter->cluster_room);
  }
  return painter->glyphs && painter->clusters;
}

static GlnStatus paint_run(Painter *painter, const GlnRun *run, GlnSpot origin) {
  if (!make_room(painter, run))
    return GLN_MEMORY;
  cairo_glyph_t *glyphs = painter->glyphs;
  cairo_text_cluster_t *clusters = painter->clusters;
  for (size_t i = 0; i < run->glyph_count; i++)
    glyphs[i] = (cairo_glyph_t){run->glyphs[i].index, run->glyphs[i].x / run->stretch, run->glyphs[i].y};
  for (size_t i = 0; i < run->cluster_count; i++)
    clusters[i] = (cairo_text_cluster_t){run->clusters[i].bytes, run->clusters[i].glyphs};
  PangoFont *font = load(painter->canvas->fonts, run->face, run->size);
  cairo_save(painter->cairo);
  cairo_translate(painter->cairo, origin.x, origin.y);
  cairo_scale(painter->cairo, run->stretch, 1);
  cairo_set_scaled_font(painter->cairo, pango_cairo_font_get_scaled_font(PANGO_CAIRO_FONT(font)));
  cairo_show_text_glyphs(painter->cairo, run->said.at, (int)run->said.length, glyphs, (int)run->glyph_count,
                         clusters, (int)run->cluster_count,
                         run->backward ? CAIRO_TEXT_CLUSTER_FLAG_BACKWARD : 0);
  cairo_restore(painter->cairo);
  g_object_unref(font);
  return GLN_OK;
}

static void trace_area(cairo_t *cairo, const GlnMark *mark) {
  double left = mark->spots[0].x, top = mark->spots[0].y, right = mark->spots[1].x, bottom = mark->spots[1].y;
  double radius = fmin(mark->radius, fmin(right - left, bottom - top) / 2);
  if (radius <= 0) {
    cairo_rectangle(cairo, left, top, right - left, bottom - top);
    return;
  }
  double quarter = acos(-1.0) / 2;
  cairo_new_sub_path(cairo);
  cairo_arc(cairo, right - radius, top + radius, radius, -quarter, 0);
  cairo_arc(cairo, right - radius, bottom - radius, radius, 0, quarter);
  cairo_arc(cairo, left + radius, bottom - radius, radius, quarter, 2 * quarter);
  cairo_arc(cairo, left + radius, top + radius, radius, 2 * quarter, 3 * quarter);
  cairo_close_path(cairo);
}

static void trace_line(cairo_t *cairo, const GlnMark *mark) {
  cairo_set_line_cap(cairo, mark->round_ends ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
  cairo_set_line_join(cairo, mark->round_ends ? CAIRO_LINE_JOIN_ROUND : CAIRO_LINE_JOIN_MITER);
  cairo_move_to(cairo, mark->spots[0].x, mark->spots[0].y);
  for (size_t i = 1; i < mark->spot_count; i++)
    cairo_line_to(cairo, mark->spots[i].x, mark->spots[i].y);
}

static GlnStatus paint_mark(Painter *painter, const GlnMark *mark) {
  cairo_t *cairo = painter->cairo;
  cairo_set_source_rgb(cairo, mark->shade, mark->shade, mark->shade);
  switch (mark->kind) {
  case GLN_MARK_TEXT:
    for (size_t i = 0; i < mark->text->run_count; i++)
      GLN_TRY(paint_run(painter, &mark->text->runs[i], mark->spots[0]));
    return GLN_OK;
  case GLN_MARK_LINE:
    trace_line(cairo, mark);
    break;
  case GLN_MARK_AREA:
    trace_area(cairo, mark);
    break;
  case GLN_MARK_SHAPE:
    trace_line(cairo, mark);
    cairo_close_path(cairo);
    break;
  case GLN_MARK_DISC:
    cairo_new_sub_path(cairo);
    cairo_arc(cairo, mark->spots[0].x, mark->spots[0].y, mark->radius, 0, 2 * acos(-1.0));
    break;
  }
  if (mark->width > 0) {
    cairo_set_line_width(cairo, mark->width);
    cairo_stroke(cairo);
  } else {
    cairo_fill(cairo);
  }
  return GLN_OK;
}

static GlnStatus paint_page(Painter *painter, size_t page) {
  const GlnCanvasPage *drawn = &painter->canvas->pages[page];
  for (size_t i = 0; i < drawn->count; i++)
    GLN_TRY(paint_mark(painter, &drawn->marks[i]));
  return GLN_OK;
}

static cairo_status_t add_bytes(void *closure, const unsigned char *data, unsigned length) {
  GlnBuffer *out = closure;
  gln_buffer_add(out, (GlnText){(const char *)data, length});
  return gln_buffer_status(out) == GLN_OK ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

static GlnStatus status_of(cairo_status_t status, const GlnBuffer *out) {
  if (status == CAIRO_STATUS_SUCCESS)
    return gln_buffer_status(out);
  return status == CAIRO_STATUS_NO_MEMORY || gln_buffer_status(out) != GLN_OK ? GLN_MEMORY : GLN_SYSTEM;
}

static GlnStatus paint_pdf(const GlnCanvas *canvas, size_t first_page, size_t page_count,
                           cairo_surface_t *surface) {
  GlnArena *arena = canvas->arena;
  char *title = clean(arena, canvas->title), *author = clean(arena, canvas->author);
  if (!title || !author)
    return GLN_MEMORY;
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
  if (*author)
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, author);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "gripline " GRIPLINE_VERSION);
  /* Always the same day, so that the same sheet gives the same bytes. */
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  Painter painter = {.canvas = canvas, .cairo = cairo_create(surface), .arena = arena};
  GlnStatus status = GLN_OK;
  cairo_scale(painter.cairo, canvas->scale, canvas->scale);
  for (size_t page = 0; page < page_count && status == GLN_OK; page++) {
    status = paint_page(&painter, first_page + page);
    cairo_show_page(painter.cairo);
  }
  for (size_t i = 0; i < canvas->bookmark_count; i++) {
    const GlnBookmark *bookmark = &canvas->bookmarks[i];
    if (bookmark->page < first_page || bookmark->page >= first_page + page_count)
      continue;
    GlnBuffer link = gln_buffer(arena);
    gln_buffer_format(&link, "page=%zu pos=[0 ", bookmark->page - first_page + 1);
    gln_buffer_add_number(&link, bookmark->y * canvas->scale, 1);
    gln_buffer_add_string(&link, "]");
    gln_buffer_add_byte(&link, '\0');
    char *words = clean(arena, bookmark->words);
    if (!words || gln_buffer_status(&link) != GLN_OK)
      status = GLN_MEMORY;
    else
      (void)cairo_pdf_surface_add_outline(surface, CAIRO_PDF_OUTLINE_ROOT, words, link.at, 0);
  }
  cairo_destroy(painter.cairo);
  return status;
}

GlnStatus gln_surface_pdf(const GlnCanvas *canvas, size_t first_page, size_t page_count, GlnBuffer *out) {
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
      add_bytes, out, canvas->width * canvas->scale, canvas->height * canvas->scale);
  GlnStatus status = paint_pdf(canvas, first_page, page_count, surface);
  cairo_surface_finish(surface);
  if (status == GLN_OK)
    status = status_of(cairo_surface_status(surface), out);
  cairo_surface_destroy(surface);
  return status;
}

GlnStatus gln_surface_png(const GlnCanvas *canvas, size_t first_page, size_t page_count, double dpi,
                          GlnBuffer *out) {
  double scale = dpi / 72 * canvas->scale;
  cairo_surface_t *surface =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(canvas->width * scale - 1e-6),
                                 (int)ceil(canvas->height * scale * (double)page_count - 1e-6));
  Painter painter = {.canvas = canvas, .cairo = cairo_create(surface), .arena = canvas->arena};
  cairo_set_source_rgb(painter.cairo, 1, 1, 1);
  cairo_paint(painter.cairo);
  cairo_scale(painter.cairo, scale, scale);
  GlnStatus status = GLN_OK;
  for (size_t page = 0; page < page_count && status == GLN_OK; page++) {
    status = paint_page(&painter, first_page + page);
    cairo_translate(painter.cairo, 0, canvas->height);
  }
  if (status == GLN_OK)
    status = status_of(cairo_status(painter.cairo), out);
  if (status == GLN_OK)
    status = status_of(cairo_surface_write_to_png_stream(surface, add_bytes, out), out);
  cairo_destroy(painter.cairo);
  cairo_surface_destroy(surface);
  return status;
}
