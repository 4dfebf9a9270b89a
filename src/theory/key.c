/* Keys: as text, on the circle of fifths, and how a musician in them spells a pitch. */
#include "theory_internal.h"

static const struct {
  const char *word;
  bool minor;
  bool exact_case; /* m and M differ */
} MODES[] = {
    {"m", true, true},  {"-", true, true},     {"min", true, false},    {"minor", true, false},
    {"M", false, true}, {"maj", false, false}, {"major", false, false},
};

static bool mode_read(GlnText word, bool *minor) {
  for (size_t i = 0; i < GLN_COUNT_OF(MODES); i++) {
    GlnText mode = gln_text(MODES[i].word);
    bool same = MODES[i].exact_case ? gln_text_equal(word, mode) : gln_text_equal_ignoring_case(word, mode);
    if (same) {
      *minor = MODES[i].minor;
      return true;
    }
  }
  return false;
}

/* A small letter for the tonic ("c minor") is read only where the mode is said: alone, "c" could mean either.
 */
GlnStatus gln_key_parse(GlnText text, GlnKey *key) {
  text = gln_text_trim(text);
  if (text.length == 0 || text.length >= GLN_KEY_TEXT_MAX)
    return GLN_INPUT;
  char capital[GLN_KEY_TEXT_MAX];
  for (size_t i = 0; i < text.length; i++)
    capital[i] = text.at[i];
  bool small = capital[0] >= 'a' && capital[0] <= 'g';
  if (small)
    capital[0] = (char)(capital[0] - 'a' + 'A');
  GlnNote tonic;
  size_t used = 0;
  GLN_TRY(gln_note_parse((GlnText){capital, text.length}, &tonic, &used));
  if (tonic.accidental > GLN_ROOT_ACCIDENTAL_MAX || tonic.accidental < -GLN_ROOT_ACCIDENTAL_MAX)
    return GLN_INPUT;
  GlnText rest = gln_text_trim(gln_text_from(text, used));
  bool minor = false;
  if (rest.length == 0 ? small : !mode_read(rest, &minor))
    return GLN_INPUT;
  *key = (GlnKey){tonic, minor};
  return GLN_OK;
}

size_t gln_key_print(GlnKey key, GlnSigns signs, char out[GLN_KEY_TEXT_MAX]) {
  GlnWriter writer = gln_writer(out, GLN_KEY_TEXT_MAX);
  gln_write_note(&writer, key.tonic, signs);
  if (key.minor)
    gln_write(&writer, "m");
  return writer.length;
}

int gln_key_fifths(GlnKey key) {
  static const int8_t LETTER_FIFTHS[7] = {0, 2, 4, -1, 1, 3, 5}; /* C..B, from C */
  return LETTER_FIFTHS[key.tonic.letter] + 7 * key.tonic.accidental - (key.minor ? 3 : 0);
}

/* The harmonic chromatic scale: the notes of the scale, and ♭2 ♭3 ♯4 ♭6 ♭7 between them, in major and minor
 * alike (common practice, no published source). Doubled accidentals give way to the plain name of the same
 * pitch, but for the leading note of a minor key (F♯♯ in G♯ minor). */
GlnNote gln_key_spell(GlnKey key, int pitch_class) {
  static const GlnDegree CHROMATIC[12] = {{1, 0}, {2, -1}, {2, 0},  {3, -1}, {3, 0},  {4, 0},
                                          {4, 1}, {5, 0},  {6, -1}, {6, 0},  {7, -1}, {7, 0}};
  int above = ((pitch_class - gln_note_pitch_class(key.tonic)) % 12 + 12) % 12;
  GlnNote note = gln_note_above(key.tonic, CHROMATIC[above]);
  bool leading = key.minor && above == 11;
  if ((note.accidental > 1 && !leading) || note.accidental < -1)
    return gln_note_plainer(note);
  return note;
}
