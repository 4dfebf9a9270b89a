/* gripline reduce: the same song on fewer grips, or fewer shapes, and what is given up. */
#include "reduce.h"

#include <math.h>
#include <stdlib.h>

/* The best line of all beside the best on few grips. */
typedef struct Reduction {
  GlnArrangement few; /* its line is the one on few grips */
  const GlnLine *best;
  bool shapes;
  uint32_t most;
} Reduction;

/* ---- what is given up, chord by chord ---------------------------------------------------------------------------- */

/* Slots of one written chord, or of several alike, that changed from one grip to one other. */
typedef struct Loss {
  size_t *slots;
  size_t count;
  double parts[GLN_COST_COUNT]; /* points more: of the grip, and of the changes into it and out of it */
  double total;
  int frets; /* the hand goes further, at the place where it goes furthest */
} Loss;

static size_t next_held(const GlnLine *line, size_t i) {
  for (size_t after = i + 1; after < line->slot_count; after++)
    if (!line->slots[after].silent)
      return after;
  return line->slot_count;
}

static void add_parts(const GlnLine *line, size_t i, double sign, double parts[GLN_COST_COUNT]) {
  size_t after = next_held(line, i);
  for (int c = 0; c < GLN_COST_COUNT; c++) {
    parts[c] += sign * line->slots[i].cost[c];
    if (after < line->slot_count && c != GLN_COST_HOLD && c != GLN_COST_SOUND)
      parts[c] += sign * line->slots[after].cost[c];
  }
}

static int travel_frets(const GlnLine *line, size_t i) {
  size_t after = next_held(line, i);
  int frets = abs(line->slots[i].move.shift_frets);
  return frets + (after < line->slot_count ? abs(line->slots[after].move.shift_frets) : 0);
}

static bool same_frets(const GlnLineSlot *a, const GlnLineSlot *b) {
  return gln_frets_equal(&a->grip.frets, &b->grip.frets);
}

static Loss *loss_of(const Reduction *reduction, size_t i, Loss *losses, size_t count) {
  const GlnLineSlot *few = reduction->few.line->slots, *best = reduction->best->slots;
  for (size_t k = 0; k < count; k++) {
    size_t first = losses[k].slots[0];
    if (gln_text_equal(few[first].slot->event->symbol, few[i].slot->event->symbol) &&
        same_frets(&few[first], &few[i]) && same_frets(&best[first], &best[i]))
      return &losses[k];
  }
  return NULL;
}

static int by_total(const void *left, const void *right) {
  const Loss *a = left, *b = right;
  if (a->total > b->total || a->total < b->total)
    return a->total > b->total ? -1 : 1;
  return a->slots[0] < b->slots[0] ? -1 : a->slots[0] > b->slots[0];
}

/* The greatest loss first. */
static GlnStatus find_losses(const Reduction *reduction, GlnArena *arena, Loss **losses, size_t *count) {
  const GlnLine *few = reduction->few.line, *best = reduction->best;
  *count = 0;
  *losses = GLN_NEW(arena, Loss, few->slot_count);
  if (*losses == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < few->slot_count; i++) {
    if (few->slots[i].silent || same_frets(&few->slots[i], &best->slots[i]))
      continue;
    Loss *loss = loss_of(reduction, i, *losses, *count);
    if (loss == NULL) {
      loss = &(*losses)[(*count)++];
      loss->slots = GLN_NEW(arena, size_t, few->slot_count - i);
      if (loss->slots == NULL)
        return GLN_MEMORY;
    }
    loss->slots[loss->count++] = i;
    add_parts(few, i, 1, loss->parts);
    add_parts(best, i, -1, loss->parts);
    int frets = travel_frets(few, i) - travel_frets(best, i);
    loss->frets = frets > loss->frets ? frets : loss->frets;
  }
  for (size_t k = 0; k < *count; k++)
    for (int c = 0; c < GLN_COST_COUNT; c++)
      (*losses)[k].total += (*losses)[k].parts[c];
  qsort(*losses, *count, sizeof **losses, by_total);
  return GLN_OK;
}

/* ---- in words ------------------------------------------------------------------------------------------------------ */

#define BARS_NAMED ((size_t)6)

/* "bar 5", "bars 5 and 13", "bars 1, 2, 3, 4, 5, 6 and 4 more" */
static void add_bar_list(const GlnLine *line, const Loss *loss, GlnBuffer *out) {
  size_t different = 0, named = 0;
  for (size_t k = 0; k < loss->count; k++)
    different += k == 0 || line->slots[loss->slots[k]].slot->bar != line->slots[loss->slots[k - 1]].slot->bar;
  gln_buffer_add_string(out, different == 1 ? "bar " : "bars ");
  for (size_t k = 0; k < loss->count && named < BARS_NAMED; k++) {
    unsigned bar = (unsigned)line->slots[loss->slots[k]].slot->bar;
    if (k > 0 && bar == (unsigned)line->slots[loss->slots[k - 1]].slot->bar)
      continue;
    named++;
    const char *between = named == 1 ? "" : named == different ? " and " : ", ";
    gln_buffer_format(out, "%s%u", between, bar);
  }
  if (different > named)
    gln_buffer_format(out, " and %u more", (unsigned)(different - named));
}

/* "3 and b7", "A, C and E" */
static void add_item(GlnBuffer *out, size_t index, size_t count, const char *text, size_t length) {
  gln_buffer_add_string(out, index == 0 ? "" : index + 1 == count ? " and " : ", ");
  gln_buffer_add(out, (GlnText){text, length});
}

static uint16_t sounding_classes(const GlnGrip *grip) {
  unsigned classes = 0;
  for (int s = 0; s < grip->frets.string_count; s++)
    if (grip->frets.fret[s] >= 0)
      classes |= 1U << grip->midi[s] % 12;
  return (uint16_t)classes;
}

/* Degrees of the chord, but for natural fifths and roots, that the grip does not sound. */
static bool add_missing(const GlnLineSlot *slot, GlnBuffer *out) {
  const GlnChord *chord = &slot->slot->event->chord;
  uint16_t classes = sounding_classes(&slot->grip);
  size_t missing[GLN_CHORD_TONES_MAX], count = 0;
  for (int t = 0; t < chord->tone_count; t++)
    if ((classes >> chord->tones[t].pitch_class & 1) == 0 && chord->tones[t].role != GLN_ROLE_MAY_GO)
      missing[count++] = (size_t)t;
  if (count > 0)
    gln_buffer_add_string(out, "without its ");
  for (size_t i = 0; i < count; i++) {
    char degree[GLN_DEGREE_TEXT_MAX];
    size_t length = gln_degree_print(chord->tones[missing[i]].degree, GLN_SIGNS_ASCII, degree);
    add_item(out, i, count, degree, length);
  }
  return count > 0;
}

/* Notes of the grip that are not the chord's, by the names they have in the chord that is played. */
static bool add_foreign(const GlnLineSlot *slot, bool any, GlnBuffer *out) {
  const GlnChord *chord = &slot->slot->event->chord;
  unsigned foreign = sounding_classes(&slot->grip) & (unsigned)~gln_chord_pitch_classes(chord);
  size_t tones[GLN_CHORD_TONES_MAX], count = 0;
  for (int t = 0; t < slot->chord->tone_count; t++)
    if ((foreign >> slot->chord->tones[t].pitch_class & 1U) != 0)
      tones[count++] = (size_t)t;
  if (count > 0)
    gln_buffer_add_string(out, any ? ", with a foreign " : "with a foreign ");
  for (size_t i = 0; i < count; i++) {
    char note[GLN_NOTE_TEXT_MAX];
    size_t length = gln_note_print(slot->chord->tones[tones[i]].note, GLN_SIGNS_ASCII, note);
    add_item(out, i, count, note, length);
  }
  return count > 0;
}

/* What the ear loses where another chord is played than is written. */
static void add_ear_words(const GlnLineSlot *slot, GlnBuffer *out) {
  const GlnChord *chord = &slot->slot->event->chord;
  bool any = add_missing(slot, out);
  any = add_foreign(slot, any, out) || any;
  int bass = slot->grip.midi[slot->grip.bass_string] % 12;
  if (bass == gln_note_pitch_class(chord->bass)) {
    gln_buffer_add_string(out, any ? "" : "the same notes by another name");
    return;
  }
  int tone = gln_chord_tone_of(slot->chord, bass);
  char note[GLN_NOTE_TEXT_MAX], own[GLN_NOTE_TEXT_MAX];
  size_t length = tone >= 0 ? gln_note_print(slot->chord->tones[tone].note, GLN_SIGNS_ASCII, note) : 0;
  (void)gln_note_print(chord->bass, GLN_SIGNS_ASCII, own);
  gln_buffer_format(out, "%s%.*s in the bass instead of %s", any ? ", " : "", (int)length, note, own);
}

/* Tones that the grip before had and the new one has not. */
static bool add_left_out(const GlnLineSlot *few, const GlnLineSlot *best, GlnBuffer *out) {
  const GlnChord *chord = few->chord;
  bool any = false;
  for (int t = 0; t < chord->tone_count; t++) {
    if ((few->grip.tones >> t & 1) != 0 || (best->grip.tones >> t & 1) == 0)
      continue;
    char degree[GLN_DEGREE_TEXT_MAX];
    size_t length = gln_degree_print(chord->tones[t].degree, GLN_SIGNS_ASCII, degree);
    gln_buffer_add_string(out, any ? " and the " : "the ");
    gln_buffer_add(out, (GlnText){degree, length});
    any = true;
  }
  if (any)
    gln_buffer_add_string(out, " left out");
  return any;
}

/* What costs most more; "no harder" where nothing does. */
static void add_reason(const Reduction *reduction, const Loss *loss, GlnBuffer *out) {
  const GlnLineSlot *few = &reduction->few.line->slots[loss->slots[0]],
                    *best = &reduction->best->slots[loss->slots[0]];
  if (few->simplified) {
    add_ear_words(few, out);
    return;
  }
  int worst = 0;
  for (int c = 1; c < GLN_COST_COUNT; c++)
    worst = loss->parts[c] > loss->parts[worst] ? c : worst;
  if (loss->total < 0.005 || loss->parts[worst] <= 0) {
    gln_buffer_add_string(out, "nothing is lost there");
    return;
  }
  switch ((GlnCost)worst) {
  case GLN_COST_HOLD:
    gln_buffer_add_string(out, "harder to hold: ");
    gln_buffer_add_number(out, (double)few->grip.fingering.difficulty, 2);
    gln_buffer_add_string(out, " instead of ");
    gln_buffer_add_number(out, (double)best->grip.fingering.difficulty, 2);
    break;
  case GLN_COST_MOVE:
  case GLN_COST_TRAVEL:
    if (loss->frets > 0)
      gln_buffer_format(out, "the hand goes %d fret%s further", loss->frets, loss->frets == 1 ? "" : "s");
    else
      gln_buffer_add_string(out, "the fingers have more to do");
    break;
  case GLN_COST_SOUND:
    if (!add_left_out(few, best, out))
      gln_buffer_add_string(out, "it sounds less well: doubled, thin or muddy");
    break;
  case GLN_COST_LEAD:
    gln_buffer_add_string(out, "the inner voices go further");
    break;
  case GLN_COST_GUIDE:
    gln_buffer_add_string(out, "a 3rd or 7th leaps instead of going on by step");
    break;
  case GLN_COST_TOP:
    gln_buffer_add_string(out, "the top voice leaps");
    break;
  case GLN_COST_BASS:
    gln_buffer_add_string(out, "the bass leaps");
    break;
  case GLN_COST_COUNT:
    break;
  }
}

static GlnText played_name(const GlnLineSlot *slot, GlnArena *arena) {
  char name[GLN_SYMBOL_TEXT_MAX];
  size_t length = gln_chord_print(slot->chord, GLN_SIGNS_ASCII, name);
  const char *copy = gln_text_copy(arena, (GlnText){name, length});
  return copy != NULL ? gln_text(copy) : GLN_TEXT("");
}

static void add_loss_words(const Reduction *reduction, const Loss *loss, GlnArena *arena, GlnBuffer *out) {
  const GlnLineSlot *few = &reduction->few.line->slots[loss->slots[0]],
                    *best = &reduction->best->slots[loss->slots[0]];
  add_bar_list(reduction->few.line, loss, out);
  gln_buffer_add_string(out, ": ");
  gln_buffer_add(out, few->slot->event->symbol);
  if (few->simplified) {
    gln_buffer_add_string(out, " as ");
    gln_buffer_add(out, played_name(few, arena));
  }
  gln_buffer_add_string(out, " on ");
  gln_buffer_add(out, gln_frets_text(&few->grip, arena));
  gln_buffer_add_string(out, " instead of ");
  gln_buffer_add(out, gln_frets_text(&best->grip, arena));
  gln_buffer_add_string(out, ": ");
  add_reason(reduction, loss, out);
}

double gln_reduce_percent_above(double total, double least) {
  return least > 0 ? 100 * (total - least) / least : 0;
}

static size_t count_shapes(const GlnLine *line) {
  size_t count = 0;
  for (size_t d = 0; d < line->distinct_count; d++) {
    size_t before = 0;
    while (before < d &&
           !gln_same_shape(&line->slots[line->distinct[before]].grip, &line->slots[line->distinct[d]].grip))
      before++;
    count += before == d;
  }
  return count;
}

static size_t count_simplified(const GlnLine *line) {
  size_t count = 0;
  for (size_t i = 0; i < line->slot_count; i++)
    count += line->slots[i].simplified;
  return count;
}

static void add_number_of(size_t count, const char *what, GlnBuffer *out) {
  gln_buffer_format(out, "%zu %s%s", count, what, count == 1 ? "" : "s");
}

static void add_sum(const GlnJob *job, const Reduction *reduction, GlnBuffer *out) {
  const GlnLine *few = reduction->few.line, *best = reduction->best;
  const char *what = reduction->shapes ? "shape" : "grip";
  GlnBuffer words = gln_buffer(job->arena);
  add_number_of(reduction->shapes ? count_shapes(few) : few->distinct_count, what, &words);
  gln_buffer_add_string(&words, ": effort ");
  gln_buffer_add_number(&words, few->total, 1);
  gln_buffer_add_string(&words, "; the best line of all has ");
  add_number_of(reduction->shapes ? count_shapes(best) : best->distinct_count, what, &words);
  gln_buffer_add_string(&words, " and effort ");
  gln_buffer_add_number(&words, best->total, 1);
  gln_buffer_add_string(&words, ": ");
  gln_buffer_add_number(&words, gln_reduce_percent_above(few->total, best->total), 1);
  gln_buffer_add_string(&words, " % more.");
  if (few->bound >= few->total) {
    gln_buffer_format(&words, " Proved: no line on so few %ss is better.", what);
  } else {
    gln_buffer_add_string(&words, " Proved: this is at most ");
    gln_buffer_add_number(&words, ceil(10 * gln_reduce_percent_above(few->total, few->bound)) / 10, 1);
    gln_buffer_format(&words, " %% above the best line on so few %ss.", what);
  }
  size_t simplified = count_simplified(few), sounding = 0;
  for (size_t i = 0; i < few->slot_count; i++)
    sounding += !few->slots[i].silent;
  if (simplified > 0)
    gln_buffer_format(&words, " %zu of %zu chords are simplified.", simplified, sounding);
  gln_add_wrapped(out, gln_buffer_text(&words), 0, 2, job->app->columns);
  gln_buffer_add_byte(out, '\n');
}

static GlnStatus print_text(GlnJob *job, const Reduction *reduction) {
  Loss *losses = NULL;
  size_t count = 0;
  GLN_TRY(find_losses(reduction, job->arena, &losses, &count));
  GLN_TRY(gln_add_line_text(job, &reduction->few));
  gln_buffer_add_byte(&job->out, '\n');
  gln_add_styled(job, &job->out, GLN_STYLE_BOLD, GLN_TEXT("what is given up"));
  gln_buffer_add_byte(&job->out, '\n');
  add_sum(job, reduction, &job->out);
  for (size_t k = 0; k < count; k++) {
    GlnBuffer words = gln_buffer(job->arena);
    add_loss_words(reduction, &losses[k], job->arena, &words);
    gln_add_wrapped(&job->out, gln_buffer_text(&words), 0, 4, job->app->columns);
    gln_buffer_add_byte(&job->out, '\n');
  }
  return GLN_OK;
}

/* ---- for programs ---------------------------------------------------------------------------------------------------- */

static void add_loss_json(GlnJson *json, const Reduction *reduction, const Loss *loss, GlnArena *arena) {
  const GlnLineSlot *few = &reduction->few.line->slots[loss->slots[0]],
                    *best = &reduction->best->slots[loss->slots[0]];
  GlnBuffer words = gln_buffer(arena);
  add_loss_words(reduction, loss, arena, &words);
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "words", gln_buffer_text(&words));
  gln_json_add_text(json, "chord", few->slot->event->symbol);
  if (few->simplified)
    gln_json_add_text(json, "played_as", played_name(few, arena));
  else
    gln_json_add_null(json, "played_as");
  gln_json_add_text(json, "frets", gln_frets_text(&few->grip, arena));
  gln_json_add_text(json, "instead_of", gln_frets_text(&best->grip, arena));
  gln_json_open_array(json, "slots");
  for (size_t k = 0; k < loss->count; k++)
    gln_json_add_integer(json, NULL, (long long)loss->slots[k]);
  gln_json_close(json);
  gln_json_open_object(json, "cost");
  for (int c = 0; c < GLN_COST_COUNT; c++)
    gln_json_add_number(json, gln_cost_key((GlnCost)c), loss->parts[c], 4);
  gln_json_close(json);
  gln_json_close(json);
}

static GlnStatus fill_json(GlnJson *json, const Reduction *reduction, GlnArena *arena) {
  Loss *losses = NULL;
  size_t count = 0;
  GLN_TRY(find_losses(reduction, arena, &losses, &count));
  gln_add_arrangement_json(json, &reduction->few, arena);
  gln_json_add_integer(json, "distinct_shapes", (long long)count_shapes(reduction->few.line));
  const GlnLine *few = reduction->few.line, *best = reduction->best;
  gln_json_open_object(json, "loss");
  gln_json_add_number(json, "points", few->total - best->total, 4);
  gln_json_add_number(json, "percent", gln_reduce_percent_above(few->total, best->total), 2);
  gln_json_add_integer(json, "simplified", (long long)count_simplified(few));
  gln_json_open_array(json, "changes");
  for (size_t k = 0; k < count; k++)
    add_loss_json(json, reduction, &losses[k], arena);
  gln_json_close(json);
  gln_json_close(json);
  gln_json_open_object(json, "bound");
  gln_json_add_number(json, "total", few->bound, 4);
  gln_json_add_number(json, "percent", gln_reduce_percent_above(few->total, few->bound), 2);
  gln_json_add_boolean(json, "exact", few->bound >= few->total);
  gln_json_close(json);
  return GLN_OK;
}

static GlnStatus print_json(GlnJob *job, const Reduction *reduction, GlnText chart) {
  GlnJson *json = gln_json_new(job->arena, "reduce");
  if (json == NULL)
    return GLN_MEMORY;
  GlnStatus status = fill_json(json, reduction, job->arena);
  gln_json_add_text(json, "chart", chart);
  status = status == GLN_OK ? gln_json_write(json, &job->out) : status;
  gln_json_free(json);
  return status;
}

/* ---- the command ------------------------------------------------------------------------------------------------------ */

static GlnStatus run_few(GlnJob *job, bool shapes) {
  const GlnValue *most = &job->arguments.value[shapes ? GLN_OPT_SHAPES : GLN_OPT_GRIPS];
  Reduction reduction = {.shapes = shapes, .most = (uint32_t)most->number};
  GLN_TRY(gln_job_arrange(job, &reduction.few));
  reduction.best = reduction.few.line;
  GlnLineOptions options = reduction.few.options;
  options.simplify = !job->arguments.value[GLN_OPT_AS_WRITTEN].given;
  options.grips_most = shapes ? 0 : reduction.most;
  options.shapes_most = shapes ? reduction.most : 0;
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = gln_line_solve(reduction.few.song, &options, job->arena, &diags, &reduction.few.line);
  if (status != GLN_OK) {
    gln_job_show_diags(job, &diags, reduction.few.name, reduction.few.chart->source);
    return status;
  }
  GlnText chart;
  GLN_TRY(gln_arranged_chart(job, &reduction.few, &chart));
  GLN_TRY(job->arguments.value[GLN_OPT_JSON].given ? print_json(job, &reduction, chart)
                                                   : print_text(job, &reduction));
  if (!job->arguments.value[GLN_OPT_OUTPUT].given)
    return GLN_OK;
  const GlnBuffer words = job->out;
  if (!job->arguments.value[GLN_OPT_JSON].given)
    job->out = gln_buffer(job->arena);
  return gln_job_deliver_chart(job, chart, &words);
}

static GlnStatus run_grips(GlnJob *job) {
  return run_few(job, false);
}

static GlnStatus run_shapes(GlnJob *job) {
  return run_few(job, true);
}

/* What a song can be reduced by. Options with the same way to run go together. */
static const struct {
  GlnStatus (*run)(GlnJob *job);
  GlnOptionId option;
} goals[] = {
    {run_grips, GLN_OPT_GRIPS},
    {run_shapes, GLN_OPT_SHAPES},
    {gln_reduce_run_curve, GLN_OPT_CURVE},
    {gln_reduce_chords, GLN_OPT_CHORDS},
    {gln_reduce_chords, GLN_OPT_CHORD_LEVEL},
};

/* The goal that is asked for; GLN_COUNT_OF(goals) when there is none, or more than one. */
static size_t find_goal(const GlnJob *job) {
  size_t found = GLN_COUNT_OF(goals);
  for (size_t g = 0; g < GLN_COUNT_OF(goals); g++) {
    if (!job->arguments.value[goals[g].option].given)
      continue;
    if (found < GLN_COUNT_OF(goals) && goals[found].run != goals[g].run)
      return GLN_COUNT_OF(goals);
    found = g;
  }
  return found;
}

GlnStatus gln_run_reduce(GlnJob *job) {
  size_t goal = find_goal(job);
  if (goal == GLN_COUNT_OF(goals))
    return gln_job_complain(job, GLN_USAGE, "",
                            "reduce needs one of --grips N, --shapes N, --curve, and --chords N or --level");
  size_t format = 0; /* the first is the chart, the others are pictures */
  if (goals[goal].option != GLN_OPT_CURVE && job->arguments.value[GLN_OPT_OUTPUT].given)
    GLN_TRY(gln_job_format(job, &format));
  if (format > 0)
    return gln_job_complain(job, GLN_USAGE, "end the name in .chart, or give --curve",
                            "reduce draws a picture of a curve alone, and \"%s\" would be one",
                            job->arguments.value[GLN_OPT_OUTPUT].text.at);
  return goals[goal].run(job);
}
