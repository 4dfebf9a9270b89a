/* Every distinct grip of the song once: its names, the diagram with fingers, notes and degrees under the
 * strings, its frets in text, and where it is played. */
#include "page_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Points; design choice, judged by eye on A4 and Letter. */
#define STRING_GAP   11.0
#define COLUMNS      5
#define COLUMN_GAP   8.0
#define NAME_SIZE    15.0
#define NAME_ROW     18.5
#define ALSO_SIZE    9.0
#define NOTE_SIZE    6.6
#define TEXT_SIZE    7.0
#define ROW_GAP      16.0
#define PLACES_LINES 2 /* of where it is played; more are counted */

/* One grip and the slots that use it. */
typedef struct Entry {
  const GlnLineSlot *first;
  const GlnLineSlot *const *uses; /* in playing order */
  size_t use_count;
} Entry;

typedef struct Grips {
  GlnSheet *sheet;
  GlnDiagramStyle style;
  Entry *entries;
  size_t count;
  double column; /* width of one, the gap left out */
} Grips;

/* Sorts the line's slots by grip: two passes of counting. */
static bool collect(Grips *grips) {
  const GlnLine *line = grips->sheet->line;
  GlnArena *arena = grips->sheet->canvas->arena;
  grips->count = line->distinct_count;
  grips->entries = GLN_NEW(arena, Entry, line->distinct_count);
  const GlnLineSlot **uses = GLN_NEW(arena, const GlnLineSlot *, line->slot_count);
  size_t *next = GLN_NEW(arena, size_t, line->distinct_count);
  if (!grips->entries || !uses || !next)
    return false;
  for (size_t i = 0; i < line->slot_count; i++)
    if (!line->slots[i].silent)
      grips->entries[line->slots[i].distinct].use_count++;
  size_t at = 0;
  for (size_t d = 0; d < grips->count; d++) {
    grips->entries[d].first = &line->slots[line->distinct[d]];
    grips->entries[d].uses = uses + at;
    next[d] = at;
    at += grips->entries[d].use_count;
  }
  for (size_t i = 0; i < line->slot_count; i++)
    if (!line->slots[i].silent)
      uses[next[line->slots[i].distinct]++] = &line->slots[i];
  return true;
}

/* ---- words under a diagram ---- */

/* "♭13" as signs of the music face and digits; squeezed to the room between strings. */
static void draw_under(GlnCanvas *canvas, GlnText words, double centre, double baseline, double room,
                       double shade) {
  GlnSegment segment = {.text = words, .face = GLN_FACE_TEXT, .size = NOTE_SIZE, .stretch = 1};
  const GlnShaped *text = gln_canvas_shape(canvas, &segment, 1);
  if (text->advance > room) {
    segment.stretch = room / text->advance;
    text = gln_canvas_shape(canvas, &segment, 1);
  }
  gln_canvas_text(canvas, text, centre - text->advance / 2, baseline, shade);
}

static void draw_notes(const Grips *grips, const Entry *entry, double x, double top) {
  GlnCanvas *canvas = grips->sheet->canvas;
  const GlnGrip *grip = &entry->first->grip;
  const GlnChord *chord = &entry->first->slot->event->chord;
  double gap = grips->style.string_gap, room = gap - 1.0;
  for (int s = 0; s < grip->frets.string_count; s++) {
    int tone = grip->tone[s];
    if (grip->frets.fret[s] == GLN_NOT_PLAYED || tone < 0 || tone >= chord->tone_count)
      continue;
    int place = grips->style.left_handed ? grip->frets.string_count - 1 - s : s;
    char note[GLN_NOTE_TEXT_MAX], degree[GLN_DEGREE_TEXT_MAX];
    size_t note_length = gln_note_print(chord->tones[tone].note, GLN_SIGNS_UNICODE, note);
    size_t degree_length = gln_degree_print(chord->tones[tone].degree, GLN_SIGNS_UNICODE, degree);
    draw_under(canvas, (GlnText){note, note_length}, x + place * gap, top + NOTE_SIZE, room, GLN_INK);
    draw_under(canvas, (GlnText){degree, degree_length}, x + place * gap, top + NOTE_SIZE * 2.35, room,
               GLN_INK_SOFT);
  }
}

/* ---- where it is played ---- */

static int by_place(const void *a, const void *b) {
  const GlnSlot *x = (*(const GlnLineSlot *const *)a)->slot, *y = (*(const GlnLineSlot *const *)b)->slot;
  if (x->section != y->section)
    return x->section < y->section ? -1 : 1;
  if (x->written_bar != y->written_bar)
    return x->written_bar < y->written_bar ? -1 : 1;
  return 0;
}

/* "A 1, 5; B 3": section and bars as written. */
static GlnText places_of(const Grips *grips, const Entry *entry) {
  GlnCanvas *canvas = grips->sheet->canvas;
  GlnBuffer words = gln_buffer(canvas->arena);
  const GlnLineSlot **sorted = GLN_NEW(canvas->arena, const GlnLineSlot *, entry->use_count);
  if (!sorted) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return GLN_TEXT("");
  }
  memcpy(sorted, entry->uses, entry->use_count * sizeof(const GlnLineSlot *));
  qsort(sorted, entry->use_count, sizeof(const GlnLineSlot *), by_place);
  const GlnSlot *last = NULL;
  for (size_t i = 0; i < entry->use_count; i++) {
    const GlnSlot *slot = sorted[i]->slot;
    if (last && by_place(&sorted[i - 1], &sorted[i]) == 0)
      continue;
    GlnText name = grips->sheet->chart->sections[slot->section].name;
    if (!last || last->section != slot->section) {
      gln_buffer_add_string(&words, last ? "; " : "");
      gln_buffer_add(&words, name.length > 0 ? name : GLN_TEXT("bar"));
      gln_buffer_format(&words, " %u", (unsigned)slot->written_bar + 1);
    } else {
      gln_buffer_format(&words, ", %u", (unsigned)slot->written_bar + 1);
    }
    last = slot;
  }
  return gln_canvas_said(canvas, &words);
}

static void draw_places(const Grips *grips, GlnText places, double x, double top) {
  GlnCanvas *canvas = grips->sheet->canvas;
  for (int line = 0; line < PLACES_LINES && places.length > 0 && canvas->status == GLN_OK; line++) {
    bool last = line + 1 == PLACES_LINES;
    GlnText fits = gln_canvas_fit(canvas, places, GLN_FACE_TEXT, TEXT_SIZE, grips->column);
    if (last && fits.length < places.length) {
      fits = gln_canvas_fit(canvas, places, GLN_FACE_TEXT, TEXT_SIZE, grips->column - 8);
      GlnBuffer cut = gln_buffer(canvas->arena);
      gln_buffer_add(&cut, fits);
      gln_buffer_add_string(&cut, "\u2026");
      places = fits = gln_canvas_said(canvas, &cut);
    }
    (void)gln_canvas_words(canvas, gln_text_trim(fits), GLN_FACE_TEXT, TEXT_SIZE, x, top + TEXT_SIZE,
                           GLN_ALIGN_LEFT, GLN_INK_SOFT);
    top += TEXT_SIZE * 1.3;
    places = gln_text_trim(gln_text_from(places, fits.length));
  }
}

/* ---- one grip ---- */

/* The grip's other names in this song, as they fit. */
static void draw_also(const Grips *grips, const Entry *entry, double x, double baseline) {
  GlnCanvas *canvas = grips->sheet->canvas;
  double end = x + grips->column, at = x;
  for (size_t i = 1; i < entry->use_count; i++) {
    const GlnEvent *event = entry->uses[i]->slot->event;
    bool said = false;
    for (size_t j = 0; j < i && !said; j++)
      said = gln_text_equal(event->symbol, entry->uses[j]->slot->event->symbol);
    if (said)
      continue;
    const GlnShaped *name =
        gln_chord_name_shape(canvas, event->symbol, &event->chord, ALSO_SIZE, grips->column - 20);
    double lead =
        gln_canvas_measure(canvas, at > x ? GLN_TEXT(", ") : GLN_TEXT("also "), GLN_FACE_TEXT, TEXT_SIZE);
    if (at + lead + name->advance > end)
      return;
    at += gln_canvas_words(canvas, at > x ? GLN_TEXT(", ") : GLN_TEXT("also "), GLN_FACE_TEXT, TEXT_SIZE, at,
                           baseline, GLN_ALIGN_LEFT, GLN_INK_SOFT);
    gln_canvas_text(canvas, name, at, baseline, GLN_INK);
    at += name->advance + 1;
  }
}

static bool has_other_names(const Entry *entry) {
  for (size_t i = 1; i < entry->use_count; i++)
    if (!gln_text_equal(entry->uses[i]->slot->event->symbol, entry->uses[0]->slot->event->symbol))
      return true;
  return false;
}

/* Heights of a row of grips. */
typedef struct Row {
  double also, diagram, under;
} Row;

static Row measure_row(const Grips *grips, size_t from, size_t count) {
  Row row = {.under = 4 + NOTE_SIZE * 2.7 + TEXT_SIZE * (1.4 + 1.3 * PLACES_LINES)};
  for (size_t i = from; i < from + count; i++) {
    GlnDiagramSize size =
        gln_diagram_measure(grips->sheet->canvas, &grips->entries[i].first->grip, &grips->style);
    row.diagram = fmax(row.diagram, size.height);
    if (has_other_names(&grips->entries[i]))
      row.also = ALSO_SIZE * 1.35;
  }
  return row;
}

static double row_height(Row row) {
  return NAME_ROW + row.also + row.diagram + row.under;
}

static void draw_entry(const Grips *grips, const Entry *entry, Row row, double x, double top) {
  GlnCanvas *canvas = grips->sheet->canvas;
  const GlnEvent *event = entry->first->slot->event;
  const GlnGrip *grip = &entry->first->grip;
  double first_string = x + grips->style.string_gap * 0.5;
  GlnBuffer words = gln_buffer(canvas->arena);
  gln_diagram_describe(grip, event->symbol, grips->sheet->instrument, &words);
  gln_canvas_block(canvas, "grip", gln_canvas_said(canvas, &words));
  const GlnShaped *name =
      gln_chord_name_shape(canvas, event->symbol, &event->chord, NAME_SIZE, grips->column);
  gln_canvas_text(canvas, name, x, top + NAME_ROW - 4, GLN_INK);
  draw_also(grips, entry, x, top + NAME_ROW - 4 + row.also * 0.9);
  top += NAME_ROW + row.also;
  gln_diagram_draw(canvas, grip, &grips->style, first_string, top);
  top += row.diagram + 4;
  draw_notes(grips, entry, first_string, top);
  top += NOTE_SIZE * 2.7;
  char frets[GLN_FRETS_TEXT_MAX];
  size_t length = gln_frets_print(&grip->frets, frets);
  (void)gln_canvas_words(canvas, (GlnText){frets, length}, GLN_FACE_BOLD, TEXT_SIZE, x, top + TEXT_SIZE,
                         GLN_ALIGN_LEFT, GLN_INK);
  draw_places(grips, places_of(grips, entry), x, top + TEXT_SIZE * 1.4);
}

void gln_sheet_grips(GlnSheet *sheet) {
  GlnCanvas *canvas = sheet->canvas;
  Grips grips = {.sheet = sheet, .style = gln_diagram_style(STRING_GAP, sheet->left_handed)};
  grips.column = (sheet->right - sheet->left - COLUMN_GAP * (COLUMNS - 1)) / COLUMNS;
  if (sheet->line->distinct_count == 0 || canvas->status != GLN_OK)
    return;
  if (!collect(&grips)) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return;
  }
  for (size_t at = 0; at < grips.count && canvas->status == GLN_OK; at += COLUMNS) {
    size_t count = grips.count - at < COLUMNS ? grips.count - at : COLUMNS;
    Row row = measure_row(&grips, at, count);
    if (at == 0)
      gln_sheet_heading(sheet, "The grips", row_height(row));
    gln_sheet_need(sheet, row_height(row));
    for (size_t i = 0; i < count; i++)
      draw_entry(&grips, &grips.entries[at + i], row, sheet->left + (double)i * (grips.column + COLUMN_GAP),
                 sheet->y);
    sheet->y += row_height(row) + ROW_GAP;
  }
}
