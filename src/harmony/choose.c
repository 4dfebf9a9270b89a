/* Chords that may have several names, named together: the exact cheapest walk over names × keys. */
#include "harmony_internal.h"

#include <math.h>

#define M GLN_CHOICES_MAX

/* The best walk that ends with these names of the step before, this step and the next, in this key. */
typedef struct Cell {
  double cost;
  int8_t from_choice; /* name two steps back */
  int8_t from_key;    /* key one step back */
} Cell;
typedef Cell Layer[M][M][M][GLN_KEYS];

typedef struct Walk {
  const GlnOpenStep *steps;
  size_t count;
  GlnSlice (*slices)[M]; /* of each step's choices */
  int only_key;          /* -1: any */
} Walk;

/* The neighbours a slice's cost looks at. Past either end there is one choice, which is not looked at. */
typedef struct Window {
  GlnSlice slices[4];
  size_t count, at;
} Window;

static size_t choices_at(const Walk *walk, size_t step, int offset) {
  if (offset < 0 && step < (size_t)-offset)
    return 1;
  size_t at = step + (size_t)offset;
  return at < walk->count ? walk->steps[at].count : 1;
}

static Window window_of(const Walk *walk, size_t step, const size_t choice[4]) {
  Window window = {.count = 0, .at = 0};
  for (int offset = -2; offset <= 1; offset++) {
    if ((offset < 0 && step < (size_t)-offset) || step + (size_t)offset >= walk->count)
      continue;
    if (offset == 0)
      window.at = window.count;
    window.slices[window.count++] = walk->slices[step + (size_t)offset][choice[offset + 2]];
  }
  return window;
}

static bool key_allowed(const Walk *walk, int key) {
  return walk->only_key < 0 || walk->only_key == key;
}

/* The cheapest way into key from any key the step before may have had. */
static double arrive(const Walk *walk, const Cell before[GLN_KEYS], int key, bool phrase_starts,
                     int8_t *from) {
  double best = INFINITY;
  for (int other = 0; other < GLN_KEYS; other++) {
    if (!key_allowed(walk, other))
      continue;
    double cost = before[other].cost + gln_key_change_cost(other, key, phrase_starts);
    if (cost < best) {
      best = cost;
      *from = (int8_t)other;
    }
  }
  return best;
}

static Cell best_into(const Walk *walk, const Layer *before, size_t step, const size_t choice[4], int key) {
  Cell best = {.cost = INFINITY, .from_choice = 0, .from_key = (int8_t)key};
  size_t back_two = choices_at(walk, step, -2);
  for (size_t w = 0; w < back_two; w++) {
    const size_t with[4] = {w, choice[1], choice[2], choice[3]};
    Window window = window_of(walk, step, with);
    double cost = gln_slice_evidence(window.slices, window.count, window.at, key) +
                  gln_substitute_evidence(window.slices, window.at, key);
    int8_t from = (int8_t)key;
    if (before != NULL)
      cost +=
          arrive(walk, (*before)[w][choice[1]][choice[2]], key, walk->steps[step].step.phrase_starts, &from);
    if (cost < best.cost)
      best = (Cell){cost, (int8_t)w, from};
  }
  return best;
}

static void fill_cell(const Walk *walk, const Layer *before, size_t step, const size_t choice[4],
                      Layer *layer) {
  Window window = window_of(walk, step, choice);
  for (int key = 0; key < GLN_KEYS; key++) {
    if (!key_allowed(walk, key))
      continue;
    Cell cell = best_into(walk, before, step, choice, key);
    /* A reading looks at one slice before: the one before that is not settled here. */
    size_t skipped = window.at > 1 ? window.at - 1 : 0;
    cell.cost +=
        walk->steps[step].choices[choice[2]].cost +
        gln_slice_reading_cost(window.slices + skipped, window.count - skipped, window.at - skipped, key);
    (*layer)[choice[1]][choice[2]][choice[3]][key] = cell;
  }
}

static void fill_layer(const Walk *walk, const Layer *before, size_t step, Layer *layer) {
  size_t back = choices_at(walk, step, -1), own = choices_at(walk, step, 0), next = choices_at(walk, step, 1);
  for (size_t x = 0; x < back; x++)
    for (size_t y = 0; y < own; y++)
      for (size_t z = 0; z < next; z++)
        fill_cell(walk, before, step, (const size_t[4]){0, x, y, z}, layer);
}

/* Walks back from the cheapest end. keys: one per step. */
static double trace(const Walk *walk, Layer *layers, GlnChosen *chosen, int8_t *keys) {
  size_t last = walk->count - 1;
  size_t back = 0, own = 0, next = 0;
  int key = walk->only_key < 0 ? 0 : walk->only_key;
  for (size_t x = 0; x < choices_at(walk, last, -1); x++)
    for (size_t y = 0; y < choices_at(walk, last, 0); y++)
      for (int k = 0; k < GLN_KEYS; k++)
        if (key_allowed(walk, k) && layers[last][x][y][0][k].cost < layers[last][back][own][0][key].cost) {
          back = x;
          own = y;
          key = k;
        }
  double total = layers[last][back][own][0][key].cost;
  for (size_t step = walk->count; step-- > 0;) {
    const Cell *cell = &layers[step][back][own][next][key];
    chosen[step].choice = own;
    keys[step] = (int8_t)key;
    next = own;
    own = back;
    back = (size_t)cell->from_choice;
    key = cell->from_key;
  }
  return total;
}

static GlnStatus make_slices(Walk *walk, GlnArena *arena) {
  walk->slices = gln_arena_alloc(arena, walk->count, sizeof *walk->slices);
  GlnStep *row = GLN_NEW(arena, GlnStep, walk->count);
  GlnSlice *sliced = GLN_NEW(arena, GlnSlice, walk->count);
  if (walk->slices == NULL || row == NULL || sliced == NULL)
    return GLN_MEMORY;
  for (size_t choice = 0; choice < M; choice++) {
    for (size_t i = 0; i < walk->count; i++) {
      const GlnOpenStep *step = &walk->steps[i];
      row[i] = step->step;
      row[i].chord = step->choices[choice < step->count ? choice : 0].chord;
    }
    (void)gln_slice_steps(row, walk->count, sliced);
    for (size_t i = 0; i < walk->count; i++)
      walk->slices[i][choice] = sliced[i];
  }
  return GLN_OK;
}

/* Stretches of one key are named together, as their chords spell the tonic. */
static GlnStatus name_keys(const Walk *walk, const GlnKey *given, const int8_t *keys, GlnArena *arena,
                           GlnChosen *chosen) {
  GlnStep *row = GLN_NEW(arena, GlnStep, walk->count);
  GlnSlice *slices = GLN_NEW(arena, GlnSlice, walk->count);
  if (row == NULL || slices == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < walk->count; i++) {
    row[i] = walk->steps[i].step;
    row[i].chord = walk->steps[i].choices[chosen[i].choice].chord;
  }
  (void)gln_slice_steps(row, walk->count, slices);
  for (size_t first = 0, end; first < walk->count; first = end) {
    for (end = first + 1; end < walk->count && keys[end] == keys[first];)
      end++;
    GlnKey key = given != NULL ? *given : gln_key_named(row, slices + first, end - first, keys[first]);
    for (size_t i = first; i < end; i++)
      chosen[i].key = key;
  }
  return GLN_OK;
}

GlnStatus gln_harmony_choose(const GlnOpenStep *steps, size_t count, const GlnKey *key, GlnArena *arena,
                             GlnChosen *chosen, double *total) {
  Walk walk = {.steps = steps, .count = count, .only_key = -1};
  if (key != NULL)
    walk.only_key = gln_note_pitch_class(key->tonic) + (key->minor ? 12 : 0);
  if (count == 0)
    return GLN_OK;
  GLN_TRY(make_slices(&walk, arena));
  Layer *layers = gln_arena_alloc(arena, count, sizeof *layers);
  int8_t *keys = GLN_NEW(arena, int8_t, count);
  if (layers == NULL || keys == NULL)
    return GLN_MEMORY;
  for (size_t step = 0; step < count; step++)
    fill_layer(&walk, step > 0 ? (const Layer *)&layers[step - 1] : NULL, step, &layers[step]);
  double cost = trace(&walk, layers, chosen, keys);
  if (total != NULL)
    *total = cost;
  return name_keys(&walk, key, keys, arena, chosen);
}
