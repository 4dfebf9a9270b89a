#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "base.h"

#include <string.h>

static int open_arena(void **state) {
  *state = gln_arena_new(NULL, 0);
  return *state != NULL ? 0 : -1;
}

static int close_arena(void **state) {
  gln_arena_free(*state);
  return 0;
}

static void assert_printed(GlnArena *arena, const GlnDiags *diags, GlnText source, const char *expected) {
  GlnBuffer out = gln_buffer(arena);
  gln_diags_print(diags, GLN_TEXT("tide.chart"), source, &out);
  assert_int_equal(gln_buffer_status(&out), GLN_OK);
  assert_string_equal(gln_text_copy(arena, gln_buffer_text(&out)), expected);
}

static void places_count_lines_and_code_points(void **state) {
  (void)state;
  GlnText source = GLN_TEXT("key: F\r\n| B♭7 | Hm |\n\nend");
  GlnPlace place = gln_text_place(source, 0);
  assert_int_equal(place.line, 1);
  assert_int_equal(place.column, 1);
  assert_true(gln_text_equal(place.line_text, GLN_TEXT("key: F")));
  place = gln_text_place(source, gln_text_find(source, GLN_TEXT("Hm"), 0));
  assert_int_equal(place.line, 2);
  assert_int_equal(place.column, 9);
  assert_true(gln_text_equal(place.line_text, GLN_TEXT("| B♭7 | Hm |")));
  place = gln_text_place(source, 9999);
  assert_int_equal(place.line, 4);
  assert_int_equal(place.column, 4);
  place = gln_text_place((GlnText){0}, 3);
  assert_int_equal(place.line, 1);
  assert_int_equal(place.line_text.length, 0);
}

static void messages_come_in_order_of_place(void **state) {
  GlnArena *arena = *state;
  GlnText source = GLN_TEXT("| B♭7 | Hm |\n| C |\n");
  GlnDiags diags = gln_diags(arena);
  gln_diags_format(&diags, GLN_WARNING, 16, 1, "", "the bar is short");
  gln_diags_format(&diags, GLN_ERROR, 10, 2, "write B for the German H", "no note is called %s", "H");
  gln_diags_add(&diags, (GlnDiag){.severity = GLN_NOTE_SEVERITY, .problem = GLN_TEXT("no title")});
  assert_int_equal(diags.error_count, 1);
  assert_printed(arena, &diags, source,
                 "tide.chart: note: no title\n"
                 "tide.chart:1:9: error: no note is called H; write B for the German H\n"
                 "  | B♭7 | Hm |\n"
                 "          ^~\n"
                 "tide.chart:2:2: warning: the bar is short\n"
                 "  | C |\n"
                 "   ^\n");
}

static void an_underline_stays_within_its_line(void **state) {
  GlnArena *arena = *state;
  GlnDiags diags = gln_diags(arena);
  gln_diags_format(&diags, GLN_ERROR, 2, 1000, "", "too long");
  gln_diags_format(&diags, GLN_ERROR, 5, 0, NULL, "cut short");
  assert_printed(arena, &diags, GLN_TEXT("| C |\n| D |"),
                 "tide.chart:1:3: error: too long\n"
                 "  | C |\n"
                 "    ^~~\n"
                 "tide.chart:1:6: error: cut short\n"
                 "  | C |\n"
                 "       ^\n");
}

static void bytes_of_a_file_cannot_drive_the_terminal(void **state) {
  GlnArena *arena = *state;
  GlnDiags diags = gln_diags(arena);
  gln_diags_format(&diags, GLN_ERROR, 6, 1, "", "what is \x1B[2J\xC2\x9B");
  assert_printed(arena, &diags, GLN_TEXT("\t\x1B[31m!\xFF"),
                 "tide.chart:1:7: error: what is \xEF\xBF\xBD[2J\xEF\xBF\xBD\n"
                 "   \xEF\xBF\xBD[31m!\xEF\xBF\xBD\n"
                 "        ^\n");
}

static void a_long_line_is_shown_around_the_fault(void **state) {
  GlnArena *arena = *state;
  char source[4000];
  for (size_t i = 0; i < sizeof source - 1; i += 3)
    memcpy(source + i, "♭", 3);
  memcpy(source + 1500, "Hm7", 3);
  GlnDiags diags = gln_diags(arena);
  gln_diags_format(&diags, GLN_ERROR, 1500, 3, "", "no");
  GlnBuffer out = gln_buffer(arena);
  gln_diags_print(&diags, GLN_TEXT("x"), (GlnText){source, sizeof source - 1}, &out);
  GlnText text = gln_buffer_text(&out);
  assert_int_equal(gln_text_bad_utf8(text), text.length);
  assert_in_range(text.length, 160, 320);
  /* The caret stands under the H. */
  size_t shown = gln_text_find(text, GLN_TEXT("\n"), 0) + 1;
  size_t carets = gln_text_find(text, GLN_TEXT("\n"), shown) + 1;
  size_t fault = gln_text_find(text, GLN_TEXT("Hm7"), shown);
  size_t caret = gln_text_find(text, GLN_TEXT("^~~\n"), carets);
  assert_true(fault < carets);
  assert_int_equal(gln_text_columns(gln_text_slice(text, shown, fault - shown)), caret - carets);
}

static void too_many_are_counted_not_kept(void **state) {
  GlnArena *arena = *state;
  GlnDiags diags = gln_diags(arena);
  for (size_t i = 0; i < GLN_DIAGS_MAX + 5; i++)
    gln_diags_format(&diags, GLN_ERROR, 0, 1, "", "fault %zu", i);
  assert_int_equal(diags.count, GLN_DIAGS_MAX);
  assert_int_equal(diags.dropped, 5);
  assert_int_equal(diags.error_count, GLN_DIAGS_MAX + 5);
  GlnBuffer out = gln_buffer(arena);
  gln_diags_print(&diags, GLN_TEXT("x"), GLN_TEXT("C"), &out);
  GlnText text = gln_buffer_text(&out);
  size_t last = gln_text_find(text, GLN_TEXT("x: note: 5 more messages are not shown\n"), 0);
  assert_true(last < text.length);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(places_count_lines_and_code_points),
      cmocka_unit_test(messages_come_in_order_of_place),
      cmocka_unit_test(an_underline_stays_within_its_line),
      cmocka_unit_test(bytes_of_a_file_cannot_drive_the_terminal),
      cmocka_unit_test(a_long_line_is_shown_around_the_fault),
      cmocka_unit_test(too_many_are_counted_not_kept),
  };
  return cmocka_run_group_tests(tests, open_arena, close_arena);
}
