/* A MIDI file's notes in beats: bars by its meters, a weight for each pitch class in every beat, and a bass. */
#include "midi_internal.h"

#include <math.h>
#include <string.h>

/* Design choices, tuned on what gripline plays of its examples in every feel, and on tests/outside/data/progressions.tsv
 * played by it; docs/midi-reading.md has the figures. */
#define ONSET          0.5  /* what striking a note counts, against sounding for a whole beat */
#define SNAP           0.85 /* later in its beat than this, a note that sounds on is meant for the next */
#define AHEAD          0.4  /* from here on too, when most of it sounds in the next: an anticipation */
#define FAINT          0.15 /* less of a note in a beat is a hand letting go */
#define TOGETHER       0.08 /* beats between notes that are struck together */
#define NOTE_BEATS_MAX 64   /* a note held longer says nothing new */

GlnStatus gln_midi_refuse(const GlnMidiHearing *hearing, GlnStatus status, const char *problem,
                          const char *advice) {
  gln_diags_add(hearing->diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
  return status;
}

/* ---- bars --------------------------------------------------------------------------------------------------------- */

double gln_midi_quarters(const GlnMidiFile *file, int64_t tick) {
  return (double)tick * file->quarters_a_tick;
}

static double bar_quarters(GlnMeter meter) {
  return 4.0 * meter.beats / meter.unit;
}

static double song_end(const GlnMidiFile *file) {
  int64_t end = 0;
  for (size_t i = 0; i < file->note_count; i++)
    end = file->notes[i].end > end ? file->notes[i].end : end;
  return gln_midi_quarters(file, end);
}

/* The meter of a bar that another meter cuts short: as many of its beats as there are. */
static GlnMeter cut_short(GlnMeter meter, double quarters) {
  long beats = lround(quarters * meter.unit / 4.0);
  return (GlnMeter){(int16_t)(beats < 1 ? 1 : beats), meter.unit};
}

typedef struct BarWalk {
  GlnMidiBar *bars;
  double *starts; /* quarter notes */
  size_t count, capacity;
} BarWalk;

static GlnStatus add_bar(GlnMidiHearing *hearing, BarWalk *walk, GlnMeter meter, double start) {
  if (walk->count == GLN_CHART_BARS_MAX)
    return gln_midi_refuse(hearing, GLN_LIMIT, "more than 20,000 bars", "split the file");
  if (walk->count == walk->capacity) {
    size_t capacity = walk->capacity == 0 ? 256 : 2 * walk->capacity;
    GlnMidiBar *bars = GLN_NEW(hearing->arena, GlnMidiBar, capacity);
    double *starts = GLN_NEW(hearing->arena, double, capacity);
    if (bars == NULL || starts == NULL)
      return GLN_MEMORY;
    if (walk->count > 0) {
      memcpy(bars, walk->bars, walk->count * sizeof *bars);
      memcpy(starts, walk->starts, walk->count * sizeof *starts);
    }
    *walk = (BarWalk){bars, starts, walk->count, capacity};
  }
  walk->bars[walk->count] = (GlnMidiBar){.meter = meter};
  walk->starts[walk->count++] = start;
  return GLN_OK;
}

/* Bars by the file's meters, up to the last note. A meter that comes inside a bar cuts it short. */
static GlnStatus lay_bars(GlnMidiHearing *hearing, BarWalk *walk) {
  static const double HAIR = 1.0 / 64; /* quarter notes: rounding of ticks */
  const GlnMidiFile *file = hearing->file;
  double end = song_end(file), at = 0;
  GlnMeter meter = {4, 4};
  size_t next = 0;
  while (at < end - HAIR || walk->count == 0) {
    while (next < file->meter_count && gln_midi_quarters(file, file->meters[next].tick) < at + HAIR)
      meter = file->meters[next++].meter;
    double length = bar_quarters(meter);
    GlnMeter own = meter;
    if (next < file->meter_count && gln_midi_quarters(file, file->meters[next].tick) < at + length - HAIR) {
      own = cut_short(meter, gln_midi_quarters(file, file->meters[next].tick) - at);
      length = gln_midi_quarters(file, file->meters[next].tick) - at;
    }
    GLN_TRY(add_bar(hearing, walk, own, at));
    at += length;
  }
  return GLN_OK;
}

static GlnStatus lay_beats(GlnMidiHearing *hearing, const BarWalk *walk) {
  size_t count = 0;
  for (size_t i = 0; i < walk->count; i++) {
    walk->bars[i].beat = count;
    count += (size_t)gln_meter_counts(walk->bars[i].meter);
  }
  hearing->beats = GLN_NEW(hearing->arena, GlnMidiBeat, count);
  if (hearing->beats == NULL)
    return GLN_MEMORY;
  hearing->beat_count = count;
  for (size_t i = 0; i < walk->count; i++) {
    int counts = gln_meter_counts(walk->bars[i].meter);
    double length = bar_quarters(walk->bars[i].meter) / counts;
    for (int b = 0; b < counts; b++)
      hearing->beats[walk->bars[i].beat + (size_t)b] = (GlnMidiBeat){.start = walk->starts[i] + b * length,
                                                                     .length = length,
                                                                     .bar = (uint32_t)i,
                                                                     .in_bar = (uint16_t)b,
                                                                     .bar_beats = (uint16_t)counts};
  }
  hearing->song->bars = walk->bars;
  hearing->song->bar_count = walk->count;
  hearing->song->beat_count = count;
  return GLN_OK;
}

/* ---- voices ------------------------------------------------------------------------------------------------------- */

#define VOICES_MAX (GLN_MIDI_TRACKS_MAX > 16 ? GLN_MIDI_TRACKS_MAX : 16)

static size_t voice_of(const GlnMidiFile *file, const GlnMidiNote *note) {
  return file->format == 0 ? note->channel : note->track;
}

typedef struct Voice {
  size_t notes, together; /* together: that begin while another of the voice sounds on */
  double pitches;
  int64_t busy_until;
} Voice;

/* A tune: one note at a time, above the middle of those voices that sound several. Where no voice does, they make the
 * chords together, and there is none. A tune passes through notes foreign to the chord, and is not listened to. */
static GlnStatus find_tunes(GlnMidiHearing *hearing) {
  const GlnMidiFile *file = hearing->file;
  Voice *voices = GLN_NEW(hearing->arena, Voice, VOICES_MAX);
  hearing->is_tune = GLN_NEW(hearing->arena, bool, VOICES_MAX);
  if (voices == NULL || hearing->is_tune == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < file->note_count; i++) {
    const GlnMidiNote *note = &file->notes[i];
    Voice *voice = &voices[voice_of(file, note)];
    int64_t length = note->end - note->start;
    voice->together += voice->notes > 0 && note->start + length / 2 < voice->busy_until;
    voice->notes++;
    voice->pitches += note->pitch;
    voice->busy_until = note->end > voice->busy_until ? note->end : voice->busy_until;
  }
  double pitches = 0;
  size_t chordal = 0;
  for (size_t v = 0; v < VOICES_MAX; v++)
    if (4 * voices[v].together > voices[v].notes) {
      pitches += voices[v].pitches;
      chordal += voices[v].notes;
    }
  for (size_t v = 0; chordal > 0 && v < VOICES_MAX; v++)
    hearing->is_tune[v] = voices[v].notes > 0 && 10 * voices[v].together < voices[v].notes &&
                          voices[v].pitches / (double)voices[v].notes > pitches / (double)chordal;
  return GLN_OK;
}

/* ---- notes into beats ----------------------------------------------------------------------------------------------- */

/* The last beat that begins at or before the place; the first where none does. */
size_t gln_midi_beat_at(const GlnMidiHearing *hearing, double quarters) {
  size_t low = 0, high = hearing->beat_count;
  while (high - low > 1) {
    size_t middle = low + (high - low) / 2;
    if (hearing->beats[middle].start <= quarters)
      low = middle;
    else
      high = middle;
  }
  return low;
}

static void weigh(GlnMidiBeat *beat, int pitch, double weight) {
  int class = pitch % 12;
  beat->weight[class] += (float)weight;
  beat->total += (float)weight;
  beat->classes |= (uint16_t)(1U << class);
  if (beat->lowest[class] == 0 || pitch < beat->lowest[class])
    beat->lowest[class] = (int8_t)pitch;
  if (beat->bass == 0 || pitch < beat->bass)
    beat->bass = (int8_t)pitch;
}

/* Returns the beat that the note is meant for. */
static size_t place_note(GlnMidiHearing *hearing, const GlnMidiNote *note) {
  const GlnMidiFile *file = hearing->file;
  double start = gln_midi_quarters(file, note->start), end = gln_midi_quarters(file, note->end);
  size_t b = gln_midi_beat_at(hearing, start);
  const GlnMidiBeat *beat = &hearing->beats[b];
  double into = (start - beat->start) / beat->length, next = beat->start + beat->length;
  bool ahead = into > SNAP ? end > next : into >= AHEAD && end - next >= 0.9 * (next - start);
  if (ahead && b + 1 < hearing->beat_count) {
    b++;
    start = next;
  }
  int class = note->pitch % 12;
  bool late = into >= AHEAD && !ahead;
  hearing->beats[b].early |= (uint16_t)(late ? 0U : 1U << class);
  for (size_t i = b; i < hearing->beat_count && i - b < NOTE_BEATS_MAX; i++) {
    GlnMidiBeat *at = &hearing->beats[i];
    double from = fmax(start, at->start), to = fmin(end, at->start + at->length);
    double share = to > from ? (to - from) / at->length : 0.0;
    if (i > b && share < FAINT)
      break;
    double weight = share + (i == b ? ONSET : 0.0);
    weigh(at, note->pitch > 0 ? note->pitch : 12, weight);
    at->late[class] += (float)(late && i == b ? weight : 0.0);
  }
  return b;
}

/* A chord struck late in a beat and again on the next is meant for that one: what of it does not sound earlier in the beat
 * is moved there. */
static void move_late_notes(GlnMidiHearing *hearing) {
  for (size_t b = 0; b + 1 < hearing->beat_count; b++) {
    GlnMidiBeat *beat = &hearing->beats[b], *next = &hearing->beats[b + 1];
    for (int c = 0; c < 12; c++) {
      float late = beat->late[c];
      if (!(late > 0.0F) || (next->early >> c & 1) == 0 || (beat->early >> c & 1) != 0 ||
          beat->weight[c] - late > 0.3F)
        continue;
      beat->weight[c] -= late;
      beat->total -= late;
      next->weight[c] += late;
      next->total += late;
      beat->classes &= (uint16_t) ~(1U << c);
    }
  }
}

/* All notes but those of tunes; those that begin one right after the other, as in a strum, are struck together. */
static void place_notes(GlnMidiHearing *hearing) {
  const GlnMidiFile *file = hearing->file;
  uint16_t classes = 0;
  double last = -INFINITY;
  for (size_t i = 0; i < file->note_count; i++) {
    const GlnMidiNote *note = &file->notes[i];
    if (hearing->is_tune[voice_of(file, note)])
      continue;
    double start = gln_midi_quarters(file, note->start);
    GlnMidiBeat *beat = &hearing->beats[place_note(hearing, note)];
    if (start - last > TOGETHER * beat->length)
      classes = 0;
    last = start;
    classes |= (uint16_t)(1U << note->pitch % 12);
    beat->block = beat->block || gln_bit_count(classes) >= 3;
  }
  move_late_notes(hearing);
}

/* How many notes begin near a half or a third of a beat. */
double gln_midi_share_on_beat(const GlnMidiHearing *hearing) {
  static const double NEAR = 0.08; /* beats; design choice */
  const GlnMidiFile *file = hearing->file;
  size_t near = 0;
  for (size_t i = 0; i < file->note_count; i++) {
    double start = gln_midi_quarters(file, file->notes[i].start);
    const GlnMidiBeat *beat = &hearing->beats[gln_midi_beat_at(hearing, start)];
    double into = (start - beat->start) / beat->length;
    near += fabs(into * 2 - floor(into * 2 + 0.5)) < 2 * NEAR ||
            fabs(into * 3 - floor(into * 3 + 0.5)) < 3 * NEAR;
  }
  return (double)near / (double)file->note_count;
}

GlnStatus gln_midi_beats_fill(GlnMidiHearing *hearing) {
  BarWalk walk = {.count = 0};
  GLN_TRY(lay_bars(hearing, &walk));
  GLN_TRY(lay_beats(hearing, &walk));
  GLN_TRY(find_tunes(hearing));
  place_notes(hearing);
  return GLN_OK;
}
