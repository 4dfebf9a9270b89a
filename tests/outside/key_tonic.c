/* Keys against human annotators: the tonic column of the McGill Billboard chords (Burgoyne, Wild, Fujinaga, ISMIR 2011,
 * CC0). The first key region or the longest one must have the annotated tonic. Weights were tuned on even ids; the
 * figure that counts is that of the odd ids.
 *
 * key_tonic FILE [PERCENT]: prints the figures, fails when the odd ids agree in less than PERCENT. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "harmony.h"

#define LINE_MAX_BYTES 65536
#define STEPS_MAX      4096

typedef struct GlnTally {
  int songs, agree, longest_agree;
  size_t regions;
  int apart[12]; /* how far the first region's tonic lies above the annotated one where neither agrees */
} GlnTally;

static GlnChord chords[STEPS_MAX];
static GlnStep steps[STEPS_MAX];

/* One bar's tokens share it evenly; "." repeats the last chord. */
static size_t add_bar(GlnText bar, size_t count, GlnRatio bar_start, GlnRatio bar_quarters) {
  GlnText tokens[64];
  size_t token_count = 0;
  for (size_t at = 0; at < bar.length && token_count < 64;) {
    while (at < bar.length && gln_is_blank(bar.at[at]))
      at++;
    size_t from = at;
    while (at < bar.length && !gln_is_blank(bar.at[at]))
      at++;
    if (at > from)
      tokens[token_count++] = gln_text_slice(bar, from, at - from);
  }
  for (size_t i = 0; i < token_count && count < STEPS_MAX; i++) {
    GlnRatio length = gln_ratio_divide(bar_quarters, gln_ratio((int64_t)token_count, 1));
    if (gln_text_equal(tokens[i], GLN_TEXT(".")) && count > 0) {
      steps[count - 1].quarters = gln_ratio_add(steps[count - 1].quarters, length);
      continue;
    }
    if (gln_chord_parse_harte(tokens[i], &chords[count], NULL) != GLN_OK)
      continue;
    steps[count] =
        (GlnStep){.chord = &chords[count],
                  .start = gln_ratio_add(bar_start, gln_ratio_multiply(length, gln_ratio((int64_t)i, 1))),
                  .quarters = length,
                  .phrase_starts = count == 0,
                  .bar_starts = i == 0};
    count++;
  }
  return count;
}

static size_t read_bars(GlnText bars) {
  size_t count = 0;
  GlnRatio start = gln_ratio(0, 1), quarters = gln_ratio(4, 1);
  for (size_t at = 0; at < bars.length;) {
    size_t bar_end = gln_text_find(bars, GLN_TEXT("|"), at);
    GlnText bar = gln_text_trim(gln_text_slice(bars, at, bar_end - at));
    if (bar.length > 0) {
      count = add_bar(bar, count, start, quarters);
      start = gln_ratio_add(start, quarters);
    }
    at = bar_end + 1;
  }
  return count;
}

static void judge(const char *id, GlnNote tonic, size_t count, GlnTally *tally) {
  GlnArena *arena = gln_arena_new(NULL, 0);
  GlnAnalysis *analysis = NULL;
  if (arena == NULL || gln_harmony_analyse(steps, count, arena, &analysis) != GLN_OK)
    exit(4);
  size_t longest = 0;
  for (size_t r = 1; r < analysis->region_count; r++)
    if (analysis->regions[r].count > analysis->regions[longest].count)
      longest = r;
  tally->songs++;
  int expected = gln_note_pitch_class(tonic);
  bool first_agrees =
      analysis->region_count > 0 && gln_note_pitch_class(analysis->regions[0].key.tonic) == expected;
  bool longest_agrees =
      analysis->region_count > 0 && gln_note_pitch_class(analysis->regions[longest].key.tonic) == expected;
  tally->regions += analysis->region_count;
  if (longest_agrees)
    tally->longest_agree++;
  if (first_agrees || longest_agrees) {
    tally->agree++;
  } else if (analysis->region_count > 0) {
    char key[GLN_KEY_TEXT_MAX], note[GLN_NOTE_TEXT_MAX];
    gln_key_print(analysis->regions[0].key, GLN_SIGNS_ASCII, key);
    gln_note_print(tonic, GLN_SIGNS_ASCII, note);
    tally->apart[(gln_note_pitch_class(analysis->regions[0].key.tonic) - expected + 12) % 12]++;
    printf("miss %s: annotated %s, heard in %s (%zu regions, first of %zu chords)\n", id, note, key,
           analysis->region_count, analysis->regions[0].count);
  }
  gln_arena_free(arena);
}

static double percent(const GlnTally *tally) {
  return tally->songs == 0 ? 0.0 : 100.0 * tally->agree / tally->songs;
}

int main(int argc, char **argv) {
  FILE *file = argc > 1 ? fopen(argv[1], "r") : NULL;
  if (file == NULL) {
    fprintf(stderr, "usage: key_tonic FILE [PERCENT]\n");
    return 2;
  }
  static char line[LINE_MAX_BYTES];
  GlnTally even = {0}, odd = {0};
  bool heading = true;
  while (fgets(line, sizeof line, file) != NULL) {
    char *columns[4];
    char *at = line;
    for (int i = 0; i < 4; i++) {
      columns[i] = at;
      at += strcspn(at, "\t\n");
      if (*at != '\0')
        *at++ = '\0';
    }
    GlnNote tonic;
    size_t used;
    if (heading || gln_note_parse(gln_text(columns[2]), &tonic, &used) != GLN_OK) {
      heading = false;
      continue;
    }
    size_t digits = strlen(columns[0]);
    bool is_odd = digits > 0 && (columns[0][digits - 1] - '0') % 2 == 1;
    judge(columns[0], tonic, read_bars(gln_text(columns[3])), is_odd ? &odd : &even);
  }
  (void)fclose(file);
  const GlnTally *tallies[] = {&even, &odd};
  for (int i = 0; i < 2; i++) {
    printf("%s ids: %d of %d agree, %.1f %% (the longest region alone %d; %.2f regions a song); first region "
           "this many semitones above the annotated tonic:",
           i ? "odd" : "even", tallies[i]->agree, tallies[i]->songs, percent(tallies[i]),
           tallies[i]->longest_agree, (double)tallies[i]->regions / tallies[i]->songs);
    for (int s = 1; s < 12; s++)
      printf(" %d:%d", s, tallies[i]->apart[s]);
    printf("\n");
  }
  double bound = 0.0;
  if (argc > 2 && gln_text_number(gln_text(argv[2]), &bound) != GLN_OK)
    return 2;
  return percent(&odd) >= bound && odd.songs > 0 ? 0 : 1;
}
