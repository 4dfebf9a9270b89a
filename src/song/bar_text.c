/* bar_text: a bar and its bar lines in gripline's own layout. */
#include "song_internal.h"

bool gln_bar_repeats_last(const GlnSection *section, size_t bar) {
  const GlnBar *here = &section->bars[bar];
  return bar > 0 && here->same_as_last && here->event_count > 0 &&
         gln_meter_equal(here->meter, (here - 1)->meter) && !gln_bar_is_pickup(here - 1) &&
         gln_bar_events_equal(here, here - 1);
}

bool gln_bar_continues(const GlnSection *section, size_t bar) {
  const GlnBar *here = &section->bars[bar];
  const GlnBar *before = bar > 0 ? here - 1 : NULL;
  return before && here->event_count > 0 && before->event_count > 0 && here->events[0].continues &&
         gln_event_sounds_equal(&here->events[0], &before->events[before->event_count - 1]);
}

/* Its chords follow each other without gaps and fill it. */
static bool bar_is_filled(const GlnBar *bar, bool may_be_pickup) {
  GlnRatio at = gln_ratio(0, 1);
  for (size_t i = 0; i < bar->event_count; i++) {
    const GlnEvent *event = &bar->events[i];
    if (gln_ratio_compare(event->beat, at) != 0 || gln_ratio_compare(event->beats, gln_ratio(0, 1)) <= 0)
      return false;
    at = gln_ratio_add(at, event->beats);
  }
  bool whole = gln_ratio_compare(at, gln_ratio(bar->meter.beats, 1)) == 0;
  return bar->event_count > 0 && gln_ratio_compare(at, bar->beats) == 0 &&
         (whole || (may_be_pickup && gln_bar_is_pickup(bar)));
}

static bool shares_evenly(const GlnBar *bar) {
  for (size_t i = 1; i < bar->event_count; i++)
    if (gln_ratio_compare(bar->events[i].beats, bar->events[0].beats) != 0)
      return false;
  return !gln_bar_is_pickup(bar);
}

/* Marks an event takes when the bar has so many in all; 0 when that is no whole number. */
static int64_t event_marks(const GlnBar *bar, const GlnEvent *event, int64_t total) {
  GlnRatio marks =
      gln_ratio_divide(gln_ratio_multiply(event->beats, gln_ratio(total, 1)), gln_ratio(bar->meter.beats, 1));
  return marks.den == 1 ? marks.num : 0;
}

/* The fewest marks in which every chord has a whole number of them; 0 when that is too many. */
static int64_t marks_needed(const GlnBar *bar) {
  int counts = gln_meter_counts(bar->meter);
  for (int64_t total = counts; total <= GLN_BAR_MARKS_MAX; total += counts) {
    bool fits = true;
    for (size_t i = 0; fits && i < bar->event_count; i++)
      fits = event_marks(bar, &bar->events[i], total) > 0;
    if (fits)
      return total;
  }
  return 0;
}

static void slashes_print(int64_t count, GlnBuffer *out) {
  for (int64_t i = 0; i < count; i++)
    gln_buffer_add_string(out, i > 0 ? " /" : "/");
}

static GlnStatus marks_print(const GlnSection *section, size_t index, GlnBuffer *out) {
  const GlnBar *bar = &section->bars[index];
  int64_t total = marks_needed(bar);
  if (total == 0)
    return GLN_INPUT;
  int64_t silent = total;
  for (size_t i = 0; i < bar->event_count; i++)
    silent -= event_marks(bar, &bar->events[i], total);
  slashes_print(silent, out);
  for (size_t i = 0; i < bar->event_count; i++) {
    int64_t marks = event_marks(bar, &bar->events[i], total);
    if (i > 0 || silent > 0)
      gln_buffer_add_byte(out, ' ');
    if (i == 0 && gln_bar_continues(section, index)) {
      slashes_print(marks, out);
      continue;
    }
    gln_event_print(&bar->events[i], out);
    if (marks > 1)
      gln_buffer_add_byte(out, ' ');
    slashes_print(marks - 1, out);
  }
  return GLN_OK;
}

GlnStatus gln_bar_contents_print(const GlnSection *section, size_t index, GlnMeter running, GlnBuffer *out) {
  const GlnBar *bar = &section->bars[index];
  if (!bar_is_filled(bar, index == 0))
    return GLN_INPUT;
  if (!gln_meter_equal(bar->meter, running))
    gln_buffer_format(out, "%d/%d: ", bar->meter.beats, bar->meter.unit);
  if (gln_bar_repeats_last(section, index)) {
    gln_buffer_add_byte(out, '%');
    return GLN_OK;
  }
  if (!shares_evenly(bar) || gln_bar_continues(section, index))
    return marks_print(section, index, out);
  for (size_t i = 0; i < bar->event_count; i++) {
    if (i > 0)
      gln_buffer_add_byte(out, ' ');
    gln_event_print(&bar->events[i], out);
  }
  return GLN_OK;
}

/* "1", "1,3", "1-3,5". */
static void endings_print(uint32_t endings, GlnBuffer *out) {
  const char *separator = "";
  for (int n = 1; n <= GLN_ENDINGS_MAX; n++) {
    if (!(endings >> n & 1))
      continue;
    int last = n;
    while (last < GLN_ENDINGS_MAX && (endings >> (last + 1) & 1))
      last++;
    gln_buffer_format(out, "%s%d", separator, n);
    if (last > n)
      gln_buffer_format(out, "-%d", last);
    separator = ",";
    n = last;
  }
}

/* An ending that no :| ends must be ended by a double bar line, unless its line ends. */
static bool ending_needs_double(const GlnSection *section, size_t bar) {
  const GlnBar *bars = section->bars;
  return bar > 0 && bars[bar - 1].endings != 0 && bars[bar - 1].repeat_plays == 0 && bars[bar].endings == 0;
}

static void close_print(const GlnBar *bar, GlnBuffer *out) {
  gln_buffer_add_string(out, ":|");
  if (bar->repeat_plays > 2 && bar->endings == 0)
    gln_buffer_format(out, "x%d", bar->repeat_plays);
}

void gln_bar_line_print(const GlnSection *section, size_t index, bool line_starts, GlnBuffer *out) {
  const GlnBar *bar = &section->bars[index];
  bool follows = index > 0 && !line_starts;
  const GlnBar *before = &section->bars[follows ? index - 1 : index];
  if (follows && before->repeat_plays > 0) {
    close_print(before, out);
    if (bar->repeat_starts)
      gln_buffer_add_string(out, " |:");
  } else if (bar->repeat_starts)
    gln_buffer_add_string(out, "|:");
  else
    gln_buffer_add_string(
        out, follows && (before->double_after || ending_needs_double(section, index)) ? "||" : "|");
  if (!gln_ending_starts(section, index))
    return;
  if (bar->repeat_starts)
    gln_buffer_add_string(out,
                          " |"); /* an ending right at |: is refused when it is played, and still written */
  endings_print(bar->endings, out);
}

void gln_bar_line_end_print(const GlnSection *section, size_t last_bar, GlnBuffer *out) {
  const GlnBar *bar = &section->bars[last_bar];
  if (bar->repeat_plays > 0)
    close_print(bar, out);
  else
    gln_buffer_add_string(out, bar->double_after ? "||" : "|");
}
