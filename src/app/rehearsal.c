/* What the options of play ask for: which bars, how often, how fast, and who is heard. */
#include "performing.h"

#include <math.h>
#include <string.h>

#define CHANGE_ROUNDS 8 /* of a change that is practised, where --loop does not say; design choice */

static GlnStatus complain(const GlnJob *job, GlnOptionId id, const char *problem, const char *advice) {
  GlnText text = job->arguments.value[id].text;
  return gln_job_complain(job, GLN_USAGE, advice, "--%s \"%.*s\": %s", gln_option_at(id)->name,
                          (int)text.length, text.at, problem);
}

/* ---- the passage ---------------------------------------------------------------------------------------------- */

static const GlnSlot *slot_at(const GlnLine *line, size_t i) {
  return line->slots[i].slot;
}

/* The first slot of the bar; slot_count when the song has no such bar. */
static size_t first_of_bar(const GlnLine *line, long bar) {
  size_t i = 0;
  while (i < line->slot_count && (long)slot_at(line, i)->bar != bar)
    i++;
  return i;
}

static GlnStatus no_such_bar(const GlnJob *job, GlnOptionId id, const GlnLine *line) {
  if (line->slot_count == 0)
    return complain(job, id, "the song has no bars", "");
  long last = (long)slot_at(line, line->slot_count - 1)->bar;
  GlnText text = job->arguments.value[id].text;
  return gln_job_complain(job, GLN_USAGE,
                          "count bars of the song as it is played; gripline arrange shows them",
                          "--%s \"%.*s\": the song has bars %ld to %ld", gln_option_at(id)->name,
                          (int)text.length, text.at, (long)slot_at(line, 0)->bar, last);
}

static GlnStatus read_bar(const GlnJob *job, GlnOptionId id, const GlnLine *line, size_t *first) {
  long bar;
  if (gln_text_integer(job->arguments.value[id].text, 0, 1000000, &bar) != GLN_OK)
    return complain(job, id, "this is no bar", "give its number, such as 5");
  *first = first_of_bar(line, bar);
  return *first < line->slot_count ? GLN_OK : no_such_bar(job, id, line);
}

static GlnRatio slot_end(const GlnLine *line, size_t i) {
  return gln_ratio_add(slot_at(line, i)->start, slot_at(line, i)->quarters);
}

static GlnStatus read_bars(const GlnJob *job, const GlnLine *line, GlnRehearsal *rehearsal) {
  const GlnValue *value = job->arguments.value;
  size_t first = 0, last = line->slot_count;
  if (!value[GLN_OPT_FROM_BAR].given && !value[GLN_OPT_TO_BAR].given)
    return GLN_OK;
  if (value[GLN_OPT_FROM_BAR].given)
    GLN_TRY(read_bar(job, GLN_OPT_FROM_BAR, line, &first));
  if (value[GLN_OPT_TO_BAR].given) {
    GLN_TRY(read_bar(job, GLN_OPT_TO_BAR, line, &last));
    if (last < first)
      return complain(job, GLN_OPT_TO_BAR, "the last bar comes before the first",
                      "give --from and --to in order");
  }
  if (line->slot_count == 0)
    return no_such_bar(job, value[GLN_OPT_FROM_BAR].given ? GLN_OPT_FROM_BAR : GLN_OPT_TO_BAR, line);
  rehearsal->from = slot_at(line, first)->start;
  if (last == line->slot_count)
    rehearsal->to = slot_end(line, last - 1);
  else
    for (uint32_t bar = slot_at(line, last)->bar; last < line->slot_count && slot_at(line, last)->bar == bar;
         last++)
      rehearsal->to = slot_end(line, last);
  return GLN_OK;
}

/* ---- one change ----------------------------------------------------------------------------------------------- */

/* "7" is the change into bar 7, "7.3" into its third beat; "hardest" the song's hardest. */
static GlnStatus find_change(const GlnJob *job, const GlnLine *line, size_t *into) {
  GlnText text = job->arguments.value[GLN_OPT_CHANGE].text;
  if (gln_text_equal_ignoring_case(text, GLN_TEXT("hardest"))) {
    *into = line->hardest;
    return *into < line->slot_count ? GLN_OK
                                    : complain(job, GLN_OPT_CHANGE, "the hand never moves in this song", "");
  }
  size_t point = gln_text_find(text, GLN_TEXT("."), 0);
  long bar, beat = 1;
  if (gln_text_integer(gln_text_slice(text, 0, point), 0, 1000000, &bar) != GLN_OK ||
      (point < text.length &&
       gln_text_integer(gln_text_from(text, point + 1), 1, GLN_METER_BEATS_MAX, &beat) != GLN_OK))
    return complain(job, GLN_OPT_CHANGE, "this is no place in the song",
                    "give a bar, such as 7, or bar and beat, such as 7.3, or the word hardest");
  size_t i = first_of_bar(line, bar);
  if (i == line->slot_count)
    return no_such_bar(job, GLN_OPT_CHANGE, line);
  for (; i < line->slot_count && (long)slot_at(line, i)->bar == bar; i++)
    if (gln_ratio_compare(slot_at(line, i)->beat, gln_ratio(beat, 1)) == 0) {
      *into = i;
      return GLN_OK;
    }
  return complain(job, GLN_OPT_CHANGE, "no chord begins there",
                  "gripline arrange shows bars, beats and chords");
}

static GlnStatus read_change(const GlnJob *job, const GlnLine *line, GlnRehearsal *rehearsal) {
  size_t into = 0;
  if (!job->arguments.value[GLN_OPT_CHANGE].given)
    return GLN_OK;
  if (job->arguments.value[GLN_OPT_FROM_BAR].given || job->arguments.value[GLN_OPT_TO_BAR].given)
    return complain(job, GLN_OPT_CHANGE, "it says already what is played", "leave --from and --to out");
  GLN_TRY(find_change(job, line, &into));
  const GlnLineSlot *slots = line->slots;
  size_t from = into > 0 ? gln_line_before(line, into) : into;
  if (slots[into].silent || from == into || slots[from].silent)
    return complain(job, GLN_OPT_CHANGE, "there is silence on one side of it",
                    "choose a change between two chords");
  if (slots[from].distinct == slots[into].distinct)
    return complain(job, GLN_OPT_CHANGE, "the grip is the same before and after: the hand stays",
                    "gripline arrange shows the changes; hardest is the song's hardest");
  rehearsal->from = slot_at(line, from)->start;
  rehearsal->to = slot_end(line, into);
  rehearsal->rounds = CHANGE_ROUNDS;
  return GLN_OK;
}

/* ---- tempi ----------------------------------------------------------------------------------------------------- */

static GlnStatus bad_ladder(const GlnJob *job, const char *problem) {
  return complain(job, GLN_OPT_LADDER, problem,
                  "write 60-126/6 for rising tempi, or a list such as 60,126,60,126");
}

static bool read_tempo(GlnText text, double *tempo) {
  return gln_text_number(gln_text_trim(text), tempo) == GLN_OK && *tempo >= GLN_CHART_TEMPO_MIN &&
         *tempo <= GLN_CHART_TEMPO_MAX;
}

/* "60-126/6": from, to, by so much; the last is played even where the steps do not meet it. "90" is itself. */
static GlnStatus read_rungs(const GlnJob *job, GlnText text, GlnRehearsal *rehearsal) {
  size_t dash = gln_text_find(text, GLN_TEXT("-"), 0), slash = gln_text_find(text, GLN_TEXT("/"), 0);
  double low = 0, high = 0, step = 1;
  bool single = dash == text.length && slash == text.length;
  bool well = read_tempo(gln_text_slice(text, 0, single ? text.length : dash), &low);
  if (single)
    high = low;
  else
    well = well && dash < slash && slash < text.length &&
           read_tempo(gln_text_slice(text, dash + 1, slash - dash - 1), &high) &&
           gln_text_number(gln_text_trim(gln_text_from(text, slash + 1)), &step) == GLN_OK && step >= 1;
  if (!well)
    return bad_ladder(job, "not tempi from 20 to 400 with a step of at least 1");
  if (high < low)
    return bad_ladder(job, "it falls");
  for (double tempo = low;; tempo = fmin(tempo + step, high)) {
    if (rehearsal->tempo_count == GLN_LADDER_MAX)
      return bad_ladder(job, "more than 100 tempi");
    rehearsal->tempi[rehearsal->tempo_count++] = tempo;
    if (tempo >= high)
      return GLN_OK;
  }
}

static GlnStatus read_ladder(const GlnJob *job, GlnRehearsal *rehearsal) {
  const GlnValue *value = &job->arguments.value[GLN_OPT_LADDER];
  for (GlnText rest = value->text; value->given;) {
    size_t end = gln_text_find(rest, GLN_TEXT(","), 0);
    GLN_TRY(read_rungs(job, gln_text_trim(gln_text_slice(rest, 0, end)), rehearsal));
    if (end == rest.length)
      break;
    rest = gln_text_from(rest, end + 1);
  }
  return GLN_OK;
}

/* ---- the whole ------------------------------------------------------------------------------------------------- */

/* Who is asked for plays, even where no other option names him. */
static void read_players(const GlnJob *job, GlnRehearsal *rehearsal) {
  const GlnValue *value = job->arguments.value;
  rehearsal->click = value[GLN_OPT_CLICK].given;
  rehearsal->percussion = (uint8_t)value[GLN_OPT_PERCUSSION].choices; /* the table's words are the list's */
  if (!value[GLN_OPT_ONLY].given)
    return;
  rehearsal->players = (uint8_t)value[GLN_OPT_ONLY].choices; /* the same */
  if (rehearsal->players >> GLN_PLAYER_CLICK & 1)
    rehearsal->click = true;
  if ((rehearsal->players >> GLN_PLAYER_PERCUSSION & 1) && rehearsal->percussion == 0)
    rehearsal->percussion = (1U << GLN_PERCUSSION_COUNT) - 1;
  if (rehearsal->count_in > 0)
    rehearsal->players |= 1U << GLN_PLAYER_CLICK; /* a count-in is heard in any case */
}

GlnStatus gln_job_rehearsal(const GlnJob *job, const GlnArrangement *arrangement, GlnRehearsal *rehearsal) {
  const GlnValue *value = job->arguments.value;
  *rehearsal = gln_rehearsal_defaults();
  rehearsal->feel = value[GLN_OPT_FEEL].text;
  if (value[GLN_OPT_COUNT_IN].given)
    rehearsal->count_in = (int8_t)value[GLN_OPT_COUNT_IN].number;
  read_players(job, rehearsal);
  GLN_TRY(read_bars(job, arrangement->line, rehearsal));
  GLN_TRY(read_change(job, arrangement->line, rehearsal));
  if (value[GLN_OPT_LOOP].given)
    rehearsal->rounds = (int32_t)value[GLN_OPT_LOOP].number;
  if (value[GLN_OPT_LADDER].given && value[GLN_OPT_TEMPO].given)
    return complain(job, GLN_OPT_LADDER, "it says already how fast", "leave --tempo out");
  GLN_TRY(read_ladder(job, rehearsal));
  rehearsal->semitones = value[GLN_OPT_TRANSPOSE].given ? (int)value[GLN_OPT_TRANSPOSE].number : 0;
  rehearsal->even = value[GLN_OPT_EVEN].given;
  if (value[GLN_OPT_SEED].given)
    rehearsal->seed = (uint32_t)value[GLN_OPT_SEED].number;
  return GLN_OK;
}
