/* Stand-ins of one chord in its place: the table applied, each promise checked, the sentence filled in. */
#include "standin_rules.h"

#include <string.h>

#define STANDIN_KEY(name, key, words)   [name] = key,
#define STANDIN_WORDS(name, key, words) [name] = words,

const char *gln_standin_key(GlnStandinKind kind) {
  static const char *const keys[] = {GLN_STANDIN_LIST(STANDIN_KEY)};
  return keys[kind];
}

const char *gln_standin_words(GlnStandinKind kind) {
  static const char *const words[] = {GLN_STANDIN_LIST(STANDIN_WORDS)};
  return words[kind];
}

/* ---- what a chord has ------------------------------------------------------------------------------------------- */

static int above(const GlnChord *from, const GlnChord *to) {
  return (gln_note_pitch_class(to->root) - gln_note_pitch_class(from->root) + 12) % 12;
}

static bool is_guide(const GlnTone *tone) {
  return tone->degree.number == 3 || tone->degree.number == 7;
}

static uint16_t guides(const GlnChord *chord) {
  unsigned bits = 0;
  for (int t = 0; t < chord->tone_count; t++)
    if (is_guide(&chord->tones[t]))
      bits |= 1u << chord->tones[t].pitch_class;
  return (uint16_t)bits;
}

static bool has_third(const GlnChord *chord) {
  for (int t = 0; t < chord->own_count; t++)
    if (chord->tones[t].degree.number == 3)
      return true;
  return false;
}

static bool same_own_tones(const GlnChord *a, const GlnChord *b) {
  GlnChord one = *a, other = *b;
  one.tone_count = one.own_count;
  other.tone_count = other.own_count;
  unsigned bits[2] = {0, 0};
  for (int t = 0; t < one.own_count; t++)
    bits[0] |= 1u << one.tones[t].pitch_class;
  for (int t = 0; t < other.own_count; t++)
    bits[1] |= 1u << other.tones[t].pitch_class;
  return bits[0] == bits[1];
}

static bool notes_hold(const GlnStandinPlace *place, const GlnChord *chord, uint32_t claims) {
  unsigned old = gln_chord_pitch_classes(place->chord), new = gln_chord_pitch_classes(chord);
  unsigned key = gln_key_classes(place->key);
  int common = gln_bit_count(old & new);
  unsigned old_guides = guides(place->chord);
  return ((claims & GLN_CLAIM_KEEPS_ALL) == 0 || (old & ~new) == 0) &&
         ((claims & GLN_CLAIM_WITHIN) == 0 || (new & ~old) == 0) &&
         ((claims & GLN_CLAIM_NEW_IN_KEY) == 0 || (new & ~old & ~key) == 0) &&
         ((claims & GLN_CLAIM_IN_KEY) == 0 || ((old | new) & ~key) == 0) &&
         ((claims & GLN_CLAIM_GUIDES) == 0 ||
          (old_guides == guides(chord) && gln_bit_count(old_guides) == 2)) &&
         ((claims & GLN_CLAIM_COMMON_1) == 0 || common >= 1) &&
         ((claims & GLN_CLAIM_COMMON_2) == 0 || common >= 2) &&
         ((claims & GLN_CLAIM_COMMON_3) == 0 || common >= 3) &&
         ((claims & GLN_CLAIM_KEEPS_GUIDES) == 0 ||
          (gln_bit_count(old_guides) == 2 && (old_guides & ~new) == 0)) &&
         ((claims & GLN_CLAIM_NO_THIRD) == 0 || (has_third(place->chord) && !has_third(chord)));
}

static bool goes(const GlnChord *from, const GlnChord *to, unsigned steps) {
  return to != NULL && (steps >> above(from, to) & 1) != 0;
}

static bool roots_hold(const GlnStandinPlace *place, const GlnChord *chord, uint32_t claims) {
  const unsigned semitone = 1u << 1 | 1u << 11, fifth = 1u << 5, tone = 1u << 2;
  return ((claims & GLN_CLAIM_SAME_ROOT) == 0 || above(place->chord, chord) == 0) &&
         ((claims & GLN_CLAIM_SEMITONE_TO_NEXT) == 0 || goes(chord, place->next, semitone)) &&
         ((claims & GLN_CLAIM_FIFTH_TO_NEXT) == 0 || goes(chord, place->next, fifth)) &&
         ((claims & GLN_CLAIM_TONE_TO_NEXT) == 0 || goes(chord, place->next, tone)) &&
         ((claims & GLN_CLAIM_FIFTH_TO_OLD) == 0 || goes(chord, place->chord, fifth)) &&
         ((claims & GLN_CLAIM_SEMITONE_FROM_OLD) == 0 || goes(place->chord, chord, semitone)) &&
         ((claims & GLN_CLAIM_SAME_BASS) == 0 ||
          gln_note_pitch_class(chord->bass) == gln_note_pitch_class(place->chord->bass)) &&
         ((claims & GLN_CLAIM_BASS_ONLY) == 0 ||
          (same_own_tones(place->chord, chord) &&
           gln_note_pitch_class(chord->bass) != gln_note_pitch_class(place->chord->bass)));
}

bool gln_standin_claim_holds(const GlnStandinPlace *place, const GlnChord *chord, uint32_t claims) {
  return notes_hold(place, chord, claims) && roots_hold(place, chord, claims);
}

/* ---- the chord that a rule writes ------------------------------------------------------------------------------- */

static GlnNote note_from(const GlnStandinPlace *place, GlnStandinBase base, GlnDegree degree) {
  GlnNote from = place->chord->root;
  if (base == GLN_FROM_TONIC)
    from = place->key.tonic;
  else if (base == GLN_FROM_NEXT)
    from = place->next->root;
  return gln_note_plain(gln_note_above(from, degree), place->key);
}

/* The chord of the key on a root: a seventh where the old chord has more than three tones, else a triad; a
 * dominant seventh would do another job. */
static bool read_diatonic(const GlnStandinPlace *place, GlnNote root, GlnChord *chord) {
  static const char *const sevenths[] = {"maj7", "m7", "m7b5"}, *const triads[] = {"", "m", "dim"};
  const char *const *suffixes = place->chord->own_count > 3 ? sevenths : triads;
  for (size_t i = 0; i < GLN_COUNT_OF(sevenths); i++)
    if (gln_rule_chord(root, suffixes[i], NULL, chord) &&
        (gln_chord_pitch_classes(chord) & ~gln_key_classes(place->key)) == 0)
      return true;
  return false;
}

/* The suffix of a chord as gripline writes it, a slash bass left aside. */
static void print_suffix(const GlnChord *chord, char out[GLN_SYMBOL_TEXT_MAX]) {
  char text[GLN_SYMBOL_TEXT_MAX], root[GLN_NOTE_TEXT_MAX];
  GlnChord plain = *chord;
  if (plain.has_bass) {
    plain.has_bass = false;
    plain.bass = plain.root;
    plain.tone_count = plain.own_count;
    plain.bass_tone = plain.root_tone;
  }
  (void)gln_chord_print(&plain, GLN_SIGNS_ASCII, text);
  size_t skip = gln_note_print(plain.root, GLN_SIGNS_ASCII, root);
  memcpy(out, text + skip, strlen(text + skip) + 1);
}

/* More or fewer notes of a slash chord stay over its bass. */
static bool keeps_bass(const GlnStandinRule *rule, const GlnChord *old) {
  bool colour = rule->kind == GLN_STANDIN_RICHER || rule->kind == GLN_STANDIN_SIMPLER;
  return old->has_bass && colour && (rule->claims & (GLN_CLAIM_BASS_ONLY | GLN_CLAIM_KEEPS_GUIDES)) == 0;
}

static bool write_chord(const GlnStandinRule *rule, const GlnStandinPlace *place, GlnChord *chord) {
  char suffix[GLN_SYMBOL_TEXT_MAX];
  GlnNote root = note_from(place, rule->root, rule->above), bass = root;
  if (rule->bass != GLN_FROM_NOTHING)
    bass = note_from(place, rule->bass, rule->bass_above);
  const GlnNote *under = rule->bass != GLN_FROM_NOTHING ? &bass : NULL;
  if (keeps_bass(rule, place->chord))
    under = &place->chord->bass;
  switch (rule->suffix[0]) {
  case '@':
    return read_diatonic(place, root, chord);
  case '=':
    print_suffix(place->chord, suffix);
    return gln_rule_chord(root, suffix, under, chord);
  case '~':
    print_suffix(place->next, suffix);
    return gln_rule_chord(root, suffix, under, chord);
  default:
    return gln_rule_chord(root, rule->suffix, under, chord);
  }
}

/* ---- the sentence --------------------------------------------------------------------------------------------------- */

static void add_symbol(GlnBuffer *out, const GlnChord *chord) {
  char text[GLN_SYMBOL_TEXT_MAX];
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, text);
  gln_buffer_add_string(out, text);
}

static void add_note(GlnBuffer *out, GlnNote note) {
  char text[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(note, GLN_SIGNS_ASCII, text);
  gln_buffer_add_string(out, text);
}

/* The chord's tones of these pitch classes: "C, E and G". */
static void add_tones(GlnBuffer *out, const GlnChord *chord, unsigned wanted) {
  int left = gln_bit_count(wanted & gln_chord_pitch_classes(chord));
  for (int t = 0; t < chord->tone_count && left > 0; t++) {
    unsigned bit = 1u << chord->tones[t].pitch_class;
    if ((wanted & bit) == 0)
      continue;
    wanted &= ~bit;
    add_note(out, chord->tones[t].note);
    left--;
    if (left > 0)
      gln_buffer_add_string(out, left == 1 ? " and " : ", ");
  }
}

static void add_word(GlnBuffer *out, GlnText word, const GlnStandinPlace *place, const GlnChord *chord) {
  unsigned old = gln_chord_pitch_classes(place->chord), new = gln_chord_pitch_classes(chord);
  if (gln_text_equal(word, GLN_TEXT("old")))
    add_symbol(out, place->chord);
  else if (gln_text_equal(word, GLN_TEXT("new")))
    add_symbol(out, chord);
  else if (gln_text_equal(word, GLN_TEXT("next")))
    add_symbol(out, place->next);
  else if (gln_text_equal(word, GLN_TEXT("common")))
    add_tones(out, place->chord, old & new);
  else if (gln_text_equal(word, GLN_TEXT("guides")))
    add_tones(out, place->chord, guides(place->chord));
  else if (gln_text_equal(word, GLN_TEXT("added")))
    add_tones(out, chord, new & ~old);
  else if (gln_text_equal(word, GLN_TEXT("bass")))
    add_note(out, chord->bass);
  else
    add_note(out, place->chord->root);
}

static void fill_reason(const char *reason, const GlnStandinPlace *place, const GlnChord *chord,
                        GlnBuffer *out) {
  for (GlnText rest = gln_text(reason); rest.length > 0;) {
    size_t open = gln_text_find(rest, GLN_TEXT("{"), 0);
    gln_buffer_add(out, gln_text_slice(rest, 0, open));
    if (open == rest.length)
      return;
    size_t close = gln_text_find(rest, GLN_TEXT("}"), open);
    add_word(out, gln_text_slice(rest, open + 1, close - open - 1), place, chord);
    rest = gln_text_from(rest, close + 1);
  }
}

/* ---- the search ------------------------------------------------------------------------------------------------------ */

static bool next_fits(const GlnStandinRule *rule, const GlnStandinPlace *place) {
  if (rule->next_up == 0)
    return true;
  return place->next != NULL && goes(place->chord, place->next, rule->next_up) &&
         (rule->next_classes == 0 || (rule->next_classes >> gln_chord_class(place->next) & 1) != 0);
}

static bool rule_fits(const GlnStandinRule *rule, const GlnStandinPlace *place) {
  int degree = (gln_note_pitch_class(place->chord->root) - gln_note_pitch_class(place->key.tonic) + 12) % 12;
  return (rule->classes >> gln_chord_class(place->chord) & 1) != 0 &&
         (rule->functions == 0 || (rule->functions >> place->function & 1) != 0) &&
         (rule->degrees == 0 || (rule->degrees >> degree & 1) != 0) &&
         (rule->modes >> place->key.minor & 1) != 0 && next_fits(rule, place);
}

/* The same chord, or one with the same notes over the same bass, as the old one or a neighbour on its side. */
static bool says_nothing_new(const GlnStandinPlace *place, GlnStandinWhere where, GlnStandinKind kind,
                             const GlnChord *chord) {
  const GlnChord *beside = where == GLN_STANDIN_BEFORE ? place->last : place->next;
  if (where != GLN_STANDIN_INSTEAD && beside != NULL && above(beside, chord) == 0)
    return true;
  if (gln_chord_equal(chord, place->chord))
    return true;
  if (where != GLN_STANDIN_INSTEAD)
    return above(place->chord, chord) == 0;
  if (kind == GLN_STANDIN_RICHER &&
      (gln_chord_pitch_classes(chord) & ~gln_chord_pitch_classes(place->chord)) == 0)
    return true;
  return kind != GLN_STANDIN_SLASH &&
         gln_chord_pitch_classes(chord) == gln_chord_pitch_classes(place->chord) &&
         gln_note_pitch_class(chord->bass) == gln_note_pitch_class(place->chord->bass);
}

static bool is_known(const GlnStandins *standins, GlnStandinWhere where, const GlnChord *chord) {
  for (size_t i = 0; i < standins->count; i++)
    if (standins->items[i].where == where && gln_chord_equal(&standins->items[i].chord, chord))
      return true;
  return false;
}

GlnStatus gln_standins_find(const GlnStandinPlace *place, GlnArena *arena, GlnStandins *standins) {
  *standins = (GlnStandins){.items = GLN_NEW(arena, GlnStandin, gln_standin_rule_count)};
  if (standins->items == NULL)
    return GLN_MEMORY;
  for (size_t r = 0; r < gln_standin_rule_count; r++) {
    const GlnStandinRule *rule = &gln_standin_rules[r];
    GlnChord chord;
    if (!rule_fits(rule, place) || !write_chord(rule, place, &chord) ||
        !gln_standin_claim_holds(place, &chord, rule->claims) ||
        says_nothing_new(place, rule->where, rule->kind, &chord) || is_known(standins, rule->where, &chord))
      continue;
    GlnBuffer reason = gln_buffer(arena);
    fill_reason(rule->reason, place, &chord, &reason);
    GLN_TRY(gln_buffer_status(&reason));
    standins->items[standins->count++] = (GlnStandin){
        .kind = rule->kind,
        .where = rule->where,
        .chord = chord,
        .reason = gln_buffer_text(&reason),
        .pitch_space = gln_pitch_space_distance(place->chord, place->key, &chord, place->key),
        .claims = rule->claims,
    };
  }
  return GLN_OK;
}

GlnTopEffect gln_top_effect(const GlnChord *chord, GlnNote top) {
  int pitch_class = gln_note_pitch_class(top);
  if (gln_chord_tone_of(chord, pitch_class) >= 0)
    return GLN_TOP_IN_CHORD;
  int below = gln_chord_tone_of(chord, (pitch_class + 11) % 12);
  bool flat_ninth = gln_chord_class(chord) == GLN_CLASS_DOMINANT &&
                    (gln_note_pitch_class(chord->root) + 1) % 12 == pitch_class;
  return below >= 0 && !flat_ninth ? GLN_TOP_CLASH : GLN_TOP_TENSION;
}
