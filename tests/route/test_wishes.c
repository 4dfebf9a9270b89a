/* Wishes of the line against exhaustive search: 500 random small songs on real grips, with pins, top notes, returns,
 * regions, textures, bass lines, by section too, and both aims; what was rejected; alternatives; returns that vary. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../slow_build.h"
#include "line_job.h"
#include "song_of.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define SONGS      (SLOW_BUILD ? 100 : 500)
#define CHORDS_MAX 5
#define WAYS_MAX   60000.0 /* through one song, so that the test takes seconds */

static uint32_t seed;
static GlnArena *arena;
static GlnDiags diags;

static uint32_t draw(uint32_t below) {
  seed = seed * 1664525U + 1013904223U; /* Numerical Recipes */
  return (seed >> 8) % below;
}

static void begin(uint32_t from_seed) {
  seed = from_seed;
  arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  diags = gln_diags(arena);
}

/* ---- a random song ------------------------------------------------------------------------------------------------ */

typedef struct Case {
  const GlnSong *song;
  GlnLineOptions options;
  GlnSectionWish sections[2];
  size_t chords;
  bool plain;
  GlnCandidates found[CHORDS_MAX];
  GlnFeature *features[CHORDS_MAX];
} Case;

static size_t forms[6][2];

/* Up to five chords; those from the first on are section 0, the rest section 1; each section once or twice. */
static const GlnSong *draw_song(Case *made) {
  static const char *const symbols[] = {"Dm7", "G7",  "Cmaj7",  "A7b9", "Fmaj7", "Bm7b5", "E7", "Am7", "D9",
                                        "Gm6", "C/E", "F#dim7", "Bbm7", "Eb9",   "Am",    "F",  "C",   "G"};
  char text[200] = "";
  size_t length = 0;
  made->chords = 2 + draw(CHORDS_MAX - 1);
  for (size_t c = 0; c < made->chords; ++c)
    length += (size_t)snprintf(text + length, sizeof text - length, "%s%s", c > 0 ? " " : "",
                               symbols[draw((uint32_t)GLN_COUNT_OF(symbols))]);
  size_t first = 1 + draw((uint32_t)made->chords), count = 0;
  memset(forms, 0, sizeof forms);
  for (uint32_t times = 1 + draw(2); times > 0; --times) {
    forms[count][0] = 0;
    forms[count++][1] = first;
    if (first == made->chords)
      continue;
    forms[count][0] = first;
    forms[count++][1] = made->chords - first;
  }
  const char *kept = gln_text_copy(arena, gln_text(text));
  assert_non_null(kept);
  const GlnSong *song = song_of(arena, kept, 1 + (int)draw(4), (const size_t(*)[2])forms);
  for (size_t i = 0; i < song->slot_count; ++i)
    ((GlnSlot *)&song->slots[i])->section = song->slots[i].written < first ? 0 : 1;
  return song;
}

static void draw_wishes(Case *made) {
  static const uint16_t textures[] = {1U << GLN_TEXTURE_FOUR_NOTE, 1U << GLN_TEXTURE_SHELL,
                                      1U << GLN_TEXTURE_FOUR_NOTE | 1U << GLN_TEXTURE_SHELL};
  GlnLineOptions *options = &made->options;
  *options = gln_line_defaults();
  options->aim = draw(2) == 0 ? GLN_AIM_SMOOTH : GLN_AIM_EASY;
  options->fret_low = (int8_t)(1 + draw(8));
  options->fret_high = (int8_t)(options->fret_low + 3 + (int)draw(2));
  options->open_wish = GLN_OPEN_NEVER;
  options->textures = textures[draw(3)];
  options->bass_line = (GlnBassLine)draw(GLN_BASS_LINE_COUNT);
  if (draw(3) > 0)
    return;
  options->sections = made->sections;
  options->section_count = 2;
  GlnSectionWish *own = &made->sections[draw(2)];
  own->has_frets = draw(2) == 0;
  own->fret_low = (int8_t)(1 + draw(8));
  own->fret_high = (int8_t)(own->fret_low + 3);
  own->has_textures = draw(2) == 0;
  own->textures = textures[draw(3)];
  own->has_bass_line = draw(2) == 0;
  own->bass_line = (GlnBassLine)draw(GLN_BASS_LINE_COUNT);
}

static uint32_t section_of(const Case *made, size_t written) {
  for (size_t i = 0; i < made->song->slot_count; ++i)
    if (made->song->slots[i].written == written)
      return made->song->slots[i].section;
  return 0;
}

/* Pins a grip of the search, or asks for the top note of one, at one chord in five. */
static void draw_pins(Case *made) {
  for (size_t w = 0; w < made->chords; ++w) {
    const GlnGripList *list = &made->found[w].list;
    uint32_t what = draw(10), g = draw((uint32_t)list->count);
    if (what > 1)
      continue;
    const GlnGrip *grip = &list->grips[g];
    for (size_t i = 0; i < made->song->slot_count; ++i) {
      if (made->song->slots[i].written != w)
        continue;
      GlnEvent *event = (GlnEvent *)(uintptr_t)made->song->slots[i].event;
      char frets[GLN_FRETS_TEXT_MAX];
      size_t length = gln_frets_print(&grip->frets, frets);
      if (what == 0) {
        event->pin = gln_text(gln_text_copy(arena, (GlnText){frets, length}));
      } else {
        event->has_top = event->top_has_octave = true;
        event->top = gln_pitch_at(made->found[w].chord->tones[grip->tone[grip->top_string]].note,
                                  grip->midi[grip->top_string]);
      }
    }
  }
}

/* Candidates of every chord. False: some chord has none, or there are too many ways to try them all. */
static bool find_all(Case *made) {
  double ways = 1;
  for (size_t i = 0; i < made->song->slot_count; ++i) {
    uint32_t w = made->song->slots[i].written;
    const GlnSlotWish wish = gln_slot_wish(&made->options, section_of(made, w));
    if (gln_candidates_find(made->song->slots[i].event, wish, &made->options, arena, &diags,
                            &made->found[w]) != GLN_OK)
      return false;
  }
  for (size_t w = 0; w < made->chords; ++w) {
    const GlnCandidates *found = &made->found[w];
    ways *= (double)found->list.count;
    made->features[w] = GLN_NEW(arena, GlnFeature, found->list.count);
    for (size_t g = 0; g < found->list.count; ++g)
      gln_feature_make(&made->options.instrument, found->chord, &found->list.grips[g], &made->features[w][g]);
  }
  return ways <= WAYS_MAX;
}

/* Tries seeds on until a song comes of it. */
static void draw_case(Case *made, uint32_t *from_seed) {
  for (;; ++*from_seed) {
    begin(*from_seed);
    *made = (Case){.chords = 0};
    made->song = draw_song(made);
    draw_wishes(made);
    if (!find_all(made)) {
      gln_arena_free(arena);
      continue;
    }
    draw_pins(made);
    if (!find_all(made)) {
      gln_arena_free(arena);
      continue;
    }
    size_t plain = 0;
    for (size_t i = 0; i < made->song->slot_count; ++i)
      plain += gln_chord_is_plain(&made->song->slots[i].event->chord) ? 1U : 0U;
    made->plain = 2 * plain >= made->song->slot_count;
    return;
  }
}

/* ---- what a way through costs, from the cost functions alone -------------------------------------------------------- */

typedef struct Way {
  double total, load;
} Way;

static double unary_of(const Case *made, uint32_t w, size_t g) {
  const GlnGrip *grip = &made->found[w].list.grips[g];
  const double *weight = made->options.weight;
  double low = 0;
  if (gln_slot_wish(&made->options, section_of(made, w)).bass_line == GLN_BASS_LINE_LOW)
    low = 2 * weight[GLN_COST_BASS] * (grip->midi[grip->bass_string] - 40); /* E2, the lowest string's own */
  return weight[GLN_COST_HOLD] * (double)grip->fingering.difficulty +
         weight[GLN_COST_SOUND] *
             gln_sound_cost(&made->options.instrument, made->found[w].chord, grip, made->plain) +
         low;
}

/* grips[i]: of slot i. */
static Way way_of(const Case *made, const size_t *grips) {
  Way way = {0, 0};
  for (size_t i = 0; i < made->song->slot_count; ++i) {
    uint32_t w = made->song->slots[i].written;
    way.total += unary_of(made, w, grips[i]);
    if (i == 0)
      continue;
    uint32_t v = made->song->slots[i - 1].written;
    GlnBassLine bass_line = gln_slot_wish(&made->options, section_of(made, w)).bass_line;
    GlnCosting costing = gln_costing_for(made->options.weight, made->plain, bass_line);
    GlnChangeCost change =
        gln_change_cost(&costing, &made->features[v][grips[i - 1]], &made->features[w][grips[i]]);
    double quarters = gln_ratio_value(made->song->slots[i - 1].quarters);
    double available = GLN_CHANGE_SHARE * quarters * 60 / made->song->chart->tempo;
    bool held = v == w && grips[i] == grips[i - 1];
    way.total += held ? 0
                      : (double)change.voice + made->options.weight[GLN_COST_MOVE] * gln_haste(available) *
                                                   (double)change.seconds;
    way.load = fmax(way.load, (double)change.seconds / available);
  }
  return way;
}

static bool better(const Case *made, Way a, Way b) {
  if (made->options.aim == GLN_AIM_SMOOTH)
    return a.total < b.total;
  return a.load < b.load - 1e-12 || (a.load < b.load + 1e-12 && a.total < b.total);
}

static bool next_taken(const Case *made, size_t *taken) {
  for (size_t w = 0; w < made->chords; ++w) {
    if (++taken[w] < made->found[w].list.count)
      return true;
    taken[w] = 0;
  }
  return false;
}

/* The best way in which chords alike are held alike and no chord takes a grip that is shut out. */
static bool search(const Case *made, bool *const shut_out[CHORDS_MAX], Way *best, size_t *best_taken) {
  size_t taken[CHORDS_MAX] = {0}, grips[4 * CHORDS_MAX];
  bool found = false;
  do {
    bool allowed = true;
    for (size_t w = 0; w < made->chords && allowed; ++w)
      allowed = shut_out[w] == NULL || !shut_out[w][taken[w]];
    if (!allowed)
      continue;
    for (size_t i = 0; i < made->song->slot_count; ++i)
      grips[i] = taken[made->song->slots[i].written];
    Way way = way_of(made, grips);
    if (found && !better(made, way, *best))
      continue;
    found = true;
    *best = way;
    memcpy(best_taken, taken, sizeof taken);
  } while (next_taken(made, taken));
  return found;
}

static double greatest_load(const GlnLine *line) {
  double greatest = 0;
  for (size_t i = 0; i < line->slot_count; ++i)
    greatest = fmax(greatest, line->slots[i].load);
  return greatest;
}

static void check_line(const Case *made, const GlnLine *line, Way best, uint32_t from_seed) {
  double sum = 0;
  for (size_t i = 0; i < line->slot_count; ++i)
    for (int c = 0; c < GLN_COST_COUNT; ++c)
      sum += line->slots[i].cost[c];
  if (fabs(line->total - best.total) > 1e-6 || fabs(sum - line->total) > 1e-9)
    print_error("seed %u: %g (parts %g) instead of %g\n", from_seed, line->total, sum, best.total);
  assert_true(fabs(line->total - best.total) <= 1e-6);
  assert_true(fabs(sum - line->total) <= 1e-9);
  if (made->options.aim == GLN_AIM_EASY)
    assert_true(fabs(greatest_load(line) - best.load) <= 1e-6 * (1 + best.load));
}

static size_t index_of(const GlnGripList *list, const GlnGrip *grip) {
  for (size_t g = 0; g < list->count; ++g)
    if (gln_frets_equal(&list->grips[g].frets, &grip->frets) &&
        memcmp(list->grips[g].fingering.finger, grip->fingering.finger, sizeof grip->fingering.finger) == 0)
      return g;
  fail_msg("a grip that is no candidate");
  return 0;
}

static void test_the_best_of_all_ways(void **state) {
  (void)state;
  uint32_t from_seed = 1;
  int with_returns = 0, by_section = 0, bass_lines = 0, easy = 0;
  for (int n = 0; n < SONGS; ++n, ++from_seed) {
    Case made;
    draw_case(&made, &from_seed);
    bool *none[CHORDS_MAX] = {NULL};
    Way best;
    size_t taken[CHORDS_MAX];
    assert_true(search(&made, none, &best, taken));
    GlnLine *line = NULL;
    assert_int_equal(gln_line_solve(made.song, &made.options, arena, &diags, &line), GLN_OK);
    check_line(&made, line, best, from_seed);
    with_returns += made.song->slot_count > made.chords;
    by_section += made.options.section_count > 0;
    bass_lines += made.options.bass_line != GLN_BASS_LINE_ROOTS;
    easy += made.options.aim == GLN_AIM_EASY;
    gln_arena_free(arena);
  }
  assert_true(with_returns > SEEDED(100) && by_section > SEEDED(100) && bass_lines > SEEDED(200) &&
              easy > SEEDED(200));
}

/* What was rejected is the best line without the grip that was taken. */
static void test_rejected(void **state) {
  (void)state;
  uint32_t from_seed = 10001;
  int asked = 0, pinned = 0;
  for (int n = 0; n < SEEDED(120); ++n, ++from_seed) {
    Case made;
    draw_case(&made, &from_seed);
    GlnLine *line = NULL;
    assert_int_equal(gln_line_solve(made.song, &made.options, arena, &diags, &line), GLN_OK);
    size_t slots[4 * CHORDS_MAX];
    for (size_t i = 0; i < line->slot_count; ++i)
      slots[i] = i;
    GlnRejected *rejected = NULL;
    assert_int_equal(
        gln_line_rejected(made.song, &made.options, slots, line->slot_count, arena, &diags, &rejected),
        GLN_OK);
    for (size_t i = 0; i < line->slot_count; ++i) {
      uint32_t w = made.song->slots[i].written;
      bool *shut[CHORDS_MAX] = {NULL};
      shut[w] = GLN_NEW(arena, bool, made.found[w].list.count);
      shut[w][index_of(&made.found[w].list, &line->slots[i].grip)] = true;
      Way best;
      size_t taken[CHORDS_MAX];
      bool other = search(&made, shut, &best, taken);
      assert_int_equal(rejected[i].found, other);
      pinned += !other;
      if (!other)
        continue;
      double sum = 0;
      for (int c = 0; c < GLN_COST_COUNT; ++c)
        sum += rejected[i].cost[c];
      assert_true(fabs(rejected[i].total - best.total) <= 1e-6);
      assert_true(fabs(sum - best.total) <= 1e-6);
      assert_false(gln_frets_equal(&rejected[i].grip.frets, &line->slots[i].grip.frets) &&
                   memcmp(rejected[i].grip.fingering.finger, line->slots[i].grip.fingering.finger,
                          sizeof line->slots[i].grip.fingering.finger) == 0);
      ++asked;
    }
    gln_arena_free(arena);
  }
  assert_true(asked > SEEDED(200) && pinned > SEEDED(10));
}

/* ---- alternatives --------------------------------------------------------------------------------------------------- */

/* The rule of docs/line.md, from the grips alone. */
static double hand_of(const GlnGrip *grip) {
  double sum = 0;
  int count = 0;
  bool seen[6] = {false};
  for (int s = 0; s < grip->frets.string_count; ++s) {
    int finger = grip->fingering.finger[s];
    if (grip->frets.fret[s] <= 0 || finger < 1 || finger > 4 || seen[finger])
      continue;
    seen[finger] = true;
    sum += grip->frets.fret[s] - (finger - 1);
    ++count;
  }
  double place = count > 0 ? sum / count : -1;
  return count > 0 ? round(place < 1 ? 1 : place) : -1;
}

static bool player_notices(const GlnGrip *a, const GlnGrip *b) {
  if (hand_of(a) > 0 && hand_of(b) > 0 && fabs(hand_of(a) - hand_of(b)) >= 3)
    return true;
  if (a->midi[a->top_string] != b->midi[b->top_string] && a->midi[a->bass_string] != b->midi[b->bass_string])
    return true;
  int sounding = 0, other = 0;
  for (int s = 0; s < a->frets.string_count; ++s) {
    bool sounds = a->frets.fret[s] >= 0 || b->frets.fret[s] >= 0;
    sounding += sounds;
    other += sounds && a->frets.fret[s] != b->frets.fret[s];
  }
  return 2 * other > sounding;
}

/* Shuts out what does not differ from the grips of the lines so far, unless nothing would be left. */
static void shut_out(const Case *made, GlnLine *const *lines, size_t count, bool *shut[CHORDS_MAX]) {
  for (size_t w = 0; w < made->chords; ++w) {
    const GlnGripList *list = &made->found[w].list;
    shut[w] = GLN_NEW(arena, bool, list->count);
    size_t left = 0, slot = 0;
    while (made->song->slots[slot].written != w)
      ++slot;
    for (size_t g = 0; g < list->count; ++g) {
      for (size_t l = 0; l < count; ++l)
        shut[w][g] = shut[w][g] || !player_notices(&list->grips[g], &lines[l]->slots[slot].grip);
      left += !shut[w][g];
    }
    if (left == 0)
      shut[w] = NULL;
  }
}

static void test_alternatives(void **state) {
  (void)state;
  uint32_t from_seed = 20001;
  size_t others = 0;
  for (int n = 0; n < SEEDED(120); ++n, ++from_seed) {
    Case made;
    draw_case(&made, &from_seed);
    GlnLine **lines = NULL;
    size_t count = 0;
    assert_int_equal(gln_line_alternatives(made.song, &made.options, 3, 1e9, arena, &diags, &lines, &count),
                     GLN_OK);
    assert_true(count >= 1);
    for (size_t l = 0; l < count; ++l) {
      bool *shut[CHORDS_MAX];
      Way best;
      size_t taken[CHORDS_MAX];
      shut_out(&made, lines, l, shut);
      assert_true(search(&made, shut, &best, taken));
      check_line(&made, lines[l], best, from_seed);
    }
    others += count - 1;
    if (count > 1) { /* a limit just below the second line's total leaves it out */
      double within = (lines[1]->total / lines[0]->total - 1) * (1 - 1e-6);
      assert_int_equal(
          gln_line_alternatives(made.song, &made.options, 3, within, arena, &diags, &lines, &count), GLN_OK);
      if (within > 0)
        assert_int_equal(count, 1);
    }
    gln_arena_free(arena);
  }
  assert_true(others > SEEDED(60));
}

/* ---- returns that vary ------------------------------------------------------------------------------------------------ */

/* As many of the latest earlier times as can be differed from at once. */
static void shut_out_earlier(const Case *made, const size_t *grips, size_t slot, bool *shut) {
  uint32_t w = made->song->slots[slot].written;
  const GlnGripList *list = &made->found[w].list;
  size_t times = 0;
  for (size_t j = 0; j < slot; ++j)
    times += made->song->slots[j].written == w;
  for (;; --times) {
    size_t left = 0;
    for (size_t g = 0; g < list->count; ++g) {
      size_t looked = 0;
      shut[g] = false;
      for (size_t j = slot; j-- > 0 && looked < times;)
        if (made->song->slots[j].written == w) {
          ++looked;
          shut[g] = shut[g] || !player_notices(&list->grips[g], &list->grips[grips[j]]);
        }
      left += !shut[g];
    }
    if (left > 0)
      return;
  }
}

/* The best way through slots first..end with all before and after as they are: slots past known are not counted. */
static void best_return(const Case *made, size_t first, size_t end, size_t known, size_t *grips) {
  bool *shut[4 * CHORDS_MAX];
  size_t now[4 * CHORDS_MAX], best_grips[4 * CHORDS_MAX];
  for (size_t i = first; i < end; ++i) {
    shut[i] = GLN_NEW(arena, bool, made->found[made->song->slots[i].written].list.count);
    shut_out_earlier(made, grips, i, shut[i]);
  }
  memcpy(now, grips, sizeof now);
  for (size_t i = first; i < end; ++i)
    now[i] = 0;
  /* From the slot before the return to the one after it, as a song of its own. */
  GlnSong part = *made->song;
  size_t from = first > 0 ? first - 1 : first, to = end < known ? end + 1 : end;
  part.slots = made->song->slots + from;
  part.slot_count = to - from;
  Case cut = *made;
  cut.song = &part;
  Way best = {INFINITY, INFINITY};
  bool more = true, any = false;
  while (more) {
    bool allowed = true;
    for (size_t i = first; i < end; ++i)
      allowed = allowed && !shut[i][now[i]];
    Way way = allowed ? way_of(&cut, now + from) : best;
    if (allowed && (!any || better(made, way, best))) {
      any = true;
      best = way;
      memcpy(best_grips, now, sizeof now);
    }
    more = false;
    for (size_t i = first; i < end && !more; ++i) {
      more = ++now[i] < made->found[made->song->slots[i].written].list.count;
      if (!more)
        now[i] = 0;
    }
  }
  assert_true(any);
  memcpy(grips, best_grips, sizeof now);
}

static void test_vary(void **state) {
  (void)state;
  uint32_t from_seed = 30001;
  int varied = 0;
  for (int n = 0; n < SEEDED(150); ++n, ++from_seed) {
    Case made;
    draw_case(&made, &from_seed);
    size_t grips[4 * CHORDS_MAX] = {0}, first = made.chords, count = made.song->slot_count;
    GlnLine *alike = NULL, *line = NULL;
    assert_int_equal(gln_line_solve(made.song, &made.options, arena, &diags, &alike), GLN_OK);
    made.options.vary = true;
    assert_int_equal(gln_line_solve(made.song, &made.options, arena, &diags, &line), GLN_OK);
    for (size_t i = 0; i < count; ++i)
      grips[i] = index_of(&made.found[made.song->slots[i].written].list, &alike->slots[i].grip);
    /* The second time round comes section by section: each is chosen before the next is known. */
    while (first < count) {
      size_t end = first + 1;
      while (end < count && made.song->slots[end].section == made.song->slots[first].section &&
             made.song->slots[end].written > made.song->slots[end - 1].written)
        ++end;
      best_return(&made, first, end, first, grips);
      first = end;
      ++varied;
    }
    Way way = way_of(&made, grips);
    if (fabs(way.total - line->total) > 1e-6)
      print_error("seed %u: %g instead of %g\n", from_seed, line->total, way.total);
    assert_true(fabs(way.total - line->total) <= 1e-6);
    gln_arena_free(arena);
  }
  assert_true(varied > SEEDED(50));
}

/* ---- wishes that collide ------------------------------------------------------------------------------------------------ */

static void check_collision(const char *text, GlnLineOptions options, const char *const *words) {
  begin(1);
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song_of(arena, text, 4, NULL), &options, arena, &diags, &line), GLN_INPUT);
  assert_int_equal(diags.error_count, 1);
  GlnBuffer said = gln_buffer(arena);
  gln_buffer_add(&said, diags.items[0].problem);
  gln_buffer_add_string(&said, "; ");
  gln_buffer_add(&said, diags.items[0].advice);
  GlnText all = gln_buffer_text(&said);
  for (; *words != NULL; ++words) {
    bool found = gln_text_find(all, gln_text(*words), 0) < all.length;
    if (!found)
      print_error("\"%.*s\" does not say \"%s\"\n", (int)all.length, all.at, *words);
    assert_true(found);
  }
  gln_arena_free(arena);
}

#define WORDS(...) ((const char *const[]){__VA_ARGS__, NULL})

static void test_collisions(void **state) {
  (void)state;
  GlnLineOptions options = gln_line_defaults();
  options.fret_low = 1;
  options.fret_high = 3;
  check_collision("Cmaj7^B4", options,
                  WORDS("Cmaj7", "the top note B4", "the region of frets 1-3", "nearest that can be met",
                        "the top note ", "frets 1-"));
  check_collision("Cmaj7@x35453", options,
                  WORDS("x35453", "the region of frets 1-3", "frets 1-5", "or pin x32003"));
  options.strings = 0x0F; /* the four lowest */
  options.fret_low = options.fret_high = 0;
  check_collision("G7@3x343x", options, WORDS("3x343x", "the strings 6,5,4,3", "strings 6,5,4,3,2"));
  options = gln_line_defaults();
  options.textures = 1U << GLN_TEXTURE_SHELL;
  check_collision(
      "C^E", options,
      WORDS("no grip of C ", "keeps to the texture shell", "nearest that can be met: the texture "));
  options.textures = 0;
  check_collision("Am7^C#4", options, WORDS("no grip of Am7", "has C#4 on top", "the top note C4"));
}

/* ---- the tune ------------------------------------------------------------------------------------------------------------------ */

/* A song with a note of the tune at each chord: "E5 B4 -". */
static const GlnSong *under_tune(const char *chords, const char *notes) {
  const GlnSong *song = song_of(arena, chords, 2, NULL);
  GlnText rest = gln_text(notes);
  for (size_t i = 0; i < song->slot_count; ++i) {
    size_t end = gln_text_find(rest, GLN_TEXT(" "), 0);
    GlnEvent *event = (GlnEvent *)(uintptr_t)song->slots[i].event;
    event->has_tune = gln_pitch_parse(gln_text_slice(rest, 0, end), &event->tune) == GLN_OK;
    rest = gln_text_from(rest, end + 1);
  }
  return song;
}

static int top_of(const GlnLineSlot *slot) {
  return slot->grip.midi[slot->grip.top_string];
}

/* The tune is on top where hands allow, foreign notes too; where they do not it is said, and the grip stays below. */
static void test_tune(void **state) {
  (void)state;
  begin(1);
  GlnLineOptions options = gln_line_defaults();
  options.textures = 1U << GLN_TEXTURE_FOUR_NOTE;
  const GlnSong *song = under_tune("Am7 D7 Gmaj7 Cmaj7 Am7@x02010", "E5 E5 A4 E3 E4");
  GlnLine *line = NULL;
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  assert_int_equal(top_of(&line->slots[0]), 76);
  assert_int_equal(top_of(&line->slots[1]), 76); /* a ninth over D7 */
  assert_int_equal(top_of(&line->slots[2]), 69);
  const GlnLineSlot *ninth = &line->slots[1];
  const GlnTone *tone = &ninth->chord->tones[ninth->grip.tone[ninth->grip.top_string]];
  assert_int_equal(tone->degree.number, 9);
  assert_int_equal(tone->degree.alteration, 0);
  assert_int_equal(diags.error_count, 0);
  assert_int_equal(diags.count, 1); /* E3 under a four-note grip; the pin has E4 on top */
  assert_true(gln_text_find(diags.items[0].problem, GLN_TEXT("the tune's E3"), 0) <
              diags.items[0].problem.length);
  assert_true(gln_text_find(diags.items[0].advice, GLN_TEXT("nearest"), 0) < diags.items[0].advice.length);
  gln_arena_free(arena);
  begin(2);
  /* A pin goes before the tune, and that is said; so does a ^note. */
  song = under_tune("Am7@x02010 Am7^C4", "E5 E5");
  assert_int_equal(gln_line_solve(song, &options, arena, &diags, &line), GLN_OK);
  assert_int_equal(diags.count, 1);
  assert_int_equal(top_of(&line->slots[1]), 60);
  gln_arena_free(arena);
}

/* ---- bass lines --------------------------------------------------------------------------------------------------------- */

static int bass_of(const GlnLineSlot *slot) {
  return slot->grip.midi[slot->grip.bass_string];
}

static int semitones(const GlnLine *line) {
  int sum = 0;
  for (size_t i = 1; i < line->slot_count; ++i)
    sum += abs(bass_of(&line->slots[i]) - bass_of(&line->slots[i - 1]));
  return sum;
}

static void test_bass_lines(void **state) {
  (void)state;
  begin(1);
  const GlnSong *song = song_of(arena, "Cmaj7 A7 Dm7 G7 Em7 A7b9 Dm7 G7 Cmaj7", 2, NULL);
  GlnLineOptions options = gln_line_defaults();
  GlnLine *lines[GLN_BASS_LINE_COUNT];
  for (int b = 0; b < GLN_BASS_LINE_COUNT; ++b) {
    options.bass_line = (GlnBassLine)b;
    assert_int_equal(gln_line_solve(song, &options, arena, &diags, &lines[b]), GLN_OK);
  }
  int chromatic = 0, sum_low = 0, sum_roots = 0;
  for (size_t i = 0; i < song->slot_count; ++i) {
    const GlnChord *chord = &song->slots[i].event->chord;
    assert_int_equal(bass_of(&lines[GLN_BASS_LINE_ROOTS]->slots[i]) % 12, gln_note_pitch_class(chord->root));
    assert_int_equal(bass_of(&lines[GLN_BASS_LINE_LOW]->slots[i]) % 12, gln_note_pitch_class(chord->root));
    sum_roots += bass_of(&lines[GLN_BASS_LINE_ROOTS]->slots[i]);
    sum_low += bass_of(&lines[GLN_BASS_LINE_LOW]->slots[i]);
    const GlnGrip *grip = &lines[GLN_BASS_LINE_CHROMATIC]->slots[i].grip;
    int number = chord->tones[grip->tone[grip->bass_string]].degree.number;
    assert_true(number == 1 || number == 3 || number == 5 || number == 7);
    if (i > 0)
      chromatic += abs(bass_of(&lines[GLN_BASS_LINE_CHROMATIC]->slots[i]) -
                       bass_of(&lines[GLN_BASS_LINE_CHROMATIC]->slots[i - 1])) == 1;
  }
  assert_true(chromatic >= 4); /* of eight changes */
  assert_true(semitones(lines[GLN_BASS_LINE_CHROMATIC]) < semitones(lines[GLN_BASS_LINE_ROOTS]) / 2);
  assert_true(sum_low <= sum_roots);
  gln_arena_free(arena);
}

/* ---- running out of memory ------------------------------------------------------------------------------------------------ */

static void test_out_of_memory(void **state) {
  (void)state;
  static const size_t aa[][2] = {{0, 3}, {0, 3}, {0, 0}};
  begin(1);
  const GlnSong *song = song_of(arena, "Dm7 G7 Cmaj7", 2, aa);
  GlnLineOptions options = gln_line_defaults();
  options.textures = 1U << GLN_TEXTURE_FOUR_NOTE;
  for (int what = 0; what < 3; ++what) {
    options.vary = what == 2;
    GlnStatus status = GLN_MEMORY;
    for (size_t limit = 4096; status == GLN_MEMORY; limit += limit / 4) {
      GlnArena *small = gln_arena_new(NULL, limit);
      if (small == NULL)
        continue;
      GlnDiags faults = gln_diags(small);
      GlnRejected *rejected = NULL;
      GlnLine **lines = NULL, *line = NULL;
      size_t count = 0;
      if (what == 0)
        status = gln_line_rejected(song, &options, &(size_t){1}, 1, small, &faults, &rejected);
      else if (what == 1)
        status = gln_line_alternatives(song, &options, 2, 1, small, &faults, &lines, &count);
      else
        status = gln_line_solve(song, &options, small, &faults, &line);
      assert_true(status == GLN_OK || status == GLN_MEMORY);
      gln_arena_free(small);
      assert_true(limit < (size_t)1 << 30);
    }
  }
  gln_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_the_best_of_all_ways),
      cmocka_unit_test(test_rejected),
      cmocka_unit_test(test_alternatives),
      cmocka_unit_test(test_vary),
      cmocka_unit_test(test_collisions),
      cmocka_unit_test(test_bass_lines),
      cmocka_unit_test(test_tune),
      cmocka_unit_test(test_out_of_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
