/* gripline reduce --chords, --level: the same tune on fewer chords, as a chart, and what that costs the ear. */
#include "app_internal.h"

#include <math.h>
#include <stdlib.h>

/* Presets: the chords that may be used, and how many. Design choice, tried on the examples. */
static const struct Level {
  GlnChordLevel level;
  size_t most;
} levels[] = {
    /* as in the table of options */
    {GLN_CHORDS_BEGINNER, 6},
    {GLN_CHORDS_INTERMEDIATE, 10},
    {GLN_CHORDS_FULL, SIZE_MAX},
};

/* Places where one chord becomes one other in the same way. */
typedef struct Change {
  size_t *slots;
  size_t count;
  double points;
  size_t beside; /* the slot whose chord sounds through it, when it is left out; else SIZE_MAX */
} Change;

typedef struct Fewer {
  GlnText name;
  GlnChart *chart;
  GlnSong *song;
  GlnReadings readings;
  GlnChordSong chords;
  GlnFewerChords answer;
  size_t most;
  Change *changes;
  size_t change_count;
  GlnText text; /* the chart on fewer chords */
} Fewer;

/* ---- the song as the harmony room takes it ---------------------------------------------------------------------------- */

static GlnStatus solve(GlnJob *job, Fewer *fewer, GlnChordLevel level) {
  const GlnSong *song = fewer->song;
  uint32_t *groups = GLN_NEW(job->arena, uint32_t, song->slot_count);
  const GlnNote **tops = GLN_NEW(job->arena, const GlnNote *, song->slot_count);
  if (groups == NULL || tops == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < song->slot_count; i++) {
    groups[i] = song->slots[i].written;
    tops[i] = song->slots[i].event->has_top ? &song->slots[i].event->top.note : NULL;
  }
  fewer->chords = (GlnChordSong){.steps = fewer->readings.steps,
                                 .readings = fewer->readings.items,
                                 .count = song->slot_count,
                                 .groups = groups,
                                 .group_count = song->written_count,
                                 .tops = tops};
  GlnStatus status = gln_chords_reduce(&fewer->chords, fewer->most, level, job->arena, &fewer->answer);
  return status == GLN_INPUT
             ? gln_job_complain(job, status, "write its chords first", "no chord sounds in this chart")
             : status;
}

static const GlnChord *old_chord(const Fewer *fewer, size_t slot) {
  return &fewer->song->slots[slot].event->chord;
}

static bool stays(const Fewer *fewer, size_t slot) {
  return fewer->answer.chord_of[slot] == NULL ||
         gln_chord_equal(fewer->answer.chord_of[slot], old_chord(fewer, slot));
}

static bool keeps_root(const Fewer *fewer, size_t slot) {
  return gln_note_pitch_class(old_chord(fewer, slot)->root) ==
         gln_note_pitch_class(fewer->answer.chord_of[slot]->root);
}

static bool sounds_through(const Fewer *fewer, size_t from, size_t slot) {
  return fewer->answer.chord_of[from] != NULL &&
         gln_chord_equal(fewer->answer.chord_of[from], fewer->answer.chord_of[slot]) &&
         (keeps_root(fewer, from) || gln_chord_leads_on(&fewer->readings.items[slot]));
}

/* The slot beside it whose chord sounds through this one, which is left out. */
static size_t beside(const Fewer *fewer, size_t slot) {
  if (keeps_root(fewer, slot))
    return SIZE_MAX;
  if (slot > 0 && sounds_through(fewer, slot - 1, slot))
    return slot - 1;
  return slot + 1 < fewer->song->slot_count && sounds_through(fewer, slot + 1, slot) ? slot + 1 : SIZE_MAX;
}

static bool same_change(const Fewer *fewer, const Change *change, size_t slot, size_t side) {
  size_t first = change->slots[0];
  if (!gln_chord_equal(old_chord(fewer, first), old_chord(fewer, slot)) ||
      !gln_chord_equal(fewer->answer.chord_of[first], fewer->answer.chord_of[slot]) ||
      (change->beside == SIZE_MAX) != (side == SIZE_MAX) ||
      fewer->readings.items[first].function != fewer->readings.items[slot].function)
    return false;
  return side == SIZE_MAX || (change->beside < first) == (side < slot);
}

static int by_points(const void *left, const void *right) {
  const Change *a = left, *b = right;
  if (a->points < b->points || a->points > b->points)
    return a->points < b->points ? -1 : 1;
  return a->slots[0] < b->slots[0] ? -1 : a->slots[0] > b->slots[0];
}

static GlnStatus find_changes(Fewer *fewer, GlnArena *arena) {
  size_t count = fewer->song->slot_count;
  fewer->changes = GLN_NEW(arena, Change, count);
  if (fewer->changes == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < count; i++) {
    if (stays(fewer, i))
      continue;
    size_t side = beside(fewer, i), k = 0;
    while (k < fewer->change_count && !same_change(fewer, &fewer->changes[k], i, side))
      k++;
    Change *change = &fewer->changes[k];
    if (k == fewer->change_count) {
      *change = (Change){.slots = GLN_NEW(arena, size_t, count - i), .beside = side};
      if (change->slots == NULL)
        return GLN_MEMORY;
      fewer->change_count++;
    }
    change->slots[change->count++] = i;
    change->points += fewer->answer.points_of[i];
  }
  qsort(fewer->changes, fewer->change_count, sizeof *fewer->changes, by_points);
  return GLN_OK;
}

/* ---- the chart on fewer chords ------------------------------------------------------------------------------------------- */

static GlnStatus rename_event(GlnEvent *event, const GlnChord *chord, GlnArena *arena) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  size_t length = gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
  const char *copy = gln_text_copy(arena, (GlnText){symbol, length});
  event->chord = *chord;
  event->symbol = (GlnText){copy, length};
  event->pin = (GlnText){NULL, 0};
  event->has_top = event->has_top && gln_top_effect(chord, event->top.note) == GLN_TOP_IN_CHORD;
  return copy != NULL ? GLN_OK : GLN_MEMORY;
}

/* Neighbours in a bar that became one chord are written as one. */
static void join_events(GlnBar *bar) {
  size_t made = 0;
  for (size_t e = 0; e < bar->event_count; e++) {
    GlnEvent *last = made > 0 ? &bar->events[made - 1] : NULL, *event = &bar->events[e];
    if (last != NULL && !last->chord.silent && gln_chord_equal(&last->chord, &event->chord) &&
        !event->has_top && event->pin.length == 0)
      last->beats = gln_ratio_add(last->beats, event->beats);
    else
      bar->events[made++] = *event;
  }
  bar->event_count = made;
}

/* In the copy, the event that a slot plays. */
static GlnEvent *event_of(const Fewer *fewer, GlnChart *copy, const GlnSlot *slot) {
  const GlnBar *bar = &fewer->chart->sections[slot->section].bars[slot->written_bar];
  size_t index = (size_t)(slot->event - bar->events);
  return &copy->sections[slot->section].bars[slot->written_bar].events[index];
}

static GlnStatus write_chart(GlnJob *job, Fewer *fewer) {
  GlnDiags diags = gln_diags(job->arena);
  GlnChart *copy = NULL;
  GLN_TRY(gln_chart_read(fewer->chart->source, job->arena, &diags, &copy));
  for (size_t i = 0; i < fewer->song->slot_count; i++)
    if (!stays(fewer, i))
      GLN_TRY(
          rename_event(event_of(fewer, copy, &fewer->song->slots[i]), fewer->answer.chord_of[i], job->arena));
  for (size_t s = 0; s < copy->section_count; s++)
    for (size_t b = 0; b < copy->sections[s].bar_count; b++) {
      GlnBar *bar = &copy->sections[s].bars[b];
      /* A bar written as % may share the events of the bar before. */
      bool shared = b > 0 && bar->events == copy->sections[s].bars[b - 1].events;
      if (shared)
        bar->event_count = copy->sections[s].bars[b - 1].event_count;
      else
        join_events(bar);
    }
  GlnBuffer out = gln_buffer(job->arena);
  GLN_TRY(gln_chart_write(copy, &out));
  fewer->text = gln_buffer_text(&out);
  return GLN_OK;
}

/* ---- in words ---------------------------------------------------------------------------------------------------------------- */

static void add_symbol(const GlnChord *chord, GlnBuffer *out) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
  gln_buffer_add_string(out, symbol);
}

/* "Eb, Bb and C": tones of the chord that the other lacks; returns how many. */
static size_t add_tones_without(const GlnChord *chord, const GlnChord *other, GlnBuffer *out) {
  unsigned wanted = (unsigned)gln_chord_pitch_classes(chord) & ~(unsigned)gln_chord_pitch_classes(other);
  size_t count = (size_t)gln_bit_count(wanted), added = 0;
  for (int t = 0; t < chord->tone_count && added < count; t++) {
    unsigned bit = 1u << chord->tones[t].pitch_class;
    if ((wanted & bit) == 0)
      continue;
    wanted &= ~bit;
    char note[GLN_NOTE_TEXT_MAX];
    (void)gln_note_print(chord->tones[t].note, GLN_SIGNS_ASCII, note);
    gln_buffer_add_string(out, added == 0 ? "" : added + 1 == count ? " and " : ", ");
    gln_buffer_add_string(out, note);
    added++;
  }
  return count;
}

static GlnStatus add_cost_words(const Fewer *fewer, const Change *change, GlnArena *arena, GlnBuffer *out) {
  size_t slot = change->slots[0];
  const GlnChord *old = old_chord(fewer, slot), *new = fewer->answer.chord_of[slot];
  const GlnReading *reading = &fewer->readings.items[slot];
  if (change->beside != SIZE_MAX) {
    gln_buffer_add_string(out, "left out, ");
    add_symbol(new, out);
    gln_buffer_add_string(out, change->beside < slot ? " goes on" : " comes early");
    if (reading->role == GLN_PLACE_PASSING_DIM || reading->role == GLN_PLACE_CHROMATIC)
      gln_buffer_add_string(out, "; the step in the bass is gone");
    else if (reading->function == GLN_FUNCTION_DOMINANT)
      gln_buffer_add_string(out, "; the pull into the next chord is gone");
    return GLN_OK;
  }
  GlnBuffer lost = gln_buffer(arena), fresh = gln_buffer(arena);
  GlnReading there;
  GLN_TRY(gln_reading_in_place(&fewer->chords, slot, new, arena, &there));
  add_symbol(new, out);
  gln_buffer_add_string(out, " instead: ");
  if (there.function != reading->function)
    gln_buffer_format(out, "%s in place of %s",
                      there.function == GLN_FUNCTION_NONE ? "a colour" : gln_function_words(there.function),
                      reading->function == GLN_FUNCTION_NONE ? "a passing chord"
                                                             : gln_function_words(reading->function));
  else
    gln_buffer_add_string(out, gln_same_goal(reading, &there) ? "the same job"
                                                              : "the same function, to another chord");
  size_t count = add_tones_without(old, new, &lost);
  if (count > 0) {
    gln_buffer_add_string(out, ", without ");
    gln_buffer_add(out, gln_buffer_text(&lost));
  }
  if (add_tones_without(new, old, &fresh) > 0) {
    gln_buffer_add_string(out, ", with ");
    gln_buffer_add(out, gln_buffer_text(&fresh));
  }
  if (gln_note_pitch_class(old->bass) != gln_note_pitch_class(new->bass))
    gln_buffer_add_string(out, "; the bass line changes");
  return GLN_OK;
}

#define BARS_NAMED ((size_t)6)

static void add_bar_list(const Fewer *fewer, const Change *change, GlnBuffer *out) {
  size_t different = 0, named = 0;
  for (size_t k = 0; k < change->count; k++)
    different +=
        k == 0 || fewer->song->slots[change->slots[k]].bar != fewer->song->slots[change->slots[k - 1]].bar;
  gln_buffer_add_string(out, different == 1 ? "bar " : "bars ");
  for (size_t k = 0; k < change->count && named < BARS_NAMED; k++) {
    unsigned bar = (unsigned)fewer->song->slots[change->slots[k]].bar;
    if (k > 0 && bar == (unsigned)fewer->song->slots[change->slots[k - 1]].bar)
      continue;
    named++;
    gln_buffer_format(out, "%s%u", named == 1 ? "" : named == different ? " and " : ", ", bar);
  }
  if (different > named)
    gln_buffer_format(out, " and %zu more", different - named);
}

/* "Eb13 (bars 6, 14 and 30): A7 instead: the same job, without …" */
static GlnStatus add_change_words(const Fewer *fewer, const Change *change, GlnArena *arena, GlnBuffer *out) {
  add_symbol(old_chord(fewer, change->slots[0]), out);
  gln_buffer_add_string(out, " (");
  add_bar_list(fewer, change, out);
  gln_buffer_add_string(out, "): ");
  return add_cost_words(fewer, change, arena, out);
}

static size_t count_chords(const Fewer *fewer, bool before) {
  size_t count = 0;
  for (size_t i = 0; i < fewer->song->slot_count; i++) {
    const GlnChord *chord = before ? old_chord(fewer, i) : fewer->answer.chord_of[i];
    bool known = chord == NULL || chord->silent;
    for (size_t k = 0; k < i && !known; k++) {
      const GlnChord *other = before ? old_chord(fewer, k) : fewer->answer.chord_of[k];
      known = other != NULL && gln_chord_equal(chord, other);
    }
    count += known ? 0 : 1;
  }
  return count;
}

static bool is_exact(const GlnFewerChords *answer) {
  return answer->bound >= answer->loss - 1e-6;
}

static void add_sum(const Fewer *fewer, GlnBuffer *out) {
  size_t before = count_chords(fewer, true), after = count_chords(fewer, false);
  gln_buffer_format(out, "%zu chord%s in place of %zu. Harmonic loss: ", after, after == 1 ? "" : "s",
                    before);
  gln_buffer_add_number(out, fewer->answer.loss, 1);
  gln_buffer_add_string(out, " points over ");
  gln_buffer_format(out, "%zu bar%s. ", fewer->song->bar_count, fewer->song->bar_count == 1 ? "" : "s");
  if (is_exact(&fewer->answer)) {
    gln_buffer_add_string(out, "Proved: no choice of so few chords loses less.");
  } else {
    gln_buffer_add_string(out, "Proved: so few chords lose at least ");
    gln_buffer_add_number(out, floor(10 * fewer->answer.bound) / 10, 1);
    gln_buffer_add_string(out, ".");
  }
}

static GlnStatus print_words(const GlnJob *job, const Fewer *fewer, GlnBuffer *out) {
  GlnBuffer sum = gln_buffer(job->arena);
  gln_add_unclear_key_words(&fewer->readings, &sum);
  add_sum(fewer, &sum);
  gln_add_wrapped(out, gln_buffer_text(&sum), 0, 2, job->app->columns);
  gln_buffer_add_byte(out, '\n');
  for (size_t k = 0; k < fewer->change_count; k++) {
    GlnBuffer words = gln_buffer(job->arena);
    gln_buffer_add_number(&words, fewer->changes[k].points, 1);
    gln_buffer_add_string(&words, "  ");
    GLN_TRY(add_change_words(fewer, &fewer->changes[k], job->arena, &words));
    gln_add_wrapped(out, gln_buffer_text(&words), 0, 5, job->app->columns);
    gln_buffer_add_byte(out, '\n');
  }
  return gln_buffer_status(out);
}

/* ---- for programs -------------------------------------------------------------------------------------------------------------- */

static GlnStatus add_change_json(GlnJson *json, const Fewer *fewer, const Change *change, GlnArena *arena) {
  GlnBuffer words = gln_buffer(arena), chord = gln_buffer(arena), becomes = gln_buffer(arena);
  GLN_TRY(add_change_words(fewer, change, arena, &words));
  add_symbol(old_chord(fewer, change->slots[0]), &chord);
  add_symbol(fewer->answer.chord_of[change->slots[0]], &becomes);
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "words", gln_buffer_text(&words));
  gln_json_add_text(json, "chord", gln_buffer_text(&chord));
  gln_json_add_text(json, "becomes", gln_buffer_text(&becomes));
  gln_json_add_boolean(json, "left_out", change->beside != SIZE_MAX);
  gln_json_add_number(json, "points", change->points, 4);
  gln_json_open_array(json, "bars");
  for (size_t k = 0; k < change->count; k++)
    gln_json_add_integer(json, NULL, fewer->song->slots[change->slots[k]].bar);
  gln_json_close(json);
  gln_json_close(json);
  return GLN_OK;
}

static GlnStatus fill_json(GlnJob *job, GlnJson *json, const Fewer *fewer) {
  GlnArrangement arrangement;
  GlnArrangementWish wish = {.has_tuning = false};
  GlnDiags diags = gln_diags(job->arena);
  GLN_TRY(gln_job_read_wish(job, &wish));
  GlnStatus status = gln_arrangement_make(fewer->name, fewer->text, &wish, job->arena, &diags, &arrangement);
  if (status != GLN_OK) {
    gln_job_show_diags(job, &diags, fewer->name, fewer->text);
    return status;
  }
  gln_add_arrangement_json(json, &arrangement, job->arena);
  gln_json_add_integer(json, "distinct_chords", (long long)count_chords(fewer, false));
  gln_json_open_object(json, "loss");
  gln_json_add_number(json, "points", fewer->answer.loss, 4);
  gln_json_open_array(json, "changes");
  for (size_t k = 0; k < fewer->change_count; k++)
    GLN_TRY(add_change_json(json, fewer, &fewer->changes[k], job->arena));
  gln_json_close(json);
  gln_json_close(json);
  gln_json_open_object(json, "bound");
  gln_json_add_number(json, "points", fewer->answer.bound, 4);
  gln_json_add_boolean(json, "exact", is_exact(&fewer->answer));
  gln_json_close(json);
  gln_json_add_text(json, "chart", fewer->text);
  return GLN_OK;
}

static GlnStatus print_json(GlnJob *job, const Fewer *fewer) {
  GlnJson *json = gln_json_new(job->arena, "reduce");
  if (json == NULL)
    return GLN_MEMORY;
  GlnStatus status = fill_json(job, json, fewer);
  status = status == GLN_OK ? gln_json_write(json, &job->out) : status;
  gln_json_free(json);
  return status;
}

static GlnStatus read_song(GlnJob *job, Fewer *fewer) {
  GlnText source;
  GLN_TRY(gln_job_read_source(job, &fewer->name, &source));
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = gln_chart_read(source, job->arena, &diags, &fewer->chart);
  if (status == GLN_OK)
    status = gln_song_play(fewer->chart, job->arena, &diags, &fewer->song);
  gln_job_show_diags(job, &diags, fewer->name, source);
  GLN_TRY(status);
  return gln_readings_of_song(fewer->song, job->arena, &fewer->readings);
}

GlnStatus gln_reduce_chords(GlnJob *job) {
  const GlnValue *value = job->arguments.value;
  const struct Level *level =
      &levels[value[GLN_OPT_CHORD_LEVEL].given ? value[GLN_OPT_CHORD_LEVEL].choice : GLN_CHORDS_FULL];
  Fewer fewer = {.most = value[GLN_OPT_CHORDS].given ? (size_t)value[GLN_OPT_CHORDS].number : level->most};
  GLN_TRY(read_song(job, &fewer));
  GLN_TRY(solve(job, &fewer, level->level));
  GLN_TRY(find_changes(&fewer, job->arena));
  GLN_TRY(write_chart(job, &fewer));
  GlnBuffer words = gln_buffer(job->arena);
  GLN_TRY(value[GLN_OPT_JSON].given ? print_json(job, &fewer) : print_words(job, &fewer, &words));
  return gln_job_deliver_chart(job, fewer.text, &words);
}
