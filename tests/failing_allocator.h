/* An allocator that allows so many allocations and no more, for showing that a job which runs out of memory
 * says so, leaks nothing and touches nothing it should not (run it with the sanitizers).
 *
 *   static GlnStatus job(GlnArena *arena, void *context) { ... return gln_chart_read(arena, ...); }
 *   assert_true(failing_allocator_sweep(job, context, 10000) >= 1);
 *
 * The sweep calls the job with an arena that is allowed 0, 1, 2 … allocations until the job succeeds, and
 * fails the test when the job answers anything but GLN_MEMORY before, or frees less than it took. */
#ifndef GLN_TESTS_FAILING_ALLOCATOR_H
#define GLN_TESTS_FAILING_ALLOCATOR_H

#include "base.h"

#include <stdlib.h>

typedef struct FailingAllocator {
  size_t allowed; /* allocations that still succeed */
  size_t alive;   /* blocks taken and not given back */
  bool refused;   /* whether any was asked for in vain */
} FailingAllocator;

static inline void *failing_allocator_allocate(void *context, size_t bytes) {
  FailingAllocator *self = context;
  if (self->allowed == 0) {
    self->refused = true;
    return NULL;
  }
  self->allowed--;
  void *block = malloc(bytes);
  self->alive += block != NULL ? 1 : 0;
  return block;
}

static inline void failing_allocator_release(void *context, void *block) {
  FailingAllocator *self = context;
  self->alive -= block != NULL ? 1 : 0;
  free(block);
}

static inline GlnAllocator failing_allocator(FailingAllocator *self) {
  return (GlnAllocator){failing_allocator_allocate, failing_allocator_release, self};
}

typedef GlnStatus (*FailingAllocatorJob)(GlnArena *arena, void *context);

/* The number of allocations that the job needed, the arena's own among them. A job that outgrows the arena's
 * blocks needs more than two, so it is tried at each of them. */
static inline size_t failing_allocator_sweep(FailingAllocatorJob job, void *context, size_t most) {
  for (size_t allowed = 0; allowed <= most; allowed++) {
    FailingAllocator failing = {.allowed = allowed};
    GlnAllocator allocator = failing_allocator(&failing);
    GlnArena *arena = gln_arena_new(&allocator, 0);
    GlnStatus status = arena != NULL ? job(arena, context) : GLN_MEMORY;
    gln_arena_free(arena);
    assert_int_equal(failing.alive, 0);
    if (!failing.refused) {
      assert_int_equal(status, GLN_OK);
      return allowed;
    }
    assert_int_equal(status, GLN_MEMORY);
  }
  fail_msg("%s", "the job never had enough memory");
  return 0;
}

/* The same with the arena's limit moved up in steps of so many bytes: this reaches every single place where
 * the job asks its arena for memory, the places between two blocks too. */
static inline size_t failing_allocator_sweep_bytes(FailingAllocatorJob job, void *context, size_t step,
                                                   size_t most) {
  for (size_t limit = step; limit <= most; limit += step) {
    GlnArena *arena = gln_arena_new(NULL, limit);
    assert_non_null(arena);
    GlnStatus status = job(arena, context);
    gln_arena_free(arena);
    if (status == GLN_OK)
      return limit;
    assert_int_equal(status, GLN_MEMORY);
  }
  fail_msg("%s", "the job never had enough memory");
  return 0;
}

#endif
