/* read: a chart file line by line; every fault is told, reading goes on to the end. */
#include "song_internal.h"

#include <string.h>

void gln_reader_limit(GlnChartReader *reader, size_t offset, size_t length, const char *what, size_t limit) {
  if (reader->status == GLN_OK)
    GLN_FAULT(reader, offset, length, "split the chart into several files", "too many %s: the limit is %zu",
              what, limit);
  reader->status = GLN_LIMIT;
}

/* ---- bytes
 * ------------------------------------------------------------------------------------------------- */

static bool is_control(const GlnChartReader *reader, size_t at) {
  unsigned char c = (unsigned char)reader->source.at[at];
  if (c == '\r')
    return at + 1 >= reader->source.length || reader->source.at[at + 1] != '\n';
  return (c < 0x20 && c != '\t' && c != '\n') || c == 0x7F;
}

static void control_fault(GlnChartReader *reader, size_t at) {
  char c = reader->source.at[at];
  if (c == '\0')
    GLN_FAULT(reader, at, 1, "is this a text file? Save the chart as plain text in UTF-8", "a zero byte");
  else if (c == '\r')
    GLN_FAULT(reader, at, 1, "save the file with usual line ends",
              "a line end that is a carriage return alone");
  else
    GLN_FAULT(reader, at, 1, "take it out", "an unprintable character (code %d)", c);
}

/* All the bytes that no text holds: one message for each run of them. */
static void bytes_check(GlnChartReader *reader) {
  GlnText source = reader->source;
  size_t broken = gln_text_bad_utf8(source);
  bool in_run = false;
  for (size_t at = 0; at < source.length;) {
    bool control = is_control(reader, at);
    bool bad = at == broken && !control;
    if (bad && !in_run)
      GLN_FAULT(reader, at, 1, "save the file as UTF-8", "bytes that are not UTF-8 text");
    if (control && !in_run)
      control_fault(reader, at);
    in_run = bad || control;
    if (at == broken)
      broken = at + 1 + gln_text_bad_utf8(gln_text_from(source, at + 1));
    at++;
  }
}

/* ---- lines
 * ------------------------------------------------------------------------------------------------- */

static GlnTypedLine *line_add(GlnChartReader *reader) {
  void *items = reader->lines;
  if (!gln_items_grow(reader->arena, &items, &reader->line_capacity, reader->line_count,
                      sizeof(GlnTypedLine))) {
    reader->status = GLN_MEMORY;
    return NULL;
  }
  reader->lines = items;
  GlnTypedLine *line = &reader->lines[reader->line_count++];
  *line = (GlnTypedLine){0};
  return line;
}

/* A last ending ends with the line it starts on; those that go back end with their :|, which settles here how
 * often the passage is played. */
static void endings_settle(GlnSection *section) {
  for (size_t i = 0; i < section->bar_count; i++) {
    if (!gln_ending_starts(section, i))
      continue;
    bool closes = false;
    size_t end = gln_ending_end(section, i, &closes);
    size_t stop = i + 1;
    while (stop < end && !closes && !section->bars[stop].line_starts)
      stop++;
    for (size_t k = closes ? end : stop; k < end; k++)
      section->bars[k].endings = 0;
  }
}

static void no_bars_fault(GlnChartReader *reader, const GlnSection *section) {
  if (section->name.length > 0)
    GLN_FAULT(reader, section->offset, section->name.length + 2, "write its bars below it, or take it out",
              "section %.*s has no bars", GLN_SHOWN(section->name));
  else if (reader->source.at[section->offset] != '[') /* a [ without a name has its message */
    GLN_FAULT(reader, section->offset, 1, "write chords between bar lines: | C | G7 |",
              "a bar line without bars");
}

void gln_section_settle(GlnChartReader *reader) {
  GlnChart *chart = reader->chart;
  if (chart->section_count == 0)
    return;
  GlnSection *section = &chart->sections[chart->section_count - 1];
  GlnBarLine pending = reader->pending;
  reader->pending = (GlnBarLine){0};
  reader->endings = 0;
  if (pending.opens)
    GLN_FAULT(reader, pending.offset, 2, "write bars after it and :| where it goes back",
              "a repeat that never closes");
  if (pending.endings)
    GLN_FAULT(reader, pending.offset, pending.end - pending.offset, "write its bars",
              "an ending without bars");
  if (section->bar_count == 0 && reader->status == GLN_OK)
    no_bars_fault(reader, section);
  size_t count = 0;
  endings_settle(section);
  gln_endings_plays_set(section);
  if (reader->status == GLN_OK && !reader->repeats_unsure)
    (void)gln_section_order(section, reader->diags, NULL, &count);
}

static void section_begin(GlnChartReader *reader, GlnText name, size_t offset, size_t length) {
  GlnChart *chart = reader->chart;
  gln_section_settle(reader);
  if (chart->section_count >= GLN_CHART_SECTIONS_MAX) {
    gln_reader_limit(reader, offset, length, "sections", GLN_CHART_SECTIONS_MAX);
    return;
  }
  void *items = chart->sections;
  if (!gln_items_grow(reader->arena, &items, &reader->section_capacity, chart->section_count,
                      sizeof(GlnSection))) {
    reader->status = GLN_MEMORY;
    return;
  }
  chart->sections = items;
  chart->sections[chart->section_count++] = (GlnSection){.name = name, .offset = offset};
  reader->bar_capacity = 0;
  reader->wish_capacity = 0;
  reader->has_last_tune = false;
  reader->repeats_unsure = false;
  reader->meter = chart->meter;
}

static void section_name_check(GlnChartReader *reader, GlnText name, size_t offset, size_t length) {
  const GlnChart *chart = reader->chart;
  for (size_t i = 0; i < chart->section_count; i++) {
    if (name.length == 0 || !gln_text_equal(chart->sections[i].name, name))
      continue;
    GlnPlace first = gln_text_place(reader->source, chart->sections[i].offset);
    GLN_FAULT(reader, offset, length, "give it another name, or name it twice in form: to play it again",
              "section %.*s is there already, on line %zu", GLN_SHOWN(name), first.line);
    return;
  }
  for (size_t i = 0; i < name.length; i++)
    if (name.at[i] == ',' || name.at[i] == '[') {
      GLN_FAULT(reader, offset, length, "leave it out", "\"%c\" cannot be part of a section's name",
                name.at[i]);
      return;
    }
}

/* "[NAME]", and bars after it if there are any. */
static void section_line_read(GlnChartReader *reader, size_t at, size_t end) {
  GlnText source = reader->source;
  size_t close = at;
  while (close < end && source.at[close] != ']')
    close++;
  GlnText name = gln_blank_trim(gln_text_between(source, at + 1, close));
  size_t length = (close < end ? close + 1 : close) - at;
  if (close == end)
    GLN_FAULT(reader, at, length, "write it as [A]", "a section's name without its closing ]");
  else if (name.length == 0)
    GLN_FAULT(reader, at, length, "write it as [A]", "a section without a name");
  section_name_check(reader, name, at, length);
  section_begin(reader, name, at, length);
  if (reader->status == GLN_OK && close < end)
    gln_bars_read(reader, close + 1, end);
}

static void bars_line_read(GlnChartReader *reader, size_t at, size_t end) {
  if (reader->chart->section_count == 0)
    section_begin(reader, (GlnText){0}, at, 1);
  if (reader->status == GLN_OK)
    gln_bars_read(reader, at, end);
}

static size_t section_bars(const GlnChart *chart) {
  return chart->section_count > 0 ? chart->sections[chart->section_count - 1].bar_count : 0;
}

/* A line of bars, with the tune that waits for it. */
static bool is_bars(GlnText source, size_t at, size_t end) {
  return at < end && (source.at[at] == '|' || source.at[at] == ':');
}

static void line_read(GlnChartReader *reader, GlnTypedLine *line) {
  GlnText source = reader->source;
  size_t at = line->offset;
  size_t blank = 0;
  while (at < line->end && (blank = gln_blank_at(source, at)) > 0)
    at += blank;
  line->comment = line->end;
  bool tune = reader->tune_end > reader->tune_from && is_bars(source, at, line->end);
  if (!tune)
    gln_tune_line_settle(reader);
  if (at == line->end || source.at[at] == '#') {
    line->kind = GLN_LINE_REMARK;
    line->comment = at;
    return;
  }
  size_t comment = gln_comment_find(source, at, line->end);
  if (source.at[at] == '^') {
    line->kind = GLN_LINE_TUNE;
    line->comment = comment;
    reader->tune_from = at;
    reader->tune_end = comment;
  } else if (source.at[at] == '[') {
    line->kind = GLN_LINE_SECTION;
    line->comment = comment;
    section_line_read(reader, at, comment);
    line->bar_count = section_bars(reader->chart);
  } else if (source.at[at] != '|' && gln_header_line_read(reader, at, line->end, &line->comment)) {
    line->kind = reader->chart->section_count > 0 ? GLN_LINE_WISH : GLN_LINE_HEADER;
  } else if (gln_text_find(gln_text_between(source, at, comment), GLN_TEXT("|"), 0) < comment - at) {
    size_t before = section_bars(reader->chart);
    line->kind = GLN_LINE_BARS;
    line->comment = comment;
    bars_line_read(reader, at, comment);
    line->bar_count = section_bars(reader->chart) - before;
    line->has_tune = tune;
    if (tune && reader->status == GLN_OK)
      gln_tune_read(reader, before);
  } else {
    line->kind = GLN_LINE_REMARK;
    GLN_FAULT(reader, at, line->end - at,
              "bars stand between |, a header is name: value, a remark starts with #",
              "a line that is neither bars nor a header");
  }
}

static void lines_read(GlnChartReader *reader) {
  GlnText source = reader->source;
  size_t at = gln_text_starts(source, GLN_TEXT("\xEF\xBB\xBF")) ? 3 : 0;
  while (at < source.length && reader->status == GLN_OK) {
    GlnTypedLine *line = line_add(reader);
    if (!line)
      return;
    size_t newline = gln_text_find(source, GLN_TEXT("\n"), at);
    line->offset = at;
    line->end =
        newline > at && newline < source.length && source.at[newline - 1] == '\r' ? newline - 1 : newline;
    line->next = newline < source.length ? newline + 1 : newline;
    line_read(reader, line);
    at = line->next;
  }
}

/* ---- the chart as it was read
 * -------------------------------------------------------------------------------- */

static GlnStatus copy_items(GlnArena *arena, void **items, size_t count, size_t size) {
  void *copy = gln_arena_alloc(arena, count, size);
  if (!copy)
    return GLN_MEMORY;
  if (count > 0)
    memcpy(copy, *items, count * size);
  *items = copy;
  return GLN_OK;
}

static GlnStatus copy_section(GlnArena *arena, GlnSection *section) {
  void *bars = section->bars;
  GLN_TRY(copy_items(arena, &bars, section->bar_count, sizeof(GlnBar)));
  section->bars = bars;
  for (size_t i = 0; i < section->bar_count; i++) {
    void *events = section->bars[i].events;
    GLN_TRY(copy_items(arena, &events, section->bars[i].event_count, sizeof(GlnEvent)));
    section->bars[i].events = events;
    void *tune = section->bars[i].tune;
    GLN_TRY(copy_items(arena, &tune, section->bars[i].tune_count, sizeof(GlnTuneNote)));
    section->bars[i].tune = tune;
  }
  return GLN_OK;
}

static GlnStatus typed_keep(GlnChartReader *reader) {
  GlnChart *chart = reader->chart;
  GlnTyped *typed = GLN_NEW(reader->arena, GlnTyped, 1);
  if (!typed)
    return GLN_MEMORY;
  typed->lines = reader->lines;
  typed->line_count = reader->line_count;
  typed->read = *chart;
  void *headers = typed->read.headers;
  void *sections = typed->read.sections;
  void *form = typed->read.form;
  GLN_TRY(copy_items(reader->arena, &headers, chart->header_count, sizeof(GlnHeader)));
  GLN_TRY(copy_items(reader->arena, &sections, chart->section_count, sizeof(GlnSection)));
  GLN_TRY(copy_items(reader->arena, &form, chart->form_count, sizeof(uint16_t)));
  typed->read.headers = headers;
  typed->read.sections = sections;
  typed->read.form = form;
  for (size_t i = 0; i < chart->section_count; i++)
    GLN_TRY(copy_section(reader->arena, &typed->read.sections[i]));
  chart->typed = typed;
  return GLN_OK;
}

/* ---- the whole
 * ---------------------------------------------------------------------------------------------- */

static void fault_about_all(GlnDiags *diags, GlnText problem, GlnText advice) {
  gln_diags_add(diags, (GlnDiag){.severity = GLN_ERROR, .problem = problem, .advice = advice});
}

static void chart_settle(GlnChartReader *reader) {
  GlnChart *chart = reader->chart;
  gln_tune_line_settle(reader);
  gln_section_settle(reader);
  gln_headers_settle(reader);
  if (reader->status == GLN_OK)
    gln_form_read(reader);
  if (reader->status != GLN_OK)
    return;
  if (gln_text_trim(reader->source).length == 0)
    fault_about_all(reader->diags, GLN_TEXT("the chart is empty"),
                    GLN_TEXT("write bars between bar lines: | C | G7 |"));
  else if (chart->section_count == 0)
    fault_about_all(reader->diags, GLN_TEXT("the chart has no bars"),
                    GLN_TEXT("write them between bar lines: | C | G7 |"));
}

GlnText gln_chart_header(const GlnChart *chart, GlnText name) {
  for (size_t i = 0; i < chart->header_count; i++)
    if (gln_text_equal_ignoring_case(chart->headers[i].name, name))
      return chart->headers[i].value;
  return (GlnText){0};
}

GlnStatus gln_chart_read(GlnText source, GlnArena *arena, GlnDiags *diags, GlnChart **chart_out) {
  GlnChart *chart = GLN_NEW(arena, GlnChart, 1);
  if (!chart)
    return GLN_MEMORY;
  *chart = (GlnChart){.source = source, .meter = {4, 4}, .tempo = 120.0};
  *chart_out = chart;
  GlnChartReader reader = {.source = source, .arena = arena, .diags = diags, .chart = chart, .meter = {4, 4}};
  size_t errors = diags->error_count;
  if (source.length > GLN_CHART_BYTES_MAX) {
    fault_about_all(diags, GLN_TEXT("the chart is larger than 4 MiB, the limit for a chart file"),
                    GLN_TEXT("is this the right file? Otherwise split it"));
    return GLN_LIMIT;
  }
  bytes_check(&reader);
  lines_read(&reader);
  chart_settle(&reader);
  if (reader.status != GLN_OK)
    return reader.status;
  GLN_TRY(typed_keep(&reader));
  return diags->error_count > errors ? GLN_INPUT : GLN_OK;
}
