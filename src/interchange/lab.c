/* Chord labels with their times (.lab), as research on recordings keeps them: a line is start, end and label, in seconds
 * and Harte syntax (Harte et al., ISMIR 2005).
 *
 * Such a file has no bars. Reading looks for the beat that makes the chords last whole beats, as near as can be, and says
 * what it found; times that drift are followed, since each chord's length counts by itself. */
#include "interchange_internal.h"

#include <math.h>

typedef struct LabRow {
  double start, end; /* seconds */
  GlnChord chord;
  size_t offset, length; /* of its line */
} LabRow;

typedef struct LabReader {
  GlnText bytes;
  GlnDiags *diags;
  LabRow *rows;
  size_t count;
} LabReader;

/* Gaps and overlaps up to this, in seconds, are rounding. */
#define SEAM 0.05

static GlnStatus complain(LabReader *reader, GlnText part, const char *problem, const char *advice) {
  gln_diags_add(reader->diags, (GlnDiag){.severity = GLN_ERROR,
                                         .has_place = true,
                                         .offset = (size_t)(part.at - reader->bytes.at),
                                         .length = part.length,
                                         .problem = gln_text(problem),
                                         .advice = gln_text(advice)});
  return GLN_INPUT;
}

static GlnStatus read_time(LabReader *reader, GlnText word, double *seconds) {
  if (gln_text_number(word, seconds) != GLN_OK || *seconds < 0 || *seconds > GLN_LAB_SECONDS_MAX)
    return complain(reader, word, "this is no time in seconds between 0 and 86400",
                    "a line is start, end and chord: 0.5 2.5 C:maj");
  return GLN_OK;
}

/* A silent row where nothing is said of a while between two lines. */
static void fill_gap(LabReader *reader, const LabRow *next) {
  LabRow *last = reader->count > 0 ? &reader->rows[reader->count - 1] : NULL;
  if (last == NULL || next->start <= last->end + SEAM)
    return;
  gln_diags_format(reader->diags, GLN_WARNING, next->offset, next->length, "",
                   "nothing is said of the time before this line; N.C. is written there");
  LabRow silence = {.start = last->end, .end = next->start, .offset = next->offset, .length = next->length};
  silence.chord = (GlnChord){.silent = true, .quality = -1, .root_tone = -1, .bass_tone = -1};
  reader->rows[reader->count++] = silence;
}

static GlnStatus read_row(LabReader *reader, GlnText line) {
  GlnText start, end, label, more;
  size_t at = 0;
  LabRow row = {.offset = (size_t)(line.at - reader->bytes.at), .length = line.length};
  if (!gln_word_next(line, &at, &start) || !gln_word_next(line, &at, &end) ||
      !gln_word_next(line, &at, &label))
    return complain(reader, line, "this line wants a start, an end and a chord", "0.5 2.5 C:maj");
  if (gln_word_next(line, &at, &more))
    return complain(reader, more, "nothing can follow the chord in a line", "0.5 2.5 C:maj");
  GLN_TRY(read_time(reader, start, &row.start));
  GLN_TRY(read_time(reader, end, &row.end));
  if (row.end <= row.start)
    return complain(reader, end, "this chord ends before it begins", "write the earlier time first");
  if (reader->count > 0 && row.start < reader->rows[reader->count - 1].end - SEAM)
    return complain(reader, start, "this chord begins before the one above it ends",
                    "correct one of the two times");
  bool doubtful = false;
  GlnSymbolFault fault;
  if (gln_label_read(label, &row.chord, &doubtful, &fault) != GLN_OK) {
    gln_diags_format(reader->diags, GLN_ERROR, (size_t)(label.at - reader->bytes.at) + fault.offset,
                     fault.length, "labels are in Harte syntax: C:maj, A:min7, N", "%s", fault.problem);
    return GLN_INPUT;
  }
  if (doubtful)
    gln_diags_format(reader->diags, GLN_WARNING, (size_t)(label.at - reader->bytes.at), label.length, "",
                     "the chord is not known here; N.C. is written");
  fill_gap(reader, &row);
  reader->rows[reader->count++] = row;
  return GLN_OK;
}

static size_t line_count(GlnText bytes) {
  size_t lines = 1;
  for (size_t i = 0; i < bytes.length; i++)
    lines += bytes.at[i] == '\n';
  return lines;
}

static GlnStatus read_rows(LabReader *reader, GlnArena *arena) {
  size_t lines = line_count(reader->bytes);
  if (lines > GLN_LAB_LINES_MAX) {
    gln_diags_format(reader->diags, GLN_ERROR, 0, 1, "split it", "more than %d lines", GLN_LAB_LINES_MAX);
    return GLN_LIMIT;
  }
  reader->rows = GLN_NEW(arena, LabRow, 2 * lines); /* a gap before each */
  if (reader->rows == NULL)
    return GLN_MEMORY;
  GlnStatus worst = GLN_OK;
  GlnText line;
  for (size_t at = 0; gln_line_next(reader->bytes, &at, &line);) {
    line = gln_text_trim(line);
    if (line.length > 0 && line.at[0] != '#' && read_row(reader, line) != GLN_OK)
      worst = GLN_INPUT;
  }
  /* Silence before the first chord and after the last is the recording's, not the song's. */
  while (reader->count > 0 && reader->rows[0].chord.silent) {
    reader->rows++;
    reader->count--;
  }
  while (reader->count > 0 && reader->rows[reader->count - 1].chord.silent)
    reader->count--;
  if (reader->count == 0 && worst == GLN_OK) {
    gln_diags_add(reader->diags,
                  (GlnDiag){.severity = GLN_ERROR, .problem = GLN_TEXT("there is no chord in this file")});
    return GLN_INPUT;
  }
  return worst;
}

/* ---- the beat ---------------------------------------------------------------------------------------------------- */

#define SLOWEST     40.0 /* beats a minute, design choice: between these every song can be counted */
#define FASTEST     240.0
#define USUAL_TEMPO 110.0
#define USUAL_BEATS 4.0
/* What a factor of two away from the usual costs, in beats of misfit a chord: enough to choose between halves and
 * doubles, which fit alike. */
#define FAR 0.04

static double row_seconds(const LabReader *reader, size_t i) {
  return (i + 1 < reader->count ? reader->rows[i + 1].start : reader->rows[i].end) - reader->rows[i].start;
}

static double row_beats(const LabReader *reader, size_t i, double period) {
  double beats = floor(row_seconds(reader, i) / period + 0.5);
  return beats < 1 ? 1 : beats;
}

static double misfit(const LabReader *reader, double period) {
  double off = 0, beats = 0;
  for (size_t i = 0; i < reader->count; i++) {
    double whole = row_beats(reader, i, period);
    off += fmin(fabs(row_seconds(reader, i) / period - whole), 1.0);
    beats += whole;
  }
  double count = (double)reader->count;
  return off / count + FAR * fabs(log2(60.0 / period / USUAL_TEMPO)) +
         FAR * fabs(log2(beats / count / USUAL_BEATS));
}

/* Seconds a beat. Every tempo in steps of half a percent, then the mean of all chords at the best. */
static double find_period(const LabReader *reader) {
  double best = 60.0 / FASTEST, least = INFINITY;
  for (double period = 60.0 / FASTEST; period <= 60.0 / SLOWEST; period *= 1.005) {
    double cost = misfit(reader, period);
    if (cost < least) {
      least = cost;
      best = period;
    }
  }
  double seconds = 0, beats = 0;
  for (size_t i = 0; i < reader->count; i++) {
    seconds += row_seconds(reader, i);
    beats += row_beats(reader, i, best);
  }
  double tempo = 60.0 * beats / seconds;
  tempo = floor(fmin(fmax(tempo, GLN_CHART_TEMPO_MIN), GLN_CHART_TEMPO_MAX) * 100.0 + 0.5) / 100.0;
  return 60.0 / tempo;
}

/* Three when more chords last whole threes than whole twos. */
static int find_counts(const LabReader *reader, double period) {
  size_t twos = 0, threes = 0;
  for (size_t i = 0; i < reader->count; i++) {
    int beats = (int)row_beats(reader, i, period);
    twos += beats % 2 == 0;
    threes += beats % 3 == 0;
  }
  return threes > twos ? 3 : 4;
}

/* Beats before the first chord in its bar: so many that the most chords begin a bar. */
static int find_rest(const LabReader *reader, double period, int counts) {
  size_t most = 0;
  int best = 0;
  for (int rest = 0; rest < counts; rest++) {
    size_t firsts = 0;
    long at = rest;
    for (size_t i = 0; i < reader->count; i++) {
      firsts += at % counts == 0;
      at += (long)row_beats(reader, i, period);
    }
    if (firsts > most) {
      most = firsts;
      best = rest;
    }
  }
  return best;
}

/* ---- the chart --------------------------------------------------------------------------------------------------- */

#define OFF_BEAT 0.3 /* beats: more than this is worth a look by the user; design choice */

static GlnStatus lay_out(const LabReader *reader, double period, int counts, int rest, GlnArena *arena,
                         GlnBuffer *out) {
  GlnBeatChord *chords = GLN_NEW(arena, GlnBeatChord, reader->count);
  if (chords == NULL)
    return GLN_MEMORY;
  long total = rest;
  for (size_t i = 0; i < reader->count; i++) {
    const LabRow *row = &reader->rows[i];
    double beats = row_beats(reader, i, period);
    double exact = row_seconds(reader, i) / period;
    total += (long)beats;
    if (total / counts >= GLN_CHART_BARS_MAX) {
      gln_diags_format(reader->diags, GLN_ERROR, row->offset, row->length, "split the file",
                       "more than %d bars up to here", GLN_CHART_BARS_MAX);
      return GLN_LIMIT;
    }
    if (fabs(exact - beats) > OFF_BEAT) {
      GlnBuffer words = gln_buffer(arena);
      gln_buffer_add_string(&words, "this chord lasts ");
      gln_buffer_add_number(&words, exact, 1);
      gln_buffer_format(&words, " beats; %d %s written", (int)beats, beats < 2 ? "is" : "are");
      GlnText problem = gln_buffer_text(&words);
      gln_diags_format(reader->diags, GLN_WARNING, row->offset, row->length, "listen and correct the chart",
                       "%.*s", (int)problem.length, problem.at);
    }
    chords[i] = (GlnBeatChord){gln_symbol_copy(&row->chord, arena), (int)beats};
  }
  chords[reader->count - 1].beats += (int)((counts - total % counts) % counts);
  gln_add_beat_line(out, chords, reader->count, counts, rest);
  return gln_buffer_status(out);
}

static void add_tempo(GlnBuffer *out, double tempo) {
  int decimals = 2;
  while (decimals > 0 &&
         fabs(tempo * pow(10, decimals - 1) - floor(tempo * pow(10, decimals - 1) + 0.5)) < 1e-6)
    decimals--;
  gln_buffer_add_number(out, tempo, decimals);
}

GlnStatus gln_lab_read(GlnText bytes, GlnArena *arena, GlnDiags *diags, GlnImport *import) {
  GlnText text = {NULL, 0};
  import->placed = bytes;
  GLN_TRY(gln_import_text(bytes, arena, diags, &text));
  LabReader reader = {.bytes = text, .diags = diags};
  GLN_TRY(read_rows(&reader, arena));
  double period = find_period(&reader);
  int counts = find_counts(&reader, period);
  int rest = find_rest(&reader, period, counts);
  GlnBuffer out = gln_buffer(arena), guess = gln_buffer(arena);
  gln_buffer_format(&out, "meter: %d/4\ntempo: ", counts);
  add_tempo(&out, 60.0 / period);
  gln_buffer_add_string(&out, "\n\n[song]\n");
  GLN_TRY(lay_out(&reader, period, counts, rest, arena, &out));
  gln_buffer_format(&guess, "times have no bars: counted as %d/4 at ", counts);
  add_tempo(&guess, 60.0 / period);
  gln_buffer_format(&guess, " beats a minute, the first chord on beat %d", rest + 1);
  GLN_TRY(gln_buffer_status(&guess));
  gln_diags_add(diags, (GlnDiag){.severity = GLN_NOTE_SEVERITY,
                                 .problem = gln_buffer_text(&guess),
                                 .advice = GLN_TEXT("see whether the bars are right")});
  import->chart = gln_buffer_text(&out);
  return GLN_OK;
}

/* ---- writing ----------------------------------------------------------------------------------------------------- */

GlnStatus gln_lab_write(const GlnSong *song, GlnBuffer *out) {
  double seconds_a_quarter = 60.0 / song->chart->tempo;
  for (size_t i = 0; i < song->slot_count; i++) {
    const GlnSlot *slot = &song->slots[i], *last = slot;
    char label[GLN_SYMBOL_TEXT_MAX];
    size_t length = gln_chord_print_harte(&slot->event->chord, label);
    for (; i + 1 < song->slot_count && gln_slot_goes_on(song, i + 1); i++)
      last = &song->slots[i + 1];
    gln_buffer_add_number(out, gln_ratio_value(slot->start) * seconds_a_quarter, 6);
    gln_buffer_add_byte(out, '\t');
    gln_buffer_add_number(out,
                          gln_ratio_value(gln_ratio_add(last->start, last->quarters)) * seconds_a_quarter, 6);
    gln_buffer_add_byte(out, '\t');
    gln_buffer_add(out, (GlnText){label, length});
    gln_buffer_add_byte(out, '\n');
  }
  return gln_buffer_status(out);
}
