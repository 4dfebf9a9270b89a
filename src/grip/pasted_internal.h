/* What the files that read pasted text share. */
#ifndef GLN_PASTED_INTERNAL_H
#define GLN_PASTED_INTERNAL_H

#include "grip_internal.h"

typedef enum GlnWordKind {
  GLN_WORD_OTHER,
  GLN_WORD_CHORD,
  GLN_WORD_FRETS,   /* as many signs as the instrument has strings; may be fingers too */
  GLN_WORD_FINGERS, /* a hyphen or a T where frets have none */
  GLN_WORD_BROKEN   /* meant as frets, and not readable as such */
} GlnWordKind;

typedef struct GlnPastedWord {
  GlnWordKind kind;
  GlnText text; /* in the source */
  GlnChord chord;
  GlnFrets frets;
  bool fingers_too;                  /* the signs can be finger numbers */
  int8_t finger[GLN_STRINGS_MAX];    /* GLN_NOT_PLAYED where x or - stands */
  size_t fault_offset, fault_length; /* within text */
  bool weak;           /* meant as frets only where nothing but chord names stands beside it: "2010" */
  const char *problem; /* of a broken word */
} GlnPastedWord;

/* The next word of the line at *at, numbers in a row taken as one ("x 3 2 2 3 3"); false at its end. */
bool gln_pasted_word_next(GlnText line, size_t *at, int string_count, GlnPastedWord *word);

#endif
