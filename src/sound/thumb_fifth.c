/* The note that the thumb plays in turn with the bass, where the left hand can have it. */
#include "sound_internal.h"

/* How much harder than the grip itself the grip with its fifth may be, of a difficulty from 0 to 1. Design
 * choice: it lets the ring finger of an open C cross to string 6 and a barre reach one string further, and
 * refuses a stretch of the little finger over four frets. */
#define HARDER_AT_MOST 0.25F
/* Strings that the thumb takes: all but the highest two. Common practice, no published source. */
#define FINGER_STRINGS 2

/* How a fifth is had, best first. */
typedef enum Way { WAY_HELD, WAY_OPEN, WAY_BARRE, WAY_MOVES, WAY_IDLE, WAY_NONE } Way;

typedef struct Search {
  const GlnInstrument *instrument;
  const GlnHand *hand;
  const GlnGrip *grip;
} Search;

/* The pitch class to alternate with: the chord's fifth, or the root when the bass is the fifth; -1 when the
 * bass is neither (a third or a foreign bass is a line of its own, which the thumb leaves alone). */
static int wanted_class(const GlnGrip *grip, const GlnChord *chord) {
  int bass = grip->midi[grip->bass_string] % 12;
  int root = gln_note_pitch_class(chord->root), fifth = -1;
  for (int i = 0; i < chord->tone_count; i++)
    if (chord->tones[i].degree.number == 5 && (fifth < 0 || grip->tones >> i & 1))
      fifth = chord->tones[i].pitch_class;
  if (bass == root)
    return fifth;
  return bass == fifth ? root : -1;
}

static bool finger_is_idle(const GlnGrip *grip, int finger) {
  for (int i = 0; i < grip->frets.string_count; i++)
    if (grip->frets.fret[i] > 0 && grip->fingering.finger[i] == finger)
      return false;
  return true;
}

/* Whether this hand holds the grip with the fret stopped by the finger, the bass kept or let go. */
static bool can_hold(const Search *search, int string, int fret, int finger, bool bass_goes) {
  const GlnGrip *grip = search->grip;
  GlnFrets frets = grip->frets;
  int8_t fingers[GLN_STRINGS_MAX];
  for (int i = 0; i < GLN_STRINGS_MAX; i++)
    fingers[i] = grip->fingering.finger[i];
  frets.fret[string] = (int8_t)fret;
  fingers[string] = (int8_t)finger;
  if (bass_goes) {
    frets.fret[grip->bass_string] = GLN_NOT_PLAYED;
    fingers[grip->bass_string] = 0;
  }
  GlnFingering judged;
  const char *why;
  GlnStatus status = gln_fingering_judge(search->instrument, search->hand, &frets, fingers, &judged, &why);
  return status == GLN_OK && judged.difficulty <= grip->fingering.difficulty + HARDER_AT_MOST;
}

/* The best way to have this fret on a string that the grip does not play. */
static Way way_to_stop(const Search *search, int string, int fret, GlnThumbNote *note) {
  const GlnGrip *grip = search->grip;
  int bass_finger = grip->fingering.finger[grip->bass_string];
  int bass_fret = grip->frets.fret[grip->bass_string];
  *note = (GlnThumbNote){.string = (int8_t)string, .fret = (int8_t)fret};
  for (int i = 0; i < grip->fingering.barre_count; i++) {
    note->finger = grip->fingering.barres[i].finger;
    if (grip->fingering.barres[i].fret == fret && can_hold(search, string, fret, note->finger, false))
      return WAY_BARRE;
  }
  if (bass_fret > 0) {
    note->finger = (int8_t)bass_finger;
    note->finger_moves = true;
    if (can_hold(search, string, fret, bass_finger, true))
      return WAY_MOVES;
    note->finger_moves = false;
  }
  for (int finger = 1; finger <= search->hand->fingers; finger++) {
    note->finger = (int8_t)finger;
    if (finger_is_idle(grip, finger) && can_hold(search, string, fret, finger, false))
      return WAY_IDLE;
  }
  return WAY_NONE;
}

/* Under a barre an open string does not sound. */
static bool under_barre(const GlnGrip *grip, int string) {
  for (int i = 0; i < grip->fingering.barre_count; i++)
    if (string >= grip->fingering.barres[i].low_string && string <= grip->fingering.barres[i].high_string)
      return true;
  return false;
}

static Way way_on_string(const Search *search, int string, int fret, GlnThumbNote *note) {
  const GlnGrip *grip = search->grip;
  *note = (GlnThumbNote){
      .string = (int8_t)string, .fret = (int8_t)fret, .finger = grip->fingering.finger[string]};
  if (grip->frets.fret[string] == fret)
    return WAY_HELD;
  if (grip->frets.fret[string] != GLN_NOT_PLAYED)
    return WAY_NONE;
  if (fret > 0)
    return way_to_stop(search, string, fret, note);
  note->finger = 0;
  return under_barre(grip, string) ? WAY_NONE : WAY_OPEN;
}

GlnStatus gln_thumb_fifth(const GlnInstrument *instrument, const GlnHand *hand, const GlnGrip *grip,
                          const GlnChord *chord, GlnThumbNote *note) {
  const Search search = {instrument, hand, grip};
  int wanted = wanted_class(grip, chord);
  if (wanted < 0)
    return GLN_NO;
  int bass = grip->midi[grip->bass_string];
  int below =
      bass - (bass - wanted % 12 + 120) % 12; /* nearest pitch of this class below the bass, then above */
  for (int step = 0; step < 2; step++) {
    int midi = below + 12 * step;
    Way best = WAY_NONE;
    for (int string = 0; string < instrument->string_count - FINGER_STRINGS; string++) {
      int fret = midi - gln_sounding_midi(instrument, string, 0); /* above where the string begins */
      if (fret > 0)
        fret += gln_first_fret(instrument, string) - 1;
      if (string == grip->bass_string || fret < 0 ||
          fret > instrument->fret_count - gln_frets_from(instrument))
        continue;
      GlnThumbNote candidate;
      Way way = way_on_string(&search, string, fret, &candidate);
      if (way < best) {
        best = way;
        *note = candidate;
      }
    }
    if (best != WAY_NONE)
      return GLN_OK;
  }
  return GLN_NO;
}
