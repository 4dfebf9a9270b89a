/* Listens to a MIDI file: notes into beats, beats into the stretches over which one chord sounds.
 *
 * Each beat gets a weight for each pitch class and a bass. The cheapest way to cut the song into stretches is then found
 * exactly, by dynamic programming over the beats; docs/midi-reading.md says what a stretch costs and why. */
#include "midi_internal.h"

#include <math.h>
#include <string.h>

/* Design choices, tuned on what gripline plays of its examples in every feel, and on tests/outside/data/progressions.tsv
 * played by it; docs/midi-reading.md has the figures. */
#define STRETCH_BEATS 8    /* the longest; equal neighbours are joined when they have names */
#define STRETCH_COST  0.25 /* so that chords do not change for nothing */
#define OFF_BAR       0.12 /* the chord changes on a beat inside the bar */
#define OFF_HALF      0.15 /* … and not in its middle either */
#define UNEXPLAINED   5.0  /* a beat of which nothing belongs to the chord */
#define MISSING       2.5  /* a beat that sounds none of the chord's tones, but others */
#define BASS_OTHER    0.5  /* another tone of the chord in the bass on the way; its fifth is free */
#define BASS_FOREIGN  1.0
#define NAME_WEIGHT   1.0 /* of the name's own cost: far-fetched chords are likelier two chords */
#define NAMELESS      2.5
#define SILENT_BEAT   0.1 /* silence under a chord that rests */
#define SHORT_SILENCE 1.0
#define NOTES_MIN     2
#define NOTES_MAX     7
#define BASS_REACH    9 /* semitones above the bass: from there on it is no bass */

/* ---- what a stretch costs ------------------------------------------------------------------------------------------- */

typedef struct Stretch {
  double cost;
  uint16_t set; /* pitch classes of its chord; 0: silence */
  int8_t bass;  /* pitch */
} Stretch;

typedef struct Sums {
  double weight[12], total;
  int8_t lowest[12];
  int8_t bass; /* of the first beat that has one */
} Sums;

static void add_beat(Sums *sums, const GlnMidiBeat *beat) {
  for (int c = 0; c < 12; c++) {
    sums->weight[c] += (double)beat->weight[c];
    if (beat->lowest[c] != 0 && (sums->lowest[c] == 0 || beat->lowest[c] < sums->lowest[c]))
      sums->lowest[c] = beat->lowest[c];
  }
  sums->total += (double)beat->total;
  if (sums->bass == 0)
    sums->bass = beat->bass;
}

/* The chord's notes as they lie: the bass, then each class where it is lowest above it. */
static size_t spread(const Sums *sums, uint16_t set, int8_t bass, int midi[GLN_MIDI_HEARD_MAX]) {
  size_t count = 0;
  midi[count++] = bass;
  for (int c = 0; c < 12; c++) {
    int pitch = sums->lowest[c];
    if ((set >> c & 1) == 0 || c == bass % 12)
      continue;
    while (pitch < bass)
      pitch += 12;
    size_t at = count++;
    for (; at > 0 && midi[at - 1] > pitch; at--)
      midi[at] = midi[at - 1];
    midi[at] = pitch;
  }
  while (midi[count - 1] > 127) /* on top of a bass as high as can be: the same an octave lower */
    for (size_t i = 0; i < count; i++)
      midi[i] -= 12;
  return count;
}

/* Of the plainest name of these notes; NAMELESS where none has one. */
static double name_cost(const GlnMidiHearing *hearing, const Sums *sums, uint16_t set) {
  int midi[GLN_MIDI_HEARD_MAX];
  int8_t pitches[GLN_MIDI_HEARD_MAX];
  size_t count = spread(sums, set, sums->bass, midi);
  for (size_t i = 0; i < count; i++)
    pitches[i] = (int8_t)midi[i];
  GlnNoteSet notes = gln_note_set_of(pitches, count);
  float *known = &hearing->name_costs[((size_t)(sums->bass % 12) * 2 + notes.high) * 4096 + set];
  if (!(*known > 0.0F)) {
    GlnName names[GLN_NAMES_MAX];
    size_t found = gln_namer_find(hearing->namer, notes, names);
    *known = 1.0F + (found > 0 ? names[0].cost : (float)(NAMELESS / NAME_WEIGHT));
  }
  return (double)*known - 1.0;
}

static double bass_cost(const GlnMidiBeat *beat, uint16_t set, int8_t bass) {
  int above = (beat->bass % 12 - bass % 12 + 12) % 12;
  if (beat->bass == 0 || beat->bass > bass + BASS_REACH || above == 0 || above == 7)
    return 0.0;
  double strength = beat->in_bar == 0 ? 1.0 : 0.5;
  return strength * ((set >> (beat->bass % 12) & 1) != 0 ? BASS_OTHER : BASS_FOREIGN);
}

/* What a beat says against the chord: notes of its own, tones that it lacks, another bass. heard: the classes among which
 * the tones must be. */
static double beat_cost(const GlnMidiBeat *beat, const Sums *sums, uint16_t set, uint16_t heard) {
  double foreign = 0, missing = 0, all = 0;
  if (beat->total <= 0)
    return SILENT_BEAT;
  for (int c = 0; c < 12; c++) {
    bool in_set = (set >> c & 1) != 0;
    foreign += in_set ? 0.0 : (double)beat->weight[c];
    if (!in_set || c == sums->bass % 12 ||
        c == (sums->bass + 7) %
                 12) /* a bass need not be struck again, nor the fifth that takes turns with it */
      continue;
    all += sums->weight[c];
    missing += (heard >> c & 1) != 0 ? 0.0 : sums->weight[c];
  }
  return UNEXPLAINED * foreign / (double)beat->total + (all > 0 ? MISSING * missing / all : 0.0) +
         bass_cost(beat, set, sums->bass);
}

/* Of each beat, the classes among which a chord's tones must be: where chords are struck, its own; where they are broken,
 * those of its bar as far as the stretch goes. */
static void hear_beats(const GlnMidiHearing *hearing, size_t first, size_t end,
                       uint16_t heard[STRETCH_BEATS]) {
  for (size_t b = first, next; b < end; b = next) {
    uint16_t classes = 0;
    for (next = b; next < end && hearing->beats[next].bar == hearing->beats[b].bar; next++)
      classes |= hearing->beats[next].classes;
    for (size_t i = b; i < next; i++)
      heard[i - first] = hearing->beats[i].block ? hearing->beats[i].classes : classes;
  }
}

static double change_cost(const GlnMidiBeat *beat) {
  double cost = STRETCH_COST;
  if (beat->in_bar == 0)
    return cost;
  cost += OFF_BAR;
  return beat->bar_beats % 2 == 0 && beat->in_bar == beat->bar_beats / 2 ? cost : cost + OFF_HALF;
}

/* The classes by weight, the bass first; returns how many sound. */
static size_t rank(const Sums *sums, int order[12]) {
  size_t count = 0;
  for (int c = 0; c < 12; c++) {
    if (sums->weight[c] <= 0)
      continue;
    size_t at = count++;
    bool is_bass = c == sums->bass % 12;
    for (; at > 0 && order[at - 1] != sums->bass % 12 &&
           (is_bass || sums->weight[order[at - 1]] < sums->weight[c]);
         at--)
      order[at] = order[at - 1];
    order[at] = c;
  }
  return count;
}

static Stretch best_chord(const GlnMidiHearing *hearing, size_t first, size_t end, const Sums *sums) {
  Stretch best = {INFINITY, 0, sums->bass};
  int order[12];
  uint16_t heard[STRETCH_BEATS];
  size_t sounding = rank(sums, order);
  hear_beats(hearing, first, end, heard);
  uint16_t set = 0;
  for (size_t k = 0; k < sounding && k < NOTES_MAX; k++) {
    set |= (uint16_t)(1U << order[k]);
    if (k + 1 < NOTES_MIN && sounding >= NOTES_MIN)
      continue;
    double far = name_cost(hearing, sums, set), cost = NAME_WEIGHT * (far + far * far);
    for (size_t b = first; b < end && cost < best.cost; b++)
      cost += beat_cost(&hearing->beats[b], sums, set, heard[b - first]);
    if (cost < best.cost)
      best = (Stretch){cost, set, sums->bass};
  }
  best.cost += change_cost(&hearing->beats[first]);
  return best;
}

/* Silence is a stretch of its own when it lasts a bar; a shorter one is the chord's that rests. */
static Stretch silence(const GlnMidiHearing *hearing, size_t first, size_t end) {
  size_t enough = hearing->beats[first].bar_beats;
  bool long_enough = end - first >= (enough < STRETCH_BEATS ? enough : STRETCH_BEATS);
  return (Stretch){change_cost(&hearing->beats[first]) + (long_enough ? -STRETCH_COST : SHORT_SILENCE), 0, 0};
}

/* ---- the cheapest way to cut the song ------------------------------------------------------------------------------- */

typedef struct Cut {
  double cost;
  size_t from;
  Stretch stretch;
} Cut;

static GlnStatus find_cuts(const GlnMidiHearing *hearing, Cut **cuts) {
  size_t count = hearing->beat_count;
  Cut *best = GLN_NEW(hearing->arena, Cut, count + 1);
  if (best == NULL)
    return GLN_MEMORY;
  for (size_t i = 1; i <= count; i++)
    best[i].cost = INFINITY;
  for (size_t first = 0; first < count; first++) {
    Sums sums = {.total = 0};
    for (size_t end = first + 1; end <= count && end - first <= STRETCH_BEATS; end++) {
      add_beat(&sums, &hearing->beats[end - 1]);
      Stretch stretch =
          sums.total <= 0 ? silence(hearing, first, end) : best_chord(hearing, first, end, &sums);
      double cost = best[first].cost + stretch.cost;
      if (cost < best[end].cost)
        best[end] = (Cut){cost, first, stretch};
    }
  }
  *cuts = best;
  return GLN_OK;
}

static void fill_chord(const GlnMidiHearing *hearing, const Cut *cut, size_t end, GlnMidiChord *chord) {
  Sums sums = {.total = 0};
  for (size_t b = cut->from; b < end; b++)
    add_beat(&sums, &hearing->beats[b]);
  *chord = (GlnMidiChord){.beat = cut->from, .beats = end - cut->from, .clear = 1.0};
  double taken = 0;
  for (int c = 0; c < 12; c++)
    if ((cut->stretch.set >> c & 1) != 0)
      taken += sums.weight[c];
    else if (sums.weight[c] > 0)
      chord->left_out |= (uint16_t)(1U << c);
  if (cut->stretch.set == 0)
    return;
  int midi[GLN_MIDI_HEARD_MAX];
  chord->count = spread(&sums, cut->stretch.set, cut->stretch.bass, midi);
  for (size_t i = 0; i < chord->count; i++)
    chord->midi[i] = (int8_t)midi[i];
  chord->clear = sums.total > 0 ? taken / sums.total : 1.0;
}

static GlnStatus cut_song(GlnMidiHearing *hearing) {
  Cut *cuts = NULL;
  GLN_TRY(find_cuts(hearing, &cuts));
  size_t count = 0;
  for (size_t end = hearing->beat_count; end > 0; end = cuts[end].from)
    count++;
  hearing->song->chords = GLN_NEW(hearing->arena, GlnMidiChord, count);
  if (hearing->song->chords == NULL)
    return GLN_MEMORY;
  hearing->song->chord_count = count;
  for (size_t end = hearing->beat_count; end > 0; end = cuts[end].from)
    fill_chord(hearing, &cuts[end], end, &hearing->song->chords[--count]);
  return GLN_OK;
}

/* ---- the song ----------------------------------------------------------------------------------------------------- */

/* Bars of silence before the first chord, such as a count-in, and after the last are not the song's. */
static void trim(GlnMidiSong *song) {
  size_t first = 0, last = song->chord_count;
  while (first < song->chord_count && song->chords[first].count == 0)
    first++;
  while (last > first && song->chords[last - 1].count == 0)
    last--;
  size_t bar = 0, bars = song->bar_count;
  while (bar + 1 < bars && song->bars[bar + 1].beat <= song->chords[first].beat)
    bar++;
  size_t end = song->chords[last - 1].beat + song->chords[last - 1].beats;
  while (bars > bar + 1 && song->bars[bars - 1].beat >= end)
    bars--;
  size_t from = song->bars[bar].beat, to = bars < song->bar_count ? song->bars[bars].beat : song->beat_count;
  song->pickup = song->chords[first].beat - from;
  song->chords[last - 1].beats += to - end;
  song->chords += first;
  song->chord_count = last - first;
  song->bars += bar;
  song->bar_count = bars - bar;
  song->beat_count = to - from;
  for (size_t i = 0; i < song->chord_count; i++)
    song->chords[i].beat -= from;
  for (size_t i = 0; i < song->bar_count; i++)
    song->bars[i].beat -= from;
}

/* A first bar that its meter makes shorter than the next is a pick-up. */
static void find_pickup(GlnMidiSong *song) {
  if (song->pickup > 0 || song->bar_count < 2)
    return;
  GlnMeter own = song->bars[0].meter, next = song->bars[1].meter;
  int missing = gln_meter_counts(next) - gln_meter_counts(own);
  if (own.unit != next.unit || missing <= 0 || gln_meter_counts(next) != next.beats ||
      own.beats >= next.beats)
    return;
  song->bars[0].meter = next;
  song->pickup = (size_t)missing;
  song->beat_count += (size_t)missing;
  for (size_t i = 0; i < song->chord_count; i++)
    song->chords[i].beat += (size_t)missing;
  for (size_t i = 1; i < song->bar_count; i++)
    song->bars[i].beat += (size_t)missing;
}

static bool is_symbol(GlnText text) {
  GlnChord chord;
  return gln_chord_parse(text, &chord, NULL) == GLN_OK;
}

/* Markers name sections, if they are not chords. A letter alone may be either: it is a section where other markers are no
 * chords, or where the chord's own marker follows in the same place. */
static void place_sections(GlnMidiHearing *hearing) {
  const GlnMidiFile *file = hearing->file;
  GlnMidiSong *song = hearing->song;
  bool chords_marked = false;
  for (size_t i = 0; i < file->marker_count; i++)
    chords_marked = chords_marked || (file->markers[i].text.length > 1 && is_symbol(file->markers[i].text));
  for (size_t i = 0; i < file->marker_count; i++) {
    const GlnMidiText *marker = &file->markers[i];
    bool first_of_two = i + 1 < file->marker_count && file->markers[i + 1].tick == marker->tick;
    if (is_symbol(marker->text) && (marker->text.length > 1 || (chords_marked && !first_of_two)))
      continue;
    double at = gln_midi_quarters(file, marker->tick);
    const GlnMidiBeat *beat = &hearing->beats[gln_midi_beat_at(hearing, at)];
    size_t bar = beat->bar + (2 * beat->in_bar >= beat->bar_beats && beat->in_bar > 0);
    if (bar < song->bar_count && song->bars[bar].section.length == 0)
      song->bars[bar].section = marker->text;
  }
}

static void tell_left(const GlnMidiHearing *hearing) {
  const GlnMidiFile *file = hearing->file;
  const struct {
    size_t count;
    const char *one, *many;
  } left[] = {{file->percussion, "note of percussion", "notes of percussion"},
              {file->tempo_changes, "change of tempo", "changes of tempo"},
              {file->key_changes, "change of key", "changes of key"},
              {file->texts, "text", "texts"},
              {file->controls, "controller event", "controller events"},
              {file->bends, "pitch bend", "pitch bends"}};
  GlnBuffer words = gln_buffer(hearing->arena);
  for (size_t i = 0; i < GLN_COUNT_OF(left); i++)
    if (left[i].count > 0)
      gln_buffer_format(&words, "%s%zu %s",
                        words.length == 0 ? "left out, as a chart has no place for them: " : ", ",
                        left[i].count, left[i].count == 1 ? left[i].one : left[i].many);
  if (words.length > 0)
    gln_diags_add(hearing->diags,
                  (GlnDiag){.severity = GLN_NOTE_SEVERITY, .problem = gln_buffer_text(&words)});
}

static GlnStatus hear(GlnMidiHearing *hearing) {
  GLN_TRY(gln_midi_beats_fill(hearing));
  GLN_TRY(cut_song(hearing));
  place_sections(hearing);
  hearing->song->on_beat = gln_midi_share_on_beat(hearing);
  return GLN_OK;
}

GlnStatus gln_midi_hear(GlnText bytes, const GlnNamer *namer, GlnArena *arena, GlnDiags *diags,
                        GlnMidiSong **song) {
  GlnMidiFile *file = NULL;
  GLN_TRY(gln_midi_file_read(bytes, arena, diags, &file));
  GlnMidiHearing hearing = {.file = file, .namer = namer, .arena = arena, .diags = diags};
  if (file->note_count == 0)
    return gln_midi_refuse(&hearing, GLN_INPUT, "no note sounds in this file",
                           file->percussion > 0 ? "percussion alone has no chords"
                                                : "check which file it is");
  *song = hearing.song = GLN_NEW(arena, GlnMidiSong, 1);
  hearing.name_costs = GLN_NEW(arena, float, (size_t)12 * 2 * 4096);
  if (*song == NULL || hearing.name_costs == NULL)
    return GLN_MEMORY;
  GLN_TRY(hear(&hearing));
  (*song)->title = file->title;
  (*song)->has_key = file->has_key;
  (*song)->key = file->key;
  (*song)->tempo = file->tempo;
  bool heard = false;
  for (size_t i = 0; i < (*song)->chord_count; i++)
    heard = heard || (*song)->chords[i].count > 0;
  if (!heard)
    return gln_midi_refuse(&hearing, GLN_INPUT, "no chord is in sight in this file",
                           "a tune alone has no chords; take the track with the accompaniment");
  trim(*song);
  find_pickup(*song);
  tell_left(&hearing);
  return GLN_OK;
}
