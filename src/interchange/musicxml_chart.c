/* A chart of a score: its bars with their chords, in the sections of its form. */
#include "musicxml_internal.h"

#include <string.h>

/* ---- bars as a chart has them ----------------------------------------------------------------------------------------- */

int64_t gln_meter_ticks(GlnMeter meter) {
  return (int64_t)GLN_TICKS * 4 * meter.beats / meter.unit;
}

bool gln_score_bar_is_pickup(const GlnScore *score, size_t bar) {
  return bar == 0 && score->bar_count > 1 && score->bars[0].ticks > 0 &&
         score->bars[0].ticks < gln_meter_ticks(score->bars[0].meter);
}

static bool is_free_between(const GlnScoreBar *first, const GlnScoreBar *second) {
  return first->plays == 0 && !second->repeat_starts && !second->ending_starts && !first->ending_stops &&
         !first->to_coda && !first->fine && !first->da_capo && !first->dal_segno && !second->coda &&
         !second->segno && second->rehearsal.length == 0;
}

/* The second half of a bar that is written as two. */
static GlnStatus join(GlnScoreBar *first, const GlnScoreBar *second, GlnArena *arena) {
  size_t chords = first->chord_count + second->chord_count, notes = first->note_count + second->note_count;
  GlnScoreChord *all = GLN_NEW(arena, GlnScoreChord, chords);
  GlnScoreNote *heard = GLN_NEW(arena, GlnScoreNote, notes);
  if (all == NULL || heard == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < chords; i++) {
    bool is_second = i >= first->chord_count;
    all[i] = is_second ? second->chords[i - first->chord_count] : first->chords[i];
    all[i].at += is_second ? first->ticks : 0;
  }
  for (size_t i = 0; i < notes; i++) {
    bool is_second = i >= first->note_count;
    heard[i] = is_second ? second->notes[i - first->note_count] : first->notes[i];
    heard[i].at += is_second ? first->ticks : 0;
  }
  first->chords = all;
  first->chord_count = chords;
  first->notes = heard;
  first->note_count = notes;
  first->ticks += second->ticks;
  first->plays = second->plays;
  first->after_jump = second->after_jump;
  first->ending_stops = second->ending_stops;
  first->to_coda = second->to_coda;
  first->fine = second->fine;
  first->da_capo = second->da_capo;
  first->dal_segno = second->dal_segno;
  return GLN_OK;
}

/* Bars that are written in two halves become one: the second says that it does not count. */
static GlnStatus join_halves(GlnScore *score, GlnArena *arena) {
  size_t kept = 0;
  for (size_t b = 0; b < score->bar_count; b++) {
    GlnScoreBar *bar = &score->bars[b];
    GlnScoreBar *last = kept > 0 ? &score->bars[kept - 1] : NULL;
    bool pickup = kept == 1 && gln_score_bar_is_pickup(score, 0);
    if (last != NULL && !pickup && bar->implicit && bar->ticks > 0 && last->ticks > 0 &&
        last->ticks + bar->ticks == gln_meter_ticks(last->meter) && is_free_between(last, bar)) {
      GLN_TRY(join(last, bar, arena));
      continue;
    }
    score->bars[kept++] = *bar;
  }
  score->bar_count = kept;
  return GLN_OK;
}

/* The meter in which a bar of this length is full: quarters where they do, else eighths … */
static GlnMeter meter_of_length(int64_t ticks) {
  for (int unit = 4; unit <= GLN_METER_UNIT_MAX; unit *= 2) {
    int64_t beat = (int64_t)GLN_TICKS * 4 / unit;
    if (ticks % beat == 0 && ticks / beat <= GLN_CHART_METER_BEATS_MAX)
      return (GlnMeter){(int16_t)(ticks / beat), (int16_t)unit};
  }
  for (int unit = GLN_METER_UNIT_MAX; unit > 1; unit /= 2) { /* to the nearest that there is */
    int64_t beat = (int64_t)GLN_TICKS * 4 / unit, beats = (ticks + beat / 2) / beat;
    if (beats >= 1 && beats <= GLN_CHART_METER_BEATS_MAX)
      return (GlnMeter){(int16_t)beats, (int16_t)unit};
  }
  int64_t wholes = ticks / (int64_t)(GLN_TICKS * 4);
  return (GlnMeter){(int16_t)(wholes < 1                           ? 1
                              : wholes > GLN_CHART_METER_BEATS_MAX ? GLN_CHART_METER_BEATS_MAX
                                                                   : wholes),
                    1};
}

/* Lengths that are not those of the meter: a pick-up, or a meter of their own. */
static void settle_meters(GlnScore *score) {
  score->meter = score->bars[0].meter;
  for (size_t b = 0; b < score->bar_count; b++) {
    GlnScoreBar *bar = &score->bars[b];
    if (bar->ticks == 0)
      bar->ticks = gln_meter_ticks(bar->meter);
    if (gln_score_bar_is_pickup(score, b) || bar->ticks == gln_meter_ticks(bar->meter))
      continue;
    bar->meter = meter_of_length(bar->ticks);
    bar->ticks = gln_meter_ticks(bar->meter);
  }
}

/* ---- places ------------------------------------------------------------------------------------------------------------- */

/* The grid that chords fall on, in ticks: 48 places a quarter, fewer where a bar would need more marks than a chart's has. */
int64_t gln_grid_of(GlnMeter meter) {
  int64_t places = 48;
  while (gln_meter_ticks(meter) * places / GLN_TICKS > GLN_BAR_MARKS_MAX)
    places /= 2;
  return GLN_TICKS / places;
}

static void sort_chords(GlnScoreBar *bar) {
  for (size_t i = 1; i < bar->chord_count; i++) {
    GlnScoreChord chord = bar->chords[i];
    size_t j = i;
    for (; j > 0 && bar->chords[j - 1].at > chord.at; j--)
      bar->chords[j] = bar->chords[j - 1];
    bar->chords[j] = chord;
  }
}

/* Chords written one after the other over one place share the time up to the next; then all go to the grid. True when
 * some did. */
static bool place_chords(GlnScoreBar *bar) {
  bool shared = false;
  int64_t grid = gln_grid_of(bar->meter), kept_at = -1;
  size_t kept = 0;
  sort_chords(bar);
  for (size_t i = 0; i < bar->chord_count;) {
    size_t end = i + 1;
    while (end < bar->chord_count && bar->chords[end].at == bar->chords[i].at)
      end++;
    int64_t from = bar->chords[i].at, to = end < bar->chord_count ? bar->chords[end].at : bar->ticks;
    shared = shared || end - i > 1;
    for (size_t k = i; k < end; k++)
      bar->chords[k].at = from + (to > from ? to - from : 0) * (int64_t)(k - i) / (int64_t)(end - i);
    i = end;
  }
  for (size_t i = 0; i < bar->chord_count; i++) {
    GlnScoreChord chord = bar->chords[i];
    chord.at = (chord.at + grid / 2) / grid * grid;
    if (chord.at >= bar->ticks)
      chord.at = (bar->ticks - 1) / grid * grid;
    if (chord.at == kept_at)
      kept--; /* two on one place of the grid: the later one sounds */
    bar->chords[kept++] = chord;
    kept_at = chord.at;
  }
  bar->chord_count = kept;
  return shared;
}

static void place_all(GlnScore *score, GlnDiags *diags) {
  size_t shared = 0, beyond = 0;
  const GlnXmlNode *first = NULL;
  for (size_t b = 0; b < score->bar_count; b++) {
    GlnScoreBar *bar = &score->bars[b];
    bar->ticks = bar->ticks < gln_grid_of(bar->meter)
                     ? gln_grid_of(bar->meter)
                     : bar->ticks / gln_grid_of(bar->meter) * gln_grid_of(bar->meter);
    if (bar->chord_count > 1 && place_chords(bar)) {
      first = first == NULL ? bar->chords[0].node : first;
      shared++;
    } else if (bar->chord_count == 1) {
      (void)place_chords(bar);
    }
    if (bar->chord_count > GLN_BAR_CHORDS_MAX - 1) {
      beyond += bar->chord_count - (GLN_BAR_CHORDS_MAX - 1);
      bar->chord_count = GLN_BAR_CHORDS_MAX - 1;
    }
  }
  if (shared > 0)
    gln_diags_format(diags, GLN_WARNING, first->offset, 1, "look at the chart",
                     "in %zu bar%s several chords stand over one note; they share its time", shared,
                     shared == 1 ? "" : "s");
  if (beyond > 0)
    gln_diags_format(diags, GLN_WARNING, score->bars[0].node->offset, 1, "",
                     "%zu chords are left out: a bar of a chart holds %d", beyond, GLN_BAR_CHORDS_MAX);
}

/* ---- what a chord becomes -------------------------------------------------------------------------------------------------- */

typedef struct Maker {
  GlnScore *score;
  const GlnScoreForm *form;
  const GlnMusicXmlWish *wish;
  GlnArena *arena;
  int strings; /* of the diagrams that become pins */
  size_t chord_total;
  const GlnScoreChord **carried; /* of each bar: the chord before it as written, or NULL */
} Maker;

static const GlnChord silence = {.silent = true, .quality = -1, .root_tone = -1, .bass_tone = -1};

static bool fill_event(Maker *maker, const GlnScoreChord *chord, GlnEvent *event) {
  char symbol[GLN_SYMBOL_TEXT_MAX], frets[GLN_FRETS_TEXT_MAX];
  (void)gln_chord_print(&chord->chord, GLN_SIGNS_ASCII, symbol);
  char *copy = gln_text_copy(maker->arena, gln_text(symbol));
  *event = (GlnEvent){.symbol = gln_text(copy), .chord = chord->chord};
  if (copy == NULL)
    return false;
  if (chord->frets.string_count != maker->strings || chord->chord.silent)
    return true;
  (void)gln_frets_print(&chord->frets, frets);
  copy = gln_text_copy(maker->arena, gln_text(frets));
  event->pin = gln_text(copy);
  return copy != NULL;
}

static GlnRatio beats_of(const GlnScoreBar *bar, int64_t ticks) {
  return gln_ratio_divide(gln_ratio(ticks, GLN_TICKS), gln_ratio(4, bar->meter.unit));
}

/* The chords of a bar; carried is the chord before it, which goes on where the bar starts with none. */
static bool fill_events(Maker *maker, const GlnScoreBar *bar, const GlnEvent *carried, bool continues,
                        GlnBar *into) {
  bool leads = bar->chord_count == 0 || bar->chords[0].at > 0;
  into->events = GLN_NEW(maker->arena, GlnEvent, bar->chord_count + leads);
  if (into->events == NULL)
    return false;
  into->event_count = bar->chord_count + leads;
  if (leads) {
    into->events[0] = *carried;
    into->events[0].continues = continues;
  }
  for (size_t i = 0; i < bar->chord_count; i++)
    if (!fill_event(maker, &bar->chords[i], &into->events[i + leads]))
      return false;
  for (size_t i = 0; i < into->event_count; i++) {
    int64_t from = i < leads ? 0 : bar->chords[i - leads].at;
    int64_t to = i + 1 < into->event_count ? bar->chords[i + 1 - leads].at : bar->ticks;
    into->events[i].beat = beats_of(bar, from);
    into->events[i].beats = beats_of(bar, to - from);
  }
  return true;
}

/* ---- sections ---------------------------------------------------------------------------------------------------------------- */

/* Repeats and endings of a bar, where the section holds them. */
static void mark_repeats(const Maker *maker, size_t bar, GlnBar *into) {
  int p = maker->form->inner[bar];
  const GlnScorePassage *passage = p >= 0 ? &maker->form->passages[p] : NULL;
  const GlnScoreBar *from = &maker->score->bars[bar];
  if (passage == NULL || !passage->inside)
    return;
  into->repeat_starts = passage->first == bar;
  into->endings = from->endings;
  bool has_endings = maker->score->bars[passage->last].endings != 0;
  bool closes = has_endings ? from->plays > 0 && bar < passage->last : bar == passage->last;
  into->repeat_plays = (int16_t)(closes ? passage->plays : 0);
}

static bool has_same_chords(const GlnBar *bar, const GlnBar *before) {
  if (bar->event_count != before->event_count || !gln_meter_equal(bar->meter, before->meter))
    return false;
  for (size_t i = 0; i < bar->event_count; i++) {
    const GlnEvent *a = &bar->events[i], *b = &before->events[i];
    if (gln_ratio_compare(a->beat, b->beat) != 0 || gln_ratio_compare(a->beats, b->beats) != 0 ||
        !gln_text_equal(a->symbol, b->symbol) || !gln_text_equal(a->pin, b->pin) ||
        a->has_top != b->has_top || (a->has_top && gln_pitch_midi(a->top) != gln_pitch_midi(b->top)))
      return false;
  }
  return true;
}

/* The same bar as the one before it, in every chord. */
static bool is_same(const GlnBar *bar, const GlnBar *before) {
  return !gln_bar_is_pickup(before) && has_same_chords(bar, before);
}

/* The melody over a bar, where it is wished for; a note that flows in from the bar before is held. */
static GlnStatus add_tune(const Maker *maker, const GlnScoreBar *bar, bool flows, GlnBar *into) {
  if (!maker->wish->melody)
    return GLN_OK;
  const GlnTuneNote *last = flows && into[-1].tune_count > 0 ? &into[-1].tune[into[-1].tune_count - 1] : NULL;
  bool sounds = last != NULL && last->kind != GLN_TUNE_REST;
  return gln_score_tune(bar, sounds ? &last->pitch : NULL, maker->arena, into);
}

static GlnStatus fill_section(Maker *maker, const GlnScorePiece *piece, GlnSection *section) {
  *section = (GlnSection){.name = piece->name};
  section->bars = GLN_NEW(maker->arena, GlnBar, piece->bar_count);
  if (section->bars == NULL)
    return GLN_MEMORY;
  section->bar_count = piece->bar_count;
  GlnEvent last = {.symbol = GLN_TEXT("N.C."), .chord = silence}, before_endings = last;
  for (size_t i = 0; i < piece->bar_count; i++) {
    size_t index = piece->bars[i];
    const GlnScoreBar *bar = &maker->score->bars[index];
    GlnBar *into = &section->bars[i];
    *into = (GlnBar){.meter = bar->meter, .beats = beats_of(bar, bar->ticks)};
    if (piece->repeats)
      mark_repeats(maker, index, into);
    bool ending_starts = into->endings != 0 && bar->ending_starts;
    if (ending_starts && section->bars[i > 0 ? i - 1 : 0].endings != 0)
      last = before_endings; /* a later ending follows the bars before the first */
    else if (ending_starts)
      before_endings = last;
    bool flows = i > 0 && !ending_starts && !into->repeat_starts;
    if (i == 0 && maker->carried[index] != NULL && !fill_event(maker, maker->carried[index], &last))
      return GLN_MEMORY;
    if (!fill_events(maker, bar, &last, flows && !last.chord.silent, into))
      return GLN_MEMORY;
    if (add_tune(maker, bar, flows, into) != GLN_OK)
      return GLN_MEMORY;
    into->same_as_last = flows && is_same(into, into - 1);
    if (into->same_as_last)
      into->events[0].continues = false;
    last = into->events[into->event_count - 1];
    last.continues = false;
    maker->chord_total += into->event_count;
  }
  return GLN_OK;
}

/* ---- the whole ------------------------------------------------------------------------------------------------------ */

/* Bars that a sign says to play again, and the chord that goes on into each bar. */
static GlnStatus carry_chords(Maker *maker) {
  GlnScore *score = maker->score;
  const GlnScoreChord *last = NULL;
  maker->carried = GLN_NEW(maker->arena, const GlnScoreChord *, score->bar_count);
  if (maker->carried == NULL)
    return GLN_MEMORY;
  for (size_t b = 0; b < score->bar_count; b++) {
    GlnScoreBar *bar = &score->bars[b];
    size_t back = (size_t)bar->same_as;
    maker->carried[b] = last;
    if (back > 0 && back <= b && bar->chord_count == 0 && bar->ticks == score->bars[b - back].ticks) {
      bar->chords = score->bars[b - back].chords;
      bar->chord_count = score->bars[b - back].chord_count;
    }
    if (bar->chord_count > 0)
      last = &bar->chords[bar->chord_count - 1];
  }
  return GLN_OK;
}

/* How many strings the pins have: the tuning's, else those of most diagrams. */
static int choose_strings(const GlnScore *score, GlnDiags *diags) {
  size_t counts[GLN_STRINGS_MAX + 1] = {0};
  int best = score->strings > 0 ? score->strings : 6;
  const GlnXmlNode *other = NULL;
  for (size_t b = 0; b < score->bar_count; b++)
    for (size_t i = 0; i < score->bars[b].chord_count; i++)
      counts[score->bars[b].chords[i].frets.string_count]++;
  for (int n = GLN_STRINGS_MIN; score->strings == 0 && n <= GLN_STRINGS_MAX; n++) {
    GlnInstrument instrument;
    if (counts[n] > counts[best] && gln_instrument_of_strings(n, &instrument) == GLN_OK)
      best = n;
  }
  size_t left = score->frame_count - counts[best];
  for (size_t b = 0; b < score->bar_count && other == NULL; b++)
    for (size_t i = 0; i < score->bars[b].chord_count && other == NULL; i++) {
      const GlnScoreChord *chord = &score->bars[b].chords[i];
      if (chord->frets.string_count != 0 && chord->frets.string_count != best)
        other = chord->node;
    }
  if (other != NULL)
    gln_diags_format(diags, GLN_WARNING, other->offset, 1, "",
                     "%zu diagram%s for an instrument of other than %d strings, and left out", left,
                     left == 1 ? " is" : "s are", best);
  return best;
}

static bool is_same_section(const GlnSection *a, const GlnSection *b) {
  if (a->bar_count != b->bar_count)
    return false;
  for (size_t i = 0; i < a->bar_count; i++) {
    const GlnBar *x = &a->bars[i], *y = &b->bars[i];
    if (!has_same_chords(x, y) || !gln_tunes_equal(x, y) || gln_ratio_compare(x->beats, y->beats) != 0 ||
        x->repeat_starts != y->repeat_starts || x->repeat_plays != y->repeat_plays ||
        x->endings != y->endings)
      return false;
  }
  return true;
}

/* A section that comes back under its letter, bar for bar the same, is one section. */
static void join_sections(const Maker *maker, GlnChart *chart) {
  const GlnScoreForm *form = maker->form;
  size_t kept = 0;
  uint16_t of[GLN_CHART_SECTIONS_MAX] = {0};
  size_t from[GLN_CHART_SECTIONS_MAX]; /* the piece that each kept section came from */
  for (size_t i = 0; i < chart->section_count; i++) {
    GlnText letter = maker->score->bars[form->pieces[i].bars[0]].rehearsal;
    size_t same = 0;
    for (; same < kept; same++)
      if (letter.length > 0 &&
          gln_text_equal(maker->score->bars[form->pieces[from[same]].bars[0]].rehearsal, letter) &&
          is_same_section(&chart->sections[same], &chart->sections[i]))
        break;
    if (same == kept) {
      from[kept] = i;
      chart->sections[kept++] = chart->sections[i];
    }
    of[i] = (uint16_t)same;
  }
  chart->section_count = kept;
  for (size_t i = 0; i < chart->form_count; i++)
    chart->form[i] = of[chart->form[i]];
}

static void fill_headers(const Maker *maker, GlnChart *chart, GlnDiags *diags) {
  const GlnScore *score = maker->score;
  chart->title = score->title;
  chart->by = score->by;
  chart->has_key = score->has_key;
  chart->key = score->key;
  chart->meter = score->meter;
  chart->capo = score->capo;
  chart->feel = score->feel;
  if (maker->strings != 6 && score->tuning.length == 0)
    chart->strings = maker->strings;
  static const GlnText standard = GLN_TEXT_INIT("E2 A2 D3 G3 B3 E4");
  if (!gln_text_equal(score->tuning, standard))
    chart->tuning = score->tuning;
  chart->tempo = 120;
  double beats = score->tempo / gln_ratio_value(gln_meter_count_quarters(score->meter));
  if (beats >= GLN_CHART_TEMPO_MIN && beats <= GLN_CHART_TEMPO_MAX) {
    chart->tempo = score->tempo;
    chart->has_tempo = true;
  } else if (score->tempo > 0) {
    gln_diags_format(diags, GLN_NOTE_SEVERITY, score->bars[0].node->offset, 1, "",
                     "the tempo is none that a chart can have, and is left out");
  }
}

GlnStatus gln_score_chart(GlnScore *score, const GlnMusicXmlWish *wish, GlnArena *arena, GlnDiags *diags,
                          GlnChart *chart) {
  GlnScoreForm form;
  Maker maker = {.score = score, .form = &form, .wish = wish, .arena = arena};
  *chart = (GlnChart){0};
  GLN_TRY(join_halves(score, arena));
  settle_meters(score);
  place_all(score, diags);
  GLN_TRY(carry_chords(&maker));
  GLN_TRY(gln_score_form(score, arena, diags, &form));
  maker.strings = choose_strings(score, diags);
  fill_headers(&maker, chart, diags);
  chart->sections = GLN_NEW(arena, GlnSection, form.piece_count);
  if (chart->sections == NULL)
    return GLN_MEMORY;
  chart->section_count = form.piece_count;
  for (size_t i = 0; i < form.piece_count; i++)
    GLN_TRY(fill_section(&maker, &form.pieces[i], &chart->sections[i]));
  if (maker.chord_total > GLN_CHART_CHORDS_MAX) {
    gln_diags_format(diags, GLN_ERROR, score->bars[0].node->offset, 1, "save a part of the score alone",
                     "this score has too many chords for a chart: the limit is %d", GLN_CHART_CHORDS_MAX);
    return GLN_LIMIT;
  }
  chart->form = form.order;
  chart->form_count = form.order_count;
  join_sections(&maker, chart);
  return GLN_OK;
}
