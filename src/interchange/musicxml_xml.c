/* XML as text, indented by depth, and the lengths that notes can have. */
#include "musicxml_write_internal.h"

/* ---- text -------------------------------------------------------------------------------------------------------------- */

void gln_xml_add_safe(GlnBuffer *out, GlnText text) {
  for (size_t at = 0; at < text.length;) {
    uint32_t code = 0;
    size_t bytes = gln_text_code_point(text, at, &code);
    GlnText one = gln_text_slice(text, at, bytes);
    bool control = code < 0x20 && code != '\t' && code != '\n' && code != '\r';
    if (gln_text_bad_utf8(one) < one.length || control || code == 0xFFFE || code == 0xFFFF)
      gln_buffer_add_string(out, "\xEF\xBF\xBD");
    else if (code == '&')
      gln_buffer_add_string(out, "&amp;");
    else if (code == '<')
      gln_buffer_add_string(out, "&lt;");
    else if (code == '>')
      gln_buffer_add_string(out, "&gt;");
    else if (code == '"')
      gln_buffer_add_string(out, "&quot;");
    else
      gln_buffer_add(out, one);
    at += bytes;
  }
}

__attribute__((format(printf, 3, 0))) static void begin(GlnXmlWriter *writer, const char *name,
                                                        const char *attributes, va_list arguments) {
  gln_buffer_add_repeated(writer->out, GLN_TEXT(" "), (size_t)writer->depth);
  gln_buffer_format(writer->out, "<%s", name);
  gln_buffer_add_byte(writer->out, ' ');
  size_t length = writer->out->length;
  gln_buffer_format_list(writer->out, attributes, arguments);
  if (writer->out->length == length && length > 0) /* there are none: no blank either */
    writer->out->length--;
}

void gln_xml_open(GlnXmlWriter *writer, const char *name, const char *attributes, ...) {
  va_list arguments;
  va_start(arguments, attributes);
  begin(writer, name, attributes, arguments);
  va_end(arguments);
  gln_buffer_add_string(writer->out, ">\n");
  writer->depth++;
}

void gln_xml_close(GlnXmlWriter *writer, const char *name) {
  writer->depth--;
  gln_buffer_add_repeated(writer->out, GLN_TEXT(" "), (size_t)writer->depth);
  gln_buffer_format(writer->out, "</%s>\n", name);
}

void gln_xml_empty(GlnXmlWriter *writer, const char *name, const char *attributes, ...) {
  va_list arguments;
  va_start(arguments, attributes);
  begin(writer, name, attributes, arguments);
  va_end(arguments);
  gln_buffer_add_string(writer->out, "/>\n");
}

void gln_xml_leaf(GlnXmlWriter *writer, const char *name, const char *attributes, GlnText text) {
  gln_buffer_add_repeated(writer->out, GLN_TEXT(" "), (size_t)writer->depth);
  gln_buffer_format(writer->out, "<%s%s%s>", name, attributes[0] != '\0' ? " " : "", attributes);
  gln_xml_add_safe(writer->out, text);
  gln_buffer_format(writer->out, "</%s>\n", name);
}

void gln_xml_number(GlnXmlWriter *writer, const char *name, long long value) {
  gln_buffer_add_repeated(writer->out, GLN_TEXT(" "), (size_t)writer->depth);
  gln_buffer_format(writer->out, "<%s>%lld</%s>\n", name, value, name);
}

/* ---- values ------------------------------------------------------------------------------------------------------------ */

static const struct {
  GlnRatio quarters;
  const char *type;
  int dots;
} values_known[] = {
    {{8, 1}, "breve", 0},  {{6, 1}, "whole", 1},   {{4, 1}, "whole", 0},   {{3, 1}, "half", 1},
    {{2, 1}, "half", 0},   {{3, 2}, "quarter", 1}, {{1, 1}, "quarter", 0}, {{3, 4}, "eighth", 1},
    {{1, 2}, "eighth", 0}, {{3, 8}, "16th", 1},    {{1, 4}, "16th", 0},    {{1, 8}, "32nd", 0},
    {{1, 16}, "64th", 0},  {{1, 32}, "128th", 0},  {{1, 64}, "256th", 0},
};

int gln_note_values(GlnRatio quarters, GlnNoteValue values[GLN_NOTE_VALUES_MAX]) {
  int64_t odd = quarters.den;
  int count = 0, normal = 1;
  while (odd % 2 == 0)
    odd /= 2;
  while (odd > 1 && normal * 2 < odd)
    normal *= 2;
  GlnRatio stretch = gln_ratio(odd, odd > 1 ? normal : 1); /* to the values as they are written */
  GlnRatio left = gln_ratio_multiply(quarters, stretch);
  for (size_t i = 0; i < GLN_COUNT_OF(values_known) && count < GLN_NOTE_VALUES_MAX;) {
    if (gln_ratio_compare(values_known[i].quarters, left) > 0) {
      i++;
      continue;
    }
    values[count++] = (GlnNoteValue){.quarters = gln_ratio_divide(values_known[i].quarters, stretch),
                                     .type = values_known[i].type,
                                     .dots = values_known[i].dots,
                                     .actual = odd > 1 ? (int)odd : 0,
                                     .normal = odd > 1 ? normal : 0};
    left = gln_ratio_subtract(left, values_known[i].quarters);
  }
  return count;
}

int64_t gln_divisions_with(int64_t divisions, GlnRatio quarters) {
  int64_t a = divisions, b = quarters.den;
  while (b != 0) {
    int64_t rest = a % b;
    a = b;
    b = rest;
  }
  return divisions / a * quarters.den;
}
