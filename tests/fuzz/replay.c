/* Feeds every file of the corpus folders to a fuzz target, whole and cut short: what a fuzzer once found
 * stays found, with any compiler. */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* At most so many cuts of one file, evenly spread, so that a long file costs no more than a short one. */
#define CUTS_MAX 256

/* Each input in a block of exactly its size, so that a sanitizer sees a read past its end. */
static void feed(const uint8_t *data, size_t size) {
  uint8_t *copy = malloc(size > 0 ? size : 1);
  if (copy == NULL)
    abort();
  memcpy(copy, data, size);
  (void)LLVMFuzzerTestOneInput(copy, size);
  free(copy);
}

static void feed_file(const char *path) {
  FILE *file = fopen(path, "rb");
  if (file == NULL || fseek(file, 0, SEEK_END) != 0) {
    perror(path);
    exit(1);
  }
  long size = ftell(file);
  uint8_t *data = malloc(size > 0 ? (size_t)size : 1);
  if (size < 0 || data == NULL || fseek(file, 0, SEEK_SET) != 0 ||
      fread(data, 1, (size_t)size, file) != (size_t)size || fclose(file) != 0) {
    perror(path);
    exit(1);
  }
  size_t step = (size_t)size / CUTS_MAX + 1;
  for (size_t cut = 0; cut < (size_t)size; cut += step)
    feed(data, cut);
  feed(data, (size_t)size);
  free(data);
}

static size_t feed_folder(const char *folder) {
  DIR *entries = opendir(folder);
  if (entries == NULL) {
    perror(folder);
    exit(1);
  }
  size_t files = 0;
  for (struct dirent *entry = readdir(entries); entry != NULL; entry = readdir(entries)) {
    char path[4096];
    if (entry->d_name[0] == '.')
      continue;
    if (snprintf(path, sizeof path, "%s/%s", folder, entry->d_name) >= (int)sizeof path)
      exit(1);
    feed_file(path);
    files++;
  }
  (void)closedir(entries);
  return files;
}

int main(int argc, char **argv) {
  size_t files = 0;
  for (int i = 1; i < argc; i++)
    files += feed_folder(argv[i]);
  (void)printf("%zu files replayed\n", files);
  return files > 0 ? 0 : 1;
}
