/* A case as a file holds it. */
#ifndef IOL_WRITE_CASE_JSON_H
#define IOL_WRITE_CASE_JSON_H

#include "iolrevise/case.h"
#include "sink.h"

/* The remarks of a file, asked for while it is written. Paths are those of objects, as "" or "/biometry". */
typedef struct {
    /* The n-th remark of an object that belongs to none of its keys; NULL behind the last. *name: its key, as "//". */
    const char *(*of_object)(void *context, const char *object, int n, const char **name);
    /* The remark of one key ("//axial_length_mm"); NULL: none. */
    const char *(*of_key)(void *context, const char *object, const char *key);
    /* Whether one stands in this object or below it. */
    bool (*below)(void *context, const char *object);
    void *context;
} iol_remarks_source;

/* What is known of it, every digit kept; remarks are not part of a case. False when the sink refused. */
bool iol_case_write(const iol_case *c, iol_sink sink, void *context);
/* The same with remarks; a key that has one stands as null where it is not known. */
bool iol_case_write_remarked(const iol_case *c, const iol_remarks_source *remarks, iol_sink sink, void *context);

#endif
