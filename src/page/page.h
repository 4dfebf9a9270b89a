/* page: what is drawn — the printed sheet and single chord diagrams, as PDF, SVG or PNG.
 *
 * Needs base, theory, grip, harmony, song, route, sound, study; cairo, pango and fontconfig behind surface_cairo.c alone.
 * Pure as far as a caller can see: bytes go into a buffer, no clock, no fonts of the system, and the same
 * input gives the same bytes. (The built-in fonts are opened once per process in memory: see
 * surface_cairo.c.) Everything is laid out once on a canvas (page_internal.h); the three formats paint the
 * same canvas. */
#ifndef GLN_PAGE_H
#define GLN_PAGE_H

#include "base.h"
#include "grip.h"
#include "harmony.h"
#include "route.h"
#include "song.h"
#include "sound.h"
#include "study.h"
#include "theory.h"

typedef enum GlnPaper { GLN_PAPER_A4, GLN_PAPER_LETTER } GlnPaper;

/* PDF: a page each. SVG and PNG: one picture, all pages one under another. */
typedef enum GlnPageFormat { GLN_PAGE_PDF, GLN_PAGE_SVG, GLN_PAGE_PNG } GlnPageFormat;

/* Limits, each named in its message and in docs/pages.md. */
#define GLN_PNG_SIDE_MAX    30000 /* pixels; a longer picture is refused, with the advice to make a PDF */
#define GLN_SHEET_TITLE_MAX 300   /* code points of title or author on the sheet; more ends in an ellipsis */
#define GLN_SHEET_NOTES_MAX 1200  /* code points of the chart's notes on the sheet */
#define GLN_SHEET_PAGES_MAX 2000
#define GLN_DPI_MIN         20.0
#define GLN_DPI_MAX         600.0

/* X(name, key on the command line, words): the parts of a sheet, in their order. */
#define GLN_SHEET_PART_LIST(X)                                                                               \
  X(GLN_SHEET_CHART, "chart", "the chart as written, a diagram at each change of grip")                      \
  X(GLN_SHEET_GRIPS, "grips", "every grip once: fingers, notes, degrees, difficulty, places")                \
  X(GLN_SHEET_MOVES, "moves", "the hardest changes, with what each finger does")                             \
  X(GLN_SHEET_NECK, "neck", "the neck path: the hand along the neck through the song")                       \
  X(GLN_SHEET_WHY, "why", "why it works: keys, numerals, what happens, stand-ins")                           \
  X(GLN_SHEET_SCORE, "score", "staff and tablature of the performance")
typedef enum GlnSheetPart {
#define GLN_SHEET_PART_NAME(name, key, words) name,
  GLN_SHEET_PART_LIST(GLN_SHEET_PART_NAME)
#undef GLN_SHEET_PART_NAME
      GLN_SHEET_PART_COUNT
} GlnSheetPart;

typedef struct GlnPageOptions {
  GlnPaper paper;
  uint8_t parts;    /* of a sheet: bit n for part n; 0: all */
  bool large;       /* of a sheet: large print */
  bool left_handed; /* diagrams mirrored: the lowest string on the right */
  double dpi;       /* PNG alone: pixels an inch, GLN_DPI_MIN..GLN_DPI_MAX */
  int page;         /* 0: all pages; else this page alone, from 1 */
} GlnPageOptions;

GlnPageOptions gln_page_defaults(void); /* A4, right-handed, 150 dpi, all parts and pages */

/* "a4", "letter" in any case; GLN_INPUT otherwise. */
GLN_MUST_USE GlnStatus gln_paper_parse(GlnText name, GlnPaper *paper);
/* "pdf", "svg", "png" in any case, as after the dot of a file name; GLN_INPUT otherwise. */
GLN_MUST_USE GlnStatus gln_page_format_parse(GlnText name, GlnPageFormat *format);

/* A chord that may stand in, as the family's page shows it. */
typedef struct GlnSheetFamily {
  const GlnChordFamily *family;
  const GlnStandin *const *offers; /* for its first member */
  size_t offer_count;
} GlnSheetFamily;

/* What a sheet is made of. A part without its matter is left out. */
typedef struct GlnSheetMatter {
  const GlnLine *line;
  const GlnInstrument *instrument;
  const GlnPerformance
      *performance;            /* of the song, once through; NULL: no staff, plain slashes over the chart */
  GlnRatio swing, pair;        /* of its feel, as gln_feel_swing_of says */
  const GlnAnalysis *analysis; /* one reading a slot; NULL: nothing says why it works */
  const GlnRemarks *remarks;
  const GlnSheetFamily *families;
  size_t family_count;
} GlnSheetMatter;

/* The sheet of a line: head, the parts asked for, cautions. Appends the file's bytes to out. GLN_LIMIT with a message in diags when a limit above is passed
 * or the page does not exist, GLN_SYSTEM when the fonts cannot be opened, GLN_MEMORY. */
GLN_MUST_USE GlnStatus gln_sheet_write(const GlnSheetMatter *matter, const GlnPageOptions *options,
                                       GlnPageFormat format, GlnBuffer *out, GlnDiags *diags);

/* A practice plan of the line to tick off, day by day, with a diagram of every new grip. Errors as gln_sheet_write. */
GLN_MUST_USE GlnStatus gln_plan_sheet_write(const GlnPlan *plan, const GlnLine *line,
                                            const GlnInstrument *instrument, const GlnPageOptions *options,
                                            GlnPageFormat format, GlnBuffer *out, GlnDiags *diags);

/* What a record says, item by item. Errors as gln_sheet_write. */
GLN_MUST_USE GlnStatus gln_progress_page_write(const GlnProgress *progress, const GlnPageOptions *options,
                                               GlnPageFormat format, GlnBuffer *out, GlnDiags *diags);

/* The curve of gln_line_curve as a picture of its own size; best: total of the best line of all. Appends the file's bytes
 * to out, in whose arena it works. */
GLN_MUST_USE GlnStatus gln_curve_write(const GlnCurvePoint *points, size_t count, bool shapes, double best,
                                       GlnText title, const GlnPageOptions *options, GlnPageFormat format,
                                       GlnBuffer *out, GlnDiags *diags);

/* One chord diagram as a picture of its own, cut to size. symbol is the name drawn over it; empty for none.
 */
GLN_MUST_USE GlnStatus gln_diagram_write(const GlnGrip *grip, GlnText symbol, const GlnInstrument *instrument,
                                         const GlnPageOptions *options, GlnPageFormat format, GlnBuffer *out,
                                         GlnDiags *diags);

/* What the diagram shows, in words: "C6/9: string 6 not played, string 5 fret 3 finger 2, …, string 1 open".
 */
void gln_diagram_describe(const GlnGrip *grip, GlnText symbol, const GlnInstrument *instrument,
                          GlnBuffer *out);

/* The room's one door for those who open it when they need it (docs/start-up.md). */
typedef struct GlnPages {
  const char *version; /* of the gripline it was built with */
  GlnPageOptions (*defaults)(void);
  GLN_MUST_USE GlnStatus (*write_sheet)(const GlnSheetMatter *matter, const GlnPageOptions *options,
                                        GlnPageFormat format, GlnBuffer *out, GlnDiags *diags);
  GLN_MUST_USE GlnStatus (*write_plan_sheet)(const GlnPlan *plan, const GlnLine *line,
                                             const GlnInstrument *instrument, const GlnPageOptions *options,
                                             GlnPageFormat format, GlnBuffer *out, GlnDiags *diags);
  GLN_MUST_USE GlnStatus (*write_progress)(const GlnProgress *progress, const GlnPageOptions *options,
                                           GlnPageFormat format, GlnBuffer *out, GlnDiags *diags);
  GLN_MUST_USE GlnStatus (*write_curve)(const GlnCurvePoint *points, size_t count, bool shapes, double best,
                                        GlnText title, const GlnPageOptions *options, GlnPageFormat format,
                                        GlnBuffer *out, GlnDiags *diags);
  GLN_MUST_USE GlnStatus (*parse_format)(GlnText name, GlnPageFormat *format);
  void (*describe_diagram)(const GlnGrip *grip, GlnText symbol, const GlnInstrument *instrument,
                           GlnBuffer *out);
} GlnPages;
extern const GlnPages gln_pages;

#endif
