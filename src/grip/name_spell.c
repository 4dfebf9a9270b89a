/* A name as a spelled chord: the root as the key has it, or as needs the fewest accidentals. */
#include "name_internal.h"

#include <stdlib.h>
#include <string.h>

/* The note of this pitch class with this accidental (-1, 0, 1); letter -1 where there is none. */
static GlnNote plain_at(int pitch_class, int accidental) {
  static const int8_t naturals[12] = {0, -1, 1, -1, 2, 3, -1, 4, -1, 5, -1, 6};
  return (GlnNote){naturals[(pitch_class - accidental + 12) % 12], (int8_t)accidental};
}

#define UNSPELLABLE 1000 /* more accidentals than any chord has */

/* Accidentals of the formula's chord on this root; a doubled one reads three times as hard as a single one. Design
 * choice. UNSPELLABLE where a tone would need more than two, or there is no such root. */
static int accidentals_on(const GlnFormula *formula, GlnNote root) {
  int sum = 0;
  for (int t = 0; root.letter >= 0 && t < formula->chord.own_count; t++) {
    int size = abs(gln_note_above(root, formula->chord.tones[t].degree).accidental);
    sum += size > 2 ? UNSPELLABLE : size > 1 ? 3 : size;
  }
  return root.letter < 0 || sum > UNSPELLABLE ? UNSPELLABLE : sum;
}

/* Triads and sevenths with a minor third rise from the note below them when it is raised (C♯°7 before Dm, not D♭°7);
 * majors and dominants keep the key's flats (D♭7 before C). */
static bool spelled_by_itself(const GlnFormula *formula) {
  bool minor_third = (formula->tones & 1u << 3) != 0 && (formula->tones & 1u << 4) == 0;
  return minor_third;
}

static bool of_the_scale(const GlnKey *key, int pitch_class) {
  static const unsigned major = 0xAB5, minor = 0x5AD; /* bit n: n semitones above the tonic */
  int above = (pitch_class - gln_note_pitch_class(key->tonic) + 12) % 12;
  return ((key->minor ? minor : major) >> above & 1) != 0;
}

void gln_formula_spell(GlnFormula *formula) {
  for (int root = 0; root < 12; root++) {
    GlnNote natural = plain_at(root, 0), flat = plain_at(root, -1), sharp = plain_at(root, 1);
    int flats = accidentals_on(formula, flat), sharps = accidentals_on(formula, sharp);
    bool up = sharps < flats || (sharps == flats && (root == 6 || spelled_by_itself(formula)));
    formula->plain_root[root] = natural.letter >= 0 ? natural : up ? sharp : flat;
  }
}

static GlnNote spell_root(const GlnFormula *formula, int root, const GlnKey *key) {
  if (key == NULL)
    return formula->plain_root[root];
  GlnNote in_key = gln_key_spell(*key, root);
  bool by_key = of_the_scale(key, root) || !spelled_by_itself(formula);
  if (by_key && accidentals_on(formula, in_key) < UNSPELLABLE)
    return in_key;
  if (plain_at(root, 0).letter >= 0)
    return plain_at(root, 0);
  int flats = accidentals_on(formula, plain_at(root, -1)),
      sharps = accidentals_on(formula, plain_at(root, 1));
  return flats == sharps ? in_key : formula->plain_root[root];
}

/* E♯, F♭ and the like, and doubled accidentals: right by the letter, and no help under a slash outside their own key. */
static bool awkward(GlnNote note, const GlnKey *key) {
  if (abs(note.accidental) > 1)
    return true;
  int pitch_class = gln_note_pitch_class(note);
  return note.accidental != 0 && plain_at(pitch_class, 0).letter >= 0 &&
         (key == NULL || !gln_note_equal(gln_key_spell(*key, pitch_class), note));
}

/* A tone of the chord as the chord spells it, a foreign bass as the key or the chord's own key would. */
static GlnNote spell_bass(const GlnFormula *formula, GlnNote root, const GlnName *name, const GlnKey *key) {
  int tone = gln_chord_tone_of(&formula->chord, (name->bass - name->root + 12) % 12);
  GlnNote note = tone >= 0 ? gln_note_above(root, formula->chord.tones[tone].degree)
                           : gln_key_spell((GlnKey){root, false}, name->bass);
  if (tone < 0 && key != NULL && of_the_scale(key, name->bass))
    note = gln_key_spell(*key, name->bass);
  if (!awkward(note, key))
    return note;
  GlnNote natural = plain_at(name->bass, 0);
  return natural.letter >= 0 ? natural : gln_key_spell((GlnKey){{0, 0}, false}, name->bass);
}

static bool writes_bass(const GlnName *name) {
  return name->kind == GLN_NAME_SLASH || (name->kind == GLN_NAME_INVERTED && name->bass != name->root);
}

GlnStatus gln_name_chord(const GlnNamer *namer, const GlnName *name, const GlnKey *key, GlnChord *chord) {
  const GlnFormula *formula = &namer->formulas[name->formula];
  if (formula->chord.quality < 0) {
    char symbol[GLN_SYMBOL_TEXT_MAX];
    size_t length = gln_name_print(namer, name, key, GLN_SIGNS_ASCII, symbol);
    return gln_chord_parse((GlnText){symbol, length}, chord, NULL);
  }
  GlnNote root = spell_root(formula, name->root, key);
  GlnNote bass = spell_bass(formula, root, name, key);
  return gln_chord_build(root, (size_t)formula->chord.quality, writes_bass(name) ? &bass : NULL, chord);
}

size_t gln_name_print(const GlnNamer *namer, const GlnName *name, const GlnKey *key, GlnSigns signs,
                      char out[GLN_SYMBOL_TEXT_MAX]) {
  const GlnFormula *formula = &namer->formulas[name->formula];
  GlnNote root = spell_root(formula, name->root, key);
  size_t length = gln_note_print(root, signs, out);
  memcpy(out + length, formula->suffix[signs].at, formula->suffix[signs].length);
  length += formula->suffix[signs].length;
  if (writes_bass(name)) {
    out[length++] = '/';
    length += gln_note_print(spell_bass(formula, root, name, key), signs, out + length);
  }
  out[length] = '\0';
  return length;
}
