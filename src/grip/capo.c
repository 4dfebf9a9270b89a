/* Where a string begins: the nut, a capo over all strings or over some, a neck that begins later for one string. */
#include "grip_internal.h"

/* ---- strings as players number them ---------------------------------------------------------------------------- */

/* "5" or "5-2", as the bits that GlnInstrument.capo_strings and --strings use. */
static bool read_part(GlnText part, uint8_t *numbers) {
  long first = 0, last = 0;
  size_t dash = gln_text_find(part, GLN_TEXT("-"), 0);
  if (gln_text_integer(gln_text_trim(gln_text_slice(part, 0, dash)), 1, GLN_STRINGS_MAX, &first) != GLN_OK)
    return false;
  last = first;
  if (dash < part.length &&
      gln_text_integer(gln_text_trim(gln_text_from(part, dash + 1)), 1, GLN_STRINGS_MAX, &last) != GLN_OK)
    return false;
  for (long number = first < last ? first : last; number <= (first < last ? last : first); number++)
    *numbers |= (uint8_t)(1U << (unsigned)(number - 1));
  return true;
}

GlnStatus gln_string_numbers_parse(GlnText text, uint8_t *numbers, GlnText *fault) {
  *numbers = 0;
  for (GlnText rest = text;;) {
    size_t end = gln_text_find(rest, GLN_TEXT(","), 0);
    *fault = gln_text_trim(gln_text_slice(rest, 0, end));
    if (!read_part(*fault, numbers))
      return GLN_INPUT;
    if (end == rest.length)
      return GLN_OK;
    rest = gln_text_from(rest, end + 1);
  }
}

bool gln_string_bits(const GlnInstrument *instrument, uint8_t numbers, uint8_t *bits) {
  *bits = 0;
  for (int number = 1; number <= GLN_STRINGS_MAX; number++) {
    if ((numbers >> (number - 1) & 1) == 0)
      continue;
    if (number > instrument->string_count)
      return false;
    *bits |= (uint8_t)(1U << (unsigned)(instrument->string_count - number));
  }
  return true;
}

/* ---- the capo ---------------------------------------------------------------------------------------------------- */

GlnStatus gln_capo_parse(GlnText text, GlnInstrument *instrument) {
  size_t colon = gln_text_find(text, GLN_TEXT(":"), 0);
  long fret = 0;
  uint8_t strings = 0;
  GlnText fault;
  if (gln_text_integer(gln_text_trim(gln_text_slice(text, 0, colon)), 0, GLN_CAPO_MAX, &fret) != GLN_OK)
    return GLN_INPUT;
  if (colon < text.length &&
      (fret == 0 || gln_string_numbers_parse(gln_text_from(text, colon + 1), &strings, &fault) != GLN_OK))
    return GLN_INPUT;
  instrument->capo = (int8_t)fret;
  instrument->capo_strings = strings;
  return GLN_OK;
}

bool gln_capo_fits(const GlnInstrument *instrument) {
  uint8_t bits = 0;
  return gln_string_bits(instrument, instrument->capo_strings, &bits);
}

void gln_capo_describe(const GlnInstrument *instrument, GlnBuffer *out) {
  gln_buffer_format(out, "%d", instrument->capo);
  const char *between = " on strings ";
  int number = GLN_STRINGS_MAX;
  while (number > 0) {
    int last = number;
    while (last > 0 && (instrument->capo_strings >> (last - 1) & 1) != 0)
      last--;
    if (last == number) {
      number--;
      continue;
    }
    gln_buffer_format(out, "%s%d", between, number);
    if (last + 1 < number)
      gln_buffer_format(out, "-%d", last + 1);
    between = ",";
    number = last;
  }
}

/* ---- where strings begin --------------------------------------------------------------------------------------- */

int gln_frets_from(const GlnInstrument *instrument) {
  return instrument->capo_strings == 0 ? instrument->capo : 0;
}

/* Fret from the nut at which the string sounds when left open. */
static int begins_at(const GlnInstrument *instrument, int string) {
  int number = gln_string_number(instrument, string);
  bool covered = instrument->capo_strings == 0 || (instrument->capo_strings >> (number - 1) & 1) != 0;
  int capo = covered ? instrument->capo : 0;
  return capo > instrument->begins[string] ? capo : instrument->begins[string];
}

int gln_first_fret(const GlnInstrument *instrument, int string) {
  return begins_at(instrument, string) - gln_frets_from(instrument) + 1;
}

int gln_sounding_midi(const GlnInstrument *instrument, int string, int fret) {
  int from_nut = fret > 0 ? gln_frets_from(instrument) + fret : begins_at(instrument, string);
  return instrument->open_midi[string] + from_nut;
}

int gln_fret_of(const GlnInstrument *instrument, int string, int midi) {
  if (midi == gln_sounding_midi(instrument, string, 0))
    return 0;
  return midi - instrument->open_midi[string] - gln_frets_from(instrument);
}

const char *gln_frets_fault(const GlnInstrument *instrument, const GlnFrets *frets, int *string) {
  for (*string = 0; *string < frets->string_count && *string < instrument->string_count; ++*string) {
    int fret = frets->fret[*string];
    if (fret > gln_instrument_frets(instrument))
      return "the neck has no such fret";
    if (fret > 0 && fret < gln_first_fret(instrument, *string))
      return "the string begins above this fret, so that it cannot be stopped here";
  }
  return NULL;
}
