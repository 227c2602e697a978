/* Lists in words. */
#include "list.h"

#include <stdbool.h>
#include <string.h>

/* Is an item of this length, no longer and no shorter, in the list? */
static bool holds(const char *list, const char *item, size_t length) {
    for (const char *at = list; *at;) {
        const char *comma = strstr(at, ", ");
        size_t here = comma ? (size_t)(comma - at) : strlen(at);
        if (here == length && memcmp(at, item, length) == 0) return true;
        at += here + (comma ? 2 : 0);
    }
    return false;
}

static void add(char *list, size_t size, const char *item, size_t length, const char *rest) {
    size_t used = strlen(list), tail = strlen(rest);
    bool full = tail > 0 && used >= tail && strcmp(list + used - tail, rest) == 0;
    if (length == 0 || full || holds(list, item, length)) return;
    if (used + 2 + length + tail + 1 > size) {
        memcpy(list + used, rest, tail + 1);
        return;
    }
    if (used) memcpy(list + used, ", ", 2), used += 2;
    memcpy(list + used, item, length);
    list[used + length] = '\0';
}

void iol_list_add(char *list, size_t size, const char *item, const char *rest) {
    add(list, size, item, strlen(item), rest);
}

void iol_list_add_each(char *list, size_t size, const char *items, const char *rest) {
    for (const char *at = items; *at;) {
        const char *comma = strstr(at, ", ");
        size_t here = comma ? (size_t)(comma - at) : strlen(at);
        add(list, size, at, here, rest);
        at += here + (comma ? 2 : 0);
    }
}
