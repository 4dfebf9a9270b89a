/* tune: a line of notes over a line of bars, and which of them sounds where a chord begins. */
#include "song_internal.h"

#include <stdlib.h>

/* ---- reading ---------------------------------------------------------------------------------------------- */

static bool is_line_sign(char c) {
  return c == '|' || c == ':';
}

static size_t skip(GlnText source, size_t at, size_t end) {
  size_t blank = 0;
  while (at < end && (blank = gln_blank_at(source, at)) > 0)
    at += blank;
  return at;
}

static bool all_slashes(GlnText word) {
  for (size_t i = 0; i < word.length; i++)
    if (word.at[i] != '/')
      return false;
  return true;
}

/* The pitch with this name nearest to the last note; of two as near, the higher. */
static GlnPitch nearest_pitch(GlnNote note, GlnPitch last) {
  GlnPitch best = {note, last.octave};
  for (int8_t octave = (int8_t)(last.octave - 1); octave <= last.octave + 1; octave++) {
    GlnPitch pitch = {note, octave};
    if (abs(gln_pitch_midi(pitch) - gln_pitch_midi(last)) <= abs(gln_pitch_midi(best) - gln_pitch_midi(last)))
      best = pitch;
  }
  return best;
}

static void note_read(GlnChartReader *reader, GlnText word, size_t offset, GlnTuneNote *note) {
  size_t used = 0;
  GlnNote name;
  note->kind = GLN_TUNE_REST;
  if (gln_text_equal(word, GLN_TEXT("-")))
    return;
  bool whole = gln_pitch_parse(word, &note->pitch) == GLN_OK;
  bool named = !whole && gln_note_parse(word, &name, &used) == GLN_OK && used == word.length;
  if (!whole && !named) {
    GLN_FAULT(reader, offset, word.length,
              "write notes as E5, F#5, Bb4, / to hold the note before and - for a rest",
              "\"%.*s\" is no note of a tune", GLN_SHOWN(word));
    return;
  }
  if (named && !reader->has_last_tune) {
    GLN_FAULT(reader, offset, word.length, "write it as E5; after it the nearest is meant",
              "the first note of a tune needs its octave");
    return;
  }
  if (named)
    note->pitch = nearest_pitch(name, reader->last_tune);
  int midi = gln_pitch_midi(note->pitch);
  if (midi < GLN_TUNE_MIDI_MIN || midi > GLN_TUNE_MIDI_MAX) {
    GLN_FAULT(reader, offset, word.length, "write a note from C1 to C8", "no tune on a guitar has this note");
    return;
  }
  note->kind = GLN_TUNE_NOTE;
  reader->last_tune = note->pitch;
  reader->has_last_tune = true;
}

typedef struct Marks {
  GlnTuneNote notes[GLN_TUNE_NOTES_MAX];
  int64_t marks[GLN_TUNE_NOTES_MAX];
  size_t count;
  int64_t total;
  bool slashes;
} Marks;

/* The notes between two bar lines. False past the limit. */
static bool marks_read(GlnChartReader *reader, size_t at, size_t end, Marks *marks) {
  GlnText source = reader->source;
  while ((at = skip(source, at, end)) < end) {
    size_t stop = at;
    while (stop < end && !gln_blank_at(source, stop))
      stop++;
    GlnText word = gln_text_between(source, at, stop);
    bool holds = all_slashes(word);
    marks->slashes = marks->slashes || holds;
    marks->total += holds ? (int64_t)word.length : 1;
    if (holds && marks->count > 0) {
      marks->marks[marks->count - 1] += (int64_t)word.length;
    } else if (marks->count == GLN_TUNE_NOTES_MAX) {
      gln_reader_limit(reader, at, stop - at, "notes in one bar of the tune", GLN_TUNE_NOTES_MAX);
      return false;
    } else {
      GlnTuneNote *note = &marks->notes[marks->count];
      *note = (GlnTuneNote){.kind = GLN_TUNE_HOLD, .offset = at, .length = stop - at};
      if (!holds)
        note_read(reader, word, at, note);
      marks->marks[marks->count++] = holds ? (int64_t)word.length : 1;
    }
    at = stop;
  }
  return true;
}

static void bar_read(GlnChartReader *reader, size_t at, size_t end, GlnBar *bar) {
  Marks marks;
  marks.count = 0;
  marks.total = 0;
  marks.slashes = false;
  if (!marks_read(reader, at, end, &marks) || marks.count == 0)
    return;
  int counts = gln_meter_counts(bar->meter);
  if (marks.slashes && (marks.total % counts != 0 || marks.total > GLN_BAR_MARKS_MAX)) {
    GLN_FAULT(reader, at, end - at,
              "each note and each / is one beat; without slashes the notes share the bar",
              "%lld beat%s of the tune in a bar of %d/%d", (long long)marks.total,
              marks.total == 1 ? "" : "s", bar->meter.beats, bar->meter.unit);
    return;
  }
  GlnTuneNote *notes = GLN_NEW(reader->arena, GlnTuneNote, marks.count);
  if (!notes) {
    reader->status = GLN_MEMORY;
    return;
  }
  GlnRatio mark = gln_ratio(bar->meter.beats, marks.total);
  int64_t before = 0;
  for (size_t i = 0; i < marks.count; i++) {
    notes[i] = marks.notes[i];
    notes[i].beat = gln_ratio_multiply(mark, gln_ratio(before, 1));
    notes[i].beats = gln_ratio_multiply(mark, gln_ratio(marks.marks[i], 1));
    before += marks.marks[i];
  }
  bar->tune = notes;
  bar->tune_count = marks.count;
}

/* ---- what sounds where a chord begins ------------------------------------------------------------------------- */

static const GlnTuneNote *note_at(const GlnBar *bar, GlnRatio beat) {
  for (size_t i = 0; i < bar->tune_count; i++)
    if (gln_ratio_compare(bar->tune[i].beat, beat) <= 0 &&
        gln_ratio_compare(beat, gln_ratio_add(bar->tune[i].beat, bar->tune[i].beats)) < 0)
      return &bar->tune[i];
  return NULL;
}

/* sounding: the note that a hold at the bar's start goes on, NULL for none. */
static void chords_find(GlnBar *bar, const GlnTuneNote *sounding) {
  GlnRatio late = gln_ratio_subtract(gln_ratio(bar->meter.beats, 1), bar->beats); /* a pick-up comes late */
  for (size_t e = 0; e < bar->event_count; e++) {
    GlnEvent *event = &bar->events[e];
    const GlnTuneNote *note = note_at(bar, gln_ratio_add(event->beat, late));
    const GlnTuneNote *heard = note != NULL && note->kind == GLN_TUNE_HOLD ? sounding : note;
    event->has_tune = heard != NULL && heard->kind == GLN_TUNE_NOTE && !event->chord.silent;
    if (!event->has_tune)
      continue;
    event->tune = heard->pitch;
    event->tune_offset = note->offset;
    event->tune_length = note->length;
  }
}

static const GlnTuneNote *last_note(const GlnSection *section, size_t bar) {
  while (bar > 0 && section->bars[bar - 1].tune_count == 1 &&
         section->bars[bar - 1].tune[0].kind == GLN_TUNE_HOLD)
    bar--;
  if (bar == 0 || section->bars[bar - 1].tune_count == 0)
    return NULL;
  return &section->bars[bar - 1].tune[section->bars[bar - 1].tune_count - 1];
}

/* ---- the line --------------------------------------------------------------------------------------------------- */

void gln_tune_line_settle(GlnChartReader *reader) {
  if (reader->tune_end > reader->tune_from)
    GLN_FAULT(reader, reader->tune_from, reader->tune_end - reader->tune_from,
              "write the line of bars that it is for right below it", "a tune without bars");
  reader->tune_from = reader->tune_end = 0;
}

/* One past the content that starts at the offset: the next bar line, or end. */
static size_t content_end(GlnText source, size_t at, size_t end) {
  while (at < end && !is_line_sign(source.at[at]))
    at++;
  return at;
}

static size_t line_sign_end(GlnText source, size_t at, size_t end) {
  while (at < end && is_line_sign(source.at[at]))
    at++;
  return at;
}

void gln_tune_read(GlnChartReader *reader, size_t first_bar) {
  GlnText source = reader->source;
  GlnSection *section = &reader->chart->sections[reader->chart->section_count - 1];
  size_t from = reader->tune_from, end = reader->tune_end, count = 0;
  reader->tune_from = reader->tune_end = 0;
  if (first_bar == 0)
    reader->has_last_tune = false;
  size_t at = skip(source, from + 1, end);
  if (at == end || !is_line_sign(source.at[at])) {
    GLN_FAULT(reader, from, end - from, "write it as ^ | E5 / D5 / | C5 |",
              "a line of the tune starts with ^ and a bar line");
    return;
  }
  size_t bars = section->bar_count - first_bar;
  at = line_sign_end(source, at, end);
  while (reader->status == GLN_OK && skip(source, at, end) < end) {
    size_t stop = content_end(source, at, end);
    if (count < bars)
      bar_read(reader, at, stop, &section->bars[first_bar + count]);
    count++;
    at = line_sign_end(source, stop, end);
  }
  if (count != bars || bars == 0)
    GLN_FAULT(reader, from, end - from, "give each bar its part between bar lines; it may be empty",
              "the tune has %zu bar%s, the line below it has %zu", count, count == 1 ? "" : "s", bars);
  for (size_t b = first_bar; b < section->bar_count; b++)
    chords_find(&section->bars[b], last_note(section, b));
}

/* ---- comparing and writing ---------------------------------------------------------------------------------------- */

static bool note_equal(const GlnTuneNote *a, const GlnTuneNote *b) {
  return a->kind == b->kind && gln_ratio_compare(a->beat, b->beat) == 0 &&
         gln_ratio_compare(a->beats, b->beats) == 0 &&
         (a->kind != GLN_TUNE_NOTE ||
          (gln_note_equal(a->pitch.note, b->pitch.note) && a->pitch.octave == b->pitch.octave));
}

bool gln_bar_tune_equal(const GlnBar *a, const GlnBar *b) {
  if (a->tune_count != b->tune_count)
    return false;
  for (size_t i = 0; i < a->tune_count; i++)
    if (!note_equal(&a->tune[i], &b->tune[i]))
      return false;
  return true;
}

static int64_t note_marks(const GlnBar *bar, const GlnTuneNote *note, int64_t total) {
  GlnRatio marks =
      gln_ratio_divide(gln_ratio_multiply(note->beats, gln_ratio(total, 1)), gln_ratio(bar->meter.beats, 1));
  return marks.den == 1 ? marks.num : 0;
}

/* The fewest marks in which every note has a whole number of them; 0 when that is too many. */
static int64_t marks_needed(const GlnBar *bar) {
  int counts = gln_meter_counts(bar->meter);
  for (int64_t total = counts; total <= GLN_BAR_MARKS_MAX; total += counts) {
    bool fits = true;
    for (size_t i = 0; fits && i < bar->tune_count; i++)
      fits = note_marks(bar, &bar->tune[i], total) > 0;
    if (fits)
      return total;
  }
  return 0;
}

/* Notes as long as each other, none held over from the bar before, need no slashes. */
static bool shares_evenly(const GlnBar *bar) {
  for (size_t i = 0; i < bar->tune_count; i++)
    if (bar->tune[i].kind == GLN_TUNE_HOLD || gln_ratio_compare(bar->tune[i].beats, bar->tune[0].beats) != 0)
      return false;
  return true;
}

static void note_print(const GlnTuneNote *note, GlnBuffer *out) {
  char pitch[GLN_NOTE_TEXT_MAX];
  if (note->kind == GLN_TUNE_NOTE) {
    (void)gln_pitch_print(note->pitch, GLN_SIGNS_ASCII, pitch);
    gln_buffer_add_string(out, pitch);
  } else {
    gln_buffer_add_string(out, note->kind == GLN_TUNE_REST ? "-" : "/");
  }
}

GlnStatus gln_bar_tune_print(const GlnBar *bar, GlnBuffer *out) {
  bool evenly = shares_evenly(bar);
  int64_t total = evenly ? (int64_t)bar->tune_count : marks_needed(bar);
  if (bar->tune_count > 0 && total == 0)
    return GLN_INPUT;
  for (size_t i = 0; i < bar->tune_count; i++) {
    int64_t marks = evenly ? 1 : note_marks(bar, &bar->tune[i], total);
    gln_buffer_add_byte(out, ' ');
    note_print(&bar->tune[i], out);
    for (int64_t m = 1; m < marks; m++)
      gln_buffer_add_string(out, " /");
  }
  return GLN_OK;
}
