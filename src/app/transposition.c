/* A chart moved to another key: chords, key, pins and top notes; everything else stays as it was typed. */
#include "app_internal.h"

#include <stdlib.h>

/* ---- chords ------------------------------------------------------------------------------------------------------ */

/* Where the bass of a slash chord begins in its symbol; length when there is none. */
static size_t bass_at(GlnText symbol) {
  for (size_t at = symbol.length; at-- > 1;) {
    GlnNote bass;
    size_t used = 0;
    GlnText rest = gln_text_from(symbol, at);
    if (symbol.at[at - 1] == '/' && gln_note_parse(rest, &bass, &used) == GLN_OK && used == rest.length)
      return at;
  }
  return symbol.length;
}

static void add_note(GlnBuffer *out, GlnNote note) {
  char text[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(note, GLN_SIGNS_ASCII, text);
  gln_buffer_add_string(out, text);
}

/* The symbol in its author's dialect with new notes; the room's own spelling where that would not read the same. */
static GlnText moved_symbol(GlnText symbol, const GlnChord *moved, GlnArena *arena) {
  GlnNote root;
  size_t used = 0;
  GlnBuffer out = gln_buffer(arena);
  if (gln_note_parse(symbol, &root, &used) == GLN_OK) {
    size_t bass = moved->has_bass ? bass_at(symbol) : symbol.length;
    add_note(&out, moved->root);
    gln_buffer_add(&out, gln_text_slice(symbol, used, bass > used ? bass - used : 0));
    if (bass < symbol.length)
      add_note(&out, moved->bass);
    GlnChord read;
    if (gln_chord_parse(gln_buffer_text(&out), &read, NULL) == GLN_OK && gln_chord_equal(&read, moved))
      return gln_buffer_text(&out);
  }
  char text[GLN_SYMBOL_TEXT_MAX];
  size_t length = gln_chord_print(moved, GLN_SIGNS_ASCII, text);
  return gln_text(gln_text_copy(arena, (GlnText){text, length}));
}

/* ---- pins -------------------------------------------------------------------------------------------------------- */

/* The frets slid along the neck; false when they have an open string or run off it. */
static bool slide(const GlnFrets *frets, int by, int fret_count, GlnFrets *moved) {
  *moved = *frets;
  for (int s = 0; s < frets->string_count; s++) {
    if (frets->fret[s] == GLN_NOT_PLAYED)
      continue;
    int fret = frets->fret[s] + by;
    if (by != 0 && (frets->fret[s] == 0 || fret < 1 || fret > fret_count))
      return false;
    moved->fret[s] = (int8_t)fret;
  }
  return true;
}

/* Moves the pin by as many frets, an octave more or less where the neck asks for it; *by becomes the way it went. */
static void move_pin(GlnEvent *event, const GlnTransposition *move, int *by, GlnArena *arena,
                     GlnDiags *diags) {
  GlnFrets frets, moved;
  if (gln_frets_parse(event->pin, &frets, NULL) != GLN_OK)
    return;
  const int ways[] = {move->semitones, move->semitones - 12, move->semitones + 12};
  for (size_t w = 0; w < GLN_COUNT_OF(ways); w++)
    if (slide(&frets, ways[w], move->fret_count, &moved)) {
      char text[GLN_FRETS_TEXT_MAX];
      size_t length = gln_frets_print(&moved, text);
      event->pin = gln_text(gln_text_copy(arena, (GlnText){text, length}));
      *by = ways[w];
      return;
    }
  gln_diags_format(diags, GLN_WARNING, event->pin_offset, event->pin.length,
                   "pin another grip in the new key if you want one",
                   "this pinned grip cannot slide %d frets along the neck, so the pin is left out",
                   move->semitones);
  event->pin = GLN_TEXT("");
}

static bool is_of_key(GlnNote note, GlnKey key) {
  static const int8_t scales[2][7] = {{0, 2, 4, 5, 7, 9, 11}, {0, 2, 3, 5, 7, 8, 10}};
  GlnDegree degree = gln_degree_between(key.tonic, note);
  return gln_degree_semitones(degree) == scales[key.minor][degree.number - 1];
}

/* E7 for F♭7 and B for C♭: outside the keys that have them, players write and read the white key's own name. */
static GlnChord plainly_named(GlnChord chord, GlnKey key) {
  static const struct {
    GlnNote odd, plain;
  } names[] = {{{3, -1}, {2, 0}}, {{0, -1}, {6, 0}}, {{2, 1}, {3, 0}}, {{6, 1}, {0, 0}}};
  for (size_t i = 0; i < GLN_COUNT_OF(names); i++)
    if (gln_note_equal(chord.root, names[i].odd) && !is_of_key(chord.root, key))
      return gln_chord_transpose(&chord, names[i].odd, names[i].plain);
  return chord;
}

/* ---- the chart ----------------------------------------------------------------------------------------------------- */

/* A note as far from the new tonic as it was from the old; where that needs a double accidental, as the key spells it. */
static GlnNote moved_note(GlnNote note, const GlnTransposition *move) {
  GlnNote moved = gln_note_above(move->to.tonic, gln_degree_between(move->from.tonic, note));
  return abs(moved.accidental) > 1 ? gln_key_spell(move->to, gln_note_pitch_class(moved)) : moved;
}

static GlnPitch moved_pitch(GlnPitch pitch, int by, const GlnTransposition *move) {
  return gln_pitch_at(moved_note(pitch.note, move), gln_pitch_midi(pitch) + by);
}

static void move_tune(GlnBar *bar, const GlnTransposition *move) {
  for (size_t n = 0; n < bar->tune_count; n++)
    if (bar->tune[n].kind == GLN_TUNE_NOTE)
      bar->tune[n].pitch = moved_pitch(bar->tune[n].pitch, move->semitones, move);
}

static void move_event(GlnEvent *event, const GlnTransposition *move, bool first_time, GlnArena *arena,
                       GlnDiags *diags) {
  GlnDiags unheard = gln_diags(arena);
  int by = move->semitones;
  if (event->pin.length > 0)
    move_pin(event, move, &by, arena, first_time ? diags : &unheard);
  if (event->has_top)
    event->top = event->top_has_octave ? moved_pitch(event->top, by, move)
                                       : (GlnPitch){moved_note(event->top.note, move), event->top.octave};
  if (event->chord.silent)
    return;
  event->chord =
      plainly_named(gln_chord_transpose(&event->chord, move->from.tonic, move->to.tonic), move->to);
  event->symbol = moved_symbol(event->symbol, &event->chord, arena);
}

GlnStatus gln_transposition_write(GlnText source, const GlnTransposition *move, GlnArena *arena,
                                  GlnDiags *diags, GlnText *text) {
  GlnChart *chart = NULL;
  GlnDiags known = gln_diags(arena); /* the source was read before: its faults have been told */
  GLN_TRY(gln_chart_read(source, arena, &known, &chart));
  for (size_t s = 0; s < chart->section_count; s++)
    for (size_t b = 0; b < chart->sections[s].bar_count; b++) {
      GlnBar *bar = &chart->sections[s].bars[b];
      for (size_t e = 0; e < bar->event_count; e++)
        move_event(&bar->events[e], move, !bar->same_as_last, arena, diags);
      move_tune(bar, move);
    }
  if (chart->has_key)
    chart->key.tonic = move->to.tonic;
  GlnBuffer out = gln_buffer(arena);
  GLN_TRY(gln_chart_write(chart, &out));
  GLN_TRY(gln_buffer_status(&out));
  *text = gln_buffer_text(&out);
  return GLN_OK;
}

/* ---- keys ------------------------------------------------------------------------------------------------------------ */

GlnNote gln_tonic_named(GlnKey home, int semitones) {
  int pitch_class = ((gln_note_pitch_class(home.tonic) + semitones) % 12 + 12) % 12;
  bool flats = gln_key_fifths(home) < 0;
  GlnNote best = home.tonic;
  int best_signs = 99;
  for (int8_t letter = 0; letter < 7; letter++)
    for (int8_t accidental = -1; accidental <= 1; accidental++) {
      GlnKey key = {{letter, accidental}, home.minor};
      int fifths = gln_key_fifths(key);
      /* Of two names with as many signs, F♯ and G♭, the one with the old key's kind. */
      int signs = 2 * abs(fifths) + ((fifths < 0) == flats ? 0 : 1);
      if (gln_note_pitch_class(key.tonic) != pitch_class || signs >= best_signs)
        continue;
      best = key.tonic;
      best_signs = signs;
    }
  return pitch_class == gln_note_pitch_class(home.tonic) ? home.tonic : best;
}
