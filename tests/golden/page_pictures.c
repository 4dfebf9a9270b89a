/* page_pictures compare FOLDER   draws the pages and compares them with the pictures in it; 1 when one differs
 * page_pictures rewrite FOLDER   writes them there, after a change that was meant and looked at
 * page_pictures files FOLDER     writes a sheet as sheet.pdf, sheet.svg and sheet.png for other programs to read
 *
 * Tolerance: at most 1 in 200 pixels may differ by more than 40 of 255 grey levels, for rasterisers round differently;
 * a missing, moved or misspelt mark changes more than that at these sizes (see the self-check). */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "handmade.h"

#include <cairo.h>
#include <stdio.h>

#define LEVELS 40
#define ONE_IN 200

static const char song[] =
    "[opening] Gm7@3x333x=2x333x C7b9@x3232x=x3141x | Fmaj9@x8798x=x2143x | % | C7sus4@x35363=x13141 | "
    "[A] |: Fmaj9@x8798x=x2143x F13@1x123x=1x123x | G13@3x345x=1x234x | 1| Bbmaj7@x13231=x13241 :| "
    "2| C#m7b5(11)@x4542x=x2341x F#7b5/C@2x231x=2x341x | N.C. | "
    "[ending] m3/4 C6/9@x32233=x21134 | D/F#@200232=T00132 Am@x02210=x02310 :|3 ";

static GlnBuffer draw_sheet(Handmade *made, GlnPageFormat format, double dpi, int page, uint8_t parts) {
  GlnPageOptions options = gln_page_defaults();
  options.parts = parts;
  options.dpi = dpi;
  options.page = page;
  const GlnSheetMatter matter = handmade_matter(made, "bossa");
  GlnDiags diags = gln_diags(made->arena);
  GlnBuffer out = gln_buffer(made->arena);
  assert_int_equal(gln_sheet_write(&matter, &options, format, &out, &diags), GLN_OK);
  return out;
}

static GlnBuffer draw_diagram(Handmade *made, size_t slot, bool left_handed) {
  GlnPageOptions options = gln_page_defaults();
  options.dpi = 72;
  options.left_handed = left_handed;
  GlnDiags diags = gln_diags(made->arena);
  GlnBuffer out = gln_buffer(made->arena);
  const GlnLineSlot *line_slot = &made->line.slots[slot];
  assert_int_equal(gln_diagram_write(&line_slot->grip, line_slot->slot->event->symbol, &made->instrument,
                                     &options, GLN_PAGE_PNG, &out, &diags),
                   GLN_OK);
  return out;
}

static Handmade *make_song(void) {
  Handmade *made = handmade("Ferry at Low Tide", song);
  made->chart.by = gln_text("Harbour Street Quartet");
  made->chart.feel = gln_text("bossa");
  made->chart.has_key = made->chart.has_tempo = true;
  made->chart.key = (GlnKey){{3, 0}, false};
  made->chart.tempo = 126;
  return made;
}

/* The pictures kept, by name. */
static const char *const names[] = {
    "sheet", "diagram-position", "diagram-left-handed", "moves", "neck", "why", "score"};

static GlnBuffer draw(Handmade *made, size_t picture) {
  if (picture == 0)
    return draw_sheet(made, GLN_PAGE_PNG, 50, 1, 1U << GLN_SHEET_CHART | 1U << GLN_SHEET_GRIPS);
  if (picture >= 3)
    return draw_sheet(made, GLN_PAGE_PNG, picture > 4 ? 72 : 50, 1,
                      (uint8_t)(1U << (GLN_SHEET_MOVES + (picture - 3))));
  return draw_diagram(made, 5, picture == 2);
}

static void path_of(const char *folder, const char *name, const char *end, char path[1024]) {
  int length = snprintf(path, 1024, "%s/%s%s", folder, name, end);
  assert_true(length > 0 && length < 1024);
}

static void save(const char *folder, const char *name, const char *end, const GlnBuffer *bytes) {
  char path[1024];
  path_of(folder, name, end, path);
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes->at, 1, bytes->length, file), bytes->length);
  assert_int_equal(fclose(file), 0);
}

typedef struct Source {
  const GlnBuffer *bytes;
  size_t at;
} Source;

static cairo_status_t read_bytes(void *closure, unsigned char *data, unsigned length) {
  Source *source = closure;
  if (length > source->bytes->length - source->at)
    return CAIRO_STATUS_READ_ERROR;
  memcpy(data, source->bytes->at + source->at, length);
  source->at += length;
  return CAIRO_STATUS_SUCCESS;
}

/* Pixels that differ by more than LEVELS; all of them when the sizes differ. */
static size_t differing(cairo_surface_t *a, cairo_surface_t *b, size_t *pixels) {
  int width = cairo_image_surface_get_width(a), height = cairo_image_surface_get_height(a);
  *pixels = (size_t)width * (size_t)height;
  if (width != cairo_image_surface_get_width(b) || height != cairo_image_surface_get_height(b))
    return *pixels;
  size_t count = 0;
  for (int y = 0; y < height; y++) {
    const unsigned char *row_a = cairo_image_surface_get_data(a) + y * cairo_image_surface_get_stride(a);
    const unsigned char *row_b = cairo_image_surface_get_data(b) + y * cairo_image_surface_get_stride(b);
    for (int x = 0; x < width; x++)
      count += abs(row_a[4 * x + 1] - row_b[4 * x + 1]) > LEVELS; /* the pages are grey: green says it all */
  }
  return count;
}

static bool compare(Handmade *made, size_t picture, const char *folder) {
  GlnBuffer bytes = draw(made, picture);
  Source source = {.bytes = &bytes};
  char path[1024];
  path_of(folder, names[picture], ".png", path);
  cairo_surface_t *now = cairo_image_surface_create_from_png_stream(read_bytes, &source);
  cairo_surface_t *kept = cairo_image_surface_create_from_png(path);
  assert_int_equal(cairo_surface_status(now), CAIRO_STATUS_SUCCESS);
  if (cairo_surface_status(kept) != CAIRO_STATUS_SUCCESS) {
    (void)fprintf(stderr, "%s: cannot be read\n", path);
    return false;
  }
  size_t pixels, count = differing(now, kept, &pixels);
  (void)printf("%s: %zu of %zu pixels differ\n", names[picture], count, pixels);
  cairo_surface_destroy(now);
  cairo_surface_destroy(kept);
  return count * ONE_IN <= pixels;
}

/* The tolerance must not let a wrong finger through: two diagrams that differ in one must count as different. */
static bool tolerance_is_strict(Handmade *made) {
  GlnBuffer right = draw_diagram(made, 5, false);
  made->line.slots[5].grip.frets.fret[1] += 1;
  GlnBuffer wrong = draw_diagram(made, 5, false);
  made->line.slots[5].grip.frets.fret[1] -= 1;
  Source a = {.bytes = &right}, b = {.bytes = &wrong};
  cairo_surface_t *first = cairo_image_surface_create_from_png_stream(read_bytes, &a);
  cairo_surface_t *second = cairo_image_surface_create_from_png_stream(read_bytes, &b);
  size_t pixels, count = differing(first, second, &pixels);
  cairo_surface_destroy(first);
  cairo_surface_destroy(second);
  return count * ONE_IN > pixels;
}

int main(int count, char **arguments) {
  if (count != 3)
    return 2;
  const char *task = arguments[1], *folder = arguments[2];
  Handmade *made = make_song();
  bool good = true;
  if (strcmp(task, "files") == 0) {
    GlnBuffer pdf = draw_sheet(made, GLN_PAGE_PDF, 150, 0, 0),
              svg = draw_sheet(made, GLN_PAGE_SVG, 150, 0, 0);
    GlnBuffer png = draw_sheet(made, GLN_PAGE_PNG, 100, 1, 0);
    save(folder, "sheet", ".pdf", &pdf);
    save(folder, "sheet", ".svg", &svg);
    save(folder, "sheet", ".png", &png);
  } else if (strcmp(task, "rewrite") == 0) {
    for (size_t i = 0; i < GLN_COUNT_OF(names); i++) {
      GlnBuffer bytes = draw(made, i);
      save(folder, names[i], ".png", &bytes);
    }
  } else if (strcmp(task, "compare") == 0) {
    good = tolerance_is_strict(made);
    if (!good)
      (void)fprintf(stderr, "the tolerance lets a wrong grip through\n");
    for (size_t i = 0; i < GLN_COUNT_OF(names); i++)
      good = compare(made, i, folder) && good;
  } else {
    good = false;
  }
  handmade_free(made);
  return good ? 0 : 1;
}
