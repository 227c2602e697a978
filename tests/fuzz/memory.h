/* Commands without a file system: a few names stand for bytes in memory, nothing else can be opened or asked for, and what is
 * told on standard output and standard error is kept. Linked with --wrap=fopen and --wrap=stat. */
#ifndef TESTS_FUZZ_MEMORY_H
#define TESTS_FUZZ_MEMORY_H

#include <errno.h>
#include <sys/stat.h>

#include "fuzz.h"

enum { FUZZ_FILES = 4 };
static char *const fuzz_name[FUZZ_FILES] = {(char[]){"first"}, (char[]){"second"}, (char[]){"third"},
                                            (char[]){"fourth"}};
static fuzz_text fuzz_file[FUZZ_FILES];
static bool fuzz_sealed; /* nothing outside can be reached */

FILE *__real_fopen(const char *name, const char *mode);
FILE *__wrap_fopen(const char *name, const char *mode);
int __real_stat(const char *name, struct stat *s);
int __wrap_stat(const char *name, struct stat *s);

FILE *__wrap_fopen(const char *name, const char *mode) {
    if (!fuzz_sealed || strstr(name, "crash_")) return __real_fopen(name, mode); /* the fuzzer keeps what it found */
    fuzz_must(mode[0] == 'r', "a file is written");
    for (int i = 0; i < FUZZ_FILES; i++)
        if (strcmp(name, fuzz_name[i]) == 0 && fuzz_file[i].used > 0)
            return fmemopen(fuzz_file[i].bytes, fuzz_file[i].used, mode);
    errno = ENOENT;
    return NULL;
}

int __wrap_stat(const char *name, struct stat *s) {
    if (!fuzz_sealed) return __real_stat(name, s);
    errno = ENOENT;
    return -1;
}

static inline void fuzz_fill(fuzz_text *t, const uint8_t *data, size_t size) {
    fuzz_must(size < sizeof t->bytes, "too long");
    memcpy(t->bytes, data, size);
    t->bytes[size] = '\0';
    t->used = size;
}

/* ---- what is told ---- */

static char fuzz_kept[2][1 << 18]; /* 0: standard output, 1: standard error */
static FILE *fuzz_to[2], *fuzz_own[2];

static inline void fuzz_listen(void) {
    for (int i = 0; i < 2; i++) {
        if (!fuzz_to[i]) fuzz_to[i] = fmemopen(fuzz_kept[i], sizeof fuzz_kept[i], "w");
        fuzz_must(fuzz_to[i] != NULL, "no memory to listen");
        rewind(fuzz_to[i]);
        fuzz_kept[i][0] = '\0';
    }
    fuzz_own[0] = stdout, fuzz_own[1] = stderr;
    stdout = fuzz_to[0], stderr = fuzz_to[1];
    fuzz_sealed = true;
}

/* Bytes on standard output. Messages are whole lines of printable ASCII that begin with the program's name. */
static inline size_t fuzz_heard(void) {
    stdout = fuzz_own[0], stderr = fuzz_own[1];
    fuzz_sealed = false;
    for (int i = 0; i < 2; i++) {
        fflush(fuzz_to[i]);
        const long size = ftell(fuzz_to[i]);
        fuzz_must(size >= 0 && size < (long)sizeof fuzz_kept[i] - 1, "more is told than there is room for");
        fuzz_kept[i][size] = '\0';
    }
    const size_t said = strlen(fuzz_kept[1]);
    fuzz_must(said == 0 || fuzz_kept[1][said - 1] == '\n', "a message without its end");
    for (const char *line = fuzz_kept[1]; *line; line = strchr(line, '\n') + 1)
        fuzz_must(strncmp(line, "iolrevise: ", 11) == 0, "a message of nobody");
    for (const char *c = fuzz_kept[1]; *c; c++)
        fuzz_must((*c >= ' ' && *c <= '~') || *c == '\n', "a message with a byte outside printable ASCII");
    return strlen(fuzz_kept[0]);
}

#endif
