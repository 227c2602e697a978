/* Walks by tags. In JSON an attribute is {"vr": ..., "Value": [...]}; a sequence's values are its items. */
#include "dicom_map.h"

#include <string.h>

#include "tables/constants.h"
#include "tables/say.h"
#include "text/number.h"

const iol_map_row iol_map[] = {
#define ROW(which, ...) {.kind = IOL_MAP_##which, __VA_ARGS__},
#define NUMBER(of, at, to) ROW(NUMBER, .class = of, .path = at, .key = to)
#define NUMBER_IF(of, at, yes, to) ROW(NUMBER, .class = of, .path = at, .second = yes, .key = to)
#define NEWEST(of, at, within, to) ROW(NEWEST, .class = of, .path = at, .second = within, .key = to)
#define PICK(of, at, name, is, within, to)                                                                             \
    ROW(PICK, .class = of, .path = at, .second = name, .code = is, .value = within, .key = to)
#define CODED(of, at, is, to, says) ROW(CODED, .class = of, .path = at, .code = is, .key = to, .word = says)
#define WRITTEN(of, at, is, to, says) ROW(WRITTEN, .class = of, .path = at, .key = to, .word = is, .taken = says)
#define BOTH(of, at, is, where, also, to, says)                                                                        \
    ROW(BOTH, .class = of, .path = at, .second = where, .code = is, .other = also, .key = to, .word = says)
#define HAND(of, at, to) ROW(HAND, .class = of, .path = at, .code = 113857, .key = to)
#define REFUSE(of, at, is, to, says) ROW(REFUSE, .class = of, .path = at, .code = is, .key = to, .word = says)
#define UNLESS(of, at, is, to, says) ROW(UNLESS, .class = of, .path = at, .code = is, .key = to, .word = says)
#define SAY(of, at, is, to, says) ROW(SAY, .class = of, .path = at, .code = is, .key = to, .word = says)
#include "dicom_map.def"
};
const int iol_map_rows = (int)(sizeof iol_map / sizeof *iol_map);

static const iol_map_class classes[] = {
#define CLASS(class, right, left, name) {class, right, left, name},
#include "dicom_map.def"
};

static const double built[] = {
#define INDEX(value) value,
#include "dicom_map.def"
};

static const struct {
    long code;
    const char *key;
} constants[] = {
#define CONSTANT_OF(code, key) {code, "first_surgery.lens.constants." key},
#include "dicom_map.def"
};

const iol_map_class *iol_map_class_of(int class) {
    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        if (classes[i].class == class) return &classes[i];
    return NULL;
}

iol_view iol_dicom_value(iol_view item, const char *tag) {
    iol_view first = {NULL, NULL};
    iol_view_each(iol_view_member(iol_view_member(item, tag), "Value"), &first);
    return first;
}

/* The next tag of a path; false behind the last. */
static bool next_tag(const char **path, char tag[9]) {
    if (!**path) return false;
    memcpy(tag, *path, 8), tag[8] = '\0';
    *path += (*path)[8] == '/' ? 9 : 8;
    return true;
}

iol_view iol_dicom_at(iol_view item, const char *path) {
    char tag[9];
    while (next_tag(&path, tag)) item = iol_dicom_value(item, tag);
    return item;
}

static bool is_code(iol_view item, long code) {
    char text[24], wanted[24] = "";
    if (!iol_view_text(iol_dicom_value(item, "00080100"), text, sizeof text)) return false;
    iol_print_count(code, 0, false, wanted, sizeof wanted);
    return strcmp(text, wanted) == 0;
}

bool iol_dicom_has_code(const iol_data_set *set, iol_view eye, const char *path, long code) {
    return is_code(iol_dicom_at(eye, path), code) || is_code(iol_dicom_at(set->root, path), code);
}

bool iol_dicom_number(iol_view v, int decimals, char *out, size_t size) {
    double x;
    return v.at && iol_view_number(v, &x) && iol_print_number(x, decimals, false, out, size) > 0;
}

/* The number of a row: its key ends in the unit; the standard writes lengths in mm. */
static bool number_of(const iol_map_row *row, iol_view v, char *out, size_t size) {
    const char *unit = strrchr(row->key, '_');
    double x;
    if (strcmp(unit, "_um") == 0)
        return v.at && iol_view_number(v, &x) && iol_print_number(1000.0 * x, 0, false, out, size) > 0;
    return iol_dicom_number(v, strcmp(unit, "_deg") == 0 ? 0 : 2, out, size);
}

static void append(const char *text, char *out, size_t size) {
    out[0] = '\0';
    iol_append(out, size, text);
}

double iol_map_index(double found) {
    for (size_t i = 0; i < sizeof built / sizeof *built; i++)
        if (fabs(built[i] - found) < c_instrument_index_near) return built[i];
    return -1.0;
}

const char *iol_map_constant(iol_view name) {
    for (size_t i = 0; i < sizeof constants / sizeof *constants; i++)
        if (is_code(name, constants[i].code)) return constants[i].key;
    return NULL;
}

/* The one taken last; where the times are not known all must agree. */
static int newest(const iol_map_row *row, iol_view eye, char *out, size_t size) {
    iol_view item = {NULL, NULL}, list = iol_view_member(iol_view_member(eye, row->path), "Value");
    char stamp[32] = "", text[32], when[32];
    bool timed = true, agree = true;
    int count = 0;
    out[0] = '\0';
    while (iol_view_each(list, &item)) {
        if (!number_of(row, iol_dicom_at(item, row->second), text, sizeof text)) continue;
        if (!iol_view_text(iol_dicom_value(item, "0008002A"), when, sizeof when)) when[0] = '\0';
        timed = timed && when[0];
        agree = agree && (count == 0 || strcmp(out, text) == 0);
        if (count++ == 0 || strcmp(when, stamp) > 0) {
            append(text, out, size);
            append(when, stamp, sizeof stamp);
        }
    }
    return count == 0 ? 0 : timed || agree ? 1 : -1;
}

/* The list at the end of a path. */
static iol_view list_at(iol_view item, const char *path) {
    char tag[9] = "";
    while (next_tag(&path, tag) && *path) item = iol_dicom_value(item, tag);
    return iol_view_member(iol_view_member(item, tag), "Value");
}

/* The value of the one that bears this code; of several none. */
static int pick(const iol_map_row *row, iol_view eye, char *out, size_t size) {
    iol_view item = {NULL, NULL}, list = list_at(eye, row->path);
    int count = 0;
    while (iol_view_each(list, &item))
        if (is_code(iol_dicom_at(item, row->second), row->code) &&
            number_of(row, iol_dicom_at(item, row->value), out, size))
            count++;
    return count > 1 ? -1 : count;
}

int iol_map_find(const iol_map_row *row, const iol_data_set *set, iol_view eye, char *out, size_t size) {
    switch (row->kind) {
    case IOL_MAP_NUMBER:
        return (!row->second || iol_view_is(iol_dicom_at(eye, row->second), "YES")) &&
               number_of(row, iol_dicom_at(eye, row->path), out, size);
    case IOL_MAP_PICK: return pick(row, eye, out, size);
    case IOL_MAP_NEWEST: return newest(row, eye, out, size);
    case IOL_MAP_CODED: append(row->word, out, size); return iol_dicom_has_code(set, eye, row->path, row->code);
    case IOL_MAP_WRITTEN:
        append(row->taken, out, size);
        return iol_view_is(iol_dicom_at(eye, row->path), row->word) ||
               iol_view_is(iol_dicom_at(set->root, row->path), row->word);
    case IOL_MAP_BOTH:
        append(row->word, out, size);
        return iol_dicom_has_code(set, eye, row->path, row->code) &&
               iol_dicom_has_code(set, eye, row->second, row->other);
    default: return 0;
    }
}
