/* Which chords a set of notes can be called: all roots × all formulas, looked up by the set of tones above each root. */
#include "name_internal.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- formulas ------------------------------------------------------------------------------------------------ */

/* Tensions that may stand beside a quality of the table where no row of its own has them. */
static const char *const extra_tensions[] = {"b9", "9", "#9", "11", "#11", "b13", "13"};

static uint16_t bits_of_own(const GlnChord *chord) {
  uint16_t bits = 0;
  for (int t = 0; t < chord->own_count; t++)
    bits |= (uint16_t)(1u << chord->tones[t].pitch_class);
  return bits;
}

static bool has_third(uint16_t tones) {
  return (tones & (1u << 3 | 1u << 4)) != 0;
}

/* Triads and seventh chords stand over a foreign bass; C9/F♯ is a riddle. */
static bool plain_enough(const GlnChord *chord) {
  if (chord->quality < 0 || chord->own_count > 4 || chord->own_count < 3)
    return false;
  for (int t = 0; t < chord->own_count; t++) {
    int number = chord->tones[t].degree.number;
    if (number == 2 || number == 4 || number > 7)
      return false;
  }
  return has_third(bits_of_own(chord));
}

static void add_formula(GlnNamer *namer, const GlnChord *chord) {
  uint16_t tones = bits_of_own(chord);
  if (gln_bit_count(tones) < 2)
    return; /* one note is no chord */
  namer->formulas[namer->formula_count++] = (GlnFormula){
      .chord = *chord, .tones = tones, .cost = gln_formula_cost(chord), .under_slash = plain_enough(chord)};
  gln_formula_spell(&namer->formulas[namer->formula_count - 1]);
}

static bool has_formula(const GlnNamer *namer, uint16_t tones) {
  for (size_t i = 0; i < namer->formula_count; i++)
    if (namer->formulas[i].tones == tones)
      return true;
  return false;
}

static void add_extended(GlnNamer *namer, const GlnChord *base, const char *suffix) {
  for (size_t i = 0; i < GLN_COUNT_OF(extra_tensions); i++) {
    char symbol[GLN_SYMBOL_TEXT_MAX];
    GlnChord chord;
    (void)snprintf(symbol, sizeof symbol, "C%s(%s%s)", suffix, extra_tensions[i][0] == '1' ? "add" : "",
                   extra_tensions[i]);
    if (gln_chord_parse(gln_text(symbol), &chord, NULL) != GLN_OK || chord.quality >= 0)
      continue; /* it reads as nothing, or as a row of the table */
    if (chord.own_count == base->own_count + 1 && !has_formula(namer, bits_of_own(&chord)))
      add_formula(namer, &chord);
  }
}

static void add_formulas(GlnNamer *namer) {
  static const GlnNote c = {0, 0};
  GlnChord chord;
  for (size_t q = 0; q < gln_quality_count(); q++)
    if (gln_chord_build(c, q, NULL, &chord) == GLN_OK)
      add_formula(namer, &chord);
  for (size_t q = 0; q < gln_quality_count(); q++)
    if (gln_chord_build(c, q, NULL, &chord) == GLN_OK && has_third(bits_of_own(&chord)))
      add_extended(namer, &chord, gln_quality_at(q)->suffix);
}

/* ---- the index: set of tones above the root to formulas --------------------------------------------------------- */

/* Beyond what may be left out: without a third the root must sound, and beside a natural 5th that does not sound a ♯11
 * or ♭13 of a chord with no usual name would be an altered 5th. */
static bool says_enough(const GlnFormula *formula, uint16_t set) {
  if (!has_third(formula->tones) && (set & 1u) == 0)
    return false;
  bool altered_fifth = (set & (1u << 6 | 1u << 8)) != 0;
  return formula->chord.quality >= 0 || !altered_fifth || (set & 1u << 7) != 0 ||
         (formula->tones & 1u << 7) == 0;
}

/* Calls for every set of the formula's tones that can stand for it. */
typedef void FitUse(GlnNamer *namer, uint16_t set, GlnFit fit);

static void each_fit(GlnNamer *namer, FitUse *use) {
  for (size_t f = 0; f < namer->formula_count; f++) {
    const GlnFormula *formula = &namer->formulas[f];
    GlnToneNeeds needs = gln_tone_needs(&formula->chord);
    /* Every subset, the empty one aside: the usual walk downward through the bits of a mask. */
    for (unsigned set = formula->tones; set != 0; set = (set - 1) & formula->tones) {
      if (!gln_tones_admissible(&needs, (uint16_t)set, GLN_STRINGS_MAX, false) ||
          !says_enough(formula, (uint16_t)set))
        continue;
      uint16_t missing = (uint16_t)(formula->tones & ~set);
      GlnFit fit = {(int16_t)f, formula->cost + gln_missing_cost(&formula->chord, missing)};
      use(namer, (uint16_t)set, fit);
    }
  }
}

static void count_fit(GlnNamer *namer, uint16_t set, GlnFit fit) {
  (void)fit;
  namer->first[set + 1]++;
}

/* first[set] moves up as its bucket fills. */
static void place_fit(GlnNamer *namer, uint16_t set, GlnFit fit) {
  uint32_t at = namer->first[set]++;
  namer->fits[at] = fit;
}

static void sort_bucket(GlnFit *fits, size_t count) {
  for (size_t i = 1; i < count; i++) {
    GlnFit fit = fits[i];
    size_t at = i;
    for (; at > 0 && fits[at - 1].cost > fit.cost; at--)
      fits[at] = fits[at - 1];
    fits[at] = fit;
  }
}

/* Of two rows with the same notes (9sus4 and 11, add11 and add4) the plainer is kept: to the ear they are one. The
 * bucket is sorted; fits that are left over get a cost past all limits. */
static void drop_doubles(const GlnNamer *namer, GlnFit *fits, size_t count) {
  for (size_t i = 1; i < count; i++)
    for (size_t j = 0; j < i; j++)
      if (namer->formulas[fits[i].formula].tones == namer->formulas[fits[j].formula].tones)
        fits[i].cost = INFINITY;
}

static void tidy_bucket(const GlnNamer *namer, GlnFit *fits, size_t count) {
  sort_bucket(fits, count);
  drop_doubles(namer, fits, count);
  sort_bucket(fits, count);
}

static GlnStatus print_suffixes(GlnNamer *namer, GlnArena *arena) {
  static const GlnSigns both[] = {GLN_SIGNS_ASCII, GLN_SIGNS_UNICODE};
  for (size_t f = 0; f < namer->formula_count; f++)
    for (size_t i = 0; i < GLN_COUNT_OF(both); i++) {
      char symbol[GLN_SYMBOL_TEXT_MAX];
      size_t length = gln_chord_print(&namer->formulas[f].chord, both[i], symbol);
      const char *copy = gln_text_copy(arena, (GlnText){symbol + 1, length - 1}); /* all stand on C */
      if (copy == NULL)
        return GLN_MEMORY;
      namer->formulas[f].suffix[both[i]] = (GlnText){copy, length - 1};
    }
  return GLN_OK;
}

GlnStatus gln_namer_new(GlnArena *arena, GlnNamer **out) {
  GlnNamer *namer = GLN_NEW(arena, GlnNamer, 1);
  size_t most = gln_quality_count() * (1 + GLN_COUNT_OF(extra_tensions));
  if (namer == NULL)
    return GLN_MEMORY;
  namer->formulas = GLN_NEW(arena, GlnFormula, most);
  if (namer->formulas == NULL)
    return GLN_MEMORY;
  add_formulas(namer);
  GLN_TRY(print_suffixes(namer, arena));
  each_fit(namer, count_fit);
  for (size_t set = 0; set < GLN_TONE_SETS; set++)
    namer->first[set + 1] += namer->first[set];
  namer->fits = GLN_NEW(arena, GlnFit, namer->first[GLN_TONE_SETS]);
  if (namer->fits == NULL)
    return GLN_MEMORY;
  each_fit(namer, place_fit);
  /* Filling moved every bucket's start to its end, which is where the next begins. */
  for (size_t set = GLN_TONE_SETS; set > 0; set--)
    namer->first[set] = namer->first[set - 1];
  namer->first[0] = 0;
  for (size_t set = 0; set < GLN_TONE_SETS; set++)
    tidy_bucket(namer, &namer->fits[namer->first[set]], namer->first[set + 1] - namer->first[set]);
  *out = namer;
  return GLN_OK;
}

/* ---- finding --------------------------------------------------------------------------------------------------- */

#define BASS_BELOW_MIDI 60 /* middle C: no lowest note above it is heard as a bass; design choice */

GlnNoteSet gln_note_set_of(const int8_t *midi, size_t count) {
  GlnNoteSet sounding = {.bass = -1};
  int lowest = INT8_MAX;
  for (size_t i = 0; i < count; i++) {
    sounding.pitch_classes |= (uint16_t)(1u << midi[i] % 12);
    lowest = midi[i] < lowest ? midi[i] : lowest;
  }
  if (count > 0)
    sounding.bass = (int8_t)(lowest % 12);
  sounding.high = lowest >= BASS_BELOW_MIDI;
  return sounding;
}

#define FEW_STRINGS 4

GlnNoteSet gln_note_set_on(const GlnInstrument *instrument, const int8_t *midi, size_t count) {
  GlnNoteSet sounding = gln_note_set_of(midi, count);
  sounding.few = sounding.high && instrument->string_count <= FEW_STRINGS;
  return sounding;
}

static uint16_t above(uint16_t pitch_classes, int root) {
  return gln_classes_up(pitch_classes, (12 - root) % 12);
}

/* Names kept so far, best first. */
typedef struct Shortlist {
  GlnName *names;
  size_t count;
} Shortlist;

/* Ties go to the name found first: roots upward from the bass, plainer kinds first. */
static void keep(Shortlist *list, GlnName name) {
  size_t at = list->count;
  if (list->count == GLN_NAMES_MAX) {
    if (name.cost >= list->names[GLN_NAMES_MAX - 1].cost)
      return;
    at--;
  } else {
    list->count++;
  }
  for (; at > 0 && list->names[at - 1].cost > name.cost; at--)
    list->names[at] = list->names[at - 1];
  list->names[at] = name;
}

/* How few strings play: they cannot hold the root of a chord of more notes. With three notes, or a chord that they could
 * hold, a root that does not sound is as far-fetched as anywhere. */
static GlnRegister register_of(GlnNoteSet sounding, GlnNameKind kind, const GlnFormula *formula) {
  bool too_large =
      formula->chord.own_count > FEW_STRINGS && gln_bit_count(sounding.pitch_classes) == FEW_STRINGS;
  if (sounding.few && (kind != GLN_NAME_ROOTLESS || too_large))
    return GLN_REGISTER_FEW;
  return sounding.high ? GLN_REGISTER_HIGH : GLN_REGISTER_LOW;
}

static void find_on_root(const GlnNamer *namer, GlnNoteSet sounding, int root, Shortlist *list) {
  int bass = (sounding.bass - root + 12) % 12;
  uint16_t set = above(sounding.pitch_classes, root);
  GlnNameKind kind = (set & 1u) == 0 ? GLN_NAME_ROOTLESS : bass == 0 ? GLN_NAME_PLAIN : GLN_NAME_INVERTED;
  for (uint32_t i = namer->first[set]; i < namer->first[set + 1]; i++) {
    const GlnFit *fit = &namer->fits[i];
    const GlnFormula *formula = &namer->formulas[fit->formula];
    float cost = fit->cost + gln_kind_cost(kind, formula, bass, (set | 1u) == formula->tones,
                                           register_of(sounding, kind, formula));
    int8_t written = kind == GLN_NAME_INVERTED && sounding.few ? (int8_t)root : sounding.bass;
    if (cost <= gln_name_cost_limit(list->count > 0 ? list->names[0].cost : cost))
      keep(list, (GlnName){kind, (int8_t)root, written, fit->formula, cost});
  }
}

static void find_slash(const GlnNamer *namer, GlnNoteSet sounding, int root, Shortlist *list) {
  int bass = (sounding.bass - root + 12) % 12;
  uint16_t set = above((uint16_t)(sounding.pitch_classes & ~(1u << sounding.bass)), root);
  if ((set & 1u) == 0)
    return;
  for (uint32_t i = namer->first[set]; i < namer->first[set + 1]; i++) {
    const GlnFit *fit = &namer->fits[i];
    const GlnFormula *formula = &namer->formulas[fit->formula];
    if (!formula->under_slash || (formula->tones >> bass & 1) != 0)
      continue;
    float cost = fit->cost + gln_kind_cost(GLN_NAME_SLASH, formula, bass, true,
                                           register_of(sounding, GLN_NAME_SLASH, formula));
    keep(list, (GlnName){GLN_NAME_SLASH, (int8_t)root, sounding.bass, fit->formula, cost});
  }
}

uint16_t gln_name_tones(const GlnNamer *namer, const GlnName *name) {
  return gln_classes_up(namer->formulas[name->formula].tones, name->root);
}

/* On few strings, all high, one shape is many chords: C9 without its root is Em7♭5 and Gm6. After the first name, readings
 * that are not yet told come before further names on the same root and an even chord's other tones. Costs stay as they
 * are, for context to weigh. */
static void take_turns(const GlnNamer *namer, Shortlist *list) {
  for (size_t at = 1; at < list->count; at++) {
    size_t best = at;
    float least = INFINITY;
    for (size_t i = at; i < list->count; i++) {
      const GlnName *name = &list->names[i];
      int same_root = 0, same_notes = 0;
      for (size_t told = 0; told < at; told++) {
        same_root += list->names[told].root == name->root;
        same_notes += gln_name_tones(namer, &list->names[told]) == gln_name_tones(namer, name);
      }
      float cost = name->cost + gln_turn_cost(&namer->formulas[name->formula], same_root, same_notes);
      if (cost < least) {
        least = cost;
        best = i;
      }
    }
    GlnName next = list->names[best];
    for (size_t i = best; i > at; i--)
      list->names[i] = list->names[i - 1];
    list->names[at] = next;
  }
}

size_t gln_namer_find(const GlnNamer *namer, GlnNoteSet sounding, GlnName out[GLN_NAMES_MAX]) {
  Shortlist list = {out, 0};
  if (sounding.bass < 0)
    return 0;
  for (int up = 0; up < 12; up++)
    find_on_root(namer, sounding, (sounding.bass + up) % 12, &list);
  for (int up = 1; up < 12; up++)
    find_slash(namer, sounding, (sounding.bass + up) % 12, &list);
  float limit = list.count > 0 ? gln_name_cost_limit(out[0].cost) : 0.0F;
  while (list.count > 0 && out[list.count - 1].cost > limit)
    list.count--;
  if (sounding.few)
    take_turns(namer, &list);
  return list.count;
}
