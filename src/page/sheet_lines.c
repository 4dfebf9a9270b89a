/* Cuts the chart into lines of four bars and gives every bar and chord its place across the page.
 * A bar that does not fit beside its neighbours takes a line of two, then of one; a bar wider than the page goes on in
 * the next line. Where a chord's beat leaves too little room it moves right, and its slashes with it. */
#include "page_internal.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* Points; design choice, judged by eye on A4 and Letter. */
#define STRING_GAP  7.4
#define NAME_SIZE   15.0
#define NAME_WIDEST 150.0
#define BARS_A_LINE 4
#define REPEAT_ROOM 9.0
#define CELL_GAP    6.0 /* least room between neighbours */

/* Sizes tried for names and diagrams: the first with the fewest lines is the whole chart's. */
static const double scales[] = {1, 0.94, 0.88};

/* One way in which a section is played: once for most, and again where a later playing has other grips. */
typedef struct Take {
  size_t section;
  const GlnLineSlot **slots; /* for each chord of the section; NULL: never played */
  GlnText heading;
} Take;

typedef struct Cutter {
  GlnSheet *sheet;
  GlnDiagramStyle style;
  double name_size;
  Take *takes;
  size_t take_count, take_capacity;
} Cutter;

/* ---- which grips belong to which written chord ---- */

/* All playings of every written chord, chords in the order of the chart. */
typedef struct Playings {
  size_t *section_at;        /* where each section's chords begin; one more for the end */
  size_t *first;             /* where each chord's playings begin; one more for the end */
  const GlnLineSlot **slots; /* in playing order */
} Playings;

static size_t count_chords(const GlnSection *section) {
  size_t count = 0;
  for (size_t b = 0; b < section->bar_count; b++)
    count += section->bars[b].event_count;
  return count;
}

/* Place of each bar's first chord, bars counted through all sections. */
static bool number_chords(const GlnSheet *sheet, Playings *playings, size_t **bar_at, size_t **bars_before) {
  const GlnChart *chart = sheet->chart;
  GlnArena *arena = sheet->canvas->arena;
  size_t bars = 0, at = 0;
  for (size_t s = 0; s < chart->section_count; s++)
    bars += chart->sections[s].bar_count;
  playings->section_at = GLN_NEW(arena, size_t, chart->section_count + 1);
  *bars_before = GLN_NEW(arena, size_t, chart->section_count);
  *bar_at = GLN_NEW(arena, size_t, bars);
  if (!playings->section_at || !*bars_before || !*bar_at)
    return false;
  bars = 0;
  for (size_t s = 0; s < chart->section_count; s++) {
    playings->section_at[s] = at;
    (*bars_before)[s] = bars;
    for (size_t b = 0; b < chart->sections[s].bar_count; b++) {
      (*bar_at)[bars++] = at;
      at += chart->sections[s].bars[b].event_count;
    }
  }
  playings->section_at[chart->section_count] = at;
  return true;
}

static bool find_playings(const GlnSheet *sheet, Playings *playings) {
  const GlnLine *line = sheet->line;
  GlnArena *arena = sheet->canvas->arena;
  size_t *bar_at, *bars_before;
  if (!number_chords(sheet, playings, &bar_at, &bars_before))
    return false;
  size_t chords = playings->section_at[sheet->chart->section_count];
  size_t *chord_of = GLN_NEW(arena, size_t, line->slot_count), *next = GLN_NEW(arena, size_t, chords + 1);
  playings->first = GLN_NEW(arena, size_t, chords + 1);
  playings->slots = GLN_NEW(arena, const GlnLineSlot *, line->slot_count);
  if (!chord_of || !next || !playings->first || !playings->slots)
    return false;
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    const GlnBar *bar = &sheet->chart->sections[slot->section].bars[slot->written_bar];
    chord_of[i] =
        bar_at[bars_before[slot->section] + slot->written_bar] + (size_t)(slot->event - bar->events);
    playings->first[chord_of[i] + 1]++;
  }
  for (size_t c = 0; c < chords; c++)
    next[c + 1] = playings->first[c + 1] += playings->first[c];
  for (size_t i = 0; i < line->slot_count; i++)
    playings->slots[next[chord_of[i]]++] = &line->slots[i];
  return true;
}

/* A chord's playing number n, or its last when it has fewer; NULL when it has none. */
static const GlnLineSlot *playing(const Playings *playings, size_t chord, size_t n) {
  size_t first = playings->first[chord], count = playings->first[chord + 1] - first;
  return count == 0 ? NULL : playings->slots[first + (n < count ? n : count - 1)];
}

static bool same_grips(const Playings *playings, const Take *take, size_t n) {
  size_t from = playings->section_at[take->section], to = playings->section_at[take->section + 1];
  for (size_t c = from; c < to; c++) {
    const GlnLineSlot *a = take->slots[c - from], *b = playing(playings, c, n);
    if (a && b && (a->silent != b->silent || (!a->silent && a->distinct != b->distinct)))
      return false;
  }
  return true;
}

static bool add_take(Cutter *cutter, const Playings *playings, size_t section, size_t n) {
  GlnArena *arena = cutter->sheet->canvas->arena;
  size_t from = playings->section_at[section], count = playings->section_at[section + 1] - from;
  if (cutter->take_count == cutter->take_capacity) {
    size_t capacity = cutter->take_capacity * 2 + 16;
    Take *more = GLN_NEW(arena, Take, capacity);
    if (!more)
      return false;
    if (cutter->take_count > 0)
      memcpy(more, cutter->takes, cutter->take_count * sizeof *more);
    cutter->takes = more;
    cutter->take_capacity = capacity;
  }
  Take *take = &cutter->takes[cutter->take_count++];
  *take = (Take){.section = section, .slots = GLN_NEW(arena, const GlnLineSlot *, count)};
  for (size_t c = 0; take->slots && c < count; c++)
    take->slots[c] = playing(playings, from + c, n);
  return take->slots != NULL;
}

/* "A", or "A, times 1, 3" where other times have other grips. take_of tells for each playing which take it is. */
static void name_takes(Cutter *cutter, size_t first, const size_t *take_of, size_t plays) {
  GlnCanvas *canvas = cutter->sheet->canvas;
  for (size_t t = first; t < cutter->take_count; t++) {
    GlnText name = cutter->sheet->chart->sections[cutter->takes[t].section].name;
    GlnBuffer words = gln_buffer(canvas->arena);
    gln_buffer_add(&words, name);
    size_t told = 0;
    for (size_t n = 0; cutter->take_count - first > 1 && n < plays; n++)
      if (take_of[n] == t)
        gln_buffer_format(&words, "%s%zu", told++ > 0 ? ", " : name.length > 0 ? ": time " : "time ", n + 1);
    cutter->takes[t].heading = gln_canvas_said(canvas, &words);
  }
}

static bool find_section_takes(Cutter *cutter, const Playings *playings, size_t section) {
  size_t plays = 1, first = cutter->take_count;
  for (size_t c = playings->section_at[section]; c < playings->section_at[section + 1]; c++) {
    size_t count = playings->first[c + 1] - playings->first[c];
    plays = count > plays ? count : plays;
  }
  size_t *take_of = GLN_NEW(cutter->sheet->canvas->arena, size_t, plays);
  if (!take_of)
    return false;
  for (size_t n = 0; n < plays; n++) {
    size_t t = first;
    while (t < cutter->take_count && !same_grips(playings, &cutter->takes[t], n))
      t++;
    take_of[n] = t;
    if (t == cutter->take_count && !add_take(cutter, playings, section, n))
      return false;
  }
  name_takes(cutter, first, take_of, plays);
  return true;
}

static bool find_takes(Cutter *cutter) {
  Playings playings = {0};
  if (!find_playings(cutter->sheet, &playings))
    return false;
  for (size_t s = 0; s < cutter->sheet->chart->section_count; s++)
    if (!find_section_takes(cutter, &playings, s))
      return false;
  return true;
}

/* ---- measuring ---- */

static void measure_cell(Cutter *cutter, GlnCell *cell) {
  GlnCanvas *canvas = cutter->sheet->canvas;
  cell->name =
      gln_chord_name_shape(canvas, cell->event->symbol, &cell->event->chord, cutter->name_size, NAME_WIDEST);
  cell->width = fmax(cell->name->advance, cell->name->ink.right);
  if (cell->slot && !cell->slot->silent) {
    cell->size = gln_diagram_measure(canvas, &cell->slot->grip, &cutter->style);
    cell->width = fmax(cell->width, cell->size.left + cell->size.grid_width + cell->size.right);
  }
  cell->width += CELL_GAP;
}

double gln_piece_left(const GlnPiece *piece) {
  return GLN_BAR_PAD + (piece->begins && piece->bar->repeat_starts ? REPEAT_ROOM : 0) +
         (piece->meter ? GLN_METER_ROOM : 0);
}

double gln_piece_right(const GlnPiece *piece) {
  return piece->ends && piece->bar->repeat_plays > 0 ? REPEAT_ROOM : 0;
}

static void measure_piece(GlnPiece *piece) {
  piece->need = gln_piece_left(piece) + gln_piece_right(piece);
  if (piece->bar->same_as_last)
    piece->need += 28;
  else
    for (size_t i = 0; i < piece->count; i++)
      piece->need += piece->cells[i].width;
}

/* Cuts a bar into pieces no wider than the page; returns how many. pieces has room for one each chord. */
static size_t cut_bar(const GlnPiece *whole, double widest, GlnPiece *pieces) {
  GlnPiece piece = *whole;
  measure_piece(&piece);
  pieces[0] = piece;
  if (piece.need <= widest || whole->count <= 1)
    return 1;
  size_t count = 0;
  for (size_t at = 0; at < whole->count;) {
    piece = *whole;
    piece.cells = whole->cells + at;
    piece.begins = at == 0;
    piece.meter = whole->meter && at == 0;
    piece.ending = whole->ending && at == 0;
    piece.count = 0;
    do {
      piece.count++;
      piece.ends = at + piece.count == whole->count;
      measure_piece(&piece);
    } while (!piece.ends && piece.need + piece.cells[piece.count].width + REPEAT_ROOM <= widest);
    at += piece.count;
    pieces[count++] = piece;
  }
  return count;
}

static bool is_pick_up(const GlnBar *bar) {
  return gln_ratio_compare(bar->beats, gln_ratio(bar->meter.beats, 1)) < 0;
}

/* How many pieces from at go on one line; placed counts the section's bars that are on earlier lines. */
static size_t take_line(const GlnPiece *pieces, size_t count, size_t at, size_t placed, double width) {
  size_t wish = BARS_A_LINE - placed % BARS_A_LINE;
  if (at == 0 && is_pick_up(pieces[0].bar))
    wish++;
  for (;; wish = wish > 2 ? 2 : 1) {
    size_t taken = 0;
    double need = 0;
    while (taken < wish && at + taken < count && pieces[at + taken].begins && pieces[at + taken].ends)
      need += pieces[at + taken++].need;
    if (taken > 0 && need <= width)
      return taken;
    if (wish == 1 || taken == 0)
      return 1;
  }
}

/* ---- placing ---- */

/* Widths of a line's bars: equal where they can be, more for one that needs it. */
static void share_width(GlnPiece *pieces, size_t count, double width) {
  double rest = width;
  size_t open = count;
  for (size_t i = 0; i < count; i++)
    pieces[i].width = 0;
  for (bool changed = true; changed && open > 0;) {
    changed = false;
    double share = rest / (double)open;
    for (size_t i = 0; i < count; i++)
      if (pieces[i].width <= 0 && pieces[i].need > share) {
        pieces[i].width = pieces[i].need;
        rest -= pieces[i].need;
        open--;
        changed = true;
        break;
      }
  }
  for (size_t i = 0; i < count; i++)
    if (pieces[i].width <= 0)
      pieces[i].width = rest / (double)open;
}

static void place_line(const GlnSheet *sheet, GlnPiece *pieces, size_t count, bool full) {
  double width = sheet->right - sheet->left, need = 0;
  for (size_t i = 0; i < count; i++)
    need += pieces[i].need;
  if (!full)
    width = fmin(width, fmax(width / BARS_A_LINE * (double)count, need));
  share_width(pieces, count, width);
  double x = sheet->left;
  for (size_t i = 0; i < count; i++) {
    pieces[i].x = x;
    x += pieces[i].width;
  }
}

static void place_cells(GlnPiece *piece) {
  double start = piece->x + gln_piece_left(piece), end = piece->x + piece->width - gln_piece_right(piece),
         rest = 0;
  const GlnEvent *first = piece->cells[0].event, *last = piece->cells[piece->count - 1].event;
  double from = gln_ratio_value(first->beat);
  double beats = gln_ratio_value(gln_ratio_add(last->beat, last->beats)) - from;
  for (size_t i = 0; i < piece->count; i++)
    rest += piece->cells[i].width;
  for (size_t i = 0; i < piece->count; i++) {
    GlnCell *cell = &piece->cells[i];
    double on_beat = start + (end - start) * (gln_ratio_value(cell->event->beat) - from) / beats;
    double after_last = i == 0 ? start : piece->cells[i - 1].x + piece->cells[i - 1].width;
    cell->x = fmin(fmax(on_beat, after_last), end - rest);
    rest -= cell->width;
  }
}

/* ---- the whole chart ---- */

/* All pieces of a take; *meter is that of the bar before it. NULL when memory is out. */
static GlnPiece *cut_take(Cutter *cutter, const Take *take, GlnMeter *meter, size_t *count) {
  const GlnSection *section = &cutter->sheet->chart->sections[take->section];
  GlnArena *arena = cutter->sheet->canvas->arena;
  const GlnLineSlot *const *next = take->slots;
  size_t events = count_chords(section) + section->bar_count;
  GlnCell *cells = GLN_NEW(arena, GlnCell, events);
  GlnPiece *pieces = GLN_NEW(arena, GlnPiece, events);
  *count = 0;
  if (!cells || !pieces)
    return NULL;
  for (size_t b = 0; b < section->bar_count; b++) {
    const GlnBar *bar = &section->bars[b];
    GlnPiece whole = {.bar = bar, .cells = cells, .count = bar->event_count, .begins = true, .ends = true};
    whole.meter = bar->meter.beats != meter->beats || bar->meter.unit != meter->unit;
    *meter = bar->meter;
    whole.ending = bar->endings && (b == 0 || section->bars[b - 1].endings != bar->endings);
    for (size_t e = 0; e < bar->event_count; e++) {
      cells[e] = (GlnCell){.event = &bar->events[e], .slot = next[e]};
      measure_cell(cutter, &cells[e]);
    }
    cells += bar->event_count;
    next += bar->event_count;
    *count += cut_bar(&whole, cutter->sheet->right - cutter->sheet->left, pieces + *count);
  }
  if (*count > 0)
    pieces[*count - 1].last = true;
  return pieces;
}

/* Appends a take's lines; their count alone when lines is NULL. */
static size_t cut_lines(const Cutter *cutter, const Take *take, GlnPiece *pieces, size_t count,
                        GlnChartLine *lines) {
  const GlnSheet *sheet = cutter->sheet;
  size_t placed = 0, made = 0;
  for (size_t at = 0; at < count; made++) {
    size_t taken = take_line(pieces, count, at, placed, sheet->right - sheet->left);
    if (lines) {
      /* The few bars at a section's end keep the width of a bar; every other line fills the page. */
      bool short_end = at + taken == count && taken < BARS_A_LINE && placed % BARS_A_LINE == 0;
      place_line(sheet, pieces + at, taken, !short_end);
      for (size_t i = at; i < at + taken; i++)
        if (!pieces[i].bar->same_as_last && pieces[i].count > 0)
          place_cells(&pieces[i]);
      lines[made] = (GlnChartLine){
          .pieces = pieces + at, .count = taken, .heading = at == 0 ? take->heading : GLN_TEXT("")};
    }
    for (size_t i = at; i < at + taken; i++)
      placed += pieces[i].ends && !(i == 0 && is_pick_up(pieces[0].bar));
    at += taken;
  }
  return made;
}

/* One way to cut the whole chart: the pieces of each take, and how many lines they take. */
typedef struct Cut {
  GlnPiece **pieces;
  size_t *counts;
  size_t lines;
} Cut;

static bool cut_chart(Cutter *cutter, double scale, Cut *cut) {
  GlnArena *arena = cutter->sheet->canvas->arena;
  *cut = (Cut){.pieces = GLN_NEW(arena, GlnPiece *, cutter->take_count),
               .counts = GLN_NEW(arena, size_t, cutter->take_count)};
  if (!cut->pieces || !cut->counts)
    return false;
  cutter->style =
      gln_diagram_style(STRING_GAP * scale, cutter->sheet->left_handed, cutter->sheet->instrument);
  cutter->name_size = NAME_SIZE * scale;
  GlnMeter meter = {0};
  for (size_t t = 0; t < cutter->take_count; t++) {
    cut->pieces[t] = cut_take(cutter, &cutter->takes[t], &meter, &cut->counts[t]);
    if (!cut->pieces[t])
      return false;
    cut->lines += cut_lines(cutter, &cutter->takes[t], cut->pieces[t], cut->counts[t], NULL);
  }
  return true;
}

static bool cut_best(Cutter *cutter, GlnChartLines *lines) {
  Cut best = {0};
  for (size_t i = 0; i < GLN_COUNT_OF(scales); i++) {
    Cut cut;
    if (!cut_chart(cutter, scales[i], &cut))
      return false;
    if (i > 0 && cut.lines >= best.lines)
      continue;
    best = cut;
    lines->style = cutter->style;
  }
  lines->lines = GLN_NEW(cutter->sheet->canvas->arena, GlnChartLine, best.lines);
  if (!lines->lines)
    return false;
  for (size_t t = 0; t < cutter->take_count; t++)
    lines->count +=
        cut_lines(cutter, &cutter->takes[t], best.pieces[t], best.counts[t], lines->lines + lines->count);
  return true;
}

GlnChartLines gln_chart_lines(GlnSheet *sheet) {
  GlnChartLines lines = {0};
  Cutter cutter = {.sheet = sheet};
  if (!find_takes(&cutter) || !cut_best(&cutter, &lines)) {
    gln_canvas_fail(sheet->canvas, GLN_MEMORY);
    lines.count = 0;
  }
  return lines;
}
