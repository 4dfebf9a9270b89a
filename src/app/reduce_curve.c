/* gripline reduce --curve: what every number of grips, or shapes, would cost. */
#include "reduce.h"

#include <math.h>

#define BAR_COLUMNS 40 /* of the longest bar of the plot. Design choice */

static GlnStatus print_curve_json(GlnJob *job, const GlnArrangement *best, bool shapes,
                                  const GlnCurvePoint *points, size_t count) {
  GlnJson *json = gln_json_new(job->arena, "reduce");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_add_text(json, "title", best->chart->title);
  gln_json_add_text(json, "of", shapes ? GLN_TEXT("shapes") : GLN_TEXT("grips"));
  gln_json_add_number(json, "total", best->line->total, 4);
  gln_json_open_array(json, "curve");
  for (size_t i = 0; i < count; i++) {
    gln_json_open_object(json, NULL);
    gln_json_add_integer(json, "most", points[i].most);
    gln_json_add_number(json, "total", points[i].total, 4);
    gln_json_add_number(json, "loss", points[i].total - best->line->total, 4);
    gln_json_add_number(json, "bound", points[i].bound, 4);
    gln_json_close(json);
  }
  gln_json_close(json);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

static void print_curve(GlnJob *job, const GlnArrangement *best, bool shapes, const GlnCurvePoint *points,
                        size_t count) {
  const char *const heads[] = {shapes ? "shapes" : "grips", "effort", "more", "at most off by", ""};
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  double greatest = count > 0 ? points[0].total - best->line->total : 0;
  for (size_t i = 0; i < count; i++) {
    GlnBuffer cell[GLN_COUNT_OF(heads)];
    for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
      cell[c] = gln_buffer(job->arena);
    double more = points[i].total - best->line->total;
    gln_buffer_format(&cell[0], "%3u", (unsigned)points[i].most);
    gln_buffer_add_number(&cell[1], points[i].total, 1);
    gln_buffer_add_number(&cell[2], gln_reduce_percent_above(points[i].total, best->line->total), 1);
    gln_buffer_add_string(&cell[2], " %");
    if (points[i].bound < points[i].total) {
      gln_buffer_add_number(&cell[3],
                            ceil(10 * gln_reduce_percent_above(points[i].total, points[i].bound)) / 10, 1);
      gln_buffer_add_string(&cell[3], " %");
    } else {
      gln_buffer_add_string(&cell[3], "exact");
    }
    size_t columns = greatest > 0 ? (size_t)lround(BAR_COLUMNS * more / greatest) : 0;
    gln_buffer_add_repeated(&cell[4], GLN_TEXT("█"), columns);
    for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
      gln_table_cell(&table, &cell[c]);
  }
  if (best->chart->title.length > 0) {
    gln_add_styled(job, &job->out, GLN_STYLE_BOLD, best->chart->title);
    gln_buffer_add_byte(&job->out, '\n');
  }
  gln_table_print(job, &table, &job->out);
}

static GlnStatus draw_curve(GlnJob *job, const GlnArrangement *best, bool shapes, const GlnCurvePoint *points,
                            size_t count, GlnPageFormat format) {
  const GlnPages *pages = NULL;
  GLN_TRY(gln_job_pages(job, &pages));
  const GlnPageOptions options = pages->defaults();
  GlnBuffer picture = gln_buffer(job->arena);
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = pages->write_curve(points, count, shapes, best->line->total, best->chart->title,
                                        &options, format, &picture, &diags);
  gln_job_show_diags(job, &diags, GLN_TEXT("gripline"), GLN_TEXT(""));
  GLN_TRY(status);
  GLN_TRY(gln_buffer_status(&picture));
  return gln_job_deliver(job, gln_buffer_text(&picture));
}

/* Which picture --output asks for. */
static GlnStatus picture_format(const GlnJob *job, GlnPageFormat *format) {
  GlnText path = job->arguments.value[GLN_OPT_OUTPUT].text;
  size_t dot = path.length;
  while (dot > 0 && path.at[dot - 1] != '.')
    dot--;
  const GlnPages *pages = NULL;
  GLN_TRY(gln_job_pages(job, &pages));
  if (pages->parse_format(gln_text_from(path, dot), format) == GLN_OK)
    return GLN_OK;
  return gln_job_complain(job, GLN_USAGE, "end the name in .svg, .png or .pdf",
                          "reduce --curve draws no such kind of file: %.*s", (int)path.length, path.at);
}

GlnStatus gln_reduce_run_curve(GlnJob *job) {
  GlnArrangement arrangement;
  const GlnArrangement *best = &arrangement;
  bool draws = job->arguments.value[GLN_OPT_OUTPUT].given;
  GlnPageFormat format = GLN_PAGE_SVG;
  if (draws)
    GLN_TRY(picture_format(job, &format));
  GLN_TRY(gln_job_arrange(job, &arrangement));
  GlnLineOptions options = best->options;
  options.simplify = !job->arguments.value[GLN_OPT_AS_WRITTEN].given;
  bool shapes = job->arguments.value[GLN_OPT_CURVE].choice == 1;
  GlnDiags diags = gln_diags(job->arena);
  GlnCurvePoint *points = NULL;
  size_t count = 0;
  GlnStatus status = gln_line_curve(best->song, &options, shapes, job->arena, &diags, &points, &count);
  if (status != GLN_OK) {
    gln_job_show_diags(job, &diags, best->name, best->chart->source);
    return status;
  }
  if (job->arguments.value[GLN_OPT_JSON].given)
    return print_curve_json(job, best, shapes, points, count);
  if (draws)
    return draw_curve(job, best, shapes, points, count, format);
  print_curve(job, best, shapes, points, count);
  return GLN_OK;
}
