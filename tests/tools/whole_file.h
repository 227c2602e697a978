/* A file as one text with a zero behind it; the program ends in 2 when it cannot be read. The caller frees it. */
#ifndef IOL_TESTS_TOOLS_WHOLE_FILE_H
#define IOL_TESTS_TOOLS_WHOLE_FILE_H

#include <stdio.h>
#include <stdlib.h>

static inline char *whole_file(const char *name, size_t room, size_t *length) {
    FILE *file = fopen(name, "rb");
    char *bytes = malloc(room + 1);
    if (!file || !bytes) {
        fprintf(stderr, "cannot read %s\n", name);
        exit(2);
    }
    *length = fread(bytes, 1, room, file);
    bytes[*length] = '\0';
    fclose(file);
    return bytes;
}

#endif
