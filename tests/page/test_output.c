/* The bytes: the same each time, of the right kind, with the words a reader or a screen reader needs, and refused where
 * a limit is passed. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "failing_allocator.h"
#include "handmade.h"

static const char song[] =
    "[A] |: Fmaj9@x8798x F#7b5@2x231x | Bbm7@6x666x | 1| % :| 2| C7(b9,13)/G@3x2355 | N.C. | "
    "[B] m3/4 C6/9@x32233=x21134 | ";

static GlnStatus write_sheet(GlnArena *arena, Handmade *made, GlnPageOptions options, GlnPageFormat format,
                             GlnBuffer *out, GlnDiags *diags) {
  *out = gln_buffer(arena);
  *diags = gln_diags(arena);
  const GlnSheetMatter matter = handmade_matter(made, "bossa");
  return gln_sheet_write(&matter, &options, format, out, diags);
}

static void test_same_input_same_bytes(void **state) {
  (void)state;
  Handmade *made = handmade("Twice", song);
  GlnDiags diags;
  for (int format = GLN_PAGE_PDF; format <= GLN_PAGE_PNG; format++) {
    GlnBuffer once, twice;
    GlnPageOptions options = gln_page_defaults();
    assert_int_equal(write_sheet(made->arena, made, options, (GlnPageFormat)format, &once, &diags), GLN_OK);
    assert_int_equal(write_sheet(made->arena, made, options, (GlnPageFormat)format, &twice, &diags), GLN_OK);
    assert_true(once.length > 1000);
    assert_int_equal(once.length, twice.length);
    assert_memory_equal(once.at, twice.at, once.length);
    options.paper = GLN_PAPER_LETTER;
    assert_int_equal(write_sheet(made->arena, made, options, (GlnPageFormat)format, &twice, &diags), GLN_OK);
    assert_true(once.length != twice.length || memcmp(once.at, twice.at, once.length) != 0);
  }
  handmade_free(made);
}

static void test_each_format_begins_as_it_must(void **state) {
  (void)state;
  Handmade *made = handmade("Heads", song);
  GlnBuffer out;
  GlnDiags diags;
  assert_int_equal(write_sheet(made->arena, made, gln_page_defaults(), GLN_PAGE_PDF, &out, &diags), GLN_OK);
  assert_memory_equal(out.at, "%PDF-1.", 7);
  assert_int_equal(write_sheet(made->arena, made, gln_page_defaults(), GLN_PAGE_SVG, &out, &diags), GLN_OK);
  assert_true(gln_text_starts(gln_buffer_text(&out), GLN_TEXT("<?xml version=\"1.0\"")));
  assert_int_equal(write_sheet(made->arena, made, gln_page_defaults(), GLN_PAGE_PNG, &out, &diags), GLN_OK);
  assert_memory_equal(out.at, "\x89PNG\r\n\x1a\n", 8);
  handmade_free(made);
}

static bool holds(const GlnBuffer *buffer, const char *words) {
  GlnText text = gln_buffer_text(buffer);
  return gln_text_find(text, gln_text(words), 0) < text.length;
}

static void test_svg_says_what_it_shows(void **state) {
  (void)state;
  Handmade *made = handmade("Salt & <Pepper>", song);
  GlnBuffer out;
  GlnDiags diags;
  assert_int_equal(write_sheet(made->arena, made, gln_page_defaults(), GLN_PAGE_SVG, &out, &diags), GLN_OK);
  assert_true(holds(&out, "<title>Salt &amp; &lt;Pepper&gt;</title>"));
  assert_true(holds(
      &out,
      "<title>C6/9: string 6 not played, string 5 fret 3 finger 2, string 4 fret 2 finger 1, "
      "string 3 fret 2 finger 1, string 2 fret 3 finger 3, string 1 fret 3 finger 4; barre with finger 1 "
      "at fret 2, strings 4 to 3</title>"));
  assert_true(holds(&out, "aria-label=\"F\u266f7\u266d5\""));
  assert_true(holds(&out, "aria-label=\"B\u266dm7\""));
  assert_true(holds(&out, "no medical advice"));
  handmade_free(made);
}

static void test_tempo_as_short_as_it_is_exact(void **state) {
  (void)state;
  static const struct {
    double tempo;
    const char *words;
  } cases[] = {{126, "= 126   "}, {97.5, "= 97.5   "}, {66.25, "= 66.25   "}};
  for (size_t i = 0; i < GLN_COUNT_OF(cases); i++) {
    Handmade *made = handmade("Tempo", song);
    made->chart.has_tempo = true;
    made->chart.tempo = cases[i].tempo;
    made->chart.feel = GLN_TEXT("bossa");
    GlnBuffer out;
    GlnDiags diags;
    assert_int_equal(write_sheet(made->arena, made, gln_page_defaults(), GLN_PAGE_SVG, &out, &diags), GLN_OK);
    assert_true(holds(&out, cases[i].words));
    handmade_free(made);
  }
}

static void test_description_names_thumb_and_capo(void **state) {
  (void)state;
  Handmade *made = handmade("Thumb", "[A] D/F#@200232 | ");
  GlnGrip grip = made->line.slots[0].grip;
  grip.fingering = (GlnFingering){.finger = {5, 0, 0, 1, 3, 2}};
  made->instrument.capo = 2;
  GlnBuffer out = gln_buffer(made->arena);
  gln_diagram_describe(&grip, GLN_TEXT(""), &made->instrument, &out);
  gln_buffer_add_byte(&out, '\0');
  assert_string_equal(
      out.at, "string 6 fret 2 thumb, string 5 open, string 4 open, string 3 fret 2 finger 1, string 2 fret "
              "3 finger 3, string 1 fret 2 finger 2; frets counted from the capo at fret 2");
  handmade_free(made);
}

static void test_one_page_of_many(void **state) {
  (void)state;
  static char text[20000];
  (void)snprintf(text, sizeof text, "[A] ");
  for (size_t at = strlen(text); at + 40 < sizeof text; at = strlen(text))
    (void)snprintf(text + at, sizeof text - at, "Am@x02210 | E7@020100 | ");
  Handmade *made = handmade("Many", text);
  GlnBuffer all, one;
  GlnDiags diags;
  GlnPageOptions options = gln_page_defaults();
  assert_int_equal(write_sheet(made->arena, made, options, GLN_PAGE_SVG, &all, &diags), GLN_OK);
  options.page = 2;
  assert_int_equal(write_sheet(made->arena, made, options, GLN_PAGE_SVG, &one, &diags), GLN_OK);
  assert_true(one.length * 10 < all.length);
  options.page = 100000;
  assert_int_equal(write_sheet(made->arena, made, options, GLN_PAGE_SVG, &one, &diags), GLN_LIMIT);
  assert_int_equal(diags.error_count, 1);
  options = gln_page_defaults();
  assert_int_equal(write_sheet(made->arena, made, options, GLN_PAGE_PNG, &one, &diags), GLN_LIMIT);
  assert_int_equal(diags.error_count, 1);
  assert_int_equal(one.length, 0);
  handmade_free(made);
}

static void test_dots_an_inch(void **state) {
  (void)state;
  Handmade *made = handmade("Dots", song);
  GlnBuffer out;
  GlnDiags diags;
  GlnPageOptions options = gln_page_defaults();
  const double refused[] = {0, 19, 601, -5};
  for (size_t i = 0; i < GLN_COUNT_OF(refused); i++) {
    options.dpi = refused[i];
    assert_int_equal(write_sheet(made->arena, made, options, GLN_PAGE_PNG, &out, &diags), GLN_LIMIT);
    assert_int_equal(diags.error_count, 1);
  }
  /* A4 at 72 dots an inch: ISO 216, 210 mm are 595.3 points. Width and height are big-endian at byte 16 (PNG, ISO 15948). */
  options.dpi = 72;
  options.page = 1;
  assert_int_equal(write_sheet(made->arena, made, options, GLN_PAGE_PNG, &out, &diags), GLN_OK);
  assert_memory_equal(out.at + 16, "\x00\x00\x02\x54\x00\x00\x03\x4a", 8);
  handmade_free(made);
}

static void test_one_diagram_in_each_format(void **state) {
  (void)state;
  Handmade *made = handmade("One", "[A] Eb13@x65668 | ");
  GlnDiags diags = gln_diags(made->arena);
  GlnPageOptions options = gln_page_defaults();
  for (int format = GLN_PAGE_PDF; format <= GLN_PAGE_PNG; format++) {
    GlnBuffer out = gln_buffer(made->arena), left = gln_buffer(made->arena);
    options.left_handed = false;
    assert_int_equal(gln_diagram_write(&made->line.slots[0].grip, GLN_TEXT("Eb13"), &made->instrument,
                                       &options, (GlnPageFormat)format, &out, &diags),
                     GLN_OK);
    options.left_handed = true;
    assert_int_equal(gln_diagram_write(&made->line.slots[0].grip, GLN_TEXT("Eb13"), &made->instrument,
                                       &options, (GlnPageFormat)format, &left, &diags),
                     GLN_OK);
    assert_true(out.length > 500);
    assert_true(out.length != left.length || memcmp(out.at, left.at, out.length) != 0);
    if (format == GLN_PAGE_SVG)
      assert_true(holds(&out, "aria-label=\"E\u266d13\""));
  }
  handmade_free(made);
}

static void test_names_of_papers_and_formats(void **state) {
  (void)state;
  GlnPaper paper;
  assert_int_equal(gln_paper_parse(GLN_TEXT("Letter"), &paper), GLN_OK);
  assert_int_equal(paper, GLN_PAPER_LETTER);
  assert_int_equal(gln_paper_parse(GLN_TEXT("A4"), &paper), GLN_OK);
  assert_int_equal(paper, GLN_PAPER_A4);
  assert_int_equal(gln_paper_parse(GLN_TEXT("a5"), &paper), GLN_INPUT);
  GlnPageFormat format;
  assert_int_equal(gln_page_format_parse(GLN_TEXT("PNG"), &format), GLN_OK);
  assert_int_equal(format, GLN_PAGE_PNG);
  assert_int_equal(gln_page_format_parse(GLN_TEXT("gif"), &format), GLN_INPUT);
}

static GlnStatus sheet_job(GlnArena *arena, void *context) {
  Handmade *made = context;
  GlnBuffer out;
  GlnDiags diags;
  GLN_TRY(write_sheet(arena, made, gln_page_defaults(), GLN_PAGE_SVG, &out, &diags));
  assert_true(holds(&out, "no medical advice"));
  assert_true(holds(&out, "</svg>"));
  return GLN_OK;
}

static GlnStatus pdf_job(GlnArena *arena, void *context) {
  Handmade *made = context;
  GlnBuffer out;
  GlnDiags diags;
  GLN_TRY(write_sheet(arena, made, gln_page_defaults(), GLN_PAGE_PDF, &out, &diags));
  assert_true(holds(&out, "%%EOF"));
  return GLN_OK;
}

static void test_out_of_memory_is_said(void **state) {
  (void)state;
  Handmade *made = handmade("Little", "[A] Am@x02210 E7@020100 | ");
  made->chart.notes = GLN_TEXT("Let the open strings ring.");
  assert_true(failing_allocator_sweep(sheet_job, made, 10000) > 2);
  assert_true(failing_allocator_sweep(pdf_job, made, 10000) > 2);
  assert_true(failing_allocator_sweep_bytes(sheet_job, made, 40009, 50000000) > 40009);
  handmade_free(made);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_same_input_same_bytes),
      cmocka_unit_test(test_each_format_begins_as_it_must),
      cmocka_unit_test(test_svg_says_what_it_shows),
      cmocka_unit_test(test_tempo_as_short_as_it_is_exact),
      cmocka_unit_test(test_description_names_thumb_and_capo),
      cmocka_unit_test(test_one_page_of_many),
      cmocka_unit_test(test_dots_an_inch),
      cmocka_unit_test(test_one_diagram_in_each_format),
      cmocka_unit_test(test_names_of_papers_and_formats),
      cmocka_unit_test(test_out_of_memory_is_said),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
