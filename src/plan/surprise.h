/* The pieces of what went wrong. */
#ifndef IOL_PLAN_SURPRISE_H
#define IOL_PLAN_SURPRISE_H

#include "work.h"

/* Gross causes, in order. */
void iol_surprise_suspects(iol_work *w);
/* Whose biometry is it: the other eye, the old glasses, the mode of the repeat. For every plan, with or without a refraction. */
void iol_biometry_doubts(iol_work *w);
/* The cylinder of a toric eye, or the complaint itself, is not explained: keratometry, refraction and lens mark do not fit.
 * Not known when they cannot be compared; no where no cylinder is in question. */
iol_flag iol_surprise_cylinder_open(const iol_work *w);

#endif
