/* Reads lines "KEY<tab>NUMERAL"; writes each with the chord's symbol, its notes, and the numeral that this chord is read
 * with in the key, before its goal where the numeral names one. "-" for what cannot be read. */
#include <stdio.h>
#include <string.h>

#include "harmony.h"

static void print_back(GlnText numeral, GlnKey key, const GlnChord *chord) {
  size_t slash = gln_text_find(numeral, GLN_TEXT("/"), 0);
  GlnChord goal;
  GlnStep steps[2] = {{.chord = chord, .quarters = {4, 1}, .start = {0, 1}},
                      {.chord = &goal, .quarters = {4, 1}, .start = {4, 1}}};
  GlnReading readings[2];
  size_t count = 1;
  if (slash < numeral.length && gln_roman_parse(gln_text_from(numeral, slash + 1), key, &goal) == GLN_OK)
    count = 2;
  GlnArena *arena = gln_arena_new(NULL, 0);
  if (arena != NULL && gln_harmony_read(steps, count, key, arena, readings) == GLN_OK)
    printf("\t%s\n", readings[0].roman);
  gln_arena_free(arena);
}

int main(void) {
  char line[256];
  while (fgets(line, sizeof line, stdin) != NULL) {
    line[strcspn(line, "\n")] = '\0';
    GlnText text = gln_text(line);
    size_t tab = gln_text_find(text, GLN_TEXT("\t"), 0);
    GlnText numeral = gln_text_from(text, tab + 1);
    GlnKey key;
    GlnChord chord;
    printf("%s", line);
    if (gln_key_parse(gln_text_slice(text, 0, tab), &key) != GLN_OK ||
        gln_roman_parse(numeral, key, &chord) != GLN_OK) {
      printf("\t-\t-\t-\n");
      continue;
    }
    char symbol[GLN_SYMBOL_TEXT_MAX], note[GLN_NOTE_TEXT_MAX];
    gln_chord_print(&chord, GLN_SIGNS_ASCII, symbol);
    printf("\t%s\t", symbol);
    for (int i = 0; i < chord.tone_count; i++) {
      gln_note_print(chord.tones[i].note, GLN_SIGNS_ASCII, note);
      printf("%s%s", i > 0 ? " " : "", note);
    }
    print_back(numeral, key, &chord);
  }
  return 0;
}
