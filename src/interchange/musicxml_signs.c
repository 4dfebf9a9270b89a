/* Signs over and between bars: repeats and endings, jumps and their goals, rehearsal letters, tempo. */
#include "musicxml_score_internal.h"

#include <string.h>

/* ---- barlines ------------------------------------------------------------------------------------------------------ */

/* "1, 2" or "1-3" as bits; 0 when it names none that a chart can have. */
static uint32_t endings_of(GlnText text) {
  uint32_t bits = 0;
  long number = 0, from = 0;
  bool any = false;
  for (size_t i = 0; i <= text.length; i++) {
    char c = i < text.length ? text.at[i] : ',';
    if (gln_is_digit(c)) {
      number = number * 10 + (c - '0');
      any = true;
      if (number > GLN_ENDINGS_MAX)
        return 0;
      continue;
    }
    if (any && c == '-')
      from = number;
    else if (any)
      for (long n = from > 0 ? from : number; n <= number; n++)
        bits |= n > 0 ? (uint32_t)1 << n : 0;
    if (c != '-')
      from = 0;
    number = 0;
    any = false;
  }
  return bits;
}

static void read_ending(GlnScoreBar *bar, const GlnXmlNode *ending) {
  GlnText type = gln_xml_attribute(ending, GLN_ATTRIBUTE_TYPE);
  if (gln_text_equal(type, GLN_TEXT("start"))) {
    bar->endings |= endings_of(gln_xml_attribute(ending, GLN_ATTRIBUTE_NUMBER));
    bar->ending_starts = true;
  } else if (gln_text_equal(type, GLN_TEXT("stop")) || gln_text_equal(type, GLN_TEXT("discontinue"))) {
    bar->ending_stops = true;
  }
}

static void read_barline(ScoreReader *reader, const GlnXmlNode *node, size_t index) {
  GlnScore *score = reader->score;
  GlnScoreBar *bar = &score->bars[index];
  bool is_right = gln_text_equal(gln_xml_attribute(node, GLN_ATTRIBUTE_LOCATION), GLN_TEXT("right"));
  const GlnXmlNode *ending = gln_xml_child(node, GLN_ELEMENT_ENDING);
  const GlnXmlNode *repeat = gln_xml_child(node, GLN_ELEMENT_REPEAT);
  if (ending != NULL)
    read_ending(bar, ending);
  if (gln_xml_child(node, GLN_ELEMENT_SEGNO) != NULL && !is_right)
    bar->segno = true;
  if (gln_xml_child(node, GLN_ELEMENT_CODA) != NULL && !is_right)
    bar->coda = true;
  if (repeat == NULL)
    return;
  if (gln_text_equal(gln_xml_attribute(repeat, GLN_ATTRIBUTE_DIRECTION), GLN_TEXT("forward"))) {
    reader->opens_next = is_right;
    bar->repeat_starts = bar->repeat_starts || !is_right;
    return;
  }
  long times = 2;
  GlnText text = gln_xml_attribute(repeat, GLN_ATTRIBUTE_TIMES);
  if (text.length > 0 && gln_text_integer(text, 1, GLN_REPEAT_PLAYS_MAX, &times) != GLN_OK)
    times = 2;
  bar->plays = times > bar->plays ? (int)times : bar->plays;
  bar->after_jump = gln_text_equal(gln_xml_attribute(repeat, GLN_ATTRIBUTE_AFTER_JUMP), GLN_TEXT("yes"));
}

/* ---- jumps ------------------------------------------------------------------------------------------------------------ */

static bool says(GlnText words, const char *what) {
  char lower[64] = {0};
  size_t length = words.length < sizeof lower - 1 ? words.length : sizeof lower - 1;
  for (size_t i = 0; i < length; i++)
    lower[i] = words.at[i] >= 'A' && words.at[i] <= 'Z' ? (char)(words.at[i] - 'A' + 'a') : words.at[i];
  return strstr(lower, what) != NULL;
}

/* Players' words, for scores that say it in no other way. */
static void read_words(GlnScoreBar *bar, GlnText words) {
  if (says(words, "d.c.") || says(words, "da capo"))
    bar->da_capo = true;
  else if (says(words, "d.s.") || says(words, "dal segno"))
    bar->dal_segno = true;
  else if (says(words, "to coda"))
    bar->to_coda = true;
  else if (gln_text_equal_ignoring_case(words, GLN_TEXT("fine")))
    bar->fine = true;
}

static bool given(const GlnXmlNode *node, GlnAttribute name) {
  GlnText text = gln_xml_attribute(node, name);
  return text.length > 0 && !gln_text_equal(text, GLN_TEXT("no"));
}

static void read_tempo(ScoreReader *reader, const GlnXmlNode *node, size_t index, double tempo) {
  if (!(tempo > 0) || tempo > 10000)
    return;
  GlnScore *score = reader->score;
  if (!(score->tempo > 0)) {
    score->tempo = tempo;
  } else if (tempo < reader->last_tempo || tempo > reader->last_tempo) {
    GlnBuffer words = gln_buffer(reader->arena);
    gln_buffer_add_number(&words, tempo, 0);
    gln_diags_format(reader->diags, GLN_NOTE_SEVERITY, node->offset, 1, "",
                     "the tempo changes to %.*s in bar %zu; a chart names the first alone", (int)words.length,
                     words.at, index + 1);
  }
  reader->last_tempo = tempo;
}

static void read_sound(ScoreReader *reader, const GlnXmlNode *sound, size_t index) {
  GlnScoreBar *bar = &reader->score->bars[index];
  double tempo = 0;
  if (gln_text_number(gln_xml_attribute(sound, GLN_ATTRIBUTE_TEMPO), &tempo) == GLN_OK)
    read_tempo(reader, sound, index, tempo);
  bar->da_capo = bar->da_capo || given(sound, GLN_ATTRIBUTE_DACAPO);
  bar->dal_segno = bar->dal_segno || given(sound, GLN_ATTRIBUTE_DALSEGNO);
  bar->to_coda = bar->to_coda || given(sound, GLN_ATTRIBUTE_TOCODA);
  bar->fine = bar->fine || given(sound, GLN_ATTRIBUTE_FINE);
  bar->segno = bar->segno || given(sound, GLN_ATTRIBUTE_SEGNO);
  bar->coda = bar->coda || given(sound, GLN_ATTRIBUTE_CODA);
}

/* ---- directions ---------------------------------------------------------------------------------------------------------- */

static void read_metronome(ScoreReader *reader, const GlnXmlNode *metronome, size_t index) {
  static const struct {
    const char *name;
    double quarters;
  } units[] = {{"breve", 8}, {"whole", 4}, {"half", 2}, {"quarter", 1}, {"eighth", 0.5}, {"16th", 0.25}};
  GlnText unit = gln_xml_text(metronome, GLN_ELEMENT_BEAT_UNIT);
  GlnText text = gln_xml_text(metronome, GLN_ELEMENT_PER_MINUTE);
  while (text.length > 0 && !gln_is_digit(text.at[0])) /* "c. 120" */
    text = gln_text_from(text, 1);
  size_t end = 0;
  while (end < text.length && (gln_is_digit(text.at[end]) || text.at[end] == '.'))
    end++;
  double beats = 0;
  if (gln_text_number(gln_text_slice(text, 0, end), &beats) != GLN_OK)
    return;
  for (size_t i = 0; i < GLN_COUNT_OF(units); i++)
    if (gln_text_equal(unit, gln_text(units[i].name)))
      read_tempo(reader, metronome, index,
                 beats * units[i].quarters *
                     (gln_xml_child(metronome, GLN_ELEMENT_BEAT_UNIT_DOT) != NULL ? 1.5 : 1));
}

/* Words over the first bar may be the name of a feel. */
static void read_feel(ScoreReader *reader, GlnText words, size_t index) {
  GlnScore *score = reader->score;
  const GlnMeter meter = score->bars[index].meter;
  const GlnFeel *feel = NULL;
  GlnFeelBook *book = NULL;
  GlnFeelFit fit = GLN_FEEL_UNKNOWN;
  enum { NAME_MAX = 40, FEELS_TRIED_MAX = 8 };
  if (index == 0 && score->feel.length == 0 && reader->feels_tried++ < FEELS_TRIED_MAX && words.length > 0 &&
      words.length <= NAME_MAX && gln_feel_book_open(reader->arena, &book) == GLN_OK &&
      gln_feel_choose(book, words, meter.beats, meter.unit, &feel, &fit, NULL) == GLN_OK &&
      fit == GLN_FEEL_FITS)
    score->feel = words;
}

static void read_direction(ScoreReader *reader, const GlnXmlNode *direction, size_t index) {
  GlnScoreBar *bar = &reader->score->bars[index];
  const GlnXmlNode *sound = gln_xml_child(direction, GLN_ELEMENT_SOUND);
  bool has_coda = false, had_to_coda = bar->to_coda;
  if (sound != NULL)
    read_sound(reader, sound, index);
  for (const GlnXmlNode *type = gln_xml_child(direction, GLN_ELEMENT_DIRECTION_TYPE); type != NULL;
       type = gln_xml_next(type, GLN_ELEMENT_DIRECTION_TYPE))
    for (const GlnXmlNode *at = type->first; at != NULL; at = at->next) {
      if (at->name == GLN_ELEMENT_WORDS) {
        read_words(bar, at->text);
        read_feel(reader, at->text, index);
      } else if (at->name == GLN_ELEMENT_REHEARSAL && bar->rehearsal.length == 0)
        bar->rehearsal = at->text;
      else if (at->name == GLN_ELEMENT_SEGNO)
        bar->segno = bar->segno || !bar->dal_segno;
      else if (at->name == GLN_ELEMENT_CODA)
        has_coda = true;
      else if (at->name == GLN_ELEMENT_METRONOME && (sound == NULL || !given(sound, GLN_ATTRIBUTE_TEMPO)))
        read_metronome(reader, at, index);
    }
  /* The sign alone means the coda; beside "To Coda", and in a jump's words, it does not. */
  if (has_coda && bar->to_coda == had_to_coda && !bar->da_capo && !bar->dal_segno)
    bar->coda = true;
}

void gln_score_sign_read(ScoreReader *reader, const GlnXmlNode *node, size_t bar) {
  if (node->name == GLN_ELEMENT_BARLINE)
    read_barline(reader, node, bar);
  else if (node->name == GLN_ELEMENT_DIRECTION)
    read_direction(reader, node, bar);
  else if (node->name == GLN_ELEMENT_SOUND)
    read_sound(reader, node, bar);
}
