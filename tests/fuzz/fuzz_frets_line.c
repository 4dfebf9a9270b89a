/* Any bytes as a line of grips: what reads is within the limits, and each grip is named, spelled and explained. */
#include "grip.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

static void name(const GlnNamer *namer, const GlnInstrument *instrument, const GlnFrets *frets,
                 GlnArena *arena) {
  GlnName names[GLN_NAMES_MAX];
  int8_t midi[GLN_STRINGS_MAX];
  char shape[GLN_SHAPE_TEXT_MAX];
  int voices = gln_frets_pitches(instrument, frets, midi);
  GlnNoteSet notes = gln_note_set_on(instrument, midi, (size_t)voices);
  size_t count = gln_namer_find(namer, notes, names);
  must(count <= GLN_NAMES_MAX && gln_shape_print(instrument, frets, shape) < sizeof shape);
  (void)gln_pitches_words(midi, (size_t)voices);
  for (size_t i = 0; i < count; i++) {
    GlnChord chord;
    GlnBuffer reason = gln_buffer(arena);
    must(gln_name_chord(namer, &names[i], NULL, &chord) == GLN_OK);
    must((notes.pitch_classes & ~gln_chord_pitch_classes(&chord)) == 0);
    gln_name_reason(namer, names, count, i, &chord, notes, NULL, &reason);
    must(reason.length > 0);
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnText text = {(const char *)data, size};
  static GlnArena *whole_run; /* the namer is made once: it takes longer than all the rest */
  static GlnNamer *namer;
  if (namer == NULL) {
    whole_run = gln_arena_new(NULL, 0);
    must(whole_run != NULL && gln_namer_new(whole_run, &namer) == GLN_OK);
  }
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnFretsLine line;
  GlnSymbolFault fault = {0};
  must(arena != NULL);
  GlnInstrument instrument = gln_instrument_defaults();
  if (size % 2 == 1)
    must(gln_instrument_tune(GLN_TEXT("ukulele"), &instrument) == GLN_OK);
  if (gln_frets_line_parse(text, arena, &line, &fault) == GLN_OK) {
    must(line.count > 0 && line.count <= GLN_FRETS_LINE_MAX && line.bar_count <= line.count);
    for (size_t i = 0; i < line.count; i++) {
      must(line.places[i].bar < line.bar_count && line.places[i].offset + line.places[i].length <= size);
      if (line.places[i].frets.string_count == instrument.string_count)
        name(namer, &instrument, &line.places[i].frets, arena);
    }
  } else {
    must(fault.problem[0] != '\0' && fault.offset <= size);
  }
  gln_arena_free(arena);
  return 0;
}
