/* Any bytes as pasted text: what is read lies in the text, fits the instrument, and can be proof-read. */
#include "grip.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

static void check_grip(GlnText source, const GlnPastedGrip *grip, int string_count) {
  must(grip->symbol.at >= source.at && grip->symbol.at + grip->symbol.length <= source.at + source.length);
  must(grip->text.at >= source.at && grip->text.at + grip->text.length <= source.at + source.length);
  must(grip->frets.string_count == string_count && !grip->chord.silent);
  for (int s = 0; s < string_count; s++) {
    must(grip->frets.fret[s] >= GLN_NOT_PLAYED && grip->frets.fret[s] <= GLN_FRETS_MAX);
    must(!grip->has_fingers || (grip->finger[s] > 0) == (grip->frets.fret[s] > 0));
  }
}

/* Undoing slips is slow beside reading: the first few grips of an input tell enough. */
#define PROOFS_MAX 2

static void read(GlnText source, const GlnInstrument *instrument, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  GlnPasted pasted;
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnStatus status = gln_pasted_read(source, instrument->string_count, arena, &diags, &pasted);
  must(status == GLN_OK || diags.error_count > 0);
  for (size_t i = 0; i < pasted.count; i++)
    check_grip(source, &pasted.grips[i], instrument->string_count);
  for (size_t i = 0; i < pasted.count && i < PROOFS_MAX; i++) {
    GlnProof proof;
    GlnStatus read = gln_proof_read(&pasted.grips[i].chord, instrument, &hand, false, &pasted.grips[i].frets,
                                    arena, &proof);
    must(read == GLN_OK || read == GLN_NO || read == GLN_USAGE);
    must((read == GLN_NO) == (proof.problem != GLN_PROBLEM_COUNT));
    for (int n = 0; n < proof.suggestion_count; n++) {
      GlnProof again;
      must(gln_proof_read(&pasted.grips[i].chord, instrument, &hand, false, &proof.suggestions[n].frets,
                          arena, &again) == GLN_OK);
    }
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnText source = {(const char *)data, size};
  GlnArena *arena = gln_arena_new(NULL, (size_t)1 << 30);
  must(arena != NULL);
  (void)gln_pasted_is_chart(source);
  GlnInstrument guitar = gln_instrument_defaults(), ukulele = guitar;
  must(gln_instrument_tune(GLN_TEXT("ukulele"), &ukulele) == GLN_OK);
  read(source, &guitar, arena);
  read(source, &ukulele, arena);
  gln_arena_free(arena);
  return 0;
}
