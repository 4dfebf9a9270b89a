/* The hand laid over one instrument: every distance the finger search asks for, worked out once. */
#include "grip_internal.h"

#include <math.h>

/* -1 past the pair's reach; nothing up to ease_mm, then a square that rises to the full weight at the reach. */
static float stretch_of(const GlnHandMap *map, int a, int b, double mm) {
  double reach = map->hand->reach_mm[a][b], ease = map->hand->ease_mm[a][b];
  if (mm > reach)
    return -1;
  double over = mm > ease ? (mm - ease) / (reach - ease) : 0;
  return (float)((double)map->weights->stretch * over * over);
}

static void fill_pair(GlnHandMap *map, int a, int b) {
  for (int low = 1; low <= map->frets; low++) {
    bool past = false;
    for (int high = low; high <= map->frets; high++) {
      map->stretch[a][b][low][high] =
          past ? -1 : stretch_of(map, a, b, map->along_mm[high] - map->along_mm[low]);
      past = map->stretch[a][b][low][high] < 0;
    }
  }
}

void gln_hand_map_make(const GlnInstrument *instrument, const GlnHand *hand, const GlnHoldWeights *weights,
                       GlnHandMap *map) {
  map->instrument = instrument;
  map->hand = hand;
  map->weights = weights;
  map->frets = gln_instrument_frets(instrument);
  map->window_mm = 0;
  for (int fret = 0; fret <= map->frets; fret++) {
    map->along_mm[fret] = gln_stop_point(instrument, 0, fret).along_mm;
    map->spacing_mm[fret] =
        instrument->nut_spacing_mm + (instrument->bridge_spacing_mm - instrument->nut_spacing_mm) *
                                         map->along_mm[fret] / instrument->scale_mm;
  }
  for (int a = 0; a < GLN_FINGERS; a++)
    for (int b = a + 1; b < GLN_FINGERS; b++) {
      fill_pair(map, a, b);
      if (b < hand->fingers)
        map->window_mm = fmax(map->window_mm, hand->reach_mm[a][b]);
    }
  if (hand->thumb)
    map->window_mm = fmax(map->window_mm, fmax(weights->thumb_behind_mm, weights->thumb_ahead_mm));
}
