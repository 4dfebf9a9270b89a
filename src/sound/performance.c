/* Plays held grips with a feel: who sounds when. */
#include "sound_internal.h"

#include <stdlib.h>
#include <string.h>

/* Force of a stroke as MIDI velocity, by player and weight. Design choice: chords under the bass, a ghost
 * note about half as strong as a plain one. */
static const int8_t forces[GLN_HAND_LANES][GLN_WEIGHT_COUNT] = {
    [GLN_LANE_THUMB] = {[GLN_WEIGHT_SOFT] = 52, [GLN_WEIGHT_PLAIN] = 82, [GLN_WEIGHT_ACCENT] = 102},
    [GLN_LANE_FINGERS] = {[GLN_WEIGHT_SOFT] = 42, [GLN_WEIGHT_PLAIN] = 70, [GLN_WEIGHT_ACCENT] = 92}};

/* Design choices, tuned on tempi from 60 to 200: time from string to string in a roll and in a strum, and how
 * long a damped stroke is heard, in quarter notes. */
static const GlnRatio roll_step = {1, 24}, strum_step = {1, 48}, damped_length = {1, 8};
#define UP_STROKE_STRINGS 4

typedef struct Player {
  const GlnPlan *plan;
  GlnNoteList list;
  size_t entered;                   /* spans so far: the last of them is held now */
  int8_t fret[GLN_STRINGS_MAX];     /* held now */
  size_t sounding[GLN_STRINGS_MAX]; /* 1 + index of the note that sounds on the string, 0 none */
  bool fresh;                       /* the thumb has not played this grip yet */
  int8_t thumb_string;              /* that the thumb plays at this very step, -1 none */
} Player;

const char *gln_player_words(GlnPlayer player) {
  static const char *const words[GLN_PLAYER_COUNT] = {
#define GLN_PLAYER_WORD(name, word) [name] = (word),
      GLN_PLAYER_LIST(GLN_PLAYER_WORD)
#undef GLN_PLAYER_WORD
  };
  return words[player];
}

/* ---- notes ------------------------------------------------------------------------------------------- */

static void stop_string(Player *player, int string, GlnRatio time) {
  size_t index = player->sounding[string];
  if (!index)
    return;
  GlnSounding *note = &player->list.notes[index - 1];
  if (gln_ratio_compare(time, note->quarters) < 0)
    note->quarters = time;
  player->sounding[string] = 0;
}

GlnSounding *gln_note_add(GlnNoteList *list) {
  if (list->count == list->capacity) {
    size_t capacity = list->capacity ? 2 * list->capacity : 256;
    GlnSounding *grown = GLN_NEW(list->arena, GlnSounding, capacity);
    if (!grown) {
      list->failed = true;
      return NULL;
    }
    if (list->count)
      memcpy(grown, list->notes, list->count * sizeof *grown);
    list->notes = grown;
    list->capacity = capacity;
  }
  return &list->notes[list->count++];
}

static const GlnShape *shape_now(const Player *player) {
  return &player->plan->shapes[player->plan->spans[player->entered - 1].shape];
}

typedef struct Pluck {
  GlnRatio time, end;
  GlnPlayer who;
  int8_t force;
} Pluck;

static void pluck_string(Player *player, int string, const Pluck *pluck, int midi) {
  size_t last = player->sounding[string];
  if (last && gln_ratio_compare(player->list.notes[last - 1].start, pluck->time) >= 0)
    return; /* a roll or strum that is under way plucks it already */
  stop_string(player, string, pluck->time);
  GlnSounding *note = gln_note_add(&player->list);
  if (!note)
    return;
  *note = (GlnSounding){.start = pluck->time,
                        .quarters = pluck->end,
                        .string = (int8_t)string,
                        .midi = (int8_t)midi,
                        .force = pluck->force,
                        .player = pluck->who};
  player->sounding[string] = player->list.count;
}

/* The left hand holds these frets from now on: what it let go stops. */
static void hold_frets(Player *player, const int8_t fret[GLN_STRINGS_MAX], GlnRatio time) {
  for (int i = 0; i < GLN_STRINGS_MAX; i++) {
    if (fret[i] != player->fret[i])
      stop_string(player, i, time);
    player->fret[i] = fret[i];
  }
}

/* When a string that the next grip changes falls silent: an open one with the change, a stopped one as its finger lifts,
 * but not before half of its note has sounded. */
static GlnRatio silent_from(const Player *player, int string, const GlnSpan *span) {
  if (player->fret[string] <= 0 || !player->sounding[string])
    return span->start;
  const GlnSounding *note = &player->list.notes[player->sounding[string] - 1];
  GlnRatio half = gln_ratio_multiply(gln_ratio_subtract(span->start, note->start), gln_ratio(1, 2));
  GlnRatio lift = gln_ratio_compare(span->lift, half) < 0 ? span->lift : half;
  return gln_ratio_subtract(span->start, lift);
}

/* The left hand changes to the next grip. */
static const GlnSpan *enter_span(Player *player) {
  const GlnSpan *span = &player->plan->spans[player->entered++];
  player->fresh = true;
  const GlnShape *shape = shape_now(player);
  int8_t silence[GLN_STRINGS_MAX];
  for (int i = 0; i < GLN_STRINGS_MAX; i++)
    silence[i] = GLN_NOT_PLAYED;
  const int8_t *frets = shape->grip ? shape->grip->frets.fret : silence;
  for (int i = 0; i < GLN_STRINGS_MAX; i++)
    if (frets[i] != player->fret[i])
      stop_string(player, i, silent_from(player, i, span));
  hold_frets(player, frets, span->start);
  return span;
}

/* ---- strokes ----------------------------------------------------------------------------------------- */

static bool sounds(const GlnStroke *stroke) {
  return stroke && stroke->kind != GLN_STROKE_REST && stroke->kind != GLN_STROKE_RING;
}

/* A stroke of this very moment is not stopped: it is a grip struck outside the feel. */
static void stop_player(Player *player, GlnPlayer who, GlnRatio time) {
  for (int i = 0; i < GLN_STRINGS_MAX; i++) {
    if (!player->sounding[i])
      continue;
    const GlnSounding *note = &player->list.notes[player->sounding[i] - 1];
    if (note->player == who && gln_ratio_compare(note->start, time) < 0)
      stop_string(player, i, time);
  }
}

/* A grip that is new to the thumb begins with its bass, whatever the feel says. */
static void play_thumb(Player *player, const GlnInstrument *instrument, const GlnStroke *stroke,
                       Pluck pluck) {
  const GlnShape *shape = shape_now(player);
  const GlnGrip *grip = shape->grip;
  int8_t frets[GLN_STRINGS_MAX];
  memcpy(frets, grip->frets.fret, sizeof frets);
  int string = grip->bass_string;
  if (stroke->kind == GLN_STROKE_FIFTH && shape->has_fifth && !player->fresh) {
    string = shape->fifth.string;
    frets[string] = shape->fifth.fret;
    if (shape->fifth.finger_moves)
      frets[grip->bass_string] = GLN_NOT_PLAYED;
  }
  player->fresh = false;
  hold_frets(player, frets, pluck.time);
  pluck_string(player, string, &pluck, gln_sounding_midi(instrument, string, frets[string]));
  player->thumb_string = (int8_t)string;
}

/* Strings one after the other, from the low ones up or from the high ones down; step 0: together. */
static void play_strings(Player *player, const GlnShape *shape, unsigned strings, bool downward_pitch,
                         GlnRatio step, Pluck pluck) {
  int count = shape->grip->frets.string_count;
  for (int i = 0; i < count; i++) {
    int string = downward_pitch ? count - 1 - i : i;
    if (!(strings >> string & 1) || string == player->thumb_string)
      continue;
    pluck_string(player, string, &pluck, shape->grip->midi[string]);
    pluck.time = gln_ratio_add(pluck.time, step);
  }
}

static unsigned strings_of_fingers(const GlnShape *shape, int first, int last) {
  unsigned strings = 0;
  for (int i = first; i <= last; i++)
    if (i >= 0 && i < shape->finger_count)
      strings |= 1U << shape->fingers[i];
  return strings;
}

static unsigned highest_strings(const GlnGrip *grip, int wanted) {
  unsigned strings = 0;
  for (int i = grip->frets.string_count - 1; i >= 0 && wanted > 0; i--)
    if (grip->midi[i] >= 0) {
      strings |= 1U << i;
      wanted--;
    }
  return strings;
}

static void play_fingers(Player *player, const GlnStroke *stroke, Pluck pluck) {
  const GlnShape *shape = shape_now(player);
  const GlnRatio together = {0, 1};
  int last = shape->finger_count - 1;
  unsigned all = highest_strings(shape->grip, GLN_STRINGS_MAX);
  switch ((GlnStrokeKind)stroke->kind) {
  case GLN_STROKE_PLUCK:
    play_strings(player, shape, strings_of_fingers(shape, 0, last), false, together, pluck);
    break;
  case GLN_STROKE_ROLL:
    if (player->thumb_string >= 0) /* the thumb is the first of the roll */
      pluck.time = gln_ratio_add(pluck.time, roll_step);
    play_strings(player, shape, strings_of_fingers(shape, 0, last), false, roll_step, pluck);
    break;
  case GLN_STROKE_INDEX:
    play_strings(player, shape, strings_of_fingers(shape, 0, 0), false, together, pluck);
    break;
  case GLN_STROKE_MIDDLE:
    play_strings(player, shape, strings_of_fingers(shape, last > 1 ? 1 : last, last > 1 ? 1 : last), false,
                 together, pluck);
    break;
  case GLN_STROKE_RING_FINGER:
    play_strings(player, shape, strings_of_fingers(shape, last, last), false, together, pluck);
    break;
  case GLN_STROKE_DOWN:
    hold_frets(player, shape->grip->frets.fret, pluck.time);
    play_strings(player, shape, all, false, strum_step, pluck);
    break;
  case GLN_STROKE_UP:
    hold_frets(player, shape->grip->frets.fret, pluck.time);
    play_strings(player, shape, highest_strings(shape->grip, UP_STROKE_STRINGS), true, strum_step, pluck);
    break;
  case GLN_STROKE_DAMPED:
    stop_player(player, GLN_PLAYER_THUMB, pluck.time);
    stop_player(player, GLN_PLAYER_FINGERS, pluck.time);
    hold_frets(player, shape->grip->frets.fret, pluck.time);
    if (gln_ratio_compare(gln_ratio_add(pluck.time, damped_length), pluck.end) < 0)
      pluck.end = gln_ratio_add(pluck.time, damped_length);
    play_strings(player, shape, all, false, together, pluck);
    break;
  case GLN_STROKE_REST:
  case GLN_STROKE_RING:
  case GLN_STROKE_BASS:
  case GLN_STROKE_FIFTH:
  case GLN_STROKE_HIT:
  case GLN_STROKE_COUNT:
    break;
  }
}

static void play_stroke(Player *player, const GlnInstrument *instrument, GlnLane lane,
                        const GlnStroke *stroke, GlnRatio time) {
  GlnPlayer who = lane == GLN_LANE_THUMB ? GLN_PLAYER_THUMB : GLN_PLAYER_FINGERS;
  if (stroke->kind == GLN_STROKE_REST)
    stop_player(player, who, time);
  if (!sounds(stroke) || !shape_now(player)->grip)
    return;
  Pluck pluck = {.time = time, .end = player->plan->end, .who = who, .force = forces[lane][stroke->weight]};
  if (lane == GLN_LANE_THUMB)
    play_thumb(player, instrument, stroke, pluck);
  else
    play_fingers(player, stroke, pluck);
}

/* ---- the walk through the bars ----------------------------------------------------------------------- */

/* A place in the walk: a step that is really played, and when. */
typedef struct Step {
  const GlnPlayedBar *bar;
  int32_t step;
  GlnRatio time;
} Step;

/* The next step of the bar that falls into what is played of it; false after its last. */
static bool next_step(Step *at) {
  const GlnPlayedBar *bar = at->bar;
  while (++at->step < bar->feel->steps) {
    GlnRatio within = gln_ratio_subtract(gln_feel_step_time(bar->feel, at->step), bar->skipped);
    if (within.num < 0)
      continue;
    at->time = gln_ratio_add(bar->start, within);
    return gln_ratio_compare(within, bar->quarters) < 0;
  }
  return false;
}

static const GlnStroke *stroke_at(const Step *at, GlnLane lane) {
  const GlnStroke *strokes = gln_bar_strokes(at->bar, lane);
  return strokes ? &strokes[at->step] : NULL;
}

/* The beat after this step, as it is written, in quarter notes from the song's start. */
static GlnRatio next_beat(const Step *at) {
  const GlnPlayedBar *bar = at->bar;
  GlnRatio beat = gln_meter_beat(bar->beats, bar->unit);
  GlnRatio beats = gln_ratio_divide(gln_feel_step_place(bar->feel, at->step), beat);
  GlnRatio next = gln_ratio_multiply(gln_ratio(beats.num / beats.den + 1, 1), beat);
  return gln_ratio_add(bar->start, gln_ratio_subtract(next, bar->skipped));
}

/* A stroke ahead of its beat takes the grip of that beat: the hand changes with the stroke. Silence is
 * neither left nor entered early. */
static void bring_changes_forward(GlnPlan *plan) {
  size_t span = 0;
  for (size_t i = 0; i < plan->bar_count; i++)
    for (Step at = {.bar = &plan->bars[i], .step = -1}; next_step(&at);) {
      bool ahead = false;
      for (int lane = 0; lane < GLN_HAND_LANES; lane++) {
        const GlnStroke *stroke = stroke_at(&at, (GlnLane)lane);
        ahead = ahead || (stroke && stroke->ahead);
      }
      while (span + 1 < plan->span_count && gln_ratio_compare(plan->spans[span + 1].start, at.time) <= 0)
        span++;
      GlnRatio beat = ahead ? next_beat(&at) : at.time;
      for (size_t next = span + 1;
           next < plan->span_count && gln_ratio_compare(plan->spans[next].start, beat) <= 0 &&
           plan->shapes[plan->spans[next].shape].grip && plan->shapes[plan->spans[next - 1].shape].grip;
           next++)
        plan->spans[next].start = at.time;
    }
}

/* How the fingers of this feel strike a whole grip: as in its first such stroke; GLN_STROKE_REST where they play
 * single strings alone. */
static GlnStrokeKind whole_stroke(const GlnFeel *feel) {
  const GlnStroke *strokes = feel->lanes[GLN_LANE_FINGERS];
  for (int32_t i = 0; strokes && i < feel->bars * feel->steps; i++) {
    GlnStrokeKind kind = (GlnStrokeKind)strokes[i].kind;
    if (kind == GLN_STROKE_DOWN || kind == GLN_STROKE_ROLL || kind == GLN_STROKE_PLUCK)
      return kind;
  }
  return GLN_STROKE_REST;
}

/* Whether the chord is heard by this stroke: a feel of whole grips is not content with a single string. */
static bool strikes(const GlnFeel *feel, GlnLane lane, const GlnStroke *stroke) {
  if (!sounds(stroke) || lane == GLN_LANE_THUMB || whole_stroke(feel) == GLN_STROKE_REST)
    return sounds(stroke);
  return stroke->kind == GLN_STROKE_PLUCK || stroke->kind == GLN_STROKE_ROLL ||
         stroke->kind == GLN_STROKE_DOWN || stroke->kind == GLN_STROKE_UP;
}

/* Which hand strikes which grip when the feel is followed. */
static void mark_struck_spans(GlnPlan *plan) {
  size_t span = 0;
  for (size_t i = 0; i < plan->bar_count; i++)
    for (Step at = {.bar = &plan->bars[i], .step = -1}; next_step(&at);) {
      while (span + 1 < plan->span_count && gln_ratio_compare(plan->spans[span + 1].start, at.time) <= 0)
        span++;
      for (int lane = 0; lane < GLN_HAND_LANES; lane++)
        if (strikes(at.bar->feel, (GlnLane)lane, stroke_at(&at, (GlnLane)lane)))
          plan->spans[span].struck[lane] = true;
    }
}

/* Changes to the next grip. A grip between two strokes of the feel is struck once as it comes, so that no chord of the
 * chart goes unheard. */
static void next_span(Player *player, const GlnInstrument *instrument, const GlnFeel *feel) {
  const GlnSpan *span = enter_span(player);
  player->thumb_string = -1;
  for (int lane = 0; lane < GLN_HAND_LANES; lane++) {
    GlnStroke stroke = {.kind = GLN_STROKE_BASS, .weight = GLN_WEIGHT_PLAIN};
    if (!feel->lanes[lane] || span->struck[lane])
      continue;
    if (lane == GLN_LANE_FINGERS) {
      GlnStrokeKind whole = whole_stroke(feel);
      stroke.kind = (uint8_t)(whole == GLN_STROKE_REST ? GLN_STROKE_PLUCK : whole);
    }
    play_stroke(player, instrument, (GlnLane)lane, &stroke, span->start);
  }
}

static void play_bars(Player *player, const GlnInstrument *instrument) {
  const GlnPlan *plan = player->plan;
  for (size_t i = 0; i < plan->bar_count && !player->list.failed; i++)
    for (Step at = {.bar = &plan->bars[i], .step = -1}; next_step(&at);) {
      while (player->entered < plan->span_count &&
             gln_ratio_compare(plan->spans[player->entered].start, at.time) <= 0)
        next_span(player, instrument, at.bar->feel);
      player->thumb_string = -1;
      for (int lane = 0; lane < GLN_HAND_LANES; lane++) {
        const GlnStroke *stroke = stroke_at(&at, (GlnLane)lane);
        if (stroke)
          play_stroke(player, instrument, (GlnLane)lane, stroke, at.time);
      }
    }
  while (player->entered < plan->span_count)
    next_span(player, instrument, plan->bars[plan->bar_count - 1].feel);
}

/* ---- the list ------------------------------------------------------------------------------------------ */

static int compare_notes(const void *left, const void *right) {
  const GlnSounding *a = left, *b = right;
  int order = gln_ratio_compare(a->start, b->start);
  order = order ? order : (int)a->string - (int)b->string;
  return order ? order : (int)a->midi - (int)b->midi;
}

/* Ends become lengths, notes cut off before they began go, the song comes after the lead-in. first: of the song; those
 * before it are the count-in. */
static void finish_notes(GlnNoteList *list, size_t first, GlnRatio lead_in) {
  size_t kept = 0;
  for (size_t i = 0; i < list->count; i++) {
    GlnSounding note = list->notes[i];
    note.quarters = gln_ratio_subtract(note.quarters, note.start);
    if (note.quarters.num <= 0)
      continue;
    if (i >= first)
      note.start = gln_ratio_add(note.start, lead_in);
    list->notes[kept++] = note;
  }
  list->count = kept;
  if (kept)
    qsort(list->notes, kept, sizeof *list->notes, compare_notes);
}

GlnStatus gln_performance_make(const GlnPerformanceOptions *options, const GlnHeld *held, size_t count,
                               GlnArena *arena, GlnDiags *diags, GlnPerformance **performance) {
  *performance = NULL;
  GlnPlan plan;
  GLN_TRY(gln_plan_make(options, held, count, arena, diags, &plan));
  GLN_TRY(gln_plan_cut(options, arena, diags, &plan));
  GlnPerformance *made = GLN_NEW(arena, GlnPerformance, 1);
  if (!made)
    return GLN_MEMORY;
  Player player = {.plan = &plan, .list = {.arena = arena}, .thumb_string = -1};
  made->lead_in = gln_play_count_in(&plan, options->count_in, &player.list);
  size_t first = player.list.count;
  if (plan.span_count) {
    bring_changes_forward(&plan);
    mark_struck_spans(&plan);
    play_bars(&player, options->instrument);
    gln_play_beside(&plan, options, &player.list);
  }
  if (player.list.failed)
    return GLN_MEMORY;
  finish_notes(&player.list, first, made->lead_in);
  GLN_TRY(gln_plan_meters(&plan, arena, made));
  made->notes = player.list.notes;
  made->count = player.list.count;
  made->tempo = options->tempo;
  made->quarters = gln_ratio_add(made->lead_in, plan.end);
  made->string_count = options->instrument->string_count;
  *performance = made;
  return GLN_OK;
}
