/* Writes a performance as a Standard MIDI File 1.0, format 1. */
#include "interchange.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

/* General MIDI level 1: acoustic guitar (nylon) is program 25 counted from 1; percussion is channel 10. */
#define NYLON_GUITAR    24
#define CLICK_CHANNEL   9
#define QUANTITY_MAX    0x0FFFFFFF /* the largest that the format can write */
#define TRACK_BYTES_MAX ((size_t)0xFFFFFFFF)

/* Events of one track, kept so that a note ends before another begins at the same tick. */
typedef struct Event {
  int64_t tick;
  int8_t order; /* 0 note off, 1 note on */
  uint8_t channel, key, velocity;
  size_t index; /* keeps the order of equals */
} Event;

static void add_number(GlnBuffer *out, uint32_t value, int bytes) {
  for (int i = bytes - 1; i >= 0; i--)
    gln_buffer_add_byte(out, (char)(value >> (8 * i) & 0xFF));
}

/* Seven bits a byte, highest first, the top bit set on all but the last. */
static void add_quantity(GlnBuffer *out, uint32_t value) {
  assert(value <= QUANTITY_MAX);
  for (int shift = 21; shift > 0; shift -= 7)
    if (value >> shift)
      gln_buffer_add_byte(out, (char)((value >> shift & 0x7F) | 0x80));
  gln_buffer_add_byte(out, (char)(value & 0x7F));
}

static void add_meta(GlnBuffer *out, uint32_t delta, uint8_t type, GlnText bytes) {
  add_quantity(out, delta);
  gln_buffer_add_byte(out, (char)0xFF);
  gln_buffer_add_byte(out, (char)type);
  GlnText kept = gln_text_slice(bytes, 0, QUANTITY_MAX);
  add_quantity(out, (uint32_t)kept.length);
  gln_buffer_add(out, kept);
}

enum {
  META_TEXT = 1,
  META_TRACK_NAME = 3,
  META_MARKER = 6,
  META_END = 0x2F,
  META_TEMPO = 0x51,
  META_METER = 0x58,
  META_KEY = 0x59
};

/* Halves away from zero; times are never negative. */
static int64_t ticks(GlnRatio quarters) {
  GlnRatio exact = gln_ratio_multiply(quarters, gln_ratio(GLN_MIDI_DIVISION, 1));
  return (2 * exact.num + exact.den) / (2 * exact.den);
}

/* Ticks from now to then, none when it is past. */
static GlnStatus ticks_between(int64_t now, int64_t then, uint32_t *delta) {
  *delta = 0;
  if (then - now > QUANTITY_MAX)
    return GLN_LIMIT;
  if (then > now)
    *delta = (uint32_t)(then - now);
  return GLN_OK;
}

static GlnStatus add_chunk(GlnBuffer *out, const GlnBuffer *track) {
  GLN_TRY(gln_buffer_status(track));
  if (track->length > TRACK_BYTES_MAX)
    return GLN_LIMIT;
  gln_buffer_add_string(out, "MTrk");
  add_number(out, (uint32_t)track->length, 4);
  gln_buffer_add(out, gln_buffer_text(track));
  return gln_buffer_status(out);
}

/* ---- the first track: tempo, meters, key, marks ------------------------------------------------------ */

static void add_meter(GlnBuffer *track, uint32_t delta, const GlnMeterStart *meter) {
  uint8_t power = 0;
  while ((1 << power) < meter->unit)
    power++;
  /* MIDI clocks (24 a quarter) in one beat as it is felt: three units in 6/8, 9/8, 12/8. */
  bool compound = meter->unit >= 8 && meter->beats > 3 && meter->beats % 3 == 0;
  int clocks = 24 * 4 / meter->unit * (compound ? 3 : 1);
  const char bytes[4] = {(char)meter->beats, (char)power, (char)(clocks > 0 ? clocks : 1), 8};
  add_meta(track, delta, META_METER, (GlnText){bytes, 4});
}

/* Keys past seven sharps or flats are written as the same key on the other side. */
static void add_key(GlnBuffer *track, GlnKey key) {
  int fifths = gln_key_fifths(key);
  while (fifths > 7)
    fifths -= 12;
  while (fifths < -7)
    fifths += 12;
  const char bytes[2] = {(char)fifths, key.minor};
  add_meta(track, 0, META_KEY, (GlnText){bytes, 2});
}

/* Microseconds a quarter note. */
static void add_tempo(GlnBuffer *track, uint32_t delta, double tempo) {
  uint32_t length = (uint32_t)lround(60e6 / tempo);
  const char bytes[3] = {(char)(length >> 16 & 0xFF), (char)(length >> 8 & 0xFF), (char)(length & 0xFF)};
  add_meta(track, delta, META_TEMPO, (GlnText){bytes, 3});
}

/* A walk through what happens along the map, by time; at one time meters come first, then tempi, then marks. */
typedef enum MapEvent { MAP_METER, MAP_TEMPO, MAP_MARK } MapEvent;

typedef struct Map {
  const GlnPerformance *performance;
  const GlnMidiOptions *options;
  size_t meter, tempo, mark;
} Map;

static bool map_is_done(const Map *map) {
  return map->meter == map->performance->meter_count && map->tempo == map->performance->tempo_count &&
         map->mark == map->options->mark_count;
}

static MapEvent next_of_map(const Map *map, int64_t *tick) {
  const GlnPerformance *performance = map->performance;
  MapEvent next = MAP_METER;
  *tick = INT64_MAX;
  if (map->meter < performance->meter_count)
    *tick = ticks(performance->meters[map->meter].start);
  if (map->tempo < performance->tempo_count && ticks(performance->tempos[map->tempo].start) < *tick) {
    *tick = ticks(performance->tempos[map->tempo].start);
    next = MAP_TEMPO;
  }
  if (map->mark < map->options->mark_count) {
    int64_t mark = ticks(gln_ratio_add(performance->lead_in, map->options->marks[map->mark].start));
    if (mark < *tick) {
      *tick = mark;
      next = MAP_MARK;
    }
  }
  return next;
}

static GlnStatus write_map(const GlnPerformance *performance, const GlnMidiOptions *options, GlnBuffer *out) {
  GlnBuffer track = gln_buffer(out->arena);
  if (options->title.length)
    add_meta(&track, 0, META_TRACK_NAME, options->title);
  if (options->by.length)
    add_meta(&track, 0, META_TEXT, options->by);
  add_tempo(&track, 0, performance->tempo);
  if (options->has_key)
    add_key(&track, options->key);
  int64_t now = 0;
  for (Map at = {performance, options, 0, 0, 0}; !map_is_done(&at);) {
    int64_t tick = 0;
    MapEvent next = next_of_map(&at, &tick);
    uint32_t delta;
    GLN_TRY(ticks_between(now, tick, &delta));
    now += delta;
    switch (next) {
    case MAP_METER:
      add_meter(&track, delta, &performance->meters[at.meter++]);
      break;
    case MAP_TEMPO:
      add_tempo(&track, delta, performance->tempos[at.tempo++].tempo);
      break;
    case MAP_MARK:
      add_meta(&track, delta, META_MARKER, options->marks[at.mark++].text);
      break;
    }
  }
  uint32_t rest;
  GLN_TRY(ticks_between(now, ticks(performance->quarters), &rest));
  add_meta(&track, rest, META_END, (GlnText){0});
  return add_chunk(out, &track);
}

/* ---- the players' tracks ----------------------------------------------------------------------------- */

static int compare_events(const void *left, const void *right) {
  const Event *a = left, *b = right;
  if (a->tick != b->tick)
    return a->tick < b->tick ? -1 : 1;
  if (a->order != b->order)
    return a->order - b->order;
  return a->index < b->index ? -1 : a->index > b->index;
}

static uint8_t channel_of(const GlnPerformance *performance, const GlnSounding *note) {
  if (note->string < 0)
    return CLICK_CHANNEL;
  assert(note->string < performance->string_count && performance->string_count <= CLICK_CHANNEL);
  return (uint8_t)(performance->string_count - 1 - note->string);
}

/* The events of one player. Readers merge the tracks in their order, so where another player takes a string
 * over at the very tick its note ends, that note ends one tick before. */
static size_t gather(const GlnPerformance *performance, GlnPlayer player, Event *events) {
  int64_t next_start[GLN_STRINGS_MAX];
  GlnPlayer next_player[GLN_STRINGS_MAX];
  for (size_t i = 0; i < GLN_STRINGS_MAX; i++) {
    next_start[i] = INT64_MAX;
    next_player[i] = player;
  }
  size_t count = 0;
  for (size_t i = performance->count; i-- > 0;) {
    const GlnSounding *note = &performance->notes[i];
    int64_t start = ticks(note->start), end = ticks(gln_ratio_add(note->start, note->quarters));
    if (note->string >= 0) {
      if (next_start[note->string] <= end && next_player[note->string] != note->player)
        end = next_start[note->string] - 1;
      next_start[note->string] = start;
      next_player[note->string] = note->player;
    }
    if (note->player != player || end <= start)
      continue;
    uint8_t channel = channel_of(performance, note);
    events[count++] = (Event){start, 1, channel, (uint8_t)note->midi, (uint8_t)note->force, i};
    events[count++] = (Event){end, 0, channel, (uint8_t)note->midi, 64, i};
  }
  qsort(events, count, sizeof *events, compare_events);
  return count;
}

static GlnStatus write_player(const GlnPerformance *performance, GlnPlayer player, const Event *events,
                              size_t count, GlnBuffer *out) {
  GlnBuffer track = gln_buffer(out->arena);
  add_meta(&track, 0, META_TRACK_NAME, gln_text(gln_player_words(player)));
  uint32_t channels = 0;
  for (size_t i = 0; i < count; i++)
    channels |= 1U << events[i].channel;
  for (uint32_t channel = 0; channel < CLICK_CHANNEL; channel++)
    if (channels >> channel & 1) {
      add_quantity(&track, 0);
      gln_buffer_add_byte(&track, (char)(0xC0 | channel));
      gln_buffer_add_byte(&track, NYLON_GUITAR);
    }
  int64_t now = 0;
  for (size_t i = 0; i < count; i++) {
    const Event *event = &events[i];
    uint32_t delta;
    GLN_TRY(ticks_between(now, event->tick, &delta));
    add_quantity(&track, delta);
    gln_buffer_add_byte(&track, (char)((event->order ? 0x90 : 0x80) | event->channel));
    gln_buffer_add_byte(&track, (char)event->key);
    gln_buffer_add_byte(&track, (char)event->velocity);
    now = event->tick;
  }
  uint32_t rest;
  GLN_TRY(ticks_between(now, ticks(performance->quarters), &rest));
  add_meta(&track, rest, META_END, (GlnText){0});
  return add_chunk(out, &track);
}

static bool plays(const GlnPerformance *performance, GlnPlayer player) {
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].player == player)
      return true;
  return false;
}

GlnStatus gln_midi_write(const GlnPerformance *performance, const GlnMidiOptions *options, GlnBuffer *out) {
  if (!(performance->tempo >= GLN_TEMPO_MIN && performance->tempo <= GLN_TEMPO_MAX))
    return GLN_LIMIT;
  for (size_t i = 0; i < performance->tempo_count; i++)
    if (!(performance->tempos[i].tempo >= GLN_TEMPO_MIN && performance->tempos[i].tempo <= GLN_TEMPO_MAX))
      return GLN_LIMIT;
  uint32_t tracks = 1;
  for (int player = 0; player < GLN_PLAYER_COUNT; player++)
    tracks += plays(performance, (GlnPlayer)player);
  Event *events = GLN_NEW(out->arena, Event, 2 * performance->count);
  if (!events)
    return GLN_MEMORY;
  gln_buffer_add_string(out, "MThd");
  add_number(out, 6, 4);
  add_number(out, 1, 2);
  add_number(out, tracks, 2);
  add_number(out, GLN_MIDI_DIVISION, 2);
  GLN_TRY(write_map(performance, options, out));
  for (int player = 0; player < GLN_PLAYER_COUNT; player++)
    if (plays(performance, (GlnPlayer)player)) {
      size_t count = gather(performance, (GlnPlayer)player, events);
      GLN_TRY(write_player(performance, (GlnPlayer)player, events, count, out));
    }
  return gln_buffer_status(out);
}
