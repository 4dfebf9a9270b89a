/* A line of grips in text, bar lines between them. */
#include "grip_internal.h"

#include <stdio.h>

static GlnStatus fail(GlnSymbolFault *fault, GlnStatus status, size_t offset, size_t length,
                      const char *problem) {
  if (fault != NULL) {
    *fault = (GlnSymbolFault){.offset = offset, .length = length};
    (void)snprintf(fault->problem, sizeof fault->problem, "%s", problem);
  }
  return status;
}

static size_t word_end(GlnText text, size_t from) {
  while (from < text.length && !gln_is_blank(text.at[from]) && text.at[from] != '|')
    from++;
  return from;
}

static GlnStatus add_grip(GlnText text, size_t from, size_t end, GlnFretsLine *line, GlnSymbolFault *fault) {
  if (line->count == GLN_FRETS_LINE_MAX)
    return fail(fault, GLN_LIMIT, from, end - from, "more than 512 grips in one line");
  GlnFretsPlace *place = &line->places[line->count];
  GlnStatus status = gln_frets_parse(gln_text_slice(text, from, end - from), &place->frets, fault);
  if (status != GLN_OK) {
    if (fault != NULL)
      fault->offset += from;
    return status;
  }
  place->offset = from;
  place->length = end - from;
  place->bar = line->bar_count;
  line->count++;
  return GLN_OK;
}

GlnStatus gln_frets_line_parse(GlnText text, GlnArena *arena, GlnFretsLine *out, GlnSymbolFault *fault) {
  GlnFretsLine line = {.places = GLN_NEW(arena, GlnFretsPlace, GLN_FRETS_LINE_MAX)};
  if (line.places == NULL)
    return GLN_MEMORY;
  bool barred = false;
  size_t in_bar = 0; /* grips since the last bar line */
  for (size_t at = 0; at < text.length;) {
    if (text.at[at] == '|') {
      barred = barred || line.count > 0;
      line.bar_count += in_bar > 0;
      in_bar = 0;
      at++;
    } else if (gln_is_blank(text.at[at])) {
      at++;
    } else {
      size_t end = word_end(text, at);
      GLN_TRY(add_grip(text, at, end, &line, fault));
      in_bar++;
      at = end;
    }
  }
  if (line.count == 0)
    return fail(fault, GLN_INPUT, 0, text.length > 0 ? text.length : 1, "no grip in this line");
  line.bar_count += in_bar > 0;
  for (size_t i = 0; !barred && i < line.count; i++)
    line.places[i].bar = i;
  if (!barred)
    line.bar_count = line.count;
  *out = line;
  return GLN_OK;
}
