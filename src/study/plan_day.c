/* What is practised on one day: reviews that are due, then what is new, as much as there is time for. */
#include "study_internal.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

/* ---- design choices, judged on the songs of examples/ and tuned on the learners of bench_study ------------------- */

#define WARM_UP_PART   0.125 /* of the playing time */
#define WARM_UP_MIN    60
#define WARM_UP_MAX    300
#define SONG_PART      0.1  /* of the playing time for pieces of the song on the first day, */
#define SONG_GROWS     0.05 /* and so much more toward the last */
#define SONG_LAST_DAY  0.25
#define REVIEW_PART    0.5 /* of what is left, at least, while there is something new to begin */
#define REVIEW_GRIP    30  /* seconds */
#define REVIEW_MOVE    60  /* the first time; then as for a grip */
#define NEW_GRIP       60  /* and more the harder it is */
#define NEW_GRIP_HARD  30
#define NEW_MOVE       60
#define REVIEW_MOST    120 /* where there is time to spare */
#define NEW_MOST       240
#define GRIPS_PART     0.7 /* of the time for what is new; the rest for moves */
#define EASY_GRIP      0.5 /* a grip harder than this counts for more than one */
#define MOVES_PER_GRIP 2   /* new moves a day, for each new grip a day at most */
#define NOTICE         0.7 /* recall at which a review is due */
/* A gap of 20 to 40 % of a one-week horizon served best: Cepeda et al. 2008 (facts, not motor skill). */
#define GAP_LOW  0.2
#define GAP_HIGH 0.4
#define WEEK     7
/* After pain: so many days of rest first. Design choice; a clinician decides. */
#define PAIN_REST 2

int gln_tick(double seconds) {
  int ticks = (int)(seconds / GLN_TICK + 0.5);
  return (ticks > 0 ? ticks : 1) * GLN_TICK;
}

/* ---- opening ------------------------------------------------------------------------------------------------------ */

bool gln_filling_rests(const GlnFilling *filling, int at) {
  if (filling->options->strain == GLN_STRAIN_PAIN && at < PAIN_REST)
    return true;
  return filling->rest >= 0 && gln_day_weekday(filling->options->start + at) == filling->rest;
}

/* A new grip is seen again after the night in which it settles (Simmons 2012: gains need about a day); so is what went
 * wrong. */
static int gap_after(const GlnFilling *filling, GlnItemKind kind, const GlnMemory *memory) {
  if (memory->rating == GLN_RATING_AGAIN || (kind == GLN_ITEM_GRIP && memory->practised == 1))
    return 1;
  int gap = (int)(memory->half_life * -log2(NOTICE) + 0.5);
  return gap < filling->gap_low ? filling->gap_low : gap > filling->gap_high ? filling->gap_high : gap;
}

/* The day's time, and what of it is pauses. */
static void set_pauses(GlnFilling *filling) {
  const int stretch = GLN_STRETCH_MAX / 60, half_hour = 30;
  int minutes = (int)(filling->options->minutes * gln_return_minutes(filling->returning) + 0.5);
  /* Five minutes in thirty, ten in sixty; and no stretch too long. */
  int by_hour = (minutes + half_hour - 1) / half_hour, by_stretch = (minutes - 1) / stretch;
  filling->pauses = minutes <= stretch ? 0 : by_hour > by_stretch ? by_hour : by_stretch;
  filling->playing = minutes * 60 - filling->pauses * GLN_PAUSE_SECONDS;
}

GlnStatus gln_filling_open(const GlnMaterial *material, const GlnMemory *memories,
                           const GlnPlanOptions *options, const GlnUnlock *unlock, double gain, bool endless,
                           GlnArena *arena, GlnFilling *filling) {
  const size_t count = material->item_count;
  *filling = (GlnFilling){.material = material,
                          .options = options,
                          .unlock = unlock,
                          .gain = gain,
                          .rest = options->rest,
                          .returning = options->returning,
                          .items = GLN_NEW(arena, GlnProgressing, count),
                          .reviews = GLN_NEW(arena, size_t, count),
                          .fresh = GLN_NEW(arena, size_t, count),
                          .seconds = GLN_NEW(arena, int, count),
                          .sorted = GLN_NEW(arena, GlnSort, count)};
  if (filling->items == NULL || filling->reviews == NULL || filling->fresh == NULL ||
      filling->seconds == NULL || filling->sorted == NULL)
    return GLN_MEMORY;
  if (options->rest == GLN_REST_AUTO)
    filling->rest = options->days >= WEEK ? (gln_day_weekday(options->start) + WEEK / 2) % WEEK : -1;
  int week = options->days < WEEK ? options->days : WEEK;
  filling->gap_low = (int)fmax(ceil(GAP_LOW * week), 1);
  filling->gap_high = (int)fmax(floor(GAP_HIGH * options->days), filling->gap_low);
  filling->first = filling->last = -1;
  for (int at = 0; at < options->days; at++)
    if (!gln_filling_rests(filling, at)) {
      filling->first = filling->first < 0 ? at : filling->first;
      filling->last = at;
    }
  if (endless)
    filling->last = INT_MAX;
  for (size_t i = 0; i < count; i++) {
    GlnProgressing *item = &filling->items[i];
    if (memories == NULL || memories[i].practised == 0)
      continue;
    item->memory = memories[i];
    item->begun = true;
    if (item->memory.last > options->start) /* a clock was set back since */
      item->memory.last = options->start;
    item->due =
        item->memory.last + gap_after(filling, material->items[i].kind, &item->memory) - options->start;
  }
  for (size_t i = 0; i < unlock->count; i++)
    filling->items[unlock->order[i]].unlocks = unlock->unlocks[i];
  return GLN_OK;
}

/* ---- reviews ------------------------------------------------------------------------------------------------------- */

static int compare_sorted(const void *a, const void *b) {
  const GlnSort *x = a, *y = b;
  if (x->value < y->value || x->value > y->value)
    return x->value < y->value ? -1 : 1;
  return x->item < y->item ? -1 : x->item > y->item;
}

static void review(GlnFilling *filling, size_t item, int seconds) {
  filling->reviews[filling->review_count++] = item;
  filling->seconds[item] = seconds;
  filling->items[item].today = true;
}

/* What is due, the shakiest first. A move takes its two grips along. */
static int choose_reviews(GlnFilling *filling, int most) {
  const GlnMaterial *material = filling->material;
  GlnDay today = filling->options->start + filling->at;
  size_t count = 0;
  for (size_t i = 0; i < material->item_count; i++)
    if (filling->items[i].begun && filling->items[i].due <= filling->at)
      filling->sorted[count++] = (GlnSort){gln_memory_recall(&filling->items[i].memory, today), i};
  if (count > 1)
    qsort(filling->sorted, count, sizeof *filling->sorted, compare_sorted);
  int used = 0;
  for (size_t n = 0; n < count; n++) {
    size_t i = filling->sorted[n].item;
    const GlnStudyItem *item = &material->items[i];
    int seconds = filling->items[i].memory.practised > 1 ? REVIEW_GRIP : REVIEW_MOVE;
    if (item->kind != GLN_ITEM_MOVE || used + seconds > most)
      continue;
    review(filling, i, seconds);
    used += seconds;
    filling->items[item->from].today = filling->items[item->to].today = true;
  }
  for (size_t n = 0; n < count; n++) {
    size_t i = filling->sorted[n].item;
    if (material->items[i].kind != GLN_ITEM_GRIP || filling->items[i].today || used + REVIEW_GRIP > most)
      continue;
    review(filling, i, REVIEW_GRIP);
    used += REVIEW_GRIP;
  }
  return used;
}

/* ---- what is new ----------------------------------------------------------------------------------------------------- */

typedef struct Pace {
  int first, least, most;
} Pace;

static Pace pace_of(GlnLevel level) {
  static const Pace paces[] = {
#define PACE(name, key, first, least, most, part) [name] = {first, least, most},
      GLN_LEVEL_LIST(PACE)
#undef PACE
  };
  return paces[level];
}

/* Days from this one on on which something new may begin. */
static int days_for_new(const GlnFilling *filling) {
  if (filling->last == INT_MAX)
    return 1;
  int days = 0;
  for (int at = filling->at; at < filling->last; at++)
    days += gln_filling_rests(filling, at) ? 0 : 1;
  return days;
}

static bool may_begin(const GlnFilling *filling) {
  if (filling->options->strain == GLN_STRAIN_PAIN || filling->returning > 0)
    return false;
  return filling->last != filling->at || filling->options->days < 3;
}

static int grips_to_begin(const GlnFilling *filling) {
  int left = 0;
  for (size_t i = 0; i < filling->unlock->count; i++)
    left += filling->items[filling->unlock->order[i]].begun ? 0 : 1;
  Pace pace = pace_of(filling->options->level);
  int days = days_for_new(filling);
  int wanted = days > 0 ? (left + days - 1) / days : left;
  int grips = filling->at == filling->first ? pace.first
              : wanted < pace.least         ? pace.least
              : wanted > pace.most          ? pace.most
                                            : wanted;
  return filling->options->strain == GLN_STRAIN_SOME ? (grips + 1) / 2 : grips;
}

/* Time that what is to begin today would take. */
static int time_for_new(const GlnFilling *filling) {
  const GlnMaterial *material = filling->material;
  int moves = 0, days = days_for_new(filling);
  for (size_t i = material->grip_count; i < material->item_count; i++)
    moves += filling->items[i].begun ? 0 : 1;
  moves = days > 0 ? (moves + days - 1) / days : moves;
  return grips_to_begin(filling) * (NEW_GRIP + NEW_GRIP_HARD / 2) + moves * NEW_MOVE;
}

static bool alike_today(const GlnFilling *filling, size_t item) {
  for (size_t i = 0; i < filling->fresh_count; i++)
    if (gln_items_look_alike(filling->material, filling->fresh[i], item))
      return true;
  return false;
}

static void begin(GlnFilling *filling, size_t item, int seconds) {
  filling->fresh[filling->fresh_count++] = item;
  filling->seconds[item] = seconds;
  filling->items[item].begun = filling->items[item].today = true;
}

static int choose_grips(GlnFilling *filling, int most) {
  double room = grips_to_begin(filling);
  int used = 0;
  for (size_t i = 0; i < filling->unlock->count; i++) {
    size_t grip = filling->unlock->order[i];
    double difficulty = filling->material->items[grip].difficulty;
    double counts = 1 + fmax(difficulty - EASY_GRIP, 0);
    int seconds = gln_tick(NEW_GRIP + NEW_GRIP_HARD * difficulty);
    bool first = filling->fresh_count == 0;
    if (filling->items[grip].begun || (counts > room + 1e-9 && !first) || used + seconds > most ||
        alike_today(filling, grip))
      continue;
    begin(filling, grip, seconds);
    used += seconds;
    room -= counts;
  }
  filling->fresh_grips = filling->fresh_count;
  return used;
}

/* Moves between grips that have been begun: what is used often and is hard comes first. */
static int choose_moves(GlnFilling *filling, int most) {
  const GlnMaterial *material = filling->material;
  size_t count = 0;
  for (size_t i = material->grip_count; i < material->item_count; i++) {
    const GlnStudyItem *item = &material->items[i];
    if (!filling->items[i].begun && filling->items[item->from].begun && filling->items[item->to].begun)
      filling->sorted[count++] = (GlnSort){-(double)item->uses * (0.5 + item->difficulty), i};
  }
  if (count > 1)
    qsort(filling->sorted, count, sizeof *filling->sorted, compare_sorted);
  int room = MOVES_PER_GRIP * pace_of(filling->options->level).most;
  if (filling->options->strain == GLN_STRAIN_SOME)
    room /= 2;
  int used = 0;
  for (size_t n = 0; n < count && room > 0; n++) {
    size_t move = filling->sorted[n].item;
    int seconds = gln_tick(NEW_MOVE);
    if (used + seconds > most || alike_today(filling, move))
      continue;
    begin(filling, move, seconds);
    used += seconds;
    room--;
  }
  return used;
}

/* ---- the day --------------------------------------------------------------------------------------------------------- */

static bool is_left(const GlnFilling *filling) {
  for (size_t i = 0; i < filling->material->item_count; i++)
    if (!filling->items[i].begun)
      return true;
  return false;
}

static double song_part(const GlnFilling *filling) {
  if (filling->at == filling->last)
    return SONG_LAST_DAY;
  int days = filling->options->days > 1 ? filling->options->days - 1 : 1;
  double gone = fmin((double)filling->at / days, 1);
  return SONG_PART + SONG_GROWS * gone;
}

/* What is left of the day goes, half of it, to the items, up to a limit each; returns the rest. */
static int share_out(GlnFilling *filling, int room) {
  if (room <= 0)
    return 0;
  int given = 0, round = 1;
  while (round > 0 && given + GLN_TICK <= room / 2) {
    round = 0;
    for (size_t i = 0; i < filling->review_count + filling->fresh_count; i++) {
      bool is_review = i < filling->review_count;
      size_t item = is_review ? filling->reviews[i] : filling->fresh[i - filling->review_count];
      if (filling->seconds[item] + GLN_TICK > (is_review ? REVIEW_MOST : NEW_MOST) ||
          given + round + GLN_TICK > room / 2)
        continue;
      filling->seconds[item] += GLN_TICK;
      round += GLN_TICK;
    }
    given += round;
  }
  return room - given;
}

void gln_filling_choose(GlnFilling *filling, int at) {
  filling->at = at;
  filling->review_count = filling->fresh_count = filling->fresh_grips = 0;
  filling->resting = gln_filling_rests(filling, at);
  for (size_t i = 0; i < filling->material->item_count; i++)
    filling->items[i].today = false;
  if (filling->resting)
    return;
  set_pauses(filling);
  int playing = filling->playing;
  filling->warm_up = gln_tick(fmin(fmax(playing * WARM_UP_PART, WARM_UP_MIN), WARM_UP_MAX));
  filling->song = gln_tick(playing * song_part(filling));
  int room = playing - filling->warm_up - filling->song;
  bool begins = may_begin(filling) && is_left(filling);
  int reviews = room;
  if (begins) {
    int least = (int)(room * REVIEW_PART), beside = room - time_for_new(filling);
    reviews = beside > least ? beside : least;
  }
  room -= choose_reviews(filling, reviews);
  if (begins) {
    room -= choose_grips(filling, (int)(room * GRIPS_PART));
    room -= choose_moves(filling, room);
  }
  filling->song += share_out(filling, room);
}

void gln_filling_practise(GlnFilling *filling) {
  if (filling->resting)
    return;
  filling->returning -= filling->returning > 0 ? 1 : 0;
  GlnDay today = filling->options->start + filling->at;
  for (size_t i = 0; i < filling->material->item_count; i++) {
    GlnProgressing *item = &filling->items[i];
    if (!item->today)
      continue;
    gln_memory_foresee(&item->memory, filling->material->items[i].difficulty, today, filling->gain);
    item->memory.rating = GLN_RATING_GOOD;
    item->due = filling->at + gap_after(filling, filling->material->items[i].kind, &item->memory);
  }
}

/* As gln_memory_standing has it, for the day after. */
bool gln_filling_is_ready(const GlnFilling *filling) {
  GlnDay tomorrow = filling->options->start + filling->at + 1;
  for (size_t i = 0; i < filling->material->item_count; i++)
    if (!filling->items[i].begun ||
        gln_memory_standing(&filling->items[i].memory, tomorrow) != GLN_STANDING_SOLID)
      return false;
  return true;
}

bool gln_bar_is_open(const GlnFilling *filling, const GlnStudyBar *bar) {
  for (size_t i = 0; i < bar->item_count; i++)
    if (bar->items[i] < filling->material->grip_count && !filling->items[bar->items[i]].begun)
      return false;
  return true;
}

/* ---- tempo ------------------------------------------------------------------------------------------------------------ */

#define SLOW_PART  0.7 /* of the tempo gone for: slow and target in alternation. Design choice */
#define TEMPO_DAYS 4   /* days of practice from the first tempo to the song's. Design choice */
#define TEMPO_MIN  30  /* a slower target helps nobody. Design choice */

static double level_part(GlnLevel level) {
  static const double parts[] = {
#define PART(name, key, first, least, most, part) [name] = part,
      GLN_LEVEL_LIST(PART)
#undef PART
  };
  return parts[level];
}

void gln_step_tempo(const GlnFilling *filling, size_t item, int *slow, int *target) {
  const GlnStudyItem *it = &filling->material->items[item];
  const GlnMemory *memory = &filling->items[item].memory;
  double song = filling->material->tempo;
  double from = level_part(filling->options->level) * fmin(song, it->tempo);
  double part = fmin((double)memory->practised / TEMPO_DAYS, 1);
  double goal = from + (song - from) * part;
  if (memory->tempo > 0) /* halfway from what went well to the song's */
    goal = fmin(memory->tempo, song) + (song - fmin(memory->tempo, song)) / 2;
  if (song - goal < 2)
    goal = song;
  *target = (int)fmax(goal * gln_return_tempo(filling->returning) + 0.5, TEMPO_MIN);
  *slow = (int)(*target * SLOW_PART + 0.5);
}
