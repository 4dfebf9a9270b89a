/* A file on its way: written beside its place, or nowhere to be seen, and put there whole when it is done. */
/* O_TMPFILE is Linux's; realpath is an XSI function. */
#define _GNU_SOURCE
#include "app_internal.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define COPY_CHUNK ((size_t)64 * 1024)

GlnStatus gln_write_fault(int error, GlnFileFault *fault) {
  gln_fault_say(fault->problem, sizeof fault->problem, "cannot write: %s", strerror(error));
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
  gln_fault_say(fault->advice, sizeof fault->advice, "%s", advice);
  return error == ENOMEM ? GLN_MEMORY : GLN_SYSTEM;
}

/* What a new file may be opened for: what umask leaves. */
static mode_t new_file_mode(void) {
  mode_t mask = umask(0);
  (void)umask(mask);
  return (mode_t)0666 & (mode_t)~mask;
}

/* The folder of a path, for open: "." where the path names none. False when it is too long. */
static bool folder_of(const char *path, char *folder, size_t size) {
  const char *slash = strrchr(path, '/');
  size_t length = slash == NULL ? 0 : (size_t)(slash - path) + 1;
  if (length + 2 > size)
    return false;
  memcpy(folder, path, length);
  memcpy(folder + length, slash == NULL ? "." : "", slash == NULL ? 2 : 1);
  return true;
}

/* 0, or the errno of what went wrong. A file without a name leaves nothing behind, whatever ends the program; where
 * the file system has none, it gets a name beside its place. */
static int begin(GlnDraft *draft, const char *path, mode_t mode) {
  char folder[PATH_MAX];
  size_t length = strlen(path);
  if (length >= sizeof draft->path || !folder_of(path, folder, sizeof folder))
    return ENAMETOOLONG;
  memcpy(draft->path, path, length + 1);
  draft->mode = mode;
  draft->descriptor = open(folder, O_TMPFILE | O_WRONLY | O_CLOEXEC, mode);
  if (draft->descriptor >= 0)
    return 0;
  int written = snprintf(draft->beside, sizeof draft->beside, "%s.XXXXXX", path);
  if (written < 0 || (size_t)written >= sizeof draft->beside)
    return ENAMETOOLONG;
  draft->descriptor = mkstemp(draft->beside);
  if (draft->descriptor >= 0)
    return 0;
  draft->beside[0] = '\0';
  return errno;
}

static int begin_at(GlnDraft *draft, const char *path) {
  struct stat about;
  if (stat(path, &about) != 0)
    return errno == ENOENT ? begin(draft, path, new_file_mode()) : errno;
  if (S_ISDIR(about.st_mode))
    return EISDIR;
  if (access(path, W_OK) != 0) /* a file marked read-only is not to be replaced */
    return errno;
  if (!S_ISREG(about.st_mode)) { /* a device or pipe: gathered first, for it cannot go back */
    draft->target = open(path, O_WRONLY | O_CLOEXEC | O_NOCTTY);
    if (draft->target < 0)
      return errno;
    draft->spool = tmpfile();
    draft->descriptor = draft->spool != NULL ? fileno(draft->spool) : -1;
    return draft->spool != NULL ? 0 : errno;
  }
  char *real = realpath(path, NULL);
  if (real == NULL)
    return errno;
  int error = begin(draft, real, about.st_mode & (mode_t)07777);
  free(real);
  return error;
}

GlnStatus gln_draft_open(const char *path, GlnDraft *draft, GlnFileFault *fault) {
  *draft = (GlnDraft){.descriptor = -1, .target = -1};
  draft->error = begin_at(draft, path);
  if (draft->error == 0)
    return GLN_OK;
  GlnStatus status = gln_write_fault(draft->error, fault);
  gln_draft_drop(draft);
  return status;
}

GlnStatus gln_draft_gather(FILE *stream, GlnDraft *draft, GlnFileFault *fault) {
  *draft = (GlnDraft){.descriptor = -1, .target = -1, .stream = stream, .spool = tmpfile()};
  if (draft->spool == NULL)
    return gln_write_fault(errno, fault);
  draft->descriptor = fileno(draft->spool);
  return GLN_OK;
}

static int write_all(int descriptor, const char *bytes, size_t count) {
  while (count > 0) {
    ssize_t done = write(descriptor, bytes, count);
    if (done < 0 && errno != EINTR)
      return errno;
    if (done > 0) {
      bytes += done;
      count -= (size_t)done;
    }
  }
  return 0;
}

bool gln_draft_write(void *data, const void *bytes, size_t count) {
  GlnDraft *draft = data;
  if (draft->error == 0)
    draft->error = write_all(draft->descriptor, bytes, count);
  return draft->error == 0;
}

bool gln_draft_seek(void *data, int64_t place) {
  GlnDraft *draft = data;
  if (draft->error == 0 && lseek(draft->descriptor, (off_t)place, SEEK_SET) < 0)
    draft->error = errno;
  return draft->error == 0;
}

static int pour_some(const GlnDraft *draft, const char *bytes, size_t count) {
  if (draft->stream == NULL)
    return write_all(draft->target, bytes, count);
  errno = 0;
  return fwrite(bytes, 1, count, draft->stream) == count && fflush(draft->stream) == 0 ? 0
         : errno != 0                                                                  ? errno
                                                                                       : EIO;
}

/* Copies what was gathered to the stream, the device or the pipe. */
static int pour(const GlnDraft *draft) {
  char chunk[COPY_CHUNK];
  if (lseek(draft->descriptor, 0, SEEK_SET) < 0)
    return errno;
  for (;;) {
    ssize_t count = read(draft->descriptor, chunk, sizeof chunk);
    if (count < 0 && errno != EINTR)
      return errno;
    if (count == 0)
      return 0;
    int error = count > 0 ? pour_some(draft, chunk, (size_t)count) : 0;
    if (error != 0)
      return error;
  }
}

/* Gives a file without a name one beside its place. */
static int give_name(GlnDraft *draft) {
  char self[64];
  int length = snprintf(self, sizeof self, "/proc/self/fd/%d", draft->descriptor);
  int written = snprintf(draft->beside, sizeof draft->beside, "%s.new-%ld", draft->path, (long)getpid());
  if (length < 0 || written < 0 || (size_t)written >= sizeof draft->beside)
    return ENAMETOOLONG;
  if (linkat(AT_FDCWD, self, AT_FDCWD, draft->beside, AT_SYMLINK_FOLLOW) == 0)
    return 0;
  draft->beside[0] = '\0'; /* what lies there is not ours */
  return errno;
}

/* The rename itself must reach the disk too; a file system that cannot sync a folder is no reason to fail. */
static void sync_folder(const char *path) {
  char folder[PATH_MAX];
  if (!folder_of(path, folder, sizeof folder))
    return;
  int descriptor = open(folder, O_RDONLY | O_CLOEXEC | O_DIRECTORY);
  if (descriptor < 0)
    return;
  (void)fsync(descriptor);
  (void)close(descriptor);
}

static int put_in_place(GlnDraft *draft) {
  if (fchmod(draft->descriptor, draft->mode) != 0 || fsync(draft->descriptor) != 0)
    return errno;
  int error = draft->beside[0] == '\0' ? give_name(draft) : 0;
  if (error == 0 && close(draft->descriptor) != 0)
    error = errno;
  draft->descriptor = -1;
  if (error == 0 && rename(draft->beside, draft->path) != 0)
    error = errno;
  if (error != 0)
    return error;
  draft->beside[0] = '\0';
  sync_folder(draft->path);
  return 0;
}

GlnStatus gln_draft_keep(GlnDraft *draft, GlnFileFault *fault) {
  if (draft->error == 0)
    draft->error = draft->spool != NULL ? pour(draft) : put_in_place(draft);
  if (draft->error == 0 && draft->target >= 0) {
    if (close(draft->target) != 0)
      draft->error = errno;
    draft->target = -1;
  }
  int error = draft->error;
  gln_draft_drop(draft);
  return error == 0 ? GLN_OK : gln_write_fault(error, fault);
}

void gln_draft_drop(GlnDraft *draft) {
  if (draft->spool != NULL)
    (void)fclose(draft->spool);
  else if (draft->descriptor >= 0)
    (void)close(draft->descriptor);
  if (draft->target >= 0)
    (void)close(draft->target);
  if (draft->beside[0] != '\0')
    (void)unlink(draft->beside);
  draft->spool = NULL;
  draft->descriptor = draft->target = -1;
  draft->beside[0] = '\0';
}
