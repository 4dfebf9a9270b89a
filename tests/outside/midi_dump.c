/* Writes a song of ours as a MIDI file and prints it as one JSON document: the bytes in hexadecimal and what a reader
 * must find in them. */
#include "interchange.h"

#include <stdio.h>
#include <stdlib.h>

static void need(bool fine, const char *what) {
  if (fine)
    return;
  (void)fprintf(stderr, "midi_dump: %s\n", what);
  exit(1);
}

typedef struct Row {
  const char *symbol, *frets;
  int quarters, bar_start;
  int16_t beats, unit;
} Row;

static const Row rows[] = {{"C6/9", "x32233", 4, 0, 4, 4}, {"G13", "3x345x", 2, 4, 4, 4},
                           {"Gm7", "3x333x", 2, 4, 4, 4},  {NULL, NULL, 4, 8, 4, 4},
                           {"Am", "x02210", 3, 12, 6, 8},  {"E", "022100", 3, 15, 6, 8},
                           {"Am", "x02210", 4, 18, 4, 4}};
#define ROWS GLN_COUNT_OF(rows)

static void hold_rows(const GlnInstrument *instrument, const GlnHand *hand, GlnChord chords[ROWS],
                      GlnGrip grips[ROWS], GlnHeld held[ROWS]) {
  int start = 0;
  for (size_t i = 0; i < ROWS; i++) {
    held[i] = (GlnHeld){.start = gln_ratio(start, 1),
                        .quarters = gln_ratio(rows[i].quarters, 1),
                        .meter_beats = rows[i].beats,
                        .meter_unit = rows[i].unit,
                        .bar_start = gln_ratio(rows[i].bar_start, 1)};
    start += rows[i].quarters;
    if (!rows[i].symbol)
      continue;
    GlnFrets frets;
    need(gln_chord_parse(gln_text(rows[i].symbol), &chords[i], NULL) == GLN_OK, rows[i].symbol);
    need(gln_frets_parse(gln_text(rows[i].frets), &frets, NULL) == GLN_OK, rows[i].frets);
    GlnGripQuery query = gln_grip_query_defaults(&chords[i], instrument, hand);
    need(gln_grip_of_frets(&query, &frets, &grips[i], NULL) == GLN_OK, rows[i].frets);
    held[i].grip = &grips[i];
    held[i].chord = &chords[i];
  }
}

static void print_ratio(GlnRatio ratio) {
  (void)printf("[%lld, %lld]", (long long)ratio.num, (long long)ratio.den);
}

static void print_case(const char *feel, const GlnPerformance *performance, GlnText bytes) {
  (void)printf("{\"feel\": \"%s\", \"division\": %d, \"quarters\": ", feel, GLN_MIDI_DIVISION);
  print_ratio(performance->quarters);
  (void)printf(", \"meters\": [");
  for (size_t i = 0; i < performance->meter_count; i++) {
    (void)printf("%s{\"beats\": %d, \"unit\": %d, \"start\": ", i ? ", " : "", performance->meters[i].beats,
                 performance->meters[i].unit);
    print_ratio(performance->meters[i].start);
    (void)printf("}");
  }
  (void)printf("], \"notes\": [");
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    (void)printf("%s{\"string\": %d, \"midi\": %d, \"force\": %d, \"player\": \"%s\", \"start\": ",
                 i ? ", " : "", note->string, note->midi, note->force, gln_player_words(note->player));
    print_ratio(note->start);
    (void)printf(", \"length\": ");
    print_ratio(note->quarters);
    (void)printf("}");
  }
  (void)printf("], \"bytes\": \"");
  for (size_t i = 0; i < bytes.length; i++)
    (void)printf("%02x", (unsigned)(unsigned char)bytes.at[i]);
  (void)printf("\"}");
}

static void dump(const char *name, const GlnPerformanceOptions *options, const GlnHeld *held, size_t count,
                 GlnArena *arena) {
  static bool one; /* is printed already */
  const GlnMidiOptions how = {.title = GLN_TEXT("F\xC3\xA4hre bei Ebbe"),
                              .has_key = true,
                              .key = {.tonic = {.letter = 5, .accidental = 0}, .minor = true}};
  GlnDiags diags = gln_diags(arena);
  GlnPerformance *performance;
  need(gln_performance_make(options, held, count, arena, &diags, &performance) == GLN_OK, name);
  GlnBuffer out = gln_buffer(arena);
  need(gln_midi_write(performance, &how, &out) == GLN_OK, name);
  (void)printf("%s", one ? ",\n" : "");
  one = true;
  print_case(name, performance, gln_buffer_text(&out));
}

#define BARS 10

/* Ten bars in the feel's own meter, two sections of five, so that it is varied; two chords in every third bar, and one of
 * silence. */
static size_t hold_in_meter(const GlnFeel *feel, const GlnHeld rows_held[ROWS], GlnHeld held[2 * BARS]) {
  int16_t beats, unit;
  gln_feel_meter(feel, &beats, &unit);
  GlnRatio length = gln_ratio(4 * beats, unit), half = gln_ratio(2 * beats, unit);
  size_t count = 0;
  for (int bar = 0; bar < BARS; bar++)
    for (int part = 0; part < (bar % 3 == 2 ? 2 : 1); part++) {
      const GlnHeld *row = &rows_held[(size_t)(bar + part) % ROWS];
      GlnRatio start = gln_ratio_multiply(length, gln_ratio(bar, 1));
      held[count++] = (GlnHeld){.grip = row->grip,
                                .chord = row->chord,
                                .start = part ? gln_ratio_add(start, half) : start,
                                .quarters = bar % 3 == 2 ? half : length,
                                .meter_beats = beats,
                                .meter_unit = unit,
                                .bar_start = start,
                                .section = bar / 5};
    }
  return count;
}

int main(void) {
  static const char *const feels[] = {"bossa",  "bossa ahead", "swing", "swing four",
                                      "ballad", "arpeggio",    "strum"};
  GlnArena *arena = gln_arena_new(NULL, 0);
  need(arena != NULL, "no memory");
  GlnInstrument instrument = gln_instrument_defaults();
  GlnHand hand = gln_hand(GLN_HAND_MEDIUM);
  GlnChord chords[ROWS];
  GlnGrip grips[ROWS];
  GlnHeld held[ROWS];
  hold_rows(&instrument, &hand, chords, grips, held);
  GlnFeelBook *book;
  need(gln_feel_book_open(arena, &book) == GLN_OK, "the feels do not read");
  GlnPerformanceOptions options = {
      .instrument = &instrument, .hand = &hand, .book = book, .tempo = 120, .count_in = 1};
  (void)printf("[");
  for (size_t i = 0; i < GLN_COUNT_OF(feels); i++) {
    options.feel = gln_text(feels[i]);
    dump(feels[i], &options, held, ROWS, arena);
  }
  /* Every feel there is, in its own meter, with all that plays beside it. */
  options.click = true;
  options.percussion = (1U << GLN_PERCUSSION_COUNT) - 1;
  for (size_t i = 0; i < gln_feel_book_count(book); i++) {
    const GlnFeel *feel = gln_feel_book_at(book, i);
    GlnHeld own[2 * BARS];
    size_t count = hold_in_meter(feel, held, own);
    options.feel = gln_feel_name(feel);
    const char *name = gln_text_copy(arena, options.feel);
    need(name != NULL, "no memory");
    dump(name, &options, own, count, arena);
  }
  (void)printf("]\n");
  gln_arena_free(arena);
  return 0;
}
