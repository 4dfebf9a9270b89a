/* SVG: the same marks, letters as outlines so that the picture looks the same on every machine.
 *
 * Standard: Scalable Vector Graphics 1.1 (W3C). Alternative text goes into <title> of each block and
 * aria-label of each text. An outline's id says its face and glyph, so two pictures in one web page may share
 * ids without harm. */
#include "page_internal.h"

#include <math.h>
#include <string.h>

static void add(GlnBuffer *out, const char *name, double value) {
  gln_buffer_format(out, " %s=\"", name);
  gln_buffer_add_number(out, value, 2);
  gln_buffer_add_byte(out, '"');
}

static void add_escaped(GlnBuffer *out, GlnText text) {
  for (size_t i = 0; i < text.length; i++) {
    unsigned char c = (unsigned char)text.at[i];
    if (c == '<')
      gln_buffer_add_string(out, "&lt;");
    else if (c == '>')
      gln_buffer_add_string(out, "&gt;");
    else if (c == '&')
      gln_buffer_add_string(out, "&amp;");
    else if (c == '"')
      gln_buffer_add_string(out, "&quot;");
    else if (c < 0x20) /* XML 1.0 has no sign for most of them */
      gln_buffer_add_byte(out, ' ');
    else
      gln_buffer_add_byte(out, (char)c);
  }
}

static void add_shade(GlnBuffer *out, const char *name, double shade) {
  int level = (int)lround(shade * 255);
  if (level != 0 || strcmp(name, "stroke") == 0)
    gln_buffer_format(out, " %s=\"#%02x%02x%02x\"", name, (unsigned)level, (unsigned)level, (unsigned)level);
}

/* ---- outlines used ---- */

/* One bit a glyph of each face: 65536 is the most a font of this kind can hold. */
typedef struct Used {
  uint8_t bits[GLN_FACE_COUNT][65536 / 8];
} Used;

static void note_used(Used *used, const GlnShaped *text) {
  for (size_t r = 0; r < text->run_count; r++)
    for (size_t g = 0; g < text->runs[r].glyph_count; g++) {
      uint32_t index = text->runs[r].glyphs[g].index & 0xffff;
      used->bits[text->runs[r].face][index / 8] |= (uint8_t)(1U << (index % 8));
    }
}

static void add_outlines(const GlnCanvas *canvas, const Used *used, GlnBuffer *out) {
  gln_buffer_add_string(out, "<defs>\n");
  for (int face = 0; face < GLN_FACE_COUNT; face++)
    for (uint32_t index = 0; index < 65536; index++)
      if (used->bits[face][index / 8] & (1U << (index % 8))) {
        gln_buffer_format(out, "<path id=\"g%d-%u\" d=\"", face, (unsigned)index);
        gln_fonts_outline(canvas->fonts, (GlnFace)face, index, out);
        gln_buffer_add_string(out, "\"/>\n");
      }
  gln_buffer_add_string(out, "</defs>\n");
}

/* ---- marks ---- */

static void add_text(GlnBuffer *out, const GlnMark *mark) {
  gln_buffer_add_string(out, "<g role=\"img\" aria-label=\"");
  for (size_t r = 0; r < mark->text->run_count; r++)
    add_escaped(out, mark->text->runs[r].said);
  gln_buffer_add_byte(out, '"');
  add_shade(out, "fill", mark->shade);
  gln_buffer_add_byte(out, '>');
  for (size_t r = 0; r < mark->text->run_count; r++) {
    const GlnRun *run = &mark->text->runs[r];
    for (size_t g = 0; g < run->glyph_count; g++) {
      gln_buffer_format(out, "<use xlink:href=\"#g%d-%u\" transform=\"translate(", (int)run->face,
                        (unsigned)run->glyphs[g].index);
      gln_buffer_add_number(out, mark->spots[0].x + run->glyphs[g].x, 2);
      gln_buffer_add_byte(out, ' ');
      gln_buffer_add_number(out, mark->spots[0].y + run->glyphs[g].y, 2);
      gln_buffer_add_string(out, ") scale(");
      gln_buffer_add_number(out, run->size * run->stretch / 1000, 6);
      gln_buffer_add_byte(out, ' ');
      gln_buffer_add_number(out, run->size / 1000, 6);
      gln_buffer_add_string(out, ")\"/>");
    }
  }
  gln_buffer_add_string(out, "</g>\n");
}

static void add_paint(GlnBuffer *out, const GlnMark *mark) {
  if (mark->width > 0) {
    gln_buffer_add_string(out, " fill=\"none\"");
    add_shade(out, "stroke", mark->shade);
    add(out, "stroke-width", mark->width);
  } else {
    add_shade(out, "fill", mark->shade);
  }
  gln_buffer_add_string(out, "/>\n");
}

static void add_line(GlnBuffer *out, const GlnMark *mark) {
  gln_buffer_add_string(out, mark->kind == GLN_MARK_SHAPE ? "<polygon points=\"" : "<polyline points=\"");
  for (size_t i = 0; i < mark->spot_count; i++) {
    if (i > 0)
      gln_buffer_add_byte(out, ' ');
    gln_buffer_add_number(out, mark->spots[i].x, 2);
    gln_buffer_add_byte(out, ',');
    gln_buffer_add_number(out, mark->spots[i].y, 2);
  }
  gln_buffer_add_byte(out, '"');
  if (mark->round_ends)
    gln_buffer_add_string(out, " stroke-linecap=\"round\" stroke-linejoin=\"round\"");
  add_paint(out, mark);
}

static void add_area(GlnBuffer *out, const GlnMark *mark) {
  gln_buffer_add_string(out, "<rect");
  add(out, "x", mark->spots[0].x);
  add(out, "y", mark->spots[0].y);
  add(out, "width", mark->spots[1].x - mark->spots[0].x);
  add(out, "height", mark->spots[1].y - mark->spots[0].y);
  if (mark->radius > 0)
    add(out, "rx", mark->radius);
  add_paint(out, mark);
}

static void add_mark(GlnBuffer *out, const GlnMark *mark) {
  switch (mark->kind) {
  case GLN_MARK_TEXT:
    add_text(out, mark);
    break;
  case GLN_MARK_LINE:
  case GLN_MARK_SHAPE:
    add_line(out, mark);
    break;
  case GLN_MARK_AREA:
    add_area(out, mark);
    break;
  case GLN_MARK_DISC:
    gln_buffer_add_string(out, "<circle");
    add(out, "cx", mark->spots[0].x);
    add(out, "cy", mark->spots[0].y);
    add(out, "r", mark->radius);
    add_paint(out, mark);
    break;
  }
}

static void add_page(const GlnCanvas *canvas, size_t page, double top, GlnBuffer *out) {
  gln_buffer_add_string(out, "<g transform=\"translate(0 ");
  gln_buffer_add_number(out, top, 2);
  gln_buffer_add_string(out, ")\">\n");
  const GlnCanvasPage *drawn = &canvas->pages[page];
  size_t block = SIZE_MAX;
  for (size_t i = 0; i < drawn->count; i++) {
    const GlnMark *mark = &drawn->marks[i];
    if (mark->block != block) {
      if (block != SIZE_MAX)
        gln_buffer_add_string(out, "</g>\n");
      block = mark->block;
      const GlnBlock *entered = &canvas->blocks[block];
      gln_buffer_format(out, "<g class=\"%s\"%s>", entered->kind,
                        entered->words.length ? " role=\"img\"" : "");
      if (entered->words.length) {
        gln_buffer_add_string(out, "<title>");
        add_escaped(out, entered->words);
        gln_buffer_add_string(out, "</title>");
      }
      gln_buffer_add_byte(out, '\n');
    }
    add_mark(out, mark);
  }
  gln_buffer_add_string(out, block == SIZE_MAX ? "</g>\n" : "</g>\n</g>\n");
}

GlnStatus gln_surface_svg(const GlnCanvas *canvas, size_t first_page, size_t page_count, GlnBuffer *out) {
  Used *used = GLN_NEW(canvas->arena, Used, 1);
  if (!used)
    return GLN_MEMORY;
  double height = canvas->height * (double)page_count;
  gln_buffer_add_string(
      out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
           "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\"");
  gln_buffer_add_string(out, " viewBox=\"0 0 ");
  gln_buffer_add_number(out, canvas->width, 2);
  gln_buffer_add_byte(out, ' ');
  gln_buffer_add_number(out, height, 2);
  gln_buffer_add_string(out, "\" width=\"");
  gln_buffer_add_number(out, canvas->width * canvas->scale, 2);
  gln_buffer_add_string(out, "pt\" height=\"");
  gln_buffer_add_number(out, height * canvas->scale, 2);
  gln_buffer_add_string(out, "pt\">\n<title>");
  add_escaped(out, canvas->title);
  gln_buffer_add_string(out, "</title>\n");
  for (size_t page = first_page; page < first_page + page_count; page++)
    for (size_t i = 0; i < canvas->pages[page].count; i++)
      if (canvas->pages[page].marks[i].kind == GLN_MARK_TEXT)
        note_used(used, canvas->pages[page].marks[i].text);
  add_outlines(canvas, used, out);
  gln_buffer_add_string(out, "<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n");
  for (size_t page = 0; page < page_count; page++)
    add_page(canvas, first_page + page, canvas->height * (double)page, out);
  gln_buffer_add_string(out, "</svg>\n");
  return gln_buffer_status(out);
}
