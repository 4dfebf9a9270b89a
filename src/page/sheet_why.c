/* Why it works: keys as a band over the form, a numeral under each chord, then what happens and what could stand in. */
#include "page_internal.h"

#include <math.h>
#include <string.h>

/* Points; design choice, judged by eye at print size and half of it. */
#define BARS_A_ROW    4
#define SECTION_ROW   12.0
#define SECTION_SIZE  8.5
#define BAND_ROW      13.0
#define BAND_SIZE     7.6
#define BAND_SHADE    0.87
#define NAME_ROW      15.0
#define NAME_SIZE     11.0
#define ROMAN_ROW     12.0
#define ROMAN_SIZE    9.0
#define WORK_ROW      9.0
#define WORK_SIZE     6.8
#define ROW_GAP       9.0
#define TEXT_SIZE     8.6
#define SMALL_SIZE    7.6
#define INDENT        12.0
#define REMARKS_MAX   14 /* a page at most */
#define OUTSIDERS_MAX 10

typedef struct Bar {
  size_t first, end; /* slots */
  bool opens;        /* a section */
} Bar;

typedef struct Why {
  GlnSheet *sheet;
  const GlnAnalysis *analysis;
  Bar *bars;
  size_t bar_count;
} Why;

static bool same_reading(const void *context, size_t i, size_t j) {
  const GlnReading *readings = context;
  return strcmp(readings[i].roman, readings[j].roman) == 0 && readings[i].role == readings[j].role &&
         readings[i].key.minor == readings[j].key.minor &&
         gln_note_equal(readings[i].key.tonic, readings[j].key.tonic);
}

static bool prepare(Why *why) {
  const GlnLine *line = why->sheet->line;
  GlnArena *arena = why->sheet->canvas->arena;
  GlnPassage *passages = NULL;
  size_t count = 0;
  if (gln_passages_find(line->song, same_reading, why->analysis->readings, arena, &passages, &count) !=
      GLN_OK)
    return false;
  why->bars = GLN_NEW(arena, Bar, line->slot_count);
  for (size_t p = 0; why->bars && p < count; p++)
    for (size_t i = passages[p].first; !passages[p].returns && i < passages[p].end; i++) {
      bool first = i == passages[p].first;
      if (first || line->slots[i - 1].slot->bar != line->slots[i].slot->bar)
        why->bars[why->bar_count++] = (Bar){.first = i, .opens = first && passages[p].begins_section};
      why->bars[why->bar_count - 1].end = i + 1;
    }
  return why->bars != NULL;
}

/* ---- the form ----------------------------------------------------------------------------------------------------- */

static const GlnRegion *region_at(const Why *why, size_t slot) {
  for (size_t r = 0; r < why->analysis->region_count; r++) {
    const GlnRegion *region = &why->analysis->regions[r];
    if (slot >= region->first && slot < region->first + region->count)
      return region;
  }
  return NULL;
}

static GlnText key_words(const Why *why, const GlnRegion *region) {
  char text[GLN_KEY_TEXT_MAX];
  GlnBuffer words = gln_buffer(why->sheet->canvas->arena);
  if (region->clear) {
    (void)gln_note_print(region->key.tonic, GLN_SIGNS_UNICODE, text);
    gln_buffer_format(&words, "%s %s", text, region->key.minor ? "minor" : "major");
  } else {
    gln_buffer_add_string(&words, "no key is clear");
  }
  return gln_canvas_said(why->sheet->canvas, &words);
}

/* Where a slot of a row lies. */
typedef struct Row {
  size_t first, end; /* bars */
  double bar_width, top;
} Row;

static double slot_x(const Why *why, const Row *row, size_t bar, size_t slot) {
  const GlnLine *line = why->sheet->line;
  double into = 0, all = 0;
  for (size_t i = why->bars[bar].first; i < why->bars[bar].end; i++) {
    double quarters = gln_ratio_value(line->slots[i].slot->quarters);
    into += i < slot ? quarters : 0;
    all += quarters;
  }
  return why->sheet->left + row->bar_width * ((double)(bar - row->first) + (all > 0 ? into / all : 0));
}

/* A slot of a row: which bar it is in, and which it is of the song's. */
typedef struct Spot {
  size_t bar, slot;
} Spot;

static Spot next_spot(const Why *why, const Row *row, Spot spot) {
  if (++spot.slot >= why->bars[spot.bar].end) {
    spot.bar++;
    spot.slot = spot.bar < row->end ? why->bars[spot.bar].first : 0;
  }
  return spot;
}

static void draw_band(const Why *why, const Row *row, const GlnRegion *region, double left, double right) {
  GlnCanvas *canvas = why->sheet->canvas;
  gln_canvas_block(canvas, "key", GLN_TEXT(""));
  gln_canvas_area(canvas, (GlnBox){left + 0.6, row->top, right - 0.6, row->top + BAND_ROW - 2}, 2, 0,
                  BAND_SHADE);
  GlnText words = key_words(why, region);
  if (gln_canvas_measure(canvas, words, GLN_FACE_TEXT, BAND_SIZE) < right - left - 8)
    (void)gln_canvas_words(canvas, words, GLN_FACE_TEXT, BAND_SIZE, left + 5, row->top + 8.2, GLN_ALIGN_LEFT,
                           GLN_INK);
}

/* A band for each stretch of one key, from slot to slot of the row. */
static void draw_bands(const Why *why, const Row *row) {
  Spot spot = {row->first, why->bars[row->first].first};
  while (spot.bar < row->end) {
    const GlnRegion *region = region_at(why, spot.slot);
    Spot end = next_spot(why, row, spot);
    while (end.bar < row->end && region_at(why, end.slot) == region)
      end = next_spot(why, row, end);
    double right = end.bar < row->end ? slot_x(why, row, end.bar, end.slot)
                                      : why->sheet->left + row->bar_width * (double)(row->end - row->first);
    if (region)
      draw_band(why, row, region, slot_x(why, row, spot.bar, spot.slot), right);
    spot = end;
  }
}

static void draw_slot(const Why *why, const Row *row, size_t i, double left, double right) {
  static const char *const works[] = {[GLN_FUNCTION_NONE] = "",
                                      [GLN_FUNCTION_TONIC] = "T",
                                      [GLN_FUNCTION_SUBDOMINANT] = "S",
                                      [GLN_FUNCTION_DOMINANT] = "D"};
  GlnCanvas *canvas = why->sheet->canvas;
  const GlnEvent *event = why->sheet->line->slots[i].slot->event;
  const GlnReading *reading = &why->analysis->readings[i];
  double room = right - left - 5, y = row->top + BAND_ROW + NAME_ROW - 4;
  if (event->symbol.length == 0 || room < 12)
    return;
  gln_canvas_block(canvas, "over", GLN_TEXT(""));
  gln_canvas_text(canvas, gln_chord_name_shape(canvas, event->symbol, &event->chord, NAME_SIZE, room),
                  left + 4, y, GLN_INK);
  if (reading->roman[0] == '\0')
    return;
  GlnSegment roman = {
      .text = gln_text(reading->roman), .face = GLN_FACE_BOLD, .size = ROMAN_SIZE, .stretch = 1};
  double wide = gln_canvas_shape(canvas, &roman, 1)->ink.right;
  if (wide > room) {
    roman.stretch = fmax(room / wide, 0.6);
    roman.size *= wide * roman.stretch > room ? room / (wide * roman.stretch) : 1;
  }
  gln_canvas_block(canvas, "numeral", GLN_TEXT(""));
  gln_canvas_text(canvas, gln_canvas_shape(canvas, &roman, 1), left + 4, y + ROMAN_ROW, GLN_INK);
  gln_canvas_block(canvas, "work", GLN_TEXT(""));
  (void)gln_canvas_words(canvas, gln_text(works[reading->function]), GLN_FACE_TEXT, WORK_SIZE, left + 4,
                         y + ROMAN_ROW + WORK_ROW, GLN_ALIGN_LEFT, GLN_INK_SOFT);
}

static void draw_openings(const Why *why, const Row *row, double top) {
  GlnCanvas *canvas = why->sheet->canvas;
  const GlnLine *line = why->sheet->line;
  for (size_t b = row->first; b < row->end; b++) {
    const GlnSlot *slot = line->slots[why->bars[b].first].slot;
    GlnBuffer words = gln_buffer(canvas->arena);
    GlnText name = line->song->chart->sections[slot->section].name;
    double x = why->sheet->left + row->bar_width * (double)(b - row->first), used = 0;
    if (why->bars[b].opens && name.length > 0) {
      GlnText fits = gln_canvas_fit(canvas, name, GLN_FACE_BOLD, SECTION_SIZE, row->bar_width - 34);
      gln_canvas_block(canvas, "section", GLN_TEXT(""));
      used = 5 + gln_canvas_words(canvas, gln_text_trim(fits), GLN_FACE_BOLD, SECTION_SIZE, x + 1, top + 8,
                                  GLN_ALIGN_LEFT, GLN_INK);
    }
    if (b != row->first && !why->bars[b].opens)
      continue;
    gln_buffer_format(&words, "bar %u", (unsigned)slot->bar);
    gln_canvas_block(canvas, "section", GLN_TEXT(""));
    (void)gln_canvas_words(canvas, gln_canvas_said(canvas, &words), GLN_FACE_TEXT, WORK_SIZE, x + 1 + used,
                           top + 8, GLN_ALIGN_LEFT, GLN_INK_SOFT);
  }
}

static void draw_form(const Why *why) {
  GlnSheet *sheet = why->sheet;
  double height = SECTION_ROW + BAND_ROW + NAME_ROW + ROMAN_ROW + WORK_ROW;
  for (size_t first = 0; first < why->bar_count && sheet->canvas->status == GLN_OK;) {
    Row row = {.first = first, .bar_width = (sheet->right - sheet->left) / BARS_A_ROW};
    row.end = first + 1;
    while (row.end < why->bar_count && row.end - first < BARS_A_ROW && !why->bars[row.end].opens)
      row.end++;
    gln_sheet_need(sheet, height);
    row.top = sheet->y + SECTION_ROW;
    draw_openings(why, &row, sheet->y);
    draw_bands(why, &row);
    for (size_t b = row.first; b < row.end; b++) {
      double right = sheet->left + row.bar_width * (double)(b - first + 1);
      for (size_t i = why->bars[b].first; i < why->bars[b].end; i++)
        draw_slot(why, &row, i, slot_x(why, &row, b, i),
                  i + 1 < why->bars[b].end ? slot_x(why, &row, b, i + 1) : right);
      gln_canvas_block(sheet->canvas, "rule", GLN_TEXT(""));
      double x = right - row.bar_width;
      gln_canvas_stroke(sheet->canvas, x + 0.3, row.top + BAND_ROW + 1, x + 0.3, sheet->y + height, 0.6,
                        GLN_INK_LINE);
    }
    sheet->y += height + ROW_GAP;
    first = row.end;
  }
}

/* ---- words --------------------------------------------------------------------------------------------------------- */

/* A heading further down the page. */
static void head_words(GlnSheet *sheet, const char *words) {
  sheet->y += sheet->y > sheet->top ? 8 : 0;
  gln_sheet_heading(sheet, words, 60);
}

/* Chord symbols among words, with real flats and sharps. */
static GlnText with_signs(GlnCanvas *canvas, GlnText words) {
  GlnBuffer out = gln_buffer(canvas->arena);
  for (size_t at = 0; at < words.length;) {
    size_t end = at;
    while (end < words.length && !gln_is_blank(words.at[end]))
      end++;
    size_t stop = end;
    while (stop > at && strchr(".,:;)", words.at[stop - 1]) &&
           !(words.at[stop - 1] == ')' && memchr(words.at + at, '(', stop - at)))
      stop--;
    GlnChord chord;
    bool symbol = gln_chord_parse(gln_text_slice(words, at, stop - at), &chord, NULL) == GLN_OK;
    for (; at < stop; at++) {
      char c = words.at[at];
      bool sign = symbol && (c == 'b' || c == '#') && at > 0 &&
                  ((words.at[at - 1] >= 'A' && words.at[at - 1] <= 'G') ||
                   (at + 1 < stop && gln_is_digit(words.at[at + 1])));
      if (sign)
        gln_buffer_add_string(&out, c == 'b' ? "\u266d" : "\u266f");
      else
        gln_buffer_add_byte(&out, c);
    }
    while (end < words.length && gln_is_blank(words.at[end]))
      end++;
    gln_buffer_add(&out, gln_text_slice(words, stop, end - stop));
    at = end;
  }
  return gln_canvas_said(canvas, &out);
}

/* A line in bold with an indented paragraph under it; both stay on one page where a page holds them. */
static void draw_item(GlnSheet *sheet, GlnText head, GlnText words) {
  gln_sheet_need(sheet, TEXT_SIZE * 1.38 + 2 * SMALL_SIZE * 1.38);
  gln_sheet_paragraph(sheet, "why", head, GLN_FACE_BOLD, TEXT_SIZE, GLN_INK, GLN_SHEET_NOTES_MAX);
  sheet->left += INDENT;
  gln_sheet_paragraph(sheet, "why", words, GLN_FACE_TEXT, SMALL_SIZE, GLN_INK, GLN_SHEET_NOTES_MAX);
  sheet->left -= INDENT;
  sheet->y += 3;
}

static bool is_outsider(const GlnReading *reading) {
  return reading->roman[0] != '\0' && reading->reason && reading->role != GLN_PLACE_DIATONIC &&
         reading->role != GLN_PLACE_TWO_FIVE;
}

/* Chords that the key does not explain by itself, each kind once. */
static void draw_outsiders(const Why *why) {
  GlnSheet *sheet = why->sheet;
  const GlnLine *line = sheet->line;
  size_t shown[OUTSIDERS_MAX], count = 0;
  for (size_t i = 0; i < line->slot_count && count < OUTSIDERS_MAX; i++) {
    const GlnReading *reading = &why->analysis->readings[i];
    bool seen = !is_outsider(reading);
    for (size_t k = 0; k < count && !seen; k++)
      seen = strcmp(why->analysis->readings[shown[k]].roman, reading->roman) == 0 &&
             why->analysis->readings[shown[k]].role == reading->role;
    if (seen)
      continue;
    if (count == 0)
      head_words(sheet, "Chords that come from elsewhere");
    shown[count++] = i;
    GlnBuffer head = gln_buffer(sheet->canvas->arena);
    char symbol[GLN_SYMBOL_TEXT_MAX];
    (void)gln_chord_print(&line->slots[i].slot->event->chord, GLN_SIGNS_UNICODE, symbol);
    gln_buffer_format(&head, "%s, %s: %s (bar %u)", symbol, reading->roman, gln_place_words(reading->role),
                      (unsigned)line->slots[i].slot->bar);
    draw_item(sheet, gln_canvas_said(sheet->canvas, &head), gln_text(reading->reason));
  }
}

static void draw_remarks(const Why *why) {
  GlnSheet *sheet = why->sheet;
  const GlnRemarks *remarks = sheet->matter->remarks;
  GlnText shown[REMARKS_MAX];
  size_t count = 0;
  for (size_t i = 0; remarks && i < remarks->count && count < REMARKS_MAX; i++) {
    const GlnRemark *remark = &remarks->items[i];
    bool seen = false; /* what comes round again is said once */
    for (size_t k = 0; k < count && !seen; k++)
      seen = gln_text_equal(shown[k], remark->text);
    if (seen)
      continue;
    if (count == 0)
      head_words(sheet, "What you might not hear");
    shown[count++] = remark->text;
    GlnBuffer head = gln_buffer(sheet->canvas->arena);
    gln_buffer_add_string(&head, gln_remark_words(remark->kind));
    if (remark->name.length > 0) {
      gln_buffer_add_string(&head, " ");
      gln_buffer_add(&head, remark->name);
    }
    gln_buffer_add_string(&head, ", ");
    gln_add_bars(sheet->line->song, remark->first, remark->last + 1, &head);
    draw_item(sheet, gln_canvas_said(sheet->canvas, &head), with_signs(sheet->canvas, remark->text));
  }
}

static void add_symbol(GlnBuffer *out, const GlnChord *chord) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  (void)gln_chord_print(chord, GLN_SIGNS_UNICODE, symbol);
  gln_buffer_add_string(out, symbol);
}

static void draw_family(const Why *why, const GlnSheetFamily *shown) {
  static const char *const where[] = {
      [GLN_STANDIN_INSTEAD] = "", [GLN_STANDIN_BEFORE] = " before it", [GLN_STANDIN_AFTER] = " after it"};
  GlnSheet *sheet = why->sheet;
  const GlnChordFamily *family = shown->family;
  const GlnLine *line = sheet->line;
  GlnBuffer head = gln_buffer(sheet->canvas->arena);
  for (size_t m = 0; m < family->member_count; m++) {
    gln_buffer_add_string(&head, m > 0 ? ", " : "");
    add_symbol(&head, &line->slots[family->members[m]].slot->event->chord);
  }
  char tonic[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(family->key.tonic, GLN_SIGNS_UNICODE, tonic);
  gln_buffer_format(&head, ": %s%s%s in %s %s", gln_function_words(family->function),
                    family->target[0] != '\0' ? " of " : "", family->target, tonic,
                    family->key.minor ? "minor" : "major");
  gln_sheet_need(sheet, TEXT_SIZE * 1.38 + 2 * SMALL_SIZE * 1.38 * (double)shown->offer_count);
  gln_sheet_paragraph(sheet, "why", gln_canvas_said(sheet->canvas, &head), GLN_FACE_BOLD, TEXT_SIZE, GLN_INK,
                      GLN_SHEET_NOTES_MAX);
  sheet->left += INDENT;
  for (size_t o = 0; o < shown->offer_count; o++) {
    const GlnStandin *offer = shown->offers[o];
    GlnBuffer words = gln_buffer(sheet->canvas->arena);
    add_symbol(&words, &offer->chord);
    gln_buffer_format(&words, "%s, %s: ", where[offer->where], gln_standin_words(offer->kind));
    gln_buffer_add(&words, with_signs(sheet->canvas, offer->reason));
    gln_sheet_paragraph(sheet, "why", gln_canvas_said(sheet->canvas, &words), GLN_FACE_TEXT, SMALL_SIZE,
                        GLN_INK, GLN_SHEET_NOTES_MAX);
  }
  sheet->left -= INDENT;
  sheet->y += 3;
}

void gln_sheet_why(GlnSheet *sheet) {
  const GlnSheetMatter *matter = sheet->matter;
  Why why = {.sheet = sheet, .analysis = matter->analysis};
  if (!matter->analysis || sheet->line->slot_count == 0)
    return;
  if (!prepare(&why)) {
    gln_canvas_fail(sheet->canvas, GLN_MEMORY);
    return;
  }
  gln_sheet_part_heading(sheet, 100);
  gln_sheet_paragraph(
      sheet, "legend",
      GLN_TEXT("Grey: the key that is heard. Under each chord its degree in that key, and what it does "
               "there: T is home (tonic), S leads away (subdominant), D wants to go home (dominant)."),
      GLN_FACE_TEXT, 8, GLN_INK_SOFT, GLN_SHEET_NOTES_MAX);
  sheet->y += 6;
  draw_form(&why);
  draw_outsiders(&why);
  draw_remarks(&why);
  for (size_t f = 0; f < matter->family_count; f++) {
    if (f == 0)
      head_words(sheet, "Chords that could stand in");
    draw_family(&why, &matter->families[f]);
  }
  sheet->y += TEXT_SIZE; /* before the next part's heading */
}
