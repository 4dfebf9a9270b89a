/* From a performance to what the synthesizer does at which sample. */
#include "audio_internal.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

static int64_t frame_at(const GlnPerformance *performance, GlnRatio quarters) {
  return llround(gln_performance_seconds(performance, quarters) * GLN_AUDIO_RATE);
}

/* By time; at one moment ends come before beginnings, so that a string plucked again stops itself and no more. */
static int compare_events(const void *left, const void *right) {
  const GlnAudioEvent *a = left, *b = right;
  if (a->frame != b->frame)
    return a->frame < b->frame ? -1 : 1;
  if ((a->force == 0) != (b->force == 0))
    return a->force == 0 ? -1 : 1;
  if (a->channel != b->channel)
    return a->channel < b->channel ? -1 : 1;
  return (int)a->key - (int)b->key;
}

GlnStatus gln_schedule_make(const GlnPerformance *performance, GlnArena *arena, GlnDiags *diags,
                            GlnSchedule *schedule) {
  *schedule = (GlnSchedule){.frames = 0};
  if (gln_performance_seconds(performance, performance->quarters) > GLN_AUDIO_SECONDS_MAX) {
    gln_audio_fault(diags, "this would sound for more than three hours",
                    "play fewer bars or fewer rounds, or write a .mid file");
    return GLN_LIMIT;
  }
  schedule->frames = frame_at(performance, performance->quarters);
  schedule->events = GLN_NEW(arena, GlnAudioEvent, 2 * performance->count);
  if (!schedule->events)
    return GLN_MEMORY;
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    assert(note->string < performance->string_count && performance->string_count <= GLN_AUDIO_CLICK_CHANNEL);
    int64_t end = frame_at(performance, gln_ratio_add(note->start, note->quarters));
    GlnAudioEvent event = {.frame = frame_at(performance, note->start),
                           .until = end,
                           .channel =
                               (uint8_t)(note->string < 0 ? GLN_AUDIO_CLICK_CHANNEL
                                                          : performance->string_count - 1 - note->string),
                           .key = (uint8_t)note->midi,
                           .force = (uint8_t)note->force};
    schedule->events[schedule->count++] = event;
    event.frame = end;
    event.force = 0;
    schedule->events[schedule->count++] = event;
  }
  if (schedule->count)
    qsort(schedule->events, schedule->count, sizeof *schedule->events, compare_events);
  return GLN_OK;
}
