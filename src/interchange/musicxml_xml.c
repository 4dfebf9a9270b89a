/* XML as text, indented by depth. */
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

/* ---- divisions -------------------------------------------------------------------------------------------------------- */

int64_t gln_divisions_with(int64_t divisions, GlnRatio quarters) {
  int64_t a = divisions, b = quarters.den;
  while (b != 0) {
    int64_t rest = a % b;
    a = b;
    b = rest;
  }
  return divisions / a * quarters.den;
}
