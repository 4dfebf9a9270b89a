/* Lines, words and chord labels of the text formats. */
#include "interchange_internal.h"

bool gln_line_next(GlnText text, size_t *at, GlnText *line) {
  if (*at >= text.length)
    return false;
  size_t end = *at;
  while (end < text.length && text.at[end] != '\n')
    end++;
  *line = gln_text_slice(text, *at, end - *at);
  *at = end + 1;
  return true;
}

bool gln_word_next(GlnText line, size_t *at, GlnText *word) {
  while (*at < line.length && gln_is_blank(line.at[*at]))
    ++*at;
  size_t start = *at;
  while (*at < line.length && !gln_is_blank(line.at[*at]))
    ++*at;
  *word = gln_text_slice(line, start, *at - start);
  return word->length > 0;
}

GlnText gln_text_cut(GlnText *text, char separator) {
  size_t end = 0;
  while (end < text->length && text->at[end] != separator)
    end++;
  GlnText part = gln_text_trim(gln_text_slice(*text, 0, end));
  *text = gln_text_from(*text, end + 1);
  return part;
}

GlnStatus gln_label_read(GlnText label, GlnChord *chord, bool *doubtful, GlnSymbolFault *fault) {
  *doubtful = gln_text_equal(label, GLN_TEXT("X")) || gln_text_equal(label, GLN_TEXT("&pause")) ||
              gln_text_equal(label, GLN_TEXT("*"));
  return gln_chord_parse_harte(*doubtful ? GLN_TEXT("N") : label, chord, fault);
}

GlnText gln_symbol_copy(const GlnChord *chord, GlnArena *arena) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  size_t length = gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
  const char *copy = gln_text_copy(arena, (GlnText){symbol, length});
  return copy != NULL ? (GlnText){copy, length} : (GlnText){NULL, 0};
}

GlnStatus gln_import_text(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnText *text) {
  size_t bad = gln_text_bad_utf8(bytes);
  if (bad < bytes.length) {
    gln_diags_add(diags, (GlnDiag){.severity = GLN_ERROR,
                                   .has_place = true,
                                   .offset = bad,
                                   .length = 1,
                                   .problem = GLN_TEXT("this byte is no text in UTF-8"),
                                   .advice = GLN_TEXT("save the file as UTF-8")});
    return GLN_INPUT;
  }
  char *copy = gln_text_copy(arena, bytes);
  if (copy == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < bytes.length; i++) {
    unsigned char c = (unsigned char)copy[i];
    if (c == '\r')
      copy[i] = i + 1 < bytes.length && copy[i + 1] == '\n' ? ' ' : '\n';
    else if ((c < 0x20 && c != '\t' && c != '\n') || c == 0x7F)
      copy[i] = ' ';
    else if (c == 0xC2 && i + 1 < bytes.length && copy[i + 1] == '\xA0')
      copy[i] = copy[i + 1] = ' '; /* U+00A0 */
  }
  *text = (GlnText){copy, bytes.length};
  return GLN_OK;
}
