/* Numbers read from text, whatever the locale. */
#include "base.h"

/* Takes the sign off the text. */
static bool take_minus(GlnText *text) {
  bool minus = gln_text_starts(*text, GLN_TEXT("-"));
  if (minus)
    *text = gln_text_from(*text, 1);
  return minus;
}

GlnStatus gln_text_integer(GlnText text, long low, long high, long *value) {
  bool minus = take_minus(&text);
  if (text.length == 0)
    return GLN_INPUT;
  long result = 0;
  for (size_t i = 0; i < text.length; i++) {
    if (!gln_is_digit(text.at[i]))
      return GLN_INPUT;
    long digit = text.at[i] - '0';
    /* Counts down below zero, for LONG_MIN has no positive twin. */
    if (__builtin_mul_overflow(result, 10L, &result) ||
        __builtin_add_overflow(result, minus ? -digit : digit, &result))
      return GLN_INPUT;
  }
  if (result < low || result > high)
    return GLN_INPUT;
  *value = result;
  return GLN_OK;
}

/* The digits of a plain decimal number as one integer, and how many of them follow the point. At most 15
 * significant digits and 22 decimals count: then digits and power of ten are both exact in a double, and
 * their quotient is the nearest double (Clinger 1990, "How to read floating point numbers accurately").
 * Further decimals cannot move a number of ours; further digits before the point make it too large to be one.
 */
#define DIGITS_MAX   (INT64_C(1000000000000000))
#define DECIMALS_MAX 22

GlnStatus gln_text_number(GlnText text, double *value) {
  bool minus = take_minus(&text);
  int64_t digits = 0;
  int decimals = 0;
  bool point = false;
  bool digit_last = false;
  for (size_t i = 0; i < text.length; i++) {
    char c = text.at[i];
    digit_last = gln_is_digit(c);
    if (c == '.' && !point) {
      point = true;
      continue;
    }
    if (!digit_last)
      return GLN_INPUT;
    if (digits * 10 >= DIGITS_MAX || decimals == DECIMALS_MAX) {
      if (!point)
        return GLN_INPUT;
      continue;
    }
    digits = digits * 10 + (c - '0');
    decimals += point ? 1 : 0;
  }
  if (!digit_last)
    return GLN_INPUT;
  double power = 1.0;
  for (int i = 0; i < decimals; i++)
    power *= 10.0;
  *value = (minus ? -(double)digits : (double)digits) / power;
  return GLN_OK;
}
