/* gripline explain: keys, functions, Roman numerals, and why they work. */
#include "app_internal.h"

#include <string.h>

/* ---- for programs ------------------------------------------------------------------------------------------------ */

static void add_key_json(GlnJson *json, const char *name, GlnKey key) {
  char text[GLN_KEY_TEXT_MAX];
  (void)gln_key_print(key, GLN_SIGNS_ASCII, text);
  gln_json_add_text(json, name, gln_text(text));
}

static void add_region_json(GlnJson *json, const GlnExplanation *explanation, size_t at) {
  const GlnRegion *region = &explanation->analysis->regions[at], *last = at > 0 ? region - 1 : NULL;
  gln_json_open_object(json, NULL);
  if (region->clear)
    add_key_json(json, "key", region->key);
  else
    gln_json_add_null(json, "key");
  gln_json_add_integer(json, "first", (long long)region->first);
  gln_json_add_integer(json, "last", (long long)(region->first + region->count - 1));
  gln_json_add_integer(json, "first_bar", explanation->song->slots[region->first].bar);
  gln_json_add_integer(json, "last_bar", explanation->song->slots[region->first + region->count - 1].bar);
  gln_json_add_number(json, "score", region->score, 3);
  if (region->pivot != SIZE_MAX)
    gln_json_add_integer(json, "pivot", (long long)region->pivot);
  else
    gln_json_add_null(json, "pivot");
  if (last != NULL && last->clear && region->clear)
    gln_json_add_number(json, "nearness", gln_key_nearness(last->key, region->key), 3);
  else
    gln_json_add_null(json, "nearness");
  gln_json_open_array(json, "alternatives");
  for (size_t a = 0; a < region->alternative_count; a++) {
    gln_json_open_object(json, NULL);
    add_key_json(json, "key", region->alternatives[a].key);
    gln_json_add_number(json, "score", region->alternatives[a].score, 3);
    gln_json_close(json);
  }
  gln_json_close(json);
  gln_json_close(json);
}

static void add_slot_json(GlnJson *json, const GlnExplanation *explanation, size_t i) {
  const GlnSlot *slot = &explanation->song->slots[i];
  const GlnReading *reading = &explanation->analysis->readings[i];
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "section", explanation->chart->sections[slot->section].name);
  gln_json_add_integer(json, "bar", slot->bar);
  gln_json_add_ratio(json, "beat", slot->beat);
  gln_json_add_ratio(json, "beats", slot->beats);
  gln_json_add_text(json, "chord", slot->event->symbol);
  if (reading->roman[0] == '\0') {
    gln_json_add_null(json, "key");
    gln_json_add_null(json, "roman");
    gln_json_add_null(json, "function");
    gln_json_add_null(json, "role");
    gln_json_add_null(json, "reason");
  } else {
    add_key_json(json, "key", reading->key);
    gln_json_add_text(json, "roman", gln_text(reading->roman));
    gln_json_add_text(json, "function", gln_text(gln_function_words(reading->function)));
    gln_json_add_text(json, "role", gln_text(gln_place_key(reading->role)));
    gln_json_add_text(json, "reason", gln_text(reading->reason));
  }
  gln_json_close(json);
}

static void add_note_json(GlnJson *json, const GlnExplanation *explanation, const GlnRemark *remark) {
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "kind", gln_text(gln_remark_key(remark->kind)));
  gln_json_add_text(json, "name", remark->name);
  gln_json_add_integer(json, "first", (long long)remark->first);
  gln_json_add_integer(json, "last", (long long)remark->last);
  gln_json_add_integer(json, "first_bar", explanation->song->slots[remark->first].bar);
  gln_json_add_integer(json, "last_bar", explanation->song->slots[remark->last].bar);
  gln_json_add_text(json, "text", remark->text);
  gln_json_close(json);
}

static void fill_json(GlnJson *json, const GlnExplanation *explanation) {
  const GlnAnalysis *analysis = explanation->analysis;
  gln_json_add_text(json, "title", explanation->chart->title);
  if (explanation->chart->has_key) {
    add_key_json(json, "stated_key", explanation->chart->key);
    gln_json_add_boolean(json, "stated_key_heard", gln_stated_key_is_heard(explanation));
  } else {
    gln_json_add_null(json, "stated_key");
    gln_json_add_null(json, "stated_key_heard");
  }
  gln_json_open_array(json, "regions");
  for (size_t r = 0; r < analysis->region_count; r++)
    add_region_json(json, explanation, r);
  gln_json_close(json);
  gln_json_open_array(json, "slots");
  for (size_t i = 0; i < explanation->song->slot_count; i++)
    add_slot_json(json, explanation, i);
  gln_json_close(json);
  gln_json_open_array(json, "notes");
  for (size_t n = 0; n < explanation->remarks.count; n++)
    add_note_json(json, explanation, &explanation->remarks.items[n]);
  gln_json_close(json);
}

static GlnStatus print_json(GlnJob *job, const GlnExplanation *explanation) {
  GlnJson *json = gln_json_new(job->arena, "explain");
  if (json == NULL)
    return GLN_MEMORY;
  fill_json(json, explanation);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

/* ---- for people: keys ---------------------------------------------------------------------------------------------- */

static void add_key(GlnBuffer *out, GlnKey key) {
  char note[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(key.tonic, GLN_SIGNS_UNICODE, note);
  gln_buffer_format(out, "%s %s", note, key.minor ? "minor" : "major");
}

static void add_region_key(const GlnRegion *region, GlnBuffer *out) {
  if (region->clear)
    add_key(out, region->key);
  else
    gln_buffer_add_string(out, "no clear key");
}

static void add_rival(GlnBuffer *out, GlnKey key, double score) {
  add_key(out, key);
  gln_buffer_add_string(out, " (");
  gln_buffer_add_number(out, score, 1);
  gln_buffer_add_byte(out, ')');
}

/* What else is to be said of a stretch: its pivot, and the keys that fit nearly as well. */
static void add_region_words(const GlnExplanation *explanation, const GlnRegion *region, GlnBuffer *out) {
  if (!region->clear) {
    gln_buffer_add_string(out, "nothing in these chords says where home is");
    return;
  }
  if (region->pivot != SIZE_MAX) {
    const GlnSlot *slot = &explanation->song->slots[region->pivot];
    gln_buffer_add_string(out, "door: ");
    gln_buffer_add(out, slot->event->symbol);
    gln_buffer_format(out, " in bar %u, of both keys", (unsigned)slot->bar);
  }
  if (region->alternative_count == 0)
    return;
  gln_buffer_add_string(out, region->pivot != SIZE_MAX ? "; not certain: " : "not certain: ");
  add_rival(out, region->key, region->score);
  for (size_t a = 0; a < region->alternative_count; a++) {
    gln_buffer_add_string(out, a == 0 ? " against " : ", ");
    add_rival(out, region->alternatives[a].key, region->alternatives[a].score);
  }
  gln_buffer_add_string(out, "; the lower the stronger");
}

static void list_keys(GlnJob *job, const GlnExplanation *explanation) {
  static const char *const heads[] = {"bars", "key", ""};
  const GlnAnalysis *analysis = explanation->analysis;
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  for (size_t r = 0; r < analysis->region_count; r++) {
    const GlnRegion *region = &analysis->regions[r];
    GlnBuffer cell[GLN_COUNT_OF(heads)];
    for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
      cell[c] = gln_buffer(job->arena);
    gln_add_bars(explanation->song, region->first, region->first + region->count, &cell[0]);
    add_region_key(region, &cell[1]);
    add_region_words(explanation, region, &cell[2]);
    for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
      gln_table_cell(&table, &cell[c]);
  }
  gln_table_print(job, &table, &job->out);
}

static void add_head(GlnJob *job, const GlnExplanation *explanation) {
  const GlnChart *chart = explanation->chart;
  if (chart->title.length > 0) {
    gln_add_styled(job, &job->out, GLN_STYLE_BOLD, chart->title);
    gln_buffer_add_string(&job->out, "\n\n");
  }
  if (explanation->analysis->region_count == 0) {
    gln_buffer_add_string(&job->out, "no chord sounds in this chart: there is nothing to explain\n");
    return;
  }
  list_keys(job, explanation);
  if (!chart->has_key || gln_stated_key_is_heard(explanation))
    return;
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_add_string(&words, "the chart says ");
  add_key(&words, chart->key);
  gln_buffer_add_string(&words,
                        ", but no part of it is heard there: see whether key: or a chord is mistyped");
  gln_add_wrapped(&job->out, gln_buffer_text(&words), 0, 2, job->app->columns);
  gln_buffer_add_byte(&job->out, '\n');
}

/* ---- for people: chord by chord -------------------------------------------------------------------------------------- */

typedef struct Listing {
  const GlnJob *job;
  const GlnExplanation *explanation;
  GlnTable table;
  bool *is_new; /* slot by slot: shown, not a return of what was */
} Listing;

static bool same_reading(const void *context, size_t i, size_t j) {
  const GlnExplanation *explanation = context;
  const GlnReading *a = &explanation->analysis->readings[i], *b = &explanation->analysis->readings[j];
  return strcmp(a->roman, b->roman) == 0 && a->function == b->function && a->role == b->role &&
         gln_note_pitch_class(a->key.tonic) == gln_note_pitch_class(b->key.tonic) &&
         a->key.minor == b->key.minor;
}

static void list_slot(Listing *listing, size_t first, size_t i) {
  const GlnSlot *slot = &listing->explanation->song->slots[i];
  const GlnReading *reading = &listing->explanation->analysis->readings[i];
  GlnBuffer cell[6];
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    cell[c] = gln_buffer(listing->job->arena);
  if (i == first || slot[-1].bar != slot->bar)
    gln_buffer_format(&cell[0], "%3u", (unsigned)slot->bar);
  gln_add_beat(slot->beat, &cell[1]);
  gln_buffer_add(&cell[2], slot->event->symbol);
  gln_buffer_add_string(&cell[3], reading->roman);
  if (reading->function != GLN_FUNCTION_NONE)
    gln_buffer_add_string(&cell[4], gln_function_words(reading->function));
  if (reading->roman[0] != '\0' && reading->role != GLN_PLACE_DIATONIC)
    gln_buffer_add_string(&cell[5], gln_place_words(reading->role));
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    gln_table_cell(&listing->table, &cell[c]);
  listing->is_new[i] = true;
}

static const GlnRegion *region_at(const GlnAnalysis *analysis, size_t slot) {
  size_t r = 0;
  while (r + 1 < analysis->region_count && analysis->regions[r + 1].first <= slot)
    r++;
  return &analysis->regions[r];
}

/* "[A] bars 5–12, in F major" */
static void list_heading(Listing *listing, const GlnPassage *passage) {
  const GlnExplanation *explanation = listing->explanation;
  const GlnSong *song = explanation->song;
  GlnText section = explanation->chart->sections[song->slots[passage->first].section].name;
  GlnBuffer heading = gln_buffer(listing->job->arena), blank = gln_buffer(listing->job->arena);
  if (passage->begins_section) {
    gln_table_line(&listing->table, GLN_STYLE_PLAIN, &blank);
    if (section.length > 0) {
      gln_buffer_add_byte(&heading, '[');
      gln_buffer_add(&heading, section);
      gln_buffer_add_string(&heading, "] ");
    }
  }
  size_t end =
      passage->returns || !passage->begins_section ? passage->end : gln_section_end(song, passage->first);
  gln_add_bars(song, passage->first, end, &heading);
  if (passage->returns) {
    gln_buffer_add_string(&heading, ", as ");
    gln_add_bars(song, passage->source_first, passage->source_end, &heading);
  } else if (explanation->analysis->region_count > 0) {
    gln_buffer_add_string(&heading, ", in ");
    add_region_key(region_at(explanation->analysis, passage->first), &heading);
  }
  if (passage->begins_section || passage->returns)
    gln_table_line(&listing->table, passage->begins_section ? GLN_STYLE_BOLD : GLN_STYLE_PLAIN, &heading);
}

static void list_passage(Listing *listing, const GlnPassage *passage) {
  const GlnAnalysis *analysis = listing->explanation->analysis;
  list_heading(listing, passage);
  for (size_t i = passage->first; !passage->returns && i < passage->end; i++) {
    const GlnRegion *region = analysis->region_count > 0 ? region_at(analysis, i) : NULL;
    if (i > passage->first && region != analysis->regions && region != NULL && region->first == i) {
      GlnBuffer words = gln_buffer(listing->job->arena);
      gln_buffer_add_string(&words, "now in ");
      add_region_key(region, &words);
      gln_table_line(&listing->table, GLN_STYLE_BOLD, &words);
    }
    list_slot(listing, passage->first, i);
  }
}

static GlnStatus list_chords(GlnJob *job, Listing *listing) {
  static const char *const heads[] = {"bar", "beat", "chord", "numeral", "function", "role"};
  const GlnSong *song = listing->explanation->song;
  GlnPassage *passages = NULL;
  size_t count = 0;
  GLN_TRY(gln_passages_find(song, same_reading, listing->explanation, job->arena, &passages, &count));
  listing->table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  for (size_t p = 0; p < count; p++)
    list_passage(listing, &passages[p]);
  gln_buffer_add_byte(&job->out, '\n');
  gln_table_print(job, &listing->table, &job->out);
  return GLN_OK;
}

/* ---- for people: the words ------------------------------------------------------------------------------------------- */

#define PLACES_MAX 6 /* so many are listed of one kind; the rest are counted */

/* Bars where something was said, as they are found: "bars 2–3, 7, 12". */
typedef struct Places {
  size_t count;
  unsigned last_from, last_to;
  bool many; /* more than one bar in all */
  GlnBuffer list;
} Places;

static void add_place(Places *places, unsigned from, unsigned to) {
  if (places->count > 0 && places->last_from == from && places->last_to == to)
    return;
  places->last_from = from;
  places->last_to = to;
  places->many = places->count > 0 || from != to;
  if (places->count++ >= PLACES_MAX)
    return;
  gln_buffer_add_string(&places->list, places->count == 1 ? "" : ", ");
  gln_buffer_format(&places->list, from == to ? "%u" : "%u–%u", from, to);
}

static void add_places(const Places *places, GlnBuffer *out) {
  gln_buffer_add_string(out, places->many ? " (bars " : " (bar ");
  gln_buffer_add(out, gln_buffer_text(&places->list));
  if (places->count > PLACES_MAX)
    gln_buffer_format(out, " and %zu more", places->count - PLACES_MAX);
  gln_buffer_add_byte(out, ')');
}

static void print_note(GlnJob *job, const GlnBuffer *head, GlnText text) {
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_add(&words, gln_buffer_text(head));
  gln_buffer_add_string(&words, ": ");
  gln_buffer_add(&words, text);
  gln_add_wrapped(&job->out, gln_buffer_text(&words), 0, 2, job->app->columns);
  gln_buffer_add_byte(&job->out, '\n');
}

static void print_title(GlnJob *job, const char *title) {
  gln_buffer_add_byte(&job->out, '\n');
  gln_add_styled(job, &job->out, GLN_STYLE_BOLD, gln_text(title));
  gln_buffer_add_byte(&job->out, '\n');
}

/* Plain chords need no reason, and the ii–V–I has its remark. */
static bool is_told(const GlnReading *reading) {
  return reading->reason[0] != '\0' && reading->role != GLN_PLACE_DIATONIC &&
         reading->role != GLN_PLACE_TWO_FIVE;
}

/* One reason with the numerals and bars that it holds for. */
static void print_reason(GlnJob *job, const Listing *listing, size_t first) {
  const GlnExplanation *explanation = listing->explanation;
  const GlnReading *readings = explanation->analysis->readings;
  GlnBuffer head = gln_buffer(job->arena);
  Places places = {.list = gln_buffer(job->arena)};
  for (size_t i = first; i < explanation->song->slot_count; i++) {
    if (!listing->is_new[i] || readings[i].reason != readings[first].reason)
      continue;
    bool known = false;
    for (size_t k = first; k < i && !known; k++)
      known = listing->is_new[k] && readings[k].reason == readings[first].reason &&
              strcmp(readings[k].roman, readings[i].roman) == 0;
    if (!known)
      gln_buffer_format(&head, "%s%s", head.length > 0 ? ", " : "", readings[i].roman);
    unsigned bar = (unsigned)explanation->song->slots[i].bar;
    add_place(&places, bar, bar);
  }
  add_places(&places, &head);
  print_note(job, &head, gln_text(readings[first].reason));
}

static void print_reasons(GlnJob *job, const Listing *listing) {
  const GlnReading *readings = listing->explanation->analysis->readings;
  bool titled = false;
  for (size_t i = 0; i < listing->explanation->song->slot_count; i++) {
    bool told = !listing->is_new[i] || !is_told(&readings[i]);
    for (size_t k = 0; k < i && !told; k++)
      told = listing->is_new[k] && readings[k].reason == readings[i].reason;
    if (told)
      continue;
    if (!titled)
      print_title(job, "why these chords are here");
    titled = true;
    print_reason(job, listing, i);
  }
}

static bool same_remark(const GlnRemark *a, const GlnRemark *b) {
  return a->kind == b->kind && gln_text_equal(a->name, b->name) && gln_text_equal(a->text, b->text);
}

static void print_remark(GlnJob *job, const Listing *listing, size_t first) {
  const GlnRemarks *remarks = &listing->explanation->remarks;
  const GlnSong *song = listing->explanation->song;
  const GlnRemark *remark = &remarks->items[first];
  GlnBuffer head = gln_buffer(job->arena);
  Places places = {.list = gln_buffer(job->arena)};
  for (size_t n = first; n < remarks->count; n++)
    if (same_remark(&remarks->items[n], remark) && listing->is_new[remarks->items[n].first])
      add_place(&places, (unsigned)song->slots[remarks->items[n].first].bar,
                (unsigned)song->slots[remarks->items[n].last].bar);
  gln_buffer_add(&head, remark->name.length > 0 ? remark->name : gln_text(gln_remark_words(remark->kind)));
  add_places(&places, &head);
  print_note(job, &head, remark->text);
}

static bool is_told_before(const Listing *listing, size_t n) {
  const GlnRemark *items = listing->explanation->remarks.items;
  for (size_t k = 0; k < n; k++)
    if (listing->is_new[items[k].first] && same_remark(&items[k], &items[n]))
      return true;
  return false;
}

/* Kind by kind, as the table of kinds has them. */
static void print_remarks(GlnJob *job, const Listing *listing) {
  const GlnRemarks *remarks = &listing->explanation->remarks;
  bool titled = false;
  for (int kind = 0; kind < GLN_REMARK_KIND_COUNT; kind++)
    for (size_t n = 0; n < remarks->count; n++) {
      if ((int)remarks->items[n].kind != kind || !listing->is_new[remarks->items[n].first] ||
          is_told_before(listing, n))
        continue;
      if (!titled)
        print_title(job, "what you might not hear");
      titled = true;
      print_remark(job, listing, n);
    }
}

GlnStatus gln_run_explain(GlnJob *job) {
  GlnExplanation explanation;
  GLN_TRY(gln_job_explain(job, &explanation));
  if (job->arguments.value[GLN_OPT_JSON].given)
    return print_json(job, &explanation);
  Listing listing = {.job = job,
                     .explanation = &explanation,
                     .is_new = GLN_NEW(job->arena, bool, explanation.song->slot_count)};
  if (listing.is_new == NULL)
    return GLN_MEMORY;
  add_head(job, &explanation);
  if (explanation.analysis->region_count == 0)
    return GLN_OK;
  GLN_TRY(list_chords(job, &listing));
  print_reasons(job, &listing);
  print_remarks(job, &listing);
  return GLN_OK;
}
