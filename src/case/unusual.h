/* Values that pass, but that a person should look at once more. */
#ifndef IOL_CASE_UNUSUAL_H
#define IOL_CASE_UNUSUAL_H

#include "tables/tables.h"

typedef struct {
    char path[120]; /* JSON Pointer */
    const iol_field *field;
    double value, low, high; /* and its usual limits */
    bool axis_zero; /* an axis of 0, taken as 180; else outside the usual limits */
} iol_odd_value;
typedef void (*iol_tell_odd)(void *context, const iol_odd_value *odd);

/* Every number of an object that lies outside its usual limits, and every axis written as 0. */
void iol_odd_values(const iol_object *object, const void *at, iol_tell_odd tell, void *context);

#endif
