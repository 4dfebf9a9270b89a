/* gripline play: the accompaniment as sound. */
#include "performing.h"

#include <string.h>

#define FORMAT_MIDI 0 /* as in the table: then those of the audio room */

static GlnStatus write_midi(GlnJob *job, const GlnArrangement *arrangement, const GlnRehearsal *rehearsal,
                            const GlnPerformance *performance, GlnText path) {
  GlnBuffer file = gln_buffer(job->arena);
  GLN_TRY(gln_job_midi(job, arrangement, rehearsal, performance, &file));
  job->arguments.value[GLN_OPT_OUTPUT].text = path;
  return gln_job_deliver(job, gln_buffer_text(&file));
}

/* Without a soundfont there is still the MIDI file, beside where the sound would be. */
static GlnStatus write_midi_instead(GlnJob *job, const GlnArrangement *arrangement,
                                    const GlnRehearsal *rehearsal, const GlnPerformance *performance) {
  GlnText path = job->arguments.value[GLN_OPT_OUTPUT].text;
  const char *dot = strrchr(path.at, '.');
  if (gln_text_equal(path, GLN_TEXT("-")) || gln_text_starts(path, GLN_TEXT("/dev/")) || dot == NULL)
    return GLN_SYSTEM;
  GlnBuffer name = gln_buffer(job->arena);
  gln_buffer_add(&name, gln_text_slice(path, 0, (size_t)(dot - path.at)));
  gln_buffer_add_string(&name, ".mid");
  const char *beside = gln_text_copy(job->arena, gln_buffer_text(&name));
  if (beside == NULL)
    return GLN_MEMORY;
  GLN_TRY(write_midi(job, arrangement, rehearsal, performance, gln_text(beside)));
  GlnDiags diags = gln_diags(job->arena);
  GlnBuffer words = gln_buffer(job->arena);
  gln_buffer_format(&words, "%s is written in its place: the same notes, for any player of MIDI files",
                    beside);
  gln_diags_add(&diags, (GlnDiag){.severity = GLN_NOTE_SEVERITY, .problem = gln_buffer_text(&words)});
  gln_job_show_diags(job, &diags, GLN_TEXT("gripline"), GLN_TEXT(""));
  return GLN_SYSTEM;
}

static GlnStatus write_file(GlnJob *job, const GlnArrangement *arrangement, const GlnRehearsal *rehearsal,
                            const GlnPerformance *performance, size_t format) {
  GlnText path = job->arguments.value[GLN_OPT_OUTPUT].text;
  if (format == FORMAT_MIDI)
    return write_midi(job, arrangement, rehearsal, performance, path);
  GlnStatus status = gln_job_audio_file(job, arrangement, performance, path.at, (GlnAudioFormat)(format - 1));
  return status == GLN_NO ? write_midi_instead(job, arrangement, rehearsal, performance) : status;
}

GlnStatus gln_job_perform_midi(GlnJob *job, GlnBuffer *file) {
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  GlnRehearsal rehearsal;
  GLN_TRY(gln_job_rehearsal(job, &arrangement, &rehearsal));
  rehearsal.even = true;
  GlnPerformance *performance = NULL;
  GLN_TRY(gln_job_perform(job, &arrangement, &rehearsal, &performance));
  return gln_job_midi(job, &arrangement, &rehearsal, performance, file);
}

GlnStatus gln_run_play(GlnJob *job) {
  const GlnValue *value = job->arguments.value;
  bool live = value[GLN_OPT_LIVE].given;
  bool to_file = value[GLN_OPT_OUTPUT].given || (!live && !value[GLN_OPT_BASSES].given);
  size_t format = FORMAT_MIDI;
  if (value[GLN_OPT_DEVICE].given && !live)
    return gln_job_complain(job, GLN_USAGE, "add --live", "--device says where to play live");
  if (to_file)
    GLN_TRY(gln_job_format(job, &format));
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  GlnRehearsal rehearsal;
  GLN_TRY(gln_job_rehearsal(job, &arrangement, &rehearsal));
  GlnPerformance *performance = NULL;
  GLN_TRY(gln_job_perform(job, &arrangement, &rehearsal, &performance));
  if (value[GLN_OPT_BASSES].given)
    GLN_TRY(gln_job_add_basses(job, &arrangement, &job->out));
  if (to_file)
    GLN_TRY(write_file(job, &arrangement, &rehearsal, performance, format));
  return live ? gln_job_play_now(job, &arrangement, performance) : GLN_OK;
}
