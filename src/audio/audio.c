/* From a performance to a file or to the machine's audio: measured first, so that it has the right level. */
#include "audio_internal.h"

#include <math.h>
#include <stdio.h>

#define CHUNK_FRAMES 4096
#define FRAME_BYTES  (2 * sizeof(float))
/* What rings on after the end, until it is this far under full scale, and how long at most. Design choices. */
#define TAIL_SECONDS   4
#define TAIL_LEVEL     0.0003F
#define SILENCE        1e-5 /* a peak under this is the synthesizer's own noise, not sound */
#define FADE_FRAMES    ((size_t)960)
#define LOSSY_PEAK_DB  (-2.5) /* a decoder's samples pass the ones that went in by up to about 1 dB */
#define PROGRESS_EVERY (GLN_AUDIO_RATE * 2)

typedef struct Render {
  GlnSynth *synth;
  const GlnSchedule *schedule;
  size_t next; /* event */
  int64_t frame, end;
  FILE *spool; /* all samples so far, or NULL; gone with the program */
} Render;

void gln_audio_fault(GlnDiags *diags, const char *problem, const char *advice) {
  gln_diags_add(diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
}

/* ---- rendering ------------------------------------------------------------------------------------------ */

/* The next frames up to count; *made is 0 at the end. */
static GlnStatus render_some(Render *render, float *samples, size_t count, size_t *made) {
  *made = 0;
  while (*made < count && render->frame < render->end) {
    const GlnSchedule *schedule = render->schedule;
    while (render->next < schedule->count && schedule->events[render->next].frame <= render->frame)
      gln_synth_do(render->synth, &schedule->events[render->next++]);
    int64_t until = render->end;
    if (render->next < schedule->count && schedule->events[render->next].frame < until)
      until = schedule->events[render->next].frame;
    size_t frames = (size_t)(until - render->frame);
    if (frames > count - *made)
      frames = count - *made;
    GLN_TRY(gln_synth_render(render->synth, samples + 2 * *made, frames));
    *made += frames;
    render->frame += (int64_t)frames;
  }
  return GLN_OK;
}

static bool is_silent(const float *samples, size_t frames) {
  for (size_t i = 0; i < 2 * frames; i++)
    if (fabsf(samples[i]) > TAIL_LEVEL)
      return false;
  return true;
}

typedef struct Progress {
  const GlnAudioOptions *options;
  double whole; /* frames of all passes */
  int64_t done, said;
} Progress;

static void advance(Progress *progress, size_t frames) {
  progress->done += (int64_t)frames;
  if (!progress->options->progress || progress->done - progress->said < PROGRESS_EVERY)
    return;
  progress->said = progress->done;
  progress->options->progress(progress->options->progress_data,
                              fmin(1.0, (double)progress->done / progress->whole));
}

static GlnStatus no_spool(GlnDiags *diags) {
  gln_audio_fault(diags, "there is no room for temporary files", "make some in /tmp and try again");
  return GLN_SYSTEM;
}

/* Renders once to know how loud it is and where it has died away: render->end becomes that place. */
static GlnStatus measure(Render *render, Progress *progress, GlnArena *arena, GlnDiags *diags,
                         GlnLoudness *loudness) {
  render->end = render->schedule->frames + (int64_t)GLN_AUDIO_RATE * TAIL_SECONDS;
  GLN_TRY(gln_loudness_begin(loudness, render->end, arena));
  float samples[2 * CHUNK_FRAMES] = {0};
  for (;;) {
    size_t made = 0;
    GLN_TRY(render_some(render, samples, CHUNK_FRAMES, &made));
    gln_loudness_add(loudness, samples, made);
    advance(progress, made);
    if (render->spool && fwrite(samples, FRAME_BYTES, made, render->spool) != made)
      return no_spool(diags);
    if (made == 0 || (render->frame > render->schedule->frames && is_silent(samples, made)))
      break;
  }
  render->end = render->frame;
  return GLN_OK;
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
  for (size_t i = 0; i < frames; i++, left--) {
    double fade = left < (int64_t)FADE_FRAMES ? (double)left / (double)FADE_FRAMES : 1.0;
    out[2 * i] = (float)((double)samples[2 * i] * gain * fade);
    out[2 * i + 1] = (float)((double)samples[2 * i + 1] * gain * fade);
  }
}

static GlnStatus write_wave(Render *render, double gain, Progress *progress, GlnDiags *diags, GlnWave *wave) {
  float samples[2 * CHUNK_FRAMES], scaled[2 * CHUNK_FRAMES];
  if (fseek(render->spool, 0, SEEK_SET) != 0)
    return no_spool(diags);
  for (int64_t left = render->end; left > 0;) {
    size_t made = (size_t)(left < CHUNK_FRAMES ? left : CHUNK_FRAMES);
    if (fread(samples, FRAME_BYTES, made, render->spool) != made)
      return no_spool(diags);
    scale(samples, made, gain, left, scaled);
    GLN_TRY(gln_wave_add(wave, scaled, made));
    advance(progress, made);
    left -= (int64_t)made;
  }
  return GLN_OK;
}

/* ---- the door -------------------------------------------------------------------------------------------- */

typedef struct Work {
  GlnSchedule schedule;
  GlnLoudness loudness;
  Progress progress;
  Render render;
  const char *soundfont;
} Work;

/* Everything as far as the level is known; end_work in any case. keep: the samples are needed again. */
static GlnStatus begin_work(const GlnPerformance *performance, const GlnAudioOptions *options, bool keep,
                            GlnArena *arena, GlnDiags *diags, Work *work) {
  *work = (Work){.progress = {.options = options}, .render = {.schedule = &work->schedule}};
  GLN_TRY(gln_soundfont_find(options->soundfont, diags, &work->soundfont));
  GLN_TRY(gln_schedule_make(performance, arena, diags, &work->schedule));
  work->progress.whole = 2.0 * (double)(work->schedule.frames + GLN_AUDIO_RATE);
  if (keep) {
    work->render.spool = tmpfile();
    if (!work->render.spool)
      return no_spool(diags);
  }
  GLN_TRY(gln_synth_open(work->soundfont, diags, &work->render.synth));
  return measure(&work->render, &work->progress, arena, diags, &work->loudness);
}

static void end_work(Work *work) {
  gln_synth_close(work->render.synth);
  if (work->render.spool)
    (void)fclose(work->render.spool); /* all that was needed of it has been read */
}

static GlnStatus write_work(Work *work, GlnAudioFormat format, const GlnAudioOptions *options,
                            const GlnAudioSink *sink, GlnArena *arena, GlnDiags *diags,
                            GlnAudioReport *report) {
  const GlnLoudness *loudness = &work->loudness;
  bool lossy = format == GLN_AUDIO_OGG || format == GLN_AUDIO_MP3;
  double gain = choose_gain(loudness, lossy ? LOSSY_PEAK_DB : GLN_AUDIO_PEAK_DBFS);
  *report = (GlnAudioReport){.seconds = (double)work->render.end / GLN_AUDIO_RATE,
                             .lufs = gln_loudness_integrated(loudness) + 20.0 * log10(gain),
                             .peak_dbfs = 20.0 * log10(loudness->peak * gain)};
  GlnWave *wave = NULL;
  GLN_TRY(gln_wave_open(format, options, sink, arena, diags, &wave));
  GlnStatus status = write_wave(&work->render, gain, &work->progress, diags, wave);
  GlnStatus closed = gln_wave_close(wave);
  return status == GLN_OK ? closed : status;
}

static GlnStatus write_file(const GlnPerformance *performance, GlnAudioFormat format,
                            const GlnAudioOptions *options, const GlnAudioSink *sink, GlnArena *arena,
                            GlnDiags *diags, GlnAudioReport *report) {
  Work work;
  GlnStatus status = begin_work(performance, options, true, arena, diags, &work);
  if (status == GLN_OK)
    status = write_work(&work, format, options, sink, arena, diags, report);
  end_work(&work);
  return status;
}

static GlnStatus play_now(const GlnPerformance *performance, const char *device,
                          const GlnAudioOptions *options, GlnArena *arena, GlnDiags *diags) {
  Work work;
  GlnStatus status = begin_work(performance, options, false, arena, diags, &work);
  /* A synthesizer as new: the measured one still has its room's echoes. */
  gln_synth_close(work.render.synth);
  work.render.synth = NULL;
  if (status == GLN_OK)
    status = gln_synth_open(work.soundfont, diags, &work.render.synth);
  if (status == GLN_OK)
    status = gln_synth_play(work.render.synth, &work.schedule,
                            choose_gain(&work.loudness, GLN_AUDIO_PEAK_DBFS), device, diags);
  end_work(&work);
  return status;
}

GLN_DOOR const GlnAudio gln_audio = {.version = GRIPLINE_VERSION, .write = write_file, .play = play_now};
