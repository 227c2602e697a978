/* The key that was meant: the nearest known one, here or elsewhere in the file. */
#include "suggest.h"

#include <string.h>

enum { LONGEST = 40 };

/* Edits (insert, delete, replace, swap of neighbours) that turn a into b; more than LONGEST is "far". */
static int distance(const char *a, const char *b) {
    int n = (int)strlen(a), m = (int)strlen(b), row[3][LONGEST + 1];
    if (n > LONGEST || m > LONGEST) return LONGEST;
    for (int j = 0; j <= m; j++) row[0][j] = j;
    for (int i = 1; i <= n; i++) {
        int *now = row[i % 3], *before = row[(i + 2) % 3], *two = row[(i + 1) % 3];
        now[0] = i;
        for (int j = 1; j <= m; j++) {
            int replace = before[j - 1] + (a[i - 1] != b[j - 1]), least = before[j] + 1;
            if (now[j - 1] + 1 < least) least = now[j - 1] + 1;
            if (replace < least) least = replace;
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] && two[j - 2] + 1 < least)
                least = two[j - 2] + 1;
            now[j] = least;
        }
    }
    return row[n % 3][m];
}

typedef struct {
    int distance;
    char path[120];
} nearest;

static void look(const iol_object *object, const char *key, const char *path, nearest *best, int penalty) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        char here[120];
        size_t used = strlen(path), more = strlen(field->key);
        if (used + more + 4 > sizeof here) continue;
        memcpy(here, path, used);
        here[used] = '/';
        memcpy(here + used + 1, field->key, more + 1);
        int d = distance(key, field->key) * 2 + penalty;
        if (d < best->distance) {
            best->distance = d;
            memcpy(best->path, here, sizeof here);
        }
        if (field->inside && penalty) {
            if (field->kind == IOL_KIND_LIST) memcpy(here + used + 1 + more, "/0", 3);
            look(field->inside, key, here, best, penalty);
        }
    }
}

static void say(const char *text, char *out, size_t size) {
    size_t used = strlen(out), length = strlen(text);
    if (length > size - 1 - used) length = size - 1 - used;
    memcpy(out + used, text, length);
    out[used + length] = '\0';
}

void iol_suggest_key(const iol_object *root, const iol_object *here, const char *key, char *out, size_t size) {
    nearest best = {.distance = 2 * (int)(strlen(key) / 3 + 1) + 1, .path = ""};
    out[0] = '\0';
    look(here, key, "", &best, 0);
    if (best.path[0]) {
        say("a known key; perhaps ", out, size);
        say(best.path + 1, out, size);
        return;
    }
    if (root) look(root, key, "", &best, 1);
    say(best.path[0] ? "a known key; perhaps it belongs at " : "a known key (iolrevise template lists them)", out,
        size);
    say(best.path, out, size);
}
