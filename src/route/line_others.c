/* Lines other than the best: without one grip of it (why), or noticeably different (alternatives). docs/line.md.
 *
 * Both are the exact optimum of the same trellis with some labels shut out. */
#include "line_job.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A hand so many frets away is in another region of the neck; design choice: more than the one fret a hand gives or
 * takes without leaving its place. */
#define REGION_FRETS 3

bool gln_labels_differ(const GlnLineSet *set, uint32_t a, uint32_t b) {
  const GlnFeature *x = &set->features[a], *y = &set->features[b];
  if (x->fingers != 0 && y->fingers != 0 && abs(x->hand_fret - y->hand_fret) >= REGION_FRETS)
    return true;
  if (x->top != y->top && x->bass != y->bass)
    return true;
  const GlnFrets *here = &set->list.grips[a].frets, *there = &set->list.grips[b].frets;
  int sounding = 0, other = 0;
  for (int s = 0; s < here->string_count; ++s) {
    if (here->fret[s] == GLN_NOT_PLAYED && there->fret[s] == GLN_NOT_PLAYED)
      continue;
    ++sounding;
    other += here->fret[s] != there->fret[s] ? 1 : 0;
  }
  return 2 * other > sounding;
}

/* The job's trellis with unary costs of its own, to shut labels out in. */
typedef struct Others {
  GlnLineJob job;
  GlnTrellis all; /* as it was made */
  double **unary; /* of each variable, its copy */
} Others;

static GlnStatus others_begin(const GlnSong *song, const GlnLineOptions *options, GlnArena *arena,
                              GlnDiags *diags, Others *others) {
  GLN_TRY(gln_line_job_begin(song, options, arena, diags, &others->job));
  GlnLineJob *job = &others->job;
  GLN_TRY(gln_line_job_cost(job));
  GLN_TRY(gln_line_job_trellis(job));
  others->all = job->trellis;
  others->unary = GLN_NEW(arena, double *, job->variable_count);
  GlnVariable *variables = GLN_NEW(arena, GlnVariable, job->variable_count);
  if (others->unary == NULL || variables == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < job->variable_count; ++v) {
    uint32_t count = others->all.variables[v].label_count;
    others->unary[v] = GLN_NEW(arena, double, count);
    if (others->unary[v] == NULL)
      return GLN_MEMORY;
    memcpy(others->unary[v], others->all.variables[v].unary, count * sizeof(double));
    variables[v] = (GlnVariable){others->unary[v], count};
  }
  job->trellis.variables = variables;
  return GLN_OK;
}

/* Solves what is left, with scratch memory beside the arena: costs of changes are remembered in it. GLN_NO: nothing is
 * left. */
static GlnStatus solve_rest(Others *others, uint32_t *labels) {
  GlnLineJob *job = &others->job;
  GlnArena *scratch = gln_arena_beside(job->arena);
  double total = 0;
  if (scratch == NULL)
    return GLN_MEMORY;
  GlnLineJob solved = *job;
  solved.arena = scratch;
  solved.trellis.load_limit = (double)INFINITY;
  GlnStatus status = gln_line_job_solve(&solved, labels, &total);
  gln_arena_free(scratch);
  return status;
}

/* A line of the labels, without its grips' index: for its costs. */
static GlnStatus line_of(const Others *others, const uint32_t *labels, GlnLine **line) {
  const GlnLineJob *job = &others->job;
  uint32_t *of_slots = GLN_NEW(job->arena, uint32_t, job->song->slot_count);
  if (of_slots == NULL)
    return GLN_MEMORY;
  GLN_TRY(gln_line_job_line(job, line));
  gln_line_job_spread(job, labels, of_slots);
  return gln_line_job_fill(job, of_slots, *line);
}

/* ---- why ------------------------------------------------------------------------------------------------------- */

static GlnStatus fill_rejected(Others *others, const uint32_t *best, const uint32_t *labels, size_t slot,
                               GlnRejected *rejected) {
  GlnLine *line = NULL;
  GlnArenaMark mark = gln_arena_mark(others->job.arena);
  GLN_TRY(line_of(others, labels, &line));
  rejected->found = true;
  rejected->grip = line->slots[slot].grip;
  rejected->total = line->total;
  rejected->highest_tempo = line->highest_tempo;
  for (size_t i = 0; i < line->slot_count; ++i)
    for (int c = 0; c < GLN_COST_COUNT; ++c)
      rejected->cost[c] += line->slots[i].cost[c];
  for (uint32_t v = 0; v < others->job.variable_count; ++v)
    rejected->also += best[v] != labels[v] && v != others->job.variable_of[slot] ? 1U : 0U;
  gln_arena_rewind(others->job.arena, mark);
  return GLN_OK;
}

static GlnStatus find_rejected(Others *others, const uint32_t *best, uint32_t *labels, size_t slot,
                               GlnRejected *rejected) {
  uint32_t v = others->job.variable_of[slot];
  if (v == GLN_NO_VARIABLE || others->job.trellis.variables[v].label_count < 2)
    return GLN_OK;
  double *taken = &others->unary[v][best[v]], before = *taken;
  *taken = (double)INFINITY;
  GlnStatus status = solve_rest(others, labels);
  *taken = before;
  if (status == GLN_NO)
    return GLN_OK;
  GLN_TRY(status);
  return fill_rejected(others, best, labels, slot, rejected);
}

GlnStatus gln_line_rejected(const GlnSong *song, const GlnLineOptions *options, const size_t *slots,
                            size_t count, GlnArena *arena, GlnDiags *diags, GlnRejected **rejected) {
  Others others;
  GlnRejected *made = GLN_NEW(arena, GlnRejected, count);
  if (made == NULL)
    return GLN_MEMORY;
  GlnDiags unheard = gln_diags(arena);
  GLN_TRY(others_begin(song, options, arena, &unheard, &others));
  uint32_t n = others.job.variable_count;
  uint32_t *best = GLN_NEW(arena, uint32_t, n), *labels = GLN_NEW(arena, uint32_t, n);
  size_t *told = GLN_NEW(arena, size_t, n); /* of each variable: where it was answered, from 1 */
  if (best == NULL || labels == NULL || told == NULL)
    return GLN_MEMORY;
  GLN_TRY(gln_line_job_end(solve_rest(&others, best), diags));
  for (size_t s = 0; s < count; ++s) {
    uint32_t v = others.job.variable_of[slots[s]];
    if (v != GLN_NO_VARIABLE && told[v] > 0) {
      made[s] = made[told[v] - 1];
      continue;
    }
    GLN_TRY(gln_line_job_end(find_rejected(&others, best, labels, slots[s], &made[s]), diags));
    if (v != GLN_NO_VARIABLE)
      told[v] = s + 1;
  }
  *rejected = made;
  return GLN_OK;
}

/* ---- alternatives ---------------------------------------------------------------------------------------------- */

/* Shuts out the labels of a variable that do not differ from those of every line found, unless none would be left. */
static void shut_out(Others *others, uint32_t v, uint32_t *const *found, size_t count) {
  const GlnLineSet *set = others->job.set_of[v];
  const GlnVariable *variable = &others->all.variables[v];
  bool left = false;
  for (uint32_t k = 0; k < variable->label_count; ++k) {
    bool differs = true;
    for (size_t f = 0; f < count && differs; ++f)
      differs = gln_labels_differ(set, k, found[f][v]);
    others->unary[v][k] = differs ? variable->unary[k] : (double)INFINITY;
    left = left || differs;
  }
  if (!left)
    memcpy(others->unary[v], variable->unary, variable->label_count * sizeof(double));
}

/* Is the line one of those found? So it is where no chord can be held otherwise. */
static bool is_found(uint32_t *const *found, size_t count, const uint32_t *labels, uint32_t n) {
  for (size_t f = 0; f < count; ++f)
    if (memcmp(found[f], labels, n * sizeof *labels) == 0)
      return true;
  return false;
}

/* The lines found so far, as labels. */
typedef struct Found {
  uint32_t **labels;
  size_t count;
} Found;

/* The cheapest of all lines that are left. *line stays NULL when there is none, or none that is new. */
static GlnStatus find_next(Others *others, Found *found, GlnDiags *diags, GlnLine **line) {
  uint32_t n = others->job.variable_count;
  uint32_t *labels = GLN_NEW(others->job.arena, uint32_t, n);
  if (labels == NULL)
    return GLN_MEMORY;
  GlnStatus status = solve_rest(others, labels);
  if (status == GLN_NO || (status == GLN_OK && is_found(found->labels, found->count, labels, n)))
    return GLN_OK;
  GLN_TRY(gln_line_job_end(status, diags));
  found->labels[found->count++] = labels;
  return line_of(others, labels, line);
}

GlnStatus gln_line_alternatives(const GlnSong *song, const GlnLineOptions *options, size_t most,
                                double within, GlnArena *arena, GlnDiags *diags, GlnLine ***lines,
                                size_t *count) {
  Others others;
  *count = 0;
  *lines = GLN_NEW(arena, GlnLine *, most);
  Found found = {.labels = GLN_NEW(arena, uint32_t *, most)};
  if (*lines == NULL || found.labels == NULL)
    return GLN_MEMORY;
  GLN_TRY(others_begin(song, options, arena, diags, &others));
  while (*count < most) {
    GlnLine *line = NULL;
    GLN_TRY(find_next(&others, &found, diags, &line));
    if (line == NULL || (*count > 0 && line->total > (*lines)[0]->total * (1 + within)))
      break;
    (*lines)[(*count)++] = line;
    for (uint32_t v = 0; v < others.job.variable_count; ++v)
      shut_out(&others, v, found.labels, found.count);
  }
  return GLN_OK;
}
