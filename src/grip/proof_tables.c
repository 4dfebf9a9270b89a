/* Proof-reading in tables: the cost of slips, the words for problems. */
#include "proof_internal.h"

/* Fitted by maximum likelihood of the grip that was meant among all right grips that a slip explains, on slips planted in
 * every second shape of chords-db 0.5.1 (MIT), a wrong digit counted twice: docs/proof.md. */
const GlnSlipCosts gln_slip_costs = {
    .fret = 1.7f,
    .ten = 0.8f,
    .digit = 1.8f,
    .digit_per_fret = 0.11f,
    .digit_lost = 0.75f,
    .digit_added = 4.45f,
    .swap = 0.8f,
    .swap_apart = 4.1f,
    .note_over = 0.1f,
    .shape_over = 0.35f,
    .position = 0.75f,
    .position_per_fret = 0.38f,
    .reversed = 0.15f,
    .hard = 1.3f,
    .strained = 1.15f,
    .some_silent = 1.45f,
    .inner_silent = 1.65f,
    .silent_high = 1.3f,
    .thin = 1.8f,
    .open = 0.7f,
    .open_far = 1.25f,
    .up_neck = 0.2f,
    .span = 0.85f,
    .wide_span = 1.4f,
    .gap = 0.7f,
    .wide_gap = 0.55f,
    .doubled = 0.8f,
    .unison = 0.75f,
    .inverted = 1.75f,
    .rootless = 2.15f,
    .left_fifth = 0.7f,
    .left_out = 1.1f,
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
