/* Reads Harte syntax: root [":" shorthand] ["(" degrees ")"] ["/" degree]. Harte, Sandler, Abdallah & Gómez,
 * ISMIR 2005.
 *
 * A list without a shorthand: one of three degrees or more names a chord on its root, which sounds as well
 * (C:(b3,5,b7) is C:min7), a shorter one sounds just what it lists (C:(3,5) is E and G); "1" or "*1" says it
 * outright. The shorthands 11 and 13 are not in the paper: they are gripline's own 11 and 13 chords. */
#include "theory_internal.h"

#include <string.h>

typedef struct Label {
  GlnText text;
  size_t at;
  GlnStop *stop;
  GlnDegreeSet own;
  bool shorthand;
} Label;

#define HARTE_NUMBER_MAX 13

static bool fail(Label *label, GlnFaultKind kind, size_t offset, size_t length) {
  *label->stop = (GlnStop){kind, offset, length};
  return false;
}

static char peek(const Label *label) {
  return label->at < label->text.length ? label->text.at[label->at] : '\0';
}

static size_t part_length(const Label *label) {
  size_t end = label->at;
  while (end < label->text.length && strchr(":(),/", label->text.at[end]) == NULL)
    end += gln_text_code_point(label->text, end, NULL);
  return end - label->at;
}

static bool read_degree(Label *label, int alteration_max, GlnDegree *degree) {
  size_t length = part_length(label);
  size_t used = 0;
  GlnText part = gln_text_slice(label->text, label->at, length);
  if (gln_degree_parse(part, degree, &used) != GLN_OK || used != length ||
      degree->number > HARTE_NUMBER_MAX || degree->alteration > alteration_max ||
      degree->alteration < -alteration_max)
    return fail(label, GLN_FAULT_HARTE_DEGREE, label->at, length > 0 ? length : 1);
  label->at += length;
  return true;
}

static bool read_list(Label *label) {
  GlnDegreeSet added = {{0}};
  GlnDegreeSet taken = {{0}};
  size_t open = label->at;
  do {
    GlnDegree degree;
    label->at++;
    bool omit = peek(label) == '*';
    label->at += omit ? 1 : 0;
    if (!read_degree(label, GLN_ALTERATION_MAX, &degree))
      return false;
    gln_set_add(omit ? &taken : &added, degree.number, degree.alteration);
  } while (peek(label) == ',');
  if (peek(label) != ')')
    return fail(label, GLN_FAULT_OPEN, open, 1);
  label->at++;
  if (!label->shorthand && gln_set_count(&added) >= 3)
    gln_set_add(&label->own, 1, 0);
  label->own = gln_set_with(&label->own, &added);
  label->own = gln_set_without(&label->own, &taken);
  return true;
}

static bool read_quality(Label *label) {
  if (peek(label) != ':') {
    label->own = gln_set_of("1 3 5");
    return true;
  }
  label->at++;
  size_t length = part_length(label);
  label->shorthand = length > 0;
  if (label->shorthand) {
    int row = gln_quality_of_harte(gln_text_slice(label->text, label->at, length));
    if (row < 0)
      return fail(label, GLN_FAULT_HARTE_SHORTHAND, label->at, length);
    label->own = gln_set_of(gln_quality_at((size_t)row)->degrees);
    label->at += length;
  } else if (peek(label) != '(') {
    return fail(label, GLN_FAULT_HOLLOW, label->at - 1, 1);
  }
  return peek(label) != '(' || read_list(label);
}

/* A bass by its degree, spelled by letter; the octave does not matter. */
static bool read_bass(Label *label, GlnNote root, GlnNote *bass) {
  GlnDegree degree;
  size_t start = ++label->at;
  if (!read_degree(label, GLN_ACCIDENTAL_MAX, &degree))
    return false;
  *bass = gln_note_above(root, degree);
  if (bass->accidental > GLN_ROOT_ACCIDENTAL_MAX || bass->accidental < -GLN_ROOT_ACCIDENTAL_MAX)
    return fail(label, GLN_FAULT_FAR_BASS, start, label->at - start);
  return true;
}

bool gln_harte_read(GlnText text, GlnChord *chord, GlnStop *stop) {
  Label label = {.text = text, .stop = stop};
  GlnNote root;
  GlnNote bass;
  size_t used = 0;
  if (text.length == 0)
    return fail(&label, GLN_FAULT_EMPTY, 0, 0);
  if (text.length >= GLN_SYMBOL_TEXT_MAX)
    return fail(&label, GLN_FAULT_LONG, GLN_SYMBOL_TEXT_MAX - 1, text.length - (GLN_SYMBOL_TEXT_MAX - 1));
  if (gln_text_equal(text, GLN_TEXT("N"))) {
    *chord = (GlnChord){.silent = true, .quality = -1, .root_tone = -1, .bass_tone = -1};
    return true;
  }
  if (gln_text_equal(text, GLN_TEXT("X")))
    return fail(&label, GLN_FAULT_HARTE_X, 0, 1);
  if (gln_note_parse(text, &root, &used) != GLN_OK)
    return fail(&label, GLN_FAULT_ROOT, 0, gln_text_code_point(text, 0, NULL));
  if (root.accidental > GLN_ROOT_ACCIDENTAL_MAX || root.accidental < -GLN_ROOT_ACCIDENTAL_MAX)
    return fail(&label, GLN_FAULT_ACCIDENTALS, 0, used);
  label.at = used;
  if (!read_quality(&label))
    return false;
  size_t bass_at = 0;
  if (peek(&label) == '/') {
    bass_at = label.at + 1;
    if (!read_bass(&label, root, &bass))
      return false;
  }
  if (label.at < text.length)
    return fail(&label, GLN_FAULT_HARTE_END, label.at, text.length - label.at);
  GlnAssembly assembly = gln_chord_assemble(root, &label.own, -1, bass_at > 0 ? &bass : NULL, chord);
  if (assembly != GLN_ASSEMBLED)
    *stop = gln_assembly_stop(assembly, text, 0);
  return assembly == GLN_ASSEMBLED;
}
