/* The record of practice, for the commands that read and write it. */
/* mkdir's mode comes from here too. */
#include "app_internal.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>

#define STORE_NAME "progress.db"

static const char *store_path(const GlnJob *job) {
  GlnBuffer path = gln_buffer(job->arena);
  gln_buffer_add_string(&path, job->app->data_folder);
  gln_buffer_add_string(&path, "/" STORE_NAME);
  return gln_text_copy(job->arena, gln_buffer_text(&path));
}

/* The folder and those above it, for this user alone: what is practised is nobody else's matter. */
static GlnStatus make_folder(const GlnJob *job) {
  char *path = gln_text_copy(job->arena, gln_text(job->app->data_folder));
  if (path == NULL)
    return GLN_MEMORY;
  for (char *at = path + 1;; at++) {
    char kept = *at;
    if (kept != '/' && kept != '\0')
      continue;
    *at = '\0';
    if (mkdir(path, 0700) != 0 && errno != EEXIST)
      return gln_job_complain(job, GLN_SYSTEM,
                              "check its permissions, or set XDG_DATA_HOME to another folder",
                              "the folder \"%s\" cannot be made: %s", path, strerror(errno));
    *at = kept;
    if (kept == '\0')
      return GLN_OK;
  }
}

GlnStatus gln_record_complain(const GlnJob *job, const GlnRecord *record, GlnStatus status) {
  if (record->fault.problem[0] == '\0')
    return status;
  return gln_job_complain(job, status, record->fault.advice, "%s: %s", record->path, record->fault.problem);
}

GlnStatus gln_record_open(const GlnJob *job, GlnStoreWish wish, GlnRecord *record) {
  *record = (GlnRecord){.store = NULL};
  if (job->app->data_folder == NULL) {
    if (wish == GLN_STORE_READ)
      return GLN_NO;
    return gln_job_complain(job, GLN_SYSTEM, "set XDG_DATA_HOME or HOME",
                            "there is no folder to keep a record in");
  }
  record->path = store_path(job);
  if (record->path == NULL)
    return GLN_MEMORY;
  if (wish == GLN_STORE_WRITE)
    GLN_TRY(make_folder(job));
  GlnStatus status = gln_store_open(record->path, wish, job->arena, &record->store, &record->fault);
  return status == GLN_OK || status == GLN_NO ? status : gln_record_complain(job, record, status);
}

GlnStatus gln_job_student(const GlnJob *job, GlnText *student) {
  const GlnValue *value = &job->arguments.value[GLN_OPT_STUDENT];
  *student = value->given ? gln_text_trim(value->text) : GLN_TEXT(GLN_USUAL_STUDENT);
  if (value->given && (student->length == 0 || student->length > GLN_STUDENT_MAX ||
                       gln_text_bad_utf8(*student) < student->length))
    return gln_job_complain(job, GLN_USAGE, "give a name of up to 100 bytes",
                            "--student has no name to go by");
  return GLN_OK;
}

GlnStatus gln_record_read(const GlnJob *job, GlnText student, GlnPractice **practices, size_t *count) {
  *practices = NULL;
  *count = 0;
  GlnRecord record;
  GlnStatus status = gln_record_open(job, GLN_STORE_READ, &record);
  if (status != GLN_OK)
    return status == GLN_NO ? GLN_OK : status;
  status = gln_store_read(record.store, student, job->arena, practices, count);
  gln_store_close(record.store);
  return status == GLN_OK ? GLN_OK : gln_record_complain(job, &record, status);
}
