/* Where bytes go: a function and its context. The library never opens a file. */
#ifndef IOL_WRITE_SINK_H
#define IOL_WRITE_SINK_H

#include <stdbool.h>
#include <stddef.h>

/* Returns false when the bytes could not be taken; the writer then stops writing. */
typedef bool (*iol_sink)(void *context, const char *bytes, size_t length);

#endif
