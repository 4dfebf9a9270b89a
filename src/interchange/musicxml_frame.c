/* Diagrams: <frame> as frets. */
#include "musicxml_internal.h"

static void warn(GlnDiags *diags, const GlnXmlNode *frame, const char *problem) {
  gln_diags_format(diags, GLN_WARNING, frame->offset, 1, "pin the grip in the chart with @ and its frets",
                   "this diagram is left out: %s", problem);
}

/* The frets of a diagram that starts up the neck and counts from its own first line: none lies in the diagram as it stands,
 * and all would. */
static bool counts_from_first(const GlnFrets *frets, long first, long shown) {
  bool any = false;
  for (int s = 0; s < frets->string_count; s++) {
    if (frets->fret[s] <= 0)
      continue;
    if (frets->fret[s] >= first || frets->fret[s] > shown || frets->fret[s] + first - 1 > GLN_FRETS_MAX)
      return false;
    any = true;
  }
  return any;
}

bool gln_frame_read(const GlnXmlNode *frame, GlnDiags *diags, GlnFrets *frets) {
  long strings = gln_xml_integer(frame, GLN_ELEMENT_FRAME_STRINGS, 1, 1000, 6);
  *frets = (GlnFrets){.string_count = 0};
  if (strings < GLN_STRINGS_MIN || strings > GLN_STRINGS_MAX) {
    warn(diags, frame, "gripline knows instruments of 3 to 8 strings");
    return false;
  }
  for (int s = 0; s < GLN_STRINGS_MAX; s++)
    frets->fret[s] = GLN_NOT_PLAYED;
  frets->string_count = (int8_t)strings;
  bool any = false;
  for (const GlnXmlNode *note = gln_xml_child(frame, GLN_ELEMENT_FRAME_NOTE); note != NULL;
       note = gln_xml_next(note, GLN_ELEMENT_FRAME_NOTE)) {
    long string = gln_xml_integer(note, GLN_ELEMENT_STRING, 1, strings, 0);
    long fret = gln_xml_integer(note, GLN_ELEMENT_FRET, 0, GLN_FRETS_MAX, -1);
    if (string == 0 || fret < 0) {
      frets->string_count = 0;
      warn(diags, frame, "it stops a string or a fret that is not there");
      return false;
    }
    frets->fret[strings - string] = (int8_t)fret;
    any = true;
  }
  if (!any) {
    frets->string_count = 0;
    warn(diags, frame, "no string sounds in it");
    return false;
  }
  long first = gln_xml_integer(frame, GLN_ELEMENT_FIRST_FRET, 1, GLN_FRETS_MAX, 1);
  long shown = gln_xml_integer(frame, GLN_ELEMENT_FRAME_FRETS, 1, GLN_FRETS_MAX, 4);
  if (first > 1 && counts_from_first(frets, first, shown)) {
    for (int s = 0; s < frets->string_count; s++)
      if (frets->fret[s] > 0)
        frets->fret[s] = (int8_t)(frets->fret[s] + first - 1);
    gln_diags_format(diags, GLN_WARNING, frame->offset, 1, "check the grip",
                     "this diagram starts at fret %ld and its frets lie below; they are counted from there",
                     first);
  }
  return true;
}
