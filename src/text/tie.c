/* Blanks at which no line ends. */
#include "tie.h"

#include <string.h>

/* "16 Dec 2025" in either case: a month stands at the place. */
static bool is_month(const char *at) {
    static const char months[] = "jan feb mar apr may jun jul aug sep oct nov dec ";
    for (const char *m = months; *m; m += 4)
        if ((at[0] | 0x20) == m[0] && (at[1] | 0x20) == m[1] && (at[2] | 0x20) == m[2] && at[3] == ' ') return true;
    return false;
}

/* The blanks within a day: "16" before its month, the month before its year. */
static bool in_day(const char *text, size_t at) {
    const bool digit_before = text[at - 1] >= '0' && text[at - 1] <= '9',
               digit_after = text[at + 1] >= '0' && text[at + 1] <= '9';
    return (digit_before && strlen(text + at) > 8 && is_month(text + at + 1)) ||
           (digit_after && at > 4 && text[at - 4] == ' ' && text[at - 5] >= '0' && text[at - 5] <= '9' &&
            is_month(text + at - 3));
}

bool iol_is_tie(const char *text, size_t at) {
    static const char *const unit[] = {"D", "mm", "deg", "um", "per", "%"};
    if (at == 0 || text[at] != ' ') return false;
    if (in_day(text, at)) return true;
    if (at > 1 && text[at - 1] == 'x' && text[at - 2] == ' ' && text[at + 1] >= '0' && text[at + 1] <= '9')
        return true; /* "x 90 deg" */
    if (text[at - 1] < '0' || text[at - 1] > '9') return false;
    for (size_t i = 0; i < sizeof unit / sizeof *unit; i++) {
        const size_t length = strlen(unit[i]);
        const char after = text[at + 1 + length * (strncmp(text + at + 1, unit[i], length) == 0)];
        if (strncmp(text + at + 1, unit[i], length) == 0 && !((after | 0x20) >= 'a' && (after | 0x20) <= 'z'))
            return true;
    }
    return false;
}
