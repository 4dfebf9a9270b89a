/* Between the files of gripline frame. */
#ifndef GLN_FRAME_INTERNAL_H
#define GLN_FRAME_INTERNAL_H

#include "app_internal.h"

/* A place where something may be played besides the tune, and what may. */
typedef struct FramePart {
  GlnFrameKind kind;
  GlnFramePlace place;
  const GlnSlot *before, *goal; /* as played; NULL for none */
  const GlnGrip *before_grip, *goal_grip;
  GlnFrames frames;
  GlnGrip *
      *grips; /* of each frame, one a chord, joined to the grips beside it; NULL where there is no line */
  const GlnFrame *chosen;
} FramePart;

typedef struct FrameReport {
  GlnArrangement arrangement;
  GlnAnalysis *analysis;
  GlnStep *steps;
  size_t first, end;           /* slots of the choruses, openings and endings of the chart left aside */
  size_t form_first, form_end; /* the same in the form */
  uint32_t last_section_bars;  /* played bars of the last section of the choruses */
  FramePart parts[GLN_FRAME_KIND_COUNT];
  GlnText chart; /* with what was chosen; empty when nothing was */
} FrameReport;

const char *gln_frame_kind_key(GlnFrameKind kind); /* "opening" */
/* Bars of a frame as events of the tune's meter. */
GLN_MUST_USE GlnStatus gln_frame_bars(const GlnFrame *frame, GlnMeter meter, GlnArena *arena, GlnBar **bars);
/* The chosen frames written into a copy of the chart, which is read back. */
GLN_MUST_USE GlnStatus gln_frame_apply(GlnJob *job, FrameReport *report);
GLN_MUST_USE GlnStatus gln_frame_print(GlnJob *job, const FrameReport *report, GlnBuffer *out);
GLN_MUST_USE GlnStatus gln_frame_print_json(GlnJob *job, const FrameReport *report);

#endif
