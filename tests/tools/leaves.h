/* A case as the leaves of its table. */
#ifndef TESTS_LEAVES_H
#define TESTS_LEAVES_H

#include <math.h>

#include "tables/tables.h"

/* Is anything known in an object? */
static inline bool known(const iol_object *object, const void *at) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        const char *value = (const char *)at + field->offset;
        switch (field->kind) {
        case IOL_KIND_NUM:
            if (!isnan(*(const double *)(const void *)value)) return true;
            break;
        case IOL_KIND_DATE:
            if (*(const int32_t *)(const void *)value != IOL_UNKNOWN_DATE) return true;
            break;
        case IOL_KIND_WORD:
        case IOL_KIND_FLAG:
            if (*(const int *)(const void *)value != 0) return true;
            break;
        case IOL_KIND_TEXT:
            if (value[0]) return true;
            break;
        case IOL_KIND_PART:
            if (known(field->inside, value)) return true;
            break;
        default:
            if (*(const int *)(const void *)((const char *)at + field->count_offset) > 0) return true;
        }
    }
    return false;
}

/* `present` of the objects on the way is made anew for each blanked leaf. */
static inline void set_present(const iol_object *object, void *at) {
    *(bool *)at = known(object, at);
    for (int i = 0; i < object->count; i++)
        if (object->field[i].kind == IOL_KIND_PART)
            set_present(object->field[i].inside, (char *)at + object->field[i].offset);
}

#endif
