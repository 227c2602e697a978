/* What stands at the head of a plan once every part is made: the decision as a sentence, its dates, what to do now. */
#ifndef IOL_PLAN_GLANCE_H
#define IOL_PLAN_GLANCE_H

#include "gates.h"

/* Spans of days, dates of the ways, published series beside them, the day to be done by, acts, and the sentence. */
void iol_glance_make(iol_work *w);
/* The one day that leads: of the gate that decides, of the first way, else that to be done by. IOL_UNKNOWN_DATE: none. */
int32_t iol_leading_day(const iol_plan *plan);
/* The sentence of the decision; needs the dates. */
void iol_headline_make(const iol_work *w);
/* Glasses or a contact lens that is not wanted, not tolerated or not to be worn yet: no sentence offers it as the next way. */
bool iol_way_unwanted(const iol_work *w, const iol_option_row *o);

#endif
