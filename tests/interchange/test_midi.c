#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../sound/performance_help.h"
#include "failing_allocator.h"
#include "interchange.h"
#include "midi_reader.h"

#include <string.h>

static ReadFile file; /* large, and each test fills it anew */

static GlnText write_midi(Song *song, const GlnPerformance *performance, const GlnMidiOptions *options) {
  GlnBuffer out = gln_buffer(song->arena);
  assert_int_equal(gln_midi_write(performance, options, &out), GLN_OK);
  return gln_buffer_text(&out);
}

static void hold_song(Song *song) {
  song_hold(song, "C", "x32010", 4, 1);
  song_hold(song, "F", "133211", 2, 1);
  song_hold(song, "G", "320003", 2, 1);
  song_hold(song, NULL, NULL, 4, 1);
  song_bar(song, 6, 8);
  song_hold(song, "Am", "x02210", 3, 1);
  song_bar(song, 4, 4);
  song_hold(song, "C", "x32010", 4, 1);
}

static const ReadEvent *find_meta(int track, int type, size_t skip) {
  for (size_t i = 0; i < file.count; i++)
    if (file.events[i].track == track && file.events[i].status == 0xFF && file.events[i].data[0] == type &&
        skip-- == 0)
      return &file.events[i];
  return NULL;
}

/* Standard MIDI Files 1.0: tempo 120 is FF 51 03 07 A1 20. */
static void tempo_is_written_in_microseconds(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  GlnText bytes = write_midi(song, song_play(song, ""), &(GlnMidiOptions){0});
  const GlnText tempo = {"\xFF\x51\x03\x07\xA1\x20", 6};
  assert_true(gln_text_find(bytes, tempo, 0) < bytes.length);
  GlnPerformance slow = *song_play(song, "");
  slow.tempo = GLN_TEMPO_MIN;
  read_midi(write_midi(song, &slow, &(GlnMidiOptions){0}), &file);
  assert_memory_equal(find_meta(0, 0x51, 0)->bytes.at, "\x5B\x8D\x80", 3); /* 6 000 000 */
  slow.tempo = 1;
  GlnBuffer out = gln_buffer(song->arena);
  assert_int_equal(gln_midi_write(&slow, &(GlnMidiOptions){0}, &out), GLN_LIMIT);
}

/* Standard MIDI Files 1.0: variable-length quantities. A mark so many ticks after the start shows each. */
static void quantities_are_written_exactly(void **state) {
  Song *song = *state;
  static const struct {
    uint32_t value;
    const char *bytes;
    size_t length;
  } rows[] = {{0x00, "\x00", 1},
              {0x40, "\x40", 1},
              {0x7F, "\x7F", 1},
              {0x80, "\x81\x00", 2},
              {0x2000, "\xC0\x00", 2},
              {0x3FFF, "\xFF\x7F", 2},
              {0x4000, "\x81\x80\x00", 3},
              {0x1FFFFF, "\xFF\xFF\x7F", 3},
              {0x200000, "\x81\x80\x80\x00", 4},
              {0x0FFFFFFF, "\xFF\xFF\xFF\x7F", 4}};
  song_hold(song, "C", "x32010", 4, 1);
  const GlnPerformance *performance = song_play(song, "");
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    GlnMidiMark mark = {gln_ratio(rows[i].value, GLN_MIDI_DIVISION), GLN_TEXT("here")};
    GlnText bytes = write_midi(song, performance, &(GlnMidiOptions){.marks = &mark, .mark_count = 1});
    size_t at = gln_text_find(bytes, GLN_TEXT("\xFF\x06\x04here"), 0);
    assert_true(at < bytes.length && at > rows[i].length);
    assert_memory_equal(bytes.at + at - rows[i].length, rows[i].bytes, rows[i].length);
    assert_true((uint8_t)bytes.at[at - rows[i].length - 1] < 0x80); /* the end of the event before */
    read_midi(bytes, &file);
    assert_int_equal(find_meta(0, 0x06, 0)->tick, rows[i].value);
  }
  GlnMidiMark mark = {gln_ratio(0x10000000, GLN_MIDI_DIVISION), GLN_TEXT("here")};
  GlnBuffer out = gln_buffer(song->arena);
  assert_int_equal(gln_midi_write(performance, &(GlnMidiOptions){.marks = &mark, .mark_count = 1}, &out),
                   GLN_LIMIT);
}

static void the_first_track_tells_of_the_song(void **state) {
  Song *song = *state;
  hold_song(song);
  const GlnMidiMark marks[] = {{{0, 1}, GLN_TEXT("A")}, {{12, 1}, GLN_TEXT("B\xE2\x99\xAD")}};
  GlnKey key;
  assert_int_equal(gln_key_parse(GLN_TEXT("Bb"), &key), GLN_OK);
  GlnMidiOptions options = {.title = GLN_TEXT("F\xC3\xA4hre bei Ebbe"),
                            .by = GLN_TEXT("nobody"),
                            .has_key = true,
                            .key = key,
                            .marks = marks,
                            .mark_count = 2};
  GlnPerformanceOptions how = song_options(song, "straight");
  how.count_in = 1;
  GlnPerformance *performance;
  assert_int_equal(
      gln_performance_make(&how, song->held, song->count, song->arena, &song->diags, &performance), GLN_OK);
  read_midi(write_midi(song, performance, &options), &file);
  assert_int_equal(file.format, 1);
  assert_int_equal(file.division, 960);
  assert_int_equal(file.tracks, 4);
  assert_true(gln_text_equal(find_meta(0, 3, 0)->bytes, options.title));
  assert_true(gln_text_equal(find_meta(0, 1, 0)->bytes, options.by));
  assert_true(gln_text_equal(find_meta(1, 3, 0)->bytes, GLN_TEXT("thumb")));
  assert_true(gln_text_equal(find_meta(2, 3, 0)->bytes, GLN_TEXT("fingers")));
  assert_true(gln_text_equal(find_meta(3, 3, 0)->bytes, GLN_TEXT("click")));
  /* Key: two flats, major. Meter: upper number, power of two, clocks a beat, 32nds a quarter. */
  assert_memory_equal(find_meta(0, 0x59, 0)->bytes.at, "\xFE\x00", 2);
  const struct {
    int64_t tick;
    const char *bytes;
  } meters[] = {{0, "\x04\x02\x18\x08"}, {16 * 960, "\x06\x03\x24\x08"}, {19 * 960, "\x04\x02\x18\x08"}};
  for (size_t i = 0; i < 3; i++) {
    assert_int_equal(find_meta(0, 0x58, i)->tick, meters[i].tick);
    assert_memory_equal(find_meta(0, 0x58, i)->bytes.at, meters[i].bytes, 4);
  }
  assert_null(find_meta(0, 0x58, 3));
  assert_int_equal(find_meta(0, 6, 0)->tick, 4 * 960); /* after the count-in */
  assert_int_equal(find_meta(0, 6, 1)->tick, 16 * 960);
  for (int track = 0; track < 4; track++)
    assert_int_equal(find_meta(track, 0x2F, 0)->tick, 23 * 960);
}

/* Keys have no more than seven signs in the file: G sharp major is written as A flat major. */
static void keys_stay_within_seven_signs(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  static const struct {
    const char *name, *bytes;
  } rows[] = {{"C", "\x00\x00"},  {"C#", "\x07\x00"},  {"Cb", "\xF9\x00"},
              {"G#", "\xFC\x00"}, {"A#m", "\x07\x01"}, {"D#m", "\x06\x01"}};
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++) {
    GlnMidiOptions options = {.has_key = true};
    assert_int_equal(gln_key_parse(gln_text(rows[i].name), &options.key), GLN_OK);
    read_midi(write_midi(song, song_play(song, ""), &options), &file);
    assert_memory_equal(find_meta(0, 0x59, 0)->bytes.at, rows[i].bytes, 2);
  }
}

/* Halves of a tick go up. */
static int64_t nearest_tick(GlnRatio time) {
  return (time.num * 960 * 2 + time.den) / (2 * time.den);
}

/* The note-off that ends the note begun at events[on]. */
static const ReadEvent *find_end(size_t on) {
  for (size_t i = on + 1; i < file.count; i++)
    if (file.events[i].track == file.events[on].track &&
        file.events[i].status == (0x80 | (file.events[on].status & 15)))
      return &file.events[i];
  return NULL;
}

/* Every note of the performance is there once, on its string's channel, begun and ended at its ticks (ended a tick
 * early where the other hand takes the string over). */
static void notes_are_those_of_the_performance(void **state) {
  Song *song = *state;
  hold_song(song);
  GlnPerformance *performance = song_play(song, "samba");
  read_midi(write_midi(song, performance, &(GlnMidiOptions){0}), &file);
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    int track = note->player == GLN_PLAYER_THUMB ? 1 : 2;
    size_t found = 0;
    for (size_t j = 0; j < file.count; j++) {
      const ReadEvent *event = &file.events[j];
      if (event->track != track || event->status != (0x90 | (5 - note->string)) ||
          event->data[0] != note->midi || event->tick != nearest_tick(note->start))
        continue;
      assert_int_equal(event->data[1], note->force);
      const ReadEvent *end = find_end(j);
      assert_non_null(end);
      assert_int_equal(end->data[0], note->midi);
      assert_in_range(nearest_tick(gln_ratio_add(note->start, note->quarters)) - end->tick, 0, 1);
      found++;
    }
    assert_int_equal(found, 1);
  }
  size_t notes = 0;
  for (size_t i = 0; i < file.count; i++)
    notes += file.events[i].status != 0xFF && file.events[i].status >> 4 == 9;
  assert_int_equal(notes, performance->count);
  assert_true(notes > 20);
}

static void take_event(const ReadEvent *event, int sounding[16]) {
  int channel = event->status & 15;
  assert_int_not_equal(channel, 9);
  if (event->status >> 4 == 0xC)
    assert_int_equal(event->data[0], 24);
  if (event->status >> 4 == 9) {
    assert_int_equal(sounding[channel], -1);
    sounding[channel] = event->data[0];
  }
  if (event->status >> 4 == 8) {
    assert_int_equal(sounding[channel], event->data[0]);
    sounding[channel] = -1;
  }
}

/* Reading the tracks in their order at each tick, as players of such files do. */
static void no_channel_has_two_notes(void **state) {
  Song *song = *state;
  hold_song(song);
  static const char *const feels[] = {"bossa",    "samba",      "ballad", "strum",
                                      "arpeggio", "swing four", "bolero"};
  for (size_t f = 0; f < GLN_COUNT_OF(feels); f++) {
    read_midi(write_midi(song, song_play(song, feels[f]), &(GlnMidiOptions){0}), &file);
    int sounding[16];
    memset(sounding, -1, sizeof sounding);
    for (int64_t tick = 0; tick <= find_meta(0, 0x2F, 0)->tick; tick++)
      for (size_t i = 0; i < file.count; i++)
        if (file.events[i].tick == tick && file.events[i].status != 0xFF)
          take_event(&file.events[i], sounding);
    for (int channel = 0; channel < 16; channel++)
      assert_int_equal(sounding[channel], -1);
  }
}

static void nothing_to_play_is_a_file_too(void **state) {
  Song *song = *state;
  read_midi(write_midi(song, song_play(song, ""), &(GlnMidiOptions){0}), &file);
  assert_int_equal(file.tracks, 1);
}

static void the_same_song_gives_the_same_bytes(void **state) {
  Song *song = *state;
  hold_song(song);
  GlnMidiOptions options = {.title = GLN_TEXT("x")};
  GlnText first = write_midi(song, song_play(song, "bossa"), &options);
  GlnText second = write_midi(song, song_play(song, "bossa"), &options);
  assert_true(gln_text_equal(first, second));
}

static GlnStatus write_job(GlnArena *arena, void *context) {
  GlnBuffer out = gln_buffer(arena);
  return gln_midi_write(context, &(GlnMidiOptions){.title = GLN_TEXT("x")}, &out);
}

static void running_out_of_memory_is_said(void **state) {
  Song *song = *state;
  hold_song(song);
  assert_true(failing_allocator_sweep_bytes(write_job, song_play(song, "bossa"), 64, 1 << 22) > 0);
}

int main(void) {
#define TEST(name) cmocka_unit_test_setup_teardown(name, song_setup, song_teardown)
  const struct CMUnitTest tests[] = {
      TEST(tempo_is_written_in_microseconds),   TEST(quantities_are_written_exactly),
      TEST(the_first_track_tells_of_the_song),  TEST(keys_stay_within_seven_signs),
      TEST(notes_are_those_of_the_performance), TEST(no_channel_has_two_notes),
      TEST(nothing_to_play_is_a_file_too),      TEST(the_same_song_gives_the_same_bytes),
      TEST(running_out_of_memory_is_said),
  };
  return cmocka_run_group_tests_name("interchange: MIDI file", tests, NULL, NULL);
}
