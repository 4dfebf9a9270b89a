/* The order inside a session: warm-up, reviews, what is new in interleaved rounds, the song in growing pieces, pauses. */
#include "study_internal.h"

#include <string.h>

typedef struct Session {
  GlnFilling *filling;
  GlnPlanDay *day;
  size_t capacity;
  int since_pause; /* seconds played */
  int pauses;      /* made */
} Session;

static void add_pause(Session *session) {
  session->day->steps[session->day->step_count++] =
      (GlnPlanStep){.kind = GLN_STEP_PAUSE, .item = GLN_NO_ITEM, .seconds = GLN_PAUSE_SECONDS};
  session->day->pausing += GLN_PAUSE_SECONDS;
  session->since_pause = 0;
  session->pauses++;
}

/* Pauses part the playing into even stretches, none longer than GLN_STRETCH_MAX. */
static void add_step(Session *session, GlnPlanStep step) {
  const GlnFilling *filling = session->filling;
  int even = filling->playing / (filling->pauses + 1);
  bool is_due = session->day->playing + step.seconds / 2 >= even * (session->pauses + 1);
  if (session->pauses < filling->pauses && session->since_pause > 0 && is_due)
    add_pause(session);
  session->day->steps[session->day->step_count++] = step;
  session->day->playing += step.seconds;
  session->since_pause += step.seconds;
}

/* ---- items ---------------------------------------------------------------------------------------------------------- */

static void add_item(Session *session, GlnStepKind kind, size_t item, int seconds, bool again) {
  const GlnFilling *filling = session->filling;
  const GlnMemory *memory = &filling->items[item].memory;
  GlnDay today = filling->options->start + filling->at;
  GlnPlanStep step = {.kind = kind, .item = item, .seconds = seconds, .again = again};
  if (filling->material->items[item].kind == GLN_ITEM_MOVE)
    gln_step_tempo(filling, item, &step.slow, &step.target);
  if (kind == GLN_STEP_REVIEW) {
    step.recall = gln_memory_recall(memory, today);
    step.days_since = today - memory->last;
  } else {
    step.unlocks = filling->items[item].unlocks;
  }
  add_step(session, step);
}

/* Grips and moves in turn. */
static void add_reviews(Session *session) {
  const GlnFilling *filling = session->filling;
  size_t moves = 0;
  while (moves < filling->review_count &&
         filling->material->items[filling->reviews[moves]].kind == GLN_ITEM_MOVE)
    moves++;
  size_t move = 0, grip = moves;
  while (move < moves || grip < filling->review_count) {
    if (move < moves) {
      size_t item = filling->reviews[move++];
      add_item(session, GLN_STEP_REVIEW, item, filling->seconds[item], false);
    }
    if (grip < filling->review_count) {
      size_t item = filling->reviews[grip++];
      add_item(session, GLN_STEP_REVIEW, item, filling->seconds[item], false);
    }
  }
}

/* Each new grip, and after it the new moves that it completes. */
static void order_fresh(const GlnFilling *filling, size_t *order) {
  const GlnMaterial *material = filling->material;
  size_t count = 0;
  bool taken_all = false;
  for (size_t g = 0; g <= filling->fresh_grips && !taken_all; g++) {
    if (g < filling->fresh_grips)
      order[count++] = filling->fresh[g];
    for (size_t m = filling->fresh_grips; m < filling->fresh_count; m++) {
      const GlnStudyItem *move = &material->items[filling->fresh[m]];
      size_t latest = 0; /* 1 more than the place of its later new grip */
      for (size_t n = 0; n < filling->fresh_grips; n++)
        if (filling->fresh[n] == move->from || filling->fresh[n] == move->to)
          latest = n + 1;
      if ((g < filling->fresh_grips && latest == g + 1) || (g == filling->fresh_grips && latest == 0))
        order[count++] = filling->fresh[m];
    }
    taken_all = count == filling->fresh_count;
  }
}

/* Two rounds rather than each until it is done: the second begins in the middle, so nothing comes twice in a row. */
static void add_fresh(Session *session, const size_t *order, size_t round) {
  const GlnFilling *filling = session->filling;
  size_t count = filling->fresh_count;
  for (size_t n = 0; n < count; n++) {
    size_t item = order[round == 0 || count < 3 ? n : (n + count / 2) % count];
    int half = count > 1 ? gln_tick(filling->seconds[item] / 2.0) : filling->seconds[item];
    int seconds = round == 0 ? half : filling->seconds[item] - half;
    if (seconds > 0)
      add_item(session, GLN_STEP_NEW, item, seconds, round > 0);
  }
}

/* ---- the song ---------------------------------------------------------------------------------------------------------- */

static int weight_of(GlnStepKind kind) {
  switch (kind) {
  case GLN_STEP_PHRASE:
    return 2;
  case GLN_STEP_SECTION:
    return 3;
  case GLN_STEP_FORM:
    return 4;
  case GLN_STEP_WARM_UP:
  case GLN_STEP_REVIEW:
  case GLN_STEP_NEW:
  case GLN_STEP_PAUSE:
  case GLN_STEP_BAR:
    break;
  }
  return 1;
}

/* The tempo of a piece is that of its slowest move. */
static void piece_tempo(const GlnFilling *filling, const GlnSongPiece *piece, int *slow, int *target) {
  const GlnMaterial *material = filling->material;
  *slow = *target = 0;
  for (size_t b = piece->first; b <= piece->last; b++)
    for (size_t i = 0; i < material->bars[b].item_count; i++) {
      size_t item = material->bars[b].items[i];
      if (material->items[item].kind != GLN_ITEM_MOVE)
        continue;
      int s = 0, t = 0;
      gln_step_tempo(filling, item, &s, &t);
      if (*target == 0 || t < *target) {
        *slow = s;
        *target = t;
      }
    }
}

static void add_pieces(Session *session, const GlnSongPiece *pieces, size_t count) {
  const GlnFilling *filling = session->filling;
  int weights = 0;
  for (size_t i = 0; i < count; i++)
    weights += weight_of(pieces[i].kind);
  if (weights == 0)
    return;
  int heaviest = filling->song * weight_of(pieces[count - 1].kind) / weights;
  int rounds = (heaviest + GLN_STEP_MAX - 1) / GLN_STEP_MAX;
  int left = filling->song;
  for (int round = 0; round < rounds; round++)
    for (size_t i = 0; i < count; i++) {
      bool last = round == rounds - 1 && i == count - 1;
      int share = filling->song * weight_of(pieces[i].kind) / weights / rounds / GLN_TICK * GLN_TICK;
      int seconds = last ? (left < GLN_STEP_MAX ? left : GLN_STEP_MAX) : share;
      if (seconds <= 0)
        continue;
      GlnPlanStep step = {.kind = pieces[i].kind,
                          .item = GLN_NO_ITEM,
                          .first_bar = pieces[i].first,
                          .last_bar = pieces[i].last,
                          .seconds = seconds};
      piece_tempo(filling, &pieces[i], &step.slow, &step.target);
      add_step(session, step);
      left -= seconds;
    }
}

/* Nothing can be played of the song yet, or nothing of it is left to share out: the items get its time. */
static void share_out(GlnFilling *filling) {
  size_t *items = filling->fresh_count > 0 ? filling->fresh : filling->reviews;
  size_t count = filling->fresh_count > 0 ? filling->fresh_count : filling->review_count;
  bool given = count > 0;
  while (given && filling->song >= GLN_TICK) {
    given = false;
    for (size_t i = 0; i < count && filling->song >= GLN_TICK; i++) {
      int most = filling->fresh_count > 1 ? 2 * GLN_STEP_MAX : GLN_STEP_MAX; /* in two rounds, or one */
      if (filling->seconds[items[i]] + GLN_TICK > most)
        continue;
      filling->seconds[items[i]] += GLN_TICK;
      filling->song -= GLN_TICK;
      given = true;
    }
  }
}

GlnStatus gln_session_make(GlnFilling *filling, GlnArena *arena, GlnPlanDay *day) {
  const GlnMaterial *material = filling->material;
  *day = (GlnPlanDay){.day = filling->options->start + filling->at,
                      .rest = filling->resting,
                      .returning = filling->returning};
  for (size_t i = 0; i < material->bar_count; i++)
    day->bars_open += gln_bar_is_open(filling, &material->bars[i]) ? 1 : 0;
  if (filling->resting)
    return GLN_OK;
  day->new_grips = filling->fresh_grips;
  day->new_moves = filling->fresh_count - filling->fresh_grips;
  day->reviews = filling->review_count;
  GlnSongPiece pieces[GLN_PIECES_MAX];
  size_t piece_count = gln_song_pieces_find(filling, pieces);
  if (piece_count == 0)
    share_out(filling);
  size_t rounds = (size_t)(filling->song / GLN_STEP_MAX) + 2;
  size_t capacity =
      1 + filling->review_count + 2 * filling->fresh_count + piece_count * rounds + (size_t)filling->pauses;
  day->steps = GLN_NEW(arena, GlnPlanStep, capacity);
  size_t *order = GLN_NEW(arena, size_t, filling->fresh_count);
  if (day->steps == NULL || order == NULL)
    return GLN_MEMORY;
  Session session = {.filling = filling, .day = day, .capacity = capacity};
  add_step(&session,
           (GlnPlanStep){.kind = GLN_STEP_WARM_UP, .item = GLN_NO_ITEM, .seconds = filling->warm_up});
  add_reviews(&session);
  order_fresh(filling, order);
  add_fresh(&session, order, 0);
  if (filling->fresh_count > 1)
    add_fresh(&session, order, 1);
  add_pieces(&session, pieces, piece_count);
  return GLN_OK;
}
