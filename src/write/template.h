/* Starter files: every key with null, and beside it a remark that says what to type. */
#ifndef IOL_WRITE_TEMPLATE_H
#define IOL_WRITE_TEMPLATE_H

#include "sink.h"

typedef struct {
    const char *kind, *reason, *purpose, *keys; /* reason: filled in; NULL where the kind has several */
} iol_template_row;
/* The kinds of case, a row with kind NULL at the end; "site" is apart. */
extern const iol_template_row iol_templates[];

/* Print the starter of a kind of case, or of the site with "site"; brief: only the values that decide most. False for an unknown
 * kind or a sink that refused. */
bool iol_template_write(const char *kind, bool brief, iol_sink sink, void *context);

/* The heading row of a sheet of such cases: every path with points, lists with as many places as a case mostly needs. */
bool iol_template_heading(const char *kind, bool brief, iol_sink sink, void *context);

#endif
