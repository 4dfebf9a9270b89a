/* Text as Unicode: well-formed UTF-8, code points, columns of a terminal. */
#include "base.h"

/* The well-formed sequences by first byte: The Unicode Standard 15.0, table 3-7. The second byte's range
 * keeps out overlong forms, surrogates and everything past U+10FFFF. */
typedef struct Lead {
  unsigned char first, last;
  unsigned char low, high; /* of the second byte */
  unsigned char bytes;
} Lead;

static const Lead leads[] = {
    {0x00, 0x7F, 0x00, 0x00, 1}, {0xC2, 0xDF, 0x80, 0xBF, 2}, {0xE0, 0xE0, 0xA0, 0xBF, 3},
    {0xE1, 0xEC, 0x80, 0xBF, 3}, {0xED, 0xED, 0x80, 0x9F, 3}, {0xEE, 0xEF, 0x80, 0xBF, 3},
    {0xF0, 0xF0, 0x90, 0xBF, 4}, {0xF1, 0xF3, 0x80, 0xBF, 4}, {0xF4, 0xF4, 0x80, 0x8F, 4},
};

/* Bytes of the well-formed sequence at the offset, 0 when it is broken. */
static size_t sequence_bytes(GlnText text, size_t offset) {
  const unsigned char *at = (const unsigned char *)text.at + offset;
  size_t rest = text.length - offset;
  for (size_t i = 0; i < GLN_COUNT_OF(leads); i++) {
    const Lead *lead = &leads[i];
    if (at[0] < lead->first || at[0] > lead->last)
      continue;
    if (lead->bytes > rest || (lead->bytes > 1 && (at[1] < lead->low || at[1] > lead->high)))
      return 0;
    for (size_t j = 2; j < lead->bytes; j++)
      if ((at[j] & 0xC0) != 0x80)
        return 0;
    return lead->bytes;
  }
  return 0;
}

size_t gln_text_bad_utf8(GlnText text) {
  size_t offset = 0;
  while (offset < text.length) {
    size_t bytes = sequence_bytes(text, offset);
    if (bytes == 0 || text.at[offset] == '\0')
      return offset;
    offset += bytes;
  }
  return text.length;
}

size_t gln_text_code_point(GlnText text, size_t offset, uint32_t *code_point) {
  if (offset >= text.length) {
    if (code_point != NULL)
      *code_point = 0;
    return 0;
  }
  size_t bytes = sequence_bytes(text, offset);
  if (code_point != NULL) {
    const unsigned char *at = (const unsigned char *)text.at + offset;
    /* The first byte of n > 1 begins with n ones and a zero. */
    uint32_t value = bytes == 0 ? 0xFFFD : bytes == 1 ? at[0] : at[0] & (0x7FU >> bytes);
    for (size_t i = 1; i < bytes; i++)
      value = value << 6 | (at[i] & 0x3FU);
    *code_point = value;
  }
  return bytes == 0 ? 1 : bytes;
}

/* Code points that do not take one column: combining marks and format characters take none (Unicode 15.0,
 * general categories Mn, Me and Cf of the blocks a chart may meet), wide ones take two (UAX #11, East Asian
 * Width W and F, by block). In order. */
typedef struct Width {
  uint32_t first, last;
  size_t columns;
} Width;

static const Width widths[] = {
    {0x0300, 0x036F, 0},   {0x0483, 0x0489, 0},   {0x0591, 0x05BD, 0},   {0x0610, 0x061A, 0},
    {0x064B, 0x065F, 0},   {0x1100, 0x115F, 2},   {0x1AB0, 0x1AFF, 0},   {0x1DC0, 0x1DFF, 0},
    {0x200B, 0x200F, 0},   {0x202A, 0x202E, 0},   {0x2060, 0x2064, 0},   {0x20D0, 0x20F0, 0},
    {0x2E80, 0x303E, 2},   {0x3041, 0x33FF, 2},   {0x3400, 0x4DBF, 2},   {0x4E00, 0xA4CF, 2},
    {0xA960, 0xA97C, 2},   {0xAC00, 0xD7A3, 2},   {0xF900, 0xFAFF, 2},   {0xFE00, 0xFE0F, 0},
    {0xFE20, 0xFE2F, 0},   {0xFE30, 0xFE6F, 2},   {0xFEFF, 0xFEFF, 0},   {0xFF00, 0xFF60, 2},
    {0xFFE0, 0xFFE6, 2},   {0x1F300, 0x1F64F, 2}, {0x1F900, 0x1F9FF, 2}, {0x20000, 0x3FFFD, 2},
    {0xE0100, 0xE01EF, 0},
};

static size_t code_point_columns(uint32_t code_point) {
  for (size_t i = 0; i < GLN_COUNT_OF(widths); i++)
    if (code_point >= widths[i].first && code_point <= widths[i].last)
      return widths[i].columns;
  return 1;
}

size_t gln_text_columns(GlnText text) {
  size_t columns = 0;
  for (size_t offset = 0; offset < text.length;) {
    uint32_t code_point = 0;
    offset += gln_text_code_point(text, offset, &code_point);
    columns += code_point < widths[0].first ? 1 : code_point_columns(code_point);
  }
  return columns;
}
