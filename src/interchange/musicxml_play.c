/* A score played through: repeats, endings, D.C., D.S., coda and fine, to bars in playing order.
 *
 * After a jump the repeats are not played again and their last ending is taken, unless the score says otherwise: common
 * practice, and MusicXML's after-jump. A jump is taken once, when the repeats around it are done; "to coda" and "fine" hold
 * after a jump alone. */
#include "musicxml_internal.h"

typedef struct Player {
  const GlnScore *score;
  const GlnScoreForm *form;
  int *pass;          /* of each passage: which time it is being played, 0 when it is not */
  bool *used;         /* of each bar: its jump has been taken */
  size_t segno, coda; /* bars; the bar count when there is none */
  bool jumped;
  uint32_t *order;
  size_t count, capacity;
} Player;

static void leave(Player *player, int passage, size_t to) {
  for (; passage >= 0; passage = player->form->passages[passage].parent) {
    const GlnScorePassage *at = &player->form->passages[passage];
    if (to < at->first || to > at->last)
      player->pass[passage] = 0;
  }
}

static void enter(Player *player, size_t bar) {
  for (int p = player->form->inner[bar]; p >= 0; p = player->form->passages[p].parent) {
    const GlnScorePassage *at = &player->form->passages[p];
    if (player->pass[p] == 0)
      player->pass[p] = player->jumped && !at->after_jump ? at->plays : 1;
  }
}

/* Is the bar in an ending that is not for this time? */
static bool is_skipped(const Player *player, size_t bar) {
  int passage = player->form->inner[bar];
  uint32_t endings = player->score->bars[bar].endings;
  if (passage < 0 || endings == 0)
    return false;
  int pass = player->pass[passage];
  return pass > GLN_ENDINGS_MAX || !(endings >> pass & 1);
}

/* Where the repeat that closes after this bar goes back to; the bar count when none does. */
static size_t repeat_goal(Player *player, size_t bar) {
  if (player->score->bars[bar].plays == 0)
    return player->score->bar_count;
  for (int p = player->form->inner[bar]; p >= 0; p = player->form->passages[p].parent) {
    const GlnScorePassage *at = &player->form->passages[p];
    bool is_ending = p == player->form->inner[bar] && player->score->bars[bar].endings != 0;
    bool closes = at->last == bar || is_ending;
    if (closes && player->pass[p] < at->plays) {
      for (int q = player->form->inner[bar]; q != p; q = player->form->passages[q].parent)
        player->pass[q] = 0;
      player->pass[p]++;
      return at->first;
    }
    if (!closes)
      break;
  }
  return player->score->bar_count;
}

static size_t jump_to(Player *player, size_t from, size_t to) {
  for (int p = player->form->inner[from]; p >= 0; p = player->form->passages[p].parent)
    player->pass[p] = 0;
  return to;
}

static size_t after(Player *player, size_t bar, bool *ends) {
  const GlnScoreBar *at = &player->score->bars[bar];
  size_t none = player->score->bar_count;
  if (player->jumped && at->fine) {
    *ends = true;
    return none;
  }
  if (player->jumped && at->to_coda && player->coda != none)
    return jump_to(player, bar, player->coda);
  size_t goal = repeat_goal(player, bar);
  if (goal != none)
    return goal;
  if ((at->da_capo || (at->dal_segno && player->segno != none)) && !player->used[bar]) {
    player->used[bar] = true;
    player->jumped = true;
    return jump_to(player, bar, at->da_capo ? 0 : player->segno);
  }
  return bar + 1;
}

static bool add_bar(Player *player, size_t bar, GlnArena *arena) {
  if (player->count == player->capacity) {
    size_t more = player->capacity == 0 ? 256 : 2 * player->capacity;
    uint32_t *grown = GLN_NEW(arena, uint32_t, more);
    if (grown == NULL)
      return false;
    for (size_t i = 0; i < player->count; i++)
      grown[i] = player->order[i];
    player->order = grown;
    player->capacity = more;
  }
  player->order[player->count++] = (uint32_t)bar;
  return true;
}

static GlnStatus play(Player *player, GlnArena *arena) {
  bool ends = false;
  size_t steps = 0;
  for (size_t bar = 0; bar < player->score->bar_count && !ends;) {
    if (player->count == GLN_PLAYED_BARS_MAX || ++steps > (size_t)10 * GLN_PLAYED_BARS_MAX)
      return GLN_LIMIT;
    enter(player, bar);
    size_t next = bar + 1;
    if (!is_skipped(player, bar)) {
      if (!add_bar(player, bar, arena))
        return GLN_MEMORY;
      next = after(player, bar, &ends);
    }
    if (next < player->score->bar_count)
      leave(player, player->form->inner[bar], next);
    bar = next;
  }
  return GLN_OK;
}

/* The goals of jumps. Of two signs of the coda without "to coda", the first says to go and the second where. */
static void find_goals(Player *player, GlnScore *mended) {
  bool to_coda = false;
  size_t first = player->score->bar_count, second = first;
  player->segno = player->coda = player->score->bar_count;
  for (size_t b = 0; b < player->score->bar_count; b++) {
    const GlnScoreBar *bar = &player->score->bars[b];
    to_coda = to_coda || bar->to_coda;
    if (bar->segno && player->segno == player->score->bar_count)
      player->segno = b;
    if (bar->coda && first == player->score->bar_count)
      first = b;
    else if (bar->coda && second == player->score->bar_count)
      second = b;
  }
  player->coda = to_coda ? first : second;
  if (!to_coda && second < player->score->bar_count) {
    mended->bars[first].to_coda = true;
    mended->bars[first].coda = false;
  }
}

GlnStatus gln_score_play(GlnScore *score, const GlnScoreForm *form, GlnArena *arena, GlnDiags *diags,
                         uint32_t **order, size_t *count) {
  Player player = {.score = score, .form = form};
  player.pass = GLN_NEW(arena, int, form->passage_count);
  player.used = GLN_NEW(arena, bool, score->bar_count);
  if (player.pass == NULL || player.used == NULL)
    return GLN_MEMORY;
  find_goals(&player, score);
  GlnStatus status = play(&player, arena);
  if (status == GLN_LIMIT)
    gln_diags_format(diags, GLN_ERROR, score->bars[0].node->offset, 1, "take out repeats or jumps",
                     "played through, this score has too many bars: the limit is %d", GLN_PLAYED_BARS_MAX);
  *order = player.order;
  *count = player.count;
  return status;
}
