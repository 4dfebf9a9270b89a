/* Answers for names.mjs. Each line of standard input: instrument and frets, with a tab between. Each line of standard
 * output: gripline's names, best first, with tabs between; a name is "symbol root-pitch-class tones", tones being the
 * pitch classes of the whole chord as a decimal mask. An empty line: no name. */
#include "grip.h"

#include <stdio.h>
#include <string.h>

#define LINE_MAX_BYTES 256

static GlnStatus print_names(const GlnNamer *namer, GlnNoteSet sounding) {
  GlnName names[GLN_NAMES_MAX];
  size_t count = gln_namer_find(namer, sounding, names);
  for (size_t i = 0; i < count; i++) {
    GlnChord chord;
    char symbol[GLN_SYMBOL_TEXT_MAX];
    GLN_TRY(gln_name_chord(namer, &names[i], NULL, &chord));
    (void)gln_chord_print(&chord, GLN_SIGNS_ASCII, symbol);
    (void)printf("%s%s %d %d", i > 0 ? "\t" : "", symbol, names[i].root, gln_chord_pitch_classes(&chord));
  }
  (void)putchar('\n');
  return GLN_OK;
}

static GlnStatus answer(const GlnNamer *namer, char *line) {
  char *frets_text = strchr(line, '\t');
  if (frets_text == NULL)
    return GLN_INPUT;
  *frets_text++ = '\0';
  frets_text[strcspn(frets_text, "\n")] = '\0';
  GlnInstrument instrument = gln_instrument_defaults();
  GlnFrets frets;
  if (strcmp(line, "guitar") != 0)
    GLN_TRY(gln_instrument_tune(gln_text(line), &instrument));
  GLN_TRY(gln_frets_parse(gln_text(frets_text), &frets, NULL));
  int8_t midi[GLN_STRINGS_MAX];
  int voices = gln_frets_pitches(&instrument, &frets, midi);
  return print_names(namer, gln_note_set_on(&instrument, midi, (size_t)voices));
}

int main(void) {
  char line[LINE_MAX_BYTES];
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnNamer *namer = NULL;
  GlnStatus status = arena != NULL ? gln_namer_new(arena, &namer) : GLN_MEMORY;
  while (status == GLN_OK && fgets(line, sizeof line, stdin) != NULL) {
    status = answer(namer, line);
    if (status != GLN_OK)
      (void)fprintf(stderr, "name_answers: cannot answer this line: %s\n", line);
  }
  gln_arena_free(arena);
  return gln_status_exit(status);
}
