/* The feels at hand: those that come with gripline, and a file of the player's own. */
#include "performing.h"

#include <string.h>

static bool is_file(GlnText name) {
  const GlnText ending = GLN_TEXT(".feel");
  return name.length > ending.length && gln_text_ends_ignoring_case(name, ending);
}

/* Beside the chart, which is where the chart can name it; from --feel it is a path as any other. */
static const char *feel_path(const GlnJob *job, GlnText file, bool from_chart) {
  GlnBuffer path = gln_buffer(job->arena);
  const char *chart = job->arguments.operand, *slash = chart != NULL ? strrchr(chart, '/') : NULL;
  if (from_chart && slash != NULL)
    gln_buffer_add(&path, gln_text_slice(gln_text(chart), 0, (size_t)(slash - chart) + 1));
  gln_buffer_add(&path, file);
  return gln_text_copy(job->arena, gln_buffer_text(&path));
}

static GlnStatus read_feel(const GlnJob *job, const char *path, GlnFeelBook *book, GlnText *name) {
  GlnText source, file = gln_text(path);
  GlnFileFault fault = {{0}, {0}};
  GlnStatus status = gln_file_read(path, GLN_FEEL_BYTES_MAX, job->arena, &source, &fault);
  if (status != GLN_OK)
    return gln_job_complain_of_file(job, status, file, &fault);
  GlnDiags diags = gln_diags(job->arena);
  GlnFeel *feel = NULL;
  status = gln_feel_read(source, job->arena, &diags, &feel);
  gln_job_show_diags(job, &diags, file, source);
  GLN_TRY(status);
  *name = gln_feel_name(feel);
  return gln_feel_book_add(book, feel);
}

GlnStatus gln_job_feels(const GlnJob *job, const GlnChart *chart, GlnText asked, GlnFeelBook **book,
                        GlnText *name) {
  GLN_TRY(gln_feel_book_open(job->arena, book));
  bool from_chart = asked.length == 0;
  *name = from_chart ? chart->feel : asked;
  if (!is_file(*name))
    return GLN_OK;
  if (from_chart && gln_text_find(*name, GLN_TEXT("/"), 0) < name->length)
    return gln_job_complain(job, GLN_INPUT, "put the feel's file beside the chart and write its name alone",
                            "feel: %.*s: a chart's feel lies in no other folder", (int)name->length,
                            name->at);
  const char *path = feel_path(job, *name, from_chart);
  return path != NULL ? read_feel(job, path, *book, name) : GLN_MEMORY;
}
