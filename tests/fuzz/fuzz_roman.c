/* Any bytes as a Roman numeral, in every key: no crash, and what reads is a chord whose symbol reads back. */
#include "harmony.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size) {
  GlnText text = {(const char *)bytes, size};
  for (int8_t letter = 0; letter < 7; letter++)
    for (int8_t accidental = -1; accidental <= 1; accidental++) {
      GlnChord chord, back;
      char symbol[GLN_SYMBOL_TEXT_MAX];
      if (gln_roman_parse(text, (GlnKey){{letter, accidental}, size % 2 == 1}, &chord) != GLN_OK)
        continue;
      size_t length = gln_chord_print(&chord, GLN_SIGNS_ASCII, symbol);
      if (gln_chord_parse((GlnText){symbol, length}, &back, NULL) != GLN_OK ||
          !gln_chord_equal(&chord, &back))
        abort();
    }
  return 0;
}
