/* Pieces of the clinic line that its screen and its whole text share. */
#ifndef IOL_REPORT_POWER_H
#define IOL_REPORT_POWER_H

#include "page.h"
#include "iolrevise/plan.h"

/* What to type to answer a reason; NULL: nothing typed answers it. */
const char *iol_power_answer(const iol_case *c, int code);
/* Everything assumed, in one paragraph. */
void iol_power_assumed(const iol_plan *plan, const iol_replacement *r, iol_page *page);
/* Powers by single causes and by other routes, in a line each. */
void iol_power_beside(const iol_plan *plan, const iol_replacement *r, iol_page *page);
/* The steps on either side of the exact power. */
void iol_power_steps(const iol_replacement *r, iol_page *page);

#endif
