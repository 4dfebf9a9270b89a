/* gripline progress: what is solid, shaky, untouched; tempi, minutes; a student's record out, in and away. */
#include "app_internal.h"

#include <math.h>
#include <string.h>

typedef struct Standing {
  GlnText student;
  GlnPractice *practices;
  size_t count;
  GlnArrangement arrangement;
  GlnMaterial *material; /* NULL without a chart */
  GlnProgress progress;
} Standing;

static GlnDay today_of(const GlnJob *job) {
  return gln_day_at(job->app->now, job->app->ahead);
}

/* ---- for people -------------------------------------------------------------------------------------------------------------- */

static void list_item(GlnTable *table, const GlnProgressItem *item, size_t number, GlnDay today) {
  GlnBuffer cell[6];
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    cell[c] = gln_buffer(table->arena);
  gln_buffer_format(&cell[0], "%zu. ", number);
  gln_buffer_add(&cell[0], item->name);
  gln_buffer_add_string(&cell[1], gln_standing_key(item->standing));
  if (item->memory.practised > 0) {
    gln_buffer_format(&cell[2], "%d %%", (int)round(item->recall * 100));
    gln_buffer_add_number(&cell[3], item->memory.half_life, 1);
    int ago = today > item->memory.last ? today - item->memory.last : 0;
    gln_buffer_format(&cell[4], "%d", ago);
  }
  /* First, best and last tempo tell the curve in a line; the picture shows all of it. */
  for (size_t p = item->point_count > 6 ? item->point_count - 6 : 0; p < item->point_count; p++) {
    gln_buffer_add_string(&cell[5], cell[5].length > 0 ? " " : "");
    gln_buffer_add_number(&cell[5], item->points[p].tempo, 0);
  }
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    gln_table_cell(table, &cell[c]);
}

static void add_paragraph(GlnJob *job, GlnText words) {
  gln_add_wrapped(&job->out, words, 0, 0, job->app->columns);
  gln_buffer_add_byte(&job->out, '\n');
}

static void add_head(GlnJob *job, const Standing *standing) {
  const GlnProgress *progress = &standing->progress;
  GlnBuffer head = gln_buffer(job->arena);
  bool named = job->arguments.value[GLN_OPT_STUDENT].given;
  gln_buffer_add(&head, named ? standing->student : progress->title);
  if (named && progress->title.length > 0) {
    gln_buffer_add_string(&head, ": ");
    gln_buffer_add(&head, progress->title);
  }
  if (head.length > 0) {
    gln_add_styled(job, &job->out, GLN_STYLE_BOLD, gln_buffer_text(&head));
    gln_buffer_add_byte(&job->out, '\n');
  }
  GlnBuffer words = gln_buffer(job->arena);
  for (int s = GLN_STANDING_COUNT - 1; s >= 0; s--)
    gln_buffer_format(&words, "%zu %s%s", progress->standing[s], gln_standing_key((GlnStanding)s),
                      s > 0 ? ", " : ". ");
  gln_buffer_format(&words, "%zu practices, ", progress->practices);
  gln_buffer_add_number(&words, progress->minutes, 0);
  gln_buffer_add_string(&words, " minutes in all, ");
  gln_buffer_add_number(&words, progress->week, 0);
  gln_buffer_add_string(&words, " in the last seven days.");
  add_paragraph(job, gln_buffer_text(&words));
  const char *advice = gln_strain_advice(progress->strain);
  if (advice != NULL)
    add_paragraph(job, gln_text(advice));
  if (progress->load_jumped)
    add_paragraph(job, gln_text(gln_load_advice()));
}

static GlnStatus print_text(GlnJob *job, const Standing *standing) {
  static const char *const heads[] = {"item", "stands", "there", "half-life", "days ago", "tempo"};
  const GlnProgress *progress = &standing->progress;
  add_head(job, standing);
  if (progress->item_count == 0) {
    add_paragraph(job, GLN_TEXT("Nothing is recorded yet: gripline log FILE, after practice."));
    return GLN_OK;
  }
  gln_buffer_add_byte(&job->out, '\n');
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  for (size_t i = 0; i < progress->item_count; i++)
    list_item(&table, &progress->items[i], i + 1, progress->today);
  gln_table_print(job, &table, &job->out);
  return GLN_OK;
}

/* ---- for programs --------------------------------------------------------------------------------------------------------------- */

static void add_day_json(GlnJson *json, const char *key, GlnDay day) {
  char text[GLN_DAY_TEXT_MAX];
  gln_day_print(day, text);
  gln_json_add_text(json, key, gln_text(text));
}

static void add_item_json(GlnJson *json, const GlnProgressItem *item, size_t number) {
  gln_json_open_object(json, NULL);
  gln_json_add_integer(json, "item", (long long)number);
  gln_json_add_text(json, "kind", gln_text(gln_item_kind_key(item->kind)));
  gln_json_add_text(json, "key", item->key);
  gln_json_add_text(json, "name", item->name);
  gln_json_add_text(json, "standing", gln_text(gln_standing_key(item->standing)));
  gln_json_add_integer(json, "practised", item->memory.practised);
  gln_json_add_number(json, "recall", item->recall, 4);
  gln_json_add_number(json, "half_life_days", item->memory.half_life, 3);
  if (item->memory.practised > 0)
    add_day_json(json, "last", item->memory.last);
  else
    gln_json_add_null(json, "last");
  gln_json_add_number(json, "minutes", item->minutes, 2);
  gln_json_open_array(json, "tempi");
  for (size_t p = 0; p < item->point_count; p++) {
    gln_json_open_object(json, NULL);
    add_day_json(json, "date", item->points[p].day);
    gln_json_add_number(json, "tempo", item->points[p].tempo, 1);
    gln_json_add_text(json, "rating", gln_text(gln_rating_key(item->points[p].rating)));
    gln_json_close(json);
  }
  gln_json_close(json);
  gln_json_close(json);
}

static GlnStatus print_json(GlnJob *job, const Standing *standing) {
  const GlnProgress *progress = &standing->progress;
  GlnJson *json = gln_json_new(job->arena, "progress");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_add_text(json, "student", standing->student);
  gln_json_add_text(json, "title", progress->title);
  add_day_json(json, "date", progress->today);
  gln_json_add_integer(json, "practices", (long long)progress->practices);
  for (int s = 0; s < GLN_STANDING_COUNT; s++)
    gln_json_add_integer(json, gln_standing_key((GlnStanding)s), (long long)progress->standing[s]);
  gln_json_open_object(json, "load");
  gln_json_add_number(json, "minutes", progress->minutes, 2);
  gln_json_add_number(json, "week", progress->week, 2);
  gln_json_add_number(json, "weeks_before", progress->weeks_before, 2);
  gln_json_add_boolean(json, "jumped", progress->load_jumped);
  gln_json_close(json);
  gln_json_add_text(json, "strain", gln_text(gln_strain_key(progress->strain)));
  gln_json_open_array(json, "items");
  for (size_t i = 0; i < progress->item_count; i++)
    add_item_json(json, &progress->items[i], i + 1);
  gln_json_close(json);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

/* ---- a record out, in, away ------------------------------------------------------------------------------------------------------ */

static GlnStatus export_record(GlnJob *job, GlnText student) {
  GlnPractice *practices = NULL;
  size_t count = 0;
  GlnText path = job->arguments.value[GLN_OPT_EXPORT].text;
  GLN_TRY(gln_record_read(job, student, &practices, &count));
  if (count == 0)
    return gln_job_complain(job, GLN_NO, "", "nothing is recorded of this student");
  GlnBuffer out = gln_buffer(job->arena);
  GLN_TRY(gln_record_write_json(student, practices, count, &out));
  return gln_job_deliver_to(job, path, gln_buffer_text(&out));
}

static GlnStatus import_record(GlnJob *job, GlnText student) {
  const char *path = job->arguments.value[GLN_OPT_IMPORT].text.at;
  bool is_stream = strcmp(path, "-") == 0;
  GlnText name = is_stream ? GLN_TEXT("standard input") : gln_text(path), source;
  GlnFileFault file_fault = {{0}, {0}};
  GlnStatus status =
      is_stream ? gln_stream_read(job->app->in, GLN_RECORD_BYTES_MAX, job->arena, &source, &file_fault)
                : gln_file_read(path, GLN_RECORD_BYTES_MAX, job->arena, &source, &file_fault);
  if (status != GLN_OK)
    return gln_job_complain_of_file(job, status, name, &file_fault);
  GlnDiags diags = gln_diags(job->arena);
  GlnPractice *practices = NULL;
  size_t count = 0, added = 0;
  status = gln_record_read_json(source, job->arena, &diags, &practices, &count);
  gln_job_show_diags(job, &diags, name, source);
  GLN_TRY(status);
  for (size_t i = 0; i < count && job->arguments.value[GLN_OPT_STUDENT].given; i++)
    practices[i].student = student;
  GlnRecord record;
  GLN_TRY(gln_record_open(job, GLN_STORE_WRITE, &record));
  status = gln_store_add(record.store, practices, count, true, &added);
  gln_store_close(record.store);
  if (status != GLN_OK)
    return gln_record_complain(job, &record, status);
  gln_buffer_format(&job->out, "%zu of %zu practices were new and are recorded now.\n", added, count);
  return GLN_OK;
}

static GlnStatus delete_record(GlnJob *job, GlnText student) {
  if (!job->arguments.value[GLN_OPT_STUDENT].given)
    return gln_job_complain(job, GLN_USAGE, "name the student; where none was named it is --student me",
                            "--delete needs --student");
  GlnRecord record;
  bool found = false;
  GlnStatus status = gln_record_open(job, GLN_STORE_READ, &record);
  if (status == GLN_OK) {
    status = gln_store_delete(record.store, student, &found);
    gln_store_close(record.store);
    if (status != GLN_OK)
      return gln_record_complain(job, &record, status);
  }
  if (status != GLN_OK && status != GLN_NO)
    return status;
  if (!found)
    return gln_job_complain(job, GLN_NO, "", "nothing is recorded of this student");
  gln_buffer_add_string(&job->out, "Deleted, from the backup too.\n");
  return GLN_OK;
}

/* ---- the run ------------------------------------------------------------------------------------------------------------------------ */

static GlnStatus look_up(GlnJob *job, Standing *standing) {
  GLN_TRY(gln_record_read(job, standing->student, &standing->practices, &standing->count));
  if (job->arguments.operand != NULL) {
    GLN_TRY(gln_job_arrange(job, &standing->arrangement));
    GLN_TRY(gln_material_make(&standing->arrangement, job->arena, &standing->material));
  }
  GLN_TRY(gln_progress_make(standing->material, standing->practices, standing->count, today_of(job),
                            job->arena, &standing->progress));
  standing->progress.student = standing->student;
  return GLN_OK;
}

static GlnStatus draw(GlnJob *job, const Standing *standing, size_t format) {
  static const GlnPageFormat formats[] = {GLN_PAGE_SVG, GLN_PAGE_PNG, GLN_PAGE_PDF}; /* as in the table */
  GlnBuffer file = gln_buffer(job->arena);
  GlnDiags diags = gln_diags(job->arena);
  const GlnPages *pages = NULL;
  GLN_TRY(gln_job_pages(job, &pages));
  GlnPageOptions options = pages->defaults();
  GlnStatus status = pages->write_progress(&standing->progress, &options, formats[format], &file, &diags);
  gln_job_show_diags(job, &diags, GLN_TEXT("gripline"), GLN_TEXT(""));
  GLN_TRY(status);
  return gln_job_deliver(job, gln_buffer_text(&file));
}

GlnStatus gln_run_progress(GlnJob *job) {
  const GlnValue *value = job->arguments.value;
  Standing standing = {.count = 0};
  size_t format = 0;
  GLN_TRY(gln_job_student(job, &standing.student));
  if (value[GLN_OPT_EXPORT].given + value[GLN_OPT_IMPORT].given + value[GLN_OPT_DELETE].given > 1)
    return gln_job_complain(job, GLN_USAGE, "do one after the other",
                            "--export, --import and --delete do not go together");
  if (value[GLN_OPT_EXPORT].given)
    return export_record(job, standing.student);
  if (value[GLN_OPT_IMPORT].given)
    return import_record(job, standing.student);
  if (value[GLN_OPT_DELETE].given)
    return delete_record(job, standing.student);
  if (value[GLN_OPT_OUTPUT].given)
    GLN_TRY(gln_job_format(job, &format));
  GLN_TRY(look_up(job, &standing));
  if (value[GLN_OPT_OUTPUT].given)
    return draw(job, &standing, format);
  return value[GLN_OPT_JSON].given ? print_json(job, &standing) : print_text(job, &standing);
}
