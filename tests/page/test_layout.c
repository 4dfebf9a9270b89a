/* Measures the boxes of everything that is drawn: nothing overlaps, nothing leaves the margins, nothing is lost. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "handmade.h"

#include <math.h>
#include <stdio.h>

#define TOUCH 0.05 /* points: boxes that only touch do not overlap */

static void lay_out(GlnCanvas *canvas, Handmade *made, const GlnPageOptions *options) {
  assert_int_equal(gln_sheet_open(canvas, made->arena, options), GLN_OK);
  static const char *const feels[] = {"bossa", "swing", "samba", "slow arpeggio"};
  const GlnSheetMatter matter = handmade_matter(made, feels[made->event_count % GLN_COUNT_OF(feels)]);
  gln_sheet_draw(canvas, &matter, options);
  assert_int_equal(canvas->status, GLN_OK);
}

static bool overlap(GlnBox a, GlnBox b) {
  return a.left < b.right - TOUCH && b.left < a.right - TOUCH && a.top < b.bottom - TOUCH &&
         b.top < a.bottom - TOUCH;
}

static void report(const char *what, const GlnCanvas *canvas, size_t page, const GlnMark *a,
                   const GlnMark *b) {
  print_error("%s on page %zu: %s [%.1f %.1f %.1f %.1f]", what, page + 1, canvas->blocks[a->block].kind,
              a->box.left, a->box.top, a->box.right, a->box.bottom);
  if (b)
    print_error(" and %s [%.1f %.1f %.1f %.1f]", canvas->blocks[b->block].kind, b->box.left, b->box.top,
                b->box.right, b->box.bottom);
  print_error("\n");
}

/* Faults of a page: marks outside the margins, marks of different blocks that overlap, and words that overlap words. */
static size_t page_faults(const GlnCanvas *canvas, size_t page) {
  size_t faults = 0;
  const GlnCanvasPage *drawn = &canvas->pages[page];
  for (size_t i = 0; i < drawn->count; i++) {
    const GlnMark *a = &drawn->marks[i];
    if (a->box.left < canvas->margin - TOUCH || a->box.top < canvas->margin - TOUCH ||
        a->box.right > canvas->width - canvas->margin + TOUCH ||
        a->box.bottom > canvas->height - canvas->margin + TOUCH) {
      report("outside the margins", canvas, page, a, NULL);
      faults++;
    }
    for (size_t j = i + 1; j < drawn->count; j++) {
      const GlnMark *b = &drawn->marks[j];
      bool words = a->kind == GLN_MARK_TEXT && b->kind == GLN_MARK_TEXT;
      if ((a->block != b->block || words) && overlap(a->box, b->box)) {
        report("overlap", canvas, page, a, b);
        faults++;
      }
    }
  }
  return faults;
}

static size_t count_blocks(const GlnCanvas *canvas, const char *kind) {
  size_t count = 0;
  for (size_t i = 0; i < canvas->block_count; i++)
    count += strcmp(canvas->blocks[i].kind, kind) == 0;
  return count;
}

static void check_paper(const char *title, const char *text, GlnPageOptions options, size_t names,
                        size_t diagrams, size_t grips) {
  Handmade *made = handmade(title, text);
  made->chart.by = gln_text("Nobody in Particular");
  GlnCanvas canvas;
  lay_out(&canvas, made, &options);
  size_t faults = 0;
  for (size_t page = 0; page < canvas.page_count; page++)
    faults += page_faults(&canvas, page);
  assert_int_equal(faults, 0);
  assert_int_equal(count_blocks(&canvas, "name"), names);
  assert_int_equal(count_blocks(&canvas, "diagram"), diagrams);
  assert_int_equal(count_blocks(&canvas, "grip"), grips);
  assert_int_equal(count_blocks(&canvas, "foot"), canvas.page_count);
  GlnHardChanges hard;
  assert_true(gln_hard_changes_find(&made->line, made->arena, &hard));
  assert_int_equal(count_blocks(&canvas, "move"), hard.count);
  assert_true(count_blocks(&canvas, "neck") > 0);
  gln_canvas_close(&canvas);
  handmade_free(made);
}

static void check(const char *title, const char *text, size_t names, size_t diagrams, size_t grips) {
  GlnPageOptions options = gln_page_defaults();
  check_paper(title, text, options, names, diagrams, grips);
  options.left_handed = true;
  check_paper(title, text, options, names, diagrams, grips);
  options.large = true;
  check_paper(title, text, options, names, diagrams, grips);
  options = (GlnPageOptions){.paper = GLN_PAPER_LETTER, .dpi = 150};
  check_paper(title, text, options, names, diagrams, grips);
}

static void test_plain_song(void **state) {
  (void)state;
  check("Ferry at Low Tide",
        "[A] Fmaj9@x8798x F13@1x123x | G13@3x345x | Gm7@3x333x | C7sus4@x35363 C7b9@x3232x | "
        "[B] Bbmaj7@x13231 | % | Bbm6@x1302x | N.C. | ",
        9, 8, 8);
}

static void test_same_grip_is_drawn_once_in_a_row(void **state) {
  (void)state;
  check("Standing Still",
        "[A] Am@x02210 | Am@x02210 C@x32010 | C@x32010 Am@x02210 | Am@x02210 | Am@x02210 | ", 7, 4, 2);
}

static void test_long_names_and_five_chord_bars(void **state) {
  (void)state;
  check("Crowded",
        "[A] C#m7b5(11)@x4542x F#m7b5(11)@2x221x G#m7b5(11)@4x443x D#m7b5(11)@x6764x A#m7b5(11)@6x664x | "
        "C#m7b5(11)/G#@x4542x | C7(b9,#9,#11,b13)@x3234x Gb7(b9,#9,#11,b13)@2x2332 | F@133211 | "
        "[a section whose name is a sentence of its own and goes on for longer than any page is wide, so "
        "that it has to "
        "be cut somewhere] F@133211 | ",
        10, 10, 8);
}

static void test_repeats_endings_meters_high_frets(void **state) {
  (void)state;
  check("Round and Round",
        "[A] |: m3/4 Am@x02210 | m6/8 E7@x7678x :|7 [B] |: Dm7@x-12-10-10-10-x G7@x-10-12-10-12-10 | 1| "
        "Cmaj7@8x998x :| 2| Cmaj7@8x998x F@x-x-15-14-13-13 | C@x-x-10-12-13-12 | m9/8 C@x32010 | ",
        9, 9, 8);
}

static void test_text_in_any_script(void **state) {
  (void)state;
  check("Паром на заре · フェリー · المد والجزر · עת שפל · \U0001F3B8 \x01 e\u0301 \U0010FFFD",
        "[前奏] Am@x02210 | [\u05d0] E7@020100 | ", 2, 2, 2);
  check("Averyveryverylongtitlewithoutasinglespaceinitsothatithastobebrokenwithinawordsomewhereandagainandaga"
        "inand"
        "againuntilitisreallylong and then some more words that go on over the end of the second line and "
        "the third",
        "[A] Am@x02210 | ", 1, 1, 1);
}

static void test_nonsense_symbols_are_drawn_as_typed(void **state) {
  (void)state;
  check(
      "Odd",
      "[A] Hxyz@x02210 C7bbb###b5#9b13#11b5#9b13#11b5#9b13#11b5#9b13#11b5#9b13#11b5#9@x32010 | Cb/@x32010 | ",
      3, 2, 2);
}

static void add_bars(char *text, size_t room, size_t bars, const char *bar) {
  size_t length = strlen(text), more = strlen(bar);
  for (size_t i = 0; i < bars && length + more < room; i++, length += more)
    memcpy(text + length, bar, more + 1);
}

static void test_two_hundred_bars(void **state) {
  (void)state;
  static char text[32768];
  (void)snprintf(text, sizeof text, "[A] ");
  add_bars(text, sizeof text, 100, "Fmaj9@x8798x F13@1x123x | G13@3x345x |");
  add_bars(text, sizeof text, 100, " ");
  check("The Long One", text, 300, 300, 3);
}

static void test_sixty_four_chords_in_a_bar(void **state) {
  (void)state;
  static char text[32768];
  (void)snprintf(text, sizeof text, "[A] ");
  add_bars(text, sizeof text, 32, "Fmaj9@x8798x F13@1x123x ");
  add_bars(text, sizeof text, 1, "| Fmaj9@x8798x | ");
  check("All at Once", text, 65, 65, 2);
}

static void test_every_string_count(void **state) {
  (void)state;
  check("Three", "[A] C@010 G@x02 | ", 2, 2, 2);
  check("Four", "[A] C@0003 | ", 1, 1, 1);
  check("Seven", "[A] C@xx32010 | ", 1, 1, 1);
  check("Eight", "[A] C@xxx32010 Am@xxx02210 Dm@xxxx0231 E7@xx020100 | ", 4, 4, 4);
}

/* A section that comes back with other grips is drawn again, and says which time it is; one that comes back the same is
 * not. */
static void test_other_grips_when_it_comes_back(void **state) {
  (void)state;
  for (int other = 0; other <= 1; other++) {
    Handmade *made = handmade("Again", "[A] Am@x02210 | E7@020100 | [B] Am@577555 | E7@020100 | ");
    static GlnSlot again[2];
    for (size_t i = 0; i < 2; i++) { /* B is A's second time now */
      again[i] = *made->line.slots[i].slot;
      again[i].section_pass = 1;
      again[i].bar += 2;
      again[i].start = gln_ratio_add(again[i].start, gln_ratio(8, 1));
      if (!other)
        made->line.slots[2 + i] = made->line.slots[i];
      made->line.slots[2 + i].slot = &again[i];
    }
    made->chart.section_count = made->chart.form_count = 1;
    GlnCanvas canvas;
    GlnPageOptions options = gln_page_defaults();
    options.parts = 1U << GLN_SHEET_CHART;
    lay_out(&canvas, made, &options);
    assert_int_equal(page_faults(&canvas, 0), 0);
    assert_int_equal(count_blocks(&canvas, "heading"), 1 + other);
    assert_int_equal(count_blocks(&canvas, "diagram"), 2 + 2 * other);
    assert_int_equal(canvas.bookmark_count, 2 + other);
    assert_true(gln_text_equal(canvas.bookmarks[1].words, other ? GLN_TEXT("A: time 1") : GLN_TEXT("A")));
    if (other)
      assert_true(gln_text_equal(canvas.bookmarks[2].words, GLN_TEXT("A: time 2")));
    gln_canvas_close(&canvas);
    handmade_free(made);
  }
}

/* The numbers go from the hardest on, and a change with more time for it is not marked. */
static void test_hard_changes(void **state) {
  (void)state;
  Handmade *made = handmade("Hard", "[A] Am@x02210 F@133211 | Am@x02210 | F@133211 | Am@577555 | ");
  GlnHardChanges hard;
  assert_true(gln_hard_changes_find(&made->line, made->arena, &hard));
  assert_in_range(hard.count, 2, 3);
  for (size_t i = 1; i < hard.count; i++)
    assert_true(hard.items[i - 1].tempo <= hard.items[i].tempo);
  assert_true(hard.number[1] > 0);     /* Am to F in half a bar */
  assert_int_equal(hard.number[0], 0); /* nothing comes before it */
  assert_int_equal(hard.number[3], 0); /* the same in a whole bar */
  assert_int_equal(hard.items[hard.number[1] - 1].into, 1);
  handmade_free(made);
}

/* A heading is followed by bars of its section on the same page. */
static void test_no_heading_alone(void **state) {
  (void)state;
  static char text[32768];
  for (int lines = 1; lines <= 12; lines++) {
    text[0] = '\0';
    add_bars(text, sizeof text, 1, "[A] ");
    add_bars(text, sizeof text, (size_t)lines * 4, "Am@x02210 E7@020100 | ");
    add_bars(text, sizeof text, 1, "[B] C@x32010 | ");
    Handmade *made = handmade("Orphans", text);
    GlnCanvas canvas;
    GlnPageOptions options = gln_page_defaults();
    lay_out(&canvas, made, &options);
    for (size_t i = 0; i < canvas.block_count; i++)
      if (strcmp(canvas.blocks[i].kind, "heading") == 0) {
        assert_true(i + 1 < canvas.block_count);
        assert_int_equal(canvas.blocks[i].page, canvas.blocks[i + 1].page);
      }
    gln_canvas_close(&canvas);
    handmade_free(made);
  }
}

/* The cautions stand together at the foot of the last page, however full it is. */
static void test_cautions_stay_together(void **state) {
  (void)state;
  static char text[32768];
  for (int lines = 1; lines <= 12; lines++) {
    text[0] = '\0';
    add_bars(text, sizeof text, 1, "[A] ");
    add_bars(text, sizeof text, (size_t)lines * 4, "Am@x02210 E7@020100 | ");
    Handmade *made = handmade("Care", text);
    GlnCanvas canvas;
    GlnPageOptions options = gln_page_defaults();
    lay_out(&canvas, made, &options);
    size_t cautions = 0;
    for (size_t i = 0; i < canvas.block_count; i++)
      if (strcmp(canvas.blocks[i].kind, "caution") == 0) {
        cautions++;
        assert_int_equal(canvas.blocks[i].page, canvas.page_count - 1);
      }
    assert_in_range(cautions, 2, 6);
    gln_canvas_close(&canvas);
    handmade_free(made);
  }
}

/* The measuring itself must see a fault. */
static void test_faults_are_seen(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnCanvas canvas;
  assert_int_equal(gln_canvas_open(&canvas, arena, 200, 200, 10), GLN_OK);
  gln_canvas_area(&canvas, (GlnBox){20, 20, 40, 40}, 0, 0, GLN_INK);
  gln_canvas_block(&canvas, "other", GLN_TEXT(""));
  gln_canvas_disc(&canvas, 45, 30, 4, 0, GLN_INK);
  assert_int_equal(page_faults(&canvas, 0), 0);
  gln_canvas_disc(&canvas, 43, 30, 4, 0, GLN_INK);
  assert_int_equal(page_faults(&canvas, 0), 1);
  (void)gln_canvas_words(&canvas, GLN_TEXT("out"), GLN_FACE_TEXT, 10, 195, 100, GLN_ALIGN_LEFT, GLN_INK);
  assert_int_equal(page_faults(&canvas, 0), 2);
  assert_int_equal(canvas.status, GLN_OK);
  gln_canvas_close(&canvas);
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_plain_song),
      cmocka_unit_test(test_same_grip_is_drawn_once_in_a_row),
      cmocka_unit_test(test_long_names_and_five_chord_bars),
      cmocka_unit_test(test_repeats_endings_meters_high_frets),
      cmocka_unit_test(test_text_in_any_script),
      cmocka_unit_test(test_nonsense_symbols_are_drawn_as_typed),
      cmocka_unit_test(test_two_hundred_bars),
      cmocka_unit_test(test_sixty_four_chords_in_a_bar),
      cmocka_unit_test(test_every_string_count),
      cmocka_unit_test(test_other_grips_when_it_comes_back),
      cmocka_unit_test(test_hard_changes),
      cmocka_unit_test(test_no_heading_alone),
      cmocka_unit_test(test_cautions_stay_together),
      cmocka_unit_test(test_faults_are_seen),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
