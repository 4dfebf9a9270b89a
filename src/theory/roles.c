/* What each tone is to its chord when a hand cannot take them all: one table of rules, the first that fits
 * wins.
 *
 * Common practice, no published source: guide tones and named alterations must sound; the natural 5th goes
 * first, then the root where something else gives a chord its colour, then the lower tension under a higher
 * one. */
#include "theory_internal.h"

typedef enum When {
  WHEN_ALWAYS,
  WHEN_TRIAD,    /* no sixth and no seventh: the root is a third of what there is */
  WHEN_NO_GUIDE, /* neither 3rd nor 2nd, 4th or 11th in its place: a power chord and its kin */
  WHEN_HIGHER,   /* a tension stands above this one */
  WHEN_ALTERED   /* both altered 5ths and both altered 9ths: the player takes one of each */
} When;

typedef struct RoleRule {
  int8_t number, alteration;
  uint8_t when;
  uint8_t role;
  int8_t leave_order;
  int8_t group;
} RoleRule;

/* In order of number. */
static const RoleRule RULES[] = {
    {1, 0, WHEN_TRIAD, GLN_ROLE_MUST, 0, 0},      {1, 0, WHEN_ALWAYS, GLN_ROLE_MAY_GO, 2, 0},
    {5, -1, WHEN_ALTERED, GLN_ROLE_COLOUR, 3, 1}, {5, +1, WHEN_ALTERED, GLN_ROLE_COLOUR, 5, 1},
    {5, 0, WHEN_NO_GUIDE, GLN_ROLE_MUST, 0, 0},   {5, 0, WHEN_ALWAYS, GLN_ROLE_MAY_GO, 1, 0},
    {9, -1, WHEN_ALTERED, GLN_ROLE_COLOUR, 4, 2}, {9, +1, WHEN_ALTERED, GLN_ROLE_COLOUR, 6, 2},
    {9, 0, WHEN_HIGHER, GLN_ROLE_COLOUR, 3, 0},   {11, 0, WHEN_HIGHER, GLN_ROLE_COLOUR, 4, 0},
};
/* Every other tone is a guide tone, a named alteration or the top tension. */
static const RoleRule MUST = {0, 0, WHEN_ALWAYS, GLN_ROLE_MUST, 0, 0};

static bool has_above(const GlnDegreeSet *set, int number) {
  for (int higher = number + 1; higher <= GLN_DEGREE_NUMBER_MAX; higher++) {
    if (gln_set_has_number(set, higher))
      return true;
  }
  return false;
}

static bool holds(When when, const GlnDegreeSet *set, int number) {
  switch (when) {
  case WHEN_TRIAD:
    return !gln_set_has_number(set, 6) && !gln_set_has_number(set, 7);
  case WHEN_NO_GUIDE:
    return !gln_set_has_number(set, 2) && !gln_set_has_number(set, 3) && !gln_set_has_number(set, 4) &&
           !gln_set_has_number(set, 11);
  case WHEN_HIGHER:
    return has_above(set, number);
  case WHEN_ALTERED:
    return gln_set_has(set, 5, -1) && gln_set_has(set, 5, 1) && gln_set_has(set, 9, -1) &&
           gln_set_has(set, 9, 1);
  case WHEN_ALWAYS:
    break;
  }
  return true;
}

/* The rule for a degree: the first that fits from *at on, where the rules of lower numbers end. */
static const RoleRule *rule_for(const GlnDegreeSet *set, GlnDegree degree, size_t *at) {
  while (*at < GLN_COUNT_OF(RULES) && RULES[*at].number < degree.number)
    ++*at;
  for (size_t i = *at; i < GLN_COUNT_OF(RULES) && RULES[i].number == degree.number; i++) {
    if (RULES[i].alteration == degree.alteration && holds((When)RULES[i].when, set, degree.number))
      return &RULES[i];
  }
  return &MUST;
}

void gln_roles_set(const GlnDegreeSet *set, GlnTone *tones, int count) {
  size_t at = 0;
  for (int i = 0; i < count; i++) {
    const RoleRule *rule = rule_for(set, tones[i].degree, &at);
    tones[i].role = (GlnRole)rule->role;
    tones[i].leave_order = rule->leave_order;
    tones[i].group = rule->group;
  }
}
