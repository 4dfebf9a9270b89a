/* A plan as text, as a calendar and as JSON. */
#include "app_internal.h"

#include <math.h>

static void add_count(size_t count, const char *one, const char *many, GlnBuffer *out) {
  gln_buffer_format(out, "%zu %s", count, count == 1 ? one : many);
}

static void add_paragraph(GlnJob *job, const GlnBuffer *words) {
  if (words->length == 0)
    return;
  GlnBuffer *out = &job->out;
  gln_add_wrapped(out, gln_buffer_text(words), 0, 0, job->app->columns);
  gln_buffer_add_byte(out, '\n');
}

static void list_step(const GlnPlan *plan, const GlnPlanStep *step, GlnTable *table) {
  GlnBuffer cell[5];
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    cell[c] = gln_buffer(table->arena);
  gln_buffer_add_string(&cell[0], step->kind == GLN_STEP_PAUSE ? "  " : "☐ ");
  gln_add_minutes(step->seconds, &cell[0]);
  gln_buffer_add_string(&cell[1], gln_step_name(step));
  gln_add_step_subject(plan, step, &cell[2]);
  gln_add_step_tempo(step, &cell[3]);
  gln_add_step_how(plan, step, &cell[4]);
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    gln_table_cell(table, &cell[c]);
}

GlnStatus gln_print_plan(GlnJob *job, const GlnPlanning *planning) {
  static const char *const heads[] = {"", "what", "item", "tempo", "why and how"};
  const GlnPlan *plan = planning->plan;
  const GlnMaterial *material = plan->material;
  if (material->title.length > 0) {
    gln_add_styled(job, &job->out, GLN_STYLE_BOLD, material->title);
    gln_buffer_add_byte(&job->out, '\n');
  }
  GlnBuffer words = gln_buffer(job->arena);
  add_count(material->grip_count, "grip", "grips", &words);
  gln_buffer_add_string(&words, ", ");
  add_count(material->item_count - material->grip_count, "move", "moves", &words);
  gln_buffer_add_string(&words, ", ");
  gln_buffer_add_number(&words, material->tempo, 0);
  gln_buffer_format(&words, " quarter notes a minute. %d minutes a day. ", plan->options.minutes);
  gln_add_order_words(&plan->unlock, &words);
  add_paragraph(job, &words);
  const char *advice = gln_hands_advice(&plan->options);
  words = gln_buffer(job->arena);
  gln_buffer_add_string(&words, advice != NULL ? advice : "");
  add_paragraph(job, &words);
  if (planning->today_done)
    gln_buffer_add_string(&job->out, "Today's practice is recorded: the plan goes on tomorrow.\n");
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  for (size_t d = 0; d < plan->day_count; d++) {
    GlnBuffer blank = gln_buffer(job->arena), head = gln_buffer(job->arena);
    gln_table_line(&table, GLN_STYLE_PLAIN, &blank);
    gln_add_day(plan->days[d].day, &head);
    gln_buffer_add_string(&head, ": ");
    gln_add_day_words(plan, &plan->days[d], &head);
    gln_table_line(&table, GLN_STYLE_BOLD, &head);
    for (size_t s = 0; s < plan->days[d].step_count; s++)
      list_step(plan, &plan->days[d].steps[s], &table);
  }
  gln_table_print(job, &table, &job->out);
  gln_buffer_add_byte(&job->out, '\n');
  words = gln_buffer(job->arena);
  gln_add_forecast(plan, &words);
  add_paragraph(job, &words);
  words = gln_buffer(job->arena);
  gln_add_left(plan, &words);
  add_paragraph(job, &words);
  words = gln_buffer(job->arena);
  for (size_t i = 0; gln_caution(i) != NULL; i++) {
    gln_buffer_add_string(&words, i > 0 ? " " : "");
    gln_buffer_add_string(&words, gln_caution(i));
  }
  add_paragraph(job, &words);
  return gln_buffer_status(&words);
}

/* ---- a calendar ----------------------------------------------------------------------------------------------------------- */

/* The same for the same song and student: FNV-1a. */
static uint64_t hash_text(uint64_t hash, GlnText text) {
  for (size_t i = 0; i < text.length; i++)
    hash = (hash ^ (unsigned char)text.at[i]) * 1099511628211U;
  return (hash ^ 0xFFU) * 1099511628211U;
}

static void describe_day(const GlnPlan *plan, const GlnPlanDay *day, GlnBuffer *out) {
  const char *advice = gln_hands_advice(&plan->options);
  if (advice != NULL)
    gln_buffer_format(out, "%s\n", advice);
  gln_add_day_words(plan, day, out);
  gln_buffer_add_byte(out, '\n');
  for (size_t s = 0; s < day->step_count; s++) {
    const GlnPlanStep *step = &day->steps[s];
    GlnBuffer part[3] = {gln_buffer(out->arena), gln_buffer(out->arena), gln_buffer(out->arena)};
    gln_add_step_subject(plan, step, &part[0]);
    gln_add_step_tempo(step, &part[1]);
    gln_add_step_how(plan, step, &part[2]);
    gln_add_minutes(step->seconds, out);
    gln_buffer_format(out, " %s", gln_step_name(step));
    for (size_t i = 0; i < GLN_COUNT_OF(part); i++) {
      gln_buffer_add_string(out, part[i].length == 0 ? "" : i == 0 ? " " : i == 1 ? ", tempo " : ": ");
      gln_buffer_add(out, gln_buffer_text(&part[i]));
    }
    gln_buffer_add_byte(out, '\n');
  }
  for (size_t i = 0; gln_caution(i) != NULL; i++)
    gln_buffer_format(out, "%s%s", i > 0 ? " " : "", gln_caution(i));
}

GlnStatus gln_add_plan_calendar(const GlnJob *job, const GlnPlanning *planning, GlnBuffer *out) {
  const GlnPlan *plan = planning->plan;
  GlnText title = plan->material->title.length > 0 ? plan->material->title : planning->arrangement.name;
  uint64_t hash = hash_text(hash_text(14695981039346656037U, title), planning->student);
  GlnCalendarEvent *events = GLN_NEW(job->arena, GlnCalendarEvent, plan->day_count);
  if (events == NULL)
    return GLN_MEMORY;
  for (size_t d = 0; d < plan->day_count; d++) {
    const GlnPlanDay *day = &plan->days[d];
    GlnBuffer uid = gln_buffer(job->arena), summary = gln_buffer(job->arena), words = gln_buffer(job->arena);
    char date[GLN_DAY_TEXT_MAX];
    gln_day_print(day->day, date);
    gln_buffer_format(&uid, "%s-%08lx%08lx@gripline.invalid", date, (unsigned long)(hash >> 32),
                      (unsigned long)(hash & 0xFFFFFFFFU));
    gln_buffer_add(&summary, title);
    gln_buffer_add_string(&summary, day->rest ? ": rest" : ": practice, ");
    if (!day->rest)
      gln_buffer_format(&summary, "%d min",
                        (int)(plan->options.minutes * gln_return_minutes(day->returning) + 0.5));
    describe_day(plan, day, &words);
    GLN_TRY(gln_buffer_status(&uid));
    GLN_TRY(gln_buffer_status(&summary));
    GLN_TRY(gln_buffer_status(&words));
    events[d] = (GlnCalendarEvent){day->day, gln_buffer_text(&uid), gln_buffer_text(&summary),
                                   gln_buffer_text(&words)};
  }
  const GlnCalendar calendar = {events, plan->day_count, plan->options.start, planning->records};
  return gln_calendar_write(&calendar, out);
}

/* ---- for programs ---------------------------------------------------------------------------------------------------------- */

static void add_date_json(GlnJson *json, const char *key, GlnDay day) {
  char text[GLN_DAY_TEXT_MAX];
  gln_day_print(day, text);
  gln_json_add_text(json, key, gln_text(text));
}

static void add_item_json(GlnJson *json, const GlnPlanning *planning, size_t i, GlnArena *arena) {
  const GlnStudyItem *item = &planning->material->items[i];
  const GlnMemory *memory = &planning->memories[i];
  gln_json_open_object(json, NULL);
  gln_json_add_integer(json, "item", (long long)i + 1);
  gln_json_add_text(json, "kind", gln_text(gln_item_kind_key(item->kind)));
  gln_json_add_text(json, "key", item->key);
  gln_json_add_text(json, "name", item->name);
  gln_json_add_text(json, "words", item->what);
  gln_json_add_number(json, "difficulty", item->difficulty, 4);
  if (isfinite(item->tempo))
    gln_json_add_number(json, "tempo", item->tempo, 1);
  else
    gln_json_add_null(json, "tempo");
  gln_json_add_integer(json, "bar", item->bar);
  gln_json_add_integer(json, "uses", item->uses);
  if (item->kind == GLN_ITEM_MOVE) {
    gln_json_add_integer(json, "from", (long long)item->from + 1);
    gln_json_add_integer(json, "to", (long long)item->to + 1);
    GlnBuffer change = gln_buffer(arena);
    gln_add_change(item, &change);
    if (change.length > 0)
      gln_json_add_text(json, "change", gln_buffer_text(&change));
    else
      gln_json_add_null(json, "change");
  }
  gln_json_add_integer(json, "practised", memory->practised);
  gln_json_add_number(json, "half_life_days", memory->half_life, 3);
  gln_json_close(json);
}

static void add_step_json(GlnJson *json, const GlnPlan *plan, const GlnPlanStep *step, GlnArena *arena) {
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "kind", gln_text(gln_step_key(step->kind)));
  gln_json_add_number(json, "minutes", step->seconds / 60.0, 1);
  if (step->item != GLN_NO_ITEM)
    gln_json_add_integer(json, "item", (long long)step->item + 1);
  if (step->kind >= GLN_STEP_BAR) {
    gln_json_add_integer(json, "first_bar", plan->material->bars[step->first_bar].number);
    gln_json_add_integer(json, "last_bar", plan->material->bars[step->last_bar].number);
  }
  if (step->target > 0) {
    gln_json_add_integer(json, "slow", step->slow);
    gln_json_add_integer(json, "target", step->target);
  }
  if (step->kind == GLN_STEP_REVIEW) {
    gln_json_add_number(json, "recall", step->recall, 4);
    gln_json_add_integer(json, "days_since", step->days_since);
  }
  if (step->unlocks > 0)
    gln_json_add_integer(json, "unlocks", step->unlocks);
  GlnBuffer how = gln_buffer(arena);
  gln_add_step_how(plan, step, &how);
  gln_json_add_text(json, "words", gln_buffer_text(&how));
  gln_json_close(json);
}

static void add_day_json(GlnJson *json, const GlnPlan *plan, const GlnPlanDay *day, GlnArena *arena) {
  gln_json_open_object(json, NULL);
  add_date_json(json, "date", day->day);
  gln_json_add_boolean(json, "rest", day->rest);
  gln_json_add_boolean(json, "lighter", !day->rest && day->returning > 0);
  gln_json_add_number(json, "minutes", day->playing / 60.0, 1);
  gln_json_add_number(json, "pause_minutes", day->pausing / 60.0, 1);
  gln_json_add_integer(json, "new_grips", (long long)day->new_grips);
  gln_json_add_integer(json, "new_moves", (long long)day->new_moves);
  gln_json_add_integer(json, "bars_open", (long long)day->bars_open);
  gln_json_open_array(json, "steps");
  for (size_t s = 0; s < day->step_count; s++)
    add_step_json(json, plan, &day->steps[s], arena);
  gln_json_close(json);
  gln_json_close(json);
}

static void add_forecast_json(GlnJson *json, const GlnForecast *forecast) {
  if (!forecast->found) {
    gln_json_add_null(json, "forecast");
    return;
  }
  gln_json_open_object(json, "forecast");
  add_date_json(json, "likely", forecast->likely);
  add_date_json(json, "early", forecast->early);
  if (forecast->late < GLN_DAY_MAX)
    add_date_json(json, "late", forecast->late);
  else
    gln_json_add_null(json, "late");
  gln_json_close(json);
}

GlnStatus gln_print_plan_json(GlnJob *job, const GlnPlanning *planning) {
  const GlnPlan *plan = planning->plan;
  GlnJson *json = gln_json_new(job->arena, "plan");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_add_text(json, "title", plan->material->title);
  gln_json_add_number(json, "tempo", plan->material->tempo, 3);
  gln_json_add_text(json, "student", planning->student);
  add_date_json(json, "start", plan->options.start);
  gln_json_open_array(json, "items");
  for (size_t i = 0; i < plan->material->item_count; i++)
    add_item_json(json, planning, i, job->arena);
  gln_json_close(json);
  gln_json_open_array(json, "days");
  for (size_t d = 0; d < plan->day_count; d++)
    add_day_json(json, plan, &plan->days[d], job->arena);
  gln_json_close(json);
  gln_json_open_object(json, "order");
  gln_json_add_boolean(json, "exact", plan->unlock.exact);
  gln_json_add_integer(json, "wait", plan->unlock.wait);
  gln_json_add_integer(json, "bound", plan->unlock.bound);
  gln_json_close(json);
  gln_json_add_integer(json, "grips_left", (long long)plan->grips_left);
  gln_json_add_integer(json, "moves_left", (long long)plan->moves_left);
  add_forecast_json(json, &plan->forecast);
  gln_json_add_text(json, "strain", gln_text(gln_strain_key(plan->options.strain)));
  const char *advice = gln_hands_advice(&plan->options);
  gln_json_open_array(json, "cautions");
  if (advice != NULL)
    gln_json_add_text(json, NULL, gln_text(advice));
  for (size_t i = 0; gln_caution(i) != NULL; i++)
    gln_json_add_text(json, NULL, gln_text(gln_caution(i)));
  gln_json_close(json);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}
