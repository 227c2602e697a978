/* The pieces of what went wrong. */
#ifndef IOL_PLAN_SURPRISE_H
#define IOL_PLAN_SURPRISE_H

#include "work.h"

/* Gross causes, in order. */
void iol_surprise_suspects(iol_work *w);
/* Whose biometry is it: the other eye, the old glasses, the mode of the repeat. For every plan, with or without a refraction. */
void iol_biometry_doubts(iol_work *w);

#endif
