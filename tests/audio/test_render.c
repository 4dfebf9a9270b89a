/* Files of sound: onsets, level, tags, the same bytes twice, and what goes wrong. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../sound/performance_help.h"
#include "audio_help.h"

#define FRAMES_A_MS   (GLN_AUDIO_RATE / 1000.0)
#define FRAMES_OF(ms) ((size_t)(ms)*GLN_AUDIO_RATE / 1000)

/* ---- when notes begin -------------------------------------------------------------------------------------- */

static float highest_in(const Decoded *decoded, size_t from, size_t to) {
  float highest = 0;
  for (size_t i = from; i < to && i < decoded->frames; i++)
    highest = fmaxf(highest, fabsf(decoded->samples[2 * i]));
  return highest;
}

/* The first sample, from 20 ms before the time on, that reaches a hundredth of the note's peak. */
static double onset_ms(const Decoded *decoded, double expected_ms) {
  size_t at = (size_t)lround(expected_ms * FRAMES_A_MS), from = at > FRAMES_OF(20) ? at - FRAMES_OF(20) : 0;
  float enough = highest_in(decoded, at, at + FRAMES_OF(60)) / 100;
  assert_true(enough > 0);
  while (fabsf(decoded->samples[2 * from]) < enough)
    from++;
  return (double)from / FRAMES_A_MS;
}

static void test_notes_begin_when_they_should(void **state) {
  Made *made = *state;
  static const int midis[] = {40, 45, 52, 57, 64, 69, 76};
  int at = 137; /* nowhere near the synthesizer's own blocks */
  for (size_t i = 0; i < 4 * GLN_COUNT_OF(midis); i++, at += 1500 + 13 * (int)i)
    made_note(made, (int)(i % 6), midis[i % GLN_COUNT_OF(midis)], at, 300, 40 + 3 * (int)i);
  Decoded decoded = render_decoded(made, &made->performance, GLN_AUDIO_WAV);
  double worst = 0;
  for (size_t i = 0; i < made->performance.count; i++) {
    double expected = 1000 * gln_performance_seconds(&made->performance, made->notes[i].start);
    worst = fmax(worst, fabs(onset_ms(&decoded, expected) - expected));
  }
  print_message("the latest onset is %d tenths of a ms away\n", (int)lround(10 * worst));
  assert_true(worst <= 5);
  free(decoded.samples);
}

static void test_changes_of_tempo_are_followed(void **state) {
  Made *made = *state;
  GlnTempoStart changes[] = {{{4, 1}, 120}, {{8, 1}, 90}};
  made->performance.tempos = changes;
  made->performance.tempo_count = 2;
  for (int i = 0; i < 12; i += 2)
    made_note(made, 5, 64, 1000 * i, 300, 90);
  static const double expected[] = {0, 2000, 4000, 5000, 6000, 6000 + 4000 / 3.0};
  Decoded decoded = render_decoded(made, &made->performance, GLN_AUDIO_WAV);
  for (size_t i = 0; i < GLN_COUNT_OF(expected); i++)
    assert_true(fabs(onset_ms(&decoded, expected[i]) - expected[i]) <= 5);
  free(decoded.samples);
}

/* Root mean square of what changes from sample to sample, over 25 ms: a pluck is bright, what rings on is not. */
static double strength(const Decoded *decoded, double from_ms) {
  double sum = 0;
  if (from_ms < 0)
    return 0;
  size_t from = (size_t)lround(from_ms * FRAMES_A_MS), count = FRAMES_OF(25);
  for (size_t i = from + 2; i < from + count && i < decoded->frames; i++) {
    double bend = (double)decoded->samples[2 * i] - 2 * (double)decoded->samples[2 * i - 2] +
                  (double)decoded->samples[2 * i - 4];
    sum += bend * bend;
  }
  return sqrt(sum / (double)count);
}

/* Published onsets in 16 slots over two bars of 4/4: the son clave (Toussaint; Demaine and others 2009), and the bossa
 * clave and one bar of samba (values from memory). Heard, not read from the list: where the fingers strike, the sound
 * gets stronger, and nowhere else. */
static void hear_slots(Song *song, const char *feel, int bars, const char *slots) {
  for (int i = 0; i < bars; i++)
    song_hold(song, "Am", "x02210", 4, 1);
  GlnPerformance *performance = song_play(song, feel);
  gln_performance_keep(performance, 1U << GLN_PLAYER_FINGERS);
  Made made = {.arena = song->arena};
  Decoded decoded = render_decoded(&made, performance, GLN_AUDIO_WAV);
  double slot_ms = bars * 2000 / 16.0; /* at 120 quarter notes a minute */
  for (size_t i = 0; i < 16; i++) {
    double at = slot_ms * (double)i;
    double rise = strength(&decoded, at + 3) / (strength(&decoded, at - 28) + 1e-5);
    bool heard = rise > 2;
    if (heard != (slots[i] == 'x'))
      fail_msg("%s: slot %zu is %s (%d hundredths)", feel, i, heard ? "heard" : "not heard",
               (int)lround(100 * rise));
  }
  free(decoded.samples);
}

static void test_son_clave_is_heard_in_its_slots(void **state) {
  hear_slots(*state, "son clave", 2, "x--x--x---x-x---");
}

static void test_bossa_is_heard_in_its_slots(void **state) {
  hear_slots(*state, "bossa", 2, "x--x--x---x--x--");
}

static void test_samba_is_heard_in_its_slots(void **state) {
  hear_slots(*state, "samba", 1, "x-x--x-x-x--x-x-");
}

/* ---- files --------------------------------------------------------------------------------------------------- */

static void make_chords(Made *made) {
  static const int frets[6] = {40, 47, 52, 56, 59, 64};
  for (int i = 0; i < 16; i++)
    for (int string = 0; string < 6; string++)
      made_note(made, string, frets[string] + i % 3, 500 * i + 5 * string, 480, 127);
  for (int i = 0; i < 16; i++)
    made_note(made, -1, 76, 500 * i, 100, 120);
}

/* The made performance rendered and decoded again; its samples are the caller's to free. */
static Decoded decoded_of(Made *made, GlnAudioFormat format, GlnAudioReport *report) {
  Memory memory = {0};
  assert_int_equal(render(made, &made->performance, format, &memory, report), GLN_OK);
  Decoded decoded = decode(&memory);
  free(memory.bytes);
  return decoded;
}

/* The decoded peak lies at -1 dB under full scale at most, and the loudness is the one aimed for or less, whatever the
 * kind of file; tags and length come back. */
static void test_every_kind_of_file(void **state) {
  Made *made = *state;
  make_chords(made);
  for (int format = 0; format < GLN_AUDIO_FORMAT_COUNT; format++) {
    GlnAudioReport report = {0};
    Decoded decoded = decoded_of(made, (GlnAudioFormat)format, &report);
    double peak = 20 * log10(peak_of(&decoded));
    print_message("format %d: decoded peak %d hundredths of a dBFS, %d hundredths of a LUFS\n", format,
                  (int)lround(100 * peak), (int)lround(100 * report.lufs));
    assert_true(peak <= GLN_AUDIO_PEAK_DBFS);
    assert_true(report.lufs <= GLN_AUDIO_LUFS + 0.01);
    assert_true(report.lufs > GLN_AUDIO_LUFS - 6);
    assert_int_equal(decoded.rate, GLN_AUDIO_RATE);
    assert_true(fabs((double)decoded.frames / GLN_AUDIO_RATE - report.seconds) < 0.1);
    assert_true(report.seconds > 8 && report.seconds < 12.5);
    assert_string_equal(decoded.title, "Ebb and Flow ♭");
    assert_string_equal(decoded.by, "Nobody");
    free(decoded.samples);
  }
}

/* Clicks have high peaks and little loudness: the loudness gives way, in each kind of file. */
static void test_loudness_gives_way_to_peaks(void **state) {
  Made *made = *state;
  for (int i = 0; i < 16; i++)
    made_note(made, -1, i % 4 == 0 ? 76 : 77, 500 * i, 100, 120);
  for (int format = 0; format < GLN_AUDIO_FORMAT_COUNT; format++) {
    GlnAudioReport report = {0};
    Decoded decoded = decoded_of(made, (GlnAudioFormat)format, &report);
    double peak = 20 * log10(peak_of(&decoded));
    print_message("format %d: decoded peak %d hundredths of a dBFS\n", format, (int)lround(100 * peak));
    assert_true(report.lufs < GLN_AUDIO_LUFS);
    assert_true(peak <= GLN_AUDIO_PEAK_DBFS);
    assert_true(peak > GLN_AUDIO_PEAK_DBFS - 3); /* and by no more than it must */
    free(decoded.samples);
  }
}

static void test_same_sound_same_bytes(void **state) {
  Made *made = *state;
  make_chords(made);
  for (int format = 0; format < GLN_AUDIO_FORMAT_COUNT; format++) {
    Memory once = {0}, again = {0};
    GlnAudioReport report;
    assert_int_equal(render(made, &made->performance, (GlnAudioFormat)format, &once, &report), GLN_OK);
    assert_int_equal(render(made, &made->performance, (GlnAudioFormat)format, &again, &report), GLN_OK);
    assert_int_equal(once.length, again.length);
    assert_memory_equal(once.bytes, again.bytes, once.length);
    free(once.bytes);
    free(again.bytes);
  }
}

/* What follows later changes nothing before it. */
static void test_long_sound_begins_the_same(void **state) {
  Made *made = *state;
  make_chords(made);
  Decoded brief = render_decoded(made, &made->performance, GLN_AUDIO_WAV);
  made->performance.quarters = gln_ratio(240, 1);
  Decoded lasting = render_decoded(made, &made->performance, GLN_AUDIO_WAV);
  assert_true(lasting.frames >= (size_t)240 * GLN_AUDIO_RATE);
  /* Their levels differ a little, for one has more silence that the gates have to judge. */
  float level = (float)(peak_of(&brief) / peak_of(&lasting));
  assert_true(level > 0.99F && level < 1.01F);
  for (size_t i = 0; i < (size_t)2 * 8 * GLN_AUDIO_RATE; i++)
    assert_true(fabsf(brief.samples[i] - level * lasting.samples[i]) < 2.0F / 32768);
  free(brief.samples);
  free(lasting.samples);
}

/* How much louder one is than the other, of which it is the same sound: least squares. */
static float level_of(const Decoded *one, const Decoded *other, size_t count) {
  double both = 0, square = 0;
  for (size_t i = 0; i < count; i++) {
    both += (double)one->samples[i] * (double)other->samples[i];
    square += (double)other->samples[i] * (double)other->samples[i];
  }
  return (float)(both / square);
}

/* A long sound is rendered in two halves that meet in its middle: it is the same as when it is rendered in one, which a
 * shorter performance of the same notes is. What differs are the slow turns of the room's echoes. */
static void test_halves_meet_unheard(void **state) {
  Made *made = *state;
  static const int midis[] = {40, 47, 52, 56, 59, 64};
  for (int i = 0; i < 28; i++)
    for (int string = 0; string < 6; string++)
      made_note(made, string, midis[string] + i % 3, 1000 * i + 40 * string, string == 0 ? 990 : 800, 90);
  made->performance.quarters = gln_ratio(29, 1);
  Decoded one = render_decoded(made, &made->performance, GLN_AUDIO_WAV);
  made->performance.quarters = gln_ratio(40, 1);
  Decoded halves = render_decoded(made, &made->performance, GLN_AUDIO_WAV);
  const size_t seam = (size_t)2 * 20 * GLN_AUDIO_RATE, end = (size_t)2 * 28 * GLN_AUDIO_RATE;
  float level = level_of(&one, &halves, seam), worst = 0;
  for (size_t i = 0; i < end; i++) {
    float off = fabsf(one.samples[i] - level * halves.samples[i]);
    if (i < seam)
      assert_true(off < 2.0F / 32768);
    worst = fmaxf(worst, off);
  }
  double under = 20 * log10((double)worst / peak_of(&one));
  print_message("the second half differs by %d tenths of a dB relative to the peak\n",
                (int)lround(10 * under));
  assert_true(under < -40);
  free(one.samples);
  free(halves.samples);
}

static void test_silence_is_silent(void **state) {
  Made *made = *state;
  made->performance.quarters = gln_ratio(2, 1);
  Decoded decoded = render_decoded(made, &made->performance, GLN_AUDIO_WAV);
  assert_true(decoded.frames >= (size_t)2 * GLN_AUDIO_RATE);
  assert_true(peak_of(&decoded) < 1e-4);
  free(decoded.samples);
}

/* ---- what goes wrong -------------------------------------------------------------------------------------------- */

static void test_full_disk_is_told(void **state) {
  Made *made = *state;
  make_chords(made);
  for (int format = 0; format < GLN_AUDIO_FORMAT_COUNT; format++)
    for (size_t limit = 1; limit < 100000; limit = limit * 7 + 20) {
      Memory memory = {.limit = limit};
      GlnAudioReport report;
      assert_int_equal(render(made, &made->performance, (GlnAudioFormat)format, &memory, &report),
                       GLN_SYSTEM);
      free(memory.bytes);
    }
}

static GlnStatus render_with(Made *made, const char *soundfont, GlnDiags *diags) {
  Memory memory = {0};
  GlnAudioReport report;
  const GlnAudioOptions options = {.soundfont = soundfont};
  const GlnAudioSink sink = {&memory, memory_write, memory_seek};
  GlnStatus status =
      gln_audio.write(&made->performance, GLN_AUDIO_WAV, &options, &sink, made->arena, diags, &report);
  assert_int_equal(memory.length, 0);
  return status;
}

static void test_what_is_no_soundfont(void **state) {
  Made *made = *state;
  make_chords(made);
  GlnDiags diags = gln_diags(made->arena);
  assert_int_equal(render_with(made, "nowhere/at-all.sf2", &diags), GLN_INPUT);
  assert_int_equal(render_with(made, "LAYERS", &diags), GLN_INPUT);
  /* It begins as one, and nothing follows. */
  char path[] = "/tmp/gripline-soundfont-XXXXXX";
  int descriptor = mkstemp(path);
  FILE *file = descriptor >= 0 ? fdopen(descriptor, "wb") : NULL;
  assert_non_null(file);
  assert_int_equal(fwrite("RIFF\x04\0\0\0sfbk", 1, 12, file), 12);
  assert_int_equal(fclose(file), 0);
  assert_int_equal(render_with(made, path, &diags), GLN_INPUT);
  assert_int_equal(remove(path), 0);
  assert_int_equal(diags.error_count, 3);
}

static void test_too_long(void **state) {
  Made *made = *state;
  made->performance.quarters = gln_ratio(GLN_AUDIO_SECONDS_MAX + 1, 1);
  GlnDiags diags = gln_diags(made->arena);
  GlnStatus status = render_with(made, NULL, &diags);
  if (status == GLN_NO) {
    print_message("skipped: no soundfont is installed; tools/install-deps installs one\n");
    skip();
  }
  assert_int_equal(status, GLN_LIMIT);
  assert_int_equal(diags.error_count, 1);
}

#define MADE_TEST(name) cmocka_unit_test_setup_teardown(name, made_setup, made_teardown)
#define SONG_TEST(name) cmocka_unit_test_setup_teardown(name, song_setup, song_teardown)

int main(void) {
  const struct CMUnitTest tests[] = {
      MADE_TEST(test_notes_begin_when_they_should),
      MADE_TEST(test_changes_of_tempo_are_followed),
      SONG_TEST(test_son_clave_is_heard_in_its_slots),
      SONG_TEST(test_bossa_is_heard_in_its_slots),
      SONG_TEST(test_samba_is_heard_in_its_slots),
      MADE_TEST(test_every_kind_of_file),
      MADE_TEST(test_loudness_gives_way_to_peaks),
      MADE_TEST(test_same_sound_same_bytes),
      MADE_TEST(test_long_sound_begins_the_same),
      MADE_TEST(test_halves_meet_unheard),
      MADE_TEST(test_silence_is_silent),
      MADE_TEST(test_full_disk_is_told),
      MADE_TEST(test_what_is_no_soundfont),
      MADE_TEST(test_too_long),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
