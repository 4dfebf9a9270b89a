/* What gripline standins says, for people and for programs. */
#include "standins_internal.h"

#include <math.h>

static GlnText print_chord(const GlnChord *chord, GlnArena *arena) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
  const char *copy = gln_text_copy(arena, gln_text(symbol));
  return gln_text(copy);
}

/* "Dm7 G7": all that sounds in the slot. */
static void add_played(const Report *report, size_t step, const Offer *offer, GlnArena *arena,
                       GlnBuffer *out) {
  GlnText old = print_chord(report->read.steps[step].chord, arena);
  if (offer->standin.where == GLN_STANDIN_AFTER) {
    gln_buffer_add(out, old);
    gln_buffer_add_byte(out, ' ');
  }
  gln_buffer_add(out, print_chord(&offer->standin.chord, arena));
  if (offer->standin.where == GLN_STANDIN_BEFORE) {
    gln_buffer_add_byte(out, ' ');
    gln_buffer_add(out, old);
  }
}

static const char *top_key(const Offer *offer) {
  switch (offer->top) {
  case GLN_TOP_IN_CHORD:
    return "in-chord";
  case GLN_TOP_TENSION:
    return "tension";
  case GLN_TOP_CLASH:
    return "clash";
  }
  return "";
}

/* ---- for programs ------------------------------------------------------------------------------------------------ */

static const char *where_key(GlnStandinWhere where) {
  return where == GLN_STANDIN_INSTEAD ? "instead" : where == GLN_STANDIN_BEFORE ? "before" : "after";
}

static void add_offer_json(GlnJson *json, const Report *report, size_t step, const Offer *offer,
                           GlnArena *arena) {
  GlnBuffer played = gln_buffer(arena);
  add_played(report, step, offer, arena, &played);
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "for", print_chord(report->read.steps[step].chord, arena));
  gln_json_add_text(json, "chord", print_chord(&offer->standin.chord, arena));
  gln_json_add_text(json, "where", gln_text(where_key(offer->standin.where)));
  gln_json_add_text(json, "play", gln_buffer_text(&played));
  gln_json_add_text(json, "kind", gln_text(gln_standin_key(offer->standin.kind)));
  gln_json_add_text(json, "reason", offer->standin.reason);
  gln_json_open_object(json, "distance");
  gln_json_add_integer(json, "pitch_space", offer->standin.pitch_space);
  gln_json_add_integer(json, "voice_leading", offer->leading);
  gln_json_close(json);
  if (offer->has_top)
    gln_json_add_text(json, "top", gln_text(top_key(offer)));
  else
    gln_json_add_null(json, "top");
  if (offer->has_grip)
    gln_json_add_text(json, "frets", gln_frets_text(&offer->grip, arena));
  else
    gln_json_add_null(json, "frets");
  gln_json_close(json);
}

static void add_member_json(GlnJson *json, const Report *report, size_t step, GlnArena *arena) {
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "chord", print_chord(report->read.steps[step].chord, arena));
  gln_json_add_integer(json, "slot", (long long)step);
  gln_json_add_text(json, "roman", gln_text(report->read.items[step].roman));
  gln_json_close(json);
}

static void add_family_json(GlnJson *json, const Report *report, const GlnChordFamily *family,
                            GlnArena *arena) {
  char key[GLN_KEY_TEXT_MAX];
  (void)gln_key_print(family->key, GLN_SIGNS_ASCII, key);
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "key", gln_text(key));
  gln_json_add_text(json, "function", gln_text(gln_function_words(family->function)));
  gln_json_add_text(json, "target", gln_text(family->target));
  gln_json_open_array(json, "members");
  for (size_t m = 0; m < family->member_count; m++)
    add_member_json(json, report, family->members[m], arena);
  gln_json_close(json);
  gln_json_open_array(json, "standins");
  for (size_t m = 0; m < family->member_count; m++)
    for (size_t i = 0; i < report->offers[family->members[m]].count; i++)
      add_offer_json(json, report, family->members[m], &report->offers[family->members[m]].items[i], arena);
  gln_json_close(json);
  gln_json_close(json);
}

static void add_line_json(GlnJson *json, const char *name, const GlnLine *line) {
  gln_json_open_object(json, name);
  gln_json_add_number(json, "total", line->total, 3);
  gln_json_add_integer(json, "distinct_grips", (long long)line->distinct_count);
  if (isfinite(line->highest_tempo))
    gln_json_add_number(json, "highest_tempo", line->highest_tempo, 1);
  else
    gln_json_add_null(json, "highest_tempo");
  gln_json_close(json);
}

static void add_trial_json(GlnJson *json, const Trial *trial) {
  gln_json_open_object(json, "trial");
  gln_json_add_integer(json, "slot", (long long)trial->slot);
  gln_json_add_text(json, "old", trial->old_symbol);
  gln_json_add_text(json, "chord", trial->symbols);
  gln_json_add_text(json, "reason", trial->reason);
  gln_json_add_integer(json, "places", (long long)trial->places);
  gln_json_add_boolean(json, "top_dropped", trial->top_dropped);
  add_line_json(json, "before", trial->before);
  add_line_json(json, "after", trial->after);
  gln_json_close(json);
}

GlnStatus gln_standins_print_json(GlnJob *job, const Report *report) {
  GlnJson *json = gln_json_new(job->arena, "standins");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_open_array(json, "families");
  for (size_t f = 0; f < report->families.count; f++)
    add_family_json(json, report, &report->families.items[f], job->arena);
  gln_json_close(json);
  if (report->trial.made)
    add_trial_json(json, &report->trial);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

/* ---- for people ------------------------------------------------------------------------------------------------------ */

static void add_key(GlnBuffer *out, GlnKey key) {
  char note[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(key.tonic, GLN_SIGNS_UNICODE, note);
  gln_buffer_format(out, "%s %s", note, key.minor ? "minor" : "major");
}

static void add_paragraph(const GlnJob *job, GlnText words, size_t indent, GlnBuffer *out) {
  gln_buffer_add_repeated(out, GLN_TEXT(" "), indent);
  gln_add_wrapped(out, words, indent, indent, job->app->columns);
  gln_buffer_add_byte(out, '\n');
}

static void print_family_head(const GlnJob *job, const Report *report, const GlnChordFamily *family,
                              GlnBuffer *out) {
  GlnBuffer head = gln_buffer(job->arena);
  const GlnReading *first = &report->read.items[family->members[0]];
  if (family->function != GLN_FUNCTION_NONE)
    gln_buffer_add_string(&head, gln_function_words(family->function));
  else
    gln_buffer_add_string(&head, first->roman[0] != '\0' ? gln_place_words(first->role) : "outside the key");
  if (family->target[0] != '\0')
    gln_buffer_format(&head, " on the way to %s", family->target);
  gln_buffer_add_string(&head, " in ");
  add_key(&head, family->key);
  gln_buffer_add_string(&head, ": ");
  for (size_t m = 0; m < family->member_count; m++) {
    gln_buffer_add_string(&head, m > 0 ? ", " : "");
    gln_buffer_add(&head, print_chord(report->read.steps[family->members[m]].chord, job->arena));
  }
  gln_buffer_add_byte(out, '\n');
  gln_add_styled(job, out, GLN_STYLE_BOLD, gln_buffer_text(&head));
  gln_buffer_add_byte(out, '\n');
}

static void print_offer(const GlnJob *job, const Report *report, size_t step, const Offer *offer,
                        GlnBuffer *out) {
  GlnBuffer line = gln_buffer(job->arena), words = gln_buffer(job->arena);
  add_played(report, step, offer, job->arena, &line);
  gln_buffer_add_string(out, "    ");
  gln_buffer_add_padded(out, gln_buffer_text(&line), 18);
  gln_buffer_add_byte(out, ' ');
  gln_buffer_add_padded(out, offer->has_grip ? gln_frets_text(&offer->grip, job->arena) : GLN_TEXT("no grip"),
                        15);
  gln_buffer_format(out, " %2d  %2d   %s\n", offer->standin.pitch_space, offer->leading,
                    gln_standin_words(offer->standin.kind));
  gln_buffer_add(&words, offer->standin.reason);
  if (offer->has_top && report->song != NULL) {
    char top[GLN_NOTE_TEXT_MAX];
    (void)gln_note_print(report->song->slots[step].event->top.note, GLN_SIGNS_ASCII, top);
    if (offer->top == GLN_TOP_IN_CHORD)
      gln_buffer_format(&words, " The %s on top stays, a tone of it.", top);
    else if (offer->top == GLN_TOP_TENSION)
      gln_buffer_format(&words, " The %s on top is no tone of it, but can be sung over it.", top);
    else
      gln_buffer_format(&words, " The %s on top clashes: it lies a semitone above a tone of the chord.", top);
  }
  add_paragraph(job, gln_buffer_text(&words), 6, out);
}

static void print_member(const GlnJob *job, const Report *report, size_t step, GlnBuffer *out) {
  const Offers *offers = &report->offers[step];
  GlnBuffer head = gln_buffer(job->arena);
  gln_buffer_add(&head, print_chord(report->read.steps[step].chord, job->arena));
  gln_buffer_format(&head, " (%s)", report->read.items[step].roman);
  if (report->song != NULL) {
    gln_buffer_format(&head, " first in bar %u", (unsigned)report->song->slots[step].bar);
    if (report->line != NULL && !report->line->slots[step].silent) {
      gln_buffer_add_string(&head, ", held ");
      gln_buffer_add(&head, gln_frets_text(&report->line->slots[step].grip, job->arena));
    }
  }
  if (offers->count == 0)
    gln_buffer_add_string(&head, ": no rule has anything for it here");
  add_paragraph(job, gln_buffer_text(&head), 2, out);
  for (size_t i = 0; i < offers->count; i++)
    if (offers->items[i].shown)
      print_offer(job, report, step, &offers->items[i], out);
}

static void print_line_facts(const char *name, const GlnLine *line, GlnBuffer *out) {
  gln_buffer_format(out, "  %-7s effort ", name);
  gln_buffer_add_number(out, line->total, 2);
  gln_buffer_format(out, ", %zu grips", line->distinct_count);
  if (isfinite(line->highest_tempo)) {
    gln_buffer_add_string(out, ", hardest change comfortable up to a tempo of ");
    gln_buffer_add_number(out, floor(line->highest_tempo), 0);
  }
  gln_buffer_add_byte(out, '\n');
}

static void print_around(const GlnLine *line, size_t slot, size_t more, GlnArena *arena, GlnBuffer *out) {
  size_t first = slot > 0 ? slot - 1 : 0;
  gln_buffer_add_string(out, "         ");
  for (size_t i = first; i < line->slot_count && i <= slot + more + 1; i++) {
    gln_buffer_add_string(out, i > first ? "   " : " ");
    gln_buffer_add(out, line->slots[i].slot->event->symbol);
    gln_buffer_add_byte(out, ' ');
    gln_buffer_add(out,
                   line->slots[i].silent ? GLN_TEXT("silent") : gln_frets_text(&line->slots[i].grip, arena));
  }
  gln_buffer_add_byte(out, '\n');
}

static void print_trial(const GlnJob *job, const Report *report, GlnBuffer *out) {
  const Trial *trial = &report->trial;
  const GlnSlot *slot = &report->song->slots[trial->slot];
  gln_buffer_format(out, "bar %u, beat ", (unsigned)slot->bar);
  gln_add_beat(slot->beat, out);
  gln_buffer_add_string(out, ": ");
  gln_buffer_add(out, trial->symbols);
  gln_buffer_add_string(out, " in place of ");
  gln_buffer_add(out, trial->old_symbol);
  if (trial->places > 1)
    gln_buffer_format(out, ", as often as this bar is played (%zu times)", trial->places);
  gln_buffer_add_byte(out, '\n');
  if (trial->reason.length > 0)
    add_paragraph(job, trial->reason, 2, out);
  if (trial->top_dropped)
    add_paragraph(job, GLN_TEXT("The note asked for on top is no tone of it: tried without that wish."), 2,
                  out);
  print_line_facts("before", trial->before, out);
  print_around(trial->before, trial->slot, 0, job->arena, out);
  print_line_facts("after", trial->after, out);
  print_around(trial->after, trial->slot, trial->added, job->arena, out);
}

GlnStatus gln_standins_print(GlnJob *job, const Report *report) {
  GlnBuffer *out = &job->out;
  if (report->title.length > 0) {
    gln_add_styled(job, out, GLN_STYLE_BOLD, report->title);
    gln_buffer_add_byte(out, '\n');
  }
  if (report->trial.made) {
    print_trial(job, report, out);
    return GLN_OK;
  }
  GlnBuffer unclear = gln_buffer(job->arena);
  gln_add_unclear_key_words(&report->read, &unclear);
  if (unclear.length > 0)
    add_paragraph(job, gln_text_trim(gln_buffer_text(&unclear)), 0, out);
  if (report->families.count == 0) {
    gln_buffer_add_string(out, "no chord sounds in this chart: there is nothing to stand in for\n");
    return GLN_OK;
  }
  gln_buffer_add_string(out, "after the frets: distance in tonal pitch space, semitones of voice leading\n");
  for (size_t f = 0; f < report->families.count; f++) {
    print_family_head(job, report, &report->families.items[f], out);
    for (size_t m = 0; m < report->families.items[f].member_count; m++)
      print_member(job, report, report->families.items[f].members[m], out);
  }
  return GLN_OK;
}
