/* Paths through the tables of the case. */
#include "entry.h"

#include <string.h>

#include "suggest.h"
#include "tables/say.h"
#include "typed.h"

static bool refuse(iol_refusal *refusal, iol_fault_code code, const char *wanted) {
    refusal->code = code;
    refusal->unit = "";
    refusal->wanted[0] = '\0';
    iol_append(refusal->wanted, sizeof refusal->wanted, wanted);
    return false;
}

/* ---- found ---- */

typedef struct {
    iol_entry *entry;
    iol_refusal *refusal;
    bool pointer; /* lists are counted from 0 */
} finder;

static void enter(iol_entry *entry, const iol_object *object, void *base) {
    entry->object = object;
    entry->base = base;
    entry->present[entry->depth++] = base;
}

/* The element that a step counts to. */
static bool enter_list(const finder *f, const char *step, size_t length) {
    iol_entry *entry = f->entry;
    int index = 0, first = f->pointer ? 0 : 1;
    for (size_t i = 0; i < length; i++) {
        if (step[i] < '0' || step[i] > '9' || i > 2)
            return refuse(f->refusal, IOL_FAULT_unknown_key, "a number behind the name of a list");
        index = index * 10 + (step[i] - '0');
    }
    if (length == 0 || index < first)
        return refuse(f->refusal, IOL_FAULT_unknown_key,
                      "a number behind the name of a list: from 1 between points, from 0 between slashes");
    entry->index = index - first;
    entry->count = (int *)(void *)((char *)entry->base + entry->field->count_offset);
    if (entry->index > *entry->count || entry->index >= entry->field->most)
        return refuse(f->refusal, IOL_FAULT_unknown_key, "an element of the list, or the next one behind its last");
    enter(entry, entry->field->inside,
          (char *)IOL_FIELD_AT(entry->base, entry->field) + (size_t)entry->index * entry->field->inside->size);
    iol_append(entry->path, sizeof entry->path, "/");
    iol_append_number(entry->path, sizeof entry->path, entry->index);
    return true;
}

static bool unknown_step(const finder *f, const char *step, size_t length) {
    char typed[IOL_FAULT_QUOTED] = "";
    iol_append_bytes(typed, sizeof typed, step, length);
    refuse(f->refusal, IOL_FAULT_unknown_key, "");
    if (!f->refusal->brief)
        iol_suggest_key(iol_object_case, f->entry->object, typed, f->refusal->wanted, sizeof f->refusal->wanted);
    if (!f->refusal->wanted[0]) iol_append(f->refusal->wanted, sizeof f->refusal->wanted, "a key of the case format");
    return false;
}

/* One name of the path; false when it is none. */
static bool name(const finder *f, const char *step, size_t length) {
    iol_entry *entry = f->entry;
    const iol_field *field = iol_object_find(entry->object, step, length);
    if (!field) return unknown_step(f, step, length);
    entry->field = field;
    iol_append(entry->path, sizeof entry->path, "/");
    iol_append(entry->path, sizeof entry->path, field->key);
    if (field->kind == IOL_KIND_PART) enter(entry, field->inside, IOL_FIELD_AT(entry->base, field));
    return true;
}

bool iol_entry_find(iol_case *c, const char *path, iol_entry *entry, iol_refusal *refusal) {
    finder f = {entry, refusal, path[0] == '/'};
    *entry = (iol_entry){.path = ""};
    enter(entry, iol_object_case, c);
    if (f.pointer) path++;
    for (const char *step = path;;) {
        size_t length = strcspn(step, f.pointer ? "/" : ".");
        bool list = entry->field && entry->field->kind == IOL_KIND_LIST;
        if (list ? !enter_list(&f, step, length) : !name(&f, step, length)) return false;
        if (list) entry->field = NULL;
        bool leaf = entry->field && entry->field->kind != IOL_KIND_PART && entry->field->kind != IOL_KIND_LIST;
        step += length;
        if (!*step && leaf) return true;
        if (!*step || leaf) return refuse(refusal, IOL_FAULT_unknown_key, "the path of one value");
        step++;
    }
}

/* ---- the value ---- */

static bool known(const iol_field *field, const void *at, const void *base) {
    switch (field->kind) {
    case IOL_KIND_NUM: return !isnan(*(const double *)at);
    case IOL_KIND_WORD: return *(const int *)at != 0;
    case IOL_KIND_FLAG: return *(const iol_flag *)at != IOL_UNKNOWN;
    case IOL_KIND_DATE: return *(const int32_t *)at != IOL_UNKNOWN_DATE;
    case IOL_KIND_TEXT: return *(const char *)at != '\0';
    default: return *(const int *)(const void *)((const char *)base + field->count_offset) > 0;
    }
}

bool iol_entry_known(const iol_entry *entry) {
    const void *at = IOL_FIELD_AT(entry->base, entry->field);
    bool not_examined = entry->field->kind == IOL_KIND_WORD && *(const int *)at == IOL_NOT_EXAMINED;
    return known(entry->field, at, entry->base) && !not_examined;
}

static bool take_flag(const char *text, iol_flag *into, iol_refusal *refusal) {
    static const struct {
        const char *word;
        iol_flag flag;
    } words[] = {{"true", IOL_YES}, {"yes", IOL_YES}, {"false", IOL_NO}, {"no", IOL_NO}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strcmp(words[i].word, text) == 0) return (*into = words[i].flag) != IOL_UNKNOWN;
    return refuse(refusal, IOL_FAULT_wrong_type, "yes or no, true or false");
}

static bool take_number(const iol_entry *entry, const char *text, double *into, iol_refusal *refusal) {
    double x;
    if (!iol_typed_number(text, &x)) return iol_take_number(entry->object, entry->field, x, into, refusal);
    iol_refuse_kind(entry->field, false, refusal);
    return false;
}

bool iol_entry_set(const iol_entry *entry, const char *text, iol_refusal *refusal) {
    void *at = IOL_FIELD_AT(entry->base, entry->field);
    bool good = false;
    switch (entry->field->kind) {
    case IOL_KIND_NUM: good = take_number(entry, text, at, refusal); break;
    case IOL_KIND_WORD: good = iol_take_word(entry->field->words, text, at, refusal); break;
    case IOL_KIND_FLAG: good = take_flag(text, at, refusal); break;
    case IOL_KIND_DATE: good = iol_take_date(text, at, refusal); break;
    case IOL_KIND_TEXT: good = iol_take_text(entry->field, text, at, refusal); break;
    default: refuse(refusal, IOL_FAULT_wrong_type, "a single value; lists are written in the file"); break;
    }
    if (!good) return false;
    for (int i = 0; i < entry->depth; i++) *entry->present[i] = true;
    if (entry->count && *entry->count == entry->index) (*entry->count)++;
    return true;
}

/* ---- not known any more ---- */

/* What is present follows from what is known; lists end with their last known element. */
static bool settle(const iol_object *object, void *base) {
    bool any = false;
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        char *at = IOL_FIELD_AT(base, field);
        int *count = (int *)(void *)((char *)base + field->count_offset), last = 0;
        if (field->kind == IOL_KIND_PART)
            any |= settle(field->inside, at);
        else if (field->kind == IOL_KIND_LIST) {
            for (int k = 0; k < *count; k++)
                if (settle(field->inside, at + (size_t)k * field->inside->size)) last = k + 1;
            *count = last;
            any |= last > 0;
        } else
            any |= known(field, at, base);
    }
    *(bool *)base = any;
    return any;
}

void iol_entry_clear(const iol_entry *entry, iol_case *c) {
    void *at = IOL_FIELD_AT(entry->base, entry->field);
    switch (entry->field->kind) {
    case IOL_KIND_NUM: *(double *)at = NAN; break;
    case IOL_KIND_WORD: *(int *)at = 0; break;
    case IOL_KIND_FLAG: *(iol_flag *)at = IOL_UNKNOWN; break;
    case IOL_KIND_DATE: *(int32_t *)at = IOL_UNKNOWN_DATE; break;
    case IOL_KIND_TEXT: *(char *)at = '\0'; break;
    default: *(int *)(void *)((char *)entry->base + entry->field->count_offset) = 0; break;
    }
    settle(iol_object_case, c);
}

const char *iol_entry_print(const iol_entry *entry, char *out, size_t size) {
    const void *at = IOL_FIELD_AT(entry->base, entry->field);
    char day[11];
    out[0] = '\0';
    if (!known(entry->field, at, entry->base)) {
        iol_append(out, size, "null");
        return out;
    }
    switch (entry->field->kind) {
    case IOL_KIND_NUM: iol_append_number(out, size, *(const double *)at); break;
    case IOL_KIND_WORD: iol_append(out, size, iol_word_text(entry->field->words, *(const int *)at)); break;
    case IOL_KIND_FLAG: iol_append(out, size, *(const iol_flag *)at == IOL_YES ? "true" : "false"); break;
    case IOL_KIND_DATE:
        iol_date_print(*(const int32_t *)at, day);
        iol_append(out, size, day);
        break;
    case IOL_KIND_TEXT: iol_append(out, size, at); break;
    default: iol_append(out, size, "a list"); break;
    }
    return out;
}
