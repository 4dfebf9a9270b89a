/* gripline grips: every playable grip of a chord, best first. */
#include "app_internal.h"

#include <math.h>
#include <string.h>

/* How many are printed without --all. Design choice: what fits a screen with the pictures. */
#define SHOWN_GRIPS ((size_t)12)

typedef struct Search {
  GlnChord chord;
  GlnInstrument instrument;
  GlnHand hand;
  GlnGripQuery query;
  bool has_after, has_before;
  GlnGrip after, before;
} Search;

/* ---- what is asked for -------------------------------------------------------------------------------------------- */

static GlnStatus read_chord(const GlnJob *job, GlnChord *chord) {
  GlnText symbol = gln_text(job->arguments.operand);
  GlnSymbolFault fault = {0};
  if (gln_chord_parse(symbol, chord, &fault) != GLN_OK)
    return gln_job_complain_of_symbol(job, GLN_INPUT, "CHORD", symbol, &fault);
  if (chord->silent)
    return gln_job_complain(job, GLN_INPUT, "give a chord", "%s is silence: there is nothing to hold",
                            job->arguments.operand);
  return GLN_OK;
}

/* A note that must be a tone of the chord: every note of a grip is. */
static GlnStatus read_tone(const GlnJob *job, GlnOptionId id, const GlnChord *chord, GlnText text,
                           int8_t *pitch_class) {
  GlnNote note;
  size_t used = 0;
  const char *name = gln_option_at(id)->name;
  if (gln_note_parse(text, &note, &used) != GLN_OK || used != text.length)
    return gln_job_complain(job, GLN_USAGE, "write a note, such as E or Bb", "--%s \"%.*s\" is no note", name,
                            (int)text.length, text.at);
  *pitch_class = (int8_t)gln_note_pitch_class(note);
  if (gln_chord_tone_of(chord, *pitch_class) >= 0)
    return GLN_OK;
  GlnBuffer tones = gln_buffer(job->arena);
  gln_buffer_add_string(&tones, "choose from ");
  gln_add_chord_notes(chord, &tones);
  const char *advice = gln_text_copy(job->arena, gln_buffer_text(&tones));
  return gln_job_complain(job, GLN_USAGE, advice != NULL ? advice : "", "--%s: %.*s is no note of %s", name,
                          (int)text.length, text.at, job->arguments.operand);
}

static GlnStatus read_bass(const GlnJob *job, Search *search) {
  const GlnValue *value = &job->arguments.value[GLN_OPT_BASS];
  if (!value->given)
    return GLN_OK;
  if (gln_text_equal_ignoring_case(value->text, GLN_TEXT("any"))) {
    search->query.bass_wish = GLN_BASS_ANY;
    return GLN_OK;
  }
  search->query.bass_wish = GLN_BASS_NOTE;
  return read_tone(job, GLN_OPT_BASS, &search->chord, value->text, &search->query.bass_pitch_class);
}

static GlnStatus read_top(const GlnJob *job, Search *search) {
  const GlnValue *value = &job->arguments.value[GLN_OPT_TOP];
  if (!value->given)
    return GLN_OK;
  GlnPitch pitch;
  GlnText name = value->text;
  if (gln_pitch_parse(value->text, &pitch) == GLN_OK) {
    search->query.top_midi = (int16_t)gln_pitch_midi(pitch);
    while (name.length > 0 && (gln_is_digit(name.at[name.length - 1]) || name.at[name.length - 1] == '-'))
      name.length--;
  }
  return read_tone(job, GLN_OPT_TOP, &search->chord, name, &search->query.top_pitch_class);
}

/* Shapes given on the command line sound whatever they sound: no chord is asked of them. */
static GlnStatus read_grip(const GlnJob *job, const Search *search, GlnOptionId id, GlnText text,
                           GlnGrip *grip) {
  const char *name = gln_option_at(id)->name;
  GlnSymbolFault fault = {0};
  if (gln_frets_parse(text, &grip->frets, &fault) != GLN_OK) {
    GlnBuffer option = gln_buffer(job->arena);
    gln_buffer_format(&option, "--%s", name);
    const char *words = gln_text_copy(job->arena, gln_buffer_text(&option));
    (void)gln_job_complain_of_symbol(job, GLN_INPUT, words != NULL ? words : name, text, &fault);
    return GLN_USAGE;
  }
  if (grip->frets.string_count != search->instrument.string_count)
    return gln_job_complain(job, GLN_USAGE, "write one sign for each string",
                            "--%s %.*s has %d strings, not %d", name, (int)text.length, text.at,
                            grip->frets.string_count, search->instrument.string_count);
  if (gln_fingering_find(&search->instrument, &search->hand, &grip->frets, &grip->fingering) != GLN_OK)
    return gln_job_complain(job, GLN_USAGE, "try --hand large, or another grip",
                            "--%s %.*s cannot be held by a %s hand", name, (int)text.length, text.at,
                            search->hand.name);
  if (gln_grip_sound_alone(&search->instrument, grip))
    return GLN_OK;
  return gln_job_complain(job, GLN_USAGE, "play at least one string", "--%s: nothing sounds", name);
}

static GlnStatus read_neighbours(const GlnJob *job, Search *search) {
  const GlnValue *after = &job->arguments.value[GLN_OPT_AFTER];
  const GlnValue *between = &job->arguments.value[GLN_OPT_BETWEEN];
  if (after->given && between->given)
    return gln_job_complain(job, GLN_USAGE, "give one of the two", "--between says what --after says");
  search->has_after = after->given || between->given;
  search->has_before = between->given;
  if (after->given)
    return read_grip(job, search, GLN_OPT_AFTER, after->text, &search->after);
  if (!between->given)
    return GLN_OK;
  GLN_TRY(read_grip(job, search, GLN_OPT_BETWEEN, between->text, &search->after));
  return read_grip(job, search, GLN_OPT_BETWEEN, between->second, &search->before);
}

static GlnStatus read_search(const GlnJob *job, Search *search) {
  GlnFretRange range;
  GLN_TRY(gln_job_instrument(job, &search->instrument));
  GLN_TRY(gln_job_fret_range(job, &range));
  GLN_TRY(read_chord(job, &search->chord));
  GLN_TRY(gln_job_hand(job, &search->hand));
  search->query = gln_grip_query_defaults(&search->chord, &search->instrument, &search->hand);
  uint8_t numbers = 0;
  GLN_TRY(gln_job_string_numbers(job, &numbers));
  if (!gln_string_bits(&search->instrument, numbers, &search->query.strings))
    return gln_job_complain(job, GLN_USAGE, "count strings from 1, the highest",
                            "--strings: this instrument has %d strings", search->instrument.string_count);
  search->query.textures = gln_job_textures(job);
  search->query.fret_low = range.low;
  search->query.fret_high = range.high;
  search->query.open_wish = gln_job_open_wish(job);
  search->query.right_hand = gln_job_right_hand(job);
  GLN_TRY(read_bass(job, search));
  GLN_TRY(read_top(job, search));
  return read_neighbours(job, search);
}

/* ---- for programs ------------------------------------------------------------------------------------------------ */

static void add_barres(GlnJson *json, const GlnInstrument *instrument, const GlnGrip *grip) {
  gln_json_open_array(json, "barres");
  for (int b = 0; b < grip->fingering.barre_count; b++) {
    const GlnBarre *barre = &grip->fingering.barres[b];
    gln_json_open_object(json, NULL);
    gln_json_add_integer(json, "finger", barre->finger);
    gln_json_add_integer(json, "fret", barre->fret);
    gln_json_add_integer(json, "from_string", gln_string_number(instrument, barre->low_string));
    gln_json_add_integer(json, "to_string", gln_string_number(instrument, barre->high_string));
    gln_json_close(json);
  }
  gln_json_close(json);
}

/* Closes the array. */
static void add_degrees_of(GlnJson *json, const GlnChord *chord, unsigned tones) {
  for (int t = 0; t < chord->tone_count; t++) {
    if ((tones >> t & 1) == 0)
      continue;
    char text[GLN_DEGREE_TEXT_MAX];
    size_t length = gln_degree_print(chord->tones[t].degree, GLN_SIGNS_ASCII, text);
    gln_json_add_text(json, NULL, (GlnText){text, length});
  }
  gln_json_close(json);
}

static void add_omitted(GlnJson *json, const GlnChord *chord, const GlnGrip *grip) {
  gln_json_open_array(json, "omitted");
  add_degrees_of(json, chord, ~(unsigned)grip->tones);
}

static void add_textures(GlnJson *json, const GlnGrip *grip) {
  gln_json_open_array(json, "texture");
  for (int t = 0; t < GLN_TEXTURE_COUNT; t++)
    if ((grip->textures >> t & 1) != 0)
      gln_json_add_text(json, NULL, gln_text(gln_texture_key((GlnTexture)t)));
  gln_json_close(json);
}

static void add_hold(GlnJson *json, const GlnFingering *fingering) {
  gln_json_add_number(json, "difficulty", (double)fingering->difficulty, 3);
  gln_json_open_object(json, "parts");
  for (int p = 0; p < GLN_HOLD_PART_COUNT; p++)
    gln_json_add_number(json, gln_hold_part_key((GlnHoldPart)p), (double)fingering->parts[p], 3);
  gln_json_close(json);
  gln_json_add_number(json, "span_mm", (double)fingering->span_mm, 1);
}

static void fill_json(GlnJson *json, const Search *search, const GlnRankedGrip *ranked,
                      const GlnGripList *list) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  size_t length = gln_chord_print(&search->chord, GLN_SIGNS_ASCII, symbol);
  gln_json_add_text(json, "chord", (GlnText){symbol, length});
  gln_json_open_array(json, "let_go");
  add_degrees_of(json, &search->chord, list->let_go);
  gln_json_open_array(json, "grips");
  for (size_t i = 0; i < list->count; i++) {
    const GlnGrip *grip = ranked[i].grip;
    gln_json_open_object(json, NULL);
    gln_add_grip_json(json, &search->chord, grip);
    add_barres(json, &search->instrument, grip);
    add_omitted(json, &search->chord, grip);
    add_textures(json, grip);
    add_hold(json, &grip->fingering);
    if (search->has_after)
      gln_json_add_number(json, "move_seconds", ranked[i].move_seconds, 3);
    if (search->has_before)
      gln_json_add_number(json, "next_seconds", ranked[i].next_seconds, 3);
    gln_json_close(json);
  }
  gln_json_close(json);
}

/* Is the texture said already by a more exact one? A drop 2 has four notes. */
static bool is_implied(uint16_t textures, int texture) {
  static const struct {
    uint16_t exact, implies;
  } rows[] = {
      {1U << GLN_TEXTURE_CLOSE | 1U << GLN_TEXTURE_DROP2 | 1U << GLN_TEXTURE_DROP3 |
           1U << GLN_TEXTURE_DROP24 | 1U << GLN_TEXTURE_ROOTLESS_A | 1U << GLN_TEXTURE_ROOTLESS_B,
       1U << GLN_TEXTURE_FOUR_NOTE},
      {1U << GLN_TEXTURE_DROP24, 1U << GLN_TEXTURE_SPREAD},
      {1U << GLN_TEXTURE_ROOTLESS_A | 1U << GLN_TEXTURE_ROOTLESS_B, 1U << GLN_TEXTURE_ROOTLESS},
  };
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++)
    if ((textures & rows[i].exact) != 0 && (rows[i].implies >> texture & 1) != 0)
      return true;
  return false;
}

static void add_texture_words(const GlnGrip *grip, GlnBuffer *out) {
  const char *between = "";
  for (int t = 0; t < GLN_TEXTURE_COUNT; t++) {
    if ((grip->textures >> t & 1) == 0 || is_implied(grip->textures, t))
      continue;
    gln_buffer_format(out, "%s%s", between, gln_texture_key((GlnTexture)t));
    between = ", ";
  }
}

static void print_csv(GlnJob *job, const Search *search, const GlnRankedGrip *ranked, size_t count) {
  static const char *const heads[] = {"rank",       "chord",   "frets",        "fingers",
                                      "notes",      "degrees", "voices",       "texture",
                                      "difficulty", "span_mm", "move_seconds", "next_seconds"};
  GlnCsv csv = gln_csv(&job->out);
  gln_csv_heads(&csv, heads, GLN_COUNT_OF(heads));
  for (size_t i = 0; i < count; i++) {
    const GlnGrip *grip = ranked[i].grip;
    GlnBuffer notes = gln_buffer(job->arena), degrees = gln_buffer(job->arena),
              textures = gln_buffer(job->arena);
    gln_add_notes(&search->chord, grip, &notes);
    gln_add_degrees(&search->chord, grip, &degrees);
    add_texture_words(grip, &textures);
    gln_csv_integer(&csv, (long long)i + 1);
    gln_csv_text(&csv, gln_text(job->arguments.operand));
    gln_csv_grip(&csv, grip);
    gln_csv_text(&csv, gln_buffer_text(&notes));
    gln_csv_text(&csv, gln_buffer_text(&degrees));
    gln_csv_integer(&csv, grip->voices);
    gln_csv_text(&csv, gln_buffer_text(&textures));
    gln_csv_number(&csv, (double)grip->fingering.difficulty, 3);
    gln_csv_number(&csv, (double)grip->fingering.span_mm, 1);
    gln_csv_number(&csv, search->has_after ? ranked[i].move_seconds : (double)NAN, 3);
    gln_csv_number(&csv, search->has_before ? ranked[i].next_seconds : (double)NAN, 3);
    gln_csv_end_row(&csv);
  }
}

static GlnStatus print_json(GlnJob *job, const Search *search, const GlnRankedGrip *ranked,
                            const GlnGripList *list) {
  GlnJson *json = gln_json_new(job->arena, "grips");
  if (json == NULL)
    return GLN_MEMORY;
  fill_json(json, search, ranked, list);
  GlnStatus status = gln_json_write(json, &job->out);
  gln_json_free(json);
  return status;
}

/* ---- for people --------------------------------------------------------------------------------------------------- */

static void add_heading(const GlnJob *job, const Search *search, const GlnGripList *list, size_t shown,
                        GlnBuffer *out) {
  size_t count = list->count;
  char symbol[GLN_SYMBOL_TEXT_MAX];
  size_t length = gln_chord_print(&search->chord, GLN_SIGNS_ASCII, symbol);
  gln_add_styled(job, out, GLN_STYLE_BOLD, (GlnText){symbol, length});
  gln_buffer_add_string(out, "   ");
  gln_add_chord_notes(&search->chord, out);
  gln_buffer_add_byte(out, '\n');
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_format(&words, "%zu grip%s for a %s hand, ", count, count == 1 ? "" : "s", search->hand.name);
  if (search->has_after) {
    gln_buffer_add_string(&words, "by how well they follow ");
    gln_buffer_add(&words, gln_frets_text(&search->after, job->arena));
    if (search->has_before) {
      gln_buffer_add_string(&words, " and lead into ");
      gln_buffer_add(&words, gln_frets_text(&search->before, job->arena));
    }
  } else {
    gln_buffer_add_string(&words, "best first");
  }
  if (shown < count)
    gln_buffer_format(&words, "; %zu of them here, --all for the rest", shown);
  if (list->let_go != 0) {
    gln_buffer_add_string(&words, "; there is no room for every tone: ");
    gln_tones_describe(&search->chord, list->let_go, &words);
    gln_buffer_add_string(&words, " may be left out");
  }
  gln_add_wrapped(out, gln_buffer_text(&words), 0, 0, job->app->columns);
  gln_buffer_add_string(out, "\n\n");
}

/* Letters for the shapes in the order in which they come: a, b, ... z, aa, ab, ... One letter, one shape. */
typedef struct Shapes {
  char (*known)[GLN_SHAPE_TEXT_MAX];
  size_t count;
} Shapes;

/* Columns of the table, from which those that say nothing here are left out. */
enum { NUMBER, FRETS, FINGERS, NOTES, DEGREES, HARD, MOVE, NEXT, SHAPE, TEXTURE, COLUMN_COUNT };

static bool is_shown(const Search *search, int column) {
  return (column != MOVE || search->has_after) && (column != NEXT || search->has_before);
}

static void add_seconds(double seconds, GlnBuffer *out) {
  gln_buffer_add_number(out, seconds, 2);
  gln_buffer_add_string(out, " s");
}

static size_t shape_index(Shapes *shapes, const GlnGrip *grip) {
  char shape[GLN_SHAPE_TEXT_MAX];
  size_t at = 0;
  (void)gln_grip_shape_print(grip, shape);
  while (at < shapes->count && strcmp(shapes->known[at], shape) != 0)
    at++;
  if (at == shapes->count)
    memcpy(shapes->known[shapes->count++], shape, sizeof shape);
  return at;
}

static void add_shape_letter(size_t index, GlnBuffer *out) {
  if (index >= 26)
    add_shape_letter(index / 26 - 1, out);
  gln_buffer_add_byte(out, (char)('a' + index % 26));
}

static void add_row(GlnTable *table, const Search *search, const GlnRankedGrip *ranked, size_t number,
                    Shapes *shapes) {
  const GlnGrip *grip = ranked->grip;
  GlnBuffer cell[COLUMN_COUNT];
  for (size_t c = 0; c < GLN_COUNT_OF(cell); c++)
    cell[c] = gln_buffer(table->arena);
  gln_buffer_format(&cell[NUMBER], "%3zu", number);
  gln_buffer_add(&cell[FRETS], gln_frets_text(grip, table->arena));
  gln_buffer_add(&cell[FINGERS], gln_fingers_text(grip, table->arena));
  gln_add_notes(&search->chord, grip, &cell[NOTES]);
  gln_add_degrees(&search->chord, grip, &cell[DEGREES]);
  gln_buffer_add_number(&cell[HARD], (double)grip->fingering.difficulty, 2);
  add_seconds(ranked->move_seconds, &cell[MOVE]);
  add_seconds(ranked->next_seconds, &cell[NEXT]);
  add_shape_letter(shape_index(shapes, grip), &cell[SHAPE]);
  add_texture_words(grip, &cell[TEXTURE]);
  for (int c = 0; c < COLUMN_COUNT; c++)
    if (is_shown(search, c))
      gln_table_cell(table, &cell[c]);
}

static GlnStatus print_text(GlnJob *job, const Search *search, const GlnRankedGrip *ranked,
                            const GlnGripList *list) {
  size_t count = list->count;
  static const char *const heads[COLUMN_COUNT] = {"",     "frets", "fingers", "notes", "degrees",
                                                  "hard", "move",  "next",    "shape", "texture"};
  const char *shown_heads[COLUMN_COUNT];
  size_t columns = 0;
  for (int c = 0; c < COLUMN_COUNT; c++)
    if (is_shown(search, c))
      shown_heads[columns++] = heads[c];
  bool all = job->arguments.value[GLN_OPT_ALL].given;
  size_t shown = all || count < SHOWN_GRIPS ? count : SHOWN_GRIPS;
  Shapes shapes = {.known = gln_arena_alloc(job->arena, shown, sizeof *shapes.known)};
  if (shapes.known == NULL)
    return GLN_MEMORY;
  add_heading(job, search, list, shown, &job->out);
  (void)gln_add_pictures(ranked, shown, job->app->columns, job->arguments.value[GLN_OPT_LEFT_HANDED].given,
                         job->arena, &job->out);
  gln_buffer_add_byte(&job->out, '\n');
  GlnTable table = gln_table(job->arena, columns, shown_heads);
  for (size_t i = 0; i < shown; i++)
    add_row(&table, search, &ranked[i], i + 1, &shapes);
  gln_table_print(job, &table, &job->out);
  gln_buffer_add_string(&job->out, "\nhard: from 0 at rest to 1 at the limit of this hand.\n");
  if (search->has_after)
    gln_buffer_add_string(&job->out, search->has_before
                                         ? "move, next: seconds the hand needs into it and out of it.\n"
                                         : "move: seconds the hand needs into it.\n");
  return GLN_OK;
}

GlnStatus gln_run_grips(GlnJob *job) {
  Search search = {.has_after = false};
  GLN_TRY(read_search(job, &search));
  GlnGripList list;
  GLN_TRY(gln_grip_search(&search.query, job->arena, &list));
  GlnRankedGrip *ranked = NULL;
  GLN_TRY(gln_grips_rank_between(&list, &search.chord, &search.instrument,
                                 search.has_after ? &search.after : NULL,
                                 search.has_before ? &search.before : NULL, job->arena, &ranked));
  if (job->arguments.value[GLN_OPT_JSON].given)
    GLN_TRY(print_json(job, &search, ranked, &list));
  else if (job->arguments.value[GLN_OPT_CSV].given)
    print_csv(job, &search, ranked, list.count);
  else if (list.count > 0)
    GLN_TRY(print_text(job, &search, ranked, &list));
  if (list.count == 0)
    return gln_job_complain(job, GLN_NO,
                            "ask for less: another texture, more frets or strings, --bass any, --hand large",
                            "no grip of %s does all that", job->arguments.operand);
  return GLN_OK;
}
