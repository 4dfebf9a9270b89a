/* What a line asks of a student: its grips and moves as items, its bars as what they need. */
#include "app_internal.h"

#include <math.h>
#include <string.h>

typedef struct Making {
  const GlnArrangement *arrangement;
  GlnArena *arena;
  GlnMaterial *material;
  uint32_t *grip_of; /* for each distinct grip of the line, its item */
  uint32_t *into;    /* for each slot, the item of the move into it; NO_MOVE */
  GlnBuffer *places; /* for each grip, where else its shape lies */
  size_t capacity;
} Making;

#define NO_MOVE UINT32_MAX

static GlnHandShape shape_of(const GlnGrip *grip) {
  GlnHandShape shape = {.frets = grip->frets};
  memcpy(shape.finger, grip->fingering.finger, sizeof shape.finger);
  return shape;
}

static int whole_beat(const GlnSlot *slot) {
  return slot->beat.den == 1 ? (int)slot->beat.num : 0;
}

static GlnText kept_text(GlnArena *arena, const GlnBuffer *text) {
  return gln_buffer_status(text) == GLN_OK ? gln_buffer_text(text)
                                           : gln_text(gln_text_copy(arena, GLN_TEXT("")));
}

/* Place of the item with this key among those from first on; item_count when it is new. */
static size_t find_item(const GlnMaterial *material, size_t first, GlnText key) {
  size_t at = first;
  while (at < material->item_count && !gln_text_equal(material->items[at].key, key))
    at++;
  return at;
}

static GlnStatus new_item(Making *making, GlnStudyItem item, size_t *at) {
  GlnMaterial *material = making->material;
  if (material->item_count == making->capacity)
    return GLN_LIMIT;
  const char *key = gln_text_copy(making->arena, item.key);
  if (key == NULL)
    return GLN_MEMORY;
  item.key = gln_text(key);
  *at = material->item_count++;
  material->items[*at] = item;
  return GLN_OK;
}

/* ---- grips --------------------------------------------------------------------------------------------------------- */

static void add_name(const GlnLineSlot *slot, GlnArena *arena, GlnBuffer *out) {
  gln_buffer_add(out, slot->slot->event->symbol);
  gln_buffer_add_byte(out, ' ');
  gln_buffer_add(out, gln_frets_text(&slot->grip, arena));
}

static GlnStatus add_grip(Making *making, size_t slot_index) {
  const GlnLineSlot *slot = &making->arrangement->line->slots[slot_index];
  GlnMaterial *material = making->material;
  GlnStudyItem item = {.kind = GLN_ITEM_GRIP,
                       .shape = shape_of(&slot->grip),
                       .difficulty = (double)slot->grip.fingering.difficulty,
                       .tempo = INFINITY,
                       .slot = slot_index,
                       .bar = slot->slot->bar,
                       .beat = whole_beat(slot->slot)};
  char key[GLN_ITEM_KEY_MAX];
  item.key = (GlnText){key, gln_grip_key(&item.shape, key)};
  size_t at = find_item(material, 0, item.key);
  GlnBuffer name = gln_buffer(making->arena);
  add_name(slot, making->arena, &name);
  if (at == material->item_count) {
    item.name = kept_text(making->arena, &name);
    GLN_TRY(new_item(making, item, &at));
    making->places[at] = gln_buffer(making->arena);
    gln_buffer_add_string(&making->places[at], "fingers ");
    gln_buffer_add(&making->places[at], gln_fingers_text(&slot->grip, making->arena));
  } else {
    GlnBuffer *places = &making->places[at];
    bool first = gln_text_find(gln_buffer_text(places), GLN_TEXT(";"), 0) == places->length;
    gln_buffer_add_string(places, first ? "; the same shape: " : ", ");
    gln_buffer_add(&making->places[at], gln_buffer_text(&name));
  }
  making->grip_of[slot->distinct] = (uint32_t)at;
  return gln_buffer_status(&making->places[at]);
}

/* ---- moves --------------------------------------------------------------------------------------------------------- */

/* The change by another way in keeps what is hardest of both. */
static void harden(GlnStudyItem *item, const GlnStudyItem *also) {
  item->difficulty = fmax(item->difficulty, also->difficulty);
  if (also->tempo < item->tempo) {
    item->tempo = also->tempo;
    item->slot = also->slot;
    item->bar = also->bar;
    item->beat = also->beat;
  }
}

static GlnStatus add_move(Making *making, size_t slot_index) {
  const GlnLine *line = making->arrangement->line;
  const GlnLineSlot *to = &line->slots[slot_index];
  size_t before = gln_line_before(line, slot_index);
  double tempo = gln_line_change_tempo(line, slot_index);
  making->into[slot_index] = NO_MOVE;
  if (to->silent || before == slot_index || !isfinite(tempo))
    return GLN_OK;
  const GlnLineSlot *from = &line->slots[before];
  GlnMaterial *material = making->material;
  GlnHandShape shape_from = shape_of(&from->grip), shape_to = shape_of(&to->grip);
  GlnStudyItem item = {.kind = GLN_ITEM_MOVE,
                       .from = making->grip_of[from->distinct],
                       .to = making->grip_of[to->distinct],
                       .difficulty = fmin(fmax(to->load, 0), 1),
                       .tempo = tempo,
                       .slot = slot_index,
                       .bar = to->slot->bar,
                       .beat = whole_beat(to->slot)};
  char key[GLN_ITEM_KEY_MAX];
  item.key = (GlnText){key, gln_move_key(&shape_from, &shape_to, key)};
  size_t at = find_item(material, material->grip_count, item.key);
  if (at == material->item_count) {
    GlnBuffer name = gln_buffer(making->arena), what = gln_buffer(making->arena);
    gln_buffer_add(&name, from->slot->event->symbol);
    gln_buffer_add_string(&name, " to ");
    gln_buffer_add(&name, to->slot->event->symbol);
    gln_add_move_words(&to->move, &from->grip, &to->grip, &what);
    item.name = kept_text(making->arena, &name);
    item.what = kept_text(making->arena, &what);
    GLN_TRY(new_item(making, item, &at));
  } else {
    harden(&material->items[at], &item);
  }
  making->into[slot_index] = (uint32_t)at;
  material->items[at].uses++;
  return GLN_OK;
}

/* ---- bars ---------------------------------------------------------------------------------------------------------- */

static void add_to_bar(uint32_t *items, size_t *count, uint32_t item) {
  for (size_t i = 0; i < *count; i++)
    if (items[i] == item)
      return;
  items[(*count)++] = item;
}

static GlnStatus add_bars(Making *making) {
  const GlnLine *line = making->arrangement->line;
  GlnMaterial *material = making->material;
  uint32_t *items = GLN_NEW(making->arena, uint32_t, 2 * line->slot_count);
  material->bars = GLN_NEW(making->arena, GlnStudyBar, line->slot_count);
  if (items == NULL || material->bars == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < line->slot_count;) {
    const GlnSlot *slot = line->slots[i].slot;
    GlnStudyBar *bar = &material->bars[material->bar_count++];
    *bar = (GlnStudyBar){.number = slot->bar, .section = slot->section, .pass = slot->section_pass};
    bar->items = items;
    for (; i < line->slot_count && line->slots[i].slot->bar == slot->bar; i++) {
      if (line->slots[i].silent)
        continue;
      if (making->into[i] != NO_MOVE)
        add_to_bar(items, &bar->item_count, making->into[i]);
      uint32_t grip = making->grip_of[line->slots[i].distinct];
      material->items[grip].uses++;
      add_to_bar(items, &bar->item_count, grip);
    }
    items += bar->item_count;
  }
  return GLN_OK;
}

static GlnStatus name_sections(Making *making) {
  const GlnChart *chart = making->arrangement->chart;
  GlnText *names = GLN_NEW(making->arena, GlnText, chart->section_count);
  if (names == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < chart->section_count; i++)
    names[i] = chart->sections[i].name;
  making->material->sections = names;
  making->material->section_count = chart->section_count;
  return GLN_OK;
}

GlnStatus gln_material_make(const GlnArrangement *arrangement, GlnArena *arena, GlnMaterial **material) {
  const GlnLine *line = arrangement->line;
  Making making = {.arrangement = arrangement,
                   .arena = arena,
                   .material = GLN_NEW(arena, GlnMaterial, 1),
                   .grip_of = GLN_NEW(arena, uint32_t, line->distinct_count),
                   .into = GLN_NEW(arena, uint32_t, line->slot_count),
                   .places = GLN_NEW(arena, GlnBuffer, line->distinct_count),
                   .capacity = GLN_STUDY_ITEMS_MAX};
  GlnStudyItem *items = GLN_NEW(arena, GlnStudyItem, making.capacity);
  if (making.material == NULL || making.grip_of == NULL || making.into == NULL || making.places == NULL ||
      items == NULL)
    return GLN_MEMORY;
  *making.material =
      (GlnMaterial){.title = arrangement->chart->title, .tempo = arrangement->options.tempo, .items = items};
  for (size_t i = 0; i < line->distinct_count; i++)
    GLN_TRY(add_grip(&making, line->distinct[i]));
  making.material->grip_count = making.material->item_count;
  for (size_t i = 0; i < making.material->grip_count; i++)
    items[i].what = kept_text(arena, &making.places[i]);
  for (size_t i = 0; i < line->slot_count; i++)
    GLN_TRY(add_move(&making, i));
  GLN_TRY(add_bars(&making));
  GLN_TRY(name_sections(&making));
  *material = making.material;
  return GLN_OK;
}
