/* What the tests of MusicXML share: a score from a literal, and what it reads as. */
#ifndef GLN_TESTS_MUSICXML_TEST_H
#define GLN_TESTS_MUSICXML_TEST_H

#include "interchange.h"
#include "song.h"

#include <string.h>

typedef struct Imported {
  GlnArena *arena;
  GlnDiags diags;
  GlnImport import;
  GlnStatus status;
} Imported;

static inline Imported import_text(GlnText bytes, bool melody) {
  Imported imported = {.arena = gln_arena_new(NULL, 0)};
  assert_non_null(imported.arena);
  imported.diags = gln_diags(imported.arena);
  const GlnMusicXmlWish wish = {.melody = melody};
  imported.status = gln_musicxml_read(bytes, &wish, imported.arena, &imported.diags, &imported.import);
  return imported;
}

/* Is it said somewhere, with this severity? */
static inline bool says(const Imported *imported, GlnSeverity severity, const char *words) {
  for (size_t i = 0; i < imported->diags.count; i++) {
    GlnText problem = imported->diags.items[i].problem;
    if (imported->diags.items[i].severity == severity &&
        gln_text_find(problem, gln_text(words), 0) < problem.length)
      return true;
  }
  return false;
}

static inline void drop(Imported *imported) {
  gln_arena_free(imported->arena);
}

/* The chart's lines below its headers. */
static inline const char *bars_of(const Imported *imported) {
  GlnText text = imported->import.chart;
  size_t at = 0;
  while (at < text.length && text.at[at] != '|' && text.at[at] != '[') {
    at = gln_text_find(text, GLN_TEXT("\n"), at) + 1;
  }
  char *copy = gln_text_copy(imported->arena, gln_text_from(text, at));
  assert_non_null(copy);
  return copy;
}

#define SCORE_HEAD                                                                                           \
  "<?xml version=\"1.0\"?><score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name/>"     \
  "</score-part></part-list><part id=\"P1\">"
#define SCORE_TAIL "</part></score-partwise>"
#define FOUR_FOUR                                                                                            \
  "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
#define CHORD(step, kind)                                                                                    \
  "<harmony><root><root-step>" step "</root-step></root><kind>" kind "</kind></harmony>"
#define REST(duration) "<note><rest/><duration>" duration "</duration></note>"
/* A bar of one major chord. */
#define BAR(step) "<measure>" CHORD(step, "major") REST("8") "</measure>"

/* The bars of a score in 4/4, two divisions a quarter, the first with its attributes. */
static inline Imported import_bars(const char *first, const char *rest) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnBuffer text = gln_buffer(arena);
  gln_buffer_format(&text, "%s<measure>%s%s</measure>%s%s", SCORE_HEAD, FOUR_FOUR, first, rest, SCORE_TAIL);
  Imported imported = import_text(gln_buffer_text(&text), false);
  /* The reader's text is the arena's own; what the test needs of the input is gone with it. */
  imported.import.placed = GLN_TEXT("");
  gln_arena_free(arena);
  return imported;
}

static inline void assert_bars(const char *first, const char *rest, const char *expected) {
  Imported imported = import_bars(first, rest);
  for (size_t i = 0; imported.status != GLN_OK && i < imported.diags.count; i++)
    print_error("%.*s\n", (int)imported.diags.items[i].problem.length, imported.diags.items[i].problem.at);
  assert_int_equal(imported.status, GLN_OK);
  assert_string_equal(bars_of(&imported), expected);
  GlnDiags faults = gln_diags(imported.arena);
  GlnChart *chart = NULL;
  assert_int_equal(gln_chart_read(imported.import.chart, imported.arena, &faults, &chart), GLN_OK);
  drop(&imported);
}

#endif
