/* How likely a slip is, and how likely it is that a grip was meant: one sum of features, weighed in proof_tables.c. */
#include "proof_internal.h"

#include <stdlib.h>

float gln_digit_cost(int from, int to) {
  const GlnSlipCosts *costs = &gln_slip_costs;
  int distance = abs(to - from);
  if (from < 0)
    return costs->digit_lost;
  if (to < 0)
    return costs->digit_added;
  if (distance == 1)
    return costs->fret;
  if (distance == 10 || distance == 12) /* a 1 lost or typed too often; an octave */
    return costs->ten;
  return costs->digit + costs->digit_per_fret * (float)distance;
}

/* Silent strings between sounding ones, and above the last. */
static float silence_cost(const GlnFrets *frets) {
  const GlnSlipCosts *costs = &gln_slip_costs;
  int pending = 0, inner = 0, silent = 0, voices = 0;
  for (int s = 0; s < frets->string_count; s++) {
    if (frets->fret[s] < 0) {
      silent++;
      pending += voices > 0;
      continue;
    }
    voices++;
    inner += pending;
    pending = 0;
  }
  return costs->inner_silent * (float)inner + costs->silent_high * (float)pending +
         (silent > 0 ? costs->some_silent : 0) + (voices <= 3 ? costs->thin : 0);
}

#define FAR_FRET   5 /* open strings under a shape from here on */
#define PLAIN_SPAN 3 /* frets between the outermost fingers of most grips */

/* Where the hand stands and how far it is spread. */
static float place_cost(const GlnFrets *frets) {
  const GlnSlipCosts *costs = &gln_slip_costs;
  int low = GLN_FRETS_MAX + 1, high = 0, open = 0;
  for (int s = 0; s < frets->string_count; s++) {
    int fret = frets->fret[s];
    open += fret == 0;
    high = fret > high ? fret : high;
    low = fret > 0 && fret < low ? fret : low;
  }
  if (high == 0)
    return 0;
  return costs->up_neck * (float)low + costs->span * (float)(high - low) +
         (high - low > PLAIN_SPAN ? costs->wide_span : 0) + costs->open * (float)open +
         (open > 0 && low >= FAR_FRET ? costs->open_far : 0);
}

/* Notes that sound on more strings than one, and wide steps from string to string. */
static float voicing_cost(const GlnChord *chord, const GlnInstrument *instrument, const GlnFrets *frets) {
  const GlnSlipCosts *costs = &gln_slip_costs;
  int midi[GLN_STRINGS_MAX], count = 0;
  float cost = 0;
  for (int s = 0; s < frets->string_count; s++) {
    if (frets->fret[s] < 0)
      continue;
    int pitch = gln_sounding_midi(instrument, s, frets->fret[s]);
    int tone = gln_chord_tone_of(chord, pitch % 12);
    bool colour = tone < 0 || (tone != chord->root_tone && chord->tones[tone].degree.number != 5);
    bool doubled = false;
    for (int i = 0; i < count; i++) {
      doubled = doubled || midi[i] % 12 == pitch % 12;
      cost += midi[i] == pitch ? costs->unison : 0;
    }
    cost += doubled && colour ? costs->doubled : 0;
    int step = count > 0 ? pitch - midi[count - 1] : 0;
    cost += (step > 7 ? costs->gap : 0) + (step > 12 ? costs->wide_gap : 0);
    midi[count++] = pitch;
  }
  return cost;
}

/* What of the chord does not sound, and what lies lowest. */
static float content_cost(const GlnChord *chord, const GlnHeard *heard) {
  const GlnSlipCosts *costs = &gln_slip_costs;
  int root = gln_note_pitch_class(chord->root);
  float cost = 0;
  for (int t = 0; t < chord->tone_count; t++) {
    if ((heard->classes >> chord->tones[t].pitch_class & 1) != 0)
      continue;
    if (t == chord->root_tone)
      cost += costs->rootless;
    else
      cost += chord->tones[t].degree.number == 5 ? costs->left_fifth : costs->left_out;
  }
  bool root_sounds = (heard->classes >> root & 1) != 0;
  return cost + (root_sounds && heard->bass_free && heard->bass_class != root ? costs->inverted : 0);
}

float gln_likely_cost(const GlnChord *chord, const GlnInstrument *instrument, const GlnHeard *heard,
                      const GlnSuggestion *suggestion) {
  return gln_slip_costs.hard * suggestion->fingering.difficulty + silence_cost(&suggestion->frets) +
         place_cost(&suggestion->frets) + voicing_cost(chord, instrument, &suggestion->frets) +
         content_cost(chord, heard);
}
