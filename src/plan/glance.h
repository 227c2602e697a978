/* What stands at the head of a plan once every part is made: the decision as a sentence, its dates, what to do now. */
#ifndef IOL_PLAN_GLANCE_H
#define IOL_PLAN_GLANCE_H

#include "gates.h"

/* Spans of days, dates of the ways, published series beside them, the day to be done by, acts, and the sentence. */
void iol_glance_make(iol_work *w);
/* The sentence of the decision; needs the dates. */
void iol_headline_make(const iol_work *w);

#endif
