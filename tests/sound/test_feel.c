#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../../src/sound/sound_internal.h"
#include "failing_allocator.h"

#include <dirent.h>
#include <stdio.h>
#include <string.h>

static int setup(void **state) {
  *state = gln_arena_new(NULL, 0);
  return *state ? 0 : -1;
}

static int teardown(void **state) {
  gln_arena_free(*state);
  return 0;
}

static const char good[] = "# a comment\n"
                           "feel: Try Out\n"
                           "also: first, second one ,third\n"
                           "words: a feel for the test # not these words\n"
                           "meter: 4/4\n"
                           "steps: 8\n"
                           "swing: 1.5\n"
                           "tempo: 90-120\n"
                           "thumb:   | b - - - f . - - | (b) - - - F - - - |\n"
                           "fingers: | o - r - d - u x | i m a - . - - O> |\n";

static void a_feel_reads(void **state) {
  GlnDiags diags = gln_diags(*state);
  GlnFeel *feel;
  assert_int_equal(gln_feel_read(gln_text(good), *state, &diags, &feel), GLN_OK);
  assert_int_equal(diags.count, 0);
  assert_true(gln_text_equal(gln_feel_name(feel), GLN_TEXT("Try Out")));
  assert_true(gln_text_equal(gln_feel_words(feel), GLN_TEXT("a feel for the test")));
  int16_t beats, unit;
  gln_feel_meter(feel, &beats, &unit);
  assert_int_equal(beats, 4);
  assert_int_equal(unit, 4);
  double low, high;
  assert_true(gln_feel_tempo(feel, &low, &high));
  assert_true(low >= 90 && low <= 90 && high >= 120 && high <= 120);
  assert_true(gln_feel_called(feel, GLN_TEXT("try out")));
  assert_true(gln_feel_called(feel, GLN_TEXT("second one")));
  assert_false(gln_feel_called(feel, GLN_TEXT("second")));
  assert_int_equal(feel->bars, 2);
  assert_int_equal(feel->swing.num, 3);
  assert_int_equal(feel->swing.den, 2);
  static const uint8_t fingers[] = {
      GLN_STROKE_PLUCK, GLN_STROKE_RING,   GLN_STROKE_ROLL,        GLN_STROKE_RING,
      GLN_STROKE_DOWN,  GLN_STROKE_RING,   GLN_STROKE_UP,          GLN_STROKE_DAMPED,
      GLN_STROKE_INDEX, GLN_STROKE_MIDDLE, GLN_STROKE_RING_FINGER, GLN_STROKE_RING,
      GLN_STROKE_REST,  GLN_STROKE_RING,   GLN_STROKE_RING,        GLN_STROKE_PLUCK};
  for (size_t i = 0; i < 16; i++)
    assert_int_equal(feel->lanes[GLN_LANE_FINGERS][i].kind, fingers[i]);
  assert_true(feel->lanes[GLN_LANE_FINGERS][15].ahead);
  assert_int_equal(feel->lanes[GLN_LANE_FINGERS][15].weight, GLN_WEIGHT_ACCENT);
  assert_int_equal(feel->lanes[GLN_LANE_THUMB][8].weight, GLN_WEIGHT_SOFT);
  assert_int_equal(feel->lanes[GLN_LANE_THUMB][12].weight, GLN_WEIGHT_ACCENT);
  assert_int_equal(feel->lanes[GLN_LANE_THUMB][12].kind, GLN_STROKE_FIFTH);
}

/* Swing 1.5: the second eighth of a quarter comes after 3/5 of it; 2: after 2/3 (the triplet). */
static void swing_bends_eighths(void **state) {
  GlnDiags diags = gln_diags(*state);
  GlnFeel *feel;
  assert_int_equal(gln_feel_read(gln_text(good), *state, &diags, &feel), GLN_OK);
  assert_int_equal(gln_ratio_compare(gln_feel_step_time(feel, 2), gln_ratio(1, 1)), 0);
  assert_int_equal(gln_ratio_compare(gln_feel_step_time(feel, 3), gln_ratio(8, 5)), 0);
  feel->swing = gln_ratio(2, 1);
  assert_int_equal(gln_ratio_compare(gln_feel_step_time(feel, 7), gln_ratio(11, 3)), 0);
  feel->steps = 16;
  assert_int_equal(gln_ratio_compare(gln_feel_step_time(feel, 1), gln_ratio(1, 3)), 0);
  assert_int_equal(gln_ratio_compare(gln_feel_step_time(feel, 3), gln_ratio(5, 6)), 0);
}

typedef struct Fault {
  const char *text;
  GlnStatus status;
  size_t line, column;
  const char *words; /* found in the problem */
} Fault;

#define HEAD "feel: x\nmeter: 4/4\nsteps: 4\n"
#define LANE "thumb: | b - f - |\n"

static const Fault faults[] = {
    {HEAD "thumb: | b - q - |\n", GLN_INPUT, 4, 14, "\"q\" is no stroke"},
    {HEAD "thumb: | b - o - |\n", GLN_INPUT, 4, 14, "another line"},
    {HEAD "fingers: | b - o - |\n", GLN_INPUT, 4, 12, "another line"},
    {HEAD "fingers: | ( - o - |\n", GLN_INPUT, 4, 12, "no stroke"},
    {HEAD "fingers: | (O) - o - |\n", GLN_INPUT, 4, 12, "no stroke"},
    {HEAD "fingers: | o -> o - |\n", GLN_INPUT, 4, 14, "no stroke"},
    {HEAD "fingers: | o - o |\n", GLN_INPUT, 4, 12, "3 steps, not 4"},
    {HEAD "fingers: | o - o - - |\n", GLN_INPUT, 4, 12, "5 steps, not 4"},
    {HEAD "fingers: | o - o - | |\n", GLN_INPUT, 4, 22, "0 steps, not 4"},
    {HEAD "thumb: | b - f - | b - f - |\nfingers: | o - o - |\n", GLN_INPUT, 5, 10, "the thumb has 2 bars"},
    {HEAD, GLN_INPUT, 1, 1, "nothing would sound"},
    {"feel: x\nmeter: 4/4\n" LANE, GLN_INPUT, 3, 10, "must be known first"},
    {"meter: 4/4\nsteps: 4\n" LANE, GLN_INPUT, 1, 1, "no \"feel:\" line"},
    {"feel: x\nsteps: 4\n" LANE, GLN_INPUT, 1, 1, "no \"meter:\" line"},
    {HEAD "meter: 3/4\n" LANE, GLN_INPUT, 4, 1, "given twice"},
    {HEAD "swung: 2\n" LANE, GLN_INPUT, 4, 1, "did you mean \"swing\"?"},
    {HEAD "colour: red\n" LANE, GLN_INPUT, 4, 1, "\"colour\" is not known"},
    {HEAD "\xC3\xA9\xC3\xA9 hello\n" LANE, GLN_INPUT, 4, 1, "no colon"},
    {HEAD "words:\n" LANE, GLN_INPUT, 4, 1, "\"words\" is empty"},
    {HEAD ": 4\n" LANE, GLN_INPUT, 4, 1, "not known"},
    {"feel: x\nmeter: 4/5\nsteps: 4\n" LANE, GLN_INPUT, 2, 8, "no meter"},
    {"feel: x\nmeter: 0/4\nsteps: 4\n" LANE, GLN_INPUT, 2, 8, "no meter"},
    {"feel: x\nmeter: 44\nsteps: 4\n" LANE, GLN_INPUT, 2, 8, "no meter"},
    {"feel: x\nmeter: 4/4\nsteps: 0\n" LANE, GLN_INPUT, 3, 8, "whole number"},
    {"feel: x\nmeter: 4/4\nsteps: 97\n" LANE, GLN_INPUT, 3, 8, "from 1 to 96"},
    {HEAD "swing: 0.9\n" LANE, GLN_INPUT, 4, 8, "from 1 to 3"},
    {HEAD "swing: 3.01\n" LANE, GLN_INPUT, 4, 8, "from 1 to 3"},
    {HEAD "swing: 1.555\n" LANE, GLN_INPUT, 4, 8, "from 1 to 3"},
    {HEAD "swing: 1.\n" LANE, GLN_INPUT, 4, 8, "from 1 to 3"},
    {HEAD "swing: 1.-5\n" LANE, GLN_INPUT, 4, 8, "from 1 to 3"},
    {HEAD "swing: 2\n" LANE, GLN_INPUT, 4, 8, "no eighths to swing"},
    {HEAD "tempo: 120\n" LANE, GLN_INPUT, 4, 8, "no range of tempi"},
    {HEAD "tempo: 140-120\n" LANE, GLN_INPUT, 4, 8, "no range of tempi"},
    {HEAD "also: a,b,c,d,e,f,g,h,i,j,k,l,m\n" LANE, GLN_LIMIT, 4, 31, "more than 12 other names"},
    {"feel: \xFF\n", GLN_INPUT, 1, 7, "no text"},
    {HEAD LANE "variation: sometimes\n" LANE, GLN_INPUT, 5, 12, "does not say when"},
    {HEAD LANE "variation: every\n" LANE, GLN_INPUT, 5, 12, "does not say when"},
    {HEAD LANE "variation: every 1\n" LANE, GLN_INPUT, 5, 12, "does not say when"},
    {HEAD LANE "variation: section start\n" LANE, GLN_INPUT, 5, 12, "does not say when"},
    {HEAD LANE "variation: every 4\n" LANE "variation: every 4\n" LANE, GLN_INPUT, 7, 12, "given twice"},
    {HEAD LANE "variation: every 4\n", GLN_INPUT, 5, 12, "no strokes"},
    {HEAD LANE "variation: every 2\n" LANE LANE, GLN_INPUT, 5, 12, "leaves nothing"},
    {HEAD LANE "variation: every 8\n" LANE LANE "fingers: | o - - - |\n", GLN_INPUT, 5, 12, "2 and 1 bars"},
    {HEAD "variation: every 4\n" LANE, GLN_INPUT, 1, 1, "nothing would sound"},
    {HEAD LANE "variation: every 4\n" LANE "variation: every 8\n" LANE "variation: every 16\n" LANE
               "variation: section end\n" LANE "variation: every 32\n" LANE,
     GLN_LIMIT, 13, 12, "more than 4 variations"},
};

static void faults_are_named_in_their_place(void **state) {
  for (size_t i = 0; i < GLN_COUNT_OF(faults); i++) {
    GlnDiags diags = gln_diags(*state);
    GlnText text = gln_text(faults[i].text);
    GlnFeel *feel;
    assert_int_equal(gln_feel_read(text, *state, &diags, &feel), faults[i].status);
    assert_null(feel);
    bool found = false;
    for (size_t j = 0; j < diags.count; j++) {
      GlnPlace place = gln_text_place(text, diags.items[j].offset);
      size_t at = gln_text_find(diags.items[j].problem, gln_text(faults[i].words), 0);
      assert_int_equal(diags.items[j].severity, GLN_ERROR);
      assert_true(diags.items[j].offset + diags.items[j].length <= text.length);
      assert_true(diags.items[j].advice.length > 0);
      found = found || (at < diags.items[j].problem.length && place.line == faults[i].line &&
                        place.column == faults[i].column);
    }
    if (!found)
      fail_msg("no such fault at %zu:%zu: %s", faults[i].line, faults[i].column, faults[i].words);
  }
}

static void limits_are_named(void **state) {
  GlnDiags diags = gln_diags(*state);
  GlnFeel *feel;
  static char big[GLN_FEEL_BYTES_MAX + 2];
  memset(big, '#', sizeof big - 1);
  assert_int_equal(gln_feel_read(gln_text(big), *state, &diags, &feel), GLN_LIMIT);
  assert_int_equal(diags.error_count, 1);
  big[GLN_FEEL_BYTES_MAX] = 0; /* exactly at the limit: read, and found to say nothing */
  assert_int_equal(gln_feel_read(gln_text(big), *state, &diags, &feel), GLN_INPUT);

  GlnBuffer text = gln_buffer(*state);
  gln_buffer_add_string(&text, "feel: x\nmeter: 1/4\nsteps: 1\nthumb: |");
  gln_buffer_add_repeated(&text, GLN_TEXT(" b |"), GLN_FEEL_BARS_MAX);
  assert_int_equal(gln_feel_read(gln_buffer_text(&text), *state, &diags, &feel), GLN_OK);
  assert_int_equal(feel->bars, GLN_FEEL_BARS_MAX);
  gln_buffer_add_string(&text, "\nthumb: | b |\n");
  assert_int_equal(gln_feel_read(gln_buffer_text(&text), *state, &diags, &feel), GLN_LIMIT);

  GlnBuffer steps = gln_buffer(*state);
  gln_buffer_add_string(&steps, "feel: x\nmeter: 1/4\nsteps: 96\nthumb: ");
  gln_buffer_add_repeated(&steps, GLN_TEXT("b "), GLN_FEEL_STEPS_MAX);
  assert_int_equal(gln_feel_read(gln_buffer_text(&steps), *state, &diags, &feel), GLN_OK);
  gln_buffer_add_string(&steps, "b");
  assert_int_equal(gln_feel_read(gln_buffer_text(&steps), *state, &diags, &feel), GLN_LIMIT);
}

static GlnStatus read_job(GlnArena *arena, void *context) {
  GlnDiags diags = gln_diags(arena);
  GlnFeel *feel;
  return gln_feel_read(gln_text(context), arena, &diags, &feel);
}

static GlnStatus book_job(GlnArena *arena, void *context) {
  (void)context;
  GlnFeelBook *book;
  return gln_feel_book_open(arena, &book);
}

static void running_out_of_memory_is_said(void **state) {
  (void)state;
  static char text[sizeof good];
  memcpy(text, good, sizeof good);
  assert_true(failing_allocator_sweep(read_job, text, 1000) >= 1);
  assert_true(failing_allocator_sweep_bytes(read_job, text, 16, 1 << 20) > 0);
  assert_true(failing_allocator_sweep_bytes(book_job, NULL, 64, 1 << 22) > 0);
}

/* Every file of data/feels/ is in the program, byte for byte, and none twice. */
static void the_book_is_the_folder(void **state) {
  GlnFeelBook *book;
  assert_int_equal(gln_feel_book_open(*state, &book), GLN_OK);
  DIR *folder = opendir("data/feels");
  assert_non_null(folder);
  size_t files = 0;
  for (struct dirent *entry; (entry = readdir(folder));) {
    if (!strstr(entry->d_name, ".feel"))
      continue;
    files++;
    char path[512];
    (void)snprintf(path, sizeof path, "data/feels/%s", entry->d_name);
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    char *bytes = GLN_NEW(*state, char, GLN_FEEL_BYTES_MAX);
    assert_non_null(bytes);
    GlnText text = {bytes, fread(bytes, 1, GLN_FEEL_BYTES_MAX, file)};
    assert_int_equal(fclose(file), 0);
    GlnDiags diags = gln_diags(*state);
    GlnFeel *feel;
    assert_int_equal(gln_feel_read(text, *state, &diags, &feel), GLN_OK);
    size_t same = 0;
    for (size_t i = 0; i < gln_feel_book_count(book); i++) {
      const GlnFeel *known = gln_feel_book_at(book, i);
      if (gln_text_equal(known->name, feel->name) && known->beats == feel->beats &&
          known->unit == feel->unit) {
        same++;
        assert_true(gln_text_equal(known->words, feel->words));
        assert_true(feel->words.length > 0);
        for (int lane = 0; lane < GLN_LANE_COUNT; lane++) {
          assert_int_equal(known->lanes[lane] != NULL, feel->lanes[lane] != NULL);
          assert_int_equal(known->variation_count, feel->variation_count);
          if (feel->lanes[lane])
            assert_memory_equal(known->lanes[lane], feel->lanes[lane],
                                (size_t)(feel->bars * feel->steps) * sizeof(GlnStroke));
        }
      }
    }
    if (same != 1)
      fail_msg("%s is %zu times in the book", path, same);
  }
  assert_int_equal(closedir(folder), 0);
  assert_int_equal(files, gln_feel_book_count(book));
}

static void a_chart_gets_its_feel_or_the_plain_one(void **state) {
  GlnFeelBook *book;
  assert_int_equal(gln_feel_book_open(*state, &book), GLN_OK);
  const GlnFeel *feel;
  GlnFeelFit fit;
  GlnText nearest;
  assert_int_equal(gln_feel_choose(book, GLN_TEXT(" Bossa Nova "), 4, 4, &feel, &fit, &nearest), GLN_OK);
  assert_int_equal(fit, GLN_FEEL_FITS);
  assert_true(gln_text_equal(gln_feel_name(feel), GLN_TEXT("bossa")));
  assert_int_equal(gln_feel_choose(book, GLN_TEXT("bossa"), 3, 4, &feel, &fit, &nearest), GLN_OK);
  assert_int_equal(fit, GLN_FEEL_OTHER_METER);
  assert_true(gln_text_equal(gln_feel_name(feel), GLN_TEXT("straight")));
  assert_int_equal(feel->beats, 3);
  assert_int_equal(gln_feel_choose(book, GLN_TEXT("bosa"), 4, 4, &feel, &fit, &nearest), GLN_OK);
  assert_int_equal(fit, GLN_FEEL_UNKNOWN);
  assert_true(gln_text_equal(nearest, GLN_TEXT("bossa")));
  assert_int_equal(gln_feel_choose(book, GLN_TEXT(""), 6, 8, &feel, &fit, NULL), GLN_OK);
  assert_int_equal(fit, GLN_FEEL_FITS);
  for (int16_t unit = 1; unit <= 64; unit = (int16_t)(2 * unit))
    for (int16_t beats = 1; beats <= GLN_METER_BEATS_MAX; beats++) {
      assert_int_equal(gln_feel_choose(book, GLN_TEXT(""), beats, unit, &feel, NULL, NULL), GLN_OK);
      assert_int_equal(feel->beats, beats);
      assert_int_equal(feel->unit, unit);
    }
  assert_int_equal(gln_feel_choose(book, GLN_TEXT(""), 4, 3, &feel, NULL, NULL), GLN_LIMIT);
  assert_int_equal(gln_feel_choose(book, GLN_TEXT(""), 65, 4, &feel, NULL, NULL), GLN_LIMIT);

  GlnDiags diags = gln_diags(*state);
  GlnFeel *mine;
  assert_int_equal(
      gln_feel_read(GLN_TEXT("feel: bossa\nmeter: 4/4\nsteps: 1\nthumb: | b |"), *state, &diags, &mine),
      GLN_OK);
  assert_int_equal(gln_feel_book_add(book, mine), GLN_OK);
  assert_int_equal(gln_feel_choose(book, GLN_TEXT("bossa"), 4, 4, &feel, NULL, NULL), GLN_OK);
  assert_ptr_equal(feel, mine);
}

/* As docs/feels.md says: these vary over the form, with hands that sound. */
static void some_feels_vary(void **state) {
  static const char *const names[] = {"bossa", "swing", "ballad"};
  GlnFeelBook *book;
  assert_int_equal(gln_feel_book_open(*state, &book), GLN_OK);
  for (size_t i = 0; i < GLN_COUNT_OF(names); i++) {
    const GlnFeel *feel;
    assert_int_equal(gln_feel_choose(book, gln_text(names[i]), 4, 4, &feel, NULL, NULL), GLN_OK);
    assert_int_equal(feel->variation_count, 2);
    for (size_t v = 0; v < feel->variation_count; v++) {
      assert_int_equal(feel->variations[v].every, v == 0 ? 4 : 0);
      assert_int_equal(feel->variations[v].bars, 1);
      const GlnStroke *varied = feel->variations[v].lanes[GLN_LANE_FINGERS];
      assert_non_null(varied);
      for (int32_t bar = 0; bar < feel->bars; bar++) /* otherwise than every bar of the pattern */
        assert_memory_not_equal(varied, feel->lanes[GLN_LANE_FINGERS] + bar * feel->steps,
                                (size_t)feel->steps * sizeof *varied);
    }
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(a_feel_reads, setup, teardown),
      cmocka_unit_test_setup_teardown(swing_bends_eighths, setup, teardown),
      cmocka_unit_test_setup_teardown(faults_are_named_in_their_place, setup, teardown),
      cmocka_unit_test_setup_teardown(limits_are_named, setup, teardown),
      cmocka_unit_test_setup_teardown(running_out_of_memory_is_said, setup, teardown),
      cmocka_unit_test_setup_teardown(the_book_is_the_folder, setup, teardown),
      cmocka_unit_test_setup_teardown(some_feels_vary, setup, teardown),
      cmocka_unit_test_setup_teardown(a_chart_gets_its_feel_or_the_plain_one, setup, teardown),
  };
  return cmocka_run_group_tests_name("sound: feels", tests, NULL, NULL);
}
