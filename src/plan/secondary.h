/* The lens for an eye without one. */
#ifndef IOL_PLAN_SECONDARY_H
#define IOL_PLAN_SECONDARY_H

#include "work.h"

/* An eye that was read without a lens: the lens to be put in, worked out as every new lens, stands under `secondary`, and there is
 * no replacement. Call it when all parts are made. */
void iol_secondary_take(iol_work *w);
/* A part that speaks of the lens in the eye: leaves it out and answers true where there is none. */
bool iol_secondary_leaves_out(iol_work *w, const char *part);

#endif
