/* Wishes of the line that a chart states for itself or for a section: "texture: shell, drop2", "frets: 3-9",
 * "bass-line: chromatic", "vary: yes". What the caller asks for goes before them. */
#include "app_internal.h"

#define BASS_LINE_KEY(name, key, words) key,
static const char *const bass_line_keys[] = {GLN_BASS_LINE_LIST(BASS_LINE_KEY)};

static bool word_is(GlnText word, const char *key) {
  return gln_text_equal_ignoring_case(gln_text_trim(word), gln_text(key));
}

static bool add_texture(GlnText word, uint16_t *textures) {
  for (int t = 0; t < GLN_TEXTURE_COUNT; t++)
    if (word_is(word, gln_texture_key((GlnTexture)t))) {
      *textures = (uint16_t)(*textures | 1U << t);
      return true;
    }
  return false;
}

static bool read_textures(GlnText value, GlnSectionWish *wish) {
  wish->has_textures = true;
  wish->textures = 0;
  if (word_is(value, "any"))
    return true;
  for (GlnText rest = value;;) {
    size_t end = gln_text_find(rest, GLN_TEXT(","), 0);
    if (!add_texture(gln_text_slice(rest, 0, end), &wish->textures))
      return false;
    if (end == rest.length)
      return true;
    rest = gln_text_from(rest, end + 1);
  }
}

static bool read_frets(GlnText value, GlnSectionWish *wish) {
  GlnFretRange range = {0, 0};
  wish->has_frets = true;
  if (!word_is(value, "any") && !gln_fret_range_parse(value, &range))
    return false;
  wish->fret_low = range.low;
  wish->fret_high = range.high;
  return true;
}

static bool read_bass_line(GlnText value, GlnSectionWish *wish) {
  wish->has_bass_line = true;
  for (int b = 0; b < GLN_BASS_LINE_COUNT; b++)
    if (word_is(value, bass_line_keys[b])) {
      wish->bass_line = (GlnBassLine)b;
      return true;
    }
  return false;
}

static bool read_vary(GlnText value, GlnSectionWish *wish) {
  wish->has_vary = true;
  wish->vary = word_is(value, "yes");
  return wish->vary || word_is(value, "no");
}

/* By name, as the chart room knows them. */
static const struct {
  const char *name, *advice;
  bool (*read)(GlnText value, GlnSectionWish *wish);
} readers[] = {
    {"texture", "choose from those of gripline arrange --help, with commas between, or write any",
     read_textures},
    {"frets", "write two frets, the lower first: 3-9; or any", read_frets},
    {"bass-line", "choose one of roots, chromatic, low", read_bass_line},
    {"vary", "write yes or no", read_vary},
};

static GlnStatus read_wish(const GlnHeader *header, GlnDiags *diags, GlnSectionWish *wish) {
  for (size_t r = 0; r < GLN_COUNT_OF(readers); r++) {
    if (!word_is(header->name, readers[r].name) || readers[r].read(header->value, wish))
      continue;
    gln_diags_format(diags, GLN_ERROR, header->value_offset, header->value.length, readers[r].advice,
                     "%s: \"%.*s\" cannot be wished", readers[r].name, (int)header->value.length,
                     header->value.at);
    return GLN_INPUT;
  }
  return GLN_OK;
}

/* What the caller has said is not for a section to change. */
static void keep_callers(const GlnArrangementWish *caller, GlnSectionWish *wish) {
  wish->has_textures = wish->has_textures && !caller->has_textures;
  wish->has_frets = wish->has_frets && !caller->has_frets;
  wish->has_bass_line = wish->has_bass_line && !caller->has_bass_line;
  wish->has_vary = wish->has_vary && !caller->has_vary;
}

static void take_whole(const GlnSectionWish *whole, GlnLineOptions *options) {
  if (whole->has_textures)
    options->textures = whole->textures;
  if (whole->has_frets) {
    options->fret_low = whole->fret_low;
    options->fret_high = whole->fret_high;
  }
  if (whole->has_bass_line)
    options->bass_line = whole->bass_line;
  if (whole->has_vary)
    options->vary = whole->vary;
}

GlnStatus gln_chart_wishes(const GlnChart *chart, const GlnArrangementWish *wish, GlnArena *arena,
                           GlnDiags *diags, GlnLineOptions *options) {
  GlnSectionWish whole = {.has_textures = false};
  GlnSectionWish *sections = GLN_NEW(arena, GlnSectionWish, chart->section_count);
  if (sections == NULL)
    return GLN_MEMORY;
  bool good = true;
  for (size_t h = 0; h < chart->header_count; h++)
    if (chart->headers[h].value.length > 0)
      good = read_wish(&chart->headers[h], diags, &whole) == GLN_OK && good;
  for (size_t s = 0; s < chart->section_count; s++) {
    for (size_t w = 0; w < chart->sections[s].wish_count; w++)
      good = read_wish(&chart->sections[s].wishes[w], diags, &sections[s]) == GLN_OK && good;
    keep_callers(wish, &sections[s]);
  }
  keep_callers(wish, &whole);
  take_whole(&whole, options);
  options->sections = sections;
  options->section_count = chart->section_count;
  return good ? GLN_OK : GLN_INPUT;
}
