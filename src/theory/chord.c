/* Chords from a root, a set of degrees and a bass; what they contain, and moving them. */
#include "theory_internal.h"

#include <assert.h>
#include <stdlib.h>

static GlnTone tone_of(GlnNote root, GlnDegree degree) {
  GlnNote note = gln_note_above(root, degree);
  return (GlnTone){.degree = degree,
                   .note = note,
                   .pitch_class = (int8_t)gln_note_pitch_class(note),
                   .role = GLN_ROLE_MUST};
}

static bool spellable(GlnNote note) {
  return abs(note.accidental) <= GLN_ACCIDENTAL_MAX;
}

/* The slash bass becomes the tone that sounds its pitch, or a tone of its own; either way it must sound. */
static GlnAssembly add_bass(GlnChord *chord, GlnNote bass) {
  GlnDegree degree = gln_degree_between(chord->root, bass);
  if (abs(degree.alteration) > GLN_ACCIDENTAL_MAX)
    return GLN_TOO_MANY_ACCIDENTALS;
  int index = gln_chord_tone_of(chord, gln_note_pitch_class(bass));
  if (index < 0) {
    index = chord->tone_count++;
    chord->tones[index] = tone_of(chord->root, degree);
  }
  chord->tones[index].role = GLN_ROLE_MUST;
  chord->tones[index].leave_order = 0;
  chord->has_bass = true;
  chord->bass = bass;
  chord->bass_tone = (int8_t)index;
  return GLN_ASSEMBLED;
}

GlnAssembly gln_chord_assemble(GlnNote root, const GlnDegreeSet *own, int quality, const GlnNote *bass,
                               GlnChord *chord) {
  GlnChord made = {.root = root, .bass = root, .root_tone = -1, .bass_tone = -1};
  GlnDegree degree = {0, 0};
  while (gln_set_next(own, &degree)) {
    if (made.tone_count == GLN_OWN_TONES_MAX)
      return GLN_TOO_MANY_TONES;
    GlnTone tone = tone_of(root, degree);
    if (!spellable(tone.note))
      return GLN_TOO_MANY_ACCIDENTALS;
    made.tones[made.tone_count++] = tone;
  }
  if (made.tone_count == 0)
    return GLN_NO_TONES;
  if (gln_set_has(own, 1, 0)) {
    made.root_tone = 0;
    for (; made.tones[made.root_tone].degree.alteration != 0; made.root_tone++)
      ;
    made.bass_tone = made.root_tone;
  }
  made.own_count = made.tone_count;
  made.quality = (int16_t)(quality >= 0 ? quality : gln_quality_of(own));
  gln_roles_set(own, made.tones, made.own_count);
  GlnAssembly assembly = bass == NULL ? GLN_ASSEMBLED : add_bass(&made, *bass);
  if (assembly == GLN_ASSEMBLED)
    *chord = made;
  return assembly;
}

GlnDegreeSet gln_chord_own_set(const GlnChord *chord) {
  GlnDegreeSet set = {{0}};
  for (int i = 0; i < chord->own_count; i++)
    gln_set_add(&set, chord->tones[i].degree.number, chord->tones[i].degree.alteration);
  return set;
}

GlnStatus gln_chord_build(GlnNote root, size_t quality, const GlnNote *bass, GlnChord *chord) {
  assert(quality < gln_quality_count());
  GlnDegreeSet set = gln_set_of(gln_quality_at(quality)->degrees);
  return gln_chord_assemble(root, &set, (int)quality, bass, chord) == GLN_ASSEMBLED ? GLN_OK : GLN_INPUT;
}

static bool tone_equal(const GlnTone *a, const GlnTone *b) {
  return a->degree.number == b->degree.number && a->degree.alteration == b->degree.alteration &&
         gln_note_equal(a->note, b->note) && a->role == b->role;
}

bool gln_chord_equal(const GlnChord *a, const GlnChord *b) {
  if (a->silent || b->silent)
    return a->silent == b->silent;
  if (!gln_note_equal(a->root, b->root) || !gln_note_equal(a->bass, b->bass) ||
      a->bass_tone != b->bass_tone || a->tone_count != b->tone_count)
    return false;
  for (int i = 0; i < a->tone_count; i++) {
    if (!tone_equal(&a->tones[i], &b->tones[i]))
      return false;
  }
  return true;
}

uint16_t gln_chord_pitch_classes(const GlnChord *chord) {
  unsigned classes = 0;
  for (int i = 0; i < chord->tone_count; i++)
    classes |= 1U << (unsigned)chord->tones[i].pitch_class;
  return (uint16_t)classes;
}

int gln_chord_tone_of(const GlnChord *chord, int pitch_class) {
  for (int i = 0; i < chord->tone_count; i++) {
    if (chord->tones[i].pitch_class == pitch_class)
      return i;
  }
  return -1;
}

/* The root as far above to as it was above from, in plain spelling unless the old root was no plainer. */
static GlnNote root_moved(GlnNote root, GlnNote from, GlnNote to) {
  GlnNote moved = gln_note_above(to, gln_degree_between(from, root));
  bool odd = abs(moved.accidental) > 1 && abs(moved.accidental) > abs(root.accidental);
  return odd ? gln_note_plainer(moved) : moved;
}

/* Degrees are altered at most twice (GLN_ALTERATION_MAX), so a root in its plainest spelling carries every chord. */
GlnChord gln_chord_transpose(const GlnChord *chord, GlnNote from, GlnNote to) {
  if (chord->silent)
    return *chord;
  GlnDegreeSet set = gln_chord_own_set(chord);
  GlnDegree bass_degree = gln_degree_between(chord->root, chord->bass);
  GlnNote root = root_moved(chord->root, from, to);
  GlnKey plain = {{0, 0}, false};
  const GlnNote roots[] = {root, gln_note_plainer(root), gln_key_spell(plain, gln_note_pitch_class(root))};
  for (size_t i = 0; i < GLN_COUNT_OF(roots); i++) {
    GlnNote bass = gln_note_above(roots[i], bass_degree);
    if (abs(bass.accidental) > GLN_ROOT_ACCIDENTAL_MAX)
      bass = gln_note_plainer(bass);
    GlnChord moved;
    if (gln_chord_assemble(roots[i], &set, chord->quality, chord->has_bass ? &bass : NULL, &moved) ==
        GLN_ASSEMBLED)
      return moved;
  }
  assert(false && "the plainest root carries every chord");
  return *chord;
}

GlnPitch gln_pitch_in_chord(const GlnChord *chord, GlnKey key, int midi) {
  int tone = chord != NULL && !chord->silent ? gln_chord_tone_of(chord, midi % 12) : -1;
  return gln_pitch_at(tone >= 0 ? chord->tones[tone].note : gln_key_spell(key, midi % 12), midi);
}
