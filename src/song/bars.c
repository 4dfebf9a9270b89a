/* bars: lines of bars, from bar line to bar line, into the section being read. */
#include "song_internal.h"

#include <stdio.h>
#include <string.h>

/* ---- where things stop ------------------------------------------------------------------------------------
 */

static bool bar_line_at(GlnText source, size_t at, size_t end) {
  return at < end &&
         (source.at[at] == '|' || (source.at[at] == ':' && at + 1 < end && source.at[at + 1] == '|'));
}

static size_t skip_blanks(GlnText source, size_t at, size_t end) {
  size_t blank = 0;
  while (at < end && (blank = gln_blank_at(source, at)) > 0)
    at += blank;
  return at;
}

/* One past the parenthesis that closes the one at the offset, in the same bar; 0 when none does. */
static size_t parenthesis_end(GlnText source, size_t at, size_t end) {
  for (; at < end && source.at[at] != '|'; at++)
    if (source.at[at] == ')')
      return at + 1;
  return 0;
}

/* End of the word at the offset: a blank or a bar line, but blanks inside parentheses belong to the symbol.
 */
static size_t word_end(GlnText source, size_t at, size_t end) {
  bool may_close = true; /* once one does not, none after it in this bar does */
  while (at < end && !gln_blank_at(source, at) && !bar_line_at(source, at, end)) {
    bool opens = may_close && source.at[at] == '(';
    size_t closed = opens ? parenthesis_end(source, at, end) : 0;
    may_close = may_close && (!opens || closed);
    at = closed ? closed : at + 1;
  }
  return at;
}

size_t gln_comment_find(GlnText source, size_t offset, size_t end) {
  size_t at = offset;
  bool after_blank = true;
  size_t no_parenthesis = 0; /* up to here none closes: looked once, not again for every "(" */
  while (at < end) {
    size_t blank = gln_blank_at(source, at);
    if (source.at[at] == '#' && after_blank)
      return at;
    size_t closed = 0;
    if (source.at[at] == '(' && at >= no_parenthesis) {
      closed = parenthesis_end(source, at, end);
      if (!closed)
        no_parenthesis = gln_text_find(source, GLN_TEXT("|"), at);
    }
    after_blank = blank > 0 || source.at[at] == '|';
    at = closed ? closed : at + (blank ? blank : 1);
  }
  return end;
}

/* ---- bar lines
 * ----------------------------------------------------------------------------------------------- */

/* Digits as a small number; 0 when there are none or too many. */
static int digits_read(GlnText source, size_t *at, size_t end) {
  int value = 0;
  while (*at < end && gln_is_digit(source.at[*at])) {
    value = value < 1000 ? value * 10 + (source.at[*at] - '0') : 1000;
    (*at)++;
  }
  return value;
}

static void plays_read(GlnChartReader *reader, size_t *at, size_t end, GlnBarLine *line) {
  GlnText rest = gln_text_between(reader->source, *at, end);
  size_t sign = gln_text_starts(rest, GLN_TEXT("x")) || gln_text_starts(rest, GLN_TEXT("X")) ? 1 : 0;
  if (gln_text_starts(rest, GLN_TEXT("\xC3\x97"))) /* × */
    sign = 2;
  if (!sign || rest.length <= sign || !gln_is_digit(rest.at[sign]))
    return;
  size_t offset = *at;
  *at += sign;
  line->plays = digits_read(reader->source, at, end);
  if (line->plays >= 2 && line->plays <= GLN_REPEAT_PLAYS_MAX)
    return;
  GLN_FAULT(reader, offset, *at - offset, "write how often it is played in all, from x2 to x99",
            "a repeat cannot be played so often");
  line->plays = 0;
}

static uint32_t endings_bits(int from, int to) {
  uint32_t bits = 0;
  for (int n = from; n <= to; n++)
    bits |= UINT32_C(1) << n;
  return bits;
}

/* "1", "1,3", "1-3" right after a bar line and before a blank. Leaves *at alone when there is none. */
static void endings_read(GlnChartReader *reader, size_t *at, size_t end, GlnBarLine *line) {
  GlnText source = reader->source;
  size_t stop = *at;
  while (stop < end && (gln_is_digit(source.at[stop]) || source.at[stop] == ',' || source.at[stop] == '-'))
    stop++;
  bool ends = stop == end || gln_blank_at(source, stop) > 0;
  if (stop == *at || !gln_is_digit(source.at[*at]) || !ends)
    return;
  size_t offset = *at;
  bool good = true;
  while (good && *at < stop) {
    int from = digits_read(source, at, stop);
    int to = from;
    if (*at < stop && source.at[*at] == '-') {
      (*at)++;
      to = digits_read(source, at, stop);
    }
    good = from >= 1 && to >= from && to <= GLN_ENDINGS_MAX;
    if (good)
      line->endings |= endings_bits(from, to);
    if (*at < stop && source.at[*at] == ',')
      (*at)++;
    else
      good = good && *at == stop;
  }
  *at = stop;
  reader->repeats_unsure = reader->repeats_unsure || !good;
  if (!good)
    GLN_FAULT(reader, offset, stop - offset, "number the endings from 1 to 31, as in |1 or |1,3 or |1-3",
              "\"%.*s\" numbers no ending", GLN_SHOWN(gln_text_between(source, offset, stop)));
}

/* "|" or "||" and nothing more. */
static bool bar_line_is_plain(GlnText source, size_t at, size_t end) {
  if (source.at[at] != '|')
    return false;
  while (at < end && source.at[at] == '|')
    at++;
  return at == end || (source.at[at] != ':' && !gln_is_digit(source.at[at]));
}

static GlnBarLine bar_line_read(GlnChartReader *reader, size_t *at, size_t end) {
  GlnText source = reader->source;
  GlnBarLine line = {.seen = true, .offset = *at};
  size_t bars = 0;
  if (source.at[*at] == ':') {
    line.closes = true;
    (*at)++;
  }
  for (; *at < end && source.at[*at] == '|'; (*at)++)
    bars++;
  line.is_double = bars > 1;
  if (*at < end && source.at[*at] == ':') {
    line.opens = true;
    (*at)++;
  } else {
    if (line.closes)
      plays_read(reader, at, end, &line);
    endings_read(reader, at, end, &line);
  }
  line.end = *at;
  return line;
}

static void bar_line_merge(GlnBarLine *into, const GlnBarLine *line) {
  if (!into->seen) {
    *into = *line;
    return;
  }
  /* Faults point at the sign that says it, not at a plain line before it. */
  bool says_more = (line->opens && !into->opens) || (line->endings != 0 && into->endings == 0);
  if (says_more && !into->closes)
    into->offset = line->offset;
  into->closes = into->closes || line->closes;
  into->opens = into->opens || line->opens;
  into->is_double = into->is_double || line->is_double;
  into->endings |= line->endings;
  into->plays = line->plays ? line->plays : into->plays;
  into->end = line->end;
}

/* ---- the marks of a bar
 * -------------------------------------------------------------------------------------- */

typedef struct BarMarks {
  GlnEvent events[GLN_BAR_CHORDS_MAX];
  int64_t marks[GLN_BAR_CHORDS_MAX]; /* marks of each: the chord and its slashes */
  size_t count;
  int64_t leading; /* slashes before the first chord */
  size_t leading_offset, leading_length;
  int64_t total; /* marks of the bar */
  bool slashes;
  bool too_many;
} BarMarks;

static bool all_slashes(GlnText word) {
  for (size_t i = 0; i < word.length; i++)
    if (word.at[i] != '/')
      return false;
  return true;
}

static void slashes_add(BarMarks *marks, size_t offset, GlnText word) {
  marks->slashes = true;
  marks->total += (int64_t)word.length;
  if (marks->count > 0) {
    marks->marks[marks->count - 1] += (int64_t)word.length;
    return;
  }
  if (marks->leading == 0)
    marks->leading_offset = offset;
  marks->leading += (int64_t)word.length;
  marks->leading_length = offset + word.length - marks->leading_offset;
}

static void marks_read(GlnChartReader *reader, size_t at, size_t end, BarMarks *marks) {
  while ((at = skip_blanks(reader->source, at, end)) < end) {
    size_t stop = word_end(reader->source, at, end);
    GlnText word = gln_text_between(reader->source, at, stop);
    if (all_slashes(word))
      slashes_add(marks, at, word);
    else if (marks->count == GLN_BAR_CHORDS_MAX) {
      marks->too_many = true;
      gln_reader_limit(reader, at, stop - at, "chords in one bar", GLN_BAR_CHORDS_MAX);
      return;
    } else {
      gln_event_read(reader, at, stop - at, &marks->events[marks->count]);
      marks->marks[marks->count++] = 1;
      marks->total++;
    }
    at = stop;
  }
}

/* "3/4:" at the start of a bar; the offset after it. */
static size_t meter_mark_read(GlnChartReader *reader, size_t at, size_t end) {
  GlnText source = reader->source;
  size_t stop = at;
  while (stop < end && (gln_is_digit(source.at[stop]) || source.at[stop] == '/'))
    stop++;
  if (stop == at || !gln_is_digit(source.at[at]) || stop == end || source.at[stop] != ':' ||
      bar_line_at(source, stop, end))
    return at;
  GlnText text = gln_text_between(source, at, stop);
  if (gln_meter_parse(text, &reader->meter) != GLN_OK)
    GLN_FAULT(reader, at, stop - at, "write it as 3/4: with 1 to 32 beats of a 1, 2, 4, 8, 16 or 32",
              "\"%.*s\" is not a meter", GLN_SHOWN(text));
  return stop + 1;
}

/* ---- beats
 * -------------------------------------------------------------------------------------------------- */

static void beats_fault(GlnChartReader *reader, const GlnBar *bar, int64_t total) {
  int counts = gln_meter_counts(bar->meter);
  char has[64];
  if (counts == bar->meter.beats)
    (void)snprintf(has, sizeof has, "has %d", counts);
  else
    (void)snprintf(has, sizeof has, "has %d, or %d counted singly", counts, bar->meter.beats);
  GLN_FAULT(reader, bar->offset, bar->length,
            "each chord and each / is one beat; without slashes the chords share the bar evenly",
            "%lld beat%s in a bar of %d/%d, which %s", (long long)total, total == 1 ? "" : "s",
            bar->meter.beats, bar->meter.unit, has);
}

/* Chords without slashes: fine when they fall on beats or half beats. */
static void shares_warn(GlnChartReader *reader, const GlnBar *bar, int64_t chords) {
  int counts = gln_meter_counts(bar->meter);
  if ((2 * counts) % chords != 0 && chords % counts != 0)
    GLN_WARN(reader, bar->offset, bar->length, "write slashes to say how long each is held",
             "%lld chords share the %d beats of this bar evenly", (long long)chords, counts);
}

static GlnEvent *last_event(const GlnSection *section) {
  if (section->bar_count < 2)
    return NULL;
  const GlnBar *before = &section->bars[section->bar_count - 2];
  return before->event_count > 0 ? &before->events[before->event_count - 1] : NULL;
}

/* Slashes before the first chord: the last chord goes on, or, in a section's first bar, a pick-up is still to
 * come. Returns the marks that sound nothing. */
static int64_t leading_settle(GlnChartReader *reader, const GlnSection *section, BarMarks *marks) {
  if (marks->leading == 0)
    return 0;
  const GlnEvent *held = last_event(section);
  if (held && marks->count < GLN_BAR_CHORDS_MAX) {
    memmove(&marks->events[1], &marks->events[0], marks->count * sizeof marks->events[0]);
    memmove(&marks->marks[1], &marks->marks[0], marks->count * sizeof marks->marks[0]);
    marks->events[0] = *held;
    marks->events[0].continues = true;
    marks->events[0].offset = marks->leading_offset;
    marks->events[0].length = marks->leading_length;
    marks->marks[0] = marks->leading;
    marks->count++;
    return 0;
  }
  if (section->bar_count == 1 && marks->count > 0)
    return marks->leading;
  if (section->bar_count > 1)
    return 0; /* the bar before could not be read, and has its own message */
  GLN_FAULT(reader, marks->leading_offset, marks->leading_length, "write the chord, or N.C. for silence",
            "no chord comes before this slash");
  return 0;
}

static bool events_store(GlnChartReader *reader, GlnBar *bar, const GlnEvent *events, size_t count) {
  if (reader->chord_total + count > GLN_CHART_CHORDS_MAX) {
    gln_reader_limit(reader, bar->offset, bar->length, "chords in the chart", GLN_CHART_CHORDS_MAX);
    return false;
  }
  bar->events = GLN_NEW(reader->arena, GlnEvent, count);
  if (!bar->events) {
    reader->status = GLN_MEMORY;
    return false;
  }
  if (count > 0)
    memcpy(bar->events, events, count * sizeof *events);
  bar->event_count = count;
  reader->chord_total += count;
  return true;
}

static void bar_fill(GlnChartReader *reader, GlnSection *section, GlnBar *bar, BarMarks *marks) {
  int64_t silent = leading_settle(reader, section, marks);
  if (marks->count == 0 || marks->too_many)
    return;
  int64_t total = marks->total;
  GlnRatio mark = gln_ratio(bar->meter.beats, total);
  if (marks->slashes && (total % gln_meter_counts(bar->meter) != 0 || total > GLN_BAR_MARKS_MAX))
    beats_fault(reader, bar, total);
  else if (!marks->slashes)
    shares_warn(reader, bar, total);
  int64_t at = 0;
  for (size_t i = 0; i < marks->count; i++) {
    marks->events[i].beat = gln_ratio_multiply(mark, gln_ratio(at, 1));
    marks->events[i].beats = gln_ratio_multiply(mark, gln_ratio(marks->marks[i], 1));
    at += marks->marks[i];
  }
  bar->beats = gln_ratio_multiply(mark, gln_ratio(total - silent, 1));
  (void)events_store(reader, bar, marks->events, marks->count);
}

static void bar_repeat_last(GlnChartReader *reader, const GlnSection *section, GlnBar *bar) {
  const GlnBar *last = section->bar_count > 1 ? &section->bars[section->bar_count - 2] : NULL;
  if (!last)
    GLN_FAULT(reader, bar->offset, bar->length, "write its chords",
              "no bar comes before this %% in the section");
  else if (gln_bar_is_pickup(last))
    GLN_FAULT(reader, bar->offset, bar->length, "write its chords", "%% cannot repeat a pick-up");
  else if (!gln_meter_equal(last->meter, bar->meter))
    GLN_FAULT(reader, bar->offset, bar->length, "write its chords",
              "%% cannot repeat a bar of %d/%d in %d/%d", last->meter.beats, last->meter.unit,
              bar->meter.beats, bar->meter.unit);
  else if (events_store(reader, bar, last->events, last->event_count))
    bar->same_as_last = true;
}

/* ---- bars
 * --------------------------------------------------------------------------------------------------- */

GlnBar *gln_reader_bar(GlnChartReader *reader) {
  GlnSection *section = &reader->chart->sections[reader->chart->section_count - 1];
  void *items = section->bars;
  if (!gln_items_grow(reader->arena, &items, &reader->bar_capacity, section->bar_count, sizeof(GlnBar))) {
    reader->status = GLN_MEMORY;
    return NULL;
  }
  section->bars = items;
  GlnBar *bar = &section->bars[section->bar_count++];
  *bar = (GlnBar){0};
  return bar;
}

static void bar_contents_read(GlnChartReader *reader, GlnBar *bar) {
  GlnSection *section = &reader->chart->sections[reader->chart->section_count - 1];
  size_t end = bar->offset + bar->length;
  size_t at = skip_blanks(reader->source, meter_mark_read(reader, bar->offset, end), end);
  bar->meter = reader->meter;
  bar->beats = gln_ratio(bar->meter.beats, 1);
  GlnText contents = gln_text_between(reader->source, at, end);
  if (contents.length == 0) {
    GLN_FAULT(reader, bar->offset, bar->length, "write % to repeat the last bar, or N.C. for silence",
              "an empty bar");
    return;
  }
  if (contents.at[0] == '%') {
    if (contents.length > 1)
      GLN_FAULT(reader, at, contents.length, "put it between bar lines of its own",
                "%% stands alone in its bar");
    else
      bar_repeat_last(reader, section, bar);
    return;
  }
  BarMarks marks;
  marks.count = 0;
  marks.leading = marks.total = 0;
  marks.leading_offset = marks.leading_length = 0;
  marks.slashes = marks.too_many = false;
  marks_read(reader, at, end, &marks);
  bar_fill(reader, section, bar, &marks);
}

/* The bar line before the next bar takes effect. */
static void pending_apply(GlnChartReader *reader, GlnBar *bar) {
  GlnBarLine *pending = &reader->pending;
  bar->repeat_starts = pending->opens;
  if (pending->closes || pending->opens || pending->is_double)
    reader->endings = 0;
  if (pending->endings)
    reader->endings = pending->endings;
  bar->endings = reader->endings;
  bar->before_offset = pending->seen ? pending->offset : bar->offset;
  *pending = (GlnBarLine){0};
}

/* The bar line after a bar. */
static void bar_close(GlnChartReader *reader, const GlnBarLine *line, size_t end) {
  GlnSection *section = &reader->chart->sections[reader->chart->section_count - 1];
  if (section->bar_count == 0) {
    if (line->closes)
      GLN_FAULT(reader, line->offset, 2, "write |: where the repeat starts",
                "a repeat closes that was not opened");
    return;
  }
  GlnBar *bar = &section->bars[section->bar_count - 1];
  if (!line->seen) {
    bar->after_offset = end;
    return;
  }
  if (bar->after_offset == 0 || line->closes)
    bar->after_offset = line->offset;
  if (line->closes && line->plays && bar->endings)
    GLN_FAULT(reader, line->offset, line->end - line->offset, "leave the count out",
              "the numbers of the endings say how often this is played");
  if (line->closes)
    bar->repeat_plays = (int16_t)(line->plays && !bar->endings ? line->plays : 2);
  bar->double_after = bar->double_after || (line->is_double && !line->closes && !line->opens);
}

/* The bar [at, next bar line or end); the offset where it stops. */
static size_t bar_read(GlnChartReader *reader, size_t at, size_t end, bool line_starts) {
  size_t stop = at;
  while (stop < end && !bar_line_at(reader->source, stop, end))
    stop++;
  if (++reader->bar_total > GLN_CHART_BARS_MAX) {
    gln_reader_limit(reader, at, stop - at, "bars in the chart", GLN_CHART_BARS_MAX);
    return end;
  }
  GlnBar *bar = gln_reader_bar(reader);
  if (!bar)
    return end;
  size_t last = stop;
  GlnText contents = gln_blank_trim(gln_text_between(reader->source, at, last));
  bar->offset = contents.length > 0 ? (size_t)(contents.at - reader->source.at) : at;
  bar->length = contents.length > 0 ? contents.length : stop - at;
  bar->line_starts = line_starts;
  pending_apply(reader, bar);
  bar_contents_read(reader, bar);
  return stop;
}

void gln_bars_read(GlnChartReader *reader, size_t offset, size_t end) {
  size_t at = skip_blanks(reader->source, offset, end);
  bool line_starts = true;
  if (at < end && !bar_line_at(reader->source, at, end))
    GLN_FAULT(reader, at, word_end(reader->source, at, end) - at, "write | before its first bar",
              "a line of bars starts with a bar line");
  while (at < end && reader->status == GLN_OK) {
    GlnBarLine here = {0};
    while (bar_line_at(reader->source, at, end)) {
      GlnBarLine line = bar_line_read(reader, &at, end);
      size_t next = skip_blanks(reader->source, at, end);
      bool plain = !line.closes && !line.opens && !line.endings;
      bar_line_merge(&here, &line);
      /* "| |" holds an empty bar; "|" and "|:" apart are one bar line. */
      if (plain && next > at && bar_line_at(reader->source, next, end) &&
          bar_line_is_plain(reader->source, next, end))
        break;
      at = next;
    }
    bar_close(reader, &here, end);
    bar_line_merge(&reader->pending, &here);
    if (skip_blanks(reader->source, at, end) == end)
      break;
    at = bar_read(reader, at, end, line_starts);
    line_starts = false;
    if (at == end)
      bar_close(reader, &(GlnBarLine){0}, end);
  }
}
