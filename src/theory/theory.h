/* theory: pitch, interval, spelling by letter, chord symbols, keys.
 *
 * Needs base. Pure: no I/O, clock or globals. Nothing here allocates but the tables' printers.
 * A chord carries its own tones, spelled, so no other room looks a quality up. */
#ifndef GLN_THEORY_H
#define GLN_THEORY_H

#include "base.h"

/* ---- notes and pitches -------------------------------------------------------------------------------- */

typedef enum GlnSigns { GLN_SIGNS_ASCII, GLN_SIGNS_UNICODE } GlnSigns; /* Bb, F## or B♭, F♯♯ */

/* A spelled note without octave: letter 0..6 = C..B; accidental in semitones, -3..+3. */
typedef struct GlnNote {
  int8_t letter;
  int8_t accidental;
} GlnNote;

/* Scientific pitch notation: C4 is MIDI 60. The octave goes with the letter (Cb4 is MIDI 59). */
typedef struct GlnPitch {
  GlnNote note;
  int8_t octave;
} GlnPitch;

#define GLN_NOTE_TEXT_MAX 16 /* bytes with the NUL: a letter, three accidentals in UTF-8, an octave */

int gln_note_pitch_class(GlnNote note); /* 0..11, C = 0 */
bool gln_note_equal(GlnNote a, GlnNote b);
/* Reads a note at the start of text ("Bb", "F♯", "Ebb", "Gx", "C##"); *used gets the bytes read.
 * GLN_INPUT when there is none. */
GLN_MUST_USE GlnStatus gln_note_parse(GlnText text, GlnNote *note, size_t *used);
/* Writes a NUL-terminated name; returns its length. */
size_t gln_note_print(GlnNote note, GlnSigns signs, char out[GLN_NOTE_TEXT_MAX]);

int gln_pitch_midi(GlnPitch pitch);
/* The whole of text as note and octave ("E2", "Bb3"). */
GLN_MUST_USE GlnStatus gln_pitch_parse(GlnText text, GlnPitch *pitch);
size_t gln_pitch_print(GlnPitch pitch, GlnSigns signs, char out[GLN_NOTE_TEXT_MAX]);
/* The pitch with this spelling nearest at MIDI number midi (midi must have the note's pitch class). */
GlnPitch gln_pitch_at(GlnNote note, int midi);
double gln_pitch_hertz(double midi); /* equal temperament, A4 = 440 Hz (ISO 16) */

/* ---- degrees (intervals above a root) ------------------------------------------------------------------ */

/* Degree of the major scale and its alteration in semitones: {3,-1} is ♭3, {9,+1} is ♯9. number 1..15. */
typedef struct GlnDegree {
  int8_t number;
  int8_t alteration;
} GlnDegree;

#define GLN_DEGREE_TEXT_MAX 16
int gln_degree_semitones(GlnDegree degree); /* above the root: {9,0} is 14 */
size_t gln_degree_print(GlnDegree degree, GlnSigns signs, char out[GLN_DEGREE_TEXT_MAX]); /* "b3", "♭3" */
GLN_MUST_USE GlnStatus gln_degree_parse(GlnText text, GlnDegree *degree, size_t *used);
GlnNote gln_note_above(GlnNote root, GlnDegree degree);   /* spelled by letter: G♭ + ♭7 is F♭ */
GlnDegree gln_degree_between(GlnNote root, GlnNote note); /* number 1..7 */

/* ---- keys -----------------------------------------------------------------------------------------------
 */

typedef struct GlnKey {
  GlnNote tonic;
  bool minor;
} GlnKey;

#define GLN_KEY_TEXT_MAX 24
/* The whole of text: "F", "Bb", "F#m", "c minor", "A minor", "E♭ major". */
GLN_MUST_USE GlnStatus gln_key_parse(GlnText text, GlnKey *key);
size_t gln_key_print(GlnKey key, GlnSigns signs, char out[GLN_KEY_TEXT_MAX]); /* "F#m" reads back */
int gln_key_fifths(GlnKey key);                     /* sharps positive, flats negative; may pass ±7 */
GlnNote gln_key_spell(GlnKey key, int pitch_class); /* the spelling a musician in this key would use */

/* ---- chords
 * ------------------------------------------------------------------------------------------------ */

/* What a tone is to its chord when a hand cannot take all of them. */
typedef enum GlnRole {
  GLN_ROLE_MUST,   /* guide tones, named alterations, a slash bass: without it, it is another chord */
  GLN_ROLE_COLOUR, /* makes the chord's colour; may go under a higher tension, or to another of its group */
  GLN_ROLE_MAY_GO  /* natural 5th, or the root: first to be left out */
} GlnRole;

typedef struct GlnTone {
  GlnDegree degree;
  GlnNote note;
  int8_t pitch_class; /* 0..11 */
  GlnRole role;
  /* 0: never left out; else the order in which tones are left out, 1 first (natural 5th 1, root 2, …). */
  int8_t leave_order;
  /* Non-zero: of all tones with this number at least one must sound (an altered dominant's ♭5/♯5, ♭9/♯9). */
  int8_t group;
} GlnTone;

#define GLN_CHORD_TONES_MAX 12
/* Bytes of a printed symbol with its NUL (eleven tones of a chord with no usual name, in UTF-8, still fit); a
 * longer symbol is refused, read or not. */
#define GLN_SYMBOL_TEXT_MAX 224

typedef struct GlnChord {
  bool silent;     /* N.C.: nothing else is set */
  GlnNote root;    /* named root, also when it does not sound */
  bool has_bass;   /* a slash bass was written */
  GlnNote bass;    /* the lowest note: slash bass, else the root */
  int16_t quality; /* index into the table of qualities; -1 when named by its tones alone */
  int8_t tone_count;
  int8_t own_count; /* tones of the chord itself: tone_count, less one when a slash bass is foreign to it */
  int8_t root_tone; /* index into tones, or -1 for a chord without its root */
  int8_t bass_tone; /* index into tones of the bass (a foreign slash bass is a tone of its own), or -1 when
                       the root is left out and no bass is asked for */
  GlnTone tones[GLN_CHORD_TONES_MAX]; /* by degree upward from the root; a foreign bass last */
} GlnChord;

/* Where and why a symbol was not understood. */
typedef struct GlnSymbolFault {
  size_t offset, length;             /* the part that was not understood, in bytes of the symbol */
  char problem[160];                 /* words for people */
  char nearest[GLN_SYMBOL_TEXT_MAX]; /* nearest symbol that reads, or "" */
} GlnSymbolFault;

/* Reads a whole chord symbol in any dialect of docs/chord-symbols.md. GLN_INPUT and *fault (may be NULL)
 * when it cannot; *chord is then untouched. */
GLN_MUST_USE GlnStatus gln_chord_parse(GlnText symbol, GlnChord *chord, GlnSymbolFault *fault);
/* Reads Harte syntax ("C:min7(*5,11)/b3", "N", "X" is refused): Harte et al., ISMIR 2005. */
GLN_MUST_USE GlnStatus gln_chord_parse_harte(GlnText label, GlnChord *chord, GlnSymbolFault *fault);
/* gripline's own spelling of the symbol, NUL-terminated; reading it back gives the same chord. */
size_t gln_chord_print(const GlnChord *chord, GlnSigns signs, char out[GLN_SYMBOL_TEXT_MAX]);
size_t gln_chord_print_harte(const GlnChord *chord, char out[GLN_SYMBOL_TEXT_MAX]);
/* Same root, bass and tones (degree, spelling, role). */
bool gln_chord_equal(const GlnChord *a, const GlnChord *b);
/* Bit n set: pitch class n sounds in the full chord, bass included. */
uint16_t gln_chord_pitch_classes(const GlnChord *chord);
/* The pitch classes of a set so many semitones higher, 0 to 11; in the header, since inner loops turn sets with it. */
static inline uint16_t gln_classes_up(unsigned classes, int semitones) {
  unsigned wide = classes << semitones;
  return (uint16_t)((wide | wide >> 12) & 0xFFFU);
}
/* Index of the tone with this pitch class, or -1; where two share one (♯9 and ♭3), the first. */
int gln_chord_tone_of(const GlnChord *chord, int pitch_class);
/* A sounding pitch spelled as the chord spells its tone, else as the key would; chord NULL or silent: the key alone. */
GlnPitch gln_pitch_in_chord(const GlnChord *chord, GlnKey key, int midi);
/* Every note moved by the interval that takes from to to. Where that would double an accidental of the root, the root
 * takes its plainer name (G#7 up a semitone is A7, not G##7). */
GlnChord gln_chord_transpose(const GlnChord *chord, GlnNote from, GlnNote to);

/* The table of qualities, for help, docs, tests and naming. */
typedef struct GlnQuality {
  const char *suffix;  /* gripline's spelling after the root: "m7b5" */
  const char *degrees; /* "1 b3 b5 b7" */
  const char *words;   /* "half-diminished seventh" */
  const char *harte;   /* shorthand after the colon, or NULL */
} GlnQuality;
size_t gln_quality_count(void);
const GlnQuality *gln_quality_at(size_t index);
/* The chord of a quality on a root, over a bass (NULL: over its root). GLN_INPUT when a tone would need more
 * than three accidentals. */
GLN_MUST_USE GlnStatus gln_chord_build(GlnNote root, size_t quality, const GlnNote *bass, GlnChord *chord);

#endif
