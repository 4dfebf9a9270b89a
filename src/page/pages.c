/* The door of the room. */
#include "page.h"

GLN_DOOR const GlnPages gln_pages = {.version = GRIPLINE_VERSION,
                                     .defaults = gln_page_defaults,
                                     .write_sheet = gln_sheet_write,
                                     .write_plan_sheet = gln_plan_sheet_write,
                                     .write_progress = gln_progress_page_write,
                                     .write_curve = gln_curve_write,
                                     .parse_format = gln_page_format_parse,
                                     .describe_diagram = gln_diagram_describe};
