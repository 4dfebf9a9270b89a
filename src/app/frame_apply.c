/* gripline frame --apply: the chosen frames written into a copy of the chart. */
#include "frame_internal.h"

typedef struct Copy {
  GlnChart *chart;
  GlnArena *arena;
  uint16_t *form;
  size_t form_count;
} Copy;

/* "opening", or "opening2" where the chart has a section of that name. */
static GlnStatus name_section(const GlnChart *chart, GlnText wish, GlnArena *arena, GlnText *name) {
  for (unsigned number = 1;; number++) {
    GlnBuffer out = gln_buffer(arena);
    gln_buffer_add(&out, wish);
    if (number > 1)
      gln_buffer_format(&out, "%u", number);
    bool taken = false;
    for (size_t s = 0; s < chart->section_count; s++)
      taken = taken || gln_text_equal_ignoring_case(chart->sections[s].name, gln_buffer_text(&out));
    *name = gln_buffer_text(&out);
    if (!taken || out.failed)
      return gln_buffer_status(&out);
  }
}

/* A new section after the others; its place in the chart says nothing, the form does. */
static GlnStatus add_section(Copy *copy, GlnText wish, GlnBar *bars, size_t bar_count, uint16_t *index) {
  GlnChart *chart = copy->chart;
  GlnSection *sections = GLN_NEW(copy->arena, GlnSection, chart->section_count + 1);
  if (sections == NULL)
    return GLN_MEMORY;
  for (size_t s = 0; s < chart->section_count; s++)
    sections[s] = chart->sections[s];
  GlnSection *made = &sections[chart->section_count];
  *made = (GlnSection){.bars = bars, .bar_count = bar_count};
  GLN_TRY(name_section(chart, wish, copy->arena, &made->name));
  *index = (uint16_t)chart->section_count++;
  chart->sections = sections;
  return GLN_OK;
}

static GlnStatus add_frame(Copy *copy, const GlnFrame *frame, uint16_t *index) {
  GlnBar *bars = NULL;
  GLN_TRY(gln_frame_bars(frame, copy->chart->meter, copy->arena, &bars));
  return add_section(copy, gln_text(gln_frame_kind_key(frame->kind)), bars, frame->bar_count, index);
}

/* The last section of the choruses as it is played there, its last bars left to the turnaround. */
static GlnStatus add_turned_section(Copy *copy, const FrameReport *report, const GlnFrame *frame,
                                    uint16_t *index) {
  const GlnSong *song = report->arrangement.song;
  uint16_t last = copy->chart->form[report->form_end - 1];
  size_t kept = report->last_section_bars - frame->bar_count, made = 0;
  GlnBar *bars = GLN_NEW(copy->arena, GlnBar, report->last_section_bars), *frame_bars = NULL;
  GLN_TRY(gln_frame_bars(frame, copy->chart->meter, copy->arena, &frame_bars));
  if (bars == NULL)
    return GLN_MEMORY;
  uint32_t first_bar = song->slots[report->end - 1].bar - report->last_section_bars + 1, done = 0;
  for (size_t i = report->first; i < report->end && made < kept; i++) {
    const GlnSlot *slot = &song->slots[i];
    if (slot->bar < first_bar || slot->bar == done || slot->bar == 0)
      continue;
    done = slot->bar;
    const GlnBar *from = &copy->chart->sections[last].bars[slot->written_bar];
    GlnEvent *events = GLN_NEW(copy->arena, GlnEvent, from->event_count);
    if (events == NULL)
      return GLN_MEMORY;
    for (size_t e = 0; e < from->event_count; e++) {
      events[e] = from->events[e];
      events[e].continues = from->events[e].continues && made > 0;
    }
    bars[made] = (GlnBar){.events = events,
                          .event_count = from->event_count,
                          .meter = from->meter,
                          .beats = from->beats,
                          .line_starts = made % 4 == 0};
    made++;
  }
  for (int b = 0; b < frame->bar_count; b++) {
    bars[made] = frame_bars[b];
    bars[made].line_starts = made % 4 == 0;
    made++;
  }
  GlnBuffer name = gln_buffer(copy->arena);
  gln_buffer_add(&name, copy->chart->sections[last].name);
  gln_buffer_add_string(&name, name.length > 0 ? "-turnaround" : "turnaround");
  GLN_TRY(gln_buffer_status(&name));
  return add_section(copy, gln_buffer_text(&name), bars, made, index);
}

/* Bars before any [NAME] get a name, for the form must say where they come. */
static void name_all(GlnChart *chart) {
  for (size_t s = 0; s < chart->section_count; s++)
    if (chart->sections[s].name.length == 0)
      chart->sections[s].name = GLN_TEXT("chorus");
}

static void add_entries(Copy *copy, size_t first, size_t end) {
  for (size_t f = first; f < end; f++)
    copy->form[copy->form_count++] = copy->chart->form[f];
}

/* A frame as a section of its own, or the chart's entries where none was chosen. */
static GlnStatus add_part(Copy *copy, const FramePart *part, size_t first, size_t end) {
  uint16_t index = 0;
  if (part->chosen == NULL) {
    add_entries(copy, first, end);
    return GLN_OK;
  }
  GLN_TRY(add_frame(copy, part->chosen, &index));
  copy->form[copy->form_count++] = index;
  return GLN_OK;
}

static GlnStatus build_form(Copy *copy, const FrameReport *report) {
  const GlnFrame *turnaround = report->parts[GLN_FRAME_TURNAROUND].chosen;
  size_t first = report->form_first, end = report->form_end, all = copy->chart->form_count;
  copy->form = GLN_NEW(copy->arena, uint16_t, 2 * all + 2);
  if (copy->form == NULL)
    return GLN_MEMORY;
  GLN_TRY(add_part(copy, &report->parts[GLN_FRAME_OPENING], 0, first));
  if (turnaround != NULL) {
    uint16_t index = 0;
    GLN_TRY(add_turned_section(copy, report, turnaround, &index));
    add_entries(copy, first, end - 1);
    copy->form[copy->form_count++] = index;
  }
  add_entries(copy, first, end);
  return add_part(copy, &report->parts[GLN_FRAME_ENDING], end, all);
}

/* What was written must read as the same music. */
static GlnStatus read_back(const GlnJob *job, const GlnChart *written, GlnText text) {
  GlnDiags diags = gln_diags(job->arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GlnStatus status = gln_chart_read(text, job->arena, &diags, &chart);
  if (status == GLN_OK)
    status = gln_song_play(chart, job->arena, &diags, &song);
  if (status == GLN_OK && gln_chart_equal(chart, written))
    return GLN_OK;
  if (status == GLN_MEMORY)
    return status;
  return gln_job_complain(job, GLN_INPUT, "write the bars in by hand, and tell the makers of gripline",
                          "this chart cannot be written with what was chosen");
}

GlnStatus gln_frame_apply(GlnJob *job, FrameReport *report) {
  GlnDiags diags = gln_diags(job->arena);
  Copy copy = {.arena = job->arena};
  GLN_TRY(gln_chart_read(report->arrangement.chart->source, job->arena, &diags, &copy.chart));
  name_all(copy.chart);
  GLN_TRY(build_form(&copy, report));
  copy.chart->form = copy.form;
  copy.chart->form_count = copy.form_count;
  GlnBuffer out = gln_buffer(job->arena);
  GlnStatus status = gln_chart_write(copy.chart, &out);
  if (status == GLN_INPUT)
    return gln_job_complain(job, GLN_INPUT, "choose another",
                            "the chords of what was chosen do not fill bars of this meter");
  GLN_TRY(status);
  report->chart = gln_buffer_text(&out);
  return read_back(job, copy.chart, report->chart);
}
