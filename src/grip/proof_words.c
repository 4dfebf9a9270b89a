/* Proof-reading in words: what is wrong with a grip, and what would put it right. */
#include "proof_internal.h"

static void add_note(GlnBuffer *out, GlnNote note) {
  char text[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(note, GLN_SIGNS_UNICODE, text);
  gln_buffer_add_string(out, text);
}

static void add_symbol(GlnBuffer *out, const GlnChord *chord) {
  char text[GLN_SYMBOL_TEXT_MAX];
  (void)gln_chord_print(chord, GLN_SIGNS_UNICODE, text);
  gln_buffer_add_string(out, text);
}

/* The pitch class as the chord spells it, else as its root's key would. */
static GlnNote spell(const GlnChord *chord, int pitch_class) {
  int tone = gln_chord_tone_of(chord, pitch_class);
  return tone >= 0 ? chord->tones[tone].note : gln_key_spell((GlnKey){chord->root, false}, pitch_class);
}

/* Between the parts of "a", "a and b", "a, b and c". */
static const char *list_joint(int at, int count) {
  return at == 0 ? "" : at == count - 1 ? " and " : ", ";
}

static void describe_foreign(const GlnProof *proof, const GlnChord *chord, const GlnInstrument *instrument,
                             GlnBuffer *out) {
  int count = gln_bit_count(proof->foreign_strings), at = 0;
  for (int s = 0; s < proof->frets.string_count; s++) {
    if ((proof->foreign_strings >> s & 1) == 0)
      continue;
    int midi = gln_sounding_midi(instrument, s, proof->frets.fret[s]);
    gln_buffer_format(out, "%sstring %d sounds ", list_joint(at++, count), gln_string_number(instrument, s));
    add_note(out, spell(chord, midi % 12));
  }
  gln_buffer_add_string(out, count == 1 ? ", which is not in " : ", which are not in ");
  add_symbol(out, chord);
}

static void describe_missing(const GlnProof *proof, const GlnChord *chord, GlnBuffer *out) {
  int count = gln_bit_count(proof->missing_tones), at = 0;
  for (int t = 0; t < chord->tone_count; t++) {
    if ((proof->missing_tones >> t & 1) == 0)
      continue;
    char degree[GLN_DEGREE_TEXT_MAX];
    gln_buffer_add_string(out, list_joint(at++, count));
    add_note(out, chord->tones[t].note);
    if (t == chord->root_tone)
      gln_buffer_add_string(out, ", the root");
    else if (t < chord->own_count && gln_degree_print(chord->tones[t].degree, GLN_SIGNS_UNICODE, degree) > 0)
      gln_buffer_format(out, ", the %s", degree);
  }
  gln_buffer_add_string(out, count == 1 ? ", does not sound" : ", do not sound");
}

void gln_proof_describe(const GlnProof *proof, const GlnChord *chord, const GlnInstrument *instrument,
                        GlnBuffer *out) {
  const char *between = "";
  if (proof->foreign_strings != 0) {
    describe_foreign(proof, chord, instrument, out);
    between = "; ";
  }
  if (proof->missing_tones != 0) {
    gln_buffer_add_string(out, between);
    describe_missing(proof, chord, out);
    between = "; ";
  }
  if (proof->bass_wrong && proof->bass_string >= 0) {
    int midi = gln_sounding_midi(instrument, proof->bass_string, proof->frets.fret[proof->bass_string]);
    gln_buffer_format(out, "%sthe lowest note is ", between);
    add_note(out, spell(chord, midi % 12));
    gln_buffer_add_string(out, ", not ");
    add_note(out, chord->bass);
    between = "; ";
  }
  if (proof->unplayable)
    gln_buffer_format(out, "%s%s", between, gln_problem_words(GLN_PROBLEM_UNPLAYABLE));
}

/* ---- what to do --------------------------------------------------------------------------------------------------- */

static void add_fret(GlnBuffer *out, int fret) {
  if (fret < 0)
    gln_buffer_add_string(out, "not played");
  else if (fret == 0)
    gln_buffer_add_string(out, "open");
  else
    gln_buffer_format(out, "fret %d", fret);
}

/* "string 3: fret 2 in place of fret 3": what changes from the shape read. */
static void describe_changes(const GlnProof *proof, const GlnSuggestion *suggestion,
                             const GlnInstrument *instrument, GlnBuffer *out) {
  const char *between = "";
  for (int s = 0; s < proof->frets.string_count; s++) {
    int from = proof->frets.fret[s], to = suggestion->frets.fret[s];
    if (from == to)
      continue;
    gln_buffer_format(out, "%sstring %d: ", between, gln_string_number(instrument, s));
    add_fret(out, to);
    gln_buffer_add_string(out, " in place of ");
    add_fret(out, from);
    between = "; ";
  }
}

static void describe_two_strings(const GlnProof *proof, const GlnSuggestion *suggestion,
                                 const GlnInstrument *instrument, GlnBuffer *out) {
  int a = suggestion->string_a, b = suggestion->string_b;
  if (suggestion->slip == GLN_PROBLEM_SWAP) {
    gln_buffer_format(out, "strings %d and %d change places: string %d ", gln_string_number(instrument, a),
                      gln_string_number(instrument, b), gln_string_number(instrument, a));
    add_fret(out, suggestion->frets.fret[a]);
    gln_buffer_format(out, ", string %d ", gln_string_number(instrument, b));
    add_fret(out, suggestion->frets.fret[b]);
    return;
  }
  int from = proof->frets.fret[a] >= 0 ? a : b, to = from == a ? b : a;
  gln_buffer_format(out, "the note on string %d belongs on string %d", gln_string_number(instrument, from),
                    gln_string_number(instrument, to));
}

void gln_suggestion_describe(const GlnProof *proof, const GlnSuggestion *suggestion,
                             const GlnInstrument *instrument, GlnBuffer *out) {
  int shift = suggestion->shift;
  char text[GLN_FRETS_TEXT_MAX];
  (void)gln_frets_print(&suggestion->frets, text);
  gln_buffer_format(out, "%s: ", text);
  if (suggestion->slip == GLN_PROBLEM_REVERSED)
    gln_buffer_add_string(out, "write the lowest string first");
  else if (suggestion->slip == GLN_PROBLEM_POSITION)
    gln_buffer_format(out, "the same shape %d fret%s %s", shift < 0 ? -shift : shift,
                      shift == 1 || shift == -1 ? "" : "s", shift < 0 ? "lower" : "higher");
  else if (suggestion->slip == GLN_PROBLEM_STRING && suggestion->string_a < 0)
    gln_buffer_format(out, "the same shape one string %s",
                      shift < 0 ? "over toward the lowest" : "over toward the highest");
  else if (suggestion->slip == GLN_PROBLEM_SWAP || suggestion->slip == GLN_PROBLEM_STRING)
    describe_two_strings(proof, suggestion, instrument, out);
  else
    describe_changes(proof, suggestion, instrument, out);
}
