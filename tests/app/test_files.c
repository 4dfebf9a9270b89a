/* Files whole or not at all: limits before reading, folders, devices, links, quotas. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "app.h"

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct Folder {
  char path[64];
  GlnArena *arena;
} Folder;

static int make_folder(void **state) {
  static Folder folder;
  (void)snprintf(folder.path, sizeof folder.path, "/tmp/gripline-files-XXXXXX");
  folder.arena = gln_arena_new(NULL, 0);
  *state = &folder;
  return folder.arena != NULL && mkdtemp(folder.path) != NULL ? 0 : -1;
}

/* How many files the folder holds; with remove, none afterwards. */
static int count_files(const Folder *folder, bool remove) {
  DIR *listing = opendir(folder->path);
  assert_non_null(listing);
  int count = 0;
  for (const struct dirent *entry = readdir(listing); entry != NULL; entry = readdir(listing)) {
    if (entry->d_name[0] == '.')
      continue;
    count++;
    if (remove)
      (void)unlinkat(dirfd(listing), entry->d_name, 0);
  }
  (void)closedir(listing);
  return count;
}

static int drop_folder(void **state) {
  Folder *folder = *state;
  (void)count_files(folder, true);
  gln_arena_free(folder->arena);
  return rmdir(folder->path);
}

static const char *in_folder(const Folder *folder, const char *name) {
  GlnBuffer path = gln_buffer(folder->arena);
  gln_buffer_format(&path, "%s/%s", folder->path, name);
  const char *text = gln_text_copy(folder->arena, gln_buffer_text(&path));
  assert_non_null(text);
  return text;
}

static void assert_holds(const Folder *folder, const char *path, const char *expected) {
  GlnText content = {NULL, 0};
  GlnFileFault fault = {{0}, {0}};
  assert_int_equal(gln_file_read(path, 4096, folder->arena, &content, &fault), GLN_OK);
  assert_true(gln_text_equal(content, gln_text(expected)));
}

static void test_written_is_read_back(void **state) {
  const Folder *folder = *state;
  const char *path = in_folder(folder, "a.chart");
  GlnFileFault fault = {{0}, {0}};
  assert_int_equal(gln_file_write(path, GLN_TEXT("| C |\n"), &fault), GLN_OK);
  assert_holds(folder, path, "| C |\n");
  assert_int_equal(gln_file_write(path, GLN_TEXT("| G |\n"), &fault), GLN_OK);
  assert_holds(folder, path, "| G |\n");
  assert_int_equal(gln_file_write(path, GLN_TEXT(""), &fault), GLN_OK);
  assert_holds(folder, path, "");
  assert_int_equal(count_files(folder, false), 1); /* nothing is left beside it */
}

static void test_permissions_are_kept(void **state) {
  const Folder *folder = *state;
  const char *path = in_folder(folder, "b.pdf");
  GlnFileFault fault = {{0}, {0}};
  struct stat about;
  mode_t mask = umask(022);
  assert_int_equal(gln_file_write(path, GLN_TEXT("1"), &fault), GLN_OK);
  (void)umask(mask);
  assert_int_equal(stat(path, &about), 0);
  assert_int_equal(about.st_mode & 0777, 0644);
  assert_int_equal(chmod(path, 0640), 0);
  assert_int_equal(gln_file_write(path, GLN_TEXT("2"), &fault), GLN_OK);
  assert_int_equal(stat(path, &about), 0);
  assert_int_equal(about.st_mode & 0777, 0640);
}

static void test_link_is_followed(void **state) {
  const Folder *folder = *state;
  const char *path = in_folder(folder, "real.mid"), *link = in_folder(folder, "link.mid");
  GlnFileFault fault = {{0}, {0}};
  struct stat about;
  assert_int_equal(gln_file_write(path, GLN_TEXT("old"), &fault), GLN_OK);
  assert_int_equal(symlink("real.mid", link), 0);
  assert_int_equal(gln_file_write(link, GLN_TEXT("new"), &fault), GLN_OK);
  assert_holds(folder, path, "new");
  assert_int_equal(lstat(link, &about), 0);
  assert_true(S_ISLNK(about.st_mode));
}

static void test_long_file_is_refused_unread(void **state) {
  const Folder *folder = *state;
  const char *path = in_folder(folder, "long.chart");
  int descriptor = open(path, O_WRONLY | O_CREAT, 0600);
  assert_true(descriptor >= 0);
  assert_int_equal(ftruncate(descriptor, 100 * 1000 * 1000), 0); /* a hole: takes no room */
  (void)close(descriptor);
  GlnText content = {NULL, 0};
  GlnFileFault fault = {{0}, {0}};
  size_t before = gln_arena_used(folder->arena);
  assert_int_equal(gln_file_read(path, (size_t)4 * 1024 * 1024, folder->arena, &content, &fault), GLN_LIMIT);
  assert_true(gln_arena_used(folder->arena) - before < 4096);
  assert_non_null(strstr(fault.problem, "4 MiB"));
}

static void test_limit_is_exact(void **state) {
  const Folder *folder = *state;
  const char *path = in_folder(folder, "ten.chart");
  GlnFileFault fault = {{0}, {0}};
  GlnText content = {NULL, 0};
  assert_int_equal(gln_file_write(path, GLN_TEXT("0123456789"), &fault), GLN_OK);
  assert_int_equal(gln_file_read(path, 10, folder->arena, &content, &fault), GLN_OK);
  assert_int_equal(content.length, 10);
  assert_int_equal(gln_file_read(path, 9, folder->arena, &content, &fault), GLN_LIMIT);
  assert_non_null(strstr(fault.problem, "9 bytes"));
}

static void test_stream_limit(void **state) {
  const Folder *folder = *state;
  GlnFileFault fault = {{0}, {0}};
  GlnText content = {NULL, 0};
  char bytes[] = "0123456789";
  FILE *stream = fmemopen(bytes, 10, "r");
  assert_non_null(stream);
  assert_int_equal(gln_stream_read(stream, 10, folder->arena, &content, &fault), GLN_OK);
  assert_int_equal(content.length, 10);
  rewind(stream);
  assert_int_equal(gln_stream_read(stream, 9, folder->arena, &content, &fault), GLN_LIMIT);
  (void)fclose(stream);
  /* A device that never ends. */
  assert_int_equal(gln_file_read("/dev/zero", 100000, folder->arena, &content, &fault), GLN_LIMIT);
}

static void test_what_cannot_be_read(void **state) {
  const Folder *folder = *state;
  GlnFileFault fault = {{0}, {0}};
  GlnText content = {NULL, 0};
  assert_int_equal(gln_file_read(in_folder(folder, "none.chart"), 100, folder->arena, &content, &fault),
                   GLN_INPUT);
  assert_string_equal(fault.problem, "there is no such file");
  assert_int_equal(gln_file_read(folder->path, 100, folder->arena, &content, &fault), GLN_INPUT);
  assert_string_equal(fault.problem, "this is a folder, not a file");
}

static void test_what_cannot_be_written(void **state) {
  const Folder *folder = *state;
  GlnFileFault fault = {{0}, {0}};
  assert_int_equal(gln_file_write(folder->path, GLN_TEXT("x"), &fault), GLN_SYSTEM);
  assert_int_equal(gln_file_write(in_folder(folder, "no/such.pdf"), GLN_TEXT("x"), &fault), GLN_SYSTEM);
  assert_string_equal(fault.advice, "make the folder first");
  assert_int_equal(count_files(folder, false), 0);
}

/* The device stays a device, and its fault is told. */
static void test_full_device(void **state) {
  (void)state;
  GlnFileFault fault = {{0}, {0}};
  struct stat about;
  assert_int_equal(gln_file_write("/dev/full", GLN_TEXT("x"), &fault), GLN_SYSTEM);
  assert_non_null(strstr(fault.problem, "No space left"));
  assert_int_equal(stat("/dev/full", &about), 0);
  assert_true(S_ISCHR(about.st_mode));
}

/* A file that does not fit leaves the old one as it was, and nothing beside it. */
static void test_quota_keeps_the_old_file(void **state) {
  const Folder *folder = *state;
  const char *path = in_folder(folder, "kept.pdf");
  GlnFileFault fault = {{0}, {0}};
  assert_int_equal(gln_file_write(path, GLN_TEXT("old"), &fault), GLN_OK);
  char *big = GLN_NEW(folder->arena, char, 100000);
  assert_non_null(big);
  struct rlimit before, small;
  assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
  small = before;
  small.rlim_cur = 4096;
  assert_true(signal(SIGXFSZ, SIG_IGN) != SIG_ERR);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
  GlnStatus status = gln_file_write(path, (GlnText){big, 100000}, &fault);
  assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
  assert_int_equal(status, GLN_SYSTEM);
  assert_non_null(strstr(fault.advice, "ulimit -f"));
  assert_holds(folder, path, "old");
  assert_int_equal(count_files(folder, false), 1);
}

static void test_full_stream(void **state) {
  (void)state;
  GlnFileFault fault = {{0}, {0}};
  FILE *full = fopen("/dev/full", "w");
  assert_non_null(full);
  assert_int_equal(gln_stream_write(full, GLN_TEXT("x"), &fault), GLN_SYSTEM);
  assert_non_null(strstr(fault.problem, "No space left"));
  (void)fclose(full);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, drop_folder)

int main(void) {
  const struct CMUnitTest tests[] = {
      IN_FOLDER(test_written_is_read_back), IN_FOLDER(test_permissions_are_kept),
      IN_FOLDER(test_link_is_followed),     IN_FOLDER(test_long_file_is_refused_unread),
      IN_FOLDER(test_limit_is_exact),       IN_FOLDER(test_stream_limit),
      IN_FOLDER(test_what_cannot_be_read),  IN_FOLDER(test_what_cannot_be_written),
      cmocka_unit_test(test_full_device),   IN_FOLDER(test_quota_keeps_the_old_file),
      cmocka_unit_test(test_full_stream),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
