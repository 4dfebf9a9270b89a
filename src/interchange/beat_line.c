/* Chords beat by beat, as the bars of a chart's text. */
#include "interchange_internal.h"

#define BARS_A_LINE 4

/* One chord that fills the bar stands alone; else one mark a beat. */
static void add_bar(GlnBuffer *out, const GlnBeatChord *chords, size_t *at, int *left, int counts) {
  if (*left == 0 && chords[*at].beats >= counts) {
    gln_buffer_add(out, chords[*at].symbol);
    *left = chords[(*at)++].beats - counts;
    return;
  }
  for (int beat = 0; beat < counts; beat++) {
    gln_buffer_add_string(out, beat > 0 ? " " : "");
    if (*left > 0) {
      gln_buffer_add_byte(out, '/');
      --*left;
    } else {
      gln_buffer_add(out, chords[*at].symbol);
      *left = chords[(*at)++].beats - 1;
    }
  }
}

void gln_add_beat_line(GlnBuffer *out, const GlnBeatChord *chords, size_t count, int counts, int rest) {
  size_t at = 0, beats = (size_t)rest;
  int left = rest;
  for (size_t i = 0; i < count; i++)
    beats += (size_t)chords[i].beats;
  size_t bars = beats / (size_t)counts;
  for (size_t bar = 0; bar < bars; bar++) {
    gln_buffer_add_string(out, "| ");
    add_bar(out, chords, &at, &left, counts);
    gln_buffer_add_string(out, bar + 1 == bars || bar % BARS_A_LINE == BARS_A_LINE - 1 ? " |\n" : " ");
  }
}

bool gln_slot_goes_on(const GlnSong *song, size_t i) {
  return i > 0 && song->slots[i].event->continues && song->slots[i].written == song->slots[i - 1].written;
}
