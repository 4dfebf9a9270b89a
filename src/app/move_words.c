/* A change in few words, for a column of a table: which fingers, not where to; the frets and fingers beside it say
 * that. */
#include "app_internal.h"

#define FINGERS 5

static void add_comma(GlnBuffer *out, size_t start) {
  gln_buffer_add_string(out, out->length > start ? ", " : "");
}

static void add_finger(GlnBuffer *out, int finger) {
  gln_buffer_add_byte(out, finger == FINGERS - 1 ? 'T' : (char)('1' + finger));
}

/* "keep 1 3": the fingers that do this. */
static void add_fingers(const GlnMove *move, GlnFingerMove does, const char *word, size_t start,
                        GlnBuffer *out) {
  bool first = true;
  for (int f = 0; f < FINGERS; f++) {
    if (move->finger[f] != does)
      continue;
    if (first) {
      add_comma(out, start);
      gln_buffer_add_string(out, word);
    }
    gln_buffer_add_byte(out, ' ');
    add_finger(out, f);
    first = false;
  }
}

static void add_frets(GlnBuffer *out, int frets) {
  gln_buffer_format(out, " %s %d", frets > 0 ? "up" : "down", frets > 0 ? frets : -frets);
}

/* "slide 1 3 down 2": fingers that slide the same way together. */
static void add_slides(const GlnMove *move, size_t start, GlnBuffer *out) {
  bool told[FINGERS] = {false};
  for (int f = 0; f < FINGERS; f++) {
    if (move->finger[f] != GLN_FINGER_SLIDES || told[f])
      continue;
    add_comma(out, start);
    gln_buffer_add_string(out, "slide");
    for (int g = f; g < FINGERS; g++) {
      if (move->finger[g] != GLN_FINGER_SLIDES || move->fret_change[g] != move->fret_change[f])
        continue;
      gln_buffer_add_byte(out, ' ');
      add_finger(out, g);
      told[g] = true;
    }
    add_frets(out, move->fret_change[f]);
  }
}

static bool has_barre(const GlnGrip *grip, int finger) {
  for (int b = 0; b < grip->fingering.barre_count; b++)
    if (grip->fingering.barres[b].finger == finger)
      return true;
  return false;
}

/* "barre 1": the fingers that lie flat now and did not before. */
static void add_barres(const GlnGrip *from, const GlnGrip *to, size_t start, GlnBuffer *out) {
  for (int finger = 1; finger < FINGERS; finger++) {
    if (!has_barre(to, finger) || has_barre(from, finger))
      continue;
    add_comma(out, start);
    gln_buffer_format(out, "barre %d", finger);
  }
}

void gln_add_move_words(const GlnMove *move, const GlnGrip *from, const GlnGrip *to, GlnBuffer *out) {
  size_t start = out->length;
  if (gln_frets_equal(&from->frets, &to->frets)) {
    gln_buffer_add_string(out, "same grip");
    return;
  }
  if (move->parallel && move->shift_frets != 0) {
    gln_buffer_add_string(out, "same shape");
    add_frets(out, move->shift_frets);
    return;
  }
  add_fingers(move, GLN_FINGER_STAYS, "keep", start, out);
  add_slides(move, start, out);
  add_fingers(move, GLN_FINGER_SHIFTS, "move", start, out);
  add_fingers(move, GLN_FINGER_LANDS, "add", start, out);
  add_fingers(move, GLN_FINGER_LIFTS, "lift", start, out);
  add_barres(from, to, start, out);
}
