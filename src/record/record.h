/* record: what was practised, in one SQLite file.
 *
 * Needs base and study. Not pure: reads and writes the one file it is given, and backups beside it; no clock, no chance. */
#ifndef GLN_RECORD_H
#define GLN_RECORD_H

#include "base.h"
#include "study.h"

typedef struct GlnStoreFault {
  char problem[400], advice[1024];
} GlnStoreFault;

/* READ: an existing store; WRITE: made where there is none. A store of an older version is brought up to this one's
 * either way, after a backup beside it. */
typedef enum GlnStoreWish { GLN_STORE_READ, GLN_STORE_WRITE } GlnStoreWish;
typedef struct GlnStore GlnStore;
/* GLN_NO: there is none to read. GLN_INPUT and *fault for a store that is damaged, newer, or another program's: it is left
 * untouched. path and fault must outlive the store; every later fault goes to *fault too. */
GLN_MUST_USE GlnStatus gln_store_open(const char *path, GlnStoreWish wish, GlnArena *arena, GlnStore **store,
                                      GlnStoreFault *fault);
void gln_store_close(GlnStore *store);
/* All of them or none. once: what is there already, the same in everything, is not added again. A backup is made before a
 * day's first record. */
GLN_MUST_USE GlnStatus gln_store_add(GlnStore *store, const GlnPractice *practices, size_t count, bool once,
                                     size_t *added);
/* In the order of days. */
GLN_MUST_USE GlnStatus gln_store_read(GlnStore *store, GlnText student, GlnArena *arena,
                                      GlnPractice **practices, size_t *count);
GLN_MUST_USE GlnStatus gln_store_students(GlnStore *store, GlnArena *arena, GlnText **names, size_t *count);
/* A student with everything recorded, from the backups too. */
GLN_MUST_USE GlnStatus gln_store_delete(GlnStore *store, GlnText student, bool *found);

#endif
