/* What was met before: a set of 64-bit digests. */
#ifndef IOL_CLI_SEEN_H
#define IOL_CLI_SEEN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

typedef struct {
    uint64_t *key; /* 0: free */
    size_t room, used;
    uint64_t probes; /* places looked at so far: the work done */
} iol_seen;

enum { IOL_SEEN_NEW, IOL_SEEN_BEFORE, IOL_SEEN_NO_MEMORY };
int iol_seen_add(iol_seen *seen, uint64_t digest);
static inline void iol_seen_end(iol_seen *seen) { free(seen->key); }

/* FNV-1a, 64 bits. */
#define IOL_DIGEST_START UINT64_C(0xcbf29ce484222325)
static inline uint64_t iol_digest(uint64_t digest, const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) digest = (digest ^ (unsigned char)bytes[i]) * UINT64_C(0x100000001b3);
    return digest;
}

#endif
