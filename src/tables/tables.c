/* clang-format off: rows of macros */
/* Expands the .def files of data into the tables that tables.h declares. */
#include "tables.h"
#include "recheck.h"

#include <string.h>

const iol_unit_row iol_units[IOL_UNIT_COUNT] = {
#define UNIT(id, printed, json_decimals, text_decimals) { printed, json_decimals, text_decimals },
#include "units.def"
#undef UNIT
};

/* ---- words ---- */
#define SET_BEGIN(set) static const char *const words_of_##set[] = { NULL,
#define W(set, id, text) text,
#define NOT_EXAMINED(set)
#define UNKNOWN(set)
#define SET_END(set) };
#include "words.def"
#undef SET_BEGIN
#undef W
#undef NOT_EXAMINED
#undef UNKNOWN
#undef SET_END
/* Which sets admit the two extra words: one enum constant a set, 0 unless its row says so. */
#define SET_BEGIN(set) enum { extra_##set = 0
#define W(set, id, text)
#define NOT_EXAMINED(set) | 2
#define UNKNOWN(set) | 1
#define SET_END(set) };
#include "words.def"
#undef SET_BEGIN
#undef W
#undef NOT_EXAMINED
#undef UNKNOWN
#undef SET_END
#define SET_BEGIN(set) const iol_word_set iol_words_##set = { #set, words_of_##set, IOL_##set##_end, \
    (extra_##set & 1) != 0, (extra_##set & 2) != 0 };
#define W(set, id, text)
#define NOT_EXAMINED(set)
#define UNKNOWN(set)
#define SET_END(set)
#include "words.def"
#undef SET_BEGIN
#undef W
#undef NOT_EXAMINED
#undef UNKNOWN
#undef SET_END

const char *iol_word_text(const iol_word_set *set, int value) {
    if (value == IOL_NOT_EXAMINED) return "not-examined";
    return value > 0 && value < set->count ? set->word[value] : NULL;
}

/* ---- required keys ---- */
#define BEGIN(o) static const char *const must_of_##o[] = {
#define NUM(o, k, u, lo, hi, ulo, uhi, t)
#define RATE(o, k, key, t)
#define WORD(o, k, set, t)
#define FLAG(o, k, t)
#define DATE(o, k, t)
#define TEXT(o, k, n, t)
#define PART(o, k, sub, t)
#define LIST(o, k, sub, cap, t)
#define WORDS(o, k, set, cap, t)
#define NUMS(o, k, u, lo, hi, cap, t)
#define MUST(o, k) #k,
#define END(o) NULL };
#include "case_fields.def"
#include "site_fields.def"
#include "iolrevise/fields_undef.h"

/* ---- fields ---- */
#define ROW(o, k, t, kind_of) { .key = #k, .offset = offsetof(struct iol_##o, k), .text = t, .kind = IOL_KIND_##kind_of,
#define COUNTED(o, k, cap) .count_offset = offsetof(struct iol_##o, k##_count), .most = cap,
#define OBJECT(o, must) \
    _Static_assert(sizeof fields_of_##o / sizeof *fields_of_##o <= IOL_KEYS_MOST, "too many keys"); \
    static const iol_object object_##o = { #o, fields_of_##o, \
    (int)(sizeof fields_of_##o / sizeof *fields_of_##o), sizeof(struct iol_##o), must };
#define BEGIN(o) static const iol_field fields_of_##o[] = {
#define WORD(o, k, set, t) ROW(o, k, t, WORD) .words = &iol_words_##set },
#define FLAG(o, k, t) ROW(o, k, t, FLAG) },
#define DATE(o, k, t) ROW(o, k, t, DATE) },
#define TEXT(o, k, n, t) ROW(o, k, t, TEXT) .most = n },
#define PART(o, k, sub, t) ROW(o, k, t, PART) .inside = &object_##sub },
#define LIST(o, k, sub, cap, t) ROW(o, k, t, LIST) COUNTED(o, k, cap) .inside = &object_##sub },
#define WORDS(o, k, set, cap, t) ROW(o, k, t, WORDS) COUNTED(o, k, cap) .words = &iol_words_##set },
#define NUMS(o, k, u, lo, hi, cap, t) ROW(o, k, t, NUMS) COUNTED(o, k, cap) .unit = IOL_UNIT_##u, .hard_low = lo, .hard_high = hi },
#define NUM(o, k, u, lo, hi, ulo, uhi, t) ROW(o, k, t, NUM) .unit = IOL_UNIT_##u, \
    .hard_low = lo, .hard_high = hi, .usual_low = ulo, .usual_high = uhi },
#define RATE(o, k, name, t) { .key = name, .offset = offsetof(struct iol_##o, k), .text = t, .kind = IOL_KIND_NUM, \
    .unit = IOL_UNIT_none, .hard_low = 0, .hard_high = 10000, .usual_low = 0, .usual_high = 5000 },
#define MUST(o, k)
#define END(o) }; OBJECT(o, must_of_##o)
#include "case_fields.def"
#include "site_fields.def"
#undef NUM
#undef END
#define NUM(o, k, u, t) ROW(o, k, t, NUM) .unit = IOL_UNIT_##u },
#define STRING(o, k, t) ROW(o, k, t, STRING) },
#define LIST_AS(o, k, name, sub, cap, t) { .key = name, .offset = offsetof(struct iol_##o, k), .text = t, \
    .kind = IOL_KIND_LIST, COUNTED(o, k, cap) .inside = &object_##sub },
#define PATHS(o, k, cap, t) ROW(o, k, t, PATHS) COUNTED(o, k, cap) },
#define SAME(o, k, sub) ROW(o, k, "", SAME) .inside = &object_##sub },
#define NOTED(o, k, t, kind_of) { .key = #k, .text = t, .kind = IOL_KIND_##kind_of, .place = IOL_AT_##o##_##k },
#define NOTE(o, k, t) NOTED(o, k, t, NOTE)
#define NOTES(o, k, t) NOTED(o, k, t, NOTES)
#define SAYS(o, k, t) NOTED(o, k, t, SAYS)
#define REFS(o, k, t) { .key = #k, .text = t, .kind = IOL_KIND_REFS },
#define END(o) }; OBJECT(o, no_must)
static const char *const no_must[] = { NULL };
#include "plan_fields.def"
#include "recheck_fields.def"
const iol_object *const iol_object_case = &object_case;
const iol_object *const iol_object_site = &object_site;
const iol_object *const iol_object_plan = &object_plan;
const iol_object *const iol_object_asked = &object_asked;
const iol_object *const iol_object_recheck = &object_recheck;
const iol_object *const iol_object_summary = &object_summary;
const iol_object *const iol_object_comparison = &object_comparison;
const iol_object *const iol_object_drift = &object_drift;

/* Unknown where that is not zero bytes, as it is of words, flags, texts and counts. */
static void fill_unknown(const iol_object *object, void *into) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        void *at = IOL_FIELD_AT(into, field);
        switch (field->kind) {
        case IOL_KIND_NUM: *(double *)at = NAN; break;
        case IOL_KIND_DATE: *(int32_t *)at = IOL_UNKNOWN_DATE; break;
        case IOL_KIND_PART:
        case IOL_KIND_SAME: fill_unknown(field->inside, at); break;
        case IOL_KIND_LIST:
            for (int k = 0; k < field->most; k++)
                fill_unknown(field->inside, (char *)at + (size_t)k * field->inside->size);
            break;
        default: break;
        }
    }
}

void iol_object_reset(const iol_object *object, void *into) {
    memset(into, 0, object->size);
    fill_unknown(object, into);
}

const iol_field *iol_object_find(const iol_object *object, const char *key, size_t length) {
    for (int i = 0; i < object->count; i++)
        if (strlen(object->field[i].key) == length && memcmp(object->field[i].key, key, length) == 0) return &object->field[i];
    return NULL;
}

const iol_field *iol_field_at(const iol_object *object, const char *path) {
    const iol_field *field = NULL;
    while (*path == '/') {
        size_t length = strcspn(++path, "/");
        bool number = length > 0 && strspn(path, "0123456789") == length;
        if (!number && !object) return NULL;
        if (!number) {
            field = iol_object_find(object, path, length);
            if (!field) return NULL;
            object = field->inside;
        }
        path += length;
    }
    return field;
}

/* ---- references ---- */
const iol_reference_row iol_references[IOL_REF_COUNT] = {
#define REFERENCE(key, status, citation) { #key, IOL_STATUS_##status, citation },
#include "references.def"
#undef REFERENCE
};

const char *iol_status_text(iol_evidence_status status) {
    static const char *const text[] = { "published", "standard", "common practice", "judgement", "memory" };
    return text[status];
}

/* ---- evidence ---- */
const iol_evidence_row iol_evidence[IOL_EVIDENCE_COUNT] = {
#define EVIDENCE(key, value, low, high, unit, reference, status, text) \
    { #key, value, low, high, #unit, IOL_REF_##reference, IOL_STATUS_##status, text },
#include "evidence.def"
#undef EVIDENCE
};
