/* arrange --alternatives: lines that a player would notice to be different, side by side. */
#include "app_internal.h"

#include <math.h>
#include <stdlib.h>

/* How a line differs from the best one; times are parts of the time that chords sound. */
typedef struct Difference {
  double hand_frets;       /* mean place of the hand, frets up (+) or down (-) */
  double shape, top, bass; /* other shape, other top note, other bass note */
  int fret_low, fret_high; /* stopped frets; both 0: none */
} Difference;

typedef struct Alternatives {
  const GlnJob *job;
  const GlnArrangement *arrangement;
  GlnLine **lines;
  size_t count;
  double within; /* part of the best line's total */
  Difference *differences;
} Alternatives;

/* ---- measuring ---------------------------------------------------------------------------------------------------- */

static int top_pitch(const GlnGrip *grip) {
  return grip->midi[grip->top_string];
}

static int bass_pitch(const GlnGrip *grip) {
  return grip->midi[grip->bass_string];
}

/* Mean of the stopped frets; -1 when none is stopped. */
static double place_of(const GlnGrip *grip) {
  int sum = 0, count = 0;
  for (int s = 0; s < grip->frets.string_count; s++)
    if (grip->frets.fret[s] > 0) {
      sum += grip->frets.fret[s];
      count++;
    }
  return count > 0 ? (double)sum / count : -1;
}

static void widen(Difference *difference, const GlnGrip *grip) {
  for (int s = 0; s < grip->frets.string_count; s++) {
    int fret = grip->frets.fret[s];
    if (fret <= 0)
      continue;
    difference->fret_low =
        difference->fret_low == 0 || fret < difference->fret_low ? fret : difference->fret_low;
    difference->fret_high = fret > difference->fret_high ? fret : difference->fret_high;
  }
}

static Difference measure(const GlnLine *best, const GlnLine *line) {
  Difference difference = {0};
  double time = 0, stopped_time = 0;
  for (size_t i = 0; i < line->slot_count; i++) {
    if (line->slots[i].silent)
      continue;
    const GlnGrip *here = &line->slots[i].grip, *there = &best->slots[i].grip;
    double quarters = gln_ratio_value(line->slots[i].slot->quarters);
    time += quarters;
    widen(&difference, here);
    difference.shape += gln_same_shape(here, there) ? 0 : quarters;
    difference.top += top_pitch(here) == top_pitch(there) ? 0 : quarters;
    difference.bass += bass_pitch(here) == bass_pitch(there) ? 0 : quarters;
    if (place_of(here) < 0 || place_of(there) < 0)
      continue;
    stopped_time += quarters;
    difference.hand_frets += (place_of(here) - place_of(there)) * quarters;
  }
  difference.hand_frets /= stopped_time > 0 ? stopped_time : 1;
  difference.shape /= time > 0 ? time : 1;
  difference.top /= time > 0 ? time : 1;
  difference.bass /= time > 0 ? time : 1;
  return difference;
}

static GlnStatus find(Alternatives *alternatives) {
  const GlnJob *job = alternatives->job;
  const GlnArrangement *arrangement = alternatives->arrangement;
  const GlnValue *value = job->arguments.value;
  if (arrangement->options.vary)
    return gln_job_complain(job, GLN_USAGE, "give one of the two",
                            "--alternatives are of the line whose returns are alike, not of --vary");
  alternatives->within = value[GLN_OPT_WITHIN].given ? value[GLN_OPT_WITHIN].number / 100 : GLN_WITHIN;
  GlnDiags unheard = gln_diags(job->arena); /* said already when the best line was found */
  GLN_TRY(gln_line_alternatives(arrangement->song, &arrangement->options,
                                (size_t)value[GLN_OPT_ALTERNATIVES].number + 1, alternatives->within,
                                job->arena, &unheard, &alternatives->lines, &alternatives->count));
  alternatives->differences = GLN_NEW(job->arena, Difference, alternatives->count);
  if (alternatives->differences == NULL)
    return GLN_MEMORY;
  for (size_t a = 0; a < alternatives->count; a++)
    alternatives->differences[a] = measure(alternatives->lines[0], alternatives->lines[a]);
  return GLN_OK;
}

static double more_of(const Alternatives *alternatives, size_t a) {
  double best = alternatives->lines[0]->total;
  return best > 0 ? (alternatives->lines[a]->total - best) / best : 0;
}

/* ---- for programs ------------------------------------------------------------------------------------------------- */

static void add_slots(GlnJson *json, const GlnLine *line, GlnArena *arena) {
  gln_json_open_array(json, "slots");
  for (size_t i = 0; i < line->slot_count; i++) {
    gln_json_open_object(json, NULL);
    if (line->slots[i].silent) {
      gln_json_add_null(json, "frets");
      gln_json_add_null(json, "fingers");
    } else {
      gln_json_add_text(json, "frets", gln_frets_text(&line->slots[i].grip, arena));
      gln_json_add_text(json, "fingers", gln_fingers_text(&line->slots[i].grip, arena));
    }
    gln_json_close(json);
  }
  gln_json_close(json);
}

GlnStatus gln_add_alternatives_json(const GlnJob *job, const GlnArrangement *arrangement, GlnJson *json) {
  Alternatives alternatives = {.job = job, .arrangement = arrangement};
  GLN_TRY(find(&alternatives));
  gln_json_open_array(json, "alternatives");
  for (size_t a = 1; a < alternatives.count; a++) {
    const GlnLine *line = alternatives.lines[a];
    const Difference *difference = &alternatives.differences[a];
    gln_json_open_object(json, NULL);
    gln_json_add_number(json, "total", line->total, 4);
    gln_json_add_number(json, "more_percent", 100 * more_of(&alternatives, a), 1);
    if (isfinite(line->highest_tempo))
      gln_json_add_number(json, "highest_tempo", line->highest_tempo, 1);
    else
      gln_json_add_null(json, "highest_tempo");
    gln_json_add_integer(json, "fret_low", difference->fret_low);
    gln_json_add_integer(json, "fret_high", difference->fret_high);
    gln_json_add_number(json, "hand_frets", difference->hand_frets, 2);
    gln_json_add_number(json, "other_shape_percent", 100 * difference->shape, 1);
    gln_json_add_number(json, "other_top_percent", 100 * difference->top, 1);
    gln_json_add_number(json, "other_bass_percent", 100 * difference->bass, 1);
    add_slots(json, line, job->arena);
    gln_json_close(json);
  }
  gln_json_close(json);
  return GLN_OK;
}

/* ---- for people --------------------------------------------------------------------------------------------------- */

static void add_percent(GlnBuffer *out, double part, const char *words) {
  gln_buffer_format(out, "%s for %d %% of the time", words, (int)lround(100 * part));
}

static void add_line_words(const Alternatives *alternatives, size_t a, GlnBuffer *out) {
  const GlnLine *line = alternatives->lines[a];
  const Difference *difference = &alternatives->differences[a];
  gln_buffer_format(out, "line %zu: effort ", a + 1);
  gln_buffer_add_number(out, line->total, 1);
  if (a > 0) {
    gln_buffer_add_string(out, ", ");
    gln_buffer_add_number(out, 100 * more_of(alternatives, a), 1);
    gln_buffer_add_string(out, " % more");
  }
  if (difference->fret_high > 0)
    gln_buffer_format(out, "; frets %d–%d", difference->fret_low, difference->fret_high);
  if (isfinite(line->highest_tempo))
    gln_buffer_format(out, "; hardest change comfortable up to %d", (int)floor(line->highest_tempo));
  if (a == 0)
    return;
  gln_buffer_add_string(out, "; beside line 1 ");
  if (fabs(difference->hand_frets) < 0.5) {
    gln_buffer_add_string(out, "the hand is about as high");
  } else {
    gln_buffer_add_string(out, "the hand is ");
    gln_buffer_add_number(out, fabs(difference->hand_frets), 1);
    gln_buffer_add_string(out, difference->hand_frets > 0 ? " frets higher" : " frets lower");
  }
  gln_buffer_add_string(out, ", ");
  add_percent(out, difference->shape, "another shape");
  gln_buffer_format(out, ", another top note %d %%, another bass note %d %%",
                    (int)lround(100 * difference->top), (int)lround(100 * difference->bass));
}

#define FRETS_COLUMNS 17 /* of a line in the table: the longest grip of six strings and the gap */
#define PLACE_COLUMNS 22 /* for bar, beat and chord */
#define LINES_A_BLOCK (GLN_TABLE_COLUMNS_MAX - 3)

/* Lines first..end of the alternatives, side by side: each chord as written once, where it is first played. */
static GlnStatus add_block(const Alternatives *alternatives, size_t first, size_t end, GlnBuffer *out) {
  static const char *const names[] = {"line 1", "line 2", "line 3", "line 4", "line 5",
                                      "line 6", "line 7", "line 8", "line 9", "line 10"};
  GlnArena *arena = alternatives->job->arena;
  const GlnLine *best = alternatives->lines[0];
  const char *heads[GLN_TABLE_COLUMNS_MAX] = {"bar", "beat", "chord"};
  for (size_t a = first; a < end; a++)
    heads[3 + a - first] = names[a];
  bool *told = GLN_NEW(arena, bool, best->song->written_count);
  if (told == NULL)
    return GLN_MEMORY;
  GlnTable table = gln_table(arena, 3 + end - first, heads);
  uint32_t last_bar = UINT32_MAX;
  for (size_t i = 0; i < best->slot_count; i++) {
    const GlnSlot *slot = best->slots[i].slot;
    if (told[slot->written] || best->slots[i].silent)
      continue;
    told[slot->written] = true;
    GlnBuffer cell = gln_buffer(arena), beat = gln_buffer(arena), chord = gln_buffer(arena);
    if (slot->bar != last_bar)
      gln_buffer_format(&cell, "%3u", (unsigned)slot->bar);
    last_bar = slot->bar;
    gln_add_beat(slot->beat, &beat);
    gln_buffer_add(&chord, slot->event->symbol);
    gln_table_cell(&table, &cell);
    gln_table_cell(&table, &beat);
    gln_table_cell(&table, &chord);
    for (size_t a = first; a < end; a++) {
      GlnBuffer frets = gln_buffer(arena);
      gln_buffer_add(&frets, gln_frets_text(&alternatives->lines[a]->slots[i].grip, arena));
      gln_table_cell(&table, &frets);
    }
  }
  gln_table_print(alternatives->job, &table, out);
  return GLN_OK;
}

GlnStatus gln_add_alternatives(const GlnJob *job, const GlnArrangement *arrangement, GlnBuffer *out) {
  Alternatives alternatives = {.job = job, .arrangement = arrangement};
  GLN_TRY(find(&alternatives));
  size_t columns = job->app->columns,
         room = columns > PLACE_COLUMNS ? (columns - PLACE_COLUMNS) / FRETS_COLUMNS : 1;
  room = room < 1 ? 1 : room > LINES_A_BLOCK ? LINES_A_BLOCK : room;
  for (size_t a = 0; a < alternatives.count; a++) {
    GlnBuffer words = gln_buffer(job->arena);
    add_line_words(&alternatives, a, &words);
    gln_add_wrapped(out, gln_buffer_text(&words), 0, 2, columns);
    gln_buffer_add_byte(out, '\n');
  }
  if (alternatives.count <= (size_t)job->arguments.value[GLN_OPT_ALTERNATIVES].number)
    gln_buffer_format(out, "no further line differs so within %d %% more effort\n",
                      (int)lround(100 * alternatives.within));
  for (size_t first = 0; first < alternatives.count; first += room) {
    gln_buffer_add_byte(out, '\n');
    size_t end = first + room < alternatives.count ? first + room : alternatives.count;
    GLN_TRY(add_block(&alternatives, first, end, out));
  }
  return GLN_OK;
}
