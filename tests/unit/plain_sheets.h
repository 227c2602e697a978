/* Sheets 1 and 2 as text without line ends and margins; include it after kept_text.h. */
#ifndef IOL_TESTS_PLAIN_SHEETS_H
#define IOL_TESTS_PLAIN_SHEETS_H

#include <string.h>

#include "flat.h"
#include "report/sheet.h"

/* Tags off, one sign for each minus and each degree. */
static inline const char *plain_sheets(const iol_plan *plan) {
    static char out[400000];
    static const char *const plain[][2] = {
        {"\xE2\x88\x92", "-"}, {"&nbsp;", " "}, {"\xC3\x97", "x"}, {"\xC2\xB0", " deg"}, {"\xC2\xB1", "+-"}};
    kept.used = 0;
    kept.bytes[0] = '\0';
    assert_true(iol_sheets_html(plan, NULL, &page, keep, NULL));
    const char *at = strstr(kept.bytes, "id=\"decide\""), *end = strstr(kept.bytes, "id=\"patient\"");
    if (!end) end = strstr(kept.bytes, "id=\"tables\"");
    assert_true(at && end && at < end);
    size_t used = 0;
    bool tag = true;
    while (at < end && used + 8 < sizeof out) {
        size_t k = 0;
        while (k < 5 && strncmp(at, plain[k][0], strlen(plain[k][0])) != 0) k++;
        if (*at == '<') tag = true;
        if (!tag && k < 5)
            used += (size_t)snprintf(out + used, 8, "%s", plain[k][1]);
        else if (!tag)
            out[used++] = *at;
        else if (*at == '>')
            out[used++] = ' ';
        if (*at == '>') tag = false;
        at += !tag && k < 5 ? strlen(plain[k][0]) : 1;
    }
    out[used] = '\0';
    return flat(out);
}

#endif
