/* A second lens in front of the old one. */
#ifndef IOL_PLAN_PIGGYBACK_H
#define IOL_PLAN_PIGGYBACK_H

#include "work.h"

/* Second-lens power that takes one refraction to another; NaN when there is none. */
double iol_piggyback_between(const iol_work *w, double from_d, double to_d);

#endif
