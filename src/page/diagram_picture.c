/* One chord diagram as a picture of its own. */
#include "page_internal.h"

#include <math.h>

/* Points; design choice: legible at arm's length on a stand, and on a phone. */
#define STRING_GAP 14.0
#define NAME_SIZE  24.0
#define EDGE       8.0

/* Lays the picture out; the canvas is then cut to the ink of what was drawn. */
static void draw(GlnCanvas *canvas, const GlnGrip *grip, GlnText symbol, const GlnInstrument *instrument,
                 const GlnPageOptions *options) {
  GlnDiagramStyle style = gln_diagram_style(STRING_GAP, options->left_handed, instrument);
  GlnDiagramSize size = gln_diagram_measure(canvas, grip, &style);
  GlnBuffer words = gln_buffer(canvas->arena);
  gln_diagram_describe(grip, symbol, instrument, &words);
  canvas->title = gln_canvas_said(canvas, &words);
  GlnChord chord = {.has_bass = true};
  const GlnShaped *name = gln_chord_name_shape(canvas, symbol, &chord, NAME_SIZE, 400);
  double centre = fmax(size.left + size.grid_width / 2, name->advance / 2);
  double right = fmax(centre + name->advance / 2, centre + size.grid_width / 2 + size.right);
  double head = symbol.length > 0 ? NAME_SIZE * 1.15 : 0;
  gln_canvas_block(canvas, "diagram", canvas->title);
  gln_canvas_text(canvas, name, EDGE + centre - name->advance / 2, EDGE + NAME_SIZE * 0.8, GLN_INK);
  gln_diagram_draw(canvas, grip, &style, EDGE + centre - size.grid_width / 2, EDGE + head);
  canvas->width = ceil(EDGE + right + EDGE);
  canvas->height = ceil(EDGE + head + size.height + EDGE);
}

GlnStatus gln_diagram_write(const GlnGrip *grip, GlnText symbol, const GlnInstrument *instrument,
                            const GlnPageOptions *options, GlnPageFormat format, GlnBuffer *out,
                            GlnDiags *diags) {
  GlnCanvas canvas;
  GlnStatus status = gln_canvas_open(&canvas, out->arena, 100, 100, 2);
  if (status == GLN_OK) {
    draw(&canvas, grip, symbol, instrument, options);
    status = gln_canvas_write(&canvas, options, format, out, diags);
  }
  gln_canvas_close(&canvas);
  return status;
}
