/* Floors: lower bounds of the cost of a change, for many grips against one at a time, so that most changes of a song
 * need never be costed. Written as plain loops over blocks of constant length, which compilers turn into vector
 * instructions. */
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC optimize("O3") /* clang makes vectors of these loops at -O2, gcc 12 does not */
#endif
#include "route_internal.h"

#include <math.h>
#include <string.h>

#define MARGIN 0.9999F /* floors are summed in another order than costs: room for rounding */

GlnStatus gln_columns_make(size_t count, GlnArena *arena, GlnColumns *columns) {
  size_t padded = (count + GLN_BLOCK - 1) / GLN_BLOCK * GLN_BLOCK;
  float *values = GLN_NEW(arena, float, 6 * padded);
  int32_t *strings = GLN_NEW(arena, int32_t, GLN_FINGER_SLOTS * padded);
  if (values == NULL || strings == NULL)
    return GLN_MEMORY;
  columns->hand_mm = values;
  columns->top = values + padded;
  columns->low = values + 2 * padded;
  columns->bass = values + 3 * padded;
  columns->several = values + 4 * padded;
  columns->has_hand = values + 5 * padded;
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    columns->string[f] = strings + (size_t)f * padded;
  return GLN_OK;
}

void gln_columns_set(GlnColumns *columns, size_t at, const GlnFeature *feature) {
  columns->hand_mm[at] = feature->hand_mm;
  columns->has_hand[at] = feature->fingers != 0 ? 1.0F : 0.0F;
  columns->top[at] = feature->top;
  columns->low[at] = feature->upper[0];
  columns->bass[at] = feature->bass;
  columns->several[at] = feature->upper_count > 1 ? 1.0F : 0.0F;
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    columns->string[f][at] = feature->string[f];
}

/* Without comparisons of floats, which keep compilers from making vectors. */
static inline float positive_part(float a) {
  return 0.5F * (a + fabsf(a));
}

static inline float lesser(float a, float b) {
  return 0.5F * (a + b - fabsf(a - b));
}

/* Highest goes to highest and lowest upper voice to lowest, whatever the rest do. */
static void voice_floors(const GlnCosting *costing, const GlnColumns *columns, size_t at,
                         const GlnFeature *one, float out[restrict GLN_BLOCK]) {
  const float *restrict top = columns->top + at, *restrict low = columns->low + at;
  const float *restrict bass = columns->bass + at, *restrict several = columns->several + at;
  const float *restrict hand = columns->hand_mm + at, *restrict has_hand = columns->has_hand + at;
  float one_hand = one->hand_mm, travel = one->fingers != 0 ? costing->travel : 0.0F;
  float free_mm = costing->floor.free_mm;
  float one_top = one->top, one_low = one->upper[0], one_bass = one->bass;
  float low_weight = one->upper_count > 1 ? costing->lead : 0.0F, lead = costing->lead;
  float top_weight = costing->top_past, top_free = (float)costing->top_free;
  float bass_weight = costing->bass_past, bass_free = (float)(costing->bass_free + 6);
  for (int k = 0; k < GLN_BLOCK; ++k) {
    float top_leap = fabsf(top[k] - one_top), low_leap = fabsf(low[k] - one_low);
    float bass_leap = fabsf(bass[k] - one_bass);
    out[k] = MARGIN *
             (travel * has_hand[k] * positive_part(fabsf(hand[k] - one_hand) - free_mm) + lead * top_leap +
              low_weight * several[k] * low_leap + top_weight * positive_part(top_leap - top_free) +
              bass_weight * positive_part(bass_leap - bass_free));
  }
}

/* One finger: whether it lands anew in the grip that is gone to, and whether it keeps its string. */
static void count_finger(const int32_t *restrict from, int32_t one, bool one_is_to,
                         int32_t lands[restrict GLN_BLOCK], int32_t keeps[restrict GLN_BLOCK]) {
  for (int k = 0; k < GLN_BLOCK; ++k) {
    int32_t other = from[k] != one ? 1 : 0, stops = (one_is_to ? one : from[k]) >= 0 ? 1 : 0;
    lands[k] += other & stops;
    keeps[k] += (1 - other) & stops;
  }
}

static void seconds_floors(const GlnMoveFloor *floor, const GlnColumns *columns, size_t at,
                           const GlnFeature *one, bool one_is_to, float out[restrict GLN_BLOCK]) {
  int32_t lands[GLN_BLOCK] = {0}, keeps[GLN_BLOCK] = {0};
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    count_finger(columns->string[f] + at, one->string[f], one_is_to, lands, keeps);
  float any_lands[GLN_BLOCK], any_keeps[GLN_BLOCK], all_lands[GLN_BLOCK];
  for (int k = 0; k < GLN_BLOCK; ++k) {
    all_lands[k] = (float)lands[k];
    any_lands[k] = (float)(lands[k] > 0 ? 1 : 0);
    any_keeps[k] = (float)(keeps[k] > 0 ? 1 : 0);
  }
  const float *restrict hand = columns->hand_mm + at, *restrict has_hand = columns->has_hand + at;
  float one_hand = one->hand_mm, one_has = one->fingers != 0 ? MARGIN : 0.0F;
  float first = MARGIN * floor->first_s, each = MARGIN * floor->each_s;
  float free_mm = floor->free_mm, near_mm = floor->near_mm, near_slope = floor->near_slope;
  float far_s = floor->far_s, far_slope = floor->far_slope, most_s = floor->most_s;
  float parallel = floor->parallel_part, more = floor->guide_part - floor->parallel_part;
  for (int k = 0; k < GLN_BLOCK; ++k) {
    float distance = fabsf(hand[k] - one_hand);
    float near_s = near_slope * (distance - free_mm), farther_s = far_s + far_slope * (distance - near_mm);
    float shift = positive_part(lesser(most_s, lesser(near_s, farther_s)));
    float part = 1.0F - any_keeps[k] * (1.0F - parallel - any_lands[k] * more);
    out[k] = one_has * has_hand[k] * part * shift + any_lands[k] * first + all_lands[k] * each;
  }
}

void gln_floor_block(const GlnCosting *costing, const GlnColumns *columns, size_t at, const GlnFeature *one,
                     bool one_is_to, float voice[GLN_BLOCK], float seconds[GLN_BLOCK]) {
  voice_floors(costing, columns, at, one, voice);
  seconds_floors(&costing->floor, columns, at, one, one_is_to, seconds);
}

/* ---- floors of an edge -------------------------------------------------------------------------------------- */

static bool has_features(const GlnEdge *edge) {
  const GlnPairs *pairs = edge->up.pairs != NULL ? edge->up.pairs : edge->down.pairs;
  return edge->matrix == NULL && pairs->given == NULL;
}

void gln_floors_set(GlnFloors *floors, const GlnTrellis *trellis, const GlnEdge *edge, bool upward,
                    const uint32_t *many, size_t count) {
  floors->trellis = trellis;
  floors->edge = edge;
  floors->upward = upward;
  floors->many = many;
  floors->count = count;
  if (!has_features(edge))
    return;
  const GlnFeature *features = NULL;
  if (edge->up.pairs != NULL)
    features = upward ? edge->up.pairs->from : edge->up.pairs->to;
  else
    features = upward ? edge->down.pairs->to : edge->down.pairs->from;
  for (size_t k = 0; k < count; ++k)
    gln_columns_set(&floors->columns, k, &features[many[k]]);
}

static const GlnFeature *feature_at(const GlnTerm *term, bool is_to, uint32_t label) {
  return is_to ? &term->pairs->to[label] : &term->pairs->from[label];
}

static void add_term(const GlnFloors *floors, const GlnTerm *term, bool one_is_to, size_t at, uint32_t one,
                     double out[GLN_BLOCK]) {
  float voice[GLN_BLOCK], seconds[GLN_BLOCK];
  double limit = floors->trellis->load_limit, fine = gln_trellis_fine(floors->trellis);
  gln_floor_block(term->pairs->costing, &floors->columns, at, feature_at(term, one_is_to, one), one_is_to,
                  voice, seconds);
  for (int k = 0; k < GLN_BLOCK; ++k)
    out[k] += term->voices * (double)voice[k] + term->haste * (double)seconds[k] +
              (term->load * (double)seconds[k] > limit ? fine : 0);
}

static void add_load(const GlnFloors *floors, const GlnTerm *term, bool one_is_to, size_t at, uint32_t one,
                     double out[GLN_BLOCK]) {
  float seconds[GLN_BLOCK];
  seconds_floors(&term->pairs->costing->floor, &floors->columns, at, feature_at(term, one_is_to, one),
                 one_is_to, seconds);
  for (int k = 0; k < GLN_BLOCK; ++k) {
    double load = term->load * (double)seconds[k];
    out[k] = load > out[k] ? load : out[k];
  }
}

void gln_floors_block(const GlnFloors *floors, size_t at, uint32_t one, bool of_load, double out[GLN_BLOCK]) {
  const GlnEdge *edge = floors->edge;
  for (int k = 0; k < GLN_BLOCK; ++k)
    out[k] = 0;
  if (has_features(edge)) {
    if (edge->up.pairs != NULL)
      (of_load ? add_load : add_term)(floors, &edge->up, floors->upward, at, one, out);
    if (edge->down.pairs != NULL)
      (of_load ? add_load : add_term)(floors, &edge->down, !floors->upward, at, one, out);
    return;
  }
  for (size_t k = 0; k < GLN_BLOCK && at + k < floors->count; ++k) {
    uint32_t a = floors->many[at + k], low = floors->upward ? a : one, high = floors->upward ? one : a;
    out[k] = of_load ? gln_edge_load(edge, low, high) : gln_edge_cost(floors->trellis, edge, low, high);
  }
}
