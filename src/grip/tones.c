/* Which sets of sounding tones are the chord: docs/hand-model.md, "What may be left out". */
#include "grip_internal.h"

static uint16_t class_bit(int pitch_class) {
  return (uint16_t)(1u << pitch_class);
}

static void need_group(GlnToneNeeds *needs, const GlnChord *chord, int tone) {
  int8_t group = chord->tones[tone].group;
  uint16_t members = 0;
  for (int t = 0; t < chord->tone_count; t++)
    if (chord->tones[t].group == group) {
      if (t < tone)
        return; /* its first member has put it down */
      members |= class_bit(chord->tones[t].pitch_class);
    }
  needs->group[needs->group_count++] = members;
}

/* A tension above this tone that can stand for it: 13 for 9. The 5th and what goes under 8 never stand for
 * another. */
static void need_colour(GlnToneNeeds *needs, const GlnChord *chord, int tone) {
  int semitones = gln_degree_semitones(chord->tones[tone].degree);
  uint16_t higher = 0;
  for (int t = 0; t < chord->tone_count; t++) {
    const GlnTone *other = &chord->tones[t];
    if (other->degree.number > 8 && gln_degree_semitones(other->degree) > semitones &&
        other->role != GLN_ROLE_MAY_GO)
      higher |= class_bit(other->pitch_class);
  }
  needs->colour[needs->colour_count].tone = class_bit(chord->tones[tone].pitch_class);
  needs->colour[needs->colour_count].higher = higher;
  needs->colour_count++;
}

GlnToneNeeds gln_tone_needs(const GlnChord *chord) {
  GlnToneNeeds needs = {.least = 0};
  for (int t = 0; t < chord->tone_count; t++) {
    const GlnTone *tone = &chord->tones[t];
    uint16_t bit = class_bit(tone->pitch_class);
    needs.pitch_classes |= bit;
    needs.tones_of[tone->pitch_class] |= (uint16_t)(1u << t);
    if (t == chord->root_tone)
      needs.root = bit;
    if (tone->group != 0)
      need_group(&needs, chord, t);
    else if (tone->role == GLN_ROLE_MUST)
      needs.must |= bit;
    else if (tone->role == GLN_ROLE_COLOUR)
      need_colour(&needs, chord, t);
  }
  int different = gln_bit_count(needs.pitch_classes);
  needs.least = (int8_t)(different < 3 ? different : 3);
  return needs;
}

static bool groups_sound(const GlnToneNeeds *needs, uint16_t sounding, int voices) {
  int silent = 0;
  for (int g = 0; g < needs->group_count; g++)
    silent += (needs->group[g] & sounding) == 0;
  return silent == 0 || (voices <= GLN_GROUPS_JOIN_VOICES && silent < needs->group_count);
}

bool gln_tones_admissible(const GlnToneNeeds *needs, uint16_t sounding, int voices, bool root_needed) {
  if ((sounding & ~needs->pitch_classes) != 0 || (needs->must & ~sounding) != 0)
    return false;
  if (root_needed && (needs->root & ~sounding) != 0)
    return false;
  if (gln_bit_count(sounding) < needs->least || !groups_sound(needs, sounding, voices))
    return false;
  for (int c = 0; c < needs->colour_count; c++)
    if ((needs->colour[c].tone & sounding) == 0 && (needs->colour[c].higher & sounding) == 0)
      return false;
  return true;
}

/* ---- more tones than strings -------------------------------------------------------------------------------------- */

static int fewest_strings(const GlnToneNeeds *needs, int strings, bool root_needed) {
  int groups = strings <= GLN_GROUPS_JOIN_VOICES && needs->group_count > 1 ? 1 : needs->group_count;
  return gln_bit_count((unsigned)(needs->must | (root_needed ? needs->root : 0))) + groups;
}

/* An altered 5th, then the tensions from the lowest up: what says which chord it is, and what stands on top, stays longest.
 * -1 when nothing more can go. */
static int least_needed(const GlnChord *chord, const GlnToneNeeds *needs) {
  int least = -1;
  for (int t = 0; t < chord->tone_count; t++) {
    const GlnTone *tone = &chord->tones[t];
    bool spare = tone->degree.number == 5 || tone->degree.number > 7;
    if (!spare || t == chord->bass_tone || (needs->must & class_bit(tone->pitch_class)) == 0)
      continue;
    if (least < 0 || gln_degree_semitones(tone->degree) < gln_degree_semitones(chord->tones[least].degree))
      least = t;
  }
  return least;
}

uint16_t gln_tones_make_room(const GlnChord *chord, int strings, bool root_needed, GlnToneNeeds *needs) {
  uint16_t gone = 0;
  while (fewest_strings(needs, strings, root_needed) > strings) {
    int tone = least_needed(chord, needs);
    if (tone >= 0) {
      needs->must &= (uint16_t)~class_bit(chord->tones[tone].pitch_class);
      gone |= (uint16_t)(1u << tone);
    } else if (needs->group_count > 0) {
      needs->group_count = 0;
      for (int t = 0; t < chord->tone_count; t++)
        gone |= (uint16_t)(chord->tones[t].group != 0 ? 1u << t : 0u);
    } else {
      break;
    }
  }
  if (gone != 0)
    needs->colour_count = 0; /* what stood above may be gone as well */
  return gone;
}

void gln_tones_describe(const GlnChord *chord, uint16_t tones, GlnBuffer *out) {
  for (int t = 0, first = 1; t < chord->tone_count; t++) {
    char degree[GLN_DEGREE_TEXT_MAX];
    if ((tones >> t & 1) == 0)
      continue;
    if (!first)
      gln_buffer_add_string(out, (tones >> t >> 1) != 0 ? ", " : " and ");
    gln_buffer_add_string(out, "the ");
    size_t length = gln_degree_print(chord->tones[t].degree, GLN_SIGNS_ASCII, degree);
    gln_buffer_add(out, (GlnText){degree, length});
    first = 0;
  }
}
