/* A case to plan, read with its site, day and changes. */
#ifndef IOL_CLI_PLANNING_H
#define IOL_CLI_PLANNING_H

#include "changes.h"

typedef struct {
    int format; /* IOL_FORMAT_... */
    int32_t as_of;
    iol_case c; /* with every --set done */
    iol_changes changes;
    iol_site site;
    iol_plan plan;
    iol_faults faults;
} iol_planning;

/* Everything that the options name; the faults of case and site are told in one run. */
int iol_planning_read_file(const iol_options *options, const char *file, iol_planning *planning);
/* The same of a command that takes one case. */
int iol_planning_read(const iol_options *options, iol_planning *planning);
/* iolrevise plan RIGHT LEFT. */
int iol_cli_pair(const iol_options *options);

#endif
