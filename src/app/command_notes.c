/* gripline notes: the song's grips as plain text, to paste under a video or into a message. */
#include "app_internal.h"
#include "page.h"

typedef struct Notes {
  const GlnJob *job;
  const GlnArrangement *arrangement;
  bool times, spoken;
  const GlnPages *pages; /* when spoken */
} Notes;

/* "0:07": minutes and seconds from the song's start. */
static void add_time(const Notes *notes, GlnRatio start, GlnBuffer *out) {
  long long seconds = (long long)(gln_ratio_value(start) * 60 / notes->arrangement->options.tempo);
  gln_buffer_format(out, "%lld:%02lld ", seconds / 60, seconds % 60);
}

static void add_head(const Notes *notes, GlnBuffer *out) {
  const GlnChart *chart = notes->arrangement->chart;
  const GlnInstrument *instrument = &notes->arrangement->options.instrument;
  gln_buffer_add(out, chart->title);
  gln_buffer_add_string(out, chart->title.length > 0 ? "\n" : "");
  gln_buffer_add(out, chart->by);
  gln_buffer_add_string(out, chart->by.length > 0 ? "\n" : "");
  if (chart->tuning.length > 0) {
    gln_buffer_add_string(out, "tuning ");
    gln_buffer_add(out, chart->tuning);
    gln_buffer_add_byte(out, '\n');
  }
  if (instrument->capo > 0) {
    gln_buffer_add_string(out, "capo at fret ");
    gln_capo_describe(instrument, out);
    gln_buffer_add_byte(out, '\n');
  }
  gln_buffer_add_string(out, out->length > 0 ? "\n" : "");
}

static void add_line(const Notes *notes, const GlnLineSlot *slot, GlnBuffer *out) {
  GlnText symbol = slot->slot->event->symbol;
  if (notes->times)
    add_time(notes, slot->slot->start, out);
  if (notes->spoken) {
    notes->pages->describe_diagram(&slot->grip, symbol, &notes->arrangement->options.instrument, out);
  } else {
    gln_buffer_add(out, symbol);
    gln_buffer_add_string(out, ": ");
    gln_buffer_add(out, gln_frets_text(&slot->grip, notes->job->arena));
    gln_buffer_add_string(out, ", fingers ");
    gln_buffer_add(out, gln_fingers_text(&slot->grip, notes->job->arena));
  }
  gln_buffer_add_byte(out, '\n');
}

/* The names that each distinct grip was told under, as slots in a chain. */
typedef struct Told {
  const GlnLineSlot *slot;
  const struct Told *next;
} Told;

static bool is_told(const Told *told, const GlnLineSlot *slot) {
  for (; told != NULL; told = told->next)
    if (gln_text_equal(told->slot->slot->event->symbol, slot->slot->event->symbol))
      return true;
  return false;
}

static GlnStatus add_lines(const Notes *notes, GlnBuffer *out) {
  const GlnLine *line = notes->arrangement->line;
  GlnArena *arena = notes->job->arena;
  const Told **told = GLN_NEW(arena, const Told *, line->distinct_count);
  if (told == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnLineSlot *slot = &line->slots[i];
    if (slot->silent || is_told(told[slot->distinct], slot))
      continue;
    Told *now = GLN_NEW(arena, Told, 1);
    if (now == NULL)
      return GLN_MEMORY;
    *now = (Told){slot, told[slot->distinct]};
    told[slot->distinct] = now;
    add_line(notes, slot, out);
  }
  return GLN_OK;
}

GlnStatus gln_add_song_notes(const GlnJob *job, const GlnArrangement *arrangement, GlnBuffer *out) {
  Notes notes = {.job = job,
                 .arrangement = arrangement,
                 .times = job->arguments.value[GLN_OPT_TIMES].given,
                 .spoken = job->arguments.value[GLN_OPT_SPOKEN].given};
  if (notes.spoken)
    GLN_TRY(gln_job_pages(job, &notes.pages));
  add_head(&notes, out);
  GLN_TRY(add_lines(&notes, out));
  if (!notes.spoken)
    gln_buffer_add_string(out,
                          "\nFrets and fingers from the lowest string to the highest: x not played, 0 open, "
                          "1 the index finger to 4 the little finger, T the thumb.\n");
  return GLN_OK;
}

GlnStatus gln_run_notes(GlnJob *job) {
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  return gln_add_song_notes(job, &arrangement, &job->out);
}
