/* The line: from a song to a trellis, and from its solution to grips, costs and moves. docs/line.md. */
#include "palette.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NONE UINT32_MAX

#define COST_WEIGHT(name, key, weight, words) weight,
static const double cost_weights[] = {GLN_COST_LIST(COST_WEIGHT)};

GlnLineOptions gln_line_defaults(void) {
  GlnLineOptions options = {0};
  options.instrument = gln_instrument_defaults();
  options.hand = gln_hand(GLN_HAND_MEDIUM);
  options.aim = GLN_AIM_SMOOTH;
  options.open_wish = GLN_OPEN_ALLOWED;
  options.right_hand = GLN_RIGHT_FINGERS;
  for (int c = 0; c < GLN_COST_COUNT; ++c)
    options.weight[c] = cost_weights[c];
  return options;
}

/* Candidates of all written chords that wish the same. */
typedef struct Set {
  const GlnEvent *event; /* the first that wishes so */
  GlnGripList list;
  GlnFeature *features;
  double *hold, *sound; /* weighted, one per grip */
  bool failed;
  struct Way *ways;
  struct Set *next;
} Set;

/* Changes from one set to another. */
typedef struct Way {
  GlnPairs pairs;
  const Set *to;
  struct Way *next;
} Way;

/* One change of the song as played. */
typedef struct Change {
  uint32_t low, high; /* variables */
  bool up;
  double voices, haste, load;
} Change;

typedef struct Job {
  const GlnSong *song;
  const GlnLineOptions *options;
  GlnArena *arena;
  GlnDiags *diags;
  GlnCosting costing;
  double tempo, quarter_s;
  bool plain;
  Set *sets, **last_set;
  uint32_t *variable_of; /* slot to variable; NONE when silent */
  Set **set_of;          /* variable to its candidates */
  uint32_t *times;       /* how often each variable is played */
  uint32_t variable_count;
  GlnTrellis trellis;
} Job;

static bool is_silent(const GlnSlot *slot) {
  return slot->event->chord.silent;
}

/* ---- variables and candidates -------------------------------------------------------------------------------------- */

static bool song_is_plain(const GlnSong *song) {
  size_t plain = 0, sounding = 0;
  for (size_t i = 0; i < song->slot_count; ++i)
    if (!is_silent(&song->slots[i])) {
      ++sounding;
      plain += gln_chord_is_plain(&song->slots[i].event->chord) ? 1U : 0U;
    }
  return 2 * plain >= sounding;
}

static GlnStatus find_set(Job *job, const GlnEvent *event, Set **found) {
  for (Set *set = job->sets; set != NULL; set = set->next)
    if (gln_candidates_same(set->event, event)) {
      *found = set;
      return GLN_OK;
    }
  Set *set = GLN_NEW(job->arena, Set, 1);
  if (set == NULL)
    return GLN_MEMORY;
  set->event = event;
  GlnStatus status = gln_candidates_find(event, job->options, job->arena, job->diags, &set->list);
  if (status != GLN_OK && status != GLN_NO)
    return status;
  set->failed = status == GLN_NO;
  *job->last_set = set;
  job->last_set = &set->next;
  *found = set;
  return GLN_OK;
}

static GlnStatus find_variables(Job *job) {
  const GlnSong *song = job->song;
  size_t most = job->options->vary ? song->slot_count : song->written_count;
  uint32_t *of_written = GLN_NEW(job->arena, uint32_t, song->written_count);
  Set **set_of_written = GLN_NEW(job->arena, Set *, song->written_count);
  job->variable_of = GLN_NEW(job->arena, uint32_t, song->slot_count);
  job->set_of = GLN_NEW(job->arena, Set *, most);
  job->times = GLN_NEW(job->arena, uint32_t, most);
  if (of_written == NULL || set_of_written == NULL || job->variable_of == NULL || job->set_of == NULL ||
      job->times == NULL)
    return GLN_MEMORY;
  for (size_t w = 0; w < song->written_count; ++w)
    of_written[w] = NONE;
  for (size_t i = 0; i < song->slot_count; ++i) {
    const GlnSlot *slot = &song->slots[i];
    job->variable_of[i] = NONE;
    if (is_silent(slot))
      continue;
    if (set_of_written[slot->written] == NULL)
      GLN_TRY(find_set(job, slot->event, &set_of_written[slot->written]));
    uint32_t *variable = &of_written[slot->written];
    if (*variable == NONE || job->options->vary) {
      *variable = job->variable_count++;
      job->set_of[*variable] = set_of_written[slot->written];
    }
    job->variable_of[i] = *variable;
    ++job->times[*variable];
  }
  return GLN_OK;
}

static GlnStatus cost_set(const Job *job, Set *set) {
  size_t count = set->list.count;
  set->features = GLN_NEW(job->arena, GlnFeature, count);
  set->hold = GLN_NEW(job->arena, double, count);
  set->sound = GLN_NEW(job->arena, double, count);
  if (set->features == NULL || set->hold == NULL || set->sound == NULL)
    return GLN_MEMORY;
  const double *weight = job->options->weight;
  for (size_t g = 0; g < count; ++g) {
    const GlnGrip *grip = &set->list.grips[g];
    gln_feature_make(&job->options->instrument, &set->event->chord, grip, &set->features[g]);
    set->hold[g] = weight[GLN_COST_HOLD] * (double)grip->fingering.difficulty;
    set->sound[g] = weight[GLN_COST_SOUND] * gln_sound_cost(&set->event->chord, grip, job->plain);
  }
  return GLN_OK;
}

/* ---- changes ------------------------------------------------------------------------------------------------------- */

/* Seconds the hand may spend on the change into slot i from slot before: a share of that slot, and all the silence
 * between. */
static double available_s(const Job *job, size_t before, size_t i) {
  const GlnSlot *from = &job->song->slots[before], *to = &job->song->slots[i];
  double held = gln_ratio_value(from->quarters);
  double apart = gln_ratio_value(to->start) - gln_ratio_value(from->start);
  double silence = apart > held ? apart - held : 0;
  return (GLN_CHANGE_SHARE * held + silence) * job->quarter_s;
}

static Change change_into(const Job *job, size_t before, size_t i) {
  uint32_t a = job->variable_of[before], b = job->variable_of[i];
  double available = available_s(job, before, i);
  Change change = {.low = a < b ? a : b, .high = a < b ? b : a, .up = a < b};
  change.voices = before + 1 == i ? 1 : 0; /* no voice leading across silence */
  change.haste = job->options->weight[GLN_COST_MOVE] * gln_haste(available);
  change.load = available > 0 ? 1.0 / available : 1e6;
  return change;
}

static int by_ends(const void *a, const void *b) {
  const Change *x = a, *y = b;
  if (x->low != y->low)
    return x->low < y->low ? -1 : 1;
  return x->high < y->high ? -1 : x->high > y->high;
}

static GlnStatus find_pairs(const Job *job, uint32_t from, uint32_t to, GlnPairs **pairs) {
  Set *source = job->set_of[from];
  const Set *target = job->set_of[to];
  for (Way *way = source->ways; way != NULL; way = way->next)
    if (way->to == target) {
      *pairs = &way->pairs;
      return GLN_OK;
    }
  Way *way = GLN_NEW(job->arena, Way, 1);
  if (way == NULL)
    return GLN_MEMORY;
  way->to = target;
  way->next = source->ways;
  source->ways = way;
  way->pairs = (GlnPairs){.costing = &job->costing,
                          .from = source->features,
                          .to = target->features,
                          .from_count = source->list.count,
                          .to_count = target->list.count,
                          .arena = job->arena};
  *pairs = &way->pairs;
  return GLN_OK;
}

static GlnStatus add_change(const Job *job, GlnEdge *edge, const Change *change) {
  GlnTerm *term = change->up ? &edge->up : &edge->down;
  if (term->pairs == NULL) {
    uint32_t from = change->up ? change->low : change->high, to = change->up ? change->high : change->low;
    GLN_TRY(find_pairs(job, from, to, &term->pairs));
  }
  term->voices += change->voices;
  term->haste += change->haste;
  term->load = change->load > term->load ? change->load : term->load;
  return GLN_OK;
}

static GlnStatus find_edges(Job *job) {
  const GlnSong *song = job->song;
  Change *changes = GLN_NEW(job->arena, Change, song->slot_count);
  if (changes == NULL)
    return GLN_MEMORY;
  size_t count = 0, before = song->slot_count;
  for (size_t i = 0; i < song->slot_count; ++i) {
    if (job->variable_of[i] == NONE)
      continue;
    if (before < i && job->variable_of[before] != job->variable_of[i])
      changes[count++] = change_into(job, before, i);
    before = i;
  }
  qsort(changes, count, sizeof *changes, by_ends);
  job->trellis.edges = GLN_NEW(job->arena, GlnEdge, count);
  if (job->trellis.edges == NULL)
    return GLN_MEMORY;
  GlnEdge *edge = NULL;
  for (size_t c = 0; c < count; ++c) {
    if (edge == NULL || edge->low != changes[c].low || edge->high != changes[c].high) {
      edge = &job->trellis.edges[job->trellis.edge_count++];
      *edge = (GlnEdge){.low = changes[c].low, .high = changes[c].high};
    }
    GLN_TRY(add_change(job, edge, &changes[c]));
  }
  return GLN_OK;
}

static GlnStatus make_trellis(Job *job) {
  for (Set *set = job->sets; set != NULL; set = set->next)
    GLN_TRY(cost_set(job, set));
  GlnTrellis *trellis = &job->trellis;
  trellis->load_limit = (double)INFINITY;
  trellis->variable_count = job->variable_count;
  trellis->variables = GLN_NEW(job->arena, GlnVariable, job->variable_count);
  if (trellis->variables == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < job->variable_count; ++v) {
    const Set *set = job->set_of[v];
    double *unary = GLN_NEW(job->arena, double, set->list.count);
    if (unary == NULL)
      return GLN_MEMORY;
    for (size_t g = 0; g < set->list.count; ++g)
      unary[g] = job->times[v] * (set->hold[g] + set->sound[g]);
    trellis->variables[v] = (GlnVariable){unary, (uint32_t)set->list.count};
  }
  return find_edges(job);
}

/* ---- the answer ---------------------------------------------------------------------------------------------------- */

static void fill_change(const Job *job, const uint32_t *labels, size_t before, size_t i, GlnLine *line) {
  uint32_t a = job->variable_of[before], b = job->variable_of[i];
  const GlnFeature *from = &job->set_of[a]->features[labels[a]], *to = &job->set_of[b]->features[labels[b]];
  GlnLineSlot *slot = &line->slots[i];
  Change change = change_into(job, before, i);
  slot->move = gln_move_between(&job->options->instrument, &line->slots[before].grip, &slot->grip);
  slot->cost[GLN_COST_MOVE] = change.haste * (double)gln_move_seconds(from, to);
  slot->load = change.load * (double)gln_move_seconds(from, to);
  if (change.voices > 0)
    gln_change_parts(&job->costing, from, to, slot->cost);
}

static void fill_line(const Job *job, const uint32_t *labels, GlnLine *line) {
  size_t before = line->slot_count;
  double greatest = 0;
  for (size_t i = 0; i < line->slot_count; ++i) {
    uint32_t v = job->variable_of[i];
    GlnLineSlot *slot = &line->slots[i];
    slot->slot = &job->song->slots[i];
    slot->silent = v == NONE;
    if (slot->silent)
      continue;
    const Set *set = job->set_of[v];
    slot->grip = set->list.grips[labels[v]];
    slot->cost[GLN_COST_HOLD] = set->hold[labels[v]];
    slot->cost[GLN_COST_SOUND] = set->sound[labels[v]];
    if (before < i)
      fill_change(job, labels, before, i, line);
    if (slot->load > greatest) {
      greatest = slot->load;
      line->hardest = i;
    }
    for (int c = 0; c < GLN_COST_COUNT; ++c)
      line->total += slot->cost[c];
    before = i;
  }
  line->highest_tempo = greatest > 0 ? line->tempo / greatest : (double)INFINITY;
}

static bool same_grip(const GlnGrip *a, const GlnGrip *b) {
  return gln_frets_equal(&a->frets, &b->frets) &&
         memcmp(a->fingering.finger, b->fingering.finger, sizeof a->fingering.finger) == 0;
}

static uint64_t grip_hash(const GlnGrip *grip) {
  uint64_t hash = 14695981039346656037U; /* FNV-1a */
  for (int s = 0; s < grip->frets.string_count; ++s) {
    hash = (hash ^ (uint8_t)grip->frets.fret[s]) * 1099511628211U;
    hash = (hash ^ (uint8_t)grip->fingering.finger[s]) * 1099511628211U;
  }
  return hash;
}

/* Each slot's place among the distinct grips, through an open hash of them. */
static GlnStatus find_distinct(GlnLine *line, GlnArena *arena) {
  size_t places = 16;
  while (places < 2 * line->slot_count)
    places *= 2;
  size_t *table = GLN_NEW(arena, size_t, places); /* index among the distinct + 1; 0: empty */
  if (table == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < line->slot_count; ++i) {
    GlnLineSlot *slot = &line->slots[i];
    if (slot->silent)
      continue;
    size_t at = (size_t)grip_hash(&slot->grip) & (places - 1);
    while (table[at] != 0 && !same_grip(&line->slots[line->distinct[table[at] - 1]].grip, &slot->grip))
      at = (at + 1) & (places - 1);
    if (table[at] == 0) {
      line->distinct[line->distinct_count++] = i;
      table[at] = line->distinct_count;
    }
    slot->distinct = table[at] - 1;
  }
  return GLN_OK;
}

static GlnStatus line_new(const GlnSong *song, double tempo, GlnArena *arena, GlnLine **line) {
  GlnLine *made = GLN_NEW(arena, GlnLine, 1);
  if (made == NULL)
    return GLN_MEMORY;
  made->song = song;
  made->slot_count = song->slot_count;
  made->hardest = song->slot_count;
  made->tempo = tempo;
  made->slots = GLN_NEW(arena, GlnLineSlot, song->slot_count);
  made->distinct = GLN_NEW(arena, size_t, song->slot_count);
  if (made->slots == NULL || made->distinct == NULL)
    return GLN_MEMORY;
  *line = made;
  return GLN_OK;
}

static GlnStatus make_palette(const Job *job, bool shapes, uint32_t most, GlnPalette *palette) {
  *palette = (GlnPalette){.trellis = &job->trellis, .shapes = shapes, .most = most};
  palette->group = GLN_NEW(job->arena, uint32_t, job->variable_count);
  for (const Set *set = job->sets; set != NULL; set = set->next)
    ++palette->group_count;
  palette->lists = GLN_NEW(job->arena, const GlnGripList *, palette->group_count);
  palette->events = GLN_NEW(job->arena, const GlnEvent *, palette->group_count);
  if (palette->group == NULL || palette->lists == NULL || palette->events == NULL)
    return GLN_MEMORY;
  uint32_t g = 0;
  for (const Set *set = job->sets; set != NULL; set = set->next, ++g) {
    palette->lists[g] = &set->list;
    palette->events[g] = set->event;
    for (uint32_t v = 0; v < job->variable_count; ++v)
      if (job->set_of[v] == set)
        palette->group[v] = g;
  }
  return GLN_OK;
}

/* At most so many grips or shapes. */
static GlnStatus solve_within(const Job *job, uint32_t *labels, double *bound) {
  const GlnLineOptions *options = job->options;
  GlnPalette palette;
  bool shapes = options->grips_most == 0;
  GLN_TRY(make_palette(job, shapes, shapes ? options->shapes_most : options->grips_most, &palette));
  return gln_palette_solve(&palette, options->bass_wish == GLN_BASS_ANY, job->arena, job->diags, labels,
                           bound);
}

static GlnStatus solve(Job *job, GlnLine *line) {
  uint32_t *labels = GLN_NEW(job->arena, uint32_t, job->variable_count);
  if (labels == NULL)
    return GLN_MEMORY;
  GLN_TRY(make_trellis(job));
  double total = 0;
  if (job->options->grips_most > 0 || job->options->shapes_most > 0)
    GLN_TRY(solve_within(job, labels, &line->bound));
  else if (job->options->aim == GLN_AIM_EASY)
    GLN_TRY(gln_trellis_solve_easy(&job->trellis, job->arena, labels, &total));
  else
    GLN_TRY(gln_trellis_solve(&job->trellis, job->arena, labels, &total));
  fill_line(job, labels, line);
  line->bound = line->bound > 0 && line->bound < line->total ? line->bound : line->total;
  GLN_TRY(find_distinct(line, job->arena));
  for (const Set *set = job->sets; set != NULL; set = set->next) {
    line->candidates += set->list.count;
    for (const Way *way = set->ways; way != NULL; way = way->next)
      line->pairs_costed += way->pairs.costed;
  }
  return GLN_OK;
}

static bool weights_are_sound(const GlnLineOptions *options) {
  for (int c = 0; c < GLN_COST_COUNT; ++c)
    if (!isfinite(options->weight[c]) || options->weight[c] < 0)
      return false;
  return true;
}

static void limit_fault(GlnDiags *diags, const char *problem, const char *advice) {
  gln_diags_add(diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
}

/* Variables and candidates: everything that can be wrong with a song is said here. */
static GlnStatus begin(const GlnSong *song, const GlnLineOptions *options, GlnArena *arena, GlnDiags *diags,
                       Job *job) {
  if (!weights_are_sound(options))
    return GLN_USAGE;
  if (song->slot_count > GLN_LINE_SLOTS_MAX) {
    limit_fault(diags, "the song has more than 50000 chords as played", "split it into several charts");
    return GLN_LIMIT;
  }
  *job = (Job){.song = song, .options = options, .arena = arena, .diags = diags};
  job->last_set = &job->sets;
  job->tempo = options->tempo > 0 ? options->tempo : song->chart->tempo;
  job->quarter_s = 60.0 / job->tempo;
  job->plain = song_is_plain(song);
  job->costing = gln_costing(options->weight, job->plain);
  GLN_TRY(find_variables(job));
  for (const Set *set = job->sets; set != NULL; set = set->next)
    if (set->failed)
      return GLN_INPUT;
  return GLN_OK;
}

static GlnStatus end(GlnStatus status, GlnDiags *diags) {
  if (status == GLN_LIMIT)
    limit_fault(diags, "this form ties too many chords together: the search gave up after 200000 branches",
                "pin some grips, or let sections that return be played another way");
  return status == GLN_NO ? GLN_INPUT : status; /* too few grips: said already */
}

GlnStatus gln_line_solve(const GlnSong *song, const GlnLineOptions *options, GlnArena *arena, GlnDiags *diags,
                         GlnLine **line) {
  Job job;
  GLN_TRY(begin(song, options, arena, diags, &job));
  GlnLine *made = NULL;
  GLN_TRY(line_new(song, job.tempo, arena, &made));
  /* Working memory goes back once the grips are copied out; faults were all reported before, but for too few grips. */
  GlnArenaMark mark = gln_arena_mark(arena);
  GlnStatus status = solve(&job, made);
  if (status != GLN_NO)
    gln_arena_rewind(arena, mark);
  if (status == GLN_OK)
    *line = made;
  return end(status, diags);
}

GlnStatus gln_line_curve(const GlnSong *song, const GlnLineOptions *options, bool shapes, GlnArena *arena,
                         GlnDiags *diags, GlnCurvePoint **points, size_t *count) {
  Job job;
  GlnPalette palette;
  *count = 0;
  GLN_TRY(begin(song, options, arena, diags, &job));
  *points = GLN_NEW(arena, GlnCurvePoint, job.variable_count);
  if (*points == NULL)
    return GLN_MEMORY;
  if (job.variable_count == 0)
    return GLN_OK;
  GLN_TRY(make_trellis(&job));
  GLN_TRY(make_palette(&job, shapes, 0, &palette));
  return end(gln_palette_curve(&palette, arena, *points, count), diags);
}
