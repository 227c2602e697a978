/* The pieces of what went wrong. */
#ifndef IOL_PLAN_SURPRISE_H
#define IOL_PLAN_SURPRISE_H

#include "work.h"

/* Gross causes, in order, and the tests for a wrong eye. */
void iol_surprise_suspects(iol_work *w);

#endif
