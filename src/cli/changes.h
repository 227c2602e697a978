/* --set and --what-if: values of a case changed on the command line. */
#ifndef IOL_CLI_CHANGES_H
#define IOL_CLI_CHANGES_H

#include "cli.h"

/* What is changed, in the order given. */
typedef struct {
    int count;
    iol_change item[sizeof((iol_plan *)0)->changed / sizeof(iol_change)];
} iol_changes;

/* Every --set; told on standard error what is wrong with one. */
int iol_cli_set(const iol_repeated *set, iol_case *c, iol_changes *changes);
/* One --what-if: PATH=VALUE, several behind commas. */
int iol_cli_what_if(const char *text, iol_case *c, iol_changes *changes);
/* Into the plan that was made with them. */
void iol_cli_tell_changes(const iol_changes *changes, iol_plan *plan);

#endif
