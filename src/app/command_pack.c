/* gripline pack: all hand-outs of many songs at once. */
#include "performing.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/* What is made of each song. X(name, ending). */
#define PACK_LIST(X)                                                                                         \
  X(PACK_SHEET, "pdf")                                                                                       \
  X(PACK_NOTES, "txt")                                                                                       \
  X(PACK_MIDI, "mid")                                                                                        \
  X(PACK_SOUND, "wav")
typedef enum Piece {
#define PACK_NAME(name, ending) name,
  PACK_LIST(PACK_NAME)
#undef PACK_NAME
      PACK_COUNT
} Piece;
static const char *const endings[PACK_COUNT] = {
#define PACK_ENDING(name, ending) [name] = (ending),
    PACK_LIST(PACK_ENDING)
#undef PACK_ENDING
};

#define WORKERS_MAX 64
#define BAR_COLUMNS 30

/* A song that is worked on in a process of its own, so that whatever befalls it befalls no other. */
typedef struct Worker {
  pid_t process; /* 0: free */
  size_t song;
  FILE *messages;
} Worker;

typedef struct Pack {
  GlnJob *job;
  const char *folder;
  char *const *songs;
  size_t count, begun, done, failed;
  GlnStatus worst;
  Worker workers[WORKERS_MAX];
  size_t worker_count;
  GlnText *students; /* for whom there are plans */
  size_t student_count;
} Pack;

/* ---- one song -------------------------------------------------------------------------------------------------- */

/* "songs/tide.chart" is called tide. */
static GlnText song_name(const char *path) {
  const char *slash = strrchr(path, '/');
  GlnText name = gln_text(slash != NULL ? slash + 1 : path);
  for (size_t i = name.length; i > 1; i--)
    if (name.at[i - 1] == '.')
      return gln_text_slice(name, 0, i - 1);
  return name;
}

static GlnBuffer begin_path(const GlnJob *job, const char *folder) {
  GlnBuffer path = gln_buffer(job->arena);
  gln_buffer_format(&path, "%s/", folder);
  gln_buffer_add(&path, song_name(job->arguments.operand));
  gln_buffer_add_byte(&path, '.');
  return path;
}

static const char *piece_path(const GlnJob *job, const char *folder, Piece piece) {
  GlnBuffer path = begin_path(job, folder);
  gln_buffer_add_string(&path, endings[piece]);
  return gln_text_copy(job->arena, gln_buffer_text(&path));
}

/* "tide.plan.Ann.pdf"; what no file's name can hold becomes its number, as in %2F, so that no two names are one. */
static const char *plan_path(const GlnJob *job, const char *folder, GlnText student) {
  static const char digits[] = "0123456789ABCDEF";
  GlnBuffer path = begin_path(job, folder);
  gln_buffer_add_string(&path, "plan.");
  for (size_t i = 0; i < student.length; i++) {
    unsigned char byte = (unsigned char)student.at[i];
    if (byte >= ' ' && byte != 0x7F && byte != '/' && byte != '%') {
      gln_buffer_add_byte(&path, (char)byte);
      continue;
    }
    gln_buffer_add_byte(&path, '%');
    gln_buffer_add_byte(&path, digits[byte >> 4]);
    gln_buffer_add_byte(&path, digits[byte & 15]);
  }
  gln_buffer_add_string(&path, ".pdf");
  return gln_text_copy(job->arena, gln_buffer_text(&path));
}

static GlnStatus write_piece(const GlnJob *job, const char *path, const GlnBuffer *content) {
  GLN_TRY(gln_buffer_status(content));
  GlnFileFault fault = {{0}, {0}};
  GlnStatus status = gln_file_write(path, gln_buffer_text(content), &fault);
  return status == GLN_OK ? GLN_OK : gln_job_complain_of_file(job, status, gln_text(path), &fault);
}

static GlnStatus make_piece(const GlnJob *job, const char *path, Piece piece,
                            const GlnArrangement *arrangement, const GlnRehearsal *rehearsal,
                            const GlnPerformance *performance) {
  GlnBuffer content = gln_buffer(job->arena);
  switch (piece) {
  case PACK_SHEET:
    GLN_TRY(gln_job_sheet(job, arrangement, GLN_PAGE_PDF, &content));
    break;
  case PACK_NOTES:
    GLN_TRY(gln_add_song_notes(job, arrangement, &content));
    break;
  case PACK_MIDI:
    GLN_TRY(gln_job_midi(job, arrangement, rehearsal, performance, &content));
    break;
  case PACK_SOUND:
    return gln_job_audio_file(job, arrangement, performance, path, GLN_AUDIO_WAV);
  case PACK_COUNT:
    return GLN_OK;
  }
  return write_piece(job, path, &content);
}

static GlnStatus make_plan(const GlnJob *job, const char *folder, const GlnArrangement *arrangement,
                           GlnText student) {
  const char *path = plan_path(job, folder, student);
  if (path == NULL)
    return GLN_MEMORY;
  GlnPlanning planning;
  GLN_TRY(gln_job_plan_of(job, arrangement, student, true, &planning));
  GlnBuffer content = gln_buffer(job->arena);
  GLN_TRY(gln_job_plan_sheet(job, &planning, GLN_PAGE_PDF, &content));
  return write_piece(job, path, &content);
}

/* All pieces; one that fails does not keep the others from being made. */
static GlnStatus pack_song(GlnJob *job, const Pack *pack) {
  GlnArrangement arrangement;
  GLN_TRY(gln_job_arrange(job, &arrangement));
  GlnRehearsal rehearsal;
  GLN_TRY(gln_job_rehearsal(job, &arrangement, &rehearsal));
  GlnPerformance *performance = NULL;
  GLN_TRY(gln_job_perform(job, &arrangement, &rehearsal, &performance));
  GlnStatus worst = GLN_OK;
  for (int piece = 0; piece < PACK_COUNT; piece++) {
    const char *path = piece_path(job, pack->folder, (Piece)piece);
    if (path == NULL)
      return GLN_MEMORY;
    GlnStatus status = make_piece(job, path, (Piece)piece, &arrangement, &rehearsal, performance);
    if (status == GLN_NO)
      status = GLN_SYSTEM; /* no soundfont: said already */
    worst = status > worst ? status : worst;
  }
  for (size_t i = 0; i < pack->student_count; i++) {
    GlnStatus status = make_plan(job, pack->folder, &arrangement, pack->students[i]);
    worst = status > worst ? status : worst;
  }
  return worst;
}

/* In the song's own process: its exit status. */
static int run_worker(const Pack *pack, const Worker *worker) {
  GlnApp app = *pack->job->app;
  app.err = worker->messages;
  app.progress = false;
  GlnJob job = {
      .app = &app, .arguments = pack->job->arguments, .arena = gln_arena_new(NULL, GLN_JOB_BYTES_MAX)};
  GlnStatus status = GLN_MEMORY;
  if (job.arena != NULL) {
    job.out = gln_buffer(job.arena);
    job.arguments.operand = pack->songs[worker->song];
    status = pack_song(&job, pack);
  }
  if (status == GLN_MEMORY)
    (void)fprintf(app.err, "%s: error: out of memory; try a shorter chart\n", pack->songs[worker->song]);
  gln_arena_free(job.arena);
  return fflush(app.err) == 0 ? (int)status : (int)GLN_SYSTEM;
}

/* ---- all songs -------------------------------------------------------------------------------------------------- */

static void show_bar(const Pack *pack) {
  if (!pack->job->app->progress)
    return;
  FILE *err = pack->job->app->err;
  size_t full = pack->done * BAR_COLUMNS / pack->count;
  /* A message that cannot be delivered has nowhere left to go. */
  (void)fprintf(err, "\r[");
  for (size_t i = 0; i < BAR_COLUMNS; i++)
    (void)fputc(i < full ? '=' : ' ', err);
  (void)fprintf(err, "] %zu of %zu songs", pack->done, pack->count);
  (void)fflush(err);
}

static void clear_bar(const Pack *pack) {
  if (pack->job->app->progress)
    (void)fprintf(pack->job->app->err, "\r%*s\r", BAR_COLUMNS + 30, "");
}

static GlnStatus begin_song(Pack *pack, Worker *worker) {
  FILE *messages = tmpfile();
  if (messages == NULL)
    return gln_job_complain(pack->job, GLN_SYSTEM, "make some room in /tmp", "no temporary file: %s",
                            strerror(errno));
  Worker begun = {.song = pack->begun, .messages = messages};
  (void)fflush(NULL); /* or the new process would write what waits in our buffers a second time */
  begun.process = fork();
  if (begun.process == 0)
    _exit(run_worker(pack, &begun));
  if (begun.process < 0) {
    (void)fclose(messages);
    return gln_job_complain(pack->job, GLN_SYSTEM, "end some programs and try again", "no new process: %s",
                            strerror(errno));
  }
  *worker = begun;
  pack->begun++;
  return GLN_OK;
}

/* What the song's process had to say, in one piece. */
static void pass_on_messages(const Pack *pack, const Worker *worker) {
  char chunk[4096];
  size_t count;
  rewind(worker->messages);
  while ((count = fread(chunk, 1, sizeof chunk, worker->messages)) > 0)
    (void)fwrite(chunk, 1, count, pack->job->app->err);
  (void)fclose(worker->messages); /* only read from */
}

static void end_song(Pack *pack, Worker *worker, int result) {
  const char *song = pack->songs[worker->song];
  GlnStatus status = WIFEXITED(result) ? (GlnStatus)WEXITSTATUS(result) : GLN_SYSTEM;
  clear_bar(pack);
  pass_on_messages(pack, worker);
  if (!WIFEXITED(result))
    (void)gln_job_complain(pack->job, status, "please report this with the chart",
                           "%s: gripline broke down over it", song);
  else if (status != GLN_OK)
    (void)gln_job_complain(pack->job, status, "its messages stand above", "%s is not packed, or not whole",
                           song);
  pack->failed += status != GLN_OK;
  pack->worst = status > pack->worst ? status : pack->worst;
  pack->done++;
  worker->process = 0;
  show_bar(pack);
}

/* Waits for one of the songs. */
static GlnStatus await_song(Pack *pack) {
  int result = 0;
  pid_t ended;
  do
    ended = wait(&result);
  while (ended < 0 && errno == EINTR);
  for (size_t i = 0; i < pack->worker_count; i++)
    if (ended > 0 && pack->workers[i].process == ended) {
      end_song(pack, &pack->workers[i], result);
      return GLN_OK;
    }
  return ended > 0 ? GLN_OK : GLN_SYSTEM;
}

static GlnStatus pack_all(Pack *pack) {
  show_bar(pack);
  GlnStatus status = GLN_OK;
  while (pack->done < pack->count && status == GLN_OK) {
    for (size_t i = 0; i < pack->worker_count && pack->begun < pack->count && status == GLN_OK; i++)
      if (pack->workers[i].process == 0)
        status = begin_song(pack, &pack->workers[i]);
    if (status == GLN_OK)
      status = await_song(pack);
  }
  while (pack->done < pack->begun && await_song(pack) == GLN_OK) { /* those that are under way */
  }
  clear_bar(pack);
  return status;
}

/* ---- the command -------------------------------------------------------------------------------------------------- */

static GlnStatus make_folder(const GlnJob *job, const char *folder) {
  struct stat about;
  if (mkdir(folder, 0777) == 0)
    return GLN_OK;
  int error = errno;
  if (error == EEXIST && stat(folder, &about) == 0 && S_ISDIR(about.st_mode))
    return GLN_OK;
  if (error == EEXIST)
    return gln_job_complain(job, GLN_USAGE, "name a folder, there already or new",
                            "%s is a file, not a folder", folder);
  return gln_job_complain(job, GLN_SYSTEM, "choose a folder you may write to", "%s cannot be made: %s",
                          folder, strerror(error));
}

/* Two songs of one name would write over each other. */
static GlnStatus check_names(const Pack *pack) {
  for (size_t i = 0; i < pack->count; i++) {
    if (strcmp(pack->songs[i], "-") == 0)
      return gln_job_complain(pack->job, GLN_USAGE, "save it as a file first",
                              "pack names its files after the charts");
    for (size_t k = 0; k < i; k++)
      if (gln_text_equal(song_name(pack->songs[i]), song_name(pack->songs[k])))
        return gln_job_complain(pack->job, GLN_USAGE, "rename one of them, or pack it into another folder",
                                "%s and %s would write over each other's files", pack->songs[k],
                                pack->songs[i]);
  }
  return GLN_OK;
}

/* Those on record; where nothing is recorded yet, a plan for whoever begins. */
static GlnStatus find_students(Pack *pack) {
  static GlnText nobody[] = {GLN_TEXT_INIT(GLN_USUAL_STUDENT)};
  const GlnJob *job = pack->job;
  if (!job->arguments.value[GLN_OPT_PLANS].given)
    return GLN_OK;
  GlnRecord record;
  GlnStatus status = gln_record_open(job, GLN_STORE_READ, &record);
  if (status == GLN_OK) {
    status = gln_store_students(record.store, job->arena, &pack->students, &pack->student_count);
    gln_store_close(record.store);
    if (status != GLN_OK)
      return gln_record_complain(job, &record, status);
  }
  if (status == GLN_NO || (status == GLN_OK && pack->student_count == 0)) {
    pack->students = nobody;
    pack->student_count = 1;
    return GLN_OK;
  }
  return status;
}

static size_t choose_workers(const GlnJob *job, size_t songs) {
  const GlnValue *jobs = &job->arguments.value[GLN_OPT_JOBS];
  long cores = jobs->given ? (long)jobs->number : sysconf(_SC_NPROCESSORS_ONLN);
  size_t count = cores < 1 ? 1 : (size_t)cores;
  count = count < WORKERS_MAX ? count : WORKERS_MAX;
  return count < songs ? count : songs;
}

GlnStatus gln_run_pack(GlnJob *job) {
  Pack pack = {.job = job,
               .folder = job->arguments.value[GLN_OPT_FOLDER].text.at,
               .songs = job->arguments.operands,
               .count = job->arguments.operand_count};
  if (!job->arguments.value[GLN_OPT_FOLDER].given)
    return gln_job_complain(job, GLN_USAGE, "name a folder, there already or new", "pack needs -o FOLDER");
  GLN_TRY(check_names(&pack));
  GLN_TRY(find_students(&pack));
  GLN_TRY(make_folder(job, pack.folder));
  pack.worker_count = choose_workers(job, pack.count);
  /* Opened once here, they are there in every process. */
  const GlnPages *pages = NULL;
  const GlnAudio *audio = NULL;
  GLN_TRY(gln_job_pages(job, &pages));
  GLN_TRY(gln_job_audio(job, &audio));
  GLN_TRY(pack_all(&pack));
  if (pack.failed > 0)
    return pack.worst;
  gln_buffer_format(&job->out,
                    "%zu %s in %s: sheet (.pdf), notes (.txt), MIDI (.mid) and sound (.wav) of each",
                    pack.count, pack.count == 1 ? "song" : "songs", pack.folder);
  if (pack.student_count > 0)
    gln_buffer_format(&job->out, ", and a plan for %zu %s (.plan.NAME.pdf)", pack.student_count,
                      pack.student_count == 1 ? "student" : "students");
  gln_buffer_add_byte(&job->out, '\n');
  return GLN_OK;
}
