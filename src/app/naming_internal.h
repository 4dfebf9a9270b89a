/* What the files of `gripline name` share. Never included from outside the app room. */
#ifndef GLN_NAMING_INTERNAL_H
#define GLN_NAMING_INTERNAL_H

#include "app_internal.h"
#include "harmony.h"

#define GLN_HEARD_NOTES_MAX 12

/* One thing to be named: what is held or given, what of it sounds, and all it may be called. */
typedef struct GlnHeard {
  bool has_frets;
  GlnFrets frets;
  size_t bar;                       /* in a line, from 0 */
  int8_t midi[GLN_HEARD_NOTES_MAX]; /* the lowest first */
  size_t count;
  GlnNoteSet notes;
  GlnName *names;
  size_t name_count;
} GlnHeard;

/* A name in its place. */
typedef struct GlnNaming {
  size_t name;    /* index into the heard's names */
  GlnChord chord; /* spelled for the place */
  double cost;    /* of the whole with this name: what the order goes by */
  bool placed;    /* reading holds */
  GlnReading reading;
} GlnNaming;

/* What surrounds a single grip; every part may be missing. */
typedef struct GlnSurroundings {
  const GlnKey *key;
  const GlnChord *after, *before; /* it comes after this chord, and before that */
} GlnSurroundings;

/* Finds the names of heard->midi; instrument: what it is held on, NULL for notes alone. */
GLN_MUST_USE GlnStatus gln_heard_find(const GlnNamer *namer, const GlnInstrument *instrument, GlnArena *arena,
                                      GlnHeard *heard);
/* All names of one thing, best first. */
GLN_MUST_USE GlnStatus gln_naming_rank(const GlnNamer *namer, const GlnHeard *heard,
                                       const GlnSurroundings *surroundings, GlnArena *arena,
                                       GlnNaming **namings);
/* The likeliest names of a whole line, decided together: one for each thing heard, which all have names. key NULL:
 * whichever fits. */
GLN_MUST_USE GlnStatus gln_naming_of_line(const GlnNamer *namer, const GlnHeard *heard, size_t count,
                                          const GlnKey *key, GlnArena *arena, GlnNaming **namings);

#endif
