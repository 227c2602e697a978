#include "seen.h"

static uint64_t *place_of(iol_seen *seen, uint64_t digest) {
    size_t at = (size_t)((digest * UINT64_C(0x9e3779b97f4a7c15)) >> 20) & (seen->room - 1);
    for (seen->probes++; seen->key[at] && seen->key[at] != digest; seen->probes++) at = (at + 1) & (seen->room - 1);
    return &seen->key[at];
}

/* Never more than half full. */
static bool grow(iol_seen *seen) {
    iol_seen wide = {.room = seen->room ? 2 * seen->room : 256, .used = seen->used, .probes = seen->probes};
    wide.key = calloc(wide.room, sizeof *wide.key);
    if (!wide.key) return false;
    for (size_t i = 0; i < seen->room; i++)
        if (seen->key[i]) *place_of(&wide, seen->key[i]) = seen->key[i];
    free(seen->key);
    *seen = wide;
    return true;
}

int iol_seen_add(iol_seen *seen, uint64_t digest) {
    if (2 * (seen->used + 1) > seen->room && !grow(seen)) return IOL_SEEN_NO_MEMORY;
    if (digest == 0) digest = 1;
    uint64_t *place = place_of(seen, digest);
    if (*place) return IOL_SEEN_BEFORE;
    *place = digest;
    seen->used++;
    return IOL_SEEN_NEW;
}
