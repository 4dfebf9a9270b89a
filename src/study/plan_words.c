/* A plan in words, for a terminal, a page and a calendar alike. */
#include "study.h"

#include <math.h>

void gln_add_change(const GlnStudyItem *item, GlnBuffer *out) {
  if (item->beat > 0)
    gln_buffer_format(out, "%u.%d", (unsigned)item->bar, item->beat);
}

/* ---- small words ------------------------------------------------------------------------------------------------------ */

void gln_add_day(GlnDay day, GlnBuffer *out) {
  char text[GLN_DAY_TEXT_MAX];
  gln_day_print(day, text);
  gln_buffer_format(out, "%.3s %s", gln_weekday_name(gln_day_weekday(day)), text);
}

void gln_add_minutes(int seconds, GlnBuffer *out) {
  if (seconds >= 60 || seconds % 60 == 0)
    gln_buffer_format(out, "%d", seconds / 60);
  gln_buffer_add_string(out, seconds % 60 >= 30 ? "½ min" : " min");
}

static void add_count(size_t count, const char *one, const char *many, GlnBuffer *out) {
  gln_buffer_format(out, "%zu %s", count, count == 1 ? one : many);
}

static void add_bar_range(const GlnMaterial *material, const GlnPlanStep *step, GlnBuffer *out) {
  const GlnStudyBar *first = &material->bars[step->first_bar], *last = &material->bars[step->last_bar];
  if (first->number == last->number)
    gln_buffer_format(out, "bar %u", (unsigned)first->number);
  else
    gln_buffer_format(out, "bars %u–%u", (unsigned)first->number, (unsigned)last->number);
}

/* ---- a step ------------------------------------------------------------------------------------------------------------ */

void gln_add_step_subject(const GlnPlan *plan, const GlnPlanStep *step, GlnBuffer *out) {
  const GlnMaterial *material = plan->material;
  switch (step->kind) {
  case GLN_STEP_WARM_UP:
  case GLN_STEP_PAUSE:
    return;
  case GLN_STEP_REVIEW:
  case GLN_STEP_NEW:
    gln_buffer_format(out, "%zu. ", step->item + 1);
    gln_buffer_add(out, material->items[step->item].name);
    return;
  case GLN_STEP_SECTION:
    gln_buffer_add_byte(out, '[');
    gln_buffer_add(out, material->sections[material->bars[step->first_bar].section]);
    gln_buffer_add_string(out, "] ");
    add_bar_range(material, step, out);
    return;
  case GLN_STEP_BAR:
  case GLN_STEP_PHRASE:
  case GLN_STEP_FORM:
    add_bar_range(material, step, out);
    return;
  }
}

void gln_add_step_tempo(const GlnPlanStep *step, GlnBuffer *out) {
  if (step->target > 0)
    gln_buffer_format(out, "%d, %d", step->slow, step->target);
}

/* Why an item is on the list today. */
static void add_why(const GlnPlanStep *step, GlnBuffer *out) {
  if (step->kind == GLN_STEP_REVIEW)
    gln_buffer_format(out, "last %d %s ago, %d %% there", step->days_since,
                      step->days_since == 1 ? "day" : "days", (int)round(step->recall * 100));
  else if (step->unlocks > 0)
    gln_buffer_format(out, "unlocks %u %s", (unsigned)step->unlocks, step->unlocks == 1 ? "bar" : "bars");
}

void gln_add_step_how(const GlnPlan *plan, const GlnPlanStep *step, GlnBuffer *out) {
  switch (step->kind) {
  case GLN_STEP_WARM_UP:
    gln_buffer_add_string(out, "grips you know, slowly and lightly");
    return;
  case GLN_STEP_PAUSE:
    gln_buffer_add_string(out, "put the guitar down, loosen hands and shoulders");
    return;
  case GLN_STEP_BAR:
  case GLN_STEP_PHRASE:
  case GLN_STEP_SECTION:
    gln_buffer_format(out, "play --from %u --to %u", (unsigned)plan->material->bars[step->first_bar].number,
                      (unsigned)plan->material->bars[step->last_bar].number);
    return;
  case GLN_STEP_FORM:
    gln_buffer_add_string(out, "from beginning to end");
    return;
  case GLN_STEP_REVIEW:
  case GLN_STEP_NEW:
    break;
  }
  const GlnStudyItem *item = &plan->material->items[step->item];
  if (!step->again)
    add_why(step, out);
  if (item->what.length > 0 && step->kind == GLN_STEP_NEW && !step->again) {
    gln_buffer_add_string(out, out->length > 0 ? "; " : "");
    gln_buffer_add(out, item->what);
  }
  if (item->kind == GLN_ITEM_MOVE && item->beat > 0) {
    gln_buffer_add_string(out, out->length > 0 ? "; play --change " : "play --change ");
    gln_add_change(item, out);
  }
}

/* ---- a plan ------------------------------------------------------------------------------------------------------------- */

void gln_add_day_words(const GlnPlan *plan, const GlnPlanDay *day, GlnBuffer *out) {
  if (day->rest) {
    bool first = plan->options.strain == GLN_STRAIN_PAIN && day->returning == GLN_RETURN_SESSIONS;
    gln_buffer_add_string(out, first ? "rest, after pain" : "rest");
    return;
  }
  gln_add_minutes(day->playing, out);
  if (day->pausing > 0) {
    gln_buffer_add_string(out, " and ");
    gln_add_minutes(day->pausing, out);
    gln_buffer_add_string(out, " of pause");
  }
  if (day->new_grips + day->new_moves > 0) {
    gln_buffer_add_string(out, "; new: ");
    if (day->new_grips > 0)
      add_count(day->new_grips, "grip", "grips", out);
    gln_buffer_add_string(out, day->new_grips > 0 && day->new_moves > 0 ? ", " : "");
    if (day->new_moves > 0)
      add_count(day->new_moves, "move", "moves", out);
  }
  if (day->returning > 0)
    gln_buffer_add_string(out, "; shorter and slower, after pain");
  gln_buffer_format(out, "; %zu of %zu bars can be played", day->bars_open, plan->material->bar_count);
}

void gln_add_forecast(const GlnPlan *plan, GlnBuffer *out) {
  const GlnForecast *forecast = &plan->forecast;
  if (!forecast->found) {
    gln_buffer_format(
        out,
        "At this pace the song is not ready within %d days: give it more minutes a day, or fewer "
        "grips (gripline reduce).",
        GLN_FORECAST_DAYS);
    return;
  }
  gln_buffer_add_string(out, "Ready, with every grip and move solid, about ");
  gln_add_day(forecast->likely, out);
  gln_buffer_add_string(out, "; four in five students would be between ");
  gln_add_day(forecast->early, out);
  gln_buffer_add_string(out, " and ");
  if (forecast->late < GLN_DAY_MAX)
    gln_add_day(forecast->late, out);
  else
    gln_buffer_add_string(out, "a year from now or later");
  gln_buffer_add_string(out, plan->options.rated == 0 ? ". That is a guess: nothing is recorded yet." : ".");
}

void gln_add_left(const GlnPlan *plan, GlnBuffer *out) {
  if (plan->grips_left + plan->moves_left == 0)
    return;
  gln_buffer_add_string(out, "Not begun by then: ");
  add_count(plan->grips_left, "grip", "grips", out);
  gln_buffer_add_string(out, " and ");
  add_count(plan->moves_left, "move", "moves", out);
  gln_buffer_add_string(out, ".");
}

void gln_add_order_words(const GlnUnlock *unlock, GlnBuffer *out) {
  if (unlock->count == 0)
    return;
  gln_buffer_add_string(out, "The grips come in the order that unlocks bars soonest");
  if (!unlock->exact)
    gln_buffer_format(out,
                      " (found: %lld bars waited for, summed over the grips; no order has fewer than %lld)",
                      (long long)unlock->wait, (long long)unlock->bound);
  gln_buffer_add_byte(out, '.');
}
