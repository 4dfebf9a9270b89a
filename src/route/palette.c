/* Palette: grips as colours. Two grips are one colour when frets and fingers are the same, or the shape is. */
#include "palette.h"

#include "budget.h"

#include <stdlib.h>
#include <string.h>

/* Equal bytes for one shape. */
typedef struct ShapeKey {
  int8_t fret[GLN_STRINGS_MAX]; /* -1 not played */
  int8_t finger[GLN_STRINGS_MAX];
  int8_t open_at; /* lowest stopped fret when a string is open, else -1 */
} ShapeKey;

static ShapeKey shape_key(const GlnGrip *grip) {
  ShapeKey key;
  int lowest = 0;
  bool open = false;
  memset(&key, 0, sizeof key);
  for (int s = 0; s < grip->frets.string_count; ++s) {
    int fret = grip->frets.fret[s];
    open = open || fret == 0;
    if (fret > 0 && (lowest == 0 || fret < lowest))
      lowest = fret;
  }
  key.open_at = (int8_t)(open ? lowest : -1);
  for (int s = 0; s < grip->frets.string_count; ++s) {
    int fret = grip->frets.fret[s];
    key.fret[s] = (int8_t)(fret < 0 ? -1 : fret > 0 ? fret - lowest + 1 : 0);
    key.finger[s] = (int8_t)grip->fingering.finger[s];
  }
  return key;
}

bool gln_same_shape(const GlnGrip *a, const GlnGrip *b) {
  const ShapeKey first = shape_key(a), second = shape_key(b);
  return a->frets.string_count == b->frets.string_count && memcmp(&first, &second, sizeof first) == 0;
}

typedef struct Keyed {
  ShapeKey key;
  uint32_t *colour; /* to be set */
} Keyed;

static int by_key(const void *a, const void *b) {
  const Keyed *x = a, *y = b;
  return memcmp(&x->key, &y->key, sizeof x->key);
}

/* A grip is a shape at one place. */
static ShapeKey key_of(const GlnGrip *grip, bool shapes) {
  ShapeKey key = shape_key(grip);
  for (int s = 0; !shapes && s < grip->frets.string_count; ++s)
    key.fret[s] = grip->frets.fret[s];
  return key;
}

static GlnStatus find_colours(const GlnPalette *palette, GlnArena *arena, const uint32_t ***colours,
                              uint32_t *colour_count) {
  size_t all = 0, at = 0;
  for (uint32_t g = 0; g < palette->group_count; ++g)
    all += palette->lists[g]->count;
  Keyed *keyed = GLN_NEW(arena, Keyed, all);
  uint32_t *colour = GLN_NEW(arena, uint32_t, all);
  *colours = GLN_NEW(arena, const uint32_t *, palette->group_count);
  if (keyed == NULL || colour == NULL || *colours == NULL)
    return GLN_MEMORY;
  for (uint32_t g = 0; g < palette->group_count; ++g) {
    (*colours)[g] = colour + at;
    for (size_t k = 0; k < palette->lists[g]->count; ++k, ++at)
      keyed[at] = (Keyed){key_of(&palette->lists[g]->grips[k], palette->shapes), &colour[at]};
  }
  qsort(keyed, all, sizeof *keyed, by_key);
  *colour_count = 0;
  for (size_t i = 0; i < all; ++i) {
    *colour_count += i == 0 || by_key(&keyed[i - 1], &keyed[i]) != 0 ? 1U : 0U;
    *keyed[i].colour = *colour_count - 1;
  }
  return GLN_OK;
}

/* ---- too few ---------------------------------------------------------------------------------------------------- */

#define NAMED_MAX 12 /* chords named in a message */

static void add_wish(GlnBuffer *out, const GlnEvent *event) {
  gln_buffer_add(out, event->symbol);
  if (event->pin.length > 0) {
    gln_buffer_add_byte(out, '@');
    gln_buffer_add(out, event->pin);
  } else if (event->has_top) {
    char note[GLN_NOTE_TEXT_MAX];
    size_t length = gln_note_print(event->top.note, GLN_SIGNS_ASCII, note);
    gln_buffer_add_byte(out, '^');
    gln_buffer_add(out, (GlnText){note, length});
  }
}

static GlnStatus too_few(const GlnPalette *palette, const GlnBudgetAnswer *answer, GlnArena *arena,
                         GlnDiags *diags) {
  const char *what = palette->shapes ? "shapes" : "grips", *asked = what;
  if (palette->most == 1)
    asked = palette->shapes ? "shape" : "grip";
  GlnBuffer wishes = gln_buffer(arena), advice = gln_buffer(arena);
  for (uint32_t a = 0; a < answer->apart_count && a < NAMED_MAX; ++a) {
    gln_buffer_add_string(&wishes, a == 0 ? "" : ", ");
    add_wish(&wishes, palette->events[answer->apart[a]]);
  }
  if (answer->apart_count > NAMED_MAX)
    gln_buffer_format(&wishes, " and %u more", (unsigned)(answer->apart_count - NAMED_MAX));
  gln_buffer_format(&advice, "%s --%s %u%s%s",
                    answer->fewest_is_exact ? "the fewest there can be are" : "no fewer are known than", what,
                    (unsigned)answer->fewest,
                    palette->any_bass ? "" : "; --bass any lets grips serve more chords",
                    palette->simplify ? "" : "; without --as-written chords may be simplified");
  const char *named = gln_text_copy(arena, gln_buffer_text(&wishes));
  const char *words = gln_text_copy(arena, gln_buffer_text(&advice));
  if (named == NULL || words == NULL)
    return GLN_MEMORY;
  gln_diags_format(diags, GLN_ERROR, 0, 0, words,
                   "%u %s %s too few for the %u different chords and wishes of this song: no two of these "
                   "can share one: %s",
                   (unsigned)palette->most, asked, palette->most == 1 ? "is" : "are",
                   (unsigned)palette->group_count, named);
  return GLN_NO;
}

static GlnStatus prepare(const GlnPalette *palette, GlnArena *arena, GlnBudget *budget,
                         uint32_t **free_labels, GlnBudgetAnswer *answer) {
  double total = 0;
  const uint32_t **colours = NULL;
  *budget = (GlnBudget){.trellis = palette->trellis,
                        .group = palette->group,
                        .group_count = palette->group_count,
                        .most = palette->most};
  GLN_TRY(find_colours(palette, arena, &colours, &budget->colour_count));
  budget->colours = colours;
  *free_labels = GLN_NEW(arena, uint32_t, palette->trellis->variable_count);
  answer->apart = GLN_NEW(arena, uint32_t, palette->group_count);
  if (*free_labels == NULL || answer->apart == NULL)
    return GLN_MEMORY;
  return gln_trellis_solve(palette->trellis, arena, *free_labels, &total);
}

GlnStatus gln_palette_solve(const GlnPalette *palette, GlnArena *arena, GlnDiags *diags, uint32_t *labels,
                            double *bound) {
  GlnBudget budget;
  GlnBudgetAnswer answer = {0};
  answer.labels = labels;
  uint32_t *free_labels = NULL;
  GLN_TRY(prepare(palette, arena, &budget, &free_labels, &answer));
  GlnStatus status = gln_budget_solve(&budget, free_labels, arena, &answer);
  if (status == GLN_NO)
    return too_few(palette, &answer, arena, diags);
  *bound = answer.bound;
  return status;
}

/* More colours never cost more, and a bound for more holds for fewer. */
static void even_out(GlnCurvePoint *points, size_t count) {
  for (size_t i = 1; i < count; ++i)
    if (points[i - 1].total < points[i].total) {
      points[i].total = points[i - 1].total;
      points[i].used = points[i - 1].used;
    }
  for (size_t i = count; i-- > 1;)
    points[i - 1].bound = points[i].bound > points[i - 1].bound ? points[i].bound : points[i - 1].bound;
}

GlnStatus gln_palette_curve(const GlnPalette *palette, GlnArena *arena, GlnCurvePoint *points,
                            size_t *count) {
  GlnBudget budget;
  GlnBudgetAnswer answer = {.labels = GLN_NEW(arena, uint32_t, palette->trellis->variable_count)};
  uint32_t *free_labels = NULL;
  if (answer.labels == NULL)
    return GLN_MEMORY;
  GLN_TRY(prepare(palette, arena, &budget, &free_labels, &answer));
  budget.most = UINT32_MAX;
  GLN_TRY(gln_budget_solve(&budget, free_labels, arena, &answer));
  uint32_t most = answer.used;
  *count = 0;
  for (budget.most = answer.fewest; budget.most <= most; ++budget.most) {
    GlnStatus status = gln_budget_solve(&budget, free_labels, arena, &answer);
    if (status == GLN_OK)
      points[(*count)++] = (GlnCurvePoint){budget.most, answer.used, answer.total, answer.bound};
    else if (status != GLN_NO)
      return status;
  }
  even_out(points, *count);
  return GLN_OK;
}
