/* The one table of dialects: every word a chord symbol is made of, in every spelling. */
#include "theory_internal.h"

#include <string.h>

#define WORD(spelling, kind, value)                                                                          \
  { spelling, sizeof(spelling) - 1, sizeof(spelling) - 1, kind, value }

/* In order of the first byte; words that start with the same byte longer before shorter. Capitals matter in single
 * letters alone (M is major, m minor). */
static const GlnWord WORDS[] = {
    WORD("#", GLN_WORD_SHARP, 1),
    WORD("+", GLN_WORD_PLUS, 0),
    WORD("-", GLN_WORD_DASH, 0),
    WORD("13", GLN_WORD_NUMBER, 13),
    WORD("12", GLN_WORD_NUMBER, 12),
    WORD("11", GLN_WORD_NUMBER, 11),
    WORD("10", GLN_WORD_NUMBER, 10),
    WORD("15", GLN_WORD_NUMBER, 15),
    WORD("14", GLN_WORD_NUMBER, 14),
    WORD("1", GLN_WORD_NUMBER, 1),
    WORD("2", GLN_WORD_NUMBER, 2),
    WORD("3", GLN_WORD_NUMBER, 3),
    WORD("4", GLN_WORD_NUMBER, 4),
    WORD("5", GLN_WORD_NUMBER, 5),
    WORD("69", GLN_WORD_NUMBER, GLN_STACK_SIX_NINE),
    WORD("6", GLN_WORD_NUMBER, 6),
    WORD("7", GLN_WORD_NUMBER, 7),
    WORD("8", GLN_WORD_NUMBER, 8),
    WORD("9", GLN_WORD_NUMBER, 9),
    WORD("M", GLN_WORD_MAJOR, 0),
    WORD("add", GLN_WORD_ADD, 0),
    WORD("augmented", GLN_WORD_AUG, 0),
    WORD("aug", GLN_WORD_AUG, 0),
    WORD("altered", GLN_WORD_ALT, 0),
    WORD("alt", GLN_WORD_ALT, 0),
    WORD("b", GLN_WORD_FLAT, 1),
    WORD("diminished", GLN_WORD_DIM, 0),
    WORD("dim", GLN_WORD_DIM, 0),
    WORD("dominant", GLN_WORD_DOMINANT, 0),
    WORD("dom", GLN_WORD_DOMINANT, 0),
    WORD("half-diminished", GLN_WORD_HALF, 0),
    WORD("halfdim", GLN_WORD_HALF, 0),
    WORD("half-dim", GLN_WORD_HALF, 0),
    WORD("hdim", GLN_WORD_HALF, 0),
    WORD("h", GLN_WORD_HALF, 0),
    WORD("j", GLN_WORD_DELTA, 0),
    {"madd", 4, 1, GLN_WORD_MINOR, 0}, /* Cmadd9 is C minor with a ninth, not "ma" and "dd9" */
    WORD("major", GLN_WORD_MAJOR, 0),
    WORD("minor", GLN_WORD_MINOR, 0),
    WORD("maj", GLN_WORD_MAJOR, 0),
    WORD("min", GLN_WORD_MINOR, 0),
    WORD("ma", GLN_WORD_MAJOR, 0),
    WORD("mi", GLN_WORD_MINOR, 0),
    WORD("m", GLN_WORD_MINOR, 0),
    WORD("no", GLN_WORD_OMIT, 0),
    WORD("omit", GLN_WORD_OMIT, 0),
    WORD("o", GLN_WORD_DIM, 0),
    WORD("root", GLN_WORD_ROOT, 0),
    WORD("sus2sus4", GLN_WORD_SUS, 24),
    WORD("sus2/4", GLN_WORD_SUS, 24),
    WORD("sus24", GLN_WORD_SUS, 24),
    WORD("sus4", GLN_WORD_SUS, 4),
    WORD("sus2", GLN_WORD_SUS, 2),
    WORD("suspended", GLN_WORD_SUS, 0),
    WORD("sus", GLN_WORD_SUS, 0),
    WORD("°", GLN_WORD_DIM, 0), /* degree sign */
    WORD("º", GLN_WORD_DIM, 0), /* masculine ordinal, the key beside it on Portuguese keyboards */
    WORD("ø", GLN_WORD_HALF, 0),
    WORD("Ø", GLN_WORD_HALF, 0),
    WORD("Δ", GLN_WORD_DELTA, 0), /* Greek capital delta */
    WORD("∆", GLN_WORD_DELTA, 0), /* increment sign */
    WORD("△", GLN_WORD_DELTA, 0), /* triangle */
    WORD("−", GLN_WORD_DASH, 0),  /* minus sign */
    WORD("–", GLN_WORD_DASH, 0),  /* en dash */
    WORD("♭", GLN_WORD_FLAT, 1),
    WORD("♯", GLN_WORD_SHARP, 1),
    WORD("𝄫", GLN_WORD_FLAT, 2),
    WORD("𝄪", GLN_WORD_SHARP, 2),
};

static char small(char c) {
  return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool starts(GlnText text, const GlnWord *word) {
  if (text.length < word->length)
    return false;
  if (word->length == 1)
    return text.at[0] == word->spelling[0];
  for (size_t i = 1; i < word->length; i++) {
    if (small(text.at[i]) != small(word->spelling[i]))
      return false;
  }
  return true;
}

/* Halves the words until the first that starts with this byte is found; then the longest that is here. */
static const GlnWord *word_from(GlnText text, char letter) {
  size_t low = 0;
  for (size_t count = GLN_COUNT_OF(WORDS); count > 0;) {
    size_t half = count / 2;
    bool before = (unsigned char)WORDS[low + half].spelling[0] < (unsigned char)letter;
    low = before ? low + half + 1 : low;
    count = before ? count - half - 1 : half;
  }
  for (; low < GLN_COUNT_OF(WORDS) && WORDS[low].spelling[0] == letter; low++)
    if (starts(text, &WORDS[low]))
      return &WORDS[low];
  return NULL;
}

const GlnWord *gln_word_at(GlnText text, size_t offset) {
  GlnText rest = gln_text_from(text, offset);
  if (rest.length == 0)
    return NULL;
  char first = rest.at[0];
  const GlnWord *word = word_from(rest, small(first));
  return word == NULL && small(first) != first ? word_from(rest, first) : word;
}

size_t gln_word_count(void) {
  return GLN_COUNT_OF(WORDS);
}

const GlnWord *gln_word_number(size_t index) {
  return &WORDS[index];
}

bool gln_silence_word(GlnText text) {
  static const char *const SILENCE[] = {"N.C.", "N.C", "NC", "NC."};
  if (text.length < 2 || (text.at[0] != 'N' && text.at[0] != 'n'))
    return false;
  for (size_t i = 0; i < GLN_COUNT_OF(SILENCE); i++) {
    if (gln_text_equal_ignoring_case(text, gln_text(SILENCE[i])))
      return true;
  }
  return false;
}
