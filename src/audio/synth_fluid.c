/* A guitar, and what clicks beside it, through FluidSynth. */
#include "audio_internal.h"

#include <fcntl.h>
#include <fluidsynth.h>
#include <math.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

/* General MIDI level 1: acoustic guitar (nylon) is program 25 counted from 1. */
#define NYLON_GUITAR 24
#define CHANNELS     16
/* Level inside the synthesizer: low enough that nothing is lost in its effects; the file's level is set later. */
#define GAIN 0.5
/* A small room. Design choices, by the levels measured between chords of the examples. */
#define ROOM_SIZE  0.35
#define ROOM_DAMP  0.4
#define ROOM_WIDTH 0.6
#define ROOM_LEVEL 0.25

struct GlnSynth {
  fluid_settings_t *settings;
  fluid_synth_t *synth;
};

static bool set_up(fluid_settings_t *settings) {
  return fluid_settings_setnum(settings, "synth.sample-rate", GLN_AUDIO_RATE) == FLUID_OK &&
         fluid_settings_setnum(settings, "synth.gain", GAIN) == FLUID_OK &&
         fluid_settings_setint(settings, "synth.dynamic-sample-loading", 1) == FLUID_OK &&
         fluid_settings_setint(settings, "synth.cpu-cores", 1) == FLUID_OK &&
         fluid_settings_setint(settings, "synth.chorus.active", 0) == FLUID_OK &&
         fluid_settings_setint(settings, "synth.lock-memory", 0) == FLUID_OK &&
         fluid_settings_setnum(settings, "synth.reverb.room-size", ROOM_SIZE) == FLUID_OK &&
         fluid_settings_setnum(settings, "synth.reverb.damp", ROOM_DAMP) == FLUID_OK &&
         fluid_settings_setnum(settings, "synth.reverb.width", ROOM_WIDTH) == FLUID_OK &&
         fluid_settings_setnum(settings, "synth.reverb.level", ROOM_LEVEL) == FLUID_OK;
}

/* What FluidSynth has to say is said by us, in a guitarist's words. */
static void be_quiet(void) {
  static const int levels[] = {FLUID_PANIC, FLUID_ERR, FLUID_WARN, FLUID_INFO, FLUID_DBG};
  for (size_t i = 0; i < GLN_COUNT_OF(levels); i++)
    (void)fluid_set_log_function(levels[i], NULL, NULL);
}

/* Libraries under FluidSynth print what they miss straight to standard error. Returns what unhush needs. */
static int hush(void) {
  int kept = dup(STDERR_FILENO), nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
  if (kept >= 0 && nowhere >= 0)
    (void)dup2(nowhere, STDERR_FILENO);
  if (nowhere >= 0)
    (void)close(nowhere);
  return kept;
}

static void unhush(int kept) {
  if (kept < 0)
    return;
  (void)dup2(kept, STDERR_FILENO);
  (void)close(kept);
}

static GlnStatus choose_guitar(GlnSynth *synth) {
  for (int channel = 0; channel < CHANNELS; channel++)
    if (channel != GLN_AUDIO_CLICK_CHANNEL &&
        fluid_synth_program_change(synth->synth, channel, NYLON_GUITAR) != FLUID_OK)
      return GLN_SYSTEM;
  return GLN_OK;
}

static GlnStatus load(GlnSynth *synth, const char *soundfont, GlnDiags *diags) {
  int kept = hush();
  int loaded = fluid_synth_sfload(synth->synth, soundfont, 1);
  unhush(kept);
  if (loaded == FLUID_FAILED) {
    gln_audio_fault(diags, "the soundfont is damaged or not of a kind that FluidSynth reads",
                    "choose another with --soundfont FILE");
    return GLN_INPUT;
  }
  return choose_guitar(synth);
}

GlnStatus gln_synth_open(const char *soundfont, GlnDiags *diags, GlnSynth **opened) {
  *opened = NULL;
  be_quiet();
  GlnSynth *synth = calloc(1, sizeof *synth);
  if (!synth)
    return GLN_MEMORY;
  GlnStatus status = GLN_MEMORY;
  synth->settings = new_fluid_settings();
  if (synth->settings && set_up(synth->settings))
    synth->synth = new_fluid_synth(synth->settings);
  if (synth->synth)
    status = load(synth, soundfont, diags);
  if (status != GLN_OK)
    gln_synth_close(synth);
  else
    *opened = synth;
  return status;
}

void gln_synth_close(GlnSynth *synth) {
  if (!synth)
    return;
  delete_fluid_synth(synth->synth);
  delete_fluid_settings(synth->settings);
  free(synth);
}

void gln_synth_do(GlnSynth *synth, const GlnAudioEvent *event) {
  /* The end of a note that has faded already is no fault. */
  if (event->force > 0)
    (void)fluid_synth_noteon(synth->synth, event->channel, event->key, event->force);
  else
    (void)fluid_synth_noteoff(synth->synth, event->channel, event->key);
}

GlnStatus gln_synth_render(GlnSynth *synth, float *samples, size_t frames) {
  int done = fluid_synth_write_float(synth->synth, (int)frames, samples, 0, 2, samples, 1, 2);
  return done == FLUID_OK ? GLN_OK : GLN_SYSTEM;
}

/* ---- now, on the machine's audio ------------------------------------------------------------------------ */

#define TICKS_A_SECOND 1000.0
#define LEAD_TICKS     200U /* so that the first note is not lost while the device wakes up */

static unsigned tick_of(int64_t frame) {
  return LEAD_TICKS + (unsigned)llround((double)frame * TICKS_A_SECOND / GLN_AUDIO_RATE);
}

static bool send_all(fluid_sequencer_t *sequencer, fluid_seq_id_t to, const GlnSchedule *schedule) {
  fluid_event_t *event = new_fluid_event();
  if (!event)
    return false;
  bool sent = true;
  fluid_event_set_source(event, -1);
  fluid_event_set_dest(event, to);
  unsigned start = fluid_sequencer_get_tick(sequencer);
  for (size_t i = 0; sent && i < schedule->count; i++) {
    const GlnAudioEvent *at = &schedule->events[i];
    if (at->force > 0)
      fluid_event_noteon(event, at->channel, at->key, at->force);
    else
      fluid_event_noteoff(event, at->channel, at->key);
    sent = fluid_sequencer_send_at(sequencer, event, start + tick_of(at->frame), 1) == FLUID_OK;
  }
  delete_fluid_event(event);
  return sent;
}

static void wait_until(fluid_sequencer_t *sequencer, unsigned tick) {
  const struct timespec moment = {.tv_nsec = 20000000};
  while (fluid_sequencer_get_tick(sequencer) < tick)
    (void)nanosleep(&moment, NULL);
}

static GlnStatus no_device(GlnDiags *diags) {
  gln_audio_fault(diags, "this machine has no audio device that gripline could play on",
                  "write a file with -o song.wav, or name another audio system with --device");
  return GLN_SYSTEM;
}

GlnStatus gln_synth_play(GlnSynth *synth, const GlnSchedule *schedule, double gain, const char *device,
                         GlnDiags *diags) {
  if (device && fluid_settings_setstr(synth->settings, "audio.driver", device) != FLUID_OK)
    return no_device(diags);
  fluid_synth_set_gain(synth->synth, (float)(GAIN * gain));
  fluid_sequencer_t *sequencer = new_fluid_sequencer2(0);
  if (!sequencer)
    return GLN_MEMORY;
  GlnStatus status = GLN_OK;
  fluid_seq_id_t id = fluid_sequencer_register_fluidsynth(sequencer, synth->synth);
  int kept = hush();
  fluid_audio_driver_t *driver = new_fluid_audio_driver(synth->settings, synth->synth);
  unhush(kept);
  if (!driver)
    status = no_device(diags);
  else if (!send_all(sequencer, id, schedule))
    status = GLN_MEMORY;
  else
    wait_until(sequencer, fluid_sequencer_get_tick(sequencer) + tick_of(schedule->frames + GLN_AUDIO_RATE));
  delete_fluid_audio_driver(driver);
  delete_fluid_sequencer(sequencer);
  return status;
}
