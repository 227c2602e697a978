#include "calm.h"

#include <stdbool.h>
#include <string.h>

/* Bytes of the UTF-8 character at s (RFC 3629, section 4), 0 when it is none. */
static size_t character(const unsigned char *s) {
    size_t length = s[0] < 0x80 ? 1 : s[0] < 0xc2 ? 0 : s[0] < 0xe0 ? 2 : s[0] < 0xf0 ? 3 : s[0] < 0xf5 ? 4 : 0;
    unsigned char low = s[0] == 0xe0   ? 0xa0
                        : s[0] == 0xf0 ? 0x90
                                       : 0x80,
                  high = s[0] == 0xed   ? 0x9f
                         : s[0] == 0xf4 ? 0x8f
                                        : 0xbf;
    for (size_t i = 1; i < length; i++, low = 0x80, high = 0xbf)
        if (s[i] < low || s[i] > high) return 0;
    return length;
}

static bool acts(const unsigned char *s, size_t length) {
    return length == 0 || s[0] < 0x20 || s[0] == 0x7f || (s[0] == 0xc2 && s[1] < 0xa0);
}

size_t iol_calm(const char *text, char *out, size_t size) {
    static const char hex[] = "0123456789abcdef";
    size_t used = 0;
    for (const unsigned char *s = (const unsigned char *)text; *s;) {
        size_t length = character(s), bytes = length ? length : 1;
        bool escaped = acts(s, length);
        if (used + (escaped ? 4 * bytes : bytes) >= size) break;
        for (size_t i = 0; i < bytes; i++, s++) {
            if (escaped) memcpy(out + used, (char[]){'\\', 'x', hex[*s >> 4], hex[*s & 15]}, 4);
            if (!escaped) out[used] = (char)*s;
            used += escaped ? 4 : 1;
        }
    }
    if (size > 0) out[used] = '\0';
    return used;
}
