/* meter: what a bar holds and what its players count. */
#include "song_internal.h"

GlnStatus gln_meter_parse(GlnText text, GlnMeter *meter) {
  size_t slash = gln_text_find(text, GLN_TEXT("/"), 0);
  long beats = 0;
  long unit = 0;
  if (slash == text.length)
    return GLN_INPUT;
  GLN_TRY(gln_text_integer(gln_text_slice(text, 0, slash), 1, GLN_CHART_METER_BEATS_MAX, &beats));
  GLN_TRY(gln_text_integer(gln_text_from(text, slash + 1), 1, GLN_METER_UNIT_MAX, &unit));
  if ((unit & (unit - 1)) != 0)
    return GLN_INPUT;
  *meter = (GlnMeter){(int16_t)beats, (int16_t)unit};
  return GLN_OK;
}

bool gln_meter_equal(GlnMeter a, GlnMeter b) {
  return a.beats == b.beats && a.unit == b.unit;
}

static bool meter_is_compound(GlnMeter meter) {
  return (meter.unit == 8 || meter.unit == 16) && meter.beats > 3 && meter.beats % 3 == 0;
}

int gln_meter_counts(GlnMeter meter) {
  return meter_is_compound(meter) ? meter.beats / 3 : meter.beats;
}

GlnRatio gln_meter_count_quarters(GlnMeter meter) {
  return gln_ratio(meter_is_compound(meter) ? 12 : 4, meter.unit);
}

bool gln_bar_is_pickup(const GlnBar *bar) {
  return gln_ratio_compare(bar->beats, gln_ratio(bar->meter.beats, 1)) < 0;
}
