/* The case table, walked: only what is known is written, and what a remark stands beside. */
#include "case_json.h"

#include <string.h>

#include "json.h"
#include "tables/say.h"
#include "tables/tables.h"

typedef struct {
    iol_json json;
    const iol_remarks_source *remarks; /* NULL: none */
    char path[160];                    /* of the object at hand, as a JSON Pointer */
} writer;

static void members(writer *w, const iol_object *object, const void *at);

/* With as many decimals as it needs. */
static void number(writer *w, const char *key, double x) {
    enum { MOST = 9 };
    int decimals = 0;
    double scaled = x;
    if (isnan(x)) return;
    while (decimals < MOST && fabs(scaled - nearbyint(scaled)) > 1e-9 * fmax(1.0, fabs(scaled)))
        decimals++, scaled *= 10.0;
    iol_json_number(&w->json, key, x, decimals);
}

static void date(writer *w, const char *key, int32_t day) {
    char text[11];
    if (day == IOL_UNKNOWN_DATE) return;
    iol_date_print(day, text);
    iol_json_text(&w->json, key, text);
}

/* ---- the path, and remarks by it ---- */

static size_t enter(writer *w, const char *key, int place) {
    size_t before = strlen(w->path);
    iol_append(w->path, sizeof w->path, "/");
    if (key) iol_append(w->path, sizeof w->path, key);
    if (!key) iol_append_number(w->path, sizeof w->path, place);
    return before;
}

static void leave(writer *w, size_t before) { w->path[before] = '\0'; }

static bool remarked(const writer *w) { return w->remarks && w->remarks->below(w->remarks->context, w->path); }

/* ---- values ---- */

static void object_of(writer *w, const char *key, const iol_object *object, const void *at) {
    iol_json_open(&w->json, key, '{');
    members(w, object, at);
    iol_json_close(&w->json, '}');
}

/* An object of a list stands even where nothing is known of it: it is counted. */
static void list(writer *w, const iol_field *field, const char *at, int count) {
    size_t before = enter(w, field->key, 0);
    if (count <= 0 && remarked(w) && field->kind == IOL_KIND_LIST) count = 1; /* the first, not filled in */
    if (count > 0) iol_json_open(&w->json, field->key, '[');
    for (int i = 0; i < count; i++) {
        if (field->kind == IOL_KIND_WORDS)
            iol_json_text(&w->json, NULL, iol_word_text(field->words, ((const int *)(const void *)at)[i]));
        else if (field->kind == IOL_KIND_NUMS)
            number(w, NULL, ((const double *)(const void *)at)[i]);
        else {
            size_t outside = enter(w, NULL, i);
            object_of(w, NULL, field->inside, at + (size_t)i * field->inside->size);
            leave(w, outside);
        }
    }
    if (count > 0) iol_json_close(&w->json, ']');
    leave(w, before);
}

static bool known(const iol_field *field, const void *base) {
    const char *at = (const char *)base + field->offset;
    switch (field->kind) {
    case IOL_KIND_NUM: return !isnan(*(const double *)(const void *)at);
    case IOL_KIND_WORD: return *(const int *)(const void *)at != 0;
    case IOL_KIND_FLAG: return *(const iol_flag *)(const void *)at != IOL_UNKNOWN;
    case IOL_KIND_DATE: return *(const int32_t *)(const void *)at != IOL_UNKNOWN_DATE;
    case IOL_KIND_TEXT: return *at != '\0';
    case IOL_KIND_PART: return *(const bool *)(const void *)at;
    default: return *(const int *)(const void *)((const char *)base + field->count_offset) > 0;
    }
}

static void value(writer *w, const iol_field *field, const void *base) {
    const char *at = (const char *)base + field->offset;
    switch (field->kind) {
    case IOL_KIND_NUM: number(w, field->key, *(const double *)(const void *)at); break;
    case IOL_KIND_WORD:
        iol_json_text(&w->json, field->key, iol_word_text(field->words, *(const int *)(const void *)at));
        break;
    case IOL_KIND_FLAG: iol_json_bool(&w->json, field->key, *(const iol_flag *)(const void *)at == IOL_YES); break;
    case IOL_KIND_DATE: date(w, field->key, *(const int32_t *)(const void *)at); break;
    case IOL_KIND_TEXT: iol_json_text(&w->json, field->key, at); break;
    default: list(w, field, at, *(const int *)(const void *)((const char *)base + field->count_offset)); break;
    }
}

static void member(writer *w, const iol_field *field, const void *base) {
    const char *remark = w->remarks ? w->remarks->of_key(w->remarks->context, w->path, field->key) : NULL;
    bool is_known = known(field, base);
    if (remark) {
        char name[80] = "//";
        iol_append(name, sizeof name, field->key);
        iol_json_text(&w->json, name, remark);
    }
    if (field->kind == IOL_KIND_PART) {
        size_t before = enter(w, field->key, 0);
        if (is_known || remarked(w)) object_of(w, field->key, field->inside, (const char *)base + field->offset);
        leave(w, before);
    } else if (is_known || field->kind == IOL_KIND_LIST)
        value(w, field, base);
    else if (remark)
        iol_json_null(&w->json, field->key);
}

static void members(writer *w, const iol_object *object, const void *at) {
    const char *name = NULL, *text;
    for (int n = 0; w->remarks && (text = w->remarks->of_object(w->remarks->context, w->path, n, &name)) != NULL; n++)
        iol_json_text(&w->json, name, text);
    for (int i = 0; i < object->count; i++) member(w, &object->field[i], at);
}

bool iol_case_write_remarked(const iol_case *c, const iol_remarks_source *remarks, iol_sink sink, void *context) {
    writer w = {.remarks = remarks};
    iol_json_start(&w.json, sink, context, true);
    object_of(&w, NULL, iol_object_case, c);
    return iol_json_finish(&w.json);
}

bool iol_case_write(const iol_case *c, iol_sink sink, void *context) {
    return iol_case_write_remarked(c, NULL, sink, context);
}
