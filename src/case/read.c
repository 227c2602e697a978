/* The strict reader: text -> scan -> cJSON -> struct, by the tables. The one file that includes cJSON. */
#include <cJSON.h>
#include <string.h>

#include "files/number.h"
#include "reader.h"
#include "scan.h"
#include "suggest.h"
#include "tables/tables.h"

enum { MOST_BYTES = 1 << 20, MOST_LEVELS = 18 };

typedef struct {
    const cJSON *root;
    const iol_object *whole;
    iol_faults *faults;
    int depth;
    struct {
        const char *key;
        int index;
    } at[MOST_LEVELS];
} reader;

/* ---- where we are ---- */

static void enter(reader *r, const char *key, int index) {
    r->at[r->depth].key = key;
    r->at[r->depth].index = index;
    r->depth++;
}

static void append(char *path, size_t size, const char *text, size_t length) {
    size_t used = strlen(path);
    if (length > size - 1 - used) length = size - 1 - used;
    memcpy(path + used, text, length);
    path[used + length] = '\0';
}

/* One step of a JSON Pointer; a hostile key is cut, ~ and / are written ~0 and ~1. */
static void append_key(char *path, size_t size, const char *key) {
    append(path, size, "/", 1);
    for (size_t i = 0; key[i] && i < IOL_FAULT_SHOWN; i++) {
        if (key[i] == '~')
            append(path, size, "~0", 2);
        else if (key[i] == '/')
            append(path, size, "~1", 2);
        else
            append(path, size, &key[i], 1);
    }
}

static void path_of(const reader *r, const char *key, char *path, size_t size) {
    path[0] = '\0';
    for (int i = 0; i < r->depth; i++) {
        char number[24];
        if (r->at[i].key)
            append_key(path, size, r->at[i].key);
        else {
            iol_print_count(r->at[i].index, 0, false, number, sizeof number);
            append_key(path, size, number);
        }
    }
    if (key) append_key(path, size, key);
}

/* Number of a node in document order, root 0; -1 when it is not below root. */
static bool count_to(const cJSON *node, const cJSON *wanted, int *count) {
    if (node == wanted) return true;
    for (const cJSON *child = node->child; child; child = child->next) {
        ++*count;
        if (count_to(child, wanted, count)) return true;
    }
    return false;
}

static void fault_at(reader *r, const cJSON *node, const char *key, iol_fault_code code, const char *found,
                     const char *wanted, const char *unit) {
    char path[400];
    path_of(r, key, path, sizeof path);
    iol_fault *fault = iol_fault_add(r->faults, code, path, found, wanted, unit);
    int index = 0;
    if (fault && node && count_to(r->root, node, &index)) fault->value_index = index;
}

/* ---- what was found ---- */

static const char *describe(const cJSON *node, char out[IOL_FAULT_QUOTED]) {
    if (cJSON_IsString(node))
        return iol_fault_quote(node->valuestring, strlen(node->valuestring), out, IOL_FAULT_QUOTED);
    if (cJSON_IsNumber(node)) {
        if (iol_print_number(node->valuedouble, 4, false, out, IOL_FAULT_QUOTED) == 0)
            return "a number too large to print";
        size_t end = strlen(out);
        while (end > 2 && out[end - 1] == '0') end--;
        if (out[end - 1] == '.') end--;
        out[end] = '\0';
        return out;
    }
    return cJSON_IsObject(node)  ? "an object"
           : cJSON_IsArray(node) ? "a list"
           : cJSON_IsBool(node)  ? (cJSON_IsTrue(node) ? "true" : "false")
                                 : "null";
}

static void wrong(reader *r, const cJSON *node, const char *key, iol_fault_code code, const char *wanted,
                  const char *unit) {
    char found[IOL_FAULT_QUOTED];
    fault_at(r, node, key, code, describe(node, found), wanted, unit);
}

static void trimmed(double x, char out[32]) {
    iol_print_number(x, 4, false, out, 32);
    size_t end = strlen(out);
    while (end > 1 && out[end - 1] == '0') end--;
    if (end > 1 && out[end - 1] == '.') end--;
    out[end] = '\0';
}

static void say_range(const iol_field *field, char *out, size_t size) {
    char low[32], high[32];
    trimmed(field->hard_low, low);
    trimmed(field->hard_high, high);
    out[0] = '\0';
    append(out, size, low, strlen(low));
    append(out, size, " to ", 4);
    append(out, size, high, strlen(high));
}

/* ---- one value ---- */

typedef struct {
    const char *object, *key;
    bool above;
    double limit;
    iol_fault_code code;
    const char *meant;
} hint;
enum { hint_below = 0, hint_above = 1 };
static const hint hints[] = {
#define HINT(object, key, side, limit, code, meant)                                                                    \
    {#object, #key, hint_##side == hint_above, limit, IOL_FAULT_##code, meant},
#include "hints.def"
#undef HINT
};

static bool hinted(reader *r, const cJSON *node, const iol_object *object, const iol_field *field) {
    double x = node->valuedouble;
    for (size_t i = 0; i < sizeof hints / sizeof *hints; i++) {
        const hint *h = &hints[i];
        if (strcmp(h->object, object->name) != 0 || strcmp(h->key, field->key) != 0) continue;
        if (h->above ? x > h->limit : x < h->limit) {
            wrong(r, node, field->key, h->code, h->meant, "");
            return true;
        }
    }
    return false;
}

/* key: the last step of the path, NULL for an element of a list. */
static bool read_number(reader *r, const cJSON *node, const char *key, const iol_object *object, const iol_field *field,
                        double *into) {
    char range[80];
    const char *unit = iol_units[field->unit].printed;
    say_range(field, range, sizeof range);
    if (!cJSON_IsNumber(node)) {
        char wanted[120] = "a number, ";
        append(wanted, sizeof wanted, range, strlen(range));
        wrong(r, node, key, IOL_FAULT_wrong_type, wanted, unit);
        return false;
    }
    double x = node->valuedouble;
    if (hinted(r, node, object, field)) return false;
    if (strstr(field->key, "_format") && x > field->hard_high) {
        wrong(r, node, key, IOL_FAULT_unsupported_format, "format 1, the newest this program reads", "");
        return false;
    }
    if (!(x >= field->hard_low && x <= field->hard_high)) {
        wrong(r, node, key, IOL_FAULT_out_of_range, range, unit);
        return false;
    }
    *into = x;
    return true;
}

static void list_words(const iol_word_set *set, char *out, size_t size) {
    out[0] = '\0';
    append(out, size, "one of ", 7);
    for (int i = 1; i < set->count; i++) {
        if (i > 1) append(out, size, ", ", 2);
        append(out, size, set->word[i], strlen(set->word[i]));
    }
    if (set->not_examined) append(out, size, ", not-examined", 14);
    if (set->unknown) append(out, size, ", unknown", 9);
}

static bool read_word(reader *r, const cJSON *node, const char *key, const iol_word_set *set, int *into) {
    char wanted[200];
    list_words(set, wanted, sizeof wanted);
    if (!cJSON_IsString(node)) {
        wrong(r, node, key, IOL_FAULT_wrong_type, wanted, "");
        return false;
    }
    for (int i = 1; i < set->count; i++)
        if (strcmp(set->word[i], node->valuestring) == 0) return (*into = i) > 0;
    if (set->not_examined && strcmp(node->valuestring, "not-examined") == 0) {
        *into = IOL_NOT_EXAMINED;
        return true;
    }
    if (set->unknown && strcmp(node->valuestring, "unknown") == 0) return true;
    wrong(r, node, key, IOL_FAULT_not_a_word, wanted, "");
    return false;
}

static bool is_reference(const char *text) {
    for (size_t i = 0; text[i]; i++) {
        char c = text[i];
        bool alnum = (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (!alnum && (i == 0 || !strchr("._-", c))) return false;
    }
    return text[0] != '\0';
}

static void read_text(reader *r, const cJSON *node, const iol_field *field, char *into) {
    bool reference = strstr(field->key, "_ref") || strcmp(field->key, "id") == 0 || strstr(field->key, "_id");
    const char *wanted =
        reference ? "1 to 40 letters, digits, points, lines or hyphens, first a letter or digit" : "a short text";
    if (!cJSON_IsString(node))
        wrong(r, node, field->key, IOL_FAULT_wrong_type, wanted, "");
    else if (strlen(node->valuestring) > (size_t)field->most || (reference && !is_reference(node->valuestring)))
        wrong(r, node, field->key, IOL_FAULT_bad_pattern, wanted, "");
    else
        memcpy(into, node->valuestring, strlen(node->valuestring) + 1);
}

/* ---- objects ---- */

static bool read_object(reader *r, const cJSON *node, const iol_object *object, void *into);

static bool wanted_list(reader *r, const cJSON *node, const iol_field *field) {
    char most[32], wanted[80] = "a list of at most ";
    trimmed(field->most, most);
    append(wanted, sizeof wanted, most, strlen(most));
    if (!cJSON_IsArray(node))
        wrong(r, node, field->key, IOL_FAULT_wrong_type, wanted, "");
    else if (cJSON_GetArraySize(node) > field->most)
        fault_at(r, node, field->key, IOL_FAULT_too_long, "more", wanted, "");
    else
        return true;
    return false;
}

static bool read_list(reader *r, const cJSON *node, const iol_object *object, const iol_field *field, void *into,
                      int *count) {
    int index = 0;
    if (!wanted_list(r, node, field)) return false;
    enter(r, field->key, 0);
    for (const cJSON *child = node->child; child; child = child->next, index++) {
        enter(r, NULL, index);
        if (cJSON_IsNull(child))
            fault_at(r, child, NULL, IOL_FAULT_wrong_type, "null", "a value", "");
        else if (field->kind == IOL_KIND_LIST)
            read_object(r, child, field->inside, (char *)into + (size_t)*count * field->inside->size);
        else if (field->kind == IOL_KIND_WORDS)
            read_word(r, child, NULL, field->words, (int *)into + *count);
        else
            read_number(r, child, NULL, object, field, (double *)into + *count);
        r->depth--;
        ++*count;
    }
    r->depth--;
    return *count > 0;
}

/* True when the value is known afterwards. */
static bool read_value(reader *r, const cJSON *node, const iol_object *object, const iol_field *field, void *base) {
    void *into = IOL_FIELD_AT(base, field);
    if (cJSON_IsNull(node)) return false;
    switch (field->kind) {
    case IOL_KIND_NUM: return read_number(r, node, field->key, object, field, into);
    case IOL_KIND_WORD: return read_word(r, node, field->key, field->words, into) && *(int *)into != 0;
    case IOL_KIND_FLAG:
        if (!cJSON_IsBool(node))
            wrong(r, node, field->key, IOL_FAULT_wrong_type, "true, false or null, without quotation marks", "");
        else
            *(iol_flag *)into = cJSON_IsTrue(node) ? IOL_YES : IOL_NO;
        return cJSON_IsBool(node);
    case IOL_KIND_DATE:
        if (cJSON_IsString(node) && iol_date_read(node->valuestring, into)) return true;
        wrong(r, node, field->key, cJSON_IsString(node) ? IOL_FAULT_bad_date : IOL_FAULT_wrong_type,
              "a date as 2026-11-25, a real day", "");
        return false;
    case IOL_KIND_TEXT: read_text(r, node, field, into); return *(const char *)into != '\0';
    case IOL_KIND_PART: {
        enter(r, field->key, 0);
        bool known = read_object(r, node, field->inside, into);
        r->depth--;
        return known;
    }
    default: return read_list(r, node, object, field, into, (int *)(void *)((char *)base + field->count_offset));
    }
}

static bool names_a_person(const char *key) {
    static const char *const identity[] = {
#define IDENTITY(key) key,
#include "identity_keys.def"
#undef IDENTITY
    };
    for (size_t i = 0; i < sizeof identity / sizeof *identity; i++) {
        size_t k = 0;
        while (identity[i][k] &&
               (key[k] == identity[i][k] || (key[k] >= 'A' && key[k] <= 'Z' && key[k] + ('a' - 'A') == identity[i][k])))
            k++;
        if (identity[i][k] == '\0' && key[k] == '\0') return true;
    }
    return false;
}

static void unknown_key(reader *r, const cJSON *node, const iol_object *object) {
    char wanted[200] = "", found[IOL_FAULT_QUOTED];
    iol_fault_quote(node->string, strlen(node->string), found, sizeof found);
    if (names_a_person(node->string)) {
        fault_at(r, node, node->string, IOL_FAULT_identity_key, found,
                 "no key that identifies a person: use case_ref, your own reference, and keep the list elsewhere", "");
        return;
    }
    iol_suggest_key(r->whole, object, node->string, wanted, sizeof wanted);
    fault_at(r, node, node->string, IOL_FAULT_unknown_key, found, wanted, "");
}

static void check_must(reader *r, const cJSON *node, const iol_object *object, const uint64_t seen[2]) {
    for (const char *const *must = object->must; *must; must++) {
        const iol_field *field = iol_object_find(object, *must, strlen(*must));
        long i = field - object->field;
        if (!(seen[i / 64] >> (i % 64) & 1)) fault_at(r, node, *must, IOL_FAULT_missing, "nothing", field->text, "");
    }
}

static bool read_object(reader *r, const cJSON *node, const iol_object *object, void *into) {
    uint64_t seen[2] = {0, 0}, known[2] = {0, 0};
    bool *present = into, comment = false;
    if (!cJSON_IsObject(node)) {
        wrong(r, node, NULL, IOL_FAULT_wrong_type, "an object in braces", "");
        return false;
    }
    int guess = 0;
    for (const cJSON *child = node->child; child; child = child->next) {
        if (strcmp(child->string, "//") == 0) {
            if (!cJSON_IsString(child)) wrong(r, child, "//", IOL_FAULT_wrong_type, "a text: // holds a remark", "");
            if (comment)
                fault_at(r, child, "//", IOL_FAULT_duplicate_key, "the same key twice", "one remark an object", "");
            comment = true;
            continue;
        }
        const iol_field *field = NULL;
        for (int i = 0; i < object->count && !field; i++) {
            int k = (guess + i) % object->count;
            if (strcmp(object->field[k].key, child->string) == 0) field = &object->field[k];
        }
        if (!field) {
            unknown_key(r, child, object);
            continue;
        }
        long index = field - object->field;
        guess = (int)index + 1;
        uint64_t bit = (uint64_t)1 << (index % 64);
        if (seen[index / 64] & bit) {
            fault_at(r, child, child->string, IOL_FAULT_duplicate_key, "the same key twice", "each key once", "");
            continue;
        }
        seen[index / 64] |= bit;
        if (read_value(r, child, object, field, into)) {
            *present = true;
            known[index / 64] |= bit;
        } else if (!cJSON_IsNull(child))
            known[index / 64] |= bit; /* refused for its own fault, not also missing */
    }
    check_must(r, node, object, known);
    return *present;
}

/* ---- whole texts ---- */

/* The child of a node that one step of a path names; NULL when there is none. */
static const cJSON *child_at(const cJSON *node, const char *step, size_t length) {
    int index = 0, wanted = 0;
    for (size_t i = 0; i < length; i++) wanted = wanted * 10 + (step[i] - '0');
    for (const cJSON *child = node->child; child; child = child->next, index++) {
        if (cJSON_IsArray(node) ? index == wanted
                                : strlen(child->string) == length && memcmp(child->string, step, length) == 0)
            return child;
    }
    return NULL;
}

/* Faults found after reading know only their path: find the value, or the nearest object around it. */
static void number_paths(reader *r) {
    for (int i = 0; i < r->faults->count; i++) {
        iol_fault *fault = &r->faults->item[i];
        if (fault->value_index >= 0 || fault->path[0] != '/') continue;
        const cJSON *node = r->root;
        for (const char *step = fault->path + 1; node && step;) {
            const char *end = strchr(step, '/');
            const cJSON *child = child_at(node, step, end ? (size_t)(end - step) : strlen(step));
            if (!child) break;
            node = child;
            step = end ? end + 1 : NULL;
        }
        int count = 0;
        if (node && count_to(r->root, node, &count)) fault->value_index = count;
    }
}

static bool read_whole(const char *json, size_t length, const iol_object *object, void *into, iol_faults *faults,
                       void (*check)(const void *, iol_faults *)) {
    iol_faults_start(faults);
    iol_object_reset(object, into);
    if (!iol_scan_json(json, length, MOST_BYTES, faults)) return false;
    size_t mark = iol_scan_mark(json, length);
    cJSON *root = cJSON_ParseWithLength(json + mark, length - mark);
    if (!root) {
        iol_fault_add(faults, IOL_FAULT_syntax, "", "text that cannot be parsed", "JSON", "");
        return false;
    }
    reader r = {.root = root, .whole = object, .faults = faults};
    read_object(&r, root, object, into);
    if (faults->count == 0) check(into, faults);
    if (faults->count > 0) {
        number_paths(&r);
        iol_scan_lines(json, length, faults);
    }
    cJSON_Delete(root);
    return faults->count == 0;
}

static void check_case(const void *at, iol_faults *faults) { iol_case_check(at, faults); }
static void check_site(const void *at, iol_faults *faults) { iol_site_check(at, faults); }

bool iol_case_read(const char *json, size_t length, iol_case *into, iol_faults *faults) {
    return read_whole(json, length, iol_object_case, into, faults, check_case);
}

bool iol_site_read(const char *json, size_t length, iol_site *into, iol_faults *faults) {
    return read_whole(json, length, iol_object_site, into, faults, check_site);
}

void iol_case_reset(iol_case *c) { iol_object_reset(iol_object_case, c); }
void iol_site_reset(iol_site *site) { iol_object_reset(iol_object_site, site); }
