/* The line: from the solution of its trellis to grips, costs and moves. docs/line.md. */
#include "line_job.h"
#include "palette.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

/* ---- the answer ---------------------------------------------------------------------------------------------------- */

static void fill_change(const GlnLineJob *job, const uint32_t *labels, size_t before, size_t i,
                        GlnLine *line) {
  const GlnLineSet *source = job->set_of[job->variable_of[before]],
                   *target = job->set_of[job->variable_of[i]];
  const GlnFeature *from = &source->features[labels[before]], *to = &target->features[labels[i]];
  GlnLineSlot *slot = &line->slots[i];
  GlnLineChange change = gln_line_job_change(job, before, i);
  slot->move = gln_move_between(&job->options->instrument, &line->slots[before].grip, &slot->grip);
  slot->cost[GLN_COST_MOVE] = change.haste * (double)gln_move_seconds(from, to);
  slot->load = change.load * (double)gln_move_seconds(from, to);
  if (change.voices > 0)
    gln_change_parts(&job->costing[target->wish.bass_line], from, to, slot->cost);
}

static void fill_slots(const GlnLineJob *job, const uint32_t *labels, GlnLine *line) {
  size_t before = line->slot_count;
  double greatest = 0;
  for (size_t i = 0; i < line->slot_count; ++i) {
    uint32_t v = job->variable_of[i];
    GlnLineSlot *slot = &line->slots[i];
    slot->slot = &job->song->slots[i];
    slot->silent = v == GLN_NO_VARIABLE;
    if (slot->silent)
      continue;
    const GlnLineSet *set = job->set_of[v];
    slot->grip = set->list.grips[labels[i]];
    slot->chord = gln_line_set_chord(set, labels[i]);
    slot->simplified = set->readings != NULL && set->readings[labels[i]].points > 0;
    slot->cost[GLN_COST_HOLD] = set->hold[labels[i]];
    slot->cost[GLN_COST_SOUND] = set->sound[labels[i]];
    if (before < i)
      fill_change(job, labels, before, i, line);
    slot->cost[GLN_COST_BASS] += set->bass[labels[i]];
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

GlnStatus gln_line_job_line(const GlnLineJob *job, GlnLine **line) {
  const GlnSong *song = job->song;
  GlnArena *arena = job->arena;
  GlnLine *made = GLN_NEW(arena, GlnLine, 1);
  if (made == NULL)
    return GLN_MEMORY;
  made->song = song;
  made->slot_count = song->slot_count;
  made->hardest = song->slot_count;
  made->tempo = job->tempo;
  made->slots = GLN_NEW(arena, GlnLineSlot, song->slot_count);
  made->distinct = GLN_NEW(arena, size_t, song->slot_count);
  if (made->slots == NULL || made->distinct == NULL)
    return GLN_MEMORY;
  *line = made;
  return GLN_OK;
}

static GlnStatus make_palette(const GlnLineJob *job, bool shapes, uint32_t most, GlnPalette *palette) {
  *palette = (GlnPalette){.trellis = &job->trellis,
                          .shapes = shapes,
                          .most = most,
                          .any_bass = job->options->bass_wish == GLN_BASS_ANY,
                          .simplify = job->options->simplify};
  palette->group = GLN_NEW(job->arena, uint32_t, job->variable_count);
  for (const GlnLineSet *set = job->sets; set != NULL; set = set->next)
    ++palette->group_count;
  palette->lists = GLN_NEW(job->arena, const GlnGripList *, palette->group_count);
  palette->events = GLN_NEW(job->arena, const GlnEvent *, palette->group_count);
  if (palette->group == NULL || palette->lists == NULL || palette->events == NULL)
    return GLN_MEMORY;
  uint32_t g = 0;
  for (const GlnLineSet *set = job->sets; set != NULL; set = set->next, ++g) {
    palette->lists[g] = &set->list;
    palette->events[g] = set->event;
    for (uint32_t v = 0; v < job->variable_count; ++v)
      if (job->set_of[v] == set)
        palette->group[v] = g;
  }
  return GLN_OK;
}

/* At most so many grips or shapes. */
static GlnStatus solve_within(const GlnLineJob *job, uint32_t *labels, double *bound) {
  const GlnLineOptions *options = job->options;
  GlnPalette palette;
  bool shapes = options->grips_most == 0;
  GLN_TRY(make_palette(job, shapes, shapes ? options->shapes_most : options->grips_most, &palette));
  return gln_palette_solve(&palette, job->arena, job->diags, labels, bound);
}

void gln_line_job_spread(const GlnLineJob *job, const uint32_t *of_variables, uint32_t *of_slots) {
  for (size_t i = 0; i < job->song->slot_count; ++i)
    of_slots[i] = job->variable_of[i] != GLN_NO_VARIABLE ? of_variables[job->variable_of[i]] : 0;
}

GlnStatus gln_line_job_fill(const GlnLineJob *job, const uint32_t *labels, GlnLine *line) {
  fill_slots(job, labels, line);
  line->bound = line->total;
  for (const GlnLineSet *set = job->sets; set != NULL; set = set->next) {
    line->candidates += set->list.count;
    for (const GlnLineWay *way = set->ways; way != NULL; way = way->next)
      line->pairs_costed += way->pairs.costed;
  }
  return find_distinct(line, job->arena);
}

static GlnStatus solve(GlnLineJob *job, GlnLine *line) {
  const GlnLineOptions *options = job->options;
  uint32_t *labels = GLN_NEW(job->arena, uint32_t, job->variable_count);
  uint32_t *of_slots = GLN_NEW(job->arena, uint32_t, job->song->slot_count);
  if (labels == NULL || of_slots == NULL)
    return GLN_MEMORY;
  GLN_TRY(gln_line_job_cost(job));
  GLN_TRY(gln_line_job_trellis(job));
  double total = 0, bound = 0;
  bool few = options->grips_most > 0 || options->shapes_most > 0;
  if (few)
    GLN_TRY(solve_within(job, labels, &bound));
  else
    GLN_TRY(gln_line_job_solve(job, labels, &total));
  gln_line_job_spread(job, labels, of_slots);
  if (!few)
    GLN_TRY(gln_line_job_vary(job, of_slots));
  GLN_TRY(gln_line_job_fill(job, of_slots, line));
  line->bound = few && bound > 0 && bound < line->total ? bound : line->total;
  return GLN_OK;
}

GlnStatus gln_line_solve(const GlnSong *song, const GlnLineOptions *options, GlnArena *arena, GlnDiags *diags,
                         GlnLine **line) {
  GlnLineJob job;
  GLN_TRY(gln_line_job_begin(song, options, arena, diags, &job));
  GlnLine *made = NULL;
  GLN_TRY(gln_line_job_line(&job, &made));
  /* Working memory goes back once the grips are copied out; faults were all reported before, but for too few grips. */
  GlnArenaMark mark = gln_arena_mark(arena);
  GlnStatus status = solve(&job, made);
  if (status != GLN_NO)
    gln_arena_rewind(arena, mark);
  if (status == GLN_OK)
    *line = made;
  return gln_line_job_end(status, diags);
}

GlnStatus gln_line_curve(const GlnSong *song, const GlnLineOptions *options, bool shapes, GlnArena *arena,
                         GlnDiags *diags, GlnCurvePoint **points, size_t *count) {
  GlnLineJob job;
  GlnPalette palette;
  *count = 0;
  GLN_TRY(gln_line_job_begin(song, options, arena, diags, &job));
  *points = GLN_NEW(arena, GlnCurvePoint, job.variable_count);
  if (*points == NULL)
    return GLN_MEMORY;
  if (job.variable_count == 0)
    return GLN_OK;
  GLN_TRY(gln_line_job_cost(&job));
  GLN_TRY(gln_line_job_trellis(&job));
  GLN_TRY(make_palette(&job, shapes, 0, &palette));
  return gln_line_job_end(gln_palette_curve(&palette, arena, *points, count), diags);
}
