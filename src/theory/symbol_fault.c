/* What is wrong with a chord symbol, in a guitarist's words, and the nearest symbol that reads. */
#include "theory_internal.h"

#include <string.h>

static const char *const FAULT_WORDS[] = {
#define GLN_FAULT_WORDS_ENTRY(name, words) words,
    GLN_SYMBOL_FAULT_LIST(GLN_FAULT_WORDS_ENTRY)
#undef GLN_FAULT_WORDS_ENTRY
};

#define PART_SHOWN_MAX 40 /* bytes of the part that a message repeats */

static void write_part(GlnWriter *writer, GlnText part) {
  size_t shown = 0;
  for (size_t bytes; shown < part.length; shown += bytes) {
    bytes = gln_text_code_point(part, shown, NULL);
    if (shown + bytes > PART_SHOWN_MAX)
      break;
  }
  gln_write(writer, "“");
  gln_write_text(writer, gln_text_slice(part, 0, shown));
  gln_write(writer, shown < part.length ? "…”" : "”");
}

void gln_fault_fill(GlnSymbolFault *fault, GlnText symbol, GlnStop stop) {
  GlnWriter writer = gln_writer(fault->problem, sizeof fault->problem);
  GlnText part = gln_text_slice(symbol, stop.offset, stop.length); /* a part missing at the end is empty */
  fault->offset = stop.offset;
  fault->length = part.length;
  fault->nearest[0] = '\0';
  for (const char *at = FAULT_WORDS[stop.kind]; *at != '\0'; at++) {
    if (*at == '@')
      write_part(&writer, part);
    else
      gln_write_text(&writer, (GlnText){at, 1});
  }
}

/* ---- the nearest symbol ---- */

typedef struct Search {
  GlnText symbol;
  size_t best;
  char *nearest;
} Search;

/* A repair changes at most so many letters (design choice: beyond it a repair is a guess). Of equal ones the one nearest
 * to gripline's own spelling wins: Cmaj7 before Cjma7, which reads too. */
#define REPAIR_MAX   4
#define ODDITY_MAX   16
#define REPAIRED_MAX 32 /* bytes: a longer symbol is no slip of the finger */

static void try_repair(Search *search, GlnText before, const char *middle, GlnText after) {
  char text[GLN_SYMBOL_TEXT_MAX];
  GlnWriter writer = gln_writer(text, sizeof text);
  gln_write_text(&writer, before);
  gln_write(&writer, middle);
  gln_write_text(&writer, after);
  GlnText repaired = gln_text_trim((GlnText){text, writer.length});
  GlnChord chord;
  GlnStop stop;
  if (!gln_symbol_read(repaired, &chord, &stop))
    return;
  char printed[GLN_SYMBOL_TEXT_MAX];
  size_t length = gln_chord_print(&chord, GLN_SIGNS_ASCII, printed);
  size_t oddity = gln_text_distance(repaired, (GlnText){printed, length});
  size_t distance = gln_text_distance(search->symbol, repaired);
  size_t cost = distance * ODDITY_MAX + (oddity < ODDITY_MAX ? oddity : ODDITY_MAX - 1);
  if (distance <= REPAIR_MAX && cost < search->best) {
    search->best = cost;
    GlnWriter nearest = gln_writer(search->nearest, GLN_SYMBOL_TEXT_MAX);
    gln_write_text(&nearest, repaired);
  }
}

/* Notes that people write otherwise: small letters, the German H. */
static void repair_note(Search *search, GlnText symbol, size_t offset) {
  char capital[2] = {0};
  char first = offset < symbol.length ? symbol.at[offset] : '\0';
  if (first >= 'a' && first <= 'g')
    capital[0] = (char)(first - 'a' + 'A');
  else if (first == 'H' || first == 'h')
    capital[0] = 'B';
  if (capital[0] != '\0')
    try_repair(search, gln_text_slice(symbol, 0, offset), capital, gln_text_from(symbol, offset + 1));
}

/* Each word of the dialects that has a letter in common with the part, in its place or in that of its first letters. */
static void repair_words(Search *search, GlnText symbol, size_t offset, size_t length) {
  GlnText before = gln_text_slice(symbol, 0, offset);
  for (size_t i = 0; i < gln_word_count(); i++) {
    const GlnWord *word = gln_word_number(i);
    size_t longer = word->length > length ? word->length : length;
    size_t replaced = word->length < length ? word->length : length;
    if (gln_text_distance(gln_text_slice(symbol, offset, length), gln_text(word->spelling)) >= longer)
      continue;
    try_repair(search, before, word->spelling, gln_text_from(symbol, offset + replaced));
    if (replaced < length)
      try_repair(search, before, word->spelling, gln_text_from(symbol, offset + length));
  }
}

/* Two neighbouring letters the wrong way round: Cmja7, C7m. */
static void repair_swaps(Search *search, GlnText symbol) {
  for (size_t i = 1; i + 1 < symbol.length; i++) {
    bool bounds = strchr("()[]/, ", symbol.at[i]) != NULL || strchr("()[]/, ", symbol.at[i + 1]) != NULL;
    bool to_root = i == 1 && (symbol.at[2] == 'b' || symbol.at[2] == '#'); /* C7b is not a C flat chord */
    if (bounds || to_root)
      continue;
    char swapped[3] = {symbol.at[i + 1], symbol.at[i], '\0'};
    try_repair(search, gln_text_slice(symbol, 0, i), swapped, gln_text_from(symbol, i + 2));
  }
}

/* Without the part; without the sign before it, or that sign alone; with less and less of its end. */
static void repair_by_leaving_out(Search *search, GlnText symbol, GlnStop stop) {
  GlnText after = gln_text_from(symbol, stop.offset + stop.length);
  if (stop.offset > 0)
    try_repair(search, gln_text_slice(symbol, 0, stop.offset), "", after);
  if (stop.offset > 1) {
    try_repair(search, gln_text_slice(symbol, 0, stop.offset - 1), "", after);
    try_repair(search, gln_text_slice(symbol, 0, stop.offset - 1), "", gln_text_from(symbol, stop.offset));
  }
  for (size_t kept = stop.length; stop.offset > 0 && kept-- > 1;)
    try_repair(search, gln_text_slice(symbol, 0, stop.offset + kept), "", after);
}

/* The first of the nearest repairs that read, in an order from the likeliest slip to the least. */
void gln_fault_nearest(GlnSymbolFault *fault, GlnText symbol, GlnStop stop) {
  if (symbol.length == 0 || symbol.length > REPAIRED_MAX)
    return;
  Search search = {symbol, SIZE_MAX, fault->nearest};
  if (stop.kind == GLN_FAULT_ROOT || stop.kind == GLN_FAULT_BASS)
    repair_note(&search, symbol, stop.offset);
  repair_swaps(&search, symbol);
  try_repair(&search, symbol, ")", (GlnText){NULL, 0});
  repair_by_leaving_out(&search, symbol, stop);
  if (stop.offset == 0 || (stop.kind != GLN_FAULT_WORD && stop.kind != GLN_FAULT_DEGREE))
    return; /* the words are known, only out of place: others would be a guess */
  repair_words(&search, symbol, stop.offset, stop.length);
  if (stop.kind == GLN_FAULT_DEGREE && stop.length > 1) /* b14: the sign may be right */
    repair_words(&search, symbol, stop.offset + 1, stop.length - 1);
}

/* ---- the public readers ---- */

GlnStatus gln_chord_parse(GlnText symbol, GlnChord *chord, GlnSymbolFault *fault) {
  GlnStop stop = {GLN_FAULT_NONE, 0, 0};
  if (gln_symbol_read(symbol, chord, &stop))
    return GLN_OK;
  if (fault != NULL) {
    gln_fault_fill(fault, symbol, stop);
    gln_fault_nearest(fault, symbol, stop);
  }
  return GLN_INPUT;
}

GlnStatus gln_chord_parse_harte(GlnText label, GlnChord *chord, GlnSymbolFault *fault) {
  GlnStop stop = {GLN_FAULT_NONE, 0, 0};
  if (gln_harte_read(label, chord, &stop))
    return GLN_OK;
  if (fault != NULL)
    gln_fault_fill(fault, label, stop);
  return GLN_INPUT;
}
