/* gripline proof: does each grip sound the chord written over it? */
#include "app_internal.h"

/* One grip to read, from a chart or from pasted text. */
typedef struct Written {
  GlnText symbol, frets_text;
  const GlnChord *chord;
  size_t offset; /* of the chord name in the source */
  size_t frets_offset;
  GlnFrets frets;
  const int8_t *finger; /* NULL when none were written */
} Written;

typedef struct Reading {
  const GlnJob *job;
  GlnText name, source;
  GlnInstrument instrument;
  GlnHand hand;
  bool strict;
  Written *grips;
  size_t count;
  size_t bare_count;       /* chords without frets */
  size_t unreadable_count; /* rows that say nothing; they are named, and the others read all the same */
  GlnProof *proofs;        /* one a grip */
  size_t fault_count;
} Reading;

/* ---- a chart ------------------------------------------------------------------------------------------------------ */

static bool is_written(const GlnBar *bar, const GlnEvent *event) {
  return !bar->same_as_last && !event->continues && !event->chord.silent;
}

static void read_pin(Reading *reading, const GlnEvent *event, GlnDiags *diags) {
  GlnSymbolFault fault = {0};
  Written *written = &reading->grips[reading->count++];
  *written = (Written){.symbol = event->symbol,
                       .frets_text = event->pin,
                       .chord = &event->chord,
                       .offset = event->offset,
                       .frets_offset = event->pin_offset};
  if (gln_frets_parse(event->pin, &written->frets, &fault) == GLN_OK)
    return;
  reading->count--;
  gln_diags_format(diags, GLN_ERROR, event->pin_offset + fault.offset, fault.length,
                   "write a sign for each string, the lowest first: @x32010, or @x-8-10-9-10-x", "%s",
                   fault.problem);
}

static GlnStatus read_chart(Reading *reading, const GlnArrangementWish *wish, GlnDiags *diags) {
  GlnChart *chart = NULL;
  GlnStatus status = gln_chart_read(reading->source, reading->job->arena, diags, &chart);
  if (status != GLN_OK && (status != GLN_INPUT || chart == NULL))
    return status;
  GLN_TRY(gln_chart_instrument(chart, wish, diags, &reading->instrument));
  size_t events = 0;
  for (size_t s = 0; s < chart->section_count; s++)
    for (size_t b = 0; b < chart->sections[s].bar_count; b++)
      events += chart->sections[s].bars[b].event_count;
  reading->grips = GLN_NEW(reading->job->arena, Written, events);
  if (reading->grips == NULL)
    return GLN_MEMORY;
  for (size_t s = 0; s < chart->section_count; s++)
    for (size_t b = 0; b < chart->sections[s].bar_count; b++) {
      const GlnBar *bar = &chart->sections[s].bars[b];
      for (size_t e = 0; e < bar->event_count; e++) {
        const GlnEvent *event = &bar->events[e];
        if (is_written(bar, event) && event->pin.length > 0)
          read_pin(reading, event, diags);
        else
          reading->bare_count += is_written(bar, event);
      }
    }
  return GLN_OK;
}

/* ---- pasted text -------------------------------------------------------------------------------------------------- */

static GlnStatus read_pasted(Reading *reading, const GlnArrangementWish *wish, GlnDiags *diags) {
  GlnPasted pasted;
  reading->instrument = wish->options.instrument;
  if (!gln_capo_fits(&reading->instrument))
    return gln_job_complain(reading->job, GLN_USAGE, GLN_CAPO_ADVICE, "--capo: " GLN_CAPO_PROBLEM);
  GlnStatus status =
      gln_pasted_read(reading->source, reading->instrument.string_count, reading->job->arena, diags, &pasted);
  if (status != GLN_OK && status != GLN_INPUT)
    return status;
  reading->bare_count = pasted.bare_count;
  reading->grips = GLN_NEW(reading->job->arena, Written, pasted.count);
  if (reading->grips == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < pasted.count; i++) {
    const GlnPastedGrip *grip = &pasted.grips[i];
    reading->grips[reading->count++] = (Written){.symbol = grip->symbol,
                                                 .frets_text = grip->text,
                                                 .chord = &grip->chord,
                                                 .offset = (size_t)(grip->symbol.at - reading->source.at),
                                                 .frets_offset = (size_t)(grip->text.at - reading->source.at),
                                                 .frets = grip->frets,
                                                 .finger = grip->has_fingers ? grip->finger : NULL};
  }
  return GLN_OK;
}

/* ---- reading ------------------------------------------------------------------------------------------------------ */

static void complain_of_fret(const Reading *reading, const Written *written, GlnDiags *diags) {
  const GlnInstrument *instrument = &reading->instrument;
  int string = 0, from = gln_frets_from(instrument);
  (void)gln_frets_fault(instrument, &written->frets, &string);
  int last = instrument->fret_count - from, fret = written->frets.fret[string];
  const char *counted = from > 0 ? "frets are counted from the capo"
                                 : "frets are counted from the nut, also under a capo on some strings";
  if (fret > last)
    gln_diags_format(diags, GLN_ERROR, written->frets_offset, written->frets_text.length, counted,
                     "the neck has no fret so high: it ends at %d", last);
  else
    gln_diags_format(diags, GLN_ERROR, written->frets_offset, written->frets_text.length, counted,
                     "string %d cannot be stopped at fret %d: it begins at fret %d",
                     gln_string_number(instrument, string), fret, gln_first_fret(instrument, string) - 1);
}

static void complain_of_fit(const Reading *reading, const Written *written, GlnDiags *diags) {
  int strings = reading->instrument.string_count;
  if (written->frets.string_count != strings)
    gln_diags_format(
        diags, GLN_ERROR, written->frets_offset, written->frets_text.length,
        "write a sign for each string, x for one not played; or name the instrument with tuning: or "
        "--tuning",
        "these frets are for %d strings, and the instrument has %d", written->frets.string_count, strings);
  else
    complain_of_fret(reading, written, diags);
}

/* Grips that do not fit the instrument are named and left out. */
static GlnStatus proof_all(Reading *reading, GlnDiags *diags) {
  reading->proofs = GLN_NEW(reading->job->arena, GlnProof, reading->count);
  if (reading->proofs == NULL)
    return GLN_MEMORY;
  const size_t written_count = reading->count;
  reading->count = 0;
  for (size_t i = 0; i < written_count; i++) {
    const Written written = reading->grips[i];
    GlnStatus status = gln_proof_read(written.chord, &reading->instrument, &reading->hand, reading->strict,
                                      &written.frets, reading->job->arena, &reading->proofs[reading->count]);
    if (status == GLN_USAGE) {
      complain_of_fit(reading, &written, diags);
      continue;
    }
    if (status != GLN_OK && status != GLN_NO)
      return status;
    reading->fault_count += status == GLN_NO;
    reading->grips[reading->count++] = written;
  }
  return GLN_OK;
}

static GlnStatus read_all(Reading *reading) {
  const GlnJob *job = reading->job;
  GlnArrangementWish wish = {.has_tuning = false};
  GLN_TRY(gln_job_read_wish(job, &wish));
  bool is_chart = false;
  GLN_TRY(gln_job_read_written(job, &reading->name, &reading->source, &is_chart));
  reading->hand = wish.options.hand;
  reading->strict = gln_job_hand_is_given(job);
  GlnDiags diags = gln_diags(job->arena);
  is_chart = is_chart || gln_pasted_is_chart(reading->source);
  GlnStatus status = is_chart ? read_chart(reading, &wish, &diags) : read_pasted(reading, &wish, &diags);
  if (status == GLN_OK || (status == GLN_INPUT && reading->count > 0))
    status = proof_all(reading, &diags);
  gln_job_show_diags(job, &diags, reading->name, reading->source);
  reading->unreadable_count = diags.error_count;
  return status == GLN_OK && reading->count == 0 && diags.error_count > 0 ? GLN_INPUT : status;
}

/* ---- remarks ------------------------------------------------------------------------------------------------------ */

/* The rule that forbids the fingers written beside a grip; NULL when they can hold it, or when there are none. */
static const char *fingers_fault(const Reading *reading, size_t i) {
  const Written *written = &reading->grips[i];
  GlnHand wide = gln_hand_widest();
  GlnFingering judged;
  const char *why = NULL;
  if (written->finger == NULL)
    return NULL;
  const GlnHand *hand = reading->strict ? &reading->hand : &wide;
  return gln_fingering_judge(&reading->instrument, hand, &written->frets, written->finger, &judged, &why) ==
                 GLN_OK
             ? NULL
             : why;
}

/* X(key, what holds, words) */
#define REMARK_LIST(X)                                                                                       \
  X("rootless", proof->rootless, "the root is left to the bass player")                                      \
  X("inverted", proof->inverted, "another note than the root lies lowest")                                   \
  X("reach", proof->strained, "a medium hand does not reach it")

typedef struct Remark {
  const char *key, *words;
} Remark;

#define REMARKS_MAX 4

static size_t remarks_of(const Reading *reading, size_t i, Remark remarks[REMARKS_MAX]) {
  const GlnProof *proof = &reading->proofs[i];
  size_t count = 0;
#define REMARK_TAKE(key, holds, words)                                                                       \
  if (holds)                                                                                                 \
    remarks[count++] = (Remark){key, words};
  REMARK_LIST(REMARK_TAKE)
#undef REMARK_TAKE
  const char *why = fingers_fault(reading, i);
  if (why != NULL)
    remarks[count++] = (Remark){"fingers", why};
  return count;
}

static bool is_fault(const GlnProof *proof) {
  return proof->problem != GLN_PROBLEM_COUNT;
}

/* ---- for programs ------------------------------------------------------------------------------------------------- */

static void add_frets_json(GlnJson *json, const char *key, const GlnFrets *frets) {
  char text[GLN_FRETS_TEXT_MAX];
  size_t length = gln_frets_print(frets, text);
  gln_json_add_text(json, key, (GlnText){text, length});
}

static void add_place_json(GlnJson *json, const Reading *reading, const Written *written) {
  GlnPlace place = gln_text_place(reading->source, written->offset);
  gln_json_add_integer(json, "line", (long long)place.line);
  gln_json_add_integer(json, "column", (long long)place.column);
  gln_json_add_text(json, "chord", written->symbol);
  add_frets_json(json, "frets", &written->frets);
}

static void add_fret_json(GlnJson *json, const char *key, int fret) {
  if (fret < 0)
    gln_json_add_null(json, key);
  else
    gln_json_add_integer(json, key, fret);
}

static void add_suggestion_json(GlnJson *json, const Reading *reading, const GlnProof *proof,
                                const GlnSuggestion *suggestion) {
  GlnBuffer words = gln_buffer(reading->job->arena);
  gln_suggestion_describe(proof, suggestion, &reading->instrument, &words);
  gln_json_open_object(json, NULL);
  add_frets_json(json, "frets", &suggestion->frets);
  char fingers[GLN_FRETS_TEXT_MAX];
  size_t length = gln_fingers_print(&suggestion->frets, &suggestion->fingering, fingers);
  gln_json_add_text(json, "fingers", (GlnText){fingers, length});
  gln_json_add_text(json, "words", gln_buffer_text(&words));
  gln_json_open_array(json, "changes");
  for (int s = 0; s < proof->frets.string_count; s++) {
    if (proof->frets.fret[s] == suggestion->frets.fret[s])
      continue;
    gln_json_open_object(json, NULL);
    gln_json_add_integer(json, "string", gln_string_number(&reading->instrument, s));
    add_fret_json(json, "from", proof->frets.fret[s]);
    add_fret_json(json, "to", suggestion->frets.fret[s]);
    gln_json_close(json);
  }
  gln_json_close(json);
  gln_json_close(json);
}

static void add_fault_json(GlnJson *json, const Reading *reading, size_t i) {
  const GlnProof *proof = &reading->proofs[i];
  const Written *written = &reading->grips[i];
  GlnBuffer words = gln_buffer(reading->job->arena);
  gln_proof_describe(proof, written->chord, &reading->instrument, &words);
  gln_json_open_object(json, NULL);
  add_place_json(json, reading, written);
  gln_json_add_text(json, "problem", gln_text(gln_problem_key(proof->problem)));
  gln_json_add_text(json, "words", gln_buffer_text(&words));
  if (proof->suggestion_count > 0)
    add_frets_json(json, "suggestion", &proof->suggestions[0].frets);
  else
    gln_json_add_null(json, "suggestion");
  gln_json_open_array(json, "suggestions");
  for (int n = 0; n < proof->suggestion_count; n++)
    add_suggestion_json(json, reading, proof, &proof->suggestions[n]);
  gln_json_close(json);
  gln_json_close(json);
}

static void add_remarks_json(GlnJson *json, const Reading *reading, size_t i) {
  Remark remarks[REMARKS_MAX];
  size_t count = is_fault(&reading->proofs[i]) ? 0 : remarks_of(reading, i, remarks);
  for (size_t r = 0; r < count; r++) {
    gln_json_open_object(json, NULL);
    add_place_json(json, reading, &reading->grips[i]);
    gln_json_add_text(json, "remark", gln_text(remarks[r].key));
    gln_json_add_text(json, "words", gln_text(remarks[r].words));
    gln_json_close(json);
  }
}

static GlnStatus print_json(GlnJob *job, const Reading *reading) {
  GlnJson *json = gln_json_new(job->arena, "proof");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_add_integer(json, "read", (long long)reading->count);
  gln_json_add_integer(json, "unreadable", (long long)reading->unreadable_count);
  gln_json_add_integer(json, "without_frets", (long long)reading->bare_count);
  gln_json_open_array(json, "faults");
  for (size_t i = 0; i < reading->count; i++)
    if (is_fault(&reading->proofs[i]))
      add_fault_json(json, reading, i);
  gln_json_close(json);
  gln_json_open_array(json, "remarks");
  for (size_t i = 0; i < reading->count; i++)
    add_remarks_json(json, reading, i);
  gln_json_close(json);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

/* ---- for people --------------------------------------------------------------------------------------------------- */

static void add_fault(GlnDiags *diags, const Reading *reading, size_t i) {
  const Written *written = &reading->grips[i];
  const GlnProof *proof = &reading->proofs[i];
  GlnBuffer words = gln_buffer(reading->job->arena), advice = gln_buffer(reading->job->arena);
  gln_proof_describe(proof, written->chord, &reading->instrument, &words);
  if (proof->suggestion_count > 0) {
    const GlnSuggestion *best = &proof->suggestions[0];
    if (best->slip != GLN_PROBLEM_COUNT)
      gln_buffer_format(&advice, "%s? ", gln_problem_words(best->slip));
    gln_buffer_add_string(&advice, "try ");
    gln_suggestion_describe(proof, best, &reading->instrument, &advice);
  } else {
    gln_buffer_add_string(&advice, "no grip of this chord lies near");
  }
  const char *advice_text = gln_text_copy(reading->job->arena, gln_buffer_text(&advice));
  GlnText text = gln_buffer_text(&words);
  gln_diags_format(diags, GLN_ERROR, written->frets_offset, written->frets_text.length,
                   advice_text != NULL ? advice_text : "", "%.*s: %.*s", (int)written->symbol.length,
                   written->symbol.at, (int)text.length, text.at);
}

static void add_remarks(GlnDiags *diags, const Reading *reading, size_t i) {
  const Written *written = &reading->grips[i];
  Remark remarks[REMARKS_MAX];
  size_t count = remarks_of(reading, i, remarks);
  for (size_t r = 0; r < count; r++)
    gln_diags_format(diags, GLN_NOTE_SEVERITY, written->frets_offset, written->frets_text.length, "",
                     "%.*s: %s", (int)written->symbol.length, written->symbol.at, remarks[r].words);
}

static void print_text(GlnJob *job, const Reading *reading) {
  GlnDiags diags = gln_diags(job->arena);
  for (size_t i = 0; i < reading->count; i++)
    if (is_fault(&reading->proofs[i]))
      add_fault(&diags, reading, i);
    else
      add_remarks(&diags, reading, i);
  gln_diags_print(&diags, reading->name, reading->source, &job->out);
  gln_buffer_add_string(&job->out, diags.count > 0 ? "\n" : "");
  gln_buffer_format(&job->out, "%zu grip%s read, ", reading->count, reading->count == 1 ? "" : "s");
  if (reading->count == 0)
    gln_buffer_add_string(&job->out, "so there was nothing to check");
  else if (reading->fault_count == 0)
    gln_buffer_add_string(&job->out, "all right");
  else
    gln_buffer_format(&job->out, "%zu with a fault", reading->fault_count);
  if (reading->unreadable_count > 0)
    gln_buffer_format(&job->out, "; %zu could not be read", reading->unreadable_count);
  if (reading->bare_count > 0)
    gln_buffer_format(&job->out, "; %zu chord%s without frets", reading->bare_count,
                      reading->bare_count == 1 ? "" : "s");
  gln_buffer_add_byte(&job->out, '\n');
}

GlnStatus gln_run_proof(GlnJob *job) {
  Reading reading = {.job = job};
  GLN_TRY(read_all(&reading));
  if (job->arguments.value[GLN_OPT_JSON].given)
    GLN_TRY(print_json(job, &reading));
  else
    print_text(job, &reading);
  return reading.fault_count + reading.unreadable_count > 0 ? GLN_NO : GLN_OK;
}
