/* Grips and harmony brought together: which of a grip's names its place asks for. */
#include "naming_internal.h"

/* What the notes say counts so much against what the place says. Design choice, tuned on the pairs of docs/naming.md: a
 * neighbour decides between names of the same notes, and never makes a far-fetched name out of a plain one. */
#define NOTES_WEIGHT 1.0

GlnStatus gln_heard_find(const GlnNamer *namer, const GlnInstrument *instrument, GlnArena *arena,
                         GlnHeard *heard) {
  GlnName names[GLN_NAMES_MAX];
  heard->notes = instrument != NULL ? gln_note_set_on(instrument, heard->midi, heard->count)
                                    : gln_note_set_of(heard->midi, heard->count);
  heard->name_count = gln_namer_find(namer, heard->notes, names);
  heard->names = GLN_NEW(arena, GlnName, heard->name_count);
  if (heard->names == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < heard->name_count; i++)
    heard->names[i] = names[i];
  return GLN_OK;
}

/* ---- names that harmony chooses from -------------------------------------------------------------------------- */

/* What harmony is asked to choose from at one place, and which name each choice is. */
typedef struct Candidates {
  GlnChord chords[GLN_CHOICES_MAX];
  GlnChoice choices[GLN_CHOICES_MAX];
  size_t names[GLN_CHOICES_MAX];
  size_t count;
} Candidates;

/* To harmony, names of one root and class are one: the plainest stands for them. */
static bool is_new(const Candidates *candidates, const GlnChord *chord) {
  for (size_t i = 0; i < candidates->count; i++)
    if (gln_note_pitch_class(candidates->chords[i].root) == gln_note_pitch_class(chord->root) &&
        gln_chord_class(&candidates->chords[i]) == gln_chord_class(chord))
      return false;
  return true;
}

static GlnStatus gather(const GlnNamer *namer, const GlnHeard *heard, const GlnKey *key,
                        Candidates *candidates) {
  candidates->count = 0;
  for (size_t i = 0; i < heard->name_count && candidates->count < GLN_CHOICES_MAX; i++) {
    GlnChord chord;
    GLN_TRY(gln_name_chord(namer, &heard->names[i], key, &chord));
    if (!is_new(candidates, &chord))
      continue;
    size_t at = candidates->count++;
    candidates->chords[at] = chord;
    candidates->choices[at] =
        (GlnChoice){&candidates->chords[at], NOTES_WEIGHT * (double)heard->names[i].cost};
    candidates->names[at] = i;
  }
  return GLN_OK;
}

/* ---- one grip in its surroundings ------------------------------------------------------------------------------- */

static GlnStep bar_of(size_t index, const GlnChord *chord) {
  return (GlnStep){.chord = chord,
                   .start = gln_ratio(4 * (int64_t)index, 1),
                   .quarters = gln_ratio(4, 1),
                   .phrase_starts = false,
                   .bar_starts = true};
}

/* The chord before, this one, the chord after, as far as they are known. Returns the place of this one. */
static size_t line_up(const GlnChord *after, const GlnChord *own, const GlnChord *before, GlnStep steps[3],
                      size_t *count) {
  size_t place = after != NULL ? 1 : 0;
  *count = 0;
  const GlnChord *chords[] = {after, own, before};
  for (size_t i = 0; i < GLN_COUNT_OF(chords); i++)
    if (chords[i] != NULL) {
      steps[*count] = bar_of(*count, chords[i]);
      (*count)++;
    }
  return place;
}

static GlnStatus read_between(const GlnChord *after, const GlnChord *own, const GlnChord *before, GlnKey key,
                              GlnArena *arena, GlnReading *reading) {
  GlnStep steps[3];
  GlnReading readings[3];
  size_t count = 0;
  size_t place = line_up(after, own, before, steps, &count);
  GlnArenaMark mark = gln_arena_mark(arena);
  GLN_TRY(gln_harmony_read(steps, count, key, arena, readings));
  gln_arena_rewind(arena, mark);
  *reading = readings[place];
  return GLN_OK;
}

/* Where nobody has said what comes next, a chord is also heard as on its way to where it may be going: a fifth or a
 * semitone down, a semitone up. That it goes there is a guess, which costs a little. Design choice. */
#define GUESS_COST 0.10

static GlnStatus read_guessing(const GlnChord *after, const GlnChord *own, GlnKey key, GlnArena *arena,
                               GlnReading *reading) {
  static const int steps[] = {5, 11, 1};
  GLN_TRY(read_between(after, own, NULL, key, arena, reading));
  for (size_t i = 0; i < GLN_COUNT_OF(steps); i++)
    for (size_t minor = 0; minor < 2; minor++) { /* the table's first two rows: major and minor triad */
      GlnNote root = gln_key_spell(key, (gln_note_pitch_class(own->root) + steps[i]) % 12);
      GlnChord next;
      GlnReading guess;
      if (gln_chord_build(root, minor, NULL, &next) != GLN_OK)
        continue;
      GLN_TRY(read_between(after, own, &next, key, arena, &guess));
      guess.cost += GUESS_COST;
      if (guess.cost < reading->cost)
        *reading = guess;
    }
  return GLN_OK;
}

/* The key in which the neighbours and the likeliest names make most sense together. */
static GlnStatus find_key(const GlnNamer *namer, const GlnHeard *heard, const GlnSurroundings *around,
                          GlnArena *arena, GlnKey *key) {
  Candidates own;
  GlnChoice after = {around->after, 0.0}, before = {around->before, 0.0};
  GlnOpenStep open[3];
  GlnStep steps[3];
  GlnChosen chosen[3];
  size_t count = 0;
  GLN_TRY(gather(namer, heard, NULL, &own));
  size_t place = line_up(around->after, &own.chords[0], around->before, steps, &count);
  for (size_t i = 0; i < count; i++)
    open[i] = (GlnOpenStep){steps[i],
                            i < place   ? &after
                            : i > place ? &before
                                        : own.choices,
                            i == place ? own.count : 1};
  GLN_TRY(gln_harmony_choose(open, count, NULL, arena, chosen, NULL));
  *key = chosen[place].key;
  return GLN_OK;
}

static GlnStatus place_in(const GlnNamer *namer, const GlnName *name, const GlnSurroundings *around,
                          GlnKey key, GlnArena *arena, GlnNaming *naming) {
  GLN_TRY(gln_name_chord(namer, name, &key, &naming->chord));
  if (around->before != NULL)
    GLN_TRY(read_between(around->after, &naming->chord, around->before, key, arena, &naming->reading));
  else
    GLN_TRY(read_guessing(around->after, &naming->chord, key, arena, &naming->reading));
  naming->placed = true;
  naming->cost += naming->reading.cost;
  return GLN_OK;
}

static void sort_namings(GlnNaming *namings, size_t count) {
  for (size_t i = 1; i < count; i++) {
    GlnNaming naming = namings[i];
    size_t at = i;
    for (; at > 0 && namings[at - 1].cost > naming.cost; at--)
      namings[at] = namings[at - 1];
    namings[at] = naming;
  }
}

GlnStatus gln_naming_rank(const GlnNamer *namer, const GlnHeard *heard, const GlnSurroundings *around,
                          GlnArena *arena, GlnNaming **namings) {
  bool anywhere = around->key == NULL && around->after == NULL && around->before == NULL;
  GlnNaming *made = GLN_NEW(arena, GlnNaming, heard->name_count);
  if (made == NULL)
    return GLN_MEMORY;
  GlnKey key = {{0, 0}, false};
  if (around->key != NULL)
    key = *around->key;
  else if (!anywhere && heard->name_count > 0)
    GLN_TRY(find_key(namer, heard, around, arena, &key));
  for (size_t i = 0; i < heard->name_count; i++) {
    made[i] = (GlnNaming){.name = i, .cost = NOTES_WEIGHT * (double)heard->names[i].cost};
    if (anywhere)
      GLN_TRY(gln_name_chord(namer, &heard->names[i], NULL, &made[i].chord));
    else
      GLN_TRY(place_in(namer, &heard->names[i], around, key, arena, &made[i]));
  }
  if (!anywhere) /* else they stand in the order in which they are told */
    sort_namings(made, heard->name_count);
  *namings = made;
  return GLN_OK;
}

/* ---- a line of grips ------------------------------------------------------------------------------------------- */

/* Grips in a bar share it evenly; a bar is taken for four quarters. */
static void set_times(const GlnHeard *heard, size_t count, GlnOpenStep *steps) {
  for (size_t first = 0, end; first < count; first = end) {
    for (end = first + 1; end < count && heard[end].bar == heard[first].bar;)
      end++;
    int64_t in_bar = (int64_t)(end - first);
    for (size_t i = first; i < end; i++)
      steps[i].step = (GlnStep){
          .start = gln_ratio(4 * ((int64_t)heard[first].bar * in_bar + (int64_t)(i - first)), in_bar),
          .quarters = gln_ratio(4, in_bar),
          .phrase_starts = i == 0,
          .bar_starts = i == first};
  }
}

/* The chosen chords, spelled for the keys they are heard in, then read as any chart's chords are. */
static GlnStatus read_line(const GlnNamer *namer, const GlnHeard *heard, size_t count, const GlnKey *key,
                           const GlnOpenStep *open, const GlnChosen *chosen, GlnArena *arena,
                           GlnNaming *namings) {
  GlnStep *steps = GLN_NEW(arena, GlnStep, count);
  GlnReading *readings = GLN_NEW(arena, GlnReading, count);
  if (steps == NULL || readings == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < count; i++) {
    GLN_TRY(gln_name_chord(namer, &heard[i].names[namings[i].name], &chosen[i].key, &namings[i].chord));
    steps[i] = open[i].step;
    steps[i].chord = &namings[i].chord;
  }
  if (key != NULL) {
    GLN_TRY(gln_harmony_read(steps, count, *key, arena, readings));
  } else {
    GlnAnalysis *analysis = NULL;
    GLN_TRY(gln_harmony_analyse(steps, count, NULL, arena, &analysis));
    readings = analysis->readings;
  }
  for (size_t i = 0; i < count; i++) {
    namings[i].reading = readings[i];
    namings[i].placed = readings[i].roman[0] != '\0';
  }
  return GLN_OK;
}

GlnStatus gln_naming_of_line(const GlnNamer *namer, const GlnHeard *heard, size_t count, const GlnKey *key,
                             GlnArena *arena, GlnNaming **namings) {
  Candidates *candidates = GLN_NEW(arena, Candidates, count);
  GlnOpenStep *open = GLN_NEW(arena, GlnOpenStep, count);
  GlnChosen *chosen = GLN_NEW(arena, GlnChosen, count);
  GlnNaming *made = GLN_NEW(arena, GlnNaming, count);
  if (candidates == NULL || open == NULL || chosen == NULL || made == NULL)
    return GLN_MEMORY;
  set_times(heard, count, open);
  for (size_t i = 0; i < count; i++) {
    GLN_TRY(gather(namer, &heard[i], key, &candidates[i]));
    open[i].choices = candidates[i].choices;
    open[i].count = candidates[i].count;
  }
  double total = 0.0;
  GLN_TRY(gln_harmony_choose(open, count, key, arena, chosen, &total));
  for (size_t i = 0; i < count; i++)
    made[i] = (GlnNaming){.name = candidates[i].names[chosen[i].choice], .cost = total};
  GLN_TRY(read_line(namer, heard, count, key, open, chosen, arena, made));
  *namings = made;
  return GLN_OK;
}
