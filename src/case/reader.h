/* Inside the reader: what read.c and check.c share. */
#ifndef IOL_CASE_READER_H
#define IOL_CASE_READER_H

#include "iolrevise/case.h"

/* Contradictions between fields of a case or a site that was read; each becomes a fault with its path. */
void iol_case_check(const iol_case *c, iol_faults *faults);
void iol_site_check(const iol_site *site, iol_faults *faults);

#endif
