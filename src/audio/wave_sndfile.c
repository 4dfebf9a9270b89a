/* Audio files through libsndfile. */
#include "audio_internal.h"

#include <assert.h>
#include <sndfile.h>
#include <stdlib.h>

struct GlnWave {
  SNDFILE *file;
  const GlnAudioSink *sink;
  GlnOggPages *pages; /* NULL unless it is an Ogg file */
  int64_t place, length;
  bool failed; /* the sink did, or something was asked of it that it cannot do */
};

static const int kinds[GLN_AUDIO_FORMAT_COUNT] = {[GLN_AUDIO_WAV] = SF_FORMAT_WAV | SF_FORMAT_PCM_16,
                                                  [GLN_AUDIO_FLAC] = SF_FORMAT_FLAC | SF_FORMAT_PCM_16,
                                                  [GLN_AUDIO_OGG] = SF_FORMAT_OGG | SF_FORMAT_VORBIS,
                                                  [GLN_AUDIO_MP3] =
                                                      SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III};

/* ---- libsndfile's view of the sink -------------------------------------------------------------------- */

static sf_count_t tell_length(void *data) {
  return ((GlnWave *)data)->length;
}

static sf_count_t tell_place(void *data) {
  return ((GlnWave *)data)->place;
}

static sf_count_t seek_place(sf_count_t offset, int whence, void *data) {
  GlnWave *wave = data;
  int64_t from = whence == SEEK_CUR ? wave->place : whence == SEEK_END ? wave->length : 0;
  if (offset < 0 && from + offset < 0)
    return -1;
  if (from + offset == wave->place)
    return wave->place;
  if (wave->pages) {
    wave->failed = true;
    return -1;
  }
  wave->failed = wave->failed || !wave->sink->seek(wave->sink->data, from + offset);
  wave->place = from + offset;
  return wave->place;
}

static sf_count_t read_none(void *bytes, sf_count_t count, void *data) {
  (void)bytes, (void)count, (void)data;
  return 0; /* files are written alone */
}

static sf_count_t write_some(const void *bytes, sf_count_t count, void *data) {
  GlnWave *wave = data;
  if (count <= 0)
    return 0;
  /* After a failure libsndfile is told that all is well and what it writes is dropped: turned away, it would leave
   * its encoder's memory behind. */
  if (!wave->failed)
    wave->failed = !(wave->pages ? gln_ogg_pages_add(wave->pages, bytes, (size_t)count)
                                 : wave->sink->write(wave->sink->data, bytes, (size_t)count));
  wave->place += count;
  if (wave->place > wave->length)
    wave->length = wave->place;
  return count;
}

/* ---- the file ------------------------------------------------------------------------------------------ */

static GlnStatus set_tag(GlnWave *wave, int tag, GlnText text, GlnArena *arena) {
  if (text.length == 0)
    return GLN_OK;
  const char *copy = gln_text_copy(arena, text);
  if (copy == NULL)
    return GLN_MEMORY;
  (void)sf_set_string(wave->file, tag, copy); /* a tag that the format does not know is left out */
  return GLN_OK;
}

GlnStatus gln_wave_open(GlnAudioFormat format, const GlnAudioOptions *options, const GlnAudioSink *sink,
                        GlnArena *arena, GlnDiags *diags, GlnWave **wave) {
  static SF_VIRTUAL_IO through = {.get_filelen = tell_length,
                                  .seek = seek_place,
                                  .read = read_none,
                                  .write = write_some,
                                  .tell = tell_place};
  GlnWave *opened = GLN_NEW(arena, GlnWave, 1);
  *wave = opened;
  if (!opened)
    return GLN_MEMORY;
  opened->sink = sink;
  if (format == GLN_AUDIO_OGG) {
    opened->pages = GLN_NEW(arena, GlnOggPages, 1);
    if (!opened->pages)
      return GLN_MEMORY;
    opened->pages->sink = sink;
  }
  SF_INFO info = {.samplerate = GLN_AUDIO_RATE, .channels = 2, .format = kinds[format]};
  opened->file = sf_open_virtual(&through, SFM_WRITE, &info, opened);
  if (!opened->file) {
    if (!opened->failed)
      gln_audio_fault(diags, "this libsndfile cannot write such files", "write a .wav file");
    return GLN_SYSTEM;
  }
  GlnStatus status = opened->failed ? GLN_SYSTEM : set_tag(opened, SF_STR_TITLE, options->title, arena);
  if (status == GLN_OK)
    status = set_tag(opened, SF_STR_ARTIST, options->by, arena);
  if (status != GLN_OK)
    (void)sf_close(opened->file);
  return status;
}

GlnStatus gln_wave_add(GlnWave *wave, const float *samples, size_t frames) {
  /* As floats for every kind: libsndfile 1.2 gives whole numbers to the MP3 encoder many times too loud. */
  sf_count_t written = sf_writef_float(wave->file, samples, (sf_count_t)frames);
  return written == (sf_count_t)frames && !wave->failed ? GLN_OK : GLN_SYSTEM;
}

GlnStatus gln_wave_close(GlnWave *wave) {
  int error = sf_close(wave->file);
  bool whole = !wave->pages || gln_ogg_pages_end(wave->pages);
  return error == 0 && whole && !wave->failed ? GLN_OK : GLN_SYSTEM;
}
