/* The performance as it is read: a staff and its tablature, the thumb's voice under the fingers'.
 *
 * What sounds is written as players write it: a roll or a strum is one chord, swung eighths are eighths under the word, and a
 * note lasts until its voice goes on or until the beat after it has stopped. */
#include "musicxml_write_internal.h"

#include <stdlib.h>
#include <string.h>

/* Strokes of one roll or strum start within so much of each other, quarter notes; two that are played one after the other do
 * not. Design choice, from the spread of six strings and the sixteenths of the feels. */
static const GlnRatio stroke_spread = {1, 6};

enum { VOICE_FINGERS, VOICE_THUMB, VOICE_COUNT };

/* Notes of a voice that are struck together. */
typedef struct Stroke {
  GlnRatio start, end; /* as written, quarter notes from the song's start */
  size_t first, count; /* notes */
} Stroke;

typedef struct Note {
  GlnRatio start, end; /* as written */
  size_t cluster;
  int voice, string, midi;
} Note;

typedef struct PlayedBar {
  GlnRatio start, quarters;
  GlnMeter meter;
  size_t first_slot, slot_count;
  bool pickup;
} PlayedBar;

typedef struct Staff {
  GlnScoreWriter *writer;
  const GlnLine *line;
  Note *notes;
  size_t note_count;
  Stroke *strokes[VOICE_COUNT];
  size_t stroke_count[VOICE_COUNT];
  PlayedBar *bars;
  size_t bar_count;
} Staff;

static GlnRatio less(GlnRatio a, GlnRatio b) {
  return gln_ratio_compare(a, b) <= 0 ? a : b;
}

static int64_t floor_of(GlnRatio a) {
  return a.num >= 0 ? a.num / a.den : -((a.den - 1 - a.num) / a.den);
}

/* ---- bars ---------------------------------------------------------------------------------------------------------------- */

static GlnStatus find_bars(Staff *staff) {
  const GlnLine *line = staff->line;
  staff->bars = GLN_NEW(staff->writer->arena, PlayedBar, line->slot_count);
  if (staff->bars == NULL)
    return GLN_MEMORY;
  GlnRatio begun = gln_ratio(-1, 1);
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    GlnRatio unit = gln_ratio(4, slot->meter.unit);
    const GlnBar *written = &line->song->chart->sections[slot->section].bars[slot->written_bar];
    GlnRatio start = gln_ratio_subtract(slot->start, gln_ratio_multiply(slot->event->beat, unit));
    if (staff->bar_count == 0 || gln_ratio_compare(start, begun) != 0)
      staff->bars[staff->bar_count++] = (PlayedBar){.start = start,
                                                    .quarters = gln_ratio_multiply(written->beats, unit),
                                                    .meter = slot->meter,
                                                    .first_slot = i,
                                                    .pickup = slot->bar == 0};
    staff->bars[staff->bar_count - 1].slot_count++;
    begun = start;
  }
  return GLN_OK;
}

/* ---- notes as written --------------------------------------------------------------------------------------------------------- */

/* From when it sounds to where it is written: the longer first of a swung pair is half of it. */
static GlnRatio unswung(const Staff *staff, GlnRatio at) {
  GlnRatio swing = staff->writer->options->swing, pair = staff->writer->options->pair, half = gln_ratio(1, 2);
  if (swing.num <= swing.den)
    return at;
  GlnRatio pairs = gln_ratio_divide(at, pair), whole = gln_ratio(floor_of(pairs), 1);
  GlnRatio into = gln_ratio_subtract(pairs, whole);
  GlnRatio middle = gln_ratio(swing.num, swing.num + swing.den);
  GlnRatio part =
      gln_ratio_compare(into, middle) <= 0
          ? gln_ratio_multiply(gln_ratio_divide(into, middle), half)
          : gln_ratio_add(half,
                          gln_ratio_multiply(gln_ratio_divide(gln_ratio_subtract(into, middle),
                                                              gln_ratio_subtract(gln_ratio(1, 1), middle)),
                                             half));
  return gln_ratio_multiply(gln_ratio_add(whole, part), pair);
}

static int by_place(const void *left, const void *right) {
  const Note *a = left, *b = right;
  if (a->voice != b->voice)
    return a->voice - b->voice;
  int order = gln_ratio_compare(a->start, b->start);
  return order != 0 ? order : a->string - b->string;
}

/* Starts of strokes: the first note of each, whatever hand plays it. */
static GlnStatus gather(Staff *staff) {
  const GlnPerformance *performance = staff->writer->options->performance;
  staff->notes = GLN_NEW(staff->writer->arena, Note, performance->count);
  if (staff->notes == NULL)
    return GLN_MEMORY;
  GlnRatio cluster = gln_ratio(-1, 1);
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *heard = &performance->notes[i];
    if (heard->player == GLN_PLAYER_CLICK || heard->string < 0)
      continue;
    GlnRatio start = gln_ratio_subtract(heard->start, performance->lead_in);
    if (staff->note_count == 0 || gln_ratio_compare(gln_ratio_subtract(start, cluster), stroke_spread) >= 0)
      cluster = start;
    GlnRatio written = unswung(staff, cluster);
    GlnRatio grid = gln_ratio_multiply(written, gln_ratio(48, 1)); /* what notes can be written */
    int64_t place = floor_of(gln_ratio_add(grid, gln_ratio(1, 2)));
    staff->notes[staff->note_count++] =
        (Note){.start = gln_ratio(place, 48),
               .end = unswung(staff, gln_ratio_add(start, heard->quarters)),
               .voice = heard->player == GLN_PLAYER_THUMB ? VOICE_THUMB : VOICE_FINGERS,
               .string = heard->string,
               .midi = heard->midi};
  }
  qsort(staff->notes, staff->note_count, sizeof *staff->notes, by_place);
  return GLN_OK;
}

/* One string twice in one stroke is one note. */
static void drop_doubles(Staff *staff) {
  size_t kept = 0;
  for (size_t i = 0; i < staff->note_count; i++) {
    Note *last = kept > 0 ? &staff->notes[kept - 1] : NULL;
    if (last != NULL && by_place(last, &staff->notes[i]) == 0)
      *last = staff->notes[i];
    else
      staff->notes[kept++] = staff->notes[i];
  }
  staff->note_count = kept;
}

static GlnStatus find_strokes(Staff *staff) {
  GLN_TRY(gather(staff));
  drop_doubles(staff);
  for (int voice = 0; voice < VOICE_COUNT; voice++) {
    staff->strokes[voice] = GLN_NEW(staff->writer->arena, Stroke, staff->note_count);
    if (staff->strokes[voice] == NULL)
      return GLN_MEMORY;
  }
  for (size_t i = 0; i < staff->note_count; i++) {
    const Note *note = &staff->notes[i];
    Stroke *strokes = staff->strokes[note->voice];
    size_t *count = &staff->stroke_count[note->voice];
    if (*count == 0 || gln_ratio_compare(strokes[*count - 1].start, note->start) != 0)
      strokes[(*count)++] = (Stroke){.start = note->start, .end = note->end, .first = i};
    Stroke *stroke = &strokes[*count - 1];
    stroke->count++;
    stroke->end = gln_ratio_compare(note->end, stroke->end) > 0 ? note->end : stroke->end;
  }
  /* To the next beat after the sound, and no further than the next stroke. */
  for (int voice = 0; voice < VOICE_COUNT; voice++)
    for (size_t i = 0; i < staff->stroke_count[voice]; i++) {
      Stroke *stroke = &staff->strokes[voice][i];
      GlnRatio beat = gln_ratio(-floor_of(gln_ratio_subtract(gln_ratio(0, 1), stroke->end)), 1);
      if (gln_ratio_compare(beat, stroke->start) <= 0)
        beat = gln_ratio(floor_of(stroke->start) + 1, 1);
      stroke->end = less(beat, staff->line->song->quarters);
      if (i + 1 < staff->stroke_count[voice])
        stroke->end = less(stroke->end, stroke[1].start);
    }
  return GLN_OK;
}

/* ---- one measure ------------------------------------------------------------------------------------------------------------ */

typedef struct Piece {
  const Stroke *stroke; /* NULL: a rest */
  GlnRatio from, to;
  bool ties_back, ties_on;
} Piece;

/* Splits at beats what no single value could show: thirds and the like that reach over one. */
static GlnRatio piece_end(GlnRatio from, GlnRatio to) {
  bool odd = ((from.den | to.den) & 1) != 0 && (from.den % 3 == 0 || to.den % 3 == 0);
  bool plain = from.den == 1 && to.den == 1;
  GlnRatio beat = gln_ratio(floor_of(from) + 1, 1);
  (void)odd;
  bool thirds = from.den % 3 == 0 || to.den % 3 == 0 || from.den > 4 || to.den > 4;
  return plain || !thirds || gln_ratio_compare(to, beat) <= 0 ? to : beat;
}

typedef struct Pieces {
  Piece *at;
  size_t count, capacity;
} Pieces;

static bool add_pieces(Staff *staff, Pieces *pieces, const PlayedBar *bar, const Stroke *stroke,
                       GlnRatio from, GlnRatio to, bool ties_back, bool ties_on) {
  while (gln_ratio_compare(from, to) < 0) {
    if (pieces->count == pieces->capacity) {
      size_t more = pieces->capacity == 0 ? 32 : 2 * pieces->capacity;
      Piece *grown = GLN_NEW(staff->writer->arena, Piece, more);
      if (grown == NULL)
        return false;
      if (pieces->count > 0)
        memcpy(grown, pieces->at, pieces->count * sizeof *grown);
      pieces->at = grown;
      pieces->capacity = more;
    }
    GlnRatio into_from = gln_ratio_subtract(from, bar->start), into_to = gln_ratio_subtract(to, bar->start);
    GlnRatio end = gln_ratio_add(bar->start, piece_end(into_from, into_to));
    bool last = gln_ratio_compare(end, to) >= 0;
    pieces->at[pieces->count++] = (Piece){stroke, from, end, ties_back, !last || ties_on};
    ties_back = true;
    from = end;
  }
  return true;
}

/* The voice through one bar, without gaps. */
static bool cut_bar(Staff *staff, int voice, const PlayedBar *bar, size_t *next, Pieces *pieces) {
  GlnRatio at = bar->start, bar_end = gln_ratio_add(bar->start, bar->quarters);
  const Stroke *strokes = staff->strokes[voice];
  pieces->count = 0;
  /* One that rings over from the bar before. */
  if (*next > 0 && gln_ratio_compare(strokes[*next - 1].end, at) > 0) {
    const Stroke *stroke = &strokes[*next - 1];
    GlnRatio to = less(stroke->end, bar_end);
    if (!add_pieces(staff, pieces, bar, stroke, at, to, true, gln_ratio_compare(stroke->end, bar_end) > 0))
      return false;
    at = to;
  }
  for (; *next < staff->stroke_count[voice] && gln_ratio_compare(strokes[*next].start, bar_end) < 0;
       (*next)++) {
    const Stroke *stroke = &strokes[*next];
    GlnRatio to = less(stroke->end, bar_end);
    if (!add_pieces(staff, pieces, bar, NULL, at, stroke->start, false, false) ||
        !add_pieces(staff, pieces, bar, stroke, stroke->start, to, false,
                    gln_ratio_compare(stroke->end, bar_end) > 0))
      return false;
    at = to;
  }
  return add_pieces(staff, pieces, bar, NULL, at, bar_end, false, false);
}

static GlnPitch spelled(const Staff *staff, const PlayedBar *bar, GlnRatio at, int midi) {
  const GlnChart *chart = staff->line->song->chart;
  const GlnChord *chord = NULL;
  for (size_t i = bar->first_slot; i < bar->first_slot + bar->slot_count; i++)
    if (gln_ratio_compare(staff->line->slots[i].slot->start, at) <= 0)
      chord = &staff->line->slots[i].slot->event->chord;
  int tone = chord != NULL && !chord->silent ? gln_chord_tone_of(chord, midi % 12) : -1;
  GlnKey key = chart->has_key ? chart->key : (GlnKey){{0, 0}, false};
  GlnNote note = tone >= 0 ? chord->tones[tone].note : gln_key_spell(key, midi % 12);
  return gln_pitch_at(note, midi);
}

static void write_tablature(GlnXmlWriter *xml, const GlnInstrument *instrument, const Note *note,
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
    gln_xml_number(xml, "fret", note->midi - gln_sounding_midi(instrument, note->string, 0));
    gln_xml_close(xml, "technical");
  }
  gln_xml_close(xml, "notations");
}

typedef struct Lane {
  int voice, staff;
} Lane;

static void write_one(Staff *staff, const PlayedBar *bar, Lane lane, const Piece *piece,
                      const GlnNoteValue *value, const Note *note, bool with_last, bool ties_back,
                      bool ties_on) {
  GlnScoreWriter *writer = staff->writer;
  GlnXmlWriter *xml = &writer->xml;
  gln_xml_open(xml, "note", "%s", "");
  if (with_last)
    gln_xml_empty(xml, "chord", "%s", "");
  if (note == NULL)
    gln_xml_empty(xml, "rest", "%s", "");
  else
    gln_write_pitch(writer, spelled(staff, bar, piece->stroke->start, note->midi));
  gln_xml_number(xml, "duration", gln_ratio_multiply(value->quarters, gln_ratio(writer->divisions, 1)).num);
  if (note != NULL && ties_back)
    gln_xml_empty(xml, "tie", "type=\"stop\"");
  if (note != NULL && ties_on)
    gln_xml_empty(xml, "tie", "type=\"start\"");
  gln_xml_number(xml, "voice", 4 * (lane.staff - 1) + lane.voice + 1);
  gln_write_value(writer, value);
  if (note != NULL)
    gln_xml_leaf(xml, "stem", "", lane.voice == VOICE_THUMB ? GLN_TEXT("down") : GLN_TEXT("up"));
  gln_xml_number(xml, "staff", lane.staff);
  if (note != NULL)
    write_tablature(xml, writer->options->instrument, note, lane.staff == 2, ties_back, ties_on);
  gln_xml_close(xml, "note");
}

static void write_piece(Staff *staff, const PlayedBar *bar, Lane lane, const Piece *piece) {
  GlnNoteValue values[GLN_NOTE_VALUES_MAX];
  int count = gln_note_values(gln_ratio_subtract(piece->to, piece->from), values);
  for (int i = 0; i < count; i++) {
    bool back = piece->ties_back || i > 0, on = piece->ties_on || i + 1 < count;
    if (piece->stroke == NULL)
      write_one(staff, bar, lane, piece, &values[i], NULL, false, false, false);
    for (size_t n = 0; piece->stroke != NULL && n < piece->stroke->count; n++)
      write_one(staff, bar, lane, piece, &values[i], &staff->notes[piece->stroke->first + n], n > 0, back,
                on);
  }
}

static int64_t divisions_of(const Staff *staff, const PlayedBar *bar, const Pieces pieces[VOICE_COUNT]) {
  GlnNoteValue values[GLN_NOTE_VALUES_MAX];
  int64_t divisions = 4;
  for (int voice = 0; voice < VOICE_COUNT; voice++)
    for (size_t p = 0; p < pieces[voice].count; p++) {
      int count =
          gln_note_values(gln_ratio_subtract(pieces[voice].at[p].to, pieces[voice].at[p].from), values);
      for (int i = 0; i < count; i++)
        divisions = gln_divisions_with(divisions, values[i].quarters);
    }
  for (size_t i = 0; i < bar->slot_count; i++)
    divisions = gln_divisions_with(
        divisions, gln_ratio_subtract(staff->line->slots[bar->first_slot + i].slot->start, bar->start));
  return gln_divisions_with(divisions, bar->quarters);
}

static void write_chords(Staff *staff, const PlayedBar *bar) {
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

static void write_bar(Staff *staff, size_t b, const Pieces pieces[VOICE_COUNT]) {
  GlnScoreWriter *writer = staff->writer;
  GlnXmlWriter *xml = &writer->xml;
  const PlayedBar *bar = &staff->bars[b];
  if (bar->pickup)
    gln_xml_open(xml, "measure", "number=\"0\" implicit=\"yes\"");
  else
    gln_xml_open(xml, "measure", "number=\"%d\"", ++writer->measure);
  gln_write_attributes(writer, bar->meter, divisions_of(staff, bar, pieces), b == 0, true);
  write_section(staff, b);
  if (b == 0)
    gln_write_tempo(writer);
  write_chords(staff, bar);
  int64_t whole = gln_ratio_multiply(bar->quarters, gln_ratio(writer->divisions, 1)).num;
  for (int lane = 0; lane < 2 * VOICE_COUNT; lane++) {
    const Lane here = {.voice = lane % VOICE_COUNT, .staff = lane / VOICE_COUNT + 1};
    if (lane > 0) {
      gln_xml_open(xml, "backup", "%s", "");
      gln_xml_number(xml, "duration", whole);
      gln_xml_close(xml, "backup");
    }
    for (size_t p = 0; p < pieces[here.voice].count; p++)
      write_piece(staff, bar, here, &pieces[here.voice].at[p]);
  }
  if (b + 1 == staff->bar_count) {
    gln_xml_open(xml, "barline", "location=\"right\"");
    gln_xml_leaf(xml, "bar-style", "", GLN_TEXT("light-heavy"));
    gln_xml_close(xml, "barline");
  }
  gln_xml_close(xml, "measure");
}

GlnStatus gln_write_performance(GlnScoreWriter *writer) {
  Staff staff = {.writer = writer, .line = writer->options->line};
  Pieces pieces[VOICE_COUNT] = {{NULL, 0, 0}};
  size_t next[VOICE_COUNT] = {0};
  GLN_TRY(find_bars(&staff));
  GLN_TRY(find_strokes(&staff));
  gln_write_score_head(writer, "Guitar");
  for (size_t b = 0; b < staff.bar_count; b++) {
    for (int voice = 0; voice < VOICE_COUNT; voice++)
      if (!cut_bar(&staff, voice, &staff.bars[b], &next[voice], &pieces[voice]))
        return GLN_MEMORY;
    write_bar(&staff, b, pieces);
  }
  return GLN_OK;
}
