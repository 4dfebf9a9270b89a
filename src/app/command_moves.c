/* gripline moves: every change of the line once, the hardest first. */
#include "app_internal.h"

#include <math.h>
#include <stdlib.h>

/* A change from one grip to another, wherever it comes. */
typedef struct Change {
  size_t into;  /* the slot where there is least time for it */
  size_t first; /* its first slot: places[first..first + times) */
  size_t times;
  double tempo; /* up to which it is comfortable there */
} Change;

typedef struct Changes {
  const GlnArrangement *arrangement;
  size_t *places; /* slots that are moved into, change by change */
  Change *items;
  size_t count;
} Changes;

static const GlnLine *line_of(const Changes *changes) {
  return changes->arrangement->line;
}

/* ---- gathering ------------------------------------------------------------------------------------------------ */

typedef struct Place {
  size_t from, to; /* distinct grips */
  size_t slot;
} Place;

static int by_grips(const void *left, const void *right) {
  const Place *a = left, *b = right;
  if (a->from != b->from)
    return a->from < b->from ? -1 : 1;
  if (a->to != b->to)
    return a->to < b->to ? -1 : 1;
  return a->slot < b->slot ? -1 : a->slot > b->slot;
}

static int by_tempo(const void *left, const void *right) {
  const Change *a = left, *b = right;
  if (a->tempo < b->tempo || a->tempo > b->tempo)
    return a->tempo < b->tempo ? -1 : 1;
  return a->into < b->into ? -1 : a->into > b->into;
}

static GlnStatus gather(Changes *changes, GlnArena *arena) {
  const GlnLine *line = line_of(changes);
  Place *places = GLN_NEW(arena, Place, line->slot_count);
  changes->places = GLN_NEW(arena, size_t, line->slot_count);
  changes->items = GLN_NEW(arena, Change, line->slot_count);
  if (places == NULL || changes->places == NULL || changes->items == NULL)
    return GLN_MEMORY;
  size_t count = 0;
  for (size_t i = 0; i < line->slot_count; i++) {
    size_t before = gln_line_before(line, i);
    if (!line->slots[i].silent && before != i && isfinite(gln_line_change_tempo(line, i)))
      places[count++] = (Place){line->slots[before].distinct, line->slots[i].distinct, i};
  }
  if (count > 0)
    qsort(places, count, sizeof *places, by_grips);
  for (size_t p = 0; p < count; p++) {
    bool is_new = p == 0 || places[p].from != places[p - 1].from || places[p].to != places[p - 1].to;
    if (is_new)
      changes->items[changes->count++] = (Change){.first = p, .tempo = (double)INFINITY};
    Change *change = &changes->items[changes->count - 1];
    double tempo = gln_line_change_tempo(line, places[p].slot);
    changes->places[p] = places[p].slot;
    change->times++;
    if (tempo < change->tempo) {
      change->tempo = tempo;
      change->into = places[p].slot;
    }
  }
  if (changes->count > 0)
    qsort(changes->items, changes->count, sizeof *changes->items, by_tempo);
  return GLN_OK;
}

/* ---- what is said of one -------------------------------------------------------------------------------------- */

static const GlnLineSlot *into_of(const Changes *changes, const Change *change) {
  return &line_of(changes)->slots[change->into];
}

static const GlnLineSlot *from_of(const Changes *changes, const Change *change) {
  return &line_of(changes)->slots[gln_line_before(line_of(changes), change->into)];
}

static void add_words(const Changes *changes, const Change *change, GlnBuffer *out) {
  const GlnLineSlot *from = from_of(changes, change), *into = into_of(changes, change);
  gln_move_describe(&changes->arrangement->options.instrument, &from->grip, &into->grip, &into->move, out);
}

/* "5, 13, 21": the bars it leads into. */
static void add_bars(const Changes *changes, const Change *change, size_t most, GlnBuffer *out) {
  uint32_t last = UINT32_MAX;
  size_t told = 0;
  for (size_t p = 0; p < change->times; p++) {
    uint32_t bar = line_of(changes)->slots[changes->places[change->first + p]].slot->bar;
    if (bar == last)
      continue;
    if (told == most) {
      gln_buffer_add_string(out, " …");
      return;
    }
    gln_buffer_format(out, "%s%u", told++ > 0 ? ", " : "", (unsigned)bar);
    last = bar;
  }
}

/* ---- for programs ------------------------------------------------------------------------------------------------ */

static void add_end_json(GlnJson *json, const char *key, const GlnLineSlot *slot, GlnArena *arena) {
  gln_json_open_object(json, key);
  gln_json_add_text(json, "chord", slot->slot->event->symbol);
  gln_json_add_text(json, "frets", gln_frets_text(&slot->grip, arena));
  gln_json_add_text(json, "fingers", gln_fingers_text(&slot->grip, arena));
  gln_json_close(json);
}

static GlnStatus print_json(GlnJob *job, const Changes *changes) {
  GlnJson *json = gln_json_new(job->arena, "moves");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_add_text(json, "title", changes->arrangement->chart->title);
  gln_json_add_number(json, "tempo", changes->arrangement->options.tempo, 3);
  gln_json_open_array(json, "moves");
  for (size_t c = 0; c < changes->count; c++) {
    const Change *change = &changes->items[c];
    gln_json_open_object(json, NULL);
    add_end_json(json, "from", from_of(changes, change), job->arena);
    add_end_json(json, "into", into_of(changes, change), job->arena);
    gln_json_open_array(json, "slots");
    for (size_t p = 0; p < change->times; p++)
      gln_json_add_integer(json, NULL, (long long)changes->places[change->first + p]);
    gln_json_close(json);
    gln_add_move_json(json, changes->arrangement, change->into, job->arena);
    gln_json_close(json);
  }
  gln_json_close(json);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

static void print_csv(GlnJob *job, const Changes *changes) {
  static const char *const heads[] = {
      "rank",         "tempo",      "seconds",    "times",        "bars",     "from_chord",  "from_frets",
      "from_fingers", "into_chord", "into_frets", "into_fingers", "shift_mm", "shift_frets", "change"};
  GlnCsv csv = gln_csv(&job->out);
  gln_csv_heads(&csv, heads, GLN_COUNT_OF(heads));
  for (size_t c = 0; c < changes->count; c++) {
    const Change *change = &changes->items[c];
    const GlnLineSlot *from = from_of(changes, change), *into = into_of(changes, change);
    GlnBuffer words = gln_buffer(job->arena), bars = gln_buffer(job->arena);
    add_words(changes, change, &words);
    add_bars(changes, change, SIZE_MAX, &bars);
    gln_csv_integer(&csv, (long long)c + 1);
    gln_csv_number(&csv, change->tempo, 1);
    gln_csv_number(&csv, (double)into->move.seconds, 3);
    gln_csv_integer(&csv, (long long)change->times);
    gln_csv_text(&csv, gln_buffer_text(&bars));
    gln_csv_text(&csv, from->slot->event->symbol);
    gln_csv_grip(&csv, &from->grip);
    gln_csv_text(&csv, into->slot->event->symbol);
    gln_csv_grip(&csv, &into->grip);
    gln_csv_number(&csv, (double)into->move.shift_mm, 1);
    gln_csv_integer(&csv, into->move.shift_frets);
    gln_csv_text(&csv, gln_buffer_text(&words));
    gln_csv_end_row(&csv);
  }
}

/* ---- for people -------------------------------------------------------------------------------------------------- */

#define BARS_TOLD 6 /* in a line. Design choice */

static void print_text(GlnJob *job, const Changes *changes) {
  static const char *const heads[] = {"up to", "from", "", "into", "", "bars"};
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  for (size_t c = 0; c < changes->count; c++) {
    const Change *change = &changes->items[c];
    const GlnLineSlot *from = from_of(changes, change), *into = into_of(changes, change);
    GlnBuffer cell[GLN_COUNT_OF(heads)];
    for (size_t k = 0; k < GLN_COUNT_OF(cell); k++)
      cell[k] = gln_buffer(job->arena);
    gln_buffer_format(&cell[0], "%5d", (int)floor(change->tempo));
    gln_buffer_add(&cell[1], from->slot->event->symbol);
    gln_buffer_add(&cell[2], gln_frets_text(&from->grip, job->arena));
    gln_buffer_add(&cell[3], into->slot->event->symbol);
    gln_buffer_add(&cell[4], gln_frets_text(&into->grip, job->arena));
    add_bars(changes, change, BARS_TOLD, &cell[5]);
    for (size_t k = 0; k < GLN_COUNT_OF(cell); k++)
      gln_table_cell(&table, &cell[k]);
    GlnBuffer words = gln_buffer(job->arena), line = gln_buffer(job->arena);
    add_words(changes, change, &words);
    gln_buffer_add_string(&line, "       ");
    gln_add_wrapped(&line, gln_buffer_text(&words), 7, 7, job->app->columns);
    gln_table_line(&table, GLN_STYLE_DIM, &line);
  }
  gln_add_arrangement_head(job, changes->arrangement, &job->out);
  gln_buffer_add_byte(&job->out, '\n');
  gln_table_print(job, &table, &job->out);
  gln_buffer_add_string(&job->out, "\nup to: the tempo, in quarter notes a minute, at which the change is "
                                   "comfortable\nin the time the song gives it.\n");
}

GlnStatus gln_run_moves(GlnJob *job) {
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  Changes changes = {.arrangement = &arrangement};
  GLN_TRY(gather(&changes, job->arena));
  if (job->arguments.value[GLN_OPT_JSON].given)
    return print_json(job, &changes);
  if (job->arguments.value[GLN_OPT_CSV].given)
    print_csv(job, &changes);
  else
    print_text(job, &changes);
  return GLN_OK;
}
