/* A small reader of Standard MIDI Files for the tests: fails the test at the first byte that the format forbids. */
#ifndef GLN_TESTS_MIDI_READER_H
#define GLN_TESTS_MIDI_READER_H

#include "base.h"

#define READ_EVENTS_MAX 20000

typedef struct ReadEvent {
  int track;
  int64_t tick;
  uint8_t status;  /* 0xFF: meta */
  uint8_t data[2]; /* of a meta event the first is its type */
  GlnText bytes;   /* of a meta event */
} ReadEvent;

typedef struct ReadFile {
  int format, tracks, division;
  ReadEvent events[READ_EVENTS_MAX];
  size_t count;
} ReadFile;

typedef struct ReadCursor {
  GlnText bytes;
  size_t at;
} ReadCursor;

static inline uint32_t read_number(ReadCursor *cursor, int bytes) {
  uint32_t value = 0;
  for (int i = 0; i < bytes; i++) {
    assert_true(cursor->at < cursor->bytes.length);
    value = value << 8 | (uint8_t)cursor->bytes.at[cursor->at++];
  }
  return value;
}

static inline uint32_t read_quantity(ReadCursor *cursor) {
  uint32_t value = 0;
  for (int i = 0; i < 4; i++) {
    uint32_t byte = read_number(cursor, 1);
    assert_false(i == 0 && byte == 0x80); /* never longer than it must be */
    value = value << 7 | (byte & 0x7F);
    if (byte < 0x80)
      return value;
  }
  fail_msg("%s", "a quantity of more than four bytes");
  return 0;
}

static inline void read_event(ReadCursor *cursor, ReadEvent *event) {
  event->status = (uint8_t)read_number(cursor, 1);
  if (event->status == 0xFF) {
    event->data[0] = (uint8_t)read_number(cursor, 1);
    uint32_t length = read_quantity(cursor);
    assert_true(length <= cursor->bytes.length - cursor->at);
    event->bytes = gln_text_slice(cursor->bytes, cursor->at, length);
    cursor->at += length;
    return;
  }
  assert_in_range(event->status, 0x80, 0xEF); /* every event with its own status: no running status */
  int kind = event->status >> 4;
  int data = kind == 0xC || kind == 0xD ? 1 : 2;
  for (int i = 0; i < data; i++) {
    event->data[i] = (uint8_t)read_number(cursor, 1);
    assert_true(event->data[i] < 0x80);
  }
}

static inline void read_midi(GlnText bytes, ReadFile *file) {
  ReadCursor cursor = {bytes, 0};
  file->count = 0;
  assert_true(bytes.length > 14);
  assert_memory_equal(bytes.at, "MThd", 4);
  cursor.at = 4;
  assert_int_equal(read_number(&cursor, 4), 6);
  file->format = (int)read_number(&cursor, 2);
  file->tracks = (int)read_number(&cursor, 2);
  file->division = (int)read_number(&cursor, 2);
  for (int track = 0; track < file->tracks; track++) {
    assert_true(bytes.length - cursor.at >= 8);
    assert_memory_equal(bytes.at + cursor.at, "MTrk", 4);
    cursor.at += 4;
    size_t length = read_number(&cursor, 4), end = cursor.at + length;
    assert_true(end <= bytes.length);
    int64_t tick = 0;
    bool ended = false;
    while (cursor.at < end) {
      assert_false(ended);
      assert_true(file->count < READ_EVENTS_MAX);
      ReadEvent *event = &file->events[file->count++];
      *event = (ReadEvent){.track = track};
      tick += read_quantity(&cursor);
      event->tick = tick;
      read_event(&cursor, event);
      ended = event->status == 0xFF && event->data[0] == 0x2F;
    }
    assert_true(ended);
    assert_int_equal(cursor.at, end);
  }
  assert_int_equal(cursor.at, bytes.length);
}

#endif
