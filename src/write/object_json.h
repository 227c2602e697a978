/* Any object of the tables that holds no notes, as JSON. */
#ifndef IOL_WRITE_OBJECT_JSON_H
#define IOL_WRITE_OBJECT_JSON_H

#include "sink.h"
#include "tables/tables.h"

/* pretty: indented; else on one line. A newline ends it. False when the sink refused. */
bool iol_object_write(const iol_object *object, const void *at, bool pretty, iol_sink sink, void *context);

/* A plan and, behind it under what_if, the plans of the case changed. */
bool iol_what_if_write(const iol_plan *plan, const iol_plan variant[], int count, iol_sink sink, void *context);

/* Two plans as { right, left }. */
bool iol_pair_write(const iol_plan *right, const iol_plan *left, iol_sink sink, void *context);

#endif
