/* The program: hands the process's streams and terminal to the app. */
#include "app.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

/* Narrower than this, tables do not fit; wider, lines are hard to read. Design choices. */
#define COLUMNS_MIN      40
#define COLUMNS_MAX      120
#define FOLDER_BYTES_MAX 4096

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

/* How far the clock on the wall is ahead of UTC: the same moment written both ways. */
static int32_t seconds_ahead(time_t now) {
  struct tm wall, utc;
  if (localtime_r(&now, &wall) == NULL || gmtime_r(&now, &utc) == NULL)
    return 0;
  int days = wall.tm_year != utc.tm_year ? (wall.tm_year > utc.tm_year ? 1 : -1) : wall.tm_yday - utc.tm_yday;
  return ((days * 24 + wall.tm_hour - utc.tm_hour) * 60 + wall.tm_min - utc.tm_min) * 60 + wall.tm_sec -
         utc.tm_sec;
}

/* The folder for gripline's data by the XDG Base Directory Specification; NULL when there is no home. */
static const char *data_folder(char *out, size_t size) {
  const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
  int length = -1;
  if (data != NULL && data[0] == '/')
    length = snprintf(out, size, "%s/gripline", data);
  else if (home != NULL && home[0] == '/')
    length = snprintf(out, size, "%s/.local/share/gripline", home);
  return length > 0 && (size_t)length < size ? out : NULL;
}

/* One key, without the line end and without showing it. */
static int read_key(void) {
  struct termios kept;
  if (tcgetattr(STDIN_FILENO, &kept) != 0)
    return EOF;
  struct termios raw = kept;
  raw.c_lflag &= (tcflag_t) ~(ICANON | ECHO);
  raw.c_cc[VMIN] = 1;
  raw.c_cc[VTIME] = 0;
  unsigned char key = 0;
  if (tcsetattr(STDIN_FILENO, TCSANOW, &raw) != 0)
    return EOF;
  ssize_t count = read(STDIN_FILENO, &key, 1);
  (void)tcsetattr(STDIN_FILENO, TCSANOW, &kept);
  return count == 1 ? key : EOF;
}

int main(int argc, char *argv[]) {
  /* A full quota must come back as an error from write, not end the program with its file half made. */
  if (signal(SIGXFSZ, SIG_IGN) == SIG_ERR)
    return EXIT_FAILURE;
  const time_t now = time(NULL);
  char folder[FOLDER_BYTES_MAX];
  const GlnApp app = {.in = stdin,
                      .out = stdout,
                      .err = stderr,
                      .columns = terminal_columns(),
                      .colour = terminal_colour(),
                      .now = now,
                      .ahead = seconds_ahead(now),
                      .progress = isatty(STDERR_FILENO) != 0,
                      .data_folder = data_folder(folder, sizeof folder),
                      .key = isatty(STDIN_FILENO) ? read_key : NULL};
  return gln_app_run(&app, argc, argv);
}
