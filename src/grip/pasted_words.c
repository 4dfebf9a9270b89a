/* Pasted text, word by word: chord names, frets, finger numbers, and what was meant as one of them. */
#include "pasted_internal.h"

#include <string.h>

#define SIGNS_MAX 64 /* of one word taken as frets: a longer one is none */

/* One string's sign. */
typedef struct Sign {
  int8_t value; /* GLN_NOT_PLAYED, a fret, or GLN_THUMB for T; BAD */
  bool thumb, dash;
  size_t offset, length; /* within the word */
} Sign;

#define BAD (-2)

typedef struct Signs {
  Sign sign[SIGNS_MAX];
  int count;
} Signs;

/* ---- where words begin and end ------------------------------------------------------------------------------------ */

/* Bytes of a character that parts words: a blank, a no-break blank, and the marks people put between name and frets. */
static size_t parting(GlnText line, size_t at) {
  char c = line.at[at];
  if (gln_is_blank(c) || c == ':' || c == '=' || c == '|' || c == ';' || c == '@' || c == '"' || c == '`' ||
      c == '*')
    return 1;
  return gln_text_starts(gln_text_from(line, at), GLN_TEXT("\u00a0")) ? 2 : 0;
}

/* The dashes that a text program puts for hyphens. Returns the bytes, 0 for another character. */
static size_t dash_at(GlnText text, size_t at) {
  static const char *const dashes[] = {"-", "\u2010", "\u2011", "\u2012", "\u2013", "\u2014", "\u2212"};
  for (size_t i = 0; i < GLN_COUNT_OF(dashes); i++)
    if (gln_text_starts(gln_text_from(text, at), gln_text(dashes[i])))
      return strlen(dashes[i]);
  return 0;
}

static GlnText word_at(GlnText line, size_t *at) {
  while (*at < line.length && parting(line, *at) > 0)
    *at += parting(line, *at);
  size_t start = *at;
  while (*at < line.length && parting(line, *at) == 0)
    *at += gln_text_code_point(line, *at, NULL);
  if (*at > line.length)
    *at = line.length;
  return gln_text_slice(line, start, *at - start);
}

/* Brackets around a word, and a full stop or comma after it. */
static GlnText bare_word(GlnText word) {
  static const char opening[] = "([{<'", closing[] = ")]}>'";
  while (word.length > 1 && strchr(".,!?", word.at[word.length - 1]) != NULL)
    word.length--;
  for (size_t i = 0; opening[i] != '\0' && word.length > 2; i++)
    if (word.at[0] == opening[i] && word.at[word.length - 1] == closing[i])
      return gln_text_slice(word, 1, word.length - 2);
  return word;
}

/* ---- signs -------------------------------------------------------------------------------------------------------- */

static int8_t letter_value(char c) {
  if (c == 'x' || c == 'X')
    return GLN_NOT_PLAYED;
  if (c == 'o' || c == 'O') /* the letter typed for the figure, and the sign of an open string */
    return 0;
  return BAD;
}

/* Reads one sign at the offset: a letter, or one digit, or with separators up to three. */
static size_t read_sign(GlnText word, size_t at, bool spaced, Sign *sign) {
  size_t most = spaced ? 3 : 1, length = 0;
  int value = 0;
  *sign = (Sign){.value = BAD, .offset = at};
  while (length < most && at + length < word.length && gln_is_digit(word.at[at + length]))
    value = value * 10 + (word.at[at + length++] - '0');
  if (length > 0) {
    sign->value = (int8_t)(value > GLN_FRETS_MAX ? GLN_FRETS_MAX + 1 : value);
  } else {
    sign->value = letter_value(word.at[at]);
    sign->thumb = word.at[at] == 'T' || word.at[at] == 't';
    length = gln_text_code_point(word, at, NULL);
    length = length < word.length - at ? length : word.length - at;
  }
  sign->length = length;
  return length;
}

/* Bytes of what stands between two spaced signs. */
static size_t separator_at(GlnText word, size_t at) {
  size_t dash = dash_at(word, at);
  if (dash > 0)
    return dash;
  return word.at[at] == ',' || word.at[at] == '.' || gln_is_blank(word.at[at]) ? 1 : 0;
}

static bool is_spaced(GlnText word) {
  bool after_sign = false;
  for (size_t at = 0; at < word.length; at++) {
    if (after_sign && separator_at(word, at) > 0 && at + separator_at(word, at) < word.length)
      return true;
    after_sign = gln_is_digit(word.at[at]) || letter_value(word.at[at]) != BAD;
  }
  return false;
}

/* "x32233", "x-3-2-2-3-3", "x 3 2 2 3 3". False when the word is too long to be frets. */
static bool read_signs(GlnText word, Signs *signs) {
  bool spaced = is_spaced(word);
  signs->count = 0;
  for (size_t at = 0; at < word.length;) {
    size_t separator = separator_at(word, at);
    if (spaced && separator > 0) {
      at += separator;
      continue;
    }
    if (signs->count == SIGNS_MAX)
      return false;
    at += read_sign(word, at, spaced, &signs->sign[signs->count++]);
  }
  return true;
}

static bool has_dash(GlnText word) {
  for (size_t at = 0; at < word.length; at++)
    if (dash_at(word, at) > 0)
      return true;
  return false;
}

/* "-2134-": fingers, a hyphen where none is. */
static bool read_dashed_fingers(GlnText word, int string_count, GlnPastedWord *out) {
  int count = 0;
  for (size_t at = 0; at < word.length; count++) {
    size_t dash = dash_at(word, at);
    char c = word.at[at];
    bool finger = c >= '0' && c <= '4', thumb = c == 'T' || c == 't';
    if (count == string_count || (dash == 0 && !finger && !thumb && letter_value(c) == BAD))
      return false;
    out->finger[count] = (int8_t)(dash > 0 ? GLN_NOT_PLAYED
                                  : finger ? c - '0'
                                  : thumb  ? GLN_THUMB
                                           : letter_value(c));
    at += dash > 0 ? dash : 1;
  }
  out->fingers_too = count == string_count;
  return out->fingers_too;
}

/* ---- what a word is ------------------------------------------------------------------------------------------------ */

static void fingers_of_signs(const Signs *signs, GlnPastedWord *word) {
  word->fingers_too = true;
  for (int s = 0; s < signs->count; s++) {
    int8_t value = signs->sign[s].thumb ? GLN_THUMB : signs->sign[s].value;
    word->finger[s] = value;
    word->fingers_too =
        word->fingers_too && (signs->sign[s].thumb || (value >= GLN_NOT_PLAYED && value <= 4));
  }
}

static void break_word(GlnPastedWord *word, size_t offset, size_t length, const char *problem) {
  word->kind = GLN_WORD_BROKEN;
  word->fault_offset = offset;
  word->fault_length = length;
  word->problem = problem;
}

/* A word of as many signs as there are strings: frets, fingers, or neither for a sign that is none. */
static void read_full_word(const Signs *signs, GlnPastedWord *word) {
  bool sounds = false;
  fingers_of_signs(signs, word);
  word->kind = GLN_WORD_FRETS;
  word->frets.string_count = (int8_t)signs->count;
  for (int s = 0; s < GLN_STRINGS_MAX; s++)
    word->frets.fret[s] = s < signs->count ? signs->sign[s].value : GLN_NOT_PLAYED;
  for (int s = 0; s < signs->count; s++) {
    const Sign *sign = &signs->sign[s];
    sounds = sounds || sign->value >= 0;
    if (sign->thumb && word->fingers_too) {
      word->kind = GLN_WORD_FINGERS;
      return;
    }
    if (sign->value == BAD)
      break_word(word, sign->offset, sign->length,
                 "this is no fret: write its number, 0 for an open string, x for one not played");
    else if (sign->value > GLN_FRETS_MAX)
      break_word(word, sign->offset, sign->length, "no neck has a fret this high; the limit is 24");
    if (word->kind == GLN_WORD_BROKEN)
      return;
  }
  if (!sounds)
    break_word(word, 0, word->text.length, "no string sounds");
}

static int count_bad(const Signs *signs) {
  int bad = 0;
  for (int s = 0; s < signs->count; s++)
    bad += signs->sign[s].value == BAD && !signs->sign[s].thumb;
  return bad;
}

/* Meant as frets: begins with a fret or an x, and nearly all of it is such. Words that merely hold figures ("4/4",
 * "120", "2nd") have other lengths or other letters. */
static bool looks_like_frets(const Signs *signs, int string_count) {
  int bad = count_bad(signs);
  if (signs->count < 3 || signs->sign[0].value == BAD || bad > signs->count / 3)
    return false;
  bool has_silent = false;
  for (int s = 0; s < signs->count; s++)
    has_silent = has_silent || signs->sign[s].value == GLN_NOT_PLAYED;
  return signs->count == string_count || (bad == 0 && (has_silent || signs->count >= 4));
}

static bool read_as_frets(GlnText text, int string_count, GlnPastedWord *word) {
  Signs signs;
  if (text.length == 0 || !read_signs(text, &signs))
    return false;
  if (signs.count == string_count && looks_like_frets(&signs, string_count)) {
    read_full_word(&signs, word);
    if (word->kind == GLN_WORD_BROKEN && word->problem != NULL && has_dash(text) &&
        read_dashed_fingers(text, string_count, word))
      word->kind = GLN_WORD_FINGERS;
    return true;
  }
  if (read_dashed_fingers(text, string_count, word)) {
    word->kind = GLN_WORD_FINGERS;
    return true;
  }
  if (!looks_like_frets(&signs, string_count))
    return false;
  break_word(word, 0, text.length, NULL);
  word->weak = signs.count < string_count;
  for (int s = 0; s < signs.count; s++)
    word->weak = word->weak && signs.sign[s].value != GLN_NOT_PLAYED;
  word->frets.string_count = (int8_t)signs.count;
  return true;
}

/* A fret by itself: "x", "10". */
static bool is_lone_sign(GlnText word) {
  if (word.length == 0 || word.length > 2)
    return false;
  for (size_t i = 0; i < word.length; i++)
    if (!gln_is_digit(word.at[i]) && (word.length > 1 || letter_value(word.at[i]) == BAD))
      return false;
  return true;
}

/* A row of lone signs from start on: "x 3 2 2 3 3". Its end, or start when it is too short; twice as many signs as
 * strings are frets and fingers, of which this takes the first half. */
static size_t row_end(GlnText line, size_t start, int string_count) {
  size_t end[2 * GLN_STRINGS_MAX + 1] = {0};
  int count = 0;
  for (size_t at = start; count <= 2 * string_count;) {
    GlnText word = word_at(line, &at);
    if (!is_lone_sign(word))
      break;
    end[count++] = at;
  }
  if (count == 2 * string_count)
    return end[string_count - 1];
  return count >= string_count - 1 && count >= 3 && count <= 2 * string_count ? end[count - 1] : start;
}

bool gln_pasted_word_next(GlnText line, size_t *at, int string_count, GlnPastedWord *word) {
  GlnText first = word_at(line, at);
  if (first.length == 0)
    return false;
  *word = (GlnPastedWord){.kind = GLN_WORD_OTHER, .text = bare_word(first)};
  size_t start = (size_t)(first.at - line.at);
  if (is_lone_sign(first)) {
    size_t end = row_end(line, start, string_count);
    if (end == start)
      return true;
    *at = end;
    word->text = gln_text_slice(line, start, end - start);
  }
  if (read_as_frets(word->text, string_count, word))
    return true;
  if (gln_chord_parse(word->text, &word->chord, NULL) == GLN_OK && !word->chord.silent)
    word->kind = GLN_WORD_CHORD;
  else if (gln_chord_parse(first, &word->chord, NULL) == GLN_OK && !word->chord.silent) {
    word->kind = GLN_WORD_CHORD; /* "C7(b9)" in which bare_word saw a bracket too many */
    word->text = first;
  }
  return true;
}
