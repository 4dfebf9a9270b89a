/* One shape as a grip of a chord. */
#include "grip_internal.h"

#include <stdio.h>

void gln_grip_fill(const GlnInstrument *instrument, const GlnChord *chord, const GlnToneNeeds *needs,
                   const GlnFrets *frets, GlnGrip *grip) {
  grip->frets = *frets;
  grip->tones = 0;
  grip->voices = 0;
  grip->bass_string = grip->top_string = -1;
  for (int8_t s = 0; s < GLN_STRINGS_MAX; s++) {
    grip->midi[s] = grip->tone[s] = -1;
    if (s >= frets->string_count || frets->fret[s] < 0)
      continue;
    int midi = gln_sounding_midi(instrument, s, frets->fret[s]);
    uint16_t tones = needs->tones_of[midi % 12];
    grip->midi[s] = (int8_t)midi;
    while (tones != 0 && (tones >> (grip->tone[s] + 1)) != 0 &&
           (grip->tone[s] < 0 || !(tones >> grip->tone[s] & 1)))
      grip->tone[s]++;
    grip->tones |= tones;
    grip->voices++;
    if (grip->bass_string < 0 || midi < grip->midi[grip->bass_string])
      grip->bass_string = s;
    if (grip->top_string < 0 || midi >= grip->midi[grip->top_string])
      grip->top_string = s;
  }
  grip->textures = gln_textures_of(instrument, chord, grip);
}

static GlnStatus fail(GlnSymbolFault *fault, size_t offset, const char *problem) {
  if (fault != NULL) {
    *fault = (GlnSymbolFault){.offset = offset, .length = 1};
    (void)snprintf(fault->problem, sizeof fault->problem, "%s", problem);
  }
  return GLN_NO;
}

static GlnStatus fail_foreign(const GlnGripQuery *query, GlnSymbolFault *fault, int string, int midi) {
  char note[GLN_NOTE_TEXT_MAX], problem[sizeof fault->problem];
  GlnNote spelled = gln_key_spell((GlnKey){query->chord->root, false}, midi % 12);
  (void)gln_note_print(spelled, GLN_SIGNS_UNICODE, note);
  (void)snprintf(problem, sizeof problem, "string %d sounds %s, which is not in the chord",
                 gln_string_number(query->instrument, string), note);
  return fail(fault, (size_t)string, problem);
}

static bool sounds(uint16_t sounding, int pitch_class) {
  return (sounding >> pitch_class & 1) != 0;
}

/* The first tone without which these notes are another chord. */
static GlnStatus fail_missing(const GlnGripQuery *query, GlnSymbolFault *fault, uint16_t sounding,
                              int voices) {
  const GlnChord *chord = query->chord;
  for (int t = 0; t < chord->tone_count; t++) {
    const GlnTone *tone = &chord->tones[t];
    if (sounds(sounding, tone->pitch_class) || tone->role == GLN_ROLE_MAY_GO || t == chord->root_tone)
      continue;
    GlnToneNeeds needs = gln_tone_needs(chord);
    if (gln_tones_admissible(&needs, (uint16_t)(sounding | 1u << tone->pitch_class), voices, false) ||
        tone->role == GLN_ROLE_MUST) {
      char note[GLN_NOTE_TEXT_MAX], degree[GLN_DEGREE_TEXT_MAX], problem[sizeof fault->problem];
      (void)gln_note_print(tone->note, GLN_SIGNS_UNICODE, note);
      (void)gln_degree_print(tone->degree, GLN_SIGNS_UNICODE, degree);
      (void)snprintf(problem, sizeof problem,
                     "%s, the %s, does not sound, and without it this is another chord", note, degree);
      return fail(fault, 0, problem);
    }
  }
  return fail(fault, 0, "too few of the chord's notes sound");
}

/* As the search offers it on so few strings. */
static bool is_all_there_is_room_for(const GlnGripQuery *query, uint16_t sounding, int voices) {
  int strings = query->instrument->string_count;
  strings = strings < GLN_GROUPS_JOIN_VOICES ? strings : GLN_GROUPS_JOIN_VOICES;
  for (int root = 0; root < 2 && voices <= strings; root++) {
    GlnToneNeeds needs = gln_tone_needs(query->chord);
    if (gln_tones_make_room(query->chord, strings, root == 1, &needs) != 0 &&
        gln_tones_admissible(&needs, sounding, voices, root == 1))
      return true;
  }
  return false;
}

GlnStatus gln_grip_of_frets(const GlnGripQuery *query, const GlnFrets *frets, GlnGrip *grip,
                            GlnSymbolFault *fault) {
  const GlnInstrument *instrument = query->instrument;
  if (frets->string_count != instrument->string_count)
    return fail(fault, 0, "the shape has another number of strings than the instrument");
  GlnToneNeeds needs = gln_tone_needs(query->chord);
  uint16_t sounding = 0;
  int string = 0, voices = 0;
  const char *problem = gln_frets_fault(instrument, frets, &string);
  if (problem != NULL)
    return fail(fault, (size_t)string, problem);
  for (int s = 0; s < frets->string_count; s++) {
    if (frets->fret[s] < 0)
      continue;
    int midi = gln_sounding_midi(instrument, s, frets->fret[s]);
    if (!sounds(needs.pitch_classes, midi % 12))
      return fail_foreign(query, fault, s, midi);
    sounding |= (uint16_t)(1u << midi % 12);
    voices++;
  }
  if (!gln_tones_admissible(&needs, sounding, voices, false) &&
      !is_all_there_is_room_for(query, sounding, voices))
    return fail_missing(query, fault, sounding, voices);
  GlnGrip out = {.voices = 0};
  gln_grip_fill(instrument, query->chord, &needs, frets, &out);
  GlnStatus status = gln_fingering_find(instrument, query->hand, frets, &out.fingering);
  if (status != GLN_OK)
    return fail(fault, 0, "no hand of this size can hold it");
  *grip = out;
  return GLN_OK;
}
