/* One measure of one part: a cursor through its notes, and what stands where. */
#include "musicxml_score_internal.h"

#include <stdlib.h>
#include <string.h>

#define DIVISIONS_MAX     1e6
#define MEASURE_TICKS_MAX ((int64_t)GLN_TICKS * 4 * 128) /* 32/1, the longest bar of a chart */

typedef struct Cursor {
  ScoreReader *reader;
  Part *part;
  GlnScoreBar *bar;
  size_t bar_index;
  bool has_chords; /* this is the part whose chords are taken */
  int64_t base;    /* ticks where the divisions last changed */
  double units;    /* divisions since then */
  int64_t last;    /* start of the last note, for those that sound with it */
} Cursor;

/* ---- time ------------------------------------------------------------------------------------------------------------ */

static int64_t ticks_at(const Cursor *cursor, double units) {
  double ticks = (double)cursor->base + units * GLN_TICKS / cursor->part->divisions;
  if (!(ticks > 0))
    return 0;
  return ticks < (double)MEASURE_TICKS_MAX ? (int64_t)(ticks + 0.5) : MEASURE_TICKS_MAX;
}

static int64_t now(const Cursor *cursor) {
  return ticks_at(cursor, cursor->units);
}

static void settle(Cursor *cursor) {
  cursor->base = now(cursor);
  cursor->units = 0;
}

/* A duration in divisions; 0, and one warning in the file, for what cannot be one. */
static double duration_of(Cursor *cursor, const GlnXmlNode *node) {
  double value = 0;
  GlnText text = gln_xml_text(node, GLN_ELEMENT_DURATION);
  bool fine = text.length == 0 || (gln_text_number(text, &value) == GLN_OK && value >= 0 && value < 1e12);
  if (fine)
    return value;
  if (!cursor->reader->told_durations)
    gln_diags_format(cursor->reader->diags, GLN_WARNING, node->offset, 1, "look at the bars of the chart",
                     "\"%.*s\" is no duration; it and others like it are taken for none",
                     (int)(text.length < 20 ? text.length : 20), text.at);
  cursor->reader->told_durations = true;
  return 0;
}

static void advance(Cursor *cursor, double units) {
  cursor->units += units;
  if (now(cursor) > cursor->bar->ticks)
    cursor->bar->ticks = now(cursor);
}

static void go_back(Cursor *cursor, double units) {
  cursor->units -= units;
  if ((double)cursor->base + cursor->units * GLN_TICKS / cursor->part->divisions < 0) {
    cursor->base = 0;
    cursor->units = 0;
  }
}

/* ---- attributes -------------------------------------------------------------------------------------------------------- */

static void read_divisions(Cursor *cursor, const GlnXmlNode *attributes) {
  GlnText text = gln_xml_text(attributes, GLN_ELEMENT_DIVISIONS);
  double divisions = 0;
  if (text.length == 0)
    return;
  if (gln_text_number(text, &divisions) == GLN_OK && divisions > 0 && divisions <= DIVISIONS_MAX) {
    settle(cursor);
    cursor->part->divisions = divisions;
    return;
  }
  if (!cursor->reader->told_divisions)
    gln_diags_format(cursor->reader->diags, GLN_WARNING, attributes->offset, 1,
                     "look at the bars of the chart",
                     "\"%.*s\" divisions of a quarter note cannot be; those before it go on",
                     (int)(text.length < 20 ? text.length : 20), text.at);
  cursor->reader->told_divisions = true;
}

/* Letters that so many semitones go, where the file does not say. */
static int steps_of_semitones(int semitones) {
  static const int8_t steps[] = {0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6};
  int octaves = semitones >= 0 ? semitones / 12 : -((11 - semitones) / 12);
  return steps[semitones - 12 * octaves] + 7 * octaves;
}

static void read_transposition(Cursor *cursor, const GlnXmlNode *attributes) {
  const GlnXmlNode *transpose = gln_xml_child(attributes, GLN_ELEMENT_TRANSPOSE);
  if (transpose == NULL)
    return;
  Part *part = cursor->part;
  part->semitones = (int)gln_xml_integer(transpose, GLN_ELEMENT_CHROMATIC, -36, 36, 0);
  part->steps =
      (int)gln_xml_integer(transpose, GLN_ELEMENT_DIATONIC, -21, 21, steps_of_semitones(part->semitones));
  part->octaves = (int)gln_xml_integer(transpose, GLN_ELEMENT_OCTAVE_CHANGE, -4, 4, 0);
}

/* The key that sounds, named so that it has no more than seven signs. */
static GlnKey sounding_key(const Part *part, int fifths, bool minor) {
  int sharps = fifths + (7 * part->semitones) % 12;
  while (sharps > 7)
    sharps -= 12;
  while (sharps < -7)
    sharps += 12;
  if (part->semitones % 12 != 0) /* of two names the one with fewer signs */
    sharps = sharps > 6 ? sharps - 12 : sharps < -6 ? sharps + 12 : sharps;
  return gln_key_of_fifths(sharps, minor);
}

static void read_key(Cursor *cursor, const GlnXmlNode *attributes) {
  const GlnXmlNode *key = gln_xml_child(attributes, GLN_ELEMENT_KEY);
  ScoreReader *reader = cursor->reader;
  if (key == NULL)
    return;
  long fifths = gln_xml_integer(key, GLN_ELEMENT_FIFTHS, -11, 11, 99);
  GlnText mode = gln_xml_text(key, GLN_ELEMENT_MODE);
  bool minor = gln_text_equal_ignoring_case(mode, GLN_TEXT("minor")) ||
               gln_text_equal_ignoring_case(mode, GLN_TEXT("aeolian"));
  if (fifths == 99) {
    if (cursor->has_chords)
      gln_diags_format(reader->diags, GLN_NOTE_SEVERITY, key->offset, 1, "",
                       "a key that is none of the usual is left out");
    return;
  }
  GlnKey sounding = sounding_key(cursor->part, (int)fifths, minor);
  GlnScore *score = reader->score;
  bool same =
      gln_note_equal(sounding.tonic, cursor->part->key.tonic) && sounding.minor == cursor->part->key.minor;
  cursor->part->key = sounding;
  if (!cursor->has_chords)
    return;
  cursor->bar->key = sounding;
  if (score->has_key && !same) {
    char text[GLN_KEY_TEXT_MAX];
    (void)gln_key_print(sounding, GLN_SIGNS_ASCII, text);
    gln_diags_format(reader->diags, GLN_NOTE_SEVERITY, key->offset, 1, "",
                     "the key changes to %s in bar %zu; a chart names the first alone", text,
                     cursor->bar_index + 1);
  } else if (!score->has_key) {
    score->key = sounding;
    score->has_key = true;
  }
}

/* "3+2" */
static long sum_of(GlnText text) {
  long sum = 0;
  while (text.length > 0) {
    size_t plus = gln_text_find(text, GLN_TEXT("+"), 0);
    long value = 0;
    if (gln_text_integer(gln_text_trim(gln_text_slice(text, 0, plus)), 1, 1000, &value) != GLN_OK)
      return 0;
    sum += value;
    text = gln_text_from(text, plus + 1);
  }
  return sum;
}

/* Meters of several parts, 3/4 + 3/8, become one in the smaller unit. */
static void read_time(Cursor *cursor, const GlnXmlNode *attributes) {
  const GlnXmlNode *time = gln_xml_child(attributes, GLN_ELEMENT_TIME);
  const GlnXmlNode *beats = gln_xml_child(time, GLN_ELEMENT_BEATS);
  if (beats == NULL)
    return;
  long sum = 0, unit = 1;
  for (; beats != NULL; beats = gln_xml_next(beats, GLN_ELEMENT_BEATS)) {
    const GlnXmlNode *type = gln_xml_next(beats, GLN_ELEMENT_BEAT_TYPE);
    long of = 0, count = sum_of(beats->text);
    if (type == NULL || gln_text_integer(type->text, 1, GLN_METER_UNIT_MAX, &of) != GLN_OK ||
        (of & (of - 1)) != 0 || count == 0 || count > 1000) {
      sum = 0;
      break;
    }
    long finer = of > unit ? of : unit;
    sum = sum * (finer / unit) + count * (finer / of);
    unit = finer;
  }
  if (sum == 0 || sum > GLN_CHART_METER_BEATS_MAX) {
    if (cursor->has_chords)
      gln_diags_format(cursor->reader->diags, GLN_WARNING, time->offset, 1, "look at the bars of the chart",
                       "a meter that a chart cannot have; that before it goes on");
    return;
  }
  cursor->part->meter = (GlnMeter){(int16_t)sum, (int16_t)unit};
  if (cursor->has_chords)
    cursor->bar->meter = cursor->part->meter;
}

static GlnStatus read_tuning(Cursor *cursor, const GlnXmlNode *details) {
  static const char letters[] = "CDEFGAB";
  GlnScore *score = cursor->reader->score;
  const GlnXmlNode *lines[GLN_STRINGS_MAX] = {NULL};
  size_t count = 0;
  GlnBuffer text = gln_buffer(cursor->reader->arena);
  for (const GlnXmlNode *at = gln_xml_child(details, GLN_ELEMENT_STAFF_TUNING); at != NULL;
       at = gln_xml_next(at, GLN_ELEMENT_STAFF_TUNING)) {
    long line = 0;
    if (gln_text_integer(gln_xml_attribute(at, GLN_ATTRIBUTE_LINE), 1, GLN_STRINGS_MAX, &line) != GLN_OK)
      return GLN_OK;
    lines[line - 1] = at;
  }
  while (count < GLN_STRINGS_MAX && lines[count] != NULL) {
    GlnText step = gln_xml_text(lines[count], GLN_ELEMENT_TUNING_STEP);
    long alter = gln_xml_integer(lines[count], GLN_ELEMENT_TUNING_ALTER, -1, 1, 0);
    long octave = gln_xml_integer(lines[count], GLN_ELEMENT_TUNING_OCTAVE, 0, 8, -1);
    if (step.length != 1 || step.at[0] == '\0' || strchr(letters, step.at[0]) == NULL || octave < 0)
      return GLN_OK;
    gln_buffer_format(&text, "%s%c%s%ld", count > 0 ? " " : "", step.at[0],
                      alter < 0   ? "b"
                      : alter > 0 ? "#"
                                  : "",
                      octave);
    count++;
  }
  GLN_TRY(gln_buffer_status(&text));
  GlnInstrument instrument = gln_instrument_defaults();
  if (count >= GLN_STRINGS_MIN && gln_instrument_tune(gln_buffer_text(&text), &instrument) == GLN_OK) {
    score->tuning = gln_buffer_text(&text);
    score->strings = (int)count;
  }
  return GLN_OK;
}

static GlnStatus read_attributes(Cursor *cursor, const GlnXmlNode *attributes) {
  GlnScore *score = cursor->reader->score;
  read_divisions(cursor, attributes);
  read_transposition(cursor, attributes);
  read_key(cursor, attributes);
  read_time(cursor, attributes);
  for (const GlnXmlNode *at = gln_xml_child(attributes, GLN_ELEMENT_STAFF_DETAILS); at != NULL;
       at = gln_xml_next(at, GLN_ELEMENT_STAFF_DETAILS)) {
    if (score->capo == 0)
      score->capo = (int)gln_xml_integer(at, GLN_ELEMENT_CAPO, 0, GLN_CHART_CAPO_MAX, 0);
    if (score->tuning.length == 0)
      GLN_TRY(read_tuning(cursor, at));
  }
  for (const GlnXmlNode *at = gln_xml_child(attributes, GLN_ELEMENT_MEASURE_STYLE); at != NULL;
       at = gln_xml_next(at, GLN_ELEMENT_MEASURE_STYLE)) {
    const GlnXmlNode *repeat = gln_xml_child(at, GLN_ELEMENT_MEASURE_REPEAT);
    long bars = 0;
    if (repeat == NULL || !cursor->has_chords)
      continue;
    bool starts = gln_text_equal(gln_xml_attribute(repeat, GLN_ATTRIBUTE_TYPE), GLN_TEXT("start"));
    if (starts && gln_text_integer(repeat->text, 1, 16, &bars) == GLN_OK)
      cursor->reader->repeated_bars = (int)bars;
    else
      cursor->reader->repeated_bars = 0;
  }
  return GLN_OK;
}

/* ---- chords and notes ---------------------------------------------------------------------------------------------------- */

static bool grow(GlnArena *arena, void **items, size_t *capacity, size_t count, size_t size) {
  if (count < *capacity)
    return true;
  size_t more = *capacity == 0 ? 4 : 2 * *capacity;
  void *grown = gln_arena_alloc(arena, more, size);
  if (grown == NULL)
    return false;
  if (count > 0)
    memcpy(grown, *items, count * size);
  *items = grown;
  *capacity = more;
  return true;
}

static GlnStatus read_harmony(Cursor *cursor, const GlnXmlNode *node) {
  ScoreReader *reader = cursor->reader;
  GlnScoreBar *bar = cursor->bar;
  double offset = 0;
  if (!cursor->has_chords)
    return GLN_OK;
  if (gln_text_equal(gln_xml_attribute(node, GLN_ATTRIBUTE_TYPE), GLN_TEXT("alternate"))) {
    gln_diags_format(reader->diags, GLN_NOTE_SEVERITY, node->offset, 1, "",
                     "an alternative chord is left out");
    return GLN_OK;
  }
  GlnText text = gln_xml_text(node, GLN_ELEMENT_OFFSET);
  if (text.length > 0 && (gln_text_number(text, &offset) != GLN_OK || offset > 1e12 || offset < -1e12))
    offset = 0;
  const GlnXmlNode *kind = gln_xml_child(node, GLN_ELEMENT_KIND);
  if (kind != NULL && gln_xml_next(kind, GLN_ELEMENT_KIND) != NULL)
    gln_diags_format(reader->diags, GLN_WARNING, node->offset, 1, "look at the chart",
                     "several chords in one symbol; the first is taken");
  const GlnHarmonyPlace place = {cursor->part->key, cursor->part->steps, cursor->part->semitones};
  GlnScoreChord chord = {.at = ticks_at(cursor, cursor->units + offset), .node = node};
  if (!gln_xml_chord_read(node, &place, reader->diags, &chord.chord))
    return GLN_OK;
  const GlnXmlNode *frame = gln_xml_child(node, GLN_ELEMENT_FRAME);
  if (frame != NULL && gln_frame_read(frame, reader->diags, &chord.frets))
    reader->score->frame_count++;
  if (!grow(reader->arena, (void **)&bar->chords, &reader->chord_capacity, bar->chord_count, sizeof chord))
    return GLN_MEMORY;
  bar->chords[bar->chord_count++] = chord;
  reader->score->chord_count++;
  return GLN_OK;
}

static bool read_pitch(const Cursor *cursor, const GlnXmlNode *note, GlnPitch *pitch) {
  static const char letters[] = "CDEFGAB";
  const GlnXmlNode *written = gln_xml_child(note, GLN_ELEMENT_PITCH);
  GlnText step = gln_xml_text(written, GLN_ELEMENT_STEP);
  if (step.length != 1 || step.at[0] == '\0' || strchr(letters, step.at[0]) == NULL)
    return false;
  long octave = gln_xml_integer(written, GLN_ELEMENT_OCTAVE, 0, 9, -1);
  long alter = gln_xml_integer(written, GLN_ELEMENT_ALTER, -2, 2, 0);
  if (octave < 0)
    return false;
  GlnNote name = {(int8_t)(strchr(letters, step.at[0]) - letters), (int8_t)alter};
  int midi =
      gln_pitch_midi((GlnPitch){name, (int8_t)octave}) + cursor->part->semitones + 12 * cursor->part->octaves;
  if (midi < 0 || midi > 127)
    return false;
  GlnNote sounding = gln_note_moved(name, cursor->part->steps, cursor->part->semitones);
  if ((midi - gln_note_pitch_class(sounding)) % 12 != 0)
    return false; /* a spelling past double accidentals */
  *pitch = gln_pitch_at(sounding, midi);
  return true;
}

static GlnStatus read_note(Cursor *cursor, const GlnXmlNode *note) {
  ScoreReader *reader = cursor->reader;
  if (gln_xml_child(note, GLN_ELEMENT_GRACE) != NULL)
    return GLN_OK;
  bool together = gln_xml_child(note, GLN_ELEMENT_CHORD) != NULL;
  double units = duration_of(cursor, note);
  int64_t at = together ? cursor->last : now(cursor);
  if (!together) {
    cursor->last = at;
    advance(cursor, units);
  }
  GlnScoreNote sounding = {.at = at, .ticks = now(cursor) - at};
  for (const GlnXmlNode *tie = gln_xml_child(note, GLN_ELEMENT_TIE); tie != NULL;
       tie = gln_xml_next(tie, GLN_ELEMENT_TIE))
    if (gln_text_equal(gln_xml_attribute(tie, GLN_ATTRIBUTE_TYPE), GLN_TEXT("stop")))
      sounding.held = true;
  bool is_slash = gln_text_equal(gln_xml_text(note, GLN_ELEMENT_NOTEHEAD), GLN_TEXT("slash"));
  if (!cursor->has_chords || is_slash || gln_xml_child(note, GLN_ELEMENT_CUE) != NULL ||
      !read_pitch(cursor, note, &sounding.pitch))
    return GLN_OK;
  GlnScoreBar *bar = cursor->bar;
  if (!grow(reader->arena, (void **)&bar->notes, &reader->note_capacity, bar->note_count, sizeof sounding))
    return GLN_MEMORY;
  bar->notes[bar->note_count++] = sounding;
  reader->score->note_count++;
  return GLN_OK;
}

/* ---- the measure ------------------------------------------------------------------------------------------------------------ */

static GlnStatus read_element(Cursor *cursor, const GlnXmlNode *node) {
  switch ((int)node->name) {
  case GLN_ELEMENT_ATTRIBUTES:
    return read_attributes(cursor, node);
  case GLN_ELEMENT_NOTE:
    return read_note(cursor, node);
  case GLN_ELEMENT_HARMONY:
    return read_harmony(cursor, node);
  case GLN_ELEMENT_BACKUP:
    go_back(cursor, duration_of(cursor, node));
    return GLN_OK;
  case GLN_ELEMENT_FORWARD:
    advance(cursor, duration_of(cursor, node));
    return GLN_OK;
  default:
    gln_score_sign_read(cursor->reader, node, cursor->bar_index);
    return GLN_OK;
  }
}

GlnStatus gln_score_measure_read(ScoreReader *reader, size_t part, size_t index) {
  Cursor cursor = {.reader = reader,
                   .part = &reader->parts[part],
                   .bar = &reader->score->bars[index],
                   .bar_index = index,
                   .has_chords = part == reader->chord_part};
  if (cursor.has_chords)
    reader->chord_capacity = reader->note_capacity = 0;
  for (const GlnXmlNode *at = cursor.part->measures[index]->first; at != NULL; at = at->next)
    GLN_TRY(read_element(&cursor, at));
  if (cursor.has_chords)
    cursor.bar->same_as = reader->repeated_bars;
  return GLN_OK;
}
