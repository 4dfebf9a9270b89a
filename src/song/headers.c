/* headers: the "name: value" lines, one table of those that are known. */
#include "song_internal.h"

#include <stdio.h>
#include <string.h>

typedef enum HeaderKind {
  HEADER_TEXT,
  HEADER_NOTES,
  HEADER_KEY,
  HEADER_METER,
  HEADER_TEMPO,
  HEADER_FORM,
  HEADER_COUNT,
  HEADER_CAPO
} HeaderKind;

typedef struct KnownHeader {
  const char *name;
  HeaderKind kind;
  bool takes_comment;
  size_t field;  /* of GlnChart, for texts and counts */
  int low, high; /* of a count */
  const char *advice;
} KnownHeader;

static const KnownHeader known_headers[] = {
    {"title", HEADER_TEXT, false, offsetof(GlnChart, title), 0, 0, NULL},
    {"by", HEADER_TEXT, false, offsetof(GlnChart, by), 0, 0, NULL},
    {"key", HEADER_KEY, true, 0, 0, 0, "write the key as F, Bb, F#m or C minor"},
    {"meter", HEADER_METER, true, 0, 0, 0,
     "write the meter as 4/4, 3/4, 6/8: 1 to 32 beats of a 1, 2, 4, 8, 16 or 32"},
    {"tempo", HEADER_TEMPO, true, 0, 0, 0, "write the beats a minute, from 20 to 400"},
    {"feel", HEADER_TEXT, true, offsetof(GlnChart, feel), 0, 0, NULL},
    {"form", HEADER_FORM, true, 0, 0, 0, "write the names of the sections in playing order, as in A A B A"},
    {"tuning", HEADER_TEXT, true, offsetof(GlnChart, tuning), 0, 0, NULL},
    {"capo", HEADER_CAPO, true, offsetof(GlnChart, capo), 0, GLN_CHART_CAPO_MAX,
     "write the fret the capo sits on, from 0 to 12, and the strings where these are not all: 2:5-3"},
    {"strings", HEADER_COUNT, true, offsetof(GlnChart, strings), 3, 8,
     "write how many strings the guitar has, from 3 to 8"},
    {"texture", HEADER_TEXT, true, offsetof(GlnChart, texture), 0, 0, NULL},
    {"frets", HEADER_TEXT, true, offsetof(GlnChart, frets), 0, 0, NULL},
    {"bass-line", HEADER_TEXT, true, offsetof(GlnChart, bass_line), 0, 0, NULL},
    {"vary", HEADER_TEXT, true, offsetof(GlnChart, vary), 0, 0, NULL},
    {"notes", HEADER_NOTES, false, offsetof(GlnChart, notes), 0, 0, NULL},
};

/* Those of them that a section may state for itself. */
static const char *const wish_names[] = {"texture", "frets", "bass-line", "vary"};

const char *gln_chart_wish_name(size_t index) {
  return index < GLN_COUNT_OF(wish_names) ? wish_names[index] : NULL;
}

static bool is_wish(GlnText name) {
  for (size_t i = 0; i < GLN_COUNT_OF(wish_names); i++)
    if (gln_text_equal_ignoring_case(name, gln_text(wish_names[i])))
      return true;
  return false;
}

/* Words others use for a header: they are kept as unknown, and the warning tells the word gripline reads. */
static const char *const other_words[][2] = {
    {"composer", "by"},   {"artist", "by"},    {"author", "by"},      {"writer", "by"},
    {"name", "title"},    {"song", "title"},   {"time", "meter"},     {"bpm", "tempo"},
    {"speed", "tempo"},   {"style", "feel"},   {"rhythm", "feel"},    {"groove", "feel"},
    {"tonality", "key"},  {"order", "form"},   {"structure", "form"}, {"comment", "notes"},
    {"remarks", "notes"}, {"region", "frets"}, {"position", "frets"}, {"voicing", "texture"},
};

_Static_assert(GLN_COUNT_OF(known_headers) <= GLN_COUNT_OF(((GlnChartReader *)0)->seen_at),
               "a place for each");

size_t gln_known_header_count(void) {
  return GLN_COUNT_OF(known_headers);
}

const char *gln_known_header_name(size_t index) {
  return known_headers[index].name;
}

size_t gln_known_header_find(GlnText name) {
  for (size_t i = 0; i < GLN_COUNT_OF(known_headers); i++)
    if (gln_text_equal_ignoring_case(name, gln_text(known_headers[i].name)))
      return i;
  return GLN_COUNT_OF(known_headers);
}

bool gln_known_header_takes_comment(size_t index) {
  return index < GLN_COUNT_OF(known_headers) && known_headers[index].takes_comment;
}

static GlnText *text_field(GlnChart *chart, const KnownHeader *known) {
  return (GlnText *)(void *)((char *)chart + known->field);
}

static GlnText text_of(const GlnChart *chart, const KnownHeader *known) {
  return *(const GlnText *)(const void *)((const char *)chart + known->field);
}

static int *count_field(GlnChart *chart, const KnownHeader *known) {
  return (int *)(void *)((char *)chart + known->field);
}

static int count_of(const GlnChart *chart, const KnownHeader *known) {
  return *(const int *)(const void *)((const char *)chart + known->field);
}

/* ---- reading --------------------------------------------------------------------------------------------
 */

/* Several lines of notes are one text of several lines. */
static void notes_read(GlnChartReader *reader, GlnText value) {
  GlnText *notes = &reader->chart->notes;
  if (notes->length == 0) {
    *notes = value;
    return;
  }
  GlnBuffer joined = gln_buffer(reader->arena);
  gln_buffer_add(&joined, *notes);
  gln_buffer_add_byte(&joined, '\n');
  gln_buffer_add(&joined, value);
  if (gln_buffer_status(&joined) != GLN_OK)
    reader->status = GLN_MEMORY;
  else
    *notes = gln_buffer_text(&joined);
}

/* "2", or "2:5-3": whose strings these are is not this room's business. */
static bool capo_read(GlnChart *chart, const KnownHeader *known, GlnText value) {
  size_t colon = gln_text_find(value, GLN_TEXT(":"), 0);
  long fret = 0;
  GlnText strings = gln_blank_trim(gln_text_from(value, colon + 1));
  if (gln_text_integer(gln_blank_trim(gln_text_slice(value, 0, colon)), known->low, known->high, &fret) !=
      GLN_OK)
    return false;
  if (colon < value.length && (fret == 0 || strings.length == 0))
    return false;
  chart->capo = (int)fret;
  chart->capo_strings = strings;
  return true;
}

static bool value_read(GlnChartReader *reader, const KnownHeader *known, GlnText value) {
  GlnChart *chart = reader->chart;
  long count = 0;
  switch (known->kind) {
  case HEADER_TEXT:
    *text_field(chart, known) = value;
    return true;
  case HEADER_NOTES:
    notes_read(reader, value);
    return true;
  case HEADER_KEY:
    chart->has_key = gln_key_parse(value, &chart->key) == GLN_OK;
    return chart->has_key;
  case HEADER_METER:
    return gln_meter_parse(value, &chart->meter) == GLN_OK;
  case HEADER_TEMPO:
    chart->has_tempo = gln_text_number(value, &reader->tempo) == GLN_OK &&
                       reader->tempo >= GLN_CHART_TEMPO_MIN && reader->tempo <= GLN_CHART_TEMPO_MAX;
    return chart->has_tempo;
  case HEADER_FORM:
    reader->form = value;
    reader->has_form = true;
    return true;
  case HEADER_COUNT:
    if (gln_text_integer(value, known->low, known->high, &count) != GLN_OK)
      return false;
    *count_field(chart, known) = (int)count;
    return true;
  case HEADER_CAPO:
    return capo_read(chart, known, value);
  }
  return false;
}

static void known_read(GlnChartReader *reader, size_t index, const GlnHeader *header) {
  const KnownHeader *known = &known_headers[index];
  if (header->value.length == 0) {
    if (known->advice)
      GLN_FAULT(reader, header->offset, header->name.length, known->advice, "%s has no value", known->name);
    return;
  }
  if (reader->seen_at[index] && known->kind != HEADER_NOTES) {
    GlnPlace first = gln_text_place(reader->source, reader->seen_at[index] - 1);
    GLN_FAULT(reader, header->offset, header->name.length, "keep one of the two",
              "%s is given twice: already on line %zu", known->name, first.line);
    return;
  }
  reader->seen_at[index] = header->offset + 1;
  if (!value_read(reader, known, header->value))
    GLN_FAULT(reader, header->value_offset, header->value.length, known->advice, "\"%.*s\" is not a %s",
              GLN_SHOWN(header->value),
              known->kind == HEADER_COUNT || known->kind == HEADER_CAPO ? "number that fits" : known->name);
}

static void unknown_warn(GlnChartReader *reader, const GlnHeader *header) {
  const char *meant = NULL;
  for (size_t i = 0; !meant && i < GLN_COUNT_OF(other_words); i++)
    if (gln_text_equal_ignoring_case(header->name, gln_text(other_words[i][0])))
      meant = other_words[i][1];
  for (size_t i = 0; !meant && i < GLN_COUNT_OF(known_headers); i++)
    if (gln_text_near(header->name, gln_text(known_headers[i].name)))
      meant = known_headers[i].name;
  char advice[80] = "it is kept, and has no effect";
  if (meant)
    (void)snprintf(advice, sizeof advice, "did you mean %s? It is kept as it is", meant);
  GLN_WARN(reader, header->offset, header->name.length, advice, "unknown header \"%.*s\"",
           GLN_SHOWN(header->name));
}

/* A section's own wish, between its name and its bars. */
static void wish_read(GlnChartReader *reader, GlnSection *section, const GlnHeader *header) {
  for (size_t i = 0; i < section->wish_count; i++)
    if (gln_text_equal_ignoring_case(section->wishes[i].name, header->name)) {
      GLN_FAULT(reader, header->offset, header->name.length, "keep one of the two",
                "section %.*s states %.*s twice", GLN_SHOWN(section->name), GLN_SHOWN(header->name));
      return;
    }
  if (header->value.length == 0) {
    GLN_FAULT(reader, header->offset, header->name.length, "write what is wished, or take the line out",
              "%.*s has no value", GLN_SHOWN(header->name));
    return;
  }
  void *items = section->wishes;
  if (!gln_items_grow(reader->arena, &items, &reader->wish_capacity, section->wish_count,
                      sizeof(GlnHeader))) {
    reader->status = GLN_MEMORY;
    return;
  }
  section->wishes = items;
  section->wishes[section->wish_count++] = *header;
}

static void misplaced_fault(GlnChartReader *reader, size_t index, const GlnHeader *header) {
  const char *advice = is_wish(header->name)
                           ? "write it above the first bars, or right below a section's name"
                           : "move it above the first bars";
  if (index == GLN_COUNT_OF(known_headers))
    advice = "headers stand above the first bars, a section's name in brackets, a remark after #";
  else if (known_headers[index].kind == HEADER_METER)
    advice = "to change the meter here, start a bar with it: | 3/4: C |";
  GLN_FAULT(reader, header->offset, header->name.length, advice, "a header after the bars have begun");
}

/* Offset of the colon after a name of letters, digits, blanks, - and _ that starts with a letter; end if
 * there is none. */
static size_t header_colon(GlnText source, size_t offset, size_t end) {
  if (offset >= end || !(gln_is_letter(source.at[offset]) || (unsigned char)source.at[offset] >= 0x80))
    return end;
  for (size_t at = offset; at < end; at++) {
    char c = source.at[at];
    if (c == ':')
      return at;
    if (!gln_is_letter(c) && !gln_is_digit(c) && c != ' ' && c != '\t' && c != '-' && c != '_' &&
        (unsigned char)c < 0x80)
      return end;
  }
  return end;
}

bool gln_header_line_read(GlnChartReader *reader, size_t offset, size_t end, size_t *comment) {
  GlnChart *chart = reader->chart;
  GlnText source = reader->source;
  size_t colon = header_colon(source, offset, end);
  if (colon == end)
    return false;
  GlnHeader header = {.name = gln_blank_trim(gln_text_between(source, offset, colon)), .offset = offset};
  size_t index = gln_known_header_find(header.name);
  *comment = end;
  if (gln_known_header_takes_comment(index))
    *comment = gln_comment_find(source, colon + 1, end);
  header.value = gln_blank_trim(gln_text_between(source, colon + 1, *comment));
  header.value_offset = header.value.length > 0 ? (size_t)(header.value.at - source.at) : colon + 1;
  if (index == GLN_COUNT_OF(known_headers) && gln_text_starts(header.value, GLN_TEXT("|"))) {
    GLN_FAULT(reader, offset, colon + 1 - offset,
              "write a section's name in brackets, on the line above: [A]", "bars after \"%.*s:\"",
              GLN_SHOWN(header.name));
    return true;
  }
  if (chart->section_count > 0) {
    GlnSection *section = &chart->sections[chart->section_count - 1];
    if (is_wish(header.name) && section->bar_count == 0 && section->name.length > 0)
      wish_read(reader, section, &header);
    else
      misplaced_fault(reader, index, &header);
    return true;
  }
  if (chart->header_count >= GLN_CHART_HEADERS_MAX) {
    gln_reader_limit(reader, offset, end - offset, "headers", GLN_CHART_HEADERS_MAX);
    return true;
  }
  void *items = chart->headers;
  if (!gln_items_grow(reader->arena, &items, &reader->header_capacity, chart->header_count,
                      sizeof(GlnHeader))) {
    reader->status = GLN_MEMORY;
    return true;
  }
  chart->headers = items;
  chart->headers[chart->header_count++] = header;
  if (index < GLN_COUNT_OF(known_headers))
    known_read(reader, index, &header);
  else
    unknown_warn(reader, &header);
  return true;
}

void gln_headers_settle(GlnChartReader *reader) {
  GlnChart *chart = reader->chart;
  if (chart->has_tempo)
    chart->tempo = reader->tempo * gln_ratio_value(gln_meter_count_quarters(chart->meter));
}

/* ---- writing --------------------------------------------------------------------------------------------
 */

static bool form_is_plain(const GlnChart *chart) {
  if (chart->form_count != chart->section_count)
    return false;
  for (size_t i = 0; i < chart->form_count; i++)
    if (chart->form[i] != i)
      return false;
  return true;
}

bool gln_known_header_present(const GlnChart *chart, size_t index) {
  const KnownHeader *known = &known_headers[index];
  switch (known->kind) {
  case HEADER_TEXT:
  case HEADER_NOTES:
    return text_of(chart, known).length > 0;
  case HEADER_KEY:
    return chart->has_key;
  case HEADER_METER:
    return !gln_meter_equal(chart->meter, (GlnMeter){4, 4});
  case HEADER_TEMPO:
    return chart->has_tempo;
  case HEADER_FORM:
    return !form_is_plain(chart);
  case HEADER_COUNT:
  case HEADER_CAPO:
    return count_of(chart, known) != 0;
  }
  return false;
}

static bool tempo_same(double a, double b) {
  double difference = a - b;
  return difference < 5e-4 && difference > -5e-4; /* the writer gives three decimals */
}

static bool form_same(const GlnChart *a, const GlnChart *b) {
  if (a->form_count != b->form_count)
    return false;
  for (size_t i = 0; i < a->form_count; i++) {
    if (a->form[i] >= a->section_count || b->form[i] >= b->section_count)
      return false;
    if (!gln_text_equal(a->sections[a->form[i]].name, b->sections[b->form[i]].name))
      return false;
  }
  return true;
}

bool gln_known_header_same(const GlnChart *a, const GlnChart *b, size_t index) {
  const KnownHeader *known = &known_headers[index];
  switch (known->kind) {
  case HEADER_TEXT:
  case HEADER_NOTES:
    return gln_text_equal(text_of(a, known), text_of(b, known));
  case HEADER_KEY:
    return a->has_key == b->has_key &&
           (!a->has_key || (gln_note_equal(a->key.tonic, b->key.tonic) && a->key.minor == b->key.minor));
  case HEADER_METER:
    return gln_meter_equal(a->meter, b->meter);
  case HEADER_TEMPO:
    return a->has_tempo == b->has_tempo && (!a->has_tempo || tempo_same(a->tempo, b->tempo)) &&
           (!a->has_tempo ||
            gln_ratio_compare(gln_meter_count_quarters(a->meter), gln_meter_count_quarters(b->meter)) == 0);
  case HEADER_FORM:
    return form_same(a, b);
  case HEADER_COUNT:
    return count_of(a, known) == count_of(b, known);
  case HEADER_CAPO:
    return a->capo == b->capo && gln_text_equal(a->capo_strings, b->capo_strings);
  }
  return false;
}

/* Up to three decimals, without the zeros at the end. */
static void tempo_print(double tempo, GlnBuffer *out) {
  GlnBuffer digits = gln_buffer(out->arena);
  gln_buffer_add_number(&digits, tempo, 3);
  GlnText text = gln_buffer_text(&digits);
  while (text.length > 1 && text.at[text.length - 1] == '0')
    text.length--;
  if (text.length > 1 && text.at[text.length - 1] == '.')
    text.length--;
  gln_buffer_add(out, text);
}

void gln_known_header_print(const GlnChart *chart, size_t index, GlnBuffer *out) {
  const KnownHeader *known = &known_headers[index];
  char key[GLN_KEY_TEXT_MAX];
  switch (known->kind) {
  case HEADER_TEXT:
  case HEADER_NOTES:
    gln_buffer_add(out, text_of(chart, known));
    return;
  case HEADER_KEY:
    (void)gln_key_print(chart->key, GLN_SIGNS_ASCII, key);
    gln_buffer_add_string(out, key);
    return;
  case HEADER_METER:
    gln_buffer_format(out, "%d/%d", chart->meter.beats, chart->meter.unit);
    return;
  case HEADER_TEMPO:
    tempo_print(chart->tempo / gln_ratio_value(gln_meter_count_quarters(chart->meter)), out);
    return;
  case HEADER_FORM:
    gln_form_print(chart, out);
    return;
  case HEADER_COUNT:
    gln_buffer_add_integer(out, count_of(chart, known));
    return;
  case HEADER_CAPO:
    gln_buffer_add_integer(out, chart->capo);
    if (chart->capo_strings.length > 0)
      gln_buffer_add_byte(out, ':');
    gln_buffer_add(out, chart->capo_strings);
    return;
  }
}
