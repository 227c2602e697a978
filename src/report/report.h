/* A plan for people: composers turn its parts into blocks; they compute nothing. */
#ifndef IOL_REPORT_REPORT_H
#define IOL_REPORT_REPORT_H

#include "iolrevise/plan.h"
#include "tables/recheck.h"
#include "page.h"

/* The whole plan, what decides first. */
void iol_report_plan(const iol_plan *plan, iol_page *page);
/* The clinic line: the case as typed, standing, powers, assumptions; second: of a piggyback lens. */
void iol_report_power(const iol_case *c, const iol_plan *plan, bool second, iol_page *page);

/* The summary of a recheck. */
void iol_report_summary(const iol_summary *summary, iol_page *page);

#endif
