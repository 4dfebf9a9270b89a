/* Answers for fingers.mjs. Each line of standard input: instrument, frets, printed fingers (one digit a string), with tabs
 * between. Each line of standard output: first-choice fingers or "-", its difficulty in thousandths, "ok" or the rule
 * that forbids the printed fingers. */
#include "grip.h"

#include <stdio.h>
#include <string.h>

#define LINE_MAX_BYTES 256

static GlnStatus make_instrument(const char *name, GlnInstrument *instrument) {
  *instrument = gln_instrument_defaults();
  GlnStatus status = strcmp(name, "guitar") == 0 ? GLN_OK : gln_instrument_tune(gln_text(name), instrument);
  instrument->fret_count = 24; /* the collection goes as high as that */
  return status;
}

static void print_found(const GlnInstrument *instrument, const GlnHand *hand, const GlnFrets *frets) {
  GlnFingering found;
  if (gln_fingering_find(instrument, hand, frets, &found) != GLN_OK) {
    (void)printf("-\t0\t");
    return;
  }
  for (int s = 0; s < frets->string_count; s++)
    (void)printf("%d", found.finger[s]);
  (void)printf("\t%d\t", (int)(found.difficulty * 1000));
}

static bool answer(char *line) {
  char *frets_text = strchr(line, '\t'), *fingers = frets_text != NULL ? strchr(frets_text + 1, '\t') : NULL;
  if (fingers == NULL)
    return false;
  *frets_text++ = '\0';
  *fingers++ = '\0';
  fingers[strcspn(fingers, "\n")] = '\0';
  GlnInstrument instrument;
  GlnFrets frets;
  if (make_instrument(line, &instrument) != GLN_OK ||
      gln_frets_parse(gln_text(frets_text), &frets, NULL) != GLN_OK)
    return false;
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  int8_t finger[GLN_STRINGS_MAX] = {0};
  for (size_t s = 0; s < GLN_STRINGS_MAX && fingers[s] != '\0'; s++)
    finger[s] = (int8_t)(fingers[s] - '0');
  print_found(&instrument, &hand, &frets);
  GlnFingering judged;
  const char *why = "ok";
  GlnStatus status = gln_fingering_judge(&instrument, &hand, &frets, finger, &judged, &why);
  (void)printf("%s\n", status == GLN_OK ? "ok" : why);
  return true;
}

int main(void) {
  char line[LINE_MAX_BYTES];
  while (fgets(line, sizeof line, stdin) != NULL)
    if (!answer(line)) {
      (void)fprintf(stderr, "hand_answers: cannot read this line: %s\n", line);
      return 3;
    }
  return ferror(stdin) ? 4 : 0;
}
