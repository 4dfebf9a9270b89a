/* Returns that vary: a chord that comes round again is held otherwise than before. docs/line.md.
 *
 * The first time round everything is as in the line whose returns are alike. Each return is then chosen when it comes,
 * exactly: the way of least cost from what is played before it to what is settled after it, among the grips that differ
 * from those of every earlier time, as far as there are such grips. */
#include "line_job.h"

typedef struct Varying {
  const GlnLineJob *job;
  uint32_t *labels; /* of slots */
  size_t *earlier;  /* the slot in which the written chord was played last; slot_count: never */
  bool *settled;
  GlnLineJob part; /* the return that is being chosen */
  uint32_t **kept; /* of the part's variables: their labels among all candidates */
} Varying;

static bool is_silent(const Varying *varying, size_t i) {
  return varying->job->variable_of[i] == GLN_NO_VARIABLE;
}

/* True when some chord comes round again in a section that varies. */
static bool find_returns(Varying *varying, size_t *last_of_written) {
  const GlnSong *song = varying->job->song;
  bool any = false;
  for (size_t w = 0; w < song->written_count; ++w)
    last_of_written[w] = song->slot_count;
  for (size_t i = 0; i < song->slot_count; ++i) {
    size_t *last = &last_of_written[song->slots[i].written];
    varying->earlier[i] = *last;
    varying->settled[i] = *last == song->slot_count || is_silent(varying, i) ||
                          !gln_slot_varies(varying->job->options, song->slots[i].section);
    any = any || !varying->settled[i];
    *last = i;
  }
  return any;
}

/* One time round: until something is settled, or the section begins again, or a repeat goes back. */
static size_t return_end(const Varying *varying, size_t first) {
  const GlnSong *song = varying->job->song;
  size_t end = first + 1;
  uint32_t written = song->slots[first].written;
  for (; end < song->slot_count; ++end) {
    const GlnSlot *slot = &song->slots[end];
    if (is_silent(varying, end))
      continue;
    if (varying->settled[end] || slot->section != song->slots[first].section ||
        slot->section_pass != song->slots[first].section_pass || slot->written <= written)
      break;
    written = slot->written;
  }
  return end;
}

/* Differs from the chord's grip in each of so many earlier times, the latest first. */
static bool is_new(const Varying *varying, const GlnLineSet *set, size_t slot, uint32_t label, size_t times) {
  size_t none = varying->job->song->slot_count;
  for (size_t e = varying->earlier[slot]; e != none && times > 0; e = varying->earlier[e], --times)
    if (!gln_labels_differ(set, label, varying->labels[e]))
      return false;
  return true;
}

/* How many earlier times can be differed from at once, and how many labels do so. */
static size_t times_to_differ(const Varying *varying, const GlnLineSet *set, size_t slot, uint32_t *count) {
  size_t times = 0, none = varying->job->song->slot_count;
  for (size_t e = varying->earlier[slot]; e != none; e = varying->earlier[e])
    ++times;
  for (;; --times) {
    *count = 0;
    for (uint32_t k = 0; k < set->list.count; ++k)
      *count += is_new(varying, set, slot, k, times) ? 1U : 0U;
    if (*count > 0 || times == 0)
      return times;
  }
}

/* Adds a variable with some labels of a set: copies of what they cost. */
static GlnStatus add_variable(Varying *varying, size_t slot, const uint32_t *labels, uint32_t count) {
  GlnLineJob *part = &varying->part;
  const GlnLineSet *all = varying->job->set_of[varying->job->variable_of[slot]];
  GlnLineSet *set = GLN_NEW(part->arena, GlnLineSet, 1);
  uint32_t *kept = GLN_NEW(part->arena, uint32_t, count);
  if (set == NULL || kept == NULL)
    return GLN_MEMORY;
  *set = *all;
  set->ways = NULL;
  set->next = NULL;
  set->list.count = count;
  set->features = GLN_NEW(part->arena, GlnFeature, count);
  set->hold = GLN_NEW(part->arena, double, count);
  set->sound = GLN_NEW(part->arena, double, count);
  set->bass = GLN_NEW(part->arena, double, count);
  if (set->features == NULL || set->hold == NULL || set->sound == NULL || set->bass == NULL)
    return GLN_MEMORY;
  for (uint32_t k = 0; k < count; ++k) {
    kept[k] = labels[k];
    set->features[k] = all->features[labels[k]];
    set->hold[k] = all->hold[labels[k]];
    set->sound[k] = all->sound[labels[k]];
    set->bass[k] = all->bass[labels[k]];
  }
  uint32_t v = part->variable_count++;
  varying->kept[v] = kept;
  part->set_of[v] = set;
  part->times[v] = 1;
  part->variable_of[slot] = v;
  return GLN_OK;
}

static GlnStatus add_choice(Varying *varying, size_t slot) {
  const GlnLineSet *set = varying->job->set_of[varying->job->variable_of[slot]];
  uint32_t count = 0, found = 0;
  size_t times = times_to_differ(varying, set, slot, &count);
  uint32_t *labels = GLN_NEW(varying->part.arena, uint32_t, count);
  if (labels == NULL)
    return GLN_MEMORY;
  for (uint32_t k = 0; k < set->list.count; ++k)
    if (is_new(varying, set, slot, k, times))
      labels[found++] = k;
  return add_variable(varying, slot, labels, count);
}

/* The slot that sounds next to the part on one side; slot_count when there is none or it is not settled. */
static size_t neighbour(const Varying *varying, size_t at, bool forward) {
  size_t none = varying->job->song->slot_count;
  while (forward ? at < none : at > 0) {
    size_t here = forward ? at : at - 1;
    if (!is_silent(varying, here))
      return varying->settled[here] ? here : none;
    at = forward ? at + 1 : at - 1;
  }
  return none;
}

static GlnStatus choose(Varying *varying, size_t first, size_t end) {
  GlnLineJob *part = &varying->part;
  size_t none = varying->job->song->slot_count, room = end - first + 2;
  part->variable_count = 0;
  part->set_of = GLN_NEW(part->arena, GlnLineSet *, room);
  part->times = GLN_NEW(part->arena, uint32_t, room);
  varying->kept = GLN_NEW(part->arena, uint32_t *, room);
  uint32_t *chosen = GLN_NEW(part->arena, uint32_t, room);
  if (part->set_of == NULL || part->times == NULL || varying->kept == NULL || chosen == NULL)
    return GLN_MEMORY;
  size_t before = neighbour(varying, first, false), after = neighbour(varying, end, true);
  if (before != none)
    GLN_TRY(add_variable(varying, before, &varying->labels[before], 1));
  for (size_t i = first; i < end; ++i)
    if (!is_silent(varying, i))
      GLN_TRY(add_choice(varying, i));
  if (after != none)
    GLN_TRY(add_variable(varying, after, &varying->labels[after], 1));
  part->first = before != none ? before : first;
  part->end = after != none ? after + 1 : end;
  double total = 0;
  GLN_TRY(gln_line_job_trellis(part));
  GLN_TRY(gln_line_job_solve(part, chosen, &total));
  for (size_t i = part->first; i < part->end; ++i) {
    uint32_t v = part->variable_of[i];
    if (v == GLN_NO_VARIABLE)
      continue;
    varying->labels[i] = varying->kept[v][chosen[v]];
    varying->settled[i] = true;
    part->variable_of[i] = GLN_NO_VARIABLE;
  }
  return GLN_OK;
}

GlnStatus gln_line_job_vary(const GlnLineJob *job, uint32_t *labels) {
  size_t count = job->song->slot_count;
  Varying varying = {.job = job, .part = *job};
  varying.labels = labels;
  varying.earlier = GLN_NEW(job->arena, size_t, count);
  varying.settled = GLN_NEW(job->arena, bool, count);
  varying.part.variable_of = GLN_NEW(job->arena, uint32_t, count);
  size_t *last = GLN_NEW(job->arena, size_t, job->song->written_count);
  if (varying.earlier == NULL || varying.settled == NULL || varying.part.variable_of == NULL || last == NULL)
    return GLN_MEMORY;
  if (!find_returns(&varying, last))
    return GLN_OK;
  for (size_t i = 0; i < count; ++i)
    varying.part.variable_of[i] = GLN_NO_VARIABLE;
  for (size_t i = 0; i < count; ++i) {
    if (varying.settled[i])
      continue;
    GlnArenaMark mark = gln_arena_mark(job->arena);
    size_t end = return_end(&varying, i);
    GLN_TRY(choose(&varying, i, end));
    gln_arena_rewind(job->arena, mark);
  }
  return GLN_OK;
}
