/* Answers for proof.mjs. Each line of standard input: instrument (guitar or ukulele), chord symbol, frets, with tabs between. Each
 * line of standard output: "ok" or the problem's key, then what was wrong as letters (f foreign, m missing, b bass, u
 * unplayable; - none), then the suggestions, likeliest first. */
#include "grip.h"

#include <stdio.h>
#include <string.h>

#define LINE_MAX_BYTES 256

static void print_wrong(const GlnProof *proof) {
  (void)printf("\t%s%s%s%s%s", proof->foreign_strings != 0 ? "f" : "", proof->missing_tones != 0 ? "m" : "",
               proof->bass_wrong ? "b" : "", proof->unplayable ? "u" : "",
               proof->problem == GLN_PROBLEM_COUNT ? "-" : "");
}

static bool answer(char *line, GlnArena *arena) {
  char *symbol = strchr(line, '\t'), *frets_text = symbol != NULL ? strchr(symbol + 1, '\t') : NULL;
  if (frets_text == NULL)
    return false;
  *symbol++ = '\0';
  *frets_text++ = '\0';
  frets_text[strcspn(frets_text, "\n")] = '\0';
  GlnInstrument instrument = gln_instrument_defaults();
  GlnFrets frets;
  GlnChord chord;
  if (strcmp(line, "guitar") != 0 && gln_instrument_tune(gln_text(line), &instrument) != GLN_OK)
    return false;
  instrument.fret_count = 24;
  if (gln_chord_parse(gln_text(symbol), &chord, NULL) != GLN_OK ||
      gln_frets_parse(gln_text(frets_text), &frets, NULL) != GLN_OK)
    return false;
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnProof proof;
  GlnStatus status = gln_proof_read(&chord, &instrument, &hand, false, &frets, arena, &proof);
  if (status != GLN_OK && status != GLN_NO)
    return false;
  (void)printf("%s", status == GLN_OK ? "ok" : gln_problem_key(proof.problem));
  print_wrong(&proof);
  for (int i = 0; i < proof.suggestion_count; i++) {
    char text[GLN_FRETS_TEXT_MAX];
    (void)gln_frets_print(&proof.suggestions[i].frets, text);
    (void)printf("\t%s", text);
  }
  (void)printf("\n");
  return true;
}

int main(void) {
  char line[LINE_MAX_BYTES];
  GlnArena *arena = gln_arena_new(NULL, (size_t)1 << 28);
  if (arena == NULL)
    return 4;
  int exit_status = 0;
  while (exit_status == 0 && fgets(line, sizeof line, stdin) != NULL)
    if (!answer(line, arena)) {
      (void)fprintf(stderr, "proof_answers: cannot read this line: %s\n", line);
      exit_status = 3;
    }
  gln_arena_free(arena);
  return ferror(stdin) ? 4 : exit_status;
}
