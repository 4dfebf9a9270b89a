/* gripline standins: the song's chords in families, and what may stand in for each. */
#include "app_internal.h"
#include "standins_internal.h"

#include <stdlib.h>
#include <string.h>

/* Design choice, in semitones of voice leading: how far a note on top that does not fit sets a chord back. */
#define CLASH_RANK   12
#define TENSION_RANK 3

/* ---- the offers ------------------------------------------------------------------------------------------------- */

static int leading(const GlnChord *from, const GlnChord *to) {
  int8_t a[GLN_CHORD_TONES_MAX], b[GLN_CHORD_TONES_MAX];
  for (int t = 0; t < from->tone_count; t++)
    a[t] = from->tones[t].pitch_class;
  for (int t = 0; t < to->tone_count; t++)
    b[t] = to->tones[t].pitch_class;
  return gln_voice_leading_classes(a, (size_t)from->tone_count, b, (size_t)to->tone_count, true);
}

static int compare_offers(const void *a, const void *b) {
  const Offer *one = a, *other = b;
  if (one->rank != other->rank)
    return one->rank < other->rank ? -1 : 1;
  return one->order < other->order ? -1 : 1;
}

/* The best of each kind. */
static void choose_shown(Offers *offers, bool all) {
  unsigned kinds = 0;
  for (size_t i = 0; i < offers->count; i++) {
    Offer *offer = &offers->items[i];
    unsigned kind = 1u << offer->standin.kind;
    offer->shown = all || (kinds & kind) == 0;
    kinds |= kind;
  }
}

static GlnStatus make_offers(const GlnStandinPlace *place, const GlnEvent *event, bool all, GlnArena *arena,
                             Offers *offers) {
  GlnStandins standins;
  GLN_TRY(gln_standins_find(place, arena, &standins));
  *offers = (Offers){.items = GLN_NEW(arena, Offer, standins.count), .count = standins.count};
  if (offers->items == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < standins.count; i++) {
    Offer *offer = &offers->items[i];
    *offer = (Offer){.standin = standins.items[i], .order = i};
    offer->leading = leading(place->chord, &offer->standin.chord);
    offer->rank = offer->leading + offer->standin.pitch_space;
    offer->has_top = event != NULL && event->has_top && offer->standin.where != GLN_STANDIN_AFTER;
    if (!offer->has_top)
      continue;
    offer->top = gln_top_effect(&offer->standin.chord, event->top.note);
    offer->rank += offer->top == GLN_TOP_CLASH     ? CLASH_RANK
                   : offer->top == GLN_TOP_TENSION ? TENSION_RANK
                                                   : 0;
  }
  if (offers->count > 0)
    qsort(offers->items, offers->count, sizeof *offers->items, compare_offers);
  choose_shown(offers, all);
  return GLN_OK;
}

/* ---- a grip near the hand ----------------------------------------------------------------------------------------- */

static const GlnGrip *held(const GlnLine *line, size_t i) {
  return i < line->slot_count && !line->slots[i].silent ? &line->slots[i].grip : NULL;
}

/* The grip that follows one and leads to the other best; either may be NULL. */
static GlnStatus find_grip(const GlnLineOptions *options, const GlnChord *chord, const GlnGrip *from,
                           const GlnGrip *to, GlnArena *arena, Offer *offer) {
  GlnArenaMark mark = gln_arena_mark(arena);
  GlnGripQuery query = gln_grip_query_defaults(chord, &options->instrument, &options->hand);
  query.textures = options->textures;
  query.strings = options->strings;
  query.fret_low = options->fret_low;
  query.fret_high = options->fret_high;
  query.open_wish = options->open_wish;
  query.right_hand = options->right_hand;
  GlnGripList list;
  GlnRankedGrip *ranked = NULL;
  GLN_TRY(gln_grip_search(&query, arena, &list));
  GLN_TRY(gln_grips_rank(&list, chord, &options->instrument, from, arena, &ranked));
  double best = 0;
  for (size_t i = 0; i < list.count && i < 24; i++) { /* the rest follow worse than any way on makes good */
    double cost = ranked[i].cost;
    if (to != NULL)
      cost += (double)gln_move_between(&options->instrument, ranked[i].grip, to).seconds;
    if (offer->has_grip && cost >= best)
      continue;
    best = cost;
    offer->has_grip = true;
    offer->grip = *ranked[i].grip;
  }
  gln_arena_rewind(arena, mark);
  return GLN_OK;
}

static GlnStatus find_grips(const GlnLineOptions *options, const GlnLine *line, size_t step, bool all,
                            GlnArena *arena, Offers *offers) {
  const GlnGrip *before = line != NULL && step > 0 ? held(line, step - 1) : NULL;
  const GlnGrip *own = line != NULL ? held(line, step) : NULL;
  const GlnGrip *after = line != NULL ? held(line, step + 1) : NULL;
  for (size_t i = 0; i < offers->count; i++) {
    Offer *offer = &offers->items[i];
    if (!offer->shown && !all)
      continue;
    GlnStandinWhere where = offer->standin.where;
    GLN_TRY(find_grip(options, &offer->standin.chord, where == GLN_STANDIN_AFTER ? own : before,
                      where == GLN_STANDIN_BEFORE ? own : after, arena, offer));
  }
  return GLN_OK;
}

/* ---- the whole ------------------------------------------------------------------------------------------------------ */

static void place_of(const Report *report, size_t step, GlnStandinPlace *place) {
  size_t next = gln_next_step(report->read.steps, report->step_count, step);
  *place = (GlnStandinPlace){.chord = report->read.steps[step].chord,
                             .last = step > 0 && !report->read.steps[step - 1].chord->silent
                                         ? report->read.steps[step - 1].chord
                                         : NULL,
                             .next = next < report->step_count ? report->read.steps[next].chord : NULL,
                             .key = report->read.items[step].key,
                             .function = report->read.items[step].function};
}

GlnStatus gln_offers_find(const Report *report, size_t step, const GlnEvent *event, bool all, GlnArena *arena,
                          Offers *offers) {
  GlnStandinPlace place;
  place_of(report, step, &place);
  return make_offers(&place, event, all, arena, offers);
}

static GlnStatus fill_report(GlnJob *job, Report *report, size_t count) {
  bool json = job->arguments.value[GLN_OPT_JSON].given, all = job->arguments.value[GLN_OPT_ALL].given;
  GLN_TRY(gln_families_find(report->read.steps, count, report->read.items, job->arena, &report->families));
  report->offers = GLN_NEW(job->arena, Offers, report->step_count);
  if (report->offers == NULL)
    return GLN_MEMORY;
  for (size_t f = 0; f < report->families.count; f++)
    for (size_t m = 0; m < report->families.items[f].member_count; m++) {
      size_t step = report->families.items[f].members[m];
      const GlnEvent *event = report->song != NULL ? report->song->slots[step].event : NULL;
      GLN_TRY(gln_offers_find(report, step, event, all || json, job->arena, &report->offers[step]));
      GLN_TRY(find_grips(&report->options, report->line, step, false, job->arena, &report->offers[step]));
    }
  return GLN_OK;
}

static GlnStatus run_song(GlnJob *job, Report *report) {
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  report->song = arrangement.song;
  report->line = arrangement.line;
  report->options = arrangement.options;
  report->title = arrangement.chart->title;
  report->step_count = arrangement.song->slot_count;
  GLN_TRY(gln_readings_of_song(arrangement.song, job->arena, &report->read));
  const GlnValue *tried = &job->arguments.value[GLN_OPT_TRY];
  if (tried->given)
    GLN_TRY(gln_standins_try(job, &arrangement, tried->text, report));
  if (tried->given && !job->arguments.value[GLN_OPT_JSON].given)
    return GLN_OK;
  return fill_report(job, report, report->step_count);
}

/* ---- one chord without a song ----------------------------------------------------------------------------------------- */

GlnStatus gln_job_chord(const GlnJob *job, const char *option, GlnText symbol, GlnChord *chord) {
  GlnSymbolFault fault = {.length = 0};
  if (gln_chord_parse(symbol, chord, &fault) != GLN_OK)
    return gln_job_complain_of_symbol(job, GLN_INPUT, option, symbol, &fault);
  if (chord->silent)
    return gln_job_complain(job, GLN_INPUT, "name a chord that sounds", "%s is silence", option);
  return GLN_OK;
}

static GlnStatus run_chord(GlnJob *job, Report *report) {
  const GlnValue *value = job->arguments.value;
  GlnChord *chords = GLN_NEW(job->arena, GlnChord, 2);
  report->read.steps = GLN_NEW(job->arena, GlnStep, 2);
  report->read.items = GLN_NEW(job->arena, GlnReading, 2);
  if (chords == NULL || report->read.steps == NULL || report->read.items == NULL)
    return GLN_MEMORY;
  if (!value[GLN_OPT_KEY].given)
    return gln_job_complain(job, GLN_USAGE, "for example --key F, or --key Dm",
                            "what stands in for a chord depends on the key; --chord needs --key");
  GlnKey key;
  if (gln_key_parse(value[GLN_OPT_KEY].text, &key) != GLN_OK)
    return gln_job_complain(job, GLN_USAGE, "write a note, and m for minor: F, Bb, F#m",
                            "--key \"%s\" is no key", value[GLN_OPT_KEY].text.at);
  GLN_TRY(gln_job_chord(job, "--chord", value[GLN_OPT_CHORD].text, &chords[0]));
  report->step_count = value[GLN_OPT_BEFORE].given ? 2 : 1;
  if (value[GLN_OPT_BEFORE].given)
    GLN_TRY(gln_job_chord(job, "--before", value[GLN_OPT_BEFORE].text, &chords[1]));
  for (size_t i = 0; i < report->step_count; i++)
    report->read.steps[i] = (GlnStep){.chord = &chords[i],
                                      .start = gln_ratio(4 * (int64_t)i, 1),
                                      .quarters = gln_ratio(4, 1),
                                      .phrase_starts = i == 0,
                                      .bar_starts = true};
  GLN_TRY(gln_harmony_read(report->read.steps, report->step_count, key, job->arena, report->read.items));
  GlnFretRange range;
  report->options = gln_line_defaults();
  GLN_TRY(gln_job_hand(job, &report->options.hand));
  report->options.textures = gln_job_textures(job);
  report->options.open_wish = gln_job_open_wish(job);
  report->options.right_hand = gln_job_right_hand(job);
  GLN_TRY(gln_job_instrument(job, &report->options.instrument));
  GLN_TRY(gln_job_fret_range(job, &range));
  report->options.fret_low = range.low;
  report->options.fret_high = range.high;
  return fill_report(job, report, 1);
}

GlnStatus gln_run_standins(GlnJob *job) {
  Report report = {.song = NULL};
  const GlnValue *value = job->arguments.value;
  if (value[GLN_OPT_CHORD].given && job->arguments.operand != NULL)
    return gln_job_complain(job, GLN_USAGE, "give the one or the other", "standins takes a FILE or --chord");
  if (value[GLN_OPT_CHORD].given && value[GLN_OPT_TRY].given)
    return gln_job_complain(job, GLN_USAGE, "give a FILE with --try", "--try needs a line to plan anew");
  if (!value[GLN_OPT_CHORD].given && (value[GLN_OPT_KEY].given || value[GLN_OPT_BEFORE].given))
    return gln_job_complain(job, GLN_USAGE, "in a FILE the chart says both; leave them out",
                            "--key and --before go with --chord");
  GLN_TRY(value[GLN_OPT_CHORD].given ? run_chord(job, &report) : run_song(job, &report));
  return value[GLN_OPT_JSON].given ? gln_standins_print_json(job, &report) : gln_standins_print(job, &report);
}
