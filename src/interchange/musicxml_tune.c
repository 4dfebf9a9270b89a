/* The melody of a score as the tune over a chart's bars: the highest note at every moment. */
#include "musicxml_internal.h"

static int64_t on_grid(int64_t at, int64_t grid) {
  return (at + grid / 2) / grid * grid;
}

/* The highest note that sounds from a place of the grid on; NULL for a rest. */
static const GlnScoreNote *top_at(const GlnScoreBar *bar, int64_t at, int64_t grid) {
  const GlnScoreNote *top = NULL;
  for (size_t i = 0; i < bar->note_count; i++) {
    const GlnScoreNote *note = &bar->notes[i];
    int midi = gln_pitch_midi(note->pitch);
    if (on_grid(note->at, grid) <= at && at < on_grid(note->at + note->ticks, grid) &&
        midi >= GLN_TUNE_MIDI_MIN && midi <= GLN_TUNE_MIDI_MAX &&
        (top == NULL || midi > gln_pitch_midi(top->pitch)))
      top = note;
  }
  return top;
}

/* The next place after this one where a note begins or ends; the bar's end when there is none. */
static int64_t next_place(const GlnScoreBar *bar, int64_t at, int64_t grid) {
  int64_t next = bar->ticks;
  for (size_t i = 0; i < bar->note_count; i++) {
    int64_t places[2] = {on_grid(bar->notes[i].at, grid),
                         on_grid(bar->notes[i].at + bar->notes[i].ticks, grid)};
    for (int k = 0; k < 2; k++)
      next = places[k] > at && places[k] < next ? places[k] : next;
  }
  return next;
}

GlnStatus gln_score_tune(const GlnScoreBar *bar, const GlnPitch *before, GlnArena *arena, GlnBar *into) {
  if (bar->note_count == 0 || bar->note_count > GLN_TUNE_NOTES_MAX / 2 - 1)
    return GLN_OK;
  const int64_t grid = gln_grid_of(bar->meter);
  const GlnRatio beat = gln_ratio(4, bar->meter.unit);
  const GlnScoreNote *last = NULL;
  into->tune = GLN_NEW(arena, GlnTuneNote, 2 * bar->note_count + 2);
  if (into->tune == NULL)
    return GLN_MEMORY;
  /* A pick-up comes late in its bar. */
  GlnRatio late = gln_ratio_subtract(gln_ratio(bar->meter.beats, 1), into->beats);
  if (late.num > 0)
    into->tune[into->tune_count++] =
        (GlnTuneNote){.kind = GLN_TUNE_REST, .beat = gln_ratio(0, 1), .beats = late};
  for (int64_t at = 0; at < bar->ticks;) {
    int64_t next = next_place(bar, at, grid);
    const GlnScoreNote *top = top_at(bar, at, grid);
    GlnRatio beats = gln_ratio_divide(gln_ratio(next - at, GLN_TICKS), beat);
    GlnTuneNote *tune = &into->tune[into->tune_count];
    bool goes_on = at > 0 && top == last;
    if (goes_on) {
      tune[-1].beats = gln_ratio_add(tune[-1].beats, beats);
    } else {
      bool held = at == 0 && late.num == 0 && top != NULL && top->held && before != NULL &&
                  gln_pitch_midi(*before) == gln_pitch_midi(top->pitch);
      *tune = (GlnTuneNote){.kind = top == NULL ? GLN_TUNE_REST
                                    : held      ? GLN_TUNE_HOLD
                                                : GLN_TUNE_NOTE,
                            .pitch = top != NULL ? top->pitch : (GlnPitch){{0, 0}, 0},
                            .beat = gln_ratio_add(late, gln_ratio_divide(gln_ratio(at, GLN_TICKS), beat)),
                            .beats = beats};
      into->tune_count++;
    }
    last = top;
    at = next;
  }
  return GLN_OK;
}

bool gln_tunes_equal(const GlnBar *a, const GlnBar *b) {
  if (a->tune_count != b->tune_count)
    return false;
  for (size_t i = 0; i < a->tune_count; i++) {
    const GlnTuneNote *x = &a->tune[i], *y = &b->tune[i];
    if (x->kind != y->kind || gln_ratio_compare(x->beat, y->beat) != 0 ||
        gln_ratio_compare(x->beats, y->beats) != 0 ||
        (x->kind == GLN_TUNE_NOTE && gln_pitch_midi(x->pitch) != gln_pitch_midi(y->pitch)))
      return false;
  }
  return true;
}
