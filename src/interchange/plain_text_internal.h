/* The reader of pasted text: what its two files share. */
#ifndef GLN_PLAIN_TEXT_INTERNAL_H
#define GLN_PLAIN_TEXT_INTERNAL_H

#include "interchange_internal.h"

#define GLN_PLAIN_SECTIONS_MAX 200
#define GLN_PLAIN_FORM_MAX     1000
#define GLN_PLAIN_ITEMS_MAX    20000
#define GLN_PLAIN_WORDS_MAX    64 /* chords of one line */
#define GLN_PLAIN_TOGETHER     2  /* columns between two chords that share a bar; design choice */

/* What a line is, by what stands in it alone. */
typedef enum GlnPlainLine {
  GLN_PLAIN_BLANK,
  GLN_PLAIN_HEADING, /* [Verse 1], Chorus: */
  GLN_PLAIN_HEADER,  /* Key: G */
  GLN_PLAIN_BARS,    /* | Am7 | D7 | */
  GLN_PLAIN_CHORDS,  /* nothing but chords */
  GLN_PLAIN_WORDS    /* a lyric, a title, a remark */
} GlnPlainLine;

typedef struct GlnPlainItem {
  GlnText text; /* the marks of a bar, or a line of words */
  bool is_words, line_starts, repeat_starts;
  int16_t plays; /* a repeat ends after it */
  uint16_t section;
} GlnPlainItem;

typedef struct GlnPlainSection {
  GlnText name;
  size_t bars;
} GlnPlainSection;

typedef struct GlnPlainReader {
  GlnText source, line;
  GlnArena *arena;
  GlnDiags *diags;
  GlnStatus status;
  GlnText title, by;
  GlnBuffer headers; /* lines of the chart */
  bool has_key, has_tempo, has_capo, has_meter;
  GlnMeter meter;
  GlnText heading;
  bool heading_waits; /* for the bars that may follow */
  bool called;        /* a heading without bars called a section again */
  GlnPlainSection *section;
  GlnPlainSection sections[GLN_PLAIN_SECTIONS_MAX];
  size_t section_count;
  uint16_t form[GLN_PLAIN_FORM_MAX];
  size_t form_count;
  GlnPlainItem *items;
  size_t item_count, item_capacity;
  size_t chords, unread, told_bars, guessed_bars, ignored, loose_repeats;
} GlnPlainReader;

/* *value: the name of a heading. */
GlnPlainLine gln_plain_line_kind(GlnText line, GlnText *value);
/* A chord name, in parentheses or with a comma or full stop after it too. */
bool gln_plain_chord(GlnText word, GlnChord *chord);
/* One beat more of the chord before: / . - */
bool gln_plain_holds(GlnText word);
/* Reads the reader's line as a header of the song into reader->headers. */
void gln_plain_header(GlnPlainReader *reader);

#endif
