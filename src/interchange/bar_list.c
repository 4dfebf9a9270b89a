/* Bars of chord labels in Harte syntax, a dot for a beat on which the chord goes on: the form in which research keeps
 * progressions. */
#include "interchange_internal.h"

#define BARS_A_LINE 4

typedef struct BarReader {
  GlnText bytes;
  GlnArena *arena;
  GlnDiags *diags;
  GlnMeter meter, running, first;
  GlnText title, artist, tonic, tempo;
  bool has_key;   /* tonic says major or minor */
  long minor;     /* chords on the tonic: minor ones less the others */
  GlnBuffer bars; /* of the chart */
  size_t bar_count;
  GlnStatus status;
} BarReader;

static void complain(BarReader *reader, GlnText part, size_t offset, size_t length, const char *problem,
                     const char *advice) {
  gln_diags_format(reader->diags, GLN_ERROR, (size_t)(part.at - reader->bytes.at) + offset, length, advice,
                   "%s", problem);
  if (reader->status == GLN_OK)
    reader->status = GLN_INPUT;
}

/* ---- comments that say something ---- */

static void read_remark(BarReader *reader, GlnText line) {
  GlnText rest = gln_text_trim(gln_text_from(line, 1));
  size_t colon = gln_text_find(rest, GLN_TEXT(":"), 0);
  if (colon == rest.length)
    return;
  GlnText name = gln_text_trim(gln_text_slice(rest, 0, colon));
  GlnText value = gln_text_trim(gln_text_from(rest, colon + 1));
  if (gln_text_equal_ignoring_case(name, GLN_TEXT("title"))) {
    reader->title = value;
  } else if (gln_text_equal_ignoring_case(name, GLN_TEXT("artist"))) {
    reader->artist = value;
  } else if (gln_text_equal_ignoring_case(name, GLN_TEXT("tempo"))) {
    double tempo = 0;
    if (gln_text_number(value, &tempo) != GLN_OK || tempo < GLN_CHART_TEMPO_MIN ||
        tempo > GLN_CHART_TEMPO_MAX)
      complain(reader, value, 0, value.length, "this is no tempo", "write beats a minute, 20 to 400");
    reader->tempo = value;
  } else if (gln_text_equal_ignoring_case(name, GLN_TEXT("tonic")) ||
             gln_text_equal_ignoring_case(name, GLN_TEXT("key"))) {
    GlnKey key;
    if (gln_key_parse(value, &key) != GLN_OK)
      complain(reader, value, 0, value.length, "this is no key", "write a note name: C, Bb, F#");
    reader->tonic = value;
    reader->has_key = gln_text_equal_ignoring_case(name, GLN_TEXT("key"));
  } else if (gln_text_equal_ignoring_case(name, GLN_TEXT("metre")) ||
             gln_text_equal_ignoring_case(name, GLN_TEXT("meter"))) {
    if (gln_meter_parse(value, &reader->meter) != GLN_OK)
      complain(reader, value, 0, value.length, "this is no meter", "write it as 4/4, 3/4 or 6/8");
    if (reader->bar_count == 0)
      reader->first = reader->running = reader->meter;
  }
}

/* ---- bars ---- */

static size_t bar_beats(GlnText bar) {
  size_t at = 0, beats = 0;
  for (GlnText word; gln_word_next(bar, &at, &word);)
    beats++;
  return beats;
}

static bool only_dots(GlnText bar) {
  size_t at = 0;
  for (GlnText word; gln_word_next(bar, &at, &word);)
    if (!gln_text_equal(word, GLN_TEXT(".")))
      return false;
  return true;
}

/* Counts what the chords on the tonic say of major and minor. */
static void weigh_mode(BarReader *reader, GlnText label, const GlnChord *chord) {
  GlnNote tonic;
  size_t used = 0;
  if (reader->tonic.length == 0 || chord->silent || gln_note_parse(reader->tonic, &tonic, &used) != GLN_OK ||
      !gln_note_equal(chord->root, tonic))
    return;
  size_t colon = gln_text_find(label, GLN_TEXT(":"), 0);
  reader->minor += gln_text_starts(gln_text_from(label, colon), GLN_TEXT(":min")) ? 1 : -1;
}

static void read_label(BarReader *reader, GlnText label) {
  GlnChord chord;
  GlnSymbolFault fault;
  bool doubtful = false;
  if (gln_label_read(label, &chord, &doubtful, &fault) != GLN_OK) {
    complain(reader, label, fault.offset, fault.length, fault.problem,
             "labels are in Harte syntax: C:maj, A:min7, N");
    return;
  }
  if (doubtful)
    gln_diags_format(reader->diags, GLN_WARNING, (size_t)(label.at - reader->bytes.at), label.length, "",
                     "the chord is not known here; N.C. is written");
  weigh_mode(reader, label, &chord);
  gln_buffer_add(&reader->bars, gln_symbol_copy(&chord, reader->arena));
}

/* The meter of a bar of so many beats: the song's, unless there are more than two and not as many as it counts. */
static GlnMeter meter_of(const BarReader *reader, size_t beats) {
  GlnMeter meter = reader->meter;
  size_t counts = (size_t)gln_meter_counts(meter);
  if (beats > 2 && beats != counts)
    meter.beats = (int16_t)(counts != (size_t)meter.beats ? 3 * beats : beats);
  return meter;
}

/* The labels and dots of a bar that has begun. Two marks share it; where the first holds a chord over, each is told beat by
 * beat. */
static void read_marks(BarReader *reader, GlnText bar, size_t beats, int counts) {
  bool holds_half = beats == 2 && bar.at[0] == '.' && counts != 2;
  size_t at = 0;
  GlnText label;
  for (size_t i = 0; gln_word_next(bar, &at, &label); i++) {
    bool goes_on = gln_text_equal(label, GLN_TEXT("."));
    if (goes_on && beats == 2 && counts != 2 && i > 0)
      continue; /* one chord that fills the bar */
    gln_buffer_add_string(&reader->bars, i > 0 ? " " : "");
    if (goes_on)
      gln_buffer_add_byte(&reader->bars, '/');
    else
      read_label(reader, label);
    for (int more = 1; holds_half && more < counts / 2; more++)
      gln_buffer_add_string(&reader->bars, " /");
  }
}

static const char *bar_fault(const BarReader *reader, GlnText bar, size_t beats, const char **advice) {
  int counts = gln_meter_counts(reader->meter);
  if (only_dots(bar) && reader->bar_count == 0) {
    *advice = "write N for silence";
    return "no chord stands before this bar that could go on";
  }
  if (beats == 2 && bar.at[0] == '.' && !only_dots(bar) && counts != 2 && counts % 2 != 0) {
    *advice = "write one mark for each beat";
    return "these two halves do not fit the beats of the bar";
  }
  *advice = "is a bar line missing?";
  bool crowded =
      beats > GLN_CHART_METER_BEATS_MAX || meter_of(reader, beats).beats > GLN_CHART_METER_BEATS_MAX;
  return crowded ? "this bar has more beats than a bar can have" : NULL;
}

static void read_bar(BarReader *reader, GlnText bar) {
  size_t beats = bar_beats(bar);
  const char *advice = "", *fault = bar_fault(reader, bar, beats, &advice);
  if (fault != NULL) {
    complain(reader, bar, 0, bar.length, fault, advice);
    return;
  }
  GlnMeter meter = meter_of(reader, beats);
  int counts = gln_meter_counts(meter);
  bool new_line = reader->bar_count > 0 && reader->bar_count % BARS_A_LINE == 0;
  gln_buffer_add_string(&reader->bars, new_line ? "|\n| " : "| ");
  if (!gln_meter_equal(meter, reader->running))
    gln_buffer_format(&reader->bars, "%d/%d: ", meter.beats, meter.unit);
  reader->running = meter;
  reader->bar_count++;
  if (only_dots(bar)) /* the chord before fills this bar too */
    gln_buffer_add_repeated(&reader->bars, GLN_TEXT("/ "), (size_t)counts);
  else
    read_marks(reader, bar, beats, counts);
  gln_buffer_add_string(&reader->bars, only_dots(bar) ? "" : " ");
}

static void read_line(BarReader *reader, GlnText line) {
  GlnText rest = gln_text_trim(line);
  if (rest.length == 0)
    return;
  if (rest.at[0] == '#') {
    read_remark(reader, rest);
    return;
  }
  if (rest.at[0] == '|')
    rest = gln_text_from(rest, 1);
  while (gln_text_trim(rest).length > 0) {
    GlnText bar = gln_text_cut(&rest, '|');
    if (bar.length == 0)
      continue; /* || */
    if (reader->bar_count == GLN_CHART_BARS_MAX) {
      gln_diags_format(reader->diags, GLN_ERROR, (size_t)(bar.at - reader->bytes.at), bar.length,
                       "split the file", "more than %d bars", GLN_CHART_BARS_MAX);
      reader->status = GLN_LIMIT;
      return;
    }
    read_bar(reader, bar);
  }
}

static void add_header(GlnBuffer *out, const char *name, GlnText value) {
  if (value.length > 0)
    gln_buffer_format(out, "%s: %.*s\n", name, (int)value.length, value.at);
}

GlnStatus gln_bar_list_read(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import) {
  GlnText text = {NULL, 0};
  import->placed = bytes;
  GLN_TRY(gln_import_text(bytes, arena, diags, &text));
  BarReader reader = {.bytes = text,
                      .arena = arena,
                      .diags = diags,
                      .meter = {4, 4},
                      .running = {4, 4},
                      .first = {4, 4},
                      .bars = gln_buffer(arena)};
  GlnText line;
  for (size_t at = 0; reader.status != GLN_LIMIT && gln_line_next(text, &at, &line);)
    read_line(&reader, line);
  GLN_TRY(reader.status);
  if (reader.bar_count == 0) {
    gln_diags_add(diags,
                  (GlnDiag){.severity = GLN_ERROR,
                            .problem = GLN_TEXT("there is no bar in this file"),
                            .advice = GLN_TEXT("bars are labels between |: | C:maj | A:min7 . D:7 . |")});
    return GLN_INPUT;
  }
  GlnBuffer out = gln_buffer(arena);
  add_header(&out, "title", reader.title);
  add_header(&out, "by", reader.artist);
  if (reader.tonic.length > 0)
    gln_buffer_format(&out, "key: %.*s%s\n", (int)reader.tonic.length, reader.tonic.at,
                      !reader.has_key && reader.minor > 0 ? "m" : "");
  gln_buffer_format(&out, "meter: %d/%d\n", reader.first.beats, reader.first.unit);
  add_header(&out, "tempo", reader.tempo);
  gln_buffer_add_string(&out, "\n[song]\n");
  gln_buffer_add(&out, gln_buffer_text(&reader.bars));
  gln_buffer_add_string(&out, "|\n");
  import->chart = gln_buffer_text(&out);
  GLN_TRY(gln_buffer_status(&reader.bars));
  return gln_buffer_status(&out);
}

/* ---- writing ---- */

static int64_t common(int64_t a, int64_t b) {
  while (b != 0) {
    int64_t rest = a % b;
    a = b;
    b = rest;
  }
  return a;
}

/* The longest step, in counted beats, in which every chord of the bar from first up to end begins and ends: a whole beat
 * at most. */
static GlnRatio bar_step(const GlnSong *song, size_t first, size_t end, GlnRatio count) {
  GlnRatio step = gln_ratio(1, 1);
  for (size_t i = first; i < end; i++) {
    GlnRatio beats = gln_ratio_divide(song->slots[i].quarters, count);
    step = gln_ratio(common(step.num * beats.den, beats.num * step.den), step.den * beats.den);
  }
  return step;
}

/* The meter in which every label of the bar stands on a beat: 8/8 for a bar of 4/4 with chords on half beats. False when
 * there is none. */
static bool meter_in_steps(GlnMeter own, GlnRatio beats, GlnRatio step, GlnMeter *meter) {
  int64_t marks = gln_ratio_divide(beats, step).num;
  int64_t unit = own.unit * step.den;
  *meter = (GlnMeter){(int16_t)own.beats, own.unit};
  if (step.den == 1 && marks == gln_meter_counts(own))
    return true;
  if (step.den > 1 && gln_meter_counts(own) != own.beats)
    return false;
  if (marks > GLN_CHART_METER_BEATS_MAX || unit > GLN_METER_UNIT_MAX)
    return false;
  *meter = (GlnMeter){(int16_t)(gln_meter_counts(own) != own.beats ? 3 * marks : marks), (int16_t)unit};
  return gln_meter_counts(*meter) == marks;
}

typedef struct BarWriter {
  const GlnSong *song;
  GlnBuffer *out;
  GlnMeter running;
  size_t in_line; /* bars */
} BarWriter;

static void begin_bar(BarWriter *writer, GlnMeter meter) {
  GlnBuffer *out = writer->out;
  bool changes = !gln_meter_equal(meter, writer->running);
  bool breaks = writer->in_line == BARS_A_LINE || (changes && writer->in_line > 0);
  gln_buffer_add_string(out, breaks ? " |\n" : writer->in_line > 0 ? " " : "");
  if (breaks)
    writer->in_line = 0;
  if (changes)
    gln_buffer_format(out, "# metre: %d/%d\n", meter.beats, meter.unit);
  writer->running = meter;
  writer->in_line++;
  gln_buffer_add_byte(out, '|');
}

static bool write_bar(BarWriter *writer, size_t first, size_t end) {
  const GlnSlot *slots = writer->song->slots;
  GlnRatio count = gln_meter_count_quarters(slots[first].meter);
  GlnRatio step = bar_step(writer->song, first, end, count), beats = gln_ratio(0, 1);
  for (size_t i = first; i < end; i++)
    beats = gln_ratio_add(beats, gln_ratio_divide(slots[i].quarters, count));
  GlnMeter meter;
  if (!meter_in_steps(slots[first].meter, beats, step, &meter))
    return false;
  begin_bar(writer, meter);
  for (size_t i = first; i < end; i++) {
    char label[GLN_SYMBOL_TEXT_MAX];
    size_t length = gln_chord_print_harte(&slots[i].event->chord, label);
    int64_t steps = gln_ratio_divide(gln_ratio_divide(slots[i].quarters, count), step).num;
    gln_buffer_add_byte(writer->out, ' ');
    gln_buffer_add(writer->out, (GlnText){label, length});
    for (int64_t more = 1; more < steps && end - first > 1; more++)
      gln_buffer_add_string(writer->out, " .");
  }
  return true;
}

static void add_remarks(const GlnChart *chart, GlnBuffer *out) {
  if (chart->title.length > 0)
    gln_buffer_format(out, "# title: %.*s\n", (int)chart->title.length, chart->title.at);
  if (chart->by.length > 0)
    gln_buffer_format(out, "# artist: %.*s\n", (int)chart->by.length, chart->by.at);
  if (chart->has_key) {
    char key[GLN_KEY_TEXT_MAX];
    size_t length = gln_key_print(chart->key, GLN_SIGNS_ASCII, key);
    gln_buffer_format(out, "# key: %.*s\n", (int)length, key);
  }
  GlnText tempo = gln_chart_header(chart, GLN_TEXT("tempo"));
  if (tempo.length > 0)
    gln_buffer_format(out, "# tempo: %.*s\n", (int)tempo.length, tempo.at);
  gln_buffer_format(out, "# metre: %d/%d\n", chart->meter.beats, chart->meter.unit);
}

GlnStatus gln_bar_list_write(const GlnSong *song, GlnDiags *diags, GlnBuffer *out) {
  BarWriter writer = {.song = song, .out = out, .running = song->chart->meter};
  add_remarks(song->chart, out);
  for (size_t first = 0, end; first < song->slot_count; first = end) {
    for (end = first + 1; end < song->slot_count && song->slots[end].bar == song->slots[first].bar; end++)
      ;
    if (!write_bar(&writer, first, end)) {
      gln_diags_format(diags, GLN_ERROR, song->slots[first].event->offset, song->slots[first].event->length,
                       "write it with chords on whole beats",
                       "a list of bars cannot tell chords this close together");
      return GLN_INPUT;
    }
  }
  gln_buffer_add_string(out, writer.in_line > 0 ? " |\n" : "");
  return gln_buffer_status(out);
}
