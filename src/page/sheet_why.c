/* Why it works. */
#include "page_internal.h"

void gln_sheet_why(GlnSheet *sheet) {
  (void)sheet;
}
