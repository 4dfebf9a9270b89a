/* The rules of holding, and what each press, pair of presses and silent string costs. */
#include "grip_internal.h"

#include <math.h>
#include <stdlib.h>

/* ---- one press
 * ------------------------------------------------------------------------------------------------ */

/* A string on the treble side that must ring below the barring finger: open, or stopped at a lower fret. */
static bool rings_beside(const GlnFrets *frets, const GlnPress *press) {
  for (int s = press->high + 1; s < frets->string_count; s++)
    if (frets->fret[s] >= 0 && frets->fret[s] < press->fret)
      return true;
  return false;
}

static const char *thumb_fault(const GlnHandMap *map, const GlnPress *press) {
  if (!map->hand->thumb)
    return "this hand keeps its thumb behind the neck";
  return press->low != 0 || press->high != 0 ? "the thumb reaches the lowest string alone" : NULL;
}

static const char *barre_fault(const GlnHandMap *map, const GlnFrets *frets, const GlnPress *press) {
  int width = press->high - press->low + 1;
  if (!map->hand->barres)
    return "this hand takes no barre";
  if (width > map->weights->barre_width[press->finger - 1])
    return "a barre of this finger does not reach over so many strings";
  for (int s = press->low + 1; s < press->high; s++)
    if (frets->fret[s] >= 0 && frets->fret[s] < press->fret)
      return "a string under the barre is open or stopped behind it";
  if (width > map->weights->arch_width && rings_beside(frets, press))
    return "so wide a barre cannot leave a string on its treble side free";
  return NULL;
}

const char *gln_press_fault(const GlnHandMap *map, const GlnFrets *frets, const GlnPress *press) {
  if (press->finger == GLN_THUMB)
    return thumb_fault(map, press);
  if (press->finger > map->hand->fingers)
    return "this hand plays without that finger";
  if (press->fret > map->frets)
    return "the neck has no such fret";
  return press->low == press->high ? NULL : barre_fault(map, frets, press);
}

static float press_barre(const GlnHandMap *map, const GlnFrets *frets, const GlnPress *press) {
  const GlnHoldWeights *w = map->weights;
  int finger = press->finger - 1, width = press->high - press->low + 1, sounding = 0;
  float cost = w->barre[finger] + w->barre_wide[finger] * (float)(width - 2);
  for (int s = press->low; s <= press->high; s++) {
    sounding += frets->fret[s] == press->fret;
    if (frets->fret[s] < 0)
      cost += w->barre_touch;
  }
  if (finger == 0 && sounding > 3)
    cost += w->barre_sound * (float)(sounding - 3);
  if (sounding == 2 && width > 2)
    cost += w->barre_ends;
  if (map->instrument->capo == 0 && press->fret < 6) /* a capo lowers the strings as the nut does not */
    cost += w->barre_low * (float)(6 - press->fret) / 5;
  if (rings_beside(frets, press))
    cost += w->arch;
  return cost;
}

float gln_press_cost(const GlnHandMap *map, const GlnFrets *frets, const GlnPress *press,
                     float parts[GLN_HOLD_PART_COUNT]) {
  float use = map->weights->use[press->finger - 1];
  float barre = press->low < press->high ? press_barre(map, frets, press) : 0;
  parts[GLN_HOLD_FINGERS] += use;
  parts[GLN_HOLD_BARRE] += barre;
  return use + barre;
}

/* ---- two presses
 * ---------------------------------------------------------------------------------------------- */

/* Strings between the nearest parts of two presses; 0 where one lies over the other. */
static int strings_between(const GlnPress *a, const GlnPress *b) {
  return b->low > a->high ? b->low - a->high : a->low > b->high ? a->low - b->high : 0;
}

static bool crosses(const GlnPress *a, const GlnPress *b) {
  return a->fret == b->fret && b->low <= a->high;
}

static double tip_distance_mm(const GlnHandMap *map, const GlnPress *a, const GlnPress *b) {
  double along = map->along_mm[b->fret] - map->along_mm[a->fret];
  double across = strings_between(a, b) * map->spacing_mm[a->fret];
  return sqrt(along * along + across * across);
}

static const char *thumb_pair_fault(const GlnHandMap *map, const GlnPress *a, const GlnPress *thumb) {
  double ahead = map->along_mm[thumb->fret] - map->along_mm[a->fret];
  double behind = a->finger == 1 ? map->weights->thumb_behind_mm : map->hand->reach_mm[0][a->finger - 1];
  if (-ahead > behind)
    return "the thumb does not reach so far behind the fingers";
  if (ahead > map->weights->thumb_ahead_mm)
    return "the thumb does not reach so far ahead of the fingers";
  if (a->high - a->low + 1 > map->weights->thumb_barre_width)
    return "no wide barre lies flat while the thumb is round the neck";
  return NULL;
}

static const char *crossing_fault(const GlnPress *a, const GlnPress *b) {
  bool first_two =
      a->finger == 1 && b->finger == 2 && a->low == a->high && b->low == b->high && b->low < a->low;
  return first_two ? NULL : "at one fret the higher finger lies toward the treble side";
}

const char *gln_press_pair_fault(const GlnHandMap *map, const GlnPress *a, const GlnPress *b) {
  if (b->finger == GLN_THUMB)
    return thumb_pair_fault(map, a, b);
  if (b->fret < a->fret)
    return "a higher finger stands behind a lower one";
  const char *crossing = crosses(a, b) ? crossing_fault(a, b) : NULL;
  if (crossing != NULL)
    return crossing;
  if (map->stretch[a->finger - 1][b->finger - 1][a->fret][b->fret] < 0)
    return "two fingers would have to stand farther apart than this hand reaches";
  if (strings_between(a, b) * map->spacing_mm[a->fret] > map->hand->across_mm)
    return "two fingers would have to reach too far across the strings";
  double closest = map->hand->closest_mm[a->finger - 1][b->finger - 1] * map->weights->crowd_limit;
  if (tip_distance_mm(map, a, b) < closest)
    return "two fingertips do not fit so close together";
  return NULL;
}

/* One finger per fret is how a hand rests on the neck; neighbours off that pattern spread or huddle. */
static void pattern_cost(const GlnHoldWeights *w, const GlnPress *a, const GlnPress *b, float *spread,
                         float *cramp) {
  int frets = b->fret - a->fret, fingers = b->finger - a->finger, strings = strings_between(a, b);
  if (strings > 2)
    *spread += w->across * (float)(strings - 2);
  if (frets == 0)
    *cramp += w->same_fret * (float)(fingers - 1);
  else if (frets < fingers)
    *cramp += w->within_fret * (float)(fingers - frets);
  else
    *spread += w->beyond_fret * (float)(frets - fingers);
}

/* A finger that reaches more than two frets ahead pulls on the barre beside it, the more the wider it lies. */
static float barre_pull(const GlnHoldWeights *w, const GlnPress *a, const GlnPress *b) {
  int frets = b->fret - a->fret - 2, strings = a->high - a->low - 1;
  return frets > 0 && strings > 0 ? w->barre_pull * (float)(frets * strings) : 0;
}

float gln_press_pair_cost(const GlnHandMap *map, const GlnPress *a, const GlnPress *b, bool neighbours,
                          float parts[GLN_HOLD_PART_COUNT]) {
  const GlnHoldWeights *w = map->weights;
  if (b->finger == GLN_THUMB)
    return 0;
  float spread = map->stretch[a->finger - 1][b->finger - 1][a->fret][b->fret], cramp = 0;
  if (neighbours)
    pattern_cost(w, a, b, &spread, &cramp);
  float pull = barre_pull(w, a, b);
  double closest = map->hand->closest_mm[a->finger - 1][b->finger - 1];
  double distance = tip_distance_mm(map, a, b);
  if (distance < closest)
    cramp += w->crowd * (float)((closest - distance) / (closest * (1 - w->crowd_limit)));
  if (crosses(a, b))
    cramp += w->cross;
  parts[GLN_HOLD_SPREAD] += spread;
  parts[GLN_HOLD_CRAMP] += cramp;
  parts[GLN_HOLD_BARRE] += pull;
  return spread + cramp + pull;
}

/* ---- the whole grip
 * --------------------------------------------------------------------------------------------- */

float gln_place_cost(const GlnHandMap *map, const GlnFrets *frets, float parts[GLN_HOLD_PART_COUNT]) {
  int lowest = 0, highest = 0;
  for (int s = 0; s < frets->string_count; s++) {
    int fret = frets->fret[s];
    if (fret > 0 && (lowest == 0 || fret < lowest))
      lowest = fret;
    if (fret > highest)
      highest = fret;
  }
  if (lowest == 0)
    return 0;
  int wire = highest + gln_frets_from(map->instrument);
  float cost = map->weights->position * (float)(lowest - 1);
  if (wire > 9)
    cost += map->weights->position_high * (float)(wire - 9) / 10;
  parts[GLN_HOLD_POSITION] += cost;
  double share = (map->along_mm[highest] - map->along_mm[lowest]) / map->hand->reach_mm[0][3];
  float span = map->weights->span * (float)(share * share * share * share);
  parts[GLN_HOLD_SPREAD] += span;
  return cost + span;
}

/* A silent string is touched by the tip on the string below it, by a barre that lies over it, or from a barre
 * whose finger passes over it on the way to the hand. */
static bool is_touched(const GlnFrets *frets, const GlnPress *presses, int count, int string) {
  if (string > 0 && frets->fret[string - 1] > 0)
    return true;
  for (int i = 0; i < count; i++)
    if (presses[i].low < presses[i].high && presses[i].low < string && !rings_beside(frets, &presses[i]))
      return true;
  return false;
}

/* Calls silent strings between sounding ones inner. Returns the next one after string, or -1. */
static int next_inner_silent(const GlnFrets *frets, int string) {
  int last = frets->string_count - 1;
  while (last >= 0 && frets->fret[last] < 0)
    last--;
  bool sounded = false;
  for (int s = 0; s < last; s++) {
    sounded = sounded || frets->fret[s] >= 0;
    if (s > string && sounded && frets->fret[s] < 0)
      return s;
  }
  return -1;
}

bool gln_instrument_strummed_whole(const GlnInstrument *instrument) {
  return instrument->string_count <= 4 && gln_instrument_reentrant(instrument);
}

float gln_damping_cost(const GlnHandMap *map, const GlnFrets *frets, const GlnPress *presses, int count,
                       float parts[GLN_HOLD_PART_COUNT]) {
  float cost = 0;
  for (int s = next_inner_silent(frets, -1); s >= 0; s = next_inner_silent(frets, s))
    cost += is_touched(frets, presses, count, s) ? map->weights->silent_touched : map->weights->silent_free;
  if (gln_instrument_strummed_whole(
          map->instrument)) /* an outer string that must not sound is to be damped too */
    for (int s = 0, last = frets->string_count - 1; s <= last; s += last > 0 ? last : 1)
      cost += frets->fret[s] < 0 ? map->weights->silent_free : 0;
  parts[GLN_HOLD_DAMPING] += cost;
  return cost;
}

bool gln_all_damped(const GlnFrets *frets, const GlnPress *presses, int count) {
  for (int s = next_inner_silent(frets, -1); s >= 0; s = next_inner_silent(frets, s))
    if (!is_touched(frets, presses, count, s))
      return false;
  return true;
}
