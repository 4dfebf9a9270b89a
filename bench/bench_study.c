/* Does practising by the plan pay? Simulated learners with known forgetting curves practise one song in three ways for the
 * same minutes on the same days, and are tested 1, 7 and 28 days after the last of them.
 *
 *   plan         what gripline plan says, day by day, made anew each day from the learner's own ratings
 *   blocked      one item after the other, each drilled until its share of all the minutes is used up; no reviews
 *   all at once  every item every day in equal shares, from the first day on; then the song, as far as it goes
 *
 * ASSUMPTIONS, which are not those the plan reckons with (docs/plan.md says what it reckons with):
 *   - A learner's memory of an item has a strength between 0 and 1, the chance of playing it, which falls as a power of
 *     time: s(t) = (1 + t / d)^-0.5 in days (Wixted & Carpenter 2007 find power functions for forgetting; exponent and d
 *     are design choices). "steep" learners lose faster, "shallow" ones slower, "mixed" have both kinds of items; in
 *     "exponential" the fall is 2^(-t / d) after all.
 *   - Minutes on an item within one day count less and less: of m minutes 1 - exp(-m) is taken in. First it must be
 *     found: 0.4 minutes from the page when it is new, so much less the better it is remembered: 0.4 · (1 - s).
 *   - What is new begins with d in proportion to a quarter and three quarters of what was taken in.
 *   - Taking in lengthens d by a factor 1 + 3 · taken · (1 - s) · share: most when it has begun to fade (spacing), and
 *     overnight alone: two practices of one day are one. A whole minute on what is half gone about doubles d.
 *   - A hard item begins with a smaller d and gains less (share). Difficulty is the material's.
 *   - What is begun on one day shares the night: of n new items more than eight, each keeps 8 / n of its first d (learning a
 *     second sequence right after a first one undoes the first one's gain overnight: Walker et al. 2003, from memory; eight
 *     is a design choice, about four grips and their moves). docs/plan.md says what comes out without it.
 *   - Two look-alikes begun on one day halve each other's first gain (the study behind the rule of the plan).
 *   - A move that is practised carries a third of its minutes to each of its grips. A piece of the song gives each of its
 *     items its part of the minutes.
 *   - A learner rates by luck against strength before practice: again under 0.45, hard under 0.7, good under 0.9, else easy,
 *     with noise of 0.1.
 *   - "Retained" is the mean strength over all items of the song, grips and moves; an item never begun counts 0. "Bars" is
 *     the part of the song's bars all of whose items have a strength of 0.5 or more.
 * Songs are made up: so many grips, sections of bars with one or two of them that come twice, moves between neighbours, some
 * look-alikes. Seeded: the same every run. */
#include "study.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- chance ------------------------------------------------------------------------------------------------------------- */

static double chance(uint64_t *seed) {
  *seed ^= *seed << 13;
  *seed ^= *seed >> 7;
  *seed ^= *seed << 17;
  return (double)(*seed >> 11) / 9007199254740992.0;
}

/* ---- songs ---------------------------------------------------------------------------------------------------------------- */

static GlnMaterial *make_song(GlnArena *arena, size_t grips, size_t bars, uint64_t seed) {
  GlnMaterial *material = GLN_NEW(arena, GlnMaterial, 1);
  GlnStudyItem *items = GLN_NEW(arena, GlnStudyItem, grips + 2 * bars);
  GlnStudyBar *song = GLN_NEW(arena, GlnStudyBar, bars);
  GlnText *section = GLN_NEW(arena, GlnText, 1);
  if (material == NULL || items == NULL || song == NULL || section == NULL)
    exit(4);
  *material = (GlnMaterial){.tempo = 120,
                            .items = items,
                            .item_count = grips,
                            .grip_count = grips,
                            .bars = song,
                            .bar_count = bars,
                            .sections = section,
                            .section_count = 1};
  for (size_t g = 0; g < grips; g++) {
    GlnHandShape shape = {.frets = {.string_count = 6}};
    for (int s = 0; s < 6; s++)
      shape.frets.fret[s] = GLN_NOT_PLAYED;
    for (int f = 1; f <= 3; f++) { /* three fingers anywhere: some grips come out as look-alikes */
      int string = (int)(chance(&seed) * 6);
      shape.frets.fret[string] = (int8_t)(1 + (int)(chance(&seed) * 4));
      shape.finger[string] = (int8_t)f;
    }
    items[g] = (GlnStudyItem){
        .kind = GLN_ITEM_GRIP, .shape = shape, .difficulty = 0.1 + 0.5 * chance(&seed), .tempo = INFINITY};
  }
  size_t last = grips, half = bars / 2;
  uint64_t first = seed;
  for (size_t b = 0; b < bars; b++) {
    seed = b == half ? first : seed; /* the second half is the first again */
    uint32_t *list = GLN_NEW(arena, uint32_t, 4);
    if (list == NULL)
      exit(4);
    size_t count = 0;
    for (size_t c = 0; c < 2; c++) {
      size_t any = (size_t)(chance(&seed) * chance(&seed) * (double)grips);
      size_t grip = c == 0 && b % half < grips ? b % half : any;
      if (c == 1 && b % 2 == 0) /* every other bar holds one chord */
        continue;
      if (grip == last)
        continue;
      if (last < grips) {
        size_t move = grips;
        while (move < material->item_count && (items[move].from != last || items[move].to != grip))
          move++;
        if (move == material->item_count)
          items[material->item_count++] =
              (GlnStudyItem){.kind = GLN_ITEM_MOVE,
                             .from = last,
                             .to = grip,
                             .difficulty = 0.1 + 0.7 * (double)((last * 31 + grip * 17) % 100) / 100,
                             .tempo = 60 + (double)((last * 13 + grip * 29) % 120)};
        items[move].uses++;
        list[count++] = (uint32_t)move;
      }
      items[grip].uses++;
      list[count++] = (uint32_t)grip;
      last = grip;
    }
    song[b] = (GlnStudyBar){.number = (uint32_t)b + 1, .items = list, .item_count = count};
  }
  return material;
}

/* ---- learners --------------------------------------------------------------------------------------------------------------- */

typedef enum Kind { STEEP, SHALLOW, MIXED, EXPONENTIAL, KINDS } Kind;
static const char *const kind_names[] = {"steep", "shallow", "mixed", "exponential"};

typedef struct Trace {
  bool begun;
  double scale;  /* d, days */
  double last;   /* day of the last practice */
  double spoilt; /* part of the first gain that is left */
} Trace;

typedef struct Learner {
  const GlnMaterial *material;
  Kind kind;
  uint64_t seed;
  Trace *traces;
  double *minutes; /* of the day, an item */
} Learner;

/* New items that one night can settle; more share it. */
#define NIGHT 8.0

static double strength(const Learner *learner, size_t item, double day) {
  const Trace *trace = &learner->traces[item];
  if (!trace->begun)
    return 0;
  double t = fmax(day - trace->last, 0);
  return learner->kind == EXPONENTIAL ? exp2(-t / trace->scale) : 1 / sqrt(1 + t / trace->scale);
}

static double first_scale(const Learner *learner, size_t item) {
  double base = learner->kind == STEEP     ? 0.4
                : learner->kind == SHALLOW ? 1.6
                : learner->kind == MIXED   ? (item % 2 == 0 ? 0.4 : 1.6)
                                           : 1.5;
  return base * (1.4 - 0.8 * learner->material->items[item].difficulty);
}

static void practise(Learner *learner, size_t item, double minutes) {
  learner->minutes[item] += minutes;
  const GlnStudyItem *it = &learner->material->items[item];
  if (it->kind == GLN_ITEM_MOVE) {
    learner->minutes[it->from] += minutes / 3;
    learner->minutes[it->to] += minutes / 3;
  }
}

/* The night: what the day's minutes leave. */
static void sleep_on_it(Learner *learner, double day) {
  const GlnMaterial *material = learner->material;
  int fresh = 0;
  for (size_t i = 0; i < material->item_count; i++)
    fresh += !learner->traces[i].begun && learner->minutes[i] > 0.4 ? 1 : 0;
  double night = fresh > NIGHT ? NIGHT / fresh : 1;
  for (size_t i = 0; i < material->item_count; i++) {
    double minutes = learner->minutes[i];
    Trace *trace = &learner->traces[i];
    double needed = 0.4 * (1 - strength(learner, i, day));
    if (minutes <= needed)
      continue;
    double taken = 1 - exp(-(minutes - needed));
    double share = 1.2 - 0.6 * material->items[i].difficulty;
    if (!trace->begun) {
      double spoilt = 1;
      for (size_t j = 0; j < material->item_count; j++)
        if (learner->minutes[j] > 0.4 && (!learner->traces[j].begun || learner->traces[j].last >= day) &&
            j != i && gln_items_look_alike(material, i, j))
          spoilt = 0.5;
      *trace = (Trace){true, first_scale(learner, i) * (0.25 + 0.75 * taken) * spoilt * night, day, spoilt};
      continue;
    }
    if (trace->last >= day)
      continue;
    trace->scale *= 1 + 3 * taken * (1 - strength(learner, i, day)) * share;
    trace->last = day;
  }
  memset(learner->minutes, 0, material->item_count * sizeof *learner->minutes);
}

static GlnRating rate(Learner *learner, size_t item, double day) {
  double felt = strength(learner, item, day) + 0.2 * (chance(&learner->seed) - 0.5);
  if (!learner->traces[item].begun)
    felt = 0.9 - 0.4 * learner->material->items[item].difficulty + 0.2 * (chance(&learner->seed) - 0.5);
  return felt < 0.45  ? GLN_RATING_AGAIN
         : felt < 0.7 ? GLN_RATING_HARD
         : felt < 0.9 ? GLN_RATING_GOOD
                      : GLN_RATING_EASY;
}

/* ---- the three ways -------------------------------------------------------------------------------------------------------------- */

enum { PLAN, BLOCKED, ALL, WAYS };
static const char *const way_names[] = {"plan", "blocked", "all at once"};

typedef struct Course {
  int days, minutes;
  bool rests[GLN_PLAN_DAYS_MAX];
  /* What the plan gave each day to items and to the song, minutes: the other ways get the same. */
  double items[GLN_PLAN_DAYS_MAX], song[GLN_PLAN_DAYS_MAX];
} Course;

static void play_piece(Learner *learner, const GlnPlanStep *step) {
  const GlnMaterial *material = learner->material;
  double count = 0;
  for (size_t b = step->first_bar; b <= step->last_bar; b++)
    count += (double)material->bars[b].item_count;
  for (size_t b = step->first_bar; b <= step->last_bar && count > 0; b++)
    for (size_t i = 0; i < material->bars[b].item_count; i++)
      learner->minutes[material->bars[b].items[i]] += step->seconds / 60.0 / count;
}

/* The song as far as its items are begun, over and over. */
static void play_song(Learner *learner, double minutes) {
  const GlnMaterial *material = learner->material;
  double count = 0;
  for (int pass = 0; pass < 2; pass++)
    for (size_t b = 0; b < material->bar_count; b++)
      for (size_t i = 0; i < material->bars[b].item_count; i++) {
        uint32_t item = material->bars[b].items[i];
        if (!learner->traces[item].begun && learner->minutes[item] <= 0)
          continue;
        if (pass == 0)
          count++;
        else
          learner->minutes[item] += minutes / count;
      }
}

static void go_by_plan(Learner *learner, Course *course) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnMemory *memories = arena != NULL ? GLN_NEW(arena, GlnMemory, learner->material->item_count) : NULL;
  if (memories == NULL)
    exit(4);
  double gains = 0;
  int rated = 0;
  for (int day = 0; day < course->days; day++) {
    if (course->rests[day]) {
      continue;
    }
    GlnArenaMark mark = gln_arena_mark(arena);
    GlnPlanOptions options = gln_plan_defaults(20000 + day);
    options.days = course->days - day;
    options.minutes = course->minutes;
    options.rest = (gln_day_weekday(20000) + 3) % 7;
    options.rated = rated;
    options.gain = rated > 0 ? gains / rated : options.gain;
    GlnPlan *plan = NULL;
    if (gln_study_plan_make(learner->material, memories, &options, arena, &plan) != GLN_OK)
      exit(4);
    const GlnPlanDay *today = &plan->days[0];
    for (size_t s = 0; s < today->step_count; s++) {
      const GlnPlanStep *step = &today->steps[s];
      if (step->kind >= GLN_STEP_BAR) {
        play_piece(learner, step);
        course->song[day] += step->seconds / 60.0;
      }
      if (step->item == GLN_NO_ITEM)
        continue;
      course->items[day] += step->seconds / 60.0;
      practise(learner, step->item, step->seconds / 60.0);
      if (step->again)
        continue;
      GlnRating rating = rate(learner, step->item, day);
      gains += gln_rating_gain(rating);
      rated++;
      gln_memory_practise(&memories[step->item], learner->material->items[step->item].difficulty, 20000 + day,
                          rating, step->target);
    }
    sleep_on_it(learner, day);
    gln_arena_rewind(arena, mark);
  }
  gln_arena_free(arena);
}

static void go_blocked(Learner *learner, Course *course) {
  double all = 0;
  for (int day = 0; day < course->days; day++)
    all += course->items[day] + course->song[day];
  size_t count = learner->material->item_count, item = 0;
  double each = all / (double)count, left = each;
  for (int day = 0; day < course->days; day++) {
    if (course->rests[day])
      continue;
    for (double room = course->items[day] + course->song[day]; room > 1e-9 && item < count;) {
      double now = fmin(room, left);
      practise(learner, item, now);
      room -= now;
      left -= now;
      if (left < 1e-9) {
        item++;
        left = each;
      }
    }
    sleep_on_it(learner, day);
  }
}

static void go_all_at_once(Learner *learner, Course *course) {
  size_t count = learner->material->item_count;
  for (int day = 0; day < course->days; day++) {
    if (course->rests[day])
      continue;
    for (size_t i = 0; i < count; i++)
      practise(learner, i, course->items[day] / (double)count);
    play_song(learner, course->song[day]);
    sleep_on_it(learner, day);
  }
}

/* ---- the test afterwards ------------------------------------------------------------------------------------------------------------ */

typedef struct Result {
  double retained[3], bars[3];
} Result;
static const int delays[] = {1, 7, 28};

static Result test(const Learner *learner, int last_day) {
  Result result = {{0}, {0}};
  const GlnMaterial *material = learner->material;
  for (int d = 0; d < 3; d++) {
    double day = last_day + delays[d];
    for (size_t i = 0; i < material->item_count; i++)
      result.retained[d] += strength(learner, i, day) / (double)material->item_count;
    for (size_t b = 0; b < material->bar_count; b++) {
      bool played = true;
      for (size_t i = 0; i < material->bars[b].item_count; i++)
        played = played && strength(learner, material->bars[b].items[i], day) >= 0.5;
      result.bars[d] += played ? 1 / (double)material->bar_count : 0;
    }
  }
  return result;
}

static Result learn(const GlnMaterial *material, Kind kind, int way, Course *course, uint64_t seed) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  Learner learner = {.material = material, .kind = kind, .seed = seed};
  learner.traces = arena != NULL ? GLN_NEW(arena, Trace, material->item_count) : NULL;
  learner.minutes = arena != NULL ? GLN_NEW(arena, double, material->item_count) : NULL;
  if (learner.traces == NULL || learner.minutes == NULL)
    exit(4);
  static void (*const ways[])(Learner *, Course *) = {go_by_plan, go_blocked, go_all_at_once};
  ways[way](&learner, course);
  int last = course->days - 1;
  while (last > 0 && course->rests[last])
    last--;
  Result result = test(&learner, last);
  gln_arena_free(arena);
  return result;
}

static Course make_course(int days, int minutes) {
  Course course = {.days = days, .minutes = minutes};
  for (int day = 0; day < days; day++)
    course.rests[day] = days >= 7 && day % 7 == 3;
  return course;
}

#define SONGS 8

int main(void) {
  static const struct {
    int days, minutes;
    size_t grips, bars;
  } cases[] = {{7, 30, 10, 24}, {7, 30, 20, 40}, {7, 60, 20, 40}, {14, 30, 20, 40}, {28, 20, 24, 48}};
  printf("days minutes grips  learner      way            items retained after 1 / 7 / 28 days   bars played "
         "after\n");
  double sums[WAYS][3] = {{0}};
  for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
    for (int kind = 0; kind < KINDS; kind++) {
      Course courses[SONGS];
      for (int song = 0; song < SONGS; song++)
        courses[song] = make_course(cases[c].days, cases[c].minutes);
      for (int way = 0; way < WAYS; way++) {
        Result mean = {{0}, {0}};
        for (uint64_t song = 1; song <= SONGS; song++) {
          GlnArena *arena = gln_arena_new(NULL, 0);
          if (arena == NULL)
            return 4;
          const GlnMaterial *material = make_song(arena, cases[c].grips, cases[c].bars, song * 7919);
          Result one = learn(material, (Kind)kind, way, &courses[song - 1], song * 104729);
          for (int d = 0; d < 3; d++) {
            mean.retained[d] += one.retained[d] / SONGS;
            mean.bars[d] += one.bars[d] / SONGS;
          }
          gln_arena_free(arena);
        }
        for (int d = 0; d < 3; d++)
          sums[way][d] += mean.retained[d] / KINDS / (double)(sizeof cases / sizeof cases[0]);
        printf("%4d %7d %5zu  %-11s  %-12s   %12.3f  %6.3f  %6.3f          %6.3f  %6.3f  %6.3f\n",
               cases[c].days, cases[c].minutes, cases[c].grips, kind_names[kind], way_names[way],
               mean.retained[0], mean.retained[1], mean.retained[2], mean.bars[0], mean.bars[1],
               mean.bars[2]);
      }
    }
  }
  printf("\nmean over all, items retained\n");
  for (int way = 0; way < WAYS; way++)
    printf("  %-12s %6.3f  %6.3f  %6.3f\n", way_names[way], sums[way][0], sums[way][1], sums[way][2]);
  return 0;
}
