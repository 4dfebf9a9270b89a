/* gripline log at a terminal: however it ends, the terminal shows what is typed again. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include <stdbool.h>

#include <fcntl.h>
#include <pty.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>
#include <utmp.h>

static const char *gripline;                            /* the program */
static char folder[] = "/tmp/gripline-terminal-XXXXXX"; /* its data */

typedef struct Terminal {
  pid_t shell, program;
  int master, slave; /* the slave is held open: what the program leaves behind can be looked at */
} Terminal;

/* What a shell does: the program is a job of its own before the terminal, and its end is told. */
static void be_shell(const Terminal *terminal, int tell) {
  (void)close(terminal->master);
  if (login_tty(terminal->slave) != 0 || setenv("XDG_DATA_HOME", folder, 1) != 0 ||
      signal(SIGTTOU, SIG_IGN) == SIG_ERR)
    _exit(127);
  pid_t program = fork();
  if (program == 0) {
    if (setpgid(0, 0) != 0 || tcsetpgrp(STDIN_FILENO, getpid()) != 0 || signal(SIGTTOU, SIG_DFL) == SIG_ERR)
      _exit(127);
    (void)execl(gripline, "gripline", "log", "examples/ferry-at-low-tide.chart", (char *)NULL);
    _exit(127);
  }
  int status = 0;
  if (write(tell, &program, sizeof program) != sizeof program || waitpid(program, &status, 0) != program ||
      write(tell, &status, sizeof status) != sizeof status)
    _exit(127);
  _exit(0);
}

static int told; /* where the shell of the last start tells the program's number and its end */

static void start(Terminal *terminal) {
  int ends[2];
  assert_int_equal(openpty(&terminal->master, &terminal->slave, NULL, NULL, NULL), 0);
  assert_int_equal(pipe(ends), 0);
  terminal->shell = fork();
  assert_true(terminal->shell >= 0);
  if (terminal->shell == 0)
    be_shell(terminal, ends[1]);
  told = ends[0];
  assert_int_equal(close(ends[1]), 0);
  assert_int_equal(read(told, &terminal->program, sizeof terminal->program), sizeof terminal->program);
}

static void wait_a_little(void) {
  (void)nanosleep(&(struct timespec){.tv_nsec = 5000000}, NULL);
}

static bool waits_for_key(const Terminal *terminal) {
  struct termios now;
  assert_int_equal(tcgetattr(terminal->slave, &now), 0);
  return (now.c_lflag & (ICANON | ECHO)) == 0;
}

static bool is_as_before(const Terminal *terminal) {
  struct termios now;
  assert_int_equal(tcgetattr(terminal->slave, &now), 0);
  return (now.c_lflag & (ICANON | ECHO)) == (ICANON | ECHO);
}

/* Waits, a minute at most, until the terminal is as asked; reads along what the program says. */
static bool comes_to(const Terminal *terminal, bool (*is)(const Terminal *)) {
  char said[4096];
  assert_int_equal(fcntl(terminal->master, F_SETFL, O_NONBLOCK), 0);
  for (int n = 0; n < 12000; n++) {
    while (read(terminal->master, said, sizeof said) > 0)
      continue;
    if (is(terminal))
      return true;
    wait_a_little();
  }
  return false;
}

static int end_of(const Terminal *terminal) {
  char said[4096];
  int status = 0;
  assert_int_equal(fcntl(told, F_SETFL, O_NONBLOCK), 0);
  for (int n = 0; n < 12000; n++) {
    while (read(terminal->master, said, sizeof said) > 0)
      continue;
    if (read(told, &status, sizeof status) == sizeof status)
      return status;
    wait_a_little();
  }
  fail_msg("it goes on for more than a minute");
  return status;
}

static void leave(const Terminal *terminal) {
  assert_int_equal(waitpid(terminal->shell, NULL, 0), terminal->shell);
  assert_int_equal(close(terminal->master), 0);
  assert_int_equal(close(terminal->slave), 0);
  assert_int_equal(close(told), 0);
}

static void type(const Terminal *terminal, const char *keys) {
  assert_int_equal(write(terminal->master, keys, strlen(keys)), (ssize_t)strlen(keys));
}

/* By a key or a signal, at the first question and after three answers. */
static void test_ended_by_signal(void **state) {
  (void)state;
  static const struct {
    const char *keys;
    int number;
  } ends[] = {{"\003", SIGINT}, {"\034", SIGQUIT}, {NULL, SIGTERM}, {NULL, SIGHUP}, {NULL, SIGINT}};
  for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
    for (int answers = 0; answers <= 3; answers += 3) {
      Terminal terminal;
      start(&terminal);
      assert_true(comes_to(&terminal, waits_for_key));
      type(&terminal, answers > 0 ? "312" : "");
      assert_true(comes_to(&terminal, waits_for_key));
      if (ends[i].keys != NULL)
        type(&terminal, ends[i].keys);
      else
        assert_int_equal(kill(terminal.program, ends[i].number), 0);
      int status = end_of(&terminal);
      assert_true(WIFSIGNALED(status));
      assert_int_equal(WTERMSIG(status), ends[i].number);
      assert_true(is_as_before(&terminal));
      leave(&terminal);
    }
}

/* q ends the program, and puts the terminal back. */
static void leave_by_key(Terminal *terminal) {
  type(terminal, "q");
  int status = end_of(terminal);
  assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  assert_true(is_as_before(terminal));
  leave(terminal);
}

static void test_ended_by_key(void **state) {
  (void)state;
  Terminal terminal;
  start(&terminal);
  assert_true(comes_to(&terminal, waits_for_key));
  leave_by_key(&terminal);
}

/* Stopped, the shell has its terminal back; gone on with, the next key is read as before. */
static void test_stopped(void **state) {
  (void)state;
  Terminal terminal;
  start(&terminal);
  assert_true(comes_to(&terminal, waits_for_key));
  for (int twice = 0; twice < 2; twice++) {
    assert_int_equal(kill(terminal.program, SIGTSTP), 0);
    assert_true(comes_to(&terminal, is_as_before));
    assert_int_equal(kill(terminal.program, SIGCONT), 0);
    assert_true(comes_to(&terminal, waits_for_key));
  }
  leave_by_key(&terminal);
}

int main(int argc, char *argv[]) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_ended_by_signal),
                                     cmocka_unit_test(test_ended_by_key), cmocka_unit_test(test_stopped)};
  if (argc != 2 || mkdtemp(folder) == NULL)
    return 2;
  gripline = argv[1];
  int failed = cmocka_run_group_tests(tests, NULL, NULL);
  return failed + (rmdir(folder) == 0 ? 0 : 1); /* nothing was rated to its end: nothing is left behind */
}
