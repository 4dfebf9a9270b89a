/* Items: what makes two the same, and what makes two look alike to the hand. */
#include "study.h"

#include <stdlib.h>
#include <string.h>

const char *gln_item_kind_key(GlnItemKind kind) {
  return kind == GLN_ITEM_GRIP ? "grip" : "move";
}

/* ---- identity ---------------------------------------------------------------------------------------------------- */

/* The lowest stopped fret; 0 when an open string sounds or nothing is stopped: such a shape stays where it is. */
static int movable_from(const GlnHandShape *shape) {
  int lowest = 0;
  for (int i = 0; i < shape->frets.string_count; i++) {
    int fret = shape->frets.fret[i];
    if (fret == 0)
      return 0;
    if (fret > 0 && (lowest == 0 || fret < lowest))
      lowest = fret;
  }
  return lowest;
}

static size_t add_shape(const GlnHandShape *shape, int down, char *out, size_t at) {
  GlnFrets frets = shape->frets;
  for (int i = 0; i < frets.string_count; i++)
    if (frets.fret[i] > 0)
      frets.fret[i] = (int8_t)(frets.fret[i] - down);
  char text[GLN_FRETS_TEXT_MAX];
  size_t length = gln_frets_print(&frets, text);
  memcpy(out + at, text, length);
  at += length;
  out[at++] = '/';
  GlnFingering fingering = {.difficulty = 0};
  memcpy(fingering.finger, shape->finger, sizeof fingering.finger);
  length = gln_fingers_print(&shape->frets, &fingering, text);
  memcpy(out + at, text, length);
  at += length;
  out[at] = '\0';
  return at;
}

size_t gln_grip_key(const GlnHandShape *shape, char out[GLN_ITEM_KEY_MAX]) {
  int lowest = movable_from(shape);
  return add_shape(shape, lowest > 0 ? lowest - 1 : 0, out, 0);
}

size_t gln_move_key(const GlnHandShape *from, const GlnHandShape *to, char out[GLN_ITEM_KEY_MAX]) {
  int a = movable_from(from), b = movable_from(to);
  int down = a > 0 && b > 0 ? (a < b ? a : b) - 1 : 0;
  size_t at = add_shape(from, down, out, 0);
  out[at++] = ' ';
  return add_shape(to, down, out, at);
}

/* ---- look-alikes --------------------------------------------------------------------------------------------------- */

#define FINGERS 5
#define STRINGS_OFF                                                                                          \
  2 /* strings, and frets, by which a shape may be displaced and still be taken for another */
#define FRETS_OFF     2
#define FINGERS_ALIKE 2 /* so many at least stand alike */
#define FINGERS_APART                                                                                        \
  1 /* and so many of either at most do not: design choices, judged on open chords and barre forms */

typedef struct Tip {
  int string, fret; /* string -1: this finger is idle */
} Tip;

static void tips_of(const GlnHandShape *shape, Tip tips[FINGERS]) {
  for (int f = 0; f < FINGERS; f++)
    tips[f] = (Tip){-1, 0};
  for (int i = shape->frets.string_count - 1; i >= 0; i--) {
    int finger = shape->finger[i];
    if (finger >= 1 && finger <= FINGERS && shape->frets.fret[i] > 0)
      tips[finger - 1] = (Tip){i, shape->frets.fret[i]};
  }
}

static bool alike_displaced(const Tip a[FINGERS], const Tip b[FINGERS], int strings, int frets) {
  int alike = 0, apart_a = 0, apart_b = 0;
  for (int f = 0; f < FINGERS; f++) {
    bool in_a = a[f].string >= 0, in_b = b[f].string >= 0;
    bool same = in_a && in_b && a[f].string + strings == b[f].string && a[f].fret + frets == b[f].fret;
    alike += same ? 1 : 0;
    apart_a += in_a && !same ? 1 : 0;
    apart_b += in_b && !same ? 1 : 0;
  }
  return alike >= FINGERS_ALIKE && apart_a <= FINGERS_APART && apart_b <= FINGERS_APART;
}

static bool grips_alike(const GlnHandShape *a, const GlnHandShape *b) {
  Tip tips_a[FINGERS], tips_b[FINGERS];
  tips_of(a, tips_a);
  tips_of(b, tips_b);
  int low_a = movable_from(a), low_b = movable_from(b);
  bool free = low_a > 0 && low_b > 0;
  int base = free ? low_b - low_a : 0;
  for (int strings = -STRINGS_OFF; strings <= STRINGS_OFF; strings++)
    for (int frets = free ? -FRETS_OFF : 0; frets <= (free ? FRETS_OFF : 0); frets++)
      if (alike_displaced(tips_a, tips_b, strings, base + frets))
        return true;
  return false;
}

bool gln_items_look_alike(const GlnMaterial *material, size_t a, size_t b) {
  const GlnStudyItem *x = &material->items[a], *y = &material->items[b];
  if (a == b || x->kind != y->kind)
    return false;
  if (x->kind == GLN_ITEM_GRIP)
    return grips_alike(&x->shape, &y->shape);
  bool from = x->from == y->from || gln_items_look_alike(material, x->from, y->from);
  bool to = x->to == y->to || gln_items_look_alike(material, x->to, y->to);
  return from && to;
}
