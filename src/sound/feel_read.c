/* Reads the text of a .feel file. */
#include "sound_internal.h"

#include <string.h>

#define VARIATION_EVERY_MAX 64 /* bars: longer than any section that has a shape */

/* The lanes last, in their order. */
typedef enum Header {
  FEEL,
  ALSO,
  WORDS,
  METER,
  STEPS,
  SWING,
  TEMPO,
  VARIATION,
  FIRST_LANE,
  HEADER_COUNT = FIRST_LANE + GLN_LANE_COUNT
} Header;

typedef struct LaneText {
  GlnStroke *strokes;
  size_t count, capacity;
  int32_t bars;
} LaneText;

typedef struct Reader {
  GlnText source;
  GlnArena *arena;
  GlnDiags *diags;
  GlnFeel *feel;
  bool seen[HEADER_COUNT];
  LaneText patterns[1 + GLN_FEEL_VARIATIONS_MAX][GLN_LANE_COUNT]; /* the feel's own, then its variations' */
  LaneText *lanes;                                                /* of those, the lines that are read now */
  GlnText swing, last_lane, variations[GLN_FEEL_VARIATIONS_MAX];  /* for faults that show at the end */
  GlnStatus worst;
} Reader;

static size_t offset_of(const Reader *reader, GlnText part) {
  return (size_t)(part.at - reader->source.at);
}

#define FAULT(reader, part, advice, ...)                                                                     \
  do {                                                                                                       \
    (reader)->worst = (reader)->worst == GLN_OK ? GLN_INPUT : (reader)->worst;                               \
    gln_diags_format((reader)->diags, GLN_ERROR, offset_of((reader), (part)), (part).length, (advice),       \
                     __VA_ARGS__);                                                                           \
  } while (0)

/* A part of the file in a message: for "%.*s", never more than a message bears. */
#define SHOWN(part) ((int)((part).length > 40 ? 40 : (part).length)), (part).at

static void limit_fault(Reader *reader, GlnText part, const char *what, long limit) {
  reader->worst = GLN_LIMIT;
  gln_diags_format(reader->diags, GLN_ERROR, offset_of(reader, part), part.length, "make it shorter",
                   "more than %ld %s", limit, what);
}

/* Whether reading on would be no use. */
static bool stopped(const Reader *reader) {
  return reader->worst == GLN_LIMIT || reader->worst == GLN_MEMORY;
}

/* ---- lanes ------------------------------------------------------------------------------------------- */

static const struct {
  char sign;
  GlnLane lane;
} signs[GLN_STROKE_COUNT] = {
#define SIGN(name, sign, lane, words) [name] = {(sign), (lane)},
    GLN_STROKE_LIST(SIGN)
#undef SIGN
};

/* One cell: "(o)", "O>", "-". False when it is no sign at all. */
static bool read_stroke(GlnText cell, GlnStroke *stroke) {
  *stroke = (GlnStroke){.weight = GLN_WEIGHT_PLAIN};
  if (cell.length > 1 && cell.at[cell.length - 1] == '>') {
    stroke->ahead = true;
    cell.length--;
  }
  bool soft = cell.length == 3 && cell.at[0] == '(' && cell.at[2] == ')';
  if (soft) {
    stroke->weight = GLN_WEIGHT_SOFT;
    cell = gln_text_slice(cell, 1, 1);
  }
  if (cell.length != 1)
    return false;
  char sign = cell.at[0];
  if (sign >= 'A' && sign <= 'Z') {
    if (soft)
      return false;
    stroke->weight = GLN_WEIGHT_ACCENT;
    sign = (char)(sign - 'A' + 'a');
  }
  for (size_t kind = 0; kind < GLN_STROKE_COUNT; kind++)
    if (signs[kind].sign == sign) {
      stroke->kind = (uint8_t)kind;
      bool sounds = signs[kind].lane != GLN_LANE_COUNT;
      return sounds || (!stroke->ahead && !soft);
    }
  return false;
}

static void keep_stroke(Reader *reader, LaneText *lane, GlnStroke stroke) {
  if (lane->count == lane->capacity) {
    size_t capacity = lane->capacity ? 2 * lane->capacity : 32;
    GlnStroke *grown = GLN_NEW(reader->arena, GlnStroke, capacity);
    if (!grown) {
      reader->worst = GLN_MEMORY;
      return;
    }
    if (lane->count)
      memcpy(grown, lane->strokes, lane->count * sizeof *grown);
    lane->strokes = grown;
    lane->capacity = capacity;
  }
  lane->strokes[lane->count++] = stroke;
}

static bool fits_lane(const GlnStroke *stroke, GlnLane which) {
  GlnLane lane = signs[stroke->kind].lane;
  if (which >= GLN_LANE_PERCUSSION)
    return lane == GLN_LANE_COUNT || (lane == GLN_LANE_PERCUSSION && !stroke->ahead);
  return lane == GLN_LANE_COUNT || lane == which;
}

static void read_cell(Reader *reader, GlnLane which, GlnText cell) {
  GlnStroke stroke;
  const char *advice = which == GLN_LANE_THUMB
                           ? "the thumb has b (bass), f (fifth), - (rings on) and . (rest)"
                       : which == GLN_LANE_FINGERS
                           ? "the fingers have o r d u x i m a, - (rings on) and . (rest): see docs/feels.md"
                           : "percussion has h (a hit) and - or . between";
  if (!read_stroke(cell, &stroke)) {
    FAULT(reader, cell, advice, "\"%.*s\" is no stroke", SHOWN(cell));
    stroke = (GlnStroke){.kind = GLN_STROKE_REST, .weight = GLN_WEIGHT_PLAIN};
  } else if (!fits_lane(&stroke, which)) {
    FAULT(reader, cell, advice, "\"%.*s\" is a stroke of another line", SHOWN(cell));
  }
  keep_stroke(reader, &reader->lanes[which], stroke);
}

static void end_bar(Reader *reader, GlnLane which, GlnText bar, size_t cells) {
  LaneText *lane = &reader->lanes[which];
  int32_t steps = reader->feel->steps;
  if (!reader->seen[STEPS])
    FAULT(reader, gln_text_trim(bar), "write meter: and steps: above the hands",
          "the steps of a bar must be known first");
  else if (steps && cells != (size_t)steps)
    FAULT(reader, gln_text_trim(bar), "write one sign for every step", "this bar has %zu steps, not %d",
          cells, (int)steps);
  if (lane->bars == GLN_FEEL_BARS_MAX)
    limit_fault(reader, bar, "bars in a feel", GLN_FEEL_BARS_MAX);
  lane->bars++;
}

/* "| b - f - | b - f - |"; lines of one name follow each other. */
static void read_lane(Reader *reader, GlnLane which, GlnText text) {
  size_t at = 0, bar_start = 0, cells = 0;
  while (at < text.length && !stopped(reader)) {
    if (gln_is_blank(text.at[at])) {
      at++;
    } else if (text.at[at] == '|') {
      if (cells || bar_start)
        end_bar(reader, which, gln_text_slice(text, bar_start, at - bar_start + (cells == 0)), cells);
      at++;
      bar_start = at;
      cells = 0;
    } else {
      size_t end = at;
      while (end < text.length && !gln_is_blank(text.at[end]) && text.at[end] != '|')
        end++;
      GlnText cell = gln_text_slice(text, at, end - at);
      if (++cells > GLN_FEEL_STEPS_MAX) {
        limit_fault(reader, cell, "steps in a bar", GLN_FEEL_STEPS_MAX);
        break;
      }
      read_cell(reader, which, cell);
      at = end;
    }
  }
  if (cells && !stopped(reader))
    end_bar(reader, which, gln_text_from(text, bar_start), cells);
  reader->last_lane = text;
}

/* ---- headers ----------------------------------------------------------------------------------------- */

static void read_name(Reader *reader, GlnText text) {
  reader->feel->name = text;
}

static void read_also(Reader *reader, GlnText text) {
  GlnFeel *feel = reader->feel;
  size_t comma;
  for (size_t at = 0; at < text.length; at = comma + 1) {
    comma = gln_text_find(text, GLN_TEXT(","), at);
    GlnText name = gln_text_trim(gln_text_slice(text, at, comma - at));
    if (name.length && feel->also_count == GLN_FEEL_ALSO_MAX) {
      limit_fault(reader, name, "other names of a feel", GLN_FEEL_ALSO_MAX);
      return;
    }
    if (name.length)
      feel->also[feel->also_count++] = name;
  }
}

static void read_meter(Reader *reader, GlnText text) {
  size_t slash = gln_text_find(text, GLN_TEXT("/"), 0);
  long beats, unit;
  if (slash == text.length ||
      gln_text_integer(gln_text_trim(gln_text_slice(text, 0, slash)), 1, GLN_METER_BEATS_MAX, &beats) ||
      gln_text_integer(gln_text_trim(gln_text_from(text, slash + 1)), 1, 64, &unit) ||
      !gln_meter_valid(beats, unit)) {
    FAULT(reader, text, "write a meter such as 4/4, 3/4 or 6/8", "\"%.*s\" is no meter", SHOWN(text));
    return;
  }
  reader->feel->beats = (int16_t)beats;
  reader->feel->unit = (int16_t)unit;
}

static void read_steps(Reader *reader, GlnText text) {
  long steps;
  if (gln_text_integer(text, 1, GLN_FEEL_STEPS_MAX, &steps)) {
    FAULT(reader, text, "say into how many equal steps the bar is cut: 8 for eighths in 4/4",
          "the steps of a bar are a whole number from 1 to %d", GLN_FEEL_STEPS_MAX);
    return;
  }
  reader->feel->steps = (int32_t)steps;
}

/* A plain number with at most two decimals, kept exactly: "2", "1.5"; and of what: "1.6 sixteenths". */
static void read_swing(Reader *reader, GlnText given) {
  GlnText text = gln_text_slice(given, 0, gln_text_find(given, GLN_TEXT(" "), 0));
  GlnText notes = gln_text_trim(gln_text_from(given, text.length));
  reader->feel->swings_sixteenths = gln_text_equal_ignoring_case(notes, GLN_TEXT("sixteenths"));
  if (notes.length && !reader->feel->swings_sixteenths &&
      !gln_text_equal_ignoring_case(notes, GLN_TEXT("eighths"))) {
    FAULT(reader, notes, "write swing: 2 eighths, or swing: 1.6 sixteenths",
          "eighths or sixteenths can swing, not \"%.*s\"", SHOWN(notes));
    return;
  }
  size_t point = gln_text_find(text, GLN_TEXT("."), 0);
  GlnText fraction = gln_text_from(text, point + 1);
  long whole, hundredths = 0;
  bool fine = !gln_text_integer(gln_text_slice(text, 0, point), 1, 3, &whole);
  if (fine && point < text.length) {
    fine = (fraction.length == 1 || fraction.length == 2) && gln_is_digit(fraction.at[0]) &&
           !gln_text_integer(fraction, 0, 99, &hundredths);
    if (fraction.length == 1)
      hundredths *= 10;
  }
  GlnRatio swing = fine ? gln_ratio(whole * 100 + hundredths, 100) : gln_ratio(0, 1);
  if (!fine || gln_ratio_compare(swing, gln_ratio(3, 1)) > 0) {
    FAULT(reader, text, "1 is straight, 2 the triplet feel, 3 dotted; two decimals at most",
          "swing is a number from 1 to 3: how much longer the first eighth is than the second");
    return;
  }
  reader->feel->swing = swing;
  reader->swing = text;
}

static void read_tempo(Reader *reader, GlnText text) {
  size_t dash = gln_text_find(text, GLN_TEXT("-"), 0);
  long low, high;
  if (dash == text.length ||
      gln_text_integer(gln_text_trim(gln_text_slice(text, 0, dash)), (long)GLN_TEMPO_MIN, (long)GLN_TEMPO_MAX,
                       &low) ||
      gln_text_integer(gln_text_trim(gln_text_from(text, dash + 1)), low, (long)GLN_TEMPO_MAX, &high)) {
    FAULT(reader, text, "write the usual tempi in quarter notes a minute, such as 110-150",
          "\"%.*s\" is no range of tempi", SHOWN(text));
    return;
  }
  reader->feel->tempo_low = (double)low;
  reader->feel->tempo_high = (double)high;
}

/* "every 4" or "section end": the hands below are played there. */
static void read_variation(Reader *reader, GlnText text) {
  GlnFeel *feel = reader->feel;
  GlnText word = gln_text_slice(text, 0, gln_text_find(text, GLN_TEXT(" "), 0));
  GlnText rest = gln_text_trim(gln_text_from(text, word.length));
  long every = 0;
  bool at_end = gln_text_equal_ignoring_case(word, GLN_TEXT("section")) &&
                gln_text_equal_ignoring_case(rest, GLN_TEXT("end"));
  if (feel->variation_count == GLN_FEEL_VARIATIONS_MAX) {
    limit_fault(reader, text, "variations of a feel", GLN_FEEL_VARIATIONS_MAX);
    return;
  }
  if (!at_end && (!gln_text_equal_ignoring_case(word, GLN_TEXT("every")) ||
                  gln_text_integer(rest, 2, VARIATION_EVERY_MAX, &every)))
    FAULT(reader, text, "write every 4, every 8 and so on, or section end, and the hands below",
          "\"%.*s\" does not say when to vary", SHOWN(text));
  for (size_t i = 0; i < feel->variation_count; i++)
    if (feel->variations[i].every == (int32_t)every)
      FAULT(reader, text, "keep one of the two", "this variation is given twice");
  reader->variations[feel->variation_count] = text;
  feel->variations[feel->variation_count++].every = (int32_t)every;
  reader->lanes = reader->patterns[feel->variation_count];
}

static void read_words(Reader *reader, GlnText text) {
  reader->feel->words = text;
}

static const struct {
  const char *name;
  void (*read)(Reader *, GlnText); /* NULL for a lane */
} headers[HEADER_COUNT] = {[FEEL] = {"feel", read_name},
                           [ALSO] = {"also", read_also},
                           [WORDS] = {"words", read_words},
                           [METER] = {"meter", read_meter},
                           [STEPS] = {"steps", read_steps},
                           [SWING] = {"swing", read_swing},
                           [TEMPO] = {"tempo", read_tempo},
                           [VARIATION] = {"variation", read_variation},
                           [FIRST_LANE + GLN_LANE_THUMB] = {"thumb", NULL},
                           [FIRST_LANE + GLN_LANE_FINGERS] = {"fingers", NULL},
#define LANE_HEADER(name, word, key) [FIRST_LANE + GLN_LANE_PERCUSSION + (name)] = {(word), NULL},
                           GLN_PERCUSSION_LIST(LANE_HEADER)
#undef LANE_HEADER
};

static void unknown_header(Reader *reader, GlnText name) {
  const char *nearest = NULL;
  size_t nearest_distance = 3;
  for (size_t i = 0; i < HEADER_COUNT; i++) {
    size_t distance = gln_text_distance(name, gln_text(headers[i].name));
    if (distance < nearest_distance) {
      nearest = headers[i].name;
      nearest_distance = distance;
    }
  }
  FAULT(
      reader, name,
      "a feel has feel, also, words, meter, steps, swing, tempo, variation, thumb, fingers, shaker, rim and "
      "kick",
      "\"%.*s\" is not known%s%s%s", SHOWN(name), nearest ? "; did you mean \"" : "", nearest ? nearest : "",
      nearest ? "\"?" : "");
}

static void read_line(Reader *reader, GlnText line) {
  size_t colon = gln_text_find(line, GLN_TEXT(":"), 0);
  if (colon == line.length) {
    FAULT(reader, line, "write NAME: VALUE, or start a comment with #", "this line has no colon");
    return;
  }
  GlnText name = gln_text_trim(gln_text_slice(line, 0, colon));
  GlnText value = gln_text_trim(gln_text_from(line, colon + 1));
  size_t which = 0;
  while (which < HEADER_COUNT && !gln_text_equal_ignoring_case(name, gln_text(headers[which].name)))
    which++;
  if (which == HEADER_COUNT)
    unknown_header(reader, name.length ? name : line);
  else if (!value.length)
    FAULT(reader, line, "write something after the colon", "\"%s\" is empty", headers[which].name);
  else if (which < VARIATION && reader->seen[which])
    FAULT(reader, line, "keep one of the two lines", "\"%s\" is given twice", headers[which].name);
  else if (which >= FIRST_LANE)
    read_lane(reader, (GlnLane)(which - FIRST_LANE), value);
  else
    headers[which].read(reader, value);
  if (which < HEADER_COUNT)
    reader->seen[which] = true;
}

/* The next line that says something, without its comment. False at the end. */
static bool next_line(GlnText source, size_t *at, GlnText *line) {
  while (*at < source.length) {
    size_t end = gln_text_find(source, GLN_TEXT("\n"), *at);
    *line = gln_text_slice(source, *at, end - *at);
    *at = end + 1;
    for (size_t i = 0; i < line->length; i++)
      if (line->at[i] == '#' && (i == 0 || gln_is_blank(line->at[i - 1])))
        line->length = i;
    *line = gln_text_trim(*line);
    if (line->length)
      return true;
  }
  return false;
}

/* ---- the whole --------------------------------------------------------------------------------------- */

/* There must be something to swing; and no swing puts a half behind a triplet's last third. */
static void check_swing(Reader *reader) {
  const GlnFeel *feel = reader->feel;
  if (gln_ratio_compare(feel->swing, gln_ratio(1, 1)) == 0)
    return;
  /* Steps in a pair of eighths, or of sixteenths, as a fraction. */
  GlnRatio steps = gln_ratio(feel->steps * feel->unit, feel->beats * (feel->swings_sixteenths ? 8 : 4));
  if (steps.den != 1 || steps.num % 2 != 0)
    FAULT(reader, reader->swing, "cut the bar into eighths or sixteenths, or leave swing out",
          "%d steps in %d/%d leave no %s to swing", (int)feel->steps, feel->beats, feel->unit,
          feel->swings_sixteenths ? "sixteenths" : "eighths");
  else if (steps.num % 3 == 0 && gln_ratio_compare(feel->swing, gln_ratio(2, 1)) > 0)
    FAULT(reader, reader->swing, "swing 2 at most where there are triplets",
          "this swing would bring a note after the triplet that follows it");
}

/* Something must sound, and all lines have the same number of bars: that number. */
static int32_t check_lanes(Reader *reader, GlnText top) {
  const LaneText *lanes = reader->patterns[0];
  if (!lanes[GLN_LANE_THUMB].bars && !lanes[GLN_LANE_FINGERS].bars)
    FAULT(reader, top, "add a thumb: or a fingers: line", "neither hand line is there: nothing would sound");
  int32_t bars = lanes[GLN_LANE_THUMB].bars ? lanes[GLN_LANE_THUMB].bars : lanes[GLN_LANE_FINGERS].bars;
  for (size_t i = GLN_LANE_FINGERS; bars && i < GLN_LANE_COUNT; i++)
    if (lanes[i].bars && lanes[i].bars != bars)
      FAULT(reader, reader->last_lane, "write as many bars in every line", "%s has %d bars, %s has %d",
            i == GLN_LANE_FINGERS ? "the thumb" : "the hand", (int)bars,
            i == GLN_LANE_FINGERS ? "the fingers" : headers[FIRST_LANE + i].name, (int)lanes[i].bars);
  return bars;
}

/* A variation has lines, all of the same number of bars, and no more of them than lie between two of its points. */
static void check_variation(Reader *reader, size_t which) {
  const LaneText *lanes = reader->patterns[1 + which];
  GlnFeelVariation *variation = &reader->feel->variations[which];
  GlnText place = reader->variations[which];
  for (size_t i = 0; i < GLN_LANE_COUNT; i++) {
    variation->lanes[i] = lanes[i].strokes;
    if (!variation->bars)
      variation->bars = lanes[i].bars;
    else if (lanes[i].bars && lanes[i].bars != variation->bars)
      FAULT(reader, place, "write as many bars in every line",
            "the lines of this variation have %d and %d bars", (int)variation->bars, (int)lanes[i].bars);
  }
  if (!variation->bars)
    FAULT(reader, place, "write a thumb:, fingers: or other line under it", "this variation has no strokes");
  else if (variation->every && variation->bars >= variation->every)
    FAULT(reader, place, "vary less, or more seldom",
          "a variation of %d bars every %d leaves nothing of the feel", (int)variation->bars,
          (int)variation->every);
}

/* What only shows once every line is read. */
static void check_whole(Reader *reader) {
  GlnFeel *feel = reader->feel;
  GlnText top = gln_text_slice(reader->source, 0, 1);
  const Header needed[] = {FEEL, METER, STEPS};
  for (size_t i = 0; i < GLN_COUNT_OF(needed); i++)
    if (!reader->seen[needed[i]])
      FAULT(reader, top, "add the line", "the feel has no \"%s:\" line", headers[needed[i]].name);
  int32_t bars = check_lanes(reader, top);
  for (size_t i = 0; i < feel->variation_count; i++)
    check_variation(reader, i);
  if (reader->worst != GLN_OK)
    return;
  check_swing(reader);
  feel->bars = bars;
  for (size_t i = 0; i < GLN_LANE_COUNT; i++)
    feel->lanes[i] = reader->patterns[0][i].strokes;
}

GlnStatus gln_feel_read(GlnText source, GlnArena *arena, GlnDiags *diags, GlnFeel **feel) {
  *feel = NULL;
  Reader reader = {.source = source, .arena = arena, .diags = diags, .feel = GLN_NEW(arena, GlnFeel, 1)};
  if (!reader.feel)
    return GLN_MEMORY;
  reader.feel->swing = gln_ratio(1, 1);
  reader.lanes = reader.patterns[0];
  if (source.length > GLN_FEEL_BYTES_MAX) {
    limit_fault(&reader, gln_text_slice(source, 0, 1), "bytes in a feel", (long)GLN_FEEL_BYTES_MAX);
    return GLN_LIMIT;
  }
  size_t bad = gln_text_bad_utf8(source);
  if (bad < source.length) {
    FAULT(&reader, gln_text_slice(source, bad, 1), "save the file as UTF-8 text", "this byte is no text");
    return GLN_INPUT;
  }
  GlnText line;
  for (size_t at = 0; !stopped(&reader) && next_line(source, &at, &line);)
    read_line(&reader, line);
  if (!stopped(&reader))
    check_whole(&reader);
  if (reader.worst == GLN_OK)
    *feel = reader.feel;
  return reader.worst;
}
