/* song_internal: what the files of the song room share; never included from outside. */
#ifndef GLN_SONG_INTERNAL_H
#define GLN_SONG_INTERNAL_H

#include "song.h"

/* ---- layout as typed ---------------------------------------------------------------------------------- */

typedef enum GlnLineKind {
  GLN_LINE_REMARK, /* blank, or a comment alone */
  GLN_LINE_HEADER,
  GLN_LINE_SECTION, /* [NAME], bars may follow on the line */
  GLN_LINE_WISH,    /* of a section */
  GLN_LINE_TUNE,    /* ^, right above the bars it is for */
  GLN_LINE_BARS
} GlnLineKind;

typedef struct GlnTypedLine {
  GlnLineKind kind;
  size_t offset, end, next; /* of the line, of its end without CR and LF, of the line after it */
  size_t comment;           /* of its '#', or end */
  size_t bar_count;         /* bars that begin on it */
  bool has_tune;            /* the line above is its tune */
} GlnTypedLine;

typedef struct GlnTyped {
  GlnTypedLine *lines;
  size_t line_count;
  GlnChart read; /* the chart as it was read, in arrays of its own: what the writer compares with */
} GlnTyped;

/* ---- text ------------------------------------------------------------------------------------------------
 */

/* Bytes of the blank at the offset: 1 for space, tab and CR, 2 for a no-break space, 0 for anything else. */
size_t gln_blank_at(GlnText text, size_t offset);
/* Blanks off both ends, no-break spaces and CR too. */
GlnText gln_blank_trim(GlnText text);
/* The bytes [from, to) of the text. */
GlnText gln_text_between(GlnText text, size_t from, size_t to);
/* Whether the slice lies inside the source (and so was typed there). */
bool gln_text_within(GlnText source, GlnText part);
/* True when wrong is near enough to right to ask "did you mean". */
bool gln_text_near(GlnText wrong, GlnText right);
/* An arena array made longer: doubles *capacity as needed, keeps the items. False when memory is out. */
bool gln_items_grow(GlnArena *arena, void **items, size_t *capacity, size_t count, size_t size);

/* ---- reading ----------------------------------------------------------------------------------------------
 */

/* What one or more bar lines in a row say. */
typedef struct GlnBarLine {
  bool seen;      /* there was one */
  bool closes;    /* :| */
  bool opens;     /* |: */
  bool is_double; /* || */
  int plays;      /* x3 after :|, else 0 */
  uint32_t endings;
  size_t offset, end; /* the first in the row to the last */
} GlnBarLine;

typedef struct GlnChartReader {
  GlnText source;
  GlnArena *arena;
  GlnDiags *diags;
  GlnChart *chart;
  GlnTypedLine *lines;
  size_t line_count, line_capacity;
  size_t header_capacity, section_capacity, bar_capacity;
  GlnMeter meter;      /* of the bar being read */
  GlnBarLine pending;  /* the bar line before the next bar */
  uint32_t endings;    /* the ending the next bar lies in */
  bool repeats_unsure; /* an ending of the section could not be read: its repeats are not judged */
  size_t bar_total, chord_total;
  GlnText form; /* value of form: */
  bool has_form;
  double tempo;               /* as written */
  size_t tune_from, tune_end; /* a line of the tune that waits for its bars; equal: none */
  GlnPitch last_tune;
  bool has_last_tune;
  size_t wish_capacity;
  size_t seen_at[20]; /* line offset + 1 where each known header was given, by its index */
  GlnStatus status;   /* GLN_MEMORY or GLN_LIMIT: reading stops */
} GlnChartReader;

/* Adds an error or a warning at a place, words by printf. */
#define GLN_FAULT(reader, offset, length, advice, ...)                                                       \
  gln_diags_format((reader)->diags, GLN_ERROR, (offset), (length), (advice), __VA_ARGS__)
#define GLN_WARN(reader, offset, length, advice, ...)                                                        \
  gln_diags_format((reader)->diags, GLN_WARNING, (offset), (length), (advice), __VA_ARGS__)
/* printf arguments of a slice for "%.*s", cut to what fits a message. */
#define GLN_SHOWN_MAX   60
#define GLN_SHOWN(text) (int)((text).length < GLN_SHOWN_MAX ? (text).length : GLN_SHOWN_MAX), (text).at

/* A limit was passed: one message that names it, and reading stops. */
void gln_reader_limit(GlnChartReader *reader, size_t offset, size_t length, const char *what, size_t limit);

/* headers.c: reads the line [offset, end) as "name: value"; false when it is none. */
bool gln_header_line_read(GlnChartReader *reader, size_t offset, size_t end, size_t *comment);
/* After all lines: tempo, form, what depends on other headers. */
void gln_headers_settle(GlnChartReader *reader);

/* What the writer needs of the known headers. */
size_t gln_known_header_count(void);
const char *gln_known_header_name(size_t index);
size_t gln_known_header_find(GlnText name); /* ignoring case; the count when it is unknown */
/* A comment may follow the value: all but title, by, notes and unknown ones, where # is part of the text. */
bool gln_known_header_takes_comment(size_t index);
bool gln_known_header_present(const GlnChart *chart, size_t index);
bool gln_known_header_same(const GlnChart *a, const GlnChart *b, size_t index);
void gln_known_header_print(const GlnChart *chart, size_t index, GlnBuffer *out); /* the value alone */

/* form.c: section indices of a form in text. */
void gln_form_read(GlnChartReader *reader);
void gln_form_print(const GlnChart *chart, GlnBuffer *out);

/* bars.c: reads the bars of the text [offset, end) into the last section. */
void gln_bars_read(GlnChartReader *reader, size_t offset, size_t end);
/* Where the comment of a line of bars starts, or end. */
size_t gln_comment_find(GlnText source, size_t offset, size_t end);
/* Closes the section being read: its repeats and endings are checked. */
void gln_section_settle(GlnChartReader *reader);
/* Room for one more bar in the last section. */
GlnBar *gln_reader_bar(GlnChartReader *reader);

/* tune.c: the line of the tune that waits, over the bars from this one of the last section on. */
void gln_tune_read(GlnChartReader *reader, size_t first_bar);
/* A line of the tune that still waits has no bars. */
void gln_tune_line_settle(GlnChartReader *reader);
bool gln_bar_tune_equal(const GlnBar *a, const GlnBar *b);
/* The bar's notes in gripline's own layout, a blank before each. */
GLN_MUST_USE GlnStatus gln_bar_tune_print(const GlnBar *bar, GlnBuffer *out);

/* event.c: one chord as written, [offset, offset + length) of the source; the event is silent after a fault.
 */
void gln_event_read(GlnChartReader *reader, size_t offset, size_t length, GlnEvent *event);
/* Same chord, pin, top note and place in the bar. */
bool gln_event_equal(const GlnEvent *a, const GlnEvent *b);
bool gln_event_sounds_equal(const GlnEvent *a, const GlnEvent *b); /* the same, wherever in the bar */
void gln_event_print(const GlnEvent *event, GlnBuffer *out);

/* repeats.c: the order in which the bars of a section are played. order NULL: only checked and counted. The
 * count stops growing past GLN_PLAYED_BARS_MAX. Faults go to diags (NULL: none are told); false when there
 * was one. */
bool gln_section_order(const GlnSection *section, GlnDiags *diags, uint32_t *order, size_t *count);
/* Each :| of an ending gets the number of plays of its passage, which is its highest ending. */
void gln_endings_plays_set(GlnSection *section);
/* True when an ending begins with the bar. */
bool gln_ending_starts(const GlnSection *section, size_t bar);
/* One past the last bar of the ending that the bar lies in; *closes when it ends with :|. */
size_t gln_ending_end(const GlnSection *section, size_t bar, bool *closes);

/* equal.c */
bool gln_section_wishes_equal(const GlnSection *a, const GlnSection *b);
bool gln_bar_layout_equal(const GlnBar *a, const GlnBar *b); /* all but its chords */
bool gln_bar_events_equal(const GlnBar *a, const GlnBar *b);

/* bar_text.c: a bar and its bar lines in gripline's own layout. running is the meter of the bar before it. */
GLN_MUST_USE GlnStatus gln_bar_contents_print(const GlnSection *section, size_t bar, GlnMeter running,
                                              GlnBuffer *out);
/* Still what was written as %: the bar before it again. */
bool gln_bar_repeats_last(const GlnSection *section, size_t bar);
/* Still what was written as slashes: the last chord of the bar before goes on. */
bool gln_bar_continues(const GlnSection *section, size_t bar);
void gln_bar_line_print(const GlnSection *section, size_t bar, bool line_starts, GlnBuffer *out);
void gln_bar_line_end_print(const GlnSection *section, size_t last_bar, GlnBuffer *out);

#endif
