/* gripline sheet: the printed hand-out. */
#include "page.h"
#include "performing.h"
#include "standins_internal.h"

#define OFFERS_SHOWN 3 /* of each family. Design choice: more than a student tries at a time */

static GlnPageOptions page_options(const GlnJob *job, const GlnPages *pages) {
  static const GlnPaper papers[] = {GLN_PAPER_A4, GLN_PAPER_LETTER}; /* as in the table */
  const GlnValue *value = job->arguments.value;
  GlnPageOptions options = pages->defaults();
  if (value[GLN_OPT_PAPER].given)
    options.paper = papers[value[GLN_OPT_PAPER].choice];
  options.parts = (uint8_t)value[GLN_OPT_PARTS].choices; /* the table's words are the parts in order */
  options.large = value[GLN_OPT_LARGE].given;
  options.left_handed = value[GLN_OPT_LEFT_HANDED].given;
  if (value[GLN_OPT_DPI].given)
    options.dpi = value[GLN_OPT_DPI].number;
  if (value[GLN_OPT_PAGE].given)
    options.page = (int)value[GLN_OPT_PAGE].number;
  return options;
}

static GlnStatus gather_offers(const Report *report, const GlnSong *song, const GlnChordFamily *family,
                               GlnArena *arena, GlnSheetFamily *shown) {
  size_t step = family->members[0];
  const GlnStandin **kept = GLN_NEW(arena, const GlnStandin *, OFFERS_SHOWN);
  Offers offers;
  if (kept == NULL)
    return GLN_MEMORY;
  GLN_TRY(gln_offers_find(report, step, song->slots[step].event, false, arena, &offers));
  *shown = (GlnSheetFamily){.family = family, .offers = kept};
  for (size_t i = 0; i < offers.count && shown->offer_count < OFFERS_SHOWN; i++)
    if (offers.items[i].shown)
      kept[shown->offer_count++] = &offers.items[i].standin;
  return GLN_OK;
}

/* Keys, remarks and stand-ins. */
static GlnStatus gather_harmony(const GlnSong *song, GlnArena *arena, GlnSheetMatter *matter) {
  GlnExplanation *explanation = GLN_NEW(arena, GlnExplanation, 1);
  GlnFamilies *families = GLN_NEW(arena, GlnFamilies, 1);
  if (explanation == NULL || families == NULL)
    return GLN_MEMORY;
  GLN_TRY(gln_song_explain(song, arena, explanation));
  const Report report = {.step_count = song->slot_count,
                         .read = {.steps = explanation->steps, .items = explanation->analysis->readings}};
  GLN_TRY(gln_families_find(report.read.steps, song->slot_count, report.read.items, arena, families));
  GlnSheetFamily *shown = GLN_NEW(arena, GlnSheetFamily, families->count);
  if (shown == NULL)
    return GLN_MEMORY;
  for (size_t f = 0; f < families->count; f++) {
    if (families->items[f].function == GLN_FUNCTION_NONE)
      continue;
    GLN_TRY(gather_offers(&report, song, &families->items[f], arena, &shown[matter->family_count]));
    matter->family_count += shown[matter->family_count].offer_count > 0;
  }
  matter->analysis = explanation->analysis;
  matter->remarks = &explanation->remarks;
  matter->families = shown;
  return GLN_OK;
}

/* What the pages asked for show besides the line. */
static GlnStatus gather(const GlnJob *job, const GlnArrangement *arrangement, unsigned parts,
                        GlnSheetMatter *matter) {
  *matter = (GlnSheetMatter){.line = arrangement->line, .instrument = &arrangement->options.instrument};
  if ((parts >> GLN_SHEET_WHY & 1) != 0)
    GLN_TRY(gather_harmony(arrangement->song, job->arena, matter));
  if ((parts & (1U << GLN_SHEET_CHART | 1U << GLN_SHEET_SCORE)) == 0)
    return GLN_OK;
  GlnRehearsal rehearsal = gln_rehearsal_defaults();
  GlnPerformance *performance = NULL;
  rehearsal.even = true; /* notes are written where they are meant */
  GLN_TRY(gln_job_perform(job, arrangement, &rehearsal, &performance));
  matter->performance = performance;
  return gln_job_swing(job, arrangement->chart, rehearsal.feel, &matter->swing, &matter->pair);
}

GlnStatus gln_job_sheet(const GlnJob *job, const GlnArrangement *arrangement, GlnPageFormat format,
                        GlnBuffer *page) {
  const GlnPages *pages = NULL;
  GLN_TRY(gln_job_pages(job, &pages));
  const GlnPageOptions options = page_options(job, pages);
  GlnSheetMatter matter;
  GLN_TRY(gather(job, arrangement, options.parts != 0 ? options.parts : ~0U, &matter));
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = pages->write_sheet(&matter, &options, format, page, &diags);
  gln_job_show_diags(job, &diags, GLN_TEXT("gripline"), GLN_TEXT(""));
  if (status == GLN_SYSTEM && diags.count == 0)
    return gln_job_complain(job, status, "check that there is room for temporary files",
                            "the fonts cannot be opened");
  GLN_TRY(status);
  return gln_buffer_status(page);
}

GlnStatus gln_run_sheet(GlnJob *job) {
  static const GlnPageFormat formats[] = {GLN_PAGE_PDF, GLN_PAGE_SVG, GLN_PAGE_PNG}; /* as in the table */
  size_t format = 0;
  GLN_TRY(gln_job_format(job, &format));
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  GlnBuffer page = gln_buffer(job->arena);
  GLN_TRY(gln_job_sheet(job, &arrangement, formats[format], &page));
  return gln_job_deliver(job, gln_buffer_text(&page));
}
