/* What the files of the MusicXML writer share; never included from outside. */
#ifndef GLN_MUSICXML_WRITE_INTERNAL_H
#define GLN_MUSICXML_WRITE_INTERNAL_H

#include "musicxml_internal.h"

/* ---- XML as text ----------------------------------------------------------------------------------------------------- */

typedef struct GlnXmlWriter {
  GlnBuffer *out;
  int depth;
} GlnXmlWriter;

/* <name attributes> and </name>; attributes are written as they are. */
__attribute__((format(printf, 3, 4))) void gln_xml_open(GlnXmlWriter *writer, const char *name,
                                                        const char *attributes, ...);
void gln_xml_close(GlnXmlWriter *writer, const char *name);
/* <name attributes/> */
__attribute__((format(printf, 3, 4))) void gln_xml_empty(GlnXmlWriter *writer, const char *name,
                                                         const char *attributes, ...);
/* <name attributes>text</name>, the text made safe: what XML cannot hold becomes U+FFFD. */
void gln_xml_leaf(GlnXmlWriter *writer, const char *name, const char *attributes, GlnText text);
void gln_xml_number(GlnXmlWriter *writer, const char *name, long long value);
void gln_xml_add_safe(GlnBuffer *out, GlnText text);

/* Divisions of a quarter note in which all of these are whole. */
int64_t gln_divisions_with(int64_t divisions, GlnRatio quarters);

/* ---- parts of a score ---------------------------------------------------------------------------------------------------- */

typedef struct GlnScoreWriter {
  GlnXmlWriter xml;
  const GlnMusicXmlOptions *options;
  GlnArena *arena;
  GlnMeter meter; /* in force; 0/0 before the first */
  int64_t divisions;
  int measure;
  GlnStatus status;
} GlnScoreWriter;

void gln_write_score_head(GlnScoreWriter *writer, const char *part_name);
/* <harmony> with its diagram; grip NULL: none. offset: divisions after the place it is written at. */
void gln_write_harmony(GlnScoreWriter *writer, const GlnChord *chord, const GlnGrip *grip, int64_t offset);
/* The rest of <attributes>, in its order, where something changed. first: key, clefs and strings besides. */
void gln_write_attributes(GlnScoreWriter *writer, GlnMeter meter, int64_t divisions, bool first, bool staves);
void gln_write_rehearsal(GlnScoreWriter *writer, GlnText name);
void gln_write_tempo(GlnScoreWriter *writer);
void gln_write_pitch(GlnScoreWriter *writer, GlnPitch pitch);
/* type, dot and time-modification. */
void gln_write_value(GlnScoreWriter *writer, const GlnNoteValue *value);

GLN_MUST_USE GlnStatus gln_write_lead_sheet(GlnScoreWriter *writer);
GLN_MUST_USE GlnStatus gln_write_performance(GlnScoreWriter *writer);

#endif
