/* Openings, turnarounds and endings over all keys: chords spelled for the key and read back, joins that hold, and what
 * the sentences claim. Common practice, no published source; spelling and intervals are computed. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "frame_rules.h"
#include "steps.h"

static GlnArena *arena;

static int set_up(void **state) {
  (void)state;
  arena = gln_arena_new(NULL, (size_t)64 << 20);
  return arena == NULL;
}

static int tear_down(void **state) {
  (void)state;
  gln_arena_free(arena);
  return 0;
}

static const GlnNote minor_tonics[12] = {{0, 0}, {0, 1}, {1, 0}, {2, -1}, {2, 0},  {3, 0},
                                         {3, 1}, {4, 0}, {4, 1}, {5, 0},  {6, -1}, {6, 0}};

static GlnKey key_of(int k, bool minor) {
  return (GlnKey){minor ? minor_tonics[k] : roots[k], minor};
}

static int above(GlnNote from, GlnNote to) {
  return (gln_note_pitch_class(to) - gln_note_pitch_class(from) + 12) % 12;
}

static GlnChord chord_in(const char *symbol, GlnNote tonic) {
  GlnChord chord;
  assert_int_equal(gln_chord_parse(gln_text(symbol), &chord, NULL), GLN_OK);
  return gln_chord_transpose(&chord, (GlnNote){0, 0}, tonic);
}

static const GlnFrameRule *rule_of(const GlnFrame *frame) {
  for (size_t r = 0; r < gln_frame_rule_count; r++)
    if (gln_frame_rules[r].kind == frame->kind && strcmp(gln_frame_rules[r].name, frame->name) == 0)
      return &gln_frame_rules[r];
  fail_msg("%s", frame->name);
  return NULL;
}

static GlnFrames find(GlnFrameKind kind, const GlnFramePlace *place) {
  GlnFrames frames;
  assert_int_equal(gln_frames_find(kind, place, arena, &frames), GLN_OK);
  return frames;
}

static void check_chord(const GlnChord *chord, GlnKey key) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  GlnChord back;
  size_t length = gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
  if (gln_chord_parse((GlnText){symbol, length}, &back, NULL) != GLN_OK)
    fail_msg("%s does not read", symbol);
  assert_true(gln_chord_equal(&back, chord));
  assert_in_range(chord->root.accidental + 1, 0, 2);
  assert_in_range(chord->bass.accidental + 1, 0, 2);
  /* A root of the key is spelled as the key has it. */
  if ((gln_scale_bits(key.minor) >> above(key.tonic, chord->root) & 1) != 0 &&
      !gln_note_equal(gln_key_spell(key, gln_note_pitch_class(chord->root)), chord->root))
    fail_msg("%s in a key on %d/%d", symbol, key.tonic.letter, key.tonic.accidental);
}

/* The interval that the pattern's last word, if it is counted from the goal, goes to it. */
static void check_join(const GlnFrame *frame, const GlnFramePlace *place) {
  const GlnFrameRule *rule = rule_of(frame);
  const char *pattern = place->key.minor ? rule->minor : rule->major, *word = strrchr(pattern, ' ');
  const GlnChord *last = &frame->chords[frame->chord_count - 1].chord;
  if (place->goal == NULL) {
    assert_int_equal(above(place->key.tonic, last->root), 0);
    return;
  }
  word = word != NULL ? word + 1 : pattern;
  GlnNote written;
  size_t used = 0;
  bool joined = word[0] == '>';
  assert_int_equal(gln_note_parse(gln_text(word + (joined ? 1 : 0)), &written, &used), GLN_OK);
  int step = above(last->root, place->goal->root);
  if (step != above(written, (GlnNote){0, 0}))
    fail_msg("%s joins by %d semitones", frame->name, step);
  /* A fifth or a fourth down, a semitone down, a whole tone up, or home again. */
  assert_true(step == 5 || step == 7 || step == 11 || step == 2 || step == 0);
}

static void test_every_chord_of_every_pattern(void **state) {
  (void)state;
  const char *const goals[2][5] = {{"C6", "Dm7", "F", "Am7", "G7"}, {"Cm", "Fm7", "Ab", "Eb", "G7"}};
  size_t seen = 0;
  for (int k = 0; k < 24; k++)
    for (size_t g = 0; g < 5; g++)
      for (int style = 0; style < 3; style++)
        for (int kind = 0; kind < GLN_FRAME_KIND_COUNT; kind++) {
          bool minor = k >= 12;
          GlnKey key = key_of(k % 12, minor);
          GlnChord goal = chord_in(goals[minor][g], key.tonic);
          GlnChord phrase[4] = {chord_in("F", key.tonic), chord_in("G7", key.tonic), goal, goal};
          const GlnChord *tune[4] = {&phrase[0], &phrase[1], &phrase[2], &phrase[3]};
          const uint8_t bars[4] = {4, 3, 2, 1};
          bool ends = kind == GLN_FRAME_ENDING;
          GlnFramePlace place = {.key = key,
                                 .style = (GlnFrameStyle)style,
                                 .blues = g == 0 && !minor,
                                 .before = kind == GLN_FRAME_OPENING ? NULL : &phrase[1],
                                 .goal = ends ? NULL : &goal,
                                 .phrase = tune,
                                 .phrase_bar = bars,
                                 .phrase_count = 4};
          GlnArenaMark mark = gln_arena_mark(arena);
          GlnFrames frames = find((GlnFrameKind)kind, &place);
          assert_true(frames.count >= 6);
          for (size_t f = 0; f < frames.count; f++) {
            const GlnFrame *frame = &frames.items[f];
            for (size_t c = 0; c < frame->chord_count; c++)
              check_chord(&frame->chords[c].chord, key);
            check_join(frame, &place);
            assert_int_equal(frame->chords[frame->chord_count - 1].bar + 1, frame->bar_count);
            assert_true(kind != GLN_FRAME_TURNAROUND || frame->bar_count == 2);
            assert_true(gln_text_find(frame->reason, gln_text("{"), 0) == frame->reason.length);
            assert_true(f == 0 || frames.items[f - 1].cost <= frame->cost);
            seen++;
          }
          gln_arena_rewind(arena, mark);
        }
  assert_true(seen > 10000);
}

/* Twelve and more of each kind wherever a tune begins on its home chord. */
static void test_families(void **state) {
  (void)state;
  for (int k = 0; k < 24; k++) {
    GlnKey key = key_of(k % 12, k >= 12);
    GlnChord home = chord_in(k >= 12 ? "Cm7" : "Cmaj7", key.tonic);
    const GlnChord *tune[4] = {&home, &home, &home, &home};
    const uint8_t bars[4] = {4, 3, 2, 1};
    GlnFramePlace place = {.key = key,
                           .style = GLN_FRAME_WITH_SEVENTHS,
                           .goal = &home,
                           .phrase = tune,
                           .phrase_bar = bars,
                           .phrase_count = 4};
    assert_true(find(GLN_FRAME_OPENING, &place).count >= 12);
    assert_true(find(GLN_FRAME_TURNAROUND, &place).count >= 12);
    place.goal = NULL;
    assert_true(find(GLN_FRAME_ENDING, &place).count >= 12);
  }
}

static const GlnFrame *named(const GlnFrames *frames, const char *name) {
  for (size_t f = 0; f < frames->count; f++)
    if (strcmp(frames->items[f].name, name) == 0)
      return &frames->items[f];
  return NULL;
}

/* Steps of the bass from chord to chord, in semitones, the short way. */
static void check_bass(const GlnFrame *frame, int low, int high) {
  for (size_t c = 1; c < frame->chord_count; c++) {
    int step = above(frame->chords[c - 1].chord.bass, frame->chords[c].chord.bass);
    step = step > 6 ? step - 12 : step;
    if (step < low || step > high)
      fail_msg("%s: bass goes %d", frame->name, step);
  }
}

/* A voice that starts on the home note and steps down by semitones with every chord. */
static void check_inner_line(const GlnFrame *frame, GlnKey key, size_t chords) {
  for (size_t c = 0; c < chords; c++)
    assert_true(gln_chord_tone_of(&frame->chords[c].chord,
                                  (gln_note_pitch_class(key.tonic) + 12 - (int)c) % 12) >= 0);
}

static void test_claims(void **state) {
  (void)state;
  for (int k = 0; k < 24; k++) {
    bool minor = k >= 12;
    GlnKey key = key_of(k % 12, minor);
    GlnChord home = chord_in(minor ? "Cm7" : "Cmaj7", key.tonic);
    GlnFramePlace place = {.key = key, .style = GLN_FRAME_WITH_SEVENTHS, .goal = &home};
    GlnFrames openings = find(GLN_FRAME_OPENING, &place), turnarounds = find(GLN_FRAME_TURNAROUND, &place);
    place.goal = NULL;
    GlnFrames endings = find(GLN_FRAME_ENDING, &place);
    const GlnFrame *circle = named(&openings, "circle-of-fifths");
    for (size_t c = 1; c < circle->chord_count; c++)
      assert_in_range(above(circle->chords[c - 1].chord.root, circle->chords[c].chord.root), 5, 6);
    check_bass(named(&openings, "sliding-dominants"), -1, -1);
    check_bass(named(&openings, "falling-bass"), -2, 0);
    check_bass(named(&turnarounds, "falling-bass"), -2, -1);
    check_inner_line(named(&openings, "inner-line"), key, 5);
    const GlnFrame *pedal = named(&openings, "dominant-pedal");
    for (size_t c = 0; c + 1 < pedal->chord_count; c++)
      assert_int_equal(above(key.tonic, pedal->chords[c].chord.bass), 7);
    const GlnFrame *chain = named(&openings, "flat-three-six-two");
    const int chain_steps[] = {3, 5, 5};
    for (size_t c = 1; c < chain->chord_count; c++)
      assert_int_equal(above(chain->chords[c - 1].chord.root, chain->chords[c].chord.root),
                       chain_steps[c - 1]);
    const GlnFrame *climb = named(&endings, "climb");
    for (size_t c = 1; c + 1 < climb->chord_count; c++)
      assert_in_range(above(climb->chords[c - 1].chord.bass, climb->chords[c].chord.bass), 1, 2);
    if (minor) {
      check_inner_line(named(&turnarounds, "inner-line"), key, 4);
      continue;
    }
    check_bass(named(&openings, "chromatic-descent"), -1, -1);
    check_bass(named(&endings, "chromatic-descent"), -1, -1);
    const GlnFrame *falling = named(&turnarounds, "falling-diminished");
    assert_int_equal(above(falling->chords[1].chord.root, falling->chords[0].chord.root), 1);
    assert_int_equal(above(falling->chords[2].chord.root, falling->chords[1].chord.root), 1);
    const GlnFrame *climbing = named(&turnarounds, "climbing-diminished");
    assert_int_equal(above(climbing->chords[0].chord.root, climbing->chords[1].chord.root), 1);
    assert_int_equal(above(climbing->chords[1].chord.root, climbing->chords[2].chord.root), 1);
    const GlnFrame *away = named(&turnarounds, "tritone-away"), *plain = named(&turnarounds, "one-six");
    for (size_t c = 1; c < 4; c++)
      assert_int_equal(above(away->chords[c].chord.root, plain->chords[c].chord.root), 6);
    const GlnFrame *four = named(&turnarounds, "four-turns-minor");
    for (int c = 1; c < 4; c++) /* B♭, A, A♭ in C */
      assert_true(
          gln_chord_tone_of(&four->chords[c].chord, (gln_note_pitch_class(key.tonic) + 11 - c) % 12) >= 0);
  }
}

/* The turnarounds in C of standard jazz texts, value from memory. */
static void test_turnarounds_of_the_texts(void **state) {
  (void)state;
  const char *const told[][2] = {{"one-six", "C Am7 Dm7 G7"},
                                 {"dominants", "C A7 D7 G7"},
                                 {"three-six", "Em7 A7 Dm7 G7"},
                                 {"climbing-diminished", "C C#dim7 Dm7 G7"},
                                 {"tritone-away", "C Eb7 Abmaj7 Db7"}};
  GlnChord home = chord_in("Cmaj7", roots[0]);
  GlnFramePlace place = {.key = {roots[0], false}, .style = GLN_FRAME_WITH_SEVENTHS, .goal = &home};
  GlnFrames frames = find(GLN_FRAME_TURNAROUND, &place);
  for (size_t i = 0; i < GLN_COUNT_OF(told); i++) {
    const GlnFrame *frame = named(&frames, told[i][0]);
    GlnChord store[STEPS_MAX];
    GlnStep steps[STEPS_MAX];
    size_t count = read_steps(told[i][1], roots[0], store, steps);
    assert_non_null(frame);
    assert_int_equal(frame->chord_count, count);
    for (size_t c = 0; c < count; c++) {
      assert_true(gln_note_equal(frame->chords[c].chord.root, store[c].root));
      unsigned theirs = gln_chord_pitch_classes(&store[c]),
               ours = gln_chord_pitch_classes(&frame->chords[c].chord);
      assert_int_equal(theirs & ~ours, 0);
    }
  }
}

static void test_style(void **state) {
  (void)state;
  const struct {
    const char *chords;
    GlnFrameStyle style;
    const char *tag; /* first chord of the tag */
  } told[] = {{"C F G C", GLN_FRAME_TRIADS, "Em"},
              {"Cmaj7 Am7 Dm7 G7", GLN_FRAME_WITH_SEVENTHS, "Em7"},
              {"Cmaj9 Am7 Dm9 G13", GLN_FRAME_WITH_NINTHS, "Em7"}};
  for (size_t i = 0; i < GLN_COUNT_OF(told); i++) {
    GlnChord store[STEPS_MAX];
    GlnStep steps[STEPS_MAX];
    char symbol[GLN_SYMBOL_TEXT_MAX];
    size_t count = read_steps(told[i].chords, roots[0], store, steps);
    assert_int_equal(gln_frame_style(steps, count), told[i].style);
    GlnFramePlace place = {.key = {roots[0], false}, .style = told[i].style};
    GlnFrames frames = find(GLN_FRAME_ENDING, &place);
    (void)gln_chord_print(&named(&frames, "tag")->chords[0].chord, GLN_SIGNS_ASCII, symbol);
    assert_string_equal(symbol, told[i].tag);
  }
}

/* What the chart has there is marked, whatever its colours; what only begins like it is not. */
static void test_there(void **state) {
  (void)state;
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  const GlnChord *there[STEPS_MAX];
  size_t count = read_steps("Cmaj9 Am9 Am9 Dm7 G13", roots[0], store, steps);
  for (size_t i = 0; i < count; i++)
    there[i] = &store[i];
  GlnFramePlace place = {.key = {roots[0], false},
                         .style = GLN_FRAME_WITH_SEVENTHS,
                         .goal = &store[0],
                         .there = there,
                         .there_count = count};
  GlnFrames frames = find(GLN_FRAME_TURNAROUND, &place);
  assert_true(named(&frames, "one-six")->in_chart);
  assert_false(named(&frames, "three-six")->in_chart);
  place.there_count = count - 1;
  frames = find(GLN_FRAME_TURNAROUND, &place);
  assert_false(named(&frames, "one-six")->in_chart);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_every_chord_of_every_pattern, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_families, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_claims, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_turnarounds_of_the_texts, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_style, set_up, tear_down),
      cmocka_unit_test_setup_teardown(test_there, set_up, tear_down),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
