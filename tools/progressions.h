/* progressions: one line of a table of chord progressions in Harte syntax, as a chart.
 *
 * A line is id, metre, tonic and bars, with tabs between. A bar is one chord for each of its beats, "." where the
 * chord before goes on; one chord alone fills the bar, two share it. "&pause" and "*" (no chord could be written
 * down) become N.C. A bar with any other number of beats is written in a meter of its own, so that nothing is lost. */
#ifndef GLN_TOOLS_PROGRESSIONS_H
#define GLN_TOOLS_PROGRESSIONS_H

#include "song.h"

typedef struct Progression {
  GlnText id, metre, tonic, bars;
  GlnMeter meter;
  GlnText fault; /* the label that could not be read */
} Progression;

/* The words of the text up to a separator; *text gets the rest. */
static inline GlnText progression_cut(GlnText *text, char separator) {
  size_t end = 0;
  while (end < text->length && text->at[end] != separator)
    end++;
  GlnText part = gln_text_trim(gln_text_slice(*text, 0, end));
  *text = gln_text_from(*text, end + 1);
  return part;
}

static inline bool progression_read(GlnText line, Progression *progression) {
  *progression = (Progression){.id = progression_cut(&line, '\t')};
  progression->metre = progression_cut(&line, '\t');
  progression->tonic = progression_cut(&line, '\t');
  progression->bars = gln_text_trim(line);
  return gln_meter_parse(progression->metre, &progression->meter) == GLN_OK;
}

static inline GlnStatus progression_chord(GlnText label, GlnChord *chord) {
  bool no_chord = gln_text_equal(label, GLN_TEXT("&pause")) || gln_text_equal(label, GLN_TEXT("*"));
  return gln_chord_parse_harte(no_chord ? GLN_TEXT("N") : label, chord, NULL);
}

/* Minor when the tonic carries more minor chords than others. */
static inline bool progression_is_minor(const Progression *progression) {
  GlnText rest = progression->bars;
  GlnNote tonic;
  size_t used = 0;
  long minor = 0;
  if (gln_note_parse(progression->tonic, &tonic, &used) != GLN_OK)
    return false;
  while (rest.length > 0) {
    GlnChord chord;
    GlnText label = progression_cut(&rest, ' ');
    if (progression_chord(label, &chord) != GLN_OK || chord.silent || !gln_note_equal(chord.root, tonic))
      continue;
    minor += gln_text_starts(gln_text_from(label, used), GLN_TEXT(":min")) ? 1 : -1;
  }
  return minor > 0;
}

/* Beats of the bar, and whether any of them goes on with the chord before. */
static inline size_t progression_beats(GlnText bar, bool *goes_on) {
  size_t beats = 0;
  *goes_on = false;
  while (bar.length > 0) {
    *goes_on = gln_text_equal(progression_cut(&bar, ' '), GLN_TEXT(".")) || *goes_on;
    beats++;
  }
  return beats;
}

static inline void progression_bar_write(Progression *progression, GlnText bar, GlnMeter *running,
                                         GlnBuffer *out) {
  bool goes_on = false;
  size_t beats = progression_beats(bar, &goes_on);
  size_t counts = (size_t)gln_meter_counts(progression->meter);
  GlnMeter meter = progression->meter;
  if (beats > 2 && beats != counts) {
    bool compound = counts != (size_t)meter.beats;
    meter.beats = (int16_t)(compound ? 3 * beats : beats);
  }
  if (!gln_meter_equal(meter, *running))
    gln_buffer_format(out, "%d/%d: ", meter.beats, meter.unit);
  *running = meter;
  for (size_t i = 0; i < beats; i++) {
    GlnText label = progression_cut(&bar, ' ');
    GlnChord chord;
    char symbol[GLN_SYMBOL_TEXT_MAX];
    bool slash = gln_text_equal(label, GLN_TEXT("."));
    if (slash && beats == 2 && counts != 2)
      continue; /* one chord that fills the bar */
    if (!slash && progression_chord(label, &chord) != GLN_OK) {
      progression->fault = label;
      return;
    }
    if (!slash)
      (void)gln_chord_print(&chord, GLN_SIGNS_ASCII, symbol);
    gln_buffer_add_string(out, i > 0 ? " " : "");
    gln_buffer_add_string(out, slash ? "/" : symbol);
  }
}

/* The chart; GLN_INPUT when a label cannot be read (progression->fault then names it). */
static inline GlnStatus progression_write(Progression *progression, GlnBuffer *out) {
  GlnText rest = progression->bars;
  GlnMeter running = progression->meter;
  size_t count = 0;
  gln_buffer_format(out, "title: Progression %.*s\n", (int)progression->id.length, progression->id.at);
  gln_buffer_format(out, "key: %.*s%s\n", (int)progression->tonic.length, progression->tonic.at,
                    progression_is_minor(progression) ? "m" : "");
  gln_buffer_format(out, "meter: %d/%d\n\n[song]\n", progression->meter.beats, progression->meter.unit);
  (void)progression_cut(&rest, '|');
  while (gln_text_trim(rest).length > 0 && progression->fault.length == 0) {
    GlnText bar = progression_cut(&rest, '|');
    gln_buffer_add_string(out, count > 0 && count % 4 == 0 ? "|\n| " : "| ");
    progression_bar_write(progression, bar, &running, out);
    gln_buffer_add_byte(out, ' ');
    count++;
  }
  gln_buffer_add_string(out, "|\n");
  GLN_TRY(gln_buffer_status(out));
  return progression->fault.length > 0 ? GLN_INPUT : GLN_OK;
}

#endif
