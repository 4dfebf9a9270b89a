/* The one table of stand-ins: common practice, no published source. The order is that of the offers; where two rows
 * write one chord, the first gives the reason. */
#include "standin_rules.h"

#define BIT(n)  ((uint16_t)(1u << (n)))
#define C(name) GLN_CLASS_BIT(GLN_CLASS_##name)
#define F(name) ((uint8_t)(1u << GLN_FUNCTION_##name))

#define MAJ  (C(MAJOR) | C(MAJOR7))
#define MIN  C(MINOR)
#define DOM  C(DOMINANT)
#define HALF C(HALF_DIM)

#define BOTH        3
#define MAJOR_ONLY  1
#define MINOR_ONLY  2
#define ALL         0xFFF
#define OTHER_MOVES 0xFDE /* any next root but the same and a fifth below */
#define FAR_MOVES   0x7FC /* any but the same and the semitones beside it */
#define ROW(...)                                                                                             \
  { __VA_ARGS__ }

#define NO_BASS                                                                                              \
  GLN_FROM_NOTHING, {                                                                                        \
    1, 0                                                                                                     \
  }
#define ADDS (GLN_CLAIM_KEEPS_ALL | GLN_CLAIM_NEW_IN_KEY | GLN_CLAIM_SAME_ROOT)
#define LESS (GLN_CLAIM_WITHIN | GLN_CLAIM_SAME_ROOT)

#define RICHER(classes, suffix)                                                                              \
  {                                                                                                          \
    GLN_STANDIN_RICHER, GLN_STANDIN_INSTEAD, classes, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS, ADDS, \
        suffix,                                                                                              \
        "{new} keeps every note of {old} and adds {added}, of the key: the same job with more colour."       \
  }
#define SIMPLER(classes, suffix)                                                                             \
  {                                                                                                          \
    GLN_STANDIN_SIMPLER, GLN_STANDIN_INSTEAD, classes, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS,      \
        LESS, suffix, "{new} is {old} with fewer notes: nothing new sounds, and the hand has less to do."    \
  }
#define SHELL(classes, suffix)                                                                               \
  {                                                                                                          \
    GLN_STANDIN_SIMPLER, GLN_STANDIN_INSTEAD, classes, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS,      \
        LESS | GLN_CLAIM_KEEPS_GUIDES, suffix,                                                               \
        "A shell: root and guide tones ({guides}) are enough to hear {old}, and three strings hold it."      \
  }

const GlnStandinRule gln_standin_rules[] = {
    RICHER(MAJ, "6"),
    RICHER(MAJ, "maj7"),
    RICHER(MAJ, "maj9"),
    RICHER(MAJ, "6/9"),
    RICHER(MAJ, "add9"),
    RICHER(MAJ, "maj7#11"),
    RICHER(MAJ, "7"),
    RICHER(MIN, "m7"),
    RICHER(MIN, "m9"),
    RICHER(MIN, "m11"),
    RICHER(MIN, "m6"),
    RICHER(MIN, "m6/9"),
    RICHER(MIN, "m(maj7)"),
    RICHER(DOM, "9"),
    RICHER(DOM, "13"),
    RICHER(DOM, "7b9"),
    RICHER(DOM, "7(b9,b13)"),
    RICHER(DOM, "9#11"),
    RICHER(DOM, "7b13"),
    ROW(GLN_STANDIN_RICHER, GLN_STANDIN_INSTEAD, DOM, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS,
        GLN_CLAIM_KEEPS_ALL | GLN_CLAIM_SAME_ROOT, "7#9",
        "{new} keeps every note of {old} and adds a sharp ninth: the minor third of the blues against the "
        "major."),
    RICHER(HALF, "m11b5"),
    ROW(GLN_STANDIN_RICHER, GLN_STANDIN_INSTEAD, DOM, 0, 0, BOTH, BIT(5), 0, GLN_FROM_OLD, {1, 0}, NO_BASS,
        GLN_CLAIM_SAME_ROOT | GLN_CLAIM_KEEPS_GUIDES | GLN_CLAIM_FIFTH_TO_NEXT, "7alt",
        "{new} keeps the guide tones of {old} ({guides}); its altered fifths and ninths pull by semitones "
        "toward "
        "{next}."),
    ROW(GLN_STANDIN_RICHER, GLN_STANDIN_INSTEAD, C(AUG), 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS,
        GLN_CLAIM_KEEPS_ALL | GLN_CLAIM_SAME_ROOT, "7#5",
        "{new} keeps every note of {old} and adds {added}: now it wants to go on."),
    ROW(GLN_STANDIN_SIMPLER, GLN_STANDIN_INSTEAD, C(AUG) | C(SUS), 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0},
        NO_BASS, GLN_CLAIM_SAME_ROOT | GLN_CLAIM_COMMON_2, "",
        "{new} is the plain triad behind {old}: {common} stay."),
    ROW(GLN_STANDIN_RICHER, GLN_STANDIN_INSTEAD, C(SUS), 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS,
        GLN_CLAIM_KEEPS_ALL | GLN_CLAIM_NEW_IN_KEY | GLN_CLAIM_SAME_ROOT, "7sus4",
        "{new} keeps every note of {old} and adds {added}, of the key."),
    ROW(GLN_STANDIN_SIMPLER, GLN_STANDIN_INSTEAD, (1 << GLN_CLASS_COUNT) - 1, 0, 0, BOTH, 0, 0, GLN_FROM_OLD,
        {1, 0}, NO_BASS, GLN_CLAIM_WITHIN | GLN_CLAIM_SAME_ROOT | GLN_CLAIM_BASS_ONLY, "=",
        "{new} is {old} with its root in the bass: the same chord, but the bass goes another way."),
    SIMPLER(MAJ, ""),
    SIMPLER(MAJ, "maj7"),
    SIMPLER(MIN, "m"),
    SIMPLER(MIN, "m7"),
    SIMPLER(DOM, "7"),
    SIMPLER(HALF, "m7b5"),
    SHELL(C(MAJOR7), "maj7(omit5)"),
    SHELL(MIN, "m7(omit5)"),
    SHELL(DOM, "7(omit5)"),
    ROW(GLN_STANDIN_RELATIVE, GLN_STANDIN_INSTEAD, MAJ, F(TONIC) | F(SUBDOMINANT), 0, BOTH, 0, 0,
        GLN_FROM_OLD, {6, 0}, NO_BASS, GLN_CLAIM_IN_KEY | GLN_CLAIM_COMMON_2, "@",
        "{new} is the relative minor of {old}: both belong to the key and share {common}."),
    ROW(GLN_STANDIN_RELATIVE, GLN_STANDIN_INSTEAD, MIN, F(TONIC) | F(SUBDOMINANT), 0, BOTH, 0, 0,
        GLN_FROM_OLD, {3, -1}, NO_BASS, GLN_CLAIM_IN_KEY | GLN_CLAIM_COMMON_2, "@",
        "{new} is the relative major of {old}: both belong to the key and share {common}."),
    ROW(GLN_STANDIN_THIRD, GLN_STANDIN_INSTEAD, MAJ, F(TONIC) | F(SUBDOMINANT), 0, BOTH, 0, 0, GLN_FROM_OLD,
        {3, 0}, NO_BASS, GLN_CLAIM_IN_KEY | GLN_CLAIM_COMMON_2, "@",
        "{new} is the key's chord a third above {old} and shares {common} with it."),
    ROW(GLN_STANDIN_THIRD, GLN_STANDIN_INSTEAD, MIN, F(TONIC) | F(SUBDOMINANT), 0, BOTH, 0, 0, GLN_FROM_OLD,
        {6, -1}, NO_BASS, GLN_CLAIM_IN_KEY | GLN_CLAIM_COMMON_2, "@",
        "{new} is the key's chord a third below {old} and shares {common} with it."),
    ROW(GLN_STANDIN_THIRD, GLN_STANDIN_INSTEAD, HALF, F(SUBDOMINANT), 0, BOTH, 0, 0, GLN_FROM_OLD, {3, -1},
        NO_BASS, GLN_CLAIM_COMMON_3, "m6",
        "{new} and {old} have the notes {common} in common: with another bass, the same chord."),
    ROW(GLN_STANDIN_TRITONE, GLN_STANDIN_INSTEAD, DOM, 0, 0, BOTH, BIT(5), 0, GLN_FROM_OLD, {5, -1}, NO_BASS,
        GLN_CLAIM_GUIDES | GLN_CLAIM_SEMITONE_TO_NEXT, "7",
        "{new} has the same guide tones as {old} ({guides}), and its root slides a semitone down into "
        "{next}."),
    ROW(GLN_STANDIN_TRITONE, GLN_STANDIN_INSTEAD, DOM, 0, 0, BOTH, BIT(11), 0, GLN_FROM_OLD, {5, -1}, NO_BASS,
        GLN_CLAIM_GUIDES | GLN_CLAIM_FIFTH_TO_NEXT, "7",
        "{new} is the plain dominant that {old} stands for: the same guide tones ({guides}), and its root "
        "falls "
        "a "
        "fifth to {next}."),
    ROW(GLN_STANDIN_TRITONE, GLN_STANDIN_INSTEAD, DOM, F(DOMINANT), 0, BOTH, 0, 0, GLN_FROM_OLD, {5, -1},
        NO_BASS, GLN_CLAIM_GUIDES, "7",
        "{new} has the same guide tones as {old} ({guides}) on a root a tritone away."),
    ROW(GLN_STANDIN_RELATED_II, GLN_STANDIN_BEFORE, DOM, 0, 0, BOTH, BIT(5), MAJ | DOM | C(SUS), GLN_FROM_OLD,
        {5, 0}, NO_BASS, GLN_CLAIM_FIFTH_TO_OLD, "m7",
        "{new} is the ii that belongs before {old}: together they make a ii–V into {next}."),
    ROW(GLN_STANDIN_RELATED_II, GLN_STANDIN_BEFORE, DOM, 0, 0, BOTH, BIT(5), MIN | HALF, GLN_FROM_OLD, {5, 0},
        NO_BASS, GLN_CLAIM_FIFTH_TO_OLD, "m7b5",
        "{new} is the ii of the minor key before {old}: together they make a ii–V into {next}."),
    ROW(GLN_STANDIN_RELATED_II, GLN_STANDIN_BEFORE, DOM, F(DOMINANT), 0, BOTH, 0, 0, GLN_FROM_OLD, {5, 0},
        NO_BASS, GLN_CLAIM_FIFTH_TO_OLD, "m7",
        "{new} is the ii that belongs before {old}: its root falls a fifth into it."),
    ROW(GLN_STANDIN_SECONDARY, GLN_STANDIN_INSTEAD, MIN | HALF, 0, 0, BOTH, BIT(5), 0, GLN_FROM_OLD, {1, 0},
        NO_BASS, GLN_CLAIM_SAME_ROOT | GLN_CLAIM_FIFTH_TO_NEXT | GLN_CLAIM_COMMON_2, "7",
        "{old} with its third raised: {new} keeps {common} and becomes the dominant of {next}."),
    ROW(GLN_STANDIN_SECONDARY, GLN_STANDIN_INSTEAD, MAJ, 0, 0, BOTH, BIT(5), 0, GLN_FROM_OLD, {1, 0}, NO_BASS,
        GLN_CLAIM_SAME_ROOT | GLN_CLAIM_FIFTH_TO_NEXT | GLN_CLAIM_COMMON_3, "7",
        "{old} with a flat seventh: {new} keeps {common} and becomes the dominant of {next}."),
    ROW(GLN_STANDIN_SECONDARY, GLN_STANDIN_AFTER, MAJ | MIN, 0, 0, BOTH, OTHER_MOVES, MAJ | DOM,
        GLN_FROM_NEXT, {5, 0}, NO_BASS, GLN_CLAIM_FIFTH_TO_NEXT, "7",
        "{new} is the dominant of {next}: it makes that chord a home for a moment."),
    ROW(GLN_STANDIN_SECONDARY, GLN_STANDIN_AFTER, MAJ | MIN, 0, 0, BOTH, OTHER_MOVES, MIN, GLN_FROM_NEXT,
        {5, 0}, NO_BASS, GLN_CLAIM_FIFTH_TO_NEXT, "7b9",
        "{new} is the dominant of {next}, with the flat ninth that a minor chord wants before it."),
    ROW(GLN_STANDIN_SECONDARY, GLN_STANDIN_INSTEAD, C(DIM), 0, 0, BOTH, OTHER_MOVES, MAJ | DOM, GLN_FROM_NEXT,
        {5, 0}, NO_BASS, GLN_CLAIM_FIFTH_TO_NEXT, "7",
        "In place of the passing chord, the dominant of {next}: a step in the bass becomes a pull."),
    ROW(GLN_STANDIN_SECONDARY, GLN_STANDIN_INSTEAD, C(DIM), 0, 0, BOTH, OTHER_MOVES, MIN, GLN_FROM_NEXT,
        {5, 0}, NO_BASS, GLN_CLAIM_FIFTH_TO_NEXT, "7b9",
        "In place of the passing chord, the dominant of {next}: a step in the bass becomes a pull."),
    ROW(GLN_STANDIN_CHROMATIC, GLN_STANDIN_INSTEAD, C(DIM), 0, 0, BOTH, BIT(11), MAJ | MIN | DOM,
        GLN_FROM_OLD, {1, 0}, NO_BASS, GLN_CLAIM_SAME_ROOT | GLN_CLAIM_SEMITONE_TO_NEXT, "~",
        "{new} is {next} a semitone too high, over the same bass: it slides into place with the same grip."),
    ROW(GLN_STANDIN_DIMINISHED, GLN_STANDIN_AFTER, MAJ | MIN | DOM, 0, 0, BOTH, BIT(2), MAJ | MIN | DOM,
        GLN_FROM_NEXT, {7, 0}, NO_BASS, GLN_CLAIM_SEMITONE_TO_NEXT | GLN_CLAIM_SEMITONE_FROM_OLD, "dim7",
        "The bass climbs by semitones: {old}, {new}, {next}."),
    ROW(GLN_STANDIN_DIMINISHED, GLN_STANDIN_AFTER, MAJ | MIN, 0, 0, BOTH, BIT(10), MAJ | MIN | DOM,
        GLN_FROM_NEXT, {2, -1}, NO_BASS, GLN_CLAIM_SEMITONE_TO_NEXT | GLN_CLAIM_SEMITONE_FROM_OLD, "dim7",
        "The bass comes down by semitones: {old}, {new}, {next}."),
    ROW(GLN_STANDIN_DIMINISHED, GLN_STANDIN_INSTEAD, DOM, 0, 0, BOTH, BIT(5), 0, GLN_FROM_OLD, {3, 0},
        NO_BASS, GLN_CLAIM_COMMON_3 | GLN_CLAIM_SEMITONE_TO_NEXT, "dim7",
        "{new} is the dominant with its flat ninth and without its root: it keeps {common}, and its root "
        "climbs a semitone "
        "into "
        "{next}."),
    ROW(GLN_STANDIN_BACKDOOR, GLN_STANDIN_INSTEAD, DOM, F(DOMINANT), BIT(7), MAJOR_ONLY, BIT(5), MAJ,
        GLN_FROM_TONIC, {7, -1}, NO_BASS, GLN_CLAIM_COMMON_2 | GLN_CLAIM_TONE_TO_NEXT, "9",
        "The backdoor: {new} keeps {common} of {old} and comes home to {next} from a tone below."),
    ROW(GLN_STANDIN_BORROWED, GLN_STANDIN_INSTEAD, MAJ, F(SUBDOMINANT), BIT(5), MAJOR_ONLY, 0, 0,
        GLN_FROM_OLD, {1, 0}, NO_BASS, GLN_CLAIM_SAME_ROOT | GLN_CLAIM_COMMON_2, "m6",
        "The minor iv, borrowed from the parallel minor: {new} keeps {common}, and its flat third sighs down "
        "a "
        "semitone."),
    ROW(GLN_STANDIN_BORROWED, GLN_STANDIN_INSTEAD, MIN, F(SUBDOMINANT), BIT(2), MAJOR_ONLY, 0, 0,
        GLN_FROM_OLD, {1, 0}, NO_BASS, GLN_CLAIM_SAME_ROOT | GLN_CLAIM_COMMON_2, "m7b5",
        "The ii of the parallel minor: {new} keeps {common} and darkens the fifth."),
    ROW(GLN_STANDIN_BORROWED, GLN_STANDIN_INSTEAD, MAJ | MIN, F(SUBDOMINANT), BIT(2) | BIT(5), MAJOR_ONLY, 0,
        0, GLN_FROM_TONIC, {6, -1}, NO_BASS, GLN_CLAIM_COMMON_1, "maj7",
        "The ♭VI of the parallel minor does the subdominant's job in a darker colour; they share {common}."),
    ROW(GLN_STANDIN_BORROWED, GLN_STANDIN_INSTEAD, MIN, F(SUBDOMINANT), BIT(5), MINOR_ONLY, 0, 0,
        GLN_FROM_OLD, {1, 0}, NO_BASS, GLN_CLAIM_SAME_ROOT | GLN_CLAIM_COMMON_2, "7",
        "The IV with its major third, borrowed from the dorian side of minor: {new} keeps {common}."),
    ROW(GLN_STANDIN_BORROWED, GLN_STANDIN_INSTEAD, MIN | HALF, F(SUBDOMINANT), BIT(2) | BIT(5), MINOR_ONLY, 0,
        0, GLN_FROM_TONIC, {2, -1}, NO_BASS, GLN_CLAIM_COMMON_1, "maj7",
        "The ♭II of minor goes where the subdominant goes, with more shadow; they share {common}."),
    ROW(GLN_STANDIN_SUSPENDED, GLN_STANDIN_INSTEAD, DOM, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS,
        GLN_CLAIM_SAME_ROOT | GLN_CLAIM_NEW_IN_KEY | GLN_CLAIM_NO_THIRD, "9sus4",
        "{new} holds the third back: the fourth in its place waits, and the leading note is saved for "
        "later."),
    ROW(GLN_STANDIN_SUSPENDED, GLN_STANDIN_INSTEAD, DOM, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS,
        GLN_CLAIM_SAME_ROOT | GLN_CLAIM_NEW_IN_KEY | GLN_CLAIM_NO_THIRD, "7sus4",
        "{new} holds the third back: the fourth in its place waits."),
    ROW(GLN_STANDIN_SUSPENDED, GLN_STANDIN_INSTEAD, MAJ, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0}, NO_BASS,
        GLN_CLAIM_SAME_ROOT | GLN_CLAIM_NEW_IN_KEY | GLN_CLAIM_NO_THIRD, "sus4",
        "{new} has the fourth where {old} has its third: open, and wanting to fall back."),
    ROW(GLN_STANDIN_SUSPENDED, GLN_STANDIN_INSTEAD, MAJ | MIN, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {1, 0},
        NO_BASS, GLN_CLAIM_SAME_ROOT | GLN_CLAIM_NEW_IN_KEY | GLN_CLAIM_NO_THIRD, "sus2",
        "{new} has the second where {old} has its third: neither major nor minor, and it rings."),
    ROW(GLN_STANDIN_PEDAL, GLN_STANDIN_INSTEAD, MAJ | MIN, F(SUBDOMINANT), 0, BOTH, 0, 0, GLN_FROM_OLD,
        {1, 0}, GLN_FROM_TONIC, {5, 0}, GLN_CLAIM_BASS_ONLY, "=",
        "{new} puts the dominant's note {bass} under the chord as a pedal: the bass is there before the "
        "chord is."),
    ROW(GLN_STANDIN_PEDAL, GLN_STANDIN_INSTEAD, DOM, F(DOMINANT), BIT(7), BOTH, BIT(5), 0, GLN_FROM_OLD,
        {1, 0}, GLN_FROM_TONIC, {1, 0}, GLN_CLAIM_BASS_ONLY, "=",
        "{new} puts the home note {bass} under the chord as a pedal: tension above a bass that is already "
        "home."),
    ROW(GLN_STANDIN_SLASH, GLN_STANDIN_INSTEAD, C(MAJOR7), 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {3, 0},
        GLN_FROM_OLD, {1, 0}, GLN_CLAIM_WITHIN | GLN_CLAIM_SAME_BASS, "m",
        "Think {new}: a triad you know over the root {root} gives notes of {old} and no others."),
    ROW(GLN_STANDIN_SLASH, GLN_STANDIN_INSTEAD, MIN, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {3, -1}, GLN_FROM_OLD,
        {1, 0}, GLN_CLAIM_WITHIN | GLN_CLAIM_SAME_BASS, "",
        "Think {new}: a triad you know over the root {root} gives notes of {old} and no others."),
    ROW(GLN_STANDIN_SLASH, GLN_STANDIN_INSTEAD, C(MAJOR7), 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {5, 0},
        GLN_FROM_OLD, {1, 0}, GLN_CLAIM_NEW_IN_KEY | GLN_CLAIM_SAME_BASS | GLN_CLAIM_COMMON_3, "",
        "An upper structure: the triad on the fifth over the root {root} has fifth, seventh and ninth of "
        "{old}."),
    ROW(GLN_STANDIN_SLASH, GLN_STANDIN_INSTEAD, DOM, 0, 0, BOTH, 0, 0, GLN_FROM_OLD, {7, -1}, GLN_FROM_OLD,
        {1, 0}, GLN_CLAIM_NEW_IN_KEY | GLN_CLAIM_SAME_BASS | GLN_CLAIM_COMMON_2, "",
        "An upper structure: the triad a tone below over the root {root} is heard as a suspended {old}."),
    ROW(GLN_STANDIN_CHROMATIC, GLN_STANDIN_AFTER, MAJ | MIN | DOM, 0, 0, BOTH, FAR_MOVES, MAJ | MIN | DOM,
        GLN_FROM_NEXT, {2, -1}, NO_BASS, GLN_CLAIM_SEMITONE_TO_NEXT, "~",
        "{new} is {next} a semitone too high: it slides into place with the same grip."),
    ROW(GLN_STANDIN_CHROMATIC, GLN_STANDIN_AFTER, MAJ | MIN | DOM, 0, 0, BOTH, FAR_MOVES, MAJ | MIN | DOM,
        GLN_FROM_NEXT, {7, 0}, NO_BASS, GLN_CLAIM_SEMITONE_TO_NEXT, "~",
        "{new} is {next} a semitone too low: it slides up into place with the same grip."),
};
const size_t gln_standin_rule_count = GLN_COUNT_OF(gln_standin_rules);
