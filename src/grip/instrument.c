/* Strings, frets and where a fingertip stands. */
#include "grip_internal.h"

#include <math.h>
#include <string.h>

GlnInstrument gln_instrument_defaults(void) {
  return (GlnInstrument){
      .string_count = 6,
      .open_midi = {40, 45, 50, 55, 59, 64}, /* E2 A2 D3 G3 B3 E4 */
      .scale_mm = 650,
      .nut_spacing_mm = 8.6, /* 43 mm over six strings on a 52 mm nut; common practice, no published source */
      .bridge_spacing_mm = 11.6, /* 58 mm over six strings; common practice, no published source */
      .capo = 0,
      .fret_count = 19,
  };
}

typedef struct NamedTuning {
  const char *name;
  const char *notes;
} NamedTuning;

/* Common practice, no published source. */
static const NamedTuning named_tunings[] = {
    {"standard", "E2 A2 D3 G3 B3 E4"},
    {"half step down", "Eb2 Ab2 Db3 Gb3 Bb3 Eb4"},
    {"whole step down", "D2 G2 C3 F3 A3 D4"},
    {"drop d", "D2 A2 D3 G3 B3 E4"},
    {"double drop d", "D2 A2 D3 G3 B3 D4"},
    {"drop c", "C2 G2 C3 F3 A3 D4"},
    {"dadgad", "D2 A2 D3 G3 A3 D4"},
    {"open d", "D2 A2 D3 F#3 A3 D4"},
    {"open e", "E2 B2 E3 G#3 B3 E4"},
    {"open g", "D2 G2 D3 G3 B3 D4"},
    {"open a", "E2 A2 E3 A3 C#4 E4"},
    {"open c", "C2 G2 C3 G3 C4 E4"},
    {"all fourths", "E2 A2 D3 G3 C4 F4"},
    {"baritone", "B1 E2 A2 D3 F#3 B3"},
    {"seven strings", "B1 E2 A2 D3 G3 B3 E4"},
    {"eight strings", "F#1 B1 E2 A2 D3 G3 B3 E4"},
    {"bass", "E1 A1 D2 G2"},
    {"ukulele", "G4 C4 E4 A4"},
    {"ukulele low g", "G3 C4 E4 A4"},
    {"baritone ukulele", "D3 G3 B3 E4"},
    {"cavaquinho", "D4 G4 B4 D5"},
    {"plectrum banjo", "C3 G3 B3 D4"},
    {"tenor banjo", "C3 G3 D4 A4"},
    {"mandolin", "G3 D4 A4 E5"},
};

/* Notes without octaves rise from string to string; the lowest is the one nearest to this pitch. */
static int lowest_guess(int string_count) {
  switch (string_count) {
  case 8:
    return 30; /* F#1 */
  case 7:
  case 5:
    return 35; /* B1 */
  case 6:
    return 40; /* E2 */
  default:
    return 50; /* D3 */
  }
}

static int nearest_with_class(int pitch_class, int midi) {
  int up = ((pitch_class - midi) % 12 + 12) % 12;
  return up <= 6 ? midi + up : midi + up - 12;
}

typedef struct StringNote {
  int midi; /* or the pitch class when has_octave is false */
  bool has_octave;
} StringNote;

#define LOWEST_MIDI  12 /* C0 */
#define HIGHEST_MIDI 96 /* C7: two octaves of frets above it are still MIDI numbers */

/* Note names in tunings may be written small: "e2". */
static bool read_string_note(GlnText small, StringNote *out) {
  char copy[GLN_NOTE_TEXT_MAX];
  if (small.length >= sizeof copy)
    return false;
  memcpy(copy, small.at, small.length);
  if (copy[0] >= 'a' && copy[0] <= 'g')
    copy[0] = (char)(copy[0] - 'a' + 'A');
  GlnText word = {copy, small.length};
  GlnPitch pitch;
  if (gln_pitch_parse(word, &pitch) == GLN_OK) {
    *out = (StringNote){gln_pitch_midi(pitch), true};
    return out->midi >= LOWEST_MIDI && out->midi <= HIGHEST_MIDI;
  }
  GlnNote note;
  size_t used = 0;
  if (gln_note_parse(word, &note, &used) != GLN_OK || used != word.length)
    return false;
  *out = (StringNote){gln_note_pitch_class(note), false};
  return true;
}

static bool between_notes(char c) {
  return gln_is_blank(c) || c == ',';
}

/* The notes of a tuning, all with octaves or none. Returns their number, 0 for a fault. */
static int read_string_notes(GlnText tuning, StringNote notes[GLN_STRINGS_MAX]) {
  int count = 0;
  for (size_t at = 0; at < tuning.length;) {
    size_t start = at;
    while (at < tuning.length && !between_notes(tuning.at[at]))
      at++;
    if (at > start) {
      if (count == GLN_STRINGS_MAX ||
          !read_string_note(gln_text_slice(tuning, start, at - start), &notes[count]) ||
          notes[count].has_octave != notes[0].has_octave)
        return 0;
      count++;
    }
    while (at < tuning.length && between_notes(tuning.at[at]))
      at++;
  }
  return count;
}

static GlnStatus tune_by_notes(GlnText tuning, GlnInstrument *instrument) {
  StringNote notes[GLN_STRINGS_MAX];
  int count = read_string_notes(tuning, notes);
  if (count < GLN_STRINGS_MIN)
    return GLN_INPUT;
  int midi[GLN_STRINGS_MAX] = {0};
  for (int s = 0; s < count; s++) {
    midi[s] = notes[s].midi;
    if (!notes[s].has_octave)
      midi[s] = s == 0 ? nearest_with_class(midi[s], lowest_guess(count))
                       : midi[s - 1] + 1 + ((midi[s] - midi[s - 1] - 1) % 12 + 12) % 12;
    if (midi[s] > HIGHEST_MIDI)
      return GLN_INPUT;
  }
  instrument->string_count = (int8_t)count;
  for (int s = 0; s < GLN_STRINGS_MAX; s++)
    instrument->open_midi[s] = (int8_t)midi[s];
  return GLN_OK;
}

/* "drop-D", "Drop D" and "dropd" are one name. */
static bool same_name(GlnText a, const char *name) {
  size_t at = 0;
  for (; *name != '\0'; name++) {
    if (*name == ' ')
      continue;
    while (at < a.length && (gln_is_blank(a.at[at]) || a.at[at] == '-' || a.at[at] == '_'))
      at++;
    if (at == a.length || !gln_text_equal_ignoring_case(gln_text_slice(a, at, 1), (GlnText){name, 1}))
      return false;
    at++;
  }
  return at == a.length;
}

GlnStatus gln_instrument_tune(GlnText tuning, GlnInstrument *instrument) {
  tuning = gln_text_trim(tuning);
  for (size_t i = 0; i < GLN_COUNT_OF(named_tunings); i++)
    if (same_name(tuning, named_tunings[i].name))
      return tune_by_notes(gln_text(named_tunings[i].notes), instrument);
  return tune_by_notes(tuning, instrument);
}

size_t gln_tuning_count(void) {
  return GLN_COUNT_OF(named_tunings);
}

const char *gln_tuning_name(size_t index) {
  return named_tunings[index].name;
}

const char *gln_tuning_notes(size_t index) {
  return named_tunings[index].notes;
}

double gln_fret_mm(const GlnInstrument *instrument, double fret) {
  return instrument->scale_mm * (1.0 - exp2(-fret / 12.0)); /* equal temperament */
}

int gln_instrument_frets(const GlnInstrument *instrument) {
  int frets = instrument->fret_count - instrument->capo;
  return frets < 0 ? 0 : frets > GLN_FRETS_MAX ? GLN_FRETS_MAX : frets;
}

GlnPoint gln_stop_point(const GlnInstrument *instrument, int string, int fret) {
  double wire = gln_fret_mm(instrument, instrument->capo + (fret > 0 ? fret : 0));
  double back = 0;
  if (fret > 0) {
    double space = wire - gln_fret_mm(instrument, instrument->capo + fret - 1);
    back = fmin(gln_hold_weights.stop_back_mm, space / 2);
  }
  double along = wire - back;
  double spacing = instrument->nut_spacing_mm + (instrument->bridge_spacing_mm - instrument->nut_spacing_mm) *
                                                    along / instrument->scale_mm;
  double middle = (instrument->string_count - 1) / 2.0; /* strings fan out from the neck's middle line */
  return (GlnPoint){along, middle * instrument->nut_spacing_mm + (string - middle) * spacing};
}

int gln_sounding_midi(const GlnInstrument *instrument, int string, int fret) {
  return instrument->open_midi[string] + instrument->capo + fret;
}

int gln_string_number(const GlnInstrument *instrument, int string) {
  return instrument->string_count - string;
}
