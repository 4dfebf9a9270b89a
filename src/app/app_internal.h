/* app, inside: the table of options and commands, and what a command's handler is given. */
#ifndef GLN_APP_INTERNAL_H
#define GLN_APP_INTERNAL_H

#include "app.h"
#include "audio.h"
#include "grip.h"
#include "interchange.h"
#include "page.h"
#include "record.h"
#include "sound.h"
#include "study.h"

/* ---- the table of options --------------------------------------------------------------------------------- */

typedef enum GlnOptionKind {
  GLN_OPTION_FLAG,    /* no value */
  GLN_OPTION_FILE,    /* a path */
  GLN_OPTION_TEXT,    /* read by the command */
  GLN_OPTION_PAIR,    /* the same, two words */
  GLN_OPTION_ONE_OF,  /* one word of values */
  GLN_OPTION_SOME_OF, /* words of values with commas between */
  GLN_OPTION_INTEGER, /* a whole number from low to high */
  GLN_OPTION_NUMBER   /* a decimal number from low to high */
} GlnOptionKind;

#define GLN_TEXTURE_KEY(name, key, words)    "|" key
#define GLN_TEXTURE_KEYS                     &("" GLN_TEXTURE_LIST(GLN_TEXTURE_KEY))[1]
#define GLN_BASS_LINE_KEY(name, key, words)  "|" key
#define GLN_BASS_LINE_KEYS                   &("" GLN_BASS_LINE_LIST(GLN_BASS_LINE_KEY))[1]
#define GLN_PLAYER_KEY(name, word)           "|" word
#define GLN_PLAYER_KEYS                      &("" GLN_PLAYER_LIST(GLN_PLAYER_KEY))[1]
#define GLN_PERCUSSION_KEY(name, word, key)  "|" word
#define GLN_PERCUSSION_KEYS                  &("" GLN_PERCUSSION_LIST(GLN_PERCUSSION_KEY))[1]
#define GLN_AUDIO_FORMAT_KEY(name, ending)   "|" ending
#define GLN_AUDIO_FORMAT_KEYS                GLN_AUDIO_FORMAT_LIST(GLN_AUDIO_FORMAT_KEY)
#define GLN_SHEET_PART_KEY(name, key, words) "|" key
#define GLN_SHEET_PART_KEYS                  &("" GLN_SHEET_PART_LIST(GLN_SHEET_PART_KEY))[1]

#define GLN_LEVEL_KEY(name, key, first, least, most, part) "|" key
#define GLN_LEVEL_KEYS                                     &("" GLN_LEVEL_LIST(GLN_LEVEL_KEY))[1]
#define GLN_RATING_KEY(name, key, gain)                    "|" key
#define GLN_RATING_KEYS                                    &("" GLN_RATING_LIST(GLN_RATING_KEY))[1]

/* X(id, name, endings of file names with | between, words, how many bytes are read at most, knows, read, write): the one
 * table of the kinds of file that gripline reads and writes. The functions are those of GlnFormat; docs/interchange.md. */
#define GLN_FORMAT_LIST(X)                                                                                   \
  X(GLN_FORMAT_CHART, "chart", "chart", "a chart", GLN_CHART_BYTES_MAX, NULL, read_chart, write_chart)       \
  X(GLN_FORMAT_MUSICXML, "musicxml", "musicxml|xml", "MusicXML", GLN_MUSICXML_BYTES_MAX, gln_musicxml_knows, \
    read_musicxml, write_musicxml)                                                                           \
  X(GLN_FORMAT_MXL, "mxl", "mxl", "compressed MusicXML", GLN_MUSICXML_BYTES_MAX, gln_mxl_knows, read_mxl,    \
    write_mxl)                                                                                               \
  X(GLN_FORMAT_MIDI, "midi", "mid|midi", "a MIDI file", GLN_MIDI_BYTES_MAX, gln_midi_knows, read_midi,       \
    gln_job_perform_midi)                                                                                    \
  X(GLN_FORMAT_JSON, "json", "json", "gripline's JSON", GLN_JSON_BYTES_MAX, gln_arrangement_json_knows,      \
    read_json, write_json)                                                                                   \
  X(GLN_FORMAT_LAB, "lab", "lab", "a list of chord labels with times", GLN_CHART_BYTES_MAX, NULL, read_lab,  \
    write_lab)                                                                                               \
  X(GLN_FORMAT_BARS, "bars", "bars", "a list of bars", GLN_CHART_BYTES_MAX, NULL, read_bars, write_bars)     \
  X(GLN_FORMAT_TEXT, "text", "txt|text", "pasted text", GLN_CHART_BYTES_MAX, NULL, read_text, NULL)
typedef enum GlnFormatId {
#define GLN_FORMAT_NAME(id, name, endings, words, bytes_max, knows, read, write) id,
  GLN_FORMAT_LIST(GLN_FORMAT_NAME)
#undef GLN_FORMAT_NAME
      GLN_FORMAT_COUNT
} GlnFormatId;
#define GLN_FORMAT_KEY(id, name, endings, words, bytes_max, knows, read, write) "|" name
#define GLN_FORMAT_KEYS                                                         &("" GLN_FORMAT_LIST(GLN_FORMAT_KEY))[1]

#define GLN_ALTERNATIVES_MAX 9
#define GLN_WITHIN           1.0 /* of the best line's effort; design choice, looked at on the songs of examples/ */

#define GLN_USUAL_STUDENT "me" /* whose record it is where no other is named */

/* X(id, name, letter, kind, values, low, high, default, summary). One word means one thing in every command.
 * values: the words to choose from with | between, or what to call the value; default: "" when there is none. */
#define GLN_OPTION_LIST(X)                                                                                   \
  X(GLN_OPT_OUTPUT, "output", 'o', FILE, "FILE", 0, 0, "", "write this file; - is standard output")          \
  X(GLN_OPT_AIM, "aim", 0, ONE_OF, "smooth|easy", 0, 0, "smooth",                                            \
    "smooth: least effort over the whole song; easy: the hardest change as easy as can be, then least "      \
    "effort")                                                                                                \
  X(GLN_OPT_TEXTURE, "texture", 0, SOME_OF, GLN_TEXTURE_KEYS, 0, 0, "any",                                   \
    "kinds of grip to use, with commas between")                                                             \
  X(GLN_OPT_FRETS, "frets", 0, TEXT, "LO-HI", 0, 0, "the whole neck",                                        \
    "where on the neck stopped strings may lie, counted from the capo")                                      \
  X(GLN_OPT_STRINGS, "strings", 0, TEXT, "LIST", 0, 0, "all",                                                \
    "strings that may sound, 1 the highest: 5-2, or 6,4,3,2")                                                \
  X(GLN_OPT_OPEN, "open", 0, ONE_OF, "yes|no", 0, 0, "as it comes",                                          \
    "yes: with an open string; no: none, so that the grip can be moved along the neck")                      \
  X(GLN_OPT_BASS, "bass", 0, TEXT, "NOTE|any", 0, 0, "as the symbol says",                                   \
    "the lowest note, a tone of the chord; any: whichever lies well")                                        \
  X(GLN_OPT_TOP, "top", 0, TEXT, "NOTE", 0, 0, "any", "the highest note: E, or E4 for that very pitch")      \
  X(GLN_OPT_HAND, "hand", 0, ONE_OF, "small|medium|large", 0, 0, "medium", "size of the fretting hand")      \
  X(GLN_OPT_REACH, "reach", 0, TEXT, "MM", 0, 0, "as --hand says",                                           \
    "your own reach between fingertips: 95 from first to little finger, or pairs: 1-4=95,2-3=45")            \
  X(GLN_OPT_THUMB, "thumb", 0, FLAG, "", 0, 0, "", "the thumb may stop the lowest string over the neck")     \
  X(GLN_OPT_WITHOUT, "without", 0, SOME_OF, "barre|little", 0, 0, "",                                        \
    "what this player does not use: barres, the little finger")                                              \
  X(GLN_OPT_FINGERS, "fingers", 0, INTEGER, "COUNT", 1, 4, "4", "at most so many fingers at once")           \
  X(GLN_OPT_RIGHT_HAND, "right-hand", 0, ONE_OF, "fingers|pick", 0, 0, "fingers",                            \
    "fingers: any strings together; pick: no silent string between sounding ones, unless it can be damped")  \
  X(GLN_OPT_TUNING, "tuning", 0, TEXT, "TUNING", 0, 0, "the chart's, else standard",                         \
    "a tuning by name, or its notes from the lowest string: \"D A D G B E\"")                                \
  X(GLN_OPT_SCALE, "scale", 0, NUMBER, "MM", GLN_SCALE_MM_MIN, GLN_SCALE_MM_MAX, "the instrument's own",     \
    "length of the open strings, nut to bridge")                                                             \
  X(GLN_OPT_CAPO, "capo", 0, TEXT, "FRET[:STRINGS]", 0, 0, "the chart's, else 0",                            \
    "fret the capo sits on, and the strings it covers where these are not all: 2:5-3")                       \
  X(GLN_OPT_TEMPO, "tempo", 0, NUMBER, "BEATS", GLN_CHART_TEMPO_MIN, GLN_CHART_TEMPO_MAX,                    \
    "the chart's, else 120", "quarter notes a minute")                                                       \
  X(GLN_OPT_BASS_LINE, "bass-line", 0, ONE_OF, GLN_BASS_LINE_KEYS, 0, 0, "the chart's, else roots",          \
    "roots: each chord over its root, or the bass that is written; chromatic: by semitones, over roots, "    \
    "3rds, 5ths and 7ths; low: as roots, as low as it goes")                                                 \
  X(GLN_OPT_WHY, "why", 0, TEXT, "BAR[.BEAT]|all", 0, 0, "",                                                 \
    "explain the grips of a bar as played: the parts of the cost, and the best grip that was rejected")      \
  X(GLN_OPT_ALTERNATIVES, "alternatives", 0, INTEGER, "COUNT", 1, GLN_ALTERNATIVES_MAX, "",                  \
    "other lines, side by side, that a player would notice to be different")                                 \
  X(GLN_OPT_WITHIN, "within", 0, NUMBER, "PERCENT", 0, 1000, "100",                                          \
    "how much more effort an alternative may cost")                                                          \
  X(GLN_OPT_VARY, "vary", 0, FLAG, "", 0, 0, "",                                                             \
    "hold each chord that comes round again otherwise than before")                                          \
  X(GLN_OPT_PARTS, "parts", 0, SOME_OF, GLN_SHEET_PART_KEYS, 0, 0, "all",                                    \
    "parts of the sheet, with commas between")                                                               \
  X(GLN_OPT_LARGE, "large", 0, FLAG, "", 0, 0, "", "large print")                                            \
  X(GLN_OPT_GRIPS, "grips", 0, INTEGER, "N", 1, 1000, "", "at most so many grips")                           \
  X(GLN_OPT_SHAPES, "shapes", 0, INTEGER, "N", 1, 1000, "",                                                  \
    "at most so many shapes: the same strings, fingers and frets from the lowest, anywhere on the neck; a "  \
    "grip with an open string is a shape of its own")                                                        \
  X(GLN_OPT_CHORDS, "chords", 0, INTEGER, "N", 1, 1000, "", "at most so many chords: makes a new chart")     \
  X(GLN_OPT_CHORD_LEVEL, "level", 0, ONE_OF, "beginner|intermediate|full", 0, 0, "full",                     \
    "chords for: a beginner, at most 6, triads and dominant sevenths alone; an intermediate player, at "     \
    "most 10, no tensions and no slash basses; full, all there are")                                         \
  X(GLN_OPT_AS_WRITTEN, "as-written", 0, FLAG, "", 0, 0, "",                                                 \
    "no chord is simplified: every grip sounds the chord that stands over it")                               \
  X(GLN_OPT_CURVE, "curve", 0, ONE_OF, "grips|shapes", 0, 0, "",                                             \
    "what each number of grips, or of shapes, would cost, from the fewest there can be")                     \
  X(GLN_OPT_PAPER, "paper", 0, ONE_OF, "a4|letter", 0, 0, "a4", "size of the page")                          \
  X(GLN_OPT_LEFT_HANDED, "left-handed", 0, FLAG, "", 0, 0, "", "diagrams for a left-handed player")          \
  X(GLN_OPT_PAGE, "page", 0, INTEGER, "PAGE", 1, GLN_SHEET_PAGES_MAX, "all", "this page alone")              \
  X(GLN_OPT_DPI, "dpi", 0, NUMBER, "DOTS", GLN_DPI_MIN, GLN_DPI_MAX, "150", "dots an inch, for .png")        \
  X(GLN_OPT_FEEL, "feel", 0, TEXT, "NAME|FILE.feel", 0, 0, "the chart's",                                    \
    "how the right hand plays: a feel by its name, or a file of your own")                                   \
  X(GLN_OPT_COUNT_IN, "count-in", 0, INTEGER, "BARS", 0, GLN_COUNT_IN_MAX, "0",                              \
    "bars of clicks before the song")                                                                        \
  X(GLN_OPT_FOLDER, "output", 'o', FILE, "FOLDER", 0, 0, "",                                                 \
    "where the files go; it is made when it is not there")                                                   \
  X(GLN_OPT_PLANS, "plans", 0, FLAG, "", 0, 0, "", "a practice plan too, for each student on record")        \
  X(GLN_OPT_JOBS, "jobs", 0, INTEGER, "COUNT", 1, 64, "one for each core",                                   \
    "how many songs are worked on at once")                                                                  \
  X(GLN_OPT_FROM_BAR, "from", 0, TEXT, "BAR", 0, 0, "the first", "the first bar that is played")             \
  X(GLN_OPT_TO_BAR, "to", 0, TEXT, "BAR", 0, 0, "the last", "the last bar that is played")                   \
  X(GLN_OPT_LOOP, "loop", 0, INTEGER, "TIMES", 1, GLN_ROUNDS_MAX, "1; 8 for --change",                       \
    "how often it is played, one after the other")                                                           \
  X(GLN_OPT_CHANGE, "change", 0, TEXT, "BAR[.BEAT]|hardest", 0, 0, "",                                       \
    "one change of grip, round and round: 7 the change into bar 7, 7.3 into its third beat")                 \
  X(GLN_OPT_LADDER, "ladder", 0, TEXT, "TEMPI", 0, 0, "",                                                    \
    "the same at one tempo after the other: 60-126/6 rises by 6, 60,126,60,126 goes to and fro; the "        \
    "count-in comes before each")                                                                            \
  X(GLN_OPT_TRANSPOSE, "transpose", 0, INTEGER, "SEMITONES", -12, 12, "0",                                   \
    "sounds so much higher or lower; the grips stay")                                                        \
  X(GLN_OPT_ONLY, "only", 0, SOME_OF, GLN_PLAYER_KEYS, 0, 0, "all that play", "who is heard")                \
  X(GLN_OPT_CLICK, "click", 0, FLAG, "", 0, 0, "", "a click on every beat")                                  \
  X(GLN_OPT_PERCUSSION, "percussion", 0, SOME_OF, GLN_PERCUSSION_KEYS, 0, 0, "none",                         \
    "light percussion that plays along")                                                                     \
  X(GLN_OPT_BASSES, "basses", 0, FLAG, "", 0, 0, "",                                                         \
    "print what the thumb plays with each grip: the bass, the fifth in turn, and the finger that takes it")  \
  X(GLN_OPT_SEED, "seed", 0, INTEGER, "NUMBER", 0, 1000000, "1",                                             \
    "another number, other small shifts of time and force, as a hand has them")                              \
  X(GLN_OPT_EVEN, "even", 0, FLAG, "", 0, 0, "", "no such shifts: exactly as the feel is written")           \
  X(GLN_OPT_SOUNDFONT, "soundfont", 0, FILE, "FILE", 0, 0, "the system's",                                   \
    "the sounds to play with, in SoundFont 2 format")                                                        \
  X(GLN_OPT_LIVE, "live", 0, FLAG, "", 0, 0, "",                                                             \
    "play now, on this machine's audio; begin with the volume low")                                          \
  X(GLN_OPT_DEVICE, "device", 0, TEXT, "SYSTEM", 0, 0, "the usual one",                                      \
    "the audio system for --live: alsa, pulseaudio, jack, …")                                                \
  X(GLN_OPT_CHORD, "chord", 0, TEXT, "CHORD", 0, 0, "", "one chord, without a song; needs --key")            \
  X(GLN_OPT_TRY, "try", 0, TEXT, "SLOT=CHORD", 0, 0, "",                                                     \
    "plan the line anew with this chord in that slot: 6=A7 for bar 6, 10.3=Gb7 for its third beat, 8=\"Dm7 " \
    "G7\" for two that share it")                                                                            \
  X(GLN_OPT_APPLY, "apply", 0, TEXT, "PART=NAME,...", 0, 0, "",                                              \
    "write these into a copy of the chart: opening=home-vamp,ending=tag; best is the first that it lacks")   \
  X(GLN_OPT_KEY, "key", 0, TEXT, "KEY", 0, 0, "", "the key it stands in: F, C#m, \"E minor\"")               \
  X(GLN_OPT_TO, "to", 0, TEXT, "KEY", 0, 0, "", "the new key: Eb")                                           \
  X(GLN_OPT_FROM, "from", 0, ONE_OF, GLN_FORMAT_KEYS, 0, 0, "as its name or content says",                   \
    "the kind of file that is read")                                                                         \
  X(GLN_OPT_INTO, "to", 0, ONE_OF, GLN_FORMAT_KEYS, 0, 0, "as OUT's name says",                              \
    "the kind of file that is written")                                                                      \
  X(GLN_OPT_MELODY, "melody", 0, FLAG, "", 0, 0, "",                                                         \
    "the highest notes of IN's staff become the tune over the chart's bars")                                 \
  X(GLN_OPT_SCORE, "score", 0, ONE_OF, "lead-sheet|performance", 0, 0, "lead-sheet",                         \
    "MusicXML: the chart's bars with diagrams over slashes, or all that is played as staff and tablature")   \
  X(GLN_OPT_BY, "by", 0, TEXT, "INTERVAL", 0, 0, "",                                                         \
    "semitones, up or -down: 3, -2; or an interval by name: m3, P4, -M2")                                    \
  X(GLN_OPT_EASIEST, "easiest", 0, FLAG, "", 0, 0, "",                                                       \
    "the key with the least effort for the hand; with --range, of those that fit the singer")                \
  X(GLN_OPT_RANGE, "range", 0, TEXT, "LOW-HIGH", 0, 0, "", "the singer's lowest and highest note: A3-D5")    \
  X(GLN_OPT_TUNE, "tune", 0, TEXT, "LOW-HIGH", 0, 0, "the chart's tune",                                     \
    "the tune's lowest and highest note in the key of the chart: C4-E5")                                     \
  X(GLN_OPT_AFTER, "after", 0, TEXT, "FRETS", 0, 0, "",                                                      \
    "it comes after this grip, for example x32010, and is ranked by how well it follows; name takes a "      \
    "chord's symbol too")                                                                                    \
  X(GLN_OPT_BETWEEN, "between", 0, PAIR, "FRETS FRETS", 0, 0, "",                                            \
    "it comes between these two grips, and is ranked by how well it follows the first and leads into the "   \
    "second")                                                                                                \
  X(GLN_OPT_BEFORE, "before", 0, TEXT, "CHORD", 0, 0, "", "it comes before this chord, or this grip")        \
  X(GLN_OPT_NOTES, "notes", 0, TEXT, "NOTES", 0, 0, "",                                                      \
    "these notes in place of frets, the lowest first: \"C E A D\"")                                          \
  X(GLN_OPT_LINE, "line", 0, FILE, "FILE", 0, 0, "",                                                         \
    "a file of grips in place of frets, with | for bar lines; - is standard input")                          \
  X(GLN_OPT_DAYS, "days", 0, INTEGER, "DAYS", 1, GLN_PLAN_DAYS_MAX, "7", "length of the plan")               \
  X(GLN_OPT_MINUTES, "minutes", 0, INTEGER, "MINUTES", 1, GLN_PLAN_MINUTES_MAX, "30",                        \
    "practice a day, pauses among them, at least 10; with --item, spent on it")                              \
  X(GLN_OPT_LEVEL, "level", 0, ONE_OF, GLN_LEVEL_KEYS, 0, 0, "intermediate",                                 \
    "how experienced the student is")                                                                        \
  X(GLN_OPT_START, "start", 0, TEXT, "DATE", 0, 0, "today", "first day of the plan: 2027-02-28")             \
  X(GLN_OPT_REST, "rest", 0, ONE_OF, "mon|tue|wed|thu|fri|sat|sun", 0, 0,                                    \
    "the fourth day of seven, in a plan of a week or more", "day of the week without practice")              \
  X(GLN_OPT_KNOWN, "known", 0, FILE, "FILE|store|none", 0, 0, "store",                                       \
    "a file of chord names and frets that the student can play already; store: what is recorded; none")      \
  X(GLN_OPT_STUDENT, "student", 0, TEXT, "NAME", 0, 0, GLN_USUAL_STUDENT, "whose record it is")              \
  X(GLN_OPT_ITEM, "item", 0, INTEGER, "NUMBER", 1, GLN_STUDY_ITEMS_MAX, "",                                  \
    "the grip or move, by its number in the plan")                                                           \
  X(GLN_OPT_RATING, "rating", 0, ONE_OF, GLN_RATING_KEYS, 0, 0, "", "how it went")                           \
  X(GLN_OPT_STRAIN, "strain", 0, ONE_OF, "none|some|pain", 0, 0, "", "how the hands feel")                   \
  X(GLN_OPT_EXPORT, "export", 0, FILE, "FILE", 0, 0, "", "write the student's record to this file, as JSON") \
  X(GLN_OPT_IMPORT, "import", 0, FILE, "FILE", 0, 0, "",                                                     \
    "take in a record that --export wrote; what is there already is not doubled")                            \
  X(GLN_OPT_DELETE, "delete", 0, FLAG, "", 0, 0, "", "delete the student's record, from the backup too")     \
  X(GLN_OPT_ALL, "all", 0, FLAG, "", 0, 0, "", "print all there are, not the first few alone")               \
  X(GLN_OPT_TIMES, "times", 0, FLAG, "", 0, 0, "",                                                           \
    "begin each line with the time at which it is first played")                                             \
  X(GLN_OPT_SPOKEN, "spoken", 0, FLAG, "", 0, 0, "",                                                         \
    "say every string in words, for those who do not see diagrams")                                          \
  X(GLN_OPT_CSV, "csv", 0, FLAG, "", 0, 0, "", "print a table for a spreadsheet in place of text")           \
  X(GLN_OPT_JSON, "json", 0, FLAG, "", 0, 0, "", "print one JSON document in place of text")                 \
  X(GLN_OPT_HELP, "help", 0, FLAG, "", 0, 0, "", "print this help")                                          \
  X(GLN_OPT_VERSION, "version", 0, FLAG, "", 0, 0, "", "print the version")                                  \
  X(GLN_OPT_MAN, "man", 0, FLAG, "", 0, 0, "", "print the man page, for man(1) to show")                     \
  X(GLN_OPT_COMPLETION, "completion", 0, ONE_OF, "bash|zsh|fish", 0, 0, "",                                  \
    "print the completion script for this shell")
typedef enum GlnOptionId {
#define GLN_OPTION_NAME(id, name, letter, kind, values, low, high, standard, summary) id,
  GLN_OPTION_LIST(GLN_OPTION_NAME)
#undef GLN_OPTION_NAME
      GLN_OPTION_COUNT
} GlnOptionId;

typedef struct GlnOption {
  const char *name;
  char letter; /* 0: none */
  GlnOptionKind kind;
  const char *values;
  double low, high;
  const char *standard;
  const char *summary;
} GlnOption;

const GlnOption *gln_option_at(GlnOptionId id);
/* Does the option's value have words to choose from? Then the n-th of them; empty past the last. */
bool gln_option_has_words(const GlnOption *option);
GlnText gln_option_word(const GlnOption *option, size_t n);

/* ---- the table of commands ------------------------------------------------------------------------------------ */

typedef struct GlnJob GlnJob;

typedef struct GlnCommand {
  const char *name;
  const char *operand; /* what it works on: "FILE", "CHORD", "IN OUT", "FILE..." for one or more */
  const char *summary; /* one line, no full stop */
  const char *about;   /* a paragraph for its help and the man page */
  const char *example; /* a call that works */
  const char *formats; /* file types of --output with | between; NULL when it has none */
  const GlnOptionId *options;
  size_t option_count;
  GlnStatus (*run)(GlnJob *job);
} GlnCommand;

size_t gln_command_count(void);
const GlnCommand *gln_command_at(size_t index);
/* NULL when there is no such command. */
const GlnCommand *gln_command_find(GlnText name);
bool gln_command_takes(const GlnCommand *command, GlnOptionId id);
/* Options of a call without a command: --help, --version, … */
extern const GlnCommand gln_command_none;

GlnStatus gln_run_arrange(GlnJob *job);
GlnStatus gln_run_grips(GlnJob *job);
GlnStatus gln_run_reduce(GlnJob *job);
GlnStatus gln_run_moves(GlnJob *job);
GlnStatus gln_run_sheet(GlnJob *job);
GlnStatus gln_run_notes(GlnJob *job);
GlnStatus gln_run_play(GlnJob *job);
GlnStatus gln_run_pack(GlnJob *job);
GlnStatus gln_run_proof(GlnJob *job);
GlnStatus gln_run_explain(GlnJob *job);
GlnStatus gln_run_standins(GlnJob *job);
GlnStatus gln_run_frame(GlnJob *job);
GlnStatus gln_reduce_chords(GlnJob *job); /* reduce with --chords or --level */
GlnStatus gln_run_name(GlnJob *job);
GlnStatus gln_run_transpose(GlnJob *job);
GlnStatus gln_run_convert(GlnJob *job);
GlnStatus gln_run_plan(GlnJob *job);
GlnStatus gln_run_log(GlnJob *job);
GlnStatus gln_run_progress(GlnJob *job);

/* ---- a call, understood ------------------------------------------------------------------------------------------ */

typedef struct GlnValue {
  bool given;
  GlnText text;     /* as typed */
  GlnText second;   /* PAIR: its second word */
  size_t choice;    /* ONE_OF: index of the word */
  uint32_t choices; /* SOME_OF: bit n for word n */
  double number;    /* INTEGER, NUMBER */
} GlnValue;

typedef struct GlnArguments {
  const GlnCommand *command;
  GlnValue value[GLN_OPTION_COUNT];
  const char *operand;   /* NULL when not given */
  char *const *operands; /* all of them */
  size_t operand_count;
  const char *second; /* of a command with two: convert's OUT */
} GlnArguments;

struct GlnJob {
  const GlnApp *app;
  GlnArguments arguments;
  GlnArena *arena;
  GlnBuffer out; /* goes to standard output once the command is done */
};

/* Reads argv against the table. Says on app->err what is wrong (GLN_USAGE). */
GLN_MUST_USE GlnStatus gln_arguments_read(GlnJob *job, int argc, char *const argv[]);

/* "gripline: error: problem; advice" on standard error; returns status, for the caller to hand on. */
__attribute__((format(printf, 4, 5))) GlnStatus
gln_job_complain(const GlnJob *job, GlnStatus status, const char *advice, const char *problem, ...);
/* The same of a chord symbol on the command line, underlined; what: the option or operand that holds it. */
GlnStatus gln_job_complain_of_symbol(const GlnJob *job, GlnStatus status, const char *what, GlnText text,
                                     const GlnSymbolFault *fault);
GlnStatus gln_job_complain_of_file(const GlnJob *job, GlnStatus status, GlnText file,
                                   const GlnFileFault *fault);
/* Prints diagnostics about a source to standard error. */
void gln_job_show_diags(const GlnJob *job, const GlnDiags *diags, GlnText file, GlnText source);
/* Sends content to a file, or to standard output for "-". */
GLN_MUST_USE GlnStatus gln_job_deliver_to(GlnJob *job, GlnText path, GlnText content);
/* The same, where --output says. */
GLN_MUST_USE GlnStatus gln_job_deliver(GlnJob *job, GlnText content);
/* A chart that was made goes where --output says, else to standard output; what there is to say of it, and nothing
 * with --json, goes to the other place. */
GLN_MUST_USE GlnStatus gln_job_deliver_chart(GlnJob *job, GlnText chart, const GlnBuffer *words);
/* Which of the command's formats --output's name asks for (index into formats); complains when none. */
GLN_MUST_USE GlnStatus gln_job_format(const GlnJob *job, size_t *format);

#define GLN_CAPO_ADVICE  "write a fret, or a fret and the strings it covers, 1 the highest: 2, or 2:5-3"
#define GLN_CAPO_PROBLEM "the capo covers a string that this instrument does not have"
/* Words for a fault, cut where there is no more room. */
__attribute__((format(printf, 3, 4))) void gln_fault_say(char *out, size_t size, const char *format, ...);
/* What errno says about writing, in words. */
GlnStatus gln_write_fault(int error, GlnFileFault *fault);

/* The audio room and the page room, opened when they are first asked for; complain when they cannot be. */
GLN_MUST_USE GlnStatus gln_job_audio(const GlnJob *job, const GlnAudio **audio);
GLN_MUST_USE GlnStatus gln_job_pages(const GlnJob *job, const GlnPages **pages);

#define GLN_TUNING_ADVICE                                                                                    \
  "name one, such as \"drop d\", or write a note for each string, the lowest first: D A D G B E"

/* ---- settings shared by the commands -------------------------------------------------------------------------------- */

typedef struct GlnFretRange {
  int8_t low, high;
} GlnFretRange;

GLN_MUST_USE GlnStatus gln_job_fret_range(const GlnJob *job, GlnFretRange *range); /* 0, 0 when not given */
/* Strings as players count them: bit 0 for string 1, the highest; 0 when not given. */
GLN_MUST_USE GlnStatus gln_job_string_numbers(const GlnJob *job, uint8_t *numbers);
GLN_MUST_USE GlnStatus gln_job_instrument(const GlnJob *job, GlnInstrument *instrument);
/* The same before a chart has had its say: the capo may cover strings that only the chart's tuning has. */
GLN_MUST_USE GlnStatus gln_job_instrument_wish(const GlnJob *job, GlnInstrument *instrument);
GLN_MUST_USE GlnStatus gln_job_hand(const GlnJob *job, GlnHand *hand);
bool gln_job_hand_is_given(const GlnJob *job); /* the player has said something about his hand */
GlnOpenWish gln_job_open_wish(const GlnJob *job);
GlnRightHand gln_job_right_hand(const GlnJob *job);
uint16_t gln_job_textures(const GlnJob *job);

/* The file named by the operand, of any kind that gripline reads, as the text of a chart: the one place where songs are
 * loaded. What a reader has to say of another kind of file is printed. name is for messages about the text. */
GLN_MUST_USE GlnStatus gln_job_read_source(const GlnJob *job, GlnText *name, GlnText *source);
/* The same, but pasted text stays as it is: for those who read frets beside chord names. *is_chart: it is a chart by its
 * name, by --from, or made from a file of another kind; else the text alone can say. */
GLN_MUST_USE GlnStatus gln_job_read_written(const GlnJob *job, GlnText *name, GlnText *source,
                                            bool *is_chart);
/* What the options ask of an arrangement. */
GLN_MUST_USE GlnStatus gln_job_read_wish(const GlnJob *job, GlnArrangementWish *wish);
/* The instrument of a chart: the wish's, and the chart's headers where the wish is silent. */
GLN_MUST_USE GlnStatus gln_chart_instrument(const GlnChart *chart, const GlnArrangementWish *wish,
                                            GlnDiags *diags, GlnInstrument *instrument);
/* line_wishes.c: what the chart and its sections wish of the line, where the caller is silent. */
GLN_MUST_USE GlnStatus gln_chart_wishes(const GlnChart *chart, const GlnArrangementWish *wish,
                                        GlnArena *arena, GlnDiags *diags, GlnLineOptions *options);
/* "3-9" as frets, the first not above the second; false when it is no stretch of the neck. */
bool gln_fret_range_parse(GlnText text, GlnFretRange *range);

/* Reads the chart named by the operand and arranges it as the options say; all faults are printed. */
GLN_MUST_USE GlnStatus gln_job_arrange(GlnJob *job, GlnArrangement *arrangement);

/* Reads the chart named by the operand, arranges and performs it: a MIDI file. All faults are printed. */
GLN_MUST_USE GlnStatus gln_job_perform_midi(GlnJob *job, GlnBuffer *file);

/* Each chord of the played form read in its key. Where no key is clear the chart's own is taken, else the nearest
 * guess. */
typedef struct GlnReadings {
  GlnStep *steps; /* one a slot */
  GlnReading *items;
  bool unclear; /* some stretch has no clear key, and is read in this one */
  GlnKey unclear_key;
} GlnReadings;
GLN_MUST_USE GlnStatus gln_readings_of_song(const GlnSong *song, GlnArena *arena, GlnReadings *readings);
/* A sentence for people where some key is unclear; nothing else. */
void gln_add_unclear_key_words(const GlnReadings *readings, GlnBuffer *out);

/* The sheet of a line as the options say; all faults are printed. */
GLN_MUST_USE GlnStatus gln_job_sheet(const GlnJob *job, const GlnArrangement *arrangement,
                                     GlnPageFormat format, GlnBuffer *page);
/* The plain text of notes. */
GLN_MUST_USE GlnStatus gln_add_song_notes(const GlnJob *job, const GlnArrangement *arrangement,
                                          GlnBuffer *out);

/* Reads the chart named by the operand and explains it; all faults are printed. */
GLN_MUST_USE GlnStatus gln_job_explain(GlnJob *job, GlnExplanation *explanation);

/* ---- kinds of files --------------------------------------------------------------------------------------------------- */

typedef struct GlnFormat {
  const char *name, *endings, *words;
  size_t bytes_max; /* longer files are refused */
  /* Does the file begin as this kind alone does? NULL where its content does not tell. */
  bool (*knows)(GlnText bytes);
  /* The file as the text of a chart; NULL: it is only written. Every fault goes to diags. GLN_INPUT, GLN_LIMIT, GLN_MEMORY. */
  GlnStatus (*read)(const GlnJob *job, GlnText bytes, GlnDiags *diags, GlnImport *import);
  /* Loads the operand and writes it; NULL: it is only read. */
  GlnStatus (*write)(GlnJob *job, GlnBuffer *out);
} GlnFormat;

const GlnFormat *gln_format_at(GlnFormatId id);
/* By the ending of a file's name, case ignored; GLN_FORMAT_COUNT when no kind has it. */
GlnFormatId gln_format_of_name(GlnText name);
/* By how the content begins; GLN_FORMAT_COUNT when that does not tell. */
GlnFormatId gln_format_of_content(GlnText bytes);

/* ---- text on the terminal ------------------------------------------------------------------------------------------- */

typedef enum GlnStyle { GLN_STYLE_PLAIN, GLN_STYLE_BOLD, GLN_STYLE_DIM } GlnStyle;
/* The text in a style where the terminal shows it; out is a buffer that ends on the job's standard output. */
void gln_add_styled(const GlnJob *job, GlnBuffer *out, GlnStyle style, GlnText text);
/* Words filled into lines of at most columns: the first starts where the cursor is (at column at), later ones are
 * indented. No line end after the last. */
void gln_add_wrapped(GlnBuffer *out, GlnText words, size_t at, size_t indent, size_t columns);

#define GLN_TABLE_COLUMNS_MAX 10
typedef struct GlnTableCell {
  GlnText text;
  bool is_line; /* a whole line across the columns */
  GlnStyle style;
} GlnTableCell;

typedef struct GlnTable {
  GlnArena *arena;
  size_t column_count;
  const char *const *heads;
  GlnTableCell *cells;
  size_t cell_count, capacity;
  bool failed;
} GlnTable;

/* heads: one for each column, at most GLN_TABLE_COLUMNS_MAX; must outlive the table. */
GlnTable gln_table(GlnArena *arena, size_t column_count, const char *const *heads);
/* The next cell, row by row. */
void gln_table_cell(GlnTable *table, const GlnBuffer *text);
void gln_table_line(GlnTable *table, GlnStyle style, const GlnBuffer *text);
void gln_table_print(const GlnJob *job, const GlnTable *table, GlnBuffer *out);

/* ---- tables for spreadsheets: RFC 4180 ------------------------------------------------------------------------ */

typedef struct GlnCsv {
  GlnBuffer *out;
  bool row_begun;
} GlnCsv;

GlnCsv gln_csv(GlnBuffer *out);
void gln_csv_heads(GlnCsv *csv, const char *const *heads, size_t count); /* the first row */
/* The next field of the row. */
void gln_csv_text(GlnCsv *csv, GlnText text);
void gln_csv_integer(GlnCsv *csv, long long value);
void gln_csv_number(GlnCsv *csv, double value, int decimals); /* empty where it is not finite */
/* Two fields, frets and fingers: a sign a string with blanks between, which no spreadsheet takes for a number or a
 * date. NULL: two empty fields. */
void gln_csv_grip(GlnCsv *csv, const GlnGrip *grip);
void gln_csv_end_row(GlnCsv *csv);

/* ---- a grip in text and JSON ------------------------------------------------------------------------------------------ */

GlnText gln_frets_text(const GlnGrip *grip, GlnArena *arena);    /* empty when memory is out */
GlnText gln_fingers_text(const GlnGrip *grip, GlnArena *arena);  /* "x32010": one sign a string */
void gln_add_chord_notes(const GlnChord *chord, GlnBuffer *out); /* "C E G B" */
/* Fills in what a shape sounds when no chord is asked of it: its frets and fingering are set. False when nothing
 * sounds. */
bool gln_grip_sound_alone(const GlnInstrument *instrument, GlnGrip *grip);
/* Of every sounding string, the lowest first, with blanks between. */
void gln_add_notes(const GlnChord *chord, const GlnGrip *grip, GlnBuffer *out);
void gln_add_degrees(const GlnChord *chord, const GlnGrip *grip, GlnBuffer *out);
/* Keys frets, fingers, shape, notes, degrees of the object that is open. */
void gln_add_grip_json(GlnJson *json, const GlnChord *chord, const GlnGrip *grip);
/* Pictures of as many of the grips as fit side by side; returns how many. */
size_t gln_add_pictures(const GlnRankedGrip *grips, size_t count, size_t columns, bool left_handed,
                        GlnArena *arena, GlnBuffer *out);

/* Key move: the change into a slot of the line; null where no grip comes before. */
void gln_add_move_json(GlnJson *json, const GlnArrangement *arrangement, size_t i, GlnArena *arena);

/* ---- why, and other lines: line_why.c, line_alternatives.c ----------------------------------------------------------- */

/* The slots that --why asks about, and what was rejected in each. */
typedef struct GlnWhy {
  size_t *slots;
  size_t count;
  GlnRejected *rejected;
} GlnWhy;
GLN_MUST_USE GlnStatus gln_why_find(const GlnJob *job, const GlnArrangement *arrangement, GlnWhy *why);
GLN_MUST_USE GlnStatus gln_why_ask(const GlnJob *job, const GlnArrangement *arrangement, GlnWhy *why);
void gln_add_why(const GlnJob *job, const GlnArrangement *arrangement, const GlnWhy *why, GlnBuffer *out);
/* Key why of a slot that was asked about; nothing for others. */
void gln_add_why_json(GlnJson *json, const GlnArrangement *arrangement, const GlnWhy *why, size_t slot,
                      GlnArena *arena);

/* The document of arrange: its keys, and those of --why and --alternatives where these are asked for. */
GLN_MUST_USE GlnStatus gln_add_arrange_document(GlnJob *job, const GlnArrangement *arrangement,
                                                const GlnWhy *why, GlnBuffer *out);
/* arranged_chart.c: the arrangement as a chart with every grip pinned; played through where a chord is held differently when
 * it comes again. */
GLN_MUST_USE GlnStatus gln_arranged_chart(const GlnJob *job, const GlnArrangement *arrangement,
                                          GlnText *text);
/* The keys of arrange: title, tempo, slots, hardest, total, distinct_grips. */
void gln_add_arrangement_json(GlnJson *json, const GlnArrangement *arrangement, GlnArena *arena);
/* The same with key why of the slots that were asked about (NULL: none). */
void gln_add_arrangement_json_with(GlnJson *json, const GlnArrangement *arrangement, const GlnWhy *why,
                                   GlnArena *arena);

GLN_MUST_USE GlnStatus gln_add_alternatives(const GlnJob *job, const GlnArrangement *arrangement,
                                            GlnBuffer *out);
/* Key alternatives. */
GLN_MUST_USE GlnStatus gln_add_alternatives_json(const GlnJob *job, const GlnArrangement *arrangement,
                                                 GlnJson *json);

/* ---- the line in text --------------------------------------------------------------------------------------------------- */

/* Title, key, meter, tempo and hand. */
void gln_add_arrangement_head(const GlnJob *job, const GlnArrangement *arrangement, GlnBuffer *out);

/* "keep 1, slide 3 up 1, add 4": what the fingers do in a change, in few words. */
void gln_add_move_words(const GlnMove *move, const GlnGrip *from, const GlnGrip *to, GlnBuffer *out);

/* The hand along the neck through the passages that are new. */
GLN_MUST_USE GlnStatus gln_add_neck_plot(const GlnJob *job, const GlnLine *line, const GlnPassage *passages,
                                         size_t count, GlnBuffer *out);

/* The line as arrange gives it: head, bars, the hand along the neck, effort, on the job's output. */
GLN_MUST_USE GlnStatus gln_add_line_text(GlnJob *job, const GlnArrangement *arrangement);

/* ---- study -------------------------------------------------------------------------------------------------------- */

/* What a line asks of a student. Lives in the arena. GLN_LIMIT past GLN_STUDY_ITEMS_MAX. */
GLN_MUST_USE GlnStatus gln_material_make(const GlnArrangement *arrangement, GlnArena *arena,
                                         GlnMaterial **material);

/* The record of practice, opened for a job. */
typedef struct GlnRecord {
  const char *path;
  GlnStore *store;
  GlnStoreFault fault;
} GlnRecord;
/* GLN_NO, without a message, when there is none to read. */
GLN_MUST_USE GlnStatus gln_record_open(const GlnJob *job, GlnStoreWish wish, GlnRecord *record);
/* Says what the store's fault was; returns status. */
GlnStatus gln_record_complain(const GlnJob *job, const GlnRecord *record, GlnStatus status);
/* Everything recorded of a student; nothing when there is no record. */
GLN_MUST_USE GlnStatus gln_record_read(const GlnJob *job, GlnText student, GlnPractice **practices,
                                       size_t *count);
GLN_MUST_USE GlnStatus gln_job_student(const GlnJob *job,
                                       GlnText *student); /* GLN_USUAL_STUDENT when none is named */

/* A plan with what it was made from. */
typedef struct GlnPlanning {
  GlnArrangement arrangement;
  GlnMaterial *material;
  GlnMemory *memories; /* one an item, as the record has it */
  GlnPlan *plan;
  GlnText student; /* empty: nobody in particular */
  int64_t records; /* practices the plan rests on */
  bool today_done; /* the plan begins tomorrow */
} GlnPlanning;
/* goes_on: when today's practice is recorded already, the plan begins tomorrow. */
GLN_MUST_USE GlnStatus gln_job_plan(GlnJob *job, bool goes_on, GlnPlanning *planning);
/* The same for a student by name, of a song that is arranged. */
GLN_MUST_USE GlnStatus gln_job_plan_of(const GlnJob *job, const GlnArrangement *arrangement, GlnText student,
                                       bool goes_on, GlnPlanning *planning);
/* The plan on paper, with the student's name where it is not GLN_USUAL_STUDENT. */
GLN_MUST_USE GlnStatus gln_job_plan_sheet(const GlnJob *job, const GlnPlanning *planning,
                                          GlnPageFormat format, GlnBuffer *file);

GLN_MUST_USE GlnStatus gln_print_plan(GlnJob *job, const GlnPlanning *planning);
GLN_MUST_USE GlnStatus gln_print_plan_json(GlnJob *job, const GlnPlanning *planning);
GLN_MUST_USE GlnStatus gln_add_plan_calendar(const GlnJob *job, const GlnPlanning *planning, GlnBuffer *out);
/* ---- help ----------------------------------------------------------------------------------------------------------- */

/* The help of one command, or of the program for gln_command_none. */
void gln_add_help(const GlnJob *job, const GlnCommand *command, GlnBuffer *out);
/* What an option does, its words or bounds, and what holds unless it is given. */
void gln_add_option_words(const GlnOption *option, GlnBuffer *out);
void gln_add_man_page(GlnBuffer *out);
void gln_add_completion(size_t shell, GlnBuffer *out); /* shell: index of its word in the table */

#endif
