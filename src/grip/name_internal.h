/* What the files that name grips share. Never included from outside the grip room. */
#ifndef GLN_NAME_INTERNAL_H
#define GLN_NAME_INTERNAL_H

#include "grip_internal.h"

/* One kind of chord a grip may be called: a quality of theory's table, or one of them with one tension more. */
typedef struct GlnFormula {
  GlnChord chord; /* on C, over its root */
  GlnText suffix
      [2]; /* what is printed after the root, by GlnSigns; short enough for any root and bass beside it */
  GlnNote plain_root[12]; /* of each pitch class, where no key says otherwise */
  uint16_t tones;         /* bit n: n semitones above the root */
  float cost;             /* of the name itself */
  bool under_slash;       /* plain enough to stand over a foreign bass */
} GlnFormula;

/* A formula that a set of tones above the root can stand for. */
typedef struct GlnFit {
  int16_t formula;
  float cost; /* of the formula and of what it leaves out, the root aside */
} GlnFit;

#define GLN_TONE_SETS 4096 /* sets of the twelve pitch classes */

struct GlnNamer {
  GlnFormula *formulas;
  size_t formula_count;
  GlnFit *fits;                      /* by set, then cost */
  uint32_t first[GLN_TONE_SETS + 1]; /* fits of set n: first[n] .. first[n + 1] - 1 */
};

/* Fills in plain_root: the spelling with the fewest accidentals. */
void gln_formula_spell(GlnFormula *formula);

/* ---- costs (name_cost.c): the one table of what makes a name far-fetched ---------------------------------- */

float gln_formula_cost(const GlnChord *chord);
/* Of leaving out these tones (bits above the root); the root itself is counted by gln_kind_cost. */
float gln_missing_cost(const GlnChord *chord, uint16_t missing);
/* Where the notes lie: low enough for a bass; all high; high on few strings. */
typedef enum GlnRegister { GLN_REGISTER_LOW, GLN_REGISTER_HIGH, GLN_REGISTER_FEW } GlnRegister;
/* Of a bass so many semitones above the root, or of no root. whole: every tone sounds, but for the root. */
float gln_kind_cost(GlnNameKind kind, const GlnFormula *formula, int bass_above_root, bool whole,
                    GlnRegister place);
/* Beside a name's own cost, for its turn among the names of few strings: so many told before it stand on its root, so many
 * have its very notes. */
float gln_turn_cost(const GlnFormula *formula, int same_root, int same_notes);
/* The pitch classes of the chord named, the foreign bass of a slash left out. */
uint16_t gln_name_tones(const GlnNamer *namer, const GlnName *name);
/* Names past this, or so much worse than the best, are not worth hearing. */
float gln_name_cost_limit(float best);

#endif
