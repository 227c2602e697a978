/* Calendar days, Gregorian, without the C library's clock or locale. */
#include <string.h>

#include "iolrevise/case.h"

static bool leap(int year) { return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0); }

static int days_in(int month, int year) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return month == 2 && leap(year) ? 29 : days[month - 1];
}

/* Day number of a date: years counted from March so that the leap day comes last. */
static int32_t day_number(int year, int month, int day) {
    int y = month <= 2 ? year - 1 : year, m = (month + 9) % 12;
    int32_t before = 365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1;
    return before - 719468;
}

static int digits(const char *text, int count) {
    int value = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9') return -1;
        value = value * 10 + (text[i] - '0');
    }
    return value;
}

bool iol_date_read(const char *text, int32_t *day) {
    *day = IOL_UNKNOWN_DATE;
    if (strlen(text) != 10 || text[4] != '-' || text[7] != '-') return false;
    int y = digits(text, 4), m = digits(text + 5, 2), d = digits(text + 8, 2);
    if (y < 1900 || y > 2199 || m < 1 || m > 12 || d < 1 || d > days_in(m, y)) return false;
    *day = day_number(y, m, d);
    return true;
}

void iol_date_print(int32_t day, char out[11]) {
    int year = 1970 + (int)(day / 365.2425);
    while (day_number(year + 1, 1, 1) <= day) year++;
    while (day_number(year, 1, 1) > day) year--;
    int month = 12;
    while (day_number(year, month, 1) > day) month--;
    int date = (int)(day - day_number(year, month, 1)) + 1;
    int field[3] = {year, month, date}, at = 0;
    for (int i = 0; i < 3; i++) {
        if (i) out[at++] = '-';
        for (int unit = i ? 10 : 1000; unit; unit /= 10) out[at++] = (char)('0' + field[i] / unit % 10);
    }
    out[at] = '\0';
}
