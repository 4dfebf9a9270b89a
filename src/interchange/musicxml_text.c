/* UTF-16 as UTF-8, so that messages can show the lines they speak of. */
#include "musicxml_internal.h"

static unsigned unit_at(GlnText bytes, size_t at, bool big) {
  unsigned first = (unsigned char)bytes.at[at], second = (unsigned char)bytes.at[at + 1];
  return big ? first << 8 | second : second << 8 | first;
}

static void add_code_point(GlnBuffer *out, uint32_t code) {
  if (code < 0x80) {
    gln_buffer_add_byte(out, (char)code);
    return;
  }
  int extra = code < 0x800 ? 1 : code < 0x10000 ? 2 : 3;
  static const uint32_t lead[] = {0, 0xC0, 0xE0, 0xF0};
  gln_buffer_add_byte(out, (char)(lead[extra] | code >> (6 * extra)));
  while (extra-- > 0)
    gln_buffer_add_byte(out, (char)(0x80 | (code >> (6 * extra) & 0x3F)));
}

static GlnStatus complain(GlnDiags *diags, GlnText *text) {
  *text = GLN_TEXT("");
  gln_diags_add(diags, (GlnDiag){.severity = GLN_ERROR,
                                 .problem = GLN_TEXT("this is broken UTF-16"),
                                 .advice = GLN_TEXT("save it as UTF-8")});
  return GLN_INPUT;
}

GlnStatus gln_xml_decode(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnText *text, bool *is_utf8) {
  bool big = gln_text_starts(bytes, (GlnText){"\xFE\xFF", 2}) || gln_text_starts(bytes, (GlnText){"\0<", 2});
  bool little =
      gln_text_starts(bytes, (GlnText){"\xFF\xFE", 2}) || gln_text_starts(bytes, (GlnText){"<\0", 2});
  *text = bytes;
  *is_utf8 = big || little;
  if (!*is_utf8)
    return GLN_OK;
  GlnBuffer out = gln_buffer(arena);
  for (size_t at = 0; at < bytes.length; at += 2) {
    if (at + 1 == bytes.length)
      return complain(diags, text);
    uint32_t code = unit_at(bytes, at, big);
    if (code >= 0xD800 && code < 0xE000) {
      uint32_t low = at + 3 < bytes.length ? unit_at(bytes, at + 2, big) : 0;
      if (code >= 0xDC00 || low < 0xDC00 || low >= 0xE000)
        return complain(diags, text);
      code = 0x10000 + ((code - 0xD800) << 10) + (low - 0xDC00);
      at += 2;
    }
    if (at > 1 || code != 0xFEFF) /* not the mark itself */
      add_code_point(&out, code);
  }
  GLN_TRY(gln_buffer_status(&out));
  *text = gln_buffer_text(&out);
  return GLN_OK;
}
