/* Files and streams, whole: read up to a limit, written so that nothing is ever half there. */
#include "app_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define READ_CHUNK ((size_t)64 * 1024)

void gln_fault_say(char *out, size_t size, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  /* A message too long for its place is cut, which is all that can be done with it. */
  (void)vsnprintf(out, size, format, arguments);
  va_end(arguments);
}

static void set_fault(GlnFileFault *fault, const char *problem, const char *advice) {
  gln_fault_say(fault->problem, sizeof fault->problem, "%s", problem);
  gln_fault_say(fault->advice, sizeof fault->advice, "%s", advice);
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
    gln_fault_say(fault->problem, sizeof fault->problem, "this path leads nowhere: %s", strerror(error));
    gln_fault_say(fault->advice, sizeof fault->advice, "check the name and the folder");
    return GLN_INPUT;
  case ENOMEM:
    set_fault(fault, "there is not enough memory to read this file", "");
    return GLN_MEMORY;
  default:
    gln_fault_say(fault->problem, sizeof fault->problem, "cannot read: %s", strerror(error));
    fault->advice[0] = '\0';
    return GLN_SYSTEM;
  }
}

static GlnStatus too_long(size_t limit_bytes, GlnFileFault *fault) {
  if (limit_bytes % (1024 * 1024) == 0)
    gln_fault_say(fault->problem, sizeof fault->problem, "longer than the %zu MiB that gripline reads",
                  limit_bytes / (1024 * 1024));
  else
    gln_fault_say(fault->problem, sizeof fault->problem, "longer than the %zu bytes that gripline reads",
                  limit_bytes);
  gln_fault_say(fault->advice, sizeof fault->advice, "check that this is the file you mean");
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

GlnStatus gln_file_write(const char *path, GlnText content, GlnFileFault *fault) {
  GlnDraft draft;
  GLN_TRY(gln_draft_open(path, &draft, fault));
  (void)gln_draft_write(&draft, content.at, content.length); /* it remembers, and keeping it says so */
  return gln_draft_keep(&draft, fault);
}

GlnStatus gln_stream_write(FILE *stream, GlnText content, GlnFileFault *fault) {
  errno = 0;
  if (content.length > 0 && fwrite(content.at, 1, content.length, stream) != content.length)
    return gln_write_fault(errno != 0 ? errno : EIO, fault);
  if (fflush(stream) != 0)
    return gln_write_fault(errno != 0 ? errno : EIO, fault);
  return GLN_OK;
}
