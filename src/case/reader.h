/* The reader for the program's own use, and what read.c and check.c share. */
#ifndef IOL_CASE_READER_H
#define IOL_CASE_READER_H

#include "iolrevise/case.h"

/* iol_case_read for one case after another, where cJSON's hooks point at an arena (src/cli/arena.h) that is emptied behind
 * each: the parsed tree is left to it, not walked once more to be freed. blank is a case that iol_case_reset made, which is
 * faster to copy than to make. */
bool iol_case_read_in_arena(const char *json, size_t length, const iol_case *blank, iol_case *into, iol_faults *faults);

/* Further faults are only counted: their words need not be worked out. */
static inline bool iol_faults_full(const iol_faults *faults) { return faults->count >= IOL_FAULTS_KEPT; }

/* Contradictions between fields of a case or a site that was read; each becomes a fault with its path. */
void iol_case_check(const iol_case *c, iol_faults *faults);
/* Whether a case can be planned on a day of the caller's: nothing in it lies after. IOL_UNKNOWN_DATE contradicts nothing. */
bool iol_case_check_day(const iol_case *c, int32_t day, iol_faults *faults);
void iol_site_check(const iol_site *site, iol_faults *faults);

#endif
