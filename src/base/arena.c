/* Memory in blocks that are freed as one. */
#include "base.h"

#include <assert.h>
#include <stdalign.h>
#include <stdlib.h>
#include <string.h>

/* Design choice: a small job fits the first block; blocks double up to the largest, so that a big job makes
 * few calls to the allocator and wastes at most half. */
#define FIRST_BLOCK_BYTES   ((size_t)4096)
#define LARGEST_BLOCK_BYTES ((size_t)1 << 20)

/* Under AddressSanitizer whatever is not given out is poisoned, and a guard follows each allocation: the sanitizer sees
 * a read past the end of one, and one after a rewind, as it does with malloc. */
#if defined(__SANITIZE_ADDRESS__)
#define POISONING 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define POISONING 1
#endif
#endif
#ifdef POISONING
#define GUARD_BYTES ((size_t)16)
void __asan_poison_memory_region(void const volatile *at, size_t bytes);
void __asan_unpoison_memory_region(void const volatile *at, size_t bytes);
#define POISON(at, bytes)   __asan_poison_memory_region((at), (bytes))
#define UNPOISON(at, bytes) __asan_unpoison_memory_region((at), (bytes))
#else
#define GUARD_BYTES         ((size_t)0)
#define POISON(at, bytes)   ((void)0)
#define UNPOISON(at, bytes) ((void)0)
#endif

typedef struct Block {
  struct Block *older;
  size_t capacity; /* bytes after the header */
  size_t used;
  alignas(max_align_t) unsigned char bytes[];
} Block;

struct GlnArena {
  GlnAllocator allocator;
  Block *newest;
  size_t limit; /* bytes; SIZE_MAX when there is none */
  size_t total; /* bytes given out, with their padding */
};

static void *heap_allocate(void *context, size_t bytes) {
  (void)context;
  return malloc(bytes);
}

static void heap_release(void *context, void *block) {
  (void)context;
  free(block);
}

GlnArena *gln_arena_new(const GlnAllocator *allocator, size_t limit_bytes) {
  static const GlnAllocator heap = {heap_allocate, heap_release, NULL};
  const GlnAllocator *from = allocator != NULL ? allocator : &heap;
  GlnArena *arena = from->allocate(from->context, sizeof *arena);
  if (arena == NULL)
    return NULL;
  *arena = (GlnArena){.allocator = *from, .limit = limit_bytes != 0 ? limit_bytes : SIZE_MAX};
  return arena;
}

GlnArena *gln_arena_beside(const GlnArena *arena) {
  size_t left = arena->limit - arena->total;
  return left == 0 ? NULL : gln_arena_new(&arena->allocator, arena->limit == SIZE_MAX ? 0 : left);
}

static void release_newest(GlnArena *arena) {
  Block *block = arena->newest;
  UNPOISON(block->bytes, block->capacity);
  arena->newest = block->older;
  arena->allocator.release(arena->allocator.context, block);
}

void gln_arena_free(GlnArena *arena) {
  if (arena == NULL)
    return;
  while (arena->newest != NULL)
    release_newest(arena);
  GlnAllocator allocator = arena->allocator;
  allocator.release(allocator.context, arena);
}

static bool add_block(GlnArena *arena, size_t bytes) {
  size_t capacity = FIRST_BLOCK_BYTES;
  if (arena->newest != NULL && arena->newest->capacity >= FIRST_BLOCK_BYTES)
    capacity = arena->newest->capacity >= LARGEST_BLOCK_BYTES / 2 ? LARGEST_BLOCK_BYTES
                                                                  : arena->newest->capacity * 2;
  if (capacity < bytes)
    capacity = bytes;
  if (capacity > SIZE_MAX - sizeof(Block))
    return false;
  Block *block = arena->allocator.allocate(arena->allocator.context, sizeof(Block) + capacity);
  if (block == NULL)
    return false;
  block->older = arena->newest;
  block->capacity = capacity;
  block->used = 0;
  POISON(block->bytes, capacity);
  arena->newest = block;
  return true;
}

void *gln_arena_alloc(GlnArena *arena, size_t count, size_t size) {
  const size_t step = alignof(max_align_t);
  if (size != 0 && count > (SIZE_MAX - step - GUARD_BYTES) / size)
    return NULL;
  size_t wanted = count * size;
  /* Nothing still gets a place of its own, so that the pointer is valid and differs from every other. */
  size_t bytes = wanted == 0 ? step : (wanted + step - 1) / step * step;
  if (bytes > arena->limit - arena->total)
    return NULL;
  Block *block = arena->newest;
  if (block == NULL || bytes + GUARD_BYTES > block->capacity - block->used) {
    if (!add_block(arena, bytes + GUARD_BYTES))
      return NULL;
    block = arena->newest;
  }
  unsigned char *at = block->bytes + block->used;
  block->used += bytes + GUARD_BYTES;
  arena->total += bytes;
  UNPOISON(at, wanted == 0 ? 1 : wanted);
  memset(at, 0, wanted);
  return at;
}

size_t gln_arena_used(const GlnArena *arena) {
  return arena->total;
}

GlnArenaMark gln_arena_mark(const GlnArena *arena) {
  return (GlnArenaMark){
      .block = arena->newest, .used = arena->newest != NULL ? arena->newest->used : 0, .total = arena->total};
}

void gln_arena_rewind(GlnArena *arena, GlnArenaMark mark) {
  while (arena->newest != mark.block) {
    assert(arena->newest != NULL && "the mark is of this arena, and no older mark was rewound before");
    release_newest(arena);
  }
  if (arena->newest != NULL) {
    POISON(arena->newest->bytes + mark.used, arena->newest->capacity - mark.used);
    arena->newest->used = mark.used;
  }
  arena->total = mark.total;
}
