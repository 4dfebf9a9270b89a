/* gripline standins --try: one chord changed, the line planned anew. */
#include "standins_internal.h"

static GlnStatus complain_of_wish(const GlnJob *job, GlnText wish) {
  return gln_job_complain(job, GLN_USAGE,
                          "write bar=chord, as in --try 6=A7, or bar.beat=chord: --try 10.3=Gb7",
                          "--try \"%.*s\" names no slot and chord", (int)wish.length, wish.at);
}

/* "6" or "10.3": the slot that begins there. */
static GlnStatus find_slot(const GlnJob *job, const GlnSong *song, GlnText place, GlnText wish,
                           size_t *slot) {
  size_t dot = gln_text_find(place, GLN_TEXT("."), 0);
  long bar = 0, beat = 1;
  if (gln_text_integer(gln_text_slice(place, 0, dot), 0, GLN_PLAYED_BARS_MAX, &bar) != GLN_OK ||
      (dot < place.length &&
       gln_text_integer(gln_text_from(place, dot + 1), 1, GLN_CHART_METER_BEATS_MAX, &beat) != GLN_OK))
    return complain_of_wish(job, wish);
  bool has_bar = false;
  for (*slot = 0; *slot < song->slot_count; (*slot)++) {
    const GlnSlot *at = &song->slots[*slot];
    if (at->bar != (unsigned long)bar)
      continue;
    if (dot == place.length || gln_ratio_compare(at->beat, gln_ratio(beat, 1)) == 0)
      return GLN_OK;
    has_bar = true;
  }
  if (has_bar)
    return gln_job_complain(job, GLN_INPUT, "gripline arrange shows where each chord begins",
                            "no chord begins on beat %ld of bar %ld", beat, bar);
  return gln_job_complain(job, GLN_INPUT, "count bars as they are played, as gripline arrange does",
                          "there is no chord in bar %ld; the song has %zu bars", bar, song->bar_count);
}

static GlnStatus read_chords(const GlnJob *job, GlnText text, GlnChord chords[2], GlnText symbols[2],
                             size_t *count) {
  *count = 0;
  for (GlnText rest = gln_text_trim(text); rest.length > 0; rest = gln_text_trim(rest)) {
    size_t end = gln_text_find(rest, GLN_TEXT(" "), 0);
    if (*count == 2)
      return gln_job_complain(job, GLN_USAGE, "give one or two", "--try takes two chords for a slot at most");
    symbols[*count] = gln_text_slice(rest, 0, end);
    GLN_TRY(gln_job_chord(job, "--try", symbols[*count], &chords[*count]));
    (*count)++;
    rest = gln_text_from(rest, end);
  }
  return *count > 0 ? GLN_OK : complain_of_wish(job, text);
}

/* The event replaced by one or two that share its length. */
static GlnStatus change_bar(GlnBar *bar, size_t index, const GlnChord *chords, const GlnText *symbols,
                            size_t count, GlnArena *arena) {
  GlnEvent *events = GLN_NEW(arena, GlnEvent, bar->event_count + count);
  if (events == NULL)
    return GLN_MEMORY;
  size_t made = 0;
  for (size_t i = 0; i < bar->event_count; i++) {
    if (i != index) {
      events[made++] = bar->events[i];
      continue;
    }
    GlnRatio share = gln_ratio_divide(bar->events[i].beats, gln_ratio((int64_t)count, 1));
    for (size_t c = 0; c < count; c++) {
      GlnEvent event = bar->events[i];
      event.chord = chords[c];
      event.symbol = symbols[c];
      event.pin = (GlnText){NULL, 0};
      event.continues = false;
      event.beat = gln_ratio_add(event.beat, gln_ratio_multiply(share, gln_ratio((int64_t)c, 1)));
      event.beats = share;
      event.has_top =
          event.has_top && c == 0 && gln_top_effect(&chords[c], event.top.note) == GLN_TOP_IN_CHORD;
      events[made++] = event;
    }
  }
  bar->events = events;
  bar->event_count = made;
  return GLN_OK;
}

/* Bars written as % go with the bar that they repeat. */
static void follow(GlnSection *section, size_t changed) {
  for (size_t b = changed + 1; b < section->bar_count && section->bars[b].same_as_last; b++) {
    section->bars[b].events = section->bars[changed].events;
    section->bars[b].event_count = section->bars[changed].event_count;
  }
}

static size_t bar_repeated(const GlnSection *section, size_t bar) {
  while (bar > 0 && section->bars[bar].same_as_last)
    bar--;
  return bar;
}

static GlnText find_reason(const Report *report, size_t slot, const GlnChord *chords, size_t count,
                           GlnArena *arena) {
  size_t next = gln_next_step(report->read.steps, report->step_count, slot);
  GlnStandinPlace place = {.chord = report->read.steps[slot].chord,
                           .next = next < report->step_count ? report->read.steps[next].chord : NULL,
                           .key = report->read.items[slot].key,
                           .function = report->read.items[slot].function};
  GlnStandins standins;
  if (gln_standins_find(&place, arena, &standins) != GLN_OK)
    return (GlnText){NULL, 0};
  for (size_t i = 0; i < standins.count; i++) {
    const GlnStandin *standin = &standins.items[i];
    bool two = standin->where != GLN_STANDIN_INSTEAD;
    size_t at = standin->where == GLN_STANDIN_AFTER ? 1 : 0;
    if (two == (count == 2) && gln_chord_equal(&standin->chord, &chords[at]) &&
        (!two || gln_chord_equal(place.chord, &chords[1 - at])))
      return standin->reason;
  }
  return (GlnText){NULL, 0};
}

GlnStatus gln_standins_try(GlnJob *job, const GlnArrangement *arrangement, GlnText wish, Report *report) {
  Trial *trial = &report->trial;
  GlnChord chords[2];
  GlnText symbols[2];
  size_t equal = gln_text_find(wish, GLN_TEXT("="), 0), count = 0;
  if (equal == wish.length)
    return complain_of_wish(job, wish);
  const GlnSong *song = arrangement->song;
  GLN_TRY(find_slot(job, song, gln_text_trim(gln_text_slice(wish, 0, equal)), wish, &trial->slot));
  GLN_TRY(read_chords(job, gln_text_from(wish, equal + 1), chords, symbols, &count));
  const GlnSlot *slot = &song->slots[trial->slot];
  if (slot->event->chord.silent)
    return gln_job_complain(job, GLN_INPUT, "choose a slot with a chord", "bar %u is silent there",
                            (unsigned)slot->bar);
  /* A second reading of the same text, to change. */
  GlnDiags diags = gln_diags(job->arena);
  GlnChart *chart = NULL;
  GlnSong *changed = NULL;
  GLN_TRY(gln_chart_read(arrangement->chart->source, job->arena, &diags, &chart));
  const GlnSection *old = &arrangement->chart->sections[slot->section];
  size_t index = (size_t)(slot->event - old->bars[slot->written_bar].events);
  GlnSection *section = &chart->sections[slot->section];
  size_t bar = bar_repeated(section, slot->written_bar);
  GLN_TRY(change_bar(&section->bars[bar], index, chords, symbols, count, job->arena));
  follow(section, bar);
  diags = gln_diags(job->arena);
  GlnStatus status = gln_song_play(chart, job->arena, &diags, &changed);
  if (status == GLN_OK)
    status = gln_line_solve(changed, &arrangement->options, job->arena, &diags, &trial->after);
  gln_job_show_diags(job, &diags, arrangement->name, arrangement->chart->source);
  GLN_TRY(status);
  for (size_t i = 0; i < song->slot_count; i++)
    trial->places += song->slots[i].written == slot->written ? 1 : 0;
  trial->made = true;
  trial->added = count - 1;
  trial->before = arrangement->line;
  trial->symbols = gln_text_trim(gln_text_from(wish, equal + 1));
  trial->old_symbol = slot->event->symbol;
  trial->reason = find_reason(report, trial->slot, chords, count, job->arena);
  trial->top_dropped =
      slot->event->has_top && gln_top_effect(&chords[0], slot->event->top.note) != GLN_TOP_IN_CHORD;
  return GLN_OK;
}
