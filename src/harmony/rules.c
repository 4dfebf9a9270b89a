#include "harmony_internal.h"

/* The table of readings: what a chord may be in a key, by its root above the tonic, its class and where it
 * goes next. Costs are design choices on one scale (0 plainly of the key, 1 plainly foreign), tuned as
 * docs/harmony.md tells. */

#define BOTH      3
#define MAJOR_KEY 1
#define MINOR_KEY 2
#define R(n)      ((uint16_t)(1u << (n)))
#define ANY_ROOT  ((uint16_t)0xFFF)
#define TRIAD     GLN_CLASS_BIT(GLN_CLASS_MAJOR)
#define MAJ7      GLN_CLASS_BIT(GLN_CLASS_MAJOR7)
#define DOM       GLN_CLASS_BIT(GLN_CLASS_DOMINANT)
#define MIN       GLN_CLASS_BIT(GLN_CLASS_MINOR)
#define HDIM      GLN_CLASS_BIT(GLN_CLASS_HALF_DIM)
#define DIM       GLN_CLASS_BIT(GLN_CLASS_DIM)
#define AUG       GLN_CLASS_BIT(GLN_CLASS_AUG)
#define SUS       GLN_CLASS_BIT(GLN_CLASS_SUS)
#define TONIC     GLN_FUNCTION_TONIC
#define SUBDOM    GLN_FUNCTION_SUBDOMINANT
#define DOMINANT  GLN_FUNCTION_DOMINANT
#define ANYWHERE  GLN_GOES_ANYWHERE

const GlnRule gln_rules[] = {
    /* modes, roots, classes, goes, next classes, next diatonic, applied, cost, function, role, reason */
    /* Of the key. Functions: standard harmony texts (tonic I III VI, subdominant II IV, dominant V VII). */
    {MAJOR_KEY, R(0), TRIAD | MAJ7, ANYWHERE, 0, 0, 0, 0.00F, TONIC, GLN_PLACE_DIATONIC,
     "The home chord: everything else leads away from it or back to it."},
    {MAJOR_KEY, R(0), SUS, ANYWHERE, 0, 0, 0, 0.05F, TONIC, GLN_PLACE_DIATONIC,
     "The home chord with its third left open."},
    {MAJOR_KEY, R(2), MIN, GLN_GOES_FIFTH_DOWN, DOM, 0, 0, 0.01F, SUBDOM, GLN_PLACE_TWO_FIVE,
     "The ii of a ii–V: it holds the place of IV and leads into V by a fifth."},
    {MAJOR_KEY, R(2), MIN, ANYWHERE, 0, 0, 0, 0.01F, SUBDOM, GLN_PLACE_DIATONIC,
     "The ii chord prepares the dominant: it shares two notes with IV."},
    {MAJOR_KEY, R(4), MIN, ANYWHERE, 0, 0, 0, 0.12F, TONIC, GLN_PLACE_DIATONIC,
     "The iii chord is the upper part of Imaj7 and stands for it."},
    {MAJOR_KEY, R(5), TRIAD | MAJ7 | SUS, ANYWHERE, 0, 0, 0, 0.00F, SUBDOM, GLN_PLACE_DIATONIC,
     "The IV chord moves away from home."},
    {MAJOR_KEY, R(7), DOM, GLN_GOES_AFTER_II, 0, 0, 0, 0.03F, DOMINANT, GLN_PLACE_TWO_FIVE,
     "The V of a ii–V: the seventh of ii has fallen to its third, and home is due."},
    {MAJOR_KEY, R(7), TRIAD | DOM | SUS | AUG, ANYWHERE, 0, 0, 0, 0.03F, DOMINANT, GLN_PLACE_DIATONIC,
     "The dominant: its third is the leading note and wants to go home."},
    {MAJOR_KEY, R(9), MIN, ANYWHERE, 0, 0, 0, 0.10F, TONIC, GLN_PLACE_DIATONIC,
     "The relative minor shares two notes with I and stands for it."},
    {MAJOR_KEY, R(11), HDIM | DIM, ANYWHERE, 0, 0, 0, 0.35F, DOMINANT, GLN_PLACE_DIATONIC,
     "The chord on the leading note is V9 without its root."},
    {MINOR_KEY, R(0), MIN, ANYWHERE, 0, 0, 0, 0.00F, TONIC, GLN_PLACE_DIATONIC,
     "The home chord: everything else leads away from it or back to it."},
    {MINOR_KEY, R(0), SUS, ANYWHERE, 0, 0, 0, 0.08F, TONIC, GLN_PLACE_DIATONIC,
     "The home chord with its third left open."},
    {MINOR_KEY, R(2), HDIM, GLN_GOES_FIFTH_DOWN, DOM, 0, 0, 0.05F, SUBDOM, GLN_PLACE_TWO_FIVE,
     "The ii of a minor ii–V: it is iv with its sixth in the bass, and leads into V by a fifth."},
    {MINOR_KEY, R(2), HDIM | DIM, ANYWHERE, 0, 0, 0, 0.05F, SUBDOM, GLN_PLACE_DIATONIC,
     "The iiø chord prepares the dominant of a minor key."},
    {MINOR_KEY, R(3), TRIAD | MAJ7 | SUS, ANYWHERE, 0, 0, 0, 0.10F, TONIC, GLN_PLACE_DIATONIC,
     "The relative major shares two notes with i and stands for it."},
    {MINOR_KEY, R(5), MIN, ANYWHERE, 0, 0, 0, 0.00F, SUBDOM, GLN_PLACE_DIATONIC,
     "The iv chord moves away from home."},
    {MINOR_KEY, R(7), DOM, GLN_GOES_AFTER_II, 0, 0, 0, 0.03F, DOMINANT, GLN_PLACE_TWO_FIVE,
     "The V of a ii–V: the seventh of ii has fallen to its third, and home is due."},
    {MINOR_KEY, R(7), TRIAD | DOM | AUG, ANYWHERE, 0, 0, 0, 0.03F, DOMINANT, GLN_PLACE_DIATONIC,
     "The dominant, its third raised to the leading note of the minor key."},
    {MINOR_KEY, R(7), MIN | SUS, ANYWHERE, 0, 0, 0, 0.20F, DOMINANT, GLN_PLACE_DIATONIC,
     "The minor v of the natural minor scale: a softer dominant, with no leading note."},
    {MINOR_KEY, R(8), TRIAD | MAJ7 | SUS, ANYWHERE, 0, 0, 0, 0.00F, SUBDOM, GLN_PLACE_DIATONIC,
     "The ♭VI chord shares two notes with iv and leans on the dominant below it."},
    {MINOR_KEY, R(10), TRIAD | DOM | SUS, ANYWHERE, 0, 0, 0, 0.08F, DOMINANT, GLN_PLACE_DIATONIC,
     "The ♭VII chord of the natural minor scale leads to ♭III or home."},
    {MINOR_KEY, R(11), DIM, ANYWHERE, 0, 0, 0, 0.00F, DOMINANT, GLN_PLACE_DIATONIC,
     "The diminished chord on the leading note is V7♭9 without its root."},
    {MINOR_KEY, R(5), TRIAD | DOM | SUS, ANYWHERE, 0, 0, 0, 0.26F, SUBDOM, GLN_PLACE_DIATONIC,
     "The major IV of the melodic minor (dorian) scale: brighter than iv."},
    {MINOR_KEY, R(2), MIN, GLN_GOES_FIFTH_DOWN, DOM, 0, 0, 0.18F, SUBDOM, GLN_PLACE_TWO_FIVE,
     "The ii of a ii–V, with the natural fifth of the melodic minor (dorian) scale."},
    {MINOR_KEY, R(2), MIN, ANYWHERE, 0, 0, 0, 0.18F, SUBDOM, GLN_PLACE_DIATONIC,
     "The ii chord of the melodic minor (dorian) scale: brighter than iiø."},
    {MINOR_KEY, R(9), HDIM, ANYWHERE, 0, 0, 0, 0.25F, TONIC, GLN_PLACE_DIATONIC,
     "The chord on the raised sixth is the tonic m6 from its sixth up."},

    /* Dominants that lead to a chord of the key. */
    {BOTH, ANY_ROOT & ~R(7), DOM | AUG, GLN_GOES_FIFTH_DOWN, 0, 1, 1, 0.36F, DOMINANT,
     GLN_PLACE_SECONDARY_DOMINANT,
     "A dominant seventh a fifth above the next chord: for a moment it makes that chord a home of its own."},
    {BOTH, ANY_ROOT & ~R(7), TRIAD, GLN_GOES_FIFTH_DOWN, 0, 1, 1, 0.34F, DOMINANT,
     GLN_PLACE_SECONDARY_DOMINANT,
     "A major chord a fifth above the next one leads to it as its dominant would."},
    {MAJOR_KEY, R(0), DOM | AUG, GLN_GOES_FIFTH_AFTER_II, 0, 1, 1, 0.085F, DOMINANT,
     GLN_PLACE_SECONDARY_DOMINANT,
     "The home chord turned into a dominant, with its own ii before it: together they lead to IV."},
    {MAJOR_KEY, R(5), DOM, GLN_GOES_FIFTH_AFTER_II, TRIAD | MAJ7, 0, 1, 0.19F, DOMINANT,
     GLN_PLACE_SECONDARY_DOMINANT,
     "The V of a ii–V whose goal is borrowed from the parallel minor: that chord is home for a moment."},
    {MAJOR_KEY, R(3) | R(10), DOM, GLN_GOES_FIFTH_DOWN, TRIAD | MAJ7, 0, 1, 0.36F, DOMINANT,
     GLN_PLACE_SECONDARY_DOMINANT,
     "The dominant of a chord borrowed from the parallel minor: that chord is home for a moment."},
    {BOTH, ANY_ROOT, DOM, GLN_GOES_SEMITONE_DOWN, 0, 1, 1, 0.36F, DOMINANT, GLN_PLACE_TRITONE_SUB,
     "It has the same guide tones as the dominant a tritone away, and its root slides down a semitone."},
    {BOTH, R(1), DOM, ANYWHERE, 0, 0, 0, 0.50F, DOMINANT, GLN_PLACE_TRITONE_SUB,
     "The tritone substitute of V: it has V's guide tones, and goes on to another chord than home."},
    {BOTH, ANY_ROOT, DIM, GLN_GOES_SEMITONE_UP, 0, 1, 1, 0.22F, DOMINANT, GLN_PLACE_LEADING_DIM,
     "A diminished chord a semitone below the next one is that chord's V7♭9 without its root."},
    {BOTH, ANY_ROOT, DIM, GLN_GOES_BELOW_LEADING, 0, 1, 0, 0.50F, DOMINANT, GLN_PLACE_LEADING_DIM,
     "It has the leading note of the next chord in it: that chord's V7♭9 without its root, turned over."},
    {BOTH, ANY_ROOT, DIM, GLN_GOES_SEMITONE_DOWN, 0, 0, 0, 0.56F, GLN_FUNCTION_NONE, GLN_PLACE_PASSING_DIM,
     "A diminished chord that fills the step down between its neighbours."},
    {BOTH, R(0), DIM, ANYWHERE, 0, 0, 0, 0.50F, TONIC, GLN_PLACE_COMMON_TONE_DIM,
     "A diminished chord on the root of the home chord: it shares that note and falls back into it."},
    {BOTH, ANY_ROOT, DIM, GLN_GOES_NOWHERE_NEW, 0, 0, 0, 0.50F, GLN_FUNCTION_NONE, GLN_PLACE_COMMON_TONE_DIM,
     "A diminished chord on the root of its neighbour: it shares that note and falls back into it."},

    /* Related ii: half of a ii–V whose V leads to a chord of the key. */
    {MINOR_KEY, R(9), HDIM, GLN_GOES_FIFTH_DOWN, DOM, 0, 1, 0.24F, SUBDOM, GLN_PLACE_RELATED_II,
     "It is the ii of the dominant that follows: together they make a ii–V."},
    {MAJOR_KEY, R(11), HDIM, GLN_GOES_FIFTH_DOWN, DOM, 0, 1, 0.34F, SUBDOM, GLN_PLACE_RELATED_II,
     "It is the ii of the dominant that follows: together they make a ii–V."},
    {BOTH, ANY_ROOT & ~R(2), MIN | HDIM, GLN_GOES_FIFTH_DOWN, DOM, 0, 1, 0.36F, SUBDOM, GLN_PLACE_RELATED_II,
     "It is the ii of the dominant that follows: together they make a ii–V."},

    /* Borrowed from the parallel key. */
    {MAJOR_KEY, R(10), DOM, GLN_GOES_HOME, 0, 0, 0, 0.24F, DOMINANT, GLN_PLACE_BACKDOOR,
     "The ♭VII7 comes home by the back door: its notes are those of iv, and each falls or rises by step into "
     "I."},
    {MAJOR_KEY, R(5), MIN, ANYWHERE, 0, 0, 0, 0.22F, SUBDOM, GLN_PLACE_BORROWED,
     "The minor iv is borrowed from the parallel minor: its ♭6 falls to 5."},
    {MAJOR_KEY, R(2), HDIM, ANYWHERE, 0, 0, 0, 0.32F, SUBDOM, GLN_PLACE_BORROWED,
     "The iiø is borrowed from the parallel minor and darkens the way to V."},
    {MAJOR_KEY, R(10), TRIAD | SUS, ANYWHERE, 0, 0, 0, 0.20F, SUBDOM, GLN_PLACE_BORROWED,
     "The ♭VII triad is borrowed from the mixolydian or minor scale; it is the IV of IV."},
    {MAJOR_KEY, R(10), MAJ7 | DOM, ANYWHERE, 0, 0, 0, 0.40F, SUBDOM, GLN_PLACE_BORROWED,
     "The ♭VII is borrowed from the parallel minor."},
    {MAJOR_KEY, R(8), TRIAD | MAJ7 | DOM | SUS, ANYWHERE, 0, 0, 0, 0.38F, SUBDOM, GLN_PLACE_BORROWED,
     "The ♭VI is borrowed from the parallel minor and leans on V."},
    {MAJOR_KEY, R(3), TRIAD | MAJ7 | DOM | SUS, ANYWHERE, 0, 0, 0, 0.40F, TONIC, GLN_PLACE_BORROWED,
     "The ♭III is borrowed from the parallel minor, whose relative major it is."},
    {MAJOR_KEY, R(7), MIN, ANYWHERE, 0, 0, 0, 0.38F, DOMINANT, GLN_PLACE_BORROWED,
     "The minor v is borrowed from the mixolydian or minor scale."},
    {MAJOR_KEY, R(0), MIN, ANYWHERE, 0, 0, 0, 0.68F, TONIC, GLN_PLACE_BORROWED,
     "The minor home chord is borrowed from the parallel minor."},
    {BOTH, R(1), TRIAD | MAJ7, ANYWHERE, 0, 0, 0, 0.45F, SUBDOM, GLN_PLACE_BORROWED,
     "The ♭II chord (the Neapolitan) leans on V, or falls a semitone home."},
    {MINOR_KEY, R(0), TRIAD | MAJ7, ANYWHERE, 0, 0, 0, 0.45F, TONIC, GLN_PLACE_BORROWED,
     "The major home chord is borrowed from the parallel major: a bright close in a minor key."},
    {BOTH, R(2), TRIAD | DOM | SUS, ANYWHERE, 0, 0, 0, 0.42F, DOMINANT, GLN_PLACE_SECONDARY_DOMINANT,
     "A major chord on the second degree: the dominant of V, here left waiting."},
    {MAJOR_KEY, R(9) | R(4) | R(11), TRIAD | DOM | SUS, ANYWHERE, 0, 0, 0, 0.60F, DOMINANT,
     GLN_PLACE_SECONDARY_DOMINANT, "A dominant of a chord of the key that does not arrive where it points."},

    /* Outside the key, and yet led to. */
    {BOTH, ANY_ROOT & ~R(7), DOM, GLN_GOES_FIFTH_DOWN, TRIAD | MAJ7 | MIN, 0, 1, 0.90F, DOMINANT,
     GLN_PLACE_SECONDARY_DOMINANT,
     "The dominant of a chord outside the key: that chord is home for a moment."},
    {BOTH, ANY_ROOT, TRIAD | MAJ7 | MIN, GLN_GOES_AFTER_V, 0, 0, 0, 0.95F, GLN_FUNCTION_NONE,
     GLN_PLACE_TONICISED,
     "Its own dominant led here: for a moment this is home, though the key has not moved."},

    /* Blues: sevenths at rest. */
    {MAJOR_KEY, R(0), DOM, ANYWHERE, 0, 0, 0, 0.09F, TONIC, GLN_PLACE_BLUES,
     "In the blues the home chord carries its seventh as colour and does not need to move."},
    {MAJOR_KEY, R(5), DOM, ANYWHERE, 0, 0, 0, 0.20F, SUBDOM, GLN_PLACE_BLUES,
     "The blues IV7: its seventh is the minor third of the key."},
    {MINOR_KEY, R(0), DOM, ANYWHERE, 0, 0, 0, 0.60F, TONIC, GLN_PLACE_BLUES,
     "The home chord as a seventh, as in the blues."},
    {BOTH, R(6), DIM, ANYWHERE, 0, 0, 0, 0.58F, SUBDOM, GLN_PLACE_PASSING_DIM,
     "A diminished chord on the raised fourth: IV with its root moved up, on the way to V or back to I."},
    {BOTH, R(6), HDIM, ANYWHERE, 0, 0, 0, 0.58F, SUBDOM, GLN_PLACE_CHROMATIC,
     "On the raised fourth: IV with its root moved up, on the way down to IV or to I over its fifth."},
};
const size_t gln_rule_count = GLN_COUNT_OF(gln_rules);
