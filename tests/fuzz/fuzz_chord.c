/* Any bytes as a chord symbol and as a Harte label: no crash, faults within the text, and what reads prints and reads back
 * as the same chord, in both spellings. */
#include "theory.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

static void require(bool holds) {
  if (!holds)
    abort();
}

static void check_identity(const GlnChord *chord) {
  char text[GLN_SYMBOL_TEXT_MAX];
  GlnChord back;
  for (int signs = GLN_SIGNS_ASCII; signs <= GLN_SIGNS_UNICODE; signs++) {
    size_t length = gln_chord_print(chord, (GlnSigns)signs, text);
    require(length == strlen(text));
    require(gln_chord_parse((GlnText){text, length}, &back, NULL) == GLN_OK);
    require(gln_chord_equal(chord, &back) && back.quality == chord->quality);
  }
  size_t length = gln_chord_print_harte(chord, text);
  require(gln_chord_parse_harte((GlnText){text, length}, &back, NULL) == GLN_OK);
  require(gln_chord_equal(chord, &back));
}

static void check_chord(const GlnChord *chord) {
  require(chord->tone_count >= 0 && chord->tone_count <= GLN_CHORD_TONES_MAX);
  require(chord->root_tone < chord->tone_count && chord->bass_tone < chord->tone_count);
  require(chord->silent == (chord->tone_count == 0));
  check_identity(chord);
  for (int8_t letter = 0; letter < 7; letter++) {
    for (int8_t accidental = -1; accidental <= 1; accidental++) {
      GlnChord moved = gln_chord_transpose(chord, (GlnNote){0, 0}, (GlnNote){letter, accidental});
      require(moved.tone_count == chord->tone_count);
    }
  }
}

static void check_fault(const GlnSymbolFault *fault, size_t size) {
  GlnChord chord;
  require(fault->offset <= size && fault->length <= size - fault->offset);
  require(fault->problem[0] != '\0' && memchr(fault->problem, '\0', sizeof fault->problem) != NULL);
  if (fault->nearest[0] != '\0')
    require(gln_chord_parse(gln_text(fault->nearest), &chord, NULL) == GLN_OK);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size) {
  GlnText text = {(const char *)bytes, size};
  GlnSymbolFault fault;
  GlnChord chord;
  if (gln_chord_parse(text, &chord, &fault) == GLN_OK)
    check_chord(&chord);
  else
    check_fault(&fault, size);
  if (gln_chord_parse_harte(text, &chord, &fault) == GLN_OK)
    check_chord(&chord);
  else
    require(fault.offset <= size && fault.length <= size - fault.offset);
  return 0;
}
