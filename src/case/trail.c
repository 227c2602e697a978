/* JSON Pointers. */
#include "trail.h"

#include "iolrevise/faults.h"
#include "tables/say.h"

void iol_trail_enter(iol_trail *trail, const char *key, int index) {
    trail->at[trail->depth].key = key;
    trail->at[trail->depth].index = index;
    trail->depth++;
}

void iol_trail_leave(iol_trail *trail) { trail->depth--; }

/* One step; ~ and / are written ~0 and ~1. */
static void append_key(char *path, size_t size, const char *key) {
    iol_append(path, size, "/");
    for (size_t i = 0; i < IOL_FAULT_SHOWN && key[i]; i++) {
        if (key[i] == '~' || key[i] == '/')
            iol_append(path, size, key[i] == '~' ? "~0" : "~1");
        else
            iol_append_bytes(path, size, &key[i], 1);
    }
}

void iol_trail_path(const iol_trail *trail, const char *key, char *path, size_t size) {
    path[0] = '\0';
    for (int i = 0; i < trail->depth; i++) {
        if (trail->at[i].key) {
            append_key(path, size, trail->at[i].key);
            continue;
        }
        iol_append(path, size, "/");
        iol_append_number(path, size, trail->at[i].index);
    }
    if (key) append_key(path, size, key);
}
