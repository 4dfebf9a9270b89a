/* The program: hands the process's streams and terminal to the app. */
#include "app.h"

#include <errno.h>
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

/* ---- a key without its line end ------------------------------------------------------------------------------------- */

/* What ends or stops a program while it waits for a key: the terminal is put back first. */
static const int leaving[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGTSTP};
#define LEAVING (sizeof leaving / sizeof *leaving)

/* A signal handler has nothing else to go by. */
static struct termios kept, raw;

static void on_leaving(int number);

static void listen_for(int number, struct sigaction *before) {
  struct sigaction action = {.sa_handler = on_leaving};
  action.sa_flags = (int)(SA_RESETHAND | SA_NODEFER); /* raised again, it does what it always did */
  (void)sigemptyset(&action.sa_mask);
  struct sigaction now;
  if (sigaction(number, NULL, &now) != 0)
    return;
  if (before != NULL)
    *before = now;
  if (now.sa_handler != SIG_IGN) /* nohup: what is ignored stays so */
    (void)sigaction(number, &action, NULL);
}

/* Only calls that are safe in a handler (POSIX, 2.4.3). */
static void on_leaving(int number) {
  const int error = errno;
  (void)tcsetattr(STDIN_FILENO, TCSANOW, &kept);
  (void)raise(number);
  /* Here again after a stop: the shell has let the program go on. */
  listen_for(number, NULL);
  (void)tcsetattr(STDIN_FILENO, TCSANOW, &raw);
  errno = error;
}

/* One key, without the line end and without showing it. */
static int read_key(void) {
  if (tcgetattr(STDIN_FILENO, &kept) != 0)
    return EOF;
  raw = kept;
  raw.c_lflag &= (tcflag_t) ~(ICANON | ECHO);
  raw.c_cc[VMIN] = 1;
  raw.c_cc[VTIME] = 0;
  struct sigaction before[LEAVING] = {{.sa_flags = 0}};
  for (size_t i = 0; i < LEAVING; i++)
    listen_for(leaving[i], &before[i]);
  unsigned char key = 0;
  ssize_t count = -1;
  if (tcsetattr(STDIN_FILENO, TCSANOW, &raw) == 0)
    do
      count = read(STDIN_FILENO, &key, 1);
    while (count < 0 && errno == EINTR);
  (void)tcsetattr(STDIN_FILENO, TCSANOW, &kept);
  for (size_t i = 0; i < LEAVING; i++)
    (void)sigaction(leaving[i], &before[i], NULL);
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
