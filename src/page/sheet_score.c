/* Draws the performance as staff and tablature: bars cut into lines, each line with clefs, key, names of chords and sections. */
#include "score_internal.h"

#include <math.h>
#include <stdlib.h>

/* Points; design choice, judged by eye at print size and half of it. */
#define NAME_ROW      15.0
#define SECTION_ROW   19.0
#define SECTION_SIZE  9.0
#define BAR_PAD       (1.6 * GLN_STAFF_SPACE) /* between a bar line and the first head */
#define CLEF_ROOM     (3.4 * GLN_STAFF_SPACE)
#define METER_ROOM    (2.6 * GLN_STAFF_SPACE)
#define TAB_GAP       6.4
#define TAB_ABOVE     11.0 /* between the staff's lowest ink and the tablature */
#define LINE_GAP      16.0
#define BARS_A_LINE   4
#define LOOSEST       1.5 /* a last line is set no wider than so much of what it wishes for */
#define CROWDED_SIZE  7.0
#define CROWDED_WORDS "more notes than a line can hold"
#define NUMBER_SIZE   6.6
#define STAFF_LINE    (0.13 * GLN_STAFF_SPACE) /* bravura_metadata.json, staffLineThickness */

typedef struct Score {
  GlnSheet *sheet;
  GlnKey key;
  bool has_key;
  GlnScoreBar *bars;
  size_t count;
  GlnScoreTie ties[GLN_VOICE_COUNT];
} Score;

static int signs_in_key(const Score *score) {
  int of_letter[7], count = 0;
  if (!score->has_key)
    return 0;
  gln_key_accidentals(score->key, of_letter);
  for (int i = 0; i < 7; i++)
    count += of_letter[i] != 0;
  return count;
}

static double head_room(const Score *score) {
  return CLEF_ROOM + GLN_STAFF_SPACE * signs_in_key(score);
}

static double bar_room(const GlnScoreBar *bar) {
  return bar->width + BAR_PAD + (bar->meter ? METER_ROOM : 0);
}

static bool opens_section(const Score *score, size_t b) {
  const GlnSong *song = score->sheet->line->song;
  size_t first = score->bars[b].played->first_slot;
  const GlnSlot *slot = &song->slots[first];
  return first == 0 || slot[-1].section != slot->section || slot[-1].section_pass != slot->section_pass;
}

/* ---- the head of a line ------------------------------------------------------------------------------------------ */

static void draw_key(const Score *score, const GlnStaffPlace *place, double x) {
  static const int sharp_steps[7] = {8, 5, 9, 6, 3, 7, 4}, flat_steps[7] = {4, 7, 3, 6, 2, 5, 1};
  int fifths = score->has_key ? gln_key_fifths(score->key) : 0;
  fifths += fifths > 7 ? -12 : fifths < -7 ? 12 : 0;
  for (int i = 0; i < abs(fifths); i++)
    gln_staff_sign(place, gln_accidental_sign(fifths > 0 ? 1 : -1), x + GLN_STAFF_SPACE * i,
                   gln_staff_y(place, fifths > 0 ? sharp_steps[i] : flat_steps[i]));
}

static void draw_number(const GlnStaffPlace *place, int number, double centre, double step) {
  char signs[16];
  size_t length = 0;
  int digits[4] = {0}, count = 0;
  for (int rest = number; count < 4 && (rest > 0 || count == 0); rest /= 10)
    digits[count++] = rest % 10;
  while (count-- > 0) { /* SMuFL time-signature digits, U+E080 to U+E089 */
    signs[length++] = '\xEE';
    signs[length++] = '\x82';
    signs[length++] = (char)(0x80 + digits[count]);
  }
  GlnSegment segment = {.text = {signs, length},
                        .said = GLN_TEXT(" "),
                        .face = GLN_FACE_MUSIC,
                        .size = GLN_SIGN_SIZE,
                        .stretch = 1};
  const GlnShaped *text = gln_canvas_shape(place->canvas, &segment, 1);
  gln_canvas_text(place->canvas, text, centre - text->advance / 2, gln_staff_y(place, step), GLN_INK);
}

static void draw_lines(const GlnStaffPlace *place, double left, double right) {
  for (int step = 0; step <= GLN_STAFF_TOP; step += 2)
    gln_canvas_stroke(place->canvas, left, gln_staff_y(place, step), right, gln_staff_y(place, step),
                      STAFF_LINE, GLN_INK);
  for (int s = 0; s < place->strings; s++) {
    double y = place->tab_top + s * place->tab_gap;
    gln_canvas_stroke(place->canvas, left, y, right, y, 0.5, GLN_INK_LINE);
  }
}

static double tab_bottom(const GlnStaffPlace *place) {
  return place->tab_top + (place->strings - 1) * place->tab_gap;
}

static void draw_bar_line(const GlnStaffPlace *place, double x, double width) {
  gln_canvas_stroke(place->canvas, x, gln_staff_y(place, GLN_STAFF_TOP), x, gln_staff_y(place, 0), width,
                    GLN_INK);
  gln_canvas_stroke(place->canvas, x, place->tab_top, x, tab_bottom(place), width, GLN_INK);
}

static void draw_tab_clef(const GlnStaffPlace *place, double x) {
  static const char *const letters[] = {"T", "A", "B"};
  double middle = (place->tab_top + tab_bottom(place)) / 2, size = place->strings > 4 ? 8.5 : 6.5;
  for (int i = 0; i < 3; i++)
    (void)gln_canvas_words(place->canvas, gln_text(letters[i]), GLN_FACE_BOLD, size, x + 4.5,
                           middle + (i - 1) * size * 1.12 + size * 0.36, GLN_ALIGN_CENTRE, GLN_INK);
}

static void draw_head(const Score *score, const GlnStaffPlace *place, double left, double right) {
  draw_lines(place, left, right);
  gln_canvas_stroke(place->canvas, left + 0.3, gln_staff_y(place, GLN_STAFF_TOP), left + 0.3,
                    tab_bottom(place), 0.6, GLN_INK);
  gln_staff_sign(place, "\uE052", left + 0.5 * GLN_STAFF_SPACE, gln_staff_y(place, 2));
  draw_key(score, place, left + CLEF_ROOM);
  draw_tab_clef(place, left + 0.6 * GLN_STAFF_SPACE);
}

/* ---- one line ------------------------------------------------------------------------------------------------------- */

/* Places the columns of the line's bars. */
static void spread(const Score *score, size_t first, size_t end, double left, double right) {
  double fixed = head_room(score), wish = 0;
  for (size_t b = first; b < end; b++) {
    const GlnScoreBar *bar = &score->bars[b];
    fixed += bar_room(bar) - bar->width + bar->columns[0].left;
    wish += bar->width - bar->columns[0].left;
  }
  double stretch = (right - left - fixed) / wish, x = left + head_room(score);
  if (end == score->count)
    stretch = fmin(stretch, LOOSEST);
  for (size_t b = first; b < end; b++) {
    GlnScoreBar *bar = &score->bars[b];
    bar->left = x;
    x += bar_room(bar) - bar->width + bar->columns[0].left;
    for (size_t c = 0; c < bar->column_count; c++) {
      bar->columns[c].x = x;
      x += bar->columns[c].wish * stretch;
    }
    bar->width = x - bar->left;
    gln_score_bar_stems(bar);
  }
}

static void draw_names(const Score *score, size_t first, size_t end, double baseline, double right) {
  GlnCanvas *canvas = score->sheet->canvas;
  double free_from = 0;
  for (size_t b = first; b < end; b++)
    for (size_t c = 0; c < score->bars[b].column_count; c++) {
      const GlnScoreColumn *column = &score->bars[b].columns[c];
      if (!column->name)
        continue;
      double x = fmin(column->x, right - column->name->ink.right);
      if (x + column->name->ink.left < free_from) /* more chords than a line can name: the chart has them */
        continue;
      gln_canvas_block(canvas, "over", GLN_TEXT(""));
      gln_canvas_text(canvas, column->name, x, baseline, GLN_INK);
      free_from = x + column->name->ink.right + 2;
    }
}

static void draw_sections(const Score *score, size_t first, size_t end, double top, double right) {
  GlnCanvas *canvas = score->sheet->canvas;
  const GlnSong *song = score->sheet->line->song;
  double free_from = 0;
  for (size_t b = first; b < end; b++) {
    const GlnSlot *slot = &song->slots[score->bars[b].played->first_slot];
    GlnText name = song->chart->sections[slot->section].name;
    double x = fmax(score->bars[b].left, free_from);
    if (b == first)
      x = score->sheet->left;
    if (!opens_section(score, b) || name.length == 0 || right - x < 30)
      continue;
    double next = right;
    for (size_t n = b + 1; n < end; n++)
      if (opens_section(score, n)) {
        next = score->bars[n].left - 8;
        break;
      }
    GlnText fits = gln_canvas_fit(canvas, name, GLN_FACE_BOLD, SECTION_SIZE, fmax(next - x - 12, 20));
    double wide = gln_canvas_measure(canvas, fits, GLN_FACE_BOLD, SECTION_SIZE);
    gln_canvas_block(canvas, "section", GLN_TEXT(""));
    (void)gln_canvas_words(canvas, fits, GLN_FACE_BOLD, SECTION_SIZE, x + 4.5, top + 10.4, GLN_ALIGN_LEFT,
                           GLN_INK);
    gln_canvas_area(canvas, (GlnBox){x + 0.4, top + 0.4, x + 8.6 + wide, top + 14}, 1.5, 0.8, GLN_INK);
    free_from = x + 18 + wide;
  }
}

static void draw_bars(Score *score, const GlnStaffPlace *place, size_t first, size_t end, double left) {
  for (size_t b = first; b < end; b++) {
    GlnScoreBar *bar = &score->bars[b];
    double right = bar->left + bar->width;
    if (bar->meter) {
      double centre = bar->left + METER_ROOM / 2 + 0.3 * GLN_STAFF_SPACE;
      draw_number(place, bar->written->beats, centre, 6.06);
      draw_number(place, bar->written->unit, centre, 1.94);
    }
    if (bar->crowded)
      (void)gln_canvas_words(place->canvas, GLN_TEXT(CROWDED_WORDS), GLN_FACE_TEXT, CROWDED_SIZE,
                             bar->columns[0].x, gln_staff_y(place, GLN_STAFF_MIDDLE) + CROWDED_SIZE * 0.36,
                             GLN_ALIGN_LEFT, GLN_INK);
    else
      gln_score_bar_draw(place, bar);
    gln_score_ties_draw(place, bar, score->ties, left + head_room(score) - 2);
    bool last = b + 1 == score->count;
    draw_bar_line(place, right - (last ? 3.6 : 0.3), 0.6);
    if (last)
      draw_bar_line(place, right - 1.1, 2.2);
    else if (opens_section(score, b + 1))
      draw_bar_line(place, right - 2.8, 0.6);
  }
}

static GlnText words_of(const Score *score, size_t first, size_t end) {
  GlnBuffer words = gln_buffer(score->sheet->canvas->arena);
  const GlnPlayedBar *last = score->bars[end - 1].played;
  gln_buffer_add_string(&words, "staff and tablature, ");
  gln_add_bars(score->sheet->line->song, score->bars[first].played->first_slot,
               last->first_slot + last->slot_count, &words);
  return gln_canvas_said(score->sheet->canvas, &words);
}

static void draw_line(Score *score, size_t first, size_t end) {
  GlnSheet *sheet = score->sheet;
  GlnCanvas *canvas = sheet->canvas;
  double high = GLN_STAFF_TOP + 1, low = -1;
  spread(score, first, end, sheet->left, sheet->right);
  bool section = false;
  for (size_t b = first; b < end; b++) {
    gln_score_bar_reach(&score->bars[b], &high, &low);
    section =
        section || (opens_section(score, b) &&
                    sheet->line->song->chart
                            ->sections[sheet->line->song->slots[score->bars[b].played->first_slot].section]
                            .name.length > 0);
  }
  high = fmax(high, GLN_STAFF_TOP + 3.6); /* the clef, and the number of the bar over it */
  low = fmin(low, -6.5);                  /* the clef with its 8 */
  double above = (section ? SECTION_ROW : 0) + NAME_ROW + (high - GLN_STAFF_TOP) * GLN_STAFF_STEP;
  GlnStaffPlace place = {.canvas = canvas, .tab_gap = TAB_GAP, .strings = sheet->instrument->string_count};
  double height = above + (GLN_STAFF_TOP - low) * GLN_STAFF_STEP + TAB_ABOVE + TAB_GAP * (place.strings - 1);
  gln_sheet_need(sheet, height + 4);
  place.bottom = sheet->y + above + GLN_STAFF_TOP * GLN_STAFF_STEP;
  place.tab_top = place.bottom - low * GLN_STAFF_STEP + TAB_ABOVE;
  double right = score->bars[end - 1].left + score->bars[end - 1].width;
  if (section)
    draw_sections(score, first, end, sheet->y, sheet->right);
  draw_names(score, first, end, sheet->y + (section ? SECTION_ROW : 0) + NAME_ROW - 4.5, sheet->right);
  gln_canvas_block(canvas, "score", words_of(score, first, end));
  GlnBuffer number = gln_buffer(canvas->arena);
  gln_buffer_format(&number, "%u",
                    (unsigned)sheet->line->song->slots[score->bars[first].played->first_slot].bar);
  if (first > 0)
    (void)gln_canvas_words(canvas, gln_canvas_said(canvas, &number), GLN_FACE_TEXT, NUMBER_SIZE,
                           sheet->left + 1, gln_staff_y(&place, GLN_STAFF_TOP + 3.4), GLN_ALIGN_LEFT,
                           GLN_INK_SOFT);
  draw_head(score, &place, sheet->left, right);
  draw_bars(score, &place, first, end, sheet->left);
  gln_score_tie_end(&place, score->ties, right - 1);
  sheet->y += height + LINE_GAP;
}

/* ---- the whole ------------------------------------------------------------------------------------------------------ */

/* A bar that no line can hold is named, not squeezed until nobody can read it. */
static void make_way(const Score *score, GlnScoreBar *bar) {
  GlnCanvas *canvas = score->sheet->canvas;
  GlnNotationBar *empty = GLN_NEW(canvas->arena, GlnNotationBar, 1);
  if (bar_room(bar) <= score->sheet->right - score->sheet->left - head_room(score))
    return;
  if (!empty) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return;
  }
  *empty = *bar->written;
  empty->counts[GLN_VOICE_FINGERS] = empty->counts[GLN_VOICE_THUMB] = 0;
  bar->written = empty;
  bar->crowded = true;
  bar->column_count = 1;
  bar->columns[0].left = 0;
  bar->columns[0].wish =
      12 + gln_canvas_measure(canvas, GLN_TEXT(CROWDED_WORDS), GLN_FACE_TEXT, CROWDED_SIZE);
  bar->width = bar->columns[0].wish;
}

static bool prepare(Score *score) {
  GlnSheet *sheet = score->sheet;
  const GlnNotated *notated = sheet->notated;
  score->count = notated->count;
  score->bars = GLN_NEW(sheet->canvas->arena, GlnScoreBar, notated->count);
  if (!score->bars)
    return false;
  for (size_t b = 0; b < notated->count && sheet->canvas->status == GLN_OK; b++) {
    const GlnNotationBar *written = &notated->written[b];
    score->bars[b] = (GlnScoreBar){.played = &notated->played[b], .written = written};
    score->bars[b].meter = b == 0 || written[-1].beats != written->beats || written[-1].unit != written->unit;
    gln_score_bar_prepare(sheet->canvas, sheet->line->song, score->key, sheet->instrument, &score->bars[b]);
    if (sheet->canvas->status == GLN_OK)
      make_way(score, &score->bars[b]);
  }
  return true;
}

static GlnText legend_of(const GlnSheet *sheet) {
  GlnBuffer words = gln_buffer(sheet->canvas->arena);
  gln_buffer_add_string(&words,
                        "As it is played: the thumb\u2019s stems go down, the fingers\u2019 up. It sounds an "
                        "octave lower than it is written.");
  if (sheet->notated->swing.num > sheet->notated->swing.den)
    gln_buffer_format(&words, " Swing: the %s are written even, and the first of each two is played longer.",
                      gln_ratio_compare(sheet->notated->pair, gln_ratio(1, 1)) < 0 ? "sixteenths"
                                                                                   : "eighths");
  return gln_canvas_said(sheet->canvas, &words);
}

void gln_sheet_score(GlnSheet *sheet) {
  const GlnChart *chart = sheet->chart;
  Score score = {.sheet = sheet, .has_key = chart->has_key};
  score.key = chart->has_key ? chart->key : (GlnKey){{0, 0}, false};
  if (!sheet->notated || sheet->notated->count == 0)
    return;
  if (!prepare(&score)) {
    gln_canvas_fail(sheet->canvas, GLN_MEMORY);
    return;
  }
  gln_sheet_part_heading(sheet, 170);
  gln_sheet_paragraph(sheet, "legend", legend_of(sheet), GLN_FACE_TEXT, 8, GLN_INK_SOFT, GLN_SHEET_NOTES_MAX);
  sheet->y += 8;
  double width = sheet->right - sheet->left - head_room(&score);
  for (size_t first = 0; first < score.count && sheet->canvas->status == GLN_OK;) {
    size_t end = first + 1;
    double room = bar_room(&score.bars[first]);
    while (end < score.count && end - first < BARS_A_LINE && room + bar_room(&score.bars[end]) <= width)
      room += bar_room(&score.bars[end++]);
    draw_line(&score, first, end);
    first = end;
  }
}
