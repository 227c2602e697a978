/* Calendar days in words. */
#include "date_words.h"

#include <string.h>

#include "iolrevise/case.h"

static size_t put(char *out, size_t size, size_t at, const char *text) {
    for (; *text && at + 1 < size; text++) out[at++] = *text;
    out[at] = '\0';
    return at;
}

void iol_date_words(int32_t day, const char *const months[12], char *out, size_t size) {
    static const char *const english[12] = {" Jan", " Feb", " Mar", " Apr", " May", " Jun",
                                            " Jul", " Aug", " Sep", " Oct", " Nov", " Dec"};
    char iso[11];
    iol_date_print(day, iso);
    const int month = (iso[5] - '0') * 10 + iso[6] - '0';
    size_t at = put(out, size, 0, iso[8] == '0' ? iso + 9 : iso + 8);
    at = put(out, size, at, (months ? months : english)[month - 1]);
    at = put(out, size, at, " ");
    iso[4] = '\0';
    put(out, size, at, iso);
}
