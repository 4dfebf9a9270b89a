/* What each tone is to its chord. Common practice, no published source: guide tones and named alterations must sound, the
 * natural 5th goes first, then the root, then the lower tension under a higher one. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "theory_checks.h"

/* Each tone as degree, then ! must, ~ colour or - may go, then its leave order, then its group. */
static const struct {
  const char *symbol, *roles;
} ROLES[] = {
    {"C", "1! 3! 5-1"},
    {"Cm", "1! b3! 5-1"},
    {"Cdim", "1! b3! b5!"},
    {"C+", "1! 3! #5!"},
    {"C5", "1! 5!"},
    {"Csus4", "1! 4! 5-1"},
    {"Csus2", "1! 2! 5-1"},
    {"Cadd9", "1! 3! 5-1 9!"},
    {"C6", "1-2 3! 5-1 6!"},
    {"C6/9", "1-2 3! 5-1 6! 9!"},
    {"C7", "1-2 3! 5-1 b7!"},
    {"Cm7b5", "1-2 b3! b5! b7!"},
    {"Cdim7", "1-2 b3! b5! bb7!"},
    {"C7sus4", "1-2 4! 5-1 b7!"},
    {"C9", "1-2 3! 5-1 b7! 9!"},
    {"C9sus4", "1-2 4! 5-1 b7! 9!"},
    {"C11", "1-2 5-1 b7! 9~3 11!"},
    {"Cm11", "1-2 b3! 5-1 b7! 9~3 11!"},
    {"C13", "1-2 3! 5-1 b7! 9~3 13!"},
    {"Cmaj13#11", "1-2 3! 5-1 7! 9~3 #11! 13!"},
    {"C9(11,13)", "1-2 3! 5-1 b7! 9~3 11~4 13!"},
    {"C7(b9,13)", "1-2 3! 5-1 b7! b9! 13!"},
    {"C7#5", "1-2 3! #5! b7!"},
    {"C7b13", "1-2 3! 5-1 b7! b13!"},
    {"C7(b5,#5)", "1-2 3! b5! #5! b7!"},
    {"C7(b9,#9)", "1-2 3! 5-1 b7! b9! #9!"},
    {"C7alt", "1-2 3! b5~3g1 #5~5g1 b7! b9~4g2 #9~6g2"},
    {"C7(omit3)", "1-2 5! b7!"},
    {"C/E", "1! 3! 5-1"},
    {"C/G", "1! 3! 5!"},
    {"C7/G", "1-2 3! 5! b7!"},
    {"C13/D", "1-2 3! 5-1 b7! 9! 13!"},
    {"C/A", "1! 3! 5-1 6!"},
    {"C7alt/Gb", "1-2 3! b5!g1 #5~5g1 b7! b9~4g2 #9~6g2"},
    {"Dmaj7/G", "1-2 3! 5-1 7! 4!"},
    {"C7/C", "1! 3! 5-1 b7!"},
};

static const char *roles_of(const GlnChord *chord, char out[CHECK_TEXT_MAX]) {
  static const char MARKS[] = {[GLN_ROLE_MUST] = '!', [GLN_ROLE_COLOUR] = '~', [GLN_ROLE_MAY_GO] = '-'};
  size_t at = 0;
  for (int i = 0; i < chord->tone_count; i++) {
    const GlnTone *tone = &chord->tones[i];
    char degree[GLN_DEGREE_TEXT_MAX];
    size_t length = gln_degree_print(tone->degree, GLN_SIGNS_ASCII, degree);
    if (i > 0)
      out[at++] = ' ';
    memcpy(out + at, degree, length);
    at += length;
    out[at++] = MARKS[tone->role];
    if (tone->leave_order > 0)
      out[at++] = (char)('0' + tone->leave_order);
    if (tone->group > 0) {
      out[at++] = 'g';
      out[at++] = (char)('0' + tone->group);
    }
  }
  out[at] = '\0';
  return out;
}

static void every_tone_has_its_role(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(ROLES); i++) {
    GlnChord chord;
    char out[CHECK_TEXT_MAX];
    assert_int_equal(gln_chord_parse(gln_text(ROLES[i].symbol), &chord, NULL), GLN_OK);
    if (strcmp(roles_of(&chord, out), ROLES[i].roles) != 0)
      fail_msg("%s: %s, should be %s", ROLES[i].symbol, out, ROLES[i].roles);
  }
}

/* For the whole table: an order exactly for what may be left out, no order twice, and something always stays. */
static void roles_and_orders_agree(void **state) {
  (void)state;
  for (size_t quality = 0; quality < gln_quality_count(); quality++) {
    GlnChord chord;
    unsigned orders = 0;
    int musts = 0;
    assert_int_equal(gln_chord_build((GlnNote){0, 0}, quality, NULL, &chord), GLN_OK);
    for (int i = 0; i < chord.tone_count; i++) {
      const GlnTone *tone = &chord.tones[i];
      assert_int_equal(tone->role == GLN_ROLE_MUST, tone->leave_order == 0);
      musts += tone->role == GLN_ROLE_MUST ? 1 : 0;
      if (tone->leave_order > 0) {
        assert_int_equal(orders & (1U << (unsigned)tone->leave_order), 0);
        orders |= 1U << (unsigned)tone->leave_order;
      }
      if (tone->degree.number == 3 || tone->degree.number == 7)
        assert_int_equal(tone->role, GLN_ROLE_MUST);
    }
    assert_true(musts >= 1 && musts <= 6); /* six strings hold them */
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(every_tone_has_its_role),
      cmocka_unit_test(roles_and_orders_agree),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
