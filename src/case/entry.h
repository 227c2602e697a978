/* One value of a case by its path: found, asked for, set as strictly as a file's, cleared. */
#ifndef IOL_CASE_ENTRY_H
#define IOL_CASE_ENTRY_H

#include "value.h"

enum { IOL_ENTRY_DEPTH = 6, IOL_ENTRY_PATH = 120 };

typedef struct {
    const iol_object *object; /* that holds the value */
    const iol_field *field;
    void *base;
    char path[IOL_ENTRY_PATH]; /* as a JSON Pointer */
    int depth;
    bool *present[IOL_ENTRY_DEPTH]; /* of every object round it, the case first */
    int *count, index;              /* of the list round it; count NULL: none */
} iol_entry;

/* path: with points, lists counted from 1 (biometry.axial_length_mm, refractions.1.sphere_d), or a JSON Pointer, lists counted
 * from 0 (/refractions/0/sphere_d). One place behind the end of a list is found too. */
bool iol_entry_find(iol_case *c, const char *path, iol_entry *entry, iol_refusal *refusal);
bool iol_entry_known(const iol_entry *entry);
/* The value from its text: a number, word, date, text, or yes, no, true, false. The case is then to be checked anew. */
bool iol_entry_set(const iol_entry *entry, const char *text, iol_refusal *refusal);
/* Not known any more. c is the case that it was found in. */
void iol_entry_clear(const iol_entry *entry, iol_case *c);
/* The value as it would be typed; "null" when not known. */
const char *iol_entry_print(const iol_entry *entry, char *out, size_t size);

#endif
