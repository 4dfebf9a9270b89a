/* What gripline frame says, for people and for programs. */
#include "frame_internal.h"

#define SHOWN_FRAMES 5 /* of each kind, unless --all */
#define NAME_COLUMNS 22

static void add_symbol(const GlnChord *chord, GlnBuffer *out) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
  gln_buffer_add_string(out, symbol);
}

/* ---- for programs ------------------------------------------------------------------------------------------------ */

static void add_frame_json(GlnJson *json, const FramePart *part, size_t index, GlnArena *arena) {
  const GlnFrame *frame = &part->frames.items[index];
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "name", gln_text(frame->name));
  gln_json_open_array(json, "chords");
  for (size_t i = 0; i < frame->chord_count; i++) {
    GlnBuffer symbol = gln_buffer(arena);
    add_symbol(&frame->chords[i].chord, &symbol);
    gln_json_add_text(json, NULL, gln_buffer_text(&symbol));
  }
  gln_json_close(json);
  gln_json_open_array(json, "bars");
  for (size_t i = 0; i < frame->chord_count; i++)
    gln_json_add_integer(json, NULL, frame->chords[i].bar + 1);
  gln_json_close(json);
  gln_json_open_array(json, "frets");
  for (size_t i = 0; i < frame->chord_count && part->grips[index] != NULL; i++)
    gln_json_add_text(json, NULL, gln_frets_text(&part->grips[index][i], arena));
  gln_json_close(json);
  gln_json_add_text(json, "reason", frame->reason);
  gln_json_add_number(json, "cost", frame->cost, 3);
  gln_json_add_boolean(json, "in_chart", frame->in_chart);
  gln_json_add_boolean(json, "chosen", part->chosen == frame);
  gln_json_close(json);
}

GlnStatus gln_frame_print_json(GlnJob *job, const FrameReport *report) {
  static const char *const keys[] = {"openings", "turnarounds", "endings"};
  GlnJson *json = gln_json_new(job->arena, "frame");
  if (json == NULL)
    return GLN_MEMORY;
  for (int k = 0; k < GLN_FRAME_KIND_COUNT; k++) {
    gln_json_open_array(json, keys[k]);
    for (size_t i = 0; i < report->parts[k].frames.count; i++)
      add_frame_json(json, &report->parts[k], i, job->arena);
    gln_json_close(json);
  }
  if (report->chart.length > 0)
    gln_json_add_text(json, "chart", report->chart);
  else
    gln_json_add_null(json, "chart");
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

/* ---- for people ------------------------------------------------------------------------------------------------------ */

/* Where it goes: "openings, into Fmaj9 in bar 5". */
static void add_head(const FrameReport *report, const FramePart *part, GlnBuffer *out) {
  const GlnSong *song = report->arrangement.song;
  uint32_t last = song->slots[report->end - 1].bar;
  switch (part->kind) {
  case GLN_FRAME_OPENING:
    gln_buffer_add_string(out, "openings");
    break;
  case GLN_FRAME_TURNAROUND:
    gln_buffer_format(out, "turnarounds in place of bars %u–%u", (unsigned)last - 1, (unsigned)last);
    break;
  case GLN_FRAME_ENDING:
  case GLN_FRAME_KIND_COUNT:
    gln_buffer_add_string(out, "endings");
    break;
  }
  if (part->before != NULL) {
    gln_buffer_add_string(out, ", after ");
    gln_buffer_add(out, part->before->event->symbol);
    gln_buffer_format(out, " in bar %u", (unsigned)part->before->bar);
  }
  if (part->goal != NULL) {
    gln_buffer_add_string(out, part->kind == GLN_FRAME_TURNAROUND ? ", back to " : ", into ");
    gln_buffer_add(out, part->goal->event->symbol);
    gln_buffer_format(out, " in bar %u", (unsigned)part->goal->bar);
  }
}

/* Chords or grips with bar lines between. */
static void add_bars_of(const FramePart *part, size_t index, bool grips, GlnArena *arena, GlnBuffer *out) {
  const GlnFrame *frame = &part->frames.items[index];
  for (size_t i = 0; i < frame->chord_count; i++) {
    bool bar = i > 0 && frame->chords[i].bar != frame->chords[i - 1].bar;
    gln_buffer_add_string(out, i == 0 ? "" : bar ? " | " : "  ");
    if (grips)
      gln_buffer_add(out, gln_frets_text(&part->grips[index][i], arena));
    else
      add_symbol(&frame->chords[i].chord, out);
  }
}

static void add_wrapped_line(const GlnJob *job, GlnText words, size_t indent, GlnBuffer *out) {
  gln_buffer_add_repeated(out, GLN_TEXT(" "), indent);
  gln_add_wrapped(out, words, indent, indent, job->app->columns);
  gln_buffer_add_byte(out, '\n');
}

static void print_frame(const GlnJob *job, const FramePart *part, size_t index, GlnBuffer *out) {
  const GlnFrame *frame = &part->frames.items[index];
  GlnBuffer chords = gln_buffer(job->arena), grips = gln_buffer(job->arena);
  add_bars_of(part, index, false, job->arena, &chords);
  gln_buffer_add_string(out, "  ");
  gln_buffer_add_padded(out, gln_text(frame->name), NAME_COLUMNS);
  gln_add_wrapped(out, gln_buffer_text(&chords), NAME_COLUMNS + 2, NAME_COLUMNS + 2, job->app->columns);
  gln_buffer_add_byte(out, '\n');
  if (part->grips[index] != NULL)
    add_bars_of(part, index, true, job->arena, &grips);
  else
    gln_buffer_add_string(&grips, "no hand holds all of these on this instrument");
  add_wrapped_line(job, gln_buffer_text(&grips), NAME_COLUMNS + 2, out);
  add_wrapped_line(job, frame->reason, 4, out);
}

static void print_part(const GlnJob *job, const FrameReport *report, const FramePart *part, GlnBuffer *out) {
  bool all = job->arguments.value[GLN_OPT_ALL].given;
  GlnBuffer head = gln_buffer(job->arena), there = gln_buffer(job->arena);
  size_t shown = 0, left = 0;
  add_head(report, part, &head);
  gln_buffer_add_byte(out, '\n');
  gln_add_styled(job, out, GLN_STYLE_BOLD, gln_buffer_text(&head));
  gln_buffer_add_byte(out, '\n');
  for (size_t i = 0; i < part->frames.count; i++) {
    const GlnFrame *frame = &part->frames.items[i];
    if (frame->in_chart) {
      gln_buffer_add_string(&there, there.length > 0 ? ", " : "");
      gln_buffer_add_string(&there, frame->name);
    } else if (all || shown < SHOWN_FRAMES) {
      print_frame(job, part, i, out);
      shown++;
    } else {
      left++;
    }
  }
  if (there.length > 0) {
    GlnBuffer words = gln_buffer(job->arena);
    gln_buffer_add_string(&words, "in the chart already: ");
    gln_buffer_add(&words, gln_buffer_text(&there));
    add_wrapped_line(job, gln_buffer_text(&words), 2, out);
  }
  if (part->frames.count == 0)
    gln_buffer_add_string(out, part->kind == GLN_FRAME_TURNAROUND
                                   ? "  none: the last section is too short to give two bars away\n"
                                   : "  none\n");
  if (left > 0)
    gln_buffer_format(out, "  %zu more with --all\n", left);
}

static void add_style(const FramePart *part, GlnBuffer *out) {
  static const char *const words[] = {"triads", "sevenths", "ninths and more"};
  gln_buffer_format(out, ", dressed in %s%s", words[part->place.style],
                    part->place.blues ? " and the sevenths of the blues" : "");
}

static void print_chosen(const GlnJob *job, const FrameReport *report, GlnBuffer *out) {
  for (int k = 0; k < GLN_FRAME_KIND_COUNT; k++) {
    const FramePart *part = &report->parts[k];
    if (part->chosen == NULL)
      continue;
    GlnBuffer head = gln_buffer(job->arena);
    add_head(report, part, &head);
    gln_buffer_add_string(out, gln_frame_kind_key(part->kind));
    gln_buffer_add_byte(out, '\n');
    print_frame(job, part, (size_t)(part->chosen - part->frames.items), out);
    if (k == GLN_FRAME_TURNAROUND)
      add_wrapped_line(job, GLN_TEXT("The form goes round once more, the first time with the turnaround."), 4,
                       out);
    if (k == GLN_FRAME_OPENING && report->arrangement.song->slots[report->first].bar == 0)
      add_wrapped_line(job, GLN_TEXT("The chart's pick-up is not played after it."), 4, out);
    if ((k == GLN_FRAME_OPENING && report->form_first > 0) ||
        (k == GLN_FRAME_ENDING && report->form_end < report->arrangement.chart->form_count))
      add_wrapped_line(
          job, GLN_TEXT("It takes the place of the chart's own, which stays in the file unplayed."), 4, out);
  }
}

GlnStatus gln_frame_print(GlnJob *job, const FrameReport *report, GlnBuffer *out) {
  const GlnChart *chart = report->arrangement.chart;
  const FramePart *opening = &report->parts[GLN_FRAME_OPENING];
  GlnBuffer words = gln_buffer(job->arena);
  char note[GLN_NOTE_TEXT_MAX];
  if (report->chart.length > 0) {
    print_chosen(job, report, out);
    return gln_buffer_status(out);
  }
  if (chart->title.length > 0) {
    gln_add_styled(job, out, GLN_STYLE_BOLD, chart->title);
    gln_buffer_add_byte(out, '\n');
  }
  (void)gln_note_print(opening->place.key.tonic, GLN_SIGNS_UNICODE, note);
  gln_buffer_format(&words, "in %s %s, %d/%d", note, opening->place.key.minor ? "minor" : "major",
                    chart->meter.beats, chart->meter.unit);
  add_style(opening, &words);
  gln_add_wrapped(out, gln_buffer_text(&words), 0, 2, job->app->columns);
  gln_buffer_add_byte(out, '\n');
  for (int k = 0; k < GLN_FRAME_KIND_COUNT; k++)
    print_part(job, report, &report->parts[k], out);
  return gln_buffer_status(out);
}
