/* A student's record as JSON: out and in again, and what is refused. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "interchange.h"

#include "../failing_allocator.h"

static const GlnPractice two[] = {
    {.student = GLN_TEXT_INIT("Ann"),
     .kind = GLN_ITEM_GRIP,
     .key = GLN_TEXT_INIT("x32010/x32010"),
     .name = GLN_TEXT_INIT("C♯ \"quoted\" \\ x32010"),
     .difficulty = 0.123456789,
     .song = GLN_TEXT_INIT(""),
     .at = 1795577424,
     .day = 20782,
     .rating = GLN_RATING_AGAIN,
     .tempo = 0,
     .minutes = 1.5},
    {.student = GLN_TEXT_INIT("Ann"),
     .kind = GLN_ITEM_MOVE,
     .key = GLN_TEXT_INIT("x32010/x32010 x02210/x02310"),
     .name = GLN_TEXT_INIT("C to Am"),
     .difficulty = 1,
     .song = GLN_TEXT_INIT("A song"),
     .at = -5,
     .day = -400000,
     .rating = GLN_RATING_EASY,
     .tempo = 126.25,
     .minutes = 0,
     .has_strain = true,
     .strain = GLN_STRAIN_PAIN},
};

static void test_round_trip(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnBuffer out = gln_buffer(arena), again = gln_buffer(arena);
  GlnDiags diags = gln_diags(arena);
  GlnPractice *read = NULL;
  size_t count = 0;
  assert_int_equal(gln_record_write_json(GLN_TEXT("Ann"), two, 2, &out), GLN_OK);
  assert_int_equal(gln_record_read_json(gln_buffer_text(&out), arena, &diags, &read, &count), GLN_OK);
  assert_int_equal(count, 2);
  for (size_t i = 0; i < 2; i++) {
    assert_true(gln_text_equal(read[i].student, two[i].student) && gln_text_equal(read[i].key, two[i].key) &&
                gln_text_equal(read[i].name, two[i].name) && gln_text_equal(read[i].song, two[i].song));
    assert_int_equal(read[i].kind, two[i].kind);
    assert_int_equal(read[i].at, two[i].at);
    assert_int_equal(read[i].day, two[i].day);
    assert_int_equal(read[i].rating, two[i].rating);
    assert_int_equal(read[i].has_strain, two[i].has_strain);
    assert_int_equal(read[i].strain, two[i].strain);
  }
  assert_int_equal(gln_record_write_json(GLN_TEXT("Ann"), read, count, &again), GLN_OK);
  assert_true(gln_text_equal(gln_buffer_text(&out), gln_buffer_text(&again)));
  gln_arena_free(arena);
}

#define ONE                                                                                                  \
  "\"date\": \"2026-11-25\", \"at\": 1, \"kind\": \"grip\", \"key\": \"k\", \"name\": \"n\", "               \
  "\"difficulty\": 0.5, "                                                                                    \
  "\"song\": \"s\", \"tempo\": 60, \"minutes\": 2"
#define RECORD(schema, practices)                                                                            \
  "{\"schema\": \"" schema "\", \"student\": \"Ann\", \"practices\": [" practices "]}"

static void test_refused(void **state) {
  (void)state;
  static const char *const wrong[][2] = {
      {"", "no JSON"},
      {"{", "no JSON"},
      {"[]", "schema"},
      {"{\"a\": 1, \"a\": 2}", "no JSON"},
      {RECORD("gripline/plan/1", ""), "gripline/record/1"},
      {"{\"schema\": \"gripline/record/1\", \"student\": \"Ann\"}", "practices"},
      {"{\"schema\": \"gripline/record/1\", \"student\": 7, \"practices\": []}", "student"},
      {RECORD("gripline/record/1", "{" ONE "}"), "rating"},
      {RECORD("gripline/record/1", "{" ONE ", \"rating\": \"fine\"}"), "rating"},
      {RECORD("gripline/record/1", "{" ONE ", \"rating\": \"good\", \"strain\": \"much\"}"), "strain"},
      {RECORD("gripline/record/1", "{" ONE ", \"rating\": \"good\"}, 3"), "practice 2"},
      {RECORD("gripline/record/1", "{\"date\": \"2026-02-30\"}"), "date"},
      {RECORD("gripline/record/1", "{\"date\": \"2026-02-20\", \"at\": 1e300}"), "\"at\""},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(wrong); i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnDiags diags = gln_diags(arena);
    GlnPractice *read = NULL;
    size_t count = 0;
    assert_int_equal(gln_record_read_json(gln_text(wrong[i][0]), arena, &diags, &read, &count), GLN_INPUT);
    GlnBuffer said = gln_buffer(arena);
    gln_diags_print(&diags, GLN_TEXT("ann.json"), gln_text(wrong[i][0]), &said);
    assert_true(gln_text_find(gln_buffer_text(&said), gln_text(wrong[i][1]), 0) < said.length);
    gln_arena_free(arena);
  }
}

static GlnStatus read_two(GlnArena *arena, void *context) {
  const GlnBuffer *text = context;
  GlnDiags diags = gln_diags(arena);
  GlnPractice *read = NULL;
  size_t count = 0;
  return gln_record_read_json(gln_buffer_text(text), arena, &diags, &read, &count);
}

static void test_memory_runs_out(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnBuffer out = gln_buffer(arena);
  assert_int_equal(gln_record_write_json(GLN_TEXT("Ann"), two, 2, &out), GLN_OK);
  assert_true(failing_allocator_sweep_bytes(read_two, &out, 64, 1 << 20) >= 1);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_round_trip), cmocka_unit_test(test_refused),
                                     cmocka_unit_test(test_memory_runs_out)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
