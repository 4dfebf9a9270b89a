/* Proof-reading: is a grip the chord written over it, and if not, which right grip did the writer mean?
 *
 * Exact: every slip of the kinds below is undone in turn (one digit, two digits in each other's place, a note or the shape
 * one string over, the shape along the neck, the shape from the wrong side), and each result is judged as the grip was.
 * What passes is ranked by how likely the slip is and how likely the grip. */
#include "proof_internal.h"

#include <stdlib.h>
#include <string.h>

/* ---- judging ------------------------------------------------------------------------------------------------ */

bool gln_instrument_reentrant(const GlnInstrument *instrument) {
  for (int s = 1; s < instrument->string_count; s++)
    if (gln_sounding_midi(instrument, s, 0) < gln_sounding_midi(instrument, s - 1, 0))
      return true;
  return false;
}

typedef struct Reader {
  const GlnChord *chord;
  const GlnInstrument *instrument;
  GlnToneNeeds needs;
  GlnHandMap map;
  GlnHand wide_hand;
  GlnHandMap wide;
  bool strict; /* what this hand cannot hold is a fault, though a wider one could */
  uint16_t
      stacked; /* notes of the full stack of thirds that players leave out: no part of the chord, no fault */
  int room; /* 0, or the strings of an instrument that has fewer than the chord has notes that must sound */
  int bass; /* pitch class that must lie lowest; -1 any */
} Reader;

static bool in_set(uint16_t set, int pitch_class) {
  return (set >> pitch_class & 1) != 0;
}

static bool has_number(const GlnChord *chord, int number) {
  for (int t = 0; t < chord->own_count; t++)
    if (chord->tones[t].degree.number == number)
      return true;
  return false;
}

static bool has_degree(const GlnChord *chord, int number) {
  for (int t = 0; t < chord->own_count; t++)
    if (chord->tones[t].degree.number == number && chord->tones[t].degree.alteration == 0)
      return true;
  return false;
}

/* The 3rd of an eleventh chord and the 11th of a thirteenth, which rub and are usually left out: some play them, and
 * the symbol's stack of thirds has them. Common practice, no published source. */
static uint16_t stacked_notes(const GlnChord *chord) {
  uint16_t notes = 0;
  int root = gln_note_pitch_class(chord->root);
  if (!has_number(chord, 7))
    return 0;
  if (has_degree(chord, 11) && !has_number(chord, 3))
    notes |= (uint16_t)(1u << (root + 4) % 12);
  if (has_degree(chord, 13) && !has_number(chord, 11) && !has_number(chord, 4))
    notes |= (uint16_t)(1u << (root + 5) % 12);
  return notes;
}

static void reader_make(const GlnChord *chord, const GlnInstrument *instrument, const GlnHand *hand,
                        bool strict, Reader *reader) {
  *reader = (Reader){.chord = chord, .instrument = instrument, .strict = strict, .bass = -1};
  reader->needs = gln_tone_needs(chord);
  reader->wide_hand = gln_hand_widest();
  gln_hand_map_make(instrument, hand, &gln_hold_weights, &reader->map);
  gln_hand_map_make(instrument, &reader->wide_hand, &gln_hold_weights, &reader->wide);
  reader->stacked = stacked_notes(chord);
  if (gln_bit_count(reader->needs.must) + reader->needs.group_count > instrument->string_count)
    reader->room = instrument->string_count;
  /* Where the lowest string need not sound lowest, players leave the bass to another instrument. */
  if (chord->has_bass && !gln_instrument_reentrant(instrument))
    reader->bass = gln_note_pitch_class(chord->bass);
}

/* Can it be held, and does it take a wider hand than this one? */
static bool can_hold(const Reader *reader, const GlnFrets *frets, GlnFingering *fingering, bool *strained) {
  *strained = gln_hold_find(&reader->map, frets, false, fingering) != GLN_OK;
  return !*strained || (!reader->strict && gln_hold_find(&reader->wide, frets, false, fingering) == GLN_OK);
}

/* Notes alone. */
static GlnHeard hear(const Reader *reader, const GlnFrets *frets) {
  GlnHeard heard = {.bass_string = -1, .bass_free = reader->bass < 0};
  int lowest = 0;
  for (int8_t s = 0; s < frets->string_count; s++) {
    if (frets->fret[s] < 0)
      continue;
    int midi = gln_sounding_midi(reader->instrument, s, frets->fret[s]);
    heard.classes |= (uint16_t)(1u << midi % 12);
    heard.voices++;
    if (!in_set(reader->needs.pitch_classes | reader->stacked, midi % 12))
      heard.foreign_strings |= (uint8_t)(1u << s);
    if (heard.bass_string < 0 || midi < lowest) {
      heard.bass_string = s;
      lowest = midi;
    }
  }
  heard.bass_class = heard.bass_string < 0 ? -1 : lowest % 12;
  return heard;
}

/* Do these notes make the chord? With too few strings for it, as many different ones of its notes as there are strings. */
static bool makes_chord(const Reader *reader, uint16_t classes, int voices) {
  uint16_t own = classes & reader->needs.pitch_classes;
  return gln_tones_admissible(&reader->needs, own, voices, false) ||
         (reader->room > 0 && gln_bit_count(own) >= reader->room);
}

static bool sounds_right(const Reader *reader, const GlnHeard *heard) {
  return heard->foreign_strings == 0 && heard->bass_string >= 0 &&
         makes_chord(reader, heard->classes, heard->voices) &&
         (reader->bass < 0 || heard->bass_class == reader->bass);
}

/* The tones for want of which this is another chord: those whose coming in would help. */
static uint16_t missing_tones(const Reader *reader, uint16_t classes, int voices) {
  const GlnChord *chord = reader->chord;
  uint16_t missing = 0;
  if (makes_chord(reader, classes, voices))
    return 0;
  for (int t = 0; t < chord->tone_count; t++) {
    const GlnTone *tone = &chord->tones[t];
    if (!in_set(classes, tone->pitch_class) && tone->role == GLN_ROLE_MUST)
      missing |= (uint16_t)(1u << t);
  }
  for (int t = 0; missing == 0 && t < chord->tone_count; t++) {
    int pitch_class = chord->tones[t].pitch_class;
    if (!in_set(classes, pitch_class) && makes_chord(reader, (uint16_t)(classes | 1u << pitch_class), voices))
      missing |= (uint16_t)(1u << t);
  }
  for (int t = 0; missing == 0 && t < chord->tone_count; t++)
    if (!in_set(classes, chord->tones[t].pitch_class))
      missing |= (uint16_t)(1u << t);
  return missing;
}

/* ---- the slips, undone ---------------------------------------------------------------------------------------- */

typedef struct Undoing {
  const Reader *reader;
  GlnProof *proof;
} Undoing;

static void keep(GlnProof *proof, const GlnSuggestion *suggestion) {
  int at = proof->suggestion_count;
  for (int i = 0; i < proof->suggestion_count; i++) {
    if (!gln_frets_equal(&proof->suggestions[i].frets, &suggestion->frets))
      continue;
    if (proof->suggestions[i].cost <= suggestion->cost)
      return;
    at = i; /* the same grip by a likelier slip */
  }
  if (at == GLN_SUGGESTIONS_MAX) {
    at--;
    if (proof->suggestions[at].cost <= suggestion->cost)
      return;
  } else if (at == proof->suggestion_count) {
    proof->suggestion_count++;
  }
  for (; at > 0 && proof->suggestions[at - 1].cost > suggestion->cost; at--)
    proof->suggestions[at] = proof->suggestions[at - 1];
  proof->suggestions[at] = *suggestion;
}

/* Offers the suggestion, whose cost is that of the slip so far, if its grip is right. */
static void offer(const Undoing *undoing, GlnSuggestion suggestion) {
  const Reader *reader = undoing->reader;
  int string = 0;
  if (gln_frets_fault(reader->instrument, &suggestion.frets, &string) != NULL)
    return;
  GlnHeard heard = hear(reader, &suggestion.frets);
  bool strained = false;
  if (!sounds_right(reader, &heard) || !can_hold(reader, &suggestion.frets, &suggestion.fingering, &strained))
    return;
  suggestion.cost += strained ? gln_slip_costs.strained : 0;
  suggestion.cost += gln_likely_cost(reader->chord, reader->instrument, &heard, &suggestion);
  keep(undoing->proof, &suggestion);
}

static void undo_digits(const Undoing *undoing) {
  const GlnFrets *read = &undoing->proof->frets;
  for (int8_t s = 0; s < read->string_count; s++)
    for (int fret = GLN_NOT_PLAYED; fret <= undoing->reader->map.frets; fret++) {
      if (fret == read->fret[s])
        continue;
      bool one_off = read->fret[s] >= 0 && fret >= 0 && abs(fret - read->fret[s]) == 1;
      GlnSuggestion fix = {.frets = *read,
                           .slip = one_off ? GLN_PROBLEM_FRET : GLN_PROBLEM_COUNT,
                           .string_a = s,
                           .string_b = -1,
                           .cost = gln_digit_cost(read->fret[s], fret)};
      fix.frets.fret[s] = (int8_t)fret;
      offer(undoing, fix);
    }
}

static void undo_swaps(const Undoing *undoing) {
  const GlnFrets *read = &undoing->proof->frets;
  for (int8_t a = 0; a < read->string_count; a++)
    for (int8_t b = (int8_t)(a + 1); b < read->string_count; b++) {
      if (read->fret[a] == read->fret[b])
        continue;
      /* A note beside a string that is not played: it was put one string over. */
      bool over = b == a + 1 && (read->fret[a] < 0 || read->fret[b] < 0);
      GlnSuggestion fix = {.frets = *read,
                           .slip = over ? GLN_PROBLEM_STRING : GLN_PROBLEM_SWAP,
                           .string_a = a,
                           .string_b = b,
                           .cost = over         ? gln_slip_costs.note_over
                                   : b == a + 1 ? gln_slip_costs.swap
                                                : gln_slip_costs.swap_apart};
      fix.frets.fret[a] = read->fret[b];
      fix.frets.fret[b] = read->fret[a];
      offer(undoing, fix);
    }
}

/* The whole shape one string over. What falls off the edge was a string not played; an x comes in. */
static void undo_string_shift(const Undoing *undoing) {
  const GlnFrets *read = &undoing->proof->frets;
  for (int shift = -1; shift <= 1; shift += 2) {
    int off = shift > 0 ? read->string_count - 1 : 0, in = shift > 0 ? 0 : read->string_count - 1;
    if (read->fret[off] >= 0)
      continue;
    GlnSuggestion fix = {.frets = *read,
                         .slip = GLN_PROBLEM_STRING,
                         .string_a = -1,
                         .string_b = -1,
                         .shift = (int8_t)shift,
                         .cost = gln_slip_costs.shape_over};
    for (int s = 0; s < read->string_count; s++)
      if (s != in)
        fix.frets.fret[s] = read->fret[s - shift];
    fix.frets.fret[in] = GLN_NOT_PLAYED;
    offer(undoing, fix);
  }
}

/* Every stopped string so many frets along; open strings stay. */
static void undo_position(const Undoing *undoing) {
  const GlnFrets *read = &undoing->proof->frets;
  for (int shift = -undoing->reader->map.frets; shift <= undoing->reader->map.frets; shift++) {
    GlnSuggestion fix = {.frets = *read,
                         .slip = GLN_PROBLEM_POSITION,
                         .string_a = -1,
                         .string_b = -1,
                         .shift = (int8_t)shift,
                         .cost =
                             gln_slip_costs.position + gln_slip_costs.position_per_fret * (float)abs(shift)};
    int stopped = 0;
    bool fits = shift != 0;
    for (int s = 0; s < read->string_count; s++) {
      if (read->fret[s] <= 0)
        continue;
      stopped++;
      fix.frets.fret[s] = (int8_t)(read->fret[s] + shift);
      fits = fits && fix.frets.fret[s] >= 1;
    }
    if (fits && stopped > 1)
      offer(undoing, fix);
  }
}

static void undo_reversal(const Undoing *undoing) {
  const GlnFrets *read = &undoing->proof->frets;
  GlnSuggestion fix = {.frets = *read,
                       .slip = GLN_PROBLEM_REVERSED,
                       .string_a = -1,
                       .string_b = -1,
                       .cost = gln_slip_costs.reversed};
  for (int s = 0; s < read->string_count; s++)
    fix.frets.fret[s] = read->fret[read->string_count - 1 - s];
  if (!gln_frets_equal(&fix.frets, read))
    offer(undoing, fix);
}

/* No slip explains it: the grip of the chord that differs on fewest strings, then by fewest frets, then the easiest. */
static GlnStatus suggest_nearest(const Reader *reader, GlnArena *arena, GlnProof *proof) {
  GlnGripQuery query = gln_grip_query_defaults(reader->chord, reader->instrument, reader->map.hand);
  GlnArenaMark mark = gln_arena_mark(arena);
  GlnGripList list;
  GlnStatus status = gln_grip_search(&query, arena, &list);
  int best = INT16_MAX;
  for (size_t i = 0; (status == GLN_OK || status == GLN_LIMIT) && i < list.count; i++) {
    int distance = 0;
    for (int s = 0; s < proof->frets.string_count; s++)
      if (list.grips[i].frets.fret[s] != proof->frets.fret[s])
        distance += 100 + abs(list.grips[i].frets.fret[s] - proof->frets.fret[s]);
    if (distance >= best)
      continue;
    best = distance;
    proof->suggestion_count = 1;
    proof->suggestions[0] = (GlnSuggestion){.frets = list.grips[i].frets,
                                            .fingering = list.grips[i].fingering,
                                            .slip = GLN_PROBLEM_COUNT,
                                            .string_a = -1,
                                            .string_b = -1,
                                            .cost = (float)distance};
  }
  gln_arena_rewind(arena, mark);
  return status == GLN_LIMIT ? GLN_OK : status;
}

/* ---- the whole ------------------------------------------------------------------------------------------------- */

/* The slip when one explains it, else the gravest of what is wrong. */
static GlnProblem problem_of(const GlnProof *proof) {
  if (proof->suggestion_count > 0 && proof->suggestions[0].slip != GLN_PROBLEM_COUNT)
    return proof->suggestions[0].slip;
  if (proof->foreign_strings != 0)
    return GLN_PROBLEM_FOREIGN;
  if (proof->missing_tones != 0)
    return GLN_PROBLEM_MISSING;
  return proof->bass_wrong ? GLN_PROBLEM_BASS : GLN_PROBLEM_UNPLAYABLE;
}

static bool fits_instrument(const Reader *reader, const GlnFrets *frets) {
  if (frets->string_count != reader->instrument->string_count)
    return false;
  int string = 0;
  return gln_frets_fault(reader->instrument, frets, &string) == NULL;
}

static void find_faults(const Reader *reader, GlnProof *proof) {
  GlnFingering fingering;
  bool strained = false;
  GlnHeard heard = hear(reader, &proof->frets);
  proof->foreign_strings = heard.foreign_strings;
  proof->missing_tones = missing_tones(reader, heard.classes, heard.voices);
  proof->bass_string = heard.bass_string;
  proof->bass_wrong = reader->bass >= 0 && heard.bass_class != reader->bass;
  proof->unplayable = !can_hold(reader, &proof->frets, &fingering, &strained);
  proof->strained = strained && !proof->unplayable;
  proof->rootless = reader->needs.root != 0 && (heard.classes & reader->needs.root) == 0;
  proof->inverted = !proof->rootless && !reader->chord->has_bass && reader->needs.root != 0 &&
                    !gln_instrument_reentrant(reader->instrument) && heard.bass_class >= 0 &&
                    !in_set(reader->needs.root, heard.bass_class);
}

GlnStatus gln_proof_read(const GlnChord *chord, const GlnInstrument *instrument, const GlnHand *hand,
                         bool strict, const GlnFrets *frets, GlnArena *arena, GlnProof *proof) {
  Reader reader;
  reader_make(chord, instrument, hand, strict, &reader);
  *proof = (GlnProof){.frets = *frets, .problem = GLN_PROBLEM_COUNT, .bass_string = -1};
  if (!fits_instrument(&reader, frets))
    return GLN_USAGE;
  find_faults(&reader, proof);
  if (proof->foreign_strings == 0 && proof->missing_tones == 0 && !proof->bass_wrong && !proof->unplayable)
    return GLN_OK;
  const Undoing undoing = {&reader, proof};
  undo_digits(&undoing);
  undo_swaps(&undoing);
  undo_string_shift(&undoing);
  undo_position(&undoing);
  undo_reversal(&undoing);
  if (proof->suggestion_count == 0)
    GLN_TRY(suggest_nearest(&reader, arena, proof));
  proof->problem = problem_of(proof);
  return GLN_NO;
}
