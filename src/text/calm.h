/* Text from outside, so written that no terminal acts on it. */
#ifndef IOL_TEXT_CALM_H
#define IOL_TEXT_CALM_H

#include <stddef.h>

/* text at out: control characters (U+0080 to U+009F too) and bytes that are no UTF-8 as \xNN, all else as it is. Returns the
 * length; cut to size - 1 bytes at a whole character. */
size_t iol_calm(const char *text, char *out, size_t size);

#endif
