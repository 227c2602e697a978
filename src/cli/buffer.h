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

static inline bool iol_buffer_sink(void *context, const char *bytes, size_t length) {
    iol_buffer *b = context;
    if (b->failed) return false;
    if (length > b->size - b->used) {
        size_t size = 2 * b->size > b->used + length ? 2 * b->size : b->used + length + 4096;
        char *grown = realloc(b->bytes, size);
        b->failed = !grown;
        if (!grown) return false;
        b->bytes = grown;
        b->size = size;
    }
    memcpy(b->bytes + b->used, bytes, length);
    b->used += length;
    return true;
}

static inline void iol_buffer_text(iol_buffer *b, const char *text) { iol_buffer_sink(b, text, strlen(text)); }

#endif
