/* gripline frame: openings, turnarounds and endings that fit the song. */
#include "frame_internal.h"

#include <string.h>

/* Bars that a turnaround takes from the end of the last section. */
#define TURNAROUND_BARS 2
#define PHRASE_BARS     4
#define THERE_MAX       16 /* chords of the chart that are held against a frame */

static const char *const kind_keys[] = {"opening", "turnaround", "ending"};

const char *gln_frame_kind_key(GlnFrameKind kind) {
  return kind_keys[kind];
}

/* ---- where the tune begins and ends -------------------------------------------------------------------------------- */

/* Names that players give to what stands before and after the choruses. */
static bool is_named(GlnText name, const char *const *words, size_t count) {
  for (size_t w = 0; w < count; w++)
    if (gln_text_starts(name, gln_text(words[w])) ||
        gln_text_equal_ignoring_case(gln_text_slice(name, 0, strlen(words[w])), gln_text(words[w])))
      return true;
  return false;
}

static bool is_opening(GlnText name) {
  static const char *const words[] = {"opening", "intro", "count-in", "vamp"};
  return is_named(name, words, GLN_COUNT_OF(words));
}

static bool is_ending(GlnText name) {
  static const char *const words[] = {"ending", "outro", "coda", "tag"};
  return is_named(name, words, GLN_COUNT_OF(words));
}

/* First slot of each entry of the form, and their end. */
static GlnStatus find_form_slots(const GlnSong *song, GlnArena *arena, size_t **starts) {
  size_t entry = 0;
  *starts = GLN_NEW(arena, size_t, song->chart->form_count + 1);
  if (*starts == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < song->slot_count; i++) {
    const GlnSlot *slot = &song->slots[i], *last = i > 0 ? slot - 1 : NULL;
    if (last == NULL || last->section != slot->section || last->section_pass != slot->section_pass)
      if (entry < song->chart->form_count)
        (*starts)[entry++] = i;
  }
  for (; entry <= song->chart->form_count; entry++)
    (*starts)[entry] = song->slot_count;
  return GLN_OK;
}

static GlnStatus find_choruses(FrameReport *report, GlnArena *arena) {
  const GlnSong *song = report->arrangement.song;
  const GlnChart *chart = song->chart;
  size_t *starts = NULL;
  GLN_TRY(find_form_slots(song, arena, &starts));
  size_t first = 0, end = chart->form_count;
  while (first < end && is_opening(chart->sections[chart->form[first]].name))
    first++;
  while (end > first && is_ending(chart->sections[chart->form[end - 1]].name))
    end--;
  if (first == end) {
    first = 0;
    end = chart->form_count;
  }
  report->form_first = first;
  report->form_end = end;
  report->first = starts[first];
  report->end = starts[end];
  size_t last = starts[end - 1];
  uint32_t first_bar = song->slots[last].bar > 0 ? song->slots[last].bar : 1; /* a pick-up is no bar of it */
  report->last_section_bars = song->slots[report->end - 1].bar - first_bar + 1;
  return GLN_OK;
}

/* ---- what each part is joined to --------------------------------------------------------------------------------------- */

static const GlnChord *chord_at(const FrameReport *report, size_t slot) {
  return &report->arrangement.song->slots[slot].event->chord;
}

static void join_before(FrameReport *report, size_t end, FramePart *part) {
  for (size_t i = end; i > report->first && part->before == NULL; i--)
    if (!chord_at(report, i - 1)->silent) {
      part->before = &report->arrangement.song->slots[i - 1];
      part->before_grip = &report->arrangement.line->slots[i - 1].grip;
      part->place.before = chord_at(report, i - 1);
    }
}

/* The first chord of a whole bar. */
static void join_goal(FrameReport *report, FramePart *part) {
  for (size_t i = report->first; i < report->end && part->goal == NULL; i++)
    if (!chord_at(report, i)->silent && report->arrangement.song->slots[i].bar > 0) {
      part->goal = &report->arrangement.song->slots[i];
      part->goal_grip = &report->arrangement.line->slots[i].grip;
      part->place.goal = chord_at(report, i);
    }
}

static GlnStatus keep_there(const FrameReport *report, size_t first, size_t end, GlnArena *arena,
                            FramePart *part) {
  const GlnChord **there = GLN_NEW(arena, const GlnChord *, end - first);
  if (there == NULL)
    return GLN_MEMORY;
  for (size_t i = first; i < end; i++)
    if (!chord_at(report, i)->silent)
      there[part->place.there_count++] = chord_at(report, i);
  part->place.there = there;
  return GLN_OK;
}

static GlnStatus keep_phrase(const FrameReport *report, GlnArena *arena, GlnFramePlace *place) {
  const GlnSong *song = report->arrangement.song;
  uint32_t last = song->slots[report->end - 1].bar;
  size_t first = report->end;
  while (first > report->first && song->slots[first - 1].bar + PHRASE_BARS > last)
    first--;
  const GlnChord **chords = GLN_NEW(arena, const GlnChord *, report->end - first);
  uint8_t *bars = GLN_NEW(arena, uint8_t, report->end - first);
  if (chords == NULL || bars == NULL)
    return GLN_MEMORY;
  for (size_t i = first; i < report->end; i++) {
    if (chord_at(report, i)->silent)
      continue;
    chords[place->phrase_count] = chord_at(report, i);
    bars[place->phrase_count++] = (uint8_t)(last - song->slots[i].bar + 1);
  }
  place->phrase = chords;
  place->phrase_bar = bars;
  return GLN_OK;
}

/* The key heard at a slot; where none is clear the chart's own, else the nearest that is clear. */
static bool find_key(const FrameReport *report, size_t slot, GlnKey *key) {
  const GlnAnalysis *analysis = report->analysis;
  const GlnChart *chart = report->arrangement.chart;
  bool found = chart->has_key;
  *key = chart->key;
  size_t nearest = SIZE_MAX;
  for (size_t r = 0; r < analysis->region_count; r++) {
    const GlnRegion *region = &analysis->regions[r];
    if (!region->clear)
      continue;
    bool inside = slot >= region->first && slot < region->first + region->count;
    size_t far = inside ? 0 : slot < region->first ? region->first - slot : slot - region->first;
    if (far >= nearest || (chart->has_key && !inside))
      continue;
    nearest = far;
    *key = region->key;
    found = true;
  }
  return found;
}

/* Does the home chord carry a seventh as colour, most of the time? */
static bool is_blues(const FrameReport *report, GlnKey key) {
  double home = 0, seventh = 0;
  for (size_t i = report->first; i < report->end; i++) {
    const GlnChord *chord = chord_at(report, i);
    if (chord->silent || gln_note_pitch_class(chord->root) != gln_note_pitch_class(key.tonic))
      continue;
    double quarters = gln_ratio_value(report->steps[i].quarters);
    home += quarters;
    seventh += gln_chord_class(chord) == GLN_CLASS_DOMINANT ? quarters : 0;
  }
  return home > 0 && 2 * seventh > home;
}

static size_t slot_of_bar(const FrameReport *report, uint32_t bar) {
  size_t slot = report->first;
  while (slot < report->end && report->arrangement.song->slots[slot].bar < bar)
    slot++;
  return slot;
}

static GlnStatus join_part(GlnJob *job, FrameReport *report, FramePart *part) {
  const GlnSong *song = report->arrangement.song;
  uint32_t last_bar = song->slots[report->end - 1].bar;
  size_t turn = slot_of_bar(report, last_bar + 1 > TURNAROUND_BARS ? last_bar + 1 - TURNAROUND_BARS : 0);
  switch (part->kind) {
  case GLN_FRAME_OPENING:
    join_goal(report, part);
    GLN_TRY(keep_phrase(report, job->arena, &part->place));
    return keep_there(report, 0, report->first, job->arena, part);
  case GLN_FRAME_TURNAROUND:
    join_goal(report, part);
    join_before(report, turn, part);
    return keep_there(report, turn, report->end, job->arena, part);
  case GLN_FRAME_ENDING:
  case GLN_FRAME_KIND_COUNT:
    break;
  }
  join_before(report, report->end, part);
  return keep_there(report, song->slot_count > THERE_MAX ? song->slot_count - THERE_MAX : 0, song->slot_count,
                    job->arena, part);
}

static GlnStatus place_part(GlnJob *job, FrameReport *report, FramePart *part) {
  GLN_TRY(join_part(job, report, part));
  size_t at = part->goal != NULL ? (size_t)(part->goal - report->arrangement.song->slots) : report->end - 1;
  if (!find_key(report, at, &part->place.key))
    return gln_job_complain(job, GLN_INPUT, "write key: into it",
                            "the chart names no key and its chords make none clear");
  part->place.style = gln_frame_style(report->steps + report->first, report->end - report->first);
  part->place.blues = is_blues(report, part->place.key);
  return GLN_OK;
}

/* ---- bars ------------------------------------------------------------------------------------------------------------------ */

/* Chords share a bar by whole beats, the first ones the longer; evenly where there are more chords than beats. */
GlnStatus gln_frame_bars(const GlnFrame *frame, GlnMeter meter, GlnArena *arena, GlnBar **bars) {
  *bars = GLN_NEW(arena, GlnBar, frame->bar_count);
  if (*bars == NULL)
    return GLN_MEMORY;
  GlnRatio whole = gln_ratio(meter.beats, 1);
  int counts = gln_meter_counts(meter);
  for (size_t i = 0; i < frame->chord_count;) {
    size_t in_bar = 0;
    while (i + in_bar < frame->chord_count && frame->chords[i + in_bar].bar == frame->chords[i].bar)
      in_bar++;
    GlnBar *bar = &(*bars)[frame->chords[i].bar];
    *bar = (GlnBar){.events = GLN_NEW(arena, GlnEvent, in_bar),
                    .event_count = in_bar,
                    .meter = meter,
                    .beats = whole,
                    .line_starts = frame->chords[i].bar % 4 == 0};
    if (bar->events == NULL)
      return GLN_MEMORY;
    GlnRatio at = gln_ratio(0, 1);
    for (size_t c = 0; c < in_bar; c++) {
      char symbol[GLN_SYMBOL_TEXT_MAX];
      size_t length = gln_chord_print(&frame->chords[i + c].chord, GLN_SIGNS_ASCII, symbol);
      const char *copy = gln_text_copy(arena, (GlnText){symbol, length});
      if (copy == NULL)
        return GLN_MEMORY;
      bool evenly = in_bar > (size_t)counts;
      int64_t share = evenly ? 1 : counts / (int64_t)in_bar + ((size_t)counts % in_bar > c ? 1 : 0);
      GlnRatio beats = gln_ratio_multiply(whole, gln_ratio(share, evenly ? (int64_t)in_bar : counts));
      bar->events[c] = (GlnEvent){
          .symbol = {copy, length}, .chord = frame->chords[i + c].chord, .beat = at, .beats = beats};
      at = gln_ratio_add(at, beats);
    }
    i += in_bar;
  }
  return GLN_OK;
}

/* ---- the voiced line ---------------------------------------------------------------------------------------------------------- */

/* A bar that holds one chord with the grip it has in the song. */
static GlnStatus make_pinned_bar(const FrameReport *report, const GlnSlot *slot, const GlnGrip *grip,
                                 GlnArena *arena, GlnBar *bar) {
  GlnMeter meter = report->arrangement.chart->meter;
  *bar = (GlnBar){.events = GLN_NEW(arena, GlnEvent, 1),
                  .event_count = 1,
                  .meter = meter,
                  .beats = gln_ratio(meter.beats, 1)};
  if (bar->events == NULL)
    return GLN_MEMORY;
  bar->events[0] = (GlnEvent){.symbol = slot->event->symbol,
                              .chord = slot->event->chord,
                              .pin = gln_frets_text(grip, arena),
                              .beat = gln_ratio(0, 1),
                              .beats = bar->beats};
  return GLN_OK;
}

/* The frame between the song's own chords beside it, which keep their grips: a line as short as that. */
static GlnStatus voice(const FrameReport *report, const FramePart *part, const GlnFrame *frame,
                       GlnArena *arena, GlnGrip **grips) {
  const GlnChart *chart = report->arrangement.chart;
  GlnBar *bars = NULL, *all = GLN_NEW(arena, GlnBar, frame->bar_count + 2);
  uint16_t form = 0;
  size_t count = 0, lead = part->before != NULL ? 1 : 0;
  *grips = NULL;
  GLN_TRY(gln_frame_bars(frame, chart->meter, arena, &bars));
  if (all == NULL)
    return GLN_MEMORY;
  if (part->before != NULL)
    GLN_TRY(make_pinned_bar(report, part->before, part->before_grip, arena, &all[count++]));
  for (int b = 0; b < frame->bar_count; b++)
    all[count++] = bars[b];
  if (part->goal != NULL)
    GLN_TRY(make_pinned_bar(report, part->goal, part->goal_grip, arena, &all[count++]));
  GlnSection section = {.bars = all, .bar_count = count};
  GlnChart piece = {.sections = &section,
                    .section_count = 1,
                    .form = &form,
                    .form_count = 1,
                    .meter = chart->meter,
                    .tempo = chart->tempo};
  GlnDiags unheard = gln_diags(arena);
  GlnSong *song = NULL;
  GlnLine *line = NULL;
  GLN_TRY(gln_song_play(&piece, arena, &unheard, &song));
  GlnStatus status = gln_line_solve(song, &report->arrangement.options, arena, &unheard, &line);
  if (status == GLN_INPUT || status == GLN_LIMIT)
    return GLN_OK; /* no grip for one of its chords: shown without */
  GLN_TRY(status);
  *grips = GLN_NEW(arena, GlnGrip, frame->chord_count);
  if (*grips == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < frame->chord_count; i++)
    (*grips)[i] = line->slots[lead + i].grip;
  return GLN_OK;
}

static GlnStatus fill_part(GlnJob *job, FrameReport *report, FramePart *part) {
  GLN_TRY(place_part(job, report, part));
  GLN_TRY(gln_frames_find(part->kind, &part->place, job->arena, &part->frames));
  if (part->kind == GLN_FRAME_TURNAROUND && report->last_section_bars <= TURNAROUND_BARS)
    part->frames.count = 0;
  part->grips = GLN_NEW(job->arena, GlnGrip *, part->frames.count);
  if (part->grips == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < part->frames.count; i++)
    GLN_TRY(voice(report, part, &part->frames.items[i], job->arena, &part->grips[i]));
  return GLN_OK;
}

/* ---- what is chosen --------------------------------------------------------------------------------------------------------------- */

static const GlnFrame *best_of(const FramePart *part) {
  for (size_t i = 0; i < part->frames.count; i++)
    if (!part->frames.items[i].in_chart)
      return &part->frames.items[i];
  return NULL;
}

static GlnStatus choose(GlnJob *job, FrameReport *report, GlnText word) {
  size_t equal = gln_text_find(word, GLN_TEXT("="), 0);
  GlnText kind = gln_text_trim(gln_text_slice(word, 0, equal));
  GlnText name = gln_text_trim(gln_text_from(word, equal + 1));
  for (int k = 0; k < GLN_FRAME_KIND_COUNT; k++) {
    FramePart *part = &report->parts[k];
    if (!gln_text_equal(kind, gln_text(kind_keys[k])))
      continue;
    part->chosen = gln_text_equal(name, GLN_TEXT("best")) ? best_of(part) : NULL;
    for (size_t i = 0; i < part->frames.count && part->chosen == NULL; i++)
      if (gln_text_equal(name, gln_text(part->frames.items[i].name)))
        part->chosen = &part->frames.items[i];
    return part->chosen != NULL
               ? GLN_OK
               : gln_job_complain(job, GLN_INPUT, "gripline frame --all names those there are",
                                  "--apply: no %s for this song is called \"%.*s\"", kind_keys[k],
                                  (int)name.length, name.at);
  }
  return gln_job_complain(job, GLN_USAGE,
                          "write opening=NAME, turnaround=NAME, ending=NAME, with commas between",
                          "--apply \"%.*s\" names no part and frame", (int)word.length, word.at);
}

static GlnStatus choose_all(GlnJob *job, FrameReport *report) {
  for (GlnText rest = job->arguments.value[GLN_OPT_APPLY].text; rest.length > 0;) {
    size_t comma = gln_text_find(rest, GLN_TEXT(","), 0);
    GLN_TRY(choose(job, report, gln_text_slice(rest, 0, comma)));
    rest = gln_text_from(rest, comma + 1);
  }
  return gln_frame_apply(job, report);
}

static GlnStatus fill_report(GlnJob *job, FrameReport *report) {
  GLN_TRY(gln_job_arrange(job, &report->arrangement));
  const GlnSong *song = report->arrangement.song;
  const GlnChart *chart = report->arrangement.chart;
  GLN_TRY(gln_steps_of_song(song, job->arena, &report->steps));
  GLN_TRY(gln_harmony_analyse(report->steps, song->slot_count, chart->has_key ? &chart->key : NULL,
                              job->arena, &report->analysis));
  if (report->analysis->region_count == 0)
    return gln_job_complain(job, GLN_INPUT, "write its chords first", "no chord sounds in this chart");
  GLN_TRY(find_choruses(report, job->arena));
  for (int k = 0; k < GLN_FRAME_KIND_COUNT; k++) {
    report->parts[k] = (FramePart){.kind = (GlnFrameKind)k};
    GLN_TRY(fill_part(job, report, &report->parts[k]));
  }
  return GLN_OK;
}

GlnStatus gln_run_frame(GlnJob *job) {
  FrameReport report = {.first = 0};
  bool apply = job->arguments.value[GLN_OPT_APPLY].given, json = job->arguments.value[GLN_OPT_JSON].given;
  if (job->arguments.value[GLN_OPT_OUTPUT].given && !apply)
    return gln_job_complain(job, GLN_USAGE, "for example --apply opening=best,ending=tag",
                            "there is no chart to write without --apply");
  GLN_TRY(fill_report(job, &report));
  if (apply)
    GLN_TRY(choose_all(job, &report));
  if (json)
    GLN_TRY(gln_frame_print_json(job, &report));
  GlnBuffer words = gln_buffer(job->arena);
  if (!json)
    GLN_TRY(gln_frame_print(job, &report, apply ? &words : &job->out));
  return apply ? gln_job_deliver_chart(job, report.chart, &words) : GLN_OK;
}
