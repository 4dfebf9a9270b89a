/* gripline log: what was practised, and how it went. */
#include "app_internal.h"

#include <math.h>
#include <string.h>

typedef struct Logging {
  GlnJob *job;
  const GlnPlanning *planning;
  GlnPractice *practices;
  size_t count;
} Logging;

static void add_practice(Logging *logging, size_t item, GlnRating rating, double tempo, double minutes) {
  const GlnApp *app = logging->job->app;
  const GlnPlanning *planning = logging->planning;
  const GlnStudyItem *it = &planning->material->items[item];
  GlnText title = planning->material->title;
  logging->practices[logging->count++] =
      (GlnPractice){.student = planning->student,
                    .kind = it->kind,
                    .key = it->key,
                    .name = it->name,
                    .difficulty = it->difficulty,
                    .song = title.length > 0 ? title : planning->arrangement.name,
                    .at = app->now,
                    .day = gln_day_at(app->now, app->ahead),
                    .rating = rating,
                    .tempo = tempo,
                    .minutes = minutes};
}

static void set_strain(Logging *logging, GlnStrain strain) {
  for (size_t i = 0; i < logging->count; i++) {
    logging->practices[i].has_strain = true;
    logging->practices[i].strain = strain;
  }
}

/* ---- one item, told on the command line ---------------------------------------------------------------------------------- */

/* Told without minutes, a practice counts for so many: design choice. */
#define MINUTES_USUAL 2.0

static GlnStatus log_one(Logging *logging) {
  GlnJob *job = logging->job;
  const GlnValue *value = job->arguments.value;
  const GlnMaterial *material = logging->planning->material;
  if (!value[GLN_OPT_RATING].given)
    return gln_job_complain(job, GLN_USAGE, "say how it went: --rating again, hard, good or easy",
                            "--item needs a --rating");
  size_t item = (size_t)value[GLN_OPT_ITEM].number;
  if (item > material->item_count)
    return gln_job_complain(job, GLN_USAGE, "gripline plan lists them with their numbers",
                            "this song has %zu items, so there is no item %zu", material->item_count, item);
  add_practice(logging, item - 1, (GlnRating)value[GLN_OPT_RATING].choice,
               value[GLN_OPT_TEMPO].given ? value[GLN_OPT_TEMPO].number : 0,
               value[GLN_OPT_MINUTES].given ? value[GLN_OPT_MINUTES].number : MINUTES_USUAL);
  if (value[GLN_OPT_STRAIN].given)
    set_strain(logging, (GlnStrain)value[GLN_OPT_STRAIN].choice);
  return GLN_OK;
}

/* ---- today's list, a key an item ------------------------------------------------------------------------------------------- */

static int next_key(const GlnApp *app) {
  if (app->key != NULL)
    return app->key();
  int key = getc(app->in);
  while (key == '\r' || key == ' ')
    key = getc(app->in);
  if (key != '\n' && key != EOF) { /* the rest of a typed line */
    int rest = getc(app->in);
    while (rest != '\n' && rest != EOF)
      rest = getc(app->in);
  }
  return key;
}

static GlnStatus ask(const GlnJob *job, const GlnBuffer *words) {
  GlnFileFault fault = {{0}, {0}};
  GLN_TRY(gln_buffer_status(words));
  return gln_stream_write(job->app->out, gln_buffer_text(words), &fault);
}

/* The time an item had today, over all its rounds. */
static int seconds_of(const GlnPlanDay *day, size_t item) {
  int seconds = 0;
  for (size_t s = 0; s < day->step_count; s++)
    seconds += day->steps[s].item == item ? day->steps[s].seconds : 0;
  return seconds;
}

/* The item's rating; skipped and ended say what was typed instead. */
static GlnStatus ask_item(const GlnJob *job, const GlnStudyItem *item, size_t number, GlnRating *rating,
                          bool *skipped, bool *ended) {
  *skipped = *ended = false;
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_format(&words, "%3zu. ", number);
  gln_buffer_add(&words, item->name);
  gln_buffer_add_string(&words, "  ");
  GLN_TRY(ask(job, &words));
  for (;;) {
    int key = next_key(job->app);
    *ended = key == EOF || key == 'q' || key == 4 || key == 27;
    *skipped = key == '\n' || key == 's' || key == '\r';
    bool rated = key >= '1' && key <= '4';
    if (!rated && !*ended && !*skipped)
      continue;
    *rating = rated ? (GlnRating)(key - '1') : GLN_RATING_AGAIN;
    words = gln_buffer(job->arena);
    gln_buffer_format(&words, "%s\n", rated ? gln_rating_key(*rating) : *ended ? "end" : "skipped");
    return ask(job, &words);
  }
}

static GlnStatus ask_strain(Logging *logging) {
  const GlnJob *job = logging->job;
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_add_string(&words, "Hands: 1 no strain, 2 some, 3 pain, tingling or numbness  ");
  GLN_TRY(ask(job, &words));
  for (;;) {
    int key = next_key(job->app);
    bool told = key >= '1' && key <= '3', passed = key == EOF || key == '\n' || key == '\r' || key == 'q';
    if (!told && !passed)
      continue;
    if (told)
      set_strain(logging, (GlnStrain)(key - '1'));
    words = gln_buffer(job->arena);
    gln_buffer_format(&words, "%s\n", told ? gln_strain_key((GlnStrain)(key - '1')) : "not told");
    return ask(job, &words);
  }
}

static GlnStatus log_today(Logging *logging) {
  GlnJob *job = logging->job;
  const GlnPlan *plan = logging->planning->plan;
  const GlnPlanDay *day = &plan->days[0];
  if (day->rest)
    return gln_job_complain(job, GLN_NO, "name what you practised all the same: --item NUMBER --rating good",
                            "today is a day of rest");
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_add_string(&words, "How did it go? 1 again, 2 hard, 3 good, 4 easy; Enter skips, q ends.\n");
  GLN_TRY(ask(job, &words));
  bool ended = false;
  for (size_t s = 0; s < day->step_count && !ended; s++) {
    const GlnPlanStep *step = &day->steps[s];
    if (step->item == GLN_NO_ITEM || step->again)
      continue;
    GlnRating rating = GLN_RATING_AGAIN;
    bool skipped = false;
    GLN_TRY(ask_item(job, &plan->material->items[step->item], step->item + 1, &rating, &skipped, &ended));
    if (!skipped && !ended)
      add_practice(logging, step->item, rating, step->target, seconds_of(day, step->item) / 60.0);
  }
  return logging->count > 0 ? ask_strain(logging) : GLN_OK;
}

/* ---- what it comes to --------------------------------------------------------------------------------------------------------- */

static void add_result(const Logging *logging, const GlnPractice *practice, GlnBuffer *out) {
  const GlnPlanning *planning = logging->planning;
  for (size_t i = 0; i < planning->material->item_count; i++) {
    const GlnStudyItem *item = &planning->material->items[i];
    if (item->kind != practice->kind || !gln_text_equal(item->key, practice->key))
      continue;
    GlnMemory memory = planning->memories[i];
    double before = memory.half_life;
    bool is_new = memory.practised == 0;
    gln_memory_practise(&memory, item->difficulty, practice->day, practice->rating, practice->tempo);
    gln_buffer_format(out, "%zu. ", i + 1);
    gln_buffer_add(out, item->name);
    gln_buffer_format(out, ": %s; half-life ", gln_rating_key(practice->rating));
    if (!is_new) {
      gln_buffer_add_number(out, before, 1);
      gln_buffer_add_string(out, " to ");
    }
    gln_buffer_add_number(out, memory.half_life, 1);
    gln_buffer_add_string(out, " days\n");
  }
}

static GlnStatus store(Logging *logging) {
  GlnJob *job = logging->job;
  GlnRecord record;
  size_t added = 0;
  GLN_TRY(gln_record_open(job, GLN_STORE_WRITE, &record));
  GlnStatus status = gln_store_add(record.store, logging->practices, logging->count, false, &added);
  gln_store_close(record.store);
  return status == GLN_OK ? GLN_OK : gln_record_complain(job, &record, status);
}

GlnStatus gln_run_log(GlnJob *job) {
  GlnPlanning planning;
  /* A tempo here is the practice's, not the song's: the line and its items are those of the plan. */
  GlnValue *tempo = &job->arguments.value[GLN_OPT_TEMPO];
  const GlnValue told = *tempo;
  tempo->given = false;
  GLN_TRY(gln_job_plan(job, false, &planning));
  *tempo = told;
  Logging logging = {.job = job,
                     .planning = &planning,
                     .practices = GLN_NEW(job->arena, GlnPractice, planning.material->item_count + 1)};
  if (logging.practices == NULL)
    return GLN_MEMORY;
  GLN_TRY(job->arguments.value[GLN_OPT_ITEM].given ? log_one(&logging) : log_today(&logging));
  if (logging.count == 0) {
    gln_buffer_add_string(&job->out, "Nothing recorded.\n");
    return GLN_OK;
  }
  GLN_TRY(store(&logging));
  for (size_t i = 0; i < logging.count; i++)
    add_result(&logging, &logging.practices[i], &job->out);
  GlnStrain strain = logging.practices[0].has_strain ? logging.practices[0].strain : GLN_STRAIN_NONE;
  const char *advice = gln_strain_advice(strain);
  if (advice != NULL) {
    gln_add_wrapped(&job->out, gln_text(advice), 0, 0, job->app->columns);
    gln_buffer_add_byte(&job->out, '\n');
  }
  return GLN_OK;
}
