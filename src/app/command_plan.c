/* gripline plan: what to practise on which day. */
#include "app_internal.h"

#include <limits.h>

/* ---- what is known --------------------------------------------------------------------------------------------------- */

/* As after three days of practice that went well, the last just before the plan: design choice. */
#define KNOWN_DAYS      3
#define KNOWN_HALF_LIFE 14.0

static void know(GlnPlanning *planning, const GlnFrets *frets, GlnDay start) {
  const GlnLine *line = planning->arrangement.line;
  for (size_t i = 0; i < planning->material->grip_count; i++) {
    const GlnStudyItem *item = &planning->material->items[i];
    if (gln_frets_equal(&line->slots[item->slot].grip.frets, frets))
      planning->memories[i] = (GlnMemory){.practised = KNOWN_DAYS,
                                          .first = start - KNOWN_DAYS,
                                          .last = start - 1,
                                          .half_life = KNOWN_HALF_LIFE,
                                          .rating = GLN_RATING_GOOD};
  }
}

static GlnStatus read_known(const GlnJob *job, GlnPlanning *planning, GlnDay start) {
  const char *path = job->arguments.value[GLN_OPT_KNOWN].text.at;
  GlnText name = gln_text(path), source;
  GlnFileFault fault = {{0}, {0}};
  GlnStatus status = gln_file_read(path, GLN_PASTED_BYTES_MAX, job->arena, &source, &fault);
  if (status != GLN_OK)
    return gln_job_complain_of_file(job, status, name, &fault);
  GlnDiags diags = gln_diags(job->arena);
  GlnPasted pasted;
  status = gln_pasted_read(source, planning->arrangement.options.instrument.string_count, job->arena, &diags,
                           &pasted);
  gln_job_show_diags(job, &diags, name, source);
  GLN_TRY(status);
  for (size_t i = 0; i < pasted.count; i++)
    know(planning, &pasted.grips[i].frets, start);
  return GLN_OK;
}

/* So much of the day's minutes on record, and the day is done: pauses and the song's pieces are not recorded. Design
 * choice. */
#define DONE_PART 0.35

/* What the record says of the items, the hands and the player. */
static GlnStatus read_record(const GlnJob *job, bool goes_on, GlnPlanning *planning,
                             GlnPlanOptions *options) {
  GlnPractice *practices = NULL;
  size_t count = 0;
  GLN_TRY(gln_record_read(job, planning->student, &practices, &count));
  gln_memories_replay(planning->material, practices, count, planning->memories);
  double minutes = 0;
  size_t before = 0; /* practices before today's */
  while (before < count && practices[before].day < options->start)
    before++;
  options->returning = gln_returning_of(practices, before);
  for (size_t i = 0; i < count; i++)
    minutes += practices[i].day == options->start ? practices[i].minutes : 0;
  planning->today_done =
      goes_on && minutes >= DONE_PART * options->minutes * gln_return_minutes(options->returning);
  if (planning->today_done)
    options->returning = gln_returning_of(practices, count);
  options->start += planning->today_done ? 1 : 0;
  planning->records = (int64_t)count;
  options->strain = gln_strain_of(practices, count);
  options->rated = count < INT_MAX ? (int)count : INT_MAX;
  options->gain = gln_gain_of(practices, count);
  return GLN_OK;
}

/* ---- options ----------------------------------------------------------------------------------------------------------- */

static GlnStatus read_options(const GlnJob *job, GlnPlanOptions *options) {
  static const GlnLevel levels[] = {
#define LEVEL(name, key, first, least, most, part) name,
      GLN_LEVEL_LIST(LEVEL)
#undef LEVEL
  };
  const GlnValue *value = job->arguments.value;
  *options = gln_plan_defaults(gln_day_at(job->app->now, job->app->ahead));
  const GlnValue *start = &value[GLN_OPT_START];
  if (start->given && gln_day_parse(start->text, &options->start) != GLN_OK)
    return gln_job_complain(job, GLN_USAGE, "write year, month and day, for example 2027-02-28",
                            "--start \"%s\": there is no such day", start->text.at);
  if (value[GLN_OPT_DAYS].given)
    options->days = (int)value[GLN_OPT_DAYS].number;
  if (value[GLN_OPT_MINUTES].given && !value[GLN_OPT_ITEM].given)
    options->minutes = (int)value[GLN_OPT_MINUTES].number;
  if (options->minutes < GLN_PLAN_MINUTES_MIN)
    return gln_job_complain(job, GLN_USAGE, "give it more time, or learn on fewer days",
                            "--minutes %d: a plan needs at least %d minutes a day", options->minutes,
                            GLN_PLAN_MINUTES_MIN);
  if (value[GLN_OPT_LEVEL].given)
    options->level = levels[value[GLN_OPT_LEVEL].choice];
  if (value[GLN_OPT_REST].given)
    options->rest = (int)value[GLN_OPT_REST].choice; /* the table's words are the days of the week in order */
  return GLN_OK;
}

GlnStatus gln_job_plan_of(const GlnJob *job, const GlnArrangement *arrangement, GlnText student, bool goes_on,
                          GlnPlanning *planning) {
  *planning = (GlnPlanning){.arrangement = *arrangement, .student = student};
  GlnPlanOptions options;
  GLN_TRY(read_options(job, &options));
  GlnStatus status = gln_material_make(&planning->arrangement, job->arena, &planning->material);
  if (status == GLN_LIMIT)
    return gln_job_complain(job, status, "plan the song in parts, or arrange it on fewer grips",
                            "this song has more than %d grips and moves", GLN_STUDY_ITEMS_MAX);
  GLN_TRY(status);
  planning->memories = GLN_NEW(job->arena, GlnMemory, planning->material->item_count);
  if (planning->memories == NULL)
    return GLN_MEMORY;
  const GlnValue *known = &job->arguments.value[GLN_OPT_KNOWN];
  if (!known->given || gln_text_equal(known->text, GLN_TEXT("store")))
    GLN_TRY(read_record(job, goes_on && !job->arguments.value[GLN_OPT_START].given, planning, &options));
  else if (!gln_text_equal(known->text, GLN_TEXT("none")))
    GLN_TRY(read_known(job, planning, options.start));
  status = gln_study_plan_make(planning->material, planning->memories, &options, job->arena, &planning->plan);
  if (status == GLN_USAGE)
    return gln_job_complain(job, status, "choose another day", "--start lies too far off");
  return status;
}

GlnStatus gln_job_plan(GlnJob *job, bool goes_on, GlnPlanning *planning) {
  GlnPlanOptions options;
  GlnText student;
  GlnArrangement arrangement;
  GLN_TRY(read_options(job, &options)); /* what is wrong with them is said before the work */
  GLN_TRY(gln_job_student(job, &student));
  GLN_TRY(gln_job_arrange(job, &arrangement));
  return gln_job_plan_of(job, &arrangement, student, goes_on, planning);
}

/* ---- output -------------------------------------------------------------------------------------------------------------- */

/* "Ferry at Low Tide: Ann". */
static GlnText sheet_title(const GlnJob *job, const GlnPlanning *planning) {
  GlnBuffer title = gln_buffer(job->arena);
  gln_buffer_add(&title, planning->material->title);
  if (!gln_text_equal(planning->student, GLN_TEXT(GLN_USUAL_STUDENT))) {
    gln_buffer_add_string(&title, title.length > 0 ? ": " : "");
    gln_buffer_add(&title, planning->student);
  }
  return gln_buffer_text(&title);
}

GlnStatus gln_job_plan_sheet(const GlnJob *job, const GlnPlanning *planning, GlnPageFormat format,
                             GlnBuffer *file) {
  static const GlnPaper papers[] = {GLN_PAPER_A4, GLN_PAPER_LETTER}; /* as in the table */
  const GlnValue *value = job->arguments.value;
  const GlnPages *pages = NULL;
  GLN_TRY(gln_job_pages(job, &pages));
  GlnPageOptions options = pages->defaults();
  if (value[GLN_OPT_PAPER].given)
    options.paper = papers[value[GLN_OPT_PAPER].choice];
  options.left_handed = value[GLN_OPT_LEFT_HANDED].given;
  GlnMaterial material = *planning->material;
  material.title = sheet_title(job, planning);
  GlnPlan plan = *planning->plan;
  plan.material = &material;
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status =
      pages->write_plan_sheet(&plan, planning->arrangement.line, &planning->arrangement.options.instrument,
                              &options, format, file, &diags);
  gln_job_show_diags(job, &diags, GLN_TEXT("gripline"), GLN_TEXT(""));
  if (status == GLN_SYSTEM && diags.count == 0)
    return gln_job_complain(job, status, "check that there is room for temporary files",
                            "the fonts cannot be opened");
  return status;
}

GlnStatus gln_run_plan(GlnJob *job) {
  enum { PDF, SVG, PNG, ICS }; /* as in the table */
  static const GlnPageFormat formats[] = {[PDF] = GLN_PAGE_PDF, [SVG] = GLN_PAGE_SVG, [PNG] = GLN_PAGE_PNG};
  const GlnValue *value = job->arguments.value;
  size_t format = 0;
  if (value[GLN_OPT_OUTPUT].given)
    GLN_TRY(gln_job_format(job, &format));
  GlnPlanning planning;
  GLN_TRY(gln_job_plan(job, true, &planning));
  if (!value[GLN_OPT_OUTPUT].given)
    return value[GLN_OPT_JSON].given ? gln_print_plan_json(job, &planning) : gln_print_plan(job, &planning);
  GlnBuffer file = gln_buffer(job->arena);
  GLN_TRY(format == ICS ? gln_add_plan_calendar(job, &planning, &file)
                        : gln_job_plan_sheet(job, &planning, formats[format], &file));
  GLN_TRY(gln_buffer_status(&file));
  return gln_job_deliver(job, gln_buffer_text(&file));
}
