/* An object of the tables from JSON that the program itself wrote. */
#include <string.h>

#include "iolrevise/case.h"
#include "view.h"

enum { DECIMALS = 9, LONGEST = 64 };

static void take_number(iol_view v, double *into) {
    int64_t count;
    if (iol_view_count(v, DECIMALS, -INT64_MAX, INT64_MAX, &count)) *into = (double)count / 1e9;
}

static void take_word(iol_view v, const iol_word_set *set, int *into) {
    for (int i = 1; i < set->count; i++)
        if (iol_view_is(v, set->word[i])) *into = i;
}

static void take_list(iol_view v, const iol_field *field, void *base) {
    int *count = (int *)(void *)((char *)base + field->count_offset);
    iol_view item = {NULL, NULL};
    for (*count = 0; *count < field->most && iol_view_each(v, &item); ++*count)
        iol_view_object(item, field->inside, (char *)IOL_FIELD_AT(base, field) + (size_t)*count * field->inside->size);
}

static void take(iol_view v, const iol_field *field, void *base) {
    void *at = IOL_FIELD_AT(base, field);
    char text[LONGEST];
    switch (field->kind) {
    case IOL_KIND_NUM: take_number(v, at); break;
    case IOL_KIND_WORD: take_word(v, field->words, at); break;
    case IOL_KIND_FLAG:
        if (v.at) *(iol_flag *)at = iol_view_is_true(v) ? IOL_YES : iol_view_is(v, NULL) ? IOL_UNKNOWN : IOL_NO;
        break;
    case IOL_KIND_DATE:
        if (iol_view_text(v, text, sizeof text)) iol_date_read(text, at);
        break;
    case IOL_KIND_TEXT:
        if (iol_view_text(v, text, sizeof text) && strlen(text) <= (size_t)field->most)
            memcpy(at, text, strlen(text) + 1);
        break;
    case IOL_KIND_PART: iol_view_object(v, field->inside, at); break;
    case IOL_KIND_LIST: take_list(v, field, base); break;
    default: break;
    }
}

/* Members of an object that stands in this one without a key of its own lie beside its others. */
static void members(iol_view v, const iol_object *object, void *into) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        if (field->kind == IOL_KIND_SAME)
            members(v, field->inside, IOL_FIELD_AT(into, field));
        else
            take(iol_view_member(v, field->key), field, into);
    }
}

void iol_view_object(iol_view v, const iol_object *object, void *into) {
    iol_object_reset(object, into);
    if (!v.at || *v.at != '{') return;
    *(bool *)into = true;
    members(v, object, into);
}
