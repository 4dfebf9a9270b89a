/* The program: hands the process's streams and terminal to the app. */
#include "app.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

/* Narrower than this, tables do not fit; wider, lines are hard to read. Design choices. */
#define COLUMNS_MIN 40
#define COLUMNS_MAX 120

static size_t terminal_columns(void) {
  struct winsize size;
  if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0)
    return GLN_COLUMNS;
  size_t columns = size.ws_col;
  return columns < COLUMNS_MIN ? COLUMNS_MIN : columns > COLUMNS_MAX ? COLUMNS_MAX : columns;
}

/* NO_COLOR, set and not empty, turns styles off (no-color.org), as does TERM=dumb. */
static bool terminal_colour(void) {
  const char *no_colour = getenv("NO_COLOR");
  const char *terminal = getenv("TERM");
  return isatty(STDOUT_FILENO) && (no_colour == NULL || no_colour[0] == '\0') && terminal != NULL &&
         strcmp(terminal, "dumb") != 0;
}

int main(int argc, char *argv[]) {
  /* A full quota must come back as an error from write, not end the program with its file half made. */
  if (signal(SIGXFSZ, SIG_IGN) == SIG_ERR)
    return EXIT_FAILURE;
  const GlnApp app = {
      .in = stdin, .out = stdout, .err = stderr, .columns = terminal_columns(), .colour = terminal_colour()};
  return gln_app_run(&app, argc, argv);
}
