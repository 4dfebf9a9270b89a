/* Songs of a few grips for the tests of performances. */
#ifndef GLN_TESTS_PERFORMANCE_HELP_H
#define GLN_TESTS_PERFORMANCE_HELP_H

#include "sound.h"

#define HELD_MAX 64

typedef struct Song {
  GlnArena *arena;
  GlnInstrument instrument;
  GlnHand hand;
  GlnFeelBook *book;
  GlnDiags diags;
  GlnHeld held[HELD_MAX];
  size_t count;
  GlnRatio end, bar_start;
  int16_t beats, unit;
} Song;

static inline int song_setup(void **state) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  Song *song = GLN_NEW(arena, Song, 1);
  assert_non_null(song);
  *song = (Song){.arena = arena,
                 .instrument = gln_instrument_defaults(),
                 .hand = gln_hand(GLN_HAND_MEDIUM),
                 .diags = gln_diags(arena),
                 .end = {0, 1},
                 .bar_start = {0, 1},
                 .beats = 4,
                 .unit = 4};
  assert_int_equal(gln_feel_book_open(arena, &song->book), GLN_OK);
  *state = song;
  return 0;
}

static inline int song_teardown(void **state) {
  gln_arena_free(((Song *)*state)->arena);
  return 0;
}

static inline const GlnChord *song_chord(Song *song, const char *symbol) {
  GlnChord *chord = GLN_NEW(song->arena, GlnChord, 1);
  assert_non_null(chord);
  assert_int_equal(gln_chord_parse(gln_text(symbol), chord, NULL), GLN_OK);
  return chord;
}

static inline const GlnGrip *song_grip(Song *song, const GlnChord *chord, const char *text) {
  GlnGrip *grip = GLN_NEW(song->arena, GlnGrip, 1);
  assert_non_null(grip);
  GlnFrets frets;
  assert_int_equal(gln_frets_parse(gln_text(text), &frets, NULL), GLN_OK);
  GlnGripQuery query = gln_grip_query_defaults(chord, &song->instrument, &song->hand);
  query.bass_wish = GLN_BASS_ANY;
  GlnSymbolFault fault;
  if (gln_grip_of_frets(&query, &frets, grip, &fault) != GLN_OK)
    fail_msg("%s is no grip: %s", text, fault.problem);
  return grip;
}

/* Holds a grip (frets NULL: silence) for so many quarter notes; bar lines fall by themselves. */
static inline void song_hold(Song *song, const char *symbol, const char *frets, int64_t num, int64_t den) {
  assert_true(song->count < HELD_MAX);
  GlnRatio bar = gln_ratio(song->beats * 4, song->unit);
  if (gln_ratio_compare(gln_ratio_subtract(song->end, song->bar_start), bar) >= 0)
    song->bar_start = song->end;
  GlnHeld *held = &song->held[song->count++];
  *held = (GlnHeld){.start = song->end,
                    .quarters = gln_ratio(num, den),
                    .meter_beats = song->beats,
                    .meter_unit = song->unit,
                    .bar_start = song->bar_start};
  if (frets) {
    held->chord = song_chord(song, symbol);
    held->grip = song_grip(song, held->chord, frets);
  }
  song->end = gln_ratio_add(song->end, held->quarters);
}

/* A bar line here, with a meter from here on. */
static inline void song_bar(Song *song, int16_t beats, int16_t unit) {
  song->bar_start = song->end;
  song->beats = beats;
  song->unit = unit;
}

static inline GlnPerformanceOptions song_options(Song *song, const char *feel) {
  return (GlnPerformanceOptions){.instrument = &song->instrument,
                                 .hand = &song->hand,
                                 .book = song->book,
                                 .feel = gln_text(feel),
                                 .tempo = 120};
}

static inline GlnPerformance *song_play(Song *song, const char *feel) {
  GlnPerformanceOptions options = song_options(song, feel);
  GlnPerformance *performance;
  assert_int_equal(
      gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_OK);
  return performance;
}

#endif
