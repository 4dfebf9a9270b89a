/* Any bytes as frets, as a tuning and as a hand: what reads is within the limits and reads back the same. */
#include "grip.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

static void hold(const GlnInstrument *instrument, const GlnHand *hand, const GlnFrets *frets) {
  GlnFingering found, judged;
  if (gln_fingering_find(instrument, hand, frets, &found) != GLN_OK)
    return;
  must(found.difficulty >= 0 && found.difficulty <= 1 && found.span_mm >= 0);
  must(gln_fingering_judge(instrument, hand, frets, found.finger, &judged, NULL) == GLN_OK);
  must(memcmp(found.finger, judged.finger, sizeof found.finger) == 0);
  char text[GLN_FRETS_TEXT_MAX];
  must(gln_fingers_print(frets, &found, text) == (size_t)frets->string_count);
}

static void read_frets(GlnText text, const GlnInstrument *instrument, const GlnHand *hand) {
  GlnFrets frets, again;
  GlnSymbolFault fault;
  if (gln_frets_parse(text, &frets, &fault) != GLN_OK) {
    must(fault.problem[0] != '\0' && fault.offset <= text.length &&
         fault.offset + fault.length <= text.length + 1);
    return;
  }
  char printed[GLN_FRETS_TEXT_MAX];
  size_t length = gln_frets_print(&frets, printed);
  must(length < sizeof printed && gln_frets_parse(gln_text(printed), &again, NULL) == GLN_OK);
  must(gln_frets_equal(&frets, &again));
  hold(instrument, hand, &frets);
}

/* A capo over any strings leaves every string a place to begin on the neck. */
static void read_capo(GlnText text, GlnInstrument instrument, const GlnHand *hand) {
  uint8_t numbers = 0;
  GlnText fault = {NULL, 0};
  if (gln_string_numbers_parse(text, &numbers, &fault) != GLN_OK)
    must(fault.length <= text.length);
  if (gln_capo_parse(text, &instrument) != GLN_OK)
    return;
  for (int s = 0; s < instrument.string_count; s++) {
    must(gln_first_fret(&instrument, s) >= 1 && gln_first_fret(&instrument, s) <= GLN_CAPO_MAX + 1);
    must(gln_sounding_midi(&instrument, s, 0) <
         gln_sounding_midi(&instrument, s, gln_first_fret(&instrument, s)));
  }
  read_frets(GLN_TEXT("x35453"), &instrument, hand);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnText text = {(const char *)data, size};
  GlnInstrument instrument = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  if (gln_hand_parse(text, &hand) == GLN_OK)
    must(hand.name != NULL);
  if (gln_instrument_tune(text, &instrument) == GLN_OK)
    must(instrument.string_count >= GLN_STRINGS_MIN && instrument.string_count <= GLN_STRINGS_MAX);
  read_frets(text, &instrument, &hand);
  read_capo(text, instrument, &hand);
  hand.thumb = true;
  read_frets(text, &instrument, &hand);
  return 0;
}
