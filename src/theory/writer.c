/* Text into a fixed array, for the printers of this room. */
#include "theory_internal.h"

#include <string.h>

GlnWriter gln_writer(char *out, size_t capacity) {
  out[0] = '\0';
  return (GlnWriter){out, 0, capacity};
}

void gln_write_text(GlnWriter *writer, GlnText text) {
  size_t room = writer->capacity - 1 - writer->length;
  size_t length = text.length < room ? text.length : room;
  if (length > 0)
    memcpy(writer->at + writer->length, text.at, length);
  writer->length += length;
  writer->at[writer->length] = '\0';
}

void gln_write(GlnWriter *writer, const char *c_string) {
  gln_write_text(writer, (GlnText){c_string, strlen(c_string)});
}

void gln_write_accidental(GlnWriter *writer, int accidental, GlnSigns signs) {
  const char *flat = signs == GLN_SIGNS_UNICODE ? "♭" : "b";
  const char *sharp = signs == GLN_SIGNS_UNICODE ? "♯" : "#";
  for (; accidental < 0; accidental++)
    gln_write(writer, flat);
  for (; accidental > 0; accidental--)
    gln_write(writer, sharp);
}

void gln_write_integer(GlnWriter *writer, int value) {
  char digits[12];
  size_t at = sizeof digits;
  unsigned rest = value < 0 ? 0U - (unsigned)value : (unsigned)value;
  do {
    digits[--at] = (char)('0' + rest % 10);
    rest /= 10;
  } while (rest > 0);
  if (value < 0)
    digits[--at] = '-';
  gln_write_text(writer, (GlnText){digits + at, sizeof digits - at});
}

void gln_write_note(GlnWriter *writer, GlnNote note, GlnSigns signs) {
  gln_write_text(writer, (GlnText){&"CDEFGAB"[note.letter], 1});
  gln_write_accidental(writer, note.accidental, signs);
}

void gln_write_degree(GlnWriter *writer, GlnDegree degree, GlnSigns signs) {
  gln_write_accidental(writer, degree.alteration, signs);
  gln_write_integer(writer, degree.number);
}
