/* Compressed MusicXML: what is written reads back, and what tricks or breaks is refused. Invented scores. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "musicxml_test.h"

#include <stdlib.h>

#define SMALL           "<score-partwise><part><measure>" CHORD("C", "major") "</measure></part></score-partwise>"
#define CONTAINER(path) "<container><rootfiles><rootfile full-path=\"" path "\"/></rootfiles></container>"

/* ---- zip files, byte by byte: PKWARE's APPNOTE 6.3 ------------------------------------------------------------------------- */

typedef struct Entry {
  const char *name;
  GlnText content;
  size_t blanks;    /* not 0: so many of them, packed, in place of content */
  uint32_t claimed; /* unpacked length that is said; 0: the true one */
} Entry;

static void add(GlnBuffer *out, uint32_t value, int bytes) {
  for (int i = 0; i < bytes; i++)
    gln_buffer_add_byte(out, (char)(value >> (8 * i) & 0xFF));
}

/* RFC 1951 by hand: so many blanks as one literal and matches of 258 letters one back, in one block of fixed codes. */
typedef struct Bits {
  GlnBuffer *out;
  unsigned held, count;
} Bits;

static void add_bits(Bits *bits, unsigned value, unsigned count) {
  bits->held |= value << bits->count;
  for (bits->count += count; bits->count >= 8; bits->count -= 8) {
    gln_buffer_add_byte(bits->out, (char)(bits->held & 0xFF));
    bits->held >>= 8;
  }
}

/* Huffman codes go highest bit first. */
static void add_code(Bits *bits, unsigned code, unsigned count) {
  while (count-- > 0)
    add_bits(bits, code >> count & 1, 1);
}

static GlnText deflated_blanks(size_t count, GlnArena *arena) {
  GlnBuffer out = gln_buffer(arena);
  Bits bits = {.out = &out};
  add_bits(&bits, 1 | 1 << 1, 3); /* the last block, fixed codes */
  add_code(&bits, 0x30 + ' ', 8); /* literals 0 to 143 */
  for (size_t left = count - 1; left > 0; left -= 258) {
    assert_true(left >= 258);
    add_code(&bits, 0xC0 + 285 - 280, 8); /* a match of 258 */
    add_code(&bits, 0, 5);                /* one back */
  }
  add_code(&bits, 0, 7); /* the end */
  add_bits(&bits, 0, 7);
  return gln_buffer_text(&out);
}

/* ISO 3309's, as zip files have it. */
static uint32_t crc_of(GlnText text) {
  uint32_t crc = 0xFFFFFFFF;
  for (size_t i = 0; i < text.length; i++) {
    crc ^= (unsigned char)text.at[i];
    for (int bit = 0; bit < 8; bit++)
      crc = crc >> 1 ^ (crc & 1 ? 0xEDB88320 : 0);
  }
  return ~crc;
}

static void add_header(GlnBuffer *out, const Entry *entry, GlnText packed, bool central, uint32_t at) {
  add(out, central ? 0x02014b50 : 0x04034b50, 4);
  if (central)
    add(out, 20, 2);
  add(out, 20, 2);
  add(out, 0, 2);
  add(out, entry->blanks > 0 ? 8 : 0, 2);
  add(out, 0x00210000, 4);
  add(out, entry->blanks > 0 ? 0 : crc_of(entry->content), 4);
  add(out, (uint32_t)packed.length, 4);
  add(out,
      entry->claimed != 0 ? entry->claimed
      : entry->blanks > 0 ? (uint32_t)entry->blanks
                          : (uint32_t)entry->content.length,
      4);
  add(out, (uint32_t)strlen(entry->name), 2);
  add(out, 0, 2);
  if (central) {
    add(out, 0, 2);
    add(out, 0, 2);
    add(out, 0, 2);
    add(out, 0, 4);
    add(out, at, 4);
  }
  gln_buffer_add_string(out, entry->name);
}

static GlnText zip_of(const Entry *entries, size_t count, GlnArena *arena) {
  GlnBuffer out = gln_buffer(arena), central = gln_buffer(arena);
  for (size_t i = 0; i < count; i++) {
    GlnText packed = entries[i].blanks > 0 ? deflated_blanks(entries[i].blanks, arena) : entries[i].content;
    add_header(&central, &entries[i], packed, true, (uint32_t)out.length);
    add_header(&out, &entries[i], packed, false, 0);
    gln_buffer_add(&out, packed);
  }
  uint32_t start = (uint32_t)out.length;
  gln_buffer_add(&out, gln_buffer_text(&central));
  add(&out, 0x06054b50, 4);
  add(&out, 0, 4);
  add(&out, (uint32_t)count, 2);
  add(&out, (uint32_t)count, 2);
  add(&out, (uint32_t)central.length, 4);
  add(&out, start, 4);
  add(&out, 0, 2);
  return gln_buffer_text(&out);
}

static Imported import_zip(GlnText bytes) {
  Imported imported = {.arena = gln_arena_new(NULL, 0)};
  assert_non_null(imported.arena);
  imported.diags = gln_diags(imported.arena);
  const GlnMusicXmlWish wish = {.melody = false};
  imported.status = gln_mxl_read(bytes, &wish, imported.arena, &imported.diags, &imported.import);
  return imported;
}

static void assert_zip(const char *container, const Entry *score, GlnStatus status, const char *words) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  const Entry entries[] = {{"META-INF/container.xml", gln_text(container), 0, 0}, *score};
  Imported imported = import_zip(zip_of(entries, 2, arena));
  assert_int_equal(imported.status, status);
  if (status == GLN_OK)
    assert_string_equal(bars_of(&imported), words);
  else
    assert_true(says(&imported, GLN_ERROR, words));
  drop(&imported);
  gln_arena_free(arena);
}

/* ---- the checks ----------------------------------------------------------------------------------------------------------------- */

static void test_reads(void **state) {
  (void)state;
  const Entry score = {"a/score.xml", GLN_TEXT(SMALL), 0, 0};
  assert_zip(CONTAINER("a/score.xml"), &score, GLN_OK, "| C |\n");
  /* Other files that the container names are passed over. */
  assert_zip("<container><rootfiles><rootfile full-path=\"x.pdf\" media-type=\"application/pdf\"/>"
             "<rootfile full-path=\"a/score.xml\" "
             "media-type=\"application/vnd.recordare.musicxml+xml\"/></rootfiles>"
             "</container>",
             &score, GLN_OK, "| C |\n");
}

static void test_paths(void **state) {
  (void)state;
  const Entry score = {"score.xml", GLN_TEXT(SMALL), 0, 0};
  static const char *const outside[] = {
      CONTAINER("/etc/hostname"),
      CONTAINER("../score.xml"),
      CONTAINER("a/../../score.xml"),
      CONTAINER("a/.."),
      CONTAINER("c:score.xml"),
      CONTAINER("a\\score.xml"),
      CONTAINER(""),
      CONTAINER("file:///etc/hostname"),
  };
  for (size_t i = 0; i < GLN_COUNT_OF(outside); i++)
    assert_zip(outside[i], &score, GLN_INPUT, "said to lie outside it");
  assert_zip(CONTAINER("other.xml"), &score, GLN_INPUT, "has no other.xml in it");
  assert_zip(CONTAINER("SCORE.XML"), &score, GLN_INPUT, "has no SCORE.XML in it");
  assert_zip("<container/>", &score, GLN_INPUT, "names no score");
  assert_zip("<container", &score, GLN_INPUT, "META-INF/container.xml in this .mxl file cannot be read");
  assert_zip("<!DOCTYPE a [<!ENTITY b \"c\">]><container/>", &score, GLN_INPUT, "declares entities");
  GlnArena *arena = gln_arena_new(NULL, 0);
  Imported bare = import_zip(zip_of(&score, 1, arena));
  assert_int_equal(bare.status, GLN_INPUT);
  assert_true(says(&bare, GLN_ERROR, "has no META-INF/container.xml in it"));
  drop(&bare);
  gln_arena_free(arena);
}

/* 64 MiB of blanks in 64 KiB, whatever the file claims: read up to the limit and no further. */
static void test_bombs(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  const size_t blanks = (size_t)258 * 260000 + 1; /* 64 MiB */
  const uint32_t claims[] = {0, 100, 0xFFFFFFFE};
  for (size_t i = 0; i < GLN_COUNT_OF(claims); i++) {
    const Entry entries[] = {{"META-INF/container.xml", GLN_TEXT(CONTAINER("s.xml")), 0, 0},
                             {"s.xml", {NULL, 0}, blanks, claims[i]}};
    Imported imported = import_zip(zip_of(entries, 2, arena));
    assert_true(imported.status == GLN_LIMIT || imported.status == GLN_INPUT);
    assert_true(says(&imported, GLN_ERROR, "limit of 33554432 bytes") ||
                says(&imported, GLN_ERROR, "damaged") || says(&imported, GLN_ERROR, "not well-formed"));
    assert_true(gln_arena_used(imported.arena) < 4 * GLN_MUSICXML_BYTES_MAX);
    drop(&imported);
  }
  const Entry big[] = {{"META-INF/container.xml", {NULL, 0}, 258 * 400 + 1, 0}};
  Imported imported = import_zip(zip_of(big, 1, arena));
  assert_int_equal(imported.status, GLN_LIMIT);
  assert_true(says(&imported, GLN_ERROR, "limit of 65536 bytes"));
  drop(&imported);
  gln_arena_free(arena);
}

/* A score that claims to be longer than it is, and one that was changed on its way. */
static void test_broken(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  const Entry entries[] = {{"META-INF/container.xml", GLN_TEXT(CONTAINER("s.xml")), 0, 0},
                           {"s.xml", GLN_TEXT(SMALL), 0, 0}};
  GlnText whole = zip_of(entries, 2, arena);
  /* The last four bytes are zeros of the end record, which are not missed. */
  for (size_t length = 0; length < whole.length - 4; length++) {
    Imported cut = import_zip((GlnText){whole.at, length});
    assert_int_equal(cut.status, GLN_INPUT);
    assert_true(cut.diags.error_count == 1);
    drop(&cut);
  }
  char *changed = GLN_NEW(arena, char, whole.length);
  memcpy(changed, whole.at, whole.length);
  size_t at = gln_text_find(whole, GLN_TEXT("<root-step>C"), 0) + 11;
  changed[at] = 'D';
  Imported altered = import_zip((GlnText){changed, whole.length});
  assert_int_equal(altered.status, GLN_INPUT);
  assert_true(says(&altered, GLN_ERROR, "s.xml in this .mxl file is damaged"));
  drop(&altered);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_reads), cmocka_unit_test(test_paths),
                                     cmocka_unit_test(test_bombs), cmocka_unit_test(test_broken)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
