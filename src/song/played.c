/* The bars of the form as it is played. */
#include "song_internal.h"

GlnStatus gln_played_bars_find(const GlnSong *song, GlnArena *arena, GlnPlayedBar **bars, size_t *count) {
  *count = 0;
  *bars = GLN_NEW(arena, GlnPlayedBar, song->slot_count);
  if (*bars == NULL)
    return GLN_MEMORY;
  GlnRatio begun = gln_ratio(-1, 1);
  for (size_t i = 0; i < song->slot_count; i++) {
    const GlnSlot *slot = &song->slots[i];
    GlnRatio unit = gln_ratio(4, slot->meter.unit);
    const GlnBar *written = &song->chart->sections[slot->section].bars[slot->written_bar];
    GlnRatio start = gln_ratio_subtract(slot->start, gln_ratio_multiply(slot->event->beat, unit));
    if (*count == 0 || gln_ratio_compare(start, begun) != 0)
      (*bars)[(*count)++] = (GlnPlayedBar){.start = start,
                                           .quarters = gln_ratio_multiply(written->beats, unit),
                                           .meter = slot->meter,
                                           .first_slot = i,
                                           .pickup = slot->bar == 0};
    (*bars)[*count - 1].slot_count++;
    begun = start;
  }
  return GLN_OK;
}

const GlnChord *gln_played_chord(const GlnSong *song, const GlnPlayedBar *bar, GlnRatio at) {
  const GlnChord *chord = NULL;
  for (size_t i = bar->first_slot; i < bar->first_slot + bar->slot_count; i++)
    if (gln_ratio_compare(song->slots[i].start, at) <= 0)
      chord = &song->slots[i].event->chord;
  return chord;
}
