/* Chord symbols read and spelled a second. bench_symbols FILE ROUNDS: one symbol a line; prints the figure alone, for
 * bench_symbols.mjs, which measures a witness beside it in the same run. */
#include "theory.h"

#include <stdio.h>
#include <time.h>

#define SYMBOLS_MAX 4096

int main(int argc, char **argv) {
  static char lines[SYMBOLS_MAX][64];
  size_t count = 0;
  FILE *file = argc == 3 ? fopen(argv[1], "rb") : NULL;
  long rounds = 0;
  if (file == NULL || gln_text_integer(gln_text(argv[2]), 1, 1000000, &rounds) != GLN_OK) {
    fprintf(stderr, "usage: bench_symbols FILE ROUNDS\n");
    return 2;
  }
  while (count < SYMBOLS_MAX && fgets(lines[count], sizeof lines[count], file) != NULL)
    count++;
  (void)fclose(file);
  struct timespec start, end;
  size_t spelled = 0, letters = 0;
  (void)clock_gettime(CLOCK_MONOTONIC, &start);
  for (long round = 0; round < rounds; round++)
    for (size_t i = 0; i < count; i++) {
      GlnChord chord;
      if (gln_chord_parse(gln_text_trim(gln_text(lines[i])), &chord, NULL) != GLN_OK)
        continue;
      spelled++;
      for (int t = 0; t < chord.tone_count; t++) {
        char note[GLN_NOTE_TEXT_MAX];
        letters += gln_note_print(chord.tones[t].note, GLN_SIGNS_ASCII, note);
      }
    }
  (void)clock_gettime(CLOCK_MONOTONIC, &end);
  double seconds = (double)(end.tv_sec - start.tv_sec) + 1e-9 * (double)(end.tv_nsec - start.tv_nsec);
  printf("%.0f %zu %zu\n", seconds > 0 ? (double)spelled / seconds : 0.0, spelled, letters);
  return spelled == 0;
}
