/* Reads a Standard MIDI File 1.0 (MIDI Manufacturers Association, 1996), formats 0 and 1. */
#include "midi_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  META_NAME = 3,
  META_MARKER = 6,
  META_END = 0x2F,
  META_TEMPO = 0x51,
  META_METER = 0x58,
  META_KEY = 0x59
};

#define TEXT_MAX    200 /* bytes of a name that are kept: a title, not a novel; design choice */
#define MARKERS_MAX 10000
#define METERS_MAX  100000

typedef struct Reader {
  GlnText bytes;
  size_t at, end; /* of the track that is read */
  size_t track;
  GlnArena *arena;
  GlnDiags *diags;
  GlnMidiFile *file;
  size_t events, note_capacity, meter_capacity, marker_capacity;
  int64_t tick, tempo_tick, key_tick, title_tick;
  bool has_tempo;
  double tempo;
  size_t unended, stray_ends, odd_meta;
  /* Of each channel and pitch, the index of the note that sounds, plus one. */
  uint32_t sounding[16][128];
} Reader;

static GlnStatus refuse(GlnDiags *diags, GlnStatus status, const char *problem, const char *advice) {
  gln_diags_add(diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
  return status;
}

__attribute__((format(printf, 3, 4))) static void warn(const Reader *reader, const char *advice,
                                                       const char *format, ...) {
  GlnBuffer words = gln_buffer(reader->arena);
  va_list arguments;
  va_start(arguments, format);
  gln_buffer_format_list(&words, format, arguments);
  va_end(arguments);
  gln_diags_add(
      reader->diags,
      (GlnDiag){.severity = GLN_WARNING, .problem = gln_buffer_text(&words), .advice = gln_text(advice)});
}

/* An array with room for one more; NULL when memory is out. */
static void *grow(GlnArena *arena, void *items, size_t count, size_t *capacity, size_t size) {
  if (count < *capacity)
    return items;
  size_t more = *capacity == 0 ? 64 : 2 * *capacity;
  void *grown = gln_arena_alloc(arena, more, size);
  if (grown != NULL && count > 0)
    memcpy(grown, items, count * size);
  *capacity = more;
  return grown;
}

/* ---- numbers ------------------------------------------------------------------------------------------------------ */

static uint8_t byte_at(GlnText bytes, size_t at) {
  return (uint8_t)bytes.at[at];
}

static uint32_t number_at(GlnText bytes, size_t at, size_t count) {
  uint32_t value = 0;
  for (size_t i = 0; i < count; i++)
    value = value << 8 | byte_at(bytes, at + i);
  return value;
}

/* A quantity of variable length: at most four bytes, seven bits each. */
static bool read_quantity(Reader *reader, uint32_t *value) {
  *value = 0;
  for (int i = 0; i < 4 && reader->at < reader->end; i++) {
    uint8_t byte = byte_at(reader->bytes, reader->at++);
    *value = *value << 7 | (byte & 0x7FU);
    if (byte < 0x80)
      return true;
  }
  return false;
}

/* ---- notes -------------------------------------------------------------------------------------------------------- */

static void end_note(Reader *reader, uint8_t channel, uint8_t pitch) {
  uint32_t *sounding = &reader->sounding[channel][pitch];
  if (*sounding == 0)
    return;
  GlnMidiNote *note = &reader->file->notes[*sounding - 1];
  note->end = reader->tick > note->start ? reader->tick : note->start + 1;
  *sounding = 0;
}

static GlnStatus begin_note(Reader *reader, uint8_t channel, uint8_t pitch) {
  GlnMidiFile *file = reader->file;
  end_note(reader, channel, pitch); /* struck again while it sounds */
  if (channel == GLN_MIDI_PERCUSSION) {
    file->percussion++;
    return GLN_OK;
  }
  file->notes =
      grow(reader->arena, file->notes, file->note_count, &reader->note_capacity, sizeof *file->notes);
  if (file->notes == NULL)
    return GLN_MEMORY;
  file->notes[file->note_count++] = (GlnMidiNote){.start = reader->tick,
                                                  .end = reader->tick + 1,
                                                  .track = (uint16_t)reader->track,
                                                  .channel = channel,
                                                  .pitch = pitch};
  reader->sounding[channel][pitch] = (uint32_t)file->note_count;
  return GLN_OK;
}

/* Notes that nothing ends sound up to the track's end. */
static void end_all(Reader *reader) {
  for (int channel = 0; channel < 16; channel++)
    for (int pitch = 0; pitch < 128; pitch++)
      if (reader->sounding[channel][pitch] != 0) {
        reader->unended++;
        end_note(reader, (uint8_t)channel, (uint8_t)pitch);
      }
}

/* ---- meta events ---------------------------------------------------------------------------------------------------- */

/* Text that is no UTF-8 is taken for ISO 8859-1, as old files have it; control characters become blanks. */
static GlnText meta_text(const Reader *reader, GlnText bytes) {
  GlnBuffer out = gln_buffer(reader->arena);
  GlnText kept = gln_text_slice(bytes, 0, TEXT_MAX);
  bool is_utf8 = gln_text_bad_utf8(bytes) == bytes.length;
  while (is_utf8 && kept.length > 0 && gln_text_bad_utf8(kept) < kept.length)
    kept.length--; /* cut inside a character */
  for (size_t i = 0; i < kept.length; i++) {
    unsigned char c = (unsigned char)kept.at[i];
    bool no_break = is_utf8 ? c == 0xC2 && i + 1 < kept.length && kept.at[i + 1] == '\xA0' : c == 0xA0;
    if (c < 0x20 || c == 0x7F || no_break || (!is_utf8 && c >= 0x80 && c < 0xA0)) {
      gln_buffer_add_byte(&out, ' ');
      i += no_break && is_utf8;
    } else if (c < 0x80 || is_utf8) {
      gln_buffer_add_byte(&out, (char)c);
    } else {
      gln_buffer_add_byte(&out, (char)(0xC0 | c >> 6));
      gln_buffer_add_byte(&out, (char)(0x80 | (c & 0x3F)));
    }
  }
  return gln_text_trim(gln_buffer_text(&out));
}

static void read_tempo(Reader *reader, GlnText data) {
  uint32_t length = data.length == 3 ? number_at(data, 0, 3) : 0;
  if (length == 0) {
    reader->odd_meta++;
    return;
  }
  if (reader->has_tempo)
    reader->file->tempo_changes++;
  if (!reader->has_tempo || reader->tick < reader->tempo_tick) {
    reader->tempo = 60e6 / (double)length;
    reader->tempo_tick = reader->tick;
  }
  reader->has_tempo = true;
}

static GlnStatus read_meter(Reader *reader, GlnText data) {
  GlnMidiFile *file = reader->file;
  int beats = data.length >= 2 ? byte_at(data, 0) : 0, power = data.length >= 2 ? byte_at(data, 1) : 0;
  if (beats < 1 || beats > GLN_CHART_METER_BEATS_MAX || (1 << (power < 8 ? power : 7)) > GLN_METER_UNIT_MAX ||
      file->meter_count == METERS_MAX) {
    reader->odd_meta++;
    return GLN_OK;
  }
  file->meters =
      grow(reader->arena, file->meters, file->meter_count, &reader->meter_capacity, sizeof *file->meters);
  if (file->meters == NULL)
    return GLN_MEMORY;
  file->meters[file->meter_count++] = (GlnMidiMeter){reader->tick, {(int16_t)beats, (int16_t)(1 << power)}};
  return GLN_OK;
}

/* Sharps, or flats below zero, and the mode. */
static void read_key(Reader *reader, GlnText data) {
  GlnMidiFile *file = reader->file;
  int fifths = data.length == 2 ? (int8_t)data.at[0] : 8;
  if (fifths < -7 || fifths > 7 || byte_at(data, 1) > 1) {
    reader->odd_meta++;
    return;
  }
  file->key_changes += file->has_key;
  if (file->has_key && reader->tick >= reader->key_tick)
    return;
  bool minor = byte_at(data, 1) == 1;
  /* The tonic so many fifths from C, or from A in minor: letters are four apart. */
  int steps = fifths + (minor ? 3 : 0), letter = (4 * (steps + 14)) % 7;
  GlnKey key = {{(int8_t)letter, 0}, minor};
  for (int8_t accidental = -1; accidental <= 1; accidental++) {
    key.tonic.accidental = accidental;
    if (gln_key_fifths(key) == fifths)
      file->key = key;
  }
  file->has_key = true;
  reader->key_tick = reader->tick;
}

static GlnStatus read_marker(Reader *reader, GlnText data) {
  GlnMidiFile *file = reader->file;
  GlnText text = meta_text(reader, data);
  if (reader->track > 0 || text.length == 0 ||
      file->marker_count == MARKERS_MAX) { /* they belong in the first */
    file->texts++;
    return GLN_OK;
  }
  file->markers =
      grow(reader->arena, file->markers, file->marker_count, &reader->marker_capacity, sizeof *file->markers);
  if (file->markers == NULL)
    return GLN_MEMORY;
  file->markers[file->marker_count++] = (GlnMidiText){reader->tick, text};
  return GLN_OK;
}

static GlnStatus read_meta(Reader *reader, uint8_t type, GlnText data, bool *ended) {
  GlnMidiFile *file = reader->file;
  switch (type) {
  case META_NAME: /* of the first track: the song's */
    if (reader->track == 0 && file->title.length == 0)
      file->title = meta_text(reader, data);
    return GLN_OK;
  case META_MARKER:
    return read_marker(reader, data);
  case META_END:
    *ended = true;
    return GLN_OK;
  case META_TEMPO:
    read_tempo(reader, data);
    return GLN_OK;
  case META_METER:
    return read_meter(reader, data);
  case META_KEY:
    read_key(reader, data);
    return GLN_OK;
  default:
    file->texts += type >= 1 && type <= 7;
    return GLN_OK;
  }
}

/* ---- events ------------------------------------------------------------------------------------------------------- */

static bool cut_off(const Reader *reader, size_t count) {
  return reader->end - reader->at < count;
}

/* A meta event or one of system exclusive: its length, then as many bytes. False when the track ends inside it. */
static bool read_block(Reader *reader, GlnText *data) {
  uint32_t length = 0;
  if (!read_quantity(reader, &length) || cut_off(reader, length))
    return false;
  *data = gln_text_slice(reader->bytes, reader->at, length);
  reader->at += length;
  return true;
}

static GlnStatus channel_event(Reader *reader, uint8_t status, const uint8_t data[2]) {
  uint8_t channel = status & 0x0F;
  switch (status >> 4) {
  case 0x8:
    reader->stray_ends += channel != GLN_MIDI_PERCUSSION && reader->sounding[channel][data[0]] == 0;
    end_note(reader, channel, data[0]);
    return GLN_OK;
  case 0x9:
    if (data[1] > 0)
      return begin_note(reader, channel, data[0]);
    end_note(reader, channel, data[0]);
    return GLN_OK;
  case 0xB:
    reader->file->controls++;
    return GLN_OK;
  case 0xE:
    reader->file->bends++;
    return GLN_OK;
  default:
    return GLN_OK;
  }
}

/* Why a track cannot be read any further; NULL: it can. */
static const char *read_event(Reader *reader, uint8_t *running, bool *ended, GlnStatus *status) {
  uint32_t delta = 0;
  if (!read_quantity(reader, &delta) || cut_off(reader, 1))
    return "a time is cut off or longer than four bytes";
  reader->tick += delta;
  uint8_t first = byte_at(reader->bytes, reader->at);
  if (first >= 0xF0) {
    GlnText data = {NULL, 0};
    uint8_t type = 0;
    reader->at++;
    if (first != 0xFF && first != 0xF0 && first != 0xF7)
      return "an event of a kind that files cannot hold";
    if (first == 0xFF) {
      if (cut_off(reader, 1))
        return "an event is cut off";
      type = byte_at(reader->bytes, reader->at++);
    }
    if (!read_block(reader, &data))
      return "an event is longer than its track";
    *status = first == 0xFF ? read_meta(reader, type, data, ended) : GLN_OK;
    return NULL;
  }
  if (first >= 0x80) {
    *running = first;
    reader->at++;
  } else if (*running == 0) {
    return "an event without a kind";
  }
  uint8_t data[2] = {0, 0};
  int kind = *running >> 4;
  size_t count = kind == 0xC || kind == 0xD ? 1 : 2;
  if (cut_off(reader, count))
    return "an event is cut off";
  for (size_t i = 0; i < count; i++) {
    data[i] = byte_at(reader->bytes, reader->at++);
    if (data[i] >= 0x80)
      return "a value above 127";
  }
  *status = channel_event(reader, *running, data);
  return NULL;
}

static GlnStatus read_track(Reader *reader) {
  const char *fault = NULL;
  uint8_t running = 0;
  bool ended = false;
  reader->tick = 0;
  while (!ended && fault == NULL && reader->at < reader->end) {
    GlnStatus status = GLN_OK;
    if (++reader->events > GLN_MIDI_EVENTS_MAX)
      return refuse(reader->diags, GLN_LIMIT, "more than 2,000,000 events", "split the file");
    size_t from = reader->at;
    fault = read_event(reader, &running, &ended, &status);
    GLN_TRY(status);
    if (fault != NULL)
      warn(reader, "listen whether its end is missing", "track %zu cannot be read from byte %zu on: %s",
           reader->track + 1, from, fault);
  }
  if (!ended && fault == NULL)
    warn(reader, "", "track %zu has no end; it is taken up to its last event", reader->track + 1);
  end_all(reader);
  return GLN_OK;
}

/* ---- the file ----------------------------------------------------------------------------------------------------- */

/* Where "MThd" stands: at the start, or inside a RIFF container of the kind "RMID". */
static bool find_header(GlnText bytes, size_t *at) {
  *at = 0;
  if (gln_text_starts(bytes, GLN_TEXT("MThd")))
    return true;
  *at = 20;
  return gln_text_starts(bytes, GLN_TEXT("RIFF")) &&
         gln_text_starts(gln_text_from(bytes, 8), GLN_TEXT("RMIDdata")) &&
         gln_text_starts(gln_text_from(bytes, 20), GLN_TEXT("MThd"));
}

bool gln_midi_knows(GlnText bytes) {
  size_t at = 0;
  return find_header(bytes, &at);
}

/* Ticks of a quarter note, or of a second: frames times ticks of a frame. */
static GlnStatus read_division(Reader *reader, uint32_t division, double *ticks_a_second) {
  GlnMidiFile *file = reader->file;
  *ticks_a_second = 0;
  if ((division & 0x8000) == 0) {
    if (division == 0)
      return refuse(reader->diags, GLN_INPUT, "the file says that a beat has no length (division 0)",
                    "save it again in the program it came from");
    file->quarters_a_tick = 1.0 / (double)division;
    return GLN_OK;
  }
  int frames = 256 - (int)(division >> 8);
  uint32_t parts = division & 0xFF;
  if ((frames != 24 && frames != 25 && frames != 29 && frames != 30) || parts == 0)
    return refuse(reader->diags, GLN_INPUT,
                  "the file counts in frames of film, of a kind that does not exist",
                  "save it again with beats (\"ticks per quarter note\")");
  *ticks_a_second = (frames == 29 ? 30000.0 / 1001.0 : (double)frames) * (double)parts;
  return GLN_OK;
}

static GlnStatus read_header(Reader *reader, size_t at, size_t *tracks, double *ticks_a_second) {
  GlnText bytes = reader->bytes;
  if (bytes.length < at + 14)
    return refuse(reader->diags, GLN_INPUT, "the file ends inside its header",
                  "copy it again from where it came");
  uint32_t length = number_at(bytes, at + 4, 4), format = number_at(bytes, at + 8, 2);
  if (length < 6 || length > bytes.length - at - 8)
    return refuse(reader->diags, GLN_INPUT, "the header's length is wrong",
                  "copy it again from where it came");
  if (format > 1)
    return refuse(reader->diags, GLN_INPUT,
                  format == 2 ? "the file holds several songs that do not belong together (format 2)"
                              : "the file is of an unknown format",
                  "save it as format 0 or 1");
  reader->file->format = (int)format;
  *tracks = number_at(bytes, at + 10, 2);
  if (*tracks > GLN_MIDI_TRACKS_MAX)
    return refuse(reader->diags, GLN_LIMIT, "more than 256 tracks", "leave out those without chords");
  reader->at = at + 8 + length;
  return read_division(reader, number_at(bytes, at + 12, 2), ticks_a_second);
}

/* Chunks of other kinds are passed over. */
static GlnStatus read_tracks(Reader *reader, size_t told) {
  GlnText bytes = reader->bytes;
  size_t at = reader->at;
  for (; bytes.length - at >= 8 && reader->track <= told; at = reader->end) {
    uint32_t length = number_at(bytes, at + 4, 4);
    bool is_track = gln_text_starts(gln_text_from(bytes, at), GLN_TEXT("MTrk"));
    reader->at = at + 8;
    bool whole = length <= bytes.length - reader->at;
    reader->end = whole ? reader->at + length : bytes.length;
    if (!is_track)
      continue;
    if (reader->track == told)
      break;
    if (!whole)
      warn(reader, "copy it again from where it came",
           "track %zu is said to have %lu bytes, but the file ends after %zu", reader->track + 1,
           (unsigned long)length, bytes.length - reader->at);
    GLN_TRY(read_track(reader));
    reader->track++;
  }
  reader->file->track_count = reader->track;
  if (reader->track < told)
    warn(reader, "copy it again from where it came", "the file says it has %zu tracks, but has %zu", told,
         reader->track);
  return GLN_OK;
}

static int compare_notes(const void *left, const void *right) {
  const GlnMidiNote *a = left, *b = right;
  if (a->start != b->start)
    return a->start < b->start ? -1 : 1;
  if (a->pitch != b->pitch)
    return a->pitch < b->pitch ? -1 : 1;
  if (a->track != b->track)
    return a->track < b->track ? -1 : 1;
  if (a->channel != b->channel)
    return a->channel - b->channel;
  return a->end < b->end ? -1 : a->end > b->end;
}

static int compare_meters(const void *left, const void *right) {
  const GlnMidiMeter *a = left, *b = right;
  if (a->tick != b->tick)
    return a->tick < b->tick ? -1 : 1;
  return a->meter.unit != b->meter.unit ? a->meter.unit - b->meter.unit : a->meter.beats - b->meter.beats;
}

static void tell_mended(const Reader *reader) {
  if (reader->unended > 0)
    warn(reader, "", "%zu %s never end; taken up to the end of the track", reader->unended,
         reader->unended == 1 ? "note would" : "notes would");
  if (reader->stray_ends > 0)
    warn(reader, "", "%zu %s without having begun; left out", reader->stray_ends,
         reader->stray_ends == 1 ? "note ends" : "notes end");
  if (reader->odd_meta > 0)
    warn(reader, "", "%zu %s cannot be; left out", reader->odd_meta,
         reader->odd_meta == 1 ? "tempo, meter or key" : "tempi, meters or keys");
}

GlnStatus gln_midi_file_read(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnMidiFile **file) {
  size_t at = 0, told = 0;
  double ticks_a_second = 0;
  if (bytes.length > GLN_MIDI_BYTES_MAX)
    return refuse(diags, GLN_LIMIT, "the file is longer than 16 MiB", "split it");
  if (!find_header(bytes, &at))
    return refuse(diags, GLN_INPUT, "this is no MIDI file: it does not begin with MThd",
                  "check which file it is");
  Reader *reader = GLN_NEW(arena, Reader, 1);
  *file = GLN_NEW(arena, GlnMidiFile, 1);
  if (reader == NULL || *file == NULL)
    return GLN_MEMORY;
  reader->bytes = bytes;
  reader->arena = arena;
  reader->diags = diags;
  reader->file = *file;
  reader->tempo = 120; /* what the format says where a file is silent */
  GLN_TRY(read_header(reader, at, &told, &ticks_a_second));
  GLN_TRY(read_tracks(reader, told));
  (*file)->tempo = reader->tempo;
  if (ticks_a_second > 0) {
    (*file)->quarters_a_tick = reader->tempo / 60.0 / ticks_a_second;
    warn(reader, "check the bars", "the file counts in seconds, not in beats; counted at %d beats a minute",
         (int)lround(reader->tempo));
  }
  tell_mended(reader);
  if ((*file)->note_count > 0)
    qsort((*file)->notes, (*file)->note_count, sizeof *(*file)->notes, compare_notes);
  if ((*file)->meter_count > 0)
    qsort((*file)->meters, (*file)->meter_count, sizeof *(*file)->meters, compare_meters);
  return GLN_OK;
}
