/* Every value of a case or site as text, a line each, in the order of its table, and back: for builds that have no JSON parser. */
#ifndef TESTS_VALUES_H
#define TESTS_VALUES_H

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tables/tables.h"

typedef struct {
    FILE *file;
    bool write; /* else read */
    bool ended;
} value_stream;

static void value_line(value_stream *s, char line[1024]) {
    if (s->write) {
        fprintf(s->file, "%s\n", line);
        return;
    }
    if (!fgets(line, 1024, s->file)) {
        s->ended = true;
        line[0] = '\0';
    }
    line[strcspn(line, "\n")] = '\0';
}

static void value_double(value_stream *s, double *x) {
    char line[1024];
    if (s->write) snprintf(line, sizeof line, "%a", *x);
    value_line(s, line);
    if (!s->write) *x = strncmp(line, "nan", 3) == 0 || strncmp(line, "-nan", 4) == 0 ? NAN : strtod(line, NULL);
}

static void value_int(value_stream *s, int *x) {
    char line[1024];
    if (s->write) snprintf(line, sizeof line, "%d", *x);
    value_line(s, line);
    if (!s->write) *x = (int)strtol(line, NULL, 10);
}

static void value_bool(value_stream *s, bool *x) {
    int is = *x;
    value_int(s, &is);
    *x = is != 0;
}

/* An object, its parts and the elements of its lists. When reading, the object was reset before. */
static void value_object(value_stream *s, const iol_object *object, void *base) {
    value_bool(s, base); /* present: the first member of each */
    for (int i = 0; i < object->count && !s->ended; i++) {
        const iol_field *f = &object->field[i];
        char *at = IOL_FIELD_AT(base, f);
        int *count = (int *)(void *)((char *)base + f->count_offset);
        char line[1024];
        int day;
        switch (f->kind) {
        case IOL_KIND_NUM: value_double(s, (double *)(void *)at); break;
        case IOL_KIND_WORD: value_int(s, (int *)(void *)at); break;
        case IOL_KIND_FLAG:
            day = (int)*(iol_flag *)(void *)at;
            value_int(s, &day);
            *(iol_flag *)(void *)at = (iol_flag)day;
            break;
        case IOL_KIND_DATE:
            day = (int)*(int32_t *)(void *)at;
            value_int(s, &day);
            *(int32_t *)(void *)at = day;
            break;
        case IOL_KIND_TEXT:
            if (s->write) snprintf(line, sizeof line, "%s", at);
            value_line(s, line);
            if (!s->write) memcpy(at, line, strlen(line) + 1);
            break;
        case IOL_KIND_PART: value_object(s, f->inside, at); break;
        case IOL_KIND_LIST:
            value_int(s, count);
            value_bool(s, (bool *)(count + 1)); /* lost: behind the count */
            for (int k = 0; k < *count && !s->ended; k++) value_object(s, f->inside, at + (size_t)k * f->inside->size);
            break;
        case IOL_KIND_WORDS:
            value_int(s, count);
            for (int k = 0; k < *count; k++) value_int(s, (int *)(void *)at + k);
            break;
        case IOL_KIND_NUMS:
            value_int(s, count);
            for (int k = 0; k < *count; k++) value_double(s, (double *)(void *)at + k);
            break;
        default: abort(); /* no such field in a case or site */
        }
    }
}

#endif
