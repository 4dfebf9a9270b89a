/* A student's record as JSON, out and in: what one gripline wrote another reads. */
#include "interchange.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

GlnStatus gln_record_write_json(GlnText student, const GlnPractice *practices, size_t count, GlnBuffer *out) {
  GlnJson *json = gln_json_new(out->arena, "record");
  if (json == NULL)
    return GLN_MEMORY;
  gln_json_add_text(json, "student", student);
  gln_json_open_array(json, "practices");
  for (size_t i = 0; i < count; i++) {
    const GlnPractice *practice = &practices[i];
    char day[GLN_DAY_TEXT_MAX];
    gln_day_print(practice->day, day);
    gln_json_open_object(json, NULL);
    gln_json_add_text(json, "date", gln_text(day));
    gln_json_add_integer(json, "at", practice->at);
    gln_json_add_text(json, "kind", gln_text(gln_item_kind_key(practice->kind)));
    gln_json_add_text(json, "key", practice->key);
    gln_json_add_text(json, "name", practice->name);
    gln_json_add_number(json, "difficulty", practice->difficulty, 9);
    gln_json_add_text(json, "song", practice->song);
    gln_json_add_text(json, "rating", gln_text(gln_rating_key(practice->rating)));
    gln_json_add_number(json, "tempo", practice->tempo, 9);
    gln_json_add_number(json, "minutes", practice->minutes, 9);
    if (practice->has_strain)
      gln_json_add_text(json, "strain", gln_text(gln_strain_key(practice->strain)));
    gln_json_close(json);
  }
  gln_json_close(json);
  GlnStatus status = gln_json_write(json, out);
  gln_json_free(json);
  return status;
}

/* ---- reading -------------------------------------------------------------------------------------------------------- */

typedef struct Reading {
  GlnArena *arena;
  GlnDiags *diags;
  size_t practice; /* the one being read, from 1; 0: the document itself */
  bool failed;     /* said so already */
  bool out_of_memory;
} Reading;

static void refuse(Reading *reading, const char *key, const char *what) {
  if (reading->failed)
    return;
  reading->failed = true;
  const char *advice = "give a file that gripline progress --export wrote";
  if (reading->practice > 0)
    gln_diags_format(reading->diags, GLN_ERROR, 0, 0, advice, "practice %zu: \"%s\" %s", reading->practice,
                     key, what);
  else
    gln_diags_format(reading->diags, GLN_ERROR, 0, 0, advice, "\"%s\" %s", key, what);
}

static GlnText read_text(Reading *reading, const json_t *object, const char *key, size_t longest) {
  const json_t *value = json_object_get(object, key);
  if (!json_is_string(value)) {
    refuse(reading, key, "is missing or is no text");
    return GLN_TEXT("");
  }
  GlnText text = {json_string_value(value), json_string_length(value)};
  if (text.length > longest || gln_text_bad_utf8(text) < text.length) {
    refuse(reading, key, "is too long");
    return GLN_TEXT("");
  }
  char *copy = gln_text_copy(reading->arena, text);
  reading->out_of_memory = reading->out_of_memory || copy == NULL;
  return (GlnText){copy, copy != NULL ? text.length : 0};
}

static double read_number(Reading *reading, const json_t *object, const char *key, double low, double high) {
  const json_t *value = json_object_get(object, key);
  double number = json_is_number(value) ? json_number_value(value) : NAN;
  if (number >= low && number <= high)
    return number;
  refuse(reading, key, "is missing or out of its bounds");
  return low;
}

/* Place of a word among so many; their number when it is none of them. */
static int find_word(GlnText word, const char *(*key_of)(int), int count) {
  int at = 0;
  while (at < count && !gln_text_equal(word, gln_text(key_of(at))))
    at++;
  return at;
}

static const char *rating_key(int at) {
  return gln_rating_key((GlnRating)at);
}
static const char *strain_key(int at) {
  return gln_strain_key((GlnStrain)at);
}
static const char *kind_key(int at) {
  return gln_item_kind_key((GlnItemKind)at);
}

static int read_word(Reading *reading, const json_t *object, const char *key, const char *(*key_of)(int),
                     int count) {
  GlnText word = read_text(reading, object, key, 16);
  int at = find_word(word, key_of, count);
  if (at < count)
    return at;
  refuse(reading, key, "is no word that gripline knows");
  return 0;
}

#define AT_MAX 253402300799.0 /* the last second of the year 9999 */

static void read_practice(Reading *reading, const json_t *object, GlnText student, GlnPractice *practice) {
  *practice = (GlnPractice){.student = student};
  if (gln_day_parse(read_text(reading, object, "date", GLN_DAY_TEXT_MAX), &practice->day) != GLN_OK)
    refuse(reading, "date", "is no day");
  practice->at = (int64_t)read_number(reading, object, "at", -AT_MAX, AT_MAX);
  practice->kind = (GlnItemKind)read_word(reading, object, "kind", kind_key, 2);
  practice->key = read_text(reading, object, "key", GLN_ITEM_KEY_MAX);
  practice->name = read_text(reading, object, "name", GLN_RECORD_TEXT_MAX);
  practice->difficulty = read_number(reading, object, "difficulty", 0, 1);
  practice->song = read_text(reading, object, "song", GLN_RECORD_TEXT_MAX);
  practice->rating = (GlnRating)read_word(reading, object, "rating", rating_key, GLN_RATING_COUNT);
  practice->tempo = read_number(reading, object, "tempo", 0, GLN_PRACTICE_TEMPO_MAX);
  practice->minutes = read_number(reading, object, "minutes", 0, GLN_PRACTICE_MINUTES_MAX);
  practice->has_strain = json_object_get(object, "strain") != NULL;
  if (practice->has_strain)
    practice->strain = (GlnStrain)read_word(reading, object, "strain", strain_key, GLN_STRAIN_PAIN + 1);
}

static GlnStatus read_practices(Reading *reading, const json_t *root, GlnPractice **practices,
                                size_t *count) {
  GlnText schema = read_text(reading, root, "schema", 64);
  if (!reading->failed && !gln_text_equal(schema, GLN_TEXT("gripline/record/1")))
    refuse(reading, "schema", "is not gripline/record/1");
  GlnText student = read_text(reading, root, "student", GLN_STUDENT_MAX);
  const json_t *list = json_object_get(root, "practices");
  if (!json_is_array(list))
    refuse(reading, "practices", "is missing or is no list");
  if (reading->failed)
    return GLN_INPUT;
  *count = json_array_size(list);
  if (*count > GLN_RECORD_PRACTICES_MAX) {
    gln_diags_format(reading->diags, GLN_ERROR, 0, 0, "give it in parts",
                     "more than the %d practices gripline reads", GLN_RECORD_PRACTICES_MAX);
    return GLN_LIMIT;
  }
  *practices = GLN_NEW(reading->arena, GlnPractice, *count);
  if (*practices == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < *count && !reading->failed; i++) {
    reading->practice = i + 1;
    read_practice(reading, json_array_get(list, i), student, &(*practices)[i]);
  }
  return reading->out_of_memory ? GLN_MEMORY : reading->failed ? GLN_INPUT : GLN_OK;
}

GlnStatus gln_record_read_json(GlnText source, GlnArena *arena, GlnDiags *diags, GlnPractice **practices,
                               size_t *count) {
  *practices = NULL;
  *count = 0;
  if (source.length > GLN_RECORD_BYTES_MAX) {
    gln_diags_format(diags, GLN_ERROR, 0, 0, "give it in parts",
                     "longer than the %zu MiB that gripline reads", GLN_RECORD_BYTES_MAX / (1024 * 1024));
    return GLN_LIMIT;
  }
  json_error_t error;
  json_t *root =
      json_loadb(source.at != NULL ? source.at : "", source.length, JSON_REJECT_DUPLICATES, &error);
  if (root == NULL) {
    if (json_error_code(&error) == json_error_out_of_memory)
      return GLN_MEMORY;
    size_t place =
        error.position > 0 && (size_t)error.position <= source.length ? (size_t)error.position - 1 : 0;
    gln_diags_format(diags, GLN_ERROR, place, 1, "give a file that gripline progress --export wrote",
                     "this is no JSON document: %s", error.text);
    return GLN_INPUT;
  }
  Reading reading = {.arena = arena, .diags = diags};
  GlnStatus status = read_practices(&reading, root, practices, count);
  json_decref(root);
  return status;
}
