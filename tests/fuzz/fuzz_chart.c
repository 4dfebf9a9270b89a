/* Any bytes as a chart: read, played, written as typed and tidied, and read again.
 * What reads well comes back byte for byte; tidied it is the same music, and tidying it again changes nothing. */
#include "song.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

static GlnText write_chart(const GlnChart *chart, bool tidy, GlnArena *arena) {
  GlnBuffer out = gln_buffer(arena);
  must((tidy ? gln_chart_write_tidy(chart, &out) : gln_chart_write(chart, &out)) == GLN_OK);
  return gln_buffer_text(&out);
}

static GlnChart *read_again(GlnText text, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  must(gln_chart_read(text, arena, &diags, &chart) == GLN_OK);
  return chart;
}

static void check_tidy(const GlnChart *chart, GlnArena *arena) {
  GlnText tidy = write_chart(chart, true, arena);
  GlnChart *again = read_again(tidy, arena);
  must(gln_chart_equal(chart, again));
  must(gln_text_equal(write_chart(again, true, arena), tidy));
}

/* Every chord a whole tone up, written, read: the same music again. */
static void check_changed(GlnChart *chart, GlnArena *arena) {
  for (size_t s = 0; s < chart->section_count; s++)
    for (size_t b = 0; b < chart->sections[s].bar_count; b++)
      for (size_t e = 0; e < chart->sections[s].bars[b].event_count; e++) {
        GlnChord *chord = &chart->sections[s].bars[b].events[e].chord;
        if (chord->silent || chord->root.accidental != 0)
          continue;
        *chord = gln_chord_transpose(chord, (GlnNote){0, 0}, (GlnNote){1, 0});
      }
  must(gln_chart_equal(chart, read_again(write_chart(chart, false, arena), arena)));
}

/* Slots follow each other without gaps and fill the song. */
static void check_song(const GlnChart *chart, GlnArena *arena) {
  GlnDiags diags = gln_diags(arena);
  GlnSong *song = NULL;
  GlnStatus status = gln_song_play(chart, arena, &diags, &song);
  must(status == GLN_OK || (status == GLN_LIMIT && diags.error_count == 1));
  if (status != GLN_OK)
    return;
  GlnRatio at = gln_ratio(0, 1);
  for (size_t i = 0; i < song->slot_count; i++) {
    must(gln_ratio_compare(song->slots[i].start, at) == 0 && song->slots[i].written < song->written_count);
    at = gln_ratio_add(at, song->slots[i].quarters);
  }
  must(gln_ratio_compare(at, song->quarters) == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  if (size > 8192)
    return 0; /* small inputs find more; the limits have tests of their own */
  GlnArena *arena = gln_arena_new(NULL, 0);
  if (!arena)
    return 0;
  GlnText source = {(const char *)data, size};
  GlnDiags diags = gln_diags(arena);
  GlnChart *chart = NULL;
  GlnStatus status = gln_chart_read(source, arena, &diags, &chart);
  must(status == GLN_OK || diags.error_count > 0);
  if (status == GLN_OK) {
    must(gln_text_equal(write_chart(chart, false, arena), source));
    check_song(chart, arena);
    check_tidy(chart, arena);
    check_changed(chart, arena);
  } else if (status == GLN_INPUT) {
    GlnDiags more = gln_diags(arena);
    GlnSong *song = NULL;
    must(gln_song_play(chart, arena, &more, &song) != GLN_MEMORY);
    GlnBuffer out = gln_buffer(arena);
    must(gln_chart_write(chart, &out) != GLN_MEMORY);
  }
  gln_arena_free(arena);
  return 0;
}
