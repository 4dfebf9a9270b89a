/* Families: the chords of a song that do one job in place. */
#include "harmony_internal.h"

#include <string.h>

size_t gln_next_step(const GlnStep *steps, size_t count, size_t i) {
  for (size_t n = i + 1; n < count; n++)
    if (!steps[n].chord->silent &&
        gln_note_pitch_class(steps[n].chord->root) != gln_note_pitch_class(steps[i].chord->root))
      return n;
  return count;
}

/* What stands after the numeral's stroke: "ii" of "V7/ii", "" where there is none. */
static const char *target_of(const GlnReading *reading) {
  const char *stroke = strrchr(reading->roman, '/');
  return stroke != NULL ? stroke + 1 : "";
}

bool gln_same_goal(const GlnReading *a, const GlnReading *b) {
  return strcmp(target_of(a), target_of(b)) == 0;
}

static bool same_key(GlnKey a, GlnKey b) {
  return a.minor == b.minor && gln_note_pitch_class(a.tonic) == gln_note_pitch_class(b.tonic);
}

static bool same_job(const GlnReading *a, const GlnReading *b) {
  return same_key(a->key, b->key) && a->function == b->function && gln_same_goal(a, b) &&
         (a->function != GLN_FUNCTION_NONE || a->role == b->role);
}

static unsigned guides(const GlnChord *chord) {
  unsigned bits = 0;
  for (int t = 0; t < chord->tone_count; t++)
    if (chord->tones[t].degree.number == 3 || chord->tones[t].degree.number == 7)
      bits |= 1u << chord->tones[t].pitch_class;
  return bits;
}

static bool shares(const GlnStep *steps, size_t count, size_t a, size_t b) {
  unsigned common =
      (unsigned)gln_chord_pitch_classes(steps[a].chord) & gln_chord_pitch_classes(steps[b].chord);
  if ((common & (common - 1)) != 0 || (guides(steps[a].chord) & guides(steps[b].chord)) != 0)
    return true;
  size_t next_a = gln_next_step(steps, count, a), next_b = gln_next_step(steps, count, b);
  return next_a < count && next_b < count &&
         gln_note_pitch_class(steps[next_a].chord->root) == gln_note_pitch_class(steps[next_b].chord->root);
}

static size_t top_of(const size_t *parent, size_t i) {
  while (parent[i] != i)
    i = parent[i];
  return i;
}

/* Steps that stand for each distinct chord in its job; leader[i] is that of step i, SIZE_MAX for silence. */
static size_t find_leaders(const GlnStep *steps, size_t count, const GlnReading *readings, size_t *leaders,
                           size_t *leader) {
  size_t found = 0;
  for (size_t i = 0; i < count; i++) {
    leader[i] = SIZE_MAX;
    if (steps[i].chord->silent)
      continue;
    for (size_t l = 0; l < found && leader[i] == SIZE_MAX; l++)
      if (gln_chord_equal(steps[i].chord, steps[leaders[l]].chord) &&
          same_job(&readings[i], &readings[leaders[l]]))
        leader[i] = l;
    if (leader[i] != SIZE_MAX)
      continue;
    leader[i] = found;
    leaders[found++] = i;
  }
  return found;
}

static GlnStatus gather(const size_t *leaders, size_t found, const size_t *parent, const GlnReading *readings,
                        GlnArena *arena, GlnFamilies *families, size_t *number) {
  for (size_t l = 0; l < found; l++) {
    if (parent[l] != l)
      continue;
    GlnChordFamily *family = &families->items[families->count];
    const GlnReading *reading = &readings[leaders[l]];
    *family = (GlnChordFamily){.key = reading->key,
                               .function = reading->function,
                               .target = target_of(reading),
                               .members = GLN_NEW(arena, size_t, found)};
    if (family->members == NULL)
      return GLN_MEMORY;
    for (size_t m = l; m < found; m++)
      if (top_of(parent, m) == l) {
        family->members[family->member_count++] = leaders[m];
        number[m] = families->count;
      }
    families->count++;
  }
  return GLN_OK;
}

GlnStatus gln_families_find(const GlnStep *steps, size_t count, const GlnReading *readings, GlnArena *arena,
                            GlnFamilies *families) {
  size_t *leaders = GLN_NEW(arena, size_t, count), *leader = GLN_NEW(arena, size_t, count);
  if (leaders == NULL || leader == NULL)
    return GLN_MEMORY;
  size_t found = find_leaders(steps, count, readings, leaders, leader);
  size_t *parent = GLN_NEW(arena, size_t, found), *number = GLN_NEW(arena, size_t, found);
  *families = (GlnFamilies){.items = GLN_NEW(arena, GlnChordFamily, found), .family = leader};
  if (parent == NULL || number == NULL || families->items == NULL)
    return GLN_MEMORY;
  for (size_t a = 0; a < found; a++) {
    parent[a] = a;
    for (size_t b = 0; b < a; b++) {
      size_t low = top_of(parent, b), high = top_of(parent, a);
      if (low == high || !same_job(&readings[leaders[a]], &readings[leaders[b]]) ||
          !shares(steps, count, leaders[a], leaders[b]))
        continue;
      parent[low > high ? low : high] = low > high ? high : low;
    }
  }
  GLN_TRY(gather(leaders, found, parent, readings, arena, families, number));
  for (size_t i = 0; i < count; i++)
    if (leader[i] != SIZE_MAX)
      families->family[i] = number[leader[i]];
  return GLN_OK;
}
