/* Bytes that wait for their turn. */
#ifndef IOL_CLI_BUFFER_H
#define IOL_CLI_BUFFER_H

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    char *bytes;
    size_t used, size;
    bool failed; /* out of memory */
} iol_buffer;

/* Room for that many bytes more, to be written at the address returned and counted in `used`; NULL when out of memory. */
static inline char *iol_buffer_room(iol_buffer *b, size_t length) {
    if (b->failed) return NULL;
    if (length > b->size - b->used) {
        size_t size = 2 * b->size > b->used + length ? 2 * b->size : b->used + length + 4096;
        char *grown = realloc(b->bytes, size);
        b->failed = !grown;
        if (!grown) return NULL;
        b->bytes = grown;
        b->size = size;
    }
    return b->bytes + b->used;
}

static inline bool iol_buffer_sink(void *context, const char *bytes, size_t length) {
    iol_buffer *b = context;
    char *at = iol_buffer_room(b, length);
    if (!at) return false;
    memcpy(at, bytes, length);
    b->used += length;
    return true;
}

static inline void iol_buffer_text(iol_buffer *b, const char *text) { iol_buffer_sink(b, text, strlen(text)); }

#endif
