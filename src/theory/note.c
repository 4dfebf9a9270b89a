/* Notes and pitches: letters and accidentals as spelled, and as text. */
#include "theory_internal.h"

#include <assert.h>
#include <math.h>
#include <string.h>

static const int8_t LETTER_SEMITONES[7] = {0, 2, 4, 5, 7, 9, 11};

int gln_letter_semitones(int letter) {
  assert(letter >= 0 && letter < 7);
  return LETTER_SEMITONES[letter];
}

int gln_note_pitch_class(GlnNote note) {
  return ((gln_letter_semitones(note.letter) + note.accidental) % 12 + 12) % 12;
}

bool gln_note_equal(GlnNote a, GlnNote b) {
  return a.letter == b.letter && a.accidental == b.accidental;
}

size_t gln_accidental_read(GlnText text, int *semitones) {
  static const struct {
    const char *sign;
    size_t length;
    int semitones;
  } SIGNS[] = {{"♭", 3, -1}, {"♯", 3, 1}, {"𝄫", 4, -2}, {"𝄪", 4, 2}};
  if (text.length == 0)
    return 0;
  switch (text.at[0]) {
  case 'b':
    *semitones = -1;
    return 1;
  case '#':
    *semitones = 1;
    return 1;
  case 'x':
    *semitones = 2;
    return 1;
  default:
    break;
  }
  if ((unsigned char)text.at[0] < 0x80)
    return 0;
  for (size_t i = 0; i < GLN_COUNT_OF(SIGNS); i++) {
    if (text.length >= SIGNS[i].length && memcmp(text.at, SIGNS[i].sign, SIGNS[i].length) == 0) {
      *semitones = SIGNS[i].semitones;
      return SIGNS[i].length;
    }
  }
  return 0;
}

GlnStatus gln_note_parse(GlnText text, GlnNote *note, size_t *used) {
  static const int8_t LETTERS[7] = {5, 6, 0, 1, 2, 3, 4}; /* A..G */
  if (text.length == 0 || text.at[0] < 'A' || text.at[0] > 'G')
    return GLN_INPUT;
  int accidental = 0;
  size_t at = 1;
  int semitones = 0;
  for (size_t bytes; (bytes = gln_accidental_read(gln_text_from(text, at), &semitones)) > 0; at += bytes) {
    if (accidental * semitones < 0) /* B and a sharp after a flat: not one accidental */
      return GLN_INPUT;
    accidental += semitones;
    if (accidental > GLN_ACCIDENTAL_MAX || accidental < -GLN_ACCIDENTAL_MAX)
      return GLN_INPUT;
  }
  *note = (GlnNote){LETTERS[text.at[0] - 'A'], (int8_t)accidental};
  *used = at;
  return GLN_OK;
}

size_t gln_note_print(GlnNote note, GlnSigns signs, char out[GLN_NOTE_TEXT_MAX]) {
  GlnWriter writer = gln_writer(out, GLN_NOTE_TEXT_MAX);
  gln_write_note(&writer, note, signs);
  return writer.length;
}

GlnNote gln_note_plainer(GlnNote note) {
  int pitch_class = gln_note_pitch_class(note);
  int side = note.accidental < 0 ? -1 : 1;
  for (int letter = 0; letter < 7; letter++) {
    if (gln_letter_semitones(letter) == pitch_class)
      return (GlnNote){(int8_t)letter, 0};
  }
  for (int letter = 0; letter < 7; letter++) {
    GlnNote plainer = {(int8_t)letter, (int8_t)side};
    if (gln_note_pitch_class(plainer) == pitch_class)
      return plainer;
  }
  return note; /* not reached: every pitch class is a natural or one step from one */
}

/* ---- pitches ---- */

int gln_pitch_midi(GlnPitch pitch) {
  return 12 * (pitch.octave + 1) + gln_letter_semitones(pitch.note.letter) + pitch.note.accidental;
}

GlnStatus gln_pitch_parse(GlnText text, GlnPitch *pitch) {
  GlnNote note;
  size_t used = 0;
  long octave = 0;
  GLN_TRY(gln_note_parse(text, &note, &used));
  GLN_TRY(gln_text_integer(gln_text_from(text, used), -1, 9, &octave));
  *pitch = (GlnPitch){note, (int8_t)octave};
  return GLN_OK;
}

size_t gln_pitch_print(GlnPitch pitch, GlnSigns signs, char out[GLN_NOTE_TEXT_MAX]) {
  GlnWriter writer = gln_writer(out, GLN_NOTE_TEXT_MAX);
  gln_write_note(&writer, pitch.note, signs);
  gln_write_integer(&writer, pitch.octave);
  return writer.length;
}

GlnPitch gln_pitch_at(GlnNote note, int midi) {
  int above = midi - gln_letter_semitones(note.letter) - note.accidental + 6; /* + 6: nearest, not lowest */
  int octave = above >= 0 ? above / 12 : -((11 - above) / 12);
  return (GlnPitch){note, (int8_t)(octave - 1)};
}

double gln_pitch_hertz(double midi) {
  return 440.0 * exp2((midi - 69.0) / 12.0);
}
