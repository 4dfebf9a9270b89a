/* An arrangement as the text of a chart: every grip pinned, so that it comes back as it is. Chords that are
 * simplified are written as they are played. */
#include "app_internal.h"

/* What the options say in place of the chart. Wishes of sections give way to those of the call. */
static void take_options(const GlnJob *job, const GlnArrangement *arrangement, GlnChart *chart) {
  const GlnValue *value = job->arguments.value;
  const GlnInstrument *instrument = &arrangement->options.instrument;
  if (value[GLN_OPT_TEMPO].given) {
    chart->tempo = arrangement->options.tempo;
    chart->has_tempo = true;
  }
  if (value[GLN_OPT_TUNING].given) {
    chart->tuning = value[GLN_OPT_TUNING].text;
    chart->strings = 0;
  }
  if (value[GLN_OPT_CAPO].given) {
    GlnText text = value[GLN_OPT_CAPO].text;
    size_t colon = gln_text_find(text, GLN_TEXT(":"), 0);
    chart->capo = instrument->capo;
    chart->capo_strings = gln_text_from(text, colon + 1);
  }
  if (value[GLN_OPT_TEXTURE].given)
    chart->texture = value[GLN_OPT_TEXTURE].text;
  if (value[GLN_OPT_FRETS].given)
    chart->frets = value[GLN_OPT_FRETS].text;
  bool wins = value[GLN_OPT_TEXTURE].given || value[GLN_OPT_FRETS].given;
  for (size_t s = 0; wins && s < chart->section_count; s++)
    chart->sections[s].wish_count = 0;
}

static GlnEvent *event_of(const GlnChart *chart, const GlnChart *own, const GlnSlot *slot) {
  const GlnBar *bar = &own->sections[slot->section].bars[slot->written_bar];
  return &chart->sections[slot->section].bars[slot->written_bar].events[slot->event - bar->events];
}

/* Pins the grip; a chord that is played as another one is written as that. */
static GlnStatus pin_event(GlnEvent *event, const GlnLineSlot *at, GlnText pin, GlnArena *arena) {
  event->pin = pin;
  if (!at->simplified)
    return GLN_OK;
  char symbol[GLN_SYMBOL_TEXT_MAX];
  const char *copy =
      gln_text_copy(arena, (GlnText){symbol, gln_chord_print(at->chord, GLN_SIGNS_ASCII, symbol)});
  if (copy == NULL)
    return GLN_MEMORY;
  event->chord = *at->chord;
  event->symbol = gln_text(copy);
  event->has_top = event->has_top && gln_top_effect(at->chord, event->top.note) == GLN_TOP_IN_CHORD;
  return GLN_OK;
}

/* Slots of one written chord may be held differently (vary): then the chart cannot pin them, and false comes back. */
static GlnStatus pin_written(const GlnArrangement *arrangement, const GlnText *pins, GlnArena *arena,
                             GlnChart *chart, bool *pinned) {
  const GlnSong *song = arrangement->song;
  for (size_t i = 0; i < song->slot_count; i++)
    GLN_TRY(pin_event(event_of(chart, arrangement->chart, &song->slots[i]), &arrangement->line->slots[i],
                      pins[i], arena));
  *pinned = true;
  for (size_t i = 0; i < song->slot_count && *pinned; i++)
    *pinned = gln_text_equal(event_of(chart, arrangement->chart, &song->slots[i])->pin, pins[i]);
  return GLN_OK;
}

/* ---- played through ------------------------------------------------------------------------------------------------- */

static GlnStatus number_name(GlnText name, size_t pass, GlnArena *arena, GlnText *numbered) {
  GlnBuffer out = gln_buffer(arena);
  *numbered = name;
  if (pass == 0)
    return GLN_OK;
  gln_buffer_format(&out, "%.*s (%zu)", (int)name.length, name.at, pass + 1);
  *numbered = gln_buffer_text(&out);
  return gln_buffer_status(&out);
}

static bool begins_pass(const GlnSong *song, size_t i) {
  const GlnSlot *slot = &song->slots[i];
  return i == 0 || slot->section != song->slots[i - 1].section ||
         slot->section_pass != song->slots[i - 1].section_pass;
}

static bool begins_bar(const GlnSong *song, size_t i) {
  return i == 0 || begins_pass(song, i) || song->slots[i].bar != song->slots[i - 1].bar;
}

/* Bars as played, sections once for each time they come: no repeats, no form. */
static GlnStatus play_through(const GlnArrangement *arrangement, const GlnText *pins, GlnArena *arena,
                              GlnChart *chart) {
  const GlnSong *song = arrangement->song;
  GlnSection *sections = GLN_NEW(arena, GlnSection, song->slot_count);
  GlnBar *bars = GLN_NEW(arena, GlnBar, song->slot_count);
  GlnEvent *events = GLN_NEW(arena, GlnEvent, song->slot_count);
  uint16_t *form = GLN_NEW(arena, uint16_t, song->slot_count);
  GlnHeader *headers = GLN_NEW(arena, GlnHeader, chart->header_count);
  if (sections == NULL || bars == NULL || events == NULL || form == NULL || headers == NULL)
    return GLN_MEMORY;
  size_t section_count = 0, header_count = 0;
  for (size_t i = 0; i < song->slot_count; i++) {
    const GlnSlot *slot = &song->slots[i];
    if (begins_pass(song, i)) {
      const GlnSection *own = &chart->sections[slot->section];
      GlnSection *section = &sections[section_count];
      *section = (GlnSection){.wishes = own->wishes, .wish_count = own->wish_count, .bars = bars};
      GLN_TRY(number_name(own->name, slot->section_pass, arena, &section->name));
      form[section_count] = (uint16_t)section_count;
      section_count++;
    }
    if (begins_bar(song, i)) {
      const GlnBar *own = &chart->sections[slot->section].bars[slot->written_bar];
      *bars++ = (GlnBar){.events = events,
                         .meter = own->meter,
                         .beats = own->beats,
                         .tune = own->tune,
                         .tune_count = own->tune_count,
                         .line_starts = sections[section_count - 1].bar_count % 4 == 0};
      sections[section_count - 1].bar_count++;
    }
    *events = *slot->event;
    GLN_TRY(pin_event(events, &arrangement->line->slots[i], pins[i], arena));
    events++;
    bars[-1].event_count++;
  }
  for (size_t h = 0; h < chart->header_count; h++)
    if (!gln_text_equal_ignoring_case(chart->headers[h].name, GLN_TEXT("form")) &&
        !gln_text_equal_ignoring_case(chart->headers[h].name, GLN_TEXT("vary")))
      headers[header_count++] = chart->headers[h];
  chart->headers = headers;
  chart->header_count = header_count;
  chart->vary = GLN_TEXT("");
  chart->sections = sections;
  chart->section_count = section_count;
  chart->form = form;
  chart->form_count = section_count;
  chart->typed = NULL;
  return GLN_OK;
}

GlnStatus gln_arranged_chart(const GlnJob *job, const GlnArrangement *arrangement, GlnText *text) {
  GlnArena *arena = job->arena;
  GlnChart *chart = NULL;
  GlnDiags known = gln_diags(arena); /* the source was read before: its faults have been told */
  GlnText *pins = GLN_NEW(arena, GlnText, arrangement->line->slot_count);
  GLN_TRY(gln_chart_read(arrangement->chart->source, arena, &known, &chart));
  if (pins == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < arrangement->line->slot_count; i++)
    if (!arrangement->line->slots[i].silent)
      pins[i] = gln_frets_text(&arrangement->line->slots[i].grip, arena);
  take_options(job, arrangement, chart);
  bool pinned = false;
  GLN_TRY(pin_written(arrangement, pins, arena, chart, &pinned));
  if (!pinned)
    GLN_TRY(play_through(arrangement, pins, arena, chart));
  GlnBuffer out = gln_buffer(arena);
  GLN_TRY(gln_chart_write(chart, &out));
  *text = gln_buffer_text(&out);
  return gln_buffer_status(&out);
}
