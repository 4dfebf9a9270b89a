/* A hand by its player's own measure. */
#include "grip_internal.h"

#include <math.h>

typedef struct Measures {
  double mm[GLN_FINGERS][GLN_FINGERS]; /* [a][b], a < b; 0 where not measured */
  int count;
} Measures;

static GlnStatus no(const char **why, const char *sentence) {
  if (why != NULL)
    *why = sentence;
  return GLN_INPUT;
}

/* "95" or "1-4=95". */
static GlnStatus read_measure(GlnText part, Measures *measures, const char **why) {
  size_t equals = gln_text_find(part, GLN_TEXT("="), 0);
  long a = 1, b = GLN_FINGERS;
  GlnText number = part;
  if (equals < part.length) {
    GlnText pair = gln_text_trim(gln_text_slice(part, 0, equals));
    size_t dash = gln_text_find(pair, GLN_TEXT("-"), 0);
    number = gln_text_from(part, equals + 1);
    if (dash == pair.length ||
        gln_text_integer(gln_text_trim(gln_text_slice(pair, 0, dash)), 1, GLN_FINGERS, &a) != GLN_OK ||
        gln_text_integer(gln_text_trim(gln_text_from(pair, dash + 1)), 1, GLN_FINGERS, &b) != GLN_OK ||
        a >= b)
      return no(why, "name two fingers, the lower first, 1 the first and 4 the little finger: 1-4=95");
  }
  double mm = 0;
  if (gln_text_number(gln_text_trim(number), &mm) != GLN_OK || !(mm >= GLN_REACH_MM_MIN) ||
      mm > GLN_REACH_MM_MAX)
    return no(why, "a reach is a number of millimetres from 15 to 200");
  if (measures->mm[a - 1][b - 1] > 0)
    return no(why, "two fingers are measured twice");
  measures->mm[a - 1][b - 1] = mm;
  measures->count++;
  return GLN_OK;
}

/* Is the pair (c, d) the same as (a, b), or between them? */
static bool within(int c, int d, int a, int b) {
  return a <= c && d <= b && (a != c || b != d);
}

/* The widest pair measured within a and b, and the narrowest around them (INFINITY when none). */
static void bounds(const Measures *measures, int a, int b, double *least, double *most) {
  *least = 0;
  *most = INFINITY;
  for (int c = 0; c < GLN_FINGERS; c++)
    for (int d = c + 1; d < GLN_FINGERS; d++) {
      double mm = measures->mm[c][d];
      if (mm > 0 && within(c, d, a, b))
        *least = fmax(*least, mm);
      if (mm > 0 && within(a, b, c, d))
        *most = fmin(*most, mm);
    }
}

/* How this hand compares with the medium one, over the pairs that were measured. */
static double mean_scale(const Measures *measures, const GlnHand *medium) {
  double sum = 0;
  for (int a = 0; a < GLN_FINGERS; a++)
    for (int b = a + 1; b < GLN_FINGERS; b++)
      if (measures->mm[a][b] > 0)
        sum += measures->mm[a][b] / medium->reach_mm[a][b];
  return sum / measures->count;
}

static GlnStatus fill(const Measures *measures, GlnHand *hand, const char **why) {
  double scale = mean_scale(measures, hand);
  hand->across_mm *= scale;
  for (int a = 0; a < GLN_FINGERS; a++)
    for (int b = a + 1; b < GLN_FINGERS; b++) {
      double least = 0, most = 0;
      bounds(measures, a, b, &least, &most);
      double mm = measures->mm[a][b];
      if (mm > 0 && (mm < least || mm > most))
        return no(why, "two fingers reach no less far than two that lie between them: measure again");
      hand->reach_mm[a][b] = mm > 0 ? mm : fmin(fmax(hand->reach_mm[a][b] * scale, least), most);
      hand->ease_mm[a][b] = hand->reach_mm[a][b] * gln_ease_share(a, b);
      hand->closest_mm[a][b] = fmin(hand->closest_mm[a][b], hand->ease_mm[a][b]);
    }
  return GLN_OK;
}

GlnStatus gln_hand_measured(GlnText reach, GlnHand *hand, const char **why) {
  Measures measures = {.count = 0};
  for (GlnText rest = reach;;) {
    size_t end = gln_text_find(rest, GLN_TEXT(","), 0);
    GLN_TRY(read_measure(gln_text_slice(rest, 0, end), &measures, why));
    if (end == rest.length)
      break;
    rest = gln_text_from(rest, end + 1);
  }
  GlnHand measured = gln_hand(GLN_HAND_MEDIUM);
  measured.name = "measured";
  GLN_TRY(fill(&measures, &measured, why));
  *hand = measured;
  return GLN_OK;
}
