/* The elements of an XML document through expat, as a tree of those that matter. */
#include "musicxml_internal.h"

#include <expat.h>
#include <string.h>

#define CHUNK_BYTES ((size_t)1 << 20) /* expat takes an int; in pieces, its own buffers stay small */

static const char *const element_names[] = {
#define ELEMENT_TEXT(id, element) element,
    GLN_ELEMENT_LIST(ELEMENT_TEXT)
#undef ELEMENT_TEXT
};

static const char *const attribute_names[] = {
#define ATTRIBUTE_TEXT(id, attribute) attribute,
    GLN_ATTRIBUTE_LIST(ATTRIBUTE_TEXT)
#undef ATTRIBUTE_TEXT
};

/* Layout, fonts, playback devices and bookkeeping: passed over without a word. Sorted by bytes. */
static const char *const silent_names[] = {
    "accidental",
    "appearance",
    "assess",
    "bar-style",
    "bass-separator",
    "beam",
    "bookmark",
    "cancel",
    "clef",
    "concert-score",
    "credit-image",
    "defaults",
    "display-octave",
    "display-step",
    "dot",
    "double",
    "duration-dot",
    "encoding",
    "fermata",
    "footnote",
    "group",
    "instrument",
    "instruments",
    "key-octave",
    "level",
    "link",
    "listening",
    "midi-device",
    "midi-instrument",
    "miscellaneous",
    "movement-number",
    "multiple-rest",
    "normal-dot",
    "offset-sound",
    "opus",
    "part-abbreviation",
    "part-group",
    "part-link",
    "part-list",
    "part-name",
    "part-symbol",
    "play",
    "print",
    "relation",
    "rights",
    "score-instrument",
    "show-frets",
    "slash",
    "source",
    "staff",
    "staff-size",
    "staff-type",
    "staves",
    "stem",
    "swing",
    "time-modification",
    "type",
    "voice",
    "wavy-line",
    "work-number",
};

typedef struct Reader {
  XML_Parser parser;
  GlnText text;
  GlnArena *arena;
  GlnDiags *diags;
  GlnXmlDocument *document;
  GlnXmlNode *open[GLN_MUSICXML_DEPTH_MAX];
  GlnXmlNode *last[GLN_MUSICXML_DEPTH_MAX]; /* last child of each */
  size_t depth;
  size_t skipped; /* open elements inside one that is passed over, itself included */
  size_t elements;
  GlnBuffer words; /* character data of the innermost element */
  GlnStatus status;
} Reader;

/* ---- names -------------------------------------------------------------------------------------------------------- */

/* Index by bisection in a table sorted by bytes; the count when it is not there. */
static size_t find_name(const char *const *names, size_t count, const char *name) {
  size_t low = 0, high = count;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    int order = strcmp(names[middle], name);
    if (order == 0)
      return middle;
    if (order < 0)
      low = middle + 1;
    else
      high = middle;
  }
  return count;
}

static void count_passed(Reader *reader, const char *name) {
  GlnXmlDocument *document = reader->document;
  if (find_name(silent_names, GLN_COUNT_OF(silent_names), name) < GLN_COUNT_OF(silent_names))
    return;
  for (size_t i = 0; i < document->passed_count; i++)
    if (gln_text_equal(document->passed[i].name, gln_text(name))) {
      document->passed[i].count++;
      return;
    }
  char *copy =
      document->passed_count < GLN_XML_PASSED_MAX ? gln_text_copy(reader->arena, gln_text(name)) : NULL;
  if (copy == NULL) {
    document->passed_beyond++;
    return;
  }
  document->passed[document->passed_count++] = (GlnXmlPassed){gln_text(copy), 1};
}

/* ---- faults ------------------------------------------------------------------------------------------------------- */

static size_t here(const Reader *reader) {
  XML_Index index = XML_GetCurrentByteIndex(reader->parser);
  return index < 0 ? 0 : (size_t)index;
}

static void stop(Reader *reader, GlnStatus status) {
  if (reader->status == GLN_OK)
    reader->status = status;
  (void)XML_StopParser(reader->parser, XML_FALSE);
}

static void stop_at_limit(Reader *reader, const char *what, size_t limit) {
  gln_diags_format(reader->diags, GLN_ERROR, here(reader), 1, "check that this is the file you mean",
                   "too many %s: the limit is %zu", what, limit);
  stop(reader, GLN_LIMIT);
}

/* ---- what expat calls ----------------------------------------------------------------------------------------------- */

static bool add_attributes(Reader *reader, GlnXmlNode *node, const XML_Char **attributes) {
  for (; attributes[0] != NULL; attributes += 2) {
    size_t name = find_name(attribute_names, GLN_COUNT_OF(attribute_names), attributes[0]);
    if (name == GLN_COUNT_OF(attribute_names))
      continue;
    GlnXmlAttribute *attribute = GLN_NEW(reader->arena, GlnXmlAttribute, 1);
    char *value = gln_text_copy(reader->arena, gln_text(attributes[1]));
    if (attribute == NULL || value == NULL)
      return false;
    *attribute = (GlnXmlAttribute){(GlnAttribute)name, gln_text(value), node->attributes};
    node->attributes = attribute;
  }
  return true;
}

static void XMLCALL begin(void *context, const XML_Char *name, const XML_Char **attributes) {
  Reader *reader = context;
  if (++reader->elements > GLN_MUSICXML_ELEMENTS_MAX) {
    stop_at_limit(reader, "elements", GLN_MUSICXML_ELEMENTS_MAX);
    return;
  }
  if (reader->depth + reader->skipped >= GLN_MUSICXML_DEPTH_MAX) {
    stop_at_limit(reader, "elements inside each other", GLN_MUSICXML_DEPTH_MAX);
    return;
  }
  size_t id =
      reader->skipped > 0 ? GLN_ELEMENT_COUNT : find_name(element_names, GLN_COUNT_OF(element_names), name);
  if (id == GLN_ELEMENT_COUNT) {
    if (reader->skipped++ == 0)
      count_passed(reader, name);
    return;
  }
  GlnXmlNode *node = GLN_NEW(reader->arena, GlnXmlNode, 1);
  if (node == NULL || !add_attributes(reader, node, attributes)) {
    stop(reader, GLN_MEMORY);
    return;
  }
  node->name = (GlnElement)id;
  node->offset = here(reader);
  if (reader->depth == 0)
    reader->document->root = node;
  else if (reader->last[reader->depth - 1] == NULL)
    reader->open[reader->depth - 1]->first = node;
  else
    reader->last[reader->depth - 1]->next = node;
  if (reader->depth > 0)
    reader->last[reader->depth - 1] = node;
  reader->open[reader->depth] = node;
  reader->last[reader->depth] = NULL;
  reader->depth++;
  reader->words.length = 0;
}

static void XMLCALL end(void *context, const XML_Char *name) {
  Reader *reader = context;
  (void)name;
  if (reader->skipped > 0) {
    reader->skipped--;
    return;
  }
  GlnXmlNode *node = reader->open[--reader->depth];
  GlnText text = gln_text_trim(gln_buffer_text(&reader->words));
  char *copy = text.length > 0 ? gln_text_copy(reader->arena, text) : NULL;
  if ((text.length > 0 && copy == NULL) || reader->words.failed)
    stop(reader, GLN_MEMORY);
  else
    node->text = (GlnText){copy, text.length};
  reader->words.length = 0;
}

static void XMLCALL characters(void *context, const XML_Char *at, int length) {
  Reader *reader = context;
  if (reader->skipped > 0 || length <= 0)
    return;
  if (reader->words.length + (size_t)length > GLN_MUSICXML_TEXT_MAX) {
    stop_at_limit(reader, "letters in one element", GLN_MUSICXML_TEXT_MAX);
    return;
  }
  for (int i = 0; i < length; i++)
    gln_buffer_add_byte(&reader->words, at[i] == 0x7F ? ' ' : at[i]); /* XML allows it, a chart does not */
}

/* A score needs no entities of its own; those who declare them want to be expanded a billion times. */
static void XMLCALL entity(void *context, const XML_Char *name, int is_parameter, const XML_Char *value,
                           int value_length, const XML_Char *base, const XML_Char *system_id,
                           const XML_Char *public_id, const XML_Char *notation) {
  Reader *reader = context;
  (void)name, (void)is_parameter, (void)value, (void)value_length, (void)base, (void)system_id;
  (void)public_id, (void)notation;
  gln_diags_format(reader->diags, GLN_ERROR, here(reader), 1,
                   "save it again from a notation program, or take out the <!ENTITY …> lines",
                   "this file declares entities, which no score needs and gripline does not follow");
  stop(reader, GLN_INPUT);
}

/* Windows-1252: as ISO 8859-1 but from 0x80 to 0x9F (the WHATWG's index; the Unicode consortium's CP1252.TXT). */
static int XMLCALL encoding(void *context, const XML_Char *name, XML_Encoding *info) {
  static const int from_80[32] = {0x20AC, -1,     0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021,
                                  0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, -1,     0x017D, -1,
                                  -1,     0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014,
                                  0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, -1,     0x017E, 0x0178};
  (void)context;
  if (!gln_text_equal_ignoring_case(gln_text(name), GLN_TEXT("windows-1252")))
    return XML_STATUS_ERROR;
  for (int i = 0; i < 256; i++)
    info->map[i] = i >= 0x80 && i < 0xA0 ? from_80[i - 0x80] : i;
  info->data = NULL;
  info->convert = NULL;
  info->release = NULL;
  return XML_STATUS_OK;
}

/* ---- the whole ------------------------------------------------------------------------------------------------------- */

static GlnStatus not_well_formed(const Reader *reader) {
  enum XML_Error error = XML_GetErrorCode(reader->parser);
  if (error == XML_ERROR_NO_MEMORY)
    return GLN_MEMORY;
  size_t offset = here(reader) < reader->text.length ? here(reader) : reader->text.length;
  const char *advice = "save it again from the program that it comes from";
  if (error == XML_ERROR_NO_ELEMENTS || error == XML_ERROR_UNCLOSED_TOKEN || error == XML_ERROR_PARTIAL_CHAR)
    advice = "the file ends too early; fetch it anew";
  if (error == XML_ERROR_UNKNOWN_ENCODING || error == XML_ERROR_INCORRECT_ENCODING)
    advice = "save it as UTF-8";
  gln_diags_format(reader->diags, GLN_ERROR, offset, 1, advice, "this is not well-formed XML: %s",
                   XML_ErrorString(error));
  return GLN_INPUT;
}

static GlnStatus parse(Reader *reader) {
  for (size_t at = 0;;) {
    size_t length = reader->text.length - at < CHUNK_BYTES ? reader->text.length - at : CHUNK_BYTES;
    bool is_last = at + length == reader->text.length;
    enum XML_Status status = XML_Parse(reader->parser, reader->text.at + at, (int)length, is_last);
    if (reader->status != GLN_OK)
      return reader->status;
    if (status != XML_STATUS_OK)
      return not_well_formed(reader);
    if (is_last)
      return GLN_OK;
    at += length;
  }
}

GlnStatus gln_xml_read(GlnText text, bool is_utf8, GlnArena *arena, GlnDiags *diags,
                       GlnXmlDocument *document) {
  *document = (GlnXmlDocument){0};
  Reader *reader = GLN_NEW(arena, Reader, 1);
  if (reader == NULL)
    return GLN_MEMORY;
  *reader = (Reader){.text = text.length > 0 ? text : GLN_TEXT(""),
                     .arena = arena,
                     .diags = diags,
                     .document = document,
                     .words = gln_buffer(arena),
                     .status = GLN_OK};
  reader->parser = XML_ParserCreate(is_utf8 ? "UTF-8" : NULL);
  if (reader->parser == NULL)
    return GLN_MEMORY;
  XML_SetUserData(reader->parser, reader);
  XML_SetElementHandler(reader->parser, begin, end);
  XML_SetCharacterDataHandler(reader->parser, characters);
  XML_SetEntityDeclHandler(reader->parser, entity);
  XML_SetUnknownEncodingHandler(reader->parser, encoding, NULL);
  (void)XML_SetParamEntityParsing(reader->parser, XML_PARAM_ENTITY_PARSING_NEVER);
  GlnStatus status = parse(reader);
  XML_ParserFree(reader->parser);
  return status;
}

/* ---- the tree -------------------------------------------------------------------------------------------------------- */

static const GlnXmlNode *find(const GlnXmlNode *node, GlnElement name) {
  while (node != NULL && node->name != name)
    node = node->next;
  return node;
}

const GlnXmlNode *gln_xml_child(const GlnXmlNode *node, GlnElement name) {
  return node != NULL ? find(node->first, name) : NULL;
}

const GlnXmlNode *gln_xml_next(const GlnXmlNode *node, GlnElement name) {
  return find(node->next, name);
}

GlnText gln_xml_attribute(const GlnXmlNode *node, GlnAttribute name) {
  for (const GlnXmlAttribute *at = node->attributes; at != NULL; at = at->next)
    if (at->name == name)
      return at->value;
  return (GlnText){NULL, 0};
}

GlnText gln_xml_text(const GlnXmlNode *node, GlnElement child) {
  const GlnXmlNode *found = gln_xml_child(node, child);
  return found != NULL ? found->text : (GlnText){NULL, 0};
}

long gln_xml_integer(const GlnXmlNode *node, GlnElement child, long low, long high, long otherwise) {
  long value = 0;
  GlnText text = gln_xml_text(node, child);
  return text.length > 0 && gln_text_integer(text, low, high, &value) == GLN_OK ? value : otherwise;
}
