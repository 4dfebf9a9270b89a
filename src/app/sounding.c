/* A performance on its way to an audio file or to the machine's audio. */
#include "performing.h"

#include <string.h>

/* A line that is written over while it works, where somebody looks on. Shorter sounds are done before it could be read. */
#define PROGRESS_FROM_SECONDS 60.0

static void show_progress(void *data, double share) {
  const GlnJob *job = data;
  /* A message that cannot be delivered has nowhere left to go. */
  (void)fprintf(job->app->err, "\rplaying to the file: %3d %%", (int)(share * 100));
  (void)fflush(job->app->err);
}

static void end_progress(const GlnJob *job) {
  (void)fprintf(job->app->err, "\r                             \r");
  (void)fflush(job->app->err);
}

static GlnAudioOptions audio_options(const GlnJob *job, const GlnArrangement *arrangement) {
  const GlnValue *soundfont = &job->arguments.value[GLN_OPT_SOUNDFONT];
  return (GlnAudioOptions){.soundfont = soundfont->given ? soundfont->text.at : NULL,
                           .title = arrangement->chart->title,
                           .by = arrangement->chart->by};
}

static GlnStatus write_audio(const GlnJob *job, const GlnAudio *audio, const GlnArrangement *arrangement,
                             const GlnPerformance *performance, GlnAudioFormat format, GlnDraft *draft,
                             GlnDiags *diags) {
  GlnAudioOptions options = audio_options(job, arrangement);
  bool long_one = gln_performance_seconds(performance, performance->quarters) > PROGRESS_FROM_SECONDS;
  GlnJob shown = *job;
  options.progress = job->app->progress && long_one ? show_progress : NULL;
  options.progress_data = &shown;
  const GlnAudioSink sink = {draft, gln_draft_write, gln_draft_seek};
  GlnAudioReport report;
  GlnStatus status = audio->write(performance, format, &options, &sink, job->arena, diags, &report);
  if (options.progress != NULL)
    end_progress(job);
  return status;
}

GlnStatus gln_job_audio_file(const GlnJob *job, const GlnArrangement *arrangement,
                             const GlnPerformance *performance, const char *path, GlnAudioFormat format) {
  const GlnAudio *audio = NULL;
  GLN_TRY(gln_job_audio(job, &audio));
  bool to_stream = strcmp(path, "-") == 0;
  GlnText name = to_stream ? GLN_TEXT("standard output") : gln_text(path);
  GlnDraft draft;
  GlnFileFault fault = {{0}, {0}};
  GlnStatus status =
      to_stream ? gln_draft_gather(job->app->out, &draft, &fault) : gln_draft_open(path, &draft, &fault);
  if (status != GLN_OK)
    return gln_job_complain_of_file(job, status, name, &fault);
  GlnDiags diags = gln_diags(job->arena);
  status = write_audio(job, audio, arrangement, performance, format, &draft, &diags);
  gln_job_show_diags(job, &diags, GLN_TEXT("gripline"), GLN_TEXT(""));
  bool sink_failed = draft.error != 0;
  if (status == GLN_OK || sink_failed)
    status = gln_draft_keep(&draft, &fault);
  else
    gln_draft_drop(&draft);
  if (fault.problem[0] != '\0')
    return gln_job_complain_of_file(job, status, name, &fault);
  if (status == GLN_SYSTEM && diags.count == 0)
    return gln_job_complain(job, status, "try a .wav or .mid file", "the sound could not be made");
  return status;
}

GlnStatus gln_job_play_now(const GlnJob *job, const GlnArrangement *arrangement,
                           const GlnPerformance *performance) {
  const GlnAudio *audio = NULL;
  GLN_TRY(gln_job_audio(job, &audio));
  const GlnValue *device = &job->arguments.value[GLN_OPT_DEVICE];
  GlnAudioOptions options = audio_options(job, arrangement);
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status =
      audio->play(performance, device->given ? device->text.at : NULL, &options, job->arena, &diags);
  gln_job_show_diags(job, &diags, GLN_TEXT("gripline"), GLN_TEXT(""));
  if (status == GLN_NO)
    return GLN_SYSTEM;
  return status;
}
