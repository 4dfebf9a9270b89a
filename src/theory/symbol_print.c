/* Spells chords: the row of the table where there is one, else the row that needs the fewest words besides.
 * Both spellings read back as the same chord. */
#include "theory_internal.h"

#include <stdlib.h>
#include <string.h>

/* Of a tone that the row lacks. */
typedef enum Manner {
  MANNER_ALTERED, /* b9, #5: takes the natural tone's place */
  MANNER_TENSION, /* 9, 11, 13 and their alterations on a chord with a seventh */
  MANNER_ADDED,   /* add9, addb7 */
  MANNER_NO_WAY
} Manner;

/* A bare number or accidental reads as itself only where the reader takes nothing else away for it. */
static Manner manner_of(const GlnDegreeSet *row, const GlnDegreeSet *wanted, bool words_only,
                        GlnDegree degree) {
  int number = degree.number;
  bool tension = number == 9 || number == 11 || number == 13;
  bool natural_there = gln_set_has(row, number, 0);
  bool natural_goes = natural_there && !gln_set_has(wanted, number, 0);
  if (number == 2 && degree.alteration == 0)
    return MANNER_NO_WAY; /* add2 reads as the ninth */
  if (degree.alteration != 0 && natural_goes && (number == 5 || (tension && words_only)))
    return MANNER_ALTERED;
  if (tension && gln_set_has_number(row, 7) && (degree.alteration == 0 || !natural_there))
    return MANNER_TENSION;
  return MANNER_ADDED;
}

/* Whether the reader's head takes the whole suffix; what its items name (m7b5, 6/9, add9) no other item takes away. */
static bool is_words_only(const char *suffix) {
  return strpbrk(suffix, "(#b/") == NULL && strstr(suffix, "add") == NULL;
}

/* What spelling the wanted tones from a row takes: more for rarer words; -1 when it cannot be done. Omitting
 * reaches only the tones that the row's own words bring, so rows spelled with accidentals or brackets omit
 * nothing. */
static int price(const char *suffix, const GlnDegreeSet *row, const GlnDegreeSet *wanted,
                 GlnDegreeSet *omitted) {
  static const int PRICES[] = {[MANNER_ALTERED] = 1, [MANNER_TENSION] = 2, [MANNER_ADDED] = 3};
  bool words_only = is_words_only(suffix);
  GlnDegreeSet added = gln_set_without(wanted, row);
  int sum = 0;
  *omitted = gln_set_without(row, wanted);
  for (GlnDegree degree = {0, 0}; gln_set_next(&added, &degree);) {
    Manner manner = manner_of(row, wanted, words_only, degree);
    if (manner == MANNER_NO_WAY)
      return -1;
    if (manner == MANNER_ALTERED)
      gln_set_remove(omitted, degree.number, 0);
    sum += PRICES[manner];
  }
  int omissions = gln_set_count(omitted);
  return omissions > 0 && !words_only ? -1 : sum + 4 * omissions;
}

static void write_suffix(GlnWriter *writer, const char *suffix, GlnSigns signs) {
  for (const char *at = suffix; *at != '\0'; at++) {
    if (*at == 'b' || *at == '#')
      gln_write_accidental(writer, *at == 'b' ? -1 : 1, signs);
    else
      gln_write_text(writer, (GlnText){at, 1});
  }
}

static void write_separator(GlnWriter *writer, int *items) {
  gln_write(writer, (*items)++ == 0 ? "(" : ",");
}

static void write_by_tones(GlnWriter *writer, const GlnDegreeSet *wanted, GlnSigns signs) {
  const GlnQuality *best = NULL;
  GlnDegreeSet best_omitted = {{0}};
  int best_price = 0;
  for (size_t i = 0; i < gln_quality_count(); i++) {
    if (GLN_QUALITY_ROWS[i].family == GLN_FAMILY_NONE || GLN_QUALITY_ROWS[i].family == GLN_FAMILY_ALT)
      continue;
    const GlnQuality *quality = gln_quality_at(i);
    GlnDegreeSet row = gln_set_of(quality->degrees);
    GlnDegreeSet omitted;
    int row_price = price(quality->suffix, &row, wanted, &omitted);
    if (row_price >= 0 && (best == NULL || row_price < best_price)) {
      best = quality;
      best_price = row_price;
      best_omitted = omitted;
    }
  }
  if (best == NULL)
    return; /* not reached: sus2 with add and omit spells every set */
  write_suffix(writer, best->suffix, signs);
  GlnDegreeSet row = gln_set_of(best->degrees);
  GlnDegreeSet added = gln_set_without(wanted, &row);
  bool words_only = is_words_only(best->suffix);
  int items = 0;
  for (GlnDegree degree = {0, 0}; gln_set_next(&added, &degree);) {
    write_separator(writer, &items);
    if (manner_of(&row, wanted, words_only, degree) == MANNER_ADDED)
      gln_write(writer, degree.number == 7 && degree.alteration == 0 ? "addmaj" : "add");
    gln_write_degree(writer, degree, signs);
  }
  for (GlnDegree degree = {0, 0}; gln_set_next(&best_omitted, &degree);) {
    write_separator(writer, &items);
    gln_write(writer, "omit");
    gln_write_integer(writer, degree.number);
  }
  if (items > 0)
    gln_write(writer, ")");
}

size_t gln_chord_print(const GlnChord *chord, GlnSigns signs, char out[GLN_SYMBOL_TEXT_MAX]) {
  GlnWriter writer = gln_writer(out, GLN_SYMBOL_TEXT_MAX);
  if (chord->silent) {
    gln_write(&writer, "N.C.");
    return writer.length;
  }
  gln_write_note(&writer, chord->root, signs);
  if (chord->quality >= 0) {
    write_suffix(&writer, gln_quality_at((size_t)chord->quality)->suffix, signs);
  } else {
    GlnDegreeSet wanted = gln_chord_own_set(chord);
    write_by_tones(&writer, &wanted, signs);
  }
  if (chord->has_bass) {
    gln_write(&writer, "/");
    gln_write_note(&writer, chord->bass, signs);
  }
  return writer.length;
}

/* ---- Harte syntax ---- */

/* The shorthand nearest to the tones; in its list degrees are added as they are and * takes one away. */
static size_t harte_row(const GlnDegreeSet *wanted) {
  size_t best = 0;
  int best_price = -1;
  for (size_t i = 0; i < gln_quality_count(); i++) {
    if (gln_quality_at(i)->harte == NULL)
      continue;
    GlnDegreeSet row = gln_set_of(gln_quality_at(i)->degrees);
    GlnDegreeSet added = gln_set_without(wanted, &row);
    GlnDegreeSet omitted = gln_set_without(&row, wanted);
    int row_price = 2 * gln_set_count(&added) + 3 * gln_set_count(&omitted);
    if (best_price < 0 || row_price < best_price) {
      best = i;
      best_price = row_price;
    }
  }
  return best;
}

static void write_harte_list(GlnWriter *writer, const GlnDegreeSet *set, const char *mark, int *items) {
  for (GlnDegree degree = {0, 0}; gln_set_next(set, &degree);) {
    write_separator(writer, items);
    gln_write(writer, mark);
    gln_write_degree(writer, degree, GLN_SIGNS_ASCII);
  }
}

size_t gln_chord_print_harte(const GlnChord *chord, char out[GLN_SYMBOL_TEXT_MAX]) {
  GlnWriter writer = gln_writer(out, GLN_SYMBOL_TEXT_MAX);
  if (chord->silent) {
    gln_write(&writer, "N");
    return writer.length;
  }
  GlnDegreeSet wanted = gln_chord_own_set(chord);
  const GlnQuality *quality = gln_quality_at(harte_row(&wanted));
  GlnDegreeSet row = gln_set_of(quality->degrees);
  GlnDegreeSet omitted = gln_set_without(&row, &wanted);
  GlnDegreeSet added = gln_set_without(&wanted, &row);
  int items = 0;
  gln_write_note(&writer, chord->root, GLN_SIGNS_ASCII);
  gln_write(&writer, ":");
  gln_write(&writer, quality->harte);
  write_harte_list(&writer, &omitted, "*", &items);
  write_harte_list(&writer, &added, "", &items);
  if (items > 0)
    gln_write(&writer, ")");
  if (chord->has_bass) {
    const GlnTone *tone = &chord->tones[chord->bass_tone];
    bool same_name = gln_note_equal(tone->note, chord->bass);
    gln_write(&writer, "/");
    gln_write_degree(&writer, same_name ? tone->degree : gln_degree_between(chord->root, chord->bass),
                     GLN_SIGNS_ASCII);
  }
  return writer.length;
}
