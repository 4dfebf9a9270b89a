/* What the files of the MusicXML reader and writer share; never included from outside. */
#ifndef GLN_MUSICXML_INTERNAL_H
#define GLN_MUSICXML_INTERNAL_H

#include "interchange.h"
#include "song.h"

/* ---- the elements of MusicXML 4.0 that matter here ----------------------------------------------------------- */

/* X(id, element): what is read, by name. The rest of the file is passed over: what belongs to layout silently, what says
 * something about the music counted by name. */
#define GLN_ELEMENT_LIST(X)                                                                                  \
  X(ALTER, "alter")                                                                                          \
  X(ATTRIBUTES, "attributes")                                                                                \
  X(BACKUP, "backup")                                                                                        \
  X(BARLINE, "barline")                                                                                      \
  X(BARRE, "barre")                                                                                          \
  X(BASS, "bass")                                                                                            \
  X(BASS_ALTER, "bass-alter")                                                                                \
  X(BASS_STEP, "bass-step")                                                                                  \
  X(BEAT_TYPE, "beat-type")                                                                                  \
  X(BEAT_UNIT, "beat-unit")                                                                                  \
  X(BEAT_UNIT_DOT, "beat-unit-dot")                                                                          \
  X(BEATS, "beats")                                                                                          \
  X(CAPO, "capo")                                                                                            \
  X(CHORD, "chord")                                                                                          \
  X(CHROMATIC, "chromatic")                                                                                  \
  X(CODA, "coda")                                                                                            \
  X(CONTAINER, "container")                                                                                  \
  X(CREATOR, "creator")                                                                                      \
  X(CREDIT, "credit")                                                                                        \
  X(CREDIT_TYPE, "credit-type")                                                                              \
  X(CREDIT_WORDS, "credit-words")                                                                            \
  X(CUE, "cue")                                                                                              \
  X(DEGREE, "degree")                                                                                        \
  X(DEGREE_ALTER, "degree-alter")                                                                            \
  X(DEGREE_TYPE, "degree-type")                                                                              \
  X(DEGREE_VALUE, "degree-value")                                                                            \
  X(DIATONIC, "diatonic")                                                                                    \
  X(DIRECTION, "direction")                                                                                  \
  X(DIRECTION_TYPE, "direction-type")                                                                        \
  X(DIVISIONS, "divisions")                                                                                  \
  X(DURATION, "duration")                                                                                    \
  X(ENDING, "ending")                                                                                        \
  X(FIFTHS, "fifths")                                                                                        \
  X(FINGERING, "fingering")                                                                                  \
  X(FIRST_FRET, "first-fret")                                                                                \
  X(FORWARD, "forward")                                                                                      \
  X(FRAME, "frame")                                                                                          \
  X(FRAME_FRETS, "frame-frets")                                                                              \
  X(FRAME_NOTE, "frame-note")                                                                                \
  X(FRAME_STRINGS, "frame-strings")                                                                          \
  X(FRET, "fret")                                                                                            \
  X(FUNCTION, "function")                                                                                    \
  X(GRACE, "grace")                                                                                          \
  X(HARMONY, "harmony")                                                                                      \
  X(IDENTIFICATION, "identification")                                                                        \
  X(INVERSION, "inversion")                                                                                  \
  X(KEY, "key")                                                                                              \
  X(KIND, "kind")                                                                                            \
  X(MEASURE, "measure")                                                                                      \
  X(MEASURE_REPEAT, "measure-repeat")                                                                        \
  X(MEASURE_STYLE, "measure-style")                                                                          \
  X(METRONOME, "metronome")                                                                                  \
  X(MODE, "mode")                                                                                            \
  X(MOVEMENT_TITLE, "movement-title")                                                                        \
  X(NOTE, "note")                                                                                            \
  X(NOTEHEAD, "notehead")                                                                                    \
  X(NUMERAL, "numeral")                                                                                      \
  X(NUMERAL_ALTER, "numeral-alter")                                                                          \
  X(NUMERAL_FIFTHS, "numeral-fifths")                                                                        \
  X(NUMERAL_KEY, "numeral-key")                                                                              \
  X(NUMERAL_MODE, "numeral-mode")                                                                            \
  X(NUMERAL_ROOT, "numeral-root")                                                                            \
  X(OCTAVE, "octave")                                                                                        \
  X(OCTAVE_CHANGE, "octave-change")                                                                          \
  X(OFFSET, "offset")                                                                                        \
  X(PART, "part")                                                                                            \
  X(PER_MINUTE, "per-minute")                                                                                \
  X(PITCH, "pitch")                                                                                          \
  X(REHEARSAL, "rehearsal")                                                                                  \
  X(REPEAT, "repeat")                                                                                        \
  X(REST, "rest")                                                                                            \
  X(ROOT, "root")                                                                                            \
  X(ROOT_ALTER, "root-alter")                                                                                \
  X(ROOT_STEP, "root-step")                                                                                  \
  X(ROOTFILE, "rootfile")                                                                                    \
  X(ROOTFILES, "rootfiles")                                                                                  \
  X(SCORE_PARTWISE, "score-partwise")                                                                        \
  X(SCORE_TIMEWISE, "score-timewise")                                                                        \
  X(SEGNO, "segno")                                                                                          \
  X(SOUND, "sound")                                                                                          \
  X(STAFF_DETAILS, "staff-details")                                                                          \
  X(STAFF_LINES, "staff-lines")                                                                              \
  X(STAFF_TUNING, "staff-tuning")                                                                            \
  X(STEP, "step")                                                                                            \
  X(STRING, "string")                                                                                        \
  X(TIE, "tie")                                                                                              \
  X(TIME, "time")                                                                                            \
  X(TRANSPOSE, "transpose")                                                                                  \
  X(TUNING_ALTER, "tuning-alter")                                                                            \
  X(TUNING_OCTAVE, "tuning-octave")                                                                          \
  X(TUNING_STEP, "tuning-step")                                                                              \
  X(WORDS, "words")                                                                                          \
  X(WORK, "work")                                                                                            \
  X(WORK_TITLE, "work-title")
typedef enum GlnElement {
#define GLN_ELEMENT_NAME(id, element) GLN_ELEMENT_##id,
  GLN_ELEMENT_LIST(GLN_ELEMENT_NAME)
#undef GLN_ELEMENT_NAME
      GLN_ELEMENT_COUNT
} GlnElement;

/* X(id, attribute): those that are read. */
#define GLN_ATTRIBUTE_LIST(X)                                                                                \
  X(AFTER_JUMP, "after-jump")                                                                                \
  X(CODA, "coda")                                                                                            \
  X(DACAPO, "dacapo")                                                                                        \
  X(DALSEGNO, "dalsegno")                                                                                    \
  X(DIRECTION, "direction")                                                                                  \
  X(FINE, "fine")                                                                                            \
  X(FULL_PATH, "full-path")                                                                                  \
  X(IMPLICIT, "implicit")                                                                                    \
  X(LINE, "line")                                                                                            \
  X(LOCATION, "location")                                                                                    \
  X(MEDIA_TYPE, "media-type")                                                                                \
  X(NUMBER, "number")                                                                                        \
  X(SEGNO, "segno")                                                                                          \
  X(TEMPO, "tempo")                                                                                          \
  X(TEXT, "text")                                                                                            \
  X(TIMES, "times")                                                                                          \
  X(TOCODA, "tocoda")                                                                                        \
  X(TYPE, "type")
typedef enum GlnAttribute {
#define GLN_ATTRIBUTE_NAME(id, attribute) GLN_ATTRIBUTE_##id,
  GLN_ATTRIBUTE_LIST(GLN_ATTRIBUTE_NAME)
#undef GLN_ATTRIBUTE_NAME
      GLN_ATTRIBUTE_COUNT
} GlnAttribute;

typedef struct GlnXmlAttribute {
  GlnAttribute name;
  GlnText value;
  struct GlnXmlAttribute *next;
} GlnXmlAttribute;

typedef struct GlnXmlNode {
  GlnElement name;
  size_t offset; /* of its < in the text */
  GlnText text;  /* its own character data, blanks off both ends */
  GlnXmlAttribute *attributes;
  struct GlnXmlNode *first, *next;
} GlnXmlNode;

#define GLN_XML_PASSED_MAX 48 /* names of passed-over elements that are told apart */
typedef struct GlnXmlPassed {
  GlnText name;
  size_t count;
} GlnXmlPassed;

typedef struct GlnXmlDocument {
  GlnXmlNode *root;
  GlnXmlPassed passed[GLN_XML_PASSED_MAX]; /* elements that say something about the music and are not read */
  size_t passed_count, passed_beyond;      /* kinds in passed; elements of still other kinds */
} GlnXmlDocument;

/* UTF-16 by its byte order mark or its first letter becomes UTF-8 and *is_utf8 true, whatever the text then says of itself;
 * other text stays as it is. GLN_INPUT, with a fault in diags, for half pairs and a lone last byte. */
GLN_MUST_USE GlnStatus gln_xml_decode(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnText *text,
                                      bool *is_utf8);
/* The known elements of a well-formed document, encoded as it says or, where is_utf8, in UTF-8; ISO 8859-1, Windows-1252
 * and ASCII are read besides. Nothing but text is ever read: no external entity, no DTD, no network. Faults go to diags,
 * placed in text. GLN_INPUT, GLN_LIMIT or GLN_MEMORY then. */
GLN_MUST_USE GlnStatus gln_xml_read(GlnText text, bool is_utf8, GlnArena *arena, GlnDiags *diags,
                                    GlnXmlDocument *document);

/* NULL when there is none. */
const GlnXmlNode *gln_xml_child(const GlnXmlNode *node, GlnElement name);
const GlnXmlNode *gln_xml_next(const GlnXmlNode *node, GlnElement name); /* the next sibling of this name */
/* Empty when there is none. */
GlnText gln_xml_attribute(const GlnXmlNode *node, GlnAttribute name);
GlnText gln_xml_text(const GlnXmlNode *node, GlnElement child); /* of the first such child */
/* The child's text as a whole number from low to high; otherwise when it is none. */
long gln_xml_integer(const GlnXmlNode *node, GlnElement child, long low, long high, long otherwise);

/* ---- chords ------------------------------------------------------------------------------------------------------- */

/* Where a chord stands: the key in force, for chords given by numerals, and how its part transposes. */
typedef struct GlnHarmonyPlace {
  GlnKey key;
  int steps, semitones; /* of the part's transposition */
} GlnHarmonyPlace;
/* The first chord of a <harmony>, as it sounds. What is not understood is warned of; false when no chord could be made of
 * it. */
GLN_MUST_USE bool gln_xml_chord_read(const GlnXmlNode *harmony, const GlnHarmonyPlace *place, GlnDiags *diags,
                                     GlnChord *chord);
/* The note so many letters and semitones above. */
GlnNote gln_note_moved(GlnNote note, int steps, int semitones);
/* The key of so many sharps (negative: flats). */
GlnKey gln_key_of_fifths(int fifths, bool minor);

typedef struct GlnKindDegree {
  GlnDegree degree; /* alteration as MusicXML counts it for this type */
  enum { GLN_KIND_ADD, GLN_KIND_ALTER, GLN_KIND_SUBTRACT } type;
} GlnKindDegree;
#define GLN_KIND_DEGREES_MAX 24
/* A chord as MusicXML says it. */
typedef struct GlnKindSpelling {
  const char *kind; /* "half-diminished" */
  GlnKindDegree degrees[GLN_KIND_DEGREES_MAX];
  int degree_count;
} GlnKindSpelling;
/* key NULL: none is known. Only in a known key a major triad on its lowered second over its third is a Neapolitan. */
GlnKindSpelling gln_kind_spell(const GlnChord *chord, const GlnKey *key);
size_t gln_kind_count(void);
const char *gln_kind_name(size_t index);

/* ---- frames ------------------------------------------------------------------------------------------------------- */

/* A <frame>; false, with a warning, when it is none that a chart can hold. */
bool gln_frame_read(const GlnXmlNode *frame, GlnDiags *diags, GlnFrets *frets);

/* ---- the score, bar by bar ------------------------------------------------------------------------------------------ */

/* Ticks a quarter note: 2 to the fifth for 128th notes, 9 5 7 for tuplets. */
#define GLN_TICKS 10080

typedef struct GlnScoreChord {
  int64_t at; /* ticks from the bar's start */
  GlnChord chord;
  GlnFrets frets; /* string_count 0: no frame */
  const GlnXmlNode *node;
} GlnScoreChord;

typedef struct GlnScoreNote { /* of the melody */
  int64_t at, ticks;
  GlnPitch pitch; /* as it sounds */
  bool held;      /* tied to the one before */
} GlnScoreNote;

typedef struct GlnScoreBar {
  const GlnXmlNode *node; /* the measure of the first part */
  GlnMeter meter;
  GlnKey key;
  int64_t ticks; /* actual length; 0: nothing in it says */
  bool implicit;
  bool repeat_starts, after_jump;
  bool ending_stops;
  int plays;        /* a repeat ends here, played so often in all; 0: none does */
  uint32_t endings; /* bits */
  bool ending_starts;
  bool segno, coda, to_coda, fine, da_capo, dal_segno;
  int same_as; /* so many bars back: a sign says that they are repeated; 0: none */
  GlnText rehearsal;
  GlnScoreChord *chords;
  size_t chord_count;
  GlnScoreNote *notes; /* the top line, by time */
  size_t note_count;
} GlnScoreBar;

typedef struct GlnScore {
  GlnText title, by, tuning;
  GlnText feel;      /* words over the first bar that are the name of one */
  int capo, strings; /* 0: not said */
  GlnKey key;
  bool has_key;
  GlnMeter meter;
  double tempo; /* quarter notes a minute; 0: not said */
  GlnScoreBar *bars;
  size_t bar_count;
  size_t chord_count, frame_count, note_count;
} GlnScore;

/* musicxml_score.c: what a document says, part by part, gathered. */
GLN_MUST_USE GlnStatus gln_score_read(const GlnXmlDocument *document, GlnArena *arena, GlnDiags *diags,
                                      GlnScore *score);
/* ---- the score played through, as sections and their order --------------------------------------------------------- */

/* Bars played more than once: from first to last, endings included. */
typedef struct GlnScorePassage {
  uint32_t first, last;
  int plays;
  int parent; /* index of the passage around it, or -1 */
  bool after_jump;
  bool inside; /* it stays within one section, as a chart's repeats do */
} GlnScorePassage;

typedef struct GlnScorePiece {
  uint32_t *bars; /* of the score, as written */
  size_t bar_count;
  bool repeats; /* the repeats and endings inside it are written with it; else they are played out */
  GlnText name;
} GlnScorePiece;

typedef struct GlnScoreForm {
  GlnScorePassage *passages;
  size_t passage_count;
  int *inner; /* of each bar: the innermost passage it lies in, or -1 */
  GlnScorePiece *pieces;
  size_t piece_count, piece_capacity;
  uint16_t *order;
  size_t order_count;
  size_t played; /* bars in all */
} GlnScoreForm;

/* musicxml_passages.c: mends the endings of the score's bars and finds what is repeated. */
GLN_MUST_USE GlnStatus gln_score_passages(GlnScore *score, GlnArena *arena, GlnScoreForm *form);
/* musicxml_play.c: bars in playing order. GLN_LIMIT past GLN_PLAYED_BARS_MAX. */
GLN_MUST_USE GlnStatus gln_score_play(GlnScore *score, const GlnScoreForm *form, GlnArena *arena,
                                      GlnDiags *diags, uint32_t **order, size_t *count);
/* musicxml_form.c: pieces and their order, which give the same bars. */
GLN_MUST_USE GlnStatus gln_score_form(GlnScore *score, GlnArena *arena, GlnDiags *diags, GlnScoreForm *form);
bool gln_score_bar_is_pickup(const GlnScore *score, size_t bar);
int64_t gln_meter_ticks(GlnMeter meter);
/* The grid that chords and notes fall on, in ticks. */
int64_t gln_grid_of(GlnMeter meter);
/* musicxml_tune.c: the melody over a bar whose events and length are set. before: the last note of the bar before, or NULL. */
GLN_MUST_USE GlnStatus gln_score_tune(const GlnScoreBar *bar, const GlnPitch *before, GlnArena *arena,
                                      GlnBar *into);
bool gln_tunes_equal(const GlnBar *a, const GlnBar *b);
/* musicxml_chart.c: the chart of it. */
GLN_MUST_USE GlnStatus gln_score_chart(GlnScore *score, const GlnMusicXmlWish *wish, GlnArena *arena,
                                       GlnDiags *diags, GlnChart *chart);

#endif
