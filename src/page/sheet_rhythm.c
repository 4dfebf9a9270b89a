/* The right hand's rhythm over the first bars of the chart: slashes with stems, the fingers' over the thumb's. */
#include "score_internal.h"

#include <math.h>

#define CLOSEST 6.5 /* points between slashes; nearer ones are not drawn. Design choice */

/* The fingers' row over the thumb's: heads of one never touch those of the other. */
static const GlnScoreNote heads[GLN_VOICE_COUNT] = {
    [GLN_VOICE_FINGERS] = {.step = GLN_STAFF_MIDDLE + 2}, [GLN_VOICE_THUMB] = {.step = GLN_STAFF_MIDDLE - 2}};

/* Where a moment of the bar lies across the page, as its chords do. */
static double x_at(const GlnPiece *piece, const double *firsts, double end, double beat) {
  size_t cell = 0;
  while (cell + 1 < piece->count && gln_ratio_value(piece->cells[cell + 1].event->beat) <= beat + 1e-9)
    cell++;
  const GlnEvent *event = piece->cells[cell].event;
  double next = cell + 1 < piece->count ? firsts[cell + 1] : end;
  return firsts[cell] +
         (beat - gln_ratio_value(event->beat)) / gln_ratio_value(event->beats) * (next - firsts[cell]);
}

static size_t bar_at(const GlnNotated *notated, GlnRatio start) {
  for (size_t b = 0; b < notated->count; b++)
    if (gln_ratio_compare(gln_ratio_add(notated->played[b].start, notated->played[b].quarters), start) > 0)
      return b;
  return notated->count;
}

bool gln_rhythm_prepare(const GlnSheet *sheet, const GlnPiece *piece, double string_gap, GlnScoreBar *bar) {
  GlnCanvas *canvas = sheet->canvas;
  if (!sheet->notated || piece->count == 0 || !piece->begins || !piece->ends || piece->bar->same_as_last ||
      !piece->cells[0].slot)
    return false;
  size_t at = bar_at(sheet->notated, piece->cells[0].slot->slot->start);
  double *firsts = GLN_NEW(canvas->arena, double, piece->count);
  if (at == sheet->notated->count || !firsts)
    return false;
  *bar = (GlnScoreBar){.played = &sheet->notated->played[at], .written = &sheet->notated->written[at]};
  bar->slashes = true;
  gln_score_bar_prepare_slashes(canvas, sheet->line->song, heads, bar);
  if (canvas->status != GLN_OK || (bar->silent[GLN_VOICE_FINGERS] && bar->silent[GLN_VOICE_THUMB]))
    return false;
  for (size_t i = 0; i < piece->count; i++)
    firsts[i] = piece->cells[i].x + string_gap * 0.5;
  double end = piece->x + piece->width - gln_piece_right(piece) + GLN_BAR_PAD * 0.5, last = -1e9;
  double unit = 4.0 / bar->written->unit;
  for (size_t c = 0; c < bar->column_count; c++) {
    double x = x_at(piece, firsts, end, gln_ratio_value(bar->columns[c].at) / unit);
    if (x - last < CLOSEST)
      return false;
    last = x;
    bar->columns[c].x = x - GLN_HEAD_WIDTH / 2;
  }
  gln_score_bar_stems(bar);
  return true;
}
