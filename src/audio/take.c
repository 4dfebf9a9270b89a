/* A performance as samples, once: rendered, measured, and kept until its level is known. */
#include "audio_internal.h"

#include <math.h>
#include <pthread.h>

#define CHUNK_FRAMES 4096
#define FRAME_BYTES  (2 * sizeof(float))
/* What rings on after a note or after the end: until it is this far under full scale, and how long at most. Design
 * choices. */
#define TAIL_SECONDS   4
#define TAIL_LEVEL     0.0003F
#define PROGRESS_EVERY (GLN_AUDIO_RATE * 2)
/* A sound this long is rendered in two halves at once, wherever it is made, so that the bytes are the same everywhere.
 * The second half begins early enough to have every voice that still rings at the seam; what the room's echoes differ by
 * is blended over the seam's first frames. */
#define HALVES_FROM_SECONDS 30
#define SEAM_FRAMES         4410 /* a step of the loudness: 100 ms */
_Static_assert(SEAM_FRAMES == GLN_LOUDNESS_STEP_FRAMES, "the halves are measured in whole steps");

/* ---- progress --------------------------------------------------------------------------------------------- */

static void advance(GlnTake *take, size_t frames) {
  GlnTakeProgress *progress = &take->progress;
  progress->done += (int64_t)frames;
  if (!progress->options->progress || progress->done - progress->said < PROGRESS_EVERY)
    return;
  progress->said = progress->done;
  double whole = 2.0 * (double)(take->schedule.frames + GLN_AUDIO_RATE); /* rendered, and written */
  progress->options->progress(progress->options->progress_data, fmin(1.0, (double)progress->done / whole));
}

static GlnStatus no_room(GlnDiags *diags) {
  gln_audio_fault(diags, "there is no room for temporary files", "make some in /tmp and try again");
  return GLN_SYSTEM;
}

/* ---- one part --------------------------------------------------------------------------------------------- */

/* The next frames up to count; *made is 0 at the end. */
static GlnStatus render_some(GlnTakePart *part, float *samples, size_t count, size_t *made) {
  *made = 0;
  while (*made < count && part->frame < part->end) {
    const GlnSchedule *schedule = &part->take->schedule;
    while (part->next < schedule->count && schedule->events[part->next].frame <= part->frame)
      gln_synth_do(part->synth, &schedule->events[part->next++]);
    int64_t until = part->end;
    if (part->next < schedule->count && schedule->events[part->next].frame < until)
      until = schedule->events[part->next].frame;
    size_t frames = (size_t)(until - part->frame);
    if (frames > count - *made)
      frames = count - *made;
    GLN_TRY(gln_synth_render(part->synth, samples + 2 * *made, frames));
    *made += frames;
    part->frame += (int64_t)frames;
  }
  return GLN_OK;
}

static bool is_silent(const float *samples, size_t frames) {
  for (size_t i = 0; i < 2 * frames; i++)
    if (fabsf(samples[i]) > TAIL_LEVEL)
      return false;
  return true;
}

/* Up to where the part begins to count: its voices are there then. */
static GlnStatus warm_up(GlnTakePart *part, float *samples) {
  while (part->frame < part->start) {
    size_t left = (size_t)(part->start - part->frame), made = 0;
    GLN_TRY(render_some(part, samples, left < CHUNK_FRAMES ? left : CHUNK_FRAMES, &made));
  }
  return GLN_OK;
}

/* To the part's end or, past the last bar, until all has died away: part->end becomes that place. */
static GlnStatus render_part(GlnTakePart *part) {
  float samples[2 * CHUNK_FRAMES] = {0};
  GlnTake *take = part->take;
  GLN_TRY(warm_up(part, samples));
  for (;;) {
    size_t made = 0;
    GLN_TRY(render_some(part, samples, CHUNK_FRAMES, &made));
    gln_loudness_add(&part->loudness, samples, made);
    if (part == take->parts) /* the others keep pace */
      advance(take, made * take->part_count);
    part->full = part->spool && fwrite(samples, FRAME_BYTES, made, part->spool) != made;
    if (part->full)
      return GLN_SYSTEM;
    if (made == 0 || (part->frame > take->schedule.frames && is_silent(samples, made)))
      break;
  }
  part->end = part->frame;
  return GLN_OK;
}

/* For pthread_create, hence the void pointers. */
static void *render_beside(void *data) {
  GlnTakePart *part = data;
  part->status = render_part(part);
  return NULL;
}

/* ---- all parts -------------------------------------------------------------------------------------------- */

/* The start of the earliest note that may be heard at the frame, where the synthesizer's blocks begin. */
static int64_t heard_from(const GlnSchedule *schedule, int64_t frame) {
  int64_t ring = (int64_t)TAIL_SECONDS * GLN_AUDIO_RATE, from = frame - ring;
  for (size_t i = 0; i < schedule->count && schedule->events[i].frame < from; i++)
    if (schedule->events[i].until >= frame - ring)
      from = schedule->events[i].frame;
  return from - from % GLN_SYNTH_BLOCK_FRAMES;
}

static void halve(GlnTake *take) {
  int64_t seam = take->schedule.frames / 2;
  seam -= seam % SEAM_FRAMES;
  GlnTakePart *first = &take->parts[0], *second = &take->parts[1];
  *second = (GlnTakePart){.take = take, .start = seam, .end = first->end};
  second->frame = heard_from(&take->schedule, seam);
  while (second->next < take->schedule.count && take->schedule.events[second->next].frame < second->frame)
    second->next++;
  first->end = seam + SEAM_FRAMES;
  gln_loudness_halve(&first->loudness, seam, &second->loudness);
  take->part_count = 2;
}

static GlnStatus lay_parts(GlnTake *take, GlnArena *arena) {
  GlnTakePart *first = &take->parts[0];
  *first = (GlnTakePart){.take = take, .end = take->schedule.frames + (int64_t)GLN_AUDIO_RATE * TAIL_SECONDS};
  take->part_count = 1;
  GLN_TRY(gln_loudness_begin(&first->loudness, first->end, arena));
  if (take->schedule.frames >= (int64_t)HALVES_FROM_SECONDS * GLN_AUDIO_RATE)
    halve(take);
  return GLN_OK;
}

static GlnStatus open_part(GlnTakePart *part, bool keep, GlnDiags *diags) {
  if (keep) {
    FILE *spool = tmpfile();
    if (spool == NULL)
      return no_room(diags);
    part->spool = spool; /* gln_take_end closes it */
  }
  return gln_synth_open(part->take->soundfont, diags, &part->synth);
}

static GlnStatus open_parts(GlnTake *take, bool keep, GlnDiags *diags) {
  GLN_TRY(open_part(&take->parts[0], keep, diags));
  return take->part_count == 2 ? open_part(&take->parts[1], keep, diags) : GLN_OK;
}

static GlnStatus render_parts(GlnTake *take, GlnDiags *diags) {
  GlnTakePart *first = &take->parts[0], *second = &take->parts[1];
  pthread_t beside;
  bool halves = take->part_count == 2;
  bool at_once = halves && pthread_create(&beside, NULL, render_beside, second) == 0;
  first->status = render_part(first);
  if (at_once)
    (void)pthread_join(beside, NULL); /* fails for threads that are none */
  else if (halves)
    second->status = render_part(second);
  for (size_t i = 0; i < take->part_count; i++) {
    if (take->parts[i].full)
      return no_room(diags);
    GLN_TRY(take->parts[i].status);
  }
  take->loudness = first->loudness;
  if (halves)
    gln_loudness_join(&take->loudness, &second->loudness);
  take->frames = take->parts[take->part_count - 1].end;
  for (size_t i = 0; i < take->part_count; i++)
    if (take->parts[i].spool && fseek(take->parts[i].spool, 0, SEEK_SET) != 0)
      return no_room(diags);
  return GLN_OK;
}

GlnStatus gln_take_make(const GlnPerformance *performance, const GlnAudioOptions *options, bool keep,
                        GlnArena *arena, GlnDiags *diags, GlnTake *take) {
  *take = (GlnTake){.progress = {.options = options}};
  GLN_TRY(gln_soundfont_find(options->soundfont, diags, &take->soundfont));
  GLN_TRY(gln_schedule_make(performance, arena, diags, &take->schedule));
  GLN_TRY(lay_parts(take, arena));
  GLN_TRY(open_parts(take, keep, diags));
  return render_parts(take, diags);
}

void gln_take_end(GlnTake *take) {
  for (size_t i = 0; i < take->part_count; i++) {
    gln_synth_close(take->parts[i].synth);
    if (take->parts[i].spool)
      (void)fclose(take->parts[i].spool); /* all that was needed of it has been read */
  }
}

/* ---- read again ------------------------------------------------------------------------------------------- */

/* From the end of the first half to the second, over the frames that both have. */
static GlnStatus read_seam(GlnTake *take, int64_t into, float *samples, size_t frames, GlnDiags *diags) {
  float second[2 * CHUNK_FRAMES];
  if (fread(samples, FRAME_BYTES, frames, take->parts[0].spool) != frames ||
      fread(second, FRAME_BYTES, frames, take->parts[1].spool) != frames)
    return no_room(diags);
  for (size_t i = 0; i < 2 * frames; i++) {
    float share = (float)(into + (int64_t)(i / 2)) / (float)SEAM_FRAMES;
    samples[i] += share * (second[i] - samples[i]);
  }
  return GLN_OK;
}

GlnStatus gln_take_read(GlnTake *take, float *samples, size_t frames, GlnDiags *diags) {
  int64_t seam = take->part_count == 2 ? take->parts[1].start : take->frames;
  for (size_t done = 0; done < frames;) {
    size_t count = frames - done < CHUNK_FRAMES ? frames - done : CHUNK_FRAMES;
    int64_t into = take->read - seam; /* the seam begins at 0 */
    int64_t next = into < 0 ? 0 : into < SEAM_FRAMES ? SEAM_FRAMES : into + (int64_t)count;
    if ((int64_t)count > next - into)
      count = (size_t)(next - into);
    float *at = samples + 2 * done;
    if (into >= 0 && into < SEAM_FRAMES)
      GLN_TRY(read_seam(take, into, at, count, diags));
    else if (fread(at, FRAME_BYTES, count, take->parts[into < 0 ? 0 : 1].spool) != count)
      return no_room(diags);
    take->read += (int64_t)count;
    done += count;
  }
  advance(take, frames);
  return GLN_OK;
}
