/* The new lens, and how far its power may be used. */
#ifndef IOL_PLAN_REPLACEMENT_H
#define IOL_PLAN_REPLACEMENT_H

#include "aim.h"
#include "positions.h"

/* Standing of the power, its reasons added to the plan's notes. */
int iol_standing_make(iol_work *w, const iol_replacement *r);
/* Yes when fluid trapped behind the lens is seen, or suspected and not excluded. */
iol_flag iol_standing_fluid(const iol_work *w);
/* The route that leads for one lens of the shelf: joint, biometry alone, or refraction alone. */
void iol_replacement_route(const iol_eye *eye, const iol_estimate *joint, const iol_lens_in_eye *fresh,
                           iol_estimate *own, iol_notes *notes, iol_aim *aim);

#endif
