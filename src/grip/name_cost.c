/* What makes a name far-fetched. Every number here is a design choice, tuned on the shapes of chords-db 0.5.1 and on the
 * grips of docs/naming.md that every player knows; the scale is that of one thing to explain: about 0.5 for a bass
 * that is not the root, 1 for a root that does not sound. */
#include "name_internal.h"

typedef struct DegreeCost {
  int8_t number, alteration;
  float over_major, over_minor, without_third;
} DegreeCost;

/* What each degree adds to a name, by the third it stands over. */
static const DegreeCost degree_costs[] = {
    {2, 0, 0.60F, 0.60F, 0.40F},  {4, 0, 0.50F, 0.50F, 0.35F},  {5, -1, 0.22F, 0.12F, 0.60F},
    {5, 1, 0.20F, 1.60F, 1.00F},  {6, 0, 0.12F, 0.20F, 0.40F},  {6, -1, 1.20F, 1.10F, 1.20F},
    {7, -2, 1.00F, 0.02F, 1.00F}, {7, -1, 0.05F, 0.05F, 0.05F}, {7, 0, 0.08F, 0.30F, 0.10F},
    {9, -1, 0.18F, 0.80F, 0.30F}, {9, 0, 0.12F, 0.12F, 0.12F},  {9, 1, 0.18F, 1.50F, 0.50F},
    {11, 0, 0.30F, 0.15F, 0.42F}, {11, 1, 0.22F, 0.60F, 0.40F}, {13, -1, 0.22F, 0.60F, 0.40F},
    {13, 0, 0.12F, 0.20F, 0.15F},
};

static const struct {
  float no_third;       /* neither third nor 2nd or 4th in its place, beyond a bare fifth */
  float bare_fifth;     /* a power chord */
  float flat_triad;     /* a major triad with a flat fifth and no seventh */
  float added;          /* a tension with neither 6th nor 7th under it */
  float skipped;        /* a tension of a seventh chord that skips the natural 9th below it */
  float altered;        /* the altered dominant: a heap of names in one */
  float no_table_row;   /* a chord with no usual name */
  float missing_fifth;  /* a natural 5th left out */
  float missing_colour; /* a lower tension left out */
  float thin;           /* three notes alone of a suspended seventh or eleventh, without the 5th */
  float odd_base;       /* an inversion of a far-fetched chord: this share of the chord's own cost */
  float inverted;       /* a tone of the triad in the bass */
  float seventh_bass;   /* the 6th or 7th in the bass */
  float tension_bass;   /* a tension, or a 2nd or 4th, in the bass */
  float inverted_part;  /* an inversion that is not even whole */
  float even;           /* another tone of a chord that divides the octave evenly in the bass */
  float rootless;
  float rootless_part; /* more than the root is left out */
  float slash_near;    /* over a foreign bass a tone, fourth, seventh above the root */
  float slash_far;     /* over any other */
  float high; /* share of an inversion's cost, a tension in the bass aside, where nothing sounds low */
  /* On few strings, all high: */
  float few_inverted; /* the same */
  float few_slash;    /* a foreign bass, beyond what it costs elsewhere */
  float few_rootless; /* share of what a root costs that the strings cannot hold */
  /* There one shape is many chords, so a reading waits for its turn in what is told: */
  float few_root_again; /* a third name on one root, and each further one */
  float few_even_again; /* an even chord on another of its tones */
  float few_altered;    /* the altered dominant, where exact names are to be had */
  float most;           /* no name costs more */
  float worse_than_best;
} costs = {.no_third = 0.80F,
           .bare_fifth = 0.10F,
           .flat_triad = 0.40F,
           .added = 0.12F,
           .skipped = 0.25F,
           .altered = 0.48F,
           .no_table_row = 0.45F,
           .missing_fifth = 0.05F,
           .missing_colour = 0.06F,
           .thin = 0.60F,
           .odd_base = 0.30F,
           .inverted = 0.50F,
           .seventh_bass = 0.55F,
           .tension_bass = 0.95F,
           .inverted_part = 0.30F,
           .even = 0.20F,
           .rootless = 1.00F,
           .rootless_part = 0.20F,
           .slash_near = 0.60F,
           .slash_far = 0.75F,
           .high = 0.45F,
           .few_inverted = 0.20F,
           .few_slash = 0.50F,
           .few_rootless = 0.60F,
           .few_root_again = 0.60F,
           .few_even_again = 0.80F,
           .few_altered = 0.40F,
           .most = 1.70F,
           .worse_than_best = 1.12F};

static bool has_number(const GlnChord *chord, int number) {
  for (int t = 0; t < chord->own_count; t++)
    if (chord->tones[t].degree.number == number)
      return true;
  return false;
}

static bool has_degree(const GlnChord *chord, int number, int alteration) {
  for (int t = 0; t < chord->own_count; t++)
    if (chord->tones[t].degree.number == number && chord->tones[t].degree.alteration == alteration)
      return true;
  return false;
}

static float degree_cost(const GlnChord *chord, GlnDegree degree) {
  for (size_t i = 0; i < GLN_COUNT_OF(degree_costs); i++) {
    const DegreeCost *row = &degree_costs[i];
    if (row->number != degree.number || row->alteration != degree.alteration)
      continue;
    if (has_degree(chord, 3, 0))
      return row->over_major;
    return has_degree(chord, 3, -1) ? row->over_minor : row->without_third;
  }
  return 0.0F;
}

/* A 13 with no 9 under it, an 11 with none: 7(13), m7(11). Altered tensions are named one by one anyway. */
static bool skips_ninth(const GlnChord *chord) {
  return has_number(chord, 7) && !has_number(chord, 9) &&
         (has_degree(chord, 13, 0) || has_degree(chord, 11, 0));
}

float gln_formula_cost(const GlnChord *chord) {
  bool altered = has_degree(chord, 5, -1) && has_degree(chord, 5, 1);
  if (altered)
    return costs.altered;
  float cost = chord->quality < 0 ? costs.no_table_row : 0.0F;
  for (int t = 0; t < chord->own_count; t++)
    cost += degree_cost(chord, chord->tones[t].degree);
  bool third = has_number(chord, 3) || has_number(chord, 2) || has_number(chord, 4) || has_number(chord, 11);
  bool sixth = has_number(chord, 6) || has_number(chord, 7);
  bool tension = has_number(chord, 9) || has_number(chord, 11) || has_number(chord, 13);
  if (!third)
    cost += chord->own_count == 2 ? costs.bare_fifth : costs.no_third;
  if (has_degree(chord, 3, 0) && has_degree(chord, 5, -1) && !sixth)
    cost += costs.flat_triad;
  if (tension && !sixth)
    cost += costs.added;
  if (skips_ninth(chord))
    cost += costs.skipped;
  return cost;
}

static int sounding_count(const GlnChord *chord, uint16_t missing) {
  int count = 0;
  for (int t = 0; t < chord->own_count; t++)
    count += (missing >> chord->tones[t].pitch_class & 1) == 0;
  return count;
}

/* E A D is heard as Asus4, not as E7sus4. */
static bool is_thin(const GlnChord *chord, uint16_t missing) {
  return !has_number(chord, 3) && (missing >> 7 & 1) != 0 && sounding_count(chord, missing) <= 3;
}

float gln_missing_cost(const GlnChord *chord, uint16_t missing) {
  float cost = is_thin(chord, missing) ? costs.thin : 0.0F;
  for (int t = 0; t < chord->own_count; t++) {
    const GlnTone *tone = &chord->tones[t];
    if ((missing >> tone->pitch_class & 1) == 0 || t == chord->root_tone || tone->group != 0)
      continue;
    cost += tone->degree.number == 5 ? costs.missing_fifth : costs.missing_colour;
  }
  return cost;
}

/* Augmented triads and diminished sevenths, any tone of which would do for a root. */
static bool divides_evenly(uint16_t tones, int by) {
  for (int n = 0; n < 12; n++)
    if ((tones >> n & 1) != (tones >> (n + by) % 12 & 1))
      return false;
  return true;
}

static float inversion_cost(const GlnFormula *formula, int bass) {
  if (divides_evenly(formula->tones, 3) || divides_evenly(formula->tones, 4))
    return costs.even;
  int tone = gln_chord_tone_of(&formula->chord, bass);
  int number = tone < 0 ? 0 : formula->chord.tones[tone].degree.number;
  if (number == 3 || number == 5)
    return costs.inverted;
  return number == 6 || number == 7 ? costs.seventh_bass : costs.tension_bass;
}

static float low_kind_cost(GlnNameKind kind, const GlnFormula *formula, int bass_above_root) {
  switch (kind) {
  case GLN_NAME_PLAIN:
    return 0.0F;
  case GLN_NAME_INVERTED:
    return inversion_cost(formula, bass_above_root) + costs.odd_base * formula->cost;
  case GLN_NAME_ROOTLESS:
    return costs.rootless;
  case GLN_NAME_SLASH:
    break;
  }
  bool near = bass_above_root == 2 || bass_above_root == 5 || bass_above_root == 10 || bass_above_root == 11;
  return near ? costs.slash_near : costs.slash_far;
}

static float bass_share(GlnRegister place) {
  return place == GLN_REGISTER_FEW ? costs.few_inverted : place == GLN_REGISTER_HIGH ? costs.high : 1.0F;
}

float gln_kind_cost(GlnNameKind kind, const GlnFormula *formula, int bass_above_root, bool whole,
                    GlnRegister place) {
  float cost = low_kind_cost(kind, formula, bass_above_root);
  if (kind == GLN_NAME_ROOTLESS)
    return (cost + (whole ? 0.0F : costs.rootless_part)) *
           (place == GLN_REGISTER_FEW ? costs.few_rootless : 1.0F);
  if (kind == GLN_NAME_SLASH)
    return cost + (place == GLN_REGISTER_FEW ? costs.few_slash : 0.0F);
  if (kind != GLN_NAME_INVERTED)
    return cost;
  return (cost < costs.tension_bass ? cost * bass_share(place) : cost) + (whole ? 0.0F : costs.inverted_part);
}

float gln_turn_cost(const GlnFormula *formula, int same_root, int same_notes) {
  bool altered = has_degree(&formula->chord, 5, -1) && has_degree(&formula->chord, 5, 1);
  bool even = divides_evenly(formula->tones, 3) || divides_evenly(formula->tones, 4);
  return (same_root > 1 ? costs.few_root_again * (float)(same_root - 1) : 0.0F) +
         (even && same_notes > 0 ? costs.few_even_again : 0.0F) + (altered ? costs.few_altered : 0.0F);
}

float gln_name_cost_limit(float best) {
  float limit = best + costs.worse_than_best;
  return limit < costs.most ? limit : costs.most;
}
