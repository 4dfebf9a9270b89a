/* The search against a naive enumeration that shares nothing with it but the judge of fingers. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../failing_allocator.h"
#include "../slow_build.h"
#include "grip_test.h"

#include <stdio.h>
#include <stdlib.h>

/* ---- what may be left out, written again from docs/hand-model.md --------------------------------------------------- */

static bool class_sounds(const int *classes, int count, int pitch_class) {
  for (int i = 0; i < count; i++)
    if (classes[i] == pitch_class)
      return true;
  return false;
}

static bool stands_in_above(const GlnChord *chord, const int *classes, int count, const GlnTone *tone) {
  for (int t = 0; t < chord->tone_count; t++) {
    const GlnTone *other = &chord->tones[t];
    if (other->degree.number >= 9 && other->role != GLN_ROLE_MAY_GO &&
        gln_degree_semitones(other->degree) > gln_degree_semitones(tone->degree) &&
        class_sounds(classes, count, other->pitch_class))
      return true;
  }
  return false;
}

static bool group_sounds(const GlnChord *chord, const int *classes, int count, int group) {
  for (int t = 0; t < chord->tone_count; t++)
    if (chord->tones[t].group == group && class_sounds(classes, count, chord->tones[t].pitch_class))
      return true;
  return false;
}

static int distinct(const int *classes, int count) {
  int different = 0;
  for (int i = 0; i < count; i++)
    different += !class_sounds(classes, i, classes[i]);
  return different;
}

/* The bass is the chord's. On a re-entrant instrument there is none, and the root sounds, as long as the strings can hold
 * the whole chord. */
static bool is_grounded(const GlnInstrument *instrument, const GlnChord *chord, const int *classes, int count,
                        int lowest) {
  int whole[GLN_CHORD_TONES_MAX];
  if (!gln_instrument_reentrant(instrument))
    return lowest % 12 == gln_note_pitch_class(chord->bass);
  for (int t = 0; t < chord->tone_count; t++)
    whole[t] = chord->tones[t].pitch_class;
  return distinct(whole, chord->tone_count) > instrument->string_count ||
         class_sounds(classes, count, gln_note_pitch_class(chord->root));
}

/* Tones that must sound but may be silent for want of strings. */
typedef struct Gone {
  bool tone[GLN_CHORD_TONES_MAX], any;
} Gone;

static bool is_group_tone(const GlnTone *tone) {
  return tone->group != 0;
}

static int needed_strings(const GlnInstrument *instrument, const GlnChord *chord, int strings,
                          const Gone *gone) {
  int classes[GLN_CHORD_TONES_MAX + 1], whole[GLN_CHORD_TONES_MAX], count = 0, groups = 0;
  for (int t = 0; t < chord->tone_count; t++) {
    const GlnTone *tone = &chord->tones[t];
    whole[t] = tone->pitch_class;
    if (tone->role == GLN_ROLE_MUST && !gone->tone[t])
      classes[count++] = tone->pitch_class;
    if (is_group_tone(tone) && !gone->tone[t])
      groups = tone->group > groups ? tone->group : groups;
  }
  bool with_root = gln_instrument_reentrant(instrument)
                       ? distinct(whole, chord->tone_count) <= instrument->string_count
                       : gln_note_pitch_class(chord->bass) == gln_note_pitch_class(chord->root);
  if (with_root)
    classes[count++] = gln_note_pitch_class(chord->root);
  return distinct(classes, count) + (strings <= 4 && groups > 1 ? 1 : groups);
}

/* An altered fifth goes first, then tensions from the lowest up, at last the groups. */
static Gone find_gone(const GlnInstrument *instrument, const GlnChord *chord, int strings) {
  Gone gone = {.any = false};
  while (needed_strings(instrument, chord, strings, &gone) > strings) {
    int least = -1;
    for (int t = 0; t < chord->tone_count; t++) {
      int number = chord->tones[t].degree.number;
      if (chord->tones[t].role == GLN_ROLE_MUST && !gone.tone[t] && t != chord->bass_tone &&
          (number == 5 || number >= 9) &&
          (least < 0 ||
           gln_degree_semitones(chord->tones[t].degree) < gln_degree_semitones(chord->tones[least].degree)))
        least = t;
    }
    bool more = least >= 0;
    for (int t = 0; t < chord->tone_count; t++)
      if (least >= 0 ? t == least : is_group_tone(&chord->tones[t]) && !gone.tone[t])
        gone.tone[t] = more = true;
    if (!more)
      break;
    gone.any = true;
  }
  return gone;
}

/* Where four strings or fewer sound, one tone of all the groups is enough. */
static bool groups_sound(const GlnChord *chord, const int *classes, int count, const GlnTone *tone) {
  if (count > 4)
    return group_sounds(chord, classes, count, tone->group);
  for (int t = 0; t < chord->tone_count; t++)
    if (is_group_tone(&chord->tones[t]) && class_sounds(classes, count, chord->tones[t].pitch_class))
      return true;
  return false;
}

static bool tone_may_miss(const GlnChord *chord, const int *classes, int count, int t, const Gone *gone) {
  const GlnTone *tone = &chord->tones[t];
  if (class_sounds(classes, count, tone->pitch_class) || gone->tone[t])
    return true;
  if (is_group_tone(tone))
    return groups_sound(chord, classes, count, tone);
  if (tone->role == GLN_ROLE_COLOUR)
    return gone->any || stands_in_above(chord, classes, count, tone);
  return tone->role == GLN_ROLE_MAY_GO;
}

static bool sounds_the_chord(const GlnInstrument *instrument, const GlnChord *chord, const Gone *gone,
                             const int *midi, int count) {
  int classes[GLN_STRINGS_MAX], whole[GLN_CHORD_TONES_MAX], lowest = 999;
  for (int i = 0; i < count; i++) {
    classes[i] = midi[i] % 12;
    lowest = midi[i] < lowest ? midi[i] : lowest;
    if (gln_chord_tone_of(chord, classes[i]) < 0)
      return false;
  }
  for (int t = 0; t < chord->tone_count; t++) {
    whole[t] = chord->tones[t].pitch_class;
    if (!tone_may_miss(chord, classes, count, t, gone))
      return false;
  }
  int least = distinct(whole, chord->tone_count);
  return count > 0 && is_grounded(instrument, chord, classes, count, lowest) &&
         distinct(classes, count) >= (least < 3 ? least : 3);
}

static int inner_silent(const GlnFrets *frets) {
  int first = 0, last = frets->string_count - 1, silent = 0;
  while (first < last && frets->fret[first] < 0)
    first++;
  while (last > first && frets->fret[last] < 0)
    last--;
  for (int s = first; s < last; s++)
    silent += frets->fret[s] < 0;
  return silent;
}

/* ---- the enumeration -------------------------------------------------------------------------------------------- */

typedef struct Naive {
  const GlnChord *chord;
  const GlnInstrument *instrument;
  const GlnHand *hand;
  const GlnGripList *list;
  size_t playable;
  Gone gone;
} Naive;

static bool in_list(const GlnGripList *list, const GlnFrets *frets) {
  for (size_t i = 0; i < list->count; i++)
    if (gln_frets_equal(&list->grips[i].frets, frets))
      return true;
  return false;
}

static void consider(Naive *naive, const GlnFrets *frets) {
  int midi[GLN_STRINGS_MAX], count = 0;
  for (int s = 0; s < frets->string_count; s++)
    if (frets->fret[s] >= 0)
      midi[count++] = gln_sounding_midi(naive->instrument, s, frets->fret[s]);
  if (!sounds_the_chord(naive->instrument, naive->chord, &naive->gone, midi, count) ||
      inner_silent(frets) > 2)
    return;
  GlnFingering fingering;
  if (gln_fingering_find(naive->instrument, naive->hand, frets, &fingering) != GLN_OK)
    return;
  naive->playable++;
  if (in_list(naive->list, frets))
    return;
  char shape[GLN_FRETS_TEXT_MAX], symbol[GLN_SYMBOL_TEXT_MAX];
  (void)gln_frets_print(frets, shape);
  (void)gln_chord_print(naive->chord, GLN_SIGNS_ASCII, symbol);
  fail_msg("the search misses %s for %s", shape, symbol);
}

/* All shapes whose lowest stopped fret is lowest (0: none stopped) and whose highest is at most highest. A note
 * foreign to the chord ends a branch, for no shape with it is the chord; nothing else does. */
static void enumerate(Naive *naive, GlnFrets *frets, int string, int lowest, int highest, bool has_lowest) {
  if (string == frets->string_count) {
    if (has_lowest || lowest == 0)
      consider(naive, frets);
    return;
  }
  for (int fret = GLN_NOT_PLAYED; fret <= highest; fret++) {
    if (fret > 0 && fret < lowest)
      fret = lowest;
    if (fret > 0 && fret < gln_first_fret(naive->instrument, string))
      continue;
    int midi = gln_sounding_midi(naive->instrument, string, fret);
    if (fret >= 0 && gln_chord_tone_of(naive->chord, midi % 12) < 0)
      continue;
    frets->fret[string] = (int8_t)fret;
    enumerate(naive, frets, string + 1, lowest, highest, has_lowest || (fret == lowest && lowest > 0));
  }
  frets->fret[string] = GLN_NOT_PLAYED;
}

/* Frets within 150 mm, past any reach of the largest hand. */
static int far_fret(const GlnInstrument *instrument, int lowest) {
  int far = lowest;
  while (far + gln_frets_from(instrument) < instrument->fret_count &&
         gln_fret_mm(instrument, gln_frets_from(instrument) + far + 1) -
                 gln_fret_mm(instrument, gln_frets_from(instrument) + lowest) <
             150)
    far++;
  return far;
}

static size_t compare_with_naive(const GlnInstrument *instrument, const GlnHand *hand, const char *symbol) {
  GlnChord chord = chord_of(symbol);
  GlnGripQuery query = gln_grip_query_defaults(&chord, instrument, hand);
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnGripList list;
  assert_int_equal(gln_grip_search(&query, arena, &list), GLN_OK);
  Naive naive = {.chord = &chord, .instrument = instrument, .hand = hand, .list = &list};
  for (int strings = instrument->string_count; strings > 2 && naive.playable == 0; strings--) {
    GlnFrets frets = {.string_count = instrument->string_count};
    for (int s = 0; s < GLN_STRINGS_MAX; s++)
      frets.fret[s] = GLN_NOT_PLAYED;
    naive.gone = find_gone(instrument, &chord, strings);
    for (int lowest = 0; lowest <= instrument->fret_count - gln_frets_from(instrument); lowest++)
      enumerate(&naive, &frets, 0, lowest, lowest == 0 ? 0 : far_fret(instrument, lowest), false);
  }
  assert_int_equal(list.count, naive.playable);
  for (size_t i = 1; i < list.count; i++) { /* easiest first, and no shape twice */
    assert_true(list.grips[i - 1].fingering.difficulty <= list.grips[i].fingering.difficulty);
    assert_false(gln_frets_equal(&list.grips[i - 1].frets, &list.grips[i].frets));
  }
  gln_arena_free(arena);
  return naive.playable;
}

static const char *const qualities[] = {"",    "m",    "7",    "maj7",  "m7",  "m7b5", "dim7",
                                        "6",   "m6",   "9",    "maj9",  "m9",  "13",   "7b9",
                                        "7#9", "7alt", "sus4", "7sus4", "aug", "6/9"};
static const char *const roots[] = {"C", "F#", "Bb", "E", "Ab", "D"};

/* 60 chords in turn over three tunings: every quality three times, with different roots. */
static void test_complete(void **state) {
  (void)state;
  GlnInstrument guitar = gln_instrument_defaults(), open_g = guitar, uke = ukulele();
  assert_int_equal(gln_instrument_tune(GLN_TEXT("open g"), &open_g), GLN_OK);
  guitar.fret_count = open_g.fret_count = SLOW_BUILD ? 9 : 19;
  const GlnInstrument *instruments[] = {&guitar, &open_g, &uke};
  GlnHand hands[] = {gln_hand(GLN_HAND_MEDIUM), gln_hand(GLN_HAND_SMALL), gln_hand(GLN_HAND_LARGE)};
  hands[2].thumb = true;
  size_t playable = 0;
  for (size_t i = 0; i < 60; i++)
    for (size_t tuning = 0; tuning < 3; tuning++) {
      char symbol[32];
      (void)snprintf(symbol, sizeof symbol, "%s%s", roots[(i / 20 + i + tuning) % 6], qualities[i % 20]);
      playable += compare_with_naive(instruments[tuning], &hands[(i + tuning) % 3], symbol);
    }
  assert_true(playable > (SLOW_BUILD ? 2000 : 10000));
}

static void test_complete_with_capo_and_slash(void **state) {
  (void)state;
  GlnInstrument guitar = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  guitar.fret_count = SLOW_BUILD ? 7 : 12;
  guitar.capo = 3;
  assert_true(compare_with_naive(&guitar, &hand, "C/E") > 0);
  assert_true(compare_with_naive(&guitar, &hand, "Am7/G") > 0);
  assert_true(compare_with_naive(&guitar, &hand, "D/C") > 0);
}

static void test_complete_where_strings_begin_later(void **state) {
  (void)state;
  GlnInstrument guitar = gln_instrument_defaults(), banjo = guitar;
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  guitar.fret_count = SLOW_BUILD ? 7 : 12;
  assert_int_equal(gln_capo_parse(GLN_TEXT("2:5-3"), &guitar), GLN_OK);
  assert_int_equal(gln_instrument_tune(GLN_TEXT("five string banjo"), &banjo), GLN_OK);
  banjo.fret_count = guitar.fret_count;
  size_t playable = 0;
  static const char *const symbols[] = {"E", "A7", "Bsus4", "F#m7", "G6", "D/F#"};
  for (size_t i = 0; i < GLN_COUNT_OF(symbols); i++) {
    playable += compare_with_naive(&guitar, &hand, symbols[i]);
    playable += compare_with_naive(&banjo, &hand, symbols[i]);
  }
  assert_true(playable > 200);
}

/* More tones that must sound than strings, or than a hand can hold. */
static void test_complete_where_tones_must_go(void **state) {
  (void)state;
  GlnInstrument guitar = gln_instrument_defaults(), four = guitar, three = guitar;
  assert_int_equal(gln_instrument_tune(GLN_TEXT("D3 G3 B3 E4"), &four), GLN_OK);
  assert_int_equal(gln_instrument_tune(GLN_TEXT("D3 G3 B3"), &three), GLN_OK);
  guitar.fret_count = SLOW_BUILD ? 7 : 12;
  four.fret_count = three.fret_count = 12; /* on three strings a C6/9 has no grip below the eighth fret */
  const GlnInstrument *instruments[] = {&guitar, &four, &three};
  GlnHand hand = gln_hand(GLN_HAND_SMALL);
  static const char *const symbols[] = {"E7alt",       "C13#11", "D7#5#9", "Fmaj9", "C7b9#11b13",
                                        "Ab13(b9#11)", "Em11",   "C6/9",   "G7b5",  "Bb7b9b13"};
  for (size_t i = 0; i < GLN_COUNT_OF(symbols); i++)
    for (size_t n = 0; n < GLN_COUNT_OF(instruments); n++)
      assert_true(compare_with_naive(instruments[n], &hand, symbols[i]) > 0);
}

static GlnGripList grips_of(const GlnInstrument *instrument, const GlnChord *chord, uint16_t textures,
                            GlnArena *arena) {
  static GlnHand hand;
  hand = gln_hand(GLN_HAND_MEDIUM);
  GlnGripQuery query = gln_grip_query_defaults(chord, instrument, &hand);
  query.textures = textures;
  GlnGripList list;
  assert_int_equal(gln_grip_search(&query, arena, &list), GLN_OK);
  return list;
}

static bool lists(const GlnGripList *list, const char *text) {
  GlnFrets frets = frets_of(text);
  return in_list(list, &frets);
}

/* Four notes of an altered dominant: x7678x, and what the list says of tones it lets go. Common practice, no published
 * source. */
static void test_tones_let_go(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnInstrument guitar = gln_instrument_defaults();
  GlnChord alt = chord_of("E7alt"), sharp = chord_of("C13#11"), ninth = chord_of("C9");
  GlnGripList list = grips_of(&guitar, &alt, 0, arena);
  assert_true(lists(&list, "x7678x"));
  assert_int_equal(list.let_go, 0);
  const uint16_t four = 1U << GLN_TEXTURE_FOUR_NOTE, shell = 1U << GLN_TEXTURE_SHELL;
  assert_true((list = grips_of(&guitar, &sharp, four, arena)).count > 0);
  for (int t = 0; t < sharp.tone_count; t++)
    assert_int_equal(list.let_go >> t & 1, sharp.tones[t].degree.number == 11);
  list = grips_of(&guitar, &ninth, shell, arena);
  assert_true(lists(&list, "x323xx"));
  list = grips_of(&guitar, &ninth, 0, arena);
  assert_false(lists(&list, "x323xx")); /* with strings enough the ninth sounds */
  assert_int_equal(list.let_go, 0);
  gln_arena_free(arena);
}

/* The whole neck once. */
static void test_complete_on_the_whole_neck(void **state) {
  (void)state;
  GlnInstrument guitar = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  if (SLOW_BUILD)
    guitar.fret_count = 9;
  assert_true(compare_with_naive(&guitar, &hand, "G7") > 50);
}

/* ---- the query ------------------------------------------------------------------------------------------------------ */

typedef struct Fixture {
  GlnInstrument instrument;
  GlnHand hand;
  GlnChord chord;
  GlnGripQuery query;
  GlnArena *arena;
  GlnGripList all, list;
} Fixture;

static void set_up(Fixture *fixture, const char *symbol) {
  fixture->instrument = gln_instrument_defaults();
  fixture->hand = gln_hand(GLN_HAND_MEDIUM);
  fixture->chord = chord_of(symbol);
  fixture->query = gln_grip_query_defaults(&fixture->chord, &fixture->instrument, &fixture->hand);
  fixture->arena = gln_arena_new(NULL, 0);
  assert_int_equal(gln_grip_search(&fixture->query, fixture->arena, &fixture->all), GLN_OK);
}

static void search(Fixture *fixture) {
  assert_int_equal(gln_grip_search(&fixture->query, fixture->arena, &fixture->list), GLN_OK);
  assert_true(fixture->list.count > 0);
}

typedef bool (*Keeps)(const GlnGripQuery *query, const GlnGrip *grip);

/* The narrowed search gives exactly those of all grips that the rule keeps. */
static void assert_narrows(Fixture *fixture, Keeps keeps) {
  search(fixture);
  size_t at = 0;
  for (size_t i = 0; i < fixture->all.count; i++) {
    if (!keeps(&fixture->query, &fixture->all.grips[i]))
      continue;
    assert_true(at < fixture->list.count);
    assert_true(gln_frets_equal(&fixture->all.grips[i].frets, &fixture->list.grips[at++].frets));
  }
  assert_int_equal(at, fixture->list.count);
  assert_true(at < fixture->all.count);
}

/* What every ukulele player holds: common practice, no published source. */
static void test_ukulele_has_no_bass(void **state) {
  (void)state;
  static const char *const known[][2] = {{"Am", "2000"}, {"F", "2010"},  {"G", "0232"},  {"D", "2220"},
                                         {"Em", "0432"}, {"C7", "0001"}, {"G7", "0212"}, {"Dm", "2210"},
                                         {"C9", "0201"}, {"Am7", "0000"}};
  for (size_t i = 0; i < GLN_COUNT_OF(known); i++) {
    Fixture f;
    set_up(&f, known[i][0]);
    f.instrument = ukulele();
    search(&f);
    GlnFrets frets = frets_of(known[i][1]);
    if (!in_list(&f.list, &frets))
      fail_msg("%s is not among the grips of %s", known[i][1], known[i][0]);
    gln_arena_free(f.arena);
  }
}

static bool keeps_texture(const GlnGripQuery *query, const GlnGrip *grip) {
  return (query->textures & grip->textures) != 0;
}

static bool keeps_region(const GlnGripQuery *query, const GlnGrip *grip) {
  for (int s = 0; s < grip->frets.string_count; s++) {
    int fret = grip->frets.fret[s];
    if (fret > 0 && (fret < query->fret_low || fret > query->fret_high))
      return false;
  }
  return true;
}

static bool has_open(const GlnGrip *grip) {
  for (int s = 0; s < grip->frets.string_count; s++)
    if (grip->frets.fret[s] == 0)
      return true;
  return false;
}

static bool keeps_no_open(const GlnGripQuery *query, const GlnGrip *grip) {
  (void)query;
  return !has_open(grip);
}

static bool keeps_open(const GlnGripQuery *query, const GlnGrip *grip) {
  (void)query;
  return has_open(grip);
}

static bool keeps_strings(const GlnGripQuery *query, const GlnGrip *grip) {
  for (int s = 0; s < grip->frets.string_count; s++)
    if (grip->frets.fret[s] >= 0 && (query->strings >> s & 1) == 0)
      return false;
  return true;
}

static bool keeps_top_class(const GlnGripQuery *query, const GlnGrip *grip) {
  return grip->midi[grip->top_string] % 12 == query->top_pitch_class;
}

static bool keeps_top_midi(const GlnGripQuery *query, const GlnGrip *grip) {
  return grip->midi[grip->top_string] == query->top_midi;
}

static void test_query_narrows(void **state) {
  (void)state;
  Fixture f;
  set_up(&f, "G7");
  const GlnGripQuery plain = f.query;
  for (int texture = 0; texture < GLN_TEXTURE_COUNT; texture++) {
    if (texture == GLN_TEXTURE_ROOTLESS || texture == GLN_TEXTURE_CLOSE ||
        texture == GLN_TEXTURE_ROOTLESS_A || texture == GLN_TEXTURE_ROOTLESS_B)
      continue;
    f.query = plain;
    f.query.textures = (uint16_t)(1u << texture);
    assert_narrows(&f, keeps_texture);
  }
  f.query = plain;
  f.query.fret_low = 3;
  f.query.fret_high = 7;
  assert_narrows(&f, keeps_region);
  f.query = plain;
  f.query.open_wish = GLN_OPEN_NEVER;
  assert_narrows(&f, keeps_no_open);
  f.query.open_wish = GLN_OPEN_WANTED;
  assert_narrows(&f, keeps_open);
  f.query = plain;
  f.query.strings = 0x1d;
  assert_narrows(&f, keeps_strings);
  f.query = plain;
  f.query.top_pitch_class = 5;
  assert_narrows(&f, keeps_top_class);
  f.query = plain;
  f.query.top_midi = 59;
  assert_narrows(&f, keeps_top_midi);
  gln_arena_free(f.arena);
}

static bool damped_by_hand(const GlnGrip *grip, int string) {
  if (grip->frets.fret[string - 1] > 0)
    return true;
  for (int b = 0; b < grip->fingering.barre_count; b++)
    if (grip->fingering.barres[b].low_string < string)
      return true;
  return false;
}

/* With a pick, every silent string inside a grip is touched by a finger. */
static void test_pick(void **state) {
  (void)state;
  Fixture f;
  set_up(&f, "C");
  f.query.right_hand = GLN_RIGHT_PICK;
  search(&f);
  assert_true(f.list.count < f.all.count);
  for (size_t i = 0; i < f.list.count; i++) {
    const GlnGrip *grip = &f.list.grips[i];
    int first = 0, last = 5;
    while (grip->frets.fret[first] < 0)
      first++;
    while (grip->frets.fret[last] < 0)
      last--;
    for (int s = first + 1; s < last; s++)
      if (grip->frets.fret[s] < 0)
        assert_true(damped_by_hand(grip, s));
  }
  gln_arena_free(f.arena);
}

static void test_bass_wishes(void **state) {
  (void)state;
  Fixture f;
  set_up(&f, "C");
  f.query.bass_wish = GLN_BASS_NOTE;
  f.query.bass_pitch_class = 4;
  search(&f);
  size_t over_e = f.list.count;
  for (size_t i = 0; i < over_e; i++)
    assert_int_equal(f.list.grips[i].midi[f.list.grips[i].bass_string] % 12, 4);
  f.query.bass_pitch_class = 7;
  search(&f);
  size_t over_g = f.list.count;
  f.query.bass_wish = GLN_BASS_ANY;
  search(&f);
  assert_int_equal(f.list.count, f.all.count + over_e + over_g);
  gln_arena_free(f.arena);
}

static void test_rootless(void **state) {
  (void)state;
  Fixture f;
  set_up(&f, "C9");
  f.query.textures = 1u << GLN_TEXTURE_ROOTLESS;
  search(&f);
  for (size_t i = 0; i < f.list.count; i++)
    assert_false(f.list.grips[i].tones & (1u << f.chord.root_tone));
  GlnFrets e_bb_d_g = frets_of("x7878x");
  assert_true(in_list(&f.list, &e_bb_d_g));
  size_t rootless = f.list.count;
  f.query.textures |= 1u << GLN_TEXTURE_FULL;
  search(&f);
  size_t full = 0;
  for (size_t i = 0; i < f.all.count; i++)
    full += (f.all.grips[i].textures & 1u << GLN_TEXTURE_FULL) != 0;
  assert_int_equal(f.list.count, rootless + full);
  gln_arena_free(f.arena);
}

/* Forms A and B are those of the rootless grips that they say, no more and no fewer. */
static void test_rootless_forms(void **state) {
  (void)state;
  static const GlnTexture forms[] = {GLN_TEXTURE_ROOTLESS_A, GLN_TEXTURE_ROOTLESS_B};
  for (size_t i = 0; i < GLN_COUNT_OF(forms); i++) {
    Fixture f;
    set_up(&f, "C13");
    f.query.textures = 1u << GLN_TEXTURE_ROOTLESS;
    assert_int_equal(gln_grip_search(&f.query, f.arena, &f.all), GLN_OK);
    f.query.textures = (uint16_t)(1u << forms[i]);
    assert_narrows(&f, keeps_texture);
    gln_arena_free(f.arena);
  }
}

static void test_bigger_hand_keeps_every_grip(void **state) {
  (void)state;
  static const char *const symbols[] = {"C", "F#m7", "Bb13", "Ebmaj9"};
  for (size_t i = 0; i < GLN_COUNT_OF(symbols); i++) {
    Fixture f;
    set_up(&f, symbols[i]);
    f.hand = gln_hand(GLN_HAND_LARGE);
    search(&f);
    assert_true(f.list.count > f.all.count);
    for (size_t g = 0; g < f.all.count; g++)
      assert_true(in_list(&f.list, &f.all.grips[g].frets));
    GlnGripList large = f.list;
    f.hand.thumb = true;
    search(&f);
    for (size_t g = 0; g < large.count; g++)
      assert_true(in_list(&f.list, &large.grips[g].frets));
    gln_arena_free(f.arena);
  }
}

static void test_few_looked_at(void **state) {
  (void)state;
  static const char *const symbols[] = {"C", "G7", "Am7", "F13", "E7alt", "Bbmaj9", "D6/9", "G13sus4"};
  const double naive = 21.0 * 21 * 21 * 21 * 21 * 21; /* not played, open, 19 frets, on six strings */
  for (size_t i = 0; i < GLN_COUNT_OF(symbols); i++) {
    Fixture f;
    set_up(&f, symbols[i]);
    assert_true((double)f.all.looked_at * 1000 <= naive);
    gln_arena_free(f.arena);
  }
}

static void test_same_every_time(void **state) {
  (void)state;
  Fixture f;
  set_up(&f, "Dm9");
  search(&f);
  assert_int_equal(f.all.count, f.list.count);
  for (size_t i = 0; i < f.all.count; i++) {
    assert_true(gln_frets_equal(&f.all.grips[i].frets, &f.list.grips[i].frets));
    assert_memory_equal(f.all.grips[i].fingering.finger, f.list.grips[i].fingering.finger, GLN_STRINGS_MAX);
  }
  gln_arena_free(f.arena);
}

static void test_nothing_to_find_is_no_error(void **state) {
  (void)state;
  Fixture f;
  set_up(&f, "C13");
  f.query.strings = 0x03;
  assert_int_equal(gln_grip_search(&f.query, f.arena, &f.list), GLN_OK);
  assert_int_equal(f.list.count, 0);
  gln_arena_free(f.arena);
}

static void test_more_grips_than_the_limit(void **state) {
  (void)state;
  Fixture f;
  set_up(&f, "Cmaj13#11");
  assert_int_equal(gln_instrument_tune(GLN_TEXT("eight strings"), &f.instrument), GLN_OK);
  f.hand = gln_hand(GLN_HAND_LARGE);
  f.query.textures = 1u << GLN_TEXTURE_ROOTLESS;
  assert_int_equal(gln_grip_search(&f.query, f.arena, &f.list), GLN_LIMIT);
  f.query.strings = 0x3f;
  f.query.fret_low = 5;
  f.query.fret_high = 9;
  assert_int_equal(gln_grip_search(&f.query, f.arena, &f.list), GLN_OK);
  gln_arena_free(f.arena);
}

static GlnStatus search_job(GlnArena *arena, void *context) {
  GlnGripList list;
  return gln_grip_search(context, arena, &list);
}

static void test_out_of_memory(void **state) {
  (void)state;
  Fixture f;
  set_up(&f, "G7");
  assert_true(failing_allocator_sweep(search_job, &f.query, 1000) >= 2);
  gln_arena_free(f.arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_complete),
      cmocka_unit_test(test_complete_with_capo_and_slash),
      cmocka_unit_test(test_complete_where_strings_begin_later),
      cmocka_unit_test(test_ukulele_has_no_bass),
      cmocka_unit_test(test_complete_on_the_whole_neck),
      cmocka_unit_test(test_complete_where_tones_must_go),
      cmocka_unit_test(test_tones_let_go),
      cmocka_unit_test(test_query_narrows),
      cmocka_unit_test(test_pick),
      cmocka_unit_test(test_bass_wishes),
      cmocka_unit_test(test_rootless),
      cmocka_unit_test(test_rootless_forms),
      cmocka_unit_test(test_bigger_hand_keeps_every_grip),
      cmocka_unit_test(test_few_looked_at),
      cmocka_unit_test(test_same_every_time),
      cmocka_unit_test(test_nothing_to_find_is_no_error),
      cmocka_unit_test(test_more_grips_than_the_limit),
      cmocka_unit_test(test_out_of_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
