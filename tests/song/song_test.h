/* What the tests of the song room share: reading a chart from a literal, and its messages as text. */
#ifndef GLN_TESTS_SONG_TEST_H
#define GLN_TESTS_SONG_TEST_H

#include "song.h"

#include <string.h>

typedef struct Read {
  GlnArena *arena;
  GlnDiags diags;
  GlnChart *chart;
  GlnStatus status;
} Read;

static inline Read read_text(GlnArena *arena, GlnText source) {
  Read read = {.arena = arena, .diags = gln_diags(arena)};
  read.status = gln_chart_read(source, arena, &read.diags, &read.chart);
  return read;
}

static inline Read read_string(GlnArena *arena, const char *source) {
  return read_text(arena, gln_text(source));
}

/* "line:column severity problem" of each message, one a line, in order of place as people are shown them. */
static inline const char *told(const Read *read) {
  static const char *const severities[] = {"note", "warning", "error"};
  GlnBuffer out = gln_buffer(read->arena);
  const GlnDiag *items = read->diags.items;
  bool *done = GLN_NEW(read->arena, bool, read->diags.count);
  for (size_t k = 0; k < read->diags.count; k++) {
    size_t next = read->diags.count;
    for (size_t i = 0; i < read->diags.count; i++) {
      if (!done[i] &&
          (next == read->diags.count ||
           (items[next].has_place && (!items[i].has_place || items[i].offset < items[next].offset))))
        next = i;
    }
    done[next] = true;
    GlnPlace place = gln_text_place(read->chart->source, items[next].offset);
    if (items[next].has_place)
      gln_buffer_format(&out, "%zu:%zu ", place.line, place.column);
    gln_buffer_format(&out, "%s %.*s\n", severities[items[next].severity], (int)items[next].problem.length,
                      items[next].problem.at);
  }
  gln_buffer_add_byte(&out, '\0');
  return gln_buffer_text(&out).at;
}

static inline void assert_reads(const Read *read) {
  if (read->status != GLN_OK)
    print_error("%s", told(read));
  assert_int_equal(read->status, GLN_OK);
}

static inline Read read_well(GlnArena *arena, const char *source) {
  Read read = read_string(arena, source);
  assert_reads(&read);
  return read;
}

static inline GlnSong *play_well(const Read *read) {
  GlnSong *song = NULL;
  GlnDiags diags = gln_diags(read->arena);
  assert_int_equal(gln_song_play(read->chart, read->arena, &diags, &song), GLN_OK);
  assert_int_equal(diags.count, 0);
  return song;
}

/* The slots as "bar.beat symbol*beats" with a blank between. */
static inline const char *played(const GlnSong *song, GlnArena *arena) {
  GlnBuffer out = gln_buffer(arena);
  for (size_t i = 0; i < song->slot_count; i++) {
    const GlnSlot *slot = &song->slots[i];
    gln_buffer_format(&out, "%s%u.", i ? " " : "", slot->bar);
    gln_buffer_add_ratio(&out, slot->beat);
    gln_buffer_add_byte(&out, ' ');
    gln_buffer_add(&out, slot->event->symbol);
    gln_buffer_add_byte(&out, '*');
    gln_buffer_add_ratio(&out, slot->beats);
  }
  gln_buffer_add_byte(&out, '\0');
  return gln_buffer_text(&out).at;
}

/* Symbols alone, in playing order. */
static inline const char *order_of(const GlnSong *song, GlnArena *arena) {
  GlnBuffer out = gln_buffer(arena);
  for (size_t i = 0; i < song->slot_count; i++) {
    if (i)
      gln_buffer_add_byte(&out, ' ');
    gln_buffer_add(&out, song->slots[i].event->symbol);
  }
  gln_buffer_add_byte(&out, '\0');
  return gln_buffer_text(&out).at;
}

static inline const char *written(const GlnChart *chart, GlnArena *arena, bool tidy) {
  GlnBuffer out = gln_buffer(arena);
  assert_int_equal(tidy ? gln_chart_write_tidy(chart, &out) : gln_chart_write(chart, &out), GLN_OK);
  gln_buffer_add_byte(&out, '\0');
  return gln_buffer_text(&out).at;
}

static inline int arena_setup(void **state) {
  *state = gln_arena_new(NULL, 0);
  return *state ? 0 : -1;
}

static inline int arena_teardown(void **state) {
  gln_arena_free(*state);
  return 0;
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, arena_setup, arena_teardown)

#endif
