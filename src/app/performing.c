/* From a line to its performance: what play and pack make sound of. */
#include "performing.h"

#include <math.h>

/* How long a hand is heard to leave its strings before a change that takes all the time there is; less where there is
 * more time. Design choice: about the gap that is heard when practised players change chords. */
#define LIFT_SECONDS   0.08
#define LIFT_PRECISION 960 /* parts of a quarter note */

GlnRehearsal gln_rehearsal_defaults(void) {
  return (GlnRehearsal){
      .players = (1U << GLN_PLAYER_COUNT) - 1, .from = {0, 1}, .to = {0, 1}, .rounds = 1, .seed = 1};
}

/* ---- what is held ------------------------------------------------------------------------------------------- */

/* A pick-up, whose beats are counted as if it were whole, starts with the song. */
static GlnRatio bar_start(const GlnSlot *slot) {
  GlnRatio beat = gln_ratio(4, slot->meter.unit); /* quarter notes */
  GlnRatio into = gln_ratio_multiply(gln_ratio_subtract(slot->beat, gln_ratio(1, 1)), beat);
  GlnRatio start = gln_ratio_subtract(slot->start, into);
  return start.num < 0 ? gln_ratio(0, 1) : start;
}

static GlnRatio lift_before(const GlnLine *line, const GlnLineSlot *at, double tempo) {
  double hurry = fmin(1.0, at->load * tempo / line->tempo);
  double seconds = fmin((double)at->move.seconds, LIFT_SECONDS) * hurry;
  return gln_ratio(lround(seconds * tempo / 60 * LIFT_PRECISION), LIFT_PRECISION);
}

/* Slots as the right hand needs them. */
static GlnHeld *hold_line(const GlnLine *line, double tempo, GlnArena *arena) {
  GlnHeld *held = GLN_NEW(arena, GlnHeld, line->slot_count);
  for (size_t i = 0; held != NULL && i < line->slot_count; i++) {
    const GlnLineSlot *at = &line->slots[i];
    const GlnSlot *slot = at->slot;
    const GlnSlot *last = i > 0 ? line->slots[i - 1].slot : NULL;
    bool begins =
        last != NULL && (last->section != slot->section || last->section_pass != slot->section_pass);
    int32_t section = i > 0 ? held[i - 1].section + begins : 0;
    held[i] = (GlnHeld){.grip = at->silent ? NULL : &at->grip,
                        .chord = at->silent ? NULL : at->chord,
                        .start = slot->start,
                        .quarters = slot->quarters,
                        .meter_beats = slot->meter.beats,
                        .meter_unit = slot->meter.unit,
                        .bar_start = bar_start(slot),
                        .section = section,
                        .lift = lift_before(line, at, tempo)};
  }
  return held;
}

/* The chart's feel, and where it stands there. */
static void place_feel(const GlnChart *chart, GlnPerformanceOptions *options) {
  for (size_t i = 0; i < chart->header_count; i++)
    if (gln_text_equal_ignoring_case(chart->headers[i].name, GLN_TEXT("feel"))) {
      options->feel_offset = chart->headers[i].value_offset;
      options->feel_length = chart->headers[i].value.length;
    }
}

/* ---- the performance ------------------------------------------------------------------------------------------ */

static GlnStatus perform_at(const GlnJob *job, const GlnArrangement *arrangement,
                            GlnPerformanceOptions options, double tempo, GlnDiags *diags,
                            GlnPerformance **performance) {
  options.tempo = tempo;
  GlnHeld *held = hold_line(arrangement->line, tempo, job->arena);
  if (held == NULL)
    return GLN_MEMORY;
  return gln_performance_make(&options, held, arrangement->line->slot_count, job->arena, diags, performance);
}

static GlnStatus perform_ladder(const GlnJob *job, const GlnArrangement *arrangement,
                                const GlnRehearsal *rehearsal, const GlnPerformanceOptions *options,
                                GlnDiags *diags, GlnPerformance **performance) {
  if (rehearsal->tempo_count == 0)
    return perform_at(job, arrangement, *options, arrangement->options.tempo, diags, performance);
  GlnPerformance *parts[GLN_LADDER_MAX];
  for (size_t i = 0; i < rehearsal->tempo_count; i++) {
    GlnDiags again = gln_diags(job->arena); /* what is said once is not said at every tempo */
    GLN_TRY(perform_at(job, arrangement, *options, rehearsal->tempi[i], i == 0 ? diags : &again, &parts[i]));
  }
  return gln_performance_join(parts, rehearsal->tempo_count, job->arena, performance);
}

GlnStatus gln_job_swing(const GlnJob *job, const GlnChart *chart, GlnText name, GlnRatio *swing,
                        GlnRatio *pair) {
  const GlnFeel *feel = NULL;
  GlnFeelBook *book = NULL;
  GlnText asked;
  GLN_TRY(gln_job_feels(job, chart, name, &book, &asked));
  GLN_TRY(gln_feel_choose(book, asked, chart->meter.beats, chart->meter.unit, &feel, NULL, NULL));
  *swing = gln_feel_swing_of(feel, pair);
  return GLN_OK;
}

GlnStatus gln_job_perform(const GlnJob *job, const GlnArrangement *arrangement, const GlnRehearsal *rehearsal,
                          GlnPerformance **performance) {
  GlnFeelBook *book = NULL;
  GlnText feel;
  GLN_TRY(gln_job_feels(job, arrangement->chart, rehearsal->feel, &book, &feel));
  GlnPerformanceOptions options = {.instrument = &arrangement->options.instrument,
                                   .hand = &arrangement->options.hand,
                                   .book = book,
                                   .feel = feel,
                                   .count_in = rehearsal->count_in,
                                   .click = rehearsal->click,
                                   .percussion = rehearsal->percussion,
                                   .from = rehearsal->from,
                                   .to = rehearsal->to,
                                   .rounds = rehearsal->rounds};
  bool by_chart = rehearsal->feel.length == 0;
  if (by_chart)
    place_feel(arrangement->chart, &options);
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = perform_ladder(job, arrangement, rehearsal, &options, &diags, performance);
  gln_job_show_diags(job, &diags, by_chart ? arrangement->name : GLN_TEXT("gripline"),
                     by_chart ? arrangement->chart->source : GLN_TEXT(""));
  GLN_TRY(status);
  if (!gln_performance_transpose(*performance, rehearsal->semitones))
    return gln_job_complain(job, GLN_USAGE, "transpose by less",
                            "so transposed, a string leaves the range of MIDI");
  gln_performance_keep(*performance, rehearsal->players);
  return rehearsal->even ? GLN_OK : gln_performance_humanise(*performance, rehearsal->seed, job->arena);
}

/* ---- as a MIDI file ------------------------------------------------------------------------------------------- */

typedef struct Marks {
  GlnMidiMark *marks;
  size_t count;
} Marks;

/* Section names and chord symbols of one round that begins so many quarter notes after the first lead-in. */
static void mark_round(const GlnLine *line, GlnRatio from, GlnRatio to, GlnRatio offset, Marks *marks) {
  const GlnSlot *last = NULL;
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    if (gln_ratio_compare(slot->start, from) < 0 || gln_ratio_compare(slot->start, to) >= 0)
      continue;
    GlnText section = line->song->chart->sections[slot->section].name;
    GlnRatio start = gln_ratio_add(gln_ratio_subtract(slot->start, from), offset);
    bool begins = last == NULL || last->section != slot->section || last->section_pass != slot->section_pass;
    if (begins && section.length > 0)
      marks->marks[marks->count++] = (GlnMidiMark){start, section};
    marks->marks[marks->count++] = (GlnMidiMark){start, slot->event->symbol};
    last = slot;
  }
}

static GlnStatus mark_rounds(const GlnLine *line, const GlnRehearsal *rehearsal,
                             const GlnPerformance *performance, GlnArena *arena, Marks *marks) {
  bool whole = rehearsal->to.num <= 0;
  GlnRatio from = whole ? gln_ratio(0, 1) : rehearsal->from,
           to = whole ? line->song->quarters : rehearsal->to;
  GlnRatio length = gln_ratio_subtract(to, from);
  size_t times = rehearsal->tempo_count ? rehearsal->tempo_count : 1;
  size_t rounds = times * (size_t)rehearsal->rounds;
  /* Each tempo has a lead-in of its own, all of one length. */
  GlnRatio each = gln_ratio_divide(performance->quarters, gln_ratio((int64_t)times, 1));
  *marks = (Marks){.marks = GLN_NEW(arena, GlnMidiMark, 2 * line->slot_count * rounds)};
  if (marks->marks == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < rounds; i++) {
    int64_t time = (int64_t)(i / (size_t)rehearsal->rounds), round = (int64_t)(i % (size_t)rehearsal->rounds);
    GlnRatio offset = gln_ratio_add(gln_ratio_multiply(each, gln_ratio(time, 1)),
                                    gln_ratio_multiply(length, gln_ratio(round, 1)));
    mark_round(line, from, to, offset, marks);
  }
  return GLN_OK;
}

GlnStatus gln_job_midi(const GlnJob *job, const GlnArrangement *arrangement, const GlnRehearsal *rehearsal,
                       const GlnPerformance *performance, GlnBuffer *out) {
  const GlnChart *chart = arrangement->chart;
  GlnMidiOptions options = {
      .title = chart->title, .by = chart->by, .has_key = chart->has_key, .key = chart->key};
  if (rehearsal->semitones != 0)
    options.key.tonic = gln_tonic_named(chart->key, rehearsal->semitones);
  Marks marks;
  GLN_TRY(mark_rounds(arrangement->line, rehearsal, performance, job->arena, &marks));
  options.marks = marks.marks;
  options.mark_count = marks.count;
  GlnStatus status = gln_midi_write(performance, &options, out);
  if (status == GLN_LIMIT)
    return gln_job_complain(job, status, "play a shorter form, or another tempo",
                            "this song does not fit a MIDI file");
  GLN_TRY(status);
  return gln_buffer_status(out);
}
