/* A MIDI file as a chart: what interchange hears, named as one progression, with every doubt told. */
#include "naming_internal.h"

#include <math.h>

#define BARS_A_LINE 4

/* So many chords are named together, and so many before and after them are looked at besides: harmony looks three chords
 * far, and the memory it takes grows with the chords. Design choice. */
#define TOGETHER 64
#define AROUND   8

/* Names that cost so much more than the plainest are not weighed against it: time grows with the fourth power of the choices.
 * Design choice: beyond an inversion's half, no neighbour makes up for it. */
#define NEAR 0.6

/* Less sure than this is worth a remark: at 0.6 one of the tones that would decide is missing. Design choice, looked at on
 * the songs of examples/ as gripline plays them. */
#define SURE 0.75
/* Fewer of the notes near a part of a beat: recorded without a click. Design choice. */
#define STEADY 0.7

typedef struct Heard {
  const GlnMidiChord *chord;
  GlnHeard heard;
  GlnChord named; /* silent where nothing is named */
  GlnText symbol;
  GlnKey key;
  double sure;
  const GlnName *other; /* what it may be as well; NULL: nothing near */
} Heard;

typedef struct Listening {
  GlnMidiSong *song;
  GlnNamer *namer;
  GlnArena *arena;
  Heard *items;
  size_t count;
} Listening;

/* ---- names -------------------------------------------------------------------------------------------------------- */

static GlnStatus find_names(Listening *listening) {
  const GlnMidiSong *song = listening->song;
  for (size_t i = 0, bar = 0; i < song->chord_count; i++) {
    Heard *item = &listening->items[i];
    *item = (Heard){.chord = &song->chords[i], .named = {.silent = true}, .sure = 1.0};
    while (bar + 1 < song->bar_count && song->bars[bar + 1].beat <= item->chord->beat)
      bar++;
    item->heard.bar = bar;
    item->heard.count = item->chord->count;
    for (size_t n = 0; n < item->chord->count; n++)
      item->heard.midi[n] = item->chord->midi[n];
    if (item->chord->count > 0)
      GLN_TRY(gln_heard_find(listening->namer, NULL, listening->arena, &item->heard));
  }
  return GLN_OK;
}

static bool is_named(const Heard *item) {
  return item->heard.name_count > 0;
}

/* The nearest name on another root. */
static void find_other(Heard *item, const GlnName *chosen) {
  double gap = 1.0;
  for (size_t n = 0; n < item->heard.name_count && item->other == NULL; n++)
    if (item->heard.names[n].root != chosen->root) {
      item->other = &item->heard.names[n];
      gap = (double)(item->other->cost - chosen->cost);
    }
  item->sure = item->chord->clear * fmin(1.0, fmax(0.5, 0.75 + gap / 2));
}

static GlnStatus take_name(Listening *listening, Heard *item, const GlnNaming *naming) {
  char symbol[GLN_SYMBOL_TEXT_MAX];
  item->named = naming->chord;
  item->key = naming->reading.key;
  find_other(item, &item->heard.names[naming->name]);
  GlnText text = {symbol, gln_chord_print(&item->named, GLN_SIGNS_ASCII, symbol)};
  const char *copy = gln_text_copy(listening->arena, text);
  item->symbol = (GlnText){copy, text.length};
  return copy != NULL ? GLN_OK : GLN_MEMORY;
}

static GlnHeard with_near_names(const GlnHeard *heard) {
  GlnHeard near = *heard;
  while (near.name_count > 1 && near.names[near.name_count - 1].cost > near.names[0].cost + (float)NEAR)
    near.name_count--;
  return near;
}

/* The named ones from first up to end, heard with those around them. */
static GlnStatus name_window(Listening *listening, Heard *const *named, size_t count, size_t first,
                             size_t end) {
  size_t from = first > AROUND ? first - AROUND : 0, to = end + AROUND < count ? end + AROUND : count;
  GlnArena *scratch = gln_arena_beside(listening->arena);
  if (scratch == NULL)
    return GLN_MEMORY;
  GlnHeard *heard = GLN_NEW(scratch, GlnHeard, to - from);
  GlnNaming *namings = NULL;
  GlnStatus status = heard != NULL ? GLN_OK : GLN_MEMORY;
  for (size_t i = from; status == GLN_OK && i < to; i++)
    heard[i - from] = with_near_names(&named[i]->heard);
  if (status == GLN_OK)
    status = gln_naming_of_line(listening->namer, heard, to - from, NULL, scratch, &namings);
  for (size_t i = first; status == GLN_OK && i < end; i++)
    status = take_name(listening, named[i], &namings[i - from]);
  gln_arena_free(scratch);
  return status;
}

static GlnStatus name_all(Listening *listening) {
  size_t count = 0;
  Heard **named = GLN_NEW(listening->arena, Heard *, listening->count);
  if (named == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < listening->count; i++)
    if (is_named(&listening->items[i]))
      named[count++] = &listening->items[i];
  for (size_t first = 0; first < count; first += TOGETHER)
    GLN_TRY(name_window(listening, named, count, first, first + TOGETHER < count ? first + TOGETHER : count));
  return GLN_OK;
}

/* ---- the chart ---------------------------------------------------------------------------------------------------- */

/* A name that a section can have: no commas, brackets, bar lines or number signs; a number where it is taken. */
static GlnText section_name(const Listening *listening, size_t bar) {
  const GlnMidiSong *song = listening->song;
  GlnBuffer out = gln_buffer(listening->arena);
  GlnText name = song->bars[bar].section;
  size_t before = 0;
  for (size_t i = 0; i < bar; i++)
    before += gln_text_equal_ignoring_case(song->bars[i].section, name);
  for (size_t i = 0; i < name.length; i++)
    if (gln_text_find(GLN_TEXT("[],#|()"), gln_text_slice(name, i, 1), 0) == 7)
      gln_buffer_add_byte(&out, name.at[i]);
  if (gln_text_trim(gln_buffer_text(&out)).length == 0)
    gln_buffer_add_string(&out, "part");
  if (before > 0)
    gln_buffer_format(&out, " (%zu)", before + 1);
  return gln_text_trim(gln_buffer_text(&out));
}

static void add_doubt(const Listening *listening, const Heard *item, size_t bar, GlnBuffer *out) {
  GlnBuffer passing = gln_buffer(listening->arena);
  gln_buffer_format(out, "# bar %zu: %.*s, %d %% sure", bar, (int)item->symbol.length, item->symbol.at,
                    (int)lround(item->sure * 100));
  if (item->other != NULL) {
    char symbol[GLN_SYMBOL_TEXT_MAX];
    size_t length = gln_name_print(listening->namer, item->other, &item->key, GLN_SIGNS_ASCII, symbol);
    gln_buffer_format(out, "; or %.*s", (int)length, symbol);
  }
  for (int c = 0; c < 12; c++)
    if ((item->chord->left_out >> c & 1) != 0) {
      char note[GLN_NOTE_TEXT_MAX];
      (void)gln_note_print(gln_key_spell(item->key, c), GLN_SIGNS_ASCII, note);
      gln_buffer_format(&passing, "%s%s", passing.length > 0 ? " " : "", note);
    }
  if (passing.length > 0)
    gln_buffer_format(out, "; %.*s left out", (int)passing.length, passing.at);
  gln_buffer_add_byte(out, '\n');
}

static GlnText symbol_of(const Heard *item) {
  return item->named.silent ? GLN_TEXT("N.C.") : item->symbol;
}

static bool goes_on(const Heard *before, const Heard *item) {
  return before->named.silent == item->named.silent &&
         (item->named.silent || gln_chord_equal(&before->named, &item->named));
}

typedef struct Walk {
  size_t item; /* the one that sounds at the bar's start */
  GlnMeter running;
} Walk;

/* Marks of one bar: a chord, or a slash for one more beat of it. */
static void add_bar(const Listening *listening, size_t bar, Walk *walk, GlnBuffer *out) {
  const GlnMidiSong *song = listening->song;
  const GlnMidiBar *at = &song->bars[bar];
  size_t end = bar + 1 < song->bar_count ? song->bars[bar + 1].beat : song->beat_count;
  size_t rest = bar == 0 ? song->pickup : 0;
  GlnBuffer marks = gln_buffer(listening->arena);
  gln_buffer_add_repeated(&marks, GLN_TEXT("/ "), rest);
  bool shared = rest > 0, first = true;
  const Heard *sounding = &listening->items[walk->item];
  for (size_t beat = at->beat + rest; beat < end; beat++) {
    while (walk->item + 1 < listening->count && listening->items[walk->item + 1].chord->beat <= beat)
      walk->item++;
    const Heard *item = &listening->items[walk->item];
    bool begins = first || !goes_on(sounding, item);
    shared = shared || (begins && !first);
    first = false;
    if (begins)
      gln_buffer_add(&marks, symbol_of(item));
    else
      gln_buffer_add_byte(&marks, '/');
    gln_buffer_add_byte(&marks, ' ');
    sounding = item;
  }
  gln_buffer_add_string(out, "| ");
  if (!gln_meter_equal(at->meter, walk->running))
    gln_buffer_format(out, "%d/%d: ", at->meter.beats, at->meter.unit);
  walk->running = at->meter;
  if (shared)
    gln_buffer_add(out, gln_buffer_text(&marks));
  else
    gln_buffer_format(out, "%.*s ", (int)symbol_of(sounding).length, symbol_of(sounding).at);
}

static void add_doubts(const Listening *listening, size_t first, size_t end, GlnBuffer *out) {
  for (size_t i = 0; i < listening->count; i++) {
    const Heard *item = &listening->items[i];
    size_t bar = item->heard.bar;
    if (bar >= first && bar < end && !item->named.silent && item->sure < SURE)
      add_doubt(listening, item, bar + (listening->song->pickup == 0), out);
  }
}

static void add_lines(const Listening *listening, GlnMeter meter, GlnBuffer *out) {
  const GlnMidiSong *song = listening->song;
  Walk walk = {.item = 0, .running = meter};
  for (size_t bar = 0, end; bar < song->bar_count; bar = end) {
    if (bar == 0 || song->bars[bar].section.length > 0) {
      GlnText name = song->bars[bar].section.length > 0 ? section_name(listening, bar) : GLN_TEXT("song");
      gln_buffer_format(out, "\n[%.*s]\n", (int)name.length, name.at);
      walk.running = meter;
    }
    for (end = bar + 1;
         end < song->bar_count && end - bar < BARS_A_LINE && song->bars[end].section.length == 0; end++)
      ;
    add_doubts(listening, bar, end, out);
    for (size_t b = bar; b < end; b++)
      add_bar(listening, b, &walk, out);
    gln_buffer_add_string(out, "|\n");
  }
}

static void add_number(double value, GlnBuffer *out) {
  gln_buffer_add_number(out, value, fabs(value - round(value)) < 0.005 ? 0 : 2);
}

static void write_chart(const Listening *listening, GlnBuffer *out) {
  const GlnMidiSong *song = listening->song;
  GlnMeter meter = song->bars[0].meter;
  double tempo = song->tempo / gln_ratio_value(gln_meter_count_quarters(meter));
  char key[GLN_KEY_TEXT_MAX];
  if (song->title.length > 0)
    gln_buffer_format(out, "title: %.*s\n", (int)song->title.length, song->title.at);
  if (song->has_key && gln_key_print(song->key, GLN_SIGNS_ASCII, key) > 0)
    gln_buffer_format(out, "key: %s\n", key);
  gln_buffer_format(out, "meter: %d/%d\ntempo: ", meter.beats, meter.unit);
  add_number(fmin(fmax(tempo, GLN_CHART_TEMPO_MIN), GLN_CHART_TEMPO_MAX), out);
  gln_buffer_add_byte(out, '\n');
  add_lines(listening, meter, out);
}

/* ---- how sure ----------------------------------------------------------------------------------------------------- */

static GlnStatus tell(GlnDiags *diags, GlnSeverity severity, const GlnBuffer *words, GlnText advice) {
  gln_diags_add(diags, (GlnDiag){.severity = severity, .problem = gln_buffer_text(words), .advice = advice});
  return gln_buffer_status(words);
}

static GlnStatus tell_sureness(const Listening *listening, GlnDiags *diags) {
  double sure = 0, beats = 0;
  size_t doubts = 0;
  for (size_t i = 0; i < listening->count; i++) {
    const Heard *item = &listening->items[i];
    if (item->named.silent)
      continue;
    sure += item->sure * (double)item->chord->beats;
    beats += (double)item->chord->beats;
    doubts += item->sure < SURE;
  }
  GlnBuffer words = gln_buffer(listening->arena);
  gln_buffer_format(&words, "chords are what is heard, %d %% sure", (int)lround(100 * sure / fmax(beats, 1)));
  if (doubts > 0)
    gln_buffer_format(&words, "; %zu of them in doubt", doubts);
  GLN_TRY(tell(diags, GLN_NOTE_SEVERITY, &words,
               doubts > 0 ? GLN_TEXT("remarks in the chart say which, and what else they may be")
                          : GLN_TEXT("listen and correct the chart")));
  if (listening->song->on_beat >= STEADY)
    return GLN_OK;
  GlnBuffer loose = gln_buffer(listening->arena);
  gln_buffer_format(&loose,
                    "only %d %% of the notes begin on a beat or a half or third of one; bars are guesses",
                    (int)lround(100 * listening->song->on_beat));
  return tell(diags, GLN_WARNING, &loose,
              GLN_TEXT("was it recorded without a click? set bars and tempo in the program it came from"));
}

GlnStatus gln_midi_read(GlnText bytes, GlnNamer *namer, GlnArena *arena, GlnDiags *diags, GlnImport *import) {
  Listening listening = {.namer = namer, .arena = arena};
  import->placed = bytes;
  GLN_TRY(gln_midi_hear(bytes, listening.namer, arena, diags, &listening.song));
  listening.count = listening.song->chord_count;
  listening.items = GLN_NEW(arena, Heard, listening.count);
  if (listening.items == NULL)
    return GLN_MEMORY;
  GLN_TRY(find_names(&listening));
  GLN_TRY(name_all(&listening));
  GlnBuffer out = gln_buffer(arena);
  write_chart(&listening, &out);
  GLN_TRY(gln_buffer_status(&out));
  import->chart = gln_buffer_text(&out);
  return tell_sureness(&listening, diags);
}
