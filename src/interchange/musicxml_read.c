/* A MusicXML file as the text of a chart. */
#include "musicxml_internal.h"

#include <string.h>

bool gln_musicxml_knows(GlnText bytes) {
  static const char *const starts[] = {"<?xml", "<!DOCTYPE", "<score-partwise", "<score-timewise"};
  if (gln_text_starts(bytes, GLN_TEXT("\xEF\xBB\xBF")))
    bytes = gln_text_from(bytes, 3);
  if (gln_text_starts(bytes, (GlnText){"\xFE\xFF\0<", 4}) ||
      gln_text_starts(bytes, (GlnText){"\xFF\xFE<\0", 4}) || gln_text_starts(bytes, (GlnText){"\0<\0?", 4}) ||
      gln_text_starts(bytes, (GlnText){"<\0?\0", 4}))
    return true;
  bytes = gln_text_trim(gln_text_slice(bytes, 0, 200));
  for (size_t i = 0; i < GLN_COUNT_OF(starts); i++)
    if (gln_text_starts(bytes, gln_text(starts[i])))
      return true;
  return false;
}

/* "left out, as a chart has no place for it: 64 lyric, 3 dynamics". */
static void tell_passed(const GlnXmlDocument *document, GlnDiags *diags) {
  GlnBuffer words = gln_buffer(diags->arena);
  for (size_t i = 0; i < document->passed_count; i++) {
    gln_buffer_add_string(&words, i > 0 ? ", " : "");
    gln_buffer_format(&words, "%zu ", document->passed[i].count);
    gln_buffer_add(&words, document->passed[i].name);
  }
  if (document->passed_beyond > 0)
    gln_buffer_format(&words, ", %zu others", document->passed_beyond);
  if (document->passed_count == 0)
    return;
  gln_diags_format(diags, GLN_NOTE_SEVERITY, document->root->offset, 1, "",
                   "left out, as a chart has no place for them: %.*s", (int)words.length, words.at);
}

static void tell_melody(const GlnScore *score, const GlnMusicXmlWish *wish, GlnDiags *diags, size_t offset) {
  if (wish->melody || score->note_count == 0 || score->chord_count == 0)
    return;
  gln_diags_format(diags, GLN_NOTE_SEVERITY, offset, 1,
                   "gripline convert --melody makes the highest the tune", "%zu note%s on the staff left out",
                   score->note_count, score->note_count == 1 ? " is" : "s are");
}

GlnStatus gln_musicxml_read(GlnText bytes, const GlnMusicXmlWish *wish, GlnArena *arena, GlnDiags *diags,
                            GlnImport *import) {
  bool is_utf8 = false;
  GlnXmlDocument document;
  GlnScore score;
  GlnChart chart;
  *import = (GlnImport){.placed = bytes};
  GLN_TRY(gln_xml_decode(bytes, arena, diags, &import->placed, &is_utf8));
  GLN_TRY(gln_xml_read(import->placed, is_utf8, arena, diags, &document));
  GLN_TRY(gln_score_read(&document, arena, diags, &score));
  GLN_TRY(gln_score_chart(&score, wish, arena, diags, &chart));
  tell_melody(&score, wish, diags, document.root->offset);
  tell_passed(&document, diags);
  GlnBuffer text = gln_buffer(arena);
  GLN_TRY(gln_chart_write(&chart, &text));
  GLN_TRY(gln_buffer_status(&text));
  import->chart = gln_buffer_text(&text);
  if (text.length <= GLN_CHART_BYTES_MAX)
    return GLN_OK;
  gln_diags_format(diags, GLN_ERROR, document.root->offset, 1, "save a part of the score alone",
                   "the chart of this score is longer than the limit of %zu bytes", GLN_CHART_BYTES_MAX);
  return GLN_LIMIT;
}
