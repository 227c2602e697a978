/* An eye with two lenses: what part two_lenses says whatever is reckoned. */
#ifndef IOL_PLAN_TWO_LENSES_H
#define IOL_PLAN_TWO_LENSES_H

#include "work.h"

/* Which lens is which, what to look for, and the ways out of the second. */
void iol_two_lenses_describe(iol_work *w);

#endif
