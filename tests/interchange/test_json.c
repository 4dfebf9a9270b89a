/* JSON documents: shape, order of keys, exact numbers, text that is no UTF-8. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "interchange.h"

static void assert_document(GlnJson *json, GlnArena *arena, const char *expected) {
  GlnBuffer out = gln_buffer(arena);
  assert_int_equal(gln_json_write(json, &out), GLN_OK);
  gln_buffer_add_byte(&out, '\0');
  assert_string_equal(out.at, expected);
  gln_json_free(json);
}

static void test_document(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnJson *json = gln_json_new(arena, "arrange");
  assert_non_null(json);
  gln_json_open_array(json, "slots");
  gln_json_open_object(json, NULL);
  gln_json_add_text(json, "chord", GLN_TEXT("B♭7"));
  gln_json_add_ratio(json, "beat", gln_ratio(4, 2));
  gln_json_add_ratio(json, "beats", gln_ratio(7, 2));
  gln_json_add_null(json, "move");
  gln_json_close(json);
  gln_json_close(json);
  gln_json_add_integer(json, "count", -1);
  gln_json_add_boolean(json, "vary", true);
  assert_document(
      json, arena,
      "{\n  \"schema\": \"gripline/arrange/1\",\n  \"slots\": [\n    {\n"
      "      \"chord\": \"B♭7\",\n      \"beat\": 2,\n      \"beats\": \"7/2\",\n      \"move\": null\n"
      "    }\n  ],\n  \"count\": -1,\n  \"vary\": true\n}\n");
  gln_arena_free(arena);
}

static void test_numbers(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnJson *json = gln_json_new(arena, "grips");
  assert_non_null(json);
  gln_json_add_number(json, "a", (double)0.3F, 3); /* a float's binary tail is not shown */
  gln_json_add_number(json, "b", -0.0004, 3);      /* never -0 */
  gln_json_add_number(json, "c", 97.5999, 1);
  gln_json_add_number(json, "d", 3, 2);
  assert_document(json, arena,
                  "{\n  \"schema\": \"gripline/grips/1\",\n  \"a\": 0.3,\n  \"b\": 0.0,\n  \"c\": 97.6,\n"
                  "  \"d\": 3.0\n}\n");
  gln_arena_free(arena);
}

static void test_broken_text(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnJson *json = gln_json_new(arena, "x");
  assert_non_null(json);
  gln_json_add_text(json, "t", (GlnText){"a\xFFz\"\n", 5});
  gln_json_add_text(json, "e", (GlnText){NULL, 0});
  assert_document(
      json, arena,
      "{\n  \"schema\": \"gripline/x/1\",\n  \"t\": \"a\xEF\xBF\xBDz\\\"\\n\",\n  \"e\": \"\"\n}\n");
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_document),
      cmocka_unit_test(test_numbers),
      cmocka_unit_test(test_broken_text),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
