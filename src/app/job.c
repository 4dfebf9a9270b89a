/* One call from argv to exit status. */
#include "app_internal.h"

#include <string.h>

static void print_error(FILE *err, GlnText text) {
  GlnFileFault unheard; /* a message that cannot be delivered has nowhere left to go */
  (void)!gln_stream_write(err, text, &unheard);
}

void gln_job_show_diags(const GlnJob *job, const GlnDiags *diags, GlnText file, GlnText source) {
  if (diags->count == 0 && diags->dropped == 0)
    return;
  GlnBuffer out = gln_buffer(job->arena);
  gln_diags_print(diags, file, source, &out);
  print_error(job->app->err, gln_buffer_text(&out));
}

static void complain(const GlnJob *job, GlnText file, const char *problem, const char *advice) {
  GlnDiags diags = gln_diags(job->arena);
  gln_diags_add(&diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
  gln_job_show_diags(job, &diags, file, GLN_TEXT(""));
}

GlnStatus gln_job_complain(const GlnJob *job, GlnStatus status, const char *advice, const char *problem,
                           ...) {
  GlnBuffer words = gln_buffer(job->arena);
  va_list arguments;
  va_start(arguments, problem);
  gln_buffer_format_list(&words, problem, arguments);
  va_end(arguments);
  const char *text = gln_text_copy(job->arena, gln_buffer_text(&words));
  if (text == NULL)
    return GLN_MEMORY;
  complain(job, GLN_TEXT("gripline"), text, advice);
  return status;
}

GlnStatus gln_job_complain_of_symbol(const GlnJob *job, GlnStatus status, const char *what, GlnText text,
                                     const GlnSymbolFault *fault) {
  GlnDiags diags = gln_diags(job->arena);
  GlnBuffer advice = gln_buffer(job->arena);
  if (fault->nearest[0] != '\0')
    gln_buffer_format(&advice, "did you mean %s?", fault->nearest);
  const char *words = gln_text_copy(job->arena, gln_buffer_text(&advice));
  gln_diags_format(&diags, GLN_ERROR, fault->offset, fault->length, words != NULL ? words : "", "%s",
                   fault->problem);
  gln_job_show_diags(job, &diags, gln_text(what), text);
  return status;
}

GlnStatus gln_job_complain_of_file(const GlnJob *job, GlnStatus status, GlnText file,
                                   const GlnFileFault *fault) {
  complain(job, file, fault->problem, fault->advice);
  return status;
}

static GlnStatus write_standard_output(const GlnJob *job, GlnText content) {
  GlnFileFault fault = {{0}, {0}};
  GlnStatus status = gln_stream_write(job->app->out, content, &fault);
  return status == GLN_OK ? GLN_OK
                          : gln_job_complain_of_file(job, status, GLN_TEXT("standard output"), &fault);
}

GlnStatus gln_job_deliver_to(GlnJob *job, GlnText path, GlnText content) {
  if (gln_text_equal(path, GLN_TEXT("-")))
    return write_standard_output(job, content);
  GlnFileFault fault = {{0}, {0}};
  GlnStatus status = gln_file_write(path.at, content, &fault);
  return status == GLN_OK ? GLN_OK : gln_job_complain_of_file(job, status, path, &fault);
}

GlnStatus gln_job_deliver(GlnJob *job, GlnText content) {
  return gln_job_deliver_to(job, job->arguments.value[GLN_OPT_OUTPUT].text, content);
}

GlnStatus gln_job_deliver_chart(GlnJob *job, GlnText chart, const GlnBuffer *words) {
  const GlnValue *output = &job->arguments.value[GLN_OPT_OUTPUT];
  bool to_file = output->given && !gln_text_equal(output->text, GLN_TEXT("-"));
  GLN_TRY(gln_buffer_status(words));
  if (to_file)
    GLN_TRY(gln_job_deliver(job, chart));
  if (job->arguments.value[GLN_OPT_JSON].given)
    return GLN_OK;
  gln_buffer_add(&job->out, to_file ? gln_buffer_text(words) : chart);
  if (to_file)
    return GLN_OK;
  GlnFileFault fault = {{0}, {0}};
  (void)!gln_stream_write(job->app->err, gln_buffer_text(words),
                          &fault); /* said to people, if they hear it */
  return GLN_OK;
}

/* "pdf, svg and png" */
static const char *list_formats(const GlnJob *job, GlnText formats) {
  GlnBuffer out = gln_buffer(job->arena);
  gln_buffer_add_string(&out, "end the name in ");
  while (formats.length > 0) {
    size_t end = gln_text_find(formats, GLN_TEXT("|"), 0);
    gln_buffer_add_byte(&out, '.');
    gln_buffer_add(&out, gln_text_slice(formats, 0, end));
    formats = gln_text_from(formats, end + 1);
    if (formats.length > 0)
      gln_buffer_add_string(&out, gln_text_find(formats, GLN_TEXT("|"), 0) < formats.length ? ", " : " or ");
  }
  const char *words = gln_text_copy(job->arena, gln_buffer_text(&out));
  return words != NULL ? words : "";
}

GlnStatus gln_job_format(const GlnJob *job, size_t *format) {
  const GlnCommand *command = job->arguments.command;
  const GlnValue *output = &job->arguments.value[GLN_OPT_OUTPUT];
  GlnText formats = gln_text(command->formats);
  if (!output->given)
    return gln_job_complain(job, GLN_USAGE, list_formats(job, formats), "%s needs -o FILE", command->name);
  *format = 0;
  if (gln_text_equal(output->text, GLN_TEXT("-")) || gln_text_starts(output->text, GLN_TEXT("/dev/")))
    return GLN_OK; /* no name to tell by: the first format */
  const char *dot = strrchr(output->text.at, '.');
  GlnText ending = gln_text(dot != NULL && strchr(dot, '/') == NULL ? dot + 1 : "");
  const GlnOption words = {.values = command->formats};
  for (size_t n = 0; gln_option_word(&words, n).length > 0; n++)
    if (gln_text_equal_ignoring_case(gln_option_word(&words, n), ending)) {
      *format = n;
      return GLN_OK;
    }
  return gln_job_complain(job, GLN_USAGE, list_formats(job, formats), "%s cannot write \"%s\"", command->name,
                          output->text.at);
}

/* ---- the run ------------------------------------------------------------------------------------------------- */

static GlnStatus answer_about_program(GlnJob *job) {
  const GlnArguments *arguments = &job->arguments;
  if (arguments->value[GLN_OPT_HELP].given)
    gln_add_help(job, arguments->command, &job->out);
  else if (arguments->value[GLN_OPT_VERSION].given)
    gln_buffer_add_string(&job->out, "gripline " GRIPLINE_VERSION "\n");
  else if (arguments->value[GLN_OPT_MAN].given)
    gln_add_man_page(&job->out);
  else
    gln_add_completion(arguments->value[GLN_OPT_COMPLETION].choice, &job->out);
  return GLN_OK;
}

static GlnStatus run(GlnJob *job, int argc, char *const argv[]) {
  GLN_TRY(gln_arguments_read(job, argc, argv));
  const GlnCommand *command = job->arguments.command;
  if (command->run == NULL || job->arguments.value[GLN_OPT_HELP].given)
    return answer_about_program(job);
  return command->run(job);
}

static GlnStatus finish(const GlnJob *job, GlnStatus status) {
  GLN_TRY(gln_buffer_status(&job->out));
  GlnStatus written = job->out.length > 0 ? write_standard_output(job, gln_buffer_text(&job->out)) : GLN_OK;
  return written == GLN_OK ? status : written;
}

int gln_app_run(const GlnApp *app, int argc, char *const argv[]) {
  GlnJob job = {.app = app, .arena = gln_arena_new(NULL, GLN_JOB_BYTES_MAX)};
  GlnStatus status = GLN_MEMORY;
  if (job.arena != NULL) {
    job.out = gln_buffer(job.arena);
    status = finish(&job, run(&job, argc, argv));
  }
  if (status == GLN_MEMORY)
    print_error(app->err,
                GLN_TEXT("gripline: error: out of memory: this job needs more than the 1 GiB that "
                         "gripline allows itself, or than this machine has; try a shorter chart\n"));
  gln_arena_free(job.arena);
  return gln_status_exit(status);
}
