/* Performances and files in memory for the tests of the audio room. */
#ifndef GLN_TESTS_AUDIO_HELP_H
#define GLN_TESTS_AUDIO_HELP_H

#include "audio.h"

#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- a file in memory, to write and to read ------------------------------------------------------------- */

typedef struct Memory {
  unsigned char *bytes;
  size_t length, place, capacity;
  size_t limit; /* writing past it fails, like a full disk; 0: none */
} Memory;

static inline bool memory_write(void *data, const void *bytes, size_t count) {
  Memory *memory = data;
  if (memory->limit && memory->place + count > memory->limit)
    return false;
  if (memory->place + count > memory->capacity) {
    memory->capacity = 2 * (memory->place + count);
    memory->bytes = realloc(memory->bytes, memory->capacity);
    assert_non_null(memory->bytes);
  }
  memcpy(memory->bytes + memory->place, bytes, count);
  memory->place += count;
  memory->length = memory->place > memory->length ? memory->place : memory->length;
  return true;
}

static inline bool memory_seek(void *data, int64_t place) {
  ((Memory *)data)->place = (size_t)place;
  return true;
}

static inline sf_count_t memory_length(void *data) {
  return (sf_count_t)((Memory *)data)->length;
}

static inline sf_count_t memory_tell(void *data) {
  return (sf_count_t)((Memory *)data)->place;
}

static inline sf_count_t memory_move(sf_count_t offset, int whence, void *data) {
  Memory *memory = data;
  sf_count_t from = whence == SEEK_CUR   ? (sf_count_t)memory->place
                    : whence == SEEK_END ? (sf_count_t)memory->length
                                         : 0;
  memory->place = (size_t)(from + offset);
  return from + offset;
}

static inline sf_count_t memory_read(void *bytes, sf_count_t count, void *data) {
  Memory *memory = data;
  size_t left = memory->place < memory->length ? memory->length - memory->place : 0;
  size_t taken = left < (size_t)count ? left : (size_t)count;
  memcpy(bytes, memory->bytes + memory->place, taken);
  memory->place += taken;
  return (sf_count_t)taken;
}

/* ---- decoded --------------------------------------------------------------------------------------------- */

typedef struct Decoded {
  float *samples; /* left and right in turn */
  size_t frames;
  int rate;
  char title[200], by[200];
} Decoded;

static inline void keep_tag(SNDFILE *file, int tag, char *out, size_t size) {
  const char *text = sf_get_string(file, tag);
  (void)snprintf(out, size, "%s", text ? text : "");
}

static inline Decoded decode(Memory *memory) {
  static SF_VIRTUAL_IO through = {memory_length, memory_move, memory_read, NULL, memory_tell};
  SF_INFO info = {0};
  memory->place = 0;
  SNDFILE *file = sf_open_virtual(&through, SFM_READ, &info, memory);
  if (!file)
    fail_msg("%s", sf_strerror(NULL));
  assert_int_equal(info.channels, 2);
  Decoded decoded = {.rate = info.samplerate};
  decoded.samples = calloc((size_t)info.frames * 2 + 2, sizeof(float));
  assert_non_null(decoded.samples);
  decoded.frames = (size_t)sf_readf_float(file, decoded.samples, info.frames);
  keep_tag(file, SF_STR_TITLE, decoded.title, sizeof decoded.title);
  keep_tag(file, SF_STR_ARTIST, decoded.by, sizeof decoded.by);
  assert_int_equal(sf_close(file), 0);
  return decoded;
}

static inline double peak_of(const Decoded *decoded) {
  double peak = 0;
  for (size_t i = 0; i < 2 * decoded->frames; i++)
    peak = fmax(peak, fabs((double)decoded->samples[i]));
  return peak;
}

/* ---- performances ------------------------------------------------------------------------------------------ */

#define NOTES_MAX 512

typedef struct Made {
  GlnArena *arena;
  GlnSounding notes[NOTES_MAX];
  GlnPerformance performance; /* 60 quarter notes a minute: quarters are seconds */
} Made;

static inline int made_setup(void **state) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  Made *made = GLN_NEW(arena, Made, 1);
  assert_non_null(made);
  made->arena = arena;
  made->performance = (GlnPerformance){
      .notes = made->notes, .tempo = 60, .lead_in = {0, 1}, .quarters = {0, 1}, .string_count = 6};
  *state = made;
  return 0;
}

static inline int made_teardown(void **state) {
  gln_arena_free(((Made *)*state)->arena);
  return 0;
}

/* Times in milliseconds. */
static inline void made_note(Made *made, int string, int midi, int start, int length, int force) {
  GlnPerformance *performance = &made->performance;
  assert_true(performance->count < NOTES_MAX);
  made->notes[performance->count++] =
      (GlnSounding){.start = gln_ratio(start, 1000),
                    .quarters = gln_ratio(length, 1000),
                    .string = (int8_t)string,
                    .midi = (int8_t)midi,
                    .force = (int8_t)force,
                    .player = string < 0 ? GLN_PLAYER_CLICK : GLN_PLAYER_FINGERS};
  GlnRatio end = gln_ratio(start + length, 1000);
  if (gln_ratio_compare(end, performance->quarters) > 0)
    performance->quarters = end;
}

/* The performance as a file in memory; skips the test, and says so, where no soundfont is installed. */
static inline GlnStatus render(Made *made, const GlnPerformance *performance, GlnAudioFormat format,
                               Memory *memory, GlnAudioReport *report) {
  GlnDiags diags = gln_diags(made->arena);
  const GlnAudioOptions options = {.title = GLN_TEXT("Ebb and Flow ♭"), .by = GLN_TEXT("Nobody")};
  const GlnAudioSink sink = {memory, memory_write, memory_seek};
  GlnStatus status = gln_audio.write(performance, format, &options, &sink, made->arena, &diags, report);
  if (status == GLN_NO) {
    print_message("skipped: no soundfont is installed; tools/install-deps installs one\n");
    skip();
  }
  return status;
}

static inline Decoded render_decoded(Made *made, const GlnPerformance *performance, GlnAudioFormat format) {
  Memory memory = {0};
  GlnAudioReport report;
  assert_int_equal(render(made, performance, format, &memory, &report), GLN_OK);
  Decoded decoded = decode(&memory);
  free(memory.bytes);
  return decoded;
}

#endif
