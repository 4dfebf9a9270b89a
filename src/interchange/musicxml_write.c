/* MusicXML 4.0: the head of a score, chords and diagrams, and what all measures have in common. */
#include "musicxml_write_internal.h"

#include <stdlib.h>
#include <string.h>

static const char letters[] = "CDEFGAB";

/* ---- the head ------------------------------------------------------------------------------------------------------------ */

void gln_write_score_head(GlnScoreWriter *writer, const char *part_name) {
  GlnXmlWriter *xml = &writer->xml;
  const GlnChart *chart = writer->options->line->song->chart;
  gln_buffer_add_string(xml->out,
                        "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"no\"?>\n"
                        "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" "
                        "\"http://www.musicxml.org/dtds/partwise.dtd\">\n");
  gln_xml_open(xml, "score-partwise", "version=\"4.0\"");
  if (chart->title.length > 0) {
    gln_xml_open(xml, "work", "%s", "");
    gln_xml_leaf(xml, "work-title", "", chart->title);
    gln_xml_close(xml, "work");
  }
  gln_xml_open(xml, "identification", "%s", "");
  if (chart->by.length > 0)
    gln_xml_leaf(xml, "creator", "type=\"composer\"", chart->by);
  gln_xml_open(xml, "encoding", "%s", "");
  gln_xml_leaf(xml, "software", "", GLN_TEXT("gripline"));
  gln_xml_close(xml, "encoding");
  gln_xml_close(xml, "identification");
  gln_xml_open(xml, "part-list", "%s", "");
  gln_xml_open(xml, "score-part", "id=\"P1\"");
  gln_xml_leaf(xml, "part-name", "", gln_text(part_name));
  gln_xml_close(xml, "score-part");
  gln_xml_close(xml, "part-list");
  gln_xml_open(xml, "part", "id=\"P1\"");
}

/* ---- chords --------------------------------------------------------------------------------------------------------------- */

static void write_note(GlnXmlWriter *xml, const char *outer, const char *step, const char *alter,
                       GlnNote note) {
  const char letter[2] = {letters[note.letter], '\0'};
  gln_xml_open(xml, outer, "%s", "");
  gln_xml_leaf(xml, step, "", gln_text(letter));
  if (note.accidental != 0)
    gln_xml_number(xml, alter, note.accidental);
  gln_xml_close(xml, outer);
}

static void write_degree(GlnXmlWriter *xml, const GlnKindDegree *degree) {
  static const char *const types[] = {
      [GLN_KIND_ADD] = "add", [GLN_KIND_ALTER] = "alter", [GLN_KIND_SUBTRACT] = "subtract"};
  gln_xml_open(xml, "degree", "print-object=\"no\""); /* the kind's text shows them */
  gln_xml_number(xml, "degree-value", degree->degree.number);
  gln_xml_number(xml, "degree-alter", degree->degree.alteration);
  gln_xml_leaf(xml, "degree-type", "", gln_text(types[degree->type]));
  gln_xml_close(xml, "degree");
}

/* The symbol between root and slash. */
static GlnText shown_kind(const GlnChord *chord, char symbol[GLN_SYMBOL_TEXT_MAX]) {
  GlnChord bare = *chord;
  char root[GLN_NOTE_TEXT_MAX], bass[GLN_NOTE_TEXT_MAX];
  GlnText text = {symbol, gln_chord_print(&bare, GLN_SIGNS_ASCII, symbol)};
  if (chord->silent)
    return text;
  text = gln_text_from(text, gln_note_print(chord->root, GLN_SIGNS_ASCII, root));
  if (chord->has_bass)
    text.length -= 1 + gln_note_print(chord->bass, GLN_SIGNS_ASCII, bass);
  return text;
}

static const GlnBarre *barre_at(const GlnGrip *grip, int string, bool *starts) {
  for (int i = 0; i < grip->fingering.barre_count; i++) {
    const GlnBarre *barre = &grip->fingering.barres[i];
    if (barre->fret != grip->frets.fret[string])
      continue;
    *starts = barre->low_string == string;
    if (*starts || barre->high_string == string)
      return barre;
  }
  return NULL;
}

static void write_frame_note(GlnXmlWriter *xml, const GlnGrip *grip, int string) {
  bool starts = false;
  int finger = grip->fingering.finger[string];
  gln_xml_open(xml, "frame-note", "%s", "");
  gln_xml_number(xml, "string", grip->frets.string_count - string);
  gln_xml_number(xml, "fret", grip->frets.fret[string]);
  if (finger == 5)
    gln_xml_leaf(xml, "fingering", "", GLN_TEXT("T"));
  else if (finger > 0)
    gln_xml_number(xml, "fingering", finger);
  if (barre_at(grip, string, &starts) != NULL)
    gln_xml_empty(xml, "barre", "type=\"%s\"", starts ? "start" : "stop");
  gln_xml_close(xml, "frame-note");
}

/* Four frets from the nut where the grip lies there, else from its lowest. */
static void write_frame(GlnXmlWriter *xml, const GlnGrip *grip) {
  enum { USUAL_FRETS = 4 };
  int low = GLN_FRETS_MAX, high = 0;
  for (int s = 0; s < grip->frets.string_count; s++) {
    int fret = grip->frets.fret[s];
    low = fret > 0 && fret < low ? fret : low;
    high = fret > high ? fret : high;
  }
  int first = high <= USUAL_FRETS ? 1 : low;
  int frets = high - first + 1 > USUAL_FRETS ? high - first + 1 : USUAL_FRETS;
  gln_xml_open(xml, "frame", "%s", "");
  gln_xml_number(xml, "frame-strings", grip->frets.string_count);
  gln_xml_number(xml, "frame-frets", frets);
  if (first > 1)
    gln_xml_number(xml, "first-fret", first);
  for (int s = 0; s < grip->frets.string_count; s++)
    if (grip->frets.fret[s] != GLN_NOT_PLAYED)
      write_frame_note(xml, grip, s);
  gln_xml_close(xml, "frame");
}

void gln_write_harmony(GlnScoreWriter *writer, const GlnChord *chord, const GlnGrip *grip, int64_t offset) {
  GlnXmlWriter *xml = &writer->xml;
  const GlnChart *chart = writer->options->line->song->chart;
  char symbol[GLN_SYMBOL_TEXT_MAX];
  GlnKindSpelling spelling = gln_kind_spell(chord, chart->has_key ? &chart->key : NULL);
  GlnBuffer attributes = gln_buffer(writer->arena);
  gln_buffer_add_string(&attributes, "text=\"");
  gln_xml_add_safe(&attributes, shown_kind(chord, symbol));
  gln_buffer_add_string(&attributes, "\"");
  char *text = gln_text_copy(writer->arena, gln_buffer_text(&attributes));
  if (text == NULL)
    writer->status = GLN_MEMORY;
  gln_xml_open(xml, "harmony", "%s", "");
  if (chord->silent) { /* the schema asks for a root even where there is none */
    gln_xml_open(xml, "root", "%s", "");
    gln_xml_leaf(xml, "root-step", "text=\"\"", GLN_TEXT("C"));
    gln_xml_close(xml, "root");
  } else {
    write_note(xml, "root", "root-step", "root-alter", chord->root);
  }
  gln_xml_leaf(xml, "kind", text != NULL ? text : "", gln_text(spelling.kind));
  if (!chord->silent && chord->has_bass)
    write_note(xml, "bass", "bass-step", "bass-alter", chord->bass);
  for (int i = 0; i < spelling.degree_count; i++)
    write_degree(xml, &spelling.degrees[i]);
  if (grip != NULL)
    write_frame(xml, grip);
  if (offset != 0)
    gln_xml_number(xml, "offset", offset);
  gln_xml_close(xml, "harmony");
}

/* ---- measures ------------------------------------------------------------------------------------------------------------- */

static void write_key(GlnXmlWriter *xml, GlnKey key) {
  int fifths = gln_key_fifths(key);
  fifths += fifths > 7 ? -12 : fifths < -7 ? 12 : 0; /* the same key on the other side */
  gln_xml_open(xml, "key", "%s", "");
  gln_xml_number(xml, "fifths", fifths);
  gln_xml_leaf(xml, "mode", "", key.minor ? GLN_TEXT("minor") : GLN_TEXT("major"));
  gln_xml_close(xml, "key");
}

static void write_time(GlnXmlWriter *xml, GlnMeter meter) {
  gln_xml_open(xml, "time", "%s", "");
  gln_xml_number(xml, "beats", meter.beats);
  gln_xml_number(xml, "beat-type", meter.unit);
  gln_xml_close(xml, "time");
}

static void write_clefs(GlnXmlWriter *xml, bool staves) {
  gln_xml_open(xml, "clef", "%s", staves ? "number=\"1\"" : "");
  gln_xml_leaf(xml, "sign", "", GLN_TEXT("G"));
  gln_xml_number(xml, "line", 2);
  if (staves) /* a guitar sounds an octave lower than it is read */
    gln_xml_number(xml, "clef-octave-change", -1);
  gln_xml_close(xml, "clef");
  if (!staves)
    return;
  gln_xml_open(xml, "clef", "number=\"2\"");
  gln_xml_leaf(xml, "sign", "", GLN_TEXT("TAB"));
  gln_xml_number(xml, "line", 5);
  gln_xml_close(xml, "clef");
}

static void write_strings(GlnScoreWriter *writer, bool staves) {
  GlnXmlWriter *xml = &writer->xml;
  const GlnInstrument *instrument = writer->options->instrument;
  GlnKey key = {{0, 0}, false};
  gln_xml_open(xml, "staff-details", "%s", staves ? "number=\"2\"" : "");
  gln_xml_number(xml, "staff-lines", staves ? instrument->string_count : 5);
  for (int s = 0; s < instrument->string_count; s++) {
    GlnPitch pitch =
        gln_pitch_at(gln_key_spell(key, instrument->open_midi[s] % 12), instrument->open_midi[s]);
    const char letter[2] = {letters[pitch.note.letter], '\0'};
    gln_xml_open(xml, "staff-tuning", "line=\"%d\"", s + 1);
    gln_xml_leaf(xml, "tuning-step", "", gln_text(letter));
    if (pitch.note.accidental != 0)
      gln_xml_number(xml, "tuning-alter", pitch.note.accidental);
    gln_xml_number(xml, "tuning-octave", pitch.octave);
    gln_xml_close(xml, "staff-tuning");
  }
  if (instrument->capo > 0)
    gln_xml_number(xml, "capo", instrument->capo);
  gln_xml_close(xml, "staff-details");
}

void gln_write_attributes(GlnScoreWriter *writer, GlnMeter meter, int64_t divisions, bool first,
                          bool staves) {
  GlnXmlWriter *xml = &writer->xml;
  const GlnChart *chart = writer->options->line->song->chart;
  bool new_meter = !gln_meter_equal(meter, writer->meter), new_divisions = divisions != writer->divisions;
  if (!first && !new_meter && !new_divisions)
    return;
  gln_xml_open(xml, "attributes", "%s", "");
  if (new_divisions)
    gln_xml_number(xml, "divisions", divisions);
  if (first && chart->has_key)
    write_key(xml, chart->key);
  if (new_meter)
    write_time(xml, meter);
  if (first && staves)
    gln_xml_number(xml, "staves", 2);
  if (first) {
    write_clefs(xml, staves);
    write_strings(writer, staves);
  }
  gln_xml_close(xml, "attributes");
  writer->meter = meter;
  writer->divisions = divisions;
}

void gln_write_rehearsal(GlnScoreWriter *writer, GlnText name) {
  GlnXmlWriter *xml = &writer->xml;
  if (name.length == 0)
    return;
  gln_xml_open(xml, "direction", "placement=\"above\"");
  gln_xml_open(xml, "direction-type", "%s", "");
  gln_xml_leaf(xml, "rehearsal", "", name);
  gln_xml_close(xml, "direction-type");
  gln_xml_close(xml, "direction");
}

void gln_write_tempo(GlnScoreWriter *writer) {
  GlnXmlWriter *xml = &writer->xml;
  const GlnLine *line = writer->options->line;
  const GlnChart *chart = line->song->chart;
  const GlnRatio swing = writer->options->swing;
  GlnBuffer tempo = gln_buffer(writer->arena), shown = gln_buffer(writer->arena);
  gln_buffer_add_number(&tempo, line->tempo, 3);
  gln_buffer_add_number(&shown, line->tempo, 0);
  gln_xml_open(xml, "direction", "placement=\"above\"");
  gln_xml_open(xml, "direction-type", "%s", "");
  gln_xml_open(xml, "metronome", "%s", "");
  gln_xml_leaf(xml, "beat-unit", "", GLN_TEXT("quarter"));
  gln_xml_leaf(xml, "per-minute", "", gln_buffer_text(&shown));
  gln_xml_close(xml, "metronome");
  gln_xml_close(xml, "direction-type");
  bool swings = swing.num > swing.den;
  if (chart->feel.length > 0) {
    gln_xml_open(xml, "direction-type", "%s", "");
    gln_xml_leaf(xml, "words", "", chart->feel);
    gln_xml_close(xml, "direction-type");
  }
  if (swings) {
    if (!gln_text_equal_ignoring_case(chart->feel, GLN_TEXT("swing"))) {
      gln_xml_open(xml, "direction-type", "%s", "");
      gln_xml_leaf(xml, "words", "", GLN_TEXT("Swing"));
      gln_xml_close(xml, "direction-type");
    }
    gln_xml_open(xml, "sound", "tempo=\"%.*s\"", (int)tempo.length, tempo.at);
    gln_xml_open(xml, "swing", "%s", "");
    gln_xml_number(xml, "first", swing.num);
    gln_xml_number(xml, "second", swing.den);
    gln_xml_leaf(xml, "swing-type", "",
                 writer->options->pair.den == 1 ? GLN_TEXT("eighth") : GLN_TEXT("16th"));
    gln_xml_close(xml, "swing");
    gln_xml_close(xml, "sound");
  } else {
    gln_xml_empty(xml, "sound", "tempo=\"%.*s\"", (int)tempo.length, tempo.at);
  }
  gln_xml_close(xml, "direction");
}

void gln_write_pitch(GlnScoreWriter *writer, GlnPitch pitch) {
  GlnXmlWriter *xml = &writer->xml;
  const char letter[2] = {letters[pitch.note.letter], '\0'};
  gln_xml_open(xml, "pitch", "%s", "");
  gln_xml_leaf(xml, "step", "", gln_text(letter));
  if (pitch.note.accidental != 0)
    gln_xml_number(xml, "alter", pitch.note.accidental);
  gln_xml_number(xml, "octave", pitch.octave);
  gln_xml_close(xml, "pitch");
}

void gln_write_value(GlnScoreWriter *writer, const GlnNoteValue *value) {
  GlnXmlWriter *xml = &writer->xml;
  gln_xml_leaf(xml, "type", "", gln_text(value->type));
  for (int i = 0; i < value->dots; i++)
    gln_xml_empty(xml, "dot", "%s", "");
  if (value->actual == 0)
    return;
  gln_xml_open(xml, "time-modification", "%s", "");
  gln_xml_number(xml, "actual-notes", value->actual);
  gln_xml_number(xml, "normal-notes", value->normal);
  gln_xml_close(xml, "time-modification");
}

/* ---- the whole --------------------------------------------------------------------------------------------------------------- */

GlnStatus gln_musicxml_write(const GlnMusicXmlOptions *options, GlnBuffer *out) {
  GlnScoreWriter writer = {.xml = {.out = out}, .options = options, .arena = out->arena, .status = GLN_OK};
  GLN_TRY(options->performance != NULL ? gln_write_performance(&writer) : gln_write_lead_sheet(&writer));
  gln_xml_close(&writer.xml, "part");
  gln_xml_close(&writer.xml, "score-partwise");
  GLN_TRY(writer.status);
  return gln_buffer_status(out);
}
