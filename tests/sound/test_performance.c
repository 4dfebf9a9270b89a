#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "failing_allocator.h"
#include "performance_help.h"

#include <string.h>

static bool at(GlnRatio time, int64_t num, int64_t den) {
  return gln_ratio_compare(time, gln_ratio(num, den)) == 0;
}

static GlnRatio end_of(const GlnSounding *note) {
  return gln_ratio_add(note->start, note->quarters);
}

/* Onsets of one player, each once, counted in steps of 1/per_quarter. */
static size_t onsets(const GlnPerformance *performance, GlnPlayer player, int per_quarter, int *out,
                     size_t most) {
  size_t count = 0;
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    if (note->player != player)
      continue;
    GlnRatio step = gln_ratio_multiply(note->start, gln_ratio(per_quarter, 1));
    assert_int_equal(step.den, 1);
    if (count && out[count - 1] == step.num)
      continue;
    assert_true(count < most);
    out[count++] = (int)step.num;
  }
  return count;
}

static void assert_onsets(const GlnPerformance *performance, GlnPlayer player, int per_quarter,
                          const int *expected, size_t count) {
  int found[128];
  assert_int_equal(onsets(performance, player, per_quarter, found, GLN_COUNT_OF(found)), count);
  for (size_t i = 0; i < count; i++)
    assert_int_equal(found[i], expected[i]);
}

/* What holds of every performance. */
static void assert_sound(const Song *song, const GlnPerformance *performance) {
  GlnRatio free_from[GLN_STRINGS_MAX];
  for (int i = 0; i < GLN_STRINGS_MAX; i++)
    free_from[i] = gln_ratio(0, 1);
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    if (i > 0) {
      int order = gln_ratio_compare(performance->notes[i - 1].start, note->start);
      assert_true(order < 0 || (order == 0 && performance->notes[i - 1].string < note->string));
    }
    assert_true(note->quarters.num > 0);
    assert_true(note->force >= 1);
    assert_true(gln_ratio_compare(end_of(note), performance->quarters) <= 0);
    if (note->player == GLN_PLAYER_CLICK)
      continue;
    assert_in_range(note->string, 0, song->instrument.string_count - 1);
    assert_true(gln_ratio_compare(note->start, free_from[note->string]) >= 0);
    free_from[note->string] = end_of(note);
  }
}

/* Sixteen slots over two bars of eighths: son clave 0 3 6 10 12 (Toussaint; Demaine et al. 2009); bossa 0 3 6 10 13
 * (value from memory). Bass on the beats, root and fifth in turn, the fifth below (teaching literature). */
static void bossa_and_son_onsets(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  song_hold(song, "C", "x32010", 4, 1);
  const int bossa[] = {0, 3, 6, 10, 13}, son[] = {0, 3, 6, 10, 12}, thumb[] = {0, 4, 8, 12};
  GlnPerformance *performance = song_play(song, "bossa");
  assert_onsets(performance, GLN_PLAYER_FINGERS, 2, bossa, 5);
  assert_onsets(performance, GLN_PLAYER_THUMB, 2, thumb, 4);
  int basses[4], count = 0;
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].player == GLN_PLAYER_THUMB)
      basses[count++] = performance->notes[i].midi;
  assert_int_equal(basses[0], 48); /* C3 */
  assert_int_equal(basses[1], 43); /* G2, the fifth below */
  assert_int_equal(basses[2], 48);
  assert_int_equal(basses[3], 43);
  assert_sound(song, performance);
  performance = song_play(song, "son clave");
  assert_onsets(performance, GLN_PLAYER_FINGERS, 2, son, 5);
  assert_int_equal(song->diags.count, 0);
}

/* Samba: 0 2 5 7 9 12 14 of sixteen (value from memory), in two and in four. */
static void samba_onsets(void **state) {
  Song *song = *state;
  const int samba[] = {0, 2, 5, 7, 9, 12, 14}, thumb[] = {0, 4, 8, 12};
  song_bar(song, 2, 4);
  song_hold(song, "Am", "x02210", 2, 1);
  song_hold(song, "Am", "x02210", 2, 1);
  GlnPerformance *performance = song_play(song, "samba");
  assert_onsets(performance, GLN_PLAYER_FINGERS, 4, samba, 7);
  assert_onsets(performance, GLN_PLAYER_THUMB, 4, thumb, 4);
  song->count = 0;
  song->end = song->bar_start = gln_ratio(0, 1);
  song_bar(song, 4, 4);
  song_hold(song, "Am", "x02210", 4, 1);
  assert_onsets(song_play(song, "samba"), GLN_PLAYER_FINGERS, 4, samba, 7);
}

/* In which bars, counted from 0, the fingers play this figure (steps of eighths within a bar of 4/4). */
static void assert_bars_of(const GlnPerformance *performance, const int *figure, size_t length,
                           const char *bars) {
  int found[128];
  size_t count = onsets(performance, GLN_PLAYER_FINGERS, 2, found, GLN_COUNT_OF(found));
  for (int bar = 0; bars[bar] != '\0'; bar++) {
    size_t first = 0, within = 0;
    while (first < count && found[first] < 8 * bar)
      first++;
    while (first + within < count && found[first + within] < 8 * (bar + 1))
      within++;
    bool same = within == length;
    for (size_t i = 0; same && i < length; i++)
      same = found[first + i] == 8 * bar + figure[i];
    if (same != (bars[bar] == 'x'))
      fail_msg("bar %d is %svaried so", bar + 1, same ? "" : "not ");
  }
}

static void hold_section(Song *song, int bars, int32_t section) {
  for (int i = 0; i < bars; i++) {
    song_hold(song, "Am", "x02210", 4, 1);
    song->held[song->count - 1].section = section;
  }
}

/* Every fourth bar of a section answers, its last leads on; the song's last does not. A passage is varied as in the song.
 * The figures are those of data/feels/bossa.feel. */
static void a_feel_varies_over_the_form(void **state) {
  Song *song = *state;
  hold_section(song, 8, 0);
  hold_section(song, 6, 1);
  const int answer[] = {1, 3, 6}, lead[] = {2, 5, 7};
  GlnPerformance *performance = song_play(song, "bossa");
  assert_bars_of(performance, answer, 3, "---x-------x--");
  assert_bars_of(performance, lead, 3, "-------x------");
  assert_sound(song, performance);
  assert_int_equal(song->diags.count, 0);

  GlnPerformanceOptions options = song_options(song, "bossa");
  options.from = gln_ratio(12, 1);
  options.to = gln_ratio(32, 1);
  options.rounds = 2;
  assert_int_equal(
      gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_OK);
  assert_bars_of(performance, answer, 3, "x----x----");
  assert_bars_of(performance, lead, 3, "----x----x");
}

/* Two bars before the point, the longer round first, a section too short for its end, a pick-up that is not counted, and a
 * hand that the variation leaves alone. */
static void variations_find_their_bars(void **state) {
  Song *song = *state;
  GlnFeel *feel;
  assert_int_equal(
      gln_feel_read(GLN_TEXT("feel: try\nmeter: 4/4\nsteps: 8\n"
                             "thumb:   | b - - - - - - - |\nfingers: | o - - - - - - - |\n"
                             "variation: every 3\nfingers: | - o - - - - - - |\n"
                             "variation: every 6\nfingers: | - - o - - - - - | - - - o - - - - |\n"
                             "variation: section end\nfingers: | - - - - o - - - |\n"),
                    song->arena, &song->diags, &feel),
      GLN_OK);
  assert_int_equal(gln_feel_book_add(song->book, feel), GLN_OK);
  hold_section(song, 7, 0);
  hold_section(song, 1, 1);
  hold_section(song, 4, 2);
  const int every_3[] = {1}, every_6[] = {2}, of_it[] = {3}, end[] = {4}, plain[] = {0};
  GlnPerformance *performance = song_play(song, "try");
  assert_bars_of(performance, plain, 1, "xx-x---xxx-x");
  assert_bars_of(performance, every_3, 1, "--x-------x-");
  assert_bars_of(performance, every_6, 1, "----x-------");
  assert_bars_of(performance, of_it, 1, "-----x------");
  assert_bars_of(performance, end, 1, "------x-----");
  int thumb[12];
  for (int i = 0; i < 12; i++)
    thumb[i] = 8 * i;
  assert_onsets(performance, GLN_PLAYER_THUMB, 2, thumb, 12);

  song->count = 0;
  song->end = song->bar_start = gln_ratio(0, 1);
  song_hold(song, "Am", "x02210", 1, 1); /* a pick-up of a quarter: bars 1 to 3 follow at 1, 5 and 9 */
  song_bar(song, 4, 4);
  hold_section(song, 4, 0);
  performance = song_play(song, "try");
  int found[128];
  size_t count = onsets(performance, GLN_PLAYER_FINGERS, 2, found, GLN_COUNT_OF(found));
  assert_true(count >= 4);
  assert_int_equal(found[count - 1], 2 + 24);
  assert_int_equal(found[count - 2], 2 + 16 + 1); /* the third whole bar */
  assert_int_equal(found[count - 3], 2 + 8);
}

typedef struct FifthCase {
  const char *symbol, *frets;
  int string, midi; /* -1: no fifth in reach */
  bool moves;
} FifthCase;

/* Where the fifth lies on the neck; common practice, no published source. */
static const FifthCase fifth_cases[] = {
    {"C", "x32010", 0, 43, true},      /* the ring finger crosses to string 6 */
    {"Am", "x02210", 0, 40, false},    /* the free open string 6 */
    {"D", "xx0232", 1, 45, false},     /* the free open string 5 */
    {"E", "022100", 1, 47, false},     /* no B below: string 5 sounds one above */
    {"F", "133211", 1, 48, false},     /* no C below: string 5 sounds one above */
    {"Cm", "x35543", 0, 43, false},    /* the barre reaches string 6 */
    {"E7#9", "x7678x", 0, 47, true},   /* the finger of the bass crosses over */
    {"G13", "3x345x", -1, -1, false},  /* no finger left for the D on string 5 */
    {"C/E", "032010", -1, -1, false},  /* the bass is the third */
    {"C/G", "332010", 1, 48, false},   /* the bass is the fifth: the root in turn */
    {"Am7b5", "x0101x", 2, 51, false}, /* no E flat below an open A: string 4 sounds one above */
};

static void the_fifth_is_taken_where_the_hand_reaches(void **state) {
  Song *song = *state;
  for (size_t i = 0; i < GLN_COUNT_OF(fifth_cases); i++) {
    const FifthCase *row = &fifth_cases[i];
    const GlnChord *chord = song_chord(song, row->symbol);
    const GlnGrip *grip = song_grip(song, chord, row->frets);
    GlnThumbNote note;
    GlnStatus status = gln_thumb_fifth(&song->instrument, &song->hand, grip, chord, &note);
    GlnStatus expected = row->string < 0 ? GLN_NO : GLN_OK;
    if (status != expected)
      fail_msg("%s %s: status %d", row->symbol, row->frets, (int)status);
    if (row->string < 0)
      continue;
    if (note.string != row->string || note.finger_moves != row->moves)
      fail_msg("%s %s: string index %d, moves %d", row->symbol, row->frets, note.string, note.finger_moves);
    assert_int_equal(gln_sounding_midi(&song->instrument, note.string, note.fret), row->midi);
  }
}

/* Over every grip of many chords: with the fifth taken, the hand still holds the grip, by the judgement of the grip
 * room; and the fifth is of the right pitch class on a string that the grip leaves free or sounds so itself. */
static void a_fifth_leaves_the_grip_playable(void **state) {
  Song *song = *state;
  static const char *const symbols[] = {"C",    "Am7",  "F#m7b5", "Bb7",   "Ebmaj7",
                                        "G7b9", "D6/9", "B",      "Gb7b5", "E7#9"};
  size_t taken = 0, refused = 0;
  for (size_t i = 0; i < GLN_COUNT_OF(symbols); i++) {
    const GlnChord *chord = song_chord(song, symbols[i]);
    GlnGripQuery query = gln_grip_query_defaults(chord, &song->instrument, &song->hand);
    query.fret_high = 9;
    GlnGripList list;
    assert_int_equal(gln_grip_search(&query, song->arena, &list), GLN_OK);
    for (size_t j = 0; j < list.count; j++) {
      const GlnGrip *grip = &list.grips[j];
      GlnThumbNote note;
      if (gln_thumb_fifth(&song->instrument, &song->hand, grip, chord, &note) != GLN_OK) {
        refused++;
        continue;
      }
      taken++;
      assert_int_not_equal(note.string, grip->bass_string);
      assert_in_range(note.string, 0, 3);
      GlnFrets frets = grip->frets;
      assert_true(frets.fret[note.string] == GLN_NOT_PLAYED || frets.fret[note.string] == note.fret);
      int interval =
          gln_sounding_midi(&song->instrument, note.string, note.fret) - grip->midi[grip->bass_string];
      assert_in_range(interval + 12, 0, 24);
      frets.fret[note.string] = note.fret;
      if (note.finger_moves)
        frets.fret[grip->bass_string] = GLN_NOT_PLAYED;
      GlnFingering fingering;
      assert_int_equal(gln_fingering_find(&song->instrument, &song->hand, &frets, &fingering), GLN_OK);
    }
  }
  assert_true(taken > 100);
  assert_true(refused > 10);
}

static void the_thumb_stays_on_the_bass_without_a_fifth(void **state) {
  Song *song = *state;
  song_hold(song, "G13", "3x345x", 4, 1);
  GlnPerformance *performance = song_play(song, "bossa");
  const int thumb[] = {0, 4};
  assert_onsets(performance, GLN_PLAYER_THUMB, 2, thumb, 2);
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].player == GLN_PLAYER_THUMB)
      assert_int_equal(performance->notes[i].midi, 43);
}

/* A change of chord in mid-bar: the thumb begins the new grip with its bass, where the pattern has the fifth. */
static void a_new_grip_begins_with_its_bass(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 2, 1);
  song_hold(song, "Am", "x02210", 2, 1);
  GlnPerformance *performance = song_play(song, "bossa");
  size_t seen = 0;
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].player == GLN_PLAYER_THUMB && at(performance->notes[i].start, 2, 1)) {
      assert_int_equal(performance->notes[i].midi, 45);
      seen++;
    }
  assert_int_equal(seen, 1);
}

/* From C to G the open string 3 is held on, everything else is let go at the bar line. */
static void notes_end_when_their_grip_is_left(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  song_hold(song, "G", "320003", 4, 1);
  GlnPerformance *performance = song_play(song, "arpeggio");
  assert_sound(song, performance);
  size_t kept = 0, let_go = 0;
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    if (gln_ratio_compare(note->start, gln_ratio(4, 1)) >= 0)
      continue;
    if (note->midi == 55) { /* G3, open in both */
      if (gln_ratio_compare(end_of(note), gln_ratio(4, 1)) > 0)
        kept++;
    } else {
      assert_true(gln_ratio_compare(end_of(note), gln_ratio(4, 1)) <= 0);
      let_go++;
    }
  }
  assert_int_equal(kept, 1);
  assert_true(let_go >= 5);
}

static void silence_is_silent(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  song_hold(song, NULL, NULL, 4, 1);
  song_hold(song, "G", "320003", 4, 1);
  for (size_t i = 0; i < gln_feel_book_count(song->book); i++) {
    const GlnFeel *feel = gln_feel_book_at(song->book, i);
    int16_t beats, unit;
    gln_feel_meter(feel, &beats, &unit);
    if (beats != 4 || unit != 4)
      continue;
    GlnText name = gln_feel_name(feel);
    GlnPerformance *performance = song_play(song, gln_text_copy(song->arena, name));
    assert_sound(song, performance);
    size_t before = 0, after = 0;
    for (size_t j = 0; j < performance->count; j++) {
      const GlnSounding *note = &performance->notes[j];
      bool early = gln_ratio_compare(end_of(note), gln_ratio(4, 1)) <= 0;
      bool late = gln_ratio_compare(note->start, gln_ratio(8, 1)) >= 0;
      assert_true(early || late);
      before += early;
      after += late;
    }
    assert_true(before > 0 && after > 0);
  }
}

/* The chord of the next bar on the last eighth: the hand has changed by then. */
static void an_early_stroke_takes_the_next_grip(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  song_hold(song, "Am7", "5x555x", 4, 1);
  GlnPerformance *performance = song_play(song, "bossa ahead");
  assert_sound(song, performance);
  size_t early = 0;
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    if (at(note->start, 7, 2)) {
      assert_int_equal(note->player, GLN_PLAYER_FINGERS);
      assert_true(note->midi == 55 || note->midi == 60 || note->midi == 64); /* G C E of 5x555x */
      early++;
    } else if (gln_ratio_compare(note->start, gln_ratio(7, 2)) < 0) {
      assert_true(gln_ratio_compare(end_of(note), gln_ratio(7, 2)) <= 0);
    } else if (at(note->start, 4, 1) && note->player == GLN_PLAYER_THUMB) {
      assert_int_equal(note->midi, 45); /* A2 on the beat */
    }
  }
  assert_int_equal(early, 3);
}

/* Four chords in a bar, which most patterns would pass over: each is heard, by thumb and fingers. */
static void every_chord_is_heard(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 1, 1);
  song_hold(song, "Am", "x02210", 1, 1);
  song_hold(song, "F", "133211", 1, 1);
  song_hold(song, "G", "320003", 1, 1);
  static const char *const feels[] = {"bossa", "swing", "held", "ballad", "straight"};
  for (size_t f = 0; f < GLN_COUNT_OF(feels); f++) {
    GlnPerformance *performance = song_play(song, feels[f]);
    assert_sound(song, performance);
    for (int beat = 0; beat < 4; beat++) {
      size_t heard[GLN_PLAYER_COUNT] = {0};
      for (size_t i = 0; i < performance->count; i++) {
        const GlnSounding *note = &performance->notes[i];
        heard[note->player] += gln_ratio_compare(note->start, gln_ratio(beat, 1)) >= 0 &&
                               gln_ratio_compare(note->start, gln_ratio(beat + 1, 1)) < 0;
      }
      if (heard[GLN_PLAYER_THUMB] != 1 || heard[GLN_PLAYER_FINGERS] < 3)
        fail_msg("%s, beat %d: %zu of the thumb, %zu of the fingers", feels[f], beat + 1,
                 heard[GLN_PLAYER_THUMB], heard[GLN_PLAYER_FINGERS]);
    }
  }
}

/* The fingers take the tones that make the chord: of C7's five strings the seventh and third, not a doubled fifth. */
static void fingers_take_what_makes_the_chord(void **state) {
  Song *song = *state;
  song_hold(song, "C7", "x35353", 4, 1);
  GlnPerformance *performance = song_play(song, "straight");
  bool third = false, seventh = false;
  for (size_t i = 0; i < performance->count; i++)
    if (performance->notes[i].player == GLN_PLAYER_FINGERS && at(performance->notes[i].start, 1, 1)) {
      third = third || performance->notes[i].midi % 12 == 4;
      seventh = seventh || performance->notes[i].midi % 12 == 10;
    }
  assert_true(third && seventh);
}

/* "Swing four": a rest stops a short strum; "jazz waltz": the second eighth comes after two thirds of the quarter. */
static void rests_and_swing(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  GlnPerformance *performance = song_play(song, "swing four");
  assert_sound(song, performance);
  assert_int_equal(performance->count, 20);
  for (size_t i = 0; i < performance->count; i++) {
    GlnRatio end = end_of(&performance->notes[i]);
    assert_int_equal(end.den, 3);
    assert_int_equal(end.num % 3, 2);
  }
  song->count = 0;
  song->end = gln_ratio(0, 1);
  song_bar(song, 3, 4);
  song_hold(song, "C", "x32010", 3, 1);
  song_hold(song, "C", "x32010", 3, 1);
  const int onset[] = {3, 9, 14};
  assert_onsets(song_play(song, "jazz waltz"), GLN_PLAYER_FINGERS, 3, onset, 3);
}

static void strums_rolls_and_damped_strokes(void **state) {
  Song *song = *state;
  song_hold(song, "E", "022100", 4, 1);
  GlnPerformance *performance = song_play(song, "strum"); /* D - x u - u x u */
  assert_sound(song, performance);
  size_t down = 0, damped = 0, up = 0;
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *note = &performance->notes[i];
    if (gln_ratio_compare(note->start, gln_ratio(1, 1)) < 0) { /* from string 6 on */
      assert_int_equal(note->string, down);
      assert_true(at(note->start, (int64_t)down, 48));
      down++;
    } else if (at(note->start, 1, 1)) {
      assert_true(at(note->quarters, 1, 8));
      damped++;
    } else if (gln_ratio_compare(note->start, gln_ratio(2, 1)) < 0) { /* from string 1 on */
      assert_int_equal(note->string, 5 - up);
      up++;
    }
  }
  assert_int_equal(down, 6);
  assert_int_equal(damped, 6);
  assert_int_equal(up, 4);
  performance = song_play(song, "held"); /* the thumb begins the roll */
  assert_int_equal(performance->count, 4);
  for (size_t i = 0; i < 4; i++)
    assert_true(at(performance->notes[i].start, (int64_t)i, 24));
}

static void a_pick_up_plays_the_end_of_the_pattern(void **state) {
  Song *song = *state;
  song_hold(song, "G", "320003", 1, 1);
  song_bar(song, 4, 4);
  song_hold(song, "C", "x32010", 4, 1);
  song_hold(song, "C", "x32010", 4, 1);
  const int onset[] = {0, 2,  5,
                       8, 12, 15}; /* a new grip is struck; then the clave of two bars from quarter 1 */
  GlnPerformance *performance = song_play(song, "bossa");
  assert_onsets(performance, GLN_PLAYER_FINGERS, 2, onset, 6);
  assert_int_equal(performance->meter_count, 2);
  assert_int_equal(performance->meters[0].beats, 1);
  assert_true(at(performance->meters[1].start, 1, 1));
  assert_int_equal(performance->meters[1].beats, 4);
  /* With a count-in, the clicks fill the bar of the pick-up. */
  GlnPerformanceOptions options = song_options(song, "bossa");
  options.count_in = 1;
  assert_int_equal(
      gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_OK);
  const int clicks[] = {0, 1, 2, 3, 4, 5, 6};
  assert_onsets(performance, GLN_PLAYER_CLICK, 1, clicks, 7);
  assert_true(at(performance->lead_in, 7, 1));
  assert_true(at(performance->quarters, 16, 1));
  assert_int_equal(performance->meter_count, 1);
  assert_sound(song, performance);
}

static void a_change_of_meter_is_followed(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  song_bar(song, 6, 8);
  song_hold(song, "G", "320003", 3, 1);
  song_hold(song, "G", "320003", 3, 1);
  song_bar(song, 11, 8);
  song_hold(song, "C", "x32010", 11, 2);
  GlnPerformance *performance = song_play(song, "bossa");
  assert_sound(song, performance);
  assert_int_equal(performance->meter_count, 3);
  assert_true(at(performance->meters[1].start, 4, 1));
  assert_int_equal(performance->meters[1].beats, 6);
  assert_int_equal(performance->meters[1].unit, 8);
  assert_true(at(performance->meters[2].start, 10, 1));
  assert_int_equal(performance->meters[2].beats, 11);
  assert_int_equal(song->diags.count, 2); /* bossa is not written for 6/8, nor for 11/8 */
  assert_int_equal(song->diags.error_count, 0);
}

static void a_feel_that_is_not_known_is_warned_of_once(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  song_bar(song, 3, 4);
  song_hold(song, "C", "x32010", 3, 1);
  GlnPerformanceOptions options = song_options(song, "bosa");
  options.feel_offset = 17;
  options.feel_length = 4;
  GlnPerformance *performance;
  assert_int_equal(
      gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_OK);
  assert_int_equal(song->diags.count, 1);
  assert_int_equal(song->diags.items[0].severity, GLN_WARNING);
  assert_int_equal(song->diags.items[0].offset, 17);
  assert_true(gln_text_find(song->diags.items[0].problem, GLN_TEXT("\"bossa\""), 0) <
              song->diags.items[0].problem.length);
  assert_true(performance->count > 0);
}

static void limits_are_kept(void **state) {
  Song *song = *state;
  song_hold(song, "C", "x32010", 4, 1);
  GlnPerformance *performance;
  static const double tempi[] = {0, -1, 9.99, 600.01, 1e300};
  for (size_t i = 0; i < GLN_COUNT_OF(tempi); i++) {
    GlnPerformanceOptions options = song_options(song, "");
    options.tempo = tempi[i];
    assert_int_equal(
        gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
        GLN_LIMIT);
    assert_null(performance);
    assert_int_equal(song->diags.error_count, i + 1);
  }
  GlnPerformanceOptions options = song_options(song, "");
  options.count_in = GLN_COUNT_IN_MAX + 1;
  assert_int_equal(
      gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_LIMIT);
  options.count_in = 0;
  song->held[0].meter_unit = 3;
  assert_int_equal(
      gln_performance_make(&options, song->held, song->count, song->arena, &song->diags, &performance),
      GLN_LIMIT);
  assert_int_equal(gln_performance_make(&options, NULL, 0, song->arena, &song->diags, &performance), GLN_OK);
  assert_int_equal(performance->count, 0);
  assert_int_equal(performance->quarters.num, 0);
}

/* Every feel over changes at awkward places: strings never sound twice at once, and playing again gives the same. */
static void every_feel_plays_every_change(void **state) {
  Song *song = *state;
  static const struct {
    const char *symbol, *frets;
  } grips[] = {{"C", "x32010"},  {"F", "133211"}, {"G13", "3x345x"}, {"Am7", "5x555x"},
               {"Cm", "x35543"}, {NULL, NULL},    {"E", "022100"},   {"C/G", "332010"}};
  for (size_t i = 0; i < gln_feel_book_count(song->book); i++) {
    const GlnFeel *feel = gln_feel_book_at(song->book, i);
    gln_feel_meter(feel, &song->beats, &song->unit);
    song->count = 0;
    song->end = song->bar_start = gln_ratio(0, 1);
    size_t next = i;
    for (int bar = 0; bar < 8; bar++) {
      GlnRatio whole = gln_ratio(song->beats * 4, song->unit);
      int parts = 1 + bar % 4;
      for (int part = 0; part < parts; part++, next++) {
        GlnRatio length = gln_ratio_divide(whole, gln_ratio(parts, 1));
        song_hold(song, grips[next % 8].symbol, grips[next % 8].frets, length.num, length.den);
      }
    }
    char *name = gln_text_copy(song->arena, gln_feel_name(feel));
    assert_non_null(name);
    GlnPerformance *performance = song_play(song, name);
    assert_sound(song, performance);
    assert_true(performance->count > 20);
    GlnPerformance *again = song_play(song, name);
    assert_int_equal(again->count, performance->count);
    assert_memory_equal(again->notes, performance->notes, performance->count * sizeof *again->notes);
  }
  assert_int_equal(song->diags.count, 0);
}

static GlnStatus play_job(GlnArena *arena, void *context) {
  Song *song = context;
  GlnPerformanceOptions options = song_options(song, "jazz");
  options.count_in = 1;
  GlnDiags diags = gln_diags(arena);
  GlnPerformance *performance;
  return gln_performance_make(&options, song->held, song->count, arena, &diags, &performance);
}

static void running_out_of_memory_is_said(void **state) {
  Song *song = *state;
  for (int i = 0; i < 8; i++)
    song_hold(song, "C", "x32010", 4, 1);
  assert_true(failing_allocator_sweep_bytes(play_job, song, 64, 1 << 22) > 0);
}

int main(void) {
#define TEST(name) cmocka_unit_test_setup_teardown(name, song_setup, song_teardown)
  const struct CMUnitTest tests[] = {
      TEST(bossa_and_son_onsets),
      TEST(samba_onsets),
      TEST(a_feel_varies_over_the_form),
      TEST(variations_find_their_bars),
      TEST(the_fifth_is_taken_where_the_hand_reaches),
      TEST(a_fifth_leaves_the_grip_playable),
      TEST(the_thumb_stays_on_the_bass_without_a_fifth),
      TEST(a_new_grip_begins_with_its_bass),
      TEST(notes_end_when_their_grip_is_left),
      TEST(silence_is_silent),
      TEST(an_early_stroke_takes_the_next_grip),
      TEST(every_chord_is_heard),
      TEST(fingers_take_what_makes_the_chord),
      TEST(rests_and_swing),
      TEST(strums_rolls_and_damped_strokes),
      TEST(a_pick_up_plays_the_end_of_the_pattern),
      TEST(a_change_of_meter_is_followed),
      TEST(a_feel_that_is_not_known_is_warned_of_once),
      TEST(limits_are_kept),
      TEST(every_feel_plays_every_change),
      TEST(running_out_of_memory_is_said),
  };
  return cmocka_run_group_tests_name("sound: performance", tests, NULL, NULL);
}
