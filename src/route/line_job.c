/* From a song to a trellis: variables, candidates, costs, changes. docs/line.md. */
#include "line_job.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

static const GlnSectionWish *section_wish(const GlnLineOptions *options, size_t section) {
  return section < options->section_count ? &options->sections[section] : NULL;
}

GlnSlotWish gln_slot_wish(const GlnLineOptions *options, size_t section) {
  const GlnSectionWish *own = section_wish(options, section);
  GlnSlotWish wish = {.textures = options->textures,
                      .fret_low = options->fret_low,
                      .fret_high = options->fret_high,
                      .bass_line = options->bass_line};
  if (own != NULL && own->has_textures)
    wish.textures = own->textures;
  if (own != NULL && own->has_frets) {
    wish.fret_low = own->fret_low;
    wish.fret_high = own->fret_high;
  }
  if (own != NULL && own->has_bass_line)
    wish.bass_line = own->bass_line;
  return wish;
}

bool gln_slot_varies(const GlnLineOptions *options, size_t section) {
  const GlnSectionWish *own = section_wish(options, section);
  return own != NULL && own->has_vary ? own->vary : options->vary;
}

bool gln_slot_wish_equal(GlnSlotWish a, GlnSlotWish b) {
  return a.textures == b.textures && a.fret_low == b.fret_low && a.fret_high == b.fret_high &&
         a.bass_line == b.bass_line;
}

static GlnStatus find_set(GlnLineJob *job, const GlnSlot *slot, GlnLineSet **found) {
  const GlnEvent *event = slot->event;
  const GlnSlotWish wish = gln_slot_wish(job->options, slot->section);
  for (GlnLineSet *set = job->sets; set != NULL; set = set->next)
    if (gln_slot_wish_equal(set->wish, wish) && gln_candidates_same(set->event, event)) {
      *found = set;
      return GLN_OK;
    }
  GlnLineSet *set = GLN_NEW(job->arena, GlnLineSet, 1);
  if (set == NULL)
    return GLN_MEMORY;
  set->event = event;
  set->wish = wish;
  GlnCandidates candidates;
  GlnStatus status = gln_candidates_find(event, wish, job->options, job->arena, job->diags, &candidates);
  if (status != GLN_OK && status != GLN_NO)
    return status;
  set->list = candidates.list;
  set->chord = candidates.chord;
  set->failed = status == GLN_NO;
  *job->last_set = set;
  job->last_set = &set->next;
  *found = set;
  return GLN_OK;
}

static GlnStatus find_variables(GlnLineJob *job) {
  const GlnSong *song = job->song;
  uint32_t *of_written = GLN_NEW(job->arena, uint32_t, song->written_count);
  GlnLineSet **set_of_written = GLN_NEW(job->arena, GlnLineSet *, song->written_count);
  job->variable_of = GLN_NEW(job->arena, uint32_t, song->slot_count);
  job->set_of = GLN_NEW(job->arena, GlnLineSet *, song->written_count);
  job->times = GLN_NEW(job->arena, uint32_t, song->written_count);
  if (of_written == NULL || set_of_written == NULL || job->variable_of == NULL || job->set_of == NULL ||
      job->times == NULL)
    return GLN_MEMORY;
  for (size_t w = 0; w < song->written_count; ++w)
    of_written[w] = GLN_NO_VARIABLE;
  for (size_t i = 0; i < song->slot_count; ++i) {
    const GlnSlot *slot = &song->slots[i];
    job->variable_of[i] = GLN_NO_VARIABLE;
    if (is_silent(slot))
      continue;
    if (set_of_written[slot->written] == NULL)
      GLN_TRY(find_set(job, slot, &set_of_written[slot->written]));
    uint32_t *variable = &of_written[slot->written];
    if (*variable == GLN_NO_VARIABLE) {
      *variable = job->variable_count++;
      job->set_of[*variable] = set_of_written[slot->written];
    }
    job->variable_of[i] = *variable;
    ++job->times[*variable];
  }
  return GLN_OK;
}

/* A low bass wants to lie near the lowest note there is: so many times what a semitone of leap costs. Design choice,
 * tuned on the lines of examples/. */
#define LOW_TIMES 2

static int lowest_pitch(const GlnInstrument *instrument) {
  int lowest = gln_sounding_midi(instrument, 0, 0);
  for (int s = 1; s < instrument->string_count; ++s)
    if (gln_sounding_midi(instrument, s, 0) < lowest)
      lowest = gln_sounding_midi(instrument, s, 0);
  return lowest;
}

static double bass_cost(const GlnLineJob *job, const GlnLineSet *set, const GlnGrip *grip) {
  if (set->wish.bass_line != GLN_BASS_LINE_LOW)
    return 0;
  int above = grip->midi[grip->bass_string] - lowest_pitch(&job->options->instrument);
  return LOW_TIMES * job->options->weight[GLN_COST_BASS] * above;
}

const GlnChord *gln_line_set_chord(const GlnLineSet *set, size_t g) {
  return set->readings != NULL ? set->readings[g].as : set->chord;
}

static GlnStatus cost_set(const GlnLineJob *job, GlnLineSet *set) {
  size_t count = set->list.count;
  set->features = GLN_NEW(job->arena, GlnFeature, count);
  set->hold = GLN_NEW(job->arena, double, count);
  set->sound = GLN_NEW(job->arena, double, count);
  set->bass = GLN_NEW(job->arena, double, count);
  if (set->features == NULL || set->hold == NULL || set->sound == NULL || set->bass == NULL)
    return GLN_MEMORY;
  const double *weight = job->options->weight;
  for (size_t g = 0; g < count; ++g) {
    const GlnGrip *grip = &set->list.grips[g];
    const GlnChord *chord = gln_line_set_chord(set, g);
    double reading = set->readings != NULL ? set->readings[g].points : 0;
    gln_feature_make(&job->options->instrument, chord, grip, &set->features[g]);
    set->hold[g] = weight[GLN_COST_HOLD] * (double)grip->fingering.difficulty;
    set->sound[g] = weight[GLN_COST_SOUND] *
                    (gln_sound_cost(&job->options->instrument, chord, grip, job->plain) + reading);
    set->bass[g] = bass_cost(job, set, grip);
  }
  return GLN_OK;
}

GlnStatus gln_line_job_cost(GlnLineJob *job) {
  for (GlnLineSet *set = job->sets; set != NULL; set = set->next)
    GLN_TRY(cost_set(job, set));
  return GLN_OK;
}

/* ---- changes ------------------------------------------------------------------------------------------------------- */

/* Seconds the hand may spend on the change into slot i from slot before: a share of that slot, and all the silence
 * between. */
static double available_s(const GlnLineJob *job, size_t before, size_t i) {
  const GlnSlot *from = &job->song->slots[before], *to = &job->song->slots[i];
  double held = gln_ratio_value(from->quarters);
  double apart = gln_ratio_value(to->start) - gln_ratio_value(from->start);
  double silence = apart > held ? apart - held : 0;
  return (GLN_CHANGE_SHARE * held + silence) * job->quarter_s;
}

GlnLineChange gln_line_job_change(const GlnLineJob *job, size_t before, size_t i) {
  uint32_t a = job->variable_of[before], b = job->variable_of[i];
  double available = available_s(job, before, i);
  GlnLineChange change = {.low = a < b ? a : b, .high = a < b ? b : a, .up = a < b};
  change.voices = before + 1 == i ? 1 : 0; /* no voice leading across silence */
  change.haste = job->options->weight[GLN_COST_MOVE] * gln_haste(available);
  change.load = available > 0 ? 1.0 / available : 1e6;
  return change;
}

static int by_ends(const void *a, const void *b) {
  const GlnLineChange *x = a, *y = b;
  if (x->low != y->low)
    return x->low < y->low ? -1 : 1;
  return x->high < y->high ? -1 : x->high > y->high;
}

static GlnStatus find_pairs(const GlnLineJob *job, uint32_t from, uint32_t to, GlnPairs **pairs) {
  GlnLineSet *source = job->set_of[from];
  const GlnLineSet *target = job->set_of[to];
  for (GlnLineWay *way = source->ways; way != NULL; way = way->next)
    if (way->to == target) {
      *pairs = &way->pairs;
      return GLN_OK;
    }
  GlnLineWay *way = GLN_NEW(job->arena, GlnLineWay, 1);
  if (way == NULL)
    return GLN_MEMORY;
  way->to = target;
  way->next = source->ways;
  source->ways = way;
  way->pairs = (GlnPairs){.costing = &job->costing[target->wish.bass_line],
                          .from = source->features,
                          .to = target->features,
                          .from_count = source->list.count,
                          .to_count = target->list.count,
                          .arena = job->arena};
  *pairs = &way->pairs;
  return GLN_OK;
}

static GlnStatus add_change(const GlnLineJob *job, GlnEdge *edge, const GlnLineChange *change) {
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

static GlnStatus find_edges(GlnLineJob *job) {
  GlnLineChange *changes = GLN_NEW(job->arena, GlnLineChange, job->end - job->first);
  if (changes == NULL)
    return GLN_MEMORY;
  size_t count = 0, before = job->end;
  for (size_t i = job->first; i < job->end; ++i) {
    if (job->variable_of[i] == GLN_NO_VARIABLE)
      continue;
    if (before < i && job->variable_of[before] != job->variable_of[i])
      changes[count++] = gln_line_job_change(job, before, i);
    before = i;
  }
  if (count > 0)
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

GlnStatus gln_line_job_trellis(GlnLineJob *job) {
  GlnTrellis *trellis = &job->trellis;
  *trellis = (GlnTrellis){0};
  trellis->load_limit = (double)INFINITY;
  trellis->variable_count = job->variable_count;
  trellis->variables = GLN_NEW(job->arena, GlnVariable, job->variable_count);
  if (trellis->variables == NULL)
    return GLN_MEMORY;
  for (uint32_t v = 0; v < job->variable_count; ++v) {
    const GlnLineSet *set = job->set_of[v];
    double *unary = GLN_NEW(job->arena, double, set->list.count);
    if (unary == NULL)
      return GLN_MEMORY;
    for (size_t g = 0; g < set->list.count; ++g)
      unary[g] = job->times[v] * (set->hold[g] + set->sound[g] + set->bass[g]);
    trellis->variables[v] = (GlnVariable){unary, (uint32_t)set->list.count};
  }
  return find_edges(job);
}

/* ---- beginning and end ---------------------------------------------------------------------------------------------- */

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
GlnStatus gln_line_job_begin(const GlnSong *song, const GlnLineOptions *options, GlnArena *arena,
                             GlnDiags *diags, GlnLineJob *job) {
  if (!weights_are_sound(options))
    return GLN_USAGE;
  if (song->slot_count > GLN_LINE_SLOTS_MAX) {
    limit_fault(diags, "the song has more than 50000 chords as played", "split it into several charts");
    return GLN_LIMIT;
  }
  *job = (GlnLineJob){.song = song, .options = options, .arena = arena, .diags = diags};
  job->last_set = &job->sets;
  job->tempo = options->tempo > 0 ? options->tempo : song->chart->tempo;
  job->quarter_s = 60.0 / job->tempo;
  job->plain = song_is_plain(song);
  for (int b = 0; b < GLN_BASS_LINE_COUNT; ++b)
    job->costing[b] = gln_costing_for(options->weight, job->plain, (GlnBassLine)b);
  job->end = song->slot_count;
  GLN_TRY(find_variables(job));
  for (const GlnLineSet *set = job->sets; set != NULL; set = set->next)
    if (set->failed)
      return GLN_INPUT;
  return options->simplify ? gln_line_job_readings(job) : GLN_OK;
}

GlnStatus gln_line_job_solve(GlnLineJob *job, uint32_t *labels, double *total) {
  return job->options->aim == GLN_AIM_EASY ? gln_trellis_solve_easy(&job->trellis, job->arena, labels, total)
                                           : gln_trellis_solve(&job->trellis, job->arena, labels, total);
}

GlnStatus gln_line_job_end(GlnStatus status, GlnDiags *diags) {
  if (status == GLN_LIMIT)
    limit_fault(diags, "this form ties too many chords together: the search gave up after 200000 branches",
                "pin some grips, or write a section that returns a second time under another name");
  return status == GLN_NO ? GLN_INPUT : status; /* too few grips: said already */
}
