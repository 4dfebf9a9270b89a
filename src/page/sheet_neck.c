/* The neck path: time across, frets up. A band is the hand, dots are the strings it stops, lines are fingers that
 * keep their string, black numbers the hardest changes. What comes back the same is drawn once. */
#include "page_internal.h"

#include <math.h>
#include <stdlib.h>

/* Points; design choice, judged by eye on A4 and Letter and at half their size. */
#define FRET         11.0 /* height of one; less where that keeps the whole on its page */
#define FRET_LEAST   7.5  /* small numbers still stand apart */
#define FRET_STEP    0.25
#define LABEL_ROOM   18.0 /* for the frets' numbers */
#define TOP_ROW      15.0 /* section names and bar numbers */
#define NAME_ROW     12.0
#define NAME_SIZE    10.0
#define NAME_LEAST   11.0 /* a narrower slot goes without its name */
#define SMALL_SIZE   6.6
#define SECTION_SIZE 9.0
#define MARK_ROW     12.0 /* for the numbers of hard changes */
#define ROW_GAP      13.0
#define HEADING_ROOM 60.0 /* heading and legend */
#define STRING_GAP   4.2
#define SLOT_LEAST   25.0 /* wished for each change */
#define LANE         0.7  /* between the lines of neighbouring strings at one fret */
#define BAND_SHADE   0.85
#define WIRE_SHADE   0.7 /* of frets: the band and the dots come first */
#define HAND_FRETS   4   /* at ease each finger has a fret of its own: docs/moves.md */
#define FRETS_LEAST  5
#define HEAVY        3 /* so many hard changes stand out */

typedef struct Bar {
  size_t first, end; /* slots of the line */
  double quarters;
  bool joins;              /* it follows the bar before it in the song */
  const GlnPassage *opens; /* the passage whose section it begins, else NULL */
} Bar;

typedef struct Neck {
  GlnSheet *sheet;
  const GlnPassage *passages;
  size_t passage_count;
  Bar *bars;
  size_t bar_count;
  size_t bars_a_row;
  double quarter; /* points */
  double fret;    /* points */
  int low, high;  /* frets shown */
} Neck;

/* ---- what is drawn ---- */

static bool same_grip(const void *context, size_t i, size_t j) {
  const GlnLine *line = context;
  const GlnLineSlot *a = &line->slots[i], *b = &line->slots[j];
  return a->silent == b->silent && (a->silent || a->distinct == b->distinct);
}

static void add_bars(Neck *neck, const GlnPassage *passage) {
  const GlnLine *line = neck->sheet->line;
  for (size_t i = passage->first; i < passage->end; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    bool begins = i == passage->first || line->slots[i - 1].slot->bar != slot->bar;
    if (begins) {
      Bar *bar = &neck->bars[neck->bar_count++];
      *bar = (Bar){.first = i, .opens = i == passage->first && passage->begins_section ? passage : NULL};
      bar->joins = neck->bar_count > 1 && bar[-1].end == i;
    }
    Bar *bar = &neck->bars[neck->bar_count - 1];
    bar->end = i + 1;
    bar->quarters += gln_ratio_value(slot->quarters);
  }
}

/* Frets under the hand, and those it stops. */
typedef struct Window {
  int low, high; /* high 0: nothing is stopped */
} Window;

static Window window_of(const GlnLineSlot *slot) {
  int low = GLN_FRETS_MAX + 1, high = 0, sum = 0, count = 0;
  for (int s = 0; !slot->silent && s < slot->grip.frets.string_count; s++) {
    int fret = slot->grip.frets.fret[s], finger = slot->grip.fingering.finger[s];
    if (fret <= 0)
      continue;
    low = fret < low ? fret : low;
    high = fret > high ? fret : high;
    if (finger >= 1 && finger <= 4) {
      sum += fret - (finger - 1);
      count++;
    }
  }
  if (high == 0)
    return (Window){0, 0};
  int place = count > 0 ? (int)lround((double)sum / count) : low;
  place = place < 1 ? 1 : place;
  Window window = {low < place ? low : place, place + HAND_FRETS - 1};
  window.high = high > window.high ? high : window.high;
  return window;
}

static int by_size(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

/* As many bars a row as leave most slots room for their strings, and the width of a quarter note. */
static bool choose_scale(Neck *neck) {
  const GlnLine *line = neck->sheet->line;
  double width = neck->sheet->right - neck->sheet->left - LABEL_ROOM;
  double *lengths = GLN_NEW(neck->sheet->canvas->arena, double, line->slot_count);
  if (!lengths)
    return false;
  size_t count = 0;
  double longest = 0;
  for (size_t b = 0; b < neck->bar_count; b++) {
    longest = fmax(longest, neck->bars[b].quarters);
    for (size_t i = neck->bars[b].first; i < neck->bars[b].end; i++)
      lengths[count++] = gln_ratio_value(line->slots[i].slot->quarters);
  }
  qsort(lengths, count, sizeof *lengths, by_size);
  double usual = lengths[count / 10]; /* one slot in ten may be tighter */
  for (neck->bars_a_row = 8; neck->bars_a_row > 1; neck->bars_a_row /= 2)
    if (SLOT_LEAST / usual * longest * (double)neck->bars_a_row <= width)
      break;
  neck->quarter = width / (longest * (double)neck->bars_a_row);
  return true;
}

static bool prepare(Neck *neck) {
  const GlnLine *line = neck->sheet->line;
  GlnArena *arena = neck->sheet->canvas->arena;
  GlnPassage *passages = NULL;
  if (gln_passages_find(line->song, same_grip, line, arena, &passages, &neck->passage_count) != GLN_OK)
    return false;
  neck->passages = passages;
  neck->bars = GLN_NEW(arena, Bar, line->slot_count);
  if (!neck->bars)
    return false;
  for (size_t p = 0; p < neck->passage_count; p++)
    if (!passages[p].returns)
      add_bars(neck, &passages[p]);
  neck->low = GLN_FRETS_MAX;
  for (size_t i = 0; i < line->slot_count; i++) {
    Window window = window_of(&line->slots[i]);
    if (window.high == 0)
      continue;
    neck->low = window.low < neck->low ? window.low : neck->low;
    neck->high = window.high > neck->high ? window.high : neck->high;
  }
  if (neck->high == 0)
    neck->low = 1;
  if (neck->high < neck->low + FRETS_LEAST - 1)
    neck->high = neck->low + FRETS_LEAST - 1;
  return choose_scale(neck);
}

/* ---- one row ---- */

typedef struct Row {
  const Neck *neck;
  size_t first, end; /* bars */
  double quarter;
  double left;        /* of the first bar */
  double top, bottom; /* of the frets */
} Row;

static double fret_y(const Row *row, int fret) {
  return row->top + (row->neck->high - fret + 0.5) * row->neck->fret;
}

static const GlnLineSlot *slot_at(const Row *row, size_t i) {
  return &row->neck->sheet->line->slots[i];
}

/* Where a slot lies across the page. */
typedef struct Place {
  double left, right, gap; /* gap between its strings' dots */
} Place;

static Place place_of(const Row *row, size_t i) {
  double x = row->left;
  for (size_t b = row->first; b < row->end && row->neck->bars[b].first <= i; b++) {
    size_t end = row->neck->bars[b].end < i ? row->neck->bars[b].end : i;
    for (size_t k = row->neck->bars[b].first; k < end; k++)
      x += gln_ratio_value(slot_at(row, k)->slot->quarters) * row->quarter;
  }
  Place place = {x, x + gln_ratio_value(slot_at(row, i)->slot->quarters) * row->quarter, 0};
  int strings = slot_at(row, i)->grip.frets.string_count;
  place.gap = fmin(STRING_GAP, (place.right - place.left) / (strings + 0.6));
  return place;
}

static double string_x(const Row *row, Place place, const GlnGrip *grip, int string) {
  int at = row->neck->sheet->left_handed ? grip->frets.string_count - 1 - string : string;
  return place.left + place.gap * (at + 0.8);
}

static void draw_lattice(const Row *row) {
  const Neck *neck = row->neck;
  GlnCanvas *canvas = neck->sheet->canvas;
  double right = row->left;
  for (size_t b = row->first; b < row->end; b++)
    right += neck->bars[b].quarters * row->quarter;
  for (int fret = neck->low; fret <= neck->high; fret++) {
    char digits[4] = {(char)(fret >= 10 ? '0' + fret / 10 : ' '), (char)('0' + fret % 10)};
    (void)gln_canvas_words(canvas, gln_text_trim((GlnText){digits, 2}), GLN_FACE_TEXT, SMALL_SIZE,
                           row->left - 5, fret_y(row, fret) + SMALL_SIZE * 0.36, GLN_ALIGN_RIGHT,
                           GLN_INK_SOFT);
  }
  for (int line = 0; line <= neck->high - neck->low + 1; line++)
    gln_canvas_stroke(canvas, row->left, row->top + line * neck->fret, right, row->top + line * neck->fret,
                      0.3, WIRE_SHADE);
}

static void draw_bar_lines(const Row *row) {
  GlnCanvas *canvas = row->neck->sheet->canvas;
  double x = row->left;
  for (size_t b = row->first; b <= row->end; b++) {
    double at = b == row->end ? x - 0.35 : x;
    gln_canvas_stroke(canvas, at, row->top, at, row->bottom, 0.7, GLN_INK);
    bool broken = b < row->end && b > row->first && (!row->neck->bars[b].joins || row->neck->bars[b].opens);
    if (broken)
      gln_canvas_stroke(canvas, x - 2, row->top, x - 2, row->bottom, 0.7, GLN_INK);
    if (b < row->end)
      x += row->neck->bars[b].quarters * row->quarter;
  }
}

static void draw_band(const Row *row, size_t i) {
  GlnCanvas *canvas = row->neck->sheet->canvas;
  Window window = window_of(slot_at(row, i));
  if (window.high == 0)
    return;
  Place place = place_of(row, i);
  double top = fret_y(row, window.high) - row->neck->fret / 2,
         bottom = fret_y(row, window.low) + row->neck->fret / 2;
  gln_canvas_area(canvas, (GlnBox){place.left, top, place.right, bottom}, 0, 0, BAND_SHADE);
  gln_canvas_stroke(canvas, place.left, top, place.right, top, 0.6, GLN_INK_SOFT);
  gln_canvas_stroke(canvas, place.left, bottom, place.right, bottom, 0.6, GLN_INK_SOFT);
}

static const GlnBarre *barre_at(const GlnGrip *grip, int string) {
  for (int b = 0; b < grip->fingering.barre_count; b++) {
    const GlnBarre *barre = &grip->fingering.barres[b];
    if (string >= barre->low_string && string <= barre->high_string &&
        grip->frets.fret[string] == barre->fret)
      return barre;
  }
  return NULL;
}

static void draw_dots(const Row *row, size_t i) {
  GlnCanvas *canvas = row->neck->sheet->canvas;
  const GlnGrip *grip = &slot_at(row, i)->grip;
  Place place = place_of(row, i);
  double radius = fmin(place.gap * 0.45, row->neck->fret * 0.3);
  for (int b = 0; b < grip->fingering.barre_count; b++) {
    const GlnBarre *barre = &grip->fingering.barres[b];
    double a = string_x(row, place, grip, barre->low_string),
           z = string_x(row, place, grip, barre->high_string);
    double y = fret_y(row, barre->fret);
    gln_canvas_area(canvas, (GlnBox){fmin(a, z) - radius, y - radius, fmax(a, z) + radius, y + radius},
                    radius, 0, GLN_INK);
  }
  for (int s = 0; s < grip->frets.string_count; s++)
    if (grip->frets.fret[s] > 0 && !barre_at(grip, s))
      gln_canvas_disc(canvas, string_x(row, place, grip, s), fret_y(row, grip->frets.fret[s]), radius, 0,
                      GLN_INK);
}

/* The string whose dot a finger's line leaves from: of a barre, the last one in playing direction. */
static int string_of(const GlnGrip *grip, int finger, bool last) {
  int found = -1;
  for (int s = 0; s < grip->frets.string_count; s++)
    if (grip->fingering.finger[s] == finger && grip->frets.fret[s] > 0 && (found < 0 || last))
      found = s;
  return found;
}

/* Fingers that stay on their string, from slot i to the next. */
static void draw_kept(const Row *row, size_t i) {
  const GlnGrip *from = &slot_at(row, i)->grip, *to = &slot_at(row, i + 1)->grip;
  Place here = place_of(row, i), there = place_of(row, i + 1);
  const GlnMove move = gln_move_between(row->neck->sheet->instrument, from, to);
  for (int f = 0; f < (int)GLN_COUNT_OF(move.finger); f++) {
    if (move.finger[f] != GLN_FINGER_STAYS && move.finger[f] != GLN_FINGER_SLIDES)
      continue;
    bool mirrored = row->neck->sheet->left_handed;
    int leaves = string_of(from, f + 1, !mirrored), arrives = string_of(to, f + 1, mirrored);
    double lane = (leaves - (from->frets.string_count - 1) / 2.0) * -LANE;
    double y = fret_y(row, from->frets.fret[leaves]) + lane;
    double end = fret_y(row, to->frets.fret[arrives]) + lane;
    const GlnSpot spots[3] = {{string_x(row, here, from, leaves), y},
                              {fmax(string_x(row, here, from, leaves), here.right - 5), y},
                              {string_x(row, there, to, arrives), end}};
    gln_canvas_line(row->neck->sheet->canvas, spots, 3, 0.8, GLN_INK, true);
  }
}

static void draw_names(const Row *row, size_t i) {
  GlnCanvas *canvas = row->neck->sheet->canvas;
  Place place = place_of(row, i);
  const GlnEvent *event = slot_at(row, i)->slot->event;
  double room = place.right - place.left - 2.5;
  if (room < NAME_LEAST)
    return;
  const GlnShaped *name = gln_chord_name_shape(canvas, event->symbol, &event->chord, NAME_SIZE, room);
  if (name->ink.right <= room) /* what cannot be made so small is on the chart */
    gln_canvas_text(canvas, name, place.left + 1, row->top - 3.5, GLN_INK);
}

/* The change's number under it, and a heavy broken line where it is one of the hardest of all. */
static void draw_hard(const Row *row, size_t i, double *least) {
  const Neck *neck = row->neck;
  GlnCanvas *canvas = neck->sheet->canvas;
  size_t number = neck->sheet->hard->number[i];
  if (number == 0)
    return;
  double x = place_of(row, i).left, dash = neck->fret / 2;
  for (double y = row->top; number <= HEAVY && y < row->bottom - 0.1; y += dash * 1.6)
    gln_canvas_stroke(canvas, x, y, x, fmin(y + dash, row->bottom), 2.0, GLN_INK);
  if (x < *least) /* no room for its number beside the last one's */
    return;
  gln_hard_change_mark(canvas, number, x, row->bottom + MARK_ROW - GLN_HARD_MARK_SIZE / 2 - 0.5);
  *least = x + GLN_HARD_MARK_SIZE * 1.1;
}

/* "1" or "1, 9, 17": the bar's number, and where the passage that it begins comes back. */
static GlnText bar_words(const Neck *neck, const Bar *bar) {
  const GlnSong *song = neck->sheet->line->song;
  GlnBuffer words = gln_buffer(neck->sheet->canvas->arena);
  gln_buffer_format(&words, "%u", (unsigned)song->slots[bar->first].bar);
  int told = 0;
  for (size_t p = 0; bar->opens && p < neck->passage_count; p++) {
    const GlnPassage *passage = &neck->passages[p];
    if (!passage->returns || passage->source_first != bar->first)
      continue;
    if (told++ == 6) {
      gln_buffer_add_string(&words, "\u2026");
      break;
    }
    gln_buffer_format(&words, ", %u", (unsigned)song->slots[passage->first].bar);
  }
  return gln_canvas_said(neck->sheet->canvas, &words);
}

/* Section name and bar number; *taken is how far the last one reaches. A section's name may go on over bars. */
static void draw_top(const Row *row, size_t b, double x, double width, double right, double *taken) {
  const Neck *neck = row->neck;
  GlnCanvas *canvas = neck->sheet->canvas;
  const Bar *bar = &neck->bars[b];
  double baseline = row->top - NAME_ROW - 4, at = fmax(x + 1, *taken);
  GlnText name = neck->sheet->chart->sections[slot_at(row, bar->first)->slot->section].name;
  if (bar->opens && name.length > 0) {
    GlnText fits =
        gln_canvas_fit(canvas, name, GLN_FACE_BOLD, SECTION_SIZE, fmax(fmin(right - at - 9, 150), 1));
    double wide = gln_canvas_measure(canvas, fits, GLN_FACE_BOLD, SECTION_SIZE);
    if (at + wide + 9 < right) {
      (void)gln_canvas_words(canvas, fits, GLN_FACE_BOLD, SECTION_SIZE, at + 3.5, baseline, GLN_ALIGN_LEFT,
                             GLN_INK);
      gln_canvas_area(canvas, (GlnBox){at, baseline - 9, at + wide + 7, baseline + 2.6}, 1.2, 0.7, GLN_INK);
      at += wide + 11;
      *taken = at;
    }
  }
  GlnText words = bar_words(neck, bar);
  GlnText fits = gln_canvas_fit(canvas, words, GLN_FACE_TEXT, SMALL_SIZE, x + width - at - 2);
  if (gln_canvas_measure(canvas, fits, GLN_FACE_TEXT, SMALL_SIZE) <= x + width - at - 2)
    (void)gln_canvas_words(canvas, fits, GLN_FACE_TEXT, SMALL_SIZE, at, baseline, GLN_ALIGN_LEFT,
                           GLN_INK_SOFT);
}

/* The row in words: where the hand is, chord by chord. */
static GlnText describe(const Row *row) {
  const Neck *neck = row->neck;
  GlnBuffer words = gln_buffer(neck->sheet->canvas->arena);
  gln_buffer_add_string(&words, "The hand along the neck");
  for (size_t i = neck->bars[row->first].first; i < neck->bars[row->end - 1].end; i++) {
    const GlnLineSlot *slot = slot_at(row, i);
    Window window = window_of(slot);
    gln_buffer_format(&words, "; bar %u ", (unsigned)slot->slot->bar);
    gln_buffer_add(&words, slot->slot->event->symbol);
    if (slot->silent)
      gln_buffer_add_string(&words, " silent");
    else if (window.high == 0)
      gln_buffer_add_string(&words, " open strings");
    else
      gln_buffer_format(&words, " frets %d to %d", window.low, window.high);
    if (neck->sheet->hard->number[i] > 0)
      gln_buffer_format(&words, ", hard change %d", neck->sheet->hard->number[i]);
    if (i + 1 < neck->bars[row->end - 1].end && slot_at(row, i + 1)->slot != slot->slot + 1)
      gln_buffer_add_string(&words, "; then");
  }
  return gln_canvas_said(neck->sheet->canvas, &words);
}

static void draw_row(const Row *row) {
  const Neck *neck = row->neck;
  gln_canvas_block(neck->sheet->canvas, "neck", describe(row));
  for (size_t b = row->first; b < row->end; b++)
    for (size_t i = neck->bars[b].first; i < neck->bars[b].end; i++)
      draw_band(row, i);
  draw_lattice(row);
  draw_bar_lines(row);
  double x = row->left, least = 0, taken = 0, right = neck->sheet->right;
  for (size_t b = row->first; b < row->end; b++) {
    const Bar *bar = &neck->bars[b];
    draw_top(row, b, x, bar->quarters * row->quarter, right, &taken);
    x += bar->quarters * row->quarter;
    for (size_t i = bar->first; i < bar->end; i++) {
      draw_hard(row, i, &least);
      draw_names(row, i);
      if (slot_at(row, i)->silent)
        continue;
      draw_dots(row, i);
      bool goes_on = i + 1 < bar->end || (b + 1 < row->end && neck->bars[b + 1].first == i + 1);
      if (goes_on && !slot_at(row, i + 1)->silent)
        draw_kept(row, i);
    }
  }
}

/* ---- rows ---- */

/* Bars of the section that begins with this bar, as far as they are drawn together. */
static size_t together(const Neck *neck, size_t at) {
  size_t count = 1;
  while (at + count < neck->bar_count && !neck->bars[at + count].opens && neck->bars[at + count].joins)
    count++;
  return count;
}

static size_t row_end(const Neck *neck, size_t first, double width, double *quarters) {
  size_t end = first;
  *quarters = 0;
  while (end < neck->bar_count && end - first < neck->bars_a_row) {
    const Bar *bar = &neck->bars[end];
    bool breaks = end > first && (bar->opens || !bar->joins);
    if (breaks && end - first + together(neck, end) > neck->bars_a_row)
      break;
    if (end > first && (*quarters + bar->quarters) * neck->quarter > width + 0.1)
      break;
    *quarters += bar->quarters;
    end++;
  }
  return end;
}

static bool has_hard(const Neck *neck, size_t first, size_t end) {
  for (size_t i = neck->bars[first].first; i < neck->bars[end - 1].end; i++)
    if (neck->sheet->hard->number[i] > 0)
      return true;
  return false;
}

/* How high the rows are from this bar on. */
static double row_height(const Neck *neck, size_t first, size_t end) {
  return TOP_ROW + NAME_ROW + (neck->high - neck->low + 1) * neck->fret +
         (has_hard(neck, first, end) ? MARK_ROW : 0);
}

static double whole_height(const Neck *neck, double width) {
  double height = HEADING_ROOM, quarters;
  for (size_t first = 0; first < neck->bar_count;) {
    size_t end = row_end(neck, first, width, &quarters);
    height += row_height(neck, first, end) + (first > 0 ? ROW_GAP : 0);
    first = end;
  }
  return height;
}

static bool is_within(Neck *neck, double width, double room) {
  for (neck->fret = FRET; neck->fret >= FRET_LEAST; neck->fret -= FRET_STEP)
    if (whole_height(neck, width) <= room)
      return true;
  neck->fret = FRET;
  return false;
}

/* As high as frets can be with all rows in the room there is, with the cautions below them if that can be; their full
 * height where even the least is too much. */
static bool fits_in(Neck *neck, double width, double room) {
  return is_within(neck, width, room - gln_sheet_cautions_height(neck->sheet)) ||
         is_within(neck, width, room);
}

static void draw_heading(GlnSheet *sheet, double followed_by) {
  gln_sheet_part_heading(sheet, followed_by);
  gln_sheet_paragraph(
      sheet, "legend",
      GLN_TEXT("Time runs across, frets go up. The band is the hand, dots are the strings it "
               "stops, the lowest string first; lines are fingers that keep their string. "
               "A black number marks one of the hardest changes, 1 the hardest; the first three have a heavy "
               "broken line."),
      GLN_FACE_TEXT, 7.5, GLN_INK_SOFT, 1000);
  sheet->y += 6;
}

void gln_sheet_neck(GlnSheet *sheet) {
  Neck neck = {.sheet = sheet};
  if (sheet->line->slot_count == 0)
    return;
  if (!prepare(&neck)) {
    gln_canvas_fail(sheet->canvas, GLN_MEMORY);
    return;
  }
  double width = sheet->right - sheet->left - LABEL_ROOM;
  /* On the page that has begun where that can be; else on one of its own, unless that leaves more than half of this one
   * empty; else on as many as it takes. */
  bool half_full = sheet->y - sheet->top > sheet->bottom - sheet->y;
  if (!fits_in(&neck, width, sheet->bottom - sheet->y) && half_full &&
      fits_in(&neck, width, sheet->bottom - sheet->top))
    gln_sheet_need(sheet, whole_height(&neck, width));
  for (size_t first = 0; first < neck.bar_count && sheet->canvas->status == GLN_OK;) {
    double quarters = 0;
    size_t end = row_end(&neck, first, width, &quarters);
    double height = row_height(&neck, first, end);
    if (first == 0)
      draw_heading(sheet, height + HEADING_ROOM - 26);
    gln_sheet_need(sheet, height);
    Row row = {.neck = &neck, .first = first, .end = end, .left = sheet->left + LABEL_ROOM};
    row.quarter = fmin(neck.quarter, width / quarters);
    row.top = sheet->y + TOP_ROW + NAME_ROW;
    row.bottom = row.top + (neck.high - neck.low + 1) * neck.fret;
    draw_row(&row);
    sheet->y += height + ROW_GAP;
    first = end;
  }
}
