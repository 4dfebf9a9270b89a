/* Bad input: every fault of a file in one run, each at its line and column. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "failing_allocator.h"
#include "song_test.h"

static void assert_told(void **state, const char *source, GlnStatus status, const char *expected) {
  Read read = read_string(*state, source);
  assert_string_equal(told(&read), expected);
  assert_int_equal(read.status, status);
}

static void all_faults_in_one_run(void **state) {
  assert_told(state,
              "title: Everything Wrong\n"
              "key: H\n"
              "meter: 4/5\n"
              "tempo: fast\n"
              "capo: 40\n"
              "strings: 2\n"
              "key: F\n"
              "form: A C Bridg A\n"
              "\n"
              "[A]\n"
              "| Fmaj9 / F13 | % % | Qm7 |\n"
              "tempo: 90\n"
              "| | C@boo | C^H |\n"
              "words without bars\n"
              "[Bridge]\n"
              "| C / / / / | G7 :|\n"
              "[A]\n"
              "[\n",
              GLN_INPUT,
              "2:6 error \"H\" is not a key\n"
              "3:8 error \"4/5\" is not a meter\n"
              "4:8 error \"fast\" is not a tempo\n"
              "5:7 error \"40\" is not a number that fits\n"
              "6:10 error \"2\" is not a number that fits\n"
              "7:1 error key is given twice: already on line 2\n"
              "8:9 error the form names a section that is not there: C\n"
              "8:11 error the form names a section that is not there: Bridg\n"
              "11:3 error 3 beats in a bar of 4/4, which has 4\n"
              "11:17 error % stands alone in its bar\n"
              "11:23 error Qm7 is no chord symbol: a chord starts with a note name, A to G in capitals, not "
              "with “Qm7”\n"
              "12:1 error a header after the bars have begun\n"
              "13:2 error an empty bar\n"
              "13:6 error \"boo\" is not a grip\n"
              "13:14 error \"H\" is not a note\n"
              "14:1 error a line that is neither bars nor a header\n"
              "15:1 warning section Bridge is never played: the form does not name it\n"
              "16:3 error 5 beats in a bar of 4/4, which has 4\n"
              "16:18 error a repeat closes that was not opened\n"
              "17:1 error section A is there already, on line 10\n"
              "17:1 error section A has no bars\n"
              "18:1 error a section's name without its closing ]\n");
}

static void advice_names_what_was_meant(void **state) {
  Read read = read_string(*state, "form: A Bridg\n[A]\n| Cmaj9x |\n[Bridge]\n| C |\n");
  assert_int_equal(read.diags.error_count, 2);
  assert_int_equal(read.diags.items[0].offset, 25);
  assert_string_equal(gln_text_copy(*state, read.diags.items[0].advice), "did you mean Cmaj9?");
  assert_string_equal(gln_text_copy(*state, read.diags.items[1].advice), "did you mean Bridge?");
}

static void each_fault_alone(void **state) {
  static const struct {
    const char *source, *told;
  } rows[] = {
      {"", "error the chart is empty\n"},
      {" \n\t\n", "error the chart is empty\n"},
      {"title: Nothing\n", "error the chart has no bars\n"},
      {"# nothing\n", "error the chart has no bars\n"},
      {"[A]\n[B]\n| C |", "1:1 error section A has no bars\n"},
      {"| C / G |", "1:3 error 3 beats in a bar of 4/4, which has 4\n"},
      {"meter: 6/8\n| C / / |", "2:3 error 3 beats in a bar of 6/8, which has 2, or 6 counted singly\n"},
      {"meter: 3/4\n| C / |", "2:3 error 2 beats in a bar of 3/4, which has 3\n"},
      {"| % |", "1:3 error no bar comes before this % in the section\n"},
      {"| C | 3/4: % |", "1:7 error % cannot repeat a bar of 4/4 in 3/4\n"},
      {"| / / / C | % |", "1:13 error % cannot repeat a pick-up\n"},
      {"| / / / / |", "1:3 error no chord comes before this slash\n"},
      {"| C | 9/7: C |", "1:7 error \"9/7\" is not a meter\n"},
      {"C | F |", "1:1 error a line of bars starts with a bar line\n"},
      {"A: | C | F |\n", "error the chart has no bars\n1:1 error bars after \"A:\"\n"},
      {"| @x32010 |", "1:3 error a pinned grip without a chord before it\n"},
      {"| C@x32010@x32010 |", "1:11 error a second pinned grip on one chord\n"},
      {"| C^E^G |", "1:6 error a second top note on one chord\n"},
      {"| C^7 |", "1:4 error \"7\" is not a note\n"},
      {"key:\n| C |", "1:1 error key has no value\n"},
      {"tempo: 1000\n| C |", "1:8 error \"1000\" is not a tempo\n"},
      {"tempo: -5\n| C |", "1:8 error \"-5\" is not a tempo\n"},
      {"tempo: nan\n| C |", "1:8 error \"nan\" is not a tempo\n"},
      {"meter: 0/4\n| C |", "1:8 error \"0/4\" is not a meter\n"},
      {"form: x2 A\n[A]\n| C |", "1:7 error \"x2\" is no count of plays here\n"},
      {"form: A x1\n[A]\n| C |", "1:9 error \"x1\" is no count of plays here\n"},
      {"form: ,\n[A]\n| C |",
       "1:7 error the form names no section\n2:1 warning section A is never played: the form "
       "does not name it\n"},
      {"form: A\n| F |\n[A]\n| C |", "2:1 error bars without a section, which the form cannot name\n"},
      {"[A, B]\n| C |", "1:1 error \",\" cannot be part of a section's name\n"},
      {"|", "1:1 error a bar line without bars\n"},
      {"[]\n| C |", "1:1 error a section without a name\n"},
      {"title: caf\xE9\n| C |", "1:11 error bytes that are not UTF-8 text\n"},
      {"| C\xFF\xFE | G |", "1:4 error bytes that are not UTF-8 text\n"},
      {"| C\r | G |", "1:4 error a line end that is a carriage return alone\n"},
      {"title: a\x01\n| C |", "1:9 error an unprintable character (code 1)\n"},
      {"\xC3\xA9t\xC3\xA9 | C |",
       "1:1 error a line of bars starts with a bar line\n1:1 error \xC3\xA9t\xC3\xA9 is no "
       "chord symbol: a chord starts with a note name, A to G in capitals, not with "
       "\xE2\x80\x9C\xC3\xA9t\xC3\xA9\xE2\x80\x9D\n"},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++)
    assert_told(state, rows[i].source,
                gln_text_find(gln_text(rows[i].told), GLN_TEXT("error"), 0) < strlen(rows[i].told) ? GLN_INPUT
                                                                                                   : GLN_OK,
                rows[i].told);
}

static void zero_bytes(void **state) {
  Read read = read_text(*state, GLN_TEXT("| C |\n| G\0 |\n| F |\n"));
  assert_int_equal(read.status, GLN_INPUT);
  assert_string_equal(told(&read), "2:4 error a zero byte\n");
  read = read_text(*state, GLN_TEXT("\0\0\0\0"));
  assert_int_equal(read.status, GLN_INPUT);
  assert_true(read.diags.error_count >= 1);
}

static GlnText filled(GlnArena *arena, const char *before, const char *part, size_t times,
                      const char *after) {
  GlnBuffer out = gln_buffer(arena);
  gln_buffer_add_string(&out, before);
  gln_buffer_add_repeated(&out, gln_text(part), times);
  gln_buffer_add_string(&out, after);
  assert_int_equal(gln_buffer_status(&out), GLN_OK);
  return gln_buffer_text(&out);
}

static void assert_limit(void **state, GlnText source, const char *problem) {
  Read read = read_text(*state, source);
  assert_int_equal(read.status, GLN_LIMIT);
  assert_int_equal(read.diags.error_count, 1);
  const GlnDiag *last = &read.diags.items[read.diags.count - 1];
  assert_string_equal(gln_text_copy(*state, last->problem), problem);
}

static void limits_are_named(void **state) {
  assert_limit(state, filled(*state, "", "| C |\n", (size_t)100 * 1024 * 1024 / 6, ""),
               "the chart is larger than 4 MiB, the limit for a chart file");
  assert_limit(state, filled(*state, "|", " C |", GLN_CHART_BARS_MAX + 1, ""),
               "too many bars in the chart: the limit is 20000");
  assert_limit(state, filled(*state, "|", " C", GLN_BAR_CHORDS_MAX + 1, " |"),
               "too many chords in one bar: the limit is 64");
  assert_limit(state, filled(*state, "", "| C C C C C C C C C C C C C C C C |\n", 6251, ""),
               "too many chords in the chart: the limit is 100000");
  assert_limit(state, filled(*state, "form:", " A", GLN_CHART_FORM_MAX + 1, "\n[A]\n| C |"),
               "too many sections in the form: the limit is 10000");
  assert_limit(state, filled(*state, "", "notes: a\n", GLN_CHART_HEADERS_MAX + 1, "| C |"),
               "too many headers: the limit is 1000");
}

static void the_limits_themselves_are_allowed(void **state) {
  Read read = read_text(*state, filled(*state, "|", " C |", GLN_CHART_BARS_MAX, ""));
  assert_reads(&read);
  read = read_text(*state, filled(*state, "|", " C", GLN_BAR_CHORDS_MAX, " |"));
  assert_reads(&read);
  read = read_text(*state, filled(*state, "form:", " A", GLN_CHART_FORM_MAX, "\n[A]\n| C |"));
  assert_reads(&read);
}

static void too_many_sections(void **state) {
  GlnBuffer source = gln_buffer(*state);
  for (int i = 0; i <= GLN_CHART_SECTIONS_MAX; i++)
    gln_buffer_format(&source, "[s%d]\n| C |\n", i);
  assert_limit(state, gln_buffer_text(&source), "too many sections: the limit is 1000");
}

/* A million faults are counted, a thousand kept, and none takes long. */
static void faults_without_end(void **state) {
  Read read = read_text(*state, filled(*state, "form:", " Q", 9000, "\n[A]\n| C |"));
  assert_int_equal(read.status, GLN_INPUT);
  assert_int_equal(read.diags.error_count, 9000);
  read = read_text(*state, filled(*state, "| C |\n", "(\n", 100000, ""));
  assert_int_equal(read.diags.error_count, 100000);
  read = read_text(*state, filled(*state, "| ", "(", 2000000, " |"));
  assert_int_equal(read.diags.error_count, 1);
  read = read_text(*state, filled(*state, "| C |\n", "\xFF\n", 100000, ""));
  assert_true(read.diags.error_count >= 100000);
}

static GlnStatus read_and_play(GlnArena *arena, void *context) {
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GLN_TRY(gln_chart_read(gln_text(context), arena, &diags, &chart));
  GLN_TRY(gln_song_play(chart, arena, &diags, &song));
  GlnBuffer out = gln_buffer(arena);
  GLN_TRY(gln_chart_write(chart, &out));
  return gln_chart_write_tidy(chart, &out);
}

static void memory_may_run_out_anywhere(void **state) {
  (void)state;
  char source[] =
      "title: Dry\nnotes: a\nnotes: b\nform: A x2, B\n# remark\n[A]\n|: C / G7 / | % |1 F :|2 G | # end\n"
      "[B]\n| / / Am7@x02010^E / |\n| C | F | G | Am | Em | Dm | G7 | C | D7 |\n";
  char wrong[] = "[A]\n| / / Am7@x02010^E / |\n";
  assert_true(failing_allocator_sweep(read_and_play, source, 1000) >= 1);
  assert_true(failing_allocator_sweep_bytes(read_and_play, source, 64, 1000000) >= 64);
  assert_true(failing_allocator_sweep_bytes(read_and_play, wrong, 16, 1000000) >= 16);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      TEST(all_faults_in_one_run),
      TEST(advice_names_what_was_meant),
      TEST(each_fault_alone),
      TEST(zero_bytes),
      TEST(limits_are_named),
      TEST(the_limits_themselves_are_allowed),
      TEST(too_many_sections),
      TEST(faults_without_end),
      TEST(memory_may_run_out_anywhere),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
