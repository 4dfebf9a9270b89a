/* Files and streams, whole: read up to a limit, written so that nothing is ever half there. */
/* realpath is an XSI function. */
#define _XOPEN_SOURCE 700 /* NOLINT(bugprone-reserved-identifier): the name the system asks for */
#include "app.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define READ_CHUNK ((size_t)64 * 1024)

__attribute__((format(printf, 3, 4))) static void say(char *out, size_t size, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  /* A message too long for its place is cut, which is all that can be done with it. */
  (void)vsnprintf(out, size, format, arguments);
  va_end(arguments);
}

static void set_fault(GlnFileFault *fault, const char *problem, const char *advice) {
  say(fault->problem, sizeof fault->problem, "%s", problem);
  say(fault->advice, sizeof fault->advice, "%s", advice);
}

/* ---- reading ------------------------------------------------------------------------------------------------ */

static GlnStatus read_fault(int error, GlnFileFault *fault) {
  switch (error) {
  case ENOENT:
    set_fault(fault, "there is no such file", "check the name and the folder");
    return GLN_INPUT;
  case EACCES:
  case EPERM:
    set_fault(fault, "you are not allowed to read this file", "check its permissions");
    return GLN_INPUT;
  case EISDIR:
    set_fault(fault, "this is a folder, not a file", "give the file inside it");
    return GLN_INPUT;
  case ENOTDIR:
  case ELOOP:
  case ENAMETOOLONG:
    say(fault->problem, sizeof fault->problem, "this path leads nowhere: %s", strerror(error));
    say(fault->advice, sizeof fault->advice, "check the name and the folder");
    return GLN_INPUT;
  case ENOMEM:
    set_fault(fault, "there is not enough memory to read this file", "");
    return GLN_MEMORY;
  default:
    say(fault->problem, sizeof fault->problem, "cannot read: %s", strerror(error));
    fault->advice[0] = '\0';
    return GLN_SYSTEM;
  }
}

static GlnStatus too_long(size_t limit_bytes, GlnFileFault *fault) {
  if (limit_bytes % (1024 * 1024) == 0)
    say(fault->problem, sizeof fault->problem, "longer than the %zu MiB that gripline reads",
        limit_bytes / (1024 * 1024));
  else
    say(fault->problem, sizeof fault->problem, "longer than the %zu bytes that gripline reads", limit_bytes);
  say(fault->advice, sizeof fault->advice, "check that this is the file you mean");
  return GLN_LIMIT;
}

/* Grows the content by chunks. read_some returns the bytes it put there, 0 at the end, -1 on error (errno). */
typedef struct Source {
  int descriptor; /* or -1 and a stream */
  FILE *stream;
} Source;

static ssize_t read_some(const Source *source, char *into, size_t size) {
  if (source->stream != NULL) {
    errno = 0;
    size_t count = fread(into, 1, size, source->stream);
    return count == 0 && ferror(source->stream) ? -1 : (ssize_t)count;
  }
  ssize_t count;
  do
    count = read(source->descriptor, into, size);
  while (count < 0 && errno == EINTR);
  return count;
}

static GlnStatus read_all(const Source *source, size_t limit_bytes, GlnArena *arena, GlnText *content,
                          GlnFileFault *fault) {
  GlnBuffer buffer = gln_buffer(arena);
  char *chunk = GLN_NEW(arena, char, READ_CHUNK);
  if (chunk == NULL)
    return read_fault(ENOMEM, fault);
  for (;;) {
    ssize_t count = read_some(source, chunk, READ_CHUNK);
    if (count < 0)
      return read_fault(errno != 0 ? errno : EIO, fault);
    if (count == 0)
      break;
    if ((size_t)count > limit_bytes - buffer.length)
      return too_long(limit_bytes, fault);
    gln_buffer_add(&buffer, (GlnText){chunk, (size_t)count});
  }
  if (gln_buffer_status(&buffer) != GLN_OK)
    return read_fault(ENOMEM, fault);
  *content = gln_buffer_text(&buffer);
  return GLN_OK;
}

static GlnStatus read_descriptor(int descriptor, size_t limit_bytes, GlnArena *arena, GlnText *content,
                                 GlnFileFault *fault) {
  struct stat about;
  if (fstat(descriptor, &about) != 0)
    return read_fault(errno, fault);
  if (S_ISDIR(about.st_mode))
    return read_fault(EISDIR, fault);
  if (S_ISREG(about.st_mode) && about.st_size > 0 && (uintmax_t)about.st_size > limit_bytes)
    return too_long(limit_bytes, fault);
  const Source source = {descriptor, NULL};
  return read_all(&source, limit_bytes, arena, content, fault);
}

GlnStatus gln_file_read(const char *path, size_t limit_bytes, GlnArena *arena, GlnText *content,
                        GlnFileFault *fault) {
  int descriptor = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
  if (descriptor < 0)
    return read_fault(errno, fault);
  GlnStatus status = read_descriptor(descriptor, limit_bytes, arena, content, fault);
  (void)close(descriptor); /* only read from: nothing can be lost */
  return status;
}

GlnStatus gln_stream_read(FILE *stream, size_t limit_bytes, GlnArena *arena, GlnText *content,
                          GlnFileFault *fault) {
  const Source source = {-1, stream};
  return read_all(&source, limit_bytes, arena, content, fault);
}

/* ---- writing ---------------------------------------------------------------------------------------------------- */

static GlnStatus write_fault(int error, GlnFileFault *fault) {
  say(fault->problem, sizeof fault->problem, "cannot write: %s", strerror(error));
  const char *advice = "";
  if (error == ENOSPC || error == EDQUOT)
    advice = "make room and try again; nothing was changed";
  else if (error == EFBIG)
    advice = "raise the limit on file sizes (ulimit -f) and try again; nothing was changed";
  else if (error == ENOENT || error == ENOTDIR)
    advice = "make the folder first";
  else if (error == EISDIR)
    advice = "give the name of a file inside it";
  else if (error == EACCES || error == EPERM || error == EROFS)
    advice = "choose a folder you may write to";
  say(fault->advice, sizeof fault->advice, "%s", advice);
  return error == ENOMEM ? GLN_MEMORY : GLN_SYSTEM;
}

/* 0, or the errno of what went wrong. */
static int write_all(int descriptor, GlnText content) {
  size_t done = 0;
  while (done < content.length) {
    ssize_t count = write(descriptor, content.at + done, content.length - done);
    if (count < 0 && errno != EINTR)
      return errno;
    if (count > 0)
      done += (size_t)count;
  }
  return 0;
}

static int write_straight(const char *path, GlnText content) {
  int descriptor = open(path, O_WRONLY | O_CLOEXEC | O_NOCTTY);
  if (descriptor < 0)
    return errno;
  int error = write_all(descriptor, content);
  if (close(descriptor) != 0 && error == 0)
    error = errno;
  return error;
}

/* The rename itself must reach the disk too; a file system that cannot sync a folder is no reason to fail. */
static void sync_folder(const char *path) {
  char folder[PATH_MAX];
  const char *slash = strrchr(path, '/');
  size_t length = slash == NULL ? 0 : (size_t)(slash - path) + 1;
  if (length >= sizeof folder)
    return;
  memcpy(folder, path, length);
  memcpy(folder + length, slash == NULL ? "." : "", slash == NULL ? 2 : 1);
  int descriptor = open(folder, O_RDONLY | O_CLOEXEC | O_DIRECTORY);
  if (descriptor < 0)
    return;
  (void)fsync(descriptor);
  (void)close(descriptor);
}

/* What a new file may be opened for: what umask leaves. */
static mode_t new_file_mode(void) {
  mode_t mask = umask(0);
  (void)umask(mask);
  return (mode_t)0666 & (mode_t)~mask;
}

static int write_beside(const char *path, mode_t mode, GlnText content) {
  char beside[PATH_MAX];
  int length = snprintf(beside, sizeof beside, "%s.XXXXXX", path);
  if (length < 0 || (size_t)length >= sizeof beside)
    return ENAMETOOLONG;
  int descriptor = mkstemp(beside);
  if (descriptor < 0)
    return errno;
  int error = write_all(descriptor, content);
  if (error == 0 && fchmod(descriptor, mode) != 0)
    error = errno;
  if (error == 0 && fsync(descriptor) != 0)
    error = errno;
  if (close(descriptor) != 0 && error == 0)
    error = errno;
  if (error == 0 && rename(beside, path) != 0)
    error = errno;
  if (error != 0)
    (void)unlink(beside);
  else
    sync_folder(path);
  return error;
}

static int write_path(const char *path, GlnText content) {
  struct stat about;
  if (stat(path, &about) != 0)
    return errno == ENOENT ? write_beside(path, new_file_mode(), content) : errno;
  if (S_ISDIR(about.st_mode))
    return EISDIR;
  if (!S_ISREG(about.st_mode))
    return write_straight(path, content);
  if (access(path, W_OK) != 0) /* a file marked read-only is not to be replaced */
    return errno;
  char *real = realpath(path, NULL);
  if (real == NULL)
    return errno;
  int error = write_beside(real, about.st_mode & (mode_t)07777, content);
  free(real);
  return error;
}

GlnStatus gln_file_write(const char *path, GlnText content, GlnFileFault *fault) {
  int error = write_path(path, content);
  return error == 0 ? GLN_OK : write_fault(error, fault);
}

GlnStatus gln_stream_write(FILE *stream, GlnText content, GlnFileFault *fault) {
  errno = 0;
  if (content.length > 0 && fwrite(content.at, 1, content.length, stream) != content.length)
    return write_fault(errno != 0 ? errno : EIO, fault);
  if (fflush(stream) != 0)
    return write_fault(errno != 0 ? errno : EIO, fault);
  return GLN_OK;
}
