/* What the files of the audio room share. */
#ifndef GLN_AUDIO_INTERNAL_H
#define GLN_AUDIO_INTERNAL_H

#include "audio.h"

/* An error without a place. */
void gln_audio_fault(GlnDiags *diags, const char *problem, const char *advice);

/* ---- soundfont.c -------------------------------------------------------------------------------------- */

/* The soundfont that is asked for, or the first of the usual places; what is wrong goes to diags. */
GLN_MUST_USE GlnStatus gln_soundfont_find(const char *wanted, GlnDiags *diags, const char **path);

/* ---- schedule.c --------------------------------------------------------------------------------------- */

typedef struct GlnAudioEvent {
  int64_t frame;
  uint8_t channel, key, force; /* force 0: the note ends */
} GlnAudioEvent;

#define GLN_AUDIO_CLICK_CHANNEL 9 /* percussion in General MIDI */

typedef struct GlnSchedule {
  GlnAudioEvent *events; /* by frame; ends before beginnings */
  size_t count;
  int64_t frames; /* of the performance, without what rings on after it */
} GlnSchedule;
GLN_MUST_USE GlnStatus gln_schedule_make(const GlnPerformance *performance, GlnArena *arena, GlnDiags *diags,
                                         GlnSchedule *schedule);

/* ---- synth_fluid.c ------------------------------------------------------------------------------------ */

typedef struct GlnSynth GlnSynth;
/* A guitar of this many strings, one channel each. The caller closes it. */
GLN_MUST_USE GlnStatus gln_synth_open(const char *soundfont, GlnDiags *diags, GlnSynth **synth);
void gln_synth_close(GlnSynth *synth); /* NULL is fine */
void gln_synth_do(GlnSynth *synth, const GlnAudioEvent *event);
/* The next frames, left and right in turn, full scale 1. */
GLN_MUST_USE GlnStatus gln_synth_render(GlnSynth *synth, float *samples, size_t frames);
/* Plays the schedule on the machine's audio, the samples times gain. */
GLN_MUST_USE GlnStatus gln_synth_play(GlnSynth *synth, const GlnSchedule *schedule, double gain,
                                      const char *device, GlnDiags *diags);

/* ---- loudness.c: ITU-R BS.1770-4, stereo, 48 kHz ------------------------------------------------------- */

typedef struct GlnFilterState {
  double z1, z2;
} GlnFilterState;

typedef struct GlnLoudness {
  GlnFilterState shelf[2], high_pass[2]; /* for left and right */
  double *steps;                         /* mean square of each finished 100 ms, both channels summed */
  size_t step_count, step_capacity;
  double sum; /* of the step under way */
  size_t frames_in_step;
  double peak; /* highest sample, full scale 1 */
} GlnLoudness;
/* For at most so many frames. */
GLN_MUST_USE GlnStatus gln_loudness_begin(GlnLoudness *loudness, int64_t frames, GlnArena *arena);
void gln_loudness_add(GlnLoudness *loudness, const float *samples, size_t frames);
/* Integrated loudness in LUFS; -INFINITY when nothing passes the gates. */
double gln_loudness_integrated(const GlnLoudness *loudness);

/* ---- wave_sndfile.c ------------------------------------------------------------------------------------ */

typedef struct GlnWave GlnWave;
GLN_MUST_USE GlnStatus gln_wave_open(GlnAudioFormat format, const GlnAudioOptions *options,
                                     const GlnAudioSink *sink, GlnArena *arena, GlnDiags *diags,
                                     GlnWave **wave);
GLN_MUST_USE GlnStatus gln_wave_add(GlnWave *wave, const float *samples, size_t frames);
/* Writes what is left and closes; must be called once after an open that went well. */
GLN_MUST_USE GlnStatus gln_wave_close(GlnWave *wave);

/* ---- ogg_pages.c: RFC 3533 ------------------------------------------------------------------------------ */

#define GLN_OGG_PAGE_MAX (27 + 255 + 255 * 255)
/* Ogg pages on their way to a sink: the stream's serial number, which its writer draws by lot, becomes 1, so that the
 * same sound is the same bytes. */
typedef struct GlnOggPages {
  const GlnAudioSink *sink;
  uint8_t page[GLN_OGG_PAGE_MAX];
  size_t have;
} GlnOggPages;
GLN_MUST_USE bool gln_ogg_pages_add(GlnOggPages *pages, const uint8_t *bytes, size_t count);
/* False when a page has begun and is not whole. */
bool gln_ogg_pages_end(const GlnOggPages *pages);

#endif
