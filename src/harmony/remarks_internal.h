/* Inside the harmony room: runs of chords on one root, and the patterns over them. */
#ifndef GLN_REMARKS_INTERNAL_H
#define GLN_REMARKS_INTERNAL_H

#include "harmony_internal.h"

/* Successive steps on one root, heard as one chord: G7sus4 then G7. */
typedef struct GlnRun {
  size_t first, last; /* steps */
  int8_t root, bass;  /* pitch classes; bass of the last step */
  uint16_t classes;   /* bits of every class in the run */
  GlnKey key;
  bool clear; /* in a region whose key is clear */
  bool phrase_starts;
} GlnRun;

#define GLN_PATTERN_MAX 4
typedef struct GlnPattern {
  GlnRemarkKind kind;
  uint8_t modes; /* bit 0 major, bit 1 minor */
  int8_t length;
  struct {
    int8_t root; /* semitones above the tonic */
    uint16_t classes;
  } chords[GLN_PATTERN_MAX];
  const char *name, *text;
} GlnPattern;

extern const GlnPattern gln_patterns[];
extern const size_t gln_pattern_count;
const GlnPattern *gln_pattern_find(GlnRemarkKind kind, const GlnRun *runs, size_t count, size_t at);

/* Remarks as they are found; a failed allocation is kept in status. */
typedef struct GlnRemarker {
  const GlnStep *steps;
  size_t step_count;
  const GlnAnalysis *analysis;
  const GlnRun *runs;
  size_t run_count;
  GlnArena *arena;
  GlnRemark *items;
  size_t count, capacity;
  GlnStatus status;
} GlnRemarker;
void gln_remarker_add(GlnRemarker *remarker, GlnRemarkKind kind, size_t first, size_t last, const char *name,
                      GlnText text);

/* Lines inside the chords: inner_lines.c. */
void gln_remark_lines(GlnRemarker *remarker);

#endif
