/* base: what every room stands on — status, diagnostics, arena, text, numbers as text, ratios.
 *
 * Needs nothing but the C library. Pure: no files, no clock, no globals, no locale.
 * Memory comes from one GlnArena per job and is freed as one. */
#ifndef GLN_BASE_H
#define GLN_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define GLN_MUST_USE        __attribute__((warn_unused_result))
#define GLN_DOOR            __attribute__((visibility("default"))) /* seen from outside a shared object */
#define GLN_COUNT_OF(array) (sizeof(array) / sizeof((array)[0]))

/* ---- status ------------------------------------------------------------------------------------- */

/* X(name, text for people, exit status of the program: the contract of docs/contracts.md). */
#define GLN_STATUS_LIST(X)                                                                                   \
  X(GLN_OK, "done", 0)                                                                                       \
  X(GLN_NO, "the answer is no", 1)                                                                           \
  X(GLN_USAGE, "bad usage", 2)                                                                               \
  X(GLN_INPUT, "bad input", 3)                                                                               \
  X(GLN_LIMIT, "a limit was exceeded", 3)                                                                    \
  X(GLN_MEMORY, "out of memory", 4)                                                                          \
  X(GLN_SYSTEM, "the system failed", 4)

typedef enum GlnStatus {
#define GLN_STATUS_NAME(name, text, exit) name,
  GLN_STATUS_LIST(GLN_STATUS_NAME)
#undef GLN_STATUS_NAME
} GlnStatus;

const char *gln_status_text(GlnStatus status);
int gln_status_exit(GlnStatus status);

/* Returns the status from the calling function unless it is GLN_OK. */
#define GLN_TRY(expression)                                                                                  \
  do {                                                                                                       \
    GlnStatus gln_try_status = (expression);                                                                 \
    if (gln_try_status != GLN_OK)                                                                            \
      return gln_try_status;                                                                                 \
  } while (0)

/* ---- arena -------------------------------------------------------------------------------------- */

/* Where an arena gets its blocks; tests pass one that fails. */
typedef struct GlnAllocator {
  void *(*allocate)(void *context, size_t bytes); /* NULL when there is no memory */
  void (*release)(void *context, void *block);
  void *context;
} GlnAllocator;

typedef struct GlnArena GlnArena;

/* A new arena, or NULL when there is no memory. allocator NULL: malloc and free. limit_bytes 0: no limit.
 * The caller frees it with gln_arena_free. */
GLN_MUST_USE GlnArena *gln_arena_new(const GlnAllocator *allocator, size_t limit_bytes);
void gln_arena_free(GlnArena *arena);
/* An arena of its own with the same allocator and as much as the other's limit leaves: for scratch work during which
 * the other goes on growing. NULL when there is no memory. */
GLN_MUST_USE GlnArena *gln_arena_beside(const GlnArena *arena);

/* count × size bytes, zeroed, aligned for any type; NULL when the product overflows, the limit is reached or
 * memory is out. Lives as long as the arena. count × size = 0 gives a valid pointer. */
GLN_MUST_USE void *gln_arena_alloc(GlnArena *arena, size_t count, size_t size);
size_t gln_arena_used(const GlnArena *arena);

/* Typed: GlnGrip *grips = GLN_NEW(arena, GlnGrip, 12); */
#define GLN_NEW(arena, type, count) ((type *)gln_arena_alloc((arena), (count), sizeof(type)))

/* Gives back everything allocated since the mark: for scratch work inside one job. */
typedef struct GlnArenaMark {
  void *block;
  size_t used;
  size_t total;
} GlnArenaMark;
GlnArenaMark gln_arena_mark(const GlnArena *arena);
void gln_arena_rewind(GlnArena *arena, GlnArenaMark mark);

/* ---- sets as bits ------------------------------------------------------------------------------------ */

/* How many bits are set. In the header, since inner loops count tones with it. */
static inline int gln_bit_count(uint64_t bits) {
  int count = 0;
  for (; bits != 0; bits &= bits - 1)
    count++;
  return count;
}

/* ---- text: borrowed slices of UTF-8 --------------------------------------------------------------- */

typedef struct GlnText {
  const char *at; /* not NUL-terminated; may be NULL when length is 0 */
  size_t length;  /* bytes */
} GlnText;

#define GLN_TEXT(literal) ((GlnText){(literal), sizeof(literal) - 1})
/* The same for the initialiser of a constant table, where C17 allows no compound literal. */
#define GLN_TEXT_INIT(literal)                                                                               \
  { (literal), sizeof(literal) - 1 }
GlnText gln_text(const char *c_string); /* borrows; NULL gives the empty text */
bool gln_text_equal(GlnText a, GlnText b);
bool gln_text_equal_ignoring_case(GlnText a, GlnText b); /* ASCII letters alone */
int gln_text_compare(GlnText a, GlnText b);              /* by bytes */
bool gln_text_starts(GlnText text, GlnText start);
bool gln_text_ends_ignoring_case(GlnText text, GlnText end);
GlnText gln_text_from(GlnText text, size_t offset); /* the rest, offset clamped to the length */
GlnText gln_text_slice(GlnText text, size_t offset, size_t length);
GlnText gln_text_trim(GlnText text); /* blanks (space, tab, CR, LF) off both ends */
/* Offset of the first occurrence at or after from, or text.length. */
size_t gln_text_find(GlnText text, GlnText part, size_t from);
/* A NUL-terminated copy in the arena; NULL when memory is out. */
GLN_MUST_USE char *gln_text_copy(GlnArena *arena, GlnText text);

/* ASCII character classes that never look at the locale and take any char. */
bool gln_is_blank(char c);
bool gln_is_digit(char c);
bool gln_is_letter(char c);

/* Offset of the first byte that is not well-formed UTF-8 or is NUL; text.length when all is well. */
size_t gln_text_bad_utf8(GlnText text);
/* Bytes of the code point at the offset (1 for a broken byte), and the code point itself if wanted. */
size_t gln_text_code_point(GlnText text, size_t offset, uint32_t *code_point);
/* Columns a terminal gives the text: one per code point, none for combining marks, two for wide East Asian
 * characters. */
size_t gln_text_columns(GlnText text);
/* Edit distance in bytes with adjacent swaps counting one: for "did you mean". Texts over 64 bytes give 64.
 */
size_t gln_text_distance(GlnText a, GlnText b);

/* The whole of text as a decimal integer in [low, high]; GLN_INPUT otherwise. */
GLN_MUST_USE GlnStatus gln_text_integer(GlnText text, long low, long high, long *value);
/* The whole of text as a plain decimal number ("126", "0.5", "-3.25"), whatever the locale; GLN_INPUT
 * otherwise. */
GLN_MUST_USE GlnStatus gln_text_number(GlnText text, double *value);

/* ---- buffer: text that grows in an arena ------------------------------------------------------------ */

/* Running out of memory is remembered: add without checking, ask gln_buffer_status once at the end. */
typedef struct GlnBuffer {
  GlnArena *arena;
  char *at;
  size_t length;
  size_t capacity;
  bool failed;
} GlnBuffer;

GlnBuffer gln_buffer(GlnArena *arena);
void gln_buffer_add(GlnBuffer *buffer, GlnText text);
void gln_buffer_add_string(GlnBuffer *buffer, const char *c_string);
void gln_buffer_add_byte(GlnBuffer *buffer, char byte);
void gln_buffer_add_repeated(GlnBuffer *buffer, GlnText text, size_t times);
/* printf without %f, %e, %g: numbers with a fraction go through gln_buffer_add_number. */
__attribute__((format(printf, 2, 3))) void gln_buffer_format(GlnBuffer *buffer, const char *format, ...);
__attribute__((format(printf, 2, 0))) void gln_buffer_format_list(GlnBuffer *buffer, const char *format,
                                                                  va_list arguments);
void gln_buffer_add_integer(GlnBuffer *buffer, long long value);
/* Fixed decimals (0 to 9), halves away from zero (0.995 to two is 1.00), "." whatever the locale, never "-0".
 */
void gln_buffer_add_number(GlnBuffer *buffer, double value, int decimals);
/* The text, padded with spaces to so many terminal columns (never cut). */
void gln_buffer_add_padded(GlnBuffer *buffer, GlnText text, size_t columns);
GlnText gln_buffer_text(const GlnBuffer *buffer);
GLN_MUST_USE GlnStatus gln_buffer_status(const GlnBuffer *buffer); /* GLN_OK or GLN_MEMORY */

/* ---- diagnostics ---------------------------------------------------------------------------------- */

typedef enum GlnSeverity { GLN_NOTE_SEVERITY, GLN_WARNING, GLN_ERROR } GlnSeverity;

typedef struct GlnDiag {
  GlnSeverity severity;
  bool has_place;  /* false: about the whole file */
  size_t offset;   /* bytes into the source */
  size_t length;   /* bytes to underline; at least 1 is shown */
  GlnText problem; /* what is wrong, in a guitarist's words, no full stop */
  GlnText advice;  /* what to do; empty when there is nothing to advise */
} GlnDiag;

#define GLN_DIAGS_MAX 1000 /* more faults than this in one file are counted, not kept */

typedef struct GlnDiags {
  GlnArena *arena;
  GlnDiag *items;
  size_t count;
  size_t capacity;
  size_t error_count; /* all errors, kept or not */
  size_t dropped;     /* past GLN_DIAGS_MAX, or memory ran out */
} GlnDiags;

GlnDiags gln_diags(GlnArena *arena);
/* problem and advice are copied into the arena by the _format forms and borrowed by gln_diags_add. */
void gln_diags_add(GlnDiags *diags, GlnDiag diag);
__attribute__((format(printf, 6, 7))) void gln_diags_format(GlnDiags *diags, GlnSeverity severity,
                                                            size_t offset, size_t length, const char *advice,
                                                            const char *format, ...);
/* Line and column of an offset, both from 1; the column counts code points. */
typedef struct GlnPlace {
  size_t line, column;
  GlnText line_text; /* without its line end */
} GlnPlace;
GlnPlace gln_text_place(GlnText source, size_t offset);
/* "file:line:column: error: problem; advice", the line and an underline, in order of place. */
void gln_diags_print(const GlnDiags *diags, GlnText file, GlnText source, GlnBuffer *out);

/* ---- ratio: exact positions in time ------------------------------------------------------------------ */

/* In lowest terms, den > 0. Built from small music numbers; overflow past 2^62 saturates by assert. */
typedef struct GlnRatio {
  int64_t num, den;
} GlnRatio;

GlnRatio gln_ratio(int64_t num, int64_t den);
GlnRatio gln_ratio_add(GlnRatio a, GlnRatio b);
GlnRatio gln_ratio_subtract(GlnRatio a, GlnRatio b);
GlnRatio gln_ratio_multiply(GlnRatio a, GlnRatio b);
GlnRatio gln_ratio_divide(GlnRatio a, GlnRatio b); /* b not zero */
int gln_ratio_compare(GlnRatio a, GlnRatio b);
double gln_ratio_value(GlnRatio a);
void gln_buffer_add_ratio(GlnBuffer *buffer, GlnRatio a); /* "3" or "7/2" */

#endif
