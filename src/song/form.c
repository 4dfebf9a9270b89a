/* form: the sections in playing order, from the words of "form:" and back. */
#include "song_internal.h"

#include <stdio.h>

static size_t section_find(const GlnChart *chart, GlnText name) {
  for (size_t i = 0; i < chart->section_count; i++)
    if (gln_text_equal(chart->sections[i].name, name))
      return i;
  return chart->section_count;
}

static void form_add(GlnChartReader *reader, size_t section, size_t capacity, GlnText word) {
  GlnChart *chart = reader->chart;
  if (chart->form_count >= capacity)
    gln_reader_limit(reader, (size_t)(word.at - reader->source.at), word.length, "sections in the form",
                     GLN_CHART_FORM_MAX);
  else
    chart->form[chart->form_count++] = (uint16_t)section;
}

static void unknown_section(GlnChartReader *reader, GlnText name) {
  const GlnChart *chart = reader->chart;
  char advice[256] = "there is no [NAME] in the chart: write one above the bars it is for";
  size_t used = 0;
  /* Past a hundred faults nobody reads suggestions, and each costs a look at every section. */
  size_t looked_at = reader->diags->count < 100 ? chart->section_count : 0;
  for (size_t i = 0; i < looked_at; i++) {
    GlnText known = chart->sections[i].name;
    if (known.length > 0 && gln_text_near(name, known)) {
      (void)snprintf(advice, sizeof advice, "did you mean %.*s?", GLN_SHOWN(known));
      break;
    }
    if (known.length > 0 && used < sizeof advice - 80)
      used += (size_t)snprintf(advice + used, sizeof advice - used, "%s%.*s",
                               used ? ", " : "the sections are ", GLN_SHOWN(known));
  }
  GLN_FAULT(reader, (size_t)(name.at - reader->source.at), name.length, advice,
            "the form names a section that is not there: %.*s", GLN_SHOWN(name));
}

/* "x3": how often the section before it is played in a row; 0 when the word is no such count. */
static long times_read(GlnText word) {
  long times = 0;
  if (word.length < 2 || word.at[0] != 'x' ||
      gln_text_integer(gln_text_from(word, 1), 0, GLN_CHART_FORM_MAX, &times) != GLN_OK)
    return -1;
  return times;
}

typedef struct FormState {
  size_t last; /* section named last, or the section count */
  bool named;  /* a name came before: a count may follow */
} FormState;

static void form_word(GlnChartReader *reader, GlnText word, FormState *state) {
  size_t section = section_find(reader->chart, word);
  long times = section < reader->chart->section_count ? -1 : times_read(word);
  if (times < 0) {
    if (section == reader->chart->section_count)
      unknown_section(reader, word);
    else
      form_add(reader, section, GLN_CHART_FORM_MAX, word);
    *state = (FormState){section, true};
    return;
  }
  if (!state->named || times < 2 || times > GLN_REPEAT_PLAYS_MAX)
    GLN_FAULT(reader, (size_t)(word.at - reader->source.at), word.length,
              "write it after a section's name, as in A x2, from x2 to x99",
              "\"%.*s\" is no count of plays here", GLN_SHOWN(word));
  else if (state->last < reader->chart->section_count)
    for (long i = 1; i < times && reader->status == GLN_OK; i++)
      form_add(reader, state->last, GLN_CHART_FORM_MAX, word);
  state->named = false;
}

/* One item between commas: a name that may hold blanks, and a count after it. */
static void form_item(GlnChartReader *reader, GlnText item, FormState *state) {
  size_t at = item.length;
  while (at > 0 && !gln_is_blank(item.at[at - 1]))
    at--;
  GlnText last = gln_text_from(item, at);
  if (section_find(reader->chart, item) == reader->chart->section_count && at > 0 && times_read(last) >= 0) {
    form_word(reader, gln_blank_trim(gln_text_slice(item, 0, at)), state);
    form_word(reader, last, state);
  } else
    form_word(reader, item, state);
}

static void form_words(GlnChartReader *reader) {
  GlnText form = reader->form;
  bool commas = gln_text_find(form, GLN_TEXT(","), 0) < form.length;
  FormState state = {reader->chart->section_count, false};
  size_t words = 0;
  size_t at = 0;
  while (at < form.length && reader->status == GLN_OK) {
    size_t end = at;
    while (end < form.length && (commas ? form.at[end] != ',' : !gln_is_blank(form.at[end])))
      end++;
    GlnText item = gln_blank_trim(gln_text_between(form, at, end));
    if (item.length > 0 && ++words > GLN_CHART_FORM_MAX)
      gln_reader_limit(reader, (size_t)(item.at - reader->source.at), item.length, "sections in the form",
                       GLN_CHART_FORM_MAX);
    else if (item.length > 0 && commas)
      form_item(reader, item, &state);
    else if (item.length > 0)
      form_word(reader, item, &state);
    at = end + 1;
  }
  if (words == 0)
    GLN_FAULT(reader, (size_t)(form.at - reader->source.at), form.length,
              "write the names of the sections in playing order, as in A A B A", "the form names no section");
}

static void sections_left_out(GlnChartReader *reader) {
  const GlnChart *chart = reader->chart;
  for (size_t i = 0; i < chart->section_count; i++) {
    const GlnSection *section = &chart->sections[i];
    bool played = false;
    for (size_t k = 0; !played && k < chart->form_count; k++)
      played = chart->form[k] == i;
    if (played || section->bar_count == 0 || section_find(chart, section->name) != i)
      continue; /* or it has a fault of its own */
    if (section->name.length == 0)
      GLN_FAULT(reader, section->offset, 1, "give them a [NAME] and put it into the form",
                "bars without a section, which the form cannot name");
    else
      GLN_WARN(reader, section->offset, section->name.length + 2, "add it to form: if it is to be played",
               "section %.*s is never played: the form does not name it", GLN_SHOWN(section->name));
  }
}

/* A pick-up sounds only where the song begins. */
static void pickups_left_out(GlnChartReader *reader) {
  const GlnChart *chart = reader->chart;
  for (size_t i = 0; i < chart->section_count; i++) {
    const GlnSection *section = &chart->sections[i];
    if (section->bar_count > 0 && gln_bar_is_pickup(&section->bars[0]) && chart->form_count > 0 &&
        chart->form[0] != i)
      GLN_WARN(reader, section->bars[0].offset, section->bars[0].length,
               "write a whole bar, with N.C. where nothing sounds",
               "this pick-up is never played: its section does not begin the song");
  }
}

void gln_form_read(GlnChartReader *reader) {
  GlnChart *chart = reader->chart;
  size_t capacity = reader->has_form ? GLN_CHART_FORM_MAX : chart->section_count;
  chart->form = GLN_NEW(reader->arena, uint16_t, capacity);
  if (!chart->form) {
    reader->status = GLN_MEMORY;
    return;
  }
  if (!reader->has_form) {
    for (size_t i = 0; i < chart->section_count; i++)
      chart->form[chart->form_count++] = (uint16_t)i;
  } else {
    form_words(reader);
    sections_left_out(reader);
  }
  pickups_left_out(reader);
}

static bool name_needs_commas(GlnText name) {
  for (size_t i = 0; i < name.length; i++)
    if (gln_is_blank(name.at[i]))
      return true;
  return false;
}

void gln_form_print(const GlnChart *chart, GlnBuffer *out) {
  bool commas = false;
  for (size_t i = 0; i < chart->section_count; i++)
    commas = commas || name_needs_commas(chart->sections[i].name);
  for (size_t i = 0; i < chart->form_count; i++) {
    if (i > 0)
      gln_buffer_add_string(out, commas ? ", " : " ");
    if (chart->form[i] < chart->section_count)
      gln_buffer_add(out, chart->sections[chart->form[i]].name);
  }
  if (commas && chart->form_count == 1)
    gln_buffer_add_byte(out, ','); /* one name with blanks is read as one by its comma */
}
