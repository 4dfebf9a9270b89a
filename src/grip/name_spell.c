/* A name as a spelled chord: the root as the key has it, or as needs the fewest accidentals. */
#include "name_internal.h"

#include <stdio.h>
#include <stdlib.h>

static GlnNote plain_at(int pitch_class, int accidental) {
  for (int8_t letter = 0; letter < 7; letter++) {
    GlnNote note = {letter, (int8_t)accidental};
    if (gln_note_pitch_class(note) == pitch_class)
      return note;
  }
  return (GlnNote){-1, 0};
}

/* A doubled accidental reads three times as hard as a single one. Design choice. */
static int accidentals_of(const GlnChord *chord) {
  int sum = 0;
  for (int t = 0; t < chord->tone_count; t++) {
    int size = abs(chord->tones[t].note.accidental);
    sum += size > 1 ? 3 * (size - 1) : size;
  }
  return sum;
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

/* The formula's chord moved to this root; without a root it cannot be spelled from, accidentals are INT_MAX. */
static int try_root(const GlnFormula *formula, GlnNote root) {
  static const GlnNote c = {0, 0};
  if (root.letter < 0)
    return 1000;
  GlnChord moved = gln_chord_transpose(&formula->chord, c, root);
  return gln_note_equal(moved.root, root) ? accidentals_of(&moved) : 1000;
}

static GlnNote spell_root(const GlnFormula *formula, int root, const GlnKey *key) {
  GlnNote natural = plain_at(root, 0);
  bool by_key = key != NULL && (of_the_scale(key, root) || !spelled_by_itself(formula));
  if (by_key && try_root(formula, gln_key_spell(*key, root)) < 1000)
    return gln_key_spell(*key, root);
  if (natural.letter >= 0)
    return natural;
  GlnNote flat = plain_at(root, -1), sharp = plain_at(root, 1);
  int flats = try_root(formula, flat), sharps = try_root(formula, sharp);
  if (flats == sharps)
    return key != NULL ? gln_key_spell(*key, root) : root == 6 || spelled_by_itself(formula) ? sharp : flat;
  return flats < sharps ? flat : sharp;
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
static GlnNote spell_bass(const GlnChord *chord, int bass, const GlnKey *key) {
  int tone = gln_chord_tone_of(chord, bass);
  GlnNote note = tone >= 0 ? chord->tones[tone].note : gln_key_spell((GlnKey){chord->root, false}, bass);
  if (tone < 0 && key != NULL && of_the_scale(key, bass))
    note = gln_key_spell(*key, bass);
  if (!awkward(note, key))
    return note;
  GlnNote natural = plain_at(bass, 0);
  return natural.letter >= 0 ? natural : gln_key_spell((GlnKey){{0, 0}, false}, bass);
}

GlnStatus gln_name_chord(const GlnNamer *namer, const GlnName *name, const GlnKey *key, GlnChord *chord) {
  static const GlnNote c = {0, 0};
  const GlnFormula *formula = &namer->formulas[name->formula];
  GlnChord over_root = gln_chord_transpose(&formula->chord, c, spell_root(formula, name->root, key));
  if (name->kind == GLN_NAME_PLAIN || name->kind == GLN_NAME_ROOTLESS) {
    *chord = over_root;
    return GLN_OK;
  }
  GlnNote bass = spell_bass(&over_root, name->bass, key);
  if (over_root.quality >= 0)
    return gln_chord_build(over_root.root, (size_t)over_root.quality, &bass, chord);
  char symbol[GLN_SYMBOL_TEXT_MAX], note[GLN_NOTE_TEXT_MAX];
  size_t length = gln_chord_print(&over_root, GLN_SIGNS_ASCII, symbol);
  (void)gln_note_print(bass, GLN_SIGNS_ASCII, note);
  (void)snprintf(symbol + length, sizeof symbol - length, "/%s", note);
  return gln_chord_parse(gln_text(symbol), chord, NULL);
}
