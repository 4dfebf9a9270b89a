/* Options that several commands share, read into what the rooms below want. */
#include "app_internal.h"

#include <string.h>

static GlnStatus complain_of_value(const GlnJob *job, GlnOptionId id, const char *problem,
                                   const char *advice) {
  GlnText text = job->arguments.value[id].text;
  return gln_job_complain(job, GLN_USAGE, advice, "--%s \"%.*s\": %s", gln_option_at(id)->name,
                          (int)text.length, text.at, problem);
}

/* "LO-HI" as two numbers. */
static bool read_range(GlnText text, long low_limit, long high_limit, long *first, long *last) {
  size_t dash = gln_text_find(text, GLN_TEXT("-"), 0);
  return dash < text.length &&
         gln_text_integer(gln_text_trim(gln_text_slice(text, 0, dash)), low_limit, high_limit, first) ==
             GLN_OK &&
         gln_text_integer(gln_text_trim(gln_text_from(text, dash + 1)), low_limit, high_limit, last) ==
             GLN_OK;
}

bool gln_fret_range_parse(GlnText text, GlnFretRange *range) {
  long low = 0, high = 0;
  if (!read_range(text, 0, GLN_FRETS_MAX, &low, &high) || high < 1 || low > high)
    return false;
  *range = (GlnFretRange){(int8_t)(low < 1 ? 1 : low), (int8_t)high};
  return true;
}

GlnStatus gln_job_fret_range(const GlnJob *job, GlnFretRange *range) {
  const GlnValue *value = &job->arguments.value[GLN_OPT_FRETS];
  *range = (GlnFretRange){0, 0};
  if (!value->given || gln_fret_range_parse(value->text, range))
    return GLN_OK;
  long low = 0, high = 0;
  bool two = read_range(value->text, 0, GLN_FRETS_MAX, &low, &high);
  return complain_of_value(job, GLN_OPT_FRETS,
                           two ? "the first fret must not lie above the second" : "not a stretch of the neck",
                           "write two frets, the lower first: 3-9");
}

static GlnStatus complain_of_strings(const GlnJob *job, GlnText part) {
  GlnText text = job->arguments.value[GLN_OPT_STRINGS].text;
  return gln_job_complain(job, GLN_USAGE,
                          "write strings as players count them, 1 the highest: 5-2, or 6,4,3,2",
                          "--strings \"%.*s\": \"%.*s\" is no string from 1 to %d", (int)text.length, text.at,
                          (int)part.length, part.at, GLN_STRINGS_MAX);
}

GlnStatus gln_job_string_numbers(const GlnJob *job, uint8_t *numbers) {
  const GlnValue *value = &job->arguments.value[GLN_OPT_STRINGS];
  GlnText fault;
  *numbers = 0;
  if (value->given && gln_string_numbers_parse(value->text, numbers, &fault) != GLN_OK)
    return complain_of_strings(job, fault);
  return GLN_OK;
}

static GlnStatus complain_of_capo(const GlnJob *job) {
  GlnText text = job->arguments.value[GLN_OPT_CAPO].text;
  GlnText fret = gln_text_slice(text, 0, gln_text_find(text, GLN_TEXT(":"), 0));
  long number = 0;
  if (gln_text_integer(gln_text_trim(fret), 0, GLN_CAPO_MAX, &number) != GLN_OK)
    return gln_job_complain(job, GLN_USAGE, GLN_CAPO_ADVICE,
                            "--capo \"%.*s\" is not a whole number from 0 to %d", (int)fret.length, fret.at,
                            GLN_CAPO_MAX);
  return gln_job_complain(job, GLN_USAGE, GLN_CAPO_ADVICE,
                          "--capo \"%.*s\" does not say which strings it covers", (int)text.length, text.at);
}

GlnStatus gln_job_instrument_wish(const GlnJob *job, GlnInstrument *instrument) {
  const GlnValue *tuning = &job->arguments.value[GLN_OPT_TUNING];
  const GlnValue *capo = &job->arguments.value[GLN_OPT_CAPO], *scale = &job->arguments.value[GLN_OPT_SCALE];
  *instrument = gln_instrument_defaults();
  if (tuning->given && gln_instrument_tune(tuning->text, instrument) != GLN_OK)
    return complain_of_value(job, GLN_OPT_TUNING, "gripline knows no such tuning", GLN_TUNING_ADVICE);
  if (capo->given && gln_capo_parse(capo->text, instrument) != GLN_OK)
    return complain_of_capo(job);
  if (scale->given)
    instrument->scale_mm = scale->number;
  return GLN_OK;
}

GlnStatus gln_job_instrument(const GlnJob *job, GlnInstrument *instrument) {
  GLN_TRY(gln_job_instrument_wish(job, instrument));
  return gln_capo_fits(instrument) ? GLN_OK
                                   : complain_of_value(job, GLN_OPT_CAPO, GLN_CAPO_PROBLEM, GLN_CAPO_ADVICE);
}

GlnStatus gln_job_hand(const GlnJob *job, GlnHand *hand) {
  static const GlnHandSize sizes[] = {GLN_HAND_SMALL, GLN_HAND_MEDIUM, GLN_HAND_LARGE}; /* as in the table */
  enum { WITHOUT_BARRE = 1, WITHOUT_LITTLE = 2 };                                       /* the same */
  const GlnValue *value = job->arguments.value;
  const GlnValue *size = &value[GLN_OPT_HAND], *reach = &value[GLN_OPT_REACH];
  const char *why = "";
  if (size->given && reach->given)
    return gln_job_complain(job, GLN_USAGE, "give one of the two", "--reach says more than --hand");
  *hand = gln_hand(size->given ? sizes[size->choice] : GLN_HAND_MEDIUM);
  if (reach->given && gln_hand_measured(reach->text, hand, &why) != GLN_OK)
    return complain_of_value(job, GLN_OPT_REACH, why, "docs/instruments.md says how to measure");
  hand->thumb = value[GLN_OPT_THUMB].given;
  hand->barres = (value[GLN_OPT_WITHOUT].choices & WITHOUT_BARRE) == 0;
  hand->fingers = (value[GLN_OPT_WITHOUT].choices & WITHOUT_LITTLE) != 0 ? 3 : 4;
  if (value[GLN_OPT_FINGERS].given)
    hand->at_once = (int8_t)value[GLN_OPT_FINGERS].number;
  return GLN_OK;
}

bool gln_job_hand_is_given(const GlnJob *job) {
  static const GlnOptionId about_hand[] = {GLN_OPT_HAND, GLN_OPT_REACH, GLN_OPT_THUMB, GLN_OPT_WITHOUT,
                                           GLN_OPT_FINGERS};
  for (size_t i = 0; i < GLN_COUNT_OF(about_hand); i++)
    if (job->arguments.value[about_hand[i]].given)
      return true;
  return false;
}

GlnOpenWish gln_job_open_wish(const GlnJob *job) {
  static const GlnOpenWish wishes[] = {GLN_OPEN_WANTED, GLN_OPEN_NEVER};
  const GlnValue *value = &job->arguments.value[GLN_OPT_OPEN];
  return value->given ? wishes[value->choice] : GLN_OPEN_ALLOWED;
}

GlnRightHand gln_job_right_hand(const GlnJob *job) {
  static const GlnRightHand hands[] = {GLN_RIGHT_FINGERS, GLN_RIGHT_PICK};
  const GlnValue *value = &job->arguments.value[GLN_OPT_RIGHT_HAND];
  return value->given ? hands[value->choice] : GLN_RIGHT_FINGERS;
}

uint16_t gln_job_textures(const GlnJob *job) {
  return (uint16_t)job->arguments.value[GLN_OPT_TEXTURE]
      .choices; /* the table's words are the textures in order */
}
