/* A passage of the plan, played so many times. */
#include "sound_internal.h"

static GlnRatio later(GlnRatio a, GlnRatio b) {
  return gln_ratio_compare(a, b) < 0 ? b : a;
}

static GlnRatio sooner(GlnRatio a, GlnRatio b) {
  return gln_ratio_compare(a, b) < 0 ? a : b;
}

typedef struct Passage {
  GlnRatio from, to, length;
} Passage;

/* The bars that lie in it, with the phase of their pattern; a bar that is cut at its start is like a pick-up. */
static void copy_bars(const GlnPlan *plan, const Passage *passage, GlnRatio offset, GlnPlan *cut) {
  for (size_t i = 0; i < plan->bar_count; i++) {
    GlnPlayedBar bar = plan->bars[i];
    GlnRatio start = later(bar.start, passage->from);
    GlnRatio end = sooner(gln_ratio_add(bar.start, bar.quarters), passage->to);
    if (gln_ratio_compare(start, end) >= 0)
      continue;
    bar.skipped = gln_ratio_add(bar.skipped, gln_ratio_subtract(start, bar.start));
    bar.quarters = gln_ratio_subtract(end, start);
    bar.start = gln_ratio_add(gln_ratio_subtract(start, passage->from), offset);
    cut->bars[cut->bar_count++] = bar;
  }
}

static void copy_spans(const GlnPlan *plan, const Passage *passage, GlnRatio offset, GlnPlan *cut) {
  for (size_t i = 0; i < plan->span_count; i++) {
    GlnSpan span = plan->spans[i];
    GlnRatio end = i + 1 < plan->span_count ? plan->spans[i + 1].start : plan->end;
    GlnRatio start = later(span.start, passage->from);
    if (gln_ratio_compare(start, sooner(end, passage->to)) >= 0)
      continue;
    if (cut->span_count && cut->spans[cut->span_count - 1].shape == span.shape)
      continue; /* the last grip of a round is the first of the next: held on */
    span.start = gln_ratio_add(gln_ratio_subtract(start, passage->from), offset);
    cut->spans[cut->span_count++] = span;
  }
}

static GlnStatus refuse(GlnDiags *diags, const char *problem, const char *advice) {
  gln_diags_add(diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
  return GLN_LIMIT;
}

GlnStatus gln_plan_cut(const GlnPerformanceOptions *options, GlnArena *arena, GlnDiags *diags,
                       GlnPlan *plan) {
  bool whole = options->to.num <= 0;
  int32_t rounds = options->rounds > 0 ? options->rounds : 1;
  if (whole && rounds == 1)
    return GLN_OK;
  Passage passage = {.from = whole || options->from.den == 0 ? gln_ratio(0, 1) : options->from,
                     .to = whole ? plan->end : sooner(options->to, plan->end)};
  passage.length = gln_ratio_subtract(passage.to, passage.from);
  if (passage.from.num < 0 || passage.length.num <= 0)
    return refuse(diags, "there is nothing to play in this passage", "choose bars that the song has");
  GlnRatio end = gln_ratio_multiply(passage.length, gln_ratio(rounds, 1));
  if (rounds > GLN_ROUNDS_MAX || gln_ratio_compare(end, gln_ratio(GLN_PERFORMANCE_QUARTERS_MAX, 1)) > 0)
    return refuse(diags, "so many rounds are longer than gripline plays", "play fewer rounds");
  GlnPlan cut = *plan;
  cut.bars = GLN_NEW(arena, GlnPlayedBar, plan->bar_count * (size_t)rounds);
  cut.spans = GLN_NEW(arena, GlnSpan, plan->span_count * (size_t)rounds);
  if (!cut.bars || !cut.spans)
    return GLN_MEMORY;
  cut.bar_count = cut.span_count = 0;
  cut.end = end;
  for (int32_t round = 0; round < rounds; round++) {
    GlnRatio offset = gln_ratio_multiply(passage.length, gln_ratio(round, 1));
    copy_bars(plan, &passage, offset, &cut);
    copy_spans(plan, &passage, offset, &cut);
  }
  *plan = cut;
  return GLN_OK;
}
