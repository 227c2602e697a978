/* Text without line ends and margins. */
#ifndef IOL_TESTS_FLAT_H
#define IOL_TESTS_FLAT_H

#include <stddef.h>

static inline const char *flat(const char *text) {
    static char out[400000];
    size_t used = 0;
    for (; *text && used + 1 < sizeof out; text++) {
        const char letter = *text == '\n' ? ' ' : *text;
        if (letter != ' ' || (used > 0 && out[used - 1] != ' ')) out[used++] = letter;
    }
    out[used] = '\0';
    return out;
}

#endif
