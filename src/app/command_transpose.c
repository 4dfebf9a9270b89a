/* gripline transpose: the chart in another key, chosen by name, by interval, for a singer or for the hand. */
#include "app_internal.h"

#include <math.h>
#include <stdlib.h>

#define KEYS_MAX      49 /* two octaves down to two octaves up */
#define CAPO_FRET_MAX 7  /* higher up the strings grow too short to be of use: design choice */

/* One key that is considered. */
typedef struct Candidate {
  GlnTransposition move;
  bool arranged;
  double effort, tempo; /* of the line: total, and up to which tempo its hardest change is comfortable */
  size_t grips;
} Candidate;

typedef struct Search {
  GlnText name, source;
  const GlnChart *chart;
  GlnKey home;
  bool home_known; /* stated by the chart or clear from its chords */
  GlnArrangementWish wish;
  Candidate *candidates;
  size_t count, chosen;
} Search;

/* ---- the key it is in ---------------------------------------------------------------------------------------------- */

static GlnStatus find_home(GlnJob *job, Search *search) {
  GlnExplanation explanation;
  GlnDiags diags = gln_diags(job->arena);
  GLN_TRY(gln_job_read_source(job, &search->name, &search->source));
  GlnStatus status = gln_explanation_make(search->name, search->source, job->arena, &diags, &explanation);
  gln_job_show_diags(job, &diags, search->name, search->source);
  GLN_TRY(status);
  search->chart = explanation.chart;
  search->home = (GlnKey){{0, 0}, false}; /* a place to count from where no key is known */
  search->home_known = true;
  if (search->chart->has_key) {
    search->home = search->chart->key;
    return GLN_OK;
  }
  for (size_t r = 0; r < explanation.analysis->region_count; r++)
    if (explanation.analysis->regions[r].clear) {
      search->home = explanation.analysis->regions[r].key;
      return GLN_OK;
    }
  search->home_known = false;
  return GLN_OK;
}

/* ---- what is asked ---------------------------------------------------------------------------------------------------- */

static void add_candidate(Search *search, int semitones, GlnNote to) {
  int frets = search->wish.options.instrument.fret_count - gln_frets_from(&search->wish.options.instrument);
  search->candidates[search->count++] = (Candidate){
      .move = {
          .from = search->home, .to = {to, search->home.minor}, .semitones = semitones, .fret_count = frets}};
}

static GlnStatus complain_of_value(const GlnJob *job, GlnOptionId id, const char *problem,
                                   const char *advice) {
  GlnText text = job->arguments.value[id].text;
  return gln_job_complain(job, GLN_USAGE, advice, "--%s \"%.*s\": %s", gln_option_at(id)->name,
                          (int)text.length, text.at, problem);
}

static GlnStatus ask_key(GlnJob *job, Search *search) {
  GlnKey key;
  if (gln_key_parse(job->arguments.value[GLN_OPT_TO].text, &key) != GLN_OK)
    return complain_of_value(job, GLN_OPT_TO, "not a key", "write a key such as Eb, or F#m");
  if (!search->home_known)
    return gln_job_complain(job, GLN_INPUT, "add a key: line to the chart, or use --by",
                            "the chart names no key and its chords make none clear, so --to has no start");
  if (key.minor && !search->home.minor)
    return complain_of_value(job, GLN_OPT_TO, "the song is in a major key, and transposing leaves it so",
                             "name a major key");
  key.minor = search->home.minor;
  if (abs(gln_key_fifths(key)) > 7)
    return complain_of_value(job, GLN_OPT_TO, "this key needs doubled accidentals",
                             "use the key's other name");
  int up = (gln_note_pitch_class(key.tonic) - gln_note_pitch_class(search->home.tonic) + 12) % 12;
  add_candidate(search, up > 6 ? up - 12 : up, key.tonic);
  return GLN_OK;
}

/* "m3": quality and number of an interval within an octave. */
static bool read_interval(GlnText text, GlnDegree *degree) {
  long number = 0;
  if (text.length < 2 || gln_text_integer(gln_text_from(text, 1), 1, 8, &number) != GLN_OK)
    return false;
  bool perfect = number == 1 || number == 4 || number == 5 || number == 8;
  int alteration = 0;
  switch (text.at[0]) {
  case 'P':
  case 'M':
    if ((text.at[0] == 'P') != perfect)
      return false;
    break;
  case 'm':
    if (perfect)
      return false;
    alteration = -1;
    break;
  case 'A':
    alteration = 1;
    break;
  case 'd':
    alteration = perfect ? -1 : -2;
    break;
  default:
    return false;
  }
  *degree = (GlnDegree){(int8_t)number, (int8_t)alteration};
  return gln_degree_semitones(*degree) >= 0;
}

static GlnNote note_below(GlnNote note, GlnDegree degree) {
  GlnDegree natural = {(int8_t)(9 - degree.number), 0};
  int semitones = 12 - gln_degree_semitones(degree);
  natural.alteration = (int8_t)(semitones - gln_degree_semitones(natural));
  return gln_note_above(note, natural);
}

static GlnStatus ask_interval(GlnJob *job, Search *search) {
  GlnText text = gln_text_trim(job->arguments.value[GLN_OPT_BY].text);
  long semitones = 0;
  GlnText digits = gln_text_starts(text, GLN_TEXT("+")) ? gln_text_from(text, 1) : text;
  if (gln_text_integer(digits, -24, 24, &semitones) == GLN_OK) {
    add_candidate(search, (int)semitones, gln_tonic_named(search->home, (int)semitones));
    return GLN_OK;
  }
  bool down = gln_text_starts(text, GLN_TEXT("-"));
  GlnDegree degree;
  if (!read_interval(down ? gln_text_from(text, 1) : digits, &degree))
    return complain_of_value(
        job, GLN_OPT_BY, "not an interval",
        "write semitones from -24 to 24, or a name from P1 to P8: m3 is a minor third up, "
        "-M2 a whole tone down");
  int way = gln_degree_semitones(degree) * (down ? -1 : 1);
  GlnKey key = {down ? note_below(search->home.tonic, degree) : gln_note_above(search->home.tonic, degree),
                search->home.minor};
  if (abs(gln_key_fifths(key)) > 7)
    key.tonic = gln_tonic_named(search->home, way);
  add_candidate(search, way, key.tonic);
  return GLN_OK;
}

/* "A3-D5" as two MIDI numbers. */
static GlnStatus read_notes(const GlnJob *job, GlnOptionId id, int *low, int *high) {
  GlnText text = job->arguments.value[id].text;
  size_t dash = gln_text_find(text, GLN_TEXT("-"), 0);
  GlnPitch first, last;
  if (dash == text.length ||
      gln_pitch_parse(gln_text_trim(gln_text_slice(text, 0, dash)), &first) != GLN_OK ||
      gln_pitch_parse(gln_text_trim(gln_text_from(text, dash + 1)), &last) != GLN_OK)
    return complain_of_value(job, id, "not two notes", "write the lowest and the highest note: A3-D5");
  *low = gln_pitch_midi(first);
  *high = gln_pitch_midi(last);
  if (*low > *high)
    return complain_of_value(job, id, "the first note lies above the second",
                             "write the lowest note first: A3-D5");
  return GLN_OK;
}

/* The lowest and highest note so far. */
typedef struct Compass {
  bool found;
  int low, high;
} Compass;

static void widen(Compass *compass, GlnPitch pitch) {
  int midi = gln_pitch_midi(pitch);
  compass->low = !compass->found || midi < compass->low ? midi : compass->low;
  compass->high = !compass->found || midi > compass->high ? midi : compass->high;
  compass->found = true;
}

static void widen_by_bar(Compass *compass, const GlnBar *bar) {
  for (size_t n = 0; n < bar->tune_count; n++)
    if (bar->tune[n].kind == GLN_TUNE_NOTE)
      widen(compass, bar->tune[n].pitch);
  for (size_t e = 0; e < bar->event_count; e++)
    if (bar->events[e].has_top && bar->events[e].top_has_octave)
      widen(compass, bar->events[e].top);
}

/* The compass of the chart's tune, and of its ^notes that name their octave. */
static bool find_tune(const GlnChart *chart, int *low, int *high) {
  Compass compass = {.found = false};
  for (size_t s = 0; s < chart->section_count; s++)
    for (size_t b = 0; b < chart->sections[s].bar_count; b++)
      widen_by_bar(&compass, &chart->sections[s].bars[b]);
  *low = compass.low;
  *high = compass.high;
  return compass.found;
}

static GlnStatus ask_range(GlnJob *job, Search *search) {
  int low = 0, high = 0, tune_low = 0, tune_high = 0;
  GLN_TRY(read_notes(job, GLN_OPT_RANGE, &low, &high));
  if (job->arguments.value[GLN_OPT_TUNE].given)
    GLN_TRY(read_notes(job, GLN_OPT_TUNE, &tune_low, &tune_high));
  else if (!find_tune(search->chart, &tune_low, &tune_high))
    return gln_job_complain(job, GLN_USAGE,
                            "add --tune LOW-HIGH: its lowest and highest note as the chart stands",
                            "--range needs to know where the tune lies, and the chart has no ^ notes with "
                            "octaves");
  if (tune_high - tune_low > high - low)
    return gln_job_complain(job, GLN_NO, "no key helps; leave out a note, or change its octave",
                            "the tune spans %d semitones and the singer %d", tune_high - tune_low,
                            high - low);
  size_t nearest = 0;
  int best = 0;
  for (int way = -24; way <= 24; way++) {
    if (tune_low + way < low || tune_high + way > high)
      continue;
    /* Twice the distance between the two middles; of equals the one nearer to the chart's own key. */
    int off = abs(tune_low + tune_high + 2 * way - low - high);
    if (search->count == 0 || off < best ||
        (off == best && abs(way) < abs(search->candidates[nearest].move.semitones))) {
      nearest = search->count;
      best = off;
    }
    add_candidate(search, way, gln_tonic_named(search->home, way));
  }
  if (search->count == 0)
    return gln_job_complain(job, GLN_NO, "see whether the octaves are right: C4 is middle C",
                            "the singer is more than two octaves away from the tune");
  search->chosen = nearest;
  return GLN_OK;
}

static GlnStatus ask(GlnJob *job, Search *search) {
  const GlnValue *value = job->arguments.value;
  int asked = value[GLN_OPT_TO].given + value[GLN_OPT_BY].given +
              (value[GLN_OPT_RANGE].given || value[GLN_OPT_EASIEST].given);
  search->candidates = GLN_NEW(job->arena, Candidate, KEYS_MAX);
  if (search->candidates == NULL)
    return GLN_MEMORY;
  if (asked != 1)
    return gln_job_complain(job, GLN_USAGE,
                            "give one of --to KEY, --by INTERVAL, --range LOW-HIGH, --easiest",
                            asked == 0 ? "transpose needs to know where to" : "more than one goal is named");
  if (value[GLN_OPT_TUNE].given && !value[GLN_OPT_RANGE].given)
    return gln_job_complain(job, GLN_USAGE, "add --range LOW-HIGH",
                            "--tune needs the singer's range beside it");
  size_t format = 0; /* there is but one */
  if (value[GLN_OPT_OUTPUT].given)
    GLN_TRY(gln_job_format(job, &format));
  GLN_TRY(gln_job_read_wish(job, &search->wish));
  GLN_TRY(find_home(job, search));
  if (value[GLN_OPT_TO].given)
    return ask_key(job, search);
  if (value[GLN_OPT_BY].given)
    return ask_interval(job, search);
  if (value[GLN_OPT_RANGE].given)
    return ask_range(job, search);
  for (int way = -5; way <= 6; way++)
    add_candidate(search, way, gln_tonic_named(search->home, way));
  return GLN_OK;
}

/* ---- the easiest ----------------------------------------------------------------------------------------------------- */

static GlnStatus arrange_candidate(GlnJob *job, Search *search, Candidate *candidate,
                                   GlnArrangement *arrangement, GlnDiags *diags, GlnText *text) {
  GLN_TRY(gln_transposition_write(search->source, &candidate->move, job->arena, diags, text));
  GLN_TRY(gln_arrangement_make(search->name, *text, &search->wish, job->arena, diags, arrangement));
  candidate->arranged = true;
  candidate->effort = arrangement->line->total;
  candidate->tempo = arrangement->line->highest_tempo;
  candidate->grips = arrangement->line->distinct_count;
  return GLN_OK;
}

/* Arranges every candidate, and chooses the one with the least effort; of equals the nearer. A key in which the song
 * cannot be held is passed over. */
static GlnStatus choose_easiest(GlnJob *job, Search *search) {
  bool found = false;
  for (size_t c = 0; c < search->count; c++) {
    Candidate *candidate = &search->candidates[c], *best = &search->candidates[search->chosen];
    GlnArenaMark mark = gln_arena_mark(job->arena);
    GlnDiags unheard = gln_diags(job->arena);
    GlnArrangement arrangement;
    GlnText text;
    GlnStatus status = arrange_candidate(job, search, candidate, &arrangement, &unheard, &text);
    gln_arena_rewind(job->arena, mark);
    if (status == GLN_INPUT)
      continue;
    GLN_TRY(status);
    bool nearer = abs(candidate->move.semitones) < abs(best->move.semitones);
    if (!found || candidate->effort < best->effort || (candidate->effort <= best->effort && nearer))
      search->chosen = c;
    found = true;
  }
  return found ? GLN_OK
               : gln_job_complain(job, GLN_INPUT, "run gripline arrange to see what stands in the way",
                                  "there is no key in which every chord of this chart can be held");
}

/* ---- what is said ------------------------------------------------------------------------------------------------------- */

static void add_key(GlnBuffer *out, GlnKey key) {
  char text[GLN_KEY_TEXT_MAX];
  (void)gln_key_print(key, GLN_SIGNS_UNICODE, text);
  gln_buffer_add_string(out, text);
}

/* Do chords of this key lie in open shapes? Common practice, no published source. */
static bool has_open_shapes(GlnKey key) {
  static const char *const major = "CDEGA", *const minor = "ADE";
  if (key.tonic.accidental != 0)
    return false;
  for (const char *at = key.minor ? minor : major; *at != '\0'; at++)
    if ("CDEFGAB"[key.tonic.letter] == *at)
      return true;
  return false;
}

/* The key whose shapes sound in key above a capo on this fret. */
static GlnKey shapes_under(GlnKey key, int capo) {
  return (GlnKey){gln_tonic_named(key, -capo), key.minor};
}

static void add_capos_json(GlnJson *json, GlnKey key) {
  gln_json_open_array(json, "capos");
  for (int capo = 1; capo <= CAPO_FRET_MAX; capo++) {
    GlnKey shapes = shapes_under(key, capo);
    if (!has_open_shapes(shapes))
      continue;
    char text[GLN_KEY_TEXT_MAX];
    (void)gln_key_print(shapes, GLN_SIGNS_ASCII, text);
    gln_json_open_object(json, NULL);
    gln_json_add_integer(json, "fret", capo);
    gln_json_add_text(json, "shapes", gln_text(text));
    gln_json_close(json);
  }
  gln_json_close(json);
}

static void add_candidate_json(GlnJson *json, const Search *search, size_t c) {
  const Candidate *candidate = &search->candidates[c];
  char text[GLN_KEY_TEXT_MAX];
  (void)gln_key_print(candidate->move.to, GLN_SIGNS_ASCII, text);
  gln_json_open_object(json, NULL);
  if (search->home_known)
    gln_json_add_text(json, "key", gln_text(text));
  else
    gln_json_add_null(json, "key");
  gln_json_add_integer(json, "semitones", candidate->move.semitones);
  gln_json_add_boolean(json, "chosen", c == search->chosen);
  if (candidate->arranged)
    gln_json_add_number(json, "effort", candidate->effort, 4);
  else
    gln_json_add_null(json, "effort");
  add_capos_json(json, candidate->move.to);
  gln_json_close(json);
}

static GlnStatus print_json(GlnJob *job, const Search *search, const GlnArrangement *arrangement,
                            GlnText text) {
  GlnJson *json = gln_json_new(job->arena, "transpose");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_open_array(json, "keys");
  for (size_t c = 0; c < search->count; c++)
    add_candidate_json(json, search, c);
  gln_json_close(json);
  gln_json_add_text(json, "chart", text);
  gln_add_arrangement_json(json, arrangement, job->arena);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

static void add_candidates(GlnJob *job, const Search *search, GlnBuffer *out) {
  static const char *const heads[] = {"key", "semitones", "effort", "grips",
                                      "hardest change comfortable up to"};
  GlnTable table = gln_table(job->arena, GLN_COUNT_OF(heads), heads);
  for (size_t c = 0; c < search->count; c++) {
    const Candidate *candidate = &search->candidates[c];
    GlnBuffer cell[GLN_COUNT_OF(heads)];
    for (size_t k = 0; k < GLN_COUNT_OF(cell); k++)
      cell[k] = gln_buffer(job->arena);
    add_key(&cell[0], candidate->move.to);
    gln_buffer_format(&cell[1], "%+d", candidate->move.semitones);
    if (candidate->arranged) {
      gln_buffer_add_number(&cell[2], candidate->effort, 1);
      gln_buffer_format(&cell[3], "%zu", candidate->grips);
    } else {
      gln_buffer_add_string(&cell[2], "cannot be held");
    }
    if (candidate->arranged && isfinite(candidate->tempo))
      gln_buffer_add_number(&cell[4], floor(candidate->tempo), 0);
    gln_buffer_add_string(&cell[4], c == search->chosen ? "  chosen" : "");
    for (size_t k = 0; k < GLN_COUNT_OF(cell); k++)
      gln_table_cell(&table, &cell[k]);
  }
  gln_table_print(job, &table, out);
}

static void add_words(GlnJob *job, const Search *search, GlnBuffer *out) {
  const Candidate *chosen = &search->candidates[search->chosen];
  if (job->arguments.value[GLN_OPT_EASIEST].given)
    add_candidates(job, search, out);
  GlnBuffer words = gln_buffer(job->arena);
  if (search->home_known) {
    add_key(&words, search->home);
    gln_buffer_add_string(&words, " to ");
    add_key(&words, chosen->move.to);
    gln_buffer_add_string(&words, ", ");
  }
  int way = chosen->move.semitones;
  gln_buffer_format(&words, way == 0 ? "where it was" : "%d semitone%s %s", abs(way),
                    abs(way) == 1 ? "" : "s", way > 0 ? "up" : "down");
  bool any = false;
  for (int capo = 1; search->home_known && capo <= CAPO_FRET_MAX; capo++) {
    GlnKey shapes = shapes_under(chosen->move.to, capo);
    if (!has_open_shapes(shapes))
      continue;
    gln_buffer_format(&words, "%s capo %d with the shapes of ", any ? "," : "; sounds the same:", capo);
    add_key(&words, shapes);
    any = true;
  }
  gln_add_wrapped(out, gln_buffer_text(&words), 0, 2, job->app->columns);
  gln_buffer_add_byte(out, '\n');
}

GlnStatus gln_run_transpose(GlnJob *job) {
  Search search = {0};
  GLN_TRY(ask(job, &search));
  if (job->arguments.value[GLN_OPT_EASIEST].given)
    GLN_TRY(choose_easiest(job, &search));
  Candidate *chosen = &search.candidates[search.chosen];
  GlnText text;
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = gln_transposition_write(search.source, &chosen->move, job->arena, &diags, &text);
  gln_job_show_diags(job, &diags, search.name, search.source);
  GLN_TRY(status);
  if (job->arguments.value[GLN_OPT_JSON].given) {
    GlnArrangement arrangement;
    GlnDiags faults = gln_diags(job->arena);
    status = gln_arrangement_make(search.name, text, &search.wish, job->arena, &faults, &arrangement);
    gln_job_show_diags(job, &faults, search.name, text);
    GLN_TRY(status);
    GLN_TRY(print_json(job, &search, &arrangement, text));
  }
  GlnBuffer words = gln_buffer(job->arena);
  add_words(job, &search, &words);
  return gln_job_deliver_chart(job, text, &words);
}
