/* What a score says, bar by bar: lengths, meters, keys, repeats and jumps of all parts; chords of the part that has most. */
#include "musicxml_score_internal.h"

#include <string.h>

/* ---- parts --------------------------------------------------------------------------------------------------------- */

static size_t count_children(const GlnXmlNode *node, GlnElement name) {
  size_t count = 0;
  for (const GlnXmlNode *at = gln_xml_child(node, name); at != NULL; at = gln_xml_next(at, name))
    count++;
  return count;
}

static GlnStatus limit_fault(GlnDiags *diags, const GlnXmlNode *node, const char *what, size_t limit) {
  gln_diags_format(diags, GLN_ERROR, node->offset, 1, "save the part with the chords alone",
                   "this score has too many %s: the limit is %zu", what, limit);
  return GLN_LIMIT;
}

static GlnStatus partwise(const GlnXmlNode *root, ScoreReader *reader) {
  size_t p = 0;
  for (const GlnXmlNode *part = gln_xml_child(root, GLN_ELEMENT_PART); part != NULL;
       part = gln_xml_next(part, GLN_ELEMENT_PART), p++) {
    Part *into = &reader->parts[p];
    into->measures = GLN_NEW(reader->arena, const GlnXmlNode *, count_children(part, GLN_ELEMENT_MEASURE));
    if (into->measures == NULL)
      return GLN_MEMORY;
    for (const GlnXmlNode *at = gln_xml_child(part, GLN_ELEMENT_MEASURE); at != NULL;
         at = gln_xml_next(at, GLN_ELEMENT_MEASURE))
      into->measures[into->count++] = at;
  }
  return GLN_OK;
}

/* A measure holds its parts. The measure's own attributes come with the first part. */
static GlnStatus timewise(const GlnXmlNode *root, ScoreReader *reader) {
  size_t measures = count_children(root, GLN_ELEMENT_MEASURE);
  for (size_t p = 0; p < reader->part_count; p++) {
    reader->parts[p].measures = GLN_NEW(reader->arena, const GlnXmlNode *, measures);
    if (reader->parts[p].measures == NULL)
      return GLN_MEMORY;
  }
  for (const GlnXmlNode *measure = gln_xml_child(root, GLN_ELEMENT_MEASURE); measure != NULL;
       measure = gln_xml_next(measure, GLN_ELEMENT_MEASURE)) {
    size_t p = 0;
    for (const GlnXmlNode *part = gln_xml_child(measure, GLN_ELEMENT_PART); part != NULL;
         part = gln_xml_next(part, GLN_ELEMENT_PART), p++) {
      GlnXmlNode *joined = GLN_NEW(reader->arena, GlnXmlNode, 1);
      if (joined == NULL)
        return GLN_MEMORY;
      *joined = *part;
      joined->attributes = measure->attributes;
      reader->parts[p].measures[reader->parts[p].count++] = joined;
    }
  }
  return GLN_OK;
}

static GlnStatus find_parts(const GlnXmlNode *root, ScoreReader *reader) {
  bool timed = root->name == GLN_ELEMENT_SCORE_TIMEWISE;
  size_t count = timed ? 0 : count_children(root, GLN_ELEMENT_PART);
  if (timed)
    for (const GlnXmlNode *at = gln_xml_child(root, GLN_ELEMENT_MEASURE); at != NULL;
         at = gln_xml_next(at, GLN_ELEMENT_MEASURE)) {
      size_t here = count_children(at, GLN_ELEMENT_PART);
      count = here > count ? here : count;
    }
  if (count > GLN_MUSICXML_PARTS_MAX)
    return limit_fault(reader->diags, root, "parts", GLN_MUSICXML_PARTS_MAX);
  reader->part_count = count;
  reader->parts = GLN_NEW(reader->arena, Part, count);
  if (reader->parts == NULL)
    return GLN_MEMORY;
  GLN_TRY(timed ? timewise(root, reader) : partwise(root, reader));
  for (size_t p = 0; p < count; p++) {
    Part *part = &reader->parts[p];
    reader->bar_count = part->count > reader->bar_count ? part->count : reader->bar_count;
    for (size_t b = 0; b < part->count; b++)
      part->chord_count += count_children(part->measures[b], GLN_ELEMENT_HARMONY);
  }
  if (reader->bar_count > GLN_CHART_BARS_MAX)
    return limit_fault(reader->diags, root, "bars", GLN_CHART_BARS_MAX);
  if (reader->bar_count == 0) {
    gln_diags_format(reader->diags, GLN_ERROR, root->offset, 1, "check that this is the file you mean",
                     "this score has no bars");
    return GLN_INPUT;
  }
  return GLN_OK;
}

/* The part with the most chords, the first of equals; the first part when there are none. */
static void choose_part(ScoreReader *reader) {
  size_t others = 0;
  for (size_t p = 0; p < reader->part_count; p++)
    if (reader->parts[p].chord_count > reader->parts[reader->chord_part].chord_count)
      reader->chord_part = p;
  for (size_t p = 0; p < reader->part_count; p++)
    others += p != reader->chord_part ? reader->parts[p].chord_count : 0;
  if (others > 0)
    gln_diags_format(reader->diags, GLN_NOTE_SEVERITY, reader->root->offset, 1, "",
                     "the chords are those of part %zu, which has the most; %zu in other parts are left out",
                     reader->chord_part + 1, others);
}

/* ---- headers -------------------------------------------------------------------------------------------------------- */

static GlnText credit_of(const GlnXmlNode *root, GlnText type) {
  for (const GlnXmlNode *credit = gln_xml_child(root, GLN_ELEMENT_CREDIT); credit != NULL;
       credit = gln_xml_next(credit, GLN_ELEMENT_CREDIT))
    if (gln_text_equal(gln_xml_text(credit, GLN_ELEMENT_CREDIT_TYPE), type))
      return gln_xml_text(credit, GLN_ELEMENT_CREDIT_WORDS);
  return (GlnText){NULL, 0};
}

static GlnStatus read_title(ScoreReader *reader, GlnScore *score) {
  GlnText work = gln_xml_text(gln_xml_child(reader->root, GLN_ELEMENT_WORK), GLN_ELEMENT_WORK_TITLE);
  GlnText movement = gln_xml_text(reader->root, GLN_ELEMENT_MOVEMENT_TITLE);
  score->title = work.length > 0 ? work : movement;
  if (score->title.length == 0)
    score->title = credit_of(reader->root, GLN_TEXT("title"));
  if (work.length == 0 || movement.length == 0 || gln_text_equal(work, movement))
    return GLN_OK;
  GlnBuffer both = gln_buffer(reader->arena);
  gln_buffer_add(&both, work);
  gln_buffer_add_string(&both, ": ");
  gln_buffer_add(&both, movement);
  score->title = gln_buffer_text(&both);
  return gln_buffer_status(&both);
}

/* Composers first, then who else made it, each once. */
static GlnStatus read_by(ScoreReader *reader, GlnScore *score) {
  const GlnXmlNode *identification = gln_xml_child(reader->root, GLN_ELEMENT_IDENTIFICATION);
  GlnBuffer by = gln_buffer(reader->arena);
  for (int round = 0; round < 2; round++)
    for (const GlnXmlNode *at = gln_xml_child(identification, GLN_ELEMENT_CREATOR); at != NULL;
         at = gln_xml_next(at, GLN_ELEMENT_CREATOR)) {
      bool composer = gln_text_equal(gln_xml_attribute(at, GLN_ATTRIBUTE_TYPE), GLN_TEXT("composer"));
      GlnText so_far = gln_buffer_text(&by);
      if (composer != (round == 0) || at->text.length == 0 ||
          gln_text_find(so_far, at->text, 0) < so_far.length)
        continue;
      gln_buffer_add_string(&by, by.length > 0 ? ", " : "");
      gln_buffer_add(&by, at->text);
    }
  score->by = by.length > 0 ? gln_buffer_text(&by) : credit_of(reader->root, GLN_TEXT("composer"));
  return gln_buffer_status(&by);
}

/* ---- bars --------------------------------------------------------------------------------------------------------------- */

static void start_bar(ScoreReader *reader, size_t b) {
  GlnScoreBar *bar = &reader->score->bars[b];
  const Part *part = &reader->parts[reader->chord_part];
  *bar = (GlnScoreBar){.meter = part->meter, .key = part->key};
  for (size_t p = 0; p < reader->part_count && bar->node == NULL; p++)
    bar->node = b < reader->parts[p].count ? reader->parts[p].measures[b] : NULL;
  bar->implicit = bar->node != NULL &&
                  gln_text_equal(gln_xml_attribute(bar->node, GLN_ATTRIBUTE_IMPLICIT), GLN_TEXT("yes"));
  bar->repeat_starts = reader->opens_next;
  reader->opens_next = false;
}

static GlnStatus read_bars(ScoreReader *reader) {
  GlnScore *score = reader->score;
  score->bars = GLN_NEW(reader->arena, GlnScoreBar, reader->bar_count);
  if (score->bars == NULL)
    return GLN_MEMORY;
  score->bar_count = reader->bar_count;
  for (size_t p = 0; p < reader->part_count; p++)
    reader->parts[p] = (Part){.measures = reader->parts[p].measures,
                              .count = reader->parts[p].count,
                              .chord_count = reader->parts[p].chord_count,
                              .divisions = 1,
                              .meter = {4, 4},
                              .key = {{0, 0}, false}};
  for (size_t b = 0; b < reader->bar_count; b++) {
    start_bar(reader, b);
    for (size_t p = 0; p < reader->part_count; p++)
      if (b < reader->parts[p].count)
        GLN_TRY(gln_score_measure_read(reader, p, b));
  }
  return GLN_OK;
}

/* ---- the whole ---------------------------------------------------------------------------------------------------------- */

static GlnStatus complain_of_root(const GlnXmlDocument *document, GlnDiags *diags) {
  gln_diags_format(diags, GLN_ERROR, document->root != NULL ? document->root->offset : 0, 1,
                   "check that this is the file you mean", "this XML file is no score");
  return GLN_INPUT;
}

GlnStatus gln_score_read(const GlnXmlDocument *document, GlnArena *arena, GlnDiags *diags, GlnScore *score) {
  const GlnXmlNode *root = document->root;
  if (root == NULL || (root->name != GLN_ELEMENT_SCORE_PARTWISE && root->name != GLN_ELEMENT_SCORE_TIMEWISE))
    return complain_of_root(document, diags);
  ScoreReader reader = {.root = root, .arena = arena, .diags = diags, .score = score};
  *score = (GlnScore){.meter = {4, 4}};
  GLN_TRY(find_parts(root, &reader));
  choose_part(&reader);
  GLN_TRY(read_title(&reader, score));
  GLN_TRY(read_by(&reader, score));
  GLN_TRY(read_bars(&reader));
  if (score->chord_count == 0)
    gln_diags_format(diags, GLN_WARNING, root->offset, 1, "write them into the chart",
                     "there are no chord symbols in this score; its bars come without chords");
  return GLN_OK;
}
