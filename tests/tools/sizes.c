/* Sizes of the public structs and offsets of their members, for whoever must know whether a library can take another's place. */
#include <stdio.h>

#include "iolrevise.h"
#include "tables/tables.h"

enum { MOST = 400 };
static const iol_object *told[MOST];
static int count;

static void tell(const iol_object *object) {
    for (int i = 0; i < count; i++)
        if (told[i] == object) return;
    told[count++] = object;
    printf("iol_%s\t\t%zu\n", object->name, object->size);
    for (int i = 0; i < object->count; i++)
        printf("iol_%s\t%s\t%zu\n", object->name, object->field[i].key, object->field[i].offset);
    for (int i = 0; i < object->count; i++)
        if (object->field[i].inside) tell(object->field[i].inside);
}

#define SIZE(type) printf(#type "\t\t%zu\n", sizeof(type))
#define OFFSET(type, member) printf(#type "\t" #member "\t%zu\n", offsetof(type, member))

int main(void) {
    printf("struct\tmember\tbytes\n");
    SIZE(iol_fault);
    OFFSET(iol_fault, line);
    OFFSET(iol_fault, value_index);
    OFFSET(iol_fault, path);
    OFFSET(iol_fault, found);
    OFFSET(iol_fault, wanted);
    OFFSET(iol_fault, unit);
    SIZE(iol_faults);
    OFFSET(iol_faults, more);
    OFFSET(iol_faults, item);
    SIZE(iol_spherocylinder);
    SIZE(iol_matrix);
    SIZE(iol_note);
    SIZE(iol_notes);
    tell(iol_object_case);
    tell(iol_object_site);
    tell(iol_object_plan);
    return 0;
}
