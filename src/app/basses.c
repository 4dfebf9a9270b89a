/* What the thumb plays with each grip: the bass, and what it takes in turn, with the finger that makes it possible. */
#include "performing.h"

static void add_place(const GlnInstrument *instrument, int string, int fret, GlnBuffer *out) {
  gln_buffer_format(out, "string %d ", instrument->string_count - string);
  if (fret == 0)
    gln_buffer_add_string(out, "open");
  else
    gln_buffer_format(out, "fret %d", fret);
}

/* How the left hand has the note: "held", "open", "finger 3 moves there". */
static void add_way(const GlnGrip *grip, const GlnThumbNote *note, GlnBuffer *out) {
  static const char *const fingers[] = {"", "finger 1", "finger 2", "finger 3", "finger 4", "the thumb"};
  if (grip->frets.fret[note->string] == note->fret)
    gln_buffer_add_string(out, "in the grip");
  else if (note->finger == 0)
    gln_buffer_add_string(out, "free string");
  else if (note->finger_moves)
    gln_buffer_format(out, "%s moves there", fingers[note->finger]);
  else
    gln_buffer_format(out, "%s reaches it", fingers[note->finger]);
}

GlnStatus gln_job_add_basses(const GlnJob *job, const GlnArrangement *arrangement, GlnBuffer *out) {
  static const char *const heads[] = {"chord", "frets", "bass", "in turn with", "how"};
  const GlnLine *line = arrangement->line;
  const GlnInstrument *instrument = &arrangement->options.instrument;
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  for (size_t i = 0; i < line->distinct_count; i++) {
    const GlnLineSlot *slot = &line->slots[line->distinct[i]];
    if (slot->silent)
      continue;
    GlnBuffer cells[GLN_COUNT_OF(heads)];
    for (size_t k = 0; k < GLN_COUNT_OF(heads); k++)
      cells[k] = gln_buffer(job->arena);
    gln_buffer_add(&cells[0], slot->slot->event->symbol);
    gln_buffer_add(&cells[1], gln_frets_text(&slot->grip, job->arena));
    add_place(instrument, slot->grip.bass_string, slot->grip.frets.fret[slot->grip.bass_string], &cells[2]);
    GlnThumbNote note;
    GlnStatus status =
        gln_thumb_fifth(instrument, &arrangement->options.hand, &slot->grip, slot->chord, &note);
    if (status == GLN_OK) {
      add_place(instrument, note.string, note.fret, &cells[3]);
      add_way(&slot->grip, &note, &cells[4]);
    } else if (status == GLN_NO) {
      gln_buffer_add_string(&cells[3], "itself");
    } else {
      return status;
    }
    for (size_t k = 0; k < GLN_COUNT_OF(heads); k++)
      gln_table_cell(&table, &cells[k]);
  }
  gln_table_print(job, &table, out);
  return gln_buffer_status(out);
}
