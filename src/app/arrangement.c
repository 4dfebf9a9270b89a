/* From chart text to its line: the use-case under arrange, sheet and play. */
#include "app_internal.h"

static const GlnHeader *find_header(const GlnChart *chart, const char *name) {
  for (size_t i = 0; i < chart->header_count; i++)
    if (gln_text_equal_ignoring_case(chart->headers[i].name, gln_text(name)))
      return &chart->headers[i];
  return NULL;
}

static GlnStatus header_fault(const GlnChart *chart, const char *name, GlnDiags *diags, const char *problem,
                              const char *advice) {
  const GlnHeader *header = find_header(chart, name);
  size_t offset = header != NULL ? header->value_offset : 0;
  size_t length = header != NULL ? header->value.length : 0;
  gln_diags_format(diags, GLN_ERROR, offset, length, advice, "%s", problem);
  return GLN_INPUT;
}

static GlnStatus tune_by_chart(const GlnChart *chart, GlnDiags *diags, GlnInstrument *instrument) {
  if (chart->tuning.length > 0) {
    if (gln_instrument_tune(chart->tuning, instrument) != GLN_OK)
      return header_fault(chart, "tuning", diags, "gripline knows no such tuning", GLN_TUNING_ADVICE);
    if (chart->strings != 0 && chart->strings != instrument->string_count)
      return header_fault(chart, "strings", diags, "the tuning has another number of strings",
                          "leave strings: out, or name a string for each in tuning:");
    return GLN_OK;
  }
  if (chart->strings != 0 && chart->strings != instrument->string_count &&
      gln_instrument_of_strings(chart->strings, instrument) != GLN_OK)
    return header_fault(chart, "strings", diags, "the pitches of these strings are not known",
                        "add tuning: with a note for each string, the lowest first");
  return GLN_OK;
}

_Static_assert(GLN_CAPO_MAX == GLN_CHART_CAPO_MAX, "one limit for the option and the header");

GlnStatus gln_chart_instrument(const GlnChart *chart, const GlnArrangementWish *wish, GlnDiags *diags,
                               GlnInstrument *instrument) {
  *instrument = wish->options.instrument;
  if (!wish->has_tuning)
    GLN_TRY(tune_by_chart(chart, diags, instrument));
  if (wish->has_scale)
    instrument->scale_mm = wish->options.instrument.scale_mm;
  if (!wish->has_capo) {
    instrument->capo = (int8_t)chart->capo;
    GlnText fault;
    if (chart->capo_strings.length > 0 &&
        gln_string_numbers_parse(chart->capo_strings, &instrument->capo_strings, &fault) != GLN_OK)
      return header_fault(chart, "capo", diags, "the strings that the capo covers cannot be read",
                          GLN_CAPO_ADVICE);
  }
  return gln_capo_fits(instrument) ? GLN_OK
                                   : header_fault(chart, "capo", diags, GLN_CAPO_PROBLEM, GLN_CAPO_ADVICE);
}

static GlnStatus choose_strings(const GlnArrangementWish *wish, GlnDiags *diags, GlnLineOptions *options) {
  if (gln_string_bits(&options->instrument, wish->string_numbers, &options->strings))
    return GLN_OK;
  gln_diags_add(diags,
                (GlnDiag){.severity = GLN_ERROR,
                          .problem = GLN_TEXT("a string was asked for that this instrument does not have"),
                          .advice = GLN_TEXT("count strings from 1, the highest")});
  return GLN_USAGE;
}

GlnStatus gln_arrangement_make(GlnText name, GlnText source, const GlnArrangementWish *wish, GlnArena *arena,
                               GlnDiags *diags, GlnArrangement *arrangement) {
  *arrangement = (GlnArrangement){.name = name, .options = wish->options};
  GLN_TRY(gln_chart_read(source, arena, diags, &arrangement->chart));
  GLN_TRY(gln_song_play(arrangement->chart, arena, diags, &arrangement->song));
  GLN_TRY(gln_chart_instrument(arrangement->chart, wish, diags, &arrangement->options.instrument));
  GLN_TRY(choose_strings(wish, diags, &arrangement->options));
  GLN_TRY(gln_chart_wishes(arrangement->chart, wish, arena, diags, &arrangement->options));
  if (arrangement->options.tempo <= 0)
    arrangement->options.tempo = arrangement->chart->tempo;
  return gln_line_solve(arrangement->song, &arrangement->options, arena, diags, &arrangement->line);
}

/* ---- for a job ------------------------------------------------------------------------------------------------- */

GlnStatus gln_job_read_wish(const GlnJob *job, GlnArrangementWish *wish) {
  static const GlnAim aims[] = {GLN_AIM_SMOOTH, GLN_AIM_EASY}; /* as in the table */
  const GlnValue *value = job->arguments.value;
  GlnLineOptions *options = &wish->options;
  *options = gln_line_defaults();
  GlnFretRange range;
  if (value[GLN_OPT_BASS].given && !gln_text_equal_ignoring_case(value[GLN_OPT_BASS].text, GLN_TEXT("any")))
    return gln_job_complain(job, GLN_USAGE, "write --bass any, or write the bass into the chart: Dm7/G",
                            "--bass: one note cannot be the bass of a whole song");
  GLN_TRY(gln_job_instrument_wish(job, &options->instrument));
  GLN_TRY(gln_job_fret_range(job, &range));
  GLN_TRY(gln_job_string_numbers(job, &wish->string_numbers));
  GLN_TRY(gln_job_hand(job, &options->hand));
  options->aim = value[GLN_OPT_AIM].given ? aims[value[GLN_OPT_AIM].choice] : options->aim;
  options->textures = gln_job_textures(job);
  options->fret_low = range.low;
  options->fret_high = range.high;
  options->open_wish = gln_job_open_wish(job);
  options->right_hand = gln_job_right_hand(job);
  options->bass_wish = value[GLN_OPT_BASS].given ? GLN_BASS_ANY : options->bass_wish;
  static const GlnBassLine bass_lines[] = {GLN_BASS_LINE_ROOTS, GLN_BASS_LINE_CHROMATIC, GLN_BASS_LINE_LOW};
  if (value[GLN_OPT_BASS_LINE].given)
    options->bass_line = bass_lines[value[GLN_OPT_BASS_LINE].choice];
  options->vary = value[GLN_OPT_VARY].given;
  options->tempo = value[GLN_OPT_TEMPO].given ? value[GLN_OPT_TEMPO].number : 0;
  wish->has_textures = value[GLN_OPT_TEXTURE].given;
  wish->has_frets = value[GLN_OPT_FRETS].given;
  wish->has_bass_line = value[GLN_OPT_BASS_LINE].given;
  /* A command that does not vary plays returns alike, whatever the chart says. */
  wish->has_vary = value[GLN_OPT_VARY].given || !gln_command_takes(job->arguments.command, GLN_OPT_VARY);
  wish->has_tuning = value[GLN_OPT_TUNING].given;
  wish->has_capo = value[GLN_OPT_CAPO].given;
  wish->has_scale = value[GLN_OPT_SCALE].given;
  return GLN_OK;
}

GlnStatus gln_job_arrange(GlnJob *job, GlnArrangement *arrangement) {
  GlnArrangementWish wish = {.has_tuning = false};
  GLN_TRY(gln_job_read_wish(job, &wish));
  GlnText name, source;
  GLN_TRY(gln_job_read_source(job, &name, &source));
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = gln_arrangement_make(name, source, &wish, job->arena, &diags, arrangement);
  gln_job_show_diags(job, &diags, name, source);
  return status;
}
