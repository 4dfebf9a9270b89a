/* Reads an arrangement that gripline wrote as JSON: its chart, and the grips of its slots, which may have been changed since. */
#include "interchange.h"

#include <jansson.h>

typedef struct Reading {
  GlnText bytes;
  GlnArena *arena;
  GlnDiags *diags;
  const json_t *slots;
  GlnText *frets; /* of each slot; empty where it says nothing */
  size_t count;
} Reading;

#define ADVICE "give a file that gripline arrange --json or gripline convert wrote"

static GlnStatus refuse(const Reading *reading, GlnStatus status, const char *problem) {
  gln_diags_add(reading->diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = GLN_TEXT(ADVICE)});
  return status;
}

static bool is_schema(GlnText text) {
  return gln_text_starts(text, GLN_TEXT("gripline/"));
}

bool gln_arrangement_json_knows(GlnText bytes) {
  GlnText rest = gln_text_trim(gln_text_slice(bytes, 0, 200));
  size_t schema = gln_text_find(rest, GLN_TEXT("\"schema\""), 0);
  size_t value = gln_text_find(rest, GLN_TEXT("\"gripline/"), schema);
  return rest.length > 0 && rest.at[0] == '{' && value < rest.length;
}

/* A copy in the arena; false when the value is no text. */
static bool copy_text(const json_t *value, GlnArena *arena, GlnText *text) {
  *text = (GlnText){NULL, 0};
  if (!json_is_string(value))
    return false;
  GlnText own = {json_string_value(value), json_string_length(value)};
  *text = (GlnText){gln_text_copy(arena, own), own.length};
  return text->at != NULL;
}

/* ---- grips of the slots ------------------------------------------------------------------------------------------------ */

static GlnStatus read_slots(Reading *reading) {
  reading->count = json_array_size(reading->slots);
  if (reading->count > GLN_PLAYED_SLOTS_MAX)
    return refuse(reading, GLN_LIMIT, "more than 200,000 slots");
  reading->frets = GLN_NEW(reading->arena, GlnText, reading->count);
  if (reading->frets == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < reading->count; i++) {
    const json_t *slot = json_array_get(reading->slots, i), *frets = json_object_get(slot, "frets");
    GlnFrets grip;
    if (json_is_null(frets))
      continue;
    char printed[GLN_FRETS_TEXT_MAX];
    if (!copy_text(frets, reading->arena, &reading->frets[i]) ||
        gln_frets_parse(reading->frets[i], &grip, NULL) != GLN_OK) {
      gln_diags_format(reading->diags, GLN_ERROR, 0, 1,
                       "write a sign for each string, the lowest first: x32010",
                       "slot %zu has no frets that can be read", i);
      return GLN_INPUT;
    }
    GlnText plain = {printed, gln_frets_print(&grip, printed)};
    reading->frets[i] = (GlnText){gln_text_copy(reading->arena, plain), plain.length};
    if (reading->frets[i].at == NULL)
      return GLN_MEMORY;
  }
  return GLN_OK;
}

/* Pins what the slots hold and the chart does not. Of a chord that comes round, the last that differs counts. */
static GlnStatus pin_slots(const Reading *reading, const GlnSong *song, GlnChart *chart, bool *changed) {
  for (size_t i = 0; i < song->slot_count; i++) {
    const GlnSlot *slot = &song->slots[i];
    GlnBar *bar = &chart->sections[slot->section].bars[slot->written_bar];
    GlnEvent *event = &bar->events[slot->event - bar->events];
    if (reading->frets[i].length == 0 || event->chord.silent || gln_text_equal(event->pin, reading->frets[i]))
      continue;
    event->pin = reading->frets[i];
    *changed = true;
  }
  for (size_t i = 0; *changed && i < song->slot_count; i++)
    if (reading->frets[i].length > 0 && !song->slots[i].event->chord.silent &&
        !gln_text_equal(song->slots[i].event->pin, reading->frets[i])) {
      gln_diags_format(reading->diags, GLN_WARNING, 0, 1,
                       "write the bars of the chart out to hold it in two ways",
                       "slot %zu is held as %.*s, but comes back later as %.*s; the later is taken", i,
                       (int)reading->frets[i].length, reading->frets[i].at,
                       (int)song->slots[i].event->pin.length, song->slots[i].event->pin.at);
    }
  return GLN_OK;
}

static GlnStatus apply_slots(Reading *reading, GlnText text, GlnImport *import) {
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GlnDiags inside = gln_diags(reading->arena);
  bool changed = false;
  GlnStatus status = gln_chart_read(text, reading->arena, &inside, &chart);
  if (status == GLN_OK)
    status = gln_song_play(chart, reading->arena, &inside, &song);
  if (status == GLN_MEMORY)
    return status;
  if (status != GLN_OK)
    return refuse(reading, status, "the chart in this document cannot be read");
  GLN_TRY(read_slots(reading));
  if (reading->count != song->slot_count)
    return refuse(reading, GLN_INPUT, "the document has another number of slots than its chart has chords");
  GLN_TRY(pin_slots(reading, song, chart, &changed));
  if (!changed)
    return GLN_OK;
  GlnBuffer out = gln_buffer(reading->arena);
  GLN_TRY(gln_chart_write(chart, &out));
  import->chart = gln_buffer_text(&out);
  return gln_buffer_status(&out);
}

/* ---- the document ------------------------------------------------------------------------------------------------------ */

static GlnStatus read_document(Reading *reading, const json_t *root, GlnImport *import) {
  GlnText schema = {NULL, 0}, text = {NULL, 0};
  if (!copy_text(json_object_get(root, "schema"), reading->arena, &schema) || !is_schema(schema))
    return refuse(reading, GLN_INPUT, "this JSON is none of gripline's");
  if (!copy_text(json_object_get(root, "chart"), reading->arena, &text))
    return refuse(reading, GLN_INPUT, "there is no chart in this document");
  if (text.length > GLN_CHART_BYTES_MAX)
    return refuse(reading, GLN_LIMIT, "its chart is longer than 4 MiB");
  import->chart = text;
  reading->slots = json_object_get(root, "slots");
  if (gln_text_equal(schema, GLN_TEXT("gripline/arrange/1")) && json_is_array(reading->slots))
    return apply_slots(reading, text, import);
  return GLN_OK;
}

GlnStatus gln_arrangement_json_read(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import) {
  Reading reading = {.bytes = bytes, .arena = arena, .diags = diags};
  *import = (GlnImport){.placed = bytes};
  if (bytes.length > GLN_JSON_BYTES_MAX)
    return refuse(&reading, GLN_LIMIT, "the document is longer than 64 MiB");
  json_error_t error;
  json_t *root = json_loadb(bytes.at != NULL ? bytes.at : "", bytes.length, JSON_REJECT_DUPLICATES, &error);
  if (root == NULL) {
    if (json_error_code(&error) == json_error_out_of_memory)
      return GLN_MEMORY;
    bool placed = error.position > 0 && (size_t)error.position <= bytes.length;
    gln_diags_format(diags, GLN_ERROR, placed ? (size_t)error.position - 1 : 0, 1, ADVICE,
                     "this is no JSON document: %s", error.text);
    return GLN_INPUT;
  }
  GlnStatus status = read_document(&reading, root, import);
  json_decref(root);
  return status;
}
