/* play: passages, rounds, one change, ladders, who is heard, as a user calls it; read back from the MIDI file. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../interchange/midi_reader.h"
#include "run_app.h"

#include <math.h>
#include <stdio.h>
#include <unistd.h>

static const char chart[] =
    "tempo: 100\n[A]\n| C@x32010 | Am@x02210 | F@133211 | G7@320001 / Em@022000 / |\n";

typedef struct Play {
  GlnArena *arena;
  char folder[64], path[128];
  ReadFile file;
} Play;

static int setup(void **state) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  Play *play = GLN_NEW(arena, Play, 1);
  assert_non_null(play);
  play->arena = arena;
  (void)snprintf(play->folder, sizeof play->folder, "/tmp/gripline-play-XXXXXX");
  assert_non_null(mkdtemp(play->folder));
  (void)snprintf(play->path, sizeof play->path, "%s/song.mid", play->folder);
  *state = play;
  return 0;
}

static int teardown(void **state) {
  Play *play = *state;
  (void)remove(play->path); /* not every test has made it */
  int gone = rmdir(play->folder);
  gln_arena_free(play->arena);
  return gone;
}

static void read_back(Play *play) {
  GlnText bytes;
  GlnFileFault fault = {{0}, {0}};
  assert_int_equal(gln_file_read(play->path, 1 << 20, play->arena, &bytes, &fault), GLN_OK);
  read_midi(bytes, &play->file);
}

#define PLAY(play, ...)                                                                                      \
  do {                                                                                                       \
    Ran ran = RUN(80, false, chart, "gripline", "play", "-", "--even", "-o", (play)->path, __VA_ARGS__);     \
    assert_string_equal(ran.err, "");                                                                        \
    assert_int_equal(ran.status, 0);                                                                         \
    drop(&ran);                                                                                              \
    read_back(play);                                                                                         \
  } while (0)

/* Length in quarter notes: where every track ends. */
static void assert_quarters(const Play *play, int quarters) {
  for (size_t i = 0; i < play->file.count; i++) {
    const ReadEvent *event = &play->file.events[i];
    if (event->status == 0xFF && event->data[0] == 0x2F)
      assert_int_equal(event->tick, (int64_t)quarters * play->file.division);
  }
}

/* Where the tempo is set, and to what: meta event 0x51, microseconds a quarter note. */
static void assert_tempi(const Play *play, const int *tempi, size_t count, int every_quarters) {
  size_t found = 0;
  for (size_t i = 0; i < play->file.count; i++) {
    const ReadEvent *event = &play->file.events[i];
    if (event->status != 0xFF || event->data[0] != 0x51)
      continue;
    ReadCursor cursor = {event->bytes, 0};
    assert_true(found < count);
    assert_int_equal(lround(60e6 / (double)read_number(&cursor, 3)), tempi[found]);
    assert_int_equal(event->tick, (int64_t)found * every_quarters * play->file.division);
    found++;
  }
  assert_int_equal(found, count);
}

static bool begins(const ReadEvent *event) {
  return event->status >> 4 == 9 && event->data[1] > 0;
}

static bool of_guitar(const ReadEvent *event) {
  return begins(event) && (event->status & 15) != 9;
}

/* Notes of the guitar, or of channel 10, from one quarter note to before another. */
static size_t count_notes(const Play *play, bool guitar, int from, int to) {
  size_t count = 0;
  for (size_t i = 0; i < play->file.count; i++) {
    const ReadEvent *event = &play->file.events[i];
    count += begins(event) && of_guitar(event) == guitar &&
             event->tick >= (int64_t)from * play->file.division &&
             event->tick < (int64_t)to * play->file.division;
  }
  return count;
}

/* The lowest key that begins within a quarter note. */
static int lowest(const Play *play, int quarter) {
  int key = 128;
  for (size_t i = 0; i < play->file.count; i++) {
    const ReadEvent *event = &play->file.events[i];
    if (of_guitar(event) && event->tick >= (int64_t)quarter * play->file.division &&
        event->tick < (int64_t)(quarter + 1) * play->file.division && event->data[0] < key)
      key = event->data[0];
  }
  return key;
}

enum { C3 = 48, A2 = 45, F2 = 41, G2 = 43, E2 = 40 };

static void test_a_ladder_rises(void **state) {
  Play *play = *state;
  const int rising[] = {60, 66, 72, 78, 84, 90, 96, 102, 108, 114, 120, 126};
  PLAY(play, "--ladder", "60-126/6");
  assert_quarters(play, 12 * 16);
  assert_tempi(play, rising, GLN_COUNT_OF(rising), 16);
  for (int rung = 0; rung < 12; rung++)
    assert_int_equal(lowest(play, 16 * rung), C3);
}

static void test_slow_and_target_in_alternation(void **state) {
  Play *play = *state;
  const int alternating[] = {60, 126, 60, 126};
  PLAY(play, "--ladder", "60,126,60,126", "--from", "2", "--to", "3", "--loop", "2", "--count-in", "1");
  assert_quarters(play, 4 * (4 + 2 * 8));
  assert_tempi(play, alternating, GLN_COUNT_OF(alternating), 20);
  for (int rung = 0; rung < 4; rung++) { /* counted in, then the two bars twice */
    assert_int_equal(count_notes(play, false, 20 * rung, 20 * rung + 4), 4);
    assert_int_equal(count_notes(play, true, 20 * rung, 20 * rung + 4), 0);
    assert_int_equal(count_notes(play, false, 20 * rung + 4, 20 * rung + 20), 0);
    const int basses[] = {A2, F2, A2, F2};
    for (int bar = 0; bar < 4; bar++)
      assert_int_equal(lowest(play, 20 * rung + 4 + 4 * bar), basses[bar]);
  }
}

static void test_one_change_round_and_round(void **state) {
  Play *play = *state;
  PLAY(play, "--change", "3");
  assert_quarters(play, 8 * 8);
  for (int round = 0; round < 8; round++) {
    assert_int_equal(lowest(play, 8 * round), A2);
    assert_int_equal(lowest(play, 8 * round + 4), F2);
  }
  PLAY(play, "--change", "4.3", "--loop", "3"); /* two beats of each */
  assert_quarters(play, 3 * 4);
  for (int round = 0; round < 3; round++) {
    assert_int_equal(lowest(play, 4 * round), G2);
    assert_int_equal(lowest(play, 4 * round + 2), E2);
  }
}

static void test_who_is_heard(void **state) {
  Play *play = *state;
  PLAY(play, "--feel", "straight");
  size_t both = count_notes(play, true, 0, 16);
  assert_int_equal(count_notes(play, false, 0, 16), 0);
  PLAY(play, "--feel", "straight", "--only", "thumb");
  size_t thumb = count_notes(play, true, 0, 16);
  assert_int_equal(thumb, 8); /* on one and three */
  PLAY(play, "--feel", "straight", "--only", "fingers");
  assert_int_equal(count_notes(play, true, 0, 16), both - thumb);
  PLAY(play, "--feel", "straight", "--only", "click");
  assert_int_equal(count_notes(play, true, 0, 16), 0);
  assert_int_equal(count_notes(play, false, 0, 16), 16);
  PLAY(play, "--feel", "straight", "--only", "percussion", "--percussion", "kick");
  assert_int_equal(count_notes(play, true, 0, 16), 0);
  assert_int_equal(count_notes(play, false, 0, 16), 8); /* on one and three */
}

static void test_transposed(void **state) {
  Play *play = *state;
  PLAY(play, "--transpose", "-2", "--click");
  assert_int_equal(lowest(play, 0), C3 - 2);
  assert_int_equal(lowest(play, 8), F2 - 2);
  assert_int_equal(count_notes(play, false, 0, 16), 16);
}

static int run_to_sound(const char *path, bool progress, char **said) {
  static const char slow[] = "tempo: 20\n[A]\n| C | C | C | C | C | C |\n"; /* 72 s */
  size_t size = 0;
  char source[sizeof slow];
  memcpy(source, slow, sizeof slow);
  FILE *in = fmemopen(source, sizeof slow - 1, "r"), *err = open_memstream(said, &size);
  assert_true(in != NULL && err != NULL);
  const GlnApp app = {.in = in, .out = stdout, .err = err, .columns = 80, .progress = progress};
  char *const argv[] = {"gripline", "play", "-", "-o", (char *)(uintptr_t)path, NULL};
  int status = gln_app_run(&app, 5, argv);
  (void)fclose(in);
  (void)fclose(err);
  return status;
}

/* Where somebody looks on, a long sound says how far it is; the line is gone at the end. Else nothing is said. */
static void test_progress_is_shown(void **state) {
  Play *play = *state;
  (void)snprintf(play->path, sizeof play->path, "%s/song.wav", play->folder);
  char *said = NULL;
  int status = run_to_sound(play->path, true, &said);
  if (strstr(said, "no soundfont is installed") != NULL) {
    free(said);
    (void)snprintf(play->path, sizeof play->path, "%s/song.mid", play->folder); /* in its place */
    print_message("skipped: no soundfont is installed; tools/install-deps installs one\n");
    skip();
  }
  assert_int_equal(status, 0);
  long last = -1;
  int count = 0;
  for (const char *at = said; (at = strstr(at, "playing to the file: ")) != NULL; count++) {
    at += strlen("playing to the file: ");
    long share = strtol(at, NULL, 10);
    assert_true(share > last || count == 0);
    assert_in_range(share, 0, 100);
    last = share;
  }
  assert_true(count >= 5);
  assert_true(last >= 90);
  assert_int_equal(said[strlen(said) - 1], '\r');
  free(said);
  assert_int_equal(run_to_sound(play->path, false, &said), 0);
  assert_string_equal(said, "");
  free(said);
}

int main(void) {
#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
  const struct CMUnitTest tests[] = {
      TEST(test_a_ladder_rises),
      TEST(test_slow_and_target_in_alternation),
      TEST(test_one_change_round_and_round),
      TEST(test_who_is_heard),
      TEST(test_transposed),
      TEST(test_progress_is_shown),
  };
  return cmocka_run_group_tests_name("app: play", tests, NULL, NULL);
}
