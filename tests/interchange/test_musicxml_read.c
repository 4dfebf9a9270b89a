/* Scores from elsewhere: forms, places, transposing parts, diagrams, what is mended, and what is refused. Invented scores. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "failing_allocator.h"
#include "musicxml_internal.h"
#include "musicxml_test.h"

/* ---- forms ------------------------------------------------------------------------------------------------------------- */

#define REPEAT_LEFT                   "<barline location=\"left\"><repeat direction=\"forward\"/></barline>"
#define REPEAT_RIGHT                  "<barline location=\"right\"><repeat direction=\"backward\"/></barline>"
#define SOUND(what)                   "<direction><direction-type><words/></direction-type><sound " what "/></direction>"
#define LETTER(name)                  "<direction><direction-type><rehearsal>" name "</rehearsal></direction-type></direction>"
#define BAR_WITH(step, before, after) "<measure>" before CHORD(step, "major") REST("8") after "</measure>"

static void test_plain(void **state) {
  (void)state;
  assert_bars(CHORD("C", "major") REST("8"), BAR("F") BAR("G"), "| C | F | G |\n");
  assert_bars(CHORD("C", "major") REST("4") CHORD("F", "minor") REST("4"), "", "| C Fm |\n");
  assert_bars(CHORD("C", "major") REST("2") CHORD("F", "minor") REST("6"), "", "| C Fm / / |\n");
}

/* A bar without a chord holds the one before; one that starts without holds it so long. */
static void test_chords_go_on(void **state) {
  (void)state;
  assert_bars(CHORD("C", "major") REST("8"), "<measure>" REST("8") "</measure>" BAR("G"), "| C | % | G |\n");
  assert_bars(CHORD("C", "major") REST("8"), "<measure>" REST("4") CHORD("G", "major") REST("4") "</measure>",
              "| C | / / G / |\n");
  assert_bars(REST("4") CHORD("G", "major") REST("4"), "", "| N.C. G |\n");
  assert_bars(CHORD("C", "none") REST("8"), BAR("G"), "| N.C. | G |\n");
}

static void test_repeats(void **state) {
  (void)state;
  assert_bars(REPEAT_LEFT CHORD("C", "major") REST("8"), BAR_WITH("F", "", REPEAT_RIGHT) BAR("G"),
              "|: C | F :| G |\n");
  /* Without an opening sign it goes back to the start. */
  assert_bars(CHORD("C", "major") REST("8"), BAR_WITH("F", "", REPEAT_RIGHT) BAR("G"), "|: C | F :| G |\n");
  /* One inside the other: the outer one is played out by the form. */
  assert_bars(REPEAT_LEFT CHORD("C", "major") REST("8"),
              BAR_WITH("F", REPEAT_LEFT, REPEAT_RIGHT) BAR_WITH("G", "", REPEAT_RIGHT) BAR("A"),
              "[A]\n| C |: F :| G |\n\n[B]\n| A |\n");
}

/* The form line of a score. */
static void assert_form(const char *first, const char *rest, const char *form) {
  Imported imported = import_bars(first, rest);
  assert_int_equal(imported.status, GLN_OK);
  GlnText text = imported.import.chart;
  size_t at = gln_text_find(text, gln_text(form), 0);
  if (at == text.length)
    print_error("%.*s\n", (int)text.length, text.at);
  assert_true(at < text.length);
  drop(&imported);
}

static void test_jumps(void **state) {
  (void)state;
  /* D.C. al Fine */
  assert_form(CHORD("C", "major") REST("8"),
              BAR_WITH("F", "", SOUND("fine=\"yes\"")) BAR("G") BAR_WITH("A", "", SOUND("dacapo=\"yes\"")),
              "form: A B A\n");
  /* D.S. al Coda, by words alone. */
  assert_form(
      CHORD("C", "major") REST("8"),
      "<measure><direction><direction-type><segno/></direction-type></direction>" CHORD("F", "major")
          REST("8") "</measure>" BAR_WITH(
              "G", "", "<direction><direction-type><words>To Coda</words></direction-type></direction>")
              BAR_WITH("A", "",
                       "<direction><direction-type><words>D.S. al Coda</words></direction-type></direction>")
                  BAR_WITH("B", "<direction><direction-type><coda/></direction-type></direction>", ""),
      "form: A B C B coda\n");
  /* After D.C. the repeat is not played again: the last ending alone. */
  Imported imported = import_bars(
      REPEAT_LEFT CHORD("C", "major") REST("8"),
      BAR_WITH("F", "<barline location=\"left\"><ending number=\"1\" type=\"start\"/></barline>",
               "<barline location=\"right\"><ending number=\"1\" type=\"stop\"/><repeat "
               "direction=\"backward\"/></barline>")
          BAR_WITH("G", "<barline location=\"left\"><ending number=\"2\" type=\"start\"/></barline>",
                   SOUND("dacapo=\"yes\"") "<barline location=\"right\"><ending number=\"2\" "
                                           "type=\"discontinue\"/></barline>"));
  assert_int_equal(imported.status, GLN_OK);
  assert_string_equal(bars_of(&imported), "[A]\n|: C |1 F :|2 G |\n\n[B]\n| C | G |\n");
  GlnDiags faults = gln_diags(imported.arena);
  GlnChart *chart = NULL;
  GlnSong *song = NULL;
  assert_int_equal(gln_chart_read(imported.import.chart, imported.arena, &faults, &chart), GLN_OK);
  assert_int_equal(gln_song_play(chart, imported.arena, &faults, &song), GLN_OK);
  assert_int_equal(song->bar_count, 6); /* C F C G, C G */
  drop(&imported);
}

/* The same letter over the same bars is one section. */
static void test_letters(void **state) {
  (void)state;
  assert_form(LETTER("A") CHORD("C", "major") REST("8"),
              BAR_WITH("F", LETTER("B"), "") BAR_WITH("C", LETTER("A"), ""), "form: A B A\n");
  assert_form(LETTER("A") CHORD("C", "major") REST("8"), BAR_WITH("F", LETTER("A"), ""), "[A no. 2]\n");
}

static void test_pickup(void **state) {
  (void)state;
  Imported imported =
      import_text(GLN_TEXT(SCORE_HEAD "<measure implicit=\"yes\">" FOUR_FOUR CHORD("G", "dominant")
                               REST("2") "</measure>" BAR("C") BAR_WITH("F", "", REPEAT_RIGHT) SCORE_TAIL),
                  false);
  assert_int_equal(imported.status, GLN_OK);
  assert_string_equal(bars_of(&imported), "| / / / G7 |: C | F :|\n");
  drop(&imported);
}

static void test_lengths(void **state) {
  (void)state;
  assert_bars(CHORD("C", "major") REST("8"), "<measure>" CHORD("F", "major") REST("6") "</measure>" BAR("G"),
              "| C | 3/4: F | 4/4: G |\n");
  /* Chords over nothing: the bar is as long as its meter. */
  assert_bars(CHORD("C", "major"), "<measure>" CHORD("F", "major") "</measure>", "| C | F |\n");
}

/* ---- places ---------------------------------------------------------------------------------------------------------------- */

static void test_offsets(void **state) {
  (void)state;
  assert_bars(
      CHORD("C",
            "major") "<harmony><root><root-step>G</root-step></root><kind>dominant</kind><offset>4</offset>"
                     "</harmony>" REST("8"),
      "", "| C G7 |\n");
  /* The same place: they share the time of the note. */
  assert_bars(CHORD("C", "major") CHORD("F", "major") CHORD("G", "major") CHORD("A", "major") REST("8"), "",
              "| C F G A |\n");
  /* A backup to the start, and chords with a second voice. */
  assert_bars(
      REST("8") "<backup><duration>8</duration></backup><forward><duration>4</duration></forward>" CHORD(
          "G", "major") REST("4"),
      "", "| N.C. G |\n");
}

static void test_basses(void **state) {
  (void)state;
#define UPON(rest)                                                                                           \
  "<harmony><root><root-step>C</root-step></root><kind>dominant</kind>" rest "</harmony>" REST("8")
  assert_bars(UPON("<inversion>1</inversion>"), "", "| C7/E |\n");
  assert_bars(UPON("<inversion>3</inversion>"), "", "| C7/Bb |\n");
  assert_bars(UPON("<bass><bass-step>D</bass-step></bass>"), "", "| C7/D |\n");
  assert_bars(UPON("<bass><bass-step>C</bass-step></bass>"), "", "| C7 |\n");
  assert_bars("<harmony><function>V</function><kind>dominant</kind></harmony>" REST("8"), "", "| G7 |\n");
  assert_bars(
      "<harmony><numeral><numeral-root>2</numeral-root><numeral-key><numeral-fifths>-1</numeral-fifths>"
      "<numeral-mode>major</numeral-mode></numeral-key></numeral><kind>minor-seventh</kind></harmony>" REST(
          "8"),
      "", "| Gm7 |\n");
  assert_bars(
      "<harmony><root><root-step>C</root-step></root><kind text=\"7alt\">other</kind></harmony>" REST("8"),
      "", "| C7alt |\n");
}

/* A clarinet in B flat reads D where C sounds: chords and key go down with it. */
static void test_transposing(void **state) {
  (void)state;
  Imported imported = import_text(
      GLN_TEXT(
          SCORE_HEAD
          "<measure><attributes><divisions>2</divisions><key><fifths>2</fifths></key><time><beats>4</beats>"
          "<beat-type>4</beat-type></time><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></"
          "transpose>"
          "</attributes>" CHORD(
              "D", "major") "<note><pitch><step>F</step><alter>1</alter><octave>5</octave></pitch>"
                            "<duration>4</duration></note><harmony><root><root-step>C</"
                            "root-step><root-alter>1</root-alter></root><kind>"
                            "half-diminished</kind><bass><bass-step>G</bass-step></bass></harmony>" REST(
                                "4") "</measure>" SCORE_TAIL),
      true);
  assert_int_equal(imported.status, GLN_OK);
  GlnText text = imported.import.chart;
  assert_true(gln_text_find(text, GLN_TEXT("key: C\n"), 0) < text.length);
  assert_true(gln_text_find(text, GLN_TEXT("^ | E5 - |\n"), 0) < text.length);
  assert_string_equal(bars_of(&imported), "| C Bm7b5/F |\n");
  drop(&imported);
}

/* The highest note that sounds, a note that rings on included; a guitar's part sounds an octave lower. */
static void test_melody(void **state) {
  (void)state;
#define NOTE(more, step, octave, duration)                                                                   \
  "<note>" more "<pitch><step>" step "</step><octave>" octave "</octave></pitch><duration>" duration         \
  "</duration></note>"
  Imported imported = import_text(
      GLN_TEXT(
          SCORE_HEAD
          "<measure><attributes><divisions>2</divisions><transpose><chromatic>0</chromatic><octave-change>-1"
          "</octave-change></transpose></attributes>" CHORD("C", "major") NOTE("", "E", "5", "6")
              NOTE("<chord/>", "C", "5", "6") "<backup><duration>2</duration></backup>" CHORD(
                  "A",
                  "minor") "<forward><duration>2</duration></forward>" REST("2") "</measure>" SCORE_TAIL),
      true);
  assert_int_equal(imported.status, GLN_OK);
  GlnText tune = GLN_TEXT("^ | E4 / / - |\n");
  assert_true(gln_text_find(imported.import.chart, tune, 0) < imported.import.chart.length);
  assert_string_equal(bars_of(&imported), "| C Am |\n");
  drop(&imported);
}

static void test_timewise(void **state) {
  (void)state;
  Imported imported = import_text(
      GLN_TEXT(
          "<score-timewise><measure><part id=\"P1\">" FOUR_FOUR REST("8") "</part><part id=\"P2\">" CHORD(
              "C", "major") "<note><rest/><duration>4</duration></note></part></measure><measure><part "
                            "id=\"P1\">" REST("8") "</part><part id=\"P2\">" CHORD(
                                "F", "major") "</part></measure></"
                                              "score-timewise>"),
      false);
  assert_int_equal(imported.status, GLN_OK);
  assert_string_equal(bars_of(&imported), "| C | F |\n");
  drop(&imported);
}

/* ---- diagrams ----------------------------------------------------------------------------------------------------------------- */

#define STOP(string, fret) "<frame-note><string>" string "</string><fret>" fret "</fret></frame-note>"
#define FRAME(frame)                                                                                         \
  "<harmony><root><root-step>C</root-step></root><kind>major</kind><frame>" frame                            \
  "</frame></harmony>" REST("8")

static void test_frames(void **state) {
  (void)state;
  assert_bars(FRAME("<frame-strings>6</frame-strings><frame-frets>4</frame-frets>" STOP("5", "3")
                        STOP("4", "2") STOP("3", "0") STOP("2", "1") STOP("1", "0")),
              "", "| C@x32010 |\n");
  /* Frets that count from the diagram's own first line. */
  assert_bars(
      FRAME("<frame-strings>6</frame-strings><frame-frets>4</frame-frets><first-fret>8</first-fret>" STOP(
          "6", "1") STOP("5", "3") STOP("4", "3") STOP("3", "2") STOP("2", "1") STOP("1", "1")),
      "", "| C@8-10-10-9-8-8 |\n");
  assert_bars(FRAME("<frame-strings>10</frame-strings><frame-frets>4</frame-frets>" STOP("10", "3")), "",
              "| C |\n");
  assert_bars(FRAME("<frame-strings>6</frame-strings><frame-frets>4</frame-frets>" STOP("7", "3")), "",
              "| C |\n");
  assert_bars(FRAME("<frame-strings>6</frame-strings><frame-frets>4</frame-frets>" STOP("1", "99")), "",
              "| C |\n");
}

/* ---- what is said ---------------------------------------------------------------------------------------------------------------- */

static void test_said(void **state) {
  (void)state;
  Imported imported = import_bars(
      CHORD("C", "major") "<note><rest/><duration>8</duration><lyric><text>la</text></lyric><lyric/></note>"
                          "<direction><direction-type><dynamics><f/></dynamics></direction-type></direction>",
      "<measure>" CHORD("C", "nonsense")
          REST("8") "</measure><measure>"
                    "<harmony><kind>major</kind></harmony>" REST("8") "</measure>");
  assert_int_equal(imported.status, GLN_OK);
  assert_true(says(&imported, GLN_NOTE_SEVERITY, "2 lyric, 1 dynamics"));
  assert_true(says(&imported, GLN_WARNING, "\"nonsense\", says too little"));
  assert_true(says(&imported, GLN_WARNING, "no root that gripline understands"));
  drop(&imported);
}

static void test_headers(void **state) {
  (void)state;
  Imported imported = import_text(
      GLN_TEXT("<score-partwise><work><work-title>Slow &amp; Low</work-title></work><identification><creator "
               "type=\"lyricist\">B. Words</creator><creator type=\"composer\">A. "
               "Tune</creator></identification><part>"
               "<measure><attributes><divisions>1</divisions><key><fifths>-3</fifths><mode>minor</mode></"
               "key><time><beats>6"
               "</beats><beat-type>8</beat-type></time><staff-details><capo>2</capo></staff-details></"
               "attributes><direction>"
               "<direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. "
               "60</per-minute>"
               "</metronome></direction-type></direction>" CHORD("C", "minor")
                   REST("3") "</measure></part></score-partwise>"),
      false);
  assert_int_equal(imported.status, GLN_OK);
  GlnText expected =
      GLN_TEXT("title: Slow & Low\nby: A. Tune, B. Words\nkey: Cm\nmeter: 6/8\ntempo: 60\ncapo: 2\n");
  assert_true(gln_text_starts(imported.import.chart, expected));
  drop(&imported);
}

/* ---- encodings -------------------------------------------------------------------------------------------------------------------- */

#define SMALL "<score-partwise><part><measure>" CHORD("C", "major") "</measure></part></score-partwise>"

static GlnText in_utf16(const char *text, bool big, GlnArena *arena) {
  GlnBuffer out = gln_buffer(arena);
  gln_buffer_add(&out, big ? (GlnText){"\xFE\xFF", 2} : (GlnText){"\xFF\xFE", 2});
  for (; *text != '\0'; text++) {
    const char pair[2] = {big ? '\0' : *text, big ? *text : '\0'};
    gln_buffer_add(&out, (GlnText){pair, 2});
  }
  return gln_buffer_text(&out);
}

static void test_encodings(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  for (int big = 0; big < 2; big++) {
    GlnText text = in_utf16("<?xml version=\"1.0\" encoding=\"UTF-16\"?>" SMALL, big == 1, arena);
    assert_true(gln_musicxml_knows(text));
    Imported imported = import_text(text, false);
    assert_int_equal(imported.status, GLN_OK);
    assert_string_equal(bars_of(&imported), "| C |\n");
    drop(&imported);
    Imported odd = import_text((GlnText){text.at, text.length - 1}, false);
    assert_int_equal(odd.status, GLN_INPUT);
    assert_true(says(&odd, GLN_ERROR, "broken UTF-16"));
    drop(&odd);
  }
  Imported half = import_text((GlnText){"\xFE\xFF\0<\xD8\0\0a", 8}, false);
  assert_int_equal(half.status, GLN_INPUT);
  assert_true(says(&half, GLN_ERROR, "broken UTF-16"));
  drop(&half);
  Imported latin = import_text(
      GLN_TEXT("<?xml version=\"1.0\" encoding=\"windows-1252\"?><score-partwise><work><work-title>"
               "F\xE4hre \x96 Ebbe</work-title></work><part><measure/></part></score-partwise>"),
      false);
  assert_int_equal(latin.status, GLN_OK);
  assert_true(gln_text_starts(latin.import.chart, GLN_TEXT("title: F\xC3\xA4hre \xE2\x80\x93 Ebbe\n")));
  drop(&latin);
  gln_arena_free(arena);
}

/* ---- bad input ---------------------------------------------------------------------------------------------------------------------- */

static void assert_refused(GlnText bytes, GlnStatus status, const char *words) {
  Imported imported = import_text(bytes, false);
  assert_int_equal(imported.status, status);
  if (!says(&imported, GLN_ERROR, words))
    print_error("not said: %s\n", words);
  assert_true(says(&imported, GLN_ERROR, words));
  assert_true(gln_arena_used(imported.arena) < (size_t)16 * 1024 * 1024);
  drop(&imported);
}

static void test_entities(void **state) {
  (void)state;
  assert_refused(
      GLN_TEXT("<!DOCTYPE score-partwise [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\">"
               "<!ENTITY c \"&b;&b;&b;&b;&b;&b;&b;&b;\">]><score-partwise><work><work-title>&c;</work-title>"
               "</work></score-partwise>"),
      GLN_INPUT, "declares entities");
  assert_refused(
      GLN_TEXT("<!DOCTYPE score-partwise [<!ENTITY f SYSTEM \"file:///etc/hostname\">]><score-partwise><work>"
               "<work-title>&f;</work-title></work></score-partwise>"),
      GLN_INPUT, "declares entities");
  assert_refused(
      GLN_TEXT(
          "<!DOCTYPE score-partwise [<!ENTITY % p SYSTEM \"http://localhost/p.dtd\">%p;]><score-partwise/>"),
      GLN_INPUT, "declares entities");
  /* A DTD outside is named by every score, and never fetched. */
  Imported imported =
      import_text(GLN_TEXT("<!DOCTYPE score-partwise SYSTEM \"file:///no/such/partwise.dtd\">" SMALL), false);
  assert_int_equal(imported.status, GLN_OK);
  drop(&imported);
}

static void test_shapes(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnBuffer deep = gln_buffer(arena);
  for (int i = 0; i < 100000; i++)
    gln_buffer_add_string(&deep, "<note>");
  assert_refused(gln_buffer_text(&deep), GLN_LIMIT, "elements inside each other: the limit is 64");
  GlnBuffer wide = gln_buffer(arena);
  gln_buffer_add_string(&wide, "<score-partwise><work><work-title>");
  for (int i = 0; i < 70000; i++)
    gln_buffer_add_byte(&wide, 'a');
  assert_refused(gln_buffer_text(&wide), GLN_LIMIT, "letters in one element: the limit is 65536");
  gln_arena_free(arena);
  assert_refused(GLN_TEXT(""), GLN_INPUT, "not well-formed");
  assert_refused(GLN_TEXT("<score-partwise><part><measure>"), GLN_INPUT, "not well-formed");
  assert_refused(GLN_TEXT("<html/>"), GLN_INPUT, "is no score");
  assert_refused(GLN_TEXT("<opus><score/></opus>"), GLN_INPUT, "is no score");
  assert_refused(GLN_TEXT("<score-partwise/>"), GLN_INPUT, "has no bars");
  assert_refused(GLN_TEXT("<score-partwise><part/></score-partwise>"), GLN_INPUT, "has no bars");
  assert_refused(GLN_TEXT("<?xml version=\"1.0\" encoding=\"klingon\"?><score-partwise/>"), GLN_INPUT,
                 "not well-formed");
}

static void test_numbers(void **state) {
  (void)state;
  static const char *const divisions[] = {"0", "-4", "1e999", "x", "99999999999999999999"};
  for (size_t i = 0; i < GLN_COUNT_OF(divisions); i++) {
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnBuffer text = gln_buffer(arena);
    gln_buffer_format(&text,
                      "<attributes><divisions>%s</divisions></attributes>" CHORD("C", "major") REST("8"),
                      divisions[i]);
    gln_buffer_add_byte(&text, '\0');
    Imported imported = import_bars(text.at, "");
    assert_int_equal(imported.status, GLN_OK);
    assert_true(says(&imported, GLN_WARNING, "divisions of a quarter note cannot be"));
    assert_string_equal(bars_of(&imported), "| C |\n");
    drop(&imported);
    gln_arena_free(arena);
  }
  Imported imported = import_bars(CHORD("C", "major") REST("-8") REST("8"), "");
  assert_int_equal(imported.status, GLN_OK);
  assert_true(says(&imported, GLN_WARNING, "is no duration"));
  assert_string_equal(bars_of(&imported), "| C |\n");
  drop(&imported);
  /* A backup past the start of the bar stays in it; a bar of a year is as long as a chart's can be. */
  assert_bars("<backup><duration>99</duration></backup>" CHORD("C", "major") REST("8"), "", "| C |\n");
  assert_bars(CHORD("C", "major") REST("8"),
              "<measure>" CHORD("F", "major") REST("999999999999") "</measure>", "| C | 32/1: F |\n");
}

/* Repeats inside repeats to the power of sixteen: the limit of played bars. */
static void test_many_repeats(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnBuffer text = gln_buffer(arena);
  for (int i = 0; i < 12; i++)
    gln_buffer_add_string(&text, "<measure>" REPEAT_LEFT "</measure>");
  for (int i = 0; i < 12; i++)
    gln_buffer_add_string(&text,
                          "<measure><barline location=\"right\"><repeat direction=\"backward\" times=\"99\"/>"
                          "</barline></measure>");
  gln_buffer_add_byte(&text, '\0');
  Imported imported = import_bars(CHORD("C", "major"), text.at);
  assert_int_equal(imported.status, GLN_LIMIT);
  assert_true(says(&imported, GLN_ERROR, "too many bars: the limit is 100000"));
  drop(&imported);
  gln_arena_free(arena);
}

static GlnStatus read_small(GlnArena *arena, void *context) {
  GlnDiags diags = gln_diags(arena);
  GlnImport import;
  const GlnMusicXmlWish wish = {.melody = true};
  return gln_musicxml_read(*(const GlnText *)context, &wish, arena, &diags, &import);
}

static void test_memory(void **state) {
  (void)state;
  GlnText text = GLN_TEXT(SCORE_HEAD "<measure>" FOUR_FOUR LETTER("A") REPEAT_LEFT CHORD("C", "major") NOTE(
      "", "E", "5", "8") "</measure>" BAR_WITH("F", "", REPEAT_RIGHT SOUND("dacapo=\"yes\"")) SCORE_TAIL);
  assert_true(failing_allocator_sweep(read_small, &text, 10000) >= 1);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_plain),    cmocka_unit_test(test_chords_go_on),
      cmocka_unit_test(test_repeats),  cmocka_unit_test(test_jumps),
      cmocka_unit_test(test_letters),  cmocka_unit_test(test_pickup),
      cmocka_unit_test(test_lengths),  cmocka_unit_test(test_offsets),
      cmocka_unit_test(test_basses),   cmocka_unit_test(test_transposing),
      cmocka_unit_test(test_melody),   cmocka_unit_test(test_timewise),
      cmocka_unit_test(test_frames),   cmocka_unit_test(test_said),
      cmocka_unit_test(test_headers),  cmocka_unit_test(test_encodings),
      cmocka_unit_test(test_entities), cmocka_unit_test(test_shapes),
      cmocka_unit_test(test_numbers),  cmocka_unit_test(test_many_repeats),
      cmocka_unit_test(test_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
