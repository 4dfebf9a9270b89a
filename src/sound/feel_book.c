/* The feels at hand, and which of them a chart gets. */
#include "feel_files.h"
#include "sound_internal.h"

#include <assert.h>
#include <string.h>

#define DECLARE(symbol, file) extern const char symbol[], symbol##_end[];
GLN_FEEL_FILE_LIST(DECLARE)
#undef DECLARE

struct GlnFeelBook {
  GlnArena *arena;
  const GlnFeel **feels;
  size_t count, capacity;
};

/* ---- meters ------------------------------------------------------------------------------------------ */

bool gln_meter_valid(int64_t beats, int64_t unit) {
  return beats >= 1 && beats <= GLN_METER_BEATS_MAX && unit >= 1 && unit <= 64 && (unit & (unit - 1)) == 0;
}

GlnRatio gln_meter_quarters(int16_t beats, int16_t unit) {
  return gln_ratio(beats * 4, unit);
}

static bool is_compound(int16_t beats, int16_t unit) {
  return unit >= 8 && beats > 3 && beats % 3 == 0;
}

GlnRatio gln_meter_beat(int16_t beats, int16_t unit) {
  return gln_ratio(is_compound(beats, unit) ? 12 : 4, unit);
}

/* ---- a feel's parts ---------------------------------------------------------------------------------- */

GlnText gln_feel_name(const GlnFeel *feel) {
  return feel->name;
}

GlnText gln_feel_words(const GlnFeel *feel) {
  return feel->words;
}

void gln_feel_meter(const GlnFeel *feel, int16_t *beats, int16_t *unit) {
  *beats = feel->beats;
  *unit = feel->unit;
}

bool gln_feel_tempo(const GlnFeel *feel, double *low, double *high) {
  *low = feel->tempo_low;
  *high = feel->tempo_high;
  return feel->tempo_high > 0;
}

bool gln_feel_called(const GlnFeel *feel, GlnText name) {
  bool called = gln_text_equal_ignoring_case(feel->name, name);
  for (size_t i = 0; i < feel->also_count; i++)
    called = called || gln_text_equal_ignoring_case(feel->also[i], name);
  return called;
}

GlnRatio gln_feel_step_place(const GlnFeel *feel, int32_t step) {
  return gln_ratio_multiply(gln_meter_quarters(feel->beats, feel->unit), gln_ratio(step, feel->steps));
}

/* In each pair (the eighths of a quarter, or the sixteenths of an eighth) the first half takes swing / (swing + 1) of the
 * time, and what lies within a half is spread over it. Thirds of a pair are no halves: triplets sound as written. */
GlnRatio gln_feel_swung(const GlnFeel *feel, GlnRatio place) {
  const GlnRatio one = {1, 1}, half = {1, 2};
  GlnRatio pair = feel->swings_sixteenths ? half : one;
  GlnRatio pairs = gln_ratio_divide(place, pair);
  GlnRatio whole = gln_ratio(pairs.num / pairs.den, 1);
  GlnRatio within = gln_ratio_subtract(pairs, whole);
  if (within.den % 3 == 0)
    return place;
  GlnRatio middle = gln_ratio_divide(feel->swing, gln_ratio_add(feel->swing, one));
  GlnRatio doubled = gln_ratio_multiply(within, gln_ratio(2, 1));
  GlnRatio bent = gln_ratio_compare(within, half) < 0
                      ? gln_ratio_multiply(doubled, middle)
                      : gln_ratio_add(middle, gln_ratio_multiply(gln_ratio_subtract(doubled, one),
                                                                 gln_ratio_subtract(one, middle)));
  return gln_ratio_multiply(gln_ratio_add(whole, bent), pair);
}

GlnRatio gln_feel_swing_of(const GlnFeel *feel, GlnRatio *pair) {
  *pair = feel->swings_sixteenths ? gln_ratio(1, 2) : gln_ratio(1, 1);
  return feel->swing;
}

GlnRatio gln_feel_step_time(const GlnFeel *feel, int32_t step) {
  return gln_feel_swung(feel, gln_feel_step_place(feel, step));
}

GlnFeel *gln_feel_plain(int16_t beats, int16_t unit, GlnArena *arena) {
  GlnFeel *feel = GLN_NEW(arena, GlnFeel, 1);
  GlnStroke *thumb = GLN_NEW(arena, GlnStroke, (size_t)beats);
  GlnStroke *fingers = GLN_NEW(arena, GlnStroke, (size_t)beats);
  if (!feel || !thumb || !fingers)
    return NULL;
  int16_t group = is_compound(beats, unit) ? 3 : 1;
  for (int16_t i = 0; i < beats; i++) {
    bool beat = i % group == 0;
    thumb[i] = (GlnStroke){.kind = i == 0 ? GLN_STROKE_BASS : GLN_STROKE_RING, .weight = GLN_WEIGHT_PLAIN};
    fingers[i] = (GlnStroke){.kind = beat && (i > 0 || beats == 1) ? GLN_STROKE_PLUCK : GLN_STROKE_RING,
                             .weight = GLN_WEIGHT_PLAIN};
  }
  *feel = (GlnFeel){.name = GLN_TEXT(GLN_FEEL_PLAIN),
                    .beats = beats,
                    .unit = unit,
                    .steps = beats,
                    .bars = 1,
                    .swing = gln_ratio(1, 1),
                    .lanes = {[GLN_LANE_THUMB] = thumb, [GLN_LANE_FINGERS] = fingers}};
  return feel;
}

/* ---- the book ---------------------------------------------------------------------------------------- */

GlnStatus gln_feel_book_add(GlnFeelBook *book, const GlnFeel *feel) {
  if (book->count == book->capacity) {
    size_t capacity = book->capacity ? 2 * book->capacity : 64;
    const GlnFeel **grown = GLN_NEW(book->arena, const GlnFeel *, capacity);
    if (!grown)
      return GLN_MEMORY;
    if (book->count)
      memcpy(grown, book->feels, book->count * sizeof *grown);
    book->feels = grown;
    book->capacity = capacity;
  }
  book->feels[book->count++] = feel;
  return GLN_OK;
}

GlnStatus gln_feel_book_open(GlnArena *arena, GlnFeelBook **book) {
  static const struct {
    const char *start, *end;
  } files[] = {
#define FILE_ENTRY(symbol, file) {symbol, symbol##_end},
      GLN_FEEL_FILE_LIST(FILE_ENTRY)
#undef FILE_ENTRY
  };
  *book = GLN_NEW(arena, GlnFeelBook, 1);
  if (!*book)
    return GLN_MEMORY;
  (*book)->arena = arena;
  for (size_t i = 0; i < GLN_COUNT_OF(files); i++) {
    GlnDiags diags = gln_diags(arena);
    GlnFeel *feel;
    GlnStatus status = gln_feel_read((GlnText){files[i].start, (size_t)(files[i].end - files[i].start)},
                                     arena, &diags, &feel);
    assert(status == GLN_OK || status == GLN_MEMORY);
    GLN_TRY(status);
    GLN_TRY(gln_feel_book_add(*book, feel));
  }
  return GLN_OK;
}

size_t gln_feel_book_count(const GlnFeelBook *book) {
  return book->count;
}

const GlnFeel *gln_feel_book_at(const GlnFeelBook *book, size_t index) {
  assert(index < book->count);
  return book->feels[index];
}

/* The newest feel of this name in this meter; *other: there is one in another meter. */
static const GlnFeel *find(const GlnFeelBook *book, GlnText name, int16_t beats, int16_t unit, bool *other) {
  *other = false;
  for (size_t i = book->count; i-- > 0;) {
    const GlnFeel *feel = book->feels[i];
    if (!gln_feel_called(feel, name))
      continue;
    if (feel->beats == beats && feel->unit == unit)
      return feel;
    *other = true;
  }
  return NULL;
}

static GlnText nearest_name(const GlnFeelBook *book, GlnText name) {
  GlnText nearest = {0};
  size_t nearest_distance = SIZE_MAX;
  for (size_t i = 0; i < book->count; i++)
    for (size_t j = 0; j <= book->feels[i]->also_count; j++) {
      GlnText known = j ? book->feels[i]->also[j - 1] : book->feels[i]->name;
      size_t distance = gln_text_distance(name, known);
      if (distance < nearest_distance) {
        nearest = known;
        nearest_distance = distance;
      }
    }
  return nearest;
}

GlnStatus gln_feel_choose(const GlnFeelBook *book, GlnText name, int16_t meter_beats, int16_t meter_unit,
                          const GlnFeel **feel, GlnFeelFit *fit, GlnText *nearest) {
  *feel = NULL;
  if (nearest)
    *nearest = (GlnText){0};
  if (!gln_meter_valid(meter_beats, meter_unit))
    return GLN_LIMIT;
  bool other = false;
  name = gln_text_trim(name);
  GlnFeelFit found = GLN_FEEL_FITS;
  if (name.length) {
    *feel = find(book, name, meter_beats, meter_unit, &other);
    if (!*feel)
      found = other ? GLN_FEEL_OTHER_METER : GLN_FEEL_UNKNOWN;
  }
  if (found == GLN_FEEL_UNKNOWN && nearest)
    *nearest = nearest_name(book, name);
  if (fit)
    *fit = found;
  if (!*feel)
    *feel = find(book, GLN_TEXT(GLN_FEEL_PLAIN), meter_beats, meter_unit, &other);
  if (!*feel)
    *feel = gln_feel_plain(meter_beats, meter_unit, book->arena);
  return *feel ? GLN_OK : GLN_MEMORY;
}
