/* Exact fractions. */
#include "base.h"

#include <assert.h>
#include <inttypes.h>

/* An overflow is a mistake of ours: readers bound the numbers of a chart long before. */
static int64_t times(int64_t a, int64_t b) {
  int64_t product = 0;
  bool overflow = __builtin_mul_overflow(a, b, &product);
  assert(!overflow && "the numbers of music are small");
  return overflow ? 0 : product;
}

static int64_t common_divisor(int64_t a, int64_t b) {
  while (b != 0) {
    int64_t rest = a % b;
    a = b;
    b = rest;
  }
  return a < 0 ? -a : a;
}

GlnRatio gln_ratio(int64_t num, int64_t den) {
  assert(den != 0 && num > INT64_MIN && den > INT64_MIN);
  int64_t divisor = common_divisor(num, den);
  int64_t sign = den < 0 ? -1 : 1;
  return (GlnRatio){sign * num / divisor, sign * den / divisor};
}

GlnRatio gln_ratio_add(GlnRatio a, GlnRatio b) {
  int64_t divisor = common_divisor(a.den, b.den);
  int64_t left = times(a.num, b.den / divisor);
  int64_t right = times(b.num, a.den / divisor);
  int64_t sum = 0;
  bool overflow = __builtin_add_overflow(left, right, &sum);
  assert(!overflow && "the numbers of music are small");
  return gln_ratio(overflow ? 0 : sum, times(a.den, b.den / divisor));
}

GlnRatio gln_ratio_subtract(GlnRatio a, GlnRatio b) {
  return gln_ratio_add(a, (GlnRatio){-b.num, b.den});
}

GlnRatio gln_ratio_multiply(GlnRatio a, GlnRatio b) {
  /* Across first, so that the products stay as small as the result. */
  GlnRatio c = gln_ratio(a.num, b.den);
  GlnRatio d = gln_ratio(b.num, a.den);
  return (GlnRatio){times(c.num, d.num), times(c.den, d.den)};
}

GlnRatio gln_ratio_divide(GlnRatio a, GlnRatio b) {
  assert(b.num != 0);
  return gln_ratio_multiply(a, gln_ratio(b.den, b.num));
}

int gln_ratio_compare(GlnRatio a, GlnRatio b) {
  int64_t left = times(a.num, b.den);
  int64_t right = times(b.num, a.den);
  return (left > right) - (left < right);
}

double gln_ratio_value(GlnRatio a) {
  return (double)a.num / (double)a.den;
}

void gln_buffer_add_ratio(GlnBuffer *buffer, GlnRatio a) {
  gln_buffer_format(buffer, "%" PRId64, a.num);
  if (a.den != 1)
    gln_buffer_format(buffer, "/%" PRId64, a.den);
}
