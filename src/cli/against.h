/* What changed since an earlier run: the one thing whose memory grows with the cases, 32 bytes each. */
#ifndef IOL_CLI_AGAINST_H
#define IOL_CLI_AGAINST_H

#include "recheck.h"

typedef struct iol_against iol_against;
/* Read what an earlier run wrote with --format jsonl. Changes go to output in the format text, csv or jsonl. */
int iol_against_start(iol_against **against, const char *old, iol_recheck_format format, iol_output *output);
/* For iol_recheck_run.each; context is the iol_against. */
bool iol_against_case(void *context, const iol_recheck_kept *kept);
/* The cases that are gone, and the counts. IOL_EXIT_STOP when fail_on_change and a case changed, is gone or stands twice. */
int iol_against_finish(iol_against *against, bool fail_on_change);
void iol_against_end(iol_against *against);

#endif
