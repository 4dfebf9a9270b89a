/* Symbols that rules write: a root spelled as the key has it, a suffix, and read by the chord reader. */
#include "harmony_internal.h"

GlnNote gln_note_plain(GlnNote note, GlnKey key) {
  static const GlnNote naturals[12] = {[0] = {0, 0}, [4] = {2, 0}, [5] = {3, 0}, [11] = {6, 0}};
  int pitch_class = gln_note_pitch_class(note);
  bool odd = (note.accidental > 0 && (note.letter == 2 || note.letter == 6)) ||
             (note.accidental < 0 && (note.letter == 0 || note.letter == 3));
  bool of_key = (gln_key_classes(key) >> pitch_class & 1) != 0;
  if (odd && !of_key)
    return naturals[pitch_class];
  if (note.accidental > 1 || note.accidental < -1 || odd)
    return gln_key_spell(key, pitch_class);
  return note;
}

typedef struct Symbol {
  char at[GLN_SYMBOL_TEXT_MAX];
  size_t length;
} Symbol;

static void append(Symbol *symbol, const char *text) {
  for (; *text != '\0' && symbol->length < sizeof symbol->at; text++)
    symbol->at[symbol->length++] = *text;
}

bool gln_rule_chord(GlnNote root, const char *suffix, const GlnNote *bass, GlnChord *chord) {
  char note[GLN_NOTE_TEXT_MAX];
  Symbol symbol = {.length = 0};
  (void)gln_note_print(root, GLN_SIGNS_ASCII, note);
  append(&symbol, note);
  append(&symbol, suffix);
  if (bass != NULL) {
    (void)gln_note_print(*bass, GLN_SIGNS_ASCII, note);
    append(&symbol, "/");
    append(&symbol, note);
  }
  return symbol.length < sizeof symbol.at &&
         gln_chord_parse((GlnText){symbol.at, symbol.length}, chord, NULL) == GLN_OK;
}
