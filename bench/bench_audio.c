/* Sound, measured: from a performance to the bytes of a WAV, a FLAC, an Ogg and an MP3 file. The seconds of sound against
 * a second that passes, and against a second of processor time. Usage: bench_audio [MINUTES] */
#include "audio.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

/* A chord of six strings every half second, and its bass between: thicker than any feel of gripline's. */
#define CHORDS_A_MINUTE 120

static double now_s(clockid_t clock) {
  struct timespec t;
  (void)clock_gettime(clock, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static bool count_bytes(void *data, const void *bytes, size_t count) {
  (void)bytes;
  *(size_t *)data += count;
  return true;
}

static bool go_to(void *data, int64_t place) {
  (void)data, (void)place;
  return true;
}

static GlnPerformance make(int minutes, GlnArena *arena) {
  static const int8_t pitches[6] = {40, 47, 52, 56, 59, 64};
  size_t chords = (size_t)minutes * CHORDS_A_MINUTE;
  GlnPerformance performance = {.notes = GLN_NEW(arena, GlnSounding, 7 * chords),
                                .tempo = CHORDS_A_MINUTE,
                                .lead_in = {0, 1},
                                .quarters = gln_ratio((int64_t)chords, 1),
                                .string_count = 6};
  if (!performance.notes)
    exit(1);
  for (size_t i = 0; i < chords; i++) {
    for (int string = 0; string < 6; string++)
      performance.notes[performance.count++] =
          (GlnSounding){.start = gln_ratio((int64_t)(48 * i) + string, 48),
                        .quarters = gln_ratio(string == 0 ? 23 : 46 - string, 48),
                        .string = (int8_t)string,
                        .midi = (int8_t)(pitches[string] + (int)(i % 5)),
                        .force = 80};
    performance.notes[performance.count++] = (GlnSounding){.start = gln_ratio((int64_t)(2 * i) + 1, 2),
                                                           .quarters = gln_ratio(1, 2),
                                                           .midi = (int8_t)(pitches[0] + (int)(i % 5)),
                                                           .force = 70};
  }
  return performance;
}

static void measure(int minutes, GlnAudioFormat format, const char *name) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnDiags diags = gln_diags(arena);
  const GlnPerformance performance = make(minutes, arena);
  size_t bytes = 0;
  const GlnAudioOptions options = {.soundfont = NULL};
  const GlnAudioSink sink = {&bytes, count_bytes, go_to};
  GlnAudioReport report = {0};
  double start = now_s(CLOCK_MONOTONIC), worked = now_s(CLOCK_PROCESS_CPUTIME_ID);
  if (gln_audio.write(&performance, format, &options, &sink, arena, &diags, &report) != GLN_OK) {
    (void)fprintf(stderr, "%s: %.*s\n", name, diags.count ? (int)diags.items[0].problem.length : 0,
                  diags.count ? diags.items[0].problem.at : "");
    exit(1);
  }
  double seconds = now_s(CLOCK_MONOTONIC) - start, work = now_s(CLOCK_PROCESS_CPUTIME_ID) - worked;
  struct rusage usage;
  (void)getrusage(RUSAGE_SELF, &usage);
  printf("  %-4s %6.1f s of sound in %5.2f s: %4.0f times real time (%5.2f s of processor time: %4.0f); %6zu "
         "KB; so far "
         "%ld MB at most\n",
         name, report.seconds, seconds, report.seconds / seconds, work, report.seconds / work, bytes / 1024,
         usage.ru_maxrss / 1024);
  gln_arena_free(arena);
}

int main(int count, char **arguments) {
  static const char *const names[GLN_AUDIO_FORMAT_COUNT] = {
#define NAME(name, ending) [name] = (ending),
      GLN_AUDIO_FORMAT_LIST(NAME)
#undef NAME
  };
  long minutes = 0;
  if (count > 1 && gln_text_integer(gln_text(arguments[1]), 1, 170, &minutes) != GLN_OK)
    return 2;
  static const long usual[] = {1, 3, 10};
  for (size_t i = 0; i < (minutes ? 1 : GLN_COUNT_OF(usual)); i++) {
    long length = minutes ? minutes : usual[i];
    printf("%ld minutes\n", length);
    for (int format = 0; format < GLN_AUDIO_FORMAT_COUNT; format++)
      measure((int)length, (GlnAudioFormat)format, names[format]);
  }
  return 0;
}
