/* The canvas and what is drawn on it. Inside the page room alone (and its tests).
 *
 * Units are points (1/72 inch), x to the right, y down, from the upper left corner of a page.
 * Layout puts marks on the canvas; each mark carries the box of its ink, so a test can measure everything
 * drawn. Marks belong to a block (a diagram, a chord name, a heading): ink of different blocks never
 * overlaps. Painters (surface_cairo.c, surface_svg.c) only walk the marks. */
#ifndef GLN_PAGE_INTERNAL_H
#define GLN_PAGE_INTERNAL_H

#include "page.h"

/* ---- geometry and shades ---- */

typedef struct GlnSpot {
  double x, y;
} GlnSpot;

typedef struct GlnBox {
  double left, top, right, bottom;
} GlnBox;

/* Grey levels, safe on a black-and-white printer: 0 black, 1 white. */
#define GLN_INK         0.0
#define GLN_INK_SOFT    0.32 /* secondary words */
#define GLN_INK_LINE    0.45 /* strings and frets: thin, so never light */
#define GLN_PAPER_WHITE 1.0

/* ---- text ---- */

typedef enum GlnFace { GLN_FACE_TEXT, GLN_FACE_BOLD, GLN_FACE_MUSIC, GLN_FACE_COUNT } GlnFace;

/* A stretch of text in one face and size. */
typedef struct GlnSegment {
  GlnText text; /* what is drawn */
  GlnText said; /* what it means to a reader of the file (copy and search); empty: the text itself */
  GlnFace face;
  double size;    /* points */
  double stretch; /* horizontal: 1 as designed, 0.9 condensed */
  double rise;    /* of the baseline, points, up */
} GlnSegment;

typedef struct GlnGlyph {
  uint32_t index; /* in its face */
  double x, y;    /* from the text's origin */
} GlnGlyph;

/* So many bytes of the said text are shown by so many glyphs. */
typedef struct GlnCluster {
  int bytes, glyphs;
} GlnCluster;

typedef struct GlnRun {
  GlnFace face;
  double size, stretch;
  GlnText said;
  bool backward; /* right-to-left: clusters go from the last glyph to the first */
  GlnGlyph *glyphs;
  size_t glyph_count;
  GlnCluster *clusters;
  size_t cluster_count;
} GlnRun;

typedef struct GlnShaped {
  GlnRun *runs;
  size_t run_count;
  double advance; /* points */
  GlnBox ink;     /* from the origin on the baseline; empty when nothing shows */
} GlnShaped;

/* The built-in fonts, opened for one job. */
typedef struct GlnFonts GlnFonts;
GLN_MUST_USE GlnStatus gln_fonts_open(GlnFonts **fonts);
void gln_fonts_close(GlnFonts *fonts); /* NULL does nothing */
GLN_MUST_USE GlnStatus gln_fonts_shape(GlnFonts *fonts, GlnArena *arena, const GlnSegment *segments,
                                       size_t count, GlnShaped *shaped);
/* A glyph's outline as SVG path data, thousandths of an em. */
void gln_fonts_outline(GlnFonts *fonts, GlnFace face, uint32_t glyph, GlnBuffer *out);

/* ---- marks and blocks ---- */

typedef enum GlnMarkKind {
  GLN_MARK_TEXT,
  GLN_MARK_LINE,
  GLN_MARK_AREA,
  GLN_MARK_DISC,
  GLN_MARK_SHAPE /* a filled polygon: spots are its corners */
} GlnMarkKind;

typedef struct GlnMark {
  GlnMarkKind kind;
  size_t block;
  GlnBox box; /* of the ink, stroke width included */
  double shade;
  double width;         /* of the stroke; 0: filled */
  double radius;        /* of a disc, or of an area's corners */
  const GlnSpot *spots; /* a line's corners; an area's upper left and lower right; a disc's centre */
  size_t spot_count;
  bool round_ends;
  const GlnShaped *text; /* its origin is spots[0] */
} GlnMark;

typedef struct GlnBlock {
  const char *kind; /* for tests and SVG classes: "diagram", "name", "bars", … */
  GlnText words;    /* alternative text; empty: the marks speak for themselves */
  size_t page;
} GlnBlock;

typedef struct GlnCanvasPage {
  GlnMark *marks;
  size_t count, capacity;
} GlnCanvasPage;

/* A line of the PDF's outline. */
typedef struct GlnBookmark {
  GlnText words;
  size_t page;
  double y;
} GlnBookmark;

typedef struct GlnCanvas {
  GlnArena *arena;
  GlnFonts *fonts;
  GlnStatus status; /* the first failure, remembered: draw without checking, ask once at the end */
  double width, height;
  double margin; /* nothing is drawn outside it */
  double scale;  /* of the paper: 1; more makes everything larger on a page of fewer points */
  GlnText title, author;
  GlnCanvasPage *pages;
  size_t page_count, page_capacity;
  size_t page; /* the one drawn on */
  GlnBlock *blocks;
  size_t block_count, block_capacity;
  size_t block; /* the one drawn in */
  GlnBookmark *bookmarks;
  size_t bookmark_count, bookmark_capacity;
  struct GlnShapeCache *shapes;
} GlnCanvas;

/* Opens the fonts; gln_canvas_close frees what the arena does not hold. */
void gln_canvas_fail(GlnCanvas *canvas, GlnStatus status); /* remembered, if it is the first */
GLN_MUST_USE GlnStatus gln_canvas_open(GlnCanvas *canvas, GlnArena *arena, double width, double height,
                                       double margin);
void gln_canvas_close(GlnCanvas *canvas);
void gln_canvas_page(GlnCanvas *canvas); /* a new page, drawn on from here */
/* A new block on this page; what is drawn belongs to it until the next. */
void gln_canvas_block(GlnCanvas *canvas, const char *kind, GlnText words);
void gln_canvas_bookmark(GlnCanvas *canvas, GlnText words, double y);

void gln_canvas_line(GlnCanvas *canvas, const GlnSpot *spots, size_t count, double width, double shade,
                     bool round_ends);
void gln_canvas_stroke(GlnCanvas *canvas, double x1, double y1, double x2, double y2, double width,
                       double shade);
/* width 0 fills it. */
void gln_canvas_area(GlnCanvas *canvas, GlnBox box, double radius, double width, double shade);
void gln_canvas_shape_fill(GlnCanvas *canvas, const GlnSpot *corners, size_t count, double shade);
void gln_canvas_disc(GlnCanvas *canvas, double x, double y, double radius, double width, double shade);
/* Never NULL: an empty text once the canvas has failed. */
const GlnShaped *gln_canvas_shape(GlnCanvas *canvas, const GlnSegment *segments, size_t count);
void gln_canvas_text(GlnCanvas *canvas, const GlnShaped *text, double x, double baseline, double shade);

/* What a buffer of words holds; the canvas fails when the buffer ran out of memory. */
GlnText gln_canvas_said(GlnCanvas *canvas, const GlnBuffer *words);

typedef enum GlnAlign { GLN_ALIGN_LEFT, GLN_ALIGN_CENTRE, GLN_ALIGN_RIGHT } GlnAlign;
/* Plain words in one style; returns their advance. */
double gln_canvas_words(GlnCanvas *canvas, GlnText words, GlnFace face, double size, double x,
                        double baseline, GlnAlign align, double shade);
double gln_canvas_measure(GlnCanvas *canvas, GlnText words, GlnFace face, double size);
/* The start of words that fits the width, cut between words where it can be; at least one code point. */
GlnText gln_canvas_fit(GlnCanvas *canvas, GlnText words, GlnFace face, double size, double width);

/* ---- painters ---- */

GLN_MUST_USE GlnStatus gln_surface_pdf(const GlnCanvas *canvas, size_t first_page, size_t page_count,
                                       GlnBuffer *out);
GLN_MUST_USE GlnStatus gln_surface_png(const GlnCanvas *canvas, size_t first_page, size_t page_count,
                                       double dpi, GlnBuffer *out);
GLN_MUST_USE GlnStatus gln_surface_svg(const GlnCanvas *canvas, size_t first_page, size_t page_count,
                                       GlnBuffer *out);
/* Checks the limits, then paints. */
GLN_MUST_USE GlnStatus gln_canvas_write(const GlnCanvas *canvas, const GlnPageOptions *options,
                                        GlnPageFormat format, GlnBuffer *out, GlnDiags *diags);

/* ---- chord names, diagrams, the sheet's parts ---- */

/* A chord symbol as its author typed it, typeset: root large, real flats and sharps, the rest smaller.
 * size is that of the root letter; no wider than width. */
const GlnShaped *gln_chord_name_shape(GlnCanvas *canvas, GlnText symbol, const GlnChord *chord, double size,
                                      double width);

/* Sizes of a diagram, points. */
typedef struct GlnDiagramStyle {
  double string_gap, fret_gap;
  double finger_size; /* of the finger numbers */
  bool left_handed;
  const GlnInstrument *instrument; /* whose capo is drawn where it covers some strings alone; NULL: none */
} GlnDiagramStyle;
GlnDiagramStyle gln_diagram_style(double string_gap, bool left_handed, const GlnInstrument *instrument);

typedef struct GlnDiagramSize {
  double grid_width; /* outermost string to outermost string */
  double left;       /* ink left of the grid's first string */
  double right;      /* ink right of its last string, position number included */
  double head;       /* signs over the nut */
  double height;     /* head, frets and the last fret line */
  int first_fret, rows;
} GlnDiagramSize;
GlnDiagramSize gln_diagram_measure(GlnCanvas *canvas, const GlnGrip *grip, const GlnDiagramStyle *style);
/* The one routine that draws a chord diagram: x is the first string drawn, top the top of its head. Draws
 * into the present block. */
void gln_diagram_draw(GlnCanvas *canvas, const GlnGrip *grip, const GlnDiagramStyle *style, double x,
                      double top);

/* ---- the sheet ---- */

/* The performance as written, bar by bar. */
typedef struct GlnNotated {
  GlnPlayedBar *played;
  GlnNotationBar *written; /* of the same bars */
  size_t count;
  GlnRatio swing, pair;
} GlnNotated;

/* A sheet being laid out from the top down. */
typedef struct GlnSheet {
  GlnCanvas *canvas;
  const GlnLine *line;
  const GlnChart *chart;
  const GlnInstrument *instrument;
  bool left_handed;
  const GlnSheetMatter *matter;
  const GlnNotated *notated;              /* NULL: no performance */
  const struct GlnHardChanges *hard;      /* numbered alike wherever they are shown */
  double left, right;                     /* of the text area */
  double top, bottom;                     /* bottom: above the page's foot */
  double y;                               /* where the next thing goes */
  size_t part_page[GLN_SHEET_PART_COUNT]; /* where its heading stands, counted from 1; 0: it has none */
  GlnSheetPart part;                      /* the one being drawn */
} GlnSheet;

/* Opens a canvas for the paper and print asked for. */
GLN_MUST_USE GlnStatus gln_sheet_open(GlnCanvas *canvas, GlnArena *arena, const GlnPageOptions *options);
/* Lays the whole sheet out on a canvas that was opened for it. */
void gln_sheet_draw(GlnCanvas *canvas, const GlnSheetMatter *matter, const GlnPageOptions *options);
/* A sheet at the top of the canvas's first page; line and instrument are NULL where it shows none. */
GlnSheet gln_sheet_on(GlnCanvas *canvas, const GlnLine *line, const GlnInstrument *instrument,
                      const GlnPageOptions *options);
/* The cautions, at the bottom of the page; then the foot of every page. */
void gln_sheet_cautions(GlnSheet *sheet);
double gln_sheet_cautions_height(const GlnSheet *sheet);
void gln_sheet_feet(GlnSheet *sheet);
/* Goes on to a new page unless this height is still free. */
void gln_sheet_need(GlnSheet *sheet, double height);
/* Words that wrap at the text area's width, over pages if they must. At most so many code points, then an
 * ellipsis. */
void gln_sheet_paragraph(GlnSheet *sheet, const char *kind, GlnText words, GlnFace face, double size,
                         double shade, size_t longest);

/* One written chord with its diagram. */
typedef struct GlnCell {
  const GlnEvent *event;
  const GlnLineSlot *slot; /* its first playing; NULL: never played */
  const GlnShaped *name;
  GlnDiagramSize size;
  double width, x;
} GlnCell;

/* A bar, or part of one that is wider than the page. */
typedef struct GlnPiece {
  const GlnBar *bar;
  GlnCell *cells;
  size_t count;
  bool begins, ends; /* the bar begins, ends here */
  bool meter;        /* a time signature comes first */
  bool last;         /* of its section */
  bool ending;       /* an ending begins here */
  double need, x, width;
} GlnPiece;

typedef struct GlnChartLine {
  GlnPiece *pieces;
  size_t count;
  GlnText heading; /* of a section's first line; empty for the others and where the section has no name */
} GlnChartLine;

typedef struct GlnChartLines {
  GlnChartLine *lines;
  size_t count;
  GlnDiagramStyle style; /* of every diagram in the chart */
} GlnChartLines;

#define GLN_BAR_PAD    7.0  /* points between a bar line and the first chord */
#define GLN_METER_ROOM 14.0 /* points for a time signature */
/* The chart cut into lines of bars, everything with its place across the page. No lines when the canvas has failed. */
GlnChartLines gln_chart_lines(GlnSheet *sheet);
/* Room before a piece's first chord (a repeat sign, a time signature) and after its last (a repeat sign). */
double gln_piece_left(const GlnPiece *piece);
double gln_piece_right(const GlnPiece *piece);
/* The chart as written. */
void gln_sheet_chart(GlnSheet *sheet);
/* Every distinct grip once. */
void gln_sheet_grips(GlnSheet *sheet);

/* A heading of a part of the sheet, on the same page as the height that follows it. */
void gln_sheet_heading(GlnSheet *sheet, const char *words, double followed_by);
/* The heading of the part that is being drawn, which the contents lead to. */
void gln_sheet_part_heading(GlnSheet *sheet, double followed_by);

/* A change between two grips that limits the tempo. */
typedef struct GlnHardChange {
  size_t from, into; /* slots of the line */
  double tempo;      /* quarter notes a minute up to which it is comfortable, in the least time it is given */
} GlnHardChange;

#define GLN_HARD_CHANGES_MAX 8 /* design choice: half a page */
typedef struct GlnHardChanges {
  GlnHardChange items[GLN_HARD_CHANGES_MAX]; /* the hardest first */
  size_t count;
  uint8_t *number; /* for each slot of the line: of the hard change into it, from 1; 0 none */
} GlnHardChanges;

/* Finds them; false when memory is out. */
bool gln_hard_changes_find(const GlnLine *line, GlnArena *arena, GlnHardChanges *hard);
/* The number of a hard change in a black box, its centre given. */
void gln_hard_change_mark(GlnCanvas *canvas, size_t number, double x, double y);
#define GLN_HARD_MARK_SIZE 9.0 /* points, height of the box */
/* What the fingers do in the hardest changes. */
void gln_sheet_moves(GlnSheet *sheet);
/* The hand along the neck through the song. */
void gln_sheet_neck(GlnSheet *sheet);
/* Why it works: keys over the form, numerals, remarks, stand-ins; nothing without an analysis. */
void gln_sheet_why(GlnSheet *sheet);
/* Staff and tablature of the performance; nothing without one. */
void gln_sheet_score(GlnSheet *sheet);

#endif
