/* gripline convert: a song as another kind of file. */
#include "app_internal.h"

/* "chart (.chart), midi (.mid, .midi)": the kinds that can be written. */
static const char *writable_advice(const GlnJob *job) {
  GlnBuffer out = gln_buffer(job->arena);
  gln_buffer_add_string(&out, "end OUT's name in ");
  const char *separator = ".";
  for (int id = 0; id < GLN_FORMAT_COUNT; id++) {
    const GlnFormat *format = gln_format_at((GlnFormatId)id);
    const GlnOption endings = {.values = format->endings};
    if (format->write == NULL)
      continue;
    gln_buffer_add_string(&out, separator);
    gln_buffer_add(&out, gln_option_word(&endings, 0));
    separator = ", .";
  }
  gln_buffer_add_string(&out, ", or name the kind with --to");
  const char *words = gln_text_copy(job->arena, gln_buffer_text(&out));
  return words != NULL ? words : "";
}

GlnStatus gln_run_convert(GlnJob *job) {
  const GlnValue *into = &job->arguments.value[GLN_OPT_INTO];
  GlnText path = gln_text(job->arguments.second);
  GlnFormatId id = into->given ? (GlnFormatId)into->choice : gln_format_of_name(path);
  if (id == GLN_FORMAT_COUNT)
    return gln_job_complain(job, GLN_USAGE, writable_advice(job),
                            "\"%s\" does not say what kind of file to write", job->arguments.second);
  const GlnFormat *format = gln_format_at(id);
  if (format->write == NULL)
    return gln_job_complain(job, GLN_USAGE, writable_advice(job), "gripline reads %s, but does not write it",
                            format->words);
  GlnBuffer out = gln_buffer(job->arena);
  GLN_TRY(format->write(job, &out));
  GLN_TRY(gln_buffer_status(&out));
  return gln_job_deliver_to(job, path, gln_buffer_text(&out));
}
