/* Proof-reading in tables: the cost of slips, the words for problems. */
#include "proof_internal.h"

/* Design choices, tuned on slips planted in every second shape of an open collection of chord shapes: tests/outside. */
const GlnSlipCosts gln_slip_costs = {
    .fret = 1.0f,
    .ten = 1.2f,
    .digit = 2.0f,
    .digit_per_fret = 0.1f,
    .digit_lost = 2.0f,
    .digit_added = 2.0f,
    .swap = 1.0f,
    .swap_apart = 2.0f,
    .note_over = 1.0f,
    .shape_over = 0.8f,
    .position = 1.0f,
    .position_per_fret = 0.05f,
    .position_open = 0.5f,
    .reversed = 1.0f,
    .hard = 2.0f,
    .strained = 2.0f,
    .inner_silent = 1.0f,
    .silent = 0.2f,
    .open_far = 1.0f,
    .inverted = 0.5f,
    .rootless = 1.0f,
    .left_out = 0.3f,
};

const char *gln_problem_key(GlnProblem problem) {
  static const char *const keys[] = {
#define GLN_PROBLEM_KEY(name, key, words) key,
      GLN_PROBLEM_LIST(GLN_PROBLEM_KEY)
#undef GLN_PROBLEM_KEY
  };
  return problem < GLN_PROBLEM_COUNT ? keys[problem] : "";
}

const char *gln_problem_words(GlnProblem problem) {
  static const char *const all_words[] = {
#define GLN_PROBLEM_WORDS(name, key, words) words,
      GLN_PROBLEM_LIST(GLN_PROBLEM_WORDS)
#undef GLN_PROBLEM_WORDS
  };
  return problem < GLN_PROBLEM_COUNT ? all_words[problem] : "";
}
