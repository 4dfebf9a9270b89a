/* Pasted text, line by line: which frets stand with which chord name. */
#include "pasted_internal.h"

#include <string.h>

#define NAMES_MAX 64 /* chord names of one line that the next may have the frets of */

typedef struct PastedReader {
  GlnText source;
  int string_count;
  GlnArena *arena;
  GlnDiags *diags;
  GlnPasted *out;
  size_t capacity;
  GlnStatus status;
  GlnPastedWord *words; /* of the line */
  size_t word_count;
  GlnPastedWord *names; /* of the line before, when it held nothing but chord names */
  size_t name_count;
} PastedReader;

static size_t offset_of(const PastedReader *reader, const GlnPastedWord *word) {
  return (size_t)(word->text.at - reader->source.at);
}

/* ---- fingers ----------------------------------------------------------------------------------------------------- */

/* Can these be the fingers of those frets? A finger on every stopped string and on no other. */
static bool fits_as_fingers(const GlnPastedWord *fingers, const GlnPastedWord *frets) {
  if (!fingers->fingers_too || frets->kind != GLN_WORD_FRETS)
    return false;
  for (int s = 0; s < frets->frets.string_count; s++)
    if ((fingers->finger[s] > 0) != (frets->frets.fret[s] > 0))
      return false;
  return true;
}

static bool is_fingers_word(const PastedReader *reader, size_t i) {
  const GlnPastedWord *word = &reader->words[i];
  if (word->kind == GLN_WORD_FINGERS)
    return true;
  /* The second of two fret words that stand side by side, when its signs fit. */
  return i > 0 && word->kind == GLN_WORD_FRETS && fits_as_fingers(word, &reader->words[i - 1]);
}

/* ---- grips ------------------------------------------------------------------------------------------------------- */

static GlnPastedGrip *new_grip(PastedReader *reader) {
  GlnPasted *out = reader->out;
  if (out->count == GLN_PASTED_GRIPS_MAX) {
    if (reader->status == GLN_OK)
      gln_diags_add(reader->diags, (GlnDiag){.severity = GLN_ERROR,
                                             .problem = GLN_TEXT("more than 10000 grips in one text"),
                                             .advice = GLN_TEXT("split it")});
    reader->status = GLN_LIMIT;
    return NULL;
  }
  if (out->count == reader->capacity) {
    size_t capacity = reader->capacity == 0 ? 64 : 2 * reader->capacity;
    GlnPastedGrip *grips = GLN_NEW(reader->arena, GlnPastedGrip, capacity);
    if (grips == NULL) {
      reader->status = GLN_MEMORY;
      return NULL;
    }
    if (out->count > 0)
      memcpy(grips, out->grips, out->count * sizeof *grips);
    out->grips = grips;
    reader->capacity = capacity;
  }
  return &out->grips[out->count++];
}

/* The grip of a chord word and the fret word at index i, with the fingers that stand beside it. */
static void take_grip(PastedReader *reader, const GlnPastedWord *name, size_t i) {
  const GlnPastedWord *frets = &reader->words[i];
  GlnPastedGrip *grip = new_grip(reader);
  if (grip == NULL)
    return;
  *grip =
      (GlnPastedGrip){.symbol = name->text, .chord = name->chord, .text = frets->text, .frets = frets->frets};
  const GlnPastedWord *beside = NULL;
  if (i + 1 < reader->word_count && is_fingers_word(reader, i + 1))
    beside = &reader->words[i + 1];
  else if (i > 0 && reader->words[i - 1].kind == GLN_WORD_FINGERS)
    beside = &reader->words[i - 1];
  if (beside == NULL || !fits_as_fingers(beside, frets))
    return;
  grip->has_fingers = true;
  for (int s = 0; s < frets->frets.string_count; s++)
    grip->finger[s] = beside->finger[s] > 0 ? beside->finger[s] : 0;
}

/* ---- faults ------------------------------------------------------------------------------------------------------ */

static void complain_of_broken(PastedReader *reader, const GlnPastedWord *word) {
  size_t offset = offset_of(reader, word) + word->fault_offset;
  if (word->problem != NULL)
    gln_diags_format(reader->diags, GLN_ERROR, offset, word->fault_length, "", "%s", word->problem);
  else
    gln_diags_format(reader->diags, GLN_ERROR, offset, word->fault_length,
                     "write a sign for each string, the lowest first, x for one not played; or say which "
                     "instrument it is with --tuning",
                     "these frets are for %d strings, and the instrument has %d", word->frets.string_count,
                     reader->string_count);
}

/* A word that may have been meant as the chord name: "Hm7". */
static const GlnPastedWord *failed_name(const PastedReader *reader) {
  for (size_t i = 0; i < reader->word_count; i++)
    if (reader->words[i].kind == GLN_WORD_OTHER)
      return &reader->words[i];
  return NULL;
}

static void complain_of_no_name(PastedReader *reader, const GlnPastedWord *frets) {
  const GlnPastedWord *name = failed_name(reader);
  GlnSymbolFault fault = {0};
  if (name == NULL || gln_chord_parse(name->text, &(GlnChord){0}, &fault) == GLN_OK) {
    gln_diags_format(reader->diags, GLN_ERROR, offset_of(reader, frets), frets->text.length,
                     "write it on the same line, or alone on the line above",
                     "no chord name stands with these frets");
    return;
  }
  char advice[GLN_SYMBOL_TEXT_MAX + 32];
  GlnText nearest = gln_text(fault.nearest);
  size_t length = 0;
  const GlnText parts[] = {GLN_TEXT("did you mean "), nearest, GLN_TEXT("?")};
  for (size_t p = 0; nearest.length > 0 && p < GLN_COUNT_OF(parts); p++) {
    memcpy(advice + length, parts[p].at, parts[p].length);
    length += parts[p].length;
  }
  advice[length] = '\0';
  size_t offset = fault.offset < name->text.length ? fault.offset : name->text.length - 1;
  gln_diags_format(reader->diags, GLN_ERROR, offset_of(reader, name) + offset,
                   fault.length > 0 ? fault.length : 1, advice, "%s", fault.problem);
}

/* ---- a line ------------------------------------------------------------------------------------------------------- */

static size_t count_kind(const PastedReader *reader, GlnWordKind kind) {
  size_t count = 0;
  for (size_t i = 0; i < reader->word_count; i++)
    count += reader->words[i].kind == kind;
  return count;
}

static size_t count_grips(const PastedReader *reader) {
  size_t count = 0;
  for (size_t i = 0; i < reader->word_count; i++)
    count += reader->words[i].kind == GLN_WORD_FRETS && !is_fingers_word(reader, i);
  return count;
}

/* The chord name that goes with the frets at index i: where the line begins with a name, the last before; where it begins
 * with frets, the next after. */
static const GlnPastedWord *name_of(const PastedReader *reader, size_t i, bool name_first) {
  for (size_t at = i; name_first && at-- > 0;)
    if (reader->words[at].kind == GLN_WORD_CHORD)
      return &reader->words[at];
  for (size_t at = i + 1; !name_first && at < reader->word_count; at++)
    if (reader->words[at].kind == GLN_WORD_CHORD)
      return &reader->words[at];
  return NULL;
}

/* A line of names alone waits for frets on the next. */
static void keep_names(PastedReader *reader) {
  reader->name_count = reader->word_count < NAMES_MAX ? reader->word_count : NAMES_MAX;
  for (size_t i = 0; i < reader->name_count; i++)
    reader->names[i] = reader->words[i];
  reader->out->bare_count += reader->word_count;
}

static void pair_words(PastedReader *reader) {
  bool name_first = false, decided = false;
  size_t grips = count_grips(reader), names = count_kind(reader, GLN_WORD_CHORD), at = 0;
  bool names_above = names == 0 && grips == reader->name_count;
  for (size_t i = 0; i < reader->word_count && !decided; i++) {
    name_first = reader->words[i].kind == GLN_WORD_CHORD;
    decided = name_first || reader->words[i].kind == GLN_WORD_FRETS;
  }
  for (size_t i = 0; i < reader->word_count && reader->status == GLN_OK; i++) {
    const GlnPastedWord *word = &reader->words[i];
    if (word->kind != GLN_WORD_FRETS || is_fingers_word(reader, i))
      continue;
    const GlnPastedWord *name = names_above ? &reader->names[at++] : name_of(reader, i, name_first);
    if (name == NULL)
      complain_of_no_name(reader, word);
    else
      take_grip(reader, name, i);
  }
  if (names_above)
    reader->out->bare_count -= grips;
}

static void read_line(PastedReader *reader, GlnText line) {
  size_t at = 0;
  GlnPastedWord word;
  reader->word_count = 0;
  while (gln_pasted_word_next(line, &at, reader->string_count, &word)) {
    if (reader->word_count == GLN_PASTED_WORDS_MAX)
      return; /* prose: nobody writes so many chords in a line */
    reader->words[reader->word_count++] = word;
  }
  if (reader->word_count == 0)
    return;
  size_t names = count_kind(reader, GLN_WORD_CHORD), grips = count_grips(reader);
  bool named = names > 0 || reader->name_count > 0, prose = count_kind(reader, GLN_WORD_OTHER) > 0;
  for (size_t i = 0; i < reader->word_count; i++)
    if (reader->words[i].kind == GLN_WORD_BROKEN && named && !(reader->words[i].weak && prose))
      complain_of_broken(reader, &reader->words[i]);
  if (grips > 0)
    pair_words(reader);
  reader->name_count = 0;
  if (names == reader->word_count)
    keep_names(reader);
}

/* ---- the text ----------------------------------------------------------------------------------------------------- */

static GlnText line_at(GlnText source, size_t *at) {
  size_t start = *at, end = gln_text_find(source, GLN_TEXT("\n"), start);
  *at = end < source.length ? end + 1 : source.length;
  return gln_text_slice(source, start, end - start);
}

static GlnStatus check_source(GlnText source, GlnDiags *diags) {
  if (source.length > GLN_PASTED_BYTES_MAX) {
    gln_diags_add(diags, (GlnDiag){.severity = GLN_ERROR,
                                   .problem = GLN_TEXT("more than 1 MiB of text"),
                                   .advice = GLN_TEXT("paste the lines with chords alone")});
    return GLN_LIMIT;
  }
  size_t bad = gln_text_bad_utf8(source);
  if (bad == source.length)
    return GLN_OK;
  gln_diags_format(diags, GLN_ERROR, bad, 1, "save it as plain text in UTF-8", "this is no text in UTF-8");
  return GLN_INPUT;
}

GlnStatus gln_pasted_read(GlnText source, int string_count, GlnArena *arena, GlnDiags *diags,
                          GlnPasted *pasted) {
  PastedReader reader = {
      .source = source, .string_count = string_count, .arena = arena, .diags = diags, .out = pasted};
  *pasted = (GlnPasted){.grips = NULL};
  GLN_TRY(check_source(source, diags));
  size_t errors = diags->error_count;
  reader.words = GLN_NEW(arena, GlnPastedWord, GLN_PASTED_WORDS_MAX);
  reader.names = GLN_NEW(arena, GlnPastedWord, NAMES_MAX);
  if (reader.words == NULL || reader.names == NULL)
    return GLN_MEMORY;
  for (size_t at = 0; at < source.length && reader.status == GLN_OK;)
    read_line(&reader, line_at(source, &at));
  if (reader.status != GLN_OK)
    return reader.status;
  return diags->error_count > errors ? GLN_INPUT : GLN_OK;
}

/* Frets that stand by themselves between bar lines: a table, not a chart. */
static bool holds_frets(GlnText line) {
  GlnPastedWord word;
  for (int strings = 4; strings <= GLN_STRINGS_MAX; strings++)
    for (size_t at = 0; gln_pasted_word_next(line, &at, strings, &word);) {
      bool bare = word.text.at == line.at || (word.text.at[-1] != '@' && word.text.at[-1] != '^');
      if (word.kind == GLN_WORD_FRETS && bare)
        return true;
    }
  return false;
}

bool gln_pasted_is_chart(GlnText source) {
  bool bars = false;
  for (size_t at = 0; at < source.length;) {
    GlnText line = gln_text_trim(line_at(source, &at));
    if (!gln_text_starts(line, GLN_TEXT("|")))
      continue;
    bars = true;
    if (holds_frets(line))
      return false;
  }
  return bars;
}
