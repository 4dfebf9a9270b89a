/* Patterns over several chords: cadences and turnarounds, from one table. Common practice, no published source; the
 * turnarounds stand in standard jazz texts. */
#include "remarks_internal.h"

#define TRIAD         GLN_CLASS_BIT(GLN_CLASS_MAJOR)
#define HOME          (GLN_CLASS_BIT(GLN_CLASS_MAJOR) | GLN_CLASS_BIT(GLN_CLASS_MAJOR7))
#define HOME_OR_BLUES (HOME | GLN_CLASS_BIT(GLN_CLASS_DOMINANT))
#define DOM           GLN_CLASS_BIT(GLN_CLASS_DOMINANT)
#define FIVE          (TRIAD | DOM | GLN_CLASS_BIT(GLN_CLASS_AUG))
#define MIN           GLN_CLASS_BIT(GLN_CLASS_MINOR)
#define HDIM          GLN_CLASS_BIT(GLN_CLASS_HALF_DIM)
#define DIM           GLN_CLASS_BIT(GLN_CLASS_DIM)
#define BOTH          3
#define MAJOR_KEY     1
#define MINOR_KEY     2

const GlnPattern gln_patterns[] = {
    /* Longer patterns first: what one covers, a shorter of the same kind does not repeat. */
    {GLN_REMARK_TURNAROUND,
     BOTH,
     4,
     {{0, HOME_OR_BLUES | MIN}, {9, MIN | HDIM}, {2, MIN | HDIM}, {7, FIVE}},
     "I–vi–ii–V",
     "A turnaround: from home round the circle of fifths and back to the dominant."},
    {GLN_REMARK_TURNAROUND,
     MAJOR_KEY,
     4,
     {{0, HOME_OR_BLUES}, {9, DOM}, {2, MIN}, {7, DOM}},
     "I–VI7–ii–V",
     "A turnaround with its vi turned into a dominant, which pulls harder into ii."},
    {GLN_REMARK_TURNAROUND,
     MAJOR_KEY,
     4,
     {{0, HOME_OR_BLUES}, {9, DOM}, {2, DOM}, {7, DOM}},
     "I–VI7–II7–V7",
     "A turnaround in dominants alone: each is the V of the next."},
    {GLN_REMARK_TURNAROUND,
     MAJOR_KEY,
     4,
     {{4, MIN}, {9, DOM | MIN}, {2, MIN}, {7, DOM}},
     "iii–VI–ii–V",
     "A turnaround that starts on iii, the stand-in for home."},
    {GLN_REMARK_TURNAROUND,
     MAJOR_KEY,
     4,
     {{0, HOME_OR_BLUES}, {1, DIM}, {2, MIN}, {7, DOM}},
     "I–♯I°–ii–V",
     "A turnaround with a passing diminished chord: the bass climbs by semitones into ii."},
    {GLN_REMARK_TURNAROUND,
     MAJOR_KEY,
     4,
     {{0, HOME_OR_BLUES}, {3, DOM | HOME}, {8, HOME_OR_BLUES}, {1, HOME_OR_BLUES}},
     "I–♭III–♭VI–♭II",
     "The turnaround with every chord after the first a tritone away from the plain one."},
    {GLN_REMARK_CADENCE,
     MAJOR_KEY,
     3,
     {{2, MIN}, {7, FIVE}, {0, HOME_OR_BLUES}},
     "ii–V–I",
     "The cadence of jazz: each third becomes the next seventh or falls a step into it."},
    {GLN_REMARK_CADENCE,
     MINOR_KEY,
     3,
     {{2, HDIM | MIN}, {7, FIVE}, {0, MIN}},
     "ii–V–i",
     "The cadence of jazz in minor: the flat fifth of iiø is the flat ninth of V."},
    {GLN_REMARK_CADENCE,
     MAJOR_KEY,
     3,
     {{2, MIN | HDIM}, {1, DOM}, {0, HOME_OR_BLUES}},
     "ii–♭II7–I",
     "A ii–V–I with its dominant changed for the tritone substitute: the bass comes home by semitones."},
    {GLN_REMARK_CADENCE,
     MINOR_KEY,
     3,
     {{2, MIN | HDIM}, {1, DOM}, {0, MIN}},
     "ii–♭II7–i",
     "A ii–V–i with its dominant changed for the tritone substitute: the bass comes home by semitones."},
    {GLN_REMARK_CADENCE,
     MAJOR_KEY,
     3,
     {{5, MIN}, {10, DOM}, {0, HOME_OR_BLUES}},
     "iv–♭VII7–I",
     "Home by the back door: the ii–V of ♭III, which comes to rest on I instead."},
    {GLN_REMARK_CADENCE, MAJOR_KEY, 2, {{10, DOM}, {0, HOME_OR_BLUES}}, "♭VII7–I", "Home by the back door."},
    {GLN_REMARK_CADENCE,
     MAJOR_KEY,
     2,
     {{7, FIVE}, {0, HOME_OR_BLUES}},
     "V–I",
     "Dominant to home: the full close."},
    {GLN_REMARK_CADENCE, MINOR_KEY, 2, {{7, FIVE}, {0, MIN}}, "V–i", "Dominant to home: the full close."},
    {GLN_REMARK_CADENCE,
     MAJOR_KEY,
     2,
     {{7, FIVE}, {9, MIN}},
     "V–vi",
     "A deceptive close: the dominant goes to the relative minor where home was expected."},
    {GLN_REMARK_CADENCE,
     MINOR_KEY,
     2,
     {{7, FIVE}, {8, HOME}},
     "V–♭VI",
     "A deceptive close: the dominant goes to ♭VI where home was expected."},
    {GLN_REMARK_CADENCE,
     MAJOR_KEY,
     2,
     {{5, HOME | DOM}, {0, HOME_OR_BLUES}},
     "IV–I",
     "A plagal close: softer than V–I."},
    {GLN_REMARK_CADENCE,
     MAJOR_KEY,
     2,
     {{5, MIN}, {0, HOME_OR_BLUES}},
     "iv–I",
     "A plagal close with the fourth chord borrowed from minor: ♭6 falls to 5."},
};
const size_t gln_pattern_count = GLN_COUNT_OF(gln_patterns);

static bool pattern_fits(const GlnPattern *pattern, const GlnRun *runs, size_t count, size_t at) {
  GlnKey key = runs[at].key;
  if (at + (size_t)pattern->length > count || (pattern->modes & (key.minor ? 2 : 1)) == 0 || !runs[at].clear)
    return false;
  int tonic = gln_note_pitch_class(key.tonic);
  /* A close is a bass step: a dominant over its third or fifth passes on; one that ends its section waits. */
  const GlnRun *last = &runs[at + (size_t)pattern->length - 1], *before = last - 1;
  if (pattern->kind == GLN_REMARK_CADENCE && pattern->length == 2 &&
      (last->phrase_starts || before->bass != before->root))
    return false;
  for (int i = 0; i < pattern->length; i++) {
    const GlnRun *run = &runs[at + (size_t)i];
    if ((run->root - tonic + 12) % 12 != pattern->chords[i].root || !run->clear ||
        gln_note_pitch_class(run->key.tonic) != tonic || (run->classes & pattern->chords[i].classes) == 0)
      return false;
  }
  return true;
}

/* The first pattern of the kind in table order that starts at the run; NULL for none. */
const GlnPattern *gln_pattern_find(GlnRemarkKind kind, const GlnRun *runs, size_t count, size_t at) {
  for (size_t p = 0; p < gln_pattern_count; p++)
    if (gln_patterns[p].kind == kind && pattern_fits(&gln_patterns[p], runs, count, at))
      return &gln_patterns[p];
  return NULL;
}
