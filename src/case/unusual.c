/* A walk over the numbers of a case or a site. */
#include "unusual.h"

#include <string.h>

#include "tables/constants.h"
#include "tables/say.h"

typedef struct {
    iol_tell_odd tell;
    void *context;
} walker;

/* A meridian: its rows run from 0 to 180. */
static bool is_axis(const iol_field *field) {
    return field->unit == IOL_UNIT_deg && field->hard_low == 0.0 && field->hard_high == 180.0;
}

static void number(const walker *w, const iol_field *field, double value, const char *path) {
    bool zero = is_axis(field) && value == 0.0;
    /* a second lens in front is weaker than one that stands alone */
    const bool front = strcmp(path, "/second_lens") == 0 && strcmp(field->key, "power_d") == 0;
    const double low = front ? -c_second_lens_usual_d : field->usual_low, high = front ? c_second_lens_usual_d : field->usual_high;
    bool usual = isnan(value) || (value >= low && value <= high);
    if (usual && !zero) return;
    iol_odd_value odd = {.path = "", .field = field, .value = value, .low = low, .high = high, .axis_zero = zero};
    iol_append(odd.path, sizeof odd.path, path);
    iol_append(odd.path, sizeof odd.path, "/");
    iol_append(odd.path, sizeof odd.path, field->key);
    w->tell(w->context, &odd);
}

static void walk(const walker *w, const iol_object *object, const void *at, const char *path) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        const char *value = (const char *)at + field->offset;
        char inside[120] = "";
        if (field->kind == IOL_KIND_NUM) number(w, field, *(const double *)(const void *)value, path);
        if (field->kind != IOL_KIND_PART && field->kind != IOL_KIND_LIST) continue;
        iol_append(inside, sizeof inside, path);
        iol_append(inside, sizeof inside, "/");
        iol_append(inside, sizeof inside, field->key);
        size_t end = strlen(inside);
        if (field->kind == IOL_KIND_PART) walk(w, field->inside, value, inside);
        if (field->kind == IOL_KIND_PART) continue;
        int count = *(const int *)(const void *)((const char *)at + field->count_offset);
        for (int k = 0; k < count; k++) {
            inside[end] = '\0';
            iol_append(inside, sizeof inside, "/");
            iol_append_number(inside, sizeof inside, k);
            walk(w, field->inside, value + (size_t)k * field->inside->size, inside);
        }
    }
}

void iol_odd_values(const iol_object *object, const void *at, iol_tell_odd tell, void *context) {
    walker w = {tell, context};
    walk(&w, object, at, "");
}
