/* gripline name: what a grip, or a line of grips, may be called. */
#include "naming_internal.h"

#include <string.h>

/* How many names are printed without --all. Design choice: what a player would weigh against each other. */
#define SHOWN_NAMES    ((size_t)6)
#define LINE_BYTES_MAX ((size_t)64 * 1024)

typedef struct Call {
  GlnInstrument instrument;
  GlnNamer *namer;
  bool has_key, has_after, has_before;
  GlnKey key;
  GlnChord after, before;
  GlnHeard *heard;
  size_t count;
} Call;

/* ---- what is asked for ------------------------------------------------------------------------------------------ */

static GlnStatus complain_of_text(const GlnJob *job, GlnStatus status, GlnText name, GlnText text,
                                  const GlnSymbolFault *fault, const char *advice) {
  GlnDiags diags = gln_diags(job->arena);
  gln_diags_format(&diags, GLN_ERROR, fault->offset, fault->length, advice, "%s", fault->problem);
  gln_job_show_diags(job, &diags, name, text);
  return status;
}

static GlnStatus hear_frets(const GlnJob *job, const Call *call, GlnText text, const GlnFrets *frets,
                            GlnHeard *heard) {
  if (frets->string_count != call->instrument.string_count)
    return gln_job_complain(job, GLN_INPUT,
                            "write one sign for each string, or name a --tuning that has as many",
                            "%.*s has %d strings, not %d", (int)text.length, text.at, frets->string_count,
                            call->instrument.string_count);
  int string = 0;
  const char *problem = gln_frets_fault(&call->instrument, frets, &string);
  if (problem != NULL)
    return gln_job_complain(job, GLN_INPUT,
                            "frets are counted from the nut, also under a capo on some strings",
                            "%.*s, string %d: %s", (int)text.length, text.at,
                            gln_string_number(&call->instrument, string), problem);
  heard->has_frets = true;
  heard->frets = *frets;
  heard->count = (size_t)gln_frets_pitches(&call->instrument, frets, heard->midi);
  return gln_heard_find(call->namer, &call->instrument, job->arena, heard);
}

static GlnStatus read_line(const GlnJob *job, Call *call, GlnText name, GlnText text) {
  GlnFretsLine line;
  GlnSymbolFault fault = {0};
  GlnStatus status = gln_frets_line_parse(text, job->arena, &line, &fault);
  if (status == GLN_MEMORY)
    return status;
  if (status != GLN_OK)
    return complain_of_text(
        job, status, name, text, &fault,
        "write each grip in one word, the lowest string first, as x32010 or x-8-10-9-10-x");
  call->heard = GLN_NEW(job->arena, GlnHeard, line.count);
  if (call->heard == NULL)
    return GLN_MEMORY;
  call->count = line.count;
  for (size_t i = 0; i < line.count; i++) {
    const GlnFretsPlace *place = &line.places[i];
    call->heard[i].bar = place->bar;
    GLN_TRY(hear_frets(job, call, gln_text_slice(text, place->offset, place->length), &place->frets,
                       &call->heard[i]));
  }
  return GLN_OK;
}

static GlnStatus read_operand(const GlnJob *job, Call *call) {
  GlnText text = gln_text(job->arguments.operand);
  GlnFrets frets;
  if (gln_frets_parse(text, &frets, NULL) != GLN_OK) /* "x 3 2 0 1 0" is one grip, "x32010 x02210" is none */
    return read_line(job, call, GLN_TEXT("FRETS"), text);
  call->heard = GLN_NEW(job->arena, GlnHeard, 1);
  call->count = 1;
  return call->heard == NULL ? GLN_MEMORY : hear_frets(job, call, text, &frets, call->heard);
}

static GlnStatus read_line_file(const GlnJob *job, Call *call) {
  GlnText path = job->arguments.value[GLN_OPT_LINE].text, source;
  bool is_stream = gln_text_equal(path, GLN_TEXT("-"));
  GlnFileFault fault = {{0}, {0}};
  GlnStatus status = is_stream ? gln_stream_read(job->app->in, LINE_BYTES_MAX, job->arena, &source, &fault)
                               : gln_file_read(path.at, LINE_BYTES_MAX, job->arena, &source, &fault);
  GlnText name = is_stream ? GLN_TEXT("standard input") : path;
  return status == GLN_OK ? read_line(job, call, name, source)
                          : gln_job_complain_of_file(job, status, name, &fault);
}

/* Notes without octaves lie upward from the first. */
static GlnStatus read_notes(const GlnJob *job, Call *call) {
  GlnText text = job->arguments.value[GLN_OPT_NOTES].text;
  GlnHeard *heard = call->heard = GLN_NEW(job->arena, GlnHeard, 1);
  call->count = 1;
  if (heard == NULL)
    return GLN_MEMORY;
  int lowest = 48; /* C3: where grips have their basses */
  for (size_t at = 0, used = 0; at < text.length; at += used) {
    GlnNote note;
    used = 1;
    if (gln_is_blank(text.at[at]) || text.at[at] == ',')
      continue;
    if (gln_note_parse(gln_text_from(text, at), &note, &used) != GLN_OK)
      return complain_of_text(job, GLN_USAGE, GLN_TEXT("--notes"), text,
                              &(GlnSymbolFault){.offset = at, .length = 1, .problem = "this is no note"},
                              "write notes as C, F# or Bb with blanks between");
    if (heard->count == GLN_HEARD_NOTES_MAX)
      return gln_job_complain(job, GLN_USAGE, "give each note once", "--notes: more than %d notes",
                              GLN_HEARD_NOTES_MAX);
    int pitch = lowest + (gln_note_pitch_class(note) - lowest % 12 + 12) % 12;
    heard->midi[heard->count++] = (int8_t)pitch;
    lowest = pitch;
  }
  return heard->count > 0
             ? gln_heard_find(call->namer, NULL, job->arena, heard)
             : gln_job_complain(job, GLN_USAGE, "write notes as C, F# or Bb", "--notes is empty");
}

/* A neighbour: a chord's symbol, or a grip, which then counts as its plainest name. */
static GlnStatus read_neighbour(const GlnJob *job, const Call *call, GlnOptionId id, bool *has,
                                GlnChord *chord) {
  const GlnValue *value = &job->arguments.value[id];
  const char *name = gln_option_at(id)->name;
  GlnSymbolFault fault = {0};
  GlnFrets frets;
  *has = value->given;
  if (!value->given)
    return GLN_OK;
  if (gln_frets_parse(value->text, &frets, NULL) == GLN_OK) {
    GlnHeard heard = {.count = 0};
    GLN_TRY(hear_frets(job, call, value->text, &frets, &heard));
    if (heard.name_count == 0)
      return gln_job_complain(job, GLN_USAGE, "write the chord's symbol", "--%s %.*s has no common name",
                              name, (int)value->text.length, value->text.at);
    return gln_name_chord(call->namer, &heard.names[0], call->has_key ? &call->key : NULL, chord);
  }
  if (gln_chord_parse(value->text, chord, &fault) != GLN_OK) {
    GlnBuffer advice = gln_buffer(job->arena);
    if (fault.nearest[0] != '\0')
      gln_buffer_format(&advice, "did you mean %s?", fault.nearest);
    const char *words = gln_text_copy(job->arena, gln_buffer_text(&advice));
    return complain_of_text(job, GLN_USAGE, gln_text(name), value->text, &fault, words != NULL ? words : "");
  }
  return chord->silent
             ? gln_job_complain(job, GLN_USAGE, "give a chord, or leave it out", "--%s is silence", name)
             : GLN_OK;
}

static GlnStatus read_surroundings(const GlnJob *job, Call *call) {
  const GlnValue *key = &job->arguments.value[GLN_OPT_KEY];
  call->has_key = key->given;
  if (key->given && gln_key_parse(key->text, &call->key) != GLN_OK)
    return gln_job_complain(job, GLN_USAGE, "write it as F, Bb, C#m or \"E minor\"",
                            "--key \"%.*s\" is no key", (int)key->text.length, key->text.at);
  GLN_TRY(read_neighbour(job, call, GLN_OPT_AFTER, &call->has_after, &call->after));
  GLN_TRY(read_neighbour(job, call, GLN_OPT_BEFORE, &call->has_before, &call->before));
  if (call->count > 1 && (call->has_after || call->has_before))
    return gln_job_complain(job, GLN_USAGE, "put them into the line as grips",
                            "--after and --before go with one grip, and here are %zu", call->count);
  return GLN_OK;
}

static GlnStatus read_call(const GlnJob *job, Call *call) {
  const GlnArguments *arguments = &job->arguments;
  bool notes = arguments->value[GLN_OPT_NOTES].given, line = arguments->value[GLN_OPT_LINE].given;
  if (notes + line + (arguments->operand != NULL) > 1)
    return gln_job_complain(job, GLN_USAGE, "give one of the three",
                            "FRETS, --notes and --line exclude each other");
  GLN_TRY(gln_job_instrument(job, &call->instrument));
  call->instrument.fret_count = (int8_t)(GLN_FRETS_MAX + gln_frets_from(&call->instrument)); /* on any neck */
  GLN_TRY(gln_namer_new(job->arena, &call->namer));
  if (notes)
    GLN_TRY(read_notes(job, call));
  else
    GLN_TRY(line ? read_line_file(job, call) : read_operand(job, call));
  return read_surroundings(job, call);
}

/* ---- what has no name -------------------------------------------------------------------------------------------- */

/* Each note once, the lowest first. */
static size_t different_notes(const GlnHeard *heard, const GlnKey *key, GlnNote notes[12]) {
  uint16_t told = 0;
  size_t count = 0;
  for (size_t i = 0; i < heard->count; i++) {
    int pitch_class = heard->midi[i] % 12;
    if ((told >> pitch_class & 1) == 0)
      notes[count++] = gln_key_spell(key != NULL ? *key : (GlnKey){{0, 0}, false}, pitch_class);
    told |= (uint16_t)(1u << pitch_class);
  }
  return count;
}

/* "no common name; the notes are C, D♭ and D: a cluster of neighbouring notes" */
static void add_no_name_words(const Call *call, const GlnHeard *heard, GlnBuffer *words) {
  GlnNote notes[12];
  size_t count = different_notes(heard, call->has_key ? &call->key : NULL, notes);
  gln_buffer_add_string(words,
                        count == 1 ? "one note is no chord; it is " : "no common name; the notes are ");
  for (size_t i = 0; i < count; i++) {
    char text[GLN_NOTE_TEXT_MAX];
    (void)gln_note_print(notes[i], GLN_SIGNS_UNICODE, text);
    gln_buffer_format(words, "%s%s", i == 0 ? "" : i + 1 == count ? " and " : ", ", text);
  }
  const char *kind = count > 1 ? gln_pitches_words(heard->midi, heard->count) : NULL;
  if (kind != NULL)
    gln_buffer_format(words, ": %s", kind);
}

static GlnStatus complain_of_no_name(const GlnJob *job, const Call *call, const GlnHeard *heard) {
  GlnBuffer words = gln_buffer(job->arena);
  if (heard->has_frets) {
    char frets[GLN_FRETS_TEXT_MAX];
    (void)gln_frets_print(&heard->frets, frets);
    gln_buffer_format(&words, "%s: ", frets);
  }
  add_no_name_words(call, heard, &words);
  const char *text = gln_text_copy(job->arena, gln_buffer_text(&words));
  return gln_job_complain(job, GLN_NO, "", "%s", text != NULL ? text : "no common name");
}

/* ---- a name's parts ------------------------------------------------------------------------------------------------ */

typedef struct Shown {
  const Call *call;
  const GlnHeard *heard;
  const GlnNaming *naming;
} Shown;

static const char *kind_key(GlnNameKind kind) {
  static const char *const keys[] = {"root-position", "inversion", "slash", "rootless"};
  return keys[kind];
}

static int tone_of(const Shown *shown, size_t voice) {
  return gln_chord_tone_of(&shown->naming->chord, shown->heard->midi[voice] % 12);
}

static void add_degree_words(const Shown *shown, GlnSigns signs, GlnBuffer *out) {
  for (size_t v = 0; v < shown->heard->count; v++) {
    char text[GLN_DEGREE_TEXT_MAX];
    (void)gln_degree_print(shown->naming->chord.tones[tone_of(shown, v)].degree, signs, text);
    gln_buffer_format(out, "%s%s", v > 0 ? " " : "", text);
  }
}

static void add_note_words(const Shown *shown, GlnSigns signs, GlnBuffer *out) {
  for (size_t v = 0; v < shown->heard->count; v++) {
    char text[GLN_NOTE_TEXT_MAX];
    (void)gln_note_print(shown->naming->chord.tones[tone_of(shown, v)].note, signs, text);
    gln_buffer_format(out, "%s%s", v > 0 ? " " : "", text);
  }
}

static void add_key_words(GlnKey key, GlnBuffer *out) {
  char note[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(key.tonic, GLN_SIGNS_UNICODE, note);
  gln_buffer_format(out, "%s %s", note, key.minor ? "minor" : "major");
}

static void add_place_words(const GlnReading *reading, GlnBuffer *out) {
  gln_buffer_add_string(out, " In ");
  add_key_words(reading->key, out);
  gln_buffer_format(out, " it is %s. %s", reading->roman, reading->reason);
}

static void add_reason(const Shown *shown, GlnBuffer *out) {
  const GlnHeard *heard = shown->heard;
  gln_name_reason(shown->call->namer, heard->names, heard->name_count, shown->naming->name,
                  &shown->naming->chord, heard->notes,
                  shown->naming->placed ? &shown->naming->reading.key : NULL, out);
  if (shown->naming->placed)
    add_place_words(&shown->naming->reading, out);
}

/* ---- for programs ------------------------------------------------------------------------------------------------ */

static void add_note_json(GlnJson *json, const char *key, GlnNote note) {
  char text[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(note, GLN_SIGNS_ASCII, text);
  gln_json_add_text(json, key, gln_text(text));
}

static void add_tones_json(GlnJson *json, const Shown *shown) {
  const GlnChord *chord = &shown->naming->chord;
  gln_json_open_array(json, "notes");
  for (size_t v = 0; v < shown->heard->count; v++) {
    char text[GLN_NOTE_TEXT_MAX];
    (void)gln_pitch_print(gln_pitch_at(chord->tones[tone_of(shown, v)].note, shown->heard->midi[v]),
                          GLN_SIGNS_ASCII, text);
    gln_json_add_text(json, NULL, gln_text(text));
  }
  gln_json_close(json);
  gln_json_open_array(json, "degrees");
  for (size_t v = 0; v < shown->heard->count; v++) {
    char text[GLN_DEGREE_TEXT_MAX];
    (void)gln_degree_print(chord->tones[tone_of(shown, v)].degree, GLN_SIGNS_ASCII, text);
    gln_json_add_text(json, NULL, gln_text(text));
  }
  gln_json_close(json);
  gln_json_open_array(json, "omitted");
  for (int t = 0; t < chord->own_count; t++) {
    char text[GLN_DEGREE_TEXT_MAX];
    if ((shown->heard->notes.pitch_classes >> chord->tones[t].pitch_class & 1) != 0)
      continue;
    (void)gln_degree_print(chord->tones[t].degree, GLN_SIGNS_ASCII, text);
    gln_json_add_text(json, NULL, gln_text(text));
  }
  gln_json_close(json);
}

static void add_reading_json(GlnJson *json, const GlnNaming *naming) {
  char key[GLN_KEY_TEXT_MAX];
  if (!naming->placed)
    return;
  (void)gln_key_print(naming->reading.key, GLN_SIGNS_ASCII, key);
  gln_json_add_text(json, "key", gln_text(key));
  gln_json_add_text(json, "roman", gln_text(naming->reading.roman));
  gln_json_add_text(json, "function", gln_text(gln_function_words(naming->reading.function)));
  gln_json_add_text(json, "role", gln_text(gln_place_key(naming->reading.role)));
}

static void add_name_json(GlnJson *json, const GlnJob *job, const Shown *shown) {
  const GlnChord *chord = &shown->naming->chord;
  const GlnName *name = &shown->heard->names[shown->naming->name];
  char symbol[GLN_SYMBOL_TEXT_MAX];
  gln_json_open_object(json, NULL);
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
  gln_json_add_text(json, "symbol", gln_text(symbol));
  add_note_json(json, "root", chord->root);
  int bass = gln_chord_tone_of(chord, name->bass);
  add_note_json(json, "bass", chord->tones[bass].note);
  gln_json_add_text(json, "kind", gln_text(kind_key(name->kind)));
  add_tones_json(json, shown);
  gln_json_open_array(json, "texture");
  uint16_t textures =
      shown->heard->has_frets ? gln_frets_textures(&shown->call->instrument, chord, &shown->heard->frets) : 0;
  for (int t = 0; t < GLN_TEXTURE_COUNT; t++)
    if ((textures >> t & 1) != 0)
      gln_json_add_text(json, NULL, gln_text(gln_texture_key((GlnTexture)t)));
  gln_json_close(json);
  GlnBuffer reason = gln_buffer(job->arena);
  add_reason(shown, &reason);
  gln_json_add_text(json, "reason", gln_buffer_text(&reason));
  gln_json_add_number(json, "cost", shown->naming->cost, 3);
  add_reading_json(json, shown->naming);
  gln_json_close(json);
}

static void add_heard_json(GlnJson *json, const Call *call, const GlnHeard *heard) {
  const char *words = gln_pitches_words(heard->midi, heard->count);
  if (heard->has_frets) {
    char text[GLN_SHAPE_TEXT_MAX];
    (void)gln_frets_print(&heard->frets, text);
    gln_json_add_text(json, "frets", gln_text(text));
    (void)gln_shape_print(&call->instrument, &heard->frets, text);
    gln_json_add_text(json, "shape", gln_text(text));
    gln_json_add_boolean(json, "movable", gln_shape_movable(&heard->frets));
  } else {
    gln_json_add_null(json, "frets");
    gln_json_add_null(json, "shape");
  }
  if (words != NULL)
    gln_json_add_text(json, "words", gln_text(words));
}

static void add_names_json(GlnJson *json, const GlnJob *job, const Call *call, const GlnHeard *heard,
                           const GlnNaming *namings, size_t count) {
  gln_json_open_array(json, "names");
  for (size_t i = 0; i < count; i++)
    add_name_json(json, job, &(Shown){call, heard, &namings[i]});
  gln_json_close(json);
}

static GlnStatus finish_json(GlnJob *job, GlnJson *json) {
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

/* ---- one grip --------------------------------------------------------------------------------------------------- */

static void print_heading(GlnJob *job, const Call *call, const GlnHeard *heard, const GlnNaming *first) {
  GlnBuffer *out = &job->out;
  if (heard->has_frets) {
    char text[GLN_SHAPE_TEXT_MAX];
    size_t length = gln_frets_print(&heard->frets, text);
    gln_add_styled(job, out, GLN_STYLE_BOLD, (GlnText){text, length});
    gln_buffer_add_string(out, "   ");
  }
  add_note_words(&(Shown){call, heard, first}, GLN_SIGNS_UNICODE, out);
  if (heard->has_frets) {
    char text[GLN_SHAPE_TEXT_MAX];
    (void)gln_shape_print(&call->instrument, &heard->frets, text);
    gln_buffer_format(out, "   shape %s", text);
  }
  gln_buffer_add_byte(out, '\n');
}

static void print_names(GlnJob *job, const Call *call, const GlnHeard *heard, const GlnNaming *namings) {
  static const char *const heads[] = {"", "name", "degrees", "why"};
  bool all = job->arguments.value[GLN_OPT_ALL].given;
  size_t shown = all || heard->name_count < SHOWN_NAMES ? heard->name_count : SHOWN_NAMES;
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  print_heading(job, call, heard, &namings[0]);
  gln_buffer_add_byte(&job->out, '\n');
  for (size_t i = 0; i < shown; i++) {
    const Shown one = {call, heard, &namings[i]};
    GlnBuffer cell[GLN_COUNT_OF(heads)];
    char symbol[GLN_SYMBOL_TEXT_MAX];
    for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
      cell[c] = gln_buffer(job->arena);
    gln_buffer_format(&cell[0], "%2zu", i + 1);
    (void)gln_chord_print(&namings[i].chord, GLN_SIGNS_UNICODE, symbol);
    gln_buffer_add_string(&cell[1], symbol);
    if (heard->names[namings[i].name].kind == GLN_NAME_ROOTLESS)
      gln_buffer_add_string(&cell[1], " no root");
    add_degree_words(&one, GLN_SIGNS_UNICODE, &cell[2]);
    add_reason(&one, &cell[3]);
    for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
      gln_table_cell(&table, &cell[c]);
  }
  gln_table_print(job, &table, &job->out);
  const char *words = gln_pitches_words(heard->midi, heard->count);
  if (words != NULL)
    gln_buffer_format(&job->out, "\nAs it lies it is %s.\n", words);
  if (shown < heard->name_count)
    gln_buffer_format(&job->out, "\n%zu more with --all.\n", heard->name_count - shown);
}

static GlnStatus name_one(GlnJob *job, const Call *call) {
  const GlnHeard *heard = &call->heard[0];
  const GlnSurroundings around = {call->has_key ? &call->key : NULL, call->has_after ? &call->after : NULL,
                                  call->has_before ? &call->before : NULL};
  GlnNaming *namings = NULL;
  GLN_TRY(gln_naming_rank(call->namer, heard, &around, job->arena, &namings));
  if (job->arguments.value[GLN_OPT_JSON].given) {
    GlnJson *json = gln_json_new(job->arena, "name");
    if (json == NULL)
      return GLN_MEMORY;
    add_heard_json(json, call, heard);
    add_names_json(json, job, call, heard, namings, heard->name_count);
    GLN_TRY(finish_json(job, json));
  } else if (heard->name_count > 0) {
    print_names(job, call, heard, namings);
  }
  return heard->name_count > 0 ? GLN_OK : complain_of_no_name(job, call, heard);
}

/* ---- a line ----------------------------------------------------------------------------------------------------- */

/* The names left over at one place, the plainest first. */
static void add_other_names(const Call *call, const GlnHeard *heard, const GlnNaming *chosen,
                            GlnBuffer *out) {
  const char *between = "";
  size_t told = 0;
  for (size_t i = 0; i < heard->name_count && told < 2; i++) {
    char symbol[GLN_SYMBOL_TEXT_MAX];
    if (i == chosen->name)
      continue;
    (void)gln_name_print(call->namer, &heard->names[i], chosen->placed ? &chosen->reading.key : NULL,
                         GLN_SIGNS_UNICODE, symbol);
    gln_buffer_format(out, "%s%s", between, symbol);
    between = ", ";
    told++;
  }
}

static bool same_key(const GlnNaming *a, const GlnNaming *b) {
  return a->placed == b->placed && gln_note_equal(a->reading.key.tonic, b->reading.key.tonic) &&
         a->reading.key.minor == b->reading.key.minor;
}

static void add_line_row(const GlnJob *job, const Call *call, size_t i, const GlnNaming *naming,
                         GlnTable *table) {
  GlnBuffer cell[6];
  char text[GLN_SYMBOL_TEXT_MAX];
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    cell[c] = gln_buffer(job->arena);
  if (i == 0 || call->heard[i].bar != call->heard[i - 1].bar)
    gln_buffer_format(&cell[0], "%3zu", call->heard[i].bar + 1);
  (void)gln_frets_print(&call->heard[i].frets, text);
  gln_buffer_add_string(&cell[1], text);
  if (call->heard[i].name_count == 0) {
    gln_buffer_add_string(&cell[2], "–");
    add_no_name_words(call, &call->heard[i], &cell[5]);
  } else {
    (void)gln_chord_print(&naming->chord, GLN_SIGNS_UNICODE, text);
    gln_buffer_add_string(&cell[2], text);
    add_other_names(call, &call->heard[i], naming, &cell[5]);
  }
  if (naming->placed) {
    gln_buffer_add_string(&cell[3], naming->reading.roman);
    gln_buffer_add_string(&cell[4], naming->reading.role == GLN_PLACE_DIATONIC
                                        ? gln_function_words(naming->reading.function)
                                        : gln_place_words(naming->reading.role));
  }
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    gln_table_cell(table, &cell[c]);
}

static void print_line(GlnJob *job, const Call *call, const GlnNaming *namings) {
  static const char *const heads[] = {"bar", "frets", "chord", "numeral", "function", "or"};
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  const GlnNaming *last = NULL; /* of those that have a name */
  for (size_t i = 0; i < call->count; i++) {
    bool named = call->heard[i].name_count > 0;
    if (named && (last == NULL || !same_key(&namings[i], last))) {
      GlnBuffer title = gln_buffer(job->arena);
      if (namings[i].placed)
        add_key_words(namings[i].reading.key, &title);
      else
        gln_buffer_add_string(&title, "no clear key");
      gln_table_line(&table, GLN_STYLE_BOLD, &title);
    }
    last = named ? &namings[i] : last;
    add_line_row(job, call, i, &namings[i], &table);
  }
  gln_table_print(job, &table, &job->out);
}

static GlnStatus print_line_json(GlnJob *job, const Call *call, const GlnNaming *namings) {
  GlnJson *json = gln_json_new(job->arena, "name");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_open_array(json, "grips");
  for (size_t i = 0; i < call->count; i++) {
    gln_json_open_object(json, NULL);
    gln_json_add_integer(json, "bar", (long long)call->heard[i].bar + 1);
    add_heard_json(json, call, &call->heard[i]);
    add_names_json(json, job, call, &call->heard[i], &namings[i], call->heard[i].name_count > 0);
    gln_json_close(json);
  }
  gln_json_close(json);
  return finish_json(job, json);
}

/* Names those that have names as one progression; the others keep their places with none. */
static GlnStatus name_together(const GlnJob *job, const Call *call, size_t *named, GlnNaming **namings) {
  GlnHeard *heard = GLN_NEW(job->arena, GlnHeard, call->count);
  size_t *places = GLN_NEW(job->arena, size_t, call->count);
  *namings = GLN_NEW(job->arena, GlnNaming, call->count);
  if (heard == NULL || places == NULL || *namings == NULL)
    return GLN_MEMORY;
  *named = 0;
  for (size_t i = 0; i < call->count; i++) {
    (*namings)[i] = (GlnNaming){.placed = false};
    if (call->heard[i].name_count == 0)
      continue;
    places[*named] = i;
    heard[(*named)++] = call->heard[i];
  }
  GlnNaming *made = NULL;
  if (*named == 0)
    return GLN_OK;
  GLN_TRY(
      gln_naming_of_line(call->namer, heard, *named, call->has_key ? &call->key : NULL, job->arena, &made));
  for (size_t i = 0; i < *named; i++)
    (*namings)[places[i]] = made[i];
  return GLN_OK;
}

static GlnStatus name_line(GlnJob *job, const Call *call) {
  GlnNaming *namings = NULL;
  size_t named = 0;
  GLN_TRY(name_together(job, call, &named, &namings));
  if (job->arguments.value[GLN_OPT_JSON].given)
    GLN_TRY(print_line_json(job, call, namings));
  else if (named > 0)
    print_line(job, call, namings);
  GlnStatus status = GLN_OK;
  for (size_t i = 0; i < call->count; i++)
    if (call->heard[i].name_count == 0)
      status = complain_of_no_name(job, call, &call->heard[i]);
  return status;
}

GlnStatus gln_run_name(GlnJob *job) {
  Call call = {.count = 0};
  GLN_TRY(read_call(job, &call));
  return call.count == 1 ? name_one(job, &call) : name_line(job, &call);
}
