/* Where the sounds come from. */
#include "audio_internal.h"

#include <stdio.h>
#include <string.h>

/* Soundfonts of Debian's packages, smallest first, then whatever the system calls its General MIDI one. */
static const char *const usual_places[] = {
    "/usr/share/sounds/sf2/TimGM6mb.sf2",        "/usr/share/sounds/sf3/FluidR3Mono_GM.sf3",
    "/usr/share/sounds/sf2/FluidR3_GM.sf2",      "/usr/share/sounds/sf2/default-GM.sf2",
    "/usr/share/sounds/sf3/default-GM.sf3",      "/usr/share/soundfonts/default.sf2",
    "/usr/local/share/sounds/sf2/TimGM6mb.sf2",  "/usr/local/share/sounds/sf2/default-GM.sf2",
    "/opt/homebrew/share/soundfonts/default.sf2"};

#define HEAD_BYTES 12 /* "RIFF", a length, "sfbk": SoundFont 2.04, section 4 */

static bool is_soundfont(FILE *file) {
  char head[HEAD_BYTES];
  return fread(head, 1, sizeof head, file) == sizeof head && memcmp(head, "RIFF", 4) == 0 &&
         memcmp(head + 8, "sfbk", 4) == 0;
}

GlnStatus gln_soundfont_find(const char *wanted, GlnDiags *diags, const char **path) {
  size_t count = wanted != NULL ? 1 : GLN_COUNT_OF(usual_places);
  for (size_t i = 0; i < count; i++) {
    const char *place = wanted != NULL ? wanted : usual_places[i];
    FILE *file = fopen(place, "rb");
    if (file == NULL)
      continue;
    bool fits = is_soundfont(file);
    (void)fclose(file); /* only read from */
    if (fits) {
      *path = place;
      return GLN_OK;
    }
    if (wanted != NULL) {
      gln_diags_add(diags, (GlnDiag){.severity = GLN_ERROR,
                                     .problem = GLN_TEXT("the file given with --soundfont is no soundfont"),
                                     .advice = GLN_TEXT("give a file in SoundFont 2 format, .sf2 or .sf3")});
      return GLN_INPUT;
    }
  }
  if (wanted != NULL) {
    gln_audio_fault(diags, "the file given with --soundfont cannot be read", "check its name and folder");
    return GLN_INPUT;
  }
  gln_audio_fault(diags, "no soundfont is installed, so there are no guitar sounds to play with",
                  "install the package timgm6mb-soundfont (sudo apt-get install timgm6mb-soundfont), or name "
                  "a soundfont with --soundfont FILE");
  return GLN_NO;
}
