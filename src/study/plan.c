/* The plan: days filled one after another, and how far it is from there until the song is ready. */
#include "study_internal.h"

#include <math.h>

const char *gln_step_key(GlnStepKind kind) {
  static const char *const keys[] = {
#define KEY(name, key, words) [name] = key,
      GLN_STEP_LIST(KEY)
#undef KEY
  };
  return keys[kind];
}

const char *gln_step_name(const GlnPlanStep *step) {
  static const char *const words_of[] = {
#define WORDS(name, key, words) [name] = words,
      GLN_STEP_LIST(WORDS)
#undef WORDS
  };
  return step->again ? "once more" : words_of[step->kind];
}

/* ---- cautions -------------------------------------------------------------------------------------------------------- */

const char *gln_caution(size_t index) {
  /* Performing-arts medicine advice (BAPAM and others). */
  static const char *const cautions[] = {
      "Warm up first. Rest five minutes in every half hour, and one day in seven.",
      "Stop at pain, tingling, numbness or weakness, and see a clinician if it does not pass.",
      "Keep the listening level moderate. This plan is no medical advice."};
  return index < GLN_COUNT_OF(cautions) ? cautions[index] : NULL;
}

const char *gln_strain_advice(GlnStrain strain) {
  switch (strain) {
  case GLN_STRAIN_PAIN:
    return "You reported pain: rest comes first, and nothing new is begun. See a clinician before you go on; "
           "begin again only without pain, slowly and lightly.";
  case GLN_STRAIN_SOME:
    return "You reported some strain: half as much that is new. Take every pause, press no harder than the "
           "note needs, and see a clinician if it does not pass.";
  case GLN_STRAIN_NONE:
    break;
  }
  return NULL;
}

const char *gln_hands_advice(const GlnPlanOptions *options) {
  if (options->strain == GLN_STRAIN_NONE && options->returning > 0)
    return "You reported pain not long ago: the next sessions are shorter and slower, and nothing new is "
           "begun. "
           "Stop at the first sign of it. See a clinician if it comes back, or if none has looked at it yet.";
  return gln_strain_advice(options->strain);
}

/* ---- coming back after pain ------------------------------------------------------------------------------------------ */

typedef struct Return {
  double tempo, minutes;
} Return;

static Return return_of(int returning) {
  static const Return returns[] = {
#define RETURN(tempo, minutes) {tempo, minutes},
      GLN_RETURN_LIST(RETURN)
#undef RETURN
  };
  if (returning <= 0)
    return (Return){1, 1};
  return returns[returning >= GLN_RETURN_SESSIONS ? 0 : GLN_RETURN_SESSIONS - returning];
}

double gln_return_tempo(int returning) {
  return return_of(returning).tempo;
}

double gln_return_minutes(int returning) {
  return return_of(returning).minutes;
}

/* ---- options ----------------------------------------------------------------------------------------------------------- */

/* What is expected of a player of whom nothing is known, and how many practices that counts for: design choices. */
#define GAIN_EXPECTED  0.8
#define GAIN_PRACTICES 6.0
/* Spread of gains between players, powers of two; 1.28 of it holds four in five. Design choice. */
#define GAIN_SPREAD  0.4
#define FOUR_IN_FIVE 1.28
#define GAIN_LEAST   0.1

GlnPlanOptions gln_plan_defaults(GlnDay start) {
  return (GlnPlanOptions){.start = start,
                          .days = 7,
                          .minutes = 30,
                          .level = GLN_LEVEL_INTERMEDIATE,
                          .rest = GLN_REST_AUTO,
                          .strain = GLN_STRAIN_NONE,
                          .rated = 0,
                          .gain = GAIN_EXPECTED};
}

static bool options_fit(const GlnPlanOptions *options) {
  return options->days >= 1 && options->days <= GLN_PLAN_DAYS_MAX &&
         options->minutes >= GLN_PLAN_MINUTES_MIN && options->minutes <= GLN_PLAN_MINUTES_MAX &&
         options->start >= GLN_DAY_MIN &&
         options->start <= GLN_DAY_MAX - GLN_PLAN_DAYS_MAX - GLN_FORECAST_DAYS &&
         options->rest >= GLN_REST_AUTO && options->rest < 7 && options->rated >= 0 &&
         options->returning >= 0 && options->returning <= GLN_RETURN_SESSIONS;
}

/* ---- looking ahead ------------------------------------------------------------------------------------------------------ */

static double expected_gain(const GlnPlanOptions *options) {
  double gain =
      (options->gain * options->rated + GAIN_EXPECTED * GAIN_PRACTICES) / (options->rated + GAIN_PRACTICES);
  return fmax(gain, GAIN_LEAST);
}

typedef struct Ahead {
  const GlnMaterial *material;
  const GlnMemory *memories;
  const GlnPlanOptions *options;
  const GlnUnlock *unlock;
  GlnArena *arena;
} Ahead;

/* The first day on which all is solid when every practice gives this gain; GLN_DAY_MAX when none is within sight. */
static GlnStatus ready_with(const Ahead *ahead, double gain, GlnDay *ready) {
  GlnArenaMark mark = gln_arena_mark(ahead->arena);
  GlnFilling filling;
  GLN_TRY(gln_filling_open(ahead->material, ahead->memories, ahead->options, ahead->unlock, gain, true,
                           ahead->arena, &filling));
  *ready = GLN_DAY_MAX;
  for (int at = 0; at < GLN_FORECAST_DAYS && *ready == GLN_DAY_MAX; at++) {
    gln_filling_choose(&filling, at);
    gln_filling_practise(&filling);
    if (!filling.resting && gln_filling_is_ready(&filling))
      *ready = ahead->options->start + at;
  }
  gln_arena_rewind(ahead->arena, mark);
  return GLN_OK;
}

static GlnStatus look_ahead(const Ahead *ahead, GlnForecast *forecast) {
  GlnPlanOptions healthy = *ahead->options; /* when the hands are well again */
  healthy.strain = GLN_STRAIN_NONE;
  Ahead well = *ahead;
  well.options = &healthy;
  double gain = expected_gain(ahead->options);
  double spread = FOUR_IN_FIVE * GAIN_SPREAD / sqrt(ahead->options->rated / GAIN_PRACTICES + 1);
  GLN_TRY(ready_with(&well, gain, &forecast->likely));
  GLN_TRY(ready_with(&well, gain + spread, &forecast->early));
  GLN_TRY(ready_with(&well, fmax(gain - spread, GAIN_LEAST), &forecast->late));
  forecast->found = forecast->likely < GLN_DAY_MAX;
  return GLN_OK;
}

/* ---- the whole ----------------------------------------------------------------------------------------------------------- */

static GlnStatus find_cover(const GlnMaterial *material, const GlnMemory *memories, GlnArena *arena,
                            GlnUnlock *unlock) {
  bool *known = GLN_NEW(arena, bool, material->grip_count);
  if (known == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < material->grip_count; i++)
    known[i] = memories != NULL && memories[i].practised > 0;
  return gln_unlock_find(material, known, arena, unlock);
}

static void count_left(const GlnFilling *filling, GlnPlan *plan) {
  for (size_t i = 0; i < filling->material->item_count; i++) {
    bool is_grip = filling->material->items[i].kind == GLN_ITEM_GRIP;
    plan->grips_left += is_grip && !filling->items[i].begun ? 1 : 0;
    plan->moves_left += !is_grip && !filling->items[i].begun ? 1 : 0;
  }
}

GlnStatus gln_study_plan_make(const GlnMaterial *material, const GlnMemory *memories,
                              const GlnPlanOptions *options, GlnArena *arena, GlnPlan **plan) {
  if (!options_fit(options))
    return GLN_USAGE;
  GlnPlan *made = GLN_NEW(arena, GlnPlan, 1);
  if (made == NULL)
    return GLN_MEMORY;
  *made = (GlnPlan){.material = material,
                    .options = *options,
                    .days = GLN_NEW(arena, GlnPlanDay, (size_t)options->days),
                    .day_count = (size_t)options->days};
  if (made->days == NULL)
    return GLN_MEMORY;
  if (options->strain == GLN_STRAIN_PAIN)
    made->options.returning = GLN_RETURN_SESSIONS;
  GLN_TRY(find_cover(material, memories, arena, &made->unlock));
  GlnFilling filling;
  GLN_TRY(gln_filling_open(material, memories, &made->options, &made->unlock, expected_gain(options), false,
                           arena, &filling));
  for (size_t at = 0; at < made->day_count; at++) {
    gln_filling_choose(&filling, (int)at);
    GLN_TRY(gln_session_make(&filling, arena, &made->days[at]));
    gln_filling_practise(&filling);
  }
  count_left(&filling, made);
  const Ahead ahead = {material, memories, &made->options, &made->unlock, arena};
  GLN_TRY(look_ahead(&ahead, &made->forecast));
  *plan = made;
  return GLN_OK;
}
