/* Days of the calendar, by whole-number arithmetic: no clock, no time zone, no library of dates. */
#include "study.h"

/* Days from 1970-01-01 of a day in the proleptic Gregorian calendar, years counted from March so that the leap day
 * comes last: 400 years are 146097 days. */
static GlnDay day_of(int year, int month, int day) {
  int y = month <= 2 ? year - 1 : year;
  int era = (y >= 0 ? y : y - 399) / 400;
  int year_of_era = y - era * 400;
  int day_of_year = (153 * (month > 2 ? month - 3 : month + 9) + 2) / 5 + day - 1;
  int day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
  return era * 146097 + day_of_era - 719468;
}

typedef struct Civil {
  int year, month, day;
} Civil;

static Civil civil_of(GlnDay day) {
  int z = day + 719468;
  int era = (z >= 0 ? z : z - 146096) / 146097;
  int day_of_era = z - era * 146097;
  int year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
  int day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  int month = (5 * day_of_year + 2) / 153;
  Civil civil = {.year = year_of_era + era * 400,
                 .month = month < 10 ? month + 3 : month - 9,
                 .day = day_of_year - (153 * month + 2) / 5 + 1};
  civil.year += civil.month <= 2 ? 1 : 0;
  return civil;
}

GlnStatus gln_day_parse(GlnText text, GlnDay *day) {
  long year = 0, month = 0, date = 0;
  if (text.length != 10 || text.at[4] != '-' || text.at[7] != '-' || !gln_is_digit(text.at[0]) ||
      !gln_is_digit(text.at[5]) || !gln_is_digit(text.at[8]))
    return GLN_INPUT;
  GLN_TRY(gln_text_integer(gln_text_slice(text, 0, 4), 1, 9999, &year));
  GLN_TRY(gln_text_integer(gln_text_slice(text, 5, 2), 1, 12, &month));
  GLN_TRY(gln_text_integer(gln_text_slice(text, 8, 2), 1, 31, &date));
  GlnDay read = day_of((int)year, (int)month, (int)date);
  Civil back = civil_of(read); /* the 30th of February comes back as another day */
  if (back.month != (int)month || back.day != (int)date)
    return GLN_INPUT;
  *day = read;
  return GLN_OK;
}

void gln_day_print(GlnDay day, char out[GLN_DAY_TEXT_MAX]) {
  GlnDay within = day < GLN_DAY_MIN ? GLN_DAY_MIN : day > GLN_DAY_MAX ? GLN_DAY_MAX : day;
  Civil civil = civil_of(within);
  int digits[8] = {civil.year / 1000, civil.year / 100 % 10, civil.year / 10 % 10, civil.year % 10,
                   civil.month / 10,  civil.month % 10,      civil.day / 10,       civil.day % 10};
  size_t at = 0;
  for (int i = 0; i < 8; i++) {
    if (i == 4 || i == 6)
      out[at++] = '-';
    out[at++] = (char)('0' + digits[i]);
  }
  out[at] = '\0';
}

int gln_day_weekday(GlnDay day) {
  return (int)(((day % 7) + 10) % 7); /* 1970-01-01 was a Thursday */
}

const char *gln_weekday_name(int weekday) {
  static const char *const names[] = {"Monday", "Tuesday",  "Wednesday", "Thursday",
                                      "Friday", "Saturday", "Sunday"};
  return weekday >= 0 && weekday < 7 ? names[weekday] : "";
}

#define DAY_SECONDS 86400

GlnDay gln_day_at(int64_t utc_seconds, int32_t ahead_seconds) {
  int64_t local = utc_seconds + ahead_seconds;
  int64_t day = local / DAY_SECONDS;
  if (local % DAY_SECONDS < 0)
    day--;
  return day < GLN_DAY_MIN ? GLN_DAY_MIN : day > GLN_DAY_MAX ? GLN_DAY_MAX : (GlnDay)day;
}
