/* app, inside: from an arrangement to its performance, and to the files that are made of it. */
#ifndef GLN_PERFORMING_H
#define GLN_PERFORMING_H

#include "app_internal.h"

#define GLN_LADDER_MAX 100 /* tempi in one ladder */

/* What is played of a song, and how. */
typedef struct GlnRehearsal {
  GlnText feel; /* name; empty: the chart's */
  int8_t count_in;
  bool click;
  uint8_t percussion; /* bit n: GlnPercussion n */
  uint8_t players;    /* bit n: GlnPlayer n is heard */
  GlnRatio from, to;  /* quarter notes from the song's start; to 0: all of it */
  int32_t rounds;     /* at each tempo */
  double tempi[GLN_LADDER_MAX];
  size_t tempo_count; /* 0: once, at the song's tempo */
  int semitones;
  bool even;     /* exactly as the feel says */
  uint32_t seed; /* of the human feel */
} GlnRehearsal;

/* The feels at hand, and the name of the one that is asked for (empty: the chart's). A name that ends in .feel is a file,
 * which is read; all faults are printed. */
GLN_MUST_USE GlnStatus gln_job_feels(const GlnJob *job, const GlnChart *chart, GlnText asked,
                                     GlnFeelBook **book, GlnText *name);

GlnRehearsal gln_rehearsal_defaults(void);
/* What the options of play ask for; complains. */
GLN_MUST_USE GlnStatus gln_job_rehearsal(const GlnJob *job, const GlnArrangement *arrangement,
                                         GlnRehearsal *rehearsal);
/* How the feel of this name (empty: the chart's) swings in the chart's meter. */
GLN_MUST_USE GlnStatus gln_job_swing(const GlnJob *job, const GlnChart *chart, GlnText feel, GlnRatio *swing,
                                     GlnRatio *pair);
/* The performance of it; all faults are printed. */
GLN_MUST_USE GlnStatus gln_job_perform(const GlnJob *job, const GlnArrangement *arrangement,
                                       const GlnRehearsal *rehearsal, GlnPerformance **performance);
/* The same as a Standard MIDI File. */
GLN_MUST_USE GlnStatus gln_job_midi(const GlnJob *job, const GlnArrangement *arrangement,
                                    const GlnRehearsal *rehearsal, const GlnPerformance *performance,
                                    GlnBuffer *out);
/* The performance as an audio file; path "-" is standard output. GLN_NO, after the message, when there is no
 * soundfont. */
GLN_MUST_USE GlnStatus gln_job_audio_file(const GlnJob *job, const GlnArrangement *arrangement,
                                          const GlnPerformance *performance, const char *path,
                                          GlnAudioFormat format);
/* A table of the grips with the bass of each, what the thumb takes in turn with it, and the finger that takes it. */
GLN_MUST_USE GlnStatus gln_job_add_basses(const GlnJob *job, const GlnArrangement *arrangement,
                                          GlnBuffer *out);
GLN_MUST_USE GlnStatus gln_job_play_now(const GlnJob *job, const GlnArrangement *arrangement,
                                        const GlnPerformance *performance);

#endif
