/* What a record says: memories replayed, tempi, minutes, load. */
#include "study.h"

#include <string.h>

/* ---- memories ---------------------------------------------------------------------------------------------------------- */

static size_t find_item(const GlnMaterial *material, const GlnPractice *practice) {
  size_t at = practice->kind == GLN_ITEM_GRIP ? 0 : material->grip_count;
  size_t end = practice->kind == GLN_ITEM_GRIP ? material->grip_count : material->item_count;
  while (at < end && !gln_text_equal(material->items[at].key, practice->key))
    at++;
  return at < end ? at : GLN_NO_ITEM;
}

static void practise(const GlnMaterial *material, size_t item, const GlnPractice *practice,
                     GlnMemory *memories) {
  gln_memory_practise(&memories[item], material->items[item].difficulty, practice->day, practice->rating,
                      practice->tempo);
}

void gln_memories_replay(const GlnMaterial *material, const GlnPractice *practices, size_t count,
                         GlnMemory *memories) {
  for (size_t i = 0; i < count; i++) {
    size_t item = find_item(material, &practices[i]);
    if (item == GLN_NO_ITEM)
      continue;
    practise(material, item, &practices[i], memories);
    const GlnStudyItem *move = &material->items[item];
    if (move->kind != GLN_ITEM_MOVE)
      continue;
    /* A move that failed does not say which of its grips did, so only what went well is taken along. */
    const size_t ends[] = {move->from, move->to};
    for (size_t e = 0; e < 2 && practices[i].rating >= GLN_RATING_GOOD; e++)
      if (memories[ends[e]].practised > 0 && (e == 0 || ends[0] != ends[1]))
        practise(material, ends[e], &practices[i], memories);
  }
}

GlnStrain gln_strain_of(const GlnPractice *practices, size_t count) {
  GlnStrain worst = GLN_STRAIN_NONE;
  GlnDay day = GLN_DAY_MIN;
  for (size_t i = 0; i < count; i++) {
    if (!practices[i].has_strain || practices[i].day < day)
      continue;
    if (practices[i].day > day || practices[i].strain > worst)
      worst = practices[i].strain;
    day = practices[i].day;
  }
  return worst;
}

int gln_returning_of(const GlnPractice *practices, size_t count) {
  bool told = false;
  GlnDay last = GLN_DAY_MIN; /* with pain, or without it since */
  int sessions = 0;          /* without it since */
  for (size_t i = 0; i < count; i++) {
    const GlnPractice *practice = &practices[i];
    if (practice->has_strain && practice->strain == GLN_STRAIN_PAIN && practice->day >= last) {
      told = true;
      sessions = 0;
      last = practice->day;
    }
    if (told && practice->day > last) {
      sessions++;
      last = practice->day;
    }
  }
  return told && sessions < GLN_RETURN_SESSIONS ? GLN_RETURN_SESSIONS - sessions : 0;
}

double gln_gain_of(const GlnPractice *practices, size_t count) {
  double sum = 0;
  for (size_t i = 0; i < count; i++)
    sum += gln_rating_gain(practices[i].rating);
  return count > 0 ? sum / (double)count : 0;
}

/* ---- load ----------------------------------------------------------------------------------------------------------------- */

/* The last seven days against an average week of the four before: a half more is a sudden jump. Common practice, no
 * published source for players; under so many minutes a week it is no load. */
#define WEEK       7
#define WEEKS      4
#define JUMP       1.5
#define LIGHT_WEEK 60.0

const char *gln_load_advice(void) {
  return "You practised much more in these seven days than in the weeks before: add time slowly, take every "
         "pause, "
         "and stop at pain, tingling or numbness.";
}

static void weigh_load(const GlnPractice *practices, size_t count, GlnProgress *progress) {
  double before = 0;
  GlnDay first = progress->today;
  for (size_t i = 0; i < count; i++) {
    const GlnPractice *practice = &practices[i];
    int32_t ago = progress->today - practice->day;
    progress->minutes += practice->minutes;
    if (ago < 0) /* a clock was set back */
      continue;
    first = practice->day < first ? practice->day : first;
    if (ago < WEEK)
      progress->week += practice->minutes;
    else if (ago < WEEK * (WEEKS + 1))
      before += practice->minutes;
  }
  int32_t days = progress->today - first + 1 - WEEK;
  double weeks = days <= 0 ? 0 : days >= WEEK * WEEKS ? WEEKS : (double)days / WEEK;
  progress->weeks_before = weeks > 0 ? before / (weeks < 1 ? 1 : weeks) : 0;
  progress->load_jumped =
      weeks >= 1 && progress->week >= LIGHT_WEEK && progress->week > JUMP * progress->weeks_before;
}

/* ---- items -------------------------------------------------------------------------------------------------------------------- */

/* The items of a record, as they were first practised. */
static GlnStatus list_items(const GlnPractice *practices, size_t count, GlnArena *arena,
                            GlnProgress *progress) {
  progress->items = GLN_NEW(arena, GlnProgressItem, count);
  if (progress->items == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < count; i++) {
    size_t at = 0;
    while (at < progress->item_count && (progress->items[at].kind != practices[i].kind ||
                                         !gln_text_equal(progress->items[at].key, practices[i].key)))
      at++;
    if (at == progress->item_count)
      progress->items[progress->item_count++] =
          (GlnProgressItem){.kind = practices[i].kind, .key = practices[i].key, .name = practices[i].name};
    gln_memory_practise(&progress->items[at].memory, practices[i].difficulty, practices[i].day,
                        practices[i].rating, practices[i].tempo);
  }
  return GLN_OK;
}

static GlnStatus take_material(const GlnMaterial *material, const GlnPractice *practices, size_t count,
                               GlnArena *arena, GlnProgress *progress) {
  GlnMemory *memories = GLN_NEW(arena, GlnMemory, material->item_count);
  progress->items = GLN_NEW(arena, GlnProgressItem, material->item_count);
  if (memories == NULL || progress->items == NULL)
    return GLN_MEMORY;
  gln_memories_replay(material, practices, count, memories);
  progress->item_count = material->item_count;
  for (size_t i = 0; i < material->item_count; i++)
    progress->items[i] = (GlnProgressItem){.kind = material->items[i].kind,
                                           .key = material->items[i].key,
                                           .name = material->items[i].name,
                                           .memory = memories[i]};
  return GLN_OK;
}

static GlnStatus add_points(const GlnPractice *practices, size_t count, GlnArena *arena,
                            GlnProgressItem *item) {
  size_t points = 0;
  for (int pass = 0; pass < 2; pass++) {
    if (pass == 1) {
      item->points = GLN_NEW(arena, GlnTempoPoint, points);
      if (item->points == NULL)
        return GLN_MEMORY;
    }
    for (size_t i = 0; i < count; i++) {
      const GlnPractice *practice = &practices[i];
      if (practice->kind != item->kind || !gln_text_equal(practice->key, item->key))
        continue;
      if (pass == 0) {
        item->minutes += practice->minutes;
        points += practice->tempo > 0 ? 1 : 0;
      } else if (practice->tempo > 0) {
        item->points[item->point_count++] = (GlnTempoPoint){practice->day, practice->tempo, practice->rating};
      }
    }
  }
  return GLN_OK;
}

GlnStatus gln_progress_make(const GlnMaterial *material, const GlnPractice *practices, size_t count,
                            GlnDay today, GlnArena *arena, GlnProgress *progress) {
  *progress = (GlnProgress){.today = today, .practices = count, .strain = gln_strain_of(practices, count)};
  GLN_TRY(material != NULL ? take_material(material, practices, count, arena, progress)
                           : list_items(practices, count, arena, progress));
  progress->title = material != NULL ? material->title : GLN_TEXT("");
  for (size_t i = 0; i < progress->item_count; i++) {
    GlnProgressItem *item = &progress->items[i];
    item->recall = gln_memory_recall(&item->memory, today);
    item->standing = gln_memory_standing(&item->memory, today);
    progress->standing[item->standing]++;
    GLN_TRY(add_points(practices, count, arena, item));
  }
  weigh_load(practices, count, progress);
  return GLN_OK;
}
