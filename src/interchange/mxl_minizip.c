/* Compressed MusicXML, .mxl: a zip file with a container that names the score in it. Only those two entries are ever opened,
 * and nothing is unpacked to disk. */
#include "musicxml_internal.h"

#include <limits.h>
#include <minizip/unzip.h>
#include <minizip/zip.h>
#include <string.h>

#define CONTAINER_PATH      "META-INF/container.xml"
#define CONTAINER_BYTES_MAX ((size_t)64 * 1024)
#define PATH_BYTES_MAX      1024
#define CHUNK_BYTES         ((size_t)64 * 1024)

/* ---- a zip file in memory ------------------------------------------------------------------------------------------------ */

/* What is read, or what is written and grows. */
typedef struct Memory {
  GlnText read;
  GlnBuffer *written; /* NULL while reading */
  size_t at;
} Memory;

static size_t length_of(const Memory *memory) {
  return memory->written != NULL ? memory->written->length : memory->read.length;
}

static voidpf ZCALLBACK open_memory(voidpf opaque, const void *name, int mode) {
  (void)name, (void)mode;
  ((Memory *)opaque)->at = 0;
  return opaque;
}

static uLong ZCALLBACK read_memory(voidpf opaque, voidpf stream, void *into, uLong size) {
  Memory *memory = stream;
  (void)opaque;
  const char *from = memory->written != NULL ? memory->written->at : memory->read.at;
  size_t left = length_of(memory) > memory->at ? length_of(memory) - memory->at : 0;
  size_t count = size < left ? size : left;
  if (count > 0)
    memcpy(into, from + memory->at, count);
  memory->at += count;
  return (uLong)count;
}

static uLong ZCALLBACK write_memory(voidpf opaque, voidpf stream, const void *from, uLong size) {
  Memory *memory = stream;
  GlnBuffer *out = memory->written;
  (void)opaque;
  size_t over = out->length > memory->at ? out->length - memory->at : 0; /* bytes written before */
  size_t count = size < over ? size : over;
  if (count > 0)
    memcpy(out->at + memory->at, from, count);
  gln_buffer_add(out, (GlnText){(const char *)from + count, size - count});
  memory->at += size;
  return out->failed ? 0 : size;
}

static ZPOS64_T ZCALLBACK tell_memory(voidpf opaque, voidpf stream) {
  (void)opaque;
  return ((Memory *)stream)->at;
}

static long ZCALLBACK seek_memory(voidpf opaque, voidpf stream, ZPOS64_T offset, int origin) {
  Memory *memory = stream;
  (void)opaque;
  ZPOS64_T from = origin == ZLIB_FILEFUNC_SEEK_CUR   ? memory->at
                  : origin == ZLIB_FILEFUNC_SEEK_END ? length_of(memory)
                                                     : 0;
  if (offset > length_of(memory) || from + offset > length_of(memory))
    return -1;
  memory->at = (size_t)(from + offset);
  return 0;
}

static int ZCALLBACK close_memory(voidpf opaque, voidpf stream) {
  (void)opaque, (void)stream;
  return 0;
}

static zlib_filefunc64_def functions_of(Memory *memory) {
  return (zlib_filefunc64_def){.zopen64_file = open_memory,
                               .zread_file = read_memory,
                               .zwrite_file = write_memory,
                               .ztell64_file = tell_memory,
                               .zseek64_file = seek_memory,
                               .zclose_file = close_memory,
                               .zerror_file = close_memory,
                               .opaque = memory};
}

/* ---- reading ---------------------------------------------------------------------------------------------------------------- */

__attribute__((format(printf, 3, 4))) static GlnStatus complain(GlnDiags *diags, const char *advice,
                                                                const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  GlnBuffer words = gln_buffer(diags->arena);
  gln_buffer_format_list(&words, format, arguments);
  va_end(arguments);
  const char *problem = gln_text_copy(diags->arena, gln_buffer_text(&words));
  gln_diags_add(diags,
                (GlnDiag){.severity = GLN_ERROR, .problem = gln_text(problem), .advice = gln_text(advice)});
  return GLN_INPUT;
}

static GlnStatus read_open_entry(unzFile zip, const char *path, size_t bytes_max, GlnArena *arena,
                                 GlnDiags *diags, GlnText *content) {
  GlnBuffer out = gln_buffer(arena);
  char *chunk = GLN_NEW(arena, char, CHUNK_BYTES);
  if (chunk == NULL)
    return GLN_MEMORY;
  for (;;) {
    int count = unzReadCurrentFile(zip, chunk, (unsigned)CHUNK_BYTES);
    if (count == 0)
      break;
    if (count < 0)
      return complain(diags, "fetch the file anew", "%s in this .mxl file is damaged", path);
    if ((size_t)count > bytes_max - out.length) {
      (void)complain(diags, "check that this is the file you mean",
                     "%s in this .mxl file unpacks to more than the limit of %zu bytes", path, bytes_max);
      return GLN_LIMIT;
    }
    gln_buffer_add(&out, (GlnText){chunk, (size_t)count});
    GLN_TRY(gln_buffer_status(&out));
  }
  *content = gln_buffer_text(&out);
  return GLN_OK;
}

/* What the file says of its lengths is not believed: it is read up to the limit. */
static GlnStatus read_entry(unzFile zip, const char *path, size_t bytes_max, GlnArena *arena, GlnDiags *diags,
                            GlnText *content) {
  if (unzLocateFile(zip, path, 1) != UNZ_OK)
    return complain(diags, "save it again from the program that it comes from",
                    "this .mxl file has no %s in it", path);
  if (unzOpenCurrentFile(zip) != UNZ_OK)
    return complain(diags, "save it as uncompressed MusicXML, .musicxml",
                    "%s in this .mxl file is damaged, or packed in a way that gripline does not know", path);
  GlnStatus status = read_open_entry(zip, path, bytes_max, arena, diags, content);
  if (unzCloseCurrentFile(zip) == UNZ_CRCERROR && status == GLN_OK)
    return complain(diags, "fetch the file anew", "%s in this .mxl file is damaged", path);
  return status;
}

/* Inside the file, by plain names. */
static bool is_plain_path(GlnText path) {
  if (path.length == 0 || path.length >= PATH_BYTES_MAX || path.at[0] == '/')
    return false;
  for (size_t at = 0; at < path.length; at++) {
    char c = path.at[at];
    bool begins = at == 0 || path.at[at - 1] == '/';
    if (c == '\\' || c == ':' || (unsigned char)c < 0x20)
      return false;
    GlnText step = gln_text_from(path, at);
    if (begins && gln_text_starts(step, GLN_TEXT("..")) && (step.length == 2 || step.at[2] == '/'))
      return false;
  }
  return true;
}

/* The first rootfile that is a score. */
static GlnStatus find_root(GlnText container, GlnArena *arena, GlnDiags *diags, const char **path) {
  static const GlnText score = GLN_TEXT_INIT("application/vnd.recordare.musicxml+xml");
  GlnXmlDocument document;
  GlnText text;
  bool is_utf8 = false;
  GlnDiags inner = gln_diags(arena);
  GlnStatus status = gln_xml_decode(container, arena, &inner, &text, &is_utf8);
  if (status == GLN_OK)
    status = gln_xml_read(text, is_utf8, arena, &inner, &document);
  if (status == GLN_MEMORY)
    return status;
  if (status != GLN_OK)
    return complain(diags, "save it again from the program that it comes from",
                    "%s in this .mxl file cannot be read: %.*s", CONTAINER_PATH,
                    inner.count > 0 ? (int)inner.items[0].problem.length : 0,
                    inner.count > 0 ? inner.items[0].problem.at : "");
  const GlnXmlNode *files = gln_xml_child(document.root, GLN_ELEMENT_ROOTFILES);
  for (const GlnXmlNode *file = gln_xml_child(files, GLN_ELEMENT_ROOTFILE); file != NULL;
       file = gln_xml_next(file, GLN_ELEMENT_ROOTFILE)) {
    GlnText type = gln_xml_attribute(file, GLN_ATTRIBUTE_MEDIA_TYPE);
    GlnText named = gln_xml_attribute(file, GLN_ATTRIBUTE_FULL_PATH);
    if (type.length > 0 && !gln_text_equal(type, score))
      continue;
    if (!is_plain_path(named))
      return complain(diags, "do not trust this file",
                      "the score of this .mxl file is said to lie outside it");
    *path = gln_text_copy(arena, named);
    return *path != NULL ? GLN_OK : GLN_MEMORY;
  }
  return complain(diags, "save it again from the program that it comes from",
                  "this .mxl file names no score");
}

static GlnStatus read_zip(unzFile zip, GlnArena *arena, GlnDiags *diags, GlnText *score) {
  GlnText container = {NULL, 0};
  const char *path = NULL;
  GLN_TRY(read_entry(zip, CONTAINER_PATH, CONTAINER_BYTES_MAX, arena, diags, &container));
  GLN_TRY(find_root(container, arena, diags, &path));
  return read_entry(zip, path, GLN_MUSICXML_BYTES_MAX, arena, diags, score);
}

bool gln_mxl_knows(GlnText bytes) {
  return gln_text_starts(bytes, GLN_TEXT("PK\x03\x04"));
}

GlnStatus gln_mxl_read(GlnText bytes, const GlnMusicXmlWish *wish, GlnArena *arena, GlnDiags *diags,
                       GlnImport *import) {
  Memory memory = {.read = bytes};
  zlib_filefunc64_def functions = functions_of(&memory);
  GlnText score = {NULL, 0};
  *import = (GlnImport){.placed = GLN_TEXT("")};
  unzFile zip = unzOpen2_64("", &functions);
  if (zip == NULL)
    return complain(diags, "fetch the file anew", "this is no .mxl file, or not all of it");
  GlnStatus status = read_zip(zip, arena, diags, &score);
  (void)unzClose(zip); /* only read from: nothing can be lost */
  GLN_TRY(status);
  return gln_musicxml_read(score, wish, arena, diags, import);
}

/* ---- writing ---------------------------------------------------------------------------------------------------------------- */

/* The first day that a zip file can name: the same bytes on every day. */
#define FIRST_DAY ((uLong)(1 << 5 | 1) << 16)

static bool add_entry(zipFile zip, const char *path, GlnText content, bool packed) {
  const zip_fileinfo about = {.dosDate = FIRST_DAY};
  if (content.length > UINT_MAX ||
      zipOpenNewFileInZip(zip, path, &about, NULL, 0, NULL, 0, NULL, packed ? Z_DEFLATED : 0,
                          packed ? Z_DEFAULT_COMPRESSION : 0) != ZIP_OK)
    return false;
  bool written = zipWriteInFileInZip(zip, content.at, (unsigned)content.length) == ZIP_OK;
  return zipCloseFileInZip(zip) == ZIP_OK && written;
}

GlnStatus gln_mxl_write(const GlnMusicXmlOptions *options, GlnBuffer *out) {
  static const GlnText container =
      GLN_TEXT_INIT("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<container>\n <rootfiles>\n  <rootfile "
                    "full-path=\"score.musicxml\" "
                    "media-type=\"application/vnd.recordare.musicxml+xml\"/>\n </rootfiles>\n</container>\n");
  GlnBuffer score = gln_buffer(out->arena), file = gln_buffer(out->arena);
  GLN_TRY(gln_musicxml_write(options, &score));
  Memory memory = {.written = &file};
  zlib_filefunc64_def functions = functions_of(&memory);
  zipFile zip = zipOpen2_64("", APPEND_STATUS_CREATE, NULL, &functions);
  if (zip == NULL)
    return GLN_MEMORY;
  bool added = add_entry(zip, "mimetype", GLN_TEXT("application/vnd.recordare.musicxml"), false) &&
               add_entry(zip, CONTAINER_PATH, container, true) &&
               add_entry(zip, "score.musicxml", gln_buffer_text(&score), true);
  if (zipClose(zip, NULL) != ZIP_OK || !added)
    return GLN_MEMORY; /* all that can fail on a file in memory */
  gln_buffer_add(out, gln_buffer_text(&file));
  return gln_buffer_status(out);
}
