/* Readings: what a chord may be played as when grips are few. A chord may be held on a usual grip of a simpler chord on
 * its root, or of another chord of the song, at a price for every tone that it then lacks and every tone that is not its
 * own. docs/reduce.md states the rule; every grip that it admits is a candidate. */
#include "line_job.h"

#include <string.h>

/* Points a chord, beside what the grip costs for the chord it sounds. Design choices, tuned on examples/: a grip that
 * sounds another chord is never taken for its ease alone, and a clash weighs as much as three lost tensions. */
static const struct {
  double any;                               /* it is not the chord that is written */
  double must_lost, colour_lost, root_lost; /* for each tone, by its role */
  double foreign, clash;                    /* for each tone that is not the chord's */
  double bass_turned, bass_foreign;         /* the lowest note is another of the chord's, or none of them */
} price = {
    .any = 1.0,
    .must_lost = 0.8,
    .colour_lost = 0.4,
    .root_lost = 0.2,
    .foreign = 0.6,
    .clash = 1.4,
    .bass_turned = 0.5,
    .bass_foreign = 0.9,
};
#define CLASHES_MAX 1
#define USUAL_SOUND                                                                                          \
  0.35 /* a grip is usual when it lacks no more for the chord it sounds (gln_sound_cost) … */
#define USUAL_HOLD       0.60 /* … and is no harder to hold. Design choices */
#define SIMPLE_TONES_MAX 4    /* of a simpler chord */

/* A grip that may serve chords it does not belong to. */
typedef struct Offer {
  const GlnGrip *grip;
  const GlnChord *as;
  unsigned classes; /* pitch classes that sound */
  int bass;         /* pitch class of the lowest */
} Offer;

typedef struct Pool {
  const GlnLineJob *job;
  GlnArena *arena;
  GlnSlotWish wish; /* of those that may take from it */
  GlnChord *chords; /* those whose grips are offered */
  size_t chord_count, chord_room;
  Offer *offers;
  size_t offer_count, offer_room;
} Pool;

/* ---- the price ------------------------------------------------------------------------------------------------- */

static bool has_class(unsigned classes, int pitch_class) {
  return (classes >> ((pitch_class + 12) % 12) & 1U) != 0;
}

/* A foreign tone a semitone above a tone of the chord (common practice, no published source), or the other third. */
static bool clashes(unsigned own, int root, int pitch_class) {
  int above_root = (pitch_class - root + 12) % 12;
  return has_class(own, pitch_class - 1) || (above_root == 3 && has_class(own, pitch_class + 1));
}

static double lost_price(const GlnChord *chord, unsigned classes) {
  unsigned groups = 0;
  double sum = 0;
  for (int t = 0; t < chord->tone_count; ++t)
    if (chord->tones[t].group > 0 && has_class(classes, chord->tones[t].pitch_class))
      groups |= 1U << chord->tones[t].group;
  for (int t = 0; t < chord->tone_count; ++t) {
    const GlnTone *tone = &chord->tones[t];
    if (has_class(classes, tone->pitch_class) || (tone->group > 0 && (groups >> tone->group & 1U) != 0))
      continue;
    if (t == chord->root_tone)
      sum += price.root_lost;
    else if (tone->role == GLN_ROLE_MUST)
      sum += price.must_lost;
    else if (tone->role == GLN_ROLE_COLOUR)
      sum += price.colour_lost;
  }
  return sum;
}

bool gln_reading_price(const GlnChord *chord, unsigned classes, int bass, bool any_bass, double *points) {
  unsigned own = gln_chord_pitch_classes(chord), foreign = classes & ~own;
  int root = gln_note_pitch_class(chord->root), clash_count = 0;
  double sum = price.any + lost_price(chord, classes);
  for (int pitch_class = 0; pitch_class < 12; ++pitch_class) {
    if (!has_class(foreign, pitch_class))
      continue;
    bool clash = clashes(own, root, pitch_class);
    clash_count += clash ? 1 : 0;
    sum += clash ? price.clash : price.foreign;
  }
  if (!any_bass && bass != gln_note_pitch_class(chord->bass))
    sum += has_class(own, bass) ? price.bass_turned : price.bass_foreign;
  *points = sum;
  int shared = gln_bit_count(classes & own);
  return clash_count <= CLASHES_MAX && shared >= gln_bit_count(foreign) && (shared >= 2 || bass == root);
}

/* ---- what is offered ------------------------------------------------------------------------------------------- */

static bool add_chord(Pool *pool, const GlnChord *chord) {
  for (size_t c = 0; c < pool->chord_count; ++c)
    if (gln_chord_equal(&pool->chords[c], chord))
      return false;
  if (pool->chord_count == pool->chord_room)
    return false; /* cannot be: room is for every form of every chord */
  pool->chords[pool->chord_count++] = *chord;
  return true;
}

/* Chords on the root of this one that hold some of its tones and no other; and the bare fifth, which goes with all but
 * those that have another fifth. */
static void add_simpler(Pool *pool, const GlnChord *chord) {
  unsigned own = gln_chord_pitch_classes(chord);
  for (size_t q = 0; q < gln_quality_count(); ++q) {
    GlnChord simpler;
    if (gln_chord_build(chord->root, q, NULL, &simpler) != GLN_OK)
      continue;
    unsigned classes = gln_chord_pitch_classes(&simpler);
    bool fifth = strcmp(gln_quality_at(q)->suffix, "5") == 0;
    if (simpler.tone_count >= 2 && simpler.tone_count <= SIMPLE_TONES_MAX && classes != own &&
        (fifth || (classes & ~own) == 0))
      (void)add_chord(pool, &simpler);
  }
}

static GlnStatus add_offer(Pool *pool, const GlnGrip *grip, const GlnChord *as) {
  if (pool->offer_count == pool->offer_room) {
    size_t room = pool->offer_room == 0 ? 512 : 2 * pool->offer_room;
    Offer *wider = GLN_NEW(pool->arena, Offer, room);
    if (wider == NULL)
      return GLN_MEMORY;
    if (pool->offer_count > 0)
      memcpy(wider, pool->offers, pool->offer_count * sizeof *wider);
    pool->offers = wider;
    pool->offer_room = room;
  }
  Offer *offer = &pool->offers[pool->offer_count++];
  *offer = (Offer){.grip = grip, .as = as, .bass = grip->midi[grip->bass_string] % 12};
  for (int s = 0; s < grip->frets.string_count; ++s)
    if (grip->frets.fret[s] >= 0)
      offer->classes |= 1U << grip->midi[s] % 12;
  return GLN_OK;
}

static GlnStatus offer_grips_of(Pool *pool, const GlnChord *chord) {
  const GlnEvent event = {.chord = *chord};
  GlnGripQuery query = gln_candidates_query(&event, pool->wish, pool->job->options);
  GlnGripList list;
  query.chord = chord;
  GLN_TRY(gln_grip_search(&query, pool->arena, &list));
  for (size_t g = 0; g < list.count; ++g) {
    const GlnGrip *grip = &list.grips[g];
    if ((double)grip->fingering.difficulty <= USUAL_HOLD &&
        gln_sound_cost(&pool->job->options->instrument, chord, grip, pool->job->plain) <= USUAL_SOUND)
      GLN_TRY(add_offer(pool, grip, chord));
  }
  return GLN_OK;
}

static GlnStatus fill_pool(Pool *pool) {
  size_t count = 0;
  for (const GlnLineSet *set = pool->job->sets; set != NULL; set = set->next)
    ++count;
  pool->chord_room = count * (1 + gln_quality_count());
  pool->chords = GLN_NEW(pool->arena, GlnChord, pool->chord_room);
  if (pool->chords == NULL)
    return GLN_MEMORY;
  for (const GlnLineSet *set = pool->job->sets; set != NULL; set = set->next) {
    if (set->event->pin.length == 0)
      (void)add_chord(pool, &set->event->chord);
    else
      GLN_TRY(add_offer(pool, &set->list.grips[0], set->chord));
  }
  for (const GlnLineSet *set = pool->job->sets; set != NULL; set = set->next)
    add_simpler(pool, &set->event->chord);
  for (size_t c = 0; c < pool->chord_count; ++c)
    GLN_TRY(offer_grips_of(pool, &pool->chords[c]));
  return GLN_OK;
}

/* ---- for one chord --------------------------------------------------------------------------------------------- */

/* Frets already taken, as an open hash; a fret and 2 fit a byte, so that 0 is an empty place. */
typedef struct Taken {
  uint64_t *keys;
  size_t places;
} Taken;

static bool take(const Taken *taken, const GlnFrets *frets) {
  uint64_t key = 0;
  for (int s = 0; s < frets->string_count; ++s)
    key = key << 8 | (uint64_t)(frets->fret[s] + 2);
  size_t at =
      (size_t)(key * 11400714819323198485U >> 20) & (taken->places - 1); /* Knuth's multiplicative hash */
  while (taken->keys[at] != 0 && taken->keys[at] != key)
    at = (at + 1) & (taken->places - 1);
  if (taken->keys[at] == key)
    return false;
  taken->keys[at] = key;
  return true;
}

static bool may_stand(const Pool *pool, const GlnEvent *event, const Offer *offer, double *points) {
  bool any_bass = pool->job->options->bass_wish == GLN_BASS_ANY;
  return gln_candidates_top_fits(event, offer->grip) &&
         gln_reading_price(&event->chord, offer->classes, offer->bass, any_bass, points);
}

/* Simpler forms of the chord itself come before other chords: of equal frets the first is kept. */
static GlnStatus add_readings(const Pool *pool, GlnLineSet *set) {
  GlnGripList *list = &set->list;
  size_t room = list->count + pool->offer_count;
  Taken taken = {.places = 64};
  while (taken.places < 2 * room)
    taken.places *= 2;
  taken.keys = GLN_NEW(pool->arena, uint64_t, taken.places);
  GlnGrip *grips = GLN_NEW(pool->arena, GlnGrip, room);
  set->readings = GLN_NEW(pool->arena, GlnReading, room);
  if (taken.keys == NULL || grips == NULL || set->readings == NULL)
    return GLN_MEMORY;
  for (size_t g = 0; g < list->count; ++g) {
    (void)take(&taken, &list->grips[g].frets);
    grips[g] = list->grips[g];
    set->readings[g] = (GlnReading){set->chord, 0};
  }
  list->grips = grips;
  for (int own_root = 1; own_root >= 0; --own_root)
    for (size_t o = 0; o < pool->offer_count; ++o) {
      const Offer *offer = &pool->offers[o];
      double points = 0;
      if (gln_note_equal(offer->as->root, set->event->chord.root) != (own_root == 1) ||
          !may_stand(pool, set->event, offer, &points) || !take(&taken, &offer->grip->frets))
        continue;
      grips[list->count] = *offer->grip;
      set->readings[list->count++] = (GlnReading){offer->as, points};
    }
  return GLN_OK;
}

/* One pool for all that wish alike. */
GlnStatus gln_line_job_readings(GlnLineJob *job) {
  for (const GlnLineSet *first = job->sets; first != NULL; first = first->next) {
    if (first->readings != NULL || first->event->pin.length > 0)
      continue;
    Pool pool = {.job = job, .arena = job->arena, .wish = first->wish};
    GLN_TRY(fill_pool(&pool));
    for (GlnLineSet *set = job->sets; set != NULL; set = set->next)
      if (set->event->pin.length == 0 && gln_slot_wish_equal(set->wish, first->wish))
        GLN_TRY(add_readings(&pool, set));
  }
  return GLN_OK;
}
