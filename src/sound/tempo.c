/* From quarter notes to seconds. */
#include "sound_internal.h"

#define SECONDS_A_MINUTE 60.0

double gln_performance_seconds(const GlnPerformance *performance, GlnRatio quarters) {
  double seconds = 0, tempo = performance->tempo;
  GlnRatio from = {0, 1};
  for (size_t i = 0; i < performance->tempo_count; i++) {
    const GlnTempoStart *change = &performance->tempos[i];
    if (gln_ratio_compare(change->start, quarters) >= 0)
      break;
    seconds += gln_ratio_value(gln_ratio_subtract(change->start, from)) * SECONDS_A_MINUTE / tempo;
    from = change->start;
    tempo = change->tempo;
  }
  return seconds + gln_ratio_value(gln_ratio_subtract(quarters, from)) * SECONDS_A_MINUTE / tempo;
}
