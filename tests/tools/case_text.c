/* A case as the text of a case file, keys in the order of the table or shuffled. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "random_case.h"

typedef struct {
    char *text;
    size_t used;
    uint64_t order; /* 0: that of the table */
} writer;

static void put(writer *w, const char *format, ...) {
    va_list list;
    va_start(list, format);
    int more = vsnprintf(w->text + w->used, RANDOM_CASE_TEXT - w->used, format, list);
    va_end(list);
    w->used += (size_t)more;
    if (w->used >= RANDOM_CASE_TEXT) abort();
}

/* The shortest of the usual forms that reads back as the same number. */
static void put_number(writer *w, double x) {
    char text[40];
    for (int digits = 6; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, x);
        if (strtod(text, NULL) == x) break;
    }
    put(w, "%s", text);
}

static void put_word(writer *w, const iol_word_set *set, int word) { put(w, "\"%s\"", iol_word_text(set, word)); }

static bool object_known(const iol_object *object, const void *at);

static bool field_known(const iol_field *f, const void *base) {
    const void *at = (const char *)base + f->offset;
    switch (f->kind) {
    case IOL_KIND_NUM: return !isnan(*(const double *)at);
    case IOL_KIND_DATE: return *(const int32_t *)at != IOL_UNKNOWN_DATE;
    case IOL_KIND_WORD:
    case IOL_KIND_FLAG: return *(const int *)at != 0;
    case IOL_KIND_TEXT: return *(const char *)at != '\0';
    case IOL_KIND_PART: return object_known(f->inside, at);
    default: return *(const int *)(const void *)((const char *)base + f->count_offset) > 0;
    }
}

static bool object_known(const iol_object *object, const void *at) {
    for (int i = 0; i < object->count; i++)
        if (field_known(&object->field[i], at)) return true;
    return false;
}

static void put_object(writer *w, const iol_object *object, const void *at);

static void put_list(writer *w, const iol_field *f, const char *at, int count) {
    put(w, "[");
    for (int i = 0; i < count; i++) {
        if (i) put(w, ",");
        if (f->kind == IOL_KIND_LIST)
            put_object(w, f->inside, at + (size_t)i * f->inside->size);
        else if (f->kind == IOL_KIND_WORDS)
            put_word(w, f->words, ((const int *)(const void *)at)[i]);
        else
            put_number(w, ((const double *)(const void *)at)[i]);
    }
    put(w, "]");
}

static void put_field(writer *w, const iol_field *f, const void *base) {
    const void *at = (const char *)base + f->offset;
    char day[11];
    put(w, "\"%s\":", f->key);
    switch (f->kind) {
    case IOL_KIND_NUM: put_number(w, *(const double *)at); break;
    case IOL_KIND_WORD: put_word(w, f->words, *(const int *)at); break;
    case IOL_KIND_FLAG: put(w, *(const iol_flag *)at == IOL_YES ? "true" : "false"); break;
    case IOL_KIND_TEXT: put(w, "\"%s\"", (const char *)at); break;
    case IOL_KIND_PART: put_object(w, f->inside, at); break;
    case IOL_KIND_DATE:
        iol_date_print(*(const int32_t *)at, day);
        put(w, "\"%s\"", day);
        break;
    default: put_list(w, f, at, *(const int *)(const void *)((const char *)base + f->count_offset)); break;
    }
}

/* A shuffled walk: the order of one object, each time another. */
static void put_object(writer *w, const iol_object *object, const void *at) {
    int order[IOL_KEYS_MOST];
    bool first = true;
    for (int i = 0; i < object->count; i++) order[i] = i;
    for (int i = object->count - 1; w->order && i > 0; i--) {
        w->order = w->order * 6364136223846793005u + 1442695040888963407u;
        int other = (int)((w->order >> 33) % (uint64_t)(i + 1)), kept = order[i];
        order[i] = order[other], order[other] = kept;
    }
    put(w, "{");
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[order[i]];
        if (!field_known(f, at)) continue;
        if (!first) put(w, ",");
        first = false;
        put_field(w, f, at);
    }
    put(w, "}");
}

size_t case_text(const iol_case *c, uint64_t order, char text[RANDOM_CASE_TEXT]) {
    writer w = {.text = text, .order = order};
    put_object(&w, iol_object_case, c);
    return w.used;
}
