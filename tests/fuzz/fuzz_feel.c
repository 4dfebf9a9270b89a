/* Any bytes as a .feel file: read, and where they read, played over two sections of C and G, so that it is varied. */
#include "sound.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static GlnGrip grip_of(const int8_t fret[6], const GlnInstrument *instrument) {
  GlnGrip grip = {.frets = {.string_count = 6}, .bass_string = -1};
  for (int8_t i = 0; i < 6; i++) {
    grip.frets.fret[i] = fret[i];
    grip.tone[i] = -1;
    grip.midi[i] = fret[i] < 0 ? -1 : (int8_t)gln_sounding_midi(instrument, i, fret[i]);
    grip.fingering.finger[i] = fret[i] > 0 ? 1 : 0;
    if (fret[i] >= 0 && grip.bass_string < 0)
      grip.bass_string = i;
  }
  grip.top_string = 5;
  return grip;
}

/* No string sounds two notes at once, and nothing sounds outside the song. */
static void check(const GlnPerformance *performance) {
  GlnRatio free_from[GLN_STRINGS_MAX];
  for (int i = 0; i < GLN_STRINGS_MAX; i++)
    free_from[i] = gln_ratio(0, 1);
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    GlnRatio end = gln_ratio_add(note->start, note->quarters);
    if (gln_ratio_compare(note->start, free_from[note->string]) < 0 || note->quarters.num <= 0 ||
        gln_ratio_compare(end, performance->quarters) > 0)
      abort();
    free_from[note->string] = end;
  }
}

static void play(const GlnFeel *feel, GlnArena *arena, GlnDiags *diags) {
  GlnFeelBook *book;
  if (gln_feel_book_open(arena, &book) != GLN_OK || gln_feel_book_add(book, feel) != GLN_OK)
    return;
  GlnInstrument instrument = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnChord chords[2];
  if (gln_chord_parse(GLN_TEXT("C"), &chords[0], NULL) != GLN_OK ||
      gln_chord_parse(GLN_TEXT("G"), &chords[1], NULL) != GLN_OK)
    abort();
  const int8_t frets[2][6] = {{-1, 3, 2, 0, 1, 0}, {3, 2, 0, 0, 0, 3}};
  GlnGrip grips[2] = {grip_of(frets[0], &instrument), grip_of(frets[1], &instrument)};
  int16_t beats, unit;
  gln_feel_meter(feel, &beats, &unit);
  GlnRatio bar = gln_ratio(beats * 4, unit), half = gln_ratio_divide(bar, gln_ratio(2, 1));
  enum { HALVES = 20, SECTION = 10 };
  GlnHeld held[HALVES];
  for (int i = 0; i < HALVES; i++)
    held[i] = (GlnHeld){.grip = &grips[i % 2],
                        .chord = &chords[i % 2],
                        .start = gln_ratio_multiply(half, gln_ratio(i, 1)),
                        .quarters = half,
                        .meter_beats = beats,
                        .meter_unit = unit,
                        .bar_start = gln_ratio_multiply(bar, gln_ratio(i / 2, 1)),
                        .section = i / SECTION};
  GlnPerformanceOptions options = {
      .instrument = &instrument, .hand = &hand, .book = book, .feel = gln_feel_name(feel), .tempo = 120};
  GlnPerformance *performance;
  if (gln_performance_make(&options, held, HALVES, arena, diags, &performance) != GLN_OK)
    return;
  check(performance);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  GlnArena *arena = gln_arena_new(NULL, (size_t)64 * 1024 * 1024);
  if (!arena)
    return 0;
  GlnDiags diags = gln_diags(arena);
  GlnText source = {(const char *)data, size};
  GlnFeel *feel;
  if (gln_feel_read(source, arena, &diags, &feel) == GLN_OK) {
    play(feel, arena, &diags);
  } else {
    GlnBuffer out = gln_buffer(arena);
    gln_diags_print(&diags, GLN_TEXT("x.feel"), source, &out);
  }
  gln_arena_free(arena);
  return 0;
}
