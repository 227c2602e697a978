/* Which kind of file a text is, before it is read: keys of the outermost object. */
#include "scan_state.h"

#include <string.h>

/* Behind the text whose quotation mark is at p. */
static const byte *behind_text(const byte *p, const byte *end) {
    for (p++; p < end && *p != '"'; p++)
        if (*p == '\\' && end - p > 1) p++;
    return p < end ? p + 1 : end;
}

bool iol_scan_has_key(const char *text, size_t length, const char *key) {
    const byte *p = (const byte *)text, *end = p + length;
    size_t size = strlen(key);
    int level = 0;
    while (p < end) {
        if (*p == '"') {
            const byte *start = p + 1;
            p = behind_text(p, end);
            if (level != 1 || (size_t)(p - start) != size + 1 || memcmp(start, key, size) != 0) continue;
            const byte *colon = skip_space(p, end);
            if (colon < end && *colon == ':') return true;
            continue;
        }
        if (*p == '{' || *p == '[') level++;
        if (*p == '}' || *p == ']') level--;
        p++;
    }
    return false;
}

bool iol_scan_is_data_set(const char *text, size_t length) {
    const byte *end = (const byte *)text + length,
               *p = skip_space((const byte *)text + iol_scan_mark(text, length), end);
    if (p < end && *p == '[') p = skip_space(p + 1, end);
    if (p == end || *p != '{') return false;
    p = skip_space(p + 1, end);
    if (end - p < 10 || p[0] != '"' || p[9] != '"') return false;
    for (int i = 1; i < 9; i++)
        if (!memchr("0123456789ABCDEFabcdef", p[i], 22)) return false;
    return true;
}
