/* Typesets a chord symbol as its author typed it: the words stay theirs, the signs become real ones.
 * Root bold and large; flats and sharps from the music face (SMuFL chord-symbol accidentals U+ED60..U+ED62),
 * said as U+266D and U+266F so that copying and searching find them; the rest smaller, level with the root's
 * top. */
#include "page_internal.h"

#include <math.h>

/* Parts of the root letter's size; design choice, judged by eye on printed pages. */
#define QUALITY_SIZE    0.70
#define QUALITY_RISE    0.22
#define BASS_SIZE       0.84
#define FLAT_SIZE       1.14 /* of the letters beside it */
#define SHARP_SIZE      0.96
#define ACCIDENTAL_RISE 0.06
#define QUALITY_STRETCH 0.92

#define SEGMENTS_MAX 64 /* past this the rest is set in one piece */

typedef struct Setter {
  GlnSegment segments[SEGMENTS_MAX];
  size_t count;
} Setter;

static void set(Setter *setter, GlnSegment segment) {
  if (segment.text.length > 0 && setter->count < SEGMENTS_MAX)
    setter->segments[setter->count++] = segment;
}

static void set_accidental(Setter *setter, bool flat, double size, double rise) {
  set(setter, (GlnSegment){.text = flat ? GLN_TEXT("\uED60") : GLN_TEXT("\uED62"),
                           .said = flat ? GLN_TEXT("\u266D") : GLN_TEXT("\u266F"),
                           .face = GLN_FACE_MUSIC,
                           .size = size * (flat ? FLAT_SIZE : SHARP_SIZE),
                           .stretch = 1,
                           .rise = rise + size * ACCIDENTAL_RISE});
}

static void set_note(Setter *setter, GlnText letter, GlnNote note, GlnFace face, double size) {
  set(setter, (GlnSegment){.text = letter, .face = face, .size = size, .stretch = 1});
  for (int i = 0; i < note.accidental || i < -note.accidental; i++)
    set_accidental(setter, note.accidental < 0, size, 0);
}

/* Bytes of a flat or sharp sign at this place of a quality ("b5", "#11", "♭9"), 0 when there is none. */
static size_t sign_at(GlnText text, size_t at, bool *flat) {
  GlnText rest = gln_text_from(text, at);
  bool unicode_flat = gln_text_starts(rest, GLN_TEXT("\u266D"));
  if (unicode_flat || gln_text_starts(rest, GLN_TEXT("\u266F"))) {
    *flat = unicode_flat;
    return 3;
  }
  bool typed = rest.length > 1 && (rest.at[0] == 'b' || rest.at[0] == '#') &&
               (gln_is_digit(rest.at[1]) || rest.at[1] == rest.at[0]);
  *flat = typed && rest.at[0] == 'b';
  return typed ? 1 : 0;
}

static void set_quality(Setter *setter, GlnText text, double size) {
  GlnSegment plain = {.face = GLN_FACE_TEXT,
                      .size = size * QUALITY_SIZE,
                      .stretch = QUALITY_STRETCH,
                      .rise = size * QUALITY_RISE};
  size_t start = 0, at = 0;
  while (at < text.length) {
    bool flat = false;
    size_t sign = setter->count + 3 < SEGMENTS_MAX ? sign_at(text, at, &flat) : 0;
    bool minus = sign == 0 && text.at[at] == '-' && setter->count + 3 < SEGMENTS_MAX;
    if (sign == 0 && !minus) {
      at += gln_text_code_point(text, at, NULL);
      continue;
    }
    plain.text = gln_text_slice(text, start, at - start);
    plain.said = GLN_TEXT("");
    set(setter, plain);
    if (minus) {
      plain.text = GLN_TEXT("\u2212");
      plain.said = GLN_TEXT("-");
      set(setter, plain);
      at++;
    } else {
      set_accidental(setter, flat, plain.size, plain.rise);
      at += sign;
    }
    start = at;
  }
  plain.text = gln_text_from(text, start);
  plain.said = GLN_TEXT("");
  set(setter, plain);
}

/* Where the slash bass begins ("/E" at the very end), or the symbol's length. */
static size_t bass_at(GlnText symbol, const GlnChord *chord, GlnNote *bass) {
  for (size_t at = symbol.length; chord->has_bass && at-- > 1;) {
    if (symbol.at[at] != '/')
      continue;
    size_t used = 0;
    GlnText rest = gln_text_trim(gln_text_from(symbol, at + 1));
    if (gln_note_parse(rest, bass, &used) == GLN_OK && used == rest.length)
      return at;
    break;
  }
  return symbol.length;
}

static void set_symbol(Setter *setter, GlnText symbol, const GlnChord *chord, double size) {
  GlnNote root, bass = {0};
  size_t used = 0;
  setter->count = 0;
  if (chord->silent || gln_note_parse(symbol, &root, &used) != GLN_OK) {
    set(setter, (GlnSegment){.text = symbol, .face = GLN_FACE_TEXT, .size = size * BASS_SIZE, .stretch = 1});
    return;
  }
  size_t slash = bass_at(symbol, chord, &bass);
  set_note(setter, gln_text_slice(symbol, 0, 1), root, GLN_FACE_BOLD, size);
  set_quality(setter, gln_text_slice(symbol, used, slash - used), size);
  if (slash < symbol.length && setter->count + 6 < SEGMENTS_MAX) {
    GlnText rest = gln_text_trim(gln_text_from(symbol, slash + 1));
    set(setter,
        (GlnSegment){.text = GLN_TEXT("/"), .face = GLN_FACE_TEXT, .size = size * BASS_SIZE, .stretch = 1});
    set_note(setter, gln_text_slice(rest, 0, 1), bass, GLN_FACE_BOLD, size * BASS_SIZE);
  }
}

const GlnShaped *gln_chord_name_shape(GlnCanvas *canvas, GlnText symbol, const GlnChord *chord, double size,
                                      double width) {
  Setter setter;
  set_symbol(&setter, symbol, chord, size);
  const GlnShaped *name = gln_canvas_shape(canvas, setter.segments, setter.count);
  double wide = fmax(name->advance, name->ink.right);
  if (wide <= width || wide <= 0)
    return name;
  /* Condense to three quarters at most, then make the whole smaller. */
  double squeeze = fmax(width / wide, 0.75), smaller = fmin(1, width / (wide * squeeze));
  set_symbol(&setter, symbol, chord, size * smaller);
  for (size_t i = 0; i < setter.count; i++)
    setter.segments[i].stretch *= squeeze;
  return gln_canvas_shape(canvas, setter.segments, setter.count);
}
