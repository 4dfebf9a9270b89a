/* The hand in tables: reach, weights, and the words for parts and textures. docs/hand-model.md explains each.
 */
#include "grip_internal.h"

#include <math.h>

/* Closest and widest distance between two fingertips of an adult player, mm: values of a voicing-prediction
 * study with ergonomic context, ISMIR 2025. Index [a - 1][b - 1]. */
static const double study_closest_mm[GLN_FINGERS][GLN_FINGERS] = {
    {0, 5, 15, 25}, {0, 0, 6, 12}, {0, 0, 0, 8.5}, {0, 0, 0, 0}};
static const double study_widest_mm[GLN_FINGERS][GLN_FINGERS] = {
    {0, 80, 95, 110}, {0, 0, 52, 69}, {0, 0, 0, 47}, {0, 0, 0, 0}};
/* Ring and little finger, the pair with the widest sideways motion (32 of 17 and 14 degrees), reach farther than the
 * study lets them: x32355 held 2 1 3 4 4 needs 59.6 mm. Design choice, from an open collection of fingered shapes. */
static const double ring_little_mm = 66;

/* Share of the reach up to which a pair stands at ease. Design choice after the sideways ranges of motion of
 * checks in hand anthropometry: middle-ring tight (14 degrees), ring-little wide (32 degrees). */
static const double ease_share[GLN_FINGERS][GLN_FINGERS] = {
    {0, 0.55, 0.65, 0.70}, {0, 0, 0.60, 0.65}, {0, 0, 0, 0.60}, {0, 0, 0, 0}};

typedef struct HandSizeRow {
  const char *name;
  double scale; /* of the study's adult hand; design choice: about one standard deviation of adult hand length
                   each way */
  double across_mm;
} HandSizeRow;

static const HandSizeRow hand_sizes[] = {
    [GLN_HAND_SMALL] = {"small", 0.9, 52},
    [GLN_HAND_MEDIUM] = {"medium", 1.0, 60},
    [GLN_HAND_LARGE] = {"large", 1.1, 68},
};

/* Design choices. The lower half was tuned on every second shape of an open collection of fingered chord
 * shapes (guitar and ukulele), checked on the other half in tests/outside, and on the order of difficulty
 * that tests/grip/test_felt_difficulty.c lists. */
const GlnHoldWeights gln_hold_weights = {
    .stop_back_mm = 6,
    .crowd_limit = 0.5,
    .barre_width = {8, 3, 4, 3},
    .arch_width = 3,
    .thumb_barre_width = 3,
    .thumb_behind_mm = 45,
    .thumb_ahead_mm = 45,
    .inner_silent_max = 2,

    .stretch = 0.050f,
    .span = 0.515f,
    .beyond_fret = 0.055f,
    .across = 0.017f,
    .within_fret = 0.030f,
    .same_fret = 0.072f,
    .crowd = 0.021f,
    .cross = 0.084f,
    .use = {0.039f, 0.060f, 0.076f, 0.080f, 0.105f},
    .barre = {0.064f, 0.092f, 0.143f, 0.143f},
    .barre_wide = {0.005f, 0.092f, 0.063f, 0.146f},
    .barre_sound = 0.046f,
    .barre_pull = 0.014f,
    .barre_ends = 0.008f,
    .barre_touch = 0.077f,
    .barre_low = 0.007f,
    .arch = 0.031f,
    .position = 0.002f,
    .position_high = 0.15f,
    .silent_touched = 0.015f,
    .silent_free = 0.030f,
};

/* So far reaches no hand that we would call a good guess; what even it cannot hold is a slip of the pen. Design choice: the
 * widest of an open collection of fingered shapes (x31013 held 3 2 1 4) needs 1.35. */
static const HandSizeRow widest_hand = {"wide", 1.4, 80};

static GlnHand hand_of_row(const HandSizeRow *row) {
  GlnHand hand = {.name = row->name,
                  .across_mm = row->across_mm,
                  .thumb = false,
                  .barres = true,
                  .fingers = GLN_FINGERS,
                  .at_once = GLN_FINGERS + 1};
  for (int a = 0; a < GLN_FINGERS; a++)
    for (int b = a + 1; b < GLN_FINGERS; b++) {
      hand.closest_mm[a][b] = study_closest_mm[a][b]; /* of tips, which differ less than spans: not scaled */
      hand.reach_mm[a][b] = (a == 2 ? ring_little_mm : study_widest_mm[a][b]) * row->scale;
      hand.ease_mm[a][b] = hand.reach_mm[a][b] * ease_share[a][b];
    }
  return hand;
}

GlnHand gln_hand(GlnHandSize size) {
  return hand_of_row(&hand_sizes[size]);
}

GlnHand gln_hand_widest(void) {
  GlnHand hand = hand_of_row(&widest_hand);
  hand.thumb = true;
  return hand;
}

double gln_ease_share(int a, int b) {
  return ease_share[a][b];
}

GlnStatus gln_hand_parse(GlnText name, GlnHand *hand) {
  for (size_t i = 0; i < GLN_COUNT_OF(hand_sizes); i++)
    if (gln_text_equal_ignoring_case(gln_text_trim(name), gln_text(hand_sizes[i].name))) {
      *hand = gln_hand((GlnHandSize)i);
      return GLN_OK;
    }
  return GLN_INPUT;
}

const char *gln_hold_part_key(GlnHoldPart part) {
  static const char *const keys[] = {
#define GLN_HOLD_PART_KEY(name, key, words) key,
      GLN_HOLD_PART_LIST(GLN_HOLD_PART_KEY)
#undef GLN_HOLD_PART_KEY
  };
  return keys[part];
}

const char *gln_hold_part_words(GlnHoldPart part) {
  static const char *const all_words[] = {
#define GLN_HOLD_PART_WORDS(name, key, words) words,
      GLN_HOLD_PART_LIST(GLN_HOLD_PART_WORDS)
#undef GLN_HOLD_PART_WORDS
  };
  return all_words[part];
}

const char *gln_texture_key(GlnTexture texture) {
  static const char *const keys[] = {
#define GLN_TEXTURE_KEY(name, key, words) key,
      GLN_TEXTURE_LIST(GLN_TEXTURE_KEY)
#undef GLN_TEXTURE_KEY
  };
  return keys[texture];
}

const char *gln_texture_words(GlnTexture texture) {
  static const char *const all_words[] = {
#define GLN_TEXTURE_WORDS(name, key, words) words,
      GLN_TEXTURE_LIST(GLN_TEXTURE_WORDS)
#undef GLN_TEXTURE_WORDS
  };
  return all_words[texture];
}
