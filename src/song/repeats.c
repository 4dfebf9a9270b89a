/* repeats: repeats and endings of a section taken, in playing order; nothing else knows how they are played.
 */
#include "song_internal.h"

typedef struct Order {
  const GlnSection *section;
  GlnDiags *diags;
  uint32_t *bars;
  size_t count;
  bool good;
} Order;

static void order_add(Order *order, size_t from, size_t to) {
  for (size_t i = from; i < to; i++) {
    if (order->bars)
      order->bars[order->count] = (uint32_t)i;
    if (order->count > GLN_PLAYED_BARS_MAX)
      return;
    order->count++;
  }
}

static void order_fault(Order *order, size_t offset, const char *problem, const char *advice) {
  order->good = false;
  if (order->diags)
    gln_diags_format(order->diags, GLN_ERROR, offset, 1, advice, "%s", problem);
}

bool gln_ending_starts(const GlnSection *section, size_t bar) {
  const GlnBar *bars = section->bars;
  return bars[bar].endings != 0 && (bar == 0 || bars[bar - 1].endings != bars[bar].endings ||
                                    bars[bar - 1].repeat_plays > 0 || bars[bar].repeat_starts);
}

size_t gln_ending_end(const GlnSection *section, size_t bar, bool *closes) {
  const GlnBar *bars = section->bars;
  size_t end = bar + 1;
  while (end < section->bar_count && bars[end].endings == bars[bar].endings &&
         bars[end - 1].repeat_plays == 0 && !bars[end].repeat_starts)
    end++;
  *closes = bars[end - 1].repeat_plays > 0;
  return end;
}

/* A passage between |: and what ends it. */
typedef struct Passage {
  size_t start, body_end, end; /* endings lie in [body_end, end) */
  int plays;
} Passage;

static int highest_ending(uint32_t endings) {
  int highest = 0;
  for (int n = 1; n <= GLN_ENDINGS_MAX; n++)
    if (endings >> n & 1)
      highest = n;
  return highest;
}

/* The endings from a bar on: *numbered gets all their numbers. True when no number comes twice. */
static bool endings_scan(const GlnSection *section, size_t at, size_t *end, uint32_t *numbered) {
  bool once = true;
  bool closes = false;
  *numbered = 0;
  size_t start = at; /* a passage may start with its endings */
  while (at < section->bar_count && section->bars[at].endings &&
         (at == start || !section->bars[at].repeat_starts)) {
    once = once && (*numbered & section->bars[at].endings) == 0;
    *numbered |= section->bars[at].endings;
    at = gln_ending_end(section, at, &closes);
  }
  *end = at;
  return once;
}

/* Every ending but that of the last time goes back to the start. */
static void endings_close_check(Order *order, const Passage *passage) {
  const GlnSection *section = order->section;
  uint32_t last = UINT32_C(1) << passage->plays;
  for (size_t at = passage->body_end; at < passage->end;) {
    bool closes = false;
    size_t next = gln_ending_end(section, at, &closes);
    if (!closes && section->bars[at].endings != last)
      order_fault(order, section->bars[at].before_offset,
                  "this ending does not go back to the start of the repeat", "close it with :|");
    at = next;
  }
}

static void endings_check(Order *order, Passage *passage) {
  size_t offset = order->section->bars[passage->body_end].before_offset;
  uint32_t numbered = 0;
  bool once = endings_scan(order->section, passage->body_end, &passage->end, &numbered);
  passage->plays = highest_ending(numbered);
  uint32_t wanted = (uint32_t)((UINT64_C(2) << passage->plays) - 2);
  if (!once)
    order_fault(order, offset, "two endings have the same number",
                "number them in the order they are played");
  else if (numbered != wanted)
    order_fault(order, offset, "an ending is missing between the first and the last",
                "number the endings from 1 without gaps");
  else if (passage->plays < 2)
    order_fault(order, offset, "a first ending without a second",
                "write the second as |2 after the first one's :|");
  else
    endings_close_check(order, passage);
}

/* Finds what ends the passage that starts at the bar; false after a fault, with end set to where to go on. */
static bool passage_find(Order *order, size_t start, Passage *passage) {
  const GlnSection *section = order->section;
  const GlnBar *bars = section->bars;
  *passage = (Passage){.start = start};
  for (size_t i = start; i < section->bar_count; i++) {
    passage->end = passage->body_end = i + 1;
    if (i > start && bars[i].repeat_starts) {
      order_fault(order, bars[i].before_offset, "a repeat inside a repeat",
                  "close the one before it with :| first");
      passage->end = i;
      return false;
    }
    if (bars[i].endings) {
      bool good = order->good;
      passage->body_end = i;
      order->good = true;
      endings_check(order, passage);
      bool fits = order->good;
      order->good = good && fits;
      return fits;
    }
    if (bars[i].repeat_plays > 0) {
      passage->plays = bars[i].repeat_plays;
      return true;
    }
  }
  order_fault(order, bars[start].before_offset, "a repeat that never closes", "write :| where it goes back");
  return false;
}

static void passage_play(Order *order, const Passage *passage) {
  const GlnBar *bars = order->section->bars;
  for (int play = 1; play <= passage->plays; play++) {
    order_add(order, passage->start, passage->body_end);
    for (size_t at = passage->body_end; at < passage->end;) {
      bool closes = false;
      size_t next = gln_ending_end(order->section, at, &closes);
      if (bars[at].endings >> play & 1)
        order_add(order, at, next);
      at = next;
    }
  }
}

void gln_endings_plays_set(GlnSection *section) {
  for (size_t i = 0; i < section->bar_count;) {
    size_t end = i + 1;
    uint32_t numbered = 0;
    if (section->bars[i].endings)
      (void)endings_scan(section, i, &end, &numbered);
    int plays = highest_ending(numbered);
    for (; i < end; i++)
      if (numbered && section->bars[i].repeat_plays > 0)
        section->bars[i].repeat_plays = (int16_t)(plays > 2 ? plays : 2);
  }
}

bool gln_section_order(const GlnSection *section, GlnDiags *diags, uint32_t *bars_out, size_t *count) {
  Order order = {.section = section, .diags = diags, .good = true};
  order.bars = bars_out;
  const GlnBar *bars = section->bars;
  for (size_t i = 0; i < section->bar_count;) {
    if (bars[i].repeat_starts) {
      Passage passage;
      if (i == 0 && gln_bar_is_pickup(&bars[i]))
        order_fault(&order, bars[i].before_offset, "a repeat cannot start with a pick-up",
                    "write |: after the pick-up bar");
      if (passage_find(&order, i, &passage))
        passage_play(&order, &passage);
      i = passage.end;
      continue;
    }
    bool closes = false;
    size_t end = i + 1;
    if (bars[i].endings) {
      order_fault(&order, bars[i].before_offset, "an ending outside a repeat",
                  "write |: where the repeat starts");
      end = gln_ending_end(section, i, &closes);
    } else if (bars[i].repeat_plays > 0)
      order_fault(&order, bars[i].after_offset, "a repeat closes that was not opened",
                  "write |: where it starts");
    order_add(&order, i, end);
    i = end;
  }
  *count = order.count;
  return order.good;
}
