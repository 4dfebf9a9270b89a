/* Every distinct grip of the song once, by kind of chord: its names, the diagram with fingers, notes and degrees under
 * the strings, its frets in text, how hard it is to hold, and where it is played. */
#include "page_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Points; design choice, judged by eye on A4 and Letter. */
#define STRING_GAP   11.0
#define COLUMN_LEAST 94.0
#define KIND_ROW     12.0 /* over the first grip of a kind */
#define KIND_SIZE    8.5
#define PIPS         5 /* for the hardest grip; each stands for a fifth of difficulty */
#define PIP          1.9
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
  int kind;   /* index into kinds */
  bool opens; /* the first of its kind */
  const GlnLineSlot *first;
  const GlnLineSlot *const *uses; /* in playing order */
  size_t use_count;
} Entry;

typedef struct Grips {
  GlnSheet *sheet;
  GlnDiagramStyle style;
  Entry *entries;
  size_t count;
  size_t columns;
  double column; /* width of one, the gap left out */
} Grips;

/* ---- kinds of chord ---- */

/* By third, fifth and seventh, as the trade sorts chords; in the order of the page. */
static const char *const kinds[] = {"major", "dominant", "suspended", "minor", "diminished", "other"};
enum { MAJOR, DOMINANT, SUSPENDED, MINOR, DIMINISHED, OTHER };

static bool has_degree(const GlnChord *chord, int number, int alteration) {
  for (int t = 0; t < chord->own_count; t++)
    if (chord->tones[t].degree.number == number && chord->tones[t].degree.alteration == alteration)
      return true;
  return false;
}

static int kind_of(const GlnChord *chord) {
  if (has_degree(chord, 3, -1))
    return has_degree(chord, 5, -1) ? DIMINISHED : MINOR;
  if (has_degree(chord, 3, 0))
    return has_degree(chord, 7, -1) ? DOMINANT : MAJOR;
  return has_degree(chord, 4, 0) || has_degree(chord, 2, 0) || has_degree(chord, 11, 0) ? SUSPENDED : OTHER;
}

/* By kind, within it in the order of the song. */
static int by_kind(const void *a, const void *b) {
  const Entry *x = a, *y = b;
  if (x->kind != y->kind)
    return x->kind - y->kind;
  return x->first < y->first ? -1 : x->first > y->first;
}

static void sort_by_kind(Grips *grips) {
  for (size_t i = 0; i < grips->count; i++)
    grips->entries[i].kind = kind_of(&grips->entries[i].first->slot->event->chord);
  qsort(grips->entries, grips->count, sizeof *grips->entries, by_kind);
  for (size_t i = 0; i < grips->count; i++)
    grips->entries[i].opens = i == 0 || grips->entries[i].kind != grips->entries[i - 1].kind;
}

/* ---- which grips, and where ---- */

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
  const GlnChord *chord = entry->first->chord;
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
  double kind, also, diagram, under;
} Row;

static Row measure_row(const Grips *grips, size_t from, size_t count) {
  Row row = {.under = 4 + NOTE_SIZE * 2.7 + TEXT_SIZE * (1.4 + 1.3 * PLACES_LINES)};
  for (size_t i = from; i < from + count; i++) {
    GlnDiagramSize size =
        gln_diagram_measure(grips->sheet->canvas, &grips->entries[i].first->grip, &grips->style);
    row.diagram = fmax(row.diagram, size.height);
    if (grips->entries[i].opens)
      row.kind = KIND_ROW;
    if (has_other_names(&grips->entries[i]))
      row.also = ALSO_SIZE * 1.35;
  }
  return row;
}

static double row_height(Row row) {
  return row.kind + NAME_ROW + row.also + row.diagram + row.under;
}

/* Filled dots: how hard the grip is to hold. */
static void draw_difficulty(const Grips *grips, double difficulty, double x, double y) {
  int filled = (int)ceil(difficulty * PIPS);
  for (int i = 0; i < PIPS; i++)
    gln_canvas_disc(grips->sheet->canvas, x + i * PIP * 2.7, y, PIP, i < filled ? 0 : 0.5, GLN_INK);
}

static void draw_kind(const Grips *grips, const Entry *entry, double x, double top) {
  gln_canvas_block(grips->sheet->canvas, "kind", GLN_TEXT(""));
  (void)gln_canvas_words(grips->sheet->canvas, gln_text(kinds[entry->kind]), GLN_FACE_BOLD, KIND_SIZE, x,
                         top + KIND_SIZE - 1, GLN_ALIGN_LEFT, GLN_INK_SOFT);
}

static void draw_entry(const Grips *grips, const Entry *entry, Row row, double x, double top) {
  GlnCanvas *canvas = grips->sheet->canvas;
  const GlnEvent *event = entry->first->slot->event;
  const GlnGrip *grip = &entry->first->grip;
  double first_string = x + grips->style.string_gap * 0.5;
  if (entry->opens)
    draw_kind(grips, entry, x, top);
  top += row.kind;
  GlnBuffer words = gln_buffer(canvas->arena);
  gln_diagram_describe(grip, event->symbol, grips->sheet->instrument, &words);
  gln_buffer_format(&words, "; difficulty %d of 100", (int)lround((double)grip->fingering.difficulty * 100));
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
  double wide = gln_canvas_words(canvas, (GlnText){frets, length}, GLN_FACE_BOLD, TEXT_SIZE, x,
                                 top + TEXT_SIZE, GLN_ALIGN_LEFT, GLN_INK);
  draw_difficulty(grips, (double)grip->fingering.difficulty, x + wide + 7, top + TEXT_SIZE * 0.63);
  draw_places(grips, places_of(grips, entry), x, top + TEXT_SIZE * 1.4);
}

static void draw_heading(GlnSheet *sheet, double followed_by) {
  gln_sheet_part_heading(sheet, followed_by + 20);
  gln_sheet_paragraph(
      sheet, "legend",
      GLN_TEXT("By kind of chord. Under the strings their notes and degrees; beside the frets dots for "
               "difficulty, five for the hardest; then the bars where it is played."),
      GLN_FACE_TEXT, 7.5, GLN_INK_SOFT, 1000);
  sheet->y += 6;
}

void gln_sheet_grips(GlnSheet *sheet) {
  GlnCanvas *canvas = sheet->canvas;
  Grips grips = {.sheet = sheet,
                 .style = gln_diagram_style(STRING_GAP, sheet->left_handed, sheet->instrument)};
  double width = sheet->right - sheet->left;
  grips.columns = (size_t)((width + COLUMN_GAP) / (COLUMN_LEAST + COLUMN_GAP));
  grips.column = (width - COLUMN_GAP * (double)(grips.columns - 1)) / (double)grips.columns;
  if (sheet->line->distinct_count == 0 || canvas->status != GLN_OK)
    return;
  if (!collect(&grips)) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return;
  }
  sort_by_kind(&grips);
  for (size_t at = 0; at < grips.count && canvas->status == GLN_OK; at += grips.columns) {
    size_t count = grips.count - at < grips.columns ? grips.count - at : grips.columns;
    Row row = measure_row(&grips, at, count);
    if (at == 0)
      draw_heading(sheet, row_height(row));
    gln_sheet_need(sheet, row_height(row));
    for (size_t i = 0; i < count; i++)
      draw_entry(&grips, &grips.entries[at + i], row, sheet->left + (double)i * (grips.column + COLUMN_GAP),
                 sheet->y);
    sheet->y += row_height(row) + ROW_GAP;
  }
}
