#include "base.h"

#include <assert.h>

const char *gln_status_text(GlnStatus status) {
  static const char *const texts[] = {
#define GLN_STATUS_TEXT(name, text, exit) [name] = (text),
      GLN_STATUS_LIST(GLN_STATUS_TEXT)
#undef GLN_STATUS_TEXT
  };
  assert((size_t)status < GLN_COUNT_OF(texts));
  return texts[status];
}

int gln_status_exit(GlnStatus status) {
  static const int exits[] = {
#define GLN_STATUS_EXIT(name, text, exit) [name] = (exit),
      GLN_STATUS_LIST(GLN_STATUS_EXIT)
#undef GLN_STATUS_EXIT
  };
  assert((size_t)status < GLN_COUNT_OF(exits));
  return exits[status];
}
