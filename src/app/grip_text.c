/* A grip in text and in JSON: frets, fingers, notes, degrees, and a small picture of it. */
#include "app_internal.h"

GlnText gln_frets_text(const GlnGrip *grip, GlnArena *arena) {
  char text[GLN_FRETS_TEXT_MAX];
  size_t length = gln_frets_print(&grip->frets, text);
  const char *copy = gln_text_copy(arena, (GlnText){text, length});
  return gln_text(copy);
}

GlnText gln_fingers_text(const GlnGrip *grip, GlnArena *arena) {
  char text[GLN_FRETS_TEXT_MAX];
  size_t length = gln_fingers_print(&grip->frets, &grip->fingering, text);
  const char *copy = gln_text_copy(arena, (GlnText){text, length});
  return gln_text(copy);
}

void gln_add_chord_notes(const GlnChord *chord, GlnBuffer *out) {
  for (int t = 0; t < chord->tone_count; t++) {
    char text[GLN_NOTE_TEXT_MAX];
    (void)gln_note_print(chord->tones[t].note, GLN_SIGNS_ASCII, text);
    gln_buffer_format(out, "%s%s", t > 0 ? " " : "", text);
  }
}

bool gln_grip_sound_alone(const GlnInstrument *instrument, GlnGrip *grip) {
  grip->tones = 0;
  grip->textures = 0;
  grip->voices = 0;
  for (int s = 0; s < GLN_STRINGS_MAX; s++) {
    bool sounds = s < instrument->string_count && grip->frets.fret[s] != GLN_NOT_PLAYED;
    grip->tone[s] = -1;
    grip->midi[s] = sounds ? (int8_t)gln_sounding_midi(instrument, s, grip->frets.fret[s]) : -1;
    if (!sounds)
      continue;
    if (grip->voices == 0 || grip->midi[s] < grip->midi[grip->bass_string])
      grip->bass_string = (int8_t)s;
    if (grip->voices == 0 || grip->midi[s] > grip->midi[grip->top_string])
      grip->top_string = (int8_t)s;
    grip->voices++;
  }
  return grip->voices > 0;
}

void gln_add_notes(const GlnChord *chord, const GlnGrip *grip, GlnBuffer *out) {
  bool first = true;
  for (int s = 0; s < grip->frets.string_count; s++) {
    if (grip->tone[s] < 0)
      continue;
    char text[GLN_NOTE_TEXT_MAX];
    (void)gln_note_print(chord->tones[grip->tone[s]].note, GLN_SIGNS_ASCII, text);
    gln_buffer_format(out, "%s%s", first ? "" : " ", text);
    first = false;
  }
}

void gln_add_degrees(const GlnChord *chord, const GlnGrip *grip, GlnBuffer *out) {
  bool first = true;
  for (int s = 0; s < grip->frets.string_count; s++) {
    if (grip->tone[s] < 0)
      continue;
    char text[GLN_DEGREE_TEXT_MAX];
    (void)gln_degree_print(chord->tones[grip->tone[s]].degree, GLN_SIGNS_ASCII, text);
    gln_buffer_format(out, "%s%s", first ? "" : " ", text);
    first = false;
  }
}

void gln_add_grip_json(GlnJson *json, const GlnChord *chord, const GlnGrip *grip) {
  char text[GLN_FRETS_TEXT_MAX];
  size_t length = gln_frets_print(&grip->frets, text);
  gln_json_add_text(json, "frets", (GlnText){text, length});
  length = gln_fingers_print(&grip->frets, &grip->fingering, text);
  gln_json_add_text(json, "fingers", (GlnText){text, length});
  char shape[GLN_SHAPE_TEXT_MAX];
  length = gln_grip_shape_print(grip, shape);
  gln_json_add_text(json, "shape", (GlnText){shape, length});
  gln_json_open_array(json, "notes");
  for (int s = 0; s < grip->frets.string_count; s++) {
    if (grip->tone[s] < 0)
      continue;
    char name[GLN_NOTE_TEXT_MAX];
    GlnPitch pitch = gln_pitch_at(chord->tones[grip->tone[s]].note, grip->midi[s]);
    length = gln_pitch_print(pitch, GLN_SIGNS_ASCII, name);
    gln_json_add_text(json, NULL, (GlnText){name, length});
  }
  gln_json_close(json);
  gln_json_open_array(json, "degrees");
  for (int s = 0; s < grip->frets.string_count; s++) {
    if (grip->tone[s] < 0)
      continue;
    char name[GLN_DEGREE_TEXT_MAX];
    length = gln_degree_print(chord->tones[grip->tone[s]].degree, GLN_SIGNS_ASCII, name);
    gln_json_add_text(json, NULL, (GlnText){name, length});
  }
  gln_json_close(json);
}

/* ---- the picture ------------------------------------------------------------------------------------------------- */

/* Strings stand upright, the lowest on the left; a finger's number lies on its string in its fret's row, and a barre
 * is drawn through. Four rows hold nearly every grip; a wider one gets as many as it needs. Design choice. */
#define ROWS_MIN 4
#define SIDE     3 /* columns for the fret's number, before the strings */

typedef struct Window {
  int first, rows;
} Window;

/* The frets to show: from the first when the grip lies near the nut. */
static Window window_of(const GlnGrip *grip) {
  int low = GLN_FRETS_MAX + 1, high = 0;
  for (int s = 0; s < grip->frets.string_count; s++) {
    int fret = grip->frets.fret[s];
    if (fret < 1)
      continue;
    low = fret < low ? fret : low;
    high = fret > high ? fret : high;
  }
  if (high <= ROWS_MIN)
    low = 1;
  int rows = high - low + 1;
  return (Window){low, rows < ROWS_MIN ? ROWS_MIN : rows};
}

static size_t picture_columns(const GlnGrip *grip) {
  return SIDE + 2 * (size_t)grip->frets.string_count - 1;
}

static const GlnBarre *barre_over(const GlnGrip *grip, int string, int fret) {
  for (int b = 0; b < grip->fingering.barre_count; b++) {
    const GlnBarre *barre = &grip->fingering.barres[b];
    if (barre->fret == fret && barre->low_string <= string && string <= barre->high_string)
      return barre;
  }
  return NULL;
}

/* The string drawn in a column: a left-handed player's neck is the mirror of a right-handed one's. */
static int string_in(const GlnGrip *grip, int column, bool left_handed) {
  return left_handed ? grip->frets.string_count - 1 - column : column;
}

static void add_open_row(const GlnGrip *grip, bool left_handed, GlnBuffer *out) {
  gln_buffer_add_repeated(out, GLN_TEXT(" "), SIDE);
  for (int column = 0; column < grip->frets.string_count; column++) {
    int fret = grip->frets.fret[string_in(grip, column, left_handed)];
    gln_buffer_add_string(out, column > 0 ? " " : "");
    gln_buffer_add_byte(out, fret == 0 ? 'o' : fret < 0 ? 'x' : ' ');
  }
}

static void add_top_row(const GlnGrip *grip, bool nut, GlnBuffer *out) {
  int count = grip->frets.string_count;
  gln_buffer_add_repeated(out, GLN_TEXT(" "), SIDE);
  for (int s = 0; s < count; s++) {
    const char *plain = s == 0 ? "┌" : s < count - 1 ? "┬" : "┐";
    const char *thick = s == 0 ? "╒" : s < count - 1 ? "╤" : "╕";
    gln_buffer_add_string(out, nut ? thick : plain);
    if (s < count - 1)
      gln_buffer_add_string(out, nut ? "═" : "─");
  }
}

static void add_fret_row(const GlnGrip *grip, int fret, bool left_handed, GlnBuffer *out) {
  int count = grip->frets.string_count;
  gln_buffer_format(out, "%2d ", fret);
  for (int column = 0; column < count; column++) {
    int s = string_in(grip, column, left_handed);
    const GlnBarre *barre = barre_over(grip, s, fret);
    int finger = grip->fingering.finger[s];
    if (grip->frets.fret[s] == fret && finger > 0)
      gln_buffer_add_byte(out, finger == 5 ? 'T' : (char)('0' + finger));
    else if (barre != NULL)
      gln_buffer_add_string(out, "╪");
    else
      gln_buffer_add_string(out, column == 0 ? "├" : column < count - 1 ? "┼" : "┤");
    if (column == count - 1)
      break;
    bool goes_on = barre != NULL && barre_over(grip, string_in(grip, column + 1, left_handed), fret) == barre;
    gln_buffer_add_string(out, goes_on ? "═" : "─");
  }
}

static void add_picture_row(const GlnGrip *grip, int row, bool left_handed, GlnBuffer *out) {
  Window window = window_of(grip);
  if (row == 0)
    add_open_row(grip, left_handed, out);
  else if (row == 1)
    add_top_row(grip, window.first == 1, out);
  else if (row - 2 < window.rows)
    add_fret_row(grip, window.first + row - 2, left_handed, out);
  else
    gln_buffer_add_repeated(out, GLN_TEXT(" "), picture_columns(grip));
}

static void add_titles(const GlnRankedGrip *grips, size_t count, GlnArena *arena, GlnBuffer *out) {
  for (size_t i = 0; i < count; i++) {
    GlnBuffer title = gln_buffer(arena);
    gln_buffer_add_repeated(&title, GLN_TEXT(" "), SIDE);
    gln_buffer_add(&title, gln_frets_text(grips[i].grip, arena));
    if (i + 1 < count)
      gln_buffer_add_padded(out, gln_buffer_text(&title), picture_columns(grips[i].grip) + SIDE);
    else
      gln_buffer_add(out, gln_buffer_text(&title));
  }
  gln_buffer_add_byte(out, '\n');
}

static void add_trimmed(const GlnBuffer *row, GlnBuffer *out) {
  GlnText text = gln_buffer_text(row);
  while (text.length > 0 && text.at[text.length - 1] == ' ')
    text.length--;
  gln_buffer_add(out, text);
  gln_buffer_add_byte(out, '\n');
  out->failed = out->failed || row->failed;
}

size_t gln_add_pictures(const GlnRankedGrip *grips, size_t count, size_t columns, bool left_handed,
                        GlnArena *arena, GlnBuffer *out) {
  size_t shown = count == 0 ? 0 : (columns + SIDE) / (picture_columns(grips[0].grip) + SIDE);
  shown = shown < count ? shown : count;
  int rows = 0;
  for (size_t i = 0; i < shown; i++) {
    int needed = window_of(grips[i].grip).rows + 2;
    rows = needed > rows ? needed : rows;
  }
  if (shown > 0)
    add_titles(grips, shown, arena, out);
  for (int row = 0; row < rows; row++) {
    GlnBuffer line = gln_buffer(arena);
    for (size_t i = 0; i < shown; i++) {
      add_picture_row(grips[i].grip, row, left_handed, &line);
      gln_buffer_add_repeated(&line, GLN_TEXT(" "), SIDE);
    }
    add_trimmed(&line, out);
  }
  return shown;
}
