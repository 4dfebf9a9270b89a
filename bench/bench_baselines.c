/* The line beside three simple ways to choose grips, over all songs of a table of progressions: the lowest-position grip of
 * each chord, the easiest grip of each chord alone, and a random playable grip (seeded). All four are costed alike.
 * bench_baselines [TABLE]: tests/outside/data/progressions.tsv by default. Exit status 1 when the line is not best. */
#include "route_internal.h"
#include "../tools/progressions.h"

#include <stdio.h>
#include <stdlib.h>

#define LINE_BYTES_MAX 65536
#define SEED           20250101U

typedef enum Way { WAY_LINE, WAY_LOWEST, WAY_EASIEST, WAY_RANDOM, WAY_COUNT } Way;
static const char *const way_names[WAY_COUNT] = {"gripline", "lowest position", "easiest alone", "random"};

typedef struct Tally {
  size_t changes, guided, common, kept;
  double travel_mm, travel_frets, total;
} Tally;

/* One choice for every distinct chord, as someone would who learns a grip a chord. */
typedef struct Choice {
  const GlnEvent *event;
  GlnGrip grip[WAY_COUNT];
  struct Choice *next;
} Choice;

static uint32_t next_random(uint32_t *seed) {
  *seed = *seed * 1664525U + 1013904223U; /* Knuth, TAOCP 2, 3.3.4, line 16 of table 1 */
  return *seed >> 8;
}

/* Lowest stopped fret; of equals the first, for the search gives the easiest first. */
static int position_of(const GlnGrip *grip) {
  int lowest = 0;
  for (int s = 0; s < grip->frets.string_count; ++s)
    if (grip->frets.fret[s] > 0 && (lowest == 0 || grip->frets.fret[s] < lowest))
      lowest = grip->frets.fret[s];
  return lowest;
}

static GlnStatus choose(const GlnEvent *event, const GlnLineOptions *options, uint32_t *seed, GlnArena *arena,
                        Choice **choices, const Choice **found) {
  for (const Choice *choice = *choices; choice != NULL; choice = choice->next)
    if (gln_candidates_same(choice->event, event)) {
      *found = choice;
      return GLN_OK;
    }
  GlnDiags diags = gln_diags(arena);
  GlnCandidates candidates;
  GLN_TRY(gln_candidates_find(event, gln_slot_wish(options, 0), options, arena, &diags, &candidates));
  const GlnGripList list = candidates.list;
  Choice *made = GLN_NEW(arena, Choice, 1);
  if (made == NULL)
    return GLN_MEMORY;
  size_t lowest = 0, easiest = 0;
  for (size_t g = 1; g < list.count; ++g) {
    if (position_of(&list.grips[g]) < position_of(&list.grips[lowest]))
      lowest = g;
    if (list.grips[g].fingering.difficulty < list.grips[easiest].fingering.difficulty)
      easiest = g;
  }
  made->event = event;
  made->grip[WAY_LOWEST] = list.grips[lowest];
  made->grip[WAY_EASIEST] = list.grips[easiest];
  made->grip[WAY_RANDOM] = list.grips[next_random(seed) % list.count];
  made->next = *choices;
  *choices = made;
  *found = made;
  return GLN_OK;
}

/* Pitches of the grip before whose pitch class the next chord has too, and those of them that sound on. */
static void count_common(const GlnGrip *from, const GlnGrip *to, const GlnChord *next, Tally *tally) {
  unsigned classes = gln_chord_pitch_classes(next);
  for (int s = 0; s < from->frets.string_count; ++s) {
    if (from->frets.fret[s] < 0 || (classes >> (from->midi[s] % 12) & 1U) == 0)
      continue;
    ++tally->common;
    bool sounds = false;
    for (int r = 0; r < to->frets.string_count; ++r)
      sounds = sounds || (to->frets.fret[r] >= 0 && to->midi[r] == from->midi[s]);
    tally->kept += sounds;
  }
}

static void add_change(const GlnLineOptions *options, const GlnGrip *from, const GlnGrip *to,
                       const GlnChord *next, bool chord_changes, Tally *tally) {
  GlnMove move = gln_move_between(&options->instrument, from, to);
  tally->travel_mm += (double)(move.shift_mm < 0 ? -move.shift_mm : move.shift_mm);
  tally->travel_frets += abs(move.shift_frets);
  if (!chord_changes) /* the line alone may play one chord in two ways: it travels, but nothing has changed */
    return;
  bool guided = false;
  for (int f = 0; f < GLN_FINGER_SLOTS; ++f)
    guided = guided || move.finger[f] == GLN_FINGER_STAYS || move.finger[f] == GLN_FINGER_SLIDES;
  ++tally->changes;
  tally->guided += guided;
  count_common(from, to, next, tally);
}

/* Cost of a slot as the line counts it. */
static double slot_cost(const GlnLine *line, const GlnLineOptions *options, const GlnCosting *costing,
                        bool plain, size_t i, const GlnGrip *from, const GlnGrip *to) {
  const GlnSlot *slot = line->slots[i].slot;
  double cost =
      options->weight[GLN_COST_HOLD] * (double)to->fingering.difficulty +
      options->weight[GLN_COST_SOUND] * gln_sound_cost(&options->instrument, &slot->event->chord, to, plain);
  if (from == NULL)
    return cost;
  const GlnSlot *before = line->slots[i - 1].slot;
  GlnFeature a, b;
  gln_feature_make(&options->instrument, &before->event->chord, from, &a);
  gln_feature_make(&options->instrument, &slot->event->chord, to, &b);
  GlnChangeCost change = gln_change_cost(costing, &a, &b);
  double available = GLN_CHANGE_SHARE * gln_ratio_value(before->quarters) * 60.0 / line->tempo;
  return cost + (double)change.voice +
         options->weight[GLN_COST_MOVE] * gln_haste(available) * (double)change.seconds;
}

static bool is_plain(const GlnLine *line) {
  size_t plain = 0, sounding = 0;
  for (size_t i = 0; i < line->slot_count; ++i)
    if (!line->slots[i].silent) {
      ++sounding;
      plain += gln_chord_is_plain(&line->slots[i].slot->event->chord);
    }
  return 2 * plain >= sounding;
}

static GlnStatus compare(const GlnLine *line, const GlnLineOptions *options, uint32_t *seed, GlnArena *arena,
                         Tally tallies[WAY_COUNT]) {
  bool plain = is_plain(line);
  GlnCosting costing = gln_costing(options->weight, plain);
  Choice *choices = NULL;
  const Choice *before = NULL;
  for (size_t i = 0; i < line->slot_count; ++i) {
    const GlnLineSlot *slot = &line->slots[i];
    const Choice *now = NULL;
    if (!slot->silent)
      GLN_TRY(choose(slot->slot->event, options, seed, arena, &choices, &now));
    for (int way = 0; way < WAY_COUNT && now != NULL; ++way) {
      const GlnGrip *to = way == WAY_LINE ? &slot->grip : &now->grip[way], *from = NULL;
      if (before != NULL)
        from = way == WAY_LINE ? &line->slots[i - 1].grip : &before->grip[way];
      if (from != NULL)
        add_change(options, from, to, &slot->slot->event->chord, now != before, &tallies[way]);
      tallies[way].total += slot_cost(line, options, &costing, plain, i, from, to);
    }
    before = now; /* after silence nothing is held */
  }
  return GLN_OK;
}

static GlnStatus run_song(Progression *progression, const GlnLineOptions *options, uint32_t *seed,
                          GlnArena *arena, Tally tallies[WAY_COUNT]) {
  GlnDiags diags = gln_diags(arena);
  GlnBuffer text = gln_buffer(arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  GlnLine *line = NULL;
  GLN_TRY(progression_write(progression, &text));
  GLN_TRY(gln_chart_read(gln_buffer_text(&text), arena, &diags, &chart));
  GLN_TRY(gln_song_play(chart, arena, &diags, &song));
  GLN_TRY(gln_line_solve(song, options, arena, &diags, &line));
  return compare(line, options, seed, arena, tallies);
}

static bool report(const Tally tallies[WAY_COUNT]) {
  bool best = true;
  printf("%-16s %12s %12s %14s %14s %10s\n", "way", "mm a change", "frets", "kept or slid", "common kept",
         "total");
  for (int way = 0; way < WAY_COUNT; ++way) {
    const Tally *tally = &tallies[way];
    double changes = tally->changes > 0 ? (double)tally->changes : 1;
    printf("%-16s %12.2f %12.3f %13.1f%% %13.1f%% %10.0f\n", way_names[way], tally->travel_mm / changes,
           tally->travel_frets / changes, 100 * (double)tally->guided / changes,
           tally->common > 0 ? 100 * (double)tally->kept / (double)tally->common : 0.0, tally->total);
    if (way != WAY_LINE)
      best = best && tallies[WAY_LINE].total < tally->total &&
             tallies[WAY_LINE].travel_mm / (double)tallies[WAY_LINE].changes <= tally->travel_mm / changes;
  }
  printf("gripline is %s on its total and on hand travel\n", best ? "best" : "NOT best");
  return best;
}

int main(int argc, char **argv) {
  const char *path = argc > 1 ? argv[1] : "tests/outside/data/progressions.tsv";
  FILE *table = fopen(path, "rb");
  if (table == NULL) {
    perror(path);
    return 4;
  }
  GlnLineOptions options = gln_line_defaults();
  Tally tallies[WAY_COUNT] = {0};
  uint32_t seed = SEED;
  static char line[LINE_BYTES_MAX];
  size_t songs = 0, failed = 0;
  while (fgets(line, sizeof line, table) != NULL) {
    GlnText text = gln_text_trim(gln_text(line));
    Progression progression;
    if (text.length == 0 || gln_text_starts(text, GLN_TEXT("id\t")) || !progression_read(text, &progression))
      continue;
    GlnArena *arena = gln_arena_new(NULL, 0);
    ++songs;
    failed += arena == NULL || run_song(&progression, &options, &seed, arena, tallies) != GLN_OK;
    gln_arena_free(arena);
  }
  (void)fclose(table);
  printf("%zu songs, %zu without a line\n", songs, failed);
  return !report(tallies) || failed > 0 || songs == 0;
}
