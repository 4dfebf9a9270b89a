/* Charts as people paste them: bars between |, or chord names over the lines of a lyric. What the text does not say is
 * guessed, each guess is told, and a note says how sure the whole is. */
#include "plain_text_internal.h"

#include <string.h>

static GlnText words_of(GlnArena *arena, const GlnBuffer *buffer) {
  GlnText text = gln_buffer_text(buffer);
  const char *copy = gln_text_copy(arena, text);
  return copy != NULL ? (GlnText){copy, text.length} : (GlnText){NULL, 0};
}

static void tell(GlnPlainReader *reader, GlnText part, const char *advice, const char *problem) {
  gln_diags_format(reader->diags, GLN_WARNING, (size_t)(part.at - reader->source.at), part.length, advice,
                   "%s", problem);
}

/* ---- sections ---------------------------------------------------------------------------------------------------- */

static bool same_name(const GlnPlainSection *section, GlnText name) {
  return gln_text_equal_ignoring_case(section->name, name);
}

static GlnPlainSection *find_section(GlnPlainReader *reader, GlnText name) {
  for (size_t i = 0; i < reader->section_count; i++)
    if (same_name(&reader->sections[i], name))
      return &reader->sections[i];
  return NULL;
}

/* A name that a form can call: no commas, brackets or number signs. */
static GlnText callable(GlnPlainReader *reader, GlnText name) {
  GlnBuffer out = gln_buffer(reader->arena);
  for (size_t i = 0; i < name.length; i++)
    if (strchr("[],#|", name.at[i]) == NULL)
      gln_buffer_add_byte(&out, name.at[i]);
  GlnText text = gln_text_trim(words_of(reader->arena, &out));
  return text.length > 0 ? text : GLN_TEXT("part");
}

static GlnText fresh_name(GlnPlainReader *reader, GlnText name) {
  for (int number = 2; find_section(reader, name) != NULL; number++) {
    GlnBuffer out = gln_buffer(reader->arena);
    gln_buffer_format(&out, "%.*s (%d)", (int)name.length, name.at, number);
    GlnText next = words_of(reader->arena, &out);
    if (next.length == 0 || number > GLN_CHART_SECTIONS_MAX)
      break;
    if (find_section(reader, next) == NULL)
      return next;
  }
  return name;
}

static GlnPlainSection *add_section(GlnPlainReader *reader, GlnText name) {
  if (reader->section_count == GLN_PLAIN_SECTIONS_MAX || reader->form_count == GLN_PLAIN_FORM_MAX) {
    reader->status = GLN_LIMIT;
    gln_diags_format(reader->diags, GLN_ERROR, (size_t)(reader->line.at - reader->source.at),
                     reader->line.length, "split the text", "more than %d sections", GLN_PLAIN_SECTIONS_MAX);
    return NULL;
  }
  GlnPlainSection *section = &reader->sections[reader->section_count];
  *section = (GlnPlainSection){.name = name};
  reader->form[reader->form_count++] = (uint16_t)reader->section_count++;
  return section;
}

/* The heading that waits becomes a section once bars come; one that none follow calls the section of its name. */
static void settle_heading(GlnPlainReader *reader, bool bars_follow) {
  if (!reader->heading_waits)
    return;
  reader->heading_waits = false;
  GlnText name = callable(reader, reader->heading);
  GlnPlainSection *known = find_section(reader, name);
  if (bars_follow) {
    if (known != NULL)
      tell(reader, reader->heading,
           "give it a name of its own, or leave the bars away when they are the same",
           "a section of this name has bars above; this one is told apart by a number");
    reader->section = add_section(reader, fresh_name(reader, name));
  } else if (known != NULL && reader->form_count < GLN_PLAIN_FORM_MAX) {
    reader->form[reader->form_count++] = (uint16_t)(known - reader->sections);
    reader->called = true;
  } else if (known == NULL) {
    tell(reader, reader->heading, "", "no bars follow this heading; it is left out");
  }
}

static GlnPlainItem *add_item(GlnPlainReader *reader, GlnPlainItem item) {
  if (reader->section == NULL)
    reader->section = add_section(reader, GLN_TEXT("song"));
  GlnPlainSection *section = reader->section;
  if (section == NULL)
    return NULL;
  if (reader->item_count == GLN_PLAIN_ITEMS_MAX) {
    reader->status = GLN_LIMIT;
    gln_diags_format(reader->diags, GLN_ERROR, (size_t)(reader->line.at - reader->source.at),
                     reader->line.length, "split the text", "more than %d bars and lines",
                     GLN_PLAIN_ITEMS_MAX);
    return NULL;
  }
  if (reader->item_count == reader->item_capacity) {
    size_t capacity = reader->item_capacity == 0 ? 64 : 2 * reader->item_capacity;
    GlnPlainItem *items = GLN_NEW(reader->arena, GlnPlainItem, capacity);
    if (items == NULL) {
      reader->status = GLN_MEMORY;
      return NULL;
    }
    if (reader->item_count > 0)
      memcpy(items, reader->items, reader->item_count * sizeof *items);
    reader->items = items;
    reader->item_capacity = capacity;
  }
  section->bars += item.is_words ? 0 : 1;
  item.section = (uint16_t)(section - reader->sections);
  reader->items[reader->item_count] = item;
  return &reader->items[reader->item_count++];
}

/* ---- bars -------------------------------------------------------------------------------------------------------- */

static size_t section_bars(const GlnPlainReader *reader) {
  return reader->section != NULL ? reader->section->bars : 0;
}

/* The marks of a bar from its first chord on; at its start slashes hold the chord of the bar before, where there is one. */
static GlnText skip_loose_holds(const GlnPlainReader *reader, GlnText bar) {
  size_t at = 0, before = 0;
  GlnText word;
  if (section_bars(reader) > 0)
    return bar;
  while (gln_word_next(bar, &at, &word) && gln_plain_holds(word))
    before = at;
  return gln_text_from(bar, before);
}

static size_t count_marks(GlnText bar, size_t *holds) {
  size_t marks = 0, at = 0;
  *holds = 0;
  for (GlnText word; gln_word_next(bar, &at, &word); marks++)
    *holds += gln_plain_holds(word);
  return marks;
}

static void add_mark(GlnPlainReader *reader, GlnText word, GlnBuffer *out) {
  GlnChord chord;
  gln_buffer_add_string(out, gln_buffer_text(out).length == 0 ? "" : " ");
  if (gln_plain_holds(word)) {
    gln_buffer_add_byte(out, '/');
  } else if (gln_plain_chord(word, &chord)) {
    gln_buffer_add(out, gln_symbol_copy(&chord, reader->arena));
    reader->chords++;
  } else {
    reader->unread++;
    tell(reader, word, "correct it in the chart", "this is no chord that can be read; N.C. is written");
    gln_buffer_add_string(out, "N.C.");
  }
}

/* The marks of a bar as a chart has them: chords, and slashes for beats on which one goes on. */
static GlnText bar_marks(GlnPlainReader *reader, GlnText whole) {
  GlnBuffer out = gln_buffer(reader->arena);
  GlnText bar = skip_loose_holds(reader, whole);
  size_t at = 0, holds = 0, counts = (size_t)gln_meter_counts(reader->meter);
  size_t marks = count_marks(bar, &holds);
  bool fills = holds == 0 || marks % counts == 0;
  if (!fills && marks > holds)
    tell(reader, whole, "write one mark for each beat",
         "the beats of this bar do not fill it; its chords share it evenly");
  for (GlnText word; gln_word_next(bar, &at, &word);)
    if (fills || !gln_plain_holds(word))
      add_mark(reader, word, &out);
  if (gln_buffer_text(&out).length == 0 && holds > 0)
    gln_buffer_add_repeated(&out, GLN_TEXT("/ "), counts); /* the chord before fills this bar too */
  else if (gln_buffer_text(&out).length == 0)
    gln_buffer_add_string(&out, "N.C.");
  return gln_text_trim(words_of(reader->arena, &out));
}

/* One piece between bar lines, with the dots of repeats at its ends. */
static void read_bar(GlnPlainReader *reader, GlnText piece, bool *line_starts) {
  GlnPlainItem item = {.line_starts = *line_starts};
  GlnText bar = gln_text_trim(piece);
  GlnPlainItem *last = reader->item_count > 0 ? &reader->items[reader->item_count - 1] : NULL;
  long plays = 0;
  if (last != NULL && last->plays > 0 && bar.length >= 2 && (bar.at[0] == 'x' || bar.at[0] == 'X') &&
      gln_text_integer(gln_text_from(bar, 1), 2, GLN_REPEAT_PLAYS_MAX, &plays) == GLN_OK) {
    last->plays = (int16_t)plays; /* :| x3 */
    return;
  }
  if (bar.length > 0 && bar.at[0] == ':') {
    item.repeat_starts = true;
    bar = gln_text_trim(gln_text_from(bar, 1));
  }
  if (bar.length > 0 && bar.at[bar.length - 1] == ':') {
    item.plays = 2;
    bar = gln_text_trim(gln_text_slice(bar, 0, bar.length - 1));
  }
  if (bar.length == 0) {
    if (item.plays > 0 && last != NULL && !last->is_words)
      last->plays = item.plays;
    return;
  }
  bool again = gln_text_equal(bar, GLN_TEXT("%"));
  if (again && section_bars(reader) == 0) {
    tell(reader, bar, "write its chords", "there is no bar before this one to repeat; N.C. is written");
    item.text = GLN_TEXT("N.C.");
  } else {
    item.text = again ? GLN_TEXT("%") : bar_marks(reader, bar);
  }
  reader->told_bars++;
  *line_starts = false;
  (void)add_item(reader, item);
}

static void read_bars_line(GlnPlainReader *reader) {
  bool line_starts = true;
  GlnText rest = reader->line;
  size_t bar = gln_text_find(rest, GLN_TEXT("|"), 0);
  GlnText before = gln_text_trim(gln_text_slice(rest, 0, bar));
  GlnChord chord;
  size_t at = 0;
  GlnText word;
  if (before.length > 0 && gln_word_next(before, &at, &word) && !gln_plain_chord(word, &chord))
    rest = gln_text_from(rest, bar); /* words in front of the bars: "1st time |" */
  while (rest.length > 0 && reader->status == GLN_OK) {
    size_t end = gln_text_find(rest, GLN_TEXT("|"), 0);
    read_bar(reader, gln_text_slice(rest, 0, end), &line_starts);
    rest = gln_text_from(rest, end + 1);
  }
}

/* ---- chords over words ------------------------------------------------------------------------------------------- */

/* Two chords share a bar when they stand together and the chord after them stands apart. */
static bool stand_together(const size_t *starts, const size_t *ends, size_t i, size_t count) {
  if (i + 1 >= count || starts[i + 1] - ends[i] > GLN_PLAIN_TOGETHER)
    return false;
  bool apart_after = i + 2 >= count || starts[i + 2] - ends[i + 1] > 2 * GLN_PLAIN_TOGETHER;
  bool apart_before = i == 0 || starts[i] - ends[i - 1] > 2 * GLN_PLAIN_TOGETHER;
  return apart_after && apart_before && count > 2;
}

static void read_chords_line(GlnPlainReader *reader) {
  size_t starts[GLN_PLAIN_WORDS_MAX], ends[GLN_PLAIN_WORDS_MAX], count = 0, at = 0;
  GlnText words[GLN_PLAIN_WORDS_MAX], word;
  while (count < GLN_PLAIN_WORDS_MAX && gln_word_next(reader->line, &at, &word)) {
    starts[count] = gln_text_columns(gln_text_slice(reader->line, 0, (size_t)(word.at - reader->line.at)));
    ends[count] = starts[count] + gln_text_columns(word);
    words[count++] = word;
  }
  bool line_starts = true;
  for (size_t i = 0; i < count && reader->status == GLN_OK; i++) {
    GlnText bar = words[i];
    if (stand_together(starts, ends, i, count)) {
      const char *end = words[i + 1].at + words[i + 1].length;
      bar.length = (size_t)(end - bar.at);
      i++;
    }
    reader->guessed_bars++;
    (void)add_item(reader, (GlnPlainItem){.text = bar_marks(reader, bar), .line_starts = line_starts});
    line_starts = false;
  }
}

/* ---- lines ------------------------------------------------------------------------------------------------------- */

static void read_words(GlnPlainReader *reader) {
  bool begins = reader->item_count == 0;
  GlnText by =
      gln_text_starts(reader->line, GLN_TEXT("by ")) || gln_text_starts(reader->line, GLN_TEXT("By "))
          ? gln_text_trim(gln_text_from(reader->line, 3))
          : GLN_TEXT("");
  if (begins && reader->title.length == 0 && !reader->heading_waits) {
    reader->title = gln_text_trim(reader->line);
  } else if (begins && by.length > 0) {
    reader->by = by;
  } else if (begins) {
    reader->ignored++;
    tell(reader, reader->line, "", "this line stands before the first chords and is left out");
  } else {
    settle_heading(reader, false);
    (void)add_item(reader, (GlnPlainItem){.text = gln_text_trim(reader->line), .is_words = true});
  }
}

/* A letter alone above a line of bars names a part; alone it would be a chord as well. */
static bool names_part(GlnText source, size_t at, GlnText line) {
  GlnText letter = gln_text_trim(line), next, value;
  if (letter.length != 1 || letter.at[0] < 'A' || letter.at[0] > 'Z')
    return false;
  while (gln_line_next(source, &at, &next))
    if (gln_plain_line_kind(next, &value) != GLN_PLAIN_BLANK)
      return gln_plain_line_kind(next, &value) == GLN_PLAIN_BARS;
  return false;
}

/* at: where the next line begins. */
static void read_line(GlnPlainReader *reader, size_t at) {
  GlnText value = {NULL, 0};
  GlnPlainLine kind = gln_plain_line_kind(reader->line, &value);
  if (names_part(reader->source, at, reader->line)) {
    kind = GLN_PLAIN_HEADING;
    value = gln_text_trim(reader->line);
  }
  switch (kind) {
  case GLN_PLAIN_BLANK:
    break;
  case GLN_PLAIN_HEADING:
    settle_heading(reader, false);
    reader->heading = value;
    reader->heading_waits = true;
    break;
  case GLN_PLAIN_HEADER:
    gln_plain_header(reader);
    break;
  case GLN_PLAIN_BARS:
    settle_heading(reader, true);
    read_bars_line(reader);
    break;
  case GLN_PLAIN_CHORDS:
    settle_heading(reader, true);
    read_chords_line(reader);
    break;
  case GLN_PLAIN_WORDS:
    read_words(reader);
    break;
  }
}

/* ---- the chart --------------------------------------------------------------------------------------------------- */

/* Repeats that do not open or close are taken as plain bar lines. */
static void mend_repeats(GlnPlainReader *reader) {
  GlnPlainItem *open = NULL;
  for (size_t i = 0; i < reader->item_count; i++) {
    GlnPlainItem *item = &reader->items[i];
    bool new_section = i > 0 && reader->items[i - 1].section != item->section;
    if (open != NULL && (item->repeat_starts || new_section)) {
      open->repeat_starts = false;
      reader->loose_repeats++;
      open = NULL;
    }
    if (item->repeat_starts)
      open = item;
    if (item->plays > 0 && open == NULL) {
      item->plays = 0;
      reader->loose_repeats++;
    }
    if (item->plays > 0)
      open = NULL;
  }
  if (open != NULL) {
    open->repeat_starts = false;
    reader->loose_repeats++;
  }
}

static void add_bar(GlnBuffer *out, const GlnPlainItem *item, bool after_repeat) {
  if (!item->repeat_starts && !after_repeat)
    gln_buffer_add_string(out, "| ");
  else
    gln_buffer_add_string(out, item->repeat_starts ? "|: " : "");
  gln_buffer_add(out, item->text);
  gln_buffer_add_byte(out, ' ');
  if (item->plays == 2)
    gln_buffer_add_string(out, ":| ");
  else if (item->plays > 0)
    gln_buffer_format(out, ":|x%d ", item->plays);
}

static void add_section_text(const GlnPlainReader *reader, size_t index, GlnBuffer *out) {
  const GlnPlainSection *section = &reader->sections[index];
  if (section->bars > 0)
    gln_buffer_format(out, "\n[%.*s]\n", (int)section->name.length, section->name.at);
  bool in_line = false, after_repeat = false;
  for (size_t i = 0; i < reader->item_count; i++) {
    const GlnPlainItem *item = &reader->items[i];
    if (item->section != index)
      continue;
    if (in_line && (item->is_words || item->line_starts)) {
      gln_buffer_add_string(out, after_repeat ? "\n" : "|\n");
      in_line = after_repeat = false;
    }
    if (item->is_words) {
      gln_buffer_format(out, "# %.*s\n", (int)item->text.length, item->text.at);
      continue;
    }
    add_bar(out, item, after_repeat);
    in_line = true;
    after_repeat = item->plays > 0;
  }
  if (in_line)
    gln_buffer_add_string(out, after_repeat ? "\n" : "|\n");
}

static void add_form(const GlnPlainReader *reader, GlnBuffer *out) {
  size_t named = 0;
  for (size_t i = 0; reader->called && i < reader->form_count; i++) {
    const GlnPlainSection *section = &reader->sections[reader->form[i]];
    if (section->bars == 0)
      continue;
    gln_buffer_add_string(out, named++ == 0 ? "form: " : ", ");
    gln_buffer_add(out, section->name);
  }
  gln_buffer_add_string(out, named == 1 ? ",\n" : named > 0 ? "\n" : "");
}

static void tell_of_guesses(GlnPlainReader *reader) {
  if (reader->guessed_bars > 0)
    gln_diags_add(reader->diags,
                  (GlnDiag){.severity = GLN_NOTE_SEVERITY,
                            .problem = GLN_TEXT(
                                "chords without bar lines: each is taken as one bar, two that stand close "
                                "together as one"),
                            .advice = GLN_TEXT("put | between bars where that is wrong")});
  if (reader->loose_repeats > 0)
    gln_diags_add(reader->diags,
                  (GlnDiag){.severity = GLN_NOTE_SEVERITY,
                            .problem = GLN_TEXT("a repeat that does not open or close in its section is "
                                                "taken as a plain bar line")});
  /* A bar that was told counts whole, a guessed one half, and what was not read against both. */
  size_t sure = 2 * reader->told_bars + reader->guessed_bars;
  size_t all = 2 * (reader->told_bars + reader->guessed_bars + reader->unread + reader->ignored);
  GlnBuffer out = gln_buffer(reader->arena);
  gln_buffer_format(&out, "read as pasted text, %zu %% sure", all > 0 ? (100 * sure + all / 2) / all : 0);
  gln_diags_add(reader->diags,
                (GlnDiag){.severity = GLN_NOTE_SEVERITY, .problem = words_of(reader->arena, &out)});
}

GlnStatus gln_plain_text_read(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import) {
  GlnText text = {NULL, 0};
  import->placed = bytes;
  GLN_TRY(gln_import_text(bytes, arena, diags, &text));
  GlnPlainReader *reader = GLN_NEW(arena, GlnPlainReader, 1);
  if (reader == NULL)
    return GLN_MEMORY;
  *reader = (GlnPlainReader){
      .source = text, .arena = arena, .diags = diags, .meter = {4, 4}, .headers = gln_buffer(arena)};
  for (size_t at = 0; reader->status == GLN_OK && gln_line_next(text, &at, &reader->line);)
    read_line(reader, at);
  settle_heading(reader, false);
  GLN_TRY(reader->status);
  if (reader->chords == 0) {
    gln_diags_add(diags,
                  (GlnDiag){.severity = GLN_ERROR,
                            .problem = GLN_TEXT("there is no chord in this text"),
                            .advice = GLN_TEXT("write bars as | Am7 | D7 |, or chords over the words")});
    return GLN_INPUT;
  }
  mend_repeats(reader);
  GlnBuffer out = gln_buffer(arena);
  if (reader->title.length > 0)
    gln_buffer_format(&out, "title: %.*s\n", (int)reader->title.length, reader->title.at);
  if (reader->by.length > 0)
    gln_buffer_format(&out, "by: %.*s\n", (int)reader->by.length, reader->by.at);
  gln_buffer_add(&out, gln_buffer_text(&reader->headers));
  add_form(reader, &out);
  for (size_t i = 0; i < reader->section_count; i++)
    add_section_text(reader, i, &out);
  tell_of_guesses(reader);
  import->chart = gln_buffer_text(&out);
  return gln_buffer_status(&out);
}
