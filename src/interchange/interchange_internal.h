/* Inside the interchange room: what its readers share. */
#ifndef GLN_INTERCHANGE_INTERNAL_H
#define GLN_INTERCHANGE_INTERNAL_H

#include "interchange.h"

/* ---- lines and words ---- */

/* The next line of the text without its line end, *at moved behind it; false at the text's end. */
bool gln_line_next(GlnText text, size_t *at, GlnText *line);
/* The next word between blanks, *at moved behind it; false at the line's end. */
bool gln_word_next(GlnText line, size_t *at, GlnText *word);
/* The words up to a separator, trimmed, *text moved behind it. */
GlnText gln_text_cut(GlnText *text, char separator);

/* ---- chords ---- */

/* Harte syntax, with the marks that annotators use where no chord can be written down: X, &pause and * are silence, and
 * *doubtful says so. */
GLN_MUST_USE GlnStatus gln_label_read(GlnText label, GlnChord *chord, bool *doubtful, GlnSymbolFault *fault);
/* gripline's spelling of a chord, in the arena; empty when memory is out. */
GlnText gln_symbol_copy(const GlnChord *chord, GlnArena *arena);

/* Whether slot i is the chord of the slot before, held over the bar line. */
bool gln_slot_goes_on(const GlnSong *song, size_t i);

/* A chord that lasts whole beats, at least one. */
typedef struct GlnBeatChord {
  GlnText symbol;
  int beats;
} GlnBeatChord;

/* The chords as bars of so many counted beats, four bars a line, each line ended. Beats that fill no bar at the end are
 * left out: let the last chord fill it. rest beats come first: a pick-up. */
void gln_add_beat_line(GlnBuffer *out, const GlnBeatChord *chords, size_t count, int counts, int rest);

/* The bytes as text of the same length, with blanks for control characters and no-break spaces and \n for every line end; a broken byte goes to
 * diags with GLN_INPUT. */
GLN_MUST_USE GlnStatus gln_import_text(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnText *text);

#endif
