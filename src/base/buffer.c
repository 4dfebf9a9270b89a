/* Text that grows in an arena. */
#include "base.h"

#include <assert.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define FIRST_CAPACITY ((size_t)256)

GlnBuffer gln_buffer(GlnArena *arena) {
  return (GlnBuffer){.arena = arena};
}

/* Makes room for so many more bytes and a NUL for vsnprintf. */
static bool reserve(GlnBuffer *buffer, size_t more) {
  if (buffer->failed)
    return false;
  if (more < buffer->capacity - buffer->length)
    return true;
  size_t wanted = 0;
  size_t doubled = 0;
  if (__builtin_add_overflow(buffer->length, more, &wanted) || __builtin_add_overflow(wanted, 1, &wanted) ||
      __builtin_mul_overflow(buffer->capacity, 2, &doubled)) {
    buffer->failed = true;
    return false;
  }
  size_t capacity = doubled > FIRST_CAPACITY ? doubled : FIRST_CAPACITY;
  capacity = capacity > wanted ? capacity : wanted;
  char *at = GLN_NEW(buffer->arena, char, capacity);
  if (at == NULL) {
    buffer->failed = true;
    return false;
  }
  if (buffer->length > 0)
    memcpy(at, buffer->at, buffer->length);
  buffer->at = at;
  buffer->capacity = capacity;
  return true;
}

void gln_buffer_add(GlnBuffer *buffer, GlnText text) {
  if (text.length == 0 || !reserve(buffer, text.length))
    return;
  memcpy(buffer->at + buffer->length, text.at, text.length);
  buffer->length += text.length;
}

void gln_buffer_add_string(GlnBuffer *buffer, const char *c_string) {
  gln_buffer_add(buffer, gln_text(c_string));
}

void gln_buffer_add_byte(GlnBuffer *buffer, char byte) {
  gln_buffer_add(buffer, (GlnText){&byte, 1});
}

void gln_buffer_add_repeated(GlnBuffer *buffer, GlnText text, size_t times) {
  for (size_t i = 0; i < times && !buffer->failed; i++)
    gln_buffer_add(buffer, text);
}

void gln_buffer_format_list(GlnBuffer *buffer, const char *format, va_list arguments) {
  va_list again;
  va_copy(again, arguments);
  int length = vsnprintf(NULL, 0, format, again);
  va_end(again);
  assert(length >= 0);
  if (length < 0 || !reserve(buffer, (size_t)length))
    return;
  int written = vsnprintf(buffer->at + buffer->length, (size_t)length + 1, format, arguments);
  assert(written == length);
  if (written == length)
    buffer->length += (size_t)length;
}

void gln_buffer_format(GlnBuffer *buffer, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  gln_buffer_format_list(buffer, format, arguments);
  va_end(arguments);
}

void gln_buffer_add_integer(GlnBuffer *buffer, long long value) {
  gln_buffer_format(buffer, "%lld", value);
}

void gln_buffer_add_number(GlnBuffer *buffer, double value, int decimals) {
  static const double powers[] = {1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};
  assert(isfinite(value) && decimals >= 0 && (size_t)decimals < GLN_COUNT_OF(powers));
  double power = powers[decimals];
  /* The two halves apart: the fraction is exact then, however large the whole. */
  double whole = 0;
  double fraction = round(modf(fabs(value), &whole) * power);
  if (fraction >= power) {
    whole += 1.0;
    fraction = 0;
  }
  if (value < 0 && (whole > 0 || fraction > 0))
    gln_buffer_add_byte(buffer, '-');
  /* Without decimals there is no decimal point that the locale could change. */
  gln_buffer_format(buffer, "%.0f", whole);
  if (decimals > 0)
    gln_buffer_format(buffer, ".%0*" PRIu64, decimals, (uint64_t)fraction);
}

void gln_buffer_add_padded(GlnBuffer *buffer, GlnText text, size_t columns) {
  gln_buffer_add(buffer, text);
  size_t taken = gln_text_columns(text);
  if (taken < columns)
    gln_buffer_add_repeated(buffer, GLN_TEXT(" "), columns - taken);
}

GlnText gln_buffer_text(const GlnBuffer *buffer) {
  return (GlnText){buffer->at, buffer->length};
}

GlnStatus gln_buffer_status(const GlnBuffer *buffer) {
  return buffer->failed ? GLN_MEMORY : GLN_OK;
}
