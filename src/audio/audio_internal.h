/* What the files of the audio room share. */
#ifndef GLN_AUDIO_INTERNAL_H
#define GLN_AUDIO_INTERNAL_H

#include "audio.h"

#include <stdio.h>

/* An error without a place. */
void gln_audio_fault(GlnDiags *diags, const char *problem, const char *advice);

/* ---- soundfont.c -------------------------------------------------------------------------------------- */

/* The soundfont that is asked for, or the first of the usual places; what is wrong goes to diags. */
GLN_MUST_USE GlnStatus gln_soundfont_find(const char *wanted, GlnDiags *diags, const char **path);

/* ---- schedule.c --------------------------------------------------------------------------------------- */

typedef struct GlnAudioEvent {
  int64_t frame;
  int64_t until;               /* end of the note */
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
#define GLN_SYNTH_BLOCK_FRAMES 64 /* notes begin and end where a block does, counted from the first frame */
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
/* One that is begun in two: what it has room for from this frame on (whole steps of it) becomes the second's, to be
 * measured apart; what is added to the first past there is not counted. Then joined again, the peak too. */
#define GLN_LOUDNESS_STEP_FRAMES ((size_t)4410) /* 100 ms */
void gln_loudness_halve(GlnLoudness *first, int64_t frame, GlnLoudness *second);
void gln_loudness_join(GlnLoudness *first, const GlnLoudness *second);
/* Integrated loudness in LUFS; -INFINITY when nothing passes the gates. */
double gln_loudness_integrated(const GlnLoudness *loudness);

/* ---- take.c ---------------------------------------------------------------------------------------------- */

typedef struct GlnTake GlnTake;

/* A part of the sound, rendered by a synthesizer of its own. */
typedef struct GlnTakePart {
  GlnTake *take;
  GlnSynth *synth;
  size_t next;        /* event */
  int64_t frame;      /* reached */
  int64_t start, end; /* what is kept of it */
  FILE *spool;        /* what is kept, or NULL; gone with the program */
  bool full;          /* no room for it */
  GlnLoudness loudness;
  GlnStatus status;
} GlnTakePart;

typedef struct GlnTakeProgress {
  const GlnAudioOptions *options;
  int64_t done, said; /* frames of both passes */
} GlnTakeProgress;

#define GLN_TAKE_PARTS 2
struct GlnTake {
  const char *soundfont;
  GlnSchedule schedule;
  GlnTakeProgress progress;
  GlnTakePart parts[GLN_TAKE_PARTS];
  size_t part_count;
  GlnLoudness loudness;
  int64_t frames, read; /* as rendered; those read again */
};
/* Renders the performance, with what rings on after it, and measures it. keep: it will be read. gln_take_end in any
 * case. */
GLN_MUST_USE GlnStatus gln_take_make(const GlnPerformance *performance, const GlnAudioOptions *options,
                                     bool keep, GlnArena *arena, GlnDiags *diags, GlnTake *take);
void gln_take_end(GlnTake *take);
/* The next frames, which must be there. */
GLN_MUST_USE GlnStatus gln_take_read(GlnTake *take, float *samples, size_t frames, GlnDiags *diags);

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
