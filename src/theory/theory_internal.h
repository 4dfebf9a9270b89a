/* Inside the theory room: sets of degrees, the table of qualities, chords from sets, the words of symbols. */
#ifndef GLN_THEORY_INTERNAL_H
#define GLN_THEORY_INTERNAL_H

#include "theory.h"

/* ---- text into a fixed array: what does not fit is cut, and the NUL always fits ---- */

typedef struct GlnWriter {
  char *at;
  size_t length, capacity; /* capacity counts the NUL */
} GlnWriter;

GlnWriter gln_writer(char *out, size_t capacity);
void gln_write(GlnWriter *writer, const char *c_string);
void gln_write_text(GlnWriter *writer, GlnText text);
void gln_write_accidental(GlnWriter *writer, int accidental, GlnSigns signs);
void gln_write_integer(GlnWriter *writer, int value);
void gln_write_note(GlnWriter *writer, GlnNote note, GlnSigns signs);
void gln_write_degree(GlnWriter *writer, GlnDegree degree, GlnSigns signs);

/* One accidental sign at the start of text: its bytes and its semitones, 0 bytes when there is none. */
size_t gln_accidental_read(GlnText text, int *semitones);

/* ---- notes ---- */

#define GLN_ACCIDENTAL_MAX      3 /* triple sharps and flats: what the spelling of usual chords can need */
#define GLN_ROOT_ACCIDENTAL_MAX 2
#define GLN_ALTERATION_MAX      2 /* of a chord's degrees: bb7 is the widest in use */

int gln_letter_semitones(int letter); /* 0..6 = C..B above C */
/* The same pitch class with the fewest accidentals, flats kept flat and sharps sharp. */
GlnNote gln_note_plainer(GlnNote note);

/* ---- sets of degrees ---- */

#define GLN_DEGREE_NUMBER_MAX 15
#define GLN_DEGREES_TEXT_MAX  96 /* sixteen degrees of at most four bytes and their blanks */

/* of[number] has bit (alteration + 3) set for each degree in the set. */
typedef struct GlnDegreeSet {
  uint8_t of[GLN_DEGREE_NUMBER_MAX + 1];
} GlnDegreeSet;

void gln_set_add(GlnDegreeSet *set, int number, int alteration);
void gln_set_remove(GlnDegreeSet *set, int number, int alteration);
bool gln_set_has(const GlnDegreeSet *set, int number, int alteration);
bool gln_set_has_number(const GlnDegreeSet *set, int number);
/* The degree after *degree in order of number, then alteration; start from {0, 0}. False at the end. */
bool gln_set_next(const GlnDegreeSet *set, GlnDegree *degree);
int gln_set_count(const GlnDegreeSet *set);
/* "1 b3 5 b7" into a set; the text comes from the table of qualities. */
GlnDegreeSet gln_set_of(const char *degrees);
GlnDegreeSet gln_set_without(const GlnDegreeSet *set, const GlnDegreeSet *other);
GlnDegreeSet gln_set_with(const GlnDegreeSet *set, const GlnDegreeSet *other);

/* ---- qualities ---- */

/* The words before the modifiers of a symbol choose a row by family and stack: C-Δ9 is MINOR, major 9. */
typedef enum GlnFamily {
  GLN_FAMILY_NONE, /* a row that only modifiers reach */
  GLN_FAMILY_MAJOR,
  GLN_FAMILY_MINOR,
  GLN_FAMILY_DIM,
  GLN_FAMILY_AUG,
  GLN_FAMILY_HALF,
  GLN_FAMILY_SUS, /* reached by sus; a base for spelling other chords */
  GLN_FAMILY_ALT
} GlnFamily;

#define GLN_STACK_MAJOR    100 /* added to 7, 9, 11, 13 when the seventh is major */
#define GLN_STACK_SIX_NINE 69

typedef struct GlnQualityRow {
  GlnQuality shown;
  uint8_t length; /* of shown.degrees, bytes */
  uint8_t family; /* GlnFamily */
  uint8_t stack;  /* 0 a triad, 2, 4, 5, 6, 69, 7, 9, 11, 13, or those + GLN_STACK_MAJOR */
} GlnQualityRow;

extern const GlnQualityRow GLN_QUALITY_ROWS[];
int gln_quality_base(GlnFamily family, int stack); /* index, or -1; so are the next two */
int gln_quality_of(const GlnDegreeSet *set);
int gln_quality_of_harte(GlnText shorthand);

/* ---- chords from sets ---- */

#define GLN_OWN_TONES_MAX (GLN_CHORD_TONES_MAX - 1) /* one place stays free for a foreign bass */

typedef enum GlnAssembly {
  GLN_ASSEMBLED,
  GLN_TOO_MANY_TONES,
  GLN_NO_TONES,
  GLN_TOO_MANY_ACCIDENTALS
} GlnAssembly;

/* bass NULL: over the root. *chord is untouched unless GLN_ASSEMBLED. */
GlnAssembly gln_chord_assemble(GlnNote root, const GlnDegreeSet *own, int quality, const GlnNote *bass,
                               GlnChord *chord);
GlnDegreeSet gln_chord_own_set(const GlnChord *chord);
/* The tones in order of number, as assembled. */
void gln_roles_set(const GlnDegreeSet *set, GlnTone *tones, int count);

/* ---- the words of symbols ---- */

typedef enum GlnWordKind {
  GLN_WORD_NONE,
  GLN_WORD_MINOR,
  GLN_WORD_MAJOR,
  GLN_WORD_DELTA, /* major seventh without saying 7 */
  GLN_WORD_DIM,
  GLN_WORD_AUG,
  GLN_WORD_HALF,
  GLN_WORD_DOMINANT,
  GLN_WORD_NUMBER,
  GLN_WORD_SUS, /* value 4, 2, 24, or 0 when the number is not said */
  GLN_WORD_ADD,
  GLN_WORD_OMIT,
  GLN_WORD_ALT,
  GLN_WORD_ROOT,
  GLN_WORD_FLAT,  /* value: how many */
  GLN_WORD_SHARP, /* value: how many */
  GLN_WORD_DASH,  /* minor, or a flat after a number */
  GLN_WORD_PLUS   /* augmented, or a sharp after a number */
} GlnWordKind;

typedef struct GlnWord {
  char spelling[16];
  uint8_t length; /* of the spelling, bytes */
  uint8_t taken;  /* bytes it stands for: all but in "madd", where m is the word and add the next */
  uint8_t kind;   /* GlnWordKind */
  uint8_t value;
} GlnWord;

/* The longest word of the dialects at the offset, or NULL. */
const GlnWord *gln_word_at(GlnText text, size_t offset);
size_t gln_word_count(void);
const GlnWord *gln_word_number(size_t index);
bool gln_silence_word(GlnText text); /* N.C. in its spellings */

/* ---- faults ---- */

/* X(name, words): @ stands for the part that was not understood, in quotes. */
#define GLN_SYMBOL_FAULT_LIST(X)                                                                             \
  X(GLN_FAULT_NONE, "")                                                                                      \
  X(GLN_FAULT_EMPTY, "there is no chord here")                                                               \
  X(GLN_FAULT_LONG, "this chord symbol is too long (223 bytes are the limit)")                               \
  X(GLN_FAULT_ROOT, "a chord starts with a note name, A to G in capitals, not with @")                       \
  X(GLN_FAULT_ACCIDENTALS, "@ has more than two sharps or flats")                                            \
  X(GLN_FAULT_WORD, "@ is not a part of a chord symbol")                                                     \
  X(GLN_FAULT_PLACE, "@ cannot stand here")                                                                  \
  X(GLN_FAULT_NUMBER, "@ needs a chord tone after it, such as 5, 9, 11 or 13")                               \
  X(GLN_FAULT_DEGREE, "@ is not a tone that can be added or altered like this")                              \
  X(GLN_FAULT_BASE, "@ names no chord in use")                                                               \
  X(GLN_FAULT_OPEN, "the bracket is not closed")                                                             \
  X(GLN_FAULT_CLOSE, "this bracket was not opened")                                                          \
  X(GLN_FAULT_HOLLOW, "there is nothing in this place")                                                      \
  X(GLN_FAULT_BASS, "a slash wants a bass note in capitals after it, as in C/E, not @")                      \
  X(GLN_FAULT_AFTER_BASS, "nothing can follow the bass note, but here is @")                                 \
  X(GLN_FAULT_FAR_BASS, "the bass @ is spelled too far from the root")                                       \
  X(GLN_FAULT_CROWDED, "this chord has more than 11 different tones")                                        \
  X(GLN_FAULT_BARE, "no tone is left in this chord")                                                         \
  X(GLN_FAULT_SPELLING,                                                                                      \
    "a tone of this chord would need more than three sharps or flats; write a plainer root")                 \
  X(GLN_FAULT_HARTE_X, "X says that the chord is unknown; write the chord, or N where none is played")       \
  X(GLN_FAULT_HARTE_SHORTHAND, "@ is not a shorthand of Harte syntax")                                       \
  X(GLN_FAULT_HARTE_DEGREE, "a list of Harte syntax holds degrees from 1 to 13, such as b7 or *5, not @")    \
  X(GLN_FAULT_HARTE_END, "@ cannot follow here in Harte syntax")

typedef enum GlnFaultKind {
#define GLN_FAULT_KIND_NAME(name, words) name,
  GLN_SYMBOL_FAULT_LIST(GLN_FAULT_KIND_NAME)
#undef GLN_FAULT_KIND_NAME
} GlnFaultKind;

/* Where reading stopped. */
typedef struct GlnStop {
  GlnFaultKind kind;
  size_t offset, length;
} GlnStop;

/* The readers without words for people; *stop says why not. */
bool gln_symbol_read(GlnText symbol, GlnChord *chord, GlnStop *stop);
bool gln_harte_read(GlnText label, GlnChord *chord, GlnStop *stop);
GlnStop gln_assembly_stop(GlnAssembly assembly, GlnText symbol, size_t bass_offset);
void gln_fault_fill(GlnSymbolFault *fault, GlnText symbol, GlnStop stop);
/* Tries a bounded number of repairs of a symbol that does not read; "" when none does. */
void gln_fault_nearest(GlnSymbolFault *fault, GlnText symbol, GlnStop stop);

#endif
