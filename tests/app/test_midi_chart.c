/* MIDI files as charts: whole ones, and what is cut off, wrong or missing in them. The files are those of the fuzzer's corpus. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "app.h"

#include <stdio.h>
#include <string.h>

typedef struct Case {
  const char *file;
  GlnStatus status;
  const char *bars;    /* that the chart has among its lines */
  const char *message; /* that is among the messages; NULL: none but how sure it is */
} Case;

static const Case cases[] = {
    {"format0", GLN_OK, "title: Pier\nkey: C\nmeter: 4/4\ntempo: 120\n\n[A]\n| Cmaj7 | Am7 | Dm7 | G7 |\n",
     NULL},
    {"format1", GLN_OK, "| Cmaj7 | Am7 | Dm7 | G7 |",
     "left out, as a chart has no place for them: 1 note of percussion"},
    {"meters", GLN_OK, "meter: 3/4\ntempo: 120\n\n[song]\n| / / G7 | C | Am7 | Dm7 |\n| 6/8: C |\n", NULL},
    {"riff", GLN_OK, "| Cmaj7 | Am7 | Dm7 | G7 |", NULL},
    {"sysex", GLN_OK, "| Cmaj7 | Am7 | Dm7 | G7 |", NULL},
    {"smpte", GLN_OK, "| C / G7 / |",
     "the file counts in seconds, not in beats; counted at 120 beats a minute"},
    {"truncated", GLN_OK, "| Cmaj7 | Am7 | Dm7 |",
     "track 1 cannot be read from byte 134 on: an event is cut off"},
    {"wrong_length", GLN_OK, "| Cmaj7 | Am7 | Dm7 | G7 |", "track 1 is said to have 1073741824 bytes"},
    {"stuck", GLN_OK, "| C |", "3 notes would never end"},
    {"division0", GLN_INPUT, "", "the file says that a beat has no length (division 0)"},
};

static bool is_said(const GlnDiags *diags, const char *message) {
  for (size_t i = 0; i < diags->count; i++)
    if (gln_text_find(diags->items[i].problem, gln_text(message), 0) < diags->items[i].problem.length)
      return true;
  return false;
}

static void test_cases(void **state) {
  (void)state;
  for (size_t i = 0; i < GLN_COUNT_OF(cases); i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnDiags diags = gln_diags(arena);
    GlnNamer *namer = NULL;
    GlnText bytes = {NULL, 0};
    GlnFileFault fault;
    GlnImport import;
    char path[200];
    (void)snprintf(path, sizeof path, "tests/fuzz/corpus/midi/%s.mid", cases[i].file);
    assert_int_equal(gln_file_read(path, GLN_MIDI_BYTES_MAX, arena, &bytes, &fault), GLN_OK);
    assert_int_equal(gln_namer_new(arena, &namer), GLN_OK);
    assert_int_equal(gln_midi_read(bytes, namer, arena, &diags, &import), cases[i].status);
    if (cases[i].status == GLN_OK &&
        gln_text_find(import.chart, gln_text(cases[i].bars), 0) == import.chart.length)
      fail_msg("%s: %.*s", cases[i].file, (int)import.chart.length, import.chart.at);
    if (cases[i].message != NULL)
      assert_true(is_said(&diags, cases[i].message));
    else
      assert_int_equal(diags.count, 1);
    gln_arena_free(arena);
  }
}

static GlnStatus read_bytes(const char *bytes, size_t length, const char *message) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnDiags diags = gln_diags(arena);
  GlnImport import;
  GlnNamer *namer = NULL;
  assert_int_equal(gln_namer_new(arena, &namer), GLN_OK);
  GlnStatus status = gln_midi_read((GlnText){bytes, length}, namer, arena, &diags, &import);
  assert_true(is_said(&diags, message));
  gln_arena_free(arena);
  return status;
}

#define READ(bytes, message)             read_bytes((bytes), sizeof(bytes) - 1, (message))
#define HEADER(format, tracks, division) "MThd\0\0\0\6\0" format "\0" tracks division
#define END                              "\0\xFF\x2F\0"

static void test_refused(void **state) {
  (void)state;
  assert_int_equal(READ("MThd", "the file ends inside its header"), GLN_INPUT);
  assert_int_equal(READ("RIFF", "this is no MIDI file"), GLN_INPUT);
  assert_int_equal(READ("MThd\0\0\0\5\0\0\0\1\0\x60", "the header's length is wrong"), GLN_INPUT);
  assert_int_equal(READ("MThd\x7F\xFF\xFF\xFF\0\0\0\1\0\x60", "the header's length is wrong"), GLN_INPUT);
  assert_int_equal(READ(HEADER("\2", "\1", "\0\x60"), "several songs"), GLN_INPUT);
  assert_int_equal(READ(HEADER("\3", "\1", "\0\x60"), "unknown format"), GLN_INPUT);
  assert_int_equal(READ(HEADER("\0", "\1", "\xE0\x28"), "frames of film, of a kind that does not exist"),
                   GLN_INPUT);
  assert_int_equal(READ("MThd\0\0\0\6\0\1\1\1\0\x60", "more than 256 tracks"), GLN_LIMIT);
  assert_int_equal(READ(HEADER("\0", "\1", "\0\x60") "MTrk\0\0\0\4" END, "no note sounds in this file"),
                   GLN_INPUT);
}

/* A note that lasts some twenty hours, in the smallest division there is. */
static void test_endless(void **state) {
  (void)state;
  assert_int_equal(READ(HEADER("\0", "\1", "\0\1") "MTrk\0\0\0\xF"
                                                   "\0\x90\x30\x50\xFF\xFF\xFF\x7F\x80\x30\0" END,
                        "more than 20,000 bars"),
                   GLN_LIMIT);
}

/* Quantities of variable length end after four bytes; a byte of data is below 128; an event has a kind. */
static void test_broken_tracks(void **state) {
  (void)state;
  assert_int_equal(READ(HEADER("\0", "\1", "\0\x60") "MTrk\0\0\0\x8\xFF\xFF\xFF\xFF\x7F\x90\x30\x50",
                        "a time is cut off or longer than four bytes"),
                   GLN_INPUT);
  assert_int_equal(READ(HEADER("\0", "\1", "\0\x60") "MTrk\0\0\0\4\0\x90\x30\xB0", "a value above 127"),
                   GLN_INPUT);
  assert_int_equal(READ(HEADER("\0", "\1", "\0\x60") "MTrk\0\0\0\3\0\x30\x50", "an event without a kind"),
                   GLN_INPUT);
  assert_int_equal(
      READ(HEADER("\0", "\1", "\0\x60") "MTrk\0\0\0\4\0\xFF\x03\x7F", "an event is longer than its track"),
      GLN_INPUT);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_cases), cmocka_unit_test(test_refused),
                                     cmocka_unit_test(test_endless), cmocka_unit_test(test_broken_tracks)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
