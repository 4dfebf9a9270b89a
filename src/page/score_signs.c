/* One bar of the staff and its tablature: the signs themselves. */
#include "score_internal.h"

#include <math.h>

/* Staff spaces; from bravura_metadata.json, engravingDefaults: stemThickness 0.12, beamThickness 0.5, beamSpacing 0.25,
 * legerLineThickness 0.16, tieMidpointThickness 0.22. */
#define STEM_WIDTH   (0.12 * GLN_STAFF_SPACE)
#define BEAM_WIDTH   (0.5 * GLN_STAFF_SPACE)
#define BEAM_STEP    (0.75 * GLN_STAFF_SPACE)
#define LEDGER_WIDTH (0.16 * GLN_STAFF_SPACE)
#define TIE_WIDTH    (0.22 * GLN_STAFF_SPACE)
#define FRET_SIZE    7.6 /* points: the tablature's numbers */
#define TUPLET_SIZE  7.0

double gln_staff_y(const GlnStaffPlace *place, double step) {
  return place->bottom - step * GLN_STAFF_STEP;
}

void gln_staff_sign(const GlnStaffPlace *place, const char *sign, double x, double y) {
  GlnSegment segment = {.text = gln_text(sign),
                        .said = GLN_TEXT(" "),
                        .face = GLN_FACE_MUSIC,
                        .size = GLN_SIGN_SIZE,
                        .stretch = 1};
  gln_canvas_text(place->canvas, gln_canvas_shape(place->canvas, &segment, 1), x, y, GLN_INK);
}

const char *gln_accidental_sign(int accidental) {
  static const char *const signs[] = {"\uE264", "\uE260", "\uE261", "\uE262", "\uE263"};
  int at = accidental + 2;
  return signs[at < 0 ? 0 : at > 4 ? 4 : at];
}

/* ---- notes -------------------------------------------------------------------------------------------------------- */

static void draw_ledgers(const GlnStaffPlace *place, double x, int step) {
  double reach = 0.32 * GLN_STAFF_SPACE;
  for (int at = -2; at >= step; at -= 2)
    gln_canvas_stroke(place->canvas, x - reach, gln_staff_y(place, at), x + GLN_HEAD_WIDTH + reach,
                      gln_staff_y(place, at), LEDGER_WIDTH, GLN_INK);
  for (int at = GLN_STAFF_TOP + 2; at <= step; at += 2)
    gln_canvas_stroke(place->canvas, x - reach, gln_staff_y(place, at), x + GLN_HEAD_WIDTH + reach,
                      gln_staff_y(place, at), LEDGER_WIDTH, GLN_INK);
}

static double heads_x(const GlnScoreBar *bar, const GlnScorePiece *piece) {
  return bar->columns[piece->place].x + piece->shift;
}

static double stem_x(const GlnScoreBar *bar, int voice, const GlnScorePiece *piece) {
  return heads_x(bar, piece) + (gln_stems_up(voice) ? GLN_HEAD_WIDTH - STEM_WIDTH / 2 : STEM_WIDTH / 2);
}

static void draw_dots(const GlnStaffPlace *place, const GlnScorePiece *piece, double x) {
  int last = -1000;
  for (size_t n = 0; piece->piece->value.dots > 0 && n < piece->count; n++) {
    int step = piece->notes[n].step + (piece->notes[n].step % 2 == 0 ? 1 : 0); /* between the lines */
    if (step <= last)
      continue;
    gln_canvas_disc(place->canvas, x + 0.5 * GLN_STAFF_SPACE, gln_staff_y(place, step), 0.2 * GLN_STAFF_SPACE,
                    0, GLN_INK);
    last = step;
  }
}

/* A slash as wide as a head and two spaces high; open where the note lasts a half or more. */
static void draw_slash(const GlnStaffPlace *place, const GlnScorePiece *piece, double x) {
  double y = gln_staff_y(place, piece->notes[0].step), high = GLN_STAFF_SPACE * 0.9;
  double thick = piece->piece->value.unit <= 2 ? 3.6 : 1.9;
  const GlnSpot spots[5] = {{x, y + high},
                            {x + thick, y + high},
                            {x + GLN_HEAD_WIDTH, y - high},
                            {x + GLN_HEAD_WIDTH - thick, y - high},
                            {x, y + high}};
  if (piece->piece->value.unit <= 2)
    gln_canvas_line(place->canvas, spots, 5, 0.8, GLN_INK, true);
  else
    gln_canvas_shape_fill(place->canvas, spots, 4, GLN_INK);
  if (piece->piece->value.dots > 0)
    gln_canvas_disc(place->canvas, x + GLN_HEAD_WIDTH + 0.6 * GLN_STAFF_SPACE, y - GLN_STAFF_STEP,
                    0.2 * GLN_STAFF_SPACE, 0, GLN_INK);
}

static void draw_heads(const GlnStaffPlace *place, const GlnScoreBar *bar, const GlnScorePiece *piece) {
  int unit = piece->piece->value.unit;
  const char *head = unit <= 1 ? "\uE0A2" : unit == 2 ? "\uE0A3" : "\uE0A4";
  double x = heads_x(bar, piece), right = x + GLN_HEAD_WIDTH;
  if (bar->slashes) {
    draw_slash(place, piece, x);
    return;
  }
  for (size_t n = 0; n < piece->count; n++) {
    const GlnScoreNote *note = &piece->notes[n];
    if (n > 0 && note->step == note[-1].step && fabs(note->shift - note[-1].shift) < 0.01)
      continue; /* two strings in unison */
    draw_ledgers(place, x + note->shift, note->step);
    gln_staff_sign(place, head, x + note->shift, gln_staff_y(place, note->step));
    right = fmax(right, x + note->shift + GLN_HEAD_WIDTH);
    if (!note->shows)
      continue;
    double turned = 0;
    for (size_t m = 0; m < piece->count; m++)
      turned = fmax(turned, -piece->notes[m].shift);
    double lane = 1.15 * GLN_STAFF_SPACE * (double)(note->column + 1);
    gln_staff_sign(place, gln_accidental_sign(note->accidental), bar->columns[piece->place].x - turned - lane,
                   gln_staff_y(place, note->step));
  }
  draw_dots(place, piece, right);
}

static void draw_stem(const GlnStaffPlace *place, const GlnScoreBar *bar, int voice,
                      const GlnScorePiece *piece) {
  int unit = piece->piece->value.unit;
  if (unit <= 1)
    return;
  bool up = gln_stems_up(voice);
  double x = stem_x(bar, voice, piece), end = gln_staff_y(place, piece->stem_end);
  int from = up ? piece->notes[0].step : piece->notes[piece->count - 1].step;
  double start = gln_staff_y(place, from) - (bar->slashes ? (up ? 0.8 : -0.8) * GLN_STAFF_SPACE : 0);
  gln_canvas_stroke(place->canvas, x, start, x, end, STEM_WIDTH, GLN_INK);
  if (unit < 8 || piece->beamed)
    return;
  const char *flag = unit == 8    ? (up ? "\uE240" : "\uE241")
                     : unit == 16 ? (up ? "\uE242" : "\uE243")
                                  : (up ? "\uE244" : "\uE245");
  gln_staff_sign(place, flag, x - STEM_WIDTH / 2, end);
}

/* ---- beams --------------------------------------------------------------------------------------------------------- */

static int beams_of(const GlnScorePiece *piece) {
  int count = 0;
  for (int unit = piece->piece->value.unit; unit >= 8; unit /= 2)
    count++;
  return count;
}

static void draw_beam(const GlnStaffPlace *place, double x1, double y1, double x2, double y2, double down) {
  double edge = down * BEAM_WIDTH;
  const GlnSpot spots[4] = {{x1, y1}, {x2, y2}, {x2, y2 + edge}, {x1, y1 + edge}};
  gln_canvas_shape_fill(place->canvas, spots, 4, GLN_INK);
}

static void draw_beams(const GlnStaffPlace *place, const GlnScoreBar *bar, int voice, size_t first) {
  const GlnScorePiece *pieces = bar->pieces[voice];
  size_t last = pieces[first].beam_last;
  double down = gln_stems_up(voice) ? 1 : -1, half = STEM_WIDTH / 2;
  double left = stem_x(bar, voice, &pieces[first]), right = stem_x(bar, voice, &pieces[last]);
  double from = gln_staff_y(place, pieces[first].stem_end), to = gln_staff_y(place, pieces[last].stem_end);
  double slope = right > left ? (to - from) / (right - left) : 0;
  for (int level = 0; level < 4; level++) {
    double lower = down * BEAM_STEP * level;
    for (size_t p = first; p <= last; p++) {
      if (beams_of(&pieces[p]) <= level)
        continue;
      size_t end = p;
      while (end < last && beams_of(&pieces[end + 1]) > level)
        end++;
      double a = stem_x(bar, voice, &pieces[p]), z = stem_x(bar, voice, &pieces[end]);
      if (end == p) { /* a stub, toward the note it belongs to */
        double stub = 1.1 * GLN_STAFF_SPACE;
        z = p > first ? a : a + stub;
        a = p > first ? a - stub : a;
      }
      a -= half;
      z += half;
      draw_beam(place, a, from + (a - left) * slope + lower, z, from + (z - left) * slope + lower, down);
      p = end;
    }
  }
}

/* ---- tuplets ------------------------------------------------------------------------------------------------------- */

static void draw_tuplet(const GlnStaffPlace *place, const GlnScoreBar *bar, int voice, size_t first,
                        size_t last) {
  const GlnScorePiece *pieces = bar->pieces[voice];
  bool up = gln_stems_up(voice), beamed = pieces[first].beamed && pieces[first].beam_last >= last;
  double end = up ? GLN_STAFF_TOP : 0;
  for (size_t p = first; p <= last; p++) {
    double reach = pieces[p].count > 0 ? pieces[p].stem_end : pieces[p].rest_step + (up ? 3 : -3);
    end = up ? fmax(end, reach) : fmin(end, reach);
  }
  double left = heads_x(bar, &pieces[first]), right = heads_x(bar, &pieces[last]) + GLN_HEAD_WIDTH;
  double middle = (left + right) / 2, y = gln_staff_y(place, end + (up ? 2.2 : -2.2));
  GlnBuffer words = gln_buffer(place->canvas->arena);
  gln_buffer_add_integer(&words, pieces[first].piece->value.actual);
  (void)gln_canvas_words(place->canvas, gln_canvas_said(place->canvas, &words), GLN_FACE_BOLD, TUPLET_SIZE,
                         middle, y + TUPLET_SIZE * 0.36, GLN_ALIGN_CENTRE, GLN_INK);
  if (beamed)
    return;
  double tip = y + (up ? 3 : -3);
  const GlnSpot a[3] = {{left, tip}, {left, y}, {middle - 5, y}},
                z[3] = {{middle + 5, y}, {right, y}, {right, tip}};
  if (middle - 5 <= left)
    return;
  gln_canvas_line(place->canvas, a, 3, 0.6, GLN_INK, false);
  gln_canvas_line(place->canvas, z, 3, 0.6, GLN_INK, false);
}

static void draw_tuplets(const GlnStaffPlace *place, const GlnScoreBar *bar, int voice) {
  for (size_t p = 0; p < bar->written->counts[voice]; p++) {
    if (bar->pieces[voice][p].piece->value.actual == 0 || bar->silent[voice])
      continue;
    GlnRatio beat = bar->pieces[voice][p].piece->start;
    size_t last = p;
    while (last + 1 < bar->written->counts[voice] && bar->pieces[voice][last + 1].piece->value.actual != 0 &&
           bar->pieces[voice][last + 1].piece->start.num / bar->pieces[voice][last + 1].piece->start.den ==
               beat.num / beat.den)
      last++;
    draw_tuplet(place, bar, voice, p, last);
    p = last;
  }
}

/* ---- rests --------------------------------------------------------------------------------------------------------- */

static void draw_rest(const GlnStaffPlace *place, const GlnScoreBar *bar, const GlnScorePiece *piece) {
  int unit = piece->piece->value.unit;
  const char *sign = unit <= 1    ? "\uE4E3"
                     : unit == 2  ? "\uE4E4"
                     : unit == 4  ? "\uE4E5"
                     : unit == 8  ? "\uE4E6"
                     : unit == 16 ? "\uE4E7"
                                  : "\uE4E8";
  double step = piece->rest_step + (unit <= 1 ? 2 : 0), x = bar->columns[piece->place].x;
  if (piece->hidden)
    return;
  gln_staff_sign(place, sign, x, gln_staff_y(place, step));
  if (piece->piece->value.dots > 0)
    gln_canvas_disc(place->canvas, x + 1.7 * GLN_STAFF_SPACE, gln_staff_y(place, piece->rest_step + 1),
                    0.2 * GLN_STAFF_SPACE, 0, GLN_INK);
  if (unit <= 2 && (piece->rest_step < 0 || piece->rest_step > GLN_STAFF_TOP))
    gln_canvas_stroke(place->canvas, x - 1.5, gln_staff_y(place, step), x + GLN_HEAD_WIDTH + 1.5,
                      gln_staff_y(place, step), LEDGER_WIDTH, GLN_INK);
}

/* ---- tablature ----------------------------------------------------------------------------------------------------- */

static void draw_fret(const GlnStaffPlace *place, double centre, const GlnScoreNote *note) {
  double y = place->tab_top + (place->strings - 1 - note->string) * place->tab_gap;
  GlnBuffer words = gln_buffer(place->canvas->arena);
  gln_buffer_add_integer(&words, note->fret);
  GlnSegment segment = {.text = gln_canvas_said(place->canvas, &words),
                        .face = GLN_FACE_TEXT,
                        .size = FRET_SIZE,
                        .stretch = note->fret > 9 ? 0.86 : 1};
  const GlnShaped *text = gln_canvas_shape(place->canvas, &segment, 1);
  double width = text->ink.right - text->ink.left, left = centre - width / 2;
  gln_canvas_area(place->canvas, (GlnBox){left - 0.9, y - 2.6, left + width + 0.9, y + 2.6}, 0, 0,
                  GLN_PAPER_WHITE);
  gln_canvas_text(place->canvas, text, left - text->ink.left, y - (text->ink.top + text->ink.bottom) / 2,
                  GLN_INK);
}

static void draw_frets(const GlnStaffPlace *place, const GlnScoreBar *bar) {
  for (size_t c = 0; c < bar->column_count; c++) {
    uint32_t drawn = 0; /* a string that both hands' voices have is written once */
    for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
      for (size_t p = 0; p < bar->written->counts[voice]; p++) {
        const GlnScorePiece *piece = &bar->pieces[voice][p];
        for (size_t n = 0; piece->place == c && !piece->piece->ties_back && n < piece->count; n++) {
          uint32_t bit = UINT32_C(1) << piece->notes[n].string;
          if ((drawn & bit) == 0)
            draw_fret(place, bar->columns[c].x + GLN_HEAD_WIDTH / 2, &piece->notes[n]);
          drawn |= bit;
        }
      }
  }
}

void gln_score_bar_draw(const GlnStaffPlace *place, const GlnScoreBar *bar) {
  if (bar->silent[GLN_VOICE_FINGERS] && bar->silent[GLN_VOICE_THUMB]) {
    double centre = (bar->columns[0].x + bar->left + bar->width) / 2;
    gln_staff_sign(place, "\uE4E3", centre - GLN_HEAD_WIDTH / 2, gln_staff_y(place, 6));
    return;
  }
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++) {
    for (size_t p = 0; p < bar->written->counts[voice]; p++) {
      const GlnScorePiece *piece = &bar->pieces[voice][p];
      if (piece->count == 0) {
        draw_rest(place, bar, piece);
        continue;
      }
      draw_heads(place, bar, piece);
      draw_stem(place, bar, voice, piece);
      if (piece->beam_last > p)
        draw_beams(place, bar, voice, p);
    }
    draw_tuplets(place, bar, voice);
  }
  if (!bar->slashes)
    draw_frets(place, bar);
}

/* ---- ties ---------------------------------------------------------------------------------------------------------- */

static void draw_tie(const GlnStaffPlace *place, double left, double right, double y, bool over) {
  enum { STEPS = 12 };
  GlnSpot spots[2 * STEPS + 2];
  double way = over ? -1 : 1;
  double height = fmin(1.1 * GLN_STAFF_SPACE, fmax(0.5 * GLN_STAFF_SPACE, (right - left) * 0.14));
  double start = y + way * 0.35 * GLN_STAFF_SPACE;
  for (int i = 0; i <= STEPS; i++) {
    double part = (double)i / STEPS, bow = 4 * part * (1 - part);
    spots[i] = (GlnSpot){left + (right - left) * part, start + way * height * bow};
    spots[2 * STEPS + 1 - i] =
        (GlnSpot){spots[i].x, start + way * (height * bow - TIE_WIDTH * (0.3 + 0.7 * bow))};
  }
  gln_canvas_shape_fill(place->canvas, spots, GLN_COUNT_OF(spots), GLN_INK);
}

static void draw_tied(const GlnStaffPlace *place, int voice, const GlnScorePiece *piece, double left,
                      double right) {
  if (right - left < 3)
    left = right - 3;
  for (size_t n = 0; n < piece->count; n++) {
    bool over = piece->count > 1 ? n >= (piece->count + 1) / 2 : false;
    over = gln_stems_up(voice) && over;
    draw_tie(place, left, right, gln_staff_y(place, piece->notes[n].step), over);
  }
}

void gln_score_ties_draw(const GlnStaffPlace *place, const GlnScoreBar *bar,
                         GlnScoreTie ties[GLN_VOICE_COUNT], double line_left) {
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; p < bar->written->counts[voice]; p++) {
      const GlnScorePiece *piece = &bar->pieces[voice][p];
      if (piece->count == 0)
        continue;
      double x = heads_x(bar, piece);
      if (piece->piece->ties_back)
        draw_tied(place, voice, piece, ties[voice].from ? ties[voice].x : line_left, x - 0.5);
      ties[voice] = (GlnScoreTie){.from = piece->piece->ties_on ? piece : NULL};
      ties[voice].x = x + GLN_HEAD_WIDTH + 0.5;
    }
}

void gln_score_tie_end(const GlnStaffPlace *place, GlnScoreTie ties[GLN_VOICE_COUNT], double right) {
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++) {
    if (ties[voice].from)
      draw_tied(place, voice, ties[voice].from, ties[voice].x, fmax(right, ties[voice].x + 3));
    ties[voice] = (GlnScoreTie){0};
  }
}
