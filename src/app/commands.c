#include "app_internal.h"

static const GlnOption options[] = {
#define GLN_OPTION_ROW(id, name, letter, kind, values, low, high, standard, summary)                         \
  [id] = {name, letter, GLN_OPTION_##kind, values, low, high, standard, summary},
    GLN_OPTION_LIST(GLN_OPTION_ROW)
#undef GLN_OPTION_ROW
};

const GlnOption *gln_option_at(GlnOptionId id) {
  return &options[id];
}

bool gln_option_has_words(const GlnOption *option) {
  return option->kind == GLN_OPTION_ONE_OF || option->kind == GLN_OPTION_SOME_OF;
}

GlnText gln_option_word(const GlnOption *option, size_t n) {
  GlnText rest = gln_text(option->values);
  for (size_t word = 0;; word++) {
    size_t end = gln_text_find(rest, GLN_TEXT("|"), 0);
    if (word == n)
      return gln_text_slice(rest, 0, end);
    if (end == rest.length)
      return (GlnText){NULL, 0};
    rest = gln_text_from(rest, end + 1);
  }
}

/* The instrument, and the hand on it. */
#define INSTRUMENT_OPTIONS GLN_OPT_TUNING, GLN_OPT_SCALE, GLN_OPT_CAPO
#define HAND_OPTIONS       GLN_OPT_HAND, GLN_OPT_REACH, GLN_OPT_THUMB, GLN_OPT_WITHOUT, GLN_OPT_FINGERS
/* What every command that makes a line understands. */
#define LINE_OPTIONS                                                                                         \
  GLN_OPT_AIM, GLN_OPT_TEXTURE, GLN_OPT_FRETS, GLN_OPT_STRINGS, GLN_OPT_OPEN, HAND_OPTIONS,                  \
      GLN_OPT_RIGHT_HAND, INSTRUMENT_OPTIONS, GLN_OPT_TEMPO, GLN_OPT_BASS_LINE, GLN_OPT_VARY

static const GlnOptionId none_options[] = {GLN_OPT_HELP, GLN_OPT_VERSION, GLN_OPT_MAN, GLN_OPT_COMPLETION};
static const GlnOptionId arrange_options[] = {LINE_OPTIONS,   GLN_OPT_WHY, GLN_OPT_ALTERNATIVES,
                                              GLN_OPT_WITHIN, GLN_OPT_CSV, GLN_OPT_JSON,
                                              GLN_OPT_FROM,   GLN_OPT_HELP};
static const GlnOptionId grips_options[] = {
    GLN_OPT_TEXTURE, GLN_OPT_FRETS,      GLN_OPT_STRINGS,    GLN_OPT_OPEN,
    GLN_OPT_BASS,    GLN_OPT_TOP,        GLN_OPT_AFTER,      GLN_OPT_BETWEEN,
    HAND_OPTIONS,    GLN_OPT_RIGHT_HAND, INSTRUMENT_OPTIONS, GLN_OPT_LEFT_HANDED,
    GLN_OPT_ALL,     GLN_OPT_CSV,        GLN_OPT_JSON,       GLN_OPT_HELP};
static const GlnOptionId moves_options[] = {LINE_OPTIONS, GLN_OPT_CSV, GLN_OPT_JSON, GLN_OPT_FROM,
                                            GLN_OPT_HELP};
static const GlnOptionId proof_options[] = {HAND_OPTIONS, INSTRUMENT_OPTIONS, GLN_OPT_JSON, GLN_OPT_FROM,
                                            GLN_OPT_HELP};
static const GlnOptionId sheet_options[] = {GLN_OPT_OUTPUT, GLN_OPT_PARTS, GLN_OPT_LARGE,       GLN_OPT_PAPER,
                                            GLN_OPT_PAGE,   GLN_OPT_DPI,   GLN_OPT_LEFT_HANDED, LINE_OPTIONS,
                                            GLN_OPT_FROM,   GLN_OPT_HELP};
static const GlnOptionId notes_options[] = {GLN_OPT_TIMES, GLN_OPT_SPOKEN, LINE_OPTIONS, GLN_OPT_FROM,
                                            GLN_OPT_HELP};
static const GlnOptionId play_options[] = {
    GLN_OPT_OUTPUT,     GLN_OPT_FEEL,      GLN_OPT_COUNT_IN, GLN_OPT_FROM_BAR, GLN_OPT_TO_BAR,
    GLN_OPT_LOOP,       GLN_OPT_CHANGE,    GLN_OPT_LADDER,   GLN_OPT_ONLY,     GLN_OPT_CLICK,
    GLN_OPT_PERCUSSION, GLN_OPT_TRANSPOSE, GLN_OPT_SEED,     GLN_OPT_EVEN,     GLN_OPT_SOUNDFONT,
    GLN_OPT_LIVE,       GLN_OPT_BASSES,    GLN_OPT_DEVICE,   LINE_OPTIONS,     GLN_OPT_HELP};

static const GlnOptionId reduce_options[] = {
    GLN_OPT_GRIPS,   GLN_OPT_SHAPES,     GLN_OPT_CHORDS, GLN_OPT_CHORD_LEVEL, GLN_OPT_OUTPUT,
    GLN_OPT_CURVE,   GLN_OPT_AS_WRITTEN, GLN_OPT_BASS,   GLN_OPT_TEXTURE,     GLN_OPT_FRETS,
    GLN_OPT_STRINGS, GLN_OPT_OPEN,       GLN_OPT_HAND,   GLN_OPT_RIGHT_HAND,  GLN_OPT_TUNING,
    GLN_OPT_CAPO,    GLN_OPT_TEMPO,      GLN_OPT_JSON,   GLN_OPT_FROM,        GLN_OPT_HELP};
static const GlnOptionId explain_options[] = {GLN_OPT_JSON, GLN_OPT_FROM, GLN_OPT_HELP};
static const GlnOptionId pack_options[] = {
    GLN_OPT_FOLDER,      GLN_OPT_JOBS,    GLN_OPT_PARTS, GLN_OPT_LARGE,     GLN_OPT_PAPER,
    GLN_OPT_LEFT_HANDED, GLN_OPT_TIMES,   GLN_OPT_FEEL,  GLN_OPT_COUNT_IN,  GLN_OPT_CLICK,
    GLN_OPT_PERCUSSION,  GLN_OPT_SEED,    GLN_OPT_EVEN,  GLN_OPT_SOUNDFONT, GLN_OPT_PLANS,
    GLN_OPT_DAYS,        GLN_OPT_MINUTES, GLN_OPT_LEVEL, GLN_OPT_START,     GLN_OPT_REST,
    LINE_OPTIONS,        GLN_OPT_FROM,    GLN_OPT_HELP};
static const GlnOptionId transpose_options[] = {GLN_OPT_TO,   GLN_OPT_BY,   GLN_OPT_EASIEST, GLN_OPT_RANGE,
                                                GLN_OPT_TUNE, LINE_OPTIONS, GLN_OPT_OUTPUT,  GLN_OPT_JSON,
                                                GLN_OPT_FROM, GLN_OPT_HELP};

static const GlnOptionId name_options[] = {GLN_OPT_KEY,  GLN_OPT_AFTER,  GLN_OPT_BEFORE, GLN_OPT_NOTES,
                                           GLN_OPT_LINE, GLN_OPT_TUNING, GLN_OPT_CAPO,   GLN_OPT_ALL,
                                           GLN_OPT_JSON, GLN_OPT_HELP};

static const GlnOptionId standins_options[] = {GLN_OPT_CHORD, GLN_OPT_KEY,  GLN_OPT_BEFORE,
                                               GLN_OPT_TRY,   LINE_OPTIONS, GLN_OPT_ALL,
                                               GLN_OPT_JSON,  GLN_OPT_FROM, GLN_OPT_HELP};
static const GlnOptionId convert_options[] = {GLN_OPT_FROM, GLN_OPT_INTO,     GLN_OPT_MELODY, GLN_OPT_SCORE,
                                              GLN_OPT_FEEL, GLN_OPT_COUNT_IN, LINE_OPTIONS,   GLN_OPT_HELP};
static const GlnOptionId plan_options[] = {
    GLN_OPT_DAYS,  GLN_OPT_MINUTES, GLN_OPT_LEVEL,  GLN_OPT_START, GLN_OPT_REST,
    GLN_OPT_KNOWN, GLN_OPT_STUDENT, GLN_OPT_OUTPUT, GLN_OPT_PAPER, GLN_OPT_LEFT_HANDED,
    LINE_OPTIONS,  GLN_OPT_JSON,    GLN_OPT_FROM,   GLN_OPT_HELP};
static const GlnOptionId log_options[] = {GLN_OPT_ITEM,   GLN_OPT_RATING,  GLN_OPT_MINUTES,
                                          GLN_OPT_STRAIN, GLN_OPT_STUDENT, GLN_OPT_LEVEL,
                                          LINE_OPTIONS,   GLN_OPT_FROM,    GLN_OPT_HELP};
static const GlnOptionId progress_options[] = {GLN_OPT_STUDENT, GLN_OPT_OUTPUT, GLN_OPT_EXPORT,
                                               GLN_OPT_IMPORT,  GLN_OPT_DELETE, LINE_OPTIONS,
                                               GLN_OPT_JSON,    GLN_OPT_FROM,   GLN_OPT_HELP};

static const GlnOptionId frame_options[] = {GLN_OPT_APPLY, GLN_OPT_OUTPUT, LINE_OPTIONS, GLN_OPT_ALL,
                                            GLN_OPT_JSON,  GLN_OPT_FROM,   GLN_OPT_HELP};

#define OPTIONS(list) list, GLN_COUNT_OF(list)

const GlnCommand gln_command_none = {"", "", "", "", "", NULL, OPTIONS(none_options), NULL};

static const GlnCommand commands[] = {
    {"arrange", "FILE", "choose the line: grips and fingers for every chord of a song",
     "Plays the chart's form through and chooses one grip for every chord, so that the way from each to the "
     "next is "
     "short and the voices lead. Prints frets and fingers bar by bar, what the fingers do in every change, "
     "the hand's "
     "way along the neck, and the hardest change with the tempo at which it is still comfortable. --why "
     "explains "
     "a grip, --alternatives shows other ways through the song.",
     "gripline arrange --hand small --frets 1-9 song.chart", NULL, OPTIONS(arrange_options), gln_run_arrange},
    {"grips", "CHORD", "every playable grip of a chord, best first",
     "Finds every way to hold the chord on this instrument with this hand, and the easiest fingers for each. "
     "Easiest "
     "first; with --after, the one that follows best first; with --between, the one that follows the first "
     "and "
     "leads into the second best.",
     "gripline grips 'C7(b9)' --texture four-note --open no", NULL, OPTIONS(grips_options), gln_run_grips},
    {"name", "FRETS", "names of a grip, best first, in a key or between two chords",
     "Finds every chord that the grip can be, with the root in the bass, inverted, over a foreign bass or "
     "without its "
     "root, and says why; the key and the neighbours decide between names of the same notes. Several grips, "
     "as in "
     "'x32010 x02210 | xx0211 320003', are named as one progression, with the key. Where no chord is in "
     "sight it says "
     "so and gives the notes.",
     "gripline name 2x231x --after Gm7 --before F", NULL, OPTIONS(name_options), gln_run_name},
    {"explain", "FILE", "keys, functions, Roman numerals, cadences, and why they work",
     "Plays the chart's form through and says what each chord does there: its key, its Roman numeral, its "
     "function and role; then why the chords outside the key are in their place, and what happens over "
     "several "
     "chords that a listener may miss. Where no key is clear it says so.",
     "gripline explain song.chart", NULL, OPTIONS(explain_options), gln_run_explain},
    {"proof", "FILE", "proof-read frets: does each grip sound the chord written over it?",
     "Reads every chord of a chart that carries @frets, or every line of pasted text with a chord name and "
     "frets, and says "
     "which grips do not sound their chord, what is wrong with them, and the nearest grip that is right. "
     "A row that cannot be read is named, and the others are checked. Exit status 1 when there is a fault or "
     "such a row. What the hand cannot hold is a fault when a hand is given, else what no hand "
     "can hold.",
     "gripline proof song.chart", NULL, OPTIONS(proof_options), gln_run_proof},
    {"reduce", "FILE", "the same song on fewer grips, or on fewer chords, with what is given up",
     "With --grips or --shapes, chooses the best line on at most so many grips, or so many shapes that are "
     "moved along the neck, and says what that costs against the best line of all, where, and why, and how "
     "far it can be from the best that so few allow. Chords are simplified where grips must be saved, unless "
     "--as-written forbids it. With --bass any a chord need not have its own bass lowest, as when a bass "
     "plays along: then one grip serves more chords. -o writes the song with these grips pinned, as a chart "
     "that every command reads. --curve draws a picture with -o. With --chords or "
     "--level, writes the chart on fewer "
     "chords: plainer forms, chords that do "
     "the same job, "
     "and chords that only lead on left out, so that the ear loses least; it says what each change costs.",
     "gripline reduce --shapes 6 song.chart", "chart|svg|png|pdf", OPTIONS(reduce_options), gln_run_reduce},
    {"standins", "FILE", "families of chords, and what may stand in for each, with reasons",
     "Groups the song's chords by the job that they do in place, and offers stand-ins for each: the reason "
     "in "
     "a sentence, how far away it is, what it does to a note asked for on top, and a grip near the hand. "
     "With "
     "--chord and --key, the same for one chord without a song.",
     "gripline standins song.chart --try 6=A7", NULL, OPTIONS(standins_options), gln_run_standins},
    {"moves", "FILE", "every change of a song, the hardest first: what each finger does",
     "Arranges the chart and lists its changes from grip to grip, each once: what every finger does, the "
     "seconds the "
     "hand needs, the tempo up to which that is comfortable in the time the song gives, and where it comes.",
     "gripline moves --hand small song.chart", NULL, OPTIONS(moves_options), gln_run_moves},
    {"frame", "FILE", "openings, turnarounds and endings that fit the song",
     "Offers what may be played before, between and after the choruses, in the song's key, meter and style, "
     "joined to "
     "the chord that is really there: each with its reason and its grips, the plainest first. Sections named "
     "opening "
     "or intro, and ending, outro, coda or tag are the chart's own. --apply writes those you name into a "
     "copy of the "
     "chart: an opening and an ending as new sections, a turnaround by playing the form once more.",
     "gripline frame song.chart --apply opening=best,ending=tag -o framed.chart", "chart",
     OPTIONS(frame_options), gln_run_frame},
    {"sheet", "FILE", "the printed hand-out: chart, grips, changes, neck path, harmony, staff",
     "Arranges the chart and draws it for the music stand. The name's ending chooses the kind of file.",
     "gripline sheet song.chart -o song.pdf", "pdf|svg|png", OPTIONS(sheet_options), gln_run_sheet},
    {"notes", "FILE", "chord names with frets and fingers as plain text",
     "Arranges the chart and prints each grip once, in the order in which they are played, for pasting under "
     "a "
     "video or into a message.",
     "gripline notes --times song.chart", NULL, OPTIONS(notes_options), gln_run_notes},
    {"play", "FILE", "the accompaniment as sound",
     "Arranges the chart and plays it with the chart's feel: thumb and fingers apart, every string stopping "
     "itself alone. The name's ending chooses the kind of file: sound, at a moderate level, or a Standard "
     "MIDI File with one channel for every string. For practice: some bars, round and round, one change of "
     "grip, tempi that rise. Mind your ears: keep the listening level moderate, above all with headphones.",
     "gripline play song.chart --from 5 --to 8 --loop 4 -o song.wav", "mid" GLN_AUDIO_FORMAT_KEYS,
     OPTIONS(play_options), gln_run_play},
    {"pack", "FILE...", "all hand-outs of many songs at once: sheet, notes, MIDI, sound, plans",
     "Makes a sheet (.pdf), notes (.txt), a MIDI file and sound (.wav) of each song, named after its chart, "
     "several "
     "songs at a time. With --plans also a practice plan of each song for each student on record, named "
     "after "
     "both (.plan.Ann.pdf). A song that cannot be packed is named and does not stop the others; the exit "
     "status "
     "is "
     "that of the worst.",
     "gripline pack songs/*.chart -o hand-outs", NULL, OPTIONS(pack_options), gln_run_pack},
    {"transpose", "FILE", "the chart in another key: by name, by interval, or where it lies easiest",
     "Writes the chart in another key, spelled for it: chords, key, pinned grips and top notes; comments and "
     "all "
     "else stay as typed. Says which capo and shapes sound the same. --easiest arranges the song in all "
     "twelve "
     "keys and takes the one with the least effort; --range takes the key that puts the tune in the middle "
     "of "
     "the singer's range.",
     "gripline transpose --to Eb song.chart -o song-in-e-flat.chart", "chart", OPTIONS(transpose_options),
     gln_run_transpose},
    {"convert", "IN OUT",
     "a song as another kind of file: chart, MusicXML, MIDI, chords with times or in bars",
     "Reads one kind of file and writes another; the names' endings choose them, --from and --to where there "
     "is none, "
     "as with - for standard input and output. What the other kind has no place for is counted and said. "
     "Every command that takes a FILE takes all that convert reads.",
     "gripline convert song.chart song.mid", NULL, OPTIONS(convert_options), gln_run_convert},
    {"plan", "FILE", "what to practise on which day, and why",
     "Arranges the chart and spreads its grips and moves over days: which are new, which are reviewed, in "
     "what order, "
     "how long and at what tempo, with pauses. Those that unlock most bars come first; what looks alike "
     "never begins "
     "on one day. With -o a page to tick off or a calendar.",
     "gripline plan song.chart --days 7 --minutes 30 -o song.ics", "pdf|svg|png|ics", OPTIONS(plan_options),
     gln_run_plan},
    {"log", "FILE", "record what was practised and how it went",
     "After practice: goes through today's list of the plan, a key an item (1 again, 2 hard, 3 good, 4 "
     "easy), or records one "
     "item by its number. The record stays on this machine; plan and progress go by it, and grips known from "
     "one "
     "song count in the next.",
     "gripline log song.chart --item 7 --tempo 84 --rating good --minutes 6", NULL, OPTIONS(log_options),
     gln_run_log},
    {"progress", "[FILE]", "what is solid, shaky, untouched; tempi and minutes",
     "What the record says of a song's grips and moves, or of all that was ever practised; with -o as a "
     "picture. Exports, "
     "imports and deletes a student's record.",
     "gripline progress song.chart --student Ann -o ann.png", "svg|png|pdf", OPTIONS(progress_options),
     gln_run_progress},
};

size_t gln_command_count(void) {
  return GLN_COUNT_OF(commands);
}

const GlnCommand *gln_command_at(size_t index) {
  return &commands[index];
}

const GlnCommand *gln_command_find(GlnText name) {
  for (size_t i = 0; i < GLN_COUNT_OF(commands); i++)
    if (gln_text_equal(gln_text(commands[i].name), name))
      return &commands[i];
  return NULL;
}

bool gln_command_takes(const GlnCommand *command, GlnOptionId id) {
  for (size_t i = 0; i < command->option_count; i++)
    if (command->options[i] == id)
      return true;
  return false;
}
