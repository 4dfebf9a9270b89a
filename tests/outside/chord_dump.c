/* gripline's reading of chord symbols, one a line on standard input: symbol, notes, degrees and printed
 * symbol, separated by tabs; "symbol<TAB>!<TAB>offset<TAB>problem<TAB>nearest" for one that does not read. */
#include "theory.h"

#include <stdio.h>
#include <string.h>

static void dump_tones(const GlnChord *chord) {
  for (int i = 0; i < chord->tone_count; i++) {
    char note[GLN_NOTE_TEXT_MAX];
    (void)gln_note_print(chord->tones[i].note, GLN_SIGNS_ASCII, note);
    (void)printf("%s%s", i == 0 ? "" : " ", note);
  }
  (void)putchar('\t');
  for (int i = 0; i < chord->tone_count; i++) {
    char degree[GLN_DEGREE_TEXT_MAX];
    (void)gln_degree_print(chord->tones[i].degree, GLN_SIGNS_ASCII, degree);
    (void)printf("%s%s", i == 0 ? "" : " ", degree);
  }
}

int main(void) {
  static char line[1024];
  while (fgets(line, sizeof line, stdin) != NULL) {
    GlnText symbol = {line, strcspn(line, "\r\n")};
    GlnChord chord;
    GlnSymbolFault fault;
    char printed[GLN_SYMBOL_TEXT_MAX];
    (void)printf("%.*s\t", (int)symbol.length, symbol.at);
    if (gln_chord_parse(symbol, &chord, &fault) != GLN_OK) {
      (void)printf("!\t%zu\t%s\t%s\n", fault.offset, fault.problem, fault.nearest);
      continue;
    }
    dump_tones(&chord);
    (void)gln_chord_print(&chord, GLN_SIGNS_ASCII, printed);
    (void)printf("\t%s\n", printed);
  }
  return ferror(stdin) != 0 || fflush(stdout) != 0;
}
