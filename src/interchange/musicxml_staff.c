/* The performance as it is read: a staff and its tablature, the thumb's voice under the fingers'. */
#include "musicxml_write_internal.h"

typedef struct Staff {
  GlnScoreWriter *writer;
  const GlnLine *line;
  GlnPlayedBar *bars;
  GlnNotationBar *written; /* of the same bars */
  size_t bar_count;
} Staff;

static GlnPitch spelled(const Staff *staff, const GlnPlayedBar *bar, GlnRatio at, int midi) {
  const GlnChart *chart = staff->line->song->chart;
  GlnKey key = chart->has_key ? chart->key : (GlnKey){{0, 0}, false};
  return gln_pitch_in_chord(gln_played_chord(staff->line->song, bar, at), key, midi);
}

static void write_tablature(GlnXmlWriter *xml, const GlnInstrument *instrument, const GlnNotationNote *note,
                            bool on_tablature, bool ties_back, bool ties_on) {
  if (!on_tablature && !ties_back && !ties_on)
    return;
  gln_xml_open(xml, "notations", "%s", "");
  if (ties_back)
    gln_xml_empty(xml, "tied", "type=\"stop\"");
  if (ties_on)
    gln_xml_empty(xml, "tied", "type=\"start\"");
  if (on_tablature) {
    gln_xml_open(xml, "technical", "%s", "");
    gln_xml_number(xml, "string", gln_string_number(instrument, note->string));
    gln_xml_number(xml, "fret", gln_fret_of(instrument, note->string, note->midi));
    gln_xml_close(xml, "technical");
  }
  gln_xml_close(xml, "notations");
}

typedef struct Lane {
  int voice, staff;
} Lane;

static void write_one(Staff *staff, const GlnPlayedBar *bar, Lane lane, const GlnNotationPiece *piece,
                      const GlnNotationNote *note, bool with_last) {
  GlnScoreWriter *writer = staff->writer;
  GlnXmlWriter *xml = &writer->xml;
  gln_xml_open(xml, "note", "%s", "");
  if (with_last)
    gln_xml_empty(xml, "chord", "%s", "");
  if (note == NULL)
    gln_xml_empty(xml, "rest", "%s", "");
  else
    gln_write_pitch(writer, spelled(staff, bar, piece->struck, note->midi));
  gln_xml_number(xml, "duration",
                 gln_ratio_multiply(piece->value.quarters, gln_ratio(writer->divisions, 1)).num);
  if (note != NULL && piece->ties_back)
    gln_xml_empty(xml, "tie", "type=\"stop\"");
  if (note != NULL && piece->ties_on)
    gln_xml_empty(xml, "tie", "type=\"start\"");
  gln_xml_number(xml, "voice", 4 * (lane.staff - 1) + lane.voice + 1);
  gln_write_value(writer, &piece->value);
  if (note != NULL)
    gln_xml_leaf(xml, "stem", "", lane.voice == GLN_VOICE_THUMB ? GLN_TEXT("down") : GLN_TEXT("up"));
  gln_xml_number(xml, "staff", lane.staff);
  if (note != NULL)
    write_tablature(xml, writer->options->instrument, note, lane.staff == 2, piece->ties_back,
                    piece->ties_on);
  gln_xml_close(xml, "note");
}

static void write_piece(Staff *staff, const GlnPlayedBar *bar, Lane lane, const GlnNotationPiece *piece) {
  if (piece->count == 0)
    write_one(staff, bar, lane, piece, NULL, false);
  for (size_t n = 0; n < piece->count; n++)
    write_one(staff, bar, lane, piece, &piece->notes[n], n > 0);
}

static int64_t divisions_of(const Staff *staff, size_t b) {
  int64_t divisions = 4;
  const GlnPlayedBar *bar = &staff->bars[b];
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; p < staff->written[b].counts[voice]; p++)
      divisions = gln_divisions_with(divisions, staff->written[b].pieces[voice][p].value.quarters);
  for (size_t i = 0; i < bar->slot_count; i++)
    divisions = gln_divisions_with(
        divisions, gln_ratio_subtract(staff->line->slots[bar->first_slot + i].slot->start, bar->start));
  return gln_divisions_with(divisions, bar->quarters);
}

static void write_chords(Staff *staff, const GlnPlayedBar *bar) {
  GlnScoreWriter *writer = staff->writer;
  for (size_t i = 0; i < bar->slot_count; i++) {
    const GlnLineSlot *at = &staff->line->slots[bar->first_slot + i];
    GlnRatio into = gln_ratio_subtract(at->slot->start, bar->start);
    if (at->slot->event->continues)
      continue;
    gln_write_harmony(writer, &at->slot->event->chord, at->silent ? NULL : &at->grip,
                      gln_ratio_multiply(into, gln_ratio(writer->divisions, 1)).num);
  }
}

static void write_section(Staff *staff, size_t b) {
  const GlnSlot *slot = staff->line->slots[staff->bars[b].first_slot].slot;
  const GlnSlot *last = b > 0 ? staff->line->slots[staff->bars[b].first_slot - 1].slot : NULL;
  if (last == NULL || last->section != slot->section || last->section_pass != slot->section_pass)
    gln_write_rehearsal(staff->writer, staff->line->song->chart->sections[slot->section].name);
}

static void write_bar(Staff *staff, size_t b) {
  GlnScoreWriter *writer = staff->writer;
  GlnXmlWriter *xml = &writer->xml;
  const GlnPlayedBar *bar = &staff->bars[b];
  if (bar->pickup)
    gln_xml_open(xml, "measure", "number=\"0\" implicit=\"yes\"");
  else
    gln_xml_open(xml, "measure", "number=\"%d\"", ++writer->measure);
  gln_write_attributes(writer, bar->meter, divisions_of(staff, b), b == 0, true);
  write_section(staff, b);
  if (b == 0)
    gln_write_tempo(writer);
  write_chords(staff, bar);
  int64_t whole = gln_ratio_multiply(bar->quarters, gln_ratio(writer->divisions, 1)).num;
  for (int lane = 0; lane < 2 * GLN_VOICE_COUNT; lane++) {
    const Lane here = {.voice = lane % GLN_VOICE_COUNT, .staff = lane / GLN_VOICE_COUNT + 1};
    if (lane > 0) {
      gln_xml_open(xml, "backup", "%s", "");
      gln_xml_number(xml, "duration", whole);
      gln_xml_close(xml, "backup");
    }
    for (size_t p = 0; p < staff->written[b].counts[here.voice]; p++)
      write_piece(staff, bar, here, &staff->written[b].pieces[here.voice][p]);
  }
  if (b + 1 == staff->bar_count) {
    gln_xml_open(xml, "barline", "location=\"right\"");
    gln_xml_leaf(xml, "bar-style", "", GLN_TEXT("light-heavy"));
    gln_xml_close(xml, "barline");
  }
  gln_xml_close(xml, "measure");
}

GlnStatus gln_write_performance(GlnScoreWriter *writer) {
  const GlnMusicXmlOptions *options = writer->options;
  Staff staff = {.writer = writer, .line = options->line};
  GLN_TRY(gln_played_bars_find(options->line->song, writer->arena, &staff.bars, &staff.bar_count));
  staff.written = GLN_NEW(writer->arena, GlnNotationBar, staff.bar_count);
  if (staff.written == NULL)
    return GLN_MEMORY;
  for (size_t b = 0; b < staff.bar_count; b++)
    staff.written[b] = (GlnNotationBar){.start = staff.bars[b].start,
                                        .quarters = staff.bars[b].quarters,
                                        .beats = staff.bars[b].meter.beats,
                                        .unit = staff.bars[b].meter.unit};
  GLN_TRY(gln_notation_make(options->performance, options->swing, options->pair, staff.written,
                            staff.bar_count, writer->arena));
  gln_write_score_head(writer, "Guitar");
  for (size_t b = 0; b < staff.bar_count; b++)
    write_bar(&staff, b);
  return GLN_OK;
}
