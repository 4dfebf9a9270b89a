/* What keeps time beside the guitar: the count-in, the click, and light percussion. */
#include "sound_internal.h"

/* Design choice: under the guitar, the off-beats softer. */
#define CLICK_FORCE        78
#define CLICK_ACCENT_FORCE 104
static const int8_t hit_forces[GLN_WEIGHT_COUNT] = {
    [GLN_WEIGHT_SOFT] = 38, [GLN_WEIGHT_PLAIN] = 58, [GLN_WEIGHT_ACCENT] = 78};
/* General MIDI percussion map: high and low wood block. */
#define CLICK_ACCENT_KEY 76
#define CLICK_KEY        77

static const int8_t hit_keys[GLN_PERCUSSION_COUNT] = {
#define HIT_KEY(name, word, key) [name] = (key),
    GLN_PERCUSSION_LIST(HIT_KEY)
#undef HIT_KEY
};
/* A hit is over by itself: what is written for it, in quarter notes. */
static const GlnRatio hit_length = {1, 8};

static bool before(GlnRatio a, GlnRatio b) {
  return gln_ratio_compare(a, b) < 0;
}

static void click(GlnNoteList *list, GlnRatio start, GlnRatio beat, bool accent) {
  GlnSounding *note = gln_note_add(list);
  if (note)
    *note = (GlnSounding){.start = start,
                          .quarters = gln_ratio_add(start, gln_ratio_multiply(beat, gln_ratio(1, 2))),
                          .string = -1,
                          .midi = accent ? CLICK_ACCENT_KEY : CLICK_KEY,
                          .force = accent ? CLICK_ACCENT_FORCE : CLICK_FORCE,
                          .player = GLN_PLAYER_CLICK};
}

GlnRatio gln_play_count_in(const GlnPlan *plan, int count_in, GlnNoteList *list) {
  GlnRatio time = gln_ratio(0, 1);
  if (count_in == 0 || plan->bar_count == 0)
    return time;
  const GlnPlayedBar *first = &plan->bars[0];
  GlnRatio full = gln_meter_quarters(first->beats, first->unit),
           beat = gln_meter_beat(first->beats, first->unit);
  for (int bar = 0; bar <= count_in && !list->failed; bar++) {
    GlnRatio length = bar < count_in ? full : first->skipped;
    for (GlnRatio at = gln_ratio(0, 1); before(at, length) && !list->failed; at = gln_ratio_add(at, beat))
      click(list, gln_ratio_add(time, at), beat, at.num == 0);
    time = gln_ratio_add(time, length);
  }
  return time;
}

/* From a place as it is written in the full bar to when it sounds; false where that is not played. */
static bool time_in_bar(const GlnPlayedBar *bar, GlnRatio place, GlnRatio *time) {
  GlnRatio within = gln_ratio_subtract(place, bar->skipped);
  if (within.num < 0 || !before(within, bar->quarters))
    return false;
  *time = gln_ratio_add(bar->start, within);
  return true;
}

static void click_bar(const GlnPlayedBar *bar, GlnNoteList *list) {
  GlnRatio beat = gln_meter_beat(bar->beats, bar->unit), full = gln_meter_quarters(bar->beats, bar->unit),
           time;
  for (GlnRatio at = gln_ratio(0, 1); before(at, full) && !list->failed; at = gln_ratio_add(at, beat))
    if (time_in_bar(bar, at, &time))
      click(list, time, beat, at.num == 0);
}

static void hit(const GlnPlayedBar *bar, GlnPercussion which, GlnRatio place, GlnWeight weight,
                GlnNoteList *list) {
  GlnRatio time;
  GlnSounding *note = time_in_bar(bar, place, &time) ? gln_note_add(list) : NULL;
  if (note)
    *note = (GlnSounding){.start = time,
                          .quarters = gln_ratio_add(time, hit_length),
                          .string = -1,
                          .midi = hit_keys[which],
                          .force = hit_forces[weight],
                          .player = GLN_PLAYER_PERCUSSION};
}

/* As the feel writes it. */
static void hit_pattern(const GlnPlayedBar *bar, GlnPercussion which, const GlnStroke *strokes,
                        GlnNoteList *list) {
  for (int32_t step = 0; step < bar->feel->steps && !list->failed; step++) {
    if (strokes[step].kind == GLN_STROKE_HIT)
      hit(bar, which, gln_feel_step_time(bar->feel, step), (GlnWeight)strokes[step].weight, list);
  }
}

/* Where the feel writes none: shaker on the beats and softly between them, rim on every second beat, kick on the others.
 * Common practice, no published source. */
static void hit_plainly(const GlnPlayedBar *bar, GlnPercussion which, GlnNoteList *list) {
  GlnRatio beat = gln_meter_beat(bar->beats, bar->unit), full = gln_meter_quarters(bar->beats, bar->unit);
  int parts = gln_ratio_compare(beat, gln_ratio(4, bar->unit)) == 0 ? 2 : 3; /* of a beat, for the shaker */
  GlnRatio part = gln_ratio_divide(beat, gln_ratio(parts, 1));
  int number = 0;
  for (GlnRatio at = gln_ratio(0, 1); before(at, full) && !list->failed;
       at = gln_ratio_add(at, part), number++) {
    int count = number / parts;
    bool on_beat = number % parts == 0;
    GlnRatio place = gln_feel_swung(bar->feel, at);
    if (which == GLN_PERCUSSION_SHAKER)
      hit(bar, which, place, on_beat ? GLN_WEIGHT_PLAIN : GLN_WEIGHT_SOFT, list);
    else if (on_beat && (count % 2 == 1) == (which == GLN_PERCUSSION_RIM))
      hit(bar, which, place, count == 0 ? GLN_WEIGHT_ACCENT : GLN_WEIGHT_PLAIN, list);
  }
}

void gln_play_beside(const GlnPlan *plan, const GlnPerformanceOptions *options, GlnNoteList *list) {
  for (size_t i = 0; i < plan->bar_count && !list->failed; i++) {
    const GlnPlayedBar *bar = &plan->bars[i];
    if (options->click)
      click_bar(bar, list);
    for (int which = 0; which < GLN_PERCUSSION_COUNT; which++) {
      const GlnStroke *strokes = gln_bar_strokes(bar, (GlnLane)(GLN_LANE_PERCUSSION + which));
      if (!(options->percussion >> which & 1))
        continue;
      if (strokes)
        hit_pattern(bar, (GlnPercussion)which, strokes, list);
      else
        hit_plainly(bar, (GlnPercussion)which, list);
    }
  }
}
