/* What the lines of pasted text are. */
#include "plain_text_internal.h"

#include <string.h>

/* Names of parts that stand alone in their line, common in song sheets (common practice, no published source). */
static const char *const PARTS[] = {"intro",        "opening",   "verse",  "chorus", "refrain",
                                    "bridge",       "prechorus", "ending", "outro",  "interlude",
                                    "instrumental", "solo",      "coda",   "head"};

bool gln_plain_holds(GlnText word) {
  return gln_text_equal(word, GLN_TEXT("/")) || gln_text_equal(word, GLN_TEXT(".")) ||
         gln_text_equal(word, GLN_TEXT("-"));
}

static GlnText bare(GlnText word) {
  if (word.length > 2 && word.at[0] == '(' && word.at[word.length - 1] == ')' &&
      gln_text_find(word, GLN_TEXT("("), 1) == word.length)
    return gln_text_slice(word, 1, word.length - 2);
  if (word.length > 1 && strchr(",;.*", word.at[word.length - 1]) != NULL &&
      !gln_text_equal_ignoring_case(word, GLN_TEXT("N.C.")))
    return gln_text_slice(word, 0, word.length - 1);
  return word;
}

bool gln_plain_chord(GlnText word, GlnChord *chord) {
  return gln_chord_parse(bare(word), chord, NULL) == GLN_OK;
}

static bool all_chords(GlnText line) {
  size_t at = 0, chords = 0;
  GlnText word;
  GlnChord chord;
  while (gln_word_next(line, &at, &word)) {
    if (!gln_plain_chord(word, &chord))
      return false;
    chords++;
  }
  return chords > 0 && chords <= GLN_PLAIN_WORDS_MAX;
}

static bool has_chord(GlnText line) {
  size_t start = 0;
  for (size_t i = 0; i <= line.length; i++) {
    bool ends = i == line.length || line.at[i] == '|' || line.at[i] == ':' || gln_is_blank(line.at[i]);
    GlnChord chord;
    if (ends && i > start && gln_plain_chord(gln_text_slice(line, start, i - start), &chord))
      return true;
    if (ends)
      start = i + 1;
  }
  return false;
}

static bool is_part(GlnText name) {
  size_t end = 0;
  while (end < name.length && (gln_is_letter(name.at[end]) || name.at[end] == '-'))
    end++;
  GlnText word = gln_text_slice(name, 0, end), rest = gln_text_trim(gln_text_from(name, end));
  long number = 0;
  if (rest.length > 0 && gln_text_integer(rest, 1, 99, &number) != GLN_OK)
    return false;
  for (size_t i = 0; i < GLN_COUNT_OF(PARTS); i++)
    if (gln_text_equal_ignoring_case(word, gln_text(PARTS[i])))
      return true;
  return gln_text_equal_ignoring_case(word, GLN_TEXT("pre-chorus"));
}

static bool is_heading(GlnText line, GlnText *name) {
  if (line.length > 2 && line.at[0] == '[' && line.at[line.length - 1] == ']') {
    *name = gln_text_trim(gln_text_slice(line, 1, line.length - 2));
    return name->length > 0;
  }
  bool colon = line.at[line.length - 1] == ':';
  *name = colon ? gln_text_trim(gln_text_slice(line, 0, line.length - 1)) : line;
  return name->length > 0 && is_part(*name);
}

typedef enum HeaderName {
  HEADER_TITLE,
  HEADER_BY,
  HEADER_KEY,
  HEADER_TEMPO,
  HEADER_CAPO,
  HEADER_METER,
  HEADER_NONE
} HeaderName;

static HeaderName header_of(GlnText line, GlnText *value) {
  static const struct {
    const char *word;
    HeaderName name;
  } HEADERS[] = {{"title", HEADER_TITLE}, {"by", HEADER_BY},       {"music", HEADER_BY},
                 {"key", HEADER_KEY},     {"tempo", HEADER_TEMPO}, {"bpm", HEADER_TEMPO},
                 {"capo", HEADER_CAPO},   {"time", HEADER_METER},  {"meter", HEADER_METER},
                 {"metre", HEADER_METER}};
  size_t end = 0;
  while (end < line.length && gln_is_letter(line.at[end]))
    end++;
  GlnText word = gln_text_slice(line, 0, end);
  bool colon = end < line.length && line.at[end] == ':';
  *value = gln_text_trim(gln_text_from(line, end + (colon ? 1 : 0)));
  long number = 0;
  if (!colon && (!gln_text_equal_ignoring_case(word, GLN_TEXT("capo")) ||
                 gln_text_integer(*value, 0, GLN_CHART_CAPO_MAX, &number) != GLN_OK))
    return HEADER_NONE;
  for (size_t i = 0; i < GLN_COUNT_OF(HEADERS); i++)
    if (gln_text_equal_ignoring_case(word, gln_text(HEADERS[i].word)))
      return HEADERS[i].name;
  return HEADER_NONE;
}

GlnPlainLine gln_plain_line_kind(GlnText line, GlnText *value) {
  GlnText text = gln_text_trim(line);
  if (text.length == 0)
    return GLN_PLAIN_BLANK;
  if (is_heading(text, value))
    return GLN_PLAIN_HEADING;
  if (header_of(text, value) != HEADER_NONE)
    return GLN_PLAIN_HEADER;
  if (gln_text_find(text, GLN_TEXT("|"), 0) < text.length && has_chord(text))
    return GLN_PLAIN_BARS;
  return all_chords(text) ? GLN_PLAIN_CHORDS : GLN_PLAIN_WORDS;
}

/* ---- headers ----------------------------------------------------------------------------------------------------- */

static bool read_tempo(GlnText value, double *tempo) {
  size_t end = 0;
  while (end < value.length && (gln_is_digit(value.at[end]) || value.at[end] == '.'))
    end++;
  return gln_text_number(gln_text_slice(value, 0, end), tempo) == GLN_OK && *tempo >= GLN_CHART_TEMPO_MIN &&
         *tempo <= GLN_CHART_TEMPO_MAX;
}

static bool take_header(GlnPlainReader *reader, HeaderName name, GlnText value) {
  GlnKey key;
  GlnMeter meter;
  double tempo = 0;
  long capo = 0;
  switch (name) {
  case HEADER_TITLE:
    reader->title = value;
    return true;
  case HEADER_BY:
    reader->by = value;
    return true;
  case HEADER_KEY:
    if (reader->has_key || gln_key_parse(value, &key) != GLN_OK)
      return false;
    reader->has_key = true;
    gln_buffer_format(&reader->headers, "key: %.*s\n", (int)value.length, value.at);
    return true;
  case HEADER_TEMPO:
    if (reader->has_tempo || !read_tempo(value, &tempo))
      return false;
    reader->has_tempo = true;
    gln_buffer_add_string(&reader->headers, "tempo: ");
    gln_buffer_add_number(&reader->headers, tempo, 0);
    gln_buffer_add_byte(&reader->headers, '\n');
    return true;
  case HEADER_CAPO:
    if (reader->has_capo || gln_text_integer(value, 0, GLN_CHART_CAPO_MAX, &capo) != GLN_OK)
      return false;
    reader->has_capo = true;
    gln_buffer_format(&reader->headers, "capo: %ld\n", capo);
    return true;
  case HEADER_METER:
    if (reader->has_meter || reader->item_count > 0 || gln_meter_parse(value, &meter) != GLN_OK)
      return false;
    reader->has_meter = true;
    reader->meter = meter;
    gln_buffer_format(&reader->headers, "meter: %d/%d\n", meter.beats, meter.unit);
    return true;
  case HEADER_NONE:
    break;
  }
  return false;
}

void gln_plain_header(GlnPlainReader *reader) {
  GlnText value = {NULL, 0};
  HeaderName name = header_of(gln_text_trim(reader->line), &value);
  if (value.length > 0 && take_header(reader, name, value))
    return;
  reader->ignored++;
  gln_diags_format(reader->diags, GLN_WARNING, (size_t)(reader->line.at - reader->source.at),
                   reader->line.length, "",
                   "this line is not understood, or says it a second time; it is left out");
}
