/* equal: whether two charts are the same music. */
#include "song_internal.h"

bool gln_bar_layout_equal(const GlnBar *a, const GlnBar *b) {
  return gln_meter_equal(a->meter, b->meter) && gln_ratio_compare(a->beats, b->beats) == 0 &&
         a->repeat_starts == b->repeat_starts && a->repeat_plays == b->repeat_plays &&
         a->endings == b->endings;
}

bool gln_bar_events_equal(const GlnBar *a, const GlnBar *b) {
  if (a->event_count != b->event_count)
    return false;
  for (size_t i = 0; i < a->event_count; i++)
    if (!gln_event_equal(&a->events[i], &b->events[i]))
      return false;
  return true;
}

bool gln_section_wishes_equal(const GlnSection *a, const GlnSection *b) {
  if (a->wish_count != b->wish_count)
    return false;
  for (size_t i = 0; i < a->wish_count; i++)
    if (!gln_text_equal_ignoring_case(a->wishes[i].name, b->wishes[i].name) ||
        !gln_text_equal(a->wishes[i].value, b->wishes[i].value))
      return false;
  return true;
}

static bool section_equal(const GlnSection *a, const GlnSection *b) {
  if (!gln_text_equal(a->name, b->name) || a->bar_count != b->bar_count)
    return false;
  for (size_t i = 0; i < a->bar_count; i++)
    if (!gln_bar_layout_equal(&a->bars[i], &b->bars[i]) || !gln_bar_events_equal(&a->bars[i], &b->bars[i]) ||
        !gln_bar_tune_equal(&a->bars[i], &b->bars[i]))
      return false;
  return gln_section_wishes_equal(a, b);
}

/* Unknown headers in order, by name and value. */
static bool unknown_headers_equal(const GlnChart *a, const GlnChart *b) {
  size_t known = gln_known_header_count();
  size_t i = 0;
  size_t k = 0;
  for (;;) {
    while (i < a->header_count && gln_known_header_find(a->headers[i].name) < known)
      i++;
    while (k < b->header_count && gln_known_header_find(b->headers[k].name) < known)
      k++;
    if (i == a->header_count || k == b->header_count)
      return i == a->header_count && k == b->header_count;
    if (!gln_text_equal(a->headers[i].name, b->headers[k].name) ||
        !gln_text_equal(a->headers[i].value, b->headers[k].value))
      return false;
    i++;
    k++;
  }
}

bool gln_chart_equal(const GlnChart *a, const GlnChart *b) {
  if (a->section_count != b->section_count || !unknown_headers_equal(a, b))
    return false;
  for (size_t i = 0; i < gln_known_header_count(); i++)
    if (!gln_known_header_same(a, b, i))
      return false;
  for (size_t i = 0; i < a->section_count; i++)
    if (!section_equal(&a->sections[i], &b->sections[i]))
      return false;
  return true;
}
