/* Openings, turnarounds and endings: the table's text as chords of the tune's key and style, joined to what is there. */
#include "frame_rules.h"

#include <stdlib.h>
#include <string.h>

#define FRAME_CHORDS_MAX 24

/* ---- the tune's style --------------------------------------------------------------------------------------------- */

/* Design choice: ninths where a quarter of the time has them, triads where less than a third has a seventh. */
GlnFrameStyle gln_frame_style(const GlnStep *steps, size_t count) {
  double all = 0, seventh = 0, ninth = 0;
  for (size_t i = 0; i < count; i++) {
    if (steps[i].chord->silent)
      continue;
    double quarters = gln_ratio_value(steps[i].quarters);
    all += quarters;
    bool ninths = false;
    for (int t = 0; t < steps[i].chord->own_count; t++)
      ninths = ninths || steps[i].chord->tones[t].degree.number >= 9;
    seventh += steps[i].chord->own_count >= 4 ? quarters : 0;
    ninth += ninths && steps[i].chord->own_count >= 4 ? quarters : 0;
  }
  if (4 * ninth >= all && all > 0)
    return GLN_FRAME_WITH_NINTHS;
  return 3 * seventh >= all && all > 0 ? GLN_FRAME_WITH_SEVENTHS : GLN_FRAME_TRIADS;
}

/* ---- one chord of a pattern ------------------------------------------------------------------------------------------ */

typedef struct Maker {
  const GlnFramePlace *place;
  GlnFrame *frame;
  int bar;
  bool fits;
} Maker;

static bool is_minor_goal(const GlnChord *goal) {
  GlnClass class = gln_chord_class(goal);
  return class == GLN_CLASS_MINOR || class == GLN_CLASS_HALF_DIM || class == GLN_CLASS_DIM;
}

static const GlnDress *dress_for(const char *suffix) {
  for (size_t d = 0; d < gln_dress_count; d++)
    if (strcmp(gln_dresses[d].plain, suffix) == 0)
      return &gln_dresses[d];
  return NULL;
}

/* The fullest dress whose new tones are of the key. */
static void dress_in_ninths(const GlnDress *dress, GlnNote root, GlnKey key, GlnChord *chord) {
  unsigned plain = gln_chord_pitch_classes(chord);
  for (size_t n = 0; n < GLN_COUNT_OF(dress->ninths) && dress->ninths[n] != NULL; n++) {
    GlnChord full;
    if (gln_rule_chord(root, dress->ninths[n], NULL, &full) &&
        (gln_chord_pitch_classes(&full) & ~plain & ~gln_key_classes(key)) == 0) {
      *chord = full;
      return;
    }
  }
}

/* A slash chord takes no ninths: its bass is colour enough. */
static bool write_dressed(const Maker *maker, GlnNote root, const char *suffix, const GlnNote *bass,
                          GlnKey key, GlnChord *chord) {
  const GlnDress *dress = dress_for(suffix);
  int degree = (gln_note_pitch_class(root) - gln_note_pitch_class(maker->place->key.tonic) + 12) % 12;
  if (!gln_rule_chord(root, suffix, bass, chord))
    return false;
  if (dress == NULL)
    return true;
  if (maker->place->blues && !maker->place->key.minor && (degree == 0 || degree == 5))
    return gln_rule_chord(root, dress->blues, bass, chord);
  if (maker->place->style == GLN_FRAME_TRIADS)
    return gln_rule_chord(root, dress->triad, bass, chord);
  if (maker->place->style == GLN_FRAME_WITH_NINTHS && bass == NULL)
    dress_in_ninths(dress, root, key, chord);
  return true;
}

/* A note of the pattern, which is written in C, counted from the tonic instead. */
static GlnNote moved(GlnNote note, GlnKey from, GlnKey song_key) {
  return gln_note_plain(gln_note_above(from.tonic, gln_degree_between((GlnNote){0, 0}, note)), song_key);
}

/* "Dm7", "Db7!", ">G7", "Cm7/Bb!" as a chord. */
static bool read_chord(const Maker *maker, GlnText word, GlnChord *chord) {
  char suffix[32] = "";
  bool joined = word.at[0] == '>', literal = word.at[word.length - 1] == '!';
  word = gln_text_slice(word, joined ? 1 : 0, word.length - (joined ? 1 : 0) - (literal ? 1 : 0));
  GlnKey key = maker->place->key;
  if (joined)
    key = (GlnKey){maker->place->goal->root, is_minor_goal(maker->place->goal)};
  size_t used = 0;
  GlnNote root, bass;
  if (gln_note_parse(word, &root, &used) != GLN_OK)
    return false;
  GlnText rest = gln_text_from(word, used);
  size_t slash = gln_text_find(rest, GLN_TEXT("/"), 0);
  /* "6/9" has no bass: what follows the stroke is no note. */
  bool has_bass = false;
  for (; slash < rest.length && !has_bass;) {
    has_bass = gln_note_parse(gln_text_from(rest, slash + 1), &bass, &used) == GLN_OK;
    if (!has_bass)
      slash = gln_text_find(rest, GLN_TEXT("/"), slash + 1);
  }
  GlnText end = gln_text_slice(rest, 0, slash);
  if (end.length >= sizeof suffix)
    return false;
  for (size_t i = 0; i < end.length; i++)
    suffix[i] = end.at[i];
  /* The ii of a minor chord is half-diminished. */
  bool darkened = joined && key.minor && root.letter == 1 && strcmp(suffix, "m7") == 0;
  root = moved(root, key, maker->place->key);
  if (has_bass)
    bass = moved(bass, key, maker->place->key);
  const GlnNote *under = has_bass ? &bass : NULL;
  if (literal)
    return gln_rule_chord(root, suffix, under, chord);
  return write_dressed(maker, root, darkened ? "m7b5" : suffix, under, key, chord);
}

/* ---- a pattern ---------------------------------------------------------------------------------------------------------- */

static bool same_sound(const GlnChord *a, const GlnChord *b) {
  return gln_note_pitch_class(a->root) == gln_note_pitch_class(b->root) &&
         gln_note_pitch_class(a->bass) == gln_note_pitch_class(b->bass);
}

static void add_chord(Maker *maker, const GlnChord *chord) {
  if (maker->frame->chord_count == FRAME_CHORDS_MAX) {
    maker->fits = false;
    return;
  }
  maker->frame->chords[maker->frame->chord_count++] = (GlnFrameChord){*chord, (uint16_t)maker->bar};
}

static void add_tune_bar(Maker *maker, int from_end) {
  const GlnFramePlace *place = maker->place;
  size_t before = maker->frame->chord_count;
  for (size_t i = 0; i < place->phrase_count; i++)
    if (place->phrase_bar[i] == from_end)
      add_chord(maker, place->phrase[i]);
  maker->fits = maker->fits && maker->frame->chord_count > before;
}

static void add_word(Maker *maker, GlnText word) {
  const GlnFramePlace *place = maker->place;
  GlnChord chord;
  if (gln_text_equal(word, GLN_TEXT("|"))) {
    maker->bar += maker->frame->chord_count > 0 ? 1 : 0;
  } else if (word.at[0] == '@') {
    add_tune_bar(maker, word.at[1] - '0');
  } else if (word.at[0] == '(') {
    maker->fits = maker->fits && read_chord(maker, gln_text_slice(word, 1, word.length - 2), &chord);
    if (maker->fits && (place->before == NULL || !same_sound(place->before, &chord)))
      add_chord(maker, &chord);
  } else {
    maker->fits = maker->fits && read_chord(maker, word, &chord);
    if (maker->fits)
      add_chord(maker, &chord);
  }
}

static bool needs_are_met(const GlnFrameRule *rule, const GlnFramePlace *place) {
  const GlnChord *goal = place->goal;
  if (((rule->needs & GLN_FRAME_IN_BLUES) != 0 && !place->blues) ||
      ((rule->needs & GLN_FRAME_NOT_IN_BLUES) != 0 && place->blues))
    return false;
  if (goal == NULL)
    return true;
  bool home = gln_note_pitch_class(goal->root) == gln_note_pitch_class(place->key.tonic);
  return ((rule->needs & GLN_FRAME_GOAL_MAJOR) == 0 || !is_minor_goal(goal)) &&
         ((rule->needs & GLN_FRAME_GOAL_HOME) == 0 || home);
}

/* ---- how well it joins ------------------------------------------------------------------------------------------------------ */

/* Design choices, tried on the examples: a step of tonal pitch space, the same chord twice, a dominant that goes back,
 * sevenths among triads. */
#define STEP_COST  0.01
#define AGAIN_COST 0.4
#define BACK_COST  0.15
#define DRESS_COST 0.5

static double join_cost(const GlnFramePlace *place, const GlnFrame *frame) {
  double cost = 0;
  if (place->before != NULL) {
    const GlnChord *first = &frame->chords[0].chord;
    int tonic = gln_note_pitch_class(place->key.tonic);
    int from = (gln_note_pitch_class(place->before->root) - tonic + 12) % 12;
    int to = (gln_note_pitch_class(first->root) - tonic + 12) % 12;
    cost += STEP_COST * gln_pitch_space_distance(place->before, place->key, first, place->key);
    cost += same_sound(place->before, first) ? AGAIN_COST : 0;
    cost += from == 7 && (to == 2 || to == 5) ? BACK_COST : 0;
  }
  if (place->goal != NULL) {
    const GlnChord *last = &frame->chords[frame->chord_count - 1].chord;
    cost += STEP_COST * gln_pitch_space_distance(last, place->key, place->goal, place->key);
  }
  return cost;
}

/* Is one run of roots the other's beginning (opening) or its end? A chord that stays counts once. */
static bool is_there(const GlnFrame *frame, const GlnFramePlace *place) {
  const GlnChord *ours[FRAME_CHORDS_MAX];
  size_t count = 0;
  for (size_t i = 0; i < frame->chord_count; i++)
    if (count == 0 || !same_sound(ours[count - 1], &frame->chords[i].chord))
      ours[count++] = &frame->chords[i].chord;
  bool from_start = frame->kind == GLN_FRAME_OPENING;
  const GlnChord *last = NULL;
  size_t met = 0;
  for (size_t k = 0; k < place->there_count && met < count; k++) {
    const GlnChord *theirs = place->there[from_start ? k : place->there_count - 1 - k];
    if (last != NULL && same_sound(last, theirs))
      continue;
    last = theirs;
    if (!same_sound(theirs, ours[from_start ? met : count - 1 - met]))
      return false;
    met++;
  }
  return met == count;
}

/* ---- the sentence ---------------------------------------------------------------------------------------------------------------- */

static GlnStatus fill_reason(const GlnFramePlace *place, const char *reason, GlnArena *arena,
                             GlnFrame *frame) {
  GlnBuffer out = gln_buffer(arena);
  for (GlnText rest = gln_text(reason); rest.length > 0;) {
    size_t open = gln_text_find(rest, GLN_TEXT("{"), 0), close = gln_text_find(rest, GLN_TEXT("}"), open);
    gln_buffer_add(&out, gln_text_slice(rest, 0, open));
    if (open == rest.length)
      break;
    GlnText word = gln_text_slice(rest, open + 1, close - open - 1);
    const GlnChord *chord = place->goal;
    if (gln_text_equal(word, GLN_TEXT("first")))
      chord = &frame->chords[0].chord;
    else if (gln_text_equal(word, GLN_TEXT("last")))
      chord = &frame->chords[frame->chord_count - 1].chord;
    char symbol[GLN_SYMBOL_TEXT_MAX] = "";
    if (chord != NULL)
      (void)gln_chord_print(chord, GLN_SIGNS_ASCII, symbol);
    gln_buffer_add_string(&out, symbol);
    rest = gln_text_from(rest, close + 1);
  }
  frame->reason = gln_buffer_text(&out);
  return gln_buffer_status(&out);
}

/* ---- the search ------------------------------------------------------------------------------------------------------------------- */

static GlnStatus make_frame(const GlnFrameRule *rule, const GlnFramePlace *place, GlnArena *arena,
                            GlnFrame *frame, bool *fits) {
  const char *pattern = place->key.minor ? rule->minor : rule->major;
  *fits = false;
  if (pattern == NULL || !needs_are_met(rule, place))
    return GLN_OK;
  *frame = (GlnFrame){
      .kind = rule->kind, .name = rule->name, .chords = GLN_NEW(arena, GlnFrameChord, FRAME_CHORDS_MAX)};
  if (frame->chords == NULL)
    return GLN_MEMORY;
  Maker maker = {.place = place, .frame = frame, .fits = true};
  for (GlnText rest = gln_text(pattern); rest.length > 0;) {
    size_t end = gln_text_find(rest, GLN_TEXT(" "), 0);
    add_word(&maker, gln_text_slice(rest, 0, end));
    rest = gln_text_from(rest, end + 1);
  }
  if (!maker.fits || frame->chord_count == 0)
    return GLN_OK;
  *fits = true;
  frame->bar_count = (uint16_t)(maker.bar + 1);
  frame->in_chart = is_there(frame, place);
  frame->cost = (double)rule->cost + join_cost(place, frame);
  if ((rule->needs & GLN_FRAME_SEVENTHS) != 0 && place->style == GLN_FRAME_TRIADS)
    frame->cost += DRESS_COST;
  return fill_reason(place, rule->reason, arena, frame);
}

static int by_cost(const void *left, const void *right) {
  const GlnFrame *a = left, *b = right;
  if (a->cost < b->cost || a->cost > b->cost)
    return a->cost < b->cost ? -1 : 1;
  return strcmp(a->name, b->name);
}

GlnStatus gln_frames_find(GlnFrameKind kind, const GlnFramePlace *place, GlnArena *arena, GlnFrames *frames) {
  *frames = (GlnFrames){.items = GLN_NEW(arena, GlnFrame, gln_frame_rule_count)};
  if (frames->items == NULL)
    return GLN_MEMORY;
  for (size_t r = 0; r < gln_frame_rule_count; r++) {
    bool fits = false;
    if (gln_frame_rules[r].kind != kind)
      continue;
    GLN_TRY(make_frame(&gln_frame_rules[r], place, arena, &frames->items[frames->count], &fits));
    frames->count += fits ? 1 : 0;
  }
  if (frames->count > 0)
    qsort(frames->items, frames->count, sizeof *frames->items, by_cost);
  return GLN_OK;
}
