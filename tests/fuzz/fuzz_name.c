/* Any bytes as a file of grips without symbols, named as a progression by the command itself, for people and as JSON. */
#include "app.h"

#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds) {
  if (!holds)
    abort();
}

/* The whole of a long line takes its time in this build; its beginning tells enough. */
#define BYTES_MAX 200

static void run(const uint8_t *data, size_t size, int argc, char *const argv[]) {
  char *said = NULL, *complained = NULL;
  size_t said_size = 0, complained_size = 0;
  FILE *in = tmpfile(), *out = open_memstream(&said, &said_size),
       *err = open_memstream(&complained, &complained_size);
  must(in != NULL && out != NULL && err != NULL);
  must(fwrite(data, 1, size, in) == size);
  rewind(in);
  const GlnApp app = {.in = in, .out = out, .err = err, .columns = 80};
  int status = gln_app_run(&app, argc, argv);
  (void)fclose(in);
  (void)fclose(out);
  (void)fclose(err);
  must(status == 0 || status == 1 || status == 3);
  must((status == 0) == (complained_size == 0));
  must(status != 0 || said_size > 0);
  must(status != 3 || said_size == 0);
  free(said);
  free(complained);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  static char program[] = "gripline", command[] = "name", option[] = "--line", from[] = "-",
              json[] = "--json";
  char *const words[] = {program, command, option, from, NULL};
  char *const document[] = {program, command, option, from, json, NULL};
  size = size < BYTES_MAX ? size : BYTES_MAX;
  run(data, size, 4, words);
  run(data, size, 5, document);
  return 0;
}
