/* Variation over the form: which bars a feel plays otherwise than its pattern says, as its file asks for it. */
#include "sound_internal.h"

const GlnStroke *gln_bar_strokes(const GlnPlayedBar *bar, GlnLane lane) {
  const GlnStroke *varied = bar->variation ? bar->variation->lanes[lane] : NULL;
  if (varied)
    return varied + bar->variation_bar * bar->feel->steps;
  const GlnStroke *strokes = bar->feel->lanes[lane];
  return strokes ? strokes + bar->pattern_bar * bar->feel->steps : NULL;
}

/* How many bars are left, this one with them, until the variation's point in the section; 0 when there is none ahead. at
 * and count: the bar's place in the section, and the bars the section has. */
static int64_t bars_to_point(const GlnFeelVariation *variation, size_t at, size_t count) {
  if (variation->every == 0)
    return count > (size_t)variation->bars ? (int64_t)(count - at) : 0; /* a section is more than its end */
  int64_t every = variation->every, left = every - (int64_t)at % every;
  return (int64_t)at + left <= (int64_t)count ? left : 0;
}

/* The end of a section goes before what comes every so many bars, and a longer round before a shorter. */
static bool goes_before(const GlnFeelVariation *a, const GlnFeelVariation *b) {
  if (a->every == 0 || b->every == 0)
    return a->every == 0 && b->every != 0;
  return a->every > b->every;
}

static void vary_bar(GlnPlayedBar *bar, size_t at, size_t count) {
  for (size_t i = 0; i < bar->feel->variation_count; i++) {
    const GlnFeelVariation *variation = &bar->feel->variations[i];
    int64_t left = bars_to_point(variation, at, count);
    if (left == 0 || left > variation->bars || (bar->variation && !goes_before(variation, bar->variation)))
      continue;
    bar->variation = variation;
    bar->variation_bar = (int32_t)(variation->bars - left);
  }
}

/* The bars from first on that are of one section. */
static size_t section_bars(const GlnPlan *plan, size_t first) {
  size_t count = 1;
  while (first + count < plan->bar_count && plan->bars[first + count].section == plan->bars[first].section)
    count++;
  return count;
}

void gln_plan_vary(GlnPlan *plan) {
  size_t pickup = plan->bar_count && plan->bars[0].skipped.num > 0 ? 1 : 0; /* not counted */
  size_t count;
  for (size_t first = pickup; first < plan->bar_count; first += count) {
    count = section_bars(plan, first);
    for (size_t at = 0; at < count && first + at + 1 < plan->bar_count; at++) /* the last bar leads nowhere */
      vary_bar(&plan->bars[first + at], at, count);
  }
}
