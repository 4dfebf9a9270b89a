/* How well a thing is remembered: half-life regression, and what a practice does to the half-life. */
#include "study.h"

#include <math.h>

const char *gln_rating_key(GlnRating rating) {
  static const char *const keys[] = {
#define KEY(name, key, gain) [name] = key,
      GLN_RATING_LIST(KEY)
#undef KEY
  };
  return keys[rating];
}

double gln_rating_gain(GlnRating rating) {
  static const double gains[] = {
#define GAIN(name, key, gain) [name] = gain,
      GLN_RATING_LIST(GAIN)
#undef GAIN
  };
  return gains[rating];
}

const char *gln_strain_key(GlnStrain strain) {
  static const char *const keys[] = {"none", "some", "pain"};
  return keys[strain];
}

const char *gln_standing_key(GlnStanding standing) {
  static const char *const keys[] = {
#define KEY(name, key, words) [name] = key,
      GLN_STANDING_LIST(KEY)
#undef KEY
  };
  return keys[standing];
}

const char *gln_standing_words(GlnStanding standing) {
  static const char *const words_of[] = {
#define WORDS(name, key, words) [name] = words,
      GLN_STANDING_LIST(WORDS)
#undef WORDS
  };
  return words_of[standing];
}

double gln_recall(double days, double half_life_days) {
  double h = fmax(half_life_days, GLN_HALF_LIFE_MIN);
  return exp2(-fmax(days, 0) / h);
}

/* Half-life after a first practice of middling difficulty, days, and by how many powers of two one gain more or less
 * than "good" changes it. Design choices, tuned on the learners of bench_study. */
#define FIRST_HALF_LIFE 3.0
#define FIRST_SLOPE     1.0
/* A practice counts in full when recall has sunk so far; at once after another it counts for nothing: what is spaced is
 * kept (Cepeda et al. 2008). Design choice, tuned as above. */
#define FULL_AT 0.6

static double bounded(double half_life) {
  return fmin(fmax(half_life, GLN_HALF_LIFE_MIN), GLN_HALF_LIFE_MAX);
}

void gln_memory_foresee(GlnMemory *memory, double difficulty, GlnDay day, double gain) {
  if (memory->practised == 0) {
    double first = FIRST_HALF_LIFE * (1.3 - 0.6 * fmin(fmax(difficulty, 0), 1));
    *memory = (GlnMemory){.practised = 1,
                          .first = day,
                          .last = day,
                          .half_life = bounded(first * exp2(FIRST_SLOPE * (gain - 1))),
                          .tempo = memory->tempo,
                          .rating = memory->rating};
    return;
  }
  double recall = gln_memory_recall(memory, day);
  double spaced = gain < 0 ? 1 : fmin((1 - recall) / (1 - FULL_AT), 1);
  memory->half_life = bounded(memory->half_life * exp2(gain * spaced));
  if (day > memory->last) { /* a clock that was set back makes no second first day */
    memory->practised++;
    memory->last = day;
  }
}

void gln_memory_practise(GlnMemory *memory, double difficulty, GlnDay day, GlnRating rating, double tempo) {
  gln_memory_foresee(memory, difficulty, day, gln_rating_gain(rating));
  memory->rating = rating;
  if (rating >= GLN_RATING_GOOD && tempo > memory->tempo)
    memory->tempo = tempo;
}

double gln_memory_recall(const GlnMemory *memory, GlnDay day) {
  return memory->practised > 0 ? gln_recall((double)day - (double)memory->last, memory->half_life) : 0;
}

/* Design choices: three days of practice, and four chances in five that it is there. */
#define SOLID_DAYS   3
#define SOLID_RECALL 0.8

GlnStanding gln_memory_standing(const GlnMemory *memory, GlnDay day) {
  if (memory->practised == 0)
    return GLN_STANDING_UNTOUCHED;
  bool is_there = memory->practised >= SOLID_DAYS && gln_memory_recall(memory, day) >= SOLID_RECALL &&
                  memory->rating != GLN_RATING_AGAIN;
  return is_there ? GLN_STANDING_SOLID : GLN_STANDING_SHAKY;
}
