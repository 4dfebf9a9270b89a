/* Opens a room that is a shared object of its own: docs/start-up.md says why and where it lies. */
#include "app_internal.h"

#include <dlfcn.h>
#include <limits.h>
#include <string.h>
#include <unistd.h>

/* The folder of the running program, with its last slash; false when the system does not say. */
static bool program_folder(char *folder, size_t size) {
  ssize_t length = readlink("/proc/self/exe", folder, size - 1);
  if (length <= 0)
    return false;
  folder[length] = '\0';
  char *slash = strrchr(folder, '/');
  if (slash == NULL)
    return false;
  slash[1] = '\0';
  return true;
}

static GlnStatus room_is_missing(const GlnJob *job, const char *room, const char *why) {
  return gln_job_complain(job, GLN_SYSTEM, "install gripline again, or build it whole",
                          "the part of gripline for this (%s.so) cannot be opened: %s", room, why);
}

/* The door of the room: the table of this name in it. */
static GlnStatus open_room(const GlnJob *job, const char *room, const char *door, void **table) {
  /* Installed: beside bin/; built: below the program, and below the folder of the tests. */
  static const char *const places[] = {"../" GRIPLINE_ROOMS_FOLDER, GRIPLINE_ROOMS_FOLDER};
  char folder[PATH_MAX], path[PATH_MAX];
  if (!program_folder(folder, sizeof folder))
    return room_is_missing(job, room, "the system does not say where the program lies");
  void *opened = NULL;
  for (size_t i = 0; opened == NULL && i < GLN_COUNT_OF(places); i++) {
    int length = snprintf(path, sizeof path, "%s%s/%s.so", folder, places[i], room);
    if (length > 0 && (size_t)length < sizeof path && access(path, R_OK) == 0) {
      opened = dlopen(path, RTLD_NOW | RTLD_LOCAL);
      if (opened == NULL)
        return room_is_missing(job, room, dlerror());
    }
  }
  if (opened == NULL)
    return room_is_missing(job, room, "there is no such file in " GRIPLINE_ROOMS_FOLDER);
  *table = dlsym(opened, door);
  return *table != NULL ? GLN_OK : room_is_missing(job, room, "it is of another version");
}

static GlnStatus check_version(const GlnJob *job, const char *room, const char *version) {
  return strcmp(version, GRIPLINE_VERSION) == 0 ? GLN_OK
                                                : room_is_missing(job, room, "it is of another version");
}

GlnStatus gln_job_audio(const GlnJob *job, const GlnAudio **audio) {
  void *table = NULL;
  GLN_TRY(open_room(job, "audio", "gln_audio", &table));
  *audio = table;
  return table != NULL ? check_version(job, "audio", (*audio)->version) : GLN_SYSTEM;
}

GlnStatus gln_job_pages(const GlnJob *job, const GlnPages **pages) {
  void *table = NULL;
  GLN_TRY(open_room(job, "page", "gln_pages", &table));
  *pages = table;
  return table != NULL ? check_version(job, "page", (*pages)->version) : GLN_SYSTEM;
}
