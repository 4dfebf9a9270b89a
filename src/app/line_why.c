/* arrange --why: what a grip of the line costs, part by part, and the best other grip with what the line would have
 * cost. */
#include "app_internal.h"

#include <math.h>
#include <string.h>

/* ---- which slots ------------------------------------------------------------------------------------------------ */

static GlnStatus complain(const GlnJob *job, const char *advice, const char *problem) {
  GlnText text = job->arguments.value[GLN_OPT_WHY].text;
  return gln_job_complain(job, GLN_USAGE, advice, "--why %.*s: %s", (int)text.length, text.at, problem);
}

static bool beat_is(const GlnJob *job, GlnRatio beat, GlnText typed) {
  GlnBuffer printed = gln_buffer(job->arena);
  gln_add_beat(beat, &printed);
  return gln_text_equal(gln_buffer_text(&printed), typed);
}

GlnStatus gln_why_find(const GlnJob *job, const GlnArrangement *arrangement, GlnWhy *why) {
  const GlnLine *line = arrangement->line;
  GlnText text = job->arguments.value[GLN_OPT_WHY].text;
  bool all = gln_text_equal_ignoring_case(text, GLN_TEXT("all"));
  size_t dot = gln_text_find(text, GLN_TEXT("."), 0);
  long bar = 0;
  if (!all && gln_text_integer(gln_text_slice(text, 0, dot), 0, GLN_PLAYED_BARS_MAX, &bar) != GLN_OK)
    return complain(job, "write a bar as played, a bar and a beat, or all: 9, 9.3, all",
                    "no place in the song");
  *why = (GlnWhy){.slots = GLN_NEW(job->arena, size_t, line->slot_count)};
  if (why->slots == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    bool here = all || (slot->bar == (uint32_t)bar &&
                        (dot >= text.length || beat_is(job, slot->beat, gln_text_from(text, dot + 1))));
    if (here && !line->slots[i].silent)
      why->slots[why->count++] = i;
  }
  if (why->count == 0)
    return complain(job, "bars are counted as played; arrange without --why shows them",
                    "no chord begins there");
  return GLN_OK;
}

GlnStatus gln_why_ask(const GlnJob *job, const GlnArrangement *arrangement, GlnWhy *why) {
  if (arrangement->options.vary)
    return complain(job, "leave out --vary", "it looks at the line whose returns are alike");
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = gln_line_rejected(arrangement->song, &arrangement->options, why->slots, why->count,
                                       job->arena, &diags, &why->rejected);
  gln_job_show_diags(job, &diags, arrangement->name, arrangement->chart->source);
  return status;
}

/* ---- words ------------------------------------------------------------------------------------------------------- */

static void add_signed(GlnBuffer *out, double points) {
  double rounded = round(points * 100) / 100;
  gln_buffer_add_string(out, rounded < 0 ? "−" : "+");
  gln_buffer_add_number(out, fabs(rounded), 2);
}

static void sum_costs(const GlnLine *line, double sum[GLN_COST_COUNT]) {
  memset(sum, 0, GLN_COST_COUNT * sizeof *sum);
  for (size_t i = 0; i < line->slot_count; i++)
    for (int c = 0; c < GLN_COST_COUNT; c++)
      sum[c] += line->slots[i].cost[c];
}

#define TOLD (-1e30) /* less than any difference */

/* "move +1.20, lead +0.40, hold −0.31": the parts that differ, what is paid first. */
static void add_differences(const GlnLine *line, const GlnRejected *rejected, GlnBuffer *out) {
  double sum[GLN_COST_COUNT], more[GLN_COST_COUNT];
  sum_costs(line, sum);
  for (int c = 0; c < GLN_COST_COUNT; c++)
    more[c] = rejected->cost[c] - sum[c];
  const char *between = ": ";
  for (int told = 0; told < GLN_COST_COUNT; told++) {
    int most = 0;
    for (int c = 1; c < GLN_COST_COUNT; c++)
      most = more[c] > more[most] ? c : most;
    if (fabs(more[most]) >= 0.005 && more[most] > TOLD) {
      gln_buffer_format(out, "%s%s ", between, gln_cost_key((GlnCost)most));
      add_signed(out, more[most]);
      between = ", ";
    }
    more[most] = TOLD;
  }
}

static void add_rejected(const GlnJob *job, const GlnArrangement *arrangement, size_t slot,
                         const GlnRejected *rejected, GlnBuffer *out) {
  const GlnLine *line = arrangement->line;
  if (!rejected->found) {
    gln_buffer_add_string(out, line->slots[slot].slot->event->pin.length > 0
                                   ? "pinned: no other grip was looked at"
                                   : "no other grip of it keeps to all wishes");
    return;
  }
  gln_buffer_add_string(out, "best other grip ");
  gln_buffer_add(out, gln_frets_text(&rejected->grip, job->arena));
  gln_buffer_add_string(out, ", fingers ");
  gln_buffer_add(out, gln_fingers_text(&rejected->grip, job->arena));
  gln_buffer_add_string(out, ": the whole line would cost ");
  gln_buffer_add_number(out, rejected->total, 2);
  gln_buffer_add_string(out, " in place of ");
  gln_buffer_add_number(out, line->total, 2);
  gln_buffer_add_string(out, ", ");
  add_signed(out, rejected->total - line->total);
  add_differences(line, rejected, out);
  if (rejected->highest_tempo < line->highest_tempo - 0.5)
    gln_buffer_format(out, "; its hardest change is comfortable up to %d, not %d",
                      (int)rejected->highest_tempo, (int)line->highest_tempo);
  if (rejected->also > 0)
    gln_buffer_format(out, "; %zu other chord%s would be held otherwise, too", rejected->also,
                      rejected->also == 1 ? "" : "s");
}

static size_t times_played(const GlnLine *line, size_t slot) {
  size_t times = 0;
  for (size_t i = 0; i < line->slot_count; i++)
    times += line->slots[i].slot->written == line->slots[slot].slot->written ? 1U : 0U;
  return times;
}

static void add_slot(const GlnJob *job, const GlnArrangement *arrangement, size_t i,
                     const GlnRejected *rejected, GlnBuffer *out) {
  const GlnLineSlot *at = &arrangement->line->slots[i];
  GlnBuffer head = gln_buffer(job->arena), words = gln_buffer(job->arena), other = gln_buffer(job->arena);
  gln_buffer_format(&head, "bar %u beat ", (unsigned)at->slot->bar);
  gln_add_beat(at->slot->beat, &head);
  gln_buffer_add_string(&head, ": ");
  gln_buffer_add(&head, at->slot->event->symbol);
  gln_buffer_add_byte(&head, ' ');
  gln_buffer_add(&head, gln_frets_text(&at->grip, job->arena));
  gln_buffer_add_string(&head, ", fingers ");
  gln_buffer_add(&head, gln_fingers_text(&at->grip, job->arena));
  gln_add_styled(job, out, GLN_STYLE_BOLD, gln_buffer_text(&head));
  double total = 0;
  for (int c = 0; c < GLN_COST_COUNT; c++)
    total += at->cost[c];
  gln_buffer_add_string(&words, "costs ");
  gln_buffer_add_number(&words, total, 2);
  for (int c = 0; c < GLN_COST_COUNT; c++) {
    gln_buffer_format(&words, "%s%s ", c == 0 ? ": " : ", ", gln_cost_key((GlnCost)c));
    gln_buffer_add_number(&words, at->cost[c], 2);
  }
  size_t times = times_played(arrangement->line, i);
  if (times > 1)
    gln_buffer_format(&words, "; the chord is played %zu times", times);
  add_rejected(job, arrangement, i, rejected, &other);
  gln_buffer_add_string(out, "\n  ");
  gln_add_wrapped(out, gln_buffer_text(&words), 2, 2, job->app->columns);
  gln_buffer_add_string(out, "\n  ");
  gln_add_wrapped(out, gln_buffer_text(&other), 2, 2, job->app->columns);
  gln_buffer_add_byte(out, '\n');
}

void gln_add_why(const GlnJob *job, const GlnArrangement *arrangement, const GlnWhy *why, GlnBuffer *out) {
  for (size_t k = 0; k < why->count; k++) {
    gln_buffer_add_string(out, k > 0 ? "\n" : "");
    add_slot(job, arrangement, why->slots[k], &why->rejected[k], out);
  }
  gln_buffer_add_string(out, "\nparts of the cost, in points:\n");
  for (int c = 0; c < GLN_COST_COUNT; c++)
    gln_buffer_format(out, "  %-7s %s\n", gln_cost_key((GlnCost)c), gln_cost_words((GlnCost)c));
}

/* ---- for programs ------------------------------------------------------------------------------------------------ */

void gln_add_why_json(GlnJson *json, const GlnArrangement *arrangement, const GlnWhy *why, size_t slot,
                      GlnArena *arena) {
  size_t k = 0;
  while (k < why->count && why->slots[k] != slot)
    k++;
  if (k == why->count)
    return;
  const GlnRejected *rejected = &why->rejected[k];
  gln_json_open_object(json, "why");
  if (!rejected->found) {
    gln_json_add_null(json, "rejected");
    gln_json_close(json);
    return;
  }
  gln_json_open_object(json, "rejected");
  gln_json_add_text(json, "frets", gln_frets_text(&rejected->grip, arena));
  gln_json_add_text(json, "fingers", gln_fingers_text(&rejected->grip, arena));
  gln_json_add_number(json, "total", rejected->total, 4);
  gln_json_add_number(json, "more", rejected->total - arrangement->line->total, 4);
  gln_json_open_object(json, "cost");
  for (int c = 0; c < GLN_COST_COUNT; c++)
    gln_json_add_number(json, gln_cost_key((GlnCost)c), rejected->cost[c], 4);
  gln_json_close(json);
  gln_json_add_integer(json, "also", (long long)rejected->also);
  gln_json_close(json);
  gln_json_close(json);
}
