/* Gives the pages of an Ogg stream a serial number that is always the same: RFC 3533, section 6. */
#include "audio_internal.h"

#include <string.h>

enum { HEAD = 27, SERIAL_AT = 14, CHECKSUM_AT = 22, SEGMENTS_AT = 26 };
#define SERIAL     1
#define POLYNOMIAL 0x04C11DB7U /* no reflection, starts at 0, no final turn */

static void put_number(uint8_t *at, uint32_t number) {
  for (int i = 0; i < 4; i++)
    at[i] = (uint8_t)(number >> (8 * i) & 0xFF);
}

static uint32_t checksum(const uint8_t *bytes, size_t count) {
  uint32_t sum = 0;
  for (size_t i = 0; i < count; i++) {
    sum ^= (uint32_t)bytes[i] << 24;
    for (int bit = 0; bit < 8; bit++)
      sum = sum >> 31 ? sum << 1 ^ POLYNOMIAL : sum << 1;
  }
  return sum;
}

/* Bytes the page has as far as its head tells: the head alone until that is there. */
static size_t page_length(const GlnOggPages *pages) {
  if (pages->have < HEAD)
    return HEAD;
  size_t length = HEAD + (size_t)pages->page[SEGMENTS_AT];
  if (pages->have < length)
    return length;
  for (size_t i = HEAD, end = length; i < end; i++)
    length += pages->page[i];
  return length;
}

bool gln_ogg_pages_add(GlnOggPages *pages, const uint8_t *bytes, size_t count) {
  while (count > 0) {
    size_t length = page_length(pages);
    size_t taken = length - pages->have < count ? length - pages->have : count;
    memcpy(pages->page + pages->have, bytes, taken);
    pages->have += taken;
    bytes += taken;
    count -= taken;
    if (pages->have < page_length(pages))
      continue;
    put_number(pages->page + SERIAL_AT, SERIAL);
    put_number(pages->page + CHECKSUM_AT, 0);
    put_number(pages->page + CHECKSUM_AT, checksum(pages->page, pages->have));
    if (!pages->sink->write(pages->sink->data, pages->page, pages->have))
      return false;
    pages->have = 0;
  }
  return true;
}

bool gln_ogg_pages_end(const GlnOggPages *pages) {
  return pages->have == 0;
}
