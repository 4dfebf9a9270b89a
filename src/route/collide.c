/* Wishes that collide: which of them together leave no grip of a chord, and the nearest that can be met. */
#include "route_internal.h"

#include <stdlib.h>
#include <string.h>

/* In the order in which they are told. */
typedef enum Wish { WISH_TOP, WISH_FRETS, WISH_TEXTURE, WISH_STRINGS, WISH_OPEN, WISH_COUNT } Wish;

typedef struct Collision {
  const GlnEvent *event;
  const GlnGripQuery *query;
  GlnArena *arena;
  unsigned wishes; /* bit n: wish n is one of those that collide */
} Collision;

static bool is_asked(const GlnGripQuery *query, Wish wish) {
  switch (wish) {
  case WISH_TOP:
    return query->top_midi >= 0 || query->top_pitch_class >= 0;
  case WISH_FRETS:
    return query->fret_high > 0;
  case WISH_TEXTURE:
    return query->textures != 0;
  case WISH_STRINGS:
    return query->strings != 0;
  case WISH_OPEN:
    return query->open_wish != GLN_OPEN_ALLOWED;
  case WISH_COUNT:
    break;
  }
  return false;
}

static void let_go(GlnGripQuery *query, Wish wish) {
  if (wish == WISH_TOP) {
    query->top_midi = -1;
    query->top_pitch_class = -1;
  }
  if (wish == WISH_FRETS)
    query->fret_low = query->fret_high = 0;
  if (wish == WISH_TEXTURE)
    query->textures = 0;
  if (wish == WISH_STRINGS)
    query->strings = 0;
  if (wish == WISH_OPEN)
    query->open_wish = GLN_OPEN_ALLOWED;
}

static GlnGripQuery with_only(const GlnGripQuery *query, unsigned wishes) {
  GlnGripQuery only = *query;
  for (int w = 0; w < WISH_COUNT; ++w)
    if ((wishes >> w & 1U) == 0)
      let_go(&only, (Wish)w);
  return only;
}

static GlnStatus has_grips(const GlnGripQuery *query, GlnArena *arena, bool *has) {
  GlnGripList list = {0};
  GlnArenaMark mark = gln_arena_mark(arena);
  GlnStatus status = gln_grip_search(query, arena, &list);
  *has = list.count > 0;
  gln_arena_rewind(arena, mark);
  return status;
}

/* Takes wishes away one after the other as long as the rest still leaves no grip: none of those left can be spared. */
static GlnStatus find_collision(Collision *collision) {
  for (int w = 0; w < WISH_COUNT; ++w)
    if (is_asked(collision->query, (Wish)w))
      collision->wishes |= 1U << w;
  for (int w = WISH_COUNT - 1; w >= 0; --w) {
    unsigned without = collision->wishes & ~(1U << w);
    GlnGripQuery freer = with_only(collision->query, without);
    bool has = true;
    if ((collision->wishes >> w & 1U) != 0)
      GLN_TRY(has_grips(&freer, collision->arena, &has));
    if (!has)
      collision->wishes = without;
  }
  return GLN_OK;
}

/* ---- wishes in words ------------------------------------------------------------------------------------------- */

static void add_string_numbers(const GlnInstrument *instrument, unsigned strings, GlnBuffer *out) {
  const char *between = "";
  for (int s = 0; s < instrument->string_count; ++s)
    if ((strings >> s & 1U) != 0) {
      gln_buffer_format(out, "%s%d", between, gln_string_number(instrument, s));
      between = ",";
    }
}

static void add_textures(unsigned textures, GlnBuffer *out) {
  const char *between = "";
  for (int t = 0; t < GLN_TEXTURE_COUNT; ++t)
    if ((textures >> t & 1U) != 0) {
      gln_buffer_format(out, "%s%s", between, gln_texture_key((GlnTexture)t));
      between = " or ";
    }
}

static void add_top(const GlnEvent *event, GlnBuffer *out) {
  char note[GLN_NOTE_TEXT_MAX];
  if (event->top_has_octave)
    (void)gln_pitch_print(event->top, GLN_SIGNS_ASCII, note);
  else
    (void)gln_note_print(event->top.note, GLN_SIGNS_ASCII, note);
  gln_buffer_add_string(out, note);
}

static void add_wish(const Collision *collision, Wish wish, GlnBuffer *out) {
  const GlnGripQuery *query = collision->query;
  switch (wish) {
  case WISH_TOP:
    gln_buffer_add_string(out, "the top note ");
    add_top(collision->event, out);
    return;
  case WISH_FRETS:
    gln_buffer_format(out, "the region of frets %d-%d", query->fret_low, query->fret_high);
    return;
  case WISH_TEXTURE:
    gln_buffer_add_string(out, "the texture ");
    add_textures(query->textures, out);
    return;
  case WISH_STRINGS:
    gln_buffer_add_string(out, "the strings ");
    add_string_numbers(query->instrument, query->strings, out);
    return;
  case WISH_OPEN:
    gln_buffer_add_string(out, query->open_wish == GLN_OPEN_NEVER ? "no open string" : "an open string");
    return;
  case WISH_COUNT:
    break;
  }
}

/* "the top note E5, the region of frets 1-3 and no open string" */
static void add_wishes(const Collision *collision, GlnBuffer *out) {
  int left = gln_bit_count(collision->wishes);
  for (int w = 0; w < WISH_COUNT; ++w) {
    if ((collision->wishes >> w & 1U) == 0)
      continue;
    add_wish(collision, (Wish)w, out);
    --left;
    gln_buffer_add_string(out, left > 1 ? ", " : left == 1 ? " and " : "");
  }
}

/* ---- the nearest that can be met --------------------------------------------------------------------------------- */

typedef struct Span {
  int low, high; /* stopped frets; both 0 where nothing is stopped */
} Span;

static Span span_of(const GlnGrip *grip) {
  Span span = {0, 0};
  for (int s = 0; s < grip->frets.string_count; ++s) {
    int fret = grip->frets.fret[s];
    if (fret <= 0)
      continue;
    span.low = span.low == 0 || fret < span.low ? fret : span.low;
    span.high = fret > span.high ? fret : span.high;
  }
  return span;
}

/* The region widened as little as possible. */
static void add_nearest_frets(const GlnGripQuery *query, const GlnGripList *list, GlnBuffer *out) {
  Span best = {0, 0};
  int least = 2 * GLN_FRETS_MAX;
  for (size_t g = 0; g < list->count; ++g) {
    Span span = span_of(&list->grips[g]);
    int below = span.low > 0 && span.low < query->fret_low ? query->fret_low - span.low : 0;
    int above = span.high > query->fret_high ? span.high - query->fret_high : 0;
    if (below + above >= least)
      continue;
    least = below + above;
    best = (Span){query->fret_low - below, query->fret_high + above};
  }
  gln_buffer_format(out, "frets %d-%d", best.low, best.high);
}

static GlnPitch top_of(const GlnChord *chord, const GlnGrip *grip) {
  return gln_pitch_at(chord->tones[grip->tone[grip->top_string]].note, grip->midi[grip->top_string]);
}

/* How far a top note is from the one asked for. */
static int top_distance(const GlnGripQuery *query, int midi) {
  if (query->top_midi >= 0)
    return abs(midi - query->top_midi);
  int up = ((midi - query->top_pitch_class) % 12 + 12) % 12;
  return up < 12 - up ? up : 12 - up;
}

/* The list is not empty. */
static const GlnGrip *nearest_by_top(const GlnGripQuery *asked, const GlnGripList *list) {
  const GlnGrip *best = &list->grips[0];
  for (size_t g = 1; g < list->count; ++g) {
    const GlnGrip *grip = &list->grips[g];
    if (top_distance(asked, grip->midi[grip->top_string]) < top_distance(asked, best->midi[best->top_string]))
      best = grip;
  }
  return best;
}

static void add_nearest_top(const GlnGripQuery *query, const GlnGripList *list, GlnBuffer *out) {
  char note[GLN_NOTE_TEXT_MAX];
  GlnPitch top = top_of(query->chord, nearest_by_top(query, list));
  if (query->top_midi >= 0)
    (void)gln_pitch_print(top, GLN_SIGNS_ASCII, note);
  else
    (void)gln_note_print(top.note, GLN_SIGNS_ASCII, note);
  gln_buffer_format(out, "the top note %s", note);
}

/* The strings asked for and as few others as possible. */
static void add_nearest_strings(const GlnGripQuery *query, const GlnGripList *list, GlnBuffer *out) {
  unsigned best = 0;
  int fewest = GLN_STRINGS_MAX + 1;
  for (size_t g = 0; g < list->count; ++g) {
    unsigned strings = query->strings;
    for (int s = 0; s < list->grips[g].frets.string_count; ++s)
      if (list->grips[g].frets.fret[s] >= 0)
        strings |= 1U << s;
    if (gln_bit_count(strings) >= fewest)
      continue;
    fewest = gln_bit_count(strings);
    best = strings;
  }
  gln_buffer_add_string(out, "strings ");
  add_string_numbers(query->instrument, best, out);
}

static void add_nearest_textures(const GlnGripList *list, GlnBuffer *out) {
  unsigned textures = 0;
  for (size_t g = 0; g < list->count; ++g)
    textures |= list->grips[g].textures;
  if (textures == 0) {
    gln_buffer_add_string(out, "no texture asked for");
    return;
  }
  gln_buffer_add_string(out, "the texture ");
  add_textures(textures, out);
}

static void add_nearest(const Collision *collision, Wish wish, const GlnGripList *list, GlnBuffer *out) {
  const GlnGripQuery *query = collision->query;
  switch (wish) {
  case WISH_TOP:
    add_nearest_top(query, list, out);
    return;
  case WISH_FRETS:
    add_nearest_frets(query, list, out);
    return;
  case WISH_TEXTURE:
    add_nearest_textures(list, out);
    return;
  case WISH_STRINGS:
    add_nearest_strings(query, list, out);
    return;
  case WISH_OPEN:
    gln_buffer_add_string(out, query->open_wish == GLN_OPEN_NEVER ? "open strings" : "no open string");
    return;
  case WISH_COUNT:
    break;
  }
}

/* Of each wish that collides, the nearest that goes with all others; where two would have to give way at once, nothing
 * is said of either. */
static GlnStatus add_nearest_of_all(const Collision *collision, GlnBuffer *out) {
  const char *between = "nearest that can be met: ";
  for (int w = 0; w < WISH_COUNT; ++w) {
    if ((collision->wishes >> w & 1U) == 0)
      continue;
    GlnGripQuery freer = *collision->query;
    GlnGripList list = {0};
    let_go(&freer, (Wish)w);
    GLN_TRY(gln_grip_search(&freer, collision->arena, &list));
    if (list.count == 0)
      continue;
    gln_buffer_add_string(out, between);
    add_nearest(collision, (Wish)w, &list, out);
    between = "; or ";
  }
  if (out->length == 0)
    gln_buffer_add_string(out, "let one of them go");
  return GLN_OK;
}

/* ---- messages ---------------------------------------------------------------------------------------------------- */

static void chord_text(const GlnChord *chord, char out[GLN_SYMBOL_TEXT_MAX]) {
  (void)gln_chord_print(chord, GLN_SIGNS_ASCII, out);
}

static const char *words_of(const GlnBuffer *buffer) {
  const char *words = gln_text_copy(buffer->arena, gln_buffer_text(buffer));
  return words != NULL ? words : "";
}

static GlnStatus tell(const Collision *collision, GlnDiags *diags) {
  const GlnEvent *event = collision->event;
  char name[GLN_SYMBOL_TEXT_MAX];
  chord_text(&event->chord, name);
  GlnBuffer wishes = gln_buffer(collision->arena), nearest = gln_buffer(collision->arena);
  add_wishes(collision, &wishes);
  GLN_TRY(add_nearest_of_all(collision, &nearest));
  bool of_top = collision->wishes == 1U << WISH_TOP, one = gln_bit_count(collision->wishes) == 1;
  size_t at = of_top ? event->top_offset : event->offset;
  GlnBuffer problem = gln_buffer(collision->arena);
  if (of_top) {
    gln_buffer_format(&problem, "no grip of %s that this hand can hold has ", name);
    add_top(event, &problem);
    gln_buffer_add_string(&problem, " on top");
  } else if (one) {
    gln_buffer_format(&problem, "no grip of %s that this hand can hold keeps to ", name);
    gln_buffer_add(&problem, gln_buffer_text(&wishes));
  } else {
    gln_buffer_format(&problem, "%s: wishes collide: no grip that this hand can hold has ", name);
    gln_buffer_add(&problem, gln_buffer_text(&wishes));
  }
  gln_diags_format(diags, GLN_ERROR, at, event->offset + event->length - at, words_of(&nearest), "%s",
                   words_of(&problem));
  return GLN_OK;
}

GlnStatus gln_wishes_collide(const GlnEvent *event, const GlnGripQuery *query, GlnArena *arena,
                             GlnDiags *diags) {
  Collision collision = {.event = event, .query = query, .arena = arena};
  GLN_TRY(find_collision(&collision));
  if (collision.wishes != 0)
    return tell(&collision, diags);
  char name[GLN_SYMBOL_TEXT_MAX];
  chord_text(&event->chord, name);
  gln_diags_format(diags, GLN_ERROR, event->offset, event->length,
                   "leave out a tension, or write a simpler chord", "no grip of %s that this hand can hold",
                   name);
  return GLN_OK;
}

/* ---- pins ---------------------------------------------------------------------------------------------------------- */

/* Strings that change, or frets that they change by. */
static int distance_between(const GlnFrets *a, const GlnFrets *b) {
  int distance = 0;
  for (int s = 0; s < a->string_count; ++s) {
    bool both = a->fret[s] >= 0 && b->fret[s] >= 0, neither = a->fret[s] < 0 && b->fret[s] < 0;
    distance += both ? abs(a->fret[s] - b->fret[s]) : neither ? 0 : GLN_FRETS_MAX;
  }
  return distance;
}

static GlnStatus add_nearest_grip(const GlnGrip *pinned, const GlnGripQuery *query, GlnArena *arena,
                                  GlnBuffer *out) {
  GlnGripList list = {0};
  const GlnGrip *best = NULL;
  GlnGripQuery any = *query;
  any.textures = 0;
  any.open_wish = GLN_OPEN_ALLOWED;
  GLN_TRY(gln_grip_search(&any, arena, &list));
  for (size_t g = 0; g < list.count; ++g)
    if (best == NULL || distance_between(&list.grips[g].frets, &pinned->frets) <
                            distance_between(&best->frets, &pinned->frets))
      best = &list.grips[g];
  if (best == NULL)
    return GLN_OK;
  char frets[GLN_FRETS_TEXT_MAX];
  (void)gln_frets_print(&best->frets, frets);
  gln_buffer_format(out, "; or pin %s", frets);
  return GLN_OK;
}

GlnStatus gln_pin_within(const GlnEvent *event, const GlnGrip *pinned, const GlnGripQuery *query,
                         GlnArena *arena, GlnDiags *diags) {
  Span span = span_of(pinned);
  bool outside =
      query->fret_high > 0 && span.high > 0 && (span.low < query->fret_low || span.high > query->fret_high);
  bool elsewhere = false;
  for (int s = 0; s < pinned->frets.string_count; ++s)
    elsewhere =
        elsewhere || (query->strings != 0 && pinned->frets.fret[s] >= 0 && (query->strings >> s & 1) == 0);
  if (!outside && !elsewhere)
    return GLN_OK;
  Collision collision = {
      .event = event, .query = query, .arena = arena, .wishes = 1U << (outside ? WISH_FRETS : WISH_STRINGS)};
  const GlnGripList one = {.grips = (GlnGrip[]){*pinned}, .count = 1};
  GlnBuffer wish = gln_buffer(arena), nearest = gln_buffer(arena);
  add_wishes(&collision, &wish);
  gln_buffer_add_string(&nearest, "nearest that can be met: ");
  add_nearest(&collision, outside ? WISH_FRETS : WISH_STRINGS, &one, &nearest);
  GLN_TRY(add_nearest_grip(pinned, query, arena, &nearest));
  gln_diags_format(diags, GLN_ERROR, event->pin_offset, event->pin.length, words_of(&nearest),
                   "the pinned grip %.*s collides with %s", (int)event->pin.length, event->pin.at,
                   words_of(&wish));
  return GLN_NO;
}

GlnStatus gln_nearest_top(const GlnGripQuery *query, int midi, GlnArena *arena, bool *found,
                          GlnPitch *nearest) {
  GlnGripList list = {0};
  GlnGripQuery any_top = *query, asked = *query;
  let_go(&any_top, WISH_TOP);
  asked.top_midi = (int16_t)midi;
  GLN_TRY(gln_grip_search(&any_top, arena, &list));
  *found = list.count > 0;
  if (*found)
    *nearest = top_of(query->chord, nearest_by_top(&asked, &list));
  return GLN_OK;
}
