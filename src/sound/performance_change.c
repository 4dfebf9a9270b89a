/* What can be done with a performance that is made: join, transpose, leave out. */
#include "sound_internal.h"

static void add_meters(const GlnPerformance *part, GlnRatio offset, GlnPerformance *whole) {
  for (size_t i = 0; i < part->meter_count; i++) {
    GlnMeterStart meter = part->meters[i];
    const GlnMeterStart *last = whole->meter_count ? &whole->meters[whole->meter_count - 1] : NULL;
    meter.start = gln_ratio_add(meter.start, offset);
    if (!last || last->beats != meter.beats || last->unit != meter.unit)
      whole->meters[whole->meter_count++] = meter;
  }
}

static void add_tempo(GlnPerformance *whole, GlnRatio start, double tempo) {
  double last = whole->tempo_count ? whole->tempos[whole->tempo_count - 1].tempo : whole->tempo;
  if (last < tempo || last > tempo)
    whole->tempos[whole->tempo_count++] = (GlnTempoStart){start, tempo};
}

GlnStatus gln_performance_join(GlnPerformance *const *parts, size_t count, GlnArena *arena,
                               GlnPerformance **joined) {
  size_t notes = 0, meters = 0, tempos = 0;
  for (size_t i = 0; i < count; i++) {
    notes += parts[i]->count;
    meters += parts[i]->meter_count;
    tempos += parts[i]->tempo_count + 1;
  }
  GlnPerformance *whole = GLN_NEW(arena, GlnPerformance, 1);
  *joined = whole;
  if (!whole)
    return GLN_MEMORY;
  *whole = (GlnPerformance){.notes = GLN_NEW(arena, GlnSounding, notes),
                            .meters = GLN_NEW(arena, GlnMeterStart, meters),
                            .tempos = GLN_NEW(arena, GlnTempoStart, tempos),
                            .tempo = parts[0]->tempo,
                            .lead_in = parts[0]->lead_in,
                            .quarters = gln_ratio(0, 1),
                            .string_count = parts[0]->string_count};
  if (!whole->notes || !whole->meters || !whole->tempos)
    return GLN_MEMORY;
  for (size_t i = 0; i < count; i++) {
    const GlnPerformance *part = parts[i];
    add_meters(part, whole->quarters, whole);
    add_tempo(whole, whole->quarters, part->tempo);
    for (size_t n = 0; n < part->tempo_count; n++)
      add_tempo(whole, gln_ratio_add(whole->quarters, part->tempos[n].start), part->tempos[n].tempo);
    for (size_t n = 0; n < part->count; n++) {
      GlnSounding note = part->notes[n];
      note.start = gln_ratio_add(note.start, whole->quarters);
      whole->notes[whole->count++] = note;
    }
    whole->quarters = gln_ratio_add(whole->quarters, part->quarters);
  }
  return GLN_OK;
}

bool gln_performance_transpose(GlnPerformance *performance, int semitones) {
  for (size_t i = 0; i < performance->count; i++) {
    int midi = performance->notes[i].midi + semitones;
    if (performance->notes[i].string >= 0 && (midi < 0 || midi > INT8_MAX))
      return false;
  }
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].string >= 0)
      performance->notes[i].midi = (int8_t)(performance->notes[i].midi + semitones);
  return true;
}

void gln_performance_keep(GlnPerformance *performance, uint8_t players) {
  size_t kept = 0;
  for (size_t i = 0; i < performance->count; i++)
    if (players >> performance->notes[i].player & 1)
      performance->notes[kept++] = performance->notes[i];
  performance->count = kept;
}
