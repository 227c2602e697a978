/* The clinic line for people: a screen, the whole text, and the pieces that both share. Here and not in src/report: it tells
 * what to type. */
#ifndef IOL_CLI_POWER_TEXT_H
#define IOL_CLI_POWER_TEXT_H

#include "report/page.h"
#include "iolrevise/plan.h"

/* second: of the second lens in front of the old one. The screen has 24 lines at most. */
void iol_power_screen(const iol_case *c, const iol_plan *plan, bool second, iol_page *page);
void iol_power_text(const iol_case *c, const iol_plan *plan, bool second, iol_page *page);

/* What to type to answer a reason; NULL: nothing typed answers it. */
const char *iol_power_answer(const iol_case *c, int code);
/* A reason in a few words, "day not told"; NULL: it is none of a power's standing. */
const char *iol_power_why(int code);
/* An alarm is open: every power is left out for it, not for what was typed. */
bool iol_power_alarm(const iol_plan *plan);
/* Everything assumed, in one paragraph. */
void iol_power_assumed(const iol_plan *plan, const iol_replacement *r, iol_page *page);
/* Powers by single causes and by other routes, in a line each. */
void iol_power_beside(const iol_plan *plan, const iol_replacement *r, iol_page *page);
/* The steps on either side of the exact power. */
void iol_power_steps(const iol_replacement *r, iol_page *page);

#endif
