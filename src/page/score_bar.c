/* One bar of the staff: what stands where. */
#include "score_internal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Staff spaces; design choice, judged by eye at print size and half of it. */
#define SIGN_WIDTH      1.15 /* of an accidental, its air included */
#define SPACE_SIXTEENTH 2.3  /* room of a sixteenth; half as much again is added for each doubling */
#define SPACE_DOUBLING  1.35
#define COLUMN_LEAST    2.2 /* two digits of the tablature */
#define STEM            7.0 /* steps from the last head to the stem's end: an octave, common practice */
#define STEM_OUTWARD    5.5 /* where it leads away from the staff */
#define STEM_FLAGGED    8.0 /* the flag ends above the head */
#define STEM_BEAMED     5.5 /* least, to the beam */
#define SLANT           2.0 /* steps that a beam rises at most */

bool gln_stems_up(int voice) {
  return voice == GLN_VOICE_FINGERS;
}

void gln_key_accidentals(GlnKey key, int of_letter[7]) {
  static const int sharps[7] = {3, 0, 4, 1, 5, 2, 6}; /* F C G D A E B */
  int fifths = gln_key_fifths(key);
  fifths += fifths > 7 ? -12 : fifths < -7 ? 12 : 0;
  memset(of_letter, 0, 7 * sizeof *of_letter);
  for (int i = 0; i < abs(fifths); i++)
    of_letter[fifths > 0 ? sharps[i] : sharps[6 - i]] = fifths > 0 ? 1 : -1;
}

/* ---- notes ------------------------------------------------------------------------------------------------------ */

static int by_step(const void *left, const void *right) {
  const GlnScoreNote *a = left, *b = right;
  return a->step != b->step ? a->step - b->step : a->string - b->string;
}

/* The treble clef of the guitar sounds an octave lower than it is read: E4 on paper, the lowest line, sounds E3. */
static int step_of(GlnPitch pitch) {
  return 7 * (pitch.octave + 1) + pitch.note.letter - (7 * 4 + 2);
}

/* Seconds: the upper head right of an upward stem, the lower one left of a downward stem. */
static void shift_seconds(GlnScorePiece *piece, bool up) {
  for (size_t k = 1; k < piece->count; k++) {
    size_t i = up ? k : piece->count - 1 - k, last = up ? i - 1 : i + 1;
    bool near = abs(piece->notes[i].step - piece->notes[last].step) <= 1;
    if (near && fabs(piece->notes[last].shift) < 0.01)
      piece->notes[i].shift = up ? GLN_HEAD_WIDTH : -GLN_HEAD_WIDTH;
  }
}

static bool fill_piece(GlnCanvas *canvas, const GlnSong *song, GlnKey key, const GlnInstrument *instrument,
                       const GlnScoreBar *bar, GlnScorePiece *piece) {
  const GlnNotationPiece *written = piece->piece;
  piece->notes = GLN_NEW(canvas->arena, GlnScoreNote, written->count);
  if (!piece->notes)
    return false;
  const GlnChord *chord = gln_played_chord(song, bar->played, written->struck);
  if (!chord) /* struck before the bar line: the chord it belongs to is the bar's first */
    chord = &song->slots[bar->played->first_slot].event->chord;
  for (size_t n = 0; n < written->count; n++) {
    const GlnNotationNote *note = &written->notes[n];
    GlnPitch pitch = gln_pitch_in_chord(chord, key, note->midi);
    if (abs(pitch.note.accidental) > 1) /* read at sight, E♭♭ is D */
      pitch = gln_pitch_in_chord(NULL, key, note->midi);
    piece->notes[piece->count++] = (GlnScoreNote){.step = step_of(pitch),
                                                  .accidental = pitch.note.accidental,
                                                  .string = note->string,
                                                  .fret = gln_fret_of(instrument, note->string, note->midi)};
  }
  qsort(piece->notes, piece->count, sizeof *piece->notes, by_step);
  return true;
}

/* An accidental shows where the bar so far and the key signature say otherwise. */
static void show_accidentals(GlnScoreBar *bar, GlnKey key) {
  enum { STEPS = 96, LOWEST = -40 };
  int of_letter[7], state[STEPS];
  gln_key_accidentals(key, of_letter);
  for (int s = 0; s < STEPS; s++)
    state[s] = of_letter[(s + LOWEST + 2 + 70) % 7];
  for (size_t c = 0; c < bar->column_count; c++)
    for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
      for (size_t p = 0; p < bar->written->counts[voice]; p++) {
        GlnScorePiece *piece = &bar->pieces[voice][p];
        for (size_t n = 0; piece->place == c && n < piece->count; n++) {
          GlnScoreNote *note = &piece->notes[n];
          int at = note->step - LOWEST;
          if (at < 0 || at >= STEPS || piece->piece->ties_back || state[at] == note->accidental)
            continue;
          note->shows = true;
          state[at] = note->accidental;
        }
      }
}

/* ---- columns ---------------------------------------------------------------------------------------------------- */

static int by_time(const void *left, const void *right) {
  const GlnScoreColumn *a = left, *b = right;
  return gln_ratio_compare(a->at, b->at);
}

static size_t column_at(const GlnScoreBar *bar, GlnRatio at) {
  for (size_t c = 0; c < bar->column_count; c++)
    if (gln_ratio_compare(bar->columns[c].at, at) == 0)
      return c;
  return 0;
}

static bool find_columns(GlnCanvas *canvas, const GlnSong *song, GlnScoreBar *bar) {
  size_t most = bar->played->slot_count, count = 0;
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    most += bar->written->counts[voice];
  bar->columns = GLN_NEW(canvas->arena, GlnScoreColumn, most);
  if (!bar->columns)
    return false;
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; p < bar->written->counts[voice]; p++)
      bar->columns[count++].at = bar->written->pieces[voice][p].start;
  for (size_t i = 0; i < bar->played->slot_count; i++)
    bar->columns[count++].at =
        gln_ratio_subtract(song->slots[bar->played->first_slot + i].start, bar->played->start);
  qsort(bar->columns, count, sizeof *bar->columns, by_time);
  for (size_t i = 0; i < count; i++)
    if (bar->column_count == 0 ||
        gln_ratio_compare(bar->columns[bar->column_count - 1].at, bar->columns[i].at) != 0)
      bar->columns[bar->column_count++] = bar->columns[i];
  return true;
}

/* Where both voices strike at once, the thumb's heads step aside if they would touch the fingers' or pass them. */
static void part_voices(GlnScoreBar *bar) {
  for (size_t f = 0; f < bar->written->counts[GLN_VOICE_FINGERS]; f++)
    for (size_t t = 0; t < bar->written->counts[GLN_VOICE_THUMB]; t++) {
      const GlnScorePiece *fingers = &bar->pieces[GLN_VOICE_FINGERS][f];
      GlnScorePiece *thumb = &bar->pieces[GLN_VOICE_THUMB][t];
      if (fingers->place != thumb->place || fingers->count == 0 || thumb->count == 0)
        continue;
      int gap = fingers->notes[0].step - thumb->notes[thumb->count - 1].step;
      if (gap > 1)
        continue;
      bool wide = false;
      for (size_t n = 0; n < fingers->count; n++)
        wide = wide || fingers->notes[n].shift > 0;
      thumb->shift = GLN_HEAD_WIDTH * (wide ? 2.1 : 1.1);
    }
}

/* The lanes of signs beside a column, nearest first: the lowest step that each holds. */
typedef struct Lanes {
  int lowest[16];
  size_t count;
} Lanes;

static size_t lane_for(Lanes *lanes, int step) {
  enum { APART = 6 }; /* a sixth: the signs of such notes do not touch */
  const size_t most = GLN_COUNT_OF(lanes->lowest);
  size_t lane = 0;
  while (lane < lanes->count && lanes->lowest[lane] - step < APART)
    lane++;
  if (lane == lanes->count && lanes->count < most)
    lanes->count++;
  lane = lane < most ? lane : most - 1;
  lanes->lowest[lane] = step;
  return lane;
}

static void stack_at(GlnScorePiece *piece, int step, Lanes *lanes) {
  for (size_t n = 0; n < piece->count; n++)
    if (piece->notes[n].shows && piece->notes[n].step == step)
      piece->notes[n].column = lane_for(lanes, step);
}

/* Accidentals of a column: from above, each as near to the heads as those before it leave room. */
static size_t stack_accidentals(GlnScoreBar *bar, size_t column) {
  Lanes lanes = {.count = 0};
  for (int step = 60; step >= -40; step--)
    for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
      for (size_t p = 0; p < bar->written->counts[voice]; p++)
        if (bar->pieces[voice][p].place == column)
          stack_at(&bar->pieces[voice][p], step, &lanes);
  return lanes.count;
}

static double room_of(double quarters) {
  return GLN_STAFF_SPACE * fmax(COLUMN_LEAST, SPACE_SIXTEENTH + SPACE_DOUBLING * log2(fmax(quarters * 4, 1)));
}

/* What a stroke needs to the right of its column; *turned: how far its heads stand to the left. */
static double right_of(const GlnScorePiece *piece, int voice, double *turned) {
  double right = piece->shift + GLN_HEAD_WIDTH;
  for (size_t n = 0; n < piece->count; n++) {
    right = fmax(right, piece->shift + piece->notes[n].shift + GLN_HEAD_WIDTH);
    *turned = fmax(*turned, -piece->notes[n].shift);
  }
  right += piece->piece->value.dots > 0 ? GLN_STAFF_SPACE * 0.9 : 0;
  if (piece->piece->value.unit >= 8 && gln_stems_up(voice)) /* room for a flag */
    right = fmax(right, GLN_HEAD_WIDTH + GLN_STAFF_SPACE);
  return right;
}

static void measure_column(GlnScoreBar *bar, size_t c) {
  GlnScoreColumn *column = &bar->columns[c];
  size_t lanes = stack_accidentals(bar, c);
  double turned = 0;
  column->right = GLN_HEAD_WIDTH;
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; p < bar->written->counts[voice]; p++) {
      const GlnScorePiece *piece = &bar->pieces[voice][p];
      if (piece->place == c && piece->count > 0)
        column->right = fmax(column->right, right_of(piece, voice, &turned));
    }
  column->left = SIGN_WIDTH * GLN_STAFF_SPACE * (double)lanes + turned;
  GlnRatio next = c + 1 < bar->column_count ? column[1].at : bar->written->quarters;
  column->wish = room_of(gln_ratio_value(gln_ratio_subtract(next, column->at)));
}

/* A name needs the room up to the next one. */
static void widen_for_name(GlnScoreBar *bar, size_t c) {
  double room = 0, need = bar->columns[c].name->ink.right + 6;
  size_t end = c;
  for (; end < bar->column_count && (end == c || !bar->columns[end].name); end++)
    room += bar->columns[end].wish;
  for (size_t i = c; room > 0 && room < need && i < end; i++)
    bar->columns[i].wish *= need / room;
}

static void measure_columns(GlnScoreBar *bar) {
  for (size_t c = 0; c < bar->column_count; c++)
    measure_column(bar, c);
  for (size_t c = 0; c < bar->column_count; c++) {
    double next = c + 1 < bar->column_count ? bar->columns[c + 1].left : GLN_STAFF_SPACE * 0.6;
    bar->columns[c].wish = fmax(bar->columns[c].wish, bar->columns[c].right + next + GLN_STAFF_SPACE * 0.4);
  }
  for (size_t c = 0; c < bar->column_count; c++)
    if (bar->columns[c].name)
      widen_for_name(bar, c);
  bar->width = bar->columns[0].left;
  for (size_t c = 0; c < bar->column_count; c++)
    bar->width += bar->columns[c].wish;
}

/* ---- rests ------------------------------------------------------------------------------------------------------- */

static bool meets(const GlnScorePiece *a, const GlnScorePiece *b) {
  GlnRatio a_end = gln_ratio_add(a->piece->start, a->piece->value.quarters);
  GlnRatio b_end = gln_ratio_add(b->piece->start, b->piece->value.quarters);
  return gln_ratio_compare(a->piece->start, b_end) < 0 && gln_ratio_compare(b->piece->start, a_end) < 0;
}

/* A rest keeps clear of what the other voice plays meanwhile; one that both voices have is shown once. */
static void place_rest(GlnScoreBar *bar, int voice, GlnScorePiece *rest) {
  int other = voice == GLN_VOICE_FINGERS ? GLN_VOICE_THUMB : GLN_VOICE_FINGERS;
  bool up = gln_stems_up(voice);
  rest->rest_step = bar->silent[other] ? GLN_STAFF_MIDDLE : up ? 6 : 0;
  for (size_t p = 0; p < bar->written->counts[other]; p++) {
    const GlnScorePiece *near = &bar->pieces[other][p];
    if (!meets(rest, near))
      continue;
    if (near->count == 0) {
      bool same = near->place == rest->place &&
                  gln_ratio_compare(near->piece->value.quarters, rest->piece->value.quarters) == 0;
      rest->hidden = rest->hidden || (same && !up);
      if (same)
        rest->rest_step = GLN_STAFF_MIDDLE;
    } else if (up) {
      rest->rest_step = fmax(rest->rest_step, near->notes[near->count - 1].step + 5);
    } else {
      rest->rest_step = fmin(rest->rest_step, near->notes[0].step - 5);
    }
  }
  rest->rest_step = 2 * floor(rest->rest_step / 2); /* on a line */
  rest->hidden = rest->hidden || bar->silent[voice];
}

static void place_rests(GlnScoreBar *bar) {
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++) {
    bar->silent[voice] = true;
    for (size_t p = 0; p < bar->written->counts[voice]; p++)
      bar->silent[voice] = bar->silent[voice] && bar->pieces[voice][p].count == 0;
  }
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; p < bar->written->counts[voice]; p++)
      if (bar->pieces[voice][p].count == 0)
        place_rest(bar, voice, &bar->pieces[voice][p]);
}

/* ---- beams -------------------------------------------------------------------------------------------------------- */

static int64_t part_of(GlnRatio at, GlnRatio length) {
  GlnRatio parts = gln_ratio_divide(at, length);
  return parts.num / parts.den;
}

/* Eighths alone are beamed by the half bar in meters of four beats, all else by the beat. */
static GlnRatio beam_length(const GlnScoreBar *bar, int voice, size_t first) {
  const GlnNotationBar *written = bar->written;
  bool compound = gln_meter_is_compound(written->beats, written->unit);
  GlnRatio beat = compound ? gln_ratio(12, written->unit) : gln_ratio(4, written->unit);
  if (gln_ratio_compare(beat, gln_ratio(1, 2)) <=
      0) /* 7/8: two eighths, two, three would need its grouping */
    beat = gln_ratio(1, 1);
  GlnRatio half = gln_ratio(2, 1);
  if (compound || written->unit != 4 || written->beats % 4 != 0)
    return beat;
  int64_t here = part_of(written->pieces[voice][first].start, half);
  for (size_t p = 0; p < written->counts[voice]; p++) {
    const GlnNotationPiece *piece = &written->pieces[voice][p];
    if (part_of(piece->start, half) == here &&
        (piece->count == 0 || piece->value.unit != 8 || piece->value.dots > 0 || piece->value.actual != 0))
      return beat;
  }
  return half;
}

static void find_beams(GlnScoreBar *bar, int voice) {
  const GlnNotationBar *written = bar->written;
  for (size_t p = 0; p < written->counts[voice]; p++)
    bar->pieces[voice][p].beam_last = p;
  for (size_t p = 0; p < written->counts[voice];) {
    size_t last = p;
    GlnRatio length = beam_length(bar, voice, p);
    while (last < written->counts[voice] && written->pieces[voice][last].count > 0 &&
           written->pieces[voice][last].value.unit >= 8 &&
           part_of(written->pieces[voice][last].start, length) ==
               part_of(written->pieces[voice][p].start, length))
      last++;
    if (last > p + 1) {
      bar->pieces[voice][p].beam_last = last - 1;
      for (size_t i = p; i < last; i++)
        bar->pieces[voice][i].beamed = true;
    }
    p = last > p ? last : p + 1;
  }
}

/* The columns, and each voice's pieces at theirs, still without heads. */
static bool begin_bar(GlnCanvas *canvas, const GlnSong *song, GlnScoreBar *bar) {
  if (!find_columns(canvas, song, bar))
    return false;
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++) {
    bar->pieces[voice] = GLN_NEW(canvas->arena, GlnScorePiece, bar->written->counts[voice]);
    if (bar->pieces[voice] == NULL)
      return false;
    for (size_t p = 0; p < bar->written->counts[voice]; p++) {
      const GlnNotationPiece *from = &bar->written->pieces[voice][p];
      bar->pieces[voice][p].piece = from;
      bar->pieces[voice][p].place = column_at(bar, from->start);
    }
  }
  return true;
}

void gln_score_bar_prepare_slashes(GlnCanvas *canvas, const GlnSong *song,
                                   const GlnScoreNote heads[GLN_VOICE_COUNT], GlnScoreBar *bar) {
  bool good = begin_bar(canvas, song, bar);
  for (int voice = 0; good && voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; good && p < bar->written->counts[voice]; p++) {
      GlnScorePiece *piece = &bar->pieces[voice][p];
      piece->notes = GLN_NEW(canvas->arena, GlnScoreNote, 1);
      good = piece->notes != NULL;
      if (good)
        piece->notes[0] = heads[voice];
      piece->count = piece->piece->count > 0;
    }
  if (!good) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return;
  }
  place_rests(bar);
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++) {
    find_beams(bar, voice);
    for (size_t p = 0; p < bar->written->counts[voice]; p++)
      bar->pieces[voice][p].rest_step = heads[voice].step + (voice == GLN_VOICE_FINGERS ? 4 : -4);
  }
}

void gln_score_bar_prepare(GlnCanvas *canvas, const GlnSong *song, GlnKey key,
                           const GlnInstrument *instrument, GlnScoreBar *bar) {
  bool good = begin_bar(canvas, song, bar);
  for (int voice = 0; good && voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; good && p < bar->written->counts[voice]; p++) {
      GlnScorePiece *piece = &bar->pieces[voice][p];
      good = fill_piece(canvas, song, key, instrument, bar, piece);
      if (good)
        shift_seconds(piece, gln_stems_up(voice));
    }
  if (!good) {
    gln_canvas_fail(canvas, GLN_MEMORY);
    return;
  }
  for (size_t i = 0; i < bar->played->slot_count; i++) {
    const GlnSlot *slot = &song->slots[bar->played->first_slot + i];
    size_t c = column_at(bar, gln_ratio_subtract(slot->start, bar->played->start));
    if (!slot->event->continues && slot->event->symbol.length > 0)
      bar->columns[c].name =
          gln_chord_name_shape(canvas, slot->event->symbol, &slot->event->chord, 10.5, 130);
  }
  show_accidentals(bar, key);
  part_voices(bar);
  place_rests(bar);
  measure_columns(bar);
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    find_beams(bar, voice);
}

/* ---- stems -------------------------------------------------------------------------------------------------------- */

static double free_stem(const GlnScorePiece *piece, bool up) {
  double head = up ? piece->notes[piece->count - 1].step : piece->notes[0].step;
  bool outward = up ? head > GLN_STAFF_TOP - 2 : head < 2;
  double length = outward ? STEM_OUTWARD : STEM;
  if (piece->piece->value.unit >= 8)
    length = STEM_FLAGGED;
  double end = up ? head + length : head - length;
  return up ? fmax(end, GLN_STAFF_MIDDLE) : fmin(end, GLN_STAFF_MIDDLE);
}

/* A beam follows its outer notes, at most SLANT steps, and stays clear of every head. */
static void stem_beam(GlnScoreBar *bar, int voice, size_t first) {
  bool up = gln_stems_up(voice);
  GlnScorePiece *pieces = bar->pieces[voice];
  size_t last = pieces[first].beam_last;
  double way = up ? 1 : -1;
  double from = free_stem(&pieces[first], up), to = free_stem(&pieces[last], up);
  double rise = fmax(-SLANT, fmin(SLANT, (to - from) * 0.5));
  double left = bar->columns[pieces[first].place].x, right = bar->columns[pieces[last].place].x;
  double start = from, lift = 0;
  for (size_t p = first; p <= last; p++) {
    double x = bar->columns[pieces[p].place].x;
    double part = right > left ? (x - left) / (right - left) : 0;
    pieces[p].stem_end = start + rise * part;
    double head = up ? pieces[p].notes[pieces[p].count - 1].step : pieces[p].notes[0].step;
    double least = STEM_BEAMED + (pieces[p].piece->value.unit >= 16 ? 1.5 : 0);
    lift = fmax(lift, least - way * (pieces[p].stem_end - head));
    lift = fmax(lift, way * (GLN_STAFF_MIDDLE - pieces[p].stem_end));
  }
  for (size_t p = first; p <= last; p++)
    pieces[p].stem_end += way * lift;
}

void gln_score_bar_stems(GlnScoreBar *bar) {
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; p < bar->written->counts[voice]; p++) {
      GlnScorePiece *piece = &bar->pieces[voice][p];
      if (piece->count > 0 && !piece->beamed)
        piece->stem_end = free_stem(piece, gln_stems_up(voice));
      else if (piece->beam_last > p)
        stem_beam(bar, voice, p);
    }
}

void gln_score_bar_reach(const GlnScoreBar *bar, double *high, double *low) {
  for (int voice = 0; voice < GLN_VOICE_COUNT; voice++)
    for (size_t p = 0; p < bar->written->counts[voice]; p++) {
      const GlnScorePiece *piece = &bar->pieces[voice][p];
      double top = piece->rest_step + 3, bottom = piece->rest_step - 3;
      if (piece->count > 0) {
        double extra = piece->piece->value.actual != 0 ? 5 : 0; /* the tuplet's number */
        bool up = gln_stems_up(voice);
        top = fmax(piece->notes[piece->count - 1].step + 2, up ? piece->stem_end + extra : 0);
        bottom = fmin(piece->notes[0].step - 2, up ? 0 : piece->stem_end - extra);
      }
      if (piece->hidden)
        continue;
      *high = fmax(*high, top);
      *low = fmin(*low, bottom);
    }
}
