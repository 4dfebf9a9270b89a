/* Every playable grip of a chord.
 *
 * For each fret that can be the lowest stopped one, a depth-first walk over the strings, lowest first,
 * through the frets that sound a chord tone inside the hand's window (mm from that lowest fret). A branch
 * ends as soon as it needs more fingers than the hand has, can no longer get its bass, or can no longer cover
 * the tones that must sound. */
#include "grip_internal.h"

#include <stdlib.h>
#include <string.h>

#define OPTIONS_MAX (GLN_FRETS_MAX + 1)
#define NEVER       127

/* One way through the neck: the window above one lowest stopped fret. */
typedef struct Window {
  int lowest; /* stopped fret; 0: open strings alone */
  struct {
    int8_t count;
    int8_t fret[OPTIONS_MAX];
  } string[GLN_STRINGS_MAX];
  /* What the strings from here up can still give. */
  uint16_t classes_from[GLN_STRINGS_MAX + 1];
  bool lowest_from[GLN_STRINGS_MAX + 1];
  int8_t bass_from[GLN_STRINGS_MAX + 1];    /* lowest pitch of a wanted bass class; NEVER when none */
  int8_t strings_from[GLN_STRINGS_MAX + 1]; /* strings that can sound */
} Window;

typedef struct Search {
  const GlnGripQuery *query;
  GlnArena *arena;
  GlnToneNeeds needs;
  GlnHandMap map;
  Window window;
  uint16_t classes;      /* pitch classes that may sound */
  uint16_t bass_classes; /* wanted lowest */
  bool root_needed;
  uint16_t textures; /* wanted; 0 any */
  int voices_min, voices_max, fingers;
  GlnFrets frets;
  GlnGripList *list;
  size_t capacity;
  GlnStatus status;
} Search;

/* What the strings below this one have settled. */
typedef struct Node {
  uint16_t classes;
  int8_t voices;
  int8_t silent, pending; /* inner silent strings; those that will be inner once another string sounds */
  int8_t fingers;         /* fewest fingers that can hold it */
  uint32_t joinable;      /* bit n: a barre at fret n can still take in the next string */
  int16_t bass_midi;
  bool has_lowest, has_open;
} Node;

/* ---- windows
 * ------------------------------------------------------------------------------------------------- */

static bool may_sound(const Search *search, int string, int fret) {
  if (search->query->strings != 0 && (search->query->strings >> string & 1) == 0)
    return false;
  if (fret > 0 && fret < gln_first_fret(search->query->instrument, string))
    return false;
  int midi = gln_sounding_midi(search->query->instrument, string, fret);
  return (search->classes >> midi % 12 & 1) != 0;
}

static void add_option(Search *search, int string, int fret) {
  Window *window = &search->window;
  int midi = gln_sounding_midi(search->query->instrument, string, fret);
  window->string[string].fret[window->string[string].count++] = (int8_t)fret;
  window->classes_from[string] |= (uint16_t)(1u << midi % 12);
  window->lowest_from[string] |= fret == window->lowest;
  if ((search->bass_classes >> midi % 12 & 1) != 0 && midi < window->bass_from[string])
    window->bass_from[string] = (int8_t)midi;
}

static void open_window(Search *search, int lowest, int highest) {
  Window *window = &search->window;
  int strings = search->query->instrument->string_count;
  window->lowest = lowest;
  window->classes_from[strings] = 0;
  window->lowest_from[strings] = false;
  window->bass_from[strings] = NEVER;
  window->strings_from[strings] = 0;
  for (int s = strings - 1; s >= 0; s--) {
    window->string[s].count = 0;
    window->classes_from[s] = window->classes_from[s + 1];
    window->lowest_from[s] = window->lowest_from[s + 1];
    window->bass_from[s] = window->bass_from[s + 1];
    if (search->query->open_wish != GLN_OPEN_NEVER && may_sound(search, s, 0))
      add_option(search, s, 0);
    for (int fret = lowest; lowest > 0 && fret <= highest; fret++)
      if (may_sound(search, s, fret))
        add_option(search, s, fret);
    window->strings_from[s] = (int8_t)(window->strings_from[s + 1] + (window->string[s].count > 0));
  }
}

/* ---- leaves
 * --------------------------------------------------------------------------------------------------- */

static void keep(Search *search, const GlnGrip *grip) {
  GlnGripList *list = search->list;
  if (list->count == GLN_GRIPS_MAX) {
    search->status = GLN_LIMIT;
    return;
  }
  if (list->count == search->capacity) {
    size_t capacity = search->capacity == 0 ? 128 : search->capacity * 2;
    GlnGrip *grips = GLN_NEW(search->arena, GlnGrip, capacity);
    if (grips == NULL) {
      search->status = GLN_MEMORY;
      return;
    }
    if (list->count > 0)
      memcpy(grips, list->grips, list->count * sizeof *grips);
    list->grips = grips;
    search->capacity = capacity;
  }
  list->grips[list->count++] = *grip;
}

static bool top_is_wanted(const GlnGripQuery *query, const GlnGrip *grip) {
  int top = grip->midi[grip->top_string];
  return (query->top_midi < 0 || top == query->top_midi) &&
         (query->top_pitch_class < 0 || top % 12 == query->top_pitch_class);
}

static void take_leaf(Search *search, const Node *node) {
  const GlnGripQuery *query = search->query;
  if (node->voices < search->voices_min || (query->open_wish == GLN_OPEN_WANTED && !node->has_open))
    return;
  if (!gln_tones_admissible(&search->needs, node->classes, node->voices, search->root_needed))
    return;
  GlnGrip grip;
  gln_grip_fill(query->instrument, query->chord, &search->needs, &search->frets, &grip);
  if (!top_is_wanted(query, &grip) || (search->textures != 0 && (search->textures & grip.textures) == 0))
    return;
  bool damped = query->right_hand == GLN_RIGHT_PICK;
  if (gln_hold_find(&search->map, &search->frets, damped, &grip.fingering) == GLN_OK)
    keep(search, &grip);
}

/* ---- the walk
 * ---------------------------------------------------------------------------------------------------- */

/* Fewest tones of groups still to come besides those that must; far too many when a group can no longer sound. */
static int missing_groups(const GlnToneNeeds *needs, const Node *node, uint16_t to_come, uint16_t must) {
  int missing = 0, within_reach = 0;
  uint16_t counted = must;
  for (int g = 0; g < needs->group_count; g++) {
    bool sounds = (needs->group[g] & node->classes) != 0;
    bool can_sound = sounds || (needs->group[g] & to_come) != 0;
    within_reach += can_sound;
    if (!sounds && (needs->group[g] & counted) == 0)
      missing++;
    counted |= needs->group[g];
  }
  bool may_join = node->voices <= GLN_GROUPS_JOIN_VOICES;
  if (within_reach < (may_join && needs->group_count > 0 ? 1 : needs->group_count))
    return GLN_STRINGS_MAX + 1;
  if (needs->group_count == 0)
    return 0;
  int joined = missing - (needs->group_count - 1); /* every group but one may stay silent */
  return !may_join ? missing : joined > 0 ? joined : 0;
}

static bool can_be_covered(const Search *search, const Node *node, int string) {
  const GlnToneNeeds *needs = &search->needs;
  const Window *window = &search->window;
  uint16_t to_come = window->classes_from[string];
  uint16_t must = (uint16_t)((needs->must | (search->root_needed ? needs->root : 0)) & ~node->classes);
  if ((must & ~to_come) != 0)
    return false;
  int missing = gln_bit_count(must) + missing_groups(needs, node, to_come, must);
  return missing <= window->strings_from[string];
}

static bool can_be_finished(const Search *search, const Node *node, int string) {
  const Window *window = &search->window;
  if (search->status != GLN_OK || node->voices + window->strings_from[string] < search->voices_min)
    return false;
  if (window->lowest > 0 && !node->has_lowest && !window->lowest_from[string])
    return false;
  bool bass_is_wanted = node->voices > 0 && (search->bass_classes >> node->bass_midi % 12 & 1) != 0;
  if (!bass_is_wanted && window->bass_from[string] >= node->bass_midi)
    return false;
  return can_be_covered(search, node, string);
}

/* The node after this string sounds at this fret; false when too many voices, gaps or fingers. */
static bool sound_string(const Search *search, const Node *node, int string, int fret, Node *next) {
  int midi = gln_sounding_midi(search->query->instrument, string, fret);
  *next = *node;
  next->classes |= (uint16_t)(1u << midi % 12);
  next->voices++;
  next->silent = (int8_t)(node->silent + node->pending);
  next->pending = 0;
  if (midi < next->bass_midi)
    next->bass_midi = (int16_t)midi;
  if (next->voices > search->voices_max || next->silent > search->map.weights->inner_silent_max)
    return false;
  if (fret == 0) {
    next->joinable = 0;
    next->has_open = true;
    return true;
  }
  uint32_t bit = (uint32_t)1 << fret;
  if ((node->joinable & bit) == 0)
    next->fingers++;
  next->joinable = (node->joinable | bit) & ((bit << 1) - 1); /* a barre does not rise over a lower fret */
  if (!search->map.hand->barres)
    next->joinable = 0;
  next->has_lowest = node->has_lowest || fret == search->window.lowest;
  return next->fingers <= search->fingers;
}

static void walk(Search *search, const Node *node, int string) {
  search->list->looked_at++;
  if (string == search->query->instrument->string_count) {
    take_leaf(search, node);
    return;
  }
  Node next = *node;
  next.pending = (int8_t)(node->pending + (node->voices > 0));
  search->frets.fret[string] = GLN_NOT_PLAYED;
  if (can_be_finished(search, &next, string + 1))
    walk(search, &next, string + 1);
  for (int i = 0; i < search->window.string[string].count; i++) {
    int8_t fret = search->window.string[string].fret[i];
    if (!sound_string(search, node, string, fret, &next) || !can_be_finished(search, &next, string + 1))
      continue;
    search->frets.fret[string] = fret;
    walk(search, &next, string + 1);
  }
}

static void walk_neck(Search *search) {
  const GlnGripQuery *query = search->query;
  bool whole = query->fret_low == 0 && query->fret_high == 0;
  int low = whole || query->fret_low < 1 ? 1 : query->fret_low;
  int high = whole || query->fret_high > search->map.frets ? search->map.frets : query->fret_high;
  const Node start = {.bass_midi = NEVER};
  for (int lowest = low - 1; lowest <= high; lowest++) {
    int from = lowest < low ? 0 : lowest; /* the first round takes open strings alone */
    int to = from;
    while (from > 0 && to < high &&
           search->map.along_mm[to + 1] - search->map.along_mm[from] <= search->map.window_mm)
      to++;
    open_window(search, from, to);
    if (can_be_finished(search, &start, 0))
      walk(search, &start, 0);
  }
}

/* ---- the query
 * ------------------------------------------------------------------------------------------------------ */

static uint16_t texture_bit(GlnTexture texture) {
  return (uint16_t)(1u << texture);
}

/* Textures that leave the root to another player, so that any other note may lie lowest. */
static uint16_t rootless_textures(void) {
  return texture_bit(GLN_TEXTURE_ROOTLESS) | texture_bit(GLN_TEXTURE_ROOTLESS_A) |
         texture_bit(GLN_TEXTURE_ROOTLESS_B);
}

/* Fewest and most voices that a texture can have on so many strings. */
static void voices_of(GlnTexture texture, int strings, int *least, int *most) {
  switch (texture) {
  case GLN_TEXTURE_SHELL:
    *least = *most = 3;
    return;
  case GLN_TEXTURE_FOUR_NOTE:
  case GLN_TEXTURE_CLOSE:
  case GLN_TEXTURE_DROP2:
  case GLN_TEXTURE_DROP3:
  case GLN_TEXTURE_DROP24:
  case GLN_TEXTURE_ROOTLESS_A:
  case GLN_TEXTURE_ROOTLESS_B:
    *least = *most = 4;
    return;
  case GLN_TEXTURE_FULL:
    *least = strings < 5 ? strings : 5;
    *most = strings;
    return;
  case GLN_TEXTURE_SPREAD:
    *least = 3;
    *most = 4;
    return;
  case GLN_TEXTURE_ROOTLESS:
  case GLN_TEXTURE_COUNT:
    break;
  }
  *least = 1;
  *most = strings;
}

static void limit_voices(Search *search) {
  int strings = search->query->instrument->string_count;
  search->voices_min = search->needs.least;
  search->voices_max = strings;
  if (search->textures == 0)
    return;
  int fewest = strings, most_of_all = 0;
  for (int t = 0; t < GLN_TEXTURE_COUNT; t++) {
    int least = 0, most = 0;
    if ((search->textures & texture_bit((GlnTexture)t)) == 0)
      continue;
    voices_of((GlnTexture)t, strings, &least, &most);
    fewest = least < fewest ? least : fewest;
    most_of_all = most > most_of_all ? most : most_of_all;
  }
  search->voices_min = fewest > search->voices_min ? fewest : search->voices_min;
  search->voices_max = most_of_all;
}

/* Where the lowest string need not sound lowest (ukulele), no grip has a bass unless one is asked for. */
static bool has_no_bass(const GlnGripQuery *query) {
  return query->bass_wish == GLN_BASS_OF_CHORD && gln_instrument_reentrant(query->instrument);
}

/* Bits of the classes wanted as the lowest note; all when any will do. */
static uint16_t wanted_bass(const GlnGripQuery *query) {
  const GlnChord *chord = query->chord;
  if (query->bass_wish == GLN_BASS_NOTE)
    return (uint16_t)(1u << query->bass_pitch_class);
  bool any = query->bass_wish == GLN_BASS_ANY || chord->bass_tone < 0 || has_no_bass(query);
  return (uint16_t)(any ? 0xfffu : 1u << gln_note_pitch_class(chord->bass));
}

/* Without a bass, as players of four strings do: the root sounds where the strings can hold the whole chord. */
static bool needs_root(const Search *search, uint16_t bass_classes) {
  if (has_no_bass(search->query))
    return gln_bit_count(search->needs.pitch_classes) <= search->query->instrument->string_count;
  return (bass_classes & ~search->needs.root) == 0;
}

/* Strings that can sound in one grip of this search. */
static int most_strings(const Search *search) {
  const GlnGripQuery *query = search->query;
  int strings = query->instrument->string_count;
  int usable = query->strings != 0 ? gln_bit_count(query->strings & ((1u << strings) - 1u)) : strings;
  return usable < search->voices_max ? usable : search->voices_max;
}

/* spare: strings fewer than there are to make room for. */
static void walk_pass(Search *search, uint16_t classes, uint16_t bass_classes, uint16_t textures,
                      bool root_needed, int spare) {
  search->needs = gln_tone_needs(search->query->chord);
  search->classes = classes;
  search->bass_classes = bass_classes;
  search->textures = textures;
  search->root_needed = root_needed;
  limit_voices(search);
  search->list->let_go |=
      gln_tones_make_room(search->query->chord, most_strings(search) - spare, root_needed, &search->needs);
  walk_neck(search);
}

static int compare_grips(const void *left, const void *right) {
  const GlnGrip *a = left, *b = right;
  if (a->fingering.difficulty < b->fingering.difficulty)
    return -1;
  if (a->fingering.difficulty > b->fingering.difficulty)
    return 1;
  for (int s = 0; s < a->frets.string_count; s++)
    if (a->frets.fret[s] != b->frets.fret[s])
      return a->frets.fret[s] < b->frets.fret[s] ? -1 : 1;
  return 0;
}

GlnGripQuery gln_grip_query_defaults(const GlnChord *chord, const GlnInstrument *instrument,
                                     const GlnHand *hand) {
  return (GlnGripQuery){
      .chord = chord,
      .instrument = instrument,
      .hand = hand,
      .bass_wish = GLN_BASS_OF_CHORD,
      .top_pitch_class = -1,
      .top_midi = -1,
      .open_wish = GLN_OPEN_ALLOWED,
      .right_hand = GLN_RIGHT_FINGERS,
  };
}

static void walk_passes(Search *search, int spare) {
  const GlnGripQuery *query = search->query;
  uint16_t all = search->needs.pitch_classes, root = search->needs.root, bass = wanted_bass(query);
  bool root_is_rule =
      root != 0 && query->bass_wish == GLN_BASS_OF_CHORD && (bass == root || has_no_bass(query));
  uint16_t rootless = root_is_rule ? (uint16_t)(query->textures & rootless_textures()) : 0;
  uint16_t rooted = (uint16_t)(query->textures & ~rootless);
  search->list->let_go = 0;
  if (rootless != 0) /* the bass player has the root: any other note lies lowest */
    walk_pass(search, (uint16_t)(all & ~root), 0xfff, rootless, false, spare);
  if (query->textures == 0 || rooted != 0)
    walk_pass(search, all, bass, rooted, rootless != 0 || needs_root(search, bass), spare);
}

GlnStatus gln_grip_search(const GlnGripQuery *query, GlnArena *arena, GlnGripList *list) {
  Search search = {.query = query, .arena = arena, .list = list, .status = GLN_OK};
  *list = (GlnGripList){.grips = NULL};
  search.needs = gln_tone_needs(query->chord);
  gln_hand_map_make(query->instrument, query->hand, &gln_hold_weights, &search.map);
  search.fingers = query->hand->fingers + query->hand->thumb;
  if (search.fingers > query->hand->at_once)
    search.fingers = query->hand->at_once;
  search.frets.string_count = query->instrument->string_count;
  for (int s = 0; s < GLN_STRINGS_MAX; s++)
    search.frets.fret[s] = GLN_NOT_PLAYED;
  bool has_limits = query->textures != 0 || query->strings != 0 || query->fret_low != 0 ||
                    query->fret_high != 0 || query->top_midi >= 0 || query->top_pitch_class >= 0 ||
                    query->open_wish != GLN_OPEN_ALLOWED;
  walk_passes(&search, 0);
  for (int spare = 1; spare < query->instrument->string_count - 2 && list->count == 0 && !has_limits; spare++)
    walk_passes(&search, spare);
  if (search.status == GLN_OK && list->count > 1)
    qsort(list->grips, list->count, sizeof *list->grips, compare_grips);
  return search.status;
}
