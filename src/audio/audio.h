/* audio: a performance as sound — synthesis, loudness, audio files, the machine's own audio.
 *
 * Needs base, theory, grip, sound; FluidSynth behind *_fluid.c and libsndfile behind wave_sndfile.c alone. Not pure: it
 * reads a soundfont and may play; the bytes of a file go to a sink that the caller gives. The same performance
 * with the same soundfont gives the same bytes.
 *
 * An opened room (docs/start-up.md): those above see the table gln_audio and nothing else of it. */
#ifndef GLN_AUDIO_H
#define GLN_AUDIO_H

#include "base.h"
#include "sound.h"

/* X(name, ending of a file's name): the audio files that are written. 16 bits, stereo. */
#define GLN_AUDIO_FORMAT_LIST(X)                                                                             \
  X(GLN_AUDIO_WAV, "wav")                                                                                    \
  X(GLN_AUDIO_FLAC, "flac")                                                                                  \
  X(GLN_AUDIO_OGG, "ogg")                                                                                    \
  X(GLN_AUDIO_MP3, "mp3")
typedef enum GlnAudioFormat {
#define GLN_AUDIO_FORMAT_NAME(name, ending) name,
  GLN_AUDIO_FORMAT_LIST(GLN_AUDIO_FORMAT_NAME)
#undef GLN_AUDIO_FORMAT_NAME
      GLN_AUDIO_FORMAT_COUNT
} GlnAudioFormat;

/* Samples a second: the compact disc's, and that of most soundfonts. */
#define GLN_AUDIO_RATE 44100
/* Sound longer than this is refused: three hours are under the 4 GiB that a WAV file can hold. */
#define GLN_AUDIO_SECONDS_MAX (3 * 60 * 60)
/* Integrated loudness that is aimed for, in LUFS (ITU-R BS.1770-4). Design choice: the level at which players
 * bring music of all kinds to one loudness, with room for a plucked string's peak. */
#define GLN_AUDIO_LUFS (-18.0)
/* No decoded sample lies above this, in dB under full scale. Where the loudness would ask for more, it gives way. */
#define GLN_AUDIO_PEAK_DBFS (-1.0)

/* Where a file's bytes go. Both return false when it cannot be done; the caller knows why. */
typedef struct GlnAudioSink {
  void *data;
  bool (*write)(void *data, const void *bytes, size_t count); /* at the place, and moves it on */
  bool (*seek)(void *data, int64_t place);                    /* from the start */
} GlnAudioSink;

typedef struct GlnAudioOptions {
  const char *soundfont; /* path; NULL: the first that is found in the usual folders */
  GlnText title, by;     /* tags of the file; may be empty */
  /* Called now and then with the share done, 0 to 1; may be NULL. */
  void (*progress)(void *data, double share);
  void *progress_data;
} GlnAudioOptions;

/* What came of it. */
typedef struct GlnAudioReport {
  double seconds;
  double lufs;      /* integrated loudness of the file; -INFINITY for silence */
  double peak_dbfs; /* of its highest sample */
} GlnAudioReport;

/* The room's one door. */
typedef struct GlnAudio {
  const char *version; /* of the gripline it was built with */
  /* The performance as a file of this format. What is wrong goes to diags: GLN_LIMIT when it is too long,
   * GLN_INPUT for a file that is no soundfont, GLN_NO when no soundfont is found, GLN_SYSTEM when a library
   * fails or the sink does (without a message then), GLN_MEMORY. */
  GLN_MUST_USE GlnStatus (*write)(const GlnPerformance *performance, GlnAudioFormat format,
                                  const GlnAudioOptions *options, const GlnAudioSink *sink, GlnArena *arena,
                                  GlnDiags *diags, GlnAudioReport *report);
  /* Plays it now and returns at its end. device: the name of an audio system ("alsa", "pulseaudio", …); NULL:
   * the usual one. As write; GLN_SYSTEM with a message when there is no device. */
  GLN_MUST_USE GlnStatus (*play)(const GlnPerformance *performance, const char *device,
                                 const GlnAudioOptions *options, GlnArena *arena, GlnDiags *diags);
} GlnAudio;
extern const GlnAudio gln_audio;

#endif
