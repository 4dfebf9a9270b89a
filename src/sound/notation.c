/* A performance as players write it: strokes of two voices, cut to the bars. */
#include "sound_internal.h"

#include <stdlib.h>
#include <string.h>

/* Strokes of one roll or strum start within so much of each other, quarter notes; two that are played one after the other do
 * not. Design choice, from the spread of six strings and the sixteenths of the feels. */
static const GlnRatio stroke_spread = {1, 6};

/* Notes of a voice that are struck together. */
typedef struct Stroke {
  GlnRatio start, end; /* as written, quarter notes from the song's start */
  size_t first, count; /* notes */
} Stroke;

typedef struct Note {
  GlnRatio start, end; /* as written */
  GlnVoice voice;
  GlnNotationNote at;
} Note;

typedef struct Writer {
  const GlnPerformance *performance;
  GlnRatio swing, pair, song_end;
  GlnArena *arena;
  Note *notes;
  GlnNotationNote *written; /* of the same notes */
  size_t note_count;
  Stroke *strokes[GLN_VOICE_COUNT];
  size_t stroke_count[GLN_VOICE_COUNT];
  GlnNotationPiece *scratch; /* of the bar that is being cut */
  size_t scratch_count, scratch_room;
  bool failed;
} Writer;

static GlnRatio less(GlnRatio a, GlnRatio b) {
  return gln_ratio_compare(a, b) <= 0 ? a : b;
}

static int64_t floor_of(GlnRatio a) {
  return a.num >= 0 ? a.num / a.den : -((a.den - 1 - a.num) / a.den);
}

/* ---- strokes --------------------------------------------------------------------------------------------------- */

/* From when it sounds to where it is written: the longer first of a swung pair is half of it. */
static GlnRatio unswung(const Writer *writer, GlnRatio at) {
  GlnRatio swing = writer->swing, half = gln_ratio(1, 2), one = gln_ratio(1, 1);
  if (swing.num <= swing.den)
    return at;
  GlnRatio pairs = gln_ratio_divide(at, writer->pair), whole = gln_ratio(floor_of(pairs), 1);
  GlnRatio into = gln_ratio_subtract(pairs, whole);
  GlnRatio middle = gln_ratio(swing.num, swing.num + swing.den), part;
  if (gln_ratio_compare(into, middle) <= 0) {
    part = gln_ratio_multiply(gln_ratio_divide(into, middle), half);
  } else {
    GlnRatio past = gln_ratio_divide(gln_ratio_subtract(into, middle), gln_ratio_subtract(one, middle));
    part = gln_ratio_add(half, gln_ratio_multiply(past, half));
  }
  return gln_ratio_multiply(gln_ratio_add(whole, part), writer->pair);
}

static int by_place(const void *left, const void *right) {
  const Note *a = left, *b = right;
  if (a->voice != b->voice)
    return a->voice < b->voice ? -1 : 1;
  int order = gln_ratio_compare(a->start, b->start);
  return order != 0 ? order : a->at.string - b->at.string;
}

/* Starts of strokes: the first note of each, whatever hand plays it. */
static GlnStatus gather(Writer *writer) {
  const GlnPerformance *performance = writer->performance;
  writer->notes = GLN_NEW(writer->arena, Note, performance->count);
  if (writer->notes == NULL)
    return GLN_MEMORY;
  GlnRatio cluster = gln_ratio(-1, 1);
  for (size_t i = 0; i < performance->count; i++) {
    const GlnSounding *heard = &performance->notes[i];
    if (heard->player == GLN_PLAYER_CLICK || heard->string < 0)
      continue;
    GlnRatio start = gln_ratio_subtract(heard->start, performance->lead_in);
    if (writer->note_count == 0 || gln_ratio_compare(gln_ratio_subtract(start, cluster), stroke_spread) >= 0)
      cluster = start;
    GlnRatio grid = gln_ratio_multiply(unswung(writer, cluster), gln_ratio(48, 1)); /* what can be written */
    int64_t place = floor_of(gln_ratio_add(grid, gln_ratio(1, 2)));
    writer->notes[writer->note_count++] =
        (Note){.start = gln_ratio(place, 48),
               .end = unswung(writer, gln_ratio_add(start, heard->quarters)),
               .voice = heard->player == GLN_PLAYER_THUMB ? GLN_VOICE_THUMB : GLN_VOICE_FINGERS,
               .at = {heard->string, heard->midi}};
  }
  qsort(writer->notes, writer->note_count, sizeof *writer->notes, by_place);
  return GLN_OK;
}

/* One string twice in one stroke is one note. */
static void drop_doubles(Writer *writer) {
  size_t kept = 0;
  for (size_t i = 0; i < writer->note_count; i++) {
    Note *last = kept > 0 ? &writer->notes[kept - 1] : NULL;
    if (last != NULL && by_place(last, &writer->notes[i]) == 0)
      *last = writer->notes[i];
    else
      writer->notes[kept++] = writer->notes[i];
  }
  writer->note_count = kept;
}

/* To the next beat after the sound, and no further than the next stroke. */
static void end_strokes(Writer *writer, GlnVoice voice) {
  for (size_t i = 0; i < writer->stroke_count[voice]; i++) {
    Stroke *stroke = &writer->strokes[voice][i];
    GlnRatio beat = gln_ratio(-floor_of(gln_ratio_subtract(gln_ratio(0, 1), stroke->end)), 1);
    if (gln_ratio_compare(beat, stroke->start) <= 0)
      beat = gln_ratio(floor_of(stroke->start) + 1, 1);
    stroke->end = less(beat, writer->song_end);
    if (i + 1 < writer->stroke_count[voice])
      stroke->end = less(stroke->end, stroke[1].start);
  }
}

static GlnStatus find_strokes(Writer *writer) {
  GLN_TRY(gather(writer));
  drop_doubles(writer);
  writer->written = GLN_NEW(writer->arena, GlnNotationNote, writer->note_count);
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++) {
    writer->strokes[voice] = GLN_NEW(writer->arena, Stroke, writer->note_count);
    if (writer->written == NULL || writer->strokes[voice] == NULL)
      return GLN_MEMORY;
  }
  for (size_t i = 0; i < writer->note_count; i++) {
    const Note *note = &writer->notes[i];
    Stroke *strokes = writer->strokes[note->voice];
    size_t *count = &writer->stroke_count[note->voice];
    if (*count == 0 || gln_ratio_compare(strokes[*count - 1].start, note->start) != 0)
      strokes[(*count)++] = (Stroke){.start = note->start, .end = note->end, .first = i};
    Stroke *stroke = &strokes[*count - 1];
    stroke->count++;
    stroke->end = gln_ratio_compare(note->end, stroke->end) > 0 ? note->end : stroke->end;
    writer->written[i] = note->at;
  }
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    end_strokes(writer, (GlnVoice)voice);
  return GLN_OK;
}

/* ---- where readers want to see a beat ---------------------------------------------------------------------------- */

bool gln_meter_is_compound(int16_t beats, int16_t unit) {
  return unit >= 8 && beats > 3 && beats % 3 == 0;
}

static bool lies_on(GlnRatio at, GlnRatio grid) {
  return gln_ratio_divide(at, grid).den == 1;
}

enum { WITHIN, SIXTEENTH, HALF_COUNT, COUNT, HALF_BAR, BAR_LINE };

/* How strong a place of the bar is: on the bar line, in the middle of a bar of four counts, on a count, between. */
static int strength(const GlnNotationBar *bar, GlnRatio at) {
  bool compound = gln_meter_is_compound(bar->beats, bar->unit);
  GlnRatio unit = gln_ratio(4, bar->unit), count = compound ? gln_ratio(12, bar->unit) : unit;
  GlnRatio half = compound ? unit : gln_ratio_divide(unit, gln_ratio(2, 1));
  int counts = compound ? bar->beats / 3 : bar->beats;
  if (at.num == 0 || gln_ratio_compare(at, bar->quarters) == 0)
    return BAR_LINE;
  if (counts % 4 == 0 && lies_on(at, gln_ratio_multiply(count, gln_ratio(2, 1))))
    return HALF_BAR;
  if (lies_on(at, count))
    return COUNT;
  if (lies_on(at, half))
    return HALF_COUNT;
  return lies_on(at, gln_ratio_divide(half, gln_ratio(2, 1))) ? SIXTEENTH : WITHIN;
}

/* The strongest places inside a stretch: how strong, how many, and the one nearest to its middle. */
typedef struct Inside {
  int strength;
  size_t count;
  GlnRatio at;
} Inside;

static Inside look_inside(const GlnNotationBar *bar, GlnRatio from, GlnRatio to) {
  const GlnRatio grid = gln_ratio(1, 8);
  GlnRatio middle = gln_ratio_divide(gln_ratio_add(from, to), gln_ratio(2, 1));
  Inside inside = {.strength = WITHIN};
  double nearest = 0;
  int64_t step = floor_of(gln_ratio_divide(from, grid)) + 1;
  for (GlnRatio at = gln_ratio_multiply(gln_ratio(step, 1), grid); gln_ratio_compare(at, to) < 0;
       at = gln_ratio_add(at, grid)) {
    int here = strength(bar, at);
    double away = gln_ratio_value(gln_ratio_subtract(at, middle));
    away = away < 0 ? -away : away;
    if (here == WITHIN || here < inside.strength)
      continue;
    if (here > inside.strength)
      inside = (Inside){.strength = here};
    if (inside.count == 0 || away <= nearest) {
      inside.at = at;
      nearest = away;
    }
    inside.count++;
  }
  return inside;
}

/* May one sign show this stretch? Common practice of music engraving, no published source: a note may hide a weaker place than
 * the one it starts or ends on, and one syncopation (off, on, off) is read as such; rests hide less. */
static bool fits_one(const GlnNotationBar *bar, GlnRatio from, GlnRatio to, bool rest, Inside inside) {
  GlnNoteValue values[GLN_NOTE_VALUES_MAX];
  if (gln_note_values(gln_ratio_subtract(to, from), values) != 1 || values[0].actual != 0)
    return false;
  bool compound = gln_meter_is_compound(bar->beats, bar->unit);
  int begins = strength(bar, from), ends = strength(bar, to);
  if (rest)
    return begins > inside.strength && (values[0].dots == 0 || compound);
  if (begins >= inside.strength || (ends >= inside.strength && inside.strength <= COUNT))
    return true;
  GlnRatio before = gln_ratio_subtract(inside.at, from), after = gln_ratio_subtract(to, inside.at);
  return values[0].dots == 0 && !compound && inside.count == 1 && begins == inside.strength - 1 &&
         gln_ratio_compare(before, after) == 0;
}

/* ---- pieces ------------------------------------------------------------------------------------------------------ */

static void add_piece(Writer *writer, GlnNotationPiece piece) {
  if (writer->scratch_count == writer->scratch_room) {
    size_t more = writer->scratch_room == 0 ? 64 : 2 * writer->scratch_room;
    GlnNotationPiece *grown = GLN_NEW(writer->arena, GlnNotationPiece, more);
    if (grown == NULL) {
      writer->failed = true;
      return;
    }
    if (writer->scratch_count > 0)
      memcpy(grown, writer->scratch, writer->scratch_count * sizeof *grown);
    writer->scratch = grown;
    writer->scratch_room = more;
  }
  writer->scratch[writer->scratch_count++] = piece;
}

/* What no one sign shows and no place divides, as the values that make it up. */
static void add_values(Writer *writer, const GlnNotationPiece *whole, GlnRatio from, GlnRatio to) {
  GlnNoteValue values[GLN_NOTE_VALUES_MAX];
  int count = gln_note_values(gln_ratio_subtract(to, from), values);
  for (int i = 0; i < count; i++) {
    GlnNotationPiece piece = *whole;
    piece.start = from;
    piece.value = values[i];
    piece.ties_back = whole->ties_back || i > 0;
    piece.ties_on = whole->ties_on || i + 1 < count;
    add_piece(writer, piece);
    from = gln_ratio_add(from, values[i].quarters);
  }
}

static bool is_odd(GlnRatio at) { /* thirds and the like */
  return (at.den & (at.den - 1)) != 0;
}

/* From and to: within the bar. Splits at its strongest place until every part is one sign. */
static void split(Writer *writer, const GlnNotationBar *bar, const GlnNotationPiece *whole, GlnRatio from,
                  GlnRatio to) {
  enum { PENDING_MAX = 64 }; /* a split halves at least the number of places inside */
  GlnRatio ends[PENDING_MAX] = {to};
  size_t pending = gln_ratio_compare(from, to) < 0 ? 1 : 0;
  bool begun = whole->ties_back;
  while (pending > 0 && !writer->failed) {
    GlnRatio end = ends[pending - 1];
    Inside inside = look_inside(bar, from, end);
    bool one = fits_one(bar, from, end, whole->count == 0, inside);
    bool apart = is_odd(from) || is_odd(end) ? inside.strength >= COUNT : inside.strength > WITHIN;
    if (!one && apart && pending < PENDING_MAX) {
      ends[pending++] = inside.at;
      continue;
    }
    GlnNotationPiece part = *whole;
    part.ties_back = whole->count > 0 && begun;
    part.ties_on = whole->count > 0 && (whole->ties_on || pending > 1);
    add_values(writer, &part, from, end);
    begun = true;
    from = end;
    pending--;
  }
}

static void add_rest(Writer *writer, const GlnNotationBar *bar, GlnRatio from, GlnRatio to) {
  const GlnNotationPiece rest = {.struck = gln_ratio_add(bar->start, from)};
  size_t first = writer->scratch_count;
  split(writer, bar, &rest, from, to);
  for (size_t i = first; i < writer->scratch_count; i++)
    writer->scratch[i].ties_back = writer->scratch[i].ties_on = false;
}

/* The voice through one bar, without gaps. */
static void cut_bar(Writer *writer, const GlnNotationBar *bar, GlnVoice voice, size_t *next) {
  const Stroke *strokes = writer->strokes[voice];
  GlnRatio at = gln_ratio(0, 1), bar_end = gln_ratio_add(bar->start, bar->quarters);
  bool rings_over = *next > 0 && gln_ratio_compare(strokes[*next - 1].end, bar->start) > 0;
  writer->scratch_count = 0;
  for (size_t i = rings_over ? *next - 1 : *next;
       i < writer->stroke_count[voice] && gln_ratio_compare(strokes[i].start, bar_end) < 0; i++) {
    const Stroke *stroke = &strokes[i];
    bool back = gln_ratio_compare(stroke->start, bar->start) < 0;
    GlnRatio from = back ? gln_ratio(0, 1) : gln_ratio_subtract(stroke->start, bar->start);
    GlnRatio to = gln_ratio_subtract(less(stroke->end, bar_end), bar->start);
    const GlnNotationPiece whole = {.notes = &writer->written[stroke->first],
                                    .count = stroke->count,
                                    .struck = stroke->start,
                                    .ties_back = back,
                                    .ties_on = gln_ratio_compare(stroke->end, bar_end) > 0};
    add_rest(writer, bar, at, from);
    split(writer, bar, &whole, from, to);
    at = to;
    *next = i + 1;
  }
  add_rest(writer, bar, at, bar->quarters);
}

GlnStatus gln_notation_make(const GlnPerformance *performance, GlnRatio swing, GlnRatio pair,
                            GlnNotationBar *bars, size_t count, GlnArena *arena) {
  Writer writer = {.performance = performance, .swing = swing, .pair = pair, .arena = arena};
  size_t next[GLN_VOICE_COUNT] = {0};
  writer.song_end =
      count > 0 ? gln_ratio_add(bars[count - 1].start, bars[count - 1].quarters) : gln_ratio(0, 1);
  GLN_TRY(find_strokes(&writer));
  for (size_t b = 0; b < count; b++)
    for (int voice = 0; voice < GLN_VOICE_COUNT; voice++) {
      cut_bar(&writer, &bars[b], (GlnVoice)voice, &next[voice]);
      bars[b].pieces[voice] = GLN_NEW(arena, GlnNotationPiece, writer.scratch_count);
      if (writer.failed || bars[b].pieces[voice] == NULL)
        return GLN_MEMORY;
      if (writer.scratch_count > 0)
        memcpy(bars[b].pieces[voice], writer.scratch, writer.scratch_count * sizeof *writer.scratch);
      bars[b].counts[voice] = writer.scratch_count;
    }
  return GLN_OK;
}
