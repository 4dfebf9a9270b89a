/* iCalendar (RFC 5545): one all-day event a day. All-day, so that no time zone and no change of the clocks moves it. */
#include "interchange.h"

#define FOLD_OCTETS 75 /* RFC 5545, 3.1: a line has at most so many octets, its end aside */

/* A content line, folded between code points. */
static void add_line(GlnBuffer *out, GlnText line) {
  size_t room = FOLD_OCTETS;
  while (line.length > room) {
    size_t cut = 0;
    for (size_t next = 0; next <= room; next += gln_text_code_point(line, next, NULL))
      cut = next;
    gln_buffer_add(out, gln_text_slice(line, 0, cut));
    gln_buffer_add_string(out, "\r\n ");
    line = gln_text_from(line, cut);
    room = FOLD_OCTETS - 1; /* the blank counts */
  }
  gln_buffer_add(out, line);
  gln_buffer_add_string(out, "\r\n");
}

/* TEXT (RFC 5545, 3.3.11): backslash, semicolon, comma and line ends escaped; control characters are not allowed. */
static void add_escaped(GlnBuffer *out, GlnText text) {
  while (text.length > 0) {
    size_t length = gln_text_code_point(text, 0, NULL);
    GlnText point = gln_text_slice(text, 0, length);
    unsigned char byte = (unsigned char)text.at[0];
    text = gln_text_from(text, length);
    if (gln_text_bad_utf8(point) < point.length)
      gln_buffer_add_string(out, "\xEF\xBF\xBD");
    else if (byte == '\n')
      gln_buffer_add_string(out, "\\n");
    else if (byte == '\\' || byte == ';' || byte == ',')
      gln_buffer_format(out, "\\%c", byte);
    else if ((byte >= ' ' && byte != 0x7F) || byte == '\t')
      gln_buffer_add(out, point);
  }
}

static void add_text(GlnBuffer *out, const char *property, GlnText text) {
  GlnBuffer line = gln_buffer(out->arena);
  gln_buffer_add_string(&line, property);
  add_escaped(&line, text);
  add_line(out, gln_buffer_text(&line));
  out->failed = out->failed || line.failed;
}

/* "20261125": DATE (RFC 5545, 3.3.4). */
static void add_date(GlnBuffer *out, GlnDay day) {
  char text[GLN_DAY_TEXT_MAX];
  gln_day_print(day, text);
  for (const char *at = text; *at != '\0'; at++)
    if (*at != '-')
      gln_buffer_add_byte(out, *at);
}

static void add_date_line(GlnBuffer *out, const char *property, GlnDay day, const char *after) {
  gln_buffer_add_string(out, property);
  add_date(out, day);
  gln_buffer_add_string(out, after);
  gln_buffer_add_string(out, "\r\n");
}

static void add_event(GlnBuffer *out, const GlnCalendarEvent *event, GlnDay stamp, int64_t sequence) {
  add_line(out, GLN_TEXT("BEGIN:VEVENT"));
  add_text(out, "UID:", event->uid);
  add_date_line(out, "DTSTAMP:", stamp, "T000000Z");
  add_date_line(out, "DTSTART;VALUE=DATE:", event->day, "");
  add_date_line(out, "DTEND;VALUE=DATE:", event->day + 1, "");
  gln_buffer_format(out, "SEQUENCE:%lld\r\n", (long long)sequence);
  add_text(out, "SUMMARY:", event->summary);
  if (event->description.length > 0)
    add_text(out, "DESCRIPTION:", event->description);
  add_line(out, GLN_TEXT("TRANSP:TRANSPARENT"));
  add_line(out, GLN_TEXT("END:VEVENT"));
}

GlnStatus gln_calendar_write(const GlnCalendar *calendar, GlnBuffer *out) {
  add_line(out, GLN_TEXT("BEGIN:VCALENDAR"));
  add_line(out, GLN_TEXT("VERSION:2.0"));
  add_line(out, GLN_TEXT("PRODID:-//gripline//practice plan//EN"));
  add_line(out, GLN_TEXT("CALSCALE:GREGORIAN"));
  for (size_t i = 0; i < calendar->count; i++)
    add_event(out, &calendar->events[i], calendar->stamp, calendar->sequence);
  add_line(out, GLN_TEXT("END:VCALENDAR"));
  return gln_buffer_status(out);
}
