/* progressions_to_charts TABLE FOLDER: writes a chart into the folder for each line of a table of progressions in
 * Harte syntax (tools/progressions.h says how its lines are read). The folder must be there.
 * Example: progressions_to_charts tests/outside/data/progressions.tsv some-folder */
#include "progressions.h"

#include <stdio.h>

#define LINE_BYTES_MAX 65536

static GlnStatus chart_save(const char *folder, GlnText id, GlnText text) {
  char path[4096];
  int length = snprintf(path, sizeof path, "%s/%.*s.chart", folder, (int)id.length, id.at);
  if (length < 0 || (size_t)length >= sizeof path)
    return GLN_USAGE;
  FILE *file = fopen(path, "wbx");
  if (!file) {
    perror(path);
    return GLN_SYSTEM;
  }
  bool written = fwrite(text.at, 1, text.length, file) == text.length;
  if (fclose(file) != 0 || !written) {
    perror(path);
    return GLN_SYSTEM;
  }
  return GLN_OK;
}

static GlnStatus line_convert(GlnText line, const char *folder, GlnArena *arena) {
  Progression progression;
  GlnBuffer out = gln_buffer(arena);
  if (!progression_read(line, &progression)) {
    (void)fprintf(stderr, "%.*s: \"%.*s\" is not a metre\n", (int)progression.id.length, progression.id.at,
                  (int)progression.metre.length, progression.metre.at);
    return GLN_INPUT;
  }
  GlnStatus status = progression_write(&progression, &out);
  return status == GLN_OK ? chart_save(folder, progression.id, gln_buffer_text(&out)) : status;
}

static GlnStatus table_convert(FILE *table, const char *folder) {
  static char line[LINE_BYTES_MAX];
  GlnStatus worst = GLN_OK;
  while (fgets(line, sizeof line, table)) {
    GlnText text = gln_text_trim(gln_text(line));
    if (text.length == 0 || gln_text_starts(text, GLN_TEXT("id\t")))
      continue;
    GlnArena *arena = gln_arena_new(NULL, 0);
    GlnStatus status = arena ? line_convert(text, folder, arena) : GLN_MEMORY;
    gln_arena_free(arena);
    if (status != GLN_OK)
      worst = status;
    if (status == GLN_SYSTEM || status == GLN_MEMORY)
      break;
  }
  return ferror(table) ? GLN_SYSTEM : worst;
}

int main(int argc, char **argv) {
  if (argc != 3) {
    (void)fprintf(stderr, "usage: progressions_to_charts TABLE FOLDER\n");
    return gln_status_exit(GLN_USAGE);
  }
  FILE *table = fopen(argv[1], "rb");
  if (!table) {
    perror(argv[1]);
    return gln_status_exit(GLN_SYSTEM);
  }
  GlnStatus status = table_convert(table, argv[2]);
  if (fclose(table) != 0)
    status = GLN_SYSTEM;
  return gln_status_exit(status);
}
