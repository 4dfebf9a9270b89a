/* JSON documents through jansson. */
#include "interchange.h"

#include <assert.h>
#include <jansson.h>
#include <math.h>
#include <string.h>

struct GlnJson {
  GlnArena *arena;
  json_t *open[GLN_JSON_DEPTH_MAX]; /* borrowed but for the first, which owns all */
  size_t depth;
  bool failed;
};

/* Takes over the value, which is NULL when there was no memory for it. */
static bool put(GlnJson *json, const char *key, json_t *value) {
  json_t *parent = json->open[json->depth - 1];
  if (value == NULL || json->failed) {
    json_decref(value);
    json->failed = true;
    return false;
  }
  assert(json_is_object(parent) == (key != NULL));
  assert(key == NULL || json_object_get(parent, key) == NULL);
  int failed = key != NULL ? json_object_set_new(parent, key, value) : json_array_append_new(parent, value);
  if (failed != 0)
    json->failed = true;
  return failed == 0;
}

/* After a failure the levels are still counted, so that every close finds its open. */
static void open_level(GlnJson *json, const char *key, json_t *value) {
  assert(json->depth < GLN_JSON_DEPTH_MAX);
  bool is_put = put(json, key, value);
  json->open[json->depth] = is_put ? value : json->open[json->depth - 1];
  json->depth++;
}

GlnJson *gln_json_new(GlnArena *arena, const char *name) {
  GlnJson *json = GLN_NEW(arena, GlnJson, 1);
  json_t *root = json_object();
  if (json == NULL || root == NULL) {
    json_decref(root);
    return NULL;
  }
  *json = (GlnJson){.arena = arena, .open = {root}, .depth = 1};
  GlnBuffer schema = gln_buffer(arena);
  gln_buffer_format(&schema, "gripline/%s/1", name);
  json->failed = schema.failed;
  gln_json_add_text(json, "schema", gln_buffer_text(&schema));
  return json;
}

void gln_json_free(GlnJson *json) {
  if (json == NULL)
    return;
  json_decref(json->open[0]);
  json->open[0] = NULL;
}

void gln_json_open_object(GlnJson *json, const char *key) {
  open_level(json, key, json_object());
}

void gln_json_open_array(GlnJson *json, const char *key) {
  open_level(json, key, json_array());
}

void gln_json_close(GlnJson *json) {
  assert(json->depth > 1);
  json->depth--;
}

/* Every byte that is not UTF-8 becomes U+FFFD; jansson refuses such text. */
static GlnText mend(GlnJson *json, GlnText text) {
  size_t bad = gln_text_bad_utf8(text);
  if (bad == text.length)
    return text;
  GlnBuffer mended = gln_buffer(json->arena);
  while (text.length > 0) {
    bad = gln_text_bad_utf8(text);
    gln_buffer_add(&mended, gln_text_slice(text, 0, bad));
    if (bad < text.length)
      gln_buffer_add_string(&mended, "\xEF\xBF\xBD");
    text = gln_text_from(text, bad + 1);
  }
  json->failed = json->failed || mended.failed;
  return gln_buffer_text(&mended);
}

void gln_json_add_text(GlnJson *json, const char *key, GlnText text) {
  GlnText mended = mend(json, text);
  (void)put(json, key, json_stringn(mended.length > 0 ? mended.at : "", mended.length));
}

void gln_json_add_integer(GlnJson *json, const char *key, long long value) {
  (void)put(json, key, json_integer(value));
}

void gln_json_add_number(GlnJson *json, const char *key, double value, int decimals) {
  assert(isfinite(value) && decimals >= 0 && decimals <= 9);
  double scale = pow(10, decimals);
  double rounded = round(value * scale) / scale;
  (void)put(json, key, json_real(rounded + 0.0)); /* + 0.0: never -0 */
}

void gln_json_add_ratio(GlnJson *json, const char *key, GlnRatio value) {
  if (value.den == 1) {
    gln_json_add_integer(json, key, value.num);
    return;
  }
  GlnBuffer text = gln_buffer(json->arena);
  gln_buffer_add_ratio(&text, value);
  json->failed = json->failed || text.failed;
  gln_json_add_text(json, key, gln_buffer_text(&text));
}

void gln_json_add_boolean(GlnJson *json, const char *key, bool value) {
  (void)put(json, key, json_boolean(value));
}

void gln_json_add_null(GlnJson *json, const char *key) {
  (void)put(json, key, json_null());
}

static int collect(const char *bytes, size_t size, void *context) {
  GlnBuffer *out = context;
  gln_buffer_add(out, (GlnText){bytes, size});
  return out->failed ? -1 : 0;
}

/* Digits enough for nine decimals of what gripline measures, and few enough to hide binary tails. */
#define REAL_DIGITS 15

GlnStatus gln_json_write(const GlnJson *json, GlnBuffer *out) {
  assert(json->depth == 1 || json->failed);
  if (json->failed ||
      json_dump_callback(json->open[0], collect, out, JSON_INDENT(2) | JSON_REAL_PRECISION(REAL_DIGITS)) != 0)
    return GLN_MEMORY;
  gln_buffer_add_byte(out, '\n');
  return gln_buffer_status(out);
}
