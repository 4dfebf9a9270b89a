/* Reads a chord symbol: a root, the words that choose a quality (head), the tones that change it (items), a
 * bass.
 *
 *   symbol = root head item* ["/" bass]
 *   head   = any of: minor, major, dim, aug, half-dim, dom, sus, a number; they choose a row of the table of
 * qualities item   = "(" item ("," item)* ")" | "/" item | "add" tone | "no" tone | "alt" | sus | altered
 * tone | tone
 *
 * Items gather in two sets: what the head's tones lose (base) and what is named besides (named), so their
 * order does not matter. An accidental that touches the root's letter belongs to the root: Cb9sus is a C flat
 * chord. */
#include "theory_internal.h"

#include <string.h>

typedef struct Reader {
  GlnText text;
  size_t at;
  GlnStop *stop;
  GlnNote root;
  /* the head */
  GlnFamily family;
  bool family_said;
  bool major; /* "maj" was said */
  bool dominant;
  int number;
  int sus;
  int row;           /* of the table of qualities */
  GlnDegreeSet head; /* what that row holds */
  /* the tones */
  GlnDegreeSet base, named;
  bool has_bass;
  GlnNote bass;
  size_t bass_at;
} Reader;

static bool fail(Reader *reader, GlnFaultKind kind, size_t offset, size_t length) {
  *reader->stop = (GlnStop){kind, offset, length};
  return false;
}

static size_t code_point_length(const Reader *reader, size_t offset) {
  return offset < reader->text.length ? gln_text_code_point(reader->text, offset, NULL) : 0;
}

/* The part nobody understands: up to the next bracket, slash, comma or blank. */
static bool fail_here(Reader *reader, GlnFaultKind kind) {
  size_t end = reader->at + code_point_length(reader, reader->at);
  while (end < reader->text.length && strchr("()[]/, ", reader->text.at[end]) == NULL)
    end++;
  return fail(reader, kind, reader->at, end - reader->at);
}

static char peek(const Reader *reader) {
  return reader->at < reader->text.length ? reader->text.at[reader->at] : '\0';
}

static void skip_blanks(Reader *reader) {
  while (peek(reader) == ' ')
    reader->at++;
}

static const GlnWord *word_here(const Reader *reader) {
  return gln_word_at(reader->text, reader->at);
}

static bool is_word(const GlnWord *word, GlnWordKind kind) {
  return word != NULL && word->kind == (uint8_t)kind;
}

/* ---- head ---- */

/* 5+ and 5- are an altered fifth, not a power chord. */
static bool sign_follows(const Reader *reader, const GlnWord *number) {
  const GlnWord *sign = gln_word_at(reader->text, reader->at + number->taken);
  return is_word(sign, GLN_WORD_PLUS) || is_word(sign, GLN_WORD_DASH);
}

static bool number_is(const GlnWord *word, int value) {
  return is_word(word, GLN_WORD_NUMBER) && word->value == value;
}

static bool take_family(Reader *reader, GlnFamily family) {
  if (reader->family_said || reader->number != 0 || reader->sus != 0 || reader->major || reader->dominant)
    return false;
  reader->family = family;
  reader->family_said = true;
  return true;
}

static bool take_major(Reader *reader, bool says_seven) {
  if (reader->major || reader->sus != 0 || reader->dominant)
    return false;
  reader->major = true;
  if (says_seven && reader->number == 0) {
    const GlnWord *next = word_here(reader);
    if (!is_word(next, GLN_WORD_NUMBER))
      reader->number = 7;
  }
  return true;
}

static bool take_number(Reader *reader, const GlnWord *word) {
  bool fifth_family = reader->family == GLN_FAMILY_AUG || reader->family == GLN_FAMILY_DIM;
  if (fifth_family && word->value == 5 && reader->number == 0) /* C+5 says C+ twice */
    return true;
  bool after_sus = reader->sus != 0 && word->value != 7 && word->value != 9 && word->value != 13;
  if (reader->number != 0 || after_sus || (word->value == 5 && sign_follows(reader, word)))
    return false;
  reader->number = word->value;
  return true;
}

/* Right after the root, - and + are minor and augmented; -5, +11 and +13 are altered tones. */
static bool take_sign(Reader *reader, GlnFamily family, const GlnWord *word) {
  const GlnWord *next = gln_word_at(reader->text, reader->at + word->taken);
  bool altered = family == GLN_FAMILY_MINOR ? number_is(next, 5) : number_is(next, 11) || number_is(next, 13);
  return !altered && take_family(reader, family);
}

/* Takes the word into the head if it belongs there; false leaves it to the items. */
static bool take_head_word(Reader *reader, const GlnWord *word) {
  switch ((GlnWordKind)word->kind) {
  case GLN_WORD_MINOR:
    return take_family(reader, GLN_FAMILY_MINOR);
  case GLN_WORD_DIM:
    return take_family(reader, GLN_FAMILY_DIM);
  case GLN_WORD_AUG:
    return take_family(reader, GLN_FAMILY_AUG);
  case GLN_WORD_HALF:
    return take_family(reader, GLN_FAMILY_HALF);
  case GLN_WORD_DASH:
    return take_sign(reader, GLN_FAMILY_MINOR, word);
  case GLN_WORD_PLUS:
    return take_sign(reader, GLN_FAMILY_AUG, word);
  case GLN_WORD_DOMINANT:
    if (reader->family_said || reader->major || reader->number != 0)
      return false;
    reader->dominant = true;
    return true;
  case GLN_WORD_MAJOR:
    return take_major(reader, false);
  case GLN_WORD_DELTA:
    reader->at += word->taken;
    if (take_major(reader, true)) {
      reader->at -= word->taken;
      return true;
    }
    reader->at -= word->taken;
    return false;
  case GLN_WORD_NUMBER:
    return take_number(reader, word);
  case GLN_WORD_SUS:
    if (reader->sus != 0)
      return false;
    reader->sus = word->value == 0 ? 4 : word->value;
    return true;
  case GLN_WORD_NONE:
  case GLN_WORD_ADD:
  case GLN_WORD_OMIT:
  case GLN_WORD_ALT:
  case GLN_WORD_ROOT:
  case GLN_WORD_FLAT:
  case GLN_WORD_SHARP:
    break;
  }
  return false;
}

static void suspend(Reader *reader, int sus) {
  for (int alteration = -1; alteration <= 0; alteration++)
    gln_set_remove(&reader->base, 3, alteration);
  if (sus == 4 || sus == 24) {
    gln_set_add(&reader->base, 4, 0);
    gln_set_remove(&reader->base, 11, 0);
  }
  if (sus == 2 || sus == 24) {
    gln_set_add(&reader->base, 2, 0);
    gln_set_remove(&reader->base, 9, 0);
  }
}

static bool has_seventh(int number) {
  return number == 7 || number == 9 || number == 11 || number == 13;
}

/* The row of the table that the head's words choose. */
static bool read_base(Reader *reader, size_t start) {
  int stack = reader->number;
  if (stack == 0 && (reader->family == GLN_FAMILY_HALF || reader->dominant))
    stack = 7;
  if (stack == 0 && reader->major && reader->family != GLN_FAMILY_MAJOR)
    stack = 7; /* CmMaj */
  if (reader->major && has_seventh(stack))
    stack += GLN_STACK_MAJOR;
  int row = gln_quality_base(reader->family, stack);
  reader->row = row;
  if (row < 0)
    return fail(reader, GLN_FAULT_BASE, start, reader->at - start);
  reader->head = gln_set_of(gln_quality_at((size_t)row)->degrees);
  reader->base = reader->head;
  if (reader->sus != 0)
    suspend(reader, reader->sus);
  return true;
}

static bool read_head(Reader *reader) {
  size_t start = reader->at;
  reader->family = GLN_FAMILY_MAJOR;
  for (;;) {
    size_t before = reader->at;
    skip_blanks(reader);
    const GlnWord *word = word_here(reader);
    if (word == NULL || !take_head_word(reader, word)) {
      if (word == NULL)
        reader->at = before;
      break;
    }
    reader->at += word->taken;
  }
  return read_base(reader, start);
}

/* ---- items ---- */

/* Accidentals in any spelling, at most GLN_ALTERATION_MAX together. */
static bool read_alteration(Reader *reader, int *alteration) {
  size_t start = reader->at;
  *alteration = 0;
  for (;;) {
    const GlnWord *word = word_here(reader);
    int step = is_word(word, GLN_WORD_FLAT) || is_word(word, GLN_WORD_DASH)    ? -1
               : is_word(word, GLN_WORD_SHARP) || is_word(word, GLN_WORD_PLUS) ? 1
                                                                               : 0;
    if (step == 0)
      break;
    reader->at += word->taken;
    bool against = *alteration * step < 0; /* b# */
    *alteration += step * (word->value == 0 ? 1 : word->value);
    if (against || *alteration > GLN_ALTERATION_MAX || *alteration < -GLN_ALTERATION_MAX)
      return fail(reader, GLN_FAULT_ACCIDENTALS, start, reader->at - start);
  }
  return true;
}

static bool read_number(Reader *reader, size_t start, int *number) {
  const GlnWord *word = word_here(reader);
  if (!is_word(word, GLN_WORD_NUMBER) || word->value == GLN_STACK_SIX_NINE)
    return fail(reader, GLN_FAULT_NUMBER, start, reader->at > start ? reader->at - start : 1);
  *number = word->value;
  reader->at += word->taken;
  return true;
}

/* "maj7" among the items: the major seventh in place of the minor one; "maj9" brings its ninth along,
 * "maj11" and "maj13" that and their own. */
static bool name_major(Reader *reader, int number) {
  gln_set_remove(&reader->base, 7, -1);
  gln_set_remove(&reader->base, 7, -2);
  gln_set_add(&reader->named, 7, 0);
  if (number > 7)
    gln_set_add(&reader->named, 9, 0);
  if (number > 9)
    gln_set_add(&reader->named, number, 0);
  return true;
}

static bool item_major(Reader *reader, const GlnWord *word, size_t start) {
  reader->at += word->taken;
  const GlnWord *next = word_here(reader);
  if (is_word(next, GLN_WORD_NUMBER) && has_seventh(next->value)) {
    reader->at += next->taken;
    return name_major(reader, next->value);
  }
  if (word->kind == GLN_WORD_DELTA)
    return name_major(reader, 7);
  return fail(reader, GLN_FAULT_PLACE, start, reader->at - start);
}

/* An altered tone takes the place of the natural one in the base; ♯7 is the major seventh. */
static bool name_altered(Reader *reader, int number, int alteration, size_t start) {
  if (number == 7 && alteration == 1)
    return name_major(reader, 7);
  bool known = number >= 4 && number <= 13 && number != 8 && number != 10 && number != 12;
  if (!known || (number == 7 && alteration > 0))
    return fail(reader, GLN_FAULT_DEGREE, start, reader->at - start);
  gln_set_remove(&reader->base, number, 0);
  if (number == 7)
    gln_set_remove(&reader->base, 7, -1);
  gln_set_add(&reader->named, number, alteration);
  return true;
}

/* A number with no accidental: 2 and 9 are the ninth, 4 suspends, 7 is the seventh of a chord that has none yet. */
static bool name_natural(Reader *reader, int number, size_t start) {
  switch (number) {
  case 2:
    gln_set_add(&reader->named, 9, 0);
    return true;
  case 4:
    suspend(reader, 4);
    return true;
  case 7:
    if (gln_set_has_number(&reader->base, 7) || gln_set_has_number(&reader->named, 7))
      return fail(reader, GLN_FAULT_PLACE, start, reader->at - start);
    if (reader->major) /* Cmaj(7) */
      return name_major(reader, 7);
    gln_set_add(&reader->named, 7, reader->family == GLN_FAMILY_DIM ? -2 : -1);
    return true;
  case 6:
  case 9:
  case 11:
  case 13:
    gln_set_add(&reader->named, number, 0);
    return true;
  default:
    return fail(reader, GLN_FAULT_DEGREE, start, reader->at - start);
  }
}

/* 9, 9-, 5+, and 7M. */
static bool item_number(Reader *reader, size_t start) {
  int number = 0;
  if (start > 0 && gln_is_digit(reader->text.at[start - 1])) /* Cmaj77, C7911: which number was meant? */
    return fail_here(reader, GLN_FAULT_PLACE);
  if (!read_number(reader, start, &number))
    return false;
  const GlnWord *next = word_here(reader);
  if (has_seventh(number) && (is_word(next, GLN_WORD_MAJOR) || is_word(next, GLN_WORD_DELTA))) {
    reader->at += next->taken;
    return name_major(reader, number);
  }
  bool sign = is_word(next, GLN_WORD_PLUS) || is_word(next, GLN_WORD_DASH);
  if (sign && !is_word(gln_word_at(reader->text, reader->at + next->taken), GLN_WORD_NUMBER)) {
    reader->at += next->taken;
    return name_altered(reader, number, next->kind == GLN_WORD_PLUS ? 1 : -1, start);
  }
  return name_natural(reader, number, start);
}

static bool item_altered(Reader *reader, const GlnWord *word, size_t start) {
  int alteration = 0;
  int number = 0;
  const GlnWord *next = gln_word_at(reader->text, reader->at + word->taken);
  if (word->kind == GLN_WORD_PLUS && !is_word(next, GLN_WORD_NUMBER) &&
      reader->text.at[start - 1] != '/') { /* C7+ */
    reader->at += word->taken;
    return name_altered(reader, 5, 1, start);
  }
  if (!read_alteration(reader, &alteration) || !read_number(reader, start, &number))
    return false;
  return name_altered(reader, number, alteration, start);
}

/* add: exactly this tone, nothing goes. 7 is the minor seventh as in C7, add2 the ninth as in C2. */
static bool item_add(Reader *reader, const GlnWord *word, size_t start) {
  int alteration = 0;
  int number = 0;
  reader->at += word->taken;
  skip_blanks(reader);
  const GlnWord *major = word_here(reader);
  if (is_word(major, GLN_WORD_MAJOR) || is_word(major, GLN_WORD_DELTA)) {
    reader->at += major->taken;
    if (!read_number(reader, start, &number))
      return false;
    if (number != 7)
      return fail(reader, GLN_FAULT_DEGREE, start, reader->at - start);
    gln_set_add(&reader->named, 7, 0);
    return true;
  }
  if (!read_alteration(reader, &alteration) || !read_number(reader, start, &number))
    return false;
  if (number > 13)
    return fail(reader, GLN_FAULT_DEGREE, start, reader->at - start);
  if (alteration == 0 && number == 7)
    alteration = -1;
  if (alteration == 0 && number == 2)
    number = 9;
  gln_set_add(&reader->named, number, alteration);
  return true;
}

/* no3, omit5, no root: the base loses what it has by this number, however altered. */
static bool item_omit(Reader *reader, const GlnWord *word, size_t start) {
  int alteration = 0;
  int number = 1;
  reader->at += word->taken;
  skip_blanks(reader);
  const GlnWord *root = word_here(reader);
  if (is_word(root, GLN_WORD_ROOT))
    reader->at += root->taken;
  else if (!read_alteration(reader, &alteration) || !read_number(reader, start, &number))
    return false;
  reader->base.of[number] = 0;
  return true;
}

static bool item_alt(Reader *reader, const GlnWord *word, size_t start) {
  reader->at += word->taken;
  bool dominant = reader->family == GLN_FAMILY_MAJOR && !reader->major && reader->sus == 0 &&
                  (reader->number == 0 || reader->number == 7);
  int row = gln_quality_base(GLN_FAMILY_ALT, 0);
  if (!dominant || row < 0)
    return fail(reader, GLN_FAULT_PLACE, start, reader->at - start);
  reader->base = gln_set_of(gln_quality_at((size_t)row)->degrees);
  return true;
}

static bool read_tone_item(Reader *reader) {
  size_t start = reader->at;
  const GlnWord *word = word_here(reader);
  if (word == NULL)
    return fail_here(reader, GLN_FAULT_WORD);
  switch ((GlnWordKind)word->kind) {
  case GLN_WORD_SUS:
    reader->at += word->taken;
    suspend(reader, word->value == 0 ? 4 : word->value);
    return true;
  case GLN_WORD_ADD:
    return item_add(reader, word, start);
  case GLN_WORD_OMIT:
    return item_omit(reader, word, start);
  case GLN_WORD_ALT:
    return item_alt(reader, word, start);
  case GLN_WORD_NUMBER:
    return item_number(reader, start);
  case GLN_WORD_FLAT:
  case GLN_WORD_SHARP:
  case GLN_WORD_DASH:
  case GLN_WORD_PLUS:
    return item_altered(reader, word, start);
  case GLN_WORD_MAJOR:
  case GLN_WORD_DELTA:
    return item_major(reader, word, start);
  case GLN_WORD_AUG:
    reader->at += word->taken;
    return name_altered(reader, 5, 1, start);
  case GLN_WORD_NONE:
  case GLN_WORD_MINOR:
  case GLN_WORD_DIM:
  case GLN_WORD_HALF:
  case GLN_WORD_DOMINANT:
  case GLN_WORD_ROOT:
    break;
  }
  return fail(reader, GLN_FAULT_PLACE, start, word->taken);
}

static bool read_bracket(Reader *reader) {
  size_t open = reader->at;
  char close = peek(reader) == '(' ? ')' : ']';
  do {
    reader->at++;
    skip_blanks(reader);
    if (peek(reader) == close || peek(reader) == ',' || peek(reader) == '/')
      return fail(reader, GLN_FAULT_HOLLOW, reader->at, 1);
    if (reader->at == reader->text.length)
      return fail(reader, GLN_FAULT_OPEN, open, 1);
    do {
      if (!read_tone_item(reader))
        return false;
      skip_blanks(reader);
    } while (reader->at < reader->text.length && strchr(",/)]([", peek(reader)) == NULL);
  } while (peek(reader) == ',' || peek(reader) == '/');
  if (peek(reader) != close)
    return fail(reader, GLN_FAULT_OPEN, open, 1);
  reader->at++;
  return true;
}

/* After a slash: a note in capitals is the bass, anything else one more item (C6/9, C4/7). */
static bool read_after_slash(Reader *reader) {
  size_t slash = reader->at++;
  skip_blanks(reader);
  size_t used = 0;
  const GlnWord *word = word_here(reader);
  bool is_item =
      word != NULL && (word->taken > 1 || !gln_is_letter(peek(reader)) || word->kind == GLN_WORD_MAJOR);
  bool is_flat_tone = is_word(word, GLN_WORD_FLAT) &&
                      is_word(gln_word_at(reader->text, reader->at + word->taken), GLN_WORD_NUMBER);
  if (is_item || is_flat_tone)
    return read_tone_item(reader);
  if (reader->at == reader->text.length)
    return fail(reader, GLN_FAULT_HOLLOW, slash, 1);
  if (gln_note_parse(gln_text_from(reader->text, reader->at), &reader->bass, &used) != GLN_OK)
    return fail_here(reader, GLN_FAULT_BASS);
  if (reader->bass.accidental > GLN_ROOT_ACCIDENTAL_MAX || reader->bass.accidental < -GLN_ROOT_ACCIDENTAL_MAX)
    return fail(reader, GLN_FAULT_ACCIDENTALS, reader->at, used);
  reader->has_bass = true;
  reader->bass_at = reader->at;
  reader->at += used;
  skip_blanks(reader);
  return reader->at == reader->text.length || fail_here(reader, GLN_FAULT_AFTER_BASS);
}

static bool read_item(Reader *reader) {
  switch (peek(reader)) {
  case '(':
  case '[':
    return read_bracket(reader);
  case ')':
  case ']':
    return fail(reader, GLN_FAULT_CLOSE, reader->at, 1);
  case '/':
    return read_after_slash(reader);
  case ',':
    reader->at++;
    skip_blanks(reader);
    if (reader->at == reader->text.length)
      return fail(reader, GLN_FAULT_HOLLOW, reader->at - 1, 1);
    return read_tone_item(reader);
  default:
    return read_tone_item(reader);
  }
}

/* ---- the whole symbol ---- */

static bool read_root(Reader *reader) {
  size_t used = 0;
  if (gln_note_parse(reader->text, &reader->root, &used) != GLN_OK) {
    bool letter = reader->text.at[0] >= 'A' && reader->text.at[0] <= 'G';
    return letter ? fail_here(reader, GLN_FAULT_ACCIDENTALS) : fail_here(reader, GLN_FAULT_ROOT);
  }
  if (reader->root.accidental > GLN_ROOT_ACCIDENTAL_MAX || reader->root.accidental < -GLN_ROOT_ACCIDENTAL_MAX)
    return fail(reader, GLN_FAULT_ACCIDENTALS, 0, used);
  reader->at = used;
  return true;
}

GlnStop gln_assembly_stop(GlnAssembly assembly, GlnText symbol, size_t bass_offset) {
  switch (assembly) {
  case GLN_TOO_MANY_TONES:
    return (GlnStop){GLN_FAULT_CROWDED, 0, symbol.length};
  case GLN_NO_TONES:
    return (GlnStop){GLN_FAULT_BARE, 0, symbol.length};
  case GLN_TOO_MANY_ACCIDENTALS:
    if (bass_offset > 0)
      return (GlnStop){GLN_FAULT_FAR_BASS, bass_offset, symbol.length - bass_offset};
    return (GlnStop){GLN_FAULT_SPELLING, 0, symbol.length};
  case GLN_ASSEMBLED:
    break;
  }
  return (GlnStop){GLN_FAULT_NONE, 0, 0};
}

static bool assemble(Reader *reader, GlnChord *chord) {
  GlnDegreeSet own = gln_set_with(&reader->base, &reader->named);
  GlnChord made;
  int quality = memcmp(&own, &reader->head, sizeof own) == 0 ? reader->row : -1;
  GlnAssembly assembly = gln_chord_assemble(reader->root, &own, quality, NULL, &made);
  if (assembly == GLN_ASSEMBLED && reader->has_bass)
    assembly = gln_chord_assemble(reader->root, &own, quality, &reader->bass, &made);
  else
    reader->bass_at = 0;
  if (assembly != GLN_ASSEMBLED) {
    *reader->stop = gln_assembly_stop(assembly, reader->text, reader->bass_at);
    return false;
  }
  *chord = made;
  return true;
}

bool gln_symbol_read(GlnText symbol, GlnChord *chord, GlnStop *stop) {
  Reader reader = {.text = symbol, .stop = stop};
  if (symbol.length == 0)
    return fail(&reader, GLN_FAULT_EMPTY, 0, 0);
  if (symbol.length >= GLN_SYMBOL_TEXT_MAX)
    return fail(&reader, GLN_FAULT_LONG, GLN_SYMBOL_TEXT_MAX - 1, symbol.length - (GLN_SYMBOL_TEXT_MAX - 1));
  if (gln_silence_word(symbol)) {
    *chord = (GlnChord){.silent = true, .quality = -1, .root_tone = -1, .bass_tone = -1};
    return true;
  }
  if (!read_root(&reader) || !read_head(&reader))
    return false;
  for (skip_blanks(&reader); reader.at < symbol.length; skip_blanks(&reader)) {
    if (!read_item(&reader))
      return false;
  }
  return assemble(&reader, chord);
}
