/* The store: round trips, and what may befall it — killed writers, two writers, newer, damaged and foreign files. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "../slow_build.h"
#include "record.h"

#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* ---- a folder of its own for each test ------------------------------------------------------------------------------- */

typedef struct Place {
  char folder[64], path[128], backup[160], old[160];
  GlnArena *arena;
} Place;

static Place *open_place(void) {
  Place *place = calloc(1, sizeof *place);
  assert_non_null(place);
  (void)snprintf(place->folder, sizeof place->folder, "/tmp/gripline-store-XXXXXX");
  assert_non_null(mkdtemp(place->folder));
  (void)snprintf(place->path, sizeof place->path, "%s/progress.db", place->folder);
  (void)snprintf(place->backup, sizeof place->backup, "%s.backup", place->path);
  (void)snprintf(place->old, sizeof place->old, "%s.version-1.backup", place->path);
  place->arena = gln_arena_new(NULL, 0);
  return place;
}

static void remove_all(const Place *place) {
  static const char *const ends[] = {"",
                                     "-wal",
                                     "-shm",
                                     "-journal",
                                     ".backup",
                                     ".backup.new",
                                     ".backup.new-journal",
                                     ".version-1.backup",
                                     ".version-1.backup.new"};
  for (size_t i = 0; i < GLN_COUNT_OF(ends); i++) {
    char name[200];
    (void)snprintf(name, sizeof name, "%s%s", place->path, ends[i]);
    (void)remove(name);
  }
}

static void close_place(Place *place) {
  remove_all(place);
  assert_int_equal(rmdir(place->folder), 0);
  gln_arena_free(place->arena);
  free(place);
}

static bool is_there(const char *path) {
  struct stat about;
  return stat(path, &about) == 0;
}

typedef struct Bytes {
  char *at;
  size_t length;
} Bytes;

static Bytes bytes_of(const char *path) {
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  Bytes bytes = {calloc(1, 1 << 22), 0};
  assert_non_null(bytes.at);
  bytes.length = fread(bytes.at, 1, 1 << 22, file);
  (void)fclose(file);
  return bytes;
}

static void write_bytes(const char *path, const char *at, size_t length) {
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(at, 1, length, file), length);
  assert_int_equal(fclose(file), 0);
}

static bool holds(const Bytes *bytes, const char *words) {
  GlnText text = {bytes->at, bytes->length};
  return gln_text_find(text, gln_text(words), 0) < text.length;
}

/* ---- practices ----------------------------------------------------------------------------------------------------------- */

static GlnPractice practice_of(const char *student, int n) {
  return (GlnPractice){.student = gln_text(student),
                       .kind = n % 2 == 0 ? GLN_ITEM_GRIP : GLN_ITEM_MOVE,
                       .key =
                           n % 2 == 0 ? GLN_TEXT("x32010/x32010") : GLN_TEXT("x32010/x32010 x02210/x02310"),
                       .name = GLN_TEXT("C x32010"),
                       .difficulty = 0.25,
                       .song = GLN_TEXT("A Song, with \"quotes\" and ' and ♭"),
                       .at = 1000000 + n,
                       .day = 20000 + n / 10,
                       .rating = (GlnRating)(n % 4),
                       .tempo = 60 + n % 40,
                       .minutes = 1.5,
                       .has_strain = n % 3 == 0,
                       .strain = n % 3 == 0 ? (GlnStrain)(n % 2) : GLN_STRAIN_NONE};
}

static GlnStatus add(const Place *place, const char *student, int from, int count, bool once, size_t *added) {
  GlnStore *store = NULL;
  GlnStoreFault fault;
  GlnPractice *list = GLN_NEW(place->arena, GlnPractice, (size_t)count);
  for (int i = 0; i < count; i++)
    list[i] = practice_of(student, from + i);
  GlnStatus status = gln_store_open(place->path, GLN_STORE_WRITE, place->arena, &store, &fault);
  if (status == GLN_OK) {
    status = gln_store_add(store, list, (size_t)count, once, added);
    gln_store_close(store);
  }
  if (status != GLN_OK)
    print_message("%s; %s\n", fault.problem, fault.advice);
  return status;
}

static size_t read_all(const Place *place, const char *student, GlnPractice **list) {
  GlnStore *store = NULL;
  GlnStoreFault fault;
  size_t count = 0;
  assert_int_equal(gln_store_open(place->path, GLN_STORE_READ, place->arena, &store, &fault), GLN_OK);
  assert_int_equal(gln_store_read(store, gln_text(student), place->arena, list, &count), GLN_OK);
  gln_store_close(store);
  return count;
}

static void assert_practice(const GlnPractice *a, const GlnPractice *b) {
  assert_int_equal(a->kind, b->kind);
  assert_true(gln_text_equal(a->key, b->key) && gln_text_equal(a->song, b->song) &&
              gln_text_equal(a->student, b->student));
  assert_int_equal(a->at, b->at);
  assert_int_equal(a->day, b->day);
  assert_int_equal(a->rating, b->rating);
  assert_true(a->tempo >= b->tempo && a->tempo <= b->tempo && a->minutes >= b->minutes &&
              a->minutes <= b->minutes);
  assert_int_equal(a->has_strain, b->has_strain);
  if (a->has_strain)
    assert_int_equal(a->strain, b->strain);
}

/* ---- round trips ------------------------------------------------------------------------------------------------------------ */

static void test_round_trip(void **state) {
  (void)state;
  Place *place = open_place();
  GlnStore *store = NULL;
  GlnStoreFault fault;
  size_t added = 0;
  assert_int_equal(gln_store_open(place->path, GLN_STORE_READ, place->arena, &store, &fault), GLN_NO);
  assert_false(is_there(place->path));
  assert_int_equal(add(place, "Ann", 0, 40, false, &added), GLN_OK);
  assert_int_equal(added, 40);
  assert_int_equal(add(place, "Bo", 100, 3, false, &added), GLN_OK);
  GlnPractice *list = NULL;
  assert_int_equal(read_all(place, "Ann", &list), 40);
  for (int i = 0; i < 40; i++) {
    GlnPractice expected = practice_of("Ann", i);
    assert_practice(&list[i], &expected);
  }
  assert_int_equal(read_all(place, "Bo", &list), 3);
  assert_int_equal(read_all(place, "nobody", &list), 0);
  assert_int_equal(gln_store_open(place->path, GLN_STORE_READ, place->arena, &store, &fault), GLN_OK);
  GlnText *names = NULL;
  size_t count = 0;
  assert_int_equal(gln_store_students(store, place->arena, &names, &count), GLN_OK);
  assert_int_equal(count, 2);
  assert_true(gln_text_equal(names[0], GLN_TEXT("Ann")) && gln_text_equal(names[1], GLN_TEXT("Bo")));
  gln_store_close(store);
  close_place(place);
}

/* What comes in twice is there once; what was truly done twice stays twice. */
static void test_once(void **state) {
  (void)state;
  Place *place = open_place();
  size_t added = 0;
  assert_int_equal(add(place, "Ann", 0, 10, true, &added), GLN_OK);
  assert_int_equal(added, 10);
  assert_int_equal(add(place, "Ann", 5, 10, true, &added), GLN_OK);
  assert_int_equal(added, 5);
  GlnPractice twice[2] = {practice_of("Cy", 7), practice_of("Cy", 7)}, *list = NULL;
  GlnStore *store = NULL;
  GlnStoreFault fault;
  assert_int_equal(gln_store_open(place->path, GLN_STORE_WRITE, place->arena, &store, &fault), GLN_OK);
  for (int times = 0; times < 3; times++) {
    assert_int_equal(gln_store_add(store, twice, 2, true, &added), GLN_OK);
    assert_int_equal(added, times == 0 ? 2 : 0);
  }
  gln_store_close(store);
  assert_int_equal(read_all(place, "Cy", &list), 2);
  assert_int_equal(read_all(place, "Ann", &list), 15);
  close_place(place);
}

/* A student who is deleted is in none of the store's bytes, and in none of its backups'. */
static void test_delete(void **state) {
  (void)state;
  Place *place = open_place();
  size_t added = 0;
  assert_int_equal(add(place, "Zebulon-the-student", 0, 30, false, &added), GLN_OK);
  assert_int_equal(add(place, "Bo", 400, 3, false, &added), GLN_OK);
  assert_true(is_there(place->backup)); /* made before a new day's first record */
  Bytes before = bytes_of(place->backup);
  assert_true(holds(&before, "Zebulon"));
  free(before.at);
  GlnStore *store = NULL;
  GlnStoreFault fault;
  bool found = false;
  assert_int_equal(gln_store_open(place->path, GLN_STORE_READ, place->arena, &store, &fault), GLN_OK);
  assert_int_equal(gln_store_delete(store, GLN_TEXT("nobody"), &found), GLN_OK);
  assert_false(found);
  assert_int_equal(gln_store_delete(store, GLN_TEXT("Zebulon-the-student"), &found), GLN_OK);
  assert_true(found);
  gln_store_close(store);
  const char *const files[] = {place->path, place->backup};
  for (size_t i = 0; i < 2; i++) {
    Bytes after = bytes_of(files[i]);
    assert_false(holds(&after, "Zebulon"));
    free(after.at);
  }
  GlnPractice *list = NULL;
  assert_int_equal(read_all(place, "Bo", &list), 3);
  close_place(place);
}

/* ---- killed writers --------------------------------------------------------------------------------------------------------- */

/* Adds one record after the other and tells of each that is in; never returns. */
static void write_until_killed(const Place *place, int from, int tell) {
  for (int n = from;; n++) {
    size_t added = 0;
    if (add(place, "Ann", n, 1, false, &added) != GLN_OK || added != 1)
      _exit(1);
    if (write(tell, "x", 1) != 1)
      _exit(1);
  }
}

static uint32_t next_number(uint32_t *seed) {
  *seed ^= *seed << 13;
  *seed ^= *seed >> 17;
  *seed ^= *seed << 5;
  return *seed;
}

/* Starts a writer, kills it so many nanoseconds after it began, or after it told of a first record; returns how many
 * it told of. */
static int kill_writer(const Place *place, int from, bool after_first, long nanoseconds) {
  int ends[2];
  assert_int_equal(pipe(ends), 0);
  pid_t child = fork();
  assert_true(child >= 0);
  if (child == 0) {
    (void)close(ends[0]);
    write_until_killed(place, from, ends[1]);
  }
  (void)close(ends[1]);
  int told = 0;
  char byte;
  if (after_first)
    told += read(ends[0], &byte, 1) == 1 ? 1 : 0;
  const struct timespec wait = {0, nanoseconds};
  (void)nanosleep(&wait, NULL);
  assert_int_equal(kill(child, SIGKILL), 0);
  int status = 0;
  assert_int_equal(waitpid(child, &status, 0), child);
  assert_true(WIFSIGNALED(status)); /* it was still at it, and had not failed */
  while (read(ends[0], &byte, 1) == 1)
    told++;
  (void)close(ends[0]);
  return told;
}

#define KILLS        SEEDED(300)
#define KILLS_AT_NEW SEEDED(100)

/* Killed at any moment of a write: every record that was told of is there once; of the one in hand, all or nothing. */
static void test_killed(void **state) {
  (void)state;
  Place *place = open_place();
  uint32_t seed = 20261125;
  int have = 0, total_told = 0;
  for (int k = 0; k < KILLS; k++) {
    int told = kill_writer(place, have, k % 2 == 1, (long)(next_number(&seed) % 20000000));
    total_told += told;
    if (have + told == 0 && !is_there(place->path))
      continue;
    GlnArena *kept = place->arena;
    place->arena = gln_arena_new(NULL, 0);
    GlnPractice *list = NULL;
    int count = (int)read_all(place, "Ann", &list);
    assert_in_range(count, have + told, have + told + 1);
    for (int i = 0; i < count; i++)
      assert_int_equal(list[i].at, 1000000 + i);
    have = count;
    gln_arena_free(place->arena);
    place->arena = kept;
  }
  assert_true(total_told >= KILLS / 2);
  close_place(place);
}

/* The same while the store is being made. */
static void test_killed_at_new(void **state) {
  (void)state;
  Place *place = open_place();
  uint32_t seed = 4711;
  for (int k = 0; k < KILLS_AT_NEW; k++) {
    remove_all(place);
    int told = kill_writer(place, 0, false, (long)(next_number(&seed) % 30000000));
    size_t added = 0;
    GlnPractice *list = NULL;
    assert_int_equal(add(place, "Ann", 900, 1, false, &added), GLN_OK);
    assert_in_range(read_all(place, "Ann", &list), told + 1, told + 2);
  }
  close_place(place);
}

/* ---- two programs at once ------------------------------------------------------------------------------------------------------ */

static void test_writers_at_once(void **state) {
  (void)state;
  enum { WRITERS = 4, RECORDS = 25 };
  Place *place = open_place();
  pid_t children[WRITERS];
  for (int w = 0; w < WRITERS; w++) {
    children[w] = fork();
    assert_true(children[w] >= 0);
    if (children[w] != 0)
      continue;
    for (int n = 0; n < RECORDS; n++) {
      size_t added = 0;
      if (add(place, "Ann", 1000 * w + n, 1, false, &added) != GLN_OK || added != 1)
        _exit(1);
    }
    _exit(0);
  }
  for (int w = 0; w < WRITERS; w++) {
    int status = 0;
    assert_int_equal(waitpid(children[w], &status, 0), children[w]);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  }
  GlnPractice *list = NULL;
  assert_int_equal(read_all(place, "Ann", &list), WRITERS * RECORDS);
  bool seen[WRITERS][RECORDS] = {{false}};
  for (int i = 0; i < WRITERS * RECORDS; i++) {
    int n = (int)(list[i].at - 1000000);
    assert_false(seen[n / 1000][n % 1000]);
    seen[n / 1000][n % 1000] = true;
  }
  close_place(place);
}

/* ---- files that are not as they should be ------------------------------------------------------------------------------------- */

static void alter(const Place *place, const char *sql) {
  sqlite3 *db = NULL;
  assert_int_equal(sqlite3_open(place->path, &db), SQLITE_OK);
  assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
  assert_int_equal(sqlite3_close(db), SQLITE_OK);
}

/* Refused with these words by reader and writer, and not a byte of it changes. */
static void assert_refused(const Place *place, const char *problem, const char *advice) {
  Bytes before = bytes_of(place->path);
  for (int wish = GLN_STORE_READ; wish <= GLN_STORE_WRITE; wish++) {
    GlnStore *store = NULL;
    GlnStoreFault fault;
    assert_int_equal(gln_store_open(place->path, (GlnStoreWish)wish, place->arena, &store, &fault),
                     GLN_INPUT);
    assert_non_null(strstr(fault.problem, problem));
    assert_non_null(strstr(fault.advice, advice));
  }
  Bytes after = bytes_of(place->path);
  assert_int_equal(before.length, after.length);
  assert_memory_equal(before.at, after.at, before.length);
  free(before.at);
  free(after.at);
}

static void test_newer(void **state) {
  (void)state;
  Place *place = open_place();
  size_t added = 0;
  assert_int_equal(add(place, "Ann", 0, 5, false, &added), GLN_OK);
  alter(place, "PRAGMA user_version = 99");
  assert_refused(place, "newer gripline", "untouched");
  close_place(place);
}

static void test_foreign(void **state) {
  (void)state;
  Place *place = open_place();
  alter(place, "CREATE TABLE recipes (name TEXT); INSERT INTO recipes VALUES ('soup')");
  assert_refused(place, "no store of gripline", "left as it is");
  write_bytes(place->path, "these are some words, not a store", 33);
  assert_refused(place, "no store of gripline", "no backup");
  close_place(place);
}

/* Damage in the header, in the middle, at the end, and a file that lost all: said, the backup named, nothing written. */
static void test_damaged(void **state) {
  (void)state;
  Place *place = open_place();
  size_t added = 0;
  for (int n = 0; n < 60; n += 20)
    assert_int_equal(add(place, "Ann", n, 20, false, &added), GLN_OK);
  assert_true(is_there(place->backup));
  Bytes whole = bytes_of(place->path), backup = bytes_of(place->backup);
  char *copy = malloc(whole.length);
  assert_non_null(copy);
  for (int how = 0; how < 5; how++) {
    size_t length = whole.length;
    memcpy(copy, whole.at, length);
    if (how == 0)
      memset(copy, 'x', 100);
    if (how == 1)
      memset(copy + 4096, 0x5A, 4096);
    if (how == 2)
      length = whole.length - 4096;
    if (how == 3)
      length = 0;
    if (how == 4)
      memset(copy + 2 * 4096, 0, length - (size_t)2 * 4096);
    write_bytes(place->path, copy, length);
    assert_refused(place, "damaged", place->backup);
    Bytes still = bytes_of(place->backup);
    assert_int_equal(still.length, backup.length);
    assert_memory_equal(still.at, backup.at, backup.length);
    free(still.at);
  }
  /* The advice works: the backup, renamed, is a store with all but the last day. */
  assert_int_equal(rename(place->backup, place->path), 0);
  GlnPractice *list = NULL;
  assert_int_equal(read_all(place, "Ann", &list), 40);
  free(copy);
  free(whole.at);
  free(backup.at);
  close_place(place);
}

/* A store of the first version is brought up, with a backup of what it was. */
static void test_migration(void **state) {
  (void)state;
  Place *place = open_place();
  size_t added = 0;
  assert_int_equal(add(place, "Ann", 0, 9, false, &added), GLN_OK);
  assert_false(is_there(place->old));
  alter(place, "DROP INDEX practice_by_student; PRAGMA user_version = 1");
  GlnPractice *list = NULL;
  assert_int_equal(read_all(place, "Ann", &list), 9);
  assert_true(is_there(place->old));
  sqlite3 *db = NULL;
  sqlite3_stmt *statement = NULL;
  assert_int_equal(sqlite3_open(place->old, &db), SQLITE_OK);
  assert_int_equal(
      sqlite3_prepare_v2(db, "SELECT count(*), (SELECT user_version FROM pragma_user_version) FROM practice",
                         -1, &statement, NULL),
      SQLITE_OK);
  assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
  assert_int_equal(sqlite3_column_int(statement, 0), 9);
  assert_int_equal(sqlite3_column_int(statement, 1), 1);
  (void)sqlite3_finalize(statement);
  (void)sqlite3_close(db);
  alter(place, "SELECT 1 FROM practice INDEXED BY practice_by_student WHERE student = 1");
  close_place(place);
}

/* What the tables refuse, so that no fault of ours can write it. */
static void test_tables(void **state) {
  (void)state;
  Place *place = open_place();
  size_t added = 0;
  assert_int_equal(add(place, "Ann", 0, 1, false, &added), GLN_OK);
  static const char *const wrong[] = {
      "INSERT INTO practice VALUES (NULL, 99, 1, '', 0, 0, 1, 0, 0, NULL)",
      "INSERT INTO practice VALUES (NULL, 1, 1, '', 0, 0, 7, 0, 0, NULL)",
      "INSERT INTO practice VALUES (NULL, 1, 1, '', 'soon', 0, 1, 0, 0, NULL)",
      "INSERT INTO practice VALUES (NULL, 1, 1, '', 0, 0, 1, -1, 0, NULL)",
      "INSERT INTO item VALUES (NULL, 'song', 'k', 'n', 0)",
  };
  sqlite3 *db = NULL;
  assert_int_equal(sqlite3_open(place->path, &db), SQLITE_OK);
  assert_int_equal(sqlite3_exec(db, "PRAGMA foreign_keys = ON", NULL, NULL, NULL), SQLITE_OK);
  for (size_t i = 0; i < GLN_COUNT_OF(wrong); i++)
    assert_int_equal(sqlite3_exec(db, wrong[i], NULL, NULL, NULL) & 0xFF, SQLITE_CONSTRAINT);
  (void)sqlite3_close(db);
  close_place(place);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_round_trip),    cmocka_unit_test(test_once),
      cmocka_unit_test(test_delete),        cmocka_unit_test(test_killed),
      cmocka_unit_test(test_killed_at_new), cmocka_unit_test(test_writers_at_once),
      cmocka_unit_test(test_newer),         cmocka_unit_test(test_foreign),
      cmocka_unit_test(test_damaged),       cmocka_unit_test(test_migration),
      cmocka_unit_test(test_tables)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
