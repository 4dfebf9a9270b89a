/* Inside the harmony room: classes as bits, the table of readings and how one is looked up. */
#ifndef GLN_HARMONY_INTERNAL_H
#define GLN_HARMONY_INTERNAL_H

#include "harmony.h"

#define GLN_CLASS_BIT(class) ((uint16_t)(1u << (class)))

/* A step reduced to what the rules look at. */
typedef struct GlnSlice {
  int8_t root;    /* pitch class, -1 silent */
  int8_t bass;    /* pitch class of the lowest note */
  bool sus_slash; /* F/G or Dm7/G: heard as G9sus4, so root is the bass */
  bool on_pedal;  /* its own root is not the bass, which stays under several chords */
  GlnClass class;
  double weight; /* in bars of four quarters, capped */
  size_t step;   /* index into the steps */
  bool phrase_starts;
  bool opens_four_bars; /* on the first of every four bars counted from the section's start */
} GlnSlice;

/* The root that is heard, as spelled. */
GlnNote gln_slice_root(const GlnStep *steps, const GlnSlice *slice);

/* Where a chord goes: how the root of the next chord that has another root lies above this one. */
typedef enum GlnGoes {
  GLN_GOES_ANYWHERE,
  GLN_GOES_FIFTH_DOWN,     /* +5 semitones */
  GLN_GOES_SEMITONE_DOWN,  /* -1 */
  GLN_GOES_SEMITONE_UP,    /* +1 */
  GLN_GOES_NOWHERE_NEW,    /* same root, other class: common-tone diminished */
  GLN_GOES_HOME,           /* to the tonic */
  GLN_GOES_AFTER_II,       /* anywhere, but it comes from its own ii: a minor chord a fifth above */
  GLN_GOES_FIFTH_AFTER_II, /* both: a whole ii–V–I */
  GLN_GOES_AFTER_V,        /* anywhere, but it comes from its own dominant seventh */
  GLN_GOES_BELOW_LEADING /* a third, fifth or seventh of the diminished seventh a semitone below the next root */
} GlnGoes;

typedef struct GlnRule {
  uint8_t modes;    /* bit 0 major, bit 1 minor */
  uint16_t roots;   /* bit n: root n semitones above the tonic */
  uint16_t classes; /* GLN_CLASS_BIT */
  GlnGoes goes;
  uint16_t next_classes; /* 0: any */
  bool next_diatonic;    /* the next chord's root must be a degree of the key, the tonic itself excepted where
                            applied */
  bool applied;          /* the numeral is written over the next chord's: V7/ii */
  float cost;            /* how far from the plain key: docs/harmony.md */
  GlnFunction function;
  GlnPlaceRole role;
  const char *reason;
} GlnRule;

extern const GlnRule gln_rules[];
extern const size_t gln_rule_count;

/* Scale degrees as bits above the tonic. */
uint16_t gln_scale_bits(bool minor);
/* The pitch classes of the key's scale. */
uint16_t gln_key_classes(GlnKey key);

/* The cheapest rule for slice i in the key (tonic pitch class), NULL for none. without: a role to leave out,
 * GLN_PLACE_COUNT for none. */
const GlnRule *gln_rule_find(const GlnSlice *slices, size_t count, size_t i, int tonic, bool minor,
                             GlnPlaceRole without);
/* Index of the next slice with another root than i, count when none; and of the last before it, SIZE_MAX. */
size_t gln_next_root(const GlnSlice *slices, size_t count, size_t i);
size_t gln_last_root(const GlnSlice *slices, size_t i);

/* The note; as the key has that pitch where it needs more than one accidental; F for E♯, and its like, where the key
 * has no such note. */
GlnNote gln_note_plain(GlnNote note, GlnKey key);
/* The chord of a root and a suffix over a bass (NULL: none) as the chord reader reads it; false when it does not. */
bool gln_rule_chord(GlnNote root, const char *suffix, const GlnNote *bass, GlnChord *chord);

#define GLN_KEYS 24 /* 0..11 major on that pitch class, 12..23 minor */

/* The cheapest walk through the keys: the key of each slice, and what each slice costs in every key. */
typedef struct GlnKeyWalk {
  int8_t *key;
  double (*cost)[GLN_KEYS];
} GlnKeyWalk;
/* What slice i costs in a key: its cheapest reading, and what speaks for the key where it stands (negative). The
 * first looks at the slices before and after it, the second at two before. */
double gln_slice_reading_cost(const GlnSlice *slices, size_t count, size_t i, int key);
double gln_slice_evidence(const GlnSlice *slices, size_t count, size_t i, int key);
/* What a tritone substitute that falls to the tonic says, as a cadence does. For choosing between the two names of one
 * grip: where chords are given the key walk does without it, for ♭II7 in popular songs is more often no dominant (it
 * cost agreement with annotated keys). */
double gln_substitute_evidence(const GlnSlice *slices, size_t i, int key);
double gln_key_change_cost(int from, int to, bool phrase_starts);
GLN_MUST_USE GlnStatus gln_key_walk(const GlnSlice *slices, size_t count, const GlnKey *stated,
                                    GlnArena *arena, GlnKeyWalk *walk);
/* Is a key worth naming for slices first up to end? */
bool gln_key_is_clear(const GlnKeyWalk *walk, const GlnSlice *slices, size_t count, size_t first, size_t end);

/* Steps as slices, the silent ones left out; returns how many. */
size_t gln_slice_steps(const GlnStep *steps, size_t count, GlnSlice *slices);
/* The tonic as the steps spell it where one of them has that root; else the simpler signature. */
GlnKey gln_key_named(const GlnStep *steps, const GlnSlice *slices, size_t count, int key);

/* Writes the numeral of slice i in the key: "V7/ii". */
void gln_roman_print(const GlnStep *steps, const GlnSlice *slices, size_t count, size_t i, GlnKey key,
                     const GlnRule *rule, char out[GLN_ROMAN_TEXT_MAX]);

#endif
