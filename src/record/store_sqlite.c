/* The record of practice in one SQLite file. What was practised is all that is kept; half-lives are worked out from it
 * each time, so nothing derived can go stale or be counted twice. */
#include "record.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct GlnStore {
  sqlite3 *db;
  const char *path;
  GlnStoreFault *fault;
  int code; /* SQLite's, of the last fault */
};

#define APPLICATION_ID 0x6772696C /* "gril": marks the file as gripline's */
#define BUSY_MS        15000      /* how long another program's write is waited for. Design choice */
#define PATH_BYTES_MAX 4096

/* Step n takes a store from version n - 1 to n. */
static const char *const migrations[] = {
    "CREATE TABLE student (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT;"
    "CREATE TABLE item (id INTEGER PRIMARY KEY, kind TEXT NOT NULL CHECK (kind IN ('grip', 'move')),"
    " key TEXT NOT NULL, name TEXT NOT NULL, difficulty REAL NOT NULL, UNIQUE (kind, key)) STRICT;"
    "CREATE TABLE practice (id INTEGER PRIMARY KEY,"
    " student INTEGER NOT NULL REFERENCES student (id) ON DELETE CASCADE,"
    " item INTEGER NOT NULL REFERENCES item (id), song TEXT NOT NULL, at INTEGER NOT NULL, day INTEGER NOT "
    "NULL,"
    " rating INTEGER NOT NULL CHECK (rating BETWEEN 0 AND 3), tempo REAL NOT NULL CHECK (tempo >= 0),"
    " minutes REAL NOT NULL CHECK (minutes >= 0), strain INTEGER CHECK (strain BETWEEN 0 AND 2)) STRICT;",
    "CREATE INDEX practice_by_student ON practice (student, day, at, id);",
};
#define VERSION ((int)GLN_COUNT_OF(migrations))

/* ---- faults ---------------------------------------------------------------------------------------------------------- */

__attribute__((format(printf, 3, 4))) static void say(char *out, size_t size, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  (void)vsnprintf(out, size, format, arguments); /* a message too long for its place is cut */
  va_end(arguments);
}

static bool file_is_there(const char *path) {
  FILE *file = fopen(path, "rb");
  if (file != NULL)
    (void)fclose(file);
  return file != NULL;
}

/* "progress.db.backup": as it was before the last day's first record, or before the version named. */
static void backup_path(const char *path, int version, char out[PATH_BYTES_MAX]) {
  if (version > 0)
    say(out, PATH_BYTES_MAX, "%s.version-%d.backup", path, version);
  else
    say(out, PATH_BYTES_MAX, "%s.backup", path);
}

static GlnStatus damaged(GlnStore *store) {
  char backup[PATH_BYTES_MAX];
  say(store->fault->problem, sizeof store->fault->problem,
      "this store is damaged, or is no store of gripline");
  for (int version = 0; version < VERSION; version++) {
    backup_path(store->path, version, backup);
    if (!file_is_there(backup))
      continue;
    say(store->fault->advice, sizeof store->fault->advice,
        "it is left as it is; to go on from the last backup, move it away and rename %s to it", backup);
    return GLN_INPUT;
  }
  say(store->fault->advice, sizeof store->fault->advice,
      "it is left as it is; there is no backup yet: move it away to begin anew");
  return GLN_INPUT;
}

static GlnStatus sql_fault(GlnStore *store) {
  store->code = sqlite3_extended_errcode(store->db);
  int code = store->code & 0xFF;
  if (code == SQLITE_NOMEM)
    return GLN_MEMORY;
  if (code == SQLITE_CORRUPT || code == SQLITE_NOTADB)
    return damaged(store);
  say(store->fault->problem, sizeof store->fault->problem, "the store cannot be used: %s",
      sqlite3_errmsg(store->db));
  const char *advice = code == SQLITE_BUSY || code == SQLITE_LOCKED
                           ? "another program is writing to it; try again"
                       : code == SQLITE_FULL ? "make room on the disk; nothing was changed"
                                             : "check the permissions of the file and of its folder";
  say(store->fault->advice, sizeof store->fault->advice, "%s", advice);
  return GLN_SYSTEM;
}

/* ---- statements -------------------------------------------------------------------------------------------------------- */

static GlnStatus run(GlnStore *store, const char *sql) {
  return sqlite3_exec(store->db, sql, NULL, NULL, NULL) == SQLITE_OK ? GLN_OK : sql_fault(store);
}

static GlnStatus prepare(GlnStore *store, const char *sql, sqlite3_stmt **statement) {
  return sqlite3_prepare_v2(store->db, sql, -1, statement, NULL) == SQLITE_OK ? GLN_OK : sql_fault(store);
}

static void bind_text(sqlite3_stmt *statement, int at, GlnText text) {
  /* A binding that fails leaves NULL, which the table refuses. */
  (void)sqlite3_bind_text(statement, at, text.length > 0 ? text.at : "", (int)text.length, SQLITE_TRANSIENT);
}

/* Steps to the end; a row, if any, gives its first column. */
static GlnStatus finish(GlnStore *store, sqlite3_stmt *statement, int64_t *value) {
  int code = sqlite3_step(statement);
  if (code == SQLITE_ROW && value != NULL)
    *value = sqlite3_column_int64(statement, 0);
  while (code == SQLITE_ROW)
    code = sqlite3_step(statement);
  GlnStatus status = code == SQLITE_DONE ? GLN_OK : sql_fault(store);
  (void)sqlite3_finalize(statement);
  return status;
}

static GlnStatus number_of(GlnStore *store, const char *sql, int64_t *value) {
  sqlite3_stmt *statement = NULL;
  *value = 0;
  GLN_TRY(prepare(store, sql, &statement));
  return finish(store, statement, value);
}

static GlnStatus end_transaction(GlnStore *store, GlnStatus status) {
  if (status == GLN_OK)
    status = run(store, "COMMIT");
  if (status != GLN_OK)
    (void)sqlite3_exec(store->db, "ROLLBACK", NULL, NULL, NULL); /* the first fault is the one to tell */
  return status;
}

/* ---- opening ----------------------------------------------------------------------------------------------------------- */

static GlnStatus check_whole(GlnStore *store) {
  sqlite3_stmt *statement = NULL;
  GLN_TRY(prepare(store, "PRAGMA quick_check(1)", &statement));
  int code = sqlite3_step(statement);
  const unsigned char *answer = code == SQLITE_ROW ? sqlite3_column_text(statement, 0) : NULL;
  bool whole = answer != NULL && strcmp((const char *)answer, "ok") == 0;
  (void)sqlite3_finalize(statement);
  return whole ? GLN_OK : damaged(store);
}

static GlnStatus judge(GlnStore *store, int64_t application, int64_t version) {
  if (version > VERSION && application == APPLICATION_ID) {
    say(store->fault->problem, sizeof store->fault->problem,
        "this store was written by a newer gripline (its version is %d, this program knows %d)", (int)version,
        VERSION);
    say(store->fault->advice, sizeof store->fault->advice,
        "install the newer gripline; the store is untouched");
    return GLN_INPUT;
  }
  bool ours = application == APPLICATION_ID && version >= 1, fresh = application == 0 && version == 0;
  return ours || fresh ? GLN_OK : damaged(store);
}

/* The version of what is there; 0 for an empty store. */
static GlnStatus read_version(GlnStore *store, int64_t *version) {
  int64_t application = 0, tables = 0;
  GLN_TRY(run(store, "BEGIN")); /* all three of one moment */
  GlnStatus status = number_of(store, "SELECT count(*) FROM sqlite_schema", &tables);
  if (status == GLN_OK)
    status = number_of(store, "PRAGMA application_id", &application);
  if (status == GLN_OK)
    status = number_of(store, "PRAGMA user_version", version);
  GLN_TRY(end_transaction(store, status));
  GLN_TRY(judge(store, application, *version));
  return *version == 0 && tables > 0 ? damaged(store) : GLN_OK;
}

static GlnStatus open_at(GlnStore *store, int flags) {
  if (sqlite3_open_v2(store->path, &store->db, flags, NULL) != SQLITE_OK)
    return store->db == NULL ? GLN_MEMORY : sql_fault(store);
  (void)sqlite3_busy_timeout(store->db, BUSY_MS);
  return GLN_OK;
}

/* A copy beside the store, whole or not at all. Called inside a writing transaction, so that one program at a time makes
 * it; by a connection of its own, for it is of what was committed before. */
static GlnStatus back_up(GlnStore *store, int version) {
  char backup[PATH_BYTES_MAX], beside[PATH_BYTES_MAX];
  backup_path(store->path, version, backup);
  say(beside, sizeof beside, "%.4000s.new", backup);
  (void)remove(beside); /* of an earlier try that was cut short */
  GlnStore reader = {.path = store->path, .fault = store->fault};
  sqlite3_stmt *statement = NULL;
  GlnStatus status = open_at(&reader, SQLITE_OPEN_READWRITE);
  if (status == GLN_OK)
    status = prepare(&reader, "VACUUM INTO ?1", &statement);
  if (status == GLN_OK) {
    bind_text(statement, 1, gln_text(beside));
    status = finish(&reader, statement, NULL);
  }
  gln_store_close(&reader);
  if (status != GLN_OK || rename(beside, backup) == 0)
    return status;
  say(store->fault->problem, sizeof store->fault->problem, "no backup of the store could be made");
  say(store->fault->advice, sizeof store->fault->advice, "check that its folder can be written to");
  return GLN_SYSTEM;
}

static GlnStatus migrate_step(GlnStore *store, int version, bool keeps) {
  char mark[100];
  GLN_TRY(run(store, "BEGIN IMMEDIATE"));
  int64_t now = 0;
  GlnStatus status = number_of(store, "PRAGMA user_version", &now);
  if (status == GLN_OK && now == version) { /* no other program has done it meanwhile */
    if (keeps)
      status = back_up(store, version);
    if (status == GLN_OK)
      status = run(store, migrations[version]);
    say(mark, sizeof mark, "PRAGMA user_version = %d; PRAGMA application_id = %d", version + 1,
        APPLICATION_ID);
    if (status == GLN_OK)
      status = run(store, mark);
  }
  return end_transaction(store, status);
}

static GlnStatus migrate(GlnStore *store, int64_t version) {
  for (int at = (int)version; at < VERSION; at++)
    GLN_TRY(migrate_step(store, at, version > 0));
  return GLN_OK;
}

/* Turning to WAL needs the store for a moment alone, and does not wait for it by itself. */
static void turn_to_wal(GlnStore *store) {
  for (int tries = 0; tries < 100; tries++) {
    if (sqlite3_exec(store->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL) == SQLITE_OK)
      return;
    (void)sqlite3_sleep(20);
  }
}

/* The database header (SQLite file format, 1.3): what is not ours, or newer, is seen without opening it. */
#define HEADER_BYTES   100
#define VERSION_AT     60
#define APPLICATION_AT 68

static int64_t big_endian(const unsigned char *at) {
  return (int64_t)at[0] << 24 | (int64_t)at[1] << 16 | (int64_t)at[2] << 8 | (int64_t)at[3];
}

static GlnStatus look_at_header(GlnStore *store) {
  unsigned char header[HEADER_BYTES] = {0};
  FILE *file = fopen(store->path, "rb");
  if (file == NULL)
    return GLN_OK; /* opening it will say why */
  size_t length = fread(header, 1, sizeof header, file);
  (void)fclose(file);
  char backup[PATH_BYTES_MAX];
  backup_path(store->path, 0, backup);
  if (length == 0) /* just being made, or a store that lost all it held */
    return file_is_there(backup) ? damaged(store) : GLN_OK;
  if (length < sizeof header || memcmp(header, "SQLite format 3", 16) != 0)
    return damaged(store);
  return judge(store, big_endian(header + APPLICATION_AT), big_endian(header + VERSION_AT));
}

static GlnStatus try_open(GlnStore *store) {
  GLN_TRY(look_at_header(store));
  GLN_TRY(open_at(store, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE));
  int64_t version = 0;
  GLN_TRY(read_version(store, &version));
  GLN_TRY(check_whole(store));
  turn_to_wal(store);
  GLN_TRY(run(store, "PRAGMA foreign_keys = ON; PRAGMA synchronous = FULL; PRAGMA secure_delete = ON"));
  return migrate(store, version);
}

#define OPEN_TRIES 100
#define OPEN_MS    20

/* Two programs that make or close the same store may both go to delete its journal; the one that finds it gone has only
 * to look again. */
static GlnStatus open_store(GlnStore *store, GlnStoreWish wish) {
  if (!file_is_there(store->path) && wish == GLN_STORE_READ)
    return GLN_NO;
  for (int tries = 0;; tries++) {
    GlnStatus status = try_open(store);
    bool again = status == GLN_SYSTEM && store->code == SQLITE_IOERR_DELETE_NOENT;
    if (status == GLN_OK || !again || tries == OPEN_TRIES)
      return status;
    gln_store_close(store);
    (void)sqlite3_sleep(OPEN_MS);
  }
}

GlnStatus gln_store_open(const char *path, GlnStoreWish wish, GlnArena *arena, GlnStore **store,
                         GlnStoreFault *fault) {
  *fault = (GlnStoreFault){{0}, {0}};
  *store = GLN_NEW(arena, GlnStore, 1);
  if (*store == NULL)
    return GLN_MEMORY;
  **store = (GlnStore){.path = path, .fault = fault};
  if (strlen(path) >= PATH_BYTES_MAX - 64) {
    say(fault->problem, sizeof fault->problem, "the path of the store is too long");
    return GLN_INPUT;
  }
  GlnStatus status = open_store(*store, wish);
  if (status == GLN_OK)
    *fault = (GlnStoreFault){{0}, {0}};
  else
    gln_store_close(*store);
  return status;
}

void gln_store_close(GlnStore *store) {
  if (store == NULL || store->db == NULL)
    return;
  (void)sqlite3_close(
      store->db); /* committed by now; a checkpoint that fails is made up for at the next opening */
  store->db = NULL;
}

/* ---- writing ------------------------------------------------------------------------------------------------------------- */

static GlnStatus student_id(GlnStore *store, GlnText name, int64_t *id) {
  sqlite3_stmt *statement = NULL;
  GLN_TRY(prepare(store, "INSERT INTO student (name) VALUES (?1) ON CONFLICT DO NOTHING", &statement));
  bind_text(statement, 1, name);
  GLN_TRY(finish(store, statement, NULL));
  GLN_TRY(prepare(store, "SELECT id FROM student WHERE name = ?1", &statement));
  bind_text(statement, 1, name);
  return finish(store, statement, id);
}

static GlnStatus item_id(GlnStore *store, const GlnPractice *practice, int64_t *id) {
  sqlite3_stmt *statement = NULL;
  GLN_TRY(prepare(store,
                  "INSERT INTO item (kind, key, name, difficulty) VALUES (?1, ?2, ?3, ?4)"
                  " ON CONFLICT DO NOTHING",
                  &statement));
  GlnText kind = gln_text(gln_item_kind_key(practice->kind));
  bind_text(statement, 1, kind);
  bind_text(statement, 2, practice->key);
  bind_text(statement, 3, practice->name);
  (void)sqlite3_bind_double(statement, 4, practice->difficulty);
  GLN_TRY(finish(store, statement, NULL));
  GLN_TRY(prepare(store, "SELECT id FROM item WHERE kind = ?1 AND key = ?2", &statement));
  bind_text(statement, 1, kind);
  bind_text(statement, 2, practice->key);
  return finish(store, statement, id);
}

static void bind_practice(sqlite3_stmt *statement, const GlnPractice *practice, int64_t student,
                          int64_t item) {
  (void)sqlite3_bind_int64(statement, 1, student);
  (void)sqlite3_bind_int64(statement, 2, item);
  bind_text(statement, 3, practice->song);
  (void)sqlite3_bind_int64(statement, 4, practice->at);
  (void)sqlite3_bind_int(statement, 5, practice->day);
  (void)sqlite3_bind_int(statement, 6, (int)practice->rating);
  (void)sqlite3_bind_double(statement, 7, practice->tempo);
  (void)sqlite3_bind_double(statement, 8, practice->minutes);
  if (practice->has_strain)
    (void)sqlite3_bind_int(statement, 9, (int)practice->strain);
}

/* How many records are the same in everything. */
static GlnStatus count_same(GlnStore *store, const GlnPractice *practice, int64_t student, int64_t item,
                            int64_t *count) {
  sqlite3_stmt *statement = NULL;
  GLN_TRY(prepare(store,
                  "SELECT count(*) FROM practice WHERE student = ?1 AND item = ?2 AND song = ?3 AND at = ?4"
                  " AND day = ?5 AND rating = ?6 AND tempo = ?7 AND minutes = ?8 AND strain IS ?9",
                  &statement));
  bind_practice(statement, practice, student, item);
  return finish(store, statement, count);
}

static GlnStatus add_one(GlnStore *store, const GlnPractice *practice, int64_t copies, bool *added) {
  int64_t student = 0, item = 0, same = 0;
  GLN_TRY(student_id(store, practice->student, &student));
  GLN_TRY(item_id(store, practice, &item));
  *added = true;
  if (copies >= 0) {
    GLN_TRY(count_same(store, practice, student, item, &same));
    *added = same <= copies;
  }
  if (!*added)
    return GLN_OK;
  sqlite3_stmt *statement = NULL;
  GLN_TRY(prepare(store,
                  "INSERT INTO practice (student, item, song, at, day, rating, tempo, minutes, strain)"
                  " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
                  &statement));
  bind_practice(statement, practice, student, item);
  return finish(store, statement, NULL);
}

/* Once a day, before its first record. */
static GlnStatus back_up_daily(GlnStore *store, GlnDay day) {
  int64_t last = 0, count = 0;
  GLN_TRY(number_of(store, "SELECT max(day) FROM practice", &last));
  GLN_TRY(number_of(store, "SELECT count(*) FROM practice", &count));
  return count > 0 && last != day ? back_up(store, 0) : GLN_OK;
}

static bool same_practice(const GlnPractice *a, const GlnPractice *b) {
  return a->kind == b->kind && gln_text_equal(a->key, b->key) && gln_text_equal(a->song, b->song) &&
         a->at == b->at && a->day == b->day && a->rating == b->rating && a->has_strain == b->has_strain &&
         (!a->has_strain || a->strain == b->strain) && !(a->tempo < b->tempo) && !(a->tempo > b->tempo) &&
         !(a->minutes < b->minutes) && !(a->minutes > b->minutes);
}

GlnStatus gln_store_add(GlnStore *store, const GlnPractice *practices, size_t count, bool once,
                        size_t *added) {
  *added = 0;
  if (count == 0)
    return GLN_OK;
  GLN_TRY(run(store, "BEGIN IMMEDIATE"));
  GlnStatus status = back_up_daily(store, practices[count - 1].day);
  for (size_t i = 0; i < count && status == GLN_OK; i++) {
    /* Of several that are the same in everything the k-th is new when fewer than k are there. Equals have one time,
     * so they stand close together. */
    int64_t copies = once ? 0 : -1;
    for (size_t k = i; once && k-- > 0 && practices[k].at == practices[i].at;)
      copies += same_practice(&practices[k], &practices[i]) ? 1 : 0;
    bool is_new = false;
    status = add_one(store, &practices[i], copies, &is_new);
    *added += is_new ? 1 : 0;
  }
  return end_transaction(store, status);
}

GlnStatus gln_store_delete(GlnStore *store, GlnText student, bool *found) {
  sqlite3_stmt *statement = NULL;
  *found = false;
  GLN_TRY(run(store, "BEGIN IMMEDIATE"));
  GlnStatus status = prepare(store, "DELETE FROM student WHERE name = ?1", &statement);
  if (status == GLN_OK) {
    bind_text(statement, 1, student);
    status = finish(store, statement, NULL);
    *found = status == GLN_OK && sqlite3_changes(store->db) > 0;
  }
  if (status == GLN_OK)
    status = run(store, "DELETE FROM item WHERE id NOT IN (SELECT item FROM practice)");
  GLN_TRY(end_transaction(store, status));
  if (!*found)
    return GLN_OK;
  /* What was deleted is in no page, log or backup of the store afterwards. */
  GLN_TRY(run(store, "VACUUM; PRAGMA wal_checkpoint(TRUNCATE)"));
  char backup[PATH_BYTES_MAX];
  for (int version = 1; version < VERSION; version++) {
    backup_path(store->path, version, backup);
    (void)remove(backup);
  }
  GLN_TRY(run(store, "BEGIN IMMEDIATE"));
  return end_transaction(store, back_up(store, 0));
}

/* ---- reading ---------------------------------------------------------------------------------------------------------------- */

static GlnText column_text(sqlite3_stmt *statement, int column, GlnArena *arena, bool *failed) {
  const unsigned char *text = sqlite3_column_text(statement, column);
  int length = sqlite3_column_bytes(statement, column);
  GlnText borrowed = {(const char *)text, text != NULL && length > 0 ? (size_t)length : 0};
  char *copy = gln_text_copy(arena, borrowed);
  *failed = *failed || copy == NULL;
  return (GlnText){copy, copy != NULL ? borrowed.length : 0};
}

static double within(double value, double low, double high) {
  return value >= low && value <= high ? value : low;
}

static void read_row(sqlite3_stmt *row, GlnArena *arena, GlnPractice *out, bool *failed) {
  GlnText kind = column_text(row, 0, arena, failed);
  int rating = sqlite3_column_int(row, 6), strain = sqlite3_column_int(row, 9);
  *out = (GlnPractice){
      .kind = gln_text_equal(kind, GLN_TEXT("move")) ? GLN_ITEM_MOVE : GLN_ITEM_GRIP,
      .key = column_text(row, 1, arena, failed),
      .name = column_text(row, 2, arena, failed),
      .song = column_text(row, 3, arena, failed),
      .at = sqlite3_column_int64(row, 4),
      .day = (GlnDay)within((double)sqlite3_column_int64(row, 5), GLN_DAY_MIN, GLN_DAY_MAX),
      .rating = rating >= 0 && rating < GLN_RATING_COUNT ? (GlnRating)rating : GLN_RATING_AGAIN,
      .tempo = within(sqlite3_column_double(row, 7), 0, GLN_PRACTICE_TEMPO_MAX),
      .minutes = within(sqlite3_column_double(row, 8), 0, GLN_PRACTICE_MINUTES_MAX),
      .has_strain = sqlite3_column_type(row, 9) != SQLITE_NULL,
      .strain = strain >= 0 && strain <= (int)GLN_STRAIN_PAIN ? (GlnStrain)strain : GLN_STRAIN_NONE,
      .difficulty = within(sqlite3_column_double(row, 10), 0, 1)};
}

GlnStatus gln_store_read(GlnStore *store, GlnText student, GlnArena *arena, GlnPractice **practices,
                         size_t *count) {
  sqlite3_stmt *statement = NULL;
  *practices = NULL;
  *count = 0;
  GLN_TRY(
      prepare(store,
              "SELECT i.kind, i.key, i.name, p.song, p.at, p.day, p.rating, p.tempo, p.minutes, p.strain,"
              " i.difficulty FROM practice p JOIN student s ON s.id = p.student JOIN item i ON i.id = p.item"
              " WHERE s.name = ?1 ORDER BY p.day, p.at, p.id",
              &statement));
  bind_text(statement, 1, student);
  size_t capacity = 0;
  bool failed = false;
  int code = sqlite3_step(statement);
  for (; code == SQLITE_ROW && !failed; code = sqlite3_step(statement)) {
    if (*count == capacity) {
      capacity = capacity == 0 ? 64 : 2 * capacity;
      GlnPractice *more = GLN_NEW(arena, GlnPractice, capacity);
      if (more != NULL && *count > 0)
        memcpy(more, *practices, *count * sizeof *more);
      failed = more == NULL;
      *practices = more;
    }
    if (!failed) {
      read_row(statement, arena, &(*practices)[*count], &failed);
      (*practices)[(*count)++].student = student;
    }
  }
  GlnStatus status = failed ? GLN_MEMORY : code == SQLITE_DONE ? GLN_OK : sql_fault(store);
  (void)sqlite3_finalize(statement);
  return status;
}

GlnStatus gln_store_students(GlnStore *store, GlnArena *arena, GlnText **names, size_t *count) {
  int64_t total = 0;
  *count = 0;
  GLN_TRY(number_of(store, "SELECT count(*) FROM student", &total));
  *names = GLN_NEW(arena, GlnText, (size_t)total);
  sqlite3_stmt *statement = NULL;
  if (*names == NULL)
    return GLN_MEMORY;
  GLN_TRY(prepare(store, "SELECT name FROM student ORDER BY name", &statement));
  bool failed = false;
  int code = sqlite3_step(statement);
  for (; code == SQLITE_ROW && *count < (size_t)total && !failed; code = sqlite3_step(statement))
    (*names)[(*count)++] = column_text(statement, 0, arena, &failed);
  GlnStatus status = failed                                      ? GLN_MEMORY
                     : code == SQLITE_DONE || code == SQLITE_ROW ? GLN_OK
                                                                 : sql_fault(store);
  (void)sqlite3_finalize(statement);
  return status;
}
