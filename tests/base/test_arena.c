#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "base.h"
#include "failing_allocator.h"

#include <stdalign.h>
#include <string.h>

static void memory_is_zeroed_aligned_and_apart(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  unsigned char *previous = NULL;
  for (size_t size = 0; size < 10000; size += 37) {
    unsigned char *at = gln_arena_alloc(arena, size, 1);
    assert_non_null(at);
    assert_int_equal((uintptr_t)at % alignof(max_align_t), 0);
    assert_true(at != previous);
    for (size_t i = 0; i < size; i++)
      assert_int_equal(at[i], 0);
    memset(at, 0xAA, size);
    previous = at;
  }
  gln_arena_free(arena);
}

static void a_product_that_overflows_gives_null(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  assert_null(gln_arena_alloc(arena, SIZE_MAX / 2 + 1, 2));
  assert_null(gln_arena_alloc(arena, SIZE_MAX, 1));
  assert_null(gln_arena_alloc(arena, SIZE_MAX - 40, 1));
  assert_null(gln_arena_alloc(arena, 2, SIZE_MAX));
  assert_int_equal(gln_arena_used(arena), 0);
  assert_non_null(gln_arena_alloc(arena, SIZE_MAX, 0));
  gln_arena_free(arena);
}

static void the_limit_holds_and_spares_what_fits(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 1024);
  assert_non_null(arena);
  assert_non_null(gln_arena_alloc(arena, 1, 1000));
  assert_null(gln_arena_alloc(arena, 1, 100));
  assert_non_null(gln_arena_alloc(arena, 1, 16));
  assert_int_equal(gln_arena_used(arena), 1024);
  assert_null(gln_arena_alloc(arena, 1, 1));
  gln_arena_free(arena);
}

static void rewind_gives_back_and_keeps_what_came_before(void **state) {
  (void)state;
  FailingAllocator counting = {.allowed = SIZE_MAX};
  GlnAllocator allocator = failing_allocator(&counting);
  GlnArena *arena = gln_arena_new(&allocator, 0);
  assert_non_null(arena);
  GlnArenaMark empty = gln_arena_mark(arena);
  char *kept = gln_text_copy(arena, GLN_TEXT("kept"));
  size_t used = gln_arena_used(arena);
  size_t blocks = counting.alive;
  GlnArenaMark mark = gln_arena_mark(arena);
  for (int i = 0; i < 100; i++)
    memset(gln_arena_alloc(arena, 1, 10000), 0xFF, 10000);
  assert_true(counting.alive > blocks);
  gln_arena_rewind(arena, mark);
  assert_int_equal(counting.alive, blocks);
  assert_int_equal(gln_arena_used(arena), used);
  assert_string_equal(kept, "kept");
  unsigned char *again = gln_arena_alloc(arena, 1, 64);
  for (size_t i = 0; i < 64; i++)
    assert_int_equal(again[i], 0);
  gln_arena_rewind(arena, empty);
  assert_int_equal(gln_arena_used(arena), 0);
  gln_arena_free(arena);
  assert_int_equal(counting.alive, 0);
}

static GlnStatus fill_a_buffer(GlnArena *arena, void *context) {
  GlnBuffer buffer = gln_buffer(arena);
  for (int i = 0; i < 2000; i++)
    gln_buffer_format(&buffer, "bar %d ", i);
  *(size_t *)context = buffer.length;
  return gln_buffer_status(&buffer);
}

static GlnStatus collect_and_print(GlnArena *arena, void *context) {
  GlnText source = GLN_TEXT("| C | Hmaj7 |\n| F |\n");
  GlnDiags diags = gln_diags(arena);
  for (size_t i = 0; i < 40; i++)
    gln_diags_format(&diags, GLN_ERROR, i % source.length, 3, "write it so", "fault %zu", i);
  assert_int_equal(diags.count + diags.dropped, 40);
  assert_int_equal(diags.error_count, 40);
  GlnBuffer out = gln_buffer(arena);
  gln_diags_print(&diags, GLN_TEXT("a.chart"), source, &out);
  *(size_t *)context = out.length;
  return diags.dropped > 0 ? GLN_MEMORY : gln_buffer_status(&out);
}

static void running_out_of_memory_is_said_at_every_allocation(void **state) {
  (void)state;
  size_t length = 0;
  assert_in_range(failing_allocator_sweep(fill_a_buffer, &length, 100), 4, 20);
  assert_int_equal(length, 2000 * 5 + 10 + 90 * 2 + 900 * 3 + 1000 * 4);
  assert_in_range(failing_allocator_sweep(collect_and_print, &length, 100), 3, 20);
  assert_true(length > 0);
  assert_true(failing_allocator_sweep_bytes(fill_a_buffer, &length, 512, 1 << 20) > length);
  assert_true(failing_allocator_sweep_bytes(collect_and_print, &length, 96, 1 << 20) > length);
}

#if defined(__SANITIZE_ADDRESS__)
#define UNDER_ADDRESS_SANITIZER 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define UNDER_ADDRESS_SANITIZER 1
#endif
#endif

#ifdef UNDER_ADDRESS_SANITIZER
int __asan_address_is_poisoned(void const volatile *at);

static void the_sanitizer_sees_past_the_end_and_after_a_rewind(void **state) {
  (void)state;
  GlnArena *arena = gln_arena_new(NULL, 0);
  assert_non_null(arena);
  const char *first = gln_arena_alloc(arena, 1, 13);
  GlnArenaMark mark = gln_arena_mark(arena);
  const char *second = gln_arena_alloc(arena, 1, 13);
  assert_false(__asan_address_is_poisoned(first + 12));
  assert_true(__asan_address_is_poisoned(first + 13));
  assert_true(__asan_address_is_poisoned(second - 1));
  assert_false(__asan_address_is_poisoned(second));
  gln_arena_rewind(arena, mark);
  assert_true(__asan_address_is_poisoned(second));
  assert_false(__asan_address_is_poisoned(first + 12));
  gln_arena_free(arena);
}
#endif

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(memory_is_zeroed_aligned_and_apart),
      cmocka_unit_test(a_product_that_overflows_gives_null),
      cmocka_unit_test(the_limit_holds_and_spares_what_fits),
      cmocka_unit_test(rewind_gives_back_and_keeps_what_came_before),
      cmocka_unit_test(running_out_of_memory_is_said_at_every_allocation),
#ifdef UNDER_ADDRESS_SANITIZER
      cmocka_unit_test(the_sanitizer_sees_past_the_end_and_after_a_rewind),
#endif
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
