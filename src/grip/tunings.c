/* Tunings by name, with the body they belong to, and tunings by notes. */
#include "grip_internal.h"

#include <string.h>

/* ---- the tables: common practice, no published source ------------------------------------------------------------- */

typedef enum Body {
  GUITAR,
  BARITONE_GUITAR,
  TENOR_GUITAR,
  REQUINTO,
  BASS,
  SOPRANO_UKULELE,
  CONCERT_UKULELE,
  TENOR_UKULELE,
  BARITONE_UKULELE,
  CAVAQUINHO,
  PLECTRUM_BANJO,
  TENOR_BANJO,
  FIVE_STRING_BANJO,
  MANDOLIN
} Body;

/* Scale, string spacing at nut and bridge (mm), frets. The guitar's is gln_instrument_defaults. */
static const struct {
  double scale_mm, nut_spacing_mm, bridge_spacing_mm;
  int8_t frets;
} bodies[] = {
    [BARITONE_GUITAR] = {700, 8.6, 11.6, 19},
    [TENOR_GUITAR] = {584, 8.5, 11, 19},
    [REQUINTO] = {540, 8.6, 11.6, 19},
    [BASS] = {864, 10, 19, 20},
    [SOPRANO_UKULELE] = {345, 9, 13, 15},
    [CONCERT_UKULELE] = {380, 9, 13, 18},
    [TENOR_UKULELE] = {430, 9, 13, 19},
    [BARITONE_UKULELE] = {510, 9, 13, 19},
    [CAVAQUINHO] = {335, 8, 12, 17},
    [PLECTRUM_BANJO] = {670, 8, 11, 22},
    [TENOR_BANJO] = {580, 8, 11, 19},
    [FIVE_STRING_BANJO] = {670, 8, 11, 22},
    [MANDOLIN] = {350, 8, 11, 20},
};

typedef struct NamedTuning {
  const char *name;
  const char *notes;
  Body body;
  bool usual; /* what so many strings are taken for when no tuning is named */
} NamedTuning;

static const NamedTuning named_tunings[] = {
    {"standard", "E2 A2 D3 G3 B3 E4", GUITAR, true},
    {"half step down", "Eb2 Ab2 Db3 Gb3 Bb3 Eb4", GUITAR, false},
    {"whole step down", "D2 G2 C3 F3 A3 D4", GUITAR, false},
    {"drop d", "D2 A2 D3 G3 B3 E4", GUITAR, false},
    {"double drop d", "D2 A2 D3 G3 B3 D4", GUITAR, false},
    {"drop c", "C2 G2 C3 F3 A3 D4", GUITAR, false},
    {"drop g", "E2 G2 D3 G3 B3 E4", GUITAR, false},
    {"dadgad", "D2 A2 D3 G3 A3 D4", GUITAR, false},
    {"open d", "D2 A2 D3 F#3 A3 D4", GUITAR, false},
    {"open d minor", "D2 A2 D3 F3 A3 D4", GUITAR, false},
    {"open e", "E2 B2 E3 G#3 B3 E4", GUITAR, false},
    {"open g", "D2 G2 D3 G3 B3 D4", GUITAR, false},
    {"open g minor", "D2 G2 D3 G3 Bb3 D4", GUITAR, false},
    {"open a", "E2 A2 E3 A3 C#4 E4", GUITAR, false},
    {"open c", "C2 G2 C3 G3 C4 E4", GUITAR, false},
    {"all fourths", "E2 A2 D3 G3 C4 F4", GUITAR, false},
    {"high strung", "E3 A3 D4 G4 B3 E4", GUITAR, false},
    {"baritone", "B1 E2 A2 D3 F#3 B3", BARITONE_GUITAR, false},
    {"requinto", "A2 D3 G3 C4 E4 A4", REQUINTO, false},
    {"seven strings", "B1 E2 A2 D3 G3 B3 E4", GUITAR, true},
    {"seven strings low c", "C2 E2 A2 D3 G3 B3 E4", GUITAR, false},
    {"eight strings", "F#1 B1 E2 A2 D3 G3 B3 E4", GUITAR, true},
    {"tenor guitar", "C3 G3 D4 A4", TENOR_GUITAR, false},
    {"bass", "E1 A1 D2 G2", BASS, false},
    {"ukulele", "G4 C4 E4 A4", SOPRANO_UKULELE, false},
    {"ukulele low g", "G3 C4 E4 A4", SOPRANO_UKULELE, false},
    {"concert ukulele", "G4 C4 E4 A4", CONCERT_UKULELE, false},
    {"tenor ukulele", "G4 C4 E4 A4", TENOR_UKULELE, false},
    {"baritone ukulele", "D3 G3 B3 E4", BARITONE_UKULELE, false},
    {"cavaquinho", "D4 G4 B4 D5", CAVAQUINHO, false},
    {"plectrum banjo", "C3 G3 B3 D4", PLECTRUM_BANJO, false},
    {"tenor banjo", "C3 G3 D4 A4", TENOR_BANJO, false},
    {"five string banjo", "G4:5 D3 G3 B3 D4", FIVE_STRING_BANJO,
     false}, /* the fifth string begins at the fifth fret */
    {"mandolin", "G3 D4 A4 E5", MANDOLIN, false},
};

static void take_body(Body body, GlnInstrument *instrument) {
  if (body == GUITAR)
    return;
  instrument->scale_mm = bodies[body].scale_mm;
  instrument->nut_spacing_mm = bodies[body].nut_spacing_mm;
  instrument->bridge_spacing_mm = bodies[body].bridge_spacing_mm;
  instrument->fret_count = bodies[body].frets;
}

/* ---- by notes ------------------------------------------------------------------------------------------------------ */

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
  int begins; /* fret at which the string begins: 5 in "G4:5" */
} StringNote;

#define LOWEST_MIDI  12 /* C0 */
#define HIGHEST_MIDI 96 /* C7: two octaves of frets above it are still MIDI numbers */

/* Note names in tunings may be written small: "e2". */
static bool read_string_note(GlnText small, StringNote *out) {
  char copy[GLN_NOTE_TEXT_MAX];
  long begins = 0;
  size_t colon = gln_text_find(small, GLN_TEXT(":"), 0);
  if (colon < small.length &&
      gln_text_integer(gln_text_from(small, colon + 1), 1, GLN_CAPO_MAX, &begins) != GLN_OK)
    return false;
  small = gln_text_slice(small, 0, colon);
  if (small.length >= sizeof copy)
    return false;
  memcpy(copy, small.at, small.length);
  if (copy[0] >= 'a' && copy[0] <= 'g')
    copy[0] = (char)(copy[0] - 'a' + 'A');
  GlnText word = {copy, small.length};
  GlnPitch pitch;
  if (gln_pitch_parse(word, &pitch) == GLN_OK) {
    *out = (StringNote){gln_pitch_midi(pitch), true, (int)begins};
    return out->midi >= LOWEST_MIDI && out->midi <= HIGHEST_MIDI;
  }
  GlnNote note;
  size_t used = 0;
  if (gln_note_parse(word, &note, &used) != GLN_OK || used != word.length)
    return false;
  *out = (StringNote){gln_note_pitch_class(note), false, (int)begins};
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
    instrument->open_midi[s] = (int8_t)(midi[s] - (s < count ? notes[s].begins : 0));
  for (int s = 0; s < GLN_STRINGS_MAX; s++)
    instrument->begins[s] = (int8_t)(s < count ? notes[s].begins : 0);
  return GLN_OK;
}

/* ---- by name ------------------------------------------------------------------------------------------------------- */

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

static bool same_strings(const GlnInstrument *a, const GlnInstrument *b) {
  return a->string_count == b->string_count && memcmp(a->begins, b->begins, sizeof a->begins) == 0 &&
         memcmp(a->open_midi, b->open_midi, (size_t)a->string_count * sizeof a->open_midi[0]) == 0;
}

static GlnStatus tune_by_row(const NamedTuning *row, GlnInstrument *instrument) {
  GLN_TRY(tune_by_notes(gln_text(row->notes), instrument));
  take_body(row->body, instrument);
  return GLN_OK;
}

GlnStatus gln_instrument_tune(GlnText tuning, GlnInstrument *instrument) {
  tuning = gln_text_trim(tuning);
  for (size_t i = 0; i < GLN_COUNT_OF(named_tunings); i++)
    if (same_name(tuning, named_tunings[i].name))
      return tune_by_row(&named_tunings[i], instrument);
  GLN_TRY(tune_by_notes(tuning, instrument));
  for (size_t i = 0; i < GLN_COUNT_OF(named_tunings); i++) { /* the notes of an instrument we know */
    GlnInstrument known = *instrument;
    if (tune_by_row(&named_tunings[i], &known) == GLN_OK && same_strings(&known, instrument)) {
      *instrument = known;
      break;
    }
  }
  return GLN_OK;
}

GlnStatus gln_instrument_of_strings(int strings, GlnInstrument *instrument) {
  for (size_t i = 0; i < GLN_COUNT_OF(named_tunings); i++) {
    GlnInstrument tuned = *instrument;
    if (!named_tunings[i].usual || tune_by_row(&named_tunings[i], &tuned) != GLN_OK ||
        tuned.string_count != strings)
      continue;
    *instrument = tuned;
    return GLN_OK;
  }
  return GLN_NO;
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
