/* From a performance to a file or to the machine's audio: measured first, so that it has the right level. */
#include "audio_internal.h"

#include <math.h>

#define CHUNK_FRAMES  4096
#define SILENCE       1e-5          /* a peak under this is the synthesizer's own noise, not sound */
#define FADE_FRAMES   ((size_t)882) /* 20 ms */
#define LOSSY_PEAK_DB (-2.5)        /* a decoder's samples pass the ones that went in by up to about 1 dB */

void gln_audio_fault(GlnDiags *diags, const char *problem, const char *advice) {
  gln_diags_add(diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
}

/* The gain that brings the sound to the loudness aimed for, or less where its peak would pass the limit. */
static double choose_gain(const GlnLoudness *loudness, double peak_db) {
  double lufs = gln_loudness_integrated(loudness);
  if (loudness->peak < SILENCE)
    return 1;
  double by_peak = pow(10.0, peak_db / 20.0) / loudness->peak;
  return isfinite(lufs) ? fmin(by_peak, pow(10.0, (GLN_AUDIO_LUFS - lufs) / 20.0)) : by_peak;
}

/* At its level, fading out over the last frames. */
static void scale(const float *samples, size_t frames, double gain, int64_t left, float *out) {
  const float plain = (float)gain;
  for (size_t i = 0; i < 2 * frames; i++)
    out[i] = samples[i] * plain;
  for (size_t i = 0; i < frames && left - (int64_t)frames < (int64_t)FADE_FRAMES; i++)
    if (left - (int64_t)i < (int64_t)FADE_FRAMES) {
      float fade = (float)(left - (int64_t)i) / (float)FADE_FRAMES;
      out[2 * i] *= fade;
      out[2 * i + 1] *= fade;
    }
}

static GlnStatus write_wave(GlnTake *take, double gain, GlnDiags *diags, GlnWave *wave) {
  float samples[2 * CHUNK_FRAMES], scaled[2 * CHUNK_FRAMES];
  for (int64_t left = take->frames; left > 0;) {
    size_t made = (size_t)(left < CHUNK_FRAMES ? left : CHUNK_FRAMES);
    GLN_TRY(gln_take_read(take, samples, made, diags));
    scale(samples, made, gain, left, scaled);
    GLN_TRY(gln_wave_add(wave, scaled, made));
    left -= (int64_t)made;
  }
  return GLN_OK;
}

/* ---- the door -------------------------------------------------------------------------------------------- */

static GlnStatus write_take(GlnTake *take, GlnAudioFormat format, const GlnAudioOptions *options,
                            const GlnAudioSink *sink, GlnArena *arena, GlnDiags *diags,
                            GlnAudioReport *report) {
  bool lossy = format == GLN_AUDIO_OGG || format == GLN_AUDIO_MP3;
  double gain = choose_gain(&take->loudness, lossy ? LOSSY_PEAK_DB : GLN_AUDIO_PEAK_DBFS);
  *report = (GlnAudioReport){.seconds = (double)take->frames / GLN_AUDIO_RATE,
                             .lufs = gln_loudness_integrated(&take->loudness) + 20.0 * log10(gain),
                             .peak_dbfs = 20.0 * log10(take->loudness.peak * gain)};
  GlnWave *wave = NULL;
  GLN_TRY(gln_wave_open(format, options, sink, arena, diags, &wave));
  GlnStatus status = write_wave(take, gain, diags, wave);
  GlnStatus closed = gln_wave_close(wave);
  return status == GLN_OK ? closed : status;
}

static GlnStatus write_file(const GlnPerformance *performance, GlnAudioFormat format,
                            const GlnAudioOptions *options, const GlnAudioSink *sink, GlnArena *arena,
                            GlnDiags *diags, GlnAudioReport *report) {
  GlnTake take;
  GlnStatus status = gln_take_make(performance, options, true, arena, diags, &take);
  if (status == GLN_OK)
    status = write_take(&take, format, options, sink, arena, diags, report);
  gln_take_end(&take);
  return status;
}

static GlnStatus play_now(const GlnPerformance *performance, const char *device,
                          const GlnAudioOptions *options, GlnArena *arena, GlnDiags *diags) {
  GlnTake take;
  GlnStatus status = gln_take_make(performance, options, false, arena, diags, &take);
  gln_take_end(&take); /* its level is what was wanted of it */
  GLN_TRY(status);
  GlnSynth *synth = NULL;
  GLN_TRY(gln_synth_open(take.soundfont, diags, &synth));
  status =
      gln_synth_play(synth, &take.schedule, choose_gain(&take.loudness, GLN_AUDIO_PEAK_DBFS), device, diags);
  gln_synth_close(synth);
  return status;
}

GLN_DOOR const GlnAudio gln_audio = {.version = GRIPLINE_VERSION, .write = write_file, .play = play_now};
