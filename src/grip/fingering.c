/* Which finger on which string: an exact branch-and-bound search, and the judge of fingers that are given.
 *
 * Fingers stand in order along the neck, so stopped strings sorted by fret, then string, get rising fingers;
 * equal neighbours in that order may share one finger as a barre. That leaves at most a few dozen
 * assignments. */
#include "grip_internal.h"

#include <math.h>
#include <string.h>

typedef struct Holding {
  GlnPress presses[GLN_PRESSES_MAX];
  int count;
} Holding;

typedef struct HoldSearch {
  const GlnHandMap *map;
  const GlnFrets *frets;
  bool damped;
  int8_t order[GLN_STRINGS_MAX]; /* stopped strings by fret, then string */
  int8_t
      frets_from[GLN_STRINGS_MAX + 1]; /* different frets among order[n...], each of which needs a finger */
  int stopped;
  Holding now, best;
  float best_cost;
  bool found;
} HoldSearch;

static void sort_stopped(HoldSearch *search, int first_string) {
  const GlnFrets *frets = search->frets;
  search->stopped = 0;
  for (int s = first_string; s < frets->string_count; s++) {
    if (frets->fret[s] <= 0)
      continue;
    int at = search->stopped++;
    for (; at > 0 && frets->fret[search->order[at - 1]] > frets->fret[s]; at--)
      search->order[at] = search->order[at - 1];
    search->order[at] = (int8_t)s;
  }
  search->frets_from[search->stopped] = 0;
  for (int at = search->stopped - 1; at >= 0; at--) {
    bool differs =
        at + 1 == search->stopped || frets->fret[search->order[at]] != frets->fret[search->order[at + 1]];
    search->frets_from[at] = (int8_t)(search->frets_from[at + 1] + differs);
  }
}

static const char *add_fault(const HoldSearch *search, const GlnPress *press) {
  if (search->now.count >= search->map->hand->at_once)
    return "this player sets fewer fingers at once";
  const char *fault = gln_press_fault(search->map, search->frets, press);
  for (int i = 0; fault == NULL && i < search->now.count; i++) {
    const GlnPress *other = &search->now.presses[i];
    fault = other->finger < press->finger ? gln_press_pair_fault(search->map, other, press)
                                          : gln_press_pair_fault(search->map, press, other);
  }
  return fault;
}

/* The press beside this one in the order of fingers. Presses come in rising order, but for the crossing, whose first
 * finger comes when only the second and the thumb stand. */
static int neighbour_of(const HoldSearch *search, const GlnPress *press) {
  int best = -1;
  for (int i = 0; i < search->now.count; i++) {
    int finger = search->now.presses[i].finger;
    if (finger == GLN_THUMB)
      continue;
    if (finger > press->finger)
      return i;
    if (best < 0 || finger > search->now.presses[best].finger)
      best = i;
  }
  return best;
}

static float add_cost(const HoldSearch *search, const GlnPress *press, float parts[GLN_HOLD_PART_COUNT]) {
  float cost = gln_press_cost(search->map, search->frets, press, parts);
  int neighbour = neighbour_of(search, press);
  for (int i = 0; i < search->now.count; i++) {
    const GlnPress *other = &search->now.presses[i];
    bool rising = other->finger < press->finger;
    cost += gln_press_pair_cost(search->map, rising ? other : press, rising ? press : other, i == neighbour,
                                parts);
  }
  return cost;
}

static void finish(HoldSearch *search, float cost) {
  if (search->damped && !gln_all_damped(search->frets, search->now.presses, search->now.count))
    return;
  float parts[GLN_HOLD_PART_COUNT] = {0};
  cost += gln_damping_cost(search->map, search->frets, search->now.presses, search->now.count, parts);
  if (search->found && cost >= search->best_cost)
    return;
  search->found = true;
  search->best = search->now;
  search->best_cost = cost;
}

static void place(HoldSearch *search, int at, int last_finger, float cost);

static void try_press(HoldSearch *search, GlnPress press, int next, int last_finger, float cost) {
  if (add_fault(search, &press) != NULL)
    return;
  float parts[GLN_HOLD_PART_COUNT] = {0};
  cost += add_cost(search, &press, parts);
  if (search->found && cost >= search->best_cost)
    return;
  search->now.presses[search->now.count++] = press;
  place(search, next, last_finger, cost);
  search->now.count--;
}

/* Gives order[at...] to fingers above last_finger. */
static void place(HoldSearch *search, int at, int last_finger, float cost) {
  if (at == search->stopped) {
    finish(search, cost);
    return;
  }
  const GlnFrets *frets = search->frets;
  int8_t low = search->order[at], fret = frets->fret[low];
  for (int end = at + 1; end <= search->stopped && frets->fret[search->order[end - 1]] == fret; end++)
    for (int finger = last_finger + 1; finger + search->frets_from[end] <= search->map->hand->fingers;
         finger++)
      try_press(search, (GlnPress){(int8_t)finger, fret, low, search->order[end - 1]}, end, finger, cost);
}

/* The one crossing players use: second finger beside the first on its bass side, at one fret. */
static void place_crossed(HoldSearch *search, float cost) {
  if (search->stopped < 2 || search->map->hand->fingers < 2)
    return;
  int8_t low = search->order[0], high = search->order[1];
  int8_t fret = search->frets->fret[low];
  if (search->frets->fret[high] != fret)
    return;
  GlnPress second = {2, fret, low, low};
  if (add_fault(search, &second) != NULL)
    return;
  float parts[GLN_HOLD_PART_COUNT] = {0};
  cost += add_cost(search, &second, parts);
  search->now.presses[search->now.count++] = second;
  try_press(search, (GlnPress){1, fret, high, high}, 2, 2, cost);
  search->now.count--;
}

static void search_without_thumb(HoldSearch *search) {
  sort_stopped(search, 0);
  search->now.count = 0;
  place(search, 0, 0, 0);
  place_crossed(search, 0);
}

static void search_with_thumb(HoldSearch *search) {
  if (!search->map->hand->thumb || search->frets->fret[0] <= 0)
    return;
  GlnPress thumb = {GLN_THUMB, search->frets->fret[0], 0, 0};
  float parts[GLN_HOLD_PART_COUNT] = {0};
  search->now.count = 0;
  float cost = add_cost(search, &thumb, parts);
  search->now.presses[search->now.count++] = thumb;
  sort_stopped(search, 1);
  place(search, 0, 0, cost);
  place_crossed(search, cost);
}

/* ---- the result
 * -------------------------------------------------------------------------------------------------- */

static void write_press(const GlnFrets *frets, const GlnPress *press, GlnFingering *out) {
  for (int s = press->low; s <= press->high; s++)
    if (frets->fret[s] == press->fret)
      out->finger[s] = press->finger;
  if (press->low == press->high)
    return;
  int at = out->barre_count++;
  for (; at > 0 && out->barres[at - 1].finger > press->finger; at--)
    out->barres[at] = out->barres[at - 1];
  out->barres[at] = (GlnBarre){press->finger, press->fret, press->low, press->high};
}

static void write_fingering(const GlnHandMap *map, const GlnFrets *frets, const Holding *holding,
                            GlnFingering *out) {
  memset(out, 0, sizeof *out);
  HoldSearch sum = {.map = map, .frets = frets};
  double lowest = INFINITY, highest = -INFINITY;
  for (int i = 0; i < holding->count; i++) {
    const GlnPress *press = &holding->presses[i];
    (void)add_cost(&sum, press, out->parts);
    sum.now.presses[sum.now.count++] = *press;
    write_press(frets, press, out);
    lowest = fmin(lowest, map->along_mm[press->fret]);
    highest = fmax(highest, map->along_mm[press->fret]);
  }
  (void)gln_place_cost(map, frets, out->parts);
  (void)gln_damping_cost(map, frets, holding->presses, holding->count, out->parts);
  float total = 0;
  for (int part = 0; part < GLN_HOLD_PART_COUNT; part++)
    total += out->parts[part];
  out->difficulty = fminf(1, total);
  out->span_mm = holding->count > 0 ? (float)(highest - lowest) : 0;
}

static bool fits(const GlnHandMap *map, const GlnFrets *frets) {
  if (frets->string_count != map->instrument->string_count)
    return false;
  for (int s = 0; s < frets->string_count; s++)
    if (frets->fret[s] > map->frets)
      return false;
  return true;
}

GlnStatus gln_hold_find(const GlnHandMap *map, const GlnFrets *frets, bool damped, GlnFingering *fingering) {
  HoldSearch search = {.map = map, .frets = frets, .damped = damped};
  if (!fits(map, frets))
    return GLN_NO;
  search_without_thumb(&search);
  search_with_thumb(&search);
  if (!search.found)
    return GLN_NO;
  write_fingering(map, frets, &search.best, fingering);
  return GLN_OK;
}

GlnStatus gln_fingering_find(const GlnInstrument *instrument, const GlnHand *hand, const GlnFrets *frets,
                             GlnFingering *fingering) {
  GlnHandMap map;
  gln_hand_map_make(instrument, hand, &gln_hold_weights, &map);
  return gln_hold_find(&map, frets, false, fingering);
}

/* ---- given fingers
 * ------------------------------------------------------------------------------------------------- */

static GlnStatus no(const char **why, const char *sentence) {
  if (why != NULL)
    *why = sentence;
  return GLN_NO;
}

/* What is wrong with the numbers themselves. */
static const char *numbers_fault(const GlnFrets *frets, const int8_t finger[GLN_STRINGS_MAX]) {
  for (int s = 0; s < frets->string_count; s++) {
    if (finger[s] < 0 || finger[s] > GLN_THUMB)
      return "fingers are numbered 1 to 4, 5 for the thumb, 0 for none";
    if (frets->fret[s] > 0 && finger[s] == 0)
      return "a stopped string has no finger on it";
    if (frets->fret[s] <= 0 && finger[s] != 0)
      return "a finger is given for a string that is open or not played";
    for (int t = 0; t < s; t++)
      if (finger[s] != 0 && finger[s] == finger[t] && frets->fret[s] != frets->fret[t])
        return "one finger is asked to stop two frets";
  }
  return NULL;
}

static GlnPress press_of_finger(const GlnFrets *frets, const int8_t finger[GLN_STRINGS_MAX], int8_t wanted) {
  GlnPress press = {.finger = 0};
  for (int8_t s = 0; s < frets->string_count; s++) {
    if (finger[s] != wanted)
      continue;
    if (press.finger == 0)
      press = (GlnPress){wanted, frets->fret[s], s, s};
    press.high = s;
  }
  return press;
}

GlnStatus gln_fingering_judge(const GlnInstrument *instrument, const GlnHand *hand, const GlnFrets *frets,
                              const int8_t finger[GLN_STRINGS_MAX], GlnFingering *fingering,
                              const char **why) {
  GlnHandMap map;
  gln_hand_map_make(instrument, hand, &gln_hold_weights, &map);
  if (!fits(&map, frets))
    return no(why, "the instrument has other strings or fewer frets");
  const char *fault = numbers_fault(frets, finger);
  HoldSearch search = {.map = &map, .frets = frets};
  for (int8_t wanted = 1; fault == NULL && wanted <= GLN_THUMB; wanted++) {
    GlnPress press = press_of_finger(frets, finger, wanted);
    if (press.finger == 0)
      continue;
    fault = add_fault(&search, &press);
    search.now.presses[search.now.count++] = press;
  }
  if (fault != NULL)
    return no(why, fault);
  write_fingering(&map, frets, &search.now, fingering);
  return GLN_OK;
}

size_t gln_fingers_print(const GlnFrets *frets, const GlnFingering *fingering, char out[GLN_FRETS_TEXT_MAX]) {
  size_t length = 0;
  for (int s = 0; s < frets->string_count; s++) {
    int finger = fingering->finger[s];
    out[length++] = frets->fret[s] < 0 ? 'x' : finger == GLN_THUMB ? 'T' : (char)('0' + finger);
  }
  out[length] = '\0';
  return length;
}
