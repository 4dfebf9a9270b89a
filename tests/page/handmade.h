/* Charts and lines put together by hand, so that the page room is tested without the search for a line.
 *
 * A chart is a text of sections: "[A] |: Fmaj9@x8798x F13@1x123x | % :|3 1| Gm7@3x333x :| 2| C7@x3231x |".
 * Chords of a bar share its beats; "@frets" gives the grip, "=fingers" after it its fingers ("@x32233=x21134", one sign a
 * string, T the thumb; without them the easiest ones are looked up); "%" is a bar like the last; "|:" ":|" ":|3" repeats;
 * "1|" begins ending 1 of the bars that follow, until the next bar line that names another or a new section;
 * "m3/4" sets the meter from here. Each section is played once. Invented music. */
#ifndef GLN_TEST_HANDMADE_H
#define GLN_TEST_HANDMADE_H

#include "page_internal.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HANDMADE_BARS   4096
#define HANDMADE_EVENTS 20000

typedef struct Handmade {
  GlnArena *arena;
  GlnInstrument instrument;
  GlnChart chart;
  GlnSong song;
  GlnLine line;
  GlnEvent *events;
  size_t event_count;
  uint32_t endings;
  GlnMeter meter;
  bool repeat_starts;
} Handmade;

static inline GlnText handmade_word(GlnText *rest) {
  *rest = gln_text_trim(*rest);
  size_t end = 0;
  bool name = rest->length > 0 && rest->at[0] == '[';
  if (name)
    end = gln_text_find(*rest, GLN_TEXT("]"), 0) + 1;
  while (!name && end < rest->length && !gln_is_blank(rest->at[end]) && rest->at[end] != '\n')
    end++;
  GlnText word = gln_text_slice(*rest, 0, end);
  *rest = gln_text_from(*rest, end);
  return word;
}

static inline void handmade_event(Handmade *made, GlnText word) {
  assert_true(made->event_count < HANDMADE_EVENTS);
  GlnEvent *event = &made->events[made->event_count++];
  size_t at = gln_text_find(word, GLN_TEXT("@"), 0);
  event->symbol = gln_text_slice(word, 0, at);
  event->pin = at < word.length ? gln_text_from(word, at + 1) : GLN_TEXT("");
  if (gln_text_equal(event->symbol, GLN_TEXT("N.C.")))
    event->chord.silent = true;
  else if (gln_chord_parse(event->symbol, &event->chord, NULL) != GLN_OK)
    event->chord = (GlnChord){.quality = -1}; /* a nonsense symbol must still be drawn */
}

/* Ends a bar: its chords share the beats. */
static inline void handmade_bar(Handmade *made, GlnSection *section, size_t first, bool same, int16_t plays) {
  size_t count = made->event_count - first;
  if (count == 0 && !same)
    return;
  GlnBar *bar = &section->bars[section->bar_count++];
  *bar = (GlnBar){.events = &made->events[first],
                  .event_count = count,
                  .meter = made->meter,
                  .beats = gln_ratio(made->meter.beats, 1),
                  .repeat_starts = made->repeat_starts,
                  .repeat_plays = plays,
                  .endings = made->endings,
                  .same_as_last = same};
  made->repeat_starts = false;
  if (same) {
    assert_true(section->bar_count > 1);
    bar->events = bar[-1].events;
    bar->event_count = bar[-1].event_count;
    return;
  }
  for (size_t i = 0; i < count; i++) {
    made->events[first + i].beat = gln_ratio((int64_t)i * made->meter.beats, (int64_t)count);
    made->events[first + i].beats = gln_ratio(made->meter.beats, (int64_t)count);
  }
}

static inline void handmade_chart(Handmade *made, GlnText text) {
  GlnSection *section = NULL;
  size_t first = 0;
  bool same = false;
  for (GlnText word = handmade_word(&text); word.length > 0; word = handmade_word(&text)) {
    char head = word.at[0], tail = word.at[word.length - 1];
    bool closes = head == ':' || tail == '|' || gln_text_equal(word, GLN_TEXT("|:"));
    if (head == '[') {
      section = &made->chart.sections[made->chart.section_count++];
      *section = (GlnSection){.name = gln_text_slice(word, 1, word.length - 2),
                              .bars = GLN_NEW(made->arena, GlnBar, HANDMADE_BARS)};
      made->endings = 0;
      first = made->event_count;
      continue;
    }
    if (closes) {
      int16_t plays = head == ':' ? 2 : 0;
      if (head == ':' && gln_is_digit(tail))
        plays = (int16_t)(tail - '0');
      handmade_bar(made, section, first, same, plays);
      first = made->event_count;
      same = false;
      made->repeat_starts = gln_text_equal(word, GLN_TEXT("|:"));
      if (gln_is_digit(head))
        made->endings = UINT32_C(1) << (head - '0');
    } else if (head == '%') {
      same = true;
    } else if (head == 'm' && word.length > 3 && word.at[2] == '/') {
      made->meter = (GlnMeter){(int16_t)(word.at[1] - '0'), (int16_t)(word.at[3] - '0')};
    } else {
      handmade_event(made, word);
    }
  }
}

/* Fingers as given, and the barres they make: one finger on several strings of one fret. */
static inline void handmade_fingers(GlnText signs, GlnGrip *grip) {
  GlnFingering *fingering = &grip->fingering;
  assert_int_equal(signs.length, grip->frets.string_count);
  for (int s = 0; s < grip->frets.string_count; s++) {
    char sign = signs.at[s];
    fingering->finger[s] = sign == 'T' ? 5 : sign >= '1' && sign <= '4' ? (int8_t)(sign - '0') : 0;
  }
  for (int8_t finger = 1; finger <= 4; finger++) {
    GlnBarre barre = {.finger = finger, .low_string = -1};
    for (int8_t s = 0; s < grip->frets.string_count; s++)
      if (fingering->finger[s] == finger) {
        barre.low_string = barre.low_string < 0 ? s : barre.low_string;
        barre.high_string = s;
        barre.fret = grip->frets.fret[s];
      }
    if (barre.low_string >= 0 && barre.high_string > barre.low_string)
      fingering->barres[fingering->barre_count++] = barre;
  }
}

static inline void handmade_grip(const Handmade *made, GlnLineSlot *slot) {
  const GlnEvent *event = slot->slot->event;
  GlnHand hand = gln_hand(GLN_HAND_LARGE);
  slot->silent = event->pin.length == 0;
  if (slot->silent)
    return;
  slot->chord = &event->chord;
  GlnGrip *grip = &slot->grip;
  size_t given = gln_text_find(event->pin, GLN_TEXT("="), 0);
  assert_int_equal(gln_frets_parse(gln_text_slice(event->pin, 0, given), &grip->frets, NULL), GLN_OK);
  if (given < event->pin.length)
    handmade_fingers(gln_text_from(event->pin, given + 1), grip);
  else
    (void)!gln_fingering_find(&made->instrument, &hand, &grip->frets, &grip->fingering);
  for (int s = 0; s < grip->frets.string_count; s++) {
    grip->midi[s] = grip->tone[s] = -1;
    if (grip->frets.fret[s] == GLN_NOT_PLAYED)
      continue;
    grip->midi[s] = (int8_t)gln_sounding_midi(&made->instrument, s, grip->frets.fret[s]);
    grip->tone[s] = (int8_t)gln_chord_tone_of(&event->chord, grip->midi[s] % 12);
    grip->voices++;
  }
}

static inline void handmade_line(Handmade *made) {
  size_t count = 0;
  for (size_t s = 0; s < made->chart.section_count; s++)
    for (size_t b = 0; b < made->chart.sections[s].bar_count; b++)
      count += made->chart.sections[s].bars[b].event_count;
  GlnSlot *slots = GLN_NEW(made->arena, GlnSlot, count);
  GlnLine *line = &made->line;
  *line =
      (GlnLine){.song = &made->song, .slots = GLN_NEW(made->arena, GlnLineSlot, count), .slot_count = count};
  line->distinct = GLN_NEW(made->arena, size_t, count);
  line->tempo = made->chart.tempo;
  size_t at = 0;
  uint32_t bar = 0;
  GlnRatio start = gln_ratio(0, 1);
  for (size_t s = 0; s < made->chart.section_count; s++)
    for (size_t b = 0; b < made->chart.sections[s].bar_count; b++, bar++)
      for (size_t e = 0; e < made->chart.sections[s].bars[b].event_count; e++, at++) {
        const GlnEvent *event = &made->chart.sections[s].bars[b].events[e];
        GlnRatio quarters =
            gln_ratio_multiply(event->beats, gln_ratio(4, made->chart.sections[s].bars[b].meter.unit));
        slots[at] = (GlnSlot){.meter = made->chart.sections[s].bars[b].meter,
                              .beat = gln_ratio_add(event->beat, gln_ratio(1, 1)),
                              .section = (uint16_t)s,
                              .bar = bar + 1,
                              .written_bar = (uint32_t)b,
                              .start = start,
                              .beats = event->beats,
                              .quarters = quarters,
                              .written = (uint32_t)at,
                              .event = &made->chart.sections[s].bars[b].events[e]};
        start = gln_ratio_add(start, quarters);
        line->slots[at].slot = &slots[at];
        handmade_grip(made, &line->slots[at]);
        size_t before = gln_line_before(line, at);
        if (before != at && !line->slots[at].silent)
          line->slots[at].move =
              gln_move_between(&made->instrument, &line->slots[before].grip, &line->slots[at].grip);
        size_t same = 0;
        while (same < line->distinct_count &&
               !gln_frets_equal(&line->slots[line->distinct[same]].grip.frets, &line->slots[at].grip.frets))
          same++;
        line->slots[at].distinct = same;
        if (!line->slots[at].silent && same == line->distinct_count)
          line->distinct[line->distinct_count++] = at;
      }
  made->song = (GlnSong){.chart = &made->chart, .slots = slots, .slot_count = count, .written_count = count};
}

static inline Handmade *handmade(const char *title, const char *text) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  Handmade *made = GLN_NEW(arena, Handmade, 1);
  *made = (Handmade){.arena = arena, .instrument = gln_instrument_defaults(), .meter = {4, 4}};
  made->events = GLN_NEW(arena, GlnEvent, HANDMADE_EVENTS);
  made->chart = (GlnChart){.title = gln_text(title), .meter = {4, 4}, .tempo = 120};
  made->chart.sections = GLN_NEW(arena, GlnSection, 512);
  handmade_chart(made, gln_text(text));
  made->chart.form = GLN_NEW(arena, uint16_t, made->chart.section_count);
  for (size_t s = 0; s < made->chart.section_count; s++)
    made->chart.form[made->chart.form_count++] = (uint16_t)s;
  made->instrument.string_count = 6;
  handmade_line(made);
  return made;
}

/* The song as it is played in a feel, and what its harmony says: all that a sheet can show. */
static inline GlnSheetMatter handmade_matter(Handmade *made, const char *feel_name) {
  const GlnLine *line = &made->line;
  GlnSheetMatter matter = {.line = line, .instrument = &made->instrument};
  GlnHeld *held = GLN_NEW(made->arena, GlnHeld, line->slot_count);
  GlnStep *steps = GLN_NEW(made->arena, GlnStep, line->slot_count);
  GlnHand hand = gln_hand(GLN_HAND_LARGE);
  GlnDiags diags = gln_diags(made->arena);
  size_t count = 0;
  for (size_t i = 0; i < line->slot_count; i++) {
    const GlnSlot *slot = line->slots[i].slot;
    GlnRatio unit = gln_ratio(4, slot->meter.unit);
    bool nonsense = !slot->event->chord.silent && slot->event->chord.tone_count == 0;
    bool fits =
        line->slots[i].silent || line->slots[i].grip.frets.string_count == made->instrument.string_count;
    if (nonsense || !fits) /* what is no chord, or lies on other strings, cannot be played */
      return matter;
    held[count++] = (GlnHeld){.grip = line->slots[i].silent ? NULL : &line->slots[i].grip,
                              .chord = line->slots[i].silent ? NULL : &slot->event->chord,
                              .start = slot->start,
                              .quarters = slot->quarters,
                              .meter_beats = slot->meter.beats,
                              .meter_unit = slot->meter.unit,
                              .lift = {0, 1}};
    held[i].bar_start = gln_ratio_subtract(slot->start, gln_ratio_multiply(slot->event->beat, unit));
    steps[i] = (GlnStep){.chord = &slot->event->chord, .start = slot->start, .quarters = slot->quarters};
    steps[i].bar_starts = slot->event->beat.num == 0;
    steps[i].phrase_starts = i == 0 || line->slots[i - 1].slot->section != slot->section;
  }
  GlnFeelBook *book = NULL;
  const GlnFeel *feel = NULL;
  GlnPerformance *performance = NULL;
  assert_int_equal(gln_feel_book_open(made->arena, &book), GLN_OK);
  assert_int_equal(gln_feel_choose(book, gln_text(feel_name), 4, 4, &feel, NULL, NULL), GLN_OK);
  GlnPerformanceOptions options = {.instrument = &made->instrument,
                                   .hand = &hand,
                                   .book = book,
                                   .feel = gln_text(feel_name),
                                   .tempo = 120};
  assert_int_equal(gln_performance_make(&options, held, count, made->arena, &diags, &performance), GLN_OK);
  matter.performance = performance;
  matter.swing = gln_feel_swing_of(feel, &matter.pair);
  GlnAnalysis *analysis = NULL;
  GlnRemarks *remarks = GLN_NEW(made->arena, GlnRemarks, 1);
  GlnFamilies *families = GLN_NEW(made->arena, GlnFamilies, 1);
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, made->arena, &analysis), GLN_OK);
  assert_int_equal(gln_harmony_remark(steps, count, analysis, made->arena, remarks), GLN_OK);
  assert_int_equal(gln_families_find(steps, count, analysis->readings, made->arena, families), GLN_OK);
  GlnSheetFamily *shown = GLN_NEW(made->arena, GlnSheetFamily, families->count);
  for (size_t f = 0; f < families->count; f++) {
    size_t step = families->items[f].members[0], next = gln_next_step(steps, count, step);
    const GlnStandinPlace place = {.chord = steps[step].chord,
                                   .next = next < count ? steps[next].chord : NULL,
                                   .key = analysis->readings[step].key,
                                   .function = analysis->readings[step].function};
    GlnStandins standins;
    assert_int_equal(gln_standins_find(&place, made->arena, &standins), GLN_OK);
    const GlnStandin **offers = GLN_NEW(made->arena, const GlnStandin *, standins.count);
    shown[f] = (GlnSheetFamily){.family = &families->items[f], .offers = offers};
    for (size_t i = 0; i < standins.count && i < 3; i++)
      offers[shown[f].offer_count++] = &standins.items[i];
  }
  matter.analysis = analysis;
  matter.remarks = remarks;
  matter.families = shown;
  matter.family_count = families->count;
  return matter;
}

static inline void handmade_free(Handmade *made) {
  gln_arena_free(made->arena);
}

#endif
