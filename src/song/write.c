/* write: the chart as a chart file. What was not changed stays as it was typed, byte for byte; the rest of
 * its lines are written around it. */
#include "song_internal.h"

#define NO_LINE         SIZE_MAX
#define FRESH_LINE_BARS 4 /* bars on a line that was never typed: common practice, no published source */

typedef struct Writer {
  const GlnChart *chart;
  bool was_typed;        /* false for a chart that was made */
  const GlnTyped *typed; /* empty for a chart that was made */
  GlnBuffer *out;
  bool tidy;
  bool bars_stand; /* no bar line was changed; else lines that hold bar lines alone are left out */
  size_t start;    /* length of out before anything was written */
  size_t cursor;   /* typed lines before it are dealt with */
  GlnText line_end;
} Writer;

/* ---- lines
 * -------------------------------------------------------------------------------------------------- */

static GlnText source_between(const Writer *writer, size_t from, size_t to) {
  return gln_text_between(writer->chart->source, from, to);
}

static void line_begin(Writer *writer) {
  GlnBuffer *out = writer->out;
  if (out->length > writer->start && out->at[out->length - 1] != '\n')
    gln_buffer_add(out, writer->line_end);
}

static size_t line_of(const Writer *writer, size_t offset) {
  size_t low = 0;
  size_t high = writer->typed->line_count;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (writer->typed->lines[middle].next <= offset)
      low = middle + 1;
    else
      high = middle;
  }
  return low < writer->typed->line_count ? low : NO_LINE;
}

static void typed_line_print(Writer *writer, size_t line) {
  const GlnTypedLine *typed = &writer->typed->lines[line];
  line_begin(writer);
  if (!writer->tidy) {
    gln_buffer_add(writer->out, source_between(writer, typed->offset, typed->next));
    return;
  }
  gln_buffer_add(writer->out, gln_blank_trim(source_between(writer, typed->offset, typed->end)));
  gln_buffer_add(writer->out, writer->line_end);
}

/* A line that holds no bars: a remark, or bar lines alone, which belong to the bars around them. */
static void barless_line_print(Writer *writer, size_t line) {
  const GlnTypedLine *typed = &writer->typed->lines[line];
  bool bar_lines = typed->kind == GLN_LINE_BARS && typed->bar_count == 0;
  if (typed->kind == GLN_LINE_REMARK || (bar_lines && writer->bars_stand && !writer->tidy))
    typed_line_print(writer, line);
  else if (bar_lines && typed->comment < typed->end) {
    line_begin(writer);
    gln_buffer_add(writer->out, gln_blank_trim(source_between(writer, typed->comment, typed->end)));
    gln_buffer_add(writer->out, writer->line_end);
  }
}

/* Comments and blank lines up to a typed line, which is then dealt with. Lines moved upward bring none. */
static void remarks_print(Writer *writer, size_t line) {
  if (line == NO_LINE)
    return;
  for (; writer->cursor < line; writer->cursor++)
    barless_line_print(writer, writer->cursor);
  if (writer->cursor == line && line < writer->typed->line_count)
    writer->cursor++;
}

/* After what was written of a line: its comment, as it was set off, and its line end. */
static void line_finish(Writer *writer, size_t line) {
  const GlnTypedLine *typed = line != NO_LINE ? &writer->typed->lines[line] : NULL;
  if (typed && typed->comment < typed->end) {
    size_t gap = typed->comment;
    while (gap > typed->offset && gln_is_blank(writer->chart->source.at[gap - 1]))
      gap--;
    gln_buffer_add(writer->out, writer->tidy ? GLN_TEXT("  ") : source_between(writer, gap, typed->comment));
    gln_buffer_add(writer->out, gln_blank_trim(source_between(writer, typed->comment, typed->end)));
  }
  gln_buffer_add(writer->out, writer->line_end);
}

/* Text that must stay on one line, with what would end it there replaced by a blank. */
static void one_line_print(Writer *writer, GlnText text, const char *unwanted) {
  for (size_t i = 0; i < text.length; i++) {
    char c = text.at[i];
    bool bad = (unsigned char)c < 0x20;
    for (const char *u = unwanted; *u; u++)
      bad = bad || c == *u;
    gln_buffer_add_byte(writer->out, bad ? ' ' : c);
  }
}

/* ---- headers
 * ------------------------------------------------------------------------------------------------- */

static const GlnHeader *typed_header(const Writer *writer, const GlnHeader *header) {
  if (!writer->was_typed || !gln_text_within(writer->chart->source, header->name))
    return NULL;
  for (size_t i = 0; i < writer->typed->read.header_count; i++)
    if (writer->typed->read.headers[i].offset == header->offset)
      return &writer->typed->read.headers[i];
  return NULL;
}

static void header_print(Writer *writer, GlnText name, GlnText value, size_t line) {
  line_begin(writer);
  one_line_print(writer, name, ":");
  gln_buffer_add_string(writer->out, value.length > 0 ? ": " : ":");
  one_line_print(writer, value, "");
  line_finish(writer, line);
}

/* The value from the chart's field; notes of several lines give several headers. */
static void known_header_print(Writer *writer, GlnText name, size_t known, size_t line) {
  GlnBuffer value = gln_buffer(writer->out->arena);
  gln_known_header_print(writer->chart, known, &value);
  GlnText text = gln_buffer_text(&value);
  writer->out->failed = writer->out->failed || value.failed;
  bool in_lines = gln_text_equal_ignoring_case(name, GLN_TEXT("notes"));
  for (size_t at = 0; in_lines && gln_text_find(text, GLN_TEXT("\n"), at) < text.length;) {
    size_t end = gln_text_find(text, GLN_TEXT("\n"), at);
    header_print(writer, name, gln_text_between(text, at, end), NO_LINE);
    text = gln_text_from(text, end + 1);
  }
  header_print(writer, name, text, line);
}

static size_t header_find(const GlnChart *chart, size_t known) {
  for (size_t i = 0; i < chart->header_count; i++)
    if (gln_known_header_find(chart->headers[i].name) == known)
      return i;
  return chart->header_count;
}

static bool header_is_always_written(size_t known) {
  return known == gln_known_header_find(GLN_TEXT("meter")) ||
         known == gln_known_header_find(GLN_TEXT("form"));
}

static void header_write(Writer *writer, size_t index) {
  const GlnChart *chart = writer->chart;
  const GlnHeader *header = &chart->headers[index];
  const GlnHeader *typed = typed_header(writer, header);
  size_t known = gln_known_header_find(header->name);
  size_t line = typed ? line_of(writer, header->offset) : NO_LINE;
  bool is_known = known < gln_known_header_count();
  bool same = typed && (is_known ? gln_known_header_same(chart, &writer->typed->read, known)
                                 : gln_text_equal(typed->value, header->value));
  remarks_print(writer, line);
  if (same && !writer->tidy)
    typed_line_print(writer, line);
  else if (same || !is_known)
    header_print(writer, header->name, header->value, line);
  else if (header_find(chart, known) == index &&
           (gln_known_header_present(chart, known) || header_is_always_written(known)))
    known_header_print(writer, header->name, known, line);
}

static void headers_write(Writer *writer) {
  const GlnChart *chart = writer->chart;
  for (size_t i = 0; i < chart->header_count; i++)
    header_write(writer, i);
  for (size_t known = 0; known < gln_known_header_count(); known++) {
    bool wanted = gln_known_header_present(chart, known) ||
                  (!writer->was_typed && known == gln_known_header_find(GLN_TEXT("meter")));
    if (wanted && header_find(chart, known) == chart->header_count)
      known_header_print(writer, gln_text(gln_known_header_name(known)), known, NO_LINE);
  }
}

/* ---- bars
 * ------------------------------------------------------------------------------------------------------ */

/* Bars [from, to) of a section that make one line, and the typed line they were on. */
typedef struct Group {
  const GlnSection *section;
  size_t from, to;
  size_t line;
} Group;

static bool bar_was_typed(const GlnBar *bar) {
  return bar->length > 0;
}

/* The bar goes on an ending that no :| ends, so its line must go on too. */
static bool ending_goes_on(const GlnSection *section, size_t bar) {
  bool closes = true;
  if (section->bars[bar].endings != 0 && !gln_ending_starts(section, bar))
    (void)gln_ending_end(section, bar, &closes);
  return !closes;
}

/* Whether the bar goes on the line of the group. A bar that was not typed joins the typed bar before it. */
static bool bar_joins(const Writer *writer, const Group *group, size_t bar) {
  const GlnBar *here = &group->section->bars[bar];
  if (ending_goes_on(group->section, bar))
    return true;
  if (writer->was_typed && bar_was_typed(here))
    return line_of(writer, here->offset) == group->line;
  if (group->line != NO_LINE)
    return true;
  return bar - group->from < FRESH_LINE_BARS && !here->line_starts && !(here - 1)->double_after;
}

static Group group_at(const Writer *writer, const GlnSection *section, size_t from) {
  const GlnBar *bars = section->bars;
  Group group = {section, from, from + 1, NO_LINE};
  if (writer->was_typed && bar_was_typed(&bars[from]))
    group.line = line_of(writer, bars[from].offset);
  while (group.to < section->bar_count && bar_joins(writer, &group, group.to))
    group.to++;
  return group;
}

/* The bar as it was read, and the section it was in. */
static const GlnBar *typed_bar(const Writer *writer, const GlnBar *bar, const GlnSection **section) {
  const GlnChart *read = &writer->typed->read;
  size_t low = 0;
  size_t high = read->section_count;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (read->sections[middle].offset <= bar->offset)
      low = middle + 1;
    else
      high = middle;
  }
  if (low == 0)
    return NULL;
  *section = &read->sections[low - 1];
  low = 0;
  high = (*section)->bar_count;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if ((*section)->bars[middle].offset < bar->offset)
      low = middle + 1;
    else
      high = middle;
  }
  return low < (*section)->bar_count && (*section)->bars[low].offset == bar->offset ? &(*section)->bars[low]
                                                                                    : NULL;
}

static GlnMeter running_meter(const GlnChart *chart, const GlnSection *section, size_t bar) {
  return bar > 0 ? section->bars[bar - 1].meter : chart->meter;
}

static bool bar_lines_equal(const GlnBar *a, const GlnBar *b) {
  return a->repeat_starts == b->repeat_starts && a->repeat_plays == b->repeat_plays &&
         a->endings == b->endings && a->double_after == b->double_after &&
         gln_bar_is_pickup(a) == gln_bar_is_pickup(b);
}

/* What a neighbour of the line's bars wants of the bar lines between: nothing, where there is none. */
static bool neighbour_stands(const GlnSection *section, const GlnSection *typed, size_t bar,
                             size_t typed_bar_index) {
  bool here = bar < section->bar_count;
  bool there = typed_bar_index < typed->bar_count;
  if (here && there)
    return bar_lines_equal(&section->bars[bar], &typed->bars[typed_bar_index]);
  const GlnBar *only = here ? &section->bars[bar] : there ? &typed->bars[typed_bar_index] : NULL;
  return !only || (!only->repeat_starts && !only->repeat_plays && !only->endings && !only->double_after);
}

/* The same bars in the same bar lines as were typed: only their contents may have changed. */
static bool bar_lines_stand(const Writer *writer, const Group *group) {
  if (writer->tidy || !writer->bars_stand || group->line == NO_LINE ||
      group->to - group->from != writer->typed->lines[group->line].bar_count)
    return false;
  const GlnSection *typed = NULL;
  const GlnBar *bars = group->section->bars;
  const GlnBar *first =
      bar_was_typed(&bars[group->from]) ? typed_bar(writer, &bars[group->from], &typed) : NULL;
  if (!first)
    return false;
  size_t start = (size_t)(first - typed->bars);
  size_t count = group->to - group->from;
  for (size_t i = 0; i < count; i++)
    if (start + i >= typed->bar_count || bars[group->from + i].offset != typed->bars[start + i].offset ||
        !bar_lines_equal(&bars[group->from + i], &typed->bars[start + i]))
      return false;
  /* One before the first bar wraps round to no bar at all, as one past the last is none. */
  return neighbour_stands(group->section, typed, group->from - 1, start - 1) &&
         neighbour_stands(group->section, typed, group->to, start + count);
}

static bool section_bars_stand(const GlnSection *section, const GlnSection *typed) {
  if (section->bar_count != typed->bar_count)
    return false;
  for (size_t i = 0; i < section->bar_count; i++)
    if (section->bars[i].offset != typed->bars[i].offset ||
        !bar_lines_equal(&section->bars[i], &typed->bars[i]))
      return false;
  return true;
}

/* Bar lines on lines of their own bind the bars before and after them: such lines stand all, or none does. */
static bool bars_stand(const GlnChart *chart) {
  const GlnTyped *typed = chart->typed;
  bool alone = false;
  for (size_t i = 0; i < typed->line_count; i++)
    alone = alone || (typed->lines[i].kind == GLN_LINE_BARS && typed->lines[i].bar_count == 0);
  if (!alone)
    return true;
  if (chart->section_count != typed->read.section_count)
    return false;
  for (size_t i = 0; i < chart->section_count; i++)
    if (!section_bars_stand(&chart->sections[i], &typed->read.sections[i]))
      return false;
  return true;
}

/* Nothing but chord symbols, pins and top notes may differ from what was typed in the bar. */
static bool bar_slashes_stand(const Writer *writer, const GlnSection *section, size_t index) {
  const GlnSection *typed_section = NULL;
  const GlnBar *bar = &section->bars[index];
  const GlnBar *typed = typed_bar(writer, bar, &typed_section);
  if (!typed || typed->event_count != bar->event_count || !gln_meter_equal(typed->meter, bar->meter))
    return false;
  size_t typed_index = (size_t)(typed - typed_section->bars);
  if (!gln_meter_equal(running_meter(writer->chart, section, index),
                       running_meter(&writer->typed->read, typed_section, typed_index)))
    return false;
  if (typed->same_as_last != gln_bar_repeats_last(section, index))
    return false;
  if (gln_bar_continues(typed_section, typed_index) != gln_bar_continues(section, index))
    return false;
  for (size_t i = 0; i < bar->event_count; i++)
    if (gln_ratio_compare(typed->events[i].beat, bar->events[i].beat) != 0 ||
        gln_ratio_compare(typed->events[i].beats, bar->events[i].beats) != 0)
      return false;
  return true;
}

/* A new symbol in the place of an old one keeps the columns where blanks allow it. Returns where the source
 * goes on. */
static size_t event_replace(Writer *writer, const GlnEvent *event, const GlnEvent *typed) {
  GlnText source = writer->chart->source;
  size_t before = writer->out->length;
  gln_event_print(event, writer->out);
  size_t length = writer->out->length - before;
  size_t at = typed->offset + typed->length;
  size_t blanks = 0;
  while (at + blanks < source.length && source.at[at + blanks] == ' ')
    blanks++;
  if (blanks < 2)
    return at;
  for (; length < typed->length; length++)
    gln_buffer_add_byte(writer->out, ' ');
  size_t longer = length - typed->length;
  return at + (longer < blanks - 1 ? longer : blanks - 1);
}

static void bar_patch(Writer *writer, const GlnSection *section, size_t index) {
  const GlnSection *typed_section = NULL;
  const GlnBar *bar = &section->bars[index];
  const GlnBar *typed = typed_bar(writer, bar, &typed_section);
  size_t at = typed->offset;
  size_t end = typed->offset + typed->length;
  bool kept = typed->same_as_last; /* stays %, for it still repeats the bar before */
  for (size_t i = kept ? bar->event_count : 0; i < bar->event_count; i++) {
    const GlnEvent *was = &typed->events[i];
    if ((i == 0 && gln_bar_continues(section, index)) ||
        (gln_event_equal(was, &bar->events[i]) && gln_text_equal(was->symbol, bar->events[i].symbol)))
      continue;
    gln_buffer_add(writer->out, source_between(writer, at, was->offset));
    at = event_replace(writer, &bar->events[i], was);
  }
  gln_buffer_add(writer->out, source_between(writer, at, end));
}

/* The typed line from an offset on, with what changed in its bars. */
static GlnStatus group_patch(Writer *writer, const Group *group, size_t from) {
  const GlnSection *section = group->section;
  size_t at = from;
  for (size_t i = group->from; i < group->to; i++) {
    const GlnBar *bar = &section->bars[i];
    gln_buffer_add(writer->out, source_between(writer, at, bar->offset));
    if (bar_slashes_stand(writer, section, i))
      bar_patch(writer, section, i);
    else
      GLN_TRY(gln_bar_contents_print(section, i, running_meter(writer->chart, section, i), writer->out));
    at = bar->offset + bar->length;
  }
  gln_buffer_add(writer->out, source_between(writer, at, writer->typed->lines[group->line].next));
  return GLN_OK;
}

static GlnStatus group_print(Writer *writer, const Group *group) {
  const GlnSection *section = group->section;
  for (size_t i = group->from; i < group->to; i++) {
    bool first = i == group->from;
    bool closed_here = first && group->line != NO_LINE && i > 0 && section->bars[i - 1].repeat_plays > 0 &&
                       section->bars[i - 1].after_offset >= writer->typed->lines[group->line].offset;
    gln_bar_line_print(section, i, first && !closed_here, writer->out);
    gln_buffer_add_byte(writer->out, ' ');
    GLN_TRY(gln_bar_contents_print(section, i, running_meter(writer->chart, section, i), writer->out));
    gln_buffer_add_byte(writer->out, ' ');
  }
  gln_bar_line_end_print(section, group->to - 1, writer->out);
  line_finish(writer, group->line);
  return GLN_OK;
}

/* ---- the tune over a line of bars
 * ------------------------------------------------------------------------------------------- */

static bool tune_stands(const Writer *writer, const Group *group) {
  if (writer->tidy || group->line == NO_LINE || !bar_lines_stand(writer, group))
    return false;
  for (size_t i = group->from; i < group->to; i++) {
    const GlnSection *typed_in = NULL;
    const GlnBar *typed = typed_bar(writer, &group->section->bars[i], &typed_in);
    if (!typed || !gln_bar_tune_equal(typed, &group->section->bars[i]))
      return false;
  }
  return true;
}

static bool has_tune(const Group *group) {
  for (size_t i = group->from; i < group->to; i++)
    if (group->section->bars[i].tune_count > 0)
      return true;
  return false;
}

/* The line above the bars: as typed, or written anew. */
static GlnStatus tune_write(Writer *writer, const Group *group) {
  bool typed = group->line != NO_LINE && group->line > 0 && writer->typed->lines[group->line].has_tune;
  if (typed && tune_stands(writer, group)) {
    typed_line_print(writer, group->line - 1);
    return GLN_OK;
  }
  if (!has_tune(group) && !typed)
    return GLN_OK;
  line_begin(writer);
  gln_buffer_add_string(writer->out, "^ |");
  for (size_t i = group->from; i < group->to; i++) {
    GLN_TRY(gln_bar_tune_print(&group->section->bars[i], writer->out));
    gln_buffer_add_string(writer->out, " |");
  }
  line_finish(writer, typed ? group->line - 1 : NO_LINE);
  return GLN_OK;
}

/* ---- sections
 * ----------------------------------------------------------------------------------------------------- */

static const GlnSection *typed_section(const Writer *writer, const GlnSection *section) {
  if (!writer->was_typed)
    return NULL;
  for (size_t i = 0; i < writer->typed->read.section_count; i++) {
    const GlnSection *read = &writer->typed->read.sections[i];
    if (read->name.length > 0 && read->name.at == section->name.at)
      return read;
  }
  return NULL;
}

static void section_name_print(Writer *writer, const GlnSection *section, size_t line) {
  line_begin(writer);
  if (line == NO_LINE && writer->out->length > writer->start)
    gln_buffer_add(writer->out, writer->line_end);
  gln_buffer_add_byte(writer->out, '[');
  one_line_print(writer, section->name, "[],");
  gln_buffer_add_byte(writer->out, ']');
}

/* [NAME]. True when the bars of its line were written along with it. */
static GlnStatus section_name_write(Writer *writer, const GlnSection *section, bool *bars_written) {
  const GlnSection *typed = typed_section(writer, section);
  size_t line = typed ? line_of(writer, typed->offset) : NO_LINE;
  const GlnTypedLine *typed_line = line != NO_LINE ? &writer->typed->lines[line] : NULL;
  *bars_written = false;
  if (section->name.length == 0)
    return GLN_OK;
  remarks_print(writer, line);
  bool same = typed && gln_text_equal(typed->name, section->name);
  if (!typed_line || typed_line->bar_count == 0) {
    if (same && typed_line && !writer->tidy) {
      typed_line_print(writer, line);
      return GLN_OK;
    }
    section_name_print(writer, section, line);
    line_finish(writer, line);
    return GLN_OK;
  }
  Group group = section->bar_count > 0 ? group_at(writer, section, 0) : (Group){.line = NO_LINE};
  if (same && group.line == line && bar_lines_stand(writer, &group)) {
    line_begin(writer);
    *bars_written = true;
    return group_patch(writer, &group, typed_line->offset);
  }
  section_name_print(writer, section, line);
  gln_buffer_add(writer->out, writer->line_end);
  return GLN_OK;
}

/* A section's wishes stand right below its name. */
static void wishes_write(Writer *writer, const GlnSection *section) {
  for (size_t i = 0; i < section->wish_count; i++) {
    const GlnHeader *wish = &section->wishes[i];
    bool typed = writer->was_typed && gln_text_within(writer->chart->source, wish->name);
    size_t line = typed ? line_of(writer, wish->offset) : NO_LINE;
    remarks_print(writer, line);
    if (typed && !writer->tidy && gln_text_within(writer->chart->source, wish->value))
      typed_line_print(writer, line);
    else
      header_print(writer, wish->name, wish->value, line);
  }
}

/* A line of bars, with what stands above it. */
static GlnStatus group_write(Writer *writer, const Group *group) {
  remarks_print(writer, group->line);
  GLN_TRY(tune_write(writer, group));
  line_begin(writer);
  return bar_lines_stand(writer, group) ? group_patch(writer, group, writer->typed->lines[group->line].offset)
                                        : group_print(writer, group);
}

static GlnStatus section_write(Writer *writer, const GlnSection *section) {
  bool first_written = false;
  GLN_TRY(section_name_write(writer, section, &first_written));
  wishes_write(writer, section);
  for (size_t from = 0; from < section->bar_count;) {
    Group group = group_at(writer, section, from);
    if (from > 0 || !first_written)
      GLN_TRY(group_write(writer, &group));
    from = group.to;
  }
  return GLN_OK;
}

/* ---- the whole
 * ------------------------------------------------------------------------------------------------------ */

static GlnText line_end_of(const GlnChart *chart) {
  size_t newline = gln_text_find(chart->source, GLN_TEXT("\n"), 0);
  bool windows = newline > 0 && newline < chart->source.length && chart->source.at[newline - 1] == '\r';
  return windows ? GLN_TEXT("\r\n") : GLN_TEXT("\n");
}

static GlnStatus chart_write(const GlnChart *chart, bool tidy, GlnBuffer *out) {
  static const GlnTyped nothing;
  Writer writer = {.chart = chart,
                   .was_typed = chart->typed != NULL,
                   .typed = chart->typed ? chart->typed : &nothing,
                   .out = out,
                   .tidy = tidy,
                   .line_end = GLN_TEXT("\n")};
  if (writer.was_typed && !tidy) {
    writer.line_end = line_end_of(chart);
    if (gln_text_starts(chart->source, GLN_TEXT("\xEF\xBB\xBF")))
      gln_buffer_add_string(out, "\xEF\xBB\xBF");
  }
  writer.bars_stand = chart->typed && bars_stand(chart);
  writer.start = out->length;
  headers_write(&writer);
  for (size_t i = 0; i < chart->section_count; i++)
    GLN_TRY(section_write(&writer, &chart->sections[i]));
  if (writer.typed)
    remarks_print(&writer, writer.typed->line_count);
  return gln_buffer_status(out);
}

GlnStatus gln_chart_write(const GlnChart *chart, GlnBuffer *out) {
  return chart_write(chart, false, out);
}

GlnStatus gln_chart_write_tidy(const GlnChart *chart, GlnBuffer *out) {
  return chart_write(chart, true, out);
}
