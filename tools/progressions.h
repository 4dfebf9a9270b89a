/* progressions: one line of a table of chord progressions in Harte syntax, as a chart.
 *
 * A line is id, metre, tonic and bars, with tabs between: a list of bars as interchange reads it, which reads these too. */
#ifndef GLN_TOOLS_PROGRESSIONS_H
#define GLN_TOOLS_PROGRESSIONS_H

#include "interchange.h"

#include <stdio.h>

typedef struct Progression {
  GlnText id, metre, tonic, bars;
} Progression;

/* The words of the text up to a separator; *text gets the rest. */
static inline GlnText progression_cut(GlnText *text, char separator) {
  size_t end = 0;
  while (end < text->length && text->at[end] != separator)
    end++;
  GlnText part = gln_text_trim(gln_text_slice(*text, 0, end));
  *text = gln_text_from(*text, end + 1);
  return part;
}

/* False when the metre is none. */
static inline bool progression_read(GlnText line, Progression *progression) {
  GlnMeter meter;
  *progression = (Progression){.id = progression_cut(&line, '\t')};
  progression->metre = progression_cut(&line, '\t');
  progression->tonic = progression_cut(&line, '\t');
  progression->bars = gln_text_trim(line);
  return gln_meter_parse(progression->metre, &meter) == GLN_OK;
}

/* The chart; GLN_INPUT when it cannot be read, with every fault printed. */
static inline GlnStatus progression_write(const Progression *progression, GlnBuffer *out) {
  GlnBuffer list = gln_buffer(out->arena), words = gln_buffer(out->arena);
  GlnDiags diags = gln_diags(out->arena);
  GlnImport import = {{NULL, 0}, {NULL, 0}};
  gln_buffer_format(&list, "# title: Progression %.*s\n# metre: %.*s\n# tonic: %.*s\n",
                    (int)progression->id.length, progression->id.at, (int)progression->metre.length,
                    progression->metre.at, (int)progression->tonic.length, progression->tonic.at);
  gln_buffer_add(&list, progression->bars);
  GLN_TRY(gln_buffer_status(&list));
  GlnStatus status = gln_bar_list_read(gln_buffer_text(&list), out->arena, &diags, &import);
  if (status == GLN_INPUT) {
    gln_diags_print(&diags, progression->id, import.placed, &words);
    (void)fwrite(words.at, 1, words.length, stderr);
  }
  GLN_TRY(status);
  gln_buffer_add(out, import.chart);
  return gln_buffer_status(out);
}

#endif
