/* The case table, walked: only what is known is written. */
#include "case_json.h"

#include "json.h"
#include "tables/tables.h"

static void members(iol_json *json, const iol_object *object, const void *at);

/* With as many decimals as it needs. */
static void number(iol_json *json, const char *key, double x) {
    enum { MOST = 9 };
    int decimals = 0;
    double scaled = x;
    if (isnan(x)) return;
    while (decimals < MOST && fabs(scaled - nearbyint(scaled)) > 1e-9 * fmax(1.0, fabs(scaled)))
        decimals++, scaled *= 10.0;
    iol_json_number(json, key, x, decimals);
}

static void date(iol_json *json, const char *key, int32_t day) {
    char text[11];
    if (day == IOL_UNKNOWN_DATE) return;
    iol_date_print(day, text);
    iol_json_text(json, key, text);
}

/* An object of a list stands even where nothing is known of it: it is counted. */
static void list(iol_json *json, const iol_field *field, const char *at, int count) {
    if (count <= 0) return;
    iol_json_open(json, field->key, '[');
    for (int i = 0; i < count; i++) {
        if (field->kind == IOL_KIND_WORDS)
            iol_json_text(json, NULL, iol_word_text(field->words, ((const int *)(const void *)at)[i]));
        else if (field->kind == IOL_KIND_NUMS)
            number(json, NULL, ((const double *)(const void *)at)[i]);
        else {
            iol_json_open(json, NULL, '{');
            members(json, field->inside, at + (size_t)i * field->inside->size);
            iol_json_close(json, '}');
        }
    }
    iol_json_close(json, ']');
}

static void member(iol_json *json, const iol_field *field, const void *base) {
    const char *at = (const char *)base + field->offset;
    const int *count = (const int *)(const void *)((const char *)base + field->count_offset);
    switch (field->kind) {
    case IOL_KIND_NUM: number(json, field->key, *(const double *)(const void *)at); break;
    case IOL_KIND_WORD:
        if (*(const int *)(const void *)at != 0)
            iol_json_text(json, field->key, iol_word_text(field->words, *(const int *)(const void *)at));
        break;
    case IOL_KIND_FLAG:
        if (*(const iol_flag *)(const void *)at != IOL_UNKNOWN)
            iol_json_bool(json, field->key, *(const iol_flag *)(const void *)at == IOL_YES);
        break;
    case IOL_KIND_DATE: date(json, field->key, *(const int32_t *)(const void *)at); break;
    case IOL_KIND_TEXT:
        if (*at) iol_json_text(json, field->key, at);
        break;
    case IOL_KIND_PART:
        if (!*(const bool *)(const void *)at) break;
        iol_json_open(json, field->key, '{');
        members(json, field->inside, at);
        iol_json_close(json, '}');
        break;
    default: list(json, field, at, *count); break;
    }
}

static void members(iol_json *json, const iol_object *object, const void *at) {
    for (int i = 0; i < object->count; i++) member(json, &object->field[i], at);
}

bool iol_case_write(const iol_case *c, iol_sink sink, void *context) {
    iol_json json;
    iol_json_start(&json, sink, context, true);
    iol_json_open(&json, NULL, '{');
    members(&json, iol_object_case, c);
    iol_json_close(&json, '}');
    return iol_json_finish(&json);
}
