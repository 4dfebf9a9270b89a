/* play: the form played through to slots. */
#include "song_internal.h"

/* Numbers of a bar's written chords over the whole chart: head of its first, base + i of chord i after it. */
typedef struct NumberedBar {
  size_t base, head;
} NumberedBar;

/* What the player knows of a section, worked out once. */
typedef struct PlayedSection {
  uint32_t *order; /* bars in playing order */
  size_t order_count;
  NumberedBar *bars;
  bool pickup; /* order[0] is a pick-up */
  uint16_t passes;
} PlayedSection;

typedef struct Player {
  const GlnChart *chart;
  GlnArena *arena;
  GlnDiags *diags;
  PlayedSection *sections;
  uint32_t *written; /* number of each written chord + 1, 0 until it is played */
  uint32_t written_count;
  GlnSong *song;
  GlnRatio now;
  uint32_t bar;
} Player;

/* Numbers the written chords of a section from first on; a bar written as % has those of the bar before, and
 * slashes that start a bar have that of the chord that goes on. Returns the next free number. */
static size_t events_number(const GlnSection *section, NumberedBar *numbers, size_t first) {
  for (size_t i = 0; i < section->bar_count; i++) {
    const GlnBar *bar = &section->bars[i];
    if (gln_bar_repeats_last(section, i)) {
      numbers[i] = numbers[i - 1];
      continue;
    }
    numbers[i] = (NumberedBar){first, first};
    if (gln_bar_continues(section, i)) {
      size_t last = section->bars[i - 1].event_count - 1;
      numbers[i].head = last == 0 ? numbers[i - 1].head : numbers[i - 1].base + last;
    }
    first += bar->event_count;
  }
  return first;
}

static GlnStatus section_prepare(Player *player, size_t index, size_t *numbers) {
  const GlnSection *section = &player->chart->sections[index];
  PlayedSection *played = &player->sections[index];
  if (!gln_section_order(section, player->diags, NULL, &played->order_count))
    return GLN_INPUT;
  if (played->order_count > GLN_PLAYED_BARS_MAX)
    return GLN_OK; /* playing it passes the limit, and tells so; never played, it does no harm */
  played->order = GLN_NEW(player->arena, uint32_t, played->order_count);
  played->bars = GLN_NEW(player->arena, NumberedBar, section->bar_count);
  if (!played->order || !played->bars)
    return GLN_MEMORY;
  if (!gln_section_order(section, NULL, played->order, &played->order_count))
    return GLN_INPUT;
  *numbers = events_number(section, played->bars, *numbers);
  played->pickup = section->bar_count > 0 && gln_bar_is_pickup(&section->bars[0]);
  return GLN_OK;
}

static GlnStatus limit_fault(Player *player, const GlnSection *section, const char *what, size_t limit) {
  gln_diags_format(player->diags, GLN_ERROR, section->offset, section->name.length + 2,
                   "shorten the form or the repeats",
                   "the song played through has too many %s: the limit is %zu", what, limit);
  return GLN_LIMIT;
}

/* First bar of the order that sounds: a pick-up only starts the song. */
static size_t order_start(const PlayedSection *played, size_t entry) {
  return played->pickup && entry > 0 ? 1 : 0;
}

/* Played bars and slots of the whole form, held against the limits before anything is laid out. */
static GlnStatus song_measure(Player *player, size_t *slots) {
  const GlnChart *chart = player->chart;
  size_t bars = 0;
  *slots = 0;
  for (size_t k = 0; k < chart->form_count; k++) {
    const GlnSection *section = &chart->sections[chart->form[k]];
    const PlayedSection *played = &player->sections[chart->form[k]];
    size_t start = order_start(played, k);
    bars += played->order_count - (start < played->order_count ? start : 0);
    if (bars > GLN_PLAYED_BARS_MAX)
      return limit_fault(player, section, "bars", GLN_PLAYED_BARS_MAX);
    for (size_t i = start; i < played->order_count; i++)
      *slots += section->bars[played->order[i]].event_count;
    if (*slots > GLN_PLAYED_SLOTS_MAX)
      return limit_fault(player, section, "chords", GLN_PLAYED_SLOTS_MAX);
  }
  return GLN_OK;
}

static void bar_play(Player *player, uint16_t index, uint32_t written_bar) {
  const GlnSection *section = &player->chart->sections[index];
  const PlayedSection *played = &player->sections[index];
  const GlnBar *bar = &section->bars[written_bar];
  GlnRatio unit = gln_ratio(4, bar->meter.unit);
  bool pickup = gln_bar_is_pickup(bar);
  GlnRatio first_beat = gln_ratio(1, 1);
  if (pickup)
    first_beat = gln_ratio_subtract(gln_ratio(bar->meter.beats + 1, 1), bar->beats);
  else
    player->bar++;
  for (size_t i = 0; i < bar->event_count; i++) {
    const GlnEvent *event = &bar->events[i];
    size_t number = i == 0 ? played->bars[written_bar].head : played->bars[written_bar].base + i;
    if (!player->written[number])
      player->written[number] = ++player->written_count;
    player->song->slots[player->song->slot_count++] = (GlnSlot){
        .section = index,
        .section_pass = (uint16_t)(played->passes - 1),
        .bar = pickup ? 0 : player->bar,
        .written_bar = written_bar,
        .beat = gln_ratio_add(first_beat, event->beat),
        .beats = event->beats,
        .start = gln_ratio_add(player->now, gln_ratio_multiply(event->beat, unit)),
        .quarters = gln_ratio_multiply(event->beats, unit),
        .meter = bar->meter,
        .written = player->written[number] - 1,
        .event = event,
    };
  }
  player->now = gln_ratio_add(player->now, gln_ratio_multiply(bar->beats, unit));
}

static void form_play(Player *player) {
  const GlnChart *chart = player->chart;
  for (size_t k = 0; k < chart->form_count; k++) {
    PlayedSection *played = &player->sections[chart->form[k]];
    played->passes++;
    for (size_t i = order_start(played, k); i < played->order_count; i++)
      bar_play(player, chart->form[k], played->order[i]);
  }
}

static GlnStatus sections_prepare(Player *player, size_t *numbers) {
  GlnStatus worst = GLN_OK;
  for (size_t i = 0; i < player->chart->section_count; i++) {
    GlnStatus status = section_prepare(player, i, numbers);
    if (status == GLN_MEMORY)
      return status;
    worst = status != GLN_OK ? status : worst;
  }
  return worst;
}

GlnStatus gln_song_play(const GlnChart *chart, GlnArena *arena, GlnDiags *diags, GlnSong **song) {
  Player player = {.chart = chart, .arena = arena, .diags = diags, .now = gln_ratio(0, 1)};
  size_t numbers = 0;
  size_t slots = 0;
  player.song = GLN_NEW(arena, GlnSong, 1);
  player.sections = GLN_NEW(arena, PlayedSection, chart->section_count);
  if (!player.song || !player.sections)
    return GLN_MEMORY;
  GLN_TRY(sections_prepare(&player, &numbers));
  GLN_TRY(song_measure(&player, &slots));
  player.song->chart = chart;
  player.song->slots = GLN_NEW(arena, GlnSlot, slots);
  player.written = GLN_NEW(arena, uint32_t, numbers);
  if (!player.song->slots || !player.written)
    return GLN_MEMORY;
  form_play(&player);
  player.song->written_count = player.written_count;
  player.song->bar_count = player.bar;
  player.song->quarters = player.now;
  *song = player.song;
  return GLN_OK;
}
