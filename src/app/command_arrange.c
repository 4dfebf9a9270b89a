/* gripline arrange: the line, bar by bar. */
#include "app_internal.h"

#include <math.h>

/* ---- the hardest change ---------------------------------------------------------------------------------------- */

typedef struct Hardest {
  bool found;
  size_t slot; /* the change into this slot */
  double tempo;
} Hardest;

static Hardest hardest_change(const GlnLine *line) {
  Hardest hardest = {.tempo = INFINITY};
  for (size_t i = 1; i < line->slot_count; i++) {
    double tempo = gln_line_change_tempo(line, i);
    if (tempo < hardest.tempo)
      hardest = (Hardest){true, i, tempo};
  }
  return hardest;
}

/* ---- for programs ------------------------------------------------------------------------------------------------ */

static const char *finger_move_key(GlnFingerMove move) {
  switch (move) {
  case GLN_FINGER_IDLE:
    return "idle";
  case GLN_FINGER_STAYS:
    return "stays";
  case GLN_FINGER_SLIDES:
    return "slides";
  case GLN_FINGER_SHIFTS:
    return "shifts";
  case GLN_FINGER_LIFTS:
    return "lifts";
  case GLN_FINGER_LANDS:
    return "lands";
  }
  return "";
}

static void add_finger_moves(GlnJson *json, const GlnMove *move) {
  gln_json_open_array(json, "fingers");
  for (int f = 0; f < (int)GLN_COUNT_OF(move->finger); f++) {
    if (move->finger[f] == GLN_FINGER_IDLE)
      continue;
    gln_json_open_object(json, NULL);
    gln_json_add_text(json, "finger", gln_text(f == 4 ? "T" : (const char *[]){"1", "2", "3", "4"}[f]));
    gln_json_add_text(json, "does", gln_text(finger_move_key(move->finger[f])));
    gln_json_add_number(json, "travel_mm", (double)move->travel_mm[f], 1);
    gln_json_add_integer(json, "frets", move->fret_change[f]);
    gln_json_close(json);
  }
  gln_json_close(json);
}

void gln_add_move_json(GlnJson *json, const GlnArrangement *arrangement, size_t i, GlnArena *arena) {
  const GlnLine *line = arrangement->line;
  const GlnLineSlot *at = &line->slots[i];
  size_t before = gln_line_before(line, i);
  if (at->silent || before == i) {
    gln_json_add_null(json, "move");
    return;
  }
  GlnBuffer words = gln_buffer(arena);
  gln_move_describe(&arrangement->options.instrument, &line->slots[before].grip, &at->grip, &at->move,
                    &words);
  gln_json_open_object(json, "move");
  gln_json_add_text(json, "words", gln_buffer_text(&words));
  gln_json_add_number(json, "seconds", (double)at->move.seconds, 3);
  double tempo = gln_line_change_tempo(line, i);
  if (isfinite(tempo))
    gln_json_add_number(json, "tempo", tempo, 1);
  else
    gln_json_add_null(json, "tempo");
  gln_json_add_number(json, "shift_mm", (double)at->move.shift_mm, 1);
  gln_json_add_integer(json, "shift_frets", at->move.shift_frets);
  gln_json_add_boolean(json, "parallel", at->move.parallel);
  gln_json_add_boolean(json, "barre_formed", at->move.barre_formed);
  gln_json_add_boolean(json, "barre_released", at->move.barre_released);
  add_finger_moves(json, &at->move);
  gln_json_close(json);
}

static void add_cost(GlnJson *json, const double cost[GLN_COST_COUNT]) {
  gln_json_open_object(json, "cost");
  for (int c = 0; c < GLN_COST_COUNT; c++)
    gln_json_add_number(json, gln_cost_key((GlnCost)c), cost[c], 4);
  gln_json_close(json);
}

/* The chord that the grip sounds, where that is not the one that is written. */
static void add_played_json(GlnJson *json, const GlnLineSlot *at) {
  char name[GLN_SYMBOL_TEXT_MAX];
  if (at->simplified)
    gln_json_add_text(json, "played_as", (GlnText){name, gln_chord_print(at->chord, GLN_SIGNS_ASCII, name)});
  else
    gln_json_add_null(json, "played_as");
}

static void add_slot(GlnJson *json, const GlnArrangement *arrangement, const GlnWhy *why, size_t i,
                     GlnArena *arena) {
  const GlnLineSlot *at = &arrangement->line->slots[i];
  const GlnSlot *slot = at->slot;
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "section", arrangement->chart->sections[slot->section].name);
  gln_json_add_integer(json, "bar", slot->bar);
  gln_json_add_ratio(json, "beat", slot->beat);
  gln_json_add_ratio(json, "beats", slot->beats);
  gln_json_add_text(json, "chord", slot->event->symbol);
  add_played_json(json, at);
  if (at->silent) {
    gln_json_add_null(json, "frets");
    gln_json_add_null(json, "fingers");
    gln_json_add_null(json, "shape");
    gln_json_open_array(json, "notes");
    gln_json_close(json);
    gln_json_open_array(json, "degrees");
    gln_json_close(json);
  } else {
    gln_add_grip_json(json, at->chord, &at->grip);
  }
  add_cost(json, at->cost);
  gln_add_move_json(json, arrangement, i, arena);
  if (why != NULL)
    gln_add_why_json(json, arrangement, why, i, arena);
  gln_json_close(json);
}

static void add_hardest_json(GlnJson *json, const GlnLine *line) {
  Hardest hardest = hardest_change(line);
  if (!hardest.found) {
    gln_json_add_null(json, "hardest");
    return;
  }
  gln_json_open_object(json, "hardest");
  gln_json_add_integer(json, "slot", (long long)hardest.slot);
  gln_json_add_number(json, "tempo", hardest.tempo, 1);
  gln_json_close(json);
}

void gln_add_arrangement_json(GlnJson *json, const GlnArrangement *arrangement, GlnArena *arena) {
  gln_add_arrangement_json_with(json, arrangement, NULL, arena);
}

void gln_add_arrangement_json_with(GlnJson *json, const GlnArrangement *arrangement, const GlnWhy *why,
                                   GlnArena *arena) {
  const GlnLine *line = arrangement->line;
  gln_json_add_text(json, "title", arrangement->chart->title);
  gln_json_add_number(json, "tempo", arrangement->options.tempo, 3);
  gln_json_open_array(json, "slots");
  for (size_t i = 0; i < line->slot_count; i++)
    add_slot(json, arrangement, why, i, arena);
  gln_json_close(json);
  add_hardest_json(json, line);
  gln_json_add_number(json, "total", line->total, 4);
  gln_json_add_integer(json, "distinct_grips", (long long)line->distinct_count);
}

static GlnStatus fill_json(GlnJob *job, const GlnArrangement *arrangement, const GlnWhy *why, GlnJson *json) {
  GlnText chart = {NULL, 0};
  gln_add_arrangement_json_with(json, arrangement, why, job->arena);
  GLN_TRY(gln_arranged_chart(job, arrangement, &chart));
  gln_json_add_text(json, "chart", chart);
  if (job->arguments.value[GLN_OPT_ALTERNATIVES].given)
    GLN_TRY(gln_add_alternatives_json(job, arrangement, json));
  return GLN_OK;
}

GlnStatus gln_add_arrange_document(GlnJob *job, const GlnArrangement *arrangement, const GlnWhy *why,
                                   GlnBuffer *out) {
  GlnJson *json = gln_json_new(job->arena, "arrange");
  if (json == NULL)
    return GLN_MEMORY;
  GlnStatus status = fill_json(job, arrangement, why, json);
  if (status == GLN_OK)
    status = gln_json_write(json, out);
  gln_json_free(json);
  return status;
}

/* ---- for spreadsheets -------------------------------------------------------------------------------------------- */

static void add_csv_change(GlnCsv *csv, const GlnArrangement *arrangement, size_t i, GlnArena *arena) {
  const GlnLineSlot *at = &arrangement->line->slots[i];
  size_t before = gln_line_before(arrangement->line, i);
  bool moves = !at->silent && before != i;
  GlnBuffer words = gln_buffer(arena);
  if (moves)
    gln_move_describe(&arrangement->options.instrument, &arrangement->line->slots[before].grip, &at->grip,
                      &at->move, &words);
  gln_csv_number(csv, moves ? (double)at->move.seconds : (double)NAN, 3);
  gln_csv_number(csv, gln_line_change_tempo(arrangement->line, i), 1);
  gln_csv_text(csv, gln_buffer_text(&words));
}

static void print_csv(GlnJob *job, const GlnArrangement *arrangement) {
  static const char *const heads[] = {"slot",  "section", "bar",     "beat",  "beats",
                                      "chord", "frets",   "fingers", "notes", "degrees"};
  static const char *const change_heads[] = {"seconds", "tempo", "change"};
  const GlnLine *line = arrangement->line;
  GlnCsv csv = gln_csv(&job->out);
  for (size_t h = 0; h < GLN_COUNT_OF(heads); h++)
    gln_csv_text(&csv, gln_text(heads[h]));
  for (int c = 0; c < GLN_COST_COUNT; c++)
    gln_csv_text(&csv, gln_text(gln_cost_key((GlnCost)c)));
  gln_csv_heads(&csv, change_heads, GLN_COUNT_OF(change_heads));
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnLineSlot *at = &line->slots[i];
    GlnBuffer notes = gln_buffer(job->arena), degrees = gln_buffer(job->arena);
    gln_csv_integer(&csv, (long long)i);
    gln_csv_text(&csv, arrangement->chart->sections[at->slot->section].name);
    gln_csv_integer(&csv, at->slot->bar);
    gln_csv_number(&csv, gln_ratio_value(at->slot->beat), 4);
    gln_csv_number(&csv, gln_ratio_value(at->slot->beats), 4);
    gln_csv_text(&csv, at->slot->event->symbol);
    gln_csv_grip(&csv, at->silent ? NULL : &at->grip);
    if (!at->silent) {
      gln_add_notes(at->chord, &at->grip, &notes);
      gln_add_degrees(at->chord, &at->grip, &degrees);
    }
    gln_csv_text(&csv, gln_buffer_text(&notes));
    gln_csv_text(&csv, gln_buffer_text(&degrees));
    for (int c = 0; c < GLN_COST_COUNT; c++)
      gln_csv_number(&csv, at->cost[c], 4);
    add_csv_change(&csv, arrangement, i, job->arena);
    gln_csv_end_row(&csv);
  }
}

/* ---- for people: head ----------------------------------------------------------------------------------------------- */

static void add_tempo(GlnBuffer *out, double tempo) {
  gln_buffer_add_number(out, tempo, fabs(tempo - round(tempo)) < 0.05 ? 0 : 1);
}

void gln_add_arrangement_head(const GlnJob *job, const GlnArrangement *arrangement, GlnBuffer *out) {
  const GlnChart *chart = arrangement->chart;
  if (chart->title.length > 0) {
    gln_add_styled(job, out, GLN_STYLE_BOLD, chart->title);
    gln_buffer_add_byte(out, '\n');
  }
  if (chart->has_key) {
    char key[GLN_KEY_TEXT_MAX];
    (void)gln_key_print(chart->key, GLN_SIGNS_ASCII, key);
    gln_buffer_format(out, "key %s, ", key);
  }
  gln_buffer_format(out, "%d/%d, ", chart->meter.beats, chart->meter.unit);
  add_tempo(out, arrangement->options.tempo);
  gln_buffer_add_string(out, " quarter notes a minute");
  if (arrangement->options.instrument.capo > 0) {
    gln_buffer_add_string(out, ", capo ");
    gln_capo_describe(&arrangement->options.instrument, out);
  }
  gln_buffer_format(out, ", %s hand\n", arrangement->options.hand.name);
}

/* ---- for people: passages ---------------------------------------------------------------------------------------------- */

typedef struct Listing {
  const GlnJob *job;
  const GlnArrangement *arrangement;
  GlnTable table;
} Listing;

/* What the fingers do, and up to which tempo that is comfortable where the song is faster. */
static void add_change(const GlnArrangement *arrangement, size_t i, GlnBuffer *out) {
  const GlnLine *line = arrangement->line;
  const GlnLineSlot *at = &line->slots[i];
  size_t before = gln_line_before(line, i);
  if (at->silent || before == i)
    return;
  gln_add_move_words(&at->move, &line->slots[before].grip, &at->grip, out);
  double tempo = gln_line_change_tempo(line, i);
  if (tempo < arrangement->options.tempo)
    gln_buffer_format(out, " ≤%d", (int)floor(tempo));
}

static void list_slot(Listing *listing, size_t first, size_t i) {
  const GlnLine *line = listing->arrangement->line;
  const GlnLineSlot *at = &line->slots[i];
  GlnArena *arena = listing->job->arena;
  GlnBuffer cell[6];
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    cell[c] = gln_buffer(arena);
  if (i == first || line->slots[i - 1].slot->bar != at->slot->bar)
    gln_buffer_format(&cell[0], "%3u", (unsigned)at->slot->bar);
  gln_add_beat(at->slot->beat, &cell[1]);
  gln_buffer_add(&cell[2], at->slot->event->symbol);
  if (!at->silent) {
    gln_buffer_add(&cell[3], gln_frets_text(&at->grip, arena));
    gln_buffer_add(&cell[4], gln_fingers_text(&at->grip, arena));
  }
  add_change(listing->arrangement, i, &cell[5]);
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    gln_table_cell(&listing->table, &cell[c]);
}

static void list_blank(Listing *listing) {
  const GlnBuffer blank = gln_buffer(listing->job->arena);
  gln_table_line(&listing->table, GLN_STYLE_PLAIN, &blank);
}

/* "[A] bars 9–16, as bars 1–8", and how the hand comes into it where that differs. */
static void list_return(Listing *listing, const GlnPassage *passage, GlnBuffer *line_out) {
  const GlnLine *line = listing->arrangement->line;
  gln_buffer_add_string(line_out, passage->begins_section ? ", as " : "as ");
  gln_add_bars(line->song, passage->source_first, passage->source_end, line_out);
  GlnBuffer here = gln_buffer(listing->job->arena), there = gln_buffer(listing->job->arena);
  add_change(listing->arrangement, passage->first, &here);
  add_change(listing->arrangement, passage->source_first, &there);
  if (here.length > 0 && !gln_text_equal(gln_buffer_text(&here), gln_buffer_text(&there))) {
    gln_buffer_add_string(line_out, "; into it: ");
    gln_buffer_add(line_out, gln_buffer_text(&here));
  }
}

static void list_passage(Listing *listing, const GlnPassage *passage) {
  const GlnLine *line = listing->arrangement->line;
  const GlnSection *section =
      &listing->arrangement->chart->sections[line->slots[passage->first].slot->section];
  GlnBuffer heading = gln_buffer(listing->job->arena);
  if (passage->begins_section) {
    list_blank(listing);
    if (section->name.length > 0) {
      gln_buffer_add_byte(&heading, '[');
      gln_buffer_add(&heading, section->name);
      gln_buffer_add_string(&heading, "] ");
    }
    gln_add_bars(line->song, passage->first,
                 passage->returns ? passage->end : gln_section_end(line->song, passage->first), &heading);
  } else if (passage->returns) {
    gln_add_bars(line->song, passage->first, passage->end, &heading);
    gln_buffer_add_byte(&heading, ' ');
  }
  if (passage->returns)
    list_return(listing, passage, &heading);
  if (heading.length > 0) {
    GlnBuffer wrapped = gln_buffer(listing->job->arena);
    gln_add_wrapped(&wrapped, gln_buffer_text(&heading), 0, 4, listing->job->app->columns);
    gln_table_line(&listing->table, passage->begins_section ? GLN_STYLE_BOLD : GLN_STYLE_PLAIN, &wrapped);
  }
  for (size_t i = passage->first; !passage->returns && i < passage->end; i++)
    list_slot(listing, passage->first, i);
}

/* ---- for people: foot -------------------------------------------------------------------------------------------------- */

static void add_costs(const GlnJob *job, const GlnLine *line, GlnBuffer *out) {
  double sum[GLN_COST_COUNT] = {0};
  for (size_t i = 0; i < line->slot_count; i++)
    for (int c = 0; c < GLN_COST_COUNT; c++)
      sum[c] += line->slots[i].cost[c];
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_format(&words, "%zu chords on %zu grips; effort ", line->slot_count, line->distinct_count);
  gln_buffer_add_number(&words, line->total, 1);
  for (int c = 0; c < GLN_COST_COUNT; c++) {
    gln_buffer_format(&words, "%s%s ", c == 0 ? ": " : ", ", gln_cost_key((GlnCost)c));
    gln_buffer_add_number(&words, sum[c], 1);
  }
  gln_add_wrapped(out, gln_buffer_text(&words), 0, 2, job->app->columns);
  gln_buffer_add_byte(out, '\n');
}

static void add_hardest(const GlnJob *job, const GlnArrangement *arrangement, GlnBuffer *out) {
  const GlnLine *line = arrangement->line;
  Hardest hardest = hardest_change(line);
  if (!hardest.found)
    return;
  const GlnLineSlot *to = &line->slots[hardest.slot],
                    *from = &line->slots[gln_line_before(line, hardest.slot)];
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_format(&words, "hardest change: into bar %u beat ", (unsigned)to->slot->bar);
  gln_add_beat(to->slot->beat, &words);
  gln_buffer_add_string(&words, ", ");
  gln_buffer_add(&words, from->slot->event->symbol);
  gln_buffer_add_byte(&words, ' ');
  gln_buffer_add(&words, gln_frets_text(&from->grip, job->arena));
  gln_buffer_add_string(&words, " to ");
  gln_buffer_add(&words, to->slot->event->symbol);
  gln_buffer_add_byte(&words, ' ');
  gln_buffer_add(&words, gln_frets_text(&to->grip, job->arena));
  gln_buffer_add_string(&words, ", comfortable up to a tempo of ");
  gln_buffer_add_number(&words, floor(hardest.tempo), 0);
  if (hardest.tempo < arrangement->options.tempo) {
    gln_buffer_add_string(&words, "; the song goes at ");
    add_tempo(&words, arrangement->options.tempo);
  }
  gln_add_wrapped(out, gln_buffer_text(&words), 0, 2, job->app->columns);
  gln_buffer_add_byte(out, '\n');
}

static bool same_grip(const void *context, size_t i, size_t j) {
  const GlnLine *line = context;
  const GlnLineSlot *a = &line->slots[i], *b = &line->slots[j];
  return a->silent == b->silent && (a->silent || a->distinct == b->distinct);
}

GlnStatus gln_add_line_text(GlnJob *job, const GlnArrangement *arrangement) {
  static const char *const heads[] = {"bar",   "beat",    "chord",
                                      "frets", "fingers", "the change into it (≤ comfortable tempo)"};
  GlnPassage *passages = NULL;
  size_t count = 0;
  GLN_TRY(gln_passages_find(arrangement->song, same_grip, arrangement->line, job->arena, &passages, &count));
  Listing listing = {job, arrangement, gln_table(job->arena, GLN_COUNT_OF(heads), heads)};
  gln_add_arrangement_head(job, arrangement, &job->out);
  gln_buffer_add_byte(&job->out, '\n');
  for (size_t p = 0; p < count; p++)
    list_passage(&listing, &passages[p]);
  gln_table_print(job, &listing.table, &job->out);
  gln_buffer_add_string(&job->out, "\n");
  gln_add_styled(job, &job->out, GLN_STYLE_BOLD, GLN_TEXT("the hand along the neck"));
  gln_buffer_add_string(
      &job->out,
      " (█ where fingers stop strings, time to the right,\n▲ a change that is hurried at this tempo)\n");
  GLN_TRY(gln_add_neck_plot(job, arrangement->line, passages, count, &job->out));
  gln_buffer_add_byte(&job->out, '\n');
  add_costs(job, arrangement->line, &job->out);
  add_hardest(job, arrangement, &job->out);
  return GLN_OK;
}

/* One table in place of all else, or the line with what was asked about it. */
static GlnStatus print(GlnJob *job, const GlnArrangement *arrangement, const GlnWhy *why) {
  const GlnValue *value = job->arguments.value;
  if (value[GLN_OPT_JSON].given)
    return gln_add_arrange_document(job, arrangement, why, &job->out);
  if (value[GLN_OPT_CSV].given) {
    print_csv(job, arrangement);
    return GLN_OK;
  }
  if (why == NULL && !value[GLN_OPT_ALTERNATIVES].given)
    return gln_add_line_text(job, arrangement);
  gln_add_arrangement_head(job, arrangement, &job->out);
  gln_buffer_add_byte(&job->out, '\n');
  if (why != NULL)
    gln_add_why(job, arrangement, why, &job->out);
  if (value[GLN_OPT_ALTERNATIVES].given)
    return gln_add_alternatives(job, arrangement, &job->out);
  return GLN_OK;
}

/* Options that would be given for nothing. */
static GlnStatus check_options(const GlnJob *job) {
  const GlnValue *value = job->arguments.value;
  bool asks_more = value[GLN_OPT_WHY].given || value[GLN_OPT_ALTERNATIVES].given;
  if (value[GLN_OPT_WITHIN].given && !value[GLN_OPT_ALTERNATIVES].given)
    return gln_job_complain(job, GLN_USAGE, "add --alternatives 2, or leave it out",
                            "--within is for --alternatives alone");
  if (value[GLN_OPT_CSV].given && (value[GLN_OPT_JSON].given || asks_more))
    return gln_job_complain(job, GLN_USAGE, "leave one out; --json holds all there is to say",
                            "--csv is the table of the line and goes with neither --json, --why nor "
                            "--alternatives");
  return GLN_OK;
}

GlnStatus gln_run_arrange(GlnJob *job) {
  GlnArrangement arrangement;
  GlnWhy why;
  bool asks_why = job->arguments.value[GLN_OPT_WHY].given;
  GLN_TRY(check_options(job));
  GLN_TRY(gln_job_arrange(job, &arrangement));
  if (asks_why) {
    GLN_TRY(gln_why_find(job, &arrangement, &why));
    GLN_TRY(gln_why_ask(job, &arrangement, &why));
  }
  return print(job, &arrangement, asks_why ? &why : NULL);
}
