/* The plan and the progress on paper: the same bytes each time, new grips as diagrams, items named for those who do not
 * see the picture. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "handmade.h"

#include <math.h>

static const char song[] = "[A] C@x32010=x32010 Am@x02210=x02310 | F@133211=134211 G@320003=320004 | ";

/* The four grips of the song, the move into the second, and its two bars. */
static const uint32_t first_bar[] = {0, 4, 1}, second_bar[] = {2, 3};
static GlnPlan *plan_of(const Handmade *made, GlnMaterial *material, GlnStrain strain) {
  static GlnStudyItem items[5];
  static GlnStudyBar bars[2];
  static const GlnText section = GLN_TEXT_INIT("A");
  static const char *const names[] = {"C x32010", "Am x02210", "F 133211", "G 320003"};
  for (size_t i = 0; i < 4; i++) {
    items[i] = (GlnStudyItem){.kind = GLN_ITEM_GRIP,
                              .key = gln_text(names[i]),
                              .name = gln_text(names[i]),
                              .difficulty = 0.2,
                              .tempo = INFINITY,
                              .slot = i,
                              .bar = (uint32_t)i / 2 + 1};
    items[i].shape.frets = made->line.slots[i].grip.frets;
    memcpy(items[i].shape.finger, made->line.slots[i].grip.fingering.finger, sizeof items[i].shape.finger);
  }
  items[4] = (GlnStudyItem){.kind = GLN_ITEM_MOVE,
                            .key = GLN_TEXT("move"),
                            .name = GLN_TEXT("C to Am"),
                            .from = 0,
                            .to = 1,
                            .difficulty = 0.2,
                            .tempo = 90,
                            .slot = 1,
                            .bar = 1,
                            .beat = 3,
                            .uses = 1};
  bars[0] = (GlnStudyBar){.number = 1, .items = first_bar, .item_count = 3};
  bars[1] = (GlnStudyBar){.number = 2, .items = second_bar, .item_count = 2};
  *material = (GlnMaterial){.title = GLN_TEXT("Made by hand"),
                            .tempo = 120,
                            .items = items,
                            .item_count = 5,
                            .grip_count = 4,
                            .bars = bars,
                            .bar_count = 2,
                            .sections = &section,
                            .section_count = 1};
  GlnPlanOptions options = gln_plan_defaults(20000);
  options.strain = strain;
  GlnPlan *plan = NULL;
  assert_int_equal(gln_study_plan_make(material, NULL, &options, made->arena, &plan), GLN_OK);
  return plan;
}

static GlnBuffer write_plan(const Handmade *made, const GlnPlan *plan, GlnPageFormat format) {
  GlnBuffer out = gln_buffer(made->arena);
  GlnDiags diags = gln_diags(made->arena);
  GlnPageOptions options = gln_page_defaults();
  assert_int_equal(gln_plan_sheet_write(plan, &made->line, &made->instrument, &options, format, &out, &diags),
                   GLN_OK);
  return out;
}

static bool holds(const GlnBuffer *buffer, const char *words) {
  return gln_text_find(gln_buffer_text(buffer), gln_text(words), 0) < buffer->length;
}

static void test_plan(void **state) {
  (void)state;
  Handmade *made = handmade("Made by hand", song);
  GlnMaterial material;
  const GlnPlan *plan = plan_of(made, &material, GLN_STRAIN_NONE);
  for (int format = GLN_PAGE_PDF; format <= GLN_PAGE_PNG; format++) {
    GlnBuffer once = write_plan(made, plan, (GlnPageFormat)format),
              twice = write_plan(made, plan, (GlnPageFormat)format);
    assert_true(once.length > 1000);
    assert_true(gln_text_equal(gln_buffer_text(&once), gln_buffer_text(&twice)));
  }
  GlnBuffer svg = write_plan(made, plan, GLN_PAGE_SVG);
  assert_true(holds(&svg, "string 5 fret 3")); /* a diagram of C, in words */
  GlnBuffer hurt = write_plan(made, plan_of(made, &material, GLN_STRAIN_PAIN), GLN_PAGE_SVG);
  assert_false(holds(&hurt, "string 5 fret 3")); /* nothing new */
  handmade_free(made);
}

static void test_progress(void **state) {
  (void)state;
  Handmade *made = handmade("Made by hand", song);
  GlnMaterial material;
  (void)plan_of(made, &material, GLN_STRAIN_NONE);
  const GlnPractice practices[] = {{.kind = GLN_ITEM_GRIP,
                                    .key = GLN_TEXT("C x32010"),
                                    .day = 19990,
                                    .rating = GLN_RATING_GOOD,
                                    .tempo = 60},
                                   {.kind = GLN_ITEM_GRIP,
                                    .key = GLN_TEXT("C x32010"),
                                    .day = 19995,
                                    .rating = GLN_RATING_GOOD,
                                    .tempo = 80}};
  GlnProgress progress;
  assert_int_equal(gln_progress_make(&material, practices, 2, 20000, made->arena, &progress), GLN_OK);
  GlnPageOptions options = gln_page_defaults();
  for (int format = GLN_PAGE_PDF; format <= GLN_PAGE_PNG; format++) {
    GlnBuffer once = gln_buffer(made->arena), twice = gln_buffer(made->arena);
    GlnDiags diags = gln_diags(made->arena);
    assert_int_equal(gln_progress_page_write(&progress, &options, (GlnPageFormat)format, &once, &diags),
                     GLN_OK);
    assert_int_equal(gln_progress_page_write(&progress, &options, (GlnPageFormat)format, &twice, &diags),
                     GLN_OK);
    assert_true(gln_text_equal(gln_buffer_text(&once), gln_buffer_text(&twice)));
    if (format == GLN_PAGE_SVG)
      assert_true(holds(&once, "1. C x32010: shaky") && holds(&once, "4. G 320003: untouched"));
  }
  handmade_free(made);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_plan), cmocka_unit_test(test_progress)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
