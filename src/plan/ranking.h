/* The ways in order. */
#ifndef IOL_PLAN_RANKING_H
#define IOL_PLAN_RANKING_H

#include "work.h"

/* The way that the rules rank first, into the facts: first_option and what goes with it. Says nothing. */
void iol_ways_rank(iol_work *w);

#endif
