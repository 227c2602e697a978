/* Records of JSON Lines, one at a time, from any source: memory does not grow with the input or with a line. */
#ifndef IOL_CASE_LINES_H
#define IOL_CASE_LINES_H

#include <stdbool.h>
#include <stddef.h>

enum {
    IOL_LINE_MOST = 64 * 1024,   /* bytes of a record; a longer line is read past, never stored */
    IOL_LINES_BLOCK = 256 * 1024 /* bytes asked for at once */
};

/* Fills up to size bytes, returns how many; 0 at the end or on a failure, which the context knows of. */
typedef size_t (*iol_source)(void *context, char *bytes, size_t size);

typedef struct {
    iol_source source;
    void *context;
    long line; /* lines taken so far, blank ones included */
    size_t at, end;
    bool started, over;
    bool unended; /* the line taken last has no line end behind it */
    char block[IOL_LINES_BLOCK];
} iol_lines;

typedef struct {
    const char *text; /* without its line end; stays until the next call. NULL: too long */
    size_t length;    /* of the whole line, the longer one too */
    long line;        /* from 1 */
} iol_record;

void iol_lines_start(iol_lines *lines, iol_source source, void *context);
/* Before the first line is taken: its object goes on behind its end, so the text is one whole value over several lines. */
bool iol_lines_one_value(iol_lines *lines);
/* Bytes not yet taken, up to size; 0 at the end. */
size_t iol_lines_rest(iol_lines *lines, char *out, size_t size);
/* The next line that is not blank; false at the end. Lines end in \n or \r\n, the last one also without; a byte-order
 * mark before the first line is dropped. */
bool iol_lines_next(iol_lines *lines, iol_record *record);

#endif
