/* Songs for tests, made without the chart reader: "Dm7 G7 Cmaj7@x32000 E7^E5 N.C.", one chord every so many quarters,
 * each written once; song_form plays sections of it. */
#ifndef SONG_OF_H
#define SONG_OF_H

#include "route.h"

#include <string.h>

typedef struct MadeSong {
  GlnSong song;
  GlnChart chart;
} MadeSong;

static inline void read_event(GlnText source, GlnText word, GlnEvent *event) {
  size_t pin = gln_text_find(word, GLN_TEXT("@"), 0), top = gln_text_find(word, GLN_TEXT("^"), 0);
  event->offset = (size_t)(word.at - source.at);
  event->length = word.length;
  event->symbol = gln_text_slice(word, 0, pin < top ? pin : top);
  event->chord.silent = gln_text_equal(event->symbol, GLN_TEXT("N.C."));
  GlnSymbolFault fault;
  if (!event->chord.silent)
    assert_int_equal(gln_chord_parse(event->symbol, &event->chord, &fault), GLN_OK);
  event->pin = gln_text_from(word, pin + 1);
  event->pin_offset = event->offset + pin + 1;
  event->has_top = top < word.length;
  event->top_offset = event->offset + top + 1;
  if (event->has_top && gln_pitch_parse(gln_text_from(word, top + 1), &event->top) == GLN_OK)
    event->top_has_octave = true;
  else if (event->has_top)
    assert_int_equal(gln_note_parse(gln_text_from(word, top + 1), &event->top.note, &(size_t){0}), GLN_OK);
}

/* The chords of text, each held for so many quarter notes, then played in the order of form: pairs of first chord and
 * count, ended by a count of 0; NULL plays each once. */
static inline const GlnSong *song_of(GlnArena *arena, const char *text, int quarters,
                                     const size_t (*form)[2]) {
  GlnText source = gln_text(text);
  GlnEvent *events = GLN_NEW(arena, GlnEvent, source.length);
  MadeSong *made = GLN_NEW(arena, MadeSong, 1);
  assert_non_null(events);
  assert_non_null(made);
  size_t count = 0;
  for (size_t at = 0; at < source.length;) {
    size_t end = gln_text_find(source, GLN_TEXT(" "), at);
    if (end > at)
      read_event(source, gln_text_slice(source, at, end - at), &events[count++]);
    at = end + 1;
  }
  const size_t whole[2][2] = {{0, count}, {0, 0}};
  form = form != NULL ? form : whole;
  size_t slots = 0;
  for (size_t f = 0; form[f][1] > 0; ++f)
    slots += form[f][1];
  made->song.slots = GLN_NEW(arena, GlnSlot, slots);
  assert_non_null(made->song.slots);
  for (size_t f = 0; form[f][1] > 0; ++f)
    for (size_t i = 0; i < form[f][1]; ++i) {
      GlnSlot *slot = &made->song.slots[made->song.slot_count];
      slot->event = &events[form[f][0] + i];
      slot->written = (uint32_t)(form[f][0] + i);
      slot->start = gln_ratio((int64_t)(made->song.slot_count * (size_t)quarters), 1);
      slot->quarters = gln_ratio(quarters, 1);
      slot->bar = (uint32_t)made->song.slot_count + 1;
      ++made->song.slot_count;
    }
  made->chart.source = source;
  made->chart.tempo = 120;
  made->song.chart = &made->chart;
  made->song.written_count = count;
  return &made->song;
}

#endif
