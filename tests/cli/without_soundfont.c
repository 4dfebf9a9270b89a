/* Loaded before the program's libraries, it hides every soundfont of the machine: no file of that ending can be opened. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>

typedef FILE *(*Open)(const char *path, const char *mode);

FILE *fopen(const char *path, const char *mode);
FILE *fopen64(const char *path, const char *mode);

static FILE *open_unless_soundfont(const char *name, const char *path, const char *mode) {
  const char *dot = strrchr(path, '.');
  if (dot != NULL && (strcmp(dot, ".sf2") == 0 || strcmp(dot, ".sf3") == 0)) {
    errno = ENOENT;
    return NULL;
  }
  void *found = dlsym(RTLD_NEXT, name);
  Open open;
  memcpy(&open, &found, sizeof open); /* a function's address by way of an object's, as POSIX allows it */
  return open(path, mode);
}

FILE *fopen(const char *path, const char *mode) {
  return open_unless_soundfont("fopen", path, mode);
}

FILE *fopen64(const char *path, const char *mode) {
  return open_unless_soundfont("fopen64", path, mode);
}
