/* The one table of qualities: what a chord is called, what it contains, and which words of a symbol reach it.
 *
 * Decided by the trade's convention (docs/chord-symbols.md): an 11 chord with a major third leaves that third
 * out, a 13 chord takes the 9 and leaves the 11 out, ♯11 and ♭13 keep the 5th, an altered dominant holds both
 * altered 5ths and both altered 9ths, of which a player takes one each. */
#include "theory_internal.h"

#include <string.h>

#define MAJ(number) ((number) + GLN_STACK_MAJOR)

/* suffix, degrees, words, Harte shorthand, family, stack. Rows of a family come before the rows that only
 * modifiers reach; of two equal ways to spell a chord with no name the earlier row wins. */
#define ROW(suffix, degrees, words, harte, family, stack)                                                    \
  { {suffix, degrees, words, harte}, sizeof(degrees) - 1, family, stack }
const GlnQualityRow GLN_QUALITY_ROWS[] = {
    ROW("", "1 3 5", "major triad", "maj", GLN_FAMILY_MAJOR, 0),
    ROW("m", "1 b3 5", "minor triad", "min", GLN_FAMILY_MINOR, 0),
    ROW("7", "1 3 5 b7", "dominant seventh", "7", GLN_FAMILY_MAJOR, 7),
    ROW("m7", "1 b3 5 b7", "minor seventh", "min7", GLN_FAMILY_MINOR, 7),
    ROW("maj7", "1 3 5 7", "major seventh", "maj7", GLN_FAMILY_MAJOR, MAJ(7)),
    ROW("m7b5", "1 b3 b5 b7", "half-diminished seventh", "hdim7", GLN_FAMILY_HALF, 7),
    ROW("dim7", "1 b3 b5 bb7", "diminished seventh", "dim7", GLN_FAMILY_DIM, 7),
    ROW("6", "1 3 5 6", "major sixth", "maj6", GLN_FAMILY_MAJOR, 6),
    ROW("m6", "1 b3 5 6", "minor sixth", "min6", GLN_FAMILY_MINOR, 6),
    ROW("sus4", "1 4 5", "suspended fourth", "sus4", GLN_FAMILY_MAJOR, 4),
    ROW("sus2", "1 2 5", "suspended second", "sus2", GLN_FAMILY_SUS, 0),
    ROW("dim", "1 b3 b5", "diminished triad", "dim", GLN_FAMILY_DIM, 0),
    ROW("+", "1 3 #5", "augmented triad", "aug", GLN_FAMILY_AUG, 0),
    ROW("9", "1 3 5 b7 9", "dominant ninth", "9", GLN_FAMILY_MAJOR, 9),
    ROW("m9", "1 b3 5 b7 9", "minor ninth", "min9", GLN_FAMILY_MINOR, 9),
    ROW("maj9", "1 3 5 7 9", "major ninth", "maj9", GLN_FAMILY_MAJOR, MAJ(9)),
    ROW("13", "1 3 5 b7 9 13", "dominant thirteenth", "13", GLN_FAMILY_MAJOR, 13),
    ROW("m13", "1 b3 5 b7 9 13", "minor thirteenth", "min13", GLN_FAMILY_MINOR, 13),
    ROW("maj13", "1 3 5 7 9 13", "major thirteenth", "maj13", GLN_FAMILY_MAJOR, MAJ(13)),
    ROW("11", "1 5 b7 9 11", "dominant eleventh, without its third", "11", GLN_FAMILY_MAJOR, 11),
    ROW("m11", "1 b3 5 b7 9 11", "minor eleventh", "min11", GLN_FAMILY_MINOR, 11),
    ROW("maj11", "1 5 7 9 11", "major eleventh, without its third", "maj11", GLN_FAMILY_MAJOR, MAJ(11)),
    ROW("6/9", "1 3 5 6 9", "major sixth with ninth", NULL, GLN_FAMILY_MAJOR, GLN_STACK_SIX_NINE),
    ROW("m6/9", "1 b3 5 6 9", "minor sixth with ninth", NULL, GLN_FAMILY_MINOR, GLN_STACK_SIX_NINE),
    ROW("add9", "1 3 5 9", "major triad with ninth", NULL, GLN_FAMILY_MAJOR, 2),
    ROW("m(add9)", "1 b3 5 9", "minor triad with ninth", NULL, GLN_FAMILY_MINOR, 2),
    ROW("m(maj7)", "1 b3 5 7", "minor with major seventh", "minmaj7", GLN_FAMILY_MINOR, MAJ(7)),
    ROW("m(maj9)", "1 b3 5 7 9", "minor with major seventh and ninth", NULL, GLN_FAMILY_MINOR, MAJ(9)),
    ROW("m(maj11)", "1 b3 5 7 9 11", "minor with major seventh, ninth and eleventh", NULL, GLN_FAMILY_MINOR,
        MAJ(11)),
    ROW("m(maj13)", "1 b3 5 7 9 13", "minor with major seventh, ninth and thirteenth", NULL, GLN_FAMILY_MINOR,
        MAJ(13)),
    ROW("7sus4", "1 4 5 b7", "suspended seventh", NULL, GLN_FAMILY_SUS, 0),
    ROW("9sus4", "1 4 5 b7 9", "suspended ninth", NULL, GLN_FAMILY_SUS, 0),
    ROW("13sus4", "1 4 5 b7 9 13", "suspended thirteenth", NULL, GLN_FAMILY_SUS, 0),
    ROW("maj7sus4", "1 4 5 7", "suspended major seventh", NULL, GLN_FAMILY_SUS, 0),
    ROW("7sus2", "1 2 5 b7", "seventh with suspended second", NULL, GLN_FAMILY_SUS, 0),
    ROW("sus24", "1 2 4 5", "suspended second and fourth", NULL, GLN_FAMILY_SUS, 0),
    ROW("5", "1 5", "power chord", "5", GLN_FAMILY_MAJOR, 5),
    ROW("7#5", "1 3 #5 b7", "augmented seventh", NULL, GLN_FAMILY_AUG, 7),
    ROW("9#5", "1 3 #5 b7 9", "augmented ninth", NULL, GLN_FAMILY_AUG, 9),
    ROW("13#5", "1 3 #5 b7 9 13", "augmented thirteenth", NULL, GLN_FAMILY_AUG, 13),
    ROW("maj7#5", "1 3 #5 7", "augmented major seventh", NULL, GLN_FAMILY_AUG, MAJ(7)),
    ROW("maj9#5", "1 3 #5 7 9", "augmented major ninth", NULL, GLN_FAMILY_AUG, MAJ(9)),
    ROW("m9b5", "1 b3 b5 b7 9", "half-diminished ninth", NULL, GLN_FAMILY_HALF, 9),
    ROW("m11b5", "1 b3 b5 b7 9 11", "half-diminished eleventh", NULL, GLN_FAMILY_HALF, 11),
    ROW("dim9", "1 b3 b5 bb7 9", "diminished ninth", NULL, GLN_FAMILY_DIM, 9),
    ROW("dim11", "1 b3 b5 bb7 9 11", "diminished eleventh", NULL, GLN_FAMILY_DIM, 11),
    ROW("dim(maj7)", "1 b3 b5 7", "diminished with major seventh", NULL, GLN_FAMILY_DIM, MAJ(7)),
    ROW("dim(maj9)", "1 b3 b5 7 9", "diminished with major seventh and ninth", NULL, GLN_FAMILY_DIM, MAJ(9)),

    ROW("(b5)", "1 3 b5", "major triad with flat fifth", NULL, GLN_FAMILY_NONE, 0),
    ROW("m#5", "1 b3 #5", "minor triad with sharp fifth", NULL, GLN_FAMILY_NONE, 0),
    ROW("add4", "1 3 4 5", "major triad with fourth", NULL, GLN_FAMILY_NONE, 0),
    ROW("add11", "1 3 5 11", "major triad with eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("m(add4)", "1 b3 4 5", "minor triad with fourth", NULL, GLN_FAMILY_NONE, 0),
    ROW("m(add11)", "1 b3 5 11", "minor triad with eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("m(b6)", "1 b3 5 b6", "minor triad with flat sixth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7b5", "1 3 b5 b7", "dominant seventh with flat fifth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7b9", "1 3 5 b7 b9", "dominant seventh with flat ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7#9", "1 3 5 b7 #9", "dominant seventh with sharp ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7#11", "1 3 5 b7 #11", "dominant seventh with sharp eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("7b13", "1 3 5 b7 b13", "dominant seventh with flat thirteenth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7(13)", "1 3 5 b7 13", "dominant seventh with thirteenth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7(b5,b9)", "1 3 b5 b7 b9", "dominant seventh with flat fifth and flat ninth", NULL, GLN_FAMILY_NONE,
        0),
    ROW("7(b5,#9)", "1 3 b5 b7 #9", "dominant seventh with flat fifth and sharp ninth", NULL, GLN_FAMILY_NONE,
        0),
    ROW("7(#5,b9)", "1 3 #5 b7 b9", "augmented seventh with flat ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7(#5,#9)", "1 3 #5 b7 #9", "augmented seventh with sharp ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7(b9,b13)", "1 3 5 b7 b9 b13", "dominant seventh with flat ninth and flat thirteenth", NULL,
        GLN_FAMILY_NONE, 0),
    ROW("7(b9,#11)", "1 3 5 b7 b9 #11", "dominant seventh with flat ninth and sharp eleventh", NULL,
        GLN_FAMILY_NONE, 0),
    ROW("7(#9,b13)", "1 3 5 b7 #9 b13", "dominant seventh with sharp ninth and flat thirteenth", NULL,
        GLN_FAMILY_NONE, 0),
    ROW("9b5", "1 3 b5 b7 9", "dominant ninth with flat fifth", NULL, GLN_FAMILY_NONE, 0),
    ROW("9#11", "1 3 5 b7 9 #11", "dominant ninth with sharp eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("9b13", "1 3 5 b7 9 b13", "dominant ninth with flat thirteenth", NULL, GLN_FAMILY_NONE, 0),
    ROW("13b9", "1 3 5 b7 b9 13", "dominant thirteenth with flat ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("13#9", "1 3 5 b7 #9 13", "dominant thirteenth with sharp ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("13#11", "1 3 5 b7 9 #11 13", "dominant thirteenth with sharp eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("7alt", "1 3 b5 #5 b7 b9 #9", "altered dominant", NULL, GLN_FAMILY_ALT, 0),
    ROW("7sus4(b9)", "1 4 5 b7 b9", "suspended seventh with flat ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("7sus4(13)", "1 4 5 b7 13", "suspended seventh with thirteenth", NULL, GLN_FAMILY_NONE, 0),
    ROW("13sus4(b9)", "1 4 5 b7 b9 13", "suspended thirteenth with flat ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("maj7b5", "1 3 b5 7", "major seventh with flat fifth", NULL, GLN_FAMILY_NONE, 0),
    ROW("maj7#11", "1 3 5 7 #11", "major seventh with sharp eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("maj7(13)", "1 3 5 7 13", "major seventh with thirteenth", NULL, GLN_FAMILY_NONE, 0),
    ROW("maj9#11", "1 3 5 7 9 #11", "major ninth with sharp eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("maj13#11", "1 3 5 7 9 #11 13", "major thirteenth with sharp eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("m7#5", "1 b3 #5 b7", "minor seventh with sharp fifth", NULL, GLN_FAMILY_NONE, 0),
    ROW("m7b9", "1 b3 5 b7 b9", "minor seventh with flat ninth", NULL, GLN_FAMILY_NONE, 0),
    ROW("m7b13", "1 b3 5 b7 b13", "minor seventh with flat thirteenth", NULL, GLN_FAMILY_NONE, 0),
    ROW("m7(11)", "1 b3 5 b7 11", "minor seventh with eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("m7b5(11)", "1 b3 b5 b7 11", "half-diminished seventh with eleventh", NULL, GLN_FAMILY_NONE, 0),
    ROW("m7b5(b13)", "1 b3 b5 b7 b13", "half-diminished seventh with flat thirteenth", NULL, GLN_FAMILY_NONE,
        0),
    ROW("7(omit3)", "1 5 b7", "seventh without third", NULL, GLN_FAMILY_NONE, 0),
    ROW("5(omit5)", "1", "the root alone", "1", GLN_FAMILY_NONE, 0),
};

size_t gln_quality_count(void) {
  return GLN_COUNT_OF(GLN_QUALITY_ROWS);
}

const GlnQuality *gln_quality_at(size_t index) {
  return &GLN_QUALITY_ROWS[index].shown;
}

int gln_quality_base(GlnFamily family, int stack) {
  for (size_t i = 0; i < GLN_COUNT_OF(GLN_QUALITY_ROWS); i++) {
    if (GLN_QUALITY_ROWS[i].family == family && GLN_QUALITY_ROWS[i].stack == stack)
      return (int)i;
  }
  return -1;
}

int gln_quality_of(const GlnDegreeSet *set) {
  char degrees[GLN_DEGREES_TEXT_MAX];
  GlnWriter writer = gln_writer(degrees, sizeof degrees);
  GlnDegree degree = {0, 0};
  while (gln_set_next(set, &degree)) {
    if (writer.length > 0)
      gln_write(&writer, " ");
    gln_write_degree(&writer, degree, GLN_SIGNS_ASCII);
  }
  for (size_t i = 0; i < GLN_COUNT_OF(GLN_QUALITY_ROWS); i++) {
    const GlnQualityRow *row = &GLN_QUALITY_ROWS[i];
    if (row->length == writer.length && memcmp(row->shown.degrees, degrees, writer.length) == 0)
      return (int)i;
  }
  return -1;
}

int gln_quality_of_harte(GlnText shorthand) {
  for (size_t i = 0; i < GLN_COUNT_OF(GLN_QUALITY_ROWS); i++) {
    const char *harte = GLN_QUALITY_ROWS[i].shown.harte;
    if (harte != NULL && gln_text_equal(gln_text(harte), shorthand))
      return (int)i;
  }
  return -1;
}
