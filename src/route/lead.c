/* Voice leading: the smallest total of semitones between two sets, Tymoczko, Science 313 (2006). */
#include "route_internal.h"

#include <stdlib.h>

#define VOICES_MAX 16 /* more voices than any instrument here has strings */

static int least(int a, int b) {
  return a < b ? a : b;
}

/* Never worth crossing voices on a line, so the best pairing is a monotone path through the table of distances:
 * every step leaves one voice, the other, or both. */
int gln_lead_sorted(const int8_t *from, int from_count, const int8_t *to, int to_count) {
  int row[VOICES_MAX];
  if (from_count == 0 || to_count == 0)
    return 0;
  int reached = 0;
  for (int j = 0; j < to_count; ++j) {
    reached += abs(from[0] - to[j]);
    row[j] = reached;
  }
  for (int i = 1; i < from_count; ++i) {
    int diagonal = row[0];
    int left = row[0] += abs(from[i] - to[0]);
    for (int j = 1; j < to_count; ++j) {
      int up = row[j];
      left = row[j] = abs(from[i] - to[j]) + least(diagonal, least(left, up));
      diagonal = up;
    }
  }
  return row[to_count - 1];
}

static void sort_row(int8_t *row, size_t count) {
  for (size_t i = 1; i < count; ++i) {
    int8_t value = row[i];
    size_t at = i;
    for (; at > 0 && row[at - 1] > value; --at)
      row[at] = row[at - 1];
    row[at] = value;
  }
}

static void copy_sorted(int8_t *out, const int8_t *row, size_t count) {
  for (size_t i = 0; i < count; ++i)
    out[i] = row[i];
  sort_row(out, count);
}

int gln_voice_leading(const int8_t *from, size_t from_count, const int8_t *to, size_t to_count,
                      bool doubling) {
  int8_t a[VOICES_MAX], b[VOICES_MAX];
  if (from_count > VOICES_MAX || to_count > VOICES_MAX || from_count == 0 || to_count == 0)
    return -1;
  copy_sorted(a, from, from_count);
  copy_sorted(b, to, to_count);
  if (doubling)
    return gln_lead_sorted(a, (int)from_count, b, (int)to_count);
  if (from_count != to_count)
    return -1;
  int total = 0;
  for (size_t i = 0; i < from_count; ++i)
    total += abs(a[i] - b[i]);
  return total;
}

static int round_the_circle(int from, int to) {
  int up = ((to - from) % 12 + 12) % 12;
  return least(up, 12 - up);
}

/* Sorted round the circle, voices need not cross either: once from[0] goes to some to[start], the rest is the same
 * monotone path, closed by coming back to that first pair (counted once). */
static int circle_from(const int8_t *from, int from_count, const int8_t *to, int to_count, int start) {
  int table[VOICES_MAX + 1][VOICES_MAX + 1];
  for (int i = 0; i <= from_count; ++i)
    for (int j = 0; j <= to_count; ++j) {
      int distance = round_the_circle(from[i % from_count], to[(start + j) % to_count]);
      if (i == 0 && j == 0) {
        table[i][j] = distance;
        continue;
      }
      if (i == from_count && j == to_count)
        distance = 0;
      int before = i == 0 ? table[i][j - 1] : j == 0 ? table[i - 1][j] : table[i - 1][j - 1];
      if (i > 0 && j > 0)
        before = least(before, least(table[i - 1][j], table[i][j - 1]));
      table[i][j] = before + distance;
    }
  return table[from_count][to_count];
}

int gln_voice_leading_classes(const int8_t *from, size_t from_count, const int8_t *to, size_t to_count,
                              bool doubling) {
  int8_t a[VOICES_MAX], b[VOICES_MAX];
  if (from_count > VOICES_MAX || to_count > VOICES_MAX || from_count == 0 || to_count == 0)
    return -1;
  if (!doubling && from_count != to_count)
    return -1;
  copy_sorted(a, from, from_count);
  copy_sorted(b, to, to_count);
  int best = 12 * VOICES_MAX;
  for (int start = 0; start < (int)to_count; ++start) {
    int total = 0;
    if (doubling)
      total = circle_from(a, (int)from_count, b, (int)to_count, start);
    else
      for (size_t i = 0; i < from_count; ++i)
        total += round_the_circle(a[i], b[(i + (size_t)start) % to_count]);
    best = least(best, total);
  }
  return best;
}
