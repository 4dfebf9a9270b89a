/* Lays out a performance before it is played: the bars with their feels, and the grips with what the right
 * hand does with each. */
#include "sound_internal.h"

#include <assert.h>
#include <string.h>

static GlnRatio held_end(const GlnHeld *held) {
  return gln_ratio_add(held->start, held->quarters);
}

/* ---- shapes ------------------------------------------------------------------------------------------ */

static int tone_role_value(const GlnShape *shape, int string) {
  int tone = shape->grip->tone[string];
  if (tone < 0 || tone >= shape->chord->tone_count)
    return 0;
  switch (shape->chord->tones[tone].role) {
  case GLN_ROLE_MUST:
    return 2;
  case GLN_ROLE_COLOUR:
    return 1;
  case GLN_ROLE_MAY_GO:
    return 0;
  }
  return 0;
}

/* How good a set of strings is for the fingers: the tones that make the chord first, each once, then high
 * strings. */
static int set_value(const GlnShape *shape, unsigned set) {
  int value = 0;
  uint16_t heard = 0;
  for (int string = 0; string < shape->grip->frets.string_count; string++) {
    if (!(set >> string & 1))
      continue;
    uint16_t class = (uint16_t)(1U << shape->grip->midi[string] % 12);
    if (!(heard & class))
      value += 100 * tone_role_value(shape, string);
    heard |= class;
    value += string;
  }
  return value;
}

/* The three strings (or fewer) that index, middle and ring finger take: never the thumb's. */
static void choose_fingers(GlnShape *shape) {
  const GlnGrip *grip = shape->grip;
  unsigned free_strings = 0;
  int free_count = 0;
  for (int i = 0; i < grip->frets.string_count; i++)
    if (grip->midi[i] >= 0 && i != grip->bass_string) {
      free_strings |= 1U << i;
      free_count++;
    }
  int wanted = free_count < GLN_PLUCKING_FINGERS ? free_count : GLN_PLUCKING_FINGERS;
  unsigned best = 0;
  int best_value = -1;
  for (unsigned set = 0; set < 1U << grip->frets.string_count; set++) {
    int size = 0;
    for (unsigned rest = set; rest; rest &= rest - 1)
      size++;
    if ((set & ~free_strings) || size != wanted || set_value(shape, set) <= best_value)
      continue;
    best = set;
    best_value = set_value(shape, set);
  }
  for (int8_t i = 0; i < grip->frets.string_count; i++)
    if (best >> i & 1)
      shape->fingers[shape->finger_count++] = i;
}

static bool same_shape(const GlnShape *shape, const GlnHeld *held) {
  if (!shape->grip || !held->grip)
    return !shape->grip && !held->grip;
  return gln_frets_equal(&shape->grip->frets, &held->grip->frets) &&
         memcmp(shape->grip->fingering.finger, held->grip->fingering.finger, GLN_STRINGS_MAX) == 0 &&
         gln_chord_equal(shape->chord, held->chord);
}

/* Index of the shape of this grip, worked out when it is new. held NULL: silence. */
static GlnStatus shape_of(const GlnPerformanceOptions *options, GlnPlan *plan, const GlnHeld *held,
                          size_t *index) {
  for (*index = 0; *index < plan->shape_count; ++*index)
    if (same_shape(&plan->shapes[*index], held))
      return GLN_OK;
  GlnShape *shape = &plan->shapes[plan->shape_count++];
  *shape = (GlnShape){.grip = held->grip, .chord = held->chord};
  if (!shape->grip)
    return GLN_OK;
  choose_fingers(shape);
  GlnStatus status =
      gln_thumb_fifth(options->instrument, options->hand, shape->grip, shape->chord, &shape->fifth);
  shape->has_fifth = status == GLN_OK;
  return status == GLN_NO ? GLN_OK : status;
}

/* ---- spans ------------------------------------------------------------------------------------------- */

static void add_span(GlnPlan *plan, GlnRatio start, size_t shape, GlnRatio lift) {
  if (plan->span_count && plan->spans[plan->span_count - 1].shape == shape)
    return; /* held on */
  plan->spans[plan->span_count++] = (GlnSpan){.start = start, .shape = shape, .lift = lift};
}

static GlnStatus lay_spans(const GlnPerformanceOptions *options, const GlnHeld *held, size_t count,
                           GlnPlan *plan) {
  const GlnHeld silence = {0};
  plan->end = gln_ratio(0, 1);
  for (size_t i = 0; i < count; i++) {
    size_t shape;
    int gap = gln_ratio_compare(held[i].start, plan->end);
    assert(gap >= 0 && held[i].quarters.num > 0 && (!held[i].grip || held[i].chord));
    if (gap > 0) {
      GLN_TRY(shape_of(options, plan, &silence, &shape));
      add_span(plan, plan->end, shape, gln_ratio(0, 1));
    }
    GLN_TRY(shape_of(options, plan, &held[i], &shape));
    /* a lift that was left out is 0/0 */
    add_span(plan, held[i].start, shape, held[i].lift.den ? held[i].lift : gln_ratio(0, 1));
    plan->end = held_end(&held[i]);
  }
  return GLN_OK;
}

/* ---- bars -------------------------------------------------------------------------------------------- */

static void warn_of_feel(const GlnPerformanceOptions *options, GlnDiags *diags, GlnFeelFit fit,
                         GlnText nearest, int16_t beats, int16_t unit) {
  int length = (int)(options->feel.length > 60 ? 60 : options->feel.length);
  if (fit == GLN_FEEL_OTHER_METER)
    gln_diags_format(
        diags, GLN_WARNING, options->feel_offset, options->feel_length,
        "the plain feel of this meter is played there; write a feel of your own for it: docs/feels.md",
        "the feel \"%.*s\" is not written for %d/%d", length, options->feel.at, beats, unit);
  else if (fit == GLN_FEEL_UNKNOWN)
    gln_diags_format(diags, GLN_WARNING, options->feel_offset, options->feel_length,
                     "the plain feel of the meter is played; docs/feels.md lists the feels",
                     "no feel is called \"%.*s\"; the nearest is \"%.*s\"", length, options->feel.at,
                     (int)nearest.length, nearest.at);
  if (options->feel_length == 0 && fit != GLN_FEEL_FITS && diags->count > 0)
    diags->items[diags->count - 1].has_place = false; /* no chart names it */
}

/* The feel for a bar: as in an earlier bar of this meter, else chosen, with a warning where it does not fit.
 * An unknown name is warned of once, a name that lacks a meter once for each such meter. */
static GlnStatus choose_feel(const GlnPerformanceOptions *options, GlnDiags *diags,
                             const GlnPlayedBar **known, size_t *known_count, GlnPlayedBar *bar) {
  for (size_t i = 0; i < *known_count; i++)
    if (known[i]->beats == bar->beats && known[i]->unit == bar->unit) {
      bar->feel = known[i]->feel;
      return GLN_OK;
    }
  GlnFeelFit fit;
  GlnText nearest;
  GLN_TRY(gln_feel_choose(options->book, options->feel, bar->beats, bar->unit, &bar->feel, &fit, &nearest));
  if (fit != GLN_FEEL_UNKNOWN || *known_count == 0)
    warn_of_feel(options, diags, fit, nearest, bar->beats, bar->unit);
  known[(*known_count)++] = bar;
  return GLN_OK;
}

/* One bar for each bar in which something is held; how long it is shows where the next begins. */
static void lay_bars(const GlnHeld *held, size_t count, GlnPlan *plan) {
  GlnPlayedBar *last = NULL;
  for (size_t i = 0; i < count; i++) {
    if (last && gln_ratio_compare(last->start, held[i].bar_start) == 0)
      continue;
    GlnRatio full = gln_meter_quarters(held[i].meter_beats, held[i].meter_unit);
    if (last) {
      GlnRatio room = gln_ratio_subtract(held[i].bar_start, last->start);
      assert(room.num > 0);
      if (gln_ratio_compare(room, last->quarters) < 0)
        last->quarters = room;
    }
    last = &plan->bars[plan->bar_count++];
    *last = (GlnPlayedBar){.start = held[i].bar_start,
                           .quarters = full,
                           .skipped = gln_ratio(0, 1),
                           .beats = held[i].meter_beats,
                           .unit = held[i].meter_unit,
                           .section = held[i].section};
  }
  /* A first bar that is short is a pick-up: the end of a full bar. */
  if (plan->bar_count > 1) {
    GlnPlayedBar *first = &plan->bars[0];
    first->skipped = gln_ratio_subtract(gln_meter_quarters(first->beats, first->unit), first->quarters);
  }
}

static GlnStatus choose_feels(const GlnPerformanceOptions *options, GlnArena *arena, GlnDiags *diags,
                              GlnPlan *plan) {
  const GlnPlayedBar **known = GLN_NEW(arena, const GlnPlayedBar *, plan->bar_count);
  if (!known)
    return GLN_MEMORY;
  size_t known_count = 0;
  for (size_t i = 0; i < plan->bar_count; i++) {
    GlnPlayedBar *bar = &plan->bars[i];
    GLN_TRY(choose_feel(options, diags, known, &known_count, bar));
    if (i > 0 && bar[-1].feel == bar->feel)
      bar->pattern_bar = (bar[-1].pattern_bar + 1) % bar->feel->bars;
    else
      bar->pattern_bar = bar->skipped.num > 0 ? bar->feel->bars - 1 : 0;
  }
  return GLN_OK;
}

/* The meter that a bar of this length has, in its own unit or a finer one; its written meter where none fits.
 */
static GlnMeterStart meter_of(const GlnPlayedBar *bar) {
  for (int16_t unit = bar->unit; unit <= 64; unit = (int16_t)(2 * unit)) {
    GlnRatio beats = gln_ratio_multiply(bar->quarters, gln_ratio(unit, 4));
    if (beats.den == 1 && beats.num <= GLN_METER_BEATS_MAX)
      return (GlnMeterStart){.beats = (int16_t)beats.num, .unit = unit};
  }
  return (GlnMeterStart){.beats = bar->beats, .unit = bar->unit};
}

GlnStatus gln_plan_meters(const GlnPlan *plan, GlnArena *arena, GlnPerformance *performance) {
  performance->meters = GLN_NEW(arena, GlnMeterStart, plan->bar_count);
  if (!performance->meters)
    return GLN_MEMORY;
  for (size_t i = 0; i < plan->bar_count; i++) {
    GlnMeterStart meter = meter_of(&plan->bars[i]);
    meter.start = gln_ratio_add(performance->lead_in, plan->bars[i].start);
    if (i == 0) {
      meter.start = gln_ratio(0, 1);
      if (performance->lead_in.num > 0) /* the count-in fills a pick-up to a whole bar */
        meter = (GlnMeterStart){meter.start, plan->bars[i].beats, plan->bars[i].unit};
    }
    const GlnMeterStart *last = i ? &performance->meters[performance->meter_count - 1] : NULL;
    if (!last || last->beats != meter.beats || last->unit != meter.unit)
      performance->meters[performance->meter_count++] = meter;
  }
  return GLN_OK;
}

/* ---- the whole --------------------------------------------------------------------------------------- */

static GlnStatus refuse(GlnDiags *diags, GlnBuffer problem, const char *advice) {
  gln_diags_add(
      diags,
      (GlnDiag){.severity = GLN_ERROR, .problem = gln_buffer_text(&problem), .advice = gln_text(advice)});
  return GLN_LIMIT;
}

static GlnStatus check_limits(const GlnPerformanceOptions *options, const GlnHeld *held, size_t count,
                              GlnDiags *diags) {
  GlnBuffer problem = gln_buffer(diags->arena);
  if (!(options->tempo >= GLN_TEMPO_MIN && options->tempo <= GLN_TEMPO_MAX)) {
    gln_buffer_format(&problem, "the tempo is not from %d to %d quarter notes a minute", (int)GLN_TEMPO_MIN,
                      (int)GLN_TEMPO_MAX);
    return refuse(diags, problem, "set a tempo that a player can count");
  }
  if (options->count_in < 0 || options->count_in > GLN_COUNT_IN_MAX) {
    gln_buffer_format(&problem, "a count-in has from 0 to %d bars", GLN_COUNT_IN_MAX);
    return refuse(diags, problem, "count in fewer bars");
  }
  for (size_t i = 0; i < count; i++)
    if (!gln_meter_valid(held[i].meter_beats, held[i].meter_unit)) {
      gln_buffer_format(&problem,
                        "%d/%d is no meter that can be played: up to %d beats, of a whole note to a 64th",
                        held[i].meter_beats, held[i].meter_unit, GLN_METER_BEATS_MAX);
      return refuse(diags, problem, "write a meter such as 4/4 or 6/8");
    }
  if (count &&
      gln_ratio_compare(held_end(&held[count - 1]), gln_ratio(GLN_PERFORMANCE_QUARTERS_MAX, 1)) > 0) {
    gln_buffer_format(&problem, "the song is longer than %d quarter notes", GLN_PERFORMANCE_QUARTERS_MAX);
    return refuse(diags, problem, "play fewer repeats");
  }
  return GLN_OK;
}

GlnStatus gln_plan_make(const GlnPerformanceOptions *options, const GlnHeld *held, size_t count,
                        GlnArena *arena, GlnDiags *diags, GlnPlan *plan) {
  GLN_TRY(check_limits(options, held, count, diags));
  *plan = (GlnPlan){.shapes = GLN_NEW(arena, GlnShape, count + 1),
                    .spans = GLN_NEW(arena, GlnSpan, 2 * count),
                    .bars = GLN_NEW(arena, GlnPlayedBar, count)};
  if (!plan->shapes || !plan->spans || !plan->bars)
    return GLN_MEMORY;
  GLN_TRY(lay_spans(options, held, count, plan));
  lay_bars(held, count, plan);
  GLN_TRY(choose_feels(options, arena, diags, plan));
  gln_plan_vary(plan);
  return GLN_OK;
}
