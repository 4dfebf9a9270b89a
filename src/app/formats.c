/* The kinds of file: which there are, how they are told apart, and the one place where a song is loaded. */
#include "performing.h"

#include <string.h>

/* A chart is its own text. */
static GlnStatus read_chart(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import) {
  (void)job;
  (void)diags;
  *import = (GlnImport){.chart = bytes, .placed = bytes};
  return GLN_OK;
}

/* In gripline's own layout. */
static GlnStatus write_chart(GlnJob *job, GlnBuffer *out) {
  GlnText name = {NULL, 0}, source = {NULL, 0};
  GLN_TRY(gln_job_read_source(job, &name, &source));
  GlnDiags diags = gln_diags(job->arena);
  GlnChart *chart = NULL;
  GlnStatus status = gln_chart_read(source, job->arena, &diags, &chart);
  gln_job_show_diags(job, &diags, name, source);
  GLN_TRY(status);
  return gln_chart_write_tidy(chart, out);
}

static GlnStatus read_musicxml(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import) {
  const GlnMusicXmlWish wish = {.melody = job->arguments.value[GLN_OPT_MELODY].given};
  return gln_musicxml_read(bytes, &wish, job->arena, diags, import);
}

static GlnStatus read_mxl(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import) {
  const GlnMusicXmlWish wish = {.melody = job->arguments.value[GLN_OPT_MELODY].given};
  return gln_mxl_read(bytes, &wish, job->arena, diags, import);
}

static GlnStatus write_score(GlnJob *job, GlnStatus (*write)(const GlnMusicXmlOptions *, GlnBuffer *),
                             GlnBuffer *out) {
  enum { PERFORMANCE = 1 }; /* as in the table */
  const GlnValue *score = &job->arguments.value[GLN_OPT_SCORE], *feel = &job->arguments.value[GLN_OPT_FEEL];
  GlnArrangement arrangement;
  GlnPerformance *performance = NULL;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  GlnMusicXmlOptions options = {.line = arrangement.line,
                                .instrument = &arrangement.options.instrument,
                                .swing = {1, 1},
                                .pair = {1, 1}};
  if (score->given && score->choice == PERFORMANCE) {
    GlnRehearsal rehearsal = gln_rehearsal_defaults();
    rehearsal.feel = feel->given ? feel->text : rehearsal.feel;
    rehearsal.even = true; /* notes are written where they are meant */
    GLN_TRY(gln_job_perform(job, &arrangement, &rehearsal, &performance));
    GLN_TRY(gln_job_swing(job, arrangement.chart, rehearsal.feel, &options.swing, &options.pair));
    options.performance = performance;
  }
  return write(&options, out);
}

static GlnStatus write_musicxml(GlnJob *job, GlnBuffer *out) {
  return write_score(job, gln_musicxml_write, out);
}

static GlnStatus write_mxl(GlnJob *job, GlnBuffer *out) {
  return write_score(job, gln_mxl_write, out);
}

static GlnStatus read_midi(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import) {
  GlnNamer *namer = NULL;
  GLN_TRY(gln_namer_new(job->arena, &namer));
  return gln_midi_read(bytes, namer, job->arena, diags, import);
}

static GlnStatus read_json(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import) {
  return gln_arrangement_json_read(bytes, job->arena, diags, import);
}

/* As arrange --json prints it. */
static GlnStatus write_json(GlnJob *job, GlnBuffer *out) {
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  return gln_add_arrange_document(job, &arrangement, NULL, out);
}

static GlnStatus read_lab(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import) {
  return gln_lab_read(bytes, job->arena, diags, import);
}

static GlnStatus read_bars(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import) {
  return gln_bar_list_read(bytes, job->arena, diags, import);
}

static GlnStatus read_text(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import) {
  return gln_plain_text_read(bytes, job->arena, diags, import);
}

/* The operand's song, played through. */
static GlnStatus read_song(GlnJob *job, GlnDiags *diags, GlnText *name, GlnSong **song) {
  GlnText source = {NULL, 0};
  GLN_TRY(gln_job_read_source(job, name, &source));
  GlnChart *chart = NULL;
  GlnStatus status = gln_chart_read(source, job->arena, diags, &chart);
  if (status == GLN_OK)
    status = gln_song_play(chart, job->arena, diags, song);
  if (status != GLN_OK)
    gln_job_show_diags(job, diags, *name, source);
  return status;
}

static GlnStatus write_lab(GlnJob *job, GlnBuffer *out) {
  GlnText name = {NULL, 0};
  GlnDiags diags = gln_diags(job->arena);
  GlnSong *song = NULL;
  GLN_TRY(read_song(job, &diags, &name, &song));
  gln_job_show_diags(job, &diags, name, song->chart->source);
  return gln_lab_write(song, out);
}

static GlnStatus write_bars(GlnJob *job, GlnBuffer *out) {
  GlnText name = {NULL, 0};
  GlnDiags diags = gln_diags(job->arena);
  GlnSong *song = NULL;
  GLN_TRY(read_song(job, &diags, &name, &song));
  GlnStatus status = gln_bar_list_write(song, &diags, out);
  gln_job_show_diags(job, &diags, name, song->chart->source);
  return status;
}

static const GlnFormat formats[] = {
#define FORMAT_ROW(id, name, endings, words, bytes_max, knows, read, write)                                  \
  [id] = {name, endings, words, bytes_max, knows, read, write},
    GLN_FORMAT_LIST(FORMAT_ROW)
#undef FORMAT_ROW
};

const GlnFormat *gln_format_at(GlnFormatId id) {
  return &formats[id];
}

GlnFormatId gln_format_of_name(GlnText name) {
  size_t dot = name.length;
  while (dot > 0 && name.at[dot - 1] != '.' && name.at[dot - 1] != '/')
    dot--;
  GlnText ending = gln_text_from(name, dot);
  if (dot == 0 || name.at[dot - 1] == '/')
    return GLN_FORMAT_COUNT;
  for (int id = 0; id < GLN_FORMAT_COUNT; id++) {
    const GlnOption endings = {.values = formats[id].endings};
    for (size_t n = 0; gln_option_word(&endings, n).length > 0; n++)
      if (gln_text_equal_ignoring_case(gln_option_word(&endings, n), ending))
        return (GlnFormatId)id;
  }
  return GLN_FORMAT_COUNT;
}

GlnFormatId gln_format_of_content(GlnText bytes) {
  for (int id = 0; id < GLN_FORMAT_COUNT; id++)
    if (formats[id].knows != NULL && formats[id].knows(bytes))
      return (GlnFormatId)id;
  return GLN_FORMAT_COUNT;
}

/* ---- loading ------------------------------------------------------------------------------------------------------ */

static GlnText name_of(const char *path) {
  return strcmp(path, "-") == 0 ? GLN_TEXT("standard input") : gln_text(path);
}

static size_t longest_bytes(void) {
  size_t longest = 0;
  for (int id = 0; id < GLN_FORMAT_COUNT; id++)
    longest = formats[id].bytes_max > longest ? formats[id].bytes_max : longest;
  return longest;
}

static GlnStatus read_bytes(const GlnJob *job, size_t bytes_max, GlnText *bytes) {
  GlnFileFault fault = {{0}, {0}};
  const char *path = job->arguments.operand;
  GlnStatus status = strcmp(path, "-") == 0
                         ? gln_stream_read(job->app->in, bytes_max, job->arena, bytes, &fault)
                         : gln_file_read(path, bytes_max, job->arena, bytes, &fault);
  return status == GLN_OK ? GLN_OK : gln_job_complain_of_file(job, status, name_of(path), &fault);
}

/* --from where it is given; else what the content is beyond doubt, what the name says, and a chart when all are silent. */
static GlnFormatId format_of(const GlnValue *from, GlnFormatId named, GlnText bytes) {
  if (from->given)
    return (GlnFormatId)from->choice;
  GlnFormatId known = gln_format_of_content(bytes);
  if (known != GLN_FORMAT_COUNT)
    return known;
  return named != GLN_FORMAT_COUNT ? named : GLN_FORMAT_CHART;
}

static const char *readable_advice(const GlnJob *job) {
  GlnBuffer out = gln_buffer(job->arena);
  gln_buffer_add_string(&out, "gripline reads");
  const char *separator = " ";
  for (int id = 0; id < GLN_FORMAT_COUNT; id++)
    if (formats[id].read != NULL) {
      gln_buffer_format(&out, "%s%s", separator, formats[id].name);
      separator = ", ";
    }
  const char *words = gln_text_copy(job->arena, gln_buffer_text(&out));
  return words != NULL ? words : "";
}

/* is_chart: NULL, or where to say whether it is a chart beyond doubt; then pasted text is left as it is. */
static GlnStatus load(const GlnJob *job, bool *is_chart, GlnText *name, GlnText *source) {
  const GlnValue *from = &job->arguments.value[GLN_OPT_FROM];
  const char *path = job->arguments.operand;
  GlnFormatId named = gln_format_of_name(gln_text(path));
  size_t bytes_max =
      named != GLN_FORMAT_COUNT && formats[named].bytes_max > 0 ? formats[named].bytes_max : longest_bytes();
  GlnText bytes = {NULL, 0};
  GLN_TRY(read_bytes(job, bytes_max, &bytes));
  const GlnFormat *format = &formats[format_of(from, named, bytes)];
  *name = name_of(path);
  if (format->read == NULL)
    return gln_job_complain(job, GLN_INPUT, readable_advice(job),
                            "%.*s is %s, which gripline writes but does not read", (int)name->length,
                            name->at, format->words);
  if (bytes.length > format->bytes_max)
    return gln_job_complain(job, GLN_LIMIT, "check that this is the file you mean",
                            "%.*s is longer than the %zu MiB that gripline reads of %s", (int)name->length,
                            name->at, format->bytes_max / ((size_t)1024 * 1024), format->words);
  if (is_chart != NULL && format->read == read_text) {
    *source = bytes;
    *is_chart = false;
    return GLN_OK;
  }
  GlnImport import = {{NULL, 0}, {NULL, 0}};
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = format->read(job, bytes, &diags, &import);
  gln_job_show_diags(job, &diags, *name, import.placed);
  *source = import.chart;
  bool made = import.chart.at != bytes.at;
  if (is_chart != NULL)
    *is_chart = made || named == GLN_FORMAT_CHART || from->given;
  if (status == GLN_OK && made) {
    GlnBuffer words = gln_buffer(job->arena);
    gln_buffer_add(&words, *name);
    gln_buffer_add_string(&words, " as a chart");
    GLN_TRY(gln_buffer_status(&words));
    *name = gln_buffer_text(&words);
  }
  return status;
}

GlnStatus gln_job_read_source(const GlnJob *job, GlnText *name, GlnText *source) {
  return load(job, NULL, name, source);
}

GlnStatus gln_job_read_written(const GlnJob *job, GlnText *name, GlnText *source, bool *is_chart) {
  return load(job, is_chart, name, source);
}
