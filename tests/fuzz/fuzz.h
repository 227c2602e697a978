/* What every input of the fuzzers must satisfy; a breach ends the program with abort. */
#ifndef TESTS_FUZZ_FUZZ_H
#define TESTS_FUZZ_FUZZ_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "iolrevise.h"
#include "tables/tables.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static inline void fuzz_must(bool good, const char *what) {
    if (good) return;
    fprintf(stderr, "fuzz: %s\n", what);
    abort();
}

/* Refused: at least one fault, each a line of printable ASCII with a line number, a code and something wanted. */
static inline void fuzz_check_faults(const iol_faults *faults) {
    fuzz_must(faults->count >= 1 && faults->count <= IOL_FAULTS_KEPT, "refused without a fault");
    for (int i = 0; i < faults->count; i++) {
        char line[IOL_FAULT_LINE];
        size_t length = iol_fault_print(&faults->item[i], line, sizeof line);
        fuzz_must(length == strlen(line) && length < sizeof line - 1, "a line that does not fit");
        for (const char *c = line; *c; c++) fuzz_must(*c >= ' ' && *c <= '~', "a byte outside printable ASCII");
        fuzz_must(faults->item[i].line >= 1, "a fault without a line");
        fuzz_must(faults->item[i].wanted[0] != '\0', "a fault that does not say what is wanted");
    }
}

/* ---- an accepted struct written out again, every digit kept ---- */

typedef struct {
    char bytes[1 << 20];
    size_t used;
} fuzz_text;

static inline void fuzz_put(fuzz_text *t, const char *text) {
    size_t length = strlen(text);
    fuzz_must(length < sizeof t->bytes - t->used, "too long to write again");
    memcpy(t->bytes + t->used, text, length + 1);
    t->used += length;
}

static inline void fuzz_put_text(fuzz_text *t, const char *text) {
    fuzz_put(t, "\"");
    for (; *text; text++) {
        char one[8] = {*text, '\0'};
        if (*text == '"' || *text == '\\') snprintf(one, sizeof one, "\\%c", *text);
        fuzz_put(t, one);
    }
    fuzz_put(t, "\"");
}

static inline void fuzz_put_number(fuzz_text *t, double x) {
    char number[40];
    snprintf(number, sizeof number, "%.17g", x);
    fuzz_put(t, isnan(x) ? "null" : number);
}

static inline void fuzz_put_word(fuzz_text *t, const iol_word_set *set, int word) {
    const char *text = iol_word_text(set, word);
    if (text)
        fuzz_put_text(t, text);
    else
        fuzz_put(t, "null");
}

static inline void fuzz_put_object(fuzz_text *t, const iol_object *object, const void *at);

static inline void fuzz_put_list(fuzz_text *t, const iol_field *f, const char *at, int count) {
    fuzz_put(t, "[");
    for (int i = 0; i < count; i++) {
        if (i) fuzz_put(t, ",");
        if (f->kind == IOL_KIND_LIST) fuzz_put_object(t, f->inside, at + (size_t)i * f->inside->size);
        if (f->kind == IOL_KIND_WORDS) fuzz_put_word(t, f->words, ((const int *)(const void *)at)[i]);
        if (f->kind == IOL_KIND_NUMS) fuzz_put_number(t, ((const double *)(const void *)at)[i]);
    }
    fuzz_put(t, "]");
}

static inline void fuzz_put_value(fuzz_text *t, const iol_field *f, const void *base) {
    const char *at = (const char *)base + f->offset;
    char day[11];
    switch (f->kind) {
    case IOL_KIND_NUM: fuzz_put_number(t, *(const double *)(const void *)at); break;
    case IOL_KIND_WORD: fuzz_put_word(t, f->words, *(const int *)(const void *)at); break;
    case IOL_KIND_FLAG: {
        iol_flag flag = *(const iol_flag *)(const void *)at;
        fuzz_put(t, flag == IOL_YES ? "true" : flag == IOL_NO ? "false" : "null");
        break;
    }
    case IOL_KIND_DATE:
        if (*(const int32_t *)(const void *)at == IOL_UNKNOWN_DATE)
            fuzz_put(t, "null");
        else {
            iol_date_print(*(const int32_t *)(const void *)at, day);
            fuzz_put_text(t, day);
        }
        break;
    case IOL_KIND_TEXT:
        if (*at)
            fuzz_put_text(t, at);
        else
            fuzz_put(t, "null");
        break;
    case IOL_KIND_PART: fuzz_put_object(t, f->inside, at); break;
    default: fuzz_put_list(t, f, at, *(const int *)(const void *)((const char *)base + f->count_offset)); break;
    }
}

static inline void fuzz_put_object(fuzz_text *t, const iol_object *object, const void *at) {
    fuzz_put(t, "{");
    for (int i = 0; i < object->count; i++) {
        if (i) fuzz_put(t, ",");
        fuzz_put_text(t, object->field[i].key);
        fuzz_put(t, ":");
        fuzz_put_value(t, &object->field[i], at);
    }
    fuzz_put(t, "}");
}

#endif
