/* docs/hand-model.md gives the constants that the hand is built of. */
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <setjmp.h>
#include <cmocka.h>

#include "base.h"

#include <stdio.h>
#include <string.h>

#define PAGE_MAX 65536

static char page[PAGE_MAX], table[PAGE_MAX];

static void read_file(const char *path, char out[PAGE_MAX]) {
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  size_t length = fread(out, 1, PAGE_MAX - 1, file);
  assert_true(length > 0 && length < PAGE_MAX - 1);
  out[length] = '\0';
  assert_int_equal(fclose(file), 0);
}

/* The numbers of a text, without f, braces and trailing zeros: "{0.035f, 0.10f}" is "0.035 0.1 ". */
static void numbers_of(const char *from, const char *end, char out[256]) {
  size_t length = 0;
  while (from < end) {
    if (!gln_is_digit(*from)) {
      from++;
      continue;
    }
    const char *start = from;
    bool fraction = false;
    while (from < end && (gln_is_digit(*from) || *from == '.'))
      fraction = *from++ == '.' || fraction;
    const char *last = from;
    while (fraction && last > start + 1 && last[-1] == '0')
      last--;
    assert_true(length + (size_t)(last - start) + 2 < 256);
    memcpy(out + length, start, (size_t)(last - start));
    length += (size_t)(last - start);
    out[length++] = ' ';
  }
  out[length] = '\0';
}

/* "| `name` | value | …": the value's numbers are those of ".name = …" in the table. */
static void check_row(const char *row) {
  char name[64], in_page[256], in_table[256], field[80];
  const char *end = strchr(row, '`');
  assert_non_null(end);
  assert_true((size_t)(end - row) < sizeof name);
  memcpy(name, row, (size_t)(end - row));
  name[end - row] = '\0';
  const char *value = strchr(end, '|') + 1;
  numbers_of(value, strchr(value, '|'), in_page);
  (void)snprintf(field, sizeof field, "    .%s = ", name);
  const char *entry = strstr(table, field);
  if (entry == NULL)
    fail_msg("no constant is called %s", name);
  numbers_of(entry + strlen(field), strchr(entry, '\n'), in_table);
  assert_string_equal(in_page, in_table);
}

static void test_page_gives_the_constants(void **state) {
  (void)state;
  read_file("docs/hand-model.md", page);
  read_file("src/grip/hand_tables.c", table);
  size_t rows = 0, constants = 0;
  for (const char *row = strstr(page, "\n| `"); row != NULL; row = strstr(row + 1, "\n| `")) {
    check_row(row + 4);
    rows++;
  }
  const char *start = strstr(table, "GlnHoldWeights gln_hold_weights = {");
  assert_non_null(start);
  const char *end = strstr(start, "};");
  for (const char *at = strstr(start, "    ."); at != NULL && at < end; at = strstr(at + 1, "    ."))
    constants++;
  assert_true(constants > 20);
  assert_int_equal(rows, constants);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_page_gives_the_constants)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
