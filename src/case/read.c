/* The strict reader: text -> scan -> cJSON -> struct, by the tables. The one file that includes cJSON. */
#include <cJSON.h>
#include <string.h>

#include "reader.h"
#include "scan.h"
#include "suggest.h"
#include "tables/say.h"
#include "trail.h"
#include "value.h"

typedef struct {
    const cJSON *root;
    const iol_object *whole;
    iol_faults *faults;
    iol_trail trail;
    iol_refusal refusal; /* of the value at hand */
} reader;

/* Asked of every value: cJSON's own questions are calls into another library. */
static bool is_type(const cJSON *node, int type) { return (node->type & 0xff) == type; }
static bool is_bool(const cJSON *node) { return is_type(node, cJSON_True) || is_type(node, cJSON_False); }

/* ---- faults ---- */

/* Number of a node in document order, root 0; false when it is not below root. */
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
    char path[400] = "";
    if (!iol_faults_full(r->faults)) iol_trail_path(&r->trail, key, path, sizeof path);
    iol_fault *fault = iol_fault_add(r->faults, code, path, found, wanted, unit);
    int index = 0;
    if (fault && count_to(r->root, node, &index)) fault->value_index = index;
}

/* What was found, in words. A number is "": the scan that finds its line puts it there as it was typed. */
static const char *describe(const cJSON *node, char out[IOL_FAULT_QUOTED]) {
    if (is_type(node, cJSON_String)) {
        const char *text = node->valuestring;                              /* NOLINT: a node of this type has a text */
        return iol_fault_quote(text, strlen(text), out, IOL_FAULT_QUOTED); /* NOLINT */
    }
    if (is_type(node, cJSON_Number)) return "";
    return is_type(node, cJSON_Object)  ? "an object in braces"
           : is_type(node, cJSON_Array) ? "a list"
           : is_bool(node)              ? (is_type(node, cJSON_True) ? "true" : "false")
                                        : "null";
}

/* By r->refusal. */
static void refused(reader *r, const cJSON *node, const char *key) {
    char found[IOL_FAULT_QUOTED];
    fault_at(r, node, key, r->refusal.code, describe(node, found), r->refusal.wanted, r->refusal.unit);
}

/* ---- values ---- */

static bool read_object(reader *r, const cJSON *node, const iol_object *object, void *into);

/* The value of one number, word, yes/no, date or text; true when it is known afterwards. key: the last step of the
 * path, NULL for an element of a list. */
static bool read_simple(reader *r, const cJSON *node, const char *key, const iol_object *object, const iol_field *field,
                        void *into) {
    iol_kind kind = field->kind;
    bool number = kind == IOL_KIND_NUM || kind == IOL_KIND_NUMS, good = false;
    r->refusal.brief = iol_faults_full(r->faults);
    if (!(number ? is_type(node, cJSON_Number) : kind == IOL_KIND_FLAG ? is_bool(node) : is_type(node, cJSON_String)))
        iol_refuse_kind(field, !key, &r->refusal);
    else if (number)
        good = iol_take_number(object, field, node->valuedouble, into, &r->refusal);
    else if (kind == IOL_KIND_FLAG)
        good = (*(iol_flag *)into = iol_from_bool(is_type(node, cJSON_True))) != IOL_UNKNOWN;
    else if (kind == IOL_KIND_DATE)
        good = iol_take_date(node->valuestring, into, &r->refusal);
    else if (kind == IOL_KIND_TEXT)
        good = iol_take_text(field, node->valuestring, into, &r->refusal);
    else if (iol_take_word(field->words, node->valuestring, into, &r->refusal))
        return *(int *)into != 0;
    if (!good) refused(r, node, key);
    return good;
}

static bool is_list(reader *r, const cJSON *node, const iol_field *field) {
    char found[40] = "";
    int count = cJSON_GetArraySize(node);
    if (is_type(node, cJSON_Array) && count <= field->most) return true;
    iol_refuse_kind(field, false, &r->refusal);
    if (!is_type(node, cJSON_Array)) {
        refused(r, node, field->key);
        return false;
    }
    iol_append_number(found, sizeof found, count);
    fault_at(r, node, field->key, IOL_FAULT_too_long, found, r->refusal.wanted, "");
    return false;
}

static size_t element_size(const iol_field *field) {
    return field->kind == IOL_KIND_LIST    ? field->inside->size
           : field->kind == IOL_KIND_WORDS ? sizeof(int)
                                           : sizeof(double);
}

static bool read_list(reader *r, const cJSON *node, const iol_object *object, const iol_field *field, char *into,
                      int *count) {
    int index = 0, known = 0;
    if (!is_list(r, node, field)) return false;
    iol_trail_enter(&r->trail, field->key, 0);
    for (const cJSON *child = node->child; child; child = child->next, index++, into += element_size(field)) {
        bool good = false;
        iol_trail_enter(&r->trail, NULL, index);
        if (field->kind != IOL_KIND_LIST)
            good = read_simple(r, child, NULL, object, field, into);
        else if (is_type(child, cJSON_Object))
            good = read_object(r, child, field->inside, into);
        else {
            iol_refuse_kind(field, true, &r->refusal);
            refused(r, child, NULL);
        }
        iol_trail_leave(&r->trail);
        if (good) known = index + 1;
    }
    iol_trail_leave(&r->trail);
    *count = known; /* empty objects at the end are not known, as if they were not there */
    return known > 0;
}

/* True when the value is known afterwards. */
static bool read_value(reader *r, const cJSON *node, const iol_object *object, const iol_field *field, void *base) {
    void *into = IOL_FIELD_AT(base, field);
    if (is_type(node, cJSON_NULL)) return false;
    if (field->kind == IOL_KIND_PART && is_type(node, cJSON_Object)) {
        iol_trail_enter(&r->trail, field->key, 0);
        bool known = read_object(r, node, field->inside, into);
        iol_trail_leave(&r->trail);
        return known;
    }
    if (field->kind == IOL_KIND_PART) {
        iol_refuse_kind(field, false, &r->refusal);
        refused(r, node, field->key);
        return false;
    }
    if (field->kind == IOL_KIND_LIST || field->kind == IOL_KIND_WORDS || field->kind == IOL_KIND_NUMS)
        return read_list(r, node, object, field, into, (int *)(void *)((char *)base + field->count_offset));
    return read_simple(r, node, field->key, object, field, into);
}

/* ---- objects ---- */

static void identity_key(reader *r, const cJSON *node) {
    char found[IOL_FAULT_QUOTED];
    fault_at(
        r, node, node->string, IOL_FAULT_identity_key,
        iol_fault_quote(node->string, strlen(node->string), found, sizeof found),
        "nothing that identifies a person, for privacy: use case_ref, your own reference, and keep names elsewhere",
        "");
}

static void unknown_key(reader *r, const cJSON *node, const iol_object *object) {
    char wanted[IOL_FAULT_WANTED] = "", found[IOL_FAULT_QUOTED];
    if (iol_faults_full(r->faults)) { /* it is only counted: what was meant is not looked for */
        fault_at(r, node, NULL, IOL_FAULT_unknown_key, "", "", "");
        return;
    }
    if (iol_key_names_a_person(node->string)) {
        identity_key(r, node);
        return;
    }
    iol_fault_quote(node->string, strlen(node->string), found, sizeof found);
    iol_suggest_key(r->whole, object, node->string, wanted, sizeof wanted);
    fault_at(r, node, node->string, IOL_FAULT_unknown_key, found, wanted, "");
}

static bool is_remark(const char *key) { return key[0] == '/' && key[1] == '/'; }

/* The key stands twice in its object; only where a row's own bit cannot tell. */
static bool stood_before(const cJSON *first, const cJSON *node) {
    for (; first != node; first = first->next)
        if (strcmp(first->string, node->string) == 0) return true;
    return false;
}

static void duplicate(reader *r, const cJSON *node) {
    fault_at(r, node, node->string, IOL_FAULT_duplicate_key, "the same key a second time", "each key once in an object",
             "");
}

static void read_remark(reader *r, const cJSON *first, const cJSON *node) {
    char found[IOL_FAULT_QUOTED];
    if (stood_before(first, node)) duplicate(r, node);
    if (!is_type(node, cJSON_String))
        fault_at(r, node, node->string, IOL_FAULT_wrong_type, describe(node, found),
                 is_remark(node->string)
                     ? "a text in quotation marks: a key that starts with // holds a remark and is ignored"
                     : "a text in quotation marks: where the JSON Schema is",
                 "");
    else if (iol_remark_names_a_person(node->string, node->valuestring))
        identity_key(r, node);
}

/* What editors look up while the file is typed; only at the root. */
static bool is_schema(const reader *r, const cJSON *first, const cJSON *node) {
    return first == r->root->child && strcmp(node->string, "$schema") == 0;
}

typedef struct {
    uint64_t bits[IOL_KEYS_MOST / 64];
} row_set;
static bool has_row(const row_set *set, int row) {
    return set->bits[(unsigned)row / 64] >> ((unsigned)row % 64) & 1; /* NOLINT */
}
static void add_row(row_set *set, int row) { set->bits[(unsigned)row / 64] |= (uint64_t)1 << ((unsigned)row % 64); }

static inline bool is_key(const iol_field *field, const char *key) {
    return field->key[0] == key[0] && strcmp(field->key, key) == 0;
}

/* The row of a key, looked for from `guess` on: keys mostly come in the order of the table. -1: none. */
static inline int find_row(const iol_object *object, const char *key, int guess) {
    int row = guess, count = object->count;
    while (row < count && !is_key(&object->field[row], key)) row++;
    if (row < count) return row;
    for (row = 0; row < guess; row++)
        if (is_key(&object->field[row], key)) return row;
    return -1;
}

static void check_must(reader *r, const cJSON *node, const iol_object *object, const row_set *known) {
    for (const char *const *must = object->must; *must; must++) {
        int row = find_row(object, *must, 0);
        if (has_row(known, row)) continue;
        const cJSON *child = node->child;
        while (child && strcmp(child->string, *must) != 0) child = child->next;
        iol_refuse_missing(&object->field[row], &r->refusal);
        fault_at(r, child ? child : node, *must, r->refusal.code,
                 !child                        ? "nothing"
                 : is_type(child, cJSON_Array) ? "an empty list"
                                               : "null",
                 r->refusal.wanted, r->refusal.unit);
    }
}

static bool read_object(reader *r, const cJSON *node, const iol_object *object, void *into) {
    row_set seen = {{0}}, known = {{0}};
    bool *present = into;
    int row = -1, guess = 0;
    for (const cJSON *child = node->child; child; child = child->next) {
        if (is_remark(child->string) || is_schema(r, node->child, child)) {
            read_remark(r, node->child, child);
            continue;
        }
        row = find_row(object, child->string, guess);
        if (row < 0) {
            unknown_key(r, child, object);
            continue;
        }
        guess = row + 1;
        if (has_row(&seen, row)) {
            duplicate(r, child);
            continue;
        }
        add_row(&seen, row);
        int before = r->faults->count + r->faults->more;
        bool is_known = read_value(r, child, object, &object->field[row], into);
        if (is_known) *present = true;
        /* refused for its own fault: not also missing */
        if (is_known || r->faults->count + r->faults->more > before) add_row(&known, row);
    }
    check_must(r, node, object, &known);
    return *present;
}

/* ---- whole texts ---- */

/* The child of a node that one step of a path names; NULL when there is none. */
static const cJSON *child_at(const cJSON *node, const char *step, size_t length) {
    int index = 0, wanted = 0;
    for (size_t i = 0; is_type(node, cJSON_Array) && i < length; i++) wanted = wanted * 10 + (step[i] - '0');
    for (const cJSON *child = node->child; child; child = child->next, index++) {
        if (is_type(node, cJSON_Array) ? index == wanted
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
        for (const char *step = fault->path + 1; step;) {
            const char *end = strchr(step, '/');
            const cJSON *child = child_at(node, step, end ? (size_t)(end - step) : strlen(step));
            if (!child) break;
            node = child;
            step = end ? end + 1 : NULL;
        }
        int count = 0;
        if (count_to(r->root, node, &count)) fault->value_index = count;
    }
}

/* In the order of the file. */
static void sort_faults(iol_faults *faults) {
    for (int i = 1; i < faults->count; i++)
        for (int k = i; k > 0 && faults->item[k - 1].value_index > faults->item[k].value_index; k--) {
            iol_fault moved = faults->item[k];
            faults->item[k] = faults->item[k - 1];
            faults->item[k - 1] = moved;
        }
}

/* A file of another kind is one fault, not one for each of its keys. */
static bool is_of_kind(reader *r) {
    const cJSON *root = r->root, *format = NULL;
    char found[IOL_FAULT_QUOTED] = "a file with ", wanted[80] = "one with ";
    iol_append(wanted, sizeof wanted, r->whole->must[0]);
    if (!is_type(root, cJSON_Object)) {
        fault_at(r, root, NULL, IOL_FAULT_wrong_type, describe(root, found), "an object in braces", "");
        return false;
    }
    for (const cJSON *child = root->child; child; child = child->next) {
        const char *underline = strrchr(child->string, '_');
        if (strcmp(child->string, r->whole->must[0]) == 0) return true;
        if (underline && strcmp(underline, "_format") == 0 && !format) format = child;
    }
    if (!format) return true;
    static const char *const kinds[] = {"case_format", "site_format", "plan_format", "recheck_format",
                                        "summary_format"};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        if (strcmp(format->string, kinds[i]) != 0) continue;
        iol_append(found, sizeof found, kinds[i]);
        fault_at(r, root, NULL, IOL_FAULT_unsupported_format, found, wanted, "");
        return false;
    }
    return true;
}

/* into: everything not known yet. The tree is the caller's; NULL where the text makes none. */
static cJSON *read_tree(const char *json, size_t length, const iol_object *object, void *into, iol_faults *faults,
                        void (*check)(const void *, iol_faults *)) {
    iol_faults_start(faults);
    if (iol_scan_is_data_set(json, length)) {
        iol_fault_add(faults, IOL_FAULT_unsupported_format, "", "a DICOM data set",
                      "a case or site file: `iolrevise import` makes a case of measurements", "");
        faults->item[0].line = 1;
        return NULL;
    }
    if (!iol_scan_json(json, length, IOL_SCAN_FILE, faults)) return NULL;
    size_t mark = iol_scan_mark(json, length);
    cJSON *root = cJSON_ParseWithLength(json + mark, length - mark);
    if (!root) {
        /* the scan let it pass, so nothing but memory was lacking */
        iol_fault_add(faults, IOL_FAULT_no_memory, "", "too little memory", "memory enough to read it", "");
        faults->item[0].line = 1;
        return NULL;
    }
    reader r = {.root = root, .whole = object, .faults = faults};
    if (is_of_kind(&r)) {
        read_object(&r, root, object, into);
        check(into, faults);
    }
    if (faults->count > 0) {
        number_paths(&r);
        sort_faults(faults);
        iol_scan_lines(json, length, faults);
    }
    return root;
}

static void check_case(const void *at, iol_faults *faults) { iol_case_check(at, faults); }
static void check_site(const void *at, iol_faults *faults) { iol_site_check(at, faults); }

bool iol_case_read(const char *json, size_t length, iol_case *into, iol_faults *faults) {
    iol_case_reset(into);
    cJSON_Delete(read_tree(json, length, iol_object_case, into, faults, check_case));
    return faults->count == 0;
}

bool iol_case_read_in_arena(const char *json, size_t length, const iol_case *blank, iol_case *into,
                            iol_faults *faults) {
    memcpy(into, blank, sizeof *into);
    read_tree(json, length, iol_object_case, into, faults, check_case);
    return faults->count == 0;
}

bool iol_site_read(const char *json, size_t length, iol_site *into, iol_faults *faults) {
    iol_site_reset(into);
    cJSON_Delete(read_tree(json, length, iol_object_site, into, faults, check_site));
    return faults->count == 0;
}
