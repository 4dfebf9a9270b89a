/* The lead sheet: the chart's bars with their repeats, chords with diagrams over slashes. */
#include "musicxml_write_internal.h"

/* Which grip the line gives to each chord of the chart: that of the first time it is played. */
typedef struct LeadSheet {
  GlnScoreWriter *writer;
  const GlnChart *chart;
  size_t **first_event; /* of each bar of each section: index of its first chord in grips */
  const GlnGrip **grips;
  bool first_measure, pickup_done;
  GlnPitch sounding; /* of the tune */
} LeadSheet;

static GlnStatus find_grips(LeadSheet *sheet) {
  const GlnLine *line = sheet->writer->options->line;
  GlnArena *arena = sheet->writer->arena;
  size_t count = 0;
  sheet->first_event = GLN_NEW(arena, size_t *, sheet->chart->section_count);
  if (sheet->first_event == NULL)
    return GLN_MEMORY;
  for (size_t s = 0; s < sheet->chart->section_count; s++) {
    const GlnSection *section = &sheet->chart->sections[s];
    sheet->first_event[s] = GLN_NEW(arena, size_t, section->bar_count);
    if (sheet->first_event[s] == NULL)
      return GLN_MEMORY;
    for (size_t b = 0; b < section->bar_count; b++) {
      sheet->first_event[s][b] = count;
      count += section->bars[b].event_count;
    }
  }
  sheet->grips = GLN_NEW(arena, const GlnGrip *, count);
  if (sheet->grips == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    const GlnBar *bar = &sheet->chart->sections[slot->section].bars[slot->written_bar];
    size_t event = sheet->first_event[slot->section][slot->written_bar] + (size_t)(slot->event - bar->events);
    if (!line->slots[i].silent && sheet->grips[event] == NULL)
      sheet->grips[event] = &line->slots[i].grip;
  }
  return GLN_OK;
}

/* ---- bar lines --------------------------------------------------------------------------------------------------------- */

static void add_endings(uint32_t endings, GlnBuffer *out) {
  const char *separator = "";
  for (int n = 1; n <= GLN_ENDINGS_MAX; n++)
    if (endings >> n & 1) {
      gln_buffer_format(out, "%s%d", separator, n);
      separator = ", ";
    }
}

static void write_ending(LeadSheet *sheet, uint32_t endings, const char *type) {
  GlnBuffer numbers = gln_buffer(sheet->writer->arena);
  add_endings(endings, &numbers);
  gln_xml_empty(&sheet->writer->xml, "ending", "number=\"%.*s\" type=\"%s\"", (int)numbers.length, numbers.at,
                type);
}

static bool ending_starts(const GlnSection *section, size_t b) {
  return section->bars[b].endings != 0 &&
         (b == 0 || section->bars[b - 1].endings != section->bars[b].endings);
}

static bool ending_stops(const GlnSection *section, size_t b) {
  return section->bars[b].endings != 0 &&
         (b + 1 == section->bar_count || section->bars[b + 1].endings != section->bars[b].endings);
}

static void write_left(LeadSheet *sheet, const GlnSection *section, size_t b) {
  GlnXmlWriter *xml = &sheet->writer->xml;
  bool repeat = section->bars[b].repeat_starts, ending = ending_starts(section, b);
  if (!repeat && !ending)
    return;
  gln_xml_open(xml, "barline", "location=\"left\"");
  if (repeat)
    gln_xml_leaf(xml, "bar-style", "", GLN_TEXT("heavy-light"));
  if (ending)
    write_ending(sheet, section->bars[b].endings, "start");
  if (repeat)
    gln_xml_empty(xml, "repeat", "direction=\"forward\"");
  gln_xml_close(xml, "barline");
}

static void write_right(LeadSheet *sheet, const GlnSection *section, size_t b, bool last) {
  GlnXmlWriter *xml = &sheet->writer->xml;
  const GlnBar *bar = &section->bars[b];
  bool ending = ending_stops(section, b), repeat = bar->repeat_plays > 0;
  bool section_ends = b + 1 == section->bar_count;
  if (!repeat && !ending && !section_ends && !bar->double_after)
    return;
  gln_xml_open(xml, "barline", "location=\"right\"");
  if (repeat || last)
    gln_xml_leaf(xml, "bar-style", "", GLN_TEXT("light-heavy"));
  else if (section_ends || bar->double_after)
    gln_xml_leaf(xml, "bar-style", "", GLN_TEXT("light-light"));
  if (ending)
    write_ending(sheet, bar->endings, repeat ? "stop" : "discontinue");
  if (repeat && bar->endings == 0)
    gln_xml_empty(xml, "repeat", "direction=\"backward\" times=\"%d\"", bar->repeat_plays);
  else if (repeat)
    gln_xml_empty(xml, "repeat", "direction=\"backward\"");
  gln_xml_close(xml, "barline");
}

/* ---- bars ---------------------------------------------------------------------------------------------------------------- */

static void write_slash(LeadSheet *sheet, const GlnEvent *event, const GlnNoteValue *value, bool has_tune) {
  GlnScoreWriter *writer = sheet->writer;
  GlnXmlWriter *xml = &writer->xml;
  static const GlnPitch middle = {{6, 0}, 4}; /* B4, the middle line */
  GlnRatio duration = gln_ratio_multiply(value->quarters, gln_ratio(writer->divisions, 1));
  gln_xml_open(xml, "note", "%s", "");
  gln_write_pitch(writer, has_tune ? event->top : middle);
  gln_xml_number(xml, "duration", duration.num);
  gln_xml_number(xml, "voice", 1);
  gln_write_value(writer, value);
  if (!has_tune) {
    gln_xml_leaf(xml, "stem", "", GLN_TEXT("none"));
    gln_xml_leaf(xml, "notehead", "", GLN_TEXT("slash"));
  }
  gln_xml_close(xml, "note");
}

static void write_rest(LeadSheet *sheet, const GlnNoteValue *value) {
  GlnScoreWriter *writer = sheet->writer;
  GlnXmlWriter *xml = &writer->xml;
  GlnRatio duration = gln_ratio_multiply(value->quarters, gln_ratio(writer->divisions, 1));
  gln_xml_open(xml, "note", "%s", "");
  gln_xml_empty(xml, "rest", "%s", "");
  gln_xml_number(xml, "duration", duration.num);
  gln_xml_number(xml, "voice", 1);
  gln_write_value(writer, value);
  gln_xml_close(xml, "note");
}

/* The event's time as slashes, one a beat where it lasts whole beats. */
static void write_body(LeadSheet *sheet, const GlnBar *bar, const GlnEvent *event) {
  GlnNoteValue values[GLN_NOTE_VALUES_MAX];
  GlnRatio length = gln_ratio_multiply(event->beats, gln_ratio(4, bar->meter.unit));
  GlnRatio beat = gln_meter_count_quarters(bar->meter), beats = gln_ratio_divide(length, beat);
  bool tune = event->has_top && event->top_has_octave;
  int64_t times = beats.den == 1 && !event->chord.silent ? beats.num : 1;
  int count = gln_note_values(times > 1 ? beat : length, values);
  for (int64_t n = 0; n < times; n++)
    for (int i = 0; i < count; i++) {
      if (event->chord.silent)
        write_rest(sheet, &values[i]);
      else
        write_slash(sheet, event, &values[i], tune && n == 0 && i == 0);
    }
}

/* The tune in place of slashes; of a pick-up, what has begun. The chords stand at their places before it. */
static void write_tune(LeadSheet *sheet, const GlnBar *bar, bool held_on) {
  GlnNoteValue values[GLN_NOTE_VALUES_MAX];
  GlnScoreWriter *writer = sheet->writer;
  GlnXmlWriter *xml = &writer->xml;
  GlnRatio unit = gln_ratio(4, bar->meter.unit);
  GlnRatio late = gln_ratio_subtract(gln_ratio(bar->meter.beats, 1), bar->beats);
  for (size_t t = 0; t < bar->tune_count; t++) {
    const GlnTuneNote *note = &bar->tune[t];
    GlnRatio end = gln_ratio_add(note->beat, note->beats);
    GlnRatio from = gln_ratio_compare(note->beat, late) < 0 ? late : note->beat;
    if (gln_ratio_compare(end, late) <= 0)
      continue;
    if (note->kind == GLN_TUNE_NOTE)
      sheet->sounding = note->pitch;
    int count = gln_note_values(gln_ratio_multiply(gln_ratio_subtract(end, from), unit), values);
    for (int i = 0; i < count; i++) {
      bool sounds = note->kind != GLN_TUNE_REST, back = i > 0 || note->kind == GLN_TUNE_HOLD;
      bool on = i + 1 < count || (t + 1 == bar->tune_count && held_on);
      gln_xml_open(xml, "note", "%s", "");
      if (sounds)
        gln_write_pitch(writer, sheet->sounding);
      else
        gln_xml_empty(xml, "rest", "%s", "");
      gln_xml_number(xml, "duration",
                     gln_ratio_multiply(values[i].quarters, gln_ratio(writer->divisions, 1)).num);
      if (sounds && back)
        gln_xml_empty(xml, "tie", "type=\"stop\"");
      if (sounds && on)
        gln_xml_empty(xml, "tie", "type=\"start\"");
      gln_xml_number(xml, "voice", 1);
      gln_write_value(writer, &values[i]);
      gln_xml_close(xml, "note");
    }
  }
}

static int64_t divisions_of(const GlnBar *bar) {
  GlnNoteValue values[GLN_NOTE_VALUES_MAX];
  int64_t divisions = 4;
  GlnRatio unit = gln_ratio(4, bar->meter.unit);
  for (size_t t = 0; t < bar->tune_count; t++) {
    int count = gln_note_values(gln_ratio_multiply(bar->tune[t].beats, unit), values);
    for (int k = 0; k < count; k++)
      divisions = gln_divisions_with(divisions, values[k].quarters);
    divisions = gln_divisions_with(divisions, gln_ratio_multiply(bar->tune[t].beat, unit));
  }
  divisions = gln_divisions_with(divisions, gln_meter_count_quarters(bar->meter));
  for (size_t i = 0; i < bar->event_count; i++) {
    divisions = gln_divisions_with(divisions, gln_ratio_multiply(bar->events[i].beat, unit));
    int count = gln_note_values(gln_ratio_multiply(bar->events[i].beats, unit), values);
    for (int k = 0; k < count; k++)
      divisions = gln_divisions_with(divisions, values[k].quarters);
  }
  return divisions;
}

/* A bar that only says again what a bar before it says shows no chord. */
static bool is_shown(const GlnBar *bar, size_t e) {
  const GlnEvent *event = &bar->events[e];
  return !event->continues && !(bar->same_as_last && bar->event_count == 1);
}

static void write_bar(LeadSheet *sheet, size_t s, size_t b, bool last) {
  GlnScoreWriter *writer = sheet->writer;
  GlnXmlWriter *xml = &writer->xml;
  const GlnSection *section = &sheet->chart->sections[s];
  const GlnBar *bar = &section->bars[b];
  bool pickup = gln_bar_is_pickup(bar);
  if (pickup)
    gln_xml_open(xml, "measure", "number=\"0\" implicit=\"yes\"");
  else
    gln_xml_open(xml, "measure", "number=\"%d\"", ++writer->measure);
  gln_write_attributes(writer, bar->meter, divisions_of(bar), sheet->first_measure, false);
  write_left(sheet, section, b);
  bool begins = b == 0 || (b == 1 && !sheet->first_measure && gln_bar_is_pickup(&section->bars[0]) &&
                           sheet->pickup_done);
  if (begins)
    gln_write_rehearsal(writer, section->name);
  if (sheet->first_measure)
    gln_write_tempo(writer);
  sheet->first_measure = false;
  bool has_tune = bar->tune_count > 0;
  GlnRatio division = gln_ratio_multiply(gln_ratio(4, bar->meter.unit), gln_ratio(writer->divisions, 1));
  for (size_t e = 0; e < bar->event_count; e++) {
    int64_t offset = has_tune ? gln_ratio_multiply(bar->events[e].beat, division).num : 0;
    if (is_shown(bar, e))
      gln_write_harmony(writer, &bar->events[e].chord, sheet->grips[sheet->first_event[s][b] + e], offset);
    if (!has_tune)
      write_body(sheet, bar, &bar->events[e]);
  }
  const GlnBar *next = b + 1 < section->bar_count ? bar + 1 : NULL;
  if (has_tune)
    write_tune(sheet, bar, next != NULL && next->tune_count > 0 && next->tune[0].kind == GLN_TUNE_HOLD);
  write_right(sheet, section, b, last);
  gln_xml_close(xml, "measure");
}

GlnStatus gln_write_lead_sheet(GlnScoreWriter *writer) {
  LeadSheet sheet = {.writer = writer, .chart = writer->options->line->song->chart, .first_measure = true};
  GLN_TRY(find_grips(&sheet));
  gln_write_score_head(writer, "Lead sheet");
  for (size_t f = 0; f < sheet.chart->form_count; f++) {
    size_t s = sheet.chart->form[f];
    const GlnSection *section = &sheet.chart->sections[s];
    /* A pick-up sounds where the song starts, and there alone. */
    size_t from = f > 0 && section->bar_count > 0 && gln_bar_is_pickup(&section->bars[0]) ? 1 : 0;
    sheet.pickup_done = from > 0;
    for (size_t b = from; b < section->bar_count; b++)
      write_bar(&sheet, s, b, f + 1 == sheet.chart->form_count && b + 1 == section->bar_count);
  }
  return GLN_OK;
}
