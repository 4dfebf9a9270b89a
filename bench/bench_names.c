/* Names a second. bench_names FILE: the grips of the file, one a line, named with symbols again and again; prints grips a
 * second. bench_names alone: every way to play six strings up to the eleventh fret (13^6), those a medium hand can hold
 * named; prints counts, shapes a second, and the most memory the program had. bench_names.mjs runs both beside a
 * general-purpose detector. */
#include "grip.h"

#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#define GRIPS_MAX   4096
#define MS_AT_LEAST 2000.0
#define NAMES       5 /* symbols printed for each grip */
#define CHOICES     13

/* Of this process's own work: other work on the machine does not count. */
static double now_ms(void) {
  struct timespec t;
  (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

/* Length of all symbols, so that no compiler leaves the work out. */
static size_t name_frets(const GlnNamer *namer, const GlnInstrument *instrument, const GlnFrets *frets,
                         size_t *count) {
  GlnName names[GLN_NAMES_MAX];
  int8_t midi[GLN_STRINGS_MAX];
  int voices = gln_frets_pitches(instrument, frets, midi);
  size_t length = 0;
  *count = gln_namer_find(namer, gln_note_set_on(instrument, midi, (size_t)voices), names);
  for (size_t i = 0; i < *count && i < NAMES; i++) {
    char symbol[GLN_SYMBOL_TEXT_MAX];
    length += gln_name_print(namer, &names[i], NULL, GLN_SIGNS_ASCII, symbol);
  }
  return length;
}

static GlnStatus bench_file(const GlnNamer *namer, const GlnInstrument *instrument, const char *path) {
  static GlnFrets grips[GRIPS_MAX];
  char line[64];
  size_t grip_count = 0, done = 0, sum = 0, named = 0;
  FILE *file = fopen(path, "r");
  if (file == NULL)
    return GLN_SYSTEM;
  while (grip_count < GRIPS_MAX && fgets(line, sizeof line, file) != NULL)
    if (gln_frets_parse((GlnText){line, strcspn(line, "\n")}, &grips[grip_count], NULL) == GLN_OK)
      grip_count++;
  (void)fclose(file);
  if (grip_count == 0)
    return GLN_INPUT;
  double start = now_ms(), took = 0;
  for (; took < MS_AT_LEAST; took = now_ms() - start)
    for (size_t i = 0; i < grip_count; i++, done++) {
      size_t count = 0;
      sum += name_frets(namer, instrument, &grips[i], &count);
      named += count > 0;
    }
  (void)printf("%zu grips, %.0f a second, %zu of 100 with a name (%zu)\n", grip_count,
               (double)done / took * 1e3, 100 * named / done, sum % 10);
  return GLN_OK;
}

static GlnStatus bench_all(const GlnNamer *namer, const GlnInstrument *instrument) {
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  size_t shapes = 0, playable = 0, named = 0, sum = 0;
  double start = now_ms();
  GlnFrets frets = {.string_count = 6};
  size_t all = 1;
  for (int s = 0; s < 6; s++)
    all *= CHOICES;
  for (size_t code = 0; code < all; code++) {
    size_t rest = code;
    for (int s = 0; s < 6; s++, rest /= CHOICES)
      frets.fret[s] = (int8_t)((int)(rest % CHOICES) - 1);
    GlnFingering fingering;
    shapes++;
    if (gln_fingering_find(instrument, &hand, &frets, &fingering) != GLN_OK)
      continue;
    playable++;
    size_t count = 0;
    sum += name_frets(namer, instrument, &frets, &count);
    named += count > 0;
  }
  double took = now_ms() - start;
  struct rusage usage;
  if (getrusage(RUSAGE_SELF, &usage) != 0)
    return GLN_SYSTEM;
  (void)printf("%zu shapes, %zu playable, %zu with a name; %.0f shapes a second; at most %.1f MiB (%zu)\n",
               shapes, playable, named, (double)shapes / took * 1e3, (double)usage.ru_maxrss / 1024.0,
               sum % 10);
  return GLN_OK;
}

int main(int argc, char *argv[]) {
  GlnInstrument instrument = gln_instrument_defaults();
  instrument.fret_count = 24;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnNamer *namer = NULL;
  GlnStatus status = arena != NULL ? gln_namer_new(arena, &namer) : GLN_MEMORY;
  if (status == GLN_OK)
    status = argc > 1 ? bench_file(namer, &instrument, argv[1]) : bench_all(namer, &instrument);
  gln_arena_free(arena);
  return gln_status_exit(status);
}
