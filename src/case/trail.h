/* Where the reader is in the file, as a JSON Pointer (RFC 6901). */
#ifndef IOL_CASE_TRAIL_H
#define IOL_CASE_TRAIL_H

#include <stddef.h>

enum { IOL_TRAIL_STEPS = 18 };

typedef struct {
    int depth;
    struct {
        const char *key; /* NULL: an element of a list */
        int index;
    } at[IOL_TRAIL_STEPS];
} iol_trail;

void iol_trail_enter(iol_trail *trail, const char *key, int index);
void iol_trail_leave(iol_trail *trail);
/* The pointer, with one more key behind it unless that is NULL. A hostile key is cut. */
void iol_trail_path(const iol_trail *trail, const char *key, char *path, size_t size);

#endif
