/* gripline play: the accompaniment as sound. */
#include "app_internal.h"
#include "interchange.h"
#include "sound.h"

/* Slots as the right hand needs them. */
static GlnHeld *hold_line(const GlnLine *line, GlnArena *arena) {
  GlnHeld *held = GLN_NEW(arena, GlnHeld, line->slot_count);
  for (size_t i = 0; held != NULL && i < line->slot_count; i++) {
    const GlnLineSlot *at = &line->slots[i];
    const GlnSlot *slot = at->slot;
    GlnRatio beat = gln_ratio(4, slot->meter.unit); /* quarter notes */
    GlnRatio into = gln_ratio_multiply(gln_ratio_subtract(slot->beat, gln_ratio(1, 1)), beat);
    held[i] = (GlnHeld){.grip = at->silent ? NULL : &at->grip,
                        .chord = at->silent ? NULL : at->chord,
                        .start = slot->start,
                        .quarters = slot->quarters,
                        .meter_beats = slot->meter.beats,
                        .meter_unit = slot->meter.unit,
                        .bar_start = gln_ratio_subtract(slot->start, into)};
  }
  return held;
}

/* Section names and chord symbols along the song. */
static GlnMidiMark *mark_line(const GlnLine *line, GlnArena *arena, size_t *count) {
  GlnMidiMark *marks = GLN_NEW(arena, GlnMidiMark, 2 * line->slot_count);
  *count = 0;
  const GlnSlot *last = NULL;
  for (size_t i = 0; marks != NULL && i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    GlnText section = line->song->chart->sections[slot->section].name;
    bool begins = last == NULL || last->section != slot->section || last->section_pass != slot->section_pass;
    if (begins && section.length > 0)
      marks[(*count)++] = (GlnMidiMark){slot->start, section};
    marks[(*count)++] = (GlnMidiMark){slot->start, slot->event->symbol};
    last = slot;
  }
  return marks;
}

/* The chart's feel, and where it stands there. */
static void place_feel(const GlnChart *chart, GlnPerformanceOptions *options) {
  options->feel = chart->feel;
  for (size_t i = 0; i < chart->header_count; i++)
    if (gln_text_equal_ignoring_case(chart->headers[i].name, GLN_TEXT("feel"))) {
      options->feel_offset = chart->headers[i].value_offset;
      options->feel_length = chart->headers[i].value.length;
    }
}

static GlnStatus perform(const GlnJob *job, const GlnArrangement *arrangement, GlnPerformance **performance) {
  const GlnValue *value = job->arguments.value;
  GlnFeelBook *book = NULL;
  GLN_TRY(gln_feel_book_open(job->arena, &book));
  GlnPerformanceOptions options = {
      .instrument = &arrangement->options.instrument,
      .hand = &arrangement->options.hand,
      .book = book,
      .tempo = arrangement->options.tempo,
      .count_in = value[GLN_OPT_COUNT_IN].given ? (int8_t)value[GLN_OPT_COUNT_IN].number : 0};
  if (value[GLN_OPT_FEEL].given)
    options.feel = value[GLN_OPT_FEEL].text;
  else
    place_feel(arrangement->chart, &options);
  GlnHeld *held = hold_line(arrangement->line, job->arena);
  if (held == NULL)
    return GLN_MEMORY;
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status =
      gln_performance_make(&options, held, arrangement->line->slot_count, job->arena, &diags, performance);
  gln_job_show_diags(job, &diags, arrangement->name, arrangement->chart->source);
  return status;
}

GlnStatus gln_job_perform_midi(GlnJob *job, GlnBuffer *file) {
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  GlnPerformance *performance = NULL;
  GLN_TRY(perform(job, &arrangement, &performance));
  const GlnChart *chart = arrangement.chart;
  GlnMidiOptions options = {
      .title = chart->title, .by = chart->by, .has_key = chart->has_key, .key = chart->key};
  options.marks = mark_line(arrangement.line, job->arena, &options.mark_count);
  if (options.marks == NULL)
    return GLN_MEMORY;
  GlnStatus status = gln_midi_write(performance, &options, file);
  if (status == GLN_LIMIT)
    return gln_job_complain(job, status, "play a shorter form, or another tempo",
                            "this song does not fit a MIDI file");
  GLN_TRY(status);
  return gln_buffer_status(file);
}

GlnStatus gln_run_play(GlnJob *job) {
  size_t format = 0;
  GLN_TRY(gln_job_format(job, &format)); /* there is but one yet */
  GlnBuffer file = gln_buffer(job->arena);
  GLN_TRY(gln_job_perform_midi(job, &file));
  return gln_job_deliver(job, gln_buffer_text(&file));
}
