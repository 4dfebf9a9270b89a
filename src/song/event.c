/* event: one chord as written in a bar, with its pinned grip and its top note. */
#include "song_internal.h"

#include <stdio.h>

static bool frets_spelled(GlnText pin) {
  for (size_t i = 0; i < pin.length; i++) {
    char c = pin.at[i];
    if (!gln_is_digit(c) && c != 'x' && c != 'X' && c != '-')
      return false;
  }
  return pin.length > 0;
}

static void pin_read(GlnChartReader *reader, size_t at, size_t end, GlnEvent *event) {
  GlnText pin = gln_text_between(reader->source, at + 1, end);
  if (event->pin.length > 0)
    GLN_FAULT(reader, at, end - at, "keep one of the two", "a second pinned grip on one chord");
  else if (!frets_spelled(pin))
    GLN_FAULT(reader, at, end - at, "after @ come the frets, lowest string first: @x32010, or @x-8-10-9-10-x",
              "\"%.*s\" is not a grip", GLN_SHOWN(pin));
  else {
    event->pin = pin;
    event->pin_offset = at + 1;
  }
}

/* A note with or without octave, and nothing after it. */
static bool top_parse(GlnText text, GlnPitch *top, bool *has_octave) {
  size_t used = 0;
  *has_octave = gln_pitch_parse(text, top) == GLN_OK;
  if (*has_octave)
    return true;
  *top = (GlnPitch){0};
  return gln_note_parse(text, &top->note, &used) == GLN_OK && used == text.length;
}

static void top_read(GlnChartReader *reader, size_t at, size_t end, GlnEvent *event) {
  GlnText text = gln_text_between(reader->source, at + 1, end);
  GlnPitch top;
  bool has_octave = false;
  if (event->has_top)
    GLN_FAULT(reader, at, end - at, "keep one of the two", "a second top note on one chord");
  else if (!top_parse(text, &top, &has_octave))
    GLN_FAULT(reader, at, end - at, "after ^ comes the note on top: ^E or ^E4", "\"%.*s\" is not a note",
              GLN_SHOWN(text));
  else {
    event->has_top = true;
    event->top = top;
    event->top_has_octave = has_octave;
    event->top_offset = at + 1;
  }
}

static bool text_is_clean(GlnText text) {
  for (size_t i = 0; i < text.length; i++)
    if ((unsigned char)text.at[i] < 0x20 || text.at[i] == 0x7F)
      return false;
  return gln_text_bad_utf8(text) == text.length;
}

static void symbol_read(GlnChartReader *reader, size_t offset, GlnEvent *event) {
  GlnSymbolFault fault = {0};
  GlnText symbol = event->symbol;
  if (!text_is_clean(symbol))
    return; /* told already, with the bytes */
  if (gln_chord_parse(symbol, &event->chord, &fault) == GLN_OK)
    return;
  event->chord = (GlnChord){.silent = true};
  char advice[GLN_SYMBOL_TEXT_MAX + 32] = "write the chord by its letter first, as in Dm7, G13, C7b9";
  if (fault.nearest[0])
    (void)snprintf(advice, sizeof advice, "did you mean %s?", fault.nearest);
  size_t at = offset + (fault.offset < symbol.length ? fault.offset : symbol.length - 1);
  size_t length = fault.length > 0 ? fault.length : 1;
  GLN_FAULT(reader, at, length, advice, "%.*s is no chord symbol: %s", GLN_SHOWN(symbol), fault.problem);
}

void gln_event_read(GlnChartReader *reader, size_t offset, size_t length, GlnEvent *event) {
  GlnText source = reader->source;
  size_t end = offset + length;
  size_t at = offset;
  while (at < end && source.at[at] != '@' && source.at[at] != '^')
    at++;
  *event = (GlnEvent){.symbol = gln_text_between(source, offset, at),
                      .chord = {.silent = true},
                      .offset = offset,
                      .length = length};
  if (event->symbol.length == 0)
    GLN_FAULT(reader, offset, length, "write the chord first, as in Am7@x02010",
              "a %s without a chord before it", source.at[offset] == '@' ? "pinned grip" : "top note");
  else
    symbol_read(reader, offset, event);
  while (at < end) {
    size_t next = at + 1;
    while (next < end && source.at[next] != '@' && source.at[next] != '^')
      next++;
    if (source.at[at] == '@')
      pin_read(reader, at, next, event);
    else
      top_read(reader, at, next, event);
    at = next;
  }
}

bool gln_event_sounds_equal(const GlnEvent *a, const GlnEvent *b) {
  if (a->chord.silent != b->chord.silent || (!a->chord.silent && !gln_chord_equal(&a->chord, &b->chord)))
    return false;
  if (!gln_text_equal(a->pin, b->pin) || a->has_top != b->has_top)
    return false;
  if (!a->has_top)
    return true;
  return gln_note_equal(a->top.note, b->top.note) && a->top_has_octave == b->top_has_octave &&
         (!a->top_has_octave || a->top.octave == b->top.octave);
}

bool gln_event_equal(const GlnEvent *a, const GlnEvent *b) {
  return gln_event_sounds_equal(a, b) && gln_ratio_compare(a->beat, b->beat) == 0 &&
         gln_ratio_compare(a->beats, b->beats) == 0;
}

/* A symbol that would be read back as one word of a bar. */
static bool symbol_is_one_word(GlnText symbol) {
  for (size_t i = 0; i < symbol.length; i++)
    if (gln_blank_at(symbol, i) || symbol.at[i] == '|' || symbol.at[i] == '@' || symbol.at[i] == '^' ||
        symbol.at[i] == '\n' || symbol.at[i] == '\r')
      return false;
  return symbol.length > 0 && symbol.at[0] != '#' && symbol.at[0] != '/' &&
         symbol.at[symbol.length - 1] != ':';
}

static void symbol_print(const GlnEvent *event, GlnBuffer *out) {
  GlnChord typed;
  if (symbol_is_one_word(event->symbol) && gln_chord_parse(event->symbol, &typed, NULL) == GLN_OK &&
      typed.silent == event->chord.silent && (typed.silent || gln_chord_equal(&typed, &event->chord))) {
    gln_buffer_add(out, event->symbol);
    return;
  }
  char symbol[GLN_SYMBOL_TEXT_MAX];
  (void)gln_chord_print(&event->chord, GLN_SIGNS_ASCII, symbol);
  gln_buffer_add_string(out, event->chord.silent ? "N.C." : symbol);
}

void gln_event_print(const GlnEvent *event, GlnBuffer *out) {
  symbol_print(event, out);
  if (event->pin.length > 0) {
    gln_buffer_add_byte(out, '@');
    gln_buffer_add(out, event->pin);
  }
  if (!event->has_top)
    return;
  char top[GLN_NOTE_TEXT_MAX];
  if (event->top_has_octave)
    (void)gln_pitch_print(event->top, GLN_SIGNS_ASCII, top);
  else
    (void)gln_note_print(event->top.note, GLN_SIGNS_ASCII, top);
  gln_buffer_add_byte(out, '^');
  gln_buffer_add_string(out, top);
}
