/* Textbook progressions read right in all twelve keys. Common practice, no published source, unless said. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include <string.h>

#include "harmony/steps.h"

/* "V7/ii:secondary-dominant ..." for the chords of one progression, one chord a bar. */
typedef struct Progression {
  const char *name;
  const char *chords; /* written in C or C minor */
  bool minor;
  const char *numerals;
  const char *roles;
} Progression;

#define D   "diatonic"
#define II  "two-five"
#define V   "two-five"
#define SEC "secondary-dominant"
#define REL "related-ii"
#define TRI "tritone-substitute"
#define BOR "borrowed"
#define BLU "blues"
#define DIM "leading-diminished"
#define PED "pedal"
#define _   " "

static const Progression progressions[] = {
    {"ii-V-I major", "Dm7 G7 Cmaj7 Cmaj7", false, "ii7 V7 Imaj7 Imaj7", II _ V _ D _ D},
    {"ii-V-I with a sus chord", "Dm9 G7sus4 G7b9 C6/9", false, "ii7 V7sus4 V7 I6", II _ V _ V _ D},
    {"ii-V-I with the V as a slash chord", "Dm7 F/G G7 Cmaj7 C", false, "ii7 V7sus4 V7 Imaj7 I",
     II _ V _ V _ D _ D},
    {"ii-V-i minor", "Dm7b5 G7 Cm7 Cm7", true, "iiø7 V7 i7 i7", II _ V _ D _ D},
    {"ii-V-i minor, altered", "Cm6 Dm7b5 G7alt Cm(maj7)", true, "i6 iiø7 V7 i(maj7)", D _ II _ V _ D},
    /* Turnarounds: standard jazz texts (values from memory). */
    {"turnaround I-vi-ii-V", "C Am7 Dm7 G7 C", false, "I vi7 ii7 V7 I", D _ D _ II _ V _ D},
    {"turnaround I-VI7-ii7-V7", "C A7 D7 G7 C", false, "I V7/ii V7/V V7 I", D _ SEC _ SEC _ D _ D},
    {"turnaround iii-VI-ii-V", "Em7 A7 Dm7 G7 C C", false, "iii7 V7/ii ii7 V7 I I", D _ SEC _ II _ V _ D _ D},
    {"turnaround with passing diminished", "C C#dim7 Dm7 G7 C", false, "I vii°7/ii ii7 V7 I",
     D _ DIM _ II _ V _ D},
    {"turnaround in tritone substitutes", "C Eb7 Abmaj7 Db7 C", false, "I V7/♭VI ♭VImaj7 ♭II7 I",
     D _ SEC _ BOR _ TRI _ D},
    {"backdoor", "C Fm7 Bb7 C C", false, "I iv7 ♭VII7 I I", D _ BOR _ "backdoor-dominant" _ D _ D},
    {"tritone substitute", "Dm7 Db7 Cmaj7 Cmaj7", false, "ii7 ♭II7 Imaj7 Imaj7", D _ TRI _ D _ D},
    {"tritone substitute with its own ii", "Cmaj7 Abm7 Db7 Cmaj7 Dm7 G7 Cmaj7", false,
     "Imaj7 ♭vi7 ♭II7 Imaj7 ii7 V7 Imaj7", D _ REL _ TRI _ D _ II _ V _ D},
    {"related ii", "C Em7b5 A7 Dm7 G7 C", false, "I iiø7/ii V7/ii ii7 V7 I", D _ REL _ SEC _ II _ V _ D},
    {"to IV through its own ii-V", "Cmaj7 Gm7 C7 Fmaj7 Fm6 Cmaj7 Dm7 G7 Cmaj7", false,
     "Imaj7 ii7/IV V7/IV IVmaj7 iv6 Imaj7 ii7 V7 Imaj7", D _ REL _ SEC _ D _ BOR _ D _ II _ V _ D},
    {"a passing ii-V to flat VII", "Cmaj7 Dm7 G7 Cmaj7 Cm7 F7 Bbmaj7 Bbmaj7 Dm7 G7 Cmaj7 Cmaj7", false,
     "Imaj7 ii7 V7 Imaj7 ii7/♭VII V7/♭VII ♭VIImaj7 ♭VIImaj7 ii7 V7 Imaj7 Imaj7",
     D _ II _ V _ D _ REL _ SEC _ BOR _ BOR _ II _ V _ D _ D},
    {"twelve-bar blues", "C7 F7 C7 C7 F7 F7 C7 A7 Dm7 G7 C7 G7", false,
     "I7 IV7 I7 I7 IV7 IV7 I7 V7/ii ii7 V7 I7 V7",
     BLU _ BLU _ BLU _ BLU _ BLU _ BLU _ BLU _ SEC _ II _ V _ BLU _ D},
    {"twelve-bar blues, its jazz form", "C7 F7 C7 C7 F7 F#dim7 C7 A7 Dm7 G7 C7 G7", false,
     "I7 IV7 I7 I7 IV7 ♯iv°7 I7 V7/ii ii7 V7 I7 V7",
     BLU _ BLU _ BLU _ BLU _ BLU _ "passing-diminished" _ BLU _ SEC _ II _ V _ BLU _ D},
    {"blues in its oldest form", "C7 C7 C7 C7 F7 F7 C7 C7 G7 F7 C7 C7", false,
     "I7 I7 I7 I7 IV7 IV7 I7 I7 V7 IV7 I7 I7",
     BLU _ BLU _ BLU _ BLU _ BLU _ BLU _ BLU _ BLU _ D _ BLU _ BLU _ BLU},
    {"minor blues", "Cm7 Cm7 Cm7 Cm7 Fm7 Fm7 Cm7 Cm7 Ab7 G7 Cm7 G7", true,
     "i7 i7 i7 i7 iv7 iv7 i7 i7 ♭II7/V V7 i7 V7", D _ D _ D _ D _ D _ D _ D _ D _ TRI _ D _ D _ D},
    {"chain of dominants", "C6 Dm7 G7 C6 E7 E7 A7 A7 D7 D7 G7 G7 C6 Dm7 G7 C6", false,
     "I6 ii7 V7 I6 V7/vi V7/vi V7/ii V7/ii V7/V V7/V V7 V7 I6 ii7 V7 I6",
     D _ II _ V _ D _ SEC _ SEC _ SEC _ SEC _ SEC _ SEC _ D _ D _ D _ II _ V _ D},
    {"minor line cliché", "Cm Cm(maj7) Cm7 Cm6 Dm7b5 G7 Cm", true, "i i(maj7) i7 i6 iiø7 V7 i",
     D _ D _ D _ D _ II _ V _ D},
    {"major line cliché", "C Cmaj7 C7 F Fm6 C G7 C", false, "I Imaj7 V7/IV IV iv6 I V7 I",
     D _ D _ SEC _ D _ BOR _ D _ D _ D},
    {"loop I-vi-IV-V", "C Am F G C Am F G", false, "I vi IV V I vi IV V", D _ D _ D _ D _ D _ D _ D _ D},
    {"loop I-V-vi-IV", "C G Am F C G Am F", false, "I V vi IV I V vi IV", D _ D _ D _ D _ D _ D _ D _ D},
    {"loop vi-IV-V-I", "Am F G C Am F G C", false, "vi IV V I vi IV V I", D _ D _ D _ D _ D _ D _ D _ D},
    {"mixolydian loop", "C Bb F C C Bb F C", false, "I ♭VII IV I I ♭VII IV I",
     D _ BOR _ D _ D _ D _ BOR _ D _ D},
    {"dorian vamp", "Cm7 F7 Cm7 F7 Cm7 F7 Cm7 F7", true, "i7 IV7 i7 IV7 i7 IV7 i7 IV7",
     D _ D _ D _ D _ D _ D _ D _ D},
    {"andalusian descent", "Cm Bb Ab G Cm Bb Ab G", true, "i ♭VII ♭VI V i ♭VII ♭VI V",
     D _ D _ D _ D _ D _ D _ D _ D},
    {"over a pedal", "C F/C G/C C Dm7 G7 C", false, "I IV V I ii7 V7 I", D _ PED _ PED _ D _ II _ V _ D},
    {"over a dominant pedal", "C Dm7/G G7 Dm7/G G7 C", false, "I V7sus4 V7 V7sus4 V7 I",
     D _ D _ D _ D _ D _ D},
    {"common-tone diminished", "C Cdim7 C Dm7 G7 C", false, "I i°7 I ii7 V7 I",
     D _ "common-tone-diminished" _ D _ II _ V _ D},
    {"passing diminished going down", "Cmaj7 Em7 Ebdim7 Dm7 G7 Cmaj7", false,
     "Imaj7 iii7 ♭iii°7 ii7 V7 Imaj7", D _ D _ "passing-diminished" _ II _ V _ D},
    {"deceptive close", "C F G7 Am Dm7 G7 C", false, "I IV V7 vi ii7 V7 I", D _ D _ D _ D _ II _ V _ D},
    {"minor with its relative major", "Cm Fm7 Bb7 Ebmaj7 Abmaj7 Dm7b5 G7 Cm Cm", true,
     "i iv7 ♭VII7 ♭IIImaj7 ♭VImaj7 iiø7 V7 i i", D _ D _ D _ D _ D _ II _ V _ D _ D},
};

#undef D
#undef II
#undef V
#undef SEC
#undef REL
#undef TRI
#undef BOR
#undef BLU
#undef DIM
#undef PED
#undef _

static GlnText word_at(const char *words, size_t index) {
  for (size_t i = 0; i < index; i++)
    words = strchr(words, ' ') + 1;
  return (GlnText){words, strcspn(words, " ")};
}

/* Every fault of a progression is printed; returns how many there are. */
static int fault(const char *name, size_t index, GlnText wanted, const char *got) {
  if (gln_text_equal(wanted, gln_text(got)))
    return 0;
  print_error("%s, chord %zu: expected %.*s, got %s\n", name, index + 1, (int)wanted.length, wanted.at, got);
  return 1;
}

static int faults_in_key(const Progression *progression, GlnNote tonic) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps(progression->chords, tonic, store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  const GlnRegion *region = &analysis->regions[0];
  char key[GLN_KEY_TEXT_MAX], wanted[GLN_KEY_TEXT_MAX];
  gln_key_print(region->key, GLN_SIGNS_ASCII, key);
  gln_key_print((GlnKey){region->key.tonic, progression->minor}, GLN_SIGNS_ASCII, wanted);
  int faults = fault(progression->name, 0, gln_text(wanted), key);
  if (analysis->region_count != 1 || !region->clear ||
      gln_note_pitch_class(region->key.tonic) != gln_note_pitch_class(tonic)) {
    print_error("%s: %zu regions, the first in %s%s\n", progression->name, analysis->region_count, key,
                region->clear ? "" : ", not clear");
    faults++;
  }
  for (size_t i = 0; i < count; i++) {
    const GlnReading *reading = &analysis->readings[i];
    faults += fault(progression->name, i, word_at(progression->numerals, i), reading->roman);
    faults += fault(progression->name, i, word_at(progression->roles, i), gln_place_key(reading->role));
  }
  gln_arena_free(arena);
  return faults;
}

static void textbook_progressions_read_right_in_all_keys(void **state) {
  (void)state;
  int faults = 0;
  for (size_t i = 0; i < GLN_COUNT_OF(progressions); i++)
    for (int tonic = 0; tonic < 12; tonic++)
      faults += faults_in_key(&progressions[i], roots[tonic]);
  assert_int_equal(faults, 0);
}

/* Functions in major: tonic I III VI, subdominant II IV, dominant V VII (standard harmony texts). */
static void chords_of_the_key_have_their_functions(void **state) {
  (void)state;
  static const GlnFunction functions[] = {
      GLN_FUNCTION_TONIC,    GLN_FUNCTION_SUBDOMINANT, GLN_FUNCTION_TONIC,    GLN_FUNCTION_SUBDOMINANT,
      GLN_FUNCTION_DOMINANT, GLN_FUNCTION_TONIC,       GLN_FUNCTION_DOMINANT, GLN_FUNCTION_TONIC};
  static const char *const chords[] = {"C Dm Em F G Am Bdim C", "Cmaj7 Dm7 Em7 Fmaj7 G7 Am7 Bm7b5 Cmaj7"};
  for (size_t i = 0; i < GLN_COUNT_OF(chords); i++)
    for (int tonic = 0; tonic < 12; tonic++) {
      GlnArena *arena = gln_arena_new(NULL, 0);
      GlnChord store[STEPS_MAX];
      GlnStep steps[STEPS_MAX];
      size_t count = read_steps(chords[i], roots[tonic], store, steps);
      GlnAnalysis *analysis = NULL;
      const GlnKey key = {roots[tonic], false};
      assert_int_equal(gln_harmony_analyse(steps, count, &key, arena, &analysis), GLN_OK);
      assert_int_equal(count, GLN_COUNT_OF(functions));
      for (size_t at = 0; at < count; at++)
        assert_int_equal(analysis->readings[at].function, functions[at]);
      gln_arena_free(arena);
    }
}

static void one_chord_has_no_key(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps("C7 C7 C7 C7", roots[0], store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(analysis->region_count, 1);
  assert_false(analysis->regions[0].clear);
  assert_string_equal(analysis->readings[0].roman, "");
  gln_arena_free(arena);
}

static void chords_without_a_home_have_no_key(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps("Cmaj7 F#m7b5 Ebaug Dbm7 Aaug Bbm(maj7) E7#9 Gdim7 Abmaj7#5 Dm7b5 F#aug Cm7",
                            roots[0], store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(analysis->region_count, 1);
  assert_false(analysis->regions[0].clear);
  assert_int_equal(analysis->regions[0].count, count);
  for (size_t i = 0; i < count; i++)
    assert_string_equal(analysis->readings[i].roman, "");
  gln_arena_free(arena);
}

static void silence_alone_has_no_region(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps("N.C. N.C.", roots[0], store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(analysis->region_count, 0);
  gln_arena_free(arena);
}

static void a_move_to_another_key_is_a_region_with_a_pivot(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnChord store[STEPS_MAX];
  GlnStep steps[STEPS_MAX];
  size_t count = read_steps("Cmaj7 Am7 Dm7 G7 Cmaj7 Cmaj7 Fm7 Bb7 Ebmaj7 Ebmaj7 Abmaj7 Bb7 Ebmaj7 Ebmaj7",
                            roots[0], store, steps);
  GlnAnalysis *analysis = NULL;
  assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
  assert_int_equal(analysis->region_count, 2);
  assert_int_equal(gln_note_pitch_class(analysis->regions[0].key.tonic), 0);
  assert_int_equal(gln_note_pitch_class(analysis->regions[1].key.tonic), 3);
  assert_int_equal(analysis->regions[1].first, 6);
  assert_string_equal(analysis->readings[6].roman, "ii7");
  gln_arena_free(arena);
}

/* A passage in the dominant's key, and home again by the cadence on which the song ends (common practice). */
static void the_last_cadence_brings_the_key_home(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  for (size_t tonic = 0; tonic < GLN_COUNT_OF(roots); tonic++) {
    GlnChord store[STEPS_MAX];
    GlnStep steps[STEPS_MAX];
    size_t count = read_steps("Cmaj7 Am7 Dm7 G7 Cmaj7 D7 Gmaj7 Em7 Am7 D7 Gmaj7 Gmaj7 Bm7b5 E7 Am6 Am6 "
                              "Dm7 G7 Cmaj7 Cmaj7",
                              roots[tonic], store, steps);
    GlnAnalysis *analysis = NULL;
    assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &analysis), GLN_OK);
    int home = gln_note_pitch_class(roots[tonic]);
    assert_int_equal(analysis->region_count, 3);
    assert_int_equal(gln_note_pitch_class(analysis->regions[0].key.tonic), home);
    assert_int_equal(gln_note_pitch_class(analysis->regions[1].key.tonic), (home + 7) % 12);
    assert_int_equal(gln_note_pitch_class(analysis->regions[2].key.tonic), home);
    assert_int_equal(analysis->regions[2].first, 16);
  }
  gln_arena_free(arena);
}

/* vi–IV–I–V, or i–♭VI–♭III–♭VII: the chords alone do not say. Both are shown, and the author's word decides. */
static void a_loop_of_two_minds_shows_both(void **state) {
  (void)state;
  for (int tonic = 0; tonic < 12; tonic++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnChord store[STEPS_MAX];
    GlnStep steps[STEPS_MAX];
    size_t count = read_steps("Am F C G Am F C G", roots[tonic], store, steps);
    const GlnKey major = {roots[tonic], false};
    GlnAnalysis *alone = NULL, *stated = NULL;
    assert_int_equal(gln_harmony_analyse(steps, count, NULL, arena, &alone), GLN_OK);
    assert_int_equal(gln_harmony_analyse(steps, count, &major, arena, &stated), GLN_OK);
    assert_string_equal(alone->readings[0].roman, "i");
    assert_string_equal(stated->readings[0].roman, "vi");
    bool shown = false;
    for (size_t a = 0; a < alone->regions[0].alternative_count; a++)
      shown = shown || (!alone->regions[0].alternatives[a].key.minor &&
                        gln_note_equal(alone->regions[0].alternatives[a].key.tonic, roots[tonic]));
    assert_true(shown);
    gln_arena_free(arena);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(textbook_progressions_read_right_in_all_keys),
      cmocka_unit_test(chords_of_the_key_have_their_functions),
      cmocka_unit_test(a_loop_of_two_minds_shows_both),
      cmocka_unit_test(one_chord_has_no_key),
      cmocka_unit_test(chords_without_a_home_have_no_key),
      cmocka_unit_test(silence_alone_has_no_region),
      cmocka_unit_test(a_move_to_another_key_is_a_region_with_a_pivot),
      cmocka_unit_test(the_last_cadence_brings_the_key_home),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
