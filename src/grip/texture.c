/* Textures, told from the notes that sound. */
#include "grip_internal.h"

static uint16_t bit(GlnTexture texture) {
  return (uint16_t)(1u << texture);
}

/* Sounding pitches, lowest first. */
static int sorted_pitches(const GlnInstrument *instrument, const GlnGrip *grip, int out[GLN_STRINGS_MAX]) {
  int count = 0;
  for (int s = 0; s < instrument->string_count; s++) {
    if (grip->midi[s] < 0)
      continue;
    int at = count++;
    for (; at > 0 && out[at - 1] > grip->midi[s]; at--)
      out[at] = out[at - 1];
    out[at] = grip->midi[s];
  }
  return count;
}

static bool all_differ(const int *pitches, int count) {
  for (int i = 0; i < count; i++)
    for (int j = 0; j < i; j++)
      if (pitches[i] % 12 == pitches[j] % 12)
        return false;
  return true;
}

/* The tone that says major, minor or suspended, then the seventh or the sixth that stands for it. */
static int tone_numbered(const GlnChord *chord, const int8_t numbers[], int count) {
  for (int n = 0; n < count; n++)
    for (int t = 0; t < chord->tone_count; t++)
      if (chord->tones[t].degree.number == numbers[n])
        return t;
  return -1;
}

static bool is_shell(const GlnChord *chord, const GlnGrip *grip) {
  static const int8_t thirds[] = {3, 4, 2}, sevenths[] = {7, 6};
  int third = tone_numbered(chord, thirds, 3), seventh = tone_numbered(chord, sevenths, 2);
  if (third < 0 || seventh < 0 || chord->root_tone < 0 || grip->voices != 3)
    return false;
  unsigned needed = 1u << chord->root_tone | 1u << third | 1u << seventh;
  return (grip->tones & needed) == needed && grip->tone[grip->bass_string] == chord->root_tone;
}

static int different_classes(const GlnChord *chord) {
  uint16_t classes = 0;
  for (int t = 0; t < chord->tone_count; t++)
    classes |= (uint16_t)(1u << chord->tones[t].pitch_class);
  return gln_bit_count(classes);
}

/* Close position and its drops, by voices counted from the top. */
static uint16_t spacing_of(const int p[4]) {
  int lifted = p[0] + 12,
      second = p[1] + 12; /* where the two lowest voices came from, if they were dropped */
  if (p[3] - p[0] < 12)
    return bit(GLN_TEXTURE_CLOSE);
  if (lifted < p[2] && p[2] < second && second < p[3] && p[3] - lifted < 12)
    return bit(GLN_TEXTURE_DROP24);
  if (p[3] - p[1] >= 12)
    return 0;
  if (lifted > p[2] && lifted < p[3])
    return bit(GLN_TEXTURE_DROP2);
  if (lifted > p[1] && lifted < p[2])
    return bit(GLN_TEXTURE_DROP3);
  return 0;
}

/* Three or four voices in open position: between any two neighbours another of the notes would fit. Harmony texts. */
static bool is_spread(const int *pitches, int voices) {
  for (int v = 1; v < voices; v++) {
    bool skips = false;
    for (int other = 0; other < voices; other++)
      for (int midi = pitches[other] % 12; midi < pitches[v]; midi += 12)
        skips = skips || midi > pitches[v - 1];
    if (!skips)
      return false;
  }
  return voices == 3 || voices == 4;
}

/* Four notes without the root, 3rd, 7th (or 6th) and two more: form A from the 3rd up, form B from the 7th. Common
 * practice, no published source. */
static uint16_t rootless_form(const GlnChord *chord, const GlnGrip *grip) {
  static const int8_t thirds[] = {3}, sevenths[] = {7, 6};
  int third = tone_numbered(chord, thirds, 1), seventh = tone_numbered(chord, sevenths, 2);
  if (third < 0 || seventh < 0)
    return 0;
  unsigned guides = 1u << third | 1u << seventh;
  if ((grip->tones & guides) != guides)
    return 0;
  int bass = grip->tone[grip->bass_string];
  return bass == third ? bit(GLN_TEXTURE_ROOTLESS_A) : bass == seventh ? bit(GLN_TEXTURE_ROOTLESS_B) : 0;
}

uint16_t gln_textures_of(const GlnInstrument *instrument, const GlnChord *chord, const GlnGrip *grip) {
  int pitches[GLN_STRINGS_MAX];
  int voices = sorted_pitches(instrument, grip, pitches);
  bool differ = all_differ(pitches, voices), shell = is_shell(chord, grip);
  bool rootless = chord->root_tone < 0 || (grip->tones & (1u << chord->root_tone)) == 0;
  int full = instrument->string_count < 5 ? instrument->string_count : 5;
  uint16_t out = 0;
  if (shell)
    out |= bit(GLN_TEXTURE_SHELL);
  if (voices == 4 && (differ || different_classes(chord) < 4))
    out |= bit(GLN_TEXTURE_FOUR_NOTE);
  if (rootless)
    out |= bit(GLN_TEXTURE_ROOTLESS);
  if (voices >= full)
    out |= bit(GLN_TEXTURE_FULL);
  if (voices == 4 && differ)
    out |= spacing_of(pitches);
  if (differ && !shell && is_spread(pitches, voices))
    out |= bit(GLN_TEXTURE_SPREAD);
  if (rootless && voices == 4 && differ && chord->root_tone >= 0)
    out |= rootless_form(chord, grip);
  return out;
}
