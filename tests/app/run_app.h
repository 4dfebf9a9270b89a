/* Drives a whole command through its streams, for the tests of this room. */
#ifndef RUN_APP_H
#define RUN_APP_H

#include "app.h"
#include "app_internal.h"

#include <stdlib.h>
#include <string.h>

typedef struct Ran {
  int status;
  char *out, *err;
} Ran;

static Ran run(size_t columns, bool colour, const char *input, int argc, char *const argv[]) {
  Ran ran = {0};
  size_t out_size = 0, err_size = 0;
  char *copy = strdup(input);
  assert_non_null(copy);
  FILE *in = fmemopen(copy, strlen(copy) > 0 ? strlen(copy) : 1, "r");
  FILE *out = open_memstream(&ran.out, &out_size), *err = open_memstream(&ran.err, &err_size);
  assert_true(in != NULL && out != NULL && err != NULL);
  const GlnApp app = {.in = in, .out = out, .err = err, .columns = columns, .colour = colour};
  ran.status = gln_app_run(&app, argc, argv);
  (void)fclose(in);
  (void)fclose(out);
  (void)fclose(err);
  free(copy);
  return ran;
}

static void drop(Ran *ran) {
  free(ran->out);
  free(ran->err);
}

#define RUN(columns, colour, input, ...)                                                                     \
  run(columns, colour, input, (int)(sizeof((char *const[]){__VA_ARGS__}) / sizeof(char *)),                  \
      (char *const[]){__VA_ARGS__, NULL})

#endif
